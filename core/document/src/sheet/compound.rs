//! Compounds that floors are filled with, as their data sheets have them.

use super::fields::{Item, kind};
use super::{Extra, Measure, Problem};
use drylay_geometry::ProductId;
use schemars::JsonSchema;
use serde::Serialize;

/// A compound that floors are filled with: every figure is its data sheet's.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Compound {
    /// Its name within the sheet.
    #[schemars(with = "String")]
    #[serde(serialize_with = "super::measure::as_text")]
    pub id: ProductId,
    /// What people call it.
    #[schemars(default)]
    pub name: String,
    /// How it is filled in.
    pub way: FillWay,
    /// Litres that a mixed bag fills.
    pub bag_litres: f64,
    /// What a bag costs, as an exact decimal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bag_price: Option<String>,
    /// What a bag weighs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bag_kg: Option<f64>,
    /// Least thickness; left out where it may be drawn out to nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least: Option<Measure>,
    /// Greatest thickness of one layer.
    pub most: Measure,
    /// Minutes for which it can be worked after mixing.
    pub pot_life_minutes: f64,
    /// Minutes that mixing, carrying and placing one mix take.
    pub mix_minutes: f64,
    /// Bags in a mix.
    #[schemars(default = "one")]
    pub bags_in_mix: u32,
    /// For what is trowelled: patches up to this area, in m².
    #[serde(skip_serializing_if = "Option::is_none")]
    pub up_to_m2: Option<f64>,
    /// Hours before it may be walked on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walk_hours: Option<f64>,
    /// Hours before it may be covered.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cover_hours: Option<f64>,
    /// The primer under it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub primer: Option<Primer>,
    /// What is asked over wood.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_wood: Option<OverWood>,
    /// Where the figures stand.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub source: String,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How a compound is filled in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FillWay {
    /// Poured: it lies level.
    Pour,
    /// Trowelled: it follows the floor.
    Trowel,
}

/// A primer.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Primer {
    /// Litres for a square metre.
    pub litres_per_m2: f64,
    /// Hours it dries.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hours: Option<f64>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What a compound asks over wood.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct OverWood {
    /// Least thickness there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least: Option<Measure>,
    /// What else, in words: a mesh, another primer, screwed boards.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub needs: String,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

const fn one() -> u32 {
    1
}

pub(super) fn compound(item: Item<'_>) -> Option<Compound> {
    let mut f = item.object()?;
    let (id, way) = (f.required("id", kind::name), f.required("way", way));
    let name = f.optional("name", kind::text).unwrap_or_default();
    let bag_litres = f.required("bag_litres", above_nought);
    let bag_price = f.optional("bag_price", super::read::money);
    let bag_kg = f.optional("bag_kg", kind::amount);
    let (least, most) = (f.optional("least", kind::not_negative), f.required("most", kind::positive));
    let pot_life_minutes = f.required("pot_life_minutes", above_nought);
    let mix_minutes = f.required("mix_minutes", above_nought);
    let bags_in_mix = f.optional("bags_in_mix", |i| i.count(1)).unwrap_or(1);
    let up_to_m2 = f.optional("up_to_m2", kind::amount);
    let (walk_hours, cover_hours) =
        (f.optional("walk_hours", kind::amount), f.optional("cover_hours", kind::amount));
    let (primer, over_wood) = (f.optional("primer", primer), f.optional("over_wood", over_wood));
    let source = f.optional("source", kind::text).unwrap_or_default();
    let extra = f.rest();
    Some(Compound {
        id: ProductId::new(id?),
        name,
        way: way?,
        bag_litres: bag_litres?,
        bag_price,
        bag_kg,
        least,
        most: most?,
        pot_life_minutes: pot_life_minutes?,
        mix_minutes: mix_minutes?,
        bags_in_mix,
        up_to_m2,
        walk_hours,
        cover_hours,
        primer,
        over_wood,
        source,
        extra,
    })
}

/// A finite number greater than nought.
pub(super) fn above_nought(item: Item<'_>) -> Option<f64> {
    if item.value.as_f64().is_some_and(|x| x <= 0.0) {
        let problem = Problem::new("sheet.above_nought", item.place.clone()).with("found", &item.value);
        item.notes.problems.push(problem);
        return None;
    }
    item.amount()
}

fn way(item: Item<'_>) -> Option<FillWay> {
    item.choice(&[("pour", FillWay::Pour), ("trowel", FillWay::Trowel)])
}

fn primer(item: Item<'_>) -> Option<Primer> {
    let mut f = item.object()?;
    let litres = f.required("litres_per_m2", kind::amount);
    let hours = f.optional("hours", kind::amount);
    let extra = f.rest();
    Some(Primer { litres_per_m2: litres?, hours, extra })
}

fn over_wood(item: Item<'_>) -> Option<OverWood> {
    let mut f = item.object()?;
    let least = f.optional("least", kind::not_negative);
    let needs = f.optional("needs", kind::text).unwrap_or_default();
    Some(OverWood { least, needs, extra: f.rest() })
}

impl Compound {
    /// Reads one from its own text, as a document keeps it; `None` if it is none. What a newer program wrote is kept.
    pub fn read(text: &str) -> Option<Self> {
        super::fields::alone(text, compound)
    }

    /// Writes it as a document keeps it.
    pub fn write(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }
}
