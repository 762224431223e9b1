//! A plan, a piece and what to buy for the screens.

use super::laying;
use crate::answers::{ChangeAnswer, Cuts, PlanArea, PlannedArea, breaches, notation, on_word, tool_word};
use crate::wire::{
    AlternativeView, BestSoFar, ChoiceView, ComparisonLine, DoubtView, MarkView, PieceCard, PieceSize,
    PieceView, PlanComparison, PlanFrame, PlanMeasures, PlanRow, PlanView, Rings, Typed, Units,
};
use crate::words::say;
use drylay_geometry::{CornerId, Direction, Length, Notation, Ring, Shape};
use drylay_plan::compare::{Both, compare};
use drylay_plan::markout::{From, Mark, cut_size};
use drylay_plan::spots::Spot;
use drylay_plan::tools::tool_for;
use drylay_plan::window::{SDS, Why, Window};
use drylay_plan::{Along, Bound, Choice, Cut, Order, Piece, Plan, Standing};
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
}

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

pub(super) fn flat(ring: &Ring) -> Vec<f64> {
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
        instructions: wire.instructions.iter().map(laying::instruction).collect(),
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
    let spots: Vec<Spot> = area.spots.iter().map(|(spot, _)| spot.clone()).collect();
    let c = compare(one, other, &area.product, &spots);
    let less_is_better = |what: &str, both: Both<usize>| {
        line(what, both.one.to_string(), both.other.to_string(), both.one.cmp(&both.other))
    };
    let wide = |what: &str, both: Both<Length>, order: Ordering| {
        line(what, units.planned(both.one).text, units.planned(both.other).text, order)
    };
    let wider_is_better = |what: &str, both: Both<Length>| wide(what, both, both.other.cmp(&both.one));
    let mut lines = vec![less_is_better("compare.breaches", c.breaches)];
    lines.extend(c.short_cuts.map(|both| less_is_better("compare.short_cuts", both)));
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
    let (planned, p) = (&plan.pieces[index], &area.as_cut(index));
    let first = from(plan, index);
    let from_words = if first == "new" {
        say("piece.new_tile", &[("tile", &(plan.sharing.tile_of[index] + 1).to_string())])
    } else {
        say("piece.offcut", &[("piece", &first)])
    };
    let moved = area.moved.get(index).copied().unwrap_or_default();
    let from_words = match (moved.by.nanometres(), moved.turned) {
        (0, false) => from_words,
        (by, turned) => {
            let by = units.planned(Length::from_nanometres(by).abs()).text;
            let code = if turned { "piece.slid_turned" } else { "piece.slid" };
            format!("{from_words} {}", say(code, &[("by", &by)]))
        }
    };
    let beside = |other: &&Piece| other.row == p.row && other.place.abs_diff(p.place) == 1;
    let broken = breaches(area).into_iter().filter(|b| b.piece.as_deref() == Some(name));
    let (making, when) = (&area.making, when(area, (planned, p), units));
    let (length, width) = cut_size(&area.product, making.cutting.clearance, p, making.grid);
    Some(PieceCard {
        id: p.name(),
        row: count(p.row),
        place: count(p.place),
        cut: cut_name(p.cut).to_owned(),
        cut_words: say(&format!("cut.{}", cut_name(p.cut)), &[]),
        tile_face: [area.product.length.mm(), area.product.width.mm()],
        on_tile: rings(&p.on_tile),
        size: PieceSize { length: units.planned(length), width: units.planned(width) },
        marks: marks(area, p, units),
        tool_words: tool_words(area, p.cut),
        when: when.when.to_owned(),
        when_words: when.words,
        why_words: when.why,
        neck: when.neck,
        weak_words: when.weak,
        from_words,
        breaches: broken.map(|b| laying::breach(&b, units).words).collect(),
        neighbours: plan.pieces.iter().filter(beside).map(Piece::name).collect(),
    })
}

/// The tool for a class of cut, who says so, and the caution.
fn tool_words(area: &PlannedArea, cut: Cut) -> String {
    let Some(rule) = tool_for(&area.making.cutting.tools, cut) else { return say("tool.whole", &[]) };
    let code = format!("tool.{}", tool_word(rule.tool));
    let source = if rule.source.is_empty() { say("tool.shop", &[]) } else { rule.source };
    say(&code, &[("source", &source)])
}

/// Where to mark, as the core rounds it.
fn marks(area: &PlannedArea, p: &Piece, units: Units) -> Vec<MarkView> {
    let view = |m: &Mark| {
        let (along, code) = match m.from {
            From::Start => ("length", "mark.from_start"),
            From::End => ("length", "mark.from_end"),
            From::Low => ("width", "mark.from_low"),
            From::High => ("width", "mark.from_high"),
        };
        let Typed { text, mm } = units.planned(m.figure);
        MarkView {
            edge: on_word(m.on).to_owned(),
            along: along.to_owned(),
            text,
            mm,
            from_words: say(code, &[]),
        }
    };
    Cuts::new(area).marks(p).iter().map(view).collect()
}

/// When a piece may be cut and why, its neck and whether that is too weak.
struct When {
    when: &'static str,
    words: String,
    why: String,
    neck: Option<Typed>,
    weak: String,
}

fn when(area: &PlannedArea, (planned, p): (&Piece, &Piece), units: Units) -> When {
    let cuts = Cuts::new(area);
    let Some(window) = cuts.window(planned) else {
        return When {
            when: "whole",
            words: String::new(),
            why: String::new(),
            neck: None,
            weak: String::new(),
        };
    };
    let neck = cuts.neck(p);
    let least = area.making.cutting.min_neck.map(|least| units.planned(least).text).unwrap_or_default();
    let weak = area.making.cutting.is_too_weak(neck) == Some(true);
    let when = if window.why.is_none() { "cut_ahead" } else { "measure_first" };
    When {
        when,
        words: say(&format!("when.{when}"), &[]),
        why: why(&cuts, &window, units),
        neck: Some(units.planned(neck)),
        weak: if weak { say("piece.weak", &[("least", &least)]) } else { String::new() },
    }
}

fn why(cuts: &Cuts<'_>, w: &Window, units: Units) -> String {
    let fine = |mm: f64| match (units, Length::from_mm_f64(mm.abs())) {
        (Units::Imperial | Units::Inches, Some(length)) => length.show(Notation::Inches(32)),
        _ => format!("{:.1} mm", mm.abs()),
    };
    let [left, right] = w.wall.map(|wall| cuts.wall_name(wall).1).unwrap_or_default();
    let doubt = fine(SDS * w.sd.unwrap_or(0.0));
    let code = match w.why {
        None if w.sd.is_some_and(|sd| sd < drylay_plan::window::SURE) => "why.fits_exact",
        None => "why.fits",
        Some(Why::GapInDoubt) => "why.gap",
        Some(Why::TrimInDoubt) => "why.trim",
        Some(Why::NoTrim) => "why.no_trim",
        Some(Why::NoWall) => "why.no_wall",
        Some(Why::OtherRoom) => "why.other_room",
    };
    let trim = w.room.1.unwrap_or(0.0);
    let figures =
        [("left", left), ("right", right), ("doubt", doubt), ("gap", fine(w.room.0)), ("trim", fine(trim))];
    let figures: Vec<(&str, &str)> = figures.iter().map(|(name, text)| (*name, text.as_str())).collect();
    say(if w.room.1.is_some_and(|room| room < 0.0) { "why.no_window" } else { code }, &figures)
}
