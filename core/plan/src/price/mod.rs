//! Money: decimals from end to end, never binary fractions, and every rounding in one place.
//!
//! Quantities count to hundredths, hours to hundredths, amounts to hundredths of the currency; halves go away from
//! nought. A line is rounded once, when its quantity is multiplied by its price; discount, tax and deposit once each,
//! of sums of rounded lines. So everything on a quote adds up as it is printed.

mod cases;
mod labour;
mod terms;

pub use cases::{Cases, Settled, Spread, cases};
pub use labour::{Labour, Pace};
pub use terms::{Terms, Totals, totals};

use rust_decimal::{Decimal, RoundingStrategy};

/// Places after the point of quantities, hours and money.
pub const PLACES: u32 = 2;

/// A sum beyond this is a slip of the pen: a million million.
const MOST: Decimal = Decimal::from_parts(0xD4A5_1000, 0xE8, 0, false, 0);

/// A figure is too large to be money or to be multiplied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the amount is too large")]
pub struct TooLarge;

/// Rounded to hundredths, halves away from nought.
pub fn rounded(x: Decimal) -> Decimal {
    x.round_dp_with_strategy(PLACES, RoundingStrategy::MidpointAwayFromZero)
}

/// A measure as a quantity: to hundredths, by the decimal digits of the binary number; `None` where it is none.
pub fn quantity(x: f64) -> Option<Decimal> {
    let exact: Decimal = format!("{x}").parse().ok()?;
    within(rounded(exact)).ok()
}

/// Quantity times price, rounded.
///
/// # Errors
/// It is too large.
pub fn amount(quantity: Decimal, price: Decimal) -> Result<Decimal, TooLarge> {
    within(rounded(quantity.checked_mul(price).ok_or(TooLarge)?))
}

/// The sum of amounts.
///
/// # Errors
/// It is too large.
pub fn sum(amounts: impl IntoIterator<Item = Decimal>) -> Result<Decimal, TooLarge> {
    amounts.into_iter().try_fold(Decimal::ZERO, |all, one| within(all.checked_add(one).ok_or(TooLarge)?))
}

/// A share in per cent of an amount, rounded.
fn percent(of: Decimal, percent: Decimal) -> Result<Decimal, TooLarge> {
    amount(of, percent.checked_div(Decimal::ONE_HUNDRED).ok_or(TooLarge)?)
}

fn within(x: Decimal) -> Result<Decimal, TooLarge> {
    if x.abs() <= MOST { Ok(x) } else { Err(TooLarge) }
}
