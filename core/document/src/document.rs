//! One document in memory: making it, loading it, what of it is to be stored.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{
    ActorId, AutoCommit, AutomergeError, ChangeHash, ObjId, ObjType, ROOT, ReadDoc, ScalarValue,
    Value as AmValue,
};

use crate::engine;
use crate::entry::{Cell, Kind};
use crate::ids::{Actor, DocumentId};
use crate::skeleton::{self, Version};

/// A copy of a document, open under its own actor.
#[derive(Debug)]
pub struct Document {
    pub(crate) auto: AutoCommit,
    kind: Kind,
    id: DocumentId,
    versions: &'static [Version],
    /// The heads up to which the store has everything. The engine's own cursor begins at nothing after a loading.
    stored: Vec<ChangeHash>,
}

/// The bytes are no document that this program can open.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// The bytes do not hold together; [`rescue`](crate::rescue) finds what is intact.
    #[error("the document is damaged: {0}")]
    Damaged(String),
    /// A document, but none of ours.
    #[error("this is no document of a shop, a job or a room")]
    Foreign,
    /// Another document than the one asked for.
    #[error("this is document {found}, not {expected}")]
    OtherDocument {
        /// The one asked for.
        expected: DocumentId,
        /// The one found.
        found: DocumentId,
    },
}

/// The document is of another kind than what was asked of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("this is a document of a {}, not of a {}", .found.word(), .expected.word())]
pub struct WrongKind {
    /// The kind asked for.
    pub expected: Kind,
    /// The kind it is.
    pub found: Kind,
}

/// Whether this program may write to a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Read and written.
    Writable,
    /// Made by a newer program whose documents this one must not write: it is shown and nothing else.
    Newer {
        /// The document's version.
        version: u64,
        /// The newest version that this program knows.
        known: u64,
    },
}

impl Document {
    /// Makes the document with nothing in it. Two devices that make the same document make the same bits.
    pub fn create(kind: Kind, id: DocumentId, actor: Actor) -> Self {
        Self::create_as(kind, id, actor, skeleton::versions(kind))
    }

    pub(crate) fn create_as(kind: Kind, id: DocumentId, actor: Actor, versions: &'static [Version]) -> Self {
        let mut auto = skeleton::skeleton(kind, id, versions).unwrap_or_default();
        auto.set_actor(ActorId::from(actor.0.as_slice()));
        Self { auto, kind, id, versions, stored: Vec::new() }
    }

    /// Loads a document from its stored chunks joined in order, and brings it to the current version. `actor`
    /// must be new random bits at every call.
    ///
    /// # Errors
    /// Says whether the bytes are damaged or foreign.
    pub fn load(bytes: &[u8], actor: Actor) -> Result<Self, OpenError> {
        let auto = engine::load(bytes).map_err(OpenError::Damaged)?;
        let (kind, id) = identity(&auto).ok_or(OpenError::Foreign)?;
        engine::guarded(|| Self::adopt(auto, kind, id, actor, skeleton::versions(kind)))
            .map_err(OpenError::Damaged)
    }

    pub(crate) fn adopt(
        mut auto: AutoCommit,
        kind: Kind,
        id: DocumentId,
        actor: Actor,
        versions: &'static [Version],
    ) -> Result<Self, AutomergeError> {
        // What was loaded is stored already: the next chunk holds what is added from here on.
        let stored = auto.get_heads();
        let mut document = Self { auto, kind, id, versions, stored };
        if document.version() < skeleton::newest(versions) {
            document.auto.merge(&mut skeleton::skeleton(kind, id, versions)?)?;
        }
        document.auto.set_actor(ActorId::from(actor.0.as_slice()));
        Ok(document)
    }

    /// The actor under which this copy writes.
    pub fn actor(&self) -> Option<Actor> {
        self.auto.get_actor().to_bytes().try_into().ok().map(Actor)
    }

    /// Its id.
    pub fn id(&self) -> DocumentId {
        self.id
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// The version of its schema.
    pub fn version(&self) -> u64 {
        self.root_number(skeleton::SCHEMA)
    }

    /// Whether this program may write to it.
    pub fn standing(&self) -> Standing {
        let known = skeleton::newest(self.versions);
        if self.root_number(skeleton::WRITABLE_FROM) > known {
            Standing::Newer { version: self.version(), known }
        } else {
            Standing::Writable
        }
    }

    /// The change hashes at its ends, sorted: two copies are level when these are equal.
    pub fn heads(&mut self) -> Vec<[u8; 32]> {
        let mut heads: Vec<[u8; 32]> = self.auto.get_heads().iter().map(|h| h.0).collect();
        heads.sort_unstable();
        heads
    }

    /// What was added since the last call (or since loading), to be stored as one chunk; `None` if nothing was.
    pub fn take_chunk(&mut self) -> Option<Vec<u8>> {
        let heads = self.auto.get_heads();
        if heads == self.stored {
            return None;
        }
        let chunk = self.auto.save_after(&self.stored);
        self.stored = heads;
        Some(chunk)
    }

    /// The whole document, compact: a chunk that stands for all chunks before it.
    pub fn snapshot(&mut self) -> Vec<u8> {
        self.auto.save()
    }

    pub(crate) fn expect_kind(&self, expected: Kind) -> Result<(), WrongKind> {
        if self.kind == expected { Ok(()) } else { Err(WrongKind { expected, found: self.kind }) }
    }

    /// The map of a table; `None` where the document has no such table.
    pub(crate) fn table(&self, name: &str) -> Option<ObjId> {
        match self.auto.get(ROOT, name) {
            Ok(Some((AmValue::Object(ObjType::Map), id))) => Some(id),
            _ => None,
        }
    }

    /// The cells at a key, the one that shows last. Several: written concurrently.
    pub(crate) fn cells(&self, table: &ObjId, key: &str) -> Vec<Cell> {
        let all = self.auto.get_all(table, key).unwrap_or_default();
        all.iter().filter_map(|(value, _)| cell_of(value)).collect()
    }

    pub(crate) fn put_cell(&mut self, table: &ObjId, key: &str, cell: &Cell) -> Result<(), AutomergeError> {
        self.auto.put(table, key, ScalarValue::Bytes(cell.to_bytes()))
    }

    pub(crate) fn commit(&mut self, utc_ms: i64) {
        self.auto.commit_with(CommitOptions::default().with_time(utc_ms.div_euclid(1000)));
    }

    fn root_number(&self, key: &str) -> u64 {
        match self.auto.get(ROOT, key) {
            Ok(Some((AmValue::Scalar(value), _))) => value.as_u64().unwrap_or(0),
            _ => 0,
        }
    }
}

pub(crate) fn cell_of(value: &AmValue<'_>) -> Option<Cell> {
    match value {
        AmValue::Scalar(scalar) => match scalar.as_ref() {
            ScalarValue::Bytes(bytes) => Cell::from_bytes(bytes),
            _ => None,
        },
        AmValue::Object(_) => None,
    }
}

/// The kind and id that a document states at its root.
pub(crate) fn identity(auto: &AutoCommit) -> Option<(Kind, DocumentId)> {
    let scalar = |key: &str| match auto.get(ROOT, key) {
        Ok(Some((AmValue::Scalar(value), _))) => Some(value.into_owned()),
        _ => None,
    };
    let kind = match scalar(skeleton::KIND)? {
        ScalarValue::Str(word) => Kind::from_word(&word)?,
        _ => return None,
    };
    match scalar(skeleton::ID)? {
        ScalarValue::Bytes(bytes) => Some((kind, DocumentId(bytes.as_slice().try_into().ok()?))),
        _ => None,
    }
}
