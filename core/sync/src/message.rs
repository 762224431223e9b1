//! What devices say to each other, as bytes with limits.
//!
//! A connection carries two streams: talk, and files, so that a photo never holds up a reading. On both go frames:
//! a length of four bytes, little-endian, and as many bytes. The first byte of a frame says what it is. A frame that
//! is none of these, or too long, ends the connection.

use drylay_document::{DocumentId, Kind};

use crate::bytes::{Reader, Writer, cut};
use crate::statement::LONGEST_NAME;

/// The longest frame, in bytes. A job of a season is under a megabyte.
pub const LONGEST_FRAME: usize = 64 << 20;
/// The longest frame of somebody who has not yet shown that they belong to the crew.
pub const LONGEST_FRAME_OF_A_STRANGER: usize = 1 << 20;
/// The version of the protocol. Devices of different versions say so and do not talk.
pub const VERSION: u16 = 1;
/// The most bytes of a file in one frame.
pub const PIECE: u32 = 64 << 10;
/// The most documents told of in one frame.
pub(crate) const ENTRIES_IN_A_FRAME: usize = 4096;

/// A document that a device holds: how far its copy is, as a hash of its heads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    pub(crate) kind: Kind,
    pub(crate) id: DocumentId,
    pub(crate) parent: Option<DocumentId>,
    pub(crate) level: [u8; 16],
}

/// Something said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Message {
    /// The first word of both sides: who speaks, and every statement on the crew.
    Hello { version: u16, name: String, device: [u8; 16], shop: Option<DocumentId>, roster: Vec<Vec<u8>> },
    /// Statements on the crew that may be new.
    Roster { statements: Vec<Vec<u8>> },
    /// Documents held; `last` after the last of them.
    Shelf { entries: Vec<Entry>, last: bool },
    /// Asks for a whole document.
    Want { id: DocumentId },
    /// A whole document, compact.
    Whole { kind: Kind, id: DocumentId, parent: Option<DocumentId>, bytes: Vec<u8> },
    /// A message of the documents' own protocol.
    Sync { kind: Kind, id: DocumentId, bytes: Vec<u8> },
    /// The speaker took in what it was sent, and holds just what it was told that the other side holds.
    Level { id: DocumentId, level: [u8; 16] },
    /// How far the speaker's copy of a document is, where that did not come out by itself; whether it asks back.
    At { id: DocumentId, level: [u8; 16], asks: bool },
    /// How far all that the speaker shares is, and that it lacks no file; whether it asks the other to say the same.
    Same { all: [u8; 16], asks: bool },
    /// Are you there?
    Ping,
    /// Yes.
    Pong,
    /// How many files the speaker still wants from anybody.
    Wanting { files: u32 },
    /// The speaker now holds this file.
    Holds { hash: [u8; 32] },
    /// Asks for a piece of a file.
    Ask { hash: [u8; 32], offset: u64 },
    /// A piece of a file that has `total` bytes.
    Piece { hash: [u8; 32], offset: u64, total: u64, bytes: Vec<u8> },
    /// The speaker does not have that file.
    Lacks { hash: [u8; 32] },
    /// Somebody asks to join.
    Join { by_code: Option<Vec<u8>>, device: [u8; 16], name: String },
    /// The inviter's half of the exchange for a typed code.
    Exchange { half: Vec<u8> },
    /// The joiner knows the secret.
    Proof { proof: [u8; 32] },
    /// The inviter knows it too, and lets the joiner in.
    Welcome { proof: [u8; 32], body: Vec<u8> },
}

/// Reads a frame and writes again what it says; `None` where it says nothing. For tests that damage frames.
pub fn said_again(frame: &[u8]) -> Option<Vec<u8>> {
    Message::read(frame).map(|message| message.to_bytes())
}

fn kind_byte(kind: Kind) -> u8 {
    match kind {
        Kind::Shop => 0,
        Kind::Job => 1,
        Kind::Room => 2,
    }
}

fn read_kind(reader: &mut Reader<'_>) -> Option<Kind> {
    [Kind::Shop, Kind::Job, Kind::Room].get(usize::from(reader.byte()?)).copied()
}

