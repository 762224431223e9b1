//! A plan, a piece and what to buy for the screens.

use super::laying;
use crate::answers::{ChangeAnswer, PlanArea, PlannedArea, breaches, grid, notation};
use crate::wire::{
    AlternativeView, BestSoFar, ChoiceView, ComparisonLine, DoubtView, MarkView, PieceCard, PieceSize,
    PieceView, PlanComparison, PlanFrame, PlanMeasures, PlanRow, PlanView, Rings, Typed, Units,
};
use crate::words::say;
use drylay_geometry::{CornerId, Direction, Length, Notation, Point, Ring, Shape};
use drylay_plan::compare::{Both, compare};
use drylay_plan::{Along, Bound, Choice, Cut, Order, Piece, Plan, Product, Standing};
use std::cmp::Ordering;

impl Units {
    fn of_sheet(self) -> drylay_document::sheet::Units {
        match self {
            Self::Imperial => drylay_document::sheet::Units::Imperial,
            Self::Inches => drylay_document::sheet::Units::Inches,
            Self::Metric => drylay_document::sheet::Units::Metric,
        }
    }

    /// A planned length on the marking-out grid.
    pub(crate) fn planned(self, length: Length) -> Typed {
        Typed { text: length.show(notation(self.of_sheet())), mm: length.mm() }
    }

