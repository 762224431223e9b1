//! The work on a floor for the screens: what is next, rows, the cuts as one stands at the saw, notes, stock, the day.

use super::job;
use crate::Problem;
use crate::commands::work::cut_of;
use crate::desk::SeenJob;
use crate::given_out::{PlanCutting, PlanPiece};
use crate::laying::{Lack, Laying, area_name};
use crate::session::Session;
use crate::show::{stamp, typed};
use crate::wire::{
    CutGroup, CutLine, DayOf, GapCut, LotView, MarkView, NotedView, PieceCard, PieceSize, Rings, StockEntry,
    StockView, Typed, Units, WorkArea, WorkAreaCard, WorkPiece, WorkRow, WorkView,
};
use crate::words::say;
use drylay_document::marks::Done;
use drylay_document::{self as document, Held, PieceState, PinKind, ProblemKind, Timestamp};
use drylay_geometry::{ItemId, Length, Notation};
use drylay_plan::last_tile::LastTile;
use drylay_plan::work::stock::{Reach, Stock, Tiles};
use std::collections::BTreeMap;

/// The joint from which on more lippage is allowed: 1/4 in (ANSI A108.02 4.3.7).
const WIDE_JOINT: Length = Length::from_sixty_fourths(16);

fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn length(mm: f64) -> Length {
    Length::from_mm_f64(mm).unwrap_or(Length::ZERO)
}

fn planned(units: Units, mm: f64) -> Typed {
    units.planned(length(mm))
}

/// The work of a job with the area that was asked for, else the first that can be laid.
pub(crate) fn view(session: &Session, job: &SeenJob, asked: Option<&ItemId>) -> Result<WorkView, Problem> {
    let mut held: Vec<_> = job.view.areas.live.iter().collect();
    held.sort_by_key(|area| (area.value.place.clone(), area.id.clone()));
    let all: Vec<(&Held<document::Area>, Result<Laying, Lack>)> =
        held.into_iter().map(|area| (area, session.laying(job, &area.id))).collect();
    let areas = all.iter().map(|(area, laying)| card_of(job, area, laying.as_ref())).collect();
    let chosen = match asked {
        Some(id) => all.iter().find(|(area, _)| area.id == *id),
        None => all.iter().find(|(_, laying)| laying.is_ok()).or_else(|| all.first()),
    };
    let none = |code: &str| say(code, &[]);
    let (area, none_words) = match chosen {
        None => (None, none("work.no_area")),
        Some((_, Err(Lack::NotGivenOut))) => (None, none("work.not_given_out")),
        Some((_, Err(Lack::Away))) => (None, none("work.away")),
        Some((held, Ok(laying))) => {
            let now = session.desk().world.now();
            let same: Vec<&Laying> = all
                .iter()
                .filter(|(other, _)| other.value.product == held.value.product)
                .filter_map(|(_, laying)| laying.as_ref().ok())
                .collect();
            let unplanned = all
                .iter()
                .filter(|(other, laying)| other.value.product == held.value.product && laying.is_err())
                .count();
            let stock = stock(session, job, (&held.value.product, &same, unplanned))?;
            (Some(area(job, laying, stock, now)), String::new())
        }
    };
    Ok(WorkView { units: job.units, areas, area, none_words })
}

fn card_of(job: &SeenJob, area: &Held<document::Area>, laying: Result<&Laying, &Lack>) -> WorkAreaCard {
    let words = match laying {
        Ok(laying) => progress(laying),
        Err(Lack::NotGivenOut) => say("work.card_not_given_out", &[]),
        Err(Lack::Away) => say("work.card_away", &[]),
    };
    WorkAreaCard { id: area.id.to_string(), name: area_name(job, area), words }
}

fn laid(laying: &Laying) -> usize {
    laying.plan.plan.pieces.iter().filter(|piece| laying.done(&piece.id) == Done::Laid).count()
}

