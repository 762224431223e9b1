//! A poor link: two networks that reach each other only through a forwarder in between, which loses, delays, doubles
//! and reorders what passes by a seeded chance, lets through only so much a second, and can be cut.
//!
//! The forwarder works on UDP, in user space, in a network of its own that is the gateway of both sides and lets no
//! packet through by itself. Each device dials its gateway at the fixed port (as on a hotspot) and finds the other
//! device there.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::fs::File;
use std::io::ErrorKind;
use std::net::{IpAddr, Ipv4Addr, UdpSocket};
use std::os::fd::AsFd;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use rustix::thread::{LinkNameSpaceType, move_into_link_name_space};

/// The port that devices listen on.
pub(crate) const PORT: u16 = 47777;
/// How often the threads look whether they are to end.
const LOOK: Duration = Duration::from_millis(50);
/// What stands before a datagram on the wire: IPv4 and UDP (RFC 791, RFC 768).
const HEAD: u64 = 28;

/// How the link is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Weather {
    /// What part of the datagrams is lost, in each direction.
    pub(crate) lost: f64,
    /// What part comes twice.
    pub(crate) doubled: f64,
    /// How long everything takes one way.
    pub(crate) delay: Duration,
    /// How much longer it may take, evenly spread: what is sent later may come sooner.
    pub(crate) jitter: Duration,
    /// How many bytes a second go each way, with their heads; `None` for all that the machine can.
    pub(crate) rate: Option<f64>,
    /// How much may wait where the rate is limited, as the time that it takes to go; what is more is lost.
    pub(crate) queue: Duration,
}

impl Weather {
    /// Nothing is lost and nothing takes time.
    pub(crate) const FAIR: Self = Self {
        lost: 0.0,
        doubled: 0.0,
        delay: Duration::ZERO,
        jitter: Duration::ZERO,
        rate: None,
        queue: Duration::from_millis(50),
    };
}

/// What has passed and what has not.
#[derive(Debug, Default)]
pub(crate) struct Counts {
    /// Bytes of content that were sent on, by the side that they went to.
    bytes: [AtomicU64; 2],
    passed: AtomicU64,
    lost: AtomicU64,
    doubled: AtomicU64,
    overtaken: AtomicU64,
}

impl Counts {
    /// How many datagrams passed, were lost, were doubled, and came after one that was sent later.
    pub(crate) fn all(&self) -> [u64; 4] {
        [&self.passed, &self.lost, &self.doubled, &self.overtaken].map(|it| it.load(Ordering::Relaxed))
    }
}

#[derive(Debug, Default)]
struct Shared {
    end: AtomicBool,
    cut: AtomicBool,
    counts: Counts,
}

/// A forwarder, for as long as it is kept.
#[derive(Debug)]
pub(crate) struct Link {
    shared: Arc<Shared>,
    threads: Vec<JoinHandle<()>>,
}

/// A datagram on its way: due then, the how-manieth that came, to which side.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Passing {
    due: Instant,
    number: u64,
    side: usize,
    bytes: Vec<u8>,
}

/// Does something on a thread that has moved into a network.
pub(crate) fn within<T: Send + 'static>(network: &str, work: impl FnOnce() -> T + Send + 'static) -> T {
    let path = Path::new("/var/run/netns").join(network);
    let moved = std::thread::spawn(move || {
        let file = File::open(&path).expect("a network of its own");
        move_into_link_name_space(file.as_fd(), Some(LinkNameSpaceType::Network)).expect("root");
        work()
    });
    moved.join().expect("it works in there")
}

impl Link {
    /// Begins to forward in a network between two devices.
    pub(crate) fn begin(network: &str, sides: [Ipv4Addr; 2], weather: Weather, seed: u64) -> Self {
        let socket = within(network, || UdpSocket::bind((Ipv4Addr::UNSPECIFIED, PORT)).expect("a free port"));
        socket.set_read_timeout(Some(LOOK)).expect("a time");
        let out = socket.try_clone().expect("the same socket again");
        let shared = Arc::new(Shared::default());
        let (sender, passing) = channel();
        let (one, other) = (shared.clone(), shared.clone());
        let threads = vec![
            std::thread::spawn(move || hear(&socket, sides, weather, seed, &one, &sender)),
            std::thread::spawn(move || send_on(&out, sides, &other, &passing)),
        ];
        Self { shared, threads }
    }

