//! Sessions joined in memory, as a network would join them: what one's engine wants sent, the other's is told.

use drylay_app::Session;
use drylay_sync::{ConnId, Engine, Input, Output, PublicKey, Wake, Why};
use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

/// Sessions on one network.
pub(crate) struct Cable {
    ends: Vec<(Arc<dyn Engine>, Receiver<Input>)>,
    conns: BTreeMap<ConnId, (usize, usize)>,
    last: ConnId,
    now: u64,
    due: VecDeque<(usize, Input)>,
    /// Whether frames get through.
    pub(crate) cut: bool,
}

impl Cable {
    /// Joins sessions; each finds all the others.
    pub(crate) fn new(sessions: &[&Session]) -> Self {
        let engines: Vec<_> = sessions.iter().map(|session| session.engine().expect("an engine")).collect();
        let keys: Vec<PublicKey> = engines.iter().map(|engine| engine.key().public()).collect();
        let ends: Vec<(Arc<dyn Engine>, Receiver<Input>)> = engines
            .into_iter()
            .map(|engine| {
                let (sender, receiver) = channel();
                let wake: Wake = Box::new(move |input| drop(sender.send(input)));
                engine.listen(wake);
                (engine, receiver)
            })
            .collect();
        let mut cable =
            Self { ends, conns: BTreeMap::new(), last: 0, now: 1, due: VecDeque::new(), cut: false };
        for n in 0..keys.len() {
            for peer in keys.iter().filter(|key| **key != keys[n]) {
                cable.due.push_back((n, Input::Found { peer: *peer, addresses: Vec::new() }));
            }
        }
        cable
    }

    fn end_of(&self, key: PublicKey) -> Option<usize> {
        self.ends.iter().position(|(engine, _)| engine.key().public() == key)
    }

    fn other(&self, conn: ConnId, n: usize) -> Option<usize> {
        self.conns.get(&conn).map(|(one, other)| if *one == n { *other } else { *one })
    }

    fn act(&mut self, n: usize, output: Output) {
        match output {
            Output::Dial { peer, purpose, .. } => {
                let Some(far) = self.end_of(peer).filter(|_| !self.cut) else {
                    return self.due.push_back((n, Input::Failed { peer }));
                };
                self.last += 1;
                let conn = self.last;
                self.conns.insert(conn, (n, far));
                let exported = [u8::try_from(conn % 250).expect("small"); 32];
                let me = self.ends[n].0.key().public();
                for (end, peer, dialled) in [(n, peer, true), (far, me, false)] {
                    let chance = [u8::try_from(end).expect("few") + 1; 32];
                    self.due
                        .push_back((end, Input::Opened { conn, peer, dialled, purpose, exported, chance }));
                }
            }
            Output::Send { conn, channel, bytes } if !self.cut => {
                if let Some(far) = self.other(conn, n) {
                    self.due.push_back((far, Input::Frame { conn, channel, bytes }));
                }
            }
            Output::Close { conn, why } => {
                if let Some(far) = self.other(conn, n) {
                    self.conns.remove(&conn);
                    self.due.push_back((far, Input::Closed { conn, refused: why == Why::NotOfCrew }));
                }
            }
            _ => {}
        }
    }

    fn step(&mut self) -> bool {
        for n in 0..self.ends.len() {
            while let Ok(input) = self.ends[n].1.try_recv() {
                self.due.push_back((n, input));
            }
        }
        let Some((n, input)) = self.due.pop_front() else { return false };
        for output in self.ends[n].0.input(self.now, input) {
            self.act(n, output);
        }
        true
    }

    /// Lets `seconds` go by, in which everything happens that can.
    pub(crate) fn run(&mut self, seconds: u64) {
        for _ in 0..2 * seconds {
            while self.step() {}
            self.now += 500;
            (0..self.ends.len()).for_each(|n| self.due.push_back((n, Input::Tick)));
        }
        while self.step() {}
    }
}
