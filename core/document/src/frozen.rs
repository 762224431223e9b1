//! Issued plans, signed quotes and handovers: what was agreed, by the hash of its bytes.

use crate::document::Document;
use crate::ids::ContentHash;
use crate::schema::{Frozen, FrozenKind, JobView};
use crate::stored::Source;
use crate::view::Held;

/// A frozen record as it is to be shown.
#[derive(Clone, Debug, PartialEq)]
pub struct FrozenRecord {
    /// The record; its id in the table is its hash in hexadecimal digits.
    pub held: Held<Frozen>,
    /// Whether another record of the same kind bears the same number: they were made apart, and a person must say
    /// which is meant by its hash or date.
    pub number_shared: bool,
}

/// The id under which a frozen record is kept: its hash, so that the same bytes are the same record.
pub fn frozen_id(hash: ContentHash) -> String {
    hash.to_string()
}

impl Document {
    /// This document as it stands, to be named among a frozen record's sources.
    pub fn source(&mut self) -> Source {
        Source { document: self.id(), heads: self.heads() }
    }
}

impl JobView {
    /// The frozen records by kind and number, then by hash.
    pub fn frozen_records(&self) -> Vec<FrozenRecord> {
        let label = |held: &Held<Frozen>| (held.value.what, held.value.number);
        let mut records: Vec<FrozenRecord> = self
            .frozen
            .live
            .iter()
            .map(|held| FrozenRecord {
                held: held.clone(),
                number_shared: self.frozen.live.iter().filter(|other| label(other) == label(held)).count()
                    > 1,
            })
            .collect();
        records.sort_by(|a, b| (label(&a.held), &a.held.id).cmp(&(label(&b.held), &b.held.id)));
        records
    }

    /// The next free number for a record of a kind, as far as this device knows.
    pub fn next_number(&self, what: FrozenKind) -> i64 {
        let numbers =
            self.frozen.live.iter().filter(|held| held.value.what == what).map(|held| held.value.number);
        numbers.max().unwrap_or(0).saturating_add(1)
    }
}
