//! Through the one door: what was measured to, strings, located things, a meter that types; and whatever slips into a
//! room that makes no sense, which is told with its place while nothing is lost and the last good drawing stays.

use drylay_app::{Problem, Session, Timestamp, World};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A clock that goes on by a second, and ids by counting: the same in every run.
#[derive(Debug)]
struct Counting(AtomicU64);

impl World for Counting {
    fn now(&self) -> Timestamp {
        let n = i64::try_from(self.0.fetch_add(1, Ordering::Relaxed)).expect("a small count");
        Timestamp { utc_ms: 1_700_000_000_000 + n * 1000, zone_minutes: 60 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let mut id = [7; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

/// A job of one room, 3 × 2 m, read with both diagonals; everything fits.
struct Site {
    folder: PathBuf,
    session: Session,
    job: String,
    room: String,
}

impl Drop for Site {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

const ACROSS: &str = "3605.6 mm"; // √(3000² + 2000²) = 3605.551
const READINGS: [(&str, &str, &str); 6] = [
    ("A", "B", "3000 mm"),
    ("B", "C", "2000 mm"),
    ("C", "D", "3000 mm"),
    ("D", "A", "2000 mm"),
    ("A", "C", ACROSS),
    ("B", "D", ACROSS),
];

impl Site {
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("drylay-measured-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        let session = Session::open(&folder, Arc::new(Counting(AtomicU64::new(1)))).expect("a store");
        let job = json!({ "name": "Attic", "client": "", "site": "", "units": "metric" });
        let job = session.call("jobs.create", job).expect("a job")["id"].as_str().expect("an id").to_owned();
        let room =
            session.call("rooms.add", json!({ "job": job, "name": "Den", "corners": 4 })).expect("a room");
        let room = room["id"].as_str().expect("an id").to_owned();
        let site = Self { folder, session, job, room };
        for (from, to, text) in READINGS {
            site.read(from, to, text);
        }
        site
    }
    fn attempt(&self, edit: Value) -> Result<Value, Problem> {
        self.session.call("room.edit", json!({ "job": self.job, "room": self.room, "edit": edit }))
    }
    fn edit(&self, edit: Value) -> Value {
        self.attempt(edit.clone()).unwrap_or_else(|problem| panic!("{edit}: {problem}"))
    }
    fn read(&self, from: &str, to: &str, text: &str) -> Value {
        self.edit(json!({ "do": "set_reading", "from": from, "to": to, "text": text }))
    }
    fn view(&self) -> Value {
        self.session.call("room.view", json!({ "job": self.job, "room": self.room })).expect("a view")
    }
    /// Code and place of the refusal; the room is as it was.
    fn refused(&self, edit: Value) -> (String, String) {
        let before = self.view();
        let problem = self.attempt(edit).expect_err("refused");
        assert!(!problem.message.is_empty() && !problem.hint.is_empty(), "{problem:?}");
        assert_eq!(self.view(), before, "nothing is lost");
        (problem.code, problem.place)
    }
}

fn pipe(by: &str, from: &str, to: &str, first: &str, second: &str) -> Value {
    json!({ "do": "set_located", "name": "", "what": "pipe", "by": by, "from": from, "to": to, "first": first,
        "second": second, "left": false, "diameter": "60", "size_along": "", "size_away": "" })
}

#[test]
fn a_room_held_to_the_trim_says_so_and_one_reading_may_differ() {
    let site = Site::new("trim");
    let view = site.view();
    assert_eq!((&view["verdict"], &view["measured"]["to"]), (&"consistent".into(), &"wall".into()));
    assert!(
        view["good_for_words"].as_str().is_some_and(|w| w.starts_with("Good for setting out")),
        "{view:#}"
    );
    let measured = |thickness: &str| json!({ "do": "set_measured", "to": "trim", "thickness": thickness, "height": "40", "instrument": "laser" });
    assert_eq!(site.refused(measured("")), ("length.empty".into(), "edit.thickness".into()));
    let view = site.edit(measured("15"));
    assert_eq!(view["measured"]["thickness"]["text"], "15 mm");
    let words = view["good_for_words"].as_str().expect("words");
    assert!(words.starts_with("Good for a quote") && words.contains("the bare walls"), "{words}");
    // Each wall of 3 m between trims is 30 mm longer at the floor's edge.
    assert_eq!(view["walls"][0]["reading"]["corrected_text"], "3030 mm");
    assert!(view["advice"].to_string().contains("Read with the trim on"), "{}", view["advice"]);

    let id = view["walls"][1]["reading"]["id"].clone();
    let bare = site.edit(json!({ "do": "set_touched", "id": id, "to": "wall", "height": "1 m" }));
    let reading = &bare["walls"][1]["reading"];
    assert_eq!((&reading["touched"], &reading["height"]["text"]), (&"wall".into(), &"1 m".into()));
    assert_eq!(reading["earlier"].as_array().map(Vec::len), Some(1), "what it was before is kept");
    assert!(bare["advice"].to_string().contains("different heights"), "{}", bare["advice"]);
    // Read again, it is still held to the bare wall.
    let again = site.read("B", "C", "2030 mm");
    assert_eq!(
        (&again["verdict"], &again["walls"][1]["reading"]["touched"]),
        (&"consistent".into(), &"wall".into())
    );
    let undone = site.session.call("edit.undo", json!({ "job": site.job })).map(|_| site.view());
    assert_eq!(undone.expect("undone")["walls"][1]["reading"]["text"], "2000 mm");
}

#[test]
fn one_reading_is_held_to_trim_only_once_its_thickness_is_known() {
    let site = Site::new("thickness");
    let id = site.view()["walls"][0]["reading"]["id"].clone();
    let edit = json!({ "do": "set_touched", "id": id, "to": "trim", "height": "" });
    assert_eq!(site.refused(edit), ("room.thickness_first".into(), "edit.to".into()));
}

#[test]
fn a_bowed_wall_is_drawn_by_its_string_and_widens_the_floor() {
    let site = Site::new("string");
    let add = |along: &str, offset: &str, out: bool| json!({ "do": "add_offset", "from": "A", "to": "B", "along": along, "offset": offset, "out": out });
    site.edit(add("2000", "6", true));
    let view = site.edit(add("1000", "4", false));
    let offsets = view["offsets"].as_array().expect("a list");
    assert_eq!((&offsets[0]["offset"]["text"], &offsets[0]["out"]), (&"4 mm".into(), &false.into()));
    assert_eq!(offsets[1]["line"][1][1].as_f64().map(|y| (y + 6.0).abs() < 1e-6), Some(true), "{offsets:?}");
    // Corner A, the two places, then B, C and D.
    assert_eq!(view["shape"].as_array().map(Vec::len), Some(12));
    let again = site.edit(add("1000", "5", false));
    assert_eq!(again["offsets"].as_array().map(Vec::len), Some(2), "read again, not twice");
    let gone = site.edit(json!({ "do": "remove_offset", "id": again["offsets"][0]["id"] }));
    assert_eq!(gone["offsets"].as_array().map(Vec::len), Some(1));
    let beyond = site.edit(add("4000", "5", true));
    assert!(beyond["advice"].to_string().contains("beyond its end"), "{}", beyond["advice"]);
    assert_eq!(site.refused(add("0", "5", true)), ("length.not_positive".into(), "edit.along".into()));
    assert_eq!(site.refused(add("500", "", true)), ("length.empty".into(), "edit.offset".into()));
    let backwards =
        json!({ "do": "add_offset", "from": "B", "to": "A", "along": "1", "offset": "1", "out": true });
    assert_eq!(site.refused(backwards), ("room.wall_reversed".into(), "edit.to".into()));
}

#[test]
fn a_pipe_is_located_by_two_distances_and_goes_through_a_job_sheet() {
    let site = Site::new("pipe");
    // 3-4-5: 900 mm along A–B and 1200 mm away from A is 1500 mm from A; from B √(2100² + 1200²) = 2418.677 mm.
    let view = site.edit(pipe("corners", "A", "B", "1500", "2418.7"));
    let found = &view["keepouts"][0];
    assert_eq!((&found["name"], &found["what"]), (&"pipe".into(), &"pipe".into()));
    let at: Vec<f64> =
        found["located"]["at"].as_array().expect("a place").iter().filter_map(Value::as_f64).collect();
    assert!((at[0] - 900.0).abs() < 0.2 && (at[1] - 1200.0).abs() < 0.2, "{at:?}");
    assert!(found["outline"].as_array().is_some_and(|ring| ring.len() >= 8), "{found:#}");
    assert_eq!(found["located"]["legs"].as_array().map(Vec::len), Some(2));
    let id = found["id"].clone();
    let mut moved = pipe("wall", "B", "A", "500", "400");
    moved["id"] = id;
    moved["diameter"] = "".into();
    moved["size_along"] = "100".into();
    let placed = |edit: &Value| site.refused(edit.clone());
    assert_eq!(placed(&moved), ("length.empty".into(), "edit.size_away".into()));
    moved["size_away"] = "50".into();
    let view = site.edit(moved);
    let found = &view["keepouts"][0];
    assert_eq!(view["keepouts"].as_array().map(Vec::len), Some(1));
    assert_eq!(found["located"]["by"], "wall");
    // From 500 mm along B–A on, 100 mm further along it and 50 mm away.
    let mut corners: Vec<(f64, f64)> = serde_json::from_value(found["outline"].clone()).expect("points");
    corners.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    for (corner, want) in
        corners.iter().zip([(2400.0, 400.0), (2400.0, 450.0), (2500.0, 400.0), (2500.0, 450.0)])
    {
        assert!((corner.0 - want.0).abs() < 0.2 && (corner.1 - want.1).abs() < 0.2, "{corners:?}");
    }
    // Out as a sheet and in again: the same room.
    let sheet = site.session.call("jobs.export", json!({ "job": site.job })).expect("a sheet");
    let text = sheet["sheet"].as_str().expect("text");
    assert!(text.contains("\"located\""), "{text}");
    assert_eq!(drylay_app::read_sheet(text).expect("a sheet").warnings.len(), 0);
}

#[test]
fn things_that_cannot_be_are_refused_and_those_that_come_apart_are_told_while_the_walls_stay() {
    let site = Site::new("odd");
    assert_eq!(
        site.refused(pipe("corners", "A", "A", "1", "1")),
        ("reading.same_corner".into(), "edit.to".into())
    );
    assert_eq!(site.refused(pipe("wall", "A", "C", "1", "1")), ("room.not_a_wall".into(), "edit.to".into()));
    assert_eq!(
        site.refused(pipe("corners", "A", "Q", "1", "1")),
        ("room.unknown_corner".into(), "edit.to".into())
    );
    assert_eq!(
        site.refused(pipe("corners", "A", "B", "0", "1")),
        ("length.not_positive".into(), "edit.first".into())
    );
    let far = site.edit(pipe("corners", "A", "B", "500", "500"));
    assert!(far["advice"].to_string().contains("do not meet"), "{}", far["advice"]);
    assert!(far["keepouts"][0]["located"]["gap_text"].is_string());
    // A corner put in between takes the wall away that a thing was located from; the room is drawn all the same.
    site.edit(pipe("wall", "C", "D", "500", "400"));
    let view = site.edit(json!({ "do": "add_corner", "after": "C" }));
    assert_ne!(view["problems"], json!(null));
    assert_eq!(view["keepouts"].as_array().map(Vec::len), Some(2), "nothing is lost");
}

#[test]
fn a_laser_meter_that_types_metres_fills_a_wall_and_the_keypad_says_so() {
    let site = Site::new("laser");
    let view = site.read("A", "B", "3.001");
    assert_eq!(
        (&view["walls"][0]["reading"]["text"], &view["walls"][0]["reading"]["mm"]),
        (&"3.001 m".into(), &json!(3001.0))
    );
    let ask = |reading: bool| json!({ "text": "3.001", "units": "metric", "reading": reading });
    assert_eq!(site.session.call("length.read", ask(true)).expect("a length")["text"], "3001 mm");
    assert_eq!(site.session.call("length.read", ask(false)).expect("a length")["mm"], 3.001);
}

#[test]
fn readings_that_make_no_sense_are_told_with_their_place_and_nothing_is_lost() {
    let site = Site::new("bad");
    let read = |from: &str, to: &str, text: &str| json!({ "do": "set_reading", "from": from, "to": to, "text": text });
    for (text, code) in [
        ("0", "length.not_positive"),
        ("-5", "length.not_positive"),
        ("", "length.empty"),
        ("NaN", "length.number_expected"),
        ("1e999", "length.unit_unknown"),
        ("inf", "length.number_expected"),
        ("11 km", "length.unit_unknown"),
        ("10001 m", "length.too_long"),
    ] {
        let (found, place) = site.refused(read("A", "B", text));
        assert_eq!((found.as_str(), place.as_str()), (code, "edit.text"), "{text}");
    }
    assert_eq!(site.refused(read("A", "A", "1 m")), ("reading.same_corner".into(), "edit.to".into()));
    assert_eq!(site.refused(read("A", "Z", "1 m")), ("room.unknown_corner".into(), "edit.to".into()));
}

#[test]
fn a_wall_longer_than_all_others_together_is_told_and_the_last_good_drawing_stays() {
    let site = Site::new("long");
    let good = site.view();
    let view = site.read("A", "B", "9000 mm");
    assert_eq!(view["problems"][0]["place"], "A–B", "{}", view["problems"]);
    assert!(
        view["problems"][0]["message"].as_str().is_some_and(|m| m.contains("longer than all other walls"))
    );
    assert_eq!((&view["outline"], &view["outline_is_old"]), (&good["outline"], &true.into()));
    assert_eq!(view["walls"][0]["reading"]["text"], "9000 mm", "what was typed is there");
    let mended = site.read("A", "B", "3000 mm");
    assert_eq!((&mended["verdict"], &mended["outline_is_old"]), (&"consistent".into(), &false.into()));
    assert_eq!(mended["walls"][0]["reading"]["earlier"].as_array().map(Vec::len), Some(2));
}

#[test]
fn the_501st_corner_is_refused() {
    let site = Site::new("corners");
    let many = site.session.call("rooms.add", json!({ "job": site.job, "name": "Round", "corners": 501 }));
    assert_eq!(many.expect_err("too many").code, "limit.corners");
    let most = site.session.call("rooms.add", json!({ "job": site.job, "name": "Round", "corners": 500 }));
    let room = most.expect("a room")["id"].clone();
    let edit = json!({ "do": "add_corner", "after": "A" });
    let more = site.session.call("room.edit", json!({ "job": site.job, "room": room, "edit": edit }));
    assert_eq!(more.expect_err("too many").code, "limit.corners");
}
