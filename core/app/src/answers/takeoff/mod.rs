//! `drylay takeoff`: what to buy, each line with the figures it came from.

mod floor;
mod line;
mod site;
mod supplies;
mod weight;

pub use line::{Amount, Figure, Guess, GuessLine, Line, Part};
pub(crate) use site::{RoomWork, Site, floor_works};
pub use weight::{FloorWeight, Weight};

use super::plan::{PlannedArea, plan_areas};
use super::{Answer, resolve};
use crate::Problem;
use drylay_document::sheet::{Product, Sheet, SupplyUse};
use drylay_plan::takeoff::{Rates, TileOrder, guess};
use serde::Serialize;
use std::borrow::Borrow;
use supplies::Counter;

/// The answer: a line for each thing to buy.
#[derive(Clone, Debug, Serialize)]
pub struct TakeoffAnswer {
    /// What to buy.
    pub lines: Vec<Line>,
    /// What area and a percentage would have bought, to compare.
    pub guess: Guess,
    /// What it weighs.
    pub weight: Weight,
    /// What was odd and did not keep it from being computed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
}

/// The percentage that people add to an area by habit: the middle of the 5 to 15 % that a trade association's
/// trainer gives (TileLetter, November 2016, p. 28).
pub(crate) const HABIT_PERCENT: u32 = 10;

/// The heaviest that one person should lift at all: the load constant of the lifting equation (NIOSH 94-110), kg.
const LOAD_CONSTANT: f64 = 23.0;

/// A pound, kg: by definition.
pub(crate) const POUND_KG: f64 = 0.453_592_37;

/// Answers `drylay takeoff`. `go_on` may end the searches early.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn takeoff(sheet: &Sheet, go_on: &mut dyn FnMut() -> bool) -> Answer<TakeoffAnswer> {
    let resolved = resolve(sheet)?;
    // Floors first: they take a second or two, and plans as long as they may.
    let (works, wrong) = floor_works(sheet, &resolved, go_on);
    let areas = plan_areas(sheet, &resolved, go_on)?;
    let mut answer = count(&Site { sheet, areas: &areas, works: &works });
    let mut notes: Vec<Problem> = areas.iter().flat_map(|a| a.notes.iter().cloned()).chain(wrong).collect();
    if sheet.rates.is_none() && !answer.lines.is_empty() {
        notes.push(Problem::new("takeoff.no_rates", "rates"));
    }
    notes.append(&mut answer.notes);
    Ok(TakeoffAnswer { notes, ..answer })
}

/// Counts what planned areas of a sheet take; the work on floors is not among it.
pub fn count_planned(sheet: &Sheet, areas: &[PlannedArea]) -> TakeoffAnswer {
    count(&Site { sheet, areas, works: &[] })
}

/// Counts what a site takes. This is quick: plans and floors are worked out before.
pub(crate) fn count<A: Borrow<PlannedArea>>(site: &Site<'_, A>) -> TakeoffAnswer {
    let sheet = site.sheet;
    let rates = sheet.rates.as_ref().map_or(Rates::default(), |r| Rates {
        breakage: r.breakage.unwrap_or(0.0),
        attic: r.attic.unwrap_or(0.0),
    });
    let mut lines: Vec<Line> = sheet.products.iter().filter_map(|p| tile(site, p, rates)).collect();
    let mut counter = Counter { site, seams: vec![0.0; site.areas.len()], notes: Vec::new() };
    // Tape needs the seams, so strips are counted before; the lines stay in the sheet's order.
    let mut bought: Vec<(usize, Line)> = Vec::new();
    for late in [false, true] {
        for (i, supply) in sheet.supplies.iter().enumerate() {
            if (supply.used_as == SupplyUse::Tape) == late {
                bought.extend(counter.line(i, supply).map(|line| (i, line)));
            }
        }
    }
    bought.sort_by_key(|(i, _)| *i);
    lines.extend(bought.into_iter().map(|(_, line)| line));
    lines.extend(floor::lines(site));
    let mut notes = counter.notes;
    notes.extend(unsealed(site));
    let weight = weight::weigh(sheet, site.areas, &lines);
    if weight.heaviest_kg > LOAD_CONSTANT {
        let kg = weight.heaviest_kg;
        let note = Problem::new("takeoff.heavy_pack", "").with("kg", format!("{kg:.1}"));
        notes.push(note.with("lb", format!("{:.0}", kg / POUND_KG)));
    }
    let guessed = lines.iter().filter_map(|line| line.guess.clone()).collect();
    TakeoffAnswer { lines, guess: Guess { percent: HABIT_PERCENT, lines: guessed }, weight, notes }
}

/// The line of a tile; `None` where none of it is laid.
fn tile<A: Borrow<PlannedArea>>(site: &Site<'_, A>, product: &Product, rates: Rates) -> Option<Line> {
    let areas = site.areas.iter().map(Borrow::borrow).filter(|a: &&PlannedArea| a.product.id == product.id);
    let areas: Vec<&PlannedArea> = areas.collect();
    let first = areas.first()?;
    let plan = areas.iter().map(|a| a.plan.sharing.tiles).sum();
    let area_mm2: f64 = areas.iter().map(|a| a.field.region.area_mm2()).sum();
    let order = TileOrder::new(&first.product, plan, rates);
    let tiles = guess(&first.product, area_mm2, HABIT_PERCENT);
    let part = |a: &&PlannedArea| Part::of_area("plan", Amount::Count(a.plan.sharing.tiles), &a.id);
    let carton_kg = product.carton.as_ref().and_then(|carton| carton.kg);
    Some(Line {
        item: "tile",
        product: product.id.to_string(),
        quantity: Amount::Count(order.tiles()),
        unit: "tile",
        packs: order.cartons,
        pack: order.cartons.map(|_| "carton".to_owned()),
        kg: carton_kg.zip(order.cartons).map(|(kg, n)| kg * n as f64),
        from: vec![
            Figure::count("plan", order.plan),
            Figure::count("breakage", order.breakage),
            Figure::count("attic", order.attic),
        ],
        parts: areas.iter().map(part).collect(),
        guess: Some(GuessLine {
            item: "tile",
            product: product.id.to_string(),
            area_m2: Some(area_mm2 / 1e6),
            tiles: Some(tiles),
            quantity: Amount::Count(tiles),
            packs: first.product.cartons(tiles),
        }),
    })
}

/// Wet rooms of areas that no sealant goes with.
fn unsealed<A: Borrow<PlannedArea>>(site: &Site<'_, A>) -> Vec<Problem> {
    let sealants = || site.sheet.supplies.iter().filter(|s| s.used_as == SupplyUse::Sealant);
    let mut notes = Vec::new();
    for area in site.areas.iter().map(Borrow::borrow) {
        let area: &PlannedArea = area;
        if site.sheet.supplies.is_empty() || sealants().any(|s| s.goes_with(&area.product.id)) {
            continue;
        }
        let wet = area
            .rooms
            .iter()
            .filter_map(|id| site.sheet.room(id))
            .filter(|(_, room)| room.settings.contains(&drylay_document::sheet::Setting::Wet));
        notes.extend(wet.map(|(i, room)| {
            Problem::new("takeoff.no_sealant", format!("rooms[{i}]")).with("room", room.title())
        }));
    }
    notes
}
