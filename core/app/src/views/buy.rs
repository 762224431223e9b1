//! What to buy, for the screens: how much at a glance, and where each figure comes from.

use super::{Rate, money};
use crate::answers::{Amount, Figure, HABIT_PERCENT, Line, POUND_KG, Part, TakeoffAnswer};
use crate::commands::buy::{Reckoned, Waiting};
use crate::wire::{BuyLine, BuyStep, BuyView, Units};
use crate::words::{has, percent, say};
use drylay_geometry::{ItemId, Length, RoomId};

pub(crate) fn view(known: &Reckoned, takeoff: &TakeoffAnswer) -> BuyView {
    let show = Show { known, units: known.job.units };
    let mut problems = known.problems.clone();
    problems.extend(takeoff.notes.iter().cloned());
    BuyView {
        lines: takeoff.lines.iter().map(|line| show.line(line)).collect(),
        sure: say(if known.accepted { "buy.accepted" } else { "buy.not_accepted" }, &[]),
        weight: show.weight(takeoff),
        forms: money::order_forms(),
        entries: money::ordered(&known.job.view, &known.sheet),
        units: known.job.units,
        waiting: known.waiting.iter().map(Waiting::words).collect(),
        problems,
    }
}

/// What people call something that is bought.
pub(crate) fn title(known: &Reckoned, id: &str) -> String {
    match known.sheet.bought_name(id) {
        "primer" => say("buy.primer", &[]),
        name => name.to_owned(),
    }
}

/// Packs in words.
pub(crate) fn packs_words(n: usize, pack: &str) -> String {
    let count = n.to_string();
    let code = format!("buy.{}.{pack}", if n == 1 { "pack" } else { "packs" });
    if has(&code) { format!("{count} {}", say(&code, &[])) } else { format!("{count} × {pack}") }
}

/// How much of something, in words.
pub(crate) fn amount_words(units: Units, amount: Amount, unit: &str) -> String {
    match (amount, unit) {
        (Amount::Measure(x), "kg") => kg_words(units, x),
        (Amount::Measure(x), "litre") => format!("{x:.1} L"),
        (amount, "tile") => format!("{} {}", trimmed(amount.number()), say("buy.tile", &[])),
        (Amount::Count(n), unit) => packs_words(n, unit),
        (Amount::Measure(x), unit) => format!("{x:.1} {unit}"),
    }
}

/// A weight in the job's units.
pub(crate) fn kg_words(units: Units, kg: f64) -> String {
    let pounds = kg / POUND_KG;
    let fine = |x: f64| if x < 100.0 { format!("{x:.1}") } else { format!("{x:.0}") };
    if units == Units::Metric { format!("{} kg", fine(kg)) } else { format!("{} lb", fine(pounds)) }
}

/// How a line was counted, step by step.
pub(crate) fn shown_steps(known: &Reckoned, line: &Line) -> Vec<BuyStep> {
    let show = Show { known, units: known.job.units };
    if line.item == "tile" { show.tile_steps(line) } else { show.steps(line) }
}

struct Show<'a> {
    known: &'a Reckoned,
    units: Units,
}

