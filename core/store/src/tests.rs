//! Faults that a store must survive.

mod lossy;
mod pages;
mod power;

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use proptest::prelude::*;
use rusqlite::Connection;

use crate::archive::{self, RestoreError};
use crate::disk::RealDisk;
use crate::migrations::{self, Migration};
use crate::store::{DATABASE, Op, Standing, Store};
use crate::{DocumentKey, FileHash, OpenError, StoreError, Summary};

const ROOM: DocumentKey = DocumentKey([3; 16]);

/// A folder of its own for one test, gone afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("drylay-store-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }
    fn store(&self, session: u8) -> Store {
        Store::open(&self.0.join("store"), [session; 16]).unwrap()
    }
    /// Opened by a program that knows one more step of the tables' history.
    fn open_with(&self, session: u8, older_may_write: bool) -> Result<Store, OpenError> {
        let steps = with_one_more_step(older_may_write);
        Store::open_with(&self.0.join("store"), [session; 16], &steps, Arc::new(RealDisk))
    }
    fn database(&self) -> PathBuf {
        self.0.join("store").join(DATABASE)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// A folder in memory where there is one: thousands of stores are opened here.
fn scratch(name: &str) -> Folder {
    let memory = Path::new("/dev/shm");
    let place = if memory.is_dir() { memory.to_path_buf() } else { std::env::temp_dir() };
    // Tests run side by side, and several use the same names.
    static COUNT: AtomicUsize = AtomicUsize::new(0);
    let n = COUNT.fetch_add(1, Ordering::Relaxed);
    let path = place.join(format!("drylay-store-{name}-{}-{n}", std::process::id()));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).unwrap();
    Folder(path)
}

fn append(store: &mut Store, chunk: &[u8]) {
    store.write(&[Op::Append { document: ROOM, chunk }]).unwrap();
}

fn summary(n: u8) -> Summary {
    Summary {
        job: DocumentKey([n; 16]),
        name: format!("Job {n}"),
        client: "A client".into(),
        site: "Somewhere".into(),
        units: "metric".to_owned(),
        rooms: i64::from(n),
        area_m2: Some(11.25),
        tiles: None,
        cartons: Some(9),
        changed_utc_ms: i64::from(n),
        changed_zone_minutes: -300,
        changed_by: "Ana".into(),
        put_away: false,
    }
}

#[test]
fn chunks_come_back_in_order_after_reopening() {
    let folder = Folder::new("order");
    let mut store = folder.store(1);
    for n in 0..20_u8 {
        append(&mut store, &[n; 3]);
    }
    drop(store);
    let loaded = folder.store(2).load(ROOM).unwrap();
    assert_eq!(loaded.chunks, (0..20_u8).map(|n| vec![n; 3]).collect::<Vec<_>>());
    assert_eq!(loaded.damaged, []);
}

#[test]
fn compaction_comes_due_and_leaves_one_row() {
    let folder = Folder::new("compact");
    let mut store = folder.store(1);
    let chunk = vec![7; 20_000];
    let due = |store: &mut Store| {
        store.write(&[Op::Append { document: ROOM, chunk: &chunk }]).unwrap().compaction_due
    };
    assert_eq!([due(&mut store), due(&mut store), due(&mut store)], [vec![], vec![], vec![]]);
    assert_eq!(due(&mut store), [ROOM]);
    store.write(&[Op::Compact { document: ROOM, snapshot: &vec![1; 100_000] }]).unwrap();
    append(&mut store, b"after");
    assert_eq!(store.load(ROOM).unwrap().chunks, [vec![1; 100_000], b"after".to_vec()]);
    // Twice the snapshot is 200,000 bytes: the eleventh chunk of 20,000 passes it.
    let more: Vec<_> = (0..10).map(|_| due(&mut store)).collect();
    assert!(more[..9].iter().all(Vec::is_empty) && more[9] == [ROOM], "{more:?}");
}

