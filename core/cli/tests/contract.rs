//! What the command line promises: exit codes, where mistakes are told, and that nothing else is printed.

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn drylay(args: &[&str], sheet: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_drylay"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("piped");
    // A program that refuses early may not read to the end.
    let _ = stdin.write_all(sheet.as_bytes());
    drop(stdin);
    child.wait_with_output().expect("the program ends")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("text")
}

fn json(output: &Output) -> serde_json::Value {
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("one JSON document")
}

/// Asserts that a sheet is refused by every command, with each of these places on standard error.
fn refused(sheet: &str, places: &[&str]) {
    for command in ["survey", "plan", "takeoff", "subfloor", "heights"] {
        let output = drylay(&[command, "-"], sheet);
        assert_eq!(output.status.code(), Some(2), "{command}: {}", text(&output.stderr));
        assert_eq!(text(&output.stdout), "", "{command}");
        for place in places {
            assert!(
                text(&output.stderr).contains(place),
                "{command}: {place} is missing in\n{}",
                text(&output.stderr)
            );
        }
    }
}

/// A sheet of one room with its outline, and more text for the room.
fn sheet(outline: &str, more: &str) -> String {
    format!(
        r#"{{ "drylay": 1, "products": [ {{ "id": "p", "face": {{ "length": 600, "width": 300 }}, "joint": 3,
        "edge_gap": 8, "kerf": 2, "offsets": ["1/3"], "carton": {{ "tiles": 6 }} }} ],
        "rooms": [ {{ "id": "r", "outline": {outline} {more} }} ],
        "areas": [ {{ "id": "a", "rooms": ["r"], "product": "p",
        "layout": {{ "along": ["A", "B"], "offset": "1/3", "first_row": 300, "shift": 400 }} }} ] }}"#
    )
}

const SQUARE: &str = "[[0,0],[3000,0],[3000,2000],[0,2000]]";

#[test]
fn a_good_sheet_is_answered_by_every_command() {
    let good = sheet(SQUARE, "");
    assert_eq!(json(&drylay(&["survey", "-"], &good))["rooms"][0]["verdict"], "given");
    let plan = json(&drylay(&["plan", "-"], &good));
    assert_eq!(plan["areas"][0]["choice"]["along"], serde_json::json!(["A", "B"]));
    assert_eq!(plan["areas"][0]["choice"]["first_row"], 300.0);
    assert!(plan["areas"][0]["pieces"].as_array().is_some_and(|p| p.len() > 20));
    let takeoff = json(&drylay(&["takeoff", "-"], &good));
    assert_eq!(takeoff["lines"][0]["from"]["plan"], plan["areas"][0]["tiles"]);
}

/// A room of 3 × 2 m with a door of 0.9 m and a post of 0.3 × 0.2 m, tile of 600 × 300 with joints of 3 and a gap of 8.
const BOUGHT: &str = r#", "openings": [ { "id": "door", "wall": ["A","B"], "start": 500, "width": 900 } ], "settings": ["wet"],
    "keepouts": [ { "id": "post", "outline": [[1000,900],[1300,900],[1300,1100],[1000,1100]] } ]"#;

