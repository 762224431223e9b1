//! What a quote and an order have beside the plan, typed on the phone: work, hidden things, lines, variants, supplies.

use crate::stage::{Place, call, text};
use crate::work::{Clock, MORNING, given_out, open};
use drylay_app::Session;
use serde_json::{Value, json};

fn put(session: &Session, command: &str, job: &str, of: &str, id: Option<&str>, fields: Value) -> Value {
    let mut edit = json!({ "do": "put", "of": of, "fields": fields });
    if let Some(id) = id {
        edit["id"] = json!(id);
    }
    call(session, command, json!({ "job": job, "edit": edit }))
}
fn take_out(session: &Session, command: &str, job: &str, of: &str, id: &str) -> Value {
    call(session, command, json!({ "job": job, "edit": { "do": "take_out", "of": of, "id": id } }))
}
fn refused(session: &Session, command: &str, job: &str, of: &str, fields: Value) -> (String, String) {
    let ask = json!({ "job": job, "edit": { "do": "put", "of": of, "fields": fields } });
    let problem = session.call(command, ask).expect_err("refused");
    (problem.code.clone(), problem.place)
}
fn line<'v>(quote: &'v Value, name: &str) -> &'v Value {
    let lines = quote["lines"].as_array().expect("lines");
    lines.iter().find(|line| line["name"] == name).unwrap_or_else(|| panic!("no {name} in {quote}"))
}
fn of<'v>(view: &'v Value, kind: &str) -> Vec<&'v Value> {
    view["entries"].as_array().expect("entries").iter().filter(|one| one["of"] == kind).collect()
}

#[test]
fn what_no_plan_yields_is_typed_changed_and_taken_out() {
    let place = Place::new("money-beside");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, _) = given_out(&session);
    call(
        &session,
        "books.read",
        json!({ "what": "rates", "text": "task,unit,per_hour,hourly\ndemolish,m2,2.5,58\nlay,m2,2,60\n" }),
    );
    let tear = json!({ "name": "Old plank out", "rate_name": "demolish", "quantity": "12,5", "unit": "m2", "kg_each": "9.2" });
    let quote = put(&session, "quote.entry", &job, "task", None, tear);
    // 12.5 m² at 2.5 m² an hour are five hours, at 58.
    assert!(text(&line(&quote, "Old plank out")["amount"]).ends_with("290.00"), "{quote}");
    let quote = put(
        &session,
        "quote.entry",
        &job,
        "priced",
        None,
        json!({ "name": "Door trimmed", "quantity": "2", "unit": "piece", "price": "35,10" }),
    );
    assert!(text(&line(&quote, "Door trimmed")["amount"]).ends_with("70.20"));
    let hidden = json!({ "name": "Soft board", "unit": "m2", "price": "64.50", "likely": "0.5", "bad": "3", "reading_settles": "yes" });
    let quote = put(&session, "quote.entry", &job, "hidden", None, hidden.clone());
    assert_eq!(of(&quote, "hidden")[0]["fields"], hidden, "as it was typed");

    // A line is changed in its place, and what was said before is in the history.
    let priced = of(&quote, "priced")[0];
    let fields = json!({ "name": "Doors trimmed", "quantity": "3", "unit": "piece", "price": "35.10" });
    let quote = put(&session, "quote.entry", &job, "priced", priced["id"].as_str(), fields);
    assert!(text(&line(&quote, "Doors trimmed")["amount"]).ends_with("105.30"));
    assert_eq!(of(&quote, "priced").len(), 1);
    let quote = take_out(&session, "quote.entry", &job, "priced", "0");
    assert!(of(&quote, "priced").is_empty());
    call(&session, "edit.undo", json!({ "job": job }));
    let again = call(&session, "quote.view", json!({ "job": job }));
    assert!(text(&line(&again, "Doors trimmed")["amount"]).ends_with("105.30"), "taken back");

    let refusals = [
        ("task", json!({ "quantity": "1", "unit": "m2" }), "form.name", "edit.fields.name"),
        ("task", json!({ "name": "A", "unit": "m2" }), "quote.no_amount", "edit.fields.quantity"),
        (
            "priced",
            json!({ "name": "A", "quantity": "1", "unit": "m", "price": "4,5,6" }),
            "quote.no_amount",
            "edit.fields.price",
        ),
        (
            "hidden",
            json!({ "name": "A", "unit": "m", "price": "1", "likely": "4", "bad": "3" }),
            "quote.bad_below_likely",
            "edit.fields.bad",
        ),
        (
            "variant",
            json!({ "name": "A", "only_areas": "Attic" }),
            "form.unknown_name",
            "edit.fields.only_areas",
        ),
        ("variant", json!({ "name": "A", "instead": "gold" }), "form.unknown_choice", "edit.fields.instead"),
        (
            "variant",
            json!({ "name": "A", "discount_percent": "101" }),
            "shop.percent",
            "edit.fields.discount_percent",
        ),
    ];
    for (kind, fields, code, at) in refusals {
        assert_eq!(refused(&session, "quote.entry", &job, kind, fields), (code.to_owned(), at.to_owned()));
    }
    let after = call(&session, "quote.view", json!({ "job": job }));
    assert_eq!(after["entries"], again["entries"], "what is refused changes nothing");
}

