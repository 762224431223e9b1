//! What a product's data sheet says of cutting, what tiles really measure, and where rows lie that are laid already.

use schemars::JsonSchema;
use serde::Serialize;

use super::fields::{Item, kind};
use super::{Extra, Measure};

/// Which tool a class of cut takes.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct CutTool {
    /// The class of cut.
    pub cut: CutClass,
    /// The tool.
    pub tool: ToolUsed,
    /// Who says so: a data sheet, the shop.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub source: String,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A class of cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CutClass {
    /// One cut across.
    Length,
    /// One cut along.
    Rip,
    /// Both, meeting in a corner.
    Corner,
    /// Anything else.
    Shape,
}

/// A way of cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ToolUsed {
    /// Taped, scored and snapped.
    Snap,
    /// Cut on a wet saw.
    WetSaw,
    /// Legs cut on a wet saw, the middle scored and tapped out.
    WetSawAndTap,
}

/// Tiles that were laid together dry and measured, joints between them closed as they will be laid: their pitch
/// replaces the label's.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct MeasuredPitch {
    /// Ten tiles of a row, from the outer edge of the first face to the outer edge of the last.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ten_tiles: Option<Measure>,
    /// Ten rows, likewise.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ten_rows: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Where a row lies: the distance of its far edge from the chalk line.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct LaidRow {
    /// The row, from 1; later than the one that the chalk line is the far edge of.
    #[schemars(range(min = 1))]
    pub row: u32,
    /// At the row's start.
    pub at_start: Measure,
    /// At its end; as at its start if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_end: Option<Measure>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn cut_tool(item: Item<'_>) -> Option<CutTool> {
    let mut f = item.object()?;
    let cut = f.required("cut", |i| {
        i.choice(&[
            ("length", CutClass::Length),
            ("rip", CutClass::Rip),
            ("corner", CutClass::Corner),
            ("shape", CutClass::Shape),
        ])
    });
    let tool = f.required("tool", |i| {
        i.choice(&[
            ("snap", ToolUsed::Snap),
            ("wet_saw", ToolUsed::WetSaw),
            ("wet_saw_and_tap", ToolUsed::WetSawAndTap),
        ])
    });
    let source = f.optional("source", kind::text).unwrap_or_default();
    let extra = f.rest();
    Some(CutTool { cut: cut?, tool: tool?, source, extra })
}

pub(super) fn measured_pitch(item: Item<'_>) -> Option<MeasuredPitch> {
    let mut f = item.object()?;
    Some(MeasuredPitch {
        ten_tiles: f.optional("ten_tiles", kind::positive),
        ten_rows: f.optional("ten_rows", kind::positive),
        extra: f.rest(),
    })
}

pub(super) fn laid_row(item: Item<'_>) -> Option<LaidRow> {
    let mut f = item.object()?;
    let (row, at_start) = (f.required("row", |i| i.count(1)), f.required("at_start", kind::positive));
    let at_end = f.optional("at_end", kind::positive);
    let extra = f.rest();
    Some(LaidRow { row: row?, at_start: at_start?, at_end, extra })
}
