//! Photos and notes through the one door: taken in by path, pinned, drawn upon, and there after closing.

use drylay_app::wire::Event;
use drylay_app::{Problem, Session, Timestamp, World, system::System};
use image::{Rgb, RgbImage};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-photos-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
    fn picture(&self, name: &str, shade: u8) -> String {
        let path = self.0.join(name);
        RgbImage::from_pixel(640, 480, Rgb([shade, 90, 20])).save(&path).expect("saved");
        path.display().to_string()
    }
}
impl Drop for Place {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn open(place: &Path) -> Session {
    Session::open(&place.join("store"), Arc::new(System)).expect("a store")
}

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

fn new_room(session: &Session) -> (String, String) {
    let text = |value: Value| value["id"].as_str().expect("an id").to_owned();
    let job = json!({ "name": "Attic", "client": "", "site": "", "units": "imperial" });
    let job = text(call(session, "jobs.create", job));
    let room = text(call(session, "rooms.add", json!({ "job": job, "name": "Den", "corners": 4 })));
    (job, room)
}

/// Takes photos in and waits for what became of them.
fn add(session: &Session, ask: Value) -> Value {
    let events = session.subscribe();
    let task = call(session, "photos.add", ask)["task"].as_str().expect("a task").to_owned();
    loop {
        match events.recv_timeout(Duration::from_secs(60)).expect("an event") {
            Event::Finished { task: of, answer } if of == task => return answer,
            Event::Failed { problem, .. } => panic!("{problem}"),
            _ => {}
        }
    }
}

fn refused(session: &Session, name: &str, args: Value) -> Problem {
    session.call(name, args).expect_err("refused")
}

#[test]
fn photos_are_taken_in_pinned_drawn_upon_and_kept() {
    let place = Place::new("kept");
    let (first, second) = (place.picture("one.jpg", 10), place.picture("two.png", 200));
    let torn = place.0.join("torn.jpg");
    let bytes = std::fs::read(&first).expect("bytes");
    std::fs::write(&torn, &bytes[..bytes.len() / 3]).expect("written");
    let text = place.0.join("list.txt");
    std::fs::write(&text, "no picture").expect("written");
    let (job, room, list);
    {
        let session = open(&place.0);
        (job, room) = new_room(&session);
        let wall = json!({ "what": "wall", "room": room, "item": "B" });
        let paths = json!([first, torn, text, place.0.join("gone.jpg"), second, first]);
        let taken = add(&session, json!({ "job": job, "paths": paths, "pin": wall }));
        assert_eq!((&taken["added"], &taken["known"]), (&json!(2), &json!(1)), "{taken}");
        let codes: Vec<&str> = (0..3).filter_map(|n| taken["refused"][n]["code"].as_str()).collect();
        assert_eq!(codes, ["photo.damaged", "photo.unknown_kind", "store.io"]);
        let seen = call(&session, "photos.list", json!({ "job": job }));
        let photo = &seen["photos"][0];
        assert_eq!(
            (&photo["width"], &photo["height"], &photo["here"]),
            (&json!(640), &json!(480), &json!(true))
        );
        assert_eq!(photo["pin"]["words"], "Wall B–C, Den");
        let id = photo["id"].clone();
        let mark = json!({ "job": job, "photo": id, "what": "figure", "points": [[100, 200], [9000, 200]],
                           "words": "3/16\"" });
        call(&session, "photos.draw", mark);
        call(&session, "photos.edit", json!({ "job": job, "photo": id, "caption": "Crack at the door" }));
        call(
            &session,
            "notes.set",
            json!({ "job": job, "words": "Door stays", "pin": { "what": "room", "room": room } }),
        );
        list = call(&session, "photos.list", json!({ "job": job }));
    }
    let session = open(&place.0);
    assert_eq!(call(&session, "photos.list", json!({ "job": job })), list);
    let photo =
        list["photos"].as_array().expect("photos").iter().find(|it| it["caption"] != "").expect("named");
    assert_eq!(
        (&photo["caption"], &photo["marks"][0]["words"]),
        (&json!("Crack at the door"), &json!("3/16\""))
    );
    assert_eq!(
        (&list["notes"][0]["words"], &list["notes"][0]["pin"]["words"]),
        (&json!("Door stays"), &json!("Den"))
    );

    // The picture, smaller copies of it, and no way to anything else.
    let hash = photo["hash"].as_str().expect("a hash");
    let size = |name: &str| {
        session.photo(name).and_then(|bytes| image::load_from_memory(&bytes).ok()).map(|it| it.width())
    };
    assert_eq!(size(hash), Some(640));
    assert_eq!(size(&format!("{hash}/small")), Some(320));
    // Copies are made again when they are gone.
    std::fs::remove_dir_all(place.0.join("store/copies")).expect("copies");
    assert_eq!(size(&format!("{hash}/medium")), Some(640));
    assert_eq!((session.photo("../drylay.db"), session.photo(&format!("{hash}/large"))), (None, None));

    // Taken out, it is gone from the list, and undo brings it back with its mark.
    let id = photo["id"].clone();
    let left = call(&session, "photos.remove", json!({ "job": job, "id": id }));
    assert_eq!(left["photos"].as_array().map(Vec::len), Some(1));
    call(&session, "edit.undo", json!({ "job": job }));
    let back = call(&session, "photos.list", json!({ "job": job }));
    let back = back["photos"].as_array().expect("photos").iter().find(|it| it["id"] == id).expect("back");
    assert_eq!(
        (&back["marks"], &back["caption"], &back["pin"]),
        (&photo["marks"], &photo["caption"], &photo["pin"])
    );
    assert!(list["stored_bytes"].as_f64().is_some_and(|bytes| bytes > 1000.0));
}

#[test]
fn a_hand_over_takes_its_photos_along_or_leaves_them() {
    let (place, other) = (Place::new("handed"), Place::new("handed-to"));
    let session = open(&place.0);
    let (job, _) = new_room(&session);
    let paths = json!([place.picture("one.jpg", 10), place.picture("two.png", 200)]);
    add(&session, json!({ "job": job, "paths": paths, "pin": { "what": "job" } }));
    let write = |name: &str, photos: Option<bool>| {
        let mut ask = json!({ "job": job, "path": place.0.join(name) });
        if let Some(photos) = photos {
            ask["photos"] = json!(photos);
        }
        call(&session, "handover.write", ask)["bytes"].as_f64().expect("a size")
    };
    let (without, with) = (write("without.drylay", Some(false)), write("with.drylay", None));
    let theirs = open(&other.0);
    let take = |name: &str| call(&theirs, "handover.read", json!({ "path": place.0.join(name) }));
    let here = || {
        let seen = call(&theirs, "photos.list", json!({ "job": job }));
        seen["photos"].as_array().expect("photos").iter().filter(|it| it["here"] == json!(true)).count()
    };
    assert_eq!((take("without.drylay")["files"].clone(), here()), (json!(0), 0));
    assert_eq!((take("with.drylay")["files"].clone(), here()), (json!(2), 2));
    assert!(with > without, "{with} bytes with photos, {without} without");
    drop(theirs);
    let store = drylay_store::Store::open(&other.0.join("store"), [9; 16]).expect("the store");
    let labels: Vec<String> = store.files().expect("files").into_iter().map(|it| it.label).collect();
    assert_eq!(labels, ["photo", "photo"]);
}

#[test]
fn what_is_not_there_is_named() {
    let place = Place::new("refused");
    let session = open(&place.0);
    let (job, room) = new_room(&session);
    let note = |pin: Value| refused(&session, "notes.set", json!({ "job": job, "words": "x", "pin": pin }));
    let code = |problem: Problem| (problem.code, problem.place);
    let is = |code: &str, place: &str| (code.to_owned(), place.to_owned());
    assert_eq!(code(note(json!({ "what": "roof" }))), is("photo.unknown_pin", "pin.what"));
    assert_eq!(code(note(json!({ "what": "room", "room": "none" }))), is("job.unknown_room", "pin.room"));
    let wall = json!({ "what": "wall", "room": room, "item": "Q" });
    assert_eq!(code(note(wall)), is("room.unknown_corner", "pin.item"));
    let reading = json!({ "what": "reading", "room": room, "item": "A-C" });
    assert_eq!(code(note(reading)), is("photo.unknown_reading", "pin.item"));
    let empty = refused(&session, "notes.set", json!({ "job": job, "words": " ", "pin": { "what": "job" } }));
    assert_eq!(code(empty), is("note.empty", "words"));
    let photo =
        json!({ "job": job, "photo": "none", "what": "arrow", "points": [[0, 0], [1, 1]], "words": "" });
    assert_eq!(code(refused(&session, "photos.draw", photo)), is("photo.unknown", "photo"));
}

/// This device with little room left on it.
#[derive(Debug)]
struct NearlyFull;

impl World for NearlyFull {
    fn now(&self) -> Timestamp {
        System.now()
    }
    fn random_id(&self) -> [u8; 16] {
        System.random_id()
    }
    fn free_bytes(&self, _folder: &Path) -> Option<u64> {
        Some(312_000_000)
    }
}

#[test]
fn little_room_on_the_device_is_told_before_it_is_full() {
    let place = Place::new("space");
    let session = Session::open(&place.0.join("store"), Arc::new(NearlyFull)).expect("a store");
    let (job, _) = new_room(&session);
    for view in
        [call(&session, "photos.list", json!({ "job": job })), call(&session, "device.view", json!({}))]
    {
        let warning = view["space_warning"].as_str().expect("a warning");
        assert!(warning.contains("312.0 MB"), "{warning}");
    }
    // What this machine says of itself is a number of bytes; nobody can say it of a folder that is not there.
    assert!(System.free_bytes(&place.0).expect("free bytes") > 0);
    assert_eq!(System.free_bytes(&place.0.join("nowhere")), None);
}
