//! Where a chord may lie: on the floor, within the hull of the readings.

use drylay_geometry::{Region, Ring};

/// Distances below this count as touching, in mm.
pub(crate) const TOUCH: f64 = 1e-6;

type Xy = (f64, f64);

/// The floor's boundary in mm, ring by ring.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    rings: Vec<Vec<Xy>>,
}

impl Ground {
    /// The floor of a room: its outline less its keep-outs.
    pub fn new(room: &Ring, keepouts: &[Ring]) -> Self {
        let floor = Region::from_rings(std::slice::from_ref(room)).minus(keepouts);
        let ring = |r: &Ring| r.points.iter().map(|p| p.mm()).collect();
        Self { rings: floor.rings().map(ring).collect() }
    }

    pub(crate) fn rings(&self) -> &[Vec<Xy>] {
        &self.rings
    }

    fn sides(&self) -> impl Iterator<Item = (Xy, Xy)> + '_ {
        self.rings.iter().flat_map(|r| (0..r.len()).map(move |i| (r[i], r[(i + 1) % r.len()])))
    }

    /// Whether a point lies on the floor or on its boundary.
    pub fn contains(&self, p: Xy) -> bool {
        inside(self.sides(), p)
    }

    /// The parts of a segment that lie on the floor, as shares of its length.
    pub(crate) fn parts(&self, a: Xy, b: Xy) -> Vec<(f64, f64)> {
        let length = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
        let u = ((b.0 - a.0) / length, (b.1 - a.1) / length);
        let mut cuts = vec![0.0, length];
        self.sides().for_each(|(v, w)| meet(a, u, v, w, &mut |r, _| cuts.push(r.clamp(0.0, length))));
        cuts.sort_by(f64::total_cmp);
        let at = |r: f64| (a.0 + r * u.0, a.1 + r * u.1);
        let mut parts: Vec<(f64, f64)> = Vec::new();
        for c in cuts.windows(2).filter(|c| c[1] - c[0] > TOUCH) {
            if self.contains(at(f64::midpoint(c[0], c[1]))) {
                match parts.last_mut() {
                    Some(last) if (last.1 * length - c[0]).abs() < TOUCH => last.1 = c[1] / length,
                    _ => parts.push((c[0] / length, c[1] / length)),
                }
            }
        }
        parts
    }

    /// Whether no side of the floor passes through the inside of a convex polygon (turning from x towards y),
    /// and the polygon lies on the floor: then every chord in it does.
    pub(crate) fn covers(&self, hull: &[Xy]) -> bool {
        let n = hull.len();
        let crosses = |a: Xy, b: Xy| {
            let (mut lo, mut hi) = (0.0, 1.0);
            for k in 0..n {
                let (v, w) = (hull[k], hull[(k + 1) % n]);
                let length = ((w.0 - v.0) * (w.0 - v.0) + (w.1 - v.1) * (w.1 - v.1)).sqrt();
                let depth = |p: Xy| cross(v, w, p) / length - TOUCH;
                let (da, db) = (depth(a), depth(b));
                if da < 0.0 && db < 0.0 {
                    return false;
                }
                if da < 0.0 {
                    lo = f64::max(lo, da / (da - db));
                } else if db < 0.0 {
                    hi = f64::min(hi, da / (da - db));
                }
            }
            hi > lo
        };
        let sum = hull.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        self.contains((sum.0 / n as f64, sum.1 / n as f64)) && !self.sides().any(|(a, b)| crosses(a, b))
    }
}

pub(crate) fn cross(a: Xy, b: Xy, p: Xy) -> f64 {
    (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0)
}

/// Whether a point lies inside closed rings, given by their sides, or within a hair of one.
pub(crate) fn inside(sides: impl Iterator<Item = (Xy, Xy)>, p: Xy) -> bool {
    let mut within = false;
    for (a, b) in sides {
        if near(a, b, p) {
            return true;
        }
        if (a.1 > p.1) != (b.1 > p.1) && ((cross(a, b, p) > 0.0) == (b.1 > a.1)) {
            within = !within;
        }
    }
    within
}

