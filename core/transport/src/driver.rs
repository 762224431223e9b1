//! The one thread that hands what happened to the engine, in order, and does what it answers.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

use drylay_sync::{Channel, ConnId, Engine, Input, Output, PublicKey, Purpose, Why};
use iroh::Endpoint;
use iroh::endpoint::Connection;
use tokio::runtime::Handle;
use tokio::sync::OwnedSemaphorePermit;

use crate::admit::{Door, number};
use crate::dial::dial;
use crate::link::{Link, Which};

/// How often the engine is told that time passes.
const TICK: Duration = Duration::from_millis(500);
/// The most events that are done before it is told.
const MOST_BEFORE_TICK: usize = 256;
/// The label of the keying material (RFC 8446, section 7.5).
const EXPORTED: &[u8] = b"EXPORTER-drylay-crew-1";

/// Something for the driver.
#[derive(Debug)]
pub(crate) enum Event {
    /// Something that the engine is told as it is.
    Happened(Input),
    /// A frame came; its place is free again when it has been taken in.
    Frame { conn: ConnId, channel: Channel, bytes: Vec<u8>, place: OwnedSemaphorePermit },
    /// A connection stands.
    Up { connection: Connection, dialled: bool, purpose: Purpose },
    /// The network is to end.
    Stop,
}

/// Where events are told.
#[derive(Clone, Debug)]
pub(crate) struct Ears(pub(crate) Sender<Event>);

impl Ears {
    /// Tells the driver; one that has ended wants to know nothing more.
    pub(crate) fn tell(&self, event: Event) {
        let _ = self.0.send(event);
    }
}

/// The driver.
pub(crate) struct Driver {
    pub(crate) engine: Arc<dyn Engine>,
    pub(crate) endpoint: Endpoint,
    pub(crate) door: Door,
    pub(crate) runtime: Handle,
    pub(crate) ears: Ears,
    pub(crate) begun: Instant,
    pub(crate) links: BTreeMap<ConnId, Link>,
    pub(crate) last: ConnId,
}

impl Driver {
    /// Works until the network is to end.
    pub(crate) fn run(mut self, events: &Receiver<Event>) {
        let mut next = Instant::now();
        loop {
            let wait = next.saturating_duration_since(Instant::now());
            let goes_on = match events.recv_timeout(wait) {
                Ok(event) => self.event(event),
                Err(error) => error == RecvTimeoutError::Timeout,
            };
            if !goes_on {
                break;
            }
            // Also under a load of events time must be seen to pass; but after long work what came in the meantime
            // counts before the time that it took, or live connections would look dead.
            if next <= Instant::now() {
                if !events.try_iter().take(MOST_BEFORE_TICK).all(|event| self.event(event)) {
                    break;
                }
                next = Instant::now() + TICK;
                self.happened(Input::Tick);
            }
        }
        for link in self.links.values() {
            link.leave();
        }
    }

    /// Does what an event asks; whether the network goes on.
    fn event(&mut self, event: Event) -> bool {
        match event {
            Event::Happened(input) => {
                if let Input::Closed { conn, .. } = &input {
                    self.links.remove(conn);
                }
                self.happened(input);
            }
            Event::Frame { conn, channel, bytes, place } => {
                // Of a connection that was ended here nothing more counts.
                if self.links.contains_key(&conn) {
                    self.happened(Input::Frame { conn, channel, bytes });
                }
                drop(place);
            }
            Event::Up { connection, dialled, purpose } => self.up(connection, dialled, purpose),
            Event::Stop => return false,
        }
        true
    }

    fn up(&mut self, connection: Connection, dialled: bool, purpose: Purpose) {
        let peer = PublicKey(*connection.remote_id().as_bytes());
        let (mut exported, mut chance) = ([0; 32], [0; 32]);
        let bound = connection.export_keying_material(&mut exported, EXPORTED, b"").is_ok();
        if !bound || getrandom::fill(&mut chance).is_err() {
            connection.close(number(Why::Trouble), b"");
            if dialled {
                self.happened(Input::Failed { peer });
            }
            return;
        }
        self.last += 1;
        let which = Which { conn: self.last, dialled, purpose };
        let link = Link::begin(&self.runtime, connection, which, &self.ears);
        self.links.insert(which.conn, link);
        self.happened(Input::Opened { conn: which.conn, peer, dialled, purpose, exported, chance });
    }

    fn happened(&mut self, input: Input) {
        let now = u64::try_from(self.begun.elapsed().as_millis()).unwrap_or(u64::MAX);
        for output in self.engine.input(now, input) {
            self.act(output);
        }
    }

    fn act(&mut self, output: Output) {
        match output {
            Output::Dial { peer, addresses, purpose } => {
                let (endpoint, ears) = (self.endpoint.clone(), self.ears.clone());
                self.runtime.spawn(async move {
                    ears.tell(match dial(endpoint, peer, addresses, purpose).await {
                        Some(connection) => Event::Up { connection, dialled: true, purpose },
                        None => Event::Happened(Input::Failed { peer }),
                    });
                });
            }
            Output::Send { conn, channel, bytes } => {
                if let Some(link) = self.links.get(&conn) {
                    link.send(channel, bytes);
                }
            }
            Output::Close { conn, why } => {
                if let Some(link) = self.links.remove(&conn) {
                    link.close(&self.runtime, why);
                }
            }
            Output::Admit(admission) => self.door.set(admission),
            // Whoever holds the documents has done these before it answers.
            Output::Keep(_) | Output::Tell(_) => {}
        }
    }
}
