//! Who worked how long at what: clocks started and stopped apart, forgotten ones, hours and tiles against the quote, and
//! what finished jobs say of the crew's own rates.

use crate::stage::{Place, call, hand_over, text};
use crate::work::{Clock, MORNING, given_out, open};
use drylay_app::Session;
use serde_json::{Value, json};

const MINUTE: i64 = 60_000;
const HOUR: i64 = 60 * MINUTE;
/// Laying at 2 m² an hour; cutting has no rate and is part of it.
const RATES: &str = "task,unit,per_hour,hourly\ngrout,m2,6,55\nlay,m2,2,60\ntrim,m,10,50\n";

fn rates(session: &Session) {
    call(session, "books.read", json!({ "what": "rates", "text": RATES }));
}
fn view(session: &Session, job: &str) -> Value {
    call(session, "time.view", json!({ "job": job }))
}
fn start(session: &Session, job: &str, task: &str) -> Value {
    call(session, "time.start", json!({ "job": job, "task": task }))
}
fn stop(session: &Session, job: &str, id: &Value, hours: &str) -> Value {
    call(session, "time.stop", json!({ "job": job, "id": id, "hours": hours }))
}
fn add(session: &Session, job: &str, task: &str, hours: &str, done: &str) -> Value {
    let ask =
        json!({ "job": job, "task": task, "hours": hours, "people": "", "who": "", "day": "", "done": done });
    call(session, "time.add", ask)
}
fn row<'v>(view: &'v Value, name: &str) -> &'v Value {
    let rows = view["hours"].as_array().expect("rows");
    rows.iter().find(|row| row["name"] == name).unwrap_or_else(|| panic!("no {name} in {view}"))
}
fn entries(view: &Value) -> Vec<&str> {
    view["entries"].as_array().expect("entries").iter().map(|one| text(&one["words"])).collect()
}
fn all_laid(session: &Session, job: &str, area: &str) {
    let plan = call(session, "work.view", json!({ "job": job, "area": area }))["area"]["plan"].clone();
    let ask = json!({ "job": job, "area": area, "plan": plan, "pieces": ["8-5"], "reach": "up_to", "state": "laid" });
    call(session, "work.mark", ask);
}
fn finish(session: &Session, job: &str, stage: &str) {
    call(session, "stages.set", json!({ "job": job, "stage": stage, "to": "finish" }));
}

#[test]
fn one_tap_starts_another_goes_over_and_a_third_stops() {
    let place = Place::new("time-taps");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    call(&session, "device.rename", json!({ "name": "Ana" }));
    let (job, _) = given_out(&session);
    let running = start(&session, &job, "lay");
    let one = &running["running"][0];
    assert_eq!((text(&one["who"]), text(&one["task"]), text(&one["asks"])), ("Ana", "Laying", ""));
    assert_eq!(running["entries"], json!([]), "what runs is not counted");
    assert_eq!(start(&session, &job, "lay"), running, "a thumb that came down twice");

    clock.set(MORNING + 95 * MINUTE, -300);
    let over = start(&session, &job, "cut");
    assert_eq!(entries(&over), ["Ana: Laying, 1.58 h"]);
    assert_eq!((over["running"].as_array().expect("one").len(), &over["last"]), (1, &json!("cut")));
    clock.set(MORNING + 125 * MINUTE, -300);
    let stopped = stop(&session, &job, &over["running"][0]["id"], "");
    assert_eq!(entries(&stopped), ["Ana: Cutting, 0.5 h", "Ana: Laying, 1.58 h"]);
    assert_eq!(stopped["running"], json!([]));
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(
        view(&session, &job)["running"][0]["task"],
        "Cutting",
        "the stop is taken back, the clock runs"
    );
    let unknown = session.call("time.start", json!({ "job": job, "task": "sing" })).expect_err("no task");
    assert_eq!((unknown.code.as_str(), unknown.place.as_str()), ("time.unknown_task", "task"));
}

