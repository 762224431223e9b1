//! What a job costs: looking at it, its terms, freezing it when it is signed, and changes to what was signed.

use super::buy::{Reckoned, reckon};
use super::jobs::{facts, said};
use super::shop::percent;
use super::signed::{self, Signed};
use crate::Problem;
use crate::answers::{QuoteAnswer, Site, changed, count, is_in, quote};
use crate::books::Books;
use crate::refusal::unknown;
use crate::session::Session;
use crate::show::day;
use crate::signature;
use crate::views::quote as show;
use crate::wire::{OfJob, QuoteFreeze, QuoteLineAdd, QuoteSet, QuoteView};
use crate::words::say;
use drylay_document::exchange::quote_text;
use drylay_document::sheet::{Extra, Quote, QuoteLine, Sheet, SignedAt, Variant};
use drylay_document::{
    self as document, ChangeOrder, ContentHash, Decimal, Edit, FrozenKind, JobEntry, JobFacts, Money,
};
use drylay_papers::paper::Sign;
use drylay_store::FileHash;

/// The problem that is told first.
fn first(mut found: Vec<Problem>) -> Problem {
    if found.is_empty() { Problem::internal("quote") } else { found.swap_remove(0) }
}

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<QuoteView, Problem> {
    let known = reckon(session, &ask.job)?;
    let books = session.desk().books()?;
    let whole = whole(&known, &books)?;
    let said = known.sheet.quote.clone().unwrap_or_default();
    let mut variants = Vec::new();
    for variant in &said.variants {
        variants.push((variant.clone(), of_variant(session, &ask.job, &known, &books, variant)?));
    }
    let frozen = frozen(session, &ask.job, &said, &whole)?;
    Ok(show::view(&known, &books, &whole, &variants, frozen))
}

/// The quote of the job as it stands.
pub(crate) fn whole(known: &Reckoned, books: &Books) -> Result<QuoteAnswer, Problem> {
    let site = Site { sheet: &known.sheet, areas: &known.areas, works: &known.works };
    quote(&site, known.takeoff(), books, None).map_err(first)
}

/// A variant's quote; `None` while an area of it is not planned.
fn of_variant(
    session: &Session,
    job: &str,
    known: &Reckoned,
    books: &Books,
    variant: &Variant,
) -> Result<Option<QuoteAnswer>, Problem> {
    let sheet = changed(&known.sheet, variant);
    let mut areas = Vec::new();
    for area in &sheet.areas {
        let planned = match &variant.product {
            None => known.areas.iter().find(|planned| planned.id == area.id).cloned(),
            Some(_) => {
                let alone = variant_sheet(&known.sheet, variant, &area.id);
                session.plans().find(&variant_key(job, variant, &area.id), &alone.write())
            }
        };
        match planned {
            Some(planned) => areas.push(planned),
            None => return Ok(None),
        }
    }
    let in_it = |room: &str| areas.iter().any(|area| area.rooms.iter().any(|id| id.as_str() == room));
    let works: Vec<_> = known.works.iter().filter(|work| in_it(&work.room)).cloned().collect();
    let site = Site { sheet: &sheet, areas: &areas, works: &works };
    quote(&site, &count(&site), books, Some(variant)).map(Some).map_err(first)
}

/// Under which name the plan of a variant's area is remembered.
pub(super) fn variant_key(job: &str, variant: &Variant, area: &str) -> (String, String) {
    (job.to_owned(), format!("{area} as {}", variant.id))
}

/// One area of a variant as a sheet, to be planned.
pub(super) fn variant_sheet(sheet: &Sheet, variant: &Variant, area: &str) -> Sheet {
    let mut alone = changed(sheet, variant);
    alone.areas.retain(|a| a.id == area);
    alone.supplies.clear();
    alone.compounds.clear();
    (alone.quote, alone.rates, alone.job.call) = (None, None, None);
    alone.rooms.iter_mut().for_each(|room| room.level = None);
    alone
}

