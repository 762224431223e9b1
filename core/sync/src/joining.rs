//! How a device comes into the crew, seen from both sides. What is proved stands in `invitation`.
//!
//! ```text
//! joiner                                  inviter
//!   Join (who asks; for a code: its half) →
//!                                       ← Exchange (for a code: the other half)
//!   Proof                               →   a person looks at the name and says yes
//!                                       ← Welcome (proof, the crew's statements)
//! ```
//! The inviter says nothing of the crew before the proof, and the invitation is spent with it.

use std::collections::BTreeSet;

use drylay_document::DocumentId;

use crate::bytes::{Reader, Writer, cut};
use crate::crew::{Conn, ConnId, Crew, CrewError, News, Output, Purpose, Stage, Why};
use crate::invitation::{Bond, Exchange, Invitation, Open, STANDS_MS, Side, plain_code};
use crate::keys::PublicKey;
use crate::message::Message;
use crate::roster::Roster;
use crate::statement::{Claim, CrewId, DeviceName, LONGEST_NAME};

/// How many devices near by a typed code is tried on: each of them could be a stranger's, with one guess.
const MOST_TRIED: usize = 10;
/// How often an inviter that does not answer is dialled again.
const AGAIN_MS: u64 = 2_000;

/// How far joining has come on a connection.
#[derive(Debug)]
pub(crate) enum JoinStage {
    /// Inviter: nobody has said who asks.
    Nobody,
    /// Inviter: somebody asks; this is the secret to be proved.
    Asked { secret: Vec<u8>, by_code: bool, device: DeviceName },
    /// Inviter: the proof was right, and a person decides.
    Person { secret: Vec<u8>, device: DeviceName, may_remove: bool },
    /// Inviter: let in.
    Welcomed,
    /// Joiner: half of the exchange for a code is sent.
    Exchanging(Option<Exchange>),
    /// Joiner: the proof is sent.
    Proved { secret: Vec<u8> },
}

/// What this device does to join.
#[derive(Debug)]
pub(crate) struct Joining {
    how: How,
    until: u64,
    next_dial: u64,
    dialling: Option<PublicKey>,
}

#[derive(Debug)]
enum How {
    Invitation(Invitation),
    Code { code: String, tried: BTreeSet<PublicKey> },
}

/// What is shown to let a device in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// The text of the QR code.
    pub text: String,
    /// The code to type instead, where both devices are on one network.
    pub code: String,
    /// How long it stands, in milliseconds.
    pub stands_ms: u64,
}

fn said(device: &DeviceName) -> Vec<u8> {
    [&device.id[..], device.name.as_bytes()].concat()
}

impl Conn {
    fn bond(&self, me: PublicKey) -> Bond<'_> {
        let (inviter, joiner) = if self.dialled { (self.peer, me) } else { (me, self.peer) };
        Bond { exported: &self.exported, inviter, joiner }
    }
}

impl Crew {
    /// Invites one device; an invitation from before is closed by it. `chance` is 32 random bytes.
    ///
    /// # Errors
    /// If this device belongs to no crew, or is not the founder and would let in a device that may remove others.
    pub fn invite(&mut self, chance: [u8; 32], may_remove: bool) -> Result<Shown, CrewError> {
        let roster = self.roster.as_ref().ok_or(CrewError::NoCrew)?;
        let me = roster.members().get(&self.key.public()).ok_or(CrewError::NotAMember)?;
        if may_remove && !me.founder {
            return Err(CrewError::MayNotRemove);
        }
        let open = Open::new(self.now, chance, may_remove);
        let invitation = Invitation {
            inviter: self.key.public(),
            crew: roster.crew(),
            secret: open.secret,
            addresses: self.here.clone(),
        };
        let (head, tail) = open.code.split_at(4);
        let shown =
            Shown { text: invitation.to_text(), code: format!("{head} {tail}"), stands_ms: STANDS_MS };
        self.open = Some(open);
        self.admit();
        Ok(shown)
    }

    /// Closes the invitation that stands.
    pub fn close_invitation(&mut self) {
        if self.open.take().is_some() {
            self.admit();
            self.tell(News::InvitationClosed);
        }
    }

    /// How long the invitation that stands will stand, in milliseconds.
    pub fn invitation_stands_ms(&self) -> Option<u64> {
        self.open.as_ref().map(|open| open.until.saturating_sub(self.now))
    }

