//! Packages that are built in several versions: each costs time to build, room in the program, and a second place to look
//! for a fault. Those that others bring along and we cannot change stand in a list; anything new is told.

use crate::shell::{Outcome, capture, command};
use std::collections::{BTreeMap, BTreeSet};

/// What we ship for, as in `licences.rs`: what is only built for a test or another system does not count.
const SHIPPED_FOR: &[&str] = &["x86_64-unknown-linux-gnu", "aarch64-linux-android"];

/// Packages in several versions because packages of others ask for different ones. When one of them comes down to one
/// version, its line goes.
const CANNOT_BE_HELPED: &[&str] = &[
    "aes",
    "base64",
    "bitflags",
    "block-buffer",
    "chacha20",
    "cipher",
    "cpufeatures",
    "crypto-common",
    "curve25519-dalek",
    "digest",
    "fearless_simd",
    "foldhash",
    "getrandom",
    "hashbrown",
    "hayro-ccitt",
    "hkdf",
    "hmac",
    "infer",
    "inout",
    "jni",
    "jni-sys",
    "miniz_oxide",
    "netlink-packet-core",
    "netlink-packet-route",
    "netlink-sys",
    "quick-xml",
    "rand",
    "rand_core",
    "roxmltree",
    "serde_spanned",
    "sha2",
    "smol_str",
    "spin",
    "strum",
    "syn",
    "thiserror",
    "toml",
    "toml_datetime",
    "winnow",
];

/// `cargo xtask duplicates`.
pub(crate) fn command_line() -> Outcome {
    all()?;
    println!("{} packages are there in several versions, and none besides.", CANNOT_BE_HELPED.len());
    Ok(())
}

/// The check.
pub(crate) fn all() -> Outcome {
    let mut found = BTreeSet::new();
    for target in SHIPPED_FOR {
        let words = ["tree", "--workspace", "--duplicates", "--depth", "0", "--prefix", "none"];
        let mut tree = command("cargo", &words);
        found.extend(names(&capture(tree.args(["--edges", "normal,no-proc-macro", "--target", target]))?));
    }
    let faults = faults(&found, CANNOT_BE_HELPED);
    if faults.is_empty() { Ok(()) } else { Err(faults.join("\n")) }
}

/// The names that stand in what `cargo tree --duplicates` says with more than one version: `name v1.2.3`, an empty line
/// after each tree. A package that is built twice with other extras is listed too, and is no matter of versions.
fn names(list: &str) -> BTreeSet<String> {
    let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for (name, rest) in list.lines().filter_map(|line| line.split_once(" v")) {
        versions.entry(name).or_default().insert(rest.split(' ').next().unwrap_or_default());
    }
    versions.into_iter().filter(|(_, found)| found.len() > 1).map(|(name, _)| name.to_owned()).collect()
}

fn faults(found: &BTreeSet<String>, known: &[&str]) -> Vec<String> {
    let new = found.iter().filter(|name| !known.contains(&name.as_str())).map(|name| {
        format!(
            "{name} is there in several versions. `cargo tree --invert {name}@VERSION` says who asks for which; bring them \
             to one, or add it to duplicates.rs."
        )
    });
    let gone = known.iter().filter(|name| !found.contains(**name));
    let gone = gone
        .map(|name| format!("{name} is there in one version only: take it off the list in duplicates.rs."));
    new.chain(gone).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_new_and_what_is_gone_is_told() {
        let list = "getrandom v0.2.16\n\ngetrandom v0.3.3\n\nrand v0.8.5 (*)\n\nrand v0.9.2\n\nserde v1.0.9\n\nserde v1.0.9\n";
        let found = names(list);
        assert_eq!(found.iter().map(String::as_str).collect::<Vec<_>>(), ["getrandom", "rand"]);
        assert!(faults(&found, &["getrandom", "rand"]).is_empty());
        let told = faults(&found, &["getrandom", "syn"]);
        assert!(told.len() == 2 && told[0].starts_with("rand ") && told[1].starts_with("syn "), "{told:?}");
    }
}
