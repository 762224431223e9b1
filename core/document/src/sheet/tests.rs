//! The reader against the schema, and against sheets with mistakes.

use super::*;
use drylay_geometry::Length;
use serde_json::json;

const SMALL: &str = r#"{ "drylay": 1, "units": "imperial",
  "products": [ { "id": "slab", "face": { "length": 600, "width": "11 3/4\"" }, "joint": 2.5, "offsets": ["1/3", "2/6"] } ],
  "rooms": [ { "id": "den", "corners": ["A", "B", "C", "D"],
     "tape": [ { "from": "A", "to": "B", "read": "12' 3 1/2\"", "sd": "1/16\"" } ],
     "square": [ "A", { "corner": "B", "sd_degrees": 0.1 } ], "turns": { "C": "in" } } ],
  "areas": [ { "id": "main", "rooms": ["den"], "product": "slab", "layout": { "along": ["B", "A"], "shift": 200 } } ] }"#;

/// The mistakes of a sheet as `code at place`.
fn mistakes(text: &str) -> Vec<String> {
    match Sheet::read(text) {
        Ok(_) => Vec::new(),
        Err(problems) => problems.iter().map(|p| format!("{} at {}", p.code, p.place)).collect(),
    }
}

fn changed(change: impl FnOnce(&mut Value)) -> String {
    let mut value: Value = serde_json::from_str(SMALL).expect("json");
    change(&mut value);
    value.to_string()
}

#[test]
fn a_sheet_reads_and_writes_back_what_was_written() {
    let read = Sheet::read(SMALL).expect("a sheet");
    assert_eq!(read.warnings, []);
    assert_eq!(read.sheet.rooms[0].tape[0].read.length, Length::parse("147 1/2\"").expect("a length"));
    let again: Value = serde_json::from_str(&read.sheet.write()).expect("json");
    assert_eq!(again["rooms"][0]["tape"][0]["read"], json!("12' 3 1/2\""));
    assert_eq!(again["products"][0]["joint"], json!(2.5));
    assert_eq!(Sheet::read(&read.sheet.write()).expect("a sheet").sheet, read.sheet);
}

#[test]
fn every_mistake_is_listed_with_its_place() {
    let text = changed(|v| {
        v["rooms"][0]["tape"][0]["read"] = json!("12 3");
        v["rooms"][0]["tape"][0]["colour"] = json!("red");
        v["products"][0]["joint"] = json!(-1);
        v["products"][0]["face"]["length"] = json!(1e300);
        v["areas"][0]["layout"]["offset"] = json!("3/2");
        v["rooms"][0]["keepouts"] = json!([{ "id": "post" }]);
    });
    assert_eq!(
        mistakes(&text),
        [
            "length.too_long at products[0].face.length",
            "length.negative at products[0].joint",
            "length.unit_missing at rooms[0].tape[0].read",
            "sheet.unknown_field at rooms[0].tape[0].colour",
            "sheet.missing at rooms[0].keepouts[0].outline",
            "sheet.fraction at areas[0].layout.offset",
        ],
        "that the area's product could not be read is not told a second time"
    );
}

#[test]
fn names_that_lead_nowhere_and_names_used_twice() {
    let text = changed(|v| {
        v["rooms"][0]["tape"][0]["to"] = json!("Q");
        v["rooms"][0]["corners"][3] = json!("B");
        v["areas"][0]["rooms"][0] = json!("attic");
        v["passages"] = json!([{ "a": ["den", "door"], "b": ["hall", "door"], "depth": 100 }]);
    });
    assert_eq!(
        mistakes(&text),
        [
            "sheet.same_name at rooms[0].corners[3]",
            "room.unknown_corner at rooms[0].tape[0].to",
            "sheet.unknown_opening at passages[0].a[1]",
            "sheet.unknown_room at passages[0].b[0]",
            "sheet.unknown_room at areas[0].rooms[0]",
        ]
    );
}

