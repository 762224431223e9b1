//! The window of Drylay, on a desktop and on Android.
//!
//! It knows the core by one door ([`drylay_app::Session`]) and the screens by one command and one event:
//!
//! - `door`: the command `call` (a name and its arguments in, an answer or a problem out) and the event `drylay`;
//! - `photos`: the scheme `photo:` by which stored pictures reach the screens, because raw bytes do not pass
//!   through commands on Android;
//! - `outlet`: the press that sets papers, and how the system opens one;
//! - `place`: where the data lies and where papers go; `DRYLAY_STORE` overrides it;
//! - `arrivals`: what came from outside, a file or an invitation, until the screens fetch it; `neighbour`: what a second
//!   start of the program hands to the first;
//! - `line`: the network; `phone`: what only a phone has, with its Kotlin half in `src-tauri/gen/android`;
//! - `journal`, `report`, `clock`: the log, the report after a crash, and the time both are stamped with.
//!
//! Files are chosen with the system's own dialogs. The screens get a path and hand it to the core; they may open
//! nothing themselves (`capabilities/window.json`).

mod arrivals;
mod clock;
mod door;
mod journal;
mod line;
#[cfg(all(unix, desktop))]
mod neighbour;
mod options;
mod outlet;
#[cfg(target_os = "android")]
mod phone;
mod photos;
mod place;
mod report;
mod start;
#[cfg(desktop)]
mod window;

/// As in the program `drylay`: papers allocate by the million.
#[cfg(desktop)]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Opens the window and stays until it is closed. A window that cannot be opened ends the program with status 1.
#[cfg_attr(mobile, tauri::mobile_entry_point)]
pub fn run() {
    let builder = tauri::Builder::default().plugin(tauri_plugin_dialog::init());
    #[cfg(desktop)]
    let builder = builder.plugin(window::kept());
    #[cfg(target_os = "android")]
    let builder = builder.plugin(phone::plugin());
    let built = builder
        .register_asynchronous_uri_scheme_protocol("photo", photos::serve)
        .invoke_handler(tauri::generate_handler![
            door::call,
            arrivals::arrived,
            #[cfg(target_os = "android")]
            phone::phone
        ])
        .setup(start::up)
        .run(tauri::generate_context!());
    if let Err(error) = built {
        eprintln!("Drylay could not open its window: {error}");
        std::process::exit(1);
    }
}
