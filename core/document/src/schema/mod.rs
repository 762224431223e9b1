//! What the documents hold: the entries of shop, job and room.
//!
//! A field that is added later is an `Option` or a `Vec`; a field that has landed keeps its name and type, and a
//! word that has landed keeps its meaning. A new table is a new version in `skeleton`.

mod common;
mod floor;
mod job;
mod paper;
mod room;
mod shop;
mod work;

pub use common::*;
pub use floor::*;
pub use job::*;
pub use paper::*;
pub use room::*;
pub use shop::*;
pub use work::*;
