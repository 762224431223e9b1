//! What carries floors, underlayments and heights, both ways.

use drylay_geometry::{ItemId, ProductId};

use super::from::at;
use super::to::{in_order, point};
use super::{measure, supply::supply, typed};
use crate::schema as doc;
use crate::sheet::{self, Extra};
use crate::stored::Decimal;
use crate::view::Held;
use crate::{Edit, JobEntry, JobView, RoomEntry, RoomView};

fn number(value: Option<f64>) -> Option<Decimal> {
    value.and_then(Decimal::from_f64)
}

fn amount(value: &Option<Decimal>) -> Option<f64> {
    value.as_ref().map(Decimal::to_f64)
}

/// The edit that puts an underlayment into a job: a product whose own figures are kept as the sheet writes them.
pub(super) fn underlay_product(underlay: &sheet::Underlay) -> Edit<JobEntry> {
    let entry = doc::Product {
        thickness: underlay.thickness.as_ref().map(typed),
        demands: underlay.write(),
        ..doc::Product::named(underlay.name.clone(), doc::Use::Underlay)
    };
    Edit::add(underlay.id.as_str(), entry)
}

/// The underlayments of a job whose figures are known.
pub(super) fn underlays(job: &JobView) -> Vec<sheet::Underlay> {
    job.products.live.iter().filter_map(underlay).collect()
}

/// An underlayment of a job; `None` for anything else, and for what is only bought for one.
pub fn underlay(held: &Held<doc::Product>) -> Option<sheet::Underlay> {
    if held.value.used_as != doc::Use::Underlay || supply(held).is_some() {
        return None;
    }
    let found = sheet::Underlay::read(held.value.demands.as_deref()?)?;
    Some(sheet::Underlay { id: ProductId::new(held.id.as_str()), name: held.value.name.clone(), ..found })
}

/// The edits for what a sheet says of what carries a room's floor and of heights.
pub(super) fn room_edits(room: &sheet::Room) -> Vec<Edit<RoomEntry>> {
    let mut edits: Vec<Edit<RoomEntry>> = room.fixtures.iter().map(fixture).collect();
    let Some(base) = &room.base else { return edits };
    edits.extend(facts(base));
    edits.extend((0..).zip(&base.layers).map(|(n, l)| Edit::add(format!("layer-{n:04}"), layer(n, l))));
    let tests = (1..).zip(&base.moisture);
    edits.extend(tests.map(|(n, t)| Edit::add(format!("moisture-{n:04}"), moisture(n, t))));
    edits.extend(base.structure.iter().map(|s| Edit::add("structure", structure(s))));
    edits.extend(base.seams.iter().map(seam));
    edits.extend((1..).zip(&base.hazards).map(|(n, answer)| {
        let entry = doc::HazardAnswer {
            hazard: doc::Hazard::from_word(answer.hazard.word()).unwrap_or(doc::Hazard::Asbestos),
            known: doc::Known::from_word(answer.known.word()).unwrap_or(doc::Known::Unknown),
            basis: answer.basis.clone(),
            report: None,
        };
        Edit::add(format!("hazard-{n:04}"), entry)
    }));
    edits
}

fn facts(base: &sheet::RoomBase) -> Option<Edit<RoomEntry>> {
    let none = doc::FloorFacts::unsaid();
    let built = |b: &sheet::BuildUp| doc::BuildUp { name: b.name.clone(), thickness: typed(&b.thickness) };
    let after = doc::FloorFacts {
        slab_thickness: base.slab.as_ref().and_then(|s| s.thickness.as_ref()).map(typed),
        dries_both: base.slab.as_ref().and_then(|s| s.drying).map(|d| d == sheet::Drying::Both),
        work: base.work.iter().map(|work| work.word().to_owned()).collect(),
        build_up: base.build_up.iter().map(built).collect(),
        ..none.clone()
    };
    (after != none).then(|| Edit::change_single(none, after))
}

