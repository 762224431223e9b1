//! Rooms beside each other: each is turned and moved so that its passage meets the other room's.
//!
//! Where passages close no loop this is exact. A loop does not quite close; how its rooms are best placed is for a
//! survey to say, by a [`Placing`] of its own.

use crate::field::{FieldProblem, OpeningLine, Passage, Room, moved};
use drylay_geometry::{Direction, Length, Outline, Point, RoomId};

/// Where a room lies: its own plan coordinates turned, then shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// How it is turned, on the page.
    pub turn: Direction,
    /// The place of its origin.
    pub origin: Point,
}

impl Pose {
    /// As it stands.
    pub const AS_IT_IS: Self = Self { turn: Direction::RIGHT, origin: Point::ORIGIN };
}

/// How rooms were placed beside each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    /// One for each room, the first as it is; `None` for a room that no passage joins to the first.
    pub poses: Vec<Option<Pose>>,
    /// Passages that close a loop, and by how much the loop misses before anything is spread.
    pub loops: Vec<(usize, Length)>,
}

/// Places rooms by their passages.
pub type Placing<'a> = &'a dyn Fn(&[Room], &[Passage]) -> Places;

/// A room where it was placed in the area's plan coordinates.
#[derive(Clone, Debug)]
pub struct Placed {
    /// Its name.
    pub id: RoomId,
    /// Its outline in the area's plan coordinates.
    pub outline: Outline,
    turn: Direction,
    origin: Point,
}

impl Placed {
    /// A point of the room's own plan coordinates in the area's, rounded to a nanometre.
    pub fn to_area(&self, p: Point) -> Point {
        placed_point(self.turn, self.origin, p)
    }
}

fn placed_point(turn: Direction, origin: Point, p: Point) -> Point {
    if turn == Direction::RIGHT && origin == Point::ORIGIN {
        return p;
    }
    let q = turn.from_frame(p);
    Point { x: origin.x + q.x, y: origin.y + q.y }
}

/// All rooms where they were placed.
#[derive(Clone, Debug)]
pub(crate) struct Placement {
    pub(crate) rooms: Vec<Placed>,
    pub(crate) problems: Vec<FieldProblem>,
}

impl Placement {
    /// The line of an opening, in the area's plan coordinates.
    pub(crate) fn opening(&self, rooms: &[Room], room: usize, opening: usize) -> Option<OpeningLine> {
        let opening = rooms.get(room)?.openings.get(opening)?;
        opening_line(&self.rooms.get(room)?.outline, opening.wall, opening.start, opening.width)
    }
}

fn opening_line(outline: &Outline, wall: usize, start: Length, width: Length) -> Option<OpeningLine> {
    let wall = outline.wall(wall);
    let along = wall.direction()?;
    let at = |l: Length| moved(wall.from, along, l.min(wall.length()).nanometres() as f64);
    Some(OpeningLine { left: at(start), right: at(start + width), along })
}

/// Openings of a loop may miss each other by this much before it is told: what a tape and a door frame allow.
const LOOP_TOLERANCE: Length = Length::from_mm(3);

/// Puts the rooms where a placing says.
pub(crate) fn place(rooms: &[Room], passages: &[Passage], placing: Placing<'_>) -> Placement {
    let places = placing(rooms, passages);
    let pose = |r: usize| places.poses.get(r).copied().flatten();
    let problems: Vec<FieldProblem> =
        (0..rooms.len()).filter(|&r| pose(r).is_none()).map(|room| FieldProblem::Unjoined { room }).collect();
    let placed = |(r, room): (usize, &Room)| placed(room, pose(r).unwrap_or(Pose::AS_IT_IS));
    let mut placement = Placement { rooms: rooms.iter().enumerate().map(placed).collect(), problems };
    if placement.problems.is_empty() {
        placement.problems.extend(passage_notes(rooms, passages, &places.loops));
    }
    placement
}

fn placed(room: &Room, Pose { turn, origin }: Pose) -> Placed {
    let outline = match (Pose { turn, origin }) == Pose::AS_IT_IS {
        true => room.outline.clone(),
        false => room.outline.moved(|p| placed_point(turn, origin, p)),
    };
    Placed { id: room.id.clone(), outline, turn, origin }
}

