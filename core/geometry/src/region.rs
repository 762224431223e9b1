//! Areas made of shapes with holes, and their unions and differences.
//!
//! The set operations are i_overlay's on its 64-bit integer grid, used directly: one grid step is a nanometre,
//! so where two edges cross the crossing is rounded to a nanometre and nothing else changes. Results are put
//! into one normal order, so that equal areas are equal values.

use crate::{Point, Ring};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

/// One connected area: an outer ring, clockwise on the page, less its holes, anticlockwise.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Shape {
    /// The outer boundary.
    pub outer: Ring,
    /// The boundaries of what is left out.
    pub holes: Vec<Ring>,
}

/// Any number of shapes that do not overlap.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Region {
    /// The shapes in normal order.
    pub shapes: Vec<Shape>,
}

type Contour = Vec<IntPoint<i64>>;

impl Shape {
    /// A shape without holes. The ring is turned clockwise if it is not.
    pub fn simple(ring: Ring) -> Self {
        let outer = if ring.doubled_area() < 0 { ring.reversed() } else { ring };
        Self { outer, holes: Vec::new() }
    }

    /// Twice the area in square nanometres, exact.
    pub fn doubled_area(&self) -> i128 {
        self.outer.doubled_area() + self.holes.iter().map(Ring::doubled_area).sum::<i128>()
    }

    /// The area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        self.doubled_area() as f64 / 2e12
    }

    /// All rings, the outer one first.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// The same shape with every point moved by `f`, which must keep the orientation.
    pub fn map(&self, f: impl Fn(Point) -> Point + Copy) -> Self {
        let ring = |r: &Ring| Ring::new(r.points.iter().map(|&p| f(p)).collect());
        Self { outer: ring(&self.outer), holes: self.holes.iter().map(ring).collect() }
    }
}

impl Region {
    /// The rectangle between two opposite corners.
    pub fn rectangle(a: Point, b: Point) -> Self {
        let (lo, hi) =
            (Point { x: a.x.min(b.x), y: a.y.min(b.y) }, Point { x: a.x.max(b.x), y: a.y.max(b.y) });
        let points = vec![lo, Point { x: hi.x, y: lo.y }, hi, Point { x: lo.x, y: hi.y }];
        Self { shapes: vec![Shape::simple(Ring::new(points))] }
    }

    /// The area enclosed by any of the rings, whichever way they run and wherever they overlap.
    pub fn from_rings(rings: &[Ring]) -> Self {
        let wound: Vec<Ring> = rings.iter().map(|r| Shape::simple(r.clone()).outer).collect();
        combine(&contours(&wound), &[], OverlayRule::Subject)
    }

    /// All that is in this region or in any of the rings.
    pub fn union(&self, rings: &[Ring]) -> Self {
        let wound: Vec<Ring> = rings.iter().map(|r| Shape::simple(r.clone()).outer).collect();
        combine(&self.contours(), &contours(&wound), OverlayRule::Union)
    }

    /// All that is in this region and in none of the rings.
    pub fn minus(&self, rings: &[Ring]) -> Self {
        if rings.is_empty() {
            return self.clone();
        }
        let wound: Vec<Ring> = rings.iter().map(|r| Shape::simple(r.clone()).outer).collect();
        combine(&self.contours(), &contours(&wound), OverlayRule::Difference)
    }

    /// All that is in both regions.
    pub fn common(&self, other: &Self) -> Self {
        combine(&self.contours(), &other.contours(), OverlayRule::Intersect)
    }

    /// Twice the area in square nanometres, exact.
    pub fn doubled_area(&self) -> i128 {
        self.shapes.iter().map(Shape::doubled_area).sum()
    }

    /// The area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        self.doubled_area() as f64 / 2e12
    }

    /// All rings of all shapes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        self.shapes.iter().flat_map(Shape::rings)
    }

    /// Whether there is no area at all.
    pub fn is_empty(&self) -> bool {
        self.shapes.is_empty()
    }

    /// Least and greatest coordinates as two points; `None` for no area.
    pub fn bounds(&self) -> Option<(Point, Point)> {
        let points = self.shapes.iter().flat_map(|s| s.outer.points.iter().copied()).collect();
        Ring::new(points).bounds()
    }

    /// The same region with every point moved by `f`, which must keep the orientation.
    pub fn map(&self, f: impl Fn(Point) -> Point + Copy) -> Self {
        Self { shapes: self.shapes.iter().map(|s| s.map(f)).collect() }
    }

    fn contours(&self) -> Vec<Contour> {
        self.rings().map(contour).collect()
    }
}

