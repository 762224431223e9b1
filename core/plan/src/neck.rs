//! The thinnest neck of a piece: where it would break.
//!
//! A crack starts at a re-entrant corner and runs the shortest way to another edge, so the necks of a piece are the
//! shortest straight lines through it from its re-entrant corners. A line that only takes a shoulder off (what
//! lies on one side reaches less than half the line's own length away from it) is none. A piece as a whole is no
//! stronger than its least width, the distance of the closest two parallel lines that it fits between.
//!
//! Exact up to `f64`: basic operations and square roots only.

use drylay_geometry::{Length, Ring, Shape};

/// A point in mm.
type P = (f64, f64);

/// Steps under this in mm come from rounding corners and make neither a corner nor a neck.
const HAIR: f64 = 0.02;

/// The thinnest neck of a piece.
///
/// ```
/// use drylay_geometry::{Length, Point, Ring, Shape};
/// // A 600 × 300 tile with a notch of 400 × 260 out of one corner leaves legs 200 and 40 wide.
/// let at = |(x, y): (i64, i64)| Point::new(Length::from_mm(x), Length::from_mm(y));
/// let corners = [(0, 0), (600, 0), (600, 40), (200, 40), (200, 300), (0, 300)];
/// let piece = Shape::simple(Ring::new(corners.map(at).to_vec()));
/// assert_eq!(drylay_plan::neck::thinnest(&piece), Length::from_mm(40));
/// ```
pub fn thinnest(piece: &Shape) -> Length {
    let rings: Vec<Vec<P>> = piece.rings().map(corners).filter(|r| r.len() >= 3).collect();
    let Some(outer) = rings.first() else { return Length::ZERO };
    let mut thinnest = least_width(outer);
    for (r, ring) in rings.iter().enumerate() {
        for i in 0..ring.len() {
            let from = Corner::of(ring, i);
            if !from.is_reentrant() {
                continue;
            }
            for (s, other) in rings.iter().enumerate() {
                let across = |j: usize| neck(&rings, (r, i), &from, (s, j), thinnest);
                thinnest = (0..other.len()).filter_map(across).fold(thinnest, f64::min);
            }
        }
    }
    Length::from_mm_f64(thinnest).unwrap_or(Length::ZERO)
}

/// A ring's corners in mm, without those that only rounding has made.
fn corners(ring: &Ring) -> Vec<P> {
    let mut points: Vec<P> = Vec::new();
    for p in ring.points.iter().map(|p| p.mm()) {
        if points.last().is_none_or(|&q| distance(p, q) > HAIR) {
            points.push(p);
        }
    }
    while points.len() > 1 && distance(points[0], points[points.len() - 1]) <= HAIR {
        points.pop();
    }
    points
}

/// The least distance of two parallel lines that hold the ring between them; one of them runs along an edge of the
/// convex hull.
fn least_width(ring: &[P]) -> f64 {
    let mut least = f64::INFINITY;
    for (i, &a) in ring.iter().enumerate() {
        for &b in &ring[i + 1..] {
            let length = distance(a, b);
            let away = |&p: &P| cross(sub(b, a), sub(p, a)) / length;
            let (lo, hi) = ring.iter().map(away).fold((0.0, 0.0), |(lo, hi): P, d| (lo.min(d), hi.max(d)));
            if lo > -HAIR || hi < HAIR {
                least = f64::min(least, hi - lo);
            }
        }
    }
    least
}

/// A corner with its neighbours before and after.
struct Corner {
    before: P,
    at: P,
    after: P,
}

impl Corner {
    fn of(ring: &[P], i: usize) -> Self {
        let n = ring.len();
        Self { before: ring[(i + n - 1) % n], at: ring[i], after: ring[(i + 1) % n] }
    }

    /// The piece lies clockwise of each edge, so a corner where the ring turns anticlockwise is re-entrant; by more
    /// than a hair over the shorter of its edges.
    fn is_reentrant(&self) -> bool {
        let (d, e) = (sub(self.at, self.before), sub(self.after, self.at));
        let longer = norm(d).max(norm(e));
        cross(d, e) < -HAIR * longer
    }

    /// Whether a way out of a re-entrant corner goes through the piece: anywhere but between its two edges.
    fn opens_to(&self, way: P) -> bool {
        let hair = 1e-9 * norm(way);
        let (d, e) = (sub(self.at, self.before), sub(self.after, self.at));
        cross(d, way) > hair * norm(d) || cross(e, way) > hair * norm(e)
    }
}

