//! How plain Rust values go into cells and come back.

use drylay_geometry::ItemId;
use drylay_geometry::length::{BareUnit, Length, LengthError};

use crate::ids::{ContentHash, DocumentId, Place};
use crate::value::Value;

/// A type that a field can have. `fetch` gets `None` where the field was never written: optional fields and
/// lists read that as empty, which is how fields are added later without touching old entries.
pub trait Stored: Sized {
    /// The value as stored.
    fn store(&self) -> Value;
    /// The value read back; `None` if what is stored is of another type or missing.
    fn fetch(value: Option<&Value>) -> Option<Self>;
}

/// A length as a person typed it: the text comes back as typed, the length is exact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TypedLength {
    text: String,
    length: Length,
}

impl TypedLength {
    /// Reads trade notation with a unit.
    ///
    /// # Errors
    /// As [`Length::parse`].
    pub fn parse(text: &str) -> Result<Self, LengthError> {
        Ok(Self { length: Length::parse(text)?, text: text.to_owned() })
    }
    /// Reads what was typed on a keypad that says the unit of a bare number.
    ///
    /// # Errors
    /// As [`Length::parse_in`].
    pub fn parse_in(text: &str, bare: BareUnit) -> Result<Self, LengthError> {
        Ok(Self { length: Length::parse_in(text, bare)?, text: text.to_owned() })
    }
    /// A length that came with its own text from elsewhere: an instrument, a sheet's bare number of millimetres.
    pub fn new(text: impl Into<String>, length: Length) -> Self {
        Self { text: text.into(), length }
    }
    /// The text as typed.
    pub fn text(&self) -> &str {
        &self.text
    }
    /// The exact length.
    pub fn length(&self) -> Length {
        self.length
    }
}

/// A decimal number as text, exact: `-0.25`, `14`, `1e-3` is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decimal(String);

impl Decimal {
    /// Reads an optional sign, digits, and at most one point with digits on both sides.
    pub fn parse(text: &str) -> Option<Self> {
        let digits = text.strip_prefix(['-', '+']).unwrap_or(text);
        let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
        let all = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        (text.len() <= 40 && all(whole) && all(part)).then(|| Self(text.to_owned()))
    }
    /// The shortest decimal number that reads back as `number`; `None` if it is not finite or beyond 10^15.
    pub fn from_f64(number: f64) -> Option<Self> {
        (number.is_finite() && number.abs() < 1e15)
            .then(|| Self(format!("{number}")))
            .filter(|d| d.0.len() <= 40)
    }
    /// The number times a power of ten, exact: `0.03` by 2 is `3`, a share as per cent.
    pub fn shifted(&self, places: i32) -> Self {
        let (sign, digits) = match self.0.strip_prefix('-') {
            Some(digits) => ("-", digits),
            None => ("", self.0.strip_prefix('+').unwrap_or(&self.0)),
        };
        let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
        let all = format!("{whole}{part}");
        let point = i64::try_from(whole.len()).unwrap_or(0) + i64::from(places);
        let (zeros, at) = (usize::try_from(-point).unwrap_or(0), usize::try_from(point).unwrap_or(0));
        let all = format!("{}{all}", "0".repeat(zeros));
        let all = format!("{all}{}", "0".repeat(at.saturating_sub(all.len())));
        let (whole, part) = all.split_at(at);
        let (whole, part) = (whole.trim_start_matches('0'), part.trim_end_matches('0'));
        let whole = if whole.is_empty() { "0" } else { whole };
        let text = if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") };
        Self(if text == "-0" { "0".to_owned() } else { text })
    }
    /// The number as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
    /// The nearest floating-point number; for measurements, never for money.
    pub fn to_f64(&self) -> f64 {
        self.0.parse().unwrap_or(0.0)
    }
}

/// An amount of money, exact; the currency is the shop's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Money(pub Decimal);

