//! Things on the floor, placed from the adjusted corners.

use super::bowed::bowed;
use super::check::{DraftProblem, check};
use super::draft::{Draft, LineSide, Located, LocatedBy};
use super::instrument::Tape;
use super::model::{right_of, span};
use super::room::{BowedWall, PlacedThing};
use super::start::meet;
use crate::network::Solution;
use drylay_geometry::{CornerId, Outline};

pub(crate) fn index(draft: &Draft, name: &CornerId) -> usize {
    draft.corners.iter().position(|c| c == name).unwrap_or(0)
}

/// Located things and strung walls of a room whose outline was given: its corners count as exact.
///
/// # Errors
/// Every problem of the draft's strings and located things.
pub fn on_outline(
    draft: &Draft,
    outline: &Outline,
    tape: &Tape,
) -> Result<(Vec<PlacedThing>, Vec<BowedWall>), Vec<DraftProblem>> {
    let problems = check(draft);
    if !problems.is_empty() {
        return Err(problems);
    }
    let known = Solution::exact(outline.corners().iter().map(|c| c.at.mm()).collect());
    Ok((things(draft, &known, tape), bowed(draft, &known, tape)))
}

/// Distances that miss each other by more than this many standard deviations do not belong to one place: as for
/// readings set aside (two-sided 0.1 %).
const FOUND_APART: f64 = 3.29;

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
    let meets =
        gap <= FOUND_APART * distances.map(|d| tape.sd_mm(d) * tape.sd_mm(d)).iter().sum::<f64>().sqrt();
    PlacedThing { id: thing.id.clone(), at: here, sd, gap, meets, axes: axes(&thing.by, corners, places, n) }
}

/// The direction of the line a thing was located from, and the direction to its side of it.
fn axes(by: &LocatedBy, corners: [usize; 2], places: [(f64, f64); 2], n: usize) -> ((f64, f64), (f64, f64)) {
    let right = right_of(places[0], places[1]);
    let along = (right.1, -right.0);
    let is_right = match by {
        LocatedBy::TwoDistances { side, .. } => *side == LineSide::Right,
        LocatedBy::AlongWall { .. } => (corners[0] + 1) % n == corners[1],
    };
    (along, if is_right { right } else { (-right.0, -right.1) })
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
