//! What an answer says of a plan whose rooms may be a little off.

use super::area::PlannedArea;
use drylay_plan::Rule;
use drylay_plan::doubt::{Cause, Change, What};
use serde::Serialize;

/// What changes in the plan if the rooms are one and two standard deviations off.
#[derive(Debug, Serialize)]
pub struct DoubtAnswer {
    /// How many directions were tried, each both ways.
    pub ways: usize,
    /// The greatest standard deviation among them.
    pub largest_sd: f64,
    /// What changes, each with the smallest number of standard deviations at which it does.
    pub changes: Vec<ChangeAnswer>,
}

/// Something that changes.
#[derive(Debug, Serialize)]
pub struct ChangeAnswer {
    /// `appears`, `vanishes`, `breaks` or `mends`.
    pub change: &'static str,
    /// Row and place of the piece; of one that appears, in the plan in which it does.
    pub piece: String,
    /// At how many standard deviations: 1 or 2.
    pub sds: u8,
    /// The room that is off.
    pub room: String,
    /// The wall that is off, by its corners; absent where all corners are off together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<[String; 2]>,
    /// By how much it is off, positive outwards.
    pub by: f64,
    /// The rule that is then broken, or kept again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rule: Option<&'static str>,
    /// What the piece then has, where it breaks a rule.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// What the rule asks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
}

impl DoubtAnswer {
    /// Writes what is in doubt of a planned area; `None` where no room was surveyed.
    pub(crate) fn of(area: &PlannedArea) -> Option<Self> {
        let doubt = area.doubt.as_ref()?;
        let changes = doubt.changes.iter().map(|c| change(area, c)).collect();
        Some(Self { ways: doubt.ways, largest_sd: doubt.largest_sd, changes })
    }
}

fn change(area: &PlannedArea, c: &Change) -> ChangeAnswer {
    let (room, wall) = match c.cause {
        Cause::Wall(room, wall) => (room, Some(wall)),
        Cause::Shape(room) => (room, None),
    };
    let corners = area.field.rooms[room].outline.corners();
    let name = |i: usize| corners[i % corners.len()].id.to_string();
    let (rule, value, limit) = match c.what {
        What::Appears | What::Vanishes => (None, None, None),
        What::Breaks { rule, value, limit } => (Some(word(rule)), Some(value.mm()), Some(limit.mm())),
        What::Mends { rule } => (Some(word(rule)), None, None),
    };
    ChangeAnswer {
        change: match c.what {
            What::Appears => "appears",
            What::Vanishes => "vanishes",
            What::Breaks { .. } => "breaks",
            What::Mends { .. } => "mends",
        },
        piece: format!("{}-{}", c.row, c.place),
        sds: c.sds,
        room: area.rooms[room].to_string(),
        wall: wall.map(|w| [name(w), name(w + 1)]),
        by: c.by,
        rule,
        value,
        limit,
    }
}

fn word(rule: Rule) -> &'static str {
    if rule == Rule::Narrow { "narrow" } else { "short" }
}
