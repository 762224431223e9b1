//! Plans of rooms whose answer can be worked out on paper.

use drylay_geometry::{Corner, Direction, Length, Outline, Point, Ring};
use drylay_plan::compare::{Both, compare};
use drylay_plan::field::{Keepout, Opening, Passage};
use drylay_plan::{Along, Choice, Cut, Field, FieldProblem, FrameField, Offset, Order, Plan, Product, Room};

fn mm(value: f64) -> Length {
    Length::from_mm_f64(value).expect("in range")
}
fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}

fn room(id: &str, corners: &[(f64, f64)]) -> Room {
    let corner =
        |(i, &(x, y)): (usize, &(f64, f64))| Corner { id: format!("C{i}").as_str().into(), at: at(x, y) };
    let outline = Outline::new(corners.iter().enumerate().map(corner).collect()).expect("a room");
    Room { id: id.into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] }
}

fn opening(id: &str, wall: usize, start: f64, width: f64, reach: f64) -> Opening {
    Opening { id: id.into(), wall, start: mm(start), width: mm(width), reach: mm(reach) }
}

fn tile(length: f64, width: f64, joint: f64, gap: f64) -> Product {
    Product {
        id: "tile".into(),
        length: mm(length),
        width: mm(width),
        joint: mm(joint),
        edge_gap: mm(gap),
        kerf: mm(2.0),
        interlock: false,
        offsets: vec![Offset { num: 0, den: 1 }, Offset { num: 1, den: 3 }],
        min_row_width: mm(50.0),
        min_end_length: mm(50.0),
        max_run: None,
        carton_tiles: Some(10),
    }
}

fn planned(field: &Field, product: &Product, offset: usize, first_row: f64, shift: f64) -> Plan {
    let along = Along { direction: Direction::RIGHT, wall: None };
    let offset = product.offsets[offset];
    let choice = Choice { along, offset, order: Order::Stepped, first_row: mm(first_row), shift: mm(shift) };
    Plan::new(product, &choice, &FrameField::new(&field.region, Direction::RIGHT)).expect("a plan")
}

/// Centred layout by plain geometry, no published example: clear run L, gap g, tile t, joint j, n whole tiles and
/// two equal cuts c = (L − 2g − n·t − (n + 1)·j) / 2. With L 3000, g 6, t 300, j 3: n 9 gives 129, under half a
/// tile; n 8 gives 280.5.
#[test]
fn a_centred_row_has_equal_cuts_at_both_ends() {
    let product = tile(300.0, 300.0, 3.0, 6.0);
    let field = Field::new(
        &[room("r", &[(0.0, 0.0), (3000.0, 0.0), (3000.0, 312.0), (0.0, 312.0)])],
        &[],
        product.edge_gap,
    )
    .expect("a field");
    for (whole, cut) in [(9, 129.0), (8, 280.5)] {
        let plan = planned(&field, &product, 0, 300.0, cut);
        let lengths: Vec<f64> = plan.pieces.iter().map(|p| p.length.mm()).collect();
        assert_eq!(lengths.len(), whole + 2);
        assert_eq!((lengths[0], lengths[whole + 1]), (cut, cut));
        assert_eq!(plan.measures.cut_pieces, 2);
    }
}

#[test]
fn thirds_step_from_row_to_row_towards_u() {
    let product = tile(600.0, 300.0, 3.0, 0.0);
    let field = Field::new(
        &[room("r", &[(0.0, 0.0), (1203.0, 0.0), (1203.0, 906.0), (0.0, 906.0)])],
        &[],
        Length::ZERO,
    )
    .expect("a field");
    let plan = planned(&field, &product, 1, 300.0, 600.0);
    let of_row = |row: usize| -> Vec<f64> {
        plan.pieces.iter().filter(|p| p.row == row).map(|p| p.length.mm()).collect()
    };
    // The pitch is 603, a third of it 201: row 2 starts with 201 − 3 of the tile before.
    assert_eq!(of_row(1), [600.0, 600.0]);
    assert_eq!(of_row(2), [198.0, 600.0, 399.0]);
    assert_eq!(of_row(3), [399.0, 600.0, 198.0]);
    // 198 and 399 come from one tile, a kerf between them: 198 + 2 + 399 = 599 of 600.
    assert_eq!(plan.sharing.tiles, 2 + 2 + 2);
    assert_eq!(plan.sharing.least, 6);
}

