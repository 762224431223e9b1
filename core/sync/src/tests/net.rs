//! A network that is made up: connections, frames on their way, cuts. Chance decides what happens next; within a
//! stream frames keep their order, as a stream promises, between streams they do not.

use super::device::{Device, key};
use crate::{Admission, Channel, ConnId, Input, News, Output, PublicKey, Purpose, Why};
use fastrand::Rng;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// Frames on their way on one stream.
type Pipe = (ConnId, u8, Channel);

/// Devices and what is between them.
pub(super) struct Net {
    pub(super) devices: Vec<Device>,
    pub(super) rng: Rng,
    pub(super) now: u64,
    pub(super) pipes: BTreeMap<Pipe, VecDeque<Vec<u8>>>,
    /// Connection → (dialler, other).
    pub(super) conns: BTreeMap<ConnId, (u8, u8)>,
    /// Pairs that cannot reach each other.
    pub(super) cut: BTreeSet<(u8, u8)>,
    dials: Vec<(u8, PublicKey, Purpose)>,
    admissions: BTreeMap<u8, Admission>,
    pub(super) news: Vec<(u8, News)>,
    pub(super) closes: Vec<(u8, Why)>,
    next: ConnId,
    pub(super) sent: u64,
}

pub(super) fn pair(one: u8, other: u8) -> (u8, u8) {
    (one.min(other), one.max(other))
}

impl Net {
    pub(super) fn new(devices: Vec<Device>, seed: u64) -> Self {
        let mut net = Self {
            devices,
            rng: Rng::with_seed(seed),
            now: 1,
            pipes: BTreeMap::new(),
            conns: BTreeMap::new(),
            cut: BTreeSet::new(),
            dials: Vec::new(),
            admissions: BTreeMap::new(),
            news: Vec::new(),
            closes: Vec::new(),
            next: 1,
            sent: 0,
        };
        (0..net.count()).for_each(|n| net.drain(n));
        net
    }

    pub(super) fn count(&self) -> u8 {
        u8::try_from(self.devices.len()).expect("a few")
    }

    pub(super) fn input(&mut self, n: u8, input: Input) {
        let device = &mut self.devices[usize::from(n)];
        device.crew.input(self.now, input, &mut device.rack);
        self.drain(n);
    }

    /// Does what a device wants done.
    pub(super) fn drain(&mut self, n: u8) {
        for output in self.devices[usize::from(n)].outputs() {
            match output {
                Output::Dial { peer, purpose, .. } => self.dials.push((n, peer, purpose)),
                Output::Send { conn, channel, bytes } => {
                    if self.conns.contains_key(&conn) {
                        self.sent += bytes.len() as u64;
                        self.pipes.entry((conn, n, channel)).or_default().push_back(bytes);
                    }
                }
                Output::Close { conn, why } => {
                    self.closes.push((n, why));
                    self.hang_up(conn, n, why == Why::NotOfCrew);
                }
                Output::Admit(admission) => {
                    self.admissions.insert(n, admission);
                }
                Output::Tell(news) => self.news.push((n, news)),
                Output::Keep(_) => unreachable!("the device does that"),
            }
        }
    }

    /// One side closed: what it had sent is dropped, as a reset does.
    fn hang_up(&mut self, conn: ConnId, by: u8, refused: bool) {
        let Some((one, other)) = self.conns.remove(&conn) else { return };
        self.pipes.retain(|(id, ..), _| *id != conn);
        let far = if by == one { other } else { one };
        self.input(far, Input::Closed { conn, refused });
    }

    /// A connection breaks for both.
    pub(super) fn break_conn(&mut self, conn: ConnId) {
        let Some((one, other)) = self.conns.remove(&conn) else { return };
        self.pipes.retain(|(id, ..), _| *id != conn);
        self.input(one, Input::Closed { conn, refused: false });
        self.input(other, Input::Closed { conn, refused: false });
    }

    /// The devices of a pair cannot reach each other from now on; neither is told.
    pub(super) fn cut(&mut self, one: u8, other: u8) {
        self.cut.insert(pair(one, other));
        let gone: Vec<ConnId> = self
            .conns
            .iter()
            .filter(|(_, it)| pair(it.0, it.1) == pair(one, other))
            .map(|(id, _)| *id)
            .collect();
        for conn in gone {
            if self.rng.bool() {
                self.break_conn(conn);
            } else {
                // Silence: what is on its way is lost, and each finds out by itself.
                self.pipes.retain(|(id, ..), _| *id != conn);
                self.conns.remove(&conn);
            }
        }
    }

