//! Reading a sheet: every object of the format, field by field.

use super::fields::{Fields, Item, Notes, kind};
use super::{
    Along, Area, BestOr, Carton, Correction, Edge, EdgeAt, Face, FlatnessLine, JobInfo, Keepout, Layout,
    Level, MINOR, MOST_READINGS, MOST_ROOMS, Measure, Opening, Order, Passage, Problem, Product, Rates,
    ReadSheet, RodReading, Room, STANDARDS, Sheet, Sides, SquareCheck, SquareCheckWithSd, Straightedge,
    TapeReading, Tolerance, Turn, Units, VERSION, asked, base, call, check, compound, dates, heights, laying,
    measured, prefer, quote, supply,
};
use drylay_geometry::{CornerId, ItemId, ProductId, RoomId};
use serde_json::Value;
use std::collections::BTreeMap;

/// Reads and checks a sheet.
pub(super) fn sheet(text: &str) -> Result<ReadSheet, Vec<Problem>> {
    let value: Value = serde_json::from_str(text.trim_start_matches('\u{feff}')).map_err(|e| {
        vec![
            Problem::new("sheet.not_json", "")
                .with("line", e.line())
                .with("column", e.column())
                .with("reason", reason_without_place(&e)),
        ]
    })?;
    let too_large = oversize(&value);
    if !too_large.is_empty() {
        return Err(too_large);
    }
    let mut notes = Notes::default();
    let read = Item { value, place: String::new(), notes: &mut notes }.object().and_then(read_sheet);
    if let Some(sheet) = &read {
        check::sheet(sheet, &mut notes.problems);
    }
    match read {
        Some(sheet) if notes.problems.is_empty() => Ok(ReadSheet { sheet, warnings: notes.warnings }),
        _ => Err(notes.problems),
    }
}

fn reason_without_place(e: &serde_json::Error) -> String {
    let text = e.to_string();
    text.split(" at line ").next().unwrap_or_default().to_owned()
}

/// The limits, before anything is built from what goes beyond them.
fn oversize(value: &Value) -> Vec<Problem> {
    let mut problems = Vec::new();
    let list = |v: &Value, key: &str| v.get(key).and_then(Value::as_array).cloned_len();
    let rooms = value.get("rooms").and_then(Value::as_array);
    let count = rooms.map_or(0, Vec::len);
    if count > MOST_ROOMS {
        problems.push(Problem::new("limit.rooms", "rooms").with("most", MOST_ROOMS).with("found", count));
    }
    let mut readings = 0;
    for (i, room) in rooms.into_iter().flatten().enumerate() {
        for key in ["corners", "outline"] {
            let n = list(room, key);
            if n > super::MOST_CORNERS {
                let at = format!("rooms[{i}].{key}");
                problems.push(
                    Problem::new("limit.corners", at).with("most", super::MOST_CORNERS).with("found", n),
                );
            }
        }
        for (k, keepout) in room.get("keepouts").and_then(Value::as_array).into_iter().flatten().enumerate() {
            let n = list(keepout, "outline");
            if n > super::MOST_CORNERS {
                let at = format!("rooms[{i}].keepouts[{k}].outline");
                problems.push(
                    Problem::new("limit.corners", at).with("most", super::MOST_CORNERS).with("found", n),
                );
            }
        }
        let strings = room.get("strings").and_then(Value::as_array).into_iter().flatten();
        readings += list(room, "tape")
            + list(room, "located")
            + strings.map(|s| list(s, "offsets")).sum::<usize>()
            + room.get("level").map_or(0, |l| list(l, "readings") + list(l, "straightedge"));
    }
    if readings > MOST_READINGS {
        problems.push(
            Problem::new("limit.readings", "rooms").with("most", MOST_READINGS).with("found", readings),
        );
    }
    problems
}

trait ClonedLen {
    fn cloned_len(self) -> usize;
}
impl ClonedLen for Option<&Vec<Value>> {
    fn cloned_len(self) -> usize {
        self.map_or(0, Vec::len)
    }
}

