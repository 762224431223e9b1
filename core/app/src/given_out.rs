//! A plan that was given out, read back to be laid by: its pieces, how each is cut, and the sheet it was made from.

use crate::answers::{PlanArea, PlannedArea, WayOut, grid, product_of, rooms_at, ways_out};
use drylay_document::sheet::{self, Sheet};
use drylay_geometry::{Direction, Length, Point, Region, Ring, Shape};
use drylay_plan::Product;
use drylay_plan::cutting::Cutting;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// How far two outlines of one piece may differ, in mm, and the piece be the same.
const SAME_PLACE: f64 = 1.0;
/// A cut that moved by less than this, in mm, is the same cut to a saw.
const SAME_CUT: f64 = 0.05;

/// A plan that was given out.
#[derive(Debug)]
pub(crate) struct GivenOut {
    /// The area as the sheet has it, its rooms, products and layout.
    pub(crate) sheet: Sheet,
    /// What is laid, by its label.
    pub(crate) product: Product,
    /// How it is cut.
    pub(crate) cutting: Cutting,
    /// The plan.
    pub(crate) plan: Plan,
    ways_out: OnceLock<Vec<WayOut>>,
    by_id: BTreeMap<String, usize>,
}

/// The plan in the bytes of an issue, as far as it is laid by.
#[derive(Debug, Deserialize)]
pub(crate) struct Plan {
    pub(crate) choice: PlanChoice,
    pub(crate) field: Vec<PlanRings>,
    pub(crate) tiles: usize,
    pub(crate) rows: Vec<PlanRow>,
    pub(crate) pieces: Vec<PlanPiece>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanChoice {
    pub(crate) angle_degrees: f64,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanRings {
    pub(crate) outline: Vec<[f64; 2]>,
    pub(crate) holes: Vec<Vec<[f64; 2]>>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanRow {
    pub(crate) row: usize,
    pub(crate) width: f64,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanPiece {
    pub(crate) id: String,
    pub(crate) row: usize,
    pub(crate) place: usize,
    pub(crate) cut: String,
    pub(crate) outline: Vec<[f64; 2]>,
    pub(crate) holes: Vec<Vec<[f64; 2]>>,
    pub(crate) on_tile: Vec<[f64; 2]>,
    #[serde(default)]
    pub(crate) on_tile_holes: Vec<Vec<[f64; 2]>>,
    pub(crate) tile: usize,
    pub(crate) from: String,
    #[serde(default)]
    pub(crate) slid: Option<f64>,
    #[serde(default)]
    pub(crate) turned: bool,
    #[serde(default)]
    pub(crate) cutting: Option<PlanCutting>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanCutting {
    pub(crate) marks: Vec<PlanMark>,
    pub(crate) size: [f64; 2],
    #[serde(default)]
    pub(crate) tool: Option<String>,
    #[serde(default)]
    pub(crate) tool_source: Option<String>,
    pub(crate) neck: f64,
    #[serde(default)]
    pub(crate) too_weak: Option<bool>,
    pub(crate) when: String,
    #[serde(default)]
    pub(crate) why: Option<String>,
    pub(crate) window: PlanWindow,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanMark {
    pub(crate) on: String,
    pub(crate) from: String,
    pub(crate) figure: f64,
}

#[derive(Debug, Deserialize)]
pub(crate) struct PlanWindow {
    #[serde(default)]
    pub(crate) wall: Option<[String; 2]>,
    #[serde(default)]
    pub(crate) sd: Option<f64>,
    pub(crate) to_gap: f64,
    #[serde(default)]
    pub(crate) to_trim: Option<f64>,
}

impl PlanPiece {
    /// Whether it may be cut before its place is there.
    pub(crate) fn is_cut_ahead(&self) -> bool {
        self.cutting.as_ref().is_some_and(|cutting| cutting.when == "cut_ahead")
    }

    /// Whether both are the same piece in the same place, to a saw and to whoever stands before it.
    fn is_same(&self, other: &Self) -> bool {
        near(&self.on_tile, &other.on_tile, SAME_CUT)
            && self.on_tile_holes.len() == other.on_tile_holes.len()
            && near(&self.outline, &other.outline, SAME_PLACE)
    }
}

fn near(one: &[[f64; 2]], other: &[[f64; 2]], by: f64) -> bool {
    let close = |(p, q): (&[f64; 2], &[f64; 2])| (p[0] - q[0]).abs() <= by && (p[1] - q[1]).abs() <= by;
    one.len() == other.len() && one.iter().zip(other).all(close)
}

impl GivenOut {
    /// Reads the bytes of an issue; `None` if they are of a newer program or damaged.
    pub(crate) fn read(bytes: &[u8]) -> Option<Self> {
        #[derive(Deserialize)]
        struct Whole {
            drylay_issue: u32,
            sheet: serde_json::Value,
            plan: Plan,
        }
        let whole: Whole = serde_json::from_slice(bytes).ok()?;
        if whole.drylay_issue > crate::issue::VERSION {
            return None;
        }
        let sheet = Sheet::read(&whole.sheet.to_string()).ok()?.sheet;
        let in_sheet = sheet.product(&sheet.areas.first()?.product)?;
        let (product, cutting) = (product_of(in_sheet), crate::answers::cutting_of(in_sheet));
        let by_id = whole.plan.pieces.iter().enumerate().map(|(k, piece)| (piece.id.clone(), k)).collect();
        Some(Self { ways_out: OnceLock::new(), product, cutting, plan: whole.plan, by_id, sheet })
    }

    /// The piece of that name.
    pub(crate) fn piece(&self, id: &str) -> Option<&PlanPiece> {
        self.by_id.get(id).map(|&k| &self.plan.pieces[k])
    }

    /// The pieces in the order in which rows are laid: row by row, each from its start.
    pub(crate) fn in_order(&self) -> Vec<&PlanPiece> {
        let mut pieces: Vec<&PlanPiece> = self.plan.pieces.iter().collect();
        pieces.sort_by_key(|piece| (piece.row, piece.place));
        pieces
    }

    /// Whether a piece of that name is the same in an earlier plan: a mark on it there holds here.
    pub(crate) fn holds_from(&self, earlier: &Self, piece: &str) -> bool {
        match (self.piece(piece), earlier.piece(piece)) {
            (Some(now), Some(then)) => now.is_same(then),
            _ => false,
        }
    }

    /// Whether a plan as it stands is this one, piece by piece.
    pub(crate) fn is_of(&self, planned: &PlannedArea) -> bool {
        let now = serde_json::to_value(PlanArea::of(planned)).and_then(serde_json::from_value::<Plan>);
        now.is_ok_and(|now| {
            let same = |piece: &PlanPiece| self.piece(&piece.id).is_some_and(|then| piece.is_same(then));
            now.pieces.len() == self.plan.pieces.len() && now.pieces.iter().all(same)
        })
    }

    /// What is laid, as the sheet has it.
    pub(crate) fn in_sheet(&self) -> Option<&sheet::Product> {
        self.sheet.product(&self.sheet.areas.first()?.product)
    }

    /// The marking-out grid.
    pub(crate) fn grid(&self) -> Length {
        grid(self.sheet.units)
    }

    /// The direction of the rows.
    pub(crate) fn direction(&self) -> Option<Direction> {
        Direction::from_degrees(self.plan.choice.angle_degrees)
    }

    /// The openings by which one may leave the floor, in the order of the rooms; worked out once.
    pub(crate) fn ways_out(&self) -> &[WayOut] {
        self.ways_out.get_or_init(|| ways_out(&self.sheet, 0).unwrap_or_default())
    }

    /// The room that holds a point of the plan: the only one of the floor, or the one whose outline is round it.
    pub(crate) fn room_at(&self, at: Point) -> Option<String> {
        let rooms = &self.sheet.areas.first()?.rooms;
        match rooms.as_slice() {
            [one] => Some(one.to_string()),
            _ => rooms_at(&self.sheet, 0, at).ok().flatten(),
        }
    }

    /// The floor that is covered, in plan coordinates.
    pub(crate) fn field(&self) -> Region {
        let shape = |rings: &PlanRings| {
            let holes = rings.holes.iter().filter_map(|hole| ring(hole)).collect();
            Some(Shape { outer: ring(&rings.outline)?, holes })
        };
        Region { shapes: self.plan.field.iter().filter_map(shape).collect() }
    }
}

/// A ring of the bytes, to a nanometre.
fn ring(points: &[[f64; 2]]) -> Option<Ring> {
    let point = |p: &[f64; 2]| Some(Point::new(Length::from_mm_f64(p[0])?, Length::from_mm_f64(p[1])?));
    points.iter().map(point).collect::<Option<Vec<_>>>().map(Ring::new)
}
