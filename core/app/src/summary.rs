//! A job's line in the list of jobs, worked out whenever the job is written.

use crate::Problem;
use crate::answers::PlannedArea;
use crate::commands::history;
use crate::crew::LATE;
use crate::desk::{Desk, SeenJob};
use crate::planned::AreaSheet;
use crate::show::iso;
use crate::wire::{JobCard, Stamp, Units};
use drylay_document::exchange::Layouts;
use drylay_document::{DocumentId, JobView, Timestamp};
use drylay_geometry::ItemId;
use drylay_store::{DocumentKey, Op, Standing, Summary};
use std::collections::{BTreeMap, BTreeSet};

/// The lines of the list and what plans came to, as far as this session knows.
#[derive(Debug, Default)]
pub(crate) struct Lines {
    known: Option<BTreeMap<DocumentId, Summary>>,
    counts: BTreeMap<(DocumentId, ItemId), Count>,
    /// The jobs whose lines are still to be worked out, once they were read.
    late: Option<BTreeSet<DocumentId>>,
}

/// How many lines are worked out while somebody waits for the list.
const MOST_LATE: usize = 20;

/// What the accepted plan of an area comes to.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Count {
    /// The sheet it was worked out from: another one makes the count stale.
    key: String,
    pub(crate) tiles: u32,
    pub(crate) cartons: Option<u32>,
}

impl Desk {
    /// The line of a job that was changed just now by this person.
    pub(crate) fn summary(&mut self, job: DocumentId, now: Timestamp) -> Result<Option<Summary>, Problem> {
        let by = self.me.name.clone();
        self.line(job, now, by)
    }

    fn line(&mut self, job: DocumentId, at: Timestamp, by: String) -> Result<Option<Summary>, Problem> {
        let Some(seen) = self.seen_job(job)? else { return Ok(None) };
        let area_m2 = self.area(&seen);
        let (tiles, cartons) = self.tiles(&seen);
        Ok(Some(Summary {
            area_m2,
            tiles: tiles.map(i64::from),
            cartons: cartons.map(i64::from),
            changed_by: by,
            ..bare(job, &seen.view, at)
        }))
    }

    /// The jobs whose lines are still to be worked out, because something of them came from another device.
    fn late(&mut self) -> BTreeSet<DocumentId> {
        let stored = &self.store;
        let read = || {
            let listed = stored.setting(LATE).ok().flatten().unwrap_or_default();
            listed.split(' ').filter_map(DocumentId::parse).collect()
        };
        self.lines.late.get_or_insert_with(read).clone()
    }

    /// The list of these jobs with one more, as it is stored.
    pub(crate) fn late_with(&mut self, job: Option<DocumentId>) -> Option<String> {
        let mut late = self.late();
        late.extend(job);
        self.note_late(late)
    }

    fn note_late(&mut self, late: BTreeSet<DocumentId>) -> Option<String> {
        let words: Vec<String> = late.iter().map(ToString::to_string).collect();
        self.lines.late = Some(late);
        (!words.is_empty()).then(|| words.join(" "))
    }

    /// Works out the lines of the jobs that are late, unless they are so many that the list would have to wait: then
    /// they come one after the other.
    pub(crate) fn catch_up(&mut self) -> Result<(), Problem> {
        let late = self.late();
        if late.len() <= MOST_LATE {
            late.into_iter().try_for_each(|job| self.catch_up_with(job))?;
        }
        Ok(())
    }

    /// Works out the line of one job that is late, if there is any.
    pub(crate) fn catch_up_with_one_line(&mut self) {
        if let Some(job) = self.late().into_iter().next() {
            // What cannot be stored now is still late, and tried again.
            let _ = self.catch_up_with(job);
        }
    }

    fn catch_up_with(&mut self, job: DocumentId) -> Result<(), Problem> {
        let line = match self.seen_job(job)? {
            Some(seen) => {
                let now = self.world.now();
                let (at, by) = match history::latest(self, &seen) {
                    Some(stamp) => (stamp.at, stamp.by.name),
                    None => (now, String::new()),
                };
                self.line(job, at, by)?
            }
            None => None,
        };
        let mut late = self.late();
        late.remove(&job);
        let listed = self.note_late(late.clone());
        let mut ops = vec![Op::Set { key: LATE, value: listed.as_deref() }];
        ops.extend(line.as_ref().map(Op::Summarise));
        if let Err(error) = self.store.write(&ops) {
            late.insert(job);
            self.lines.late = Some(late);
            return Err(error.into());
        }
        line.into_iter().for_each(|line| self.keep_line(line));
        Ok(())
    }

    /// The floor area of all rooms in m²; `None` while a room has none.
    fn area(&mut self, job: &SeenJob) -> Option<f64> {
        let rooms: Vec<DocumentId> = job.view.room_list().iter().map(|held| held.value.document).collect();
        if rooms.is_empty() {
            return None;
        }
        let areas = rooms.iter().map(|id| self.room(job, *id).ok()?.survey.area_m2());
        areas.map(|area| area.map(|(m2, _)| m2)).sum()
    }

