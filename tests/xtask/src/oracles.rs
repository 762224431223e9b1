//! The oracles: independent programs in Python that check the answers of `drylay` with other people's libraries.

use crate::setup;
use crate::shell::{Outcome, built, command, read, root, run, target, write};
use std::path::{Path, PathBuf};
use std::process::Command;

/// The virtual environment of the pinned packages, made or brought up to date; gives back its Python.
pub(crate) fn environment() -> Outcome<PathBuf> {
    let wanted = read(&folder().join("requirements.txt"))?;
    let home = target().join("oracles");
    let python = home.join("bin/python");
    let stamp = home.join("installed-from.txt");
    if python.exists() && read(&stamp).is_ok_and(|earlier| earlier == wanted) {
        return Ok(python);
    }
    println!("pip installs the packages of tests/oracles/requirements.txt in {}.", home.display());
    setup::for_python()?;
    run(command("python3", &["-m", "venv", "--clear"]).arg(&home))?;
    let pip = ["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"];
    run(command(&python, &pip).arg(folder().join("requirements.txt")))?;
    write(&stamp, &wanted)?;
    Ok(python)
}

/// The calls of all `check_*.py`, in order of their names.
pub(crate) fn checks() -> Outcome<Vec<Command>> {
    let python = environment()?;
    let mut found = scripts()?;
    found.sort();
    if found.is_empty() {
        return Err("tests/oracles holds no check_*.py: nothing would be checked.".into());
    }
    Ok(found.iter().map(|script| call(&python, script)).collect())
}

fn call(python: &Path, script: &Path) -> Command {
    let mut call = command(python, &["-B"]);
    call.arg(script).arg(built("drylay"));
    call
}

fn scripts() -> Outcome<Vec<PathBuf>> {
    let folder = folder();
    let entries =
        std::fs::read_dir(&folder).map_err(|error| format!("Cannot list {}: {error}.", folder.display()))?;
    Ok(entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|path| is_check(path)).collect())
}

fn is_check(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    name.starts_with("check_") && path.extension().is_some_and(|kind| kind == "py")
}

fn folder() -> PathBuf {
    root().join("tests/oracles")
}
