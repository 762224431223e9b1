//! Turns an adjustment into what is said of the room.

use super::bowed::bowed;
use super::draft::{Draft, MeasuredTo};
use super::flips;
use super::instrument::Tape;
use super::model::{DEGREE, Model, folds, span};
use super::next;
use super::room::{
    Advice, Alternative, BowedWall, Estimate, GlobalTest, GoodFor, Lack, PlacedCorner, ReadingResult, Room,
    SquareResult, Verdict,
};
use super::slips::{self, Guess, Slip};
use super::snoop::{self, Snooped};
use super::solve::Fit;
use super::start;
use super::things;
use crate::network::{Observed, Solution};
use crate::stats::{DOUBTED, FOUND, GLOBAL_LEVEL, chi_square_beyond};
use crate::traverse;
use drylay_geometry::{Corner, Covariance, Length, Outline, Point};

/// A survey is good for setting out when twice the largest standard deviation stays within 1/8 in, the play that
/// a joint and the gap at the wall leave: common practice.
const SETTING_OUT_MM: f64 = 25.4 / 8.0;

pub(crate) fn unsolvable(draft: &Draft, model: &Model, missing: Vec<(usize, usize)>) -> Room {
    let mut advice = longer_ways(model);
    advice.extend(how_measured(draft));
    Room {
        verdict: Verdict::Unsolvable,
        good_for: GoodFor::Nothing,
        lacks: vec![Lack::Readings],
        corners: Vec::new(),
        covariance: Covariance::zero(0),
        outline: None,
        area_m2: None,
        perimeter_mm: None,
        redundancy: 0,
        variance_factor: None,
        global_test: None,
        readings: Vec::new(),
        squares: Vec::new(),
        suspects: Vec::new(),
        assumed_square: Vec::new(),
        largest_sd_mm: None,
        next: Vec::new(),
        missing,
        alternative: None,
        misclosure_mm: start::misclosure(model, None),
        things: Vec::new(),
        bowed: Vec::new(),
        advice,
    }
}

/// A room that does not settle: the readings that fit worst where it came to, and ties across that would hold it.
pub(crate) fn restless(draft: &Draft, model: &Model, at: &[(f64, f64)]) -> Room {
    /// So many readings are named at most.
    const NAMED: usize = 3;
    let off = |k: &usize| {
        let l = &model.lines[*k];
        ((span(at[l.from], at[l.to]) - l.value) / l.sd).abs()
    };
    let mut readings: Vec<usize> = (0..model.lines.len()).filter(|k| off(k) > DOUBTED).collect();
    readings.sort_by(|a, b| off(b).total_cmp(&off(a)).then(a.cmp(b)));
    readings.truncate(NAMED);
    let n = model.corners;
    let unread = |&(i, j): &(usize, usize)| {
        !model.is_wall(i, j) && !model.lines.iter().any(|l| (l.from.min(l.to), l.from.max(l.to)) == (i, j))
    };
    let across = [(0, n / 2), (n / 4, 3 * n / 4), (0, n / 3), (n / 3, 2 * n / 3), (0, 2 * n / 3)];
    let mut room = unsolvable(draft, model, across.into_iter().filter(unread).take(NAMED).collect());
    room.advice.insert(0, Advice::DoesNotSettle { readings });
    room
}

pub(crate) fn solved(draft: &Draft, model: &Model, fit: &Fit, snooped: &Snooped, tape: &Tape) -> Room {
    let known = &snooped.rest;
    let observed = model.lines.len() + model.squares.len();
    let redundancy = fit.own_redundancy(observed);
    let global_test = global_test(&snooped.all, redundancy);
    let readings = readings(draft, model, snooped);
    let unchecked: Vec<usize> =
        (0..readings.len()).filter(|&k| readings[k].w.is_none() || redundancy == 0).collect();
    let alternative = alternative(model, fit);
    let pairs = next::pairs(model, known);
    let bowed = bowed(draft, known, tape);
    let mut room = Room {
        verdict: Verdict::Consistent,
        good_for: GoodFor::Nothing,
        lacks: Vec::new(),
        corners: corners(draft, model, known),
        covariance: covariance(known),
        outline: outline(draft, known),
        area_m2: Some(area(model, known, &bowed)),
        perimeter_mm: Some(perimeter(model, known)),
        redundancy,
        variance_factor: (redundancy > 0).then(|| snooped.all.variance_factor()).flatten(),
        global_test,
        squares: squares(model, snooped),
        suspects: snooped.aside.iter().copied().filter(|&k| k < model.lines.len()).collect(),
        readings,
        assumed_square: fit.assumed.clone(),
        largest_sd_mm: Some(next::largest_sd(&pairs)),
        next: next::next(model, known, &pairs, &unchecked, tape),
        missing: Vec::new(),
        alternative,
        misclosure_mm: misclosure(model, fit, known),
        things: things::things(draft, known, tape),
        bowed,
        advice: Vec::new(),
    };
    room.verdict = verdict(&room, fit, snooped);
    room.lacks = lacks(&room, draft, &unchecked);
    room.good_for = good_for(&room);
    room.advice = advice(&room, draft, model, snooped, unchecked);
    room
}

