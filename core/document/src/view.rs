//! Reading tables: what stands, what it replaced, who put it there, and where people disagree.

use std::collections::{BTreeMap, BTreeSet};

use automerge::ReadDoc;
use drylay_geometry::ItemId;

use crate::document::Document;
use crate::entry::{Cell, Entry, FieldError, Fields, Row, SINGLE, SUPERSEDES, WITHDRAWN, split_key};
use crate::stamp::Stamp;
use crate::stored::Stored;
use crate::value::Value;

/// An entry with its id and its history's last words.
#[derive(Clone, Debug, PartialEq)]
pub struct Held<T> {
    /// Its id.
    pub id: ItemId,
    /// The entry.
    pub value: T,
    /// When and by whom it was added.
    pub added: Stamp,
    /// Who last wrote each field, and when; empty for records, which are written once.
    pub stamps: BTreeMap<String, Stamp>,
}

impl<T> Held<T> {
    /// Who last wrote a field, and when.
    pub fn stamp(&self, field: &str) -> &Stamp {
        self.stamps.get(field).unwrap_or(&self.added)
    }
}

/// An entry that cannot be read as what its table holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Its id.
    pub id: ItemId,
    /// What is wrong with it.
    pub why: FieldError,
}

/// The entries of a table of things.
#[derive(Clone, Debug, PartialEq)]
pub struct Things<T> {
    /// Those that are there, by id.
    pub live: Vec<Held<T>>,
    /// Those that were withdrawn, by id.
    pub withdrawn: Vec<Held<T>>,
    /// Those that cannot be read.
    pub unreadable: Vec<Unreadable>,
}

impl<T> Things<T> {
    /// The thing with this id, unless withdrawn.
    pub fn get(&self, id: &ItemId) -> Option<&Held<T>> {
        self.live.iter().find(|held| held.id == *id)
    }
}

/// The only thing of its table.
#[derive(Clone, Debug, PartialEq)]
pub struct Single<T> {
    /// It, with everything unanswered that nobody answered; `None` if it cannot be read.
    pub value: Option<T>,
    /// Who last wrote each field, and when.
    pub stamps: BTreeMap<String, Stamp>,
}

/// The entries of a table of records.
#[derive(Clone, Debug, PartialEq)]
pub struct Records<T> {
    /// Those that stand, by id.
    pub live: Vec<Held<T>>,
    /// Those that were corrected or withdrawn, by id.
    pub past: Vec<Past<T>>,
    /// Corrections of one record made apart: both stand until a person settles it.
    pub disagreements: Vec<Disagreement>,
    /// Those that cannot be read.
    pub unreadable: Vec<Unreadable>,
}

impl<T> Records<T> {
    /// The record with this id, if it stands.
    pub fn get(&self, id: &ItemId) -> Option<&Held<T>> {
        self.live.iter().find(|held| held.id == *id)
    }
}

/// A record that no longer counts, and is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Past<T> {
    /// The record.
    pub held: Held<T>,
    /// The records that correct it.
    pub superseded_by: Vec<ItemId>,
    /// Who withdrew it, and when.
    pub withdrawn: Option<Stamp>,
}

/// Two or more standing records that correct the same one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Disagreement {
    /// The record that they correct.
    pub of: ItemId,
    /// The standing corrections, by id.
    pub between: Vec<ItemId>,
}

/// Reads a table as the view type that its style asks for.
pub(crate) trait ReadTable {
    fn read_table(document: &Document) -> Self;
}

impl<T: Entry> ReadTable for Things<T> {
    fn read_table(document: &Document) -> Self {
        let mut table = Self { live: Vec::new(), withdrawn: Vec::new(), unreadable: Vec::new() };
        for (id, cells) in document.rows(T::TABLE.name) {
            let Some(presence) = cells.get("") else { continue };
            match T::from_fields(Fields::Cells(&cells)) {
                Err(why) => table.unreadable.push(Unreadable { id, why }),
                Ok(value) => {
                    let held = Held { id, value, added: presence.stamp.clone(), stamps: stamps_of(&cells) };
                    let there = presence.value == Value::Flag(true);
                    if there { table.live.push(held) } else { table.withdrawn.push(held) }
                }
            }
        }
        table
    }
}

impl<T: Entry> ReadTable for Single<T> {
    fn read_table(document: &Document) -> Self {
        let cells = document.rows(T::TABLE.name).remove(&ItemId::new(SINGLE)).unwrap_or_default();
        Self { value: T::from_fields(Fields::Cells(&cells)).ok(), stamps: stamps_of(&cells) }
    }
}

impl<T: Entry> ReadTable for Records<T> {
    fn read_table(document: &Document) -> Self {
        let rows = document.rows(T::TABLE.name);
        let standing = Chain::of(&rows);
        let disagreements = standing.disagreements();
        let mut table = Self { live: Vec::new(), past: Vec::new(), disagreements, unreadable: Vec::new() };
        for (id, cells) in &rows {
            let Some(content) = cells.get("") else { continue };
            match record_fields(&content.value).and_then(T::from_fields) {
                Err(why) => table.unreadable.push(Unreadable { id: id.clone(), why }),
                Ok(value) => {
                    let held =
                        Held { id: id.clone(), value, added: content.stamp.clone(), stamps: BTreeMap::new() };
                    table.file(held, cells, &standing);
                }
            }
        }
        table
    }
}

