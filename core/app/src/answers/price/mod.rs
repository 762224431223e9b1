//! `drylay price`: what a job costs the client: material by the price list, labour by the crew's rates, terms, variants,
//! the likely and the bad case.

mod lines;
mod quote;
mod reminders;
mod work;

pub use lines::QuotedLine;
pub use quote::{CasesAnswer, QuoteAnswer, ReadingAnswer, TotalsAnswer};

use super::plan::{PlannedArea, plan_areas};
use super::takeoff::{RoomWork, Site, count, floor_works};
use super::{Answer, ResolvedRoom, resolve};
use crate::Problem;
use crate::books::{Books, written};
use drylay_document::sheet::{BestOr, Sheet, Variant};
use rust_decimal::Decimal;
use serde::Serialize;

/// The answer: the job as it stands, then its variants.
#[derive(Debug, Serialize)]
pub struct PriceAnswer {
    /// The currency of all amounts; empty where the sheet names none.
    pub currency: String,
    /// How amounts are rounded.
    pub rounding: &'static str,
    /// The job as it stands, then each of its variants.
    pub quotes: Vec<QuoteAnswer>,
    /// What the law of many places asks where something is sold or broken open; local law decides.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reminders: Vec<Problem>,
    /// What was odd and did not keep it from being computed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
}

/// How amounts are rounded, in words.
pub(crate) const ROUNDING: &str =
    "each line, discount, tax and deposit once to hundredths, halves away from nought";

/// Answers `drylay price`. `go_on` may end the searches early.
///
/// # Errors
/// Everything that is wrong with the sheet, or amounts that are too large.
pub fn price(sheet: &Sheet, books: &Books, go_on: &mut dyn FnMut() -> bool) -> Answer<PriceAnswer> {
    let resolved = resolve(sheet)?;
    let (works, mut notes) = floor_works(sheet, &resolved, go_on);
    let areas = plan_areas(sheet, &resolved, go_on)?;
    let quotes = price_of(sheet, &resolved, (&areas, &works), books, go_on)?;
    notes.extend(areas.iter().flat_map(|a| a.notes.iter().cloned()));
    Ok(PriceAnswer {
        currency: sheet.quote.as_ref().map(|q| q.currency.clone()).unwrap_or_default(),
        rounding: ROUNDING,
        quotes,
        reminders: reminders(sheet),
        notes,
    })
}

/// The quote of the job as it stands, then those of its variants.
pub(crate) fn price_of(
    sheet: &Sheet,
    resolved: &[ResolvedRoom],
    (areas, works): (&[PlannedArea], &[RoomWork]),
    books: &Books,
    go_on: &mut dyn FnMut() -> bool,
) -> Answer<Vec<QuoteAnswer>> {
    let site = Site { sheet, areas, works };
    let mut quotes = vec![quote(&site, &count(&site), books, None)?];
    for variant in sheet.quote.iter().flat_map(|quote| &quote.variants) {
        let changed = changed(sheet, variant);
        let areas = match &variant.product {
            Some(_) => plan_areas(&changed, resolved, go_on)?,
            None => areas.iter().filter(|area| is_in(variant, &area.id)).cloned().collect(),
        };
        let works: Vec<RoomWork> = works.iter().filter(|work| covers(&areas, &work.room)).cloned().collect();
        let site = Site { sheet: &changed, areas: &areas, works: &works };
        quotes.push(quote(&site, &count(&site), books, Some(variant))?);
    }
    Ok(quotes)
}

impl PriceAnswer {
    /// The lines of all quotes as CSV.
    pub fn csv(&self) -> String {
        let columns = ["quote", "kind", "item", "name", "quantity", "unit", "price", "hours", "amount"];
        let text = |amount: Option<Decimal>| amount.map_or_else(String::new, |amount| amount.to_string());
        let lines = self.quotes.iter().flat_map(|quote| quote.lines.iter().map(move |line| (quote, line)));
        written(
            &columns,
            lines.map(|(quote, line)| {
                let quote = quote.id.clone().unwrap_or_default();
                let (kind, unit) = (line.kind.to_owned(), line.unit.clone());
                let (item, name) = (line.item.clone(), line.name.clone());
                let (price, hours) = (text(line.price), text(line.hours));
                [quote, kind, item, name, line.quantity.to_string(), unit, price, hours, text(line.amount)]
            }),
        )
    }
}

pub(crate) use quote::quote;
pub(crate) use reminders::reminders;

/// Whether an area is in a variant.
pub(crate) fn is_in(variant: &Variant, area: &str) -> bool {
    variant.areas.is_empty() || variant.areas.iter().any(|id| id == area)
}

fn covers(areas: &[PlannedArea], room: &str) -> bool {
    areas.iter().any(|area| area.rooms.iter().any(|id| id.as_str() == room))
}

/// A sheet with the areas of a variant alone, laid in its product. What was fixed of a layout stays where the other
/// product allows it.
pub(crate) fn changed(sheet: &Sheet, variant: &Variant) -> Sheet {
    let mut changed = sheet.clone();
    changed.areas.retain(|area| is_in(variant, &area.id));
    let Some(id) = &variant.product else { return changed };
    let product = sheet.product(id);
    for area in &mut changed.areas {
        area.product = id.clone();
        let layout = &mut area.layout;
        let allowed = |offset| product.is_some_and(|p| p.offsets.contains(offset));
        if layout.offset.fixed().is_some_and(|offset| !allowed(offset)) {
            layout.offset = BestOr::Best;
        }
        // Where the rows begin was found for the other tile.
        (layout.first_row, layout.shift) = (BestOr::Best, BestOr::Best);
    }
    changed
}