impl Show<'_> {
    fn line(&self, line: &Line) -> BuyLine {
        let whole = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let pack = line.pack.as_deref().unwrap_or_default();
        BuyLine {
            item: line.item.to_owned(),
            product: Some(line.product.clone()),
            name: title(self.known, &line.product),
            quantity: whole(drylay_plan::takeoff::whole(line.quantity.number())),
            amount: amount_words(self.units, line.quantity, line.unit),
            packs: line.packs.map(whole),
            pack: line.packs.map(|n| packs_words(n, pack)),
            steps: shown_steps(self.known, line),
            guess: line.guess.as_ref().map(|guess| {
                let packs = guess.packs.map(|n| packs_words(n, pack));
                let packs = packs.unwrap_or_else(|| amount_words(self.units, guess.quantity, line.unit));
                say("buy.guess", &[("percent", &HABIT_PERCENT.to_string()), ("packs", &packs)])
            }),
        }
    }

    fn tile_steps(&self, line: &Line) -> Vec<BuyStep> {
        let step = |words: String, value: String| BuyStep { words, value, origin: None };
        let area = line.guess.as_ref().and_then(|guess| guess.area_m2);
        let mut steps: Vec<BuyStep> =
            area.map(|m2| step(say("buy.area", &[]), self.units.whole_area(m2))).into_iter().collect();
        steps.extend(self.parts(line));
        let rates = [("breakage", &self.known.rates.0), ("attic", &self.known.rates.1)];
        for (what, rate) in rates {
            let figure = line.from.iter().find(|figure| figure.what == what);
            steps.extend(figure.map(|f| step(rate_words(what, rate), self.value(f.what, f.value))));
        }
        let product = self.known.sheet.products.iter().find(|p| p.id.as_str() == line.product);
        let carton = product.and_then(|p| p.carton.as_ref());
        steps.extend(carton.map(|c| step(say("buy.carton", &[]), c.tiles.to_string())));
        steps
    }

    fn steps(&self, line: &Line) -> Vec<BuyStep> {
        let figure = |f: &Figure| BuyStep {
            words: say(&format!("buy.figure.{}", f.what), &[]),
            value: self.value(f.what, f.value),
            origin: None,
        };
        self.parts(line).into_iter().chain(line.from.iter().map(figure)).collect()
    }

    /// Where a line's figures come from, place by place.
    fn parts(&self, line: &Line) -> Vec<BuyStep> {
        let floor = matches!(line.item, "compound" | "primer");
        line.parts.iter().map(|part| self.part(part, floor)).collect()
    }

    fn part(&self, part: &Part, floor: bool) -> BuyStep {
        let what = say(&format!("buy.figure.{}", part.what), &[]);
        let (name, origin) = match (&part.area, &part.room) {
            (Some(area), _) => {
                let held = self.known.job.view.areas.get(&ItemId::new(area));
                (held.and_then(|held| held.value.name.clone()), Some(format!("plan/{area}")))
            }
            (None, Some(room)) => {
                let title = self.known.sheet.room(&RoomId::new(room)).map(|(_, r)| r.title().to_owned());
                let end = if floor { "/floor" } else { "" };
                (title, Some(format!("room/{room}{end}")))
            }
            (None, None) => (None, None),
        };
        let words = match name.filter(|name| !name.is_empty()) {
            Some(name) => say("buy.part", &[("what", &what), ("name", &name)]),
            None => what,
        };
        BuyStep { words, value: self.value(part.what, part.value), origin }
    }

    /// A figure in the job's units; its name ends in its own.
    fn value(&self, what: &str, value: Amount) -> String {
        let x = value.number();
        let metric = self.units == Units::Metric;
        if what.ends_with("_m2") {
            self.units.whole_area(x)
        } else if what.ends_with("_mm") {
            Length::from_mm_f64(x).map_or_else(String::new, |l| self.units.exact(l))
        } else if what.ends_with("_m") {
            if metric { format!("{x:.1} m") } else { format!("{:.1} ft", x / 0.3048) }
        } else if what.ends_with("litres") {
            format!("{x:.1} L")
        } else if what == "waste" {
            percent(&format!("{:.0}", x * 100.0))
        } else {
            match value {
                Amount::Count(n) => n.to_string(),
                Amount::Measure(x) => trimmed(x),
            }
        }
    }

    fn weight(&self, takeoff: &TakeoffAnswer) -> Vec<BuyStep> {
        let weight = &takeoff.weight;
        let step = |code: &str, value: String| BuyStep { words: say(code, &[]), value, origin: None };
        if weight.packs == 0 {
            return Vec::new();
        }
        let mut steps = vec![
            step("buy.weight.truck", kg_words(self.units, weight.kg)),
            step("buy.weight.packs", weight.packs.to_string()),
            step("buy.weight.heaviest", kg_words(self.units, weight.heaviest_kg)),
        ];
        for floor in &weight.floors {
            let held = self.known.job.view.areas.get(&ItemId::new(&floor.area));
            let name = held.and_then(|held| held.value.name.clone()).unwrap_or_default();
            // A square foot is 0.09290304 m², by definition.
            let value = if self.units == Units::Metric {
                format!("{:.1} kg/m²", floor.kg_per_m2)
            } else {
                format!("{:.1} psf", floor.kg_per_m2 * 0.092_903_04 / POUND_KG)
            };
            let (words, origin) =
                (say("buy.weight.floor", &[("name", &name)]), Some(format!("plan/{}", floor.area)));
            steps.push(BuyStep { words, value, origin });
        }
        if !weight.unknown.is_empty() {
            let names: Vec<String> = weight.unknown.iter().map(|id| title(self.known, id)).collect();
            steps.push(step("buy.weight.unknown", names.join(", ")));
        }
        steps
    }
}

/// A number without zeros that say nothing.
fn trimmed(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What a rate is called in the list of how it was counted.
fn rate_words(what: &str, rate: &Rate) -> String {
    let percent = rate.percent().map_or("", |percent| percent.as_str());
    say(&format!("buy.{what}.{}", rate.from()), &[("percent", percent)])
}
