//! A room: its shape and what stands in it.

use drylay_geometry::ItemId;

use super::{
    BaseAnswer, Feature, Fixture, FlatnessLine, FloorFacts, HazardAnswer, MoistureReading, Overhang,
    RodReading, Round, Setup, StraightedgeReading, StructureAnswer,
};
use crate::entry::{entry, entry_set};
use crate::ids::Place;
use crate::stored::{At, Decimal, TypedLength, words};

words! {
    /// Which way a corner turns for a person who walks inside, facing the walls and moving to the right.
    Turn {
        /// An inside corner: the usual.
        In = "in",
        /// An outside corner: the room goes round it.
        Out = "out",
    }
}

words! {
    /// What the tape was held to.
    MeasuredTo {
        /// The bare wall.
        Wall = "wall",
        /// The base trim.
        Trim = "trim",
        /// The bottom plate of an open wall.
        Plate = "plate",
    }
}

words! {
    /// What a room was measured with.
    Instrument {
        /// A steel tape read to a sixteenth of an inch.
        Tape = "tape",
        /// A steel tape read to a millimetre.
        TapeMetric = "tape_metric",
        /// A laser distance meter.
        Laser = "laser",
    }
}

words! {
    /// A side of a line as seen going along it.
    LineSide {
        /// To the left hand.
        Left = "left",
        /// To the right hand.
        Right = "right",
    }
}

words! {
    /// What a floor is exposed to, or lies on.
    Setting {
        /// The sun shines on it.
        Sunlit = "sunlit",
        /// It gets wet.
        Wet = "wet",
        /// It is outdoors.
        Exterior = "exterior",
        /// It lies on a slab above ground.
        Suspended = "suspended",
    }
}

entry! {
    /// What is said of the room once.
    Single RoomFacts in facts {
        /// What people call it.
        name: Option<String>,
        /// What the tape was held to, unless a reading says otherwise.
        measured_to: Option<MeasuredTo>,
        /// At which height above the floor.
        measured_at: Option<TypedLength>,
        /// Thickness of the trim that the tape was held to, or of the boards that will go on the plate.
        trim_thickness: Option<TypedLength>,
        /// What it was measured with, unless a reading names its tool.
        instrument: Option<Instrument>,
        /// Where the room has windows or an entrance from which it is seen: wall or opening.
        seen_from: Option<ItemId>,
        /// What the floor is exposed to, or lies on.
        settings: Vec<Setting>,
        /// Degrees between the year's coldest and its warmest day there.
        yearly_range: Option<Decimal>,
    }
}

entry! {
    /// A corner.
    Thing Corner in corners {
        /// What people call it: `A`, `B`.
        name: String,
        /// Its place in walking order.
        place: Place,
        /// Which way it turns.
        turn: Turn,
        /// Where it is, if the room was given as coordinates instead of readings.
        at: Option<At>,
    }
}