fn read_id(reader: &mut Reader<'_>) -> Option<DocumentId> {
    reader.array().map(DocumentId)
}

impl Message {
    /// Its bytes, without the length before them.
    pub(crate) fn to_bytes(&self) -> Vec<u8> {
        let mut out = Writer::default();
        match self {
            Self::Hello { .. } | Self::Roster { .. } | Self::Shelf { .. } => self.write_lists(&mut out),
            Self::Want { id } => {
                out.byte(3).raw(&id.0);
            }
            Self::Whole { kind, id, parent, bytes } => {
                out.byte(4).byte(kind_byte(*kind)).raw(&id.0);
                out.option(parent.as_ref().map(|id| &id.0[..])).bytes(bytes);
            }
            Self::Sync { kind, id, bytes } => {
                out.byte(5).byte(kind_byte(*kind)).raw(&id.0).bytes(bytes);
            }
            Self::Ping => {
                out.byte(6);
            }
            Self::Pong => {
                out.byte(7);
            }
            Self::Wanting { files } => {
                out.byte(8).raw(&files.to_le_bytes());
            }
            Self::At { id, level, asks } => {
                out.byte(10).raw(&id.0).raw(level).flag(*asks);
            }
            Self::Level { id, level } => {
                out.byte(12).raw(&id.0).raw(level);
            }
            Self::Same { all, asks } => {
                out.byte(11).raw(all).flag(*asks);
            }
            Self::Holds { hash } => {
                out.byte(9).raw(hash);
            }
            Self::Ask { hash, offset } => {
                out.byte(16).raw(hash).raw(&offset.to_le_bytes());
            }
            Self::Piece { hash, offset, total, bytes } => {
                out.byte(17).raw(hash).raw(&offset.to_le_bytes()).raw(&total.to_le_bytes()).bytes(bytes);
            }
            Self::Lacks { hash } => {
                out.byte(18).raw(hash);
            }
            Self::Join { by_code, device, name } => {
                out.byte(32).flag(by_code.is_some()).bytes(by_code.as_deref().unwrap_or_default());
                out.raw(device).bytes(cut(name, LONGEST_NAME).as_bytes());
            }
            Self::Exchange { half } => {
                out.byte(33).bytes(half);
            }
            Self::Proof { proof } => {
                out.byte(34).raw(proof);
            }
            Self::Welcome { proof, body } => {
                out.byte(35).raw(proof).bytes(body);
            }
        }
        out.0
    }

    fn write_lists(&self, out: &mut Writer) {
        match self {
            Self::Hello { version, name, device, shop, roster } => {
                out.byte(0).raw(&version.to_le_bytes()).bytes(cut(name, LONGEST_NAME).as_bytes());
                out.raw(device).option(shop.as_ref().map(|id| &id.0[..]));
                out.list(roster);
            }
            Self::Roster { statements: list } => {
                out.byte(1);
                out.list(list);
            }
            Self::Shelf { entries, last } => {
                out.byte(2).flag(*last).count(entries.len());
                for it in entries {
                    out.byte(kind_byte(it.kind)).raw(&it.id.0);
                    out.option(it.parent.as_ref().map(|id| &id.0[..])).raw(&it.level);
                }
            }
            _ => {}
        }
    }

    /// Reads a frame's bytes; `None` where they are no message.
    pub(crate) fn read(bytes: &[u8]) -> Option<Self> {
        let mut reader = Reader::new(bytes);
        let message = Self::read_from(&mut reader)?;
        reader.is_at_end().then_some(message)
    }

