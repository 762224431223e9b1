//! What an answer says of setting out, and of the floor as it lies.

use super::area::PlannedArea;
use super::cuts::wall_name;
use drylay_geometry::{Length, Point};
use drylay_plan::FrameField;
use drylay_plan::ground::Ground;
use drylay_plan::laid::{AsItLies, Forecast};
use drylay_plan::lattice::Lattice;
use drylay_plan::setting_out::{FromWall, RowEnds, SettingOut};
use drylay_plan::spacers::{Schedule, Stack, schedule};
use serde::Serialize;

/// Where the chalk line goes. Lengths in mm, plan coordinates of the area's first room.
#[derive(Debug, Serialize)]
pub struct SettingOutAnswer {
    /// The row whose far edge the line is.
    pub row: usize,
    /// The line, from the rows' start.
    pub line: [[f64; 2]; 2],
    /// Two marks to snap it through.
    pub marks: [FromWallAnswer; 2],
    /// Where the edge of a tile of the next row falls on the line.
    pub first_joint: FromWallAnswer,
    /// What checks the marks.
    pub check: CheckAnswer,
    /// The first and the last row at both ends.
    pub rows: [RowEndsAnswer; 2],
    /// Spacers along the wall that the line is measured off; absent where it is measured off two walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacers: Option<ScheduleAnswer>,
    /// The pitch that is laid by.
    pub pitch: PitchAnswer,
}

/// From tile to tile and from row to row.
#[derive(Debug, Serialize)]
pub struct PitchAnswer {
    /// Along the row.
    pub along: f64,
    /// Across the rows.
    pub across: f64,
    /// Whether ten tiles, and ten rows, were measured; otherwise it is the label's.
    pub measured: [bool; 2],
}

/// A place by its distance from a wall.
#[derive(Debug, Serialize)]
pub struct FromWallAnswer {
    /// The place.
    pub at: [f64; 2],
    /// The wall's room.
    pub room: String,
    /// The wall, by its corners from left to right.
    pub wall: [String; 2],
    /// How far along it from its left corner.
    pub along: f64,
    /// How far off it, square to it.
    pub off: f64,
}

/// A diagonal that checks the marks.
#[derive(Debug, Serialize)]
pub struct CheckAnswer {
    /// From which mark: 1 or 2.
    pub mark: usize,
    /// The corner's room.
    pub room: String,
    /// The corner.
    pub corner: String,
    /// What the tape must read.
    pub reads: f64,
}

/// A row's exposed width at both ends.
#[derive(Debug, Serialize)]
pub struct RowEndsAnswer {
    /// The row.
    pub row: usize,
    /// At its start.
    pub start: WidthAnswer,
    /// At its end.
    pub end: WidthAnswer,
}

/// A width and how well it is known.
#[derive(Debug, Serialize)]
pub struct WidthAnswer {
    /// The width.
    pub width: f64,
    /// Its standard deviation, where it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sd: Option<f64>,
}

/// Spacers along a wall.
#[derive(Debug, Serialize)]
pub struct ScheduleAnswer {
    /// The wall's room.
    pub room: String,
    /// The wall, by its corners.
    pub wall: [String; 2],
    /// The row beside it.
    pub row: usize,
    /// What that row is ripped to, straight.
    pub rip: f64,
    /// Whether the same spacer goes everywhere.
    pub even: bool,
    /// The stack at each joint.
    pub stacks: Vec<StackAnswer>,
    /// Places between joints where the wall comes nearer than the gap.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tight: Vec<StackAnswer>,
}

/// The distance of the wall from the row's straight edge.
#[derive(Debug, Serialize)]
pub struct StackAnswer {
    /// How far along the chalk line from its start.
    pub along: f64,
    /// The distance.
    pub gap: f64,
    /// Whether the trim no longer hides the edge there; absent where nothing says what it hides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shows: Option<bool>,
}

/// How the laid rows lie.
#[derive(Debug, Serialize)]
pub struct AsItLiesAnswer {
    /// The last row that was read.
    pub laid: usize,
    /// The pitch across the rows as planned.
    pub planned_pitch: f64,
    /// As it is.
    pub pitch: f64,
    /// Its standard deviation.
    pub pitch_sd: f64,
    /// By how much the last laid row is further from the line at its end than at its start; absent where one end was
    /// not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drift: Option<f64>,
    /// Its standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drift_sd: Option<f64>,
    /// The last row at start and end if nothing is done.
    pub last_row: [ForecastAnswer; 2],
    /// By how much each remaining joint would have to open at start and end for the last row to come as planned; absent
    /// where no row is left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<[f64; 2]>,
}

