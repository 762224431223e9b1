//! Grouting for the screens: sections in their order, how far each is, and who may walk where, when.

use crate::Problem;
use crate::commands::grout::PRODUCT;
use crate::desk::SeenJob;
use crate::laying::Laying;
use crate::refusal::unknown;
use crate::show::stamp;
use crate::views::plan::rings;
use crate::waits::{COLDEST, Figures, Hours, Moments, Now, Phase};
use crate::wire::{GroutView, SectionView, Units, WaitView, WayOutView};
use crate::words::say;
use drylay_document::marks::Done;
use drylay_document::{Decimal, DeviceId, Held, Product, Section, Timestamp, TypedLength, WaitKind};
use drylay_geometry::{Direction, ItemId, Point, Region, Ring, Shape};
use drylay_plan::FrameField;
use drylay_plan::work::sections::{Reach, sections};
use std::collections::{BTreeMap, BTreeSet};

/// The share of a section that must be done for it to count as done: outlines that were drawn by another way out or
/// size differ a little.
const DONE_SHARE: f64 = 0.9;

/// A floor in sections.
#[derive(Debug)]
pub(crate) struct Divided {
    /// The sections in their order.
    pub(crate) list: Vec<One>,
    /// The way out that the order ends at; empty where none is known.
    way_out: String,
}

/// A section in plan coordinates.
#[derive(Debug)]
pub(crate) struct One {
    /// Its name: where its middle is, in mm.
    pub(crate) id: String,
    /// Its outline.
    pub(crate) shape: Shape,
    size: (f64, f64),
    leaves_by: Option<usize>,
    narrow: bool,
    apart: bool,
    beside: Vec<usize>,
}

/// Divides the floor of a plan; `asked` is the opening by which one leaves.
pub(crate) fn divided(laying: &Laying, asked: Option<&str>) -> Result<Divided, Problem> {
    let plan = &laying.plan;
    let direction = plan.direction().ok_or_else(|| Problem::internal("grout"))?;
    let field = FrameField::new(&plan.field(), direction);
    let ways = plan.ways_out();
    let way = match asked {
        None => ways.first(),
        Some(id) => Some(
            ways.iter()
                .find(|way| way.id == id)
                .ok_or_else(|| unknown("grout.unknown_way", "way_out", id))?,
        ),
    };
    let corner = field.region.bounds().map_or(Point { x: 0, y: 0 }, |(least, _)| least);
    let ends =
        way.map_or((corner, corner), |way| (direction.to_frame(way.left), direction.to_frame(way.right)));
    let found = sections(&field, &joints(laying, direction), Reach::COMMON, ends);
    let one = |section: drylay_plan::work::sections::Section| {
        let (least, most) = section.shape.outer.bounds().unwrap_or_default();
        let middle = direction
            .from_frame(Point { x: i64::midpoint(least.x, most.x), y: i64::midpoint(least.y, most.y) });
        let (x, y) = middle.mm();
        One {
            id: format!("{x:.0}_{y:.0}"),
            size: ((most.x - least.x) as f64 / 1e6, (most.y - least.y) as f64 / 1e6),
            shape: section.shape.map(|q| direction.from_frame(q)),
            leaves_by: section.leaves_by,
            narrow: section.narrow,
            apart: section.apart,
            beside: section.beside,
        }
    };
    let way_out = way.map(|way| way.id.clone()).unwrap_or_default();
    Ok(Divided { list: found.into_iter().map(one).collect(), way_out })
}

/// Lines across the rows in the middle of the joints between them.
fn joints(laying: &Laying, direction: Direction) -> Vec<i64> {
    let mut rows: BTreeMap<usize, (i64, i64)> = BTreeMap::new();
    for piece in &laying.plan.plan.pieces {
        for at in &piece.outline {
            let Some(point) = Point::from_mm_rounded(at[0], at[1]) else { continue };
            let v = direction.to_frame(point).y;
            let row = rows.entry(piece.row).or_insert((v, v));
            *row = (row.0.min(v), row.1.max(v));
        }
    }
    let rows: Vec<(i64, i64)> = rows.into_values().collect();
    rows.windows(2).map(|two| i64::midpoint(two[0].1, two[1].0)).collect()
}

/// Sections that were marked as grouted.
struct Marked<'j> {
    held: &'j Held<Section>,
    region: Region,
    done: i64,
    hours: Option<Hours>,
}

