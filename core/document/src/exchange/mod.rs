//! Between the documents and the [job sheet](crate::sheet).
//!
//! Everything computed starts from a sheet: [`to_sheet`] makes one of a job and its rooms as they stand, and says
//! which reading stands at which place of it, so that a residual finds its reading again. [`from_sheet`] makes the
//! edits of a new job of one. What was typed goes along as typed both ways. Fields of a newer minor version of the
//! format do not go into documents; whoever imports shows the warnings that reading the sheet gave.

mod base;
mod call;
mod compound;
mod from;
mod laying;
mod measured;
mod prefer;
mod quote;
mod supply;
#[cfg(test)]
mod tests;
mod to;

pub use base::{layers_in_order, tests_in_order, underlay};
pub use quote::quote_text;
pub use supply::{supply, supply_entry};

use drylay_geometry::ItemId;
use drylay_geometry::length::Length;
use serde_json::Number;

use crate::entry::Table;
use crate::ids::DocumentId;
use crate::schema::{JobEntry, RoomEntry};
use crate::sheet::{Measure, Sheet, Written};
use crate::stored::TypedLength;
use crate::{Edit, JobView, RoomView};

/// Which layout an area gets in the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layouts {
    /// What people wish; what they left open is left to the search.
    Wished,
    /// The accepted choice where there is one, otherwise what people wish.
    Accepted,
}

/// A sheet made of documents.
#[derive(Clone, Debug, PartialEq)]
pub struct Exported {
    /// The sheet.
    pub sheet: Sheet,
    /// For each of its rooms, in the same order, where its readings came from.
    pub rooms: Vec<RoomIndex>,
    /// What the sheet does not hold, and why.
    pub left_out: Vec<LeftOut>,
}

/// Which entry stands at which place of a sheet's room.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RoomIndex {
    /// The room's link in the job.
    pub room: Option<ItemId>,
    /// The corners in walking order, as the sheet lists them.
    pub corners: Vec<ItemId>,
    /// Tape readings, as the sheet lists them.
    pub tape: Vec<ItemId>,
    /// Corners checked square.
    pub squares: Vec<ItemId>,
    /// Rod readings.
    pub rods: Vec<ItemId>,
    /// Straightedge readings.
    pub straightedges: Vec<ItemId>,
    /// Lines of heights.
    pub lines: Vec<ItemId>,
}

/// An entry that a sheet cannot hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The room's link; `None` for an entry of the job.
    pub room: Option<ItemId>,
    /// The entry's table.
    pub table: Table,
    /// The entry.
    pub id: ItemId,
    /// Why.
    pub why: Reason,
}

/// Why an entry is not in the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Reason {
    /// It names a corner, room, opening or product that is not there.
    #[error("it names something that is not there")]
    NamesNothing,
    /// Its two corners are no neighbours any more.
    #[error("its two corners are not the ends of one wall")]
    NotAWall,
    /// The same was said before: a corner checked square a second time.
    #[error("the sheet has it already")]
    Twice,
    /// A product without the size of its face.
    #[error("the size of its face is missing")]
    NoFace,
    /// A keep-out that has neither an outline nor distances that place it.
    #[error("it has neither an outline nor distances that place it")]
    NoOutline,
    /// The room's document is not on this device.
    #[error("the room's document is not here yet")]
    NoDocument,
}

/// The edits that make a new job of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct NewJob {
    /// Edits of the job's new document.
    pub job: Vec<Edit<JobEntry>>,
    /// The rooms: each new document, and its edits.
    pub rooms: Vec<(DocumentId, Vec<Edit<RoomEntry>>)>,
}

/// Makes a sheet of a job. `rooms` finds a room's view by its link in the job; `round` says after which round of
/// correction the floor's heights are taken (`None`: the newest that was read).
pub fn to_sheet<'a>(
    job: &JobView,
    rooms: impl Fn(&ItemId) -> Option<&'a RoomView>,
    layouts: Layouts,
    round: Option<i64>,
) -> Exported {
    to::export(job, &rooms, layouts, round)
}

/// Makes the edits of a new job of a sheet. `fresh` gives a new document id at each call: random bits.
pub fn from_sheet(sheet: &Sheet, fresh: impl FnMut() -> DocumentId) -> NewJob {
    from::import(sheet, fresh)
}

/// A length as the sheet writes it: as it was typed, if the sheet reads that the same.
pub fn measure(typed: &TypedLength) -> Measure {
    let (text, length) = (typed.text(), typed.length());
    let number = text.parse::<Number>().ok();
    let is_millimetres = |n: &Number| n.as_f64().and_then(Length::from_mm_f64) == Some(length);
    if let Some(number) = number.filter(is_millimetres) {
        return Measure { written: Written::Number(number), length };
    }
    match Length::parse(text) {
        Ok(read) if read == length => Measure { written: Written::Text(text.to_owned()), length },
        // Typed on a keypad that said the unit, or computed: the sheet gets the length.
        _ => Measure::from_length(length),
    }
}

/// A sheet's length as the documents keep it.
pub fn typed(measure: &Measure) -> TypedLength {
    TypedLength::new(measure.text(), measure.length)
}
