//! The skeleton of a document: the changes that every copy of it begins with, bit for bit the same.
//!
//! Two devices that both make the "same" table concurrently would hide one of the two with all it holds. So the
//! tables are made by a *genesis* change that follows from kind and id alone: fixed actor, time nought, fixed
//! order. Later versions add tables by further changes of the same sort, each hung on the one before it and
//! never on what people wrote meanwhile; merging the current skeleton into an old document **is** its migration,
//! comes out the same wherever it is done, and keeps what others go on writing into the old version. Contents are
//! never moved by a migration: a reader that finds an old form reads it as the new one.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, AutoCommit, AutomergeError, ObjType, ROOT};

use crate::entry::{EntrySet, Kind, Table};
use crate::ids::DocumentId;
use crate::schema::{JobEntry, RoomEntry, ShopEntry};

/// Names the kind of document at its root.
pub(crate) const KIND: &str = "kind";
/// Holds the document's id at its root.
pub(crate) const ID: &str = "id";
/// Holds the version of the schema at the root.
pub(crate) const SCHEMA: &str = "schema";
/// Holds, at the root, the oldest version of the schema whose program may still write the document.
pub(crate) const WRITABLE_FROM: &str = "writable_from";

/// One version of a kind's schema.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Version {
    /// Its number, from 1.
    pub(crate) number: u64,
    /// The oldest program that may still write the document: 1 as long as it only adds tables or fields.
    pub(crate) writable_from: u64,
    /// The tables that it adds.
    pub(crate) tables: &'static [Table],
}

/// The versions of a kind's schema, oldest first. A version that has landed is never edited.
pub(crate) fn versions(kind: Kind) -> &'static [Version] {
    const SHOP: &[Version] = &[Version { number: 1, writable_from: 1, tables: ShopEntry::TABLES }];
    const JOB: &[Version] = &[Version { number: 1, writable_from: 1, tables: JobEntry::TABLES }];
    const ROOM: &[Version] = &[Version { number: 1, writable_from: 1, tables: RoomEntry::TABLES }];
    match kind {
        Kind::Shop => SHOP,
        Kind::Job => JOB,
        Kind::Room => ROOM,
    }
}

/// The number of the newest version that this program knows.
pub(crate) fn newest(versions: &[Version]) -> u64 {
    versions.last().map_or(0, |v| v.number)
}

/// The actor of the skeleton's change for a version: follows from the document alone.
fn actor(kind: Kind, id: DocumentId, version: u64) -> ActorId {
    let mut hasher = blake3::Hasher::new_derive_key("drylay document skeleton");
    hasher.update(kind.word().as_bytes()).update(&id.0).update(&version.to_le_bytes());
    ActorId::from(&hasher.finalize().as_bytes()[..16])
}

/// The skeleton up to the last of the versions given.
///
/// # Errors
/// None that could be met: the engine refuses none of these puts.
pub(crate) fn skeleton(
    kind: Kind,
    id: DocumentId,
    versions: &[Version],
) -> Result<AutoCommit, AutomergeError> {
    let mut doc = AutoCommit::new();
    for version in versions {
        doc.set_actor(actor(kind, id, version.number));
        if version.number == 1 {
            doc.put(ROOT, KIND, kind.word())?;
            doc.put(ROOT, ID, id.0.to_vec())?;
        }
        doc.put(ROOT, SCHEMA, version.number)?;
        doc.put(ROOT, WRITABLE_FROM, version.writable_from)?;
        for table in version.tables {
            doc.put_object(ROOT, table.name, ObjType::Map)?;
        }
        doc.commit_with(CommitOptions::default().with_time(0));
    }
    Ok(doc)
}

/// All tables of a kind, in the order in which they were added.
pub(crate) fn tables(kind: Kind) -> impl Iterator<Item = Table> {
    versions(kind).iter().flat_map(|version| version.tables.iter().copied())
}
