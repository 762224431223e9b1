//! A line of a quote, priced.

use crate::Problem;
use drylay_plan::price::{Labour, Pace, TooLarge, amount};
use rust_decimal::Decimal;
use serde::{Serialize, Serializer};

/// A line of a quote.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuotedLine {
    /// `material`, `labour`, `work`, `disposal`, `other`, or `hidden` for what may come to light.
    pub kind: &'static str,
    /// What it is of: a product, a task, or the line's own name.
    pub item: String,
    /// What people call it.
    pub name: String,
    /// How many.
    #[serde(serialize_with = "plain")]
    pub quantity: Decimal,
    /// Of what.
    pub unit: String,
    /// What one costs; absent where it goes by the hour, or nothing says.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "plain_if")]
    pub price: Option<Decimal>,
    /// Hours of one person; absent where it does not go by the hour.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "plain_if")]
    pub hours: Option<Decimal>,
    /// What an hour costs.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "plain_if")]
    pub hourly: Option<Decimal>,
    /// What the line comes to; absent where nothing says what it costs.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "money_if")]
    pub amount: Option<Decimal>,
}

impl QuotedLine {
    /// A line at a price; without an amount where there is none.
    pub(super) fn priced(
        kind: &'static str,
        (item, name): (&str, &str),
        (quantity, unit): (Decimal, &str),
        price: Option<Decimal>,
    ) -> Result<Self, TooLarge> {
        let amount = price.map(|price| amount(quantity, price)).transpose()?;
        let (item, name, unit) = (item.to_owned(), name.to_owned(), unit.to_owned());
        Ok(Self { kind, item, name, quantity, unit, price, hours: None, hourly: None, amount })
    }

    /// A line by the hour.
    pub(super) fn by_hour(
        kind: &'static str,
        (item, name): (&str, &str),
        (quantity, unit): (Decimal, &str),
        pace: Pace,
    ) -> Result<Self, TooLarge> {
        let Labour { hours, amount } = Labour::of(quantity, pace)?;
        let line = Self::priced(kind, (item, name), (quantity, unit), None)?;
        Ok(Self { hours: Some(hours), hourly: Some(pace.hourly), amount: Some(amount), ..line })
    }
}

/// Amounts that are too large, as a problem of the sheet.
pub(super) fn too_large(_: TooLarge) -> Vec<Problem> {
    vec![Problem::new("quote.too_large", "quote")]
}

/// Money with its two places.
pub(super) fn money<S: Serializer>(amount: &Decimal, s: S) -> Result<S::Ok, S::Error> {
    s.collect_str(&format_args!("{amount:.2}"))
}

/// Money with its two places, where there is any.
pub(super) fn money_if<S: Serializer>(amount: &Option<Decimal>, s: S) -> Result<S::Ok, S::Error> {
    match amount {
        Some(amount) => money(amount, s),
        None => s.serialize_none(),
    }
}

/// A decimal as its digits, so that none is lost.
pub(super) fn plain<S: Serializer>(x: &Decimal, s: S) -> Result<S::Ok, S::Error> {
    s.collect_str(x)
}

fn plain_if<S: Serializer>(x: &Option<Decimal>, s: S) -> Result<S::Ok, S::Error> {
    match x {
        Some(x) => plain(x, s),
        None => s.serialize_none(),
    }
}
