//! Taking a JSON object apart field by field, with every mistake noted at its place.

use super::{Angle, Extra, Fraction, Measure, Problem, Written};
use drylay_geometry::{Length, Reason};
use serde_json::{Map, Value};

/// Where mistakes and oddities are noted, and whether unknown fields are mistakes.
#[derive(Debug, Default)]
pub(super) struct Notes {
    pub(super) problems: Vec<Problem>,
    pub(super) warnings: Vec<Problem>,
    /// The sheet is from a newer program: unknown fields are kept and named in a warning.
    pub(super) newer: bool,
}

/// The fields of one object that have not been asked for yet.
pub(super) struct Fields<'a> {
    map: Map<String, Value>,
    place: String,
    notes: &'a mut Notes,
}

/// A value with its place, to be read as something.
pub(super) struct Item<'a> {
    pub(super) value: Value,
    pub(super) place: String,
    pub(super) notes: &'a mut Notes,
}

impl<'a> Item<'a> {
    fn wrong_kind<T>(self, wanted: &str) -> Option<T> {
        let found = match &self.value {
            Value::Null => "null",
            Value::Bool(_) => "true/false",
            Value::Number(_) => "number",
            Value::String(_) => "text",
            Value::Array(_) => "list",
            Value::Object(_) => "object",
        };
        let problem = Problem::new("sheet.kind", self.place).with("wanted", wanted).with("found", found);
        self.notes.problems.push(problem);
        None
    }

