//! Jobs as sheets: in, out, and the demo.

use crate::Problem;
use crate::answers::demo;
use crate::session::Session;
use crate::wire::{JobCard, Nothing, OfJob, SheetAsk, SheetText};
use drylay_document::exchange::{Layouts, from_sheet};
use drylay_document::{DocumentId, Kind};

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
        change.apply(id, &new.job)
    })?;
    session.desk().card(id)
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