#[test]
fn an_alcove_narrower_than_two_gaps_is_no_floor() {
    let notched = [
        (0.0, 0.0),
        (1000.0, 0.0),
        (1000.0, -500.0),
        (1015.0, -500.0),
        (1015.0, 0.0),
        (2000.0, 0.0),
        (2000.0, 1000.0),
        (0.0, 1000.0),
    ];
    let field = Field::new(&[room("r", &notched)], &[], mm(8.0)).expect("a field");
    // What is left is 1984 × 984: across the alcove's mouth, 15 wide, the gaps of its two corners meet.
    assert!((field.region.area_mm2() - 1984.0 * 984.0).abs() < 1e-6, "{}", field.region.area_mm2());
}

#[test]
fn an_outside_corner_keeps_a_mitred_gap() {
    let l = [(0.0, 0.0), (2000.0, 0.0), (2000.0, 1000.0), (1000.0, 1000.0), (1000.0, 2000.0), (0.0, 2000.0)];
    let field = Field::new(&[room("r", &l)], &[], mm(10.0)).expect("a field");
    // 2 m² of L less the gap: outer 1980 × 1980 less the notch, grown by the gap on both sides, 1000 × 1000.
    assert!((field.region.area_mm2() - (1980.0 * 1980.0 - 1000.0 * 1000.0)).abs() < 1e-6);
}

#[test]
fn a_floor_follows_a_bowed_wall_and_still_runs_into_the_opening_where_it_comes_in() {
    let corners = [(0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0)];
    let mut bowed = room("r", &corners);
    bowed.openings = vec![opening("door", 0, 1200.0, 600.0, 50.0)];
    bowed.bows = vec![(0, vec![at(1500.0, 12.0)]), (2, vec![at(1500.0, 2010.0)])];
    let field = Field::new(&[bowed], &[], mm(8.0)).expect("a field");
    let [shape] = &field.region.shapes[..] else { panic!("one floor: {:?}", field.region) };
    let (low, high) = shape.outer.bounds().expect("a floor");
    // The reach ends 8 mm short of 50 mm beyond the corners' line; the far wall stands 10 mm out at its middle, and its
    // two halves, 1500 mm long, are drawn in by 8 mm each: 2010 − 8 √(1500² + 10²) / 1500 = 2001.9998.
    assert!((low.mm().1 + 42.0).abs() < 1e-6, "{low:?}");
    assert!((high.mm().1 - 2_001.999_8).abs() < 1e-3, "{high:?}");
}

#[test]
fn a_wall_has_its_own_gap_and_a_reach_keeps_it() {
    let mut r = room("r", &[(0.0, 0.0), (2000.0, 0.0), (2000.0, 1000.0), (0.0, 1000.0)]);
    r.gaps = vec![(1, mm(20.0))];
    r.openings = vec![opening("door", 0, 500.0, 800.0, 50.0)];
    let mut wide = r.clone();
    wide.gaps.push((0, mm(15.0)));
    let field = Field::new(&[wide], &[], mm(10.0)).expect("a field");
    // 15 mm at the wall with the door, and so in the door as well: 1970 × 975 of room, 770 wide to 15 short of 50.
    let area = field.region.area_mm2();
    assert!((area - (1970.0 * 975.0 + 770.0 * 50.0)).abs() < 1e-6, "{area}");
    let field = Field::new(&[r], &[], mm(10.0)).expect("a field");
    // 1970 × 980 of room, and of the reach 780 wide from the wall's gap line to 10 short of 50 beyond the wall.
    assert!(
        (field.region.area_mm2() - (1970.0 * 980.0 + 780.0 * 50.0)).abs() < 1e-6,
        "{}",
        field.region.area_mm2()
    );
}

