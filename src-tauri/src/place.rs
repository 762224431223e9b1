//! Where the data of this device lies.

use std::path::PathBuf;
use tauri::{AppHandle, Manager, Runtime};

/// The data folder: `DRYLAY_STORE` if set, or the system's place for this app. It is made when it is missing.
///
/// # Errors
/// In words, if the system names no place or the folder cannot be made.
pub(crate) fn data<R: Runtime>(app: &AppHandle<R>) -> Result<PathBuf, String> {
    let folder = match std::env::var_os("DRYLAY_STORE").filter(|folder| !folder.is_empty()) {
        Some(folder) => PathBuf::from(folder),
        None => {
            app.path().app_data_dir().map_err(|error| format!("The system names no data folder: {error}."))?
        }
    };
    std::fs::create_dir_all(&folder)
        .map_err(|error| format!("The data folder {} cannot be made: {error}.", folder.display()))?;
    Ok(folder)
}