    pub(super) fn object(self) -> Option<Fields<'a>> {
        match self.value {
            Value::Object(map) => Some(Fields { map, place: self.place, notes: self.notes }),
            _ => self.wrong_kind("object"),
        }
    }

    /// Reads each entry; entries that are wrong are noted and left out.
    pub(super) fn list<T>(self, mut each: impl FnMut(Item<'_>) -> Option<T>) -> Option<Vec<T>> {
        let Value::Array(values) = self.value else { return self.wrong_kind("list") };
        let mut read = Vec::with_capacity(values.len());
        for (i, value) in values.into_iter().enumerate() {
            let place = format!("{}[{i}]", self.place);
            read.extend(each(Item { value, place, notes: &mut *self.notes }));
        }
        Some(read)
    }

    pub(super) fn array<T, const N: usize>(self, each: impl FnMut(Item<'_>) -> Option<T>) -> Option<[T; N]> {
        let count = self.value.as_array().map(Vec::len);
        if count.is_some_and(|n| n != N) {
            let problem =
                Problem::new("sheet.count", self.place).with("wanted", N).with("found", count.unwrap_or(0));
            self.notes.problems.push(problem);
            return None;
        }
        self.list(each)?.try_into().ok()
    }

    pub(super) fn text(self) -> Option<String> {
        match self.value {
            Value::String(text) => Some(text),
            _ => self.wrong_kind("text"),
        }
    }

    /// A name: a text that is not empty and not unreasonably long.
    pub(super) fn name(self) -> Option<String> {
        let place = self.place.clone();
        let Value::String(text) = self.value else { return self.wrong_kind("text") };
        let fits =
            !text.trim().is_empty() && text.chars().count() <= 200 && !text.chars().any(char::is_control);
        if !fits {
            self.notes.problems.push(Problem::new("sheet.name", place));
            return None;
        }
        Some(text)
    }

    pub(super) fn yes_no(self) -> Option<bool> {
        match self.value {
            Value::Bool(b) => Some(b),
            _ => self.wrong_kind("true/false"),
        }
    }

    /// A whole number from `least` to four thousand million.
    pub(super) fn count(self, least: u32) -> Option<u32> {
        let Value::Number(n) = &self.value else { return self.wrong_kind("number") };
        match n.as_u64().and_then(|n| u32::try_from(n).ok()).filter(|n| *n >= least) {
            Some(n) => Some(n),
            None => {
                let problem = Problem::new("sheet.whole", self.place).with("least", least).with("found", n);
                self.notes.problems.push(problem);
                None
            }
        }
    }

    /// A finite number that is not negative.
    pub(super) fn amount(self) -> Option<f64> {
        let Value::Number(n) = &self.value else { return self.wrong_kind("number") };
        match n.as_f64().filter(|x| x.is_finite() && *x >= 0.0) {
            Some(x) => Some(x),
            None => {
                let problem = Problem::new("sheet.amount", self.place).with("found", n);
                self.notes.problems.push(problem);
                None
            }
        }
    }

    /// A finite number from nothing to `most`; what is more is noted under `code`.
    pub(super) fn at_most(self, most: f64, code: &str) -> Option<f64> {
        let Self { value, place, notes } = self;
        let found = Item { value, place: place.clone(), notes: &mut *notes }.amount()?;
        if found > most {
            notes.problems.push(Problem::new(code, place).with("found", found));
            return None;
        }
        Some(found)
    }

    pub(super) fn angle(self) -> Option<Angle> {
        let Value::Number(n) = &self.value else { return self.wrong_kind("number") };
        match n.as_f64().filter(|x| x.is_finite() && x.abs() <= 1e6) {
            Some(degrees) => Some(Angle { written: n.clone(), degrees }),
            None => {
                let problem = Problem::new("sheet.angle", self.place).with("found", n);
                self.notes.problems.push(problem);
                None
            }
        }
    }

    pub(super) fn fraction(self) -> Option<Fraction> {
        let text = match &self.value {
            Value::String(text) => text.clone(),
            Value::Number(n) if n.as_u64() == Some(0) => "0".to_owned(),
            _ => return self.wrong_kind("text"),
        };
        match Fraction::parse(&text) {
            Some(f) => Some(f),
            None => {
                self.notes.problems.push(Problem::new("sheet.fraction", self.place).with("found", text));
                None
            }
        }
    }

    /// A length: a number of millimetres or trade notation.
    pub(super) fn length(self) -> Option<Measure> {
        let problem = match &self.value {
            Value::Number(n) => match n.as_f64().and_then(Length::from_mm_f64) {
                Some(length) => return Some(Measure { written: Written::Number(n.clone()), length }),
                None => Problem::new("length.too_long", self.place.as_str()).with("found", n),
            },
            Value::String(text) => match Length::parse(text) {
                Ok(length) => return Some(Measure { written: Written::Text(text.clone()), length }),
                Err(e) => Problem::new(format!("length.{}", reason_code(e.reason)), self.place.as_str())
                    .with("found", shortened(text))
                    .with("at", e.at + 1),
            },
            _ => return self.wrong_kind("length"),
        };
        self.notes.problems.push(problem);
        None
    }

    /// A length that must be more than nothing.
    pub(super) fn positive(self) -> Option<Measure> {
        self.bounded("length.not_positive", |l| l > Length::ZERO)
    }

    /// A length that must not be less than nothing.
    pub(super) fn not_negative(self) -> Option<Measure> {
        self.bounded("length.negative", |l| l >= Length::ZERO)
    }

    fn bounded(self, code: &str, holds: impl Fn(Length) -> bool) -> Option<Measure> {
        let Self { value, place, notes } = self;
        let measure = Item { value, place: place.clone(), notes: &mut *notes }.length()?;
        if !holds(measure.length) {
            notes.problems.push(Problem::new(code, place).with("found", measure.text()));
            return None;
        }
        Some(measure)
    }

    pub(super) fn point(self) -> Option<[Measure; 2]> {
        self.array(kind::length)
    }

    /// One of a few words.
    pub(super) fn choice<T: Copy>(self, words: &[(&str, T)]) -> Option<T> {
        let Value::String(text) = &self.value else { return self.wrong_kind("text") };
        if let Some((_, value)) = words.iter().find(|(word, _)| word == text) {
            return Some(*value);
        }
        let list: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
        let problem = Problem::new("sheet.word", self.place)
            .with("wanted", list.join(", "))
            .with("found", shortened(text));
        self.notes.problems.push(problem);
        None
    }
}

impl<'a> Fields<'a> {
    pub(super) fn place(&self, field: &str) -> String {
        if self.place.is_empty() { field.to_owned() } else { format!("{}.{field}", self.place) }
    }

    fn take(&mut self, field: &str) -> Option<Item<'_>> {
        let value = self.map.remove(field)?;
        let place = self.place(field);
        Some(Item { value, place, notes: self.notes })
    }

    /// A field that may be left out. `None` also where it is wrong, which is noted.
    pub(super) fn optional<T>(&mut self, field: &str, read: impl FnOnce(Item<'_>) -> Option<T>) -> Option<T> {
        read(self.take(field)?)
    }

    /// A field that must be there.
    pub(super) fn required<T>(&mut self, field: &str, read: impl FnOnce(Item<'_>) -> Option<T>) -> Option<T> {
        match self.take(field) {
            Some(item) => read(item),
            None => {
                let problem = Problem::new("sheet.missing", self.place(field));
                self.notes.problems.push(problem);
                None
            }
        }
    }

    pub(super) fn has(&self, field: &str) -> bool {
        self.map.contains_key(field)
    }

    pub(super) fn problem(&mut self, problem: Problem) {
        self.notes.problems.push(problem);
    }

    pub(super) fn set_newer(&mut self, newer: bool) {
        self.notes.newer = newer;
    }

    /// What is left: kept with a warning where the sheet is newer, a mistake otherwise.
    pub(super) fn rest(self) -> Extra {
        for field in self.map.keys() {
            let at = if self.place.is_empty() { field.clone() } else { format!("{}.{field}", self.place) };
            if self.notes.newer {
                self.notes.warnings.push(Problem::new("sheet.newer_field", at));
            } else {
                self.notes
                    .problems
                    .push(Problem::new("sheet.unknown_field", at).with("found", shortened(field)));
            }
        }
        if self.notes.newer { self.map } else { Map::new() }
    }
}

/// Reads an object from its own text, as a document keeps it; `None` where it has a mistake. What a newer program wrote
/// is kept.
pub(super) fn alone<T>(text: &str, read: impl FnOnce(Item<'_>) -> Option<T>) -> Option<T> {
    let value: Value = serde_json::from_str(text).ok()?;
    let mut notes = Notes { newer: true, ..Notes::default() };
    let found = read(Item { value, place: String::new(), notes: &mut notes });
    found.filter(|_| notes.problems.is_empty())
}

fn reason_code(reason: Reason) -> &'static str {
    match reason {
        Reason::Empty => "empty",
        Reason::NumberExpected => "number_expected",
        Reason::UnitMissing => "unit_missing",
        Reason::UnitUnknown => "unit_unknown",
        Reason::CommaAmbiguous => "comma_ambiguous",
        Reason::SeveralMarks => "several_marks",
        Reason::InchesOverTwelve => "inches_over_twelve",
        Reason::BrokenFeet => "broken_feet",
        Reason::Fraction => "fraction",
        Reason::Trailing => "trailing",
        Reason::TooLong => "too_long",
    }
}

/// A text for a message: not longer than a line.
fn shortened(text: &str) -> String {
    if text.chars().count() <= 60 {
        text.to_owned()
    } else {
        text.chars().take(57).chain("…".chars()).collect()
    }
}

/// The readers of single values as functions, so that they can be passed on for an item of any lifetime.
pub(super) mod kind {
    use super::{Fraction, Item, Measure};

    macro_rules! kinds {
        ($($name:ident -> $out:ty),* $(,)?) => {
            $(pub(in super::super) fn $name(item: Item<'_>) -> Option<$out> {
                item.$name()
            })*
        };
    }
    kinds! {
        text -> String, name -> String, yes_no -> bool, amount -> f64, fraction -> Fraction,
        length -> Measure, positive -> Measure, not_negative -> Measure, point -> [Measure; 2],
    }
}
