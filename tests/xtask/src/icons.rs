//! `cargo xtask icons`: the sizes that systems ask for, drawn from the one mark.

use crate::node;
use crate::shell::{Outcome, command, root, run, target};
use std::path::Path;

const SIZES: [&str; 4] = ["32", "128", "256", "512"];
/// The pixel densities of Android, as its resource folders name them.
const DENSITIES: [&str; 5] = ["mdpi", "hdpi", "xhdpi", "xxhdpi", "xxxhdpi"];
/// The layers of the launcher's icon, and the whole icon of phones that know no layers.
const LAYERS: [&str; 5] = ["", "_round", "_background", "_foreground", "_monochrome"];

/// Draws `icons/<size>x<size>.png` from `icons/drylay.svg`, and Android's from what `icons/android.json` names.
pub(crate) fn draw() -> Outcome {
    node::modules()?;
    let drawn = target().join("icons");
    run(tool("icons/drylay.svg", &drawn).args(["--png", &SIZES.join(",")]))?;
    for size in SIZES {
        let name = format!("{size}x{size}.png");
        copy(&drawn.join(&name), &root().join("icons").join(&name))?;
    }
    let phone = drawn.join("phone");
    run(&mut tool("icons/android.json", &phone))?;
    for density in DENSITIES {
        for layer in LAYERS {
            let name = format!("mipmap-{density}/ic_launcher{layer}.png");
            let place = root().join("src-tauri/gen/android/app/src/main/res").join(&name);
            copy(&phone.join("android").join(&name), &place)?;
        }
    }
    Ok(())
}

fn tool(source: &str, into: &Path) -> std::process::Command {
    let mut tool = command("npx", &["--no-install", "tauri", "icon", source, "--output"]);
    tool.arg(into);
    tool
}

fn copy(from: &Path, to: &Path) -> Outcome {
    std::fs::copy(from, to).map(|_| ()).map_err(|error| format!("Cannot write {}: {error}.", to.display()))
}