#[test]
fn what_was_measured_beside_the_corners_is_read_and_its_mistakes_are_placed() {
    let good = changed(|v| {
        v["rooms"][0]["instrument"] = json!("laser");
        v["rooms"][0]["measured"] = json!({ "to": "plate", "thickness": "5/8\"", "height": 50 });
        v["rooms"][0]["tape"][0]["measured_to"] = json!("wall");
        v["rooms"][0]["tape"][0]["height"] = json!("4'");
        v["rooms"][0]["strings"] =
            json!([{ "wall": ["D", "A"], "offsets": [{ "along": "3'", "offset": -3 }] }]);
        v["rooms"][0]["located"] = json!([
            { "id": "pipe", "what": "pipe", "wall": ["B", "A"], "along": 300, "away": "4\"", "diameter": 60 },
            { "id": "mark", "distances": [{ "corner": "A", "read": 900 }, { "corner": "C", "read": "9'" }], "side": "left" },
        ]);
    });
    let read = Sheet::read(&good).expect("a sheet").sheet;
    let room = &read.rooms[0];
    assert_eq!(room.instrument, Some(Instrument::Laser));
    assert_eq!(room.measured.as_ref().map(|m| m.to), Some(Touched::Plate));
    assert_eq!(room.tape[0].measured_to, Some(Touched::Wall));
    assert_eq!(room.strings[0].offsets[0].offset.length, -Length::from_mm(3));
    assert_eq!(room.located[0].what, Some(Thing::Pipe));
    assert_eq!(Sheet::read(&read.write()).expect("a sheet").sheet, read);
    let bad = changed(|v| {
        v["rooms"][0]["instrument"] = json!("stick");
        v["rooms"][0]["measured"] = json!({ "to": "skirt", "height": -1 });
        v["rooms"][0]["strings"] =
            json!([{ "wall": ["D", "A"], "offsets": [{ "along": 0, "offset": "3" }] }]);
        v["rooms"][0]["located"] = json!([{ "id": "pipe", "distances": [{ "corner": "A", "read": 1 }] }]);
    });
    assert_eq!(
        mistakes(&bad),
        [
            "sheet.word at rooms[0].instrument",
            "sheet.word at rooms[0].measured.to",
            "length.negative at rooms[0].measured.height",
            "length.not_positive at rooms[0].strings[0].offsets[0].along",
            "length.unit_missing at rooms[0].strings[0].offsets[0].offset",
            "sheet.count at rooms[0].located[0].distances",
            "located.how at rooms[0].located[0]",
        ]
    );
}

#[test]
fn what_is_asked_with_a_source_is_read_and_its_mistakes_are_placed() {
    let bad = changed(|v| {
        v["products"][0]["made"] = json!({ "edges": "sawn" });
        v["products"][0]["rules"] =
            json!({ "rows": [{ "least": "2\"" }], "movement": [{ "run": 0, "source": "x" }] });
        v["products"][0]["engagement"] = json!({ "long_tongue": "start", "short_tongue": "start", "long": ["angle"],
            "short": [], "angle_degrees": 95, "source": "its data sheet" });
        v["rooms"][0]["edges"] = json!([{ "wall": ["A", "B"], "overhang": { "height": 90 } }]);
        v["rooms"][0]["settings"] = json!(["sunlit", "noisy"]);
    });
    assert_eq!(
        mistakes(&bad),
        [
            "sheet.word at products[0].made.edges",
            "sheet.missing at products[0].rules.rows[0].source",
            "length.not_positive at products[0].rules.movement[0].run",
            "sheet.word at products[0].engagement.long_tongue",
            "engagement.angle at products[0].engagement.angle_degrees",
            "sheet.missing at rooms[0].edges[0].overhang.depth",
            "sheet.word at rooms[0].settings[1]",
        ]
    );
    let incomplete = changed(|v| {
        v["products"][0]["engagement"] = json!({ "long_tongue": "low", "short_tongue": "start",
            "long": ["angle", "slide"], "short": [], "source": "its data sheet" });
    });
    assert_eq!(
        mistakes(&incomplete),
        [
            "sheet.missing at products[0].thickness",
            "sheet.missing at products[0].engagement.short[0]",
            "sheet.missing at products[0].engagement.angle_degrees",
            "sheet.missing at products[0].engagement.travel",
        ]
    );
}

#[test]
fn things_that_are_placed_twice_or_nowhere_are_told() {
    let bad = changed(|v| {
        v["rooms"][0]["measured"] = json!({ "to": "trim" });
        v["rooms"][0]["strings"] = json!([{ "wall": ["A", "C"], "offsets": [] }]);
        let both = json!([{ "corner": "A", "read": 1 }, { "corner": "Q", "read": 1 }]);
        v["rooms"][0]["located"] = json!([
            { "id": "one", "distances": both, "wall": ["A", "B"], "along": 1, "away": 1 },
            { "id": "two", "wall": ["A", "C"], "along": 1, "away": 1, "diameter": 9, "size": { "along": 1, "away": 1 } },
            { "id": "two", "wall": ["B", "A"], "along": 1 },
        ]);
    });
    assert_eq!(
        mistakes(&bad),
        [
            "sheet.same_name at rooms[0].located[2].id",
            "located.how at rooms[0].located[0]",
            "room.unknown_corner at rooms[0].located[0].distances[1].corner",
            "located.two_sizes at rooms[0].located[1]",
            "room.not_a_wall at rooms[0].located[1].wall",
            "located.how at rooms[0].located[2]",
            "room.no_thickness at rooms[0].measured.thickness",
            "room.not_a_wall at rooms[0].strings[0].wall",
        ]
    );
}

