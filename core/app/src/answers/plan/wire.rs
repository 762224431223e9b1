//! The answer of `drylay plan` as it is written.

use super::area::PlannedArea;
use super::cuts::{Cuts, CuttingAnswer};
use super::doubt::DoubtAnswer;
use super::joints::{JointAnswer, joints};
use super::rules::{
    self, InstructionAnswer, LayingAnswer, MovementAnswer, PlaceAnswer, RemedyAnswer, RuleAnswer,
};
use super::setting::{AsItLiesAnswer, SettingOutAnswer};
use crate::Problem;
use drylay_geometry::{Direction, Length, Point, Ring};
use drylay_plan::{Choice, Cut, Order, Plan};
use serde::Serialize;

/// The answer: one entry for each area of the sheet, in its order.
#[derive(Debug, Serialize)]
pub struct PlanAnswer {
    /// The areas.
    pub areas: Vec<PlanArea>,
}

/// The plan of an area. Lengths in mm, plan coordinates of the area's first room.
#[derive(Debug, Serialize)]
pub struct PlanArea {
    /// The area's name.
    pub id: String,
    /// What was chosen.
    pub choice: ChoiceAnswer,
    /// Area of the field.
    pub field_m2: f64,
    /// The field: outer rings and holes.
    pub field: Vec<Rings>,
    /// Tiles the plan takes.
    pub tiles: usize,
    /// A number of tiles that no sharing of these pieces can beat.
    pub proven_minimum: usize,
    /// Cartons that hold the plan's tiles; not what to buy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cartons: Option<usize>,
    /// Share of the tiles' faces that is not seen in the floor.
    pub waste: f64,
    /// The rows.
    pub rows: Vec<Row>,
    /// The pieces.
    pub pieces: Vec<PieceAnswer>,
    /// Where the floor must be parted because it would run longer than the product allows.
    pub movement_joints: Vec<JointAnswer>,
    /// What governs them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub movement: Option<MovementAnswer>,
    /// What can be measured of it.
    pub measures: MeasuresAnswer,
    /// Rules it breaks.
    pub breaches: Vec<BreachAnswer>,
    /// Rules that were asked with a source, and what was found.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rules: Vec<RuleAnswer>,
    /// What is to be done besides, which no plan shows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub instructions: Vec<InstructionAnswer>,
    /// How it is laid, where the product says how it engages.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub laying: Option<LayingAnswer>,
    /// Other plans worth a look.
    pub alternatives: Vec<Alternative>,
    /// How many choices were compared.
    pub tried: usize,
    /// Whether no other choice on the marking-out grid is better.
    pub proven: bool,
    /// What no choice on the grid can beat.
    pub bound: BoundAnswer,
    /// What changes if the rooms are not quite what their readings say; absent where none was surveyed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doubt: Option<DoubtAnswer>,
    /// Where the chalk line goes; absent where no line can be measured off walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setting_out: Option<SettingOutAnswer>,
    /// How the rows lie that are laid already; what comes after them is planned around them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub as_it_lies: Option<AsItLiesAnswer>,
    /// What was odd and did not keep it from being planned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
}

/// What no choice on the grid can beat.
#[derive(Debug, Serialize)]
pub struct BoundAnswer {
    /// At least so many breaches.
    pub breaches: usize,
    /// At least so many tiles among choices with so few breaches.
    pub tiles: usize,
}

/// What was chosen.
#[derive(Debug, Serialize)]
pub struct ChoiceAnswer {
    /// The wall, by its corners, or degrees.
    pub along: AlongAnswer,
    /// The room that wall belongs to, where it is not the area's first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub along_room: Option<String>,
    /// Degrees clockwise on the page from x.
    pub angle_degrees: f64,
    /// The offset.
    pub offset: String,
    /// `stepped` or `alternating`.
    pub order: &'static str,
    /// Width of row 1's faces beyond the field's least v.
    pub first_row: f64,
    /// Exposed length of the tile at the field's least u in row 1.
    pub shift: f64,
}

/// The direction of the rows.
#[derive(Debug, Serialize)]
#[serde(untagged)]
pub enum AlongAnswer {
    /// From one corner to the next.
    Wall([String; 2]),
    /// Degrees.
    Degrees(f64),
}

