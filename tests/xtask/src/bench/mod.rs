//! `cargo xtask bench`: every number to reach in one table, ours beside a reference measured in the same run.
//!
//! Nothing fails on a clock: a time that is missed is said in the table and the program still ends with 0. It ends
//! with 1 where a figure could not be measured, and where something that is counted and not timed is more than it may
//! be. It is no part of `cargo xtask test`.

mod figures;
mod goals;
mod measures;
mod table;

use crate::shell::Outcome;
use figures::Figures;
use measures::{MEASURES, Measure};

/// `[--list | NAME…]`.
pub(crate) fn command_line(words: &[&str]) -> Outcome {
    if words == ["--list"] {
        MEASURES.iter().for_each(|measure| println!("{:10} {}", measure.name, measure.what));
        return Ok(());
    }
    if let Some(unknown) = words.iter().find(|word| MEASURES.iter().all(|measure| measure.name != **word)) {
        return Err(format!("There is no measurement `{unknown}`. `cargo xtask bench --list` names them."));
    }
    run(&MEASURES.iter().filter(|it| words.is_empty() || words.contains(&it.name)).collect::<Vec<_>>())
}

/// Runs the measurements one after the other, so that none disturbs another, and then prints the table of all.
fn run(chosen: &[&Measure]) -> Outcome {
    let mut seen = Figures::default();
    let mut lost = vec![];
    for measure in chosen {
        println!("[{}] {}", measure.name, measure.what);
        match (measure.act)() {
            Ok(said) => seen.read(&said),
            Err(reason) => lost.push(format!("`{}` could not be measured. {reason}", measure.name)),
        }
    }
    let goals: Vec<_> = goals::GOALS
        .iter()
        .filter(|goal| chosen.iter().any(|measure| measure.name == goal.measure))
        .collect();
    println!("\n{}", table::of(&goals, &seen));
    if let Some(kept) = seen.words() {
        println!("{kept}");
    }
    lost.extend(goals.iter().filter_map(|goal| goal.missing(&seen)));
    lost.extend(goals.iter().filter_map(|goal| goal.exceeded(&seen)));
    if lost.is_empty() { Ok(()) } else { Err(lost.join("\n")) }
}
