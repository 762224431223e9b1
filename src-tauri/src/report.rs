//! After a crash: a file that a person can read before sending it. It holds the
//! place in the program and what the program said there.

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_leaves_a_report_that_says_where() {
        let data = std::env::temp_dir().join(format!("drylay-report-{}", std::process::id()));
        std::fs::create_dir_all(&data).unwrap();
        keep_in(&data);
        let thread = std::thread::Builder::new().name("saw".into());
        assert!(thread.spawn(|| panic!("the blade stopped")).unwrap().join().is_err());
        let report = std::fs::read_to_string(place(&data)).unwrap();
        for part in ["the blade stopped", "src/report.rs", "thread saw", env!("CARGO_PKG_VERSION")] {
            assert!(report.contains(part), "{part} is missing in:\n{report}");
        }
        std::fs::remove_dir_all(data).unwrap();
    }
}
