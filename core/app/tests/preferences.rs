//! What a layout keeps to besides the rules: whole rows at pinned walls, the wall to start from, a place to be
//! centred on. The rooms are small enough to work the figures out on paper.

use drylay_app::answers::{PlanAnswer, plan};
use serde_json::{Value, json};

/// A room 2400 by `depth` of 600 × 300 tile with joints of 3, gaps of nought.
fn planned(depth: f64, layout: &Value) -> PlanAnswer {
    let sheet = json!({
        "drylay": 1,
        "products": [ { "id": "p", "face": { "length": 600, "width": 300 }, "joint": 3, "edge_gap": 0, "kerf": 2,
                        "interlock": true, "offsets": ["1/2"], "carton": { "tiles": 5 } } ],
        "rooms": [ { "id": "r", "outline": [[0,0],[2400,0],[2400,depth],[0,depth]],
                     "openings": [ { "id": "door", "wall": ["A","B"], "start": 800, "width": 800 } ],
                     "keepouts": [ { "id": "post", "outline": [[1100,700],[1300,700],[1300,900],[1100,900]] } ] } ],
        "areas": [ { "id": "a", "rooms": ["r"], "product": "p", "layout": layout } ] });
    let read = drylay_app::read_sheet(&sheet.to_string()).expect("a sheet");
    plan(&read.sheet, &mut || true).expect("a plan")
}

fn notes(answer: &PlanAnswer) -> Vec<(String, String)> {
    answer.areas[0].notes.iter().map(|n| (n.code.clone(), n.place.clone())).collect()
}

fn pins(walls: &[[&str; 2]]) -> Value {
    let pins: Vec<Value> = walls.iter().map(|w| json!({ "wall": w, "whole_row": true })).collect();
    json!({ "edges_at": pins })
}

#[test]
fn whole_rows_at_two_walls_where_the_room_allows_it() {
    // Five rows and four joints: 5 × 300 + 4 × 3 = 1512.
    let both = planned(1512.0, &pins(&[["A", "B"], ["C", "D"]]));
    assert_eq!(notes(&both), []);
    assert!(both.areas[0].rows.iter().all(|row| row.width == 300.0), "{:?}", both.areas[0].rows.len());
    // 100 more, and one of them has to give way; which one is said.
    let one = planned(1612.0, &pins(&[["A", "B"], ["C", "D"]]));
    assert_eq!(notes(&one).len(), 1);
    let widths: Vec<f64> = one.areas[0].rows.iter().map(|row| row.width).collect();
    assert!([widths[0], widths[widths.len() - 1]].contains(&300.0), "{widths:?}");
}

#[test]
fn a_pinned_wall_across_the_rows_is_named_as_missed() {
    // Rows along A–B keep A–B and C–D; B–C is across.
    let answer = planned(1512.0, &pins(&[["B", "C"], ["A", "B"], ["C", "D"]]));
    let missed = ("layout.no_whole_row".to_owned(), "areas[0].layout.edges_at[0].wall".to_owned());
    assert_eq!(notes(&answer), [missed]);
}

#[test]
fn rows_start_at_the_wall_that_is_wished() {
    let answer = planned(1512.0, &json!({ "prefer": { "start": ["C", "D"] } }));
    let choice = serde_json::to_value(&answer.areas[0].choice).expect("json");
    assert_eq!(choice["along"], json!(["C", "D"]));
    assert_eq!(choice["angle_degrees"], 180.0);
}

#[test]
fn a_tile_or_a_joint_lies_at_the_centre() {
    for (rows, tiles) in [("tile", "tile"), ("tile", "joint"), ("joint", "tile"), ("joint", "joint")] {
        let centre = json!({ "at": [1200, 800], "rows": rows, "tiles": tiles });
        let answer = planned(1600.0, &json!({ "along": ["A", "B"], "prefer": { "centre": centre } }));
        assert_eq!(notes(&answer), [], "{rows} {tiles}");
        // The middle of a tile is in the middle of a piece; 2 mm beside the middle of a joint a piece ends.
        let found = answer.areas[0].pieces.iter().any(|piece| {
            let side = |axis: usize| {
                let at = piece.outline.iter().map(|p| p[axis]);
                (at.clone().fold(f64::MAX, f64::min), at.fold(f64::MIN, f64::max))
            };
            let fits = |(lo, hi): (f64, f64), centre: f64, half: f64, what: &str| match what {
                "tile" => ((lo + hi) / 2.0 - centre).abs() < 1e-6 && ((hi - lo) / 2.0 - half).abs() < 1e-6,
                _ => (hi + 1.5 - centre).abs() < 1e-6,
            };
            fits(side(0), 1200.0, 300.0, tiles) && fits(side(1), 800.0, 150.0, rows)
        });
        assert!(found, "{rows} {tiles}: {:?}", serde_json::to_string(&answer.areas[0].choice));
    }
}

