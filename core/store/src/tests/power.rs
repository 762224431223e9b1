//! The power fails at every moment of the store's own writing, and the disk has lost whatever it may.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::lossy::Lossy;
use super::{ROOM, scratch};
use crate::archive::{RestoreError, restore, restore_on};
use crate::disk::{self, Disk, Growing, Readers, RealDisk};
use crate::migrations;
use crate::{FileHash, Op, Store, StoreError};

fn open_on(disk: &Lossy, folder: &Path, session: u8) -> Store {
    Store::open_with(folder, [session; 16], &migrations::all(), Arc::new(disk.clone())).unwrap()
}

/// Makes every state and looks at it; says which one it was when that fails.
fn in_every_state(disk: &Lossy, root: &Path, least: usize, look: impl Fn(&Path, &[String])) {
    let states = disk.states();
    assert!(states.len() >= least, "only {} states", states.len());
    for state in states {
        let folder = scratch("state");
        state.make(root, &folder.0);
        let seen = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            look(&folder.0, &state.acknowledged);
        }));
        assert!(seen.is_ok(), "{}", state.told());
    }
}

fn content(n: u8) -> Vec<u8> {
    (0..3000_u32).map(|i| (i * u32::from(n) / 7).to_le_bytes()[0]).collect()
}

/// Whatever was acknowledged is there, and what is there is whole.
fn whole_store(
    folder: &Path,
    session: u8,
    acknowledged: &[String],
    known: &BTreeMap<&str, Vec<u8>>,
) -> Store {
    let store = Store::open(folder, [session; 16]).unwrap();
    let report = store.check().unwrap();
    assert!(report.is_clean(), "{report:?}");
    for name in acknowledged {
        if let Some(bytes) = known.get(name.as_str()) {
            assert_eq!(store.read_file(FileHash::of(bytes)).unwrap(), *bytes, "{name}");
        }
    }
    store
}

#[test]
fn photos_and_transfers_survive_a_power_cut_at_every_moment() {
    let folder = scratch("cut-files");
    let disk = Lossy::new(&folder.0);
    let names = ["one", "two", "three"];
    let known: BTreeMap<&str, Vec<u8>> = names.into_iter().zip((1..).map(content)).collect();
    let [one, two, three] = names.map(|name| known[name].clone());
    let mut store = open_on(&disk, &folder.0.join("store"), 1);
    store.write(&[Op::Append { document: ROOM, chunk: b"typed" }]).unwrap();
    disk.acknowledge("typed");
    store.put_file(&one, "photo").unwrap();
    disk.acknowledge("one");
    let hash = FileHash::of(&two);
    store.append_part(hash, 0, &two[..1000]).unwrap();
    store.append_part(hash, 1000, &two[1000..2500]).unwrap();
    // The other device begins again a little before the cut.
    store.append_part(hash, 2000, &two[2000..]).unwrap();
    assert!(store.finish_part(hash, "photo").unwrap());
    disk.acknowledge("two");
    // What does not have the promised content is thrown away.
    store.append_part(FileHash::of(&three), 0, &one).unwrap();
    assert!(!store.finish_part(FileHash::of(&three), "photo").unwrap());
    store.put_file(&one, "photo").unwrap();
    store.put_file_from(&mut &*three, "plan").unwrap();
    disk.acknowledge("three");
    drop(store);
    in_every_state(&disk, &folder.0, 50, |root, acknowledged| {
        let mut store = whole_store(&root.join("store"), 2, acknowledged, &known);
        if acknowledged.iter().any(|what| what == "typed") {
            assert_eq!(store.load(ROOM).unwrap().joined(), b"typed");
        }
        // The transfer goes on with what is left of it, or begins anew; what is put is there.
        let here = usize::try_from(store.part(hash).unwrap()).unwrap().min(two.len());
        store.append_part(hash, here as u64, &two[here..]).unwrap();
        if !store.finish_part(hash, "photo").unwrap() {
            store.append_part(hash, 0, &two).unwrap();
            assert!(store.finish_part(hash, "photo").unwrap());
        }
        for bytes in known.values() {
            store.put_file(bytes, "photo").unwrap();
            assert_eq!(store.read_file(FileHash::of(bytes)).unwrap(), *bytes);
        }
        assert!(store.check().unwrap().is_clean());
    });
}

#[test]
fn a_killed_program_and_then_a_power_cut_lose_nothing_either() {
    let folder = scratch("cut-killed");
    let disk = Lossy::new(&folder.0);
    let known = BTreeMap::from([("one", content(1)), ("two", content(2))]);
    let mut store = open_on(&disk, &folder.0.join("store"), 1);
    // A program was killed between making the folders and telling the disk to keep their names.
    disk.make_folder(&folder.0.join("store/files")).unwrap();
    disk.make_folder(&folder.0.join("store/files/unfinished")).unwrap();
    let shelf = FileHash::of(&known["one"]).to_string();
    disk.make_folder(&folder.0.join("store/files").join(&shelf[..2])).unwrap();
    store.write(&[]).unwrap();
    drop(store);
    let mut store = open_on(&disk, &folder.0.join("store"), 2);
    for (name, bytes) in &known {
        store.put_file(bytes, "photo").unwrap();
        disk.acknowledge(name);
    }
    drop(store);
    in_every_state(&disk, &folder.0, 25, |root, acknowledged| {
        whole_store(&root.join("store"), 3, acknowledged, &known);
    });
}

