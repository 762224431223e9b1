//! How a room was measured, strings along its walls and things located in it, for the screens.

use crate::commands::measured::magnitude;
use crate::desk::SeenRoom;
use crate::show::{stamp, typed};
use crate::surveyed::Surveyed;
use crate::wire::{
    Instrument, LegView, LocatedBy, LocatedView, MeasuredView, OffsetView, Thing, Touched, Units,
};
use drylay_document::{self as document, Held, Keepout, KeepoutKind, LineSide, MeasuredTo, RoomView};
use drylay_geometry::{ItemId, Length};
use drylay_survey::tape::PlacedThing;

pub(super) fn touched(to: MeasuredTo) -> Touched {
    match to {
        MeasuredTo::Wall => Touched::Wall,
        MeasuredTo::Trim => Touched::Trim,
        MeasuredTo::Plate => Touched::Plate,
    }
}

pub(super) fn thing(kind: KeepoutKind) -> Thing {
    match kind {
        KeepoutKind::Cabinet => Thing::Cabinet,
        KeepoutKind::Post => Thing::Post,
        KeepoutKind::Hearth => Thing::Hearth,
        KeepoutKind::Register => Thing::Register,
        KeepoutKind::Pipe => Thing::Pipe,
        KeepoutKind::Other => Thing::Other,
    }
}

/// How the room was measured; where nobody said, to bare walls with a tape as good as the sheet presumes.
pub(super) fn measured(view: &RoomView) -> MeasuredView {
    let facts = view.facts.value.as_ref();
    let instrument = match facts.and_then(|facts| facts.instrument) {
        Some(document::Instrument::Laser) => Instrument::Laser,
        Some(document::Instrument::TapeMetric) => Instrument::TapeMetric,
        Some(document::Instrument::Tape) | None => Instrument::Tape,
    };
    MeasuredView {
        to: facts.and_then(|facts| facts.measured_to).map_or(Touched::Wall, touched),
        thickness: facts.and_then(|facts| facts.trim_thickness.as_ref()).map(typed),
        height: facts.and_then(|facts| facts.measured_at.as_ref()).map(typed),
        instrument,
    }
}

/// All offsets from strings, wall by wall in walking order, then along the wall.
pub(super) fn offsets(seen: &SeenRoom, drawn: &Surveyed, units: Units) -> Vec<OffsetView> {
    let walk = seen.labels.walk();
    let place = |id: &ItemId| walk.iter().position(|(corner, _)| corner == id);
    let mut all: Vec<_> = seen.view.strings.live.iter().collect();
    all.sort_by_key(|held| (place(&held.value.from), held.value.along.length(), held.id.clone()));
    all.into_iter().map(|held| offset(seen, drawn, held, units)).collect()
}

fn offset(
    seen: &SeenRoom,
    drawn: &Surveyed,
    held: &Held<document::StringOffset>,
    units: Units,
) -> OffsetView {
    let it = &held.value;
    let (along, off) = (it.along.length().mm(), it.offset.length());
    let line = wall(drawn, &it.from, &it.to).map(|(from, u, inward)| {
        let foot = [from[0] + along * u[0], from[1] + along * u[1]];
        [foot, [foot[0] - off.mm() * inward[0], foot[1] - off.mm() * inward[1]]]
    });
    let out = off >= Length::ZERO;
    OffsetView {
        id: held.id.to_string(),
        from: seen.labels.of_corner(&it.from),
        to: seen.labels.of_corner(&it.to),
        along: typed(&it.along),
        offset: if out { typed(&it.offset) } else { typed(&units.made(magnitude(off))) },
        out,
        line,
        stamp: stamp(&held.added),
    }
}

/// A wall as drawn: its left corner, its direction, and the direction into the room.
fn wall(drawn: &Surveyed, from: &ItemId, to: &ItemId) -> Option<([f64; 2], [f64; 2], [f64; 2])> {
    let (a, b) = (corner(drawn, from)?, corner(drawn, to)?);
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = (dx * dx + dy * dy).sqrt();
    (long > 0.0).then(|| (a, [dx / long, dy / long], [-dy / long, dx / long]))
}

