//! Cutting shapes along axis-parallel lines, in integer arithmetic.
//!
//! A floor is cut into rows and rows into tiles, so every cut is along a line of constant coordinate. The
//! corners of the shape are sorted onto the two sides of the line, a corner exactly on it belonging to neither, so
//! that parts which only touch on the line come apart; crossings are ordered along the line by exact fractions, and every second gap between them is inside the
//! shape. Where an edge crosses the line, the crossing is rounded to a nanometre: that is the only rounding, and
//! since it keeps the order of crossings, which parts exist never depends on it.
//!
//! The two sides of a cut always add up to the whole, to a nanometre times the length of the cut.

use crate::region::normal;
use crate::{Point, Ring, Shape};
use std::cmp::Ordering;

/// Which coordinate is constant along the line of a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Lines of constant x: the columns of a lattice.
    X,
    /// Lines of constant y: the rows of a lattice.
    Y,
}

/// Which side of the line is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Lesser coordinates.
    Below,
    /// Greater coordinates.
    Above,
}

impl Axis {
    /// The coordinate that decides the side.
    pub fn of(self, p: Point) -> i64 {
        match self {
            Self::X => p.x,
            Self::Y => p.y,
        }
    }
    /// The coordinate along the line.
    fn along(self, p: Point) -> i64 {
        match self {
            Self::X => p.y,
            Self::Y => p.x,
        }
    }
    fn point(self, across: i64, along: i64) -> Point {
        match self {
            Self::X => Point { x: across, y: along },
            Self::Y => Point { x: along, y: across },
        }
    }
}

/// Where an edge crosses the line: the coordinate along it as an exact fraction, and the edge's slope, which
/// orders edges that cross at the same place.
#[derive(Clone, Copy, Debug)]
struct Crossing {
    floor: i128,
    /// Remainder over `den`, both non-negative.
    rem: i128,
    den: i128,
    /// Change along the line over change across it: `run / rise` with positive rise.
    run: i128,
}

impl Crossing {
    fn new(axis: Axis, at: i64, a: Point, b: Point) -> Self {
        // The fraction is formed with a positive denominator.
        let (lo, hi) = if axis.of(a) < axis.of(b) { (a, b) } else { (b, a) };
        let den = i128::from(axis.of(hi)) - i128::from(axis.of(lo));
        let run = i128::from(axis.along(hi)) - i128::from(axis.along(lo));
        let num = run * (i128::from(at) - i128::from(axis.of(lo)));
        Self { floor: i128::from(axis.along(lo)) + num.div_euclid(den), rem: num.rem_euclid(den), den, run }
    }

    /// The order along a line moved a hair into the kept side, where no two edges of a shape share a place.
    fn order(&self, other: &Self, side: Side) -> Ordering {
        let slope = (self.run * other.den).cmp(&(other.run * self.den));
        self.floor
            .cmp(&other.floor)
            .then_with(|| (self.rem * other.den).cmp(&(other.rem * self.den)))
            .then(if side == Side::Above { slope } else { slope.reverse() })
    }

    fn rounded(&self) -> i64 {
        let up = i128::from(2 * self.rem >= self.den);
        i64::try_from(self.floor + up).unwrap_or(0)
    }
}

/// A run of the boundary on the kept side, from where it comes in to where it goes out.
struct Chain {
    points: Vec<Point>,
    enters: Crossing,
    leaves: Crossing,
}

/// The parts of `shape` on one side of the line where `axis`'s coordinate is `at`.
pub fn cut(shape: &Shape, axis: Axis, at: i64, side: Side) -> Vec<Shape> {
    let keep = |p: Point| match side {
        Side::Below => axis.of(p) < at,
        Side::Above => axis.of(p) > at,
    };
    if !shape.outer.points.iter().any(|&p| keep(p)) {
        return Vec::new();
    }
    let beyond = |p: &Point| axis.of(*p) == at || keep(*p);
    if shape.outer.points.iter().all(beyond)
        && !shape.holes.iter().flat_map(|h| &h.points).any(|p| axis.of(*p) == at)
    {
        return vec![shape.clone()];
    }
    let mut chains = Vec::new();
    let mut whole_holes = Vec::new();
    for (i, ring) in shape.rings().enumerate() {
        let before = chains.len();
        collect_chains(ring, axis, at, keep, &mut chains);
        if i > 0 && chains.len() == before && ring.points.first().is_some_and(|&p| keep(p)) {
            whole_holes.push(ring.clone());
        }
    }
    let outers = join(chains, axis, at, side);
    with_holes(outers, whole_holes)
}

