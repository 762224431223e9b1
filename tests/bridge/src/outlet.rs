//! Papers are put into a folder of the store: a browser looks at them by their address.

use drylay_app::Outlet;
use drylay_app::papers::Press;
use drylay_press::Typst;
use std::path::{Path, PathBuf};

/// The folder of papers.
#[derive(Debug)]
pub(crate) struct Folder(PathBuf);

impl Folder {
    /// That within a store's folder.
    pub(crate) fn within(store: &Path) -> Self {
        Self(store.join("papers"))
    }
}

impl Outlet for Folder {
    fn press(&self) -> &dyn Press {
        &Typst
    }

    fn folder(&self) -> PathBuf {
        self.0.clone()
    }
}