fn corner(drawn: &Surveyed, id: &ItemId) -> Option<[f64; 2]> {
    let place = drawn.corners.iter().position(|corner| corner == id)?;
    drawn.points()?.get(place).copied()
}

/// The outline with its bowed walls, flat; `None` where no wall is bowed.
pub(super) fn shape(drawn: &Surveyed) -> Option<Vec<f64>> {
    let points = drawn.points()?;
    if drawn.bowed.iter().all(|wall| wall.points.is_empty()) {
        return None;
    }
    let mut flat = Vec::new();
    for (n, point) in points.iter().enumerate() {
        flat.extend(point);
        let bows = drawn.bowed.iter().filter(|wall| wall.wall == n);
        flat.extend(bows.flat_map(|wall| &wall.points).flat_map(|&(x, y)| [x, y]));
    }
    Some(flat)
}

/// The outline of a located thing; empty for a point, or where the room is not solved.
pub(super) fn ring(drawn: &Surveyed, id: &ItemId) -> Vec<[f64; 2]> {
    let found = drawn.located.iter().find(|(thing, _)| thing.id == *id);
    let ring = found.and_then(|(_, ring)| ring.as_ref());
    ring.map(|ring| ring.points.iter().map(|p| p.mm().into()).collect()).unwrap_or_default()
}

/// How a thing was located; `None` for one that was drawn.
pub(super) fn located(
    seen: &SeenRoom,
    drawn: &Surveyed,
    held: &Held<Keepout>,
    units: Units,
) -> Option<LocatedView> {
    let it = &held.value;
    let placed = drawn.located.iter().find(|(thing, _)| thing.id == held.id).map(|(thing, _)| thing);
    let (by, from, to, first, second) = match (&it.distances[..], &it.wall[..]) {
        ([(from, first), (to, second)], _) => (LocatedBy::Corners, from, to, first, second),
        (_, [from, to]) => (LocatedBy::Wall, from, to, it.along.as_ref()?, it.away.as_ref()?),
        _ => return None,
    };
    let ends = corner(drawn, from).zip(corner(drawn, to));
    let legs = placed.zip(ends).map(|(thing, ends)| legs(by, thing, ends, [first.text(), second.text()]));
    Some(LocatedView {
        by,
        from: seen.labels.of_corner(from),
        to: seen.labels.of_corner(to),
        first: typed(first),
        second: typed(second),
        left: it.side == Some(LineSide::Left),
        diameter: it.diameter.as_ref().map(typed),
        size_along: it.size_along.as_ref().map(typed),
        size_away: it.size_away.as_ref().map(typed),
        at: placed.map(|thing| thing.at.into()),
        legs: legs.unwrap_or_default(),
        gap_text: placed.filter(|thing| !thing.meets).map(|thing| units.known(thing.gap, 1.0)),
    })
}

fn legs(by: LocatedBy, thing: &PlacedThing, ends: ([f64; 2], [f64; 2]), texts: [&str; 2]) -> Vec<LegView> {
    let at: [f64; 2] = thing.at.into();
    let (first, second) = match by {
        LocatedBy::Corners => ([ends.0, at], [ends.1, at]),
        LocatedBy::Wall => {
            let ((ux, uy), (from, here)) = (thing.axes.0, (ends.0, at));
            let along = (here[0] - from[0]) * ux + (here[1] - from[1]) * uy;
            let foot = [from[0] + along * ux, from[1] + along * uy];
            ([from, foot], [foot, at])
        }
    };
    let leg = |(line, text): ([[f64; 2]; 2], &str)| LegView { line, text: text.to_owned() };
    [(first, texts[0]), (second, texts[1])].into_iter().map(leg).collect()
}
