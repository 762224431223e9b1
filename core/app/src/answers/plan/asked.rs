//! What a sheet asks of a plan besides the product's least sizes, as the plan takes it.

use drylay_document::sheet::{self, Sheet};
use drylay_geometry::{Direction, Length, RoomId};
use drylay_plan::asked::{
    Asked, GapRule, JointRule, Made, MovementRule, OffsetRule, RowRule, Source, TileEdges, Warmth,
};
use drylay_plan::interlock::{Engagement, Interlock, Motion, Overhang, Side, interlock};
use drylay_plan::{Field, Offset, Plan, Product, Room};

/// What is asked of an area's plan.
#[derive(Clone, Debug)]
pub struct AskedOf {
    /// The product as people call it.
    pub title: String,
    /// Rules with their source.
    pub asked: Asked,
    /// How tiles were made.
    pub made: Made,
    /// How rails engage, and where that stands.
    pub engagement: Option<(Engagement, Source)>,
    /// How much of a rail may be chipped off, of a side along the row and of an end.
    pub chips: Option<(Length, Length)>,
    /// What hangs over the floor, and where.
    pub overhangs: Vec<(Overhang, OverhangAt)>,
}

/// Where something hangs over the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct OverhangAt {
    /// The room.
    pub room: RoomId,
    /// What in it.
    pub what: OverhangOf,
}

/// What hangs over the floor.
#[derive(Clone, Debug, PartialEq)]
pub enum OverhangOf {
    /// A wall, by its corners.
    Wall([String; 2]),
    /// The toe-kick of what the floor goes round.
    Keepout(String),
    /// An opening's jambs.
    Opening(String),
}

/// The rooms of an area in the sheet and as they are planned.
pub(super) struct RoomsOf<'a> {
    pub(super) sheet: &'a Sheet,
    /// Index of each room in the sheet.
    pub(super) at: &'a [usize],
    pub(super) rooms: &'a [Room],
    /// Where each room's keep-outs stand within it.
    pub(super) keepout_at: &'a [Vec<String>],
}

impl AskedOf {
    pub(super) fn of(product: &sheet::Product, rooms: &RoomsOf<'_>, field: &Field) -> Self {
        let name = &product.name;
        Self {
            title: if name.is_empty() { product.id.to_string() } else { name.clone() },
            asked: Asked {
                narrowest_gap: rooms.narrowest_gap(product),
                yearly_range: rooms.yearly_range(),
                ..product.rules.as_ref().map(|rules| asked(rules, &rooms.settings())).unwrap_or_default()
            },
            made: product.made.as_ref().map(made).unwrap_or_default(),
            engagement: product.engagement.as_ref().and_then(|e| engagement(product, e)),
            chips: product
                .engagement
                .as_ref()
                .and_then(|e| e.chips.as_ref())
                .map(|c| (c.long.length, c.short.length)),
            overhangs: rooms.overhangs(field),
        }
    }
}

impl AskedOf {
    /// How a plan is laid, where the product says how it engages.
    pub(super) fn laid(&self, product: &Product, plan: &Plan, field: &Field) -> Option<Interlock> {
        let (engagement, _) = self.engagement.as_ref()?;
        let overhangs: Vec<Overhang> = self.overhangs.iter().map(|(o, _)| o.clone()).collect();
        Some(interlock(product, engagement, plan, field, &overhangs))
    }
}

impl RoomsOf<'_> {
    fn settings(&self) -> Vec<sheet::Setting> {
        self.at.iter().flat_map(|&i| &self.sheet.rooms[i].settings).copied().collect()
    }

    /// The widest range of the year's warmth in any of the rooms.
    fn yearly_range(&self) -> Option<f64> {
        let ranges = self.at.iter().filter_map(|&i| self.sheet.rooms[i].yearly_range);
        ranges.reduce(f64::max)
    }

    /// The narrowest gap of any wall, and of what the floor goes round.
    fn narrowest_gap(&self, product: &sheet::Product) -> Option<Length> {
        let own = product.edge_gap.as_ref().map_or(Length::ZERO, |gap| gap.length);
        let of_room = |room: &Room| {
            let gap =
                |wall: usize| room.gaps.iter().rev().find(|(w, _)| *w == wall).map_or(own, |(_, gap)| *gap);
            let walls = (0..room.outline.corners().len()).map(gap).min();
            walls.map(|gap| if room.keepouts.is_empty() { gap } else { gap.min(own) })
        };
        self.rooms.iter().filter_map(of_room).min()
    }

    fn overhangs(&self, field: &Field) -> Vec<(Overhang, OverhangAt)> {
        let mut all = Vec::new();
        for (r, &i) in self.at.iter().enumerate() {
            let (room, placed) = (&self.sheet.rooms[i], &field.rooms[r]);
            let mut add = |what: OverhangOf, found: Vec<Overhang>| {
                let at = OverhangAt { room: room.id.clone(), what };
                all.extend(found.into_iter().map(|overhang| (overhang, at.clone())));
            };
            for edge in &room.edges {
                let wall = placed.outline.wall_between(&edge.wall[0], &edge.wall[1]);
                if let (Some(o), Some(wall)) = (&edge.overhang, wall) {
                    let line = placed.outline.wall(wall);
                    let found = Overhang::along(line.from, line.to, o.depth.length, o.height.length);
                    let names = [edge.wall[0].to_string(), edge.wall[1].to_string()];
                    add(OverhangOf::Wall(names), found.into_iter().collect());
                }
            }
            for (k, keepout) in room.keepouts.iter().enumerate() {
                let at = self.keepout_at[r].iter().position(|place| *place == format!("keepouts[{k}]"));
                if let (Some(o), Some(at)) = (&keepout.overhang, at) {
                    let mut ring = self.rooms[r].keepouts[at].ring.clone();
                    ring.points.iter_mut().for_each(|p| *p = placed.to_area(*p));
                    let found = Overhang::around(&ring, o.depth.length, o.height.length);
                    add(OverhangOf::Keepout(keepout.id.to_string()), found);
                }
            }
            for opening in &room.openings {
                let place = field.openings.iter().find(|p| {
                    p.room == r && self.rooms[r].openings.get(p.opening).is_some_and(|o| o.id == opening.id)
                });
                if let (Some(o), Some(place)) = (&opening.jambs, place) {
                    let found = Overhang::jambs(place, o.depth.length, o.height.length);
                    add(OverhangOf::Opening(opening.id.to_string()), found);
                }
            }
        }
        all
    }
}

