//! The floor as one side of an edge sees it: x along the edge, y away from it.
//!
//! A deviation does not change when a plane is added to the surface, so heights here are above a plane through
//! the edge: they are nought along it. The other side of the edge is the same picture turned by half a turn.

use super::ground::{Ground, TOUCH, inside, meet};
use super::mesh::Mesh;

type Xy = (f64, f64);

/// A triangle of the surface in the frame of an edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Facet {
    /// Its number in the mesh.
    pub(crate) id: usize,
    pub(crate) at: [Xy; 3],
    /// Height = level + gx·x + gy·y.
    pub(crate) level: f64,
    pub(crate) gx: f64,
    pub(crate) gy: f64,
}

/// Part of the surface over a ray: between two distances, with the heights there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stretch {
    pub(crate) r: [f64; 2],
    pub(crate) z: [f64; 2],
    pub(crate) facet: usize,
}

/// What may be reached from an edge on one of its sides.
#[derive(Clone, Debug)]
pub(crate) struct Side {
    pub(crate) facets: Vec<Facet>,
    /// Sides of the floor, ring by ring: from, to, index of the next. Empty where the hull is free of them.
    walls: Vec<(Xy, Xy, usize)>,
    /// Sides of the hull: a point of each and its outward normal.
    hull: Vec<(Xy, Xy)>,
}

/// Where lines start and how they run: a stretch of the edge and a fan of directions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fan {
    /// Least and greatest x of the starting point.
    pub(crate) s: [f64; 2],
    /// Least and greatest direction, radians from x towards y.
    pub(crate) theta: [f64; 2],
    /// The unit vectors of the two directions and of the middle one.
    pub(crate) u: [Xy; 3],
}

impl Fan {
    pub(crate) fn new(s: [f64; 2], theta: [f64; 2]) -> Self {
        let unit = |t: f64| {
            let (y, x) = libm::sincos(t);
            (x, y)
        };
        let u = [unit(theta[0]), unit(theta[1]), unit(f64::midpoint(theta[0], theta[1]))];
        Self { s, theta, u }
    }

    /// The same fan as the other side of the edge sees it.
    pub(crate) fn turned(&self) -> Self {
        Self { s: [-self.s[1], -self.s[0]], ..*self }
    }

    pub(crate) fn middle(&self) -> f64 {
        f64::midpoint(self.s[0], self.s[1])
    }

    /// The four corner lines: starting point and direction.
    fn corners(&self) -> [(f64, Xy); 4] {
        let [a, b] = self.s;
        [(a, self.u[0]), (a, self.u[1]), (b, self.u[0]), (b, self.u[1])]
    }
}

/// The frame of an edge: its origin, its direction, the plane taken off.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub(crate) origin: Xy,
    pub(crate) along: Xy,
    pub(crate) length: f64,
    ends: [usize; 2],
}

impl Frame {
    pub(crate) fn of(mesh: &Mesh, edge: usize) -> Self {
        let e = &mesh.edges[edge];
        let [a, b] = e.ends.map(|i| mesh.points[i]);
        let length = mesh.length(e);
        Self { origin: a, along: ((b.0 - a.0) / length, (b.1 - a.1) / length), length, ends: e.ends }
    }

    pub(crate) fn to(&self, p: Xy) -> Xy {
        let (x, y) = (p.0 - self.origin.0, p.1 - self.origin.1);
        (x * self.along.0 + y * self.along.1, y * self.along.0 - x * self.along.1)
    }

    pub(crate) fn back(&self, p: Xy) -> Xy {
        let (x, y) = (p.0 * self.along.0 - p.1 * self.along.1, p.0 * self.along.1 + p.1 * self.along.0);
        (self.origin.0 + x, self.origin.1 + y)
    }

    /// The two sides of the edge as far as `span` reaches.
    pub(crate) fn sides(&self, mesh: &Mesh, z: &[f64], ground: Option<&Ground>, span: f64) -> [Side; 2] {
        [1.0, -1.0].map(|turn| Side::of(self, mesh, z, ground, span, turn))
    }
}