/// A layer as a document keeps it.
fn layer(n: i64, layer: &sheet::Layer) -> doc::BaseAnswer {
    doc::BaseAnswer {
        what: doc::BaseKind::from_word(layer.what.word()).unwrap_or(doc::BaseKind::Other),
        layer: n,
        thickness: layer.thickness.as_ref().map(typed),
        fixing: layer.fixing.clone(),
        sound: layer.sound,
        notes: layer.notes.clone(),
    }
}

/// A moisture test as a document keeps it.
fn moisture(listed: i64, test: &sheet::MoistureTest) -> doc::MoistureReading {
    let (start, end) = test.grams.map_or((None, None), |[start, end]| (Some(start), Some(end)));
    let method = doc::MoistureMethod::from_word(test.method.word());
    doc::MoistureReading {
        method: method.unwrap_or(doc::MoistureMethod::Scan),
        at: test.at.as_ref().map(at),
        value: number(end.or(test.percent)),
        start_grams: number(start),
        area_cm2: number(test.area_cm2),
        hours: number(test.hours),
        depth: test.depth.as_ref().map(typed),
        celsius: number(test.celsius),
        air_humidity: number(test.air_percent),
        of: test.of.map(|of| of.word().to_owned()),
        read_ms: None,
        way: test.way.clone(),
        service_hours: number(test.service_hours),
        day: test.day.clone(),
        calibrated: test.calibrated.clone(),
        listed: Some(listed),
    }
}

/// What carries a floor as a document keeps it.
fn structure(s: &sheet::Structure) -> doc::StructureAnswer {
    doc::StructureAnswer {
        span: s.span.as_ref().map(typed),
        spacing: s.spacing.as_ref().map(typed),
        width: s.width.as_ref().map(typed),
        depth: s.depth.as_ref().map(typed),
        species: s.species.clone(),
        sheathing: s.sheathing.as_ref().map(typed),
        notes: s.notes.clone(),
        bearing: s.bearing.as_ref().map(typed),
        size: s.size.clone(),
        e_psi: number(s.e_psi),
        fb_psi: number(s.fb_psi),
        live_psf: number(s.live_psf),
        dead_psf: number(s.dead_psf),
        new_psf: number(s.new_psf),
        fixing: s.fixing.clone(),
        step: s.step.as_ref().map(typed),
    }
}

fn seam(seam: &sheet::Seam) -> Edit<RoomEntry> {
    let entry = doc::Feature {
        what: doc::FeatureKind::from_word(seam.what.word()).unwrap_or(doc::FeatureKind::Crack),
        line: seam.line.iter().map(at).collect(),
        width: seam.width.as_ref().map(typed),
        step: seam.step.as_ref().map(typed),
        notes: seam.notes.clone(),
    };
    Edit::add(&seam.id, entry)
}

fn fixture(f: &sheet::Fixture) -> Edit<RoomEntry> {
    let entry = doc::Fixture {
        name: f.name.clone().unwrap_or_default(),
        what: doc::FixtureKind::from_word(f.what.word()),
        at: f.at.as_ref().map(at),
        height: f.height.as_ref().map(typed),
        least: f.least.as_ref().map(typed),
        most: f.most.as_ref().map(typed),
        others: f.others.as_ref().map(typed),
        differ: f.differ.as_ref().map(typed),
        psf: number(f.psf),
        stands: f.stands.and_then(|s| doc::StandsOn::from_word(s.word())),
        source: f.source.clone(),
        notes: None,
    };
    Edit::add(&f.id, entry)
}

/// What lies in a room, from the top, as the sheet lists it.
pub fn layers_in_order(view: &RoomView) -> Vec<&Held<doc::BaseAnswer>> {
    let mut layers: Vec<_> = view.base.live.iter().collect();
    layers.sort_by_key(|held| (held.value.layer, held.added.at.utc_ms, held.id.clone()));
    layers
}

/// The moisture tests of a room, as the sheet lists them.
pub fn tests_in_order(view: &RoomView) -> Vec<&Held<doc::MoistureReading>> {
    in_order(&view.moisture.live, |test| test.listed)
}

