//! Starting up: data folder, log, core, window, in this order.

use crate::door::{self, Core};
use crate::journal::Journal;
use crate::options::Options;
use crate::{place, report};
use drylay_app::Session;
use std::error::Error;
use std::sync::Arc;
use tauri::{App, Manager, WebviewWindowBuilder};

/// The size of the phone that the screens are drawn for, in CSS pixels.
const PHONE: (f64, f64) = (412.0, 915.0);

/// Sets the app up.
///
/// # Errors
/// If there is no data folder or no window; a store that cannot be opened is told by the screens instead.
pub(crate) fn up(app: &mut App) -> Result<(), Box<dyn Error>> {
    let options = Options::read(std::env::args().skip(1));
    let data = place::data(app.handle())?;
    report::keep_in(&data);
    let journal = Arc::new(Journal::open(&data.join("log")));
    journal.note(&format!("start {} {}", env!("CARGO_PKG_VERSION"), std::env::consts::OS));
    let core = Core::new(Session::open(&data).map(Arc::new), journal);
    if options.demo {
        core.fill_with_demo();
    }
    door::forward_events(&core, app.handle());
    app.manage(core);
    window(app, &options)
}

fn window(app: &App, options: &Options) -> Result<(), Box<dyn Error>> {
    let described = app.config().app.windows.first().ok_or("tauri.conf.json describes no window")?;
    let builder = WebviewWindowBuilder::from_config(app.handle(), described)?;
    #[cfg(desktop)]
    let builder = if options.phone { builder.inner_size(PHONE.0, PHONE.1) } else { builder };
    builder.build()?;
    Ok(())
}
