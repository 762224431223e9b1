//! The walk-through with the client: rooms that were looked at, points with who mends them until when, and the handover
//! that is signed and frozen.

use super::jobs::said;
use super::signed::{self, Signed};
use crate::Problem;
use crate::desk::SeenJob;
use crate::refusal::unknown;
use crate::session::Session;
use crate::signature;
use crate::views::walk as views;
use crate::wire::{OfJob, OfJobItem, StageSet, WalkLooked, WalkSet, WalkSign, WalkView};
use crate::words::say;
use chrono::NaiveDate;
use drylay_document::{Edit, Entry, FrozenKind, JobEntry, PinKind, StageKind, WalkItem};
use drylay_geometry::ItemId;

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<WalkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    views::view(session, &job)
}

fn changed(
    session: &Session,
    job: &SeenJob,
    words: String,
    edits: &[Edit<JobEntry>],
) -> Result<WalkView, Problem> {
    session.change(job.id, words, |change| change.apply(job.id, edits))?;
    view(session, OfJob { job: job.id.to_string() })
}

/// The room of that name; nothing for the whole job.
fn room(job: &SeenJob, id: &str) -> Result<Option<ItemId>, Problem> {
    if id.is_empty() {
        return Ok(None);
    }
    let id = ItemId::new(id);
    let known = job.view.rooms.get(&id).is_some();
    if known { Ok(Some(id)) } else { Err(unknown("job.unknown_room", "room", id.as_str())) }
}

pub(crate) fn set(session: &Session, ask: WalkSet) -> Result<WalkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let words = said(&ask.words).ok_or_else(|| Problem::new("note.empty", "words"))?;
    let until = match ask.until.trim() {
        "" => None,
        text => match NaiveDate::parse_from_str(text, "%Y-%m-%d") {
            Ok(day) => Some(day.format("%Y-%m-%d").to_string()),
            Err(_) => return Err(Problem::new("day.unknown", "until").with("found", text)),
        },
    };
    let point = WalkItem {
        words: words.clone(),
        what: Some(PinKind::Room).filter(|_| !ask.room.is_empty()),
        room: room(&job, &ask.room)?,
        settled: ask.settled.then_some(true),
        mender: said(&ask.mender),
        until,
        made_from: said(&ask.made_from),
        looked: None,
    };
    let edit = match &ask.id {
        None => Edit::add(session.desk().new_id(), point),
        Some(id) => {
            let held = job.view.walk.get(&ItemId::new(id)).filter(|held| held.value.looked.is_none());
            let before = held.ok_or_else(|| unknown("entry.unknown", "id", id))?.value.clone();
            // What it was made from stays, or it would be offered again.
            let made_from = point.made_from.clone().or_else(|| before.made_from.clone());
            Edit::change(ItemId::new(id), before, WalkItem { made_from, ..point })
        }
    };
    changed(session, &job, say("what.walk", &[("words", &words)]), &[edit])
}

pub(crate) fn look(session: &Session, ask: WalkLooked) -> Result<WalkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let room = room(&job, &ask.room)?;
    // Two people who looked apart made two entries: what is said next holds for both.
    let mut edits: Vec<Edit<JobEntry>> = Vec::new();
    for held in views::looked(&job, &ask.room) {
        let after = WalkItem { looked: Some(ask.looked), ..held.value.clone() };
        edits.push(Edit::change(&held.id, held.value.clone(), after));
    }
    if edits.is_empty() {
        let looked = WalkItem {
            words: String::new(),
            what: None,
            room,
            settled: None,
            mender: None,
            until: None,
            made_from: None,
            looked: Some(ask.looked),
        };
        edits.push(Edit::add(session.desk().new_id(), looked));
    }
    changed(session, &job, say("what.looked", &[]), &edits)
}

/// Takes a point back: what it was stays in the history.
pub(crate) fn forget(session: &Session, ask: OfJobItem) -> Result<WalkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    if job.view.walk.get(&id).is_none() {
        return Err(unknown("entry.unknown", "id", &ask.id));
    }
    changed(session, &job, say("what.work_forgotten", &[]), &[Edit::Withdraw { table: WalkItem::TABLE, id }])
}

/// Freezes the handover as it stands and closes its step. The same handover twice is one.
pub(crate) fn sign(session: &Session, ask: WalkSign) -> Result<WalkView, Problem> {
    let signed_by = said(&ask.signed_by).ok_or_else(|| Problem::new("walk.no_name", "signed_by"))?;
    let drawn = ask.signature.as_ref().map(signature::bytes).transpose()?.flatten();
    let (job, now) = {
        let mut desk = session.desk();
        (desk.job(&ask.job)?, desk.world.now())
    };
    let bytes = views::gather(session, &job, now)?.bytes(&job)?;
    let words = say("what.handed_over", &[("name", &signed_by)]);
    let file = "handover";
    let handover = Signed { what: FrozenKind::Handover, file, bytes: &bytes, by: signed_by, drawn };
    signed::keep(session, &job, words, handover)?;
    let stage = StageKind::Handover.word().to_owned();
    super::stages::set(session, StageSet { job: ask.job.clone(), stage, to: "finish".to_owned() })?;
    view(session, OfJob { job: ask.job })
}
