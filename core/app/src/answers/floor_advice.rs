//! What a person should know of a floor, in words.

use super::flatness::{ChordAnswer, RoomFlatness};
use super::show_mm;
use crate::messages;
use drylay_document::sheet::{Sheet, Units};
use drylay_survey::floor::Judged;
use std::collections::BTreeMap;

fn say(code: &str, params: &[(&str, String)]) -> String {
    let params: BTreeMap<String, String> = params.iter().map(|(k, v)| ((*k).to_owned(), v.clone())).collect();
    let (message, hint) = messages::text(code, &params);
    if hint.is_empty() { message } else { format!("{message} {hint}") }
}

/// Whole millimetres or sixteenths of an inch are too coarse for a dip.
fn fine(mm: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{mm:.1} mm"),
        Units::Imperial | Units::Inches => format!("{:.2} in", mm / 25.4),
    }
}

/// Everything worth saying, the verdict first.
pub(crate) fn of(room: &RoomFlatness, sheet: &Sheet, judged: &[Judged]) -> Vec<String> {
    let units = sheet.units;
    let mut advice = Vec::new();
    if room.tolerances.is_empty() {
        advice.push(say("floor.no_tolerance", &[]));
    }
    for (k, t) in room.tolerances.iter().enumerate() {
        let asked = [("gap", fine(t.gap, units)), ("span", show_mm(t.span, units))];
        match t.verdict {
            "pass" => advice.push(say("floor.pass", &asked)),
            "fail" => advice.push(say("floor.fail", &asked)),
            _ => advice.push(say("floor.unsure", &asked)),
        }
        if t.verdict != "pass" {
            advice.extend(t.worst_dip.as_ref().and_then(|c| worst("floor.dip", c, units)));
            advice.extend(t.worst_hump.as_ref().and_then(|c| worst("floor.hump", c, units)));
        }
        if judged.get(k).is_some_and(|j| j.sparse) {
            let needed = show_mm(t.span / 2.0, units);
            let spacing = show_mm(room.spacing.unwrap_or(0.0), units);
            advice.push(say("floor.sparse", &[("spacing", spacing), ("needed", needed)]));
        }
        if judged.get(k).is_some_and(|j| !j.finished) {
            advice.push(say("floor.unfinished", &[]));
        }
    }
    advice.extend(room.correction.iter().flat_map(|c| {
        let litres = |v: f64| format!("{v:.1}");
        let margin = (c.margin < c.suggested_margin && c.fill_litres + c.grind_litres > 0.0)
            .then(|| say("floor.margin", &[("margin", fine(c.suggested_margin, units))]));
        let fill = (c.fill_litres > 0.0).then(|| say("floor.fill", &[("litres", litres(c.fill_litres))]));
        let grind = (c.grind_litres > 0.0).then(|| say("floor.grind", &[("litres", litres(c.grind_litres))]));
        let bags = c.work.iter().flat_map(|work| &work.compounds).map(move |p| {
            let name = sheet.compounds.iter().find(|c| c.id.as_str() == p.compound).map(|c| c.name.clone());
            let name = name.filter(|n| !n.is_empty()).unwrap_or_else(|| p.compound.clone());
            say("floor.bags", &[("name", name), ("litres", litres(p.litres)), ("bags", p.bags.to_string())])
        });
        [fill, grind, margin].into_iter().flatten().chain(bags)
    }));
    if room.f_overall.is_some() {
        advice.push(say("floor.f_numbers", &[]));
    }
    advice.extend(room.notes.iter().map(ToString::to_string));
    advice
}

fn worst(code: &str, c: &ChordAnswer, units: Units) -> Option<String> {
    let place = |p: [f64; 2]| format!("({}, {})", show_mm(p[0], units), show_mm(p[1], units));
    (c.deviation > 0.0).then(|| {
        say(
            code,
            &[
                ("deviation", fine(c.deviation, units)),
                ("at", place(c.at)),
                ("from", place(c.chord[0])),
                ("to", place(c.chord[1])),
            ],
        )
    })
}