#[test]
fn no_short_cut_in_a_doorway_and_along_the_line_of_sight() {
    // Rows of 1600: 300 + 4 × 303 = 1512 and 85 are left of it; the door is in A–B, the line of sight ends at the post.
    let layout =
        |prefer: &Value| json!({ "along": ["A", "B"], "first_row": 50, "shift": 500, "prefer": prefer });
    let told = |answer: &PlanAnswer| -> Vec<(&'static str, Option<String>, f64, f64)> {
        let breaches = answer.areas[0].breaches.iter();
        breaches.map(|b| (b.rule, b.piece.clone(), b.value, b.limit)).collect()
    };
    let doorways = planned(1600.0, &layout(&json!({ "doorways": { "least": 100 } })));
    let pieces = ["1-2", "1-3"].map(|piece| ("doorway", Some(piece.to_owned()), 50.0, 100.0));
    assert_eq!(told(&doorways), pieces);
    let sight = json!({ "sight_line": { "from": ["r", "door"], "least": 100 } });
    let fixed = planned(1600.0, &layout(&sight));
    assert_eq!(told(&fixed), [("sight_line", Some("1-3".to_owned()), 50.0, 100.0)]);
    let at = serde_json::to_value(&fixed.areas[0].breaches[0]).expect("json");
    assert_eq!(at["at"], json!({ "room": "r", "opening": "door" }));
    // Left to the search, both are kept.
    let both =
        json!({ "doorways": { "least": 100, "at": [["r", "door"]] }, "sight_line": sight["sight_line"] });
    let best = planned(1600.0, &json!({ "prefer": both }));
    assert_eq!(told(&best), []);
}

#[test]
fn a_layout_is_centred_on_what_stands_there() {
    let on = |at: &Value| json!({ "along": ["A", "B"], "prefer": { "centre": at } });
    let choice =
        |layout: &Value| serde_json::to_value(&planned(1600.0, layout).areas[0].choice).expect("json");
    // The post's middle is at 1200, 800; the door's at 1200, 0.
    let post = json!({ "on": ["r", "post"], "rows": "tile", "tiles": "joint" });
    let point = json!({ "at": [1200, 800], "rows": "tile", "tiles": "joint" });
    assert_eq!(choice(&on(&post)), choice(&on(&point)));
    let door = json!({ "on": ["r", "door"], "tiles": "joint" });
    let point = json!({ "at": [1200, 0], "tiles": "joint" });
    assert_eq!(choice(&on(&door)), choice(&on(&point)));
}

#[test]
fn preferences_that_lead_nowhere_are_told_with_their_place() {
    let sheet = json!({ "drylay": 1,
        "products": [ { "id": "p", "face": { "length": 600, "width": 300 }, "offsets": ["1/2"] } ],
        "rooms": [ { "id": "r", "outline": [[0,0],[2400,0],[2400,1600],[0,1600]] },
                   { "id": "s", "outline": [[0,0],[2400,0],[2400,1600],[0,1600]] } ],
        "areas": [ { "id": "a", "rooms": ["r"], "product": "p", "layout": { "prefer": {
            "doorways": { "least": 100, "at": [["r", "door"]] },
            "sight_line": { "from": ["s", "door"], "least": 100 },
            "centre": { "on": ["r", "stove"], "at": [1, 2] } } } } ] });
    let found = drylay_app::read_sheet(&sheet.to_string()).expect_err("three mistakes");
    let told: Vec<(&str, &str)> = found.iter().map(|p| (p.code.as_str(), p.place.as_str())).collect();
    let place = "areas[0].layout.prefer";
    for (code, at) in [
        ("sheet.unknown_opening", "doorways.at[0][1]"),
        ("layout.not_in_area", "sight_line.from[0]"),
        ("layout.centre_how", "centre"),
        ("layout.unknown_thing", "centre.on[1]"),
    ] {
        assert!(told.contains(&(code, &format!("{place}.{at}"))), "{code} at {at}: {told:?}");
    }
}
