//! A quote for the screens: how much, how many, how long at a glance; and the bytes of one that is frozen.

use super::buy::{packs_words, shown_steps};
use super::money;
use crate::Problem;
use crate::answers::{QuoteAnswer, QuotedLine, ROUNDING, TotalsAnswer, reminders};
use crate::books::Books;
use crate::commands::buy::{Reckoned, Waiting};
use crate::show::stamp;
use crate::wire::{
    BuyStep, QuoteChangeView, QuoteLineView, QuoteTerms, QuoteView, SignatureStrokes, SignedView, VariantView,
};
use crate::words::{has, say};
use drylay_document::frozen::FrozenRecord;
use drylay_document::sheet::{Quote, SignedAt, Variant};
use drylay_document::{ChangeOrder, Held};
use drylay_plan::price::{Terms, amount, quantity, totals};
use rust_decimal::Decimal;
use serde_json::{Value, json};

/// The note that work of the plan has no rate.
const NO_RATE: &str = "quote.no_rate";

/// The version of a frozen quote's bytes.
const VERSION: u32 = 1;

/// Hours of a working day (common practice).
const DAY: Decimal = Decimal::from_parts(8, 0, 0, false, 0);

/// A frozen quote as it was read back.
pub(crate) struct FrozenQuote {
    pub(crate) record: FrozenRecord,
    pub(crate) bytes: Value,
    pub(crate) same: bool,
    pub(crate) orders: Vec<Held<ChangeOrder>>,
    pub(crate) signature: Option<SignatureStrokes>,
}

pub(crate) fn view(
    known: &Reckoned,
    books: &Books,
    whole: &QuoteAnswer,
    variants: &[(Variant, Option<QuoteAnswer>)],
    frozen: Vec<FrozenQuote>,
) -> QuoteView {
    let said = known.sheet.quote.clone().unwrap_or_default();
    let show = Show { known, currency: &said.currency };
    let packs: usize = known.takeoff().lines.iter().filter_map(|line| line.packs).sum();
    let mut problems = known.problems.clone();
    // Where there are no rates at all, that is said once and not task by task.
    let without_rates = books.rates.is_empty();
    problems.extend(whole.notes.iter().filter(|note| !without_rates || note.code != NO_RATE).cloned());
    if without_rates {
        problems.push(Problem::new("quote.no_rates", ""));
    }
    QuoteView {
        total: show.money(whole.totals.total),
        lacks: lacks(whole, without_rates),
        packs: say("quote.packs", &[("count", &packs.to_string())]),
        hours: if without_rates { say("quote.hours_unknown", &[]) } else { hours(whole.hours) },
        lines: show.lines(whole),
        sums: show.sums(&whole.totals),
        cases: show.cases(whole),
        reading: show.reading(whole),
        variants: variants.iter().map(|(variant, quote)| show.variant(variant, quote.as_ref())).collect(),
        rounding: say("quote.rounding", &[("how", ROUNDING)]),
        terms: terms(&said),
        forms: money::quote_forms(&known.sheet),
        entries: money::quoted(&known.job, &said),
        units: known.job.units,
        signed: frozen.iter().map(|one| show.signed(one)).collect(),
        reminders: reminders(&known.sheet),
        waiting: known.waiting.iter().map(Waiting::words).collect(),
        problems,
    }
}

/// What a quote's sum leaves out.
fn lacks(whole: &QuoteAnswer, without_rates: bool) -> Vec<String> {
    let labour = without_rates || whole.notes.iter().any(|note| note.code == NO_RATE);
    let unpriced = whole.lines.iter().filter(|line| line.amount.is_none()).count();
    let mut lacks = Vec::new();
    if labour {
        lacks.push(say("quote.lacks_labour", &[]));
    }
    if unpriced > 0 {
        let code = if unpriced == 1 { "quote.lacks_price" } else { "quote.lacks_prices" };
        lacks.push(say(code, &[("count", &unpriced.to_string())]));
    }
    lacks
}

fn terms(said: &Quote) -> QuoteTerms {
    let percent = |p: Option<f64>| p.map_or_else(String::new, |p| p.to_string());
    let signed_at = match said.signed_at {
        Some(SignedAt::Home) => "home",
        Some(SignedAt::Shop) => "shop",
        None => "",
    };
    QuoteTerms {
        currency: said.currency.clone(),
        discount: percent(said.discount_percent),
        tax: percent(said.tax_percent),
        deposit: percent(said.deposit_percent),
        signed_at: signed_at.to_owned(),
    }
}

/// Hours of one person in words, with the days they are.
fn hours(hours: Decimal) -> String {
    let days = hours.checked_div(DAY).unwrap_or_default().round_dp(1);
    let (hours, days) = (hours.round_dp(1).normalize().to_string(), days.normalize().to_string());
    say("quote.hours", &[("hours", &hours), ("days", &days)])
}

