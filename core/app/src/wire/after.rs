//! The day's note, and what is asked years later: the call-back on one tile.

use super::{CautionView, Stamp, request, wire};

wire! {
    /// The note of a day.
    pub struct DayNoteView {
        /// The day, as year-month-day.
        pub day: String,
        /// What the marks of that day come to, in words.
        pub told: String,
        /// What was kept as the day's note; empty where nothing was.
        pub kept: String,
        /// Who kept it, and when.
        pub stamp: Option<Stamp>,
    }
}

wire! {
    /// What is known of a tile that somebody calls back for.
    pub struct CallbackView {
        /// Row and place.
        pub piece: String,
        /// What it is and what was under it, in words, each a line.
        pub known: Vec<String>,
        /// What may have caused it, the likeliest first.
        pub causes: Vec<CauseView>,
        /// What is opened or measured first, in words.
        pub first: String,
        /// How one tile is replaced, in order.
        pub steps: Vec<String>,
        /// Who says so.
        pub steps_source: String,
        /// What to mind.
        pub cautions: Vec<CautionView>,
        /// What was reported and done here before, the latest first.
        pub records: Vec<CallbackRecord>,
    }
}

wire! {
    /// Something that may have caused it.
    pub struct CauseView {
        /// What, in words.
        pub words: String,
        /// What speaks for it in this job, in words; empty where nothing does.
        pub because: String,
    }
}

wire! {
    /// A call-back that was written down.
    pub struct CallbackRecord {
        /// The entry.
        pub id: String,
        /// What was reported.
        pub reported: String,
        /// What was found; may be empty.
        pub found: String,
        /// What was done; may be empty.
        pub done: String,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Asks for the note of a day.
    pub struct DayNoteAsk {
        /// The job.
        pub job: String,
        /// The day, as year-month-day; left out for today.
        #[serde(default)]
        #[ts(optional)]
        pub day: Option<String>,
    }
}

request! {
    /// Keeps the note of a day.
    pub struct DayNoteKeep {
        /// The job.
        pub job: String,
        /// The day, as year-month-day.
        pub day: String,
        /// The words.
        pub words: String,
    }
}

request! {
    /// Asks what is known of a tile.
    pub struct CallbackAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// Row and place.
        pub piece: String,
        /// `loose`, `cracked`, `lip`, `gap` or `hollow`.
        pub symptom: String,
    }
}

request! {
    /// Writes a call-back down, or what was found and done.
    pub struct CallbackSet {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// Row and place.
        pub piece: String,
        /// `loose`, `cracked`, `lip`, `gap` or `hollow`.
        pub symptom: String,
        /// The entry that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// What was reported.
        pub reported: String,
        /// What was found; may be empty.
        pub found: String,
        /// What was done; may be empty.
        pub done: String,
    }
}
