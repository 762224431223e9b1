//! After a crash: a file that a person can read before sending it. It holds the place in the program, never the job.

use crate::clock;
use std::backtrace::Backtrace;
use std::panic::PanicHookInfo;
use std::path::{Path, PathBuf};

/// The file of the last crash in the data folder.
pub(crate) fn place(data: &Path) -> PathBuf {
    data.join("last-report.txt")
}

/// From now on, a crash leaves a report in the data folder, besides what was printed before.
pub(crate) fn keep_in(data: &Path) {
    let file = place(data);
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        // Nothing more can be done about a report that cannot be written.
        let _ = std::fs::write(&file, text(info, &Backtrace::force_capture()));
        before(info);
    }));
}

fn text(info: &PanicHookInfo, trace: &Backtrace) -> String {
    let thread = std::thread::current();
    format!(
        "Drylay {} stopped on {} ({} {}), thread {}.\n\n{info}\n\n{trace}\n",
        env!("CARGO_PKG_VERSION"),
        clock::written(clock::now()),
        std::env::consts::OS,
        std::env::consts::ARCH,
        thread.name().unwrap_or("without a name"),
    )
}
