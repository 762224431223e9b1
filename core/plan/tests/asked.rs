//! Rules with a source, against the figures that their sources give.

use drylay_geometry::{Direction, Length, Point, Region};
use drylay_plan::asked::{
    Asked, Found, GapRule, JointRule, Made, MovementRule, OffsetRule, RowRule, Source, TileEdges, Warmth,
    equal_rows,
};
use drylay_plan::{Along, Choice, FrameField, Offset, Order, Plan, Product};

fn len(text: &str) -> Length {
    Length::parse(text).expect("a length")
}
fn source(text: &str, edition: Option<&str>) -> Source {
    Source { text: text.to_owned(), edition: edition.map(str::to_owned) }
}
fn tile(length: &str, width: &str, joint: &str) -> Product {
    Product {
        id: "tile".into(),
        length: len(length),
        width: len(width),
        joint: len(joint),
        edge_gap: Length::ZERO,
        kerf: Length::ZERO,
        interlock: false,
        offsets: vec![
            Offset { num: 0, den: 1 },
            Offset { num: 1, den: 3 },
            Offset { num: 1, den: 2 },
            Offset { num: 2, den: 3 },
        ],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: None,
    }
}
fn plan(product: &Product, offset: usize, depth: &str, first_row: &str) -> Plan {
    let floor = Region::rectangle(Point::ORIGIN, Point::new(len("2 m"), len(depth)));
    let choice = Choice {
        along: Along { direction: Direction::RIGHT, wall: None },
        offset: product.offsets[offset],
        order: Order::Stepped,
        first_row: len(first_row),
        shift: product.length,
    };
    Plan::new(product, &choice, &FrameField::new(&floor, Direction::RIGHT)).expect("a plan")
}
fn joint_least(rule: JointRule, product: &Product, made: &Made, offset: usize) -> Option<(Length, bool)> {
    let asked = Asked { joints: vec![rule], ..Asked::default() };
    let judged = asked.judge(product, made, &plan(product, offset, "2 m", "100 mm"));
    judged.first().map(|j| match j.found {
        Found::Joint { least, .. } => (least, j.held),
        _ => panic!("{j:?}"),
    })
}

/// ANSI A108.02-2017 §4.3.8 (Handbook 2018, p. 37), as restated on tileletter.com: the joint is at least three times
/// what facial dimensions differ by and never under 1/16 in; a variation of 1/16 in asks for 3/16 in.
#[test]
fn a_joint_is_three_times_what_faces_differ_by() {
    let rule = || JointRule {
        least: len("1/16 in"),
        variations: Some(3.0),
        plus_warpage: false,
        side_over: None,
        edges: None,
        offset_only: false,
        source: source("ANSI A108.02 §4.3.8", Some("2017")),
    };
    let of = |variation: &str, joint: &str| {
        let made = Made { variation: Some(len(variation)), ..Made::default() };
        joint_least(rule(), &tile("12 in", "12 in", joint), &made, 0)
    };
    assert_eq!(of("1/16 in", "3/16 in"), Some((len("3/16 in"), true)));
    assert_eq!(of("1/16 in", "1/8 in"), Some((len("3/16 in"), false)));
    assert_eq!(of("1/64 in", "1/16 in"), Some((len("1/16 in"), true)), "never under 1/16 in");
}

/// ANSI A108.02 §4.3.8.1, as restated on fcimag.com and ctasc.com: rows offset and a side over 15 in, a rectified tile
/// has a joint of 1/8 in, a calibrated one of 3/16 in, and the warpage comes on top: 1/8 + 1/32 = 5/32 in.
#[test]
fn large_tile_laid_offset_has_a_wider_joint() {
    let rule = |least: &str, edges| JointRule {
        least: len(least),
        variations: None,
        plus_warpage: true,
        side_over: Some(len("15 in")),
        edges: Some(edges),
        offset_only: true,
        source: source("ANSI A108.02 §4.3.8.1", Some("2017")),
    };
    let rectified = || rule("1/8 in", TileEdges::Rectified);
    let made =
        |edges, warpage: &str| Made { edges: Some(edges), warpage: Some(len(warpage)), variation: None };
    let large = tile("24 in", "12 in", "1/8 in");
    let warped = made(TileEdges::Rectified, "1/32 in");
    assert_eq!(joint_least(rectified(), &large, &warped, 1), Some((len("5/32 in"), false)));
    let flat = made(TileEdges::Rectified, "0 in");
    assert_eq!(joint_least(rectified(), &large, &flat, 1), Some((len("1/8 in"), true)));
    let calibrated = made(TileEdges::Calibrated, "0 in");
    assert_eq!(joint_least(rectified(), &large, &calibrated, 1), None);
    let wide = rule("3/16 in", TileEdges::Calibrated);
    assert_eq!(joint_least(wide, &large, &calibrated, 1), Some((len("3/16 in"), false)));
    assert_eq!(joint_least(rectified(), &large, &warped, 0), None, "a straight grid is not offset");
    assert_eq!(
        joint_least(rectified(), &tile("15 in", "12 in", "1/8 in"), &warped, 1),
        None,
        "15 in is not over 15 in"
    );
}

