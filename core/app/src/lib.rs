//! The core of Drylay behind one door.

pub mod answers;
pub mod books;
mod change;
mod commands;
mod crew;
mod desk;
mod floors;
mod forms;
mod given_out;
mod good_for;
mod grounds;
mod issue;
mod labels;
mod laying;
mod locked;
pub mod messages;
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
pub use problem::Problem;
pub use restore::restore;
pub use session::Session;
pub use world::World;

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
