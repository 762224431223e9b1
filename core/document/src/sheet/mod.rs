//! The job sheet: one JSON file that a person can read and write by hand, and the product's public contract.
//!
//! [`Sheet::read`] takes the text apart field by field and reports every mistake with its place, not only the
//! first. What a person wrote is kept as written beside what it means ([`Measure`]), so a sheet that is read and
//! written again says the same. Fields that a newer program added are kept and named in a warning.
//!
//! The types below are the format: [`schema`] derives the published JSON Schema from them, and a test holds the
//! reader against that schema.

mod asked;
mod base;
mod call;
mod check;
mod compound;
mod dates;
mod fields;
mod heights;
mod laying;
mod level;
mod measure;
mod measured;
mod object;
mod prefer;
mod problem;
mod quote;
mod read;
mod supply;
#[cfg(test)]
mod tests;

pub use asked::{
    Chips, Demands, Engagement, GapRule, Instruction, JointRule, LongTongue, Made, Motion, MovementRule,
    OffsetRule, Overhang, RowRule, Rules, Setting, ShortTongue, TileEdges, Warmth, WidthAt,
};
pub use base::{
    BaseKind, BaseRules, BaseWork, BuildUp, CarryRule, DeflectionRule, Drying, HazardAnswer, HazardKind,
    HazardKnown, Layer, MoistureLimits, MoistureMethod, MoistureTest, OverRule, RoomBase, Seam, SeamKind,
    SheathingRule, Slab, Structure, Under, Underlay, UnderlayNeed, UnderlayRule, WoodOf,
};
pub use call::Call;
pub use compound::{Compound, FillWay, OverWood, Primer};
pub use dates::days;
pub use heights::{Door, Fixture, FixtureKind, NextDoor, NextFloor, StandsOn};
pub use laying::{CutClass, CutTool, LaidRow, MeasuredPitch, ToolUsed};
pub use level::{Correction, FlatnessLine, Level, RodReading, STANDARDS, Straightedge};
pub use measure::{Angle, Fraction, Measure, Written};
pub use measured::{
    FromCorner, Instrument, LineSide, Located, Measured, Size, StringOffset, Strung, Thing, Touched,
};
pub use prefer::{Centre, Doorways, Middle, Prefer, SightLine};
pub use problem::Problem;
pub use quote::{Hidden, Quote, QuoteLine, SignedAt, Task, Variant};
pub use supply::{Pack, Per, Supply, SupplyUse};

use drylay_geometry::{CornerId, ItemId, ProductId, RoomId};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};

/// Fields this program does not know, kept from a sheet of a newer minor version.
pub type Extra = Map<String, Value>;

/// The version of the format that this program reads and writes.
pub const VERSION: u32 = 1;
/// Additions to that version that this program knows.
pub const MINOR: u32 = 0;

/// The most rooms in a sheet.
pub const MOST_ROOMS: usize = 200;
/// The most corners of a room.
pub const MOST_CORNERS: usize = drylay_geometry::Outline::MOST_CORNERS;
/// The most readings in a sheet, tape and rod together.
pub const MOST_READINGS: usize = 5000;

