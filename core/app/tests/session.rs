//! The main path through the one door: a job from nothing to what to buy, closed and opened again in between.

use drylay_app::{Session, Timestamp, World, table::COMMANDS};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A clock that goes on by a second, and ids by counting: the same in every run.
#[derive(Debug)]
struct Counting {
    count: AtomicU64,
    seed: u8,
}

impl World for Counting {
    fn now(&self) -> Timestamp {
        let n = i64::try_from(self.count.fetch_add(1, Ordering::Relaxed)).expect("a small count");
        Timestamp { utc_ms: 1_700_000_000_000 + n * 1000, zone_minutes: 60 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.count.fetch_add(1, Ordering::Relaxed);
        let mut id = [self.seed; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-session-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }
}
impl Drop for Place {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn open(path: &Path, seed: u8) -> Session {
    let world = Counting { count: AtomicU64::new(u64::from(seed) * 100_000), seed };
    Session::open(path, Arc::new(world)).expect("a store")
}

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

fn new_room(session: &Session) -> (String, String) {
    let job = call(
        session,
        "jobs.create",
        json!({ "name": "Attic", "client": "", "site": "", "units": "imperial" }),
    );
    let job = job["id"].as_str().expect("an id").to_owned();
    let room = call(session, "rooms.add", json!({ "job": job, "name": "Den", "corners": 4 }));
    (job, room["id"].as_str().expect("an id").to_owned())
}

fn read(session: &Session, job: &str, room: &str, from: &str, to: &str, text: &str) -> Value {
    let edit = json!({ "do": "set_reading", "from": from, "to": to, "text": text });
    call(session, "room.edit", json!({ "job": job, "room": room, "edit": edit }))
}

#[test]
fn four_walls_and_two_diagonals_are_there_after_closing() {
    let place = Place::new("walls");
    let (job, room);
    {
        let session = open(&place.0, 1);
        (job, room) = new_room(&session);
        // 12 ft by 9 ft: the diagonal is 15 ft.
        for (from, to, text) in
            [("A", "B", "12'"), ("B", "C", "9'"), ("C", "D", "12'"), ("D", "A", "9'"), ("A", "C", "15'")]
        {
            read(&session, &job, &room, from, to, text);
        }
        let view = read(&session, &job, &room, "B", "D", "15'");
        assert_eq!(view["verdict"], "consistent", "{view:#}");
        assert_eq!(view["area_text"], "108.0 sq ft", "known to a few hundredths of a square foot");
    }
    let session = open(&place.0, 2);
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["verdict"], "consistent");
    assert_eq!(view["walls"][0]["reading"]["text"], "12'");
    let jobs = call(&session, "jobs.list", json!({}));
    assert_eq!(jobs["jobs"][0]["name"], "Attic");
    assert_eq!(jobs["jobs"][0]["rooms"], 1);
}

#[test]
fn a_correction_keeps_what_it_corrects_and_undo_brings_it_back() {
    let place = Place::new("undo");
    let session = open(&place.0, 3);
    let (job, room) = new_room(&session);
    read(&session, &job, &room, "A", "B", "12'");
    let view = read(&session, &job, &room, "A", "B", "12' 1\"");
    assert_eq!(view["walls"][0]["reading"]["text"], "12' 1\"");
    assert_eq!(view["walls"][0]["reading"]["earlier"][0]["text"], "12'");
    call(&session, "edit.undo", json!({ "job": job }));
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["walls"][0]["reading"]["text"], "12'");
    call(&session, "edit.redo", json!({ "job": job }));
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["walls"][0]["reading"]["text"], "12' 1\"");
}

#[test]
fn a_refused_edit_changes_nothing_and_says_where() {
    let place = Place::new("refused");
    let session = open(&place.0, 4);
    let (job, room) = new_room(&session);
    let edit = json!({ "do": "set_reading", "from": "A", "to": "B", "text": "12' 14\"" });
    let problem =
        session.call("room.edit", json!({ "job": job, "room": room, "edit": edit })).expect_err("refused");
    assert_eq!((problem.code.as_str(), problem.place.as_str()), ("length.inches_over_twelve", "edit.text"));
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(view["walls"][0]["reading"], Value::Null);
}

#[test]
fn unfinished_typing_survives_closing() {
    let place = Place::new("drafts");
    {
        let session = open(&place.0, 5);
        call(&session, "draft.put", json!({ "key": "room/A-B", "text": "12' 3 1" }));
    }
    let session = open(&place.0, 6);
    assert_eq!(call(&session, "draft.list", json!({}))["drafts"]["room/A-B"], "12' 3 1");
    call(&session, "draft.put", json!({ "key": "room/A-B", "text": "" }));
    assert_eq!(call(&session, "draft.list", json!({}))["drafts"], json!({}));
}

