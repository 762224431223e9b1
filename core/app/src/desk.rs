//! What is open: the store, the documents in memory, and what was worked out from them.

use crate::Problem;
use crate::labels::Labels;
use crate::refusal::unknown;
use crate::surveyed::Surveyed;
use crate::wire::Units;
use crate::words::say;
use crate::world::World;
use drylay_document::rescue::rescue;
use drylay_document::{Actor, Author, DeviceId, Document, DocumentId, JobView, Kind, RoomView, Use};
use drylay_geometry::{ItemId, Length};
use drylay_store::{DocumentKey, Op, Standing, Store};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// How many documents stay open at most; those not used for longest are closed first.
const MOST_OPEN: usize = 250;

/// Everything that a session holds, under one lock.
#[derive(Debug)]
pub(crate) struct Desk {
    pub(crate) store: Store,
    pub(crate) me: Author,
    pub(crate) world: Arc<dyn World>,
    pub(crate) ways: BTreeMap<DocumentId, crate::change::Ways>,
    pub(crate) lines: crate::summary::Lines,
    /// The shop that the crew shares.
    pub(crate) crew_shop: Option<DocumentId>,
    /// What the files are that are still to come from others.
    pub(crate) awaited: BTreeMap<[u8; 32], &'static str>,
    open: BTreeMap<DocumentId, Open>,
    /// The jobs as read last, each with the heads it was read at.
    jobs: BTreeMap<DocumentId, (Vec<[u8; 32]>, Arc<JobView>)>,
    rooms: BTreeMap<DocumentId, Arc<SeenRoom>>,
    /// The last survey of each room that bounded a floor, for as long as the session lasts.
    good: BTreeMap<DocumentId, Arc<Surveyed>>,
    uses: u64,
}

#[derive(Debug)]
struct Open {
    document: Document,
    used: u64,
    damage: Option<Problem>,
}

/// A job as it stands.
#[derive(Clone, Debug)]
pub(crate) struct SeenJob {
    pub(crate) id: DocumentId,
    pub(crate) view: Arc<JobView>,
    pub(crate) units: Units,
    pub(crate) damage: Option<Problem>,
}

/// A room as it stands, with what its readings say.
#[derive(Debug)]
pub(crate) struct SeenRoom {
    heads: Vec<[u8; 32]>,
    units: Units,
    gap: Length,
    pub(crate) view: RoomView,
    pub(crate) labels: Labels,
    pub(crate) survey: Arc<Surveyed>,
    /// The last survey that bounded a floor, where this one does not.
    pub(crate) before: Option<Arc<Surveyed>>,
    pub(crate) damage: Option<Problem>,
}

impl SeenJob {
    /// The document of a room in the list.
    pub(crate) fn room(&self, id: &str, place: &str) -> Result<DocumentId, Problem> {
        let held = self.view.rooms.get(&ItemId::new(id));
        held.map(|held| held.value.document).ok_or_else(|| unknown("job.unknown_room", place, id))
    }

    /// The gap that a room's floor keeps: by the product of the first area it is in, else the job's first product.
    fn gap_of(&self, document: DocumentId) -> Length {
        let room = self.room_of(document);
        let area =
            self.view.areas.live.iter().find(|area| room.is_some_and(|room| area.value.rooms.contains(room)));
        let product = match area {
            Some(area) => self.view.products.get(&area.value.product),
            None => self.view.products.live.iter().find(|held| held.value.used_as == Use::Floor),
        };
        let gap = product.and_then(|product| product.value.edge_gap.as_ref());
        gap.map_or(Length::ZERO, drylay_document::TypedLength::length)
    }

    /// The room that has this document.
    pub(crate) fn room_of(&self, document: DocumentId) -> Option<&ItemId> {
        self.view.rooms.live.iter().find(|held| held.value.document == document).map(|held| &held.id)
    }
}

impl Desk {
    /// Opens the store in a folder.
    pub(crate) fn open(folder: &Path, world: Arc<dyn World>) -> Result<Self, Problem> {
        let mut store = Store::open(folder, world.random_id())?;
        let device = match store.setting("device.id")?.as_deref().and_then(DocumentId::parse) {
            Some(DocumentId(id)) => DeviceId(id),
            None => new_device(&mut store, world.random_id())?,
        };
        let name = store.setting("device.name")?.unwrap_or_else(|| say("device.unnamed", &[]));
        Ok(Self {
            store,
            me: Author { device, name },
            world,
            ways: BTreeMap::new(),
            lines: crate::summary::Lines::default(),
            crew_shop: None,
            awaited: BTreeMap::new(),
            open: BTreeMap::new(),
            jobs: BTreeMap::new(),
            rooms: BTreeMap::new(),
            good: BTreeMap::new(),
            uses: 0,
        })
    }

    /// A new id for an entry of a document.
    pub(crate) fn new_id(&self) -> ItemId {
        let DocumentId(bytes) = DocumentId(self.world.random_id());
        ItemId::new(bytes[..8].iter().map(|byte| format!("{byte:02x}")).collect::<String>())
    }

    /// How many documents are open.
    pub(crate) fn open_count(&self) -> usize {
        self.open.len()
    }

    /// Whether a document is in memory.
    pub(crate) fn is_open(&self, document: DocumentId) -> bool {
        self.open.contains_key(&document)
    }

    /// Whether the store can be written.
    pub(crate) fn is_writable(&self) -> bool {
        self.store.standing() == Standing::Writable
    }

