//! Everything that reads bytes or text from outside, given input that is damaged on purpose.
//!
//! A [`Target`] is one reader with inputs that it takes. They are damaged by a seeded [`Mutator`] that knows lengths,
//! numbers, nesting and the format's own words; what the reader still takes becomes an input to go on from. A reader must
//! not panic, must not ask for more memory than the target allows, and what it took must be taken again once it is
//! written. `tests/tests/fuzz.rs` does some thousands of inputs in every test run, `cargo xtask fuzz` goes on for as
//! long as one wishes. A crasher becomes a named test beside the code that it crashed.

mod crew;
mod door;
mod files;
mod mutator;
mod text;

use std::any::Any;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use fastrand::Rng;
pub use mutator::Mutator;
use peak_alloc::PeakAlloc;

/// Inputs that were taken and are gone on from, at most.
const MOST_INPUTS: usize = 400;
/// The longest input, in bytes.
const LONGEST: usize = 1 << 20;
/// What a reader may take in memory for each byte of its input, besides what the target allows.
const MEMORY_A_BYTE: usize = 400;

/// A reader of something from outside.
#[derive(Clone, Copy, Debug)]
pub struct Target {
    /// What it is called on the command line.
    pub name: &'static str,
    /// What it reads.
    pub about: &'static str,
    /// Inputs that it takes.
    pub seeds: fn() -> Vec<Vec<u8>>,
    /// Words of the format.
    pub words: &'static [&'static str],
    /// Brings checksums into line, so that damage gets further in than the checksum.
    pub mend: Option<fn(&mut Vec<u8>)>,
    /// The memory that it may take besides, in bytes.
    pub memory: usize,
    /// How many inputs it gets in an ordinary test run.
    pub runs: u32,
    /// Reads an input and says whether it was taken. Panics if what was read does not come back when it is written.
    pub look: fn(&[u8]) -> bool,
}

/// All of them.
pub fn targets() -> Vec<Target> {
    [text::targets(), files::targets(), crew::targets(), door::targets()].concat()
}

/// An input that a reader does not survive.
#[derive(Clone, Debug)]
pub struct Crash {
    /// What happened.
    pub why: String,
    /// The input.
    pub input: Vec<u8>,
}

/// How long to go on.
#[derive(Clone, Copy, Debug)]
pub enum Until {
    /// So many inputs.
    Runs(u32),
    /// So long.
    Passed(Duration),
}

/// What a target went through.
#[derive(Clone, Debug, Default)]
pub struct Gone {
    /// Inputs that were read.
    pub runs: u64,
    /// Of these, those that were taken.
    pub taken: u64,
    /// The most memory that one took, in bytes.
    pub memory: usize,
    /// What it did not survive, if anything: then nothing came after it.
    pub crash: Option<Crash>,
}

/// Gives damaged inputs to a target. Each input is left in `note` before it is read, where that is given, so that it is
/// there even if the process does not survive it.
pub fn go(target: &Target, seed: u64, until: Until, memory: &PeakAlloc, note: Option<&Path>) -> Gone {
    let mut gone = Gone::default();
    let mut inputs = match catch_unwind(AssertUnwindSafe(target.seeds)) {
        Ok(inputs) => inputs,
        Err(panic) => {
            let why = format!("its sound inputs cannot be made: {}", said(panic.as_ref()));
            gone.crash = Some(Crash { why, input: Vec::new() });
            return gone;
        }
    };
    let whole = inputs.len();
    for (n, input) in inputs.iter().enumerate() {
        let taken = read(target, input, memory, &mut gone);
        if let Some(crash) = &mut gone.crash {
            crash.why = format!("sound input {n}: {}", crash.why);
            return gone;
        }
        if !taken {
            let why = format!("sound input {n} of {whole} is not taken");
            gone.crash = Some(Crash { why, input: input.clone() });
            return gone;
        }
    }
    let mut mutator = Mutator::new(Rng::with_seed(seed), target.words);
    let begun = Instant::now();
    loop {
        match until {
            Until::Runs(runs) if gone.runs >= u64::from(runs) => return gone,
            Until::Passed(time) if begun.elapsed() >= time => return gone,
            _ => {}
        }
        let mut input = mutator.damaged(&inputs);
        input.truncate(LONGEST);
        if let Some(mend) = target.mend
            && mutator.rng.u8(..4) > 0
        {
            mend(&mut input);
        }
        if let Some(note) = note {
            let _ = fs::write(note, &input);
        }
        let taken = read(target, &input, memory, &mut gone);
        if gone.crash.is_some() {
            return gone;
        }
        if taken && inputs.len() < MOST_INPUTS {
            inputs.push(input);
        } else if taken {
            let place = mutator.rng.usize(whole..inputs.len());
            inputs[place] = input;
        }
    }
}

/// Reads one input; what comes of it is added to `gone`.
fn read(target: &Target, input: &[u8], memory: &PeakAlloc, gone: &mut Gone) -> bool {
    let before = memory.current_usage();
    memory.reset_peak_usage();
    let looked = catch_unwind(AssertUnwindSafe(|| (target.look)(input)));
    let most = memory.peak_usage().saturating_sub(before);
    gone.runs += 1;
    gone.memory = gone.memory.max(most);
    let allowed = target.memory + input.len() * MEMORY_A_BYTE;
    let why = match looked {
        Err(panic) => Some(said(panic.as_ref())),
        Ok(_) if most > allowed => Some(format!("{most} bytes of memory, where {allowed} are allowed")),
        Ok(taken) => {
            gone.taken += u64::from(taken);
            return taken;
        }
    };
    gone.crash = why.map(|why| Crash { why, input: input.to_vec() });
    false
}

/// What a panic says.
fn said(panic: &(dyn Any + Send)) -> String {
    let words = panic.downcast_ref::<String>().map(String::as_str);
    words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("a panic").to_owned()
}

/// A folder of one's own for as long as it is held, in memory where that can be.
#[derive(Debug)]
pub(crate) struct Scratch(pub(crate) PathBuf);

impl Scratch {
    pub(crate) fn new(name: &str) -> Self {
        let memory = Path::new("/dev/shm");
        let place = if memory.is_dir() { memory.to_path_buf() } else { std::env::temp_dir() };
        let path = place.join(format!("drylay-fuzz-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        let _ = fs::create_dir_all(&path);
        Self(path)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}