    /// A length to mark out, rounded down to the grid: a piece must go in.
    fn marked(self, length: Length) -> Typed {
        self.planned(length.round_down_to(grid(self.of_sheet())))
    }
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn flat(ring: &Ring) -> Vec<f64> {
    ring.points.iter().flat_map(|p| [p.mm().0, p.mm().1]).collect()
}

pub(crate) fn rings(shape: &Shape) -> Rings {
    Rings { outer: flat(&shape.outer), holes: shape.holes.iter().map(flat).collect() }
}

/// A plan for the screens, all pieces in it; the version is for the caller to fill in.
pub(crate) fn view(area: &PlannedArea, units: Units, accepted: bool) -> PlanView {
    let plan = &area.plan;
    let wire = PlanArea::of(area);
    PlanView {
        area: area.id.clone(),
        version: String::new(),
        same: false,
        accepted,
        choice: choice(area, &plan.choice, units),
        frame: PlanFrame { angle_degrees: plan.choice.along.direction.degrees() },
        field: area.field.region.shapes.iter().map(rings).collect(),
        field_m2: area.field.area_m2(),
        tiles: count(plan.sharing.tiles),
        proven_minimum: count(plan.sharing.least),
        cartons: plan.cartons(&area.product).map(count),
        waste: plan.waste(&area.product),
        sure: sure(area, accepted),
        rows: plan
            .rows
            .iter()
            .enumerate()
            .map(|(i, width)| PlanRow { row: count(i + 1), width: units.planned(*width) })
            .collect(),
        pieces: (0..plan.pieces.len()).map(|i| piece(plan, i, &wire)).collect(),
        removed: Vec::new(),
        joints: wire.movement_joints.iter().map(|joint| joint.line).collect(),
        movement: laying::movement(&wire, units),
        measures: measures(plan, units),
        breaches: wire.breaches.iter().map(|b| laying::breach(b, units)).collect(),
        rules: wire.rules.iter().map(|r| laying::rule(r, units)).collect(),
        laying: laying::laying(&wire, units),
        alternatives: area.others.iter().map(|other| alternative(area, other, units)).collect(),
        doubts: wire.doubt.iter().flat_map(|d| &d.changes).map(|c| doubt(c, units)).collect(),
        problems: area.notes.clone(),
    }
}

fn doubt(c: &ChangeAnswer, units: Units) -> DoubtView {
    let by = match (units, Length::from_mm_f64(c.by.abs())) {
        (Units::Imperial | Units::Inches, Some(by)) => by.show(Notation::Inches(64)),
        _ => format!("{:.1} mm", c.by.abs()),
    };
    let way = if c.by < 0.0 { "doubt.inwards" } else { "doubt.outwards" };
    let off = match &c.wall {
        Some([from, to]) => say(way, &[("from", from), ("to", to), ("by", &by)]),
        None => say("doubt.shape", &[("by", &by)]),
    };
    let kind = match (c.change, c.rule) {
        ("appears", _) => "doubt.appears",
        ("vanishes", _) => "doubt.vanishes",
        ("breaks", Some("narrow")) => "doubt.narrow",
        ("breaks", _) => "doubt.short",
        _ => "doubt.mends",
    };
    DoubtView {
        piece: c.piece.clone(),
        change: c.change.to_owned(),
        sds: u32::from(c.sds),
        words: say(kind, &[("piece", &c.piece), ("off", &off)]),
    }
}

fn sure(area: &PlannedArea, accepted: bool) -> String {
    let code = match (accepted, area.proven) {
        (true, _) => "plan.accepted",
        (false, true) => "plan.proven",
        (false, false) => "plan.best_so_far",
    };
    say(code, &[("tried", &area.tried.to_string())])
}

/// The best choice of a search so far.
pub(crate) fn best_so_far(best: &Standing, bound: &Bound, units: Units) -> BestSoFar {
    let narrowest = units.planned(best.narrowest);
    let figures = [
        ("tiles", best.tiles.to_string()),
        ("least", bound.tiles.to_string()),
        ("narrowest", narrowest.text.clone()),
        ("breaches", best.breaches.to_string()),
    ];
    let figures: Vec<(&str, &str)> = figures.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let words = if best.breaches > 0 { "plan.so_far_breaches" } else { "plan.so_far" };
    BestSoFar {
        token: token(&best.choice),
        tiles: count(best.tiles),
        cartons: best.cartons.map(count),
        narrowest,
        cut_pieces: count(best.cut_pieces),
        breaches: count(best.breaches),
        least_tiles: count(bound.tiles),
        least_cartons: bound.cartons.map(count),
        words: say(words, &figures),
    }
}

/// The choice as a token: everything that [`parse_token`] needs to store it.
fn token(c: &Choice) -> String {
    let (room, from, to) = match &c.along.wall {
        Some((room, from, to)) => (room.to_string(), from.to_string(), to.to_string()),
        None => Default::default(),
    };
    let parts = [
        c.along.direction.degrees().to_string(),
        room,
        from,
        to,
        c.offset.to_string(),
        if c.order == Order::Stepped { "s".to_owned() } else { "a".to_owned() },
        c.first_row.nanometres().to_string(),
        c.shift.nanometres().to_string(),
    ];
    parts.join("|")
}

/// What a token says.
#[derive(Debug, PartialEq)]
pub(crate) struct Token {
    pub(crate) degrees: f64,
    pub(crate) wall: Option<(usize, String, String)>,
    pub(crate) offset: String,
    pub(crate) order: Order,
    pub(crate) first_row: Length,
    pub(crate) shift: Length,
}

/// Reads a token; `None` for a text that is none.
pub(crate) fn parse_token(text: &str) -> Option<Token> {
    let parts: Vec<&str> = text.split('|').collect();
    let [degrees, room, from, to, offset, order, first_row, shift] = parts[..] else { return None };
    let nanometres = |text: &str| {
        let nm = text.parse::<i64>().ok().filter(|nm| (1..=Length::LIMIT.nanometres()).contains(nm))?;
        Some(Length::from_nanometres(nm))
    };
    Some(Token {
        degrees: degrees.parse().ok().filter(|d: &f64| d.is_finite())?,
        wall: room.parse().ok().map(|room| (room, from.to_owned(), to.to_owned())),
        offset: offset.to_owned(),
        order: if order == "a" { Order::Alternating } else { Order::Stepped },
        first_row: nanometres(first_row)?,
        shift: nanometres(shift)?,
    })
}

/// The choice that a token names, for an area; `None` where the area has no such wall or the product no such offset.
pub(crate) fn choice_of(token: &Token, area: &PlannedArea) -> Option<Choice> {
    let along = match &token.wall {
        Some((room, from, to)) => {
            let (from, to) = (CornerId::new(from.as_str()), CornerId::new(to.as_str()));
            let outline = &area.field.rooms.get(*room)?.outline;
            let direction = match (outline.wall_between(&from, &to), outline.wall_between(&to, &from)) {
                (Some(wall), _) => outline.wall(wall).direction()?,
                (None, wall) => outline.wall(wall?).direction()?.reversed(),
            };
            Along { direction, wall: Some((*room, from, to)) }
        }
        None => Along { direction: Direction::from_degrees(token.degrees)?, wall: None },
    };
    let offset = *area.product.offsets.iter().find(|o| o.to_string() == token.offset)?;
    Some(Choice { along, offset, order: token.order, first_row: token.first_row, shift: token.shift })
}

/// Two plans of an area side by side.
pub(crate) fn comparison(area: &PlannedArea, one: &Plan, other: &Plan, units: Units) -> PlanComparison {
    let c = compare(one, other, &area.product);
    let less_is_better = |what: &str, both: Both<usize>| {
        line(what, both.one.to_string(), both.other.to_string(), both.one.cmp(&both.other))
    };
    let wide = |what: &str, both: Both<Length>, order: Ordering| {
        line(what, units.planned(both.one).text, units.planned(both.other).text, order)
    };
    let wider_is_better = |what: &str, both: Both<Length>| wide(what, both, both.other.cmp(&both.one));
    let mut lines = vec![less_is_better("compare.breaches", c.breaches)];
    lines.extend(c.cartons.map(|both| less_is_better("compare.cartons", both)));
    lines.extend([
        wider_is_better("compare.narrowest", c.narrowest),
        less_is_better("compare.tiles", c.tiles),
        less_is_better("compare.cut_pieces", c.cut_pieces),
        wider_is_better("compare.shortest_end", c.shortest_end),
        wide("compare.first_row", c.first_row, Ordering::Equal),
        wide("compare.last_row", c.last_row, Ordering::Equal),
    ]);
    let kinds = ["compare.whole", "compare.length", "compare.rip", "compare.corner", "compare.shape"];
    let of_kind = |(what, both): (&str, Both<usize>)| {
        line(what, both.one.to_string(), both.other.to_string(), Ordering::Equal)
    };
    lines.extend(kinds.into_iter().zip(c.by_cut).map(of_kind));
    PlanComparison {
        one: choice(area, &one.choice, units),
        other: choice(area, &other.choice, units),
        better: side(c.worth).to_owned(),
        lines,
    }
}

fn side(order: Ordering) -> &'static str {
    match order {
        Ordering::Less => "one",
        Ordering::Greater => "other",
        Ordering::Equal => "neither",
    }
}

