//! What it all weighs: for the truck, for whoever carries it, and for the floor that bears it.

use super::line::Line;
use crate::answers::PlannedArea;
use drylay_document::sheet::{Sheet, Supply, SupplyUse};
use serde::Serialize;
use std::borrow::Borrow;

/// What an order weighs.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Weight {
    /// All packs of which the weight is known, for the truck.
    pub kg: f64,
    /// How many packs are carried.
    pub packs: usize,
    /// The heaviest of them.
    pub heaviest_kg: f64,
    /// Products of which no pack's weight is known.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unknown: Vec<String>,
    /// What each finished floor weighs on what bears it.
    pub floors: Vec<FloorWeight>,
}

/// What a finished floor weighs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FloorWeight {
    /// The area.
    pub area: String,
    /// Tile, adhesive, grout and underlayment as laid; compounds are not among it, they lie where the floor is low.
    pub kg_per_m2: f64,
}

/// Weighs lines and floors.
pub(super) fn weigh<A: Borrow<PlannedArea>>(sheet: &Sheet, areas: &[A], lines: &[Line]) -> Weight {
    let mut weight = Weight::default();
    for line in lines.iter().filter(|line| line.item != "primer") {
        match (line.kg, line.packs) {
            (Some(kg), Some(packs)) if packs > 0 => {
                weight.kg += kg;
                weight.packs += packs;
                weight.heaviest_kg = weight.heaviest_kg.max(kg / packs as f64);
            }
            _ => weight.unknown.push(line.product.clone()),
        }
    }
    weight.floors = areas.iter().filter_map(|area| floor(sheet, area.borrow(), lines)).collect();
    weight
}

/// `None` where nothing says what a carton weighs.
fn floor(sheet: &Sheet, area: &PlannedArea, lines: &[Line]) -> Option<FloorWeight> {
    let carton = sheet.product(&area.product.id)?.carton.as_ref()?;
    let faces: f64 = area.plan.pieces.iter().map(|p| p.shape.area_mm2()).sum();
    let m2 = area.field.area_m2();
    let tile = carton.kg? / f64::from(carton.tiles) * faces / area.product.face_mm2() / m2;
    let with = sheet.supplies.iter().filter(|supply| supply.goes_with(&area.product.id));
    let rest: f64 = with.filter_map(|supply| laid(supply, lines)).sum();
    Some(FloorWeight { area: area.id.clone(), kg_per_m2: tile + rest })
}

/// What a supply weighs on a square metre that it lies on; `None` where it does not lie there or nothing says.
fn laid(supply: &Supply, lines: &[Line]) -> Option<f64> {
    let line = lines.iter().find(|line| line.product == supply.id.as_str())?;
    match supply.used_as {
        SupplyUse::Underlay | SupplyUse::Film => {
            let (width, length) = (supply.width.as_ref()?.mm(), supply.length.as_ref()?.mm());
            Some(
                supply.pack.as_ref()?.kg?
                    / supply.pack.as_ref()?.holds.unwrap_or(1.0)
                    / (width * length / 1e6),
            )
        }
        SupplyUse::Adhesive | SupplyUse::Grout if line.unit == "kg" => {
            let covered = line.guess.as_ref().and_then(|guess| guess.area_m2);
            let covered = covered
                .or_else(|| line.from.iter().find(|f| f.what == "covered_m2").map(|f| f.value.number()));
            Some(line.quantity.number() / covered.filter(|m2| *m2 > 0.0)?)
        }
        _ => None,
    }
}
