//! The hand-over file: documents and files on a card, a cable or in a messenger, where there is no network.
//!
//! ```text
//! "DRYLAYHO" version:u16  signer:32 signature:64
//! from: device:16 name  at: utc zone        (the stamp of whoever wrote it)
//! parts: count { kind id:16  since: count { head:32 }*  bytes }*
//! files: count { hash:32 bytes }*
//! blake3 of all before:32
//! ```
//! Counts and lengths are LEB128. Signer and signature are nought in a file that nobody signed. What is signed is the
//! hash of everything before the checksum but the signature itself; who may sign for whom is not known here. Importing
//! twice is harmless. Whole documents are the default: of a part that holds only what came after certain heads, everything
//! stays invisible whose forerunners the receiver lacks.

use automerge::ChangeHash;

use crate::document::{Document, OpenError};
use crate::engine;
use crate::entry::Kind;
use crate::ids::{Actor, ContentHash, DocumentId};
use crate::stamp::{Author, Stamp, Timestamp};
use crate::value::{Reader, write_bytes, write_count, write_text};

const MAGIC: &[u8; 8] = b"DRYLAYHO";
const VERSION: u16 = 1;
/// The place of signer and signature.
const SEAL: usize = 32 + 64;
/// Where they begin, and where the signature does.
const SIGNER_AT: usize = 8 + 2;
const SIGNATURE_AT: usize = SIGNER_AT + 32;
/// What is signed begins with this, so that a signature of one thing never passes for another.
const SIGNED_AS: &[u8] = b"drylay hand-over 1\n";
/// The length of the checksum at the end.
const CHECKSUM: usize = 32;

/// What a hand-over file holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandOver {
    /// Who wrote it, and when.
    pub stamp: Stamp,
    /// The documents.
    pub parts: Vec<Part>,
    /// Photos and frozen records, each under the hash of its content.
    pub files: Vec<(ContentHash, Vec<u8>)>,
}

/// Who signed a file, and with what: whoever knows keys says whether it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seal {
    /// The signer's public key.
    pub signer: [u8; 32],
    /// What was signed.
    pub message: Vec<u8>,
    /// The signature.
    pub signature: [u8; 64],
}

/// One document in a hand-over file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its kind.
    pub kind: Kind,
    /// Its id.
    pub id: DocumentId,
    /// The heads after which it begins; empty for the whole document.
    pub since: Vec<[u8; 32]>,
    /// The document's bytes.
    pub bytes: Vec<u8>,
}

/// Why a file was not read as a hand-over. Nothing of it was taken in.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HandOverError {
    /// Another sort of file.
    #[error("this is no hand-over file")]
    Foreign,
    /// A newer program wrote it.
    #[error("a newer program wrote this file (version {0}): update this one")]
    Newer(u16),
    /// It ends too early.
    #[error("the file ends too early: it was not copied whole")]
    CutOff,
    /// Its checksum does not match.
    #[error("the file is damaged: its checksum does not match")]
    Damaged,
    /// Its checksum matches, and it is still wrong inside.
    #[error("the file was not written by this program: {0}")]
    Malformed(&'static str),
}

/// Why a part was not taken into a document. The document is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The part is of another document.
    #[error("the file's document is {found}, not {expected}")]
    OtherDocument {
        /// The document it was to be taken into.
        expected: DocumentId,
        /// The document it is of.
        found: DocumentId,
    },
    /// The part is no document.
    #[error(transparent)]
    Open(#[from] OpenError),
    /// Its changes do not fit.
    #[error("the changes cannot be taken in: {0}")]
    Changes(String),
}

/// What an import did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Imported {
    /// Whether anything was new.
    pub changed: bool,
    /// Changes that stay invisible until their forerunners arrive: ask for the whole document.
    pub waiting: bool,
}

impl Part {
    /// The whole document.
    pub fn whole(document: &mut Document) -> Self {
        Self { kind: document.kind(), id: document.id(), since: Vec::new(), bytes: document.snapshot() }
    }

    /// What a receiver lacks whose last known heads are `since`.
    pub fn since(document: &mut Document, since: &[[u8; 32]]) -> Self {
        let heads: Vec<ChangeHash> = since.iter().map(|h| ChangeHash(*h)).collect();
        if heads.is_empty() || !document.auto.get_missing_deps(&heads).is_empty() {
            return Self::whole(document);
        }
        let bytes = document.auto.save_after(&heads);
        Self { kind: document.kind(), id: document.id(), since: since.to_vec(), bytes }
    }

