//! Taking back one's own edits of a job, and doing them again.

use crate::Problem;
use crate::change::Way;
use crate::session::Session;
use crate::views;
use crate::wire::{JobView, OfJob};

pub(crate) fn undo(session: &Session, ask: OfJob) -> Result<JobView, Problem> {
    step(session, &ask, Way::Undo)
}

pub(crate) fn redo(session: &Session, ask: OfJob) -> Result<JobView, Problem> {
    step(session, &ask, Way::Redo)
}

fn step(session: &Session, ask: &OfJob, way: Way) -> Result<JobView, Problem> {
    let job = session.desk().job(&ask.job)?.id;
    session.step(job, way)?;
    views::job(&mut session.desk(), &ask.job)
}
