//! Cutting, measured pitch and rows as they lie, both ways.

use drylay_geometry::ItemId;

use super::{measure, typed};
use crate::schema as doc;
use crate::sheet::{self, Extra, Measure};
use crate::stored::TypedLength;
use crate::view::Held;
use crate::{Edit, JobEntry, JobView};

const CUTS: [(sheet::CutClass, doc::CutClass); 4] = [
    (sheet::CutClass::Length, doc::CutClass::Length),
    (sheet::CutClass::Rip, doc::CutClass::Rip),
    (sheet::CutClass::Corner, doc::CutClass::Corner),
    (sheet::CutClass::Shape, doc::CutClass::Shape),
];
const WAYS: [(sheet::ToolUsed, doc::CutWay); 3] = [
    (sheet::ToolUsed::Snap, doc::CutWay::Snap),
    (sheet::ToolUsed::WetSaw, doc::CutWay::WetSaw),
    (sheet::ToolUsed::WetSawAndTap, doc::CutWay::WetSawAndTap),
];

pub(super) fn tool(rule: &sheet::CutTool) -> doc::CutTool {
    let cut = CUTS.iter().find(|(s, _)| *s == rule.cut).map_or(doc::CutClass::Shape, |(_, d)| *d);
    let tool = WAYS.iter().find(|(s, _)| *s == rule.tool).map_or(doc::CutWay::WetSaw, |(_, d)| *d);
    doc::CutTool { cut, tool, source: (!rule.source.is_empty()).then(|| rule.source.clone()) }
}

pub(super) fn sheet_tool(rule: &doc::CutTool) -> sheet::CutTool {
    let cut = CUTS.iter().find(|(_, d)| *d == rule.cut).map_or(sheet::CutClass::Shape, |(s, _)| *s);
    let tool = WAYS.iter().find(|(_, d)| *d == rule.tool).map_or(sheet::ToolUsed::WetSaw, |(s, _)| *s);
    sheet::CutTool { cut, tool, source: rule.source.clone().unwrap_or_default(), extra: Extra::new() }
}

pub(super) fn ten(
    area: &sheet::Area,
    of: fn(&sheet::MeasuredPitch) -> &Option<Measure>,
) -> Option<TypedLength> {
    area.measured_pitch.as_ref().and_then(|pitch| of(pitch).as_ref()).map(typed)
}

pub(super) fn measured_pitch(area: &doc::Area) -> Option<sheet::MeasuredPitch> {
    let (ten_tiles, ten_rows) = (area.ten_tiles.as_ref().map(measure), area.ten_rows.as_ref().map(measure));
    let any = ten_tiles.is_some() || ten_rows.is_some();
    any.then(|| sheet::MeasuredPitch { ten_tiles, ten_rows, extra: Extra::new() })
}

/// A record for each row as it lies.
pub(super) fn rows(area: &sheet::Area) -> Vec<Edit<JobEntry>> {
    let row = |(n, laid): (usize, &sheet::LaidRow)| {
        let entry = doc::RowMark {
            area: ItemId::new(area.id.as_str()),
            row: i64::from(laid.row),
            at_start: typed(&laid.at_start),
            at_end: laid.at_end.as_ref().map(typed),
        };
        Edit::add(format!("row-{}-{n:04}", area.id), entry)
    };
    area.laid.iter().enumerate().map(row).collect()
}

/// The rows of an area as they lie, in their order.
pub(super) fn laid(job: &JobView, area: &ItemId) -> Vec<sheet::LaidRow> {
    let mut held: Vec<&Held<doc::RowMark>> = job.rows.live.iter().filter(|h| h.value.area == *area).collect();
    held.sort_by(|a, b| (a.value.row, &a.id).cmp(&(b.value.row, &b.id)));
    let row = |h: &Held<doc::RowMark>| {
        Some(sheet::LaidRow {
            row: u32::try_from(h.value.row).ok().filter(|row| *row > 0)?,
            at_start: measure(&h.value.at_start),
            at_end: h.value.at_end.as_ref().map(measure),
            extra: Extra::new(),
        })
    };
    held.into_iter().filter_map(row).collect()
}