/// An amount with its thousands apart, as the language parts them, and its two places.
pub(crate) fn grouped(amount: Decimal) -> String {
    parted(amount, &say("figure.thousands", &[]))
}

fn parted(amount: Decimal, by: &str) -> String {
    let text = format!("{:.2}", amount.abs());
    let (whole, cents) = text.split_once('.').unwrap_or((&text, "00"));
    let mut digits = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            digits.push_str(by);
        }
        digits.push(digit);
    }
    format!("{}{digits}.{cents}", if amount.is_sign_negative() && !amount.is_zero() { "–" } else { "" })
}

/// What a line is called; the plan's own tasks have words.
pub(crate) fn line_name(line: &QuotedLine) -> String {
    let code = format!("quote.task.{}", line.item);
    match line.name.as_str() {
        name if name == line.item && has(&code) => say(&code, &[]),
        "primer" => say("buy.primer", &[]),
        name => name.to_owned(),
    }
}

/// How much a line is of.
pub(crate) fn many(line: &QuotedLine) -> String {
    let unit = format!("quote.unit.{}", line.unit);
    match (has(&unit), line.quantity.normalize().to_string()) {
        (true, many) => format!("{many} {}", say(&unit, &[])),
        (false, many) => match many.parse() {
            Ok(n) => packs_words(n, &line.unit),
            Err(_) => format!("{many} {}", line.unit),
        },
    }
}

struct Show<'a> {
    known: &'a Reckoned,
    currency: &'a str,
}

impl Show<'_> {
    fn money(&self, amount: Decimal) -> String {
        let text = grouped(amount);
        if self.currency.is_empty() { text } else { format!("{} {text}", self.currency) }
    }

    fn step(&self, code: &str, amount: Decimal) -> BuyStep {
        BuyStep { words: say(code, &[]), value: self.money(amount), origin: None }
    }

    fn lines(&self, whole: &QuoteAnswer) -> Vec<QuoteLineView> {
        let takeoff = self.known.takeoff();
        let line = |line: &QuotedLine| {
            let of_takeoff = takeoff.lines.iter().find(|bought| bought.product == line.item);
            let steps = match (line.kind, of_takeoff) {
                ("material", Some(bought)) => shown_steps(self.known, bought),
                ("labour", _) => self.areas(),
                _ => Vec::new(),
            };
            QuoteLineView {
                kind: line.kind.to_owned(),
                name: line_name(line),
                amount: line.amount.map_or_else(|| "–".to_owned(), |amount| self.money(amount)),
                how: self.how(line),
                steps,
            }
        };
        whole.lines.iter().map(line).collect()
    }

    fn how(&self, line: &QuotedLine) -> String {
        let many = many(line);
        match (line.price, line.hours, line.hourly) {
            (Some(price), ..) => say("quote.at_price", &[("many", &many), ("price", &grouped(price))]),
            (None, Some(hours), Some(hourly)) => {
                let (hours, hourly) = (hours.normalize().to_string(), grouped(hourly));
                say("quote.at_hour", &[("many", &many), ("hours", &hours), ("hourly", &hourly)])
            }
            _ => say("quote.at_nothing", &[("many", &many)]),
        }
    }

    /// The areas that work comes from.
    fn areas(&self) -> Vec<BuyStep> {
        let step = |area: &std::sync::Arc<crate::answers::PlannedArea>| {
            let held = self.known.job.view.areas.get(&drylay_geometry::ItemId::new(&area.id));
            let name = held.and_then(|held| held.value.name.clone()).unwrap_or_default();
            let words = if name.is_empty() { say("buy.figure.covered_m2", &[]) } else { name };
            let value = self.known.job.units.whole_area(area.field.area_m2());
            BuyStep { words, value, origin: Some(format!("plan/{}", area.id)) }
        };
        self.known.areas.iter().map(step).collect()
    }

    fn sums(&self, t: &TotalsAnswer) -> Vec<BuyStep> {
        let mut sums = vec![self.step("quote.lines", t.lines)];
        if !t.discount.is_zero() {
            sums.extend([self.step("quote.discount", -t.discount), self.step("quote.net", t.net)]);
        }
        if !t.tax.is_zero() {
            sums.push(self.step("quote.tax", t.tax));
        }
        sums.push(self.step("quote.total", t.total));
        if !t.deposit.is_zero() {
            sums.extend([self.step("quote.deposit", t.deposit), self.step("quote.rest", t.rest)]);
        }
        sums
    }

    fn cases(&self, whole: &QuoteAnswer) -> Vec<BuyStep> {
        let mut cases = vec![
            self.step("quote.likely", whole.cases.likely.total),
            self.step("quote.bad", whole.cases.bad.total),
        ];
        let hidden =
            |line: &QuotedLine| BuyStep { words: line.name.clone(), value: self.how(line), origin: None };
        cases.extend(whole.hidden.iter().map(hidden));
        cases
    }

    fn reading(&self, whole: &QuoteAnswer) -> String {
        let reading = whole.cases.reading;
        let (settles, spread) = (self.money(reading.settles), self.money(reading.spread));
        match reading.costs {
            _ if reading.settles.is_zero() => String::new(),
            Some(costs) => {
                let costs = self.money(costs);
                say("quote.reading_costs", &[("settles", &settles), ("spread", &spread), ("costs", &costs)])
            }
            None => say("quote.reading", &[("settles", &settles), ("spread", &spread)]),
        }
    }

    fn variant(&self, variant: &Variant, quote: Option<&QuoteAnswer>) -> VariantView {
        VariantView {
            id: variant.id.to_string(),
            name: variant.name.clone(),
            total: quote.map(|quote| self.money(quote.totals.total)),
            hours: quote.map(|quote| hours(quote.hours)),
        }
    }

    fn signed(&self, one: &FrozenQuote) -> SignedView {
        let held = &one.record.held;
        let total = decimal(&one.bytes["totals"]["total"]);
        let tax = decimal(&one.bytes["terms"]["tax"]);
        let added: Vec<Decimal> = one.orders.iter().map(|order| order_total(&order.value, tax)).collect();
        let with_changes = added.iter().fold(total, |sum, one| sum.checked_add(*one).unwrap_or(sum));
        let change = |(order, added): (&Held<ChangeOrder>, &Decimal)| QuoteChangeView {
            id: order.id.to_string(),
            words: order.value.words.clone(),
            amount: self.money(*added),
            days: order.value.days.and_then(|n| u32::try_from(n).ok()),
            stamp: stamp(&order.added),
        };
        SignedView {
            id: held.id.to_string(),
            short: held.id.as_str().chars().take(8).collect(),
            number: u32::try_from(held.value.number).unwrap_or(0),
            number_shared: one.record.number_shared,
            total: self.money(total),
            signed_by: held.value.signed_by.clone().unwrap_or_default(),
            signature: one.signature.clone(),
            stamp: stamp(&held.added),
            same: one.same,
            changes: one.orders.iter().zip(&added).map(change).collect(),
            with_changes: self.money(with_changes),
        }
    }
}

