//! Documents in a store: restored backups, damaged rows, full disks.

use std::path::PathBuf;

use drylay_document::rescue::rescue;
use drylay_document::{
    Actor, Author, DeviceId, Document, DocumentId, Edit, Kind, RoomEntry, RoomView, TapeReading, Timestamp,
    TypedLength, sync,
};
use drylay_store::{DocumentKey, Op, Store, archive};

const ROOM: [u8; 16] = [7; 16];

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-documents-{name}-{}", std::process::id()));
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

fn add(store: &mut Store, room: &mut Document, id: &str) {
    let ana = Author { device: DeviceId([1; 16]), name: "Ana".into() };
    let read = TypedLength::parse("3 m").expect("a length");
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
    let when = Timestamp { utc_ms: 0, zone_minutes: 0 };
    room.apply(&Edit::<RoomEntry>::add(id, reading), &ana, when).expect("an edit");
    keep(store, room);
}

fn keep(store: &mut Store, room: &mut Document) {
    if let Some(chunk) = room.take_chunk() {
        store.write(&[Op::Append { document: DocumentKey(ROOM), chunk: &chunk }]).expect("a write");
    }
}

fn room_of(store: &Store) -> Document {
    let loaded = store.load(DocumentKey(ROOM)).expect("rows");
    Document::load(&loaded.joined(), Actor(store.session())).expect("a document")
}

fn readings(room: &Document) -> Vec<String> {
    RoomView::read(room).expect("a room").tape.live.iter().map(|held| held.id.to_string()).collect()
}

/// Two copies that write under one actor can never be merged again; a restored store must not become one.
#[test]
fn a_restored_store_and_its_original_write_on_and_still_come_level() {
    let folder = Folder::new("restored");
    let mut original = Store::open(&folder.0.join("original"), [1; 16]).expect("a store");
    let mut room = Document::create(Kind::Room, DocumentId(ROOM), Actor(original.session()));
    add(&mut original, &mut room, "before");
    let backup = folder.0.join("backup");
    original.backup(&backup).expect("a backup");
    archive::restore(&backup, &folder.0.join("restored")).expect("it is restored");
    let mut restored = Store::open(&folder.0.join("restored"), [2; 16]).expect("a store");
    let mut copy = room_of(&restored);
    assert_ne!(copy.actor(), room.actor());
    add(&mut original, &mut room, "on the original");
    add(&mut restored, &mut copy, "on the copy");
    sync::bring_level(&mut room, &mut copy).expect("they come level");
    keep(&mut restored, &mut copy);
    assert_eq!(readings(&room), ["before", "on the copy", "on the original"]);
    assert_eq!(readings(&room_of(&restored)), readings(&room));
}

#[test]
fn a_document_with_a_damaged_row_is_rescued_and_healed_by_another_copy() {
    let folder = Folder::new("healed");
    let mut store = Store::open(&folder.0.join("store"), [1; 16]).expect("a store");
    let mut room = Document::create(Kind::Room, DocumentId(ROOM), Actor(store.session()));
    ["r1", "r2", "r3", "r4"].iter().for_each(|id| add(&mut store, &mut room, id));
    // The row of r3 rots on the disk.
    let loaded = store.load(DocumentKey(ROOM)).expect("rows");
    let rotten = loaded.chunks[2].clone();
    drop(store);
    let path = folder.0.join("store/drylay.db");
    let mut bytes = std::fs::read(&path).expect("the file");
    let at = bytes.windows(rotten.len()).position(|w| w == rotten).expect("the row is in the file");
    bytes[at + 20] ^= 1;
    std::fs::write(&path, bytes).expect("the file is written");

    let mut store = Store::open(&folder.0.join("store"), [2; 16]).expect("a store");
    let loaded = store.load(DocumentKey(ROOM)).expect("rows");
    assert_eq!((loaded.chunks.len(), loaded.damaged.len()), (3, 1));
    let mut rescued = rescue(Kind::Room, DocumentId(ROOM), &loaded.chunks, Actor(store.session()));
    assert_eq!(readings(&rescued.document), ["r1", "r2"]);
    assert!(rescued.waiting, "r4 is intact and waits for r3");
    sync::bring_level(&mut rescued.document, &mut room).expect("they come level");
    let snapshot = rescued.document.snapshot();
    store.write(&[Op::Compact { document: DocumentKey(ROOM), snapshot: &snapshot }]).expect("a write");
    assert_eq!(readings(&room_of(&store)), ["r1", "r2", "r3", "r4"]);
    assert_eq!(
        store.check().expect("a check").set_aside,
        1,
        "the rotten row is kept for whoever can read it"
    );
}
