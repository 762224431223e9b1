//! What the compiler does not see: which files may lie where, who may know whom, headers, and prose that names paths,
//! commands and variables.

use crate::shell::{self, Outcome, read, root, tracked};
use crate::{HELP, modules};
use std::collections::BTreeSet;
use std::path::Path;

/// Everything that may lie in the root, besides dotfiles and `LICENSE-…`.
const TOP_LEVEL: &[&str] = &[
    "CHANGELOG.md",
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "README.md",
    "clippy.toml",
    "core",
    "icons",
    "package-lock.json",
    "package.json",
    "rustfmt.toml",
    "src-tauri",
    "tests",
    "ui",
];

/// Texts for people, held against what they name.
const PROSE: [&str; 2] = ["DEVELOPERS.md", "README.md"];

/// Who may know whom: a member's folder, the members it may use, and the packages it must never see.
struct House {
    folder: &'static str,
    may_use: &'static [&'static str],
    never: &'static [&'static str],
}

const HOUSE: &[House] = &[
    House {
        folder: "core/geometry",
        may_use: &[],
        never: &["serde", "serde_json", "fastrand", "rand", "automerge", "rusqlite"],
    },
    House {
        folder: "core/survey",
        may_use: &["geometry"],
        never: &["serde", "serde_json", "fastrand", "rand", "automerge", "rusqlite"],
    },
    House {
        folder: "core/plan",
        may_use: &["geometry"],
        never: &["serde", "serde_json", "fastrand", "rand", "automerge", "rusqlite"],
    },
    House { folder: "core/document", may_use: &["geometry", "survey", "plan"], never: &["rusqlite"] },
    House { folder: "core/store", may_use: &[], never: &["automerge", "serde", "serde_json"] },
    House {
        folder: "core/sync",
        may_use: &["document"],
        never: &["automerge", "rusqlite", "serde", "serde_json", "tokio", "getrandom"],
    },
    House {
        folder: "core/transport",
        may_use: &["sync"],
        never: &["automerge", "rusqlite", "serde", "serde_json"],
    },
    House {
        folder: "core/papers",
        may_use: &[],
        never: &["serde", "serde_json", "automerge", "rusqlite", "typst", "getrandom", "chrono"],
    },
    House {
        folder: "core/press",
        may_use: &["papers"],
        never: &["serde", "serde_json", "automerge", "rusqlite", "getrandom", "chrono"],
    },
    House {
        folder: "core/app",
        may_use: &["geometry", "survey", "plan", "document", "store", "sync", "papers"],
        never: &["automerge", "rusqlite", "typst"],
    },
    House { folder: "core/lockbox", may_use: &["app"], never: &["serde", "automerge", "rusqlite"] },
    House {
        folder: "core/cli",
        may_use: &["app", "lockbox", "press", "transport"],
        never: &["automerge", "rusqlite"],
    },
    House {
        folder: "src-tauri",
        may_use: &["app", "lockbox", "press", "transport"],
        never: &["automerge", "rusqlite"],
    },
    House {
        folder: "tests/bridge",
        may_use: &["app", "press", "transport"],
        never: &["automerge", "rusqlite"],
    },
    House { folder: "tests/xtask", may_use: &[], never: &[] },
];

/// `cargo xtask tidy`.
pub(crate) fn command() -> Outcome {
    all()?;
    println!("Everything is in its place.");
    Ok(())
}

/// All checks; the failure lists everything found.
pub(crate) fn all() -> Outcome {
    let files = tracked()?;
    let mut found = strangers(&files);
    found.extend(wrong_dependencies(&files)?);
    found.extend(without_header(&files)?);
    found.extend(ignored_tests(&files)?);
    found.extend(shell_callers(&files)?);
    found.extend(
        modules::unreached(&files)?
            .iter()
            .map(|file| format!("{file}: no crate reaches this file by `mod`.")),
    );
    let variables = variables(&files)?;
    for text in PROSE {
        let Ok(words) = read(&root().join(text)) else {
            found.push(format!("{text}: is missing."));
            continue;
        };
        let named = lost_paths(&words, &files)?
            .into_iter()
            .chain(lost_commands(&words, HELP))
            .chain(lost_variables(&words, &variables));
        found.extend(named.map(|name| format!("{text}: names `{name}`, which does not exist.")));
    }
    if found.is_empty() { Ok(()) } else { Err(found.join("\n")) }
}

