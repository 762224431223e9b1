//! The door: one call and one stream of events.

use crate::Problem;
use crate::change::{Change, Changed, Way};
use crate::commands::device::LANGUAGE;
use crate::crew::Aboard;
use crate::desk::Desk;
use crate::floors::Floors;
use crate::given_out::GivenOut;
use crate::language::Language;
use crate::outlet::Outlet;
use crate::planned::Plans;
use crate::table;
use crate::wire::Event;
use crate::world::World;
use drylay_document::{ContentHash, DocumentId, Kind};
use drylay_store::{DocumentKey, FileHash};
use drylay_sync::Input;
use serde_json::Value;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

/// How many plans that were given out are kept in memory.
const MOST_GIVEN_OUT: usize = 32;

/// An open store with everything that can be asked of it. It may be shared between threads; a copy is the same
/// session.
#[derive(Clone, Debug)]
pub struct Session(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    desk: Mutex<Desk>,
    aboard: Aboard,
    ears: Mutex<Vec<Sender<Event>>>,
    plans: Mutex<Plans>,
    floors: Mutex<Floors>,
    given_out: Mutex<BTreeMap<ContentHash, Arc<GivenOut>>>,
    tasks: Mutex<BTreeMap<String, Arc<AtomicBool>>>,
    outlet: OnceLock<Arc<dyn Outlet>>,
}

impl Session {
    /// Opens the store in a folder, making it if there is none.
    ///
    /// # Errors
    /// Says why it cannot be opened.
    pub fn open(folder: &Path, world: Arc<dyn World>) -> Result<Self, Problem> {
        let mut desk = Desk::open(folder, world)?;
        let aboard = Aboard::open(&mut desk)?;
        if let Some(language) = desk.store.setting(LANGUAGE)?.as_deref().and_then(Language::of_code) {
            language.speak();
        }
        Ok(Self(Arc::new(Shared {
            desk: Mutex::new(desk),
            aboard,
            ears: Mutex::default(),
            plans: Mutex::default(),
            floors: Mutex::default(),
            given_out: Mutex::default(),
            tasks: Mutex::default(),
            outlet: OnceLock::new(),
        })))
    }

    /// Does what the [`table`] has under that name.
    ///
    /// # Errors
    /// A problem with its place. Nothing was changed then, unless the problem says otherwise.
    pub fn call(&self, name: &str, args: Value) -> Result<Value, Problem> {
        let command =
            table::find(name).ok_or_else(|| Problem::new("command.unknown", "").with("name", name))?;
        match catch_unwind(AssertUnwindSafe(|| (command.run)(self, args))) {
            Ok(answer) => answer,
            Err(_) => {
                // Whatever is in memory may be half done; what is on the disk is not.
                self.desk().forget_all();
                Err(Problem::internal(name))
            }
        }
    }

    /// All events from now on. The stream ends with the session.
    pub fn subscribe(&self) -> Receiver<Event> {
        let (sender, receiver) = channel();
        self.ears().push(sender);
        receiver
    }

    /// A stored picture by its name: its content hash in hexadecimal digits, alone or with `/medium` or `/small` for
    /// a copy whose longest side has 1600 or 320 pixels. `None` if there is no such picture here.
    pub fn photo(&self, name: &str) -> Option<Vec<u8>> {
        // A picture from another device may stop its decoder.
        catch_unwind(AssertUnwindSafe(|| self.desk().picture(name))).ok().flatten()
    }

    /// Gives the session what papers are made with; the first that is given stays. Without one none can be made.
    pub fn give_outlet(&self, outlet: Arc<dyn Outlet>) {
        let _ = self.0.outlet.set(outlet);
    }

    /// What papers are made with.
    pub(crate) fn outlet(&self) -> Option<&dyn Outlet> {
        self.0.outlet.get().map(Arc::as_ref)
    }

    /// The bytes of a paper that was made here, by its name `JOB/FILE`. `None` if there is none, or its file was changed
    /// or taken away.
    pub fn paper(&self, name: &str) -> Option<Vec<u8>> {
        let (job, file) = name.split_once('/')?;
        crate::commands::papers::file(self, job, file).map(|(_, bytes)| bytes)
    }

    /// How many documents are in memory.
    pub fn open_documents(&self) -> usize {
        self.desk().open_count()
    }