#[test]
fn nothing_that_is_asked_makes_a_command_panic() {
    let place = Place::new("junk");
    let session = open(&place.0, 7);
    let junk = [
        json!({}),
        json!(null),
        json!([1, 2]),
        json!({ "job": "x", "room": "y", "area": "z", "id": "" }),
        json!({ "job": 5 }),
        json!({ "name": "\u{0}", "units": "cubits" }),
        json!({ "text": "1e300", "units": "metric" }),
    ];
    for command in COMMANDS {
        for args in &junk {
            if let Err(problem) = session.call(command.name, args.clone()) {
                assert_ne!(problem.code, "program.fault", "{} {args}: {problem}", command.name);
                assert_ne!(problem.message, problem.code, "{}: no text", command.name);
            }
        }
    }
    assert_eq!(session.call("no.such", json!({})).expect_err("refused").code, "command.unknown");
}

#[test]
fn the_demo_job_is_planned_accepted_and_bought() {
    let place = Place::new("demo");
    let session = open(&place.0, 8);
    let card = call(&session, "jobs.demo", json!({}));
    assert_eq!(call(&session, "jobs.demo", json!({}))["id"], card["id"], "it is made once");
    let job = card["id"].as_str().expect("an id");
    let view = call(&session, "job.view", json!({ "job": job }));
    assert_eq!(view["rooms"].as_array().map(Vec::len), Some(4));
    let bath = view["areas"].as_array().expect("areas").last().expect("an area")["id"].clone();
    let plan = call(&session, "plan.view", json!({ "job": job, "area": bath }));
    let pieces = plan["pieces"].as_array().expect("pieces").len();
    assert!(pieces > 20, "{pieces}");
    assert_eq!(plan["accepted"], false);
    let other = &plan["alternatives"][0];
    let ask = json!({ "job": job, "area": bath, "one": plan["choice"]["token"], "other": other["choice"]["token"] });
    let beside = call(&session, "plan.compare", ask);
    assert_eq!(beside["other"], other["choice"]);
    let tiles =
        beside["lines"].as_array().expect("lines").iter().find(|l| l["words"] == "Tiles").expect("tiles");
    assert_eq!(tiles["one"], plan["tiles"].to_string());
    assert_eq!(tiles["other"], other["tiles"].to_string());
    let accepted =
        call(&session, "plan.accept", json!({ "job": job, "area": bath, "choice": plan["choice"]["token"] }));
    assert_eq!(accepted["accepted"], true);
    assert_eq!(accepted["pieces"], plan["pieces"], "the accepted choice gives the same pieces again");
    let again = call(&session, "plan.view", json!({ "job": job, "area": bath, "have": accepted["version"] }));
    assert_eq!((&again["same"], again["pieces"].as_array().map(Vec::len)), (&json!(true), Some(0)));
    let cut = plan["pieces"]
        .as_array()
        .expect("pieces")
        .iter()
        .find(|p| p["cut"] == "length")
        .expect("a cut piece");
    let piece = call(&session, "piece.view", json!({ "job": job, "area": bath, "piece": cut["id"] }));
    assert_eq!(piece["marks"].as_array().map(Vec::len), Some(2), "{piece:#}");
    let size = piece["size"]["length"]["mm"].as_f64().expect("mm");
    assert!(
        piece["marks"]
            .as_array()
            .expect("marks")
            .iter()
            .all(|m| m["mm"].as_f64().is_some_and(|mm| mm <= size + 1e-9))
    );
    let buy = call(&session, "buy.view", json!({ "job": job }));
    let tiles = |buy: &Value| -> Vec<Value> {
        let lines = buy["lines"].as_array().expect("lines").iter();
        lines.filter(|line| line["item"] == "tile").map(|line| line["product"].clone()).collect()
    };
    assert_eq!(tiles(&buy), [json!("wet-tile")], "what is not planned is not planned by looking");
    assert!(
        buy["waiting"]
            .as_array()
            .expect("a list")
            .iter()
            .any(|w| { w.as_str().is_some_and(|words| words.contains("no plan is accepted yet")) })
    );
    plan_all(&session, job);
    let buy = call(&session, "buy.view", json!({ "job": job }));
    assert_eq!(tiles(&buy), [json!("field-tile"), json!("wet-tile")], "{buy:#}");
}

