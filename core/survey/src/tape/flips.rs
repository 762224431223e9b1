//! Shapes that distances alone cannot tell apart: a part of the room folded over a line through two corners.
//!
//! Readings fix a shape only up to such folds (Hendrickson, *Conditions for unique graph realizations*, 1992: two
//! corners whose removal splits the graph of readings are an axis about which one side can be reflected). Right
//! angles and what was said about the turns choose among them; where both would do, the room is ambiguous.

use super::draft::Turn;
use super::model::{DEGREE, Model, Shape, in_frame, is_room, span};
use super::solve::{Fit, fit, refit};
use crate::network::misfit;
use std::f64::consts::PI;

/// Rooms with more corners are not searched for other shapes: it would take too long on a phone.
const MOST_SEARCHED: usize = 60;
/// A shape that does not fit is not searched for a better one, corner by corner, in rooms with more corners.
const MOST_IMPROVED: usize = 24;

/// Of two fits the one that is a room, is not strained, keeps to the turns that were said, and is nearest to right
/// angles, in this order.
pub(crate) fn better(model: &Model, one: Option<Fit>, other: Fit) -> Fit {
    let Some(one) = one else { return other };
    let rank = |f: &Fit| (!is_room(&f.at), f.strained());
    let (a, b) = (rank(&one), rank(&other));
    if a != b {
        return if b < a { other } else { one };
    }
    if a.1 && (other.sum < one.sum / 4.0 || one.sum < other.sum / 4.0) {
        return if other.sum < one.sum { other } else { one };
    }
    let turns = |f: &Fit| said_otherwise(model, &f.at);
    let (p, q) = (turns(&one), turns(&other));
    let nearer = crookedness(model, &other.at) < crookedness(model, &one.at) * (1.0 - 1e-6);
    if q < p || (q == p && nearer) { other } else { one }
}

/// How many corners turn otherwise than was said outright.
fn said_otherwise(model: &Model, at: &[(f64, f64)]) -> usize {
    model.wrong_turns(at).into_iter().filter(|&c| model.turns[c].is_some()).count()
}

/// Sum of squared departures from right angles over the corners that were not checked, in rad².
fn crookedness(model: &Model, at: &[(f64, f64)]) -> f64 {
    let angles = model.angles(at);
    let off = |c: usize| angles[c] - model.square_angle(c);
    (0..model.corners).filter(|&c| !model.is_checked_square(c)).map(|c| off(c) * off(c)).sum()
}

/// Tries folds of a shape that does not fit, as long as one fits much better.
pub(crate) fn improve(model: &Model, mut best: Fit) -> Fit {
    if model.corners > MOST_IMPROVED {
        return best;
    }
    for _ in 0..model.corners {
        let was = (is_room(&best.at), best.sum);
        for start in single(model, &best.at).into_iter().chain(folded(model, &best.at)) {
            if let Ok(other) = fit(model, &start) {
                best = better(model, Some(best), other);
            }
        }
        let done = is_room(&best.at) && !best.strained();
        if done || (was.0 == is_room(&best.at) && best.sum > was.1 / 4.0) {
            break;
        }
    }
    best
}

/// Another room that fits the readings as well and is not clearly further from what was said and from right
/// angles; with the fit as it is.
pub(crate) fn other(model: &Model, best: &Fit) -> Option<Shape> {
    if model.corners > MOST_SEARCHED {
        return None;
    }
    let straight: Vec<usize> = near_straight(model, &best.at);
    let flat = straight.iter().map(|&c| mirrored(&best.at, &[c], model.before(c), model.next(c)));
    let starts = flat.chain(folded(model, &best.at)).map(|s| in_frame(&s)).filter(|s| is_room(s));
    let observations = model.observations(&best.assumed);
    let near = starts.filter(|s| misfit(s, &observations) < best.sum + WITHIN_REACH);
    for start in near {
        let Some(other) = refit(model, &start, &best.assumed, best.free) else { continue };
        let fits = other.sum < best.sum + ABOUT_AS_WELL && is_room(&other.at);
        if fits && differs(&best.at, &other.at) && as_likely(model, &best.at, &other.at) {
            return Some(other.at);
        }
    }
    None
}

/// Two shapes fit about as well when their sums of squares differ by less than one reading three deviations off.
const ABOUT_AS_WELL: f64 = 9.0;
/// A folded shape whose sum of squares begins higher than this above the given one's is not followed: a room loose
/// enough to take up that much would be loose in the given shape as well.
const WITHIN_REACH: f64 = 1000.0;
/// Shapes nearer than this at every corner (mm) are one shape.
const SAME: f64 = 5.0;
/// Another shape counts unless its departures from right angles are, in the square, at least twice as large: of two
/// mirror images of a corner the one turned in is taken up to about 165°, beyond that neither.
const CLEARLY: f64 = 2.0;

fn differs(a: &[(f64, f64)], b: &[(f64, f64)]) -> bool {
    a.iter().zip(b).any(|(p, q)| span(*p, *q) > SAME)
}

