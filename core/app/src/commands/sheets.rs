//! Jobs as sheets: in, out, and the demo.

use crate::Problem;
use crate::answers::demo;
use crate::desk::Desk;
use crate::session::Session;
use crate::wire::{JobCard, Nothing, OfJob, SheetAsk, SheetText};
use drylay_document::exchange::{Layouts, from_sheet};
use drylay_document::{DocumentId, Edit, JobEntry, Kind};

/// Where the demo job is remembered among the store's settings.
const DEMO: &str = "demo.job";

pub(crate) fn import(session: &Session, ask: SheetAsk) -> Result<JobCard, Problem> {
    let read = crate::read_sheet(&ask.sheet).map_err(|mut found| found.swap_remove(0))?;
    let world = session.desk().world.clone();
    let new = from_sheet(&read.sheet, || DocumentId(world.random_id()));
    let id = DocumentId(world.random_id());
    session.change(id, String::new(), |change| {
        change.make(Kind::Job, id);
        for (room, edits) in &new.rooms {
            change.make(Kind::Room, *room);
            change.apply(*room, edits)?;
        }
        change.apply(id, &new.job)?;
        let rates = rates_of_the_shop(change.desk, id)?;
        change.apply(id, &rates)
    })?;
    session.desk().card(id)
}

/// The shop's rates where the sheet named none: a job takes along what it was reckoned with, so that it comes to the
/// same on the device of somebody whose shop has other rates.
fn rates_of_the_shop(desk: &mut Desk, id: DocumentId) -> Result<Vec<Edit<JobEntry>>, Problem> {
    let before = super::jobs::facts(&desk.job(&id.to_string())?.view)?;
    let (breakage, attic) = desk.shop_rates()?;
    let mut after = before.clone();
    after.breakage_percent = after.breakage_percent.or(breakage);
    after.attic_percent = after.attic_percent.or(attic);
    let changed = after != before;
    Ok(changed.then(|| Edit::change_single(before, after)).into_iter().collect())
}

pub(crate) fn export(session: &Session, ask: OfJob) -> Result<SheetText, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let exported = desk.sheet(&job, Layouts::Accepted);
    let warnings = exported.left_out.iter().map(|left| format!("{}: {}", left.id, left.why)).collect();
    Ok(SheetText { sheet: exported.sheet.write(), warnings })
}

/// The demo job; made the first time, found again later.
pub(crate) fn demo_job(session: &Session, _ask: Nothing) -> Result<JobCard, Problem> {
    let known = session.desk().store.setting(DEMO)?;
    if let Some(id) = known.as_deref().and_then(DocumentId::parse)
        && session.desk().seen_job(id)?.is_some()
    {
        return session.desk().card(id);
    }
    let card = import(session, SheetAsk { sheet: demo::SHEET.to_owned() })?;
    session.desk().store.write(&[drylay_store::Op::Set { key: DEMO, value: Some(&card.id) }])?;
    Ok(card)
}
