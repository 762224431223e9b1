//! What goes under, between and round the tiles, against formulas and counts that stand elsewhere.

use drylay_geometry::{Corner, Direction, ItemId, Length, Outline, Point, Region, Ring};
use drylay_plan::field::{Keepout, Opening};
use drylay_plan::takeoff::bars::{BarsError, cut_to};
use drylay_plan::takeoff::stock::cut;
use drylay_plan::takeoff::strips::{Roll, StripsError, lay};
use drylay_plan::takeoff::{Rates, TileOrder, joints, packs, walls};
use drylay_plan::{Along, Choice, Field, FrameField, Offset, Order, Plan, Product, Room};

fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

fn room(points: &[(i64, i64)]) -> Room {
    let corner = |(i, &(x, y)): (usize, &(i64, i64))| Corner {
        id: format!("{i}").as_str().into(),
        at: Point::new(mm(x), mm(y)),
    };
    Room {
        id: "den".into(),
        outline: Outline::new(points.iter().enumerate().map(corner).collect()).expect("a room"),
        keepouts: vec![],
        openings: vec![],
        gaps: vec![],
        bows: vec![],
    }
}

fn tile(length: i64, width: i64, joint: i64) -> Product {
    Product {
        id: "slab".into(),
        length: mm(length),
        width: mm(width),
        joint: mm(joint),
        edge_gap: mm(0),
        kerf: mm(2),
        interlock: false,
        offsets: vec![Offset { num: 0, den: 1 }, Offset { num: 1, den: 2 }],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: Some(6),
    }
}

fn plan(product: &Product, field: &Field, first_row: i64, shift: i64, offset: Offset) -> Plan {
    let choice = Choice {
        along: Along { direction: Direction::RIGHT, wall: None },
        offset,
        order: Order::Stepped,
        first_row: mm(first_row),
        shift: mm(shift),
    };
    Plan::new(product, &choice, &FrameField::new(&field.region, Direction::RIGHT)).expect("a plan")
}

/// F3t: litres for a square metre, rule of thumb and exact, four tile sizes. Geometry, computed; not itself published.
#[test]
fn litres_for_a_square_metre() {
    for (a, b, joint, depth, thumb, exact) in [
        (300, 300, 3, 8, 0.1600, 0.1576),
        (600, 600, 3, 10, 0.1000, 0.0993),
        (300, 600, 3, 9, 0.1350, 0.1334),
        (150, 900, 3, 9, 0.2100, 0.2058),
    ] {
        let face = (mm(a), mm(b));
        assert!((joints::rule_of_thumb(face, mm(joint), mm(depth)) - thumb).abs() < 5e-5, "{a} × {b}");
        assert!((joints::endless(face, mm(joint), mm(depth)) - exact).abs() < 5e-5, "{a} × {b}");
    }
}

/// The customary density of 1.6 kg/L (from memory) on F3t's four sizes, by the rule of thumb: 0.256, 0.160, 0.216, 0.336.
#[test]
fn kilogrammes_for_a_square_metre() {
    let kg = |a, b, depth| 1.6 * joints::rule_of_thumb((mm(a), mm(b)), mm(3), mm(depth));
    let found = [kg(300, 300, 8), kg(600, 600, 10), kg(300, 600, 9), kg(150, 900, 9)];
    for (found, known) in found.iter().zip([0.256, 0.160, 0.216, 0.336]) {
        assert!((found - known).abs() < 5e-4, "{found} for {known}");
    }
}

/// Ten by ten whole tiles have nine joints each way between them and none at the edge; half an offset moves no area.
#[test]
fn joints_of_a_plan_are_what_no_face_covers() {
    let product = tile(300, 300, 3);
    let side = 10 * 300 + 9 * 3;
    let field =
        Field::new(&[room(&[(0, 0), (side, 0), (side, side), (0, side)])], &[], mm(0)).expect("a field");
    let by_hand = (2 * 9 * 3 * side - 81 * 9) as f64;
    let straight = plan(&product, &field, 300, 300, product.offsets[0]);
    assert!((joints::area_mm2(&field, &straight) - by_hand).abs() < 1e-6);
    let bond = plan(&product, &field, 300, 300, product.offsets[1]);
    let cut = (9 * 3 * side + 5 * 9 * 300 * 3 + 5 * 10 * 300 * 3) as f64;
    assert!(
        (joints::area_mm2(&field, &bond) - cut).abs() < 1e-6,
        "five rows have ten joints, five have nine"
    );
    assert!((joints::litres(by_hand, mm(8)) - by_hand * 8.0 / 1e6).abs() < 1e-12);
}

/// F3's exact share is that of a field without an edge: a large one comes near it from below, its edges having no joint.
#[test]
fn a_large_field_comes_near_the_formula() {
    let product = tile(300, 300, 3);
    let share = |tiles: i64| {
        let side = tiles * 303 - 3;
        let field =
            Field::new(&[room(&[(0, 0), (side, 0), (side, side), (0, side)])], &[], mm(0)).expect("a field");
        let plan = plan(&product, &field, 300, 300, product.offsets[0]);
        joints::litres(joints::area_mm2(&field, &plan), mm(8)) / field.area_m2()
    };
    let exact = joints::endless((mm(300), mm(300)), mm(3), mm(8));
    let (small, large) = (exact - share(10), exact - share(40));
    assert!(small > 0.0 && large > 0.0 && large < small / 3.0, "{small} and {large}");
}

