//! Time and materials for the screens, beside what the quote has of both.

use crate::Problem;
use crate::books::Books;
use crate::commands::buy::{Reckoned, Waiting, reckon};
use crate::commands::quote::whole;
use crate::desk::SeenJob;
use crate::laying::area_name;
use crate::session::Session;
use crate::show::stamp;
use crate::wire::{HoursView, MaterialView, RunningView, TaskName, TimeEntry, TimeView, UsedEntry};
use crate::words::{has, say};
use drylay_document::sheet::{Quote, Task};
use drylay_document::time::{Spent, doubled, spent};
use drylay_document::{self as document, DeviceId, FrozenKind, Timestamp};
use drylay_geometry::ItemId;
use drylay_plan::work::stock::Tiles;
use drylay_store::FileHash;
use rust_decimal::Decimal;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Work that a plan yields, in the order of a job. What the crew has no rate for is part of laying.
const OF_PLAN: [&str; 10] =
    ["grind", "prime", "fill", "underlay", "lay", "cut", "grout", "seal", "transition", "trim"];
/// How much of these was done stands in the marks, and is typed of nothing else.
const MARKED: [&str; 3] = ["lay", "cut", "grout"];
/// A clock that ran for longer than this was forgotten, in ms: ten hours (common practice).
const LONGEST: i64 = 10 * 3_600_000;
/// How far a clock may stand before the moment a clock was started: it is set now and then.
const SLACK: i64 = 60_000;

/// What a task is called.
pub(crate) fn task_name(job: &SeenJob, task: &str) -> String {
    let codes = [format!("time.task.{task}"), format!("quote.task.{task}")];
    if let Some(code) = codes.iter().find(|code| has(code)) {
        return say(code, &[]);
    }
    let named = of_quote(job).into_iter().find(|one| one.task == task && !one.name.is_empty());
    named.map_or_else(|| task.to_owned(), |one| one.name)
}

/// Work that the job's quote names.
fn of_quote(job: &SeenJob) -> Vec<Task> {
    let said = job.view.facts.value.as_ref().and_then(|facts| facts.quote.as_deref());
    said.and_then(Quote::read).map(|quote| quote.work).unwrap_or_default()
}

/// What one may work at.
pub(crate) fn tasks(job: &SeenJob, books: &Books) -> Vec<TaskName> {
    let mut all: Vec<String> = vec!["demolish".to_owned()];
    all.extend(OF_PLAN.map(str::to_owned));
    all.extend(of_quote(job).into_iter().map(|one| one.task));
    all.extend(books.rates.iter().map(|rate| rate.task.clone()));
    all.push("other".to_owned());
    let mut seen = BTreeSet::new();
    all.retain(|task| seen.insert(task.clone()));
    let unit = |task: &str| {
        let rate = books.rate(task).filter(|rate| rate.unit != "hour" && !MARKED.contains(&task));
        rate.map(|rate| unit_words(&rate.unit)).unwrap_or_default()
    };
    all.iter()
        .map(|task| TaskName { value: task.clone(), name: task_name(job, task), unit: unit(task) })
        .collect()
}

/// A unit of a quote in words.
pub(crate) fn unit_words(unit: &str) -> String {
    let code = format!("quote.unit.{unit}");
    if has(&code) { say(&code, &[]) } else { unit.to_owned() }
}

/// The task whose hours of the quote a task's time is held against.
pub(crate) fn counted_as<'t>(task: &'t str, books: &Books, has_own: impl Fn(&str) -> bool) -> &'t str {
    let of_laying = OF_PLAN.contains(&task) && books.rate("lay").is_some() && books.rate(task).is_none();
    if of_laying && !has_own(task) { "lay" } else { task }
}

/// A day as year-month-day where the device stands.
pub(crate) fn day_text(at: Timestamp) -> String {
    let local = at.utc_ms.saturating_add(i64::from(at.zone_minutes) * 60_000);
    let time = chrono::DateTime::from_timestamp_millis(local);
    time.map(|time| time.format("%Y-%m-%d").to_string()).unwrap_or_default()
}

/// Minutes as hours in words, to a hundredth.
pub(crate) fn hours(minutes: i64) -> String {
    hours_words(Decimal::from(minutes) / Decimal::from(60))
}

