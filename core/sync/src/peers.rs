//! The other devices: where they are, when to dial them, whether they answer, and how each of them stands.

use std::net::SocketAddr;

use crate::crew::{ConnId, Crew, Output, Purpose, Stage, Why};
use crate::keys::PublicKey;
use crate::message::Message;

/// A connection on which nothing came for so long is dead, in milliseconds.
pub const SILENCE_MS: u64 = 5_000;
/// How often a device asks whether the other is there.
const PING_MS: u64 = 2_000;
/// How long after a failure a device is dialled again, at first and at most.
const FIRST_WAIT_MS: u64 = 1_000;
const LONGEST_WAIT_MS: u64 = 30_000;
/// The most devices outside the crew that are remembered as being near, for a typed code.
const MOST_STRANGERS: usize = 64;
/// The most addresses of one device.
const MOST_ADDRESSES: usize = 16;

/// What is known of another device.
#[derive(Clone, Debug, Default)]
pub(crate) struct Peer {
    addresses: Vec<SocketAddr>,
    near: bool,
    name: Option<String>,
    dialling: bool,
    next_dial: u64,
    wait: u64,
    /// The other side did not know us as a member: next time we introduce ourselves.
    introduce: bool,
    /// It turned this device away although it introduced itself.
    turned_away: bool,
    seen: Option<u64>,
    /// When it was level last, on the clock of `now`: before its beginning where that was before the program's.
    level: Option<i64>,
}

impl Peer {
    pub(crate) fn is_near(&self) -> bool {
        self.near
    }

    pub(crate) fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }

    pub(crate) fn met(&mut self, name: String, now: u64) {
        self.name = Some(name);
        self.seen = Some(now);
        (self.wait, self.introduce, self.turned_away) = (0, false, false);
    }

    pub(crate) fn parted(&mut self, now: u64) {
        self.seen = Some(now);
        self.next_dial = now;
    }

    pub(crate) fn was_refused(&mut self, purpose: Purpose, now: u64) {
        self.introduce = purpose == Purpose::Crew;
        if purpose == Purpose::Crew {
            self.next_dial = now;
        } else {
            self.turned_away = true;
            self.wait_long(now);
        }
    }

    pub(crate) fn wait_long(&mut self, now: u64) {
        self.wait = LONGEST_WAIT_MS;
        self.next_dial = now + self.wait;
    }

    pub(crate) fn is_level(&mut self, now: u64) {
        self.level = Some(now.cast_signed());
    }
}

/// How another device of the crew stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PeerView {
    /// Its key.
    pub key: PublicKey,
    /// What it calls itself, or was called when it joined.
    pub name: String,
    /// Whether it founded the crew.
    pub founder: bool,
    /// Whether it may remove others.
    pub may_remove: bool,
    /// Whether it is connected.
    pub connected: bool,
    /// Whether both have the same documents and want no files.
    pub level: bool,
    /// Whether the other has said so too, since something changed here last.
    pub agreed: bool,
    /// Whether it turned this device away, as it does with devices that it knows to be removed.
    pub turned_away: bool,
    /// Documents that are not known to be level.
    pub documents_behind: usize,
    /// Files that it still wants.
    pub files_there: u32,
    /// How long ago both were level, in ms; nought while they are, `None` if that is not known.
    pub level_ago_ms: Option<u64>,
    /// How long ago it was connected, in ms.
    pub seen_ago_ms: Option<u64>,
}

impl Crew {
    /// Every other device of the crew, by key.
    pub fn peers(&self) -> Vec<PeerView> {
        let Some(roster) = &self.roster else { return Vec::new() };
        let me = self.key.public();
        let others = roster.members().iter().filter(|(key, _)| **key != me);
        others
            .map(|(key, member)| {
                let peer = self.peers.get(key);
                let conn =
                    self.conns.values().find(|conn| conn.peer == *key && matches!(conn.stage, Stage::Open));
                let ago = |at: Option<u64>| at.map(|at| self.now.saturating_sub(at));
                let called = peer.and_then(|peer| peer.name.clone()).filter(|name| !name.is_empty());
                PeerView {
                    key: *key,
                    name: called.unwrap_or_else(|| member.device.name.clone()),
                    founder: member.founder,
                    may_remove: member.may_remove,
                    connected: conn.is_some(),
                    level: conn.is_some_and(|conn| conn.level),
                    agreed: conn.is_some_and(|conn| conn.level && conn.agreed),
                    turned_away: peer.is_some_and(|peer| peer.turned_away),
                    documents_behind: conn.map_or(0, |conn| conn.unlevel.len() + usize::from(!conn.told_all)),
                    files_there: conn.and_then(|conn| conn.their_wanting).unwrap_or(0),
                    level_ago_ms: peer.and_then(|peer| peer.level).map(|at| {
                        u64::try_from(self.now.cast_signed().saturating_sub(at)).unwrap_or_default()
                    }),
                    seen_ago_ms: if conn.is_some() { Some(0) } else { ago(peer.and_then(|peer| peer.seen)) },
                }
            })
            .collect()
    }

    /// Where a device was found last, to be remembered for networks without discovery.
    pub fn addresses_of(&self, key: PublicKey) -> Vec<SocketAddr> {
        self.peers.get(&key).map(|peer| peer.addresses.clone()).unwrap_or_default()
    }

