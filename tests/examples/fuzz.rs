//! `cargo xtask fuzz [--list] [--minutes N] [--seed S] [NAME…]`: readers of bytes and text on damaged input for as long
//! as wished. What a reader does not survive lies in `target/fuzz` afterwards.
#![allow(clippy::print_stdout, reason = "talking to a person in a terminal is what this program is for")]

use drylay_tests::fuzz::{self, Target, Until};
use peak_alloc::PeakAlloc;
use std::path::PathBuf;
use std::time::Duration;

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

type Outcome = Result<(), Box<dyn std::error::Error>>;

struct Options {
    list: bool,
    minutes: u64,
    seed: u64,
    names: Vec<String>,
}

fn main() -> Outcome {
    let options = options()?;
    let targets: Vec<Target> = fuzz::targets()
        .into_iter()
        .filter(|target| options.names.is_empty() || options.names.iter().any(|name| name == target.name))
        .collect();
    if targets.is_empty() {
        return Err("There is no reader of that name: `cargo xtask fuzz --list` names them.".into());
    }
    if options.list {
        targets.iter().for_each(|target| println!("{:<12} {}", target.name, target.about));
        return Ok(());
    }
    let target_folder =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| PathBuf::from("target"), PathBuf::from);
    let folder = target_folder.join("fuzz");
    std::fs::create_dir_all(&folder)?;
    let each = Duration::from_secs(options.minutes * 60) / u32::try_from(targets.len())?;
    // What a reader does not survive is told below, with its input.
    std::panic::set_hook(Box::new(|_| {}));
    let mut crashed = 0;
    for target in &targets {
        let note = folder.join(format!("{}.now", target.name));
        let gone = fuzz::go(target, options.seed, Until::Passed(each), &MEMORY, Some(&note));
        let mb = gone.memory >> 20;
        println!("{:<12} {:>9} inputs, {:>8} taken, {mb} MiB at most", target.name, gone.runs, gone.taken);
        let _ = std::fs::remove_file(note);
        if let Some(crash) = gone.crash {
            let input = folder.join(format!("{}.crash", target.name));
            std::fs::write(&input, &crash.input)?;
            println!("  {}\n  the input is in {}", crash.why, input.display());
            crashed += 1;
        }
    }
    if crashed == 0 { Ok(()) } else { Err(format!("{crashed} did not survive.").into()) }
}

fn options() -> Result<Options, Box<dyn std::error::Error>> {
    let mut options = Options { list: false, minutes: 5, seed: fastrand::u64(..), names: Vec::new() };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        let mut number = || words.next().and_then(|text| text.parse().ok()).ok_or("a number is missing");
        match word.as_str() {
            "--list" => options.list = true,
            "--minutes" => options.minutes = number()?,
            "--seed" => options.seed = number()?,
            _ => options.names.push(word),
        }
    }
    Ok(options)
}
