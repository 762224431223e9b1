//! Coming level, document by document.
//!
//! 1. Both sides tell which documents they hold and how far (a hash of the heads each).
//! 2. What one lacks it asks for, the shop first, then jobs, then rooms, and gets it whole and compact.
//! 3. What both hold and differs is brought level by the documents' own protocol (`drylay_document::sync`).
//!    Whoever then holds just what the other side said that it holds says so with a hash.
//! 4. From then on every change goes to everybody who is connected: a whole document where the other side has none,
//!    else only what is new. What came from one goes on to the others.
//!
//! A conversation is remembered for as long as the connection lasts. What a peer was sent and may have lost comes up
//! again at the next meeting, because then both tell anew.

use drylay_document::sync::Session;
use drylay_document::{Document, DocumentId, Kind};

use crate::crew::{ConnId, Crew, News, Why};
use crate::message::{ENTRIES_IN_A_FRAME, Entry, Message};
use crate::shelf::{Adopted, Held, Shelf, Trouble};

/// How many whole documents are under way at most, and how many are left when more are asked for: many small questions
/// on their way alone would cost more than what they ask.
const WANTS: usize = 16;
const FEW: usize = 8;
/// How often, in milliseconds, and of how many documents at most it is asked how far they are.
const ASK_MS: u64 = 1_500;
const ASKS: usize = 64;

/// What is known of the other side's copy of a document.
#[derive(Debug)]
pub(crate) enum Talk {
    /// It was told of ours and has not told of one.
    Told,
    /// It had the document up to these heads, and so had we.
    Level(Vec<[u8; 32]>),
    /// The two talk about it.
    Session(Box<Session>),
}

fn level_of(heads: &[[u8; 32]]) -> [u8; 16] {
    let mut hasher = blake3::Hasher::new_derive_key("drylay how far a copy is");
    heads.iter().for_each(|head| {
        hasher.update(head);
    });
    let mut level = [0; 16];
    level.copy_from_slice(&hasher.finalize().as_bytes()[..16]);
    level
}

fn rank(kind: Kind) -> u8 {
    match kind {
        Kind::Shop => 0,
        Kind::Job => 1,
        Kind::Room => 2,
    }
}

impl Crew {
    /// What the crew shares of what the device holds: of shops only the crew's own.
    fn shared(&self, shelf: &mut dyn Shelf) -> Result<Vec<Held>, Trouble> {
        let mut held = shelf.documents()?;
        held.retain(|it| self.is_shared(it));
        Ok(held)
    }

    fn is_shared(&self, held: &Held) -> bool {
        held.kind != Kind::Shop || Some(held.id) == self.shop
    }

    /// Tells the other side what is held here.
    pub(crate) fn send_shelf(&mut self, id: ConnId, shelf: &mut dyn Shelf) -> Result<(), Trouble> {
        let held = self.shared(shelf)?;
        let entries: Vec<Entry> = held
            .iter()
            .map(|it| Entry { kind: it.kind, id: it.id, parent: it.parent, level: level_of(&it.heads) })
            .collect();
        if let Some(conn) = self.conns.get_mut(&id) {
            held.iter().for_each(|it| {
                conn.talks.entry(it.id).or_insert(Talk::Told);
                conn.unlevel.insert(it.id);
            });
        }
        let mut rest = entries.as_slice();
        loop {
            let (now, later) = rest.split_at(rest.len().min(ENTRIES_IN_A_FRAME));
            self.send(id, &Message::Shelf { entries: now.to_vec(), last: later.is_empty() });
            if later.is_empty() {
                return Ok(());
            }
            rest = later;
        }
    }

    /// Takes in a message of a device that belongs to the crew.
    pub(crate) fn talk(
        &mut self,
        id: ConnId,
        message: Message,
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        match message {
            Message::Roster { statements } => {
                self.hear_statements(id, &statements);
            }
            Message::Shelf { entries, last } => return self.hear_shelf(id, &entries, last, shelf),
            Message::Want { id: document } => return self.send_whole(id, document, shelf),
            Message::Whole { kind, id: document, parent, bytes } => {
                return self.hear_whole(id, (kind, document, parent), &bytes, shelf);
            }
            Message::Sync { kind: _, id: document, bytes } => {
                return self.hear_sync(id, document, &bytes, shelf);
            }
            Message::Level { id: document, level } => return self.hear_level(id, document, level, shelf),
            Message::At { id: document, level, asks } => {
                return self.hear_at(id, document, (level, asks), shelf);
            }
            Message::Same { all, asks } => return self.hear_same(id, (all, asks), shelf),
            Message::Ping => self.send(id, &Message::Pong),
            Message::Pong => {}
            Message::Wanting { files } => self.hear_wanting(id, files),
            Message::Holds { hash } => self.hear_holds(id, hash, shelf)?,
            Message::Ask { hash, offset } => return self.serve(id, hash, offset, shelf),
            Message::Piece { hash, offset, total, bytes } => {
                return self.hear_piece(id, (hash, offset, total), &bytes, shelf);
            }
            Message::Lacks { hash } => return self.hear_lacks(id, hash, shelf),
            _ => self.close(id, Why::Garbled),
        }
        Ok(())
    }