/// The areas of a quote's variants that are laid in another product and not planned yet.
pub(super) fn unplanned(session: &Session, job: &str, sheet: &Sheet) -> Vec<(Variant, String)> {
    let variants = sheet.quote.iter().flat_map(|quote| &quote.variants).filter(|v| v.product.is_some());
    let mut found = Vec::new();
    for variant in variants {
        for area in sheet.areas.iter().filter(|area| is_in(variant, &area.id)) {
            let key = variant_key(job, variant, &area.id);
            if session.plans().find(&key, &variant_sheet(sheet, variant, &area.id).write()).is_none() {
                found.push((variant.clone(), area.id.clone()));
            }
        }
    }
    found
}

/// The frozen quotes, the newest first.
fn frozen(
    session: &Session,
    id: &str,
    said: &Quote,
    whole: &QuoteAnswer,
) -> Result<Vec<show::FrozenQuote>, Problem> {
    let mut desk = session.desk();
    let job = desk.job(id)?;
    let now = ContentHash::of(&show::bytes(said, whole)?);
    let mut found = Vec::new();
    for record in job.view.frozen_records().into_iter().rev() {
        if record.held.value.what != FrozenKind::Quote {
            continue;
        }
        let hash = record.held.value.hash;
        let read = desk.store.read_file(FileHash(hash.0)).ok();
        let bytes = read.and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default();
        let orders = job.view.change_orders.live.iter().filter(|held| held.value.quote == hash);
        let drawn =
            record.held.value.signature.and_then(|drawn| desk.store.read_file(FileHash(drawn.0)).ok());
        let signature = drawn.and_then(|bytes| signature::read(&bytes));
        let orders = orders.cloned().collect();
        found.push(show::FrozenQuote { same: hash == now, orders, record, bytes, signature });
    }
    Ok(found)
}

/// The quotes that stand on paper: the job as it is, then each variant that is planned.
pub(super) fn for_paper(session: &Session, job: &str, known: &Reckoned) -> Result<Vec<QuoteAnswer>, Problem> {
    let books = session.desk().books()?;
    let mut quotes = vec![whole(known, &books)?];
    for variant in known.sheet.quote.iter().flat_map(|quote| &quote.variants) {
        quotes.extend(of_variant(session, job, known, &books, variant)?);
    }
    Ok(quotes)
}

/// How many lines of the quote have no price.
pub(super) fn unpriced(session: &Session, known: &Reckoned) -> Result<usize, Problem> {
    let books = session.desk().books()?;
    Ok(whole(known, &books)?.lines.iter().filter(|line| line.amount.is_none()).count())
}

/// Who signed the quote as it stands; `None` where nobody did, or it moved since.
pub(super) fn signed(
    session: &Session,
    job: &str,
    known: &Reckoned,
    whole: &QuoteAnswer,
) -> Result<Option<Sign>, Problem> {
    let said = known.sheet.quote.clone().unwrap_or_default();
    let frozen = frozen(session, job, &said, whole)?;
    Ok(frozen.into_iter().find(|one| one.same).map(|one| Sign {
        words: String::new(),
        name: one.record.held.value.signed_by.clone().unwrap_or_default(),
        day: day(one.record.held.added.at),
        strokes: one.signature.as_ref().map(signature::on_paper).unwrap_or_default(),
    }))
}

pub(crate) fn set(session: &Session, ask: QuoteSet) -> Result<QuoteView, Problem> {
    let rate = |text: &str, place: &str| -> Result<Option<f64>, Problem> {
        Ok(percent(text, place)?.as_ref().map(Decimal::to_f64))
    };
    let signed_at = match ask.signed_at.as_str() {
        "" => None,
        "home" => Some(SignedAt::Home),
        "shop" => Some(SignedAt::Shop),
        other => return Err(unknown("quote.signed_where", "signed_at", other)),
    };
    let (discount, tax) = (rate(&ask.discount, "discount")?, rate(&ask.tax, "tax")?);
    let deposit = rate(&ask.deposit, "deposit")?;
    change(session, &ask.job, |quote| {
        quote.currency = said(&ask.currency).unwrap_or_default();
        (quote.discount_percent, quote.tax_percent, quote.deposit_percent) = (discount, tax, deposit);
        quote.signed_at = signed_at;
        Ok(())
    })?;
    view(session, OfJob { job: ask.job })
}

