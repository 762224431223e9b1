//! What was taken out by one person and worked on by another who did not know: neither is lost silently.

use std::collections::{BTreeMap, BTreeSet};

use automerge::{ChangeHash, ObjId, ReadDoc};
use drylay_geometry::ItemId;

use crate::conflict::{Claim, Conflict};
use crate::document::Document;
use crate::entry::{Row, SUPERSEDES, Style, Table, WITHDRAWN, key};
use crate::stamp::Stamp;
use crate::stored::Stored;
use crate::value::Value;
use crate::view::Chain;

impl Document {
    /// The entries of a table that one person took out while another changed or corrected them. The claims are the
    /// last work on it and, last, the removal; a later change of either side settles it.
    pub(crate) fn removal_conflicts(&mut self, table: Table) -> Vec<Conflict> {
        let Some(object) = self.table(table.name) else { return Vec::new() };
        let rows = self.rows(table.name);
        match table.style {
            Style::Single => Vec::new(),
            Style::Thing => rows.iter().filter_map(|row| self.changed_apart(table, &object, row)).collect(),
            Style::Record => self.corrected_apart(table, &object, &rows),
        }
    }

    fn changed_apart(
        &mut self,
        table: Table,
        object: &ObjId,
        (id, cells): (&ItemId, &Row),
    ) -> Option<Conflict> {
        let removal = cells.get("").filter(|cell| cell.value == Value::Flag(false))?;
        let gone = self.written_by(object, &key(id.as_str(), None))?;
        let unseen = self.not_before(gone);
        let apart = cells.named().filter(|(field, _)| {
            let written = self.written_by(object, &key(id.as_str(), Some(field)));
            written.is_some_and(|written| self.is_apart(gone, &unseen, written))
        });
        let last = apart.map(|(_, cell)| cell.stamp.clone()).max_by_key(|stamp| stamp.at.utc_ms)?;
        let claims = vec![claim(true, &last), claim(false, &removal.stamp)];
        Some(Conflict { table, id: id.clone(), field: None, claims })
    }

    fn corrected_apart(
        &mut self,
        table: Table,
        object: &ObjId,
        rows: &BTreeMap<ItemId, Row>,
    ) -> Vec<Conflict> {
        let chain = Chain::of(rows);
        let mut found = Vec::new();
        for (id, content) in rows.iter().filter_map(|(id, cells)| Some((id, cells.get("")?))) {
            if !chain.is_live(id) {
                continue;
            }
            for old in Vec::<ItemId>::fetch(content.value.field(SUPERSEDES)).unwrap_or_default() {
                let removal = rows.get(&old).and_then(|cells| cells.get(WITHDRAWN));
                let Some(removal) = removal.filter(|cell| cell.value == Value::Flag(true)) else { continue };
                if self.written_apart(object, &key(old.as_str(), Some(WITHDRAWN)), &key(id.as_str(), None)) {
                    let stays = Claim {
                        value: content.value.clone(),
                        stamp: content.stamp.clone(),
                        record: Some(id.clone()),
                    };
                    let claims = vec![claim(false, &removal.stamp), stays];
                    found.push(Conflict { table, id: id.clone(), field: None, claims });
                }
            }
        }
        found
    }

    fn written_apart(&mut self, object: &ObjId, gone: &str, work: &str) -> bool {
        let (Some(gone), Some(work)) = (self.written_by(object, gone), self.written_by(object, work)) else {
            return false;
        };
        let unseen = self.not_before(gone);
        self.is_apart(gone, &unseen, work)
    }

    /// The change that wrote what shows at a key.
    fn written_by(&self, object: &ObjId, key: &str) -> Option<ChangeHash> {
        let (_, operation) = self.auto.get(object, key).ok()??;
        self.auto.hash_for_opid(&operation)
    }

    /// The changes that are neither this one nor among those it builds on.
    fn not_before(&mut self, change: ChangeHash) -> BTreeSet<ChangeHash> {
        self.auto.get_changes(&[change]).iter().map(automerge::Change::hash).collect()
    }

    /// Whether a removal and some work were done without knowing of each other; `unseen` as of
    /// [`not_before`](Self::not_before) the removal.
    fn is_apart(&mut self, gone: ChangeHash, unseen: &BTreeSet<ChangeHash>, work: ChangeHash) -> bool {
        unseen.contains(&work) && self.not_before(work).contains(&gone)
    }
}

/// That it stays, or that it goes.
fn claim(stays: bool, stamp: &Stamp) -> Claim {
    Claim { value: Value::Flag(stays), stamp: stamp.clone(), record: None }
}
