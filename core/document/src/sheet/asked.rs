//! What a product asks besides its least sizes: rules with the source of each figure, how it was made, how its rails
//! engage; and where something hangs over the floor's edge.

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use super::fields::{Item, Notes, kind};
use super::{BaseRules, Extra, Fraction, Measure, base};

/// Rules with the source of each figure.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Rules {
    /// How wide the first and the last row are at least.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub rows: Vec<RowRule>,
    /// How far the floor runs before a movement joint.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub movement: Vec<MovementRule>,
    /// How wide the joint between tiles is at least.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub joint: Vec<JointRule>,
    /// How far rows are offset at most.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub offset: Vec<OffsetRule>,
    /// How wide the gap along walls and fixed things is at least.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub gap: Vec<GapRule>,
    /// What is to be done besides, which no plan shows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub instructions: Vec<Instruction>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How wide the first and the last row are at least; where one is narrower they are made equal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct RowRule {
    /// The least width.
    pub least: Measure,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How wide the gap along walls and fixed things is at least.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct GapRule {
    /// The least width.
    pub least: Measure,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Something to be done that no plan shows: it is told, not judged.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Instruction {
    /// What, in words.
    pub say: String,
    /// Where it stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How wide a movement joint is where the floor runs so far.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct WidthAt {
    /// Up to this run.
    pub run: Measure,
    /// At least so wide.
    pub width: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How much wider a movement joint is where the year's warmth ranges far.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Warmth {
    /// From this range on, in degrees of the scale of the rooms' `yearly_range`.
    pub over: f64,
    /// For each so many degrees more, begun ones too.
    pub each: f64,
    /// So much is added.
    pub add: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How far the floor runs before a movement joint.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct MovementRule {
    /// The longest run.
    pub run: Measure,
    /// How wide the joint is at least.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Measure>,
    /// The same by how far the floor runs: the first that is long enough holds.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub widths: Vec<WidthAt>,
    /// How much wider it is where the year's warmth ranges far.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warmth: Option<Warmth>,
    /// Only in areas with a room of one of these settings; everywhere if left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub settings: Vec<Setting>,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How wide the joint between tiles is at least.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct JointRule {
    /// The least width.
    pub least: Measure,
    /// At least so many times the faces' variation in size.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variations: Option<f64>,
    /// Whether the warpage of the edges comes on top.
    #[schemars(default)]
    pub plus_warpage: bool,
    /// Only for tiles with a side longer than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side_over: Option<Measure>,
    /// Only for tiles whose edges came about like this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edges: Option<TileEdges>,
    /// Only where rows are offset.
    #[schemars(default)]
    pub offset_only: bool,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How far rows are offset at most, whichever way.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct OffsetRule {
    /// The greatest offset, as a part of the tile's length.
    pub most: Fraction,
    /// Only for tiles longer than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side_over: Option<Measure>,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What a floor is exposed to, or lies on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// The sun shines on it.
    Sunlit,
    /// It gets wet.
    Wet,
    /// It is outdoors.
    Exterior,
    /// It lies on a slab above ground.
    Suspended,
}

/// How a tile's edges came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TileEdges {
    /// Ground to size.
    Rectified,
    /// Sorted by size.
    Calibrated,
}

/// What was measured of how tiles were made.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Made {
    /// How the edges came about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edges: Option<TileEdges>,
    /// By how much faces differ in size.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variation: Option<Measure>,
    /// By how much the longest edges are bent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warpage: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Which of the two sides along the row bears the tongue; the other bears the groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LongTongue {
    /// The side that faces row 1.
    Low,
    /// The side that faces away from it.
    High,
}

/// Which of the two ends bears the tongue; the other bears the groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ShortTongue {
    /// The end that faces the row's start.
    Start,
    /// The end that faces away from it.
    End,
}

/// How a tongue goes into a groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Motion {
    /// Held at an angle and let down.
    Angle,
    /// Straight down.
    Drop,
    /// Flat along the floor.
    Slide,
}