fn line(what: &str, one: String, other: String, order: Ordering) -> ComparisonLine {
    ComparisonLine {
        words: say(what, &[]),
        differs: one != other,
        one,
        other,
        better: side(order).to_owned(),
    }
}

fn choice(area: &PlannedArea, c: &Choice, units: Units) -> ChoiceView {
    let degrees = c.along.direction.degrees();
    let along = c.along.wall.as_ref().map(|(_, from, to)| (from.to_string(), to.to_string()));
    let (offset, order) =
        (c.offset.to_string(), if c.order == Order::Stepped { "stepped" } else { "alternating" });
    let direction = match &c.along.wall {
        Some((_, from, to)) => format!("{from}–{to}"),
        None => format!("{degrees:.1}°"),
    };
    let words = say("plan.choice", &[("along", &direction), ("offset", &offset)]);
    debug_assert!(
        area.rooms.len() >= c.along.wall.as_ref().map_or(0, |w| w.0),
        "the wall is one of the area's"
    );
    ChoiceView {
        token: token(c),
        along,
        angle_degrees: degrees,
        offset,
        order: order.to_owned(),
        first_row: units.planned(c.first_row),
        shift: units.planned(c.shift),
        words,
    }
}

fn cut_name(cut: Cut) -> &'static str {
    match cut {
        Cut::Whole => "whole",
        Cut::Length => "length",
        Cut::Rip => "rip",
        Cut::Corner => "corner",
        Cut::Shape => "shape",
    }
}