#[test]
fn a_doorway_places_the_second_room_and_the_field_runs_through() {
    let mut a = room("a", &[(0.0, 0.0), (2000.0, 0.0), (2000.0, 1500.0), (0.0, 1500.0)]);
    let mut b = room("b", &[(0.0, 0.0), (1000.0, 0.0), (1000.0, 1800.0), (0.0, 1800.0)]);
    a.openings = vec![opening("door", 1, 300.0, 800.0, 0.0)];
    // Seen from inside b the door is in its last wall, which runs up the page.
    b.openings = vec![opening("door", 3, 500.0, 800.0, 0.0)];
    let passage = Passage { a: (0, 0), b: (1, 0), depth: mm(100.0) };
    let field = Field::new(&[a.clone(), b.clone()], &[passage], mm(10.0)).expect("a field");
    let rooms = 1980.0 * 1480.0 + 980.0 * 1780.0;
    assert!((field.region.area_mm2() - (rooms + 780.0 * 120.0)).abs() < 1e-6, "{}", field.region.area_mm2());
    assert_eq!(field.region.shapes.len(), 1);
    // The doors' middles are opposite each other: b's corner is 2100 right and 300 + 400 − 900 down.
    assert_eq!(field.rooms[1].outline.corners()[0].at, at(2100.0, -200.0));
    // The hole is as deep as its wall, seen from either room.
    let depths: Vec<_> = field.openings.iter().map(|o| (o.room, o.opening, o.depth)).collect();
    assert_eq!(depths, [(0, 0, mm(100.0)), (1, 0, mm(100.0))]);
    let apart = Field::new(&[a, b], &[], mm(10.0));
    assert_eq!(apart.expect_err("not joined"), [FieldProblem::Unjoined { room: 1 }]);
}

/// A room that was measured from another wall is turned by the quarter that its doorway asks, to the nanometre: seen
/// from the first room its door is in the wall across, whichever wall of its own that is.
#[test]
fn a_room_behind_a_doorway_is_turned_by_exact_quarters() {
    let mut a = room("a", &[(0.0, 0.0), (2000.0, 0.0), (2000.0, 1500.0), (0.0, 1500.0)]);
    a.openings = vec![opening("door", 1, 300.0, 800.0, 0.0)];
    let corners = |wall: usize| -> Vec<Point> {
        let mut b = room("b", &[(0.0, 0.0), (1000.0, 0.0), (1000.0, 1800.0), (0.0, 1800.0)]);
        b.openings = vec![opening("door", wall, 100.0, 800.0, 0.0)];
        let passage = Passage { a: (0, 0), b: (1, 0), depth: mm(100.0) };
        let field = Field::new(&[a.clone(), b], &[passage], mm(10.0)).expect("a field");
        field.rooms[1].outline.corners().iter().map(|c| c.at).collect()
    };
    // The door's middle is at 2100, 700; in b it is 500 along its wall. x points up, then down, then to the left.
    assert_eq!(corners(0), [at(2100.0, 1200.0), at(2100.0, 200.0), at(3900.0, 200.0), at(3900.0, 1200.0)]);
    assert_eq!(corners(2), [at(3900.0, 200.0), at(3900.0, 1200.0), at(2100.0, 1200.0), at(2100.0, 200.0)]);
    assert_eq!(corners(1), [at(3100.0, 1200.0), at(2100.0, 1200.0), at(2100.0, -600.0), at(3100.0, -600.0)]);
}

/// Two doorways between the same rooms, one measured 30 mm off: the loop misses by exactly that.
#[test]
fn a_loop_that_does_not_close_is_told_with_what_it_misses_by() {
    let mut a = room("a", &[(0.0, 0.0), (2000.0, 0.0), (2000.0, 3000.0), (0.0, 3000.0)]);
    let mut b = room("b", &[(0.0, 0.0), (1000.0, 0.0), (1000.0, 3000.0), (0.0, 3000.0)]);
    a.openings = vec![opening("one", 1, 200.0, 800.0, 0.0), opening("other", 1, 1800.0, 800.0, 0.0)];
    b.openings = vec![opening("one", 3, 2000.0, 800.0, 0.0), opening("other", 3, 370.0, 800.0, 0.0)];
    let passages = [0, 1].map(|n| Passage { a: (0, n), b: (1, n), depth: mm(100.0) });
    let field = Field::new(&[a, b], &passages, mm(10.0)).expect("a field");
    assert_eq!(field.notes, [FieldProblem::LoopOpen { passage: 1, off: mm(30.0) }]);
}

