//! What happened in a job: everything that was said or done, with who and when, also what no longer counts.

use super::work::mark_words;
use crate::Problem;
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::session::Session;
use crate::show::{stamp, thing_name};
use crate::views::time::hours;
use crate::wire::{HistoryAsk, HistoryEntry, HistoryView};
use crate::words::{has, say};
use drylay_document::{Entry, Held, JobView, Records, Stamp, Things};

/// The most entries that are answered.
const MOST: u32 = 10_000;

pub(crate) fn list(session: &Session, ask: HistoryAsk) -> Result<HistoryView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let mut told = Told::default();
    if ask.room.is_none() {
        told.job(&job.view);
    }
    let only = ask.room.as_deref().map(|room| job.room(room, "room")).transpose()?;
    for held in job.view.room_list() {
        if only.is_none_or(|only| only == held.value.document) {
            let seen = desk.room(&job, held.value.document)?;
            let before = if ask.room.is_some() { String::new() } else { format!("{}: ", held.value.name) };
            told.room(&seen, &before);
        }
    }
    let mut entries = told.entries;
    // Latest first; what was done at the same moment in the order of its words, so that the list stays put.
    entries.sort_by(|(a_words, a), (b_words, b)| (b.at.utc_ms, a_words).cmp(&(a.at.utc_ms, b_words)));
    entries.truncate(usize::try_from(ask.limit.min(MOST)).unwrap_or(usize::MAX));
    let entry = |(words, by): (String, Stamp)| HistoryEntry { words, stamp: stamp(&by) };
    Ok(HistoryView { entries: entries.into_iter().map(entry).collect() })
}

/// Who did the latest thing in a job, and when, by the clocks of those who did things.
pub(crate) fn latest(desk: &mut Desk, job: &SeenJob) -> Option<Stamp> {
    let mut told = Told::default();
    told.job(&job.view);
    for held in job.view.room_list() {
        if let Ok(seen) = desk.room(job, held.value.document) {
            told.room(&seen, "");
        }
    }
    told.entries.into_iter().map(|(_, stamp)| stamp).max_by_key(|stamp| stamp.at.utc_ms)
}

#[derive(Default)]
struct Told {
    entries: Vec<(String, Stamp)>,
}

impl Told {
    fn add(&mut self, words: String, stamp: &Stamp) {
        self.entries.push((words, stamp.clone()));
    }

    fn job(&mut self, view: &JobView) {
        if let Some(facts) = &view.facts.value {
            let fields = facts.fields();
            for (name, by) in &view.facts.stamps {
                let value = fields.iter().find(|(field, _)| field == name).map(|(_, value)| value.plain());
                self.changed(&say("what.job", &[]), name, &value.unwrap_or_default(), by);
            }
        }
        self.things(&view.rooms, |held| say("what.room", &[("name", &held.value.name)]));
        self.things(&view.passages, |_| say("what.passage", &[]));
        self.things(&view.areas, |held| {
            say("what.area", &[("name", held.value.name.as_deref().unwrap_or(""))])
        });
        self.things(&view.products, |held| say("what.product", &[("name", &held.value.name)]));
        self.records(&view.choices, |_| say("what.accept", &[]));
        self.work(view);
    }