/// A job sheet: products, rooms, how they join, and what is to be laid where. Lengths are numbers of millimetres
/// or texts in trade notation with a unit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Sheet {
    /// The version of the format: 1.
    pub drylay: u32,
    /// Counts additions within the version.
    #[serde(skip_serializing_if = "is_zero")]
    #[schemars(default)]
    pub minor: u32,
    /// What the job is called and where it is.
    #[schemars(default)]
    pub job: JobInfo,
    /// How results are marked out and shown.
    #[schemars(default)]
    pub units: Units,
    /// What the crew adds to a plan's tiles.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rates: Option<Rates>,
    /// The products that may be laid.
    #[schemars(default)]
    pub products: Vec<Product>,
    /// The compounds that floors may be filled with.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub compounds: Vec<Compound>,
    /// The underlayments that floors may lie on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub underlays: Vec<Underlay>,
    /// What is bought beside tiles and compounds.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub supplies: Vec<Supply>,
    /// The rooms.
    #[schemars(default)]
    pub rooms: Vec<Room>,
    /// Which openings of different rooms the floor runs through.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub passages: Vec<Passage>,
    /// What is laid in which rooms as one field.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub areas: Vec<Area>,
    /// What the quote says beside the plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub quote: Option<Quote>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What the job is called and where it is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct JobInfo {
    /// What the crew calls the job.
    #[schemars(default)]
    pub name: String,
    /// Whom it is for.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub client: String,
    /// Where it is.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub site: String,
    /// In which year the house was built.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub built: Option<u32>,
    /// The day on which laying begins, as year-month-day: readings must not be too old then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<String>,
    /// What was said on the first call.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub call: Option<Call>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What the crew adds to a plan's tiles, as shares of them. Nothing is added that is not said here.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Rates {
    /// Share that breaks or is spoilt, such as 0.03.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub breakage: Option<f64>,
    /// Share that stays with the client for repairs, such as 0.05.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub attic: Option<f64>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How results are marked out and shown: the marking-out grid is whole millimetres, or sixteenths of an inch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Whole millimetres.
    #[default]
    Metric,
    /// Feet, inches and sixteenths.
    Imperial,
    /// Inches and sixteenths, without feet.
    Inches,
}

