//! From documents to a sheet.

use std::collections::{BTreeMap, BTreeSet};

use drylay_geometry::{CornerId, ItemId, ProductId, RoomId};

use super::{
    Exported, Layouts, LeftOut, Reason, RoomIndex, base, call, compound, laying, measure, measured, prefer,
    quote, supply,
};
use crate::entry::Entry;
use crate::schema as doc;
use crate::sheet::{self, BestOr, Extra, Fraction, Sheet};
use crate::stored::At;
use crate::view::Held;
use crate::{JobView, RoomView};

type FindRoom<'f, 'a> = &'f dyn Fn(&ItemId) -> Option<&'a RoomView>;

pub(super) fn export<'a>(
    job: &JobView,
    rooms: FindRoom<'_, 'a>,
    layouts: Layouts,
    round: Option<i64>,
) -> Exported {
    let facts = job.facts.value.as_ref();
    let text = |field: fn(&doc::JobFacts) -> &Option<String>| {
        facts.and_then(|f| field(f).clone()).unwrap_or_default()
    };
    let info = sheet::JobInfo {
        name: text(|f| &f.name),
        client: text(|f| &f.client),
        site: text(|f| &f.site),
        built: facts.and_then(|f| u32::try_from(f.year_built?).ok().filter(|year| *year > 0)),
        day: facts.and_then(|f| f.lay_day.clone()).filter(|day| sheet::days(day).is_some()),
        call: facts.and_then(call::written),
        extra: Extra::new(),
    };
    let units = match facts.and_then(|f| f.units) {
        Some(doc::Units::Imperial) => sheet::Units::Imperial,
        Some(doc::Units::Inches) => sheet::Units::Inches,
        Some(doc::Units::Metric) | None => sheet::Units::Metric,
    };
    let mut out = Out { job, rooms, layouts, round, index: Vec::new(), left_out: Vec::new() };
    let products = out.products();
    let rooms = out.rooms();
    let names = out.corner_names();
    let passages = out.passages(&rooms);
    let areas = out.areas(&names, &rooms);
    let sheet = Sheet {
        drylay: sheet::VERSION,
        minor: 0,
        job: info,
        units,
        rates: rates(facts),
        products,
        compounds: compound::all(job),
        underlays: base::underlays(job),
        supplies: supply::all(job),
        rooms,
        passages,
        areas,
        quote: quote::written(job),
        extra: Extra::new(),
    };
    Exported { sheet, rooms: out.index, left_out: out.left_out }
}

/// The rates as shares; none where the job has none of its own.
fn rates(facts: Option<&doc::JobFacts>) -> Option<sheet::Rates> {
    let share = |percent: &Option<crate::Decimal>| percent.as_ref().map(|p| p.shifted(-2).to_f64());
    let (breakage, attic) = facts.map(|f| (share(&f.breakage_percent), share(&f.attic_percent)))?;
    (breakage.is_some() || attic.is_some()).then(|| sheet::Rates { breakage, attic, extra: Extra::new() })
}

struct Out<'o, 'f, 'a> {
    job: &'o JobView,
    rooms: FindRoom<'f, 'a>,
    layouts: Layouts,
    round: Option<i64>,
    index: Vec<RoomIndex>,
    left_out: Vec<LeftOut>,
}

/// The names of each room's corners, by the room's link.
type Names = BTreeMap<ItemId, BTreeMap<ItemId, CornerId>>;