    /// What was marked, cut, noted, delivered and broken.
    fn work(&mut self, view: &JobView) {
        self.records(&view.pieces, |held| mark_words(&held.value.pieces, held.value.state));
        self.records(&view.rows, |held| say("what.row_measured", &[("row", &held.value.row.to_string())]));
        self.records(&view.cuts, |held| say("what.gap", &[("piece", &held.value.piece)]));
        self.records(&view.lots, |held| say("what.lot", &[("lot", &held.value.lot)]));
        self.records(&view.expenses, |held| match (&held.value.broken, &held.value.used) {
            (None, Some(used)) => {
                let product = view.products.get(&held.value.product);
                let name = product.map_or(held.value.product.as_str(), |held| held.value.name.as_str());
                say("what.used", &[("count", used.as_str()), ("name", name)])
            }
            (tiles, _) => say("what.broken", &[("tiles", tiles.as_ref().map_or("", |tiles| tiles.as_str()))]),
        });
        self.records(&view.time, |held| {
            let code = [format!("time.task.{}", held.value.task), format!("quote.task.{}", held.value.task)];
            let task = code.iter().find(|code| has(code)).map(|code| say(code, &[]));
            let task = task.unwrap_or_else(|| held.value.task.clone());
            match held.value.minutes {
                0 => say("what.time_started", &[("task", &task)]),
                minutes => say("what.time", &[("task", &task), ("hours", &hours(minutes))]),
            }
        });
        self.things(&view.walk, |held| match held.value.looked {
            Some(_) => say("what.looked", &[]),
            None => say("what.walk", &[("words", &held.value.words)]),
        });
        self.records(&view.gates, |_| say("what.gate", &[]));
        self.records(&view.heating, |_| say("what.heating", &[]));
        self.records(&view.client_answers, |held| match held.value.what.starts_with("condition/") {
            true => say("what.condition", &[]),
            false => say("what.confirmed", &[("what", &say(&format!("confirmed.{}", held.value.what), &[]))]),
        });
        self.things(&view.stages, |held| {
            say("what.stage", &[("name", &say(&format!("stage.{}", held.value.stage.word()), &[]))])
        });
        self.things(&view.callbacks, |held| {
            let item = held.value.pin.as_ref().and_then(|pin| pin.item.as_ref());
            let piece = item.and_then(|item| item.as_str().rsplit('/').next()).unwrap_or_default();
            say("what.callback", &[("piece", piece)])
        });
        self.things(&view.sections, |_| say("what.grouted", &[("count", "1")]));
        self.things(&view.deliveries, |held| {
            say("what.delivery", &[("packs", &held.value.packs.to_string())])
        });
        self.things(&view.problems, |held| {
            let what = say(&format!("noted.{}", held.value.what.word()), &[]);
            say("what.noted", &[("what", &what)])
        });
    }

    fn room(&mut self, seen: &SeenRoom, before: &str) {
        let (view, labels) = (&seen.view, &seen.labels);
        self.records(&view.tape, |held| {
            let pair = labels.pair(&held.value.from, &held.value.to);
            before.to_owned() + &say("history.read", &[("pair", &pair), ("text", held.value.read.text())])
        });
        self.records(&view.squares, |held| {
            before.to_owned() + &say("history.square", &[("corner", &labels.of_corner(&held.value.corner))])
        });
        self.things(&view.corners, |held| {
            before.to_owned() + &say("what.corner", &[("name", &labels.of_corner(&held.id))])
        });
        self.things(&view.keepouts, |held| {
            before.to_owned() + &say("what.keepout", &[("name", &thing_name(&held.value))])
        });
        self.records(&view.strings, |held| {
            let pair = labels.pair(&held.value.from, &held.value.to);
            before.to_owned() + &say("what.offset", &[("pair", &pair)])
        });
        self.things(&view.openings, |held| {
            let pair = labels.pair(&held.value.from, &held.value.to);
            before.to_owned() + &say("what.opening", &[("pair", &pair)])
        });
        self.things(&view.edges, |held| {
            let pair = labels.pair(&held.value.from, &held.value.to);
            before.to_owned() + &say("what.edge", &[("pair", &pair)])
        });
    }

    fn records<T>(&mut self, table: &Records<T>, what: impl Fn(&Held<T>) -> String) {
        for held in &table.live {
            self.add(what(held), &held.added);
        }
        for past in &table.past {
            self.add(what(&past.held), &past.held.added);
            if let Some(by) = &past.withdrawn {
                self.add(say("history.withdrawn", &[("what", &what(&past.held))]), by);
            }
        }
    }

    fn things<T: Entry>(&mut self, table: &Things<T>, what: impl Fn(&Held<T>) -> String) {
        for held in &table.live {
            self.add(say("history.added", &[("what", &what(held))]), &held.added);
            let fields = held.value.fields();
            for (name, by) in held.stamps.iter().filter(|(_, by)| **by != held.added) {
                let value = fields.iter().find(|(field, _)| field == name).map(|(_, value)| value.plain());
                self.changed(&what(held), name, &value.unwrap_or_default(), by);
            }
        }
        for held in &table.withdrawn {
            self.add(say("history.withdrawn", &[("what", &what(held))]), &held.added);
        }
    }

    fn changed(&mut self, what: &str, field: &str, value: &str, by: &Stamp) {
        let field = field.replace('_', " ");
        self.add(say("history.changed", &[("what", what), ("field", &field), ("value", value)]), by);
    }
}
