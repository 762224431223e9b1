//! What was signed, frozen as it stood: the bytes as a file by their content, a record with the state of every document
//! that they came from.

use crate::Problem;
use crate::desk::SeenJob;
use crate::session::Session;
use drylay_document::frozen::frozen_id;
use drylay_document::{ContentHash, Edit, Entry, Frozen, FrozenKind, Held, JobEntry, JobView, Kind};
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
    session.change(job.id, words, |change| {
        let seen = change.desk.job(&job.id.to_string())?;
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
        let edit = among_frozen(&seen.view, frozen);
        change.apply(job.id, edit.as_slice())
    })
}

/// The edit by which a record stands among the frozen ones; none where it stands there already. One that was taken back
/// stands again as it was; where somebody else signs the same bytes after that, it is another record.
pub(super) fn among_frozen(view: &JobView, frozen: Frozen) -> Option<Edit<JobEntry>> {
    let of = |held: &&Held<Frozen>| held.value.hash == frozen.hash;
    let live = view.frozen.live.iter().filter(of);
    let gone = view.frozen.past.iter().map(|past| &past.held).filter(of);
    if live.clone().any(|held| held.value.what == frozen.what) {
        return None;
    }
    let signed = |one: &Frozen| (one.what, one.signed_by.clone(), one.signature);
    if let Some(back) = gone.clone().find(|held| signed(&held.value) == signed(&frozen)) {
        return Some(Edit::Restore { table: Frozen::TABLE, id: back.id.clone() });
    }
    let id = frozen_id(frozen.hash);
    let id = match live.count() + gone.count() {
        0 => id,
        n => format!("{id}-{}", n + 1),
    };
    Some(Edit::add(ItemId::new(id), frozen))
}
