//! Jobs: the list, one job, and what is changed in it.

use super::{DemandsTyped, DemandsView, Stamp, Typed, Units, request, wire};
use crate::Problem;

wire! {
    /// A job's line in the list.
    pub struct JobCard {
        /// The job.
        pub id: String,
        /// What the crew calls it.
        pub name: String,
        /// Whom it is for.
        pub client: String,
        /// Where it is.
        pub site: String,
        /// How many rooms.
        pub rooms: u32,
        /// Floor area of its rooms in m², as far as computed.
        pub area_m2: Option<f64>,
        /// The same in the job's units.
        pub area_text: Option<String>,
        /// Tiles of its plans, as far as computed.
        pub tiles: Option<u32>,
        /// Cartons of its plans, as far as computed.
        pub cartons: Option<u32>,
        /// By whom and when it was last changed.
        pub changed: Option<Stamp>,
    }
}

wire! {
    /// All jobs, last changed first.
    pub struct JobList {
        /// One line each.
        pub jobs: Vec<JobCard>,
    }
}

request! {
    /// A new job.
    pub struct JobCreate {
        /// What the crew calls it.
        pub name: String,
        /// Whom it is for.
        pub client: String,
        /// Where it is.
        pub site: String,
        /// How lengths are typed and shown.
        pub units: Units,
    }
}

request! {
    /// Changes what is said of a job; what is left out stays.
    pub struct JobEdit {
        /// The job.
        pub job: String,
        /// What the crew calls it.
        #[serde(default)]
        #[ts(optional)]
        pub name: Option<String>,
        /// Whom it is for.
        #[serde(default)]
        #[ts(optional)]
        pub client: Option<String>,
        /// Where it is.
        #[serde(default)]
        #[ts(optional)]
        pub site: Option<String>,
        /// How lengths are typed and shown.
        #[serde(default)]
        #[ts(optional)]
        pub units: Option<Units>,
        /// Breakage in per cent of the plan's tiles, as typed; an empty text leaves it to the shop's rate.
        #[serde(default)]
        #[ts(optional)]
        pub breakage: Option<String>,
        /// Spare tiles in per cent of the plan's tiles, as typed; an empty text leaves it to the shop's rate.
        #[serde(default)]
        #[ts(optional)]
        pub attic: Option<String>,
    }
}

wire! {
    /// A rate and where it comes from.
    pub struct RateView {
        /// In per cent, such as `3` or `7.5`; `null` where nobody gave one.
        pub percent: Option<String>,
        /// `job`, `shop`, or `none`.
        pub from: String,
    }
}

wire! {
    /// One job.
    pub struct JobView {
        /// Its line in the list.
        pub card: JobCard,
        /// How lengths are typed and shown.
        pub units: Units,
        /// Its rooms in the order of the list.
        pub rooms: Vec<RoomCard>,
        /// How rooms join.
        pub passages: Vec<PassageView>,
        /// What is laid where.
        pub areas: Vec<AreaCard>,
        /// Its own snapshot of the products.
        pub products: Vec<ProductView>,
        /// What is added for breakage, in per cent of the plan's tiles.
        pub breakage: RateView,
        /// What is added for repairs in years to come, in per cent of the plan's tiles.
        pub attic: RateView,
        /// What undo would take back, in words; `null` if nothing.
        pub undo: Option<String>,
        /// What redo would do again, in words; `null` if nothing.
        pub redo: Option<String>,
        /// Where people said different things apart.
        pub disagreements: Vec<DisagreementView>,
        /// What was lost of the job on this device, and what is intact.
        pub problems: Vec<Problem>,
    }
}

wire! {
    /// A room in its job's list.
    pub struct RoomCard {
        /// The room.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// `consistent`, `recheck`, `loose`, `ambiguous`, `unsolvable` or `given`.
        pub verdict: String,
        /// Floor area in m².
        pub area_m2: Option<f64>,
        /// The same in the job's units.
        pub area_text: Option<String>,
        /// Its corners in mm, in its own frame.
        pub outline: Option<Vec<[f64; 2]>>,
        /// How many problems it has.
        pub problems: u32,
    }
}

wire! {
    /// A passage between openings of two rooms.
    pub struct PassageView {
        /// The passage.
        pub id: String,
        /// A room and its opening.
        pub a: (String, String),
        /// Another room and its opening.
        pub b: (String, String),
        /// How thick the wall is there.
        pub depth: Typed,
    }
}

wire! {
    /// An area: what is laid as one field.
    pub struct AreaCard {
        /// The area.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// Its rooms.
        pub rooms: Vec<String>,
        /// What is laid.
        pub product: String,
        /// Whether a plan of it was accepted.
        pub accepted: bool,
        /// Tiles of the accepted plan, as far as computed.
        pub tiles: Option<u32>,
        /// Cartons of the accepted plan, as far as computed.
        pub cartons: Option<u32>,
        /// What keeps it from being planned.
        pub problem: Option<String>,
    }
}

