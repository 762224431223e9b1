//! The hand-over file: a job on a card or in a messenger, where there is no network.

use super::{JobCard, Stamp, request, wire};

request! {
    /// Writes a job into a hand-over file.
    pub struct HandOverWrite {
        /// The job.
        pub job: String,
        /// The file.
        pub path: String,
        /// Words without which nobody can read it.
        #[serde(default)]
        #[ts(optional)]
        pub passphrase: Option<String>,
        /// Whether the photos go along; they do if it is left out. Issued plans and signed quotes always do.
        #[serde(default)]
        #[ts(optional)]
        pub photos: Option<bool>,
    }
}

request! {
    /// Takes a hand-over file in.
    pub struct HandOverRead {
        /// The file.
        pub path: String,
        /// The words it was locked with, if it was.
        #[serde(default)]
        #[ts(optional)]
        pub passphrase: Option<String>,
    }
}

wire! {
    /// A hand-over file that was taken in.
    pub struct HandOverDone {
        /// Who wrote it, and when.
        pub from: Stamp,
        /// Whether it was signed, and by whom, in words.
        pub signed_words: String,
        /// Whether a device of this crew signed it.
        pub of_crew: bool,
        /// How many photos and papers came along.
        pub files: u32,
        /// The jobs that it held.
        pub jobs: Vec<JobCard>,
        /// How many documents build on changes that are not here yet; they show once those come.
        pub waiting: u32,
    }
}

request! {
    /// Takes in a file that came from elsewhere, whichever of ours it is.
    pub struct FileBring {
        /// The file.
        pub path: String,
        /// The words it was locked with, if it was.
        #[serde(default)]
        #[ts(optional)]
        pub passphrase: Option<String>,
    }
}

wire! {
    /// A file that was taken in.
    pub struct FileBrought {
        /// The jobs that it held.
        pub jobs: Vec<JobCard>,
        /// Of a hand-over, whether it was signed, and by whom, in words; empty for a job sheet.
        pub words: String,
    }
}
