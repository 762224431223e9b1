//! Every reader of bytes and text on some thousands of damaged inputs; `cargo xtask fuzz` goes on for longer.

use drylay_tests::fuzz::{self, Until};
use peak_alloc::PeakAlloc;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// One after another, since memory is measured.
#[test]
fn every_reader_survives_damaged_input() {
    let mut wrong = Vec::new();
    // What panics is told below; the stack that would be printed for it takes more memory than the readers.
    let told = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let mut unread = Vec::new();
    for target in fuzz::targets() {
        let gone = fuzz::go(&target, 1, Until::Runs(target.runs), &MEMORY, None);
        if let Some(crash) = gone.crash {
            let input = String::from_utf8_lossy(&crash.input);
            let start: String = input.chars().take(300).collect();
            wrong.push(format!("{}: {}\n  {} bytes: {start:?}", target.name, crash.why, crash.input.len()));
        }
        if gone.runs == 0 {
            unread.push(target.name);
        }
    }
    std::panic::set_hook(told);
    assert!(unread.is_empty(), "nothing was read by: {}", unread.join(", "));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
