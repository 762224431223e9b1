//! From the shape of rooms to pieces, tiles and cartons.
//!
//! # The journey
//!
//! 1. Rooms ([`Room`]) are placed beside each other by their passages, joined, and drawn in by the gap along
//!    every edge: the [`Field`].
//! 2. A [`Choice`] of direction, offset, first row and shift lays a lattice onto the field; cutting the field
//!    along the lattice gives every [`Piece`] with its place on the tile ([`lattice`], [`piece`]).
//! 3. Pieces that come apart by straight cuts share a tile ([`sharing`]), and the [`Plan`] says which rules of
//!    the product it breaks.
//! 4. [`search()`] compares choices by their worth and keeps the best; [`takeoff`] says what to buy, [`price`] what it comes to.
//!
//! ```
//! use drylay_geometry::{Corner, Length, Outline, Point};
//! use drylay_plan::{Along, Choice, Field, FrameField, Offset, Order, Plan, Product, Room};
//! let corner = |id: &str, x, y| Corner { id: id.into(), at: Point::new(Length::from_mm(x), Length::from_mm(y)) };
//! let outline = Outline::new(vec![
//!     corner("A", 0, 0), corner("B", 3000, 0), corner("C", 3000, 2000), corner("D", 0, 2000),
//! ]).unwrap();
//! let room = Room { id: "den".into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] };
//! let tile = Product {
//!     id: "slab".into(), length: Length::from_mm(600), width: Length::from_mm(300),
//!     joint: Length::from_mm(3), edge_gap: Length::from_mm(8), kerf: Length::from_mm(2), interlock: true,
//!     offsets: vec![Offset { num: 1, den: 3 }], min_row_width: Length::from_mm(60),
//!     min_end_length: Length::from_mm(150), max_run: None, carton_tiles: Some(6),
//! };
//! let field = Field::new(&[room], &[], tile.edge_gap).unwrap();
//! assert!((field.area_m2() - 2.984 * 1.984).abs() < 1e-9);
//! let along = Along { direction: drylay_geometry::Direction::RIGHT, wall: None };
//! let choice = Choice {
//!     along, offset: tile.offsets[0], order: Order::Stepped,
//!     first_row: Length::from_mm(300), shift: Length::from_mm(400),
//! };
//! let plan = Plan::new(&tile, &choice, &FrameField::new(&field.region, choice.along.direction)).unwrap();
//! assert_eq!(plan.rows.len(), 7);
//! ```
//!
//! **Invariants.** Nothing here knows how a room was measured, reads a clock, draws lots or serialises. After
//! the field's corners are rounded to a nanometre everything that is counted is integer work, so every device
//! counts the same pieces. What is reported of a choice is computed from its pieces, never estimated.

pub mod asked;
pub mod compare;
pub mod cutting;
mod depth;
pub mod doubt;
mod ends;
pub mod field;
pub mod ground;
mod hull;
pub mod interlock;
pub mod laid;
pub mod last_tile;
pub mod lattice;
pub mod markout;
pub mod movement_joints;
pub mod neck;
pub mod piece;
pub mod place;
pub mod plan;
pub mod price;
pub mod product;
mod rows;
mod rules;
pub mod search;
pub mod setting_out;
pub mod sharing;
pub mod sliding;
pub mod spacers;
pub mod spots;
pub mod takeoff;
pub mod tools;
mod walls;
pub mod window;
pub mod work;

pub use field::{Field, FieldProblem, Keepout, Opening, Passage, Room};
pub use lattice::{Along, Choice, FrameField};
pub use movement_joints::{MovementJoint, MovementJoints, movement_joints};
pub use piece::{Cut, Piece};
pub use plan::{Breach, Measures, Plan, PlanError, Rule};
pub use product::{Offset, Order, Product};
pub use search::{Bound, Found, Progress, Standing, Wish, search};
pub use sharing::Sharing;
