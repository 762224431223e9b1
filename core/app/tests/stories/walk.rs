//! The walk-through with the client, on two devices apart, and the handover that stays as it was signed.

use crate::stage::{Place, call, hand_over, text};
use crate::work::{Clock, MORNING, given_out, open};
use drylay_app::Session;
use serde_json::{Value, json};

const HOUR: i64 = 3_600_000;

fn view(session: &Session, job: &str) -> Value {
    call(session, "walk.view", json!({ "job": job }))
}
fn point(room: &str, words: &str, mender: &str, until: &str) -> Value {
    json!({ "room": room, "words": words, "mender": mender, "until": until, "settled": false, "made_from": "" })
}
fn set(session: &Session, job: &str, point: Value) -> Value {
    let mut ask = point;
    ask["job"] = json!(job);
    call(session, "walk.set", ask)
}
fn sign(session: &Session, job: &str, name: &str) -> Value {
    call(session, "walk.sign", json!({ "job": job, "signed_by": name }))
}
fn ready(view: &Value) -> Vec<&str> {
    view["ready"].as_array().expect("a list").iter().map(|one| text(&one["words"])).collect()
}
fn handover(session: &Session, job: &str) -> Value {
    let stages = call(session, "stages.view", json!({ "job": job }));
    let stages = stages["stages"].as_array().expect("stages").clone();
    stages.into_iter().find(|one| one["stage"] == "handover").expect("the step")
}

#[test]
fn what_a_step_lacks_and_what_was_noted_are_offered_once() {
    let place = Place::new("walk-ready");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let note = json!({ "job": job, "area": area, "what": "lippage", "piece": "1-2", "measure": "1.2 mm", "words": "at the post", "settled": false });
    call(&session, "work.note", note);
    let fresh = view(&session, &job);
    let room = text(&fresh["rooms"][0]["room"]).to_owned();
    assert_eq!(
        (text(&fresh["rooms"][0]["name"]), &fresh["rooms"][0]["looked"]),
        ("Oar store", &json!(false))
    );
    assert_eq!(fresh["words"], "Not looked at yet: Oar store. Nothing is open.");
    let noted = "Lippage, 1.2 mm, piece 1-2, at the post";
    assert!(ready(&fresh).contains(&noted), "{fresh}");
    assert!(ready(&fresh).contains(&"The client has not agreed to the shade."), "{fresh}");
    assert!(
        !ready(&fresh).iter().any(|words| words.contains("not settled")),
        "notes one by one, not their number"
    );
    let offered = fresh["ready"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|one| one["words"] == noted)
        .expect("the note");
    assert_eq!(text(&offered["room"]), room, "the only room of its area");

    let mut taken = point(&room, noted, "Ben", "2026-09-30");
    taken["made_from"] = offered["made_from"].clone();
    let now = set(&session, &job, taken);
    assert!(!ready(&now).contains(&noted), "offered once");
    let made = &now["rooms"][0]["points"][0];
    assert_eq!(
        (text(&made["mender"]), &made["late"], &made["settled"]),
        ("Ben", &json!(false), &json!(false))
    );
    clock.set(MORNING + 6 * 24 * HOUR, -300);
    assert_eq!(view(&session, &job)["rooms"][0]["points"][0]["late"], true, "the day is over");
    let mended = json!({ "id": made["id"], "room": room, "words": noted, "mender": "Ben", "until": "2026-09-30", "settled": true, "made_from": "" });
    let now = set(&session, &job, mended);
    assert_eq!(
        (&now["rooms"][0]["points"][0]["late"], &now["words"]),
        (&json!(false), &json!("Not looked at yet: Oar store. Nothing is open."))
    );
    assert!(!ready(&now).contains(&noted), "and stays a point");

    let mut wrong = point(&room, "a scratch", "", "next week");
    wrong["job"] = json!(job);
    let refused = session.call("walk.set", wrong).expect_err("no day");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("day.unknown", "until"));
}