    /// Gives up joining.
    pub fn stop_joining(&mut self) {
        if self.joining.take().is_some() {
            let dialled = |conn: &Conn| conn.purpose == Purpose::Join && conn.dialled;
            let all: Vec<ConnId> =
                self.conns.iter().filter(|(_, conn)| dialled(conn)).map(|(id, _)| *id).collect();
            all.into_iter().for_each(|id| self.close(id, Why::Done));
            self.tell(News::Crew);
        }
    }

    /// Begins, at the next tick, to join by what another device shows: the text of its QR code, or its code of eight digits.
    ///
    /// # Errors
    /// If this device belongs to a crew already, or the text is neither.
    pub fn join(&mut self, text: &str) -> Result<(), CrewError> {
        if self.is_member() {
            return Err(CrewError::HasCrew);
        }
        let how = match (Invitation::parse(text), plain_code(text)) {
            (Some(invitation), _) if invitation.inviter != self.key.public() => How::Invitation(invitation),
            (None, Some(code)) => How::Code { code, tried: BTreeSet::new() },
            _ => return Err(CrewError::NoInvitation),
        };
        self.joining = Some(Joining { how, until: self.now + STANDS_MS, next_dial: 0, dialling: None });
        Ok(())
    }

    /// Whether this device is waiting to be let in.
    pub fn is_joining(&self) -> bool {
        self.joining.is_some()
    }

    /// Who asks to join: the name, and its key.
    pub fn who_asks(&self) -> Option<(String, PublicKey)> {
        self.conns.values().find_map(|conn| match &conn.stage {
            Stage::Join(JoinStage::Person { device, .. }) => Some((device.name.clone(), conn.peer)),
            _ => None,
        })
    }

    /// What a person decided about the device that asks to join.
    ///
    /// # Errors
    /// If nobody asks.
    pub fn answer(&mut self, yes: bool, utc_ms: i64) -> Result<(), CrewError> {
        let asking = |conn: &Conn| matches!(conn.stage, Stage::Join(JoinStage::Person { .. }));
        let id = self.conns.iter().find(|(_, conn)| asking(conn)).map(|(id, _)| *id);
        let id = id.ok_or(CrewError::NobodyAsks)?;
        if !yes {
            self.close(id, Why::NoInvitation);
            return Ok(());
        }
        let me = self.key.public();
        let Some(conn) = self.conns.get_mut(&id) else { return Err(CrewError::NobodyAsks) };
        let stage = std::mem::replace(&mut conn.stage, Stage::Join(JoinStage::Welcomed));
        let Stage::Join(JoinStage::Person { secret, device, may_remove }) = stage else {
            return Err(CrewError::NobodyAsks);
        };
        let roster =
            self.roster.as_mut().filter(|roster| roster.is_member(me)).ok_or(CrewError::NotAMember)?;
        roster.say(&self.key, utc_ms, Claim::Add { key: conn.peer, device, may_remove });
        let body = welcome(roster, self.shop);
        let proof = *conn.bond(me).proof(Side::Inviter, &secret, &body).as_bytes();
        self.send(id, &Message::Welcome { proof, body });
        self.crew_changed();
        Ok(())
    }

    pub(crate) fn begin_joining(&mut self, id: ConnId) {
        let me = self.key.public();
        let Some(conn) = self.conns.get_mut(&id) else { return };
        if !conn.dialled {
            conn.stage = Stage::Join(JoinStage::Nobody);
            if self.open.is_none() {
                self.close(id, Why::NoInvitation);
            }
            return;
        }
        let device = self.me.clone();
        let device = DeviceName { name: cut(&device.name, LONGEST_NAME), ..device };
        let join = |by_code| Message::Join { by_code, device: device.id, name: device.name.clone() };
        let said = said(&device);
        match self.joining.as_mut().map(|joining| &mut joining.how) {
            Some(How::Invitation(invitation)) if invitation.inviter == conn.peer => {
                let secret = invitation.secret.to_vec();
                let proof = *conn.bond(me).proof(Side::Joiner, &secret, &said).as_bytes();
                conn.stage = Stage::Join(JoinStage::Proved { secret });
                self.send(id, &join(None));
                self.send(id, &Message::Proof { proof });
            }
            Some(How::Code { code, tried }) => {
                tried.insert(conn.peer);
                let (exchange, half) = Exchange::begin(Side::Joiner, &conn.bond(me), code, conn.chance);
                conn.stage = Stage::Join(JoinStage::Exchanging(Some(exchange)));
                self.send(id, &join(Some(half)));
            }
            _ => self.close(id, Why::Done),
        }
    }

