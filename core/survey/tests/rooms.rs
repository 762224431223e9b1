//! Rooms as people measure them: what is solved, what is loose, what is missing, what is off.

use drylay_geometry::Length;
use drylay_survey::tape::{
    Advice, Draft, GoodFor, MeasuredTo, Reading, Room, Slip, SquareCheck, Tape, Turn, Verdict, adjust,
};

fn mm(v: f64) -> Length {
    Length::from_mm_f64(v).expect("a length")
}

fn draft(corners: &str, readings: &[(&str, f64)]) -> Draft {
    let name = |c: char| c.to_string();
    let reading = |&(ends, v): &(&str, f64)| {
        Reading::new(ends[..1].to_owned().as_str(), ends[1..].to_owned().as_str(), mm(v)).with_sd(mm(1.0))
    };
    Draft {
        corners: corners.chars().map(|c| name(c).as_str().into()).collect(),
        readings: readings.iter().map(reading).collect(),
        ..Draft::default()
    }
}

fn solve(draft: &Draft) -> Room {
    adjust(draft, &Tape::steel()).expect("no problems")
}

const FOUR: [(&str, f64); 6] =
    [("AB", 4000.0), ("BC", 3000.0), ("CD", 4000.0), ("DA", 3000.0), ("AC", 5000.0), ("BD", 5000.0)];

#[test]
fn four_walls_and_two_diagonals_are_consistent() {
    let room = solve(&draft("ABCD", &FOUR));
    assert_eq!(room.verdict, Verdict::Consistent);
    assert_eq!((room.redundancy, room.good_for), (1, GoodFor::SettingOut));
    assert_eq!(room.corners[0].at, (0.0, 0.0));
    assert!((room.corners[2].at.0 - 4000.0).abs() < 1e-6 && (room.corners[2].at.1 - 3000.0).abs() < 1e-6);
    assert_eq!((room.corners[0].sd, room.corners[1].sd.1), ((0.0, 0.0), 0.0));
    assert!((room.area_m2.expect("solved").value - 12.0).abs() < 1e-9);
    assert!(room.next.is_empty() && room.advice.contains(&Advice::EnoughMeasured), "{:?}", room.advice);
    assert!(room.outline.is_some());
}

#[test]
fn four_walls_alone_are_loose_and_a_diagonal_is_worth_measuring() {
    let room = solve(&draft("ABCD", &FOUR[..4]));
    assert_eq!((room.verdict, room.redundancy), (Verdict::Loose, 0));
    assert_eq!(room.assumed_square, vec![0, 1, 2, 3]);
    assert_eq!((room.next[0].from, room.next[0].to), (0, 2));
    assert!(room.next[0].gain_mm > 5.0);
    assert_eq!(room.next[0].checks, vec![0, 1, 2, 3]);
}

#[test]
fn four_walls_and_one_diagonal_are_loose_with_no_right_angle_assumed() {
    let room = solve(&draft("ABCD", &FOUR[..5]));
    assert_eq!((room.verdict, room.redundancy, room.variance_factor), (Verdict::Loose, 0, None));
    assert!(room.assumed_square.is_empty());
    assert_eq!((room.next[0].from, room.next[0].to), (1, 3));
    assert_eq!(room.next[0].checks, vec![0, 1, 2, 3, 4]);
}

#[test]
fn square_checks_count_as_observations() {
    let mut d = draft("ABCD", &FOUR[..4]);
    d.squares = vec![
        SquareCheck { corner: "A".into(), sd_degrees: None },
        SquareCheck { corner: "C".into(), sd_degrees: Some(0.2) },
    ];
    let room = solve(&d);
    assert_eq!((room.verdict, room.redundancy), (Verdict::Consistent, 1));
    assert!(room.squares[1].w.is_some());
}

