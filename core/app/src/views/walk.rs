//! The walk-through with the client for the screens, and the bytes of a handover that is frozen.

use super::stages;
use crate::Problem;
use crate::desk::SeenJob;
use crate::laying::area_name;
use crate::session::Session;
use crate::show::{iso, stamp};
use crate::signature;
use crate::views::grout;
use crate::views::time::day_text;
use crate::wire::{CautionView, WalkPoint, WalkReady, WalkRecord, WalkRoom, WalkView};
use crate::words::say;
use drylay_document::sheet::{Demands, Product};
use drylay_document::{ContentHash, FrozenKind, Held, PinKind, Timestamp, WalkItem};
use drylay_geometry::ItemId;
use drylay_store::FileHash;
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// The version of a frozen handover's bytes.
const VERSION: u32 = 1;

/// When an area may be walked on, and when it has cured, in ms since 1970; nothing where nobody can say.
struct Wait {
    area: String,
    until: Option<(i64, i64)>,
}

/// What a handover is made of.
pub(crate) struct Handover {
    rooms: Vec<WalkRoom>,
    waits: Vec<Wait>,
    care: Vec<CautionView>,
}

/// Gathers a job's handover, by the day of this device.
pub(crate) fn gather(session: &Session, job: &SeenJob, now: Timestamp) -> Result<Handover, Problem> {
    let today = day_text(now);
    let mut rooms: Vec<WalkRoom> = Vec::new();
    for held in job.view.room_list() {
        rooms.push(room(job, held.id.as_str(), held.value.name.clone(), &today));
    }
    rooms.push(room(job, "", say("walk.whole", &[]), &today));
    let mut areas: Vec<_> = job.view.areas.live.iter().collect();
    areas.sort_by_key(|area| (area.value.place.clone(), area.id.clone()));
    let mut waits = Vec::new();
    for area in areas {
        let Ok(laying) = session.laying(job, &area.id) else { continue };
        if let Some(until) = grout::until(job, &laying) {
            waits.push(Wait { area: area_name(job, area), until });
        }
    }
    let shop = session.desk().shop()?.and_then(|shop| shop.facts.value);
    let own = shop.and_then(|facts| facts.handover_words);
    let sheet = session.desk().sheet_of(job, None).sheet;
    let laid: BTreeSet<&str> = job.view.areas.live.iter().map(|area| area.value.product.as_str()).collect();
    let products: Vec<&Product> = sheet.products.iter().filter(|p| laid.contains(p.id.as_str())).collect();
    Ok(Handover { rooms, waits, care: care(job, &products, own) })
}

/// The entries that say of a room whether it was looked at: two people who said so apart made two.
pub(crate) fn looked<'j>(job: &'j SeenJob, room: &str) -> Vec<&'j Held<WalkItem>> {
    let of = |held: &&Held<WalkItem>| held.value.looked.is_some() && is_of(held, room);
    job.view.walk.live.iter().filter(of).collect()
}

fn is_of(held: &Held<WalkItem>, room: &str) -> bool {
    held.value.room.as_ref().map_or("", ItemId::as_str) == room
}

fn room(job: &SeenJob, id: &str, name: String, today: &str) -> WalkRoom {
    let seen: Vec<_> = looked(job, id).into_iter().filter(|held| held.value.looked == Some(true)).collect();
    let of = job.view.walk.live.iter().filter(|held| held.value.looked.is_none() && is_of(held, id));
    let mut points: Vec<&Held<WalkItem>> = of.collect();
    points.sort_by_key(|held| (held.value.settled == Some(true), held.added.at.utc_ms, held.id.clone()));
    let point = |held: &Held<WalkItem>| {
        let (until, settled) =
            (held.value.until.clone().unwrap_or_default(), held.value.settled == Some(true));
        WalkPoint {
            id: held.id.to_string(),
            words: held.value.words.clone(),
            mender: held.value.mender.clone().unwrap_or_default(),
            // Days as year-month-day come in the order of their letters.
            late: !settled && !until.is_empty() && until.as_str() < today,
            until,
            settled,
            stamp: stamp(&held.added),
        }
    };
    WalkRoom {
        room: id.to_owned(),
        name,
        looked: !seen.is_empty(),
        stamp: seen.first().map(|held| stamp(held.stamp("looked"))),
        points: points.into_iter().map(point).collect(),
    }
}

