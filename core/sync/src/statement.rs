//! One signed sentence about who belongs to the crew.

use crate::bytes::{Reader, Writer, cut};
use crate::keys::{PublicKey, SecretKey};

/// The longest name of a device, in bytes.
pub const LONGEST_NAME: usize = 200;
/// The longest statement, in bytes.
pub const LONGEST_STATEMENT: usize = 2048;
/// The most statements that one builds on directly.
const MOST_BEFORE: usize = 32;
/// What is signed begins with this, so that a signature of one thing never passes for another.
const SIGNED_AS: &[u8] = b"drylay crew statement 1\n";

/// Names a crew: it follows from its founder's key, so that nobody else can found it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct CrewId(pub [u8; 32]);

impl CrewId {
    /// The crew that this founder founded with this random number.
    pub fn of(founder: PublicKey, nonce: &[u8; 16]) -> Self {
        let mut hasher = blake3::Hasher::new_derive_key("drylay crew id");
        hasher.update(&founder.0).update(nonce);
        Self(*hasher.finalize().as_bytes())
    }
}

/// What a statement says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Claim {
    /// The signer founds the crew and is its first device.
    Found {
        /// The random number that the crew's id follows from.
        nonce: [u8; 16],
        /// The device that founds it.
        device: DeviceName,
    },
    /// A device belongs to the crew.
    Add {
        /// Its key.
        key: PublicKey,
        /// What it is called.
        device: DeviceName,
        /// Whether it may remove others; counts only where the founder says it.
        may_remove: bool,
    },
    /// A device no longer belongs to the crew.
    Remove {
        /// Its key.
        key: PublicKey,
    },
}

/// What a device was called when it joined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviceName {
    /// Its id in the documents' stamps.
    pub id: [u8; 16],
    /// Its name.
    pub name: String,
}

/// A claim with who makes it, when by the signer's clock, and what the signer knew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// The crew it is about.
    pub crew: CrewId,
    /// Who signed it.
    pub by: PublicKey,
    /// When, in milliseconds since 1970 by the signer's clock: shown, never reckoned with.
    pub utc_ms: i64,
    /// The hashes of the statements that it builds on, sorted.
    pub before: Vec<[u8; 32]>,
    /// What it says.
    pub claim: Claim,
    signature: [u8; 64],
}

impl Statement {
    /// Makes and signs a statement.
    pub(crate) fn sign(
        crew: CrewId,
        key: &SecretKey,
        utc_ms: i64,
        before: Vec<[u8; 32]>,
        claim: Claim,
    ) -> Self {
        let mut made = Self { crew, by: key.public(), utc_ms, before, claim, signature: [0; 64] };
        if let Claim::Found { device, .. } | Claim::Add { device, .. } = &mut made.claim {
            device.name = cut(&device.name, LONGEST_NAME);
        }
        made.signature = key.sign(&made.signed_bytes());
        made
    }

    /// Its name: the hash of everything in it.
    pub fn hash(&self) -> [u8; 32] {
        *blake3::hash(&self.to_bytes()).as_bytes()
    }

    /// Its bytes.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Writer(self.body());
        out.raw(&self.signature);
        out.0
    }

    /// Reads a statement; `None` where it is none, or was not signed by who it says.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let mut reader = Reader::new(bytes);
        let read = (bytes.len() <= LONGEST_STATEMENT).then(|| read(&mut reader)).flatten()?;
        let sound = reader.is_at_end() && read.by.signed(&read.signed_bytes(), &read.signature);
        sound.then_some(read)
    }

    fn signed_bytes(&self) -> Vec<u8> {
        [SIGNED_AS, &self.body()].concat()
    }

    fn body(&self) -> Vec<u8> {
        let mut out = Writer::default();
        out.raw(&self.crew.0).raw(&self.by.0).raw(&self.utc_ms.to_le_bytes());
        out.count(self.before.len());
        for hash in &self.before {
            out.raw(hash);
        }
        match &self.claim {
            Claim::Found { nonce, device } => {
                out.byte(0).raw(nonce).raw(&device.id).bytes(device.name.as_bytes());
            }
            Claim::Add { key, device, may_remove } => {
                out.byte(1).raw(&key.0).raw(&device.id).bytes(device.name.as_bytes()).flag(*may_remove);
            }
            Claim::Remove { key } => {
                out.byte(2).raw(&key.0);
            }
        }
        out.0
    }
}

fn read(reader: &mut Reader<'_>) -> Option<Statement> {
    let (crew, by) = (CrewId(reader.array()?), PublicKey(reader.array()?));
    let utc_ms = i64::from_le_bytes(reader.array()?);
    let before = reader.list(Reader::array).filter(|before| before.len() <= MOST_BEFORE)?;
    let device =
        |reader: &mut Reader<'_>| Some(DeviceName { id: reader.array()?, name: reader.text(LONGEST_NAME)? });
    let claim = match reader.byte()? {
        0 => Claim::Found { nonce: reader.array()?, device: device(reader)? },
        1 => Claim::Add {
            key: PublicKey(reader.array()?),
            device: device(reader)?,
            may_remove: reader.flag()?,
        },
        2 => Claim::Remove { key: PublicKey(reader.array()?) },
        _ => return None,
    };
    Some(Statement { crew, by, utc_ms, before, claim, signature: reader.array()? })
}

/// The statements that a new one builds on: those that no other builds on, the first few of them.
pub(crate) fn ends<'s>(statements: impl Iterator<Item = ([u8; 32], &'s Statement)> + Clone) -> Vec<[u8; 32]> {
    let mut ends: std::collections::BTreeSet<[u8; 32]> = statements.clone().map(|(hash, _)| hash).collect();
    statements.flat_map(|(_, statement)| &statement.before).for_each(|hash| {
        ends.remove(hash);
    });
    ends.into_iter().take(MOST_BEFORE).collect()
}
