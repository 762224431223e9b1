//! The bytes of an issued plan, and what differs between one and the plan as it stands.
//!
//! An issue holds the sheet it was made from, the answer as `drylay plan` writes it, and what was known of base and heights
//! then: people mark pieces of *that*
//! plan as laid, so its pieces are read from its bytes and never worked out again.

use crate::Problem;
use crate::answers::{Answer, PlanArea, PlannedArea, heights, subfloor};
use crate::wire::Units;
use crate::words::say;
use drylay_document::sheet::Sheet;
use drylay_geometry::Length;
use serde::Serialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The version of these bytes.
pub(crate) const VERSION: u32 = 1;

/// A cut that moved by less than this, in mm, is the same cut to a saw.
const SAME_CUT: f64 = 0.05;

/// The most names that a line tells one by one.
const MOST_NAMES: usize = 8;

/// The bytes of an issue: the same for the same sheet and choice on every device.
pub(crate) fn bytes(of: &Sheet, planned: &PlannedArea) -> Result<Vec<u8>, Problem> {
    let internal = |error: serde_json::Error| Problem::internal(&error.to_string());
    let sheet: Value = serde_json::from_str(&of.write()).map_err(internal)?;
    let plan = serde_json::to_value(PlanArea::of(planned)).map_err(internal)?;
    let (subfloor, heights) = (ground(of, planned, subfloor)?, ground(of, planned, heights)?);
    let whole = json!({ "drylay_issue": VERSION, "what": "plan", "sheet": sheet, "plan": plan,
        "subfloor": subfloor, "heights": heights });
    serde_json::to_vec(&whole).map_err(internal)
}

/// What is known of the planned rooms' base or heights when it is given out: nothing where the sheet cannot say.
fn ground<T: Serialize>(
    sheet: &Sheet,
    planned: &PlannedArea,
    answer: fn(&Sheet) -> Answer<T>,
) -> Result<Value, Problem> {
    let Ok(answer) = answer(sheet) else { return Ok(Value::Null) };
    let mut value = serde_json::to_value(answer).map_err(|error| Problem::internal(&error.to_string()))?;
    if let Some(rooms) = value["rooms"].as_array_mut() {
        rooms.retain(|room| planned.rooms.iter().any(|id| room["id"] == id.as_str()));
    }
    Ok(value)
}

/// An issue read back, or the plan as it stands in the same form.
#[derive(Debug)]
pub(crate) struct Issued {
    plan: Value,
}

impl Issued {
    /// Reads the bytes; `None` if they are of a newer program or damaged.
    pub(crate) fn read(bytes: &[u8]) -> Option<Self> {
        let mut whole: Value = serde_json::from_slice(bytes).ok()?;
        let known = whole["drylay_issue"].as_u64().is_some_and(|version| version <= u64::from(VERSION));
        known.then(|| Self { plan: whole["plan"].take() })
    }

    /// Tiles that it takes.
    pub(crate) fn tiles(&self) -> Option<u32> {
        self.plan["tiles"].as_u64().and_then(|n| u32::try_from(n).ok())
    }

    fn pieces(&self) -> BTreeMap<&str, &Value> {
        let pieces = self.plan["pieces"].as_array().map_or(&[][..], Vec::as_slice);
        pieces.iter().filter_map(|piece| Some((piece["id"].as_str()?, piece))).collect()
    }

    /// What `now` has differently, in words; nothing if it is the same piece by piece.
    pub(crate) fn changes(&self, now: &Self, units: Units) -> Vec<String> {
        let (before, after) = (self.pieces(), now.pieces());
        let missing = |from: &BTreeMap<&str, &Value>, of: &BTreeMap<&str, &Value>| -> Vec<String> {
            of.keys().filter(|id| !from.contains_key(*id)).map(|id| (*id).to_owned()).collect()
        };
        let both = || after.iter().filter_map(|(id, piece)| Some((*id, *before.get(id)?, *piece)));
        let cut = both().filter(|(_, old, new)| !same_cut(old, new));
        let lots = both().filter(|(_, old, new)| same_cut(old, new) && old["from"] != new["from"]);
        let names = |of: &mut dyn Iterator<Item = (&str, &Value, &Value)>| -> Vec<String> {
            of.map(|(id, ..)| id.to_owned()).collect()
        };
        let (cut, lots) = (names(&mut cut.into_iter()), names(&mut lots.into_iter()));
        let mut said = self.figures(now, units);
        said.extend(line("issue.cut", &cut));
        said.extend(line("issue.new", &missing(&before, &after)));
        said.extend(line("issue.gone", &missing(&after, &before)));
        said.extend(line("issue.from", &lots));
        said
    }

    fn figures(&self, now: &Self, units: Units) -> Vec<String> {
        let mut said = Vec::new();
        if let (Some(before), Some(after)) = (self.tiles(), now.tiles())
            && before != after
        {
            said.push(say("issue.tiles", &[("before", &before.to_string()), ("now", &after.to_string())]));
        }
        for (code, field) in [("issue.first_row", "first_row"), ("issue.last_row", "last_row")] {
            let text = |of: &Value| {
                let mm = of["measures"][field].as_f64()?;
                Some(units.exact(Length::from_mm_f64(mm)?))
            };
            if let (Some(before), Some(after)) = (text(&self.plan), text(&now.plan))
                && before != after
            {
                said.push(say(code, &[("before", &before), ("now", &after)]));
            }
        }
        said
    }
}

/// One line that names some pieces; nothing for none.
fn line(code: &str, ids: &[String]) -> Option<String> {
    let first = ids.iter().take(MOST_NAMES).map(String::as_str).collect::<Vec<_>>().join(", ");
    let names = match ids.len().saturating_sub(MOST_NAMES) {
        0 => first,
        more => say("issue.and_more", &[("names", &first), ("more", &more.to_string())]),
    };
    (!ids.is_empty()).then(|| say(code, &[("count", &ids.len().to_string()), ("names", &names)]))
}

fn same_cut(one: &Value, other: &Value) -> bool {
    let near = |a: &Value, b: &Value| match (a.as_f64(), b.as_f64()) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_CUT,
        _ => false,
    };
    let points = |of: &Value| of["on_tile"].as_array().cloned().unwrap_or_default();
    let (a, b) = (points(one), points(other));
    let holes = one["on_tile_holes"] == other["on_tile_holes"];
    holes && a.len() == b.len() && a.iter().zip(&b).all(|(p, q)| near(&p[0], &q[0]) && near(&p[1], &q[1]))
}