/// How the floor is cared for: the shop's own words, what products say of themselves, and common practice.
fn care(job: &SeenJob, products: &[&Product], own: Option<String>) -> Vec<CautionView> {
    let mut said: Vec<CautionView> = Vec::new();
    said.extend(own.map(|words| CautionView { words, source: say("walk.by_shop", &[]) }));
    for product in products {
        let held = job.view.products.get(&ItemId::new(product.id.as_str()));
        let Some(held) = held else { continue };
        let name = &held.value.name;
        let notes = held.value.notes.clone();
        said.extend(
            notes.map(|words| CautionView { words, source: say("walk.by_product", &[("name", name)]) }),
        );
        let demands = held.value.demands.as_deref().map(Demands::read).unwrap_or_default();
        for one in demands.rules.iter().flat_map(|rules| &rules.instructions) {
            let edition = one.edition.clone().unwrap_or_default();
            let source = format!("{name}: {} {edition}", one.source).trim_end().to_owned();
            said.push(CautionView { words: one.say.clone(), source });
        }
    }
    let floats = |p: &&Product| p.base.as_ref().and_then(|base| base.floats).unwrap_or(p.interlock);
    let (floating, set) = (products.iter().any(floats), products.iter().any(|p| !p.interlock));
    let mut codes = vec!["dust", "wipe", "water", "feet"];
    codes.extend(if floating { &["heavy", "gap"][..] } else { &[] });
    codes.extend(if set { &["seal"][..] } else { &[] });
    codes.extend(["joints", "air"]);
    let practice = |code: &str| CautionView {
        words: say(&format!("paper.care.{code}"), &[]),
        source: say("walk.practice", &[]),
    };
    if !products.is_empty() {
        said.extend(codes.into_iter().map(practice));
    }
    said
}

impl Handover {
    /// The bytes that are frozen: what was looked at, what is open, until when things wait, and the words of care. Nothing
    /// in them goes by the time at which they are made, so that the same handover is the same bytes.
    pub(crate) fn bytes(&self, job: &SeenJob) -> Result<Vec<u8>, Problem> {
        let facts = job.view.facts.value.as_ref();
        let text = |of: fn(&drylay_document::JobFacts) -> &Option<String>| {
            facts.and_then(|facts| of(facts).clone()).unwrap_or_default()
        };
        let point = |point: &WalkPoint| {
            json!({ "id": point.id, "words": point.words, "mender": point.mender, "until": point.until,
                    "settled": point.settled })
        };
        let room = |room: &WalkRoom| {
            json!({ "room": room.room, "name": room.name, "looked": room.looked,
                    "points": room.points.iter().map(point).collect::<Vec<_>>() })
        };
        let wait = |wait: &Wait| match wait.until {
            Some((walk, cure)) => json!({ "area": wait.area, "walk": iso(walk), "cured": iso(cure) }),
            None => json!({ "area": wait.area, "walk": Value::Null, "cured": Value::Null }),
        };
        let mut plans: Vec<String> = Vec::new();
        for area in &job.view.areas.live {
            let of = |one: &&drylay_document::frozen::FrozenRecord| {
                one.held.value.what == FrozenKind::Plan && one.held.value.area.as_ref() == Some(&area.id)
            };
            plans.extend(job.view.frozen_records().iter().rfind(of).map(|one| one.held.id.to_string()));
        }
        let mut lots: Vec<(String, String, i64, i64)> = Vec::new();
        for held in &job.view.lots.live {
            let lot = &held.value;
            lots.push((lot.area.to_string(), lot.lot.clone(), lot.first_row, lot.last_row));
        }
        lots.sort();
        let whole = json!({
            "drylay_issue": VERSION, "what": "handover", "job": text(|facts| &facts.name),
            "client": text(|facts| &facts.client), "site": text(|facts| &facts.site),
            "rooms": self.rooms.iter().map(room).collect::<Vec<_>>(),
            "waits": self.waits.iter().map(wait).collect::<Vec<_>>(),
            "plans": plans, "lots": lots,
            "care": self.care.iter().map(|one| json!({ "words": one.words, "source": one.source })).collect::<Vec<_>>(),
        });
        serde_json::to_vec(&whole).map_err(|error| Problem::internal(&error.to_string()))
    }