fn misclosure(model: &Model, fit: &Fit, known: &Solution) -> Option<(f64, f64)> {
    // Angles that were assumed give way to the walls; the walk with right angles shows what does not close.
    let angles = fit.assumed.is_empty().then(|| model.angles(&known.at));
    start::misclosure(model, angles.as_deref())
}

fn verdict(room: &Room, fit: &Fit, snooped: &Snooped) -> Verdict {
    let doubted = !snooped.aside.is_empty() || !snooped.alike.is_empty();
    if doubted || fit.strained() || room.outline.is_none() {
        Verdict::Recheck
    } else if room.alternative.is_some() {
        Verdict::Ambiguous
    } else if room.redundancy == 0 || !room.assumed_square.is_empty() {
        Verdict::Loose
    } else {
        Verdict::Consistent
    }
}

fn lacks(room: &Room, draft: &Draft, unchecked: &[usize]) -> Vec<Lack> {
    let bare = draft.readings.iter().all(|r| r.measured_to == MeasuredTo::BareWall);
    let checked = room.verdict != Verdict::Loose && unchecked.is_empty();
    let blunt = room.largest_sd_mm.filter(|sd| 2.0 * sd > SETTING_OUT_MM);
    let verdict = match room.verdict {
        Verdict::Consistent | Verdict::Loose => None,
        Verdict::Recheck => Some(Lack::Agreement),
        Verdict::Ambiguous => Some(Lack::OneShape),
        Verdict::Unsolvable => Some(Lack::Readings),
    };
    let mut lacks: Vec<Lack> = verdict.into_iter().collect();
    lacks.extend((!checked).then_some(Lack::Checks));
    lacks.extend((!bare).then_some(Lack::BareWalls));
    lacks.extend(blunt.map(|sd| Lack::Sharpness { sd }));
    lacks
}

fn good_for(room: &Room) -> GoodFor {
    match room.verdict {
        Verdict::Consistent if room.lacks.is_empty() => GoodFor::SettingOut,
        Verdict::Consistent | Verdict::Loose => GoodFor::Quote,
        Verdict::Recheck | Verdict::Ambiguous | Verdict::Unsolvable => GoodFor::Nothing,
    }
}

fn corners(draft: &Draft, model: &Model, known: &Solution) -> Vec<PlacedCorner> {
    let one = |c: usize| {
        let (value, row) = model.angle(c).linear(&known.at);
        let sd = |k: usize| known.covariance(k, k).max(0.0).sqrt();
        PlacedCorner {
            id: draft.corners[c].clone(),
            at: known.at[c],
            sd: (sd(2 * c), sd(2 * c + 1)),
            angle: Estimate { value: value / DEGREE, sd: known.sd(&row) / DEGREE },
        }
    };
    (0..model.corners).map(one).collect()
}

fn covariance(known: &Solution) -> Covariance {
    let n = known.at.len();
    Covariance::from_rows(n, known.covariance_rows().to_vec()).unwrap_or_else(|| Covariance::zero(n))
}

fn outline(draft: &Draft, known: &Solution) -> Option<Outline> {
    let corner = |(id, p): (&drylay_geometry::CornerId, &(f64, f64))| {
        Point::from_mm_rounded(p.0, p.1).map(|at| Corner { id: id.clone(), at })
    };
    let corners: Option<Vec<Corner>> = draft.corners.iter().zip(&known.at).map(corner).collect();
    Outline::new(corners?).ok()?.with_covariance(covariance(known))
}

