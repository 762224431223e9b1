//! What to buy for all areas of a job.
//!
//! Looking never plans: what is known is counted at once, the rest is named and counted by a task.

use super::floor::mend;
use super::quote;
use crate::Problem;
use crate::answers::{PlannedArea, RoomWork, Site, TakeoffAnswer, count as counted};
use crate::desk::{Desk, SeenJob};
use crate::floors::{FloorSheet, newest_round};
use crate::laying::area_name;
use crate::planned::{FIRST_ANSWER, work_out};
use crate::session::Session;
use crate::task::{self, GoOn};
use crate::views::{self, Rate, buy as show};
use crate::wire::{BuyView, OfJob, TaskView};
use crate::words::say;
use drylay_document::exchange::Layouts;
use drylay_document::sheet::{Extra, Rates, Sheet, Variant};
use std::sync::{Arc, OnceLock};

/// What is known of what a job takes.
pub(crate) struct Reckoned {
    pub(crate) job: SeenJob,
    /// The job as a sheet, with the rates that hold for it.
    pub(crate) sheet: Sheet,
    pub(crate) areas: Vec<Arc<PlannedArea>>,
    pub(crate) works: Vec<RoomWork>,
    /// Whether every plan was accepted.
    pub(crate) accepted: bool,
    pub(crate) rates: (Rate, Rate),
    /// Areas, and rooms' floors, that have to be worked out first.
    pub(crate) waiting: Vec<Waiting>,
    pub(crate) problems: Vec<Problem>,
    /// What it takes, once that was asked.
    takeoff: OnceLock<TakeoffAnswer>,
}

/// What has to be worked out before it can be counted.
#[derive(Clone, Debug)]
pub(crate) enum Waiting {
    /// The plan of an area.
    Area { id: String, name: String },
    /// The correction of a room's floor.
    Floor { room: String, name: String },
    /// The plan of an area in the product of a variant.
    Variant { variant: Variant, area: String },
}

impl Waiting {
    /// What is waiting, in words.
    pub(crate) fn words(&self) -> String {
        match self {
            Self::Area { name, .. } => say("buy.waiting.area", &[("name", name)]),
            Self::Floor { name, .. } => say("buy.waiting.floor", &[("name", name)]),
            Self::Variant { variant, .. } => say("buy.waiting.area", &[("name", &variant.name)]),
        }
    }
}

impl Reckoned {
    /// What the job takes, as far as it is known.
    pub(crate) fn takeoff(&self) -> &TakeoffAnswer {
        let site = || Site { sheet: &self.sheet, areas: &self.areas, works: &self.works };
        self.takeoff.get_or_init(|| counted(&site()))
    }
}

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<BuyView, Problem> {
    let known = reckon(session, &ask.job)?;
    let takeoff = known.takeoff();
    let mut view = show::view(&known, takeoff);
    let (breakage, attic) = &known.rates;
    if !view.lines.is_empty() && *breakage == Rate::None && *attic == Rate::None {
        view.problems.push(Problem::new("buy.no_rates", ""));
    }
    Ok(view)
}

/// Gathers what is known without searching or correcting anything.
pub(crate) fn reckon(session: &Session, id: &str) -> Result<Reckoned, Problem> {
    let mut desk = session.desk();
    let job = desk.job(id)?;
    let rates = views::rates(&mut desk, &job)?;
    let mut sheet = desk.sheet(&job, Layouts::Accepted).sheet;
    drop(desk);
    let share = |rate: &Rate| Some(rate.share());
    sheet.rates = Some(Rates { breakage: share(&rates.0), attic: share(&rates.1), extra: Extra::new() });
    let mut known = Reckoned {
        job,
        sheet,
        areas: Vec::new(),
        works: Vec::new(),
        accepted: true,
        rates,
        waiting: Vec::new(),
        problems: Vec::new(),
        takeoff: OnceLock::new(),
    };
    let areas = known.job.view.areas.live.clone();
    for area in &areas {
        match session.planned_at_once(id, area.id.as_str()) {
            Ok(Some((planned, sheet))) => {
                known.accepted &= sheet.accepted;
                known.areas.push(planned);
            }
            Ok(None) => {
                let (id, name) = (area.id.to_string(), area_name(&known.job, area));
                known.waiting.push(Waiting::Area { id, name });
            }
            Err(problem) => known.problems.push(problem),
        }
    }
    for (of, sheet) in floors(session, id, &known)? {
        match session.floors().mended(&of, &sheet) {
            Some(mended) => known.works.extend(mended.work.clone().map(|(work, filling)| RoomWork {
                room: of.1.clone(),
                work,
                filling,
            })),
            None => {
                let (room, name) = (of.1, sheet.sheet.rooms[0].title().to_owned());
                known.waiting.push(Waiting::Floor { room, name });
            }
        }
    }
    Ok(known)
}