/// The parts of `shape` between two parallel lines.
pub fn cut_band(shape: &Shape, axis: Axis, lo: i64, hi: i64) -> Vec<Shape> {
    cut(shape, axis, lo, Side::Above).iter().flat_map(|s| cut(s, axis, hi, Side::Below)).collect()
}

fn collect_chains(ring: &Ring, axis: Axis, at: i64, keep: impl Fn(Point) -> bool, chains: &mut Vec<Chain>) {
    let n = ring.points.len();
    let p = |i: usize| ring.points[i % n];
    for start in 0..n {
        if keep(p(start)) || !keep(p(start + 1)) {
            continue;
        }
        let mut points = Vec::new();
        let mut i = start + 1;
        while keep(p(i)) {
            points.push(p(i));
            i += 1;
        }
        let enters = Crossing::new(axis, at, p(start), p(start + 1));
        let leaves = Crossing::new(axis, at, p(i - 1), p(i));
        chains.push(Chain { points, enters, leaves });
    }
}

/// Joins the chains along the line into closed rings: each gap between two crossings that is inside the shape
/// links the chain that leaves at one end of it to the chain that enters at the other.
fn join(chains: Vec<Chain>, axis: Axis, at: i64, side: Side) -> Vec<Ring> {
    let mut order: Vec<(usize, bool)> = (0..chains.len()).flat_map(|c| [(c, true), (c, false)]).collect();
    let crossing = |&(c, enters): &(usize, bool)| if enters { chains[c].enters } else { chains[c].leaves };
    order.sort_by(|a, b| crossing(a).order(&crossing(b), side).then_with(|| a.cmp(b)));
    let mut next: Vec<Option<usize>> = vec![None; chains.len()];
    let mut loose: (Vec<usize>, Vec<usize>) = Default::default();
    for gap in order.chunks(2) {
        match *gap {
            [(leaving, false), (entering, true)] | [(entering, true), (leaving, false)] => {
                next[leaving] = Some(entering);
            }
            // Only rings that a nanometre's rounding has made to cross come here; nothing is lost.
            _ => gap.iter().for_each(|&(c, enters)| if enters { loose.1.push(c) } else { loose.0.push(c) }),
        }
    }
    for (leaving, entering) in loose.0.into_iter().zip(loose.1) {
        next[leaving] = Some(entering);
    }
    let mut used = vec![false; chains.len()];
    let mut rings = Vec::new();
    for first in 0..chains.len() {
        let mut points = Vec::new();
        let mut current = Some(first);
        while let Some(c) = current.filter(|&c| !used[c]) {
            used[c] = true;
            points.push(axis.point(at, chains[c].enters.rounded()));
            points.extend_from_slice(&chains[c].points);
            points.push(axis.point(at, chains[c].leaves.rounded()));
            current = next[c];
        }
        if points.len() > 2 {
            rings.push(Ring::new(points));
        }
    }
    rings
}

