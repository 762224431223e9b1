//! Edits of a room.

use super::{Instrument, LocatedBy, OverhangOf, Thing, Touched, request};
use serde::Deserialize;
use ts_rs::TS;

request! {
    /// Edits a room.
    pub struct RoomEditAsk {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
        /// What is done.
        pub edit: RoomEdit,
    }
}

/// One edit of a room. Corners are named by their letters, lengths are as typed.
#[derive(Clone, Debug, PartialEq, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export)]
pub enum RoomEdit {
    /// A distance between two corners was read; what was read before is kept as replaced.
    SetReading {
        /// One corner.
        from: String,
        /// The other.
        to: String,
        /// What the tape read.
        text: String,
    },
    /// A reading no longer counts; it is kept.
    ClearReading {
        /// The reading.
        id: String,
    },
    /// What the readings were held to, unless one says otherwise, and with what they were taken.
    SetMeasured {
        /// What they were held to.
        to: Touched,
        /// Thickness of the trim, or of the boards that will go on the plate; empty for bare walls.
        thickness: String,
        /// At which height above the floor; empty where that is not said.
        height: String,
        /// With what they were taken.
        instrument: Instrument,
    },
    /// What one reading was held to and at which height, if not as the rest of the room.
    SetTouched {
        /// The reading.
        id: String,
        /// What it was held to; `null` for as the rest.
        to: Option<Touched>,
        /// The height; empty for as the rest.
        height: String,
    },
    /// How far a wall is from a string along it.
    AddOffset {
        /// The wall's left corner as seen from inside.
        from: String,
        /// Its right corner.
        to: String,
        /// Along the string from the left corner.
        along: String,
        /// From the string to the wall.
        offset: String,
        /// Whether the wall stands away from the room there; otherwise it comes in.
        out: bool,
    },
    /// An offset no longer counts; it is kept.
    RemoveOffset {
        /// The offset.
        id: String,
    },
    /// Something that the floor goes round, located from two corners. With a diameter it is round about the place, with a
    /// size it lies square from the place on, with neither it is a point.
    SetLocated {
        /// The thing that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        id: Option<String>,
        /// What people call it; may be empty.
        name: String,
        /// What it is.
        what: Thing,
        /// How it is located.
        by: LocatedBy,
        /// The first corner, or the corner of the wall from which `first` counts.
        from: String,
        /// The second corner, or the wall's other one.
        to: String,
        /// From the first corner: to the thing, or along the wall.
        first: String,
        /// From the second corner to the thing, or from the wall.
        second: String,
        /// Whether it lies to the left, going from the first corner to the second; of two distances only.
        left: bool,
        /// Its diameter, where it is round; else empty.
        diameter: String,
        /// Its size along the line; empty where it is round or a point.
        size_along: String,
        /// Its size away from the line.
        size_away: String,
    },
    /// A corner between this one and the next.
    AddCorner {
        /// The corner before it.
        after: String,
    },
    /// A corner is not there.
    RemoveCorner {
        /// The corner.
        corner: String,
    },
    /// Which way a corner turns.
    Turn {
        /// The corner.
        corner: String,
        /// Outwards, or inwards.
        out: bool,
    },
    /// Whether a corner was checked square.
    Square {
        /// The corner.
        corner: String,
        /// It was, or it no longer counts.
        on: bool,
    },
    /// Something that the floor goes round, square to the first wall.
    SetKeepout {
        /// The keep-out that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        id: Option<String>,
        /// What people call it.
        name: String,
        /// From the first corner along the first wall.
        x: String,
        /// From the first wall into the room.
        y: String,
        /// Along the first wall.
        width: String,
        /// Into the room.
        depth: String,
    },
    /// A keep-out is not there.
    RemoveKeepout {
        /// The keep-out.
        id: String,
    },
    /// A door or another opening in a wall.
    SetOpening {
        /// The opening that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        id: Option<String>,
        /// The wall's left corner as seen from inside.
        from: String,
        /// Its right corner.
        to: String,
        /// From the wall's left corner to the opening.
        start: String,
        /// Its width.
        width: String,
        /// How far the floor runs into it; empty for not at all.
        reach: String,
    },
    /// An opening is not there.
    RemoveOpening {
        /// The opening.
        id: String,
    },
    /// A wall's own gap and what hides it; empty or left out for the product's.
    SetEdge {
        /// The wall's left corner as seen from inside.
        from: String,
        /// Its right corner.
        to: String,
        /// The gap.
        #[serde(default)]
        #[ts(optional)]
        gap: Option<String>,
        /// How far from the wall the trim covers.
        #[serde(default)]
        #[ts(optional)]
        trim_covers: Option<String>,
    },
    /// What hangs over the floor at its edge; both figures empty for nothing.
    SetOverhang {
        /// Of what.
        of: OverhangOf,
        /// How high above what the floor lies on.
        height: String,
        /// How far it comes out from the line the floor ends at.
        depth: String,
    },
    /// What the floor is exposed to, or lies on.
    SetExposure {
        /// `sunlit`, `wet`, `exterior`, `suspended`.
        settings: Vec<String>,
        /// Degrees between the year's coldest and its warmest day there; empty for not known.
        yearly_range: String,
    },
    /// What people call the room.
    Rename {
        /// The name.
        name: String,
    },
    /// Of several values entered apart, this one holds.
    Settle {
        /// A reading, or a choice of a disagreement.
        keep: String,
    },
}