/// Looks at every plan of a job, so that each is known.
fn plan_all(session: &Session, job: &str) {
    let view = call(session, "job.view", json!({ "job": job }));
    for area in view["areas"].as_array().expect("areas") {
        call(session, "plan.view", json!({ "job": job, "area": area["id"] }));
    }
}

#[test]
fn a_search_tells_how_far_it_is_and_can_be_cancelled() {
    let place = Place::new("search");
    let session = open(&place.0, 9);
    let events = session.subscribe();
    let job = call(&session, "jobs.demo", json!({}))["id"].clone();
    let areas = call(&session, "job.view", json!({ "job": job }))["areas"].clone();
    let task = call(&session, "plan.search", json!({ "job": job, "area": areas[0]["id"] }))["task"].clone();
    call(&session, "task.cancel", json!({ "task": task }));
    let ended = events
        .iter()
        .map(|e| serde_json::to_value(e).expect("json"))
        .find(|e| e["task"] == task && (e["kind"] == "finished" || e["kind"] == "failed"));
    let ended = ended.expect("the task ends");
    assert_eq!(
        (ended["kind"].as_str(), ended["problem"]["code"].as_str()),
        (Some("failed"), Some("task.cancelled"))
    );
}

#[test]
fn a_search_tells_of_better_plans_as_it_goes_and_of_what_none_can_beat() {
    let place = Place::new("better");
    let session = open(&place.0, 12);
    let events = session.subscribe();
    let sheet = r#"{ "drylay": 1,
        "products": [ { "id": "p", "face": { "length": 600, "width": 300 }, "joint": 3, "kerf": 2, "interlock": true,
                        "offsets": ["1/2"], "min_end_length": 150, "carton": { "tiles": 5 } } ],
        "rooms": [ { "id": "r", "outline": [[0,0],[1900,4],[1906,1450],[-3,1441]] } ],
        "areas": [ { "id": "a", "rooms": ["r"], "product": "p" } ] }"#;
    let job = call(&session, "jobs.import", json!({ "sheet": sheet }))["id"].clone();
    let view = call(&session, "job.view", json!({ "job": job }));
    let area = view["areas"].as_array().expect("areas").last().expect("an area")["id"].clone();
    let task = call(&session, "plan.search", json!({ "job": job, "area": area }))["task"].clone();
    let mut told = Vec::new();
    let found = loop {
        let event = serde_json::to_value(events.recv().expect("an event")).expect("json");
        if event["task"] == task && event["kind"] == "progress" {
            told.push(event);
        } else if event["task"] == task {
            break event;
        }
    };
    assert_eq!(found["kind"], "finished");
    let first = &told.first().expect("told of")["best"];
    assert!(first["tiles"].as_u64() >= first["least_tiles"].as_u64(), "{first}");
    let last = &told.last().expect("told of")["best"];
    assert_eq!(last["tiles"], found["answer"]["tiles"]);
    assert_eq!(last["token"], found["answer"]["choice"]["token"]);
    let accept = json!({ "job": job, "area": area, "choice": last["token"] });
    assert_eq!(call(&session, "plan.accept", accept)["pieces"], found["answer"]["pieces"]);
}

#[test]
fn a_sheet_goes_in_and_comes_out() {
    let place = Place::new("sheet");
    let session = open(&place.0, 10);
    let job = call(&session, "jobs.demo", json!({}))["id"].clone();
    let text = call(&session, "jobs.export", json!({ "job": job }))["sheet"].clone();
    let read = drylay_app::read_sheet(text.as_str().expect("text")).expect("a sheet");
    let demo = drylay_app::read_sheet(drylay_app::answers::demo::SHEET).expect("a sheet");
    assert_eq!(read.sheet.rooms.len(), demo.sheet.rooms.len());
    assert_eq!(read.sheet.rooms[0].tape.len(), demo.sheet.rooms[0].tape.len());
    let problem = session.call("jobs.import", json!({ "sheet": "{" })).expect_err("no sheet");
    assert_eq!(problem.code, "sheet.not_json");
}