/// Changes what a job's quote says beside the plan; nothing where the work on it is refused.
pub(super) fn change(
    session: &Session,
    id: &str,
    work: impl FnOnce(&mut Quote) -> Result<(), Problem>,
) -> Result<(), Problem> {
    let job = session.desk().job(id)?;
    let before = facts(&job.view)?;
    let mut quote = before.quote.as_deref().and_then(Quote::read).unwrap_or_default();
    work(&mut quote)?;
    let after = JobFacts { quote: quote_text(&quote), ..before.clone() };
    let edit = Edit::<JobEntry>::change_single(before, after);
    session.change(job.id, say("what.quote", &[]), |change| change.apply(job.id, &[edit]))
}

/// Adds a line to the quote as it stands, or as a change to a signed one.
pub(crate) fn add_line(session: &Session, ask: QuoteLineAdd) -> Result<QuoteView, Problem> {
    let words = said(&ask.words).ok_or_else(|| Problem::new("quote.no_words", "words"))?;
    let unit = said(&ask.unit).ok_or_else(|| Problem::new("quote.no_words", "unit"))?;
    let amount = |text: &str, place: &str| {
        let found = Decimal::parse(&text.trim().replacen(',', ".", 1));
        let found = found.filter(|d| d.to_f64() >= 0.0 && d.as_str().len() <= 20);
        found.ok_or_else(|| Problem::new("quote.no_amount", place).with("found", text))
    };
    let (quantity, price) = (amount(&ask.quantity, "quantity")?, amount(&ask.price, "price")?);
    let Some(signed) = &ask.signed else {
        let (quantity, price) = (quantity.to_f64(), price.as_str().to_owned());
        let line = QuoteLine { name: words, quantity, unit, price, extra: Extra::new() };
        change(session, &ask.job, |quote| {
            quote.lines.push(line);
            Ok(())
        })?;
        return view(session, OfJob { job: ask.job });
    };
    let days = match ask.days.as_deref().map(str::trim).filter(|text| !text.is_empty()) {
        Some(text) => {
            let days = text.parse().ok().filter(|n| (0..=1000).contains(n));
            Some(days.ok_or_else(|| Problem::new("quote.no_amount", "days").with("found", text))?)
        }
        None => None,
    };
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let id = desk.new_id();
    drop(desk);
    let held = job.view.frozen.live.iter().find(|held| held.id.as_str() == signed);
    let quote = held.ok_or_else(|| unknown("quote.unknown", "signed", signed))?.value.hash;
    let line = document::QuoteLine { words: words.clone(), quantity, unit, price: Money(price) };
    let order = ChangeOrder { quote, words, lines: vec![line], days, signed: None };
    let edit = Edit::<JobEntry>::add(id, order);
    session.change(job.id, say("what.change_order", &[]), |change| change.apply(job.id, &[edit]))?;
    view(session, OfJob { job: ask.job })
}

/// Freezes the quote as it stands: what was signed does not move when prices do. The same quote twice is one.
pub(crate) fn freeze(session: &Session, ask: QuoteFreeze) -> Result<QuoteView, Problem> {
    let signed_by = said(&ask.signed_by).ok_or_else(|| Problem::new("quote.no_name", "signed_by"))?;
    let drawn = ask.signature.as_ref().map(signature::bytes).transpose()?.flatten();
    let known = reckon(session, &ask.job)?;
    if let Some(waiting) = known.waiting.first() {
        return Err(Problem::new("quote.not_whole", "").with("what", waiting.words()));
    }
    let books = session.desk().books()?;
    let whole = whole(&known, &books)?;
    let unpriced = whole.lines.iter().find(|line| line.amount.is_none());
    if let Some(line) = unpriced {
        return Err(Problem::new("quote.not_whole", "").with("what", &line.name));
    }
    let said = known.sheet.quote.clone().unwrap_or_default();
    let bytes = show::bytes(&said, &whole)?;
    let quote = Signed { what: FrozenKind::Quote, file: "quote", bytes: &bytes, by: signed_by, drawn };
    signed::keep(session, &known.job, say("what.quote_frozen", &[]), quote)?;
    view(session, OfJob { job: ask.job })
}