#[test]
fn a_backup_is_the_new_one_or_the_one_before() {
    let folder = scratch("cut-backup");
    let disk = Lossy::new(&folder.0);
    let known = BTreeMap::from([("one", content(1)), ("two", content(2))]);
    let backup = folder.0.join("card/of/the shop.backup");
    let mut store = open_on(&disk, &folder.0.join("store"), 1);
    for (name, bytes) in &known {
        store.put_file(bytes, "photo").unwrap();
        store.backup(&backup).unwrap();
        disk.acknowledge(name);
    }
    drop(store);
    in_every_state(&disk, &folder.0, 40, |root, acknowledged| {
        let (backup, restored) = (root.join("card/of/the shop.backup"), root.join("restored"));
        assert!(acknowledged.is_empty() || backup.exists(), "the backup is lost");
        if backup.exists() {
            restore(&backup, &restored).unwrap();
            whole_store(&restored, 9, acknowledged, &known);
        }
    });
}

#[test]
fn a_restored_store_is_there_whole_or_not_at_all() {
    let folder = scratch("cut-restore");
    let known = BTreeMap::from([("one", content(1)), ("two", content(2))]);
    let backup = folder.0.join("a.backup");
    let mut old = Store::open(&folder.0.join("old"), [1; 16]).unwrap();
    for bytes in known.values() {
        old.put_file(bytes, "photo").unwrap();
    }
    old.backup(&backup).unwrap();
    let root = folder.0.join("device");
    fs::create_dir_all(&root).unwrap();
    let disk = Lossy::new(&root);
    restore_on(&disk, &backup, &root.join("home/restored")).unwrap();
    disk.acknowledge("one");
    disk.acknowledge("two");
    in_every_state(&disk, &root, 20, |root, acknowledged| {
        let restored = root.join("home/restored");
        assert!(acknowledged.is_empty() || restored.is_dir(), "the store is lost");
        if !restored.is_dir() {
            restore(&backup, &restored).unwrap();
        }
        whole_store(&restored, 9, &["one".to_owned(), "two".to_owned()], &known);
        assert!(matches!(restore(&backup, &restored), Err(RestoreError::Occupied(_))));
    });
}

#[test]
fn a_file_that_is_put_whole_is_the_new_one_or_the_one_before() {
    for readers in [Readers::Usual, Readers::OnlyUser] {
        let folder = scratch("cut-whole");
        let disk = Lossy::new(&folder.0);
        let path = folder.0.join("folder/of/a file");
        disk::make_folders(&disk, disk::folder_of(&path)).unwrap();
        for n in 1..=3 {
            disk::put_whole(&disk, &path, readers, &content(n)).unwrap();
            disk.acknowledge(&n.to_string());
        }
        in_every_state(&disk, &folder.0, 20, |root, acknowledged| {
            let sure: u8 = acknowledged.last().map_or(0, |n| n.parse().unwrap());
            match fs::read(root.join("folder/of/a file")) {
                Ok(found) => assert!((sure.max(1)..=3).any(|n| found == content(n)), "neither"),
                Err(_) => assert_eq!(sure, 0, "it is lost"),
            }
        });
    }
}

/// What the states show of a way to write: whether a name without its whole content was found, and whether the file
/// was missing after it was acknowledged.
fn faults(write: impl Fn(&dyn Disk, &Path) -> io::Result<()>) -> (bool, bool) {
    let folder = scratch("cut-careless");
    let disk = Lossy::new(&folder.0);
    write(&disk, &folder.0).unwrap();
    disk.acknowledge("it");
    let (mut torn, mut lost) = (false, false);
    for state in disk.states() {
        let found = scratch("state-careless");
        state.make(&folder.0, &found.0);
        match fs::read(found.0.join("it")) {
            Ok(bytes) => torn |= bytes != content(1),
            Err(_) => lost |= !state.acknowledged.is_empty(),
        }
    }
    (torn, lost)
}

#[test]
fn the_simulated_disk_finds_what_careless_writing_loses() {
    let careful = |disk: &dyn Disk, folder: &Path| {
        disk::put_whole(disk, &folder.join("it"), Readers::Usual, &content(1))
    };
    assert_eq!(faults(careful), (false, false));
    let in_place = |disk: &dyn Disk, folder: &Path| {
        disk::write(disk, &folder.join("it"), Readers::Usual, &content(1))?;
        disk.keep_names(folder)
    };
    assert_eq!(faults(in_place), (true, false));
    let content_not_kept = |disk: &dyn Disk, folder: &Path| {
        let part = folder.join("part");
        disk.create(&part, Readers::Usual)?.write_all(&content(1))?;
        disk::publish(disk, &part, &folder.join("it"))
    };
    assert_eq!(faults(content_not_kept), (true, false));
    let names_not_kept = |disk: &dyn Disk, folder: &Path| {
        let part = folder.join("part");
        disk::write(disk, &part, Readers::Usual, &content(1))?;
        disk.rename(&part, &folder.join("it"))
    };
    assert_eq!(faults(names_not_kept), (false, true));
}

