//! Edits: the only way in which anything gets into a document, each one change with its way back.

use automerge::ReadDoc;
use drylay_geometry::ItemId;

use crate::document::{Document, Standing, WrongKind};
use crate::entry::{
    Cell, EntrySet, Row, SEPARATOR, SINGLE, SUPERSEDES, Style, Table, WITHDRAWN, key, split_key,
};
use crate::stamp::{Author, Stamp, Timestamp};
use crate::stored::Stored;
use crate::undo::{Condition, Inverse};
use crate::value::Value;
use crate::view::{self, Chain};

/// One edit of a document whose entries are `E`.
#[derive(Clone, Debug, PartialEq)]
pub enum Edit<E> {
    /// Adds an entry under an id that was never used: a random one, or a name that nobody else will give.
    Add {
        /// Its id.
        id: ItemId,
        /// The entry.
        entry: E,
    },
    /// Changes a thing. Only those fields are written in which `after` differs from `before`, what the person
    /// saw: so a stale `before` cannot undo what somebody else has changed meanwhile.
    Change {
        /// Its id; [`SINGLE`] for the one entry of a table that has only one.
        id: ItemId,
        /// What the person saw.
        before: E,
        /// What the person wants.
        after: E,
    },
    /// Adds a record that takes the place of others, which are kept.
    Correct {
        /// The id of the new record.
        id: ItemId,
        /// The new record.
        entry: E,
        /// The records that it corrects: one, or all sides of a disagreement.
        supersedes: Vec<ItemId>,
    },
    /// Takes an entry out; it is kept and can be restored.
    Withdraw {
        /// Its table.
        table: Table,
        /// Its id.
        id: ItemId,
    },
    /// Brings a withdrawn entry back.
    Restore {
        /// Its table.
        table: Table,
        /// Its id.
        id: ItemId,
    },
    /// Settles a field that people wrote differently at the same time.
    Settle {
        /// Its table.
        table: Table,
        /// The entry.
        id: ItemId,
        /// The field.
        field: String,
        /// The value that holds.
        value: Value,
    },
}

impl<E> Edit<E> {
    /// Adds an entry.
    pub fn add(id: impl Into<ItemIdText>, entry: impl Into<E>) -> Self {
        Self::Add { id: id.into().0, entry: entry.into() }
    }
    /// Changes a thing from what the person saw to what the person wants.
    pub fn change<T: Into<E>>(id: impl Into<ItemIdText>, before: T, after: T) -> Self {
        Self::Change { id: id.into().0, before: before.into(), after: after.into() }
    }
    /// Changes the only entry of its table.
    pub fn change_single<T: Into<E>>(before: T, after: T) -> Self {
        Self::change(SINGLE, before, after)
    }
    /// Corrects one record.
    pub fn correct(id: impl Into<ItemIdText>, entry: impl Into<E>, old: impl Into<ItemIdText>) -> Self {
        Self::Correct { id: id.into().0, entry: entry.into(), supersedes: vec![old.into().0] }
    }
}

/// An item's id, or its text.
#[derive(Clone, Debug)]
pub struct ItemIdText(ItemId);

impl From<&str> for ItemIdText {
    fn from(text: &str) -> Self {
        Self(ItemId::new(text))
    }
}
impl From<String> for ItemIdText {
    fn from(text: String) -> Self {
        Self(ItemId::new(text))
    }
}
impl From<ItemId> for ItemIdText {
    fn from(id: ItemId) -> Self {
        Self(id)
    }
}
impl From<&ItemId> for ItemIdText {
    fn from(id: &ItemId) -> Self {
        Self(id.clone())
    }
}

/// Why an edit was refused. Nothing of it was done.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The document was made by a newer program.
    #[error(
        "this document is of version {version}, and this program writes up to {known}: update the program"
    )]
    Newer {
        /// The document's version.
        version: u64,
        /// The newest version known.
        known: u64,
    },
    /// The entry belongs to another kind of document.
    #[error(transparent)]
    Kind(#[from] WrongKind),
    /// The document has no such table: it is damaged.
    #[error("the document has no table {0}")]
    Table(String),
    /// An id that cannot be one.
    #[error("{0:?} cannot name an entry: 1 to 200 bytes without control characters")]
    Id(String),
    /// The id is in use, or was.
    #[error("{table} already has an entry {id}")]
    Exists {
        /// The table.
        table: &'static str,
        /// The id.
        id: ItemId,
    },
    /// There is no such entry.
    #[error("{table} has no entry {id}")]
    Unknown {
        /// The table.
        table: &'static str,
        /// The id.
        id: ItemId,
    },
    /// Records are corrected, things are changed; not the other way round.
    #[error("entries of {table} cannot be edited this way")]
    Style {
        /// The table.
        table: &'static str,
    },
    /// Before and after are entries of different tables.
    #[error("an entry of {before} cannot become one of {after}")]
    Mixed {
        /// The table of what was seen.
        before: &'static str,
        /// The table of what is wanted.
        after: &'static str,
    },
    /// A value is larger than any that a person types.
    #[error("{table}, entry {id}: the value has {bytes} bytes, and {MOST_BYTES} are the most")]
    TooLarge {
        /// The table.
        table: &'static str,
        /// The entry.
        id: ItemId,
        /// The size of the value.
        bytes: usize,
    },
    /// Undoing would take back what has been written since.
    #[error("{table}, entry {id}: {} has changed it since", .since.by.name)]
    Overtaken {
        /// The table.
        table: &'static str,
        /// The entry.
        id: ItemId,
        /// The field; `None` for the entry as a whole.
        field: Option<String>,
        /// Who, and when.
        since: Stamp,
    },
    /// The document engine refused.
    #[error("the document engine refused the edit: {0}")]
    Engine(String),
}

