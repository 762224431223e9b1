//! Rooms, floors and houses drawn by chance: what is said of them, and the work it took, stays as it was
//! (`pinned-*.txt`). All of it is made up.

#[path = "../../geometry/tests/pins/mod.rs"]
mod pins;

use drylay_geometry::{Length, Point, Region, Ring};
use drylay_survey::floor::work::{Compound, Found as Asked, Means, plan};
use drylay_survey::floor::{
    Aim, Ground, Job, Known, Mesh, Rod, Surface, Tolerance, correct, fnumbers, heights, judge, pattern,
    search, slope,
};
use drylay_survey::floor::{contour, straightedge};
use drylay_survey::house::{self, Passage, Side};
use drylay_survey::level::{self, Rise};
use drylay_survey::network::{self, Datum, Observation, Observed};
use drylay_survey::tape::{
    Draft, LineSide, Located, LocatedBy, MeasuredTo, Reading, SquareCheck, StringLine, StringOffset, Tape,
    Turn, adjust, next_ties,
};
use pins::{Lots, Pins, Xy, shape};

fn mm(mm: f64) -> Length {
    Length::from_mm_f64(mm).expect("near")
}

fn span(a: Xy, b: Xy) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

fn name(corner: usize) -> String {
    format!("c{corner}")
}

fn read(lots: &mut Lots, true_mm: f64, tape: &Tape) -> f64 {
    // The sum of four is near enough to normal.
    let error: f64 = (0..4).map(|_| lots.between(-0.9, 0.9)).sum();
    let read = mm(true_mm + error * tape.sd_mm(true_mm)).round_to(tape.graduation);
    read.mm()
}

/// The corners of what lies so far inside of the walls.
fn inset(corners: &[Xy], by: f64) -> Vec<Xy> {
    let n = corners.len();
    let inward = |a: Xy, b: Xy| {
        let long = span(a, b);
        ((a.1 - b.1) / long, (b.0 - a.0) / long)
    };
    let corner = |c: usize| {
        let (before, here, after) = (corners[(c + n - 1) % n], corners[c], corners[(c + 1) % n]);
        let (p, q) = (inward(before, here), inward(here, after));
        let share = by / (1.0 + p.0 * q.0 + p.1 * q.1);
        (here.0 + share * (p.0 + q.0), here.1 + share * (p.1 + q.1))
    };
    (0..n).map(corner).collect()
}

