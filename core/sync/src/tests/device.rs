//! A device without a disk: its crew, its documents, and what would be on the disk after a kill.

use crate::{Adopted, Crew, DeviceName, Held, Kept, Named, Output, SecretKey, Shelf, Trouble};
use drylay_document::handover::Part;
use drylay_document::{
    Actor, Author, ContentHash, DeviceId, Document, DocumentId, Edit, JobEntry, JobView, Kind, Photo,
    RoomEntry, RoomView, TapeReading, Timestamp, TypedLength,
};
use std::collections::{BTreeMap, BTreeSet};

/// What survives a kill.
#[derive(Clone, Debug, Default)]
pub(super) struct Disk {
    pub(super) documents: BTreeMap<DocumentId, (Kind, Option<DocumentId>, Vec<u8>)>,
    pub(super) files: BTreeMap<[u8; 32], Vec<u8>>,
    pub(super) parts: BTreeMap<[u8; 32], Vec<u8>>,
    pub(super) kept: Option<Kept>,
}

/// The documents in memory before what is on the disk.
#[derive(Debug, Default)]
pub(super) struct Rack {
    pub(super) disk: Disk,
    open: BTreeMap<DocumentId, Document>,
    pub(super) actors: u64,
    seed: u64,
    /// The disk is full from here on.
    pub(super) full: bool,
}

impl Rack {
    fn actor(&mut self) -> Actor {
        self.actors += 1;
        let mut actor = [0; 16];
        actor[..8].copy_from_slice(&self.actors.to_be_bytes());
        actor[8..].copy_from_slice(&self.seed.to_be_bytes());
        Actor(actor)
    }

    fn get(&mut self, id: DocumentId) -> Option<&mut Document> {
        if !self.open.contains_key(&id) {
            let (_, _, bytes) = self.disk.documents.get(&id)?.clone();
            let actor = self.actor();
            self.open.insert(id, Document::load(&bytes, actor).expect("what was stored"));
        }
        self.open.get_mut(&id)
    }

    fn store(&mut self, id: DocumentId) -> Result<(), Trouble> {
        if self.full {
            self.open.remove(&id);
            return Err(Trouble("the disk is full".into()));
        }
        let Some(document) = self.open.get_mut(&id) else { return Ok(()) };
        let chunk = document.take_chunk().unwrap_or_default();
        let (kind, bytes) = (document.kind(), document.snapshot());
        match self.disk.documents.get_mut(&id) {
            // As the store does it: a chunk behind what is there, and all of it in one now and then.
            Some(row) if row.2.len() < 4000 => row.2.extend(chunk),
            Some(row) => row.2 = bytes,
            None => {
                self.disk.documents.insert(id, (kind, None, bytes));
            }
        }
        Ok(())
    }
}