#[test]
fn what_breaks_and_what_stays_is_added_to_what_is_bought() {
    let place = Place::new("rates");
    let session = open(&place.0, 9);
    let demo = call(&session, "jobs.demo", json!({}))["id"].as_str().expect("an id").to_owned();
    let tile =
        |session: &Session, job: &str| call(session, "buy.view", json!({ "job": job }))["lines"][0].clone();
    let steps = |line: &Value| -> Vec<(String, u64)> {
        let steps = line["steps"].as_array().expect("steps").iter();
        let figure = |step: &Value| step["value"].as_str().and_then(|text| text.parse().ok()).unwrap_or(0);
        steps.map(|step| (step["words"].as_str().expect("words").to_owned(), figure(step))).collect()
    };
    plan_all(&session, &demo);
    call(&session, "jobs.edit", json!({ "job": demo, "breakage": "", "attic": "" }));
    let without = tile(&session, &demo);
    let plan = without["quantity"].as_u64().expect("tiles");

    let problem = session.call("shop.edit", json!({ "breakage": "three" })).expect_err("no figure");
    assert_eq!((problem.code.as_str(), problem.place.as_str()), ("shop.percent", "breakage"));
    call(&session, "shop.edit", json!({ "name": "Tilers of the pond", "breakage": "3 %", "attic": "7,5" }));
    let line = tile(&session, &demo);
    // Each rate is of the plan's tiles and rounded up to whole tiles.
    let (breakage, attic) = ((plan * 3).div_ceil(100), (plan * 75).div_ceil(1000));
    assert_eq!(line["quantity"].as_u64(), Some(plan + breakage + attic));
    let said = steps(&line);
    assert!(said.contains(&("For breakage: 3% of them, the shop's rate".to_owned(), breakage)), "{said:?}");

    // The job's own rate goes before the shop's, and a new job takes the shop's along.
    let view = call(&session, "jobs.edit", json!({ "job": demo, "breakage": "10" }));
    assert_eq!((&view["breakage"]["from"], &view["attic"]["from"]), (&json!("job"), &json!("shop")));
    assert_eq!(tile(&session, &demo)["quantity"].as_u64(), Some(plan + plan.div_ceil(10) + attic));
    let (new, _) = new_room(&session);
    call(&session, "shop.edit", json!({ "breakage": "50" }));
    let view = call(&session, "job.view", json!({ "job": new }));
    assert_eq!((&view["breakage"]["percent"], &view["breakage"]["from"]), (&json!("3"), &json!("job")));
}

#[test]
fn a_tile_that_the_shop_keeps_goes_into_another_job() {
    let place = Place::new("kept");
    let kept;
    {
        let session = open(&place.0, 10);
        let demo = call(&session, "jobs.demo", json!({}))["id"].as_str().expect("an id").to_owned();
        let product = call(&session, "job.view", json!({ "job": demo }))["products"][0].clone();
        let shop = call(&session, "shop.keep", json!({ "job": demo, "id": product["id"] }));
        assert_eq!(shop["products"], json!([product]));
        kept = product;
    }
    let session = open(&place.0, 11);
    let (job, _) = new_room(&session);
    let view = call(&session, "products.take", json!({ "job": job, "id": kept["id"] }));
    assert_eq!(view["products"][0]["length"], kept["length"]);
    // Taken twice, it is still one tile.
    let view = call(&session, "products.take", json!({ "job": job, "id": kept["id"] }));
    assert_eq!(view["products"].as_array().map(Vec::len), Some(1));
    let problem = session.call("products.take", json!({ "job": job, "id": "none" })).expect_err("unknown");
    assert_eq!(problem.code, "shop.unknown_product");
}

#[test]
fn what_the_rest_say_is_told_of_a_reading_that_is_odd_and_with_its_doubt() {
    let place = Place::new("says");
    let session = open(&place.0, 12);
    let (job, room) = new_room(&session);
    let mut view = Value::Null;
    // 12 ft by 9 ft: both diagonals are 15 ft.
    for (from, to, text) in [
        ("A", "B", "12'"),
        ("B", "C", "9'"),
        ("C", "D", "12'"),
        ("D", "A", "9'"),
        ("A", "C", "15'"),
        ("B", "D", "15'"),
    ] {
        view = read(&session, &job, &room, from, to, text);
    }
    let says = |view: &Value| -> Vec<Value> {
        view["walls"].as_array().expect("walls").iter().map(|wall| wall["reading"]["says"].clone()).collect()
    };
    assert_eq!(says(&view), [Value::Null, Value::Null, Value::Null, Value::Null]);
    let odd = read(&session, &job, &room, "A", "B", "12' 2\"");
    let told = odd["walls"][0]["reading"]["says"].as_str().expect("odd").to_owned();
    let (value, doubt) = told.split_once(" ± ").expect("a value and its doubt");
    assert!(value.starts_with("11' 11") || value.starts_with("12'"), "{told}");
    assert!(!doubt.is_empty() && doubt != "0\"", "{told}");
}
