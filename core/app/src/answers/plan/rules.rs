//! Rules with their source, and the order of laying, as they are written.

use super::area::PlannedArea;
use super::asked::{OverhangAt, OverhangOf};
use super::wire::BreachAnswer;
use crate::words::say as word;
use drylay_geometry::Length;
use drylay_plan::asked::{Found, Judged, Source, Spacing};
use drylay_plan::interlock::{Engagement, Hindrance, Interlock, Motion, Remedy, Side, Trapped};
use drylay_plan::spots::{self, Kind, ShortCut, Spot};
use drylay_plan::{Offset, Rule};
use serde::Serialize;

/// A rule that was asked, and what was found.
#[derive(Debug, Serialize)]
pub struct RuleAnswer {
    /// `rows`, `joint`, `gap` or `offset`.
    pub rule: &'static str,
    /// What the plan has: mm, or for `offset` a part of the tile's length.
    pub value: f64,
    /// What the rule asks.
    pub limit: f64,
    /// Whether it holds.
    pub held: bool,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
}

/// Something to be done that no plan shows.
#[derive(Debug, Serialize)]
pub struct InstructionAnswer {
    /// What, in the words of the product's data.
    pub say: String,
    /// Where it stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
}

impl InstructionAnswer {
    pub(super) fn of((say, source): &(String, Source)) -> Self {
        Self { say: say.clone(), source: source.text.clone(), edition: source.edition.clone() }
    }
}

/// What can be done about a breach.
#[derive(Debug, Serialize)]
pub struct RemedyAnswer {
    /// `equal_rows`, `wider_joint`, `wider_gap`, `smaller_offset`, `shave`, `raise` or `widen`.
    pub what: &'static str,
    /// To how many mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<f64>,
    /// Lips to be shaved off. The piece is slid in flat and bonded at these joints.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lips: Vec<LipAnswer>,
    /// What is to be raised.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub overhang: Option<PlaceAnswer>,
}

/// The locking lip of a laid piece.
#[derive(Debug, Serialize)]
pub struct LipAnswer {
    /// The piece.
    pub piece: String,
    /// Its side: `low`, `high`, `start` or `end`.
    pub side: &'static str,
}

/// Where something hangs over the floor.
#[derive(Debug, Serialize)]
pub struct PlaceAnswer {
    /// The room.
    pub room: String,
    /// The wall it hangs along.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<[String; 2]>,
    /// What it hangs around.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub keepout: Option<String>,
    /// The opening whose jambs it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening: Option<String>,
}

/// Where laying begins: at the sides that bear the tongue.
#[derive(Debug, Serialize)]
pub struct BeginsAnswer {
    /// `low`: from row 1 on; `high`: from the last row back.
    pub rows: &'static str,
    /// `start`: each row from its start; `end`: from its far end.
    pub ends: &'static str,
}

/// How much of a rail may be chipped off, mm.
#[derive(Debug, Serialize)]
pub struct ChipsAnswer {
    /// Of a side along the row.
    pub long: f64,
    /// Of an end.
    pub short: f64,
}

/// How a plan is laid.
#[derive(Debug, Serialize)]
pub struct LayingAnswer {
    /// Where it begins.
    pub begins: BeginsAnswer,
    /// Which rail of the tiles faces each wall.
    pub rails: Vec<RailAnswer>,
    /// Every piece once, in an order in which each engages only what lies before it.
    pub order: Vec<StepAnswer>,
    /// How much of a rail may be chipped off if the rest is whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub chips: Option<ChipsAnswer>,
    /// Where it stands how the product engages.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
}

/// Which rail faces a wall.
#[derive(Debug, Serialize)]
pub struct RailAnswer {
    /// The room.
    pub room: String,
    /// The wall, by its corners.
    pub wall: [String; 2],
    /// The side of the tiles: `low`, `high`, `start` or `end`.
    pub side: &'static str,
    /// `tongue` or `groove`.
    pub rail: &'static str,
}

/// A piece in the order of laying.
#[derive(Debug, Serialize)]
pub struct StepAnswer {
    /// The piece.
    pub piece: String,
    /// `placed` where there is nothing to engage, `angled`, `dropped`, `slid` or `trapped`.
    pub how: &'static str,
    /// Pieces it engages.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub into: Vec<String>,
}