/// Every line by hand: underlayment of 1 m in two strips of 3 m, walls of 9.1 m from bars of 2.4 m, a bead of 8 × 6 along them
/// and 1 m round the post.
#[test]
fn everything_beside_tiles_is_counted_by_its_geometry() {
    let supplies = r#""supplies": [
        { "id": "mat", "use": "underlay", "width": 1000, "length": "15 m", "pack": { "kg": 6 } },
        { "id": "tape", "use": "tape", "length": "25 m" },
        { "id": "grout", "use": "grout", "depth": 8, "density": 1.6, "pack": { "holds": 5, "kg": 5.1 } },
        { "id": "bead", "use": "sealant", "depth": 6, "pack": { "holds": 0.3, "name": "tube" } },
        { "id": "strip", "use": "transition", "length": "2 m" },
        { "id": "shoe", "use": "trim", "length": "2.4 m", "kerf": 3 },
        { "id": "wedge", "use": "spacers", "rate": 3, "per": "wall_metre", "pack": { "holds": 20 } } ], "rooms""#;
    let good = sheet(SQUARE, BOUGHT).replacen("\"rooms\"", supplies, 1);
    let answer = json(&drylay(&["takeoff", "-"], &good));
    let line = |item: &str| {
        let mut lines = answer["lines"].as_array().expect("lines").iter();
        lines.find(|l| l["item"] == item).unwrap_or_else(|| panic!("no {item} in {answer:#}")).clone()
    };
    let mat = line("underlay");
    assert_eq!(
        (&mat["quantity"], &mat["unit"], &mat["packs"], &mat["kg"]),
        (&1.into(), &"roll".into(), &1.into(), &6.0.into())
    );
    // The seam at 1 m meets the post, and so lies in two stretches: 3 m less 0.3 m.
    assert_eq!((&mat["from"]["strips"], &mat["from"]["seams"]), (&2.into(), &2.into()));
    assert_eq!(mat["from"]["strips_m"], 6.0);
    assert!((mat["from"]["seams_m"].as_f64().expect("metres") - 2.7).abs() < 1e-9, "{mat:#}");
    assert_eq!(line("tape")["quantity"], 1);
    let plan = json(&drylay(&["plan", "-"], &good));
    let area = plan["areas"][0]["field_m2"].as_f64().expect("m²");
    let shoelace = |ring: &serde_json::Value| {
        let p: Vec<[f64; 2]> = serde_json::from_value(ring.clone()).expect("points");
        (0..p.len())
            .map(|i| {
                let (a, b) = (p[i], p[(i + 1) % p.len()]);
                a[0] * b[1] - b[0] * a[1]
            })
            .sum::<f64>()
            .abs()
            / 2e6
    };
    let pieces = plan["areas"][0]["pieces"].as_array().expect("pieces");
    let faces: f64 = pieces
        .iter()
        .map(|p| {
            let holes = p["holes"].as_array().map_or(0.0, |h| h.iter().map(shoelace).sum());
            shoelace(&p["outline"]) - holes
        })
        .sum();
    let grout = line("grout");
    let joints = grout["from"]["joints_m2"].as_f64().expect("m²");
    assert!((joints - (area - faces)).abs() < 1e-6, "{joints} for {}", area - faces);
    assert!((grout["quantity"].as_f64().expect("kg") - joints * 8.0 * 1.6).abs() < 1e-9);
    assert_eq!(grout["unit"], "kg");
    let bead = line("sealant");
    assert!((bead["from"]["edge_m"].as_f64().expect("metres") - 10.1).abs() < 1e-9, "{bead:#}");
    assert!((bead["quantity"].as_f64().expect("litres") - 10.1 * 8.0 * 6.0 / 1000.0).abs() < 1e-9);
    assert_eq!((&bead["packs"], &bead["pack"]), (&2.into(), &"tube".into()));
    let strip = line("transition");
    assert_eq!((&strip["quantity"], &strip["from"]["openings"]), (&1.into(), &1.into()));
    let shoe = line("trim");
    // 0.5, 1.6, 2, 3 and 2 m: 3 is joined from 2.4 and 0.6; 0.6 and 1.6, 0.5 alone or with it, two of 2.
    assert_eq!(
        (&shoe["quantity"], &shoe["from"]["joins"], &shoe["from"]["least"]),
        (&5.into(), &1.into(), &5.into())
    );
    assert_eq!((&line("spacers")["quantity"], &line("spacers")["packs"]), (&28.into(), &2.into()));
    let guess = answer["guess"]["lines"].as_array().expect("a list");
    assert!(
        guess.iter().any(|g| g["item"] == "trim" && g["quantity"] == 5),
        "10.01 m are five bars, too: {guess:#?}"
    );
    assert_eq!(answer["weight"]["kg"].as_f64().map(|kg| (kg * 10.0).round()), Some(111.0));
}

/// A hall of 6 m across the rows, joints at most 3 m apart, row 1 150 wide: the places between rows lie 151.5 + 303 n
/// from the gap. The one nearest to the middle leaves more than 3 m on one side, so two joints are needed.
#[test]
fn a_joint_between_rows_leaves_no_run_longer_than_allowed() {
    let hall = sheet("[[0,0],[2016,0],[2016,6016],[0,6016]]", "")
        .replace("\"kerf\": 2", "\"kerf\": 2, \"max_run\": \"3 m\"")
        .replace("\"first_row\": 300", "\"first_row\": 150");
    let plan = json(&drylay(&["plan", "-"], &hall));
    let joints = plan["areas"][0]["movement_joints"].as_array().expect("a list").clone();
    let mut at: Vec<f64> = joints.iter().filter_map(|j| j["line"][0][1].as_f64()).collect();
    assert!(at.iter().all(|y| ((y - 8.0 - 151.5) / 303.0).fract().abs() < 1e-9), "{joints:?}");
    at.extend([8.0, 6008.0]);
    at.sort_by(f64::total_cmp);
    assert_eq!(at.len(), 4);
    assert!(at.windows(2).all(|w| w[1] - w[0] <= 3000.0), "{at:?}");
    assert!(joints.iter().all(|j| j["reason"] == "run" && j["between_rows"] == true));
}

