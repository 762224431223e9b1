//! Answers in words: what a person wants to know first.

use drylay_app::Sheet;
use drylay_app::answers::{
    Amount, Finding, FlatnessAnswer, HeightsAnswer, PlanAnswer, PlanArea, PriceAnswer, SubfloorAnswer,
    SurveyAnswer, TakeoffAnswer, show_mm,
};
use std::fmt::Write;

/// A line of text; writing to a string cannot fail.
macro_rules! line {
    ($out:expr, $($arg:tt)*) => {{
        let _ = writeln!($out, $($arg)*);
    }};
}

/// The rooms, how sure they are, and what to do.
pub(crate) fn survey(sheet: &Sheet, answer: &SurveyAnswer) -> String {
    let mut out = String::new();
    for (room, survey) in sheet.rooms.iter().zip(&answer.rooms) {
        line!(out, "{} – {}", room.title(), survey.verdict);
        if let Some(area) = survey.area_m2 {
            let sd = survey.area_sd_m2.map_or(String::new(), |sd| format!(" ± {sd:.3}"));
            line!(out, "  {area:.2}{sd} m²");
        }
        line!(out, "  {}", survey.may_order);
        for advice in &survey.advice {
            line!(out, "  {advice}");
        }
    }
    for floor in &answer.floors {
        let title = |id: &String| sheet.rooms.iter().find(|r| r.id.as_str() == id).map_or("", |r| r.title());
        for round in &floor.loops {
            let rooms: Vec<&str> = round.rooms.iter().map(title).collect();
            line!(out, "Loop {}: misses closing by {:.1} mm", rooms.join(", "), round.misclosure);
        }
    }
    out
}

/// How flat each floor is and what to do about it.
pub(crate) fn flatness(sheet: &Sheet, answer: &FlatnessAnswer) -> String {
    let mut out = String::new();
    for room in &answer.rooms {
        let title = sheet.rooms.iter().find(|r| r.id.as_str() == room.id).map_or("", |r| r.title());
        line!(out, "{title} – {}", room.verdict);
        if let Some(slope) = &room.slope {
            line!(out, "  Falls {:.1} mm per m towards {:.0}°.", slope.mm_per_m, slope.towards_degrees);
        }
        for advice in &room.advice {
            line!(out, "  {advice}");
        }
        for p in room.correction.iter().flat_map(|c| &c.points).filter(|p| p.fill + p.grind > 0.0) {
            let what = if p.fill > 0.0 { "fill" } else { "grind" };
            line!(out, "  {}: {what} {:.1} mm", p.id, p.fill.max(p.grind));
        }
    }
    out
}

/// What carries each floor and what must be settled first.
pub(crate) fn subfloor(sheet: &Sheet, answer: &SubfloorAnswer) -> String {
    answer.rooms.iter().map(|r| found(sheet, &r.id, r.verdict.word(), &r.findings)).collect()
}

/// The heights of the whole house.
pub(crate) fn heights(sheet: &Sheet, answer: &HeightsAnswer) -> String {
    answer.rooms.iter().map(|r| found(sheet, &r.id, r.verdict.word(), &r.findings)).collect()
}

/// A room's findings, each with its source.
fn found(sheet: &Sheet, room: &str, verdict: &str, findings: &[Finding]) -> String {
    let mut out = String::new();
    let title = sheet.rooms.iter().find(|r| r.id.as_str() == room).map_or("", |r| r.title());
    line!(out, "{title} – {verdict}");
    for finding in findings {
        let source = finding.source.as_ref().map_or(String::new(), |source| format!(" ({source})"));
        let hint = if finding.says.hint.is_empty() { "" } else { " " };
        line!(
            out,
            "  {}: {}{hint}{}{source}",
            finding.verdict.word(),
            finding.says.message,
            finding.says.hint
        );
    }
    out
}

/// For each area: what is laid which way, how the cuts fall, how many tiles.
pub(crate) fn plan(sheet: &Sheet, answer: &PlanAnswer) -> String {
    let mut out = String::new();
    line!(out, "{}", sheet.job.name);
    for (area, plan) in sheet.areas.iter().zip(&answer.areas) {
        let rooms: Vec<&str> =
            area.rooms.iter().filter_map(|id| sheet.room(id)).map(|(_, r)| r.title()).collect();
        let product = sheet
            .product(&area.product)
            .map_or("", |p| if p.name.is_empty() { p.id.as_str() } else { &p.name });
        line!(out, "\n{}: {product}", rooms.join(", "));
        plan_area(sheet, plan, &mut out);
    }
    out
}

