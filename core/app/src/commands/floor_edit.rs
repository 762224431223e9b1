//! Edits of a room's floor, in its newest round.

use super::room::{Edits, withdraw};
use crate::Problem;
use crate::desk::{SeenJob, SeenRoom};
use crate::floors::newest_round;
use crate::refusal::unknown;
use crate::wire::{FloorEdit, Units};
use crate::words::say;
use drylay_document::sheet::STANDARDS;
use drylay_document::{
    At, Decimal, Edit, FlatnessLine, FloorFacts, RodReading, Round, Setup, StraightedgeReading, TypedLength,
};
use drylay_geometry::{ItemId, Length};

/// No levelling rod is longer, mm: what is longer is a slip of the keys.
const LONGEST_ROD: f64 = 5000.0;
/// The fewest heights of a line that say anything of it.
const FEWEST: usize = 4;

/// The edits of the room's document, and what undo will be called.
pub(super) fn edits(
    job: &SeenJob,
    room: &SeenRoom,
    edit: &FloorEdit,
    id: &ItemId,
    now_ms: i64,
) -> Result<Edits, Problem> {
    let editor = FloorEditor { units: job.units, room, id, round: newest_round(&room.view) };
    match edit {
        FloorEdit::Read { point, at, setup, text } => editor.read(point, *at, setup, text),
        FloorEdit::Correct { id, text } => editor.correct(id, text),
        FloorEdit::TakeOut { id } => editor.take_out(&ItemId::new(id)),
        FloorEdit::AddSetup { name } => editor.add_setup(name),
        FloorEdit::AddStraightedge { from, to, gap } => editor.add_straightedge(*from, *to, gap),
        FloorEdit::AddLine { name, spacing, below, heights } => {
            editor.add_line(name, spacing, *below, heights)
        }
        FloorEdit::SetAsked { sd, standards, grind, grind_cost, margin, mixers } => {
            editor.set_asked(sd, standards, *grind, [grind_cost, margin, mixers])
        }
        FloorEdit::Worked { notes, litres, bags } => editor.worked(notes, [litres, bags], now_ms),
    }
}

struct FloorEditor<'a> {
    units: Units,
    room: &'a SeenRoom,
    id: &'a ItemId,
    round: i64,
}

