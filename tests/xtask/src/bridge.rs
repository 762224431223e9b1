//! The bridge running while something uses it: the core over HTTP, on a store of its own that is thrown away.

use crate::shell::{Outcome, built, command, target};
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Child, Stdio};

/// A running bridge; dropping it ends it and removes its store.
pub(crate) struct Bridge {
    child: Child,
    store: PathBuf,
    /// Where it listens, such as `http://127.0.0.1:4577`.
    pub(crate) address: String,
}

impl Bridge {
    /// Starts the bridge on an empty store and any free port.
    pub(crate) fn start() -> Outcome<Self> {
        Self::of(built("drylay-bridge"))
    }

    /// Starts this build of the bridge.
    pub(crate) fn of(program: PathBuf) -> Outcome<Self> {
        let store = target().join(format!("bridge-store-{}", std::process::id()));
        let mut call = command(program, &["--crew", "--port", "0", "--ui", "ui/dist-bridge", "--store"]);
        let spawned = call.arg(&store).stdout(Stdio::piped()).spawn();
        let child = spawned.map_err(|error| format!("The bridge could not be started: {error}."))?;
        let mut bridge = Self { child, store, address: String::new() };
        let mut said = String::new();
        if let Some(stdout) = bridge.child.stdout.as_mut() {
            BufReader::new(stdout)
                .read_line(&mut said)
                .map_err(|error| format!("The bridge was lost: {error}."))?;
        }
        bridge.address = said.trim().to_owned();
        if bridge.address.starts_with("http://") {
            Ok(bridge)
        } else {
            Err("The bridge ended without listening.".into())
        }
    }
}

impl Drop for Bridge {
    fn drop(&mut self) {
        // It may have ended already, and a store that is left over is below the build folder.
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = std::fs::remove_dir_all(&self.store);
    }
}
