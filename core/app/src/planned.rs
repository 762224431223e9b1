//! Plans of a job's areas, worked out from its sheet and kept until the sheet says something else.

use crate::Problem;
use crate::answers::{PlannedArea, plan_area, resolve};
use crate::desk::{Desk, SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::session::Session;
use crate::wire::PieceView;
use drylay_document::exchange::{Exported, Layouts, to_sheet};
use drylay_document::sheet::Sheet;
use drylay_geometry::ItemId;
use drylay_plan::Progress;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The effort of a search before the first answer is given: not a time, so that every device gives the same; on a
/// desktop well under a second for a house.
pub(crate) const FIRST_ANSWER: u64 = 300_000;
/// The same for a search that was asked for.
pub(crate) const FULL_SEARCH: u64 = 60_000_000;
/// How many states of one plan are remembered, to answer with what changed.
const STATES: usize = 4;

/// An area with the sheet its plan is worked out from.
#[derive(Debug)]
pub(crate) struct AreaSheet {
    /// Only this area and its rooms.
    pub(crate) sheet: Sheet,
    /// The same as text: what the plan hangs on.
    pub(crate) key: String,
    /// Corner names of the area's rooms with the corners' ids, by the rooms' order in the area.
    pub(crate) corners: Vec<BTreeMap<String, ItemId>>,
    /// Whether a choice was accepted.
    pub(crate) accepted: bool,
}

/// What is remembered of an area's plan.
#[derive(Debug, Default)]
pub(crate) struct Kept {
    key: String,
    pub(crate) area: Option<Arc<PlannedArea>>,
    states: Vec<State>,
}

/// A state of a plan that was shown.
#[derive(Debug)]
struct State {
    version: String,
    pieces: Vec<PieceView>,
    /// What else was shown of it.
    rest: String,
}

/// All plans that are remembered.
#[derive(Debug, Default)]
pub(crate) struct Plans {
    kept: BTreeMap<(String, String), Kept>,
    counter: u64,
}

impl Plans {
    /// The plan that was worked out from the same sheet.
    pub(crate) fn find(&self, of: &(String, String), key: &str) -> Option<Arc<PlannedArea>> {
        self.kept.get(of).filter(|kept| kept.key == key).and_then(|kept| kept.area.clone())
    }

    /// Remembers a plan.
    pub(crate) fn keep(&mut self, of: &(String, String), key: &str, area: Arc<PlannedArea>) {
        let kept = self.kept.entry(of.clone()).or_default();
        key.clone_into(&mut kept.key);
        kept.area = Some(area);
    }

    /// Forgets every plan: what is remembered of it speaks the language it was worked out in.
    pub(crate) fn forget(&mut self) {
        self.kept.clear();
    }

    /// Names the state of these pieces, and says what changed since an earlier one: new and changed pieces, and
    /// those that are gone; `None` if that state is not remembered.
    pub(crate) fn state(
        &mut self,
        of: &(String, String),
        pieces: &[PieceView],
        rest: &str,
        have: Option<&str>,
    ) -> (String, Option<Delta>) {
        self.counter += 1;
        let fresh = format!("v{}", self.counter);
        let kept = self.kept.entry(of.clone()).or_default();
        let same = |state: &&State| state.pieces == pieces && state.rest == rest;
        let known = kept.states.iter().find(same).map(|state| state.version.clone());
        let delta = have.and_then(|have| {
            let old = kept.states.iter().find(|state| state.version == have)?;
            Some(Delta::between(&old.pieces, pieces))
        });
        let version = known.unwrap_or_else(|| {
            let (pieces, rest) = (pieces.to_vec(), rest.to_owned());
            kept.states.push(State { version: fresh.clone(), pieces, rest });
            if kept.states.len() > STATES {
                kept.states.remove(0);
            }
            fresh
        });
        (version, delta)
    }
}

/// What changed between two states of a plan.
#[derive(Debug, PartialEq)]
pub(crate) struct Delta {
    pub(crate) pieces: Vec<PieceView>,
    pub(crate) removed: Vec<String>,
}

impl Delta {
    fn between(old: &[PieceView], new: &[PieceView]) -> Self {
        let before: BTreeMap<&str, &PieceView> = old.iter().map(|p| (p.id.as_str(), p)).collect();
        let after: BTreeMap<&str, &PieceView> = new.iter().map(|p| (p.id.as_str(), p)).collect();
        Self {
            pieces: new.iter().filter(|p| before.get(p.id.as_str()) != Some(p)).cloned().collect(),
            removed: old
                .iter()
                .filter(|p| !after.contains_key(p.id.as_str()))
                .map(|p| p.id.clone())
                .collect(),
        }
    }
}

impl Desk {
    /// The job as a sheet.
    pub(crate) fn sheet(&mut self, job: &SeenJob, layouts: Layouts) -> Exported {
        let mut rooms: BTreeMap<ItemId, Arc<SeenRoom>> = BTreeMap::new();
        for link in job.view.room_list() {
            if let Ok(seen) = self.room(job, link.value.document) {
                rooms.insert(link.id.clone(), seen);
            }
        }
        to_sheet(&job.view, |id| rooms.get(id).map(|seen| &seen.view), layouts, None)
    }

    /// The sheet of one area.
    pub(crate) fn area_sheet(
        &mut self,
        job: &str,
        area: &str,
        layouts: Layouts,
    ) -> Result<AreaSheet, Problem> {
        let seen = self.job(job)?;
        let exported = self.sheet(&seen, layouts);
        let mut sheet = exported.sheet;
        // What is bought beside the plan's tiles does not change the plan.
        sheet.rates = None;
        sheet.supplies.clear();
        sheet.quote = None;
        sheet.job.call = None;
        let wanted = sheet.areas.iter().find(|a| a.id == area).cloned();
        let held = seen.view.areas.get(&ItemId::new(area));
        let wanted = match (wanted, held) {
            (Some(wanted), _) => wanted,
            (None, Some(_)) => return Err(Problem::new("area.incomplete", "area")),
            (None, None) => return Err(unknown("area.unknown", "area", area)),
        };
        let names = wanted.rooms.iter().map(|id| {
            let at = sheet.rooms.iter().position(|room| room.id == *id);
            let ids = at.map(|at| exported.rooms[at].corners.clone()).unwrap_or_default();
            let names = at.map(|at| sheet.rooms[at].corner_ids()).unwrap_or_default();
            names.iter().map(ToString::to_string).zip(ids).collect()
        });
        let corners: Vec<BTreeMap<String, ItemId>> = names.collect();
        sheet.rooms.retain(|room| wanted.rooms.contains(&room.id));
        let here = |end: &[String; 2]| wanted.rooms.iter().any(|id| id.as_str() == end[0]);
        sheet.passages.retain(|passage| here(&passage.a) && here(&passage.b));
        sheet.products.retain(|product| product.id == wanted.product);
        sheet.areas = vec![wanted];
        let accepted = !seen.view.choices_for(&ItemId::new(area)).is_empty();
        // A plan hangs neither on what the floor is filled with nor on its heights, nor on what a carton costs.
        let mut bare = sheet.clone();
        bare.compounds.clear();
        bare.products.iter_mut().filter_map(|product| product.carton.as_mut()).for_each(|carton| {
            carton.price = None;
            carton.kg = None;
        });
        bare.rooms.iter_mut().for_each(|room| room.level = None);
        Ok(AreaSheet { key: bare.write(), sheet, corners, accepted })
    }
}

/// Plans the one area of a sheet with a limited effort.
pub(crate) fn work_out(
    sheet: &Sheet,
    go_on: &mut dyn FnMut(&Progress<'_>) -> bool,
) -> Result<PlannedArea, Problem> {
    let first = |mut found: Vec<Problem>| {
        if found.is_empty() { Problem::internal("plan") } else { found.swap_remove(0) }
    };
    let resolved = resolve(sheet).map_err(first)?;
    plan_area(sheet, &resolved, 0, go_on).map_err(first)
}

impl Session {
    /// The plan of an area where it is known or quickly worked out because a choice was accepted; `None` where it has to
    /// be searched for.
    pub(crate) fn planned_at_once(
        &self,
        job: &str,
        area: &str,
    ) -> Result<Option<(Arc<PlannedArea>, AreaSheet)>, Problem> {
        let sheet = self.desk().area_sheet(job, area, Layouts::Accepted)?;
        let known = self.plans().find(&(job.to_owned(), area.to_owned()), &sheet.key);
        match known {
            Some(known) => Ok(Some((known, sheet))),
            None if sheet.accepted => self.planned(job, area).map(Some),
            None => Ok(None),
        }
    }

    /// The plan of an area as it stands: of the accepted choice, else the best known so far.
    pub(crate) fn planned(&self, job: &str, area: &str) -> Result<(Arc<PlannedArea>, AreaSheet), Problem> {
        let sheet = self.desk().area_sheet(job, area, Layouts::Accepted)?;
        let of = (job.to_owned(), area.to_owned());
        if let Some(known) = self.plans().find(&of, &sheet.key) {
            return Ok((known, sheet));
        }
        let planned = work_out(&sheet.sheet, &mut |now| now.effort < FIRST_ANSWER)?;
        let planned = Arc::new(planned);
        self.plans().keep(&of, &sheet.key, planned.clone());
        Ok((planned, sheet))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::Rings;

    fn piece(id: &str, tile: u32) -> PieceView {
        PieceView {
            id: id.to_owned(),
            row: 1,
            place: 1,
            cut: "whole".to_owned(),
            rings: Rings::default(),
            tile,
            from: "new".to_owned(),
            breach: false,
        }
    }

    #[test]
    fn only_what_changed_is_told_again() {
        let mut plans = Plans::default();
        let of = ("j".to_owned(), "a".to_owned());
        let (first, none) = plans.state(&of, &[piece("1-1", 1), piece("1-2", 2)], "", None);
        assert_eq!(none, None);
        let (second, delta) = plans.state(&of, &[piece("1-1", 1), piece("1-3", 2)], "", Some(&first));
        assert_eq!(delta, Some(Delta { pieces: vec![piece("1-3", 2)], removed: vec!["1-2".to_owned()] }));
        let (again, delta) = plans.state(&of, &[piece("1-1", 1), piece("1-3", 2)], "", Some(&second));
        assert_eq!((&again, delta), (&second, Some(Delta { pieces: vec![], removed: vec![] })));
        let (other, delta) = plans.state(&of, &[piece("1-1", 1), piece("1-3", 2)], "a breach", Some(&again));
        assert!(
            other != again && delta.is_some_and(|d| d.pieces.is_empty()),
            "the same pieces, another plan"
        );
        assert_eq!(plans.state(&of, &[], "", Some("v99")).1, None);
    }
}
