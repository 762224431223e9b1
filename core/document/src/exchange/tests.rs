//! A sheet goes into documents and comes out again saying the same.

use super::*;
use crate::tests::{minute, person, tape};
use crate::{Actor, Document, Kind, UndoStack};
use std::collections::BTreeMap;

const SHEET: &str = r#"{ "drylay": 1,
  "job": { "name": "Garden flat", "client": "A client", "site": "Up the hill", "built": 1962, "day": "2026-03-14",
           "call": { "access": "Stairs, two turns", "parking": "In the lane", "lift": false, "pets": "A cat", "hours": "8 to 5",
                     "house_rules": "Quiet after noon", "sound_rating": "IIC 50", "permits": "none needed", "existing_damage": "Sill cracked",
                     "delivery": "By the gate", "storage": "Garage", "moving": "The client", "appliances": "Gas stove: a licensed fitter" } },
  "units": "imperial",
  "rates": { "breakage": 0.03, "attic": 0.055 },
  "products": [
    { "id": "grey", "name": "Grey tile", "face": { "length": 596, "width": "11 11/16\"" }, "thickness": 8.5,
      "joint": 2.5, "joint_depth": 7, "edge_gap": "1/4\"", "kerf": 2.4, "interlock": true, "offsets": ["1/3", "1/2"],
      "min_row_width": 60, "min_end_length": 180, "max_run": "60'",
      "made": { "edges": "rectified", "variation": 0.4, "warpage": "1/32\"" },
      "rules": { "rows": [ { "least": "2\"", "source": "common practice" } ],
                 "movement": [ { "run": "25'", "width": "1/4\"", "source": "tile handbook EJ171", "edition": "2018" },
                               { "run": "12'", "settings": ["sunlit", "exterior"], "source": "tile handbook EJ171", "edition": "2018",
                                 "widths": [ { "run": "8'", "width": "3/8\"" } ], "warmth": { "over": 100, "each": 15, "add": "1/16\"" } } ],
                 "gap": [ { "least": "1/4\"", "source": "NALFA article" } ],
                 "instructions": [ { "say": "Cut the baseboard back from the casing.", "source": "NALFA article" } ],
                 "joint": [ { "least": "1/8\"", "variations": 3.0, "plus_warpage": true, "side_over": "15\"", "edges": "rectified",
                              "offset_only": true, "source": "ANSI A108.02", "edition": "2017" } ],
                 "offset": [ { "most": "1/3", "side_over": "15\"", "source": "ANSI A108.02", "edition": "2017" } ] },
      "engagement": { "long_tongue": "low", "short_tongue": "start", "long": ["angle", "slide"], "short": ["drop"],
                      "angle_degrees": 20.0, "lift": 10, "travel": "3/8\"", "shaved_travel": 3, "chips": { "long": "2\"", "short": 25 }, "source": "data sheet", "edition": "B" },
      "clearance": "1/8\"", "min_neck": 30, "tools": [ { "cut": "rip", "tool": "wet_saw", "source": "data sheet" } ],
      "carton": { "tiles": 7, "price": "38.20", "kg": 24.5 },
      "base": { "floats": true, "weight_psf": 4.5,
                "moisture": { "humidity_percent": 85, "emission": 5, "wood_percent": 12, "wood_difference": 4, "days": 30, "source": "data sheet", "edition": "B" },
                "over": [ { "what": "cushioned_vinyl", "may": false, "source": "data sheet" } ],
                "deflection": [ { "ratio": 360, "under": "live", "source": "handbook" }, { "ratio": 360, "under": "point", "pounds": 300, "source": "handbook" } ],
                "underlay": { "need": "required", "attached": false, "most_thickness": 3, "most_compression": 0.5, "source": "data sheet" },
                "sheathing": { "least": "5/8\"", "most_step": "1/32\"", "fixing": "screwed", "source": "handbook", "edition": "2009" },
                "carry": [ { "what": "isolation", "within": "1/4\"", "source": "EJ171" } ] },
      "flatness": [ { "gap": "3/16\"", "span": "10'", "sides": "both" }, { "gap": 3, "span": "2 m", "sides": "dips" } ] } ],
  "compounds": [ { "id": "deep", "name": "Deep fill", "way": "pour", "bag_litres": 4.5, "bag_price": "31.40", "bag_kg": 25.0, "least": 3, "most": "5/8\"",
                   "pot_life_minutes": 20, "mix_minutes": 6.5, "bags_in_mix": 2, "walk_hours": 4, "cover_hours": 24,
                   "primer": { "litres_per_m2": 0.15, "hours": 3 }, "over_wood": { "least": "3/8\"", "needs": "mesh" }, "source": "data sheet" },
                 { "id": "skim", "name": "Skim", "way": "trowel", "bag_litres": 3, "most": 6, "pot_life_minutes": 15,
                   "mix_minutes": 5, "bags_in_mix": 1, "up_to_m2": 1.5 } ],
  "underlays": [ { "id": "mat", "name": "Thin mat", "thickness": "1/8\"", "compression": 0.4, "allowed": ["grey"], "source": "data sheet" } ],
  "supplies": [ { "id": "cork", "name": "Cork strip", "use": "underlay", "with": ["grey"], "width": "1 m", "length": "50'",
                  "pack": { "name": "roll", "kg": 14.0, "price": "49.00" }, "source": "data sheet" },
                { "id": "film", "name": "Film", "use": "film", "width": 2000, "length": "25 m", "lap": "8\"", "waste": 0.05 },
                { "id": "joint-grey", "name": "Grout", "use": "grout", "density": 1.6, "depth": 8, "pack": { "holds": 5.0, "name": "bag" } },
                { "id": "profile", "name": "T strip", "use": "transition", "length": "8'", "kerf": "3/32\"", "extra_length": "1/4\"" },
                { "id": "wedges", "name": "Wedges", "use": "spacers", "rate": 3.5, "per": "wall_metre" } ],
  "rooms": [
    { "id": "kitchen", "name": "Kitchen", "corners": ["A", "B", "C", "D", "E", "F"],
      "tape": [ { "from": "A", "to": "B", "read": "12' 3 1/2\"", "sd": "1/16\"" }, { "from": "B", "to": "C", "read": 2500 },
                { "from": "C", "to": "D", "read": "4 ft" }, { "from": "D", "to": "E", "read": "90.5 cm" },
                { "from": "E", "to": "F", "read": 2527.3 }, { "from": "F", "to": "A", "read": 3405 },
                { "from": "A", "to": "C", "read": "4.5 m", "measured_to": "wall", "height": "1 m" } ],
      "instrument": "laser", "measured": { "to": "trim", "thickness": "5/8\"", "height": "4\"" },
      "strings": [ { "wall": ["B","C"], "offsets": [ { "along": 800, "offset": -4 },
                                                    { "along": "5'", "offset": "1/4\"", "sd": 0.5 } ] } ],
      "located": [ { "id": "column", "what": "post", "distances": [ { "corner": "A", "read": "5'" },
                       { "corner": "B", "read": 2700 } ], "side": "right", "diameter": "4 1/2\"" },
                   { "id": "flue", "wall": ["B","A"], "along": "2'", "away": 0, "size": { "along": 300, "away": "8\"" } } ],
      "square": [ "A", { "corner": "C", "sd_degrees": 0.1 } ],
      "turns": { "D": "out" },
      "keepouts": [ { "id": "island", "outline": [[1200,1000],[2400,1000],["2.4 m",1600],[1200,1600]], "overhang": { "height": "3 1/2\"", "depth": 60 } } ],
      "openings": [ { "id": "door", "wall": ["A","B"], "start": "2'", "width": "32\"", "reach": "2 1/4\"", "jambs": { "height": 11, "depth": "1/2\"" },
                      "next": { "floor": "carpet", "height": "3/4\"", "base": -3 }, "door": { "clearance": "1 1/8\"", "gap": 10, "rated": true, "stays": true } } ],
      "base": { "layers": [ { "what": "cushioned_vinyl", "thickness": 2, "fixing": "glued", "sound": false, "notes": "lifting" }, { "what": "slab_on_grade" } ],
                "build_up": [ { "name": "board", "thickness": "1/4\"" } ], "slab": { "thickness": "4\"", "drying": "both" },
                "moisture": [ { "method": "in_situ", "way": "astm-f2170-2018", "at": [900, "4'"], "percent": 78.5, "hours": 26, "depth": "1 5/8\"", "service_hours": 50,
                                "celsius": 21, "air_percent": 45, "day": "2026-03-01", "calibrated": "2026-02-20" },
                              { "method": "calcium_chloride", "grams": [33.0, 38.0], "area_cm2": 416.9, "hours": 72 },
                              { "method": "wood", "percent": 9, "of": "product" } ],
                "structure": { "span": "12'", "bearing": "3 1/2\"", "spacing": "16\"", "size": "2x10", "width": 38, "depth": 235, "species": "spruce-pine-fir-no2",
                               "e_psi": 1400000.0, "fb_psi": 1100, "live_psf": 40, "dead_psf": 10, "new_psf": 5.5, "sheathing": "3/4\"", "fixing": "glued and screwed", "step": 0.5, "notes": "bridged" },
                "seams": [ { "id": "cut", "what": "saw_cut", "line": [[0, 1000], ["3 m", 1000]], "width": 4, "step": 0, "notes": "filled" } ],
                "hazards": [ { "hazard": "asbestos", "known": "absent", "basis": "laboratory 12" }, { "hazard": "heating", "known": "unknown" } ],
                "work": ["grind", "drill"] },
      "fixtures": [ { "id": "dishwasher", "what": "dishwasher", "name": "Dishwasher", "at": [200, 300], "height": "34 1/2\"", "least": "34\"", "most": 900, "source": "its sheet" },
                    { "id": "stair", "what": "riser_up", "height": 180, "others": 178, "differ": "3/8\"" },
                    { "id": "stove", "what": "heavy", "psf": 40, "stands": "base" } ],
      "edges": [ { "wall": ["B","C"], "gap": 10, "trim_covers": 15, "overhang": { "height": 90, "depth": 70 } } ], "settings": ["sunlit", "suspended"], "yearly_range": 115.5,
      "level": { "sd": 1.5, "standards": ["din-18202-row-4", "bs-8204-sr1"],
        "readings": [ { "id": "p10", "at": [300, 300], "rod": "45 1/8\"", "setup": "s1" },
                      { "id": "p2", "at": [900, 300], "rod": 1146.5, "setup": "s1" },
                      { "id": "p2", "at": [900, 300], "rod": 1200, "setup": "s2" } ],
        "straightedge": [ { "from": [300,300], "to": [2100,300], "gap": 3.5 } ],
        "lines": [ { "id": "L1", "spacing": "12\"", "heights": [418.617, 419.938] } ],
        "correction": { "fill_cost": 1, "grind_cost": 4.25, "grind": true, "margin": 1, "mixers": 2 } } },
    { "id": "hall", "name": "Hall", "corners": ["A", "B", "C", "D"],
      "outline": [[0,0],[3000,0],[3000,1200],[0,1200]],
      "openings": [ { "id": "arch", "wall": ["C","D"], "start": 500, "width": "32\"" } ] } ],
  "passages": [ { "a": ["kitchen","door"], "b": ["hall","arch"], "depth": "4 1/2\"" } ],
  "areas": [ { "id": "main", "rooms": ["kitchen", "hall"], "product": "grey", "underlay": "mat",
               "layout": { "along": ["A","B"], "offset": "1/3", "order": "alternating", "first_row": 280, "shift": "8\"",
                           "margin": 5, "edges_at": [ { "wall": ["E","F"], "whole_row": true } ],
                           "prefer": { "start": ["B","C"],
                             "centre": { "at": [1200, "4'"], "rows": "joint", "tiles": "tile" },
                             "doorways": { "least": "8\"", "at": [ ["kitchen","door"] ] },
                             "sight_line": { "from": ["hall","arch"], "least": 200 } }, "slide": true },
               "measured_pitch": { "ten_tiles": "5.983 m", "ten_rows": 2990 },
               "laid": [ { "row": 5, "at_start": "47 1/4\"", "at_end": 1202 }, { "row": 9, "at_start": 2398 } ] },
             { "id": "rest", "rooms": ["hall"], "product": "grey", "layout": { "along": 12.5,
               "prefer": { "centre": { "on": ["hall","arch"], "rows": "best" }, "doorways": { "least": 150 } } } } ],
  "quote": { "currency": "USD", "discount_percent": 2.5, "tax_percent": 8.25, "deposit_percent": 40.0, "signed_at": "home",
    "work": [ { "task": "demolish", "name": "Old tile", "quantity": 12.5, "unit": "m2", "kg_each": 22.0 } ],
    "hidden": [ { "name": "Rotten board", "unit": "piece", "price": "60", "likely": 0.0, "bad": 6.0, "reading_settles": true } ],
    "lines": [ { "name": "Doors cut", "quantity": 3.0, "unit": "piece", "price": "45.50" } ],
    "variants": [ { "id": "bare", "name": "Without the hall", "areas": ["main"], "discount_percent": 0.0 },
                  { "id": "blue", "name": "In blue", "product": "grey", "lines": [ { "name": "Sample", "quantity": 1.0, "unit": "piece", "price": "12.00" } ] } ] } }"#;

