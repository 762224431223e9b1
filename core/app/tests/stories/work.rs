//! A floor laid by two people apart: what they mark, cut, note and photograph reads as it happened on both devices.

use crate::stage::{Place, call, hand_over, text};
use drylay_app::{Session, Timestamp, World};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI16, AtomicI64, AtomicU64, Ordering};

/// A clock that is set by the test, and ids by counting.
#[derive(Debug)]
pub(crate) struct Clock {
    utc_ms: AtomicI64,
    zone: AtomicI16,
    count: AtomicU64,
    seed: u64,
}

impl Clock {
    pub(crate) fn new(seed: u64, utc_ms: i64, zone: i16) -> Arc<Self> {
        let (utc_ms, zone) = (AtomicI64::new(utc_ms), AtomicI16::new(zone));
        Arc::new(Self { utc_ms, zone, count: AtomicU64::new(0), seed })
    }
    pub(crate) fn set(&self, utc_ms: i64, zone: i16) {
        self.utc_ms.store(utc_ms, Ordering::Relaxed);
        self.zone.store(zone, Ordering::Relaxed);
    }
}

impl World for Clock {
    fn now(&self) -> Timestamp {
        let (utc_ms, zone_minutes) = (self.utc_ms.load(Ordering::Relaxed), self.zone.load(Ordering::Relaxed));
        Timestamp { utc_ms, zone_minutes }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.count.fetch_add(1, Ordering::Relaxed);
        let mut id = [0; 16];
        id[..8]
            .copy_from_slice(&(n + self.seed * 1_000_000).wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id[8..].copy_from_slice(&self.seed.to_be_bytes());
        id
    }
}

/// Opens a store with a clock that the test sets.
pub(crate) fn open(path: &Path, clock: &Arc<Clock>) -> Session {
    Session::open(path, clock.clone()).expect("a store")
}

/// A room of 2990 × 2350 mm, its field 2978 × 2338: eight rows of five, the fifth of each row cut to 578 and row 8
/// ripped to 238. Trim hides 15 mm along C–D and nothing is said of the other walls.
const SHEET: &str = r#"{ "drylay": 1, "units": "metric", "job": { "name": "Boat house" },
  "products": [ { "id": "grey", "name": "Grey tile", "face": { "length": 598, "width": 298 }, "thickness": 8,
    "joint": 2, "edge_gap": 6, "kerf": 2, "clearance": 2, "interlock": true, "offsets": ["0"],
    "min_row_width": 60, "min_end_length": 180, "carton": { "tiles": 7, "kg": 15 } } ],
  "rooms": [ { "id": "store", "name": "Oar store", "corners": ["A", "B", "C", "D"],
    "outline": [[0,0],[2990,0],[2990,2350],[0,2350]],
    "openings": [ { "id": "gate", "wall": ["A", "B"], "start": 1000, "width": 900 } ],
    "edges": [ { "wall": ["C", "D"], "trim_covers": 15 } ] } ],
  "areas": [ { "id": "floor", "rooms": ["store"], "product": "grey",
    "layout": { "along": ["A", "B"], "offset": "0", "first_row": 298, "shift": 598 } } ] }"#;

/// 25 September 2026, 07:00 at five hours west.
pub(crate) const MORNING: i64 = 1_790_337_600_000;
const HOUR: i64 = 3_600_000;

/// The job with its plan given out: job and area.
pub(crate) fn given_out(session: &Session) -> (String, String) {
    let job = text(&call(session, "jobs.import", json!({ "sheet": SHEET }))["id"]).to_owned();
    let view = call(session, "job.view", json!({ "job": job }));
    let area = text(&view["areas"][0]["id"]).to_owned();
    let ask = json!({ "job": job, "area": area });
    let plan = call(session, "plan.view", ask.clone());
    let choice = &plan["choice"]["token"];
    call(session, "plan.accept", json!({ "job": job, "area": area, "choice": choice }));
    call(session, "issues.make", ask);
    (job, area)
}

/// Asks for the work, or marks something of it.
fn work(session: &Session, job: &str, area: &str) -> Value {
    call(session, "work.view", json!({ "job": job, "area": area }))["area"].clone()
}
fn mark(session: &Session, (job, area): (&str, &str), pieces: &[&str], reach: &str, state: &str) -> Value {
    let plan = work(session, job, area)["plan"].clone();
    let ask =
        json!({ "job": job, "area": area, "plan": plan, "pieces": pieces, "reach": reach, "state": state });
    call(session, "work.mark", ask)["area"].clone()
}

fn done<'v>(work: &'v Value, piece: &str) -> &'v str {
    let pieces = work["pieces"].as_array().expect("pieces");
    text(&pieces.iter().find(|one| one["id"] == piece).unwrap_or_else(|| panic!("no {piece}"))["done"])
}

