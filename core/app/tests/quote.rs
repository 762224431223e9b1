//! Through the one door: what a job costs, lists of prices and rates with their mistakes, signed quotes and changes to them, and
//! what is asked on the first call.

use drylay_app::wire::Event;
use drylay_app::{Session, Timestamp, World, outside};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

/// A clock that stands still, and ids by counting.
#[derive(Debug)]
struct Counting(AtomicU64, u8);

impl World for Counting {
    fn now(&self) -> Timestamp {
        Timestamp { utc_ms: 1_700_000_000_000, zone_minutes: 0 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let mut id = [self.1; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-quote-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn open(folder: &Path, device: u8) -> Session {
    Session::open(folder, Arc::new(Counting(AtomicU64::new(1), device))).expect("a store")
}

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args).unwrap_or_else(|problem| panic!("{name}: {problem}"))
}

/// A room of 3 × 2 m, fixed in its layout, with a price for its tile and terms.
const SHEET: &str = r#"{ "drylay": 1, "job": { "name": "Attic", "built": 1974 }, "units": "metric",
  "products": [ { "id": "t", "name": "Trial tile", "face": { "length": 600, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 8,
                  "thickness": 9, "kerf": 2, "carton": { "tiles": 6, "price": "38.20" } },
                { "id": "b", "name": "Blue tile", "face": { "length": 300, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 8,
                  "kerf": 2, "carton": { "tiles": 10, "price": "50" } } ],
  "rooms": [ { "id": "den", "name": "Den", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]] } ],
  "areas": [ { "id": "a", "rooms": ["den"], "product": "t", "layout": { "along": ["A", "B"], "offset": "1/3", "first_row": 300, "shift": 400 } } ],
  "quote": { "currency": "EUR", "tax_percent": 10, "signed_at": "home",
             "work": [ { "task": "demolish", "quantity": 6, "unit": "m2", "kg_each": 20 } ],
             "variants": [ { "id": "blue", "name": "In blue", "product": "b" } ] } }"#;

const RATES: &str = "task,unit,per_hour,hourly\nlay,m2,2,60\ndemolish,m2,3,50\n";

fn job(session: &Session) -> String {
    let card = call(session, "jobs.import", json!({ "sheet": SHEET }));
    let job = card["id"].as_str().expect("an id").to_owned();
    count(session, &job);
    job
}

/// Works out whatever is waiting.
fn count(session: &Session, job: &str) {
    let events = session.subscribe();
    let task = call(session, "quote.count", json!({ "job": job }))["task"].clone();
    loop {
        let event = events.recv_timeout(Duration::from_secs(120)).expect("the task ends");
        match event {
            Event::Finished { task: ended, .. } if task == ended => return,
            Event::Failed { task: ended, problem } if task == ended => panic!("{problem}"),
            _ => {}
        }
    }
}

fn line(quote: &Value, name: &str) -> Value {
    let lines = quote["lines"].as_array().expect("lines").iter();
    lines
        .clone()
        .find(|line| line["name"] == name)
        .unwrap_or_else(|| panic!("no {name} in {quote:#}"))
        .clone()
}

/// Rows of 300 across 1984 and tiles of 600 along 2984: worked by hand from the cartons that the plan takes.
#[test]
fn a_quote_adds_up_and_says_what_it_lacks() {
    let folder = Folder::new("adds");
    let session = open(&folder.0, 1);
    let job = job(&session);
    let bare = call(&session, "quote.view", json!({ "job": job }));
    let lacks: Vec<&str> =
        bare["problems"].as_array().expect("a list").iter().filter_map(|p| p["code"].as_str()).collect();
    assert!(lacks.contains(&"quote.no_rates") && !lacks.contains(&"quote.no_rate"), "said once: {lacks:?}");
    assert_eq!(bare["lacks"], json!(["Labor is not in it.", "2 lines have no price."]));
    assert_eq!(bare["hours"], "how long it takes is not known");
    assert_eq!(line(&bare, "demolish")["amount"], "–");
    call(&session, "books.read", json!({ "what": "rates", "text": RATES }));
    call(
        &session,
        "books.read",
        json!({ "what": "prices", "text": "item;unit;price\ndisposal;kg;0.5\nt;carton;40.00\n" }),
    );
    let quote = call(&session, "quote.view", json!({ "job": job }));
    assert_eq!(quote["lacks"], json!([]));
    let buy = call(&session, "buy.view", json!({ "job": job }));
    let cartons = buy["lines"][0]["packs"].as_f64().expect("cartons");
    // The field is 2.984 × 1.984 = 5.92 m²: 2.96 h at 60; 6 m² at 3 are 2 h at 50; 120 kg at 0.50.
    assert_eq!(line(&quote, "Laying")["amount"], "EUR 177.60");
    assert_eq!(line(&quote, "demolish")["amount"], "EUR 100.00");
    assert_eq!(line(&quote, "Carting away and disposal")["amount"], "EUR 60.00");
    assert_eq!(
        line(&quote, "Trial tile")["amount"],
        format!("EUR {:.2}", cartons * 40.0),
        "the list's price, not the sheet's"
    );
    let net = cartons * 40.0 + 337.60;
    assert_eq!(quote["total"], format!("EUR {:.2}", (net * 110.0).round() / 100.0));
    assert!(quote["hours"].as_str().expect("words").starts_with("5 h"), "{}", quote["hours"]);
    let blue = &quote["variants"][0];
    assert!(blue["total"].as_str().is_some_and(|total| total != quote["total"]), "{blue:#}");
    let minds: Vec<&str> =
        quote["reminders"].as_array().expect("a list").iter().filter_map(|p| p["code"].as_str()).collect();
    assert_eq!(minds, ["quote.home_signing", "quote.lead_pamphlet", "quote.asbestos"]);
    // What an hour brings stays with the shop.
    let sheet = call(&session, "jobs.export", json!({ "job": job }))["sheet"].clone();
    assert!(!sheet.as_str().expect("text").contains("per_hour"));
}

#[test]
fn a_list_with_a_mistake_is_refused_as_a_whole() {
    let folder = Folder::new("lists");
    let session = open(&folder.0, 2);
    let read = |what: &str, text: &str| call(&session, "books.read", json!({ "what": what, "text": text }));
    assert_eq!(read("prices", "item,unit,price\nx,kg,1.00\ny,kg,2\n")["price_count"], 2);
    let refused = read("prices", "item,unit,price\nx,kg,1.50\ny,kg,2,5\nz,kg,\"2,5\"\n");
    let places: Vec<&str> =
        refused["problems"].as_array().expect("a list").iter().filter_map(|p| p["place"].as_str()).collect();
    assert_eq!((places, &refused["price_count"]), (vec!["line 4, price"], &json!(2)));
    assert!(refused["prices"].as_str().expect("text").contains("x,kg,1.00"), "what was kept stands");
    let less = read("prices", "item,unit,price\nx,kg,3\n");
    assert_eq!(
        (&less["price_count"], &less["prices"]),
        (&json!(1), &json!("item,unit,price,since,supplier\nx,kg,3,,\n"))
    );
    assert_eq!(
        session.call("books.read", json!({ "what": "wishes", "text": "" })).expect_err("no list").code,
        "list.unknown"
    );
    drop(session);
    let again = open(&folder.0, 22);
    assert_eq!(call(&again, "books.view", json!({}))["prices"], less["prices"]);
}

#[test]
fn what_was_signed_stands_and_changes_are_added_to_it() {
    let folder = Folder::new("signed");
    let session = open(&folder.0, 3);
    let job = job(&session);
    let freeze = |name: &str| session.call("quote.freeze", json!({ "job": job, "signed_by": name }));
    assert_eq!(freeze("A client").expect_err("labour of demolition has no price").code, "quote.not_whole");
    call(&session, "books.read", json!({ "what": "rates", "text": RATES }));
    call(&session, "books.read", json!({ "what": "prices", "text": "item,unit,price\ndisposal,kg,0.5\n" }));
    assert_eq!(freeze("  ").expect_err("nobody").code, "quote.no_name");
    let signed = freeze("A client").expect("frozen");
    assert_eq!(
        freeze("A client").expect("the same")["signed"].as_array().map(Vec::len),
        Some(1),
        "signed twice it is one"
    );
    let total = signed["total"].clone();
    assert_eq!((&signed["signed"][0]["total"], &signed["signed"][0]["same"]), (&total, &json!(true)));
    let quote = signed["signed"][0]["id"].clone();
    let change = |quantity: &str, price: &str| {
        let ask = json!({ "job": job, "signed": quote, "words": "A closet", "quantity": quantity, "unit": "m2", "price": price, "days": "1" });
        session.call("quote.line", ask)
    };
    assert_eq!(change("two", "5").expect_err("no figure").place, "quantity");
    let with = change("2,5", "84.20").expect("a change");
    // 2.5 × 84.20 are 210.50 and 10 % tax.
    assert_eq!(with["signed"][0]["changes"][0]["amount"], "EUR 231.55");
    let cents = |text: &Value| -> i64 {
        let digits: String = text.as_str().expect("text").chars().filter(char::is_ascii_digit).collect();
        digits.parse().expect("digits")
    };
    assert_eq!(cents(&with["signed"][0]["with_changes"]), cents(&total) + 23155);
    // Prices rise; what was signed does not.
    call(&session, "books.read", json!({ "what": "prices", "text": "item,unit,price\ndisposal,kg,5\n" }));
    let later = call(&session, "quote.view", json!({ "job": job }));
    assert_ne!(later["total"], total);
    assert_eq!((&later["signed"][0]["total"], &later["signed"][0]["same"]), (&total, &json!(false)));
    let terms = json!({ "job": job, "currency": "USD", "discount": "2,5", "tax": "101", "deposit": "", "signed_at": "" });
    assert_eq!(session.call("quote.set", terms).expect_err("no tax").place, "tax");
    let terms = json!({ "job": job, "currency": "USD", "discount": "2,5", "tax": "8.25", "deposit": "40", "signed_at": "shop" });
    let set = call(&session, "quote.set", terms);
    assert_eq!((&set["terms"]["discount"], &set["terms"]["signed_at"]), (&json!("2.5"), &json!("shop")));
    let undone = call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(undone["redo"], "terms of the quote");
}

#[test]
fn a_quote_whose_signing_was_taken_back_is_signed_again() {
    let folder = Folder::new("again");
    let session = open(&folder.0, 6);
    let job = job(&session);
    call(&session, "books.read", json!({ "what": "rates", "text": RATES }));
    call(&session, "books.read", json!({ "what": "prices", "text": "item,unit,price\ndisposal,kg,0.5\n" }));
    let freeze = |name: &str| {
        call(&session, "quote.freeze", json!({ "job": job, "signed_by": name }))["signed"].clone()
    };
    let undo = || call(&session, "edit.undo", json!({ "job": job }));
    let first = freeze("A client");
    undo();
    assert_eq!(call(&session, "quote.view", json!({ "job": job }))["signed"], json!([]));
    assert_eq!(freeze("A client"), first, "the same record stands again");
    undo();
    let other = freeze("Another client");
    assert_eq!(other.as_array().map(Vec::len), Some(1));
    assert_eq!((&other[0]["signed_by"], &other[0]["same"]), (&json!("Another client"), &json!(true)));
    assert_ne!(other[0]["id"], first[0]["id"], "it is another record");
    undo();
    assert_eq!(freeze("Another client"), other);
}

#[test]
fn a_signed_quote_with_figures_beyond_reason_is_held_against_nothing() {
    let folder = Folder::new("beyond");
    let session = open(&folder.0, 7);
    let job = job(&session);
    let line = json!({ "name": "help", "unit": "hour", "quantity": "79228162514264337593543950335" });
    let tile = json!({ "name": "Trial tile", "unit": "carton", "quantity": "79228162514264337593543950335" });
    let quote = json!({ "lines": [line, line, tile], "totals": { "total": "12.50" } });
    outside::freeze(&session, &job, true, quote.to_string().as_bytes()).expect("kept");
    let time = call(&session, "time.view", json!({ "job": job }));
    assert_eq!((&time["hours"], &time["total"]), (&json!([]), &Value::Null));
    assert_eq!(time["materials"][0]["quoted"], "–");
}

#[test]
fn codes_of_doors_stay_on_the_device_they_were_typed_on() {
    let (folder, other) = (Folder::new("codes"), Folder::new("codes-other"));
    let session = open(&folder.0, 4);
    let job = job(&session);
    let said = |what: &str, words: &str| {
        session.call("call.set", json!({ "job": job, "what": what, "words": words }))
    };
    said("parking", "In the lane").expect("kept");
    said("lift", "no").expect("kept");
    let kept = said("lock_codes", "4711#").expect("kept");
    assert_eq!(
        (&kept["lock_codes"], &kept["lift"], &kept["built"]),
        (&json!("4711#"), &json!("no"), &json!("1974"))
    );
    assert_eq!(said("built", "old").expect_err("no year").code, "call.year");
    assert_eq!(said("lift", "maybe").expect_err("neither").code, "call.yes_no");
    assert_eq!(said("weather", "fine").expect_err("not asked").code, "call.unknown");
    let sheet = call(&session, "jobs.export", json!({ "job": job }))["sheet"].clone();
    let sheet = sheet.as_str().expect("text");
    assert!(sheet.contains("In the lane") && !sheet.contains("4711"), "{sheet}");
    let report = call(&session, "report.anonymised", json!({ "job": job }))["text"].clone();
    assert!(!report.as_str().expect("text").contains("4711"));
    let history = call(&session, "history.list", json!({ "job": job, "limit": 100 }));
    assert!(!history.to_string().contains("4711"));
    // A hand-over holds the whole documents; whoever takes it in has the call without the codes.
    let path = folder.0.join("job.drylay");
    call(&session, "handover.write", json!({ "job": job, "path": path }));
    let theirs = open(&other.0, 5);
    call(&theirs, "handover.read", json!({ "path": path }));
    let there = call(&theirs, "call.view", json!({ "job": job }));
    assert_eq!(there["lock_codes"], "");
    assert!(there["said"].as_array().expect("answers").iter().any(|one| one["words"] == "In the lane"));
    // The device that has them keeps them.
    drop(session);
    assert_eq!(call(&open(&folder.0, 44), "call.view", json!({ "job": job }))["lock_codes"], "4711#");
}