fn marked<'j>(job: &'j SeenJob, laying: &Laying) -> Vec<Marked<'j>> {
    let of = |held: &&Held<Section>| {
        held.value.what == WaitKind::Grout && held.value.area.as_ref() == Some(&laying.area)
    };
    let length = |typed: &TypedLength| typed.length();
    let marked = |held: &'j Held<Section>| {
        let points = held.value.outline.iter().map(|at| Point::new(length(&at.x), length(&at.y)));
        let product = held.value.product.as_ref().and_then(|id| job.view.products.get(id));
        let celsius = held.value.celsius.as_ref().map(Decimal::to_f64);
        Marked {
            held,
            region: Region::from_rings(&[Ring::new(points.collect())]),
            done: held.value.done_ms.unwrap_or(held.added.at.utc_ms),
            hours: Hours::new(figures(product.map(|held| &held.value)), celsius),
        }
    };
    job.view.sections.live.iter().filter(of).map(marked).collect()
}

fn figures(product: Option<&Product>) -> Figures {
    let hours = |said: Option<&Decimal>| said.map(Decimal::to_f64);
    let (walk, cure) = product.map_or((None, None), |p| (p.hours_to_walk.as_ref(), p.hours_to_cure.as_ref()));
    Figures { walk: hours(walk), cure: hours(cure) }
}

