//! Node and the packages of the screens, exactly as the lock file names them.

use crate::shell::{Outcome, capture, command, read, root, run, write};
use std::process::Command;

const OLDEST_NODE: u32 = 20;

/// Says what to do when Node is missing or too old.
pub(crate) fn require() -> Outcome {
    let said = capture(&mut command("node", &["--version"])).map_err(|_| needs_node("it was not found"))?;
    let major: Option<u32> =
        said.trim().trim_start_matches('v').split('.').next().and_then(|text| text.parse().ok());
    match major {
        Some(major) if major >= OLDEST_NODE => Ok(()),
        _ => Err(needs_node(&format!("this is {}", said.trim()))),
    }
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
    format!("Node {OLDEST_NODE} or newer is needed and {why}. Install it from your system or nodejs.org.")
}
