//! `cargo xtask icons`: the sizes that systems ask for, drawn from the one mark.

use crate::node;
use crate::shell::{Outcome, command, root, run, target};

const SIZES: [&str; 4] = ["32", "128", "256", "512"];

/// Draws `icons/<size>x<size>.png` from `icons/drylay.svg`.
pub(crate) fn draw() -> Outcome {
    node::modules()?;
    let drawn = target().join("icons");
    let sizes = SIZES.join(",");
    run(command("npx", &["--no-install", "tauri", "icon", "icons/drylay.svg", "--png", &sizes, "--output"])
        .arg(&drawn))?;
    for size in SIZES {
        let name = format!("{size}x{size}.png");
        std::fs::copy(drawn.join(&name), root().join("icons").join(&name))
            .map_err(|error| format!("Cannot copy {name}: {error}."))?;
    }
    Ok(())
}
