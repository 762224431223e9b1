//! The socket that everything goes over: direct addresses only.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};

use drylay_sync::SecretKey;
use iroh::dns::{DnsResolver, NameserverConfig};
use iroh::endpoint::{BindError, BindOpts, QuicTransportConfig, VarInt, presets};
use iroh::{Endpoint, EndpointAddr, RelayMode};

use crate::admit::{Door, PURPOSES, word};
use crate::network::NetworkError;

/// The port that is listened on where it is free, so that the gateway can be dialled without having been found.
pub const PORT: u16 = 47777;

/// Opens the socket; on another port where the wished one is taken by another copy of the program.
pub(crate) async fn open(key: &SecretKey, door: &Door, port: u16) -> Result<Endpoint, NetworkError> {
    match bind(key, door, port).await {
        Err(_) if port != 0 => bind(key, door, 0).await,
        bound => bound,
    }
}

async fn bind(key: &SecretKey, door: &Door, port: u16) -> Result<Endpoint, NetworkError> {
    let wrong = |error: &dyn std::fmt::Display| NetworkError::NoSocket(error.to_string());
    let v4 = SocketAddr::from((Ipv4Addr::UNSPECIFIED, port));
    let v6 = SocketAddr::from((Ipv6Addr::UNSPECIFIED, port));
    // A device's own streams: two that it speaks on, and two that it hears on.
    let streams = QuicTransportConfig::builder()
        .max_concurrent_bidi_streams(VarInt::from_u32(0))
        .max_concurrent_uni_streams(VarInt::from_u32(2))
        .build();
    let builder = Endpoint::builder(presets::Minimal)
        .relay_mode(RelayMode::Disabled)
        .dns_resolver(nowhere())
        .secret_key(iroh::SecretKey::from_bytes(&key.seed()))
        .alpns(PURPOSES.map(|purpose| word(purpose).to_vec()).to_vec())
        .hooks(door.clone())
        .transport_config(streams)
        .bind_addr(v4)
        .and_then(|builder| builder.bind_addr_with_opts(v6, BindOpts::default().set_is_required(false)))
        .map_err(|error| wrong(&error))?;
    builder.bind().await.map_err(|error: BindError| wrong(&error))
}

/// A resolver that asks nobody: no name is ever looked up, and the system's own servers are not to be read.
fn nowhere() -> DnsResolver {
    let nobody = NameserverConfig::udp(Ipv4Addr::LOCALHOST.into());
    DnsResolver::builder().add_nameserver_config(nobody).disable_fallback().build()
}

/// Where the device can be reached: what others can use, private networks first.
pub(crate) fn reachable(addr: &EndpointAddr) -> Vec<SocketAddr> {
    let mut all: Vec<SocketAddr> = addr.ip_addrs().filter(|it| is_usable(it.ip())).copied().collect();
    all.sort_by_key(|it| (!is_private(it.ip()), *it));
    all.dedup();
    all
}

/// Addresses that mean the same on another device of the network.
pub(crate) fn is_usable(ip: IpAddr) -> bool {
    match ip {
        IpAddr::V4(v4) => !v4.is_loopback() && !v4.is_unspecified(),
        IpAddr::V6(v6) => !v6.is_loopback() && !v6.is_unspecified() && !v6.is_unicast_link_local(),
    }
}

fn is_private(ip: IpAddr) -> bool {
    matches!(ip, IpAddr::V4(v4) if v4.is_private())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_the_addresses_those_that_others_can_use_are_told_private_ones_first() {
        let all = ["203.0.113.9:1", "127.0.0.1:1", "[fe80::1]:1", "192.168.7.4:1", "[2001:db8::1]:1"];
        let key = iroh::SecretKey::from_bytes(&[1; 32]).public();
        let mut addr = EndpointAddr::new(key);
        for text in all {
            addr = addr.with_ip_addr(text.parse().expect("an address"));
        }
        let told: Vec<String> = reachable(&addr).iter().map(ToString::to_string).collect();
        assert_eq!(told, ["192.168.7.4:1", "203.0.113.9:1", "[2001:db8::1]:1"]);
    }
}
