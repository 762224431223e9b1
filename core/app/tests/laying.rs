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
    "openings": [ { "id": "front door", "wall": ["A","B"], "start": 800, "width": 900 } ],
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

/// What is drawn is what is said, in an area of three rooms as well, of which two lie where their openings meet.
#[test]
fn marks_and_check_are_drawn_as_far_apart_as_their_figures_say() {
    let (session, _, _) = job("drawn");
    let job = call(&session, "jobs.demo", json!({}))["id"].clone();
    let view = call(&session, "job.view", json!({ "job": job }));
    let area = view["areas"]
        .as_array()
        .expect("areas")
        .iter()
        .find(|a| a["rooms"].as_array().is_some_and(|r| r.len() > 1));
    let out =
        call(&session, "plan.set_out", json!({ "job": job, "area": area.expect("rooms together")["id"] }));
    let point = |v: &Value| [v[0].as_f64().expect("x"), v[1].as_f64().expect("y")];
    let apart = |a: &Value, b: &Value| {
        let (a, b) = (point(a), point(b));
        let (dx, dy) = (a[0] - b[0], a[1] - b[1]);
        (dx * dx + dy * dy).sqrt()
    };
    let marks = out["marks"].as_array().expect("marks").iter().chain([&out["first_joint"]]);
    let drawn = marks
        .map(|mark| (apart(&mark["foot"], &mark["at"]), &mark["off"]["mm"]))
        .chain([(apart(&out["check_line"][0], &out["check_line"][1]), &out["check"]["mm"])]);
    for (apart, said) in drawn {
        // A figure is rounded to a sixteenth of an inch.
        assert!((apart - said.as_f64().expect("a figure")).abs() <= 25.4 / 32.0 + 1e-6, "{apart}: {said}");
    }
    // Every corner has its letter, and the check ends at one.
    let corners = out["corners"].as_array().expect("corners");
    assert!(
        corners.len() >= 12 && corners.iter().any(|c| apart(&c["at"], &out["check_line"][1]) < 1e-3),
        "{corners:?}"
    );
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

/// Who lays by a plan that was given out must not snap the line of another one unawares.
#[test]
fn a_line_of_another_plan_than_the_one_that_is_laid_by_says_so() {
    let (session, job, area) = job("other");
    let of = json!({ "job": job, "area": area });
    let told = |out: &Value| out["otherwise_words"].as_str().expect("words").to_owned();
    assert_eq!(told(&call(&session, "plan.set_out", of.clone())), "", "none was given out");
    let choice = call(&session, "plan.view", of.clone())["choice"]["token"].clone();
    call(&session, "plan.accept", json!({ "job": job, "area": area, "choice": choice }));
    call(&session, "issues.make", of.clone());
    assert_eq!(told(&call(&session, "plan.set_out", of.clone())), "", "it is the same");
    let row = json!({ "job": job, "area": area, "row": 5, "at_start": "1214", "at_end": "1214" });
    let out = call(&session, "rows.measure", row);
    assert!(told(&out).contains("no. 1"), "{out}");
    assert_eq!(told(&call(&session, "plan.set_out", of.clone())), told(&out));
    call(&session, "issues.make", of.clone());
    assert_eq!(told(&call(&session, "plan.set_out", of.clone())), "", "it was given out anew");
    let forget = json!({ "job": job, "area": area, "id": out["laid"][0]["id"] });
    assert!(told(&call(&session, "rows.forget", forget)).contains("no. 2"));
}

#[test]
fn what_a_layout_should_keep_to_is_kept_as_it_was_typed_and_the_plan_tells_what_it_misses() {
    let (session, job, area) = job("prefer");
    let of = json!({ "job": job, "area": area });
    let stands = call(&session, "prefer.view", of.clone());
    assert_eq!(stands["walls"], json!([["A", "B"], ["B", "C"], ["C", "D"], ["D", "A"]]));
    let (door, post) = (stands["openings"][0].clone(), stands["features"][1].clone());
    assert_eq!(
        (&stands["start"], &stands["doorways"], &stands["slide"]),
        (&Value::Null, &Value::Null, &json!(false))
    );
    let pair = |of: &Value| json!([of["room"], of["id"]]);
    let ask = |more: Value| {
        let mut ask = json!({ "job": job, "area": area, "whole_rows": [], "slide": false });
        ask.as_object_mut().expect("an object").extend(more.as_object().expect("an object").clone());
        ask
    };
    let all = ask(json!({
        "start": ["C", "D"], "whole_rows": [["A", "B"]], "slide": true,
        "centre": { "on": pair(&post), "x": "", "y": "", "rows": "tile", "tiles": "joint" },
        "doorways": { "least": "29,5 cm", "openings": [] },
        "sight_line": { "least": "100", "openings": [pair(&door)] },
    }));
    let kept = call(&session, "prefer.set", all);
    assert_eq!((&kept["start"], &kept["whole_rows"]), (&json!(["C", "D"]), &json!([["A", "B"]])));
    assert_eq!((&kept["centre"]["on"], &kept["centre"]["tiles"]), (&pair(&post), &json!("joint")));
    assert_eq!(kept["doorways"]["least"]["text"], "29,5 cm");
    assert_eq!((&kept["sight_line"]["openings"], &kept["slide"]), (&json!([pair(&door)]), &json!(true)));
    // The layout of the sheet has a first row of 280.5, which is less than what is wished in the doorway.
    let plan = call(&session, "plan.view", of.clone());
    let told: Vec<&Value> = plan["breaches"].as_array().expect("a list").iter().map(|b| &b["rule"]).collect();
    assert!(told.contains(&&json!("doorway")), "{told:?}");
    // It goes out with the job, and one undo takes all of it back.
    let sheet = call(&session, "jobs.export", json!({ "job": job }));
    let text = sheet["sheet"].as_str().expect("a sheet");
    assert!(["\"sight_line\"", "\"slide\": true", "\"on\""].iter().all(|part| text.contains(part)), "{text}");
    call(&session, "edit.undo", json!({ "job": job }));
    let before = call(&session, "prefer.view", of.clone());
    assert_eq!((&before["start"], &before["centre"]), (&Value::Null, &Value::Null));
    for (more, code, place) in [
        (json!({ "start": ["B", "A"] }), "room.wall_reversed", "start"),
        (json!({ "doorways": { "least": "", "openings": [] } }), "length.empty", "doorways.least"),
        (
            json!({ "sight_line": { "least": "5", "openings": [] } }),
            "layout.one_entrance",
            "sight_line.openings",
        ),
        (
            json!({ "centre": { "on": ["r", "stove"], "x": "", "y": "", "rows": "best" } }),
            "layout.unknown_thing",
            "centre.on",
        ),
        (
            json!({ "centre": { "x": "1 m", "y": "two", "rows": "best" } }),
            "length.number_expected",
            "centre.y",
        ),
    ] {
        let refused = session.call("prefer.set", ask(more)).expect_err(code);
        assert_eq!((refused.code.as_str(), refused.place.as_str()), (code, place));
    }
    assert_eq!(call(&session, "prefer.view", of), before, "nothing half-stored");
}

#[test]
fn what_a_product_asks_is_typed_and_what_is_not_shown_of_a_rule_stays() {
    let (session, job, _) = job("demands");
    let product = |demands: Value| {
        json!({ "job": job, "product": { "id": "t", "name": "Tile", "length": "600", "width": "300", "thickness": "8",
            "joint": "3", "edge_gap": "6", "kerf": "", "offsets": ["1/3"], "interlock": true, "min_row_width": "",
            "min_end_length": "", "carton_tiles": "7", "max_run": "12 m", "demands": demands } })
    };
    let rule = |kind: &str, figure: &str| {
        json!({ "kind": kind, "figure": figure, "width": "", "settings": [], "variations": "", "plus_warpage": false,
                "side_over": "", "edges": "", "offset_only": false, "say": "", "source": "common practice", "edition": "" })
    };
    let rails = json!({ "long_tongue": "low", "short_tongue": "end", "long": ["angle"], "short": ["drop"], "angle": "20",
        "lift": "", "travel": "", "shaved_travel": "", "chips_long": "2\"", "chips_short": "1\"", "source": "data sheet",
        "edition": "3" });
    let demands = |rules: Vec<Value>, engagement: Value| json!({ "edges": "rectified", "variation": "0.5", "warpage": "", "rules": rules, "engagement": engagement });
    let full = demands(
        vec![rule("rows", "2\""), rule("movement", "25 ft"), rule("offset", "1/3"), rule("gap", "1/4\"")],
        rails.clone(),
    );
    let view = call(&session, "products.set", product(full));
    let stands = &view["products"][0];
    assert_eq!(stands["max_run"]["text"], "12 m");
    let kinds: Vec<&Value> =
        stands["demands"]["rules"].as_array().expect("rules").iter().map(|r| &r["kind"]).collect();
    assert_eq!(kinds, ["rows", "movement", "offset", "gap"]);
    assert_eq!(
        (&stands["demands"]["variation"], &stands["demands"]["engagement"]["angle"]),
        (&json!("0.5 mm"), &json!("20"))
    );
    assert_eq!(stands["demands"]["engagement"]["chips_long"], "2\"");
    // The plan has it: the rule for gaps is broken (6 mm against 6.35), and there is an order of laying.
    let area = view["areas"][0]["id"].clone();
    let plan = call(&session, "plan.view", json!({ "job": job, "area": area }));
    let broken: Vec<&Value> = plan["rules"]
        .as_array()
        .expect("rules")
        .iter()
        .filter(|r| r["held"] == false)
        .map(|r| &r["rule"])
        .collect();
    assert_eq!(broken, ["gap"]);
    assert!(plan["laying"].is_object());
    // Left out, everything stays; a form that knows nothing of a field cannot lose it.
    let mut without = product(json!(null));
    without["product"]
        .as_object_mut()
        .expect("an object")
        .retain(|key, _| key != "demands" && key != "max_run");
    let view = call(&session, "products.set", without);
    assert_eq!(&view["products"][0]["demands"], &stands["demands"]);
    let slid = |more: &[(&str, Value)]| {
        let mut rails = rails.clone();
        more.iter().for_each(|(key, value)| rails[*key] = value.clone());
        demands(vec![], rails)
    };
    for (wrong, code, place) in [
        (
            demands(
                vec![
                    json!({ "kind": "rows", "figure": "2\"", "width": "", "settings": [], "variations": "", "plus_warpage": false,
            "side_over": "", "edges": "", "offset_only": false, "say": "", "source": " ", "edition": "" }),
                ],
                json!(null),
            ),
            "rule.no_source",
            "product.demands.rules[0].source",
        ),
        (
            demands(vec![rule("offset", "much")], json!(null)),
            "sheet.fraction",
            "product.demands.rules[0].figure",
        ),
        (slid(&[("long", json!([]))]), "engagement.no_way", "product.demands.engagement.long"),
        (slid(&[("angle", json!("95"))]), "engagement.angle", "product.demands.engagement.angle"),
        (slid(&[("angle", json!(""))]), "engagement.no_angle", "product.demands.engagement.angle"),
        (slid(&[("short", json!(["slide"]))]), "engagement.no_travel", "product.demands.engagement.travel"),
    ] {
        let refused = session.call("products.set", product(wrong)).expect_err(code);
        assert_eq!((refused.code.as_str(), refused.place.as_str()), (code, place));
    }
}

#[test]
fn what_hangs_over_the_floor_and_what_it_is_exposed_to_are_typed_in_the_room() {
    let (session, job, _) = job("overhang");
    let view = call(&session, "job.view", json!({ "job": job }));
    let room = view["rooms"][0]["id"].clone();
    let edit = |edit: Value| json!({ "job": job, "room": room, "edit": edit });
    let over = |of: Value, height: &str, depth: &str| {
        edit(json!({ "do": "set_overhang", "of": of, "height": height, "depth": depth }))
    };
    let seen = call(&session, "room.view", json!({ "job": job, "room": room }));
    let (door, post) = (seen["openings"][0]["id"].clone(), seen["keepouts"][0]["id"].clone());
    let of = |what: &str, id: &Value| json!({ "what": what, "id": id });
    call(&session, "room.edit", over(of("opening", &door), "11", "12"));
    call(&session, "room.edit", over(of("keepout", &post), "90", "60"));
    call(&session, "room.edit", over(json!({ "what": "wall", "from": "B", "to": "C" }), "100", "5 cm"));
    let all = call(
        &session,
        "room.edit",
        edit(json!({ "do": "set_exposure", "settings": ["sunlit"], "yearly_range": "115" })),
    );
    assert_eq!(
        (&all["openings"][0]["jambs"]["height"]["mm"], &all["keepouts"][0]["overhang"]["depth"]["mm"]),
        (&json!(11.0), &json!(60.0))
    );
    let edge = all["edges"].as_array().expect("edges").iter().find(|e| e["from"] == "B").expect("the wall's");
    assert_eq!((&edge["overhang"]["depth"]["text"], &edge["gap"]), (&json!("5 cm"), &Value::Null));
    assert_eq!(all["exposure"], json!({ "settings": ["sunlit"], "yearly_range": "115" }));
    // Taken back, the wall has no entry of its own any more; given again, it is the same one.
    let bare = call(&session, "room.edit", over(json!({ "what": "wall", "from": "B", "to": "C" }), "", ""));
    assert!(bare["edges"].as_array().expect("edges").iter().all(|e| e["from"] != "B"));
    call(&session, "room.edit", over(json!({ "what": "wall", "from": "B", "to": "C" }), "100", "50"));
    let refused = session.call("room.edit", over(of("opening", &door), "11", "")).expect_err("half of it");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("length.empty", "edit.depth"));
    let refused = session
        .call("room.edit", edit(json!({ "do": "set_exposure", "settings": [], "yearly_range": "warm" })))
        .expect_err("no figure");
    assert_eq!(refused.code, "sheet.amount");
}
