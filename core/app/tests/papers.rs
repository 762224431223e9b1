//! Papers through the one door: what each lacks, made as a task into the job's folder, told to be of another state, and what is
//! on them. The press here writes a paper's blocks as a text, so that a test can read them.

use drylay_app::papers::{Paper, Press};
use drylay_app::wire::Event;
use drylay_app::{Outlet, Problem, Session, Timestamp, World};
use image::{Rgb, RgbImage};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// A clock that stands still in a zone five hours behind, and ids by counting.
#[derive(Debug)]
struct Counting(AtomicU64, u8);

impl World for Counting {
    fn now(&self) -> Timestamp {
        // 2026-09-25 03:00 UTC, the evening before where the device is.
        Timestamp { utc_ms: 1_790_305_200_000, zone_minutes: -300 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let mut id = [self.1; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

struct Place(PathBuf);

impl Place {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-out-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn papers(&self) -> PathBuf {
        self.0.join("papers")
    }

    fn open(&self, device: u8) -> Session {
        Session::open(&self.0.join("store"), Arc::new(Counting(AtomicU64::new(1), device))).expect("a store")
    }

    fn with_outlet(&self, device: u8) -> Session {
        let session = self.open(device);
        session.give_outlet(Arc::new(Plain { folder: self.papers(), gate: None }));
        session
    }

    /// Every file that lies among the papers, by its path within their folder.
    fn files(&self) -> Vec<String> {
        fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
            for entry in std::fs::read_dir(folder).into_iter().flatten() {
                let path = entry.expect("readable").path();
                if path.is_dir() { walk(&path, found) } else { found.push(path) }
            }
        }
        let mut found = Vec::new();
        walk(&self.papers(), &mut found);
        let name = |path: &PathBuf| path.strip_prefix(self.papers()).expect("within").display().to_string();
        let mut names: Vec<String> = found.iter().map(name).collect();
        names.sort();
        names
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A press that writes what stands on a paper; with a gate it says when it begins, and waits to be let through.
#[derive(Debug)]
struct Plain {
    folder: PathBuf,
    gate: Option<(Sender<()>, Mutex<Receiver<()>>)>,
}

impl Press for Plain {
    fn pdf(&self, paper: &Paper) -> Result<Vec<u8>, String> {
        if let Some((begun, go)) = &self.gate {
            begun.send(()).expect("somebody waits");
            go.lock().expect("one press").recv().expect("let through");
        }
        let shown = Paper { pictures: Vec::new(), ..paper.clone() };
        Ok(format!("{shown:#?}\npictures: {}", paper.pictures.len()).into_bytes())
    }
}

impl Outlet for Plain {
    fn press(&self) -> &dyn Press {
        self
    }
    fn folder(&self) -> PathBuf {
        self.folder.clone()
    }
}

fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

/// A task's end: what it answers, or why it failed.
fn ended(session: &Session, name: &str, ask: Value) -> Result<Value, Problem> {
    let events = session.subscribe();
    let task = session.call(name, ask)?["task"].as_str().expect("a task").to_owned();
    end_of(&events, &task)
}

fn end_of(events: &Receiver<Event>, task: &str) -> Result<Value, Problem> {
    loop {
        match events.recv_timeout(Duration::from_secs(300)).expect("the task ends") {
            Event::Finished { task: of, answer } if of == task => return Ok(answer),
            Event::Failed { task: of, problem } if of == task => return Err(problem),
            _ => {}
        }
    }
}

fn make(session: &Session, job: &str, kinds: &[&str]) -> Result<Value, Problem> {
    ended(session, "papers.make", json!({ "job": job, "kinds": kinds }))
}

fn line(view: &Value, kind: &str) -> Value {
    let papers = view["papers"].as_array().expect("papers");
    papers.iter().find(|line| line["kind"] == kind).unwrap_or_else(|| panic!("no {kind}")).clone()
}

/// A room of 3 × 2 m, fixed in its layout, with a price for everything.
const SHEET: &str = r#"{ "drylay": 1, "job": { "name": "Attic: east / west", "client": "M. Adeyemi" }, "units": "metric",
  "products": [ { "id": "t", "name": "Trial tile", "face": { "length": 600, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 8,
                  "thickness": 9, "kerf": 2, "carton": { "tiles": 6, "price": "38.20" } } ],
  "rooms": [ { "id": "den", "name": "Den", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]] } ],
  "areas": [ { "id": "a", "rooms": ["den"], "product": "t", "layout": { "along": ["A", "B"], "offset": "1/3", "first_row": 300, "shift": 400 } } ],
  "quote": { "currency": "EUR", "tax_percent": 10 } }"#;

fn job(session: &Session) -> String {
    call(
        session,
        "books.read",
        json!({ "what": "rates", "text": "task,unit,per_hour,hourly\nlay,m2,2,60\n" }),
    );
    call(session, "jobs.import", json!({ "sheet": SHEET }))["id"].as_str().expect("an id").to_owned()
}

fn text(session: &Session, job: &str, file: &str) -> String {
    let bytes = session.paper(&format!("{job}/{file}")).unwrap_or_else(|| panic!("no {file}"));
    String::from_utf8(bytes).expect("text")
}

#[test]
fn each_paper_says_what_it_lacks_and_where_that_is_put_right() {
    let place = Place::new("lacks");
    let session = place.open(1);
    let bare = call(
        &session,
        "jobs.create",
        json!({ "name": "Bare", "client": "", "site": "", "units": "imperial" }),
    );
    let bare = bare["id"].as_str().expect("an id").to_owned();
    let view = call(&session, "papers.view", json!({ "job": bare }));
    assert_eq!(
        (&view["size"], &view["folder"], &view["shows"]),
        (&json!("letter"), &Value::Null, &json!(false))
    );
    let kinds: Vec<&str> =
        view["papers"].as_array().expect("papers").iter().filter_map(|line| line["kind"].as_str()).collect();
    assert_eq!(kinds, ["quote", "order", "setting-out", "cuts", "flatness", "photos", "handover", "lists"]);
    for kind in kinds {
        let lacks = line(&view, kind)["lacks"].clone();
        assert_eq!(lacks.as_array().map(Vec::len), Some(1), "{kind}: {lacks}");
        assert_eq!(lacks[0]["origin"], "", "{kind}: on the job's own sheet");
    }
    // Without anything that sets papers none is made, and that is said.
    assert_eq!(make(&session, &bare, &["quote"]).expect_err("no press").code, "papers.no_press");

    session.give_outlet(Arc::new(Plain { folder: place.papers(), gate: None }));
    let lacks = make(&session, &bare, &["order"]).expect_err("nothing is laid");
    assert_eq!((lacks.code.as_str(), lacks.params["paper"].as_str()), ("papers.lacks", "Order list"));
    assert_eq!(make(&session, &bare, &[]).expect_err("none can be made").code, "papers.lacks");
    assert_eq!(make(&session, &bare, &["poem"]).expect_err("no such paper").code, "papers.unknown");
    assert_eq!(make(&session, "nowhere", &["order"]).expect_err("no such job").code, "job.unknown");
    let size = |size: &str| session.call("papers.size", json!({ "job": bare, "size": size }));
    assert_eq!(size("legal").expect_err("no such size").code, "papers.unknown_size");
    assert_eq!(size("a4").expect("chosen")["size"], "a4");
    drop(session);
    let again = place.open(11);
    assert_eq!(call(&again, "papers.view", json!({ "job": bare }))["size"], "a4", "kept");
    assert_eq!(place.files(), Vec::<String>::new());

    let laid = job(&again);
    let view = call(&again, "papers.view", json!({ "job": laid }));
    assert_eq!(line(&view, "flatness")["lacks"][0]["origin"], "room/den/floor");
    for kind in ["quote", "order", "setting-out", "cuts", "handover", "lists"] {
        assert_eq!(line(&view, kind)["lacks"], json!([]), "{kind}");
    }
}

#[test]
fn a_paper_lies_in_the_jobs_folder_and_is_told_when_the_job_has_moved_on() {
    let place = Place::new("made");
    let session = place.with_outlet(2);
    let job = job(&session);
    assert_eq!(line(&call(&session, "papers.view", json!({ "job": job })), "order")["made"], Value::Null);
    let view = make(&session, &job, &["order"]).expect("made");
    let made = line(&view, "order")["made"].clone();
    let folder = format!("Attic- east - west {}", &job[..6]);
    assert_eq!(place.files(), [format!("{folder}/order.pdf")], "and nothing half written beside it");
    let path = place.papers().join(&folder).join("order.pdf");
    assert_eq!(
        (&made["files"][0]["path"], &made["same"]),
        (&json!(path.display().to_string()), &json!(true))
    );
    assert_eq!(made["stamp"]["at"], "2026-09-25T03:00:00Z");
    assert_eq!(session.paper(&format!("{job}/order.pdf")), std::fs::read(&path).ok());
    let on_it = text(&session, &job, "order.pdf");
    assert!(on_it.contains("Trial tile") && on_it.contains("2026-09-24"), "the day where the device is");
    assert!(on_it.contains("size: A4"));
    for name in [
        format!("{job}/quote.pdf"),
        format!("{job}/../order.pdf"),
        format!("{job}/"),
        job.clone(),
        "x/order.pdf".into(),
    ] {
        assert_eq!(session.paper(&name), None, "{name}");
    }

    // Another size, then the job's name: what lies there is not what would be made now.
    let same = |view: &Value| line(view, "order")["made"]["same"].clone();
    assert_eq!(same(&call(&session, "papers.size", json!({ "job": job, "size": "letter" }))), false);
    assert_eq!(same(&make(&session, &job, &["order"]).expect("made anew")), true);
    assert!(text(&session, &job, "order.pdf").contains("size: Letter"));
    call(&session, "jobs.edit", json!({ "job": job, "client": "Somebody else" }));
    assert_eq!(same(&call(&session, "papers.view", json!({ "job": job }))), false);
    call(&session, "edit.undo", json!({ "job": job }));
    assert_eq!(same(&call(&session, "papers.view", json!({ "job": job }))), true, "as it was again");
    // What an hour brings moves the quote and not the order.
    make(&session, &job, &["order", "quote"]).expect("made");
    call(
        &session,
        "books.read",
        json!({ "what": "rates", "text": "task,unit,per_hour,hourly\nlay,m2,2,75\n" }),
    );
    let view = call(&session, "papers.view", json!({ "job": job }));
    assert_eq!((same(&view), &line(&view, "quote")["made"]["same"]), (json!(true), &json!(false)));

    // Whatever a person does to a file, nothing else is handed out under its name.
    std::fs::write(&path, "another").expect("written");
    assert_eq!(session.paper(&format!("{job}/order.pdf")), None);
    assert_eq!(line(&call(&session, "papers.view", json!({ "job": job })), "order")["made"], Value::Null);
    let show = session.call("papers.show", json!({ "job": job, "name": "order.pdf" }));
    assert_eq!(show.expect_err("changed").code, "papers.gone");
    let show = session.call("papers.show", json!({ "job": job, "name": "quote.pdf" }));
    assert_eq!(show.expect_err("nothing opens files here").code, "papers.not_shown");
}

#[test]
fn all_that_can_be_made_is_made_together_with_drawings_and_lists() {
    let place = Place::new("all");
    let session = place.with_outlet(3);
    let job = job(&session);
    make(&session, &job, &[]).expect("made");
    let names: Vec<String> =
        place.files().iter().filter_map(|path| Some(path.rsplit_once('/')?.1.to_owned())).collect();
    assert_eq!(
        names,
        [
            "cuts.pdf",
            "handover.pdf",
            "order.csv",
            "order.pdf",
            "pieces.csv",
            "plan-a.dxf",
            "plan-a.svg",
            "quote.csv",
            "quote.pdf",
            "setting-out.pdf",
            "sheet.json"
        ]
    );
    // Codes of doors are on none of them, nor what an hour brings.
    for name in &names {
        assert!(!text(&session, &job, name).contains("hourly"), "{name}");
    }
}

#[test]
fn a_signature_goes_onto_the_quote_as_long_as_the_quote_says_the_same() {
    let place = Place::new("signed");
    let session = place.with_outlet(4);
    let job = job(&session);
    ended(&session, "quote.count", json!({ "job": job })).expect("counted");
    let freeze = |signature: Value| {
        session.call("quote.freeze", json!({ "job": job, "signed_by": "M. Adeyemi", "signature": signature }))
    };
    let outside = json!({ "width": 90, "height": 45, "strokes": [[[1, 1], [400, 1]]] });
    assert_eq!(freeze(outside).expect_err("outside its field").code, "quote.signature");
    let strokes =
        json!({ "width": 90.0, "height": 45.0, "strokes": [[[0.0, 0.0], [45.125, 22.5], [90.0, 45.0]]] });
    let view = freeze(strokes).expect("signed");
    let kept = &view["signed"][0]["signature"];
    assert_eq!(
        kept["strokes"],
        json!([[[0.0, 0.0], [45.13, 22.5], [90.0, 45.0]]]),
        "hundredths of a millimetre"
    );
    make(&session, &job, &["quote"]).expect("made");
    let on_it = text(&session, &job, "quote.pdf");
    assert!(on_it.contains("name: \"M. Adeyemi\"") && on_it.contains("day: \"2026-09-24\""), "{on_it}");
    // 90 by 45 mm goes into 60 by 20 mm by 4/9: the last place is 40 mm along, on the line.
    assert!(on_it.contains("0.6666666666666") && on_it.contains("1.0,"), "{on_it}");

    // The quote moves: what was signed is not what stands on the paper, so nobody has signed it.
    call(
        &session,
        "books.read",
        json!({ "what": "rates", "text": "task,unit,per_hour,hourly\nlay,m2,2,90\n" }),
    );
    make(&session, &job, &["quote"]).expect("made");
    assert!(!text(&session, &job, "quote.pdf").contains("name: \"M. Adeyemi\""));
}

#[test]
fn the_photo_report_has_the_photos_in_order_with_what_is_drawn_upon_them() {
    let place = Place::new("photos");
    let session = place.with_outlet(5);
    let job = job(&session);
    let picture = |name: &str, wide: u32, shade: u8| {
        let path = place.0.join(name);
        RgbImage::from_pixel(wide, 600, Rgb([shade, 90, 20])).save(&path).expect("saved");
        path.display().to_string()
    };
    let paths = json!([picture("one.jpg", 800, 10), picture("two.png", 300, 200)]);
    let pin = json!({ "what": "room", "room": "den" });
    ended(&session, "photos.add", json!({ "job": job, "paths": paths, "pin": pin })).expect("taken in");
    let list = call(&session, "photos.list", json!({ "job": job }));
    let wide = list["photos"].as_array().expect("photos").iter().find(|one| one["width"] == 800).expect("it");
    let mark = |what: &str, points: Value, words: &str| json!({ "job": job, "photo": wide["id"], "what": what, "points": points, "words": words });
    call(&session, "photos.draw", mark("arrow", json!([[1000, 2000], [9000, 5000]]), ""));
    call(&session, "photos.draw", mark("words", json!([[5000, 5000]]), "older than the paint"));
    call(&session, "photos.edit", json!({ "job": job, "photo": wide["id"], "caption": "Crack at the door" }));
    let view = make(&session, &job, &["photos"]).expect("made");
    assert_eq!(line(&view, "photos")["notes"], json!([]));
    let on_it = text(&session, &job, "photos.pdf");
    assert!(on_it.contains("pictures: 2") && on_it.contains("Crack at the door") && on_it.contains("Den · "));
    assert!(on_it.contains("arrow: true") && on_it.contains("older than the paint"), "{on_it}");
    // Tenths of the width and fifths of the height, as they were drawn.
    assert!(on_it.contains("0.1,") && on_it.contains("0.9,"), "{on_it}");
    assert!(on_it.contains("800.0") && on_it.contains("300.0"), "the photos' own proportions");

    call(&session, "photos.wipe", json!({ "job": job, "id": list_mark(&session, &job) }));
    let view = call(&session, "papers.view", json!({ "job": job }));
    assert_eq!(line(&view, "photos")["made"]["same"], false, "a mark was taken off");
}

fn list_mark(session: &Session, job: &str) -> Value {
    let list = call(session, "photos.list", json!({ "job": job }));
    let photos = list["photos"].as_array().expect("photos").iter();
    photos
        .filter_map(|photo| photo["marks"].as_array()?.first())
        .map(|mark| mark["id"].clone())
        .next()
        .expect("a mark")
}

#[test]
fn a_task_that_is_ended_and_a_folder_that_cannot_be_written_leave_nothing_half_made() {
    let place = Place::new("ended");
    let session = place.open(6);
    let ((begun, has_begun), (go, goes)) = (channel(), channel());
    session.give_outlet(Arc::new(Plain { folder: place.papers(), gate: Some((begun, Mutex::new(goes))) }));
    let job = job(&session);
    let events = session.subscribe();
    let task = call(&session, "papers.make", json!({ "job": job, "kinds": ["order", "cuts"] }));
    let task = task["task"].as_str().expect("a task");
    has_begun.recv_timeout(Duration::from_secs(300)).expect("the first paper is being set");
    call(&session, "task.cancel", json!({ "task": task }));
    // Both may have been begun side by side, and none is broken off.
    for _ in 0..2 {
        go.send(()).expect("the press waits");
    }
    assert_eq!(end_of(&events, task).expect_err("ended").code, "task.cancelled");
    assert_eq!(place.files(), Vec::<String>::new());

    // A file stands where the folder would be.
    std::fs::write(place.papers(), "in the way").expect("written");
    go.send(()).expect("a press to come");
    let problem = make(&session, &job, &["order"]).expect_err("no folder");
    assert_eq!(problem.code, "papers.unwritable");
    assert!(problem.place.starts_with(&place.papers().display().to_string()), "{}", problem.place);
    let view = call(&session, "papers.view", json!({ "job": job }));
    assert_eq!(line(&view, "order")["made"], Value::Null);
    std::fs::remove_file(place.papers()).expect("out of the way");
    go.send(()).expect("a press to come");
    make(&session, &job, &["order"]).expect("made after all");
    assert_eq!(place.files().len(), 1);
}