    fn open(&self) -> usize {
        self.rooms.iter().flat_map(|room| &room.points).filter(|point| !point.settled).count()
    }

    fn words(&self) -> String {
        let unseen: Vec<&str> =
            self.rooms.iter().filter(|r| !r.looked && !r.room.is_empty()).map(|r| r.name.as_str()).collect();
        let mut said = Vec::new();
        if !unseen.is_empty() {
            said.push(say("walk.unseen", &[("rooms", &unseen.join(", "))]));
        }
        said.push(open_words(self.open()));
        said.join(" ")
    }
}

fn open_words(open: usize) -> String {
    match open {
        0 => say("walk.nothing_open", &[]),
        n => say("walk.open", &[("count", &n.to_string())]),
    }
}

/// The walk-through of a job, by the clock of this device.
pub(crate) fn view(session: &Session, job: &SeenJob) -> Result<WalkView, Problem> {
    let now = session.desk().world.now();
    let handover = gather(session, job, now)?;
    let bytes = handover.bytes(job)?;
    let records = records(session, job, &bytes);
    let waits = handover.waits.iter().filter_map(|wait| wait_words(wait, now));
    let client = job.view.facts.value.as_ref().and_then(|facts| facts.client.clone());
    Ok(WalkView {
        ready: ready(session, job)?,
        waits: waits.collect(),
        words: handover.words(),
        client: client.unwrap_or_default(),
        records,
        rooms: handover.rooms,
        care: handover.care,
    })
}

/// A wait that still runs, in words: days and hours where this device stands.
fn wait_words(wait: &Wait, now: Timestamp) -> Option<String> {
    let area = wait.area.as_str();
    let Some((walk, cure)) = wait.until else { return Some(say("walk.wait_unknown", &[("area", area)])) };
    let at = |utc_ms: i64| {
        let local = utc_ms.saturating_add(i64::from(now.zone_minutes) * 60_000);
        let time = chrono::DateTime::from_timestamp_millis(local);
        time.map(|time| time.format("%Y-%m-%d %H:%M").to_string()).unwrap_or_default()
    };
    if now.utc_ms < walk {
        return Some(say("walk.wait_walk", &[("area", area), ("walk", &at(walk)), ("cured", &at(cure))]));
    }
    (now.utc_ms < cure).then(|| say("walk.wait_cure", &[("area", area), ("cured", &at(cure))]))
}