fn floor(points: &[(i64, i64)]) -> Region {
    Region::from_rings(&[Ring::new(points.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect())])
}

/// A room of 4 × 3 m: strips of 1 m along its length have two seams, along its width three.
#[test]
fn strips_run_the_way_that_has_fewest_seams() {
    let roll = Roll { width: mm(1000), length: mm(15_000), lap: Length::ZERO };
    let floor = floor(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)]);
    let laid = lay(&floor, &[Direction::RIGHT.clockwise()], roll, mm(1)).expect("strips");
    assert_eq!((laid.across, laid.seams, laid.rolls.count()), (3, 2, 1));
    assert_eq!((laid.rolls.cut_mm(), laid.seam_mm), (12_000.0, 8000.0));
    assert_eq!(laid.along.degrees().rem_euclid(180.0), 0.0);
}

/// A floor that is no wider than two strips lap takes one of them all the same.
#[test]
fn a_floor_narrower_than_the_lap_is_one_strip() {
    let roll = Roll { width: mm(1000), length: mm(15_000), lap: mm(100) };
    let laid = lay(&floor(&[(0, 0), (3000, 0), (3000, 80), (0, 80)]), &[Direction::RIGHT], roll, mm(1))
        .expect("strips");
    assert_eq!((laid.across, laid.seams, laid.rolls.cut_mm()), (1, 0, 3000.0));
}

/// 3.2 m in strips of 1 m take four; where the first one begins is free by 0.8 m, and beginning so that a seam meets the
/// wall's step saves the strip beyond it a piece: an L with a leg that is 1.2 m deep.
#[test]
fn the_first_strip_lies_where_it_saves_seams() {
    let roll = Roll { width: mm(1000), length: mm(15_000), lap: Length::ZERO };
    let l = floor(&[(0, 0), (5000, 0), (5000, 1200), (2000, 1200), (2000, 3200), (0, 3200)]);
    let laid = lay(&l, &[Direction::RIGHT], roll, mm(1)).expect("strips");
    assert_eq!(laid.seams, 3, "four strips");
    let lengths: Vec<f64> = laid.rolls.lengths.iter().map(|l| l.mm()).collect();
    assert_eq!((lengths, laid.rolls.counts.clone()), (vec![5000.0, 2000.0], vec![2, 2]));
    assert_eq!(laid.seam_mm, 5000.0 + 2000.0 + 2000.0);
}

/// What is left of a roll goes on with the next strip: three strips of 4 m come from two rolls of 6 m only where the third
/// is joined, and from one of 12 m.
#[test]
fn rolls_are_used_up_and_laps_are_lost() {
    let four_by_three = floor(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)]);
    let rolls = |length, lap| {
        let roll = Roll { width: mm(1000), length: mm(length), lap: mm(lap) };
        let laid = lay(&four_by_three, &[Direction::RIGHT], roll, mm(1)).expect("strips");
        (laid.across, laid.seams, laid.rolls.count())
    };
    assert_eq!(rolls(12_000, 0), (3, 2, 1));
    assert_eq!(rolls(6000, 0), (3, 2, 3));
    assert_eq!(rolls(12_000, 200), (4, 3, 2), "0.8 m each: 3 m take four along, and 4 m five across");
}

#[test]
fn a_strip_longer_than_its_roll_is_joined() {
    let hall = floor(&[(0, 0), (12_000, 0), (12_000, 900), (0, 900)]);
    let roll = Roll { width: mm(1000), length: mm(5000), lap: Length::ZERO };
    let laid = lay(&hall, &[Direction::RIGHT], roll, mm(1)).expect("strips");
    assert_eq!((laid.across, laid.seams, laid.rolls.count()), (1, 2, 3));
    assert_eq!(laid.seam_mm, 1800.0);
    let wrong = Roll { width: mm(200), length: mm(5000), lap: mm(200) };
    assert_eq!(lay(&hall, &[Direction::RIGHT], wrong, mm(1)), Err(StripsError::Roll));
    let thread = Roll { width: Length::from_nanometres(1), ..roll };
    assert_eq!(lay(&hall, &[Direction::RIGHT], thread, mm(1)), Err(StripsError::TooMany));
    assert_eq!(lay(&Region::default(), &[Direction::RIGHT], roll, mm(1)), Err(StripsError::NoFloor));
}