impl Out<'_, '_, '_> {
    fn leave<T: Entry>(&mut self, room: Option<&ItemId>, id: &ItemId, why: Reason) {
        self.left_out.push(LeftOut { room: room.cloned(), table: T::TABLE, id: id.clone(), why });
    }

    fn products(&mut self) -> Vec<sheet::Product> {
        let job = self.job;
        let floors = job.products.live.iter().filter(|held| held.value.used_as == doc::Use::Floor);
        let mut products = Vec::new();
        for held in floors {
            match product(job, held) {
                Some(product) => products.push(product),
                None => self.leave::<doc::Product>(None, &held.id, Reason::NoFace),
            }
        }
        products
    }

    fn rooms(&mut self) -> Vec<sheet::Room> {
        let job = self.job;
        let mut rooms = Vec::new();
        for link in job.room_list() {
            match (self.rooms)(&link.id) {
                Some(view) => rooms.push(self.room(link, view)),
                None => self.leave::<doc::RoomLink>(None, &link.id, Reason::NoDocument),
            }
        }
        rooms
    }

    fn room(&mut self, link: &Held<doc::RoomLink>, view: &RoomView) -> sheet::Room {
        let names = corner_names(view);
        let walk = view.walk();
        let mut index = RoomIndex {
            room: Some(link.id.clone()),
            corners: walk.iter().map(|held| held.id.clone()).collect(),
            ..RoomIndex::default()
        };
        let mut rest = RoomOut { out: self, room: &link.id, names: &names, index: &mut index };
        let tape = rest.tape(view);
        let room = sheet::Room {
            id: RoomId::new(link.id.as_str()),
            name: link.value.name.clone(),
            corners: walk.iter().filter_map(|held| names.get(&held.id).cloned()).collect(),
            outline: tape.is_empty().then(|| outline(&walk)).flatten(),
            tape,
            instrument: measured::instrument(view),
            measured: measured::measured(view),
            square: rest.squares(view),
            strings: rest.strings(view),
            located: rest.located(view),
            turns: turns(&walk, &names),
            keepouts: rest.keepouts(view),
            openings: rest.openings(view),
            edges: rest.edges(view),
            settings: measured::settings(view),
            yearly_range: measured::yearly_range(view),
            level: rest.level(view),
            base: base::room_base(view),
            fixtures: base::fixtures(view),
            extra: Extra::new(),
        };
        self.index.push(index);
        room
    }

    fn corner_names(&self) -> Names {
        let rooms = self.job.rooms.live.iter();
        rooms.filter_map(|link| Some((link.id.clone(), corner_names((self.rooms)(&link.id)?)))).collect()
    }

    fn passages(&mut self, rooms: &[sheet::Room]) -> Vec<sheet::Passage> {
        let mut held: Vec<_> = self.job.passages.live.iter().collect();
        held.sort_by(|a, b| (&a.value.place, &a.id).cmp(&(&b.value.place, &b.id)));
        let mut passages = Vec::new();
        for Held { id, value, .. } in held {
            let has = |room: &ItemId, opening: &ItemId| {
                let room = rooms.iter().find(|r| r.id.as_str() == room.as_str());
                room.is_some_and(|r| r.openings.iter().any(|o| o.id == *opening))
            };
            if !has(&value.room_a, &value.opening_a) || !has(&value.room_b, &value.opening_b) {
                self.leave::<doc::Passage>(None, id, Reason::NamesNothing);
                continue;
            }
            passages.push(sheet::Passage {
                a: [value.room_a.to_string(), value.opening_a.to_string()],
                b: [value.room_b.to_string(), value.opening_b.to_string()],
                depth: measure(&value.depth),
                extra: Extra::new(),
            });
        }
        passages
    }

    fn areas(&mut self, names: &Names, in_sheet: &[sheet::Room]) -> Vec<sheet::Area> {
        let mut held: Vec<_> = self.job.areas.live.iter().collect();
        held.sort_by(|a, b| (&a.value.place, &a.id).cmp(&(&b.value.place, &b.id)));
        let mut areas = Vec::new();
        for area in held {
            let rooms: Vec<&ItemId> =
                area.value.rooms.iter().filter(|room| names.contains_key(room)).collect();
            let product =
                self.job.products.get(&area.value.product).is_some_and(|p| product(self.job, p).is_some());
            if rooms.len() < area.value.rooms.len() || rooms.is_empty() || !product {
                self.leave::<doc::Area>(None, &area.id, Reason::NamesNothing);
                continue;
            }
            areas.push(sheet::Area {
                id: area.id.to_string(),
                rooms: rooms.iter().map(|room| RoomId::new(room.as_str())).collect(),
                product: ProductId::new(area.value.product.as_str()),
                underlay: self.underlay(&area.value),
                layout: self.layout(area, &names[rooms[0]], in_sheet),
                measured_pitch: laying::measured_pitch(&area.value),
                laid: laying::laid(self.job, &area.id),
                extra: Extra::new(),
            });
        }
        areas
    }

    /// The underlayment of an area, where the job knows its figures.
    fn underlay(&self, area: &doc::Area) -> Option<ProductId> {
        let id = ProductId::new(area.underlay.as_ref()?.as_str());
        base::underlays(self.job).iter().any(|u| u.id == id).then_some(id)
    }

    fn layout(
        &self,
        area: &Held<doc::Area>,
        names: &BTreeMap<ItemId, CornerId>,
        rooms: &[sheet::Room],
    ) -> sheet::Layout {
        let prefer = prefer::written(&area.value, names, rooms);
        let wished = sheet::Layout { prefer, ..wished(&area.value, names) };
        // Two choices accepted apart both stand; the later by id is taken, and the conflict is shown elsewhere.
        let accepted = self.job.choices_for(&area.id).pop().filter(|_| self.layouts == Layouts::Accepted);
        match accepted {
            None => wished,
            Some(choice) => {
                let in_first =
                    choice.value.wall_room.as_ref().is_none_or(|r| area.value.rooms.first() == Some(r));
                let wall = if in_first { wall_of(&choice.value.wall, names) } else { None };
                let along =
                    wall.map_or_else(|| angle(&choice.value.degrees), |w| Some(sheet::Along::Wall(w)));
                sheet::Layout {
                    along: best_or(along),
                    offset: best_or(Fraction::parse(&choice.value.offset)),
                    order: order(choice.value.order),
                    first_row: BestOr::Fixed(measure(&choice.value.first_row)),
                    shift: BestOr::Fixed(measure(&choice.value.shift)),
                    ..wished
                }
            }
        }
    }
}

