//! The floor as one side of an edge sees it: x along the edge, y away from it.
//!
//! A deviation does not change when a plane is added to the surface, so heights here are above a plane through
//! the edge that halves the fold: they are nought along it. The other side of the edge is the same picture turned by half a turn.

use super::ground::{Ground, TOUCH, cross, inside, meet};
use super::mesh::Mesh;

type Xy = (f64, f64);

/// A triangle of the surface in the frame of an edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Facet {
    /// Its number in the mesh.
    pub(crate) id: usize,
    pub(crate) at: [Xy; 3],
    /// Heights of its corners.
    pub(crate) z: [f64; 3],
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
    /// Slope of the plane along the edge and across it.
    plane: Xy,
}

impl Frame {
    /// The frame of an edge where the surface folds upwards; `None` where it does not.
    pub(crate) fn of_fold(mesh: &Mesh, z: &[f64], edge: usize) -> Option<Self> {
        let e = &mesh.edges[edge];
        let [a, b] = e.ends.map(|i| mesh.points[i]);
        let length = mesh.length(e);
        let along = ((b.0 - a.0) / length, (b.1 - a.1) / length);
        let across = |t| {
            let g = mesh.gradient(t, z);
            along.0 * g.1 - along.1 * g.0
        };
        let (left, right) = (across(e.left?), across(e.right?));
        let plane = ((z[e.ends[1]] - z[e.ends[0]]) / length, f64::midpoint(left, right));
        (left > right + 1e-13).then_some(Self { origin: a, along, length, ends: e.ends, plane })
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
        let tilt = (turn * frame.plane.0, turn * frame.plane.1);
        let near = |at: &[Xy; 3]| {
            let (lo, hi) = if turn > 0.0 { (0.0, frame.length) } else { (-frame.length, 0.0) };
            at.iter().any(|p| p.1 > 1e-9)
                && at.iter().any(|p| p.1 < span)
                && at.iter().any(|p| p.0 < hi + span)
                && at.iter().any(|p| p.0 > lo - span)
        };
        let facet = |(id, t): (usize, &[usize; 3])| {
            let at = t.map(|i| to(mesh.points[i]));
            let v = [0, 1, 2].map(|k| z[t[k]] - base - tilt.0 * at[k].0 - tilt.1 * at[k].1);
            let (b, c) = ((at[1].0 - at[0].0, at[1].1 - at[0].1), (at[2].0 - at[0].0, at[2].1 - at[0].1));
            let twice = b.0 * c.1 - b.1 * c.0;
            let gx = ((v[1] - v[0]) * c.1 - (v[2] - v[0]) * b.1) / twice;
            let gy = ((v[2] - v[0]) * b.0 - (v[1] - v[0]) * c.0) / twice;
            near(&at).then_some(Facet { id, at, z: v, level: v[0] - gx * at[0].0 - gy * at[0].1, gx, gy })
        };
        let mut walls = Vec::new();
        for ring in ground.iter().flat_map(|g| g.rings()) {
            let (first, m) = (walls.len(), ring.len());
            walls.extend((0..m).map(|i| (to(ring[i]), to(ring[(i + 1) % m]), first + (i + 1) % m)));
        }
        Self { facets: mesh.triangles.iter().enumerate().filter_map(facet).collect(), walls }
    }

    /// The surface of some facets over the ray from (s, 0) in direction u, up to a distance.
    pub(crate) fn profile(
        &self,
        list: impl Iterator<Item = usize>,
        (s, u): (f64, Xy),
        upto: f64,
        out: &mut Vec<Stretch>,
    ) {
        out.clear();
        for k in list {
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
                let (start, rate) = (f.level + f.gx * s, f.gx * u.0 + f.gy * u.1);
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

    /// A distance that no ray of a fan reaches beyond without leaving the floor.
    pub(crate) fn reach_bound(&self, fan: &Fan, upto: f64) -> f64 {
        let corners = fan.corners();
        let mut bound = upto;
        for &(a, v, next) in &self.walls {
            let b = self.walls[next].1;
            bound = bound.min(blocked(&corners, &[a, v])).min(blocked(&corners, &[a, v, b]));
        }
        bound
    }
}

/// The greatest distance at which a chain of sides stops every ray between four corner rays; infinite where it
/// may let one pass. The floor lies on the side of each that turns from x towards y.
///
/// A side that all four cross is crossed by all between them: for one direction the distance is linear in the
/// starting point, for one starting point it has no inner maximum.
fn blocked(corners: &[(f64, Xy); 4], chain: &[Xy]) -> f64 {
    let off = |s: f64, u: Xy, v: Xy| u.0 * v.1 - u.1 * (v.0 - s);
    let along = |s: f64, u: Xy, v: Xy| u.0 * (v.0 - s) + u.1 * v.1;
    let (first, last) = (chain[0], chain[chain.len() - 1]);
    let inner = &chain[1..chain.len() - 1];
    let mut greatest = 0.0;
    for &(s, u) in corners {
        let leaves = off(s, u, first) < -TOUCH && off(s, u, last) > TOUCH;
        let behind = |w: &[Xy]| cross(w[0], w[1], (s, 0.0)) < -TOUCH;
        if !leaves || inner.iter().any(|&v| along(s, u, v) <= TOUCH) || chain.windows(2).any(behind) {
            return f64::INFINITY;
        }
        for w in chain.windows(2) {
            let (oa, ob) = (off(s, u, w[0]), off(s, u, w[1]));
            if (oa > 0.0) != (ob > 0.0) {
                let met = along(s, u, w[0]) + oa / (oa - ob) * (along(s, u, w[1]) - along(s, u, w[0]));
                greatest = f64::max(greatest, met);
            }
        }
        for &v in inner {
            greatest = f64::max(greatest, ((v.0 - s) * (v.0 - s) + v.1 * v.1).sqrt());
        }
    }
    greatest + TOUCH
}