impl Side {
    fn of(frame: &Frame, mesh: &Mesh, z: &[f64], ground: Option<&Ground>, span: f64, turn: f64) -> Self {
        let to = |p: Xy| {
            let q = frame.to(p);
            (turn * q.0, turn * q.1)
        };
        let base = z[frame.ends[0]];
        let tilt = (z[frame.ends[1]] - base) / frame.length;
        let near = |at: &[Xy; 3]| {
            let (lo, hi) = if turn > 0.0 { (0.0, frame.length) } else { (-frame.length, 0.0) };
            at.iter().any(|p| p.1 > 1e-9)
                && at.iter().any(|p| p.1 < span)
                && at.iter().any(|p| p.0 < hi + span)
                && at.iter().any(|p| p.0 > lo - span)
        };
        let facet = |(id, t): (usize, &[usize; 3])| {
            let at = t.map(|i| to(mesh.points[i]));
            let v = [0, 1, 2].map(|k| z[t[k]] - base - tilt * turn * at[k].0);
            let (b, c) = ((at[1].0 - at[0].0, at[1].1 - at[0].1), (at[2].0 - at[0].0, at[2].1 - at[0].1));
            let twice = b.0 * c.1 - b.1 * c.0;
            let gx = ((v[1] - v[0]) * c.1 - (v[2] - v[0]) * b.1) / twice;
            let gy = ((v[2] - v[0]) * b.0 - (v[1] - v[0]) * c.0) / twice;
            near(&at).then_some(Facet { id, at, level: v[0] - gx * at[0].0 - gy * at[0].1, gx, gy })
        };
        let n = mesh.hull.len();
        let hull_side = |k: usize| {
            let (v, w) = (to(mesh.points[mesh.hull[k]]), to(mesh.points[mesh.hull[(k + 1) % n]]));
            let (x, y) = (w.1 - v.1, v.0 - w.0);
            let length = (x * x + y * y).sqrt();
            (v, (x / length, y / length))
        };
        let mut walls = Vec::new();
        for ring in ground.iter().flat_map(|g| g.rings()) {
            let (first, m) = (walls.len(), ring.len());
            walls.extend((0..m).map(|i| (to(ring[i]), to(ring[(i + 1) % m]), first + (i + 1) % m)));
        }
        Self {
            facets: mesh.triangles.iter().enumerate().filter_map(facet).collect(),
            walls,
            hull: (0..n).map(hull_side).collect(),
        }
    }

    /// Keeps of a list of facets those that a fan may touch, appending them to the same pool.
    pub(crate) fn touched(&self, fan: &Fan, span: f64, pool: &mut Vec<usize>, from: std::ops::Range<usize>) {
        let [u0, u1, u] = fan.u;
        let (s0, s1, middle) = (fan.s[0], fan.s[1], fan.middle());
        let half = (s1 - s0) / 2.0;
        for k in from {
            let at = &self.facets[pool[k]].at;
            let all = |out: &dyn Fn(&Xy) -> bool| at.iter().all(out);
            let beyond = all(&|p| u1.0 * p.1 - u1.1 * (p.0 - s0) > 1e-9)
                || all(&|p| u0.0 * p.1 - u0.1 * (p.0 - s1) < -1e-9)
                || all(&|p| u.0 * (p.0 - middle) + u.1 * p.1 > span + half)
                || all(&|p| u.0 * (p.0 - middle) + u.1 * p.1 < -half - 1e-9);
            if !beyond {
                pool.push(pool[k]);
            }
        }
    }

    /// The surface over the ray from (s, 0) in direction u, up to a distance, heights less `cross`·y.
    pub(crate) fn profile(
        &self,
        list: &[usize],
        s: f64,
        u: Xy,
        upto: f64,
        cross: f64,
        out: &mut Vec<Stretch>,
    ) {
        out.clear();
        for &k in list {
            let f = &self.facets[k];
            let (mut lo, mut hi) = (0.0, upto);
            for i in 0..3 {
                let (a, b) = (f.at[i], f.at[(i + 1) % 3]);
                let (dx, dy) = (b.0 - a.0, b.1 - a.1);
                let depth = dx * -a.1 - dy * (s - a.0) + 1e-9 * (dx.abs() + dy.abs());
                let rate = dx * u.1 - dy * u.0;
                if rate > 0.0 {
                    lo = f64::max(lo, -depth / rate);
                } else if rate < 0.0 {
                    hi = f64::min(hi, -depth / rate);
                } else if depth < 0.0 {
                    hi = -1.0;
                }
            }
            if hi > lo + 1e-7 {
                let (start, rate) = (f.level + f.gx * s, f.gx * u.0 + (f.gy - cross) * u.1);
                out.push(Stretch { r: [lo, hi], z: [start + rate * lo, start + rate * hi], facet: f.id });
            }
        }
    }