fn area(model: &Model, known: &Solution, bowed: &[BowedWall]) -> Estimate {
    let at = &known.at;
    let mut row: Vec<(usize, f64)> = Vec::with_capacity(2 * at.len());
    for c in 0..at.len() {
        let (a, b) = (at[model.before(c)], at[model.next(c)]);
        row.push((2 * c, (b.1 - a.1) / 2.0));
        row.push((2 * c + 1, (a.0 - b.0) / 2.0));
    }
    let more: f64 = bowed.iter().map(|b| b.area_mm2.value).sum();
    let variance: f64 = bowed.iter().map(|b| b.area_mm2.sd * b.area_mm2.sd).sum();
    let sd = (known.between(&row, &row).max(0.0) + variance).sqrt();
    Estimate { value: (traverse::area(at) + more) / 1e6, sd: sd / 1e6 }
}

fn perimeter(model: &Model, known: &Solution) -> Estimate {
    let mut row: Vec<(usize, f64)> = Vec::new();
    let mut value = 0.0;
    for c in 0..model.corners {
        let (length, wall) = Observed::Distance { from: c, to: model.next(c) }.linear(&known.at);
        value += length;
        row.extend_from_slice(&wall);
    }
    Estimate { value, sd: known.sd(&row) }
}

fn global_test(all: &Solution, own: usize) -> Option<GlobalTest> {
    let chance = chi_square_beyond(all.sum, all.redundancy);
    let test = GlobalTest { sum: all.sum, freedom: all.redundancy, chance, passed: chance >= GLOBAL_LEVEL };
    (own > 0 || all.redundancy > 0).then_some(test)
}

fn readings(draft: &Draft, model: &Model, snooped: &Snooped) -> Vec<ReadingResult> {
    let one = |k: usize| {
        let (line, adjusted) = (&model.lines[k], snooped.all.observations[k]);
        let suspect = snooped.aside.contains(&k);
        let others_say = others_say(model, snooped, k);
        let doubted = suspect || snooped.alike.contains(&k);
        let should = others_say.filter(|_| doubted).map(|e| (e.value - (line.value - line.read), e.sd));
        ReadingResult {
            from: line.from,
            to: line.to,
            read: line.read,
            corrected: line.value,
            sd: line.sd,
            adjusted: adjusted.value,
            residual: adjusted.residual,
            w: adjusted.w,
            redundancy: adjusted.redundancy,
            least_detectable: adjusted.w.map(|_| FOUND * line.sd / adjusted.redundancy.sqrt()),
            suspect,
            others_say,
            guesses: should.map_or_else(Vec::new, |(mm, sd)| slips::guesses(draft.readings[k].read, mm, sd)),
        }
    };
    (0..model.lines.len()).map(one).collect()
}

/// What the rest say: for a suspect the distance in the room adjusted without it.
fn others_say(model: &Model, snooped: &Snooped, k: usize) -> Option<Estimate> {
    let line = &model.lines[k];
    if snooped.aside.contains(&k) {
        let (value, row) = Model::line_observation(line).what.linear(&snooped.rest.at);
        return Some(Estimate { value, sd: snooped.rest.sd(&row) });
    }
    let place = k - snooped.aside.iter().filter(|&&a| a < k).count();
    snoop::others_say(line, &snooped.rest.observations[place]).map(|(value, sd)| Estimate { value, sd })
}

fn squares(model: &Model, snooped: &Snooped) -> Vec<SquareResult> {
    let one = |(s, check): (usize, &super::model::Check)| {
        let k = model.lines.len() + s;
        let adjusted = snooped.all.observations[k];
        SquareResult {
            corner: check.corner,
            residual: adjusted.residual / DEGREE,
            w: adjusted.w,
            redundancy: adjusted.redundancy,
            suspect: snooped.aside.contains(&k),
        }
    };
    model.squares.iter().enumerate().map(one).collect()
}

fn alternative(model: &Model, fit: &Fit) -> Option<Alternative> {
    let corners = flips::other(model, fit)?;
    let decided_by = flips::decider(model, &fit.at, &corners)
        .map(|(i, j)| (i, j, span(fit.at[i], fit.at[j]), span(corners[i], corners[j])));
    Some(Alternative { corners, decided_by })
}

