//! The network as a program starts and ends it.

use std::collections::BTreeMap;
use std::fmt;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::mpsc::channel;
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use drylay_sync::{Engine, Input, PublicKey, SecretKey};
use iroh::{Endpoint, Watcher};
use tokio::runtime::Runtime;

use crate::admit::{Door, purpose};
use crate::driver::{Driver, Ears, Event};
use crate::endpoint::{self, PORT, reachable};
use crate::near;

/// How long a handshake is given.
const HANDSHAKE: Duration = Duration::from_secs(10);
/// How often it is tried again to announce the device where that did not go.
const AGAIN: Duration = Duration::from_secs(5);
/// How long the others are given to hear that this device goes.
const FAREWELL: Duration = Duration::from_secs(2);

/// How the network is started.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// The UDP port; another one is taken where it is not free. Nought: any.
    pub port: u16,
    /// Whether the device announces itself, and listens for others.
    pub announce: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { port: PORT, announce: true }
    }
}

/// Why there is no network.
#[derive(Debug, thiserror::Error)]
pub enum NetworkError {
    /// No socket could be opened.
    #[error("no socket for the crew could be opened: {0}")]
    NoSocket(String),
    /// The system gave no threads.
    #[error("the crew's network could not be started: {0}")]
    NoThreads(std::io::Error),
}

/// The network, for as long as it is kept.
pub struct Network {
    endpoint: Endpoint,
    ears: Ears,
    driver: Option<JoinHandle<()>>,
    runtime: Option<Runtime>,
}

impl fmt::Debug for Network {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Network({:?})", self.endpoint.bound_sockets())
    }
}

impl Network {
    /// Starts it: from now on the engine is told what happens, and what it answers is done.
    ///
    /// # Errors
    /// Where there is no socket to be had.
    pub fn start(engine: Arc<dyn Engine>, options: Options) -> Result<Self, NetworkError> {
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .thread_name("drylay-crew")
            .enable_all()
            .build()
            .map_err(NetworkError::NoThreads)?;
        let (key, door) = (engine.key(), Door::default());
        let endpoint = runtime.block_on(endpoint::open(&key, &door, options.port))?;
        let (sender, events) = channel();
        let ears = Ears(sender);
        let driver = Driver {
            engine: engine.clone(),
            endpoint: endpoint.clone(),
            door,
            runtime: runtime.handle().clone(),
            ears: ears.clone(),
            begun: Instant::now(),
            links: BTreeMap::new(),
            last: 0,
        };
        let thread = std::thread::Builder::new().name("drylay-crew".to_owned());
        let driver = thread.spawn(move || driver.run(&events)).map_err(NetworkError::NoThreads)?;
        let wake = ears.clone();
        engine.listen(Box::new(move |input| wake.tell(Event::Happened(input))));
        runtime.spawn(answer(endpoint.clone(), ears.clone()));
        runtime.spawn(follow(endpoint.clone(), key, options.announce, ears.clone()));
        Ok(Self { endpoint, ears, driver: Some(driver), runtime: Some(runtime) })
    }

    /// Where this device can be reached just now.
    pub fn addresses(&self) -> Vec<SocketAddr> {
        reachable(&self.endpoint.addr())
    }

    /// The port that is listened on.
    pub fn port(&self) -> Option<u16> {
        self.endpoint.bound_sockets().first().map(SocketAddr::port)
    }

    /// Says that the system has told of another network: where it tells programs, that is sooner known than found out.
    pub fn changed(&self) {
        if let Some(runtime) = &self.runtime {
            let endpoint = self.endpoint.clone();
            runtime.spawn(async move { endpoint.network_change().await });
        }
    }

    /// Ends it, after telling the others. The same as dropping it.
    pub fn stop(self) {}
}

impl Drop for Network {
    fn drop(&mut self) {
        self.ears.tell(Event::Stop);
        if let Some(driver) = self.driver.take() {
            let _ = driver.join();
        }
        if let Some(runtime) = self.runtime.take() {
            let endpoint = self.endpoint.clone();
            runtime.block_on(async move {
                let _ = tokio::time::timeout(FAREWELL, endpoint.close()).await;
            });
            runtime.shutdown_background();
        }
    }
}

/// Takes in those who dial this device.
async fn answer(endpoint: Endpoint, ears: Ears) {
    while let Some(incoming) = endpoint.accept().await {
        let ears = ears.clone();
        tokio::spawn(async move {
            let Ok(accepting) = incoming.accept() else { return };
            let Ok(Ok(connection)) = tokio::time::timeout(HANDSHAKE, accepting).await else { return };
            if let Some(purpose) = purpose(connection.alpn()) {
                ears.tell(Event::Up { connection, dialled: false, purpose });
            }
        });
    }
}

/// Follows where the device can be reached: tells the engine, and announces it anew.
async fn follow(endpoint: Endpoint, key: SecretKey, announce: bool, ears: Ears) {
    let mut watcher = endpoint.watch_addr();
    let me: PublicKey = key.public();
    let mut told: Option<Vec<SocketAddr>> = None;
    let mut announced = None;
    loop {
        let addresses = reachable(&watcher.get());
        let new = told.as_ref() != Some(&addresses);
        if new {
            ears.tell(Event::Happened(Input::Here { addresses: addresses.clone() }));
            announced = None;
        }
        if announce && announced.is_none() {
            let runtime = tokio::runtime::Handle::current();
            announced = near::begin(&runtime, me, &addresses, &ears);
        }
        told = Some(addresses);
        let patience = if announce && announced.is_none() { AGAIN } else { Duration::MAX };
        if let Ok(Err(_)) = tokio::time::timeout(patience, watcher.updated()).await {
            return;
        }
    }
}
