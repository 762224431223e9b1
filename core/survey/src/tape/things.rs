//! Bowed walls and things on the floor, placed from the adjusted corners.

use super::draft::{Draft, LineSide, Located, LocatedBy, StringLine};
use super::instrument::Tape;
use super::model::{right_of, span};
use super::room::{BowedWall, PlacedThing};
use super::start::meet;
use crate::network::Solution;
use drylay_geometry::CornerId;

fn index(draft: &Draft, name: &CornerId) -> usize {
    draft.corners.iter().position(|c| c == name).unwrap_or(0)
}

/// All located things. A distance's own standard deviation is the tape's.
pub(crate) fn things(draft: &Draft, known: &Solution, tape: &Tape) -> Vec<PlacedThing> {
    draft.located.iter().map(|thing| place(draft, thing, known, tape)).collect()
}

fn place(draft: &Draft, thing: &Located, known: &Solution, tape: &Tape) -> PlacedThing {
    let (corners, distances) = match &thing.by {
        LocatedBy::TwoDistances { first, second, .. } => {
            ([index(draft, &first.0), index(draft, &second.0)], [first.1.mm(), second.1.mm()])
        }
        LocatedBy::AlongWall { from, towards, along, away } => {
            ([index(draft, from), index(draft, towards)], [along.mm(), away.mm()])
        }
    };
    let n = draft.corners.len();
    let at = |p: [(f64, f64); 2], d: [f64; 2]| match &thing.by {
        LocatedBy::TwoDistances { side, .. } => {
            meet(p[0], d[0], p[1], d[1], if *side == LineSide::Right { 1.0 } else { -1.0 })
        }
        LocatedBy::AlongWall { .. } => {
            let inward =
                if (corners[0] + 1) % n == corners[1] { right_of(p[0], p[1]) } else { right_of(p[1], p[0]) };
            let l = span(p[0], p[1]).max(1e-9);
            let (ux, uy) = ((p[1].0 - p[0].0) / l, (p[1].1 - p[0].1) / l);
            (p[0].0 + d[0] * ux + d[1] * inward.0, p[0].1 + d[0] * uy + d[1] * inward.1)
        }
    };
    let places = corners.map(|c| known.at[c]);
    let here = at(places, distances);
    let gap = match thing.by {
        LocatedBy::TwoDistances { .. } => apart(span(places[0], places[1]), distances),
        LocatedBy::AlongWall { .. } => 0.0,
    };
    let sd = spread(known, corners, places, distances, &at, tape);
    PlacedThing { id: thing.id.clone(), at: here, sd, gap }
}

/// How far two circles are from meeting.
fn apart(between: f64, [p, q]: [f64; 2]) -> f64 {
    (between - p - q).max((p - q).abs() - between).max(0.0)
}

/// Where a thing is, from the places of two corners and two distances.
type PlaceOf<'a> = dyn Fn([(f64, f64); 2], [f64; 2]) -> (f64, f64) + 'a;

/// Propagates corners' covariance and the two distances' own variance by central differences of 0.01 mm; near a
/// grazing cut of the circles the true uncertainty is not normal and larger.
fn spread(
    known: &Solution,
    corners: [usize; 2],
    places: [(f64, f64); 2],
    distances: [f64; 2],
    at: &PlaceOf<'_>,
    tape: &Tape,
) -> (f64, f64) {
    const STEP: f64 = 0.01;
    let slope = |k: usize| {
        let moved = |by: f64| {
            let (mut p, mut d) = (places, distances);
            match k {
                0 => p[0].0 += by,
                1 => p[0].1 += by,
                2 => p[1].0 += by,
                3 => p[1].1 += by,
                _ => d[k - 4] += by,
            }
            at(p, d)
        };
        let (a, b) = (moved(-STEP), moved(STEP));
        ((b.0 - a.0) / (2.0 * STEP), (b.1 - a.1) / (2.0 * STEP))
    };
    let slopes: Vec<(f64, f64)> = (0..6).map(slope).collect();
    let coordinate = |k: usize| 2 * corners[k / 2] + k % 2;
    let row = |f: &dyn Fn(&(f64, f64)) -> f64| -> Vec<(usize, f64)> {
        (0..4).map(|k| (coordinate(k), f(&slopes[k]))).collect()
    };
    let own = |f: &dyn Fn(&(f64, f64)) -> f64| -> f64 {
        (0..2).map(|k| f(&slopes[4 + k]) * tape.sd_mm(distances[k])).map(|s| s * s).sum()
    };
    let sd = |f: &dyn Fn(&(f64, f64)) -> f64| {
        let row = row(f);
        (known.between(&row, &row).max(0.0) + own(f)).sqrt()
    };
    (sd(&|s| s.0), sd(&|s| s.1))
}

/// All walls with strings.
pub(crate) fn bowed(draft: &Draft, known: &Solution) -> Vec<BowedWall> {
    draft.strings.iter().map(|s| bow(draft, s, known)).collect()
}

fn bow(draft: &Draft, string: &StringLine, known: &Solution) -> BowedWall {
    let (wall, to) = (index(draft, &string.from), index(draft, &string.to));
    let (a, b) = (known.at[wall], known.at[to]);
    let (l, inward) = (span(a, b).max(1e-9), right_of(a, b));
    let (ux, uy) = ((b.0 - a.0) / l, (b.1 - a.1) / l);
    let mut offsets: Vec<(f64, f64)> = string.offsets.iter().map(|(s, o)| (s.mm(), o.mm())).collect();
    offsets.sort_by(|p, q| p.0.total_cmp(&q.0));
    let point = |&(s, o): &(f64, f64)| (a.0 + s * ux - o * inward.0, a.1 + s * uy - o * inward.1);
    let most = offsets.iter().map(|o| o.1).fold(0.0f64, |m, o| if o.abs() > m.abs() { o } else { m });
    BowedWall { wall, points: offsets.iter().map(point).collect(), most }
}
