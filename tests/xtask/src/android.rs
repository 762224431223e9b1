//! `cargo xtask android-check`: the whole app type-checked for `aarch64-linux-android`.
//!
//! It needs no SDK: a compiler of Debian's and the library for Android built from its source will do. C code is not
//! compiled (a compiler that writes empty files stands in for a real one) and nothing is linked, so this finds Rust that
//! is only compiled for Android and packages that are desktop-only. It says nothing about Kotlin, Gradle, the manifest or
//! anything at run time.

use crate::compiler::Kit;
use crate::shell::{Outcome, command, root, run, target};
use crate::{node, setup};
use std::process::Command;

const TARGET: &str = "aarch64-linux-android";

/// Sets the kit up when it is missing, builds the screens, and checks the app.
pub(crate) fn check() -> Outcome {
    setup::for_building()?;
    let kit = Kit::ready(TARGET)?;
    node::modules()?;
    run(&mut node::script("build"))?;
    println!("Checking the app for {TARGET}; the first time takes some minutes.");
    run(&mut checking(&kit))?;
    println!("The app type-checks for {TARGET}. Nothing was linked and no C was compiled.");
    Ok(())
}

fn checking(kit: &Kit) -> Command {
    let mut check = command("cargo", &["check", "--package", "drylay-desktop", "--lib", "--target", TARGET]);
    check.env("RUSTC", kit.compiler()).env("CARGO_TARGET_DIR", target().join("android"));
    check.env("AR_aarch64_linux_android", "/usr/bin/ar");
    check.env("CC_aarch64_linux_android", kit.stand_in()).env("CXX_aarch64_linux_android", kit.stand_in());
    check.current_dir(root());
    check
}
