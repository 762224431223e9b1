//! Values that keep the way they were written.

use super::{Along, BestOr, SquareCheck};
use drylay_geometry::Length;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use serde_json::{Number, Value};
use std::borrow::Cow;
use std::fmt::Display;

/// A length and how it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// What stands in the sheet.
    pub written: Written,
    /// What it means.
    pub length: Length,
}

/// A number of millimetres, or trade notation with a unit.
#[derive(Clone, Debug, PartialEq)]
pub enum Written {
    /// A number of millimetres.
    Number(Number),
    /// Trade notation.
    Text(String),
}

impl Measure {
    /// A length written as a number of millimetres.
    pub fn from_length(length: Length) -> Self {
        Self { written: Written::Number(number_of(length)), length }
    }

    /// The length in millimetres.
    pub fn mm(&self) -> f64 {
        self.length.mm()
    }

    /// What was written, as text.
    pub fn text(&self) -> String {
        match &self.written {
            Written::Number(n) => n.to_string(),
            Written::Text(t) => t.clone(),
        }
    }
}

/// Millimetres as the shortest number that reads back as the same length.
fn number_of(length: Length) -> Number {
    let nm = length.nanometres();
    if nm % 1_000_000 == 0 {
        Number::from(nm / 1_000_000)
    } else {
        Number::from_f64(length.mm()).unwrap_or_else(|| Number::from(0))
    }
}

impl Serialize for Measure {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        match &self.written {
            Written::Number(n) => n.serialize(s),
            Written::Text(t) => t.serialize(s),
        }
    }
}

impl JsonSchema for Measure {
    fn schema_name() -> Cow<'static, str> {
        "Length".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A length: a number of millimetres, or trade notation with a unit.",
            "anyOf": [
                { "type": "number" },
                { "type": "string", "examples": ["12' 3 1/2\"", "147 5/8\"", "3.745 m", "48 mm"] }
            ]
        })
    }
}

/// A part of a tile's length such as 1/3, in lowest terms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fraction {
    /// Numerator; 0 for the straight grid.
    pub num: u32,
    /// Denominator, positive.
    pub den: u32,
}

impl Fraction {
    /// Reads `0`, `1/3`, `1/2`: at least nought and less than one, the denominator at most 100.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        let (num, den) = match text.split_once('/') {
            Some((n, d)) => (n.trim().parse::<u32>().ok()?, d.trim().parse::<u32>().ok()?),
            None => (text.parse::<u32>().ok()?, 1),
        };
        if !(1..=100).contains(&den) || num >= den {
            return None;
        }
        let gcd = (1..=den).rev().find(|g| num % g == 0 && den % g == 0)?;
        Some(Self { num: num / gcd, den: den / gcd })
    }
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let cross = |a: u32, b: u32| u64::from(a) * u64::from(b);
        cross(self.num, other.den).cmp(&cross(other.num, self.den))
    }
}
impl Display for Fraction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.num == 0 { f.write_str("0") } else { write!(f, "{}/{}", self.num, self.den) }
    }
}
impl Serialize for Fraction {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
impl JsonSchema for Fraction {
    fn schema_name() -> Cow<'static, str> {
        "Fraction".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A part of the tile's length.",
            "type": "string", "pattern": "^\\s*[0-9]+\\s*(/\\s*[0-9]+\\s*)?$", "examples": ["0", "1/3", "1/2"]
        })
    }
}

/// An angle in degrees, as it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Angle {
    /// The number in the sheet.
    pub written: Number,
    /// Degrees clockwise on the page from x; finite.
    pub degrees: f64,
}

impl Serialize for Angle {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        self.written.serialize(s)
    }
}
impl JsonSchema for Angle {
    fn schema_name() -> Cow<'static, str> {
        "Angle".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "description": "Degrees clockwise on the page from x.", "type": "number" })
    }
}

impl<T: Serialize> Serialize for BestOr<T> {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Best => s.serialize_str("best"),
            Self::Fixed(value) => value.serialize(s),
        }
    }
}
impl<T: JsonSchema> JsonSchema for BestOr<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("BestOr{}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let fixed = generator.subschema_for::<T>();
        json_schema!({ "anyOf": [{ "const": "best" }, fixed] })
    }
}

impl Serialize for Along {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Wall(corners) => as_texts(corners, s),
            Self::Angle(angle) => angle.serialize(s),
        }
    }
}
impl Serialize for SquareCheck {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Usual(corner) => s.collect_str(corner),
            Self::WithSd(check) => check.serialize(s),
        }
    }
}

/// Serialises a name.
pub(super) fn as_text<T: Display, S: Serializer>(value: &T, s: S) -> Result<S::Ok, S::Error> {
    s.collect_str(value)
}

/// Serialises a name where there is one.
pub(super) fn as_maybe_text<T: Display, S: Serializer>(value: &Option<T>, s: S) -> Result<S::Ok, S::Error> {
    match value {
        Some(value) => as_text(value, s),
        None => s.serialize_none(),
    }
}

/// Serialises names where there are any.
pub(super) fn as_texts_if<T: Display, const N: usize, S: Serializer>(
    values: &Option<[T; N]>,
    s: S,
) -> Result<S::Ok, S::Error> {
    match values {
        Some(values) => as_texts(values, s),
        None => s.serialize_none(),
    }
}

/// Serialises a list of names.
pub(super) fn as_texts<'a, T: Display + 'a, S: Serializer>(
    values: impl IntoIterator<Item = &'a T>,
    s: S,
) -> Result<S::Ok, S::Error> {
    s.collect_seq(values.into_iter().map(|v| Value::String(v.to_string())))
}
