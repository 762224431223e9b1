//! `cargo xtask test`: the steps, in order, each with its time; the first failure ends it.
//!
//! All steps build the whole workspace in the same profile, so that features are unified once and nothing is
//! compiled twice.

use crate::bridge::Bridge;
use crate::count::Count;
use crate::shell::{Outcome, built, command, follow, run, words_of};
use crate::{app, bindings, duplicates, licences, networks, node, oracles, setup, tidy};
use std::process::Command;
use std::time::{Duration, Instant};

/// What a step found out, with the counts of its tests.
type Found = (Count, Outcome);

struct Step {
    name: &'static str,
    what: &'static str,
    act: fn() -> Found,
}

const STEPS: &[Step] = &[
    Step { name: "format", what: "the code is formatted", act: formatted },
    Step { name: "tidy", what: "places, manifests, headers, unreached files", act: || checked(tidy::all()) },
    Step { name: "setup", what: "what is missing is installed", act: || checked(setup::everything()) },
    Step {
        name: "licences",
        what: "licences are allowed, notices complete",
        act: || checked(licences::all()),
    },
    Step {
        name: "duplicates",
        what: "no package in several versions that could be one",
        act: || checked(duplicates::all()),
    },
    Step { name: "ui-check", what: "types of the screens", act: || one(node::script("check")) },
    Step { name: "ui-test", what: "unit tests of the screens", act: || counted(node::script("test")) },
    Step { name: "ui-build", what: "the screens, for the window and for a browser", act: build_screens },
    Step { name: "clippy", what: "lints, warnings are errors", act: || one(clippy()) },
    Step { name: "build", what: "every program and test", act: || one(build()) },
    Step {
        name: "test",
        what: "unit, property and story tests, examples in the documentation",
        act: cargo_tests,
    },
    Step { name: "doc", what: "the documentation builds without a warning", act: || one(documentation()) },
    Step { name: "ui-e2e", what: "the screens in Chromium on the real core", act: || twice(screen_tests) },
    Step { name: "app-e2e", what: "the real app on a screen of its own", act: || twice(app_tests) },
    Step { name: "oracles", what: "answers against independent libraries", act: oracle_checks },
];

/// Runs all steps, or those named.
pub(crate) fn command_line(words: &[&str]) -> Outcome {
    if words == ["--list"] {
        STEPS.iter().for_each(|step| println!("{:10} {}", step.name, step.what));
        return Ok(());
    }
    if let Some(unknown) = words.iter().find(|word| STEPS.iter().all(|step| step.name != **word)) {
        return Err(format!("There is no step `{unknown}`. `cargo xtask test --list` names them."));
    }
    run_steps(&STEPS.iter().filter(|step| words.is_empty() || words.contains(&step.name)).collect::<Vec<_>>())
}

fn run_steps(steps: &[&Step]) -> Outcome {
    let start = Instant::now();
    let mut sum = Count::default();
    let mut times = vec![];
    for (done, step) in steps.iter().enumerate() {
        println!("\n[{}/{}] {}: {}", done + 1, steps.len(), step.name, step.what);
        let begun = Instant::now();
        let (count, outcome) = (step.act)();
        let took = words_for(begun.elapsed());
        sum = sum.and(count);
        if let Err(reason) = outcome {
            println!("{}", summary(&times, start.elapsed()));
            println!("{} passed, {} failed", sum.passed, sum.failed);
            return Err(format!(
                "The step `{0}` ({1}) failed after {took}.\n{reason}\nTo run only this step again: cargo xtask test {0}",
                step.name, step.what
            ));
        }
        println!("      {} in {took}", words_for_count(count));
        times.push((step.name, took));
    }
    println!("{}", summary(&times, start.elapsed()));
    println!("{} passed, {} failed", sum.passed, sum.failed);
    Ok(())
}

fn summary(times: &[(&str, String)], all: Duration) -> String {
    let lines: Vec<String> = times.iter().map(|(name, took)| format!("  {name:10} {took:>12}")).collect();
    format!("\n{}\n{} steps in {}", lines.join("\n"), times.len(), words_for(all))
}

fn words_for(time: Duration) -> String {
    let seconds = time.as_secs();
    if seconds < 60 {
        format!("{:.1} s", time.as_secs_f64())
    } else {
        format!("{} min {} s", seconds / 60, seconds % 60)
    }
}