/// Places the first room as it is, the others one by one along the passages in their order.
pub fn one_by_one(rooms: &[Room], passages: &[Passage]) -> Places {
    let mut poses: Vec<Option<Pose>> = vec![None; rooms.len()];
    if let Some(first) = poses.first_mut() {
        *first = Some(Pose::AS_IT_IS);
    }
    let mut used = vec![false; passages.len()];
    loop {
        let reaches = |p: &Passage| poses[p.a.0].is_some() != poses[p.b.0].is_some();
        let Some(i) = (0..passages.len()).find(|&i| !used[i] && reaches(&passages[i])) else { break };
        used[i] = true;
        let p = passages[i];
        let (from, to) = if poses[p.a.0].is_some() { (p.a, p.b) } else { (p.b, p.a) };
        if let Some(known) = poses[from.0] {
            poses[to.0] = beside(rooms, known, from, to, p.depth);
        }
        if poses[to.0].is_none() {
            break; // an opening without a line; told as one that does not fit its wall
        }
    }
    let closing = (0..passages.len()).filter(|&i| !used[i]);
    let loops = closing.filter_map(|i| Some((i, misses(rooms, &poses, passages[i])?))).collect();
    Places { poses, loops }
}

/// By how much the middles of a passage miss each other.
fn misses(rooms: &[Room], poses: &[Option<Pose>], p: Passage) -> Option<Length> {
    let line = |(r, o): (usize, usize)| {
        let at = placed(rooms.get(r)?, poses[r]?);
        let opening = rooms[r].openings.get(o)?;
        opening_line(&at.outline, opening.wall, opening.start, opening.width)
    };
    let (a, b) = (line(p.a)?, line(p.b)?);
    let miss = middle(a.outside(a.left, p.depth), a.outside(a.right, p.depth)) - middle(b.left, b.right);
    Some(Length::from_mm_f64(miss.norm() / 1e6).unwrap_or(Length::LIMIT))
}

/// The room behind the passage: its opening faces the known one, their middles opposite each other.
fn beside(
    rooms: &[Room],
    known: Pose,
    from: (usize, usize),
    to: (usize, usize),
    depth: Length,
) -> Option<Pose> {
    let near = rooms[from.0].openings.get(from.1)?;
    let known = placed(&rooms[from.0], known);
    let near = opening_line(&known.outline, near.wall, near.start, near.width)?;
    let room = &rooms[to.0];
    let far = room.openings.get(to.1)?;
    let far = opening_line(&room.outline, far.wall, far.start, far.width)?;
    // Seen from above the two walls run in opposite directions.
    let (fc, fs) = near.along.reversed().components();
    let (c, s) = far.along.components();
    let turn = exact_turn(fc * c + fs * s, fs * c - fc * s, 1e-15)?;
    let target = middle(near.outside(near.left, depth), near.outside(near.right, depth));
    let local = turn.from_frame(middle(far.left, far.right));
    Some(Pose { turn, origin: Point { x: target.x - local.x, y: target.y - local.y } })
}

/// The direction of these components; quarter turns, to within so much of rounding, come out exactly.
pub fn exact_turn(cos: f64, sin: f64, rounding: f64) -> Option<Direction> {
    let snap = |x: f64| if x.abs() < rounding { 0.0 } else { x };
    let (cos, sin) = (snap(cos), snap(sin));
    if cos == 0.0 || sin == 0.0 {
        let quarter = if cos > 0.0 {
            0.0
        } else if cos < 0.0 {
            180.0
        } else if sin > 0.0 {
            90.0
        } else {
            270.0
        };
        return Direction::from_degrees(quarter);
    }
    Direction::from_components(cos, sin)
}

fn middle(a: Point, b: Point) -> Point {
    Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 }
}

fn passage_notes(rooms: &[Room], passages: &[Passage], loops: &[(usize, Length)]) -> Vec<FieldProblem> {
    let mut notes = Vec::new();
    for (passage, p) in passages.iter().enumerate() {
        let width = |r: (usize, usize)| rooms[r.0].openings.get(r.1).map_or(Length::ZERO, |o| o.width);
        let off = (width(p.a) - width(p.b)).abs();
        if off > LOOP_TOLERANCE {
            notes.push(FieldProblem::WidthDiffers { passage, off });
        }
    }
    let open = loops.iter().filter(|(_, off)| *off > LOOP_TOLERANCE);
    notes.extend(open.map(|&(passage, off)| FieldProblem::LoopOpen { passage, off }));
    notes
}