fn hours_words(hours: Decimal) -> String {
    say("time.h", &[("hours", &hours.round_dp(2).normalize().to_string())])
}

/// Why a clock that runs is not believed, in words.
pub(crate) fn asks(one: &Spent, now: i64, me: DeviceId) -> Option<String> {
    let began = one.held.value.began_ms.unwrap_or(now);
    if one.stamp().by.device != me {
        return Some(say("time.asks_other", &[("who", one.who())]));
    }
    if now < began.saturating_sub(SLACK) {
        return Some(say("time.asks_back", &[]));
    }
    let ran = now.saturating_sub(began);
    let hours = (ran / 3_600_000).to_string();
    (ran > LONGEST).then(|| say("time.asks_long", &[("hours", &hours)]))
}

/// Whether a figure is one that can be added up: a frozen quote and what others used may say anything.
fn in_reason(figure: &Decimal) -> bool {
    figure.abs() <= Decimal::from(1_000_000_000_000_i64)
}

/// What the quote has of hours and materials.
#[derive(Debug, Default)]
struct Quoted {
    /// Hours by task.
    hours: BTreeMap<String, Decimal>,
    /// Materials: product, name, how many, of what.
    materials: Vec<(String, String, Decimal, String)>,
    /// What it is, in words.
    basis: String,
}

/// The quote that was signed last; where none was, the quote as it stands.
fn quoted(session: &Session, job: &SeenJob, books: &Books) -> Quoted {
    let id = job.id.to_string();
    let Ok(known) = reckon(session, &id) else {
        return Quoted { basis: say("time.basis_none", &[]), ..Quoted::default() };
    };
    let signed = job.view.frozen_records().into_iter().rfind(|one| one.held.value.what == FrozenKind::Quote);
    if let Some(record) = signed {
        let read = session.desk().store.read_file(FileHash(record.held.value.hash.0)).ok();
        let bytes = read.and_then(|bytes| serde_json::from_slice::<Value>(&bytes).ok());
        if let Some(lines) = bytes.as_ref().and_then(|bytes| bytes["lines"].as_array()) {
            let number = record.held.value.number.to_string();
            let by = record.held.value.signed_by.clone().unwrap_or_default();
            let basis = say("time.basis_signed", &[("number", &number), ("by", &by)]);
            return Quoted { basis, ..of_signed(&known, books, lines) };
        }
    }
    let mut found = Quoted::default();
    let Ok(quote) = whole(&known, books) else {
        return Quoted { basis: say("time.basis_none", &[]), ..Quoted::default() };
    };
    for line in &quote.lines {
        found.take(line.kind == "material", &line.item, &line.name, (line.quantity, &line.unit), line.hours);
    }
    found.basis = match known.waiting.first().map(Waiting::words) {
        Some(what) => say("time.basis_waiting", &[("what", &what)]),
        None if books.rates.is_empty() => say("time.basis_no_rates", &[]),
        None => say("time.basis_now", &[]),
    };
    found
}

impl Quoted {
    fn take(
        &mut self,
        material: bool,
        item: &str,
        name: &str,
        (many, unit): (Decimal, &str),
        hours: Option<Decimal>,
    ) {
        if material {
            if in_reason(&many) {
                self.materials.push((item.to_owned(), name.to_owned(), many, unit.to_owned()));
            }
        } else if let Some(hours) = hours.filter(in_reason) {
            *self.hours.entry(item.to_owned()).or_default() += hours;
        }
    }
}

