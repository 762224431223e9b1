//! A floor of rooms: where passages put them beside each other, with loops closed by least squares.

use super::plan::plan_room;
use super::rooms::ResolvedRoom;
use drylay_document::sheet::Sheet;
use drylay_geometry::{Length, Point};
use drylay_plan::place::{Places, Pose, exact_turn, one_by_one};
use drylay_plan::{Passage, Room};
use drylay_survey::house::{self, Floor, Side};
use serde::Serialize;

/// A floor of rooms that passages join.
#[derive(Debug, Serialize)]
pub struct FloorAnswer {
    /// The rooms, the one first whose frame the others are placed in.
    pub rooms: Vec<PlacedRoom>,
    /// The passages between them.
    pub passages: Vec<PassageAnswer>,
    /// Loops of passages; absent where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loops: Vec<LoopAnswer>,
}

/// Where a room lies.
#[derive(Debug, Serialize)]
pub struct PlacedRoom {
    /// The room.
    pub id: String,
    /// Its first corner.
    pub at: [f64; 2],
    /// How far it is turned, in degrees clockwise on the page.
    pub degrees: f64,
}

/// How a passage came out.
#[derive(Debug, Serialize)]
pub struct PassageAnswer {
    /// Room and opening on one side.
    pub a: [String; 2],
    /// Room and opening on the other.
    pub b: [String; 2],
    /// By how much the openings' middles miss each other along and across the wall, in mm.
    pub miss: [f64; 2],
    /// How far the two walls are from parallel.
    pub degrees: f64,
    /// The largest of these over its own standard deviation; absent where no loop checks the passage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub w: Option<f64>,
    /// Whether that is more than errors of measuring explain.
    pub suspect: bool,
}

/// A loop of passages.
#[derive(Debug, Serialize)]
pub struct LoopAnswer {
    /// The rooms in order.
    pub rooms: Vec<String>,
    /// By how much it does not close, before the miss is spread over its passages, in mm.
    pub misclosure: f64,
    /// By how much its walls do not come back to parallel.
    pub degrees: f64,
}

/// All floors of a sheet on which passages join rooms, in the order of their first rooms.
pub(crate) fn floors(sheet: &Sheet, resolved: &[ResolvedRoom]) -> Vec<FloorAnswer> {
    let (mut rooms, mut from) = (Vec::new(), Vec::new());
    for (i, (room, shape)) in sheet.rooms.iter().zip(resolved).enumerate() {
        if let Some((room, _)) = plan_room(room, shape) {
            rooms.push(room);
            from.push(i);
        }
    }
    let end = |end: &[String; 2]| {
        let room = rooms.iter().position(|r| r.id.as_str() == end[0])?;
        Some((room, rooms[room].openings.iter().position(|o| o.id.as_str() == end[1])?))
    };
    let passages: Vec<Passage> = sheet
        .passages
        .iter()
        .filter_map(|p| Some(Passage { a: end(&p.a)?, b: end(&p.b)?, depth: p.depth.length }))
        .collect();
    let Some(floor) = adjusted(&rooms, &passages) else { return Vec::new() };
    let firsts = (0..rooms.len()).filter(|&r| floor.group[r] == r);
    let joined = firsts.filter(|&first| passages.iter().any(|p| floor.group[p.a.0] == first));
    joined.map(|first| answer(&rooms, &passages, &floor, first)).collect()
}

fn answer(rooms: &[Room], passages: &[Passage], floor: &Floor, first: usize) -> FloorAnswer {
    let here = |room: usize| floor.group[room] == first;
    let name = |room: usize| rooms[room].id.to_string();
    let side = |(room, opening): (usize, usize)| [name(room), rooms[room].openings[opening].id.to_string()];
    let placed = |r: usize| PlacedRoom {
        id: name(r),
        at: [floor.poses[r].shift.0, floor.poses[r].shift.1],
        degrees: floor.poses[r].turn.to_degrees().rem_euclid(360.0),
    };
    let passage = |(p, out): (&Passage, &house::PassageResult)| PassageAnswer {
        a: side(p.a),
        b: side(p.b),
        miss: [out.gap.0, out.gap.1],
        degrees: out.twist,
        w: out.w,
        suspect: out.is_suspect(),
    };
    let round = |l: &house::Loop| LoopAnswer {
        rooms: l.rooms.iter().map(|&r| name(r)).collect(),
        misclosure: l.off(),
        degrees: l.twist,
    };
    FloorAnswer {
        rooms: (0..rooms.len()).filter(|&r| here(r)).map(placed).collect(),
        passages: passages.iter().zip(&floor.passages).filter(|(p, _)| here(p.a.0)).map(passage).collect(),
        loops: floor.loops.iter().filter(|l| here(passages[l.passage].a.0)).map(round).collect(),
    }
}

/// A loop that misses itself by less closes: what is left is rounding, in mm and in degrees.
const CLOSED: (f64, f64) = (1e-3, 1e-6);

/// Places rooms by least squares over their passages. Where every loop closes, going along the passages one by one
/// gives the same places, and exactly.
pub(crate) fn least_squares(rooms: &[Room], passages: &[Passage]) -> Places {
    let tree = one_by_one(rooms, passages);
    if tree.loops.is_empty() {
        return tree;
    }
    let Some(floor) = adjusted(rooms, passages) else { return tree };
    let loops: Vec<&house::Loop> =
        floor.loops.iter().filter(|l| floor.group[passages[l.passage].a.0] == 0).collect();
    if loops.iter().all(|l| l.off() < CLOSED.0 && l.twist.abs() < CLOSED.1) {
        return tree;
    }
    let poses = floor.poses.iter().zip(&floor.group);
    let off = |l: &house::Loop| Length::from_mm_f64(l.off()).unwrap_or(Length::LIMIT);
    Places {
        poses: poses.map(|(pose, group)| (*group == 0).then(|| on_the_page(*pose)).flatten()).collect(),
        loops: loops.into_iter().map(|l| (l.passage, off(l))).collect(),
    }
}

fn on_the_page(pose: house::Pose) -> Option<Pose> {
    let (sin, cos) = libm::sincos(pose.turn);
    let coordinate = Length::from_mm_f64;
    let origin = Point::new(coordinate(pose.shift.0)?, coordinate(pose.shift.1)?);
    Some(Pose { turn: exact_turn(cos, sin, 1e-12)?, origin })
}

/// `None` where a passage makes no sense; what is wrong with it is told where its field is made.
fn adjusted(rooms: &[Room], passages: &[Passage]) -> Option<Floor> {
    let all: Option<Vec<house::Passage>> = passages
        .iter()
        .map(|p| {
            Some(house::Passage {
                a: side(rooms, p.a)?,
                b: side(rooms, p.b)?,
                depth: p.depth.mm(),
                sd: house::Passage::USUAL_SD,
                sd_degrees: house::Passage::USUAL_SD_DEGREES,
            })
        })
        .collect();
    house::place(rooms.len(), &all?).ok()
}

fn side(rooms: &[Room], (room, opening): (usize, usize)) -> Option<Side> {
    let opening = rooms.get(room)?.openings.get(opening)?;
    let wall = rooms[room].outline.wall(opening.wall);
    let (ux, uy) = wall.direction()?.components();
    let ((x, y), long) = (wall.from.mm(), wall.length().mm());
    let at = |mm: f64| (x + mm.min(long) * ux, y + mm.min(long) * uy);
    let start = opening.start.mm();
    Some(Side { room, left: at(start), right: at(start + opening.width.mm()) })
}