/// A product and the rules of its data sheet.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Product {
    /// Its name within the sheet.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ProductId,
    /// What people call it.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub name: String,
    /// The visible face of one tile.
    pub face: Face,
    /// Thickness of the tile with its rails.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Measure>,
    /// Width of the joint between faces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint: Option<Measure>,
    /// Depth of the joint that grout fills; the tile's thickness if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint_depth: Option<Measure>,
    /// Gap kept along every wall and fixed object.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge_gap: Option<Measure>,
    /// Width that a cut turns to dust.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kerf: Option<Measure>,
    /// Whether tiles lock together and therefore all lie the same way round.
    #[schemars(default = "yes")]
    pub interlock: bool,
    /// Offsets between rows that the data sheet allows, as parts of the tile's length; "0" is the straight grid.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub offsets: Vec<Fraction>,
    /// Narrowest piece across the row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_row_width: Option<Measure>,
    /// Shortest piece along the row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_end_length: Option<Measure>,
    /// Longest unbroken run of the floor before a movement joint.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_run: Option<Measure>,
    /// What was measured of how tiles were made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made: Option<Made>,
    /// Rules besides, with the source of each figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rules: Option<Rules>,
    /// How the rails of interlocking tiles engage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub engagement: Option<Engagement>,
    /// What is cut off beyond the edge gap so that a piece goes in; with the gap it is what the last tile of a row is kept
    /// off the wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Measure>,
    /// Thinnest neck of a cut piece that can be cut and laid without breaking.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_neck: Option<Measure>,
    /// Tools for classes of cut where they are not the trade's.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub tools: Vec<CutTool>,
    /// How it is packed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carton: Option<Carton>,
    /// Flatness asked of the floor under it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub flatness: Vec<Tolerance>,
    /// What it asks of what carries it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<BaseRules>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The visible face of one tile.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Face {
    /// Along the row.
    pub length: Measure,
    /// Across the row.
    pub width: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How a product is packed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Carton {
    /// Tiles in a carton.
    pub tiles: u32,
    /// Price of a carton: a decimal in a text, so that no digit is lost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<String>,
    /// What a carton weighs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg: Option<f64>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How flat a floor must be.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Tolerance {
    /// Greatest distance between the floor and a straight chord.
    pub gap: Measure,
    /// Greatest length of that chord.
    pub span: Measure,
    /// Whether humps count, or only dips.
    #[schemars(default)]
    pub sides: Sides,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Which deviations a tolerance counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Sides {
    /// Dips below the chord and humps above it.
    #[default]
    Both,
    /// Only dips, as a straightedge finds them.
    Dips,
}

/// A room: its shape from an outline or from tape readings, and what stands in it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Room {
    /// Its name within the sheet.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: RoomId,
    /// What people call it.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub name: String,
    /// Names of the corners, clockwise as one walks inside facing the walls. Letters from A if left out.
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "measure::as_texts")]
    #[schemars(default, with = "Vec<String>")]
    pub corners: Vec<CornerId>,
    /// Corner coordinates in plan coordinates, clockwise on the page.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outline: Option<Vec<[Measure; 2]>>,
    /// Tape readings between corners: neighbours are walls, any other pair is a tie.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub tape: Vec<TapeReading>,
    /// What it was measured with: says how good a reading is that was given no standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<Instrument>,
    /// What its readings were held to, unless a reading says otherwise; the bare wall if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    /// Corners checked square.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub square: Vec<SquareCheck>,
    /// Strings along walls that are not straight.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub strings: Vec<Strung>,
    /// Things on the floor, located by distances.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub located: Vec<Located>,
    /// Corners that do not turn inwards.
    #[serde(skip_serializing_if = "std::collections::BTreeMap::is_empty")]
    #[schemars(default, with = "std::collections::BTreeMap<String, Turn>")]
    pub turns: std::collections::BTreeMap<String, Turn>,
    /// What the floor goes round.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub keepouts: Vec<Keepout>,
    /// Doors and other openings in the walls.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub openings: Vec<Opening>,
    /// Walls with a gap of their own.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub edges: Vec<Edge>,
    /// What the floor is exposed to, or lies on.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub settings: Vec<Setting>,
    /// Degrees between the year's coldest and its warmest day there, on the scale of the rules that ask for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yearly_range: Option<f64>,
    /// Readings of the floor's height.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// What carries its floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<RoomBase>,
    /// Things whose height or weight matters to the floor.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub fixtures: Vec<Fixture>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// One tape reading between two corners.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct TapeReading {
    /// One corner.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub from: CornerId,
    /// The other corner.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub to: CornerId,
    /// What the tape read.
    pub read: Measure,
    /// Standard deviation; by default that of the instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<Measure>,
    /// What it was held to, if not as the rest of the room; trim and plate as thick as the room's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_to: Option<Touched>,
    /// At which height above the floor, if not as the rest of the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A corner that was checked square.
#[derive(Clone, Debug, PartialEq, JsonSchema)]
#[schemars(untagged)]
pub enum SquareCheck {
    /// With the usual standard deviation.
    Usual(#[schemars(with = "String")] CornerId),
    /// With a standard deviation of its own.
    WithSd(SquareCheckWithSd),
}

/// A corner that was checked square, and how well.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct SquareCheckWithSd {
    /// The corner.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub corner: CornerId,
    /// Standard deviation of the angle in degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd_degrees: Option<f64>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

impl SquareCheck {
    /// The corner.
    pub fn corner(&self) -> &CornerId {
        match self {
            Self::Usual(corner) => corner,
            Self::WithSd(check) => &check.corner,
        }
    }
    /// The standard deviation in degrees, where one was given.
    pub fn sd_degrees(&self) -> Option<f64> {
        match self {
            Self::Usual(_) => None,
            Self::WithSd(check) => check.sd_degrees,
        }
    }
}

/// Which way a corner turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Turn {
    /// An inside corner: the usual.
    In,
    /// An outside corner: the room goes round it.
    Out,
}

