//! Photos and frozen records, piece by piece, going on where they were cut off.
//!
//! A job names its files by hash and size. What is not here is asked for, the smallest first, one file at a time
//! from each peer, with several pieces on their way at once. What has come lies on the disk, so that after a cut or a
//! kill it goes on from there, from whomever. A file whose content is not what its name says is thrown away and
//! not asked of that peer again. Nothing here ever deletes a file that came whole.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use drylay_document::DocumentId;

use crate::crew::{ConnId, Crew, News, Stage, Why};
use crate::message::{Message, PIECE};
use crate::shelf::{Shelf, Trouble};

/// How many pieces are on their way at once.
const WINDOW: u64 = 24;
/// The largest file that is fetched, in bytes.
const LARGEST: u64 = 1 << 30;
/// How many documents are looked through for files at a tick.
const LOOKS: usize = 16;

/// The files that are wanted, and the documents to be looked through for more.
#[derive(Debug, Default)]
pub(crate) struct Files {
    pub(crate) wanted: BTreeMap<[u8; 32], Wanted>,
    pub(crate) to_look: VecDeque<DocumentId>,
}

/// A file that is wanted.
#[derive(Debug)]
pub(crate) struct Wanted {
    bytes: u64,
    /// The peers that do not have it, or whose copy was wrong.
    lacking: BTreeSet<ConnId>,
    by: Option<ConnId>,
}

/// A file on its way from a peer.
#[derive(Debug)]
pub(crate) struct Fetch {
    hash: [u8; 32],
    have: u64,
    asked: u64,
    total: u64,
}

impl Files {
    /// A connection ended.
    pub(crate) fn without(&mut self, id: ConnId) {
        for wanted in self.wanted.values_mut() {
            wanted.lacking.remove(&id);
            wanted.by = wanted.by.filter(|by| *by != id);
        }
    }
}

impl Crew {
    /// How many files are named in the jobs and not here.
    pub fn files_wanted(&self) -> usize {
        self.files.wanted.len()
    }

    pub(crate) fn look_for_files(&mut self, shelf: &mut dyn Shelf) {
        let mut found = false;
        for _ in 0..LOOKS {
            let Some(document) = self.files.to_look.pop_front() else { break };
            match shelf.missing_files(document) {
                Ok(missing) => {
                    for named in missing {
                        let wanted = Wanted { bytes: named.bytes, lacking: BTreeSet::new(), by: None };
                        self.files.wanted.entry(named.hash).or_insert(wanted);
                        found = true;
                    }
                }
                Err(trouble) => self.tell(News::Trouble(trouble.0)),
            }
        }
        if found {
            self.pump_all(shelf);
        }
    }

    fn pump_all(&mut self, shelf: &mut dyn Shelf) {
        for id in self.open_conns() {
            if let Err(trouble) = self.pump(id, shelf) {
                self.trouble(id, trouble);
            }
        }
    }

    /// Begins the next file from a peer, if it is idle.
    pub(crate) fn pump(&mut self, id: ConnId, shelf: &mut dyn Shelf) -> Result<(), Trouble> {
        let idle = |crew: &Self| {
            crew.conns.get(&id).is_some_and(|conn| conn.fetch.is_none() && matches!(conn.stage, Stage::Open))
        };
        while idle(self) {
            let free = self.files.wanted.iter().filter(|(_, w)| w.by.is_none() && !w.lacking.contains(&id));
            let Some((hash, bytes)) = free.map(|(hash, w)| (*hash, w.bytes)).min_by_key(|(h, n)| (*n, *h))
            else {
                return Ok(());
            };
            let have = shelf.part(hash)?;
            if let Some(wanted) = self.files.wanted.get_mut(&hash) {
                wanted.by = Some(id);
            }
            if let Some(conn) = self.conns.get_mut(&id) {
                conn.fetch = Some(Fetch { hash, have, asked: have, total: bytes.max(have + 1) });
            }
            self.ask(id);
        }
        Ok(())
    }