fn near(a: Xy, b: Xy, p: Xy) -> bool {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let along = ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy);
    let along = along.clamp(0.0, 1.0);
    let (ex, ey) = (p.0 - a.0 - along * dx, p.1 - a.1 - along * dy);
    ex * ex + ey * ey < TOUCH * TOUCH
}

/// Tells at which distances along a ray from p in direction u a side is met, and whether it is crossed properly.
pub(crate) fn meet(p: Xy, u: Xy, a: Xy, b: Xy, told: &mut dyn FnMut(f64, bool)) {
    let off = |v: Xy| u.0 * (v.1 - p.1) - u.1 * (v.0 - p.0);
    let along = |v: Xy| u.0 * (v.0 - p.0) + u.1 * (v.1 - p.1);
    let (oa, ob) = (off(a), off(b));
    if (oa > TOUCH && ob < -TOUCH) || (oa < -TOUCH && ob > TOUCH) {
        let share = oa / (oa - ob);
        told(along(a) + share * (along(b) - along(a)), true);
    } else {
        [(oa, a), (ob, b)]
            .into_iter()
            .filter(|(o, _)| o.abs() <= TOUCH)
            .for_each(|(_, v)| told(along(v), false));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::Point;

    fn ring(corners: &[(i64, i64)]) -> Ring {
        Ring::new(corners.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 }).collect())
    }

    /// An L with a post in its long leg.
    fn ground() -> Ground {
        let room = ring(&[(0, 0), (4000, 0), (4000, 1500), (2000, 1500), (2000, 3000), (0, 3000)]);
        Ground::new(&room, &[ring(&[(3000, 600), (3100, 600), (3100, 700), (3000, 700)])])
    }

    #[test]
    fn a_polygon_is_covered_where_no_side_runs_through_it() {
        let covers = |x: [f64; 2], y: [f64; 2]| {
            ground().covers(&[(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])])
        };
        assert!(covers([100.0, 1900.0], [100.0, 2900.0]), "clear of all sides");
        assert!(covers([0.0, 2000.0], [0.0, 3000.0]), "along the walls, and on from one of them");
        assert!(covers([3000.0, 3100.0], [700.0, 1500.0]), "against the post and a wall");
        assert!(!covers([0.0, 2001.0], [0.0, 3000.0]), "past the inner corner");
        assert!(!covers([2900.0, 3200.0], [500.0, 800.0]), "round the post");
        assert!(!covers([3050.0, 3200.0], [650.0, 680.0]), "into the post");
        assert!(!covers([2500.0, 3900.0], [1600.0, 2900.0]), "beside the floor");
        // A triangle with its longest side through the inner corner, and one a hair beyond.
        assert!(ground().covers(&[(0.0, 0.0), (3000.0, 0.0), (1000.0, 3000.0)]));
        assert!(!ground().covers(&[(0.0, 0.0), (3000.0, 1.0), (1001.0, 3000.0)]));
    }

    #[test]
    fn a_segment_lies_on_the_floor_in_parts() {
        let parts = |a, b| {
            let found = ground().parts(a, b);
            found
                .into_iter()
                .flat_map(|(from, to)| [from, to])
                .map(|s| (s * 1e6).round() / 1e6)
                .collect::<Vec<_>>()
        };
        assert_eq!(parts((0.0, 650.0), (4000.0, 650.0)), [0.0, 0.75, 0.775, 1.0], "the post is left out");
        assert_eq!(parts((1000.0, 2000.0), (3000.0, 2000.0)), [0.0, 0.5]);
        assert_eq!(parts((0.0, 1500.0), (4000.0, 1500.0)), [0.0, 1.0], "along a wall");
        assert!(parts((2500.0, 2000.0), (3500.0, 2000.0)).is_empty());
    }
}
