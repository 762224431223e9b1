//! Sections for grouting on made-up rooms: they cover the floor, are within reach, leave no part of it cut off by wet
//! grout, and end at the way out.

use drylay_geometry::{Direction, Length, Point, Region, Ring, Shape};
use drylay_plan::FrameField;
use drylay_plan::work::sections::{Reach, Section, sections};
use std::collections::BTreeSet;

/// A small generator, the same in every run (Lehmer's, as Park and Miller give it).
struct Lots(u64);

impl Lots {
    fn next(&mut self, below: u64) -> u64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 % below
    }
    fn mm(&mut self, from: u64, to: u64) -> i64 {
        i64::try_from(from + self.next(to - from)).expect("small")
    }
}

fn point(x: i64, y: i64) -> Point {
    Point::new(Length::from_mm(x), Length::from_mm(y))
}
fn ring(points: &[(i64, i64)]) -> Ring {
    Ring::new(points.iter().map(|&(x, y)| point(x, y)).collect())
}

/// A room: a rectangle, an L, a T, a U or a skewed one, some with posts in it; its way out lies on the first wall.
fn room(lots: &mut Lots) -> (Region, (Point, Point)) {
    let (w, h) = (lots.mm(1500, 9000), lots.mm(1500, 9000));
    let (a, b) = (w * lots.mm(30, 60) / 100, h * lots.mm(30, 60) / 100);
    let outline = match lots.next(5) {
        0 => vec![(0, 0), (w, 0), (w, h), (0, h)],
        1 => vec![(0, 0), (w, 0), (w, b), (a, b), (a, h), (0, h)],
        2 => vec![(0, 0), (w, 0), (w, b), (w - a / 2, b), (w - a / 2, h), (a / 2, h), (a / 2, b), (0, b)],
        3 => vec![(0, 0), (w, 0), (w, h), (w - w / 3, h), (w - w / 3, b), (w / 3, b), (w / 3, h), (0, h)],
        _ => vec![(0, 0), (w, 0), (w + lots.mm(0, 400), h), (lots.mm(0, 300), h - lots.mm(0, 300))],
    };
    let posts = lots.next(3);
    let mut floor = Region::from_rings(&[ring(&outline)]);
    for _ in 0..posts {
        let (x, y, side) = (lots.mm(200, 1200), lots.mm(200, 1200), lots.mm(80, 400));
        floor = floor.minus(&[ring(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])]);
    }
    let start = lots.mm(0, 600);
    (floor, (point(start, 0), point(start + 800, 0)))
}

/// Joints of rows of a tile that is between a plank and a slab.
fn joints(field: &Region, lots: &mut Lots) -> Vec<i64> {
    let (least, most) = field.bounds().expect("a floor");
    let pitch = lots.mm(150, 1200) * 1_000_000;
    let first = least.y + lots.mm(60, 150) * 1_000_000;
    (0..).map(|k| first + k * pitch).take_while(|v| *v < most.y).collect()
}

fn parts_that_hang_together(sections: &[Section], of: &BTreeSet<usize>) -> usize {
    let mut left = of.clone();
    let mut parts = 0;
    while let Some(first) = left.pop_first() {
        parts += 1;
        let mut open = vec![first];
        while let Some(k) = open.pop() {
            open.extend(sections[k].beside.iter().filter(|other| left.remove(other)));
        }
    }
    parts
}