    /// Keeps the window full.
    fn ask(&mut self, id: ConnId) {
        let mut asks = Vec::new();
        if let Some(fetch) = self.conns.get_mut(&id).and_then(|conn| conn.fetch.as_mut()) {
            while fetch.asked < fetch.total && fetch.asked - fetch.have < WINDOW * u64::from(PIECE) {
                asks.push(Message::Ask { hash: fetch.hash, offset: fetch.asked });
                fetch.asked += u64::from(PIECE);
            }
        }
        for ask in &asks {
            self.send(id, ask);
        }
    }

    pub(crate) fn serve(
        &mut self,
        id: ConnId,
        hash: [u8; 32],
        offset: u64,
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        // A damaged or missing file here is no reason to part: another device may have it.
        let answer = match shelf.piece(hash, offset, PIECE) {
            Ok(Some((total, bytes))) => Message::Piece { hash, offset, total, bytes },
            Ok(None) => Message::Lacks { hash },
            Err(trouble) => {
                self.tell(News::Trouble(trouble.0));
                Message::Lacks { hash }
            }
        };
        self.send(id, &answer);
        Ok(())
    }

    pub(crate) fn hear_piece(
        &mut self,
        id: ConnId,
        (hash, offset, total): ([u8; 32], u64, u64),
        bytes: &[u8],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        let fetch = self.conns.get_mut(&id).and_then(|conn| conn.fetch.as_mut());
        // A piece of a file that is no longer fetched here was asked for before it was given up.
        let Some(fetch) = fetch.filter(|fetch| fetch.hash == hash && fetch.have == offset) else {
            return Ok(());
        };
        let end = offset.saturating_add(bytes.len() as u64);
        let short = bytes.len() < PIECE as usize && end < total;
        if total > LARGEST || short || (end > total && !bytes.is_empty()) {
            self.close(id, Why::Garbled);
            return Ok(());
        }
        fetch.total = total;
        if !bytes.is_empty() {
            shelf.append(hash, offset, bytes)?;
            fetch.have += bytes.len() as u64;
        }
        if fetch.have < total {
            self.ask(id);
            return Ok(());
        }
        let whole = shelf.finish(hash)?;
        self.ended(id, hash, whole);
        self.pump(id, shelf)
    }

    fn ended(&mut self, id: ConnId, hash: [u8; 32], whole: bool) {
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.fetch = None;
        }
        if whole {
            self.files.wanted.remove(&hash);
            self.tell(News::File(hash));
            for other in self.open_conns() {
                self.send(other, &Message::Holds { hash });
            }
            self.tell_wanting();
        } else {
            self.given_up(id, hash);
        }
    }

    fn given_up(&mut self, id: ConnId, hash: [u8; 32]) {
        if let Some(wanted) = self.files.wanted.get_mut(&hash) {
            wanted.by = None;
            wanted.lacking.insert(id);
        }
    }

    pub(crate) fn hear_lacks(
        &mut self,
        id: ConnId,
        hash: [u8; 32],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        if let Some(conn) = self.conns.get_mut(&id)
            && conn.fetch.as_ref().is_some_and(|fetch| fetch.hash == hash)
        {
            conn.fetch = None;
            self.given_up(id, hash);
        }
        // Another peer may be idle and have it.
        self.pump_all(shelf);
        Ok(())
    }

    pub(crate) fn hear_holds(
        &mut self,
        id: ConnId,
        hash: [u8; 32],
        shelf: &mut dyn Shelf,
    ) -> Result<(), Trouble> {
        if let Some(wanted) = self.files.wanted.get_mut(&hash) {
            wanted.lacking.remove(&id);
        }
        self.pump(id, shelf)
    }

    pub(crate) fn hear_wanting(&mut self, id: ConnId, files: u32) {
        if let Some(conn) = self.conns.get_mut(&id) {
            conn.their_wanting = Some(files);
            self.note_level(id);
            self.tell(News::Crew);
        }
    }

    /// Tells the others how many files are still wanted here.
    pub(crate) fn tell_wanting(&mut self) {
        let files = u32::try_from(self.files.wanted.len()).unwrap_or(u32::MAX);
        let looking = !self.files.to_look.is_empty();
        for id in self.open_conns() {
            if let Some(conn) = self.conns.get_mut(&id)
                && conn.told_all
                && !looking
                && conn.told_wanting != Some(files)
            {
                conn.told_wanting = Some(files);
                self.send(id, &Message::Wanting { files });
            }
            self.note_level(id);
        }
    }
}