fn read_sheet(mut f: Fields<'_>) -> Option<Sheet> {
    let version = f.required("drylay", |i| i.count(1))?;
    if version != VERSION {
        let at = f.place("drylay");
        f.problem(Problem::new("sheet.version", at).with("known", VERSION).with("found", version));
        return None;
    }
    let minor = f.optional("minor", |i| i.count(0)).unwrap_or(0);
    f.set_newer(minor > MINOR);
    Some(Sheet {
        drylay: version,
        minor,
        job: f.optional("job", job).unwrap_or_default(),
        units: f.optional("units", units).unwrap_or_default(),
        rates: f.optional("rates", rates),
        products: f.optional("products", |i| i.list(product)).unwrap_or_default(),
        compounds: f.optional("compounds", |i| i.list(compound::compound)).unwrap_or_default(),
        underlays: f.optional("underlays", |i| i.list(base::underlay)).unwrap_or_default(),
        supplies: f.optional("supplies", |i| i.list(supply::supply)).unwrap_or_default(),
        rooms: f.optional("rooms", |i| i.list(room)).unwrap_or_default(),
        passages: f.optional("passages", |i| i.list(passage)).unwrap_or_default(),
        areas: f.optional("areas", |i| i.list(area)).unwrap_or_default(),
        quote: f.optional("quote", quote::quote),
        extra: f.rest(),
    })
}

fn job(item: Item<'_>) -> Option<JobInfo> {
    let mut f = item.object()?;
    Some(JobInfo {
        name: f.optional("name", kind::text).unwrap_or_default(),
        client: f.optional("client", kind::text).unwrap_or_default(),
        site: f.optional("site", kind::text).unwrap_or_default(),
        built: f.optional("built", |i| i.count(1)),
        day: f.optional("day", dates::day),
        call: f.optional("call", call::call),
        extra: f.rest(),
    })
}

fn rates(item: Item<'_>) -> Option<Rates> {
    let mut f = item.object()?;
    Some(Rates {
        breakage: f.optional("breakage", share),
        attic: f.optional("attic", share),
        extra: f.rest(),
    })
}

/// A share from nothing to all.
pub(super) fn share(item: Item<'_>) -> Option<f64> {
    item.at_most(1.0, "sheet.share")
}

fn units(item: Item<'_>) -> Option<Units> {
    item.choice(&[("metric", Units::Metric), ("imperial", Units::Imperial), ("inches", Units::Inches)])
}

// Each reader asks for every field before it gives up on a missing one, so that all mistakes are noted.

fn product(item: Item<'_>) -> Option<Product> {
    let mut f = item.object()?;
    let id = f.required("id", kind::name);
    let face = f.required("face", face);
    let rest = ProductRest {
        name: f.optional("name", kind::text).unwrap_or_default(),
        thickness: f.optional("thickness", kind::positive),
        joint: f.optional("joint", kind::not_negative),
        joint_depth: f.optional("joint_depth", kind::positive),
        edge_gap: f.optional("edge_gap", kind::not_negative),
        kerf: f.optional("kerf", kind::not_negative),
        interlock: f.optional("interlock", kind::yes_no).unwrap_or(true),
        offsets: f.optional("offsets", |i| i.list(kind::fraction)).unwrap_or_default(),
        min_row_width: f.optional("min_row_width", kind::not_negative),
        min_end_length: f.optional("min_end_length", kind::not_negative),
        max_run: f.optional("max_run", kind::positive),
        made: f.optional("made", asked::made),
        rules: f.optional("rules", asked::rules),
        engagement: f.optional("engagement", asked::engagement),
        clearance: f.optional("clearance", kind::not_negative),
        min_neck: f.optional("min_neck", kind::positive),
        tools: f.optional("tools", |i| i.list(laying::cut_tool)).unwrap_or_default(),
        carton: f.optional("carton", carton),
        flatness: f.optional("flatness", |i| i.list(tolerance)).unwrap_or_default(),
        base: f.optional("base", base::base_rules),
    };
    let extra = f.rest();
    let (id, face) = (ProductId::new(id?), face?);
    let ProductRest { name, thickness, joint, joint_depth, edge_gap, kerf, interlock, offsets, .. } = rest;
    let (min_row_width, min_end_length, max_run) = (rest.min_row_width, rest.min_end_length, rest.max_run);
    let (made, rules, engagement) = (rest.made, rest.rules, rest.engagement);
    let (clearance, min_neck, tools) = (rest.clearance, rest.min_neck, rest.tools);
    let (carton, flatness, base) = (rest.carton, rest.flatness, rest.base);
    Some(Product {
        id,
        name,
        face,
        thickness,
        joint,
        joint_depth,
        edge_gap,
        kerf,
        interlock,
        offsets,
        min_row_width,
        min_end_length,
        max_run,
        made,
        rules,
        engagement,
        clearance,
        min_neck,
        tools,
        carton,
        flatness,
        base,
        extra,
    })
}