#[test]
fn an_l_with_all_walls_only_is_loose() {
    let walls =
        [("AB", 5000.0), ("BC", 2000.0), ("CD", 2000.0), ("DE", 1500.0), ("EF", 3000.0), ("FA", 3500.0)];
    let mut d = draft("ABCDEF", &walls);
    d.turns = vec![("D".into(), Turn::Out)];
    let room = solve(&d);
    assert_eq!(room.verdict, Verdict::Loose, "{room:?}");
    assert!((room.area_m2.expect("solved").value - (5.0 * 2.0 + 3.0 * 1.5)).abs() < 1e-6);
    assert!((room.corners[3].angle.value - 270.0).abs() < 1e-6);
    // From A to E the tape would run through the outside corner's wall.
    let hidden = |t: &drylay_survey::tape::NextTie| (t.from, t.to) == (2, 4);
    assert!(!room.next.iter().any(hidden), "{:?}", room.next);
}

#[test]
fn an_l_that_does_not_close_by_a_foot_is_to_be_rechecked() {
    let walls =
        [("AB", 5304.8), ("BC", 2000.0), ("CD", 2000.0), ("DE", 1500.0), ("EF", 3000.0), ("FA", 3500.0)];
    let mut d = draft("ABCDEF", &walls);
    d.turns = vec![("D".into(), Turn::Out)];
    let room = solve(&d);
    assert_eq!(room.verdict, Verdict::Recheck);
    assert!(room.suspects.is_empty());
    let gap = room.misclosure_mm.expect("all walls read");
    assert!((gap.0 - 304.8).abs() < 30.0, "{gap:?}");
}

#[test]
fn missing_walls_are_named() {
    let room = solve(&draft("ABCD", &[("AB", 4000.0), ("CD", 4000.0)]));
    assert_eq!((room.verdict, room.missing.clone()), (Verdict::Unsolvable, vec![(1, 2)]));
    let room = solve(&draft("ABCD", &[("AB", 4000.0), ("BC", 3000.0)]));
    assert_eq!(room.verdict, Verdict::Loose);
    assert!((room.area_m2.expect("solved").value - 12.0).abs() < 1e-6);
    let room = solve(&draft("ABC", &[]));
    assert_eq!(room.verdict, Verdict::Unsolvable);
    assert_eq!(room.missing.len(), 3);
}

#[test]
fn five_walls_that_cannot_all_be_square_ask_for_ties() {
    let walls = [("AB", 3000.0), ("BC", 3000.0), ("CD", 3000.0), ("DE", 3000.0), ("EA", 3000.0)];
    let room = solve(&draft("ABCDE", &walls));
    assert_eq!((room.verdict, room.missing.len()), (Verdict::Unsolvable, 2), "{room:?}");
}

#[test]
fn two_readings_of_one_wall_a_foot_apart_are_no_error() {
    let mut readings = FOUR.to_vec();
    readings.push(("BA", 4304.8));
    let room = solve(&draft("ABCD", &readings));
    assert_eq!((room.verdict, room.suspects.clone()), (Verdict::Recheck, vec![6]));
    let suspect = &room.readings[6];
    let say = suspect.others_say.expect("checked");
    assert!((say.value - 4000.0).abs() < 1e-6 && say.sd < 1.0);
    assert!((room.corners[1].at.0 - 4000.0).abs() < 1e-6);
    assert!(suspect.w.expect("checked") < -100.0);
}

#[test]
fn with_one_redundancy_none_is_marked_and_the_usual_slip_comes_first() {
    // All in sixteenths so that slips of an inch can be told: a 3-4-5 room of 12 ft by 16 ft with C–D an inch over.
    let inch = 25.4;
    let readings = [
        ("AB", 192.0 * inch),
        ("BC", 144.0 * inch),
        ("CD", 193.0 * inch),
        ("DA", 144.0 * inch),
        ("AC", 240.0 * inch),
        ("BD", 240.0 * inch),
    ];
    let room = solve(&draft("ABCD", &readings));
    assert_eq!((room.verdict, room.suspects.len(), room.redundancy), (Verdict::Recheck, 0, 1));
    let w: Vec<f64> = room.readings.iter().map(|r| r.w.expect("checked").abs()).collect();
    assert!(w.iter().all(|v| (v - w[0]).abs() < 1e-4 * w[0]), "{w:?}");
    let Some(Advice::OneOfThese { readings, .. }) = room.advice.first() else { panic!("{:?}", room.advice) };
    assert_eq!(readings.len(), 6);
    assert!(readings.iter().position(|&k| k == 2) < Some(2), "{readings:?}");
    assert_eq!(room.readings[2].guesses[0].slip, Slip::BurnedAtOne);
}

