//! Drafts, history, the device itself, and reading a length while it is typed.

use super::{Stamp, Units, request, wire};
use std::collections::BTreeMap;

request! {
    /// A length as far as it is typed.
    pub struct LengthAsk {
        /// The text.
        pub text: String,
        /// The keypad it is typed on.
        pub units: Units,
        /// Whether it is a distance read in a room, where a meter may be what types.
        #[serde(default)]
        #[ts(optional, as = "Option<bool>")]
        pub reading: bool,
    }
}

request! {
    /// What is being typed somewhere.
    pub struct DraftPut {
        /// Where.
        pub key: String,
        /// The text so far; an empty one is forgotten.
        pub text: String,
    }
}

wire! {
    /// What was being typed when the app was closed or killed.
    pub struct Drafts {
        /// Text by key.
        pub drafts: BTreeMap<String, String>,
        /// The language that was chosen for this device (ISO 639-1): the screens speak it too. None before anybody chose.
        pub language: Option<String>,
    }
}

request! {
    /// Asks for what happened.
    pub struct HistoryAsk {
        /// In which job.
        pub job: String,
        /// In which of its rooms; by default in all and in the job itself.
        #[serde(default)]
        #[ts(optional)]
        pub room: Option<String>,
        /// How many entries at most.
        pub limit: u32,
    }
}

wire! {
    /// What happened, latest first by the clocks of those who did it.
    pub struct HistoryView {
        /// One for each thing said or done.
        pub entries: Vec<HistoryEntry>,
    }
}

wire! {
    /// One thing said or done.
    pub struct HistoryEntry {
        /// What, in words.
        pub words: String,
        /// By whom, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// This device.
    pub struct DeviceView {
        /// The person's name, as shown to the crew.
        pub name: String,
        /// What the store holds, in words.
        pub store_words: String,
        /// What its photos take, in words.
        pub photos_text: String,
        /// What to do before the device is full, when little room is left on it.
        pub space_warning: Option<String>,
        /// Whether the store was written by a newer program and can only be read.
        pub readonly: bool,
        /// The program's version.
        pub version: String,
        /// The report of the last crash.
        pub last_report: Option<String>,
    }
}

request! {
    /// A new name for the person at this device.
    pub struct DeviceRename {
        /// The name.
        pub name: String,
    }
}

request! {
    /// Another language for this device.
    pub struct DeviceSpeak {
        /// Its code by ISO 639-1.
        pub language: String,
    }
}

wire! {
    /// An anonymised copy of a job for a report, to be read before it is sent.
    pub struct ReportText {
        /// The copy.
        pub text: String,
    }
}

wire! {
    /// What a look over the whole store found.
    pub struct CheckView {
        /// Whether everything is intact.
        pub clean: bool,
        /// What was found, in words, line by line.
        pub lines: Vec<String>,
    }
}

request! {
    /// Where a backup goes.
    pub struct BackupAsk {
        /// The file.
        pub path: String,
    }
}

wire! {
    /// A backup that was written.
    pub struct BackupDone {
        /// Its size in bytes.
        pub bytes: u64,
    }
}
