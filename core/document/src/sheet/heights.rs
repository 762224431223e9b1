//! Heights: the floor next door, doors, and things that stand at a height over the base.

use super::Measure;
use super::base::item_name;
use super::fields::kind;
use super::object::{object, words};
use drylay_geometry::ItemId;

words! {
    /// What lies on the other side of an opening.
    NextFloor by next_floor {
        /// A hard floor.
        Hard = "hard",
        /// Carpet.
        Carpet = "carpet",
        /// No floor that meets this one: outdoors, a sill.
        None = "none",
    }
}

words! {
    /// A thing whose height or weight matters to the floor.
    FixtureKind by fixture_kind {
        /// A dishwasher or another appliance under a counter.
        Dishwasher = "dishwasher",
        /// A toe-kick.
        ToeKick = "toe_kick",
        /// A toilet flange.
        Flange = "flange",
        /// A floor register.
        Register = "register",
        /// The track of a sliding door.
        SlidingTrack = "sliding_track",
        /// The first riser of a stair that goes up from this floor.
        RiserUp = "riser_up",
        /// The last riser of a stair that comes up to this floor.
        RiserDown = "riser_down",
        /// A heavy thing: an island, a stove, a safe.
        Heavy = "heavy",
        /// Something else.
        Other = "other",
    }
}

words! {
    /// Where a heavy thing stands.
    StandsOn by stands_on {
        /// On the base, the floor going round it.
        Base = "base",
        /// On the finished floor.
        Floor = "floor",
    }
}

object! {
    /// The floor on the other side of an opening.
    NextDoor by next_door
    must {
        /// What it is.
        floor: NextFloor = next_floor;
    }
    may {
        /// Height of its surface above this room's base, up-positive.
        height: Option<Measure> = kind::length;
        /// Where the room there gets a floor of this job too: height of its base above this room's.
        base: Option<Measure> = kind::length;
    }
}

object! {
    /// A door over the floor.
    Door by door
    must {
        /// From the base to its lower edge.
        clearance: Measure = kind::not_negative;
    }
    may {
        /// What must remain under it.
        gap: Option<Measure> = kind::not_negative;
        /// Whether it bears a fire rating.
        rated: bool = kind::yes_no;
        /// Whether it may not be cut for another reason.
        stays: bool = kind::yes_no;
    }
}

object! {
    /// A thing whose height or weight matters to the floor.
    Fixture by fixture
    must {
        /// Its name within the room.
        #[schemars(with = "String")]
        #[serde(serialize_with = "super::measure::as_text")]
        id: ItemId = item_name;
        /// What it is.
        what: FixtureKind = fixture_kind;
    }
    may {
        /// What people call it.
        name: Option<String> = kind::name;
        /// Where, in the room's plan coordinates.
        at: Option<[Measure; 2]> = kind::point;
        /// Its height above the base, up-positive; of a riser its height.
        height: Option<Measure> = kind::length;
        /// What must remain above the finished floor.
        least: Option<Measure> = kind::length;
        /// What may remain at most.
        most: Option<Measure> = kind::length;
        /// Of a riser: the height of the others of its flight.
        others: Option<Measure> = kind::positive;
        /// By how much a riser may differ from them.
        differ: Option<Measure> = kind::not_negative;
        /// What it weighs, pounds to the square foot of its footprint.
        psf: Option<f64> = kind::amount;
        /// Of a heavy thing: where it stands.
        stands: Option<StandsOn> = stands_on;
        /// Where the limits stand.
        source: Option<String> = kind::name;
    }
}
