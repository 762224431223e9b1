//! The surface between reading points: their Delaunay triangulation, with exact predicates.
//!
//! Coordinates are counted in steps of 125 nm, of which tenths of a millimetre and sixty-fourths of an inch are
//! whole numbers, so that a grid's circles are exact. Where four points lie on one circle the diagonal through
//! the point listed first is taken.

use drylay_geometry::Point;
use std::collections::BTreeMap;

/// Greatest distance of points, in steps: 200 m, up to which the predicates fit 128 bits.
const MOST: i64 = 1_600_000_000;

/// A triangulation of points.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// The points in millimetres, as listed.
    pub points: Vec<(f64, f64)>,
    /// Triangles by point indices, turning from x towards y.
    pub triangles: Vec<[usize; 3]>,
    /// Edges, each with the point indices of its ends, the smaller first.
    pub edges: Vec<Edge>,
    /// The convex hull by point indices, turning from x towards y; points inside a side are left out.
    pub hull: Vec<usize>,
}

/// An edge and the triangles on its two sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edge {
    /// Its ends.
    pub ends: [usize; 2],
    /// Index of the triangle on the side that turns from x towards y, seen along the edge.
    pub left: Option<usize>,
    /// Index of the triangle on the other side.
    pub right: Option<usize>,
}

/// Why points have no triangulation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSurface {
    /// Fewer than three points, or all on one line.
    #[error("the points lie on one line")]
    OneLine,
    /// Two points in one place; their indices.
    #[error("points {0} and {1} are in one place")]
    SamePlace(usize, usize),
    /// Further apart than 200 m.
    #[error("the points are more than 200 m apart")]
    TooFar,
}

type Step = (i128, i128);
/// From a directed edge to the third point of the triangle on its left.
type Thirds = BTreeMap<(usize, usize), usize>;

impl Mesh {
    /// Triangulates points.
    ///
    /// # Errors
    /// [`NoSurface`].
    pub fn new(points: &[Point]) -> Result<Self, NoSurface> {
        let steps = steps(points)?;
        let mut order: Vec<usize> = (0..points.len()).collect();
        order.sort_by_key(|&i| (steps[i], i));
        if let Some(w) = order.windows(2).find(|w| steps[w[0]] == steps[w[1]]) {
            return Err(NoSurface::SamePlace(w[0].min(w[1]), w[0].max(w[1])));
        }
        let (mut thirds, hull) = sweep(&steps, &order).ok_or(NoSurface::OneLine)?;
        make_delaunay(&steps, &mut thirds);
        Ok(Self::of(points, &steps, &thirds, &hull))
    }

    fn of(points: &[Point], steps: &[Step], thirds: &Thirds, hull: &[usize]) -> Self {
        let mut number = BTreeMap::new();
        let mut triangles = Vec::new();
        for (&(u, v), &w) in thirds {
            if u < v && u < w {
                for side in [(u, v), (v, w), (w, u)] {
                    number.insert(side, triangles.len());
                }
                triangles.push([u, v, w]);
            }
        }
        let mut ends: Vec<[usize; 2]> = thirds.keys().map(|&(u, v)| [u.min(v), u.max(v)]).collect();
        ends.sort_unstable();
        ends.dedup();
        let side = |u: usize, v: usize| number.get(&(u, v)).copied();
        let edges = ends.iter().map(|&[u, v]| Edge { ends: [u, v], left: side(u, v), right: side(v, u) });
        let n = hull.len();
        let bends =
            |k: &usize| turn(steps[hull[(k + n - 1) % n]], steps[hull[*k]], steps[hull[(k + 1) % n]]) != 0;
        Self {
            points: points.iter().map(|p| p.mm()).collect(),
            triangles,
            edges: edges.collect(),
            hull: (0..n).filter(bends).map(|k| hull[k]).collect(),
        }
    }

    /// The length of an edge in mm.
    pub fn length(&self, edge: &Edge) -> f64 {
        let ((ax, ay), (bx, by)) = (self.points[edge.ends[0]], self.points[edge.ends[1]]);
        ((bx - ax) * (bx - ax) + (by - ay) * (by - ay)).sqrt()
    }

    /// The median length of all edges in mm: how far apart the readings are.
    pub fn median_edge(&self) -> f64 {
        let mut lengths: Vec<f64> = self.edges.iter().map(|e| self.length(e)).collect();
        lengths.sort_by(f64::total_cmp);
        let n = lengths.len();
        if n == 0 { 0.0 } else { f64::midpoint(lengths[(n - 1) / 2], lengths[n / 2]) }
    }

