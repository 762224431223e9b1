//! Planning one area of a sheet: from its rooms, product and layout to a plan.

use super::super::floors::least_squares;
use super::super::goes_round::goes_round;
use super::super::rooms::ResolvedRoom;
use super::super::{Answer, grid, show_mm};
use super::asked::{AskedOf, RoomsOf};
use super::ground::{Making, measured_product};
use super::prefer;
use super::seams::{OpenSeam, open_seams};
use super::seen::Placed;
use crate::Problem;
use crate::good_for::lack_words;
use drylay_document::sheet::{self, Sheet};
use drylay_geometry::{CornerId, Direction, ItemId, Length, Point, Region, RoomId};
use drylay_plan::asked::{Judged, Spacing};
use drylay_plan::compare::worth;
use drylay_plan::doubt::{Doubt, doubt};
use drylay_plan::field::{Keepout, Opening};
use drylay_plan::interlock::Interlock;
use drylay_plan::sliding::{Moved, share_sliding};
use drylay_plan::spots::Spot;
use drylay_plan::{
    Along, Choice, Field, FieldProblem, Found, FrameField, MovementJoints, Offset, Order, Passage, Piece,
    Plan, PlanError, Product, Progress, Room, Wish, movement_joints, search,
};
use drylay_survey::tape::BowedWall;