    /// How far the floor goes on along a ray, at most `upto`.
    pub(crate) fn reach(&self, s: f64, u: Xy, upto: f64) -> f64 {
        let p = (s, 0.0);
        let (mut stop, mut touches) = (upto, vec![0.0]);
        for &(a, b, _) in &self.walls {
            meet(p, u, a, b, &mut |r, proper| {
                if proper && r > TOUCH {
                    stop = stop.min(r);
                } else if r > -TOUCH {
                    touches.push(r.max(0.0));
                }
            });
        }
        if self.walls.is_empty() {
            return stop;
        }
        touches.retain(|r| *r < stop);
        touches.push(stop);
        touches.sort_by(f64::total_cmp);
        let sides = || self.walls.iter().map(|w| (w.0, w.1));
        let on = |r: f64| inside(sides(), (s + r * u.0, r * u.1));
        let leaves = |t: &&[f64]| t[1] - t[0] > TOUCH && !on(f64::midpoint(t[0], t[1]));
        touches.windows(2).find(leaves).map_or(stop, |t| t[0])
    }

    /// A distance that no ray of a fan reaches beyond without leaving the floor or the hull.
    pub(crate) fn reach_bound(&self, fan: &Fan, upto: f64) -> f64 {
        let corners = fan.corners();
        let mut bound = upto;
        for &(v, n) in &self.hull {
            let one = |&(s, u): &(f64, Xy)| {
                let facing = n.0 * u.0 + n.1 * u.1;
                if facing > 1e-9 { (n.0 * (v.0 - s) + n.1 * v.1) / facing } else { f64::INFINITY }
            };
            bound = bound.min(corners.iter().map(one).fold(0.0, f64::max) + TOUCH);
        }
        for &(a, v, next) in &self.walls {
            let b = self.walls[next].1;
            bound = bound.min(blocked(&corners, &[a, v])).min(blocked(&corners, &[a, v, b]));
        }
        bound
    }
}

/// The greatest distance at which a chain of sides stops every ray between four corner rays; infinite where it
/// may let one pass.
fn blocked(corners: &[(f64, Xy); 4], chain: &[Xy]) -> f64 {
    let off = |s: f64, u: Xy, v: Xy| u.0 * v.1 - u.1 * (v.0 - s);
    let along = |s: f64, u: Xy, v: Xy| u.0 * (v.0 - s) + u.1 * v.1;
    let (first, last) = (chain[0], chain[chain.len() - 1]);
    let way = if off(corners[0].0, corners[0].1, first) > 0.0 { 1.0 } else { -1.0 };
    let mut greatest = 0.0;
    for &(s, u) in corners {
        let apart = way * off(s, u, first) > TOUCH && way * off(s, u, last) < -TOUCH;
        if !apart || chain.iter().any(|&v| along(s, u, v) <= TOUCH) {
            return f64::INFINITY;
        }
        for w in chain.windows(2) {
            let (oa, ob) = (off(s, u, w[0]), off(s, u, w[1]));
            if (oa > 0.0) != (ob > 0.0) {
                greatest = f64::max(
                    greatest,
                    along(s, u, w[0]) + oa / (oa - ob) * (along(s, u, w[1]) - along(s, u, w[0])),
                );
            }
        }
        for &v in &chain[1..chain.len() - 1] {
            greatest = f64::max(greatest, ((v.0 - s) * (v.0 - s) + v.1 * v.1).sqrt());
        }
    }
    greatest + TOUCH
}