/// What governs the movement joints.
#[derive(Debug, Serialize)]
pub struct MovementAnswer {
    /// No run may be longer.
    pub run: f64,
    /// The longest that is left.
    pub longest: f64,
    /// The joints are at least so wide.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<f64>,
    /// Where the figure stands.
    pub source: String,
    /// Which edition of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
}

impl MovementAnswer {
    pub(super) fn of(area: &PlannedArea, spacing: &Spacing, longest: Length) -> Self {
        let own = || Source { text: data_sheet(area), edition: None };
        let source = spacing.source.clone().unwrap_or_else(own);
        Self {
            run: spacing.run.mm(),
            longest: longest.mm(),
            width: spacing.width.map(Length::mm),
            source: source.text,
            edition: source.edition,
        }
    }
}

/// The source of the product's own limits.
pub(super) fn data_sheet(area: &PlannedArea) -> String {
    word("source.data_sheet", &[("product", &area.asked.title)])
}

fn part(o: Offset) -> f64 {
    f64::from(o.num) / f64::from(o.den.max(1))
}

impl RuleAnswer {
    pub(super) fn of(judged: &Judged) -> Self {
        let (rule, value, limit) = figures(judged);
        let Source { text: source, edition } = judged.source.clone();
        Self { rule, value, limit, held: judged.held, source, edition }
    }
}

fn figures(judged: &Judged) -> (&'static str, f64, f64) {
    match judged.found {
        Found::Rows { width, least, .. } => ("rows", width.mm(), least.mm()),
        Found::Joint { width, least } => ("joint", width.mm(), least.mm()),
        Found::Gap { width, least } => ("gap", width.mm(), least.mm()),
        Found::Offset { offset, most } => ("offset", part(offset), part(most)),
    }
}

/// The breach of a rule that does not hold.
fn broken(judged: &Judged) -> BreachAnswer {
    let (rule, value, limit) = figures(judged);
    let Source { text: source, edition } = judged.source.clone();
    let remedy = |what, to| Some(RemedyAnswer { what, to, lips: Vec::new(), overhang: None });
    let remedy = match judged.found {
        Found::Rows { equal, .. } => equal.and_then(|both| remedy("equal_rows", Some(both.mm()))),
        Found::Joint { least, .. } => remedy("wider_joint", Some(least.mm())),
        Found::Gap { least, .. } => remedy("wider_gap", Some(least.mm())),
        Found::Offset { .. } => remedy("smaller_offset", None),
    };
    BreachAnswer { rule, piece: None, value, limit, under: None, at: None, source, edition, remedy }
}

/// All breaches: of the product's least sizes, of the wish for no short cut where it is seen, of the rules that were asked, and pieces that cannot be engaged.
pub(crate) fn breaches(area: &PlannedArea) -> Vec<BreachAnswer> {
    let own = area.plan.breaches.iter().map(|b| least_size(area, &area.plan, b));
    let asked = area.judged.iter().filter(|j| !j.held).map(broken);
    let caught = area.laid.iter().flat_map(|l| &l.trapped).map(|t| trapped(area, t));
    own.chain(short_cuts(area)).chain(asked).chain(caught).collect()
}

/// Pieces that are cut shorter than wished where it is seen.
fn short_cuts(area: &PlannedArea) -> Vec<BreachAnswer> {
    let spots: Vec<Spot> = area.spots.iter().map(|(spot, _)| spot.clone()).collect();
    let (plan, direction) = (&area.plan, area.plan.choice.along.direction);
    let told = |short: ShortCut| {
        let (spot, (room, opening)) = &area.spots[short.spot];
        let at = PlaceAnswer {
            room: room.to_string(),
            wall: None,
            keepout: None,
            opening: Some(opening.to_string()),
        };
        BreachAnswer {
            rule: if spot.kind == Kind::Doorway { "doorway" } else { "sight_line" },
            piece: Some(plan.pieces[short.piece].name()),
            value: short.value.mm(),
            limit: short.limit.mm(),
            under: None,
            at: Some(at),
            source: word("source.wish", &[]),
            edition: None,
            remedy: None,
        }
    };
    spots::short_cuts(&spots, &area.product, direction, &plan.pieces).into_iter().map(told).collect()
}

/// The breach of a least size.
pub(super) fn least_size(
    area: &PlannedArea,
    plan: &drylay_plan::Plan,
    b: &drylay_plan::Breach,
) -> BreachAnswer {
    BreachAnswer {
        rule: if b.rule == Rule::Narrow { "narrow" } else { "short" },
        piece: Some(plan.pieces[b.piece].name()),
        value: b.value.mm(),
        limit: b.limit.mm(),
        under: None,
        at: None,
        source: data_sheet(area),
        edition: None,
        remedy: None,
    }
}