/// Rules with their source: figures of ANSI A108.02-2017 §4.3.8.1 and §4.3.8.2 and of the tile handbook's EJ171 of 2018,
/// as restated in the trade press, and a narrowest row of 2 in by common practice.
#[test]
fn every_rule_that_is_asked_tells_its_source_and_what_can_be_done() {
    let rules = r#""kerf": 2, "made": { "edges": "rectified", "warpage": "1/32\"" },
        "rules": { "rows": [ { "least": "2\"", "source": "common practice" } ],
            "movement": [ { "run": "25'", "width": "1/4\"", "source": "EJ171", "edition": "2018" },
                          { "run": "12'", "settings": ["sunlit"], "source": "EJ171", "edition": "2018" } ],
            "joint": [ { "least": "1/8\"", "plus_warpage": true, "side_over": "15\"", "edges": "rectified",
                         "offset_only": true, "source": "ANSI A108.02 §4.3.8.1", "edition": "2017" } ],
            "offset": [ { "most": "1/3", "side_over": "15\"", "source": "ANSI A108.02 §4.3.8.2", "edition": "2017" } ] }"#;
    // 24 ft along the rows: one joint at 12 ft where the sun comes in, none at 25 ft.
    let hall = "[[0,0],[7315.2,0],[7315.2,2172],[0,2172]]";
    let plan = |more: &str| {
        let asked =
            sheet(hall, more).replace("\"kerf\": 2", rules).replace("\"edge_gap\": 8", "\"edge_gap\": 0");
        json(&drylay(&["plan", "-"], &asked))["areas"][0].clone()
    };
    let shaded = plan("");
    assert_eq!(shaded["movement_joints"], serde_json::json!([]));
    assert_eq!(shaded["movement"]["run"], 7620.0);
    let sunlit = plan(", \"settings\": [\"sunlit\"]");
    assert_eq!(sunlit["movement_joints"].as_array().map(Vec::len), Some(1));
    let governs = &sunlit["movement"];
    assert_eq!((&governs["run"], &governs["width"]), (&3657.6.into(), &6.35.into()));
    assert_eq!((&governs["source"], &governs["edition"]), (&"EJ171".into(), &"2018".into()));
    let held: Vec<(&str, bool)> = shaded["rules"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|r| (r["rule"].as_str().expect("a word"), r["held"].as_bool().expect("a truth")))
        .collect();
    assert_eq!(held, [("rows", true), ("joint", false), ("offset", true)]);
    // Seven rows of 300 and seven joints of 3 take 2121 of 2172: the last row of 51 is just not under 2 in, 50.8.
    let breaches = shaded["breaches"].as_array().expect("a list");
    let joint = breaches.iter().find(|b| b["rule"] == "joint").expect("the joint of 3 is too narrow");
    assert_eq!((joint["value"].as_f64(), joint["limit"].as_f64()), (Some(3.0), Some(3.96875)));
    assert_eq!(joint["remedy"]["what"], "wider_joint");
    assert!(breaches.iter().all(|b| b["source"].is_string()));
}

/// A last row 197 wide, 141 of it in the open before a toe-kick: angled in at 20° it needs 8 + 197·sin 20° = 75.38.
#[test]
fn a_piece_that_cannot_be_engaged_is_a_breach_with_its_remedy() {
    let engagement = r#""kerf": 2, "thickness": 8, "engagement": { "long_tongue": "low", "short_tongue": "start",
        "long": ["angle", "slide"], "short": ["drop", "slide"], "angle_degrees": 20, "travel": 10, "shaved_travel": 3,
        "source": "its data sheet", "edition": "B" }"#;
    let plan = |height: f64| {
        let edge = format!(
            r#", "edges": [ {{ "wall": ["C","D"], "overhang": {{ "height": {height}, "depth": 64 }} }} ]"#
        );
        let kitchen = sheet("[[0,0],[1216,0],[1216,819],[0,819]]", &edge).replace("\"kerf\": 2", engagement);
        json(&drylay(&["plan", "-"], &kitchen))["areas"][0].clone()
    };
    let high = plan(76.0);
    assert_eq!(high["breaches"], serde_json::json!([]));
    let order: Vec<(&str, &str)> = high["laying"]["order"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|s| (s["piece"].as_str().expect("a name"), s["how"].as_str().expect("a word")))
        .collect();
    assert_eq!(order[..4], [("1-1", "placed"), ("1-2", "dropped"), ("1-3", "dropped"), ("2-1", "angled")]);
    assert_eq!(order.len(), high["pieces"].as_array().map_or(0, Vec::len));
    assert_eq!(high["laying"]["begins"], serde_json::json!({ "rows": "low", "ends": "start" }));
    assert_eq!(
        high["laying"]["rails"][0],
        serde_json::json!({ "room": "r", "wall": ["A","B"], "side": "low", "rail": "tongue" })
    );
    let low = plan(70.0);
    let trapped = low["breaches"].as_array().expect("a list");
    assert_eq!(trapped.len(), 3);
    assert_eq!((&trapped[1]["rule"], &trapped[1]["piece"]), (&"trapped".into(), &"3-2".into()));
    assert!((trapped[1]["limit"].as_f64().expect("a number") - 75.38).abs() < 0.01);
    assert_eq!((&trapped[1]["source"], &trapped[1]["edition"]), (&"its data sheet".into(), &"B".into()));
    assert_eq!(trapped[1]["under"]["wall"], serde_json::json!(["C", "D"]));
    let lips = serde_json::json!([{ "piece": "2-1", "side": "high" }, { "piece": "2-2", "side": "high" }]);
    assert_eq!((&trapped[1]["remedy"]["what"], &trapped[1]["remedy"]["lips"]), (&"shave".into(), &lips));
    // Rules beside the contract's have no part in what a plan is worth.
    for same in ["choice", "tiles", "pieces", "bound", "measures"] {
        assert_eq!(low[same], high[same]);
    }
}

