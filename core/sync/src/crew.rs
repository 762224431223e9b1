//! The crew as one device sees it: a state machine. What happened goes in ([`Input`]), what is to be done comes out
//! ([`Output`]); the time, chance and the documents are passed in.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::net::SocketAddr;

use drylay_document::{DocumentId, Kind};

use crate::files::{Fetch, Files};
use crate::invitation::Open;
use crate::joining::{JoinStage, Joining};
use crate::kept::Kept;
use crate::keys::{PublicKey, SecretKey};
use crate::message::{LONGEST_FRAME, LONGEST_FRAME_OF_A_STRANGER, Message, VERSION};
use crate::peers::Peer;
use crate::roster::Roster;
use crate::shelf::{Shelf, Trouble};
use crate::statement::{Claim, DeviceName};
use crate::talk::Talk;

/// Names a connection; later ones have greater numbers.
pub type ConnId = u64;

/// What a connection is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// Two members of the crew come level.
    Crew,
    /// A member that the other has not heard of shows the statements by which it belongs to the crew.
    Introduce,
    /// A stranger joins by an invitation.
    Join,
}

/// Which of a connection's two streams.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Channel {
    /// Everything but files.
    Talk,
    /// Files.
    Files,
}

/// What happened.
#[derive(Clone, Debug)]
pub enum Input {
    /// A device was found on the network.
    Found {
        /// Its key.
        peer: PublicKey,
        /// Where it is.
        addresses: Vec<SocketAddr>,
    },
    /// A device is no longer on the network.
    Lost {
        /// Its key.
        peer: PublicKey,
    },
    /// A connection stands; both keys are proved.
    Opened {
        /// Its name.
        conn: ConnId,
        /// Who is on the other side.
        peer: PublicKey,
        /// Whether this side dialled.
        dialled: bool,
        /// What it is for.
        purpose: Purpose,
        /// Keying material exported from it.
        exported: [u8; 32],
        /// 32 random bytes.
        chance: [u8; 32],
    },
    /// Dialling failed.
    Failed {
        /// Who was dialled.
        peer: PublicKey,
    },
    /// A connection ended.
    Closed {
        /// Its name.
        conn: ConnId,
        /// Whether the other side said that it does not know us.
        refused: bool,
    },
    /// A frame came.
    Frame {
        /// On which connection.
        conn: ConnId,
        /// On which stream.
        channel: Channel,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// A part of a long frame came.
    Heard {
        /// On which connection.
        conn: ConnId,
    },
    /// The device's own person changed a document, or made it.
    Changed {
        /// The document.
        document: DocumentId,
    },
    /// Where this device can be reached.
    Here {
        /// Its addresses.
        addresses: Vec<SocketAddr>,
    },
    /// Some time passed: to be said every half second.
    Tick,
}

/// What is to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Output {
    /// Connect to a device; answered with `Opened` or `Failed`.
    Dial {
        /// Its key.
        peer: PublicKey,
        /// Where it may be; empty where nobody knows.
        addresses: Vec<SocketAddr>,
        /// What for.
        purpose: Purpose,
    },
    /// Send a frame.
    Send {
        /// On which connection.
        conn: ConnId,
        /// On which stream.
        channel: Channel,
        /// Its bytes.
        bytes: Vec<u8>,
    },
    /// End a connection.
    Close {
        /// Which.
        conn: ConnId,
        /// Why.
        why: Why,
    },
    /// Who may connect from now on.
    Admit(Admission),
    /// The crew has changed: keep it on the disk before anything else of this is done.
    Keep(Option<Kept>),
    /// Something to be told.
    Tell(News),
}

/// Who may connect.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Admission {
    /// The devices that may come as members.
    pub members: BTreeSet<PublicKey>,
    /// Whether there is a crew, so that strangers may show that they belong to it.
    pub introductions: bool,
    /// Whether an invitation stands, so that strangers may ask to join.
    pub joining: bool,
}

