//! `drylay plan`: rows, pieces, cuts and tiles of every area.

mod area;
mod wire;

pub use area::{PlannedArea, plan_area, plan_areas};
pub use wire::{AlongAnswer, PlanAnswer, PlanArea};

use super::{Answer, resolve};
use drylay_document::sheet::Sheet;

/// Answers `drylay plan`.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn plan(sheet: &Sheet) -> Answer<PlanAnswer> {
    let resolved = resolve(sheet)?;
    let areas = plan_areas(sheet, &resolved)?;
    Ok(PlanAnswer { areas: areas.iter().map(PlanArea::of).collect() })
}
