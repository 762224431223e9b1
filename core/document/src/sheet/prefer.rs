//! What a layout should keep to besides the rules: where to start, what to be centred on, where no short cut may show.

use drylay_geometry::CornerId;
use schemars::JsonSchema;
use serde::Serialize;

use super::fields::{Item, kind};
use super::{Extra, Measure, Problem, Sheet, measure, read};

/// What a layout should keep to.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Prefer {
    /// The wall to start from: the rows run along it, row 1 nearest to it.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "measure::as_texts_if")]
    #[schemars(with = "Option<[String; 2]>")]
    pub start: Option<[CornerId; 2]>,
    /// What the layout is centred on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub centre: Option<Centre>,
    /// No short cut in doorways.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doorways: Option<Doorways>,
    /// No short cut along the line of sight from the entrance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sight_line: Option<SightLine>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A place that rows, and if wished tiles too, are centred on: `at` a point, or `on` the middle of something.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Centre {
    /// Where it is, in plan coordinates of the area's first room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<[Measure; 2]>,
    /// A room of the area, and an opening, a keep-out or a located thing of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub on: Option<[String; 2]>,
    /// What of the rows lies there.
    #[schemars(default)]
    pub rows: Middle,
    /// What of the tiles of that row lies there; left out for wherever it is best.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tiles: Option<Middle>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What lies at a place that a layout is centred on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Middle {
    /// Whichever makes the better plan.
    #[default]
    Best,
    /// The middle of a joint.
    Joint,
    /// The middle of a tile.
    Tile,
}

/// Openings in which no piece should be cut short.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Doorways {
    /// Neither extent of a piece there should be less, as far as a whole tile has more.
    pub least: Measure,
    /// Rooms of the area and their openings; every opening of the area if left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub at: Vec<[String; 2]>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The line of sight of who comes in: from the middle of an opening, square to its wall, as far as the floor goes on.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct SightLine {
    /// A room of the area and the opening through which one comes in.
    pub from: [String; 2],
    /// Neither extent of a piece on the line should be less, as far as a whole tile has more.
    pub least: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn prefer(item: Item<'_>) -> Option<Prefer> {
    let mut f = item.object()?;
    let (start, centre) = (f.optional("start", read::wall), f.optional("centre", centre));
    let (doorways, sight_line) = (f.optional("doorways", doorways), f.optional("sight_line", sight_line));
    Some(Prefer { start, centre, doorways, sight_line, extra: f.rest() })
}

fn centre(item: Item<'_>) -> Option<Centre> {
    let place = item.place.clone();
    let mut f = item.object()?;
    let ways = usize::from(f.has("at")) + usize::from(f.has("on"));
    if ways != 1 {
        f.problem(Problem::new("layout.centre_how", place));
    }
    let (at, on) = (f.optional("at", kind::point), f.optional("on", pair));
    let (rows, tiles) = (f.optional("rows", middle).unwrap_or_default(), f.optional("tiles", middle));
    let extra = f.rest();
    Some(Centre { at, on, rows, tiles, extra })
}

fn middle(item: Item<'_>) -> Option<Middle> {
    item.choice(&[("best", Middle::Best), ("joint", Middle::Joint), ("tile", Middle::Tile)])
}

fn doorways(item: Item<'_>) -> Option<Doorways> {
    let mut f = item.object()?;
    let least = f.required("least", kind::positive);
    let at = f.optional("at", |i| i.list(pair)).unwrap_or_default();
    let extra = f.rest();
    Some(Doorways { least: least?, at, extra })
}

fn sight_line(item: Item<'_>) -> Option<SightLine> {
    let mut f = item.object()?;
    let (from, least) = (f.required("from", pair), f.required("least", kind::positive));
    let extra = f.rest();
    Some(SightLine { from: from?, least: least?, extra })
}

/// A room and something in it, by their names.
fn pair(item: Item<'_>) -> Option<[String; 2]> {
    item.array(kind::name)
}

/// What of the preferences leads nowhere.
pub(super) fn check(sheet: &Sheet, area: &super::Area, place: &str, problems: &mut Vec<Problem>) {
    let Some(prefer) = &area.layout.prefer else { return };
    let place = format!("{place}.layout.prefer");
    let doors = prefer.doorways.iter().flat_map(|d| d.at.iter().enumerate());
    let doors = doors.map(|(i, pair)| (pair, format!("{place}.doorways.at[{i}]"), false));
    let entrance = prefer.sight_line.iter().map(|s| (&s.from, format!("{place}.sight_line.from"), false));
    let feature = prefer.centre.iter().filter_map(|c| c.on.as_ref());
    let feature = feature.map(|on| (on, format!("{place}.centre.on"), true));
    for ([room, thing], at, anything) in doors.chain(entrance).chain(feature) {
        if !area.rooms.iter().any(|id| id.as_str() == room) {
            problems.push(Problem::new("layout.not_in_area", format!("{at}[0]")).with("name", room));
            continue;
        }
        let Some(in_room) = sheet.rooms.iter().find(|r| r.id.as_str() == room) else { continue };
        let opening = in_room.openings.iter().any(|o| o.id.as_str() == thing);
        let mut stands = in_room.keepouts.iter().map(|k| &k.id).chain(in_room.located.iter().map(|l| &l.id));
        let there = opening || (anything && stands.any(|id| id.as_str() == thing));
        if !there {
            let code = if anything { "layout.unknown_thing" } else { "sheet.unknown_opening" };
            let problem = Problem::new(code, format!("{at}[1]"));
            problems.push(problem.with("name", thing).with("room", room));
        }
    }
}