/// What carries a room's floor as the sheet writes it; `None` where nothing is said.
pub(super) fn room_base(view: &RoomView) -> Option<sheet::RoomBase> {
    let facts = view.floor.value.as_ref();
    let slab = facts.map(|f| sheet::Slab {
        thickness: f.slab_thickness.as_ref().map(measure),
        drying: f.dries_both.map(|both| if both { sheet::Drying::Both } else { sheet::Drying::Top }),
        extra: Extra::new(),
    });
    let base = sheet::RoomBase {
        layers: layers_in_order(view).into_iter().map(|held| sheet_layer(&held.value)).collect(),
        build_up: facts.map(|f| f.build_up.iter().map(sheet_build_up).collect()).unwrap_or_default(),
        slab: slab.filter(|slab| *slab != sheet::Slab::default()),
        moisture: tests_in_order(view).into_iter().map(|held| sheet_test(&held.value)).collect(),
        // Two that were said apart both stand; the later by id is taken.
        structure: view.structure.live.last().map(|held| sheet_structure(&held.value)),
        seams: view.features.live.iter().map(|held| sheet_seam(&held.id, &held.value)).collect(),
        hazards: view.hazards.live.iter().filter_map(|held| sheet_hazard(&held.value)).collect(),
        work: facts
            .map(|f| f.work.iter().filter_map(|word| sheet::BaseWork::from_word(word)).collect())
            .unwrap_or_default(),
        extra: Extra::new(),
    };
    (base != sheet::RoomBase::default()).then_some(base)
}

fn sheet_layer(l: &doc::BaseAnswer) -> sheet::Layer {
    sheet::Layer {
        what: sheet::BaseKind::from_word(l.what.word()).unwrap_or(sheet::BaseKind::Other),
        thickness: l.thickness.as_ref().map(measure),
        fixing: l.fixing.clone(),
        sound: l.sound,
        notes: l.notes.clone(),
        extra: Extra::new(),
    }
}

fn sheet_build_up(b: &doc::BuildUp) -> sheet::BuildUp {
    sheet::BuildUp { name: b.name.clone(), thickness: measure(&b.thickness), extra: Extra::new() }
}

/// A moisture test as the sheet writes it.
fn sheet_test(m: &doc::MoistureReading) -> sheet::MoistureTest {
    let method = sheet::MoistureMethod::from_word(m.method.word()).unwrap_or(sheet::MoistureMethod::Scan);
    let weighed = method == sheet::MoistureMethod::CalciumChloride;
    let grams = amount(&m.start_grams).zip(amount(&m.value));
    sheet::MoistureTest {
        method,
        way: m.way.clone(),
        at: m.at.as_ref().map(point),
        percent: amount(&m.value).filter(|_| !weighed),
        grams: grams.filter(|_| weighed).map(|(start, end)| [start, end]),
        area_cm2: amount(&m.area_cm2),
        hours: amount(&m.hours),
        depth: m.depth.as_ref().map(measure),
        service_hours: amount(&m.service_hours),
        celsius: amount(&m.celsius),
        air_percent: amount(&m.air_humidity),
        of: m.of.as_deref().and_then(sheet::WoodOf::from_word),
        day: m.day.clone(),
        calibrated: m.calibrated.clone(),
        extra: Extra::new(),
    }
}

fn sheet_structure(s: &doc::StructureAnswer) -> sheet::Structure {
    sheet::Structure {
        span: s.span.as_ref().map(measure),
        bearing: s.bearing.as_ref().map(measure),
        spacing: s.spacing.as_ref().map(measure),
        size: s.size.clone(),
        width: s.width.as_ref().map(measure),
        depth: s.depth.as_ref().map(measure),
        species: s.species.clone(),
        e_psi: amount(&s.e_psi),
        fb_psi: amount(&s.fb_psi),
        live_psf: amount(&s.live_psf),
        dead_psf: amount(&s.dead_psf),
        new_psf: amount(&s.new_psf),
        sheathing: s.sheathing.as_ref().map(measure),
        fixing: s.fixing.clone(),
        step: s.step.as_ref().map(measure),
        notes: s.notes.clone(),
        extra: Extra::new(),
    }
}