fn progress(laying: &Laying) -> String {
    let all = laying.plan.plan.pieces.len();
    let code = if laid(laying) == all { "work.all_laid" } else { "work.progress" };
    say(code, &[("laid", &laid(laying).to_string()), ("all", &all.to_string())])
}

fn area(job: &SeenJob, laying: &Laying, stock: StockView, now: Timestamp) -> WorkArea {
    let plan = &laying.plan.plan;
    let order = laying.plan.in_order();
    let notes = notes(job, laying);
    let noted = |id: &str| notes.iter().any(|note| !note.settled && note.piece.as_deref() == Some(id));
    let frozen = &laying.record.held;
    let number = frozen.value.number.to_string();
    let (cut_ahead, measure_first) = (queue(job, laying, true), queue(job, laying, false));
    WorkArea {
        id: laying.area.to_string(),
        plan: laying.hash().to_string(),
        plan_words: say("work.plan", &[("number", &number)]),
        stamp: stamp(&frozen.added),
        notices: notices(laying),
        pieces_all: count(plan.pieces.len()),
        pieces_laid: count(laid(laying)),
        words: progress(laying),
        next: order.iter().find(|piece| laying.done(&piece.id) != Done::Laid).map(|piece| piece.id.clone()),
        rows: rows(job, laying, &order),
        pieces: order
            .iter()
            .map(|piece| WorkPiece {
                id: piece.id.clone(),
                row: count(piece.row),
                place: count(piece.place),
                cut: piece.cut.clone(),
                rings: Rings {
                    outer: piece.outline.iter().flatten().copied().collect(),
                    holes: piece.holes.iter().map(|hole| hole.iter().flatten().copied().collect()).collect(),
                },
                done: done_word(laying.done(&piece.id)).to_owned(),
                noted: noted(&piece.id),
            })
            .collect(),
        cut_ahead,
        measure_first,
        lots: lots(job, laying),
        stock,
        today: today(job, laying, now),
        problems: notes,
    }
}

fn done_word(done: Done) -> &'static str {
    match done {
        Done::Open => "open",
        Done::Cut => "cut",
        Done::Laid => "laid",
    }
}

fn notices(laying: &Laying) -> Vec<String> {
    let mut said = Vec::new();
    if laying.record.number_shared {
        let short: String = laying.record.held.id.as_str().chars().take(8).collect();
        said.push(say("work.number_shared", &[("short", &short)]));
    }
    if !laying.otherwise.is_empty() {
        said.push(say("work.otherwise", &[("pieces", &laying.otherwise.join(", "))]));
    }
    if laying.earlier_away {
        said.push(say("work.earlier_away", &[]));
    }
    let differ: Vec<&str> =
        laying.standing.iter().filter(|(_, one)| one.differ).map(|(id, _)| id.as_str()).collect();
    if !differ.is_empty() {
        said.push(say("work.differ", &[("pieces", &differ.join(", "))]));
    }
    said
}

fn rows(job: &SeenJob, laying: &Laying, order: &[&PlanPiece]) -> Vec<WorkRow> {
    let mut of: BTreeMap<usize, Vec<&PlanPiece>> = BTreeMap::new();
    for piece in order {
        of.entry(piece.row).or_default().push(piece);
    }
    let row = |(&row, pieces): (&usize, &Vec<&PlanPiece>)| {
        let open: Vec<&&PlanPiece> = pieces.iter().filter(|p| laying.done(&p.id) != Done::Laid).collect();
        let uncut = open.iter().filter(|p| p.cutting.is_some() && laying.done(&p.id) == Done::Open).count();
        let cut = open.iter().filter(|p| laying.done(&p.id) == Done::Cut).count();
        let last = pieces.iter().filter_map(|piece| laying.standing.get(&piece.id));
        let last = last.flat_map(|one| &one.by).max_by_key(|by| by.at.utc_ms);
        let whole = open.len() - uncut - cut;
        let figures = [("whole", whole.to_string()), ("uncut", uncut.to_string()), ("cut", cut.to_string())];
        let figures: Vec<(&str, &str)> = figures.iter().map(|(name, text)| (*name, text.as_str())).collect();
        let code = match (uncut, cut) {
            (0, 0) => "work.row_whole",
            (0, _) => "work.row_cut",
            (_, 0) => "work.row_uncut",
            _ => "work.row_both",
        };
        let width = laying.plan.plan.rows.iter().find(|one| one.row == row).map_or(0.0, |one| one.width);
        WorkRow {
            row: count(row),
            width: planned(job.units, width),
            all: count(pieces.len()),
            laid: count(pieces.len() - open.len()),
            next: open.first().map(|piece| piece.id.clone()),
            words: if open.is_empty() { String::new() } else { say(code, &figures) },
            stamp: last.map(stamp),
        }
    };
    of.iter().map(row).collect()
}