#[test]
fn a_corner_near_a_straight_line_is_ambiguous_until_a_tie_or_a_word_decides() {
    // B lies 150 mm outside the straight line from A to C, or inside of it: both fit.
    let all = [
        ("AB", 2005.6),
        ("BC", 2005.6),
        ("CD", 3000.0),
        ("DE", 4000.0),
        ("EA", 3000.0),
        ("AC", 4000.0),
        ("AD", 5000.0),
        ("CE", 5000.0),
    ];
    let mut d = draft("ABCDE", &all);
    let room = solve(&d);
    assert_eq!(room.verdict, Verdict::Ambiguous, "{room:?}");
    let (i, j, here, there) = room.alternative.expect("two shapes").decided_by.expect("a tie");
    assert!(i == 1 || j == 1);
    assert!((here - there).abs() > 100.0);
    d.turns = vec![("B".into(), Turn::In)];
    assert_eq!(solve(&d).verdict, Verdict::Consistent);
    d.turns = vec![("B".into(), Turn::Out)];
    let out = solve(&d);
    assert_eq!(out.verdict, Verdict::Consistent);
    assert!(out.corners[1].angle.value > 180.0);
}

#[test]
fn a_room_read_with_the_trim_on_is_as_large_as_its_walls() {
    // A 4 × 3 m room read inside of 15 mm trim: 3970 × 2970, diagonals from trim corner to trim corner.
    let across = (3970.0f64 * 3970.0 + 2970.0 * 2970.0).sqrt();
    let readings =
        [("AB", 3970.0), ("BC", 2970.0), ("CD", 3970.0), ("DA", 2970.0), ("AC", across), ("BD", across)];
    let mut d = draft("ABCD", &readings);
    d.readings.iter_mut().for_each(|r| r.measured_to = MeasuredTo::Trim(mm(15.0)));
    let room = solve(&d);
    assert!((room.area_m2.expect("solved").value - 12.0).abs() < 1e-6);
    assert_eq!((room.verdict, room.good_for), (Verdict::Consistent, GoodFor::Quote));
    assert!(room.advice.contains(&Advice::TrimOn { readings: (0..6).collect() }));
    assert!((room.readings[0].corrected - 4000.0).abs() < 1e-6);
}

#[test]
fn corners_read_from_two_stations_without_any_other_wall() {
    // A 6 × 4 m room with a bay at C, D; all read from A and B.
    let at = [(0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (4000.0, 5000.0), (0.0, 4000.0)];
    let mut readings = vec![("AB", 6000.0)];
    for (k, names) in [(2usize, ["AC", "BC"]), (3, ["AD", "BD"]), (4, ["AE", "BE"])] {
        for (s, name) in names.into_iter().enumerate() {
            let (dx, dy): (f64, f64) = (at[k].0 - at[s].0, at[k].1 - at[s].1);
            readings.push((name, (dx * dx + dy * dy).sqrt()));
        }
    }
    let room = solve(&draft("ABCDE", &readings));
    assert_eq!(room.verdict, Verdict::Loose);
    for (corner, want) in room.corners.iter().zip(at) {
        assert!(
            (corner.at.0 - want.0).abs() < 1e-3 && (corner.at.1 - want.1).abs() < 1e-3,
            "{:?}",
            room.corners
        );
    }
}

#[test]
fn a_tie_longer_than_the_way_round_is_said_plainly() {
    let mut readings = FOUR.to_vec();
    readings[4] = ("AC", 7500.0);
    let room = solve(&draft("ABCD", &readings));
    assert_eq!(room.verdict, Verdict::Recheck);
    assert!(
        room.advice.iter().any(|a| matches!(a, Advice::LongerThanWayRound { reading: 4, .. })),
        "{:?}",
        room.advice
    );
}
