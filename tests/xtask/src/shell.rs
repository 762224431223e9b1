//! Running other programs: where the repository is, and failures in plain words.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The result of anything here; the error is what a person reads.
pub(crate) type Outcome<T = ()> = Result<T, String>;

/// The folder of the root `Cargo.toml`.
pub(crate) fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here).to_path_buf()
}

/// Cargo's build folder: `target`, or what `CARGO_TARGET_DIR` says.
pub(crate) fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(folder) => root().join(folder),
        None => root().join("target"),
    }
}

/// The path of a program of the workspace, as the build step leaves it.
pub(crate) fn built(name: &str) -> PathBuf {
    target().join("debug").join(name)
}

/// A command in the repository's root, without standard input and without the variables that `cargo run` added.
pub(crate) fn command(program: impl AsRef<std::ffi::OsStr>, words: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(words).current_dir(root()).stdin(Stdio::null());
    for (name, _) in std::env::vars_os() {
        let name = name.to_string_lossy().into_owned();
        if ["CARGO_PKG_", "CARGO_MANIFEST_"].iter().any(|start| name.starts_with(start)) {
            command.env_remove(name);
        }
    }
    command
}

/// What to type to run the same again.
pub(crate) fn words_of(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}

/// Runs a command whose output goes straight to the terminal.
pub(crate) fn run(command: &mut Command) -> Outcome {
    let words = words_of(command);
    let status = command.status().map_err(|error| cannot_start(&words, &error))?;
    if status.success() { Ok(()) } else { Err(format!("`{words}` ended with {status}.")) }
}

/// Runs a command and gives back its standard output; what it says on standard error comes with the failure.
pub(crate) fn capture(command: &mut Command) -> Outcome<String> {
    let words = words_of(command);
    let output = command.output().map_err(|error| cannot_start(&words, &error))?;
    if output.status.success() {
        return Ok(String::from_utf8_lossy(&output.stdout).into_owned());
    }
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    Err(format!("`{words}` ended with {}.\n{}", output.status, said.trim_end()))
}

/// Runs a command, passes its standard output on line by line, and keeps it. The text comes back in either case.
pub(crate) fn follow(command: &mut Command) -> (String, Outcome) {
    let words = words_of(command);
    let mut child = match command.stdout(Stdio::piped()).spawn() {
        Ok(child) => child,
        Err(error) => return (String::new(), Err(cannot_start(&words, &error))),
    };
    let mut text = String::new();
    if let Some(stdout) = child.stdout.take() {
        for line in BufReader::new(stdout).split(b'\n').map_while(Result::ok) {
            let line = String::from_utf8_lossy(&line).into_owned();
            println!("{line}");
            text.push_str(&line);
            text.push('\n');
        }
    }
    let outcome = match child.wait() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("`{words}` ended with {status}.")),
        Err(error) => Err(format!("`{words}` was lost: {error}.")),
    };
    (text, outcome)
}

/// True if a program of that name is on the search path.
pub(crate) fn on_path(name: &str) -> bool {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path).any(|folder| folder.join(name).is_file())
}

/// Reads a text file of the repository.
pub(crate) fn read(path: &Path) -> Outcome<String> {
    std::fs::read_to_string(path).map_err(|error| format!("Cannot read {}: {error}.", path.display()))
}

/// Writes a text file, with the folders above it.
pub(crate) fn write(path: &Path, text: &str) -> Outcome {
    let folder = path.parent().unwrap_or(path);
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(path, text))
        .map_err(|error| format!("Cannot write {}: {error}.", path.display()))
}

/// The files that git knows or would add, relative to the root, in order.
pub(crate) fn tracked() -> Outcome<Vec<String>> {
    let list = capture(&mut command("git", &["ls-files", "--cached", "--others", "--exclude-standard"]))?;
    let mut files: Vec<String> =
        list.lines().filter(|file| root().join(file).is_file()).map(str::to_owned).collect();
    files.sort();
    files.dedup();
    Ok(files)
}

fn cannot_start(words: &str, error: &std::io::Error) -> String {
    format!("`{words}` could not be started: {error}.")
}