fn from(plan: &Plan, index: usize) -> String {
    plan.offcut_of(index).map_or_else(|| "new".to_owned(), |first| plan.pieces[first].name())
}

fn piece(plan: &Plan, index: usize, wire: &PlanArea) -> PieceView {
    let p = &plan.pieces[index];
    let direction = plan.choice.along.direction;
    PieceView {
        id: p.name(),
        row: count(p.row),
        place: count(p.place),
        cut: cut_name(p.cut).to_owned(),
        rings: rings(&p.shape.map(|q| direction.from_frame(q))),
        tile: count(plan.sharing.tile_of[index] + 1),
        from: from(plan, index),
        breach: wire.breaches.iter().any(|b| b.piece.as_deref() == Some(&wire.pieces[index].id)),
    }
}

fn measures(plan: &Plan, units: Units) -> PlanMeasures {
    let m = &plan.measures;
    PlanMeasures {
        first_row: units.planned(m.first_row),
        last_row: units.planned(m.last_row),
        shortest_end: units.planned(m.shortest_end),
        narrowest: units.planned(m.narrowest),
        cut_pieces: count(m.cut_pieces),
    }
}

fn alternative(area: &PlannedArea, plan: &Plan, units: Units) -> AlternativeView {
    let narrowest = units.planned(plan.measures.narrowest);
    let tiles = plan.sharing.tiles.to_string();
    let words = say("plan.alternative", &[("tiles", &tiles), ("narrowest", &narrowest.text)]);
    AlternativeView {
        choice: choice(area, &plan.choice, units),
        tiles: count(plan.sharing.tiles),
        cartons: plan.cartons(&area.product).map(count),
        narrowest,
        cut_pieces: count(plan.measures.cut_pieces),
        breaches: count(plan.breaches.len()),
        words,
    }
}

/// A piece on its tile; `None` if the plan has no piece of that name.
pub(crate) fn card(area: &PlannedArea, units: Units, name: &str) -> Option<PieceCard> {
    let plan = &area.plan;
    let index = plan.pieces.iter().position(|p| p.name() == name)?;
    let p = &plan.pieces[index];
    let first = from(plan, index);
    let from_words = if first == "new" {
        say("piece.new_tile", &[("tile", &(plan.sharing.tile_of[index] + 1).to_string())])
    } else {
        say("piece.offcut", &[("piece", &first)])
    };
    let beside = |other: &&Piece| other.row == p.row && other.place.abs_diff(p.place) == 1;
    let broken = breaches(area).into_iter().filter(|b| b.piece.as_deref() == Some(name));
    Some(PieceCard {
        id: p.name(),
        row: count(p.row),
        place: count(p.place),
        cut: cut_name(p.cut).to_owned(),
        cut_words: say(&format!("cut.{}", cut_name(p.cut)), &[]),
        tile_face: [area.product.length.mm(), area.product.width.mm()],
        on_tile: rings(&p.on_tile),
        size: PieceSize { length: units.marked(p.length), width: units.marked(p.width) },
        marks: marks(&area.product, p, units),
        tool_words: say(&format!("tool.{}", cut_name(p.cut)), &[]),
        from_words,
        breaches: broken.map(|b| laying::breach(&b, units).words).collect(),
        neighbours: plan.pieces.iter().filter(beside).map(Piece::name).collect(),
    })
}

