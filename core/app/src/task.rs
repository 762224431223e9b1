//! Work that goes on by itself: it tells how far it is, can be ended, and answers with an event.

use crate::Problem;
use crate::session::Session;
use crate::wire::{Event, TaskView};
use serde::Serialize;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};

/// Told how much of a task is done, from 0 to 1; whether it is to go on.
pub(crate) type GoOn<'a> = &'a mut dyn FnMut(f64) -> bool;

/// Starts a task. What `answer` gives when the work is done is what the task is finished with.
pub(crate) fn start<T: Serialize>(
    session: &Session,
    what: &'static str,
    work: impl FnOnce(&Session, GoOn<'_>) -> Result<(), Problem> + Send + 'static,
    answer: impl FnOnce(&Session) -> Result<T, Problem> + Send + 'static,
) -> TaskView {
    let task = session.desk().new_id().to_string();
    let cancelled = session.begin(&task);
    let (own, name) = (session.clone(), task.clone());
    std::thread::spawn(move || {
        let mut told = 0.0;
        let mut go_on = |part: f64| tell(&own, &name, &cancelled, &mut told, part);
        // A fault in the work must not leave the screens waiting for ever.
        let found = catch_unwind(AssertUnwindSafe(|| work(&own, &mut go_on)));
        own.end(&name);
        let answer = match found {
            Err(_) => Err(Problem::internal(what)),
            Ok(_) if cancelled.load(Ordering::Relaxed) => Err(Problem::new("task.cancelled", "")),
            Ok(done) => done.and_then(|()| {
                serde_json::to_value(answer(&own)?).map_err(|error| Problem::internal(&error.to_string()))
            }),
        };
        own.tell(&match answer {
            Ok(answer) => Event::Finished { task: name, answer },
            Err(problem) => Event::Failed { task: name, problem },
        });
    });
    TaskView { task }
}

/// Tells how far a task is, never back and not too often; answers whether it may go on.
fn tell(session: &Session, task: &str, cancelled: &AtomicBool, told: &mut f64, part: f64) -> bool {
    if part - *told >= 0.01 {
        *told = part;
        let (task, note) = (task.to_owned(), String::new());
        session.tell(&Event::Progress { task, fraction: part.min(1.0), note, best: None });
    }
    !cancelled.load(Ordering::Relaxed)
}
