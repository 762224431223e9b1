//! What comes in by the one door and by what other devices froze: commands with their arguments, files that are taken in,
//! signed quotes and handovers.

use std::cell::Cell;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use drylay_app::table::{self, Command};
use drylay_app::wire::Event;
use drylay_app::{Problem, Session, Timestamp, World, outside};
use drylay_document::handover::HandOver;
use drylay_store::{FileHash, Store};
use serde_json::{Value, json};

use super::files::{blake3_at_the_end, handovers};
use super::{Scratch, Target};

pub(super) fn targets() -> Vec<Target> {
    vec![
        Target {
            name: "commands",
            about: "commands by name, with their arguments as JSON",
            seeds: commands,
            words: COMMAND_WORDS,
            mend: None,
            memory: 16 << 20,
            runs: 120,
            look: command,
        },
        Target {
            name: "brought",
            about: "job sheets and hand-over files, taken into a store that has jobs",
            seeds: bringable,
            words: &[
                "DRYLAYHO",
                "\"rooms\"",
                "\"id\":\"den\"",
                "\"drylay\": 1",
                "{}",
                "\u{feff}",
                "corners",
                "\u{85}oJ\u{83}",
            ],
            mend: Some(|input| {
                if HandOver::looks_like(input) {
                    blake3_at_the_end(input);
                }
            }),
            memory: 96 << 20,
            runs: 50,
            look: bring,
        },
        Target {
            name: "frozen",
            about: "signed quotes and handovers as other devices froze them",
            seeds: frozen,
            words: &[
                "\"quantity\":\"79228162514264337593543950335\"",
                "\"unit\":\"hour\"",
                "\"total\":\"-0.01\"",
                "\"tax\":\"1e28\"",
                "\"settled\":false",
                "\"points\":[{}]",
                "\"lines\":[]",
                "\"drylay_issue\"",
            ],
            mend: None,
            memory: 16 << 20,
            runs: 40,
            look: thaw,
        },
    ]
}

/// A clock that stands still, and ids by counting: the same in every run.
#[derive(Debug)]
struct Counting(AtomicU64);

impl World for Counting {
    fn now(&self) -> Timestamp {
        Timestamp { utc_ms: 1_790_000_000_000, zone_minutes: 120 }
    }