    /// Tiles and cartons of all accepted plans; `None` while one of them is not counted.
    fn tiles(&mut self, job: &SeenJob) -> (Option<u32>, Option<u32>) {
        let accepted = job.view.areas.live.iter().filter(|held| !job.view.choices_for(&held.id).is_empty());
        let ids: Vec<ItemId> = accepted.map(|held| held.id.clone()).collect();
        let counts: Option<Vec<Count>> = ids.iter().map(|id| self.count(job.id, id)).collect();
        match counts.filter(|counts| !counts.is_empty()) {
            None => (None, None),
            Some(counts) => (
                Some(counts.iter().map(|count| count.tiles).sum()),
                counts.iter().map(|count| count.cartons).sum(),
            ),
        }
    }

    /// What the accepted plan of an area comes to, if it was counted from what the documents say now.
    pub(crate) fn count(&mut self, job: DocumentId, area: &ItemId) -> Option<Count> {
        let count = self.lines.counts.get(&(job, area.clone()))?.clone();
        let sheet = self.area_sheet(&job.to_string(), area.as_str(), Layouts::Accepted).ok()?;
        (sheet.key == count.key).then_some(count)
    }

    /// Notes what the accepted plan of an area comes to, and puts it into the job's line in the list.
    pub(crate) fn note_count(
        &mut self,
        job: DocumentId,
        sheet: &AreaSheet,
        planned: &PlannedArea,
    ) -> Result<(), Problem> {
        let narrow = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let count = Count {
            key: sheet.key.clone(),
            tiles: narrow(planned.plan.sharing.tiles),
            cartons: planned.plan.cartons(&planned.product).map(narrow),
        };
        let of = (job, ItemId::new(&planned.id));
        if self.lines.counts.get(&of) == Some(&count) || self.store.standing() != Standing::Writable {
            return Ok(());
        }
        self.lines.counts.insert(of, count);
        let Some(old) = self.known_line(job)? else { return Ok(()) };
        let at = Timestamp { utc_ms: old.changed_utc_ms, zone_minutes: old.changed_zone_minutes };
        match self.line(job, at, old.changed_by.clone())? {
            Some(new) if new != old => {
                self.store.write(&[Op::Summarise(&new)])?;
                self.keep_line(new);
                Ok(())
            }
            _ => Ok(()),
        }
    }

    /// The line of a job as it is stored.
    fn known_line(&mut self, job: DocumentId) -> Result<Option<Summary>, Problem> {
        if self.lines.known.is_none() {
            let lines = self.store.jobs()?.into_iter().map(|line| (DocumentId(line.job.0), line));
            self.lines.known = Some(lines.collect());
        }
        Ok(self.lines.known.as_ref().and_then(|known| known.get(&job)).cloned())
    }

    /// Notes a line that was stored.
    pub(crate) fn keep_line(&mut self, line: Summary) {
        if let Some(known) = &mut self.lines.known {
            known.insert(DocumentId(line.job.0), line);
        }
    }

    /// The line of one job.
    pub(crate) fn card(&mut self, job: DocumentId) -> Result<JobCard, Problem> {
        let line = match self.known_line(job)? {
            Some(line) => Some(line),
            None => self.summary(job, self.world.now())?,
        };
        line.map(|line| card(&line)).ok_or_else(|| Problem::new("job.unknown", "job").with("name", job))
    }
}

/// The line of a job as far as its own document says it, without its rooms.
pub(crate) fn bare(job: DocumentId, view: &JobView, at: Timestamp) -> Summary {
    let facts = view.facts.value.as_ref();
    let text = |field: Option<&String>| field.cloned().unwrap_or_default();
    Summary {
        job: DocumentKey(job.0),
        name: text(facts.and_then(|f| f.name.as_ref())),
        client: text(facts.and_then(|f| f.client.as_ref())),
        site: text(facts.and_then(|f| f.site.as_ref())),
        units: Units::of(facts.and_then(|f| f.units)).word().to_owned(),
        rooms: i64::try_from(view.rooms.live.len()).unwrap_or(i64::MAX),
        area_m2: None,
        tiles: None,
        cartons: None,
        changed_utc_ms: at.utc_ms,
        changed_zone_minutes: at.zone_minutes,
        changed_by: String::new(),
        put_away: facts.and_then(|f| f.put_away).unwrap_or(false),
    }
}

/// A line of the list for the screens.
pub(crate) fn card(line: &Summary) -> JobCard {
    let count = |n: i64| u32::try_from(n).unwrap_or(0);
    JobCard {
        id: DocumentId(line.job.0).to_string(),
        name: line.name.clone(),
        client: line.client.clone(),
        site: line.site.clone(),
        rooms: count(line.rooms),
        area_m2: line.area_m2,
        area_text: line.area_m2.map(|m2| Units::of_word(&line.units).whole_area(m2)),
        tiles: line.tiles.map(count),
        cartons: line.cartons.map(count),
        changed: Some(Stamp {
            by: line.changed_by.clone(),
            at: iso(line.changed_utc_ms),
            zone_minutes: line.changed_zone_minutes,
        }),
    }
}
