//! A place for sessions that are opened, closed and lost: a folder of its own, a clock that counts, ids that count.

use drylay_app::{Session, Timestamp, World};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// A clock that goes on by a second, and ids by counting: the same in every run, and different for every seed.
#[derive(Debug)]
struct Counting {
    count: AtomicU64,
    seed: u64,
}

impl World for Counting {
    fn now(&self) -> Timestamp {
        let n = i64::try_from(self.count.fetch_add(1, Ordering::Relaxed)).expect("a small count");
        Timestamp { utc_ms: 1_790_000_000_000 + n * 1000, zone_minutes: -300 }
    }
    fn random_id(&self) -> [u8; 16] {
        let n = self.count.fetch_add(1, Ordering::Relaxed);
        let mut id = [0; 16];
        id[..8].copy_from_slice(&n.wrapping_mul(0x9e37_79b9_7f4a_7c15).to_be_bytes());
        id[8..].copy_from_slice(&self.seed.to_be_bytes());
        id
    }
}

/// A folder that goes with the test.
pub(crate) struct Place(PathBuf);

impl Place {
    /// An empty one.
    pub(crate) fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-stage-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    /// Opens the store of that name; `seed` is new at every opening.
    pub(crate) fn open(&self, store: &str, seed: u64) -> Session {
        let world = Counting { count: AtomicU64::new(seed * 1000), seed };
        Session::open(&self.0.join(store), Arc::new(world)).expect("a store")
    }

    /// A path in it.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// Calls a command that must not be refused.
pub(crate) fn call(session: &Session, name: &str, args: Value) -> Value {
    session.call(name, args.clone()).unwrap_or_else(|problem| panic!("{name} {args}: {problem}"))
}

/// The text of a value.
pub(crate) fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_else(|| panic!("{value} is no text"))
}

/// A new job with one room of four corners: their ids.
pub(crate) fn new_room(session: &Session) -> (String, String) {
    let ask = json!({ "name": "Attic", "client": "", "site": "", "units": "imperial" });
    let job = text(&call(session, "jobs.create", ask)["id"]).to_owned();
    let room = call(session, "rooms.add", json!({ "job": job, "name": "Den", "corners": 4 }));
    (job, text(&room["id"]).to_owned())
}

/// Edits a room.
pub(crate) fn edit(session: &Session, job: &str, room: &str, edit: Value) -> Value {
    call(session, "room.edit", json!({ "job": job, "room": room, "edit": edit }))
}

/// Types a distance.
pub(crate) fn read(session: &Session, job: &str, room: &str, pair: (&str, &str), text: &str) -> Value {
    edit(session, job, room, json!({ "do": "set_reading", "from": pair.0, "to": pair.1, "text": text }))
}

/// Hands a job over to another session by a file.
pub(crate) fn hand_over(from: &Session, to: &Session, job: &str, file: &Path) -> Value {
    call(from, "handover.write", json!({ "job": job, "path": file }));
    call(to, "handover.read", json!({ "path": file }))
}
