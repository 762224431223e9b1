//! The core of Drylay behind one door.
//!
//! # From a question to an answer
//!
//! 1. A [`Session`] is an open store with everything that can be asked of it. [`Session::call`] looks a name up in the one
//!    command table ([`table`]), reads the request ([`wire`]) and hands it to a plain function (`commands`). Whatever goes
//!    wrong is a [`Problem`]: code, place, and words from the catalogue.
//! 2. What changes something goes through `change`: edits of documents, the store, the network, in this order and in one
//!    transaction; then an event tells the screens what is stale.
//! 3. What is looked at is worked out: the job's documents become a job [`Sheet`], and [`answers`] walks it from readings to
//!    rooms, field, plan, takeoff and price, the same way as for a sheet from a file. `views` put answers into what the
//!    screens show; `planned`, `surveyed`, `floors` and `given_out` remember what was dear.
//! 4. What takes long is a `task` with progress and an end; its answer comes as an event.
//! 5. Every word comes from the catalogue: sentences that say what is wrong in [`messages`], labels in [`words`], both in
//!    every language of [`language`].
//!
//! Ports are given by whoever opens a session: clock and chance ([`World`]), the press and the folder of papers
//! ([`Outlet`]), the network (`crew` is its engine).
//!
//! **Invariants.** No Tauri, no sockets, no typst. Nothing outside formats a length. A panic in a command becomes a
//! problem, and what is in memory is read again.

pub mod answers;
pub mod books;
mod change;
mod commands;
mod crew;
mod desk;
mod floors;
mod forms;
mod german;
mod given_out;
mod good_for;
mod grounds;
mod issue;
mod labels;
pub mod language;
mod laying;
mod locked;
mod made;
pub mod messages;
mod outlet;
pub mod outside;
pub mod papers;
mod photos;
mod planned;
mod problem;
mod refusal;
mod restore;
mod session;
mod settle;
mod show;
mod side_by_side;
mod signature;
mod summary;
mod surveyed;
pub mod system;
pub mod table;
mod task;
mod views;
mod waits;
pub mod wire;
pub mod words;
mod world;

pub use drylay_document::Timestamp;
pub use drylay_document::sheet::{Sheet, schema};
pub use outlet::Outlet;
pub use problem::Problem;
pub use restore::restore;
pub use session::Session;
pub use world::{Lockbox, World};

/// Reads a job sheet; warnings come with their text.
///
/// # Errors
/// Every mistake with its place and its text.
pub fn read_sheet(text: &str) -> Result<ReadSheet, Vec<Problem>> {
    match Sheet::read(text) {
        Ok(read) => Ok(ReadSheet {
            sheet: read.sheet,
            warnings: read.warnings.into_iter().map(Problem::from).collect(),
        }),
        Err(problems) => Err(problems.into_iter().map(Problem::from).collect()),
    }
}

/// A sheet together with what was odd but not wrong about it.
#[derive(Clone, Debug)]
pub struct ReadSheet {
    /// The sheet.
    pub sheet: Sheet,
    /// What was odd.
    pub warnings: Vec<Problem>,
}
