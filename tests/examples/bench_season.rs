//! A season's job as a phone opens it, and a long list of jobs: `bench_season` writes the figures, one a line
//! (`name<TAB>figure`, seconds or bytes).
//!
//! The job has 8 rooms, 2,000 readings (all but a few corrected by later ones), 2,000 marks on pieces and 300 photo
//! records. Rooms are read by commands; marks and photo records are written into the job's document, and all of it
//! is taken in from a hand-over file.
#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

use drylay_app::Session;
use drylay_app::system::System;
use drylay_document::handover::{HandOver, Part};
use drylay_document::{
    Actor, Author, ContentHash, DeviceId, Edit, JobEntry, Kind, Photo, PieceMark, PieceState, Stamp,
    Timestamp,
};
use drylay_store::{DocumentKey, Op, Store};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

type Outcome<T> = Result<T, Box<dyn Error>>;

/// As in the programs.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const ROOMS: usize = 8;
const READINGS: usize = 2000;
const MARKS: usize = 2000;
const PHOTOS: usize = 300;
const JOBS: u16 = 1000;
const TIMES: usize = 9;

fn main() -> Outcome<()> {
    // Beside the program: a temporary folder may lie in memory, where nothing is ever flushed.
    let program = std::env::current_exe()?;
    let beside = program.parent().ok_or("the program lies nowhere")?;
    let folder = beside.join(format!("bench-season-{}", std::process::id()));
    std::fs::create_dir_all(&folder)?;
    let done = season(&folder).and_then(|()| list(&folder.join("list")));
    std::fs::remove_dir_all(&folder)?;
    done
}

fn open(folder: &Path) -> Outcome<Session> {
    Ok(Session::open(folder, Arc::new(System))?)
}

fn id(answer: &Value) -> Outcome<String> {
    Ok(answer["id"].as_str().ok_or("an answer without an id")?.to_owned())
}

fn season(folder: &Path) -> Outcome<()> {
    let job = rooms(&folder.join("made"), &folder.join("rooms.drylay"))?;
    let bytes = marks(&folder.join("rooms.drylay"), &folder.join("season.drylay"))?;
    say("season's job, bytes of all documents", bytes as f64);
    let store = folder.join("store");
    open(&store)?.call("handover.read", json!({ "path": folder.join("season.drylay") }))?;
    let opened = || {
        let session = open(&store)?;
        let begun = Instant::now();
        let view = session.call("job.view", json!({ "job": job }))?;
        let took = begun.elapsed().as_secs_f64();
        let rooms = view["rooms"].as_array().map_or(0, Vec::len);
        if rooms == ROOMS { Ok(took) } else { Err(format!("{rooms} rooms").into()) }
    };
    say("season's job opened", median((0..TIMES).map(|_| opened()).collect::<Outcome<_>>()?));
    Ok(())
}

/// The walls of a room of six corners and two ties, in millimetres (√(6000² + 4000²) and √(3000² + 6000²)).
const READ: [(&str, &str, usize); 8] = [
    ("A", "B", 6000),
    ("B", "C", 4000),
    ("C", "D", 3000),
    ("D", "E", 2000),
    ("E", "F", 3000),
    ("F", "A", 6000),
    ("A", "C", 7211),
    ("A", "E", 6708),
];

/// Rooms whose walls and ties were typed again and again, handed over in a file; the job's id.
fn rooms(store: &Path, file: &Path) -> Outcome<String> {
    let session = open(store)?;
    let ask = json!({ "name": "School", "client": "", "site": "", "units": "metric" });
    let job = id(&session.call("jobs.create", ask)?)?;
    for n in 0..ROOMS {
        let ask = json!({ "job": job, "name": format!("Room {}", n + 1), "corners": 6 });
        let room = id(&session.call("rooms.add", ask)?)?;
        let edit = |edit: Value| session.call("room.edit", json!({ "job": job, "room": room, "edit": edit }));
        edit(json!({ "do": "turn", "corner": "D", "out": true }))?;
        for k in 0..READINGS / ROOMS {
            let (from, to, length) = READ[k % READ.len()];
            let text = format!("{} mm", length + k % 3 - 1);
            edit(json!({ "do": "set_reading", "from": from, "to": to, "text": text }))?;
        }
    }
    session.call("handover.write", json!({ "job": job, "path": file }))?;
    Ok(job)
}

