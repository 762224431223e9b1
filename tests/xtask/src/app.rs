//! `cargo xtask app`: the demo job, from a fresh clone.

use crate::shell::{Outcome, command, run, target};

/// Writes the demo sheet, plans it and prints what a person wants to know.
pub(crate) fn command_line(words: &[&str]) -> Outcome {
    match words {
        [] => plan_demo(),
        [other, ..] => Err(format!("`{other}` is not an option of `cargo xtask app`.")),
    }
}

fn plan_demo() -> Outcome {
    let folder = target().join("demo");
    println!("The demo job goes to {}.", folder.display());
    run(drylay(&["demo"]).arg(&folder))?;
    println!("\nWhat `drylay plan` says about it, in words:\n");
    run(drylay(&["plan", "--words"]).arg(folder.join("demo.json")))
}

/// The program `drylay`, built when it is not yet.
fn drylay(words: &[&str]) -> std::process::Command {
    let mut call = command("cargo", &["run", "--quiet", "--package", "drylay-cli", "--bin", "drylay", "--"]);
    call.args(words);
    call
}
