//! What the floor of a room goes round: keep-outs as they are drawn, and located things with a size.

use super::rooms::{ResolvedRoom, keepout_ring};
use drylay_document::sheet::{Located, Room};
use drylay_geometry::{ItemId, Length, Point, Ring};
use drylay_survey::tape::PlacedThing;
use std::f64::consts::PI;

/// Something the floor goes round, in the room's plan coordinates.
pub(crate) struct GoesRound {
    /// Its name.
    pub(crate) id: ItemId,
    /// Its outline.
    pub(crate) ring: Ring,
    /// Where it stands in the room of the sheet, such as `keepouts[0]`.
    pub(crate) place: String,
}

/// All of it: keep-outs, then located things.
pub(crate) fn goes_round(room: &Room, resolved: &ResolvedRoom) -> Vec<GoesRound> {
    let drawn = room.keepouts.iter().enumerate().map(|(k, keepout)| GoesRound {
        id: keepout.id.clone(),
        ring: keepout_ring(&keepout.outline),
        place: format!("keepouts[{k}]"),
    });
    let placed = room.located.iter().enumerate().filter_map(|(k, located)| {
        let thing = resolved.things.iter().find(|thing| thing.id == located.id)?;
        Some(GoesRound {
            id: located.id.clone(),
            ring: thing_ring(located, thing)?,
            place: format!("located[{k}]"),
        })
    });
    drawn.chain(placed).collect()
}

/// A located thing's outline; `None` for a point.
pub(crate) fn thing_ring(located: &Located, thing: &PlacedThing) -> Option<Ring> {
    let ring = match (&located.diameter, &located.size) {
        (Some(diameter), _) => round(thing.at, diameter.length),
        (None, Some(size)) => square(thing, size.along.length.mm(), size.away.length.mm()),
        (None, None) => None,
    }?;
    Some(if ring.doubled_area() < 0 { ring.reversed() } else { ring })
}

/// So far, in mm, the sides drawn around a round thing may stand off it at their ends: less than a pencil line.
const STANDS_OFF: f64 = 0.25;

/// Straight sides around a round thing, touching it: the floor never runs into it.
fn round(at: (f64, f64), diameter: Length) -> Option<Ring> {
    let r = diameter.mm() / 2.0;
    let off = |sides: u32| r * (1.0 / libm::cos(PI / f64::from(sides)) - 1.0);
    let sides = (3..=24).map(|n| 4 * n).find(|&sides| off(sides) <= STANDS_OFF).unwrap_or(96);
    let corner = r + off(sides);
    let point = |k: u32| {
        let (sin, cos) = libm::sincos(2.0 * PI * (f64::from(k) + 0.5) / f64::from(sides));
        Point::from_mm_rounded(at.0 + corner * cos, at.1 + corner * sin)
    };
    (0..sides).map(point).collect::<Option<Vec<Point>>>().map(Ring::new)
}

fn square(thing: &PlacedThing, along: f64, away: f64) -> Option<Ring> {
    let (u, v) = thing.axes;
    let point = |(a, b): (f64, f64)| {
        Point::from_mm_rounded(thing.at.0 + a * u.0 + b * v.0, thing.at.1 + a * u.1 + b * v.1)
    };
    let corners = [(0.0, 0.0), (along, 0.0), (along, away), (0.0, away)];
    corners.into_iter().map(point).collect::<Option<Vec<Point>>>().map(Ring::new)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_around_a_round_thing_touch_it_and_stand_off_by_less_than_a_pencil_line() {
        for diameter in [20.0, 60.0, 114.3, 300.0, 600.0] {
            let ring =
                round((1000.0, 500.0), Length::from_mm_f64(diameter).expect("a length")).expect("a ring");
            let far = |p: &Point| {
                let (x, y) = p.mm();
                ((x - 1000.0) * (x - 1000.0) + (y - 500.0) * (y - 500.0)).sqrt()
            };
            for (a, b) in ring.edges() {
                let (ax, ay) = a.mm();
                let (bx, by) = b.mm();
                let squared = |x: f64| x * x;
                let middle = (squared((ax + bx) / 2.0 - 1000.0) + squared((ay + by) / 2.0 - 500.0)).sqrt();
                assert!((middle - diameter / 2.0).abs() < 0.002, "the middle of a side touches: {middle}");
                assert!(far(&a) - diameter / 2.0 <= STANDS_OFF + 0.002);
            }
        }
    }
}