#[test]
fn one_write_is_stored_whole_or_not_at_all() {
    let folder = Folder::new("whole");
    let mut store = folder.store(1);
    store
        .connection
        .execute_batch("CREATE TRIGGER no BEFORE INSERT ON draft BEGIN SELECT RAISE(ABORT, 'no'); END")
        .unwrap();
    let line = summary(4);
    let ops = [
        Op::Append { document: ROOM, chunk: b"x" },
        Op::Summarise(&line),
        Op::Draft { key: "k", text: Some("12'") },
    ];
    assert!(store.write(&ops).is_err());
    assert_eq!((store.load(ROOM).unwrap().chunks.len(), store.jobs().unwrap().len()), (0, 0));
}

#[test]
fn summaries_settings_and_drafts_come_back() {
    let folder = Folder::new("lines");
    let mut store = folder.store(1);
    let (one, two) = (summary(1), summary(2));
    store
        .write(&[
            Op::Summarise(&one),
            Op::Summarise(&two),
            Op::Set { key: "theme", value: Some("daylight") },
            Op::Draft { key: "room/1/wall", text: Some("12' 3") },
            Op::Draft { key: "room/2/wall", text: Some("4") },
            Op::Describe { document: ROOM, label: "room", parent: Some(one.job) },
            Op::Append { document: ROOM, chunk: b"c" },
        ])
        .unwrap();
    drop(store);
    let mut store = folder.store(2);
    assert_eq!(store.jobs().unwrap(), [two, one.clone()]);
    assert_eq!(store.setting("theme").unwrap().as_deref(), Some("daylight"));
    assert_eq!(store.drafts("room/1/").unwrap(), [("room/1/wall".to_owned(), "12' 3".to_owned())]);
    store.write(&[Op::Draft { key: "room/1/wall", text: None }, Op::Forget(one.job)]).unwrap();
    assert_eq!((store.drafts("room/").unwrap().len(), store.jobs().unwrap().len()), (1, 1));
    let info = &store.documents().unwrap()[0];
    assert_eq!((info.label.as_str(), info.parent), ("room", Some(one.job)));
}

#[test]
fn a_second_process_is_told_that_the_store_is_in_use() {
    let folder = Folder::new("lock");
    let _open = folder.store(1);
    assert!(matches!(Store::open(&folder.0.join("store"), [2; 16]), Err(OpenError::InUse(_))));
}

#[test]
fn a_store_that_is_let_go_in_a_moment_is_waited_for() {
    let folder = Folder::new("let-go");
    let open = folder.store(1);
    let other = std::thread::spawn({
        let path = folder.0.join("store");
        move || Store::open(&path, [2; 16]).map(drop)
    });
    std::thread::sleep(std::time::Duration::from_millis(300));
    drop(open);
    assert!(other.join().expect("no panic").is_ok());
}

#[test]
fn a_session_name_is_used_once() {
    let folder = Folder::new("session");
    drop(folder.store(1));
    assert!(matches!(Store::open(&folder.0.join("store"), [1; 16]), Err(OpenError::SessionUsed)));
    drop(folder.store(2));
}

fn with_one_more_step(older_may_write: bool) -> Vec<Migration> {
    let newer = Migration { name: "2099-01-01 something", sql: "CREATE TABLE later (x)", older_may_write };
    [migrations::all(), vec![newer]].concat()
}

#[test]
fn a_store_from_a_newer_program_opens_for_reading_and_says_so() {
    let folder = Folder::new("newer");
    let mut newer = folder.open_with(1, false).unwrap();
    append(&mut newer, b"from the future");
    drop(newer);
    let before = fs::read(folder.database()).unwrap();
    let mut store = folder.store(2);
    let known = i64::try_from(migrations::all().len()).unwrap();
    assert_eq!(store.standing(), Standing::Newer { found: known + 1, known });
    assert_eq!(store.load(ROOM).unwrap().joined(), b"from the future");
    let refused = store.write(&[Op::Append { document: ROOM, chunk: b"x" }]);
    assert!(matches!(refused, Err(StoreError::ReadOnly { .. })), "{refused:?}");
    assert!(matches!(store.put_file(b"x", "photo"), Err(StoreError::ReadOnly { .. })));
    drop(store);
    assert_eq!(fs::read(folder.database()).unwrap(), before);
}

