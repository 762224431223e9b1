//! Floors that lie exactly at what is allowed: whole families of chords there deviate by the same.

use drylay_geometry::{Length, Point, Ring};
use drylay_survey::floor::{
    Aim, Ground, Job, Known, Mesh, Surface, Tolerance, Verdict, correct, judge, search,
};

fn at(x: i64, y: i64) -> Point {
    Point::new(Length::from_mm(x), Length::from_mm(y))
}

fn room() -> Ring {
    Ring::new(vec![at(0, 0), at(4000, 0), at(4000, 3000), at(0, 3000)])
}

/// 42 readings of a wavy floor; heights in mm.
fn readings() -> (Vec<Point>, Vec<f64>) {
    let places = (0..42).map(|k| (150 + k % 7 * 616, 150 + k / 7 * 540));
    let height = |(x, y): (i64, i64)| 4.0 * libm::sin(x as f64 / 700.0) * libm::cos(y as f64 / 900.0);
    (places.clone().map(|(x, y)| at(x, y)).collect(), places.map(height).collect())
}

const ASKED: Tolerance = Tolerance { gap: 3.0, span: 3048.0, humps: true };

/// What a corrected floor's search looks at is counted: it must not grow without end where chords lie at the gap.
#[test]
fn a_corrected_floor_is_judged_and_corrected_again_in_bounded_work() {
    let (points, z) = readings();
    let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&room(), &[]));
    let job = Job { tolerances: vec![ASKED], margin: 0.0, fill_cost: 1.0, grind_cost: None };
    let once = correct(&mesh, &ground, &z, &job, &mut |_| true).expect("a correction");
    assert!(once.worst_after > 2.9 && once.worst_after <= 3.0, "{}", once.worst_after);
    // The limit is put right at, just under and just over what is left.
    for off in [-1e-2, -1e-3, -1e-6, 0.0, 1e-6, 1e-3, 1e-2] {
        let asked = Tolerance { gap: once.worst_after + off, ..ASKED };
        let surface = Surface::new(&mesh, once.z.clone(), &ground);
        let variance = |w: &[(usize, f64)]| w.iter().map(|(_, c)| c * c).sum::<f64>();
        let mut asks = 0;
        let mut go_on = |_: f64| {
            asks += 1;
            asks < 200_000
        };
        let judged = judge(&surface, Known { variance: &variance, worst: (1.0, 0.0) }, asked, &mut go_on);
        assert!(judged.finished && judged.verdict == Verdict::Unsure, "{off}: {judged:?}");
        let again = Job { tolerances: vec![asked], ..job.clone() };
        let again = correct(&mesh, &ground, &once.z, &again, &mut go_on).expect("within the work allowed");
        assert!(again.worst_after <= asked.gap + 1e-9, "{off}: {}", again.worst_after);
    }
}

/// Readings two feet apart tell of chords of four feet, and of no shorter ones; a level floor deviates by nothing.
#[test]
fn a_level_floor_passes_from_twice_the_distance_of_its_readings_on() {
    let points: Vec<Point> = (0..35).map(|k| at(200 + k % 7 * 600, 200 + k / 7 * 600)).collect();
    let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&room(), &[]));
    let surface = Surface::new(&mesh, vec![12.0; points.len()], &ground);
    let variance = |w: &[(usize, f64)]| w.iter().map(|(_, c)| 0.01 * c * c).sum::<f64>();
    for (span, verdict) in [(1200.0, Verdict::Pass), (1199.0, Verdict::Unsure)] {
        let known = Known { variance: &variance, worst: (0.01, 0.0) };
        let judged = judge(&surface, known, Tolerance { span, ..ASKED }, &mut |_| true);
        assert_eq!((judged.verdict, judged.sparse), (verdict, verdict == Verdict::Unsure), "{judged:?}");
        let hump = judged.hump.expect("humps count");
        assert!(judged.dip.chord.deviation.abs() < 1e-9 && hump.chord.deviation.abs() < 1e-9, "{hump:?}");
    }
}

