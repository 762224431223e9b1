//! What to buy: the plan's tiles, what will break, and what stays for later; and what goes under, between and round
//! them, each by its own geometry.

pub mod bars;
pub mod joints;
pub mod stock;
pub mod strips;
pub mod walls;

use crate::product::Product;

/// What a crew adds to a plan's tiles.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rates {
    /// Share of the plan's tiles that breaks or is spoilt.
    pub breakage: f64,
    /// Share of the plan's tiles that stays with the client for repairs.
    pub attic: f64,
}

/// A line of tile to buy, with the figures it came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TileOrder {
    /// Tiles of the plan.
    pub plan: usize,
    /// Tiles for breakage.
    pub breakage: usize,
    /// Tiles for repairs in years to come.
    pub attic: usize,
    /// Cartons that hold them all; `None` where the carton is not known.
    pub cartons: Option<usize>,
}

impl TileOrder {
    /// From the plans' tiles and the crew's rates. Rates are of the plan's tiles, each rounded up to whole tiles.
    pub fn new(product: &Product, plan: usize, rates: Rates) -> Self {
        let part = |rate: f64| whole(plan as f64 * rate.max(0.0));
        let (breakage, attic) = (part(rates.breakage), part(rates.attic));
        Self { plan, breakage, attic, cartons: product.cartons(plan + breakage + attic) }
    }

    /// All tiles.
    pub fn tiles(&self) -> usize {
        self.plan + self.breakage + self.attic
    }
}

/// What a guess would have bought: the area and a percentage, in tiles by the face with its joint.
pub fn guess(product: &Product, area_mm2: f64, percent: u32) -> usize {
    let per_tile = product.pitch_along().mm() * product.pitch_across().mm();
    whole(with_percent(area_mm2, percent) / per_tile)
}

/// A quantity and a percentage of it.
pub fn with_percent(quantity: f64, percent: u32) -> f64 {
    quantity * (1.0 + f64::from(percent) / 100.0)
}

/// Packs that hold a quantity; one that holds nothing holds one.
pub fn packs(quantity: f64, holds: f64) -> usize {
    whole(if holds > 0.0 { quantity / holds } else { quantity })
}

/// The least whole number that is not less. A rate such as 0.05 is not exact in binary, so a billionth does not count.
pub fn whole(exact: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "it saturates, and is never less than none"
    )]
    let whole = (exact - 1e-9).ceil() as usize;
    whole
}