    fn random_id(&self) -> [u8; 16] {
        let n = self.0.fetch_add(1, Ordering::Relaxed);
        let mut id = [7; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id
    }
}

/// A store with one job, open.
struct Place {
    session: Session,
    job: String,
    /// What is seen of the job.
    seen: Vec<Value>,
    /// How many inputs it has been through.
    inputs: u32,
    scratch: Scratch,
}

thread_local! {
    /// The places that are open: with the demo job, and with a small one. They go when the thread is over.
    static DEMO: Cell<Option<Place>> = const { Cell::new(None) };
    static SMALL_JOB: Cell<Option<Place>> = const { Cell::new(None) };
    /// And one that files are brought into.
    static BROUGHT_TO: Cell<Option<Place>> = const { Cell::new(None) };
}

fn open(folder: &Path, ids_from: u64) -> Result<Session, Problem> {
    Session::open(folder, Arc::new(Counting(AtomicU64::new(ids_from))))
}

/// Does what the table has under the name, without the guard that keeps a panic from the screens.
fn run(session: &Session, name: &str, args: Value) -> Result<Value, Problem> {
    let command = table::find(name).unwrap_or_else(|| panic!("no command {name}"));
    (command.run)(session, args)
}

/// The same for what must be done.
fn done(session: &Session, name: &str, args: Value) -> Value {
    run(session, name, args).unwrap_or_else(|problem| panic!("{name}: {problem}"))
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

/// The job and its rooms as the screens see them.
fn seen(session: &Session, job: &str) -> Vec<Value> {
    let view = done(session, "job.view", json!({ "job": job }));
    let rooms = view["rooms"].as_array().cloned().unwrap_or_default();
    let room = |room: &Value| done(session, "room.view", json!({ "job": job, "room": room["id"] }));
    let rooms: Vec<Value> = rooms.iter().map(room).collect();
    [vec![view], rooms].concat()
}

impl Place {
    /// The demo job in a store of its own.
    fn with_the_demo() -> Self {
        let scratch = Scratch::new("commands");
        let session = open(&scratch.0.join("store"), 1).unwrap_or_else(|problem| panic!("{problem}"));
        // A network that carries nothing, so that it may be asked for.
        let listened = session.engine().map(|engine| engine.listen(Box::new(|_| ())));
        listened.unwrap_or_else(|problem| panic!("{problem}"));
        let job = text(&done(&session, "jobs.demo", json!({}))["id"]);
        let seen = seen(&session, &job);
        Self { session, job, seen, inputs: 0, scratch }
    }
}

const COMMAND_WORDS: &[&str] = &[
    "@job",
    "\"kitchen\"",
    "\"dry\"",
    "\"edit\":{\"do\":\"put\"}",
    "\"do\":\"set_reading\"",
    "null",
    "true",
    "[[0,0],[1,1]]",
    "1e308",
    "\"12' 3 1/2\\\"\"",
    "99999999",
    "\"id\":\"A\",",
    "\\ud800",
];

/// One line for each: the name of a command and its arguments. `@job` stands for the demo job's id.
const COMMANDS: &[&str] = &[
    r#"jobs.create {"name":"Attic","client":"","site":"","units":"metric"}"#,
    r#"jobs.edit {"job":"@job","name":"Mill","units":"metric","breakage":"3","attic":"5"}"#,
    r#"jobs.import {"sheet":"{\"drylay\":1,\"job\":{\"name\":\"A\"},\"rooms\":[{\"id\":\"r\",\"outline\":[[0,0],[900,0],[900,900],[0,900]]}]}"}"#,
    r#"jobs.export {"job":"@job"}"#,
    r#"rooms.add {"job":"@job","name":"Den","corners":4}"#,
    r#"rooms.remove {"job":"@job","room":"living"}"#,
    r#"passages.set {"job":"@job","a":["hall","to-bath"],"b":["bath","to-hall"],"depth":"4 1/2\""}"#,
    r#"areas.set {"job":"@job","id":"wet","name":"Bath","rooms":["bath"],"product":"wet-tile"}"#,
    r#"products.set {"job":"@job","product":{"name":"Slab","length":"24\"","width":"12\"","thickness":"","joint":"1/8\"","edge_gap":"1/4\"","kerf":"","offsets":["1/3"],"interlock":true,"min_row_width":"","min_end_length":"","carton_tiles":"6"}}"#,
    r#"room.edit {"job":"@job","room":"bath","edit":{"do":"set_reading","from":"A","to":"B","text":"6' 2 3/4\""}}"#,
    r#"room.edit {"job":"@job","room":"bath","edit":{"do":"set_measured","to":"trim","thickness":"1/2\"","height":"3\"","instrument":"laser"}}"#,
    r#"room.edit {"job":"@job","room":"hall","edit":{"do":"set_opening","from":"A","to":"B","start":"1'","width":"32\"","reach":"2\""}}"#,
    r#"room.edit {"job":"@job","room":"hall","edit":{"do":"add_corner","after":"A"}}"#,
    r#"room.edit {"job":"@job","room":"hall","edit":{"do":"set_keepout","name":"Post","x":"20\"","y":"20\"","width":"4\"","depth":"4\""}}"#,
    r#"room.edit {"job":"@job","room":"hall","edit":{"do":"set_located","name":"Post","what":"post","by":"wall","from":"A","to":"B","first":"20\"","second":"20\"","left":false,"diameter":"","size_along":"4\"","size_away":"4\""}}"#,
    r#"room.edit {"job":"@job","room":"living","edit":{"do":"set_exposure","settings":["wet"],"yearly_range":"40"}}"#,
    r#"floor.view {"job":"@job","room":"kitchen"}"#,
    r#"floor.edit {"job":"@job","room":"kitchen","edit":{"do":"add_straightedge","from":[300,300],"to":[900,300],"gap":"1/8\""}}"#,
    r#"floor.edit {"job":"@job","room":"kitchen","edit":{"do":"read","point":"at 700 700","at":[700,700],"setup":"","text":"45 1/4\""}}"#,
    r#"base.edit {"job":"@job","room":"hall","edit":{"do":"put","of":"layer","fields":{"what":"wood","thickness":"3/4\""}}}"#,
    r#"length.read {"text":"12' 3 1/2\"","units":"imperial","reading":true}"#,
    r#"draft.put {"key":"a","text":"b"}"#,
    r#"prefer.set {"job":"@job","area":"wet","start":["A","B"],"whole_rows":[["C","D"]],"centre":{"x":"2'","y":"3'","rows":"tile"},"slide":false}"#,
    r#"buy.view {"job":"@job"}"#,
    r#"quote.set {"job":"@job","currency":"EUR","discount":"2","tax":"19","deposit":"","signed_at":"shop"}"#,
    r#"quote.line {"job":"@job","words":"A closet","quantity":"2,5","unit":"m2","price":"84.20"}"#,
    r#"books.read {"what":"rates","text":"task,unit,per_hour,hourly\nlay,m2,2,60\n"}"#,
    r#"call.set {"job":"@job","what":"parking","words":"By the gate"}"#,
    r#"notes.set {"job":"@job","words":"Mind the cat","pin":{"what":"room","room":"hall"}}"#,
    r#"stages.set {"job":"@job","stage":"lay","to":"begin"}"#,
    r#"heating.log {"job":"@job","what":"off","warmth":"","words":""}"#,
    r#"day.keep {"job":"@job","day":"2026-09-25","words":"Rain"}"#,
    r#"time.start {"job":"@job","task":"lay"}"#,
    r#"time.add {"job":"@job","task":"lay","hours":"1:30","people":"2","who":"","day":"2026-09-20","done":"4"}"#,
    r#"walk.set {"job":"@job","room":"hall","words":"Strip at the gate","mender":"Ana","until":"2026-10-01","settled":false,"made_from":""}"#,
    r#"walk.sign {"job":"@job","signed_by":"A client","signature":{"width":60.0,"height":24.0,"strokes":[[[5.0,12.0],[20.0,6.5]]]}}"#,
    r#"shop.edit {"name":"The shop","breakage":"4","attic":""}"#,
    r#"device.rename {"name":"Ana"}"#,
    r#"device.speak {"language":"de"}"#,
    r#"crew.invite {"may_remove":true}"#,
    r#"crew.join {"text":"1234 5678"}"#,
    r#"history.list {"job":"@job","room":"bath","limit":20}"#,
    r#"report.anonymised {"job":"@job"}"#,
    r#"papers.size {"job":"@job","size":"a4"}"#,
];

fn commands() -> Vec<Vec<u8>> {
    COMMANDS.iter().map(|line| line.as_bytes().to_vec()).collect()
}

/// What writes a file where it is told to, and what goes on by itself after it has answered, are left out: their
/// arguments are read by the same reader.
fn is_tried(command: &Command) -> bool {
    let answer = (command.types)().1;
    answer != "TaskView" && !["store.backup", "handover.write"].contains(&command.name)
}

fn command(input: &[u8]) -> bool {
    let text = String::from_utf8_lossy(input);
    let Some((name, args)) = text.split_once(' ') else { return false };
    let Some(command) = table::find(name).filter(|command| is_tried(command)) else { return false };
    // Out of its place while it is worked with: after a panic there is none, and the next input gets a new one.
    let place = DEMO.take().unwrap_or_else(Place::with_the_demo);
    let Ok(args) = serde_json::from_str(&args.replace("@job", &place.job)) else {
        DEMO.set(Some(place));
        return false;
    };
    let answer = (command.run)(&place.session, args);
    if name == "device.speak" {
        done(&place.session, name, json!({ "language": "en" }));
    }
    if let Err(problem) = &answer {
        assert_ne!(problem.code, "program.fault", "{name}: {problem}");
    }
    let now = seen(&place.session, &place.job);
    if answer.is_err() || command.stale.is_empty() {
        assert!(now == place.seen, "{name} was refused, or only looks, and changed the job");
    }
    // What was changed for good ends with its store, so that every input begins with the same job.
    if answer.is_err() || command.access == table::Access::Reads {
        DEMO.set(Some(place));
    }
    answer.is_ok()
}

/// A room of 3 × 2 m, fixed in its layout, with work that needs no plan.
const SMALL: &str = r#"{ "drylay": 1, "job": { "name": "Attic" }, "units": "metric",
  "products": [ { "id": "t", "name": "Trial tile", "face": { "length": 600, "width": 300 }, "offsets": ["1/3"], "joint": 3, "edge_gap": 8,
                  "kerf": 2, "carton": { "tiles": 6, "price": "38.20" } } ],
  "rooms": [ { "id": "den", "name": "Den", "outline": [[0,0],[3000,0],[3000,2000],[0,2000]] } ],
  "areas": [ { "id": "a", "rooms": ["den"], "product": "t", "layout": { "along": ["A", "B"], "offset": "1/3", "first_row": 300, "shift": 400 } } ],
  "quote": { "currency": "EUR", "tax_percent": 10, "work": [ { "task": "demolish", "quantity": 6, "unit": "m2" } ] } }"#;

impl Place {
    /// A small job in a store of its own, with what the crew charges.
    fn with_a_small_job() -> Self {
        let scratch = Scratch::new("frozen");
        let session = open(&scratch.0.join("store"), 1).unwrap_or_else(|problem| panic!("{problem}"));
        let job = text(&done(&session, "jobs.import", json!({ "sheet": SMALL }))["id"]);
        let rates = "task,unit,per_hour,hourly\nlay,m2,2,60\ndemolish,m2,3,50\n";
        done(&session, "books.read", json!({ "what": "rates", "text": rates }));
        Self { session, job, seen: Vec::new(), inputs: 0, scratch }
    }
}

/// A sheet, and hand-over files that nobody has signed: a seal would not fit what is damaged.
fn bringable() -> Vec<Vec<u8>> {
    let marked = format!("\u{feff}\n {SMALL}");
    [handovers(), vec![SMALL.into(), marked.into()]].concat()
}

/// The most inputs in one store: what was taken in stays.
const MOST_BROUGHT: u32 = 30;

/// What is taken in can be opened, and what was there before stays as it was.
fn bring(input: &[u8]) -> bool {
    let kept = BROUGHT_TO.take().filter(|place| place.inputs < MOST_BROUGHT);
    let mut place = kept.unwrap_or_else(|| {
        let place = Place::with_a_small_job();
        let seen = seen(&place.session, &place.job);
        Place { seen, ..place }
    });
    place.inputs += 1;
    let path = place.scratch.0.join("brought");
    std::fs::write(&path, input).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let answer = run(&place.session, "files.bring", json!({ "path": path }));
    if let Ok(brought) = &answer {
        for job in brought["jobs"].as_array().into_iter().flatten() {
            let _ = seen(&place.session, &text(&job["id"]));
        }
        let check = done(&place.session, "store.check", json!({}));
        assert_eq!(check["clean"], json!(true), "{check}");
    }
    assert!(seen(&place.session, &place.job) == place.seen, "another job's file changed this one");
    BROUGHT_TO.set(Some(place));
    answer.is_ok()
}

/// A quote and a handover of the small job as they are signed, and one of each by hand.
fn frozen() -> Vec<Vec<u8>> {
    let Place { session, job, scratch, .. } = Place::with_a_small_job();
    let events = session.subscribe();
    done(&session, "quote.count", json!({ "job": job }));
    while let Ok(event) = events.recv() {
        match event {
            Event::Finished { .. } => break,
            Event::Failed { problem, .. } => panic!("{problem}"),
            _ => {}
        }
    }
    let point = json!({ "job": job, "room": "den", "words": "Strip", "mender": "Ana", "until": "", "settled": false, "made_from": "" });
    done(&session, "walk.set", point);
    let quote = done(&session, "quote.freeze", json!({ "job": job, "signed_by": "A client" }));
    let walk = done(&session, "walk.sign", json!({ "job": job, "signed_by": "A client" }));
    drop(session);
    let ids = [text(&quote["signed"][0]["id"]), text(&walk["records"][0]["id"])];
    let store = Store::open(&scratch.0.join("store"), [200; 16]);
    let read = |id: &String| store.as_ref().ok()?.read_file(FileHash::parse(id)?).ok();
    let mut all: Vec<Vec<u8>> = ids.iter().filter_map(read).collect();
    all.push(br#"{"lines":[{"name":"Trial tile","unit":"carton","quantity":"7"},{"name":"help","unit":"hour","quantity":"79228162514264337593543950335"},{"name":"help","unit":"hour","quantity":"79228162514264337593543950335"},{"name":"demolish","unit":"m2","quantity":"3.5"}],"totals":{"total":"12.50"},"terms":{"tax":"10"}}"#.to_vec());
    all.push(br#"{"rooms":[{"name":"Den","looked":true,"points":[{"settled":false}]}],"waits":[],"plans":[],"lots":[]}"#.to_vec());
    assert_eq!(all.len(), 4, "what was signed is not in the store");
    all
}

/// The most inputs in one store: what was frozen and taken back again stays in the job's history.
const MOST_FROZEN: u32 = 40;

fn thaw(input: &[u8]) -> bool {
    let kept = SMALL_JOB.take().filter(|place| place.inputs < MOST_FROZEN);
    let mut place = kept.unwrap_or_else(Place::with_a_small_job);
    place.inputs += 1;
    let job = json!({ "job": place.job });
    for quote in [true, false] {
        outside::freeze(&place.session, &place.job, quote, input)
            .unwrap_or_else(|problem| panic!("{problem}"));
        let [quotes, _, walk] =
            ["quote.view", "time.view", "walk.view"].map(|name| done(&place.session, name, job.clone()));
        let signed = if quote { &quotes["signed"] } else { &walk["records"] };
        assert_eq!(signed.as_array().map(Vec::len), Some(1), "one record, whatever its bytes say");
        done(&place.session, "edit.undo", job.clone());
    }
    SMALL_JOB.set(Some(place));
    serde_json::from_slice::<Value>(input).is_ok_and(|read| read.is_object())
}