#[test]
fn a_newer_store_that_allows_older_programs_is_written() {
    let folder = Folder::new("newer-allowed");
    drop(folder.open_with(1, true).unwrap());
    let mut store = folder.store(2);
    assert_eq!(store.standing(), Standing::Writable);
    append(&mut store, b"x");
    drop(store);
    let version = migrations::version(&Connection::open(folder.database()).unwrap()).unwrap();
    assert_eq!(version, i64::try_from(migrations::all().len()).unwrap() + 1, "the newer step is not undone");
}

#[test]
fn an_older_store_takes_the_missing_steps_and_keeps_its_rows() {
    let folder = Folder::new("older");
    let mut store = folder.store(1);
    append(&mut store, b"old");
    drop(store);
    let store = folder.open_with(2, false).unwrap();
    assert_eq!(store.load(ROOM).unwrap().joined(), b"old");
    assert_eq!(store.connection.query_row("SELECT count(*) FROM later", [], |r| r.get::<_, i64>(0)), Ok(0));
}

#[test]
fn on_a_full_disk_nothing_is_half_written_and_everything_before_is_there() {
    let folder = Folder::new("full");
    let mut store = folder.store(1);
    append(&mut store, b"before");
    let pages: i64 = store.connection.query_row("PRAGMA page_count", [], |r| r.get(0)).unwrap();
    let _: i64 = store
        .connection
        .query_row(&format!("PRAGMA max_page_count = {}", pages + 2), [], |r| r.get(0))
        .unwrap();
    let line = summary(1);
    let large = vec![1; 100_000];
    let full = store.write(&[Op::Summarise(&line), Op::Append { document: ROOM, chunk: &large }]);
    assert!(matches!(full, Err(StoreError::DiskFull)), "{full:?}");
    assert_eq!(store.load(ROOM).unwrap().joined(), b"before");
    assert_eq!(store.jobs().unwrap(), []);
    append(&mut store, b" and a small one still fits");
    drop(store);
    assert_eq!(folder.store(2).load(ROOM).unwrap().joined(), b"before and a small one still fits");
}

#[test]
fn a_flipped_bit_in_a_row_is_found_and_the_other_rows_are_handed_out() {
    let folder = Folder::new("flip");
    let mut store = folder.store(1);
    for n in 0..5_u8 {
        append(&mut store, &[b'a' + n; 40]);
    }
    drop(store);
    let connection = Connection::open(folder.database()).unwrap();
    connection.execute("UPDATE doc_chunk SET bytes = zeroblob(40) WHERE seq = 3", []).unwrap();
    drop(connection);
    let mut store = folder.store(2);
    let loaded = store.load(ROOM).unwrap();
    assert_eq!(loaded.chunks.iter().map(|c| c[0]).collect::<Vec<_>>(), b"abde");
    assert_eq!(loaded.damaged.iter().map(|d| d.seq).collect::<Vec<_>>(), [Some(3)]);
    store.write(&[Op::Compact { document: ROOM, snapshot: b"abde" }]).unwrap();
    assert_eq!(store.load(ROOM).unwrap().chunks, [b"abde"]);
    let report = store.check().unwrap();
    assert_eq!((report.set_aside, report.is_clean()), (1, false));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// Whatever bytes of the file rot or are cut off: no panic, and every chunk handed out is one that was stored.
    #[test]
    fn rotten_files_yield_only_true_chunks(flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..30), keep in any::<prop::sample::Index>(), truncate in any::<bool>()) {
        let folder = Folder::new("rot");
        let mut store = folder.store(1);
        let chunks: Vec<Vec<u8>> = (0..40_u8).map(|n| vec![n; 700]).collect();
        chunks.iter().for_each(|chunk| append(&mut store, chunk));
        drop(store);
        let mut bytes = fs::read(folder.database()).unwrap();
        for (at, xor) in &flips {
            let at = at.index(bytes.len());
            bytes[at] ^= xor;
        }
        if truncate {
            bytes.truncate(keep.index(bytes.len()));
        }
        fs::write(folder.database(), &bytes).unwrap();
        if let Ok(store) = Store::open(&folder.0.join("store"), [2; 16])
            && let Ok(loaded) = store.load(ROOM)
        {
            prop_assert!(loaded.chunks.iter().all(|chunk| chunks.contains(chunk)));
            let _ = store.check();
        }
    }
}

