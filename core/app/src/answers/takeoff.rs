//! `drylay takeoff`: what to buy. For now tiles in cartons.

use super::plan::{PlannedArea, plan_areas};
use super::{Answer, resolve};
use crate::Problem;
use drylay_document::sheet::Sheet;
use drylay_plan::takeoff::{Rates, TileOrder, guess};
use serde::Serialize;

/// The answer: a line for each thing to buy.
#[derive(Debug, Serialize)]
pub struct TakeoffAnswer {
    /// What to buy.
    pub lines: Vec<Line>,
    /// What area and a percentage would have bought, to compare.
    pub guess: Guess,
    /// What was odd and did not keep it from being computed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
}

/// A line to buy.
#[derive(Debug, Serialize)]
pub struct Line {
    /// What kind of thing.
    pub item: &'static str,
    /// Which product.
    pub product: String,
    /// How many.
    pub quantity: usize,
    /// Of what.
    pub unit: &'static str,
    /// In how many packs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packs: Option<usize>,
    /// What a pack is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack: Option<&'static str>,
    /// The figures it came from.
    pub from: LineFrom,
}

/// The figures of a line of tile.
#[derive(Debug, Serialize)]
pub struct LineFrom {
    /// Tiles of the plans.
    pub plan: usize,
    /// For breakage.
    pub breakage: usize,
    /// For repairs in years to come.
    pub attic: usize,
}

/// What a guess would have bought.
#[derive(Debug, Serialize)]
pub struct Guess {
    /// The percentage on top of the area.
    pub percent: u32,
    /// By product.
    pub lines: Vec<GuessLine>,
}

/// A line of the guess.
#[derive(Debug, Serialize)]
pub struct GuessLine {
    /// Which product.
    pub product: String,
    /// The area that is covered.
    pub area_m2: f64,
    /// Tiles.
    pub tiles: usize,
    /// In how many cartons.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packs: Option<usize>,
}

/// The percentage that people add to an area by habit: the middle of the 5 to 15 % that a trade association's
/// trainer gives (TileLetter, November 2016, p. 28).
const HABIT_PERCENT: u32 = 10;

/// Answers `drylay takeoff`. `go_on` may end the searches early.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn takeoff(sheet: &Sheet, go_on: &mut dyn FnMut() -> bool) -> Answer<TakeoffAnswer> {
    let resolved = resolve(sheet)?;
    let areas = plan_areas(sheet, &resolved, go_on)?;
    let rates = sheet.rates.as_ref().map_or(Rates::default(), |r| Rates {
        breakage: r.breakage.unwrap_or(0.0),
        attic: r.attic.unwrap_or(0.0),
    });
    let mut answer = TakeoffAnswer {
        lines: Vec::new(),
        guess: Guess { percent: HABIT_PERCENT, lines: Vec::new() },
        notes: areas.iter().flat_map(|a| a.notes.iter().cloned()).collect(),
    };
    for product in &sheet.products {
        let of_product: Vec<&PlannedArea> = areas.iter().filter(|a| a.product.id == product.id).collect();
        let Some(first) = of_product.first() else { continue };
        let plan = of_product.iter().map(|a| a.plan.sharing.tiles).sum();
        let area_mm2: f64 = of_product.iter().map(|a| a.field.region.area_mm2()).sum();
        let order = TileOrder::new(&first.product, plan, rates);
        answer.lines.push(Line {
            item: "tile",
            product: product.id.to_string(),
            quantity: order.tiles(),
            unit: "tile",
            packs: order.cartons,
            pack: order.cartons.map(|_| "carton"),
            from: LineFrom { plan: order.plan, breakage: order.breakage, attic: order.attic },
        });
        let tiles = guess(&first.product, area_mm2, HABIT_PERCENT);
        answer.guess.lines.push(GuessLine {
            product: product.id.to_string(),
            area_m2: area_mm2 / 1e6,
            tiles,
            packs: first.product.cartons(tiles),
        });
    }
    if sheet.rates.is_none() && !answer.lines.is_empty() {
        answer.notes.push(Problem::new("takeoff.no_rates", "rates"));
    }
    Ok(answer)
}
