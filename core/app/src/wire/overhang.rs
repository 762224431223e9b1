//! What hangs over the floor at its edge, and what a room's floor is exposed to.

use super::{Typed, wire};
use serde::Deserialize;
use ts_rs::TS;

/// What something hangs over the floor along.
#[derive(Clone, Debug, PartialEq, Deserialize, TS)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export)]
pub enum OverhangOf {
    /// The jambs of an opening.
    Opening {
        /// The opening.
        id: String,
    },
    /// The toe-kick of what the floor goes round.
    Keepout {
        /// The keep-out.
        id: String,
    },
    /// A wall.
    Wall {
        /// Its left corner as seen from inside.
        from: String,
        /// Its right corner.
        to: String,
    },
}

wire! {
    /// Something that hangs over the floor at its edge.
    pub struct OverhangView {
        /// How high above what the floor lies on.
        pub height: Typed,
        /// How far it comes out from the line the floor ends at.
        pub depth: Typed,
    }
}

wire! {
    /// What a room's floor is exposed to, or lies on.
    pub struct ExposureView {
        /// `sunlit`, `wet`, `exterior`, `suspended`.
        pub settings: Vec<String>,
        /// Degrees between the year's coldest and its warmest day there, as typed; empty where nobody said.
        pub yearly_range: String,
    }
}