/// The fields of a product that may be left out.
struct ProductRest {
    name: String,
    thickness: Option<Measure>,
    joint: Option<Measure>,
    joint_depth: Option<Measure>,
    edge_gap: Option<Measure>,
    kerf: Option<Measure>,
    interlock: bool,
    offsets: Vec<super::Fraction>,
    min_row_width: Option<Measure>,
    min_end_length: Option<Measure>,
    max_run: Option<Measure>,
    made: Option<super::Made>,
    rules: Option<super::Rules>,
    engagement: Option<super::Engagement>,
    clearance: Option<Measure>,
    min_neck: Option<Measure>,
    tools: Vec<laying::CutTool>,
    carton: Option<Carton>,
    flatness: Vec<Tolerance>,
    base: Option<super::BaseRules>,
}

fn face(item: Item<'_>) -> Option<Face> {
    let mut f = item.object()?;
    let (length, width) = (f.required("length", kind::positive), f.required("width", kind::positive));
    let extra = f.rest();
    Some(Face { length: length?, width: width?, extra })
}

fn carton(item: Item<'_>) -> Option<Carton> {
    let mut f = item.object()?;
    let tiles = f.required("tiles", |i| i.count(1));
    let (price, kg) = (f.optional("price", money), f.optional("kg", kind::amount));
    let extra = f.rest();
    Some(Carton { tiles: tiles?, price, kg, extra })
}

/// A decimal in a text: digits, at most one point, no sign.
pub(super) fn money(item: Item<'_>) -> Option<String> {
    let Item { value, place, notes } = item;
    let text = Item { value, place: place.clone(), notes: &mut *notes }.text()?;
    let digits = text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let fits = digits
        && text.matches('.').count() <= 1
        && text.len() <= 20
        && text.bytes().any(|b| b.is_ascii_digit());
    if !fits {
        notes.problems.push(Problem::new("sheet.money", place).with("found", text));
        return None;
    }
    Some(text)
}

fn tolerance(item: Item<'_>) -> Option<Tolerance> {
    let mut f = item.object()?;
    let (gap, span) = (f.required("gap", kind::positive), f.required("span", kind::positive));
    let sides = f
        .optional("sides", |i| i.choice(&[("both", Sides::Both), ("dips", Sides::Dips)]))
        .unwrap_or_default();
    let extra = f.rest();
    Some(Tolerance { gap: gap?, span: span?, sides, extra })
}

pub(super) fn corner(item: Item<'_>) -> Option<CornerId> {
    item.name().map(CornerId::new)
}

pub(super) fn wall(item: Item<'_>) -> Option<[CornerId; 2]> {
    item.array(corner)
}

fn room(item: Item<'_>) -> Option<Room> {
    let mut f = item.object()?;
    let id = f.required("id", kind::name);
    if !f.has("outline") && !f.has("tape") {
        let at = f.place("outline");
        f.problem(Problem::new("room.no_shape", at));
    }
    let draft = Room {
        id: RoomId::new(id.clone().unwrap_or_default()),
        name: f.optional("name", kind::text).unwrap_or_default(),
        corners: f.optional("corners", |i| i.list(corner)).unwrap_or_default(),
        outline: f.optional("outline", |i| i.list(kind::point)),
        tape: f.optional("tape", |i| i.list(tape)).unwrap_or_default(),
        instrument: f.optional("instrument", measured::instrument),
        measured: f.optional("measured", measured::measured),
        square: f.optional("square", |i| i.list(square)).unwrap_or_default(),
        strings: f.optional("strings", |i| i.list(measured::strung)).unwrap_or_default(),
        located: f.optional("located", |i| i.list(measured::located)).unwrap_or_default(),
        turns: f.optional("turns", turns).unwrap_or_default(),
        keepouts: f.optional("keepouts", |i| i.list(keepout)).unwrap_or_default(),
        openings: f.optional("openings", |i| i.list(opening)).unwrap_or_default(),
        edges: f.optional("edges", |i| i.list(edge)).unwrap_or_default(),
        settings: f.optional("settings", |i| i.list(asked::setting)).unwrap_or_default(),
        yearly_range: f.optional("yearly_range", kind::amount),
        level: f.optional("level", level),
        base: f.optional("base", base::room_base),
        fixtures: f.optional("fixtures", |i| i.list(heights::fixture)).unwrap_or_default(),
        extra: f.rest(),
    };
    id.map(|_| draft)
}