#[test]
fn an_order_is_the_plan_with_breakage_and_spare_tiles_in_whole_cartons() {
    let mut product = tile(600, 300, 3);
    product.carton_tiles = Some(7);
    let rates = |breakage, attic| Rates { breakage, attic };
    let order = TileOrder::new(&product, 101, rates(0.03, 0.05));
    // 3.03 are four tiles, 5.05 are six; 111 tiles are sixteen cartons of seven.
    assert_eq!((order.plan, order.breakage, order.attic), (101, 4, 6));
    assert_eq!((order.tiles(), order.cartons), (111, Some(16)));
    let bare = TileOrder::new(&product, 98, rates(0.0, -1.0));
    assert_eq!((bare.tiles(), bare.cartons), (98, Some(14)), "no rate takes tiles away");
    product.carton_tiles = None;
    assert_eq!(TileOrder::new(&product, 98, Rates::default()).cartons, None);
}

#[test]
fn trim_is_cut_from_bars_and_joined_where_a_wall_is_longer() {
    let runs = [mm(3000), mm(2000), mm(900), mm(900)];
    let bars = cut_to(&runs, mm(2400), mm(3), Length::ZERO, mm(1)).expect("bars");
    // A whole bar; 2000; and 900, 900, 600 with two kerfs between them are 2406: a bar more.
    assert_eq!((bars.joins, bars.count(), bars.plan.is_proven()), (1, 4, true));
    let bars = cut_to(&runs, mm(2406), mm(3), Length::ZERO, mm(1)).expect("bars");
    assert_eq!(bars.count(), 3, "the rest is 594 then and fits");
    let mitred = cut_to(&[mm(2400)], mm(2400), mm(3), mm(20), mm(1)).expect("bars");
    assert_eq!((mitred.joins, mitred.count()), (1, 2), "20 more do not come out of one bar");
    assert_eq!(cut_to(&runs, mm(20), mm(3), mm(20), mm(1)), Err(BarsError::Bar));
    assert_eq!(cut_to(&[mm(90_000_000)], mm(10), mm(0), mm(0), mm(1)), Err(BarsError::TooMany));
}

/// What was cut lately is remembered: no ask may get the answer of another that looks like it.
#[test]
fn what_is_remembered_is_the_answer_to_what_was_asked() {
    let run = |i: i64| [mm(700 + i % 3), mm(1100), mm(450), mm(450)];
    for round in 0..2 {
        for i in 0..60 {
            let (bar, kerf, grid) = (mm(2000 + i % 2), mm(3 * (i % 5)), mm(1 + i % 4));
            let asked = cut_to(&run(i), bar, kerf, Length::ZERO, grid).expect("bars");
            let pieces: Vec<(Length, usize)> =
                asked.lengths.iter().copied().zip(asked.counts.iter().copied()).collect();
            assert_eq!(asked.plan, cut(bar, kerf, grid, &pieces).expect("a plan"), "{round}: {i}");
        }
    }
}

/// A saw's kerf of 3/32 in is no whole sixteenth; a piece as long as the bar still comes out of it.
#[test]
fn a_piece_as_long_as_the_bar_fits_whatever_the_kerf() {
    let sixteenth = Length::from_sixty_fourths(4);
    let foot = Length::parse("8'").expect("a length");
    let bars =
        cut_to(&[foot, foot], foot, Length::from_sixty_fourths(6), Length::ZERO, sixteenth).expect("bars");
    assert_eq!((bars.count(), bars.joins), (2, 0));
}

#[test]
fn walls_are_measured_without_their_openings() {
    let mut room = room(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)]);
    let door = |wall, start, width| Opening {
        id: ItemId::new(format!("{wall} {start}")),
        wall,
        start: mm(start),
        width: mm(width),
        reach: Length::ZERO,
    };
    room.openings = vec![door(0, 500, 900), door(0, 2000, 800), door(2, 0, 4000)];
    let post = [(1000, 1000), (1300, 1000), (1300, 1400), (1000, 1400)];
    let ring = Ring::new(post.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect());
    room.keepouts = vec![Keepout { id: "post".into(), ring }];
    let runs: Vec<(usize, f64)> = walls::runs(&room).iter().map(|r| (r.wall, r.length.mm())).collect();
    assert_eq!(runs, [(0, 500.0), (0, 600.0), (0, 1200.0), (1, 3000.0), (3, 3000.0)]);
    assert_eq!(walls::round_keepouts(&room), 1400.0);
}

/// A bowed wall is as long as it goes: 4 m that come in by 300 in the middle are twice √(2² + 0.3²).
#[test]
fn trim_follows_a_bowed_wall() {
    let mut room = room(&[(0, 0), (4000, 0), (4000, 3000), (0, 3000)]);
    room.bows = vec![(0, vec![Point::new(mm(2000), mm(300))])];
    let first = walls::runs(&room)[0].length.mm();
    assert!((first - 2.0 * 2022.3748416156684).abs() < 1e-5, "{first}");
}

/// 0.05 is a little more than a twentieth in binary.
#[test]
fn packs_are_whole_and_no_rounding_buys_one_more() {
    assert_eq!((packs(0.0, 5.0), packs(10.0, 5.0), packs(10.001, 5.0)), (0, 2, 3));
    assert_eq!(packs(60.0 * 0.05, 1.0), 3);
    assert_eq!(packs(3.0, 0.0), 3);
}