/// What waits for the saw: grouped by tool and cut, pieces that are marked alike together, in the order of the rows.
fn queue(job: &SeenJob, laying: &Laying, ahead: bool) -> Vec<CutGroup> {
    let mut groups: BTreeMap<(String, String), Vec<CutLine>> = BTreeMap::new();
    for piece in laying.plan.in_order() {
        let Some(cutting) = &piece.cutting else { continue };
        if laying.done(&piece.id) != Done::Open || piece.is_cut_ahead() != ahead {
            continue;
        }
        let key = (cutting.tool.clone().unwrap_or_default(), piece.cut.clone());
        let lines = groups.entry(key).or_default();
        let line = line(job, laying, piece, cutting);
        // What is measured first is cut one by one: two gaps are never the same for certain.
        match lines.iter_mut().find(|other| ahead && alike(other, &line)) {
            Some(other) => other.pieces.push(piece.id.clone()),
            None => lines.push(line),
        }
    }
    let group = |((tool, cut), cuts): ((String, String), Vec<CutLine>)| {
        let source = cuts.first().and_then(|line| laying.plan.piece(line.pieces.first()?));
        let source = source.and_then(|piece| piece.cutting.as_ref()?.tool_source.clone());
        CutGroup {
            tool_words: tool_words(&tool, source.as_deref()),
            cut_words: say(&format!("cut.{cut}"), &[]),
            count: count(cuts.iter().map(|line| line.pieces.len()).sum()),
            cuts,
        }
    };
    groups.into_iter().map(group).collect()
}

fn alike(one: &CutLine, other: &CutLine) -> bool {
    (&one.figures, &one.size) == (&other.figures, &other.size)
}

fn line(job: &SeenJob, laying: &Laying, piece: &PlanPiece, cutting: &PlanCutting) -> CutLine {
    let figure = |mark: &crate::given_out::PlanMark| {
        let from = say(&format!("mark.from_{}", mark.from), &[]);
        format!("{} {from}", planned(job.units, mark.figure).text)
    };
    let mut figures: Vec<String> = Vec::new();
    for mark in &cutting.marks {
        let text = figure(mark);
        if !figures.contains(&text) {
            figures.push(text);
        }
    }
    CutLine {
        pieces: vec![piece.id.clone()],
        figures,
        size: size(job.units, cutting),
        measured: measured(job, laying, piece),
    }
}

fn size(units: Units, cutting: &PlanCutting) -> PieceSize {
    PieceSize { length: planned(units, cutting.size[0]), width: planned(units, cutting.size[1]) }
}

/// The gap that was measured last for a piece, by the ids of the entries where two were.
fn measured(job: &SeenJob, laying: &Laying, piece: &PlanPiece) -> String {
    let of =
        |held: &&Held<document::CutMark>| held.value.plan == laying.hash() && held.value.piece == piece.id;
    let newest = job.view.cuts.live.iter().filter(of).max_by_key(|held| (held.added.at.utc_ms, &held.id));
    let Some(held) = newest else { return String::new() };
    let Some(cut) = cut_of(laying, &held.value) else { return String::new() };
    let (low, high) = (job.units.planned(cut.low).text, job.units.planned(cut.high).text);
    let code = if low == high { "work.measured" } else { "work.measured_two" };
    say(code, &[("gap", held.value.gap.text()), ("low", &low), ("high", &high)])
}

