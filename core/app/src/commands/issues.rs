//! Issuing a plan: what is given out to be laid is frozen, and what changed since is said.

use super::signed::among_frozen;
use crate::Problem;
use crate::change::Change;
use crate::desk::Desk;
use crate::issue::{Issued, bytes};
use crate::session::Session;
use crate::show::stamp;
use crate::wire::{IssueList, IssueView, OfArea};
use crate::words::say;
use drylay_document::exchange::Layouts;
use drylay_document::frozen::{FrozenRecord, frozen_id};
use drylay_document::{ContentHash, Frozen, FrozenKind, Kind, Source};
use drylay_geometry::ItemId;
use drylay_store::FileHash;

/// What the bytes are.
const MEDIA: &str = "application/json";

pub(crate) fn list(session: &Session, ask: OfArea) -> Result<IssueList, Problem> {
    let (planned, sheet) = session.planned(&ask.job, &ask.area)?;
    let now = bytes(&sheet.sheet, &planned)?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let records = job.view.frozen_records();
    let of_area = |record: &&FrozenRecord| {
        let frozen = &record.held.value;
        frozen.what == FrozenKind::Plan && frozen.area.as_ref().is_some_and(|area| area.as_str() == ask.area)
    };
    let standing = Issued::read(&now).ok_or_else(|| Problem::internal("issue"))?;
    let hash = ContentHash::of(&now);
    let issues: Vec<IssueView> = records
        .iter()
        .rev()
        .filter(of_area)
        .map(|record| {
            let read = desk.store.read_file(FileHash(record.held.value.hash.0)).ok();
            let issued = read.and_then(|read| Issued::read(&read));
            let changes = issued.as_ref().map(|issued| issued.changes(&standing, job.units));
            IssueView {
                id: record.held.id.to_string(),
                short: record.held.id.as_str().chars().take(8).collect(),
                number: u32::try_from(record.held.value.number).unwrap_or(0),
                number_shared: record.number_shared,
                stamp: stamp(&record.held.added),
                tiles: issued.as_ref().and_then(Issued::tiles),
                same: sheet.accepted && changes.as_ref().is_some_and(Vec::is_empty),
                changes: changes.unwrap_or_default(),
            }
        })
        .collect();
    let known = issues.iter().any(|issue| issue.id == frozen_id(hash));
    Ok(IssueList { area: ask.area, can_issue: sheet.accepted && !known, issues })
}

/// Freezes the plan as it stands. Issuing the same plan twice is the same issue.
pub(crate) fn issue(session: &Session, ask: OfArea) -> Result<IssueList, Problem> {
    let (planned, sheet) = session.planned(&ask.job, &ask.area)?;
    if !sheet.accepted {
        return Err(Problem::new("issue.not_taken", "area"));
    }
    let bytes = bytes(&sheet.sheet, &planned)?;
    let job = session.desk().job(&ask.job)?;
    // The bytes first: a record without its bytes would be worse than bytes without a record.
    session.desk().store.put_file(&bytes, "plan")?;
    let name = job.view.areas.get(&ItemId::new(&ask.area)).and_then(|held| held.value.name.clone());
    let words = say("what.issued", &[("name", &name.unwrap_or_default())]);
    session.change(job.id, words, |change| {
        let now = change.desk.area_sheet(&ask.job, &ask.area, Layouts::Accepted)?;
        if now.key != sheet.key {
            return Err(Problem::new("issue.overtaken", "area"));
        }
        freeze(change, &ask, &bytes)
    })?;
    list(session, ask)
}

fn freeze(change: &mut Change<'_>, ask: &OfArea, bytes: &[u8]) -> Result<(), Problem> {
    let hash = ContentHash::of(bytes);
    let job = change.desk.job(&ask.job)?;
    let frozen = Frozen {
        what: FrozenKind::Plan,
        number: job.view.next_number(FrozenKind::Plan),
        hash,
        bytes: i64::try_from(bytes.len()).unwrap_or(i64::MAX),
        media: MEDIA.to_owned(),
        sources: sources(change.desk, ask)?,
        area: Some(ItemId::new(&ask.area)),
        signature: None,
        signed_by: None,
    };
    let edit = among_frozen(&job.view, frozen);
    change.apply(job.id, edit.as_slice())
}

/// The job's document and those of the area's rooms, as they stand.
fn sources(desk: &mut Desk, ask: &OfArea) -> Result<Vec<Source>, Problem> {
    let job = desk.job(&ask.job)?;
    let mut all = Vec::new();
    all.extend(desk.document(job.id, Kind::Job)?.map(|document| document.source()));
    let area = job.view.areas.get(&ItemId::new(&ask.area)).map(|held| held.value.rooms.clone());
    for room in area.unwrap_or_default() {
        let Some(held) = job.view.rooms.get(&room) else { continue };
        all.extend(desk.document(held.value.document, Kind::Room)?.map(|document| document.source()));
    }
    Ok(all)
}
