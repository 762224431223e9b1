//! Times of what a person waits for, on this machine: `cargo run --release -p drylay-app --example times`.

use drylay_app::Session;
use drylay_app::system::System;
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::{Duration, Instant};

const JOBS: usize = 1000;
const READINGS: usize = 1000;
const EDITS: usize = 200;

#[expect(clippy::print_stdout, reason = "the times are what it is for")]
fn main() -> Result<(), drylay_app::Problem> {
    let folder = std::env::temp_dir().join(format!("drylay-times-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let open = || Session::open(&folder, Arc::new(System));
    let (job, room) = fill(&open()?)?;
    let view = || json!({ "job": job, "room": room });

    let (took, session) = timed(open);
    println!("store opened                          {took:?}");
    let session = session?;
    let lists: Vec<_> = (0..20).map(|_| timed(|| session.call("jobs.list", json!({}))).0).collect();
    println!("jobs.list with {JOBS} jobs             {:?}", median(lists));
    drop(session);
    let opens: Vec<_> = (0..10)
        .map(|_| open().map(|session| timed(|| session.call("room.view", view())).0))
        .collect::<Result<_, _>>()?;
    println!("room.view with {READINGS} readings, first   {:?}", median(opens));

    let session = open()?;
    let mut edits: Vec<_> = (0..EDITS).map(|n| timed(|| set(&session, &job, &room, 3000 + n)).0).collect();
    edits.sort_unstable();
    println!(
        "room.edit in that room, acknowledged  {:?}, p95 {:?}",
        edits[EDITS / 2],
        edits[EDITS * 95 / 100]
    );
    let (small_job, small_room) = new_room(&session)?;
    let mut edits: Vec<_> =
        (0..EDITS).map(|n| timed(|| set(&session, &small_job, &small_room, 3000 + n)).0).collect();
    edits.sort_unstable();
    println!(
        "room.edit in a new room, acknowledged {:?}, p95 {:?}",
        edits[EDITS / 2],
        edits[EDITS * 95 / 100]
    );
    drop(session);
    let _ = std::fs::remove_dir_all(&folder);
    Ok(())
}

fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let begun = Instant::now();
    let done = work();
    (begun.elapsed(), done)
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

/// A thousand jobs, the last of which has a room with a thousand readings.
fn fill(session: &Session) -> Result<(String, String), drylay_app::Problem> {
    for n in 1..JOBS {
        let ask = json!({ "name": format!("Job {n}"), "client": "", "site": "", "units": "metric" });
        session.call("jobs.create", ask)?;
    }
    let (job, room) = new_room(session)?;
    for n in 0..READINGS {
        set(session, &job, &room, 3000 + n)?;
    }
    Ok((job, room))
}

fn new_room(session: &Session) -> Result<(String, String), drylay_app::Problem> {
    let id = |value: Value| value["id"].as_str().unwrap_or_default().to_owned();
    let ask = json!({ "name": "Attic", "client": "", "site": "", "units": "metric" });
    let job = id(session.call("jobs.create", ask)?);
    let room = id(session.call("rooms.add", json!({ "job": job, "name": "Den", "corners": 6 }))?);
    Ok((job, room))
}

/// Types one of the walls and ties again.
fn set(session: &Session, job: &str, room: &str, mm: usize) -> Result<Value, drylay_app::Problem> {
    let pairs = [("A", "B"), ("B", "C"), ("C", "D"), ("D", "E"), ("E", "F"), ("F", "A"), ("A", "C")];
    let (from, to) = pairs[mm % pairs.len()];
    let edit = json!({ "do": "set_reading", "from": from, "to": to, "text": format!("{mm} mm") });
    session.call("room.edit", json!({ "job": job, "room": room, "edit": edit }))
}
