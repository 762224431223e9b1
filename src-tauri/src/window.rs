//! The window's size and place, and whether it is maximised: kept from one start to the next.

use std::path::PathBuf;
use tauri::Runtime;
use tauri::plugin::TauriPlugin;
use tauri_plugin_window_state::{Builder, StateFlags};

/// Keeps them. A window of a phone's size (`--phone`) is none that anybody has chosen.
pub(crate) fn kept<R: Runtime>() -> TauriPlugin<R> {
    let phone = std::env::args().any(|word| word == "--phone");
    let flags = StateFlags::SIZE | StateFlags::POSITION | StateFlags::MAXIMIZED;
    let builder = Builder::new().with_state_flags(flags).with_filter(move |_| !phone);
    match file() {
        Some(file) => builder.with_filename(file.to_string_lossy()).build(),
        None => builder.build(),
    }
}

/// Beside the store where one is named, so that a start on a store of one's own changes nothing of the person's.
fn file() -> Option<PathBuf> {
    let folder = std::env::var_os("DRYLAY_STORE").filter(|folder| !folder.is_empty())?;
    Some(PathBuf::from(folder).join("window-state.json"))
}
