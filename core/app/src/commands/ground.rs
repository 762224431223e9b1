//! What carries a room's floor, and its heights: looking at them, and saying and reading what they hang on.

use super::ground_edit::{HouseOrRoom, edits};
use crate::Problem;
use crate::forms::{BASE, Form, HEIGHTS};
use crate::session::Session;
use crate::views::ground as views;
use crate::wire::{GroundEditAsk, GroundView, OfRoom};
use drylay_geometry::ItemId;

pub(crate) fn base_view(session: &Session, ask: OfRoom) -> Result<GroundView, Problem> {
    let site = session.desk().ground(&ask.job, &ask.room)?;
    Ok(views::base(&site))
}

pub(crate) fn heights_view(session: &Session, ask: OfRoom) -> Result<GroundView, Problem> {
    let site = session.desk().ground(&ask.job, &ask.room)?;
    Ok(views::heights(&site))
}

pub(crate) fn base_edit(session: &Session, ask: GroundEditAsk) -> Result<GroundView, Problem> {
    edit(session, &ask, BASE)?;
    base_view(session, OfRoom { job: ask.job, room: ask.room })
}

pub(crate) fn heights_edit(session: &Session, ask: GroundEditAsk) -> Result<GroundView, Problem> {
    edit(session, &ask, HEIGHTS)?;
    heights_view(session, OfRoom { job: ask.job, room: ask.room })
}

fn edit(session: &Session, ask: &GroundEditAsk, forms: &'static [Form]) -> Result<(), Problem> {
    let mut desk = session.desk();
    let (job, seen) = desk.floor_room(&ask.job, &ask.room)?;
    let id = desk.new_id();
    drop(desk);
    let (done, words) = edits(&job, &seen, forms, &ask.edit, (&ItemId::new(&ask.room), &id))?;
    let document = job.room(&ask.room, "room")?;
    session.change(job.id, words, |change| match done {
        HouseOrRoom::House(edits) => change.apply(job.id, &edits),
        HouseOrRoom::Room(edits) => change.apply(document, &edits),
    })?;
    Ok(())
}