/// Marks and photo records into the job of a hand-over file; how many bytes its documents have together.
fn marks(from: &Path, to: &Path) -> Outcome<usize> {
    let mut read = HandOver::read(&std::fs::read(from)?)?;
    let mut random = fastrand::Rng::with_seed(5);
    let mut new = || std::iter::repeat_with(|| random.alphanumeric()).take(22).collect::<String>();
    let by = Author { device: DeviceId([1; 16]), name: "Ana".into() };
    let at = |n: usize| Timestamp {
        utc_ms: 1_790_000_000_000 + 60_000 * i64::try_from(n).unwrap_or(0),
        zone_minutes: -300,
    };
    let part = read.parts.iter_mut().find(|part| part.kind == Kind::Job).ok_or("no job")?;
    let mut job = part.open(Actor([9; 16]))?;
    for n in 0..MARKS {
        let mark = PieceMark {
            plan: ContentHash::of(b"the plan"),
            area: "main".into(),
            pieces: vec![format!("{}-{}", n / 20, n % 20)],
            state: PieceState::Laid,
            after: Vec::new(),
        };
        job.apply(&Edit::<JobEntry>::add(new(), mark), &by, at(n))?;
    }
    for n in 0..PHOTOS {
        let photo = Photo {
            hash: ContentHash::of(&n.to_le_bytes()),
            bytes: 3_000_000,
            width: Some(4000),
            height: Some(3000),
            taken_ms: Some(1_790_000_000_000),
            pin: None,
            caption: None,
            in_report: None,
        };
        job.apply(&Edit::<JobEntry>::add(new(), photo), &by, at(MARKS + n))?;
    }
    *part = Part::whole(&mut job);
    let bytes = read.parts.iter().map(|part| part.bytes.len()).sum();
    read.stamp = Stamp { at: at(MARKS + PHOTOS), by };
    std::fs::write(to, read.to_bytes())?;
    Ok(bytes)
}

/// A list of many jobs, asked for first in a session and again.
fn list(folder: &Path) -> Outcome<()> {
    let session = open(folder)?;
    let ask = json!({ "name": "Job", "client": "A client", "site": "A street", "units": "metric" });
    session.call("jobs.create", ask)?;
    drop(session);
    let mut store = Store::open(folder, [9; 16])?;
    let line = store.jobs()?.pop().ok_or("no job")?;
    let later = |n: u16| drylay_store::Summary {
        job: DocumentKey(u128::from(n).to_be_bytes()),
        name: format!("Job {n}"),
        changed_utc_ms: line.changed_utc_ms + i64::from(n),
        ..line.clone()
    };
    let lines: Vec<_> = (1..JOBS).map(later).collect();
    store.write(&lines.iter().map(Op::Summarise).collect::<Vec<_>>())?;
    drop(store);
    let asked = || {
        let session = open(folder)?;
        let begun = Instant::now();
        let jobs = session.call("jobs.list", json!({}))?;
        let took = begun.elapsed().as_secs_f64();
        let count = jobs["jobs"].as_array().map_or(0, Vec::len);
        if count == usize::from(JOBS) { Ok(took) } else { Err(format!("{count} jobs").into()) }
    };
    say("1000 jobs listed", median((0..TIMES).map(|_| asked()).collect::<Outcome<_>>()?));
    Ok(())
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_unstable_by(f64::total_cmp);
    times[times.len() / 2]
}

fn say(name: &str, figure: f64) {
    println!("{name}\t{figure:.7}");
}