/// A job's document and its rooms' by link, made of a sheet.
struct Job {
    job: Document,
    rooms: BTreeMap<ItemId, Document>,
}

fn taken_in(text: &str) -> (Sheet, Job) {
    let sheet = Sheet::read(text).unwrap().sheet;
    let mut n = 0;
    let new = from_sheet(&sheet, || {
        n += 1;
        DocumentId([n; 16])
    });
    let mut job = Document::create(Kind::Job, DocumentId([100; 16]), Actor([1; 16]));
    job.apply_all(&new.job, &person(1), minute(0)).unwrap();
    let links: BTreeMap<DocumentId, ItemId> =
        JobView::read(&job).unwrap().rooms.live.into_iter().map(|h| (h.value.document, h.id)).collect();
    let mut rooms = BTreeMap::new();
    for (id, edits) in new.rooms {
        let mut room = Document::create(Kind::Room, id, Actor([2; 16]));
        room.apply_all(&edits, &person(1), minute(0)).unwrap();
        rooms.insert(links[&id].clone(), room);
    }
    (sheet, Job { job, rooms })
}

fn exported(job: &Job, layouts: Layouts) -> Exported {
    let views: BTreeMap<_, _> =
        job.rooms.iter().map(|(id, d)| (id.clone(), RoomView::read(d).unwrap())).collect();
    to_sheet(&JobView::read(&job.job).unwrap(), |id| views.get(id), layouts, None)
}