wire! {
    /// A product with the rules of its data sheet.
    pub struct ProductView {
        /// The product.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// Length of its face along the row.
        pub length: Typed,
        /// Width of its face across the row.
        pub width: Typed,
        /// Thickness with its rails.
        pub thickness: Option<Typed>,
        /// Joint between faces.
        pub joint: Typed,
        /// Gap kept along walls and fixed objects.
        pub edge_gap: Typed,
        /// Width that a cut turns to dust.
        pub kerf: Option<Typed>,
        /// Narrowest piece across the row.
        pub min_row_width: Option<Typed>,
        /// Shortest piece along the row.
        pub min_end_length: Option<Typed>,
        /// What is cut off beyond the gap so that a piece goes in.
        pub clearance: Option<Typed>,
        /// Thinnest neck that does not break.
        pub min_neck: Option<Typed>,
        /// Offsets between rows that are allowed.
        pub offsets: Vec<String>,
        /// Whether tiles lock together and lie the same way round.
        pub interlock: bool,
        /// How far the floor may run before a movement joint.
        pub max_run: Option<Typed>,
        /// What it asks besides.
        pub demands: DemandsView,
        /// Tiles in a carton.
        pub carton_tiles: Option<u32>,
    }
}

wire! {
    /// Something that people said differently without knowing of each other.
    pub struct DisagreementView {
        /// Its name within the job.
        pub id: String,
        /// What it is about, in words.
        pub what: String,
        /// In which room; `null` for the job itself.
        pub room: Option<String>,
        /// What was said.
        pub values: Vec<DisagreementValue>,
        /// The choice of the value that the room's other readings fit, or, where that is no question, of the one
        /// that shows until it is settled; `null` where the others do not decide it.
        pub suggestion: Option<String>,
        /// What the room's other readings say of it, in words; `null` where it is no distance.
        pub others: Option<String>,
    }
}

wire! {
    /// One side of a disagreement.
    pub struct DisagreementValue {
        /// What was said.
        pub value: String,
        /// By whom, and when.
        pub stamp: Stamp,
        /// What to give back to settle it this way.
        pub choice: String,
    }
}

request! {
    /// Settles a disagreement, in a room or in the job.
    pub struct Settle {
        /// The job.
        pub job: String,
        /// The choice of one of its values.
        pub choice: String,
    }
}

request! {
    /// A passage, new or changed.
    pub struct PassageSet {
        /// The job.
        pub job: String,
        /// The passage that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// A room and its opening.
        pub a: (String, String),
        /// Another room and its opening.
        pub b: (String, String),
        /// How thick the wall is there, as typed.
        pub depth: String,
    }
}

request! {
    /// An area, new or changed.
    pub struct AreaSet {
        /// The job.
        pub job: String,
        /// The area that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// What people call it.
        pub name: String,
        /// Its rooms.
        pub rooms: Vec<String>,
        /// What is laid.
        pub product: String,
    }
}

request! {
    /// A product, new or changed.
    pub struct ProductSet {
        /// The job.
        pub job: String,
        /// Everything about it.
        pub product: ProductTyped,
    }
}

request! {
    /// A product as typed. An empty text is no answer.
    pub struct ProductTyped {
        /// The product that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// What people call it.
        pub name: String,
        /// Length of its face along the row.
        pub length: String,
        /// Width of its face across the row.
        pub width: String,
        /// Thickness with its rails.
        pub thickness: String,
        /// Joint between faces.
        pub joint: String,
        /// Gap kept along walls and fixed objects.
        pub edge_gap: String,
        /// Width that a cut turns to dust.
        pub kerf: String,
        /// Offsets between rows that are allowed, such as `1/3`.
        pub offsets: Vec<String>,
        /// Whether tiles lock together and lie the same way round.
        pub interlock: bool,
        /// Narrowest piece across the row.
        pub min_row_width: String,
        /// Shortest piece along the row.
        pub min_end_length: String,
        /// What is cut off beyond the gap so that a piece goes in; left out for as it was.
        #[serde(default)]
        #[ts(optional)]
        pub clearance: Option<String>,
        /// Thinnest neck that does not break; left out for as it was.
        #[serde(default)]
        #[ts(optional)]
        pub min_neck: Option<String>,
        /// How far the floor may run before a movement joint; left out for as it was.
        #[serde(default)]
        #[ts(optional)]
        pub max_run: Option<String>,
        /// What it asks besides; left out for as it was.
        #[serde(default)]
        #[ts(optional)]
        pub demands: Option<DemandsTyped>,
        /// Tiles in a carton.
        pub carton_tiles: String,
    }
}

request! {
    /// A new room.
    pub struct RoomAdd {
        /// The job.
        pub job: String,
        /// What people call it.
        pub name: String,
        /// How many corners it has.
        pub corners: u32,
    }
}
