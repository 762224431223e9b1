//! A floor of rooms: each stays as it was adjusted, and passages place them by least squares.
//!
//! A passage joins two openings across a wall: their middles lie opposite each other at the wall's depth, and their
//! walls are parallel. That is three conditions, and a room placed on others has three unknowns (two shifts and a
//! turn), so a tree of rooms fits exactly and every loop of passages is a check.

use crate::matrix::Symmetric;
use crate::stats::{DOUBTED, chi_square_beyond};
use std::f64::consts::PI;

/// One side of a passage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// The room, by index.
    pub room: usize,
    /// Left end of the opening seen from inside the room, in the room's frame in mm: the end that comes first in
    /// walking order.
    pub left: (f64, f64),
    /// Right end.
    pub right: (f64, f64),
}

/// Two openings joined across a wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// One side.
    pub a: Side,
    /// The other side, in another room.
    pub b: Side,
    /// Depth of the wall in mm; not negative.
    pub depth: f64,
    /// Standard deviation of how the middles meet, along the wall and across it, in mm.
    pub sd: f64,
    /// Standard deviation of how parallel the two faces of the wall are, in degrees.
    pub sd_degrees: f64,
}

impl Passage {
    /// 3 mm: common practice for openings marked with a tape from a corner on each side.
    pub const USUAL_SD: f64 = 3.0;
    /// 0.3°: common practice, a sixteenth of an inch in a foot of wall.
    pub const USUAL_SD_DEGREES: f64 = 0.3;
}

/// What is wrong with a passage, by its index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PassageProblem {
    /// A room that there is not.
    #[error("passage {0}: there is no such room")]
    NoSuchRoom(usize),
    /// Both sides in one room.
    #[error("passage {0}: both sides are in the same room")]
    SameRoom(usize),
    /// An opening without width, or a figure that is no number.
    #[error("passage {0}: the opening has no width")]
    NoWidth(usize),
    /// A negative depth, or a standard deviation that is not positive.
    #[error("passage {0}: depth must not be negative and standard deviations must be more than zero")]
    BadFigure(usize),
}

/// Where a room lies on the floor: its own frame turned, then shifted.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Pose {
    /// Place of the room's origin in mm.
    pub shift: (f64, f64),
    /// Turn clockwise on the page in radians.
    pub turn: f64,
}

impl Pose {
    /// A point of the room on the floor.
    pub fn apply(self, p: (f64, f64)) -> (f64, f64) {
        let (x, y) = turned(p, self.turn);
        (x + self.shift.0, y + self.shift.1)
    }
}

/// How a passage came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PassageResult {
    /// How far the middles miss each other along and across the wall of side a, in mm.
    pub gap: (f64, f64),
    /// How far the walls are from parallel, in degrees.
    pub twist: f64,
    /// Largest of the three misses over its own standard deviation; `None` where no loop checks the passage.
    pub w: Option<f64>,
}

impl PassageResult {
    /// Whether it misses by more than its errors explain (two-sided 0.1 %).
    pub fn is_suspect(&self) -> bool {
        self.w.is_some_and(|w| w > DOUBTED)
    }
}

/// A loop of passages, and what does not close going round it, before the misses are spread.
#[derive(Clone, Debug, PartialEq)]
pub struct Loop {
    /// The passage that closes it.
    pub passage: usize,
    /// The rooms of the loop in order, from the passage's side b round to its side a.
    pub rooms: Vec<usize>,
    /// How far the middles of that passage miss each other along and across the wall of its side a, in mm.
    pub gap: (f64, f64),
    /// How far its walls are from parallel, in degrees.
    pub twist: f64,
}

impl Loop {
    /// How far the middles miss each other, in mm.
    pub fn off(&self) -> f64 {
        (self.gap.0 * self.gap.0 + self.gap.1 * self.gap.1).sqrt()
    }
}