fn json(sheet: &Sheet) -> serde_json::Value {
    serde_json::to_value(sheet).unwrap()
}

#[test]
fn a_sheet_comes_out_of_documents_as_it_went_in() {
    let (sheet, job) = taken_in(SHEET);
    let out = exported(&job, Layouts::Wished);
    assert_eq!(out.left_out, []);
    assert_eq!(json(&out.sheet), json(&sheet));
    // And what comes out is a sheet that reads.
    assert_eq!(Sheet::read(&json(&out.sheet).to_string()).unwrap().sheet, out.sheet);
}

/// Adds the names of all properties that a part of a schema describes.
fn described(schema: &serde_json::Value, names: &mut std::collections::BTreeSet<String>) {
    match schema {
        serde_json::Value::Object(parts) => {
            if let Some(serde_json::Value::Object(properties)) = parts.get("properties") {
                names.extend(properties.keys().cloned());
            }
            parts.values().for_each(|part| described(part, names));
        }
        serde_json::Value::Array(parts) => parts.iter().for_each(|part| described(part, names)),
        _ => {}
    }
}

/// Adds the names of all fields of a value.
fn written(value: &serde_json::Value, names: &mut std::collections::BTreeSet<String>) {
    match value {
        serde_json::Value::Object(fields) => {
            for (name, field) in fields {
                names.insert(name.clone());
                written(field, names);
            }
        }
        serde_json::Value::Array(items) => items.iter().for_each(|item| written(item, names)),
        _ => {}
    }
}