fn advice(
    room: &Room,
    draft: &Draft,
    model: &Model,
    snooped: &Snooped,
    unchecked: Vec<usize>,
) -> Vec<Advice> {
    let lines = model.lines.len();
    let mut out: Vec<Advice> = Vec::new();
    for &k in &snooped.aside {
        out.push(if k < lines {
            Advice::Suspect { reading: k }
        } else {
            Advice::SuspectSquare { square: k - lines }
        });
    }
    if !snooped.alike.is_empty() {
        let (mut readings, squares): (Vec<usize>, Vec<usize>) =
            snooped.alike.iter().partition(|&&k| k < lines);
        readings.sort_by_key(|&k| (likelihood(&room.readings[k].guesses), k));
        out.push(Advice::OneOfThese { readings, squares: squares.into_iter().map(|k| k - lines).collect() });
    }
    out.extend(longer_ways(model));
    let at = &snooped.rest.at;
    let problems = folds(at);
    if !problems.is_empty() {
        out.push(Advice::Folds { problems });
    }
    out.extend(
        flips::turned_otherwise(model, at)
            .into_iter()
            .map(|(corner, turns)| Advice::TurnsOtherwise { corner, turns }),
    );
    if !room.assumed_square.is_empty() {
        out.push(Advice::SquareAssumed { corners: room.assumed_square.clone() });
    }
    if !unchecked.is_empty() {
        out.push(Advice::Unchecked { readings: unchecked });
    }
    out.extend(how_measured(draft));
    out.extend(odd_places(room));
    if room.next.is_empty() {
        out.push(Advice::EnoughMeasured);
    }
    out
}

/// Sorts candidates: whole inches and feet slip most (common practice), then other slips, each nearest first; then
/// readings without a guess.
fn likelihood(guesses: &[Guess]) -> (u8, Length) {
    let Some(first) = guesses.first() else { return (2, Length::ZERO) };
    (u8::from(first.slip > Slip::WholeFoot), first.off)
}

fn how_measured(draft: &Draft) -> Vec<Advice> {
    let held = |is: fn(&MeasuredTo) -> bool| -> Vec<usize> {
        (0..draft.readings.len()).filter(|k| is(&draft.readings[*k].measured_to)).collect()
    };
    let trim = held(|to| matches!(to, MeasuredTo::Trim(_)));
    let plate = held(|to| matches!(to, MeasuredTo::Plate(_)));
    let mut heights: Vec<Length> = draft.readings.iter().filter_map(|r| r.height).collect();
    heights.sort();
    heights.dedup();
    let mut out = Vec::new();
    out.extend((!trim.is_empty()).then_some(Advice::TrimOn { readings: trim }));
    out.extend((!plate.is_empty()).then_some(Advice::PlateRead { readings: plate }));
    out.extend((heights.len() > 1).then_some(Advice::HeightsDiffer));
    out
}

/// Things whose distances do not meet, and offsets beyond their walls.
fn odd_places(room: &Room) -> Vec<Advice> {
    let apart = (0..room.things.len()).filter(|&t| !room.things[t].meets);
    let beyond =
        room.bowed.iter().enumerate().flat_map(|(bowed, wall)| {
            wall.beyond.iter().map(move |&along| Advice::BeyondWall { bowed, along })
        });
    apart.map(|thing| Advice::DoesNotMeet { thing }).chain(beyond).collect()
}

/// Readings longer than some way round over one other corner, by more than the three readings' errors explain
/// (5 standard deviations): whatever the shape, these cannot all be right.
fn longer_ways(model: &Model) -> Vec<Advice> {
    let n = model.corners;
    if n > 100 {
        return Vec::new(); // found by the global test all the same; this only says it more plainly
    }
    let mut shortest: Vec<Option<(f64, f64)>> = vec![None; n * n];
    for l in &model.lines {
        for k in [l.from * n + l.to, l.to * n + l.from] {
            if shortest[k].is_none_or(|(v, _)| l.value < v) {
                shortest[k] = Some((l.value, l.sd * l.sd));
            }
        }
    }
    let mut out = Vec::new();
    for (reading, l) in model.lines.iter().enumerate() {
        let round = |c: usize| {
            let (a, b) = (shortest[l.from * n + c]?, shortest[c * n + l.to]?);
            let by = l.value - a.0 - b.0;
            (by > 5.0 * (a.1 + b.1 + l.sd * l.sd).sqrt()).then_some(by)
        };
        let worst = (0..n).filter(|&c| c != l.from && c != l.to).filter_map(round).fold(0.0, f64::max);
        if worst > 0.0 {
            out.push(Advice::LongerThanWayRound { reading, by: worst });
        }
    }
    out
}
