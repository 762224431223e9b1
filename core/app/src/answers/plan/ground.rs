//! What the plan of an area needs besides its pieces to set it out and to cut: how the product is cut, what trims hide,
//! how well the pitch is known, the chalk line, and the rows as they lie.

use super::super::grid;
use drylay_document::sheet::{self, CutClass, Sheet, ToolUsed};
use drylay_geometry::Length;
use drylay_plan::cutting::Cutting;
use drylay_plan::ground::Ground;
use drylay_plan::laid::{AsItLies, LaidRow, as_it_lies};
use drylay_plan::setting_out::{SettingOut, setting_out};
use drylay_plan::tools::{Tool, ToolRule};
use drylay_plan::{Cut, Field, FrameField, Plan, Product, Room};
use drylay_survey::tape::Tape;

/// What an area's pieces are set out and cut by.
#[derive(Clone, Debug)]
pub struct Making {
    /// The rooms as they were planned.
    pub rooms: Vec<Room>,
    /// How the product is cut.
    pub cutting: Cutting,
    /// What the trim hides, by room and wall.
    pub trims: Vec<(usize, usize, Length)>,
    /// The marking-out grid.
    pub grid: Length,
    /// Whether the pitch was measured, along and across the rows.
    pub measured: (bool, bool),
    /// The chalk line; `None` where none can be measured off walls.
    pub set: Option<SettingOut>,
    /// How the laid rows lie.
    pub lies: Option<AsItLies>,
}

/// Tiles or rows that are measured together.
const TEN: i64 = 10;

/// The product with the pitch that was measured in place of the label's.
pub(crate) fn measured_product(label: &Product, area: &sheet::Area) -> Product {
    let face = |ten: &Option<sheet::Measure>, label_face: Length| {
        let Some(ten) = ten else { return label_face };
        Length::from_nanometres((ten.length + label.joint).nanometres() / TEN) - label.joint
    };
    let Some(measured) = &area.measured_pitch else { return label.clone() };
    let (length, width) = (face(&measured.ten_tiles, label.length), face(&measured.ten_rows, label.width));
    Product { length, width, ..label.clone() }
}

impl Making {
    /// Of an area's plan, before anything was laid.
    pub(crate) fn of(
        sheet: &Sheet,
        area: &sheet::Area,
        rooms: Vec<Room>,
        trims: Vec<(usize, usize, Length)>,
        (field, product, plan): (&Field, &Product, &Plan),
    ) -> Self {
        let cutting = sheet.product(&area.product).map(cutting_of).unwrap_or_default();
        let measured = area.measured_pitch.as_ref();
        let has = |ten: Option<&sheet::Measure>| ten.is_some();
        let (tiles, ten_rows) =
            (measured.and_then(|m| m.ten_tiles.as_ref()), measured.and_then(|m| m.ten_rows.as_ref()));
        let sd = |ten: Option<&sheet::Measure>| {
            ten.map_or(0.0, |ten| Tape::steel().sd_mm(ten.length.mm()) / TEN as f64)
        };
        let ground = Ground::new(&rooms, field, product.edge_gap);
        let frame = FrameField::new(&field.region, plan.choice.along.direction);
        let set = setting_out(&ground, &frame, product, plan, (sd(tiles), sd(ten_rows)));
        let laid: Vec<LaidRow> = area.laid.iter().map(laid_row).collect();
        let reading_sd = |mm: f64| Tape::steel().sd_mm(mm);
        let lies = set.as_ref().and_then(|set| as_it_lies(&laid, set, product, plan.rows.len(), &reading_sd));
        let measured = (has(tiles), has(ten_rows));
        Self { rooms, cutting, trims, grid: grid(sheet.units), measured, set, lies }
    }
}

fn laid_row(row: &sheet::LaidRow) -> LaidRow {
    let at_end = row.at_end.as_ref().map(|m| m.length);
    LaidRow { row: usize::try_from(row.row).unwrap_or(usize::MAX), at_start: row.at_start.length, at_end }
}

/// How a product of a sheet is cut.
pub(crate) fn cutting_of(product: &sheet::Product) -> Cutting {
    let tool = |rule: &sheet::CutTool| ToolRule {
        cut: match rule.cut {
            CutClass::Length => Cut::Length,
            CutClass::Rip => Cut::Rip,
            CutClass::Corner => Cut::Corner,
            CutClass::Shape => Cut::Shape,
        },
        tool: match rule.tool {
            ToolUsed::Snap => Tool::Snap,
            ToolUsed::WetSaw => Tool::WetSaw,
            ToolUsed::WetSawAndTap => Tool::WetSawAndTap,
        },
        source: rule.source.clone(),
    };
    Cutting {
        clearance: product.clearance.as_ref().map_or(Length::ZERO, |m| m.length),
        min_neck: product.min_neck.as_ref().map(|m| m.length),
        tools: product.tools.iter().map(tool).collect(),
    }
}
