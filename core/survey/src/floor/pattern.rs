//! Where to read a floor with the rod, in the order in which a person walks it.
//!
//! Readings say nothing of chords shorter than twice their distance, so they stand no further apart than half the
//! shortest span that is asked. Spans under a metre are left to a straightedge: rods would have to stand closer
//! than anybody reads them (common practice).

use super::ground::Ground;
use super::mesh::Mesh;
use drylay_geometry::{Point, Ring};

/// Distance of readings where no tolerance asks for less, mm (common practice: a grid of two feet).
const USUAL: f64 = 600.0;
/// Spans from here on are judged by rod readings, mm.
const RODS_FROM: f64 = 1000.0;
/// How far from walls and keep-outs the readings stand, mm: a rod's foot and a hand need that much.
const CLEAR: f64 = 100.0;
/// How near to them it may come where a wall is not square, mm: the rod's own foot.
const FOOT: f64 = 60.0;
/// More readings than this nobody takes; they are spread wider then.
const MOST: usize = 1000;

/// Places to read.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// No neighbours along a row or between rows stand further apart, mm.
    pub spacing: f64,
    /// The places in walking order, to whole millimetres.
    pub points: Vec<Point>,
}

/// Suggests where to read the floor of a room; `spans` are those of the tolerances asked, in mm.
pub fn pattern(room: &Ring, keepouts: &[Ring], spans: &[f64]) -> Pattern {
    let ground = Ground::new(room, keepouts);
    let shortest = spans.iter().copied().filter(|s| *s >= RODS_FROM).fold(f64::INFINITY, f64::min);
    let mut spacing = USUAL.min(shortest / 2.0);
    loop {
        let points = rows(&ground, spacing);
        if points.len() <= MOST {
            return Pattern { spacing, points };
        }
        spacing *= 1.25;
    }
}

impl Pattern {
    /// Whether the readings stand close enough for a span, once they are taken as suggested.
    pub fn suffices(&self, span: f64) -> bool {
        Mesh::new(&self.points).is_ok_and(|mesh| span >= 2.0 * mesh.median_edge())
    }
}

fn rows(ground: &Ground, spacing: f64) -> Vec<Point> {
    let corners = || ground.rings().iter().flatten();
    let range = |of: &dyn Fn(&(f64, f64)) -> f64| {
        corners().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
    };
    let (x, y) = (range(&|p| p.0), range(&|p| p.1));
    let (xs, ys) = (places(x, spacing), places(y, spacing));
    let clear = |p: (f64, f64)| {
        let around = [-FOOT, 0.0, FOOT];
        around.iter().all(|dx| around.iter().all(|dy| ground.contains((p.0 + dx, p.1 + dy))))
    };
    let mut points = Vec::new();
    for (row, &y) in ys.iter().enumerate() {
        let from = points.len();
        points.extend(xs.iter().map(|&x| (x, y)).filter(|&p| clear(p)));
        if row % 2 == 1 {
            points[from..].reverse();
        }
    }
    points.into_iter().filter_map(|(x, y)| Point::from_mm_rounded(x, y)).collect()
}

/// Evenly spaced places between two walls, in whole millimetres.
fn places((low, high): (f64, f64), spacing: f64) -> Vec<f64> {
    let (low, high) = ((low + CLEAR).ceil(), (high - CLEAR).floor());
    if !(low.is_finite() && high >= low) {
        return Vec::new();
    }
    let parts = ((high - low) / spacing).ceil().max(1.0);
    let mut places = Vec::new();
    let mut k = 0.0;
    while k <= parts {
        places.push((low + k * (high - low) / parts).floor());
        k += 1.0;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[(i64, i64)]) -> Ring {
        Ring::new(corners.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 }).collect())
    }

    #[test]
    fn readings_stand_close_enough_for_every_span_that_rods_can_judge() {
        let room = ring(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)]);
        for span in [1000.0, 1200.0, 2000.0, 3048.0] {
            let pattern = pattern(&room, &[], &[span, 304.8]);
            assert!(pattern.suffices(span), "{span}: {}", pattern.spacing);
        }
        let (usual, dense) = (pattern(&room, &[], &[3048.0]), pattern(&room, &[], &[1000.0, 3048.0]));
        assert!(dense.points.len() > usual.points.len());
        assert!(!usual.suffices(304.8));
    }

    /// Readings two feet apart tell of chords of four feet, and of no shorter ones.
    #[test]
    fn readings_suffice_for_twice_their_distance() {
        let grid = (0..25).map(|k| Point { x: k % 5 * 600_000_000, y: k / 5 * 600_000_000 }).collect();
        let pattern = Pattern { spacing: 600.0, points: grid };
        assert!(pattern.suffices(1200.0) && !pattern.suffices(1199.0));
    }

    #[test]
    fn readings_keep_clear_of_walls_and_keepouts_and_are_a_walk() {
        let room = ring(&[(0, 0), (5000, 0), (5000, 2000), (2500, 2000), (2500, 4000), (0, 4000)]);
        let island = ring(&[(1000, 1000), (1600, 1000), (1600, 1500), (1000, 1500)]);
        let found = pattern(&room, &[island], &[2000.0]);
        for p in &found.points {
            let (x, y) = p.mm();
            let in_room =
                x >= 100.0 && y >= 100.0 && x <= 4900.0 && y <= if x > 2400.0 { 1900.0 } else { 3900.0 };
            let in_island = x > 940.0 && x < 1660.0 && y > 940.0 && y < 1560.0;
            assert!(in_room && !in_island, "{x} {y}");
        }
        assert!(found.points.len() > 20);
        let steps = found.points.windows(2).map(|w| {
            let ((ax, ay), (bx, by)) = (w[0].mm(), w[1].mm());
            (bx - ax).abs() + (by - ay).abs()
        });
        assert!(steps.fold(0.0, f64::max) < 3200.0, "no walk across the room between rows");
    }

    #[test]
    fn a_room_that_is_not_quite_square_is_read_along_all_its_walls() {
        let skew = ring(&[(0, 0), (1250, 0), (1275, 5200), (25, 5200)]);
        let points = pattern(&skew, &[], &[3000.0]).points;
        let beside = |near: &dyn Fn(f64) -> bool| points.iter().filter(|p| near(p.mm().0)).count();
        assert_eq!((beside(&|x| x < 200.0), beside(&|x| x > 1050.0)), (10, 10));
    }

    #[test]
    fn a_hall_is_not_asked_for_more_than_anybody_reads() {
        let hall = ring(&[(0, 0), (60_000, 0), (60_000, 40_000), (0, 40_000)]);
        let found = pattern(&hall, &[], &[1000.0]);
        assert!(found.points.len() <= MOST && found.points.len() > MOST / 3);
        // Between 100 mm off the walls, 39 and 24 times 600 mm: 40 × 25 readings are as many as may be.
        let full = pattern(&ring(&[(0, 0), (23_600, 0), (23_600, 14_600), (0, 14_600)]), &[], &[3048.0]);
        assert_eq!((full.points.len(), full.spacing), (1000, 600.0));
    }
}