/// A disk on which the request with that number fails because there is no room; a write has then stored half.
#[derive(Debug)]
struct Full {
    left: Arc<AtomicUsize>,
}

impl Full {
    fn ask(left: &AtomicUsize) -> io::Result<()> {
        match left.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |n| n.checked_sub(1)) {
            Ok(1) => Err(io::ErrorKind::StorageFull.into()),
            _ => Ok(()),
        }
    }
    fn file(&self, real: Box<dyn Growing>) -> Box<dyn Growing> {
        Box::new(FullFile { left: Arc::clone(&self.left), real })
    }
}

struct FullFile {
    left: Arc<AtomicUsize>,
    real: Box<dyn Growing>,
}

impl Write for FullFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if let Err(full) = Full::ask(&self.left) {
            self.real.write_all(&bytes[..bytes.len() / 2])?;
            return Err(full);
        }
        self.real.write(bytes)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.real.flush()
    }
}

impl Growing for FullFile {
    fn keep(&mut self) -> io::Result<()> {
        Full::ask(&self.left)?;
        self.real.keep()
    }
}

impl Disk for Full {
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        Self::ask(&self.left)?;
        RealDisk.make_folder(path)
    }
    fn create(&self, path: &Path, readers: Readers) -> io::Result<Box<dyn Growing>> {
        Self::ask(&self.left)?;
        Ok(self.file(RealDisk.create(path, readers)?))
    }
    fn go_on(&self, path: &Path, length: u64) -> io::Result<Box<dyn Growing>> {
        Self::ask(&self.left)?;
        Ok(self.file(RealDisk.go_on(path, length)?))
    }
    fn keep(&self, path: &Path) -> io::Result<()> {
        Self::ask(&self.left)?;
        RealDisk.keep(path)
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        Self::ask(&self.left)?;
        RealDisk.rename(from, to)
    }
    fn keep_names(&self, folder: &Path) -> io::Result<()> {
        Self::ask(&self.left)?;
        RealDisk.keep_names(folder)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        RealDisk.remove(path)
    }
    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        RealDisk.remove_folder(path)
    }
}

/// Everything in a folder, relative to it.
fn names_below(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            all.extend(names_below(&path));
        } else {
            all.push(path);
        }
    }
    all.sort();
    all
}

#[test]
fn a_disk_that_fills_up_at_any_request_leaves_what_was_there_and_nothing_half() {
    let (one, two, three) = (content(1), content(2), content(3));
    let mut requests = 1;
    loop {
        let folder = scratch("full-at");
        let left = Arc::new(AtomicUsize::new(0));
        let disk = Arc::new(Full { left: Arc::clone(&left) });
        let (place, card) = (folder.0.join("store"), folder.0.join("card"));
        let mut store = Store::open_with(&place, [1; 16], &migrations::all(), disk.clone()).unwrap();
        store.put_file(&one, "photo").unwrap();
        store.backup(&card.join("a.backup")).unwrap();
        left.store(requests, Ordering::SeqCst);
        let mut work = || -> Result<(), StoreError> {
            store.put_file(&two, "photo")?;
            store.append_part(FileHash::of(&three), 0, &three)?;
            store.finish_part(FileHash::of(&three), "photo")?;
            store.backup(&card.join("a.backup"))?;
            let other = folder.0.join("restored");
            match restore_on(&*disk, &card.join("a.backup"), &other) {
                Err(RestoreError::Store(error)) => Err(error),
                other => {
                    other.unwrap();
                    Ok(())
                }
            }
        };
        let done = work();
        let all_asked = left.swap(0, Ordering::SeqCst) > 0;
        assert!(all_asked || matches!(done, Err(StoreError::DiskFull)), "{requests}: {done:?}");
        let report = store.check().unwrap();
        assert!(report.is_clean(), "{requests}: {report:?}");
        assert_eq!(store.read_file(FileHash::of(&one)).unwrap(), one);
        assert_eq!(names_below(&card), [card.join("a.backup")], "{requests}");
        let after = folder.0.join("after");
        restore(&card.join("a.backup"), &after).unwrap();
        let known = BTreeMap::from([("one", one.clone())]);
        whole_store(&after, 8, &["one".to_owned()], &known);
        assert!(!place.join("files/unfinished/incoming").exists(), "{requests}");
        if all_asked {
            assert!(requests > 20, "only {requests} requests");
            return;
        }
        requests += 1;
    }
}

#[test]
fn a_relative_path_is_a_path() {
    // Nothing is written: what is asked is whether the folder of a bare name can be told to keep its names.
    assert_eq!(disk::folder_of(Path::new("shop.backup")), Path::new("."));
    RealDisk.keep_names(disk::folder_of(Path::new("shop.backup"))).unwrap();
    disk::make_folders(&RealDisk, disk::folder_of(Path::new("shop.backup"))).unwrap();
}