#[test]
fn every_mistake_of_a_sheet_is_told_at_once() {
    let bad = sheet(
        SQUARE,
        r#", "colour": 1, "openings": [ { "id": "o", "wall": ["A", "C"], "start": "5", "width": -3 } ]"#,
    )
    .replace("\"joint\": 3", "\"joint\": -3")
    .replace("\"edge_gap\": 8", "\"edge_gap\": 1e300");
    refused(
        &bad,
        &[
            "products[0].joint",
            "products[0].edge_gap",
            "rooms[0].colour",
            "rooms[0].openings[0].start",
            "rooms[0].openings[0].width",
        ],
    );
}

#[test]
fn shapes_that_bound_no_floor_are_refused_with_their_place() {
    refused(&sheet("[[0,0],[3000,2000],[3000,0],[0,2000]]", ""), &["rooms[0].outline[0]", "A–B", "C–D"]);
    refused(&sheet("[[0,0],[0,2000],[3000,2000],[3000,0]]", ""), &["rooms[0].outline", "anticlockwise"]);
    refused(&sheet("[[0,0],[3000,0]]", ""), &["rooms[0].outline"]);
    refused(
        &sheet(SQUARE, r#", "keepouts": [ { "id": "k", "outline": [[0,0],[9,9],[9,0],[0,9]] } ]"#),
        &["rooms[0].keepouts[0].outline"],
    );
}

#[test]
fn a_forbidden_offset_and_impossible_figures_are_refused() {
    refused(
        &sheet(SQUARE, "").replace("\"offset\": \"1/3\"", "\"offset\": \"1/2\""),
        &["areas[0].layout.offset", "1/3"],
    );
    refused(
        &sheet(SQUARE, "").replace("\"first_row\": 300", "\"first_row\": 301"),
        &["areas[0].layout.first_row"],
    );
    refused(&sheet(SQUARE, "").replace("\"shift\": 400", "\"shift\": 0"), &["areas[0].layout.shift"]);
}

#[test]
fn far_too_much_is_refused_and_not_computed() {
    let corners: Vec<String> = (0..10_000).map(|i| format!("[{i},{}]", i * i)).collect();
    refused(&sheet(&format!("[{}]", corners.join(",")), ""), &["rooms[0].outline", "10000", "500"]);
    let output = drylay(&["plan", "-"], &sheet("[[0,0],[9e6,0],[9e6,9e6],[0,9e6]]", ""));
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
}

#[test]
fn what_is_no_sheet_at_all_is_refused() {
    for nothing in ["", "{", "[]", "null", "{\"drylay\": 2}", "\u{feff}{}", "{\"drylay\": 1, \"rooms\": 5}"] {
        refused(nothing, &[]);
    }
    let output = drylay(&["plan", "no/such/file.json"], "");
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("no/such/file.json"));
    assert_eq!(drylay(&["fly"], "").status.code(), Some(1));
}