/// ANSI A108.02 §4.3.8.2, as restated on fcimag.com: at most a third where the side is over 15 in. The tile handbook of
/// 2012 (p. 27, floortrendsmag.com) said over 18 in: the edition decides on a tile of 16 in.
#[test]
fn large_tile_is_offset_by_a_third_at_most() {
    let rule = |over: &str, edition| OffsetRule {
        most: Offset { num: 1, den: 3 },
        side_over: Some(len(over)),
        source: source("ANSI A108.02 §4.3.8.2", Some(edition)),
    };
    let held = |rule: OffsetRule, length: &str, offset| {
        let product = tile(length, "8 in", "3/16 in");
        let asked = Asked { offsets: vec![rule], ..Asked::default() };
        asked
            .judge(&product, &Made::default(), &plan(&product, offset, "2 m", "100 mm"))
            .first()
            .map(|j| j.held)
    };
    assert_eq!(held(rule("15 in", "2017"), "24 in", 1), Some(true));
    assert_eq!(held(rule("15 in", "2017"), "24 in", 2), Some(false));
    assert_eq!(held(rule("15 in", "2017"), "24 in", 3), Some(true), "two thirds are a third the other way");
    assert_eq!(held(rule("15 in", "2017"), "16 in", 2), Some(false));
    assert_eq!(held(rule("18 in", "2012"), "16 in", 2), None);
}

/// Common practice: no last row under 2 in; if it would be, the first and the last are made equal.
/// The equal width is plain geometry: clear run 3000, gap 6, tile 300, joint 3 leave 129 at both ends of nine whole
/// tiles, and 280.5 at both ends of eight; a tile less adds (300 + 3) / 2 = 151.5.
#[test]
fn a_narrow_last_row_is_made_equal_to_the_first() {
    let product = tile("300 mm", "300 mm", "3 mm");
    let asked = Asked {
        rows: vec![RowRule { least: len("2 in"), source: source("common practice", None) }],
        ..Asked::default()
    };
    // 2988 less nine whole rows of 300 and ten joints leave 258 for both ends.
    for (first_row, last, equal) in
        [("230 mm", 28.0, 280.5), ("129 mm", 129.0, 280.5), ("300 mm", 261.0, 280.5)]
    {
        let plan = plan(&product, 0, "2988 mm", first_row);
        assert!((plan.measures.last_row.mm() - last).abs() < 1e-9, "{first_row}");
        assert_eq!(equal_rows(&product, &plan).map(Length::mm), Some(equal));
        let judged = asked.judge(&product, &Made::default(), &plan);
        assert_eq!(judged[0].held, last >= 50.8);
        if let (Found::Rows { width, equal: Some(both), .. }, false) = (judged[0].found, judged[0].held) {
            assert_eq!((width.mm(), both.mm()), (last, equal));
        }
    }
    // What is proposed is what comes of it: a first row of 280.5 leaves a last one of 280.5.
    let mended = plan(&product, 0, "2988 mm", "280.5 mm");
    assert_eq!((mended.measures.last_row.mm(), mended.rows.len()), (280.5, 10));
    let narrow = plan(&product, 0, "2988 mm", "230 mm");
    assert!(!asked.judge(&product, &Made::default(), &narrow)[0].held);
    assert!(asked.judge(&product, &Made::default(), &mended)[0].held);
}

