//! The shop's prices and rates, in and out as lists.

use super::shop::change;
use crate::Problem;
use crate::books::{Books, PriceRow, RateRow, read_prices, read_rates, write_prices, write_rates};
use crate::desk::Desk;
use crate::refusal::unknown;
use crate::session::Session;
use crate::wire::{BooksRead, BooksView, Nothing};
use drylay_document::{self as document, Decimal, Edit, Entry, Held, Money, ShopEntry};
use drylay_geometry::ItemId;

impl Desk {
    /// The shop's prices and rates.
    pub(crate) fn books(&mut self) -> Result<Books, Problem> {
        let Some(shop) = self.shop()? else { return Ok(Books::default()) };
        let prices = shop.prices.live.iter().filter_map(|held| price(&held.value)).collect();
        let rates = shop.rates.live.iter().filter_map(|held| rate(&held.value)).collect();
        Ok(Books { prices, rates })
    }
}

fn price(kept: &document::Price) -> Option<PriceRow> {
    Some(PriceRow {
        item: kept.item.clone(),
        unit: kept.unit.clone(),
        amount: kept.amount.0.as_str().parse().ok()?,
        since: kept.since.clone().unwrap_or_default(),
        supplier: kept.supplier.clone().unwrap_or_default(),
    })
}

fn rate(kept: &document::Rate) -> Option<RateRow> {
    Some(RateRow {
        task: kept.task.clone(),
        unit: kept.unit.clone(),
        per_hour: kept.per_hour.as_str().parse().ok()?,
        hourly: kept.hourly.as_ref()?.0.as_str().parse().ok()?,
    })
}

pub(crate) fn view(session: &Session, _ask: Nothing) -> Result<BooksView, Problem> {
    let Books { prices, rates } = session.desk().books()?;
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Ok(BooksView {
        prices: write_prices(&prices),
        price_count: count(prices.len()),
        rates: write_rates(&rates),
        rate_count: count(rates.len()),
        problems: Vec::new(),
    })
}

/// Reads a list in the place of the one that is kept, or tells everything that is wrong with it.
pub(crate) fn read(session: &Session, ask: BooksRead) -> Result<BooksView, Problem> {
    let shop = session.desk().shop()?;
    let decimal = |amount: &rust_decimal::Decimal| Decimal::parse(&amount.to_string());
    let edits = match ask.what.as_str() {
        "prices" => read_prices(ask.text.as_bytes()).map(|rows| {
            let wanted = rows.iter().filter_map(|row| {
                let entry = document::Price {
                    item: row.item.clone(),
                    amount: Money(decimal(&row.amount)?),
                    unit: row.unit.clone(),
                    since: super::jobs::said(&row.since),
                    supplier: super::jobs::said(&row.supplier),
                };
                Some((ItemId::new(format!("{} of {}", row.unit, row.item)), entry))
            });
            replaced(shop.as_ref().map_or(&[][..], |shop| &shop.prices.live[..]), wanted.collect())
        }),
        "rates" => read_rates(ask.text.as_bytes()).map(|rows| {
            let wanted = rows.iter().filter_map(|row| {
                let entry = document::Rate {
                    task: row.task.clone(),
                    per_hour: decimal(&row.per_hour)?,
                    unit: row.unit.clone(),
                    hourly: Some(Money(decimal(&row.hourly)?)),
                };
                Some((ItemId::new(&row.task), entry))
            });
            replaced(shop.as_ref().map_or(&[][..], |shop| &shop.rates.live[..]), wanted.collect())
        }),
        other => return Err(unknown("list.unknown", "what", other)),
    };
    match edits {
        Ok(edits) => change(session, &edits)?,
        Err(problems) => return Ok(BooksView { problems, ..view(session, Nothing {})? }),
    }
    view(session, Nothing {})
}

/// The edits that put a list in the place of what is kept.
fn replaced<T: Entry + PartialEq + Clone + Into<ShopEntry>>(
    kept: &[Held<T>],
    wanted: Vec<(ItemId, T)>,
) -> Vec<Edit<ShopEntry>> {
    let gone = kept.iter().filter(|held| !wanted.iter().any(|(id, _)| *id == held.id));
    let mut edits: Vec<Edit<ShopEntry>> =
        gone.map(|held| Edit::Withdraw { table: T::TABLE, id: held.id.clone() }).collect();
    for (id, entry) in wanted {
        match kept.iter().find(|held| held.id == id) {
            Some(held) if held.value == entry => {}
            Some(held) => edits.push(Edit::change(id, held.value.clone(), entry)),
            None => edits.push(Edit::add(id, entry)),
        }
    }
    edits
}
