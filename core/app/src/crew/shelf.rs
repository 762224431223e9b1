//! The store and the open documents as the crew's protocol sees them: what is held, what is taken in, and files.

use crate::Problem;
use crate::desk::Desk;
use drylay_document::handover::Part;
use drylay_document::{Actor, Document, DocumentId, FrozenKind, JobView, Kind};
use drylay_store::{DocumentInfo, DocumentKey, FileHash, Op, StoreError};
use drylay_sync::{Adopted, Held, Named, Shelf, Trouble};
use std::collections::BTreeMap;

/// A problem as the protocol tells it on.
fn trouble(problem: impl Into<Problem>) -> Trouble {
    Trouble(problem.into().to_string())
}

/// Heads as they are stored beside the document.
pub(crate) fn mark_of(heads: &[[u8; 32]]) -> Vec<u8> {
    heads.concat()
}

fn heads_of(mark: &[u8]) -> Option<Vec<[u8; 32]>> {
    let (heads, rest) = mark.as_chunks::<32>();
    (!heads.is_empty() && rest.is_empty()).then(|| heads.to_vec())
}

impl Desk {
    /// A document of the store as the protocol knows it; `None` for one of a kind that this program does not know.
    fn as_held(&mut self, info: &DocumentInfo) -> Result<Option<Held>, Problem> {
        let id = DocumentId(info.document.0);
        let Some(kind) = Kind::from_word(&info.label) else { return Ok(None) };
        let parent = info.parent.map(|parent| DocumentId(parent.0));
        let marked = info.mark.as_deref().and_then(heads_of).filter(|_| !self.is_open(id));
        let heads = match marked {
            Some(heads) => heads,
            None => {
                let Some(document) = self.document(id, kind)? else { return Ok(None) };
                let heads = document.heads();
                let mark = mark_of(&heads);
                if info.mark.as_ref() != Some(&mark) && self.is_writable() {
                    self.store.write(&[Op::Mark { document: info.document, mark: &mark }])?;
                }
                heads
            }
        };
        Ok(Some(Held { kind, id, parent, heads }))
    }

    fn kind_of(&self, id: DocumentId) -> Result<Option<(Kind, DocumentInfo)>, StoreError> {
        let info = self.store.info(DocumentKey(id.0))?;
        Ok(info.and_then(|info| Kind::from_word(&info.label).map(|kind| (kind, info))))
    }

    /// Stores what an open document took in. The job's line in the list is worked out later.
    fn keep_taken(&mut self, id: DocumentId) -> Result<(), Problem> {
        let Some((kind, info)) = self.kind_of(id)? else { return Ok(()) };
        let Some(open) = self.document(id, kind)? else { return Ok(()) };
        let Some(chunk) = open.take_chunk() else { return Ok(()) };
        let mark = mark_of(&open.heads());
        let document = info.document;
        let late = self.late_with(job_of(kind, id, info.parent));
        let ops = [
            Op::Append { document, chunk: &chunk },
            Op::Mark { document, mark: &mark },
            Op::Set { key: LATE, value: late.as_deref() },
        ];
        let written = self.store.write(&ops)?;
        if written.compaction_due.contains(&document)
            && let Some(snapshot) = self.document(id, kind)?.map(Document::snapshot)
        {
            // It is no loss if that fails: the chunks are stored.
            let _ = self.store.write(&[Op::Compact { document, snapshot: &snapshot }]);
        }
        Ok(())
    }

    /// Stores a document that is new here.
    fn take_whole(&mut self, mut whole: Document, parent: Option<DocumentId>) -> Result<(), Problem> {
        let (id, kind, mark) = (whole.id(), whole.kind(), mark_of(&whole.heads()));
        let (document, parent) = (DocumentKey(id.0), parent.map(|parent| DocumentKey(parent.0)));
        let chunk = whole.snapshot();
        let line = JobView::read(&whole).ok().filter(|_| kind == Kind::Job);
        let line = line.map(|view| crate::summary::bare(id, &view, self.world.now()));
        let late = self.late_with(job_of(kind, id, parent));
        let mut ops = vec![
            Op::Describe { document, label: kind.word(), parent },
            Op::Append { document, chunk: &chunk },
            Op::Mark { document, mark: &mark },
            Op::Set { key: LATE, value: late.as_deref() },
        ];
        ops.extend(line.as_ref().map(Op::Summarise));
        self.store.write(&ops)?;
        line.into_iter().for_each(|line| self.keep_line(line));
        self.adopt(whole);
        Ok(())
    }
}

/// The setting that lists the jobs whose line in the list is still to be worked out.
pub(crate) const LATE: &str = "lines.late";

fn job_of(kind: Kind, id: DocumentId, parent: Option<DocumentKey>) -> Option<DocumentId> {
    match kind {
        Kind::Job => Some(id),
        Kind::Room => parent.map(|parent| DocumentId(parent.0)),
        Kind::Shop => None,
    }
}

