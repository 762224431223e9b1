//! Stores and hand-over files that earlier programs wrote, read by this one: nothing in them is lost. They are made
//! by `tests/examples/keep_store.rs`; once kept, a file is never made again, for a new version gets files of its own.

use drylay_app::Session;
use drylay_app::system::System;
use drylay_store::archive;
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-kept-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The kept files that end so, by name: there is at least one.
fn kept(ending: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("kept");
    let files = std::fs::read_dir(folder).expect("the kept files").map(|entry| entry.expect("a file").path());
    let mut files: Vec<_> = files.filter(|path| path.extension().is_some_and(|it| it == ending)).collect();
    files.sort();
    assert!(!files.is_empty(), "no kept file ends in {ending}");
    files
}

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

/// Everything that was seen and decided that evening, and what follows from it. By hand: the room of 3010 × 2410 mm
/// leaves 2998 × 2398 mm = 5 · 600 − 2 by 8 · 300 − 2, so 40 tiles, of which the post's one is cut; 3 % of 40 are 1.2
/// and 5 % are 2, so 40 + 2 + 2 = 44 tiles, and those are 7 cartons of 7.
fn all_is_there(session: &Session, by: &str) {
    let jobs = call(session, "jobs.list", json!({}));
    let job = &jobs["jobs"][0]["id"];
    let view = call(session, "job.view", json!({ "job": job }));
    assert_eq!((&view["card"]["name"], &view["card"]["site"]), (&json!("Boat house"), &json!("Quay 3")));
    assert_eq!(view["problems"], json!([]));
    room_is_there(session, job, &view["rooms"][0]["id"], by);
    let area = &view["areas"][0]["id"];
    let plan = call(session, "plan.view", json!({ "job": job, "area": area }));
    assert_eq!((&plan["accepted"], &plan["tiles"]), (&json!(true), &json!(40)));
    assert_eq!(plan["measures"]["cut_pieces"], 1);
    let buy = call(session, "buy.view", json!({ "job": job }));
    assert_eq!((&buy["lines"][0]["quantity"], &buy["lines"][0]["packs"]), (&json!(44), &json!(7)), "{buy:#}");
    let pinned = call(session, "photos.list", json!({ "job": job }));
    assert_eq!(pinned["notes"][0]["words"], "The post stays", "{pinned:#}");
}

fn room_is_there(session: &Session, job: &Value, room: &Value, by: &str) {
    let view = call(session, "room.view", json!({ "job": job, "room": room }));
    // Four walls and a square corner fix a room and check nothing.
    assert_eq!(view["verdict"], "loose");
    let wall = &view["walls"][0]["reading"];
    assert_eq!(wall["text"], "3010 mm");
    assert_eq!(wall["earlier"][0]["text"], "3012 mm");
    assert_eq!(wall["stamp"]["by"], by, "{wall:#}");
    let read = |n: usize| view["walls"][n]["reading"]["text"].clone();
    assert_eq!([read(1), read(2), read(3)], ["2410 mm", "3.010 m", "241 cm"]);
    assert_eq!(view["openings"][0]["width"]["mm"], 900.0);
    assert_eq!(view["keepouts"].as_array().map(Vec::len), Some(1));
}

/// What came after the first files were kept: a signed quote, two rows of five laid by the plan that was given out, 7
/// cartons of 7 less ten tiles and one that broke, an hour and a half, and the signature at the walk-through.
fn work_is_there(session: &Session, file: &Path) {
    if file.file_stem().is_some_and(|name| name == "first") {
        return;
    }
    let jobs = call(session, "jobs.list", json!({}));
    let job = &jobs["jobs"][0]["id"];
    let quote = call(session, "quote.view", json!({ "job": job }));
    assert_eq!(quote["signed"][0]["signed_by"], "A. Rower", "{file:?}: {quote:#}");
    let work = call(session, "work.view", json!({ "job": job }))["area"].clone();
    assert_eq!((&work["pieces_all"], &work["pieces_laid"]), (&json!(40), &json!(10)), "{file:?}");
    let stock = &work["stock"];
    assert_eq!((&stock["delivered"], &stock["left"]), (&json!(49), &json!(38)), "{file:?}: {stock:#}");
    let time = call(session, "time.view", json!({ "job": job }));
    let laying = time["hours"].as_array().expect("rows").iter().find(|row| row["spent"] == "1.5 h");
    assert!(laying.is_some(), "{file:?}: {time:#}");
    let walk = call(session, "walk.view", json!({ "job": job }));
    assert_eq!(walk["records"][0]["signed_by"], "A. Rower", "{file:?}: {walk:#}");
}

#[test]
fn every_kept_backup_is_restored_whole() {
    for file in kept("backup") {
        let place = Folder::new("backup");
        archive::restore(&file, &place.0.join("store")).unwrap_or_else(|error| panic!("{file:?}: {error}"));
        let session = Session::open(&place.0.join("store"), Arc::new(System)).expect("a store");
        all_is_there(&session, "Ana's phone");
        work_is_there(&session, &file);
        let shop = call(&session, "shop.view", json!({}));
        assert_eq!(shop["name"], "Floors by the quay");
        assert_eq!(call(&session, "draft.list", json!({}))["drafts"]["walk"], "12' 3 1");
    }
}

#[test]
fn every_kept_hand_over_is_taken_in_whole_and_can_be_written_to() {
    for file in kept("handover") {
        let place = Folder::new("handover");
        let session = Session::open(&place.0, Arc::new(System)).expect("a store");
        call(&session, "handover.read", json!({ "path": file.to_string_lossy() }));
        all_is_there(&session, "Ana's phone");
        work_is_there(&session, &file);
        let jobs = call(&session, "jobs.list", json!({}));
        let job = &jobs["jobs"][0]["id"];
        call(&session, "jobs.edit", json!({ "job": job, "name": "Boat house, upper floor" }));
        assert_eq!(call(&session, "jobs.list", json!({}))["jobs"][0]["name"], "Boat house, upper floor");
    }
}
