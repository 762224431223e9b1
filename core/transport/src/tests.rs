//! A crew on this machine's own network, and strangers at its door.

use std::net::SocketAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use drylay_document::{Document, DocumentId};
use drylay_sync::{
    Adopted, Crew, DeviceName, Engine, Held, Input, Named, News, Output, Purpose, SecretKey, Shelf, Trouble,
    Wake,
};
use iroh::endpoint::{Connection, ConnectionError, VarInt, presets};
use iroh::{Endpoint, EndpointAddr, EndpointId, RelayMode};

use crate::admit::{PURPOSES, word};
use crate::{Network, Options};

/// A shelf that notes whether anybody asked what is on it.
#[derive(Default)]
struct Spy {
    asked: usize,
}

impl Shelf for Spy {
    fn documents(&mut self) -> Result<Vec<Held>, Trouble> {
        self.asked += 1;
        Ok(Vec::new())
    }
    fn held(&mut self, _id: DocumentId) -> Result<Option<Held>, Trouble> {
        self.asked += 1;
        Ok(None)
    }
    fn document(&mut self, _id: DocumentId) -> Result<Option<&mut Document>, Trouble> {
        self.asked += 1;
        Ok(None)
    }
    fn keep(&mut self, _id: DocumentId) -> Result<(), Trouble> {
        Ok(())
    }
    fn adopt(
        &mut self,
        _kind: drylay_document::Kind,
        _id: DocumentId,
        _parent: Option<DocumentId>,
        _bytes: &[u8],
    ) -> Result<Adopted, Trouble> {
        Ok(Adopted::Refused)
    }
    fn missing_files(&mut self, _id: DocumentId) -> Result<Vec<Named>, Trouble> {
        Ok(Vec::new())
    }
    fn piece(
        &mut self,
        _hash: [u8; 32],
        _offset: u64,
        _most: u32,
    ) -> Result<Option<(u64, Vec<u8>)>, Trouble> {
        self.asked += 1;
        Ok(None)
    }
    fn part(&mut self, _hash: [u8; 32]) -> Result<u64, Trouble> {
        Ok(0)
    }
    fn append(&mut self, _hash: [u8; 32], _offset: u64, _bytes: &[u8]) -> Result<(), Trouble> {
        Ok(())
    }
    fn finish(&mut self, _hash: [u8; 32]) -> Result<bool, Trouble> {
        Ok(false)
    }
}

/// A device without a disk.
struct Device {
    key: SecretKey,
    state: Mutex<(Crew, Spy, Vec<News>)>,
    wake: Mutex<Option<Wake>>,
}

impl Device {
    fn new(n: u8) -> Arc<Self> {
        let key = SecretKey::from_seed([n; 32]);
        let crew = Crew::new(key.clone(), DeviceName { id: [n; 16], name: format!("device {n}") }, None);
        Arc::new(Self { key, state: Mutex::new((crew, Spy::default(), Vec::new())), wake: Mutex::new(None) })
    }

    fn with<T>(&self, work: impl FnOnce(&mut (Crew, Spy, Vec<News>)) -> T) -> T {
        let answer = work(&mut self.state.lock().unwrap_or_else(PoisonError::into_inner));
        if let Some(wake) = &*self.wake.lock().unwrap_or_else(PoisonError::into_inner) {
            wake(Input::Tick);
        }
        answer
    }

    /// Looks again and again until it is so.
    fn until(&self, what: &str, look: impl Fn(&mut (Crew, Spy, Vec<News>)) -> bool) {
        let begun = Instant::now();
        while !self.with(&look) {
            assert!(begun.elapsed() < Duration::from_secs(20), "{what} did not come");
            std::thread::sleep(Duration::from_millis(10));
        }
    }
}

impl Engine for Device {
    fn key(&self) -> SecretKey {
        self.key.clone()
    }
    fn input(&self, now_ms: u64, input: Input) -> Vec<Output> {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        let (crew, shelf, news) = &mut *state;
        crew.input(now_ms, input, shelf);
        let outputs = crew.outputs();
        news.extend(outputs.iter().filter_map(|output| match output {
            Output::Tell(news) => Some(news.clone()),
            _ => None,
        }));
        outputs
    }
    fn listen(&self, wake: Wake) {
        self.state.lock().unwrap_or_else(PoisonError::into_inner).0.begin();
        *self.wake.lock().unwrap_or_else(PoisonError::into_inner) = Some(wake);
    }
}

fn network(device: &Arc<Device>) -> (Network, SocketAddr) {
    let network = Network::start(device.clone(), Options { port: 0, announce: false }).expect("a network");
    let port = network.port().expect("a socket");
    (network, SocketAddr::from(([127, 0, 0, 1], port)))
}

