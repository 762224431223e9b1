//! Short cuts where they are seen: doorways and the line of sight. The room is small enough to work it out on paper.

use drylay_geometry::{Corner, Direction, Length, Outline, Point};
use drylay_plan::spots::{ShortCut, Spot, short_cuts};
use drylay_plan::{
    Along, Choice, Field, FrameField, Offset, Opening, Order, Plan, Product, Room, Wish, search,
};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn tile() -> Product {
    Product {
        id: "tile".into(),
        length: mm(600),
        width: mm(300),
        joint: mm(3),
        edge_gap: Length::ZERO,
        kerf: mm(2),
        interlock: true,
        offsets: vec![Offset { num: 1, den: 2 }],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: Some(5),
    }
}

/// 2400 by 1512 with a door in A–B from 900 to 1700.
fn field(reach: i64) -> Field {
    let at = [(0, 0), (2400, 0), (2400, 1512), (0, 1512)].map(|(x, y)| Point::new(mm(x), mm(y)));
    let corners = ["A", "B", "C", "D"].iter().zip(at).map(|(id, at)| Corner { id: (*id).into(), at });
    let outline = Outline::new(corners.collect()).expect("a room");
    let openings =
        vec![Opening { id: "door".into(), wall: 0, start: mm(900), width: mm(800), reach: mm(reach) }];
    let room = Room { id: "r".into(), outline, keepouts: vec![], openings, gaps: vec![], bows: vec![] };
    Field::new(&[room], &[], Length::ZERO).expect("a field")
}

fn plan(field: &Field, first_row: i64, shift: i64) -> Plan {
    let along = Along { direction: Direction::RIGHT, wall: None };
    let offset = tile().offsets[0];
    let choice = Choice { along, offset, order: Order::Stepped, first_row: mm(first_row), shift: mm(shift) };
    Plan::new(&tile(), &choice, &FrameField::new(&field.region, Direction::RIGHT)).expect("a plan")
}

fn found(spot: Spot, plan: &Plan) -> Vec<(String, i64, i64)> {
    let short = short_cuts(&[spot], &tile(), Direction::RIGHT, &plan.pieces);
    let told = |s: &ShortCut| {
        (plan.pieces[s.piece].name(), s.value.nanometres() / 1_000_000, s.limit.nanometres() / 1_000_000)
    };
    short.iter().map(told).collect()
}

#[test]
fn only_pieces_between_the_jambs_are_short_in_a_doorway() {
    let field = field(0);
    // Row 1 is 50 wide: tiles end at 500, 1103, 1706, so the door from 900 to 1700 has the second and the third.
    let strip = plan(&field, 50, 500);
    let door = |least| Spot::doorway(&field, 0, Length::ZERO, mm(least)).expect("a door");
    assert_eq!(found(door(100), &strip), [("1-2".to_owned(), 50, 100), ("1-3".to_owned(), 50, 100)]);
    assert_eq!(found(door(50), &strip), []);
    // More than a tile is wide cannot be wished: a whole one is enough.
    assert_eq!(found(door(400), &plan(&field, 300, 500)), []);
}

#[test]
fn a_reach_is_the_doorway_and_the_room_before_it_is_not() {
    let field = field(60);
    let door = Spot::doorway(&field, 0, Length::ZERO, mm(100)).expect("a door");
    // Row 1 covers 50 of the reach's 60, row 2 begins 53 beyond its far side: 7 before the wall line, and in the room
    // it is a row of whole tiles. Only row 1 is short.
    let names: Vec<String> = found(door, &plan(&field, 50, 500)).into_iter().map(|f| f.0).collect();
    assert!(!names.is_empty() && names.iter().all(|name| name.starts_with("1-")), "{names:?}");
}

#[test]
fn the_line_of_sight_runs_to_the_far_wall_and_meets_one_piece_of_each_row() {
    let field = field(0);
    let spot = Spot::sight_line(&field, 0, &tile(), mm(120)).expect("a line");
    // Rows of 200, then 303 each: 200 + 3 + 4 × 303 = 1415, so the last row is 97 wide. The line is at 1300.
    let last = found(spot.clone(), &plan(&field, 200, 600));
    assert_eq!(last, [("6-3".to_owned(), 97, 120)]);
    // Where a joint lies on the line the pieces on both sides of it are seen: with a shift of 93 row 1 has one from 1299
    // to 1302.
    let short = found(Spot { least: mm(250), ..spot }, &plan(&field, 200, 93));
    let names: Vec<&str> = short.iter().map(|f| f.0.as_str()).collect();
    assert_eq!(names, ["1-3", "1-4", "6-3"], "rows 1 (200 wide) and 6 (97)");
}

#[test]
fn a_search_keeps_short_cuts_out_of_a_doorway_if_that_breaks_no_rule() {
    let field = field(0);
    let wish = |spots: Vec<Spot>| Wish {
        along: Some(Along { direction: Direction::RIGHT, wall: None }),
        offset: None,
        order: Order::Stepped,
        first_row: None,
        shift: Some(mm(500)),
        margin: Length::ZERO,
        grid: mm(1),
        spots,
    };
    let strict = Product { min_row_width: mm(120), ..tile() };
    // Ends of rows are 500 and, half a pitch on, 198; 450 is wished in the doorway along the row.
    let door = Spot::doorway(&field, 0, Length::ZERO, mm(290)).expect("a door");
    let free = search(&field, &strict, &wish(vec![]), |_| true).expect("a plan");
    let kept = search(&field, &strict, &wish(vec![door.clone()]), |_| true).expect("a plan");
    assert!(free.proven && kept.proven);
    let count =
        |plan: &Plan| short_cuts(std::slice::from_ref(&door), &strict, Direction::RIGHT, &plan.pieces).len();
    assert_eq!((kept.best.breaches.len(), count(&kept.best)), (0, 0));
    assert!(kept.best.measures.first_row >= mm(290));
    // A rule of the product is not broken for it: with 310 before the first joint no row is whole both ways.
    let narrow = Product { min_row_width: mm(295), ..tile() };
    let bound = search(&field, &narrow, &wish(vec![]), |_| true).expect("a plan");
    let both = search(&field, &narrow, &wish(vec![door]), |_| true).expect("a plan");
    assert_eq!(both.best.breaches.len(), bound.best.breaches.len());
}