#[test]
fn a_newer_sheet_is_read_with_a_warning() {
    let newer =
        sheet(SQUARE, r#", "smell": "paint""#).replace("\"drylay\": 1", "\"drylay\": 1, \"minor\": 9");
    let output = drylay(&["survey", "-"], &newer);
    assert_eq!(output.status.code(), Some(0));
    assert!(text(&output.stderr).contains("rooms[0].smell"));
}

#[test]
fn a_field_with_nothing_left_and_keep_outs_outside_are_told() {
    let tight = sheet("[[0,0],[3000,0],[3000,15],[0,15]]", "");
    let output = drylay(&["plan", "-"], &tight);
    assert_eq!((output.status.code(), text(&output.stdout).as_str()), (Some(2), ""));
    let outside =
        sheet(SQUARE, r#", "keepouts": [ { "id": "post", "outline": [[9000,0],[9100,0],[9100,100]] } ]"#);
    let output = drylay(&["plan", "-"], &outside);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("rooms[0].keepouts[0]"));
}

#[test]
fn a_room_read_with_the_trim_on_is_corrected_to_the_floors_edge_and_says_so() {
    // A 3 × 2 m room between 15 mm trims: 2970 × 1970 mm, diagonals √(2970² + 1970²) = 3563.959 mm.
    let readings = r#""corners": ["A", "B", "C", "D"], "tape": [ { "from": "A", "to": "B", "read": 2970 },
        { "from": "B", "to": "C", "read": 1970 }, { "from": "C", "to": "D", "read": 2970 },
        { "from": "D", "to": "A", "read": 1970 }, { "from": "A", "to": "C", "read": 3563.959 },
        { "from": "B", "to": "D", "read": 3563.959 } ], "measured": { "to": "trim", "thickness": 15 },
        "strings": [ { "wall": ["A", "B"], "offsets": [ { "along": 1500, "offset": 10 } ] } ],
        "located": [ { "id": "pipe", "what": "pipe", "wall": ["B", "A"], "along": 500, "away": 400, "diameter": 60 },
                     { "id": "hearth", "wall": ["C", "D"], "along": 1000, "away": 0, "size": { "along": 900, "away": 300 } },
                     { "id": "mark", "distances": [ { "corner": "A", "read": 1000 }, { "corner": "D", "read": 1000 } ], "side": "left" } ]"#;
    let trimmed = sheet(SQUARE, "").replace(&format!("\"outline\": {SQUARE}"), readings);
    let survey = &json(&drylay(&["survey", "-"], &trimmed))["rooms"][0];
    let number = |v: &serde_json::Value| v.as_f64().expect("a number");
    assert!((number(&survey["corners"]["C"]["at"][0]) - 3000.0).abs() < 0.01, "{survey:#}");
    assert!((number(&survey["readings"][1]["corrected"]) - 2000.0).abs() < 0.01);
    assert_eq!((&survey["good_for"], &survey["verdict"]), (&"quote".into(), &"consistent".into()));
    assert!(survey["may_order"].as_str().is_some_and(|words| words.contains("breakage")));
    assert_eq!(survey["lacks"], serde_json::json!(["readings to the bare walls"]));
    let advice = survey["advice"].to_string();
    assert!(advice.contains("Measured with the trim on: A–B, B–C"), "{advice}");
    // The bow adds half its 10 mm over 3 m to 6 m².
    assert!((number(&survey["area_m2"]) - 6.015).abs() < 1e-4, "{}", survey["area_m2"]);
    assert!((number(&survey["strings"][0]["points"][0][1]) + 10.0).abs() < 0.01);
    let place = |k: usize| (number(&survey["located"][k]["at"][0]), number(&survey["located"][k]["at"][1]));
    let near = |p: (f64, f64), x: f64, y: f64| (p.0 - x).abs() < 0.01 && (p.1 - y).abs() < 0.01;
    assert!(near(place(0), 2500.0, 400.0) && near(place(1), 2000.0, 2000.0), "{survey:#}");
    // Half of the 2 m from A to D, and √(1000² − 1000²) = 0 away from that wall.
    assert!(near(place(2), 0.0, 1000.0), "{:?}", place(2));
    assert_eq!(survey["located"][1]["outline"].as_array().map(Vec::len), Some(4));
    assert_eq!(survey["located"][2].get("outline"), None, "a point has no outline");
    let plan = json(&drylay(&["plan", "-"], &trimmed));
    // The field: 2984 × 1984 mm, the triangle of the bow less its corners' gaps, less the hearth with its gap.
    let field = number(&plan["areas"][0]["field_m2"]);
    let pipe = std::f64::consts::PI * 38.0 * 38.0 / 1e6;
    let want = 2.984 * 1.984 + 0.015 - 0.916 * 0.300 - pipe;
    assert!((field - want).abs() < 1e-3, "{field} {want}");
    assert!(plan["areas"][0]["notes"].to_string().contains("quote"), "{}", plan["areas"][0]["notes"]);
}

