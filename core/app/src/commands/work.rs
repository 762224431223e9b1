//! The work: marking pieces in one tap, cutting, noting what is wrong, lots, deliveries and what broke.

use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::laying::{Lack, Laying};
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::work as views;
use crate::wire::{
    GapCut, PieceCard, WorkAsk, WorkBroken, WorkDelivery, WorkForget, WorkGap, WorkLot, WorkMark, WorkNoted,
    WorkPieceAsk, WorkView,
};
use crate::words::say;
use drylay_document::marks::Done;
use drylay_document::{
    self as document, CutMark, Decimal, Delivery, Edit, Entry, Expense, JobEntry, LotUse, PieceMark,
    PieceState, Pin, PinKind, ProblemKind,
};
use drylay_geometry::ItemId;
use drylay_plan::last_tile::{last_tile, wall_allowance};
use std::collections::BTreeSet;

/// The most packs or tiles of one entry.
const MOST: i64 = 100_000;

pub(crate) fn view(session: &Session, ask: WorkAsk) -> Result<WorkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let asked = ask.area.as_deref().map(ItemId::new);
    if let Some(area) = &asked
        && job.view.areas.get(area).is_none()
    {
        return Err(unknown("area.unknown", "area", area.as_str()));
    }
    views::view(session, &job, asked.as_ref())
}

/// The job and how its area is laid.
fn laying(session: &Session, job: &str, area: &str) -> Result<(SeenJob, Laying), Problem> {
    let seen = session.desk().job(job)?;
    let id = ItemId::new(area);
    if seen.view.areas.get(&id).is_none() {
        return Err(unknown("area.unknown", "area", area));
    }
    let laying = session.laying(&seen, &id).map_err(lack_problem)?;
    Ok((seen, laying))
}

fn lack_problem(lack: Lack) -> Problem {
    match lack {
        Lack::NotGivenOut => Problem::new("work.not_given_out", "area"),
        Lack::Away => Problem::new("work.away", "area"),
    }
}

fn shown(session: &Session, job: String, area: String) -> Result<WorkView, Problem> {
    view(session, WorkAsk { job, area: Some(area) })
}

pub(crate) fn mark(session: &Session, ask: WorkMark) -> Result<WorkView, Problem> {
    let state = PieceState::from_word(&ask.state)
        .ok_or_else(|| unknown("work.unknown_state", "state", &ask.state))?;
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    laying.expect(&ask.plan)?;
    let reached = reached(&laying, &ask)?;
    let wanted: Vec<String> = reached.into_iter().filter(|id| changes(&laying, id, state)).collect();
    if wanted.is_empty() {
        // Somebody else was sooner, or a thumb came down twice: nothing is left to say.
        return shown(session, ask.job, ask.area);
    }
    let before = wanted.iter().filter_map(|id| laying.standing.get(id)).flat_map(|one| one.marks.clone());
    let after: BTreeSet<ItemId> = before.collect();
    let words = mark_words(&wanted, state);
    let mark = PieceMark {
        plan: laying.hash(),
        area: laying.area.clone(),
        pieces: wanted,
        state,
        after: after.into_iter().collect(),
    };
    add(session, &job, words, mark)?;
    shown(session, ask.job, ask.area)
}

/// The pieces that a tap reaches, in the order of the rows.
fn reached(laying: &Laying, ask: &WorkMark) -> Result<Vec<String>, Problem> {
    let named: Vec<_> = ask.pieces.iter().map(|id| laying.piece(id)).collect::<Result<_, _>>()?;
    let Some(last) = named.iter().max_by_key(|piece| (piece.row, piece.place)) else {
        return Err(unknown("plan.unknown_piece", "pieces", ""));
    };
    let rows: BTreeSet<usize> = named.iter().map(|piece| piece.row).collect();
    let ids: BTreeSet<&str> = named.iter().map(|piece| piece.id.as_str()).collect();
    let all = laying.plan.in_order().into_iter();
    let within: Vec<String> = match ask.reach.as_str() {
        "piece" => all.filter(|p| ids.contains(p.id.as_str())).map(|p| p.id.clone()).collect(),
        "row" => all.filter(|p| rows.contains(&p.row)).map(|p| p.id.clone()).collect(),
        "up_to" => all.filter(|p| (p.row, p.place) <= (last.row, last.place)).map(|p| p.id.clone()).collect(),
        other => return Err(unknown("work.unknown_reach", "reach", other)),
    };
    Ok(within)
}

