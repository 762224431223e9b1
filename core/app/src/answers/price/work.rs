//! Work as tasks with a quantity: what the plan yields, and what the quote names besides.

use crate::answers::PlannedArea;
use crate::answers::takeoff::{Line, Site, TakeoffAnswer};
use drylay_document::sheet::Per;
use std::borrow::Borrow;

/// A task of which so much is to be done.
pub(super) struct Todo {
    /// The task, as rates call it.
    pub(super) task: &'static str,
    pub(super) quantity: f64,
    pub(super) unit: &'static str,
}

/// A square foot in m² and a foot in m, by definition.
const FOOT: f64 = 0.3048;

/// What the plan yields to be done.
pub(super) fn tasks<A: Borrow<PlannedArea>>(site: &Site<'_, A>, takeoff: &TakeoffAnswer) -> Vec<Todo> {
    let areas: Vec<(usize, &PlannedArea)> = site.areas.iter().map(Borrow::borrow).enumerate().collect();
    let of = |item: &'static str, figures: &[&str]| -> f64 {
        let lines = takeoff.lines.iter().filter(|line| line.item == item);
        lines.map(|line| figures.iter().map(|figure| figure_of(line, figure)).sum::<f64>()).sum()
    };
    let grouted = takeoff.lines.iter().filter(|line| line.item == "grout");
    let grouted: f64 = grouted.filter_map(|line| line.guess.as_ref()?.area_m2).sum();
    let works = || site.works.iter().map(|of| &of.work);
    let todo = |task, quantity, unit| Todo { task, quantity, unit };
    let all = vec![
        todo("grind", works().flat_map(|w| &w.grinds).map(|g| g.area_m2).sum(), "m2"),
        todo("prime", works().map(|w| w.primed_m2).sum(), "m2"),
        todo("fill", works().flat_map(|w| &w.patches).map(|p| p.area_m2).sum(), "m2"),
        todo("underlay", of("underlay", &["floor_m2"]), "m2"),
        todo("lay", site.count(Per::SquareMetre, &areas), "m2"),
        todo("cut", site.count(Per::Cut, &areas), "piece"),
        todo("grout", grouted, "m2"),
        todo("seal", of("sealant", &["edge_m", "movement_m"]), "m"),
        todo("transition", of("transition", &["openings", "movement_joints"]), "piece"),
        todo("trim", of("trim", &["runs_m"]), "m"),
    ];
    all.into_iter().filter(|todo| todo.quantity > 0.0).collect()
}

fn figure_of(line: &Line, what: &str) -> f64 {
    line.from.iter().find(|f| f.what == what).map_or(0.0, |f| f.value.number())
}

/// A quantity in the unit of a rate; `None` where that is another kind of unit.
pub(super) fn in_unit(quantity: f64, unit: &str, wanted: &str) -> Option<f64> {
    match (unit, wanted) {
        _ if unit == wanted => Some(quantity),
        ("m2", "ft2") => Some(quantity / (FOOT * FOOT)),
        ("ft2", "m2") => Some(quantity * FOOT * FOOT),
        ("m", "ft") => Some(quantity / FOOT),
        ("ft", "m") => Some(quantity * FOOT),
        _ => None,
    }
}