fn words_for_count(count: Count) -> String {
    if count == Count::ONE { "done".into() } else { format!("{} passed", count.passed) }
}

/// A step that either holds or not.
fn checked(outcome: Outcome) -> Found {
    let failed = u64::from(outcome.is_err());
    (Count { passed: 1 - failed, failed }, outcome)
}

/// A command that either holds or not.
fn one(mut call: Command) -> Found {
    checked(run(&mut call))
}

/// A command whose output says how many tests there were. None at all is a failure: nothing was checked.
fn counted(mut call: Command) -> Found {
    let (text, outcome) = follow(&mut call);
    let count = Count::read(&text);
    match outcome {
        Ok(()) if count.failed > 0 => {
            (count, Err(format!("`{}` says that {} failed.", words_of(&call), count.failed)))
        }
        Ok(()) if count.passed == 0 => {
            (Count { passed: 0, failed: 1 }, Err(format!("`{}` ran no test.", words_of(&call))))
        }
        Ok(()) => (count, Ok(())),
        Err(reason) => (Count { failed: count.failed.max(1), ..count }, Err(reason)),
    }
}

/// Several commands, up to the first that fails.
fn all_counted(calls: Vec<Command>) -> Found {
    let mut sum = Count::default();
    for call in calls {
        let (count, outcome) = counted(call);
        sum = sum.and(count);
        if outcome.is_err() {
            return (sum, outcome);
        }
    }
    (sum, Ok(()))
}

fn cargo(words: &[&str]) -> Command {
    command("cargo", words)
}

fn formatted() -> Found {
    let (count, outcome) = one(cargo(&["fmt", "--all", "--", "--check", "-l"]));
    (
        count,
        outcome
            .map_err(|_| "The files above are not formatted. Run `cargo fmt --all` and commit.".to_owned()),
    )
}

fn clippy() -> Command {
    cargo(&["clippy", "--workspace", "--all-targets", "--", "--deny", "warnings"])
}

fn build() -> Command {
    app::build(&["--all-targets"])
}

fn documentation() -> Command {
    let mut call = cargo(&["doc", "--workspace", "--no-deps", "--document-private-items"]);
    call.env("RUSTDOCFLAGS", "--deny warnings");
    call
}

fn cargo_tests() -> Found {
    let before = match bindings::snapshot() {
        Ok(before) => before,
        Err(reason) => return checked(Err(reason)),
    };
    let mut tests = cargo(&["test", "--workspace", "--quiet"]);
    match networks::runner() {
        Ok(runner) => tests.args(runner),
        Err(reason) => return checked(Err(reason)),
    };
    let (count, outcome) = counted(tests);
    if outcome.is_err() {
        return (count, outcome);
    }
    let (unchanged, outcome) = checked(bindings::compare(&before));
    (count.and(unchanged), outcome)
}

fn build_screens() -> Found {
    let (first, outcome) = one(node::script("build"));
    if outcome.is_err() {
        return (first, outcome);
    }
    let (second, outcome) = one(node::script("build:bridge"));
    (first.and(second), outcome)
}

fn oracle_checks() -> Found {
    match oracles::checks() {
        Ok(calls) => all_counted(calls),
        Err(reason) => checked(Err(reason)),
    }
}

/// Tests that drive a browser hang on a whole machine: one that fails is played once more from the start, and said to
/// be. What fails twice is a failure.
fn twice(play: fn() -> Found) -> Found {
    let (count, outcome) = play();
    match outcome {
        Ok(()) => (count, Ok(())),
        Err(reason) => {
            println!("      FAILED the first time, played once more. {reason}");
            play()
        }
    }
}

fn screen_tests() -> Found {
    match Bridge::start() {
        Ok(bridge) => {
            let mut call = node::script("e2e");
            call.env("DRYLAY_BRIDGE", &bridge.address).env("DRYLAY_PROGRAM", built("drylay"));
            counted(call)
        }
        Err(reason) => checked(Err(reason)),
    }
}

fn app_tests() -> Found {
    match app::end_to_end() {
        Ok(call) => counted(call),
        Err(reason) => checked(Err(reason)),
    }
}
