//! What gives papers out: the press, and the folder that a person finds them in. Whoever opens a session gives it.

use drylay_papers::paper::Press;
use std::path::{Path, PathBuf};

/// What a session needs to give papers out.
pub trait Outlet: Send + Sync + std::fmt::Debug {
    /// What sets papers.
    fn press(&self) -> &dyn Press;

    /// The folder that papers are put into, those of each job in one of its own. It is made when it is missing.
    fn folder(&self) -> PathBuf;

    /// Whether [`show`](Self::show) does anything on this device.
    fn shows(&self) -> bool {
        false
    }

    /// Shows a file with whatever the system opens such files with.
    ///
    /// # Errors
    /// In words, why it cannot.
    fn show(&self, path: &Path) -> Result<(), String> {
        Err(format!("nothing here opens {}", path.display()))
    }
}
