//! A store as it is after some years: many jobs, long rooms.

use crate::stage::{Place, call, edit, new_room, read, text};
use drylay_store::{DocumentKey, Op, Store, Summary};
use serde_json::json;

#[test]
fn a_thousand_jobs_are_listed_without_opening_one() {
    let place = Place::new("thousand");
    let session = place.open("store", 1);
    let (job, _) = new_room(&session);
    drop(session);
    let mut store = Store::open(&place.path("store"), [9; 16]).expect("a store");
    let line = store.jobs().expect("the list").remove(0);
    let later = |n: u16| Summary {
        job: DocumentKey(u128::from(n).to_be_bytes()),
        name: format!("Job {n}"),
        changed_utc_ms: line.changed_utc_ms + i64::from(n),
        ..line.clone()
    };
    let lines: Vec<Summary> = (1..1000).map(later).collect();
    store.write(&lines.iter().map(Op::Summarise).collect::<Vec<_>>()).expect("lines");
    drop(store);
    let session = place.open("store", 2);
    let jobs = call(&session, "jobs.list", json!({}));
    assert_eq!(jobs["jobs"].as_array().map(Vec::len), Some(1000));
    assert_eq!(jobs["jobs"][0]["name"], "Job 999", "the last changed comes first");
    assert_eq!(session.open_documents(), 0);
    call(&session, "job.view", json!({ "job": job }));
    assert_eq!(session.open_documents(), 2, "a job and its room");
}

#[test]
fn a_room_keeps_every_reading_it_ever_had() {
    let place = Place::new("long");
    let session = place.open("store", 1);
    let (job, room) = new_room(&session);
    for n in 0..120 {
        read(&session, &job, &room, ("A", "B"), &format!("{} mm", 3000 + n));
    }
    drop(session);
    let session = place.open("store", 2);
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    let wall = &view["walls"][0]["reading"];
    assert_eq!((&wall["text"], wall["earlier"].as_array().map(Vec::len)), (&json!("3119 mm"), Some(119)));
    let history = call(&session, "history.list", json!({ "job": job, "room": room, "limit": 3 }));
    let words: Vec<&str> =
        history["entries"].as_array().expect("entries").iter().map(|it| text(&it["words"])).collect();
    assert_eq!(words, ["A–B read 3119 mm", "A–B read 3118 mm", "A–B read 3117 mm"]);
}

#[test]
fn the_last_good_drawing_stays_while_a_reading_spoils_the_shape() {
    let place = Place::new("spoilt");
    let session = place.open("store", 1);
    let (job, room) = new_room(&session);
    for (pair, long) in [(("A", "B"), "12'"), (("B", "C"), "9'"), (("C", "D"), "12'"), (("D", "A"), "9'")] {
        read(&session, &job, &room, pair, long);
    }
    let good = read(&session, &job, &room, ("A", "C"), "15'");
    assert_eq!(good["outline_is_old"], false);
    // Longer than all other walls together.
    let spoilt = read(&session, &job, &room, ("B", "C"), "90'");
    assert_eq!((&spoilt["verdict"], &spoilt["outline_is_old"]), (&json!("recheck"), &json!(true)));
    assert_eq!(spoilt["outline"], good["outline"]);
    assert_eq!(spoilt["problems"].as_array().map(Vec::len), Some(1), "{:#}", spoilt["problems"]);
    let mended = read(&session, &job, &room, ("B", "C"), "9'");
    assert_eq!((&mended["outline_is_old"], &mended["outline"]), (&json!(false), &good["outline"]));
}

#[test]
fn a_corner_that_is_taken_out_takes_its_readings_along_and_one_undo_brings_all_back() {
    let place = Place::new("corner");
    let session = place.open("store", 1);
    let (job, room) = new_room(&session);
    read(&session, &job, &room, ("A", "B"), "12'");
    let before = read(&session, &job, &room, ("B", "C"), "9'");
    edit(&session, &job, &room, json!({ "do": "remove_corner", "corner": "B" }));
    let view = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(
        (view["corners"].as_array().map(Vec::len), &view["walls"][0]["reading"]),
        (Some(3), &json!(null))
    );
    call(&session, "edit.undo", json!({ "job": job }));
    let after = call(&session, "room.view", json!({ "job": job, "room": room }));
    assert_eq!(after["walls"], before["walls"]);
}

#[test]
fn every_change_is_told_once_it_is_stored_and_a_refused_one_is_not() {
    let place = Place::new("events");
    let session = place.open("store", 1);
    let (job, room) = new_room(&session);
    let events = session.subscribe();
    read(&session, &job, &room, ("A", "B"), "12'");
    let event = serde_json::to_value(events.try_recv().expect("an event")).expect("json");
    assert_eq!(event, json!({ "kind": "changed", "job": job, "room": room }));
    let bad = json!({ "do": "set_reading", "from": "A", "to": "B", "text": "0\"" });
    let refused = session.call("room.edit", json!({ "job": job, "room": room, "edit": bad }));
    assert_eq!(refused.expect_err("no length").code, "length.not_positive");
    // The same reading again says nothing new.
    read(&session, &job, &room, ("A", "B"), "12'");
    assert!(events.try_recv().is_err());
}

#[test]
fn a_backup_is_a_store_of_its_own() {
    let place = Place::new("backup");
    let session = place.open("store", 1);
    let (job, _) = new_room(&session);
    let file = place.path("all.backup");
    let bytes = call(&session, "store.backup", json!({ "path": file }))["bytes"].as_u64().expect("a size");
    assert_eq!(bytes, std::fs::metadata(&file).expect("the file").len());
    drylay_store::archive::restore(&file, &place.path("restored")).expect("it is restored");
    let restored = place.open("restored", 2);
    assert_eq!(call(&restored, "job.view", json!({ "job": job }))["card"]["name"], "Attic");
}

