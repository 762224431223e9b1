//! `cargo xtask`: sets up what is missing, opens the app, runs every test. It uses no package at all, so that it
//! starts in seconds on a fresh machine and never changes what the workspace is built with.
#![allow(clippy::print_stdout, reason = "talking to a person in a terminal is what this program is for")]

mod android;
mod app;
mod bench;
mod bindings;
mod bridge;
mod compiler;
mod count;
mod deb;
mod duplicates;
mod icons;
mod licences;
mod long;
mod modules;
mod networks;
mod node;
mod numbers;
mod oracles;
mod setup;
mod shell;
mod spdx;
mod suite;
mod tidy;

use shell::Outcome;
use std::process::ExitCode;

const HELP: &str = "\
cargo xtask COMMAND

  app            plans the demo job, prints what a person wants to know, and opens the app on it
                 --phone: a window of a phone's size; --headless: no window; --shot FILE: saves a picture of it
  test           every check and test there is, in the order of .ci/run; stops at the first failure
  test STEP…     only these steps (`cargo xtask test --list` names them)
  bench          every number to reach, beside a reference where there is one; not part of `test`
  bench NAME…    only these measurements (`cargo xtask bench --list` names them)
  mutants        breaks 300 lines of geometry, survey and plan one by one and lists which the tests notice; takes hours
                 (`cargo xtask mutants --help`); not part of `test`
  fuzz           every reader of bytes and text on damaged input for longer than in `test`: --minutes N, NAME…
                 (`cargo xtask fuzz --list` names them); a crasher is saved and told
  crews          made-up crews of 2 to 6 devices in bad networks: --runs N (10000), --seed S for one of them
  setup          only installs what is missing: apt packages, node modules, Python packages of the oracles
  tidy           the checks on the repository itself: places, manifests, headers, unreached files
  licences       every package's licence against the allowed ones, and the notices against the packages
  duplicates     packages that are there in several versions, against the list of those that cannot be helped
  notices        writes src-tauri/notices.md anew
  icons          draws icons/*.png from icons/drylay.svg
  shots          pictures of every screen, size and theme, in tests/shots
  gallery FOLDER all screens in all sizes and themes into a folder, with a page that shows them; `--german`: in German
  deb            the window as a Debian package; --debug: built quickly, to look at the package itself
  same-numbers   plans of 200 rooms on this processor and on an emulated ARM must be the same; not part of `test`
  android-check  the whole app type-checked for Android, without an SDK; not part of `test`
";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match dispatch(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("\n{reason}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(words: &[&str]) -> Outcome {
    match words {
        ["app", rest @ ..] => app::command_line(rest),
        ["test", rest @ ..] => suite::command_line(rest),
        ["bench", rest @ ..] => bench::command_line(rest),
        ["mutants", rest @ ..] => long::mutants(rest),
        ["fuzz", rest @ ..] => long::fuzz(rest),
        ["crews", rest @ ..] => long::crews(rest),
        ["setup"] => setup::everything(),
        ["tidy"] => tidy::command(),
        ["duplicates"] => duplicates::command_line(),
        ["licences"] => licences::command_line(),
        ["icons"] => icons::draw(),
        ["shots"] => shots(&[]),
        ["gallery", folder] => shots(&[("DRYLAY_GALLERY", folder)]),
        ["gallery", folder, "--german"] => shots(&[("DRYLAY_GALLERY", folder), ("DRYLAY_LANGUAGE", "de")]),
        ["deb", rest @ ..] => deb::command_line(rest),
        ["same-numbers"] => numbers::check(),
        ["android-check"] => android::check(),
        ["networks", rest @ ..] => networks::run(rest),
        ["notices"] => licences::write_notices(),
        [] | ["help" | "--help" | "-h"] => {
            print!("{HELP}");
            Ok(())
        }
        [other, ..] => Err(format!("`{other}` is not a command here.\n\n{HELP}")),
    }
}

/// Pictures of every screen by the screens' own script, on the tests' bridge in Chromium.
fn shots(wishes: &[(&str, &str)]) -> Outcome {
    setup::for_browser()?;
    shell::run(&mut node::script("build:bridge"))?;
    shell::run(&mut app::build(&[]))?;
    let bridge = bridge::Bridge::start()?;
    let mut shots = node::script("shots");
    shots.env("DRYLAY_BRIDGE", &bridge.address).envs(wishes.iter().copied());
    shell::run(&mut shots)
}
