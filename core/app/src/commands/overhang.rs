//! What hangs over the floor at its edge, and what it is exposed to: edits of a room.

use super::room::{Editor, Edits};
use crate::Problem;
use crate::refusal::unknown;
use crate::wire::OverhangOf;
use crate::words::say;
use drylay_document::{
    Decimal, Edge, Edit, Entry, Held, Keepout, Opening, Overhang, RoomEntry, RoomFacts, Setting,
};
use drylay_geometry::ItemId;

impl Editor<'_> {
    /// Both figures empty take it away; one alone is refused.
    pub(super) fn set_overhang(&self, of: &OverhangOf, typed: [&str; 2]) -> Result<Edits, Problem> {
        let overhang = self.overhang(typed)?;
        let words = say("what.overhang", &[]);
        let view = &self.room.view;
        let edit = match of {
            OverhangOf::Opening { id } => {
                let held = view.openings.get(&ItemId::new(id));
                let before = held.ok_or_else(|| unknown("entry.unknown", "edit.of", id))?.value.clone();
                Edit::change(id.as_str(), before.clone(), Opening { jambs: overhang, ..before })
            }
            OverhangOf::Keepout { id } => {
                let held = view.keepouts.get(&ItemId::new(id));
                let before = held.ok_or_else(|| unknown("entry.unknown", "edit.of", id))?.value.clone();
                Edit::change(id.as_str(), before.clone(), Keepout { overhang, ..before })
            }
            OverhangOf::Wall { from, to } => return Ok((self.over_wall((from, to), overhang)?, words)),
        };
        Ok((vec![edit], words))
    }

    fn overhang(&self, [height, depth]: [&str; 2]) -> Result<Option<Overhang>, Problem> {
        if height.trim().is_empty() && depth.trim().is_empty() {
            return Ok(None);
        }
        let height = self.job.units.read_positive(height, "edit.height")?;
        let depth = self.job.units.read_positive(depth, "edit.depth")?;
        Ok(Some(Overhang { height, depth }))
    }

    /// A wall has one entry, named after it, as for its gap.
    fn over_wall(
        &self,
        (from, to): (&str, &str),
        overhang: Option<Overhang>,
    ) -> Result<Vec<Edit<RoomEntry>>, Problem> {
        let (from, to) = self.room.labels.wall(from, to)?;
        let edges = &self.room.view.edges;
        let is_this = |held: &&Held<Edge>| held.value.from == from && held.value.to == to;
        let (live, gone) = (edges.live.iter().find(is_this), edges.withdrawn.iter().find(is_this));
        let bare = |edge: &Edge| edge.gap.is_none() && edge.trim_covers.is_none() && overhang.is_none();
        Ok(match (live, gone) {
            (Some(held), _) if bare(&held.value) => {
                vec![Edit::Withdraw { table: Edge::TABLE, id: held.id.clone() }]
            }
            (Some(held), _) => {
                let after = Edge { overhang, ..held.value.clone() };
                vec![Edit::change(&held.id, held.value.clone(), after)]
            }
            (None, _) if overhang.is_none() => Vec::new(),
            (None, gone) => {
                let id = ItemId::new(format!("{from}-{to}"));
                let after = Edge { from, to, gap: None, trim_covers: None, overhang };
                match gone {
                    None => vec![Edit::add(&id, after)],
                    Some(held) => {
                        let restore = Edit::Restore { table: Edge::TABLE, id: held.id.clone() };
                        vec![restore, Edit::change(&held.id, held.value.clone(), after)]
                    }
                }
            }
        })
    }

    pub(super) fn set_exposure(&self, settings: &[String], range: &str) -> Result<Edits, Problem> {
        let setting = |word: &String| {
            let wrong = || {
                let wanted: Vec<&str> = Setting::ALL.iter().map(|s| s.word()).collect();
                Problem::new("sheet.word", "edit.settings")
                    .with("wanted", wanted.join(", "))
                    .with("found", word)
            };
            Setting::from_word(word).ok_or_else(wrong)
        };
        let settings = settings.iter().map(setting).collect::<Result<Vec<_>, _>>()?;
        let range = range.trim();
        let wrong = || Problem::new("sheet.amount", "edit.yearly_range").with("found", range);
        let yearly_range = match range.is_empty() {
            true => None,
            false => Some(Decimal::parse(range).filter(|r| r.to_f64() >= 0.0).ok_or_else(wrong)?),
        };
        let none = RoomFacts {
            name: None,
            measured_to: None,
            measured_at: None,
            trim_thickness: None,
            instrument: None,
            seen_from: None,
            settings: Vec::new(),
            yearly_range: None,
        };
        let before = self.room.view.facts.value.clone().unwrap_or(none);
        let after = RoomFacts { settings, yearly_range, ..before.clone() };
        Ok((vec![Edit::change_single(before, after)], say("what.exposure", &[])))
    }
}
