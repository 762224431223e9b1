//! Jobs: the list, a new one, one of them, and what is said of it.

use crate::Problem;
use crate::session::Session;
use crate::settle::{self, Settling};
use crate::wire::{JobCard, JobCreate, JobEdit, JobList, JobView, Nothing, OfJob, Settle};
use crate::words::say;
use crate::{summary, views};
use drylay_document::{self as document, Decimal, DocumentId, Edit, JobEntry, JobFacts, Kind};

pub(crate) fn list(session: &Session, _ask: Nothing) -> Result<JobList, Problem> {
    let mut desk = session.desk();
    desk.catch_up()?;
    let lines = desk.store.jobs()?;
    Ok(JobList { jobs: lines.iter().map(summary::card).collect() })
}

pub(crate) fn create(session: &Session, ask: JobCreate) -> Result<JobCard, Problem> {
    let id = DocumentId(session.desk().world.random_id());
    session.change(id, String::new(), |change| {
        change.make(Kind::Job, id);
        let facts = facts(&change.desk.job(&id.to_string())?.view)?;
        let (breakage_percent, attic_percent) = change.desk.shop_rates()?;
        let after = JobFacts {
            name: said(&ask.name),
            client: said(&ask.client),
            site: said(&ask.site),
            units: Some(ask.units.stored()),
            breakage_percent,
            attic_percent,
            ..facts.clone()
        };
        change.apply(id, &[Edit::<JobEntry>::change_single(facts, after)])
    })?;
    session.desk().card(id)
}

pub(crate) fn edit(session: &Session, ask: JobEdit) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let before = facts(&job.view)?;
    let text = |new: &Option<String>, old: &Option<String>| new.as_deref().map_or_else(|| old.clone(), said);
    let rate = |new: &Option<String>, old: &Option<Decimal>, place: &str| match new {
        Some(text) => super::shop::percent(text, place),
        None => Ok(old.clone()),
    };
    let after = JobFacts {
        name: text(&ask.name, &before.name),
        client: text(&ask.client, &before.client),
        site: text(&ask.site, &before.site),
        units: ask.units.map_or(before.units, |units| Some(units.stored())),
        breakage_percent: rate(&ask.breakage, &before.breakage_percent, "breakage")?,
        attic_percent: rate(&ask.attic, &before.attic_percent, "attic")?,
        ..before.clone()
    };
    let edit = Edit::<JobEntry>::change_single(before, after);
    session.change(job.id, say("what.job", &[]), |change| change.apply(job.id, &[edit]))?;
    views::job(&mut session.desk(), &ask.job)
}

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<JobView, Problem> {
    views::job(&mut session.desk(), &ask.job)
}

pub(crate) fn settle(session: &Session, ask: Settle) -> Result<JobView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let settling = settle::edits(&mut desk, &job, &ask.choice)?;
    drop(desk);
    session.change(job.id, say("what.settled", &[]), |change| match settling {
        Settling::Job(edits) => change.apply(job.id, &edits),
        Settling::Room(room, edits) => change.apply(room, &edits),
    })?;
    views::job(&mut session.desk(), &ask.job)
}

/// What is said of a job, to be changed.
pub(super) fn facts(view: &document::JobView) -> Result<JobFacts, Problem> {
    view.facts.value.clone().ok_or_else(|| Problem::new("document.unreadable", ""))
}

/// A text that says something.
pub(crate) fn said(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}