#[test]
fn a_forgotten_clock_is_asked_about_and_never_guessed() {
    let place = Place::new("time-forgotten");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, _) = given_out(&session);
    let id = start(&session, &job, "lay")["running"][0]["id"].clone();
    // Past midnight, and still within a long day.
    clock.set(MORNING + 10 * HOUR, -300);
    assert_eq!(view(&session, &job)["running"][0]["asks"], "", "ten hours are a long day");
    clock.set(MORNING + 25 * HOUR, -300);
    let asked = view(&session, &job);
    assert!(text(&asked["running"][0]["asks"]).contains("more than 25 h"), "{asked}");
    let refused =
        session.call("time.stop", json!({ "job": job, "id": id, "hours": "" })).expect_err("not sure");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("time.ask", "hours"));
    let refused = session.call("time.start", json!({ "job": job, "task": "cut" })).expect_err("not sure");
    assert_eq!(refused.code, "time.ask_first");
    assert_eq!(entries(&view(&session, &job)), Vec::<&str>::new(), "nothing was made up");
    let wrong =
        session.call("time.stop", json!({ "job": job, "id": id, "hours": "all day" })).expect_err("no hours");
    assert_eq!(wrong.code, "time.no_hours");
    let said = stop(&session, &job, &id, "7:30");
    assert!(entries(&said)[0].ends_with(": Laying, 7.5 h"), "{said}");
    assert_eq!(said["entries"][0]["day"], "2026-09-25", "the day it was begun");

    // A clock that was set back says nothing either.
    let id = start(&session, &job, "lay")["running"][0]["id"].clone();
    clock.set(MORNING + 24 * HOUR, -300);
    let refused =
        session.call("time.stop", json!({ "job": job, "id": id, "hours": "" })).expect_err("backwards");
    assert_eq!(refused.code, "time.ask");
}

#[test]
fn two_devices_apart_each_count_and_one_clock_stopped_twice_counts_once() {
    let place = Place::new("time-apart");
    let (ana_clock, ben_clock) = (Clock::new(1, MORNING, -300), Clock::new(2, MORNING, -300));
    let (ana, ben) = (open(&place.path("ana"), &ana_clock), open(&place.path("ben"), &ben_clock));
    call(&ana, "device.rename", json!({ "name": "Ana" }));
    call(&ben, "device.rename", json!({ "name": "Ben" }));
    let (job, _) = given_out(&ana);
    let hers = start(&ana, &job, "lay")["running"][0]["id"].clone();
    hand_over(&ana, &ben, &job, &place.path("1.drylay"));
    let his = start(&ben, &job, "grout");
    let shown: Vec<&Value> = his["running"].as_array().expect("two").iter().map(|one| &one["who"]).collect();
    assert_eq!(shown.len(), 2, "{his}");
    let of_ana =
        his["running"].as_array().expect("two").iter().find(|one| one["who"] == "Ana").expect("hers");
    assert!(text(&of_ana["asks"]).contains("another device"), "two clocks are not held against each other");
    let refused = ben.call("time.stop", json!({ "job": job, "id": hers, "hours": "" })).expect_err("not his");
    assert_eq!(refused.code, "time.ask");

    ana_clock.set(MORNING + 2 * HOUR, -300);
    ben_clock.set(MORNING + 3 * HOUR, -300);
    stop(&ana, &job, &hers, "");
    stop(&ben, &job, &hers, "1:30");
    let own = view(&ben, &job)["running"][0]["id"].clone();
    ben_clock.set(MORNING + 4 * HOUR, -300);
    stop(&ben, &job, &own, "");
    hand_over(&ben, &ana, &job, &place.path("2.drylay"));
    hand_over(&ana, &ben, &job, &place.path("3.drylay"));
    let (one, other) = (view(&ana, &job), view(&ben, &job));
    assert_eq!(one["entries"], other["entries"], "the same on both");
    assert_eq!(
        entries(&one),
        ["Ben: Grouting, 4 h", "Ana: Laying, 1.5 h"],
        "hers once, and hers though he stopped it"
    );
    let told = &one["entries"][1];
    assert!(text(&told["differ"]).contains("1.5 h, 2 h"), "{told}");
    assert_eq!(told["choices"], json!(["90 min", "120 min"]));
    let ask = json!({ "job": job, "id": told["id"], "hours": "120 min" });
    let settled = call(&ana, "time.settle", ask);
    assert_eq!(entries(&settled), ["Ben: Grouting, 4 h", "Ana: Laying, 2 h"]);
    assert_eq!(settled["entries"][1]["differ"], "");
}

