//! What comes from outside as bytes, each read by itself and looked at: for tests that damage it.

use crate::given_out::GivenOut;
use crate::issue::Issued;
use crate::locked::{self, Chance};
use crate::photos::{Kind, Size, clean, decode, facts, smaller};

/// What became of a picture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// What is kept of it.
    pub kept: Vec<u8>,
    /// Its orientation, 1 to 8, and when it was taken, in ms since 1970 in the zone of Greenwich.
    pub facts: (u8, Option<i64>),
    /// Whether it could be decoded and made smaller.
    pub seen: bool,
}

/// Takes a picture apart as one that is taken in; `None` where it is none.
pub fn picture(bytes: &[u8]) -> Option<Picture> {
    let kind = Kind::of(bytes)?;
    let found = facts(bytes);
    let kept = clean(kind, bytes, &found)?;
    let decoded = decode(bytes, &found).ok();
    let seen =
        decoded.is_some_and(|picture| Size::ALL.into_iter().all(|size| smaller(&picture, size).is_ok()));
    Some(Picture { kept, facts: (found.orientation, found.taken_ms(0)), seen })
}

/// Unlocks the bytes of a locked hand-over file; `None` where that fails.
pub fn unlocked(bytes: &[u8], passphrase: &str) -> Option<Vec<u8>> {
    locked::is_locked(bytes).then(|| locked::unlock(bytes, Some(passphrase)).ok()).flatten()
}

/// Locks bytes with so little work that it keeps nobody out.
pub fn locked_lightly(bytes: &[u8], passphrase: &str) -> Option<Vec<u8>> {
    locked::lock_lightly(bytes.to_vec(), passphrase, Chance { salt: [1; 16], nonce: [2; 24] }).ok()
}

/// Reads an issued plan as work and as changes read it; how many pieces it has, where it is one.
pub fn issued_plan(bytes: &[u8]) -> Option<usize> {
    let issued = Issued::read(bytes);
    let tiles = issued.as_ref().and_then(Issued::tiles);
    let given_out = GivenOut::read(bytes)?;
    let _ = (tiles, given_out.grid(), given_out.direction(), given_out.ways_out().len(), given_out.field());
    Some(given_out.in_order().len())
}
