//! The core's command and its event, as the screens have them.

use crate::journal::Journal;
use drylay_app::{Problem, Session};
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Instant;
use tauri::{AppHandle, Emitter, Runtime, State};

/// The event's name; its payload is one of the core's events.
const EVENT: &str = "drylay";

/// The core, or why there is none: then every call answers with that problem.
#[derive(Clone)]
pub(crate) struct Core {
    session: Result<Session, Problem>,
    journal: Arc<Journal>,
}

impl Core {
    /// A core with the log that its calls are noted in.
    pub(crate) fn new(session: Result<Session, Problem>, journal: Arc<Journal>) -> Self {
        if let Err(problem) = &session {
            journal.note(&format!("the store cannot be opened: {problem:?}"));
        }
        Self { session, journal }
    }

    /// The session, if the store could be opened.
    pub(crate) fn session(&self) -> Option<&Session> {
        self.session.as_ref().ok()
    }

    /// Notes a line in the log.
    pub(crate) fn note(&self, line: &str) {
        self.journal.note(line);
    }

    /// Puts the demo job into a store that holds no job yet, and has the screens open on it.
    pub(crate) fn fill_with_demo(&self) {
        let jobs = self.ask("jobs.list", json!({}));
        let empty = jobs.is_ok_and(|answer| answer["jobs"].as_array().is_some_and(Vec::is_empty));
        if !empty {
            return;
        }
        let opened = self.ask("jobs.demo", json!({})).and_then(|job| self.ask("draft.put", left_at(&job)));
        if opened.is_err() {
            self.journal.note("the demo job could not be made");
        }
    }

    /// Passes a call on and notes its name, its time and how it went: never what was in it.
    fn ask(&self, name: &str, args: Value) -> Result<Value, Problem> {
        let session = self.session.as_ref().map_err(Clone::clone)?;
        let begun = Instant::now();
        let answer = session.call(name, args);
        let took = begun.elapsed().as_micros();
        match &answer {
            Ok(_) => self.journal.note(&format!("{name} {took} us")),
            Err(problem) => self.journal.note(&format!("{name} {took} us: {}", problem.code)),
        }
        answer
    }
}

/// The draft in which the screens keep where they were left (`ui/src/state/place.svelte.ts`), saying that it was here.
fn left_at(job: &Value) -> Value {
    let id = job["id"].as_str().unwrap_or_default();
    json!({ "key": "place", "text": format!("#/job/{id}") })
}

/// The command of the screens: `invoke("call", { name, args })`. It never blocks the window's own thread.
#[tauri::command]
pub(crate) async fn call(core: State<'_, Core>, name: String, args: Value) -> Result<Value, Problem> {
    let core = core.inner().clone();
    let work = tauri::async_runtime::spawn_blocking(move || core.ask(&name, args));
    match work.await {
        Ok(answer) => answer,
        Err(error) => Err(Problem::internal(&error.to_string())),
    }
}

/// Hands the core's events to the screens for as long as there are both.
pub(crate) fn forward_events<R: Runtime>(core: &Core, app: &AppHandle<R>) {
    let Some(session) = core.session() else { return };
    let events = session.subscribe();
    let app = app.clone();
    std::thread::spawn(move || {
        for event in events {
            if app.emit(EVENT, event).is_err() {
                return;
            }
        }
    });
}