/// Why a connection is ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The other side does not belong to the crew.
    NotOfCrew,
    /// What it sent was not understood.
    Garbled,
    /// It runs another version of the protocol.
    OtherVersion,
    /// It did not answer for five seconds.
    Silent,
    /// There are two connections; the other one stays.
    Double,
    /// The invitation was used, has expired, or the secret was wrong.
    NoInvitation,
    /// This device could not keep what came.
    Trouble,
    /// It has done its service.
    Done,
}

/// Something to be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum News {
    /// A document has something new from a peer.
    Changed(DocumentId),
    /// A file came whole.
    File([u8; 32]),
    /// The state of a peer, or who belongs to the crew, has changed.
    Crew,
    /// A device knows the secret and asks to join: a person decides.
    Asks {
        /// What it is called.
        name: String,
        /// Its key.
        key: PublicKey,
    },
    /// This device has joined.
    Joined,
    /// Joining came to nothing.
    NotJoined(Why),
    /// The invitation is closed: used, expired, or three wrong proofs.
    InvitationClosed,
    /// Something could not be kept or read.
    Trouble(String),
}

/// Why something that a person asked of the crew was not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CrewError {
    /// There is no crew yet.
    #[error("this device belongs to no crew")]
    NoCrew,
    /// This device was removed from its crew.
    #[error("this device no longer belongs to its crew")]
    NotAMember,
    /// The device is none of the crew's.
    #[error("there is no such device in the crew")]
    NoSuchDevice,
    /// It is for the founder, or for a device that the founder trusts with it.
    #[error("this device may not remove that one")]
    MayNotRemove,
    /// The text is no invitation and no code.
    #[error("this is no invitation and no code of eight digits")]
    NoInvitation,
    /// Nobody asks to join.
    #[error("nobody asks to join")]
    NobodyAsks,
    /// It belongs to a crew already.
    #[error("this device belongs to a crew already")]
    HasCrew,
}

/// A connection.
#[derive(Debug)]
pub(crate) struct Conn {
    pub(crate) peer: PublicKey,
    pub(crate) dialled: bool,
    pub(crate) purpose: Purpose,
    pub(crate) stage: Stage,
    pub(crate) exported: [u8; 32],
    pub(crate) chance: [u8; 32],
    pub(crate) heard: u64,
    pub(crate) pinged: u64,
    /// What is known of the other side's copy of each document.
    pub(crate) talks: BTreeMap<DocumentId, Talk>,
    /// The documents that are not known to be level.
    pub(crate) unlevel: BTreeSet<DocumentId>,
    /// Whether the other side has told all its documents.
    pub(crate) told_all: bool,
    pub(crate) to_want: VecDeque<DocumentId>,
    pub(crate) wanted: BTreeSet<DocumentId>,
    pub(crate) fetch: Option<Fetch>,
    /// How many files the other side still wants, as it said last; and what was said to it.
    pub(crate) their_wanting: Option<u32>,
    pub(crate) told_wanting: Option<u32>,
    /// Whether both were level when last looked at.
    pub(crate) level: bool,
    /// Whether the other side has said that it holds the same, after the last change here.
    pub(crate) agreed: bool,
    /// When it was last asked how far documents are.
    pub(crate) asked: u64,
}

/// How far a connection has come.
#[derive(Debug)]
pub(crate) enum Stage {
    /// The other side has not said who it is.
    Hello,
    /// Both know each other.
    Open,
    /// Somebody joins.
    Join(JoinStage),
}

/// The crew as this device sees it.
#[derive(Debug)]
pub struct Crew {
    pub(crate) key: SecretKey,
    pub(crate) me: DeviceName,
    pub(crate) roster: Option<Roster>,
    pub(crate) shop: Option<DocumentId>,
    pub(crate) conns: BTreeMap<ConnId, Conn>,
    pub(crate) peers: BTreeMap<PublicKey, Peer>,
    pub(crate) open: Option<Open>,
    pub(crate) joining: Option<Joining>,
    pub(crate) files: Files,
    pub(crate) out: Vec<Output>,
    pub(crate) now: u64,
    pub(crate) here: Vec<SocketAddr>,
    looked: bool,
    /// Whether the others are to say that they hold the same.
    pub(crate) agreeing: bool,
}