/// Whether a mark would say anything new of a piece. What lies is neither cut nor spoilt before it is taken up.
fn changes(laying: &Laying, id: &str, state: PieceState) -> bool {
    let done = laying.done(id);
    let whole = laying.plan.piece(id).is_none_or(|piece| piece.cutting.is_none());
    match state {
        PieceState::Cut => done == Done::Open && !whole,
        PieceState::Laid => done != Done::Laid,
        PieceState::TakenUp => done == Done::Laid,
        PieceState::Spoilt => true,
    }
}

/// What a mark did, in words.
pub(super) fn mark_words(pieces: &[String], state: PieceState) -> String {
    let one = pieces.first().map_or("", String::as_str);
    let count = pieces.len().to_string();
    match (state, pieces.len()) {
        (PieceState::Cut, 1) => say("what.cut_one", &[("piece", one)]),
        (PieceState::Cut, _) => say("what.cut", &[("count", &count)]),
        (PieceState::Laid, 1) => say("what.laid_one", &[("piece", one)]),
        (PieceState::Laid, _) => say("what.laid", &[("count", &count)]),
        (PieceState::TakenUp, 1) => say("what.taken_up_one", &[("piece", one)]),
        (PieceState::TakenUp, _) => say("what.taken_up", &[("count", &count)]),
        (PieceState::Spoilt, _) => say("what.spoilt", &[("piece", one)]),
    }
}

fn add(session: &Session, job: &SeenJob, words: String, entry: impl Into<JobEntry>) -> Result<(), Problem> {
    let edit = Edit::<JobEntry>::add(session.desk().new_id(), entry);
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))
}

pub(crate) fn piece(session: &Session, ask: WorkPieceAsk) -> Result<PieceCard, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    Ok(views::card(&laying, laying.piece(&ask.piece)?, job.units))
}

/// Stores a measured gap and says what the piece is cut to.
pub(crate) fn gap(session: &Session, ask: WorkGap) -> Result<GapCut, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    laying.expect(&ask.plan)?;
    let piece = laying.piece(&ask.piece)?;
    if piece.cut != "length" {
        return Err(Problem::new("work.no_gap", "piece").with("piece", &piece.id));
    }
    let gap = job.units.read_positive(&ask.gap, "gap")?;
    let gap_other = match ask.gap_other.trim() {
        "" => None,
        text => Some(job.units.read_positive(text, "gap_other")?),
    };
    let mark = CutMark { plan: laying.hash(), piece: piece.id.clone(), gap, gap_other };
    let cut = cut_of(&laying, &mark).ok_or_else(|| {
        Problem::new("last.nothing_left", "gap")
            .with("joint", job.units.planned(laying.plan.product.joint).text)
            .with("wall", job.units.planned(allowance(&laying)).text)
    })?;
    let answer = views::gap_cut(&laying, &cut, job.units);
    add(session, &job, say("what.gap", &[("piece", &piece.id)]), mark)?;
    Ok(answer)
}

fn allowance(laying: &Laying) -> drylay_geometry::Length {
    wall_allowance(laying.plan.product.edge_gap, laying.plan.cutting.clearance)
}

/// What a measured gap is cut to; `None` where nothing is left.
pub(crate) fn cut_of(laying: &Laying, mark: &CutMark) -> Option<drylay_plan::last_tile::LastTile> {
    let low = mark.gap.length();
    let high = mark.gap_other.as_ref().map_or(low, document::TypedLength::length);
    last_tile(&laying.plan.product, allowance(laying), (low, high), laying.plan.grid())
}