fn as_likely(model: &Model, best: &[(f64, f64)], other: &[(f64, f64)]) -> bool {
    if said_otherwise(model, other) > said_otherwise(model, best) {
        return false;
    }
    let (a, b) = (model.angles(best), model.angles(other));
    let moved = (0..model.corners).filter(|&c| !model.is_checked_square(c) && (a[c] - b[c]).abs() > DEGREE);
    let (mut here, mut there) = (0.0, 0.0);
    for c in moved {
        let right = model.square_angle(c);
        here += (a[c] - right) * (a[c] - right);
        there += (b[c] - right) * (b[c] - right);
    }
    there < CLEARLY * here
}

/// Corners within 20° of straight whose turn nobody said.
fn near_straight(model: &Model, at: &[(f64, f64)]) -> Vec<usize> {
    let angles = model.angles(at);
    let open = |c: usize| model.turns[c].is_none() && (angles[c] - PI).abs() < 20.0 * DEGREE;
    (0..model.corners).filter(|&c| open(c)).collect()
}

/// Every corner folded over the line between its neighbours.
fn single(model: &Model, at: &[(f64, f64)]) -> Vec<Shape> {
    (0..model.corners).map(|c| in_frame(&mirrored(at, &[c], model.before(c), model.next(c)))).collect()
}

/// The shape with some corners reflected in the line through two.
fn mirrored(at: &[(f64, f64)], part: &[usize], u: usize, v: usize) -> Shape {
    let mut out = at.to_vec();
    let (o, d) = (at[u], span(at[u], at[v]).max(1e-9));
    let (ux, uy) = ((at[v].0 - o.0) / d, (at[v].1 - o.1) / d);
    for &c in part {
        let up = (at[c].1 - o.1) * ux - (at[c].0 - o.0) * uy;
        out[c] = (at[c].0 + 2.0 * up * uy, at[c].1 - 2.0 * up * ux);
    }
    out
}

/// Every part that two corners cut off from the rest of the readings, reflected in the line through the two.
fn folded(model: &Model, at: &[(f64, f64)]) -> Vec<Shape> {
    let n = model.corners;
    let links = links(model);
    let mut shapes = Vec::new();
    for u in 0..n {
        for v in u + 1..n {
            for part in parts(&links, n, u, v) {
                shapes.push(in_frame(&mirrored(at, &part, u, v)));
            }
        }
    }
    shapes
}

/// For each corner the set of corners it was read to, as bits. A square check joins its three corners.
fn links(model: &Model) -> Vec<u64> {
    let mut links = vec![0u64; model.corners];
    let mut join = |a: usize, b: usize| {
        links[a] |= 1 << b;
        links[b] |= 1 << a;
    };
    model.lines.iter().for_each(|l| join(l.from, l.to));
    for s in &model.squares {
        let (a, b) = (model.before(s.corner), model.next(s.corner));
        join(a, s.corner);
        join(s.corner, b);
        join(a, b);
    }
    links
}

/// The connected parts left when two corners are taken out, without the one of the first corner that is left;
/// nothing if all stay connected.
fn parts(links: &[u64], n: usize, u: usize, v: usize) -> Vec<Vec<usize>> {
    let all = if n == 64 { u64::MAX } else { (1u64 << n) - 1 };
    let mut open = all & !(1 << u) & !(1 << v);
    let mut found = Vec::new();
    while open != 0 {
        let mut part = open & open.wrapping_neg();
        let mut edge = part;
        while edge != 0 {
            let new = links[edge.trailing_zeros() as usize] & open & !part;
            part |= new;
            edge = (edge & (edge - 1)) | new;
        }
        if part == open && found.is_empty() {
            return Vec::new();
        }
        open &= !part;
        found.push((0..n).filter(|&c| part >> c & 1 == 1).collect());
    }
    if found.len() > 1 { found.split_off(1) } else { Vec::new() }
}

/// The pair of corners, not yet read, whose distance differs most between two shapes: what decides between them.
pub(crate) fn decider(model: &Model, a: &[(f64, f64)], b: &[(f64, f64)]) -> Option<(usize, usize)> {
    let n = model.corners;
    let mut best: Option<(f64, (usize, usize))> = None;
    for i in 0..n {
        for j in (i + 1..n).filter(|&j| !model.is_read(i, j)) {
            let by = (span(a[i], a[j]) - span(b[i], b[j])).abs();
            if best.is_none_or(|(most, _)| by > most + 1e-6) {
                best = Some((by, (i, j)));
            }
        }
    }
    best.filter(|(by, _)| *by > 0.1).map(|b| b.1)
}

/// Corners said (or presumed) to turn one way that turn the other.
pub(crate) fn turned_otherwise(model: &Model, at: &[(f64, f64)]) -> Vec<(usize, Turn)> {
    let flip = |c: usize| if model.turns[c] == Some(Turn::Out) { Turn::In } else { Turn::Out };
    model.wrong_turns(at).into_iter().map(|c| (c, flip(c))).collect()
}
