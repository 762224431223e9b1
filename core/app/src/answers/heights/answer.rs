//! The answer of `drylay heights` as it is written.

use crate::answers::subfloor::{Finding, Standing, Topic};
use serde::Serialize;

/// The answer: one entry for each room that gets a floor.
#[derive(Debug, Serialize)]
pub struct HeightsAnswer {
    /// The rooms.
    pub rooms: Vec<RoomHeights>,
}

/// The heights of a room.
#[derive(Debug, Serialize)]
pub struct RoomHeights {
    /// The room.
    pub id: String,
    /// How it stands as a whole.
    pub verdict: Standing,
    /// Height of the finished floor above the base, mm; absent where a thickness is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stack: Option<f64>,
    /// What it is made of, from the bottom.
    pub parts: Vec<StackPart>,
    /// The openings.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<OpeningHeights>,
    /// Things at a height.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fixtures: Vec<FixtureHeights>,
    /// What limits the stack most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<LimitOfStack>,
    /// What was found, most pressing first.
    pub findings: Vec<Finding>,
}

/// A part of a stack.
#[derive(Clone, Debug, Serialize)]
pub struct StackPart {
    /// What it is called.
    pub name: String,
    /// Its thickness, mm; absent where it is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness: Option<f64>,
}

/// What an opening needs.
#[derive(Debug, Serialize)]
pub struct OpeningHeights {
    /// Its name.
    pub id: String,
    /// `runs_through`, `t_strip`, `butt_carpet`, `ramp_or_end` or `end_strip`; absent while something is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub transition: Option<&'static str>,
    /// By how much the floor next door is higher, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rise: Option<f64>,
    /// Length of the strip: the opening's width, mm.
    pub length: f64,
    /// From the flooring to the stem of a T strip, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stem_gap: Option<f64>,
    /// How the change of level is got over where everybody must: `upright`, `bevel`, `old_threshold` or `ramp`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<&'static str>,
    /// Least run of bevel or ramp, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run: Option<f64>,
    /// Shortest ramp that a tight site allows, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tight_run: Option<f64>,
    /// How high jambs are undercut above the base, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jamb_cut: Option<f64>,
    /// Its door.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub door: Option<DoorHeights>,
}

/// What a door needs.
#[derive(Debug, Serialize)]
pub struct DoorHeights {
    /// What is cut off, mm.
    pub cut: f64,
    /// Whether that must be checked first.
    pub check_first: bool,
    /// Whether more would remain under a rated door than it may have.
    pub too_open: bool,
    /// The highest stack that it clears uncut, mm.
    pub clears: f64,
}

/// How a thing at a height comes out.
#[derive(Debug, Serialize)]
pub struct FixtureHeights {
    /// Its name.
    pub id: String,
    /// What it is.
    pub what: &'static str,
    /// Its height above the finished floor, mm.
    pub after: f64,
    /// By how much it is less than it must be, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub short: Option<f64>,
    /// By how much it is more than it may be, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over: Option<f64>,
    /// By how much a riser differs too much from the others, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uneven: Option<f64>,
}

/// What limits a stack.
#[derive(Debug, Serialize)]
pub struct LimitOfStack {
    /// `door` or `fixture`.
    pub topic: Topic,
    /// Which.
    pub of: String,
    /// The highest stack that it bears, mm.
    pub most: f64,
    /// How much is left, mm; less than nothing where the stack is too high.
    pub spare: f64,
}