fn names(groups: &Value) -> Vec<Vec<String>> {
    let lines =
        groups.as_array().expect("groups").iter().flat_map(|group| group["cuts"].as_array().expect("cuts"));
    let pieces =
        |line: &Value| line["pieces"].as_array().expect("ids").iter().map(|id| text(id).to_owned()).collect();
    lines.map(pieces).collect()
}

#[test]
fn rows_pieces_and_up_to_here_are_marked_in_one_tap_and_taken_back_as_anything_is() {
    let place = Place::new("work-taps");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let fresh = work(&session, &job, &area);
    assert_eq!(
        (&fresh["pieces_all"], &fresh["pieces_laid"], &fresh["next"]),
        (&json!(40), &json!(0), &json!("1-1"))
    );
    assert_eq!(fresh["rows"][0]["words"], "4 whole, 1 to cut");

    let one = mark(&session, of, &["1-1"], "piece", "laid");
    assert_eq!((done(&one, "1-1"), &one["next"]), ("laid", &json!("1-2")));
    let up_to = mark(&session, of, &["2-3"], "up_to", "laid");
    assert_eq!((&up_to["pieces_laid"], &up_to["next"]), (&json!(8), &json!("2-4")));
    let row = mark(&session, of, &["2-1"], "row", "laid");
    assert_eq!((&row["rows"][1]["laid"], &row["rows"][1]["next"]), (&json!(5), &Value::Null));
    let again = mark(&session, of, &["2-1"], "row", "laid");
    assert_eq!(again, row, "a second tap says nothing new");

    let up = mark(&session, of, &["1-5"], "piece", "taken_up");
    assert_eq!((done(&up, "1-5"), &up["next"]), ("open", &json!("1-5")));
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(done(&work(&session, &job, &area), "1-5"), "laid");
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(work(&session, &job, &area)["rows"][1]["laid"], 3, "the row's tap as one");
    call(&session, "edit.redo", json!({ "job": job }));
    assert_eq!(work(&session, &job, &area)["rows"][1]["laid"], 5);

    let other = json!({ "job": job, "area": area, "plan": "00", "pieces": ["1-1"], "reach": "piece", "state": "laid" });
    let refused = session.call("work.mark", other).expect_err("another plan");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("work.other_plan", "plan"));
}

#[test]
fn one_stands_at_the_saw_once_and_measures_first_where_the_wall_is_not_sure() {
    let place = Place::new("work-cuts");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let fresh = work(&session, &job, &area);
    assert_eq!(
        names(&fresh["cut_ahead"]),
        [["8-1", "8-2", "8-3", "8-4"].map(str::to_owned).to_vec()],
        "one rip, four tiles"
    );
    let first: Vec<String> = names(&fresh["measure_first"]).concat();
    assert_eq!(first.len(), 8, "the end of every row: {first:?}");
    // 2350 less two gaps of 6 are 2338, less seven rows of 300: 238, less the clearance of 2 to the wall.
    assert_eq!(fresh["cut_ahead"][0]["cuts"][0]["size"]["width"]["mm"], 236.0);
    let card = call(&session, "work.piece", json!({ "job": job, "area": area, "piece": "8-1" }));
    let plans = call(&session, "piece.view", json!({ "job": job, "area": area, "piece": "8-1" }));
    assert_eq!(card, plans, "the card of the plan that was given out is that of the plan while both are one");

    let cut = mark(&session, of, &["8-1", "8-2", "8-3", "8-4"], "piece", "cut");
    assert_eq!((done(&cut, "8-2"), &cut["cut_ahead"]), ("cut", &json!([])));
    // Common practice: measured gap less the joint of 2, less gap and clearance of 8 at the wall.
    let plan = &cut["plan"];
    let ask =
        json!({ "job": job, "area": area, "plan": plan, "piece": "1-5", "gap": "588", "gap_other": "" });
    let gap = call(&session, "work.gap", ask);
    assert_eq!((&gap["low"]["mm"], &gap["high"]["mm"]), (&json!(578.0), &json!(578.0)));
    let with_gap = work(&session, &job, &area);
    let line = with_gap["measure_first"]
        .as_array()
        .expect("groups")
        .iter()
        .flat_map(|g| g["cuts"].as_array().expect("cuts"));
    let line = line.into_iter().find(|line| line["pieces"] == json!(["1-5"])).expect("a line");
    assert_eq!(line["measured"], "Gap 588 mm: cut to 578 mm");
    let rip =
        json!({ "job": job, "area": area, "plan": plan, "piece": "8-1", "gap": "240", "gap_other": "" });
    assert_eq!(session.call("work.gap", rip).expect_err("a rip").code, "work.no_gap");
    let whole = json!({ "job": job, "area": area, "plan": plan, "pieces": ["1-1"], "reach": "piece", "state": "cut" });
    assert_eq!(done(&call(&session, "work.mark", whole)["area"], "1-1"), "open", "a whole tile is not cut");
}

