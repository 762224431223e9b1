//! Random rooms: slips are found, clean readings are left alone, and the first corner does not matter.
//!
//! Sampling, so that the figures can be judged: rooms have 4 to 10 corners. Half are rectangular staircases (only
//! right angles, with outside corners), half are convex with angles between about 100° and 170°, sides 0.8 to
//! 6 m. All walls are read, and of the ties that can be seen a random choice of n − 1 to 2n − 3, so the redundancy
//! is at least two. Readings have a standard deviation of 1 mm and normal errors. The slip is one inch, either
//! sign, in a reading drawn evenly from those in which an inch can be seen (least detectable error under 0.7 inch)
//! and told from an error in any other reading: in the same room read without errors, the w of every other reading
//! stays behind by three standard deviations of the difference of both (W. Förstner, *Reliability and discernability
//! of extended Gauss–Markov models*, 1983). Two redundancies do not ensure that: four walls and a diagonal with one
//! wall read twice leave three walls that only check each other. A slip counts as found when its reading is set
//! aside; over all slips that can be seen, told apart or not, the reading must be among those that are named.

use drylay_geometry::Length;
use drylay_survey::tape::{Advice, Draft, Reading, ReadingResult, Room, Tape, Turn, Verdict, adjust};

/// The generator "xorshift64*" (S. Vigna, 2016), so that the rooms are the same on every machine.
struct Lots(u64);

impl Lots {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }
    fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() >> 33).unwrap_or(0) % n
    }
    /// Box and Muller.
    fn normal(&mut self) -> f64 {
        (-2.0 * libm::log(1.0 - self.unit())).sqrt() * libm::cos(std::f64::consts::TAU * self.unit())
    }
}

struct True {
    at: Vec<(f64, f64)>,
    out: Vec<usize>,
}

/// A staircase down to the right under a straight back wall: clockwise on the page, right angles only.
fn staircase(lots: &mut Lots) -> True {
    let steps = lots.below(4); // 0: a rectangle
    let widths: Vec<f64> = (0..=steps).map(|_| lots.between(900.0, 3000.0)).collect();
    let heights: Vec<f64> = (0..=steps).map(|_| lots.between(900.0, 3000.0)).collect();
    let (width, height): (f64, f64) = (widths.iter().sum(), heights.iter().sum());
    let mut at = vec![(0.0, 0.0), (width, 0.0)];
    let mut out = Vec::new();
    let (mut x, mut y) = (width, 0.0);
    for k in 0..=steps {
        y += heights[k];
        at.push((x, y));
        x -= widths[k];
        if k < steps {
            out.push(at.len());
            at.push((x, y));
        }
    }
    at.push((0.0, height));
    // Nobody's walls are square: each corner up to 20 mm off.
    at.iter_mut().for_each(|p| *p = (p.0 + lots.between(-20.0, 20.0), p.1 + lots.between(-20.0, 20.0)));
    True { at, out }
}

/// Corners on an ellipse.
fn convex(lots: &mut Lots) -> True {
    let n = 5 + lots.below(4);
    let (a, b) = (lots.between(1800.0, 4500.0), lots.between(1800.0, 4500.0));
    let start = lots.unit();
    let place = |k: usize, lots: &mut Lots| {
        let t = std::f64::consts::TAU * (k as f64 + start + lots.between(-0.15, 0.15)) / n as f64;
        (a * libm::cos(t), b * libm::sin(t))
    };
    True { at: (0..n).map(|k| place(k, lots)).collect(), out: Vec::new() }
}

fn span(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt()
}

fn name(k: usize) -> String {
    format!("{}", char::from(b'A' + u8::try_from(k).expect("few corners")))
}

