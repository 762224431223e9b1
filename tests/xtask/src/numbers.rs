//! `cargo xtask same-numbers`: plans of 200 random rooms on this processor and on an emulated 64-bit ARM.
//!
//! From readings of a tape to pieces, all that a crew's devices must agree on. The emulator is qemu's for single programs;
//! C code that is linked in (SQLite) is compiled for the other processor too.

use crate::compiler::Kit;
use crate::setup;
use crate::shell::{Outcome, capture, command, root, run, target};

const TARGET: &str = "aarch64-unknown-linux-gnu";
const EXAMPLE: [&str; 2] = ["--example", "numbers"];

/// Builds both, runs both, compares.
pub(crate) fn check() -> Outcome {
    setup::for_building()?;
    setup::for_another_processor()?;
    let kit = Kit::ready(TARGET)?;
    println!("Planning 200 rooms on this processor.");
    run(command("cargo", &["build", "--quiet", "--workspace"]).args(EXAMPLE).current_dir(root()))?;
    let here = capture(&mut command(target().join("debug/examples/numbers"), &[]))?;
    println!("Planning them on an emulated ARM; the first time everything is compiled for it.");
    let folder = target().join("elsewhere");
    let mut build = command("cargo", &["build", "--quiet", "--target", TARGET, "--package", "drylay-app"]);
    build.args(EXAMPLE).current_dir(root()).env("RUSTC", kit.compiler()).env("CARGO_TARGET_DIR", &folder);
    build.env("CARGO_TARGET_AARCH64_UNKNOWN_LINUX_GNU_LINKER", "aarch64-linux-gnu-gcc");
    build.env("CC_aarch64_unknown_linux_gnu", "aarch64-linux-gnu-gcc").env("CARGO_INCREMENTAL", "0");
    run(&mut build)?;
    let program = folder.join(TARGET).join("debug/examples/numbers");
    let there = capture(command("qemu-aarch64", &["-L", "/usr/aarch64-linux-gnu"]).arg(program))?;
    compare(&here, &there)
}

fn compare(here: &str, there: &str) -> Outcome {
    let (ours, theirs): (Vec<&str>, Vec<&str>) = (here.lines().collect(), there.lines().collect());
    if ours.len() != theirs.len() {
        return Err(format!("{} rooms here, {} there.", ours.len(), theirs.len()));
    }
    let apart: Vec<&str> = ours
        .iter()
        .zip(&theirs)
        .filter(|(one, other)| one != other)
        .filter_map(|(one, _)| one.split(' ').next())
        .collect();
    if !apart.is_empty() {
        return Err(format!("{} of {} rooms differ: {}.", apart.len(), ours.len(), apart.join(", ")));
    }
    println!("{} rooms: the same to the last digit.", ours.len());
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_room_that_differs_is_named() {
        assert!(compare("0 a\n1 b", "0 a\n1 b").is_ok());
        assert!(compare("0 a\n1 b", "0 a\n1 c").is_err_and(|told| told.contains("1 of 2 rooms differ: 1.")));
        assert!(compare("0 a", "0 a\n1 b").is_err());
    }
}
