//! The likely and the bad case: what may come to light, at the prices by the unit that the quote names.

use super::{Terms, TooLarge, Totals, amount, totals};
use rust_decimal::Decimal;

/// Something that may come to light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spread {
    /// What one of it costs.
    pub price: Decimal,
    /// How many there likely are.
    pub likely: Decimal,
    /// How many there are if it is bad.
    pub bad: Decimal,
    /// Whether reading more of the job would settle it.
    pub reading_settles: bool,
}

/// What the job comes to in either case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cases {
    /// Likely.
    pub likely: Totals,
    /// If it is bad.
    pub bad: Totals,
    /// What reading more would settle.
    pub reading: Settled,
}

/// What reading would settle of the difference between the bad and the likely case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settled {
    /// The difference between the two.
    pub spread: Decimal,
    /// What of it would be known.
    pub settles: Decimal,
}

/// The cases of a quote whose sure lines are given.
///
/// # Errors
/// They come to too much.
pub fn cases(lines: &[Decimal], spreads: &[Spread], terms: Terms) -> Result<Cases, TooLarge> {
    let with = |how_many: &dyn Fn(&Spread) -> Decimal| {
        let hidden: Result<Vec<Decimal>, TooLarge> =
            spreads.iter().map(|s| amount(how_many(s), s.price)).collect();
        totals(lines.iter().copied().chain(hidden?), terms)
    };
    let likely = with(&|s| s.likely)?;
    let bad = with(&|s| s.bad)?;
    let read = with(&|s| if s.reading_settles { s.likely } else { s.bad })?;
    let reading = Settled { spread: bad.total - likely.total, settles: bad.total - read.total };
    Ok(Cases { likely, bad, reading })
}