    /// Cuts it, or mends it.
    pub(crate) fn cut(&self, cut: bool) {
        self.shared.cut.store(cut, Ordering::Relaxed);
    }

    /// What has passed.
    pub(crate) fn counts(&self) -> &Counts {
        &self.shared.counts
    }

    /// Bytes of content that went to a side.
    pub(crate) fn bytes_to(&self, side: usize) -> u64 {
        self.shared.counts.bytes[side].load(Ordering::Relaxed)
    }
}

impl Drop for Link {
    fn drop(&mut self) {
        self.shared.end.store(true, Ordering::Relaxed);
        self.threads.drain(..).for_each(|thread| drop(thread.join()));
    }
}

fn hear(
    socket: &UdpSocket,
    sides: [Ipv4Addr; 2],
    weather: Weather,
    seed: u64,
    shared: &Shared,
    on: &Sender<Passing>,
) {
    let mut chance = fastrand::Rng::with_seed(seed);
    let mut free = [Instant::now(); 2];
    let mut buffer = vec![0; 65_536];
    let mut number = 0;
    while !shared.end.load(Ordering::Relaxed) {
        let (length, from) = match socket.recv_from(&mut buffer) {
            Ok(come) => come,
            // Nothing came, or nobody listened to what was sent on.
            Err(error) => match error.kind() {
                ErrorKind::WouldBlock | ErrorKind::TimedOut | ErrorKind::ConnectionRefused => continue,
                _ => return,
            },
        };
        let Some(from) = sides.iter().position(|side| IpAddr::V4(*side) == from.ip()) else { continue };
        let (side, now) = (1 - from, Instant::now());
        // Chance is asked the same way whatever happens: what was lost before does not change what is lost next.
        let [lost, doubled, late, later] = std::array::from_fn(|_| chance.f64());
        let mut due = now;
        if let Some(rate) = weather.rate {
            let takes = Duration::from_secs_f64((length as u64 + HEAD) as f64 / rate);
            due = free[side].max(now) + takes;
        }
        let full = due.saturating_duration_since(now) > weather.queue && weather.rate.is_some();
        if full || lost < weather.lost || shared.cut.load(Ordering::Relaxed) {
            shared.counts.lost.fetch_add(1, Ordering::Relaxed);
            continue;
        }
        free[side] = due;
        let copies = [Some(late), (doubled < weather.doubled).then_some(later)];
        shared.counts.doubled.fetch_add(u64::from(copies[1].is_some()), Ordering::Relaxed);
        for late in copies.into_iter().flatten() {
            number += 1;
            let due = due + weather.delay + weather.jitter.mul_f64(late);
            let passing = Passing { due, number, side, bytes: buffer[..length].to_vec() };
            if on.send(passing).is_err() {
                return;
            }
        }
    }
}

fn send_on(socket: &UdpSocket, sides: [Ipv4Addr; 2], shared: &Shared, come: &Receiver<Passing>) {
    let mut waiting: BinaryHeap<Reverse<Passing>> = BinaryHeap::new();
    let mut latest = 0;
    loop {
        let now = Instant::now();
        while waiting.peek().is_some_and(|Reverse(next)| next.due <= now) {
            let Some(Reverse(next)) = waiting.pop() else { break };
            shared.counts.overtaken.fetch_add(u64::from(next.number < latest), Ordering::Relaxed);
            latest = latest.max(next.number);
            // Whether anybody is there is not for a link to know.
            let sent = socket.send_to(&next.bytes, (sides[next.side], PORT)).unwrap_or(0);
            shared.counts.bytes[next.side].fetch_add(sent as u64, Ordering::Relaxed);
            shared.counts.passed.fetch_add(1, Ordering::Relaxed);
        }
        let patience = waiting.peek().map_or(LOOK, |Reverse(next)| next.due.saturating_duration_since(now));
        match come.recv_timeout(patience) {
            Ok(passing) => waiting.push(Reverse(passing)),
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}