/// An outer ring and its holes.
#[derive(Debug, Serialize)]
pub struct Rings {
    /// The outer ring, clockwise on the page.
    pub outline: Vec<[f64; 2]>,
    /// The holes, anticlockwise.
    pub holes: Vec<Vec<[f64; 2]>>,
}

/// A row.
#[derive(Debug, Serialize)]
pub struct Row {
    /// Its number.
    pub row: usize,
    /// Its exposed width.
    pub width: f64,
}

/// A piece.
#[derive(Debug, Serialize)]
pub struct PieceAnswer {
    /// Row and place.
    pub id: String,
    /// Its row.
    pub row: usize,
    /// Its place in the row.
    pub place: usize,
    /// `whole`, `length`, `rip`, `corner` or `shape`.
    pub cut: &'static str,
    /// The exposed face in plan coordinates.
    pub outline: Vec<[f64; 2]>,
    /// Its holes.
    pub holes: Vec<Vec<[f64; 2]>>,
    /// The same shape in the tile's own frame.
    pub on_tile: Vec<[f64; 2]>,
    /// Its holes in the tile's own frame.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub on_tile_holes: Vec<Vec<[f64; 2]>>,
    /// The number of the tile it is cut from.
    pub tile: usize,
    /// `new`, or the piece whose offcut it uses.
    pub from: String,
    /// How far it is moved along the tile from its own place, where pieces may slide: `on_tile` and `cut` have it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slid: Option<f64>,
    /// Whether the tile is turned by half a turn for it; told where pieces may slide.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub turned: bool,
    /// How it is cut; absent for a whole tile.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutting: Option<CuttingAnswer>,
}

/// What can be measured of a plan.
#[derive(Debug, Serialize)]
pub struct MeasuresAnswer {
    /// Exposed width of row 1.
    pub first_row: f64,
    /// Exposed width of the last row.
    pub last_row: f64,
    /// Least extent along the row of any piece.
    pub shortest_end: f64,
    /// Least extent, either way, of any piece.
    pub narrowest: f64,
    /// Pieces that are no whole tiles.
    pub cut_pieces: usize,
}

/// A rule that a piece breaks.
#[derive(Debug, Serialize)]
pub struct BreachAnswer {
    /// `narrow` or `short` of a piece's extent, `doorway` or `sight_line` of one that is shorter than wished there,
    /// `trapped` of a piece that cannot be engaged; of the whole plan `rows`, `joint`, `gap` or
    /// `offset`.
    pub rule: &'static str,
    /// The piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<String>,
    /// What it has: mm, or for `offset` a part of the tile's length.
    pub value: f64,
    /// What the rule asks.
    pub limit: f64,
    /// What a trapped piece lies under.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub under: Option<PlaceAnswer>,
    /// The opening in which, or from which, a piece that is shorter than wished is seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<PlaceAnswer>,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// What can be done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<RemedyAnswer>,
}

/// Another plan worth a look.
#[derive(Debug, Serialize)]
pub struct Alternative {
    /// What it chooses.
    pub choice: ChoiceAnswer,
    /// What can be measured of it.
    pub measures: MeasuresAnswer,
    /// Tiles it takes.
    pub tiles: usize,
    /// Cartons that hold them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cartons: Option<usize>,
    /// Rules it breaks.
    pub breaches: Vec<BreachAnswer>,
}

fn mm(p: Point) -> [f64; 2] {
    let (x, y) = p.mm();
    [x, y]
}

fn ring(ring: &Ring) -> Vec<[f64; 2]> {
    ring.points.iter().copied().map(mm).collect()
}

