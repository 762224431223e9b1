//! A copy of the three crates in a build folder of its own, in which lines are broken.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

use crate::find::{self, Mutant, Range2};
use crate::weave::{self, SWITCH, SWITCH_SOURCE, Woven};

/// The crates whose lines are broken.
pub(crate) const CRATES: &[&str] = &["geometry", "survey", "plan"];

/// The copy.
#[derive(Debug)]
pub(crate) struct Tree {
    root: PathBuf,
    /// The sources of the crates by their place, as they are in the repository.
    sources: BTreeMap<String, String>,
}

/// A program of tests.
#[derive(Clone, Debug)]
pub(crate) struct TestProgram {
    /// Where it lies.
    pub(crate) path: PathBuf,
    /// The crate's folder, in which it runs.
    pub(crate) folder: PathBuf,
    /// What it is called: `lib` or the file of an integration test.
    pub(crate) name: String,
}

/// Something that the compiler refused: the file and the bytes it points to, the likeliest first.
#[derive(Clone, Debug)]
pub(crate) struct Refusal {
    /// What it says.
    pub(crate) message: String,
    /// Where.
    pub(crate) places: Vec<(String, Range2)>,
}

impl Tree {
    /// Copies what the crates are built from.
    pub(crate) fn copy(repository: &Path, target: &Path) -> Result<Self, String> {
        let root = target.join("mutants");
        let tree = root.join("tree");
        let _ = fs::remove_dir_all(&tree);
        let mut sources = BTreeMap::new();
        let manifest = read(&repository.join("Cargo.toml"))?;
        put(&tree.join("Cargo.toml"), &with_members(&manifest)?)?;
        put(&tree.join("Cargo.lock"), &read(&repository.join("Cargo.lock"))?)?;
        for name in CRATES {
            let from = format!("core/{name}");
            for file in files_below(&repository.join(&from))? {
                let place = format!("{from}/{file}");
                let text = read(&repository.join(&place))?;
                put(&tree.join(&place), &text)?;
                if file.starts_with("src/") && file.ends_with(".rs") {
                    sources.insert(place, text);
                }
            }
        }
        Ok(Self { root, sources })
    }

    /// Where what was found is written.
    pub(crate) fn results(&self) -> PathBuf {
        self.root.join("results.tsv")
    }

    /// A source as it is in the repository.
    pub(crate) fn source(&self, file: &str) -> &str {
        self.sources.get(file).map_or("", String::as_str)
    }

    /// Every mutant of a crate, in the order of the sources. Files that hold tests only have none.
    pub(crate) fn mutants_of(&self, name: &str) -> Result<Vec<Mutant>, String> {
        let start = format!("core/{name}/src/");
        let mut found = Vec::new();
        for (file, text) in self.sources.iter().filter(|(file, _)| file.starts_with(&start)) {
            let only_tests = file.ends_with("/tests.rs") || file.contains("/tests/");
            if !only_tests {
                found.extend(find::mutants(file, text)?);
            }
        }
        Ok(found)
    }

    /// Puts a crate's sources there with these mutants behind their switches.
    pub(crate) fn weave(
        &self,
        name: &str,
        mutants: &[(usize, &Mutant)],
    ) -> Result<Vec<(String, Woven)>, String> {
        let start = format!("core/{name}/src/");
        let mut all = Vec::new();
        for (file, text) in self.sources.iter().filter(|(file, _)| file.starts_with(&start)) {
            let here: Vec<(usize, &Mutant)> =
                mutants.iter().filter(|(_, mutant)| mutant.file == *file).copied().collect();
            let mut woven = weave::weave(text, &here);
            if file.ends_with("/src/lib.rs") {
                woven.text.push_str(&format!("\n#[doc(hidden)]\npub mod {SWITCH};\n"));
            }
            put(&self.at(file), &woven.text)?;
            all.push((file.clone(), woven));
        }
        put(&self.at(&format!("{start}{SWITCH}.rs")), SWITCH_SOURCE)?;
        Ok(all)
    }

    /// Puts a crate's sources there as they are in the repository, but for one mutant.
    pub(crate) fn alone(&self, name: &str, mutant: Option<&Mutant>) -> Result<(), String> {
        let start = format!("core/{name}/src/");
        for (file, text) in self.sources.iter().filter(|(file, _)| file.starts_with(&start)) {
            let changed = mutant.filter(|mutant| mutant.file == *file);
            let text = changed.map_or_else(|| text.clone(), |mutant| weave::alone(text, mutant));
            put(&self.at(file), &text)?;
        }
        Ok(())
    }

    /// Type-checks a crate's library; what the compiler refused.
    pub(crate) fn check(&self, name: &str) -> Result<Vec<Refusal>, String> {
        let (messages, said, success) = self.cargo(&["check", "--lib"], name)?;
        let refusals: Vec<Refusal> = messages.iter().filter_map(refusal).collect();
        if !success && refusals.is_empty() {
            return Err(format!("core/{name} does not build: {said}"));
        }
        Ok(refusals)
    }

