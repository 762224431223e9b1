//! The crew's own rates from finished jobs: looked at on request, taken over by a tap and never by themselves.

use super::shop::{change, edit};
use crate::Problem;
use crate::books::{Books, RateRow};
use crate::desk::SeenJob;
use crate::laying::Laying;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::grout;
use crate::views::time::{counted_as, task_name, tiles, unit_words};
use crate::wire::{LearnedRate, LearnedTake, LearnedView, Nothing, ShopEdit};
use crate::words::{percent, say};
use drylay_document::marks::Done;
use drylay_document::time::{Spent, spent};
use drylay_document::{self as document, Decimal, DocumentId, Edit, ShopEntry, StageKind};
use drylay_geometry::{ItemId, Region, Ring};
use drylay_plan::work::learned::{Learned, Sample, learned};
use std::collections::BTreeSet;

/// The name of the share of tiles that break, beside the tasks.
const BREAKAGE: &str = "breakage";
/// A square foot in m², by definition.
const SQUARE_FOOT: f64 = 0.3048 * 0.3048;

/// A job and what it says of one rate.
struct Said {
    name: String,
    sample: Sample,
}

/// A job that may be learned from.
struct Finished {
    job: SeenJob,
    name: String,
    time: Vec<Spent>,
    layings: Option<Vec<Laying>>,
}

/// The stage that must be over before a task's time is whole.
fn stage_of(task: &str) -> StageKind {
    match task {
        "demolish" => StageKind::Demolition,
        "grind" | "prime" | "fill" => StageKind::Prep,
        "underlay" => StageKind::Underlay,
        "lay" | "cut" | BREAKAGE => StageKind::Lay,
        "grout" => StageKind::Grout,
        "seal" | "transition" | "trim" => StageKind::Trim,
        _ => StageKind::Handover,
    }
}

impl Finished {
    fn is_over(&self, task: &str) -> bool {
        let over = |kind: StageKind| {
            let stages = self.job.view.stages.live.iter();
            stages.filter(|held| held.value.stage == kind).any(|held| held.value.finished_ms.is_some())
        };
        over(stage_of(task)) || over(StageKind::Handover)
    }
}

/// Every job on this device, with its time and its plans.
fn jobs(session: &Session) -> Result<Vec<Finished>, Problem> {
    let mut desk = session.desk();
    desk.catch_up()?;
    let lines = desk.store.jobs()?;
    drop(desk);
    let mut found = Vec::new();
    for line in lines {
        let Some(job) = session.desk().seen_job(DocumentId(line.job.0))? else { continue };
        let areas = job.view.areas.live.iter();
        let layings: Option<Vec<Laying>> = areas.map(|area| session.laying(&job, &area.id).ok()).collect();
        found.push(Finished { name: line.name, time: spent(&job.view.time), layings, job });
    }
    Ok(found)
}

pub(crate) fn view(session: &Session, _ask: Nothing) -> Result<LearnedView, Problem> {
    let books = session.desk().books()?;
    let breakage = session.desk().shop_rates()?.0;
    let all = jobs(session)?;
    let now = session.desk().world.now();
    let mut rates = Vec::new();
    let mut unsure = BTreeSet::new();
    for rate in &books.rates {
        let mut said = Vec::new();
        for one in all.iter().filter(|one| one.is_over(&rate.task)) {
            match of_task(one, rate, &books, now) {
                Ok(sample) => said.extend(sample.map(|sample| Said { name: one.name.clone(), sample })),
                Err(Unsure) => {
                    unsure.insert(one.job.id);
                }
            }
        }
        rates.extend(of_rate(rate, all.first(), &said));
    }
    let mut said = Vec::new();
    let mut silent = 0;
    for one in all.iter().filter(|one| one.is_over(BREAKAGE)) {
        if let Some(sample) = broken(session, one) {
            silent += usize::from(sample.of == 0.0);
            said.push(Said { name: one.name.clone(), sample });
        }
    }
    rates.extend(of_breakage(breakage.as_ref(), &said, silent));
    let mut words = Vec::new();
    if books.rates.is_empty() {
        words.push(say("learned.no_rates", &[]));
    } else if rates.is_empty() {
        words.push(say("learned.nothing", &[]));
    }
    if !unsure.is_empty() {
        words.push(say("learned.unsure", &[("count", &unsure.len().to_string())]));
    }
    Ok(LearnedView { rates, words: words.join(" ") })
}

/// A job whose time at a task is not sure: a clock runs, or people say different things.
struct Unsure;

