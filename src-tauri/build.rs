//! Embeds the screens and the permissions. Naming the commands here makes them need a permission like any other.
#![allow(clippy::print_stdout, reason = "cargo reads a build script's standard output")]

fn main() {
    let manifest = tauri_build::AppManifest::new().commands(&["call", "arrived", "phone"]);
    let attributes = tauri_build::Attributes::new().app_manifest(manifest);
    if let Err(error) = tauri_build::try_build(attributes) {
        println!(
            "cargo::error=The window cannot be built: {error:#}. Are the screens built (npm run build --workspace ui)?"
        );
    }
}