/// A sheet of one room of 3 × 2 m with these corners and readings.
fn read_room(corners: &str, tape: &[(&str, &str, &str)]) -> String {
    let reading = |(from, to, read): &(&str, &str, &str)| {
        format!(r#"{{ "from": "{from}", "to": "{to}", "read": {read} }}"#)
    };
    let tape: Vec<String> = tape.iter().map(reading).collect();
    format!(
        r#"{{ "drylay": 1, "rooms": [ {{ "id": "r", "corners": [{corners}], "tape": [ {} ] }} ] }}"#,
        tape.join(", ")
    )
}

const FOUR: &str = r#""A", "B", "C", "D""#;
const WALLS: [(&str, &str, &str); 4] =
    [("A", "B", "3000"), ("B", "C", "2000"), ("C", "D", "3000"), ("D", "A", "2000")];

#[test]
fn readings_that_make_no_sense_are_refused_with_their_place() {
    let with = |n: usize, reading: (&'static str, &'static str, &'static str)| {
        let mut tape = WALLS;
        tape[n] = reading;
        read_room(FOUR, &tape)
    };
    refused(&with(0, ("A", "B", "0")), &["rooms[0].tape[0].read"]);
    refused(&with(1, ("B", "C", "-2000")), &["rooms[0].tape[1].read"]);
    refused(&with(2, ("C", "D", "\"3000\"")), &["rooms[0].tape[2].read"]);
    refused(&with(3, ("D", "D", "2000")), &["rooms[0].tape[3]"]);
    refused(&with(3, ("D", "Q", "2000")), &["rooms[0].tape[3].to", "Q"]);
    refused(&with(0, ("A", "B", "1e400")), &["number out of range"]);
    refused(&with(0, ("A", "B", "NaN")), &["line 1"]);
    refused(&with(0, ("A", "B", "7001")), &["rooms[0].tape[0].read", "longer than all other walls"]);
    refused(&read_room(r#""A", "B", "C", "B""#, &WALLS[..2]), &["rooms[0].corners[3]"]);
    let many: Vec<String> = (0..501).map(|n| format!("\"c{n}\"")).collect();
    refused(&read_room(&many.join(","), &[]), &["rooms[0].corners", "500"]);
}

#[test]
fn two_readings_of_one_wall_a_foot_apart_are_told_and_nothing_is_cut_by_them() {
    let across = "3605.6"; // √(3000² + 2000²) = 3605.551
    let mut tape = WALLS.to_vec();
    tape.extend([("A", "C", across), ("B", "D", across), ("B", "A", "3304.8")]);
    let room = &json(&drylay(&["survey", "-"], &read_room(FOUR, &tape)))["rooms"][0];
    assert_eq!((&room["verdict"], &room["good_for"]), (&"recheck".into(), &"nothing".into()));
    assert_eq!(room["readings"][6]["suspect"], true);
    let said = room["readings"][6]["others_say"]["value"].as_f64().expect("a value");
    assert!((said - 3000.0).abs() < 1.0, "{said}");
    // Without a diagonal only right angles tell them apart: the likelier one is named, and not accused.
    tape.drain(4..6);
    let room = &json(&drylay(&["survey", "-"], &read_room(FOUR, &tape)))["rooms"][0];
    assert_eq!(room["verdict"], "recheck", "{room:#}");
    assert_eq!(room["readings"][4]["suspect"], false);
    assert!(room["advice"].to_string().contains("B–A fits the rest worst"), "{}", room["advice"]);
}

#[test]
fn five_hundred_corners_and_no_reading_are_answered_at_once() {
    let many: Vec<String> = (0..500).map(|n| format!("\"c{n}\"")).collect();
    // One by one they would take hours.
    let room =
        &json(&drylay(&["survey", "-"], &read_room(&many.join(","), &[("c0", "c1", "1000")])))["rooms"][0];
    assert_eq!(room["verdict"], "unsolvable");
    assert_eq!(room["missing"].as_array().map(Vec::len), Some(499));
}

/// Four rooms of 3 × 3 m round a crossing of 100 mm walls, with a door between each two; one door marked `off` mm from
/// its place.
fn round_a_crossing(off: i32) -> String {
    let room = |id: &str, openings: String| {
        format!(
            r#"{{ "id": "{id}", "outline": [[0,0],[3000,0],[3000,3000],[0,3000]], "openings": [ {openings} ] }}"#
        )
    };
    let door = |id: &str, wall: [&str; 2], start: i32| {
        format!(
            r#"{{ "id": "{id}", "wall": ["{}","{}"], "start": {start}, "width": 900 }}"#,
            wall[0], wall[1]
        )
    };
    let doors = |a: String, b: String| format!("{a}, {b}");
    let rooms = [
        room("nw", doors(door("e", ["B", "C"], 1000 + off), door("s", ["C", "D"], 1100))),
        room("ne", doors(door("w", ["D", "A"], 1100), door("s", ["C", "D"], 1100))),
        room("se", doors(door("n", ["A", "B"], 1000), door("w", ["D", "A"], 1100))),
        room("sw", doors(door("n", ["A", "B"], 1000), door("e", ["B", "C"], 1000))),
    ];
    let join = |a: [&str; 2], b: [&str; 2]| {
        format!(r#"{{ "a": ["{}","{}"], "b": ["{}","{}"], "depth": 100 }}"#, a[0], a[1], b[0], b[1])
    };
    let passages = [
        join(["nw", "e"], ["ne", "w"]),
        join(["ne", "s"], ["se", "n"]),
        join(["se", "w"], ["sw", "e"]),
        join(["sw", "n"], ["nw", "s"]),
    ];
    format!(
        r#"{{ "drylay": 1, "products": [ {{ "id": "p", "face": {{ "length": 600, "width": 300 }}, "joint": 3,
        "edge_gap": 8, "kerf": 2, "offsets": ["1/3"] }} ], "rooms": [ {} ], "passages": [ {} ],
        "areas": [ {{ "id": "a", "rooms": ["nw", "ne", "se", "sw"], "product": "p",
        "layout": {{ "along": 0, "offset": "1/3", "first_row": 300, "shift": 400 }} }} ] }}"#,
        rooms.join(","),
        passages.join(",")
    )
}

#[test]
fn rooms_round_a_crossing_close_and_a_door_marked_wrong_is_spread_and_told() {
    let number = |v: &serde_json::Value| v.as_f64().expect("a number");
    let close = json(&drylay(&["survey", "-"], &round_a_crossing(0)));
    let floor = &close["floors"][0];
    assert!(number(&floor["loops"][0]["misclosure"]) < 1e-6, "{floor:#}");
    for (room, want) in [(1, [3100.0, 0.0]), (2, [3100.0, 3100.0]), (3, [0.0, 3100.0])] {
        for (k, want) in want.iter().enumerate() {
            assert!((number(&floor["rooms"][room]["at"][k]) - want).abs() < 1e-6, "{floor:#}");
        }
    }
    let plan = json(&drylay(&["plan", "-"], &round_a_crossing(0)));
    assert_eq!(plan["areas"][0].get("notes"), None);
    // Four rooms less their gaps and four doorways of 0.9 m less two gaps, 116 mm deep from gap to gap.
    let want = 4.0 * 2.984 * 2.984 + 4.0 * 0.884 * 0.116;
    assert!((number(&plan["areas"][0]["field_m2"]) - want).abs() < 1e-6, "{}", plan["areas"][0]["field_m2"]);

    let off = json(&drylay(&["survey", "-"], &round_a_crossing(20)));
    let floor = &off["floors"][0];
    assert!((number(&floor["loops"][0]["misclosure"]) - 20.0).abs() < 1e-6, "{floor:#}");
    let passages = floor["passages"].as_array().expect("a list");
    let worst = passages.iter().flat_map(|p| [&p["miss"][0], &p["miss"][1]]).map(|m| number(m).abs());
    assert!(worst.fold(0.0, f64::max) < 15.0, "the miss is spread over the loop: {floor:#}");
    let plan = json(&drylay(&["plan", "-"], &round_a_crossing(20)));
    let notes = plan["areas"][0]["notes"].to_string();
    assert!(notes.contains("field.passage_loop") && notes.contains("20.0"), "{notes}");
}

