//! Photos and notes: what is taken in, what it is pinned to, and what is drawn upon it.

use super::{Stamp, request, wire};
use crate::Problem;

request! {
    /// What a photo or a note is pinned to.
    pub struct PinAsk {
        /// `job`, `room`, `wall`, `reading`, `opening` or `piece`.
        pub what: String,
        /// The room; left out for the job and for pieces.
        #[serde(default)]
        #[ts(optional)]
        pub room: Option<String>,
        /// A wall's left corner by its letter, seen from inside; a reading by both letters, `A-C`; an opening's id;
        /// a piece as `area/piece`.
        #[serde(default)]
        #[ts(optional)]
        pub item: Option<String>,
    }
}

wire! {
    /// What a photo or a note is pinned to.
    pub struct PinView {
        /// `job`, `room`, `wall`, `reading`, `opening` or `piece`.
        pub what: String,
        /// The room.
        pub room: Option<String>,
        /// As in the request.
        pub item: Option<String>,
        /// The same in words: `Wall A–B, Hall`.
        pub words: String,
    }
}

request! {
    /// Takes photos in, each by its path on this device, as a task. Its answer is a `PhotosTaken`.
    pub struct PhotosAdd {
        /// The job.
        pub job: String,
        /// The files.
        pub paths: Vec<String>,
        /// What they are pinned to.
        pub pin: PinAsk,
    }
}

wire! {
    /// What became of the photos that were to be taken in.
    pub struct PhotosTaken {
        /// How many were taken in.
        pub added: u32,
        /// How many the job had already.
        pub known: u32,
        /// Why the others were not, each with its file.
        pub refused: Vec<Problem>,
    }
}

wire! {
    /// A job's photos and notes, and the room they take on this device.
    pub struct PhotoList {
        /// Photos, the latest taken first.
        pub photos: Vec<PhotoView>,
        /// Notes, the latest first.
        pub notes: Vec<NoteView>,
        /// All photos of all jobs on this device, in bytes.
        pub stored_bytes: f64,
        /// The same in words.
        pub stored_text: String,
        /// What to do before the device is full, when little room is left on it.
        pub space_warning: Option<String>,
    }
}

wire! {
    /// A photo. Its picture is `HASH`, smaller ones are `HASH/medium` (1600 px) and `HASH/small` (320 px), each by
    /// the picture's scheme.
    pub struct PhotoView {
        /// The photo's record.
        pub id: String,
        /// The original's content hash.
        pub hash: String,
        /// Width in pixels, upright.
        pub width: Option<u32>,
        /// Height in pixels, upright.
        pub height: Option<u32>,
        /// When it was taken by the camera's clock, in UTC.
        pub taken: Option<String>,
        /// Size of the original in bytes.
        pub bytes: f64,
        /// What is to be seen.
        pub caption: String,
        /// What it is pinned to.
        pub pin: Option<PinView>,
        /// Whether the picture is on this device.
        pub here: bool,
        /// What is drawn upon it.
        pub marks: Vec<PhotoMarkView>,
        /// By whom and when it was taken in.
        pub stamp: Stamp,
    }
}

wire! {
    /// Something drawn upon a photo, which itself stays as it was.
    pub struct PhotoMarkView {
        /// The mark.
        pub id: String,
        /// `arrow`, `figure`, `words` or `line`.
        pub what: String,
        /// Its points in ten-thousandths of the upright photo's width and height.
        pub points: Vec<(i32, i32)>,
        /// Its words or figure.
        pub words: String,
    }
}

wire! {
    /// A note.
    pub struct NoteView {
        /// The note.
        pub id: String,
        /// Its words.
        pub words: String,
        /// What it is pinned to.
        pub pin: Option<PinView>,
        /// By whom and when its words were last changed.
        pub stamp: Stamp,
    }
}

request! {
    /// Changes what is said of a photo; what is left out stays.
    pub struct PhotoEdit {
        /// The job.
        pub job: String,
        /// The photo.
        pub photo: String,
        /// What is to be seen.
        #[serde(default)]
        #[ts(optional)]
        pub caption: Option<String>,
        /// What it is pinned to.
        #[serde(default)]
        #[ts(optional)]
        pub pin: Option<PinAsk>,
    }
}

request! {
    /// Draws something upon a photo.
    pub struct PhotoMarkAdd {
        /// The job.
        pub job: String,
        /// The photo.
        pub photo: String,
        /// `arrow`, `figure`, `words` or `line`.
        pub what: String,
        /// Its points in ten-thousandths of the upright photo's width and height.
        pub points: Vec<(i32, i32)>,
        /// Its words or figure.
        pub words: String,
    }
}

request! {
    /// A note, new or changed.
    pub struct NoteSet {
        /// The job.
        pub job: String,
        /// The note that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// Its words.
        pub words: String,
        /// What it is pinned to.
        pub pin: PinAsk,
    }
}
