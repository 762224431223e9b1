//! The first call: what is asked before anybody drives there.
//!
//! Codes of doors and lock boxes are kept by this device, not in the job: a job's document goes to every device of the crew and
//! into every hand-over, and its sheet to whoever gets it.

use super::jobs::{facts, said};
use crate::Problem;
use crate::refusal::unknown;
use crate::session::Session;
use crate::wire::{CallAnswer, CallSet, CallView, OfJob};
use crate::words::say;
use drylay_document::{Edit, JobEntry, JobFacts};
use drylay_store::Op;

/// Where an answer stands among the facts of a job.
type Field = fn(&mut JobFacts) -> &mut Option<String>;

/// What is asked, in the order in which one asks.
const ASKED: [(&str, Field); 12] = [
    ("access", |f| &mut f.access),
    ("parking", |f| &mut f.parking),
    ("pets", |f| &mut f.pets),
    ("hours", |f| &mut f.hours),
    ("house_rules", |f| &mut f.house_rules),
    ("sound_rating", |f| &mut f.sound_rating),
    ("permits", |f| &mut f.permits),
    ("existing_damage", |f| &mut f.existing_damage),
    ("delivery", |f| &mut f.delivery),
    ("storage", |f| &mut f.storage),
    ("moving", |f| &mut f.moving),
    ("appliances", |f| &mut f.appliances),
];

/// The setting of this device that keeps a job's codes.
fn codes_key(job: &str) -> String {
    format!("lock_codes.{job}")
}

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<CallView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let lock_codes = desk.store.setting(&codes_key(&job.id.to_string()))?.unwrap_or_default();
    drop(desk);
    let mut facts = facts(&job.view)?;
    let answer = |(what, field): &(&str, Field)| CallAnswer {
        what: (*what).to_owned(),
        words: field(&mut facts).clone().unwrap_or_default(),
    };
    let said = ASKED.iter().map(answer).collect();
    Ok(CallView {
        built: facts.year_built.map_or_else(String::new, |year| year.to_string()),
        lift: facts.lift.map_or_else(String::new, |lift| if lift { "yes" } else { "no" }.to_owned()),
        said,
        lock_codes,
    })
}

pub(crate) fn set(session: &Session, ask: CallSet) -> Result<CallView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = job.id;
    if ask.what == "lock_codes" {
        let codes = said(&ask.words);
        let key = codes_key(&id.to_string());
        session.desk().store.write(&[Op::Set { key: &key, value: codes.as_deref() }])?;
        return view(session, OfJob { job: ask.job });
    }
    let before = facts(&job.view)?;
    let mut after = before.clone();
    match ask.what.as_str() {
        "built" => after.year_built = year(&ask.words)?,
        "lift" => after.lift = lift(&ask.words)?,
        what => match ASKED.iter().find(|(name, _)| *name == what) {
            Some((_, field)) => *field(&mut after) = said(&ask.words),
            None => return Err(unknown("call.unknown", "what", what)),
        },
    }
    let edit = Edit::<JobEntry>::change_single(before, after);
    session.change(id, say("what.call", &[]), |change| change.apply(id, &[edit]))?;
    view(session, OfJob { job: ask.job })
}

fn year(text: &str) -> Result<Option<i64>, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let year = text.parse().ok().filter(|year| (1000..=9999).contains(year));
    year.map(Some).ok_or_else(|| Problem::new("call.year", "built").with("found", text))
}

fn lift(text: &str) -> Result<Option<bool>, Problem> {
    match text.trim() {
        "" => Ok(None),
        "yes" => Ok(Some(true)),
        "no" => Ok(Some(false)),
        other => Err(Problem::new("call.yes_no", "lift").with("found", other)),
    }
}
