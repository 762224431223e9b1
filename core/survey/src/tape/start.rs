//! Shapes to start from: the walk with right angles, and corners put together from readings like triangles.

use super::draft::Turn;
use super::model::{DEGREE, Model, Shape, in_frame, span};
use crate::traverse::{self, compass_rule};
use std::f64::consts::PI;

/// What stands for a length nobody read, if nothing was read at all.
const ANY_LENGTH: f64 = 3000.0;

/// The pair's reading as corrected; the middle one of several (the lower of two), which a single slip cannot move
/// far where there are three.
fn read_between(model: &Model, i: usize, j: usize) -> Option<f64> {
    let value = |&(_, _, k): &(usize, usize, usize)| model.lines[k].value;
    match model.between(i, j) {
        [] => None,
        [only] => Some(value(only)),
        several => {
            let mut values: Vec<f64> = several.iter().map(value).collect();
            values.sort_by(f64::total_cmp);
            Some(values[(values.len() - 1) / 2])
        }
    }
}

/// The walk along the walls: turning by the angles that ties or square checks give, else by right angles, closed
/// by the compass rule (misclosure shared out by wall length).
pub(crate) fn walk(model: &Model) -> Shape {
    let directions = directions(&walk_angles(model));
    let lengths = wall_lengths(model, &directions);
    in_frame(&closed(&directions, &lengths))
}

/// Angles on the floor's side that add up to (n − 2) · 180°.
pub(crate) fn walk_angles(model: &Model) -> Vec<f64> {
    let known: Vec<Option<f64>> = (0..model.corners).map(|c| known_angle(model, c)).collect();
    let mut angles: Vec<f64> =
        known.iter().enumerate().map(|(c, a)| a.unwrap_or_else(|| model.square_angle(c))).collect();
    let free: Vec<usize> = (0..model.corners).filter(|&c| known[c].is_none()).collect();
    let free = if free.is_empty() { (0..model.corners).collect() } else { free };
    let lacking = (model.corners as f64 - 2.0) * PI - angles.iter().sum::<f64>();
    let share = lacking / free.len() as f64;
    for c in free {
        let out = model.turns[c] == Some(Turn::Out);
        let (low, high) = if out { (180.1, 340.0) } else { (20.0, 179.9) };
        angles[c] = (angles[c] + share).clamp(low * DEGREE, high * DEGREE);
    }
    angles
}

/// The angle that a square check gives, or both walls and the tie across by the law of cosines.
fn known_angle(model: &Model, corner: usize) -> Option<f64> {
    if model.is_checked_square(corner) {
        return Some(model.square_angle(corner));
    }
    let (a, b) = (model.before(corner), model.next(corner));
    let (p, q) = (read_between(model, a, corner)?, read_between(model, corner, b)?);
    let across = read_between(model, a, b)?;
    let cosine = (p * p + q * q - across * across) / (2.0 * p * q);
    let angle = libm::acos(cosine.clamp(-1.0, 1.0));
    Some(if model.turns[corner] == Some(Turn::Out) { 2.0 * PI - angle } else { angle })
}

/// Readings of the walls; walls that were not read get the lengths that close the walk and stay nearest to the
/// usual length.
fn wall_lengths(model: &Model, directions: &[(f64, f64)]) -> Vec<f64> {
    let read: Vec<Option<f64>> = (0..model.corners).map(|i| read_between(model, i, model.next(i))).collect();
    let known: Vec<f64> = read.iter().flatten().copied().collect();
    let usual =
        if known.is_empty() { usual_length(model) } else { known.iter().sum::<f64>() / known.len() as f64 };
    let lengths: Vec<f64> = read.iter().map(|r| r.unwrap_or(usual)).collect();
    let gap = traverse::misclosure(&legs(directions, &lengths));
    let (mut xx, mut xy, mut yy) = (1e-9, 0.0, 1e-9);
    for (d, _) in directions.iter().zip(&read).filter(|(_, r)| r.is_none()) {
        (xx, xy, yy) = (xx + d.0 * d.0, xy + d.0 * d.1, yy + d.1 * d.1);
    }
    let det = xx * yy - xy * xy;
    let (mx, my) = ((yy * gap.0 - xy * gap.1) / det, (xx * gap.1 - xy * gap.0) / det);
    let found = |(l, (d, r)): (f64, (&(f64, f64), &Option<f64>))| match r {
        Some(_) => l,
        None => (l - mx * d.0 - my * d.1).clamp(usual / 20.0, usual * 20.0),
    };
    lengths.into_iter().zip(directions.iter().zip(&read)).map(found).collect()
}

fn usual_length(model: &Model) -> f64 {
    let sum: f64 = model.lines.iter().map(|l| l.value).sum();
    if model.lines.is_empty() { ANY_LENGTH } else { sum / model.lines.len() as f64 }
}

fn legs(directions: &[(f64, f64)], lengths: &[f64]) -> Vec<(f64, f64)> {
    directions.iter().zip(lengths).map(|(d, l)| (d.0 * l, d.1 * l)).collect()
}