/// A floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Floor {
    /// One pose for each room.
    pub poses: Vec<Pose>,
    /// For each room the first room of the group that passages join it to; that room keeps its own frame.
    pub group: Vec<usize>,
    /// One entry for each passage.
    pub passages: Vec<PassageResult>,
    /// One for each passage that closes a loop, in the order of the passages.
    pub loops: Vec<Loop>,
    /// Three for each loop.
    pub redundancy: usize,
    /// The chance of larger misses than these; 1 without loops.
    pub chance: f64,
}

/// Places rooms by their passages. The first room of every group keeps its frame.
///
/// # Errors
/// Every problem of the passages.
pub fn place(rooms: usize, passages: &[Passage]) -> Result<Floor, Vec<PassageProblem>> {
    let problems: Vec<PassageProblem> =
        passages.iter().enumerate().filter_map(|(i, p)| problem(rooms, i, p)).collect();
    if !problems.is_empty() {
        return Err(problems);
    }
    let tree = along_a_tree(rooms, passages);
    let loops = loops(passages, &tree);
    let Tree { mut poses, group, .. } = tree;
    let mut place = vec![None; rooms];
    let moving = (0..rooms).filter(|&r| group[r] != r);
    moving.enumerate().for_each(|(k, r)| place[r] = Some(3 * k));
    let count = place.iter().flatten().count() * 3;
    let mut inverse = Symmetric::zero(count);
    // Conditions are nearly linear once the tree has been laid: three steps settle to rounding, ten are safe.
    for _ in 0..10 {
        let (matrix, mut step) = normals(passages, &poses, &place, count);
        let Some(factor) = matrix.factor() else { break };
        factor.solve(&mut step);
        for (pose, at) in poses.iter_mut().zip(&place) {
            if let Some(k) = *at {
                pose.shift = (pose.shift.0 + step[k], pose.shift.1 + step[k + 1]);
                pose.turn += step[k + 2];
            }
        }
        inverse = factor.inverse();
        if step.iter().all(|s| s.abs() < 1e-10) {
            break;
        }
    }
    let mut sum = 0.0;
    let mut judge = |p: &Passage| {
        let rows = conditions(p, &poses, &place);
        sum += rows.iter().map(|r| (r.miss / r.sd) * (r.miss / r.sd)).sum::<f64>();
        let w = rows
            .iter()
            .filter_map(|r| r.w(&inverse))
            .fold(None, |m: Option<f64>, w| Some(m.unwrap_or(0.0).max(w)));
        PassageResult { gap: (rows[0].miss, rows[1].miss), twist: rows[2].miss.to_degrees(), w }
    };
    let results = passages.iter().map(&mut judge).collect();
    let redundancy = (3 * passages.len()).saturating_sub(count);
    let chance = chi_square_beyond(sum, redundancy);
    Ok(Floor { poses, group, passages: results, loops, redundancy, chance })
}

fn problem(rooms: usize, i: usize, p: &Passage) -> Option<PassageProblem> {
    let side = |s: &Side| width(s).is_finite() && width(s) > 1e-3;
    let positive = |v: f64| v.is_finite() && v > 0.0;
    if p.a.room.max(p.b.room) >= rooms {
        Some(PassageProblem::NoSuchRoom(i))
    } else if p.a.room == p.b.room {
        Some(PassageProblem::SameRoom(i))
    } else if !side(&p.a) || !side(&p.b) {
        Some(PassageProblem::NoWidth(i))
    } else if !(p.depth.is_finite() && p.depth >= 0.0 && positive(p.sd) && positive(p.sd_degrees)) {
        Some(PassageProblem::BadFigure(i))
    } else {
        None
    }
}

fn width(s: &Side) -> f64 {
    let (dx, dy) = (s.right.0 - s.left.0, s.right.1 - s.left.1);
    (dx * dx + dy * dy).sqrt()
}

fn heading(s: &Side) -> f64 {
    libm::atan2(s.right.1 - s.left.1, s.right.0 - s.left.0)
}

