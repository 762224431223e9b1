//! Through the one door: the chalk line, the last tile, and rows that are measured as they lie.

use drylay_app::{Session, Timestamp, World};
use serde_json::{Value, json};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A clock that goes on by a second, and ids by counting: the same in every run.
#[derive(Debug, Default)]
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

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

/// The centred layout of 3000 with 300 tiles: ten rows, the first and the last 280.5.
const SHEET: &str = r#"{ "drylay": 1, "units": "metric",
  "products": [ { "id": "t", "face": {"length": 600, "width": 300}, "joint": 3, "edge_gap": 6, "clearance": 3,
    "offsets": ["1/3"], "min_neck": 30, "carton": {"tiles": 7} } ],
  "rooms": [ { "id": "r", "corners": ["A","B","C","D"], "outline": [[0,0],[2400,0],[2400,3000],[0,3000]],
    "keepouts": [ { "id": "post", "outline": [[1000,1000],[1100,1000],[1100,1100],[1000,1100]] } ],
    "edges": [ {"wall":["A","B"],"trim_covers":15}, {"wall":["C","D"],"trim_covers":15} ] } ],
  "areas": [ { "id": "m", "rooms": ["r"], "product": "t",
               "layout": {"along":["A","B"],"offset":"1/3","first_row":280.5,"shift":400} } ] }"#;

/// A session with the job of the sheet, and the names of job and area.
fn job(name: &str) -> (Session, String, String) {
    let path = std::env::temp_dir().join(format!("drylay-laying-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&path);
    let session = Session::open(&path, Arc::new(Counting::default())).expect("a store");
    let job =
        call(&session, "jobs.import", json!({ "sheet": SHEET }))["id"].as_str().expect("an id").to_owned();
    let view = call(&session, "job.view", json!({ "job": job }));
    let area = view["areas"][0]["id"].as_str().expect("an area").to_owned();
    (session, job, area)
}

#[test]
fn the_chalk_line_and_both_ends_of_the_last_row_are_told() {
    let (session, job, area) = job("chalk");
    let out = call(&session, "plan.set_out", json!({ "job": job, "area": area }));
    assert_eq!(out["row"], 1);
    assert_eq!(out["marks"][0]["off"]["mm"], 286.5);
    assert_eq!((&out["rows"][1]["row"], &out["rows"][1]["end"]["mm"]), (&json!(10), &json!(280.5)));
    assert_eq!(out["spacers"]["even"], true);
    assert_eq!(out["measurable"], json!([2, 10]));
    assert_eq!(out["as_it_lies"], Value::Null);
}

/// Common practice: measured gap less the joint less the wall allowance, which is the edge gap and the clearance.
#[test]
fn the_last_tile_and_the_cut_card_take_off_the_same() {
    let (session, job, area) = job("last");
    let ask = |gap: &str, other: &str| json!({ "job": job, "area": area, "gap": gap, "gap_other": other });
    let cut = call(&session, "plan.last_tile", ask("412.6", ""));
    assert_eq!((&cut["low"]["mm"], &cut["high"]["mm"]), (&json!(400.0), &json!(400.0)), "{cut}");
    let askew = call(&session, "plan.last_tile", ask("412", "415"));
    assert_eq!((&askew["low"]["mm"], &askew["high"]["mm"]), (&json!(400.0), &json!(403.0)));
    let refused = session.call("plan.last_tile", ask("11", "")).expect_err("nothing is left");
    assert_eq!(refused.code, "last.nothing_left");
    // 1-1 is 400 long on the plan, where the gap is kept; cut it is less by the clearance.
    let card = call(&session, "piece.view", json!({ "job": job, "area": area, "piece": "1-1" }));
    assert_eq!(card["size"]["length"]["mm"], 397.0, "{card}");
    assert_eq!((&card["when"], &card["weak_words"]), (&json!("measure_first"), &json!("")));
    let rip = call(&session, "piece.view", json!({ "job": job, "area": area, "piece": "1-2" }));
    assert_eq!((&rip["when"], &rip["neck"]["mm"]), (&json!("cut_ahead"), &json!(277.5)));
    let whole = call(&session, "piece.view", json!({ "job": job, "area": area, "piece": "2-2" }));
    assert_eq!((&whole["when"], &whole["neck"]), (&json!("whole"), &Value::Null));
}

#[test]
fn ten_measured_tiles_replace_the_labels_pitch() {
    let (session, job, area) = job("ten");
    let ask =
        |tiles: &str, rows: &str| json!({ "job": job, "area": area, "ten_tiles": tiles, "ten_rows": rows });
    let refused = session.call("pitch.measure", ask("5412", "")).expect_err("nine tiles");
    assert_eq!(refused.code, "pitch.slip");
    // Ten rows of 300 and nine joints of 3 are 3027 by the label; measured they are 8 more: 0.8 a row.
    let out = call(&session, "pitch.measure", ask("", "3035"));
    assert_eq!(out["ten_rows"]["text"], "3035 mm");
    let plan = call(&session, "plan.view", json!({ "job": job, "area": area }));
    let last = plan["rows"][9]["width"]["mm"].as_f64().expect("a width");
    // Row 1 keeps its 280.5, and nine joints and eight rows of 300.8 follow.
    assert!((last - (2988.0 - 280.5 - 8.0 * 300.8 - 9.0 * 3.0)).abs() < 1e-3, "{last}");
    call(&session, "pitch.measure", ask("", ""));
    let plan = call(&session, "plan.view", json!({ "job": job, "area": area }));
    assert_eq!(plan["rows"][9]["width"]["mm"], 280.5);
}

#[test]
fn a_measured_row_is_stored_and_the_rest_is_planned_around_it() {
    let (session, job, area) = job("lies");
    let ask = |row: u32, start: &str, end: &str| json!({ "job": job, "area": area, "row": row, "at_start": start, "at_end": end });
    let refused = session.call("rows.measure", ask(1, "300", "")).expect_err("the line itself");
    assert_eq!(refused.code, "laid.no_such_row");
    // Four rows from the line, half a millimetre too far a row.
    let out = call(&session, "rows.measure", ask(5, "1214", "1214"));
    assert_eq!(out["laid"][0]["row"], 5);
    let width = out["as_it_lies"]["last_row"][0]["mm"].as_f64().expect("a width");
    assert!((width - 276.5).abs() < 1e-6, "{out}");
    let plan = call(&session, "plan.view", json!({ "job": job, "area": area }));
    let last = plan["rows"][9]["width"]["mm"].as_f64().expect("a width");
    assert!((last - 276.5).abs() < 1e-3, "{last}");
    // It goes out with the job as a sheet, and taking it back brings the plan back.
    let sheet = call(&session, "jobs.export", json!({ "job": job }));
    assert!(sheet["sheet"].as_str().is_some_and(|text| text.contains("\"laid\"")));
    let id = out["laid"][0]["id"].as_str().expect("an id");
    let back = call(&session, "rows.forget", json!({ "job": job, "area": area, "id": id }));
    assert_eq!((&back["laid"], &back["as_it_lies"]), (&json!([]), &Value::Null));
    let plan = call(&session, "plan.view", json!({ "job": job, "area": area }));
    assert_eq!(plan["rows"][9]["width"]["mm"], 280.5);
}
