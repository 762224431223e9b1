//! What can still be had of a document whose chunks are damaged.

use automerge::hydrate::Value as Hydrated;
use automerge::{AutoCommit, Automerge, Change, ScalarValue};

use crate::document::{Document, identity};
use crate::engine;
use crate::entry::{Cell, Kind, Table, key, split_key};
use crate::ids::{Actor, DocumentId};
use crate::skeleton;
use crate::value::Reader;

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
        match take_in(&mut document, chunk) {
            Ok(()) => {}
            Err(Refusal::Other(other)) => lost.push((place, format!("it is of document {other}"))),
            Err(Refusal::Broken(why)) => {
                copied |= copy_contents(&mut document, chunk);
                lost.push((place, why));
            }
        }
    }
    let waiting = !document.auto.get_missing_deps(&[]).is_empty();
    Rescued { document, lost, waiting, copied }
}

/// Why a chunk was not taken in.
enum Refusal {
    Other(DocumentId),
    Broken(String),
}

fn take_in(document: &mut Document, chunk: &[u8]) -> Result<(), Refusal> {
    // Into a document of its own first: what it says it is decides whether it may go in.
    let mut trial = document.auto.clone();
    let taken = match engine::load(chunk) {
        Ok(mut whole) => match identity(&whole) {
            Some((_, id)) if id != document.id() => return Err(Refusal::Other(id)),
            Some(_) => engine::guarded(|| trial.merge(&mut whole)).map(drop),
            None => apply(&mut trial, chunk),
        },
        Err(_) => apply(&mut trial, chunk),
    };
    taken.map_err(Refusal::Broken)?;
    document.auto = trial;
    Ok(())
}

fn apply(auto: &mut AutoCommit, chunk: &[u8]) -> Result<(), String> {
    let pieces = pieces(chunk).ok_or("it does not begin or end as a chunk does")?;
    engine::guarded(|| {
        let changes = pieces.into_iter().map(Change::try_from).collect::<Result<Vec<_>, _>>();
        auto.apply_changes(changes.map_err(|e| e.to_string())?).map_err(|e| e.to_string())
    })
}

/// The changes of an increment one by one, because the engine's own reading of several leaves out, without a word,
/// what comes after a broken one. Each is: four bytes of magic, four of checksum, one of type, a length as LEB128,
/// and so many bytes (automerge's binary format, "chunks").
fn pieces(chunk: &[u8]) -> Option<Vec<&[u8]>> {
    let (mut pieces, mut rest) = (Vec::new(), chunk);
    while !rest.is_empty() {
        let mut reader = Reader::new(rest);
        reader.take(9).filter(|head| head.starts_with(&[0x85, 0x6f, 0x4a, 0x83]))?;
        reader.bytes()?;
        let (piece, behind) = rest.split_at_checked(rest.len() - reader.left())?;
        pieces.push(piece);
        rest = behind;
    }
    Some(pieces)
}

/// Copies the cells of a snapshot whose history cannot be loaded. Where another copy has them too, the values are
/// equal and show as one.
fn copy_contents(document: &mut Document, chunk: &[u8]) -> bool {
    let Ok(Hydrated::Map(root)) = engine::guarded(|| Automerge::rescue(chunk)) else { return false };
    let own = Hydrated::Scalar(ScalarValue::Bytes(document.id().0.to_vec()));
    if root.get(skeleton::ID) != Some(&own) {
        return false;
    }
    let tables: Vec<Table> = skeleton::tables(document.kind()).collect();
    let mut copied = false;
    for table in tables {
        let (Some(object), Some(Hydrated::Map(rows))) = (document.table(table.name), root.get(table.name))
        else {
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