#[test]
fn stock_counts_what_was_delivered_opened_and_broken_and_says_when_to_order() {
    let place = Place::new("work-stock");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let fresh = work(&session, &job, &area);
    assert_eq!(fresh["stock"]["reach"], "unknown");
    let tiles = fresh["stock"]["to_go"].as_i64().expect("tiles");
    let deliver = |packs: &str| {
        call(&session, "work.deliver", json!({ "job": job, "area": area, "packs": packs, "lot": "B7" }))["area"]["stock"].clone()
    };
    let enough = deliver("6");
    assert_eq!(
        (&enough["delivered"], &enough["left"], &enough["reach"]),
        (&json!(42), &json!(42), &json!("enough")),
        "{enough}"
    );
    mark(&session, of, &["1-4"], "up_to", "laid");
    let spoilt = mark(&session, of, &["1-5"], "piece", "spoilt");
    assert_eq!((&spoilt["stock"]["used"], &spoilt["stock"]["broken"]), (&json!(5), &json!(1)));
    assert_eq!(spoilt["stock"]["to_go"], tiles - 4, "the spoilt piece needs a tile again");
    let broken = json!({ "job": job, "area": area, "tiles": "3", "words": "dropped" });
    let short = call(&session, "work.broken", broken)["area"]["stock"].clone();
    assert_eq!((&short["left"], &short["reach"]), (&json!(34), &json!("short")), "{short}");
    let id = &short["entries"][0]["id"];
    let back =
        call(&session, "work.forget", json!({ "job": job, "area": area, "id": id }))["area"]["stock"].clone();
    assert_eq!(back["left"], 37);
    let wrong = json!({ "job": job, "area": area, "packs": "a few", "lot": "" });
    let refused = session.call("work.deliver", wrong).expect_err("no number");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("work.no_number", "packs"));
}

#[test]
fn a_later_plan_keeps_the_marks_of_pieces_that_are_the_same_in_it() {
    let place = Place::new("work-again");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    mark(&session, of, &["2-5"], "up_to", "laid");
    // The wall B–C turns out to stand ten millimetres nearer: the last piece of each row is another one.
    let room = text(&call(&session, "job.view", json!({ "job": job }))["rooms"][0]["id"]).to_owned();
    for pair in [("B", "C"), ("C", "D"), ("D", "A"), ("A", "B")] {
        let read = if pair.0 == "A" || pair.0 == "C" { "2980" } else { "2350" };
        crate::stage::read(&session, &job, &room, pair, read);
    }
    crate::stage::edit(&session, &job, &room, json!({ "do": "square", "corner": "A", "on": true }));
    call(&session, "issues.make", json!({ "job": job, "area": area }));
    let now = work(&session, &job, &area);
    assert_eq!(now["plan_words"], "Plan no. 2");
    assert_eq!((done(&now, "1-1"), done(&now, "1-5")), ("laid", "open"));
    assert_eq!(
        now["notices"],
        json!(["Laid by an earlier plan and different in this one: 1-5, 2-5. Look at them before going on."])
    );
}