fn source(text: &str, edition: &Option<String>) -> Source {
    Source { text: text.to_owned(), edition: edition.clone() }
}

/// The rules that apply in these settings.
fn asked(rules: &sheet::Rules, settings: &[sheet::Setting]) -> Asked {
    let length = |m: &Option<sheet::Measure>| m.as_ref().map(|m| m.length);
    let here = |rule: &&sheet::MovementRule| {
        rule.settings.is_empty() || rule.settings.iter().any(|s| settings.contains(s))
    };
    let rows = rules
        .rows
        .iter()
        .map(|rule| RowRule { least: rule.least.length, source: source(&rule.source, &rule.edition) });
    let movement = rules.movement.iter().filter(here).map(|rule| MovementRule {
        run: rule.run.length,
        width: length(&rule.width),
        widths: rule.widths.iter().map(|at| (at.run.length, at.width.length)).collect(),
        warmth: rule.warmth.as_ref().map(|w| Warmth { over: w.over, each: w.each, add: w.add.length }),
        source: source(&rule.source, &rule.edition),
    });
    let joints = rules.joint.iter().map(|rule| JointRule {
        least: rule.least.length,
        variations: rule.variations,
        plus_warpage: rule.plus_warpage,
        side_over: length(&rule.side_over),
        edges: rule.edges.map(edges),
        offset_only: rule.offset_only,
        source: source(&rule.source, &rule.edition),
    });
    let offsets = rules.offset.iter().map(|rule| OffsetRule {
        most: Offset { num: rule.most.num, den: rule.most.den },
        side_over: length(&rule.side_over),
        source: source(&rule.source, &rule.edition),
    });
    let gaps = rules
        .gap
        .iter()
        .map(|rule| GapRule { least: rule.least.length, source: source(&rule.source, &rule.edition) });
    let instructions = rules.instructions.iter().map(|i| (i.say.clone(), source(&i.source, &i.edition)));
    Asked {
        rows: rows.collect(),
        movement: movement.collect(),
        joints: joints.collect(),
        offsets: offsets.collect(),
        gaps: gaps.collect(),
        narrowest_gap: None,
        yearly_range: None,
        instructions: instructions.collect(),
    }
}

fn edges(edges: sheet::TileEdges) -> TileEdges {
    match edges {
        sheet::TileEdges::Rectified => TileEdges::Rectified,
        sheet::TileEdges::Calibrated => TileEdges::Calibrated,
    }
}

fn made(made: &sheet::Made) -> Made {
    let length = |m: &Option<sheet::Measure>| m.as_ref().map(|m| m.length);
    Made { edges: made.edges.map(edges), variation: length(&made.variation), warpage: length(&made.warpage) }
}

/// How the rails of an interlocking product engage; what a motion needs was checked with the sheet.
fn engagement(product: &sheet::Product, e: &sheet::Engagement) -> Option<(Engagement, Source)> {
    let thickness = product.thickness.as_ref()?.length;
    let length = |m: &Option<sheet::Measure>, or: Length| m.as_ref().map_or(or, |m| m.length);
    let motion = |m: &sheet::Motion| match m {
        sheet::Motion::Angle => Motion::Angle,
        sheet::Motion::Drop => Motion::Drop,
        sheet::Motion::Slide => Motion::Slide,
    };
    let engagement = Engagement {
        long_tongue: if e.long_tongue == sheet::LongTongue::Low { Side::Low } else { Side::High },
        short_tongue: if e.short_tongue == sheet::ShortTongue::Start { Side::Start } else { Side::End },
        long: e.long.iter().map(motion).collect(),
        short: e.short.iter().map(motion).collect(),
        angle: Direction::from_degrees(e.angle_degrees.unwrap_or(0.0))?,
        thickness,
        lift: length(&e.lift, thickness),
        travel: length(&e.travel, Length::ZERO),
        shaved_travel: e.shaved_travel.as_ref().map(|m| m.length),
    };
    product.interlock.then(|| (engagement, source(&e.source, &e.edition)))
}