fn closed(directions: &[(f64, f64)], lengths: &[f64]) -> Shape {
    let mut here = (0.0, 0.0);
    let step = |leg: (f64, f64)| {
        let place = here;
        here = (here.0 + leg.0, here.1 + leg.1);
        place
    };
    compass_rule(&legs(directions, lengths), lengths).into_iter().map(step).collect()
}

/// Unit vectors along the walls, the first along x.
fn directions(angles: &[f64]) -> Vec<(f64, f64)> {
    let mut heading = 0.0;
    let one = |(i, angle): (usize, &f64)| {
        heading += if i > 0 { PI - angle } else { 0.0 };
        let (s, c) = libm::sincos(heading);
        (c, s)
    };
    angles.iter().enumerate().map(one).collect()
}

/// How far the walk along the walls as read, turning by given angles, ends from where it began; `None` if a wall
/// was not read. In mm, in the sheet's frame.
pub(crate) fn misclosure(model: &Model, angles: Option<&[f64]>) -> Option<(f64, f64)> {
    let lengths: Option<Vec<f64>> =
        (0..model.corners).map(|i| read_between(model, i, model.next(i))).collect();
    let own = walk_angles(model);
    let angles = angles.unwrap_or(&own);
    lengths.map(|l| traverse::misclosure(&legs(&directions(angles), &l)))
}

/// Corners put together one after another from two readings to corners that have a place: the way a room is read
/// from two of its corners. `None` if a corner cannot be reached so.
pub(crate) fn triangles(model: &Model) -> Option<Shape> {
    let n = model.corners;
    let mut read = vec![None; n * n];
    for l in &model.lines {
        read[l.from * n + l.to] = read_between(model, l.from, l.to);
        read[l.to * n + l.from] = read[l.from * n + l.to];
    }
    let base = best_base(model, &read)?;
    let mut at: Vec<Option<(f64, f64)>> = vec![None; n];
    at[base.0] = Some((0.0, 0.0));
    at[base.1] = Some((read[base.0 * n + base.1]?, 0.0));
    for _ in 2..n {
        let links = |k: usize| (0..n).filter(|&i| at[i].is_some() && read[k * n + i].is_some()).count();
        let open = (0..n).filter(|&k| at[k].is_none());
        let k = open.fold(None, |b: Option<(usize, usize)>, k| {
            let count = links(k);
            if b.is_none_or(|(most, _)| count > most) { Some((count, k)) } else { b }
        })?;
        if k.0 < 2 {
            return None;
        }
        at[k.1] = Some(place(&at, &read, k.1));
    }
    let at: Option<Shape> = at.into_iter().collect();
    at.map(|at| in_frame(&at))
}

/// The read pair that most corners were read from; the longer of equals.
fn best_base(model: &Model, read: &[Option<f64>]) -> Option<(usize, usize)> {
    let n = model.corners;
    let mut best: Option<(usize, f64, (usize, usize))> = None;
    for i in 0..n {
        for j in i + 1..n {
            let Some(length) = read[i * n + j] else { continue };
            let both = (0..n).filter(|&k| read[i * n + k].is_some() && read[j * n + k].is_some()).count();
            if best.is_none_or(|(most, long, _)| both > most || (both == most && length > long)) {
                best = Some((both, length, (i, j)));
            }
        }
    }
    best.map(|b| b.2)
}

/// Where a corner lies by its readings to placed corners: of all meeting points of two circles the one that fits
/// the other readings best, and turns clockwise in walking order where nothing else decides.
fn place(at: &[Option<(f64, f64)>], read: &[Option<f64>], k: usize) -> (f64, f64) {
    let n = at.len();
    let seen: Vec<(usize, (f64, f64), f64)> =
        (0..n).filter_map(|i| Some((i, at[i]?, read[k * n + i]?))).take(8).collect();
    let mut best: Option<(f64, (f64, f64))> = None;
    for (u, a) in seen.iter().enumerate() {
        for b in &seen[u + 1..] {
            for side in [1.0, -1.0] {
                let p = meet(a.1, a.2, b.1, b.2, side);
                let misfit: f64 = seen.iter().map(|s| (span(p, s.1) - s.2) * (span(p, s.1) - s.2)).sum();
                // Walking order i < j < k is clockwise if k lies to the right of i → j, also after a rotation.
                let clockwise = if (k < a.0) || (k > b.0) { 1.0 } else { -1.0 };
                let cost = misfit + if side == clockwise { 0.0 } else { 100.0 };
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, p));
                }
            }
        }
    }
    best.map_or((0.0, 0.0), |b| b.1)
}

/// The meeting point of two circles to the right (side 1) or left (−1) of the way from a to b; where they do not
/// meet, the point between them.
pub(crate) fn meet(a: (f64, f64), p: f64, b: (f64, f64), q: f64, side: f64) -> (f64, f64) {
    let d = span(a, b).max(1e-9);
    let along = (p * p - q * q + d * d) / (2.0 * d);
    let up = (p * p - along * along).max(0.0).sqrt() * side;
    let (ux, uy) = ((b.0 - a.0) / d, (b.1 - a.1) / d);
    (a.0 + along * ux - up * uy, a.1 + along * uy + up * ux)
}