#[test]
fn problems_of_a_field_are_told_together() {
    let mut r = room("r", &[(0.0, 0.0), (2000.0, 0.0), (2000.0, 1000.0), (0.0, 1000.0)]);
    r.openings = vec![opening("wide", 1, 500.0, 800.0, 0.0)];
    let found = Field::new(&[r.clone()], &[], mm(10.0)).expect_err("does not fit");
    assert_eq!(found, [FieldProblem::OpeningOutside { room: 0, opening: 0, wall: mm(1000.0) }]);
    r.openings.clear();
    let far = [at(5000.0, 0.0), at(5100.0, 0.0), at(5100.0, 100.0), at(5000.0, 100.0)];
    r.keepouts = vec![Keepout { id: "post".into(), ring: Ring::new(far.to_vec()) }];
    assert_eq!(
        Field::new(&[r.clone()], &[], mm(600.0)).expect_err("nothing left"),
        [FieldProblem::KeepoutOutside { room: 0, keepout: 0 }, FieldProblem::Empty]
    );
}

#[test]
fn a_tile_larger_than_the_room_is_cut_all_round() {
    let product = tile(900.0, 450.0, 3.0, 5.0);
    let field = Field::new(
        &[room("r", &[(0.0, 0.0), (700.0, 0.0), (700.0, 400.0), (0.0, 400.0)])],
        &[],
        product.edge_gap,
    )
    .expect("a field");
    let plan = planned(&field, &product, 0, 450.0, 690.0);
    assert_eq!(plan.pieces.len(), 1);
    assert_eq!((plan.pieces[0].length, plan.pieces[0].width), (mm(690.0), mm(390.0)));
    assert_eq!(plan.pieces[0].cut, Cut::Corner);
    assert_eq!(plan.sharing.tiles, 1);
}

/// Two rows of 300 and a third of 50, which is what the rule asks: a nanometre of rounding does not break it, and
/// two micrometres do.
#[test]
fn a_nanometre_of_rounding_breaks_no_rule() {
    let product = tile(600.0, 300.0, 3.0, 0.0);
    let breaches = |less: i64| {
        let height = mm(656.0) - Length::from_nanometres(less);
        let p = |x: f64, y: Length| Point::new(mm(x), y);
        let corners = [p(0.0, Length::ZERO), p(1000.0, Length::ZERO), p(1000.0, height), p(0.0, height)];
        let corners = corners.into_iter().zip(["A", "B", "C", "D"]);
        let corners = corners.map(|(at, id)| Corner { id: id.into(), at }).collect();
        let outline = Outline::new(corners).expect("a room");
        let room =
            Room { id: "r".into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] };
        let field = Field::new(&[room], &[], product.edge_gap).expect("a field");
        let plan = planned(&field, &product, 0, 300.0, 500.0);
        assert_eq!(plan.pieces.len(), 6);
        plan.breaches.len()
    };
    assert_eq!((breaches(0), breaches(1), breaches(1_000), breaches(2_000)), (0, 0, 0, 2));
}

/// A strip one row high, 3 m long, tile 600 with joints of 3: from whole tiles on, four and 588; from 300 on, 300,
/// four and 285: as many tiles, since 300 and 285 come from one, and one piece more that is cut.
#[test]
fn two_plans_side_by_side_say_what_differs() {
    let product = tile(600.0, 300.0, 3.0, 0.0);
    let strip = room("r", &[(0.0, 0.0), (3000.0, 0.0), (3000.0, 300.0), (0.0, 300.0)]);
    let field = Field::new(&[strip], &[], product.edge_gap).expect("a field");
    let (whole, half) =
        (planned(&field, &product, 0, 300.0, 600.0), planned(&field, &product, 0, 300.0, 300.0));
    let differ = compare(&whole, &half, &product, &[]);
    assert_eq!(differ.tiles, Both { one: 5, other: 5 });
    assert_eq!(differ.cut_pieces, Both { one: 1, other: 2 });
    assert_eq!(differ.narrowest, Both { one: mm(300.0), other: mm(285.0) });
    assert_eq!(differ.by_cut.map(|b| (b.one, b.other)), [(4, 4), (1, 2), (0, 0), (0, 0), (0, 0)]);
    assert!(!differ.rows.differ() && !differ.first_row.differ() && differ.shortest_end.differ());
    assert_eq!(differ.worth, std::cmp::Ordering::Less, "the first has the wider narrowest piece");
}