/// The largest value of one cell, in bytes.
pub const MOST_BYTES: usize = 256 * 1024;

/// What an edit did.
#[derive(Clone, Debug, PartialEq)]
pub struct Applied {
    /// The entries written to.
    pub touched: Vec<(Table, ItemId)>,
    /// The way back.
    pub inverse: Inverse,
}

/// A cell to be written.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Put {
    pub(crate) table: Table,
    pub(crate) key: String,
    pub(crate) value: Value,
}

impl Put {
    pub(crate) fn id(&self) -> ItemId {
        ItemId::new(split_key(&self.key).0)
    }
    pub(crate) fn field(&self) -> Option<&str> {
        split_key(&self.key).1
    }
}

impl Document {
    /// Does one edit as one change.
    ///
    /// # Errors
    /// Says why nothing was done.
    pub fn apply<E: EntrySet>(
        &mut self,
        edit: &Edit<E>,
        who: &Author,
        when: Timestamp,
    ) -> Result<Applied, EditError> {
        self.apply_all(std::slice::from_ref(edit), who, when)
    }

    /// Does several edits as one change: all or none.
    ///
    /// # Errors
    /// Says why nothing was done.
    pub fn apply_all<E: EntrySet>(
        &mut self,
        edits: &[Edit<E>],
        who: &Author,
        when: Timestamp,
    ) -> Result<Applied, EditError> {
        self.expect_kind(E::KIND)?;
        let stamp = Stamp { at: when, by: who.clone() };
        self.transact(&stamp, |document, done| {
            edits.iter().try_for_each(|edit| {
                let puts = document.plan(edit)?;
                document.write(puts, &stamp, done)
            })
        })
    }

    /// Runs edits in one change; rolls back at the first error.
    pub(crate) fn transact(
        &mut self,
        stamp: &Stamp,
        work: impl FnOnce(&mut Self, &mut Applied) -> Result<(), EditError>,
    ) -> Result<Applied, EditError> {
        if let Standing::Newer { version, known } = self.standing() {
            return Err(EditError::Newer { version, known });
        }
        let mut done = Applied { touched: Vec::new(), inverse: Inverse::default() };
        match work(self, &mut done) {
            Ok(()) => {
                self.commit(stamp.at.utc_ms);
                done.touched.sort();
                done.touched.dedup();
                self.guard_additions(&mut done);
                Ok(done)
            }
            Err(error) => {
                self.auto.rollback();
                Err(error)
            }
        }
    }

    /// The cells that an edit writes.
    fn plan<E: EntrySet>(&self, edit: &Edit<E>) -> Result<Vec<Put>, EditError> {
        match edit {
            Edit::Add { id, entry } => self.plan_add(id, entry, &[]),
            Edit::Correct { id, entry, supersedes } => {
                let table = entry.table();
                if table.style != Style::Record {
                    return Err(EditError::Style { table: table.name });
                }
                supersedes.iter().try_for_each(|old| self.expect_entry(table, old))?;
                self.plan_add(id, entry, supersedes)
            }
            Edit::Change { id, before, after } => self.plan_change(id, before, after),
            Edit::Withdraw { table, id } => self.plan_presence(*table, id, false),
            Edit::Restore { table, id } => self.plan_presence(*table, id, true),
            Edit::Settle { table, id, field, value } => {
                if table.style == Style::Record || field.is_empty() {
                    return Err(EditError::Style { table: table.name });
                }
                self.expect_entry(*table, id)?;
                Ok(vec![Put { table: *table, key: key(id.as_str(), Some(field)), value: value.clone() }])
            }
        }
    }

    fn plan_add<E: EntrySet>(
        &self,
        id: &ItemId,
        entry: &E,
        supersedes: &[ItemId],
    ) -> Result<Vec<Put>, EditError> {
        let table = entry.table();
        check_id(id)?;
        if table.style == Style::Single {
            return Err(EditError::Style { table: table.name });
        }
        if self.has_entry(table, id)? {
            return Err(EditError::Exists { table: table.name, id: id.clone() });
        }
        let fields = entry.fields().into_iter().filter(|(_, value)| *value != Value::Nothing);
        let content_key = key(id.as_str(), None);
        if table.style == Style::Record {
            let mut record: Vec<_> = fields.map(|(name, value)| (name.to_owned(), value)).collect();
            if !supersedes.is_empty() {
                record.push((SUPERSEDES.to_owned(), supersedes.to_vec().store()));
            }
            return Ok(vec![Put { table, key: content_key, value: Value::Record(record) }]);
        }
        let presence = Put { table, key: content_key, value: Value::Flag(true) };
        let fields = fields.map(|(name, value)| Put { table, key: key(id.as_str(), Some(name)), value });
        Ok(std::iter::once(presence).chain(fields).collect())
    }