#[test]
fn a_search_that_is_ended_keeps_a_bound_that_holds() {
    let (points, z) = readings();
    let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&room(), &[]));
    let surface = Surface::new(&mesh, z, &ground);
    let whole = search(&surface, 3048.0, Aim::Worst, &mut |_| true);
    let worst = whole.worst.expect("a dip").deviation;
    let mut ended = 0;
    for most in 0..60 {
        let mut asks = 0;
        let found = search(&surface, 3048.0, Aim::Worst, &mut |_| {
            asks += 1;
            asks <= most
        });
        ended += usize::from(!found.finished);
        assert!(found.bound >= worst - 1e-9, "after {most}: {} for {worst}", found.bound);
    }
    assert!(ended == 60, "the search asks more than sixty times");
}

/// A grid of 42 readings, each up to 60 mm beside its place, so that slivers lie along the hull.
fn beside_a_grid(floor: u32) -> (Vec<Point>, Vec<f64>) {
    let mut seed = floor.wrapping_mul(2_654_435_761);
    let mut chance = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed >> 8) / f64::from(1_u32 << 24) - 0.5
    };
    let mut found = (Vec::new(), Vec::new());
    for k in 0..42 {
        #[expect(clippy::cast_possible_truncation, reason = "some sixty millimetres")]
        let mut beside = || (120.0 * chance()) as i64;
        let (x, y) = (150 + k % 7 * 616 + beside(), 150 + k / 7 * 540 + beside());
        found.0.push(at(x, y));
        let wave = 4.0 * libm::sin(x as f64 / 700.0) * libm::cos(y as f64 / 900.0);
        found.1.push(((wave + 2.0 * chance() + 0.001 * x as f64) * 10.0).round() / 10.0);
    }
    found
}

#[test]
fn slivers_along_the_hull_do_not_make_a_search_endless() {
    for floor in 0..24 {
        let (points, z) = beside_a_grid(floor);
        let (mesh, ground) = (Mesh::new(&points).expect("readings"), Ground::new(&room(), &[]));
        let dips = Surface::new(&mesh, z, &ground);
        for (span, surface) in
            [610.0, 3048.0].into_iter().flat_map(|s| [(s, dips.clone()), (s, dips.turned_over())])
        {
            let mut asks = 0;
            let mut go_on = |_: f64| {
                asks += 1;
                asks < 5_000
            };
            let found = search(&surface, span, Aim::Worst, &mut go_on);
            let worst = found.worst.map_or(0.0, |c| c.deviation);
            assert!(found.finished, "floor {floor}, span {span}: {} rectangles", found.looked_at);
            assert!(found.bound <= worst + (0.005 * worst).max(0.02) + 1e-6, "floor {floor}, span {span}");
        }
    }
}

/// The floor of a hall, readings 900 mm apart and to a tenth of a millimetre.
fn hall(columns: i64, rows: i64) -> (Vec<Point>, Vec<f64>, Ring) {
    let places = (0..columns * rows).map(|k| (300 + k % columns * 900, 300 + k / columns * 900));
    let height = |(x, y): (i64, i64)| {
        let wave = 5.0 * libm::sin(x as f64 / 1100.0) * libm::cos(y as f64 / 1300.0);
        let own = ((x * 7919 + y * 104_729) % 1000) as f64 / 1000.0 - 0.5;
        ((wave + 2.0 * own) * 10.0).round() / 10.0
    };
    let (w, h) = (columns * 900 - 300, rows * 900 - 300);
    let corners = vec![at(0, 0), at(w, 0), at(w, h), at(0, h)];
    (places.clone().map(|(x, y)| at(x, y)).collect(), places.map(height).collect(), Ring::new(corners))
}

/// In a hall a search leaves most of the floor out of sight. What it carries on for that must not ask for a further look
/// by itself: such a search never ends, and floors of a room's size do not show it.
#[test]
fn a_hall_is_corrected_in_bounded_work() {
    for (columns, rows) in [(10, 8), (12, 10)] {
        let (points, z, room) = hall(columns, rows);
        let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&room, &[]));
        let job = Job { tolerances: vec![ASKED], margin: 0.0, fill_cost: 1.0, grind_cost: Some(4.0) };
        let mut asks = 0;
        let mut go_on = |_: f64| {
            asks += 1;
            asks < 200_000
        };
        let done = correct(&mesh, &ground, &z, &job, &mut go_on).expect("within the work allowed");
        assert!(
            done.worst_after > 2.9 && done.worst_after <= 3.0,
            "{columns} × {rows}: {}",
            done.worst_after
        );
    }
}