    /// Opens the part as a document that the receiver does not have yet.
    ///
    /// # Errors
    /// As [`Document::load`], and if it is not the document that it claims to be.
    pub fn open(&self, actor: Actor) -> Result<Document, ImportError> {
        let document = Document::load(&self.bytes, actor)?;
        if document.id() == self.id && document.kind() == self.kind {
            Ok(document)
        } else {
            Err(ImportError::OtherDocument { expected: self.id, found: document.id() })
        }
    }
}

impl Document {
    /// Takes a part in. Twice is harmless.
    ///
    /// # Errors
    /// Says why; the document is as it was.
    pub fn import(&mut self, part: &Part) -> Result<Imported, ImportError> {
        if part.id != self.id() || part.kind != self.kind() {
            return Err(ImportError::OtherDocument { expected: self.id(), found: part.id });
        }
        let before = self.auto.get_heads();
        // Into a copy first: an engine that stops half-way must not leave this one changed.
        let mut trial = self.auto.fork();
        let changes = |e: automerge::AutomergeError| ImportError::Changes(e.to_string());
        if part.since.is_empty() {
            let mut whole = engine::load(&part.bytes).map_err(ImportError::Changes)?;
            match crate::document::identity(&whole) {
                Some((_, id)) if id == self.id() => {}
                Some((_, found)) => return Err(ImportError::OtherDocument { expected: self.id(), found }),
                None => return Err(OpenError::Foreign.into()),
            }
            engine::guarded(|| trial.merge(&mut whole)).map_err(ImportError::Changes)?;
            self.auto.merge(&mut whole).map_err(changes)?;
        } else {
            engine::guarded(|| trial.load_incremental(&part.bytes)).map_err(ImportError::Changes)?;
            self.auto.load_incremental(&part.bytes).map_err(changes)?;
        }
        let waiting = !self.auto.get_missing_deps(&[]).is_empty();
        Ok(Imported { changed: self.auto.get_heads() != before, waiting })
    }
}

impl HandOver {
    /// Whether bytes begin as a hand-over file does; whether they are a whole one is another question.
    pub fn looks_like(bytes: &[u8]) -> bool {
        bytes.starts_with(MAGIC)
    }

