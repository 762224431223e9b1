//! Floors of rooms: from documents to what was read, and what was judged and corrected, kept until readings change.

use crate::Problem;
use crate::answers::floor_read::FloorRead;
use crate::answers::floor_work::{Filling, filling, plan};
use crate::answers::{ResolvedRoom, resolve};
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::session::Session;
use drylay_document::RoomView;
use drylay_document::exchange::{Exported, Layouts, to_sheet};
use drylay_document::sheet::Sheet;
use drylay_geometry::ItemId;
use drylay_survey::floor::work::Work;
use drylay_survey::floor::{Corrected, Job, Judged};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A room's floor in one round, as a sheet of that room alone.
#[derive(Debug)]
pub(crate) struct FloorSheet {
    pub(crate) sheet: Sheet,
    /// The readings in the sheet's order.
    pub(crate) rods: Vec<ItemId>,
    /// What verdicts hang on.
    judge_key: String,
    /// What a correction hangs on.
    work_key: String,
}

/// A correction with the work it comes to.
#[derive(Debug)]
pub(crate) struct Mended {
    pub(crate) job: Job,
    pub(crate) done: Corrected,
    pub(crate) work: Option<(Work, Filling)>,
}

impl Mended {
    /// Works out the correction of a floor as it was read; `None` where nothing is to be corrected.
    ///
    /// # Errors
    /// Why there can be none.
    pub(crate) fn of(
        read: &FloorRead,
        filling: Option<Filling>,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<Self>, Problem> {
        let Some((job, done)) = read.correct(&mut |part| go_on(0.9 * part))? else { return Ok(None) };
        let work = filling.and_then(|filling| {
            let work = plan(read, &job, &done, &filling, &mut || go_on(0.95))?;
            Some((work, filling))
        });
        Ok(Some(Self { job, done, work }))
    }
}

/// What is remembered of a floor.
#[derive(Debug, Default)]
struct Kept {
    judged: Option<(String, Arc<Vec<Judged>>)>,
    mended: Option<(String, Arc<Mended>)>,
}

/// A room of a job in a round.
type Of = (String, String, i64);

/// All floors that are remembered.
#[derive(Debug, Default)]
pub(crate) struct Floors(BTreeMap<Of, Kept>);

impl Floors {
    pub(crate) fn judged(&self, of: &Of, sheet: &FloorSheet) -> Option<Arc<Vec<Judged>>> {
        let (key, judged) = self.0.get(of)?.judged.as_ref()?;
        (*key == sheet.judge_key).then(|| judged.clone())
    }

    pub(crate) fn keep_judged(&mut self, of: &Of, sheet: &FloorSheet, judged: Vec<Judged>) {
        self.0.entry(of.clone()).or_default().judged = Some((sheet.judge_key.clone(), Arc::new(judged)));
    }

    pub(crate) fn mended(&self, of: &Of, sheet: &FloorSheet) -> Option<Arc<Mended>> {
        let (key, mended) = self.0.get(of)?.mended.as_ref()?;
        (*key == sheet.work_key).then(|| mended.clone())
    }

    pub(crate) fn keep_mended(&mut self, of: &Of, sheet: &FloorSheet, mended: Mended) {
        self.0.entry(of.clone()).or_default().mended = Some((sheet.work_key.clone(), Arc::new(mended)));
    }
}

impl FloorSheet {
    /// What was read.
    pub(crate) fn read(&self) -> FloorRead {
        let room = &self.sheet.rooms[0];
        let resolved = resolve(&self.sheet).ok().and_then(|mut rooms| rooms.pop());
        let resolved = resolved.unwrap_or_else(|| ResolvedRoom {
            corners: Vec::new(),
            surveyed: None,
            outline: None,
            things: Vec::new(),
            bowed: Vec::new(),
        });
        FloorRead::of(&self.sheet, room, &resolved, "")
    }

    pub(crate) fn filling(&self) -> Option<Filling> {
        filling(&self.sheet)
    }
}

/// The newest round of a room: after the last work on it.
pub(crate) fn newest_round(view: &RoomView) -> i64 {
    let worked = view.rounds.live.iter().map(|held| held.value.number);
    let rods = view.rods.live.iter().filter_map(|held| held.value.round);
    let edges = view.straightedges.live.iter().filter_map(|held| held.value.round);
    let lines = view.lines.live.iter().filter_map(|held| held.value.round);
    worked.chain(rods).chain(edges).chain(lines).max().unwrap_or(0)
}

impl Desk {
    /// A room with its job.
    pub(crate) fn floor_room(&mut self, job: &str, room: &str) -> Result<(SeenJob, Arc<SeenRoom>), Problem> {
        let job = self.job(job)?;
        let document = job.room(room, "room")?;
        let seen = self.room(&job, document)?;
        Ok((job, seen))
    }

    /// The sheet of a job with its floors in a round; `None` for the newest of each.
    pub(crate) fn sheet_of(&mut self, job: &SeenJob, round: Option<i64>) -> Exported {
        let mut views: BTreeMap<ItemId, Arc<SeenRoom>> = BTreeMap::new();
        for link in job.view.room_list() {
            if let Ok(seen) = self.room(job, link.value.document) {
                views.insert(link.id.clone(), seen);
            }
        }
        let find = |id: &ItemId| views.get(id).map(|seen| &seen.view);
        to_sheet(&job.view, find, Layouts::Wished, round)
    }

    /// The sheet of a room's floor in a round.
    pub(crate) fn floor_sheet(
        &mut self,
        job: &SeenJob,
        room: &str,
        round: i64,
    ) -> Result<FloorSheet, Problem> {
        let exported = self.sheet_of(job, Some(round));
        let mut sheet = exported.sheet;
        let at = sheet.rooms.iter().position(|r| r.id.as_str() == room);
        let at = at.ok_or_else(|| unknown("room.not_here", "room", room))?;
        let rods = exported.rooms.get(at).map(|index| index.rods.clone()).unwrap_or_default();
        sheet.rooms = vec![sheet.rooms.swap_remove(at)];
        sheet.passages.clear();
        sheet.rates = None;
        sheet.supplies.clear();
        sheet.quote = None;
        sheet.job.call = None;
        let here = sheet.rooms[0].id.clone();
        sheet.areas.retain(|area| area.rooms.contains(&here));
        let work_key = sheet.write();
        let mut bare = sheet.clone();
        bare.compounds.clear();
        bare.rooms.iter_mut().filter_map(|r| r.level.as_mut()).for_each(|level| level.correction = None);
        Ok(FloorSheet { judge_key: bare.write(), work_key, sheet, rods })
    }
}

impl Session {
    /// The verdicts on a floor that are known.
    pub(crate) fn judged(&self, of: &Of, sheet: &FloorSheet) -> Option<Arc<Vec<Judged>>> {
        self.floors().judged(of, sheet)
    }
}