/// The middle of an opening, moved out of the room by a distance.
fn middle(s: &Side, out: f64) -> (f64, f64) {
    let w = width(s);
    let outward = ((s.right.1 - s.left.1) / w, -(s.right.0 - s.left.0) / w);
    ((s.left.0 + s.right.0) / 2.0 + out * outward.0, (s.left.1 + s.right.1) / 2.0 + out * outward.1)
}

fn turned(p: (f64, f64), by: f64) -> (f64, f64) {
    let (s, c) = libm::sincos(by);
    (p.0 * c - p.1 * s, p.0 * s + p.1 * c)
}

/// Rooms placed one by one along passages.
struct Tree {
    poses: Vec<Pose>,
    group: Vec<usize>,
    /// For each room the passage it was placed by and the room before it; none for the first of a group.
    before: Vec<Option<(usize, usize)>>,
}

/// Poses by following passages outwards, room by room in order; and each room's group.
fn along_a_tree(rooms: usize, passages: &[Passage]) -> Tree {
    let mut poses = vec![Pose::default(); rooms];
    let mut group = vec![usize::MAX; rooms];
    let mut before = vec![None; rooms];
    for first in 0..rooms {
        if group[first] != usize::MAX {
            continue;
        }
        group[first] = first;
        let mut open = std::collections::VecDeque::from([first]);
        // Nearest rooms first: so loops are as short as they can be.
        while let Some(here) = open.pop_front() {
            for (i, p) in passages.iter().enumerate() {
                for (near, far) in [(&p.a, &p.b), (&p.b, &p.a)] {
                    if near.room == here && group[far.room] == usize::MAX {
                        poses[far.room] = beyond(poses[here], near, far, p.depth);
                        group[far.room] = first;
                        before[far.room] = Some((i, here));
                        open.push_back(far.room);
                    }
                }
            }
        }
    }
    Tree { poses, group, before }
}

/// Every passage that the tree does not need closes a loop.
fn loops(passages: &[Passage], tree: &Tree) -> Vec<Loop> {
    let needed = |i: usize| tree.before.iter().flatten().any(|&(p, _)| p == i);
    let nowhere = vec![None; tree.poses.len()];
    let closing = passages.iter().enumerate().filter(|&(i, _)| !needed(i));
    let one = |(passage, p): (usize, &Passage)| {
        let [along, across, twist] = conditions(p, &tree.poses, &nowhere).map(|c| c.miss);
        let rooms = way(tree, p.b.room, p.a.room);
        Loop { passage, rooms, gap: (along, across), twist: twist.to_degrees() }
    };
    closing.map(one).collect()
}

/// The rooms on the way from one room to another along the tree, both included.
fn way(tree: &Tree, from: usize, to: usize) -> Vec<usize> {
    let up = |room: usize| -> Vec<usize> {
        std::iter::successors(Some(room), |&r| tree.before[r].map(|(_, before)| before)).collect()
    };
    let (mut out, mut back) = (up(from), up(to));
    // Both end at the first room of the group: what is common is walked only once.
    let mut top = None;
    while let (Some(a), Some(b)) = (out.last(), back.last())
        && a == b
    {
        top = out.pop();
        back.pop();
    }
    out.extend(top);
    out.extend(back.into_iter().rev());
    out
}

fn beyond(pose: Pose, near: &Side, far: &Side, depth: f64) -> Pose {
    let turn = pose.turn + heading(near) + PI - heading(far);
    let (to, from) = (pose.apply(middle(near, depth)), turned(middle(far, 0.0), turn));
    Pose { shift: (to.0 - from.0, to.1 - from.1), turn }
}

/// A condition: how far it is missed, its standard deviation, and its derivative by the unknowns.
struct Condition {
    miss: f64,
    sd: f64,
    row: Vec<(usize, f64)>,
}