/// What marks cover a section, the ones that were done last first; none where it is still to be done.
fn covering(one: &One, marked: &[Marked<'_>]) -> Vec<usize> {
    let section = Region { shapes: vec![one.shape.clone()] };
    let area = section.area_mm2();
    let share = |k: &usize| section.common(&marked[*k].region).area_mm2();
    let by: Vec<usize> = (0..marked.len()).filter(|k| share(k) > area * (1.0 - DONE_SHARE)).collect();
    let rings: Vec<Ring> = by.iter().flat_map(|k| marked[*k].region.rings().cloned()).collect();
    let covered = section.common(&Region::from_rings(&rings)).area_mm2();
    let mut by = if covered >= area * DONE_SHARE { by } else { Vec::new() };
    by.sort_by_key(|k| (std::cmp::Reverse(marked[*k].done), marked[*k].held.id.clone()));
    by
}

/// A phase that nobody is let on by: of several marks the one that asks for the longest wait.
fn phase_of(by: &[usize], marked: &[Marked<'_>], now: i64) -> Option<Phase> {
    let phase = |k: &usize| {
        let Some(hours) = marked[*k].hours else { return Phase::Wet };
        match Moments::new(marked[*k].done, hours).at(now) {
            Now::In(phase, _) => phase,
            Now::Backwards(_) => Phase::Wet,
        }
    };
    by.iter().map(phase).min()
}

fn phase_word(phase: Option<Phase>) -> &'static str {
    match phase {
        None => "open",
        Some(Phase::Wet) => "wet",
        Some(Phase::Haze) => "haze",
        Some(Phase::Walk) => "walk",
        Some(Phase::Cured) => "cured",
    }
}

/// The grouting of an area, by the clock of this device.
pub(crate) fn view(
    job: &SeenJob,
    laying: &Laying,
    asked: Option<&str>,
    (now, me): (Timestamp, DeviceId),
) -> Result<GroutView, Problem> {
    let divided = divided(laying, asked)?;
    let marked = marked(job, laying);
    let by: Vec<Vec<usize>> = divided.list.iter().map(|one| covering(one, &marked)).collect();
    let phases: Vec<Option<Phase>> = by.iter().map(|by| phase_of(by, &marked, now.utc_ms)).collect();
    let waits = waits(job, (&divided, &by), &marked, now);
    let next = phases.iter().position(Option::is_none);
    let product = job.view.products.get(&ItemId::new(PRODUCT)).map(|held| &held.value);
    let due = next_due(&marked, now);
    let text = |said: Option<&Decimal>| said.map(|n| n.as_str().to_owned()).unwrap_or_default();
    Ok(GroutView {
        area: laying.area.to_string(),
        plan: laying.hash().to_string(),
        reach_words: say("grout.reach", &[]),
        ways_out: laying
            .plan
            .ways_out()
            .iter()
            .map(|way| WayOutView { id: way.id.clone(), name: way.name.clone() })
            .collect(),
        way_out: divided.way_out.clone(),
        sections: (0..divided.list.len()).map(|k| section(&divided, k, phases[k], job.units)).collect(),
        next: next.map(|k| count(k + 1)),
        notices: notices(laying, &divided, &phases, (&marked, now, me)),
        waits,
        times_words: times_words(product),
        product: product.map(|product| product.name.clone()).unwrap_or_default(),
        walk_hours: text(product.and_then(|product| product.hours_to_walk.as_ref())),
        cure_hours: text(product.and_then(|product| product.hours_to_cure.as_ref())),
        degrees: if job.units == Units::Metric { "C" } else { "F" }.to_owned(),
        next_in_ms: due.map(|(at, _)| (at - now.utc_ms) as f64),
        next_words: due
            .map(|(_, phase)| say(&format!("grout.due_{}", phase_word(Some(phase))), &[]))
            .unwrap_or_default(),
    })
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn section(divided: &Divided, k: usize, phase: Option<Phase>, units: Units) -> SectionView {
    let one = &divided.list[k];
    let leave = one.leaves_by.map(|by| (by + 1).to_string()).unwrap_or_default();
    let leave_code = match (one.leaves_by, one.narrow, one.apart) {
        (Some(_), false, _) => "grout.leave_by",
        (Some(_), true, _) => "grout.leave_narrow",
        (None, _, false) => "grout.leave_out",
        (None, _, true) => "grout.leave_apart",
    };
    let shown = |mm: f64| {
        drylay_geometry::Length::from_mm_f64(mm).map_or_else(String::new, |length| units.planned(length).text)
    };
    SectionView {
        id: one.id.clone(),
        n: count(k + 1),
        rings: rings(&one.shape),
        phase: phase_word(phase).to_owned(),
        words: say(&format!("grout.{}", phase_word(phase)), &[]),
        size: format!("{} × {}", shown(one.size.0), shown(one.size.1)),
        leave_words: say(leave_code, &[("section", &leave)]),
    }
}

/// The share of an area's floor that is grouted, and the share that may be walked on.
pub(crate) fn shares(job: &SeenJob, laying: &Laying, now: Timestamp) -> (f64, f64) {
    let field = laying.plan.field();
    let marked = marked(job, laying);
    let share = |of: &dyn Fn(&Marked<'_>) -> bool| {
        let rings: Vec<Ring> =
            marked.iter().filter(|one| of(one)).flat_map(|one| one.region.rings().cloned()).collect();
        field.common(&Region::from_rings(&rings)).area_mm2() / field.area_mm2().max(1.0)
    };
    let walked = |one: &Marked<'_>| {
        let at = one.hours.map(|hours| Moments::new(one.done, hours).at(now.utc_ms));
        matches!(at, Some(Now::In(phase, _)) if phase >= Phase::Walk)
    };
    (share(&|_| true), share(&walked))
}

/// When the last of what was grouted may be walked on, and when it has cured, in ms since 1970. The outer nothing: nothing
/// was grouted. The inner nothing: it was grouted at frost, and nobody can say.
pub(crate) fn until(job: &SeenJob, laying: &Laying) -> Option<Option<(i64, i64)>> {
    let marked = marked(job, laying);
    let moments = marked.iter().map(|one| Some(Moments::new(one.done, one.hours?)));
    let all: Option<Vec<Moments>> = moments.collect();
    let last =
        |all: Vec<Moments>| Some((all.iter().map(|m| m.walk).max()?, all.iter().map(|m| m.cure).max()?));
    (!marked.is_empty()).then(|| all.and_then(last))
}

/// What is due next of all that waits, and the phase that begins then.
fn next_due(marked: &[Marked<'_>], now: Timestamp) -> Option<(i64, Phase)> {
    let due = marked.iter().filter_map(|one| {
        let moments = Moments::new(one.done, one.hours?);
        let Now::In(_, Some(at)) = moments.at(now.utc_ms) else { return None };
        let phase = if at == moments.haze && at < moments.walk {
            Phase::Haze
        } else if at == moments.walk {
            Phase::Walk
        } else {
            Phase::Cured
        };
        Some((at, phase))
    });
    due.min()
}

fn times_words(product: Option<&Product>) -> String {
    match product {
        Some(product) if product.hours_to_walk.is_some() || product.hours_to_cure.is_some() => {
            say("grout.times_product", &[("name", &product.name)])
        }
        _ => say("grout.times_trade", &[]),
    }
}

/// Sections that are open and not joined to the way out over floor that may be walked on.
fn cut_off(divided: &Divided, phases: &[Option<Phase>]) -> Vec<usize> {
    let passable = |k: usize| phases[k].is_none_or(|phase| phase >= Phase::Walk);
    let roots = (0..divided.list.len()).filter(|k| divided.list[*k].leaves_by.is_none() && passable(*k));
    let mut open: Vec<usize> = roots.collect();
    let mut seen: BTreeSet<usize> = open.iter().copied().collect();
    while let Some(k) = open.pop() {
        for &other in &divided.list[k].beside {
            if passable(other) && seen.insert(other) {
                open.push(other);
            }
        }
    }
    (0..divided.list.len()).filter(|k| phases[*k].is_none() && !seen.contains(k)).collect()
}

fn names(of: &[usize]) -> String {
    of.iter().map(|k| (k + 1).to_string()).collect::<Vec<_>>().join(", ")
}

fn notices(
    laying: &Laying,
    divided: &Divided,
    phases: &[Option<Phase>],
    (marked, now, me): (&[Marked<'_>], Timestamp, DeviceId),
) -> Vec<String> {
    let mut said = Vec::new();
    let open = laying.plan.plan.pieces.iter().filter(|piece| laying.done(&piece.id) != Done::Laid).count();
    if open > 0 {
        said.push(say("grout.not_laid", &[("count", &open.to_string())]));
    }
    if divided.way_out.is_empty() {
        said.push(say("grout.no_way_out", &[]));
    }
    let off = cut_off(divided, phases);
    if !off.is_empty() {
        said.push(say("grout.cut_off", &[("sections", &names(&off))]));
    }
    let cold = |one: &&Marked<'_>| one.held.value.celsius.as_ref().is_some_and(|c| c.to_f64() < COLDEST);
    if marked.iter().any(|one| cold(&one)) {
        said.push(say("grout.cold", &[]));
    }
    // What this device wrote itself cannot lie before it by a clock that only goes forward.
    if marked.iter().any(|one| one.held.added.by.device == me && one.held.added.at.utc_ms > now.utc_ms) {
        said.push(say("grout.clock_set_back", &[]));
    }
    said
}

/// What waits, the latest first: what was done in one tap is told as one.
fn waits(
    job: &SeenJob,
    (divided, by): (&Divided, &[Vec<usize>]),
    marked: &[Marked<'_>],
    now: Timestamp,
) -> Vec<WaitView> {
    debug_assert_eq!(divided.list.len(), by.len());
    let mut groups: BTreeMap<(i64, String, String), Vec<usize>> = BTreeMap::new();
    for (k, one) in marked.iter().enumerate() {
        let warmth = one.held.value.celsius.as_ref().map(|c| c.as_str().to_owned()).unwrap_or_default();
        let key =
            (-one.done, one.held.added.by.name.clone(), format!("{warmth}/{:?}", one.held.value.product));
        groups.entry(key).or_default().push(k);
    }
    let group = |of: Vec<usize>| {
        let sections: Vec<usize> =
            (0..by.len()).filter(|k| by[*k].iter().any(|mark| of.contains(mark))).collect();
        let first = &marked[of[0]];
        let name = match sections.len() {
            0 => say("grout.wait_elsewhere", &[]),
            1 => say("grout.wait_one", &[("section", &names(&sections))]),
            _ => say("grout.wait_many", &[("sections", &names(&sections))]),
        };
        let (phase, words, later) = told(first, now, job.units);
        WaitView {
            entries: of.iter().map(|k| marked[*k].held.id.to_string()).collect(),
            name,
            phase: phase.to_owned(),
            now: words,
            later,
            stamp: stamp(&first.held.added),
        }
    };
    groups.into_values().map(group).collect()
}

/// What is allowed now, and what from when.
fn told(one: &Marked<'_>, now: Timestamp, units: Units) -> (&'static str, String, Vec<String>) {
    let zone = one.held.added.at.zone_minutes;
    let at = |ms: i64| clock_words(ms, zone, now.zone_minutes);
    let Some(hours) = one.hours else {
        return ("wet", say("grout.frost", &[]), Vec::new());
    };
    let moments = Moments::new(one.done, hours);
    let (phase, words) = match moments.at(now.utc_ms) {
        Now::Backwards(by) => {
            let by = duration_words(by);
            let walk = format!("{:.0}", hours.walk.ceil());
            let figures = [("done", at(one.done)), ("by", by), ("hours", walk)];
            let figures: Vec<(&str, &str)> =
                figures.iter().map(|(name, text)| (*name, text.as_str())).collect();
            return ("backwards", say("grout.backwards", &figures), Vec::new());
        }
        Now::In(phase, until) => {
            let left = until.map(|until| duration_words(until - now.utc_ms)).unwrap_or_default();
            let code = format!("grout.now_{}", phase_word(Some(phase)));
            (phase, say(&code, &[("left", &left)]))
        }
    };
    let mut later = vec![say("grout.done_at", &[("at", &at(moments.done))])];
    if hours.longer > 1.0 {
        let warmth = one.held.value.celsius.as_ref().map_or(0.0, Decimal::to_f64);
        let warmth = warmth_words(warmth, units);
        let longer = format!("{:.1}", hours.longer);
        later.push(say("grout.longer", &[("warmth", &warmth), ("longer", &longer)]));
    }
    if phase < Phase::Haze && moments.haze < moments.walk {
        later.push(say("grout.from_haze", &[("at", &at(moments.haze))]));
    }
    if phase < Phase::Walk {
        later.push(say("grout.from_walk", &[("at", &at(moments.walk))]));
    }
    if phase < Phase::Cured {
        later.push(say("grout.from_cure", &[("at", &at(moments.cure))]));
    }
    (phase_word(Some(phase)), words, later)
}

/// A warmth in the degrees of the job's units, from °C.
pub(crate) fn warmth_words(celsius: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{celsius:.0} °C"),
        Units::Imperial | Units::Inches => format!("{:.0} °F", celsius * 1.8 + 32.0),
    }
}

/// A moment as a clock on the wall shows it where it was marked; with its zone where this device is in another one.
fn clock_words(ms: i64, zone: i16, here: i16) -> String {
    let wall = |zone: i16| {
        let time = chrono::DateTime::from_timestamp_millis(ms.saturating_add(i64::from(zone) * 60_000));
        time.map(|time| time.format("%a %-d %b, %H:%M").to_string()).unwrap_or_default()
    };
    if zone == here {
        return wall(zone);
    }
    let (there, name, here) = (wall(zone), zone_words(zone), wall(here));
    say("grout.two_zones", &[("there", &there), ("zone", &name), ("here", &here)])
}

/// A zone as its distance from Greenwich.
fn zone_words(zone: i16) -> String {
    let (sign, minutes) = (if zone < 0 { '−' } else { '+' }, zone.unsigned_abs());
    format!("UTC{sign}{}:{:02}", minutes / 60, minutes % 60)
}

/// So long, rounded up to a minute.
fn duration_words(ms: i64) -> String {
    let minutes = (ms.max(0) + 59_999) / 60_000;
    let (days, hours, minutes) = (minutes / 1440, minutes / 60 % 24, minutes % 60);
    match (days, hours) {
        (0, 0) => format!("{minutes} min"),
        (0, _) => format!("{hours} h {minutes:02} min"),
        _ => format!("{days} d {hours} h"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_time_is_told_as_the_clock_showed_it_where_it_was_marked() {
        // 2026-09-24T23:30Z.
        let done = 1_790_292_600_000;
        assert_eq!(clock_words(done, -300, -300), "Thu 24 Sep, 18:30");
        assert_eq!(clock_words(done, 120, 120), "Fri 25 Sep, 01:30", "past midnight there");
        let two = clock_words(done, -300, 60);
        assert!(
            two.contains("Thu 24 Sep, 18:30")
                && two.contains("UTC−5:00")
                && two.contains("Fri 25 Sep, 00:30"),
            "{two}"
        );
        assert_eq!(zone_words(345), "UTC+5:45");
    }

    #[test]
    fn a_wait_is_told_in_hours_and_minutes_and_never_too_short() {
        assert_eq!(duration_words(1), "1 min");
        assert_eq!(duration_words(60_001), "2 min");
        assert_eq!(duration_words(3 * 3_600_000), "3 h 00 min");
        assert_eq!(duration_words(26 * 3_600_000), "1 d 2 h");
    }
}