#[test]
fn a_thing_that_is_nowhere_on_the_floor_is_told_at_its_place() {
    let gone =
        r#", "located": [ { "id": "pipe", "wall": ["A","B"], "along": 9000, "away": 400, "diameter": 60 } ]"#;
    let output = drylay(&["plan", "-"], &sheet(SQUARE, gone));
    assert!(text(&output.stderr).contains("rooms[0].located[0]"), "{}", text(&output.stderr));
    let trim = r#", "measured": { "to": "trim" }"#;
    refused(&sheet(SQUARE, trim), &["rooms[0].measured.thickness"]);
}

#[test]
fn help_teaches_and_the_schema_is_a_schema() {
    let help = drylay(&["--help"], "");
    assert_eq!(help.status.code(), Some(0));
    assert!(text(&help.stdout).contains("drylay demo here"));
    assert_eq!(json(&drylay(&["schema"], ""))["type"], "object");
}

#[test]
fn the_demo_is_written_and_planned_in_words() {
    let dir = std::env::temp_dir().join(format!("drylay-demo-{}", std::process::id()));
    let dir_text = dir.to_str().expect("a path");
    assert_eq!(drylay(&["demo", dir_text], "").status.code(), Some(0));
    let path = dir.join("demo.json");
    let survey = drylay(&["survey", path.to_str().expect("a path"), "--words"], "");
    assert_eq!(survey.status.code(), Some(0));
    assert!(text(&survey.stdout).contains("Kitchen"));
    std::fs::remove_dir_all(&dir).expect("it was made");
}

/// Instructions written to ASTM F1869-04 (33.0 g to 38.0 g in 72 h under 0.44874 ft²: 8.19), ASTM F2170 §10.1 and §10.2
/// (3 holes, 40 % of the depth), and the span table's figures: SPF No. 2, 2x10 at 16 in, 40/10 psf.
#[test]
fn what_carries_a_floor_is_answered_with_its_sources() {
    let base = r#", "base": { "layers": [ { "what": "floating" }, { "what": "slab_on_grade", "sound": true } ], "slab": { "thickness": "4\"" },
        "moisture": [ { "method": "calcium_chloride", "grams": [33.0, 38.0], "area_cm2": 416.893, "hours": 72, "service_hours": 48,
                        "celsius": 21, "air_percent": 50 },
                      { "method": "in_situ", "percent": 80 } ],
        "structure": { "span": "15' 4\"", "spacing": "16\"", "size": "2x10", "species": "spruce-pine-fir-no2", "live_psf": 40, "dead_psf": 10 } }"#;
    let asks = r#""kerf": 2, "base": { "moisture": { "emission": 3, "humidity_percent": 85, "source": "data sheet" },
        "deflection": [ { "ratio": 360, "under": "live", "source": "AWC span tables" } ] }"#;
    let text = sheet(SQUARE, base)
        .replace("\"kerf\": 2", asks)
        .replace("\"drylay\": 1", "\"drylay\": 1, \"job\": { \"built\": 1975 }");
    let answer = json(&drylay(&["subfloor", "-"], &text));
    let room = &answer["rooms"][0];
    assert_eq!(room["verdict"], "stop");
    let tests = room["moisture"].as_array().expect("a list");
    let emission = tests.iter().find(|m| m["method"] == "calcium_chloride").expect("dishes");
    assert_eq!(
        (&emission["verdict"], &emission["asked"], &emission["limit_source"]),
        (&"fail".into(), &3.into(), &"data sheet".into())
    );
    assert!((emission["highest"].as_f64().expect("a figure") - 8.19).abs() < 0.005);
    let holes = tests.iter().find(|m| m["method"] == "in_situ").expect("holes");
    assert_eq!(holes["verdict"], "unsure");
    assert!((holes["hole_depth"].as_f64().expect("a figure") - 40.64).abs() < 1e-9);
    assert_eq!(
        holes["tests"][0]["unsaid"],
        serde_json::json!(["hours", "service_hours", "calibrated_days", "depth"])
    );
    assert_eq!(room["layers"][0]["fate"], "comes_up");
    let limit = &room["structure"]["limits"][0];
    assert_eq!((&limit["held"], &limit["source"]), (&true.into(), &"AWC span tables".into()));
    let longest = room["structure"]["longest_span"].as_f64().expect("a span") / 25.4;
    assert_eq!(longest.round(), 15.0 * 12.0 + 5.0);
    let hazards: Vec<&str> =
        room["hazards"].as_array().expect("a list").iter().filter_map(|h| h["hazard"].as_str()).collect();
    assert_eq!(hazards, ["asbestos", "lead", "heating", "post_tension"]);
    let words = text_of(&drylay(&["subfloor", "-", "--words"], &text));
    assert!(
        words.contains("Asbestos is presumed present: built 1975") && words.contains("29 CFR 1926.1101"),
        "{words}"
    );
}