/// What is offered: what steps lack and notes that are not settled, less what is a point already.
fn ready(session: &Session, job: &SeenJob) -> Result<Vec<WalkReady>, Problem> {
    let taken: BTreeSet<&str> =
        job.view.walk.live.iter().filter_map(|held| held.value.made_from.as_deref()).collect();
    let mut found = Vec::new();
    for stage in stages::view(session, job)?.stages {
        for gate in stage.gates.into_iter().filter(|gate| gate.passed.is_none()) {
            // Notes are offered one by one, not as their number.
            let from = format!("gate/{}", gate.id);
            if !gate.id.starts_with("unsettled/") && !taken.contains(from.as_str()) {
                found.push(WalkReady { made_from: from, words: gate.words, room: gate.room });
            }
        }
    }
    let mut notes: Vec<_> =
        job.view.problems.live.iter().filter(|held| held.value.settled != Some(true)).collect();
    notes.sort_by_key(|held| (held.added.at.utc_ms, held.id.clone()));
    for held in notes {
        let from = format!("note/{}", held.id);
        if taken.contains(from.as_str()) {
            continue;
        }
        let what = say(&format!("noted.{}", held.value.what.word()), &[]);
        let pin = held.value.pin.as_ref().filter(|pin| pin.what == PinKind::Piece);
        let item = pin.and_then(|pin| pin.item.as_ref()).map_or("", ItemId::as_str);
        let (area, piece) = item.split_once('/').unwrap_or((item, ""));
        let rooms =
            job.view.areas.get(&ItemId::new(area)).map(|area| area.value.rooms.clone()).unwrap_or_default();
        let measure = held.value.measure.as_ref().map(|measure| measure.text().to_owned());
        let piece = (!piece.is_empty()).then(|| say("walk.piece", &[("piece", piece)]));
        let parts = [Some(what), measure, piece, held.value.words.clone()];
        let words = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        // Where an area has several rooms, nobody has said which of them it is in.
        let room = if rooms.len() == 1 { rooms[0].to_string() } else { String::new() };
        found.push(WalkReady { made_from: from, words, room });
    }
    Ok(found)
}

fn records(session: &Session, job: &SeenJob, now: &[u8]) -> Vec<WalkRecord> {
    let hash = ContentHash::of(now);
    let today = serde_json::from_slice(now).unwrap_or(Value::Null);
    let of = |one: &drylay_document::frozen::FrozenRecord| {
        let held = &one.held;
        let read = session.desk().store.read_file(FileHash(held.value.hash.0)).ok();
        let bytes = read.and_then(|bytes| serde_json::from_slice::<Value>(&bytes).ok());
        let same = held.value.hash == hash;
        let drawn =
            held.value.signature.and_then(|drawn| session.desk().store.read_file(FileHash(drawn.0)).ok());
        let open = bytes.as_ref().map(|bytes| {
            let points = bytes["rooms"].as_array().into_iter().flatten();
            let points = points.flat_map(|room| room["points"].as_array().into_iter().flatten());
            points.filter(|point| point["settled"] == false).count()
        });
        WalkRecord {
            id: held.id.to_string(),
            short: held.id.as_str().chars().take(8).collect(),
            number: u32::try_from(held.value.number).unwrap_or(0),
            number_shared: one.number_shared,
            signed_by: held.value.signed_by.clone().unwrap_or_default(),
            signature: drawn.and_then(|bytes| signature::read(&bytes)),
            open_words: open.map_or_else(|| say("walk.away", &[]), open_words),
            changed: bytes.filter(|_| !same).map(|then| changed(&then, &today)).unwrap_or_default(),
            same,
            stamp: stamp(&held.added),
        }
    };
    let all = job.view.frozen_records();
    all.iter().rev().filter(|one| one.held.value.what == FrozenKind::Handover).map(of).collect()
}

/// Which parts of a handover are others now, in words.
fn changed(then: &Value, now: &Value) -> String {
    let points = |of: &Value| -> Vec<Value> {
        let rooms = of["rooms"].as_array().into_iter().flatten();
        rooms.map(|room| room["points"].clone()).collect()
    };
    let looked = |of: &Value| -> Vec<(Value, Value)> {
        let rooms = of["rooms"].as_array().into_iter().flatten();
        rooms.map(|room| (room["name"].clone(), room["looked"].clone())).collect()
    };
    let differs = |field: &str| then[field] != now[field];
    let parts = [
        ("walk.changed_points", points(then) != points(now)),
        ("walk.changed_rooms", looked(then) != looked(now)),
        ("walk.changed_waits", differs("waits")),
        ("walk.changed_plans", differs("plans") || differs("lots")),
        ("walk.changed_care", differs("care")),
        ("walk.changed_job", differs("job") || differs("client") || differs("site")),
    ];
    let said = parts.into_iter().filter(|(_, differs)| *differs).map(|(code, _)| say(code, &[]));
    say("walk.changed", &[("what", &said.collect::<Vec<_>>().join(", "))])
}
