//! Closed rings of points: area, containment, and everything that can be wrong with one.

use crate::{Point, Vector};

/// A closed ring; the last point is joined to the first. Any list of points is a ring, also one that crosses
/// itself: [`Ring::problems`] says what keeps it from bounding an area.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Ring {
    /// The points in order.
    pub points: Vec<Point>,
}

/// What keeps a ring from bounding one area clockwise. Places are indices of points; an edge is named by the
/// point it starts from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RingProblem {
    /// Fewer than three points.
    TooFew,
    /// This point lies where the one before it lies.
    NoLength(usize),
    /// At this point the ring turns back on itself.
    FoldsBack(usize),
    /// Two edges cross or touch.
    Crosses(usize, usize),
    /// It encloses nothing.
    NoArea,
    /// It runs anticlockwise on the page.
    Anticlockwise,
}

impl Ring {
    /// A ring of these points.
    pub fn new(points: Vec<Point>) -> Self {
        Self { points }
    }

    /// The edges in order, each from a point to the next.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let n = self.points.len();
        (0..n).map(move |i| (self.points[i], self.points[(i + 1) % n]))
    }

    /// Twice the enclosed area in square nanometres, exact; positive where the ring runs clockwise on the page.
    pub fn doubled_area(&self) -> i128 {
        // Shifting to the first point keeps the products small; the sum is exact either way.
        let Some(&origin) = self.points.first() else { return 0 };
        self.edges().map(|(a, b)| (a - origin).cross(b - origin)).sum()
    }

    /// The enclosed area in square millimetres, positive where the ring runs clockwise on the page.
    pub fn area_mm2(&self) -> f64 {
        self.doubled_area() as f64 / 2e12
    }

    /// The length of the boundary in millimetres.
    pub fn perimeter_mm(&self) -> f64 {
        self.edges().map(|(a, b)| (b - a).norm()).sum::<f64>() / 1e6
    }

    /// The same ring the other way round.
    pub fn reversed(mut self) -> Self {
        self.points.reverse();
        self
    }

    /// Least and greatest coordinates as two points; `None` for no points.
    pub fn bounds(&self) -> Option<(Point, Point)> {
        let first = *self.points.first()?;
        Some(self.points.iter().fold((first, first), |(lo, hi), p| {
            (Point { x: lo.x.min(p.x), y: lo.y.min(p.y) }, Point { x: hi.x.max(p.x), y: hi.y.max(p.y) })
        }))
    }

    /// Whether a point lies inside or on the ring, exactly.
    pub fn contains(&self, p: Point) -> bool {
        let mut inside = false;
        for (a, b) in self.edges() {
            let cross = (b - a).cross(p - a);
            if cross == 0 && between(a, b, p) {
                return true;
            }
            if (a.y > p.y) != (b.y > p.y) && ((cross > 0) == (b.y > a.y)) {
                inside = !inside;
            }
        }
        inside
    }

    /// Everything that keeps the ring from bounding one area clockwise, in order of place.
    pub fn problems(&self) -> Vec<RingProblem> {
        let n = self.points.len();
        if n < 3 {
            return vec![RingProblem::TooFew];
        }
        let mut found = Vec::new();
        for i in 0..n {
            let (before, here, after) =
                (self.points[(i + n - 1) % n], self.points[i], self.points[(i + 1) % n]);
            if before == here {
                found.push(RingProblem::NoLength(i));
            } else if (here - before).cross(after - here) == 0 && (here - before).dot(after - here) < 0 {
                found.push(RingProblem::FoldsBack(i));
            }
        }
        self.crossings(&mut found);
        if found.is_empty() {
            match self.doubled_area() {
                0 => found.push(RingProblem::NoArea),
                a if a < 0 => found.push(RingProblem::Anticlockwise),
                _ => {}
            }
        }
        found
    }

    fn crossings(&self, found: &mut Vec<RingProblem>) {
        // Edges without length have been told already, and their neighbours are neighbours of each other.
        let edges: Vec<(usize, Point, Point)> =
            self.edges().enumerate().filter(|(_, (a, b))| a != b).map(|(i, (a, b))| (i, a, b)).collect();
        for (k, &(i, a, b)) in edges.iter().enumerate() {
            let seam = usize::from(k == 0);
            for &(j, c, d) in edges.iter().take(edges.len() - seam).skip(k + 2) {
                if segments_meet(a, b, c, d) {
                    found.push(RingProblem::Crosses(i, j));
                }
            }
        }
    }

    /// Drops repeated points and points in the middle of a straight run, spikes included.
    pub(crate) fn tidied(self) -> Self {
        let mut kept: Vec<Point> = Vec::with_capacity(self.points.len());
        for p in self.points {
            push_tidy(&mut kept, p);
        }
        // The seam: the ends may be straight or equal across it.
        let mut start = 0;
        while kept.len() - start >= 3 {
            let last = kept.len() - 1;
            if straight(kept[last - 1], kept[last], kept[start]) {
                kept.pop();
            } else if straight(kept[last], kept[start], kept[start + 1]) {
                start += 1;
            } else {
                break;
            }
        }
        kept.drain(..start);
        Self { points: kept }
    }
}