fn text_of(output: &Output) -> String {
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout)
}

/// Common practice for transitions; 2010 ADA 303 for changes of level.
#[test]
fn heights_of_two_rooms_meet_at_their_passage() {
    let two = r#"{ "drylay": 1, "units": "imperial",
      "products": [ { "id": "thin", "face": { "length": 600, "width": 300 }, "thickness": "3/8\"", "edge_gap": "1/4\"", "offsets": ["1/3"] },
                    { "id": "thick", "face": { "length": 300, "width": 300 }, "thickness": "3/8\"", "edge_gap": "1/4\"", "offsets": ["0"], "interlock": false } ],
      "underlays": [ { "id": "mat", "thickness": "1/8\"" } ],
      "rooms": [ { "id": "hall", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]],
                   "openings": [ { "id": "to-bath", "wall": ["A","B"], "start": 500, "width": "30\"", "door": { "clearance": "3/4\"", "gap": "3/8\"" } },
                                 { "id": "out", "wall": ["C","D"], "start": 500, "width": 900, "next": { "floor": "carpet", "height": "3/4\"" } } ],
                   "fixtures": [ { "id": "dw", "what": "dishwasher", "height": "34 1/4\"", "least": "34\"" } ] },
                 { "id": "bath", "outline": [[0,0],[2000,0],[2000,2000],[0,2000]], "base": { "build_up": [ { "name": "board", "thickness": "1/2\"" } ] },
                   "openings": [ { "id": "to-hall", "wall": ["C","D"], "start": 500, "width": "30\"" } ] } ],
      "passages": [ { "a": ["hall","to-bath"], "b": ["bath","to-hall"], "depth": 100 } ],
      "areas": [ { "id": "dry", "rooms": ["hall"], "product": "thin", "underlay": "mat" }, { "id": "wet", "rooms": ["bath"], "product": "thick" } ] }"#;
    let answer = json(&drylay(&["heights", "-"], two));
    let (hall, bath) = (&answer["rooms"][0], &answer["rooms"][1]);
    let inches = |value: &serde_json::Value| value.as_f64().expect("a length") / 25.4;
    assert!((inches(&hall["stack"]) - 0.5).abs() < 1e-9 && (inches(&bath["stack"]) - 0.875).abs() < 1e-9);
    let door = &hall["openings"][0];
    assert_eq!((&door["transition"], &door["over"]), (&"ramp_or_end".into(), &"bevel".into()));
    assert!((inches(&door["rise"]) - 0.375).abs() < 1e-9 && (inches(&door["run"]) - 0.25).abs() < 1e-9);
    assert!(
        (inches(&door["length"]) - 30.0).abs() < 1e-9 && (inches(&door["door"]["cut"]) - 0.125).abs() < 1e-9
    );
    assert!((inches(&bath["openings"][0]["rise"]) + 0.375).abs() < 1e-9);
    assert_eq!(hall["openings"][1]["transition"], "butt_carpet");
    assert_eq!(hall["limit"]["of"], "dw");
    assert!((inches(&hall["limit"]["spare"]) + 0.25).abs() < 1e-9);
}

/// EJ171 and ANSI A108.02 §4.4.1, as the trade press restates them: a movement joint over every structural joint.
#[test]
fn an_isolation_joint_of_the_slab_is_asked_for_in_the_plan() {
    let seam = r#", "base": { "seams": [ { "id": "iso", "what": "isolation", "line": [[0, 1100], [3000, 1100]] },
                                         { "id": "hair", "what": "crack", "line": [[0, 300], [900, 300]] } ] }"#;
    let carry = r#""kerf": 2, "base": { "carry": [ { "what": "isolation", "source": "EJ171", "edition": "2018" } ] }"#;
    let plan = json(&drylay(&["plan", "-"], &sheet(SQUARE, seam).replace("\"kerf\": 2", carry)));
    let joints = plan["areas"][0]["movement_joints"].as_array().expect("a list");
    assert_eq!(joints.len(), 1, "{joints:?}");
    assert_eq!(
        (&joints[0]["reason"], &joints[0]["line"]),
        (&"base".into(), &serde_json::json!([[0.0, 1100.0], [3000.0, 1100.0]]))
    );
    let notes = plan["areas"][0]["notes"].to_string();
    assert!(notes.contains("base.seam_uncovered") && !notes.contains("hair"), "{notes}");
}
