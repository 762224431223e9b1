//! A copy of documents for a bug report: the same shapes, no names, no words, no money.
//!
//! The engine's own anonymising shuffles all bytes, and with them the lengths that a report is about. Here every
//! value is replaced by its kind: words by letters of the same number, amounts by ones, ids by `i1`, `i2` … and
//! devices by numbers, the same for the same throughout all documents of one export. Lengths, counts, decimals and
//! times between edits stay. Codes of doors are left out. Conflicts stay conflicts; the history does not go along.

use std::collections::BTreeMap;

use automerge::{ActorId, AutomergeError, ReadDoc};

use crate::document::Document;
use crate::entry::{Cell, Table, key, split_key};
use crate::ids::{Actor, DocumentId};
use crate::skeleton;
use crate::stamp::{Author, DeviceId, Stamp};
use crate::value::Value;

/// Replaces names the same way throughout one export.
#[derive(Debug, Default)]
pub struct Anonymiser {
    ids: BTreeMap<String, String>,
    bytes: BTreeMap<Vec<u8>, u64>,
    devices: BTreeMap<DeviceId, u64>,
    earliest: Option<i64>,
}

impl Anonymiser {
    /// An anonymiser for a new export.
    pub fn new() -> Self {
        Self::default()
    }

    /// A copy of a document without anything that tells whose it is. Give the job's document first, then its rooms.
    ///
    /// # Errors
    /// None that could be met: the engine refuses none of these puts.
    pub fn document(&mut self, document: &Document) -> Result<Document, AutomergeError> {
        let id = DocumentId(self.number_bytes(&document.id().0));
        let mut copy = Document::create(document.kind(), id, Actor([1; 16]));
        for table in skeleton::tables(document.kind()) {
            self.copy_table(document, &mut copy, table)?;
        }
        copy.commit(0);
        Ok(copy)
    }

    fn copy_table(
        &mut self,
        document: &Document,
        copy: &mut Document,
        table: Table,
    ) -> Result<(), AutomergeError> {
        let Some(object) = document.table(table.name) else { return Ok(()) };
        let keys: Vec<String> = document.auto.keys(&object).collect();
        for old_key in keys {
            let (id, field) = split_key(&old_key);
            let new_key = key(&self.id(id), field);
            let cells: Vec<Cell> =
                document.cells(&object, &old_key).into_iter().map(|c| self.cell(c)).collect();
            put_all(copy, table, &new_key, &cells)?;
        }
        Ok(())
    }

    fn cell(&mut self, cell: Cell) -> Cell {
        Cell { stamp: self.stamp(&cell.stamp), value: self.value(cell.value) }
    }

    fn stamp(&mut self, stamp: &Stamp) -> Stamp {
        let next = self.devices.len() as u64 + 1;
        let number = *self.devices.entry(stamp.by.device).or_insert(next);
        let mut device = [0; 16];
        device[8..].copy_from_slice(&number.to_be_bytes());
        let mut at = stamp.at;
        at.utc_ms = at.utc_ms.saturating_sub(*self.earliest.get_or_insert(at.utc_ms));
        at.zone_minutes = 0;
        Stamp { at, by: Author { device: DeviceId(device), name: format!("Person {number}") } }
    }

    fn value(&mut self, value: Value) -> Value {
        match value {
            Value::Text(text) => Value::Text(letters(&text)),
            Value::Secret(_) => Value::Nothing,
            Value::Money(text) => Value::Money(ones(&text)),
            Value::Id(text) => Value::Id(self.id(&text)),
            Value::Hash(hash) => Value::Hash(self.number_bytes(&hash)),
            Value::Bytes(bytes) if bytes.len() == 16 => {
                Value::Bytes(self.number_bytes::<16>(&bytes).to_vec())
            }
            Value::List(items) => Value::List(items.into_iter().map(|v| self.value(v)).collect()),
            Value::Record(fields) => {
                Value::Record(fields.into_iter().map(|(name, v)| (name, self.value(v))).collect())
            }
            kept @ (Value::Nothing
            | Value::Flag(_)
            | Value::Whole(_)
            | Value::Length { .. }
            | Value::Number(_)
            | Value::Word(_)
            | Value::Bytes(_)) => kept,
        }
    }

    fn id(&mut self, id: &str) -> String {
        if id == crate::entry::SINGLE {
            return id.to_owned();
        }
        let next = format!("i{}", self.ids.len() + 1);
        self.ids.entry(id.to_owned()).or_insert(next).clone()
    }

    fn number_bytes<const N: usize>(&mut self, bytes: &[u8]) -> [u8; N] {
        let next = self.bytes.len() as u64 + 1;
        let number = self.bytes.entry(bytes.to_vec()).or_insert(next).to_be_bytes();
        let mut out = [0; N];
        out[N - number.len()..].copy_from_slice(&number);
        out
    }
}

/// Letters, digits and other signs replaced each by one of their kind; spaces and lines stay.
fn letters(text: &str) -> String {
    let replace = |c: char| match c {
        c if c.is_whitespace() => c,
        c if c.is_uppercase() => 'X',
        c if c.is_alphabetic() => 'x',
        c if c.is_numeric() => '0',
        _ => '.',
    };
    text.chars().map(replace).collect()
}

fn ones(amount: &str) -> String {
    amount.chars().map(|c| if c.is_ascii_digit() { '1' } else { c }).collect()
}

/// Writes concurrent values concurrently, so that a conflict stays one.
fn put_all(copy: &mut Document, table: Table, key: &str, cells: &[Cell]) -> Result<(), AutomergeError> {
    let Some(object) = copy.table(table.name) else { return Ok(()) };
    let Some((last, others)) = cells.split_last() else { return Ok(()) };
    if others.is_empty() {
        return copy.put_cell(&object, key, last);
    }
    copy.commit(0);
    let mut branches: Vec<_> = cells.iter().map(|_| copy.auto.fork()).collect();
    for (n, (branch, cell)) in (2_u8..=u8::MAX).zip(branches.iter_mut().zip(cells)) {
        let tag = [blake3::hash(key.as_bytes()).as_bytes()[..15].to_vec(), vec![n]].concat();
        branch.set_actor(ActorId::from(tag));
        automerge::transaction::Transactable::put(
            branch,
            &object,
            key,
            automerge::ScalarValue::Bytes(cell.to_bytes()),
        )?;
        copy.auto.merge(branch)?;
    }
    Ok(())
}
