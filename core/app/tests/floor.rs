//! Through the one door: a floor walked with the rod from two set-ups, judged and corrected as tasks that can be ended,
//! a straightedge laid on it, and read again after the work; and bad input, which is told with its place.

use drylay_app::wire::Event;
use drylay_app::{Problem, Session, Timestamp, World};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

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

/// A room of 3 × 2 m whose tile asks for 4 mm in 2 m, and two invented compounds.
const SHEET: &str = r#"{ "drylay": 1, "job": { "name": "Attic" }, "units": "metric",
  "products": [ { "id": "t", "face": { "length": 600, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 6,
                  "flatness": [ { "gap": 4, "span": "2 m" } ] } ],
  "compounds": [ { "id": "deep", "name": "Deep fill", "way": "pour", "bag_litres": 4, "least": 2, "most": 20,
                   "pot_life_minutes": 20, "mix_minutes": 8, "walk_hours": 4, "cover_hours": 24,
                   "primer": { "litres_per_m2": 0.2, "hours": 3 }, "over_wood": { "least": 5, "needs": "a mesh" } },
                 { "id": "skim", "name": "Skim", "way": "trowel", "bag_litres": 3, "most": 6, "up_to_m2": 0.5,
                   "pot_life_minutes": 15, "mix_minutes": 5 } ],
  "rooms": [ { "id": "den", "name": "Den", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]],
               "level": { "sd": 0.2, "correction": { "mixers": 2 } } } ] }"#;

/// A basin of 9 mm in the middle; the rod reads from a plane 1200 mm above the walls.
fn basin(at: [f64; 2]) -> f64 {
    let squared = |x: f64| x * x;
    let r = (squared(at[0] - 1500.0) + squared(at[1] - 1000.0)).sqrt();
    9.0 * (1.0 - r / 900.0).max(0.0)
}

