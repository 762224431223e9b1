//! Issues of a plan: what was given out to be laid.

use super::{Stamp, wire};

wire! {
    /// The issues of an area's plan.
    pub struct IssueList {
        /// The area.
        pub area: String,
        /// Whether the plan as it stands can be issued: it is taken, and was not issued as it is.
        pub can_issue: bool,
        /// The issues, the last one first.
        pub issues: Vec<IssueView>,
    }
}

wire! {
    /// An issue: it is what its bytes are; the number is a label.
    pub struct IssueView {
        /// The hash of its bytes.
        pub id: String,
        /// The beginning of the hash, by which two with one number are told apart.
        pub short: String,
        /// Its number.
        pub number: u32,
        /// Whether another issue, made apart, bears the same number.
        pub number_shared: bool,
        /// Who issued it, and when.
        pub stamp: Stamp,
        /// Tiles it takes; `null` where its bytes are not on this device yet.
        pub tiles: Option<u32>,
        /// Whether the plan as it stands is this one, piece by piece.
        pub same: bool,
        /// What the plan as it stands has differently, in words.
        pub changes: Vec<String>,
    }
}
