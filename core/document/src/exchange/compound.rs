//! Compounds, both ways: in a job each is a product whose own figures are kept as the sheet writes them.

use crate::schema as doc;
use crate::sheet::Compound;
use crate::stored::Decimal;
use crate::{Edit, JobEntry, JobView};
use drylay_geometry::ProductId;

/// The edit that puts a compound into a job.
pub(super) fn product(compound: &Compound) -> Edit<JobEntry> {
    let hours = |hours: Option<f64>| hours.and_then(Decimal::from_f64);
    let entry = doc::Product {
        demands: compound.write(),
        pack_yield: Decimal::from_f64(compound.bag_litres),
        pack_kg: compound.bag_kg.and_then(Decimal::from_f64),
        hours_to_walk: hours(compound.walk_hours),
        hours_to_cure: hours(compound.cover_hours),
        ..doc::Product::named(compound.name.clone(), doc::Use::Compound)
    };
    Edit::add(compound.id.as_str(), entry)
}

/// The compounds of a job whose figures are known.
pub(super) fn all(job: &JobView) -> Vec<Compound> {
    let compounds = job.products.live.iter().filter(|held| held.value.used_as == doc::Use::Compound);
    compounds.filter_map(read).collect()
}

/// A compound of a job; `None` where its figures are not known.
pub(super) fn read(held: &crate::Held<doc::Product>) -> Option<Compound> {
    let found = Compound::read(held.value.demands.as_deref()?)?;
    Some(Compound { id: ProductId::new(held.id.as_str()), name: held.value.name.clone(), ..found })
}
