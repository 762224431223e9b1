//! The device's language: chosen, kept with the store, and spoken in answers and problems. A process has one language,
//! so this is the only test here.

use drylay_app::Session;
use drylay_app::language::Language;
use drylay_app::system::System;
use serde_json::{Value, json};
use std::path::Path;
use std::sync::Arc;

fn open(folder: &Path) -> Session {
    Session::open(folder, Arc::new(System)).expect("a store")
}

fn message(session: &Session) -> String {
    session.call("undo.nothing", json!({})).expect_err("no such command").message
}

#[test]
fn a_language_is_chosen_spoken_and_kept() {
    let folder = std::env::temp_dir().join(format!("drylay-speaking-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let session = open(&folder);
    let language =
        |session: &Session| session.call("draft.list", json!({})).expect("drafts")["language"].clone();
    assert_eq!(language(&session), Value::Null, "nobody has chosen");
    assert_eq!(message(&session), "There is no command undo.nothing.");

    let view = session.call("device.speak", json!({ "language": "de" })).expect("German is known");
    assert!(view["store_words"].as_str().is_some_and(|words| words.contains("Aufträge")), "{view}");
    assert_eq!(message(&session), "Es gibt keinen Befehl undo.nothing.");
    let refused = session.call("device.speak", json!({ "language": "tlh" })).expect_err("not known");
    assert_eq!((refused.code.as_str(), refused.place.as_str()), ("device.language", "language"));
    assert_eq!(language(&session), Value::from("de"), "what was refused changed nothing");

    let demo = session.call("jobs.demo", json!({})).expect("the demo job");
    let stages = session.call("stages.view", json!({ "job": demo["id"] })).expect("stages").to_string();
    assert!(stages.contains("Verlegen") && !stages.contains("\"Lay\""), "{stages}");
    let job = session.call("job.view", json!({ "job": demo["id"] })).expect("the job");
    let of = json!({ "job": demo["id"], "area": job["areas"][0]["id"] });
    let advice = |session: &Session| session.call("plan.view", of.clone()).expect("a plan").to_string();
    assert!(advice(&session).contains("taugt nur für ein Angebot"));
    session.call("device.speak", json!({ "language": "en" })).expect("English is known");
    let english = advice(&session);
    assert!(
        english.contains("good for a quote only") && !english.contains("taugt"),
        "a remembered plan says it anew"
    );
    session.call("device.speak", json!({ "language": "de" })).expect("German is known");

    drop(session);
    let session = open(&folder);
    assert_eq!(Language::now(), Language::German, "kept with the store");
    session.call("device.speak", json!({ "language": "en" })).expect("English is known");
    assert_eq!(message(&session), "There is no command undo.nothing.");
    drop(session);
    std::fs::remove_dir_all(&folder).expect("the folder");
}
