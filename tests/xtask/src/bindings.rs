//! The TypeScript that `core/app`'s tests write: committed, so a test run must leave it as it was.

use crate::shell::{Outcome, capture, command, read, root};
use std::collections::BTreeMap;

const FOLDER: &str = "ui/src/ipc/bindings";

/// Every generated file with its text.
pub(crate) type Snapshot = BTreeMap<String, String>;

/// The generated files as they are now.
pub(crate) fn snapshot() -> Outcome<Snapshot> {
    let mut files = Snapshot::new();
    let Ok(entries) = std::fs::read_dir(root().join(FOLDER)) else { return Ok(files) };
    for entry in entries.filter_map(Result::ok).filter(|entry| entry.path().is_file()) {
        files.insert(entry.file_name().to_string_lossy().into_owned(), read(&entry.path())?);
    }
    Ok(files)
}

/// Holds if nothing was generated anew and everything generated is in git.
pub(crate) fn compare(before: &Snapshot) -> Outcome {
    let after = snapshot()?;
    let changed: Vec<&str> = after
        .iter()
        .filter(|(name, text)| before.get(*name) != Some(text))
        .map(|(name, _)| name.as_str())
        .collect();
    if !changed.is_empty() {
        return Err(format!(
            "The tests wrote {FOLDER} anew: {}. Commit what they wrote.",
            changed.join(", ")
        ));
    }
    let unknown = capture(&mut command("git", &["ls-files", "--others", "--exclude-standard", FOLDER]))?;
    if unknown.trim().is_empty() { Ok(()) } else { Err(format!("Generated and not in git:\n{unknown}")) }
}
