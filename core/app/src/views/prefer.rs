//! What an area's layout should keep to, for the screens.

use crate::commands::prefer::SeenArea;
use crate::show::{thing_name, typed};
use crate::wire::{CentreView, FeatureView, PreferView, SeenView};
use crate::words::say;
use drylay_document::SeenWish;
use drylay_geometry::ItemId;

pub(crate) fn view(seen: &SeenArea) -> PreferView {
    let area = &seen.area;
    let first = seen.rooms.first().map(|(_, room)| room);
    let corner = |id: &ItemId| first.map_or_else(String::new, |room| room.labels.of_corner(id));
    let walls = first.map_or_else(Vec::new, |room| {
        let walk = room.labels.walk();
        (0..walk.len()).map(|i| (walk[i].1.clone(), walk[(i + 1) % walk.len()].1.clone())).collect()
    });
    // A wish for corners that are gone is not shown as one for what is left.
    let there =
        |id: &ItemId| first.is_some_and(|room| room.labels.walk().iter().any(|(other, _)| other == id));
    let start = match &area.start_wall[..] {
        [from, to] if there(from) && there(to) => Some((corner(from), corner(to))),
        _ => None,
    };
    let whole = area.walls.iter().filter(|wish| wish.whole_row && there(&wish.from) && there(&wish.to));
    let openings = openings(seen);
    PreferView {
        area: seen.id.to_string(),
        walls,
        features: openings.iter().cloned().chain(things(seen)).collect(),
        openings,
        start,
        whole_rows: whole.map(|wish| (corner(&wish.from), corner(&wish.to))).collect(),
        centre: area.centre.as_ref().map(|wish| CentreView {
            on: match &wish.on[..] {
                [room, thing] => Some((room.to_string(), thing.to_string())),
                _ => None,
            },
            x: wish.at.as_ref().map(|at| typed(&at.x)),
            y: wish.at.as_ref().map(|at| typed(&at.y)),
            rows: wish.rows.word().to_owned(),
            tiles: wish.tiles.map(|tiles| tiles.word().to_owned()),
        }),
        doorways: area.doorways.as_ref().map(wished),
        sight_line: area.sight_line.as_ref().map(wished),
        slide: area.slide == Some(true),
    }
}

fn wished(wish: &SeenWish) -> SeenView {
    let openings = wish.openings.iter().map(|of| (of.room.to_string(), of.opening.to_string()));
    SeenView { least: typed(&wish.least), openings: openings.collect() }
}

fn room_name(seen: &SeenArea, room: &ItemId) -> String {
    seen.job.view.rooms.get(room).map_or_else(String::new, |held| held.value.name.clone())
}

/// The openings of all rooms.
fn openings(seen: &SeenArea) -> Vec<FeatureView> {
    let of_room = |(id, room): &(ItemId, std::sync::Arc<crate::desk::SeenRoom>)| {
        let name = room_name(seen, id);
        let view = |held: &drylay_document::Held<drylay_document::Opening>| {
            let pair = room.labels.pair(&held.value.from, &held.value.to);
            let width = typed(&held.value.width).text;
            let words = say("feature.opening", &[("room", &name), ("pair", &pair), ("width", &width)]);
            FeatureView { room: id.to_string(), id: held.id.to_string(), words }
        };
        room.view.openings.live.iter().map(view).collect::<Vec<_>>()
    };
    seen.rooms.iter().flat_map(of_room).collect()
}

/// What stands in them.
fn things(seen: &SeenArea) -> Vec<FeatureView> {
    let of_room = |(id, room): &(ItemId, std::sync::Arc<crate::desk::SeenRoom>)| {
        let name = room_name(seen, id);
        let view = |held: &drylay_document::Held<drylay_document::Keepout>| {
            let thing = thing_name(&held.value);
            let words = say("feature.thing", &[("room", &name), ("thing", &thing)]);
            FeatureView { room: id.to_string(), id: held.id.to_string(), words }
        };
        room.view.keepouts.live.iter().map(view).collect::<Vec<_>>()
    };
    seen.rooms.iter().flat_map(of_room).collect()
}
