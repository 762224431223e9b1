//! Handing a job over by a file, and taking one in. What two people changed apart merges; where they disagree,
//! both values are shown.

use crate::Problem;
use crate::change::Change;
use crate::crew::labels;
use crate::desk::Desk;
use crate::locked::{self, Chance};
use crate::session::Session;
use crate::show::stamp;
use crate::summary;
use crate::wire::{BackupDone, HandOverDone, HandOverRead, HandOverWrite};
use crate::words::say;
use drylay_document::handover::{HandOver, HandOverError, ImportError, Part};
use drylay_document::{ContentHash, Document, DocumentId, JobView, Kind, Stamp};
use drylay_store::FileHash;
use drylay_store::disk::{self, Readers, RealDisk};
use drylay_sync::PublicKey;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The largest hand-over file that is read, in bytes: it is held in memory.
const MOST_BYTES: u64 = 1 << 30;

pub(crate) fn write(session: &Session, ask: HandOverWrite) -> Result<BackupDone, Problem> {
    let path = whole(&ask.path)?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let mut parts = Vec::new();
    parts.extend(desk.document(job.id, Kind::Job)?.map(Part::whole));
    for held in job.view.room_list() {
        parts.extend(desk.document(held.value.document, Kind::Room)?.map(Part::whole));
    }
    let stamp = Stamp { at: desk.world.now(), by: desk.me.clone() };
    let mut bytes =
        HandOver { stamp, parts, files: files(&desk, &job.view, ask.photos.unwrap_or(true)) }.to_bytes();
    let world = desk.world.clone();
    drop(desk);
    let key = session.aboard().key();
    HandOver::sign(&mut bytes, key.public().0, |message| key.sign(message));
    if let Some(passphrase) = ask.passphrase.as_deref().filter(|it| !it.is_empty()) {
        let (one, other) = (world.random_id(), world.random_id());
        let nonce = std::array::from_fn(|n| if n < 16 { one[n] } else { other[n - 16] });
        bytes = locked::lock(bytes, passphrase, Chance { salt: world.random_id(), nonce })?;
    }
    disk::put_whole(&RealDisk, &path, Readers::Usual, &bytes).map_err(|error| refused(&path, &error))?;
    Ok(BackupDone { bytes: bytes.len() as u64 })
}

/// Who signed a file, in words, and whether it is one of this crew.
fn signed(session: &Session, bytes: &[u8]) -> Result<(String, bool), Problem> {
    let Some(seal) = HandOver::seal(bytes) else { return Ok((say("handover.unsigned", &[]), false)) };
    let signer = PublicKey(seal.signer);
    if !signer.signed(&seal.message, &seal.signature) {
        return Err(Problem::new("handover.forged", "path"));
    }
    let state = session.aboard().state();
    if signer == state.crew.public() {
        return Ok((say("handover.own", &[]), true));
    }
    let roster = state.crew.roster();
    let member = roster.and_then(|roster| roster.members().get(&signer)).map(|it| it.device.name.clone());
    let removed = roster.and_then(|roster| roster.removed().get(&signer).map(|it| it.device.name.clone()));
    Ok(match (member, removed) {
        (Some(name), _) => (say("handover.signed", &[("name", &name)]), true),
        (None, Some(name)) => (say("handover.of_removed", &[("name", &name)]), false),
        (None, None) => (say("handover.of_stranger", &[("key", &signer.short())]), false),
    })
}

/// Frozen records, and photos if wished, that are on this device; a missing one may be on another.
fn files(desk: &Desk, job: &JobView, with_photos: bool) -> Vec<(ContentHash, Vec<u8>)> {
    let photos = job.photos.live.iter().filter(|_| with_photos).map(|held| held.value.hash);
    let frozen =
        job.frozen.live.iter().flat_map(|held| [Some(held.value.hash), held.value.signature]).flatten();
    let mut hashes: Vec<ContentHash> = photos.chain(frozen).collect();
    hashes.sort_unstable();
    hashes.dedup();
    let read = |hash: ContentHash| Some((hash, desk.store.read_file(FileHash(hash.0)).ok()?));
    hashes.into_iter().filter_map(read).collect()
}