fn sheet_seam(id: &ItemId, f: &doc::Feature) -> sheet::Seam {
    sheet::Seam {
        id: id.clone(),
        what: sheet::SeamKind::from_word(f.what.word()).unwrap_or(sheet::SeamKind::Crack),
        line: f.line.iter().map(point).collect(),
        width: f.width.as_ref().map(measure),
        step: f.step.as_ref().map(measure),
        notes: f.notes.clone(),
        extra: Extra::new(),
    }
}

fn sheet_hazard(h: &doc::HazardAnswer) -> Option<sheet::HazardAnswer> {
    Some(sheet::HazardAnswer {
        hazard: sheet::HazardKind::from_word(h.hazard.word())?,
        known: sheet::HazardKnown::from_word(h.known.word())?,
        basis: h.basis.clone(),
        extra: Extra::new(),
    })
}

/// Things whose height or weight matters, as the sheet writes them.
pub(super) fn fixtures(view: &RoomView) -> Vec<sheet::Fixture> {
    let fixture = |held: &Held<doc::Fixture>| {
        let f = &held.value;
        let what = f.what.and_then(|what| sheet::FixtureKind::from_word(what.word()));
        sheet::Fixture {
            id: held.id.clone(),
            what: what.unwrap_or(sheet::FixtureKind::Other),
            name: Some(f.name.clone()).filter(|name| !name.is_empty()),
            at: f.at.as_ref().map(point),
            height: f.height.as_ref().map(measure),
            least: f.least.as_ref().map(measure),
            most: f.most.as_ref().map(measure),
            others: f.others.as_ref().map(measure),
            differ: f.differ.as_ref().map(measure),
            psf: amount(&f.psf),
            stands: f.stands.and_then(|s| sheet::StandsOn::from_word(s.word())),
            source: f.source.clone(),
            extra: Extra::new(),
        }
    };
    view.fixtures.live.iter().map(fixture).collect()
}

/// An opening with what a sheet says of the floor next door and of its door.
pub(super) fn opening(of: &sheet::Opening, opening: doc::Opening) -> doc::Opening {
    let (next, door) = (of.next.as_ref(), of.door.as_ref());
    doc::Opening {
        next_door: next.and_then(|n| n.height.as_ref()).map(typed),
        next_floor: next.map(|n| n.floor.word().to_owned()),
        next_base: next.and_then(|n| n.base.as_ref()).map(typed),
        rated: door.map(|d| d.rated),
        door_clearance: door.map(|d| typed(&d.clearance)),
        door_gap: door.and_then(|d| d.gap.as_ref()).map(typed),
        door_stays: door.map(|d| d.stays),
        ..opening
    }
}

/// The floor next door as the sheet writes it.
pub(super) fn next_door(opening: &doc::Opening) -> Option<sheet::NextDoor> {
    let floor = opening.next_floor.as_deref().and_then(sheet::NextFloor::from_word);
    let said = floor.is_some() || opening.next_door.is_some() || opening.next_base.is_some();
    said.then(|| sheet::NextDoor {
        floor: floor.unwrap_or(sheet::NextFloor::Hard),
        height: opening.next_door.as_ref().map(measure),
        base: opening.next_base.as_ref().map(measure),
        extra: Extra::new(),
    })
}

/// The door as the sheet writes it.
pub(super) fn door(opening: &doc::Opening) -> Option<sheet::Door> {
    Some(sheet::Door {
        clearance: measure(opening.door_clearance.as_ref()?),
        gap: opening.door_gap.as_ref().map(measure),
        rated: opening.rated == Some(true),
        stays: opening.door_stays == Some(true),
        extra: Extra::new(),
    })
}