impl Crew {
    /// A device, with what it kept of its crew.
    pub fn new(key: SecretKey, me: DeviceName, kept: Option<Kept>) -> Self {
        let shop = kept.as_ref().and_then(|kept| kept.shop);
        let roster = kept.map(|kept| {
            let mut roster = Roster::of(kept.crew);
            // What was kept was sound; what is not any more is missing, and a peer brings it again.
            let _ = roster.take(kept.statements.iter().map(Vec::as_slice));
            roster
        });
        let mut crew = Self {
            key,
            me,
            roster,
            shop,
            conns: BTreeMap::new(),
            peers: BTreeMap::new(),
            open: None,
            joining: None,
            files: Files::default(),
            out: Vec::new(),
            now: 0,
            here: Vec::new(),
            looked: false,
            agreeing: false,
        };
        crew.admit();
        crew
    }

    /// This device's key.
    pub fn public(&self) -> PublicKey {
        self.key.public()
    }

    /// The crew's statements, if there is a crew.
    pub fn roster(&self) -> Option<&Roster> {
        self.roster.as_ref()
    }

    /// The crew's shop document.
    pub fn shop(&self) -> Option<DocumentId> {
        self.shop
    }

    /// Where this device can be reached.
    pub fn here(&self) -> &[SocketAddr] {
        &self.here
    }

    /// Says anew who may connect, for a network that has just begun.
    pub fn begin(&mut self) {
        self.admit();
    }

    /// From now on every other device is asked whether it holds the same, as soon as it seems so from here. For a
    /// device that wants to go once the others have all that it has: what it sent may still be on its way.
    pub fn agree(&mut self) {
        self.agreeing = true;
    }

    /// Whether this device belongs to a crew.
    pub fn is_member(&self) -> bool {
        self.roster.as_ref().is_some_and(|roster| roster.is_member(self.key.public()))
    }

    /// What this device is called.
    pub fn name(&self) -> &str {
        &self.me.name
    }

    /// Says what the device is called from now on.
    pub fn rename(&mut self, name: &str) {
        name.clone_into(&mut self.me.name);
    }

    /// What is to be done, in order.
    pub fn outputs(&mut self) -> Vec<Output> {
        std::mem::take(&mut self.out)
    }

    /// Notes that something happened at a time, in milliseconds of a clock that never goes back.
    pub fn input(&mut self, now: u64, input: Input, shelf: &mut dyn Shelf) {
        self.now = self.now.max(now);
        match input {
            Input::Found { peer, addresses } => self.spotted(peer, &addresses),
            Input::Lost { peer } => self.lost(peer),
            Input::Opened { conn, peer, dialled, purpose, exported, chance } => {
                let opened = Conn {
                    peer,
                    dialled,
                    purpose,
                    stage: Stage::Hello,
                    exported,
                    chance,
                    heard: self.now,
                    pinged: self.now,
                    talks: BTreeMap::new(),
                    unlevel: BTreeSet::new(),
                    told_all: false,
                    to_want: VecDeque::new(),
                    wanted: BTreeSet::new(),
                    fetch: None,
                    their_wanting: None,
                    told_wanting: None,
                    level: false,
                    agreed: false,
                    asked: self.now,
                };
                self.opened(conn, opened);
            }
            Input::Failed { peer } => self.failed(peer),
            Input::Closed { conn, refused } => self.closed(conn, refused),
            Input::Frame { conn, channel: _, bytes } => self.frame(conn, &bytes, shelf),
            Input::Heard { conn } => self.heard(conn),
            Input::Changed { document } => self.changed(document, shelf),
            Input::Here { addresses } => self.here = addresses,
            Input::Tick => self.tick(shelf),
        }
    }

    /// Ends every connection, after a fault of the program that left half-done what it was at.
    pub fn reset(&mut self) -> Vec<Output> {
        let all: Vec<ConnId> = self.conns.keys().copied().collect();
        all.into_iter().for_each(|id| self.close(id, Why::Trouble));
        self.outputs()
    }