/// The room read with errors of 1 mm: all walls, and ties so that the redundancy is two or more. Ties that a wall
/// hides are left out as far as a staircase hides them: corners on both sides of an outside corner.
fn read(room: &True, lots: &mut Lots) -> Draft {
    let n = room.at.len();
    let hidden = |i: usize, j: usize| room.out.iter().any(|&o| i < o && o < j && j < n - 1 && i > 1);
    let mut ties: Vec<(usize, usize)> = (0..n).flat_map(|i| (i + 2..n).map(move |j| (i, j))).collect();
    ties.retain(|&(i, j)| (j + 1) % n != i && !hidden(i, j));
    for k in (1..ties.len()).rev() {
        ties.swap(k, lots.below(k + 1));
    }
    ties.truncate(n - 1 + lots.below(n - 1));
    let pairs = (0..n).map(|i| (i, (i + 1) % n)).chain(ties);
    let mut readings: Vec<Reading> = pairs
        .map(|(i, j)| {
            let value = span(room.at[i], room.at[j]) + lots.normal();
            let read = Length::from_mm_f64(value).expect("a length");
            Reading::new(name(i).as_str(), name(j).as_str(), read).with_sd(Length::from_mm(1))
        })
        .collect();
    while readings.len() < 2 * n - 1 {
        // A rectangle has only two ties: some readings are taken twice.
        let again = readings[lots.below(readings.len())].clone();
        let (i, j) = (&again.from, &again.to);
        let at = |c: &drylay_geometry::CornerId| room.at[usize::from(c.as_str().as_bytes()[0] - b'A')];
        let read = Length::from_mm_f64(span(at(i), at(j)) + lots.normal()).expect("a length");
        readings.push(Reading { read, ..again });
    }
    Draft {
        corners: (0..n).map(|k| name(k).as_str().into()).collect(),
        turns: room.out.iter().map(|&k| (name(k).as_str().into(), Turn::Out)).collect(),
        readings,
        ..Draft::default()
    }
}

fn any_room(lots: &mut Lots) -> (True, Draft) {
    let room = if lots.unit() < 0.5 { staircase(lots) } else { convex(lots) };
    let draft = read(&room, lots);
    (room, draft)
}

fn solve(draft: &Draft) -> Room {
    adjust(draft, &Tape::steel()).expect("no problems")
}

fn inch(v: f64) -> Length {
    Length::from_mm_f64(25.4 * v).expect("a length")
}

/// The room's readings without errors.
fn exact(room: &True, draft: &Draft) -> Draft {
    let at = |c: &drylay_geometry::CornerId| room.at[usize::from(c.as_str().as_bytes()[0] - b'A')];
    let mut out = draft.clone();
    for r in &mut out.readings {
        r.read = Length::from_mm_f64(span(at(&r.from), at(&r.to))).expect("a length");
    }
    out
}

/// Whether the w of a slip stands out from that of every other reading, errors or not.
fn stands_out(room: &True, draft: &Draft, k: usize, by: Length) -> bool {
    let mut slipped = exact(room, draft);
    slipped.readings[k].read += by;
    let w: Vec<f64> = solve(&slipped).readings.iter().map(|r| r.w.unwrap_or(0.0).abs()).collect();
    let behind = |v: f64| {
        let correlation = (v / w[k]).min(1.0);
        w[k] - v >= 3.0 * (2.0 * (1.0 - correlation)).sqrt() && correlation < 0.9999
    };
    w.iter().enumerate().all(|(other, &v)| other == k || behind(v))
}

fn is_named(room: &Room, k: usize) -> bool {
    let among = |a: &Advice| matches!(a, Advice::OneOfThese { readings, .. } if readings.contains(&k));
    room.suspects.contains(&k) || room.advice.iter().any(among)
}

#[derive(Debug, Default)]
struct Tally {
    rooms: usize,
    nothing_to_see: usize,
    named: usize,
    standing_out: usize,
    found: usize,
    clean: usize,
    false_alarms: usize,
}

#[test]
fn a_slip_of_an_inch_is_found_in_2000_random_rooms() {
    let mut lots = Lots(0x5EED_0001);
    let mut tally = Tally::default();
    while tally.standing_out < 2000 {
        let (truth, mut draft) = any_room(&mut lots);
        let before = solve(&draft);
        let seen = |r: &ReadingResult| r.least_detectable.is_some_and(|d| d < 0.7 * 25.4);
        let visible: Vec<usize> = (0..before.readings.len()).filter(|&k| seen(&before.readings[k])).collect();
        if before.redundancy < 2 || visible.is_empty() {
            tally.nothing_to_see += 1;
            continue;
        }
        let k = visible[lots.below(visible.len())];
        let by = if lots.unit() < 0.5 { inch(1.0) } else { inch(-1.0) };
        draft.readings[k].read += by;
        let room = solve(&draft);
        tally.rooms += 1;
        tally.named += usize::from(is_named(&room, k));
        tally.clean += room.readings.len() - 1;
        tally.false_alarms += room.suspects.iter().filter(|&&s| s != k).count();
        if stands_out(&truth, &draft, k, by) {
            tally.standing_out += 1;
            tally.found += usize::from(room.suspects.contains(&k));
        }
    }
    println!("{tally:?}");
    assert!(tally.found * 100 >= tally.standing_out * 95, "{tally:?}");
    assert!(tally.named * 100 >= tally.rooms * 95, "{tally:?}");
    assert!(tally.false_alarms * 100 <= tally.clean, "{tally:?}");
    assert!(tally.rooms < 4000 && tally.nothing_to_see < 100, "the sampling is a fair one: {tally:?}");
}