#[test]
fn two_people_a_day_apart_meet_and_the_record_reads_as_it_happened() {
    let place = Place::new("work-apart");
    let (hers, his) = (Clock::new(1, MORNING, -300), Clock::new(2, MORNING + 24 * HOUR, -240));
    let (ana, ben) = (open(&place.path("ana"), &hers), open(&place.path("ben"), &his));
    for (session, name) in [(&ana, "Ana"), (&ben, "Ben")] {
        call(session, "device.rename", json!({ "name": name }));
    }
    let (job, area) = given_out(&ana);
    let of = (job.as_str(), area.as_str());
    let file = place.path("job.drylay");
    hand_over(&ana, &ben, &job, &file);

    // Her day: rows 1 and 2, a spoilt piece, a lot, an edge that stands up.
    mark(&ana, of, &["1-1"], "row", "laid");
    hers.set(MORNING + 2 * HOUR, -300);
    mark(&ana, of, &["2-5"], "piece", "spoilt");
    mark(&ana, of, &["2-5"], "piece", "cut");
    hers.set(MORNING + 3 * HOUR, -300);
    mark(&ana, of, &["2-5"], "up_to", "laid");
    call(&ana, "work.lot", json!({ "job": job, "area": area, "lot": "B7", "first_row": 1, "last_row": 2 }));
    let note = json!({ "job": job, "area": area, "what": "lippage", "piece": "2-2", "measure": "1.2", "words": "at the post", "settled": false });
    call(&ana, "work.note", note);
    // His, a day later and without having heard of hers: the same row 2 as well, row 3, four rips.
    mark(&ben, of, &["2-1", "3-1"], "row", "laid");
    mark(&ben, of, &["8-1", "8-2", "8-3", "8-4"], "piece", "cut");
    call(&ben, "work.deliver", json!({ "job": job, "area": area, "packs": "6", "lot": "B7" }));
    photograph(&ben, &place, &job, &format!("{area}/3-1"));

    hand_over(&ana, &ben, &job, &file);
    hand_over(&ben, &ana, &job, &file);
    hers.set(MORNING + 26 * HOUR, -300);
    his.set(MORNING + 26 * HOUR, -240);
    let (at_hers, at_his) = (work(&ana, &job, &area), work(&ben, &job, &area));
    assert_eq!(at_hers, at_his, "the same on both devices");
    assert_eq!((&at_his["pieces_laid"], &at_his["next"]), (&json!(15), &json!("4-1")));
    assert_eq!(at_his["rows"][0]["stamp"]["by"], "Ana");
    assert_eq!(
        at_his["rows"][2]["stamp"],
        json!({ "by": "Ben", "at": "2026-09-26T12:00:00Z", "zone_minutes": -240 })
    );
    assert_eq!(at_his["today"], json!([{ "by": "Ben", "words": "10 laid, 4 cut" }]), "today is his day");
    assert_eq!((&at_his["stock"]["broken"], &at_his["stock"]["delivered"]), (&json!(1), &json!(42)));
    assert_eq!(at_his["lots"][0]["lot"], "B7");
    assert_eq!(
        (&at_his["problems"][0]["piece"], &at_his["problems"][0]["measure"]["text"]),
        (&json!("2-2"), &json!("1.2 mm"))
    );
    let noted =
        at_his["pieces"].as_array().expect("pieces").iter().filter(|one| one["noted"] == true).count();
    assert_eq!(noted, 1);
    let photos = call(&ana, "photos.list", json!({ "job": job }));
    assert_eq!(
        (&photos["photos"][0]["pin"]["item"], &photos["photos"][0]["here"]),
        (&json!(format!("{area}/3-1")), &json!(true))
    );

    let told = call(&ben, "history.list", json!({ "job": job, "limit": 8 }));
    let told: Vec<_> = told["entries"]
        .as_array()
        .expect("entries")
        .iter()
        .map(|one| (text(&one["words"]).to_owned(), text(&one["stamp"]["by"]).to_owned()))
        .collect();
    for (words, by) in [
        ("10 pieces laid", "Ben"),
        ("4 pieces cut", "Ben"),
        ("5 pieces laid", "Ana"),
        ("Piece 2-5 spoiled", "Ana"),
    ] {
        assert!(told.contains(&(words.to_owned(), by.to_owned())), "{words} by {by}: {told:?}");
    }

    // He takes up a piece of the row that both had marked, knowing of both marks.
    let up = mark(&ben, of, &["2-3"], "piece", "taken_up");
    assert_eq!((done(&up, "2-3"), &up["notices"]), ("open", &json!([])));
    hand_over(&ben, &ana, &job, &file);
    assert_eq!(done(&work(&ana, &job, &area), "2-3"), "open");
}

/// Takes a picture in and waits until it is there.
fn photograph(session: &Session, place: &Place, job: &str, piece: &str) {
    let path = place.path("picture.png");
    // A picture of one grey point, as PNG writes it (ISO/IEC 15948).
    let png: [u8; 67] = [
        0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52, 0x00,
        0x00, 0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3a, 0x7e, 0x9b, 0x55, 0x00,
        0x00, 0x00, 0x0a, 0x49, 0x44, 0x41, 0x54, 0x78, 0xda, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81,
        0xda, 0x45, 0x08, 0x3b, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82,
    ];
    std::fs::write(&path, png).expect("written");
    let events = session.subscribe();
    let pin = json!({ "what": "piece", "item": piece });
    let task =
        call(session, "photos.add", json!({ "job": job, "paths": [path], "pin": pin }))["task"].clone();
    for event in events {
        let event = serde_json::to_value(event).expect("an event");
        if event["task"] == task && event["kind"] != "progress" {
            assert_eq!(event["answer"]["added"], 1, "{event}");
            return;
        }
    }
    panic!("the task never ended");
}

/// Asks for the grouting, or says something of it.
fn grout(session: &Session, job: &str, area: &str) -> Value {
    call(session, "grout.view", json!({ "job": job, "area": area }))
}
fn washed(session: &Session, (job, area): (&str, &str), n: usize, ago: &str, warmth: &str) -> Value {
    let view = grout(session, job, area);
    let section = view["sections"][n - 1]["id"].clone();
    let ask = json!({ "job": job, "area": area, "plan": view["plan"], "sections": [section], "minutes_ago": ago,
        "warmth": warmth });
    call(session, "grout.done", ask)
}

