//! What takes too long for every day: mutants, fuzzing, thousands of crews.

use crate::shell::{self, Outcome};

/// `cargo xtask mutants`: the program in `tests/mutants` does it all.
pub(crate) fn mutants(words: &[&str]) -> Outcome {
    let start = ["run", "--quiet", "--package", "drylay-mutants", "--"];
    shell::run(&mut shell::command("cargo", &[&start, words].concat()))
}

/// `cargo xtask fuzz`: the same targets as in the tests, for as long as wished.
pub(crate) fn fuzz(words: &[&str]) -> Outcome {
    let start = ["run", "--quiet", "--package", "drylay-tests", "--example", "fuzz", "--"];
    shell::run(&mut shell::command("cargo", &[&start, words].concat()))
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
    let mut command = shell::command("cargo", &words);
    command.env("DRYLAY_SYNC_RUNS", runs);
    if let Some(seed) = seed {
        command.env("DRYLAY_SYNC_SEED", seed);
    }
    shell::run(&mut command)
}

fn is_number(word: &str) -> bool {
    word.parse::<u64>().is_ok()
}
