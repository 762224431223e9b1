//! What an answer says of cutting a piece.

use super::area::PlannedArea;
use drylay_geometry::Length;
use drylay_plan::Piece;
use drylay_plan::ground::Ground;
use drylay_plan::markout::{From, Mark, On, cut_shape, cut_size, mark_out};
use drylay_plan::neck::thinnest;
use drylay_plan::tools::{Tool, tool_for};
use drylay_plan::window::{Judge, Why, Window};
use serde::Serialize;

/// How a piece is marked out and cut, and whether it may be cut ahead. Lengths in mm.
#[derive(Debug, Serialize)]
pub struct CuttingAnswer {
    /// What to mark, from the tile's edges, rounded to the looser side.
    pub marks: Vec<MarkAnswer>,
    /// Length and width of the smallest rectangle around what is cut, rounded down.
    pub size: [f64; 2],
    /// `snap`, `wet_saw` or `wet_saw_and_tap`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tool: Option<&'static str>,
    /// Who says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tool_source: Option<String>,
    /// The thinnest neck of the piece.
    pub neck: f64,
    /// Whether that is too weak; absent where the product does not say how thin it may be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub too_weak: Option<bool>,
    /// `cut_ahead` or `measure_first`.
    pub when: &'static str,
    /// Why it is measured first: `gap_in_doubt`, `trim_in_doubt`, `no_trim`, `no_wall` or `other_room`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<&'static str>,
    /// The window of its least sure cut edge.
    pub window: WindowAnswer,
}

/// A mark on the tile.
#[derive(Debug, Serialize)]
pub struct MarkAnswer {
    /// `row_low`, `row_high`, `start`, `end` or `inside`.
    pub on: &'static str,
    /// The edge it is measured from: `start`, `end`, `low` or `high`.
    pub from: &'static str,
    /// What to mark.
    pub figure: f64,
    /// What it would be if nothing were rounded.
    pub exact: f64,
}

/// Where a cut edge may lie.
#[derive(Debug, Serialize)]
pub struct WindowAnswer {
    /// The room of the wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// The wall, by its corners.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<[String; 2]>,
    /// Standard deviation of the edge's distance from the wall.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<f64>,
    /// The gap that must stay.
    pub gap: f64,
    /// What the trim hides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trim_covers: Option<f64>,
    /// How much nearer to the wall the edge may come.
    pub to_gap: f64,
    /// How much further from it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to_trim: Option<f64>,
}

/// The pieces of an area with what is needed to cut them.
pub(crate) struct Cuts<'a> {
    area: &'a PlannedArea,
    ground: Ground<'a>,
}

impl<'a> Cuts<'a> {
    pub(crate) fn new(area: &'a PlannedArea) -> Self {
        Self { area, ground: Ground::new(&area.making.rooms, &area.field, area.product.edge_gap) }
    }

    /// The least sure cut edge of a piece; `None` for a whole tile.
    pub(crate) fn window(&self, piece: &Piece) -> Option<Window> {
        let making = &self.area.making;
        let judge = Judge {
            ground: &self.ground,
            anchor: making.set.as_ref().map(|set| &set.anchor),
            product: &self.area.product,
            cutting: &making.cutting,
            trims: &making.trims,
            grid: making.grid,
            direction: self.area.plan.choice.along.direction,
        };
        judge.judge(piece)
    }

    /// The thinnest neck of a piece as it is cut.
    pub(crate) fn neck(&self, piece: &Piece) -> Length {
        thinnest(&cut_shape(&self.area.product, self.area.making.cutting.clearance, piece))
    }

    /// What to mark.
    pub(crate) fn marks(&self, piece: &Piece) -> Vec<Mark> {
        mark_out(&self.area.product, self.area.making.cutting.clearance, piece, self.area.making.grid)
    }

    /// How the piece is cut that is `planned` at its own place and lies on its tile as `piece`.
    pub(crate) fn answer(&self, planned: &Piece, piece: &Piece) -> Option<CuttingAnswer> {
        let window = self.window(planned)?;
        let making = &self.area.making;
        let neck = self.neck(piece);
        let tool = tool_for(&making.cutting.tools, piece.cut);
        let (length, width) = cut_size(&self.area.product, making.cutting.clearance, piece, making.grid);
        Some(CuttingAnswer {
            marks: self.marks(piece).iter().map(mark).collect(),
            size: [length.mm(), width.mm()],
            tool: tool.as_ref().map(|rule| tool_word(rule.tool)),
            tool_source: tool.map(|rule| rule.source),
            neck: neck.mm(),
            too_weak: making.cutting.is_too_weak(neck),
            when: if window.why.is_none() { "cut_ahead" } else { "measure_first" },
            why: window.why.map(why_word),
            window: self.window_answer(&window),
        })
    }

    /// The room and the corners of a wall.
    pub(crate) fn wall_name(&self, (room, wall): (usize, usize)) -> (String, [String; 2]) {
        wall_name(self.area, (room, wall))
    }

    fn window_answer(&self, w: &Window) -> WindowAnswer {
        let (room, wall) = w.wall.map(|wall| self.wall_name(wall)).unzip();
        WindowAnswer {
            room,
            wall,
            sd: w.sd,
            gap: w.gap.mm(),
            trim_covers: w.trim.map(Length::mm),
            to_gap: w.room.0,
            to_trim: w.room.1,
        }
    }
}

pub(crate) fn wall_name(area: &PlannedArea, (room, wall): (usize, usize)) -> (String, [String; 2]) {
    let corners = area.making.rooms[room].outline.corners();
    let name = |i: usize| corners[i % corners.len()].id.to_string();
    (area.rooms[room].to_string(), [name(wall), name(wall + 1)])
}

fn mark(m: &Mark) -> MarkAnswer {
    MarkAnswer { on: on_word(m.on), from: from_word(m.from), figure: m.figure.mm(), exact: m.exact.mm() }
}

/// Where a mark is made, as the word of the format.
pub(crate) fn on_word(on: On) -> &'static str {
    match on {
        On::RowLow => "row_low",
        On::RowHigh => "row_high",
        On::Start => "start",
        On::End => "end",
        On::Inside => "inside",
    }
}

/// The edge a mark is measured from, as the word of the format.
pub(crate) fn from_word(from: From) -> &'static str {
    match from {
        From::Start => "start",
        From::End => "end",
        From::Low => "low",
        From::High => "high",
    }
}

/// The tool as the word of the format.
pub(crate) fn tool_word(tool: Tool) -> &'static str {
    match tool {
        Tool::Snap => "snap",
        Tool::WetSaw => "wet_saw",
        Tool::WetSawAndTap => "wet_saw_and_tap",
    }
}

/// Why a gap is measured first, as the word of the format.
pub(crate) fn why_word(why: Why) -> &'static str {
    match why {
        Why::GapInDoubt => "gap_in_doubt",
        Why::TrimInDoubt => "trim_in_doubt",
        Why::NoTrim => "no_trim",
        Why::NoWall => "no_wall",
        Why::OtherRoom => "other_room",
    }
}
