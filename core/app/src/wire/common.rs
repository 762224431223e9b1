//! What many answers hold: who and when, lengths with their text, rings.

use super::{request, wire};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// How lengths are typed, shown and marked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "lowercase")]
#[ts(export)]
pub enum Units {
    /// Feet, inches and sixteenths.
    Imperial,
    /// Inches and sixteenths, without feet.
    Inches,
    /// Millimetres.
    Metric,
}

request! {
    /// A request that says nothing.
    #[derive(Default)]
    pub struct Nothing {}
}

wire! {
    /// An answer that says no more than that it was done.
    pub struct Done {}
}

wire! {
    /// Who and when.
    pub struct Stamp {
        /// The person's name.
        pub by: String,
        /// When, in UTC as ISO 8601 writes it, by the clock of that person's device.
        pub at: String,
        /// The zone of that clock, in minutes east of Greenwich.
        pub zone_minutes: i16,
    }
}

wire! {
    /// A length with its text.
    pub struct Typed {
        /// As typed, or in the job's notation.
        pub text: String,
        /// In mm.
        pub mm: f64,
    }
}

wire! {
    /// Closed rings in mm, flat: x0, y0, x1, y1, ….
    #[derive(Default)]
    pub struct Rings {
        /// Around the outside, clockwise on the page.
        pub outer: Vec<f64>,
        /// Around holes.
        pub holes: Vec<Vec<f64>>,
    }
}

request! {
    /// Names a job.
    pub struct OfJob {
        /// The job.
        pub job: String,
    }
}

request! {
    /// Names an entry of a job.
    pub struct OfJobItem {
        /// The job.
        pub job: String,
        /// The entry.
        pub id: String,
    }
}

request! {
    /// Names a room of a job.
    pub struct OfRoom {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
    }
}