impl Condition {
    fn w(&self, inverse: &Symmetric) -> Option<f64> {
        let entry =
            |&(i, u): &(usize, f64)| u * self.row.iter().map(|&(j, v)| v * inverse.at(i, j)).sum::<f64>();
        let redundancy = 1.0 - self.row.iter().map(entry).sum::<f64>() / (self.sd * self.sd);
        (redundancy > 1e-7).then(|| self.miss.abs() / (self.sd * redundancy.sqrt()))
    }
}

/// Along the wall of side a, across it, and the twist.
fn conditions(p: &Passage, poses: &[Pose], place: &[Option<usize>]) -> [Condition; 3] {
    let (a, b) = (poses[p.a.room], poses[p.b.room]);
    let (ma, mb) = (middle(&p.a, p.depth), middle(&p.b, 0.0));
    let (on_a, on_b) = (a.apply(ma), b.apply(mb));
    let (gx, gy) = (on_b.0 - on_a.0, on_b.1 - on_a.1);
    let (s, c) = libm::sincos(a.turn + heading(&p.a));
    // A turn moves a point at right angles to its arm.
    let (arm_a, arm_b) = (turned(ma, a.turn), turned(mb, b.turn));
    let part = |ux: f64, uy: f64| {
        let mut row = Vec::new();
        // A turn of room a turns the direction along which the miss is seen as well.
        let seen = gy * ux - gx * uy;
        for (room, sign, arm, seen) in [(p.b.room, 1.0, arm_b, 0.0), (p.a.room, -1.0, arm_a, seen)] {
            if let Some(k) = place[room] {
                let by_turn = sign * (uy * arm.0 - ux * arm.1) + seen;
                row.extend([(k, sign * ux), (k + 1, sign * uy), (k + 2, by_turn)]);
            }
        }
        Condition { miss: gx * ux + gy * uy, sd: p.sd, row }
    };
    let twist = b.turn + heading(&p.b) - a.turn - heading(&p.a) - PI;
    let twist = twist - 2.0 * PI * (twist / (2.0 * PI)).round();
    let row =
        [(p.b.room, 1.0), (p.a.room, -1.0)].into_iter().filter_map(|(r, v)| place[r].map(|k| (k + 2, v)));
    let parallel = Condition { miss: twist, sd: p.sd_degrees.to_radians(), row: row.collect() };
    [part(c, s), part(-s, c), parallel]
}

