//! Papers of the window: set by the press, put where a person finds them, and opened by the system.

use drylay_app::Outlet;
use drylay_app::papers::Press;
use drylay_press::Typst;
use std::path::{Path, PathBuf};

/// The person's own folder for documents, or what stands in for it.
#[derive(Debug)]
pub(crate) struct Documents {
    /// The folder.
    pub(crate) folder: PathBuf,
    /// The phone, which shows a file by another of its apps.
    #[cfg(target_os = "android")]
    pub(crate) app: tauri::AppHandle,
}

impl Outlet for Documents {
    fn press(&self) -> &dyn Press {
        &Typst
    }

    fn folder(&self) -> PathBuf {
        self.folder.clone()
    }

    fn shows(&self) -> bool {
        cfg!(target_os = "android") || OPENER.is_some()
    }

    #[cfg(target_os = "android")]
    fn show(&self, path: &Path) -> Result<(), String> {
        crate::phone::show(&self.app, path)
    }

    #[cfg(not(target_os = "android"))]
    fn show(&self, path: &Path) -> Result<(), String> {
        let opener = OPENER.ok_or("this system has nothing to open files with")?;
        let mut child = std::process::Command::new(opener)
            .arg(path)
            .spawn()
            .map_err(|error| format!("{opener}: {error}"))?;
        // Waited for apart, so that nothing is left of it when it ends.
        std::thread::spawn(move || child.wait());
        Ok(())
    }
}

/// The program that opens a file with whatever the person has chosen for its kind: of the freedesktop.org utilities, of
/// macOS, of Windows. A phone has apps for it instead.
const OPENER: Option<&str> = if cfg!(any(target_os = "android", target_os = "ios")) {
    None
} else if cfg!(target_os = "macos") {
    Some("open")
} else if cfg!(target_os = "windows") {
    Some("explorer")
} else {
    Some("xdg-open")
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_is_the_one_that_was_given() {
        let documents = Documents { folder: PathBuf::from("/home/ana/Documents/Drylay") };
        assert_eq!(documents.folder(), PathBuf::from("/home/ana/Documents/Drylay"));
        assert_eq!(documents.shows(), OPENER.is_some());
    }
}
