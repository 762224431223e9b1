//! What an area's layout should keep to: looked at, and changed as one thing.

use crate::Problem;
use crate::desk::{SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::prefer as views;
use crate::wire::{CentreTyped, OfArea, PreferSet, PreferView, SeenTyped};
use crate::words::say;
use drylay_document::{Area, At, CentreWish, Edit, JobEntry, Middle, OpeningOf, SeenWish, WallWish};
use drylay_geometry::ItemId;
use std::sync::Arc;

/// An area and its rooms as they stand, in the area's order.
pub(crate) struct SeenArea {
    pub(crate) job: SeenJob,
    pub(crate) id: ItemId,
    pub(crate) area: Area,
    pub(crate) rooms: Vec<(ItemId, Arc<SeenRoom>)>,
}

fn seen(session: &Session, job: &str, area: &str) -> Result<SeenArea, Problem> {
    let mut desk = session.desk();
    let job = desk.job(job)?;
    let id = ItemId::new(area);
    let held = job.view.areas.get(&id).ok_or_else(|| unknown("area.unknown", "area", area))?;
    let area = held.value.clone();
    let mut rooms = Vec::new();
    for room in &area.rooms {
        let document = job.room(room.as_str(), "area")?;
        rooms.push((room.clone(), desk.room(&job, document)?));
    }
    Ok(SeenArea { job, id, area, rooms })
}

pub(crate) fn view(session: &Session, ask: OfArea) -> Result<PreferView, Problem> {
    Ok(views::view(&seen(session, &ask.job, &ask.area)?))
}

pub(crate) fn set(session: &Session, ask: PreferSet) -> Result<PreferView, Problem> {
    let seen = seen(session, &ask.job, &ask.area)?;
    let before = seen.area.clone();
    let wall = |(from, to): &(String, String), place: &str| seen.wall(from, to, place);
    let start_wall = match &ask.start {
        Some(start) => wall(start, "start").map(|(from, to)| vec![from, to])?,
        None => Vec::new(),
    };
    let whole = |pair: &(String, String)| {
        wall(pair, "whole_rows").map(|(from, to)| WallWish { from, to, whole_row: true })
    };
    // Walls with other wishes stay as they are.
    let other = before.walls.iter().filter(|wish| !wish.whole_row).cloned().map(Ok);
    let walls = ask.whole_rows.iter().map(whole).chain(other).collect::<Result<Vec<_>, _>>()?;
    let after = Area {
        start_wall,
        walls,
        centre: ask.centre.as_ref().map(|centre| seen.centre(centre)).transpose()?,
        doorways: ask.doorways.as_ref().map(|wish| seen.wish(wish, "doorways")).transpose()?,
        sight_line: ask.sight_line.as_ref().map(|wish| seen.wish(wish, "sight_line")).transpose()?,
        slide: ask.slide.then_some(true),
        ..before.clone()
    };
    if after != before {
        let edit = Edit::<JobEntry>::change(&seen.id, before, after);
        session.change(seen.job.id, say("what.prefer", &[]), |change| change.apply(seen.job.id, &[edit]))?;
    }
    view(session, OfArea { job: ask.job, area: ask.area })
}

impl SeenArea {
    /// A wall of the first room, in walking order.
    fn wall(&self, from: &str, to: &str, place: &str) -> Result<(ItemId, ItemId), Problem> {
        let (_, room) = self.rooms.first().ok_or_else(|| Problem::new("area.no_rooms", place))?;
        room.labels.wall(from, to).map_err(|problem| Problem { place: place.to_owned(), ..problem })
    }

    fn room(&self, room: &str, place: &str) -> Result<&(ItemId, Arc<SeenRoom>), Problem> {
        let found = self.rooms.iter().find(|(id, _)| id.as_str() == room);
        found.ok_or_else(|| Problem::new("layout.not_in_area", place).with("name", room))
    }

    fn opening(&self, (room, opening): &(String, String), place: &str) -> Result<OpeningOf, Problem> {
        let (id, seen) = self.room(room, place)?;
        let wanted = ItemId::new(opening);
        if seen.view.openings.get(&wanted).is_none() {
            return Err(unknown("sheet.unknown_opening", place, opening).with("room", room));
        }
        Ok(OpeningOf { room: id.clone(), opening: wanted })
    }

    fn wish(&self, typed: &SeenTyped, place: &str) -> Result<SeenWish, Problem> {
        let least = self.job.units.read_positive(&typed.least, &format!("{place}.least"))?;
        let opening = |pair: &(String, String)| self.opening(pair, &format!("{place}.openings"));
        let openings = typed.openings.iter().map(opening).collect::<Result<Vec<_>, _>>()?;
        if place == "sight_line" && openings.len() != 1 {
            return Err(Problem::new("layout.one_entrance", format!("{place}.openings")));
        }
        Ok(SeenWish { least, openings })
    }

    fn centre(&self, typed: &CentreTyped) -> Result<CentreWish, Problem> {
        let middle = |word: &str, place: &str| {
            let wrong =
                || Problem::new("sheet.word", place).with("wanted", "best, tile, joint").with("found", word);
            Middle::from_word(word).ok_or_else(wrong)
        };
        let rows = middle(&typed.rows, "centre.rows")?;
        let tiles = typed.tiles.as_ref().map(|word| middle(word, "centre.tiles")).transpose()?;
        let Some((room, thing)) = &typed.on else {
            let read = |text: &str, place: &str| self.job.units.read(text, place);
            let at = At { x: read(&typed.x, "centre.x")?, y: read(&typed.y, "centre.y")? };
            return Ok(CentreWish { at: Some(at), on: Vec::new(), rows, tiles });
        };
        let (id, seen) = self.room(room, "centre.on")?;
        let wanted = ItemId::new(thing);
        if seen.view.openings.get(&wanted).is_none() && seen.view.keepouts.get(&wanted).is_none() {
            return Err(unknown("layout.unknown_thing", "centre.on", thing).with("room", room));
        }
        Ok(CentreWish { at: None, on: vec![id.clone(), wanted], rows, tiles })
    }
}