#[test]
fn sections_end_at_the_gate_and_wait_across_midnight_by_the_clock_they_were_marked_with() {
    let place = Place::new("work-grout");
    // 23:30 in the evening, five hours west.
    let evening = MORNING + 16 * HOUR + HOUR / 2;
    let clock = Clock::new(1, evening, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let fresh = grout(&session, &job, &area);
    // 2978 mm are three parts of at most 1219 mm, 2338 mm three strips of three rows at most: 3 ft are 914 mm.
    let sections = fresh["sections"].as_array().expect("sections").len();
    assert_eq!((sections, &fresh["next"], &fresh["next_in_ms"]), (9, &json!(1), &Value::Null));
    assert_eq!(fresh["sections"][8]["leave_words"], "The last one: leave by the way out.");
    assert_eq!(fresh["ways_out"][0]["name"], "Oar store A–B");
    mark(&session, of, &["8-5"], "up_to", "laid");

    let done = washed(&session, of, 1, "", "");
    assert_eq!((&done["sections"][0]["phase"], &done["next"]), (&json!("wet"), &json!(2)));
    assert_eq!(done["next_in_ms"], 3.0 * 3_600_000.0, "one timer, to the haze");
    let later = &done["waits"][0]["later"];
    assert_eq!(
        later,
        &json!([
            "Done Fri 25 Sep, 23:30.",
            "Haze off from Sat 26 Sep, 02:30.",
            "Light foot traffic from Sat 26 Sep, 23:30.",
            "Furniture and full use from Mon 28 Sep, 23:30."
        ])
    );
    clock.set(evening + 3 * HOUR, -300);
    let haze = grout(&session, &job, &area);
    assert_eq!(
        (&haze["waits"][0]["phase"], &haze["next_in_ms"]),
        (&json!("haze"), &json!(21.0 * 3_600_000.0))
    );
    assert_eq!(haze["waits"][0]["now"], "Nobody walks there for 21 h 00 min");
    clock.set(evening + 24 * HOUR, -300);
    assert_eq!(grout(&session, &job, &area)["waits"][0]["now"], "Light foot traffic");
    clock.set(evening + 72 * HOUR, -300);
    let cured = grout(&session, &job, &area);
    assert_eq!((&cured["waits"][0]["now"], &cured["next_in_ms"]), (&json!("Full use"), &Value::Null));

    // What was really done two hours ago is counted from then; at 10 °C all of it takes twice as long.
    let cold = washed(&session, of, 2, "120", "10");
    let told = &cold["waits"][0];
    assert_eq!(told["now"], "Wet: haze comes off in 4 h 00 min");
    assert!(text(&told["later"][1]).starts_with("At 10 °C all of it takes 2.0 times as long"), "{told}");
    let back =
        call(&session, "grout.undone", json!({ "job": job, "area": area, "entries": told["entries"] }));
    assert_eq!(back["sections"][1]["phase"], "open");
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(grout(&session, &job, &area)["sections"][1]["phase"], "wet");
}

#[test]
fn another_zone_is_noted_and_a_clock_that_runs_backwards_is_said_and_never_counted_by() {
    let place = Place::new("work-clocks");
    let (hers, his) = (Clock::new(1, MORNING, -300), Clock::new(2, MORNING, -240));
    let (ana, ben) = (open(&place.path("ana"), &hers), open(&place.path("ben"), &his));
    let (job, area) = given_out(&ana);
    let of = (job.as_str(), area.as_str());
    washed(&ana, of, 1, "", "");
    hand_over(&ana, &ben, &job, &place.path("job.drylay"));
    let told = grout(&ben, &job, &area)["waits"][0].clone();
    assert_eq!(
        told["later"][0],
        "Done Fri 25 Sep, 07:00 (UTC−5:00, where it was marked; Fri 25 Sep, 08:00 here)."
    );
    assert_eq!(told["stamp"]["zone_minutes"], -300);
    // She drives into his zone: the count goes on, the wall clock there is noted.
    hers.set(MORNING + HOUR, -240);
    let moved = grout(&ana, &job, &area);
    assert_eq!(moved["next_in_ms"], 2.0 * 3_600_000.0, "the count does not jump with the zone");
    assert!(text(&moved["waits"][0]["later"][0]).contains("UTC−5:00"));

    // His clock stands a day before: nothing is counted, and nobody is let on.
    his.set(MORNING - 24 * HOUR, -240);
    let wrong = grout(&ben, &job, &area);
    let wait = &wrong["waits"][0];
    assert_eq!(
        (&wait["phase"], &wait["later"], &wrong["next_in_ms"]),
        (&json!("backwards"), &json!([]), &Value::Null)
    );
    assert!(text(&wait["now"]).contains("1 d 0 h before that: one of the two is wrong"), "{wait}");
    assert_eq!(wrong["sections"][0]["phase"], "wet");
    // Hers is set back: it stands before what it wrote itself.
    hers.set(MORNING - 10 * HOUR, -240);
    let set_back = grout(&ana, &job, &area)["notices"].clone();
    assert!(
        set_back.as_array().expect("notices").iter().any(|one| text(one).contains("it was set back")),
        "{set_back}"
    );
}

#[test]
fn what_is_cut_off_by_wet_grout_is_named_and_the_grouts_own_times_go_before_the_trades() {
    let place = Place::new("work-cut-off");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let says = json!({ "job": job, "area": area, "product": "Flex 8", "walk_hours": "12", "cure_hours": "" });
    call(&session, "grout.says", says);
    call(&session, "edit.undo", json!({ "job": job }));
    let says =
        json!({ "job": job, "area": area, "product": "Flex 8", "walk_hours": "12", "cure_hours": "168" });
    let said = call(&session, "grout.says", says);
    assert!(text(&said["times_words"]).contains("as Flex 8 says"), "{said}");
    let last = washed(&session, of, 9, "", "");
    let notices: Vec<&str> = last["notices"].as_array().expect("notices").iter().map(text).collect();
    assert!(
        notices
            .iter()
            .any(|one| one.contains("Cut off from the way out by wet grout: 1, 2, 3, 4, 5, 6, 7, 8.")),
        "{notices:?}"
    );
    assert!(
        text(&last["waits"][0]["later"][2]).starts_with("Light foot traffic from Fri 25 Sep, 19:00"),
        "{last}"
    );
    clock.set(MORNING + 12 * HOUR, -300);
    let walked = grout(&session, &job, &area)["notices"].clone();
    assert!(walked.as_array().expect("notices").iter().all(|one| !text(one).contains("Cut off")), "{walked}");
    let wrong = json!({ "job": job, "area": area, "plan": last["plan"], "sections": [last["sections"][0]["id"]],
        "minutes_ago": "-5", "warmth": "" });
    let refused = session.call("grout.done", wrong).expect_err("minutes to come");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("grout.no_minutes", "minutes_ago"));
}

