//! The crew's network: carries what the protocol (`drylay_sync`) says between devices, without a server.
//!
//! # How two devices find and reach each other
//!
//! 1. Every device listens on UDP, on [`PORT`] where that is free (`endpoint`), and says so by multicast DNS on every
//!    interface that it has (`near`); again whenever its addresses change.
//! 2. Whoever is found is dialled at the addresses found. Beside them the gateway is dialled: on a phone's hotspot the
//!    gateway is the phone itself, also where it lets no multicast through (`dial`).
//! 3. The handshake (QUIC, TLS 1.3 with raw keys) proves both keys. A device that may not come is turned away right
//!    there and is told nothing (`admit`).
//! 4. Over a connection go two streams of frames each way, talk before files (`link`, `frames`).
//! 5. One thread hands what happened to the [`Engine`] and does what it answers (`driver`). It also says how time
//!    passes; that a silent connection is ended, and when one is dialled again, the protocol decides.
//!
//! **Invariants.** No relays, no name servers, no port mapping: no packet goes anywhere but to devices of the network
//! that one is on and to addresses that the crew knows. Nothing is kept here, and no document is understood.
//!
//! [`Engine`]: drylay_sync::Engine

mod admit;
mod dial;
mod driver;
mod endpoint;
mod frames;
mod link;
mod near;
mod network;

pub use endpoint::PORT;
pub use network::{Network, NetworkError, Options};

#[cfg(test)]
mod tests;
