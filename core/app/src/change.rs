//! Changing a job: apply, store, acknowledge, and only then tell.
//!
//! A change may touch the job's document and those of its rooms. It is stored in one transaction together with the
//! job's line in the list; if anything fails, nothing is stored and the touched documents are closed, so that what
//! is in memory is never ahead of the disk.

use crate::Problem;
use crate::desk::Desk;
use drylay_document::{Actor, Applied, Document, DocumentId, Edit, EntrySet, Inverse, Kind, Timestamp};
use drylay_store::{DocumentKey, Op};
use std::collections::BTreeMap;

/// What one person did in a job, to take back and do again. It ends with the session.
#[derive(Debug, Default)]
pub(crate) struct Ways {
    undo: Vec<Step>,
    redo: Vec<Step>,
}

/// One thing that was done, with the way back in each document it touched.
#[derive(Debug)]
struct Step {
    words: String,
    inverses: Vec<(DocumentId, Inverse)>,
}

/// The problem of a step that would take back what somebody wrote since.
const OVERTAKEN: &str = "undo.overtaken";

/// The most steps kept.
const MOST_STEPS: usize = 500;

impl Ways {
    pub(crate) fn undo_words(&self) -> Option<String> {
        self.undo.last().map(|step| step.words.clone())
    }
    pub(crate) fn redo_words(&self) -> Option<String> {
        self.redo.last().map(|step| step.words.clone())
    }
}

/// Which way a step is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Way {
    /// Back.
    Undo,
    /// Forth again.
    Redo,
}

/// A change under way.
#[derive(Debug)]
pub(crate) struct Change<'d> {
    pub(crate) desk: &'d mut Desk,
    job: DocumentId,
    now: Timestamp,
    touched: BTreeMap<DocumentId, Kind>,
    made: Vec<DocumentId>,
    whole: Vec<DocumentId>,
    inverses: Vec<(DocumentId, Inverse)>,
}

/// What was changed: the documents that have something new.
pub(crate) type Changed = Vec<DocumentId>;

impl Change<'_> {
    /// Makes an empty document that belongs to the job, or the job itself.
    pub(crate) fn make(&mut self, kind: Kind, id: DocumentId) {
        let actor = Actor(self.desk.world.random_id());
        self.desk.adopt(Document::create(kind, id, actor));
        self.touched.insert(id, kind);
        self.made.push(id);
    }

    /// Takes in a document that is not on this device yet.
    pub(crate) fn take(&mut self, document: Document) {
        let (id, kind) = (document.id(), document.kind());
        self.desk.adopt(document);
        self.touched.insert(id, kind);
        self.made.push(id);
        self.whole.push(id);
    }

    /// Notes that a document has something new to be stored.
    pub(crate) fn touched(&mut self, id: DocumentId, kind: Kind) {
        self.touched.insert(id, kind);
    }

    /// Does edits of one document as one change of it; none at all do nothing.
    pub(crate) fn apply<E: EntrySet>(&mut self, id: DocumentId, edits: &[Edit<E>]) -> Result<(), Problem> {
        if edits.is_empty() {
            return Ok(());
        }
        let (me, now) = (self.desk.me.clone(), self.now);
        let document = self.touch(id, E::KIND)?;
        let applied = document.apply_all(edits, &me, now)?;
        self.keep(id, applied);
        Ok(())
    }

    fn take_back(&mut self, id: DocumentId, inverse: &Inverse) -> Result<(), Problem> {
        let (me, now) = (self.desk.me.clone(), self.now);
        let kind = if id == self.job { Kind::Job } else { Kind::Room };
        let applied = self.touch(id, kind)?.take_back(inverse, &me, now)?;
        self.keep(id, applied);
        Ok(())
    }

    fn touch(&mut self, id: DocumentId, kind: Kind) -> Result<&mut Document, Problem> {
        self.touched.insert(id, kind);
        let document = self.desk.document(id, kind)?;
        document.ok_or_else(|| crate::refusal::unknown("room.not_here", "room", &id.to_string()))
    }

    fn keep(&mut self, id: DocumentId, applied: Applied) {
        // What was made in this change is taken back with the entry that links it.
        if !self.made.contains(&id) && !applied.inverse.is_empty() {
            self.inverses.push((id, applied.inverse));
        }
    }

    /// Stores everything in one transaction.
    fn store(&mut self) -> Result<Changed, Problem> {
        let mut chunks = Vec::new();
        for (id, kind) in &self.touched {
            let document = self.desk.document(*id, *kind)?;
            // What was taken in whole counts as stored for the document itself, and is not.
            let chunk = match self.whole.contains(id) {
                true => document.map(Document::snapshot),
                false => document.and_then(Document::take_chunk),
            };
            let Some(chunk) = chunk else { continue };
            let heads = self.desk.document(*id, *kind)?.map(Document::heads).unwrap_or_default();
            chunks.push((*id, *kind, chunk, crate::crew::mark_of(&heads)));
        }
        if chunks.is_empty() {
            return Ok(Vec::new());
        }
        let summary = self.desk.summary(self.job, self.now)?;
        let mut ops = Vec::new();
        for (id, kind, chunk, mark) in &chunks {
            let document = DocumentKey(id.0);
            if self.made.contains(id) {
                let parent = (*id != self.job).then_some(DocumentKey(self.job.0));
                ops.push(Op::Describe { document, label: kind.word(), parent });
            }
            ops.push(Op::Append { document, chunk });
            ops.push(Op::Mark { document, mark });
        }
        ops.extend(summary.as_ref().map(Op::Summarise));
        let written = self.desk.store.write(&ops)?;
        summary.into_iter().for_each(|line| self.desk.keep_line(line));
        self.compact(&written.compaction_due);
        Ok(chunks.iter().map(|(id, ..)| *id).collect())
    }

    /// Puts snapshots in the place of long rows of chunks. It is no loss if that fails: the chunks are stored.
    fn compact(&mut self, due: &[DocumentKey]) {
        for document in due {
            let id = DocumentId(document.0);
            let kind = self.touched.get(&id).copied().unwrap_or(Kind::Room);
            let snapshot = self.desk.document(id, kind).ok().flatten().map(Document::snapshot);
            if let Some(snapshot) = snapshot {
                let _ = self.desk.store.write(&[Op::Compact { document: *document, snapshot: &snapshot }]);
            }
        }
    }
}