/// The gates of a stage by what they are.
fn gates(stages: &Value, stage: &str) -> Vec<(String, Value)> {
    let of = stages["stages"]
        .as_array()
        .expect("stages")
        .iter()
        .find(|one| one["stage"] == stage)
        .expect("a stage");
    let gate = |one: &Value| (text(&one["id"]).to_owned(), one.clone());
    of["gates"].as_array().expect("gates").iter().map(gate).collect()
}
fn has(stages: &Value, stage: &str, gate: &str) -> bool {
    gates(stages, stage).iter().any(|(id, one)| id.starts_with(gate) && one["passed"].is_null())
}

#[test]
fn gates_are_worked_out_from_what_the_documents_say_and_passed_with_a_reason() {
    let place = Place::new("work-stages");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    let view = || call(&session, "stages.view", json!({ "job": job }));
    let fresh = view();
    let order: Vec<_> =
        fresh["stages"].as_array().expect("stages").iter().map(|one| text(&one["stage"])).collect();
    assert_eq!(order, ["demolition", "prep", "acclimatise", "underlay", "lay", "grout", "trim", "handover"]);
    // Nothing is known of the house: asbestos may be there (29 CFR 1926.1101), and nobody has read the floor.
    assert!(has(&fresh, "underlay", "unread/") && has(&fresh, "acclimatise", "delivered/"), "{fresh:#}");
    assert!(
        ["client/shade", "client/layout", "client/conditions"].iter().all(|gate| has(&fresh, "lay", gate))
    );
    assert!(has(&fresh, "grout", "laid/") && has(&fresh, "trim", "grouted/"));
    let lifting = fresh["stages"][4]["cautions"]
        .as_array()
        .expect("cautions")
        .iter()
        .map(|one| text(&one["words"]).to_owned());
    assert!(lifting.into_iter().any(|words| words.contains("weighs 15 kg")), "this job's cartons");

    // What was there is no gate any more.
    call(&session, "work.deliver", json!({ "job": job, "area": area, "packs": "6", "lot": "" }));
    let confirm = json!({ "job": job, "what": "shade", "confirmed": true, "by": "M. Adeyemi" });
    call(&session, "stages.confirm", confirm);
    mark(&session, of, &["8-5"], "up_to", "laid");
    let now = view();
    assert!(
        !has(&now, "acclimatise", "delivered/")
            && !has(&now, "lay", "client/shade")
            && !has(&now, "grout", "laid/")
    );
    assert_eq!(now["confirmed"][0]["by"], "M. Adeyemi");
    let nobody = json!({ "job": job, "what": "layout", "confirmed": true, "by": " " });
    assert_eq!(session.call("stages.confirm", nobody).expect_err("nobody").place, "by");

    // Passed with a reason, who and when; taken back; without a reason refused.
    let gate = gates(&now, "lay").into_iter().find(|(id, _)| id == "client/layout").expect("a gate").0;
    let pass = |reason: &str| json!({ "job": job, "stage": "lay", "gate": gate, "reason": reason });
    let refused = session.call("stages.pass", pass("")).expect_err("no reason");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("stage.no_reason", "reason"));
    let passed = call(&session, "stages.pass", pass("client abroad, agreed by telephone"));
    let (_, one) = gates(&passed, "lay").into_iter().find(|(id, _)| *id == gate).expect("it stays in sight");
    assert_eq!(one["passed"]["reason"], "client abroad, agreed by telephone");
    assert_eq!(one["passed"]["stamp"]["at"], "2026-09-25T12:00:00Z");
    let back = call(&session, "stages.forget", json!({ "job": job, "id": one["passed"]["id"] }));
    assert!(has(&back, "lay", "client/layout"));

    // Begun, done, and not done after all.
    let set = |to: &str| {
        call(&session, "stages.set", json!({ "job": job, "stage": "lay", "to": to }))["stages"][4]["state"]
            .clone()
    };
    assert_eq!(
        (set("begin"), set("finish"), set("open")),
        (json!("begun"), json!("finished"), json!("waits"))
    );
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(view()["stages"][4]["state"], "finished");
}

