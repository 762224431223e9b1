//! Interlock: small rooms worked out by hand, and random ones whose order of laying is checked piece by piece.

use drylay_geometry::{Corner, Direction, Length, Outline, Point, Region, Ring};
use drylay_plan::field::Opening;
use drylay_plan::interlock::{Engagement, Hindrance, Interlock, Motion, Overhang, Remedy, Side, interlock};
use drylay_plan::{Along, Choice, Field, FrameField, Offset, Order, Plan, Product, Room};
use proptest::prelude::*;

fn mm(value: f64) -> Length {
    Length::from_mm_f64(value).expect("in range")
}
fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}
fn room(corners: &[(f64, f64)]) -> Room {
    let corner =
        |(i, &(x, y)): (usize, &(f64, f64))| Corner { id: format!("C{i}").as_str().into(), at: at(x, y) };
    let outline = Outline::new(corners.iter().enumerate().map(corner).collect()).expect("a room");
    Room { id: "r".into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] }
}
fn tile() -> Product {
    Product {
        id: "tile".into(),
        length: mm(600.0),
        width: mm(300.0),
        joint: mm(3.0),
        edge_gap: mm(8.0),
        kerf: mm(2.0),
        interlock: true,
        offsets: vec![Offset { num: 1, den: 3 }],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: None,
    }
}
fn engagement() -> Engagement {
    Engagement {
        long_tongue: Side::Low,
        short_tongue: Side::Start,
        long: vec![Motion::Angle],
        short: vec![Motion::Drop],
        angle: Direction::from_degrees(20.0).expect("finite"),
        thickness: mm(8.0),
        lift: mm(8.0),
        travel: mm(6.0),
        shaved_travel: None,
    }
}
fn planned(field: &Field, direction: Direction, first_row: f64) -> Plan {
    let along = Along { direction, wall: None };
    let offset = Offset { num: 1, den: 3 };
    let choice = Choice { along, offset, order: Order::Stepped, first_row: mm(first_row), shift: mm(400.0) };
    Plan::new(&tile(), &choice, &FrameField::new(&field.region, direction)).expect("a plan")
}

/// Three rows in a room 1,216 by 819: rows of 300, 300 and 197 in a field of 1,200 by 803, the last along the wall at
/// 819, over which a toe-kick hangs from 755 on: it covers the last 56 of the last row.
fn under_a_toe_kick(engagement: &Engagement, height: f64) -> (Plan, Interlock) {
    let kitchen = room(&[(0.0, 0.0), (1216.0, 0.0), (1216.0, 819.0), (0.0, 819.0)]);
    let field = Field::new(&[kitchen], &[], mm(8.0)).expect("a field");
    let plan = planned(&field, Direction::RIGHT, 300.0);
    assert_eq!(plan.rows.iter().map(|w| w.mm()).collect::<Vec<_>>(), [300.0, 300.0, 197.0]);
    let ring = Ring::new(vec![at(0.0, 755.0), at(1216.0, 755.0), at(1216.0, 819.0), at(0.0, 819.0)]);
    let kick = Overhang { ring, height: mm(height) };
    let laid = interlock(&tile(), engagement, &plan, &field, &[kick]);
    (plan, laid)
}
fn names(plan: &Plan, pieces: impl IntoIterator<Item = usize>) -> Vec<String> {
    pieces.into_iter().map(|i| plan.pieces[i].name()).collect()
}

#[test]
fn rows_begin_where_the_tongues_face() {
    let (plan, laid) = under_a_toe_kick(&engagement(), 200.0);
    let order = names(&plan, laid.order.iter().map(|s| s.piece));
    // Row 1 has tiles from 0 to 400, 403 to 1003 and 1006 on. Each row is moved on by 201: row 2 has them from 1 to
    // 601 and 604 on, row 3 up to 199, from 202 to 802 and 805 on.
    assert_eq!(order, ["1-1", "1-2", "1-3", "2-1", "2-2", "3-1", "3-2", "3-3"]);
    assert_eq!((laid.order[0].motion, laid.order[0].into.as_slice()), (None, &[][..]));
    assert_eq!(laid.order[1].motion, Some(Motion::Drop), "only an end to engage");
    assert!(laid.order[3..].iter().all(|s| s.motion == Some(Motion::Angle)));
    let into: Vec<String> = names(&plan, laid.order[4].into.iter().map(|(other, _)| *other));
    assert_eq!(into, ["1-2", "1-3", "2-1"]);
    assert_eq!(laid.trapped, []);
    let of_walls: Vec<(Side, bool)> = laid.rails.iter().map(|r| (r.side, r.tongue)).collect();
    assert_eq!(of_walls, [(Side::Low, true), (Side::End, false), (Side::High, false), (Side::Start, true)]);
    // With the tongues on the other sides all begins at the other end.
    let turned = Engagement { long_tongue: Side::High, short_tongue: Side::End, ..engagement() };
    let (plan, laid) = under_a_toe_kick(&turned, 200.0);
    let order = names(&plan, laid.order.iter().map(|s| s.piece));
    assert_eq!(order, ["3-3", "3-2", "3-1", "2-2", "2-1", "1-3", "1-2", "1-1"]);
}

