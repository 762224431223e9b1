//! What the shop brings to a quote: prices, and how fast the crew works and what an hour brings. Prices may travel with a
//! job; rates stay with the shop.

mod list;

pub(crate) use list::written;
pub use list::{read_prices, read_rates, write_prices, write_rates};

use rust_decimal::Decimal;

/// Prices and rates.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Books {
    /// Prices by thing and unit.
    pub prices: Vec<PriceRow>,
    /// Rates by task.
    pub rates: Vec<RateRow>,
}

/// What one of something costs, without tax.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PriceRow {
    /// What: the id of a product, compound or supply, or words such as "disposal".
    pub item: String,
    /// Of what one costs the amount: "carton", "bag", "kg".
    pub unit: String,
    /// The amount.
    pub amount: Decimal,
    /// Since when, as year-month-day.
    pub since: String,
    /// From whom.
    pub supplier: String,
}

/// How fast the crew does something, and what an hour of it costs the client.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RateRow {
    /// What: "lay", "demolish", "grout".
    pub task: String,
    /// In which unit: "m2", "ft2", "m", "ft", "piece", "hour".
    pub unit: String,
    /// How much one person does in an hour; more than nothing.
    pub per_hour: Decimal,
    /// What an hour of it costs.
    pub hourly: Decimal,
}

impl Books {
    /// The price of something in a unit.
    pub(crate) fn price(&self, item: &str, unit: &str) -> Option<Decimal> {
        self.prices.iter().find(|row| row.item == item && row.unit == unit).map(|row| row.amount)
    }

    /// The rate of a task.
    pub(crate) fn rate(&self, task: &str) -> Option<&RateRow> {
        self.rates.iter().find(|row| row.task == task)
    }
}