/// What a change adds, with the tax of the quote that it changes; no discount is taken off it.
fn order_total(order: &ChangeOrder, tax: Decimal) -> Decimal {
    let line = |line: &drylay_document::QuoteLine| {
        let (many, price) = (line.quantity.as_str().parse().ok()?, line.price.0.as_str().parse().ok()?);
        amount(many, price).ok()
    };
    let amounts: Vec<Decimal> = order.lines.iter().filter_map(line).collect();
    totals(amounts, Terms { tax, ..Terms::default() }).map_or(Decimal::ZERO, |t| t.total)
}

fn decimal(value: &Value) -> Decimal {
    value.as_str().and_then(|text| text.parse().ok()).unwrap_or_default()
}

/// The bytes of a quote that is frozen: what the client sees. What an hour brings and how fast the crew works is not in them.
pub(crate) fn bytes(said: &Quote, whole: &QuoteAnswer) -> Result<Vec<u8>, Problem> {
    let internal = |error: serde_json::Error| Problem::internal(&error.to_string());
    let percent = |p: Option<f64>| p.and_then(quantity).unwrap_or_default().to_string();
    let shown = |line: &QuotedLine| {
        json!({ "name": line.name, "quantity": line.quantity.to_string(), "unit": line.unit,
                "amount": line.amount.map(|amount| format!("{amount:.2}")) })
    };
    let hidden = |line: &QuotedLine| json!({ "name": line.name, "unit": line.unit, "price": line.price.map(|price| price.to_string()) });
    let whole = json!({
        "drylay_issue": VERSION, "what": "quote", "currency": said.currency, "rounding": ROUNDING,
        "terms": { "discount": percent(said.discount_percent), "tax": percent(said.tax_percent),
                   "deposit": percent(said.deposit_percent) },
        "lines": whole.lines.iter().map(shown).collect::<Vec<_>>(),
        "totals": serde_json::to_value(whole.totals).map_err(internal)?,
        "hidden": whole.hidden.iter().map(hidden).collect::<Vec<_>>(),
    });
    serde_json::to_vec(&whole).map_err(internal)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_stand_apart() {
        let text = |text: &str| grouped(text.parse().expect("a decimal"));
        assert_eq!((text("1234567.5"), text("999")), ("1,234,567.50".to_owned(), "999.00".to_owned()));
        assert_eq!((text("-1000"), text("0")), ("–1,000.00".to_owned(), "0.00".to_owned()));
        let by_space = |text: &str| parted(text.parse().expect("a decimal"), "\u{a0}");
        assert_eq!(by_space("1234567.5"), "1\u{a0}234\u{a0}567.50");
    }
}