    /// The area of a triangle in mm².
    pub fn area(&self, triangle: usize) -> f64 {
        let [a, b, c] = self.triangles[triangle].map(|i| self.points[i]);
        ((b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)) / 2.0
    }

    /// A third of the area of the triangles around each point, in mm².
    pub fn shares(&self) -> Vec<f64> {
        let mut shares = vec![0.0; self.points.len()];
        for (t, corners) in self.triangles.iter().enumerate() {
            corners.iter().for_each(|&i| shares[i] += self.area(t) / 3.0);
        }
        shares
    }

    /// What the height at a place is a mean of: (point, factor); `None` outside the hull.
    pub fn weights(&self, (x, y): (f64, f64)) -> Option<Vec<(usize, f64)>> {
        let inner = |t: &[usize; 3]| {
            let [a, b, c] = t.map(|i| self.points[i]);
            let cross = |p: (f64, f64), q: (f64, f64)| (q.0 - p.0) * (y - p.1) - (q.1 - p.1) * (x - p.0);
            let (u, v, w) = (cross(b, c), cross(c, a), cross(a, b));
            let twice = u + v + w;
            let shares = [u / twice, v / twice, w / twice];
            (twice > 0.0 && shares.iter().all(|s| *s >= -1e-9))
                .then(|| [0, 1, 2].map(|k| (t[k], shares[k])).to_vec())
        };
        self.triangles.iter().find_map(inner)
    }

    /// Gradient of the surface over a triangle, for heights at the points.
    pub fn gradient(&self, triangle: usize, z: &[f64]) -> (f64, f64) {
        let t = self.triangles[triangle];
        let [a, b, c] = t.map(|i| self.points[i]);
        let (db, dc) = (z[t[1]] - z[t[0]], z[t[2]] - z[t[0]]);
        let twice = 2.0 * self.area(triangle);
        ((db * (c.1 - a.1) - dc * (b.1 - a.1)) / twice, (dc * (b.0 - a.0) - db * (c.0 - a.0)) / twice)
    }
}

fn steps(points: &[Point]) -> Result<Vec<Step>, NoSurface> {
    const STEP: i64 = 125;
    let origin = points.first().copied().unwrap_or(Point::ORIGIN);
    let step = |v: i64| (v + STEP / 2).div_euclid(STEP);
    let near = |v: i64| (v.abs() <= MOST).then_some(i128::from(v));
    let one = |p: &Point| Some((near(step(p.x) - step(origin.x))?, near(step(p.y) - step(origin.y))?));
    points.iter().map(|p| one(p).ok_or(NoSurface::TooFar)).collect()
}

fn turn(a: Step, b: Step, c: Step) -> i128 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// Positive where d lies inside the circle through a, b and c, which turn left.
fn in_circle(a: Step, b: Step, c: Step, d: Step) -> i128 {
    let row = |p: Step| {
        let (x, y) = (p.0 - d.0, p.1 - d.1);
        (x, y, x * x + y * y)
    };
    let (a, b, c) = (row(a), row(b), row(c));
    a.2 * (b.0 * c.1 - b.1 * c.0) - b.2 * (a.0 * c.1 - a.1 * c.0) + c.2 * (a.0 * b.1 - a.1 * b.0)
}

/// Any triangulation: points from left to right, each joined to what it sees of the hull so far.
fn sweep(steps: &[Step], order: &[usize]) -> Option<(Thirds, Vec<usize>)> {
    let bend = (2..order.len()).find(|&k| turn(steps[order[0]], steps[order[1]], steps[order[k]]) != 0)?;
    let mut thirds = Thirds::new();
    let mut add = |u: usize, v: usize, w: usize| {
        thirds.insert((u, v), w);
        thirds.insert((v, w), u);
        thirds.insert((w, u), v);
    };
    let apex = order[bend];
    let left = turn(steps[order[0]], steps[order[1]], steps[apex]) > 0;
    let line: Vec<usize> =
        if left { order[..bend].to_vec() } else { order[..bend].iter().rev().copied().collect() };
    line.windows(2).for_each(|w| add(w[0], w[1], apex));
    let mut hull = line;
    hull.push(apex);
    for &p in &order[bend + 1..] {
        let n = hull.len();
        let sees = |k: usize| turn(steps[hull[k % n]], steps[hull[(k + 1) % n]], steps[p]) < 0;
        let first = (0..n).find(|&k| sees(k) && !sees(k + n - 1))?;
        let mut seen = 0;
        while sees(first + seen) {
            add(hull[(first + seen + 1) % n], hull[(first + seen) % n], p);
            seen += 1;
        }
        let rest = (0..=n - seen).map(|k| hull[(first + seen + k) % n]);
        hull = rest.chain([p]).collect();
    }
    Some((thirds, hull))
}

