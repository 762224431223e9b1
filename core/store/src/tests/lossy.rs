//! A disk that loses whatever it was not told to keep.
//!
//! It writes like the real one and notes what it was asked for. Of every moment in between it can then say in which
//! states a power cut may leave the folder: names that were not kept may each be there or not, in any combination; bytes
//! that were not kept may be there, or not, or as zeros, or half of them. That is what POSIX leaves open, and more than
//! most file systems do. A rename counts as kept once the folder was told to keep its names that the new name is in.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use crate::disk::{Disk, Growing, Readers, RealDisk, folder_of};
use crate::store::DATABASE;

/// How many states are built of one moment at most.
const MOST: usize = 400;
/// Up to so many names that were not kept every combination is built.
const ALL_COMBINATIONS: usize = 7;

/// What the disk was asked for. Files are numbered, since they outlive their names.
#[derive(Clone, Debug)]
enum What {
    MakeFolder(PathBuf),
    Create(PathBuf, usize),
    Cut(usize, usize),
    Write(usize, Vec<u8>),
    Keep(usize),
    /// The file, if it is one.
    Rename(PathBuf, PathBuf, Option<usize>),
    KeepNames(PathBuf),
    Remove(PathBuf),
    Acknowledge(String),
}

/// The database's two files, which are SQLite's own business.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Database {
    pages: Option<Vec<u8>>,
    log: Option<Vec<u8>>,
}

#[derive(Debug)]
struct Event {
    what: What,
    /// As it was when that was asked for.
    database: Arc<Database>,
}

#[derive(Debug, Default)]
struct Journal {
    events: Vec<Event>,
    /// The files by their names of now.
    names: BTreeMap<PathBuf, usize>,
    files: usize,
}

/// The disk.
#[derive(Clone, Debug)]
pub(super) struct Lossy {
    root: PathBuf,
    journal: Arc<Mutex<Journal>>,
}

/// One state that a power cut may leave.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// Everything under the root: files with their bytes, folders with none.
    things: BTreeMap<PathBuf, Option<Vec<u8>>>,
    database: Arc<Database>,
    /// What had been acknowledged by then.
    pub(super) acknowledged: Vec<String>,
    /// After how many requests.
    pub(super) moment: usize,
}

impl Lossy {
    /// A disk whose root is a folder that is there and will never be lost.
    pub(super) fn new(root: &Path) -> Self {
        Self { root: root.to_path_buf(), journal: Arc::default() }
    }

    /// Notes that the caller was told that it is done.
    pub(super) fn acknowledge(&self, what: &str) {
        self.note(What::Acknowledge(what.to_owned()));
    }

    fn note(&self, what: What) {
        let mut journal = self.journal.lock().unwrap();
        let store = self.root.join("store");
        let read = |name: &str| fs::read(store.join(name)).ok();
        let now = Database { pages: read(DATABASE), log: read(&format!("{DATABASE}-wal")) };
        let database = match journal.events.last() {
            Some(last) if *last.database == now => Arc::clone(&last.database),
            _ => Arc::new(now),
        };
        let inner = &mut *journal;
        match &what {
            What::Create(path, file) => drop(inner.names.insert(path.clone(), *file)),
            What::Remove(path) => drop(inner.names.remove(path)),
            What::Rename(from, to, _) => rename_below(&mut inner.names, from, to),
            _ => {}
        }
        journal.events.push(Event { what, database });
    }

    fn file_at(&self, path: &Path) -> Option<usize> {
        self.journal.lock().unwrap().names.get(path).copied()
    }

    fn new_file(&self) -> usize {
        let mut journal = self.journal.lock().unwrap();
        journal.files += 1;
        journal.files
    }

    /// The states of every moment, without those that were there already with as much acknowledged.
    pub(super) fn states(&self) -> Vec<State> {
        let journal = self.journal.lock().unwrap();
        let mut seen = BTreeSet::new();
        let mut all = Vec::new();
        for moment in 0..=journal.events.len() {
            let before = moment.checked_sub(1).map(|at| &journal.events[at].database);
            let after = journal.events.get(moment).map(|event| &event.database);
            let happened = Happened::new(&journal.events[..moment]);
            for things in happened.layouts(&self.root) {
                for database in before.into_iter().chain(after) {
                    let acknowledged = happened.acknowledged.clone();
                    let state = State {
                        things: things.clone(),
                        database: Arc::clone(database),
                        acknowledged,
                        moment,
                    };
                    if seen.insert(state.fingerprint()) {
                        all.push(state);
                    }
                }
            }
        }
        all
    }
}

fn rename_below<T: Clone>(names: &mut BTreeMap<PathBuf, T>, from: &Path, to: &Path) {
    let moved: Vec<(PathBuf, T)> = names
        .iter()
        .filter_map(|(name, thing)| Some((name.strip_prefix(from).ok()?.to_path_buf(), thing.clone())))
        .collect();
    names.retain(|name, _| !name.starts_with(from));
    for (below, thing) in moved {
        let name = if below.as_os_str().is_empty() { to.to_path_buf() } else { to.join(below) };
        names.insert(name, thing);
    }
}

