//! The crew's protocol beside the desk: what happens on the network goes in here, and what is done here goes out.
//!
//! One lock for the crew, one for the desk, always taken in this order. Whatever the protocol wants kept or told is
//! done here; the rest is handed to the network, if there is one.

pub(crate) mod key;
mod level;
mod shelf;

use crate::Problem;
use crate::desk::Desk;
use crate::session::Session;
use crate::wire::Event;
use data_encoding::BASE32_NOPAD;
use drylay_document::{DeviceId, DocumentId};
use drylay_store::{FileHash, Op, Standing, Store};
use drylay_sync::{Crew, DeviceName, Engine, Input, Kept, News, Output, SecretKey, Wake, Why};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, MutexGuard, PoisonError};

pub(crate) use shelf::{LATE, labels, mark_of};

/// The setting that holds what is kept of the crew.
const KEPT: &str = "crew.kept";

/// The crew's side of a session.
#[derive(Debug)]
pub(crate) struct Aboard {
    state: Mutex<State>,
    wake: Mutex<Listener>,
}

/// The network, once there is one.
#[derive(Default)]
struct Listener(Option<Wake>);

impl std::fmt::Debug for Listener {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(if self.0.is_some() { "a network" } else { "no network" })
    }
}

/// The crew, and what of it waits for the network or for a person's eyes.
#[derive(Debug)]
pub(crate) struct State {
    pub(crate) crew: Crew,
    key: SecretKey,
    /// Where the key lies.
    pub(crate) key_place: key::Place,
    waiting: Vec<Output>,
    /// What is shown of the invitation that stands, and since when.
    pub(crate) shown: Option<drylay_sync::Shown>,
    /// How joining ended, if it came to nothing.
    pub(crate) not_joined: Option<Why>,
    times: level::Times,
}

impl Aboard {
    /// The crew that the desk's store knows of.
    pub(crate) fn open(desk: &mut Desk) -> Result<Self, Problem> {
        let chance = [desk.world.random_id(), desk.world.random_id()].concat();
        let chance: [u8; 32] = chance.try_into().unwrap_or_default();
        let writable = desk.is_writable();
        let key::Found { key, place, new } = match writable {
            true => key::find(desk.store.folder(), chance, desk.world.lockbox())?,
            // A store that is only read takes no part in anything.
            false => key::Found { key: SecretKey::from_seed(chance), place: key::Place::Memory, new: false },
        };
        if new {
            become_another(desk)?;
        }
        let kept = kept(&desk.store)?.filter(|_| writable);
        desk.crew_shop = kept.as_ref().and_then(|kept| kept.shop);
        let me = DeviceName { id: desk.me.device.0, name: desk.me.name.clone() };
        let mut crew = Crew::new(key.clone(), me, kept);
        let times = level::Times::of(&mut crew, desk)?;
        let state =
            State { crew, key, key_place: place, waiting: Vec::new(), shown: None, not_joined: None, times };
        Ok(Self { state: Mutex::new(state), wake: Mutex::default() })
    }

    /// The crew. Never to be asked for while the desk is held.
    pub(crate) fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The device's key.
    pub(crate) fn key(&self) -> SecretKey {
        self.state().key.clone()
    }

    fn wake(&self) -> MutexGuard<'_, Listener> {
        self.wake.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A store without a key that knows of a crew was restored from a backup, or copied without its key: it is another
/// device than the one that it was.
fn become_another(desk: &mut Desk) -> Result<(), Problem> {
    if desk.store.setting(KEPT)?.is_none() {
        return Ok(());
    }
    let id = desk.world.random_id();
    let text = DocumentId(id).to_string();
    desk.store
        .write(&[Op::Set { key: KEPT, value: None }, Op::Set { key: "device.id", value: Some(&text) }])?;
    desk.me.device = DeviceId(id);
    Ok(())
}

fn kept(store: &Store) -> Result<Option<Kept>, Problem> {
    let text = store.setting(KEPT)?;
    Ok(text.and_then(|text| BASE32_NOPAD.decode(text.as_bytes()).ok()).and_then(|bytes| Kept::read(&bytes)))
}

impl Session {
    /// The device's side of the crew's network, for whatever carries it.
    ///
    /// # Errors
    /// If the store can only be read: then it takes no part in a crew.
    pub fn engine(&self) -> Result<std::sync::Arc<dyn Engine>, Problem> {
        if self.desk().store.standing() != Standing::Writable {
            return Err(Problem::new("store.newer", ""));
        }
        Ok(std::sync::Arc::new(Aboard::of(self)))
    }