/// The shortest of all spacings governs: 25 ft inside, 12 ft where the sun comes in (tile handbook EJ171, 2018, read on
/// tileletter.com), 100 ft for a floating interlocking floor (common practice). Inside, the joint is 1/4 in wide at
/// least (ctasc.com).
#[test]
fn the_shortest_spacing_governs() {
    let rule = |run: &str, width: Option<&str>| MovementRule {
        widths: Vec::new(),
        warmth: None,
        run: len(run),
        width: width.map(len),
        source: source("EJ171", Some("2018")),
    };
    let inside = Asked { movement: vec![rule("25 ft", Some("1/4 in"))], ..Asked::default() };
    let sunlit =
        Asked { movement: vec![rule("25 ft", Some("1/4 in")), rule("12 ft", None)], ..Asked::default() };
    let floating = Product { max_run: Some(len("100 ft")), ..tile("24 in", "12 in", "1/8 in") };
    let none = Asked::default();
    let runs = [&none, &inside, &sunlit].map(|asked| asked.spacing(&floating).expect("a spacing"));
    assert_eq!(runs.each_ref().map(|s| s.run), [len("100 ft"), len("25 ft"), len("12 ft")]);
    assert_eq!(runs.each_ref().map(|s| s.width), [None, Some(len("1/4 in")), Some(len("1/4 in"))]);
    assert_eq!(runs.each_ref().map(|s| s.source.is_some()), [false, true, true]);
    assert_eq!(none.spacing(&tile("24 in", "12 in", "1/8 in")), None);
}

/// Outdoors a movement joint is 3/8 in wide at a spacing of 8 ft and 1/2 in at 12 ft, and 1/16 in wider for each 15 °F by
/// which the year's range of warmth exceeds 100 °F: 9/16 in at 12 ft where that is 115 °F (tile handbook EJ171, read on
/// tileletter.com).
#[test]
fn a_movement_joint_outdoors_is_as_wide_as_run_and_warmth_ask() {
    let rule = |run: &str| MovementRule {
        run: len(run),
        width: None,
        widths: vec![(len("12 ft"), len("1/2 in")), (len("8 ft"), len("3/8 in"))],
        warmth: Some(Warmth { over: 100.0, each: 15.0, add: len("1/16 in") }),
        source: source("EJ171", None),
    };
    let width = |run: &str, yearly_range: Option<f64>| {
        let asked = Asked { movement: vec![rule(run)], yearly_range, ..Asked::default() };
        asked.spacing(&tile("12 in", "12 in", "1/4 in")).and_then(|s| s.width)
    };
    assert_eq!(width("8 ft", None), Some(len("3/8 in")));
    assert_eq!(width("12 ft", None), Some(len("1/2 in")));
    assert_eq!(width("10 ft", Some(100.0)), Some(len("1/2 in")), "between the two the wider");
    assert_eq!(width("12 ft", Some(115.0)), Some(len("9/16 in")));
    assert_eq!(width("12 ft", Some(116.0)), Some(len("5/8 in")), "the next step is begun");
    assert_eq!(width("12 ft", Some(60.0)), Some(len("1/2 in")));
}

/// Two editions of one paper differ: an older text allows 24 to 36 ft inside, the edition of 2018 at most 25 ft (tile
/// handbook EJ171, read on tileletter.com; the older one in a construction handbook on civilengineeringx.com). Which was
/// asked is told with the figure.
#[test]
fn a_spacing_is_told_with_its_edition() {
    let rule = |run: &str, edition: &str| MovementRule {
        run: len(run),
        width: None,
        widths: Vec::new(),
        warmth: None,
        source: source("EJ171", Some(edition)),
    };
    let told = |rule: MovementRule| {
        let asked = Asked { movement: vec![rule], ..Asked::default() };
        let spacing = asked.spacing(&tile("12 in", "12 in", "1/4 in")).expect("a spacing");
        (spacing.run, spacing.source.and_then(|s| s.edition))
    };
    assert_eq!(told(rule("36 ft", "older")), (len("36 ft"), Some("older".to_owned())));
    assert_eq!(told(rule("25 ft", "2018")), (len("25 ft"), Some("2018".to_owned())));
}

/// A gap of 1/4 to 3/8 in at every vertical obstruction, door frames and transitions too (NALFA article on common
/// installation mistakes, nalfa.com); wherever tile meets what holds it there is a joint (ANSI A108.02 4.4.1, read on
/// tileletter.com).
#[test]
fn the_narrowest_gap_is_what_a_rule_for_gaps_is_held_against() {
    let product = Product { edge_gap: len("5/16 in"), ..tile("24 in", "12 in", "1/8 in") };
    let plan = plan(&product, 0, "3000 mm", "300 mm");
    let judged = |narrowest: Option<&str>| {
        let gaps = vec![GapRule { least: len("1/4 in"), source: source("NALFA article", None) }];
        let asked = Asked { gaps, narrowest_gap: narrowest.map(len), ..Asked::default() };
        asked.judge(&product, &Made::default(), &plan)[0].clone()
    };
    assert!(judged(None).held, "the product's own");
    assert!(judged(Some("1/4 in")).held);
    let narrow = judged(Some("3/16 in"));
    assert_eq!(
        (narrow.held, narrow.found),
        (false, Found::Gap { width: len("3/16 in"), least: len("1/4 in") })
    );
}