/// A file's bytes: those that are sure, and those that were written.
#[derive(Clone, Debug, Default)]
struct Content {
    kept: Vec<u8>,
    written: Vec<u8>,
}

impl Content {
    /// What may be found after a power cut.
    fn found(&self) -> Vec<Vec<u8>> {
        if self.kept == self.written {
            return vec![self.kept.clone()];
        }
        let sure = if self.written.starts_with(&self.kept) { self.kept.len() } else { 0 };
        let mut zeros = self.written.clone();
        zeros[sure..].fill(0);
        let half = self.written[..sure + (self.written.len() - sure) / 2].to_vec();
        let mut all = vec![self.kept.clone(), self.written.clone(), zeros, half];
        all.sort();
        all.dedup();
        all
    }
}

/// What was asked for up to a moment.
#[derive(Default)]
struct Happened {
    /// Requests that change names, and whether each is kept.
    names: Vec<(What, bool)>,
    contents: BTreeMap<usize, Content>,
    acknowledged: Vec<String>,
}

impl Happened {
    fn new(events: &[Event]) -> Self {
        let mut happened = Self::default();
        for event in events {
            happened.take(&event.what);
        }
        happened
    }

    fn take(&mut self, what: &What) {
        match what {
            What::Create(_, file) => {
                self.contents.insert(*file, Content::default());
                self.names.push((what.clone(), false));
            }
            What::MakeFolder(_) | What::Rename(..) | What::Remove(_) => {
                self.names.push((what.clone(), false))
            }
            What::Cut(file, length) => {
                if let Some(content) = self.contents.get_mut(file) {
                    content.written.truncate(*length);
                }
            }
            What::Write(file, bytes) => {
                if let Some(content) = self.contents.get_mut(file) {
                    content.written.extend_from_slice(bytes);
                }
            }
            What::Keep(file) => {
                if let Some(content) = self.contents.get_mut(file) {
                    content.kept = content.written.clone();
                }
            }
            What::KeepNames(folder) => {
                for (name, kept) in &mut self.names {
                    let (What::MakeFolder(at)
                    | What::Create(at, _)
                    | What::Remove(at)
                    | What::Rename(_, at, _)) = name
                    else {
                        continue;
                    };
                    *kept |= folder_of(at) == folder;
                }
            }
            What::Acknowledge(what) => self.acknowledged.push(what.clone()),
        }
    }

    /// The folders and files that may be found, each with its bytes.
    fn layouts(&self, root: &Path) -> Vec<BTreeMap<PathBuf, Option<Vec<u8>>>> {
        let mut all = Vec::new();
        for lost in self.losses() {
            let mut names: BTreeMap<PathBuf, Option<usize>> = BTreeMap::new();
            let there = self.names.iter().enumerate().filter(|(at, _)| !lost.contains(at));
            for (_, (what, _)) in there {
                apply(&mut names, what, root);
            }
            all.extend(self.with_contents(&names));
            if all.len() > MOST {
                break;
            }
        }
        all
    }

    /// The names that may be lost together, by their places in the list.
    fn losses(&self) -> Vec<BTreeSet<usize>> {
        let unsure: Vec<usize> =
            self.names.iter().enumerate().filter(|(_, (_, kept))| !kept).map(|(at, _)| at).collect();
        let mut all: Vec<BTreeSet<usize>> = Vec::new();
        if unsure.len() <= ALL_COMBINATIONS {
            for bits in 0..1_usize << unsure.len() {
                let lost = unsure.iter().enumerate().filter(|(bit, _)| bits >> bit & 1 == 1);
                all.push(lost.map(|(_, at)| *at).collect());
            }
            return all;
        }
        for cut in 0..=unsure.len() {
            all.push(unsure[cut..].iter().copied().collect());
            all.push(unsure[..cut].iter().copied().collect());
            all.push(unsure.get(cut).copied().into_iter().collect());
        }
        all
    }

    fn with_contents(
        &self,
        names: &BTreeMap<PathBuf, Option<usize>>,
    ) -> Vec<BTreeMap<PathBuf, Option<Vec<u8>>>> {
        let mut all = vec![BTreeMap::new()];
        for (path, thing) in names {
            let choices: Vec<Option<Vec<u8>>> = match thing {
                None => vec![None],
                Some(file) => self.contents[file].found().into_iter().map(Some).collect(),
            };
            let choices = if all.len() * choices.len() > MOST { &choices[..1] } else { &choices[..] };
            all = all
                .into_iter()
                .flat_map(|layout| {
                    choices.iter().map(move |choice| {
                        let mut layout = layout.clone();
                        layout.insert(path.clone(), choice.clone());
                        layout
                    })
                })
                .collect();
        }
        all
    }
}

