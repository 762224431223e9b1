//! Keeps a device's documents, photos and frozen records on its disk, and loses nothing that it acknowledged.
//!
//! # What happens to a change
//!
//! 1. Somebody types a length. The document makes a *chunk* of bytes of it; [`Store::write`] puts the chunk into
//!    a row of its own, together with the job's new [`Summary`] and the draft that is no longer needed, in **one
//!    transaction**, and returns once the disk has it ([`chunks`]). Only then is the edit acknowledged.
//! 2. When the chunks since the last snapshot outgrow it, `write` says so; a snapshot takes their place, again in
//!    one transaction.
//! 3. The app opens: the list of jobs comes from the summaries ([`summary`]), without loading a document. Opening
//!    a job reads its rows in order and joins them for one loading ([`Store::load`]).
//! 4. Photos, issued plans, signed quotes are files under their BLAKE3 hash ([`files`]): written beside, flushed,
//!    renamed, the folder flushed, and only then named in a row.
//!    A file that comes in from another device lies beside until it is whole (`parts`).
//!    What is asked of the disk for that, and in which order, stands in [`disk`].
//! 5. A backup is one file ([`archive`]); restoring makes a new store of it, or nothing.
//! 6. Where bytes rot, every row's and file's checksum says which: what is intact is handed out, what is not is
//!    listed and set aside, never silently dropped ([`check`]).
//!
//! **Invariants.** The store does not know what the bytes mean: documents are 16-byte names and chunks, summaries
//! come from outside. It reads no clock and draws no lots: times and session names are passed in. One process
//! writes a store at a time, under a lock. A session name is never used twice in one store, so that a restored or
//! copied store makes its documents new actors. A store written by a newer program is opened for reading, and
//! says so, unless every newer migration allows older programs to write. Nothing here deletes a photo.
//!
//! ```
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! use drylay_store::{DocumentKey, Op, Store};
//! # let folder = std::env::temp_dir().join(format!("drylay-store-doc-{}", std::process::id()));
//! # let _ = std::fs::remove_dir_all(&folder);
//! let mut store = Store::open(&folder, [7; 16])?;
//! let room = DocumentKey([1; 16]);
//! store.write(&[Op::Append { document: room, chunk: b"a change" }])?;
//! assert_eq!(store.load(room)?.joined(), b"a change");
//! # std::fs::remove_dir_all(&folder)?;
//! # Ok(())
//! # }
//! ```

pub mod archive;
pub mod check;
pub mod chunks;
pub mod disk;
mod error;
pub mod files;
mod marks;
mod migrations;
mod parts;
pub mod settings;
mod store;
pub mod summary;
#[cfg(test)]
mod tests;

pub use chunks::{DamagedRow, DocumentInfo, Loaded};
pub use error::{OpenError, StoreError};
pub use files::{FileHash, FileInfo};
pub use store::{Op, Standing, Store, Written};
pub use summary::Summary;

/// Names a document: 16 bytes that mean nothing here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocumentKey(pub [u8; 16]);