#[test]
fn grouted_floor_opens_the_next_gate_only_when_it_may_be_walked_on() {
    let place = Place::new("work-dry");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    for n in 1..=9 {
        washed(&session, of, n, "", "");
    }
    let view = || call(&session, "stages.view", json!({ "job": job }));
    assert!(has(&view(), "trim", "walk/") && !has(&view(), "trim", "grouted/"));
    // Common practice: light foot traffic after 24 h.
    clock.set(MORNING + 24 * HOUR, -300);
    assert!(!has(&view(), "trim", "walk/"));
    // A clock that was set back opens nothing.
    clock.set(MORNING - HOUR, -300);
    assert!(has(&view(), "trim", "walk/"));
}

#[test]
fn the_days_note_is_what_the_marks_come_to_until_somebody_changes_it() {
    let place = Place::new("work-day");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    call(&session, "device.rename", json!({ "name": "Ana" }));
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    mark(&session, of, &["1-5"], "up_to", "laid");
    // Eleven at night there, the next day in Greenwich: still this day's work.
    clock.set(MORNING + 16 * HOUR, -300);
    mark(&session, of, &["2-1"], "piece", "laid");
    call(&session, "work.deliver", json!({ "job": job, "area": area, "packs": "6", "lot": "B7" }));
    let note = json!({ "job": job, "area": area, "what": "shade", "piece": "1-2", "measure": "", "words": "darker", "settled": false });
    call(&session, "work.note", note);
    let day = call(&session, "day.view", json!({ "job": job }));
    assert_eq!((&day["day"], &day["kept"]), (&json!("2026-09-25"), &json!("")));
    let told = text(&day["told"]).to_owned();
    let lines: Vec<&str> = told.lines().collect();
    assert!(lines[0].ends_with("Ana: 6 laid"), "{told}");
    assert_eq!(lines[1..], ["Cartons delivered: 6, lot B7", "Shade differs, 1-2, darker"]);
    let keep =
        |words: &str| call(&session, "day.keep", json!({ "job": job, "day": "2026-09-25", "words": words }));
    assert_eq!(keep(&told)["kept"], json!(told));
    let changed = keep("Rows 1 and the start of 2. Client was here.");
    assert_eq!(
        (&changed["kept"], &changed["told"]),
        (&json!("Rows 1 and the start of 2. Client was here."), &json!(told))
    );
    clock.set(MORNING + 24 * HOUR, -300);
    let next = call(&session, "day.view", json!({ "job": job }));
    assert_eq!((&next["day"], &next["told"], &next["kept"]), (&json!("2026-09-26"), &json!(""), &json!("")));
    let before = call(&session, "day.view", json!({ "job": job, "day": "2026-09-25" }));
    assert_eq!(before["kept"], "Rows 1 and the start of 2. Client was here.");
    assert_eq!(
        session.call("day.view", json!({ "job": job, "day": "yesterday" })).expect_err("no day").code,
        "day.unknown"
    );
}

