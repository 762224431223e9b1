//! What to measure next: the tie that most sharpens the room, or that checks a reading nothing checks yet.
//!
//! Adding an observation with gradient g and variance s² to a room with covariance C changes the variance of any
//! function h by −(hᵀCg)² / (s² + gᵀCg), the update formula of sequential least squares (Strang and Borre,
//! *Linear Algebra, Geodesy, and GPS*, 1997, section 11.7). So every candidate is judged without solving again.

use super::draft::Draft;
use super::instrument::Tape;
use super::model::{Model, ring, span};
use super::room::Room;
use crate::network::{Gradient, Observed, Solution, UNCHECKED};
use drylay_geometry::{Point, Ring};

/// A tie worth measuring.
#[derive(Clone, Debug, PartialEq)]
pub struct NextTie {
    /// Corners by index.
    pub from: usize,
    /// The other end.
    pub to: usize,
    /// By how many mm the largest standard deviation of any corner-to-corner distance falls.
    pub gain_mm: f64,
    /// Readings that nothing checks now and that this tie would check.
    pub checks: Vec<usize>,
}

/// A tie that lowers the largest standard deviation by less than this part is not worth walking for.
const WORTH_PART: f64 = 0.1;
/// Nor is one that lowers it by less than this, in mm: half the finest mark on a tape.
const WORTH_MM: f64 = 0.2;
/// How many ties are offered.
const OFFERED: usize = 5;
/// In rooms with more pairs of corners than this only the worst known are compared while ranking; what is offered
/// is then computed over all pairs.
const MOST_PAIRS: usize = 2000;

/// Two corners: the derivative of their distance and its variance.
#[derive(Clone, Copy)]
pub(crate) struct Pair {
    ends: (usize, usize),
    row: Gradient,
    variance: f64,
}

/// The ties worth measuring in a room that was adjusted from that draft, as [`Room::next`] has them. None for a room
/// without corners.
pub fn next_ties(draft: &Draft, room: &Room, tape: &Tape) -> Vec<NextTie> {
    if room.corners.len() != draft.corners.len() || room.readings.len() != draft.readings.len() {
        return Vec::new();
    }
    let known = Solution::known(room.corners.iter().map(|c| c.at).collect(), &room.covariance);
    let idle = |k: &usize| room.readings[*k].w.is_none() || room.redundancy == 0;
    let unchecked: Vec<usize> = (0..room.readings.len()).filter(idle).collect();
    let model = Model::new(draft, tape);
    next(&model, &known, &pairs(&model, &known), &unchecked, tape)
}

/// The ties worth measuring, most gain first; equals in the order of corners. Empty: nothing more is worth it.
/// `known` is the adjustment the figures are given from, `pairs` are its [`pairs`].
pub(crate) fn next(
    model: &Model,
    known: &Solution,
    pairs: &[Pair],
    unchecked: &[usize],
    tape: &Tape,
) -> Vec<NextTie> {
    let worst = largest_sd(pairs);
    let compared = if pairs.len() > MOST_PAIRS { 400 } else { pairs.len() };
    let open = |p: &&Pair| !model.is_read(p.ends.0, p.ends.1);
    let candidates: Vec<&Pair> = pairs.iter().filter(open).take(compared).collect();
    let rate = |c: &Pair, over: &[Pair]| worst - largest_after(known, c, over, tape);
    let mut rated: Vec<(f64, &Pair)> = candidates.iter().map(|c| (rate(c, &pairs[..compared]), *c)).collect();
    rated.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.ends.cmp(&b.1.ends)));
    let floor = ring(&known.at);
    let worth =
        |gain: f64, checks: &[usize]| !checks.is_empty() || (gain >= WORTH_MM && gain >= WORTH_PART * worst);
    let mut out: Vec<NextTie> = Vec::new();
    for (most, c) in rated {
        if out.len() == OFFERED {
            break;
        }
        let checks = checked_by(model, known, c, unchecked);
        // Over fewer pairs the gain comes out too large if anything, never too small.
        if !worth(most, &checks) || !floor.as_ref().is_some_and(|f| is_seen(f, c.ends)) {
            continue;
        }
        let gain_mm = rate(c, pairs).max(0.0);
        if worth(gain_mm, &checks) {
            out.push(NextTie { from: c.ends.0, to: c.ends.1, gain_mm, checks });
        }
    }
    out
}

/// All pairs of corners, those known worst first; equals in the order of corners.
pub(crate) fn pairs(model: &Model, known: &Solution) -> Vec<Pair> {
    let n = model.corners;
    let mut out = Vec::with_capacity(n * n / 2);
    for from in 0..n {
        for to in from + 1..n {
            let row = Observed::Distance { from, to }.linear(&known.at).1;
            let variance = known.between(&row, &row).max(0.0);
            out.push(Pair { ends: (from, to), row, variance });
        }
    }
    // They are large: what is sorted is their places.
    let mut order: Vec<usize> = (0..out.len()).collect();
    order.sort_by(|&a, &b| out[b].variance.total_cmp(&out[a].variance).then(a.cmp(&b)));
    order.into_iter().map(|k| out[k]).collect()
}

