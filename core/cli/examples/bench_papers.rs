//! How long papers take: all of the demo job with its plans known, and a report of sixty photos. `bench_papers` writes the
//! figures, one a line (`name<TAB>figure`, seconds or bytes).
#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

use drylay_app::papers::Press;
use drylay_app::system::System;
use drylay_app::wire::Event;
use drylay_app::{Outlet, Session};
use drylay_press::Typst;
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// As in the programs.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const RUNS: usize = 5;
const PHOTOS: u32 = 60;

/// Papers lie in a folder that goes with the measurement.
#[derive(Debug)]
struct Folder(PathBuf);

impl Outlet for Folder {
    fn press(&self) -> &dyn Press {
        &Typst
    }
    fn folder(&self) -> PathBuf {
        self.0.clone()
    }
}

fn main() {
    let place = std::env::temp_dir().join(format!("drylay-bench-papers-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&place);
    std::fs::create_dir_all(&place).expect("a folder");
    let session = Session::open(&place.join("store"), Arc::new(System)).expect("a store");
    session.give_outlet(Arc::new(Folder(place.join("papers"))));
    demo(&session);
    report(&session, &place);
    drop(session);
    std::fs::remove_dir_all(&place).expect("gone");
}

fn say(name: &str, figure: f64) {
    println!("{name}\t{figure}");
}

fn call(session: &Session, name: &str, ask: Value) -> Value {
    session.call(name, ask).unwrap_or_else(|problem| panic!("{name}: {problem}"))
}

/// Runs a task to its end; answers how long it took.
fn task(session: &Session, name: &str, ask: Value) -> (Value, f64) {
    let (events, begun) = (session.subscribe(), Instant::now());
    let task = call(session, name, ask)["task"].as_str().expect("a task").to_owned();
    loop {
        match events.recv_timeout(Duration::from_secs(300)).expect("it ends") {
            Event::Finished { task: of, answer } if of == task => {
                return (answer, begun.elapsed().as_secs_f64());
            }
            Event::Failed { task: of, problem } if of == task => panic!("{name}: {problem}"),
            _ => {}
        }
    }
}

/// How many papers were made, and the bytes of all their files.
fn made(view: &Value) -> (usize, f64) {
    let papers = view["papers"].as_array().expect("papers").iter().filter(|one| !one["made"].is_null());
    let files: Vec<&Value> =
        papers.clone().flat_map(|one| one["made"]["files"].as_array()).flatten().collect();
    let bytes = files.iter().filter_map(|file| std::fs::metadata(file["path"].as_str()?).ok());
    (papers.count(), bytes.map(|it| it.len() as f64).sum())
}

/// All papers of the demo job.
fn demo(session: &Session) {
    let job = call(session, "jobs.demo", json!({}))["id"].clone();
    task(session, "quote.count", json!({ "job": job }));
    let mut times = Vec::new();
    for _ in 0..RUNS {
        let (view, took) = task(session, "papers.make", json!({ "job": job, "kinds": [] }));
        let (count, bytes) = made(&view);
        assert!(count >= 6, "{count} papers");
        times.push((took, bytes));
    }
    times.sort_by(|one, other| one.0.total_cmp(&other.0));
    say("all papers of the demo job", times[RUNS / 2].0);
    say("all papers of the demo job, bytes", times[RUNS / 2].1);
}

/// A photo of a few megapixels with the detail of a wall: a slope of light, and grain.
fn photo(n: u32) -> RgbImage {
    let mut grain = fastrand::Rng::with_seed(u64::from(n));
    RgbImage::from_fn(3000, 2250, |x, y| {
        let light = 60 + (x * 90 / 3000 + y * 60 / 2250) + grain.u32(..12) + (x / 97 + y / 61 + n) % 2 * 18;
        let shade = |part: u32| u8::try_from((light * part / 100).min(255)).unwrap_or(255);
        Rgb([shade(100), shade(94), shade(82)])
    })
}

/// A report of sixty photos.
fn report(session: &Session, place: &std::path::Path) {
    let ask = json!({ "name": "Photos", "client": "", "site": "", "units": "metric" });
    let job = call(session, "jobs.create", ask)["id"].clone();
    let paths: Vec<PathBuf> = (0..PHOTOS).map(|n| place.join(format!("{n}.jpg"))).collect();
    for (n, path) in (0..).zip(&paths) {
        photo(n).save_with_format(path, ImageFormat::Jpeg).expect("saved");
    }
    let (_, took) =
        task(session, "photos.add", json!({ "job": job, "paths": paths, "pin": { "what": "job" } }));
    say("sixty photos taken in", took);
    let (view, took) = task(session, "papers.make", json!({ "job": job, "kinds": ["photos"] }));
    let (count, bytes) = made(&view);
    assert_eq!(count, 1, "one report");
    say("report of sixty photos", took);
    say("report of sixty photos, bytes", bytes);
}
