//! Stages of the work: begun and finished, gates passed with a reason, what the client confirms, heated floors.

use super::grout::celsius;
use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::stages as views;
use crate::wire::{ClientConfirmed, GatePassed, HeatingLog, OfJob, OfJobItem, StageSet, StagesView};
use crate::words::say;
use drylay_document::{ClientAnswer, Edit, Entry, GatePass, HeatingStep, JobEntry, Stage, StageKind};
use drylay_geometry::ItemId;

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<StagesView, Problem> {
    let job = session.desk().job(&ask.job)?;
    views::view(session, &job)
}

fn kind(word: &str) -> Result<StageKind, Problem> {
    StageKind::from_word(word).ok_or_else(|| unknown("stage.unknown", "stage", word))
}

fn done(
    session: &Session,
    job: &SeenJob,
    words: String,
    edits: &[Edit<JobEntry>],
) -> Result<StagesView, Problem> {
    session.change(job.id, words, |change| change.apply(job.id, edits))?;
    view(session, OfJob { job: job.id.to_string() })
}

pub(crate) fn set(session: &Session, ask: StageSet) -> Result<StagesView, Problem> {
    let stage = kind(&ask.stage)?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let (id, now) = (desk.new_id(), desk.world.now().utc_ms);
    drop(desk);
    let of =
        job.view.stages.live.iter().filter(|held| held.value.stage == stage && held.value.room.is_none());
    let held: Vec<_> = of.collect();
    let none = Stage { stage, room: None, began_ms: None, finished_ms: None };
    let after = |before: &Stage| match ask.to.as_str() {
        "begin" => {
            Some(Stage { began_ms: before.began_ms.or(Some(now)), finished_ms: None, ..before.clone() })
        }
        "finish" => {
            Some(Stage { began_ms: before.began_ms.or(Some(now)), finished_ms: Some(now), ..before.clone() })
        }
        "open" => Some(none.clone()),
        _ => None,
    };
    let to = || unknown("stage.unknown_step", "to", &ask.to);
    let mut edits: Vec<Edit<JobEntry>> = Vec::new();
    // Two people who began a stage apart made two entries: what is said next holds for both.
    for one in &held {
        edits.push(Edit::change(&one.id, one.value.clone(), after(&one.value).ok_or_else(to)?));
    }
    if held.is_empty() {
        edits.push(Edit::add(id, after(&none).ok_or_else(to)?));
    }
    let name = say(&format!("stage.{}", stage.word()), &[]);
    done(session, &job, say("what.stage", &[("name", &name)]), &edits)
}

pub(crate) fn pass(session: &Session, ask: GatePassed) -> Result<StagesView, Problem> {
    let stage = kind(&ask.stage)?;
    let reason = said(&ask.reason).ok_or_else(|| Problem::new("stage.no_reason", "reason"))?;
    let job = session.desk().job(&ask.job)?;
    let stands = views::view(session, &job)?;
    let known = stands.stages.iter().flat_map(|stage| &stage.gates).any(|gate| gate.id == ask.gate);
    if !known {
        return Err(unknown("stage.unknown_gate", "gate", &ask.gate));
    }
    let pass = GatePass { stage, missing: ask.gate, reason };
    let edit = Edit::add(session.desk().new_id(), pass);
    done(session, &job, say("what.gate", &[]), &[edit])
}

pub(crate) fn confirm(session: &Session, ask: ClientConfirmed) -> Result<StagesView, Problem> {
    let mut desk = session.desk();
    let (job, me) = (desk.job(&ask.job)?, desk.me.name.clone());
    drop(desk);
    let condition = views::conditions(&job).into_iter().find(|one| one.what == ask.what);
    if condition.is_none() && !views::CONFIRMED.contains(&ask.what.as_str()) {
        return Err(unknown("stage.unknown_confirmed", "what", &ask.what));
    }
    // What the client agrees to has the client's name; that a condition was kept says whoever kept it.
    let by = said(&ask.by).or_else(|| condition.as_ref().map(|_| me));
    if ask.confirmed && by.is_none() {
        return Err(Problem::new("quote.no_name", "by"));
    }
    let old: Vec<ItemId> = job
        .view
        .client_answers
        .live
        .iter()
        .filter(|held| held.value.what == ask.what)
        .map(|held| held.id.clone())
        .collect();
    let words = match &condition {
        Some(one) => say("what.kept", &[("what", &one.told())]),
        None => say("what.confirmed", &[("what", &say(&format!("confirmed.{}", ask.what), &[]))]),
    };
    let answer = ClientAnswer { what: ask.what, confirmed: ask.confirmed, by, signature: None };
    let id = session.desk().new_id();
    let edit = match old.is_empty() {
        true => Edit::Add { id, entry: answer.into() },
        false => Edit::Correct { id, entry: answer.into(), supersedes: old },
    };
    done(session, &job, words, &[edit])
}

pub(crate) fn heating(session: &Session, ask: HeatingLog) -> Result<StagesView, Problem> {
    if !["off", "ramp", "limit"].contains(&ask.what.as_str()) {
        return Err(unknown("stage.unknown_step", "what", &ask.what));
    }
    let job = session.desk().job(&ask.job)?;
    let celsius = celsius(&ask.warmth, job.units)?;
    if ask.what != "off" && celsius.is_none() {
        return Err(Problem::new("grout.no_warmth", "warmth").with("found", &ask.warmth));
    }
    let step = HeatingStep { what: ask.what, celsius, words: said(&ask.words) };
    let edit = Edit::add(session.desk().new_id(), step);
    done(session, &job, say("what.heating", &[]), &[edit])
}

/// Takes back a gate that was passed, or a step of the heating.
pub(crate) fn forget(session: &Session, ask: OfJobItem) -> Result<StagesView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let tables = [
        job.view.gates.get(&id).map(|_| GatePass::TABLE),
        job.view.heating.get(&id).map(|_| HeatingStep::TABLE),
    ];
    let table = tables.into_iter().flatten().next().ok_or_else(|| unknown("entry.unknown", "id", &ask.id))?;
    done(session, &job, say("what.work_forgotten", &[]), &[Edit::Withdraw { table, id }])
}