#[test]
fn a_handover_stays_as_it_was_signed_closes_its_step_and_says_what_changed_since() {
    let place = Place::new("walk-signed");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let room = text(&view(&session, &job)["rooms"][0]["room"]).to_owned();
    call(&session, "walk.look", json!({ "job": job, "room": room, "looked": true }));
    let seen = set(&session, &job, point(&room, "Strip at the gate", "Ana", "2026-10-01"));
    assert_eq!(seen["words"], "Points that are open: 1.");
    let plan = call(&session, "grout.view", json!({ "job": job, "area": area }));
    let sections: Vec<Value> =
        plan["sections"].as_array().expect("sections").iter().map(|one| one["id"].clone()).collect();
    call(
        &session,
        "grout.done",
        json!({ "job": job, "area": area, "plan": plan["plan"], "sections": sections, "minutes_ago": "", "warmth": "" }),
    );
    // Common practice where the grout says nothing: 24 h to light traffic, 72 h to full cure, from 07:00.
    let waits = view(&session, &job)["waits"].clone();
    assert_eq!(
        waits,
        json!([
            "Oar store: nobody walks there until 2026-09-26 07:00, no heavy loads until 2026-09-28 07:00."
        ])
    );

    let nobody = session.call("walk.sign", json!({ "job": job, "signed_by": " " })).expect_err("no name");
    assert_eq!((nobody.code.as_str(), nobody.place.as_str()), ("walk.no_name", "signed_by"));
    assert_eq!(handover(&session, &job)["state"], "waits", "nothing was closed");
    let drawn =
        json!({ "width": 60.0, "height": 24.0, "strokes": [[[5.0, 12.0], [20.0, 6.5], [44.0, 18.0]]] });
    let ask = json!({ "job": job, "signed_by": "C. Ferry", "signature": drawn });
    let signed = call(&session, "walk.sign", ask);
    assert_eq!(signed["records"][0]["signature"], drawn, "as it was drawn");
    let record = &signed["records"][0];
    assert_eq!(
        (&record["number"], text(&record["signed_by"]), &record["same"], text(&record["open_words"])),
        (&json!(1), "C. Ferry", &json!(true), "Points that are open: 1.")
    );
    assert_eq!(handover(&session, &job)["state"], "finished");
    assert_eq!(
        sign(&session, &job, "C. Ferry")["records"].as_array().map(Vec::len),
        Some(1),
        "the same twice is one"
    );

    // Time that goes by is no change; the wait that ran then is over.
    clock.set(MORNING + 80 * HOUR, 120);
    let later = view(&session, &job);
    assert_eq!((&later["waits"], &later["records"][0]["same"]), (&json!([]), &json!(true)));
    let id = &later["rooms"][0]["points"][0]["id"];
    let mended = json!({ "id": id, "room": room, "words": "Strip at the gate", "mender": "Ana", "until": "2026-10-01", "settled": true, "made_from": "" });
    let now = set(&session, &job, mended);
    assert_eq!(
        (&now["records"][0]["same"], &now["records"][0]["changed"]),
        (&json!(false), &json!("Changed since: points."))
    );
    assert_eq!(now["records"][0]["open_words"], "Points that are open: 1.", "as it was signed");
    let again = sign(&session, &job, "C. Ferry");
    let numbers: Vec<&Value> =
        again["records"].as_array().expect("two").iter().map(|one| &one["number"]).collect();
    assert_eq!(numbers, [&json!(2), &json!(1)]);
    assert_eq!(again["records"][0]["open_words"], "Nothing is open.");
}

#[test]
fn two_who_walk_apart_have_one_list_and_two_records_with_one_number_are_told_apart() {
    let place = Place::new("walk-apart");
    let (ana_clock, ben_clock) = (Clock::new(1, MORNING, -300), Clock::new(2, MORNING, -300));
    let (ana, ben) = (open(&place.path("ana"), &ana_clock), open(&place.path("ben"), &ben_clock));
    let (job, _) = given_out(&ana);
    hand_over(&ana, &ben, &job, &place.path("1.drylay"));
    let room = text(&view(&ana, &job)["rooms"][0]["room"]).to_owned();
    set(&ana, &job, point(&room, "Scratch by the window", "", ""));
    set(&ben, &job, point("", "Sweep the yard", "Ben", ""));
    call(&ana, "walk.look", json!({ "job": job, "room": room, "looked": true }));
    call(&ben, "walk.look", json!({ "job": job, "room": room, "looked": true }));
    sign(&ana, &job, "C. Ferry");
    sign(&ben, &job, "C. Ferry");
    hand_over(&ana, &ben, &job, &place.path("2.drylay"));
    hand_over(&ben, &ana, &job, &place.path("3.drylay"));
    let (one, other) = (view(&ana, &job), view(&ben, &job));
    assert_eq!((&one["rooms"], &one["records"]), (&other["rooms"], &other["records"]), "the same on both");
    let points: usize = one["rooms"]
        .as_array()
        .expect("rooms")
        .iter()
        .map(|r| r["points"].as_array().map_or(0, Vec::len))
        .sum();
    assert_eq!((points, &one["rooms"][0]["looked"]), (2, &json!(true)));
    let records = one["records"].as_array().expect("two");
    assert!(
        records.len() == 2 && records.iter().all(|one| one["number"] == 1 && one["number_shared"] == true)
    );
    assert!(records.iter().all(|one| one["same"] == false), "what they have together nobody signed");
    // Taken back once it is taken back for both.
    let back = call(&ana, "walk.look", json!({ "job": job, "room": room, "looked": false }));
    assert_eq!(back["rooms"][0]["looked"], json!(false), "{back}");
}
