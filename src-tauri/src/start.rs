//! Starting up: data folder, log, core, window, in this order.

use crate::arrivals::{Arrival, Arrivals};
use crate::door::{self, Core};
use crate::journal::Journal;
use crate::line::Line;
use crate::options::Options;
use crate::outlet::Documents;
use crate::{place, report};
use drylay_app::system::WithLockbox;
use drylay_app::{Problem, Session, World};
use std::error::Error;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;
use tauri::{App, Manager, WebviewWindowBuilder};

/// The size of the phone that the screens are drawn for, in CSS pixels.
#[cfg(desktop)]
const PHONE: (f64, f64) = (412.0, 915.0);

/// How long, and how often, a store that another copy still holds is waited for: two seconds in all.
const WAIT: Duration = Duration::from_millis(100);
const WAITS: usize = 20;

/// Sets the app up.
///
/// # Errors
/// If there is no data folder or no window; a store that cannot be opened is told by the screens instead.
pub(crate) fn up(app: &mut App) -> Result<(), Box<dyn Error>> {
    let options = Options::read(std::env::args().skip(1));
    let data = place::data(app.handle())?;
    let here = std::env::current_dir().unwrap_or_default();
    let arrivals: Vec<Arrival> = options.words.iter().filter_map(|word| Arrival::read(word, &here)).collect();
    #[cfg(all(unix, desktop))]
    if hand_over(&data, &arrivals) {
        std::process::exit(0);
    }
    report::keep_in(&data);
    let journal = Arc::new(Journal::open(&data.join("log")));
    journal.note(&format!("start {} {}", env!("CARGO_PKG_VERSION"), std::env::consts::OS));
    let core = Core::new(open_store(&data, &world(app)), journal);
    if let Some(session) = core.session() {
        session.give_outlet(Arc::new(Documents {
            folder: place::papers(app.handle(), &data),
            #[cfg(target_os = "android")]
            app: app.handle().clone(),
        }));
    }
    if options.demo {
        core.fill_with_demo();
    }
    door::forward_events(&core, app.handle());
    app.manage(Line::new(&core));
    app.manage(core);
    app.manage(Arrivals::new(arrivals));
    #[cfg(target_os = "android")]
    crate::phone::watch(app.handle())?;
    window(app, &options)?;
    #[cfg(all(unix, desktop))]
    crate::neighbour::listen(app.handle(), &data);
    Ok(())
}

/// Hands what this copy was started with, be it nothing, to one that already runs and comes to the front with it.
#[cfg(all(unix, desktop))]
fn hand_over(data: &Path, arrivals: &[Arrival]) -> bool {
    let words = arrivals.iter().map(|arrival| match arrival {
        Arrival::File(path) | Arrival::Picture(path) => path.to_string_lossy().into_owned(),
        Arrival::Link(text) | Arrival::Lost(text) => text.clone(),
    });
    crate::neighbour::tell(data, &words.collect::<Vec<_>>())
}

/// The system's clock and chance, and where it keeps secrets.
fn world(app: &App) -> Arc<dyn World> {
    #[cfg(target_os = "android")]
    return Arc::new(WithLockbox(crate::phone::Keystore::of(app.handle())));
    #[cfg(not(target_os = "android"))]
    {
        let _ = app;
        Arc::new(WithLockbox(drylay_lockbox::Keyring::default()))
    }
}

/// Opens the store. Somebody who closes the app and opens it again at once meets the copy that is still closing, so
/// a store in use is waited for, a little.
fn open_store(data: &Path, world: &Arc<dyn World>) -> Result<Session, Problem> {
    let mut opened = Session::open(data, world.clone());
    for _ in 0..WAITS {
        if !opened.as_ref().is_err_and(|problem| problem.code == "store.in_use") {
            break;
        }
        std::thread::sleep(WAIT);
        opened = Session::open(data, world.clone());
    }
    opened
}

fn window(app: &App, options: &Options) -> Result<(), Box<dyn Error>> {
    let described = app.config().app.windows.first().ok_or("tauri.conf.json describes no window")?;
    let builder = WebviewWindowBuilder::from_config(app.handle(), described)?;
    #[cfg(desktop)]
    let builder = if options.phone { builder.inner_size(PHONE.0, PHONE.1) } else { builder };
    #[cfg(mobile)]
    let _ = options.phone; // a phone's window has the size of the phone
    builder.build()?;
    Ok(())
}
