//! The parts of a job: rooms, passages, areas, products.

use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::labels::letter;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views;
use crate::wire::{
    AreaSet, JobView, OfJobItem, OfRoom, PassageSet, ProductSet, ProductTyped, RoomAdd, RoomView,
};
use crate::words::say;
use drylay_document::{
    Area, Corner, DocumentId, Edit, Entry, JobEntry, Kind, Passage, Place, Product, RoomEntry, RoomFacts,
    RoomLink, Turn, TypedLength, Use,
};
use drylay_geometry::{ItemId, Outline};

pub(crate) fn add_room(session: &Session, ask: RoomAdd) -> Result<RoomView, Problem> {
    let corners = usize::try_from(ask.corners).unwrap_or(usize::MAX);
    if corners < 3 {
        return Err(Problem::new("ring.too_few", "corners"));
    }
    if corners > Outline::MOST_CORNERS {
        let most = Outline::MOST_CORNERS;
        return Err(Problem::new("limit.corners", "corners").with("found", corners).with("most", most));
    }
    let name = said(&ask.name).ok_or_else(|| Problem::new("sheet.name", "name"))?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let (id, document) = (desk.new_id(), DocumentId(desk.world.random_id()));
    drop(desk);
    let last = job.view.room_list().last().map(|held| held.value.place.clone());
    let place = Place::between(last.as_ref(), None, id.as_str());
    let link = Edit::<JobEntry>::add(&id, RoomLink { document, name: name.clone(), place });
    session.change(job.id, say("what.room_added", &[("name", &name)]), |change| {
        change.make(Kind::Room, document);
        change.apply(document, &new_room(&name, corners))?;
        change.apply(job.id, &[link])
    })?;
    views::room(&mut session.desk(), &ask.job, id.as_str())
}

/// The edits of an empty room's document: its name and its corners, A to the right along the first wall.
pub(crate) fn new_room(name: &str, corners: usize) -> Vec<Edit<RoomEntry>> {
    let none = RoomFacts {
        name: None,
        measured_to: None,
        measured_at: None,
        trim_thickness: None,
        instrument: None,
        seen_from: None,
        settings: Vec::new(),
        yearly_range: None,
    };
    let named = RoomFacts { name: Some(name.to_owned()), ..none.clone() };
    let corner = |n: usize| {
        // The document is new, so nobody else can have used these letters.
        let name = letter(n);
        let place = Place::nth(u32::try_from(n).unwrap_or(u32::MAX), &name);
        Edit::add(name.as_str(), Corner { name: name.clone(), place, turn: Turn::In, at: None })
    };
    std::iter::once(Edit::change_single(none, named)).chain((0..corners).map(corner)).collect()
}

pub(crate) fn remove_room(session: &Session, ask: OfRoom) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let _ = job.room(&ask.room, "room")?;
    let id = ItemId::new(&ask.room);
    let name = job.view.rooms.get(&id).map_or_else(String::new, |held| held.value.name.clone());
    withdraw::<RoomLink>(session, &job, id, say("what.room_removed", &[("name", &name)]))
}

pub(crate) fn set_passage(session: &Session, ask: PassageSet) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    if ask.a.0 == ask.b.0 {
        return Err(Problem::new("passage.same_room", "b").with("room", room_name(&job, &ask.a.0)));
    }
    for (place, (room, opening)) in [("a", &ask.a), ("b", &ask.b)] {
        expect_opening(session, &job, room, opening, place)?;
    }
    let new = Passage {
        room_a: ItemId::new(&ask.a.0),
        opening_a: ItemId::new(&ask.a.1),
        room_b: ItemId::new(&ask.b.0),
        opening_b: ItemId::new(&ask.b.1),
        depth: job.units.read_positive(&ask.depth, "depth")?,
        place: None,
    };
    let old = match &ask.id {
        None => None,
        Some(id) => {
            let held = job.view.passages.get(&ItemId::new(id));
            Some(held.ok_or_else(|| unknown("entry.unknown", "id", id))?.value.clone())
        }
    };
    let new = Passage { place: old.as_ref().and_then(|old| old.place.clone()), ..new };
    set(session, &job, ask.id, old, new, say("what.passage", &[]))
}

pub(crate) fn remove_passage(session: &Session, ask: OfJobItem) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    withdraw::<Passage>(session, &job, ItemId::new(&ask.id), say("what.passage_removed", &[]))
}

pub(crate) fn set_area(session: &Session, ask: AreaSet) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    if ask.rooms.is_empty() {
        return Err(Problem::new("area.no_rooms", "rooms"));
    }
    ask.rooms.iter().try_for_each(|room| job.room(room, "rooms").map(drop))?;
    let product = ItemId::new(&ask.product);
    if job.view.products.get(&product).is_none() {
        return Err(unknown("job.unknown_product", "product", &ask.product));
    }
    let old = match &ask.id {
        None => None,
        Some(id) => {
            let held = job.view.areas.get(&ItemId::new(id));
            Some(held.ok_or_else(|| unknown("entry.unknown", "id", id))?.value.clone())
        }
    };
    let base = old.clone().unwrap_or_else(|| empty_area(product.clone()));
    let rooms = ask.rooms.iter().map(ItemId::new).collect();
    let new = Area { name: said(&ask.name), rooms, product, ..base };
    set(session, &job, ask.id, old, new, say("what.area", &[("name", &ask.name)]))
}

