//! Every reader of bytes and text on some thousands of damaged inputs; `cargo xtask fuzz` goes on for longer.

use drylay_tests::fuzz::{self, Until};
use peak_alloc::PeakAlloc;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// One after another, since memory is measured.
#[test]
fn every_reader_survives_damaged_input() {
    let mut wrong = Vec::new();
    for target in fuzz::targets() {
        let gone = fuzz::go(&target, 1, Until::Runs(target.runs), &MEMORY, None);
        if let Some(crash) = gone.crash {
            let input = String::from_utf8_lossy(&crash.input);
            let start: String = input.chars().take(300).collect();
            wrong.push(format!("{}: {}\n  {} bytes: {start:?}", target.name, crash.why, crash.input.len()));
        }
        assert!(gone.runs > 0, "{}: nothing was read", target.name);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