#[test]
fn no_field_of_the_sheet_is_left_out_of_what_goes_in_and_comes_out() {
    let (mut known, mut tried) = Default::default();
    described(&crate::sheet::schema(), &mut known);
    written(&serde_json::from_str(SHEET).unwrap(), &mut tried);
    // The sheet's own version is no fact of a job.
    let left: Vec<&String> = known.difference(&tried).filter(|name| *name != "minor").collect();
    assert_eq!(left, Vec::<&String>::new(), "add them to the sheet above");
}

#[test]
fn every_place_of_the_sheet_leads_back_to_its_reading() {
    let (_, job) = taken_in(SHEET);
    let out = exported(&job, Layouts::Wished);
    let kitchen = RoomView::read(&job.rooms[&"kitchen".into()]).unwrap();
    for (id, reading) in out.rooms[0].tape.iter().zip(&out.sheet.rooms[0].tape) {
        assert_eq!(kitchen.tape.get(id).unwrap().value.read.text(), reading.read.text());
    }
    assert_eq!(
        out.rooms[0].corners.iter().map(ItemId::as_str).collect::<Vec<_>>(),
        ["A", "B", "C", "D", "E", "F"]
    );
    let rods: Vec<_> = out.rooms[0].rods.iter().map(ItemId::as_str).collect();
    assert_eq!(rods, ["rod-0001", "rod-0002", "rod-0003"]);
}