/// Words that never leave the crew in an export: the code of a door.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(pub String);

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret(..)")
    }
}

/// Opaque bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blob(pub Vec<u8>);

/// A position on the floor in plan coordinates, each as typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct At {
    /// To the right along the first wall.
    pub x: TypedLength,
    /// Into the room (down the page).
    pub y: TypedLength,
}

/// The state of one document at a moment: its id and the change hashes at its ends.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Source {
    /// The document.
    pub document: DocumentId,
    /// Its heads, sorted.
    pub heads: Vec<[u8; 32]>,
}

impl Stored for bool {
    fn store(&self) -> Value {
        Value::Flag(*self)
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Flag(yes)) = value { Some(*yes) } else { None }
    }
}

impl Stored for i64 {
    fn store(&self) -> Value {
        Value::Whole(*self)
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Whole(n)) = value { Some(*n) } else { None }
    }
}

macro_rules! stored_text {
    ($type:ty, $variant:ident, $text:expr, $make:expr) => {
        impl Stored for $type {
            fn store(&self) -> Value {
                let text: fn(&Self) -> &str = $text;
                Value::$variant(text(self).to_owned())
            }
            fn fetch(value: Option<&Value>) -> Option<Self> {
                let make: fn(&str) -> Option<Self> = $make;
                if let Some(Value::$variant(text)) = value { make(text) } else { None }
            }
        }
    };
}

stored_text!(String, Text, |s| s, |t| Some(t.to_owned()));
stored_text!(ItemId, Id, |s| s.as_str(), |t| Some(Self::new(t)));
stored_text!(Decimal, Number, |s| s.as_str(), Self::parse);
stored_text!(Money, Money, |s| s.0.as_str(), |t| Decimal::parse(t).map(Self));
stored_text!(Secret, Secret, |s| &s.0, |t| Some(Self(t.to_owned())));

impl Stored for TypedLength {
    fn store(&self) -> Value {
        Value::Length { text: self.text.clone(), length: self.length }
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Length { text, length }) = value { Some(Self::new(text, *length)) } else { None }
    }
}

impl Stored for ContentHash {
    fn store(&self) -> Value {
        Value::Hash(self.0)
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Hash(hash)) = value { Some(Self(*hash)) } else { None }
    }
}

impl Stored for Place {
    fn store(&self) -> Value {
        Value::Bytes(self.0.clone())
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Bytes(bytes)) = value { Some(Self(bytes.clone())) } else { None }
    }
}

impl Stored for Blob {
    fn store(&self) -> Value {
        Value::Bytes(self.0.clone())
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Bytes(bytes)) = value { Some(Self(bytes.clone())) } else { None }
    }
}

impl<const N: usize> Stored for [u8; N] {
    fn store(&self) -> Value {
        Value::Bytes(self.to_vec())
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        if let Some(Value::Bytes(bytes)) = value { bytes.as_slice().try_into().ok() } else { None }
    }
}

impl Stored for DocumentId {
    fn store(&self) -> Value {
        self.0.store()
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        Stored::fetch(value).map(Self)
    }
}

impl<T: Stored> Stored for Option<T> {
    fn store(&self) -> Value {
        self.as_ref().map_or(Value::Nothing, T::store)
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        match value {
            None | Some(Value::Nothing) => Some(None),
            present => T::fetch(present).map(Some),
        }
    }
}

impl<T: Stored> Stored for Vec<T> {
    fn store(&self) -> Value {
        Value::List(self.iter().map(T::store).collect())
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        match value {
            None | Some(Value::Nothing) => Some(Self::new()),
            Some(Value::List(items)) => items.iter().map(|v| T::fetch(Some(v))).collect(),
            Some(_) => None,
        }
    }
}

impl<A: Stored, B: Stored> Stored for (A, B) {
    fn store(&self) -> Value {
        Value::List(vec![self.0.store(), self.1.store()])
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        match value {
            Some(Value::List(items)) if items.len() == 2 => {
                Some((A::fetch(items.first())?, B::fetch(items.get(1))?))
            }
            _ => None,
        }
    }
}

