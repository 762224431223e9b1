//! Bringing two copies of a document level, message by message.
//!
//! The messages are automerge's sync protocol. Nothing here knows how they travel: the crew's network carries them,
//! and in tests they are handed across. A [`Session`] is the memory of one conversation about one document with one
//! peer; it ends with the connection.

use automerge::ChangeHash;
use automerge::sync::{BloomFilter, Have, Message, State, SyncDoc};

use crate::document::Document;
use crate::ids::DocumentId;

/// The memory of a conversation with one peer about one document.
#[derive(Debug)]
pub struct Session {
    state: State,
}

impl Default for Session {
    fn default() -> Self {
        Self { state: State::new() }
    }
}

impl Session {
    /// Begins a conversation.
    pub fn new() -> Self {
        Self::default()
    }

    /// Begins a conversation with a peer who is known to have the document up to these heads, as we have: nothing
    /// is said until something changes, and then only what is new.
    pub fn level(heads: &[[u8; 32]]) -> Self {
        let heads: Vec<ChangeHash> = heads.iter().map(|hash| ChangeHash(*hash)).collect();
        let have = Have {
            last_sync: heads.clone(),
            bloom: BloomFilter::from_hashes(std::iter::empty::<&ChangeHash>()),
        };
        let state = State {
            shared_heads: heads.clone(),
            last_sent_heads: heads.clone(),
            their_heads: Some(heads),
            their_need: Some(Vec::new()),
            their_have: Some(vec![have]),
            have_responded: true,
            ..State::new()
        };
        Self { state }
    }

    /// Whether the peer last said that it has the document up to these heads (sorted) and nothing else.
    pub fn is_level_at(&self, heads: &[[u8; 32]]) -> bool {
        let theirs = self.state.their_heads.as_ref();
        theirs.is_some_and(|theirs| {
            let mut theirs: Vec<[u8; 32]> = theirs.iter().map(|hash| hash.0).collect();
            theirs.sort_unstable();
            theirs == heads
        })
    }
}

/// Why a message was refused. The document is as it was.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SyncError {
    /// Not a message of the protocol.
    #[error("the message cannot be read: {0}")]
    Message(String),
    /// Its changes do not fit this document.
    #[error("the message's changes cannot be taken in: {0}")]
    Changes(String),
    /// The two are copies of different documents.
    #[error("{0} and {1} are different documents")]
    Different(DocumentId, DocumentId),
    /// The copies kept talking without coming level.
    #[error("the copies did not come level in {0} messages")]
    Endless(usize),
}

impl Document {
    /// The next message to the peer; `None` if there is nothing to say until the peer speaks or something changes.
    pub fn sync_message(&mut self, session: &mut Session) -> Option<Vec<u8>> {
        self.auto.sync().generate_sync_message(&mut session.state).map(Message::encode)
    }

    /// Takes in a message from the peer; says whether the document changed.
    ///
    /// # Errors
    /// Says why the message was refused.
    pub fn sync_receive(&mut self, session: &mut Session, message: &[u8]) -> Result<bool, SyncError> {
        let message = Message::decode(message).map_err(|e| SyncError::Message(e.to_string()))?;
        let before = self.auto.get_heads();
        let received = self.auto.sync().receive_sync_message(&mut session.state, message);
        received.map_err(|e| SyncError::Changes(e.to_string()))?;
        Ok(self.auto.get_heads() != before)
    }
}

/// The most messages that two copies may need; in practice it is a handful.
const MOST_MESSAGES: usize = 1000;

/// Brings two copies in memory level; says how many messages it took.
///
/// # Errors
/// If they are copies of different documents.
pub fn bring_level(one: &mut Document, other: &mut Document) -> Result<usize, SyncError> {
    if one.id() != other.id() {
        return Err(SyncError::Different(one.id(), other.id()));
    }
    let (mut with_other, mut with_one) = (Session::new(), Session::new());
    for messages in (0..MOST_MESSAGES).step_by(2) {
        let out = one.sync_message(&mut with_other);
        let back = other.sync_message(&mut with_one);
        if let Some(message) = &out {
            other.sync_receive(&mut with_one, message)?;
        }
        if let Some(message) = &back {
            one.sync_receive(&mut with_other, message)?;
        }
        if out.is_none() && back.is_none() {
            return Ok(messages);
        }
    }
    Err(SyncError::Endless(MOST_MESSAGES))
}
