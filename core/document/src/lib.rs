//! The shared documents of a crew, and the job sheet.
//!
//! # From a tap to every phone
//!
//! 1. A person types a length. It becomes an [`Edit`] of plain structs ([`schema`]): a new [`TapeReading`], a
//!    changed [`Opening`], an accepted [`Choice`]. There are three kinds of [`Document`]: one *shop*, a small one
//!    for each *job*, and one for each *room*, because a grown single document loads and applies slowly.
//! 2. [`Document::apply`] writes it as one change. Every value is a *cell*: the value with who and when
//!    ([`entry`]). Records (what was seen or done) are one cell, written once; a correction is a new record that
//!    [`supersedes`](Edit::Correct) the old one. Things (what is named and changed) have a cell for each field, so
//!    changes to different fields merge. The way back comes with it ([`undo`]).
//! 3. [`Document::take_chunk`] hands out the bytes of what was added; the store keeps them, and
//!    [`Document::load`] takes them back joined.
//! 4. Copies of a document come level by messages ([`sync`]) or a file ([`handover`]), in any order, twice or with
//!    years between. What two people changed apart merges; where they said different things about the same,
//!    [`Document::conflicts`] has both values with who and when, until a new edit settles it.
//! 5. [`JobView`], [`RoomView`] and [`ShopView`] read a document as it stands: what holds, what it replaced, what
//!    was withdrawn, what cannot be read.
//! 6. Everything computed goes through a [`sheet`], the open exchange format: [`exchange`] makes one of a job and
//!    its rooms, and edits of one.
//! 7. What was agreed is frozen ([`frozen`]): bytes by hash, with the heads of the documents they came from.
//!    What became of the pieces of an issued plan is said in marks that merge ([`marks`]).
//! 8. Damaged bytes are [rescued](rescue), documents for a bug report [anonymised](anonymise).
//!
//! ```
//! use drylay_document::*;
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let ana = Author { device: DeviceId([1; 16]), name: "Ana".into() };
//! let noon = Timestamp { utc_ms: 1_790_000_000_000, zone_minutes: -300 };
//! let mut room = Document::create(Kind::Room, DocumentId([7; 16]), Actor([1; 16]));
//! let reading = TapeReading {
//!     from: "A".into(), to: "B".into(), read: TypedLength::parse("12' 3 1/2\"")?,
//!     sd: None, tool: None, measured_to: None, measured_at: None, listed: None,
//! };
//! room.apply(&Edit::<RoomEntry>::add("r1", reading.clone()), &ana, noon)?;
//! // A second look: the new reading counts, the old one is kept.
//! let again = TapeReading { read: TypedLength::parse("12' 2 1/2\"")?, ..reading };
//! room.apply(&Edit::<RoomEntry>::correct("r2", again, "r1"), &ana, noon)?;
//! let view = RoomView::read(&room)?;
//! assert_eq!(view.tape.live[0].value.read.text(), "12' 2 1/2\"");
//! assert_eq!(view.tape.past[0].held.value.read.text(), "12' 3 1/2\"");
//! # Ok(())
//! # }
//! ```
//!
//! **Invariants.** No cell is ever overwritten by a correction of a record. Nothing but cells is ever put into a
//! document after its [skeleton](Document::create), so no two devices can each make a table and hide the other's.
//! No invariant spans two documents. Nothing here reads a clock or draws lots: ids, actors and times are passed in;
//! an actor is new at every opening. Nothing merges by time. Nothing computed is stored: no adjusted corner, no
//! piece, no price total. Only the job sheet derives serde; the documents have their own bytes. There is no SQLite
//! and no network here. Bytes from a file or a peer can be refused, never panicked over.

pub mod anonymise;
pub mod conflict;
pub mod document;
pub mod edit;
mod engine;
pub mod entry;
pub mod exchange;
pub mod frozen;
pub mod handover;
pub mod ids;
pub mod marks;
mod removal;
pub mod rescue;
pub mod schema;
pub mod sheet;
mod skeleton;
pub mod stamp;
pub mod stored;
pub mod sync;
#[cfg(test)]
mod tests;
pub mod time;
pub mod undo;
pub mod value;
pub mod view;

pub use conflict::{Claim, Conflict};
pub use document::{Document, OpenError, Standing, WrongKind};
pub use edit::{Applied, Edit, EditError};
pub use entry::{Entry, EntrySet, Kind, SINGLE, Style, Table};
pub use ids::{Actor, ContentHash, DocumentId, Place};
pub use schema::*;
pub use stamp::{Author, DeviceId, Stamp, Timestamp};
pub use stored::{At, Blob, Decimal, Money, Secret, Source, TypedLength};
pub use undo::{Inverse, UndoStack};
pub use value::Value;
pub use view::{Disagreement, Held, Past, Records, Single, Things};