    /// Founds a crew of which this device is the first.
    ///
    /// # Errors
    /// If it belongs to one.
    pub fn found(&mut self, nonce: [u8; 16], shop: Option<DocumentId>, utc_ms: i64) -> Result<(), CrewError> {
        if self.is_member() {
            return Err(CrewError::HasCrew);
        }
        self.roster = Some(Roster::found(&self.key, nonce, self.me.clone(), utc_ms));
        self.shop = shop;
        self.crew_changed();
        Ok(())
    }

    /// Says which document is the crew's shop, where none was known.
    pub fn set_shop(&mut self, shop: DocumentId) {
        if self.shop.is_none() {
            self.shop = Some(shop);
            self.keep();
        }
    }

    /// Removes a device from the crew; what it holds stays with it.
    ///
    /// # Errors
    /// If there is no such device, or it is not for this one to remove it.
    pub fn remove(&mut self, whom: PublicKey, utc_ms: i64) -> Result<(), CrewError> {
        let me = self.key.public();
        let roster = self.roster.as_mut().ok_or(CrewError::NoCrew)?;
        if !roster.is_member(me) {
            return Err(CrewError::NotAMember);
        }
        if !roster.is_member(whom) {
            return Err(CrewError::NoSuchDevice);
        }
        if !roster.may_remove(me, whom) {
            return Err(CrewError::MayNotRemove);
        }
        roster.say(&self.key, utc_ms, Claim::Remove { key: whom });
        self.crew_changed();
        Ok(())
    }

    /// Leaves the crew: says so to everybody who is there, and forgets it. The jobs stay.
    ///
    /// # Errors
    /// If there is no crew.
    pub fn leave(&mut self, utc_ms: i64) -> Result<(), CrewError> {
        let me = self.key.public();
        let roster = self.roster.as_mut().ok_or(CrewError::NoCrew)?;
        if roster.may_remove(me, me) {
            roster.say(&self.key, utc_ms, Claim::Remove { key: me });
            self.crew_changed();
        }
        let all: Vec<ConnId> = self.conns.keys().copied().collect();
        all.into_iter().for_each(|id| self.close(id, Why::Done));
        (self.roster, self.shop, self.open) = (None, None, None);
        self.out.push(Output::Keep(None));
        self.admit();
        Ok(())
    }

    /// After something new on who belongs to the crew: kept, told to everybody who still does, and those who no
    /// longer do are shut out.
    pub(crate) fn crew_changed(&mut self) {
        self.keep();
        let statements = self.roster.as_ref().map(Roster::to_list).unwrap_or_default();
        let conns: Vec<(ConnId, PublicKey)> = self
            .conns
            .iter()
            .filter(|(_, conn)| conn.purpose != Purpose::Join)
            .map(|(id, conn)| (*id, conn.peer))
            .collect();
        for (id, peer) in conns {
            let belongs = self.roster.as_ref().is_some_and(|roster| roster.is_member(peer));
            let known = self.conns.get(&id).is_some_and(|conn| matches!(conn.stage, Stage::Open));
            if belongs && known {
                self.send(id, &Message::Roster { statements: statements.clone() });
            } else if !belongs && known {
                self.close(id, Why::NotOfCrew);
            }
        }
        let members = self.roster.as_ref().map(|roster| roster.members().clone()).unwrap_or_default();
        self.peers.retain(|key, peer| members.contains_key(key) || peer.is_near());
        self.admit();
        self.tell(News::Crew);
    }

    pub(crate) fn keep(&mut self) {
        if let Some(roster) = &self.roster {
            let kept = Kept { crew: roster.crew(), statements: roster.to_list(), shop: self.shop };
            self.out.push(Output::Keep(Some(kept)));
        }
    }

    pub(crate) fn admit(&mut self) {
        let me = self.key.public();
        let members = self.roster.as_ref().filter(|roster| roster.is_member(me)).map(Roster::members);
        let admission = Admission {
            introductions: members.is_some(),
            members: members
                .map(|all| all.keys().copied().filter(|key| *key != me).collect())
                .unwrap_or_default(),
            joining: self.open.is_some(),
        };
        self.out.push(Output::Admit(admission));
    }