    /// The file's bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = MAGIC.to_vec();
        out.extend(VERSION.to_le_bytes());
        out.extend([0; SEAL]);
        self.stamp.write(&mut out);
        write_count(&mut out, self.parts.len());
        for part in &self.parts {
            write_text(&mut out, part.kind.word());
            out.extend(part.id.0);
            write_count(&mut out, part.since.len());
            part.since.iter().for_each(|head| out.extend(head));
            write_bytes(&mut out, &part.bytes);
        }
        write_count(&mut out, self.files.len());
        for (hash, bytes) in &self.files {
            out.extend(hash.0);
            write_bytes(&mut out, bytes);
        }
        let hash = blake3::hash(&out);
        out.extend(hash.as_bytes());
        out
    }

    /// Signs a file's bytes in their place.
    pub fn sign(bytes: &mut [u8], signer: [u8; 32], sign: impl FnOnce(&[u8]) -> [u8; 64]) {
        let Some(place) = bytes.get_mut(SIGNER_AT..SIGNATURE_AT) else { return };
        place.copy_from_slice(&signer);
        let Some(message) = message(bytes) else { return };
        let signature = sign(&message);
        if let Some(place) = bytes.get_mut(SIGNATURE_AT..SIGNATURE_AT + 64) {
            place.copy_from_slice(&signature);
        }
        if let Some((before, checksum)) = bytes.split_last_chunk_mut::<CHECKSUM>() {
            *checksum = *blake3::hash(before).as_bytes();
        }
    }

    /// Who signed a file; `None` where nobody did.
    pub fn seal(bytes: &[u8]) -> Option<Seal> {
        let signer: [u8; 32] = bytes.get(SIGNER_AT..SIGNATURE_AT)?.try_into().ok()?;
        let signature: [u8; 64] = bytes.get(SIGNATURE_AT..SIGNATURE_AT + 64)?.try_into().ok()?;
        let signed = signer != [0; 32] || signature != [0; 64];
        signed.then_some(Seal { signer, message: message(bytes)?, signature })
    }

    /// Reads a file.
    ///
    /// # Errors
    /// Says what is wrong with it.
    pub fn read(bytes: &[u8]) -> Result<Self, HandOverError> {
        let rest = bytes.strip_prefix(MAGIC.as_slice()).ok_or(HandOverError::Foreign)?;
        let (version, rest) = rest.split_first_chunk::<2>().ok_or(HandOverError::CutOff)?;
        let version = u16::from_le_bytes(*version);
        if version > VERSION {
            return Err(HandOverError::Newer(version));
        }
        let (body, hash) = rest.split_last_chunk::<32>().ok_or(HandOverError::CutOff)?;
        let sound = *blake3::hash(&bytes[..bytes.len() - 32]).as_bytes() == *hash;
        match (Self::read_body(body), sound) {
            (Ok(read), true) => Ok(read),
            (Err(wrong), true) => Err(HandOverError::Malformed(wrong)),
            (Ok(_), false) => Err(HandOverError::Damaged),
            // A file that was cut off reads well up to where it ends.
            (Err(wrong), false) if wrong == ENDS_EARLY => Err(HandOverError::CutOff),
            (Err(_), false) => Err(HandOverError::Damaged),
        }
    }

    fn read_body(body: &[u8]) -> Result<Self, &'static str> {
        let mut reader = Reader::new(body);
        reader.take(SEAL).ok_or(ENDS_EARLY)?;
        let stamp = Stamp::read(&mut reader).ok_or(ENDS_EARLY)?;
        let n_parts = reader.count().ok_or(ENDS_EARLY)?;
        let parts = (0..n_parts).map(|_| read_part(&mut reader)).collect::<Result<_, _>>()?;
        let n_files = reader.count().ok_or(ENDS_EARLY)?;
        let files = (0..n_files).map(|_| read_file(&mut reader)).collect::<Result<_, _>>()?;
        if reader.is_at_end() { Ok(Self { stamp, parts, files }) } else { Err("something follows its end") }
    }
}

/// What is signed of a file's bytes.
fn message(bytes: &[u8]) -> Option<Vec<u8>> {
    let before = bytes.get(..SIGNATURE_AT)?;
    let behind = bytes.get(SIGNATURE_AT + 64..bytes.len().checked_sub(CHECKSUM)?)?;
    let mut hasher = blake3::Hasher::new();
    hasher.update(before).update(behind);
    Some([SIGNED_AS, hasher.finalize().as_bytes()].concat())
}

const ENDS_EARLY: &str = "it ends too early";

fn read_part(reader: &mut Reader<'_>) -> Result<Part, &'static str> {
    let kind = reader.text().ok_or(ENDS_EARLY)?;
    let kind = Kind::from_word(&kind).ok_or("a document of an unknown kind")?;
    let id = DocumentId(reader.array().ok_or(ENDS_EARLY)?);
    let n_heads = reader.count().ok_or(ENDS_EARLY)?;
    let since = (0..n_heads).map(|_| reader.array().ok_or(ENDS_EARLY)).collect::<Result<_, _>>()?;
    let bytes = reader.bytes().ok_or(ENDS_EARLY)?.to_vec();
    Ok(Part { kind, id, since, bytes })
}

fn read_file(reader: &mut Reader<'_>) -> Result<(ContentHash, Vec<u8>), &'static str> {
    let hash = ContentHash(reader.array().ok_or(ENDS_EARLY)?);
    let bytes = reader.bytes().ok_or(ENDS_EARLY)?.to_vec();
    if ContentHash::of(&bytes) == hash { Ok((hash, bytes)) } else { Err("a file whose name is not its hash") }
}

/// Writes whole documents and files into the bytes of a hand-over file.
pub fn export(
    documents: &mut [&mut Document],
    files: Vec<(ContentHash, Vec<u8>)>,
    by: &Author,
    at: Timestamp,
) -> Vec<u8> {
    let parts = documents.iter_mut().map(|document| Part::whole(document)).collect();
    HandOver { stamp: Stamp { at, by: by.clone() }, parts, files }.to_bytes()
}