    /// A device's power went: its connections are silent for the others.
    pub(super) fn drop_conns_of(&mut self, n: u8) {
        let gone: Vec<(ConnId, u8)> = self
            .conns
            .iter()
            .filter(|(_, it)| it.0 == n || it.1 == n)
            .map(|(id, it)| (*id, if it.0 == n { it.1 } else { it.0 }))
            .collect();
        for (conn, far) in gone {
            self.conns.remove(&conn);
            self.pipes.retain(|(id, ..), _| *id != conn);
            if self.rng.bool() {
                self.input(far, Input::Closed { conn, refused: false });
            }
        }
        self.dials.retain(|(by, ..)| *by != n);
    }

    pub(super) fn who(&self, peer: PublicKey) -> Option<u8> {
        (0..self.count()).find(|n| key(*n).public() == peer)
    }

    /// The next dial that is under way succeeds or fails.
    fn dial(&mut self) {
        if self.dials.is_empty() {
            return;
        }
        let at = self.rng.usize(..self.dials.len());
        let (by, peer, purpose) = self.dials.swap_remove(at);
        let Some(other) = self.who(peer).filter(|other| !self.cut.contains(&pair(by, *other))) else {
            return self.input(by, Input::Failed { peer });
        };
        self.connect(by, other, purpose);
    }

    pub(super) fn connect(&mut self, by: u8, other: u8, purpose: Purpose) -> ConnId {
        let conn = self.next;
        self.next += 1;
        self.conns.insert(conn, (by, other));
        let exported = [self.rng.u8(..); 32];
        let mut chance = [0; 32];
        self.rng.fill(&mut chance);
        let opened = |peer: u8, dialled| Input::Opened {
            conn,
            peer: key(peer).public(),
            dialled,
            purpose,
            exported,
            chance: chance.map(|byte| if dialled { byte } else { !byte }),
        };
        self.input(by, opened(other, true));
        let admitted = self.admissions.get(&other).is_some_and(|admission| match purpose {
            Purpose::Crew => admission.members.contains(&key(by).public()),
            Purpose::Introduce => admission.introductions,
            Purpose::Join => admission.joining,
        });
        if admitted {
            if self.conns.contains_key(&conn) {
                self.input(other, opened(by, false));
            }
        } else {
            self.hang_up(conn, other, true);
        }
        conn
    }

    /// One frame arrives.
    pub(super) fn deliver(&mut self) -> bool {
        let busy: Vec<Pipe> =
            self.pipes.iter().filter(|(_, q)| !q.is_empty()).map(|(pipe, _)| *pipe).collect();
        if busy.is_empty() {
            return false;
        }
        let pipe = busy[self.rng.usize(..busy.len())];
        let Some(bytes) = self.pipes.get_mut(&pipe).and_then(VecDeque::pop_front) else { return false };
        let (conn, from, channel) = pipe;
        if let Some((one, other)) = self.conns.get(&conn).copied() {
            let to = if from == one { other } else { one };
            self.input(to, Input::Frame { conn, channel, bytes });
        }
        true
    }

    /// Some time goes by for everybody.
    pub(super) fn pass(&mut self, ms: u64) {
        self.now += ms;
        (0..self.count()).for_each(|n| self.input(n, Input::Tick));
    }

    /// Whatever can happen by itself happens.
    pub(super) fn step(&mut self) -> bool {
        if !self.dials.is_empty() && self.rng.u8(..4) == 0 {
            self.dial();
            return true;
        }
        self.deliver() || {
            let dialling = !self.dials.is_empty();
            self.dial();
            dialling
        }
    }

    /// Lets everything go on until nothing more happens for some while.
    pub(super) fn settle(&mut self) {
        for _ in 0..40 {
            let mut steps = 0;
            while self.step() {
                steps += 1;
                assert!(steps < 200_000, "they talk without end");
            }
            self.pass(1_000);
        }
        while self.step() {}
    }

    /// A step of everybody's life.
    pub(super) fn live(&mut self, steps: usize) {
        for _ in 0..steps {
            if !self.step() {
                self.pass(500);
            }
        }
    }

    pub(super) fn connected(&self, one: u8, other: u8) -> bool {
        self.conns.values().any(|it| pair(it.0, it.1) == pair(one, other))
    }
}