fn best_or<T>(value: Option<T>) -> BestOr<T> {
    value.map_or(BestOr::Best, BestOr::Fixed)
}

fn order(order: doc::Order) -> sheet::Order {
    match order {
        doc::Order::Stepped => sheet::Order::Stepped,
        doc::Order::Alternating => sheet::Order::Alternating,
    }
}

fn angle(degrees: &crate::Decimal) -> Option<sheet::Along> {
    let written = degrees.as_str().parse().ok()?;
    Some(sheet::Along::Angle(sheet::Angle { written, degrees: degrees.to_f64() }))
}

pub(super) fn wall_of(corners: &[ItemId], names: &BTreeMap<ItemId, CornerId>) -> Option<[CornerId; 2]> {
    match corners {
        [from, to] => Some([names.get(from)?.clone(), names.get(to)?.clone()]),
        _ => None,
    }
}

fn wished(area: &doc::Area, names: &BTreeMap<ItemId, CornerId>) -> sheet::Layout {
    let along = area.along.as_ref().and_then(|along| match wall_of(&along.wall, names) {
        Some(wall) => Some(sheet::Along::Wall(wall)),
        None => angle(along.degrees.as_ref()?),
    });
    let edge = |wish: &doc::WallWish| {
        let wall = wall_of(&[wish.from.clone(), wish.to.clone()], names)?;
        Some(sheet::EdgeAt { wall, whole_row: wish.whole_row, extra: Extra::new() })
    };
    sheet::Layout {
        along: best_or(along),
        offset: best_or(area.offset.as_deref().and_then(Fraction::parse)),
        order: area.order.map_or(sheet::Order::Stepped, order),
        first_row: best_or(area.first_row.as_ref().map(measure)),
        shift: best_or(area.shift.as_ref().map(measure)),
        margin: area.margin.as_ref().map(measure),
        edges_at: area.walls.iter().filter_map(edge).collect(),
        prefer: None,
        slide: area.slide == Some(true),
        extra: Extra::new(),
    }
}

fn product(job: &JobView, held: &Held<doc::Product>) -> Option<sheet::Product> {
    let Held { id, value, .. } = held;
    let face = sheet::Face {
        length: measure(value.length.as_ref()?),
        width: measure(value.width.as_ref()?),
        extra: Extra::new(),
    };
    let by_carton = |price: &&Held<doc::Price>| price.value.item == id.as_str() && price.value.unit == CARTON;
    let price = job.prices.live.iter().find(by_carton).map(|price| price.value.amount.0.as_str().to_owned());
    let tiles = value.per_pack.and_then(|n| u32::try_from(n).ok());
    let tolerance = |t: &doc::Tolerance| sheet::Tolerance {
        gap: measure(&t.gap),
        span: measure(&t.span),
        sides: if t.sides == doc::Sides::Dips { sheet::Sides::Dips } else { sheet::Sides::Both },
        extra: Extra::new(),
    };
    let demands = value.demands.as_deref().map(sheet::Demands::read).unwrap_or_default();
    Some(sheet::Product {
        id: ProductId::new(id.as_str()),
        name: value.name.clone(),
        face,
        thickness: value.thickness.as_ref().map(measure),
        joint: value.joint.as_ref().map(measure),
        joint_depth: value.joint_depth.as_ref().map(measure),
        edge_gap: value.edge_gap.as_ref().map(measure),
        kerf: value.kerf.as_ref().map(measure),
        interlock: value.interlock.unwrap_or(true),
        offsets: value.offsets.iter().filter_map(|text| Fraction::parse(text)).collect(),
        min_row_width: value.min_row_width.as_ref().map(measure),
        min_end_length: value.min_end_length.as_ref().map(measure),
        max_run: value.max_run.as_ref().map(measure),
        made: demands.made,
        rules: demands.rules,
        engagement: demands.engagement,
        base: demands.base,
        clearance: value.clearance.as_ref().map(measure),
        min_neck: value.min_neck.as_ref().map(measure),
        tools: value.tools.iter().map(laying::sheet_tool).collect(),
        carton: tiles.map(|tiles| {
            let kg = value.pack_kg.as_ref().map(crate::Decimal::to_f64);
            sheet::Carton { tiles, price, kg, extra: Extra::new() }
        }),
        flatness: value.flatness.iter().map(tolerance).collect(),
        extra: Extra::new(),
    })
}

