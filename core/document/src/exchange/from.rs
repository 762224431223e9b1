//! From a sheet to the edits of a new job.

use drylay_geometry::{CornerId, ItemId};

use super::to::CARTON;
use super::{NewJob, base, call, compound, laying, measured, prefer, quote, supply, typed};
use crate::ids::{DocumentId, Place};
use crate::schema as doc;
use crate::sheet::{self, Along, Measure, Sheet};
use crate::stored::{At, Decimal, Money};
use crate::{Edit, JobEntry, RoomEntry};

pub(super) fn import(sheet: &Sheet, mut fresh: impl FnMut() -> DocumentId) -> NewJob {
    let mut job = vec![facts(sheet)];
    job.extend(sheet.products.iter().flat_map(product));
    job.extend(sheet.compounds.iter().map(compound::product));
    job.extend(sheet.underlays.iter().map(base::underlay_product));
    job.extend(sheet.supplies.iter().map(supply::product));
    let mut rooms = Vec::new();
    for (n, room) in (0..).zip(&sheet.rooms) {
        let document = fresh();
        let place = Place::nth(n, room.id.as_str());
        job.push(Edit::add(room.id.as_str(), doc::RoomLink { document, name: room.name.clone(), place }));
        rooms.push((document, room_edits(room)));
    }
    job.extend((0..).zip(&sheet.passages).map(passage));
    job.extend((0..).zip(&sheet.areas).map(area));
    job.extend(sheet.areas.iter().flat_map(laying::rows));
    job.extend(sheet.quote.iter().flat_map(quote::variants));
    NewJob { job, rooms }
}

