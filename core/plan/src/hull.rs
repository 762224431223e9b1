//! Convex hulls of pieces on their tile, and whether straight cuts part them.
//!
//! A straight cut right across a tile, a kerf wide, parts two groups of pieces exactly if the convex hulls of the
//! groups lie at least a kerf apart (two convex sets at that distance have a strip of that width between them).

use crate::product::Product;
use drylay_geometry::{Length, Point};

/// A convex hull in the tile's own frame, anticlockwise in the mathematical sense, with its bounds.
#[derive(Clone, Debug)]
pub(crate) struct Hull {
    pub(crate) points: Vec<Point>,
    pub(crate) lo: Point,
    pub(crate) hi: Point,
}

impl Hull {
    /// The hull of some points, at least one.
    pub(crate) fn of(points: Vec<Point>) -> Self {
        let points = convex_hull(points);
        let first = points.first().copied().unwrap_or_default();
        let (lo, hi) = points.iter().fold((first, first), |(lo, hi), p| {
            (Point { x: lo.x.min(p.x), y: lo.y.min(p.y) }, Point { x: hi.x.max(p.x), y: hi.y.max(p.y) })
        });
        Self { points, lo, hi }
    }

    /// The hull of several.
    fn around(hulls: &[&Self]) -> Self {
        Self::of(hulls.iter().flat_map(|h| h.points.iter().copied()).collect())
    }

    /// The same piece on a tile turned by half a turn.
    pub(crate) fn turned(&self, product: &Product) -> Self {
        let (l, w) = (product.length.nanometres(), product.width.nanometres());
        let turn = |p: Point| Point { x: l - p.x, y: w - p.y };
        let points = self.points.iter().map(|&p| turn(p)).collect();
        Self { points, lo: turn(self.hi), hi: turn(self.lo) }
    }

    /// The same moved along the tile.
    pub(crate) fn slid(&self, by: i64) -> Self {
        let slide = |p: Point| Point { x: p.x + by, ..p };
        Self {
            points: self.points.iter().map(|&p| slide(p)).collect(),
            lo: slide(self.lo),
            hi: slide(self.hi),
        }
    }

    /// Whether a straight cut a kerf wide parts the two.
    pub(crate) fn apart(&self, other: &Self, kerf: Length) -> bool {
        let k = kerf.nanometres();
        let gap = |a_hi: i64, b_lo: i64| b_lo - a_hi >= k;
        gap(self.hi.x, other.lo.x)
            || gap(other.hi.x, self.lo.x)
            || gap(self.hi.y, other.lo.y)
            || gap(other.hi.y, self.lo.y)
            || self.apart_askew(other, kerf)
    }

    /// The same for cuts askew: the distance of the hulls, in tenths of a micrometre so that its square fits.
    fn apart_askew(&self, other: &Self, kerf: Length) -> bool {
        if overlap(&self.points, &other.points) {
            return false;
        }
        let scaled = |h: &Self| -> Vec<Scaled> {
            h.points.iter().map(|p| (i128::from(p.x / 100), i128::from(p.y / 100))).collect()
        };
        let (a, b) = (scaled(self), scaled(other));
        let kerf = i128::from(kerf.nanometres() / 100);
        points_clear_of_edges(&a, &b, kerf) && points_clear_of_edges(&b, &a, kerf)
    }

    /// Where the line of constant v runs through the hull: least and greatest u, shrunk by the rounding.
    pub(crate) fn at(&self, v: i64) -> Option<(i64, i64)> {
        if v < self.lo.y || v > self.hi.y {
            return None;
        }
        let n = self.points.len();
        let mut span: Option<(i64, i64)> = None;
        for i in 0..n {
            let (a, b) = (self.points[i], self.points[(i + 1) % n]);
            if (a.y < v && b.y < v) || (a.y > v && b.y > v) {
                continue;
            }
            let (from, to) = if a.y == b.y { (a.x.min(b.x), a.x.max(b.x)) } else { crossing(a, b, v) };
            span = Some(span.map_or((from, to), |(lo, hi)| (lo.min(from), hi.max(to))));
        }
        span
    }
}

/// Where an edge that is not level meets the line of constant v, rounded both ways inwards by a nanometre.
fn crossing(a: Point, b: Point, v: i64) -> (i64, i64) {
    let run = i128::from(b.x - a.x) * i128::from(v - a.y);
    let x = i64::try_from(i128::from(a.x) + run.div_euclid(i128::from(b.y - a.y))).unwrap_or(a.x);
    (x + 1, x)
}

