//! A mistake as data: what it is, where it is, and the figures its message needs.

use std::collections::BTreeMap;

/// A mistake in a sheet. Messages are made from the code in one catalogue, elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What is wrong, such as `length.unit_missing`.
    pub code: String,
    /// Where: a path such as `rooms[0].tape[2].read`.
    pub place: String,
    /// What the message needs.
    pub params: BTreeMap<String, String>,
}

impl Problem {
    /// A problem without parameters.
    pub fn new(code: impl Into<String>, place: impl Into<String>) -> Self {
        Self { code: code.into(), place: place.into(), params: BTreeMap::new() }
    }

    /// The same with one more parameter.
    pub fn with(mut self, name: &str, value: impl ToString) -> Self {
        self.params.insert(name.to_owned(), value.to_string());
        self
    }
}
