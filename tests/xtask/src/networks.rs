//! Networks of their own for devices of a crew need root. Who is not root gets a namespace to be root in: one of users,
//! of networks, and of mounts with a `/run` of its own, where `ip` keeps the names of networks.

use crate::shell::{Outcome, capture, command};
use std::ffi::OsStr;
use std::path::Path;
use std::process::Command;

/// What is done in the namespace before the program is run.
const BEGIN: &str = "mount -t tmpfs tmpfs /run && ip link set lo up && exec \"$@\"";

fn is_root() -> bool {
    capture(&mut command("id", &["-u"])).is_ok_and(|said| said.trim() == "0")
}

/// A program that makes networks, so that it may.
pub(crate) fn within(program: &Path) -> Command {
    if is_root() {
        return Command::new(program);
    }
    let mut call = Command::new("unshare");
    call.args(["--user", "--map-root-user", "--mount", "--net", "sh", "-c", BEGIN, "sh"]).arg(program);
    call
}

/// What `cargo test` is told, so that it runs its programs by [`run`].
pub(crate) fn runner() -> Outcome<Vec<String>> {
    if is_root() {
        return Ok(vec![]);
    }
    let here = std::env::current_exe().map_err(|error| format!("Cannot find this program: {error}."))?;
    Ok(vec![
        "--config".into(),
        format!("target.'cfg(unix)'.runner = [{:?}, \"networks\"]", here.display().to_string()),
    ])
}

/// Runs a program of tests in place of this one, as cargo asks for it.
pub(crate) fn run(words: &[&str]) -> Outcome {
    let Some((program, rest)) = words.split_first() else {
        return Err("`networks` is for `cargo test`: it runs the program of tests that it is given.".into());
    };
    let program = Path::new(program);
    let mut call = if makes_networks(program) { within(program) } else { Command::new(program) };
    become_it(call.args(rest))
}

/// Whether it is the program of the tests `crew`, which cargo gives a name with a number behind it.
fn makes_networks(program: &Path) -> bool {
    program.file_name().and_then(OsStr::to_str).is_some_and(|name| name.starts_with("crew-"))
}

#[cfg(unix)]
fn become_it(call: &mut Command) -> Outcome {
    use std::os::unix::process::CommandExt;
    let error = call.exec();
    Err(format!("{}: {error}.", call.get_program().display()))
}

#[cfg(not(unix))]
fn become_it(call: &mut Command) -> Outcome {
    crate::shell::run(call)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_crew_s_tests_get_a_world_of_their_own() {
        assert!(makes_networks(Path::new("/target/debug/deps/crew-0123456789abcdef")));
        assert!(!makes_networks(Path::new("/target/debug/deps/crews-0123456789abcdef")));
        assert!(!makes_networks(Path::new("/crew-1/contract-0123456789abcdef")));
    }

    #[test]
    fn without_a_program_it_says_what_it_is_for() {
        assert!(run(&[]).is_err_and(|why| why.contains("cargo test")));
    }
}
