//! The day's note: what the marks of a day come to, in words that a person may change before they are kept.

use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::laying::area_name;
use crate::session::Session;
use crate::show::stamp;
use crate::views::time::{hours, task_name};
use crate::views::work::{day_of, marks_of_day};
use crate::wire::{DayNoteAsk, DayNoteKeep, DayNoteView};
use crate::words::say;
use chrono::{DateTime, NaiveDate};
use drylay_document::time::spent;
use drylay_document::{Edit, Held, JobEntry, Note, PinKind, Stamp};
use std::collections::BTreeMap;

pub(crate) fn view(session: &Session, ask: DayNoteAsk) -> Result<DayNoteView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let now = desk.world.now();
    drop(desk);
    let day = match &ask.day {
        Some(text) => days(text)?,
        None => day_of(now),
    };
    let written = day_name(day);
    let kept = kept(&job, &written);
    Ok(DayNoteView {
        told: told(session, &job, day),
        kept: kept.map(|held| held.value.words.clone()).unwrap_or_default(),
        stamp: kept.map(|held| stamp(held.stamp("words"))),
        day: written,
    })
}

/// Days since 1970 of a day as year-month-day.
fn days(text: &str) -> Result<i64, Problem> {
    let day = NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d");
    let day = day.map_err(|_| Problem::new("day.unknown", "day").with("found", text))?;
    Ok(day.signed_duration_since(NaiveDate::default()).num_days())
}

/// A day, in days since 1970, as year-month-day.
fn day_name(day: i64) -> String {
    let time = DateTime::from_timestamp(day.saturating_mul(86_400), 0);
    time.map(|time| time.format("%Y-%m-%d").to_string()).unwrap_or_default()
}

/// Who worked how long at what on a day.
fn times(job: &SeenJob, day: &str) -> Vec<String> {
    let mut of: BTreeMap<(String, String), i64> = BTreeMap::new();
    for one in spent(&job.view.time) {
        let task = task_name(job, &one.held.value.task);
        if one.held.value.day.as_deref() == Some(day) && !one.runs() {
            *of.entry((one.who().to_owned(), task)).or_default() += one.minutes();
        }
    }
    let line = |((who, task), minutes): ((String, String), i64)| {
        say("day.time", &[("who", &who), ("task", &task), ("hours", &hours(minutes))])
    };
    of.into_iter().map(line).collect()
}

/// The note that was kept of a day; of several that were kept apart, the one that was written last.
fn kept<'j>(job: &'j SeenJob, day: &str) -> Option<&'j Held<Note>> {
    let of = job.view.notes.live.iter().filter(|held| held.value.day.as_deref() == Some(day));
    of.max_by_key(|held| (held.stamp("words").at.utc_ms, held.id.clone()))
}

/// What was done on a day, a line for each thing; the day is that of the device that wrote it.
fn told(session: &Session, job: &SeenJob, day: i64) -> String {
    let on = |stamp: &Stamp| day_of(stamp.at) == day;
    let mut lines = Vec::new();
    let mut areas: Vec<_> = job.view.areas.live.iter().collect();
    areas.sort_by_key(|area| (area.value.place.clone(), area.id.clone()));
    for area in areas {
        let name = area_name(job, area);
        let Ok(laying) = session.laying(job, &area.id) else { continue };
        for one in marks_of_day(job, &laying, day) {
            lines.push(say("day.line", &[("area", &name), ("by", &one.by), ("words", &one.words)]));
        }
        let grouted = job.view.sections.live.iter().filter(|held| held.value.area.as_ref() == Some(&area.id));
        let grouted = grouted.filter(|held| on(&held.added)).count();
        if grouted > 0 {
            lines.push(say("day.grouted", &[("area", &name), ("count", &grouted.to_string())]));
        }
    }
    for held in job.view.deliveries.live.iter().filter(|held| on(&held.added)) {
        let packs = held.value.packs.to_string();
        let lot = held.value.lot.clone().unwrap_or_default();
        let code = if lot.is_empty() { "day.delivered" } else { "day.delivered_lot" };
        lines.push(say(code, &[("packs", &packs), ("lot", &lot)]));
    }
    for held in job.view.expenses.live.iter().filter(|held| on(&held.added)) {
        if let Some(tiles) = &held.value.broken {
            lines.push(say("what.broken", &[("tiles", tiles.as_str())]));
        }
        if let Some(used) = &held.value.used {
            let product = job.view.products.get(&held.value.product);
            let name = product.map_or(held.value.product.as_str(), |held| held.value.name.as_str());
            lines.push(say("day.used", &[("name", name), ("count", used.as_str())]));
        }
    }
    lines.extend(times(job, &day_name(day)));
    for held in job.view.problems.live.iter().filter(|held| on(&held.added)) {
        let what = say(&format!("noted.{}", held.value.what.word()), &[]);
        let pin = held.value.pin.as_ref().filter(|pin| pin.what == PinKind::Piece);
        let piece = pin
            .and_then(|pin| pin.item.as_ref()?.as_str().split_once('/').map(|(_, piece)| piece.to_owned()));
        let measure = held.value.measure.as_ref().map(|measure| measure.text().to_owned());
        let parts = [Some(what), measure, piece, held.value.words.clone()];
        lines.push(parts.into_iter().flatten().collect::<Vec<_>>().join(", "));
    }
    for held in job.view.gates.live.iter().filter(|held| on(&held.added)) {
        let stage = say(&format!("stage.{}", held.value.stage.word()), &[]);
        lines.push(say("day.passed", &[("stage", &stage), ("reason", &held.value.reason)]));
    }
    lines.join("\n")
}

/// Keeps the note: a new one, or the words of the one that is kept already.
pub(crate) fn keep(session: &Session, ask: DayNoteKeep) -> Result<DayNoteView, Problem> {
    let words = said(&ask.words).ok_or_else(|| Problem::new("note.empty", "words"))?;
    days(&ask.day)?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let id = desk.new_id();
    drop(desk);
    let edit: Edit<JobEntry> = match kept(&job, &ask.day) {
        None => Edit::add(id, Note { words, pin: None, day: Some(ask.day.clone()) }),
        Some(held) => Edit::change(&held.id, held.value.clone(), Note { words, ..held.value.clone() }),
    };
    session.change(job.id, say("what.day_note", &[]), |change| change.apply(job.id, &[edit]))?;
    view(session, DayNoteAsk { job: ask.job, day: Some(ask.day) })
}