fn trapped(area: &PlannedArea, t: &Trapped) -> BreachAnswer {
    let (value, limit) = match t.hindrance {
        Hindrance::Height { value, limit, .. } | Hindrance::Room { value, limit } => (value, limit),
    };
    let place = |overhang: &usize| area.asked.overhangs.get(*overhang).map(|(_, at)| PlaceAnswer::of(at));
    let under = match &t.hindrance {
        Hindrance::Height { overhang, .. } => place(overhang),
        Hindrance::Room { .. } => None,
    };
    let source = area.asked.engagement.as_ref().map(|(_, source)| source.clone()).unwrap_or_default();
    let name = |piece: &usize| area.plan.pieces[*piece].name();
    let none = RemedyAnswer { what: "", to: None, lips: Vec::new(), overhang: None };
    let remedy = match &t.remedy {
        Remedy::Shave(lips) => {
            let lip =
                |(piece, side): &(usize, Side)| LipAnswer { piece: name(piece), side: side_word(*side) };
            RemedyAnswer { what: "shave", lips: lips.iter().map(lip).collect(), ..none }
        }
        Remedy::Raise(overhang, to) => {
            RemedyAnswer { what: "raise", to: Some(to.mm()), overhang: place(overhang), ..none }
        }
        Remedy::Widen(to) => RemedyAnswer { what: "widen", to: Some(to.mm()), ..none },
    };
    BreachAnswer {
        rule: "trapped",
        piece: Some(name(&t.piece)),
        value: value.mm(),
        limit: limit.mm(),
        under,
        at: None,
        source: source.text,
        edition: source.edition,
        remedy: Some(remedy),
    }
}

impl PlaceAnswer {
    fn of(at: &OverhangAt) -> Self {
        let none = Self { room: at.room.to_string(), wall: None, keepout: None, opening: None };
        match &at.what {
            OverhangOf::Wall(wall) => Self { wall: Some(wall.clone()), ..none },
            OverhangOf::Keepout(id) => Self { keepout: Some(id.clone()), ..none },
            OverhangOf::Opening(id) => Self { opening: Some(id.clone()), ..none },
        }
    }
}

/// A side of a tile as the word of the format.
fn side_word(side: Side) -> &'static str {
    match side {
        Side::Low => "low",
        Side::High => "high",
        Side::Start => "start",
        Side::End => "end",
    }
}

impl LayingAnswer {
    pub(super) fn of(area: &PlannedArea, laid: &Interlock) -> Self {
        let rail = |r: &drylay_plan::interlock::WallRail| {
            let placed = &area.field.rooms[r.room];
            let corners = placed.outline.corners();
            let (from, to) = (&corners[r.wall].id, &corners[(r.wall + 1) % corners.len()].id);
            RailAnswer {
                room: placed.id.to_string(),
                wall: [from.to_string(), to.to_string()],
                side: side_word(r.side),
                rail: if r.tongue { "tongue" } else { "groove" },
            }
        };
        let name = |piece: usize| area.plan.pieces[piece].name();
        let step = |s: &drylay_plan::interlock::Step| StepAnswer {
            piece: name(s.piece),
            how: match s.motion {
                Some(Motion::Angle) => "angled",
                Some(Motion::Drop) => "dropped",
                Some(Motion::Slide) => "slid",
                None if s.into.is_empty() => "placed",
                None => "trapped",
            },
            into: s.into.iter().map(|(other, _)| name(*other)).collect(),
        };
        let engagement = area.asked.engagement.as_ref();
        let source = engagement.map(|(_, source)| source.clone()).unwrap_or_default();
        let tongue = |side: fn(&Engagement) -> Side| engagement.map_or("", |(e, _)| side_word(side(e)));
        Self {
            begins: BeginsAnswer { rows: tongue(|e| e.long_tongue), ends: tongue(|e| e.short_tongue) },
            rails: laid.rails.iter().map(rail).collect(),
            order: laid.order.iter().map(step).collect(),
            chips: area.asked.chips.map(|(long, short)| ChipsAnswer { long: long.mm(), short: short.mm() }),
            source: source.text,
            edition: source.edition,
        }
    }
}
