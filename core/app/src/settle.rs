//! Where people said different things apart: what is shown of it, and how one of them comes to hold.

use crate::Problem;
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::show::stamp;
use crate::surveyed::Surveyed;
use crate::wire::{DisagreementValue, DisagreementView};
use crate::words::say;
use drylay_document::{
    Claim, Conflict, ContentHash, DocumentId, Edit, JobEntry, Kind, RoomEntry, Style, TapeReading, Value,
};
use drylay_geometry::{ItemId, Length};
use drylay_survey::stats::DOUBTED;

/// All disagreements of a job and its rooms.
pub(crate) fn views(desk: &mut Desk, job: &SeenJob) -> Result<Vec<DisagreementView>, Problem> {
    let mut views: Vec<_> =
        conflicts(desk, job.id, Kind::Job)?.iter().map(|c| view(c, None, None, None)).collect();
    for held in job.view.room_list() {
        let document = held.value.document;
        let Ok(seen) = desk.room(job, document) else { continue };
        let all = conflicts(desk, document, Kind::Room)?;
        views.extend(all.iter().map(|c| {
            let others = others(job, &held.id, &seen, c);
            view(c, Some(&held.id), Some(&seen), others)
        }));
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
    others: Option<Others>,
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
        suggestion: match &others {
            Some(others) => others.fit.and_then(|n| values.get(n)),
            None => values.last(),
        }
        .map(|value| value.choice.clone()),
        others: others.map(|others| others.words),
        values,
    }
}

/// What a room's other readings say of the values of a distance that was read again apart.
struct Others {
    /// In words, with figures.
    words: String,
    /// Which of the values they fit, where they decide it.
    fit: Option<usize>,
}

/// The room is adjusted with each of the values in turn, without the others of them, and the value's standardised
/// residual tells how well it fits (the same figure as how far it is from what the other readings say, over the
/// standard deviation of that). They decide where one value stands the test at 0.1 % and no other does.
fn others(job: &SeenJob, link: &ItemId, seen: &SeenRoom, conflict: &Conflict) -> Option<Others> {
    let all: Vec<&ItemId> = conflict.claims.iter().filter_map(|claim| claim.record.as_ref()).collect();
    let read = all.len() == conflict.claims.len() && all.iter().all(|id| seen.view.tape.get(id).is_some());
    if !read {
        return None;
    }
    let fits: Option<Vec<Fit>> = all.iter().map(|id| fit(job, link, seen, (id, &all))).collect();
    let Some(fits) = fits else {
        return Some(Others { words: say("disagree.others_silent", &[]), fit: None });
    };
    let each = conflict.claims.iter().zip(&fits).map(|(claim, fit)| {
        let (off, w) = (job.units.known(fit.off_mm.abs(), fit.sd_mm), format!("{:.1}", fit.w.abs()));
        say("disagree.off", &[("value", &shown(conflict, claim)), ("off", &off), ("w", &w)])
    });
    let each = each.collect::<Vec<_>>().join("; ");
    let standing: Vec<usize> = (0..fits.len()).filter(|n| fits[*n].w.abs() <= DOUBTED).collect();
    Some(match standing[..] {
        [n] => {
            let value = shown(conflict, &conflict.claims[n]);
            Others { words: say("disagree.others_fit", &[("value", &value), ("each", &each)]), fit: Some(n) }
        }
        [] => Others { words: say("disagree.others_fit_none", &[("each", &each)]), fit: None },
        _ => Others { words: say("disagree.others_fit_both", &[("each", &each)]), fit: None },
    })
}

/// How a value fits the other readings.
struct Fit {
    /// How far it is from what they say, in mm.
    off_mm: f64,
    /// The standard deviation of what they say, in mm.
    sd_mm: f64,
    /// Its standardised residual.
    w: f64,
}

/// How one of the readings in question fits; `None` where the others say nothing of its distance.
fn fit(job: &SeenJob, link: &ItemId, seen: &SeenRoom, (kept, all): (&ItemId, &[&ItemId])) -> Option<Fit> {
    let mut view = seen.view.clone();
    view.tape.live.retain(|held| held.id == *kept || !all.contains(&&held.id));
    let survey = Surveyed::of(&job.view, link, &view, &seen.labels, Length::ZERO);
    let at = survey.readings.iter().position(|id| id == kept)?;
    let result = survey.room()?.readings.get(at)?;
    let says = result.others_say?;
    Some(Fit { off_mm: result.read - says.value, sd_mm: says.sd, w: result.w? })
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
