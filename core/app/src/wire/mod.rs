//! What crosses the door: requests and answers as plain structs, written for the screens and turned into
//! TypeScript. Nothing of it is stored.
//!
//! Numbers are millimetres or square metres. Every length that is shown comes with its text in the job's own
//! notation, so that nobody outside formats one.

mod after;
mod buy;
mod common;
mod crew;
mod demands;
mod device;
mod entries;
mod events;
mod floor;
mod grout;
mod handover;
mod issue;
mod job;
mod laying;
mod measured;
mod overhang;
mod papers;
mod photos;
mod plan;
mod prefer;
mod quote;
mod room;
mod room_edit;
mod setting;
mod shop;
mod stages;
mod time;
mod walk;
mod work;

pub use after::*;
pub use buy::*;
pub use common::*;
pub use crew::*;
pub use demands::*;
pub use device::*;
pub use entries::*;
pub use events::*;
pub use floor::*;
pub use grout::*;
pub use handover::*;
pub use issue::*;
pub use job::*;
pub use laying::*;
pub use measured::*;
pub use overhang::*;
pub use papers::*;
pub use photos::*;
pub use plan::*;
pub use prefer::*;
pub use quote::*;
pub use room::*;
pub use room_edit::*;
pub use setting::*;
pub use shop::*;
pub use stages::*;
pub use time::*;
pub use walk::*;
pub use work::*;

/// Derives what every wire type has.
macro_rules! wire {
    ($(#[$meta:meta])* $vis:vis struct $name:ident $body:tt) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, serde::Serialize, ts_rs::TS)]
        #[ts(export)]
        $vis struct $name $body
    };
}
pub(crate) use wire;

/// Derives what every request has. A field that is not known is refused: screens and core come from one source.
macro_rules! request {
    ($(#[$meta:meta])* $vis:vis struct $name:ident $body:tt) => {
        $(#[$meta])*
        #[derive(Clone, Debug, PartialEq, serde::Deserialize, ts_rs::TS)]
        #[serde(deny_unknown_fields)]
        #[ts(export)]
        $vis struct $name $body
    };
}
pub(crate) use request;