impl Site {
    fn new(name: &str) -> Self {
        Self::of(name, SHEET)
    }
    fn of(name: &str, sheet: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("drylay-floor-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        let session = Session::open(&folder, Arc::new(Counting(AtomicU64::new(1)))).expect("a store");
        let job = session.call("jobs.import", json!({ "sheet": sheet })).expect("a job");
        let job = job["id"].as_str().expect("an id").to_owned();
        Self { folder, session, job, room: "den".to_owned() }
    }
    fn call(&self, name: &str, more: Value) -> Result<Value, Problem> {
        let mut args = json!({ "job": self.job, "room": self.room });
        more.as_object().into_iter().flatten().for_each(|(k, v)| args[k] = v.clone());
        self.session.call(name, args)
    }
    fn view(&self) -> Value {
        self.call("floor.view", json!({})).expect("a floor")
    }
    fn attempt(&self, edit: Value) -> Result<Value, Problem> {
        self.call("floor.edit", json!({ "edit": edit }))
    }
    fn edit(&self, edit: Value) -> Value {
        self.attempt(edit.clone()).unwrap_or_else(|problem| panic!("{edit}: {problem}"))
    }
    fn read(&self, station: &Value, setup: &str, plane: f64, depth: impl Fn([f64; 2]) -> f64) -> Value {
        let at: [f64; 2] = serde_json::from_value(station["at"].clone()).expect("a place");
        let text = format!("{:.1} mm", plane + depth(at));
        self.edit(json!({ "do": "read", "point": station["id"], "at": at, "setup": setup, "text": text }))
    }
    /// Reads every place that is still to be read.
    fn walk(&self, depth: impl Fn([f64; 2]) -> f64) -> Value {
        loop {
            let view = self.view();
            match view["stations"].as_array().and_then(|s| s.first()) {
                Some(station) => self.read(station, "", 1200.0, &depth),
                None => return view,
            };
        }
    }
    /// Starts a task and waits for its end; answers what it told and how often it told how far it was.
    fn task(&self, name: &str) -> (Result<Value, Problem>, Vec<f64>) {
        let events = self.session.subscribe();
        let task = self.call(name, json!({})).expect("a task")["task"].as_str().expect("an id").to_owned();
        let mut told = Vec::new();
        loop {
            match events.recv_timeout(Duration::from_secs(300)).expect("an event") {
                Event::Progress { task: of, fraction, .. } if of == task => told.push(fraction),
                Event::Finished { task: of, answer } if of == task => return (Ok(answer), told),
                Event::Failed { task: of, problem } if of == task => return (Err(problem), told),
                _ => {}
            }
        }
    }
}

fn many(value: &Value) -> usize {
    value.as_array().map_or(0, Vec::len)
}

#[test]
fn a_floor_is_walked_judged_corrected_and_read_again() {
    let site = Site::new("story");
    let view = site.view();
    let places = many(&view["stations"]);
    assert!(places >= 20 && view["verdict"] == "unread" && view["points"] == json!([]), "{places} places");
    let view = site.walk(basin);
    assert_eq!(
        (many(&view["points"]), &view["judged"], &view["surface"]),
        (places, &json!(false), &json!(true))
    );
    assert!(many(&view["map"]["contours"]) > 2 && many(&view["map"]["bands"]) > 2);

    let (judged, _) = site.task("floor.judge");
    let judged = judged.expect("verdicts");
    assert_eq!((&judged["judged"], &judged["verdict"]), (&json!(true), &json!("fail")));
    let worst = &judged["tolerances"][0]["worst"][0];
    assert_eq!((&worst["kind"], &worst["over"]), (&json!("dip"), &json!(true)));
    assert_eq!(site.view()["judged"], json!(true), "it is remembered");

    // The margin suggested is twice the doubt and a millimetre.
    let margin = judged["suggested_margin"]["mm"].as_f64().expect("a margin");
    assert!(margin > 1.0 && margin < 2.5, "{margin}");

    let (mended, told) = site.task("floor.correct");
    let correction = mended.expect("a correction")["correction"].clone();
    assert!(told.windows(2).all(|w| w[1] > w[0]), "progress never goes back: {told:?}");
    assert_eq!(correction["nothing"], json!(false));
    assert!(many(&correction["changes"]) > 0 && many(&correction["patches"]) > 0, "{correction}");
    let needs: Vec<&str> =
        correction["needs"].as_array().expect("a list").iter().filter_map(|n| n["name"].as_str()).collect();
    assert!(needs.contains(&"Deep fill") || needs.contains(&"Skim"), "{needs:?}");
    let steps = correction["steps"].to_string();
    assert!(steps.contains("If the base is wood: a mesh, at least 5.0 mm thick."), "{steps}");
    assert!(steps.contains("Read the floor again"), "{steps}");

    // The second round is read at the same points; the first stays as it was.
    let view =
        site.edit(json!({ "do": "worked", "notes": "filled the middle", "litres": "3.5", "bags": "1" }));
    assert_eq!((&view["round"], many(&view["stations"]), &view["points"]), (&json!(1), places, &json!([])));
    site.walk(|at| basin(at).min(1.0));
    let (after, _) = site.task("floor.judge");
    let after = after.expect("verdicts");
    assert_eq!(after["verdict"], json!("pass"), "{}", after["tolerances"]);
    let rounds = after["rounds"].as_array().expect("rounds");
    assert_eq!((&rounds[0]["verdict"], &rounds[1]["verdict"]), (&json!("fail"), &json!("pass")));
    let work = rounds[1]["work_words"].as_str().expect("words");
    assert!(
        work.contains("3.5 liters") && work.contains("1 bag") && work.contains("filled the middle"),
        "{work}"
    );
    assert!(rounds[1]["stamp"]["at"].as_str().is_some_and(|at| at.starts_with("2023-")), "who and when");
    let first = site.call("floor.view", json!({ "round": 0 })).expect("a floor");
    assert_eq!((many(&first["points"]), &first["newest"]), (places, &json!(false)));
}

/// What keeps the underlayment from being laid because of the floor's shape, by its name without the room.
fn kept_by_shape(site: &Site) -> Vec<String> {
    let stages = site.session.call("stages.view", json!({ "job": site.job })).expect("stages");
    let all = stages["stages"].as_array().expect("a list");
    let under = all.iter().find(|one| one["stage"] == "underlay").expect("a stage");
    let gates = under["gates"].as_array().expect("gates").iter().filter_map(|gate| gate["id"].as_str());
    gates
        .filter(|id| ["unread", "flat", "read_again"].iter().any(|of| id.starts_with(of)))
        .map(str::to_owned)
        .collect()
}

#[test]
fn a_floor_that_is_not_flat_enough_keeps_the_next_stage_waiting() {
    let area = r#""areas": [ { "id": "a", "rooms": ["den"], "product": "t" } ], "rooms""#;
    let site = Site::of("gate", &SHEET.replacen("\"rooms\"", area, 1));
    assert_eq!(kept_by_shape(&site), ["unread/den"]);
    site.walk(basin);
    // Nobody has asked for the verdict: looking at the stages is asking.
    assert_eq!(kept_by_shape(&site), ["flat/den/0/fail"]);
    site.edit(json!({ "do": "worked", "notes": "filled the middle", "litres": "3.5", "bags": "1" }));
    assert_eq!(kept_by_shape(&site), ["read_again/den/1"]);
    site.walk(|at| basin(at).min(1.0));
    assert!(kept_by_shape(&site).is_empty(), "flat now");
}

#[test]
fn a_second_set_up_asks_for_a_tie_and_counts_once_it_is_tied() {
    let site = Site::new("setups");
    let stations = site.view()["stations"].clone();
    for station in stations.as_array().expect("a list").iter().take(6) {
        site.read(station, "", 1200.0, basin);
    }
    let view = site.edit(json!({ "do": "add_setup", "name": "" }));
    let second = &view["setups"][1];
    let (id, tie) =
        (second["id"].as_str().expect("an id").to_owned(), second["tie"].as_str().expect("a tie").to_owned());
    assert_eq!(second["name"], json!("Set-up 2"));
    let seventh = stations[6].clone();
    let view = site.read(&seventh, &id, 1150.0, basin);
    let loose = view["points"].as_array().expect("points").last().expect("one").clone();
    assert_eq!((&loose["z"], &loose["text"]), (&json!(null), &json!("?")));
    assert!(view["problems"].to_string().contains("Set-up 2"), "{}", view["problems"]);
    let point =
        view["points"].as_array().expect("points").iter().find(|p| p["id"] == tie).expect("the tie").clone();
    let view = site.read(&point, &id, 1150.0, basin);
    assert_eq!((&view["setups"][1]["tie"], &view["problems"]), (&json!(null), &json!([])));
    let height = |view: &Value, id: &Value| {
        view["points"]
            .as_array()
            .expect("points")
            .iter()
            .find(|p| p["id"] == *id)
            .and_then(|p| p["z"].as_f64())
    };
    let first = height(&view, &stations[0]["id"]).expect("a height");
    let last = height(&view, &seventh["id"]).expect("a height");
    let at = |s: &Value| basin(serde_json::from_value(s["at"].clone()).expect("a place"));
    assert!((first - last - (at(&seventh) - at(&stations[0]))).abs() < 0.15, "{first} {last}");
}

#[test]
fn a_slip_is_put_right_and_the_first_figure_is_kept() {
    let site = Site::new("slip");
    let station = site.view()["stations"][0].clone();
    let read = |text: &str| json!({ "do": "read", "point": station["id"], "at": station["at"], "setup": "", "text": text });
    let view = site.edit(read("1021"));
    let id = view["points"][0]["readings"][0]["id"].clone();
    let view = site.edit(json!({ "do": "correct", "id": id, "text": "1201" }));
    let rod = view["points"][0]["readings"][0].clone();
    assert_eq!((&rod["text"], &rod["earlier"]), (&json!("1201 mm"), &json!(["1021 mm"])));
    let view = site.edit(read("1230"));
    assert_eq!(many(&view["points"][0]["readings"]), 2, "read again, both count");
    assert!(view["problems"].to_string().contains("Point 1"), "they disagree: {}", view["problems"]);
    let second = view["points"][0]["readings"][1]["id"].clone();
    // The numbers on the map stay when a figure is put right.
    let other = view["stations"][0].clone();
    let view = site.read(&other, "", 1200.0, basin);
    assert_eq!(view["points"][1]["id"], other["id"]);
    let first = view["points"][0]["readings"][0]["id"].clone();
    let view = site.edit(json!({ "do": "correct", "id": first, "text": "1202" }));
    assert_eq!(view["points"][1]["id"], other["id"]);
    let other = view["points"][1]["readings"][0]["id"].clone();
    site.edit(json!({ "do": "take_out", "id": other }));
    let view = site.edit(json!({ "do": "take_out", "id": second }));
    assert_eq!(
        (many(&view["points"][0]["readings"]), &view["problems"]),
        (
            1,
            &json!([{
        "place": "", "message": "The readings stand on one line, or are fewer than three places: they make no surface.",
        "hint": "Read points all over the floor." }])
        )
    );
}

#[test]
fn what_makes_no_sense_is_told_with_its_place() {
    let site = Site::new("bad");
    let refused = |edit: Value| site.attempt(edit).map_err(|p| (p.code, p.place)).expect_err("a refusal");
    let read = |text: &str| json!({ "do": "read", "point": "at 100 100", "at": [100, 100], "setup": "", "text": text });
    assert_eq!(refused(read("7 m")), ("floor.long_rod".to_owned(), "edit.text".to_owned()));
    assert_eq!(refused(read("twelve")).1, "edit.text");
    let other = json!({ "do": "read", "point": "x", "at": [1, 1], "setup": "nowhere", "text": "1 m" });
    assert_eq!(refused(other), ("entry.unknown".to_owned(), "edit.setup".to_owned()));
    let edge =
        |gap: &str| json!({ "do": "add_straightedge", "from": [500, 500], "to": [500, 500], "gap": gap });
    assert_eq!(refused(edge("3")).0, "floor.no_straightedge");
    let line =
        json!({ "do": "add_line", "name": "", "spacing": "300", "below": true, "heights": ["12", "13"] });
    assert_eq!(refused(line), ("floor.short_line".to_owned(), "edit.heights".to_owned()));
    let asked = |mixers: &str, standard: &str| json!({ "do": "set_asked", "sd": "", "standards": [standard], "grind": true, "grind_cost": "4", "margin": "1 mm", "mixers": mixers });
    assert_eq!(refused(asked("none", "bs-8204-sr1")), ("floor.mixers".to_owned(), "edit.mixers".to_owned()));
    assert_eq!(refused(asked("2", "of my own")).0, "floor.unknown_standard");
    let far = json!({ "from": [0, 0], "to": [1000, 0] });
    assert_eq!(site.call("floor.lay_edge", far).map_err(|p| p.code), Err("floor.no_surface".to_owned()));
    assert_eq!(
        site.call("floor.correct", json!({})).map_err(|p| p.code),
        Err("floor.nothing_to_correct".to_owned())
    );
    let view = site.edit(asked("2", "bs-8204-sr1"));
    assert_eq!((many(&view["tolerances"]), &view["asked"]["margin"]), (2, &json!("1 mm")));
    assert!(view["tolerances"].to_string().contains("BS 8204, SR1"));
}

#[test]
fn a_straightedge_lies_where_a_finger_puts_it() {
    let site = Site::new("edge");
    site.walk(basin);
    let laid =
        site.call("floor.lay_edge", json!({ "from": [200, 1000], "to": [2800, 1000] })).expect("an edge");
    let gap: f64 =
        laid["gap_text"].as_str().and_then(|t| t.split(' ').next()?.parse().ok()).expect("a figure");
    assert!(gap > 4.0 && gap < 9.0, "{laid}");
    assert!(
        laid["words"].as_str().is_some_and(|w| w.contains("2600 mm") || w.contains("260")),
        "{}",
        laid["words"]
    );
    let off = site.call("floor.lay_edge", json!({ "from": [-900, 0], "to": [-500, 0] }));
    assert_eq!(off.map_err(|p| p.code), Err("floor.off_the_floor".to_owned()));
    let view =
        site.edit(json!({ "do": "add_straightedge", "from": [200, 1000], "to": [2000, 1000], "gap": "7" }));
    assert_eq!(
        (&view["tolerances"][0]["gaps"], &view["straightedges"][0]["gap"]["text"]),
        (&json!("fail"), &json!("7 mm"))
    );
}

#[test]
fn a_string_read_at_stations_gives_f_numbers_and_is_stored_as_heights() {
    let site = Site::new("string");
    let heights: Vec<String> = (0..14).map(|k| format!("{}", 12 + k % 3)).collect();
    let line =
        json!({ "do": "add_line", "name": "", "spacing": "300 mm", "below": true, "heights": heights });
    let view = site.edit(line);
    let shown = &view["lines"][0];
    assert!(shown["f_words"].as_str().is_some_and(|w| w.starts_with("FF ") && w.contains("FL ")), "{shown}");
    let sheet =
        site.session.call("jobs.export", json!({ "job": site.job })).expect("a sheet")["sheet"].to_string();
    assert!(sheet.contains("-12"), "a distance below a string is a height below nought");
}

#[test]
fn a_task_that_is_ended_changes_nothing() {
    let site = Site::new("ended");
    site.walk(basin);
    let events = site.session.subscribe();
    let task =
        site.call("floor.correct", json!({})).expect("a task")["task"].as_str().expect("an id").to_owned();
    site.session.call("task.cancel", json!({ "task": task })).expect("done");
    let code = loop {
        match events.recv_timeout(Duration::from_secs(60)).expect("an event") {
            Event::Failed { task: of, problem } if of == task => break problem.code,
            Event::Finished { task: of, .. } if of == task => break "finished".to_owned(),
            _ => {}
        }
    };
    assert_eq!(code, "task.cancelled");
    let view = site.view();
    assert_eq!((&view["judged"], &view["correction"]), (&json!(false), &json!(null)));
}
