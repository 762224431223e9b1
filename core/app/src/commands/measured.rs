//! Edits of a room that say how it was measured, put strings along its walls and locate things in it.

use super::jobs::said;
use super::room::{Editor, Edits, withdraw};
use crate::Problem;
use crate::refusal::unknown;
use crate::show::thing_name;
use crate::wire::{Instrument, LocatedBy, RoomEdit, Thing, Touched};
use crate::words::say;
use drylay_document::{
    Edit, Instrument as Tool, Keepout, KeepoutKind, LineSide, MeasuredTo, RoomFacts, StringOffset,
    TapeReading,
};
use drylay_geometry::{ItemId, Length};

pub(crate) fn stored(to: Touched) -> MeasuredTo {
    match to {
        Touched::Wall => MeasuredTo::Wall,
        Touched::Trim => MeasuredTo::Trim,
        Touched::Plate => MeasuredTo::Plate,
    }
}

fn tool(instrument: Instrument) -> Tool {
    match instrument {
        Instrument::Tape => Tool::Tape,
        Instrument::TapeMetric => Tool::TapeMetric,
        Instrument::Laser => Tool::Laser,
    }
}

fn kind(what: Thing) -> KeepoutKind {
    match what {
        Thing::Cabinet => KeepoutKind::Cabinet,
        Thing::Post => KeepoutKind::Post,
        Thing::Hearth => KeepoutKind::Hearth,
        Thing::Register => KeepoutKind::Register,
        Thing::Pipe => KeepoutKind::Pipe,
        Thing::Other => KeepoutKind::Other,
    }
}

