//! What leaves the program on paper or as a drawing: plain data, and its writers for DXF, SVG and CSV.
//!
//! # From an answer to a file
//!
//! 1. Whoever has answers puts what is to be seen of them into plain data, words and figures ready to be read: a plan as
//!    lines and pieces ([`PlanDrawing`]), a table ([`List`]), or a paper block by block ([`paper`]).
//! 2. A drawing is written by [`dxf()`] for programs that draw, by [`svg()`] for browsers; a table by [`List::csv`] for
//!    spreadsheets. Each writes its whole file as one text, numbers by rules of its own (`number`).
//! 3. A paper is not written here: a [`paper::Press`] makes a PDF of its blocks. Which one, whoever runs the program says.
//!
//! ```
//! use drylay_papers::List;
//! let mut cuts = List::new(&["piece", "cut"]);
//! cuts.rows.push(vec!["4-1".into(), "12' 3 1/2\"".into()]);
//! assert!(cuts.csv().contains("4-1,\"12' 3 1/2\"\"\""));
//! ```
//!
//! **Invariants.** Nothing here knows where the data come from, works a figure out or formats a length. No documents, no
//! storage, no clock: the same data give the same bytes. Lengths are millimetres in plan coordinates, x to the right and
//! y down the page; only DXF has y up, and its writer turns it round.

mod drawing;
mod dxf;
mod list;
mod number;
pub mod paper;
mod svg;

pub use drawing::{Cut, DrawnPiece, DrawnRoom, PlanDrawing, Point, inside};
pub use dxf::dxf;
pub use list::List;
pub use svg::svg;