fn draft(lots: &mut Lots, tape: &Tape) -> Draft {
    let (corners, out) = shape(lots);
    let n = corners.len();
    let touched = [MeasuredTo::BareWall, MeasuredTo::Trim(mm(14.0)), MeasuredTo::Plate(mm(12.5))]
        [[0, 0, 0, 0, 1, 2][lots.below(6)]];
    let there = inset(&corners, touched.outside_mm());
    let ties = lots.below(80) as u64 + 20;
    let mut readings = Vec::new();
    for i in 0..n {
        for j in i + 1..n {
            let is_wall = j == i + 1 || (i == 0 && j == n - 1);
            let is_read = if is_wall { !lots.percent(6) } else { lots.percent(ties) };
            for _ in 0..usize::from(is_read) + usize::from(is_read && lots.percent(5)) {
                let bare = lots.percent(10);
                let (ends, to) = if bare { (&corners, MeasuredTo::BareWall) } else { (&there, touched) };
                let value = mm(read(lots, span(ends[i], ends[j]), tape));
                let mut one =
                    Reading { measured_to: to, ..Reading::new(name(i).as_str(), name(j).as_str(), value) };
                if lots.percent(8) {
                    one = one.with_sd(mm(lots.between(0.5, 4.0)));
                }
                if lots.percent(4) {
                    one.height = Some(mm(900.0));
                }
                readings.push(one);
            }
        }
    }
    if lots.percent(25) && !readings.is_empty() {
        let slipped = lots.below(readings.len());
        let by = [25.4, 304.8, 100.0, 1000.0, 12.7, 45.0][lots.below(6)];
        readings[slipped].read += mm(by);
    }
    let turns = out
        .iter()
        .filter(|_| lots.percent(85))
        .map(|&c| (name(c).as_str().into(), Turn::Out))
        .collect::<Vec<_>>();
    let mut squares = Vec::new();
    for c in 0..n {
        if lots.percent(12) {
            let sd_degrees = lots.percent(50).then_some(0.3);
            squares.push(SquareCheck { corner: name(c).as_str().into(), sd_degrees });
        }
    }
    let mut strings = Vec::new();
    let mut located = Vec::new();
    for c in 0..n {
        let (from, to) = (name(c), name((c + 1) % n));
        let long = span(corners[c], corners[(c + 1) % n]);
        if lots.percent(12) {
            let offset = |lots: &mut Lots, part: f64| StringOffset {
                along: mm(long * part),
                offset: mm(lots.between(-9.0, 9.0)),
                sd: lots.percent(30).then(|| mm(0.4)),
            };
            let offsets = vec![offset(lots, 0.3), offset(lots, 0.6)];
            strings.push(StringLine { from: from.as_str().into(), to: to.as_str().into(), offsets });
        }
        if lots.percent(15) {
            let by = if lots.percent(50) {
                LocatedBy::AlongWall {
                    from: from.as_str().into(),
                    towards: to.as_str().into(),
                    along: mm(long * 0.4),
                    away: mm(lots.between(0.0, 400.0)),
                }
            } else {
                LocatedBy::TwoDistances {
                    first: (from.as_str().into(), mm(long * lots.between(0.45, 0.8))),
                    second: (to.as_str().into(), mm(long * lots.between(0.45, 0.8))),
                    side: if lots.percent(80) { LineSide::Right } else { LineSide::Left },
                }
            };
            located.push(Located { id: format!("thing {c}").as_str().into(), by });
        }
    }
    let corners = (0..n).map(|c| name(c).as_str().into()).collect();
    Draft { corners, turns, readings, squares, strings, located }
}

/// Makes a draft wrong in one of the ways in which one can be.
fn spoil(lots: &mut Lots, draft: &mut Draft) {
    let some = lots.below(draft.readings.len().max(1));
    match lots.below(9) {
        0 => draft.corners.truncate(2),
        1 => draft.corners[1] = draft.corners[0].clone(),
        2 => draft.readings[some].to = "nowhere".into(),
        3 => draft.readings[some].to = draft.readings[some].from.clone(),
        4 => draft.readings[some].read = Length::ZERO,
        5 => draft.readings[some].sd = Some(Length::ZERO),
        6 => draft.readings[some].read = mm(500_000.0),
        7 => draft.turns.push(("nowhere".into(), Turn::In)),
        _ => draft.squares.push(SquareCheck { corner: draft.corners[0].clone(), sd_degrees: Some(-1.0) }),
    }
}