impl Shelf for Rack {
    fn documents(&mut self) -> Result<Vec<Held>, Trouble> {
        let ids: Vec<DocumentId> = self.disk.documents.keys().copied().collect();
        ids.into_iter().map(|id| Ok(self.held(id)?.expect("it is there"))).collect()
    }
    fn held(&mut self, id: DocumentId) -> Result<Option<Held>, Trouble> {
        let Some((kind, parent, _)) = self.disk.documents.get(&id).cloned() else { return Ok(None) };
        let heads = self.get(id).map(Document::heads).unwrap_or_default();
        Ok(Some(Held { kind, id, parent, heads }))
    }
    fn document(&mut self, id: DocumentId) -> Result<Option<&mut Document>, Trouble> {
        Ok(self.get(id))
    }
    fn keep(&mut self, id: DocumentId) -> Result<(), Trouble> {
        self.store(id)
    }
    fn adopt(
        &mut self,
        kind: Kind,
        id: DocumentId,
        parent: Option<DocumentId>,
        bytes: &[u8],
    ) -> Result<Adopted, Trouble> {
        let part = Part { kind, id, since: Vec::new(), bytes: bytes.to_vec() };
        let actor = self.actor();
        let Ok(mut whole) = part.open(actor) else { return Ok(Adopted::Refused) };
        let heads = whole.heads();
        match self.get(id) {
            Some(document) => {
                if document.import(&part).is_err() {
                    return Ok(Adopted::Refused);
                }
            }
            None => {
                if self.full {
                    return Err(Trouble("the disk is full".into()));
                }
                self.disk.documents.insert(id, (kind, parent, whole.snapshot()));
                self.open.insert(id, whole);
            }
        }
        self.store(id)?;
        Ok(Adopted::Heads(heads))
    }
    fn missing_files(&mut self, id: DocumentId) -> Result<Vec<Named>, Trouble> {
        let Some(document) = self.get(id) else { return Ok(Vec::new()) };
        let Ok(view) = JobView::read(document) else { return Ok(Vec::new()) };
        let named = view
            .photos
            .live
            .iter()
            .map(|held| Named { hash: held.value.hash.0, bytes: held.value.bytes.unsigned_abs() });
        Ok(named.filter(|it| !self.disk.files.contains_key(&it.hash)).collect())
    }
    fn piece(&mut self, hash: [u8; 32], offset: u64, most: u32) -> Result<Option<(u64, Vec<u8>)>, Trouble> {
        Ok(self.disk.files.get(&hash).map(|bytes| {
            let from = usize::try_from(offset).unwrap_or(usize::MAX).min(bytes.len());
            let to = from.saturating_add(most as usize).min(bytes.len());
            (bytes.len() as u64, bytes[from..to].to_vec())
        }))
    }
    fn part(&mut self, hash: [u8; 32]) -> Result<u64, Trouble> {
        Ok(self.disk.parts.get(&hash).map_or(0, |bytes| bytes.len() as u64))
    }
    fn append(&mut self, hash: [u8; 32], offset: u64, bytes: &[u8]) -> Result<(), Trouble> {
        if self.full {
            return Err(Trouble("the disk is full".into()));
        }
        let part = self.disk.parts.entry(hash).or_default();
        assert_eq!(part.len() as u64, offset, "pieces come in order");
        part.extend(bytes);
        Ok(())
    }
    fn finish(&mut self, hash: [u8; 32]) -> Result<bool, Trouble> {
        let bytes = self.disk.parts.remove(&hash).unwrap_or_default();
        let whole = ContentHash::of(&bytes).0 == hash;
        if whole {
            self.disk.files.insert(hash, bytes);
        }
        Ok(whole)
    }
}

/// A device.
#[derive(Debug)]
pub(super) struct Device {
    pub(super) n: u8,
    pub(super) crew: Crew,
    pub(super) rack: Rack,
    /// Its clock is wrong by so much.
    skew_ms: i64,
    count: u64,
}

pub(super) fn key(n: u8) -> SecretKey {
    SecretKey::from_seed([n + 1; 32])
}

pub(super) fn named(n: u8) -> DeviceName {
    DeviceName { id: [n; 16], name: format!("device {n}") }
}

impl Device {
    pub(super) fn new(n: u8, seed: u64, kept: Option<Kept>) -> Self {
        let mut rack = Rack { seed: seed ^ (u64::from(n) << 56), ..Rack::default() };
        rack.disk.kept.clone_from(&kept);
        let skew_ms = (i64::from(n) - 2) * 3 * 365 * 86_400_000;
        Self { n, crew: Crew::new(key(n), named(n), kept), rack, skew_ms, count: 0 }
    }

    /// The power goes, and comes again: on its own disk, or an older copy of it.
    pub(super) fn restart(&mut self, disk: Disk) {
        let (actors, seed) = (self.rack.actors, self.rack.seed);
        self.crew = Crew::new(key(self.n), named(self.n), disk.kept.clone());
        self.rack = Rack { disk, actors, seed, ..Rack::default() };
    }