/// What a job says of a task's rate; nothing where it says nothing.
fn of_task(
    one: &Finished,
    rate: &RateRow,
    books: &Books,
    now: document::Timestamp,
) -> Result<Option<Sample>, Unsure> {
    let task = rate.task.as_str();
    let of_it = |spent: &&Spent| counted_as(&spent.held.value.task, books, |_| false) == task;
    let time: Vec<&Spent> = one.time.iter().filter(of_it).collect();
    if time.iter().any(|spent| spent.runs() || !spent.differ.is_empty()) {
        return Err(Unsure);
    }
    let hours = |of: &[&Spent]| of.iter().map(|spent| spent.minutes() as f64).sum::<f64>() / 60.0;
    let Some(marked) = by_marks(one, task, now) else {
        // How much was done stands beside the hours; hours without it say nothing of a pace.
        let told: Vec<&Spent> = time.into_iter().filter(|spent| spent.held.value.done.is_some()).collect();
        let done = told.iter().filter_map(|spent| spent.held.value.done.as_ref()).map(Decimal::to_f64);
        let sample = Sample { of: done.sum(), over: hours(&told) };
        return Ok((sample.over > 0.0).then_some(sample));
    };
    let Some(done) = marked.and_then(|(done, unit)| in_unit(done, unit, &rate.unit)) else {
        return Ok(None);
    };
    let sample = Sample { of: done, over: hours(&time) };
    Ok((sample.over > 0.0 && sample.of > 0.0).then_some(sample))
}

fn in_unit(done: f64, unit: &str, wanted: &str) -> Option<f64> {
    match (unit, wanted) {
        _ if unit == wanted => Some(done),
        ("m2", "ft2") => Some(done / SQUARE_FOOT),
        _ => None,
    }
}

/// How much of a task was done by the marks: floor in m², or cut pieces. The outer nothing: no mark says so. The inner
/// nothing: a plan of the job is not here, so that its marks do not tell all.
fn by_marks(one: &Finished, task: &str, now: document::Timestamp) -> Option<Option<(f64, &'static str)>> {
    let layings = || one.layings.as_ref().filter(|all| !all.is_empty());
    let sum = |of: &dyn Fn(&Laying) -> f64| layings().map(|all| all.iter().map(of).sum::<f64>());
    match task {
        "lay" => Some(sum(&laid_m2).map(|m2| (m2, "m2"))),
        "cut" => Some(sum(&laid_cuts).map(|n| (n, "piece"))),
        "grout" => {
            let grouted =
                |laying: &Laying| field_m2(laying) * grout::shares(&one.job, laying, now).0.min(1.0);
            Some(sum(&grouted).map(|m2| (m2, "m2")))
        }
        _ => None,
    }
}

fn field_m2(laying: &Laying) -> f64 {
    laying.plan.field().area_mm2() / 1e6
}

/// The floor under what lies: the field by the share of its faces that are laid.
fn laid_m2(laying: &Laying) -> f64 {
    let ring = |points: &Vec<[f64; 2]>| {
        let points = points.iter().filter_map(|at| drylay_geometry::Point::from_mm_rounded(at[0], at[1]));
        Region::from_rings(&[Ring::new(points.collect())]).area_mm2()
    };
    let (mut laid, mut all) = (0.0, 0.0);
    for piece in &laying.plan.plan.pieces {
        let face = ring(&piece.outline) - piece.holes.iter().map(ring).sum::<f64>();
        all += face;
        if laying.done(&piece.id) == Done::Laid {
            laid += face;
        }
    }
    if all > 0.0 { field_m2(laying) * laid / all } else { 0.0 }
}

fn laid_cuts(laying: &Laying) -> f64 {
    let pieces = laying.plan.plan.pieces.iter();
    pieces.filter(|piece| piece.cutting.is_some() && laying.done(&piece.id) == Done::Laid).count() as f64
}

/// Tiles that broke over the tiles of the plans; nothing where a plan of the job is not here.
fn broken(session: &Session, one: &Finished) -> Option<Sample> {
    let products: BTreeSet<ItemId> =
        one.job.view.areas.live.iter().map(|area| area.value.product.clone()).collect();
    let mut sample = Sample { of: 0.0, over: 0.0 };
    for product in &products {
        let (tiles, planned, without) = tiles(session, &one.job, product);
        if !without.is_empty() {
            return None;
        }
        sample = Sample { of: sample.of + tiles.broken as f64, over: sample.over + planned as f64 };
    }
    (sample.over > 0.0).then_some(sample)
}