entry! {
    /// One tape reading between two corners: neighbours are a wall, any other pair is a tie.
    Record TapeReading in tape {
        /// One corner.
        from: ItemId,
        /// The other.
        to: ItemId,
        /// What the tape read.
        read: TypedLength,
        /// Its standard deviation; by default the tool's.
        sd: Option<TypedLength>,
        /// With which tool.
        tool: Option<ItemId>,
        /// What it was held to, if not as the rest of the room.
        measured_to: Option<MeasuredTo>,
        /// At which height above the floor, if not as the rest of the room.
        measured_at: Option<TypedLength>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

entry! {
    /// A corner that was checked square.
    Record SquareCheck in squares {
        /// The corner.
        corner: ItemId,
        /// Standard deviation of the angle in degrees.
        sd_degrees: Option<Decimal>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

entry! {
    /// The distance from a string along a wall to the wall, to find its bow.
    Record StringOffset in strings {
        /// The wall's left corner as seen from inside.
        from: ItemId,
        /// Its right corner.
        to: ItemId,
        /// How far along from the left corner.
        along: TypedLength,
        /// From the string to the wall, positive away from the room.
        offset: TypedLength,
        /// Its standard deviation.
        sd: Option<TypedLength>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

words! {
    /// What the floor goes round.
    KeepoutKind {
        /// An island or built-in cabinet.
        Cabinet = "cabinet",
        /// A column or post.
        Post = "post",
        /// A hearth.
        Hearth = "hearth",
        /// A floor register.
        Register = "register",
        /// A pipe or flange.
        Pipe = "pipe",
        /// Anything else.
        Other = "other",
    }
}

entry! {
    /// What the floor goes round.
    Thing Keepout in keepouts {
        /// What people call it.
        name: Option<String>,
        /// What it is.
        what: Option<KeepoutKind>,
        /// Its outline in the room's plan coordinates, either way round.
        outline: Vec<At>,
        /// Two distances that place it, each from a corner, where it has no outline.
        distances: Vec<(ItemId, TypedLength)>,
        /// On which side of the line from the first to the second of those corners it lies; the right by default.
        side: Option<LineSide>,
        /// The wall it was located from, by the corner from which `along` counts and the other, where it has neither.
        wall: Vec<ItemId>,
        /// Along that wall.
        along: Option<TypedLength>,
        /// Away from it, into the room.
        away: Option<TypedLength>,
        /// Its diameter about that place, where it is round.
        diameter: Option<TypedLength>,
        /// Its size from that place on along the line it was located from, where it lies square.
        size_along: Option<TypedLength>,
        /// Its size away from that line.
        size_away: Option<TypedLength>,
        /// A toe-kick around it.
        overhang: Option<Overhang>,
    }
}

entry! {
    /// A door or another opening in a wall.
    Thing Opening in openings {
        /// What people call it.
        name: Option<String>,
        /// The wall's left corner as seen from inside.
        from: ItemId,
        /// Its right corner.
        to: ItemId,
        /// Distance of its left end from the wall's left corner.
        start: TypedLength,
        /// Its width.
        width: TypedLength,
        /// How far the floor runs into it beyond the wall line.
        reach: Option<TypedLength>,
        /// Height of the floor next door above this room's base, up-positive.
        next_door: Option<TypedLength>,
        /// What lies next door: `carpet`, `tile`, `wood`.
        next_floor: Option<String>,
        /// Whether its door carries a fire rating and must not be cut without checking.
        rated: Option<bool>,
        /// Clearance under its door.
        door_clearance: Option<TypedLength>,
        /// Its jambs, where they are undercut so that the floor runs under them.
        jambs: Option<Overhang>,
        /// Where the room next door gets a floor of the job: height of its base above this room's.
        next_base: Option<TypedLength>,
        /// What must remain under its door.
        door_gap: Option<TypedLength>,
        /// Whether its door may not be cut for another reason than a rating.
        door_stays: Option<bool>,
    }
}

entry! {
    /// A wall's own gap and what hides it.
    Thing Edge in edges {
        /// The wall's left corner as seen from inside.
        from: ItemId,
        /// Its right corner.
        to: ItemId,
        /// The gap kept there; by default the product's.
        gap: Option<TypedLength>,
        /// Distance from the wall that the trim covers.
        trim_covers: Option<TypedLength>,
        /// What hangs over the floor along it.
        overhang: Option<Overhang>,
    }
}

entry_set! {
    /// An entry of a room's document.
    RoomEntry,
    /// A room's document as it stands.
    RoomView for Room;
    /// What is said of the room once.
    Single RoomFacts in facts;
    /// Corners; [`RoomView::walk`] has them in walking order.
    Thing Corner in corners;
    /// Tape readings.
    Record TapeReading in tape;
    /// Corners checked square.
    Record SquareCheck in squares;
    /// Offsets from a string along a wall.
    Record StringOffset in strings;
    /// What the floor goes round.
    Thing Keepout in keepouts;
    /// Doors and other openings.
    Thing Opening in openings;
    /// Walls with a gap of their own.
    Thing Edge in edges;
    /// What is said of the floor once.
    Single FloorFacts in floor;
    /// Set-ups of the instrument.
    Thing Setup in setups;
    /// Rod readings.
    Record RodReading in rods;
    /// Gaps under a straightedge.
    Record StraightedgeReading in straightedges;
    /// Lines of equally spaced heights.
    Record FlatnessLine in lines;
    /// Rounds of correction.
    Thing Round in rounds;
    /// Moisture readings.
    Record MoistureReading in moisture;
    /// What lies there.
    Record BaseAnswer in base;
    /// What carries it.
    Record StructureAnswer in structure;
    /// Hazards asked for before work.
    Record HazardAnswer in hazards;
    /// Things whose height or clearance limits the floor.
    Thing Fixture in fixtures;
    /// Joints and cracks.
    Thing Feature in features;
}

impl Keepout {
    /// A keep-out of which nothing is said yet.
    pub const fn unplaced() -> Self {
        Self {
            name: None,
            what: None,
            outline: Vec::new(),
            distances: Vec::new(),
            side: None,
            wall: Vec::new(),
            along: None,
            away: None,
            diameter: None,
            size_along: None,
            size_away: None,
            overhang: None,
        }
    }
}

impl RoomView {
    /// The corners in walking order: by place, then by id.
    pub fn walk(&self) -> Vec<&crate::view::Held<Corner>> {
        let mut corners: Vec<_> = self.corners.live.iter().collect();
        corners.sort_by(|a, b| (&a.value.place, &a.id).cmp(&(&b.value.place, &b.id)));
        corners
    }
}