    /// Notes that a device was level so long ago, in ms, as is remembered from before the program began.
    pub fn was_level(&mut self, key: PublicKey, ago_ms: u64) {
        let at = self.now.cast_signed().saturating_sub_unsigned(ago_ms);
        self.peers.entry(key).or_default().level = Some(at);
    }

    /// Notes addresses that were remembered or typed in.
    pub fn remember(&mut self, key: PublicKey, addresses: &[SocketAddr]) {
        let peer = self.peers.entry(key).or_default();
        for address in addresses {
            if !peer.addresses.contains(address) && peer.addresses.len() < MOST_ADDRESSES {
                peer.addresses.push(*address);
            }
        }
        peer.next_dial = 0;
    }

    pub(crate) fn spotted(&mut self, key: PublicKey, addresses: &[SocketAddr]) {
        let stranger = !self.roster.as_ref().is_some_and(|roster| roster.is_member(key));
        if key == self.key.public()
            || (stranger && !self.peers.contains_key(&key) && self.peers.len() >= MOST_STRANGERS)
        {
            return;
        }
        let now = self.now;
        let peer = self.peers.entry(key).or_default();
        let new = addresses.iter().any(|address| !peer.addresses.contains(address));
        if new || !peer.near {
            // What was found just now comes first; what is old may still be right.
            let old: Vec<SocketAddr> =
                peer.addresses.iter().filter(|old| !addresses.contains(old)).copied().collect();
            peer.addresses = addresses.iter().copied().chain(old).take(MOST_ADDRESSES).collect();
            (peer.next_dial, peer.wait) = (now, 0);
        }
        peer.near = true;
        self.code_candidate(key);
        self.dial();
    }

    pub(crate) fn lost(&mut self, key: PublicKey) {
        if let Some(peer) = self.peers.get_mut(&key) {
            peer.near = false;
        }
        if !self.roster.as_ref().is_some_and(|roster| roster.is_member(key)) {
            self.peers.remove(&key);
        }
    }

    pub(crate) fn dialled(&mut self, key: PublicKey) {
        if let Some(peer) = self.peers.get_mut(&key) {
            peer.dialling = false;
        }
    }

    pub(crate) fn failed(&mut self, key: PublicKey) {
        let now = self.now;
        if let Some(peer) = self.peers.get_mut(&key) {
            peer.dialling = false;
            peer.wait = (peer.wait * 2).clamp(FIRST_WAIT_MS, LONGEST_WAIT_MS);
            peer.next_dial = now + peer.wait;
        }
        self.joining_failed(key);
    }

    /// Dials every member that is not connected, when its time has come.
    pub(crate) fn dial(&mut self) {
        if !self.is_member() {
            return;
        }
        let me = self.key.public();
        let members: Vec<PublicKey> = self
            .roster
            .as_ref()
            .map(|roster| roster.members().keys().copied().filter(|key| *key != me).collect())
            .unwrap_or_default();
        for key in members {
            if self.conns.values().any(|conn| conn.peer == key) {
                continue;
            }
            let now = self.now;
            let peer = self.peers.entry(key).or_default();
            if !peer.dialling && peer.next_dial <= now {
                peer.dialling = true;
                let purpose = if peer.introduce { Purpose::Introduce } else { Purpose::Crew };
                self.out.push(Output::Dial { peer: key, addresses: peer.addresses.clone(), purpose });
            }
        }
    }

    /// Of two connections to one device both sides keep the same one: the one that the device with the smaller key
    /// dialled, or, where one device dialled both, the later, since it only dials where it has none.
    pub(crate) fn end_doubles(&mut self, key: PublicKey) {
        let me = self.key.public();
        let open: Vec<(bool, ConnId)> = self
            .conns
            .iter()
            .filter(|(_, conn)| conn.peer == key && matches!(conn.stage, Stage::Open))
            .map(|(id, conn)| ((conn.dialled == (me < key)), *id))
            .collect();
        let Some(kept) = open.iter().max() else { return };
        for (_, id) in open.iter().filter(|it| *it != kept) {
            self.close(*id, Why::Double);
        }
    }

    /// Asks whether the others are there, and ends connections that do not answer.
    pub(crate) fn watch_connections(&mut self) {
        let now = self.now;
        let watched = self.conns.iter().filter(|(_, conn)| conn.purpose != Purpose::Join);
        let dead: Vec<ConnId> = watched
            .clone()
            .filter(|(_, conn)| now.saturating_sub(conn.heard) >= SILENCE_MS)
            .map(|(id, _)| *id)
            .collect();
        let quiet: Vec<ConnId> = watched
            .filter(|(id, conn)| {
                matches!(conn.stage, Stage::Open)
                    && now.saturating_sub(conn.pinged) >= PING_MS
                    && !dead.contains(id)
            })
            .map(|(id, _)| *id)
            .collect();
        for id in dead {
            self.close(id, Why::Silent);
        }
        for id in quiet {
            if let Some(conn) = self.conns.get_mut(&id) {
                conn.pinged = now;
            }
            self.send(id, &Message::Ping);
        }
    }
}
