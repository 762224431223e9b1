//! The vocabulary of a floor: exact lengths, names, points, outlines and the areas between them.
//!
//! # From what is typed to what is counted
//!
//! 1. A [`Length`] is an integer number of nanometres. Sixty-fourths of an inch and tenths of a millimetre are
//!    whole numbers of them, so what a person types is kept exactly and prints back as typed ([`length`]).
//! 2. A [`Point`] has two such coordinates in *plan coordinates*: seen from above as on paper, x to the right,
//!    **y down the page**. Rings that run clockwise on that page have positive area.
//! 3. An [`Outline`] is a checked ring of named corners together with the covariance of where they are; a draft
//!    that is no shape yet is reported with every problem and its place.
//! 4. A [`Region`] is any number of shapes with holes; unions and differences of regions are integer work
//!    ([`region`]), and so is cutting one along axis-parallel lines ([`mod@cut`]).
//!
//! ```
//! use drylay_geometry::{Length, Notation, Point, Region};
//! let wall = Length::parse("12' 3 1/2\"").unwrap();
//! assert_eq!(wall.nanometres(), 3_746_500_000);
//! assert_eq!(wall.show(Notation::FeetInches(16)), "12' 3 1/2\"");
//! let floor = Region::rectangle(Point::ORIGIN, Point::new(wall, Length::from_mm(3000)));
//! assert!((floor.area_mm2() - 3746.5 * 3000.0).abs() < 1e-6);
//! ```
//!
//! **Invariants.** Nothing here reads a clock, draws lots, iterates over a hash map or calls the platform's
//! mathematics: the same input gives the same bits on every device. Nothing here serialises.

pub mod cut;
pub mod id;
pub mod length;
pub mod outline;
pub mod point;
pub mod region;
pub mod ring;

pub use cut::{Axis, Side, cut, cut_band};
pub use id::{CornerId, ItemId, ProductId, RoomId};
pub use length::{Length, LengthError, Notation, Reason};
pub use outline::{Corner, Covariance, Outline, Problem, Wall};
pub use point::{Direction, Point, Vector};
pub use region::{Region, Shape};
pub use ring::{Ring, RingProblem};
