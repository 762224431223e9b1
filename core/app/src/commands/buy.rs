//! What to buy for all areas of a job.

use crate::Problem;
use crate::answers::PlannedArea;
use crate::session::Session;
use crate::views::{self, Rate};
use crate::wire::{BuyLine, BuyStep, BuyView, OfJob, Units};
use crate::words::say;
use drylay_plan::takeoff::{Rates, TileOrder, guess};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The percentage that people add to an area by habit (TileLetter, November 2016, p. 28: 5 to 15 %).
const HABIT_PERCENT: u32 = 10;

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<BuyView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let (breakage, attic) = views::rates(&mut desk, &job)?;
    drop(desk);
    let rates = Added { units: job.units, breakage, attic };
    let mut problems = Vec::new();
    let mut by_product: BTreeMap<String, Vec<(Arc<PlannedArea>, bool)>> = BTreeMap::new();
    for area in &job.view.areas.live {
        match session.planned(&ask.job, area.id.as_str()) {
            Ok((planned, sheet)) => {
                by_product.entry(planned.product.id.to_string()).or_default().push((planned, sheet.accepted));
            }
            Err(problem) => problems.push(problem),
        }
    }
    let mut lines = Vec::new();
    for (product, areas) in &by_product {
        let name = job.view.products.live.iter().find(|held| held.id.as_str() == product);
        lines.push(line(product, name.map_or("", |held| held.value.name.as_str()), areas, &rates));
    }
    if !lines.is_empty() && rates.breakage == Rate::None && rates.attic == Rate::None {
        problems.push(Problem::new("buy.no_rates", ""));
    }
    Ok(BuyView { lines, problems })
}

/// What is added to a plan's tiles, and how areas are shown.
struct Added {
    units: Units,
    breakage: Rate,
    attic: Rate,
}

/// What a rate is called in the list of how it was counted.
fn rate_words(what: &str, rate: &Rate) -> String {
    let percent = rate.percent().map_or("", |percent| percent.as_str());
    say(&format!("buy.{what}.{}", rate.from()), &[("percent", percent)])
}

fn line(product: &str, name: &str, areas: &[(Arc<PlannedArea>, bool)], added: &Added) -> BuyLine {
    let rules = &areas[0].0.product;
    let plan: usize = areas.iter().map(|(area, _)| area.plan.sharing.tiles).sum();
    let area_mm2: f64 = areas.iter().map(|(area, _)| area.field.region.area_mm2()).sum();
    let order =
        TileOrder::new(rules, plan, Rates { breakage: added.breakage.share(), attic: added.attic.share() });
    let step = |code: &str, value: String| BuyStep { words: say(code, &[]), value };
    let guessed = guess(rules, area_mm2, HABIT_PERCENT);
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let mut steps = vec![
        step("buy.area", added.units.whole_area(area_mm2 / 1e6)),
        step("buy.plan", order.plan.to_string()),
        BuyStep { words: rate_words("breakage", &added.breakage), value: order.breakage.to_string() },
        BuyStep { words: rate_words("attic", &added.attic), value: order.attic.to_string() },
    ];
    steps.extend(rules.carton_tiles.map(|tiles| step("buy.carton", tiles.to_string())));
    let cartons = rules.cartons(guessed).map_or_else(|| guessed.to_string(), |n| n.to_string());
    let accepted = areas.iter().all(|(_, accepted)| *accepted);
    BuyLine {
        item: "tile".to_owned(),
        product: Some(product.to_owned()),
        name: name.to_owned(),
        quantity: count(order.tiles()),
        unit: say("buy.tile", &[]),
        packs: order.cartons.map(count),
        pack: order.cartons.map(|_| say("buy.cartons", &[])),
        steps,
        guess: Some(say("buy.guess", &[("percent", &HABIT_PERCENT.to_string()), ("packs", &cartons)])),
        sure: say(if accepted { "buy.accepted" } else { "buy.not_accepted" }, &[]),
    }
}