impl FloorEditor<'_> {
    fn round(&self) -> Option<i64> {
        (self.round > 0).then_some(self.round)
    }

    fn place(&self, at: [f64; 2], place: &str) -> Result<At, Problem> {
        let length = |mm: f64| {
            let length =
                Length::from_mm_f64(mm).ok_or_else(|| unknown("floor.no_place", place, &mm.to_string()))?;
            Ok::<_, Problem>(self.units.made(length))
        };
        Ok(At { x: length(at[0])?, y: length(at[1])? })
    }

    fn rod(&self, text: &str) -> Result<TypedLength, Problem> {
        let rod = self.units.read_reading(text, "edit.text")?;
        if rod.length().mm() > LONGEST_ROD {
            let most = Length::from_mm_f64(LONGEST_ROD).unwrap_or(Length::ZERO);
            let problem = Problem::new("floor.long_rod", "edit.text").with("found", rod.text());
            return Err(problem.with("most", self.units.exact(most)));
        }
        Ok(rod)
    }

    fn read(&self, point: &str, at: [f64; 2], setup: &str, text: &str) -> Result<Edits, Problem> {
        let known = self.room.view.rods.live.iter().find(|held| held.value.point.as_str() == point);
        let at = match known {
            Some(held) => held.value.at.clone(),
            None => self.place(at, "edit.at")?,
        };
        let setup = (!setup.is_empty()).then(|| ItemId::new(setup));
        if let Some(id) = &setup {
            let held = self.room.view.setups.get(id);
            held.ok_or_else(|| unknown("entry.unknown", "edit.setup", id.as_str()))?;
        }
        let rod = self.rod(text)?;
        let words = say("what.rod", &[("text", rod.text())]);
        let point = ItemId::new(point);
        let entry = RodReading { point, at, rod, setup, round: self.round(), listed: None };
        Ok((vec![Edit::add(self.id, entry)], words))
    }

    fn correct(&self, id: &str, text: &str) -> Result<Edits, Problem> {
        let held = self.room.view.rods.get(&ItemId::new(id));
        let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
        let rod = self.rod(text)?;
        let words = say("what.rod", &[("text", rod.text())]);
        if rod == held.value.rod {
            return Ok((Vec::new(), words));
        }
        let entry = RodReading { rod, ..held.value.clone() };
        Ok((vec![Edit::correct(self.id, entry, &held.id)], words))
    }

    fn take_out(&self, id: &ItemId) -> Result<Edits, Problem> {
        let view = &self.room.view;
        let edit = if view.rods.get(id).is_some() {
            withdraw::<RodReading>(id)
        } else if view.straightedges.get(id).is_some() {
            withdraw::<StraightedgeReading>(id)
        } else if view.lines.get(id).is_some() {
            withdraw::<FlatnessLine>(id)
        } else {
            return Err(unknown("entry.unknown", "edit.id", id.as_str()));
        };
        Ok((vec![edit], say("what.floor_taken_out", &[])))
    }

    /// Readings that were taken before the first set-up was named stay those of the first.
    fn add_setup(&self, name: &str) -> Result<Edits, Problem> {
        let live = &self.room.view.setups.live;
        let here = live.iter().filter(|held| held.value.round.unwrap_or(0) == self.round).count();
        let unnamed = self
            .room
            .view
            .rods
            .live
            .iter()
            .any(|held| held.value.setup.is_none() && held.value.round.unwrap_or(0) == self.round);
        let number = (here + usize::from(unnamed) + 1).to_string();
        let name = match name.trim() {
            "" => say("flat.setup", &[("n", &number)]),
            name => name.to_owned(),
        };
        let words = say("what.setup", &[("name", &name)]);
        Ok((vec![Edit::add(self.id, Setup { name, tool: None, round: self.round() })], words))
    }

    fn add_straightedge(&self, from: [f64; 2], to: [f64; 2], gap: &str) -> Result<Edits, Problem> {
        let (from, to) = (self.place(from, "edit.from")?, self.place(to, "edit.to")?);
        if from == to {
            return Err(Problem::new("floor.no_straightedge", "edit.to"));
        }
        let gap = self.units.read_answer(gap, "edit.gap")?;
        let gap = gap.ok_or_else(|| Problem::new("length.empty", "edit.gap"))?;
        let words = say("what.straightedge", &[("text", gap.text())]);
        let entry = StraightedgeReading { from, to, gap, round: self.round(), listed: None };
        Ok((vec![Edit::add(self.id, entry)], words))
    }

    fn add_line(&self, name: &str, spacing: &str, below: bool, heights: &[String]) -> Result<Edits, Problem> {
        let spacing = self.units.read_positive(spacing, "edit.spacing")?;
        let read = |(n, text): (usize, &String)| {
            let height = self.units.read(text, &format!("edit.heights[{n}]"))?;
            Ok(if below { self.units.made(-height.length()) } else { height })
        };
        let heights = heights.iter().enumerate().map(read).collect::<Result<Vec<TypedLength>, Problem>>()?;
        if heights.len() < FEWEST {
            let problem = Problem::new("floor.short_line", "edit.heights");
            return Err(problem.with("found", heights.len()).with("least", FEWEST));
        }
        let number = (self.room.view.lines.live.len() + 1).to_string();
        let name = match name.trim() {
            "" => say("flat.line", &[("n", &number)]),
            name => name.to_owned(),
        };
        let words = say("what.line", &[("name", &name)]);
        let entry = FlatnessLine { name, spacing, heights, round: self.round(), listed: None };
        Ok((vec![Edit::add(self.id, entry)], words))
    }

    fn set_asked(
        &self,
        sd: &str,
        standards: &[String],
        grind: bool,
        [grind_cost, margin, mixers]: [&str; 3],
    ) -> Result<Edits, Problem> {
        if let Some(other) = standards.iter().find(|name| !STANDARDS.contains(&name.as_str())) {
            return Err(unknown("floor.unknown_standard", "edit.standards", other));
        }
        let number = |text: &str, place: &str| match text.trim() {
            "" => Ok(None),
            text => Decimal::parse(text)
                .filter(|d| d.to_f64() >= 0.0)
                .map(Some)
                .ok_or_else(|| Problem::new("sheet.amount", place).with("found", text)),
        };
        let sd = match sd.trim() {
            "" => None,
            text => Some(self.units.read_positive(text, "edit.sd")?),
        };
        let mixers = match mixers.trim() {
            "" => None,
            text => Some(
                text.parse::<i64>()
                    .ok()
                    .filter(|n| (1..=20).contains(n))
                    .ok_or_else(|| Problem::new("floor.mixers", "edit.mixers").with("found", text))?,
            ),
        };
        let before = self.room.view.floor.value.clone().unwrap_or_else(FloorFacts::unsaid);
        let after = FloorFacts {
            sd,
            standards: standards.to_vec(),
            grind: Some(grind),
            grind_cost: number(grind_cost, "edit.grind_cost")?,
            margin: self.units.read_answer(margin, "edit.margin")?,
            mixers,
            ..before.clone()
        };
        Ok((vec![Edit::change_single(before, after)], say("what.floor_asked", &[])))
    }

    fn worked(&self, notes: &str, [litres, bags]: [&str; 2], now_ms: i64) -> Result<Edits, Problem> {
        let litres = match litres.trim() {
            "" => None,
            text => Some(
                Decimal::parse(text)
                    .ok_or_else(|| Problem::new("sheet.amount", "edit.litres").with("found", text))?,
            ),
        };
        let bags = match bags.trim() {
            "" => None,
            text => Some(
                text.parse::<u32>()
                    .map(i64::from)
                    .map_err(|_| Problem::new("sheet.amount", "edit.bags").with("found", text))?,
            ),
        };
        let notes = Some(notes.trim().to_owned()).filter(|text| !text.is_empty());
        let (number, finished_ms) = (self.round + 1, Some(now_ms));
        let entry = Round { number, product: None, litres, bags, notes, finished_ms };
        Ok((vec![Edit::add(self.id, entry)], say("what.worked", &[])))
    }
}