#[test]
fn clean_rooms_come_out_right_and_within_their_own_uncertainty() {
    let mut lots = Lots(0x5EED_0002);
    let (mut off, mut sums, mut freedom, mut calm) = (0.0f64, 0.0, 0.0, 0);
    for _ in 0..500 {
        let (truth, draft) = any_room(&mut lots);
        let room = solve(&draft);
        assert!(room.outline.is_some(), "{draft:?}");
        calm += usize::from(matches!(room.verdict, Verdict::Consistent | Verdict::Ambiguous));
        let test = room.global_test.expect("checked");
        (sums, freedom) = (sums + test.sum, freedom + test.freedom as f64);
        let n = truth.at.len();
        for (i, j) in (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j))) {
            let d = room.distance(i, j).expect("corners");
            off = off.max((d.value - span(truth.at[i], truth.at[j])).abs() / d.sd);
        }
    }
    // About 12 000 distances: the largest of so many normal deviates is under 5 with near certainty, and the mean
    // weighted square is 1 within 3 · √(2 / freedom).
    assert!(off < 5.5, "{off}");
    assert!((sums / freedom - 1.0).abs() < 3.0 * (2.0 / freedom).sqrt(), "{}", sums / freedom);
    assert!(calm > 460, "{calm}");
}

#[test]
fn it_does_not_matter_which_corner_is_first() {
    let mut lots = Lots(0x5EED_0003);
    for _ in 0..200 {
        let (_, mut draft) = any_room(&mut lots);
        if lots.unit() < 0.3 {
            let k = lots.below(draft.readings.len());
            draft.readings[k].read += inch(1.0);
        }
        let first = solve(&draft);
        let by = 1 + lots.below(draft.corners.len() - 1);
        let mut turned = draft.clone();
        turned.corners.rotate_left(by);
        let second = solve(&turned);
        assert_eq!((first.verdict, &first.suspects), (second.verdict, &second.suspects));
        for (a, b) in first.readings.iter().zip(&second.readings) {
            assert!((a.residual - b.residual).abs() < 1e-6, "{a:?} {b:?}");
            assert!((a.w.unwrap_or(0.0) - b.w.unwrap_or(0.0)).abs() < 1e-6);
        }
        let (a, b) = (first.area_m2.expect("solved"), second.area_m2.expect("solved"));
        assert!((a.value - b.value).abs() < 1e-9 && (a.sd - b.sd).abs() < 1e-9);
        let n = draft.corners.len();
        for i in 0..n {
            let j = (i + 2) % n;
            let there = |k: usize| (k + n - by) % n;
            let (a, b) = (first.distance(i, j).expect("a"), second.distance(there(i), there(j)).expect("b"));
            assert!((a.value - b.value).abs() < 1e-6 && (a.sd - b.sd).abs() < 1e-6, "{a:?} {b:?}");
        }
        let next = |r: &Room, f: &dyn Fn(usize) -> usize| -> Vec<(usize, usize)> {
            r.next.iter().map(|t| (f(t.from).min(f(t.to)), f(t.from).max(f(t.to)))).take(1).collect()
        };
        assert_eq!(next(&first, &|k| k), next(&second, &|k| (k + by) % n));
    }
}

/// Residuals of a least-squares fit are orthogonal to the design matrix, and redundancy numbers add up to the
/// redundancy: both hold for any adjustment (Ghilani, chapter 11; Baarda 1968). Derivatives by finite differences.
#[test]
fn residuals_are_orthogonal_to_every_motion_of_a_corner() {
    let mut lots = Lots(0x5EED_0004);
    for _ in 0..100 {
        let (_, draft) = any_room(&mut lots);
        let room = solve(&draft);
        if !room.suspects.is_empty() {
            continue;
        }
        let sum: f64 = room.readings.iter().map(|r| r.redundancy).sum();
        assert!((sum - room.redundancy as f64).abs() < 1e-6, "{sum}");
        for c in 0..room.corners.len() {
            for axis in 0..2 {
                let moved = |by: f64| -> f64 {
                    let mut at: Vec<(f64, f64)> = room.corners.iter().map(|c| c.at).collect();
                    if axis == 0 {
                        at[c].0 += by
                    } else {
                        at[c].1 += by
                    }
                    room.readings
                        .iter()
                        .map(|r| (span(at[r.from], at[r.to]) - r.read) / r.sd)
                        .map(|v| v * v)
                        .sum()
                };
                let slope = (moved(1e-3) - moved(-1e-3)) / 2e-3;
                assert!(slope.abs() < 1e-5, "{slope}");
            }
        }
    }
}
