//! A job's line in the list of jobs, worked out whenever the job is written.

use crate::Problem;
use crate::desk::{Desk, SeenJob};
use crate::show::iso;
use crate::wire::{JobCard, Stamp};
use drylay_document::{DocumentId, Timestamp};
use drylay_store::{DocumentKey, Summary};

impl Desk {
    /// The line of a job that was changed just now by this person.
    pub(crate) fn summary(&mut self, job: DocumentId, now: Timestamp) -> Result<Option<Summary>, Problem> {
        let Some(seen) = self.seen_job(job)? else { return Ok(None) };
        let area_m2 = self.area(&seen);
        let facts = seen.view.facts.value.as_ref();
        let text = |field: Option<&String>| field.cloned().unwrap_or_default();
        Ok(Some(Summary {
            job: DocumentKey(job.0),
            name: text(facts.and_then(|f| f.name.as_ref())),
            client: text(facts.and_then(|f| f.client.as_ref())),
            site: text(facts.and_then(|f| f.site.as_ref())),
            rooms: i64::try_from(seen.view.rooms.live.len()).unwrap_or(i64::MAX),
            area_m2,
            tiles: None,
            cartons: None,
            changed_utc_ms: now.utc_ms,
            changed_zone_minutes: now.zone_minutes,
            changed_by: self.me.name.clone(),
            put_away: facts.and_then(|f| f.put_away).unwrap_or(false),
        }))
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

    /// The line of one job as it is stored.
    pub(crate) fn card(&mut self, job: DocumentId) -> Result<JobCard, Problem> {
        let stored = self.store.jobs()?.into_iter().find(|line| line.job.0 == job.0);
        let line = match stored {
            Some(line) => Some(line),
            None => self.summary(job, self.world.now())?,
        };
        line.map(|line| card(&line)).ok_or_else(|| Problem::new("job.unknown", "job").with("name", job))
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
        tiles: line.tiles.map(count),
        cartons: line.cartons.map(count),
        changed: Some(Stamp {
            by: line.changed_by.clone(),
            at: iso(line.changed_utc_ms),
            zone_minutes: line.changed_zone_minutes,
        }),
    }
}