impl Desk {
    /// Changes a job. `words` is what undo will be called.
    pub(crate) fn change<T>(
        &mut self,
        job: DocumentId,
        words: String,
        work: impl FnOnce(&mut Change<'_>) -> Result<T, Problem>,
    ) -> Result<(T, Changed), Problem> {
        let (answer, changed, inverses) = self.transact(job, work)?;
        if !inverses.is_empty() {
            let ways = self.ways.entry(job).or_default();
            ways.redo.clear();
            ways.undo.push(Step { words, inverses });
            if ways.undo.len() > MOST_STEPS {
                ways.undo.remove(0);
            }
        }
        Ok((answer, changed))
    }

    /// Takes the last step back, or does the last one taken back again. A step that cannot be taken because
    /// somebody has written there since is dropped, so that the one before it can be.
    pub(crate) fn step(&mut self, job: DocumentId, way: Way) -> Result<Changed, Problem> {
        let ways = self.ways.entry(job).or_default();
        let step = match way {
            Way::Undo => ways.undo.pop(),
            Way::Redo => ways.redo.pop(),
        };
        let Some(step) = step else {
            return Err(Problem::new(if way == Way::Undo { "undo.nothing" } else { "redo.nothing" }, ""));
        };
        let done = self.transact(job, |change| {
            step.inverses.iter().rev().try_for_each(|(id, inverse)| change.take_back(*id, inverse))
        });
        let ways = self.ways.entry(job).or_default();
        let (own, other) = match way {
            Way::Undo => (&mut ways.undo, &mut ways.redo),
            Way::Redo => (&mut ways.redo, &mut ways.undo),
        };
        match done {
            Ok(((), changed, inverses)) => {
                other.push(Step { words: step.words, inverses });
                Ok(changed)
            }
            Err(problem) => {
                if problem.code != OVERTAKEN {
                    own.push(step);
                }
                Err(problem)
            }
        }
    }

    #[expect(clippy::type_complexity, reason = "used twice, right above")]
    fn transact<T>(
        &mut self,
        job: DocumentId,
        work: impl FnOnce(&mut Change<'_>) -> Result<T, Problem>,
    ) -> Result<(T, Changed, Vec<(DocumentId, Inverse)>), Problem> {
        let now = self.world.now();
        let (touched, made) = (BTreeMap::new(), Vec::new());
        let (whole, inverses) = (Vec::new(), Vec::new());
        let mut change = Change { desk: self, job, now, touched, made, whole, inverses };
        let outcome = work(&mut change).and_then(|answer| Ok((answer, change.store()?)));
        let (touched, inverses) = (change.touched, change.inverses);
        match outcome {
            Ok((answer, changed)) => Ok((answer, changed, inverses)),
            Err(problem) => {
                touched.keys().for_each(|id| self.forget(*id));
                Err(problem)
            }
        }
    }
}