    fn opened(&mut self, id: ConnId, conn: Conn) {
        if conn.dialled {
            self.dialled(conn.peer);
        }
        let (purpose, dialled, peer) = (conn.purpose, conn.dialled, conn.peer);
        self.conns.insert(id, conn);
        let member = self.roster.as_ref().is_some_and(|roster| roster.is_member(peer));
        match purpose {
            Purpose::Join => self.begin_joining(id),
            // To a member the dialler speaks first or both do; to a stranger nothing is said before it has shown
            // that it belongs to the crew.
            Purpose::Crew | Purpose::Introduce
                if self.is_member() && (dialled || purpose == Purpose::Crew) =>
            {
                if member {
                    self.send_hello(id)
                } else {
                    self.close(id, Why::NotOfCrew)
                }
            }
            Purpose::Introduce if self.is_member() => {}
            Purpose::Crew | Purpose::Introduce => self.close(id, Why::NotOfCrew),
        }
    }

    fn send_hello(&mut self, id: ConnId) {
        let roster = self.roster.as_ref().map(Roster::to_list).unwrap_or_default();
        let hello = Message::Hello {
            version: VERSION,
            name: self.me.name.clone(),
            device: self.me.id,
            shop: self.shop,
            roster,
        };
        self.send(id, &hello);
    }

    fn frame(&mut self, id: ConnId, bytes: &[u8], shelf: &mut dyn Shelf) {
        let Some(conn) = self.conns.get_mut(&id) else { return };
        conn.heard = self.now;
        let known = matches!(conn.stage, Stage::Open);
        let trusted = known || conn.dialled || conn.purpose == Purpose::Crew;
        let most = if trusted { LONGEST_FRAME } else { LONGEST_FRAME_OF_A_STRANGER };
        let message = Message::read(bytes).filter(|_| bytes.len() <= most);
        let Some(message) = message else { return self.close(id, Why::Garbled) };
        let outcome = match (&conn.stage, message) {
            (Stage::Join(_), message) => {
                self.join_message(id, message);
                Ok(())
            }
            (Stage::Hello, Message::Hello { version, name, device: _, shop, roster }) => {
                self.hello(id, version, name, shop, &roster, shelf)
            }
            (Stage::Hello, _) | (Stage::Open, Message::Hello { .. }) => {
                self.close(id, Why::Garbled);
                Ok(())
            }
            (Stage::Open, message) => self.talk(id, message, shelf),
        };
        if let Err(trouble) = outcome {
            self.trouble(id, trouble);
        }
    }

    /// Ends a connection because this device could not keep what came.
    pub(crate) fn trouble(&mut self, id: ConnId, trouble: Trouble) {
        self.tell(News::Trouble(trouble.0));
        let peer = self.conns.get(&id).map(|conn| conn.peer);
        self.close(id, Why::Trouble);
        if let Some(peer) = peer.and_then(|key| self.peers.get_mut(&key)) {
            peer.wait_long(self.now);
        }
    }

