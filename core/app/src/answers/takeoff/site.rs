//! What is counted: planned areas, their walls and openings, and the work on their floors.

use crate::Problem;
use crate::answers::PlannedArea;
use crate::answers::floor_read::FloorRead;
use crate::answers::floor_work::{Filling, filling, plan};
use crate::answers::rooms::ResolvedRoom;
use drylay_document::sheet::{Per, Room, Setting, Sheet, Supply};
use drylay_geometry::Length;
use drylay_plan::Cut;
use drylay_plan::piece::cut_mm;
use drylay_plan::takeoff::walls::{WallRun, round_keepouts, runs};
use drylay_survey::floor::work::Work;
use std::borrow::Borrow;

/// A sheet with the plans of its areas and the work on its floors.
pub(crate) struct Site<'a, A: Borrow<PlannedArea>> {
    pub(crate) sheet: &'a Sheet,
    pub(crate) areas: &'a [A],
    pub(crate) works: &'a [RoomWork],
}

/// The work on a room's floor.
#[derive(Clone, Debug)]
pub(crate) struct RoomWork {
    /// The room's name in the sheet.
    pub(crate) room: String,
    pub(crate) work: Work,
    pub(crate) filling: Filling,
}

/// A wall of a room of an area.
pub(super) struct Wall<'a> {
    pub(super) room: &'a str,
    pub(super) run: WallRun,
    /// The gap that is kept from it.
    pub(super) gap: Length,
}

/// An opening in which the floor of an area ends.
pub(super) struct End<'a> {
    pub(super) room: &'a str,
    pub(super) width: Length,
}

impl<'a, A: Borrow<PlannedArea>> Site<'a, A> {
    /// The areas that a supply goes with, each with its place among all.
    pub(super) fn areas_of(&self, supply: &Supply) -> Vec<(usize, &'a PlannedArea)> {
        let all = self.areas.iter().enumerate().map(|(i, area)| (i, area.borrow()));
        all.filter(|(_, area)| supply.goes_with(&area.product.id)).collect()
    }

    /// The walls of an area without its openings.
    pub(super) fn walls(&self, area: &'a PlannedArea) -> Vec<Wall<'a>> {
        let mut found = Vec::new();
        for room in &area.making.rooms {
            let gap = |wall| {
                room.gaps
                    .iter()
                    .rev()
                    .find(|(w, _)| *w == wall)
                    .map_or(area.product.edge_gap, |(_, gap)| *gap)
            };
            let walls = runs(room).into_iter();
            found.extend(walls.map(|run| Wall { room: room.id.as_str(), run, gap: gap(run.wall) }));
        }
        found
    }

    /// Whether a room gets wet.
    pub(super) fn is_wet(&self, room: &str) -> bool {
        let found = self.sheet.rooms.iter().find(|r| r.id.as_str() == room);
        found.is_some_and(|r| r.settings.contains(&Setting::Wet))
    }

    /// Length in mm round what stands in the wet rooms of an area.
    pub(super) fn round_in_wet(&self, area: &PlannedArea) -> f64 {
        let rooms = area.making.rooms.iter().filter(|room| self.is_wet(room.id.as_str()));
        rooms.map(round_keepouts).sum()
    }

    /// The openings in which an area's floor ends. Where it meets another area's, the first of the two has it.
    pub(super) fn ends(&self, index: usize, area: &'a PlannedArea) -> Vec<End<'a>> {
        let mut found = Vec::new();
        for room in &area.making.rooms {
            for opening in &room.openings {
                if self.ends_in(index, [room.id.as_str(), opening.id.as_str()]) {
                    found.push(End { room: room.id.as_str(), width: opening.width });
                }
            }
        }
        found
    }

    fn ends_in(&self, index: usize, opening: [&str; 2]) -> bool {
        let is = |end: &[String; 2]| end[0] == opening[0] && end[1] == opening[1];
        let beyond = self.sheet.passages.iter().find_map(|p| match (is(&p.a), is(&p.b)) {
            (true, _) => Some(&p.b[0]),
            (_, true) => Some(&p.a[0]),
            _ => None,
        });
        let Some(beyond) = beyond else { return true };
        let has = |area: &A| area.borrow().rooms.iter().any(|room| room.as_str() == beyond);
        !self.areas.iter().take(index + 1).any(has)
    }

    /// What a rule counts, over some areas.
    pub(crate) fn count(&self, per: Per, areas: &[(usize, &'a PlannedArea)]) -> f64 {
        if per == Per::Job {
            return if areas.is_empty() { 0.0 } else { 1.0 };
        }
        areas.iter().map(|(_, area)| self.count_in(per, area)).sum()
    }

    /// What a rule counts in one area.
    pub(super) fn count_in(&self, per: Per, area: &'a PlannedArea) -> f64 {
        let pieces = &area.plan.pieces;
        let cut = |p: &drylay_plan::Piece| cut_mm(&p.on_tile, area.product.length, area.product.width);
        match per {
            Per::Tile => area.plan.sharing.tiles as f64,
            Per::SquareMetre => area.field.area_m2(),
            Per::WallMetre => self.walls(area).iter().map(|w| w.run.length.mm()).sum::<f64>() / 1000.0,
            Per::Cut => pieces.iter().filter(|p| p.cut != Cut::Whole).count() as f64,
            Per::CutMetre => pieces.iter().map(cut).sum::<f64>() / 1000.0,
            Per::Job => 1.0,
        }
    }
}

fn out_of_time(index: usize, room: &Room) -> Problem {
    Problem::new("takeoff.out_of_time", format!("rooms[{index}].level")).with("room", room.title())
}

/// The work on the floors of a sheet's areas, where floors were read and the sheet names compounds; and what kept it from
/// being worked out. `go_on` may end it early.
pub(crate) fn floor_works(
    sheet: &Sheet,
    resolved: &[ResolvedRoom],
    go_on: &mut dyn FnMut() -> bool,
) -> (Vec<RoomWork>, Vec<Problem>) {
    let (mut works, mut problems) = (Vec::new(), Vec::new());
    let Some(filling) = filling(sheet) else { return (works, problems) };
    for (i, room) in sheet.rooms.iter().enumerate() {
        let covered = sheet.areas.iter().any(|area| area.rooms.contains(&room.id));
        if !covered || room.level.is_none() {
            continue;
        }
        let read = FloorRead::of(sheet, room, &resolved[i], &format!("rooms[{i}].level"));
        match read.correct(&mut |_| go_on()) {
            Ok(None) => {}
            Ok(Some((job, done))) => {
                let Some(work) = plan(&read, &job, &done, &filling, go_on) else {
                    problems.push(out_of_time(i, room));
                    continue;
                };
                works.push(RoomWork { room: room.id.to_string(), work, filling: filling.clone() });
            }
            Err(_) if !go_on() => problems.push(out_of_time(i, room)),
            Err(problem) => problems.push(problem),
        }
    }
    (works, problems)
}
