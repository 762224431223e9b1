//! What was measured to, strings along walls, and things located by distances.

use drylay_geometry::{Corner, Length, Outline, Point};
use drylay_survey::tape::{
    Advice, Draft, GoodFor, Lack, LineSide, Located, LocatedBy, MeasuredTo, Reading, Room, StringLine,
    StringOffset, Tape, adjust, on_outline,
};

fn mm(v: f64) -> Length {
    Length::from_mm_f64(v).expect("a length")
}

/// A room of 4 × 3 m, read with both diagonals; everything fits exactly.
fn room(inside: f64) -> Draft {
    let (l, w) = (4000.0 - 2.0 * inside, 3000.0 - 2.0 * inside);
    let across = (l * l + w * w).sqrt();
    let read =
        [("A", "B", l), ("B", "C", w), ("C", "D", l), ("D", "A", w), ("A", "C", across), ("B", "D", across)];
    Draft {
        corners: ["A", "B", "C", "D"].map(Into::into).to_vec(),
        readings: read.into_iter().map(|(a, b, v)| Reading::new(a, b, mm(v)).with_sd(mm(1.0))).collect(),
        ..Draft::default()
    }
}

fn solve(draft: &Draft) -> Room {
    adjust(draft, &Tape::steel()).expect("no problems")
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

fn string(from: &str, to: &str, offsets: &[(f64, f64)]) -> StringLine {
    let offsets = offsets.iter().map(|&(along, offset)| StringOffset {
        along: mm(along),
        offset: mm(offset),
        sd: Some(mm(1.0)),
    });
    StringLine { from: from.into(), to: to.into(), offsets: offsets.collect() }
}

fn two(id: &str, first: (&str, f64), second: (&str, f64), side: LineSide) -> Located {
    let by = LocatedBy::TwoDistances {
        first: (first.0.into(), mm(first.1)),
        second: (second.0.into(), mm(second.1)),
        side,
    };
    Located { id: id.into(), by }
}

fn along(id: &str, from: &str, towards: &str, along: f64, away: f64) -> Located {
    let by =
        LocatedBy::AlongWall { from: from.into(), towards: towards.into(), along: mm(along), away: mm(away) };
    Located { id: id.into(), by }
}

#[test]
fn offsets_from_a_string_widen_the_floor_by_the_trapezoidal_rule() {
    let mut draft = room(0.0);
    draft.strings = vec![string("A", "B", &[(2000.0, 9.0), (1000.0, 6.0), (3000.0, 7.0)])];
    let out = solve(&draft);
    let bow = &out.bowed[0];
    // In walking order, outwards of the first wall is up the page.
    for (point, want) in bow.points.iter().zip([(1000.0, -6.0), (2000.0, -9.0), (3000.0, -7.0)]) {
        assert!(near(point.0, want.0) && near(point.1, want.1), "{point:?}");
    }
    // Area by offsets at regular intervals d: d ((h1 + hn)/2 + h2 + … ) (Ghilani and Wolf, Elementary Surveying,
    // trapezoidal rule): 1000 (0 + 6 + 9 + 7) mm².
    assert!(near(bow.area_mm2.value, 22_000.0));
    assert!(near(bow.area_mm2.sd, 1000.0 * 3.0f64.sqrt()));
    assert!(near(out.area_m2.expect("solved").value, 12.022));
    assert_eq!(bow.most, 9.0);
    // The frame holds this wall's corners across it; those of the far wall are in doubt and add to the offset's 1 mm.
    assert!(bow.sd.iter().all(|sd| near(*sd, 1.0)), "{:?}", bow.sd);
    draft.strings = vec![string("C", "D", &[(2000.0, 9.0)])];
    let sd = solve(&draft).bowed[0].sd[0];
    assert!(sd > 1.05 && sd < 2.0, "{sd}");
}

#[test]
fn an_offset_beyond_the_end_of_its_wall_is_told_and_left_out() {
    let mut draft = room(0.0);
    draft.strings = vec![string("B", "C", &[(3500.0, 5.0), (1500.0, -5.0)])];
    let out = solve(&draft);
    assert_eq!(out.bowed[0].points.len(), 1);
    assert!(out.advice.contains(&Advice::BeyondWall { bowed: 0, along: 3500.0 }), "{:?}", out.advice);
}

#[test]
fn two_distances_meet_on_the_side_that_was_said() {
    let mut draft = room(0.0);
    // 3-4-5 triangles on the first wall: 1.8 / 2.4 / 3.0 m stand over 0.6 × 5 = 3 m only, so over AB = 4 m take
    // 2.4 and 3.2 m: right angle at the thing, height 2.4 · 3.2 / 4 = 1.92 m, foot at 2.4² / 4 = 1.44 m.
    draft.located = vec![
        two("in", ("A", 2400.0), ("B", 3200.0), LineSide::Right),
        two("out", ("A", 2400.0), ("B", 3200.0), LineSide::Left),
        two("back", ("B", 3200.0), ("A", 2400.0), LineSide::Left),
    ];
    let out = solve(&draft);
    let at = |k: usize| out.things[k].at;
    assert!(near(at(0).0, 1440.0) && near(at(0).1, 1920.0), "{:?}", at(0));
    assert!(near(at(1).0, 1440.0) && near(at(1).1, -1920.0), "{:?}", at(1));
    assert!(near(at(2).0, 1440.0) && near(at(2).1, 1920.0), "{:?}", at(2));
    assert!(out.things.iter().all(|t| t.meets && t.gap == 0.0));
    let ((ux, uy), (vx, vy)) = out.things[2].axes;
    assert!(near(ux, -1.0) && near(uy, 0.0) && near(vx, 0.0) && near(vy, 1.0), "along B–A, into the room");
}

#[test]
fn a_thing_is_located_along_a_wall_from_either_end() {
    let mut draft = room(0.0);
    draft.located = vec![along("a", "B", "C", 500.0, 250.0), along("b", "C", "B", 500.0, 0.0)];
    let out = solve(&draft);
    assert!(near(out.things[0].at.0, 3750.0) && near(out.things[0].at.1, 500.0));
    assert!(near(out.things[1].at.0, 4000.0) && near(out.things[1].at.1, 2500.0));
    let ((ux, uy), (vx, vy)) = out.things[1].axes;
    assert!(
        near(ux, 0.0) && near(uy, -1.0) && near(vx, -1.0) && near(vy, 0.0),
        "up along C–B, into the room"
    );
}

#[test]
fn distances_that_do_not_meet_are_told_unless_their_errors_explain_it() {
    let mut draft = room(0.0);
    draft.located = vec![
        two("far", ("A", 1000.0), ("B", 1000.0), LineSide::Right),
        two("near", ("A", 1999.0), ("B", 1999.0), LineSide::Right),
    ];
    let out = solve(&draft);
    assert!(near(out.things[0].gap, 2000.0) && !out.things[0].meets);
    assert!(near(out.things[1].gap, 2.0) && out.things[1].meets);
    assert!(out.advice.contains(&Advice::DoesNotMeet { thing: 0 }));
    assert!(!out.advice.contains(&Advice::DoesNotMeet { thing: 1 }));
}

#[test]
fn in_a_given_room_only_the_distances_are_in_doubt() {
    let at = |x, y| Point::from_mm_rounded(x, y).expect("a point");
    let corners = [("A", 0.0, 0.0), ("B", 4000.0, 0.0), ("C", 4000.0, 3000.0), ("D", 0.0, 3000.0)];
    let corners = corners.into_iter().map(|(id, x, y)| Corner { id: id.into(), at: at(x, y) });
    let outline = Outline::new(corners.collect()).expect("a room");
    let draft = Draft {
        readings: vec![],
        strings: vec![string("C", "D", &[(1000.0, -3.0)])],
        located: vec![along("a", "A", "B", 500.0, 250.0)],
        ..room(0.0)
    };
    let tape = Tape::steel();
    let (things, bowed) = on_outline(&draft, &outline, &tape).expect("no problems");
    assert!(
        (things[0].sd.0 - tape.sd_mm(500.0)).abs() < 1e-4
            && (things[0].sd.1 - tape.sd_mm(250.0)).abs() < 1e-4
    );
    // The far wall runs to the left, so into the room is up the page.
    assert!(near(bowed[0].points[0].0, 3000.0) && near(bowed[0].points[0].1, 2997.0));
    assert!(near(bowed[0].sd[0], 1.0));
}

#[test]
fn a_room_read_to_plates_is_smaller_by_its_boards_and_good_for_a_quote() {
    let mut draft = room(-16.0); // plates stand 16 mm behind the face of the boards
    draft.readings.iter_mut().for_each(|r| r.measured_to = MeasuredTo::Plate(mm(16.0)));
    let out = solve(&draft);
    assert!((out.area_m2.expect("solved").value - 12.0).abs() < 1e-6);
    assert_eq!((out.good_for, out.lacks.clone()), (GoodFor::Quote, vec![Lack::BareWalls]));
    assert!(out.advice.contains(&Advice::PlateRead { readings: (0..6).collect() }));
}

#[test]
fn readings_at_different_heights_are_told() {
    let mut draft = room(0.0);
    draft.readings[0].height = Some(mm(100.0));
    assert!(!solve(&draft).advice.contains(&Advice::HeightsDiffer), "one height alone says nothing");
    draft.readings[3].height = Some(mm(1200.0));
    assert!(solve(&draft).advice.contains(&Advice::HeightsDiffer));
}

#[test]
fn what_is_lacking_for_setting_out_is_said() {
    assert_eq!(solve(&room(0.0)).lacks, vec![]);
    let mut loose = room(0.0);
    loose.readings.truncate(5);
    let out = solve(&loose);
    assert_eq!((out.good_for, out.lacks.first()), (GoodFor::Quote, Some(&Lack::Checks)));
    let mut blunt = room(0.0);
    blunt.readings.iter_mut().for_each(|r| r.sd = Some(mm(6.0)));
    assert!(matches!(solve(&blunt).lacks[..], [Lack::Sharpness { sd }] if sd > 3.0));
    let mut slip = room(0.0);
    slip.readings[0].read = mm(4300.0);
    let out = solve(&slip);
    assert_eq!((out.good_for, out.lacks.first()), (GoodFor::Nothing, Some(&Lack::Agreement)));
}