    fn hear_shelf(
        &mut self,
        id: ConnId,
        entries: &[Entry],
        last: bool,
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let ours = self.shared(shelf)?;
        let mut lacking: Vec<&Entry> = Vec::new();
        let mut differing = Vec::new();
        for entry in entries {
            if entry.kind == Kind::Shop && Some(entry.id) != self.shop {
                continue;
            }
            let Some(conn) = self.conns.get_mut(&id) else { return Ok(()) };
            match ours.binary_search_by_key(&entry.id, |held| held.id).ok().and_then(|n| ours.get(n)) {
                None => lacking.push(entry),
                Some(held) => {
                    let told = matches!(conn.talks.get(&entry.id), Some(Talk::Told));
                    if told && level_of(&held.heads) == entry.level {
                        conn.talks.insert(entry.id, Talk::Level(held.heads.clone()));
                        conn.unlevel.remove(&entry.id);
                    } else {
                        differing.push(entry.id);
                    }
                }
            }
        }
        lacking.sort_by_key(|entry| (rank(entry.kind), entry.parent, entry.id));
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.unlevel.extend(lacking.iter().map(|entry| entry.id));
            conn.to_want.extend(lacking.iter().map(|entry| entry.id));
            conn.told_all |= last;
        }
        for document in differing {
            let known = self.conns.get_mut(&id).is_some_and(|conn| {
                let session = matches!(conn.talks.get(&document), Some(Talk::Session(_)));
                if !session {
                    conn.talks.insert(document, Talk::Session(Box::default()));
                }
                session
            });
            if !known {
                self.advance(id, document, shelf)?;
            }
        }
        if last {
            self.tell_what_came_since(id, shelf)?;
        }
        self.want_more(id);
        self.note_level(id);
        if last {
            self.pump(id, shelf)?;
        }
        Ok(())
    }

    /// What was made here, or came from somebody else, after this side told what it holds and before the other side
    /// had: neither has named it.
    fn tell_what_came_since(&mut self, id: ConnId, shelf: &mut dyn Shelf) -> Result<(), Trouble> {
        for held in self.shared(shelf)? {
            let named = self.conns.get(&id).is_none_or(|conn| conn.talks.contains_key(&held.id));
            if !named {
                self.advance(id, held.id, shelf)?;
            }
        }
        Ok(())
    }

    fn want_more(&mut self, id: ConnId) {
        let mut asked = Vec::new();
        if let Some(conn) = self.conns.get_mut(&id) {
            let enough = conn.wanted.len() > FEW;
            while !enough
                && conn.wanted.len() < WANTS
                && let Some(next) = conn.to_want.pop_front()
            {
                if conn.wanted.insert(next) {
                    asked.push(next);
                }
            }
        }
        for document in asked {
            self.send(id, &Message::Want { id: document });
        }
    }

    fn send_whole(&mut self, id: ConnId, document: DocumentId, shelf: &mut dyn Shelf) -> Result<(), Trouble> {
        let held = shelf.held(document)?.filter(|held| self.is_shared(held));
        let Some(held) = held else { return Ok(()) };
        let Some(open) = shelf.document(document)? else { return Ok(()) };
        let (bytes, heads) = (open.snapshot(), open.heads());
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.talks.insert(document, Talk::Session(Box::new(Session::level(&heads))));
            conn.unlevel.remove(&document);
        }
        self.send(id, &Message::Whole { kind: held.kind, id: document, parent: held.parent, bytes });
        self.note_level(id);
        Ok(())
    }

    fn hear_whole(
        &mut self,
        id: ConnId,
        (kind, document, parent): (Kind, DocumentId, Option<DocumentId>),
        bytes: &[u8],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        if kind == Kind::Shop && Some(document) != self.shop {
            return Ok(());
        }
        let before = shelf.document(document)?.map(Document::heads);
        let heads = match shelf.adopt(kind, document, parent, bytes)? {
            Adopted::Heads(heads) => heads,
            Adopted::Refused => {
                self.close(id, Why::Garbled);
                return Ok(());
            }
        };
        let ours = match shelf.document(document)? {
            Some(open) => open.heads(),
            None => return Ok(()),
        };
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.wanted.remove(&document);
            if ours == heads {
                conn.talks.insert(document, Talk::Session(Box::new(Session::level(&heads))));
                conn.unlevel.remove(&document);
            } else {
                conn.talks.insert(document, Talk::Session(Box::default()));
            }
        }
        self.want_more(id);
        if ours != heads {
            self.advance(id, document, shelf)?;
        }
        if before.as_ref() != Some(&ours) {
            self.took_in(Some(id), document, shelf)?;
        }
        self.note_level(id);
        Ok(())
    }

    fn hear_sync(
        &mut self,
        id: ConnId,
        document: DocumentId,
        bytes: &[u8],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let shared = shelf.held(document)?.is_some_and(|held| self.is_shared(&held));
        let Some(conn) = self.conns.get_mut(&id) else { return Ok(()) };
        if !shared {
            conn.unlevel.insert(document);
            conn.to_want.push_back(document);
            self.want_more(id);
            return Ok(());
        }
        let mut session = session_of(conn.talks.remove(&document));
        let Some(open) = shelf.document(document)? else { return Ok(()) };
        let Ok(changed) = open.sync_receive(&mut session, bytes) else {
            self.close(id, Why::Garbled);
            return Ok(());
        };
        conn.talks.insert(document, Talk::Session(session));
        if changed {
            shelf.keep(document)?;
            self.took_in(Some(id), document, shelf)?;
        }
        self.advance(id, document, shelf)?;
        self.note_level(id);
        Ok(())
    }

    /// The device's own person changed a document, or made it.
    pub(crate) fn changed(&mut self, document: DocumentId, shelf: &mut dyn Shelf) {
        if let Err(trouble) = self.took_in(None, document, shelf) {
            self.tell(News::Trouble(trouble.0));
        }
    }

    /// A document has something new: told here unless it was done here, and on to everybody else.
    fn took_in(
        &mut self,
        from: Option<ConnId>,
        document: DocumentId,
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        if from.is_some() {
            self.tell(News::Changed(document));
        }
        self.files.to_look.push_back(document);
        self.conns.values_mut().for_each(|conn| conn.agreed = false);
        for id in self.open_conns() {
            if Some(id) != from
                && let Err(trouble) = self.advance(id, document, shelf)
            {
                self.trouble(id, trouble);
            }
        }
        Ok(())
    }

    /// Says to one peer what is to be said about a document.
    fn advance(&mut self, id: ConnId, document: DocumentId, shelf: &mut dyn Shelf) -> Result<(), Trouble> {
        let Some(conn) = self.conns.get_mut(&id) else { return Ok(()) };
        match conn.talks.get(&document) {
            // It will be compared once the other side has told what it holds.
            Some(Talk::Told) | None if !conn.told_all => return Ok(()),
            Some(Talk::Told) | None => return self.send_whole(id, document, shelf),
            Some(_) => {}
        }
        let mut session = session_of(conn.talks.remove(&document));
        let Some(open) = shelf.document(document)? else { return Ok(()) };
        let said = open.sync_message(&mut session);
        let (kind, heads) = (open.kind(), open.heads());
        let level = session.is_level_at(&heads);
        if level {
            conn.unlevel.remove(&document);
        } else {
            conn.unlevel.insert(document);
        }
        match said {
            // Nothing is new to the other side but that it is level.
            Some(_) if level => {
                let level = level_of(&heads);
                conn.talks.insert(document, Talk::Level(heads));
                self.send(id, &Message::Level { id: document, level });
            }
            Some(bytes) => {
                conn.talks.insert(document, Talk::Session(session));
                self.send(id, &Message::Sync { kind, id: document, bytes });
            }
            None => drop(conn.talks.insert(document, Talk::Session(session))),
        }
        Ok(())
    }

    /// The other side holds what it was told that this one holds. If that is no longer so, more was sent since, and
    /// will be answered too.
    fn hear_level(
        &mut self,
        id: ConnId,
        document: DocumentId,
        level: [u8; 16],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let held = shelf.held(document)?.filter(|held| self.is_shared(held));
        let (Some(held), Some(conn)) = (held, self.conns.get_mut(&id)) else { return Ok(()) };
        if level_of(&held.heads) == level {
            conn.unlevel.remove(&document);
            conn.talks.insert(document, Talk::Level(held.heads));
        }
        self.note_level(id);
        Ok(())
    }

    /// Where it is not known whether a document is level and nothing more is said about it, both say how far they
    /// are. That is so where a copy came over two ways at once and neither side has anything left to say.
    pub(crate) fn ask_what_is_open(&mut self, shelf: &mut dyn Shelf) {
        for id in self.open_conns() {
            let now = self.now;
            let Some(conn) = self.conns.get_mut(&id) else { continue };
            if !conn.told_all || now.saturating_sub(conn.asked) < ASK_MS {
                continue;
            }
            conn.asked = now;
            let open =
                conn.unlevel.iter().filter(|it| !conn.wanted.contains(*it) && !conn.to_want.contains(it));
            let open: Vec<DocumentId> = open.copied().take(ASKS).collect();
            for document in open {
                match shelf.held(document) {
                    Ok(Some(held)) => {
                        let level = level_of(&held.heads);
                        self.send(id, &Message::At { id: document, level, asks: true });
                    }
                    Ok(None) => {}
                    Err(trouble) => self.tell(News::Trouble(trouble.0)),
                }
            }
        }
    }

    fn hear_at(
        &mut self,
        id: ConnId,
        document: DocumentId,
        (level, asks): ([u8; 16], bool),
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let held = shelf.held(document)?.filter(|held| self.is_shared(held));
        let (Some(held), Some(conn)) = (held, self.conns.get_mut(&id)) else { return Ok(()) };
        let ours = level_of(&held.heads);
        if asks {
            self.send(id, &Message::At { id: document, level: ours, asks: false });
        } else if ours == level {
            conn.unlevel.remove(&document);
            conn.talks.insert(document, Talk::Level(held.heads));
        } else {
            conn.talks.insert(document, Talk::Session(Box::default()));
            self.advance(id, document, shelf)?;
        }
        self.note_level(id);
        Ok(())
    }

    /// How far all that the crew shares is on this device.
    fn all_level(&self, shelf: &mut dyn Shelf) -> Result<[u8; 16], Trouble> {
        let mut hasher = blake3::Hasher::new_derive_key("drylay how far all copies are");
        for held in self.shared(shelf)? {
            hasher.update(&held.id.0).update(&level_of(&held.heads));
        }
        let mut all = [0; 16];
        all.copy_from_slice(&hasher.finalize().as_bytes()[..16]);
        Ok(all)
    }

    fn lacks_files(&self) -> bool {
        !self.files.wanted.is_empty() || !self.files.to_look.is_empty()
    }

    /// Asks those who seem level whether they hold the same.
    pub(crate) fn ask_agreement(&mut self, shelf: &mut dyn Shelf) {
        let open = self.open_conns();
        let open = open.into_iter().filter(|id| self.conns.get(id).is_some_and(|it| it.level && !it.agreed));
        let asked: Vec<ConnId> = open.collect();
        if !self.agreeing || asked.is_empty() {
            return;
        }
        match self.all_level(shelf) {
            Ok(all) => asked.into_iter().for_each(|id| self.send(id, &Message::Same { all, asks: true })),
            Err(trouble) => self.tell(News::Trouble(trouble.0)),
        }
    }

    /// The other side lacks no file and says how far all that it shares is.
    fn hear_same(
        &mut self,
        id: ConnId,
        (theirs, asks): ([u8; 16], bool),
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        // Who still lacks files does not say that it holds the same; it will be asked again.
        if self.lacks_files() {
            return Ok(());
        }
        let all = self.all_level(shelf)?;
        if asks {
            self.send(id, &Message::Same { all, asks: false });
        }
        if all == theirs {
            if let Some(conn) = self.conns.get_mut(&id) {
                conn.agreed = true;
                conn.unlevel.clear();
                conn.their_wanting = Some(0);
            }
            self.note_level(id);
            self.tell(News::Crew);
        }
        Ok(())
    }

    /// Looks whether both sides have the same documents and want no files.
    pub(crate) fn note_level(&mut self, id: ConnId) {
        let (now, files) = (self.now, self.files.wanted.len() + self.files.to_look.len());
        let Some(conn) = self.conns.get_mut(&id) else { return };
        let level = conn.told_all && conn.unlevel.is_empty() && conn.their_wanting == Some(0) && files == 0;
        let changed = std::mem::replace(&mut conn.level, level) != level;
        if level && let Some(peer) = self.peers.get_mut(&conn.peer) {
            peer.is_level(now);
        }
        if changed {
            self.tell(News::Crew);
        }
    }
}

fn session_of(talk: Option<Talk>) -> Box<Session> {
    match talk {
        Some(Talk::Session(session)) => session,
        Some(Talk::Level(heads)) => Box::new(Session::level(&heads)),
        Some(Talk::Told) | None => Box::default(),
    }
}