/// What a width is planned to be and what it will be.
#[derive(Debug, Serialize)]
pub struct ForecastAnswer {
    /// As planned.
    pub planned: f64,
    /// As it will come.
    pub width: f64,
    /// Its standard deviation.
    pub sd: f64,
}

fn mm(p: Point) -> [f64; 2] {
    let (x, y) = p.mm();
    [x, y]
}

impl SettingOutAnswer {
    /// Writes how an area is set out.
    pub(crate) fn of(area: &PlannedArea) -> Option<Self> {
        let set = area.making.set.as_ref()?;
        let from_wall = |f: &FromWall| {
            let (room, wall) = wall_name(area, (f.wall.room, f.wall.wall));
            FromWallAnswer { at: mm(f.at), room, wall, along: f.along.mm(), off: f.off.mm() }
        };
        let (room, corner) = &set.check.corner;
        Some(Self {
            row: set.row,
            line: [mm(set.line.0), mm(set.line.1)],
            marks: [from_wall(&set.marks[0]), from_wall(&set.marks[1])],
            first_joint: from_wall(&set.first_joint),
            check: CheckAnswer {
                mark: set.check.mark + 1,
                room: area.rooms[*room].to_string(),
                corner: corner.to_string(),
                reads: set.check.reads.mm(),
            },
            rows: [ends(&set.rows[0]), ends(&set.rows[1])],
            spacers: spacers(area, set).map(|s| schedule_answer(area, &s)),
            pitch: PitchAnswer {
                along: area.product.pitch_along().mm(),
                across: area.product.pitch_across().mm(),
                measured: [area.making.measured.0, area.making.measured.1],
            },
        })
    }
}

fn ends(r: &RowEnds) -> RowEndsAnswer {
    let width = |(width, sd): (Length, Option<f64>)| WidthAnswer { width: width.mm(), sd };
    RowEndsAnswer { row: r.row, start: width(r.start), end: width(r.end) }
}

/// The spacers along the wall that an area's chalk line is measured off.
pub(crate) fn spacers(area: &PlannedArea, set: &SettingOut) -> Option<Schedule> {
    let making = &area.making;
    let ground = Ground::new(&making.rooms, &area.field, area.product.edge_gap);
    let frame = FrameField::new(&area.field.region, area.plan.choice.along.direction);
    let lattice = Lattice::new(&area.product, &area.plan.choice, &frame)?;
    let wall = set.marks[0].wall;
    let trim = making.trims.iter().rev().find(|(r, w, _)| (*r, *w) == (wall.room, wall.wall)).map(|t| t.2);
    schedule(&ground, &frame, &lattice, &area.product, set, trim)
}

fn schedule_answer(area: &PlannedArea, s: &Schedule) -> ScheduleAnswer {
    let (room, wall) = wall_name(area, s.wall);
    let stack = |s: &Stack| StackAnswer { along: s.along.mm(), gap: s.gap.mm(), shows: s.shows };
    ScheduleAnswer {
        room,
        wall,
        row: s.row,
        rip: s.rip.mm(),
        even: s.is_even(),
        stacks: s.stacks.iter().map(stack).collect(),
        tight: s.tight.iter().map(stack).collect(),
    }
}

impl AsItLiesAnswer {
    /// Writes how an area's laid rows lie.
    pub(crate) fn of(lies: &AsItLies) -> Self {
        let ((pitch, pitch_sd), drift) = (lies.pitch(), lies.drift());
        let forecast = |f: &Forecast| ForecastAnswer { planned: f.planned, width: f.width, sd: f.sd };
        Self {
            laid: lies.laid,
            planned_pitch: lies.planned_pitch,
            pitch,
            pitch_sd,
            drift: drift.map(|d| d.0),
            drift_sd: drift.map(|d| d.1),
            last_row: [forecast(&lies.last_row[0]), forecast(&lies.last_row[1])],
            mend: lies.mend,
        }
    }
}