    /// Does something with the crew, and hands on what follows from it.
    pub(crate) fn with_crew<T>(
        &self,
        work: impl FnOnce(&mut State, &mut Desk) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let mut state = self.aboard().state();
        let answer = work(&mut state, &mut self.desk());
        let outputs = state.crew.outputs();
        let rest = self.do_here(&mut state, outputs);
        state.waiting.extend(rest);
        drop(state);
        self.wake(Input::Tick);
        answer
    }

    /// Tells the network, if there is one, that something happened here.
    pub(crate) fn wake(&self, input: Input) {
        if let Some(wake) = &self.aboard().wake().0 {
            wake(input);
        }
    }

    /// Whether there is a network.
    pub(crate) fn has_network(&self) -> bool {
        self.aboard().wake().0.is_some()
    }

    /// Keeps what is to be kept, tells what is to be told; what is left is for the network.
    fn do_here(&self, state: &mut State, outputs: Vec<Output>) -> Vec<Output> {
        let mut rest = Vec::new();
        for output in outputs {
            match output {
                Output::Keep(kept) => {
                    if let Err(problem) = self.keep(kept) {
                        self.tell(&Event::Trouble { words: problem.to_string() });
                    }
                }
                Output::Tell(news) => self.news(state, news),
                other => rest.push(other),
            }
        }
        rest
    }

    fn keep(&self, kept: Option<Kept>) -> Result<(), Problem> {
        let mut desk = self.desk();
        let text = kept.as_ref().map(|kept| BASE32_NOPAD.encode(&kept.to_bytes()));
        desk.store.write(&[Op::Set { key: KEPT, value: text.as_deref() }])?;
        desk.crew_shop = kept.and_then(|kept| kept.shop);
        Ok(())
    }

    fn news(&self, state: &mut State, news: News) {
        match news {
            News::Changed(document) => return self.tell_changed(document),
            News::File(hash) => self.tell(&Event::Picture { hash: FileHash(hash).to_string() }),
            News::Trouble(words) => return self.tell(&Event::Trouble { words }),
            News::Asks { .. } | News::InvitationClosed => state.shown = None,
            News::NotJoined(why) => state.not_joined = Some(why),
            News::Joined => state.not_joined = None,
            News::Crew => {}
        }
        self.tell(&Event::Crew);
    }

    /// Tells the screens that a document is no longer as it was.
    fn tell_changed(&self, document: DocumentId) {
        let event = self.desk().changed_event(document);
        event.iter().for_each(|event| self.tell(event));
    }
}

/// A session as the network sees it.
struct Side(Session);

impl Aboard {
    fn of(session: &Session) -> Side {
        Side(session.clone())
    }
}

impl Engine for Side {
    fn key(&self) -> SecretKey {
        self.0.aboard().key()
    }

    fn input(&self, now_ms: u64, input: Input) -> Vec<Output> {
        let session = &self.0;
        let mut state = session.aboard().state();
        let tick = matches!(input, Input::Tick);
        let done = catch_unwind(AssertUnwindSafe(|| {
            let mut desk = session.desk();
            state.crew.input(now_ms, input, &mut *desk);
            if tick {
                desk.catch_up_with_one_line();
            }
        }));
        let outputs = match done {
            Ok(()) => state.crew.outputs(),
            Err(_) => {
                // Whatever is in memory may be half done; what is on the disk is not.
                session.desk().forget_all();
                session.tell(&Event::Trouble { words: Problem::internal("crew").to_string() });
                state.crew.reset()
            }
        };
        if tick || outputs.contains(&Output::Tell(News::Crew)) {
            let State { crew, times, .. } = &mut *state;
            times.keep(crew, &mut session.desk());
        }
        let mut waiting = std::mem::take(&mut state.waiting);
        waiting.extend(session.do_here(&mut state, outputs));
        waiting
    }

    fn listen(&self, wake: Wake) {
        let mut state = self.0.aboard().state();
        state.waiting.clear();
        state.crew.begin();
        drop(state);
        wake(Input::Tick);
        self.0.aboard().wake().0 = Some(wake);
    }
}
