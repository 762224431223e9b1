//! The points of a floor for the screens: what was read, what is still to be read, and from which set-up.

use super::floor::{Viewer, count, inches};
use crate::Problem;
use crate::show::stamp;
use crate::wire::{FloorPointView, RodView, RoomProblem, SetupView, StationView, Units};
use crate::words::say;
use drylay_document::{At, Held, RodReading};
use drylay_geometry::ItemId;
use std::collections::BTreeMap;

/// A station this near to a point that was read, as a share of the pattern's spacing, is read.
const NEAR: f64 = 0.45;

impl Viewer<'_> {
    /// The rod readings of the round that is shown, in the order in which they count.
    fn rods(&self) -> impl Iterator<Item = &Held<RodReading>> + Clone {
        self.rods.iter().copied()
    }

    /// The points that were read, in the order of their first reading: a point keeps its number when that is put
    /// right.
    fn order(&self) -> Vec<&ItemId> {
        let mut first: BTreeMap<&ItemId, (i64, i64)> = BTreeMap::new();
        let past = self.seen.view.rods.past.iter().map(|past| &past.held);
        let here = |held: &&Held<RodReading>| held.value.round.unwrap_or(0) == self.now.round;
        for held in self.rods().chain(past.filter(here)) {
            let at = (held.value.listed.unwrap_or(i64::MAX), held.added.at.utc_ms);
            first.entry(&held.value.point).and_modify(|known| *known = at.min(*known)).or_insert(at);
        }
        let mut order: Vec<&ItemId> = Vec::new();
        for held in self.rods() {
            if !order.contains(&&held.value.point) {
                order.push(&held.value.point);
            }
        }
        order.sort_by_key(|point| first.get(*point).copied());
        order
    }

    /// What a set-up is called.
    fn setup_name(&self, id: Option<&ItemId>) -> String {
        let held = id.and_then(|id| self.seen.view.setups.get(id));
        held.map_or_else(|| say("flat.setup", &[("n", "1")]), |held| held.value.name.clone())
    }
}

/// A point's number on the map.
pub(super) fn label(viewer: &Viewer<'_>, id: &str) -> String {
    let order = viewer.order();
    order
        .iter()
        .position(|point| point.as_str() == id)
        .map_or_else(|| "?".to_owned(), |n| (n + 1).to_string())
}

fn place(at: &At) -> [f64; 2] {
    [at.x.length().mm(), at.y.length().mm()]
}

pub(super) fn points(viewer: &Viewer<'_>) -> Vec<FloorPointView> {
    let read = &viewer.now.read;
    let order = viewer.order();
    let one = |(n, id): (usize, &&ItemId)| {
        let rods: Vec<&Held<RodReading>> = viewer.rods().filter(|held| held.value.point == **id).collect();
        let index = read.points.names.iter().find(|(name, _)| name == id.as_str()).map(|(_, i)| *i);
        let z = index.and_then(|i| read.points.heights.z[i]);
        let sd = index.map_or(0.0, |i| read.points.heights.sd(i));
        FloorPointView {
            id: id.to_string(),
            label: (n + 1).to_string(),
            at: rods.first().map_or([0.0, 0.0], |held| place(&held.value.at)),
            z,
            text: z.map_or_else(|| "?".to_owned(), |z| short(viewer.units, -z, sd)),
            words: match z {
                Some(z) => words(viewer.units, -z, sd),
                None => say("flat.no_height", &[]),
            },
            readings: rods.into_iter().map(|held| rod(viewer, held)).collect(),
        }
    };
    order.iter().enumerate().map(one).collect()
}

fn rod(viewer: &Viewer<'_>, held: &Held<RodReading>) -> RodView {
    let past = &viewer.seen.view.rods.past;
    let mut earlier = Vec::new();
    let mut of = vec![held.id.clone()];
    while let Some(id) = of.pop() {
        for before in past.iter().filter(|p| p.superseded_by.contains(&id)) {
            earlier.push(before.held.value.rod.text().to_owned());
            of.push(before.held.id.clone());
        }
    }
    RodView {
        id: held.id.to_string(),
        text: crate::show::typed(&held.value.rod).text,
        setup: viewer.setup_name(held.value.setup.as_ref()),
        stamp: stamp(&held.added),
        earlier,
    }
}

/// A height below the highest as a figure on the map: no finer than it is known.
pub(super) fn short(units: Units, depth: f64, sd: f64) -> String {
    match units {
        Units::Metric if sd < 0.3 => format!("{:.1}", depth.max(0.0)),
        Units::Metric => format!("{:.0}", depth.max(0.0)),
        Units::Imperial | Units::Inches => {
            let text = inches(depth.max(0.0), 16);
            text.trim_end_matches('"').to_owned()
        }
    }
}

fn words(units: Units, depth: f64, sd: f64) -> String {
    let doubt = super::floor::fine(units, 2.0 * sd);
    let depth = super::floor::fine(units, depth.max(0.0));
    say("flat.height", &[("depth", &depth), ("doubt", &doubt)])
}