#[test]
fn a_variant_stands_beside_the_job() {
    let place = Place::new("money-variant");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, _) = given_out(&session);
    put(
        &session,
        "quote.entry",
        &job,
        "priced",
        None,
        json!({ "name": "All of it", "quantity": "1", "unit": "job", "price": "1000" }),
    );
    let quote = put(
        &session,
        "quote.entry",
        &job,
        "variant",
        None,
        json!({ "name": "Cheaper", "discount_percent": "10" }),
    );
    let variant = &quote["variants"][0];
    assert_eq!(text(&variant["name"]), "Cheaper");
    let number = |money: &Value| -> f64 {
        text(money)
            .chars()
            .filter(|c| c.is_ascii_digit() || *c == '.')
            .collect::<String>()
            .parse()
            .expect("money")
    };
    // Nothing else bears a price, so a tenth off is a tenth off.
    assert!((number(&variant["total"]) - 0.9 * number(&quote["total"])).abs() < 0.011, "{quote}");
    // An area goes by its rooms, also where their names have commas.
    call(
        &session,
        "room.edit",
        json!({ "job": job, "room": "store", "edit": { "do": "rename", "name": "Store, upper" } }),
    );
    let area = json!({ "name": "Only here", "only_areas": "Store, upper" });
    let quote = put(&session, "quote.entry", &job, "variant", None, area);
    let here = of(&quote, "variant").into_iter().find(|one| one["title"] == "Only here").expect("it");
    assert_eq!(here["fields"]["only_areas"], "Store, upper");
    let twice = json!({ "name": "A", "only_areas": "Store, upper, Attic" });
    assert_eq!(refused(&session, "quote.entry", &job, "variant", twice).0, "form.unknown_name");
    let quote = take_out(&session, "quote.entry", &job, "variant", here["id"].as_str().expect("id"));
    let id = of(&quote, "variant")[0]["id"].as_str().expect("id").to_owned();
    let quote = put(
        &session,
        "quote.entry",
        &job,
        "variant",
        Some(&id),
        json!({ "name": "Cheapest", "discount_percent": "20" }),
    );
    assert_eq!(
        (text(&quote["variants"][0]["name"]), text(&quote["variants"][0]["id"])),
        ("Cheapest", id.as_str())
    );
    let quote = take_out(&session, "quote.entry", &job, "variant", &id);
    assert_eq!(quote["variants"], json!([]));
}

#[test]
fn a_supply_is_typed_and_bought() {
    let place = Place::new("money-supply");
    let clock = Clock::new(1, MORNING, -300);
    let session = open(&place.path("ana"), &clock);
    let (job, _) = given_out(&session);
    let fields = json!({
        "use": "trim", "name": "Shoe", "roll_length": "2400 mm", "kerf": "3 mm", "waste_percent": "7",
        "pack_name": "bar", "pack_price": "8,40", "source": "its data sheet",
    });
    let buy = put(&session, "buy.entry", &job, "supply", None, fields);
    let shoe = of(&buy, "supply")[0];
    let bought = buy["lines"].as_array().expect("lines").iter().find(|line| line["name"] == "Shoe");
    let bars = bought.expect("it is counted")["quantity"].as_u64().expect("bars");
    // The room's walls are about 3 m and 2.35 m: five bars of 2.4 m at the least.
    assert!(bars >= 5, "{buy}");
    assert_eq!(text(&shoe["fields"]["waste_percent"]), "7");
    assert_eq!(text(&shoe["fields"]["pack_price"]), "8.40", "digit by digit");
    let id = shoe["id"].as_str().expect("id").to_owned();

    // The sheet that is given out has it, and the same sheet taken in elsewhere buys the same.
    let sheet = call(&session, "jobs.export", json!({ "job": job }))["sheet"].clone();
    assert!(text(&sheet).contains("\"waste\": 0.07") || text(&sheet).contains("\"waste\":0.07"), "{sheet}");

    let longer = json!({ "use": "trim", "name": "Shoe", "roll_length": "6000 mm", "kerf": "3 mm" });
    let buy = put(&session, "buy.entry", &job, "supply", Some(&id), longer);
    let bought = buy["lines"].as_array().expect("lines").iter().find(|line| line["name"] == "Shoe");
    assert!(bought.expect("it is counted")["quantity"].as_u64().expect("bars") < bars);
    let buy = take_out(&session, "buy.entry", &job, "supply", &id);
    assert!(of(&buy, "supply").is_empty());

    let refusals = [
        (json!({ "name": "A" }), "form.choose", "edit.fields.use"),
        (json!({ "use": "grout", "name": "A", "density": "0" }), "quote.no_amount", "edit.fields.density"),
        (json!({ "use": "blade", "name": "A", "rate": "1" }), "form.choose", "edit.fields.per"),
        (
            json!({ "use": "trim", "name": "A", "roll_length": "-1" }),
            "length.not_positive",
            "edit.fields.roll_length",
        ),
        (
            json!({ "use": "trim", "name": "A", "only_with": "Gold" }),
            "form.unknown_name",
            "edit.fields.only_with",
        ),
    ];
    for (fields, code, at) in refusals {
        assert_eq!(refused(&session, "buy.entry", &job, "supply", fields).1, at, "{code}");
    }
}