    pub(super) fn author(&self) -> Author {
        Author { device: DeviceId([self.n; 16]), name: format!("device {}", self.n) }
    }

    fn now(&mut self) -> Timestamp {
        self.count += 1;
        let utc_ms = 1_790_000_000_000 + self.skew_ms + i64::try_from(self.count).unwrap_or(0);
        Timestamp { utc_ms, zone_minutes: 0 }
    }

    pub(super) fn make(&mut self, kind: Kind, id: DocumentId, parent: Option<DocumentId>) {
        let actor = self.rack.actor();
        let mut document = Document::create(kind, id, actor);
        self.rack.disk.documents.insert(id, (kind, parent, document.snapshot()));
        self.rack.open.insert(id, document);
    }

    /// Adds a reading to a room.
    pub(super) fn measure(&mut self, room: DocumentId, entry: &str) {
        let reading = TapeReading {
            from: "A".into(),
            to: "B".into(),
            read: TypedLength::parse("3745 mm").expect("a length"),
            sd: None,
            tool: None,
            measured_to: None,
            measured_at: None,
            listed: None,
        };
        let (author, now) = (self.author(), self.now());
        let document = self.rack.get(room).expect("the room");
        document.apply(&Edit::<RoomEntry>::add(entry, reading), &author, now).expect("an edit");
        self.rack.store(room).expect("a disk");
    }

    /// Adds a photo to a job: its content goes to the files.
    pub(super) fn photograph(&mut self, job: DocumentId, entry: &str, content: Vec<u8>) -> [u8; 32] {
        let hash = ContentHash::of(&content);
        let photo = Photo {
            hash,
            bytes: i64::try_from(content.len()).unwrap_or(0),
            width: None,
            height: None,
            taken_ms: None,
            pin: None,
            caption: None,
            in_report: None,
        };
        self.rack.disk.files.insert(hash.0, content);
        let (author, now) = (self.author(), self.now());
        let document = self.rack.get(job).expect("the job");
        document.apply(&Edit::<JobEntry>::add(entry, photo), &author, now).expect("an edit");
        self.rack.store(job).expect("a disk");
        hash.0
    }

    /// The names of all readings and photos that it can see.
    pub(super) fn entries(&mut self) -> Vec<String> {
        let ids: Vec<DocumentId> = self.rack.disk.documents.keys().copied().collect();
        let mut entries = Vec::new();
        for id in ids {
            let document = self.rack.get(id).expect("it is there");
            if let Ok(view) = RoomView::read(document) {
                entries.extend(view.tape.live.iter().map(|held| held.id.to_string()));
            } else if let Ok(view) = JobView::read(document) {
                entries.extend(view.photos.live.iter().map(|held| held.id.to_string()));
            }
        }
        entries.sort();
        entries
    }

    /// The files that its jobs name.
    pub(super) fn named_files(&mut self) -> BTreeSet<[u8; 32]> {
        let ids: Vec<DocumentId> = self.rack.disk.documents.keys().copied().collect();
        let mut named = BTreeSet::new();
        for id in ids {
            if let Some(Ok(view)) = self.rack.get(id).map(|document| JobView::read(document)) {
                named.extend(view.photos.live.iter().map(|held| held.value.hash.0));
            }
        }
        named
    }

    pub(super) fn heads(&mut self) -> Vec<(DocumentId, Vec<[u8; 32]>)> {
        let held = self.rack.documents().expect("documents");
        held.into_iter().map(|it| (it.id, it.heads)).collect()
    }

    /// Does what is for the device itself, and hands out the rest.
    pub(super) fn outputs(&mut self) -> Vec<Output> {
        let mut rest = Vec::new();
        for output in self.crew.outputs() {
            match output {
                Output::Keep(kept) => self.rack.disk.kept = kept,
                other => rest.push(other),
            }
        }
        rest
    }
}