/// What the floor goes round: an island, a hearth, a post.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Keepout {
    /// Its name within the room.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ItemId,
    /// Its outline in the room's plan coordinates, either way round.
    pub outline: Vec<[Measure; 2]>,
    /// A toe-kick around it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overhang: Option<Overhang>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A door or another opening in a wall.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Opening {
    /// Its name within the room.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ItemId,
    /// The wall, by its two corners from left to right as seen from inside.
    #[schemars(with = "[String; 2]")]
    #[serde(serialize_with = "measure::as_texts")]
    pub wall: [CornerId; 2],
    /// Distance of its left end from the wall's left corner.
    pub start: Measure,
    /// Its width.
    pub width: Measure,
    /// How far the floor runs into it beyond the wall line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<Measure>,
    /// Its jambs, where they are undercut so that the floor runs under them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jambs: Option<Overhang>,
    /// The floor on the other side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<NextDoor>,
    /// The door in it that swings over this room's floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub door: Option<Door>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A wall's own gap and how much the trim there hides.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Edge {
    /// The wall, by its two corners.
    #[schemars(with = "[String; 2]")]
    #[serde(serialize_with = "measure::as_texts")]
    pub wall: [CornerId; 2],
    /// The gap kept there; by default the product's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<Measure>,
    /// Distance from the wall that the trim covers.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trim_covers: Option<Measure>,
    /// What hangs over the floor along it: a toe-kick, an undercut wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overhang: Option<Overhang>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Two openings of different rooms that are one hole through the wall between them.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Passage {
    /// Room and opening on one side.
    pub a: [String; 2],
    /// Room and opening on the other.
    pub b: [String; 2],
    /// Thickness of the wall.
    pub depth: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Rooms that are laid as one field.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Area {
    /// Its name within the sheet.
    pub id: String,
    /// The rooms; plan coordinates are those of the first.
    #[schemars(with = "Vec<String>")]
    #[serde(serialize_with = "measure::as_texts")]
    pub rooms: Vec<RoomId>,
    /// What is laid.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub product: ProductId,
    /// On which underlayment.
    #[schemars(with = "Option<String>")]
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "measure::as_maybe_text")]
    pub underlay: Option<ProductId>,
    /// How it is laid; everything that is not fixed is `"best"`.
    #[schemars(default)]
    pub layout: Layout,
    /// What the tiles at hand really measure; the label's pitch if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured_pitch: Option<MeasuredPitch>,
    /// Rows that lie already, as measured: the rest is planned around them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub laid: Vec<LaidRow>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How a field is laid: each part `"best"` or fixed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Layout {
    /// The direction of the rows: a wall, or degrees clockwise on the page from x.
    #[serde(skip_serializing_if = "BestOr::is_best")]
    #[schemars(default)]
    pub along: BestOr<Along>,
    /// The offset between rows.
    #[serde(skip_serializing_if = "BestOr::is_best")]
    #[schemars(default)]
    pub offset: BestOr<Fraction>,
    /// How the offset goes on from row to row.
    #[schemars(default)]
    pub order: Order,
    /// Width of row 1's tiles beyond the field's least v.
    #[serde(skip_serializing_if = "BestOr::is_best")]
    #[schemars(default)]
    pub first_row: BestOr<Measure>,
    /// Exposed length of the tile at the field's least u inside row 1.
    #[serde(skip_serializing_if = "BestOr::is_best")]
    #[schemars(default)]
    pub shift: BestOr<Measure>,
    /// By how much `best` keeps clear of the product's least widths and lengths.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<Measure>,
    /// Walls that should have a whole row.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub edges_at: Vec<EdgeAt>,
    /// What the layout should keep to besides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prefer: Option<Prefer>,
    /// Whether pieces may be cut from another place along the tile than their own, where their rails allow it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schemars(default)]
    pub slide: bool,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A pinned wall.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct EdgeAt {
    /// The wall, by its two corners.
    #[schemars(with = "[String; 2]")]
    #[serde(serialize_with = "measure::as_texts")]
    pub wall: [CornerId; 2],
    /// Whether the row along it should be whole.
    #[schemars(default)]
    pub whole_row: bool,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The direction of the rows.
#[derive(Clone, Debug, PartialEq, JsonSchema)]
#[schemars(untagged)]
pub enum Along {
    /// From the wall's first corner to its second.
    Wall(#[schemars(with = "[String; 2]")] [CornerId; 2]),
    /// Degrees clockwise on the page from x.
    Angle(Angle),
}

/// How the offset goes on from row to row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Order {
    /// Each row one offset further.
    #[default]
    Stepped,
    /// Every second row moved by one offset.
    Alternating,
}

/// Left to the search, or fixed.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum BestOr<T> {
    /// The program chooses.
    #[default]
    Best,
    /// A person has chosen.
    Fixed(T),
}