/// The unit of a price by the carton.
pub(super) const CARTON: &str = "carton";

/// The corners' names as the sheet has them: a name that two corners bear (added apart, or by oversight) is made
/// unique by the corner's id.
fn corner_names(view: &RoomView) -> BTreeMap<ItemId, CornerId> {
    let mut taken = BTreeSet::new();
    let mut names = BTreeMap::new();
    for held in view.walk() {
        let name = held.value.name.trim();
        let free = !name.is_empty() && taken.insert(name.to_owned());
        let name = if free { name.to_owned() } else { format!("{name}~{}", held.id) };
        taken.insert(name.clone());
        names.insert(held.id.clone(), CornerId::new(name));
    }
    names
}

fn outline(walk: &[&Held<doc::Corner>]) -> Option<Vec<[sheet::Measure; 2]>> {
    let corners: Option<Vec<_>> = walk.iter().map(|held| held.value.at.as_ref().map(point)).collect();
    corners.filter(|corners| !corners.is_empty())
}

pub(super) fn point(at: &At) -> [sheet::Measure; 2] {
    [measure(&at.x), measure(&at.y)]
}

fn turns(walk: &[&Held<doc::Corner>], names: &BTreeMap<ItemId, CornerId>) -> BTreeMap<String, sheet::Turn> {
    let outside = walk.iter().filter(|held| held.value.turn == doc::Turn::Out);
    outside.filter_map(|held| Some((names.get(&held.id)?.to_string(), sheet::Turn::Out))).collect()
}

/// One room on its way out.
struct RoomOut<'r, 'o, 'f, 'a> {
    out: &'r mut Out<'o, 'f, 'a>,
    room: &'r ItemId,
    names: &'r BTreeMap<ItemId, CornerId>,
    index: &'r mut RoomIndex,
}

/// Entries in the order of the list they came from, then as they were typed, then by id.
pub(super) fn in_order<T>(live: &[Held<T>], listed: impl Fn(&T) -> Option<i64>) -> Vec<&Held<T>> {
    let mut sorted: Vec<&Held<T>> = live.iter().collect();
    sorted
        .sort_by_key(|held| (listed(&held.value).unwrap_or(i64::MAX), held.added.at.utc_ms, held.id.clone()));
    sorted
}

impl RoomOut<'_, '_, '_, '_> {
    fn leave<T: Entry>(&mut self, id: &ItemId, why: Reason) {
        self.out.leave::<T>(Some(self.room), id, why);
    }

    fn ends(&self, from: &ItemId, to: &ItemId) -> Option<[CornerId; 2]> {
        Some([self.names.get(from)?.clone(), self.names.get(to)?.clone()])
    }

    /// The names of two neighbouring corners, either way round.
    fn wall(&self, from: &ItemId, to: &ItemId) -> Result<[CornerId; 2], Reason> {
        let ends = self.ends(from, to).ok_or(Reason::NamesNothing)?;
        let walk = &self.index.corners;
        let following = walk.iter().zip(walk.iter().cycle().skip(1));
        let neighbours = following.into_iter().any(|pair| pair == (from, to) || pair == (to, from));
        if neighbours { Ok(ends) } else { Err(Reason::NotAWall) }
    }

