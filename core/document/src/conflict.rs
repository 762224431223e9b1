//! Where people said different things at the same time: both values, who, when.

use drylay_geometry::ItemId;

use automerge::ReadDoc;

use crate::document::Document;
use crate::entry::{Style, Table, split_key};
use crate::skeleton;
use crate::stamp::Stamp;
use crate::value::Value;
use crate::view::Chain;

/// One thing said differently by several people who did not know of each other. It is settled by a new edit:
/// [`Settle`](crate::edit::Edit::Settle) for a field, [`Correct`](crate::edit::Edit::Correct) superseding all
/// claims for records.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// The table.
    pub table: Table,
    /// The thing, or the record that was corrected in several ways.
    pub id: ItemId,
    /// The field; `None` where whole records disagree.
    pub field: Option<String>,
    /// What was said, at least two; the one that shows until it is settled comes last.
    pub claims: Vec<Claim>,
}

/// One side of a conflict.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// What was said.
    pub value: Value,
    /// By whom, and when.
    pub stamp: Stamp,
    /// The record that says it, where whole records disagree.
    pub record: Option<ItemId>,
}

impl Document {
    /// All conflicts of the document, by table in the order of the schema, then by id and field. The same value
    /// said twice is none. What one person took out while another worked on it is one, with a flag for each side.
    pub fn conflicts(&mut self) -> Vec<Conflict> {
        let mut all = Vec::new();
        for table in skeleton::tables(self.kind()) {
            all.extend(self.field_conflicts(table));
            all.extend(self.record_conflicts(table));
            all.extend(self.removal_conflicts(table));
        }
        all
    }

    fn field_conflicts(&self, table: Table) -> Vec<Conflict> {
        let Some(object) = self.table(table.name) else { return Vec::new() };
        let conflicting = self.auto.map_range(&object, ..).filter(|item| item.conflict);
        conflicting
            .filter_map(|item| {
                let (id, field) = split_key(&item.key);
                let cells = self.cells(&object, &item.key);
                let differ = cells.iter().any(|cell| cell.value != cells[0].value);
                let claim =
                    |cell: crate::entry::Cell| Claim { value: cell.value, stamp: cell.stamp, record: None };
                differ.then(|| Conflict {
                    table,
                    id: ItemId::new(id),
                    field: field.map(str::to_owned),
                    claims: cells.into_iter().map(claim).collect(),
                })
            })
            .collect()
    }

    fn record_conflicts(&self, table: Table) -> Vec<Conflict> {
        if table.style != Style::Record {
            return Vec::new();
        }
        let rows = self.rows(table.name);
        let claim = |id: &ItemId| {
            let cell = rows.get(id)?.get("")?;
            Some(Claim { value: cell.value.clone(), stamp: cell.stamp.clone(), record: Some(id.clone()) })
        };
        let conflict = |d: crate::view::Disagreement| Conflict {
            table,
            claims: d.between.iter().filter_map(claim).collect(),
            id: d.of,
            field: None,
        };
        Chain::of(&rows).disagreements().into_iter().map(conflict).collect()
    }
}
