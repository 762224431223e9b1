//! A floor that is being laid: the plan that was given out last, and what became of its pieces.

use crate::Problem;
use crate::desk::SeenJob;
use crate::given_out::{GivenOut, PlanPiece};
use crate::refusal::unknown;
use crate::session::Session;
use drylay_document::frozen::FrozenRecord;
use drylay_document::marks::{Done, PieceStanding, standing};
use drylay_document::{Area, ContentHash, FrozenKind, Held, PieceMark};
use drylay_geometry::ItemId;
use drylay_plan::work::stock::{PieceWork, Tiles, tiles};
use std::collections::BTreeMap;
use std::sync::Arc;

/// An area that is laid by a plan.
#[derive(Debug)]
pub(crate) struct Laying {
    /// The area.
    pub(crate) area: ItemId,
    /// The record of the plan.
    pub(crate) record: FrozenRecord,
    /// The plan.
    pub(crate) plan: Arc<GivenOut>,
    /// What became of its pieces, as far as anything was marked.
    pub(crate) standing: BTreeMap<String, PieceStanding>,
    /// Pieces that lie by an earlier plan and are others in this one.
    pub(crate) otherwise: Vec<String>,
    /// Whether an earlier plan that was marked is not on this device.
    pub(crate) earlier_away: bool,
}

/// Why an area is not laid yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lack {
    /// No plan was given out.
    NotGivenOut,
    /// Its bytes are not on this device, or are those of a newer program.
    Away,
}

/// The plans given out for an area, the last one at the end.
fn records(job: &SeenJob, area: &ItemId) -> Vec<FrozenRecord> {
    let of_area = |record: &FrozenRecord| {
        record.held.value.what == FrozenKind::Plan && record.held.value.area.as_ref() == Some(area)
    };
    job.view.frozen_records().into_iter().filter(of_area).collect()
}

impl Session {
    /// How an area is being laid; nothing is locked while it is read.
    pub(crate) fn laying(&self, job: &SeenJob, area: &ItemId) -> Result<Laying, Lack> {
        let record = records(job, area).pop().ok_or(Lack::NotGivenOut)?;
        let hash = record.held.value.hash;
        let plan = self.given_out(hash).ok_or(Lack::Away)?;
        let marks: Vec<_> = job.view.pieces.live.iter().filter(|held| held.value.area == *area).collect();
        let mut earlier: BTreeMap<ContentHash, Option<Arc<GivenOut>>> = BTreeMap::new();
        for held in &marks {
            let of = held.value.plan;
            if of != hash {
                earlier.entry(of).or_insert_with(|| self.given_out(of));
            }
        }
        let holds = |mark: &PieceMark, piece: &str| match earlier.get(&mark.plan) {
            None => plan.piece(piece).is_some(),
            Some(Some(then)) => plan.holds_from(then, piece),
            Some(None) => false,
        };
        let here = standing(marks.iter().copied(), holds);
        let laid = |all: BTreeMap<String, PieceStanding>| -> Vec<String> {
            all.into_iter().filter(|(_, one)| one.done == Done::Laid).map(|(id, _)| id).collect()
        };
        let mut otherwise: Vec<String> = earlier
            .iter()
            .filter_map(|(of, then)| Some((of, then.as_ref()?)))
            .flat_map(|(of, then)| {
                laid(standing(marks.iter().copied(), |mark, piece| {
                    mark.plan == *of && !plan.holds_from(then, piece)
                }))
            })
            .collect();
        otherwise.sort();
        otherwise.dedup();
        let earlier_away = earlier.values().any(Option::is_none);
        Ok(Laying { area: area.clone(), record, plan, standing: here, otherwise, earlier_away })
    }
}

/// What people call an area: its name, else its rooms' names.
pub(crate) fn area_name(job: &SeenJob, area: &Held<Area>) -> String {
    let rooms = || {
        let names = area.value.rooms.iter().filter_map(|id| job.view.rooms.get(id));
        names.map(|held| held.value.name.clone()).collect::<Vec<_>>().join(", ")
    };
    area.value.name.clone().unwrap_or_else(rooms)
}

impl Laying {
    /// The hash of the plan.
    pub(crate) fn hash(&self) -> ContentHash {
        self.record.held.value.hash
    }

    /// How far a piece is.
    pub(crate) fn done(&self, piece: &str) -> Done {
        self.standing.get(piece).map_or(Done::Open, |one| one.done)
    }

    /// How often a tile was spoilt for a piece.
    pub(crate) fn spoilt(&self, piece: &str) -> usize {
        self.standing.get(piece).map_or(0, |one| one.spoilt)
    }

    /// The piece of that name, or why it cannot be.
    pub(crate) fn piece(&self, id: &str) -> Result<&PlanPiece, Problem> {
        self.plan.piece(id).ok_or_else(|| unknown("plan.unknown_piece", "piece", id))
    }

    /// Whether this is the plan that somebody marked by; a mark by another one would be a mark of other pieces.
    pub(crate) fn expect(&self, plan: &str) -> Result<(), Problem> {
        match self.hash().to_string() == plan {
            true => Ok(()),
            false => Err(Problem::new("work.other_plan", "plan")),
        }
    }

    /// Tiles of this plan that are used, and those still needed.
    pub(crate) fn tiles(&self) -> Tiles {
        tiles(self.plan.plan.pieces.iter().map(|piece| PieceWork {
            tile: piece.tile,
            done: self.done(&piece.id) != Done::Open,
            spoilt: self.spoilt(&piece.id),
        }))
    }
}
