//! What carries a room's floor and its heights: from documents to a sheet of the whole house.

use crate::Problem;
use crate::answers::{ResolvedRoom, resolve};
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::show::iso;
use crate::wire::Units;
use drylay_document::FloorFacts;
use drylay_document::sheet::{Room, Sheet};
use std::sync::Arc;

/// A room within the sheet of its house.
#[derive(Debug)]
pub(crate) struct GroundSheet {
    pub(crate) job: SeenJob,
    pub(crate) seen: Arc<SeenRoom>,
    pub(crate) sheet: Sheet,
    /// Where the room stands in it.
    pub(crate) at: usize,
    /// The room's shape, where it is known.
    pub(crate) shape: Option<ResolvedRoom>,
    pub(crate) units: Units,
}

impl GroundSheet {
    /// The room in the sheet.
    pub(crate) fn room(&self) -> &Room {
        &self.sheet.rooms[self.at]
    }

    /// What is said of its floor once.
    pub(crate) fn facts(&self) -> Option<&FloorFacts> {
        self.seen.view.floor.value.as_ref()
    }
}

impl Desk {
    /// A room with the sheet of its house. Where no day is said on which laying begins, it is today.
    pub(crate) fn ground(&mut self, job: &str, room: &str) -> Result<GroundSheet, Problem> {
        let (job, seen) = self.floor_room(job, room)?;
        let mut sheet = self.sheet_of(&job, None).sheet;
        let at = sheet.rooms.iter().position(|r| r.id.as_str() == room);
        let at = at.ok_or_else(|| unknown("room.not_here", "room", room))?;
        let today = iso(self.world.now().utc_ms);
        sheet.job.day.get_or_insert_with(|| today.chars().take(10).collect());
        let alone = Sheet { rooms: vec![sheet.rooms[at].clone()], ..sheet.clone() };
        let shape = resolve(&alone).ok().and_then(|mut rooms| rooms.pop());
        let units = job.units;
        Ok(GroundSheet { job, seen, sheet, at, shape, units })
    }
}
