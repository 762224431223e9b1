//! Breaks lines of the core one by one and sees whether its tests notice: `cargo xtask mutants`.
//!
//! A *mutant* is the core with one small change: another sign, the edge of a comparison, a constant's neighbour, a
//! condition turned round, a statement left out, a function that returns at once, two arguments swapped. They are
//! drawn by a seed among all places of the sources; one that does not compile is replaced by the next and not counted.
//! A mutant is *killed* if a test of its own crate fails with it, or does not come to an end.
#![allow(clippy::print_stdout, reason = "talking to a person in a terminal is what this program is for")]

mod find;
mod hunt;
mod run;
mod tree;
mod weave;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use hunt::{Draw, Fate, Told, ending_word};
use run::Ending;
use tree::{CRATES, Tree};

const HELP: &str = "\
cargo xtask mutants [--list] [--seed S] [--count N] [--only geometry|survey|plan] [--survivors]

  --list        only says which mutants the seed draws
  --seed S      another draw (1)
  --count N     so many that compile (300)
  --only CRATE  only this crate's lines
  --survivors   of the same draw, only those that survived the run before
";
/// The share of mutants that the tests are to notice, in percent.
const GOAL: usize = 85;

struct Options {
    list: bool,
    survivors: bool,
    seed: u64,
    count: usize,
    names: Vec<&'static str>,
}

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match options(&words).and_then(|options| hunt_with(&options)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("{reason}");
            ExitCode::FAILURE
        }
    }
}

fn options(words: &[String]) -> Result<Options, String> {
    let mut options = Options { list: false, survivors: false, seed: 1, count: 300, names: CRATES.to_vec() };
    let mut words = words.iter().map(String::as_str);
    while let Some(word) = words.next() {
        let mut number = || {
            let value = words.next().and_then(|value| value.parse::<u64>().ok());
            value.ok_or_else(|| format!("{word} asks for a number.\n\n{HELP}"))
        };
        match word {
            "--list" => options.list = true,
            "--survivors" => options.survivors = true,
            "--seed" => options.seed = number()?,
            "--count" => options.count = usize::try_from(number()?).unwrap_or(usize::MAX),
            "--only" => {
                let name = words.next().unwrap_or_default();
                let known = CRATES.iter().find(|one| **one == name);
                options.names =
                    vec![*known.ok_or_else(|| format!("`{name}` is none of the crates.\n\n{HELP}"))?];
            }
            _ => return Err(HELP.to_owned()),
        }
    }
    Ok(options)
}

fn hunt_with(options: &Options) -> Result<(), String> {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let repository = here.ancestors().nth(2).unwrap_or(here);
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| PathBuf::from("target"), PathBuf::from);
    let tree = Tree::copy(repository, &repository.join(target))?;
    let drawn = hunt::draw(&tree, &options.names, options.seed)?;
    println!("{} places for a mutant; seed {}", drawn.len(), options.seed);
    if options.list {
        for one in drawn.iter().take(options.count) {
            println!("{}", one.told(&tree));
        }
        println!("Those that do not compile are replaced by the next of the draw.");
        return Ok(());
    }
    let drawn = if options.survivors { hunt::survivors(&tree, drawn)? } else { drawn };
    let mut draw = Draw::of(drawn);
    let mut told = Told::new(&tree, tell)?;
    let mut missing = options.count;
    while missing > 0 {
        let chosen = draw.next(&tree, missing)?;
        if chosen.is_empty() {
            break;
        }
        missing = hunt::fates(&tree, &chosen, &mut told)?;
    }
    sum_up(&tree, &told.all, options.survivors)
}

fn tell(tree: &Tree, fate: &Fate) {
    let by = match &fate.ending {
        Ending::Failed(test) => test.as_str(),
        _ => "",
    };
    println!("{}\t{}\t{by}", ending_word(&fate.ending), fate.drawn.told(tree));
}

fn sum_up(tree: &Tree, fates: &[Fate], only_survivors: bool) -> Result<(), String> {
    println!("\nSurvived:");
    for fate in fates.iter().filter(|fate| fate.ending == Ending::Passed) {
        println!("  {}", fate.drawn.told(tree));
    }
    let (mut killed, mut all) = (0, 0);
    for (name, (dead, count)) in hunt::shares(fates) {
        println!("{name}: {dead} of {count} killed");
        (killed, all) = (killed + dead, all + count);
    }
    let timed_out = fates.iter().filter(|fate| fate.ending == Ending::TimedOut).count();
    let pinned = fates.iter().filter(|fate| fate.is_only_pinned()).count();
    println!("{killed} of {all} killed ({timed_out} of them ran out of time); goal {GOAL} %");
    println!("{pinned} of these by nothing but the tests that numbers and work stay as they were");
    println!("The list is in {}", tree.results().display());
    if only_survivors || killed * 100 >= GOAL * all {
        Ok(())
    } else {
        Err(format!("Fewer than {GOAL} % were killed."))
    }
}