#[test]
fn a_corrected_reading_takes_the_place_of_the_old_one() {
    let (_, mut job) = taken_in(SHEET);
    let kitchen = job.rooms.get_mut(&"kitchen".into()).unwrap();
    let better = crate::TapeReading { listed: Some(1), ..tape("A", "B", "12' 2 1/2\"") };
    kitchen.apply(&Edit::<RoomEntry>::correct("new", better, "tape-0001"), &person(2), minute(1)).unwrap();
    let out = exported(&job, Layouts::Wished);
    assert_eq!((out.rooms[0].tape[0].as_str(), out.rooms[0].tape.len()), ("new", 7));
    assert_eq!(out.sheet.rooms[0].tape[0].read.text(), "12' 2 1/2\"");
}

#[test]
fn what_was_typed_on_a_keypad_without_its_unit_is_not_mistaken_for_millimetres() {
    use drylay_geometry::length::BareUnit;
    let inches = TypedLength::parse_in("147", BareUnit::Inches).unwrap();
    assert_eq!(measure(&inches).length.nanometres(), 147 * 25_400_000);
    let Written::Number(n) = measure(&inches).written else {
        panic!("a bare number has no unit in trade notation")
    };
    assert_eq!(n.as_f64(), Some(3733.8));
    let millimetres = TypedLength::parse_in("3746.5", BareUnit::Millimetres).unwrap();
    assert_eq!(measure(&millimetres).text(), "3746.5");
}

#[test]
fn what_names_nothing_is_left_out_and_listed() {
    let (_, mut job) = taken_in(SHEET);
    let kitchen = job.rooms.get_mut(&"kitchen".into()).unwrap();
    let mut stack = UndoStack::default();
    let withdraw =
        Edit::<RoomEntry>::Withdraw { table: <crate::Corner as crate::Entry>::TABLE, id: "C".into() };
    stack.did(&kitchen.apply(&withdraw, &person(1), minute(1)).unwrap());
    let out = exported(&job, Layouts::Wished);
    let lost: Vec<_> = out.left_out.iter().map(|l| (l.table.name, l.id.as_str(), l.why)).collect();
    let gone = Reason::NamesNothing;
    let expected = [
        ("tape", "tape-0002", gone),
        ("tape", "tape-0003", gone),
        ("tape", "tape-0007", gone),
        ("squares", "square-0002", gone),
        ("strings", "string-0001", gone),
        ("strings", "string-0002", gone),
        ("edges", "edge-0001", gone),
    ];
    assert_eq!(lost, expected);
    job.rooms.remove(&"hall".into());
    let out = exported(&job, Layouts::Wished);
    let lost: Vec<_> = out.left_out.iter().filter(|l| l.room.is_none()).map(|l| l.table.name).collect();
    assert_eq!(lost, ["rooms", "passages", "areas", "areas"]);
}

