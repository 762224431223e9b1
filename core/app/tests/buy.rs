//! Through the one door: looking at what there is to buy plans nothing; a task does, tells how far it is and can be ended; and
//! every line leads to where its figures come from.

use drylay_app::wire::Event;
use drylay_app::{Session, Timestamp, World};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::Receiver;
use std::time::Duration;

/// A clock that stands still, and ids by counting.
#[derive(Debug)]
struct Counting(AtomicU64);

impl World for Counting {
    fn now(&self) -> Timestamp {
        Timestamp { utc_ms: 1_700_000_000_000, zone_minutes: 0 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let mut id = [3; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

struct Shop {
    folder: PathBuf,
    session: Session,
    job: String,
}

impl Drop for Shop {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

impl Shop {
    /// The demo job in a store of its own.
    fn new(name: &str) -> Self {
        let folder = std::env::temp_dir().join(format!("drylay-buy-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        let session = Session::open(&folder, Arc::new(Counting(AtomicU64::new(1)))).expect("a store");
        let job =
            session.call("jobs.demo", json!({})).expect("a job")["id"].as_str().expect("an id").to_owned();
        Self { folder, session, job }
    }
    fn call(&self, name: &str) -> Value {
        self.session
            .call(name, json!({ "job": self.job }))
            .unwrap_or_else(|problem| panic!("{name}: {problem}"))
    }
}

/// The end of a task, and how often it told of progress before.
fn ended(events: &Receiver<Event>, task: &Value) -> (Value, usize) {
    let mut told = 0;
    loop {
        let event = events.recv_timeout(Duration::from_secs(300)).expect("the task ends");
        let event = serde_json::to_value(event).expect("json");
        if event["task"] == *task {
            if event["kind"] != "progress" {
                return (event, told);
            }
            told += 1;
        }
    }
}

#[test]
fn looking_plans_nothing_and_a_task_counts_the_rest() {
    let shop = Shop::new("count");
    let first = shop.call("buy.view");
    assert_eq!(first["lines"], json!([]), "nothing is planned yet");
    let waiting: Vec<&str> =
        first["waiting"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
    assert_eq!(waiting.len(), 3, "two areas and the kitchen's floor: {waiting:?}");
    assert!(
        waiting.iter().all(|line| !line.starts_with(':')),
        "areas without a name go by their rooms: {waiting:?}"
    );
    let events = shop.session.subscribe();
    let task = shop.call("buy.count")["task"].clone();
    let (end, told) = ended(&events, &task);
    assert_eq!(end["kind"], "finished", "{end:#}");
    assert!(told >= 3, "it told of progress {told} times");
    let answer = &end["answer"];
    assert_eq!(answer["waiting"], json!([]));
    assert_eq!(*answer, shop.call("buy.view"), "what was worked out is known from then on");
    let items: Vec<&str> =
        answer["lines"].as_array().expect("lines").iter().filter_map(|l| l["item"].as_str()).collect();
    for item in [
        "tile",
        "underlay",
        "tape",
        "grout",
        "sealant",
        "adhesive",
        "transition",
        "trim",
        "spacers",
        "blade",
        "compound",
        "primer",
    ] {
        assert!(items.contains(&item), "{item} is missing in {items:?}");
    }
    let truck = &answer["weight"][0];
    assert!(truck["value"].as_str().is_some_and(|text| text.ends_with(" lb")), "{truck}");
    // Every figure that comes from somewhere in the job leads to a plan, a room or a floor that is there.
    let view = shop.call("job.view");
    let known =
        |list: &str, id: &str| view[list].as_array().expect("a list").iter().any(|one| one["id"] == id);
    let mut kinds = std::collections::BTreeSet::new();
    for step in
        answer["lines"].as_array().expect("lines").iter().flat_map(|l| l["steps"].as_array().expect("steps"))
    {
        assert!(!step["words"].as_str().expect("words").contains("buy."), "no words: {step}");
        let Some(origin) = step["origin"].as_str() else { continue };
        let parts: Vec<&str> = origin.split('/').collect();
        assert!(known(if parts[0] == "plan" { "areas" } else { "rooms" }, parts[1]), "{origin}");
        kinds.insert((parts[0].to_owned(), parts.get(2).is_some()));
    }
    assert_eq!(kinds.len(), 3, "plans, rooms and a floor: {kinds:?}");
}

#[test]
fn counting_can_be_ended() {
    let shop = Shop::new("cancel");
    let events = shop.session.subscribe();
    let task = shop.call("buy.count")["task"].clone();
    shop.session.call("task.cancel", json!({ "task": task })).expect("cancelled");
    let (end, _) = ended(&events, &task);
    assert_eq!((&end["kind"], &end["problem"]["code"]), (&json!("failed"), &json!("task.cancelled")));
}