    /// Builds a crate's library and its tests; `None` if the compiler refused.
    pub(crate) fn tests_of(&self, name: &str) -> Result<Option<Vec<TestProgram>>, String> {
        let (messages, _, success) = self.cargo(&["test", "--no-run", "--lib", "--tests"], name)?;
        let folder = self.root.join("tree/core").join(name);
        let program = |message: &Value| {
            let path = message.get("executable")?.as_str()?;
            let target = message.get("target")?;
            let library = target.get("kind")?.as_array()?.iter().any(|kind| kind == "lib");
            let name = if library { "lib" } else { target.get("name")?.as_str()? };
            Some(TestProgram { path: path.into(), folder: folder.clone(), name: name.to_owned() })
        };
        Ok(success.then(|| messages.iter().filter_map(program).collect()))
    }

    fn at(&self, file: &str) -> PathBuf {
        self.root.join("tree").join(file)
    }

    fn cargo(&self, words: &[&str], name: &str) -> Result<(Vec<Value>, String, bool), String> {
        let mut command = Command::new("cargo");
        command.args(words).args(["--offline", "--message-format=json", "--package"]);
        command.arg(format!("drylay-{name}")).current_dir(self.root.join("tree"));
        command.env("CARGO_TARGET_DIR", self.root.join("target")).env("CARGO_PROFILE_DEV_DEBUG", "0");
        command.env("CARGO_INCREMENTAL", "1").env("RUSTFLAGS", "-Awarnings").stdin(Stdio::null());
        let output = command.output().map_err(|error| format!("cargo could not be started: {error}"))?;
        let text = String::from_utf8_lossy(&output.stdout);
        let messages = text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect();
        Ok((messages, String::from_utf8_lossy(&output.stderr).into_owned(), output.status.success()))
    }
}

/// What an error of the compiler points to.
fn refusal(message: &Value) -> Option<Refusal> {
    let message = message.get("message")?;
    if message.get("level")?.as_str()? != "error" {
        return None;
    }
    let mut spans: Vec<&Value> = message.get("spans")?.as_array()?.iter().collect();
    spans.sort_by_key(|span| span.get("is_primary").and_then(Value::as_bool) != Some(true));
    let place = |span: &&Value| {
        let byte = |key: &str| usize::try_from(span.get(key)?.as_u64()?).ok();
        let file = span.get("file_name")?.as_str()?.to_owned();
        Some((file, Range2 { start: byte("byte_start")?, end: byte("byte_end")? }))
    };
    let places: Vec<(String, Range2)> = spans.iter().filter_map(place).collect();
    let message = message.get("message")?.as_str()?.to_owned();
    (!places.is_empty()).then_some(Refusal { message, places })
}

/// The workspace's manifest with the three crates as its only members.
fn with_members(manifest: &str) -> Result<String, String> {
    let cut = |from: &str, to: &str| {
        let start = manifest.find(from)?;
        let end = start + manifest[start..].find(to)? + to.len();
        Some((start, end))
    };
    let members = cut("\nmembers = [", "\n]").ok_or("Cargo.toml: it lists no members.")?;
    let named: Vec<String> = CRATES.iter().map(|name| format!("\"core/{name}\"")).collect();
    let mut text = manifest.to_owned();
    if let Some((start, end)) = cut("\ndefault-members = [", "]") {
        text.replace_range(start..end, "");
    }
    text.replace_range(members.0..members.1, &format!("\nmembers = [{}]", named.join(", ")));
    Ok(text)
}

/// The files below a folder, relative to it, in order.
fn files_below(folder: &Path) -> Result<Vec<String>, String> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_path_buf()];
    while let Some(next) = waiting.pop() {
        let entries = fs::read_dir(&next).map_err(|error| format!("{}: {error}", next.display()))?;
        for entry in entries.filter_map(Result::ok) {
            let path = entry.path();
            if path.is_dir() {
                waiting.push(path);
            } else {
                let below = path.strip_prefix(folder).unwrap_or(&path);
                found.push(below.to_string_lossy().replace('\\', "/"));
            }
        }
    }
    found.sort();
    Ok(found)
}

fn read(path: &Path) -> Result<String, String> {
    fs::read_to_string(path).map_err(|error| format!("{}: {error}", path.display()))
}

/// Writes a file unless it says that already, so that what did not change is not built anew.
fn put(path: &Path, text: &str) -> Result<(), String> {
    if fs::read_to_string(path).is_ok_and(|there| there == text) {
        return Ok(());
    }
    let folder = path.parent().unwrap_or(path);
    fs::create_dir_all(folder)
        .and_then(|()| fs::write(path, text))
        .map_err(|error| format!("{}: {error}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_three_crates_stay_members() {
        let manifest = "[workspace]\nresolver = \"3\"\nmembers = [\n    \"a\", # words\n    \"b\",\n]\ndefault-members = [\"a\"]\n\n[x]\n";
        let changed = with_members(manifest).expect("it has members");
        assert_eq!(
            changed,
            "[workspace]\nresolver = \"3\"\nmembers = [\"core/geometry\", \"core/survey\", \"core/plan\"]\n\n[x]\n"
        );
    }

    #[test]
    fn what_the_compiler_points_to_first_comes_first() {
        let line = r#"{"message":{"level":"error","message":"no","spans":[
            {"file_name":"a.rs","byte_start":1,"byte_end":2,"is_primary":false},
            {"file_name":"a.rs","byte_start":5,"byte_end":9,"is_primary":true}]}}"#;
        let value: Value = serde_json::from_str(line).expect("it is JSON");
        let found = refusal(&value).expect("it is an error");
        assert_eq!(found.places[0], ("a.rs".to_owned(), Range2 { start: 5, end: 9 }));
    }
}
