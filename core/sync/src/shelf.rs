//! What the protocol asks of the device's store: documents and files.

use drylay_document::{Document, DocumentId, Kind};

/// Why the device could not keep or read something: in words for a person.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Trouble(pub String);

/// A document that the device holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Its kind.
    pub kind: Kind,
    /// Its id.
    pub id: DocumentId,
    /// The job that a room belongs to.
    pub parent: Option<DocumentId>,
    /// Its heads, sorted.
    pub heads: Vec<[u8; 32]>,
}

/// A file that a job names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Named {
    /// The hash of its content.
    pub hash: [u8; 32],
    /// Its size in bytes as the job says it.
    pub bytes: u64,
}

/// The device's documents and files. Whatever is answered with `Ok` is on the disk.
pub trait Shelf {
    /// All documents that the crew shares, without loading them.
    ///
    /// # Errors
    /// Where the list cannot be read.
    fn documents(&mut self) -> Result<Vec<Held>, Trouble>;

    /// One of them.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn held(&mut self, id: DocumentId) -> Result<Option<Held>, Trouble>;

    /// A document, loaded if need be; `None` if it is not held.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn document(&mut self, id: DocumentId) -> Result<Option<&mut Document>, Trouble>;

    /// Stores what a document took in from a peer.
    ///
    /// # Errors
    /// Where it could not be stored; then the document is closed, and what it took in is forgotten.
    fn keep(&mut self, id: DocumentId) -> Result<(), Trouble>;

    /// Takes in a whole document, new or not, and stores it. Answers the heads of what came.
    ///
    /// # Errors
    /// Where it could not be stored.
    fn adopt(
        &mut self,
        kind: Kind,
        id: DocumentId,
        parent: Option<DocumentId>,
        bytes: &[u8],
    ) -> Result<Adopted, Trouble>;

    /// The files that a document names and that are not here.
    ///
    /// # Errors
    /// Where the document cannot be read.
    fn missing_files(&mut self, id: DocumentId) -> Result<Vec<Named>, Trouble>;

    /// A piece of a file that is here: its whole size and the bytes from `offset` on, `most` of them or fewer.
    ///
    /// # Errors
    /// Where it cannot be read.
    fn piece(&mut self, hash: [u8; 32], offset: u64, most: u32) -> Result<Option<(u64, Vec<u8>)>, Trouble>;

    /// How many bytes of a file have come already.
    ///
    /// # Errors
    /// Where that cannot be read.
    fn part(&mut self, hash: [u8; 32]) -> Result<u64, Trouble>;

    /// Adds bytes to what has come of a file, at its end.
    ///
    /// # Errors
    /// Where there is no room, or they do not go on from its end.
    fn append(&mut self, hash: [u8; 32], offset: u64, bytes: &[u8]) -> Result<(), Trouble>;

    /// Ends a file: whether its content is what its name says. If not, what came is thrown away.
    ///
    /// # Errors
    /// Where it could not be stored.
    fn finish(&mut self, hash: [u8; 32]) -> Result<bool, Trouble>;
}

/// What became of a whole document that came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Adopted {
    /// It is in: the heads it came with.
    Heads(Vec<[u8; 32]>),
    /// It is no such document.
    Refused,
}
