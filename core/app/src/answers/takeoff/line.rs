//! A line of what to buy, with the figures it came from.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};

/// A line to buy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// What kind of thing: `tile`, `compound`, `primer`, or the use of a supply.
    pub item: &'static str,
    /// Which product, compound or supply.
    pub product: String,
    /// How many.
    pub quantity: Amount,
    /// Of what.
    pub unit: &'static str,
    /// In how many packs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packs: Option<usize>,
    /// What a pack is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack: Option<String>,
    /// What the packs weigh together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg: Option<f64>,
    /// The figures it came from, in the order in which it was counted.
    #[serde(serialize_with = "by_name")]
    pub from: Vec<Figure>,
    /// Where they came from, place by place.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
    /// What a guess would have bought.
    #[serde(skip)]
    pub guess: Option<GuessLine>,
}

/// A number of things, or a measure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Amount {
    /// Things that are counted.
    Count(usize),
    /// A measure.
    Measure(f64),
}

impl Amount {
    /// As a number.
    pub fn number(self) -> f64 {
        match self {
            Self::Count(n) => n as f64,
            Self::Measure(x) => x,
        }
    }
}

/// A figure that a line came from.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// What it is: `plan`, `breakage`, `joints_m2`. What is a measure ends in its unit.
    pub what: &'static str,
    /// The figure.
    pub value: Amount,
}

impl Figure {
    pub(super) fn count(what: &'static str, n: usize) -> Self {
        Self { what, value: Amount::Count(n) }
    }
    pub(super) fn measure(what: &'static str, x: f64) -> Self {
        Self { what, value: Amount::Measure(x) }
    }
}

/// A part of a figure with the place in the job that it came from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// What it is, as [`Figure::what`].
    pub what: &'static str,
    /// The figure.
    pub value: Amount,
    /// The area it came from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area: Option<String>,
    /// The room it came from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
}

impl Part {
    pub(super) fn of_area(what: &'static str, value: Amount, area: &str) -> Self {
        Self { what, value, area: Some(area.to_owned()), room: None }
    }
    pub(super) fn of_room(what: &'static str, value: Amount, room: &str) -> Self {
        Self { what, value, area: None, room: Some(room.to_owned()) }
    }
}

/// What a guess would have bought.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guess {
    /// The percentage on top of the area, or of the length.
    pub percent: u32,
    /// Line by line.
    pub lines: Vec<GuessLine>,
}

/// A line of the guess.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GuessLine {
    /// What kind of thing.
    pub item: &'static str,
    /// Which product.
    pub product: String,
    /// The area that is covered; absent where the guess is of a length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Tiles; absent for anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tiles: Option<usize>,
    /// How many, in the line's unit.
    pub quantity: Amount,
    /// In how many packs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packs: Option<usize>,
}

fn by_name<S: Serializer>(figures: &[Figure], s: S) -> Result<S::Ok, S::Error> {
    let mut map = s.serialize_map(Some(figures.len()))?;
    for figure in figures {
        map.serialize_entry(figure.what, &figure.value)?;
    }
    map.end()
}
