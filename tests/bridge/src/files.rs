//! The built screens as files, and what files are.

use std::path::{Component, Path, PathBuf};

/// The file that a path of a request names; `None` for one that would lead out of the folder.
pub(crate) fn file(ui: &Path, path: &str) -> Option<PathBuf> {
    let path = path.trim_start_matches('/');
    let path = if path.is_empty() { "index.html" } else { path };
    let relative = Path::new(path);
    let inside = relative.components().all(|part| matches!(part, Component::Normal(_)));
    inside.then(|| ui.join(relative))
}

/// What a file is, by its name.
pub(crate) fn kind(path: &Path) -> &'static str {
    match path.extension().and_then(|it| it.to_str()) {
        Some("html") => "text/html; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("json" | "map") => "application/json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("pdf") => "application/pdf",
        Some("csv") => "text/csv; charset=utf-8",
        Some("dxf") => "image/vnd.dxf",
        Some("woff2") => "font/woff2",
        Some("ico") => "image/x-icon",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_path_leads_out_of_the_folder() {
        let ui = Path::new("/ui");
        assert_eq!(file(ui, "/"), Some("/ui/index.html".into()));
        assert_eq!(file(ui, "/assets/a.js"), Some("/ui/assets/a.js".into()));
        for path in ["/../etc/passwd", "/assets/../../etc/passwd", "/./../x"] {
            assert_eq!(file(ui, path), None, "{path}");
        }
        assert_eq!(kind(Path::new("/ui/a.css")), "text/css; charset=utf-8");
    }
}
