//! The job sheet and the shared documents of shop, job and room.

pub mod document;
pub mod edit;
pub mod entry;
pub mod ids;
pub mod schema;
pub mod sheet;
mod skeleton;
pub mod stamp;
pub mod stored;
pub mod undo;
pub mod value;
pub mod view;
