//! The documents' engine at bytes from outside. Some that nobody wrote make it stop instead of refusing them; here that
//! counts as a refusal, and what it was working on is thrown away.

use std::fmt::Display;
use std::panic::{AssertUnwindSafe, catch_unwind};

use automerge::AutoCommit;

/// What is said of bytes at which the engine stopped.
const STOPPED: &str = "its parts contradict each other";

/// Does something with bytes from outside. What it changes must not be used if it fails.
pub(crate) fn guarded<T, E: Display>(work: impl FnOnce() -> Result<T, E>) -> Result<T, String> {
    match catch_unwind(AssertUnwindSafe(work)) {
        Ok(done) => done.map_err(|error| error.to_string()),
        Err(_) => Err(STOPPED.to_owned()),
    }
}

/// Loads bytes as a whole.
pub(crate) fn load(bytes: &[u8]) -> Result<AutoCommit, String> {
    guarded(|| AutoCommit::load(bytes))
}