    pub(crate) fn join_message(&mut self, id: ConnId, message: Message) {
        let Some(conn) = self.conns.get_mut(&id) else { return };
        let Stage::Join(stage) = std::mem::replace(&mut conn.stage, Stage::Join(JoinStage::Nobody)) else {
            return;
        };
        match (stage, message) {
            (JoinStage::Nobody, Message::Join { by_code, device, name }) if !conn.dialled => {
                self.asked(id, by_code.as_deref(), DeviceName { id: device, name });
            }
            (JoinStage::Asked { secret, by_code, device }, Message::Proof { proof }) => {
                self.proved(id, secret, by_code, device, proof);
            }
            (JoinStage::Exchanging(Some(exchange)), Message::Exchange { half }) => {
                self.exchanged(id, exchange, &half);
            }
            (JoinStage::Proved { secret }, Message::Welcome { proof, body }) => {
                self.welcomed(id, &secret, proof, &body);
            }
            _ => self.close(id, Why::Garbled),
        }
    }

    /// Inviter: somebody says who asks.
    fn asked(&mut self, id: ConnId, half: Option<&[u8]>, device: DeviceName) {
        let me = self.key.public();
        let (Some(open), Some(conn)) = (self.open.as_mut(), self.conns.get_mut(&id)) else {
            return self.close(id, Why::NoInvitation);
        };
        let Some(half) = half else {
            let secret = open.secret.to_vec();
            conn.stage = Stage::Join(JoinStage::Asked { secret, by_code: false, device });
            return;
        };
        // A guess at the code is spent with the exchange, whether or not a proof follows.
        open.tries = open.tries.saturating_sub(1);
        let (exchange, back) = Exchange::begin(Side::Inviter, &conn.bond(me), &open.code, conn.chance);
        match exchange.finish(half) {
            Some(secret) => {
                conn.stage = Stage::Join(JoinStage::Asked { secret, by_code: true, device });
                self.send(id, &Message::Exchange { half: back });
            }
            None => self.close(id, Why::Garbled),
        }
    }

    /// Inviter: a proof came.
    fn proved(&mut self, id: ConnId, secret: Vec<u8>, by_code: bool, device: DeviceName, proof: [u8; 32]) {
        let me = self.key.public();
        let Some(conn) = self.conns.get_mut(&id) else { return };
        let right = conn.bond(me).proof(Side::Joiner, &secret, &said(&device));
        let Some(open) = self.open.as_mut() else { return self.close(id, Why::NoInvitation) };
        // The hash's own comparison takes the same time whatever differs.
        if right != blake3::Hash::from_bytes(proof) {
            if !by_code {
                open.tries = open.tries.saturating_sub(1);
            }
            let spent = open.tries == 0;
            self.close(id, Why::NoInvitation);
            if spent {
                self.close_invitation();
            }
            return;
        }
        let (may_remove, name, key) = (open.may_remove, device.name.clone(), conn.peer);
        conn.stage = Stage::Join(JoinStage::Person { secret, device, may_remove });
        self.open = None;
        self.admit();
        self.tell(News::Asks { name, key });
    }

    /// Joiner: the inviter's half came.
    fn exchanged(&mut self, id: ConnId, exchange: Exchange, half: &[u8]) {
        let me = self.key.public();
        let device = DeviceName { name: cut(&self.me.name, LONGEST_NAME), id: self.me.id };
        let Some(conn) = self.conns.get_mut(&id) else { return };
        match exchange.finish(half) {
            Some(secret) => {
                let proof = *conn.bond(me).proof(Side::Joiner, &secret, &said(&device)).as_bytes();
                conn.stage = Stage::Join(JoinStage::Proved { secret });
                self.send(id, &Message::Proof { proof });
            }
            None => self.close(id, Why::Garbled),
        }
    }

    /// Joiner: let in.
    fn welcomed(&mut self, id: ConnId, secret: &[u8], proof: [u8; 32], body: &[u8]) {
        let me = self.key.public();
        let Some(conn) = self.conns.get(&id) else { return };
        let right = conn.bond(me).proof(Side::Inviter, secret, body);
        let read = read_welcome(body).filter(|_| right == blake3::Hash::from_bytes(proof));
        let expected = match self.joining.as_ref().map(|joining| &joining.how) {
            Some(How::Invitation(invitation)) => Some(invitation.crew),
            _ => None,
        };
        let read = read.filter(|(roster, _)| {
            let crew = expected.is_none_or(|crew| crew == roster.crew());
            crew && roster.is_member(me) && roster.is_member(conn.peer)
        });
        let Some((roster, shop)) = read else { return self.close(id, Why::Garbled) };
        if let Some(Joining { how: How::Invitation(invitation), .. }) = self.joining.take() {
            self.remember(invitation.inviter, &invitation.addresses);
        }
        (self.roster, self.shop) = (Some(roster), shop);
        self.close(id, Why::Done);
        self.crew_changed();
        self.tell(News::Joined);
        self.dial();
    }