/// The length of the neck from a corner to the nearest point of an edge, if it is one and shorter than `least`.
fn neck(
    rings: &[Vec<P>],
    (r, i): (usize, usize),
    from: &Corner,
    (s, j): (usize, usize),
    least: f64,
) -> Option<f64> {
    let (ring, n) = (&rings[s], rings[s].len());
    if r == s && (j == i || (j + 1) % n == i) {
        return None;
    }
    let (a, b) = (ring[j], ring[(j + 1) % n]);
    let to = nearest(from.at, a, b);
    let length = distance(from.at, to);
    let beside = r == s && (to == from.before || to == from.after);
    if length >= least || length <= HAIR || beside || !from.opens_to(sub(to, from.at)) {
        return None;
    }
    if rings.iter().any(|ring| crossed(ring, from.at, to)) {
        return None;
    }
    let parts = r != s || reach(ring, (i, j), from.at, to).is_none_or(|reach| reach >= length / 2.0);
    parts.then_some(length)
}

/// How far the nearer of the two parts into which a line divides its ring reaches away from it.
fn reach(ring: &[P], (i, j): (usize, usize), from: P, to: P) -> Option<f64> {
    let n = ring.len();
    let length = distance(from, to);
    let away = |k: usize| (cross(sub(to, from), sub(ring[k % n], from)) / length).abs();
    // Corners after i up to the edge's start j, and after the edge on to i again.
    let until = if j > i { j } else { j + n };
    let one = (i + 1..=until).map(away).fold(0.0, f64::max);
    let other = (until + 1..i + n).map(away).fold(0.0, f64::max);
    (length > 0.0).then_some(one.min(other))
}

/// Whether a ring's edge crosses the inside of a line.
fn crossed(ring: &[P], from: P, to: P) -> bool {
    let way = sub(to, from);
    let hair = 1e-9 * norm(way);
    let side = |p: P| cross(way, sub(p, from)) / norm(way);
    (0..ring.len()).any(|k| {
        let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
        let (sa, sb) = (side(a), side(b));
        if (sa > hair) == (sb > hair) || (sa < -hair) == (sb < -hair) {
            return false;
        }
        let t = sa / (sa - sb);
        let at = (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
        let along = dot(sub(at, from), way) / dot(way, way);
        along > 1e-9 && along < 1.0 - 1e-9
    })
}

/// The point of a segment nearest to a point.
fn nearest(p: P, a: P, b: P) -> P {
    let d = sub(b, a);
    let t = (dot(sub(p, a), d) / dot(d, d)).clamp(0.0, 1.0);
    if t <= 0.0 {
        a
    } else if t >= 1.0 {
        b
    } else {
        (a.0 + t * d.0, a.1 + t * d.1)
    }
}

fn sub(p: P, q: P) -> P {
    (p.0 - q.0, p.1 - q.1)
}
fn dot(p: P, q: P) -> f64 {
    p.0 * q.0 + p.1 * q.1
}
fn cross(p: P, q: P) -> f64 {
    p.0 * q.1 - p.1 * q.0
}
fn norm(p: P) -> f64 {
    dot(p, p).sqrt()
}
fn distance(p: P, q: P) -> f64 {
    norm(sub(p, q))
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::Point;

    fn ring(points: &[(i64, i64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point::new(Length::from_mm(x), Length::from_mm(y))).collect())
    }
    fn of(points: &[(i64, i64)]) -> f64 {
        thinnest(&Shape::simple(ring(points))).mm()
    }

    #[test]
    fn a_strip_is_as_weak_as_it_is_wide() {
        assert!((of(&[(0, 0), (600, 0), (600, 35), (0, 35)]) - 35.0).abs() < 1e-9);
        // A right triangle 300 × 400 is least wide across its longest side: 300 · 400 / 500.
        assert!((of(&[(0, 0), (400, 0), (0, 300)]) - 240.0).abs() < 1e-6);
    }

    #[test]
    fn a_leg_and_a_bridge_are_necks_and_a_shoulder_is_none() {
        let u = [(0, 0), (600, 0), (600, 300), (560, 300), (560, 80), (70, 80), (70, 300), (0, 300)];
        assert!((of(&u) - 40.0).abs() < 1e-9, "the right leg of a U");
        let waist = [
            (0, 0),
            (250, 0),
            (250, 130),
            (350, 130),
            (350, 0),
            (600, 0),
            (600, 300),
            (350, 300),
            (350, 180),
            (250, 180),
            (250, 300),
            (0, 300),
        ];
        assert!((of(&waist) - 50.0).abs() < 1e-9, "between two notches");
        // A step of 5 mm leaves a shoulder, no leg: the piece is as wide as it is.
        let step = [(0, 0), (600, 0), (600, 290), (300, 290), (300, 285), (0, 285)];
        assert!((of(&step) - 285.0).abs() < 1e-9, "{}", of(&step));
    }

    #[test]
    fn round_a_hole_the_thinnest_bridge_counts() {
        let outer = ring(&[(0, 0), (600, 0), (600, 300), (0, 300)]);
        let hole = ring(&[(100, 30), (100, 200), (500, 200), (500, 30)]);
        let piece = Shape { outer, holes: vec![hole] };
        assert!((thinnest(&piece).mm() - 30.0).abs() < 1e-9);
    }
}