    fn plan_change<E: EntrySet>(&self, id: &ItemId, before: &E, after: &E) -> Result<Vec<Put>, EditError> {
        let table = after.table();
        if before.table() != table {
            return Err(EditError::Mixed { before: before.table().name, after: table.name });
        }
        if table.style == Style::Record {
            return Err(EditError::Style { table: table.name });
        }
        self.expect_entry(table, id)?;
        let pairs = before.fields().into_iter().zip(after.fields());
        let changed = pairs.filter(|((_, old), (_, new))| old != new);
        Ok(changed
            .map(|(_, (name, value))| Put { table, key: key(id.as_str(), Some(name)), value })
            .collect())
    }

    fn plan_presence(&self, table: Table, id: &ItemId, there: bool) -> Result<Vec<Put>, EditError> {
        self.expect_entry(table, id)?;
        let (field, value) = match table.style {
            Style::Record => (Some(WITHDRAWN), !there),
            Style::Thing => (None, there),
            Style::Single => return Err(EditError::Style { table: table.name }),
        };
        Ok(vec![Put { table, key: key(id.as_str(), field), value: Value::Flag(value) }])
    }

    fn expect_entry(&self, table: Table, id: &ItemId) -> Result<(), EditError> {
        match table.style {
            Style::Single if id.as_str() == SINGLE => Ok(()),
            Style::Single => Err(EditError::Unknown { table: table.name, id: id.clone() }),
            _ if self.has_entry(table, id)? => Ok(()),
            _ => Err(EditError::Unknown { table: table.name, id: id.clone() }),
        }
    }

    fn has_entry(&self, table: Table, id: &ItemId) -> Result<bool, EditError> {
        let object = self.table(table.name).ok_or_else(|| EditError::Table(table.name.to_owned()))?;
        Ok(!self.cells(&object, &key(id.as_str(), None)).is_empty())
    }

    /// Writes cells, noting for each the way back.
    pub(crate) fn write(
        &mut self,
        puts: Vec<Put>,
        stamp: &Stamp,
        done: &mut Applied,
    ) -> Result<(), EditError> {
        for put in puts {
            let object =
                self.table(put.table.name).ok_or_else(|| EditError::Table(put.table.name.to_owned()))?;
            let former = self.cells(&object, &put.key).pop().map(|cell| cell.value);
            let cell = Cell { stamp: stamp.clone(), value: put.value.clone() };
            let bytes = cell.to_bytes().len();
            if bytes > MOST_BYTES {
                return Err(EditError::TooLarge { table: put.table.name, id: put.id(), bytes });
            }
            self.put_cell(&object, &put.key, &cell).map_err(|e| EditError::Engine(e.to_string()))?;
            done.touched.push((put.table, put.id()));
            done.inverse.note(&put, cell, former);
        }
        Ok(())
    }

    /// An addition is taken back by withdrawing; that must not take along what others have written to it since.
    fn guard_additions(&self, done: &mut Applied) {
        let guards: Vec<Condition> = done
            .inverse
            .withdrawals()
            .map(|(table, id)| match table.style {
                Style::Record => Condition::Uncorrected { table, id },
                _ => {
                    let row = self.row(table, &id);
                    Condition::Row { table, id, row }
                }
            })
            .collect();
        done.inverse.conditions.extend(guards);
    }

    pub(crate) fn row(&self, table: Table, id: &ItemId) -> Row {
        let mut row = Row::default();
        let Some(object) = self.table(table.name) else { return row };
        // Ids hold no control characters and the separator is one, so nothing else sorts between these keys.
        let range = id.as_str().to_owned()..=format!("{id}{SEPARATOR}\u{10ffff}");
        for item in self.auto.map_range(&object, range) {
            if let Some(cell) = view::cell_of(&item.value) {
                row.push(split_key(&item.key).1.unwrap_or(""), cell);
            }
        }
        row
    }

    pub(crate) fn live_correction(&self, table: Table, id: &ItemId) -> Option<Stamp> {
        let rows = self.rows(table.name);
        let chain = Chain::of(&rows);
        let by = chain.corrections(id).into_iter().find(|c| chain.is_live(c) || chain.is_corrected(c))?;
        rows.get(&by)?.get("").map(|cell| cell.stamp.clone())
    }
}

fn check_id(id: &ItemId) -> Result<(), EditError> {
    let text = id.as_str();
    debug_assert!(SEPARATOR.is_control(), "no id can hold the separator");
    let good = !text.is_empty() && text.len() <= 200 && !text.chars().any(char::is_control);
    if good { Ok(()) } else { Err(EditError::Id(text.to_owned())) }
}