fn of_rate(rate: &RateRow, any: Option<&Finished>, said: &[Said]) -> Option<LearnedRate> {
    let found = learned(&said.iter().map(|one| one.sample).collect::<Vec<_>>())?;
    let unit = unit_words(&rate.unit);
    let pace = |n: f64| say("learned.pace", &[("n", &format!("{n:.2}")), ("unit", &unit)]);
    let figure = format!("{:.2}", found.rate);
    let now = rate.per_hour.normalize().to_string();
    let same = figure.parse::<rust_decimal::Decimal>().is_ok_and(|figure| figure == rate.per_hour);
    let lines = said.iter().map(|one| {
        let (of, over) = (format!("{:.1} {unit}", one.sample.of), format!("{:.1}", one.sample.over));
        let pace = pace(one.sample.of / one.sample.over);
        say("learned.job", &[("name", &one.name), ("of", &of), ("hours", &over), ("pace", &pace)])
    });
    let (of, hours) = (format!("{:.1} {unit}", found.of), format!("{:.1}", found.over));
    Some(LearnedRate {
        task: rate.task.clone(),
        name: any.map_or_else(|| rate.task.clone(), |one| task_name(&one.job, &rate.task)),
        suggests: pace(found.rate),
        now: say("learned.now_pace", &[("n", &now), ("unit", &unit)]),
        from: counted(&found, &[("of", &of), ("hours", &hours)], "learned.from_one", "learned.from"),
        spread: spread(&found, |n| format!("{n:.2}")),
        figure,
        same,
        jobs: lines.collect(),
    })
}

fn counted(found: &Learned, figures: &[(&str, &str)], one: &str, many: &str) -> String {
    let jobs = found.jobs.to_string();
    let mut all = vec![("jobs", jobs.as_str())];
    all.extend(figures);
    say(if found.jobs == 1 { one } else { many }, &all)
}

fn spread(found: &Learned, show: impl Fn(f64) -> String) -> String {
    let (least, most) = (show(found.range.0), show(found.range.1));
    match found.error {
        None => say("learned.one_job", &[]),
        Some(error) => say("learned.spread", &[("least", &least), ("most", &most), ("error", &show(error))]),
    }
}

fn of_breakage(now: Option<&Decimal>, said: &[Said], silent: usize) -> Option<LearnedRate> {
    let found = learned(&said.iter().map(|one| one.sample).collect::<Vec<_>>())?;
    let percent = |share: f64| percent(&format!("{:.1}", share * 100.0));
    let figure = format!("{:.1}", found.rate * 100.0);
    let kept = now.map_or("", Decimal::as_str);
    let same = figure.parse::<rust_decimal::Decimal>().ok() == kept.parse().ok();
    let lines = said.iter().map(|one| {
        let (of, over) = (format!("{:.0}", one.sample.of), format!("{:.0}", one.sample.over));
        say("learned.job_broken", &[("name", &one.name), ("of", &of), ("over", &over)])
    });
    let (of, over) = (format!("{:.0}", found.of), format!("{:.0}", found.over));
    let mut from =
        counted(&found, &[("of", &of), ("over", &over)], "learned.from_one_broken", "learned.from_broken");
    if silent > 0 {
        from = format!("{from} {}", say("learned.silent", &[("count", &silent.to_string())]));
    }
    Some(LearnedRate {
        task: BREAKAGE.to_owned(),
        name: say("learned.breakage", &[]),
        suggests: percent(found.rate),
        now: if kept.is_empty() {
            say("learned.now_none", &[])
        } else {
            say("learned.now_percent", &[("n", kept)])
        },
        from,
        spread: spread(&found, percent),
        figure,
        same,
        jobs: lines.collect(),
    })
}

/// Takes a rate over into what the shop reckons with.
pub(crate) fn take(session: &Session, ask: LearnedTake) -> Result<LearnedView, Problem> {
    let said = view(session, Nothing {})?;
    let found = said.rates.iter().find(|rate| rate.task == ask.task);
    let found = found.ok_or_else(|| unknown("learned.unknown", "task", &ask.task))?;
    if found.figure != ask.figure {
        return Err(Problem::new("learned.changed", "figure").with("figure", &found.figure));
    }
    if ask.task == BREAKAGE {
        edit(session, ShopEdit { name: None, breakage: Some(ask.figure), attic: None })?;
        return view(session, Nothing {});
    }
    let shop = session.desk().shop()?;
    let held = shop.as_ref().and_then(|shop| shop.rates.live.iter().find(|held| held.value.task == ask.task));
    let held = held.ok_or_else(|| unknown("learned.unknown", "task", &ask.task))?;
    let per_hour = Decimal::parse(&ask.figure).map(|figure| figure.shifted(0));
    let per_hour = per_hour.filter(|figure| figure.to_f64() > 0.0);
    let per_hour = per_hour.ok_or_else(|| Problem::new("learned.too_slow", "figure"))?;
    let after = document::Rate { per_hour, ..held.value.clone() };
    change(session, &[Edit::<ShopEntry>::change(&held.id, held.value.clone(), after)])?;
    view(session, Nothing {})
}
