//! Supplies, both ways: in a job each is a product whose own figures are kept as the sheet writes them.

use crate::schema as doc;
use crate::sheet::{Supply, SupplyUse};
use crate::stored::Decimal;
use crate::{Edit, JobEntry, JobView};
use drylay_geometry::ProductId;

/// The edit that puts a supply into a job.
pub(super) fn product(supply: &Supply) -> Edit<JobEntry> {
    Edit::add(supply.id.as_str(), supply_entry(supply))
}

/// A supply as a job keeps it.
pub fn supply_entry(supply: &Supply) -> doc::Product {
    let used_as = match supply.used_as {
        SupplyUse::Underlay | SupplyUse::Film | SupplyUse::Tape => doc::Use::Underlay,
        SupplyUse::Grout | SupplyUse::Sealant => doc::Use::Joint,
        SupplyUse::Transition | SupplyUse::Trim => doc::Use::Trim,
        SupplyUse::Adhesive => doc::Use::Adhesive,
        SupplyUse::Spacers | SupplyUse::Blade | SupplyUse::Consumable => doc::Use::Consumable,
    };
    let pack = supply.pack.as_ref();
    doc::Product {
        demands: supply.write(),
        pack_kg: pack.and_then(|p| Decimal::from_f64(p.kg?)),
        pack_yield: pack.and_then(|p| Decimal::from_f64(p.holds?)),
        ..doc::Product::named(supply.name.clone(), used_as)
    }
}

/// The supplies of a job whose figures are known.
pub(super) fn all(job: &JobView) -> Vec<Supply> {
    job.products.live.iter().filter_map(supply).collect()
}

/// A supply of a job; `None` for anything else.
pub fn supply(held: &crate::Held<doc::Product>) -> Option<Supply> {
    if matches!(held.value.used_as, doc::Use::Floor | doc::Use::Compound) {
        return None;
    }
    let found = Supply::read(held.value.demands.as_deref()?)?;
    Some(Supply { id: ProductId::new(held.id.as_str()), name: held.value.name.clone(), ..found })
}