/// A piece 197 wide of which 141 lie in the open, held at 20° about its tongue: its edge rises by 197·sin 20° = 67.38,
/// less than the √(197² − 141²) = 137.58 at which it comes under the toe-kick; with its 8 of thickness 75.38.
/// Held at 60°, the toe-kick is met at 137.58 before it would rise by 170.6: 145.58.
#[test]
fn a_piece_is_angled_in_where_the_toe_kick_is_high_enough() {
    for (degrees, needed) in [(20.0, 75.38), (60.0, 145.58)] {
        let angle = Direction::from_degrees(degrees).expect("finite");
        let held = Engagement { angle, ..engagement() };
        let (_, laid) = under_a_toe_kick(&held, needed + 0.1);
        assert_eq!(laid.trapped, [], "{degrees}");
        let (plan, laid) = under_a_toe_kick(&held, needed - 0.1);
        assert_eq!(names(&plan, laid.trapped.iter().map(|t| t.piece)), ["3-1", "3-2", "3-3"]);
        let Hindrance::Height { overhang: 0, limit, .. } = laid.trapped[0].hindrance else {
            panic!("{:?}", laid.trapped)
        };
        assert!((limit.mm() - needed).abs() < 0.01, "{}", limit.mm());
        assert_eq!(laid.trapped[0].remedy, Remedy::Raise(0, limit));
    }
}

/// Under a toe-kick too low to angle, a piece is slid in if the gap of 8 behind it gives the 6 that takes. If it takes
/// 10, the lip of the row before is shaved where 3 are enough; where shaving is not allowed, the gap must be 10.
#[test]
fn a_piece_that_cannot_be_angled_is_slid_or_its_neighbours_lip_is_shaved() {
    let sliding = Engagement {
        long: vec![Motion::Angle, Motion::Slide],
        short: vec![Motion::Drop, Motion::Slide],
        ..engagement()
    };
    let (_, laid) = under_a_toe_kick(&sliding, 40.0);
    assert_eq!(laid.trapped, []);
    assert!(laid.order[5..].iter().all(|s| s.motion == Some(Motion::Slide)));
    assert!(laid.order[3..5].iter().all(|s| s.motion == Some(Motion::Angle)));

    let shaved = Engagement { travel: mm(10.0), shaved_travel: Some(mm(3.0)), ..sliding.clone() };
    let (plan, laid) = under_a_toe_kick(&shaved, 40.0);
    assert_eq!(names(&plan, laid.trapped.iter().map(|t| t.piece)), ["3-1", "3-2", "3-3"]);
    let Remedy::Shave(lips) = &laid.trapped[1].remedy else { panic!("{:?}", laid.trapped) };
    assert!(lips.iter().all(|(_, side)| *side == Side::High));
    // 3-2 lies from 202 to 802, across the joint of 2-1 and 2-2 at 601.
    assert_eq!(names(&plan, lips.iter().map(|(piece, _)| *piece)), ["2-1", "2-2"]);

    let only_sliding = Engagement { travel: mm(10.0), long: vec![Motion::Slide], ..sliding };
    let (plan, laid) = under_a_toe_kick(&only_sliding, 40.0);
    let last = laid.trapped.iter().find(|t| plan.pieces[t.piece].name() == "3-2").expect("trapped");
    let Hindrance::Room { value, limit } = last.hindrance else { panic!("{last:?}") };
    assert!((value.mm() - 8.0).abs() < 0.02 && limit == mm(10.0));
    assert_eq!(last.remedy, Remedy::Widen(mm(10.0)));
}

/// An undercut jamb of 11 over a piece of 8 that is dropped from 8 above its place: 16 are needed.
#[test]
fn nothing_is_dropped_under_a_jamb() {
    let dropped = Engagement { long: vec![Motion::Drop], short: vec![Motion::Drop], ..engagement() };
    let (plan, laid) = under_a_toe_kick(&dropped, 11.0);
    assert_eq!(names(&plan, laid.trapped.iter().map(|t| t.piece)), ["3-1", "3-2", "3-3"]);
    let wanted = Hindrance::Height { overhang: 0, value: mm(11.0), limit: mm(16.0) };
    assert_eq!(laid.trapped[0].hindrance, wanted);
    assert_eq!(under_a_toe_kick(&dropped, 16.0).1.trapped, []);
}

