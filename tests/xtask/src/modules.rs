//! Which Rust files a package really compiles: those its roots reach by `mod`. A file that no root reaches is a
//! test or a module that quietly stopped.

use crate::shell::{Outcome, read, root};
use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

/// The Rust files among `files` that no root of any package among them reaches.
pub(crate) fn unreached(files: &[String]) -> Outcome<Vec<String>> {
    let mut reached = BTreeSet::new();
    for package in files.iter().filter_map(|file| folder_of_manifest(file)) {
        for file in files.iter().filter(|file| is_root(&package, file)) {
            reach(Path::new(file), &mut reached)?;
        }
    }
    let rust = files.iter().filter(|file| file.ends_with(".rs"));
    Ok(rust.filter(|file| !reached.contains(Path::new(file))).cloned().collect())
}

fn folder_of_manifest(file: &str) -> Option<String> {
    if file == "Cargo.toml" { None } else { file.strip_suffix("/Cargo.toml").map(str::to_owned) }
}

/// The files that cargo finds by itself.
fn is_root(package: &str, file: &str) -> bool {
    let Some(inside) = file.strip_prefix(package).and_then(|rest| rest.strip_prefix('/')) else {
        return false;
    };
    let parts: Vec<&str> = inside.split('/').collect();
    match parts.as_slice() {
        ["build.rs"] | ["src", "lib.rs" | "main.rs"] => true,
        ["src", "bin", name] | ["tests" | "examples" | "benches" | "fuzz_targets", name] => {
            name.ends_with(".rs")
        }
        ["tests" | "examples" | "benches", _, "main.rs"] => true,
        _ => false,
    }
}

fn reach(file: &Path, reached: &mut BTreeSet<PathBuf>) -> Outcome {
    if !reached.insert(file.to_path_buf()) {
        return Ok(());
    }
    let text = read(&root().join(file))?;
    for module in modules(&text) {
        for candidate in places(file, &module) {
            if root().join(&candidate).is_file() {
                reach(&candidate, reached)?;
            }
        }
    }
    Ok(())
}

/// A module declared without a body.
#[derive(Debug, PartialEq, Eq)]
enum Module {
    Named(String),
    At(String),
}

fn modules(text: &str) -> Vec<Module> {
    let mut found = vec![];
    let mut path = None;
    for line in text.lines().map(str::trim) {
        if let Some(rest) = line.strip_prefix("#[path = \"") {
            path = rest.split('"').next().map(str::to_owned);
        } else if let Some(name) = declared(line) {
            found.push(path.take().map_or(Module::Named(name), Module::At));
        }
    }
    found
}

/// The name in `mod name;`, whatever its visibility.
fn declared(line: &str) -> Option<String> {
    let (before, after) = line.split_once("mod ")?;
    let visible = before.is_empty() || before.starts_with("pub");
    let name = after.split(';').next().filter(|_| after.contains(';'))?;
    let plain = name.chars().all(|letter| letter.is_alphanumeric() || letter == '_');
    (visible && plain).then(|| name.to_owned())
}

fn places(file: &Path, module: &Module) -> Vec<PathBuf> {
    let folder = file.parent().unwrap_or(file);
    let stem = file.file_stem().unwrap_or_default();
    let inside = if is_folder_root(file) { folder.to_path_buf() } else { folder.join(stem) };
    match module {
        Module::At(path) => vec![plain(&folder.join(path))],
        Module::Named(name) => vec![inside.join(format!("{name}.rs")), inside.join(name).join("mod.rs")],
    }
}

/// A path without the steps up that stand within it.
fn plain(path: &Path) -> PathBuf {
    path.components().fold(PathBuf::new(), |mut plain, step| {
        match step {
            Component::ParentDir => _ = plain.pop(),
            step => plain.push(step),
        }
        plain
    })
}

/// Modules of these files lie beside them; of all others, in a folder of their own name.
fn is_folder_root(file: &Path) -> bool {
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let parent = file.parent().and_then(Path::file_name).unwrap_or_default().to_string_lossy().into_owned();
    let beside = ["lib.rs", "main.rs", "mod.rs", "build.rs"].contains(&name.as_str());
    beside || ["tests", "examples", "benches", "bin"].contains(&parent.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn declarations_with_and_without_a_path() {
        let text =
            "mod a;\npub(crate) mod b;\nmod inline { }\n#[path = \"x/y.rs\"]\nmod c;\n// a mod d; in words\n";
        let expected = [Module::Named("a".into()), Module::Named("b".into()), Module::At("x/y.rs".into())];
        assert_eq!(modules(text), expected);
    }

    #[test]
    fn modules_lie_beside_a_root_and_below_another_file() {
        let name = Module::Named("m".into());
        assert_eq!(places(Path::new("p/src/lib.rs"), &name)[0], Path::new("p/src/m.rs"));
        assert_eq!(places(Path::new("p/src/deep.rs"), &name)[0], Path::new("p/src/deep/m.rs"));
        assert_eq!(places(Path::new("p/tests/story.rs"), &name)[1], Path::new("p/tests/m/mod.rs"));
        let elsewhere = Module::At("../../q/tests/m/mod.rs".into());
        assert_eq!(places(Path::new("p/tests/story.rs"), &elsewhere), [Path::new("q/tests/m/mod.rs")]);
    }

    #[test]
    fn cargo_finds_roots_by_their_place() {
        assert!(is_root("p", "p/tests/story.rs"));
        assert!(is_root("p", "p/src/bin/tool.rs"));
        assert!(!is_root("p", "p/tests/deep/story.rs"));
        assert!(!is_root("p", "pq/src/lib.rs"));
    }
}