    pub(crate) fn desk(&self) -> MutexGuard<'_, Desk> {
        self.0.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The crew's side.
    pub(crate) fn aboard(&self) -> &Aboard {
        &self.0.aboard
    }

    fn ears(&self) -> MutexGuard<'_, Vec<Sender<Event>>> {
        self.0.ears.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Plans that are remembered.
    pub(crate) fn plans(&self) -> MutexGuard<'_, Plans> {
        self.0.plans.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Floors that are remembered.
    pub(crate) fn floors(&self) -> MutexGuard<'_, Floors> {
        self.0.floors.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A plan that was given out, read once; `None` where its bytes are not on this device or cannot be read.
    pub(crate) fn given_out(&self, plan: ContentHash) -> Option<Arc<GivenOut>> {
        let kept = || self.0.given_out.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = kept().get(&plan) {
            return Some(known.clone());
        }
        let bytes = self.desk().store.read_file(FileHash(plan.0)).ok()?;
        let read = Arc::new(GivenOut::read(&bytes)?);
        let mut all = kept();
        // A crew works on a few plans at a time; what is old is read again when it is asked for.
        if all.len() >= MOST_GIVEN_OUT {
            all.clear();
        }
        all.insert(plan, read.clone());
        Some(read)
    }

    fn tasks(&self) -> MutexGuard<'_, BTreeMap<String, Arc<AtomicBool>>> {
        self.0.tasks.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Notes a task that begins; what is given back turns true when it is to end.
    pub(crate) fn begin(&self, task: &str) -> Arc<AtomicBool> {
        let cancelled = Arc::new(AtomicBool::new(false));
        self.tasks().insert(task.to_owned(), cancelled.clone());
        cancelled
    }

    /// Asks a task to end; one that has ended already is no fault.
    pub(crate) fn cancel(&self, task: &str) {
        if let Some(cancelled) = self.tasks().get(task) {
            cancelled.store(true, Ordering::Relaxed);
        }
    }

    /// Notes that a task has ended.
    pub(crate) fn end(&self, task: &str) {
        self.tasks().remove(task);
    }

    /// Tells everybody who listens.
    pub(crate) fn tell(&self, event: &Event) {
        self.ears().retain(|ear| ear.send(event.clone()).is_ok());
    }

    /// Changes a job and tells of it once it is stored.
    pub(crate) fn change<T>(
        &self,
        job: DocumentId,
        words: String,
        work: impl FnOnce(&mut Change<'_>) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let mut desk = self.desk();
        let (answer, changed) = desk.change(job, words, work)?;
        let event = event(&mut desk, job, &changed);
        drop(desk);
        self.told(event, changed);
        Ok(answer)
    }

    /// Takes the last step back or does it again, and tells of it.
    pub(crate) fn step(&self, job: DocumentId, way: Way) -> Result<(), Problem> {
        let mut desk = self.desk();
        let changed = desk.step(job, way)?;
        let event = event(&mut desk, job, &changed);
        drop(desk);
        self.told(event, changed);
        Ok(())
    }

    /// Tells of a change that is stored: here, and to the crew.
    fn told(&self, event: Option<Event>, changed: Changed) {
        event.iter().for_each(|event| self.tell(event));
        changed.into_iter().for_each(|document| self.wake(Input::Changed { document }));
    }
}

/// What is told of a change: the room, if one room's document is all that changed.
fn event(desk: &mut Desk, job: DocumentId, changed: &Changed) -> Option<Event> {
    let room = match changed[..] {
        [] => return None,
        [one] if one != job => {
            desk.seen_job(job).ok().flatten().and_then(|seen| seen.room_of(one).map(ToString::to_string))
        }
        _ => None,
    };
    Some(Event::Changed { job: job.to_string(), room })
}

impl Desk {
    /// What is told when a document has something new from another device. Nothing of a room whose job is not here,
    /// and nothing of the shop: its rates are taken along when a job is made.
    pub(crate) fn changed_event(&mut self, document: DocumentId) -> Option<Event> {
        let info = self.store.info(DocumentKey(document.0)).ok().flatten()?;
        match Kind::from_word(&info.label)? {
            Kind::Shop => None,
            Kind::Job => Some(Event::Changed { job: document.to_string(), room: None }),
            Kind::Room => event(self, DocumentId(info.parent?.0), &vec![document]),
        }
    }
}