fn push_tidy(kept: &mut Vec<Point>, p: Point) {
    while let [.., a, b] = kept[..] {
        if straight(a, b, p) {
            kept.pop();
        } else {
            break;
        }
    }
    if kept.last() != Some(&p) {
        kept.push(p);
    }
}

/// Whether the middle point adds nothing: on the line through the others, or equal to one of them.
fn straight(a: Point, b: Point, c: Point) -> bool {
    (b - a).cross(c - b) == 0
}

/// Whether `p`, known to be on the line through `a` and `b`, lies between them.
fn between(a: Point, b: Point, p: Point) -> bool {
    (p - a).dot(p - b) <= 0
}

/// Whether two segments have a point in common, exactly.
pub(crate) fn segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p).signum();
    let (s1, s2) = (side(a, b, c), side(a, b, d));
    if s1 * s2 > 0 {
        return false; // one lies wholly on one side of the other, as nearly all do
    }
    let (s3, s4) = (side(c, d, a), side(c, d, b));
    if s1 * s2 < 0 && s3 * s4 < 0 {
        return true;
    }
    (s1 == 0 && between(a, b, c))
        || (s2 == 0 && between(a, b, d))
        || (s3 == 0 && between(c, d, a))
        || (s4 == 0 && between(c, d, b))
}