#[test]
fn files_are_kept_by_content_and_checked_when_read() {
    let folder = Folder::new("files");
    let mut store = folder.store(1);
    let hash = store.put_file(b"a photo", "photo").unwrap();
    assert_eq!(store.put_file(b"a photo", "photo").unwrap(), hash);
    assert_eq!(hash, FileHash::of(b"a photo"));
    assert_eq!(store.files().unwrap().len(), 1);
    assert_eq!(store.read_file(hash).unwrap(), b"a photo");
    assert!(store.check().unwrap().is_clean());
    let path = store.file_path(hash).unwrap().unwrap();
    fs::write(&path, b"a ph0to").unwrap();
    assert!(matches!(store.read_file(hash), Err(StoreError::DamagedFile { .. })));
    assert_eq!(store.check().unwrap().damaged_files, [hash]);
    fs::remove_file(&path).unwrap();
    assert_eq!(store.check().unwrap().missing_files, [hash]);
    // The same bytes put again make it whole.
    store.put_file(b"a photo", "photo").unwrap();
    assert!(store.check().unwrap().is_clean());
}

/// BLAKE3 of the empty input, from the algorithm's published test vectors.
#[test]
fn the_hash_is_blake3() {
    let empty = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
    assert_eq!(FileHash::of(b"").to_string(), empty);
    assert_eq!(FileHash::parse(empty), Some(FileHash::of(b"")));
    assert_eq!(FileHash::parse(&empty.to_uppercase()), None);
}

struct FailingReader(usize);

impl std::io::Read for FailingReader {
    fn read(&mut self, bytes: &mut [u8]) -> std::io::Result<usize> {
        self.0 = self.0.checked_sub(1).ok_or(std::io::ErrorKind::StorageFull)?;
        bytes.fill(1);
        Ok(bytes.len())
    }
}

#[test]
fn a_photo_that_does_not_fit_leaves_nothing_behind() {
    let folder = Folder::new("photo-full");
    let mut store = folder.store(1);
    assert!(matches!(store.put_file_from(&mut FailingReader(3), "photo"), Err(StoreError::DiskFull)));
    assert_eq!(store.files().unwrap(), []);
    let left = fs::read_dir(folder.0.join("store/files/unfinished")).unwrap().count();
    assert_eq!(left, 0);
}

fn backed_up(folder: &Folder) -> (PathBuf, FileHash) {
    let mut store = folder.store(1);
    append(&mut store, b"room");
    let hash = store.put_file(b"a photo", "photo").unwrap();
    let to = folder.0.join("backup");
    store.backup(&to).unwrap();
    (to, hash)
}

#[test]
fn a_restored_backup_holds_everything_and_needs_a_new_session() {
    let folder = Folder::new("backup");
    let (backup, hash) = backed_up(&folder);
    let restored = folder.0.join("restored");
    archive::restore(&backup, &restored).unwrap();
    assert!(matches!(Store::open(&restored, [1; 16]), Err(OpenError::SessionUsed)));
    let store = Store::open(&restored, [9; 16]).unwrap();
    assert_eq!((store.session(), store.load(ROOM).unwrap().joined()), ([9; 16], b"room".to_vec()));
    assert_eq!(store.read_file(hash).unwrap(), b"a photo");
    assert!(store.check().unwrap().is_clean());
}

#[test]
fn a_backup_goes_only_into_an_empty_place() {
    let folder = Folder::new("occupied");
    let (backup, _) = backed_up(&folder);
    assert!(matches!(archive::restore(&backup, &folder.0.join("store")), Err(RestoreError::Occupied(_))));
}

fn refuses(folder: &Folder, bytes: &[u8]) -> RestoreError {
    let (broken, into) = (folder.0.join("broken"), folder.0.join("into"));
    fs::write(&broken, bytes).unwrap();
    let error = archive::restore(&broken, &into).unwrap_err();
    assert!(!into.exists() && !Path::new(&folder.0.join(".into.restoring")).exists());
    error
}

