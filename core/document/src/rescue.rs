//! What can still be had of a document whose chunks are damaged.

use automerge::hydrate::Value as Hydrated;
use automerge::{AutoCommit, Automerge, ScalarValue};

use crate::document::{Document, identity};
use crate::entry::{Cell, Kind, Table, key, split_key};
use crate::ids::{Actor, DocumentId};
use crate::skeleton;

/// What a rescue found.
#[derive(Debug)]
pub struct Rescued {
    /// The document with everything that could be read.
    pub document: Document,
    /// The chunks that could not, by their place in the list, and why.
    pub lost: Vec<(usize, String)>,
    /// Whether chunks were read that stay invisible because they build on lost ones. A copy on another device
    /// that has those brings them back: bring the two level.
    pub waiting: bool,
    /// Whether contents were copied from a broken snapshot without their history.
    pub copied: bool,
}

/// Puts a document together from its intact chunks. It begins with the skeleton, which is known without any chunk,
/// so changes fit on even where the first chunk is lost. Kind and id are what the store or the job says they are.
pub fn rescue(kind: Kind, id: DocumentId, chunks: &[Vec<u8>], actor: Actor) -> Rescued {
    let mut document = Document::create(kind, id, actor);
    let (mut lost, mut copied) = (Vec::new(), false);
    for (place, chunk) in chunks.iter().enumerate() {
        if let Err(why) = take_in(&mut document, chunk) {
            copied |= copy_contents(&mut document, chunk);
            lost.push((place, why));
        }
    }
    let waiting = !document.auto.get_missing_deps(&[]).is_empty();
    Rescued { document, lost, waiting, copied }
}

fn take_in(document: &mut Document, chunk: &[u8]) -> Result<(), String> {
    // Into a document of its own first: what it says it is decides whether it may go in.
    if let Ok(mut whole) = AutoCommit::load(chunk) {
        return match identity(&whole) {
            Some((_, id)) if id != document.id() => Err(format!("it is of document {id}")),
            Some(_) => document.auto.merge(&mut whole).map(drop).map_err(|e| e.to_string()),
            None => apply(document, chunk),
        };
    }
    apply(document, chunk)
}

fn apply(document: &mut Document, chunk: &[u8]) -> Result<(), String> {
    let changes = changes_of(chunk)?;
    document.auto.apply_changes(changes).map_err(|e| e.to_string())
}

/// The changes of an increment. The engine reads an increment strictly only as part of a loading, so each is read
/// as a change of its own.
fn changes_of(chunk: &[u8]) -> Result<Vec<automerge::Change>, String> {
    match automerge::Change::try_from(chunk) {
        Ok(change) => Ok(vec![change]),
        Err(first) => {
            let mut apart = AutoCommit::new();
            apart.load_incremental(chunk).map_err(|_| first.to_string())?;
            let changes = apart.get_changes(&[]);
            if changes.is_empty() { Err(first.to_string()) } else { Ok(changes) }
        }
    }
}

/// Copies the cells of a snapshot whose history cannot be loaded. Where another copy has them too, the values are
/// equal and show as one.
fn copy_contents(document: &mut Document, chunk: &[u8]) -> bool {
    let Ok(Hydrated::Map(root)) = Automerge::rescue(chunk) else { return false };
    let tables: Vec<Table> = skeleton::tables(document.kind()).collect();
    let mut copied = false;
    for table in tables {
        let (Some(object), Some(Hydrated::Map(rows))) = (document.table(table.name), root.get(table.name)) else {
            continue;
        };
        let mut cells: Vec<(&String, Cell)> = rows
            .iter()
            .filter_map(|(name, held)| match &held.value {
                Hydrated::Scalar(ScalarValue::Bytes(bytes)) => Some((name, Cell::from_bytes(bytes)?)),
                _ => None,
            })
            .collect();
        cells.sort();
        for (name, cell) in cells {
            let (id, field) = split_key(name);
            copied |= document.put_cell(&object, &key(id, field), &cell).is_ok();
        }
    }
    document.commit(0);
    copied
}
