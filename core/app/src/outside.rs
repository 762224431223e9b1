//! What comes from outside as bytes, each read by itself and looked at: for tests that damage it.

use crate::commands::signed::{self, Signed};
use crate::commands::time;
use crate::crew::key;
use crate::given_out::GivenOut;
use crate::issue::Issued;
use crate::locked::{self, Chance};
use crate::photos::{Kind, Size, clean, decode, facts, smaller};
use crate::views::plan::{Token, parse_token};
use crate::{Lockbox, Problem, Session, signature};
use drylay_document::FrozenKind;
use drylay_plan::Order;
use drylay_sync::PublicKey;
use std::path::Path;

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

/// A stroke on paper, from 0 to 1 either way.
type Stroke = Vec<[f64; 2]>;

/// Reads a drawn signature: its bytes written again, and its strokes on paper. `None` for bytes that are none.
pub fn signature(bytes: &[u8]) -> Option<(Vec<u8>, Vec<Stroke>)> {
    let drawn = signature::read(bytes)?;
    let again = signature::bytes(&drawn).ok().flatten()?;
    Some((again, signature::on_paper(&drawn)))
}

/// Freezes bytes in a job as another device may have: as a signed quote, or else as a handover.
///
/// # Errors
/// Where the job is not here, or nothing can be stored.
pub fn freeze(session: &Session, job: &str, quote: bool, bytes: &[u8]) -> Result<(), Problem> {
    let job = session.desk().job(job)?;
    let (what, file) = if quote { (FrozenKind::Quote, "quote") } else { (FrozenKind::Handover, "handover") };
    signed::keep(session, &job, String::new(), Signed { what, file, bytes, by: String::new(), drawn: None })
}

/// Reads the device's key in a folder; whose it is, and whether it was drawn just now.
///
/// # Errors
/// Where the file holds none, or names a place that does not give it.
pub fn device_key(
    folder: &Path,
    chance: [u8; 32],
    lockbox: &dyn Lockbox,
) -> Result<(PublicKey, bool), Problem> {
    key::find(folder, chance, Some(lockbox)).map(|found| (found.key.public(), found.new))
}

/// Hours as somebody typed them, in minutes; `None` where they are none.
pub fn hours(text: &str) -> Option<i64> {
    time::minutes(text, "").ok()
}

/// Reads the token of a choice of layout and writes it again; `None` for a text that is none.
pub fn layout(text: &str) -> Option<String> {
    let Token { degrees, wall, offset, order, first_row, shift } = parse_token(text)?;
    let (room, from, to) = wall.map(|(room, from, to)| (room.to_string(), from, to)).unwrap_or_default();
    let order = if order == Order::Stepped { "s" } else { "a" }.to_owned();
    let [first_row, shift] = [first_row, shift].map(|length| length.nanometres().to_string());
    Some([degrees.to_string(), room, from, to, offset, order, first_row, shift].join("|"))
}