#[test]
fn hours_and_tiles_stand_beside_the_quote() {
    let place = Place::new("time-quote");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    call(&session, "device.rename", json!({ "name": "Ana" }));
    let (job, area) = given_out(&session);
    assert!(text(&view(&session, &job)["basis"]).contains("no rates"));
    rates(&session);
    // The field is 2978 × 2338 mm: 6.96 m² at 2 m² an hour are 3.48 h.
    let fresh = view(&session, &job);
    let lay = row(&fresh, "Laying");
    assert_eq!(
        (text(&lay["spent"]), text(&lay["quoted"]), text(&lay["words"])),
        ("0 h", "3.48 h", "3.48 h left")
    );
    add(&session, &job, "lay", "3", "");
    let said = add(&session, &job, "cut", "45 min", "");
    let lay = row(&said, "Laying");
    assert_eq!(
        (text(&lay["spent"]), text(&lay["within"]), text(&lay["words"]), &lay["over"]),
        ("3.75 h", "Cutting 0.75 h", "0.27 h over the quote", &json!(true)),
        "cutting has no rate of its own: it is part of laying"
    );
    let many = json!({ "job": job, "task": "demolish", "hours": "1", "people": "3", "who": "the neighbours", "day": "2026-09-24", "done": "" });
    let said = call(&session, "time.add", many);
    assert_eq!(entries(&said)[2], "the neighbours: Tear-out, 3 people, 1 h each");
    let up = row(&said, "Tear-out");
    assert_eq!((text(&up["spent"]), text(&up["quoted"]), text(&up["words"])), ("3 h", "–", ""));
    assert_eq!((text(&said["total"]["spent"]), text(&said["total"]["quoted"])), ("6.75 h", "3.48 h"));

    // 40 pieces: 32 whole and 8 ends; 42 tiles at most are quoted, in packs of seven.
    let tile = |view: &Value| view["materials"][0].clone();
    let quoted: i64 = text(&tile(&said)["quoted"]).parse().expect("tiles");
    assert_eq!(quoted % 7, 0, "whole packs");
    let plan = call(&session, "work.view", json!({ "job": job, "area": area }))["area"]["plan"].clone();
    let mark = |pieces: Value, reach: &str, state: &str| {
        call(
            &session,
            "work.mark",
            json!({ "job": job, "area": area, "plan": plan, "pieces": pieces, "reach": reach, "state": state }),
        );
    };
    mark(json!(["1-4"]), "up_to", "laid");
    mark(json!(["1-5"]), "piece", "spoilt");
    call(&session, "work.broken", json!({ "job": job, "area": area, "tiles": "2", "words": "" }));
    let now = tile(&view(&session, &job));
    assert_eq!((text(&now["used"]), text(&now["broken"])), ("7", "3"), "four laid, one spoilt, two dropped");
    assert_eq!(text(&now["words"]), format!("{} left", quoted - 7));
    let day = call(&session, "day.view", json!({ "job": job }));
    assert!(text(&day["told"]).contains("Ana: 3 h at Laying"), "{day}");
    assert!(!text(&day["told"]).contains("the neighbours"), "that was the day before");
}

