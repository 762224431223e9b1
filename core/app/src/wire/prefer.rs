//! What an area's layout should keep to.

use super::{Typed, request, wire};

wire! {
    /// What an area's layout should keep to, and what there is to choose from.
    pub struct PreferView {
        /// The area.
        pub area: String,
        /// The walls of its first room, by their corners.
        pub walls: Vec<(String, String)>,
        /// The openings of its rooms.
        pub openings: Vec<FeatureView>,
        /// Openings, keep-outs and located things that a layout can be centred on.
        pub features: Vec<FeatureView>,
        /// The wall to start from.
        pub start: Option<(String, String)>,
        /// Walls along which the row should be whole.
        pub whole_rows: Vec<(String, String)>,
        /// What it is centred on.
        pub centre: Option<CentreView>,
        /// Doorways without short cuts.
        pub doorways: Option<SeenView>,
        /// The line of sight without short cuts, from one opening.
        pub sight_line: Option<SeenView>,
        /// Whether pieces may be cut from another place along the tile than their own.
        pub slide: bool,
    }
}

wire! {
    /// Something in a room.
    pub struct FeatureView {
        /// The room.
        pub room: String,
        /// Its name within the room.
        pub id: String,
        /// What people call it, with its room.
        pub words: String,
    }
}

wire! {
    /// What a layout is centred on.
    pub struct CentreView {
        /// A room and something in it; `null` where it is a point.
        pub on: Option<(String, String)>,
        /// The point, from the first room's first corner along its first wall.
        pub x: Option<Typed>,
        /// The point, from the first wall into the room.
        pub y: Option<Typed>,
        /// `best`, `tile` or `joint`: what of the rows lies there.
        pub rows: String,
        /// The same of the tiles of that row; `null` for wherever it is best.
        pub tiles: Option<String>,
    }
}

wire! {
    /// Where a short cut would show.
    pub struct SeenView {
        /// Neither extent of a piece there should be less.
        pub least: Typed,
        /// Rooms and their openings; none for all.
        pub openings: Vec<(String, String)>,
    }
}

request! {
    /// What an area's layout should keep to, all of it; what is left out is not wished.
    pub struct PreferSet {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The wall to start from.
        #[serde(default)]
        #[ts(optional)]
        pub start: Option<(String, String)>,
        /// Walls along which the row should be whole.
        pub whole_rows: Vec<(String, String)>,
        /// What it is centred on.
        #[serde(default)]
        #[ts(optional)]
        pub centre: Option<CentreTyped>,
        /// Doorways without short cuts.
        #[serde(default)]
        #[ts(optional)]
        pub doorways: Option<SeenTyped>,
        /// The line of sight without short cuts, from one opening.
        #[serde(default)]
        #[ts(optional)]
        pub sight_line: Option<SeenTyped>,
        /// Whether pieces may be cut from another place along the tile than their own.
        pub slide: bool,
    }
}

request! {
    /// What a layout is centred on: something in a room, or a point.
    pub struct CentreTyped {
        /// A room and something in it.
        #[serde(default)]
        #[ts(optional)]
        pub on: Option<(String, String)>,
        /// The point as typed, along the first wall; of no account where `on` is given.
        pub x: String,
        /// From the first wall into the room.
        pub y: String,
        /// `best`, `tile` or `joint`.
        pub rows: String,
        /// The same of the tiles of that row; left out for wherever it is best.
        #[serde(default)]
        #[ts(optional)]
        pub tiles: Option<String>,
    }
}

request! {
    /// Where a short cut would show, as typed.
    pub struct SeenTyped {
        /// Neither extent of a piece there should be less.
        pub least: String,
        /// Rooms and their openings; none for all.
        pub openings: Vec<(String, String)>,
    }
}