/// What a gap comes to for the screens.
pub(crate) fn gap_cut(laying: &Laying, cut: &LastTile, units: Units) -> GapCut {
    let allowance =
        drylay_plan::last_tile::wall_allowance(laying.plan.product.edge_gap, laying.plan.cutting.clearance);
    let shown = super::setting::last_tile(cut, laying.plan.product.joint, allowance, units);
    GapCut {
        low: shown.low,
        high: shown.high,
        words: format!("{} {}", shown.words, shown.odd).trim().to_owned(),
    }
}

fn tool_words(tool: &str, source: Option<&str>) -> String {
    if tool.is_empty() {
        return say("tool.whole", &[]);
    }
    let source = source.filter(|text| !text.is_empty()).map_or_else(|| say("tool.shop", &[]), str::to_owned);
    say(&format!("tool.{tool}"), &[("source", &source)])
}

/// The cut card of a piece, from the plan that was given out.
pub(crate) fn card(laying: &Laying, piece: &PlanPiece, units: Units) -> PieceCard {
    let cutting = piece.cutting.as_ref();
    let flat = |ring: &Vec<[f64; 2]>| -> Vec<f64> { ring.iter().flatten().copied().collect() };
    let (long, wide) = (laying.plan.product.length.mm(), laying.plan.product.width.mm());
    let beside = |other: &&&PlanPiece| other.row == piece.row && other.place.abs_diff(piece.place) == 1;
    let order = laying.plan.in_order();
    let weak = cutting.is_some_and(|cutting| cutting.too_weak == Some(true));
    let least = laying.plan.cutting.min_neck.map(|least| units.planned(least).text).unwrap_or_default();
    let when = cutting.map_or("whole", |cutting| cutting.when.as_str());
    PieceCard {
        id: piece.id.clone(),
        row: count(piece.row),
        place: count(piece.place),
        cut: piece.cut.clone(),
        cut_words: say(&format!("cut.{}", piece.cut), &[]),
        tile_face: [long, wide],
        on_tile: Rings { outer: flat(&piece.on_tile), holes: piece.on_tile_holes.iter().map(flat).collect() },
        size: cutting.map_or_else(
            || PieceSize { length: planned(units, long), width: planned(units, wide) },
            |cutting| size(units, cutting),
        ),
        marks: cutting.map_or_else(Vec::new, |cutting| marks(units, cutting)),
        tool_words: cutting.map_or_else(
            || say("tool.whole", &[]),
            |cutting| tool_words(cutting.tool.as_deref().unwrap_or(""), cutting.tool_source.as_deref()),
        ),
        when: when.to_owned(),
        when_words: if cutting.is_some() { say(&format!("when.{when}"), &[]) } else { String::new() },
        why_words: cutting.map_or_else(String::new, |cutting| why_words(units, cutting)),
        neck: cutting.map(|cutting| planned(units, cutting.neck)),
        weak_words: if weak { say("piece.weak", &[("least", &least)]) } else { String::new() },
        from_words: from_words(units, piece),
        breaches: Vec::new(),
        neighbours: order.iter().filter(beside).map(|other| other.id.clone()).collect(),
    }
}

fn marks(units: Units, cutting: &PlanCutting) -> Vec<MarkView> {
    let view = |mark: &crate::given_out::PlanMark| {
        let Typed { text, mm } = planned(units, mark.figure);
        let along = if matches!(mark.from.as_str(), "start" | "end") { "length" } else { "width" };
        let from_words = say(&format!("mark.from_{}", mark.from), &[]);
        MarkView { edge: mark.on.clone(), along: along.to_owned(), text, mm, from_words }
    };
    cutting.marks.iter().map(view).collect()
}

