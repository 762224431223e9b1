//! Labour by production rates: how long work takes at the crew's pace, and what that costs.

use super::{TooLarge, amount, rounded};
use rust_decimal::Decimal;

/// How fast the crew does something, and what an hour of it costs the client.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pace {
    /// How much one person does in an hour; more than nothing.
    pub per_hour: Decimal,
    /// What an hour costs.
    pub hourly: Decimal,
}

/// Work in hours and money.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Labour {
    /// Hours of one person, to hundredths.
    pub hours: Decimal,
    /// What they cost.
    pub amount: Decimal,
}

impl Labour {
    /// So much work at a pace.
    ///
    /// # Errors
    /// It is too much, or the pace is nothing.
    pub fn of(quantity: Decimal, pace: Pace) -> Result<Self, TooLarge> {
        let hours = rounded(quantity.checked_div(pace.per_hour).ok_or(TooLarge)?);
        Ok(Self { hours, amount: amount(hours, pace.hourly)? })
    }
}