fn with_holes(outers: Vec<Ring>, holes: Vec<Ring>) -> Vec<Shape> {
    let mut shapes: Vec<Shape> = outers
        .into_iter()
        .filter(|r| r.doubled_area() > 0)
        .filter_map(|r| normal(r, true))
        .map(|outer| Shape { outer, holes: Vec::new() })
        .collect();
    shapes.sort();
    for hole in holes {
        let Some(&inside) = hole.points.first() else { continue };
        let only = shapes.len() == 1;
        if let Some(shape) = shapes.iter_mut().find(|s| only || s.outer.contains(inside)) {
            shape.holes.push(hole);
        }
    }
    shapes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Region;
    use proptest::prelude::*;

    fn ring(points: &[(i64, i64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point { x, y }).collect())
    }

    #[test]
    fn a_comb_falls_into_its_teeth() {
        let comb = Shape::simple(ring(&[
            (0, 0),
            (50, 0),
            (50, 30),
            (40, 30),
            (40, 10),
            (30, 10),
            (30, 30),
            (20, 30),
            (20, 10),
            (10, 10),
            (10, 30),
            (0, 30),
        ]));
        let teeth = cut(&comb, Axis::Y, 20, Side::Above);
        assert_eq!(teeth.iter().map(Shape::doubled_area).collect::<Vec<_>>(), [200, 200, 200]);
        let back = cut(&comb, Axis::Y, 20, Side::Below);
        assert_eq!(back.len(), 1);
    }

    #[test]
    fn a_line_along_an_edge_leaves_no_sliver() {
        let l = Shape::simple(ring(&[(0, 0), (40, 0), (40, 20), (20, 20), (20, 40), (0, 40)]));
        let below = cut(&l, Axis::Y, 20, Side::Below);
        let above = cut(&l, Axis::Y, 20, Side::Above);
        assert_eq!((below.len(), above.len()), (1, 1));
        assert_eq!(below[0].outer.points.len(), 4);
        assert_eq!(above[0].outer.points.len(), 4);
        assert!(cut(&l, Axis::Y, 40, Side::Above).is_empty());
        assert!(cut(&l, Axis::Y, 0, Side::Below).is_empty());
    }

    #[test]
    fn a_hole_on_the_line_opens_and_one_beside_it_stays() {
        let outer = ring(&[(0, 0), (100, 0), (100, 100), (0, 100)]);
        let holes = [
            ring(&[(40, 40), (60, 40), (60, 60), (40, 60)]),
            ring(&[(10, 70), (20, 70), (20, 80), (10, 80)]),
        ];
        let shape = Region::from_rings(&[outer]).minus(&holes).shapes.remove(0);
        let above = cut(&shape, Axis::Y, 50, Side::Above);
        assert_eq!(above.len(), 1);
        assert_eq!(above[0].holes.len(), 1);
        assert_eq!(above[0].doubled_area(), 2 * (5000 - 200 - 100));
        let left = cut(&above[0], Axis::X, 50, Side::Below);
        assert_eq!(left[0].holes.len(), 1);
    }

    #[test]
    fn corners_that_touch_the_line_from_one_side() {
        let w = Shape::simple(ring(&[(0, 0), (60, 0), (45, 30), (30, 10), (15, 30)]));
        let top = cut(&w, Axis::Y, 10, Side::Below);
        assert_eq!(top.len(), 1);
        let legs = cut(&w, Axis::Y, 10, Side::Above);
        assert_eq!(legs.len(), 2, "the notch's tip on the line parts the legs");
        assert_eq!(
            top[0].doubled_area() + legs.iter().map(Shape::doubled_area).sum::<i128>(),
            w.doubled_area()
        );
    }

    /// A star-shaped ring: always simple, with edges in every direction.
    fn star() -> impl Strategy<Value = Ring> {
        proptest::collection::vec(100_i64..1_000_000, 3..24).prop_map(|radii| {
            let n = radii.len() as f64;
            let point = |(i, r): (usize, &i64)| {
                let (sin, cos) = libm::sincos(i as f64 / n * std::f64::consts::TAU);
                Point::from_mm_rounded(*r as f64 * cos / 1e3, *r as f64 * sin / 1e3).expect("near")
            };
            Ring::new(radii.iter().enumerate().map(point).collect())
        })
    }

    proptest! {
        #[test]
        fn the_two_sides_add_up_and_agree_with_the_overlay_engine(ring in star(), at in -900_000_000_i64..900_000_000, axis_x in any::<bool>()) {
            prop_assume!(ring.problems().is_empty());
            let axis = if axis_x { Axis::X } else { Axis::Y };
            let shape = Shape::simple(ring);
            let area = |v: &[Shape]| v.iter().map(Shape::doubled_area).sum::<i128>();
            let (below, above) = (cut(&shape, axis, at, Side::Below), cut(&shape, axis, at, Side::Above));
            prop_assert!((area(&below) + area(&above) - shape.doubled_area()).abs() <= 8_000_000_000);
            let big = 2_000_000_000;
            let half = match axis {
                Axis::X => Region::rectangle(Point { x: at, y: -big }, Point { x: big, y: big }),
                Axis::Y => Region::rectangle(Point { x: -big, y: at }, Point { x: big, y: big }),
            };
            let other = Region { shapes: vec![shape] }.common(&half);
            prop_assert!((other.doubled_area() - area(&above)).abs() <= 16_000_000_000, "{} {}", other.doubled_area(), area(&above));
            // A sliver thinner than the grid may exist for one engine and not for the other.
            let real = |v: &[Shape]| v.iter().filter(|s| s.doubled_area() > 16_000_000_000).count();
            prop_assert_eq!(real(&other.shapes), real(&above));
        }
    }
}