/// The distance of a point from a segment in nanometres.
pub fn distance_to_segment(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let len2 = along.dot(along) as f64;
    let t = if len2 > 0.0 { ((p - a).dot(along) as f64 / len2).clamp(0.0, 1.0) } else { 0.0 };
    let off: Vector = p - a;
    let (dx, dy) = (off.x as f64 - t * along.x as f64, off.y as f64 - t * along.y as f64);
    (dx * dx + dy * dy).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(i64, i64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point { x, y }).collect())
    }

    #[test]
    fn a_room_walked_clockwise_has_positive_area() {
        let room = ring(&[(0, 0), (4, 0), (4, 3), (0, 3)]);
        assert_eq!(room.doubled_area(), 24);
        assert_eq!(room.problems(), []);
        assert_eq!(room.clone().reversed().problems(), [RingProblem::Anticlockwise]);
    }

    #[test]
    fn every_problem_is_found_with_its_place() {
        assert_eq!(ring(&[(0, 0), (1, 0)]).problems(), [RingProblem::TooFew]);
        assert_eq!(ring(&[(0, 0), (4, 4), (4, 0), (0, 4)]).problems(), [RingProblem::Crosses(0, 2)]);
        assert_eq!(ring(&[(0, 0), (4, 0), (4, 0), (4, 3)]).problems(), [RingProblem::NoLength(2)]);
        assert_eq!(
            ring(&[(0, 0), (4, 0), (2, 0), (2, 3)]).problems(),
            [RingProblem::FoldsBack(1), RingProblem::Crosses(0, 2)]
        );
        // A corner that touches a far wall bounds two areas, not one.
        assert_eq!(
            ring(&[(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)]).problems(),
            [RingProblem::Crosses(0, 2), RingProblem::Crosses(0, 3)]
        );
    }

    #[test]
    fn segments_that_touch_meet_and_those_on_one_line_apart_do_not() {
        let at = |(x, y): (i64, i64)| Point { x, y };
        for (a, b, c, d, meet) in [
            // An end of either lies on the other, or beyond it on its line.
            ((0, 0), (4, 0), (2, 0), (2, 3), true),
            ((0, 0), (4, 0), (2, 3), (2, 0), true),
            ((0, 0), (4, 0), (5, 0), (5, 3), false),
            ((0, 0), (4, 0), (5, 3), (5, 0), false),
            // On one line: one within the other, over an end, end to end, apart.
            ((1, 0), (2, 0), (0, 0), (4, 0), true),
            ((0, 0), (4, 0), (3, 0), (6, 0), true),
            ((0, 0), (4, 0), (4, 0), (6, 0), true),
            ((0, 0), (4, 0), (5, 0), (6, 0), false),
            // Across, and one that stops short.
            ((0, 0), (4, 4), (0, 4), (4, 0), true),
            ((0, 0), (4, 4), (0, 4), (1, 3), false),
        ] {
            let (a, b, c, d) = (at(a), at(b), at(c), at(d));
            for (one, two) in [((a, b), (c, d)), ((b, a), (c, d)), ((c, d), (a, b)), ((d, c), (a, b))] {
                assert_eq!(segments_meet(one.0, one.1, two.0, two.1), meet, "{one:?} {two:?}");
            }
        }
    }

    #[test]
    fn the_boundary_belongs_to_the_inside() {
        let l = ring(&[(0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4)]);
        for (p, inside) in [
            ((1, 1), true),
            ((3, 3), false),
            ((2, 3), true),
            ((4, 1), true),
            ((0, 0), true),
            ((5, 2), false),
            ((-1, 2), false),
        ] {
            assert_eq!(l.contains(Point { x: p.0, y: p.1 }), inside, "{p:?}");
        }
    }

    /// Areas by coordinates, in ft²: J. Mahun, *Open Access Surveying Library*, chapters on coordinate geometry (H)
    /// and traverse computations (G), and an FE surveying practice problem (open-exam-prep, 8.4; its area by hand).
    #[test]
    fn published_areas_by_coordinates() {
        let feet = |points: &[(f64, f64)]| {
            let thousandth = |x: f64| Point::from_mm_rounded(x, 0.0).expect("near").x;
            Ring::new(points.iter().map(|&(n, e)| Point { x: thousandth(e), y: thousandth(n) }).collect())
                .area_mm2()
                .abs()
        };
        let mahun_h =
            [(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40), (317.89, 942.04), (675.32, 1282.54)];
        assert!((feet(&mahun_h) - 140_493.11).abs() < 0.01, "{}", feet(&mahun_h));
        let mahun_g = [(500.0, 2000.0), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)];
        assert!((feet(&mahun_g) - 102_935.72).abs() < 0.01, "{}", feet(&mahun_g));
        assert!((feet(&[(0.0, 0.0), (0.0, 300.0), (200.0, 300.0), (200.0, 0.0)]) - 60_000.0).abs() < 1e-9);
    }

    #[test]
    fn tidying_keeps_the_area() {
        let r = ring(&[(2, 0), (4, 0), (4, 0), (4, 3), (6, 3), (4, 3), (0, 3), (0, 0)]);
        let t = r.clone().tidied();
        assert_eq!(t.doubled_area(), r.doubled_area());
        assert_eq!(t.points.len(), 4, "{t:?}");
    }
}
