//! Readings of a floor's height, as a sheet holds them.

use super::{Extra, Measure, measure};
use drylay_geometry::ItemId;
use schemars::JsonSchema;
use serde::Serialize;

/// Readings of a floor's height and what a correction may cost.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Level {
    /// Standard deviation of a reading; by default that of a line laser.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<Measure>,
    /// Rod readings below a level plane.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub readings: Vec<RodReading>,
    /// Gaps read directly under a straightedge.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub straightedge: Vec<Straightedge>,
    /// Equally spaced heights for F-numbers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub lines: Vec<FlatnessLine>,
    /// Published tolerances the floor must keep beside the product's, by name.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub standards: Vec<String>,
    /// What filling and grinding cost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub correction: Option<Correction>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The published tolerances a sheet may name.
pub const STANDARDS: [&str; 7] = [
    "tile-edges-under-15-in",
    "tile-edge-15-in-or-more",
    "din-18202-row-3",
    "din-18202-row-4",
    "bs-8204-sr1",
    "bs-8204-sr2",
    "bs-8204-sr3",
];

/// One rod reading: a larger reading is a lower floor.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct RodReading {
    /// Its name within the room; the same name read from two set-ups ties them.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ItemId,
    /// Where, in the room's plan coordinates.
    pub at: [Measure; 2],
    /// What the rod read.
    pub rod: Measure,
    /// Which set-up of the instrument it was read from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setup: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A gap under a straightedge.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Straightedge {
    /// One end of the straightedge in the room's plan coordinates.
    pub from: [Measure; 2],
    /// Its other end.
    pub to: [Measure; 2],
    /// The greatest gap below it.
    pub gap: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A line of equally spaced heights, up-positive.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct FlatnessLine {
    /// Its name within the room.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ItemId,
    /// Distance between neighbouring heights.
    pub spacing: Measure,
    /// The heights.
    pub heights: Vec<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What a correction may do and what it costs per litre, in any currency.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Correction {
    /// Cost of a litre filled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fill_cost: Option<f64>,
    /// Cost of a litre ground off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grind_cost: Option<f64>,
    /// Whether grinding is possible.
    #[schemars(default)]
    pub grind: bool,
    /// By how much the tolerance is kept clear of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<Measure>,
    /// How many mix compound at once; one by default.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mixers: Option<u32>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}
