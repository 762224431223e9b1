//! A room's floor: looking at it, judging and correcting it as tasks, and laying a straightedge on it.

use super::floor_edit::edits;
use crate::Problem;
use crate::answers::floor_read::FloorRead;
use crate::answers::{KnownFloor, RoomFlatness, answer_for_floor};
use crate::floors::{FloorSheet, Mended, newest_round};
use crate::session::Session;
use crate::task::{self, GoOn};
use crate::views::floor as views;
use crate::wire::{FloorAsk, FloorEditAsk, FloorView, OfRoom, StraightedgeAsk, StraightedgeView, TaskView};
use drylay_survey::floor::straightedge;

pub(crate) fn view(session: &Session, ask: FloorAsk) -> Result<FloorView, Problem> {
    let mut desk = session.desk();
    let (job, seen) = desk.floor_room(&ask.job, &ask.room)?;
    let newest = newest_round(&seen.view);
    let round = ask.round.map_or(newest, i64::from).clamp(0, newest);
    let sheets: Result<Vec<FloorSheet>, Problem> =
        (0..=newest).map(|round| desk.floor_sheet(&job, &ask.room, round)).collect();
    drop(desk);
    let floors = session.floors();
    let of = |round: i64| (ask.job.clone(), ask.room.clone(), round);
    let rounds = (0..).zip(sheets?).map(|(round, sheet)| views::RoundRead {
        read: sheet.read(),
        judged: floors.judged(&of(round), &sheet),
        mended: floors.mended(&of(round), &sheet),
        sheet,
        round,
    });
    let rounds: Vec<views::RoundRead> = rounds.collect();
    drop(floors);
    Ok(views::floor(&job, &seen, &ask.room, &rounds, round))
}

pub(crate) fn edit(session: &Session, ask: FloorEditAsk) -> Result<FloorView, Problem> {
    let mut desk = session.desk();
    let (job, seen) = desk.floor_room(&ask.job, &ask.room)?;
    let (id, now) = (desk.new_id(), desk.world.now());
    let (edits, words) = edits(&job, &seen, &ask.edit, &id, now.utc_ms)?;
    let document = job.room(&ask.room, "room")?;
    drop(desk);
    session.change(job.id, words, |change| change.apply(document, &edits))?;
    view(session, FloorAsk { job: ask.job, room: ask.room, round: None })
}

/// What a task works out of one round of a floor.
struct Site {
    of: (String, String, i64),
    sheet: FloorSheet,
    read: FloorRead,
}

fn site(session: &Session, job: &str, room: &str, round: Option<i64>) -> Result<Vec<Site>, Problem> {
    let mut desk = session.desk();
    let (seen_job, seen) = desk.floor_room(job, room)?;
    let newest = newest_round(&seen.view);
    let rounds = round.map_or(0..=newest, |round| round.clamp(0, newest)..=round.clamp(0, newest));
    let mut sites = Vec::new();
    for round in rounds {
        let sheet = desk.floor_sheet(&seen_job, room, round)?;
        sites.push(Site { of: (job.to_owned(), room.to_owned(), round), read: sheet.read(), sheet });
    }
    Ok(sites)
}

/// Judges every round of a floor that is not judged yet.
pub(crate) fn judge(session: &Session, ask: OfRoom) -> Result<TaskView, Problem> {
    let mut sites = site(session, &ask.job, &ask.room, None)?;
    sites.retain(|s| session.judged(&s.of, &s.sheet).is_none());
    let ask = FloorAsk { job: ask.job, room: ask.room, round: None };
    Ok(start(session, ask, move |session, go_on| {
        let count = sites.len() as f64;
        for (k, Site { of, sheet, read }) in sites.iter().enumerate() {
            let judged = read.judge(&mut |part| go_on((k as f64 + part) / count));
            // What was ended early would never be looked at again.
            if !go_on((k + 1) as f64 / count) {
                return Ok(());
            }
            session.floors().keep_judged(of, sheet, judged);
        }
        Ok(())
    }))
}