/// A floor in its newest round, by job, room and round.
type Floor = ((String, String, i64), FloorSheet);

/// The floors that were read in rooms of areas, where the job has compounds to fill them with.
fn floors(session: &Session, id: &str, known: &Reckoned) -> Result<Vec<Floor>, Problem> {
    let sheet = &known.sheet;
    let covered = |room: &drylay_geometry::RoomId| sheet.areas.iter().any(|area| area.rooms.contains(room));
    let mut found = Vec::new();
    if sheet.compounds.is_empty() {
        return Ok(found);
    }
    let mut desk = session.desk();
    for room in sheet.rooms.iter().filter(|room| covered(&room.id)) {
        let floor = floor_of(&mut desk, &known.job, id, room.id.as_str())?;
        let corrected = floor.1.read().job().ok().flatten().is_some();
        found.extend(corrected.then_some(floor));
    }
    Ok(found)
}

fn floor_of(desk: &mut Desk, job: &SeenJob, id: &str, room: &str) -> Result<Floor, Problem> {
    let (_, seen) = desk.floor_room(id, room)?;
    let round = newest_round(&seen.view);
    let sheet = desk.floor_sheet(job, room, round)?;
    Ok(((id.to_owned(), room.to_owned(), round), sheet))
}

/// Works out what is waiting, and counts all of it.
pub(crate) fn count(session: &Session, ask: OfJob) -> Result<TaskView, Problem> {
    let waiting = reckon(session, &ask.job)?.waiting;
    let work = working_out(ask.job.clone(), waiting);
    Ok(task::start(session, "buy.count", work, |session| view(session, ask)))
}

/// The same with the plans that variants of the quote need besides; it is finished with the quote.
pub(crate) fn count_for_quote(session: &Session, ask: OfJob) -> Result<TaskView, Problem> {
    let known = reckon(session, &ask.job)?;
    let mut waiting = known.waiting;
    let others = quote::unplanned(session, &ask.job, &known.sheet);
    waiting.extend(others.into_iter().map(|(variant, area)| Waiting::Variant { variant, area }));
    let work = working_out(ask.job.clone(), waiting);
    Ok(task::start(session, "quote.count", work, |session| quote::view(session, ask)))
}

/// Works out one thing after the other.
pub(super) fn working_out(
    id: String,
    waiting: Vec<Waiting>,
) -> impl FnOnce(&Session, GoOn<'_>) -> Result<(), Problem> + Send {
    move |session: &Session, go_on: GoOn<'_>| {
        let count = waiting.len() as f64;
        for (k, one) in waiting.iter().enumerate() {
            let mut part = |part: f64| go_on((k as f64 + part.clamp(0.0, 1.0)) / count);
            settle(session, &id, one, &mut part)?;
            if !go_on((k + 1) as f64 / count) {
                return Ok(());
            }
        }
        Ok(())
    }
}

fn settle(session: &Session, job: &str, one: &Waiting, go_on: GoOn<'_>) -> Result<(), Problem> {
    match one {
        Waiting::Area { id, .. } => {
            let sheet = session.desk().area_sheet(job, id, Layouts::Accepted)?;
            let mut ended = false;
            let planned = work_out(&sheet.sheet, &mut |now| {
                ended = !go_on(now.part);
                !ended && now.effort < FIRST_ANSWER
            })?;
            if !ended {
                session.plans().keep(&(job.to_owned(), id.clone()), &sheet.key, Arc::new(planned));
            }
            Ok(())
        }
        Waiting::Variant { variant, area } => {
            let whole = reckon(session, job)?.sheet;
            let sheet = quote::variant_sheet(&whole, variant, area);
            let planned = work_out(&sheet, &mut |now| now.effort < FIRST_ANSWER && go_on(now.part))?;
            let key = quote::variant_key(job, variant, area);
            session.plans().keep(&key, &sheet.write(), Arc::new(planned));
            Ok(())
        }
        Waiting::Floor { room, .. } => {
            let mut desk = session.desk();
            let seen = desk.job(job)?;
            let (of, sheet) = floor_of(&mut desk, &seen, job, room)?;
            drop(desk);
            let read = sheet.read();
            mend(session, &of, &sheet, &read, go_on)
        }
    }
}
