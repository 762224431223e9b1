//! The desktop program; everything is in the library, which Android starts by itself.
#![cfg_attr(not(debug_assertions), windows_subsystem = "windows")]

fn main() {
    drylay_desktop_lib::run();
}
