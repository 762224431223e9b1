//! The crew's protocol: who belongs to it, how a device joins, and how all come level without a server.
//!
//! # From a reading on one phone to every other
//!
//! 1. A person types a reading. The document has it, the store has it, and [`Input::Changed`] goes into the [`Crew`].
//! 2. For every connected device out comes an [`Output::Send`] with only what is new (`talk`). Whoever was away tells
//!    at the next meeting how far its copies are, and gets what it lacks: a document it does not have whole and
//!    compact, others by the documents' own protocol.
//! 3. The other side stores what came before it shows it, and passes it on to whomever it is connected to.
//! 4. Photos follow by content hash (`files`), on a stream of their own, and go on where they were cut off.
//!
//! Devices are known by their keys (`keys`). Who belongs to the crew follows from signed statements that every device
//! works out for itself (`roster`). A device comes in by an invitation (`invitation`, `joining`).
//!
//! **Invariants.** A state machine: no sockets, no files, no clock, no chance; those are passed in ([`Crew::input`],
//! [`Shelf`]). A device that does not belong to the crew is told nothing, not even that there is a job. What is
//! remembered of a peer ends with the connection, so that a peer that lost what it was sent is sent it again. Bytes
//! from outside are refused, never panicked over.

mod bytes;
mod crew;
mod engine;
mod files;
mod invitation;
mod joining;
mod kept;
mod keys;
mod message;
mod peers;
mod roster;
mod shelf;
mod statement;
mod talk;

pub use crew::{Admission, Channel, ConnId, Crew, CrewError, Input, News, Output, Purpose, Why};
pub use engine::{Engine, Wake};
pub use invitation::{Invitation, SCHEME, STANDS_MS};
pub use joining::{Shown, welcome_again};
pub use kept::Kept;
pub use keys::{PublicKey, SecretKey};
pub use message::{LONGEST_FRAME, LONGEST_FRAME_OF_A_STRANGER, PIECE, VERSION, said_again};
pub use peers::{PeerView, SILENCE_MS};
pub use roster::{MOST_STATEMENTS, Member, Roster, RosterError};
pub use shelf::{Adopted, Held, Named, Shelf, Trouble};
pub use statement::{Claim, CrewId, DeviceName, LONGEST_NAME, LONGEST_STATEMENT, Statement};

#[cfg(test)]
mod tests;