    /// Closes a document without storing anything: what the disk has is what counts.
    pub(crate) fn forget(&mut self, document: DocumentId) {
        self.open.remove(&document);
        self.jobs.remove(&document);
        self.rooms.remove(&document);
    }

    /// Closes everything.
    pub(crate) fn forget_all(&mut self) {
        self.open.clear();
        self.jobs.clear();
        self.rooms.clear();
    }

    /// Takes in a document that was just made, or brought by a hand-over.
    pub(crate) fn adopt(&mut self, document: Document) {
        self.uses += 1;
        self.open.insert(document.id(), Open { document, used: self.uses, damage: None });
    }

    /// The open document, loading it if need be; `None` if the store does not hold it.
    pub(crate) fn document(&mut self, id: DocumentId, kind: Kind) -> Result<Option<&mut Document>, Problem> {
        self.uses += 1;
        if !self.open.contains_key(&id) {
            let Some(open) = self.load(id, kind)? else { return Ok(None) };
            self.make_room_for_one();
            self.open.insert(id, open);
        }
        let uses = self.uses;
        let open = self.open.get_mut(&id);
        Ok(open.map(|open| {
            open.used = uses;
            &mut open.document
        }))
    }

    fn load(&self, id: DocumentId, kind: Kind) -> Result<Option<Open>, Problem> {
        let loaded = self.store.load(DocumentKey(id.0))?;
        if loaded.chunks.is_empty() && loaded.damaged.is_empty() {
            return Ok(None);
        }
        let actor = Actor(self.world.random_id());
        if loaded.damaged.is_empty()
            && let Ok(document) = Document::load(&loaded.joined(), actor)
        {
            return Ok(Some(Open { document, used: self.uses, damage: None }));
        }
        let rescued = rescue(kind, id, &loaded.chunks, Actor(self.world.random_id()));
        let lost = loaded.damaged.len() + rescued.lost.len();
        let damage = (lost > 0 || rescued.waiting).then(|| {
            Problem::new("document.rescued", "").with("lost", lost).with("kept", loaded.chunks.len())
        });
        Ok(Some(Open { document: rescued.document, used: self.uses, damage }))
    }

    fn make_room_for_one(&mut self) {
        while self.open.len() >= MOST_OPEN {
            let oldest = self.open.iter().min_by_key(|(_, open)| open.used).map(|(id, _)| *id);
            let Some(oldest) = oldest else { return };
            self.forget(oldest);
        }
    }

    fn damage(&self, id: DocumentId) -> Option<Problem> {
        self.open.get(&id).and_then(|open| open.damage.clone())
    }

    /// The job of that id.
    pub(crate) fn job(&mut self, id: &str) -> Result<SeenJob, Problem> {
        let no_job = || unknown("job.unknown", "job", id);
        let document = DocumentId::parse(id).ok_or_else(no_job)?;
        self.seen_job(document)?.ok_or_else(no_job)
    }

    /// A job, read again only if its document changed.
    pub(crate) fn seen_job(&mut self, id: DocumentId) -> Result<Option<SeenJob>, Problem> {
        let known = self.jobs.get(&id).cloned();
        let Some(document) = self.document(id, Kind::Job)? else { return Ok(None) };
        let heads = document.heads();
        let view = match known.filter(|(seen, _)| *seen == heads) {
            Some((_, view)) => view,
            None => {
                let Ok(view) = JobView::read(document) else { return Ok(None) };
                let view = Arc::new(view);
                self.jobs.insert(id, (heads, view.clone()));
                view
            }
        };
        let units = Units::of(view.facts.value.as_ref().and_then(|facts| facts.units));
        Ok(Some(SeenJob { id, view, units, damage: self.damage(id) }))
    }

    /// A room of a job, read and surveyed again only if its document or the units changed.
    pub(crate) fn room(&mut self, job: &SeenJob, id: DocumentId) -> Result<Arc<SeenRoom>, Problem> {
        let (units, gap) = (job.units, job.gap_of(id));
        let known = self.rooms.get(&id).cloned();
        let document = self.document(id, Kind::Room)?;
        let document = document.ok_or_else(|| unknown("room.not_here", "room", &id.to_string()))?;
        let heads = document.heads();
        if let Some(seen) = known.filter(|seen| seen.heads == heads && seen.units == units && seen.gap == gap)
        {
            return Ok(seen);
        }
        let view = RoomView::read(document).map_err(|_| unknown("room.not_here", "room", &id.to_string()))?;
        let labels = Labels::of(&view);
        let link = job.room_of(id).cloned().unwrap_or_else(|| ItemId::new(""));
        let survey = Arc::new(Surveyed::of(&job.view, &link, &view, &labels, gap));
        let before = if survey.bounds_a_floor() {
            self.good.insert(id, survey.clone());
            None
        } else {
            self.good.get(&id).filter(|good| good.corners == survey.corners).cloned()
        };
        let damage = self.damage(id);
        let seen = Arc::new(SeenRoom { heads, units, gap, view, labels, survey, before, damage });
        self.rooms.insert(id, seen.clone());
        Ok(seen)
    }
}

fn new_device(store: &mut Store, id: [u8; 16]) -> Result<DeviceId, Problem> {
    let text = DocumentId(id).to_string();
    if store.standing() == Standing::Writable {
        store.write(&[Op::Set { key: "device.id", value: Some(&text) }])?;
    }
    Ok(DeviceId(id))
}