/// Around a post the toe-kick covers a frame of its depth, corners included; along a wall a strip inside; at an
/// opening two strips in the wall.
#[test]
fn overhangs_lie_where_they_hang() {
    let area = |overhangs: &[Overhang]| {
        let rings: Vec<Ring> = overhangs.iter().map(|o| o.ring.clone()).collect();
        Region::from_rings(&rings)
    };
    let post = Ring::new(vec![at(100.0, 100.0), at(300.0, 100.0), at(300.0, 200.0), at(100.0, 200.0)]);
    let frame = area(&Overhang::around(&post, mm(50.0), mm(90.0)));
    assert!((frame.area_mm2() - (300.0 * 200.0 - 200.0 * 100.0)).abs() < 1e-6, "{}", frame.area_mm2());
    let strip = Overhang::along(at(0.0, 0.0), at(1000.0, 0.0), mm(60.0), mm(90.0)).expect("a wall");
    assert_eq!(strip.ring.bounds(), Some((at(0.0, 0.0), at(1000.0, 60.0))));
    let mut den = room(&[(0.0, 0.0), (2000.0, 0.0), (2000.0, 2000.0), (0.0, 2000.0)]);
    den.openings.push(Opening {
        id: "d".into(),
        wall: 0,
        start: mm(500.0),
        width: mm(800.0),
        reach: mm(100.0),
    });
    let field = Field::new(&[den], &[], mm(8.0)).expect("a field");
    let jambs = Overhang::jambs(&field.openings[0], mm(12.0), mm(10.0));
    let bounds: Vec<_> = jambs.iter().filter_map(|o| o.ring.bounds()).collect();
    assert_eq!(bounds, [(at(500.0, -100.0), at(512.0, 0.0)), (at(1288.0, -100.0), at(1300.0, 0.0))]);
}

/// Whether two pieces face each other across a joint, by moving one of them across it; in which direction.
fn faces(plan: &Plan, a: usize, b: usize) -> Option<Side> {
    let moved = |dx: i64, dy: i64| {
        let shape = plan.pieces[a].shape.map(|p| Point { x: p.x + dx, y: p.y + dy });
        Region { shapes: vec![shape] }.common(&Region { shapes: vec![plan.pieces[b].shape.clone()] })
    };
    // A millimetre of overlap over more than a millimetre of length.
    let over = |r: Region| r.area_mm2() > 1.01;
    let step = 4_000_000;
    let (p, q) = (&plan.pieces[a], &plan.pieces[b]);
    if p.row + 1 == q.row && over(moved(0, step)) {
        Some(Side::High)
    } else if q.row + 1 == p.row && over(moved(0, -step)) {
        Some(Side::Low)
    } else if p.row == q.row && over(moved(step, 0)) {
        Some(Side::End)
    } else if p.row == q.row && over(moved(-step, 0)) {
        Some(Side::Start)
    } else {
        None
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn every_piece_is_laid_once_and_engages_only_what_lies_before_it(
        w in 1400..2600_i32, h in 1000..2000_i32, notch in 300..800_i32, skew in -30..30_i32, first_row in 40..300_i32,
        low in any::<bool>(), start in any::<bool>(), degrees in prop_oneof![Just(0.0), Just(90.0), -3.0..3.0_f64],
    ) {
        let (w, h, n, s) = (f64::from(w), f64::from(h), f64::from(notch), f64::from(skew));
        let l = room(&[(0.0, 0.0), (w, s), (w + s, h - n), (w - n, h - n), (w - n, h), (0.0, h)]);
        let field = Field::new(&[l], &[], mm(8.0)).expect("a field");
        let plan = planned(&field, Direction::from_degrees(degrees).expect("finite"), f64::from(first_row));
        let engagement = Engagement {
            long_tongue: if low { Side::Low } else { Side::High },
            short_tongue: if start { Side::Start } else { Side::End },
            ..engagement()
        };
        let laid = interlock(&tile(), &engagement, &plan, &field, &[]);
        prop_assert_eq!(&laid.trapped, &[]);
        let mut when = vec![None; plan.pieces.len()];
        for (n, step) in laid.order.iter().enumerate() {
            prop_assert_eq!(when[step.piece].replace(n), None, "twice");
        }
        prop_assert!(when.iter().all(Option::is_some), "each piece");
        for step in &laid.order {
            for (other, side) in &step.into {
                prop_assert!(when[*other] < when[step.piece]);
                prop_assert!([engagement.long_tongue, engagement.short_tongue].contains(side));
            }
            prop_assert_eq!(step.motion.is_none(), step.into.is_empty());
        }
        for a in 0..plan.pieces.len() {
            for b in 0..plan.pieces.len() {
                let Some(side) = faces(&plan, a, b).filter(|_| a != b) else { continue };
                let step = &laid.order[when[a].expect("laid")];
                let tongue = [engagement.long_tongue, engagement.short_tongue].contains(&side);
                prop_assert_eq!(step.into.contains(&(b, side)), tongue, "{} and {}", plan.pieces[a].name(), plan.pieces[b].name());
                prop_assert_eq!(when[b] < when[a], tongue);
            }
        }
    }
}
