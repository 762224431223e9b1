//! What is wrong, where, and what to do: errors as data, with their text from the one catalogue.

use crate::messages;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Something that is wrong or odd, ready to be shown.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ts_rs::TS)]
#[ts(export)]
pub struct Problem {
    /// What is wrong, such as `length.unit_missing`; stable, for programs.
    pub code: String,
    /// Where: a path in a sheet such as `rooms[0].tape[2].read`, or a part of the screen. Empty for the whole.
    pub place: String,
    /// The figures and names in the message.
    pub params: BTreeMap<String, String>,
    /// What is wrong, for people.
    pub message: String,
    /// What to do about it. May be empty.
    pub hint: String,
}

impl Problem {
    /// A problem whose text needs no parameters.
    pub fn new(code: &str, place: impl Into<String>) -> Self {
        Self::of(code, place.into(), BTreeMap::new())
    }

    /// The same with one more parameter.
    pub fn with(self, name: &str, value: impl ToString) -> Self {
        let Self { code, place, mut params, .. } = self;
        params.insert(name.to_owned(), value.to_string());
        Self::of(&code, place, params)
    }

    fn of(code: &str, place: String, params: BTreeMap<String, String>) -> Self {
        let (message, hint) = messages::text(code, &params);
        Self { code: code.to_owned(), place, params, message, hint }
    }
}

impl From<drylay_document::sheet::Problem> for Problem {
    fn from(p: drylay_document::sheet::Problem) -> Self {
        Self::of(&p.code, p.place, p.params)
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if !self.place.is_empty() {
            write!(f, "{}: ", self.place)?;
        }
        f.write_str(&self.message)?;
        if self.hint.is_empty() { Ok(()) } else { write!(f, " {}", self.hint) }
    }
}

impl std::error::Error for Problem {}