/// What is counted by a rule needs the rule, and what is cut needs its length.
#[test]
fn supplies_and_quotes_are_read_and_their_mistakes_are_placed() {
    let bad = changed(|v| {
        v["products"][0]["carton"] = json!({ "tiles": 7, "price": "38,20", "kg": -1 });
        v["supplies"] = json!([
            { "id": "slab", "use": "film" },
            { "id": "blade", "use": "blade", "pack": { "holds": 0 } },
            { "id": "bead", "use": "sealant", "with": ["slap"] },
            { "id": "bead", "use": "glue" },
            { "id": "bead", "use": "trim", "waste": 2 },
        ]);
        v["job"] = json!({ "built": "old", "call": { "lift": "yes", "lock_codes": "4711" } });
        v["quote"] = json!({ "tax_percent": 101, "hidden": [{ "name": "Board", "unit": "piece", "price": "6", "likely": 2, "bad": 1 }],
            "work": [{ "task": "demolish", "quantity": -3, "unit": "m2" }], "variants": [{ "id": "x", "name": "X", "areas": ["hall"], "product": "slap" }] });
    });
    assert_eq!(
        mistakes(&bad),
        [
            "sheet.kind at job.built",
            "sheet.kind at job.call.lift",
            "sheet.unknown_field at job.call.lock_codes",
            "sheet.money at products[0].carton.price",
            "sheet.amount at products[0].carton.kg",
            "sheet.above_nought at supplies[1].pack.holds",
            "sheet.word at supplies[3].use",
            "sheet.share at supplies[4].waste",
            "sheet.percent at quote.tax_percent",
            "sheet.amount at quote.work[0].quantity",
            "sheet.same_name at supplies[3].id",
            "sheet.same_name at supplies[0].id",
            "sheet.missing at supplies[0].width",
            "sheet.missing at supplies[0].length",
            "sheet.missing at supplies[1].rate",
            "sheet.missing at supplies[1].per",
            "sheet.missing at supplies[2].depth",
            "sheet.missing at supplies[3].length",
            "sheet.unknown_area at quote.variants[0].areas[0]",
            "quote.bad_below_likely at quote.hidden[0].bad",
        ],
        "products were spoilt, so that none is unknown"
    );
}

#[test]
fn an_offset_the_product_forbids_is_refused() {
    let text = changed(|v| v["areas"][0]["layout"]["offset"] = json!("1/2"));
    assert_eq!(mistakes(&text), ["layout.forbidden_offset at areas[0].layout.offset"]);
}

#[test]
fn rows_may_run_along_a_wall_either_way_but_openings_are_named_in_walking_order() {
    let text = changed(|v| {
        v["rooms"][0]["openings"] = json!([{ "id": "door", "wall": ["B", "A"], "start": 0, "width": 800 }]);
        v["areas"][0]["layout"]["along"] = json!(["A", "C"]);
    });
    assert_eq!(
        mistakes(&text),
        ["room.wall_reversed at rooms[0].openings[0].wall", "room.not_a_wall at areas[0].layout.along"]
    );
}

#[test]
fn limits_are_told_before_anything_is_built() {
    let text = changed(|v| {
        v["rooms"][0]["outline"] = Value::Array((0..10_000).map(|i| json!([i, i * i])).collect());
    });
    assert_eq!(mistakes(&text), ["limit.corners at rooms[0].outline"]);
    let text = changed(|v| {
        let tape = v["rooms"][0]["tape"][0].clone();
        v["rooms"][0]["tape"] = Value::Array(vec![tape; 5001]);
    });
    assert_eq!(mistakes(&text), ["limit.readings at rooms"]);
}