fn strangers(files: &[String]) -> Vec<String> {
    let tops: BTreeSet<&str> = files.iter().filter_map(|file| file.split('/').next()).collect();
    let allowed = |top: &str| top.starts_with('.') || top.starts_with("LICENSE-") || TOP_LEVEL.contains(&top);
    let strange = tops.iter().filter(|top| !allowed(top));
    let gone = TOP_LEVEL.iter().filter(|top| !tops.contains(*top));
    strange
        .map(|top| format!("{top}: has no place in the root (tidy.rs lists what has)."))
        .chain(gone.map(|top| format!("{top}: tidy.rs gives it a place in the root, and it is not there.")))
        .collect()
}

fn wrong_dependencies(files: &[String]) -> Outcome<Vec<String>> {
    let mut found = vec![];
    for manifest in files.iter().filter(|file| file.ends_with("/Cargo.toml")) {
        let folder = manifest.trim_end_matches("/Cargo.toml");
        match HOUSE.iter().find(|house| house.folder == folder) {
            Some(house) => found.extend(breaks(house, &read(&root().join(manifest))?)),
            None if folder.starts_with("tests") => {}
            None => {
                found.push(format!("{manifest}: the table in tidy.rs does not say whom this crate may know."))
            }
        }
    }
    Ok(found)
}

fn breaks(house: &House, manifest: &str) -> Vec<String> {
    let used = dependencies(manifest);
    let complain = |name: &String| match name.strip_prefix("drylay-") {
        Some(member) if house.may_use.contains(&member) => None,
        None if !house.never.contains(&name.as_str()) => None,
        _ => Some(format!(
            "{}/Cargo.toml: must not depend on {name} (DEVELOPERS.md, who may know whom).",
            house.folder
        )),
    };
    used.iter().filter_map(complain).collect()
}

/// The names below `[dependencies]`, `[build-dependencies]` and those of single targets; tests may know more.
fn dependencies(manifest: &str) -> Vec<String> {
    let mut names = vec![];
    let mut inside = false;
    for line in manifest.lines().map(str::trim) {
        if let Some(section) = line.strip_prefix('[') {
            let section = section.trim_end_matches(']');
            inside = section.ends_with("dependencies") && !section.ends_with("dev-dependencies");
            if let Some((_, name)) = section.split_once("dependencies.").filter(|_| !section.contains("dev-"))
            {
                names.push(name.to_owned());
            }
        } else if inside && !line.is_empty() && !line.starts_with('#') {
            let name = line.split(['.', '=', ' ']).next().unwrap_or_default();
            names.push(name.trim_matches('"').to_owned());
        }
    }
    names
}

fn without_header(files: &[String]) -> Outcome<Vec<String>> {
    let mut found = vec![];
    for file in files.iter().filter(|file| file.ends_with(".rs")) {
        if !read(&root().join(file))?.starts_with("//!") {
            found.push(format!("{file}: does not open with a `//!` header that says what it is for."));
        }
    }
    Ok(found)
}

/// The screens reach the shell through `ui/src/ipc` alone, so that they also run in an ordinary browser.
fn shell_callers(files: &[String]) -> Outcome<Vec<String>> {
    let mut found = vec![];
    let screens = files.iter().filter(|file| file.starts_with("ui/src/") && !file.starts_with("ui/src/ipc/"));
    for file in screens.filter(|file| [".ts", ".svelte"].iter().any(|ending| file.ends_with(ending))) {
        if read(&root().join(file))?.contains("@tauri-apps/") {
            found.push(format!("{file}: imports from @tauri-apps; only ui/src/ipc may."));
        }
    }
    Ok(found)
}

