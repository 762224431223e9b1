//! Connecting to a device: at every address that is known, and at the gateway.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::time::Duration;

use drylay_sync::{PublicKey, Purpose};
use iroh::endpoint::Connection;
use iroh::{Endpoint, EndpointAddr, EndpointId};
use netwatch::interfaces::HomeRouter;

use crate::admit::word;
use crate::endpoint::PORT;

/// How long a dial is given. On a network where it can succeed at all it takes milliseconds.
const PATIENCE: Duration = Duration::from_secs(5);

/// Dials; `None` where nobody answers, or somebody else does.
pub(crate) async fn dial(
    endpoint: Endpoint,
    peer: PublicKey,
    addresses: Vec<SocketAddr>,
    purpose: Purpose,
) -> Option<Connection> {
    let id = EndpointId::from_bytes(&peer.0).ok()?;
    let gateway = tokio::task::spawn_blocking(gateway).await.ok().flatten();
    // The handshake fails at whoever is not that device, so one address too many does no harm.
    let all: BTreeSet<SocketAddr> = addresses.into_iter().chain(gateway).collect();
    if all.is_empty() {
        return None;
    }
    let addr = all.into_iter().fold(EndpointAddr::new(id), EndpointAddr::with_ip_addr);
    tokio::time::timeout(PATIENCE, endpoint.connect(addr, word(purpose))).await.ok()?.ok()
}

/// The gateway as it is dialled: on a hotspot that is the phone that gives it.
fn gateway() -> Option<SocketAddr> {
    HomeRouter::new().map(|router| SocketAddr::new(router.gateway, PORT))
}