    fn read_from(r: &mut Reader<'_>) -> Option<Self> {
        let statements = |r: &mut Reader<'_>| r.list(|r| r.bytes().map(<[u8]>::to_vec));
        Some(match r.byte()? {
            0 => Self::Hello {
                version: r.u16()?,
                name: r.text(LONGEST_NAME)?,
                device: r.array()?,
                shop: r.option(read_id)?,
                roster: statements(r)?,
            },
            1 => Self::Roster { statements: statements(r)? },
            2 => Self::Shelf { last: r.flag()?, entries: r.list(entry)? },
            3 => Self::Want { id: read_id(r)? },
            4 => Self::Whole {
                kind: read_kind(r)?,
                id: read_id(r)?,
                parent: r.option(read_id)?,
                bytes: r.bytes()?.to_vec(),
            },
            5 => Self::Sync { kind: read_kind(r)?, id: read_id(r)?, bytes: r.bytes()?.to_vec() },
            6 => Self::Ping,
            7 => Self::Pong,
            8 => Self::Wanting { files: r.u32()? },
            10 => Self::At { id: read_id(r)?, level: r.array()?, asks: r.flag()? },
            12 => Self::Level { id: read_id(r)?, level: r.array()? },
            11 => Self::Same { all: r.array()?, asks: r.flag()? },
            9 => Self::Holds { hash: r.array()? },
            16 => Self::Ask { hash: r.array()?, offset: r.u64()? },
            17 => Self::Piece {
                hash: r.array()?,
                offset: r.u64()?,
                total: r.u64()?,
                bytes: r.bytes()?.to_vec(),
            },
            18 => Self::Lacks { hash: r.array()? },
            32 => {
                let (coded, half) = (r.flag()?, r.bytes()?.to_vec());
                let by_code = coded.then_some(half);
                Self::Join { by_code, device: r.array()?, name: r.text(LONGEST_NAME)? }
            }
            33 => Self::Exchange { half: r.bytes()?.to_vec() },
            34 => Self::Proof { proof: r.array()? },
            35 => Self::Welcome { proof: r.array()?, body: r.bytes()?.to_vec() },
            _ => return None,
        })
    }
}

fn entry(r: &mut Reader<'_>) -> Option<Entry> {
    Some(Entry { kind: read_kind(r)?, id: read_id(r)?, parent: r.option(read_id)?, level: r.array()? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_message_comes_back() {
        let id = DocumentId([3; 16]);
        let entry = Entry { kind: Kind::Room, id, parent: Some(DocumentId([4; 16])), level: [5; 16] };
        let hello = |shop| Message::Hello {
            version: 1,
            name: "Ana".into(),
            device: [1; 16],
            shop,
            roster: vec![vec![1, 2], vec![]],
        };
        let messages = [
            hello(None),
            hello(Some(id)),
            Message::Roster { statements: vec![vec![9]] },
            Message::Shelf { entries: vec![entry, Entry { parent: None, ..entry }], last: true },
            Message::Want { id },
            Message::Whole { kind: Kind::Job, id, parent: None, bytes: vec![1, 2, 3] },
            Message::Sync { kind: Kind::Shop, id, bytes: vec![] },
            Message::At { id, level: [6; 16], asks: true },
            Message::Level { id, level: [6; 16] },
            Message::Same { all: [7; 16], asks: true },
            Message::Ping,
            Message::Pong,
            Message::Wanting { files: 7 },
            Message::Holds { hash: [1; 32] },
            Message::Ask { hash: [1; 32], offset: 1 << 40 },
            Message::Piece { hash: [1; 32], offset: 5, total: 9, bytes: vec![1] },
            Message::Lacks { hash: [2; 32] },
            Message::Join { by_code: None, device: [1; 16], name: "Ben".into() },
            Message::Join { by_code: Some(vec![8; 33]), device: [1; 16], name: "Ben".into() },
            Message::Exchange { half: vec![1; 33] },
            Message::Proof { proof: [1; 32] },
            Message::Welcome { proof: [1; 32], body: vec![1] },
        ];
        for message in messages {
            let bytes = message.to_bytes();
            assert_eq!(Message::read(&bytes).as_ref(), Some(&message));
            for end in 0..bytes.len() {
                assert_ne!(Message::read(&bytes[..end]).as_ref(), Some(&message), "cut at {end}");
            }
        }
    }

    proptest! {
        #[test]
        fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200), first in 0..40_u8) {
            let mut bytes = bytes;
            bytes.insert(0, first);
            let _ = Message::read(&bytes);
        }
    }

    #[test]
    fn a_count_that_promises_more_than_was_sent_is_refused() {
        assert_eq!(Message::read(&[2, 1, 0xff, 0xff, 0xff, 0xff]), None);
        assert_eq!(Message::read(&[1, 0xff, 0xff, 0xff, 0x7f, 0, 0, 0, 0]), None);
    }
}
