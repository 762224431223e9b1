//! `cargo xtask deb`: the window as a Debian package, with its kinds of file and its scheme for invitations.

use crate::shell::{Outcome, capture, command, run, target};
use crate::{node, setup};

/// Builds the package and says what is in it. `--debug` builds without optimisation, which is quick, and only good for
/// looking at the package itself.
pub(crate) fn command_line(words: &[&str]) -> Outcome {
    let debug = match words {
        [] => false,
        ["--debug"] => true,
        [other, ..] => return Err(format!("`{other}` is no option here: `--debug`, or nothing.")),
    };
    setup::for_building()?;
    node::modules()?;
    run(&mut node::script("build"))?;
    let mut build = command("npx", &["--no-install", "tauri", "build", "--bundles", "deb"]);
    if debug {
        build.arg("--debug");
    }
    run(&mut build)?;
    let folder = target().join(if debug { "debug" } else { "release" }).join("bundle/deb");
    let entries =
        std::fs::read_dir(&folder).map_err(|error| format!("Cannot list {}: {error}.", folder.display()))?;
    let packages = entries.filter_map(Result::ok).map(|entry| entry.path());
    let package = packages
        .filter(|path| path.extension().is_some_and(|kind| kind == "deb"))
        .max_by_key(|path| path.metadata().and_then(|it| it.modified()).ok())
        .ok_or_else(|| format!("No package came of it in {}.", folder.display()))?;
    println!("{}", capture(command("dpkg-deb", &["--contents"]).arg(&package))?);
    println!("{}", capture(command("dpkg-deb", &["--field"]).arg(&package))?);
    println!("Install it with: sudo apt install {}", package.display());
    Ok(())
}