#[test]
fn an_opening_whose_wall_got_a_corner_in_between_is_left_out() {
    let (_, mut job) = taken_in(SHEET);
    let hall = job.rooms.get_mut(&"hall".into()).unwrap();
    let view = RoomView::read(hall).unwrap();
    let place = |id: &str| view.corners.get(&id.into()).unwrap().value.place.clone();
    let between = crate::Place::between(Some(&place("C")), Some(&place("D")), "x");
    let at = view.corners.live[2].value.at.clone();
    let bay = crate::Corner { name: "X".into(), place: between, turn: crate::Turn::In, at };
    hall.apply(&Edit::<RoomEntry>::add("x", bay), &person(1), minute(1)).unwrap();
    let out = exported(&job, Layouts::Wished);
    let lost: Vec<_> = out.left_out.iter().map(|l| (l.id.as_str(), l.why)).collect();
    assert_eq!(lost, [("arch", Reason::NotAWall), ("passage-001", Reason::NamesNothing)]);
}

#[test]
fn a_corner_checked_square_twice_stands_once() {
    let (_, mut job) = taken_in(SHEET);
    let kitchen = job.rooms.get_mut(&"kitchen".into()).unwrap();
    let again = crate::SquareCheck { corner: "A".into(), sd_degrees: None, listed: None };
    kitchen.apply(&Edit::<RoomEntry>::add("again", again), &person(2), minute(1)).unwrap();
    let out = exported(&job, Layouts::Wished);
    assert_eq!(
        out.left_out.iter().map(|l| (l.id.as_str(), l.why)).collect::<Vec<_>>(),
        [("again", Reason::Twice)]
    );
    assert!(Sheet::read(&json(&out.sheet).to_string()).is_ok());
}

#[test]
fn two_corners_of_one_name_are_told_apart() {
    let (_, mut job) = taken_in(SHEET);
    let hall = job.rooms.get_mut(&"hall".into()).unwrap();
    let second = crate::Corner {
        name: "A".into(),
        place: crate::Place::nth(9, "x"),
        turn: crate::Turn::In,
        at: Some(crate::At {
            x: TypedLength::new("0", Length::ZERO),
            y: TypedLength::new("600", Length::from_mm(600)),
        }),
    };
    hall.apply(&Edit::<RoomEntry>::add("x", second), &person(1), minute(1)).unwrap();
    let names = exported(&job, Layouts::Wished).sheet.rooms[1].corners.clone();
    assert_eq!(names.iter().map(ToString::to_string).collect::<Vec<_>>(), ["A", "B", "C", "D", "A~x"]);
}

#[test]
fn an_accepted_choice_fixes_the_layout() {
    let (_, mut job) = taken_in(SHEET);
    let choice = crate::Choice {
        area: "rest".into(),
        degrees: crate::Decimal::parse("90").unwrap(),
        wall: vec!["B".into(), "C".into()],
        wall_room: Some("hall".into()),
        offset: "1/2".into(),
        order: crate::Order::Stepped,
        first_row: TypedLength::parse("200 mm").unwrap(),
        shift: TypedLength::parse("8\"").unwrap(),
        from_row: None,
    };
    job.job.apply(&Edit::<JobEntry>::add("c1", choice), &person(1), minute(1)).unwrap();
    let layout = json(&exported(&job, Layouts::Accepted).sheet)["areas"][1]["layout"].clone();
    let expected = serde_json::json!({ "along": ["B", "C"], "offset": "1/2", "order": "stepped",
                                       "first_row": "200 mm", "shift": "8\"",
                                       "prefer": { "centre": { "on": ["hall", "arch"], "rows": "best" },
                                                   "doorways": { "least": 150 } } });
    assert_eq!(layout, expected);
    assert_eq!(json(&exported(&job, Layouts::Wished).sheet)["areas"][1]["layout"]["along"], 12.5);
}
