//! A new store from a backup.

use crate::Problem;
use drylay_store::archive::{self, RestoreError};
use std::path::Path;

/// Makes a new store from a backup. It is another device than the one that was backed up: it joins the crew anew.
///
/// # Errors
/// Says why; then the folder is as it was.
pub fn restore(from: &Path, folder: &Path) -> Result<(), Problem> {
    let at = |code: &str, path: &Path| Problem::new(code, "").with("path", path.display());
    archive::restore(from, folder).map_err(|error| match error {
        RestoreError::Foreign => at("backup.foreign", from),
        RestoreError::Newer(_) => at("backup.newer", from),
        RestoreError::Damaged(why) => at("backup.damaged", from).with("why", why),
        RestoreError::Occupied(path) => at("backup.occupied", &path),
        RestoreError::Store(error) => error.into(),
    })
}
