//! The walk-through with the client, and the handover as it was signed.

use super::{CautionView, SignatureStrokes, Stamp, request, wire};

wire! {
    /// The walk-through of a job.
    pub struct WalkView {
        /// The rooms in their order, the whole job at the end.
        pub rooms: Vec<WalkRoom>,
        /// What is offered: what a step lacks, and notes that are not settled.
        pub ready: Vec<WalkReady>,
        /// What still waits: who may walk where, when.
        pub waits: Vec<String>,
        /// How the floor is cared for and what its warranty hangs on, each with who says so.
        pub care: Vec<CautionView>,
        /// What is not looked at or not mended, in words.
        pub words: String,
        /// Whose name is offered to sign: the client's.
        pub client: String,
        /// What was signed, the latest first.
        pub records: Vec<WalkRecord>,
    }
}

wire! {
    /// A room of the walk-through.
    pub struct WalkRoom {
        /// The room; empty for the whole job.
        pub room: String,
        /// What it is called.
        pub name: String,
        /// Whether it was looked at with the client.
        pub looked: bool,
        /// Who said so, and when.
        pub stamp: Option<Stamp>,
        /// Points about it.
        pub points: Vec<WalkPoint>,
    }
}

wire! {
    /// A point.
    pub struct WalkPoint {
        /// The entry.
        pub id: String,
        /// What was seen.
        pub words: String,
        /// Who mends it; may be empty.
        pub mender: String,
        /// Until which day, as year-month-day; may be empty.
        pub until: String,
        /// Whether that day is over and it is not mended.
        pub late: bool,
        /// Whether it is mended.
        pub settled: bool,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// Something that is offered as a point.
    pub struct WalkReady {
        /// What it is made from: give it back with the point.
        pub made_from: String,
        /// In words.
        pub words: String,
        /// The room it is about; empty for the job.
        pub room: String,
    }
}

wire! {
    /// A handover that was signed.
    pub struct WalkRecord {
        /// Its hash.
        pub id: String,
        /// The beginning of it.
        pub short: String,
        /// Its number.
        pub number: u32,
        /// Whether another one bears the same number.
        pub number_shared: bool,
        /// Who signed.
        pub signed_by: String,
        /// The signature, if one was drawn and is on this device.
        pub signature: Option<SignatureStrokes>,
        /// Points that were open, in words.
        pub open_words: String,
        /// Whether everything in it is the same now.
        pub same: bool,
        /// What changed since, in words; empty where nothing did or the bytes are not here.
        pub changed: String,
        /// Who froze it, and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Writes a point down, or changes one.
    pub struct WalkSet {
        /// The job.
        pub job: String,
        /// The entry; absent for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// The room; empty for the job.
        pub room: String,
        /// What was seen.
        pub words: String,
        /// Who mends it; may be empty.
        pub mender: String,
        /// Until which day; may be empty.
        pub until: String,
        /// Whether it is mended.
        pub settled: bool,
        /// What it is made from; empty for what was seen on the walk.
        pub made_from: String,
    }
}

request! {
    /// Says that a room was looked at with the client, or that it was not.
    pub struct WalkLooked {
        /// The job.
        pub job: String,
        /// The room; empty for the job.
        pub room: String,
        /// Whether it was looked at.
        pub looked: bool,
    }
}

request! {
    /// Freezes the handover as it stands, and closes its step.
    pub struct WalkSign {
        /// The job.
        pub job: String,
        /// Who signs, by a name that is typed.
        pub signed_by: String,
        /// The signature, if one was drawn.
        #[serde(default)]
        #[ts(optional)]
        pub signature: Option<SignatureStrokes>,
    }
}