/// A test that is switched off says why.
fn ignored_tests(files: &[String]) -> Outcome<Vec<String>> {
    let mut found = vec![];
    for file in files.iter().filter(|file| file.ends_with(".rs")) {
        let text = read(&root().join(file))?;
        let bare = text.lines().enumerate().filter(|(_, line)| line.trim() == "#[ignore]");
        found.extend(
            bare.map(|(at, _)| format!("{file}:{}: a test is switched off without a reason.", at + 1)),
        );
    }
    Ok(found)
}

/// Paths that a text names in backticks and that neither git's files hold nor its ignore list names as made by
/// working: what happens to lie on this disk does not count, a fresh clone answers the same.
fn lost_paths(words: &str, files: &[String]) -> Outcome<Vec<String>> {
    let unknown = named_paths(words).into_iter().filter(|path| !holds(files, path));
    let mut lost = vec![];
    for path in unknown {
        if !is_ignored(&path)? {
            lost.push(path);
        }
    }
    Ok(lost)
}

/// Whether a path is one of the files or a folder of one. A name alone may be that of a file in any folder.
fn holds(files: &[String], path: &str) -> bool {
    let below =
        |file: &str| file.strip_prefix(path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    let named = |file: &str| !path.contains('/') && file.rsplit('/').next() == Some(path);
    files.iter().any(|file| below(file) || named(file))
}

/// Whether git would leave a path out, there or not.
fn is_ignored(path: &str) -> Outcome<bool> {
    let mut question = shell::command("git", &["check-ignore", "--quiet", path]);
    let answer =
        question.status().map_err(|error| format!("`git check-ignore` could not be started: {error}."))?;
    match answer.code() {
        Some(0) => Ok(true),
        Some(1) => Ok(false),
        _ => Err(format!("`git check-ignore {path}` gave no answer ({answer}).")),
    }
}

/// Commands of `cargo xtask` that a text names and that the help does not.
fn lost_commands<'a>(words: &'a str, help: &str) -> impl Iterator<Item = String> + 'a {
    let known: BTreeSet<String> =
        help.lines().filter_map(|line| line.strip_prefix("  ")).map(first_word).collect();
    words
        .split("cargo xtask ")
        .skip(1)
        .map(first_word)
        .filter(move |word| !word.is_empty() && !known.contains(word))
        .map(|word| format!("cargo xtask {word}"))
}

/// The small letters and hyphens that a text begins with.
fn first_word(text: &str) -> String {
    text.chars().take_while(|c| c.is_ascii_lowercase() || *c == '-').collect()
}

/// Variables of ours that a text names and that no source does.
fn lost_variables<'a>(words: &'a str, known: &'a BTreeSet<String>) -> impl Iterator<Item = String> + 'a {
    named_variables(words).filter(|name| !known.contains(name))
}

/// The variables of ours that the sources name: prose is none of them.
fn variables(files: &[String]) -> Outcome<BTreeSet<String>> {
    let endings = [".rs", ".mjs", ".ts", ".svelte", ".py", ".kts", ".yml"];
    let mut found = BTreeSet::new();
    for file in files.iter().filter(|file| endings.iter().any(|ending| file.ends_with(ending))) {
        found.extend(named_variables(&read(&root().join(file))?));
    }
    Ok(found)
}

/// The words of a text that are variables of ours.
fn named_variables(text: &str) -> impl Iterator<Item = String> {
    let is_part = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_';
    text.split(move |c| !is_part(c))
        .filter(|word| word.len() > 7 && word.starts_with("DRYLAY_"))
        .map(str::to_owned)
}

/// The words in backticks that are paths of this repository: with a slash or a known ending. What stands for many
/// (`*`, `<name>`, `…`) is taken up to there; what lies elsewhere is left out.
fn named_paths(text: &str) -> Vec<String> {
    let outside_of_blocks: Vec<&str> = text.split("```").step_by(2).collect();
    let joined = outside_of_blocks.join("\n");
    let quoted = joined.split('`').skip(1).step_by(2);
    quoted.filter(|word| looks_like_path(word)).map(certain_part).filter(|path| !path.is_empty()).collect()
}