/// How near to an edge, in nanometres, a point counts as on it.
const ON_EDGE: i64 = 1_000;

/// Where to mark: every corner of the piece that is no corner of the tile, by its distance from the edges that the
/// piece touches. Each figure is rounded so that the cut moves into the piece, never out of it: down where the
/// distance is kept, up where it is cut away. So the piece goes in.
fn marks(product: &Product, p: &Piece, units: Units) -> Vec<MarkView> {
    let tile = Tile { length: product.length.nanometres(), width: product.width.nanometres() };
    let points = &p.on_tile.outer.points;
    let Some((lo, _)) = p.on_tile.outer.bounds() else { return Vec::new() };
    let (from_start, from_low) = (near(lo.x, 0), near(lo.y, 0));
    let length = |edge: &str, q: Point, kept_below: bool| {
        let (nm, code) =
            if from_start { (q.x, "mark.from_start") } else { (tile.length - q.x, "mark.from_end") };
        mark(units, (edge, "length"), nm, kept_below == from_start, code)
    };
    let width = |edge: &str, q: Point, kept_below: bool| {
        let (nm, code) = if from_low { (q.y, "mark.from_low") } else { (tile.width - q.y, "mark.from_high") };
        mark(units, (edge, "width"), nm, kept_below == from_low, code)
    };
    let mut marks = Vec::new();
    for (i, &q) in points.iter().enumerate() {
        let (along_kept_below, across_kept_below) = tile.kept_below(points, i);
        let at_end = near(q.x, 0) || near(q.x, tile.length);
        let at_side = near(q.y, 0) || near(q.y, tile.width);
        match (at_end, at_side) {
            (true, true) => {}
            (false, true) => {
                marks.push(length(if near(q.y, 0) { "row_low" } else { "row_high" }, q, along_kept_below));
            }
            (true, false) => {
                marks.push(width(if near(q.x, 0) { "start" } else { "end" }, q, across_kept_below))
            }
            (false, false) => {
                marks.push(length("inside", q, along_kept_below));
                marks.push(width("inside", q, across_kept_below));
            }
        }
    }
    marks
}

fn near(x: i64, edge: i64) -> bool {
    (x - edge).abs() <= ON_EDGE
}

fn mark(units: Units, (edge, along): (&str, &str), nm: i64, kept: bool, from: &str) -> MarkView {
    let (length, step) = (Length::from_nanometres(nm), grid(units.of_sheet()));
    let Typed { text, mm } =
        units.planned(if kept { length.round_down_to(step) } else { length.round_up_to(step) });
    MarkView { edge: edge.to_owned(), along: along.to_owned(), text, mm, from_words: say(from, &[]) }
}

/// The tile's face.
struct Tile {
    length: i64,
    width: i64,
}

impl Tile {
    fn is_edge(&self, a: Point, b: Point) -> bool {
        let both = |f: fn(Point) -> i64, edge: i64| near(f(a), edge) && near(f(b), edge);
        both(|p| p.x, 0) || both(|p| p.x, self.length) || both(|p| p.y, 0) || both(|p| p.y, self.width)
    }