fn tape(item: Item<'_>) -> Option<TapeReading> {
    let mut f = item.object()?;
    let (from, to) = (f.required("from", corner), f.required("to", corner));
    let (read, sd) = (f.required("read", kind::positive), f.optional("sd", kind::positive));
    let (measured_to, height) =
        (f.optional("measured_to", measured::touched), f.optional("height", kind::not_negative));
    let extra = f.rest();
    Some(TapeReading { from: from?, to: to?, read: read?, sd, measured_to, height, extra })
}

fn square(item: Item<'_>) -> Option<SquareCheck> {
    if item.value.is_string() {
        return corner(item).map(SquareCheck::Usual);
    }
    let mut f = item.object()?;
    let (corner, sd_degrees) = (f.required("corner", corner), f.optional("sd_degrees", sd_degrees));
    let extra = f.rest();
    Some(SquareCheck::WithSd(SquareCheckWithSd { corner: corner?, sd_degrees, extra }))
}

fn sd_degrees(item: Item<'_>) -> Option<f64> {
    let Item { value, place, notes } = item;
    let sd = Item { value, place: place.clone(), notes: &mut *notes }.amount()?;
    if sd == 0.0 || sd > 45.0 {
        notes.problems.push(Problem::new("square.sd", place).with("found", sd));
        return None;
    }
    Some(sd)
}

fn turns(item: Item<'_>) -> Option<BTreeMap<String, Turn>> {
    let Item { value, place, notes } = item;
    let Value::Object(map) = value else {
        return Item { value, place, notes }.object().and(None);
    };
    let mut read = BTreeMap::new();
    for (name, value) in map {
        let place = format!("{place}.{name}");
        let item = Item { value, place, notes: &mut *notes };
        if let Some(turn) = item.choice(&[("in", Turn::In), ("out", Turn::Out)]) {
            read.insert(name, turn);
        }
    }
    Some(read)
}

fn keepout(item: Item<'_>) -> Option<Keepout> {
    let mut f = item.object()?;
    let (id, outline) = (f.required("id", kind::name), f.required("outline", |i| i.list(kind::point)));
    let overhang = f.optional("overhang", asked::overhang);
    let extra = f.rest();
    Some(Keepout { id: ItemId::new(id?), outline: outline?, overhang, extra })
}

fn opening(item: Item<'_>) -> Option<Opening> {
    let mut f = item.object()?;
    let (id, wall) = (f.required("id", kind::name), f.required("wall", wall));
    let (start, width) = (f.required("start", kind::not_negative), f.required("width", kind::positive));
    let (reach, jambs) = (f.optional("reach", kind::not_negative), f.optional("jambs", asked::overhang));
    let (next, door) = (f.optional("next", heights::next_door), f.optional("door", heights::door));
    let extra = f.rest();
    let (id, wall, start, width) = (ItemId::new(id?), wall?, start?, width?);
    Some(Opening { id, wall, start, width, reach, jambs, next, door, extra })
}

fn edge(item: Item<'_>) -> Option<Edge> {
    let mut f = item.object()?;
    let wall = f.required("wall", wall);
    let (gap, trim_covers) =
        (f.optional("gap", kind::not_negative), f.optional("trim_covers", kind::not_negative));
    let overhang = f.optional("overhang", asked::overhang);
    let extra = f.rest();
    Some(Edge { wall: wall?, gap, trim_covers, overhang, extra })
}

fn level(item: Item<'_>) -> Option<Level> {
    let mut f = item.object()?;
    Some(Level {
        sd: f.optional("sd", kind::positive),
        readings: f.optional("readings", |i| i.list(rod)).unwrap_or_default(),
        straightedge: f.optional("straightedge", |i| i.list(straightedge)).unwrap_or_default(),
        lines: f.optional("lines", |i| i.list(line)).unwrap_or_default(),
        standards: f.optional("standards", |i| i.list(standard)).unwrap_or_default(),
        correction: f.optional("correction", correction),
        extra: f.rest(),
    })
}

fn standard(item: Item<'_>) -> Option<String> {
    item.choice(&STANDARDS.map(|name| (name, name))).map(str::to_owned)
}