/// Told how far a search is; whether it is to go on.
type GoOn<'a> = &'a mut dyn FnMut(&Progress<'_>) -> bool;

/// An area with its plan.
#[derive(Clone, Debug)]
pub struct PlannedArea {
    /// The area's name.
    pub id: String,
    /// Its rooms.
    pub rooms: Vec<RoomId>,
    /// What is laid.
    pub product: Product,
    /// The floor that is covered, in the first room's plan coordinates.
    pub field: Field,
    /// The plan.
    pub plan: Plan,
    /// Where each piece is cut from its tile, where pieces may slide; else empty.
    pub moved: Vec<Moved>,
    /// Other plans worth a look.
    pub others: Vec<Plan>,
    /// How many choices were compared; one where everything was fixed.
    pub tried: usize,
    /// Whether no other choice on the marking-out grid is better; also where everything was fixed.
    pub proven: bool,
    /// What no choice on the grid can beat: breaches and tiles.
    pub bound: (usize, usize),
    /// What changes if the rooms are not quite what their readings say; `None` where none was surveyed.
    pub doubt: Option<Doubt>,
    /// Where no short cut was wished, and the opening of each.
    pub spots: Vec<(Spot, (RoomId, ItemId))>,
    /// What is asked besides the product's least sizes.
    pub asked: AskedOf,
    /// What was found of the rules that are asked.
    pub judged: Vec<Judged>,
    /// What governs the movement joints, and where they lie.
    pub movement: Option<(Spacing, MovementJoints)>,
    /// Joints and cracks of the base that no movement joint carries through.
    pub open_seams: Vec<OpenSeam>,
    /// How it is laid, where the product says how it engages.
    pub laid: Option<Interlock>,
    /// What its pieces are set out and cut by.
    pub making: Making,
    /// What was odd and did not keep it from being planned.
    pub notes: Vec<Problem>,
}

/// The effort for the search of one area before it is told to stop ([`Progress::effort`]). Not a time, so that every
/// device gives the same answer; on a desktop of 2026 it is some ten seconds.
const EFFORT: u64 = 10_000_000;

/// Plans every area of a sheet, each with the same limited effort; `go_on` may end it sooner.
///
/// # Errors
/// Everything that keeps any area from being planned.
pub fn plan_areas(
    sheet: &Sheet,
    resolved: &[ResolvedRoom],
    go_on: &mut dyn FnMut() -> bool,
) -> Answer<Vec<PlannedArea>> {
    let mut problems = Vec::new();
    let mut planned = Vec::new();
    for index in 0..sheet.areas.len() {
        let mut within_effort = |now: &Progress<'_>| now.effort < EFFORT && go_on();
        match plan_area(sheet, resolved, index, &mut within_effort) {
            Ok(area) => planned.push(area),
            Err(found) => problems.extend(found),
        }
    }
    if problems.is_empty() { Ok(planned) } else { Err(problems) }
}

/// Plans one area of a sheet.
///
/// `go_on` is told how far the search is and may end it early.
///
/// # Errors
/// Everything that keeps it from being planned.
pub fn plan_area(
    sheet: &Sheet,
    resolved: &[ResolvedRoom],
    index: usize,
    go_on: GoOn<'_>,
) -> Answer<PlannedArea> {
    let area = &sheet.areas[index];
    let place = format!("areas[{index}]");
    let Some(in_sheet) = sheet.product(&area.product) else {
        return Err(vec![Problem::new("sheet.unknown_product", place).with("name", &area.product)]);
    };
    let label = product_of(in_sheet);
    let product = measured_product(&label, area);
    let parts = Parts::of(sheet, resolved, area, &place)?;
    let field = Field::placed(&parts.rooms, &parts.passages, product.edge_gap, &least_squares)
        .map_err(|found| found.iter().map(|p| parts.problem(p, sheet, &place)).collect::<Vec<_>>())?;
    let mut notes: Vec<Problem> = field.notes.iter().map(|p| parts.problem(p, sheet, &place)).collect();
    notes.extend(parts.survey_notes(sheet, resolved));
    let placed = Placed { field: &field, rooms: &parts.rooms, at: &parts.room_at, resolved };
    let (spots, spot_of, unseen) = placed.spots(&area.layout, &product, &place);
    notes.extend(unseen);
    let wish = Wish { spots, ..as_measured(wish(sheet, area, &field), &label, &product) };
    let centre = area.layout.prefer.as_ref().and_then(|p| p.centre.as_ref()).and_then(|c| placed.centre(c));
    let kept = prefer::wishes(&field, &product, &area.layout, centre, &wish);
    if kept.is_empty() && area.layout.prefer.as_ref().is_some_and(|p| p.centre.is_some()) {
        notes.push(Problem::new("layout.not_centred", format!("{place}.layout.prefer.centre")));
    }
    let found =
        choose(&field, &product, &kept, &wish, go_on).map_err(|e| vec![plan_problem(e, &product, &place)])?;
    let missed = prefer::missed(&field, &product, &area.layout, &found.best.choice);
    notes.extend(missed.into_iter().map(|i| {
        let [from, to] = &area.layout.edges_at[i].wall;
        Problem::new("layout.no_whole_row", format!("{place}.layout.edges_at[{i}].wall"))
            .with("wall", format!("{from}–{to}"))
    }));
    let making =
        Making::of(sheet, area, parts.rooms.clone(), parts.trims(sheet), (&field, &product, &found.best));
    let (plan, odd) = around_what_lies(area, &making, (&field, &product, found.best), &place);
    notes.extend(odd);
    let (plan, moved) = slid(plan, &product, area.layout.slide);
    let of_rooms = RoomsOf { sheet, at: &parts.room_at, rooms: &parts.rooms, keepout_at: &parts.keepout_at };
    let asked = AskedOf::of(in_sheet, &of_rooms, &field);
    let judged = asked.asked.judge(&product, &asked.made, &plan);
    let movement = asked.asked.spacing(&product).map(|spacing| {
        let joints = movement_joints(&product, &plan.choice, &field, spacing.run);
        (spacing, joints)
    });
    let found_joints = movement.as_ref().map_or(&[][..], |(_, found)| &found.joints);
    let at_rooms = (&parts.room_at[..], &parts.rooms[..]);
    let (open_seams, uncovered) = open_seams((sheet, in_sheet), at_rooms, &field, found_joints);
    notes.extend(uncovered);
    let laid = asked.laid(&product, &plan, &field);
    let rooms = area.rooms.clone();
    let doubt = doubt(&parts.rooms, &parts.passages, &least_squares, &product, &plan.choice);
    Ok(PlannedArea {
        id: area.id.clone(),
        rooms,
        product,
        field,
        plan,
        moved,
        others: found.others,
        tried: found.tried,
        proven: found.proven,
        bound: found.bound,
        doubt,
        spots: wish.spots.into_iter().zip(spot_of).collect(),
        asked,
        judged,
        movement,
        open_seams,
        laid,
        making,
        notes,
    })
}

/// The plan with its tiles shared by pieces that may slide, where that was asked, and where each piece is cut from.
fn slid(plan: Plan, product: &Product, slide: bool) -> (Plan, Vec<Moved>) {
    if !slide {
        return (plan, Vec::new());
    }
    let slid = share_sliding(&plan.pieces, product);
    (Plan { sharing: slid.sharing, ..plan }, slid.moved)
}

impl PlannedArea {
    /// A piece as it lies on the tile that it is cut from.
    pub fn as_cut(&self, index: usize) -> Piece {
        let piece = &self.plan.pieces[index];
        self.moved.get(index).map_or_else(|| piece.clone(), |moved| moved.of(piece, &self.product))
    }
}

/// A first row or a shift that was fixed whole stays whole with the tiles as they were measured.
fn as_measured(wish: Wish, label: &Product, product: &Product) -> Wish {
    let whole = |fixed: Option<Length>, label: Length, real: Length| {
        fixed.map(|l| if l <= label { l.min(real) } else { l })
    };
    Wish {
        first_row: whole(wish.first_row, label.width, product.width),
        shift: whole(wish.shift, label.length, product.length),
        ..wish
    }
}

/// The plan as far as it is laid, the rest planned again around what lies; and what was odd about the readings.
fn around_what_lies(
    area: &sheet::Area,
    making: &Making,
    (field, product, plan): (&Field, &Product, Plan),
    place: &str,
) -> (Plan, Vec<Problem>) {
    let first = making.set.as_ref().map_or(usize::MAX, |set| set.row);
    let beyond = |row: u32| usize::try_from(row).is_ok_and(|row| row > first && row <= plan.rows.len());
    let odd = area.laid.iter().enumerate().filter(|(_, laid)| !beyond(laid.row));
    let notes = odd.map(|(i, laid)| {
        Problem::new("laid.no_such_row", format!("{place}.laid[{i}].row"))
            .with("row", laid.row)
            .with("first", if making.set.is_some() { (first + 1).to_string() } else { "–".to_owned() })
            .with("last", plan.rows.len())
    });
    let notes: Vec<Problem> = notes.collect();
    let lies = making.lies.as_ref().zip(making.set.as_ref());
    let rest = lies.and_then(|(lies, set)| lies.rest(product, &plan, &field.region, set));
    (rest.unwrap_or(plan), notes)
}

/// What was found for an area's layout, pins included.
struct Chosen {
    best: Plan,
    others: Vec<Plan>,
    tried: usize,
    proven: bool,
    bound: (usize, usize),
}

impl Chosen {
    fn of(found: Found) -> Self {
        let bound = (found.bound.breaches, found.bound.tiles);
        Self { best: found.best, others: found.others, tried: found.tried, proven: found.proven, bound }
    }
}

fn choose(
    field: &Field,
    product: &Product,
    kept: &[Wish],
    wish: &Wish,
    go_on: GoOn<'_>,
) -> Result<Chosen, PlanError> {
    if let (Some(along), Some(offset), Some(first_row), Some(shift)) =
        (&wish.along, wish.offset, wish.first_row, wish.shift)
    {
        let choice = Choice { along: along.clone(), offset, order: wish.order, first_row, shift };
        let best = Plan::new(product, &choice, &FrameField::new(&field.region, along.direction))?;
        let bound = (best.breaches.len(), best.sharing.least);
        return Ok(Chosen { best, others: Vec::new(), tried: 1, proven: true, bound });
    }
    if kept.is_empty() {
        return Ok(Chosen::of(search(field, product, wish, go_on)?));
    }
    let mut plans = Vec::new();
    let (mut tried, mut proven, mut bound) = (0, true, (usize::MAX, usize::MAX));
    let (mut before, mut effort) = (0, 0);
    for (n, wish) in kept.iter().enumerate() {
        let found = search(field, product, wish, |now| {
            effort = before + now.effort;
            let part = (n as f64 + now.part) / kept.len() as f64;
            go_on(&Progress { part, effort, ..*now })
        });
        before = effort;
        let found = Chosen::of(found?);
        tried += found.tried;
        proven &= found.proven;
        bound = (bound.0.min(found.bound.0), bound.1.min(found.bound.1));
        plans.push(found.best);
    }
    plans.sort_by_key(|p| worth(p, product, &wish.spots));
    let mut plans = plans.into_iter();
    let best = plans.next().ok_or(PlanError::NoField)?;
    Ok(Chosen { best, others: plans.collect(), tried, proven, bound })
}

/// An opening of an area that leads to no other room of it.
#[derive(Clone, Debug)]
pub(crate) struct WayOut {
    /// Its room and its name in it.
    pub(crate) id: String,
    /// Its room and its wall, in words.
    pub(crate) name: String,
    /// Its left end on the wall line, as seen from inside, in plan coordinates.
    pub(crate) left: Point,
    /// Its right end.
    pub(crate) right: Point,
}

/// The rooms of an area, and where they lie beside each other.
fn placed(sheet: &Sheet, index: usize) -> Answer<(Parts, Field)> {
    let area = &sheet.areas[index];
    let place = format!("areas[{index}]");
    let resolved = super::super::resolve(sheet)?;
    let parts = Parts::of(sheet, &resolved, area, &place)?;
    let gap = sheet.product(&area.product).map_or(Length::ZERO, |product| product_of(product).edge_gap);
    let field = Field::placed(&parts.rooms, &parts.passages, gap, &least_squares)
        .map_err(|found| found.iter().map(|p| parts.problem(p, sheet, &place)).collect::<Vec<_>>())?;
    Ok((parts, field))
}

/// The room of an area that has a point within its outline.
///
/// # Errors
/// Everything that keeps its rooms from being placed.
pub(crate) fn rooms_at(sheet: &Sheet, index: usize, at: Point) -> Answer<Option<String>> {
    let (parts, field) = placed(sheet, index)?;
    let holds = |placed: &drylay_plan::place::Placed| placed.outline.ring().contains(at);
    Ok(field.rooms.iter().position(holds).map(|room| sheet.rooms[parts.room_at[room]].id.to_string()))
}

/// The openings by which one may leave an area, in the order of its rooms.
///
/// # Errors
/// Everything that keeps its rooms from being placed.
pub(crate) fn ways_out(sheet: &Sheet, index: usize) -> Answer<Vec<WayOut>> {
    let (parts, field) = placed(sheet, index)?;
    let inside = |room: usize, opening: usize| {
        parts.passages.iter().any(|passage| passage.a == (room, opening) || passage.b == (room, opening))
    };
    let out = field.openings.iter().filter(|at| !inside(at.room, at.opening));
    let way = |at: &drylay_plan::field::OpeningPlace| {
        let room = &sheet.rooms[parts.room_at[at.room]];
        let opening = &parts.rooms[at.room].openings[at.opening];
        let corners = parts.rooms[at.room].outline.corners();
        let (from, to) = (&corners[opening.wall].id, &corners[(opening.wall + 1) % corners.len()].id);
        WayOut {
            id: format!("{}/{}", room.id, opening.id),
            name: format!("{} {from}–{to}", room.title()),
            left: at.left,
            right: at.right,
        }
    };
    Ok(out.map(way).collect())
}

/// The product of a sheet as the plan takes it.
pub(crate) fn product_of(p: &sheet::Product) -> Product {
    let length = |m: &Option<sheet::Measure>| m.as_ref().map_or(Length::ZERO, |m| m.length);
    Product {
        id: p.id.clone(),
        length: p.face.length.length,
        width: p.face.width.length,
        joint: length(&p.joint),
        edge_gap: length(&p.edge_gap),
        kerf: length(&p.kerf),
        interlock: p.interlock,
        offsets: p.offsets.iter().map(offset).collect(),
        min_row_width: length(&p.min_row_width),
        min_end_length: length(&p.min_end_length),
        max_run: p.max_run.as_ref().map(|m| m.length),
        carton_tiles: p.carton.as_ref().map(|c| c.tiles),
    }
}

fn offset(f: &sheet::Fraction) -> Offset {
    Offset { num: f.num, den: f.den }
}

fn wish(sheet: &Sheet, area: &sheet::Area, field: &Field) -> Wish {
    let layout = &area.layout;
    Wish {
        along: layout.along.fixed().and_then(|a| along(a, field)),
        offset: layout.offset.fixed().map(offset),
        order: match layout.order {
            sheet::Order::Stepped => Order::Stepped,
            sheet::Order::Alternating => Order::Alternating,
        },
        first_row: layout.first_row.fixed().map(|m| m.length),
        shift: layout.shift.fixed().map(|m| m.length),
        margin: layout.margin.as_ref().map_or(Length::ZERO, |m| m.length),
        grid: grid(sheet.units),
        spots: Vec::new(),
    }
}

fn along(along: &sheet::Along, field: &Field) -> Option<Along> {
    match along {
        sheet::Along::Angle(angle) => {
            Some(Along { direction: Direction::from_degrees(angle.degrees)?, wall: None })
        }
        sheet::Along::Wall([from, to]) => field.rooms.iter().enumerate().find_map(|(r, placed)| {
            let forward = placed.outline.wall_between(from, to).map(|w| placed.outline.wall(w).direction());
            let backward =
                || placed.outline.wall_between(to, from).map(|w| placed.outline.wall(w).direction());
            let direction = match forward {
                Some(direction) => direction?,
                None => backward()??.reversed(),
            };
            Some(Along { direction, wall: Some((r, from.clone(), to.clone())) })
        }),
    }
}

/// The rooms and passages of an area as the plan takes them, with where each came from in the sheet.
#[derive(Default)]
struct Parts {
    rooms: Vec<Room>,
    passages: Vec<Passage>,
    room_at: Vec<usize>,
    passage_at: Vec<usize>,
    /// Where each room's keep-outs stand within it.
    keepout_at: Vec<Vec<String>>,
}

impl Parts {
    fn of(sheet: &Sheet, resolved: &[ResolvedRoom], area: &sheet::Area, place: &str) -> Answer<Self> {
        let mut parts = Self::default();
        let mut problems = Vec::new();
        for id in &area.rooms {
            let Some((i, room)) = sheet.room(id) else {
                problems.push(Problem::new("sheet.unknown_room", format!("{place}.rooms")).with("name", id));
                continue;
            };
            match plan_room(room, &resolved[i]) {
                Some((room, keepout_at)) => {
                    parts.rooms.push(room);
                    parts.keepout_at.push(keepout_at);
                }
                None => problems.push(
                    Problem::new("room.unsolved", format!("rooms[{i}].tape")).with("room", room.title()),
                ),
            }
            parts.room_at.push(i);
        }
        if !problems.is_empty() {
            return Err(problems);
        }
        for (p, passage) in sheet.passages.iter().enumerate() {
            if let (Some(a), Some(b)) = (parts.end(sheet, &passage.a), parts.end(sheet, &passage.b)) {
                parts.passages.push(Passage { a, b, depth: passage.depth.length });
                parts.passage_at.push(p);
            }
        }
        Ok(parts)
    }

    /// Room and opening of a passage's end by their places in the area; `None` if the room is not in it.
    fn end(&self, sheet: &Sheet, end: &[String; 2]) -> Option<(usize, usize)> {
        let room = self.room_at.iter().position(|&i| sheet.rooms[i].id.as_str() == end[0])?;
        let opening = self.rooms[room].openings.iter().position(|o| o.id.as_str() == end[1])?;
        Some((room, opening))
    }

    /// What trims hide, by room and wall.
    fn trims(&self, sheet: &Sheet) -> Vec<(usize, usize, Length)> {
        let of_room = |(r, room): (usize, &Room)| {
            let edges = sheet.rooms[self.room_at[r]].edges.iter();
            let trim = move |e: &sheet::Edge| {
                let wall = room.outline.wall_between(&e.wall[0], &e.wall[1])?;
                Some((r, wall, e.trim_covers.as_ref()?.length))
            };
            edges.filter_map(trim).collect::<Vec<_>>()
        };
        self.rooms.iter().enumerate().flat_map(of_room).collect()
    }

    /// What the survey leaves in doubt about rooms that are planned all the same.
    fn survey_notes(&self, sheet: &Sheet, resolved: &[ResolvedRoom]) -> Vec<Problem> {
        let doubtful = self.room_at.iter().filter_map(|&i| {
            let room = resolved[i].surveyed.as_ref()?;
            let verdict = super::super::survey::verdict_word(room.verdict);
            let note =
                |code: &str| Problem::new(code, format!("rooms[{i}]")).with("room", sheet.rooms[i].title());
            if verdict != "consistent" {
                return Some(note(&format!("room.is_{verdict}")));
            }
            let lacks: Vec<String> =
                room.lacks.iter().map(|l| lack_words(*l, |mm| show_mm(mm, sheet.units))).collect();
            (!lacks.is_empty()).then(|| note("room.only_quote").with("lacks", lacks.join(", ")))
        });
        doubtful.collect()
    }

    fn problem(&self, problem: &FieldProblem, sheet: &Sheet, place: &str) -> Problem {
        let title = |r: usize| sheet.rooms[self.room_at[r]].title().to_owned();
        let room = |r: usize| format!("rooms[{}]", self.room_at[r]);
        let passage = |p: usize| format!("passages[{}]", self.passage_at[p]);
        let mm = |l: Length| format!("{:.1}", l.mm());
        match problem {
            FieldProblem::Empty => Problem::new("field.empty", place),
            FieldProblem::KeepoutOutside { room: r, keepout } => {
                let at = format!("{}.{}", room(*r), self.keepout_at[*r][*keepout]);
                Problem::new("field.keepout_outside", at).with("id", &self.rooms[*r].keepouts[*keepout].id)
            }
            FieldProblem::OpeningOutside { room: r, opening, wall } => {
                let o = &self.rooms[*r].openings[*opening];
                Problem::new("field.opening_outside", format!("{}.openings[{opening}]", room(*r)))
                    .with("id", &o.id)
                    .with("wall", mm(*wall))
                    .with("from", mm(o.start))
                    .with("to", mm(o.start + o.width))
            }
            FieldProblem::Unjoined { room: r } => {
                Problem::new("field.unjoined", format!("{place}.rooms[{r}]")).with("room", title(*r))
            }
            FieldProblem::LoopOpen { passage: p, off } => {
                Problem::new("field.passage_loop", passage(*p)).with("off", mm(*off))
            }
            FieldProblem::WidthDiffers { passage: p, off } => {
                Problem::new("field.passage_width", passage(*p)).with("off", mm(*off))
            }
            FieldProblem::Overlap { a, b } => Problem::new("field.overlap", format!("{place}.rooms"))
                .with("a", title(*a))
                .with("b", title(*b)),
        }
    }
}

/// The floor of one room of a sheet by itself, drawn in by this gap, in its own plan coordinates; with what was odd.
///
/// # Errors
/// Everything that keeps the room from having a floor; nothing where it has no shape yet.
pub(crate) fn floor_of_room(
    sheet: &Sheet,
    index: usize,
    resolved: &ResolvedRoom,
    gap: Length,
) -> Answer<(Region, Vec<Problem>)> {
    let found = sheet.rooms.get(index).and_then(|room| plan_room(room, resolved));
    let (room, keepout_at) = found.ok_or_else(Vec::new)?;
    let parts =
        Parts { rooms: vec![room], room_at: vec![index], keepout_at: vec![keepout_at], ..Parts::default() };
    let told = |found: &[FieldProblem]| -> Vec<Problem> {
        found.iter().map(|problem| parts.problem(problem, sheet, &format!("rooms[{index}]"))).collect()
    };
    match Field::new(&parts.rooms, &[], gap) {
        Ok(field) => Ok((field.region.clone(), told(&field.notes))),
        Err(found) => Err(told(&found)),
    }
}

/// A room as the plan takes it, and where each of its keep-outs stands within it.
pub(crate) fn plan_room(room: &sheet::Room, resolved: &ResolvedRoom) -> Option<(Room, Vec<String>)> {
    let outline = resolved.outline.clone()?;
    let wall = |corners: &[CornerId; 2]| outline.wall_between(&corners[0], &corners[1]);
    let openings = room.openings.iter().filter_map(|o| {
        Some(Opening {
            id: o.id.clone(),
            wall: wall(&o.wall)?,
            start: o.start.length,
            width: o.width.length,
            reach: o.reach.as_ref().map_or(Length::ZERO, |r| r.length),
        })
    });
    let gaps = room.edges.iter().filter_map(|e| Some((wall(&e.wall)?, e.gap.as_ref()?.length)));
    let (keepouts, places) = goes_round(room, resolved)
        .into_iter()
        .map(|it| (Keepout { id: it.id, ring: it.ring }, it.place))
        .unzip();
    let room = Room {
        id: room.id.clone(),
        keepouts,
        openings: openings.collect(),
        gaps: gaps.collect(),
        bows: resolved.bowed.iter().map(bow).collect(),
        outline,
    };
    Some((room, places))
}

fn bow(wall: &BowedWall) -> (usize, Vec<Point>) {
    let points = wall.points.iter().filter_map(|&(x, y)| Point::from_mm_rounded(x, y));
    (wall.wall, points.collect())
}

fn plan_problem(e: PlanError, product: &Product, place: &str) -> Problem {
    match e {
        PlanError::NoField => Problem::new("field.empty", place),
        PlanError::TooMany(n) => Problem::new("plan.too_many", place)
            .with("found", format!("{n:.0}"))
            .with("most", format!("{:.0}", drylay_plan::plan::MOST_PIECES)),
        PlanError::ForbiddenOffset => {
            let allowed: Vec<String> = product.offsets.iter().map(ToString::to_string).collect();
            Problem::new("layout.forbidden_offset", format!("{place}.layout.offset"))
                .with("found", "")
                .with("allowed", allowed.join(", "))
        }
        PlanError::FirstRow => Problem::new("layout.first_row_too_long", format!("{place}.layout.first_row"))
            .with("found", "")
            .with("most", format!("{:.1} mm", product.width.mm())),
        PlanError::Shift => Problem::new("layout.shift_too_long", format!("{place}.layout.shift"))
            .with("found", "")
            .with("most", format!("{:.1} mm", product.length.mm())),
        PlanError::NoOffsets => {
            Problem::new("layout.no_offsets", format!("{place}.product")).with("product", &product.id)
        }
    }
}