fn empty_area(product: ItemId) -> Area {
    Area {
        underlay: None,
        name: None,
        rooms: Vec::new(),
        product,
        along: None,
        offset: None,
        order: None,
        first_row: None,
        shift: None,
        margin: None,
        walls: Vec::new(),
        centred_on: None,
        centre: None,
        start_wall: Vec::new(),
        doorways: None,
        sight_line: None,
        slide: None,
        ten_rows: None,
        ten_tiles: None,
        place: None,
    }
}

pub(crate) fn remove_area(session: &Session, ask: OfJobItem) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let name = job.view.areas.get(&id).and_then(|held| held.value.name.clone()).unwrap_or_default();
    withdraw::<Area>(session, &job, id, say("what.area_removed", &[("name", &name)]))
}

pub(crate) fn set_product(session: &Session, ask: ProductSet) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let typed = &ask.product;
    let old = match &typed.id {
        None => None,
        Some(id) => {
            let held = job.view.products.get(&ItemId::new(id));
            Some(held.ok_or_else(|| unknown("job.unknown_product", "product.id", id))?.value.clone())
        }
    };
    let new = product(&job, typed, old.as_ref())?;
    let words = say("what.product", &[("name", &typed.name)]);
    set(session, &job, typed.id.clone(), old, new, words)
}

fn product(job: &SeenJob, typed: &ProductTyped, old: Option<&Product>) -> Result<Product, Problem> {
    let need = |text: &str, place: &str| job.units.read_positive(text, place).map(Some);
    let may = |text: &str, place: &str| job.units.read_answer(text, place);
    let name = said(&typed.name).ok_or_else(|| Problem::new("sheet.name", "product.name"))?;
    let base = old.cloned().unwrap_or_else(|| Product::named(String::new(), Use::Floor));
    let or_as_it_was = |text: &Option<String>, was: &Option<TypedLength>, place: &str| match text {
        Some(text) => may(text, place),
        None => Ok(was.clone()),
    };
    Ok(Product {
        demands: match &typed.demands {
            Some(demands) => super::demands::written(
                demands,
                base.demands.as_deref(),
                job.units,
                !typed.thickness.trim().is_empty(),
            )?,
            None => base.demands.clone(),
        },
        max_run: or_as_it_was(&typed.max_run, &base.max_run, "product.max_run")?,
        clearance: or_as_it_was(&typed.clearance, &base.clearance, "product.clearance")?,
        min_neck: or_as_it_was(&typed.min_neck, &base.min_neck, "product.min_neck")?,
        name,
        length: need(&typed.length, "product.length")?,
        width: need(&typed.width, "product.width")?,
        thickness: may(&typed.thickness, "product.thickness")?,
        joint: may(&typed.joint, "product.joint")?,
        edge_gap: may(&typed.edge_gap, "product.edge_gap")?,
        kerf: may(&typed.kerf, "product.kerf")?,
        interlock: Some(typed.interlock),
        offsets: typed.offsets.iter().map(|text| offset(text)).collect::<Result<_, _>>()?,
        min_row_width: may(&typed.min_row_width, "product.min_row_width")?,
        min_end_length: may(&typed.min_end_length, "product.min_end_length")?,
        per_pack: carton(&typed.carton_tiles)?,
        ..base
    })
}

fn offset(text: &str) -> Result<String, Problem> {
    let text = text.trim();
    let fraction = drylay_document::sheet::Fraction::parse(text);
    let wrong = || Problem::new("sheet.fraction", "product.offsets").with("found", text);
    fraction.map(|_| text.to_owned()).ok_or_else(wrong)
}

fn carton(text: &str) -> Result<Option<i64>, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let number = text.parse().ok().filter(|n| (1..=100_000).contains(n));
    let wrong = || Problem::new("sheet.whole", "product.carton_tiles").with("found", text).with("least", 1);
    number.map(Some).ok_or_else(wrong)
}

/// Adds a thing of the job, or changes it from what was seen.
fn set<T: Entry + Into<JobEntry>>(
    session: &Session,
    job: &SeenJob,
    id: Option<String>,
    old: Option<T>,
    new: T,
    words: String,
) -> Result<JobView, Problem> {
    let edit = match (id, old) {
        (Some(id), Some(old)) => Edit::change(id, old, new),
        _ => Edit::add(session.desk().new_id(), new),
    };
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
    views::job(&mut session.desk(), &job.id.to_string())
}

fn withdraw<T: Entry>(
    session: &Session,
    job: &SeenJob,
    id: ItemId,
    words: String,
) -> Result<JobView, Problem> {
    let edit = Edit::<JobEntry>::Withdraw { table: T::TABLE, id };
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
    views::job(&mut session.desk(), &job.id.to_string())
}

fn expect_opening(
    session: &Session,
    job: &SeenJob,
    room: &str,
    opening: &str,
    place: &str,
) -> Result<(), Problem> {
    let document = job.room(room, place)?;
    let seen = session.desk().room(job, document)?;
    let there = seen.view.openings.get(&ItemId::new(opening)).is_some();
    let missing = || unknown("job.unknown_opening", place, opening).with("room", room_name(job, room));
    if there { Ok(()) } else { Err(missing()) }
}

fn room_name(job: &SeenJob, room: &str) -> String {
    job.view.rooms.get(&ItemId::new(room)).map_or_else(|| room.to_owned(), |held| held.value.name.clone())
}
