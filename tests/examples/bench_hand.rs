//! What a person's hand waits for, each beside the least that the libraries below ask for the same:
//! `bench_hand` writes the figures, one a line (`name<TAB>seconds`); `bench_hand fill FOLDER JOBS` only makes a store
//! of so many jobs, for a window to be opened on.
#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

use automerge::AutoCommit;
use drylay_app::Session;
use drylay_app::system::System;
use drylay_store::Store;
use rusqlite::Connection;
use serde_json::{Value, json};
use std::error::Error;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Instant;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// As in the programs.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const READINGS: usize = 1000;
const EDITS: usize = 200;
const OPENINGS: usize = 15;

fn main() -> Outcome<()> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        [] => measure(),
        ["fill", folder, jobs] => fill(Path::new(folder), jobs.parse()?),
        _ => Err("bench_hand [fill FOLDER JOBS]".into()),
    }
}

/// A folder on the disk of the build folder: a temporary one may lie in memory, where nothing is ever flushed.
fn folder() -> Outcome<PathBuf> {
    let program = std::env::current_exe()?;
    let beside = program.parent().ok_or("the program lies nowhere")?;
    Ok(beside.join(format!("bench-hand-{}", std::process::id())))
}

fn measure() -> Outcome<()> {
    let folder = folder()?;
    let done = figures(&folder);
    std::fs::remove_dir_all(&folder)?;
    done
}

fn figures(folder: &Path) -> Outcome<()> {
    let store = folder.join("store");
    let (job, room) = season(&store)?;
    let bytes = edits(&store, &job, &room)?;
    bare_inserts(&folder.join("bare.sqlite"), bytes)?;
    opening(&store, &job, &room)
}

fn open(folder: &Path) -> Outcome<Session> {
    Ok(Session::open(folder, Arc::new(System))?)
}

fn fill(folder: &Path, jobs: usize) -> Outcome<()> {
    let session = open(folder)?;
    for n in 1..=jobs {
        new_job(&session, &format!("Job {n}"))?;
    }
    Ok(())
}

fn new_job(session: &Session, name: &str) -> Outcome<String> {
    let ask = json!({ "name": name, "client": "", "site": "", "units": "metric" });
    id(&session.call("jobs.create", ask)?)
}

fn id(answer: &Value) -> Outcome<String> {
    Ok(answer["id"].as_str().ok_or("an answer without an id")?.to_owned())
}

/// A room whose walls and ties were typed again and again: a thousand readings, all but seven superseded.
fn season(store: &Path) -> Outcome<(String, String)> {
    let session = open(store)?;
    let job = new_job(&session, "Attic")?;
    let room = id(&session.call("rooms.add", json!({ "job": job, "name": "Den", "corners": 6 }))?)?;
    let out = json!({ "do": "turn", "corner": "D", "out": true });
    session.call("room.edit", json!({ "job": job, "room": room, "edit": out }))?;
    for n in 0..READINGS {
        set(&session, &job, &room, n)?;
    }
    Ok((job, room))
}

/// The walls of an L-shaped room and a tie of √(6000² + 4000²), in millimetres.
const READ: [(&str, &str, usize); 7] = [
    ("A", "B", 6000),
    ("B", "C", 4000),
    ("C", "D", 3000),
    ("D", "E", 2000),
    ("E", "F", 3000),
    ("F", "A", 6000),
    ("A", "C", 7211),
];

/// Types one of the walls and ties again, up to two millimetres off.
fn set(session: &Session, job: &str, room: &str, n: usize) -> Outcome<()> {
    let (from, to, length) = READ[n % READ.len()];
    let text = format!("{} mm", length + n % 5 - 2);
    let edit = json!({ "do": "set_reading", "from": from, "to": to, "text": text });
    session.call("room.edit", json!({ "job": job, "room": room, "edit": edit }))?;
    Ok(())
}

/// Edits of a room in use, each acknowledged; gives back the bytes that one of them adds to the room's document.
fn edits(store: &Path, job: &str, room: &str) -> Outcome<usize> {
    let session = open(store)?;
    let times: Outcome<Vec<f64>> =
        (0..EDITS).map(|n| timed(|| set(&session, job, room, 5000 + n)).map(|(took, ())| took)).collect();
    say("edit acknowledged, p95", part(times?, 95));
    drop(session);
    let last = chunks(store)?.pop().ok_or("the room has no chunks")?;
    Ok(last.len())
}

/// The room's chunks: those of the longest document labelled so.
fn chunks(store: &Path) -> Outcome<Vec<Vec<u8>>> {
    let store = Store::open(store, rand_session())?;
    let rooms = store.documents()?.into_iter().filter(|document| document.label == "room");
    let loaded: Result<Vec<_>, _> = rooms.map(|room| store.load(room.document)).collect();
    let longest = loaded?.into_iter().max_by_key(|loaded| loaded.joined().len());
    Ok(longest.ok_or("the store holds no room")?.chunks)
}

/// A name of a session that no store has seen.
fn rand_session() -> [u8; 16] {
    let mut random = fastrand::Rng::new();
    std::array::from_fn(|_| random.u8(..))
}

/// As many bytes into a bare table on the same disk, durable the same way.
fn bare_inserts(file: &Path, bytes: usize) -> Outcome<()> {
    let connection = Connection::open(file)?;
    let _: String = connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.execute_batch("CREATE TABLE bare (id INTEGER PRIMARY KEY, bytes BLOB NOT NULL)")?;
    let chunk = vec![7_u8; bytes];
    let insert =
        || -> Outcome<usize> { Ok(connection.execute("INSERT INTO bare (bytes) VALUES (?1)", [&chunk])?) };
    let times: Outcome<Vec<f64>> = (0..EDITS).map(|_| timed(insert).map(|(took, _)| took)).collect();
    say("bare insert, p95", part(times?, 95));
    Ok(())
}

/// The room's first view in a session, and automerge's loading of the same bytes.
fn opening(store: &Path, job: &str, room: &str) -> Outcome<()> {
    let view = || json!({ "job": job, "room": room });
    let ours: Outcome<Vec<f64>> = (0..OPENINGS)
        .map(|_| {
            let session = open(store)?;
            timed(|| Ok(session.call("room.view", view())?)).map(|(took, _)| took)
        })
        .collect();
    say("season's room opened", part(ours?, 50));
    let bytes = chunks(store)?.concat();
    let theirs: Outcome<Vec<f64>> = (0..OPENINGS)
        .map(|_| timed(|| Ok(black_box(AutoCommit::load(&bytes)?))).map(|(took, _)| took))
        .collect();
    say("automerge load of its bytes", part(theirs?, 50));
    Ok(())
}

/// Seconds and result of some work.
fn timed<T>(work: impl FnOnce() -> Outcome<T>) -> Outcome<(f64, T)> {
    let begun = Instant::now();
    let done = work()?;
    Ok((begun.elapsed().as_secs_f64(), done))
}

/// The value that so many in a hundred do not exceed.
fn part(mut times: Vec<f64>, hundredths: usize) -> f64 {
    times.sort_unstable_by(f64::total_cmp);
    times[(times.len() * hundredths / 100).min(times.len() - 1)]
}

fn say(name: &str, seconds: f64) {
    println!("{name}\t{seconds:.7}");
}