impl<T> BestOr<T> {
    /// Whether the choice is left to the search.
    pub fn is_best(&self) -> bool {
        matches!(self, Self::Best)
    }
    /// What a person has chosen, if anything.
    pub fn fixed(&self) -> Option<&T> {
        match self {
            Self::Best => None,
            Self::Fixed(value) => Some(value),
        }
    }
}

fn yes() -> bool {
    true
}

fn is_zero(n: &u32) -> bool {
    *n == 0
}

/// A sheet together with what was odd but not wrong about it.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadSheet {
    /// The sheet.
    pub sheet: Sheet,
    /// Fields of a newer program that were kept, and the like.
    pub warnings: Vec<Problem>,
}

impl Sheet {
    /// Reads a sheet and checks everything that can be checked without computing.
    ///
    /// # Errors
    /// Every mistake with its place.
    pub fn read(text: &str) -> Result<ReadSheet, Vec<Problem>> {
        read::sheet(text)
    }

    /// Writes the sheet as a person would lay it out.
    pub fn write(&self) -> String {
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        text
    }

    /// The room of that name.
    pub fn room(&self, id: &RoomId) -> Option<(usize, &Room)> {
        self.rooms.iter().enumerate().find(|(_, r)| r.id == *id)
    }

    /// What people call something that is bought: a product, a compound, a supply; its id where it has no name.
    pub fn bought_name<'s>(&'s self, id: &'s str) -> &'s str {
        let tiles = self.products.iter().map(|p| (p.id.as_str(), p.name.as_str()));
        let compounds = self.compounds.iter().map(|c| (c.id.as_str(), c.name.as_str()));
        let supplies = self.supplies.iter().map(|s| (s.id.as_str(), s.name.as_str()));
        let mut all = tiles.chain(compounds).chain(supplies).filter(|(_, name)| !name.is_empty());
        all.find(|(known, _)| *known == id).map_or(id, |(_, name)| name)
    }

    /// The product of that name.
    pub fn product(&self, id: &ProductId) -> Option<&Product> {
        self.products.iter().find(|p| p.id == *id)
    }
}

impl Room {
    /// How many corners the room has.
    pub fn corner_count(&self) -> usize {
        self.outline.as_ref().map_or(self.corners.len(), Vec::len)
    }

    /// The corner names: as written, or letters from A.
    pub fn corner_ids(&self) -> Vec<CornerId> {
        if self.corners.is_empty() {
            (0..self.corner_count()).map(letter).collect()
        } else {
            self.corners.clone()
        }
    }

    /// The name people see.
    pub fn title(&self) -> &str {
        if self.name.is_empty() { self.id.as_str() } else { &self.name }
    }
}

/// The name of the n-th corner: A to Z, then A1 to Z1, A2, ….
pub fn letter(n: usize) -> CornerId {
    let c = char::from(b'A' + u8::try_from(n % 26).unwrap_or(0));
    CornerId::new(if n < 26 { c.to_string() } else { format!("{c}{}", n / 26) })
}

/// The JSON Schema of the format, derived from the types above.
pub fn schema() -> Value {
    let generator = schemars::generate::SchemaSettings::draft2020_12().into_generator();
    serde_json::to_value(generator.into_root_schema_for::<Sheet>()).unwrap_or_default()
}
