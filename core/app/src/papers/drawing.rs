//! A planned area as it is drawn.

use crate::answers::{PlanArea, PlannedArea};
use drylay_document::sheet::Sheet;
use drylay_geometry::Point;
use drylay_papers::{Cut, DrawnPiece, DrawnRoom, PlanDrawing};

pub(super) fn mm(p: Point) -> [f64; 2] {
    p.mm().into()
}

/// Draws an area: its rooms as they were placed, and the pieces as the plan answers them.
pub(super) fn of(sheet: &Sheet, area: &PlannedArea, wire: &PlanArea) -> PlanDrawing {
    let placed = || area.field.rooms.iter().zip(&area.making.rooms);
    let rooms = placed().map(|(placed, room)| DrawnRoom {
        name: sheet.room(&room.id).map_or_else(|| room.id.to_string(), |(_, room)| room.title().to_owned()),
        ring: room.edges().into_iter().map(|(_, from, _)| mm(placed.to_area(from))).collect(),
    });
    let keepouts = placed().flat_map(|(placed, room)| {
        room.keepouts.iter().map(|keepout| {
            let ring = keepout.ring.points.iter().map(|p| mm(placed.to_area(*p))).collect();
            (keepout.id.to_string(), ring)
        })
    });
    PlanDrawing {
        title: title(sheet, area),
        rooms: rooms.collect(),
        field: area.field.region.rings().map(|ring| ring.points.iter().copied().map(mm).collect()).collect(),
        keepouts: keepouts.collect(),
        openings: area.field.openings.iter().map(|o| [mm(o.left), mm(o.right)]).collect(),
        pieces: wire.pieces.iter().map(piece).collect(),
        joints: wire.movement_joints.iter().map(|joint| joint.line).collect(),
        chalk: wire.setting_out.as_ref().map(|set| set.line),
    }
}

/// What people call an area: its rooms.
pub(super) fn title(sheet: &Sheet, area: &PlannedArea) -> String {
    let name = |id| sheet.room(id).map_or_else(String::new, |(_, room)| room.title().to_owned());
    let names: Vec<String> = area.rooms.iter().map(name).filter(|name| !name.is_empty()).collect();
    if names.is_empty() { area.id.clone() } else { names.join(", ") }
}

fn piece(piece: &crate::answers::PieceAnswer) -> DrawnPiece {
    let rings = std::iter::once(&piece.outline).chain(&piece.holes);
    DrawnPiece {
        id: piece.id.clone(),
        cut: Cut::of_word(piece.cut).unwrap_or(Cut::Shape),
        tile: piece.tile,
        rings: rings.cloned().collect(),
    }
}