    fn hello(
        &mut self,
        id: ConnId,
        version: u16,
        name: String,
        shop: Option<DocumentId>,
        statements: &[Vec<u8>],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let Some(conn) = self.conns.get(&id) else { return Ok(()) };
        let (peer, introduced) = (conn.peer, conn.purpose == Purpose::Introduce && !conn.dialled);
        if version != VERSION {
            self.close(id, Why::OtherVersion);
            return Ok(());
        }
        if !self.hear_statements(id, statements) {
            return Ok(());
        }
        if introduced {
            self.send_hello(id);
        }
        self.hear_shop(shop);
        let known = self.peers.entry(peer).or_default();
        known.met(name, self.now);
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.stage = Stage::Open;
        }
        self.end_doubles(peer);
        self.tell(News::Crew);
        if self.conns.contains_key(&id) { self.send_shelf(id, shelf) } else { Ok(()) }
    }

    /// Takes in statements of a peer; whether it belongs to the crew by all that is known then. If not, nothing of
    /// it is kept and the connection ends.
    pub(crate) fn hear_statements(&mut self, id: ConnId, statements: &[Vec<u8>]) -> bool {
        let Some(peer) = self.conns.get(&id).map(|conn| conn.peer) else { return false };
        let Some(mut trial) = self.roster.clone() else {
            self.close(id, Why::NotOfCrew);
            return false;
        };
        let taken = trial.take(statements.iter().map(Vec::as_slice));
        if !trial.is_member(peer) {
            // A member's own news that it was removed is news all the same.
            let from_member = self.roster.as_ref().is_some_and(|roster| roster.is_member(peer));
            self.close(id, Why::NotOfCrew);
            if from_member && taken == Ok(true) {
                self.roster = Some(trial);
                self.crew_changed();
            }
            return false;
        }
        match taken {
            Ok(new) => {
                if new {
                    self.roster = Some(trial);
                    self.crew_changed();
                }
                self.conns.contains_key(&id)
            }
            Err(_) => {
                self.close(id, Why::Garbled);
                false
            }
        }
    }

    /// Of two shops made apart before either was known, everybody takes the first by id.
    fn hear_shop(&mut self, theirs: Option<DocumentId>) {
        let shop = match (self.shop, theirs) {
            (Some(ours), Some(theirs)) => Some(ours.min(theirs)),
            (ours, theirs) => ours.or(theirs),
        };
        if shop != self.shop {
            self.shop = shop;
            self.keep();
        }
    }

    pub(crate) fn send(&mut self, conn: ConnId, message: &Message) {
        let channel = match message {
            Message::Ask { .. } | Message::Piece { .. } | Message::Lacks { .. } => Channel::Files,
            _ => Channel::Talk,
        };
        self.out.push(Output::Send { conn, channel, bytes: message.to_bytes() });
    }

    pub(crate) fn close(&mut self, id: ConnId, why: Why) {
        if self.conns.contains_key(&id) {
            self.out.push(Output::Close { conn: id, why });
            self.forget(id);
        }
    }

    fn closed(&mut self, id: ConnId, refused: bool) {
        let Some(conn) = self.conns.get(&id) else { return };
        if matches!(conn.stage, Stage::Hello)
            && conn.dialled
            && refused
            && let Some(peer) = self.peers.get_mut(&conn.peer)
        {
            peer.was_refused(conn.purpose, self.now);
        }
        self.forget(id);
    }

    fn forget(&mut self, id: ConnId) {
        let Some(conn) = self.conns.remove(&id) else { return };
        self.files.without(id);
        self.left_joining(&conn);
        if matches!(conn.stage, Stage::Open) {
            if let Some(peer) = self.peers.get_mut(&conn.peer) {
                peer.parted(self.now);
            }
            self.tell(News::Crew);
        }
    }

    fn heard(&mut self, id: ConnId) {
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.heard = self.now;
        }
    }

    pub(crate) fn tell(&mut self, news: News) {
        if self.out.last() != Some(&Output::Tell(news.clone())) {
            self.out.push(Output::Tell(news));
        }
    }

    pub(crate) fn open_conns(&self) -> Vec<ConnId> {
        self.conns.iter().filter(|(_, conn)| matches!(conn.stage, Stage::Open)).map(|(id, _)| *id).collect()
    }

    fn tick(&mut self, shelf: &mut dyn Shelf) {
        if !self.looked && self.is_member() {
            self.looked = true;
            match shelf.documents() {
                Ok(held) => {
                    self.files.to_look.extend(held.iter().filter(|it| it.kind == Kind::Job).map(|it| it.id))
                }
                Err(trouble) => self.tell(News::Trouble(trouble.0)),
            }
        }
        self.close_invitation_in_time();
        self.watch_connections();
        self.look_for_files(shelf);
        self.ask_what_is_open(shelf);
        self.tell_wanting();
        self.ask_agreement(shelf);
        self.dial();
    }
}