#[test]
fn four_years_later_the_tile_is_pointed_at_and_what_was_noted_ranks_the_causes() {
    let place = Place::new("work-later");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    call(&session, "device.rename", json!({ "name": "Ana" }));
    let (job, area) = given_out(&session);
    let of = (job.as_str(), area.as_str());
    call(&session, "work.deliver", json!({ "job": job, "area": area, "packs": "6", "lot": "B7" }));
    call(
        &session,
        "work.lot",
        json!({ "job": job, "area": area, "lot": "B7", "first_row": 1, "last_row": 3 }),
    );
    mark(&session, of, &["8-5"], "up_to", "laid");
    let note = json!({ "job": job, "area": area, "what": "lippage", "piece": "2-2", "measure": "1.2", "words": "", "settled": true });
    call(&session, "work.note", note);
    clock.set(MORNING + 4 * 365 * 24 * HOUR, -300);
    let ask = |piece: &str, symptom: &str| {
        call(
            &session,
            "callback.view",
            json!({ "job": job, "area": area, "piece": piece, "symptom": symptom }),
        )
    };
    let near = ask("2-3", "loose");
    let known: Vec<&str> = near["known"].as_array().expect("lines").iter().map(text).collect();
    assert!(known.contains(&"Lot B7.") && known.contains(&"Laid by Ana on 2026-09-25."), "{known:?}");
    assert!(known[0].starts_with("Grey tile, whole tile, in Oar store"), "{known:?}");
    // Usual for a loose tile is its rail; here a lip was noted beside it, which speaks for a floor that is not flat.
    assert!(text(&near["causes"][0]["words"]).starts_with("The floor under it is not flat"), "{near:#}");
    assert_eq!(near["causes"][0]["because"], "Lippage was noted at 2-2.");
    assert!(text(&near["first"]).contains("straightedge"));
    let far = ask("6-3", "loose");
    assert!(text(&far["causes"][0]["words"]).starts_with("Its locking edge or the joint"), "{far:#}");
    assert_eq!(far["causes"][0]["because"], "");
    // Common practice: bonded to its neighbours, never to the floor below a floating floor.
    let steps: Vec<&str> = near["steps"].as_array().expect("steps").iter().map(text).collect();
    assert!(
        steps.len() == 7 && steps.iter().any(|step| step.contains("never to the floor below")),
        "{steps:?}"
    );

    let set = json!({ "job": job, "area": area, "piece": "2-3", "symptom": "loose", "reported": "clicks underfoot",
        "found": "", "done": "" });
    let id = call(&session, "callback.set", set)["records"][0]["id"].clone();
    let done = json!({ "job": job, "area": area, "piece": "2-3", "symptom": "loose", "id": id,
        "reported": "clicks underfoot", "found": "dip of 4 mm", "done": "filled, tile replaced" });
    let records = call(&session, "callback.set", done)["records"].clone();
    assert_eq!(
        (records.as_array().map(Vec::len), &records[0]["done"]),
        (Some(1), &json!("filled, tile replaced"))
    );
    assert_eq!(ask("2-2", "loose")["records"], json!([]), "it is written down at its own tile");
}

#[test]
fn what_the_warranty_hangs_on_is_asked_one_by_one_and_anew_when_its_words_change() {
    let place = Place::new("work-conditions");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    call(&session, "device.rename", json!({ "name": "Ana" }));
    let with = |say: &str| {
        let rules = format!(
            "\"rules\": {{ \"instructions\": [ {{ \"say\": \"{say}\", \"source\": \"data sheet\", \"edition\": \"2026\" }}, {{ \"say\": \"Photograph the base.\", \"source\": \"data sheet\" }} ] }}, \"carton\""
        );
        let sheet = SHEET.replace("\"carton\"", &rules);
        text(&call(&session, "jobs.import", json!({ "sheet": sheet }))["id"]).to_owned()
    };
    let gates = |view: &Value| -> Vec<String> {
        let stages = view["stages"].as_array().expect("stages");
        let over = stages.iter().find(|one| one["stage"] == "handover").expect("the last");
        over["gates"].as_array().expect("gates").iter().map(|gate| text(&gate["words"]).to_owned()).collect()
    };
    let job = with("Keep three cartons.");
    let fresh = call(&session, "stages.view", json!({ "job": job }));
    let told = ["Not said to be kept: Keep three cartons.", "Not said to be kept: Photograph the base."];
    assert_eq!(gates(&fresh), told);
    let one = &fresh["conditions"][0];
    assert_eq!(text(&one["words"]), "Keep three cartons. (Grey tile: data sheet 2026)");
    let kept = json!({ "job": job, "what": one["what"], "confirmed": true, "by": "" });
    let now = call(&session, "stages.confirm", kept);
    assert_eq!(gates(&now), told[1..]);
    assert_eq!(
        (&now["conditions"][0]["confirmed"], &now["conditions"][0]["by"]),
        (&json!(true), &json!("Ana"))
    );
    let not = json!({ "job": job, "what": one["what"], "confirmed": false, "by": "" });
    assert_eq!(gates(&call(&session, "stages.confirm", not)), told);
    // The same product with other words is another condition: the name of the one says nothing of the other.
    let other = with("Keep four cartons.");
    let ask = json!({ "job": other, "what": one["what"], "confirmed": true, "by": "" });
    assert_eq!(
        session.call("stages.confirm", ask).expect_err("not asked there").code,
        "stage.unknown_confirmed"
    );
}