fn plan_area(sheet: &Sheet, plan: &PlanArea, out: &mut String) {
    let show = |mm: f64| show_mm(mm, sheet.units);
    let c = &plan.choice;
    let direction = match &c.along {
        drylay_app::answers::AlongAnswer::Wall([from, to]) => {
            let of = c.along_room.as_ref().map_or(String::new(), |r| format!(" of {r}"));
            format!("along wall {from}–{to}{of}")
        }
        drylay_app::answers::AlongAnswer::Degrees(d) => format!("at {d:.2}°"),
    };
    line!(out, "  Rows run {direction}, offset {}, {}.", c.offset, c.order);
    line!(
        out,
        "  First row {}, first tile {}; last row {}.",
        show(c.first_row),
        show(c.shift),
        show(plan.measures.last_row)
    );
    line!(
        out,
        "  {} pieces, {} of them cut; the narrowest is {}, the shortest {}.",
        plan.pieces.len(),
        plan.measures.cut_pieces,
        show(plan.measures.narrowest),
        show(plan.measures.shortest_end)
    );
    let cartons =
        plan.cartons.map_or(String::new(), |n| format!(" ({n} cartons; see takeoff for what to buy)"));
    line!(
        out,
        "  {:.2} m² from {} tiles{cartons}; no sharing of these pieces takes fewer than {}.",
        plan.field_m2,
        plan.tiles,
        plan.proven_minimum
    );
    if plan.tried > 1 {
        let sure =
            if plan.proven { "none on the marking-out grid is better" } else { "a better one may exist" };
        line!(out, "  {} choices compared; {sure}.", plan.tried);
    }
    for b in plan.breaches.iter().take(5) {
        let figure = |x: f64| if b.rule == "offset" { format!("{x:.3}") } else { show(x) };
        let (value, limit) = (figure(b.value), figure(b.limit));
        match &b.piece {
            Some(piece) if b.at.is_some() => {
                let place = if b.rule == "doorway" { "a doorway" } else { "the line of sight" };
                line!(out, "  Piece {piece} is short in {place}: {value} where {limit} is preferred.");
            }
            Some(piece) => line!(out, "  Piece {piece} is {}: {value} where {limit} is required.", b.rule),
            None => line!(out, "  The rule \"{}\" is broken: {value} where {limit} is required.", b.rule),
        }
    }
    if plan.breaches.len() > 5 {
        line!(out, "  … and {} more breaches.", plan.breaches.len() - 5);
    }
    if !plan.movement_joints.is_empty() {
        line!(
            out,
            "  {} movement joint(s): the floor runs longer than the product allows.",
            plan.movement_joints.len()
        );
    }
    for note in &plan.notes {
        line!(out, "  Note: {note}");
    }
}

/// What to buy, how it was counted and what a guess would have bought.
pub(crate) fn takeoff(sheet: &Sheet, answer: &TakeoffAnswer) -> String {
    let mut out = String::new();
    for buy in &answer.lines {
        let packs = packs(buy.packs, buy.pack.as_deref());
        line!(out, "{}: {} {}{packs}", sheet.bought_name(&buy.product), amount(buy.quantity), buy.unit);
        let figures: Vec<String> =
            buy.from.iter().map(|f| format!("{} {}", f.what.replace('_', " "), amount(f.value))).collect();
        line!(out, "  {}", figures.join(", "));
        if let Some(g) = &buy.guess {
            let packs = self::packs(g.packs, buy.pack.as_deref());
            let percent = answer.guess.percent;
            line!(
                out,
                "  with {percent}% by habit it would have been {} {}{packs}",
                amount(g.quantity),
                buy.unit
            );
        }
    }
    let weight = &answer.weight;
    if weight.packs > 0 {
        line!(
            out,
            "{:.0} kg in {} packs, the heaviest {:.1} kg",
            weight.kg,
            weight.packs,
            weight.heaviest_kg
        );
    }
    for floor in &weight.floors {
        line!(out, "{}: {:.1} kg/m² as laid", floor.area, floor.kg_per_m2);
    }
    for note in &answer.notes {
        line!(out, "Note: {note}");
    }
    out
}

fn amount(amount: Amount) -> String {
    match amount {
        Amount::Count(n) => n.to_string(),
        Amount::Measure(x) => format!("{x:.2}"),
    }
}

fn packs(packs: Option<usize>, pack: Option<&str>) -> String {
    packs.map_or(String::new(), |n| format!(" = {n} × {}", pack.unwrap_or("pack")))
}

/// What the job costs, line by line.
pub(crate) fn price(_sheet: &Sheet, answer: &PriceAnswer) -> String {
    let mut out = String::new();
    for quote in &answer.quotes {
        line!(out, "{}", quote.name.as_deref().unwrap_or("The job as it stands"));
        for l in &quote.lines {
            let amount = l.amount.map_or_else(|| "no price".to_owned(), |amount| format!("{amount:.2}"));
            line!(out, "  {}: {} {} = {amount}", l.name, l.quantity.normalize(), l.unit);
        }
        let totals = &quote.totals;
        let (currency, total) = (&answer.currency, totals.total);
        line!(
            out,
            "  {currency} {total:.2} in all, {:.2} of it tax; {:.2} with the order",
            totals.tax,
            totals.deposit
        );
        let cases = &quote.cases;
        line!(out, "  likely {:.2}, bad case {:.2}", cases.likely.total, cases.bad.total);
        line!(out, "  {} hours of one person", quote.hours.normalize());
        for note in &quote.notes {
            line!(out, "  Note: {note}");
        }
    }
    line!(out, "Rounded: {}.", answer.rounding);
    for reminder in &answer.reminders {
        line!(out, "Mind: {reminder}");
    }
    for note in &answer.notes {
        line!(out, "Note: {note}");
    }
    out
}