#[test]
fn broken_foreign_and_newer_backups_are_refused_and_leave_nothing() {
    let folder = Folder::new("broken");
    let (backup, _) = backed_up(&folder);
    let whole = fs::read(backup).unwrap();
    assert!(matches!(refuses(&folder, b"a picture of a cat"), RestoreError::Foreign));
    assert!(matches!(refuses(&folder, b""), RestoreError::Foreign));
    let newer = [&whole[..8], &[2, 0], &whole[10..]].concat();
    assert!(matches!(refuses(&folder, &newer), RestoreError::Newer(2)));
    for cut in [12, 200, whole.len() - 40, whole.len() - 1] {
        assert!(matches!(refuses(&folder, &whole[..cut]), RestoreError::Damaged(_)), "cut at {cut}");
    }
    let mut flipped = whole.clone();
    let middle = whole.len() / 2;
    flipped[middle] ^= 1;
    assert!(matches!(refuses(&folder, &flipped), RestoreError::Damaged(_)));
}

#[test]
fn a_backup_cannot_write_outside_its_folder() {
    let folder = Folder::new("outside");
    let name = b"../escaped";
    let mut bytes = b"DRYLAYBK\x01\x00".to_vec();
    bytes.extend(u16::try_from(name.len()).unwrap().to_le_bytes());
    bytes.extend(name);
    bytes.extend(1_u64.to_le_bytes());
    bytes.push(b'x');
    assert!(matches!(refuses(&folder, &bytes), RestoreError::Damaged(_)));
    assert!(!folder.0.join("escaped").exists());
}

#[test]
fn a_file_goes_on_where_it_was_and_a_wrong_one_is_thrown_away() {
    let folder = Folder::new("parts");
    let mut store = folder.store(1);
    let content: Vec<u8> = (0..1000_u32).flat_map(u32::to_le_bytes).collect();
    let hash = FileHash::of(&content);
    store.append_part(hash, 0, &content[..1500]).expect("the first bytes");
    assert_eq!(store.part(hash).expect("a size"), 1500);
    // Told twice, the second time a little further back.
    store.append_part(hash, 1000, &content[1000..]).expect("the rest");
    assert!(store.append_part(hash, 9000, b"behind a gap").is_err());
    assert_eq!(store.file_path(hash).expect("a look"), None, "not before it is whole");
    assert!(store.finish_part(hash, "photo").expect("an end"));
    assert_eq!(store.read_file(hash).expect("the file"), content);
    assert_eq!(store.part(hash).expect("a size"), 0);
    assert_eq!(store.piece(hash, 3990, 64).expect("a piece"), Some((4000, content[3990..].to_vec())));
    assert_eq!(store.piece(hash, 9000, 64).expect("a piece"), Some((4000, Vec::new())));
    let other = FileHash::of(b"something else");
    store.append_part(other, 0, b"wrong").expect("bytes");
    assert!(!store.finish_part(other, "photo").expect("an end"));
    assert_eq!((store.part(other).expect("a size"), store.piece(other, 0, 9).expect("a look")), (0, None));
    assert!(!store.finish_part(other, "photo").expect("an end"), "nothing has come");
}

#[test]
fn a_document_says_how_far_it_is_without_being_loaded() {
    let folder = Folder::new("marks");
    let mut store = folder.store(1);
    append(&mut store, b"first");
    let info = |store: &Store| store.info(ROOM).unwrap().map(|it| it.mark);
    assert_eq!(info(&store), Some(None), "nobody has said");
    let ops = [Op::Append { document: ROOM, chunk: b"second" }, Op::Mark { document: ROOM, mark: b"two" }];
    store.write(&ops).unwrap();
    store.write(&[Op::Compact { document: ROOM, snapshot: b"all" }]).unwrap();
    drop(store);
    let store = folder.store(2);
    assert_eq!(info(&store), Some(Some(b"two".to_vec())));
    assert_eq!(store.documents().unwrap()[0].mark.as_deref(), Some(b"two".as_slice()));
    assert_eq!(store.info(DocumentKey([9; 16])).unwrap(), None);
}
