//! What a quote says beside the plan: its terms, work that no plan yields, what may lie hidden, and variants.

use super::Extra;
use super::fields::{Fields, Item, kind};
use drylay_geometry::{ItemId, ProductId};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// Terms of a quote and what is in it beside what the plan yields. Prices are without tax. What an hour of the crew's
/// work brings and how fast it works has no field here: the shop keeps that to itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Quote {
    /// The currency of all prices: USD, EUR.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub currency: String,
    /// Discount in per cent of everything before tax.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub discount_percent: Option<f64>,
    /// Tax in per cent of what is left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tax_percent: Option<f64>,
    /// Deposit with the order, in per cent of the total.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deposit_percent: Option<f64>,
    /// Where the client signs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub signed_at: Option<SignedAt>,
    /// Work that no plan yields: taking up the old floor, moving furniture, driving there.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub work: Vec<Task>,
    /// What may come to light under the old floor, by the unit.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub hidden: Vec<Hidden>,
    /// Other lines, at a price each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub lines: Vec<QuoteLine>,
    /// Variants of the job, side by side.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub variants: Vec<Variant>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Where a quote is signed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SignedAt {
    /// At the client's home.
    Home,
    /// At the shop.
    Shop,
}

/// Work that no plan yields.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Task {
    /// What: the name of a rate or of a price, such as "demolish", "furniture", "travel".
    pub task: String,
    /// What people call it.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub name: String,
    /// How much.
    pub quantity: f64,
    /// Of what: "m2", "m", "piece", "km", "hour".
    pub unit: String,
    /// What one of it weighs that has to be carted away and disposed of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg_each: Option<f64>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// Something that may come to light, at a price by the unit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Hidden {
    /// What: a rotten board, another layer of old floor.
    pub name: String,
    /// Of what one costs the price.
    pub unit: String,
    /// What one costs.
    pub price: String,
    /// How many of it there likely are.
    pub likely: f64,
    /// How many of it there are if it is bad.
    pub bad: f64,
    /// Whether reading the floor would settle it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schemars(default)]
    pub reading_settles: bool,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A line at a price.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct QuoteLine {
    /// What it is.
    pub name: String,
    /// How many.
    pub quantity: f64,
    /// Of what.
    pub unit: String,
    /// What one costs.
    pub price: String,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// A variant of the job: another product, other areas, other lines.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Variant {
    /// Its name within the sheet.
    #[schemars(with = "String")]
    #[serde(serialize_with = "super::measure::as_text")]
    pub id: ItemId,
    /// What it is called.
    pub name: String,
    /// The areas in it; all of them if left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub areas: Vec<String>,
    /// A product laid instead of the areas' own.
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "super::measure::as_maybe_text")]
    #[schemars(with = "Option<String>")]
    pub product: Option<ProductId>,
    /// Its own discount in per cent, in the place of the quote's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub discount_percent: Option<f64>,
    /// Lines in it alone.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub lines: Vec<QuoteLine>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn quote(item: Item<'_>) -> Option<Quote> {
    let mut f = item.object()?;
    Some(Quote {
        currency: f.optional("currency", kind::text).unwrap_or_default(),
        discount_percent: percent(&mut f, "discount_percent"),
        tax_percent: percent(&mut f, "tax_percent"),
        deposit_percent: percent(&mut f, "deposit_percent"),
        signed_at: f
            .optional("signed_at", |i| i.choice(&[("home", SignedAt::Home), ("shop", SignedAt::Shop)])),
        work: f.optional("work", |i| i.list(task)).unwrap_or_default(),
        hidden: f.optional("hidden", |i| i.list(hidden)).unwrap_or_default(),
        lines: f.optional("lines", |i| i.list(line)).unwrap_or_default(),
        variants: f.optional("variants", |i| i.list(variant)).unwrap_or_default(),
        extra: f.rest(),
    })
}

/// Per cents from nothing to a hundred.
fn percent(f: &mut Fields<'_>, field: &str) -> Option<f64> {
    f.optional(field, |i| i.at_most(100.0, "sheet.percent"))
}

fn task(item: Item<'_>) -> Option<Task> {
    let mut f = item.object()?;
    let (task, unit) = (f.required("task", kind::name), f.required("unit", kind::name));
    let quantity = f.required("quantity", kind::amount);
    let name = f.optional("name", kind::text).unwrap_or_default();
    let kg_each = f.optional("kg_each", kind::amount);
    let extra = f.rest();
    Some(Task { task: task?, name, quantity: quantity?, unit: unit?, kg_each, extra })
}

fn hidden(item: Item<'_>) -> Option<Hidden> {
    let mut f = item.object()?;
    let (name, unit) = (f.required("name", kind::name), f.required("unit", kind::name));
    let price = f.required("price", super::read::money);
    let (likely, bad) = (f.required("likely", kind::amount), f.required("bad", kind::amount));
    let reading_settles = f.optional("reading_settles", kind::yes_no).unwrap_or(false);
    let extra = f.rest();
    Some(Hidden {
        name: name?,
        unit: unit?,
        price: price?,
        likely: likely?,
        bad: bad?,
        reading_settles,
        extra,
    })
}

fn line(item: Item<'_>) -> Option<QuoteLine> {
    let mut f = item.object()?;
    let (name, unit) = (f.required("name", kind::name), f.required("unit", kind::name));
    let (quantity, price) = (f.required("quantity", kind::amount), f.required("price", super::read::money));
    let extra = f.rest();
    Some(QuoteLine { name: name?, quantity: quantity?, unit: unit?, price: price?, extra })
}

fn variant(item: Item<'_>) -> Option<Variant> {
    let mut f = item.object()?;
    let (id, name) = (f.required("id", kind::name), f.required("name", kind::name));
    let areas = f.optional("areas", |i| i.list(kind::name)).unwrap_or_default();
    let product = f.optional("product", kind::name).map(ProductId::new);
    let discount_percent = percent(&mut f, "discount_percent");
    let lines = f.optional("lines", |i| i.list(line)).unwrap_or_default();
    let extra = f.rest();
    Some(Variant { id: ItemId::new(id?), name: name?, areas, product, discount_percent, lines, extra })
}

impl Quote {
    /// Reads one from its own text, as a document keeps it; `None` if it is none. What a newer program wrote is kept.
    pub fn read(text: &str) -> Option<Self> {
        super::fields::alone(text, quote)
    }

    /// Writes it as a document keeps it; nothing where it says nothing.
    pub fn write(&self) -> Option<String> {
        let value = serde_json::to_value(self).ok()?;
        (value != Value::Object(Extra::new())).then(|| value.to_string())
    }
}