pub(crate) fn read(session: &Session, ask: HandOverRead) -> Result<HandOverDone, Problem> {
    let path = whole(&ask.path)?;
    let size = fs::metadata(&path).map_err(|error| refused(&path, &error))?.len();
    if size > MOST_BYTES {
        return Err(Problem::new("handover.too_large", "path").with("most", MOST_BYTES));
    }
    let mut bytes = fs::read(&path).map_err(|error| refused(&path, &error))?;
    if locked::is_locked(&bytes) {
        bytes = locked::unlock(&bytes, ask.passphrase.as_deref())?;
    }
    let read = HandOver::read(&bytes).map_err(wrong)?;
    let (signed_words, of_crew) = signed(session, &bytes)?;
    let labels = labels_of(&session.desk(), &read.parts);
    for (hash, bytes) in &read.files {
        let label = labels.get(&hash.0).copied().unwrap_or("handed over");
        let stored = session.desk().store.put_file(bytes, label)?;
        debug_assert_eq!(stored.0, hash.0, "reading the file has checked its hashes");
    }
    let mut done = HandOverDone {
        from: stamp(&read.stamp),
        signed_words,
        of_crew,
        files: u32::try_from(read.files.len()).unwrap_or(u32::MAX),
        jobs: Vec::new(),
        waiting: 0,
    };
    for job in read.parts.iter().filter(|part| part.kind == Kind::Job) {
        done.waiting += session.change(job.id, String::new(), |change| take_in(change, job, &read.parts))?;
        let line = session.desk().store.jobs()?.into_iter().find(|line| line.job.0 == job.id.0);
        done.jobs.extend(line.iter().map(summary::card));
    }
    Ok(done)
}

/// What the files are, as the jobs beside them say; damaged parts are refused later.
fn labels_of(desk: &Desk, parts: &[Part]) -> BTreeMap<[u8; 32], &'static str> {
    let jobs = parts.iter().filter(|part| part.kind == Kind::Job);
    let views = jobs.filter_map(|part| {
        let document = part.open(drylay_document::Actor(desk.world.random_id())).ok()?;
        JobView::read(&document).ok()
    });
    views.flat_map(|view| labels(&view)).collect()
}

/// Takes in a job and those of its rooms that the file holds; says how many of them wait for what is not here.
fn take_in(change: &mut Change<'_>, job: &Part, parts: &[Part]) -> Result<u32, Problem> {
    let mut waiting = u32::from(change.take_in(job)?);
    let seen = change.desk.job(&job.id.to_string())?;
    let rooms: Vec<DocumentId> = seen.view.room_list().iter().map(|held| held.value.document).collect();
    for part in parts.iter().filter(|part| part.kind == Kind::Room && rooms.contains(&part.id)) {
        waiting += u32::from(change.take_in(part)?);
    }
    Ok(waiting)
}

impl Change<'_> {
    /// Takes in one document of a hand-over; says whether it waits for what is not here.
    fn take_in(&mut self, part: &Part) -> Result<bool, Problem> {
        match self.desk.document(part.id, part.kind)? {
            Some(document) => {
                let imported = document.import(part).map_err(not_taken)?;
                self.touched(part.id, part.kind);
                Ok(imported.waiting)
            }
            None => {
                let actor = drylay_document::Actor(self.desk.world.random_id());
                let document: Document = part.open(actor).map_err(not_taken)?;
                self.take(document);
                Ok(false)
            }
        }
    }
}

/// A path that says everything: relative ones would depend on where the program was started.
pub(super) fn whole(path: &str) -> Result<PathBuf, Problem> {
    let whole = PathBuf::from(path);
    let usable = whole.is_absolute() && whole.file_name().is_some();
    if usable { Ok(whole) } else { Err(Problem::new("backup.path", "path").with("path", path)) }
}

pub(super) fn refused(path: &Path, error: &std::io::Error) -> Problem {
    Problem::new("store.io", "path").with("path", path.display()).with("why", error)
}

fn wrong(error: HandOverError) -> Problem {
    match error {
        HandOverError::Foreign => Problem::new("handover.foreign", "path"),
        HandOverError::Newer(_) => Problem::new("handover.newer", "path"),
        HandOverError::CutOff => Problem::new("handover.cut_off", "path"),
        HandOverError::Damaged => Problem::new("handover.damaged", "path"),
        HandOverError::Malformed(why) => Problem::new("handover.malformed", "path").with("why", why),
    }
}

fn not_taken(error: ImportError) -> Problem {
    Problem::new("handover.malformed", "path").with("why", error)
}
