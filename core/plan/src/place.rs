//! Rooms beside each other: each is turned and moved so that its passage meets the other room's.

use crate::field::{FieldProblem, OpeningLine, Passage, Room, moved};
use drylay_geometry::{Direction, Length, Outline, Point, RoomId};

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

/// Places the rooms, the first as it is, the others one by one along the passages in their order.
pub(crate) fn place(rooms: &[Room], passages: &[Passage]) -> Placement {
    let mut placed: Vec<Option<Placed>> = vec![None; rooms.len()];
    let mut problems = Vec::new();
    if let (Some(slot), Some(room)) = (placed.first_mut(), rooms.first()) {
        let outline = room.outline.clone();
        *slot = Some(Placed { id: room.id.clone(), outline, turn: Direction::RIGHT, origin: Point::ORIGIN });
    }
    let mut used = vec![false; passages.len()];
    loop {
        let reaches = |p: &Passage| placed[p.a.0].is_some() != placed[p.b.0].is_some();
        let Some(i) = (0..passages.len()).find(|&i| !used[i] && reaches(&passages[i])) else { break };
        used[i] = true;
        let p = passages[i];
        let (from, to) = if placed[p.a.0].is_some() { (p.a, p.b) } else { (p.b, p.a) };
        if let Some(known) = &placed[from.0] {
            placed[to.0] = beside(rooms, known, from, to, p.depth);
        }
        if placed[to.0].is_none() {
            break; // an opening without a line; told as one that does not fit its wall
        }
    }
    for (room, place) in placed.iter().enumerate() {
        if place.is_none() {
            problems.push(FieldProblem::Unjoined { room });
        }
    }
    let rooms_placed = placed.into_iter().zip(rooms).map(|(place, room)| {
        place.unwrap_or_else(|| Placed {
            id: room.id.clone(),
            outline: room.outline.clone(),
            turn: Direction::RIGHT,
            origin: Point::ORIGIN,
        })
    });
    let mut placement = Placement { rooms: rooms_placed.collect(), problems };
    if placement.problems.is_empty() {
        let notes = passage_notes(rooms, passages, &placement);
        placement.problems.extend(notes);
    }
    placement
}

/// The room behind the passage: its opening faces the known one, their middles opposite each other.
fn beside(
    rooms: &[Room],
    known: &Placed,
    from: (usize, usize),
    to: (usize, usize),
    depth: Length,
) -> Option<Placed> {
    let near = rooms[from.0].openings.get(from.1)?;
    let near = opening_line(&known.outline, near.wall, near.start, near.width)?;
    let room = &rooms[to.0];
    let far = room.openings.get(to.1)?;
    let far = opening_line(&room.outline, far.wall, far.start, far.width)?;
    // Seen from above the two walls run in opposite directions.
    let (fc, fs) = near.along.reversed().components();
    let (c, s) = far.along.components();
    let turn = exact_turn(fc * c + fs * s, fs * c - fc * s)?;
    let target = middle(near.outside(near.left, depth), near.outside(near.right, depth));
    let local = turn.from_frame(middle(far.left, far.right));
    let origin = Point { x: target.x - local.x, y: target.y - local.y };
    let outline = room.outline.moved(|p| placed_point(turn, origin, p));
    Some(Placed { id: room.id.clone(), outline, turn, origin })
}

/// The direction of these components; quarter turns come out exactly.
fn exact_turn(cos: f64, sin: f64) -> Option<Direction> {
    let snap = |x: f64| if x.abs() < 1e-15 { 0.0 } else { x };
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

fn passage_notes(rooms: &[Room], passages: &[Passage], placement: &Placement) -> Vec<FieldProblem> {
    let mut notes = Vec::new();
    for (i, p) in passages.iter().enumerate() {
        let (Some(a), Some(b)) =
            (placement.opening(rooms, p.a.0, p.a.1), placement.opening(rooms, p.b.0, p.b.1))
        else {
            continue;
        };
        let width = |r: (usize, usize)| rooms[r.0].openings[r.1].width;
        let differs = (width(p.a) - width(p.b)).abs();
        if differs > LOOP_TOLERANCE {
            notes.push(FieldProblem::WidthDiffers { passage: i, off: differs });
        }
        let miss = middle(a.outside(a.left, p.depth), a.outside(a.right, p.depth)) - middle(b.left, b.right);
        let off = Length::from_mm_f64(miss.norm() / 1e6).unwrap_or(Length::LIMIT);
        if off > LOOP_TOLERANCE {
            notes.push(FieldProblem::LoopOpen { passage: i, off });
        }
    }
    notes
}