/// How much of a rail may be chipped off if the rest is whole.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Chips {
    /// Of a side along the row.
    pub long: Measure,
    /// Of an end.
    pub short: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How the rails engage.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Engagement {
    /// Where the tongue is, of the sides along the row.
    pub long_tongue: LongTongue,
    /// Where it is, of the ends.
    pub short_tongue: ShortTongue,
    /// How the side along the row may be engaged, the usual first.
    pub long: Vec<Motion>,
    /// How the end may be engaged, the usual first.
    pub short: Vec<Motion>,
    /// At how many degrees a piece is held to be angled in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angle_degrees: Option<f64>,
    /// How far above its place a piece is held to be dropped in; its thickness if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<Measure>,
    /// How far a piece is pulled back to be slid in over the locking lip.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub travel: Option<Measure>,
    /// The same once the locking lip is shaved off; left out where that is not allowed. Such a joint is bonded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shaved_travel: Option<Measure>,
    /// How much of a rail may be chipped off and the tile still be laid.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chips: Option<Chips>,
    /// Where this stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Something that hangs over the floor at its edge: a toe-kick, an undercut jamb.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Overhang {
    /// How high above what the floor lies on.
    pub height: Measure,
    /// How far it comes out from the line the floor ends at.
    pub depth: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn rules(item: Item<'_>) -> Option<Rules> {
    let mut f = item.object()?;
    Some(Rules {
        rows: f.optional("rows", |i| i.list(row_rule)).unwrap_or_default(),
        movement: f.optional("movement", |i| i.list(movement_rule)).unwrap_or_default(),
        joint: f.optional("joint", |i| i.list(joint_rule)).unwrap_or_default(),
        offset: f.optional("offset", |i| i.list(offset_rule)).unwrap_or_default(),
        gap: f.optional("gap", |i| i.list(gap_rule)).unwrap_or_default(),
        instructions: f.optional("instructions", |i| i.list(instruction)).unwrap_or_default(),
        extra: f.rest(),
    })
}

fn row_rule(item: Item<'_>) -> Option<RowRule> {
    let mut f = item.object()?;
    let least = f.required("least", kind::positive);
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(RowRule { least: least?, source: source?, edition, extra })
}

fn gap_rule(item: Item<'_>) -> Option<GapRule> {
    let mut f = item.object()?;
    let least = f.required("least", kind::positive);
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(GapRule { least: least?, source: source?, edition, extra })
}

fn instruction(item: Item<'_>) -> Option<Instruction> {
    let mut f = item.object()?;
    let say = f.required("say", kind::name);
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(Instruction { say: say?, source: source?, edition, extra })
}

fn width_at(item: Item<'_>) -> Option<WidthAt> {
    let mut f = item.object()?;
    let (run, width) = (f.required("run", kind::positive), f.required("width", kind::positive));
    let extra = f.rest();
    Some(WidthAt { run: run?, width: width?, extra })
}

fn warmth(item: Item<'_>) -> Option<Warmth> {
    let place = item.place.clone();
    let mut f = item.object()?;
    let (over, each) = (f.required("over", kind::amount), f.required("each", kind::amount));
    let add = f.required("add", kind::positive);
    if each == Some(0.0) {
        f.problem(super::Problem::new("sheet.amount", format!("{place}.each")).with("found", 0));
    }
    let extra = f.rest();
    Some(Warmth { over: over?, each: each?, add: add?, extra })
}

fn movement_rule(item: Item<'_>) -> Option<MovementRule> {
    let mut f = item.object()?;
    let (run, width) = (f.required("run", kind::positive), f.optional("width", kind::positive));
    let widths = f.optional("widths", |i| i.list(width_at)).unwrap_or_default();
    let warmth = f.optional("warmth", warmth);
    let settings = f.optional("settings", |i| i.list(setting)).unwrap_or_default();
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(MovementRule { run: run?, width, widths, warmth, settings, source: source?, edition, extra })
}

fn joint_rule(item: Item<'_>) -> Option<JointRule> {
    let mut f = item.object()?;
    let (least, variations) =
        (f.required("least", kind::not_negative), f.optional("variations", kind::amount));
    let plus_warpage = f.optional("plus_warpage", kind::yes_no).unwrap_or(false);
    let side_over = f.optional("side_over", kind::positive);
    let edges = f.optional("edges", tile_edges);
    let offset_only = f.optional("offset_only", kind::yes_no).unwrap_or(false);
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    let (least, source) = (least?, source?);
    Some(JointRule { least, variations, plus_warpage, side_over, edges, offset_only, source, edition, extra })
}

fn offset_rule(item: Item<'_>) -> Option<OffsetRule> {
    let mut f = item.object()?;
    let (most, side_over) = (f.required("most", kind::fraction), f.optional("side_over", kind::positive));
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(OffsetRule { most: most?, side_over, source: source?, edition, extra })
}

pub(super) fn setting(item: Item<'_>) -> Option<Setting> {
    item.choice(&[
        ("sunlit", Setting::Sunlit),
        ("wet", Setting::Wet),
        ("exterior", Setting::Exterior),
        ("suspended", Setting::Suspended),
    ])
}

fn tile_edges(item: Item<'_>) -> Option<TileEdges> {
    item.choice(&[("rectified", TileEdges::Rectified), ("calibrated", TileEdges::Calibrated)])
}

pub(super) fn made(item: Item<'_>) -> Option<Made> {
    let mut f = item.object()?;
    Some(Made {
        edges: f.optional("edges", tile_edges),
        variation: f.optional("variation", kind::not_negative),
        warpage: f.optional("warpage", kind::not_negative),
        extra: f.rest(),
    })
}

fn motion(item: Item<'_>) -> Option<Motion> {
    item.choice(&[("angle", Motion::Angle), ("drop", Motion::Drop), ("slide", Motion::Slide)])
}

fn steepness(item: Item<'_>) -> Option<f64> {
    let Item { value, place, notes } = item;
    let degrees = Item { value, place: place.clone(), notes: &mut *notes }.amount()?;
    if degrees == 0.0 || degrees >= 90.0 {
        notes.problems.push(super::Problem::new("engagement.angle", place).with("found", degrees));
        return None;
    }
    Some(degrees)
}

fn chips(item: Item<'_>) -> Option<Chips> {
    let mut f = item.object()?;
    let (long, short) = (f.required("long", kind::positive), f.required("short", kind::positive));
    let extra = f.rest();
    Some(Chips { long: long?, short: short?, extra })
}

pub(super) fn engagement(item: Item<'_>) -> Option<Engagement> {
    let mut f = item.object()?;
    let long_tongue =
        f.required("long_tongue", |i| i.choice(&[("low", LongTongue::Low), ("high", LongTongue::High)]));
    let short_tongue =
        f.required("short_tongue", |i| i.choice(&[("start", ShortTongue::Start), ("end", ShortTongue::End)]));
    let (long, short) = (f.required("long", |i| i.list(motion)), f.required("short", |i| i.list(motion)));
    let angle_degrees = f.optional("angle_degrees", steepness);
    let lift = f.optional("lift", kind::not_negative);
    let travel = f.optional("travel", kind::not_negative);
    let shaved_travel = f.optional("shaved_travel", kind::not_negative);
    let chips = f.optional("chips", chips);
    let (source, edition) = (f.required("source", kind::name), f.optional("edition", kind::name));
    let extra = f.rest();
    Some(Engagement {
        long_tongue: long_tongue?,
        short_tongue: short_tongue?,
        long: long?,
        short: short?,
        angle_degrees,
        lift,
        travel,
        shaved_travel,
        chips,
        source: source?,
        edition,
        extra,
    })
}

pub(super) fn overhang(item: Item<'_>) -> Option<Overhang> {
    let mut f = item.object()?;
    let (height, depth) = (f.required("height", kind::positive), f.required("depth", kind::positive));
    let extra = f.rest();
    Some(Overhang { height: height?, depth: depth?, extra })
}

/// What a product asks besides its least sizes, in one text as the sheet writes it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Demands {
    /// How tiles were made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub made: Option<Made>,
    /// Rules with their source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rules: Option<Rules>,
    /// How rails engage.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub engagement: Option<Engagement>,
    /// What it asks of what carries it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub base: Option<BaseRules>,
}

impl Demands {
    /// The text; `None` for nothing.
    pub fn write(&self) -> Option<String> {
        (*self != Self::default()).then(|| serde_json::to_string(self).unwrap_or_default())
    }

    /// Reads such a text. What a newer program wrote is kept; what cannot be read is left out.
    pub fn read(text: &str) -> Self {
        let value: Value = serde_json::from_str(text).unwrap_or_default();
        let mut notes = Notes { newer: true, ..Notes::default() };
        let item = Item { value, place: String::new(), notes: &mut notes };
        item.object().map_or_else(Self::default, |mut f| Self {
            made: f.optional("made", made),
            rules: f.optional("rules", rules),
            engagement: f.optional("engagement", engagement),
            base: f.optional("base", base::base_rules),
        })
    }
}
