//! Node and the packages of the screens, exactly as the lock file names them.

use crate::shell::{Outcome, capture, command, read, root, run, write};
use std::process::Command;

/// The versions that the packages of the screens name: of an even line from there on, or anything newer than both.
const OLDEST_NODE: [(u32, u32); 2] = [(20, 19), (22, 12)];

/// Says what to do when Node or its npm is missing, or too old.
pub(crate) fn require() -> Outcome {
    let said = capture(&mut command("node", &["--version"])).map_err(|_| needs_node("it was not found"))?;
    if !new_enough(&said) {
        return Err(needs_node(&format!("this is {}", said.trim())));
    }
    capture(&mut command("npm", &["--version"])).map(|_| ()).map_err(|_| {
        "npm, which comes with Node, was not found. Debian packs it apart: install its package npm."
            .to_owned()
    })
}

fn new_enough(said: &str) -> bool {
    let mut numbers =
        said.trim().trim_start_matches('v').split('.').map_while(|text| text.parse::<u32>().ok());
    let (Some(major), Some(minor)) = (numbers.next(), numbers.next()) else { return false };
    OLDEST_NODE.iter().any(|oldest| oldest.0 == major && oldest.1 <= minor)
        || OLDEST_NODE.iter().all(|oldest| oldest.0 + 1 < major)
}

/// Runs `npm ci` unless the lock file is the one installed from last time.
pub(crate) fn modules() -> Outcome {
    require()?;
    let lock = read(&root().join("package-lock.json"))?;
    let stamp = root().join("node_modules/.installed-from.json");
    if read(&stamp).is_ok_and(|earlier| earlier == lock) {
        return Ok(());
    }
    println!("npm installs the packages of package-lock.json.");
    run(&mut command("npm", &["ci", "--no-audit", "--no-fund"]))?;
    write(&stamp, &lock)
}

/// The call of one of the scripts of `ui/package.json`.
pub(crate) fn script(name: &str) -> Command {
    command("npm", &["run", "--silent", "--workspace", "ui", name])
}

fn needs_node(why: &str) -> String {
    let [one, other] = OLDEST_NODE.map(|(major, minor)| format!("{major}.{minor}"));
    format!("Node {one}, {other} or newer is needed and {why}. Install it from your system or nodejs.org.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_node_that_the_packages_do_not_know_is_told_before_they_fail() {
        for said in ["v20.19.0\n", "v20.20.2", "v22.12.0", "v24.0.1", "v26.1.0"] {
            assert!(new_enough(said), "{said}");
        }
        for said in ["v18.20.4", "v20.18.9", "v21.7.3", "v22.11.0", "v23.9.0", "20", "", "none"] {
            assert!(!new_enough(said), "{said}");
        }
    }
}
