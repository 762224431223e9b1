//! How a room was measured, strings along its walls, and things located in it.

use super::{Stamp, Typed, wire};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What the ends of a reading touched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export)]
pub enum Touched {
    /// The bare wall.
    Wall,
    /// The base trim.
    Trim,
    /// The bottom plate of an open wall.
    Plate,
}

/// What readings were taken with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export)]
pub enum Instrument {
    /// A steel tape read to a sixteenth of an inch.
    Tape,
    /// A steel tape read to a millimetre.
    TapeMetric,
    /// A laser meter.
    Laser,
}

/// What a located thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export)]
pub enum Thing {
    /// A built-in cabinet.
    Cabinet,
    /// A column or post.
    Post,
    /// A hearth.
    Hearth,
    /// A floor register.
    Register,
    /// A pipe or flange.
    Pipe,
    /// Anything else.
    Other,
}

/// How a thing is located.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export)]
pub enum LocatedBy {
    /// By its distances from two corners.
    Corners,
    /// Along a wall and away from it.
    Wall,
}

wire! {
    /// How a room was measured.
    pub struct MeasuredView {
        /// What its readings were held to.
        pub to: Touched,
        /// Thickness of the trim, or of the boards that will go on the plate.
        pub thickness: Option<Typed>,
        /// At which height above the floor.
        pub height: Option<Typed>,
        /// With what.
        pub instrument: Instrument,
    }
}

wire! {
    /// How far a wall is from a string at one place.
    pub struct OffsetView {
        /// The offset.
        pub id: String,
        /// The wall's left corner as seen from inside.
        pub from: String,
        /// Its right corner.
        pub to: String,
        /// Along the string from the left corner.
        pub along: Typed,
        /// From the string to the wall.
        pub offset: Typed,
        /// Whether the wall stands away from the room there.
        pub out: bool,
        /// The foot on the string and the place on the wall, in mm.
        pub line: Option<[[f64; 2]; 2]>,
        /// By whom, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// How a thing was located.
    pub struct LocatedView {
        /// By what.
        pub by: LocatedBy,
        /// The first corner.
        pub from: String,
        /// The second corner.
        pub to: String,
        /// From the first corner, or along the wall.
        pub first: Typed,
        /// From the second corner, or from the wall.
        pub second: Typed,
        /// Whether it lies to the left, going from the first corner to the second.
        pub left: bool,
        /// Its diameter, where it is round.
        pub diameter: Option<Typed>,
        /// Its size along the line.
        pub size_along: Option<Typed>,
        /// Its size away from the line.
        pub size_away: Option<Typed>,
        /// Where it is, in mm.
        pub at: Option<[f64; 2]>,
        /// What was measured to it, as lines in mm with their figures, in the order of `first` and `second`.
        pub legs: Vec<LegView>,
        /// By how much the two distances miss each other, where that is more than their errors explain.
        pub gap_text: Option<String>,
    }
}

wire! {
    /// A distance that locates a thing.
    pub struct LegView {
        /// Where it begins and ends, in mm.
        pub line: [[f64; 2]; 2],
        /// As typed.
        pub text: String,
    }
}