fn from_words(units: Units, piece: &PlanPiece) -> String {
    let words = match piece.from.as_str() {
        "new" => say("piece.new_tile", &[("tile", &piece.tile.to_string())]),
        other => say("piece.offcut", &[("piece", other)]),
    };
    match (piece.slid, piece.turned) {
        (None, false) => words,
        (slid, turned) => {
            let by = planned(units, slid.unwrap_or(0.0).abs()).text;
            let code = if turned { "piece.slid_turned" } else { "piece.slid" };
            format!("{words} {}", say(code, &[("by", &by)]))
        }
    }
}

fn why_words(units: Units, cutting: &PlanCutting) -> String {
    let fine = |mm: f64| match units {
        Units::Imperial | Units::Inches => length(mm.abs()).show(Notation::Inches(32)),
        Units::Metric => format!("{:.1} mm", mm.abs()),
    };
    let window = &cutting.window;
    let [left, right] = window.wall.clone().unwrap_or_default();
    let code = match cutting.why.as_deref() {
        None if window.sd.is_some_and(|sd| sd < drylay_plan::window::SURE) => "why.fits_exact",
        None => "why.fits",
        Some("gap_in_doubt") => "why.gap",
        Some("trim_in_doubt") => "why.trim",
        Some("no_trim") => "why.no_trim",
        Some("other_room") => "why.other_room",
        Some(_) => "why.no_wall",
    };
    let code = if window.to_trim.is_some_and(|room| room < 0.0) { "why.no_window" } else { code };
    let doubt = fine(drylay_plan::window::SDS * window.sd.unwrap_or(0.0));
    let (gap, trim) = (fine(window.to_gap), fine(window.to_trim.unwrap_or(0.0)));
    say(code, &[("left", &left), ("right", &right), ("doubt", &doubt), ("gap", &gap), ("trim", &trim)])
}

/// What was noted on the area, what is not settled first, then the latest.
fn notes(job: &SeenJob, laying: &Laying) -> Vec<NotedView> {
    let whole = laying.area.to_string();
    let before = format!("{whole}/");
    let here = |held: &&Held<document::Problem>| {
        let pin = held.value.pin.as_ref().filter(|pin| pin.what == PinKind::Piece);
        let item = pin.and_then(|pin| pin.item.as_ref()).map(ItemId::as_str);
        item.is_some_and(|item| item == whole || item.starts_with(&before))
    };
    let mut held: Vec<&Held<document::Problem>> = job.view.problems.live.iter().filter(here).collect();
    held.sort_by_key(|held| {
        (held.value.settled == Some(true), std::cmp::Reverse(held.added.at.utc_ms), held.id.clone())
    });
    let view = |held: &Held<document::Problem>| {
        let item = held.value.pin.as_ref().and_then(|pin| pin.item.as_ref()).map_or("", ItemId::as_str);
        NotedView {
            id: held.id.to_string(),
            what: held.value.what.word().to_owned(),
            what_words: say(&format!("noted.{}", held.value.what.word()), &[]),
            piece: item.strip_prefix(&before).map(str::to_owned),
            measure: held.value.measure.as_ref().map(typed),
            words: held.value.words.clone().unwrap_or_default(),
            allowed: allowed(laying, held.value.what, job.units),
            settled: held.value.settled == Some(true),
            stamp: stamp(&held.added),
        }
    };
    held.into_iter().map(view).collect()
}

/// What is allowed of such a thing, and who says so.
fn allowed(laying: &Laying, what: ProblemKind, units: Units) -> String {
    let product = laying.plan.in_sheet();
    match what {
        ProblemKind::Lippage => {
            // ANSI A108.02-2013 4.3.7: beside the warpage that the tiles have.
            let wide = laying.plan.product.joint >= WIDE_JOINT;
            say(if wide { "noted.lippage_wide" } else { "noted.lippage_narrow" }, &[])
        }
        ProblemKind::Chipped => {
            let engagement = product.and_then(|product| product.engagement.as_ref());
            match engagement.and_then(|e| Some((e.chips.as_ref()?, &e.source))) {
                Some((chips, source)) => {
                    let show = |m: &document::sheet::Measure| units.planned(m.length).text;
                    let (short, long) = (show(&chips.short), show(&chips.long));
                    say("noted.chips", &[("short", &short), ("long", &long), ("source", source)])
                }
                None => say("noted.chips_unsaid", &[]),
            }
        }
        ProblemKind::Shade | ProblemKind::Carton | ProblemKind::Other => String::new(),
    }
}