/// What a signed quote has: its lines by name, their hours by the crew's rates as they are now, which are in no quote.
fn of_signed(known: &Reckoned, books: &Books, lines: &[Value]) -> Quoted {
    let sheet = &known.sheet;
    let bought = sheet.products.iter().map(|p| p.id.as_str().to_owned());
    let bought = bought.chain(sheet.compounds.iter().map(|c| c.id.as_str().to_owned()));
    let bought: Vec<String> = bought.chain(sheet.supplies.iter().map(|s| s.id.as_str().to_owned())).collect();
    let work = sheet.quote.as_ref().map(|quote| quote.work.as_slice()).unwrap_or_default();
    let mut found = Quoted::default();
    for line in lines {
        let text = |field: &str| line[field].as_str().unwrap_or_default();
        let (name, unit) = (text("name"), text("unit"));
        let Ok(many) = text("quantity").parse::<Decimal>() else { continue };
        if let Some(id) = bought.iter().find(|id| sheet.bought_name(id) == name) {
            found.take(true, id, name, (many, unit), None);
            continue;
        }
        let named = work.iter().find(|task| task.name == name).map_or(name, |task| task.task.as_str());
        let hours = books.rate(named).and_then(|rate| match unit {
            _ if unit == rate.unit => many.checked_div(rate.per_hour),
            "hour" => Some(many),
            _ => None,
        });
        found.take(false, named, name, (many, unit), hours.map(|hours| hours.round_dp(2)));
    }
    found
}

/// Time and materials of a job, by the clock of this device.
pub(crate) fn view(session: &Session, id: &str) -> Result<TimeView, Problem> {
    let mut desk = session.desk();
    let (job, books) = (desk.job(id)?, desk.books()?);
    let (now, me) = (desk.world.now(), desk.me.clone());
    drop(desk);
    let quoted = quoted(session, &job, &books);
    let mut all = spent(&job.view.time);
    all.sort_by_key(|one| {
        (std::cmp::Reverse((one.held.value.day.clone(), one.stamp().at.utc_ms)), one.held.id.clone())
    });
    let running = |one: &&Spent| one.runs();
    let tasks = tasks(&job, &books);
    // Going over to another task writes both at one moment: what runs is the later of the two.
    let of_me = |one: &&Spent| one.who() == me.name;
    let mine = all.iter().find(|one| one.runs() && of_me(one)).or_else(|| all.iter().find(of_me));
    let mine = mine.map(|one| one.held.value.task.clone());
    let (hours, total) = by_task(&job, &books, &all, &quoted);
    Ok(TimeView {
        last: mine.filter(|task| tasks.iter().any(|one| one.value == *task)).unwrap_or_else(|| "lay".into()),
        tasks,
        running: all
            .iter()
            .filter(running)
            .map(|one| RunningView {
                id: one.held.id.to_string(),
                who: one.who().to_owned(),
                task: task_name(&job, &one.held.value.task),
                stamp: stamp(one.stamp()),
                asks: asks(one, now.utc_ms, me.device).unwrap_or_default(),
            })
            .collect(),
        hours,
        total,
        basis: quoted.basis.clone(),
        notices: notices(&all),
        entries: all.iter().filter(|one| !one.runs()).map(|one| entry(&job, &books, one)).collect(),
        materials: materials(session, &job, &quoted),
        me: me.name,
    })
}

fn notices(all: &[Spent]) -> Vec<String> {
    let mut said = Vec::new();
    if all.iter().any(Spent::runs) {
        said.push(say("time.runs", &[]));
    }
    let twice = doubled(all);
    if !twice.is_empty() {
        said.push(say("time.twice", &[("who", &twice.join(", "))]));
    }
    said
}

fn entry(job: &SeenJob, books: &Books, one: &Spent) -> TimeEntry {
    let value = &one.held.value;
    let (people, each) = (value.people.to_string(), hours(value.minutes));
    let task = task_name(job, &value.task);
    let figures =
        [("who", one.who()), ("task", task.as_str()), ("hours", each.as_str()), ("people", people.as_str())];
    let mut words = say(if value.people > 1 { "time.entry_many" } else { "time.entry" }, &figures);
    if let Some(done) = &value.done {
        let unit = books.rate(&value.task).map(|rate| unit_words(&rate.unit)).unwrap_or_default();
        words = format!("{words}, {} {unit}", done.as_str()).trim_end().to_owned();
    }
    let apart: Vec<String> = one.differ.iter().map(|minutes| hours(*minutes)).collect();
    let choices = one.differ.iter().map(|minutes| format!("{minutes} min"));
    TimeEntry {
        id: one.held.id.to_string(),
        words,
        day: value.day.clone().unwrap_or_else(|| day_text(one.stamp().at)),
        differ: if apart.is_empty() {
            String::new()
        } else {
            say("time.differ", &[("hours", &apart.join(", "))])
        },
        choices: choices.collect(),
        stamp: stamp(one.stamp()),
    }
}

