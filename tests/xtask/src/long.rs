//! What takes too long for every day: mutants, fuzzing, thousands of crews.

use crate::app::build;
use crate::shell::{Outcome, built, command, run};

/// `cargo xtask mutants`: the program in `tests/mutants` does it all.
pub(crate) fn mutants(words: &[&str]) -> Outcome {
    run(&mut build(&["--quiet", "--bin", "drylay-mutants"]))?;
    run(&mut command(built("drylay-mutants"), words))
}

/// `cargo xtask fuzz`: the same targets as in the tests, for as long as wished.
pub(crate) fn fuzz(words: &[&str]) -> Outcome {
    run(&mut build(&["--quiet", "--example", "fuzz"]))?;
    run(&mut command(built("examples/fuzz"), words))
}

/// `cargo xtask crews`: the made-up crews of the protocol's own test, as many as wished.
pub(crate) fn crews(words: &[&str]) -> Outcome {
    let (mut runs, mut seed) = ("10000", None);
    for pair in words.chunks(2) {
        match pair {
            ["--runs", number] if is_number(number) => runs = number,
            ["--seed", number] if is_number(number) => seed = Some(*number),
            _ => return Err("cargo xtask crews [--runs N] [--seed S]".to_owned()),
        }
    }
    let words = ["test", "--package", "drylay-sync", "--lib", "converging", "--", "--nocapture"];
    let mut tests = command("cargo", &words);
    tests.env("DRYLAY_SYNC_RUNS", runs);
    if let Some(seed) = seed {
        tests.env("DRYLAY_SYNC_SEED", seed);
    }
    run(&mut tests)
}

fn is_number(word: &str) -> bool {
    word.parse::<u64>().is_ok()
}
