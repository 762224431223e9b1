//! What a layout should keep to, both ways.

use std::collections::BTreeMap;

use drylay_geometry::{CornerId, ItemId};

use super::from::{at, corner, item};
use super::to::{point, wall_of};
use super::{measure, typed};
use crate::schema as doc;
use crate::sheet::{self, Extra};

const MIDDLES: [(sheet::Middle, doc::Middle); 3] = [
    (sheet::Middle::Best, doc::Middle::Best),
    (sheet::Middle::Joint, doc::Middle::Joint),
    (sheet::Middle::Tile, doc::Middle::Tile),
];

/// The preferences as the fields of an area.
#[derive(Debug, Default)]
pub(super) struct Stored {
    pub(super) start_wall: Vec<ItemId>,
    pub(super) centre: Option<doc::CentreWish>,
    pub(super) doorways: Option<doc::SeenWish>,
    pub(super) sight_line: Option<doc::SeenWish>,
}

pub(super) fn stored(prefer: &sheet::Prefer) -> Stored {
    let middle =
        |middle: sheet::Middle| MIDDLES.iter().find(|m| m.0 == middle).map_or(doc::Middle::Best, |m| m.1);
    let centre = prefer.centre.as_ref().map(|wish| doc::CentreWish {
        at: wish.at.as_ref().map(at),
        on: wish.on.iter().flatten().map(item).collect(),
        rows: middle(wish.rows),
        tiles: wish.tiles.map(middle),
    });
    let opening = |pair: &[String; 2]| doc::OpeningOf { room: item(&pair[0]), opening: item(&pair[1]) };
    Stored {
        start_wall: prefer.start.iter().flatten().map(corner).collect(),
        centre,
        doorways: prefer.doorways.as_ref().map(|wish| doc::SeenWish {
            least: typed(&wish.least),
            openings: wish.at.iter().map(opening).collect(),
        }),
        sight_line: prefer
            .sight_line
            .as_ref()
            .map(|wish| doc::SeenWish { least: typed(&wish.least), openings: vec![opening(&wish.from)] }),
    }
}

/// The preferences of an area as a sheet writes them; what leads to something that is not there is left out.
pub(super) fn written(
    area: &doc::Area,
    names: &BTreeMap<ItemId, CornerId>,
    rooms: &[sheet::Room],
) -> Option<sheet::Prefer> {
    let in_area = |room: &ItemId| {
        let known = area.rooms.contains(room);
        rooms.iter().find(|r| known && r.id.as_str() == room.as_str())
    };
    let opening = |of: &doc::OpeningOf| {
        let there = in_area(&of.room)?.openings.iter().any(|o| o.id == of.opening);
        there.then(|| [of.room.to_string(), of.opening.to_string()])
    };
    let doorways = area.doorways.as_ref().and_then(|wish| {
        let at: Vec<[String; 2]> = wish.openings.iter().filter_map(opening).collect();
        let any = wish.openings.is_empty() || !at.is_empty();
        any.then(|| sheet::Doorways { least: measure(&wish.least), at, extra: Extra::new() })
    });
    let sight_line = area.sight_line.as_ref().and_then(|wish| {
        let from = wish.openings.first().and_then(opening)?;
        Some(sheet::SightLine { from, least: measure(&wish.least), extra: Extra::new() })
    });
    let centre = area.centre.as_ref().and_then(|wish| centre(wish, &in_area));
    let start = wall_of(&area.start_wall, names);
    let made = sheet::Prefer { start, centre, doorways, sight_line, extra: Extra::new() };
    (made != sheet::Prefer::default()).then_some(made)
}

fn centre<'a>(
    wish: &doc::CentreWish,
    in_area: &dyn Fn(&ItemId) -> Option<&'a sheet::Room>,
) -> Option<sheet::Centre> {
    let thing = |room: &ItemId, id: &ItemId| {
        let room = in_area(room)?;
        let openings = room.openings.iter().map(|o| &o.id);
        let stands = room.keepouts.iter().map(|k| &k.id).chain(room.located.iter().map(|l| &l.id));
        openings.chain(stands).any(|other| other == id).then(|| [room.id.to_string(), id.to_string()])
    };
    let on = match &wish.on[..] {
        [room, id] => Some(thing(room, id)?),
        _ => None,
    };
    let at = wish.at.as_ref().filter(|_| on.is_none()).map(point);
    if at.is_none() && on.is_none() {
        return None;
    }
    let middle =
        |middle: doc::Middle| MIDDLES.iter().find(|m| m.1 == middle).map_or(sheet::Middle::Best, |m| m.0);
    Some(sheet::Centre {
        at,
        on,
        rows: middle(wish.rows),
        tiles: wish.tiles.map(middle),
        extra: Extra::new(),
    })
}
