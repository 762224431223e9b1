//! Where people said different things apart: what is shown of it, and how one of them comes to hold.

use crate::Problem;
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::show::stamp;
use crate::wire::{DisagreementValue, DisagreementView};
use crate::words::say;
use drylay_document::{
    Claim, Conflict, ContentHash, DocumentId, Edit, JobEntry, Kind, RoomEntry, Style, TapeReading, Value,
};
use drylay_geometry::ItemId;

/// All disagreements of a job and its rooms.
pub(crate) fn views(desk: &mut Desk, job: &SeenJob) -> Result<Vec<DisagreementView>, Problem> {
    let mut views: Vec<_> = conflicts(desk, job.id, Kind::Job)?.iter().map(|c| view(c, None, None)).collect();
    for held in job.view.room_list() {
        let document = held.value.document;
        let Ok(seen) = desk.room(job, document) else { continue };
        let all = conflicts(desk, document, Kind::Room)?;
        views.extend(all.iter().map(|c| view(c, Some(&held.id), Some(&seen))));
    }
    Ok(views)
}

fn conflicts(desk: &mut Desk, document: DocumentId, kind: Kind) -> Result<Vec<Conflict>, Problem> {
    Ok(desk.document(document, kind)?.map(|document| document.conflicts()).unwrap_or_default())
}

fn view(
    conflict: &Conflict,
    room: Option<&ItemId>,
    seen: Option<&std::sync::Arc<SeenRoom>>,
) -> DisagreementView {
    let seen = seen.map(std::sync::Arc::as_ref);
    let values: Vec<DisagreementValue> = conflict
        .claims
        .iter()
        .map(|claim| DisagreementValue {
            value: shown(conflict, claim),
            stamp: stamp(&claim.stamp),
            choice: choice(conflict, claim),
        })
        .collect();
    DisagreementView {
        id: format!("{}/{}/{}", conflict.table.name, conflict.id, conflict.field.as_deref().unwrap_or("")),
        what: what(conflict, seen),
        room: room.map(ToString::to_string),
        suggestion: values.last().map(|value| value.choice.clone()),
        values,
    }
}

fn shown(conflict: &Conflict, claim: &Claim) -> String {
    match (claim.value.field("read"), &claim.value) {
        (Some(Value::Length { text, .. }), _) => text.clone(),
        // No field: it is the thing itself that one wants gone.
        (None, Value::Flag(stays)) if conflict.field.is_none() => {
            say(if *stays { "disagree.stays" } else { "disagree.goes" }, &[])
        }
        _ => claim.value.plain(),
    }
}

fn what(conflict: &Conflict, seen: Option<&SeenRoom>) -> String {
    let corner = |field: &str| {
        let said = conflict.claims.iter().find_map(|claim| claim.value.field(field));
        if let Some(Value::Id(id)) = said { Some(ItemId::new(id)) } else { None }
    };
    if let (Some(seen), Some(from), Some(to)) = (seen, corner("from"), corner("to")) {
        return seen.labels.pair(&from, &to);
    }
    let table = conflict.table.name.replace('_', " ");
    match &conflict.field {
        Some(field) => format!("{table}: {}", field.replace('_', " ")),
        None => table,
    }
}

/// What a screen gives back to settle a conflict one way: the record's id, or a name of place and value.
fn choice(conflict: &Conflict, claim: &Claim) -> String {
    if let Some(record) = &claim.record {
        return record.to_string();
    }
    let field = conflict.field.as_deref().unwrap_or("");
    let value = ContentHash::of(format!("{:?}", claim.value).as_bytes()).to_string();
    format!("{}/{}/{field}/{}", conflict.table.name, conflict.id, &value[..16])
}

/// The edits by which a choice comes to hold: in the job's own document or in that of one of its rooms.
pub(crate) enum Settling {
    /// In the job's.
    Job(Vec<Edit<JobEntry>>),
    /// In a room's.
    Room(DocumentId, Vec<Edit<RoomEntry>>),
}

/// The edits by which a choice of any disagreement of the job comes to hold.
pub(crate) fn edits(desk: &mut Desk, job: &SeenJob, keep: &str) -> Result<Settling, Problem> {
    for held in job.view.room_list() {
        let document = held.value.document;
        let Ok(seen) = desk.room(job, document) else { continue };
        if let Ok(edits) = room_edits(desk, document, &seen, keep) {
            return Ok(Settling::Room(document, edits));
        }
    }
    let (conflict, claim) = chosen(desk, job.id, Kind::Job, keep)?;
    field_edit(&conflict, &claim).map(|edit| Settling::Job(vec![edit]))
}

/// The edits by which a choice comes to hold in a room: a reading that stands, or a choice of a disagreement.
pub(crate) fn room_edits(
    desk: &mut Desk,
    document: DocumentId,
    seen: &SeenRoom,
    keep: &str,
) -> Result<Vec<Edit<RoomEntry>>, Problem> {
    if let Some(held) = seen.view.tape.get(&ItemId::new(keep)) {
        return Ok(vec![keep_reading(desk, seen, &held.value)]);
    }
    let (conflict, claim) = chosen(desk, document, Kind::Room, keep)?;
    field_edit(&conflict, &claim).map(|edit| vec![edit])
}

/// Says a reading again in the place of all that stand for its distance: so everybody sees who settled it.
fn keep_reading(desk: &Desk, seen: &SeenRoom, kept: &TapeReading) -> Edit<RoomEntry> {
    let all = crate::commands::room::readings_of(seen, &kept.from, &kept.to);
    Edit::Correct {
        id: desk.new_id(),
        entry: kept.clone().into(),
        supersedes: all.map(|held| held.id.clone()).collect(),
    }
}

fn chosen(
    desk: &mut Desk,
    document: DocumentId,
    kind: Kind,
    keep: &str,
) -> Result<(Conflict, Claim), Problem> {
    let all = conflicts(desk, document, kind)?;
    let mut pairs =
        all.iter().flat_map(|conflict| conflict.claims.iter().map(move |claim| (conflict, claim)));
    let found = pairs.find(|(conflict, claim)| choice(conflict, claim) == keep);
    found
        .map(|(conflict, claim)| (conflict.clone(), claim.clone()))
        .ok_or_else(|| unknown("settle.unknown", "keep", keep))
}

fn field_edit<E>(conflict: &Conflict, claim: &Claim) -> Result<Edit<E>, Problem> {
    let (table, id) = (conflict.table, conflict.id.clone());
    match (&conflict.field, table.style) {
        (Some(field), Style::Thing | Style::Single) => {
            Ok(Edit::Settle { table, id, field: field.clone(), value: claim.value.clone() })
        }
        (None, Style::Thing) if claim.value == Value::Flag(true) => Ok(Edit::Restore { table, id }),
        (None, Style::Thing) => Ok(Edit::Withdraw { table, id }),
        (None, Style::Record) if claim.value == Value::Flag(false) => Ok(Edit::Withdraw { table, id }),
        // The other sides of records that disagree are withdrawn by naming the one to keep; only tape readings
        // are corrected apart today.
        _ => Err(unknown("settle.unknown", "keep", id.as_str())),
    }
}