#[test]
fn a_hundred_rooms_are_covered_within_reach_and_left_by_the_way_out() {
    let mut lots = Lots(20_260_925);
    for n in 0..100 {
        let (floor, way_out) = room(&mut lots);
        let degrees = [0.0, 90.0, 0.0, 17.5][usize::try_from(n % 4).expect("small")];
        let direction = Direction::from_degrees(degrees).expect("a direction");
        let field = FrameField::new(&floor, direction);
        let joints = joints(&field.region, &mut lots);
        let ends = (direction.to_frame(way_out.0), direction.to_frame(way_out.1));
        let found = sections(&field, &joints, Reach::COMMON, ends);
        assert!(!found.is_empty(), "room {n}");

        // Cover: nothing is missing, and nothing is twice, but for parts under a square millimetre.
        let whole = field.region.area_mm2();
        let sum: f64 = found.iter().map(|one| one.shape.area_mm2()).sum();
        let rings: Vec<Ring> = found.iter().map(|one| one.shape.outer.clone()).collect();
        let union = Region::from_rings(&rings).common(&field.region).area_mm2();
        assert!(
            (sum - whole).abs() < 100.0 && (union - whole).abs() < 100.0,
            "room {n}: {sum} {union} of {whole}"
        );

        // Size, and with it the reach of an arm from its edge: 4 ft by 3 ft (common practice).
        for one in &found {
            let (a, b) = one.shape.outer.bounds().expect("an outline");
            let (along, across) = (Length::from_nanometres(b.x - a.x), Length::from_nanometres(b.y - a.y));
            assert!(
                along <= Reach::COMMON.along && across <= Reach::COMMON.across,
                "room {n}: {along:?} {across:?}"
            );
        }

        // At every moment what is still to be done hangs together with the way out, and each is left over one that is
        // not done yet.
        let apart = found.iter().filter(|one| one.leaves_by.is_none()).count();
        let mut left: BTreeSet<usize> = (0..found.len()).collect();
        let at_first = parts_that_hang_together(&found, &left);
        assert_eq!(apart, at_first, "room {n}: a way out for each part that hangs together");
        for (k, one) in found.iter().enumerate() {
            left.remove(&k);
            if let Some(by) = one.leaves_by {
                assert!(left.contains(&by) && one.beside.contains(&by), "room {n}: {k} is left by {by}");
            }
            let ended = found[..=k].iter().filter(|done| done.leaves_by.is_none()).count();
            assert_eq!(
                parts_that_hang_together(&found, &left),
                at_first - ended,
                "room {n}: cut off after {k}"
            );
        }

        // The last one lies at the way out: no other is nearer to its middle.
        let middle = Point { x: i64::midpoint(ends.0.x, ends.1.x), y: i64::midpoint(ends.0.y, ends.1.y) };
        let far = |one: &Section| {
            let edges = one
                .shape
                .outer
                .edges()
                .map(|(a, b)| drylay_geometry::ring::distance_to_segment(middle, a, b));
            edges.fold(f64::INFINITY, f64::min)
        };
        let nearest = found.iter().map(far).fold(f64::INFINITY, f64::min);
        let last = found.last().expect("a section");
        assert!(far(last) <= nearest + 1.0 && last.leaves_by.is_none(), "room {n}");
    }
}

/// 8 ft by 6 ft are four sections of 4 ft by 3 ft; two joints of rows of 18 in lie at 3 ft.
#[test]
fn a_small_room_is_divided_as_a_person_would() {
    let inch = |n: i64| Length::from_sixty_fourths(64 * n).nanometres();
    let floor = Region::rectangle(Point { x: 0, y: 0 }, Point { x: inch(96), y: inch(72) });
    let field = FrameField::new(&floor, Direction::RIGHT);
    let rows: Vec<i64> = [18, 36, 54].into_iter().map(inch).collect();
    let way_out = (Point { x: 0, y: 0 }, Point { x: inch(30), y: 0 });
    let found = sections(&field, &rows, Reach::COMMON, way_out);
    let corner = |one: &Section| one.shape.outer.bounds().expect("an outline").0;
    let corners: Vec<Point> = found.iter().map(corner).collect();
    assert_eq!(corners.len(), 4);
    assert_eq!(corners[3], Point { x: 0, y: 0 }, "the way out is last");
    assert_eq!(corners[0], Point { x: inch(48), y: inch(36) }, "the far corner is first");
    let hole = Shape::simple(ring(&[(0, 0), (100, 0), (100, 100), (0, 100)]));
    assert!(found.iter().all(|one| one.shape.doubled_area() > hole.doubled_area()));
}
