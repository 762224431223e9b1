//! What a quote says beside the plan, both ways: its variants are things of their own, the rest is kept as the sheet
//! writes it.

use crate::schema as doc;
use crate::sheet::{Extra, Quote, QuoteLine, Variant};
use crate::stored::{Decimal, Money};
use crate::{Edit, JobEntry, JobView};
use drylay_geometry::{ItemId, ProductId};

/// A quote without its variants, as a document keeps it; nothing where it says nothing.
pub fn quote_text(quote: &Quote) -> Option<String> {
    Quote { variants: Vec::new(), ..quote.clone() }.write()
}

/// The edits that put a quote's variants into a job.
pub(super) fn variants(quote: &Quote) -> Vec<Edit<JobEntry>> {
    let variant = |v: &Variant| {
        let entry = doc::Variant {
            name: v.name.clone(),
            areas: v.areas.iter().map(ItemId::new).collect(),
            product: v.product.as_ref().map(|p| ItemId::new(p.as_str())),
            lines: v.lines.iter().filter_map(line).collect(),
            discount_percent: v.discount_percent.and_then(Decimal::from_f64),
            chosen: None,
        };
        Edit::add(v.id.clone(), entry)
    };
    quote.variants.iter().map(variant).collect()
}

fn line(line: &QuoteLine) -> Option<doc::QuoteLine> {
    let (quantity, price) = (Decimal::from_f64(line.quantity)?, Money(Decimal::parse(&line.price)?));
    Some(doc::QuoteLine { words: line.name.clone(), quantity, unit: line.unit.clone(), price })
}

/// The quote of a job; `None` where nothing is said.
pub(super) fn written(job: &JobView) -> Option<Quote> {
    let kept = job.facts.value.as_ref().and_then(|facts| Quote::read(facts.quote.as_deref()?));
    let variants: Vec<Variant> =
        job.variants.live.iter().map(|held| variant(&held.id, &held.value)).collect();
    (kept.is_some() || !variants.is_empty()).then(|| Quote { variants, ..kept.unwrap_or_default() })
}

fn variant(id: &ItemId, v: &doc::Variant) -> Variant {
    let line = |l: &doc::QuoteLine| QuoteLine {
        name: l.words.clone(),
        quantity: l.quantity.to_f64(),
        unit: l.unit.clone(),
        price: l.price.0.as_str().to_owned(),
        extra: Extra::new(),
    };
    Variant {
        id: id.clone(),
        name: v.name.clone(),
        areas: v.areas.iter().map(ToString::to_string).collect(),
        product: v.product.as_ref().map(|p| ProductId::new(p.as_str())),
        discount_percent: v.discount_percent.as_ref().map(Decimal::to_f64),
        lines: v.lines.iter().map(line).collect(),
        extra: Extra::new(),
    }
}