    /// Whether the piece lies on the side of lesser u, and on that of lesser v, of the cuts that meet in a corner.
    /// The ring runs clockwise on the page, so the piece is clockwise of each edge: at (−dv, du).
    fn kept_below(&self, points: &[Point], i: usize) -> (bool, bool) {
        let n = points.len();
        let beside = [(points[(i + n - 1) % n], points[i]), (points[i], points[(i + 1) % n])];
        let cuts = beside.into_iter().filter(|&(a, b)| !self.is_edge(a, b)).map(|(a, b)| b - a);
        let cuts: Vec<_> = cuts.collect();
        let steepest = cuts.iter().max_by_key(|d| d.y.abs()).map_or(0, |d| d.y);
        let flattest = cuts.iter().max_by_key(|d| d.x.abs()).map_or(0, |d| d.x);
        (steepest > 0, flattest < 0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_plan::Offset;

    fn slab() -> Product {
        Product {
            id: "slab".into(),
            length: Length::from_mm(600),
            width: Length::from_mm(300),
            joint: Length::ZERO,
            edge_gap: Length::ZERO,
            kerf: Length::ZERO,
            interlock: true,
            offsets: vec![Offset { num: 1, den: 3 }],
            min_row_width: Length::ZERO,
            min_end_length: Length::ZERO,
            max_run: None,
            carton_tiles: None,
        }
    }

    /// The marks of a piece given in tenths of a millimetre, clockwise: edge, direction, millimetres.
    fn marked(points: &[(i64, i64)]) -> Vec<(String, String, f64)> {
        let ring = Ring::new(points.iter().map(|&(x, y)| Point { x: x * 100_000, y: y * 100_000 }).collect());
        assert_eq!(ring.problems(), []);
        let (lo, hi) = ring.bounds().expect("points");
        let shape = Shape::simple(ring);
        let piece = Piece {
            row: 1,
            place: 1,
            cut: Cut::Shape,
            shape: shape.clone(),
            on_tile: shape,
            length: Length::from_nanometres(hi.x - lo.x),
            width: Length::from_nanometres(hi.y - lo.y),
        };
        marks(&slab(), &piece, Units::Metric).into_iter().map(|m| (m.edge, m.along, m.mm)).collect()
    }
    fn is(edge: &str, along: &str, mm: f64) -> (String, String, f64) {
        (edge.to_owned(), along.to_owned(), mm)
    }

    #[test]
    fn what_is_kept_is_rounded_down() {
        let left = marked(&[(0, 0), (2004, 0), (2006, 3000), (0, 3000)]);
        assert_eq!(left, [is("row_low", "length", 200.0), is("row_high", "length", 200.0)]);
        let right = marked(&[(3996, 0), (6000, 0), (6000, 3000), (3996, 3000)]);
        assert_eq!(right, [is("row_low", "length", 200.0), is("row_high", "length", 200.0)]);
        let corner = marked(&[(0, 0), (2004, 0), (2004, 1006), (0, 1006)]);
        assert_eq!(
            corner,
            [
                is("row_low", "length", 200.0),
                is("inside", "length", 200.0),
                is("inside", "width", 100.0),
                is("start", "width", 100.0)
            ]
        );
    }

    #[test]
    fn what_is_cut_away_is_rounded_up() {
        // A notch of 100.4 × 50.4 at the corner of the start and row 1.
        let notch = marked(&[(1004, 0), (6000, 0), (6000, 3000), (0, 3000), (0, 504), (1004, 504)]);
        assert_eq!(
            notch,
            [
                is("row_low", "length", 101.0),
                is("start", "width", 51.0),
                is("inside", "length", 101.0),
                is("inside", "width", 51.0)
            ]
        );
        // At the far corner 499.6 along and 249.6 across are kept.
        let far = marked(&[(0, 0), (6000, 0), (6000, 2496), (4996, 2496), (4996, 3000), (0, 3000)]);
        assert_eq!(
            far,
            [
                is("end", "width", 249.0),
                is("inside", "length", 499.0),
                is("inside", "width", 249.0),
                is("row_high", "length", 499.0)
            ]
        );
        // A notch in the middle of an edge grows on both sides.
        let middle = marked(&[
            (0, 0),
            (2004, 0),
            (2004, 504),
            (3004, 504),
            (3004, 0),
            (6000, 0),
            (6000, 3000),
            (0, 3000),
        ]);
        assert_eq!(
            middle,
            [
                is("row_low", "length", 200.0),
                is("inside", "length", 200.0),
                is("inside", "width", 51.0),
                is("inside", "length", 301.0),
                is("inside", "width", 51.0),
                is("row_low", "length", 301.0),
            ]
        );
    }
}
