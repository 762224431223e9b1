//! Discount, tax and deposit on the lines of a quote.

use super::{TooLarge, percent, sum};
use rust_decimal::Decimal;

/// What is agreed about all lines together, in per cent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// Taken off everything.
    pub discount: Decimal,
    /// Added to what is left.
    pub tax: Decimal,
    /// Of the total, with the order.
    pub deposit: Decimal,
}

/// What lines come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Totals {
    /// All lines.
    pub lines: Decimal,
    /// What is taken off.
    pub discount: Decimal,
    /// What is left: what the tax is of.
    pub net: Decimal,
    /// The tax.
    pub tax: Decimal,
    /// What is paid.
    pub total: Decimal,
    /// What is paid with the order.
    pub deposit: Decimal,
    /// What is paid at the end.
    pub rest: Decimal,
}

/// Adds up lines that are rounded already.
///
/// # Errors
/// They come to too much.
pub fn totals(lines: impl IntoIterator<Item = Decimal>, terms: Terms) -> Result<Totals, TooLarge> {
    let lines = sum(lines)?;
    let discount = percent(lines, terms.discount)?;
    let net = lines - discount;
    let tax = percent(net, terms.tax)?;
    let total = sum([net, tax])?;
    let deposit = percent(total, terms.deposit)?;
    Ok(Totals { lines, discount, net, tax, total, deposit, rest: total - deposit })
}
