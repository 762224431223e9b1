//! Other people's packages: their licences are allowed, and what we ship names them with their terms.

use crate::shell::{Outcome, capture, command, read, root, write};
use crate::{node, spdx};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Licences that let Drylay be given away under its own terms, given that their notices come along.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "CDLA-Permissive-2.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0", // binds changed files only; we change none
    "OFL-1.1", // fonts
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// What we ship for: the notices name the packages of these.
const SHIPPED_FOR: &[&str] = &["x86_64-unknown-linux-gnu", "aarch64-linux-android"];
const NOTICES: &str = "src-tauri/notices.md";

/// Faces that lie among the sources: their folders hold their licences, which allow what we do with them: OFL-1.1, and
/// Bitstream Vera's, under which a face may be given away with a program but not sold by itself.
const FACES: &[(&str, &str, &str, &str)] = &[
    ("DejaVu Sans Condensed", "2.37", "Bitstream-Vera", "core/press/fonts/dejavu"),
    ("Sofia Sans Semi Condensed", "5.3.0", "OFL-1.1", "core/press/fonts/sofia-sans"),
];

/// One package of somebody else's.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Package {
    name: String,
    version: String,
    licence: String,
    source: String,
}

/// `cargo xtask licences`.
pub(crate) fn command_line() -> Outcome {
    all()?;
    println!("Every licence is allowed and {NOTICES} names every package we ship.");
    Ok(())
}

/// Both checks.
pub(crate) fn all() -> Outcome {
    let mut packages = rust_packages(&["--target", "all"])?;
    packages.extend(node_packages(false)?);
    let bad: Vec<String> = packages.iter().filter(|package| !allowed(package)).map(complaint).collect();
    if !bad.is_empty() {
        return Err(format!(
            "{}\nReplace the package, or add the licence to licences.rs with the reason.",
            bad.join("\n")
        ));
    }
    let stored = read(&root().join(NOTICES)).unwrap_or_default();
    if stored == notices()? {
        Ok(())
    } else {
        Err(format!("{NOTICES} is not what the packages say. Run `cargo xtask notices` and commit it."))
    }
}

/// `cargo xtask notices`.
pub(crate) fn write_notices() -> Outcome {
    let text = notices()?;
    write(&root().join(NOTICES), &text)?;
    println!("{NOTICES}: {} KB.", text.len() / 1024);
    Ok(())
}

fn allowed(package: &Package) -> bool {
    spdx::met(&package.licence, &|name| ALLOWED.contains(&name))
}

fn complaint(package: &Package) -> String {
    format!(
        "{} {}: its licence `{}` is not among those allowed.",
        package.name, package.version, package.licence
    )
}

fn rust_packages(selection: &[&str]) -> Outcome<BTreeSet<Package>> {
    let mut words = vec!["tree", "--workspace", "--prefix", "none", "--format", "{p}|{l}|{r}"];
    words.extend(selection);
    let list = capture(&mut command("cargo", &words))?;
    Ok(list.lines().filter_map(rust_package).filter(|package| !ours(&package.name)).collect())
}

/// Reads `name v1.2.3 (extras)|licence|repository`.
fn rust_package(line: &str) -> Option<Package> {
    let mut parts = line.split('|');
    let mut words = parts.next()?.split(' ');
    let name = words.next()?.to_owned();
    let version = words.next()?.trim_start_matches('v').to_owned();
    let licence = parts.next().unwrap_or_default().to_owned();
    let source = parts.next().unwrap_or_default().trim_end_matches(" (*)").to_owned();
    Some(Package { name, version, licence, source })
}

fn ours(name: &str) -> bool {
    name == "xtask" || name.starts_with("drylay-")
}

/// The packages of the lock file, by Node itself because the file is JSON.
fn node_packages(shipped_only: bool) -> Outcome<BTreeSet<Package>> {
    node::require()?;
    let program = "const all = require('./package-lock.json').packages;
        for (const [place, it] of Object.entries(all)) if (place.includes('node_modules/') && !it.link)
            console.log([place.split('node_modules/').pop(), it.version, it.license ?? '', it.dev ? 'dev' : ''].join('|'));";
    let list = capture(&mut command("node", &["-e", program]))?;
    // The framework is a development package whose run-time part is built into what we ship.
    let shipped = |package: &Package| package.source != "dev" || package.name == "svelte";
    Ok(list.lines().filter_map(node_package).filter(|package| !shipped_only || shipped(package)).collect())
}

fn node_package(line: &str) -> Option<Package> {
    let parts: Vec<&str> = line.split('|').collect();
    let [name, version, licence, source] = parts.as_slice() else { return None };
    let [name, version, licence, source] = [name, version, licence, source].map(|part| (*part).to_owned());
    Some(Package { name, version, licence, source })
}