fn looks_like_path(word: &str) -> bool {
    let ending = Path::new(word).extension().is_some_and(|kind| {
        let known = "rs toml md ts svelte json py mjs svg kt kts gradle xml yml typ proto css html";
        known.split(' ').any(|known| kind == known)
    });
    let plain = !word.contains([' ', '(', '=', '"', '\n', '@'])
        && word.contains(|letter: char| letter.is_alphabetic());
    let here = !word.starts_with(['/', '~', '$', '-', '#', ':']) && !word.contains("://");
    plain && here && !word.contains("::") && (word.contains('/') || ending)
}

fn certain_part(word: &str) -> String {
    let cut = word.find(['*', '<', '{', '…']).unwrap_or(word.len());
    let whole = cut == word.len();
    let certain = &word[..cut];
    let certain = if whole { certain } else { certain.rsplit_once('/').map_or("", |(folder, _)| folder) };
    certain.trim_end_matches('/').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_known_names_lie_in_the_root() {
        let mut files: Vec<String> = TOP_LEVEL.iter().map(|top| format!("{top}/a.rs")).collect();
        files.extend([".gitignore", "LICENSE-MIT"].map(str::to_owned));
        assert!(strangers(&files).is_empty());
        files[0] = "notes.txt".to_owned();
        let found = strangers(&files);
        assert_eq!(found.len(), 2);
        assert!(found[0].starts_with("notes.txt") && found[1].starts_with(TOP_LEVEL[0]));
    }

    #[test]
    fn a_manifest_must_keep_to_the_table() {
        let house = House { folder: "core/survey", may_use: &["geometry"], never: &["serde"] };
        let good = "[dependencies]\ndrylay-geometry.workspace = true\nlibm = \"1\"\n[dev-dependencies]\nserde = \"1\"\n";
        assert!(breaks(&house, good).is_empty());
        let bad = "[dependencies]\ndrylay-plan = { path = \"x\" }\n[target.'cfg(unix)'.dependencies]\nserde = \"1\"\n[dependencies.drylay-store]\npath = \"y\"\n";
        assert_eq!(breaks(&house, bad).len(), 3);
    }

    #[test]
    fn paths_are_told_from_other_quoted_words() {
        let text = "`core/app` and `fn x()` and `Cargo.toml`, `a::b`, `cargo xtask test`, `1/64`, `core/*/src`, `target/x`\n```\n`no/such`\n```\n`ui/src/<area>/x.ts`";
        assert_eq!(named_paths(text), ["core/app", "Cargo.toml", "core", "target/x", "ui/src"]);
    }

    #[test]
    fn what_lies_on_the_disk_by_chance_does_not_count_as_there() -> Outcome {
        let files = ["core/app/src/lib.rs".to_owned(), "README.md".to_owned()];
        let text = "`core/app` `README.md` `core/ap` `tests/shots` `ui/dist-bridge/x.json` `DEVELOPERS.md`";
        assert_eq!(lost_paths(text, &files)?, ["core/ap", "DEVELOPERS.md"]);
        Ok(())
    }

    #[test]
    fn a_name_alone_is_that_of_a_file_somewhere() {
        let files = ["src-tauri/gen/Near.kt".to_owned(), "core/app/lib.rs".to_owned()];
        assert!(holds(&files, "Near.kt") && holds(&files, "core/app") && holds(&files, "core/app/lib.rs"));
        assert!(!holds(&files, "Far.kt") && !holds(&files, "gen/Near.kt") && !holds(&files, "core/ap"));
    }

    #[test]
    fn commands_and_variables_that_prose_names_must_be_there() {
        let prose = "`cargo xtask` runs; `cargo xtask same-numbers --x`, cargo xtask tset.";
        let help = "cargo xtask COMMAND\n\n  app            opens it\n                 --phone: small\n  same-numbers   twice\n";
        assert_eq!(lost_commands(prose, help).collect::<Vec<_>>(), ["cargo xtask tset"]);
        let known = named_variables("env(\"DRYLAY_STORE\"), DRYLAY1ABC").collect();
        let lost: Vec<String> = lost_variables("`DRYLAY_STORE=x` and `DRYLAY_STROE`", &known).collect();
        assert_eq!(lost, ["DRYLAY_STROE"]);
    }
}