pub(super) fn some_text(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

pub(super) fn item(text: impl AsRef<str>) -> ItemId {
    ItemId::new(text.as_ref())
}

pub(super) fn corner(id: &CornerId) -> ItemId {
    item(id.as_str())
}

pub(super) fn at(point: &[Measure; 2]) -> At {
    At { x: typed(&point[0]), y: typed(&point[1]) }
}

fn facts(sheet: &Sheet) -> Edit<JobEntry> {
    let none = doc::JobFacts::unsaid();
    let units = match sheet.units {
        sheet::Units::Metric => doc::Units::Metric,
        sheet::Units::Imperial => doc::Units::Imperial,
        sheet::Units::Inches => doc::Units::Inches,
    };
    let percent = |share: fn(&sheet::Rates) -> Option<f64>| {
        Decimal::from_f64(sheet.rates.as_ref().and_then(share)?).map(|share| share.shifted(2))
    };
    let after = doc::JobFacts {
        name: some_text(&sheet.job.name),
        client: some_text(&sheet.job.client),
        site: some_text(&sheet.job.site),
        units: Some(units),
        lay_day: sheet.job.day.clone(),
        breakage_percent: percent(|rates| rates.breakage),
        attic_percent: percent(|rates| rates.attic),
        quote: sheet.quote.as_ref().and_then(quote::quote_text),
        ..call::stored(&sheet.job)
    };
    Edit::change_single(none, after)
}

fn demands(product: &sheet::Product) -> Option<String> {
    let sheet::Product { made, rules, engagement, base, .. } = product.clone();
    sheet::Demands { made, rules, engagement, base }.write()
}

fn product(product: &sheet::Product) -> Vec<Edit<JobEntry>> {
    let tolerance = |t: &sheet::Tolerance| doc::Tolerance {
        gap: typed(&t.gap),
        span: typed(&t.span),
        sides: if t.sides == sheet::Sides::Dips { doc::Sides::Dips } else { doc::Sides::Both },
    };
    let entry = doc::Product {
        length: Some(typed(&product.face.length)),
        width: Some(typed(&product.face.width)),
        thickness: product.thickness.as_ref().map(typed),
        joint: product.joint.as_ref().map(typed),
        joint_depth: product.joint_depth.as_ref().map(typed),
        edge_gap: product.edge_gap.as_ref().map(typed),
        kerf: product.kerf.as_ref().map(typed),
        interlock: Some(product.interlock),
        offsets: product.offsets.iter().map(ToString::to_string).collect(),
        min_row_width: product.min_row_width.as_ref().map(typed),
        min_end_length: product.min_end_length.as_ref().map(typed),
        max_run: product.max_run.as_ref().map(typed),
        demands: demands(product),
        clearance: product.clearance.as_ref().map(typed),
        min_neck: product.min_neck.as_ref().map(typed),
        tools: product.tools.iter().map(laying::tool).collect(),
        flatness: product.flatness.iter().map(tolerance).collect(),
        per_pack: product.carton.as_ref().map(|c| i64::from(c.tiles)),
        pack_kg: product.carton.as_ref().and_then(|c| Decimal::from_f64(c.kg?)),
        ..doc::Product::named(product.name.clone(), doc::Use::Floor)
    };
    let price = product.carton.as_ref().and_then(|c| Decimal::parse(c.price.as_deref()?));
    let price = price.map(|amount| {
        let (item, unit) = (product.id.to_string(), CARTON.to_owned());
        let entry = doc::Price { item, amount: Money(amount), unit, since: None, supplier: None };
        Edit::add(format!("{CARTON} of {}", product.id), entry)
    });
    std::iter::once(Edit::add(product.id.as_str(), entry)).chain(price).collect()
}

fn passage((n, passage): (u32, &sheet::Passage)) -> Edit<JobEntry> {
    let id = format!("passage-{:03}", n + 1);
    let entry = doc::Passage {
        room_a: item(&passage.a[0]),
        opening_a: item(&passage.a[1]),
        room_b: item(&passage.b[0]),
        opening_b: item(&passage.b[1]),
        depth: typed(&passage.depth),
        place: Some(Place::nth(n, &id)),
    };
    Edit::add(id, entry)
}

fn area((n, area): (u32, &sheet::Area)) -> Edit<JobEntry> {
    let layout = &area.layout;
    let along = |along: &Along| match along {
        Along::Wall(wall) => doc::Along { wall: wall.iter().map(corner).collect(), degrees: None },
        Along::Angle(angle) => doc::Along { wall: Vec::new(), degrees: Decimal::from_f64(angle.degrees) },
    };
    let wish = |edge: &sheet::EdgeAt| doc::WallWish {
        from: corner(&edge.wall[0]),
        to: corner(&edge.wall[1]),
        whole_row: edge.whole_row,
    };
    let prefer = layout.prefer.as_ref().map(prefer::stored).unwrap_or_default();
    let entry = doc::Area {
        name: None,
        rooms: area.rooms.iter().map(|room| item(room.as_str())).collect(),
        product: item(area.product.as_str()),
        underlay: area.underlay.as_ref().map(|id| item(id.as_str())),
        along: layout.along.fixed().map(along),
        offset: layout.offset.fixed().map(ToString::to_string),
        order: Some(match layout.order {
            sheet::Order::Stepped => doc::Order::Stepped,
            sheet::Order::Alternating => doc::Order::Alternating,
        }),
        first_row: layout.first_row.fixed().map(typed),
        shift: layout.shift.fixed().map(typed),
        margin: layout.margin.as_ref().map(typed),
        walls: layout.edges_at.iter().map(wish).collect(),
        centred_on: None,
        centre: prefer.centre,
        start_wall: prefer.start_wall,
        doorways: prefer.doorways,
        sight_line: prefer.sight_line,
        slide: layout.slide.then_some(true),
        ten_rows: laying::ten(area, |pitch| &pitch.ten_rows),
        ten_tiles: laying::ten(area, |pitch| &pitch.ten_tiles),
        place: Some(Place::nth(n, &area.id)),
    };
    Edit::add(area.id.as_str(), entry)
}

fn room_edits(room: &sheet::Room) -> Vec<Edit<RoomEntry>> {
    let mut edits = corners(room);
    edits.extend((1..).zip(&room.tape).map(|(n, reading)| {
        let entry = doc::TapeReading {
            from: corner(&reading.from),
            to: corner(&reading.to),
            read: typed(&reading.read),
            sd: reading.sd.as_ref().map(typed),
            tool: None,
            measured_to: reading.measured_to.map(measured::touched),
            measured_at: reading.height.as_ref().map(typed),
            listed: Some(n),
        };
        Edit::add(format!("tape-{n:04}"), entry)
    }));
    edits.extend((1..).zip(&room.square).map(|(n, check)| {
        let sd_degrees = check.sd_degrees().and_then(Decimal::from_f64);
        let entry = doc::SquareCheck { corner: corner(check.corner()), sd_degrees, listed: Some(n) };
        Edit::add(format!("square-{n:04}"), entry)
    }));
    edits.extend(measured::room_edits(room));
    edits.extend(room.keepouts.iter().map(keepout));
    edits.extend(room.openings.iter().map(opening));
    edits.extend((1..).zip(&room.edges).map(edge));
    edits.extend(room.level.iter().flat_map(level));
    edits.extend(base::room_edits(room));
    edits
}

fn corners(room: &sheet::Room) -> Vec<Edit<RoomEntry>> {
    let add = |(n, id): (u32, &CornerId)| {
        let turn = match room.turns.get(id.as_str()) {
            Some(sheet::Turn::Out) => doc::Turn::Out,
            Some(sheet::Turn::In) | None => doc::Turn::In,
        };
        let place = Place::nth(n, id.as_str());
        let at = room.outline.as_ref().and_then(|points| points.get(usize::try_from(n).ok()?)).map(at);
        Edit::add(id.as_str(), doc::Corner { name: id.to_string(), place, turn, at })
    };
    (0..).zip(&room.corner_ids()).map(add).collect()
}

fn keepout(keepout: &sheet::Keepout) -> Edit<RoomEntry> {
    let outline = keepout.outline.iter().map(at).collect();
    let overhang = keepout.overhang.as_ref().map(measured::overhang);
    Edit::add(&keepout.id, doc::Keepout { outline, overhang, ..doc::Keepout::unplaced() })
}

fn opening(opening: &sheet::Opening) -> Edit<RoomEntry> {
    let entry = doc::Opening {
        name: None,
        from: corner(&opening.wall[0]),
        to: corner(&opening.wall[1]),
        start: typed(&opening.start),
        width: typed(&opening.width),
        reach: opening.reach.as_ref().map(typed),
        next_door: None,
        next_floor: None,
        rated: None,
        door_clearance: None,
        jambs: opening.jambs.as_ref().map(measured::overhang),
        next_base: None,
        door_gap: None,
        door_stays: None,
    };
    Edit::add(&opening.id, base::opening(opening, entry))
}

fn edge((n, edge): (i64, &sheet::Edge)) -> Edit<RoomEntry> {
    let entry = doc::Edge {
        from: corner(&edge.wall[0]),
        to: corner(&edge.wall[1]),
        gap: edge.gap.as_ref().map(typed),
        trim_covers: edge.trim_covers.as_ref().map(typed),
        overhang: edge.overhang.as_ref().map(measured::overhang),
    };
    Edit::add(format!("edge-{n:04}"), entry)
}

fn level(level: &sheet::Level) -> Vec<Edit<RoomEntry>> {
    let mut edits = vec![floor(level)];
    let mut setups: Vec<&String> = level.readings.iter().filter_map(|r| r.setup.as_ref()).collect();
    setups.sort_unstable();
    setups.dedup();
    edits.extend(
        setups
            .into_iter()
            .map(|name| Edit::add(name.as_str(), doc::Setup { name: name.clone(), tool: None, round: None })),
    );
    edits.extend((1..).zip(&level.readings).map(|(n, reading)| {
        let entry = doc::RodReading {
            point: reading.id.clone(),
            at: at(&reading.at),
            rod: typed(&reading.rod),
            setup: reading.setup.as_ref().map(item),
            round: None,
            listed: Some(n),
        };
        Edit::add(format!("rod-{n:04}"), entry)
    }));
    edits.extend((1..).zip(&level.straightedge).map(|(n, edge)| {
        let (from, to) = (at(&edge.from), at(&edge.to));
        let entry =
            doc::StraightedgeReading { from, to, gap: typed(&edge.gap), round: None, listed: Some(n) };
        Edit::add(format!("straightedge-{n:04}"), entry)
    }));
    edits.extend((1..).zip(&level.lines).map(|(n, line)| {
        let entry = doc::FlatnessLine {
            name: line.id.to_string(),
            spacing: typed(&line.spacing),
            heights: line.heights.iter().map(typed).collect(),
            round: None,
            listed: Some(n),
        };
        Edit::add(format!("line-{n:04}"), entry)
    }));
    edits
}

fn floor(level: &sheet::Level) -> Edit<RoomEntry> {
    let none = doc::FloorFacts::unsaid();
    let correction = level.correction.as_ref();
    let after = doc::FloorFacts {
        sd: level.sd.as_ref().map(typed),
        standards: level.standards.clone(),
        grind: correction.map(|c| c.grind),
        fill_cost: correction.and_then(|c| Decimal::from_f64(c.fill_cost?)),
        grind_cost: correction.and_then(|c| Decimal::from_f64(c.grind_cost?)),
        margin: correction.and_then(|c| c.margin.as_ref()).map(typed),
        mixers: correction.and_then(|c| c.mixers).map(i64::from),
        ..none.clone()
    };
    Edit::change_single(none, after)
}
