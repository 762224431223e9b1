//! What was signed, frozen as it stood: the bytes as a file by their content, a record with the state of every document
//! that they came from.

use crate::Problem;
use crate::desk::SeenJob;
use crate::session::Session;
use drylay_document::frozen::frozen_id;
use drylay_document::{ContentHash, Edit, Frozen, FrozenKind, JobEntry, Kind};
use drylay_geometry::ItemId;

/// What the bytes are.
const MEDIA: &str = "application/json";

/// What was signed, and by whom.
pub(crate) struct Signed<'a> {
    pub(crate) what: FrozenKind,
    /// What it is called among the files of the store.
    pub(crate) file: &'static str,
    pub(crate) bytes: &'a [u8],
    pub(crate) by: String,
    /// The strokes of a drawn signature.
    pub(crate) drawn: Option<Vec<u8>>,
}

/// Keeps it; the same bytes twice are one record. `words` say what was done.
pub(crate) fn keep(
    session: &Session,
    job: &SeenJob,
    words: String,
    signed: Signed<'_>,
) -> Result<(), Problem> {
    let Signed { what, file, bytes, by, drawn } = signed;
    // The bytes first: a record without its bytes would be worse than bytes without a record.
    session.desk().store.put_file(bytes, file)?;
    let signature = match drawn {
        Some(bytes) => Some(ContentHash(session.desk().store.put_file(&bytes, "signature")?.0)),
        None => None,
    };
    let hash = ContentHash::of(bytes);
    let id = ItemId::new(frozen_id(hash));
    session.change(job.id, words, |change| {
        let seen = change.desk.job(&job.id.to_string())?;
        if seen.view.frozen.live.iter().any(|held| held.id == id) {
            return Ok(());
        }
        let mut sources = Vec::new();
        sources.extend(change.desk.document(job.id, Kind::Job)?.map(|document| document.source()));
        for room in seen.view.room_list() {
            sources.extend(change.desk.document(room.value.document, Kind::Room)?.map(|d| d.source()));
        }
        let frozen = Frozen {
            what,
            number: seen.view.next_number(what),
            hash,
            bytes: i64::try_from(bytes.len()).unwrap_or(i64::MAX),
            media: MEDIA.to_owned(),
            sources,
            area: None,
            signature,
            signed_by: Some(by),
        };
        change.apply(job.id, &[Edit::<JobEntry>::add(id, frozen)])
    })
}
