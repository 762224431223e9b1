//! Plans: the one that stands, a better one by searching, one that a person fixed, and the pieces of it.

use crate::Problem;
use crate::answers::PlannedArea;
use crate::planned::{AreaSheet, FIRST_ANSWER, FULL_SEARCH, work_out};
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::plan as views;
use crate::wire::{
    Done, Event, OfArea, OfTask, PieceAsk, PieceCard, PlanAccept, PlanAsk, PlanCompare, PlanComparison,
    PlanFix, PlanView, TaskView, Units,
};
use crate::words::say;
use drylay_document::exchange::Layouts;
use drylay_document::sheet::{Along, BestOr, Fraction, Layout, Measure, Order, Written};
use drylay_document::{Choice, Decimal, Edit, JobEntry, TypedLength};
use drylay_geometry::{CornerId, ItemId, Length};
use drylay_plan::{FrameField, Plan};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

pub(crate) fn view(session: &Session, ask: PlanAsk) -> Result<PlanView, Problem> {
    let (planned, sheet) = session.planned(&ask.job, &ask.area)?;
    if sheet.accepted {
        let mut desk = session.desk();
        let job = desk.job(&ask.job)?.id;
        desk.note_count(job, &sheet, &planned)?;
    }
    shown(session, &ask.job, &planned, sheet.accepted, ask.have.as_deref())
}

/// The plan for the screens: whole, or what changed since the version they have.
fn shown(
    session: &Session,
    job: &str,
    planned: &PlannedArea,
    accepted: bool,
    have: Option<&str>,
) -> Result<PlanView, Problem> {
    let units = units(session, job)?;
    let mut view = views::view(planned, units, accepted);
    let of = (job.to_owned(), planned.id.clone());
    let rest = format!("{:?}", (&view.breaches, &view.rules, &view.movement, &view.laying));
    let (version, delta) = session.plans().state(&of, &view.pieces, &rest, have);
    view.same = have == Some(version.as_str());
    view.version = version;
    if let Some(delta) = delta {
        view.pieces = delta.pieces;
        view.removed = delta.removed;
    }
    Ok(view)
}

fn units(session: &Session, job: &str) -> Result<Units, Problem> {
    Ok(session.desk().job(job)?.units)
}

pub(crate) fn search(session: &Session, ask: OfArea) -> Result<TaskView, Problem> {
    let sheet = session.desk().area_sheet(&ask.job, &ask.area, Layouts::Wished)?;
    let units = units(session, &ask.job)?;
    let task = session.desk().new_id().to_string();
    let cancelled = session.begin(&task);
    let (own, name) = (session.clone(), task.clone());
    std::thread::spawn(move || {
        // A fault in the search must not leave the screens waiting for ever.
        let found = catch_unwind(AssertUnwindSafe(|| look(&own, &name, units, &sheet, &cancelled)));
        own.end(&name);
        let answer = match found {
            Err(_) => Err(Problem::internal("plan.search")),
            Ok(_) if cancelled.load(Ordering::Relaxed) => Err(Problem::new("task.cancelled", "")),
            Ok(planned) => planned.and_then(|planned| found_event(&own, &ask, &sheet, Arc::new(planned))),
        };
        own.tell(&match answer {
            Ok(answer) => Event::Finished { task: name, answer },
            Err(problem) => Event::Failed { task: name, problem },
        });
    });
    Ok(TaskView { task })
}

/// Searches with the full effort, telling how far it is and of every better choice, until it is done or cancelled.
fn look(
    session: &Session,
    task: &str,
    units: Units,
    sheet: &AreaSheet,
    cancelled: &AtomicBool,
) -> Result<PlannedArea, Problem> {
    let mut told = (0.0, 0);
    work_out(&sheet.sheet, &mut |now| {
        if now.part - told.0 >= 0.01 || now.better != told.1 {
            told = (now.part, now.better);
            let best = now.best.map(|best| views::best_so_far(best, &now.bound, units));
            let note = best.as_ref().map(|best| best.words.clone()).unwrap_or_default();
            session.tell(&Event::Progress { task: task.to_owned(), fraction: now.part, note, best });
        }
        now.effort < FULL_SEARCH && !cancelled.load(Ordering::Relaxed)
    })
}

/// Remembers what a search found, where nothing was accepted in its place, and writes it for the screens.
fn found_event(
    session: &Session,
    ask: &OfArea,
    sheet: &AreaSheet,
    planned: Arc<PlannedArea>,
) -> Result<serde_json::Value, Problem> {
    let of = (ask.job.clone(), ask.area.clone());
    session.plans().keep(&of, &sheet.key, planned.clone());
    let view = shown(session, &ask.job, &planned, false, None)?;
    serde_json::to_value(view).map_err(|error| Problem::internal(&error.to_string()))
}

pub(crate) fn cancel(session: &Session, ask: OfTask) -> Result<Done, Problem> {
    session.cancel(&ask.task);
    Ok(Done {})
}