    fn tape(&mut self, view: &RoomView) -> Vec<sheet::TapeReading> {
        let mut tape = Vec::new();
        for Held { id, value, .. } in in_order(&view.tape.live, |t| t.listed) {
            let Some([from, to]) = self.ends(&value.from, &value.to) else {
                self.leave::<doc::TapeReading>(id, Reason::NamesNothing);
                continue;
            };
            self.index.tape.push(id.clone());
            let (read, sd) = (measure(&value.read), value.sd.as_ref().map(measure));
            let measured_to = value.measured_to.map(measured::touched_of);
            let height = value.measured_at.as_ref().map(measure);
            tape.push(sheet::TapeReading { from, to, read, sd, measured_to, height, extra: Extra::new() });
        }
        tape
    }

    fn squares(&mut self, view: &RoomView) -> Vec<sheet::SquareCheck> {
        let mut squares = Vec::new();
        for Held { id, value, .. } in in_order(&view.squares.live, |s| s.listed) {
            let Some(corner) = self.names.get(&value.corner).cloned() else {
                self.leave::<doc::SquareCheck>(id, Reason::NamesNothing);
                continue;
            };
            if squares.iter().any(|check: &sheet::SquareCheck| *check.corner() == corner) {
                self.leave::<doc::SquareCheck>(id, Reason::Twice);
                continue;
            }
            self.index.squares.push(id.clone());
            squares.push(match &value.sd_degrees {
                None => sheet::SquareCheck::Usual(corner),
                Some(sd) => sheet::SquareCheck::WithSd(sheet::SquareCheckWithSd {
                    corner,
                    sd_degrees: Some(sd.to_f64()),
                    extra: Extra::new(),
                }),
            });
        }
        squares
    }

    fn keepouts(&mut self, view: &RoomView) -> Vec<sheet::Keepout> {
        let mut keepouts = Vec::new();
        for Held { id, value, .. } in &view.keepouts.live {
            if value.outline.is_empty() {
                continue; // located by distances, or left out there
            }
            let outline = value.outline.iter().map(point).collect();
            let overhang = value.overhang.as_ref().map(measured::overhang_of);
            keepouts.push(sheet::Keepout { id: id.clone(), outline, overhang, extra: Extra::new() });
        }
        keepouts
    }

    /// Offsets from strings, gathered by wall in the order of each wall's first.
    fn strings(&mut self, view: &RoomView) -> Vec<sheet::Strung> {
        let mut strings: Vec<sheet::Strung> = Vec::new();
        for Held { id, value, .. } in in_order(&view.strings.live, |s| s.listed) {
            let wall = match self.wall(&value.from, &value.to) {
                Ok(wall) => wall,
                Err(why) => {
                    self.leave::<doc::StringOffset>(id, why);
                    continue;
                }
            };
            let offset = measured::string_offset(value);
            match strings.iter_mut().find(|s| s.wall == wall) {
                Some(known) => known.offsets.push(offset),
                None => strings.push(sheet::Strung { wall, offsets: vec![offset], extra: Extra::new() }),
            }
        }
        strings
    }

    /// Things that distances place.
    fn located(&mut self, view: &RoomView) -> Vec<sheet::Located> {
        let mut located = Vec::new();
        for Held { id, value, .. } in &view.keepouts.live {
            if !value.outline.is_empty() {
                continue;
            }
            let corner = |id: &ItemId| self.names.get(id).cloned();
            let placed = match &value.wall[..] {
                [a, b] if value.distances.len() != 2 => {
                    self.wall(a, b).or_else(|_| self.wall(b, a)).map(|_| ())
                }
                _ => Ok(()),
            };
            match placed.and_then(|()| measured::located(id, value, &corner)) {
                Ok(thing) => located.push(thing),
                Err(why) => self.leave::<doc::Keepout>(id, why),
            }
        }
        located
    }

    fn openings(&mut self, view: &RoomView) -> Vec<sheet::Opening> {
        let mut openings = Vec::new();
        for Held { id, value, .. } in &view.openings.live {
            let wall = match self.wall(&value.from, &value.to) {
                Ok(wall) => wall,
                Err(why) => {
                    self.leave::<doc::Opening>(id, why);
                    continue;
                }
            };
            openings.push(sheet::Opening {
                id: id.clone(),
                wall,
                start: measure(&value.start),
                width: measure(&value.width),
                reach: value.reach.as_ref().map(measure),
                jambs: value.jambs.as_ref().map(measured::overhang_of),
                next: base::next_door(value),
                door: base::door(value),
                extra: Extra::new(),
            });
        }
        openings
    }