#[test]
fn a_report_names_nobody() {
    let place = Place::new("report");
    let session = place.open("store", 1);
    call(&session, "device.rename", json!({ "name": "Marguerite" }));
    let ask =
        json!({ "name": "Hollowfield", "client": "Sandstone", "site": "Nowhere 4", "units": "imperial" });
    let job = text(&call(&session, "jobs.create", ask)["id"]).to_owned();
    let room =
        call(&session, "rooms.add", json!({ "job": job, "name": "Larder", "corners": 4 }))["id"].clone();
    read(&session, &job, text(&room), ("A", "B"), "12' 3 1/2\"");
    let report = call(&session, "report.anonymised", json!({ "job": job }));
    let report = text(&report["text"]);
    assert!(report.contains("12' 3 1/2"), "lengths are what a report is about");
    for private in ["Marguerite", "Hollowfield", "Sandstone", "Nowhere", "Larder"] {
        assert!(!report.contains(private), "{private}");
    }
}

/// Two cartons' worth of tiles more or less is what a person looks for in the list, so it must not be stale.
#[test]
fn the_list_says_what_accepted_plans_come_to_and_forgets_it_when_the_room_changes() {
    let place = Place::new("tiles");
    let session = place.open("store", 1);
    let card = call(&session, "jobs.demo", json!({}));
    let job = text(&card["id"]);
    assert_eq!(card["tiles"], json!(null));
    let view = call(&session, "job.view", json!({ "job": job }));
    let mut sum = 0;
    for area in view["areas"].as_array().expect("areas") {
        let plan = call(&session, "plan.view", json!({ "job": job, "area": area["id"] }));
        let ask = json!({ "job": job, "area": area["id"], "choice": plan["choice"]["token"] });
        let accepted = call(&session, "plan.accept", ask);
        assert_eq!(accepted["tiles"], plan["tiles"]);
        sum += accepted["tiles"].as_u64().expect("a count");
    }
    let tiles =
        |session: &drylay_app::Session| call(session, "jobs.list", json!({}))["jobs"][0]["tiles"].clone();
    assert_eq!(tiles(&session), json!(sum));
    let view = call(&session, "job.view", json!({ "job": job }));
    assert_eq!(
        view["areas"][0]["tiles"],
        call(&session, "plan.view", json!({ "job": job, "area": view["areas"][0]["id"] }))["tiles"]
    );
    let room = text(&view["rooms"][0]["id"]).to_owned();
    let wall = call(&session, "room.view", json!({ "job": job, "room": room }))["walls"][0].clone();
    read(&session, job, &room, (text(&wall["from"]), text(&wall["to"])), "14' 1\"");
    assert_eq!(tiles(&session), json!(null));
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(tiles(&session), json!(sum), "the same readings, the same plan");
}

/// By hand: 12 ft by 9 ft less 1/4 in all round is 143.5 by 107.5 in; a door 32 in wide, reached into by 4 in, adds
/// 31.5 in between its own gaps and 4 in of depth; an island of 2 ft by 1 ft takes 24.5 by 12.5 in with its gaps.
#[test]
fn the_floor_of_a_room_keeps_its_gap_runs_into_doors_and_round_islands() {
    let place = Place::new("floor");
    let session = place.open("store", 1);
    let (job, room) = new_room(&session);
    let product = json!({
        "name": "Slab", "length": "24\"", "width": "12\"", "thickness": "", "joint": "1/8\"", "edge_gap": "1/4\"",
        "kerf": "", "offsets": ["1/3"], "interlock": true, "min_row_width": "", "min_end_length": "",
        "carton_tiles": "6",
    });
    call(&session, "products.set", json!({ "job": job, "product": product }));
    for (pair, long) in [(("A", "B"), "12'"), (("B", "C"), "9'"), (("C", "D"), "12'"), (("D", "A"), "9'")] {
        read(&session, &job, &room, pair, long);
    }
    for pair in [("A", "C"), ("B", "D")] {
        read(&session, &job, &room, pair, "15'");
    }
    let door = json!({ "do": "set_opening", "from": "A", "to": "B", "start": "2'", "width": "32\"", "reach": "4\"" });
    edit(&session, &job, &room, door);
    let island = |x: &str| {
        json!({
            "do": "set_keepout", "name": "Island", "x": x, "y": "4'", "width": "24\"", "depth": "12\"",
        })
    };
    let view = edit(&session, &job, &room, island("5'"));
    assert_eq!(view["problems"], json!([]));
    let area: f64 = view["field"].as_array().expect("a floor").iter().map(rings_area).sum();
    let inches = 143.5 * 107.5 + 31.5 * 4.0 - 24.5 * 12.5;
    assert!(
        (area / (25.4 * 25.4) - inches).abs() < 0.01,
        "{} square inches, not {inches}",
        area / (25.4 * 25.4)
    );
    let view = edit(&session, &job, &room, island("50'"));
    let problem = &view["problems"][0];
    assert_eq!(
        (&problem["place"], view["verdict"].as_str()),
        (&json!("Island"), Some("consistent")),
        "{problem:#}"
    );
}

/// The area inside rings, in mm², by the shoelace formula.
fn rings_area(rings: &serde_json::Value) -> f64 {
    let area = |ring: &serde_json::Value| {
        let flat: Vec<f64> =
            ring.as_array().expect("a ring").iter().filter_map(serde_json::Value::as_f64).collect();
        let points: Vec<&[f64]> = flat.chunks(2).collect();
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>().abs() / 2.0
    };
    area(&rings["outer"]) - rings["holes"].as_array().expect("holes").iter().map(area).sum::<f64>()
}