/// Every package we ship with its licence texts; equal texts stand once.
fn notices() -> Outcome<String> {
    let mut selection = vec!["--edges", "normal", "--exclude", "xtask", "--exclude", "drylay-tests"];
    SHIPPED_FOR.iter().for_each(|target| selection.extend(["--target", target]));
    let mut texts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut list = String::new();
    let registry = registry_folders()?;
    for package in rust_packages(&selection)? {
        let folder = registry.iter().map(|home| home.join(format!("{}-{}", package.name, package.version)));
        let folder = folder.into_iter().find(|folder| folder.is_dir());
        describe(&package, folder.as_deref(), &mut list, &mut texts)?;
    }
    for package in node_packages(true)? {
        describe(&package, Some(&root().join("node_modules").join(&package.name)), &mut list, &mut texts)?;
    }
    for (name, version, licence, folder) in FACES.iter().copied() {
        let [name, version, licence] = [name, version, licence].map(str::to_owned);
        let face = Package { name, version, licence, source: folder.to_owned() };
        describe(&face, Some(&root().join(folder)), &mut list, &mut texts)?;
    }
    Ok(page(&list, &texts))
}

fn describe(
    package: &Package,
    folder: Option<&Path>,
    list: &mut String,
    texts: &mut BTreeMap<String, Vec<String>>,
) -> Outcome {
    let label = format!("{} {}", package.name, package.version);
    let source = if package.source == "dev" { "" } else { package.source.as_str() };
    *list += format!("- {label} ({}) {source}", package.licence).trim_end();
    list.push('\n');
    let folder = folder.ok_or_else(|| format!("The source of {label} is not here. Run `cargo fetch`."))?;
    for text in licence_texts(folder)? {
        texts.entry(text).or_default().push(label.clone());
    }
    Ok(())
}

fn page(list: &str, texts: &BTreeMap<String, Vec<String>>) -> String {
    let mut page = format!(
        "# Notices\n\nDrylay is made with the packages below; each keeps its own terms. `cargo xtask notices` writes this file.\n\n{list}"
    );
    let mut ordered: Vec<(&Vec<String>, &String)> = texts.iter().map(|(text, names)| (names, text)).collect();
    ordered.sort();
    for (names, text) in ordered {
        page += &format!("\n## {}\n\n```text\n{text}\n```\n", names.join(", "));
    }
    page
}

fn licence_texts(folder: &Path) -> Outcome<Vec<String>> {
    let entries =
        std::fs::read_dir(folder).map_err(|error| format!("Cannot list {}: {error}.", folder.display()))?;
    let mut files: Vec<PathBuf> =
        entries.filter_map(Result::ok).map(|entry| entry.path()).filter(|path| is_licence(path)).collect();
    files.sort();
    files.iter().map(|file| read_words(file)).collect()
}

fn is_licence(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy().to_uppercase();
    let starts = ["LICENSE", "LICENCE", "COPYING", "NOTICE", "COPYRIGHT", "UNLICENSE"];
    path.is_file()
        && starts.iter().any(|start| name.starts_with(start))
        && !name.ends_with(".RS")
        && !name.ends_with(".SPDX")
}

/// A text with its line ends and spaces made plain, so that equal terms are one text.
fn read_words(path: &Path) -> Outcome<String> {
    let bytes = std::fs::read(path).map_err(|error| format!("Cannot read {}: {error}.", path.display()))?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let lines: Vec<&str> = text.lines().map(str::trim_end).collect();
    Ok(lines.join("\n").trim_matches('\n').replace("```", "'''"))
}

fn registry_folders() -> Outcome<Vec<PathBuf>> {
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| Path::new(&home).join(".cargo")));
    let home =
        home.ok_or("Neither CARGO_HOME nor HOME says where cargo keeps its packages.")?.join("registry/src");
    let entries =
        std::fs::read_dir(&home).map_err(|error| format!("Cannot list {}: {error}.", home.display()))?;
    Ok(entries.filter_map(Result::ok).map(|entry| entry.path()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_the_tree_is_read() {
        let package = rust_package("syn v2.0.1 (proc-macro)|MIT OR Apache-2.0|https://example.org/syn (*)");
        let package = package.expect("readable");
        assert_eq!((package.name.as_str(), package.version.as_str()), ("syn", "2.0.1"));
        assert_eq!(
            (package.licence.as_str(), package.source.as_str()),
            ("MIT OR Apache-2.0", "https://example.org/syn")
        );
        assert!(allowed(&package));
    }

    #[test]
    fn a_missing_or_strict_licence_is_refused() {
        for licence in ["", "GPL-3.0-only", "AGPL-3.0-or-later"] {
            let package = rust_package(&format!("x v1.0.0|{licence}|")).expect("readable");
            assert!(!allowed(&package), "{licence}");
        }
    }
}
