//! Supplies, both ways: in a job each is a product whose own figures are kept as the sheet writes them.

use crate::schema as doc;
use crate::sheet::{Supply, SupplyUse};
use crate::stored::Decimal;
use crate::{Edit, JobEntry, JobView};
use drylay_geometry::ProductId;

/// The edit that puts a supply into a job.
pub(super) fn product(supply: &Supply) -> Edit<JobEntry> {
    let used_as = match supply.used_as {
        SupplyUse::Underlay | SupplyUse::Film | SupplyUse::Tape => doc::Use::Underlay,
        SupplyUse::Grout | SupplyUse::Sealant => doc::Use::Joint,
        SupplyUse::Transition | SupplyUse::Trim => doc::Use::Trim,
        SupplyUse::Adhesive => doc::Use::Adhesive,
        SupplyUse::Spacers | SupplyUse::Blade | SupplyUse::Consumable => doc::Use::Consumable,
    };
    let pack = supply.pack.as_ref();
    let entry = doc::Product {
        demands: supply.write(),
        pack_kg: pack.and_then(|p| Decimal::from_f64(p.kg?)),
        pack_yield: pack.and_then(|p| Decimal::from_f64(p.holds?)),
        ..doc::Product::named(supply.name.clone(), used_as)
    };
    Edit::add(supply.id.as_str(), entry)
}

/// The supplies of a job whose figures are known.
pub(super) fn all(job: &JobView) -> Vec<Supply> {
    job.products.live.iter().filter_map(read).collect()
}

/// A supply of a job; `None` for anything else.
pub(super) fn read(held: &crate::Held<doc::Product>) -> Option<Supply> {
    if matches!(held.value.used_as, doc::Use::Floor | doc::Use::Compound) {
        return None;
    }
    let found = Supply::read(held.value.demands.as_deref()?)?;
    Some(Supply { id: ProductId::new(held.id.as_str()), name: held.value.name.clone(), ..found })
}