#[test]
fn a_newer_minor_keeps_what_it_does_not_know() {
    let text = changed(|v| {
        v["minor"] = json!(7);
        v["rooms"][0]["smell"] = json!({ "of": "paint" });
    });
    let read = Sheet::read(&text).expect("a sheet");
    assert_eq!(read.warnings, [Problem::new("sheet.newer_field", "rooms[0].smell")]);
    let again: Value = serde_json::from_str(&read.sheet.write()).expect("json");
    assert_eq!(again["rooms"][0]["smell"]["of"], json!("paint"));
}

#[test]
fn text_that_is_no_json_is_told_with_line_and_column() {
    let problems = Sheet::read("{ \"drylay\": 1,\n  oops }").expect_err("no json");
    assert_eq!((problems[0].code.as_str(), problems[0].params["line"].as_str()), ("sheet.not_json", "2"));
    assert_eq!(mistakes("[]"), ["sheet.kind at "]);
    assert_eq!(mistakes("{\"drylay\": 2}"), ["sheet.version at drylay"]);
    assert_eq!(mistakes("{\"drylay\": 1e400}"), ["sheet.not_json at "]);
}

#[test]
fn fractions_are_in_lowest_terms() {
    assert_eq!(Fraction::parse("2/6"), Fraction::parse("1/3"));
    assert_eq!(Fraction::parse("0"), Some(Fraction { num: 0, den: 1 }));
    for bad in ["1", "3/2", "1/0", "-1/2", "", "1/3/4", "1/101"] {
        assert_eq!(Fraction::parse(bad), None, "{bad}");
    }
}

#[test]
fn a_fraction_of_a_vast_denominator_is_refused_before_it_is_reckoned_with() {
    // Four thousand million divisors were tried for each of these; a thousand of them would take hours.
    for n in 1..=1000_u32 {
        assert_eq!(Fraction::parse(&format!("{n}/{}", u32::MAX - n)), None);
    }
}

/// Builds a value that has every property the schema allows, taking the last alternative where there are several.
fn fullest(schema: &Value, root: &Value) -> Value {
    if let Some(path) = schema.get("$ref").and_then(Value::as_str) {
        let name = path.trim_start_matches("#/$defs/");
        return fullest(&root["$defs"][name], root);
    }
    if let Some(options) = schema.get("anyOf").or(schema.get("oneOf")).and_then(Value::as_array) {
        let real = options.iter().rfind(|o| o.get("type") != Some(&json!("null")));
        return fullest(real.expect("an alternative"), root);
    }
    if let Some(word) = schema.get("const") {
        return word.clone();
    }
    if let Some(words) = schema.get("enum").and_then(Value::as_array) {
        return words[0].clone();
    }
    let kind = schema["type"].as_str().or(schema["type"][0].as_str()).unwrap_or_default();
    match kind {
        "object" => {
            let known = schema.get("properties").and_then(Value::as_object).cloned().unwrap_or_default();
            Value::Object(known.iter().map(|(k, v)| (k.clone(), fullest(v, root))).collect())
        }
        "array" => {
            let n = schema.get("minItems").and_then(Value::as_u64).unwrap_or(1);
            Value::Array((0..n).map(|_| fullest(&schema["items"], root)).collect())
        }
        "string" => json!("48 mm"),
        "boolean" => json!(true),
        _ => json!(1),
    }
}

#[test]
fn the_reader_knows_every_field_of_the_schema_and_no_other() {
    let schema = schema();
    let mut full = fullest(&schema, &schema);
    full["minor"] = json!(MINOR);
    let unknown: Vec<String> =
        mistakes(&full.to_string()).into_iter().filter(|m| m.starts_with("sheet.unknown_field")).collect();
    assert_eq!(unknown, Vec::<String>::new());
    let count = |v: &Value| v.to_string().matches('{').count();
    assert!(count(&full) > 20, "the schema reaches every object: {full}");
    // A field that no schema has is a mistake in every object.
    let mut strange = full.clone();
    let mut objects = 0;
    estrange(&mut strange, &mut objects);
    let told = mistakes(&strange.to_string()).iter().filter(|m| m.contains("strange")).count();
    assert_eq!(told, objects, "{:#?}", mistakes(&strange.to_string()));
}

fn estrange(value: &mut Value, objects: &mut usize) {
    match value {
        Value::Object(map) => {
            map.values_mut().for_each(|v| estrange(v, objects));
            map.insert("strange".to_owned(), json!(true));
            *objects += 1;
        }
        Value::Array(items) => items.iter_mut().for_each(|v| estrange(v, objects)),
        _ => {}
    }
}