pub(crate) fn accept(session: &Session, ask: PlanAccept) -> Result<PlanView, Problem> {
    let token = views::parse_token(&ask.choice)
        .ok_or_else(|| unknown("plan.unknown_choice", "choice", &ask.choice))?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let sheet = desk.area_sheet(&ask.job, &ask.area, Layouts::Wished)?;
    let id = desk.new_id();
    drop(desk);
    let area = &sheet.sheet.areas[0];
    let corner = |room: usize, name: &str| sheet.corners.get(room).and_then(|names| names.get(name)).cloned();
    let wall = token
        .wall
        .as_ref()
        .and_then(|(room, from, to)| Some((*room, vec![corner(*room, from)?, corner(*room, to)?])));
    let typed = |length: Length| job.units.made(length);
    let choice = Choice {
        area: ItemId::new(&ask.area),
        degrees: Decimal::from_f64(token.degrees)
            .ok_or_else(|| Problem::new("plan.unknown_choice", "choice"))?,
        wall_room: wall
            .as_ref()
            .and_then(|(room, _)| area.rooms.get(*room))
            .map(|room| ItemId::new(room.as_str())),
        wall: wall.map(|(_, corners)| corners).unwrap_or_default(),
        offset: token.offset.clone(),
        order: match token.order {
            drylay_plan::Order::Stepped => drylay_document::Order::Stepped,
            drylay_plan::Order::Alternating => drylay_document::Order::Alternating,
        },
        first_row: typed(token.first_row),
        shift: typed(token.shift),
        from_row: None,
    };
    let name = job.view.areas.get(&choice.area).and_then(|held| held.value.name.clone()).unwrap_or_default();
    session.change(job.id, say("what.accepted", &[("name", &name)]), |change| {
        // What stands is looked up under the same lock as it is replaced.
        let standing = change.desk.job(&ask.job)?.view;
        let supersedes: Vec<ItemId> =
            standing.choices_for(&choice.area).iter().map(|held| held.id.clone()).collect();
        let edit: Edit<JobEntry> = match supersedes.is_empty() {
            true => Edit::Add { id, entry: choice.into() },
            false => Edit::Correct { id, entry: choice.into(), supersedes },
        };
        change.apply(job.id, &[edit])
    })?;
    view(session, PlanAsk { job: ask.job, area: ask.area, have: None })
}

pub(crate) fn fix(session: &Session, ask: PlanFix) -> Result<PlanView, Problem> {
    let mut sheet = session.desk().area_sheet(&ask.job, &ask.area, Layouts::Wished)?;
    let units = units(session, &ask.job)?;
    let area = &mut sheet.sheet.areas[0];
    let wished = area.layout.clone();
    let length = |text: &Option<String>, place: &str| -> Result<Option<BestOr<Measure>>, Problem> {
        let Some(text) = text else { return Ok(None) };
        Ok(Some(BestOr::Fixed(measure(&units.read_positive(text, place)?))))
    };
    let offset = match &ask.offset {
        Some(text) => Some(BestOr::Fixed(
            Fraction::parse(text)
                .ok_or_else(|| Problem::new("sheet.fraction", "offset").with("found", text))?,
        )),
        None => None,
    };
    area.layout = Layout {
        along: ask.along.map_or(wished.along, |(from, to)| {
            BestOr::Fixed(Along::Wall([CornerId::new(from), CornerId::new(to)]))
        }),
        offset: offset.unwrap_or(wished.offset),
        order: match ask.order.as_deref() {
            Some("alternating") => Order::Alternating,
            Some("stepped") => Order::Stepped,
            None => wished.order,
            Some(other) => return Err(unknown("plan.unknown_order", "order", other)),
        },
        first_row: length(&ask.first_row, "first_row")?.unwrap_or(wished.first_row),
        shift: length(&ask.shift, "shift")?.unwrap_or(wished.shift),
        ..wished
    };
    // What a person fixed is checked as a sheet is, so that an impossible figure is told with its limit.
    let read = crate::read_sheet(&sheet.sheet.write()).map_err(|mut found| found.swap_remove(0))?;
    let planned = work_out(&read.sheet, &mut |now| now.effort < FIRST_ANSWER)?;
    shown(session, &ask.job, &planned, false, None)
}

/// Two choices of an area side by side.
pub(crate) fn compare(session: &Session, ask: PlanCompare) -> Result<PlanComparison, Problem> {
    let (area, _) = session.planned(&ask.job, &ask.area)?;
    let units = units(session, &ask.job)?;
    let plan = |text: &str| {
        let unknown = || unknown("plan.unknown_choice", "choice", text);
        let token = views::parse_token(text).ok_or_else(unknown)?;
        let choice = views::choice_of(&token, &area).ok_or_else(unknown)?;
        let frame = FrameField::new(&area.field.region, choice.along.direction);
        Plan::new(&area.product, &choice, &frame).map_err(|_| unknown())
    };
    Ok(views::comparison(&area, &plan(&ask.one)?, &plan(&ask.other)?, units))
}

/// A typed length as a sheet writes it: in the words it was typed in, where they say the unit.
pub(super) fn measure(typed: &TypedLength) -> Measure {
    match Length::parse(typed.text()) {
        Ok(length) if length == typed.length() => {
            Measure { written: Written::Text(typed.text().to_owned()), length }
        }
        _ => Measure::from_length(typed.length()),
    }
}

pub(crate) fn piece(session: &Session, ask: PieceAsk) -> Result<PieceCard, Problem> {
    let (planned, _) = session.planned(&ask.job, &ask.area)?;
    let units = units(session, &ask.job)?;
    views::card(&planned, units, &ask.piece).ok_or_else(|| unknown("plan.unknown_piece", "piece", &ask.piece))
}
