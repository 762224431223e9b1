//! A room: what was read, what it says, and what stands in it.

use super::{
    ExposureView, LocatedView, MeasuredView, OffsetView, OverhangView, Rings, Stamp, Thing, Touched, Typed,
    Units, wire,
};

wire! {
    /// One room.
    pub struct RoomView {
        /// The room.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// How lengths are typed and shown.
        pub units: Units,
        /// What its floor is exposed to.
        pub exposure: ExposureView,
        /// Corners in walking order.
        pub corners: Vec<CornerView>,
        /// Walls from each corner to the next, all of them.
        pub walls: Vec<WallView>,
        /// Every other measured pair.
        pub ties: Vec<ReadingView>,
        /// Doors and other openings.
        pub openings: Vec<OpeningView>,
        /// What the floor goes round.
        pub keepouts: Vec<KeepoutView>,
        /// Walls with a gap of their own.
        pub edges: Vec<EdgeView>,
        /// How it was measured.
        pub measured: MeasuredView,
        /// Offsets of walls from strings along them.
        pub offsets: Vec<OffsetView>,
        /// The outline with its bowed walls, in mm, flat as rings are; `null` where no wall is bowed.
        pub shape: Option<Vec<f64>>,
        /// Its corners in mm, in its own frame.
        pub outline: Option<Vec<[f64; 2]>>,
        /// Whether the outline is the last one that held, because the readings now bound no floor.
        pub outline_is_old: bool,
        /// The floor that is laid.
        pub field: Option<Vec<Rings>>,
        /// `consistent`, `recheck`, `loose`, `ambiguous`, `unsolvable` or `given`.
        pub verdict: String,
        /// The verdict in words.
        pub verdict_words: String,
        /// What the survey is good for, what may be ordered from it, and what it lacks for setting out, in words.
        pub good_for_words: String,
        /// Floor area.
        pub area_text: Option<String>,
        /// Length of all walls.
        pub perimeter_text: Option<String>,
        /// By how much the walls as read fail to close.
        pub misclosure_text: Option<String>,
        /// Readings beyond what fixes the room.
        pub redundancy: Option<u32>,
        /// Distances worth measuring next, best first.
        pub next: Vec<NextView>,
        /// What a person should know.
        pub advice: Vec<String>,
        /// What is wrong.
        pub problems: Vec<RoomProblem>,
    }
}

wire! {
    /// A corner.
    pub struct CornerView {
        /// Its letter, by which edits name it.
        pub id: String,
        /// `in` or `out`.
        pub turn: String,
        /// Whether it was checked square.
        pub square: bool,
        /// Where it is, in mm.
        pub at: Option<[f64; 2]>,
        /// Standard deviations of x and y in mm.
        pub sd: Option<[f64; 2]>,
        /// Its angle on the floor's side.
        pub angle_text: Option<String>,
    }
}

wire! {
    /// A wall between neighbouring corners.
    pub struct WallView {
        /// Its left corner as seen from inside.
        pub from: String,
        /// Its right corner.
        pub to: String,
        /// The reading that counts.
        pub reading: Option<ReadingView>,
        /// Its adjusted length, no finer than it is known.
        pub adjusted_text: Option<String>,
    }
}

wire! {
    /// A tape reading.
    pub struct ReadingView {
        /// The reading.
        pub id: String,
        /// One corner.
        pub from: String,
        /// The other.
        pub to: String,
        /// `wall` or `tie`.
        pub kind: String,
        /// As typed.
        pub text: String,
        /// In mm.
        pub mm: f64,
        /// By whom, and when.
        pub stamp: Stamp,
        /// How far the adjusted distance is from it.
        pub residual_text: Option<String>,
        /// Its residual over the residual's own standard deviation.
        pub w: Option<f64>,
        /// What it was held to, if not as the rest of the room.
        pub touched: Option<Touched>,
        /// At which height, if not as the rest of the room.
        pub height: Option<Typed>,
        /// What it comes to at the floor's edge, where it was held to trim or plate.
        pub corrected_text: Option<String>,
        /// Whether it was set aside.
        pub suspect: bool,
        /// What all other readings say it should be, give or take its standard deviation; only where the reading is
        /// odd beside them.
        pub says: Option<String>,
        /// What it replaced, latest first.
        pub earlier: Vec<EarlierReading>,
        /// Other readings of the same distance that were taken apart.
        pub conflict: Vec<OtherReading>,
        /// Other readings of the same distance that count beside it.
        pub others: Vec<OtherReading>,
    }
}

wire! {
    /// A reading that was replaced.
    pub struct EarlierReading {
        /// As typed.
        pub text: String,
        /// By whom, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// Another reading of the same distance.
    pub struct OtherReading {
        /// The reading.
        pub id: String,
        /// As typed.
        pub text: String,
        /// By whom, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// A door or another opening.
    pub struct OpeningView {
        /// The opening.
        pub id: String,
        /// The wall's left corner as seen from inside.
        pub from: String,
        /// Its right corner.
        pub to: String,
        /// From the wall's left corner to the opening.
        pub start: Typed,
        /// Its width.
        pub width: Typed,
        /// How far the floor runs into it.
        pub reach: Typed,
        /// Its jambs, where they are undercut.
        pub jambs: Option<OverhangView>,
        /// Where it is, in mm.
        pub line: Option<[[f64; 2]; 2]>,
        /// By whom and when it was last changed.
        pub stamp: Stamp,
    }
}

wire! {
    /// What the floor goes round.
    pub struct KeepoutView {
        /// The keep-out.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// Its corners in mm.
        pub outline: Vec<[f64; 2]>,
        /// What it is.
        pub what: Thing,
        /// Place and size, if it lies square to the first wall.
        pub texts: Option<KeepoutTexts>,
        /// A toe-kick around it.
        pub overhang: Option<OverhangView>,
        /// How it was located, if it was located by distances.
        pub located: Option<LocatedView>,
        /// By whom and when it was last changed.
        pub stamp: Stamp,
    }
}

wire! {
    /// Place and size of a keep-out.
    pub struct KeepoutTexts {
        /// From the first corner along the first wall.
        pub x: Typed,
        /// From the first wall into the room.
        pub y: Typed,
        /// Along the first wall.
        pub width: Typed,
        /// Into the room.
        pub depth: Typed,
    }
}

wire! {
    /// A wall's own gap.
    pub struct EdgeView {
        /// The wall's left corner as seen from inside.
        pub from: String,
        /// Its right corner.
        pub to: String,
        /// The gap; `null` for the product's.
        pub gap: Option<Typed>,
        /// How far from the wall the trim covers.
        pub trim_covers: Option<Typed>,
        /// What hangs over the floor along it.
        pub overhang: Option<OverhangView>,
    }
}

wire! {
    /// A distance worth measuring.
    pub struct NextView {
        /// One corner.
        pub from: String,
        /// The other.
        pub to: String,
        /// Why.
        pub words: String,
    }
}

wire! {
    /// Something wrong in a room.
    pub struct RoomProblem {
        /// Where.
        pub place: String,
        /// What.
        pub message: String,
        /// What to do.
        pub hint: String,
    }
}
