//! Taking back one's own edits, and doing them again.
//!
//! The way back is worked out when an edit is done. It holds what must still be so: that what the edit wrote is
//! what stands. If somebody else has written there since, undoing is refused and says who and when.

use drylay_geometry::ItemId;

use crate::document::Document;
use crate::edit::{Applied, EditError, Put};
use crate::entry::{Cell, Row, Style, Table, WITHDRAWN, key, split_key};
use crate::stamp::{Author, Stamp, Timestamp};
use crate::value::Value;

/// The way back from an edit.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Inverse {
    pub(crate) conditions: Vec<Condition>,
    pub(crate) puts: Vec<Put>,
}

/// What must still be so for an edit to be taken back.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Condition {
    /// The cell holds what the edit wrote, and nothing beside it.
    Cell { table: Table, key: String, cell: Cell },
    /// The thing is as the edit left it.
    Row { table: Table, id: ItemId, row: Row },
    /// Nobody has corrected the record.
    Uncorrected { table: Table, id: ItemId },
}

impl Inverse {
    /// Whether there is nothing to take back.
    pub fn is_empty(&self) -> bool {
        self.puts.is_empty()
    }

    /// Notes one written cell with what was there before.
    pub(crate) fn note(&mut self, put: &Put, wrote: Cell, former: Option<Value>) {
        if self.noted_again(put, &wrote) {
            return;
        }
        let (id, field) = split_key(&put.key);
        let (back_key, back) = match (put.table.style, field) {
            (Style::Record, None) => (key(id, Some(WITHDRAWN)), Value::Flag(true)),
            (Style::Thing, None) => (put.key.clone(), former.unwrap_or(Value::Flag(false))),
            // The fields of an entry that the same edit adds are taken back with the entry.
            _ if former.is_none() && self.adds(put.table, id) => return,
            _ => (put.key.clone(), former.unwrap_or(Value::Nothing)),
        };
        self.conditions.push(Condition::Cell { table: put.table, key: put.key.clone(), cell: wrote });
        self.puts.push(Put { table: put.table, key: back_key, value: back });
    }

    /// A cell that one edit writes twice goes back to what it held before the first time.
    fn noted_again(&mut self, put: &Put, wrote: &Cell) -> bool {
        let same = self.conditions.iter_mut().find_map(|condition| match condition {
            Condition::Cell { table, key, cell } if *table == put.table && *key == put.key => Some(cell),
            _ => None,
        });
        same.map(|cell| *cell = wrote.clone()).is_some()
    }

    fn adds(&self, table: Table, id: &str) -> bool {
        self.withdrawals().any(|(t, i)| t == table && i.as_str() == id)
    }

    /// The entries that taking back withdraws.
    pub(crate) fn withdrawals(&self) -> impl Iterator<Item = (Table, ItemId)> + '_ {
        self.puts.iter().filter_map(|put| {
            let withdraws = match (put.table.style, put.field()) {
                (Style::Record, Some(WITHDRAWN)) => put.value == Value::Flag(true),
                (Style::Thing, None) => put.value == Value::Flag(false),
                _ => false,
            };
            withdraws.then(|| (put.table, put.id()))
        })
    }
}

impl Document {
    /// Takes an edit back as a new change, whose own inverse does it again.
    ///
    /// # Errors
    /// [`EditError::Overtaken`] if that would take back what was written since; and as every edit.
    pub fn take_back(
        &mut self,
        inverse: &Inverse,
        who: &Author,
        when: Timestamp,
    ) -> Result<Applied, EditError> {
        let stamp = Stamp { at: when, by: who.clone() };
        self.transact(&stamp, |document, done| {
            inverse.conditions.iter().try_for_each(|condition| document.check(condition))?;
            // Backwards, so that a cell written twice ends at what it held first.
            document.write(inverse.puts.iter().rev().cloned().collect(), &stamp, done)
        })
    }

    fn check(&self, condition: &Condition) -> Result<(), EditError> {
        let overtaken = |table: Table, id: &ItemId, field: Option<&str>, since: Stamp| {
            Err(EditError::Overtaken {
                table: table.name,
                id: id.clone(),
                field: field.map(str::to_owned),
                since,
            })
        };
        match condition {
            Condition::Cell { table, key, cell } => {
                let object = self.table(table.name).ok_or_else(|| EditError::Table(table.name.to_owned()))?;
                let other = self.cells(&object, key).into_iter().find(|c| !is_own(c, cell));
                let (id, field) = split_key(key);
                other.map_or(Ok(()), |c| overtaken(*table, &ItemId::new(id), field, c.stamp))
            }
            Condition::Row { table, id, row } => {
                let now = self.row(*table, id);
                let other =
                    now.iter().find(|(field, cell)| !row.get(field).is_some_and(|was| is_own(cell, was)));
                other.map_or(Ok(()), |(field, c)| overtaken(*table, id, Some(field), c.stamp.clone()))
            }
            Condition::Uncorrected { table, id } => {
                self.live_correction(*table, id).map_or(Ok(()), |since| overtaken(*table, id, None, since))
            }
        }
    }
}

/// Whether a cell still is what its author's device wrote. Undoing a later edit of one's own writes the same value
/// again at another time, so the time does not count.
fn is_own(now: &Cell, wrote: &Cell) -> bool {
    now.value == wrote.value && now.stamp.by.device == wrote.stamp.by.device
}

/// One person's edits on one document, to take back and do again. It is kept in memory and ends with the session.
#[derive(Clone, Debug, Default)]
pub struct UndoStack {
    undo: Vec<Inverse>,
    redo: Vec<Inverse>,
}

impl UndoStack {
    /// The most edits kept.
    const MOST: usize = 500;

    /// Notes an edit that was done; what had been undone can no longer be redone.
    pub fn did(&mut self, applied: &Applied) {
        if applied.inverse.is_empty() {
            return;
        }
        self.redo.clear();
        self.undo.push(applied.inverse.clone());
        if self.undo.len() > Self::MOST {
            self.undo.remove(0);
        }
    }

    /// Whether there is something to undo.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }

    /// Whether there is something to redo.
    pub fn can_redo(&self) -> bool {
        !self.redo.is_empty()
    }

    /// Undoes the last edit; `None` if there is none. A refused one is dropped, so that the one before can be.
    ///
    /// # Errors
    /// As [`Document::take_back`].
    pub fn undo(
        &mut self,
        document: &mut Document,
        who: &Author,
        when: Timestamp,
    ) -> Result<Option<Applied>, EditError> {
        Self::shift(&mut self.undo, &mut self.redo, document, who, when)
    }

    /// Does the last undone edit again; `None` if there is none.
    ///
    /// # Errors
    /// As [`Document::take_back`].
    pub fn redo(
        &mut self,
        document: &mut Document,
        who: &Author,
        when: Timestamp,
    ) -> Result<Option<Applied>, EditError> {
        Self::shift(&mut self.redo, &mut self.undo, document, who, when)
    }

    fn shift(
        from: &mut Vec<Inverse>,
        to: &mut Vec<Inverse>,
        document: &mut Document,
        who: &Author,
        when: Timestamp,
    ) -> Result<Option<Applied>, EditError> {
        let Some(inverse) = from.pop() else { return Ok(None) };
        let applied = document.take_back(&inverse, who, when)?;
        to.push(applied.inverse.clone());
        Ok(Some(applied))
    }
}