pub(crate) fn note(session: &Session, ask: WorkNoted) -> Result<WorkView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    let what =
        ProblemKind::from_word(&ask.what).ok_or_else(|| unknown("work.unknown_note", "what", &ask.what))?;
    let item = match ask.piece.trim() {
        "" => laying.area.clone(),
        id => ItemId::new(format!("{}/{}", ask.area, laying.piece(id)?.id)),
    };
    let measure = match ask.measure.trim() {
        "" => None,
        text => Some(job.units.read_positive(text, "measure")?),
    };
    let words = said(&ask.words);
    if what == ProblemKind::Other && words.is_none() {
        return Err(Problem::new("note.empty", "words"));
    }
    let pin = Some(Pin { what: PinKind::Piece, room: None, item: Some(item), at: None });
    let fresh = document::Problem { what, pin, measure, words, settled: ask.settled.then_some(true) };
    let name = say(&format!("noted.{}", what.word()), &[]);
    let edit: Edit<JobEntry> = match &ask.id {
        None => Edit::add(session.desk().new_id(), fresh),
        Some(id) => {
            let held = job.view.problems.get(&ItemId::new(id));
            let before = held.ok_or_else(|| unknown("entry.unknown", "id", id))?.value.clone();
            Edit::change(ItemId::new(id), before, fresh)
        }
    };
    let words = say("what.noted", &[("what", &name)]);
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
    shown(session, ask.job, ask.area)
}

pub(crate) fn lot(session: &Session, ask: WorkLot) -> Result<WorkView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    let lot = said(&ask.lot).ok_or_else(|| Problem::new("work.no_lot", "lot"))?;
    let rows = u32::try_from(laying.plan.plan.rows.len()).unwrap_or(u32::MAX);
    if ask.first_row < 1 || ask.first_row > ask.last_row || ask.last_row > rows {
        return Err(Problem::new("work.no_rows", "first_row").with("rows", rows));
    }
    let (first_row, last_row) = (i64::from(ask.first_row), i64::from(ask.last_row));
    let words = say("what.lot", &[("lot", &lot)]);
    add(session, &job, words, LotUse { area: laying.area, lot, first_row, last_row })?;
    shown(session, ask.job, ask.area)
}

/// A whole number of packs or tiles.
fn whole(text: &str, place: &str) -> Result<i64, Problem> {
    let number = text.trim().parse().ok().filter(|n| (1..=MOST).contains(n));
    number.ok_or_else(|| Problem::new("work.no_number", place).with("found", text).with("most", MOST))
}

fn product_of(job: &SeenJob, area: &ItemId) -> Result<ItemId, Problem> {
    let held = job.view.areas.get(area);
    held.map(|held| held.value.product.clone()).ok_or_else(|| unknown("area.unknown", "area", area.as_str()))
}

pub(crate) fn deliver(session: &Session, ask: WorkDelivery) -> Result<WorkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let product = product_of(&job, &ItemId::new(&ask.area))?;
    let packs = whole(&ask.packs, "packs")?;
    let arrived_ms = Some(session.desk().world.now().utc_ms);
    let delivery = Delivery { product, packs, lot: said(&ask.lot), arrived_ms, stored: None };
    add(session, &job, say("what.delivery", &[("packs", &packs.to_string())]), delivery)?;
    shown(session, ask.job, ask.area)
}

pub(crate) fn broken(session: &Session, ask: WorkBroken) -> Result<WorkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let product = product_of(&job, &ItemId::new(&ask.area))?;
    let tiles = whole(&ask.tiles, "tiles")?.to_string();
    let expense =
        Expense { product, used: None, broken: Decimal::parse(&tiles), left: None, words: said(&ask.words) };
    add(session, &job, say("what.broken", &[("tiles", &tiles)]), expense)?;
    shown(session, ask.job, ask.area)
}

/// Takes back a lot, a delivery, broken tiles or a note: what it was stays in the history.
pub(crate) fn forget(session: &Session, ask: WorkForget) -> Result<WorkView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let view = &job.view;
    let tables = [
        view.lots.get(&id).map(|_| LotUse::TABLE),
        view.deliveries.get(&id).map(|_| Delivery::TABLE),
        view.expenses.get(&id).map(|_| Expense::TABLE),
        view.problems.get(&id).map(|_| document::Problem::TABLE),
    ];
    let table = tables.into_iter().flatten().next();
    let table = table.ok_or_else(|| unknown("entry.unknown", "id", &ask.id))?;
    let edit = Edit::<JobEntry>::Withdraw { table, id };
    session.change(job.id, say("what.work_forgotten", &[]), |change| change.apply(job.id, &[edit]))?;
    shown(session, ask.job, ask.area)
}