fn lots(job: &SeenJob, laying: &Laying) -> Vec<LotView> {
    let mut held: Vec<_> = job.view.lots.live.iter().filter(|held| held.value.area == laying.area).collect();
    held.sort_by_key(|held| (held.value.first_row, held.value.last_row, held.id.clone()));
    let row = |n: i64| u32::try_from(n).unwrap_or(0);
    let view = |held: &Held<document::LotUse>| LotView {
        id: held.id.to_string(),
        lot: held.value.lot.clone(),
        first_row: row(held.value.first_row),
        last_row: row(held.value.last_row),
        stamp: stamp(&held.added),
    };
    held.into_iter().map(view).collect()
}

/// The tiles of a product: delivered, used in all areas that are laid in it, and still needed.
fn stock(
    session: &Session,
    job: &SeenJob,
    (product, same, unplanned): (&ItemId, &[&Laying], usize),
) -> Result<StockView, Problem> {
    let per_pack = job.view.products.get(product).and_then(|held| held.value.per_pack).unwrap_or(0);
    let per_pack = usize::try_from(per_pack).unwrap_or(0);
    let deliveries: Vec<_> =
        job.view.deliveries.live.iter().filter(|held| held.value.product == *product).collect();
    let packs: i64 = deliveries.iter().map(|held| held.value.packs.max(0)).sum();
    let delivered = usize::try_from(packs).unwrap_or(0).saturating_mul(per_pack);
    let expenses: Vec<_> =
        job.view.expenses.live.iter().filter(|held| held.value.product == *product).collect();
    let number = |n: Option<&document::Decimal>| n.map_or(0, |n| n.as_str().parse().unwrap_or(0_usize));
    let besides: usize = expenses.iter().map(|held| number(held.value.broken.as_ref())).sum();
    let sum = |one: Tiles, other: Tiles| Tiles {
        used: one.used + other.used,
        broken: one.broken + other.broken,
        to_go: one.to_go + other.to_go,
    };
    let tiles = same.iter().map(|laying| laying.tiles()).fold(Tiles::default(), sum);
    let plan: usize = same.iter().map(|laying| laying.plan.plan.tiles).sum();
    let (breakage, attic) = job::rates(&mut session.desk(), job)?;
    let share = |rate: &job::Rate| rate.percent().map_or(0.0, |percent| percent.to_f64() / 100.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    let attic_tiles = (plan as f64 * share(&attic) - 1e-9).ceil().max(0.0) as usize;
    let stock = Stock::new(delivered, tiles, besides, share(&breakage), attic_tiles);
    let known = delivered > 0;
    let packs_more = stock.missing().div_ceil(per_pack.max(1));
    let figures = [
        ("left", stock.left.to_string()),
        ("to_go", stock.to_go.to_string()),
        ("expected", stock.expected.to_string()),
        ("attic", stock.attic.to_string()),
        ("over", stock.over().abs().to_string()),
        ("packs", packs_more.to_string()),
    ];
    let figures: Vec<(&str, &str)> = figures.iter().map(|(name, text)| (*name, text.as_str())).collect();
    let (reach, code) = match (known, per_pack, stock.reach()) {
        (_, 0, _) => ("unknown", "stock.no_pack"),
        (false, ..) => ("unknown", "stock.unknown"),
        (true, _, Reach::Short) => ("short", "stock.short"),
        (true, _, Reach::Tight) => ("tight", "stock.tight"),
        (true, _, Reach::NoAttic) => ("no_attic", "stock.no_attic"),
        (true, _, Reach::Enough) => ("enough", "stock.enough"),
    };
    let percent = breakage.percent().map_or("0", |percent| percent.as_str());
    let mut from = vec![say("stock.from", &[("percent", percent)])];
    if unplanned > 0 {
        from.push(say("stock.unplanned", &[("areas", &unplanned.to_string())]));
    }
    let mut entries: Vec<(i64, StockEntry)> = Vec::new();
    for held in deliveries {
        let tiles = held.value.packs.saturating_mul(i64::try_from(per_pack).unwrap_or(0));
        let (packs, tiles) = (held.value.packs.to_string(), tiles.to_string());
        let lot = held.value.lot.clone().unwrap_or_default();
        let code = if lot.is_empty() { "stock.delivery" } else { "stock.delivery_lot" };
        let words = say(code, &[("packs", &packs), ("tiles", &tiles), ("lot", &lot)]);
        let entry = StockEntry { id: held.id.to_string(), words, stamp: stamp(&held.added) };
        entries.push((held.added.at.utc_ms, entry));
    }
    for held in expenses.iter().filter(|held| held.value.broken.is_some()) {
        let tiles = held.value.broken.as_ref().map_or("", |n| n.as_str());
        let why = held.value.words.clone().unwrap_or_default();
        let code = if why.is_empty() { "stock.broken" } else { "stock.broken_why" };
        let words = say(code, &[("tiles", tiles), ("words", &why)]);
        let entry = StockEntry { id: held.id.to_string(), words, stamp: stamp(&held.added) };
        entries.push((held.added.at.utc_ms, entry));
    }
    entries.sort_by(|(a, one), (b, other)| (b, &one.id).cmp(&(a, &other.id)));
    Ok(StockView {
        reach: reach.to_owned(),
        words: say(code, &figures),
        delivered: count(delivered),
        used: count(tiles.used + besides),
        broken: count(tiles.broken + besides),
        to_go: count(stock.to_go),
        left: i32::try_from(stock.left).unwrap_or(i32::MIN),
        from,
        entries: entries.into_iter().map(|(_, entry)| entry).collect(),
    })
}

/// The day of a moment where the device stood that wrote it down: days since 1970 by its own clock and zone.
pub(crate) fn day_of(at: Timestamp) -> i64 {
    (at.utc_ms + i64::from(at.zone_minutes) * 60_000).div_euclid(86_400_000)
}

/// What each of the crew marked on this day, by the clock of the device that marked it.
fn today(job: &SeenJob, laying: &Laying, now: Timestamp) -> Vec<DayOf> {
    marks_of_day(job, laying, day_of(now))
}

/// What each of the crew marked on a day, in days since 1970 by the clock of the device that marked it.
pub(crate) fn marks_of_day(job: &SeenJob, laying: &Laying, day: i64) -> Vec<DayOf> {
    let mut of: BTreeMap<&str, [usize; 3]> = BTreeMap::new();
    let marks = job.view.pieces.live.iter().filter(|held| held.value.area == laying.area);
    for held in marks.filter(|held| day_of(held.added.at) == day) {
        let counts = of.entry(&held.added.by.name).or_default();
        let n = held.value.pieces.len();
        match held.value.state {
            PieceState::Laid => counts[0] += n,
            PieceState::Cut => counts[1] += n,
            PieceState::Spoilt => counts[2] += n,
            PieceState::TakenUp => counts[0] = counts[0].saturating_sub(n),
        }
    }
    let view = |(by, [laid, cut, spoilt]): (&str, [usize; 3])| {
        let parts = [("day.laid", laid), ("day.cut", cut), ("day.spoilt", spoilt)];
        let told: Vec<String> = parts
            .into_iter()
            .filter(|(_, n)| *n > 0)
            .map(|(code, n)| say(code, &[("count", &n.to_string())]))
            .collect();
        DayOf { by: by.to_owned(), words: told.join(", ") }
    };
    of.into_iter().map(view).filter(|day| !day.words.is_empty()).collect()
}
