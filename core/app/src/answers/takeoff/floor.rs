//! Compounds and primer, from the work on the floors.

use super::line::{Amount, Figure, Line, Part};
use super::site::{RoomWork, Site};
use crate::answers::PlannedArea;
use crate::answers::floor_work::primer_litres;
use drylay_document::sheet::Compound;
use drylay_plan::takeoff::packs;
use drylay_survey::floor::work::Way;
use std::borrow::Borrow;

/// Compounds in bags, each of them once, and the primer under all of them.
pub(super) fn lines<A: Borrow<PlannedArea>>(site: &Site<'_, A>) -> Vec<Line> {
    let mut lines: Vec<Line> = site.sheet.compounds.iter().filter_map(|c| compound(c, site.works)).collect();
    lines.extend(primer(site.works));
    lines
}

/// Litres of a compound in a room.
fn litres(compound: &Compound, of: &RoomWork) -> f64 {
    let ways = [(Way::Pour, of.work.pour), (Way::Trowel, of.work.trowel)];
    let is = |way| of.filling.of(way).is_some_and(|c| c.id == compound.id);
    ways.iter().filter(|(way, _)| is(*way)).filter_map(|(_, portions)| portions.map(|p| p.litres)).sum()
}

fn compound(compound: &Compound, works: &[RoomWork]) -> Option<Line> {
    let rooms: Vec<(&str, f64)> = works
        .iter()
        .map(|of| (of.room.as_str(), litres(compound, of)))
        .filter(|(_, litres)| *litres > 0.0)
        .collect();
    let total: f64 = rooms.iter().map(|(_, litres)| litres).sum();
    let bags = packs(total, compound.bag_litres);
    (bags > 0).then(|| Line {
        item: "compound",
        product: compound.id.to_string(),
        quantity: Amount::Measure(total),
        unit: "litre",
        packs: Some(bags),
        pack: Some("bag".to_owned()),
        kg: compound.bag_kg.map(|kg| kg * bags as f64),
        from: vec![Figure::measure("litres", total), Figure::measure("bag_litres", compound.bag_litres)],
        parts: parts(&rooms),
        guess: None,
    })
}

fn primer(works: &[RoomWork]) -> Option<Line> {
    let rooms: Vec<(&str, f64)> = works
        .iter()
        .filter_map(|of| Some((of.room.as_str(), primer_litres(&of.work, &of.filling)?)))
        .filter(|(_, litres)| *litres > 0.0)
        .collect();
    let total: f64 = rooms.iter().map(|(_, litres)| litres).sum();
    let primed: f64 = works.iter().map(|of| of.work.primed_m2).sum();
    (total > 0.0).then(|| Line {
        item: "primer",
        product: "primer".to_owned(),
        quantity: Amount::Measure(total),
        unit: "litre",
        packs: None,
        pack: None,
        kg: None,
        from: vec![Figure::measure("primed_m2", primed), Figure::measure("litres", total)],
        parts: parts(&rooms),
        guess: None,
    })
}

fn parts(rooms: &[(&str, f64)]) -> Vec<Part> {
    rooms.iter().map(|(room, litres)| Part::of_room("litres", Amount::Measure(*litres), room)).collect()
}
