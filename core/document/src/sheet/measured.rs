//! How a room was measured, and what was measured in it besides its corners: strings along walls, and things located
//! by distances.

use drylay_geometry::{CornerId, ItemId};
use schemars::JsonSchema;
use serde::Serialize;

use super::fields::{Item, kind};
use super::{Extra, Measure, measure, read};

/// What a room was measured with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Instrument {
    /// A steel tape read to a sixteenth of an inch.
    #[default]
    Tape,
    /// A steel tape read to a millimetre.
    TapeMetric,
    /// A laser distance meter.
    Laser,
}

/// What the ends of a reading touched.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Touched {
    /// The bare wall, where the floor ends.
    #[default]
    Wall,
    /// The base trim.
    Trim,
    /// The bottom plate of an open wall, before its boards go on.
    Plate,
}

/// What a room's readings were held to.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Measured {
    /// What was touched.
    #[schemars(default)]
    pub to: Touched,
    /// Thickness of the trim, or of the boards that will go on the plate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub thickness: Option<Measure>,
    /// At which height above the floor.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A string from corner to corner along a wall, and how far the wall is from it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Strung {
    /// The wall, in walking order.
    #[schemars(with = "[String; 2]")]
    #[serde(serialize_with = "measure::as_texts")]
    pub wall: [CornerId; 2],
    /// Where the wall was read from the string.
    pub offsets: Vec<StringOffset>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// How far a wall is from the string at one place.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct StringOffset {
    /// Along the string from the wall's first corner.
    pub along: Measure,
    /// From the string to the wall, positive away from the room: the floor is wider there.
    pub offset: Measure,
    /// Standard deviation of the offset; by default that of the instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What a located thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Thing {
    /// An island or a built-in cabinet.
    Cabinet,
    /// A column or post.
    Post,
    /// A hearth.
    Hearth,
    /// A floor register.
    Register,
    /// A pipe or flange.
    Pipe,
    /// Anything else.
    Other,
}

/// A side of a line as seen going along it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LineSide {
    /// To the left hand.
    Left,
    /// To the right hand: into the room, going along a wall in walking order.
    #[default]
    Right,
}

/// A distance from a corner.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct FromCorner {
    /// The corner.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub corner: CornerId,
    /// What was read.
    pub read: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The size of a thing that lies square to the line it was located from.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Size {
    /// Along the line, in its direction from the place that was located.
    pub along: Measure,
    /// Away from the line, to its side.
    pub away: Measure,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A thing on the floor, located by two distances from corners or along a wall and away from it. With a `diameter`
/// (about the place) or a `size` (from the place on) the floor goes round it; with neither it is a point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Located {
    /// Its name within the room, keep-outs included.
    #[schemars(with = "String")]
    #[serde(serialize_with = "measure::as_text")]
    pub id: ItemId,
    /// What it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what: Option<Thing>,
    /// Two distances from two corners.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub distances: Option<[FromCorner; 2]>,
    /// Of the two points that fit, the one on this side of the line from the first corner to the second.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<LineSide>,
    /// The wall it was located from, named from the corner from which `along` counts.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "measure::as_texts_if")]
    #[schemars(with = "Option<[String; 2]>")]
    pub wall: Option<[CornerId; 2]>,
    /// Along that wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub along: Option<Measure>,
    /// Away from it, into the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub away: Option<Measure>,
    /// Its diameter, where it is round.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Measure>,
    /// Its size, where it lies square.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn instrument(item: Item<'_>) -> Option<Instrument> {
    item.choice(&[
        ("tape", Instrument::Tape),
        ("tape_metric", Instrument::TapeMetric),
        ("laser", Instrument::Laser),
    ])
}

pub(super) fn touched(item: Item<'_>) -> Option<Touched> {
    item.choice(&[("wall", Touched::Wall), ("trim", Touched::Trim), ("plate", Touched::Plate)])
}

pub(super) fn measured(item: Item<'_>) -> Option<Measured> {
    let mut f = item.object()?;
    Some(Measured {
        to: f.optional("to", touched).unwrap_or_default(),
        thickness: f.optional("thickness", kind::positive),
        height: f.optional("height", kind::not_negative),
        extra: f.rest(),
    })
}

pub(super) fn strung(item: Item<'_>) -> Option<Strung> {
    let mut f = item.object()?;
    let wall = f.required("wall", read::wall);
    let offsets = f.required("offsets", |i| i.list(offset));
    let extra = f.rest();
    Some(Strung { wall: wall?, offsets: offsets?, extra })
}

fn offset(item: Item<'_>) -> Option<StringOffset> {
    let mut f = item.object()?;
    let (along, offset) = (f.required("along", kind::positive), f.required("offset", kind::length));
    let sd = f.optional("sd", kind::positive);
    let extra = f.rest();
    Some(StringOffset { along: along?, offset: offset?, sd, extra })
}

fn thing(item: Item<'_>) -> Option<Thing> {
    item.choice(&[
        ("cabinet", Thing::Cabinet),
        ("post", Thing::Post),
        ("hearth", Thing::Hearth),
        ("register", Thing::Register),
        ("pipe", Thing::Pipe),
        ("other", Thing::Other),
    ])
}

fn from_corner(item: Item<'_>) -> Option<FromCorner> {
    let mut f = item.object()?;
    let (corner, reading) = (f.required("corner", read::corner), f.required("read", kind::positive));
    let extra = f.rest();
    Some(FromCorner { corner: corner?, read: reading?, extra })
}

fn size(item: Item<'_>) -> Option<Size> {
    let mut f = item.object()?;
    let (along, away) = (f.required("along", kind::positive), f.required("away", kind::positive));
    let extra = f.rest();
    Some(Size { along: along?, away: away?, extra })
}

pub(super) fn located(item: Item<'_>) -> Option<Located> {
    let mut f = item.object()?;
    let id = f.required("id", kind::name);
    let read = Located {
        id: ItemId::new(id.clone().unwrap_or_default()),
        what: f.optional("what", thing),
        distances: f.optional("distances", |i| i.array(from_corner)),
        side: f.optional("side", |i| i.choice(&[("left", LineSide::Left), ("right", LineSide::Right)])),
        wall: f.optional("wall", read::wall),
        along: f.optional("along", kind::not_negative),
        away: f.optional("away", kind::not_negative),
        diameter: f.optional("diameter", kind::positive),
        size: f.optional("size", size),
        extra: f.rest(),
    };
    id.map(|_| read)
}