    /// Joiner: dials the inviter, or the next device near by.
    fn dial_to_join(&mut self) {
        let now = self.now;
        let Some(joining) = self.joining.as_mut() else { return };
        if joining.dialling.is_some() || joining.next_dial > now {
            return;
        }
        let next = match &joining.how {
            How::Invitation(invitation) => Some((invitation.inviter, invitation.addresses.clone())),
            How::Code { tried, .. } if tried.len() >= MOST_TRIED => None,
            How::Code { tried, .. } => self
                .peers
                .iter()
                .find(|(key, peer)| peer.is_near() && !tried.contains(*key))
                .map(|(key, peer)| (*key, peer.addresses().to_vec())),
        };
        if let Some((peer, addresses)) = next {
            joining.dialling = Some(peer);
            joining.next_dial = now + AGAIN_MS;
            self.out.push(Output::Dial { peer, addresses, purpose: Purpose::Join });
        }
    }

    /// Joiner by a code: another device was found near by.
    pub(crate) fn code_candidate(&mut self, _key: PublicKey) {
        self.dial_to_join();
    }

    /// Joiner: dialling came to nothing.
    pub(crate) fn joining_failed(&mut self, key: PublicKey) {
        if let Some(joining) = self.joining.as_mut().filter(|joining| joining.dialling == Some(key)) {
            joining.dialling = None;
            if let How::Code { tried, .. } = &mut joining.how {
                tried.insert(key);
            }
        }
    }

    /// A connection is gone on which somebody was joining.
    pub(crate) fn left_joining(&mut self, conn: &Conn) {
        if conn.purpose != Purpose::Join || !conn.dialled {
            return;
        }
        let Some(joining) = self.joining.as_mut() else { return };
        joining.dialling = None;
        joining.next_dial = 0;
        // The inviter said no, or the secret was wrong; a typed code may be another device's.
        if matches!(joining.how, How::Invitation(_)) {
            self.joining = None;
            self.tell(News::NotJoined(Why::NoInvitation));
        }
    }

    pub(crate) fn close_invitation_in_time(&mut self) {
        let now = self.now;
        if self.open.as_ref().is_some_and(|open| open.until <= now || open.tries == 0) {
            let waiting =
                self.conns.values().any(|conn| matches!(conn.stage, Stage::Join(JoinStage::Asked { .. })));
            if !waiting || self.open.as_ref().is_some_and(|open| open.until <= now) {
                self.close_invitation();
            }
        }
        let joins = self.conns.iter().filter(|(_, conn)| conn.purpose == Purpose::Join);
        let old: Vec<ConnId> = joins
            .filter(|(_, conn)| now.saturating_sub(conn.heard) >= STANDS_MS)
            .map(|(id, _)| *id)
            .collect();
        old.into_iter().for_each(|id| self.close(id, Why::NoInvitation));
        if self.joining.as_ref().is_some_and(|joining| joining.until <= now) {
            self.joining = None;
            self.tell(News::NotJoined(Why::Silent));
        }
        self.dial_to_join();
    }
}

/// What a device is told that was let in.
fn welcome(roster: &Roster, shop: Option<DocumentId>) -> Vec<u8> {
    let mut out = Writer::default();
    out.raw(&roster.crew().0).option(shop.as_ref().map(|id| &id.0[..]));
    out.list(&roster.to_list());
    out.0
}

/// Reads what a device is told that was let in and writes it again; `None` where it says nothing. For tests that damage it.
pub fn welcome_again(body: &[u8]) -> Option<Vec<u8>> {
    read_welcome(body).map(|(roster, shop)| welcome(&roster, shop))
}

fn read_welcome(body: &[u8]) -> Option<(Roster, Option<DocumentId>)> {
    let mut reader = Reader::new(body);
    let mut roster = Roster::of(CrewId(reader.array()?));
    let shop = reader.option(|reader| reader.array().map(DocumentId))?;
    let statements = reader.list(|reader| reader.bytes().map(<[u8]>::to_vec))?;
    roster.take(statements.iter().map(Vec::as_slice)).ok()?;
    reader.is_at_end().then_some((roster, shop))
}
