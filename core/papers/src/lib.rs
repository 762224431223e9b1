//! What leaves the program on paper or as a drawing: plain data, and its writers for DXF, SVG and CSV.
//!
//! [`PlanDrawing`] is a plan as lines and pieces, written by [`dxf()`] and [`svg()`]; [`List`] is a table written by
//! [`List::csv`]; [`paper`] is what stands on a sheet of paper, which a press makes into a PDF. Nothing here knows where
//! the data come from. The same data give the same bytes.
//!
//! Lengths are millimetres in plan coordinates: x to the right, y down the page.

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