/// A job that is laid wholly, in so many hours, with so many broken tiles.
fn finished(session: &Session, hours: &str, broken: &str) -> String {
    let (job, area) = given_out(session);
    add(session, &job, "lay", hours, "");
    all_laid(session, &job, &area);
    if !broken.is_empty() {
        call(session, "work.broken", json!({ "job": job, "area": area, "tiles": broken, "words": "" }));
    }
    finish(session, &job, "lay");
    job
}

#[test]
fn finished_jobs_say_what_the_crew_does_in_an_hour_and_nothing_is_taken_over_by_itself() {
    let place = Place::new("time-learned");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    rates(&session);
    let (open_job, _) = given_out(&session);
    add(&session, &open_job, "lay", "1", "");
    let none = call(&session, "learned.view", json!({}));
    assert_eq!(none["rates"], json!([]), "a job under way says nothing: {none}");

    // The field of each is 2.978 × 2.338 = 6.962564 m²: 13.925128 m² in 6 h are 2.32 m² an hour; alone 3.48 and 1.74.
    finished(&session, "2", "");
    let last = finished(&session, "4", "2");
    add(&session, &last, "trim", "2", "12");
    finish(&session, &last, "handover");
    let said = call(&session, "learned.view", json!({}));
    let of = |task: &str| {
        let rates = said["rates"].as_array().expect("rates");
        rates
            .iter()
            .find(|rate| rate["task"] == task)
            .unwrap_or_else(|| panic!("no {task} in {said}"))
            .clone()
    };
    let lay = of("lay");
    assert_eq!((text(&lay["figure"]), text(&lay["suggests"])), ("2.32", "2.32 m² an hour"));
    assert_eq!(text(&lay["from"]), "From 2 finished jobs: 13.9 m² in 6.0 h.");
    // The residuals are ±(6.962564 − 2.320855 · 2) = ±2.320855; √(2 · 2.320855² / 1 / 2) over a mean of 3 h is 0.773618.
    assert_eq!(text(&lay["spread"]), "The jobs lie between 1.74 and 3.48; standard error 0.77.");
    assert_eq!((text(&lay["now"]), &lay["same"]), ("The shop's rate is 2 m² an hour.", &json!(false)));
    assert_eq!(lay["jobs"].as_array().expect("jobs").len(), 2);
    assert_eq!(text(&of("trim")["suggests"]), "6.00 m an hour");
    let tiles: f64 =
        call(&session, "work.view", json!({ "job": last }))["area"]["stock"]["used"].as_f64().expect("tiles")
            - 2.0;
    let breakage = of("breakage");
    assert_eq!(text(&breakage["figure"]), format!("{:.1}", 2.0 / (2.0 * tiles) * 100.0), "{breakage}");
    assert!(text(&breakage["from"]).ends_with("nothing broken was written down: 1."), "{breakage}");

    let stale = session
        .call("learned.take", json!({ "task": "lay", "figure": "2.5" }))
        .expect_err("not what was seen");
    assert_eq!(stale.code, "learned.changed");
    let kept = call(&session, "books.view", json!({}));
    assert_eq!(text(&kept["rates"]), RATES, "looking takes nothing over");
    let took = call(&session, "learned.take", json!({ "task": "lay", "figure": "2.32" }));
    assert_eq!(
        took["rates"].as_array().expect("rates").iter().find(|one| one["task"] == "lay").expect("lay")["same"],
        true
    );
    assert!(text(&call(&session, "books.view", json!({}))["rates"]).contains("lay,m2,2.32,60\n"));
    call(&session, "learned.take", json!({ "task": "breakage", "figure": breakage["figure"] }));
    assert_eq!(
        call(&session, "shop.view", json!({}))["breakage"],
        text(&breakage["figure"]).trim_end_matches(".0")
    );

    // A clock that runs there makes that job's time unsure.
    start(&session, &last, "lay");
    let unsure = call(&session, "learned.view", json!({}));
    assert!(text(&unsure["words"]).contains("a clock runs"), "{unsure}");
}