#[test]
fn rooms_from_tape_readings() {
    let mut pins = Pins::default();
    for n in 0..400 {
        let lots = &mut Lots::new(n);
        let tape = [Tape::steel(), Tape::steel_metric(), Tape::laser()][lots.below(3)];
        let mut draft = draft(lots, &tape);
        if n % 16 == 15 && !draft.readings.is_empty() {
            spoil(lots, &mut draft);
        }
        let case = format!("room {n}");
        match adjust(&draft, &tape) {
            Ok(room) => {
                let told = format!("{:?}, {} corners", room.verdict, draft.corners.len());
                let next = next_ties(&draft, &room, &tape);
                let far = (0..draft.corners.len()).filter_map(|c| room.distance(0, c)).collect::<Vec<_>>();
                pins.note(&case, &told, &(room, next, far));
            }
            Err(problems) => pins.note(&case, "wrong", &problems),
        }
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-rooms.txt");
}

#[test]
fn networks_and_levellings() {
    let mut pins = Pins::default();
    for n in 0..60 {
        let lots = &mut Lots::new(1000 + n);
        let points = 4 + lots.below(5);
        let truth: Vec<Xy> =
            (0..points).map(|_| (lots.between(0.0, 900.0), lots.between(0.0, 700.0))).collect();
        let start: Vec<Xy> =
            truth.iter().map(|p| (p.0 + lots.between(-5.0, 5.0), p.1 + lots.between(-5.0, 5.0))).collect();
        let mut seen = Vec::new();
        for from in 0..points {
            for to in from + 1..points {
                if lots.percent(75) {
                    let value = span(truth[from], truth[to]) + lots.between(-0.4, 0.4);
                    seen.push(Observation {
                        what: Observed::Distance { from, to },
                        value,
                        sd: lots.between(0.2, 0.6),
                    });
                }
            }
        }
        let held = (0..points).map(|p| (p == 0, p < 2)).collect();
        let datum = if n % 2 == 0 { Datum::Fixed(held) } else { Datum::Inner };
        let found = network::adjust(&start, &seen, &datum);
        pins.note(&format!("network {n}"), if found.is_ok() { "solved" } else { "not solved" }, &found);
        let fixed: Vec<Option<f64>> =
            (0..points).map(|p| (p == 0 || lots.percent(10)).then_some(p as f64)).collect();
        let mut rises: Vec<Rise> = Vec::new();
        for from in 0..points {
            for to in from + 1..points {
                if lots.percent(60) {
                    rises.push(Rise {
                        from,
                        to,
                        rise: to as f64 - from as f64 + lots.between(-0.1, 0.1),
                        sd: lots.between(0.02, 0.1),
                    });
                }
            }
        }
        let found = level::adjust(&fixed, &rises);
        pins.note(&format!("levelling {n}"), if found.is_ok() { "solved" } else { "not solved" }, &found);
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-networks.txt");
}

fn at(p: Xy) -> Point {
    Point::from_mm_rounded(p.0, p.1).expect("near")
}

/// A floor as it was read: places, heights and how well they are known.
struct Floor {
    ring: Ring,
    keepouts: Vec<Ring>,
    points: Vec<Point>,
    heights: heights::Heights,
}

fn floor(lots: &mut Lots) -> Floor {
    let (corners, _) = shape(lots);
    let ring = Ring::new(corners.iter().map(|&p| at(p)).collect());
    let middle = corners.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    let middle = (middle.0 / corners.len() as f64, middle.1 / corners.len() as f64);
    let keepouts = if lots.percent(30) {
        let post = [(-90.0, -60.0), (90.0, -60.0), (90.0, 60.0), (-90.0, 60.0)];
        vec![Ring::new(post.iter().map(|p| at((middle.0 + p.0, middle.1 + p.1))).collect())]
    } else {
        Vec::new()
    };
    let spans = [3048.0, 2000.0, 1200.0];
    let mut found = pattern(&ring, &keepouts, &spans[..1 + lots.below(2)]).points;
    let keep_every = 1 + found.len() / 60;
    found = found.into_iter().step_by(keep_every).collect();
    let setups = 1 + lots.below(3);
    let planes: Vec<f64> = (0..setups).map(|_| lots.between(1000.0, 1200.0)).collect();
    let wave = (lots.between(400.0, 1500.0), lots.between(0.5, 9.0), lots.between(-0.001, 0.001));
    let mut rods = Vec::new();
    for (p, place) in found.iter().enumerate() {
        let (x, y) = place.mm();
        let z = wave.1 * libm::sin(x / wave.0) * libm::cos(y / wave.0) + wave.2 * x;
        for (setup, plane) in planes.iter().enumerate() {
            if setup == p % setups || lots.percent(15) {
                rods.push(Rod { point: p, setup, read: (plane - z + lots.between(-0.5, 0.5)).round() });
            }
        }
    }
    let heights = heights::adjust(found.len(), setups, &rods, 0.7);
    Floor { ring, keepouts, points: found, heights }
}

fn tolerance(lots: &mut Lots) -> Tolerance {
    let (gap, span) = [(3.175, 3048.0), (3.0, 2000.0), (4.7625, 3048.0), (1.5, 610.0)][lots.below(4)];
    Tolerance { gap, span, humps: lots.percent(60) }
}

#[test]
fn floors_from_rod_readings() {
    let mut pins = Pins::default();
    for n in 0..60 {
        let lots = &mut Lots::new(2000 + n);
        let floor = floor(lots);
        let case = |part: &str| format!("floor {n}, {part}");
        pins.note(
            &case("heights"),
            &format!("{} readings", floor.points.len()),
            &(&floor.points, &floor.heights),
        );
        let known: Vec<usize> = (0..floor.points.len()).filter(|&p| floor.heights.z[p].is_some()).collect();
        let points: Vec<Point> = known.iter().map(|&p| floor.points[p]).collect();
        let z: Vec<f64> = known.iter().filter_map(|&p| floor.heights.z[p]).collect();
        let Ok(mesh) = Mesh::new(&points) else {
            pins.note(&case("mesh"), "none", &Mesh::new(&points).err());
            continue;
        };
        let shares = (
            mesh.shares(),
            mesh.median_edge(),
            (0..mesh.triangles.len()).map(|t| mesh.gradient(t, &z)).collect::<Vec<_>>(),
        );
        pins.note(&case("mesh"), &format!("{} triangles", mesh.triangles.len()), &(&mesh, shares));
        let ground = Ground::new(&floor.ring, &floor.keepouts);
        let asked = tolerance(lots);
        let surface = Surface::new(&mesh, z.clone(), &ground);
        let own = |f: &[(usize, f64)]| {
            let f: Vec<(usize, f64)> = f.iter().map(|&(i, w)| (known[i], w)).collect();
            floor.heights.variance(&f)
        };
        let worst = floor.heights.worst_variances();
        let mut asks = 0;
        let judged = judge(&surface, Known { variance: &own, worst }, asked, &mut |_| {
            asks += 1;
            true
        });
        pins.note(&case("verdict"), &format!("{:?}", judged.verdict), &(judged, asks));
        // Heights in whole millimetres have whole families of chords just at a gap; a hair over it they have not.
        let over = Aim::Over(asked.gap + 0.001);
        for aim in [Aim::Worst, over, Aim::Doubtful { gap: asked.gap, variance: &own, worst }] {
            let found = search(&surface, asked.span, aim, &mut |_| true);
            pins.note(&case("chords"), &format!("{} rectangles", found.looked_at), &found);
        }
        let (from, to) = floor.ring.bounds().map(|(a, b)| (a.mm(), b.mm())).expect("a room");
        let inside = |lots: &mut Lots| (lots.between(from.0, to.0), lots.between(from.1, to.1));
        let laid: Vec<_> =
            (0..8).map(|_| straightedge::lay(&mesh, &z, &ground, inside(lots), inside(lots))).collect();
        pins.note(&case("straightedge"), &format!("{} laid", laid.iter().flatten().count()), &laid);
        let levels = [-6.0, -4.0, -3.0, -2.0, -1.0, 0.0];
        let region = Region::from_rings(std::slice::from_ref(&floor.ring)).minus(&floor.keepouts);
        let map =
            (contour::contours(&mesh, &z, &ground, &levels), contour::bands(&mesh, &z, &region, &levels));
        pins.note(&case("map"), &format!("{} lines", map.0.len()), &map);
        let mm: Vec<Xy> = points.iter().map(|p| p.mm()).collect();
        let lines = z.chunks(14).map(fnumbers::of_line).collect::<Vec<_>>();
        pins.note(&case("slope"), "and F-numbers", &(slope(&mm, &z), lines));
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-floors.txt");
}

#[test]
fn floors_made_flat() {
    let mut pins = Pins::default();
    for n in 0..24 {
        let lots = &mut Lots::new(3000 + n);
        let floor = floor(lots);
        let known: Vec<usize> = (0..floor.points.len()).filter(|&p| floor.heights.z[p].is_some()).collect();
        let points: Vec<Point> = known.iter().map(|&p| floor.points[p]).collect();
        let z: Vec<f64> = known.iter().filter_map(|&p| floor.heights.z[p]).collect();
        let Ok(mesh) = Mesh::new(&points) else { continue };
        let ground = Ground::new(&floor.ring, &floor.keepouts);
        let tolerances = vec![tolerance(lots)];
        let grind_cost = lots.percent(60).then_some(4.0);
        let job = Job { tolerances, margin: lots.between(0.0, 0.5), fill_cost: 1.0, grind_cost };
        let mut asks = 0;
        let done = correct(&mesh, &ground, &z, &job, &mut |_| {
            asks += 1;
            true
        });
        let case = format!("floor {n}");
        let Some(done) = done else {
            pins.note(&case, "not corrected", &());
            continue;
        };
        pins.note(
            &case,
            &format!("{:.2} l filled, {:.2} l ground", done.fill_litres, done.grind_litres),
            &(&done, asks),
        );
        let compound = |least: f64, most: f64| Compound {
            bag_litres: 13.0,
            least,
            most,
            pot_life: 20.0,
            mix: 7.0,
            bags_in_mix: 2,
        };
        let means = Means {
            pour: lots.percent(80).then(|| compound(3.0, 12.0)),
            trowel: lots.percent(80).then(|| compound(0.0, 6.0)),
            trowel_area: lots.between(0.2, 2.0),
            mixers: 1 + u32::try_from(lots.below(2)).expect("small"),
        };
        let of = Asked { mesh: &mesh, ground: &ground, z: &z, job: &job, done: &done };
        let mut asks = 0;
        let work = plan(of, &means, &mut || {
            asks += 1;
            true
        });
        let patches = work.as_ref().map_or(0, |w| w.patches.len());
        pins.note(&case, &format!("{patches} patches"), &(work, asks));
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-corrections.txt");
}

#[test]
fn houses_of_rooms() {
    let mut pins = Pins::default();
    for n in 0..60 {
        let lots = &mut Lots::new(4000 + n);
        // Rooms of 4 m by 3 m in a grid of two by two or three, each in a frame of its own.
        let rooms = if lots.percent(50) { 4 } else { 6 };
        let mut passages = Vec::new();
        let opening = |lots: &mut Lots, room: usize, wall: usize, from: f64| {
            let off = |lots: &mut Lots| lots.between(-4.0, 4.0);
            let ends = match wall {
                0 => [(from, 0.0), (from + 900.0, 0.0)],
                1 => [(4000.0, from), (4000.0, from + 900.0)],
                2 => [(4000.0 - from, 3000.0), (3100.0 - from, 3000.0)],
                _ => [(0.0, 3000.0 - from), (0.0, 2100.0 - from)],
            };
            let [left, right] = ends.map(|p| (p.0 + off(lots), p.1 + off(lots)));
            Side { room, left, right }
        };
        for room in 0..rooms {
            let (column, row) = (room % 2, room / 2);
            if column == 0 && lots.percent(90) {
                let (a, b) = (opening(lots, room, 1, 800.0), opening(lots, room + 1, 3, 1300.0));
                passages.push(Passage {
                    a,
                    b,
                    depth: 100.0,
                    sd: Passage::USUAL_SD,
                    sd_degrees: Passage::USUAL_SD_DEGREES,
                });
            }
            if row + 1 < rooms / 2 && lots.percent(80) {
                let (a, b) = (opening(lots, room, 2, 1500.0), opening(lots, room + 2, 0, 1600.0));
                let sd = lots.between(2.0, 4.0);
                passages.push(Passage { a, b, depth: 120.0, sd, sd_degrees: 0.3 });
            }
        }
        if lots.percent(10) && !passages.is_empty() {
            passages[0].b.room = passages[0].a.room;
        }
        let placed = house::place(rooms, &passages);
        let told = placed.as_ref().map_or("wrong".to_owned(), |f| format!("{} loops", f.loops.len()));
        pins.note(&format!("house {n}"), &told, &placed);
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-houses.txt");
}