/// Hours by task, in the order of a job, and all of them together.
fn by_task(
    job: &SeenJob,
    books: &Books,
    all: &[Spent],
    quoted: &Quoted,
) -> (Vec<HoursView>, Option<HoursView>) {
    let own = |task: &str| quoted.hours.contains_key(task);
    let mut spent: BTreeMap<&str, BTreeMap<&str, i64>> = BTreeMap::new();
    for one in all.iter().filter(|one| !one.runs()) {
        let task = one.held.value.task.as_str();
        let within = spent.entry(counted_as(task, books, own)).or_default();
        let minutes = within.entry(task).or_default();
        *minutes = minutes.saturating_add(one.minutes());
    }
    let order = |task: &str| {
        let known = OF_PLAN.iter().position(|known| *known == task).map(|at| at + 1);
        (if task == "demolish" { 0 } else { known.unwrap_or(OF_PLAN.len() + 1) }, task.to_owned())
    };
    let mut tasks: Vec<&str> = spent.keys().copied().chain(quoted.hours.keys().map(String::as_str)).collect();
    tasks.sort_by_key(|task| order(task));
    tasks.dedup();
    let none = BTreeMap::new();
    let sum =
        |all: &mut dyn Iterator<Item = &i64>| all.fold(0_i64, |sum, minutes| sum.saturating_add(*minutes));
    let row = |task: &&str| {
        let within = spent.get(task).unwrap_or(&none);
        let others = within.iter().filter(|(one, _)| *one != task);
        let others: Vec<String> = others
            .map(|(one, minutes)| {
                say("time.within", &[("task", &task_name(job, one)), ("hours", &hours(*minutes))])
            })
            .collect();
        HoursView {
            within: others.join(", "),
            ..against(task_name(job, task), sum(&mut within.values()), quoted.hours.get(*task).copied())
        }
    };
    let rows: Vec<HoursView> = tasks.iter().map(row).collect();
    let minutes = sum(&mut spent.values().flat_map(BTreeMap::values));
    let whole = (!quoted.hours.is_empty()).then(|| quoted.hours.values().copied().sum());
    let total = (rows.len() > 1).then(|| against(say("time.all", &[]), minutes, whole));
    (rows, total)
}

/// Minutes against hours of the quote.
fn against(name: String, minutes: i64, quoted: Option<Decimal>) -> HoursView {
    let rest = quoted.map(|quoted| quoted - Decimal::from(minutes) / Decimal::from(60));
    let over = rest.is_some_and(|rest| rest.round_dp(2) < Decimal::ZERO);
    let words = rest.map(|rest| {
        say(if over { "time.over" } else { "time.left" }, &[("count", &hours_words(rest.abs()))])
    });
    HoursView {
        name,
        spent: hours(minutes),
        quoted: quoted.map_or_else(|| "–".to_owned(), hours_words),
        words: words.unwrap_or_default(),
        over,
        within: String::new(),
    }
}

/// Tiles of a product as they are laid, all areas of a job together: how far they are, how many the plans have, and which
/// areas have no plan here.
pub(crate) fn tiles(session: &Session, job: &SeenJob, product: &ItemId) -> (Tiles, usize, Vec<String>) {
    let (mut sum, mut planned, mut without) = (Tiles::default(), 0, Vec::new());
    for area in job.view.areas.live.iter().filter(|area| area.value.product == *product) {
        match session.laying(job, &area.id) {
            Ok(laying) => {
                let Tiles { used, broken, to_go } = laying.tiles();
                sum = Tiles { used: sum.used + used, broken: sum.broken + broken, to_go: sum.to_go + to_go };
                planned += laying.plan.plan.tiles;
            }
            Err(_) => without.push(area_name(job, area)),
        }
    }
    let expenses = job.view.expenses.live.iter().filter(|held| held.value.product == *product);
    let broken = expenses.filter_map(|held| held.value.broken.as_ref()?.as_str().parse::<usize>().ok());
    let besides: usize = broken.sum();
    (Tiles { used: sum.used + besides, broken: sum.broken + besides, ..sum }, planned, without)
}

