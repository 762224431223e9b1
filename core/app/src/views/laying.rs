//! Rules with their source, movement joints and the order of laying in words.

use crate::answers::{
    BreachAnswer, InstructionAnswer, JointAnswer, LayingAnswer, LipAnswer, PlaceAnswer, PlanArea, RailAnswer,
    RemedyAnswer, RuleAnswer, StepAnswer,
};
use crate::wire::{
    BreachView, InstructionView, LayingStep, LayingView, MovementJointView, MovementView, RuleView, Units,
};
use crate::words::{percent, say};
use drylay_geometry::Length;

fn length(units: Units, mm: f64) -> String {
    units.planned(Length::from_mm_f64(mm).unwrap_or(Length::ZERO)).text
}

fn cited(source: &str, edition: Option<&String>) -> String {
    edition.map_or_else(
        || source.to_owned(),
        |edition| say("source.edition", &[("source", source), ("edition", edition)]),
    )
}

/// A part of the tile's length as the trade says it.
fn part(value: f64) -> String {
    let near = (2..=12_u32).flat_map(|den| (1..den).map(move |num| (num, den)));
    let found = near.into_iter().find(|(num, den)| (f64::from(*num) / f64::from(*den) - value).abs() < 1e-9);
    found.map_or_else(|| percent(&format!("{:.0}", value * 100.0)), |(num, den)| format!("{num}/{den}"))
}

/// What governs the movement joints, where anything does.
pub(super) fn movement(plan: &PlanArea, units: Units) -> Option<MovementView> {
    let m = plan.movement.as_ref()?;
    let governs = [("run", length(units, m.run)), ("longest", length(units, m.longest))];
    let governs: Vec<(&str, &str)> = governs.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let mut words = say("movement.governs", &governs);
    if let (Some(width), false) = (m.width, plan.movement_joints.is_empty()) {
        words.push(' ');
        words += &say("movement.width", &[("width", &length(units, width))]);
    }
    let joints = plan.movement_joints.iter().map(joint).collect();
    Some(MovementView { words, source: cited(&m.source, m.edition.as_ref()), joints })
}

fn joint(joint: &JointAnswer) -> MovementJointView {
    let way = if joint.between_rows { "joint.between_rows" } else { "joint.through" };
    let why = say(&format!("joint.{}", joint.reason), &[]);
    MovementJointView {
        line: joint.line,
        reason: joint.reason.to_owned(),
        words: say("joint.both", &[("why", &why), ("way", &say(way, &[]))]),
    }
}

pub(super) fn rule(rule: &RuleAnswer, units: Units) -> RuleView {
    RuleView {
        rule: rule.rule.to_owned(),
        held: rule.held,
        words: figures(rule.rule, rule.value, rule.limit, units),
        source: cited(&rule.source, rule.edition.as_ref()),
    }
}

pub(super) fn instruction(instruction: &InstructionAnswer) -> InstructionView {
    InstructionView {
        words: instruction.say.clone(),
        source: cited(&instruction.source, instruction.edition.as_ref()),
    }
}

fn figures(rule: &str, value: f64, limit: f64, units: Units) -> String {
    let show = |x: f64| if rule == "offset" { part(x) } else { length(units, x) };
    say(&format!("rule.{rule}"), &[("value", &show(value)), ("limit", &show(limit))])
}

pub(super) fn breach(b: &BreachAnswer, units: Units) -> BreachView {
    let piece = b.piece.clone().unwrap_or_default();
    let (value, limit) = (length(units, b.value), length(units, b.limit));
    let place = b.under.as_ref().map(place_words).unwrap_or_default();
    let params = [("piece", piece.as_str()), ("value", &value), ("limit", &limit), ("place", &place)];
    let words = match (b.rule, &b.under) {
        ("narrow", _) => say("plan.narrow", &params),
        ("short", _) => say("plan.short", &params),
        ("doorway", _) => say("plan.short_in_doorway", &params),
        ("sight_line", _) => say("plan.short_in_sight", &params),
        ("trapped", Some(_)) => say("plan.trapped_height", &params),
        ("trapped", None) => say("plan.trapped_room", &params),
        (rule, _) => figures(rule, b.value, b.limit, units),
    };
    BreachView {
        rule: b.rule.to_owned(),
        piece: b.piece.clone(),
        words,
        source: cited(&b.source, b.edition.as_ref()),
        remedy: b.remedy.as_ref().map(|remedy| remedy_words(remedy, units)),
    }
}

fn remedy_words(remedy: &RemedyAnswer, units: Units) -> String {
    let to = remedy.to.map(|mm| length(units, mm)).unwrap_or_default();
    let lip = |lip: &LipAnswer| say(&format!("lip.{}", lip.side), &[("piece", &lip.piece)]);
    let lips: Vec<String> = remedy.lips.iter().map(lip).collect();
    let place = remedy.overhang.as_ref().map(place_words).unwrap_or_default();
    let params = [("to", to.as_str()), ("lips", &lips.join(", ")), ("place", &place)];
    say(&format!("remedy.{}", remedy.what), &params)
}

fn place_words(place: &PlaceAnswer) -> String {
    match &place.wall {
        Some([from, to]) => say("overhang.wall", &[("from", from), ("to", to)]),
        None if place.keepout.is_some() => say("overhang.keepout", &[]),
        None => say("overhang.opening", &[]),
    }
}

/// The order of laying, where the product says how it engages.
pub(super) fn laying(plan: &PlanArea, units: Units) -> Option<LayingView> {
    let laying = plan.laying.as_ref()?;
    let rail = |r: &RailAnswer| {
        let params = [("from", r.wall[0].as_str()), ("to", &r.wall[1])];
        say(&format!("rail.{}", r.rail), &params)
    };
    Some(LayingView {
        begins: begins(laying),
        rails: laying.rails.iter().map(rail).collect(),
        steps: laying.order.iter().map(step).collect(),
        chips: laying.chips.as_ref().map(|c| {
            let (long, short) = (length(units, c.long), length(units, c.short));
            say("laying.chips", &[("long", &long), ("short", &short)])
        }),
        source: cited(&laying.source, laying.edition.as_ref()),
    })
}

fn begins(laying: &LayingAnswer) -> String {
    let first = laying.order.first().map_or("", |step| step.piece.as_str());
    let say_end = |side: &str| say(&format!("laying.{side}"), &[]);
    let (rows, ends) = (say_end(laying.begins.rows), say_end(laying.begins.ends));
    say("laying.begins", &[("piece", first), ("rows", &rows), ("ends", &ends)])
}

fn step(step: &StepAnswer) -> LayingStep {
    let into = step.into.join(", ");
    let row = step.piece.split('-').next().and_then(|row| row.parse().ok()).unwrap_or(0);
    LayingStep {
        piece: step.piece.clone(),
        row,
        how: step.how.to_owned(),
        words: say(&format!("how.{}", step.how), &[("into", &into)]),
    }
}
