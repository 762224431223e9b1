//! The programs that measure, each built for release.

use crate::app::build;
use crate::bridge::Bridge;
use crate::shell::{Outcome, capture, command, root, run, target};
use crate::{networks, node, oracles, setup};
use std::path::PathBuf;
use std::process::Command;

/// One run of programs that says figures.
pub(super) struct Measure {
    /// What it is called on the command line.
    pub(super) name: &'static str,
    /// For a person.
    pub(super) what: &'static str,
    /// Builds and runs it; gives back what the programs wrote.
    pub(super) act: fn() -> Outcome<String>,
}

/// All measurements, in the order they run.
pub(super) const MEASURES: &[Measure] = &[
    Measure { name: "window", what: "the release app from its start to its first screen", act: window },
    Measure { name: "hand", what: "edits and opening of rooms", act: hand },
    Measure {
        name: "frames",
        what: "panning a large floor in Chromium at a sixth of the speed",
        act: frames,
    },
    Measure { name: "season", what: "a season's job and a long list of jobs", act: season },
    Measure { name: "crew", what: "two keepers in networks of their own (root)", act: crew },
    Measure { name: "survey", what: "rooms from their readings", act: survey },
    Measure { name: "floor", what: "verdicts and corrections of floors", act: floor },
    Measure { name: "takeoff", what: "what to buy", act: takeoff },
    Measure { name: "papers", what: "papers of a job, and a report of photos", act: papers },
    Measure { name: "search", what: "pieces and best plans", act: search },
];

/// A release build of some program of the workspace; all measurements share one build folder, profile and set of features:
/// with a small example beside it, a program has the features of the examples.
fn release(words: &[&str]) -> Outcome {
    run(&mut build(&[&["--release", "--quiet", "--example", "bench_floor"], words].concat()))
}

fn program(name: &str) -> PathBuf {
    target().join("release").join(name)
}

fn example(name: &str) -> Outcome<Command> {
    release(&["--example", name])?;
    Ok(command(program("examples").join(name), &[]))
}

fn oracle(script: &str) -> Outcome<Command> {
    let mut call = command(oracles::environment()?, &["-B"]);
    call.arg(root().join("tests/oracles").join(script));
    Ok(call)
}

/// How often a program and its reference take turns.
const TURNS: usize = 5;
/// What makes a program leave out what stands beside no reference.
const BESIDE: &str = "beside";

/// What our program and the reference's say in turns. Of each figure the least counts ([`super::figures::Figures`]):
/// another machine's work on the same processor only ever slows a run, by half where it shares the core, and would
/// else count against the one of the two that it fell on.
fn in_turns(ours: &str, theirs: &str) -> Outcome<String> {
    let (mut ours, mut theirs) = (example(ours)?, oracle(theirs)?);
    ours.arg(BESIDE);
    (0..TURNS).map(|_| Ok(capture(&mut ours)? + &capture(&mut theirs)?)).collect()
}

fn window() -> Outcome<String> {
    setup::for_driving()?;
    node::modules()?;
    run(&mut node::script("build"))?;
    release(&["--bin", "drylay-desktop"])?;
    let fill = example("bench_hand")?;
    let mut drive = command("node", &["tests/e2e/window.mjs"]);
    capture(drive.arg(program("drylay-desktop")).arg(fill.get_program()))
}

fn hand() -> Outcome<String> {
    capture(&mut example("bench_hand")?)
}

fn season() -> Outcome<String> {
    capture(&mut example("bench_season")?)
}

fn crew() -> Outcome<String> {
    setup::for_networks()?;
    release(&["--bin", "drylay", "--example", "bench_crew"])?;
    capture(&mut networks::within(&program("examples").join("bench_crew")))
}

fn frames() -> Outcome<String> {
    setup::for_browser()?;
    run(&mut node::script("build:bridge"))?;
    release(&["--bin", "drylay-bridge"])?;
    let bridge = Bridge::of(program("drylay-bridge"))?;
    capture(node::script("frames").env("DRYLAY_BRIDGE", &bridge.address))
}

fn survey() -> Outcome<String> {
    in_turns("bench_survey", "bench_survey.py")
}

fn floor() -> Outcome<String> {
    Ok(capture(&mut example("bench_floor")?)? + &in_turns("bench_floor", "bench_floor.py")?)
}

fn takeoff() -> Outcome<String> {
    capture(&mut example("bench_takeoff")?)
}

fn papers() -> Outcome<String> {
    capture(&mut example("bench_papers")?)
}

fn search() -> Outcome<String> {
    Ok(capture(&mut example("bench_search")?)? + &in_turns("bench_search", "bench_pieces.py")?)
}
