//! Where the data of this device lies, and where its papers go.

use std::path::{Path, PathBuf};
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

/// The folder that papers are put into: `papers` within `DRYLAY_STORE` if that is set, else `Drylay` among the person's
/// documents, or within the data folder where the system names none.
pub(crate) fn papers<R: Runtime>(app: &AppHandle<R>, data: &Path) -> PathBuf {
    let own = std::env::var_os("DRYLAY_STORE").is_some_and(|folder| !folder.is_empty());
    match app.path().document_dir() {
        Ok(documents) if !own => documents.join("Drylay"),
        _ => data.join("papers"),
    }
}
