//! The work itself: stages, pieces and rows, lots, waiting sections, time, notes, call-backs.

use drylay_geometry::ItemId;

use super::Pin;
use crate::entry::entry;
use crate::ids::ContentHash;
use crate::stored::{At, Decimal, TypedLength, words};

entry! {
    /// A note, pinned or for the day.
    Thing Note in notes {
        /// The words.
        words: String,
        /// What it is pinned to.
        pin: Option<Pin>,
        /// The day it is about, as year-month-day.
        day: Option<String>,
    }
}

words! {
    /// The stages of a job.
    StageKind {
        /// Taking up what lies there.
        Demolition = "demolition",
        /// Filling, grinding, fixing.
        Prep = "prep",
        /// The product lies in the room to take its climate.
        Acclimatise = "acclimatise",
        /// Underlayment.
        Underlay = "underlay",
        /// Laying.
        Lay = "lay",
        /// Grouting.
        Grout = "grout",
        /// Trim, transitions, resetting what was moved.
        Trim = "trim",
        /// Handing over.
        Handover = "handover",
    }
}

entry! {
    /// A stage: when it began and ended, by the clock of whoever said so.
    Thing Stage in stages {
        /// Which.
        stage: StageKind,
        /// The room, where it is for one.
        room: Option<ItemId>,
        /// When it began, in ms since 1970.
        began_ms: Option<i64>,
        /// When it was finished, in ms since 1970.
        finished_ms: Option<i64>,
    }
}

entry! {
    /// A gate that was passed though something was missing.
    Record GatePass in gates {
        /// The stage it leads to.
        stage: StageKind,
        /// What was missing, as a code of the message catalogue.
        missing: String,
        /// The reason given.
        reason: String,
    }
}

entry! {
    /// A delivery.
    Thing Delivery in deliveries {
        /// What came.
        product: ItemId,
        /// How many packs.
        packs: i64,
        /// The lot or shade on the packs.
        lot: Option<String>,
        /// When, in ms since 1970.
        arrived_ms: Option<i64>,
        /// Where it is stored.
        stored: Option<String>,
    }
}

words! {
    /// What became of a piece.
    PieceState {
        /// Cut.
        Cut = "cut",
        /// Laid.
        Laid = "laid",
        /// Taken up again.
        TakenUp = "taken_up",
        /// Broken or spoilt.
        Spoilt = "spoilt",
    }
}

entry! {
    /// Pieces of an issued plan marked in one tap: one, a row, or up to here.
    Record PieceMark in pieces {
        /// The plan: the hash of its frozen record.
        plan: ContentHash,
        /// The area.
        area: ItemId,
        /// The pieces' ids in that plan.
        pieces: Vec<String>,
        /// What became of them.
        state: PieceState,
        /// The earlier marks that it takes the place of, as far as it names the same pieces: those that whoever marked
        /// had before them. A mark made apart is not among them and goes on standing beside it.
        after: Vec<ItemId>,
    }
}

entry! {
    /// Where a row lies as measured.
    Record RowMark in rows {
        /// The area.
        area: ItemId,
        /// The row.
        row: i64,
        /// Distance of its far edge from the start line at the row's start.
        at_start: TypedLength,
        /// The same at its end.
        at_end: Option<TypedLength>,
    }
}

entry! {
    /// A gap measured for a piece that could not be cut ahead.
    Record CutMark in cuts {
        /// The plan.
        plan: ContentHash,
        /// The piece.
        piece: String,
        /// The measured gap on its shorter side.
        gap: TypedLength,
        /// The gap on its other side.
        gap_other: Option<TypedLength>,
    }
}

words! {
    /// What is wrong.
    ProblemKind {
        /// A chipped interlock.
        Chipped = "chipped",
        /// An edge higher than its neighbour's.
        Lippage = "lippage",
        /// A tile of another shade.
        Shade = "shade",
        /// A damaged carton.
        Carton = "carton",
        /// Anything else.
        Other = "other",
    }
}

entry! {
    /// A problem noted where it is.
    Thing Problem in problems {
        /// What is wrong.
        what: ProblemKind,
        /// Where.
        pin: Option<Pin>,
        /// A measure of it.
        measure: Option<TypedLength>,
        /// In words.
        words: Option<String>,
        /// Whether it is settled.
        settled: Option<bool>,
    }
}

entry! {
    /// A lot laid over a range of rows.
    Record LotUse in lots {
        /// The area.
        area: ItemId,
        /// The lot or shade on the packs.
        lot: String,
        /// From this row.
        first_row: i64,
        /// To this row.
        last_row: i64,
    }
}

words! {
    /// What a section waits for.
    WaitKind {
        /// Primer.
        Primer = "primer",
        /// Levelling compound.
        Compound = "compound",
        /// Adhesive.
        Adhesive = "adhesive",
        /// Grout.
        Grout = "grout",
        /// Sealant.
        Sealant = "sealant",
    }
}

entry! {
    /// A part of the floor that was done and now waits. Waiting is counted from when it was really done, by the
    /// clock and zone of the device that marked it.
    Thing Section in sections {
        /// What it waits for.
        what: WaitKind,
        /// The area or room.
        area: Option<ItemId>,
        /// Its outline in plan coordinates.
        outline: Vec<At>,
        /// The product.
        product: Option<ItemId>,
        /// When it was done, in ms since 1970.
        done_ms: Option<i64>,
        /// Temperature there in °C.
        celsius: Option<Decimal>,
    }
}

entry! {
    /// A step of a heated floor.
    Record HeatingStep in heating {
        /// What was set or read: `off`, `ramp`, `limit`.
        what: String,
        /// Temperature of floor or water in °C.
        celsius: Option<Decimal>,
        /// In words.
        words: Option<String>,
    }
}

entry! {
    /// Time spent, or being spent: a clock that runs has no minutes yet, and whoever stops it writes a correction of it.
    Record TimeSpent in time {
        /// On what: `lay`, `prep`, `grout`.
        task: String,
        /// How long, in minutes; nought while the clock runs.
        minutes: i64,
        /// By how many people.
        people: i64,
        /// The day, as year-month-day.
        day: Option<String>,
        /// How much was done in that time, in the rate's unit.
        done: Option<Decimal>,
        /// Whose time, where it is not that of whoever wrote it down.
        who: Option<String>,
        /// When the clock was started, in ms since 1970 by the device that started it; nothing for typed hours.
        began_ms: Option<i64>,
    }
}

entry! {
    /// Material used, broken or left over.
    Record Expense in expenses {
        /// The product.
        product: ItemId,
        /// Pieces or packs used.
        used: Option<Decimal>,
        /// Pieces broken.
        broken: Option<Decimal>,
        /// Pieces left with the client.
        left: Option<Decimal>,
        /// In words.
        words: Option<String>,
    }
}

entry! {
    /// A call-back.
    Thing Callback in callbacks {
        /// What was reported.
        reported: String,
        /// Where.
        pin: Option<Pin>,
        /// What was found.
        found: Option<String>,
        /// What was done.
        done: Option<String>,
        /// When it was done, in ms since 1970.
        done_ms: Option<i64>,
    }
}
