//! Papers: which a job can give out, what they lack, and those that were made.

use super::{Stamp, request, wire};
use serde::{Deserialize, Serialize};

wire! {
    /// The papers of a job.
    pub struct PapersView {
        /// Each that can be made, in the order of the work.
        pub papers: Vec<PaperLine>,
        /// The size of the sheets: `letter` or `a4`.
        pub size: String,
        /// What has to be worked out first, in words; making a paper works it out.
        pub waiting: Vec<String>,
        /// The folder that this job's papers are put into; absent where none can be made.
        pub folder: Option<String>,
        /// Whether a paper can be shown by `papers.show`.
        pub shows: bool,
    }
}

wire! {
    /// A paper of a job.
    pub struct PaperLine {
        /// Which: `quote`, `order`, `setting-out`, `cuts`, `flatness`, `photos`, `handover`, or `lists` for plans as
        /// drawings and lists as tables.
        pub kind: String,
        /// What it is called.
        pub name: String,
        /// What stands on it.
        pub about: String,
        /// Why it cannot be made; it can where there is nothing.
        pub lacks: Vec<PaperRemark>,
        /// What it goes without.
        pub notes: Vec<PaperRemark>,
        /// The last that was made on this device and is still there.
        pub made: Option<PaperMade>,
    }
}

wire! {
    /// Something to be said of a paper.
    pub struct PaperRemark {
        /// In words.
        pub words: String,
        /// Where it is put right, as the part of a place behind the job; empty for the job itself.
        pub origin: Option<String>,
    }
}

wire! {
    /// A paper that was made.
    pub struct PaperMade {
        /// Its files.
        pub files: Vec<PaperFileView>,
        /// When, on this device.
        pub stamp: Stamp,
        /// Whether it would be the same if it were made now, but for the day on it.
        pub same: bool,
    }
}

wire! {
    /// A file of a paper. Its bytes are at `JOB/NAME` by the scheme of papers.
    pub struct PaperFileView {
        /// Its name.
        pub name: String,
        /// Where it lies.
        pub path: String,
        /// How large it is, in words.
        pub size_text: String,
    }
}

request! {
    /// Makes papers as a task, and puts them into the job's folder. Its answer is a `PapersView`.
    pub struct PapersMake {
        /// The job.
        pub job: String,
        /// Which; all that can be made if there are none.
        pub kinds: Vec<String>,
    }
}

request! {
    /// Chooses the size of a job's papers on this device.
    pub struct PapersSize {
        /// The job.
        pub job: String,
        /// `letter` or `a4`.
        pub size: String,
    }
}

request! {
    /// Shows a paper with the system's own program.
    pub struct PapersShow {
        /// The job.
        pub job: String,
        /// The name of its file.
        pub name: String,
    }
}

/// A signature as it was drawn: places in mm from the upper left corner of the field.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, ts_rs::TS)]
#[serde(deny_unknown_fields)]
#[ts(export)]
pub struct SignatureStrokes {
    /// The field's width, mm.
    pub width: f64,
    /// The field's height, mm.
    pub height: f64,
    /// The strokes, each with its places in order.
    pub strokes: Vec<Vec<[f64; 2]>>,
}