fn contour(ring: &Ring) -> Contour {
    ring.points.iter().map(|p| IntPoint::new(p.x, p.y)).collect()
}

fn contours(rings: &[Ring]) -> Vec<Contour> {
    rings.iter().map(contour).collect()
}

fn combine(subject: &[Contour], clip: &[Contour], rule: OverlayRule) -> Region {
    // Non-zero winding: overlapping rings add up, and a hole, running the other way, takes away.
    let shapes = Overlay::<i64>::from_subj_and_clip(subject, clip).overlay(rule, FillRule::NonZero);
    let ring = |c: &Contour| Ring::new(c.iter().map(|p| Point { x: p.x, y: p.y }).collect());
    let mut found: Vec<Shape> = shapes
        .iter()
        .filter_map(|contours| {
            let (outer, holes) = contours.split_first()?;
            let outer = normal(ring(outer), true)?;
            let mut holes: Vec<Ring> = holes.iter().filter_map(|h| normal(ring(h), false)).collect();
            holes.sort();
            Some(Shape { outer, holes })
        })
        .collect();
    found.sort();
    Region { shapes: found }
}

/// A ring in normal order: the wanted way round, starting from its least point. `None` if it encloses nothing.
pub(crate) fn normal(ring: Ring, clockwise: bool) -> Option<Ring> {
    let mut ring = ring.tidied();
    let area = ring.doubled_area();
    if ring.points.len() < 3 || area == 0 {
        return None;
    }
    if (area > 0) != clockwise {
        ring = ring.reversed();
    }
    let least = (0..ring.points.len()).min_by_key(|&i| ring.points[i])?;
    ring.points.rotate_left(least);
    Some(ring)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rect(x0: i64, y0: i64, x1: i64, y1: i64) -> Region {
        Region::rectangle(Point { x: x0, y: y0 }, Point { x: x1, y: y1 })
    }
    fn rings(r: &Region) -> Vec<Ring> {
        r.rings().cloned().collect()
    }

    #[test]
    fn a_keep_out_makes_a_hole() {
        let field = rect(0, 0, 100, 100).minus(&rings(&rect(40, 40, 60, 60)));
        assert_eq!(field.shapes.len(), 1);
        assert_eq!(field.shapes[0].holes.len(), 1);
        assert_eq!(field.doubled_area(), 2 * (10_000 - 400));
    }

    #[test]
    fn a_keep_out_right_across_makes_two_shapes() {
        let field = rect(0, 0, 100, 100).minus(&rings(&rect(40, -5, 60, 105)));
        assert_eq!(field.shapes.len(), 2);
        assert!(field.shapes[0].outer.points[0] < field.shapes[1].outer.points[0]);
    }

    #[test]
    fn overlapping_rings_are_one_area_whichever_way_they_run() {
        let a = rect(0, 0, 10, 10).shapes[0].outer.clone();
        let b = rect(5, 0, 15, 10).shapes[0].outer.clone().reversed();
        assert_eq!(Region::from_rings(&[a, b]).doubled_area(), 2 * 150);
    }

    #[test]
    fn rooms_of_ten_metres_are_exact_at_a_nanometre() {
        let big = rect(0, 0, 10_000_000_000, 10_000_000_000);
        let cut = big.minus(&rings(&rect(1, 1, 2, 2)));
        assert_eq!(big.doubled_area() - cut.doubled_area(), 2);
    }

    proptest! {
        #[test]
        fn union_and_intersection_add_up(
            a in (0_i64..1000, 0_i64..1000, 1_i64..1000, 1_i64..1000),
            b in (0_i64..1000, 0_i64..1000, 1_i64..1000, 1_i64..1000),
        ) {
            let (ra, rb) = (rect(a.0, a.1, a.0 + a.2, a.1 + a.3), rect(b.0, b.1, b.0 + b.2, b.1 + b.3));
            let both = ra.union(&rings(&rb)).doubled_area() + ra.common(&rb).doubled_area();
            prop_assert_eq!(both, ra.doubled_area() + rb.doubled_area());
            prop_assert_eq!(ra.minus(&rings(&rb)).doubled_area(), ra.doubled_area() - ra.common(&rb).doubled_area());
        }
    }
}