impl<T> Records<T> {
    fn file(&mut self, held: Held<T>, cells: &Row, standing: &Chain<'_>) {
        if standing.is_live(&held.id) {
            self.live.push(held);
            return;
        }
        let superseded_by = standing.corrections(&held.id);
        let withdrawn = withdrawal(cells).map(|cell| cell.stamp.clone());
        self.past.push(Past { held, superseded_by, withdrawn });
    }
}

/// The cell that says a record is withdrawn, if it does.
fn withdrawal(cells: &Row) -> Option<&Cell> {
    cells.get(WITHDRAWN).filter(|cell| cell.value == Value::Flag(true))
}

fn stamps_of(cells: &Row) -> BTreeMap<String, Stamp> {
    cells.named().map(|(field, cell)| (field.to_owned(), cell.stamp.clone())).collect()
}

fn record_fields(value: &Value) -> Result<Fields<'_>, FieldError> {
    match value {
        Value::Record(fields) => Ok(Fields::Content(fields)),
        _ => Err(FieldError { field: "content" }),
    }
}

impl Document {
    /// The rows of a table by id, each cell as it shows.
    pub(crate) fn rows(&self, table: &str) -> BTreeMap<ItemId, Row> {
        let mut rows: BTreeMap<ItemId, Row> = BTreeMap::new();
        let Some(object) = self.table(table) else { return rows };
        for item in self.auto.map_range(&object, ..) {
            let (id, field) = split_key(&item.key);
            if let Some(cell) = cell_of(&item.value) {
                rows.entry(ItemId::new(id)).or_default().push(field.unwrap_or(""), cell);
            }
        }
        rows
    }
}

pub(crate) fn cell_of(value: &automerge::ValueRef<'_>) -> Option<Cell> {
    match value {
        automerge::ValueRef::Scalar(automerge::ScalarValueRef::Bytes(bytes)) => Cell::from_bytes(bytes),
        _ => None,
    }
}

/// Which records correct which, and which of them stand.
#[derive(Debug)]
pub(crate) struct Chain<'a> {
    rows: &'a BTreeMap<ItemId, Row>,
    corrected_by: BTreeMap<ItemId, Vec<&'a ItemId>>,
}

impl<'a> Chain<'a> {
    pub(crate) fn of(rows: &'a BTreeMap<ItemId, Row>) -> Self {
        let mut corrected_by: BTreeMap<ItemId, Vec<&ItemId>> = BTreeMap::new();
        for (id, cells) in rows {
            let Some(content) = cells.get("") else { continue };
            for old in Vec::<ItemId>::fetch(content.value.field(SUPERSEDES)).unwrap_or_default() {
                corrected_by.entry(old).or_default().push(id);
            }
        }
        Self { rows, corrected_by }
    }

    /// A record counts if it is there, is not withdrawn, and no correction of it has effect.
    pub(crate) fn is_live(&self, id: &ItemId) -> bool {
        let there = self.rows.get(id).is_some_and(|cells| cells.get("").is_some());
        there && !self.is_withdrawn(id) && !self.is_corrected(id)
    }

    /// Whether a record that is there was taken out.
    fn is_withdrawn(&self, id: &ItemId) -> bool {
        self.rows.get(id).is_some_and(|cells| cells.get("").is_some() && withdrawal(cells).is_some())
    }

    /// A correction has effect if it is not withdrawn, or is itself corrected with effect: taking back a
    /// correction that somebody has corrected since does not bring the first reading back. A loop, instead of
    /// recursion, because a chain from a peer may be of any length, or a ring.
    pub(crate) fn is_corrected(&self, id: &ItemId) -> bool {
        let by = |id: &ItemId| self.corrected_by.get(id).map_or(&[][..], Vec::as_slice);
        let first = by(id);
        if first.is_empty() {
            return false;
        }
        let mut seen: BTreeSet<&ItemId> = first.iter().copied().collect();
        let mut open = first.to_vec();
        while let Some(correction) = open.pop() {
            if !self.is_withdrawn(correction) {
                return true;
            }
            open.extend(by(correction).iter().filter(|next| seen.insert(next)));
        }
        false
    }

    pub(crate) fn corrections(&self, id: &ItemId) -> Vec<ItemId> {
        self.corrected_by.get(id).into_iter().flatten().map(|id| (*id).clone()).collect()
    }

    pub(crate) fn disagreements(&self) -> Vec<Disagreement> {
        let of = |(of, by): (&ItemId, &Vec<&ItemId>)| {
            let between: Vec<ItemId> =
                by.iter().filter(|id| self.is_live(id)).map(|id| (*id).clone()).collect();
            (between.len() > 1).then(|| Disagreement { of: of.clone(), between })
        };
        // One correction disagrees with nobody.
        self.corrected_by.iter().filter(|(_, by)| by.len() > 1).filter_map(of).collect()
    }
}
