//! `cargo xtask app`: the demo job, from a fresh clone; in words, and in the window.

use crate::shell::{Outcome, built, command, on_path, root, run, target};
use crate::{node, setup};
use std::path::Path;
use std::process::{Command, Stdio};

const NO_DISPLAY: &str = "
There is no display here (neither DISPLAY nor WAYLAND_DISPLAY is set), so no window is opened. To see it all the same:
  cargo xtask app --shot FILE.png    opens the app on a screen of its own and saves what it shows";

/// `[--phone] [--headless | --shot FILE]`.
pub(crate) fn command_line(words: &[&str]) -> Outcome {
    let phone = words.contains(&"--phone");
    let rest: Vec<&str> = words.iter().copied().filter(|word| *word != "--phone").collect();
    match rest.as_slice() {
        ["--headless"] => plan_demo(),
        ["--shot", file] => shoot(file, phone),
        [] if has_display() => plan_demo().and_then(|()| open(phone)),
        [] => {
            plan_demo()?;
            println!("{NO_DISPLAY}");
            Ok(())
        }
        ["--headless", "--shot", ..] | ["--shot", _, "--headless"] => {
            Err("`--headless` opens no window, so `--shot` has nothing to show: give one of them.".into())
        }
        ["--shot"] => Err("`--shot` needs the name of the file to write.".into()),
        [other, ..] => Err(format!(
            "`{other}` is not an option of `cargo xtask app` (--phone, --headless, --shot FILE)."
        )),
    }
}

/// Installs what building the window needs, and builds the screens and all programs.
pub(crate) fn build_window() -> Outcome {
    setup::for_building()?;
    node::modules()?;
    run(&mut node::script("build"))?;
    run(&mut build(&[]))
}

/// The build that every command shares, of everything or of what `more` names: of the whole workspace, so that features
/// are the same and nothing is compiled twice.
pub(crate) fn build(more: &[&str]) -> Command {
    let mut call = command("cargo", &["build", "--workspace"]);
    call.args(more);
    call
}

fn plan_demo() -> Outcome {
    let folder = target().join("demo");
    println!("The demo job goes to {}.", folder.display());
    // Without the window there is nothing to install for this, and words come first.
    run(&mut build(&["--bin", "drylay"]))?;
    run(drylay(&["demo"]).arg(&folder))?;
    println!("\nWhat `drylay plan` says about it, in words:\n");
    run(drylay(&["plan", "--words"]).arg(folder.join("demo.json")))
}

fn drylay(words: &[&str]) -> Command {
    command(built("drylay"), words)
}

fn has_display() -> bool {
    ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some_and(|it| !it.is_empty()))
}

/// Opens the window on a store of its own below the build folder, which keeps what is typed from one time to the next.
fn open(phone: bool) -> Outcome {
    build_window()?;
    let store = target().join("demo/store");
    println!("The window opens. What you type is kept in {}.", store.display());
    let mut app = command(built("drylay-desktop"), &["--demo"]);
    app.args(phone.then_some("--phone")).env("DRYLAY_STORE", store).stdin(Stdio::inherit());
    run(&mut app)
}

fn shoot(file: &str, phone: bool) -> Outcome {
    setup::for_driving()?;
    build_window()?;
    let here = std::env::current_dir().map_err(|error| format!("There is no current folder: {error}."))?;
    let mut shot = command("node", &["tests/e2e/shot.mjs"]);
    shot.arg(built("drylay-desktop")).arg(here.join(file));
    run(shot.args(phone.then_some("--phone")))
}

/// The call of the end-to-end tests of the real app.
pub(crate) fn end_to_end() -> Outcome<Command> {
    let folder = root().join("tests/e2e");
    let mut tests = command("node", &["--test", "--test-reporter=spec"]);
    tests.args(test_files(&folder)?).env("DRYLAY_APP", built("drylay-desktop"));
    if on_path("WebKitWebDriver") {
        Ok(tests)
    } else {
        Err("WebKitWebDriver is not there. Run: cargo xtask setup".into())
    }
}

fn test_files(folder: &Path) -> Outcome<Vec<std::path::PathBuf>> {
    let entries =
        std::fs::read_dir(folder).map_err(|error| format!("Cannot list {}: {error}.", folder.display()))?;
    let paths = entries.filter_map(Result::ok).map(|entry| entry.path());
    let mut tests: Vec<_> = paths.filter(|path| path.to_string_lossy().ends_with(".test.mjs")).collect();
    tests.sort();
    if tests.is_empty() {
        Err("tests/e2e holds no *.test.mjs: nothing would be tested.".into())
    } else {
        Ok(tests)
    }
}
