//! The quote: what is laid, what it costs, what may come to light, and where to sign.

use super::setter::{Setter, caution};
use crate::answers::{QuoteAnswer, QuotedLine, ROUNDING, TotalsAnswer, reminders};
use crate::views::quote::{grouped, line_name, many};
use crate::words::say;
use drylay_document::sheet::SignedAt;
use drylay_papers::paper::{Block, Column, Fact, Paper, Row, Sign, Table};
use rust_decimal::Decimal;

/// The quote's paper; `None` where nothing was quoted.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    let whole = setter.basis.quotes.first()?;
    let said = setter.basis.sheet.quote.clone().unwrap_or_default();
    let money = |amount: Decimal| match said.currency.as_str() {
        "" => grouped(amount),
        currency => format!("{currency} {}", grouped(amount)),
    };
    let mut blocks = vec![facts(&whole.totals, &money)];
    blocks.push(Block::Heading(say("paper.quote.what", &[])));
    blocks.push(what(setter));
    blocks.push(Block::Heading(say("paper.quote.lines", &[])));
    blocks.push(lines(whole, &money));
    blocks.push(Block::Small(say("quote.rounding", &[("how", ROUNDING)])));
    if whole.lines.iter().any(|line| line.amount.is_none()) {
        blocks.push(caution("papers.unpriced"));
    }
    if !whole.hidden.is_empty() {
        blocks.push(Block::Heading(say("paper.quote.hidden", &[])));
        blocks.push(Block::Text(say("paper.quote.hidden_words", &[])));
        blocks.push(hidden(whole, &money));
    }
    if setter.basis.quotes.len() > 1 {
        blocks.push(Block::Heading(say("paper.quote.variants", &[])));
        blocks.push(variants(setter, &money));
    }
    blocks.push(Block::Heading(say("paper.quote.before", &[])));
    blocks.push(Block::Text(say("paper.quote.changes", &[])));
    if said.signed_at != Some(SignedAt::Shop) {
        blocks.push(Block::Text(say("paper.quote.cancel", &[])));
    }
    let reminded = reminders(&setter.basis.sheet);
    let lead = reminded.iter().any(|problem| problem.code == "quote.lead_pamphlet");
    blocks.extend(reminded.into_iter().map(|p| Block::Caution { words: p.message, hint: p.hint }));
    blocks.push(Block::Heading(say("paper.quote.sign", &[])));
    blocks.push(Block::Text(say("paper.quote.accept", &[("total", &money(whole.totals.total))])));
    if lead {
        blocks.push(Block::Checks(vec![say("paper.quote.lead_receipt", &[])]));
    }
    blocks.push(Block::Sign(signs(setter)));
    Some(setter.paper("paper.quote", Vec::new(), blocks))
}

/// Who signs, as far as it is known.
fn signs(setter: &Setter<'_>) -> Vec<Sign> {
    let place = |code: &str| Sign { words: say(code, &[]), ..Sign::default() };
    match &setter.basis.signed {
        Some(signed) => {
            vec![Sign { words: say("paper.sign.client", &[]), ..signed.clone() }, place("paper.sign.shop")]
        }
        None => vec![place("paper.sign.client"), place("paper.sign.shop")],
    }
}

fn facts(t: &TotalsAnswer, money: &dyn Fn(Decimal) -> String) -> Block {
    let fact = |code: &str, amount: Decimal| Fact {
        label: say(code, &[]),
        value: money(amount),
        note: String::new(),
    };
    let mut facts = vec![fact("quote.total", t.total)];
    if !t.deposit.is_zero() {
        facts.extend([fact("quote.deposit", t.deposit), fact("quote.rest", t.rest)]);
    }
    Block::Facts(facts)
}

/// What is laid where.
fn what(setter: &Setter<'_>) -> Block {
    let row = |(area, wire, drawn): &(
        &crate::answers::PlannedArea,
        crate::answers::PlanArea,
        drylay_papers::PlanDrawing,
    )| {
        let product = setter.product(&area.id).map_or_else(String::new, |p| p.name.clone());
        Row::of(vec![drawn.title.clone(), product, setter.units.whole_area(wire.field_m2)])
    };
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.rooms", &[]), 2.0),
            Column::words(say("paper.column.floor", &[]), 3.0),
            Column::figures(say("paper.column.area", &[])),
        ],
        rows: setter.areas.iter().map(row).collect(),
    })
}

/// The lines and what they come to. What an hour brings and how fast the crew works is not on the paper.
fn lines(whole: &QuoteAnswer, money: &dyn Fn(Decimal) -> String) -> Block {
    let line = |line: &QuotedLine| {
        let amount = line.amount.map_or_else(|| "–".to_owned(), grouped);
        Row::of(vec![line_name(line), many(line), amount])
    };
    let mut rows: Vec<Row> = whole.lines.iter().map(line).collect();
    let t = &whole.totals;
    let sum = |code: &str, amount: String, strong: bool| Row {
        cells: vec![say(code, &[]), String::new(), amount],
        strong,
    };
    rows.push(sum("quote.lines", grouped(t.lines), true));
    if !t.discount.is_zero() {
        rows.push(sum("quote.discount", grouped(-t.discount), false));
        rows.push(sum("quote.net", grouped(t.net), false));
    }
    if !t.tax.is_zero() {
        rows.push(sum("quote.tax", grouped(t.tax), false));
    }
    rows.push(sum("quote.total", money(t.total), true));
    if !t.deposit.is_zero() {
        rows.push(sum("quote.deposit", grouped(t.deposit), false));
        rows.push(sum("quote.rest", grouped(t.rest), false));
    }
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.line", &[]), 1.0),
            Column::figures(say("paper.column.many", &[])),
            Column::figures(say("paper.column.amount", &[])),
        ],
        rows,
    })
}

fn hidden(whole: &QuoteAnswer, money: &dyn Fn(Decimal) -> String) -> Block {
    let line = |line: &QuotedLine| {
        let price = line.price.map_or_else(|| "–".to_owned(), grouped);
        Row::of(vec![line.name.clone(), say("paper.quote.a_unit", &[("unit", &line.unit)]), price])
    };
    let mut rows: Vec<Row> = whole.hidden.iter().map(line).collect();
    let case = |code: &str, t: &TotalsAnswer| Row {
        cells: vec![say(code, &[]), String::new(), money(t.total)],
        strong: true,
    };
    rows.extend([case("quote.likely", &whole.cases.likely), case("quote.bad", &whole.cases.bad)]);
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.found", &[]), 1.0),
            Column::figures(String::new()),
            Column::figures(say("paper.column.price", &[])),
        ],
        rows,
    })
}

fn variants(setter: &Setter<'_>, money: &dyn Fn(Decimal) -> String) -> Block {
    let row = |quote: &QuoteAnswer| {
        let name = quote.name.clone().unwrap_or_else(|| say("paper.quote.as_it_stands", &[]));
        Row::of(vec![name, money(quote.totals.total)])
    };
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.variant", &[]), 1.0),
            Column::figures(say("quote.total", &[])),
        ],
        rows: setter.basis.quotes.iter().map(row).collect(),
    })
}