impl PlanArea {
    /// Writes a planned area.
    pub fn of(area: &PlannedArea) -> Self {
        let (movement_joints, movement) = joints(area);
        let (plan, cuts) = (&area.plan, Cuts::new(area));
        Self {
            id: area.id.clone(),
            choice: ChoiceAnswer::of(area, &plan.choice),
            field_m2: area.field.area_m2(),
            field: area
                .field
                .region
                .shapes
                .iter()
                .map(|s| Rings { outline: ring(&s.outer), holes: s.holes.iter().map(ring).collect() })
                .collect(),
            tiles: plan.sharing.tiles,
            proven_minimum: plan.sharing.least,
            cartons: plan.cartons(&area.product),
            waste: plan.waste(&area.product),
            rows: plan.rows.iter().enumerate().map(|(i, w)| Row { row: i + 1, width: w.mm() }).collect(),
            pieces: (0..plan.pieces.len()).map(|i| piece(area, &cuts, i)).collect(),
            movement_joints,
            movement,
            measures: measures(plan),
            breaches: rules::breaches(area),
            rules: area.judged.iter().map(RuleAnswer::of).collect(),
            instructions: area.asked.asked.instructions.iter().map(InstructionAnswer::of).collect(),
            laying: area.laid.as_ref().map(|laid| LayingAnswer::of(area, laid)),
            alternatives: area.others.iter().map(|p| alternative(area, p)).collect(),
            tried: area.tried,
            proven: area.proven,
            bound: BoundAnswer { breaches: area.bound.0, tiles: area.bound.1 },
            doubt: DoubtAnswer::of(area),
            setting_out: SettingOutAnswer::of(area),
            as_it_lies: area.making.lies.as_ref().map(AsItLiesAnswer::of),
            notes: area.notes.clone(),
        }
    }
}

impl ChoiceAnswer {
    /// A choice for an area, as an answer has it.
    pub(crate) fn of(area: &PlannedArea, c: &Choice) -> Self {
        let degrees = c.along.direction.degrees();
        let (along, along_room) = match &c.along.wall {
            Some((room, from, to)) => {
                let named = (*room > 0).then(|| area.rooms[*room].to_string());
                (AlongAnswer::Wall([from.to_string(), to.to_string()]), named)
            }
            None => (AlongAnswer::Degrees(degrees), None),
        };
        Self {
            along,
            along_room,
            angle_degrees: degrees,
            offset: c.offset.to_string(),
            order: if c.order == Order::Stepped { "stepped" } else { "alternating" },
            first_row: c.first_row.mm(),
            shift: c.shift.mm(),
        }
    }
}

/// The cut as the word of the format.
pub(crate) fn cut_word(cut: Cut) -> &'static str {
    match cut {
        Cut::Whole => "whole",
        Cut::Length => "length",
        Cut::Rip => "rip",
        Cut::Corner => "corner",
        Cut::Shape => "shape",
    }
}

fn piece(area: &PlannedArea, cuts: &Cuts<'_>, index: usize) -> PieceAnswer {
    let plan = &area.plan;
    let (planned, p) = (&plan.pieces[index], area.as_cut(index));
    let moved = area.moved.get(index).copied().unwrap_or_default();
    let direction: Direction = plan.choice.along.direction;
    let page = p.shape.map(|q| direction.from_frame(q));
    PieceAnswer {
        id: p.name(),
        row: p.row,
        place: p.place,
        cut: cut_word(p.cut),
        outline: ring(&page.outer),
        holes: page.holes.iter().map(ring).collect(),
        on_tile: ring(&p.on_tile.outer),
        on_tile_holes: p.on_tile.holes.iter().map(ring).collect(),
        tile: plan.sharing.tile_of[index] + 1,
        from: plan.offcut_of(index).map_or_else(|| "new".to_owned(), |first| plan.pieces[first].name()),
        slid: (moved.by != Length::ZERO).then(|| if moved.turned { -moved.by.mm() } else { moved.by.mm() }),
        turned: moved.turned,
        cutting: cuts.answer(planned, &p),
    }
}

fn measures(plan: &Plan) -> MeasuresAnswer {
    let m = &plan.measures;
    MeasuresAnswer {
        first_row: m.first_row.mm(),
        last_row: m.last_row.mm(),
        shortest_end: m.shortest_end.mm(),
        narrowest: m.narrowest.mm(),
        cut_pieces: m.cut_pieces,
    }
}

fn alternative(area: &PlannedArea, plan: &Plan) -> Alternative {
    Alternative {
        choice: ChoiceAnswer::of(area, &plan.choice),
        measures: measures(plan),
        tiles: plan.sharing.tiles,
        cartons: plan.cartons(&area.product),
        breaches: plan.breaches.iter().map(|b| rules::least_size(area, plan, b)).collect(),
    }
}