/// Turns diagonals until every circle is empty and every tie goes to the point listed first (Lawson 1977).
fn make_delaunay(steps: &[Step], thirds: &mut Thirds) {
    let mut todo: Vec<(usize, usize)> = thirds.keys().copied().filter(|&(u, v)| u < v).collect();
    while let Some((u, v)) = todo.pop() {
        let (Some(&w), Some(&x)) = (thirds.get(&(u, v)), thirds.get(&(v, u))) else { continue };
        let inside = in_circle(steps[u], steps[v], steps[w], steps[x]);
        let convex = turn(steps[x], steps[v], steps[w]) > 0 && turn(steps[w], steps[u], steps[x]) > 0;
        if !(convex && (inside > 0 || (inside == 0 && w.min(x) < u.min(v)))) {
            continue;
        }
        thirds.remove(&(u, v));
        thirds.remove(&(v, u));
        for (a, b, c) in [(w, x, v), (x, w, u)] {
            thirds.insert((a, b), c);
            thirds.insert((b, c), a);
            thirds.insert((c, a), b);
        }
        todo.extend([(u, w), (w, v), (v, x), (x, u)].map(|(a, b): (usize, usize)| (a.min(b), a.max(b))));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mesh(points: &[(i64, i64)]) -> Result<Mesh, NoSurface> {
        let points: Vec<Point> =
            points.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 }).collect();
        Mesh::new(&points)
    }

    /// How far from the origin of a plan a floor lies says nothing of how large it is.
    #[test]
    fn a_floor_far_from_the_origin_is_as_near_to_itself_as_any() {
        let far = MOST / 4 * 3 * 125;
        for at in [Point { x: far, y: 0 }, Point { x: 0, y: far }, Point { x: -far, y: -far }] {
            let corners = [(0, 0), (600_000_000, 0), (0, 600_000_000)];
            let points = corners.map(|(x, y)| Point { x: at.x + x, y: at.y + y });
            assert_eq!(Mesh::new(&points).map(|mesh| mesh.triangles.len()), Ok(1), "{at:?}");
        }
    }

    #[test]
    fn a_square_is_cut_through_the_point_listed_first() {
        for first in 0..4 {
            let mut square = vec![(0, 0), (600, 0), (600, 600), (0, 600)];
            square.rotate_left(first);
            let mesh = mesh(&square).expect("a square");
            let inner: Vec<_> = mesh.edges.iter().filter(|e| e.left.is_some() && e.right.is_some()).collect();
            assert_eq!((inner.len(), inner[0].ends[0]), (1, 0));
        }
    }

    #[test]
    fn a_grid_is_covered_once_and_every_circle_is_empty() {
        let points: Vec<(i64, i64)> = (0..42).map(|k| (k % 7 * 600, k / 7 * 500 + k % 3)).collect();
        let mesh = mesh(&points).expect("a grid");
        let steps: Vec<Step> = points.iter().map(|&(x, y)| (i128::from(x), i128::from(y))).collect();
        for t in &mesh.triangles {
            let [a, b, c] = t.map(|i| steps[i]);
            assert!(steps.iter().all(|&d| in_circle(a, b, c, d) <= 0));
        }
        let n = mesh.hull.len();
        let hull: f64 = (0..n)
            .map(|k| {
                let (a, b) = (mesh.points[mesh.hull[k]], mesh.points[mesh.hull[(k + 1) % n]]);
                (a.0 * b.1 - a.1 * b.0) / 2.0
            })
            .sum();
        let total: f64 = (0..mesh.triangles.len()).map(|t| mesh.area(t)).sum();
        assert!((hull - total).abs() < 1e-6 * total);
        assert!((mesh.shares().iter().sum::<f64>() - total).abs() < 1e-6 * total);
    }

    #[test]
    fn what_has_no_surface_is_told() {
        assert_eq!(mesh(&[(0, 0), (1, 1), (5, 5)]), Err(NoSurface::OneLine));
        assert_eq!(mesh(&[(0, 0), (4, 1), (0, 0)]), Err(NoSurface::SamePlace(0, 2)));
        assert_eq!(mesh(&[(0, 0), (4, 1), (0, 300_000)]), Err(NoSurface::TooFar));
    }
}