    fn edges(&mut self, view: &RoomView) -> Vec<sheet::Edge> {
        let mut edges = Vec::new();
        for Held { id, value, .. } in &view.edges.live {
            let wall = match self.wall(&value.from, &value.to) {
                Ok(wall) => wall,
                Err(why) => {
                    self.leave::<doc::Edge>(id, why);
                    continue;
                }
            };
            let (gap, trim_covers) =
                (value.gap.as_ref().map(measure), value.trim_covers.as_ref().map(measure));
            let overhang = value.overhang.as_ref().map(measured::overhang_of);
            edges.push(sheet::Edge { wall, gap, trim_covers, overhang, extra: Extra::new() });
        }
        edges
    }

    fn level(&mut self, view: &RoomView) -> Option<sheet::Level> {
        let round = self.out.round.unwrap_or_else(|| newest_round(view));
        let level = sheet::Level {
            sd: view.floor.value.as_ref().and_then(|f| f.sd.as_ref()).map(measure),
            readings: self.rods(view, round),
            straightedge: self.straightedges(view, round),
            lines: self.lines(view, round),
            standards: view.floor.value.as_ref().map(|f| f.standards.clone()).unwrap_or_default(),
            correction: view.floor.value.as_ref().and_then(correction),
            extra: Extra::new(),
        };
        (level != sheet::Level::default()).then_some(level)
    }

    fn rods(&mut self, view: &RoomView, round: i64) -> Vec<sheet::RodReading> {
        let rods = in_order(&view.rods.live, |r| r.listed);
        let rods: Vec<_> = rods.into_iter().filter(|r| r.value.round.unwrap_or(0) == round).collect();
        self.index.rods = rods.iter().map(|held| held.id.clone()).collect();
        let rod = |held: &Held<doc::RodReading>| sheet::RodReading {
            id: held.value.point.clone(),
            at: point(&held.value.at),
            rod: measure(&held.value.rod),
            setup: held.value.setup.as_ref().map(ToString::to_string),
            extra: Extra::new(),
        };
        rods.into_iter().map(rod).collect()
    }

    fn straightedges(&mut self, view: &RoomView, round: i64) -> Vec<sheet::Straightedge> {
        let all = in_order(&view.straightedges.live, |s| s.listed);
        let all: Vec<_> = all.into_iter().filter(|s| s.value.round.unwrap_or(0) == round).collect();
        self.index.straightedges = all.iter().map(|held| held.id.clone()).collect();
        let edge = |held: &Held<doc::StraightedgeReading>| sheet::Straightedge {
            from: point(&held.value.from),
            to: point(&held.value.to),
            gap: measure(&held.value.gap),
            extra: Extra::new(),
        };
        all.into_iter().map(edge).collect()
    }

    fn lines(&mut self, view: &RoomView, round: i64) -> Vec<sheet::FlatnessLine> {
        let all = in_order(&view.lines.live, |l| l.listed);
        let all: Vec<_> = all.into_iter().filter(|l| l.value.round.unwrap_or(0) == round).collect();
        self.index.lines = all.iter().map(|held| held.id.clone()).collect();
        let line = |held: &Held<doc::FlatnessLine>| sheet::FlatnessLine {
            id: ItemId::new(held.value.name.as_str()),
            spacing: measure(&held.value.spacing),
            heights: held.value.heights.iter().map(measure).collect(),
            extra: Extra::new(),
        };
        all.into_iter().map(line).collect()
    }
}

/// The newest round of correction after which the floor was read.
fn newest_round(view: &RoomView) -> i64 {
    let rods = view.rods.live.iter().filter_map(|held| held.value.round);
    let edges = view.straightedges.live.iter().filter_map(|held| held.value.round);
    let lines = view.lines.live.iter().filter_map(|held| held.value.round);
    rods.chain(edges).chain(lines).max().unwrap_or(0)
}

fn correction(floor: &doc::FloorFacts) -> Option<sheet::Correction> {
    let doc::FloorFacts { grind, fill_cost, grind_cost, margin, mixers, .. } = floor;
    let costs = fill_cost.is_some() || grind_cost.is_some();
    let asked = grind.is_some() || costs || margin.is_some() || mixers.is_some();
    asked.then(|| sheet::Correction {
        fill_cost: fill_cost.as_ref().map(crate::Decimal::to_f64),
        grind_cost: grind_cost.as_ref().map(crate::Decimal::to_f64),
        grind: grind.unwrap_or(false),
        margin: margin.as_ref().map(measure),
        mixers: mixers.and_then(|n| u32::try_from(n).ok()),
        extra: Extra::new(),
    })
}