impl Editor<'_> {
    /// Trim and plates are corrected by their thickness, which is asked for with them.
    pub(super) fn set_measured(
        &self,
        to: Touched,
        [thickness, height]: [&str; 2],
        instrument: Instrument,
    ) -> Result<Edits, Problem> {
        let units = self.job.units;
        let bare = to == Touched::Wall && thickness.trim().is_empty();
        let thickness = match bare {
            true => None,
            false => Some(units.read_positive(thickness, "edit.thickness")?),
        };
        let height = units.read_answer(height, "edit.height")?;
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
        let after = RoomFacts {
            measured_to: Some(stored(to)),
            measured_at: height,
            trim_thickness: thickness,
            instrument: Some(tool(instrument)),
            ..before.clone()
        };
        Ok((vec![Edit::change_single(before, after)], say("what.measured", &[])))
    }

    /// A reading is written once, so it is said again with what it was held to.
    pub(super) fn set_touched(&self, id: &str, to: Option<Touched>, height: &str) -> Result<Edits, Problem> {
        let held = self.room.view.tape.get(&ItemId::new(id));
        let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
        let thick = self.room.view.facts.value.as_ref().is_some_and(|facts| facts.trim_thickness.is_some());
        if !thick && to.is_some_and(|to| to != Touched::Wall) {
            return Err(Problem::new("room.thickness_first", "edit.to"));
        }
        let measured_at = self.job.units.read_answer(height, "edit.height")?;
        let entry = TapeReading { measured_to: to.map(stored), measured_at, ..held.value.clone() };
        let words = say("what.touched", &[("pair", &self.room.labels.pair(&entry.from, &entry.to))]);
        if entry == held.value {
            return Ok((Vec::new(), words));
        }
        let edit =
            Edit::Correct { id: self.new_id.clone(), entry: entry.into(), supersedes: vec![held.id.clone()] };
        Ok((vec![edit], words))
    }

    pub(super) fn add_offset(
        &self,
        wall: (&str, &str),
        [along, offset]: [&str; 2],
        out: bool,
    ) -> Result<Edits, Problem> {
        let units = self.job.units;
        let (from, to) = self.room.labels.wall(wall.0, wall.1)?;
        let along = units.read_positive(along, "edit.along")?;
        let offset = units.read_answer(offset, "edit.offset")?;
        let offset = offset.ok_or_else(|| Problem::new("length.empty", "edit.offset"))?;
        let offset = if out { offset } else { units.made(-offset.length()) };
        let words = say("what.offset", &[("pair", &self.room.labels.pair(&from, &to))]);
        // The same place along the same wall read again takes the place of what was read there.
        let again = |s: &StringOffset| s.from == from && s.to == to && s.along.length() == along.length();
        let before = self.room.view.strings.live.iter().filter(|held| again(&held.value));
        let mut edits: Vec<_> = before.map(|held| withdraw::<StringOffset>(&held.id)).collect();
        let entry = StringOffset { from, to, along, offset, sd: None, listed: None };
        edits.push(Edit::add(&self.new_id, entry));
        Ok((edits, words))
    }

    pub(super) fn remove_offset(&self, id: &str) -> Result<Edits, Problem> {
        let held = self.room.view.strings.get(&ItemId::new(id));
        let offset = &held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?.value;
        let pair = self.room.labels.pair(&offset.from, &offset.to);
        let words = say("what.offset_removed", &[("pair", &pair)]);
        Ok((vec![withdraw::<StringOffset>(&ItemId::new(id))], words))
    }

    pub(super) fn set_located(&self, id: Option<&str>, edit: &RoomEdit) -> Result<Edits, Problem> {
        let wish = self.located(edit)?;
        let words = say("what.keepout", &[("name", &thing_name(&wish))]);
        let Some(id) = id else { return Ok((vec![Edit::add(&self.new_id, wish)], words)) };
        let held = self.room.view.keepouts.get(&ItemId::new(id));
        let before = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?.value.clone();
        Ok((vec![Edit::change(id, before, wish)], words))
    }

    fn located(&self, edit: &RoomEdit) -> Result<Keepout, Problem> {
        let RoomEdit::SetLocated { name, what, by, from, to, first, second, left, .. } = edit else {
            return Err(Problem::internal("an edit that locates nothing"));
        };
        let units = self.job.units;
        let (from, to) = self.room.labels.two(from, to)?;
        let thing = Keepout { name: said(name), what: Some(kind(*what)), ..Keepout::unplaced() };
        let thing = match by {
            LocatedBy::Corners => {
                let first = units.read_reading(first, "edit.first")?;
                let second = units.read_reading(second, "edit.second")?;
                let side = Some(if *left { LineSide::Left } else { LineSide::Right });
                Keepout { distances: vec![(from, first), (to, second)], side, ..thing }
            }
            LocatedBy::Wall if !self.room.labels.are_neighbours(&from, &to) => {
                let problem = Problem::new("room.not_a_wall", "edit.to");
                let label = |id| self.room.labels.of_corner(id);
                return Err(problem.with("from", label(&from)).with("to", label(&to)));
            }
            LocatedBy::Wall => {
                let empty = |place: &str| Problem::new("length.empty", place);
                let along = units
                    .read_answer(&units.metres(first), "edit.first")?
                    .ok_or_else(|| empty("edit.first"))?;
                let away = units
                    .read_answer(&units.metres(second), "edit.second")?
                    .ok_or_else(|| empty("edit.second"))?;
                Keepout { wall: vec![from, to], along: Some(along), away: Some(away), ..thing }
            }
        };
        self.sized(thing, edit)
    }

    fn sized(&self, thing: Keepout, edit: &RoomEdit) -> Result<Keepout, Problem> {
        let RoomEdit::SetLocated { diameter, size_along, size_away, .. } = edit else { return Ok(thing) };
        let read = |text: &str, place: &str| match text.trim().is_empty() {
            true => Ok(None),
            false => self.job.units.read_positive(text, place).map(Some),
        };
        let diameter = read(diameter, "edit.diameter")?;
        let (size_along, size_away) =
            (read(size_along, "edit.size_along")?, read(size_away, "edit.size_away")?);
        if size_along.is_some() != size_away.is_some() {
            let place = if size_along.is_some() { "edit.size_away" } else { "edit.size_along" };
            return Err(Problem::new("length.empty", place));
        }
        if diameter.is_some() && size_along.is_some() {
            return Err(Problem::new("located.two_sizes", "edit.diameter").with("id", thing_name(&thing)));
        }
        Ok(Keepout { diameter, size_along, size_away, ..thing })
    }
}

/// The length without its sign.
pub(crate) fn magnitude(length: Length) -> Length {
    if length < Length::ZERO { -length } else { length }
}
