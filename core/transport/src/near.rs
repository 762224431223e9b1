//! Who is near: multicast DNS on every interface that the device has.
//!
//! What is announced is the device's key and where it listens: no name, no crew, nothing of a job.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::time::Duration;

use data_encoding::BASE32_NOPAD;
use drylay_sync::{Input, PublicKey};
use swarm_discovery::{Discoverer, DropGuard, IpClass, Peer};
use tokio::runtime::Handle;

use crate::driver::{Ears, Event};
use crate::endpoint::is_usable;

/// The service's name.
const SERVICE: &str = "drylay-crew";
/// How soon a device that is near is found, at about the longest.
const CADENCE: Duration = Duration::from_millis(1_500);
/// How many announcements a second there are at most, of all devices together.
const RATE: f32 = 2.0;

/// Announces the device at these addresses and listens for others, for as long as what is given back is kept.
/// `None` where there is no network to do that on.
pub(crate) fn begin(
    runtime: &Handle,
    me: PublicKey,
    addresses: &[SocketAddr],
    ears: &Ears,
) -> Option<DropGuard> {
    let port = addresses.first()?.port();
    let ips: Vec<IpAddr> = addresses.iter().map(SocketAddr::ip).collect();
    let interfaces: Vec<Ipv4Addr> =
        ips.iter().filter_map(|ip| if let IpAddr::V4(v4) = ip { Some(*v4) } else { None }).collect();
    let class = if interfaces.is_empty() { IpClass::V6Only } else { IpClass::V4Only };
    let ears = ears.clone();
    let found = move |name: &str, peer: &Peer| {
        if let Some(key) = key_of(name).filter(|key| *key != me) {
            ears.tell(Event::Happened(spotted(key, peer)));
        }
    };
    let discoverer = Discoverer::new(SERVICE.to_owned(), name_of(me))
        .with_addrs(port, ips)
        .with_ip_class(class)
        .with_multicast_interfaces_v4(interfaces)
        .with_cadence(CADENCE)
        .with_response_rate(RATE)
        .with_callback(found);
    discoverer.spawn(runtime).ok()
}

fn spotted(key: PublicKey, peer: &Peer) -> Input {
    if peer.is_expiry() {
        return Input::Lost { peer: key };
    }
    let usable = peer.addrs().iter().filter(|(ip, _)| is_usable(*ip));
    Input::Found { peer: key, addresses: usable.map(|(ip, port)| SocketAddr::new(*ip, *port)).collect() }
}

/// A key as a label of a name: at most 63 letters and digits, of which case does not count (RFC 1035, 2.3).
fn name_of(key: PublicKey) -> String {
    BASE32_NOPAD.encode(&key.0).to_ascii_lowercase()
}

fn key_of(name: &str) -> Option<PublicKey> {
    let bytes = BASE32_NOPAD.decode(name.to_ascii_uppercase().as_bytes()).ok()?;
    bytes.try_into().ok().map(PublicKey)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_key_is_one_label_of_a_name_and_comes_back() {
        let key = PublicKey(std::array::from_fn(|n| u8::try_from(n * 7).unwrap_or(0)));
        let name = name_of(key);
        assert!(name.len() <= 63 && name.bytes().all(|b| b.is_ascii_alphanumeric()), "{name}");
        assert_eq!((key_of(&name), key_of(&name.to_ascii_uppercase())), (Some(key), Some(key)));
        for other in ["", "printer", &name[1..]] {
            assert_eq!(key_of(other), None, "{other}");
        }
    }

    proptest! {
        #[test]
        fn any_name_is_a_key_or_none(name in prop_oneof![".{0,70}", "[a-zA-Z2-7]{52}", "[a-z2-7]{50,54}"]) {
            if let Some(key) = key_of(&name) {
                prop_assert_eq!(name_of(key), name.to_ascii_lowercase());
            }
        }
    }
}