/// Places still to be read: of the pattern, or the points of the round before.
pub(super) fn stations(viewer: &Viewer<'_>) -> Vec<StationView> {
    let read: Vec<[f64; 2]> = viewer.rods().map(|held| place(&held.value.at)).collect();
    if let Some(before) = viewer.before {
        let earlier = Viewer::new(viewer.seen, viewer.units, before, None);
        let mut found: Vec<StationView> = Vec::new();
        for held in earlier.rods() {
            let at = place(&held.value.at);
            if !read.contains(&at) && !found.iter().any(|s| s.at == at) {
                found.push(station(viewer, held.value.point.to_string(), at));
            }
        }
        return found;
    }
    let Some(pattern) = viewer.now.read.pattern() else { return Vec::new() };
    let reach = NEAR * pattern.spacing;
    let near = |at: &[f64; 2]| {
        let off = |p: &[f64; 2]| ((p[0] - at[0]) * (p[0] - at[0]) + (p[1] - at[1]) * (p[1] - at[1])).sqrt();
        read.iter().any(|p| off(p) <= reach)
    };
    let all = pattern.points.iter().map(|p| {
        let (x, y) = p.mm();
        [x, y]
    });
    let name = |at: [f64; 2]| format!("at {:.0} {:.0}", at[0], at[1]);
    all.filter(|at| !near(at)).map(|at| station(viewer, name(at), at)).collect()
}

fn station(viewer: &Viewer<'_>, id: String, at: [f64; 2]) -> StationView {
    let walk = viewer.seen.labels.walk();
    let (a, b) = (walk.first().map_or("A", |w| &w.1), walk.get(1).map_or("B", |w| &w.1));
    let (x, y) = (viewer.units.known(at[0], 5.0), viewer.units.known(at[1], 5.0));
    StationView { id, at, words: say("flat.station", &[("along", &x), ("into", &y), ("a", a), ("b", b)]) }
}

pub(super) fn read_words(points: &[FloorPointView], stations: &[StationView]) -> String {
    let (read, all) = (points.len().to_string(), (points.len() + stations.len()).to_string());
    if stations.is_empty() && !points.is_empty() {
        return say("flat.all_read", &[("n", &read)]);
    }
    say("flat.read", &[("n", &read), ("all", &all)])
}

/// The set-ups of the round: those that were named for it or read from; the first where none was named.
pub(super) fn setups(viewer: &Viewer<'_>, points: &[FloorPointView]) -> Vec<SetupView> {
    let mut ids: Vec<Option<ItemId>> = Vec::new();
    for held in viewer.rods() {
        if !ids.contains(&held.value.setup) {
            ids.push(held.value.setup.clone());
        }
    }
    let named = viewer.seen.view.setups.live.iter();
    let mut named: Vec<_> = named.filter(|held| held.value.round.unwrap_or(0) == viewer.now.round).collect();
    named.sort_by_key(|held| (held.added.at.utc_ms, held.id.clone()));
    for held in named {
        if !ids.contains(&Some(held.id.clone())) {
            ids.push(Some(held.id.clone()));
        }
    }
    if ids.is_empty() {
        ids.push(None);
    }
    let from = |id: &Option<ItemId>| viewer.rods().filter(|held| held.value.setup == *id).collect::<Vec<_>>();
    let one = |(n, id): (usize, &Option<ItemId>)| {
        let own = from(id);
        let others = viewer.rods().filter(|held| held.value.setup != *id);
        let tied = n == 0 || others.clone().any(|o| own.iter().any(|r| r.value.point == o.value.point));
        let tie = (!tied).then(|| points.iter().find(|p| p.z.is_some()).map(|p| p.id.clone())).flatten();
        SetupView {
            id: id.as_ref().map(ToString::to_string).unwrap_or_default(),
            name: viewer.setup_name(id.as_ref()),
            readings: count(own.len()),
            tie,
        }
    };
    ids.iter().enumerate().map(one).collect()
}

/// What is odd, its places said in the numbers of the map.
pub(super) fn problems(viewer: &Viewer<'_>, points: &[FloorPointView]) -> Vec<RoomProblem> {
    let rods: Vec<&Held<RodReading>> = viewer.rods().collect();
    let point = |k: usize| {
        let id = rods.get(k).map(|held| held.value.point.to_string())?;
        let found = points.iter().find(|p| p.id == id)?;
        Some(say("flat.point", &[("n", &found.label)]))
    };
    let number = |text: &str| text.split(']').next().and_then(|n| n.parse::<usize>().ok());
    let named = |place: &str| match place.trim_start_matches('.').split_once('[') {
        Some(("readings", rest)) => number(rest).and_then(point),
        Some(("straightedge", rest)) => {
            number(rest).map(|k| say("flat.straightedge", &[("n", &(k + 1).to_string())]))
        }
        _ => None,
    };
    let told = |problem: &Problem| {
        let mut problem = problem.clone();
        let place = named(&problem.place).unwrap_or_default();
        if problem.params.contains_key("id") {
            problem = problem.with("id", &place);
        }
        if let Some(setup) = problem.params.get("setup").cloned() {
            problem = problem.with("setup", viewer.setup_name(Some(&ItemId::new(setup))));
        }
        if let Some(other) = problem.params.get("other").cloned() {
            problem = problem.with("other", named(&other).unwrap_or_default());
        }
        RoomProblem { place, message: problem.message, hint: problem.hint }
    };
    viewer.now.read.notes.iter().map(told).collect()
}
