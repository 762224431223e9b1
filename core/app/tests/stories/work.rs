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
        ("Piece 2-5 spoilt", "Ana"),
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