/// The files that a job names, each with its size as the job says it, and with what it is in the words of the store.
fn named(view: &JobView) -> Vec<(Named, &'static str)> {
    let size = |bytes: i64| u64::try_from(bytes).unwrap_or(0);
    let photos = view.photos.live.iter().map(|held| (held.value.hash, size(held.value.bytes), PHOTO));
    let frozen = view.frozen.live.iter().map(|held| {
        let frozen = &held.value;
        (frozen.hash, size(frozen.bytes), label_of(frozen.what))
    });
    let signatures = view.frozen.live.iter().filter_map(|held| Some((held.value.signature?, 0, "signature")));
    let all = photos.chain(frozen).chain(signatures);
    all.map(|(hash, bytes, label)| (Named { hash: hash.0, bytes }, label)).collect()
}

/// What a file is of which no job says more.
const PHOTO: &str = "photo";

/// What a frozen record is in the words of the store: those of the command that made it.
fn label_of(what: FrozenKind) -> &'static str {
    match what {
        FrozenKind::Plan => "plan",
        FrozenKind::Quote => "quote",
        FrozenKind::Handover => "handover",
    }
}

/// What the files of a job are, by their hashes.
pub(crate) fn labels(view: &JobView) -> BTreeMap<[u8; 32], &'static str> {
    named(view).into_iter().map(|(named, label)| (named.hash, label)).collect()
}

impl Shelf for Desk {
    fn documents(&mut self) -> Result<Vec<Held>, Trouble> {
        let all = self.store.documents().map_err(trouble)?;
        let held = all.iter().map(|info| self.as_held(info).map_err(trouble));
        held.filter_map(Result::transpose).collect()
    }

    fn held(&mut self, id: DocumentId) -> Result<Option<Held>, Trouble> {
        match self.store.info(DocumentKey(id.0)).map_err(trouble)? {
            Some(info) => self.as_held(&info).map_err(trouble),
            None => Ok(None),
        }
    }

    fn document(&mut self, id: DocumentId) -> Result<Option<&mut Document>, Trouble> {
        match self.kind_of(id).map_err(trouble)? {
            Some((kind, _)) => Self::document(self, id, kind).map_err(trouble),
            None => Ok(None),
        }
    }

    fn keep(&mut self, id: DocumentId) -> Result<(), Trouble> {
        let kept = self.keep_taken(id);
        if kept.is_err() {
            self.forget(id);
        }
        kept.map_err(trouble)
    }

    fn adopt(
        &mut self,
        kind: Kind,
        id: DocumentId,
        parent: Option<DocumentId>,
        bytes: &[u8],
    ) -> Result<Adopted, Trouble> {
        let part = Part { kind, id, since: Vec::new(), bytes: bytes.to_vec() };
        let Ok(mut whole) = part.open(Actor(self.world.random_id())) else { return Ok(Adopted::Refused) };
        let heads = whole.heads();
        match Self::document(self, id, kind).map_err(trouble)? {
            Some(document) => {
                if document.import(&part).is_err() {
                    return Ok(Adopted::Refused);
                }
                self.keep(id)?;
            }
            None => self.take_whole(whole, parent).map_err(trouble)?,
        }
        Ok(Adopted::Heads(heads))
    }

    fn missing_files(&mut self, id: DocumentId) -> Result<Vec<Named>, Trouble> {
        let Some((Kind::Job, _)) = self.kind_of(id).map_err(trouble)? else { return Ok(Vec::new()) };
        let Some(job) = self.seen_job(id).map_err(trouble)? else { return Ok(Vec::new()) };
        let mut missing = Vec::new();
        for (named, label) in named(&job.view) {
            if self.store.file_path(FileHash(named.hash)).map_err(trouble)?.is_none() {
                self.awaited.insert(named.hash, label);
                missing.push(named);
            }
        }
        Ok(missing)
    }

    fn piece(&mut self, hash: [u8; 32], offset: u64, most: u32) -> Result<Option<(u64, Vec<u8>)>, Trouble> {
        self.store.piece(FileHash(hash), offset, most).map_err(trouble)
    }

    fn part(&mut self, hash: [u8; 32]) -> Result<u64, Trouble> {
        self.store.part(FileHash(hash)).map_err(trouble)
    }

    fn append(&mut self, hash: [u8; 32], offset: u64, bytes: &[u8]) -> Result<(), Trouble> {
        self.store.append_part(FileHash(hash), offset, bytes).map_err(trouble)
    }

    fn finish(&mut self, hash: [u8; 32]) -> Result<bool, Trouble> {
        let label = self.awaited.get(&hash).copied().unwrap_or(PHOTO);
        let whole = self.store.finish_part(FileHash(hash), label).map_err(trouble)?;
        if whole {
            self.awaited.remove(&hash);
        }
        Ok(whole)
    }
}