/// What is to be said of a room's floor in its newest round; what is not known yet is worked out and kept. `None` where it
/// is ended, or where nothing was read.
pub(super) fn flatness_of(
    session: &Session,
    (job, room): (&str, &str),
    go_on: &mut dyn FnMut() -> bool,
) -> Result<Option<RoomFlatness>, Problem> {
    let newest = site(session, job, room, None)?.pop();
    let Some(Site { of, sheet, read }) = newest else { return Ok(None) };
    if sheet.sheet.rooms[0].level.is_none() {
        return Ok(None);
    }
    if session.judged(&of, &sheet).is_none() {
        let judged = read.judge(&mut |_| go_on());
        if !go_on() {
            return Ok(None);
        }
        session.floors().keep_judged(&of, &sheet, judged);
    }
    let known = session.floors().mended(&of, &sheet);
    if known.is_none() {
        // Why there is no correction is said by the answer.
        let _ = mend(session, &of, &sheet, &read, &mut |_| go_on());
    }
    let known =
        KnownFloor { judged: session.judged(&of, &sheet), mended: session.floors().mended(&of, &sheet) };
    let said = answer_for_floor((&sheet.sheet, &sheet.sheet.rooms[0], &read), known, go_on);
    Ok(go_on().then_some(said))
}

/// Up to so many readings a floor is judged while one waits: a tenth of a second.
const AT_ONCE: usize = 100;

/// The newest round of a floor: judged at once where it has few readings, else as far as it was judged.
pub(crate) fn newest(session: &Session, job: &str, room: &str) -> Result<FloorView, Problem> {
    for Site { of, sheet, read } in site(session, job, room, None)?.iter().rev().take(1) {
        if sheet.rods.len() <= AT_ONCE && session.judged(of, sheet).is_none() {
            session.floors().keep_judged(of, sheet, read.judge(&mut |_| true));
        }
    }
    view(session, FloorAsk { job: job.to_owned(), room: room.to_owned(), round: None })
}

/// Works out the correction of the round that is asked for, or of the newest.
pub(crate) fn correct(session: &Session, ask: FloorAsk) -> Result<TaskView, Problem> {
    let newest = site(session, &ask.job, &ask.room, ask.round.map(i64::from))?.pop();
    let Some(Site { of, sheet, read }) = newest else { return Err(Problem::internal("floor.correct")) };
    read.job()?.ok_or_else(|| Problem::new("floor.nothing_to_correct", "room"))?;
    Ok(start(session, ask, move |session, go_on| {
        if session.judged(&of, &sheet).is_none() {
            let judged = read.judge(&mut |part| go_on(0.2 * part));
            if !go_on(0.2) {
                return Ok(());
            }
            session.floors().keep_judged(&of, &sheet, judged);
        }
        mend(session, &of, &sheet, &read, &mut |part| go_on(0.2 + 0.8 * part))
    }))
}

/// Works out the correction of a floor as it was read, and keeps it.
pub(super) fn mend(
    session: &Session,
    of: &(String, String, i64),
    sheet: &FloorSheet,
    read: &FloorRead,
    go_on: GoOn<'_>,
) -> Result<(), Problem> {
    let mended = Mended::of(read, sheet.filling(), go_on)?;
    // What was ended early would never be looked at again.
    if let Some(mended) = mended.filter(|_| go_on(0.95)) {
        session.floors().keep_mended(of, sheet, mended);
    }
    Ok(())
}

/// Starts a task on a floor; when it ends the floor is told as it then stands.
fn start(
    session: &Session,
    ask: FloorAsk,
    work: impl FnOnce(&Session, GoOn<'_>) -> Result<(), Problem> + Send + 'static,
) -> TaskView {
    task::start(session, "floor", work, |session| view(session, ask))
}

/// Lays a straightedge.
pub(crate) fn lay_edge(session: &Session, ask: StraightedgeAsk) -> Result<StraightedgeView, Problem> {
    let units = session.desk().job(&ask.job)?.units;
    let round = match ask.round {
        Some(round) => i64::from(round),
        None => newest_round(&session.desk().floor_room(&ask.job, &ask.room)?.1.view),
    };
    let site = site(session, &ask.job, &ask.room, Some(round))?.pop();
    let Some(Site { read, .. }) = site else { return Err(Problem::internal("floor.straightedge")) };
    let (mesh, ground) = read.surface.as_ref().ok_or_else(|| Problem::new("floor.no_surface", "room"))?;
    let laid = straightedge::lay(mesh, &read.z, ground, ask.from.into(), ask.to.into());
    let laid = laid.ok_or_else(|| Problem::new("floor.off_the_floor", "from"))?;
    Ok(views::straightedge(&read, &laid, units))
}
