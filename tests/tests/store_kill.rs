//! A process that is killed in mid-edit, many times: nothing that it acknowledged is lost.
//!
//! The test runs itself as the process that edits: a document and a store as in the app, one reading after the
//! other, each acknowledged on standard output only when the store says so. It is killed with SIGKILL at random
//! moments; then everything acknowledged must be there, and what is there must be whole.
#![allow(clippy::print_stdout, reason = "figures for whoever runs it with --nocapture")]

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use drylay_document::{
    Actor, Author, DeviceId, Document, DocumentId, Edit, Kind, RoomEntry, RoomView, TapeReading, Timestamp,
    TypedLength,
};
use drylay_store::{DocumentKey, FileHash, Op, Store};

const ROOM: [u8; 16] = [7; 16];
const KILLS: usize = 20;
const FOLDER: &str = "DRYLAY_TEST_KILL_FOLDER";

fn open(folder: &Path) -> (Store, Document) {
    let session = fastrand::u128(..).to_le_bytes();
    let store = Store::open(folder, session).expect("a store opens after a kill");
    let loaded = store.load(DocumentKey(ROOM)).expect("the rows are read");
    assert_eq!(loaded.damaged, []);
    let room = if loaded.chunks.is_empty() {
        Document::create(Kind::Room, DocumentId(ROOM), Actor(session))
    } else {
        Document::load(&loaded.joined(), Actor(session)).expect("a document loads after a kill")
    };
    (store, room)
}

fn reading(n: usize) -> Edit<RoomEntry> {
    let read = TypedLength::parse(&format!("{} mm", 1000 + n)).expect("a length");
    let (from, to) = ("A".into(), "B".into());
    let reading = TapeReading {
        from,
        to,
        read,
        sd: None,
        tool: None,
        measured_to: None,
        measured_at: None,
        listed: None,
    };
    Edit::add(format!("r{n:06}"), reading)
}

fn count(room: &Document) -> usize {
    RoomView::read(room).expect("a room").tape.live.len()
}

/// Edits until killed.
fn edit_for_ever(folder: &Path) {
    let (mut store, mut room) = open(folder);
    let ana = Author { device: DeviceId([1; 16]), name: "Ana".into() };
    for n in count(&room).. {
        let when = Timestamp { utc_ms: 1_790_000_000_000, zone_minutes: 0 };
        room.apply(&reading(n), &ana, when).expect("an edit");
        let chunk = room.take_chunk().expect("an edit makes a chunk");
        let append = Op::Append { document: DocumentKey(ROOM), chunk: &chunk };
        let written = store.write(&[append, Op::Draft { key: "wall", text: None }]).expect("a write");
        let photo = store.put_file(format!("photo {n}").as_bytes(), "photo").expect("a photo");
        let mut out = std::io::stdout().lock();
        writeln!(out, "stored {n} {photo}").and_then(|()| out.flush()).expect("the parent listens");
        // Compacting far more often than the store asks for puts it under the knife too.
        if !written.compaction_due.is_empty() || n % 7 == 0 {
            let snapshot = room.snapshot();
            store
                .write(&[Op::Compact { document: DocumentKey(ROOM), snapshot: &snapshot }])
                .expect("a compaction");
        }
    }
}

/// Not a test of its own: what the test below runs as another process.
#[test]
fn the_editing_process() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        edit_for_ever(&PathBuf::from(folder));
    }
}

/// Runs the editing process for a while, kills it, and returns what it had acknowledged.
fn run_and_kill(folder: &Path, after: Duration) -> Vec<(usize, FileHash)> {
    let program = std::env::current_exe().expect("this test is a program");
    let mut child = Command::new(program)
        .args(["the_editing_process", "--exact", "--nocapture", "--test-threads=1"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the editing process starts");
    let output = child.stdout.take().expect("its output is piped");
    let lines =
        std::thread::spawn(move || BufReader::new(output).lines().map_while(Result::ok).collect::<Vec<_>>());
    std::thread::sleep(after);
    child.kill().expect("it is killed");
    child.wait().expect("it is gone");
    let lines = lines.join().expect("its output is read");
    lines.iter().filter_map(|line| acknowledged(line)).collect()
}

fn acknowledged(line: &str) -> Option<(usize, FileHash)> {
    let (n, photo) = line.split("stored ").nth(1)?.split_once(' ')?;
    Some((n.parse().ok()?, FileHash::parse(photo)?))
}

#[test]
fn nothing_acknowledged_is_lost_to_kills() {
    let folder = std::env::temp_dir().join(format!("drylay-kill-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let mut stored = 0;
    for kill in 0..KILLS {
        let acknowledged = run_and_kill(&folder, Duration::from_millis(60 + fastrand::u64(0..300)));
        if acknowledged.is_empty() && !folder.exists() {
            continue;
        }
        let (store, room) = open(&folder);
        let there = count(&room);
        for (n, photo) in &acknowledged {
            assert!(*n < there, "kill {kill}: reading {n} was acknowledged, and {there} are there");
            assert_eq!(
                store.read_file(*photo).expect("an acknowledged photo"),
                format!("photo {n}").into_bytes()
            );
        }
        assert!(there >= stored, "kill {kill}: what was there before is there");
        assert!(store.check().expect("a check").is_clean());
        stored = there;
    }
    println!("{stored} readings over {KILLS} kills");
    assert!(stored > KILLS, "the process got to edit at all");
    let _ = std::fs::remove_dir_all(&folder);
}