impl Stored for At {
    fn store(&self) -> Value {
        Value::List(vec![self.x.store(), self.y.store()])
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        Stored::fetch(value).map(|(x, y)| Self { x, y })
    }
}

impl Stored for Source {
    fn store(&self) -> Value {
        Value::List(vec![self.document.store(), self.heads.store()])
    }
    fn fetch(value: Option<&Value>) -> Option<Self> {
        Stored::fetch(value).map(|(document, heads)| Self { document, heads })
    }
}

/// An enumeration whose cases are stored as words.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$case_doc:meta])* $case:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[$case_doc])* $case),+ }

        impl $name {
            /// Every case, in the order laid down.
            pub const ALL: &'static [Self] = &[$(Self::$case),+];
            /// The case as a word.
            pub fn word(self) -> &'static str {
                match self { $(Self::$case => $word),+ }
            }
            /// The case that has this word.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$case),)+ _ => None }
            }
        }
        impl $crate::stored::Stored for $name {
            fn store(&self) -> $crate::value::Value {
                $crate::value::Value::Word(self.word().to_owned())
            }
            fn fetch(value: Option<&$crate::value::Value>) -> Option<Self> {
                match value {
                    Some($crate::value::Value::Word(word)) => Self::from_word(word),
                    _ => None,
                }
            }
        }
    };
}
pub(crate) use words;

/// A group of named values within a field: a tolerance, a carton.
macro_rules! group {
    ($(#[$doc:meta])* $name:ident { $($(#[$field_doc:meta])* $field:ident: $type:ty),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq)]
        pub struct $name { $($(#[$field_doc])* pub $field: $type),+ }

        impl $crate::stored::Stored for $name {
            fn store(&self) -> $crate::value::Value {
                $crate::value::Value::Record(vec![$((stringify!($field).to_owned(), self.$field.store())),+])
            }
            fn fetch(value: Option<&$crate::value::Value>) -> Option<Self> {
                let record = value?;
                Some(Self { $($field: <$type>::fetch(record.field(stringify!($field)))?),+ })
            }
        }
    };
}
pub(crate) use group;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_typed_comes_back_as_typed() {
        let typed = TypedLength::parse("12'-3 1/2\"").unwrap();
        let back = TypedLength::fetch(Some(&typed.store())).unwrap();
        assert_eq!((back.text(), back.length().nanometres()), ("12'-3 1/2\"", 3_746_500_000));
    }

    #[test]
    fn decimals_are_plain_digits() {
        for good in ["0", "-0.25", "38.20", "+4"] {
            assert_eq!(Decimal::parse(good).unwrap().as_str(), good);
        }
        for bad in ["", "-", ".5", "5.", "1e3", "NaN", "1,5", "0x1"] {
            assert_eq!(Decimal::parse(bad), None, "{bad}");
        }
        assert_eq!(Decimal::from_f64(f64::NAN), None);
    }

    #[test]
    fn the_point_moves_without_losing_a_digit() {
        let moved = |text: &str, places| Decimal::parse(text).unwrap().shifted(places).as_str().to_owned();
        for (share, percent) in
            [("0.03", "3"), ("0.075", "7.5"), ("1", "100"), ("0", "0"), ("-0.125", "-12.5")]
        {
            assert_eq!(moved(share, 2), percent);
            assert_eq!(moved(percent, -2), share);
        }
        assert_eq!(moved("007.50", 0), "7.5");
        assert_eq!(moved("-0.0", 2), "0");
    }

    #[test]
    fn a_field_never_written_is_empty_or_missing() {
        assert_eq!(Option::<String>::fetch(None), Some(None));
        assert_eq!(Vec::<String>::fetch(None), Some(Vec::new()));
        assert_eq!(String::fetch(None), None);
    }
}