fn rod(item: Item<'_>) -> Option<RodReading> {
    let mut f = item.object()?;
    let (id, at) = (f.required("id", kind::name), f.required("at", kind::point));
    let (rod, setup) = (f.required("rod", kind::length), f.optional("setup", kind::name));
    let extra = f.rest();
    Some(RodReading { id: ItemId::new(id?), at: at?, rod: rod?, setup, extra })
}

fn straightedge(item: Item<'_>) -> Option<Straightedge> {
    let mut f = item.object()?;
    let (from, to) = (f.required("from", kind::point), f.required("to", kind::point));
    let gap = f.required("gap", kind::not_negative);
    let extra = f.rest();
    Some(Straightedge { from: from?, to: to?, gap: gap?, extra })
}

fn line(item: Item<'_>) -> Option<FlatnessLine> {
    let mut f = item.object()?;
    let (id, spacing) = (f.required("id", kind::name), f.required("spacing", kind::positive));
    let heights = f.required("heights", |i| i.list(kind::length));
    let extra = f.rest();
    Some(FlatnessLine { id: ItemId::new(id?), spacing: spacing?, heights: heights?, extra })
}

fn correction(item: Item<'_>) -> Option<Correction> {
    let mut f = item.object()?;
    Some(Correction {
        fill_cost: f.optional("fill_cost", kind::amount),
        grind_cost: f.optional("grind_cost", kind::amount),
        grind: f.optional("grind", kind::yes_no).unwrap_or(false),
        margin: f.optional("margin", kind::not_negative),
        mixers: f.optional("mixers", |i| i.count(1)),
        extra: f.rest(),
    })
}

fn passage(item: Item<'_>) -> Option<Passage> {
    let mut f = item.object()?;
    let (a, b) = (f.required("a", |i| i.array(kind::name)), f.required("b", |i| i.array(kind::name)));
    let depth = f.required("depth", kind::not_negative);
    let extra = f.rest();
    Some(Passage { a: a?, b: b?, depth: depth?, extra })
}

fn area(item: Item<'_>) -> Option<Area> {
    let mut f = item.object()?;
    let id = f.required("id", kind::name);
    let rooms = f.required("rooms", |i| i.list(|i| i.name().map(RoomId::new)));
    let product = f.required("product", kind::name);
    let underlay = f.optional("underlay", kind::name).map(ProductId::new);
    let layout = f.optional("layout", layout).unwrap_or_default();
    let measured_pitch = f.optional("measured_pitch", laying::measured_pitch);
    let laid = f.optional("laid", |i| i.list(laying::laid_row)).unwrap_or_default();
    let extra = f.rest();
    let (id, rooms, product) = (id?, rooms?, ProductId::new(product?));
    Some(Area { id, rooms, product, underlay, layout, measured_pitch, laid, extra })
}

fn layout(item: Item<'_>) -> Option<Layout> {
    let mut f = item.object()?;
    Some(Layout {
        along: f.optional("along", |i| best_or(i, along)).unwrap_or_default(),
        offset: f.optional("offset", |i| best_or(i, kind::fraction)).unwrap_or_default(),
        order: f
            .optional("order", |i| {
                i.choice(&[("stepped", Order::Stepped), ("alternating", Order::Alternating)])
            })
            .unwrap_or_default(),
        first_row: f.optional("first_row", |i| best_or(i, kind::positive)).unwrap_or_default(),
        shift: f.optional("shift", |i| best_or(i, kind::positive)).unwrap_or_default(),
        margin: f.optional("margin", kind::not_negative),
        edges_at: f.optional("edges_at", |i| i.list(edge_at)).unwrap_or_default(),
        prefer: f.optional("prefer", prefer::prefer),
        slide: f.optional("slide", kind::yes_no).unwrap_or(false),
        extra: f.rest(),
    })
}

fn best_or<T>(item: Item<'_>, read: impl FnOnce(Item<'_>) -> Option<T>) -> Option<BestOr<T>> {
    if item.value == "best" { Some(BestOr::Best) } else { read(item).map(BestOr::Fixed) }
}

fn along(item: Item<'_>) -> Option<Along> {
    if item.value.is_array() { wall(item).map(Along::Wall) } else { item.angle().map(Along::Angle) }
}

fn edge_at(item: Item<'_>) -> Option<EdgeAt> {
    let mut f = item.object()?;
    let wall = f.required("wall", wall);
    let whole_row = f.optional("whole_row", kind::yes_no).unwrap_or(false);
    let extra = f.rest();
    Some(EdgeAt { wall: wall?, whole_row, extra })
}