/// A founder with its network, and an invitation that names where it is on this machine.
fn founder() -> (Arc<Device>, Network, SocketAddr) {
    let device = Device::new(1);
    device.with(|state| state.0.found([9; 16], None, 0)).expect("no crew yet");
    let (network, address) = network(&device);
    (device, network, address)
}

#[test]
fn a_device_joins_over_a_real_connection_and_one_that_was_removed_is_cut_off() {
    let (ana, _on, address) = founder();
    let ben = Device::new(2);
    let (_also_on, _) = network(&ben);
    let shown = ana.with(|state| state.0.invite([5; 32], false)).expect("an invitation");
    ben.with(|state| {
        state.0.remember(ana.key.public(), &[address]);
        let mut invitation = drylay_sync::Invitation::parse(&shown.text).expect("an invitation");
        invitation.addresses = vec![address];
        state.0.join(&invitation.to_text()).expect("a text");
    });
    ana.until("the question", |state| state.0.who_asks().is_some());
    ana.with(|state| state.0.answer(true, 0)).expect("somebody asks");
    ben.until("belonging", |state| state.0.is_member());
    let connected = |state: &mut (Crew, Spy, Vec<News>)| state.0.peers().iter().any(|peer| peer.connected);
    ana.until("a connection", connected);
    ben.until("a connection", connected);

    ana.with(|state| state.0.remove(ben.key.public(), 0)).expect("the founder may");
    ben.until("being cut off", |state| !state.0.peers().iter().any(|peer| peer.connected));
    assert!(ana.with(|state| state.0.peers().is_empty()));
}

/// What a connection shows to somebody who has no business here: how it ends, and whether anything was said.
async fn look(connection: Connection) -> (Option<u64>, bool) {
    let end = async {
        match connection.closed().await {
            ConnectionError::ApplicationClosed(close) => Some(close.error_code.into_inner()),
            _ => None,
        }
    };
    let said = async {
        let Ok(mut stream) = connection.accept_uni().await else { return false };
        let mut byte = [0];
        stream.read(&mut byte).await.is_ok_and(|read| read.is_some())
    };
    let both = async { tokio::join!(end, said) };
    tokio::time::timeout(Duration::from_secs(15), both).await.expect("every stranger is sent away")
}

#[test]
fn a_stranger_is_told_a_number_and_nothing_else() {
    let (ana, _on, address) = founder();
    let runtime = tokio::runtime::Runtime::new().expect("threads");
    // The device itself looks once, at its first tick, which may come after the network has been started.
    ana.until("the look at what it holds", |state| state.1.asked > 0);
    let before = ana.with(|state| state.1.asked);
    let outcomes = runtime.block_on(async {
        let stranger = Endpoint::builder(presets::Minimal)
            .relay_mode(RelayMode::Disabled)
            .bind()
            .await
            .expect("a socket");
        let id = EndpointId::from_bytes(&ana.key.public().0).expect("a key");
        let mut outcomes = Vec::new();
        for purpose in PURPOSES {
            let addr = EndpointAddr::new(id).with_ip_addr(address);
            let connection = stranger.connect(addr, word(purpose)).await.expect("a handshake");
            // It speaks first, and pretends to be polite.
            if let Ok(mut stream) = connection.open_uni().await {
                let _ = stream.write_all(&[0, 3, 0, 0, 0, 6, 6, 6]).await;
            }
            outcomes.push((purpose, look(connection).await));
        }
        // One that says nothing at all is sent away after a while, and one that claims a frame of 4 GB at once.
        for bytes in [&[][..], &[0, 0xff, 0xff, 0xff, 0xff][..], &[7][..]] {
            let addr = EndpointAddr::new(id).with_ip_addr(address);
            let connection = stranger.connect(addr, word(Purpose::Introduce)).await.expect("a handshake");
            if !bytes.is_empty() {
                let mut stream = connection.open_uni().await.expect("a stream");
                let _ = stream.write_all(bytes).await;
            }
            outcomes.push((Purpose::Introduce, look(connection).await));
        }
        outcomes
    });
    let told: Vec<_> = outcomes.iter().map(|(_, (code, said))| (*code, *said)).collect();
    assert_eq!(
        told,
        [
            (Some(403), false),
            (Some(400), false),
            (Some(401), false),
            (Some(2), false),
            (Some(400), false),
            (Some(400), false)
        ]
    );
    assert_eq!(ana.with(|state| state.1.asked), before, "nobody looked at the jobs for a stranger");
    assert_eq!(VarInt::from_u32(403), crate::admit::number(drylay_sync::Why::NotOfCrew));
}
