//! The window of Drylay, on a desktop and on Android.
//!
//! # From a start to an answer on the screen
//!
//! 1. `start` finds where the data lies (`place`; `DRYLAY_STORE` overrides it), begins the log (`journal`), opens the core's
//!    [`Session`](drylay_app::Session) on the store, gives it the press and the folder of papers (`outlet`) and the network
//!    (`line`), and opens the window. A second start on the same store hands what it was started with to the first
//!    (`neighbour`), which comes to the front, and ends.
//! 2. The screens ask the core by the command `call`, a name and its arguments in, an answer or a problem out; what happens
//!    without being asked for comes as the event `drylay` (`door`). Stored pictures reach them by the scheme `photo:`
//!    (`photos`), because raw bytes do not pass through commands on Android.
//! 3. What comes from outside, a file or an invitation, waits in `arrivals` until the screens fetch it by the command
//!    `arrived`, as the event `drylay-arrived` tells them to.
//! 4. What only a phone has they ask for by the command `phone`; how far its bars reach comes as the event `drylay-bars`
//!    (`phone`, with its Kotlin half in `src-tauri/gen/android`).
//! 5. After a crash there is a file that a person can read (`report`); log and report bear the time of `clock`.
//!
//! **Invariants.** Of the core only `drylay_app`, what sets papers, what meets the crew and what keeps secrets are known
//! here, and none of what lies below them. The log has names of calls and times, never what was in them. What the screens ask
//! of the core goes by `call`, which never blocks the window's own thread.
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