fn normals(
    passages: &[Passage],
    poses: &[Pose],
    place: &[Option<usize>],
    count: usize,
) -> (Symmetric, Vec<f64>) {
    let (mut matrix, mut right) = (Symmetric::zero(count), vec![0.0; count]);
    for condition in passages.iter().flat_map(|p| conditions(p, poses, place)) {
        let weight = 1.0 / (condition.sd * condition.sd);
        matrix.add_outer(&condition.row, weight);
        condition.row.iter().for_each(|&(u, v)| right[u] -= v * weight * condition.miss);
    }
    (matrix, right)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four rooms of 3 × 3 m round a crossing of 100 mm walls: 0 | 1 over 3 | 2.
    fn four(off: f64) -> Vec<Passage> {
        let east = |room, by: f64| Side { room, left: (3000.0, 1000.0 + by), right: (3000.0, 1900.0 + by) };
        let west = |room| Side { room, left: (0.0, 1900.0), right: (0.0, 1000.0) };
        let south = |room| Side { room, left: (1900.0, 3000.0), right: (1000.0, 3000.0) };
        let north = |room| Side { room, left: (1000.0, 0.0), right: (1900.0, 0.0) };
        let join = |a, b| Passage { a, b, depth: 100.0, sd: 3.0, sd_degrees: 0.3 };
        vec![
            join(east(0, off), west(1)),
            join(south(1), north(2)),
            join(west(2), east(3, 0.0)),
            join(north(3), south(0)),
        ]
    }

    #[test]
    fn a_loop_that_closes_puts_every_room_in_its_place() {
        let floor = place(5, &four(0.0)).expect("no problems");
        for (pose, want) in
            floor.poses.iter().zip([(0.0, 0.0), (3100.0, 0.0), (3100.0, 3100.0), (0.0, 3100.0)])
        {
            assert!((pose.shift.0 - want.0).abs() < 1e-6 && (pose.shift.1 - want.1).abs() < 1e-6, "{pose:?}");
            let turn = pose.turn - 2.0 * PI * (pose.turn / (2.0 * PI)).round();
            assert!(turn.abs() < 1e-9);
        }
        assert_eq!((floor.redundancy, floor.group.clone()), (3, vec![0, 0, 0, 0, 4]));
        assert!(floor.chance > 0.999);
    }

    #[test]
    fn a_passage_marked_a_foot_off_shows_in_its_loop_and_not_in_a_tree() {
        let floor = place(4, &four(304.8)).expect("no problems");
        assert!(floor.chance < 1e-6, "{floor:?}");
        assert!(floor.passages.iter().any(|p| p.w.is_some_and(|w| w > DOUBTED)));
        // Going round, the floor misses itself by the foot, along the wall of the passage that closes the loop.
        let [round] = &floor.loops[..] else { panic!("one loop: {floor:?}") };
        assert!((round.off() - 304.8).abs() < 1e-6 && round.twist.abs() < 1e-9, "{round:?}");
        let mut rooms = round.rooms.clone();
        rooms.sort_unstable();
        assert_eq!(rooms, [0, 1, 2, 3]);
        // Each of the four passages takes its part of the misclosure, which is what least squares does to a loop of
        // equal observations (Ghilani, Adjustment Computations, on traverses; by symmetry).
        let spread: f64 = floor.passages.iter().map(|p| p.gap.0.abs().max(p.gap.1.abs())).fold(0.0, f64::max);
        assert!(spread < 304.8 * 0.75, "{floor:?}");
        let tree = place(4, &four(304.8)[..3]).expect("no problems");
        assert_eq!((tree.redundancy, tree.passages[0].w), (0, None));
        assert!(tree.passages.iter().all(|p| p.gap.0.abs() + p.gap.1.abs() < 1e-6));
    }

    /// Least squares: whatever room is moved or turned a little, the weighted misses grow.
    #[test]
    fn no_other_placing_of_the_rooms_misses_less() {
        let passages = four(12.0);
        let floor = place(4, &passages).expect("no problems");
        let misses = |poses: &[Pose]| -> f64 {
            let all = passages.iter().flat_map(|p| conditions(p, poses, &[None; 4]));
            all.map(|one| (one.miss / one.sd) * (one.miss / one.sd)).sum()
        };
        let least = misses(&floor.poses);
        assert!(least > 0.1, "the loop does not close: {least}");
        for room in 1..4 {
            for (x, y, turn) in [(0.1, 0.0, 0.0), (0.0, 0.1, 0.0), (0.0, 0.0, 1e-4), (0.05, -0.05, 1e-4)] {
                for sign in [1.0, -1.0] {
                    let mut poses = floor.poses.clone();
                    let pose = &mut poses[room];
                    pose.shift = (pose.shift.0 + sign * x, pose.shift.1 + sign * y);
                    pose.turn += sign * turn;
                    assert!(misses(&poses) > least, "room {room} by {sign} times {x}, {y}, {turn}");
                }
            }
        }
    }

    #[test]
    fn passages_that_make_no_sense_are_all_named() {
        let mut bad = four(0.0);
        bad[0].b.room = 9;
        bad[1].b.room = 1;
        bad[2].a.right = bad[2].a.left;
        bad[3].sd = f64::NAN;
        let problems = place(4, &bad).expect_err("four problems");
        assert_eq!(
            problems,
            vec![
                PassageProblem::NoSuchRoom(0),
                PassageProblem::SameRoom(1),
                PassageProblem::NoWidth(2),
                PassageProblem::BadFigure(3)
            ]
        );
    }
}