type Scaled = (i128, i128);

fn cross(o: Scaled, a: Scaled, b: Scaled) -> i128 {
    (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0)
}

/// Whether two convex polygons overlap: no edge of either has the whole other on its outer side.
fn overlap(a: &[Point], b: &[Point]) -> bool {
    let parted_by = |p: &[Point], q: &[Point]| {
        (0..p.len()).any(|i| {
            let (from, along) = (p[i], p[(i + 1) % p.len()] - p[i]);
            q.iter().all(|&r| along.cross(r - from) <= 0)
        })
    };
    !parted_by(a, b) && !parted_by(b, a)
}

/// Whether every point is at least `kerf` from every edge.
fn points_clear_of_edges(points: &[Scaled], polygon: &[Scaled], kerf: i128) -> bool {
    points.iter().all(|&p| {
        (0..polygon.len()).all(|i| {
            let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let len2 = dx * dx + dy * dy;
            let along = (p.0 - a.0) * dx + (p.1 - a.1) * dy;
            if along <= 0 || along >= len2 {
                let end = if along <= 0 { a } else { b };
                let (ex, ey) = (p.0 - end.0, p.1 - end.1);
                ex * ex + ey * ey >= kerf * kerf
            } else {
                let c = cross(a, b, p);
                c.saturating_mul(c) >= (kerf * kerf).saturating_mul(len2)
            }
        })
    })
}

/// The convex hull (Andrew's monotone chain), anticlockwise in the mathematical sense, without points on its
/// edges.
fn convex_hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_unstable();
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..] {
                if (b - a).cross(p - b) > 0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

/// Whether cuts right across, one after another, part all of these: some cut leaves whole pieces on both sides,
/// and each side comes apart in turn. Every way of halving the group is tried; groups are small.
pub(crate) fn comes_apart(hulls: &[&Hull], kerf: Length) -> bool {
    match hulls {
        [] | [_] => return true,
        [a, b] => return a.apart(b, kerf),
        _ => {}
    }
    (1_u32..1 << (hulls.len() - 1)).any(|halving| {
        // The last piece is always on the second side, so that no halving is tried twice.
        let side = |first: bool| -> Vec<&Hull> {
            hulls
                .iter()
                .enumerate()
                .filter(|(i, _)| (halving >> i & 1 == 1) == first)
                .map(|(_, h)| *h)
                .collect()
        };
        let (one, other) = (side(true), side(false));
        Hull::around(&one).apart(&Hull::around(&other), kerf)
            && comes_apart(&one, kerf)
            && comes_apart(&other, kerf)
    })
}

/// The most pieces that are tried on one tile; a tile with more is taken apart by the same cuts anyway, only the
/// search for a way gets long.
pub(crate) const MOST_TO_A_TILE: usize = 8;

/// Whether the pieces come from one tile: `hulls[i]` holds each piece as it lies and, where tiles may be turned,
/// turned. Which way each lies is tried for all but the first: turning the whole tile changes nothing.
pub(crate) fn fit_one_tile(hulls: &[&[Hull]], kerf: Length) -> bool {
    let Some((first, rest)) = hulls.split_first() else { return true };
    if hulls.len() > MOST_TO_A_TILE || first.is_empty() {
        return false;
    }
    let mut lying = vec![&first[0]];
    place(&mut lying, rest, kerf)
}

fn place<'a>(lying: &mut Vec<&'a Hull>, rest: &[&'a [Hull]], kerf: Length) -> bool {
    let Some((next, rest)) = rest.split_first() else { return comes_apart(lying, kerf) };
    next.iter().any(|hull| {
        if !lying.iter().all(|other| hull.apart(other, kerf)) {
            return false;
        }
        lying.push(hull);
        let fits = place(lying, rest, kerf);
        lying.pop();
        fits
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The hull of whole numbers is exact, however small its corners are: a triangle of half a square nanometre.
    #[test]
    fn a_hull_keeps_every_corner_and_no_point_on_its_edges() {
        let hull = |points: &[(i64, i64)]| convex_hull(points.iter().map(|&(x, y)| Point { x, y }).collect());
        assert_eq!(hull(&[(0, 0), (1, 0), (0, 1)]).len(), 3);
        let square = hull(&[(0, 0), (2, 0), (1, 0), (2, 2), (1, 1), (0, 2), (2, 1)]);
        assert_eq!(square, [(0, 0), (2, 0), (2, 2), (0, 2)].map(|(x, y)| Point { x, y }));
    }
}