/// The standard deviation of the distance that is known worst.
pub(crate) fn largest_sd(pairs: &[Pair]) -> f64 {
    pairs.first().map_or(0.0, |p| p.variance.sqrt())
}

/// The covariance of every coordinate with a tie's length.
fn with_all(known: &Solution, row: &Gradient) -> Vec<f64> {
    let mut column = vec![0.0; 2 * known.at.len()];
    for &(j, v) in row.iter() {
        column.iter_mut().zip(known.covariances_of(j)).for_each(|(sum, c)| *sum += v * c);
    }
    column
}

fn along(row: &Gradient, column: &[f64]) -> f64 {
    row.iter().map(|&(c, v)| v * column[c]).sum()
}

/// The largest standard deviation of the compared distances, those known worst first, once the tie is read.
fn largest_after(known: &Solution, tie: &Pair, compared: &[Pair], tape: &Tape) -> f64 {
    let column = with_all(known, &tie.row);
    let sd = tape.sd_mm(span(known.at[tie.ends.0], known.at[tie.ends.1]));
    let scale = 1.0 / (sd * sd + tie.variance);
    let after = |p: &Pair| {
        let shared = along(&p.row, &column);
        p.variance - shared * shared * scale
    };
    let mut largest = 0.0;
    for p in compared {
        // A tie makes no distance worse, so that the rest are below.
        if p.variance <= largest {
            break;
        }
        largest = after(p).max(largest);
    }
    largest.sqrt()
}

fn checked_by(model: &Model, known: &Solution, tie: &Pair, unchecked: &[usize]) -> Vec<usize> {
    if unchecked.is_empty() {
        return Vec::new();
    }
    let column = with_all(known, &tie.row);
    let checks = |&k: &usize| {
        let line = &model.lines[k];
        let row = Model::line_observation(line).what.linear(&known.at).1;
        let shared = along(&row, &column);
        shared * shared > UNCHECKED.sqrt() * line.sd * line.sd * tie.variance.max(line.sd * line.sd)
    };
    unchecked.iter().copied().filter(checks).collect()
}

/// Whether a tape can be drawn straight between two corners: no wall in the way, and all of it over the floor.
pub(crate) fn is_seen(floor: &Ring, (i, j): (usize, usize)) -> bool {
    let (a, b) = (floor.points[i], floor.points[j]);
    let n = floor.points.len();
    if (i + 1) % n == j || (j + 1) % n == i {
        return true;
    }
    let crosses = |(c, d): (Point, Point)| {
        let side = |p: Point| (b - a).cross(p - a).signum();
        let other = |p: Point| (d - c).cross(p - c).signum();
        side(c) * side(d) < 0 && other(a) * other(b) < 0
    };
    // Between corners that lie on the tape's own line it may run over the floor here and not there.
    let lies_on = |p: &Point| (b - a).cross(*p - a) == 0 && (*p - a).dot(*p - b) <= 0;
    let mut stops: Vec<Point> = floor.points.iter().copied().filter(lies_on).collect();
    stops.sort_by_key(|p| (*p - a).dot(b - a));
    let middle = |p: Point, q: Point| Point { x: p.x + (q.x - p.x) / 2, y: p.y + (q.y - p.y) / 2 };
    !floor.edges().any(crosses) && stops.windows(2).all(|two| floor.contains(middle(two[0], two[1])))
}

#[cfg(test)]
mod tests {
    use super::is_seen;
    use drylay_geometry::{Length, Point, Ring};

    #[test]
    fn a_tape_is_drawn_along_walls_and_over_the_floor_alone() {
        let at = |&(x, y): &(i64, i64)| Point::new(Length::from_mm(x), Length::from_mm(y));
        // Two legs below a beam, open between 1 and 4.
        let corners =
            [(0, 0), (1000, 0), (1000, 2000), (2000, 2000), (2000, 0), (3000, 0), (3000, 3000), (0, 3000)];
        let floor = Ring::new(corners.iter().map(at).collect());
        let n = corners.len();
        let hidden =
            [(0, 3), (0, 4), (0, 5), (0, 6), (1, 3), (1, 4), (1, 5), (1, 6), (2, 4), (2, 5), (4, 7), (5, 7)];
        for i in 0..n {
            for j in 0..n {
                let pair = (i.min(j), i.max(j));
                if i != j {
                    assert_eq!(is_seen(&floor, (i, j)), !hidden.contains(&pair), "{i}–{j}");
                }
            }
        }
    }
}