fn materials(session: &Session, job: &SeenJob, quoted: &Quoted) -> Vec<MaterialView> {
    let laid: BTreeSet<&ItemId> = job.view.areas.live.iter().map(|area| &area.value.product).collect();
    let mut found: Vec<MaterialView> =
        laid.iter().map(|product| tile(session, job, product, quoted)).collect();
    for (id, name, many, unit) in &quoted.materials {
        if laid.iter().any(|product| product.as_str() == id) {
            continue;
        }
        let of = |held: &&document::Held<document::Expense>| {
            held.value.product.as_str() == id && held.value.used.is_some()
        };
        let held: Vec<_> = job.view.expenses.live.iter().filter(of).collect();
        let number = |held: &&document::Held<document::Expense>| {
            held.value.used.as_ref().and_then(|used| used.as_str().parse().ok()).filter(in_reason)
        };
        let used: Decimal = held.iter().filter_map(number).sum();
        let entries = held.iter().map(|one| UsedEntry {
            id: one.id.to_string(),
            words: one.value.used.as_ref().map(|used| used.as_str().to_owned()).unwrap_or_default(),
            stamp: stamp(&one.added),
        });
        let entries = entries.collect();
        found.push(MaterialView {
            typed: true,
            entries,
            ..material(id, name, unit_words(unit), used, Some(*many))
        });
    }
    found
}

/// A tile: opened by the marks, and the quote's packs as tiles.
fn tile(session: &Session, job: &SeenJob, product: &ItemId, quoted: &Quoted) -> MaterialView {
    let held = job.view.products.get(product);
    let (tiles, ..) = tiles(session, job, product);
    let per_pack = held.and_then(|held| held.value.per_pack).filter(|n| *n > 0);
    let of_quote = quoted.materials.iter().find(|(id, ..)| id == product.as_str());
    let many = of_quote.and_then(|(.., many, unit)| match (unit.as_str(), per_pack) {
        ("tile", _) => Some(*many),
        (_, per_pack) => per_pack.and_then(|n| many.checked_mul(Decimal::from(n))),
    });
    let name = held.map_or(product.as_str(), |held| held.value.name.as_str());
    let shown = material(product.as_str(), name, say("time.tiles", &[]), Decimal::from(tiles.used), many);
    MaterialView { broken: tiles.broken.to_string(), ..shown }
}

fn material(id: &str, name: &str, unit: String, used: Decimal, quoted: Option<Decimal>) -> MaterialView {
    let plain = |n: Decimal| n.round_dp(2).normalize().to_string();
    let rest = quoted.map(|quoted| quoted - used);
    let over = rest.is_some_and(|rest| rest < Decimal::ZERO);
    let code = if over { "time.over" } else { "time.left" };
    MaterialView {
        id: id.to_owned(),
        name: name.to_owned(),
        unit,
        used: plain(used),
        broken: String::new(),
        quoted: quoted.map_or_else(|| "–".to_owned(), plain),
        words: rest.map(|rest| say(code, &[("count", &plain(rest.abs()))])).unwrap_or_default(),
        over,
        typed: false,
        entries: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_document::{Author, Held, Stamp, TimeSpent};

    #[test]
    fn a_clock_begun_at_any_moment_at_all_is_asked_about() {
        let me = DeviceId([1; 16]);
        let at = Timestamp { utc_ms: 0, zone_minutes: 0 };
        let added = Stamp { at, by: Author { device: me, name: "Ana".into() } };
        let asked = |began: i64| {
            let value = TimeSpent {
                task: "lay".into(),
                minutes: 0,
                people: 1,
                day: None,
                done: None,
                who: None,
                began_ms: Some(began),
            };
            let held = Held { id: ItemId::new("t"), value, added: added.clone(), stamps: BTreeMap::new() };
            asks(&Spent { held, ids: Vec::new(), differ: Vec::new() }, 1_790_000_000_000, me)
        };
        assert!(asked(i64::MIN).is_some() && asked(i64::MAX).is_some());
        assert_eq!(asked(1_790_000_000_000), None);
    }
}