/// Does it to the names, unless the folder that it would be in was lost.
fn apply(names: &mut BTreeMap<PathBuf, Option<usize>>, what: &What, root: &Path) {
    let there = |path: &Path| folder_of(path) == root || names.get(folder_of(path)) == Some(&None);
    match what {
        What::MakeFolder(path) if there(path) => drop(names.insert(path.clone(), None)),
        What::Create(path, file) if there(path) => drop(names.insert(path.clone(), Some(*file))),
        What::Remove(path) => drop(names.remove(path)),
        What::Rename(from, to, Some(file)) if there(to) => {
            if names.get(from) == Some(&Some(*file)) {
                names.remove(from);
            }
            names.insert(to.clone(), Some(*file));
        }
        What::Rename(from, to, None) if there(to) => rename_below(names, from, to),
        _ => {}
    }
}

impl State {
    fn fingerprint(&self) -> [u8; 32] {
        let mut hasher = blake3::Hasher::new();
        let mut add = |bytes: &[u8]| {
            hasher.update(&bytes.len().to_le_bytes()).update(bytes);
        };
        for (path, thing) in &self.things {
            add(path.as_os_str().as_encoded_bytes());
            add(thing.as_deref().unwrap_or(b"a folder"));
        }
        add(self.database.pages.as_deref().unwrap_or_default());
        add(self.database.log.as_deref().unwrap_or_default());
        add(&self.acknowledged.len().to_le_bytes());
        *hasher.finalize().as_bytes()
    }

    /// Makes the state in an empty folder; paths were below `root` when they were noted.
    pub(super) fn make(&self, root: &Path, folder: &Path) {
        for (path, thing) in &self.things {
            let path = folder.join(path.strip_prefix(root).unwrap());
            match thing {
                None => fs::create_dir_all(&path).unwrap(),
                Some(bytes) => {
                    fs::create_dir_all(path.parent().unwrap()).unwrap();
                    fs::write(&path, bytes).unwrap();
                }
            }
        }
        let store = folder.join("store");
        if store.is_dir() {
            let put = |name: &str, bytes: &Option<Vec<u8>>| {
                if let Some(bytes) = bytes {
                    fs::write(store.join(name), bytes).unwrap();
                }
            };
            put(DATABASE, &self.database.pages);
            put(&format!("{DATABASE}-wal"), &self.database.log);
        }
    }

    /// The names in it, for a message.
    pub(super) fn told(&self) -> String {
        let told = |(path, thing): (&PathBuf, &Option<Vec<u8>>)| {
            let size = thing.as_ref().map_or("folder".to_owned(), |bytes| format!("{} bytes", bytes.len()));
            format!("  {} ({size})", path.display())
        };
        let things: Vec<String> = self.things.iter().map(told).collect();
        format!(
            "after {} requests, acknowledged {:?}:\n{}",
            self.moment,
            self.acknowledged,
            things.join("\n")
        )
    }
}

/// A file of this disk.
struct LossyFile {
    disk: Lossy,
    file: usize,
    real: Box<dyn Growing>,
}

impl Write for LossyFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let n = self.real.write(bytes)?;
        self.disk.note(What::Write(self.file, bytes[..n].to_vec()));
        Ok(n)
    }
    fn flush(&mut self) -> io::Result<()> {
        self.real.flush()
    }
}

impl Growing for LossyFile {
    fn keep(&mut self) -> io::Result<()> {
        self.disk.note(What::Keep(self.file));
        Ok(())
    }
}

/// Nothing is really flushed: what is kept is only noted.
impl Disk for Lossy {
    fn make_folder(&self, path: &Path) -> io::Result<()> {
        RealDisk.make_folder(path)?;
        self.note(What::MakeFolder(path.to_path_buf()));
        Ok(())
    }

    fn create(&self, path: &Path, readers: Readers) -> io::Result<Box<dyn Growing>> {
        let real = RealDisk.create(path, readers)?;
        let file = match self.file_at(path) {
            Some(file) if readers == Readers::Usual => {
                self.note(What::Cut(file, 0));
                file
            }
            _ => {
                let file = self.new_file();
                self.note(What::Create(path.to_path_buf(), file));
                file
            }
        };
        Ok(Box::new(LossyFile { disk: self.clone(), file, real }))
    }

    fn go_on(&self, path: &Path, length: u64) -> io::Result<Box<dyn Growing>> {
        let real = RealDisk.go_on(path, length)?;
        let file = self.file_at(path).unwrap_or_else(|| {
            let file = self.new_file();
            self.note(What::Create(path.to_path_buf(), file));
            file
        });
        self.note(What::Cut(file, usize::try_from(length).unwrap()));
        Ok(Box::new(LossyFile { disk: self.clone(), file, real }))
    }

    fn keep(&self, path: &Path) -> io::Result<()> {
        let file = self.file_at(path).ok_or(io::ErrorKind::NotFound)?;
        self.note(What::Keep(file));
        Ok(())
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        RealDisk.rename(from, to)?;
        self.note(What::Rename(from.to_path_buf(), to.to_path_buf(), self.file_at(from)));
        Ok(())
    }

    fn keep_names(&self, folder: &Path) -> io::Result<()> {
        self.note(What::KeepNames(folder.to_path_buf()));
        Ok(())
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        RealDisk.remove(path)?;
        self.note(What::Remove(path.to_path_buf()));
        Ok(())
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        RealDisk.remove_folder(path)?;
        self.note(What::Remove(path.to_path_buf()));
        Ok(())
    }
}
