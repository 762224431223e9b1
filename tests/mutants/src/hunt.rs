//! From the seed to the list of what was noticed: choosing mutants that compile, and running the tests on each.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::time::Duration;

use crate::find::{Mutant, Range2};
use crate::run::{self, Ending};
use crate::tree::{CRATES, Refusal, TestProgram, Tree};
use crate::weave::Woven;

/// A mutant of the draw.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    /// The crate it is of.
    pub(crate) name: &'static str,
    /// The mutant.
    pub(crate) mutant: Mutant,
    /// Whether it is built by itself, because no switch can stand at its place.
    by_itself: bool,
}

impl Drawn {
    /// Where it is and what it changes: the same words in every run while the source stays as it is.
    pub(crate) fn told(&self, tree: &Tree) -> String {
        let Mutant { file, line, range, .. } = &self.mutant;
        let words = self.mutant.told(tree.source(file)).replace('\t', " ");
        format!("{file}:{line}\t{words}\t@{}", range.start)
    }
}

/// What became of one.
#[derive(Clone, Debug)]
pub(crate) struct Fate {
    /// The mutant.
    pub(crate) drawn: Drawn,
    /// How the tests ended that ended last.
    pub(crate) ending: Ending,
}

/// All mutants of these crates in the order of a seed.
pub(crate) fn draw(tree: &Tree, names: &[&'static str], seed: u64) -> Result<Vec<Drawn>, String> {
    let mut all = Vec::new();
    for &name in names {
        let found = tree.mutants_of(name)?;
        all.extend(found.into_iter().map(|mutant| Drawn { by_itself: mutant.constant, name, mutant }));
    }
    fastrand::Rng::with_seed(seed).shuffle(&mut all);
    Ok(all)
}

/// A draw that is gone through from the front.
#[derive(Debug)]
pub(crate) struct Draw {
    waiting: std::vec::IntoIter<Drawn>,
}

impl Draw {
    /// These mutants, in this order.
    pub(crate) fn of(drawn: Vec<Drawn>) -> Self {
        Self { waiting: drawn.into_iter() }
    }

    /// The next `count` mutants. Those with a switch compile; of those that are built by themselves that is not known yet.
    pub(crate) fn next(&mut self, tree: &Tree, count: usize) -> Result<Vec<Drawn>, String> {
        let mut chosen: Vec<Drawn> = self.waiting.by_ref().take(count).collect();
        for name in CRATES {
            if chosen.iter().any(|drawn| drawn.name == *name) {
                mark_refused(tree, &mut chosen, name)?;
            }
        }
        Ok(chosen)
    }
}

/// Those that do not compile behind a switch are to be built by themselves.
fn mark_refused(tree: &Tree, chosen: &mut [Drawn], name: &str) -> Result<(), String> {
    loop {
        let numbered = with_switch(chosen, name);
        let woven = tree.weave(name, &numbered)?;
        let refusals = tree.check(name)?;
        if refusals.is_empty() {
            return Ok(());
        }
        let blamed: BTreeSet<usize> = refusals.iter().filter_map(|one| blame(one, &woven)).collect();
        if blamed.is_empty() {
            let words: Vec<&str> = refusals.iter().map(|one| one.message.as_str()).collect();
            return Err(format!("core/{name}: no mutant is to blame for: {}", words.join("; ")));
        }
        println!("core/{name}: {} do not compile behind a switch", blamed.len());
        for number in blamed {
            chosen[number].by_itself = true;
        }
    }
}

fn with_switch<'a>(chosen: &'a [Drawn], name: &str) -> Vec<(usize, &'a Mutant)> {
    let here = |(_, drawn): &(usize, &Drawn)| drawn.name == name && !drawn.by_itself;
    chosen.iter().enumerate().filter(here).map(|(number, drawn)| (number, &drawn.mutant)).collect()
}

/// The mutant that a refusal is about: the narrowest around the place, else the last within it.
fn blame(refusal: &Refusal, woven: &[(String, Woven)]) -> Option<usize> {
    let in_file = |file: &str| woven.iter().find(|(one, _)| file.ends_with(one.as_str()));
    let around = |(file, place): &(String, Range2)| {
        let (_, woven) = in_file(file)?;
        let holds = |one: &Range2| one.start <= place.start && place.end <= one.end;
        woven.places.iter().rev().find(|(_, one)| holds(one)).map(|(number, _)| *number)
    };
    let within = |(file, place): &(String, Range2)| {
        let (_, woven) = in_file(file)?;
        let inside = woven.places.iter().filter(|(_, one)| place.start <= one.start && one.end <= place.end);
        inside.max_by_key(|(_, one)| one.end).map(|(number, _)| *number)
    };
    refusal.places.iter().find_map(around).or_else(|| refusal.places.iter().find_map(within))
}

/// Where fates are told and written down as they come.
pub(crate) struct Told<'a> {
    tree: &'a Tree,
    tell: fn(&Tree, &Fate),
    /// All so far.
    pub(crate) all: Vec<Fate>,
}

impl<'a> Told<'a> {
    /// Begins a new list.
    pub(crate) fn new(tree: &'a Tree, tell: fn(&Tree, &Fate)) -> Result<Self, String> {
        let written = tree.results();
        fs::write(&written, "").map_err(|error| format!("{}: {error}", written.display()))?;
        Ok(Self { tree, tell, all: Vec::new() })
    }

    fn add(&mut self, fate: Fate) -> Result<(), String> {
        let written = self.tree.results();
        let line = format!("{}\t{}\n", ending_word(&fate.ending), fate.drawn.told(self.tree));
        let file = OpenOptions::new().append(true).open(&written);
        file.and_then(|mut file| file.write_all(line.as_bytes()))
            .map_err(|error| format!("{}: {error}", written.display()))?;
        (self.tell)(self.tree, &fate);
        self.all.push(fate);
        Ok(())
    }
}

/// Runs the tests on each mutant and tells of each as it is done. Says how many did not compile.
pub(crate) fn fates(tree: &Tree, chosen: &[Drawn], told: &mut Told<'_>) -> Result<usize, String> {
    let mut times = BTreeMap::new();
    for name in CRATES.iter().filter(|name| chosen.iter().any(|drawn| drawn.name == **name)) {
        tree.weave(name, &with_switch(chosen, name))?;
        let programs = tree.tests_of(name)?.ok_or_else(|| format!("core/{name}: its tests do not build"))?;
        let measured = measured(tree, programs)?;
        for one in &measured {
            println!("core/{name}: {} takes {:.1} s", one.program.name, one.took.as_secs_f64());
            times.insert((*name, one.program.name.clone()), one.took);
        }
        for (number, _) in with_switch(chosen, name) {
            let setting = [("DRYLAY_MUTANT", number.to_string())];
            let ending = ending(measured.iter().filter(|one| one.reached.contains(&number)), &setting)?;
            told.add(Fate { drawn: chosen[number].clone(), ending })?;
        }
        tree.alone(name, None)?;
    }
    let mut refused = 0;
    for drawn in chosen.iter().filter(|drawn| drawn.by_itself) {
        tree.alone(drawn.name, Some(&drawn.mutant))?;
        if let Some(programs) = tree.tests_of(drawn.name)? {
            let took = |name: &String| times.get(&(drawn.name, name.clone())).copied();
            let timed = programs.into_iter().map(|program| Measured {
                took: took(&program.name).unwrap_or(Duration::from_secs(60)),
                program,
                reached: BTreeSet::new(),
            });
            let mut timed: Vec<Measured> = timed.collect();
            timed.sort_by_key(Measured::rank);
            told.add(Fate { drawn: drawn.clone(), ending: ending(timed.iter(), &[])? })?;
        } else {
            refused += 1;
        }
        tree.alone(drawn.name, None)?;
    }
    Ok(refused)
}

/// A program of tests, how long it takes, and which mutants' places it comes to.
struct Measured {
    program: TestProgram,
    took: Duration,
    reached: BTreeSet<usize>,
}

/// The tests that numbers are the same as before. They come last, so that it is told what no other test notices.
const PINNED: &str = "pinned";

impl Measured {
    fn rank(&self) -> (bool, Duration) {
        (self.program.name == PINNED, self.took)
    }
}

impl Fate {
    /// Whether only the tests noticed that numbers are the same as before.
    pub(crate) fn is_only_pinned(&self) -> bool {
        matches!(&self.ending, Ending::Failed(test) if test.starts_with(PINNED))
    }
}

/// Runs every program with no mutant on; the quickest come first, and those that hold numbers to what they were last.
fn measured(tree: &Tree, programs: Vec<TestProgram>) -> Result<Vec<Measured>, String> {
    let mut all = Vec::new();
    for program in programs {
        let list = tree.results().with_file_name("reached");
        let _ = fs::remove_file(&list);
        let setting = [("DRYLAY_MUTANTS_REACHED", list.to_string_lossy().into_owned())];
        let (ending, took) = run::run(&program, &setting, Duration::from_secs(1800))?;
        if ending != Ending::Passed {
            return Err(format!("{} fails with no line broken: {ending:?}", program.path.display()));
        }
        let reached = fs::read_to_string(&list).unwrap_or_default();
        let reached = reached.lines().filter_map(|line| line.parse().ok()).collect();
        all.push(Measured { program, took, reached });
    }
    all.sort_by_key(Measured::rank);
    Ok(all)
}

fn ending<'a>(
    programs: impl Iterator<Item = &'a Measured>,
    settings: &[(&str, String)],
) -> Result<Ending, String> {
    for one in programs {
        let limit = Duration::from_secs(15) + one.took * 6;
        match run::run(&one.program, settings, limit)? {
            (Ending::Passed, _) => {}
            (Ending::Failed(test), _) => return Ok(Ending::Failed(format!("{}: {test}", one.program.name))),
            (Ending::TimedOut, _) => return Ok(Ending::TimedOut),
        }
    }
    Ok(Ending::Passed)
}

/// One word for it.
pub(crate) fn ending_word(ending: &Ending) -> &'static str {
    match ending {
        Ending::Passed => "survived",
        Ending::Failed(_) => "killed",
        Ending::TimedOut => "timed out",
    }
}

/// Of an earlier run's list, those that survived.
pub(crate) fn survivors(tree: &Tree, drawn: Vec<Drawn>) -> Result<Vec<Drawn>, String> {
    let list = tree.results();
    let text = fs::read_to_string(&list)
        .map_err(|error| format!("{}: {error}. Run `cargo xtask mutants` first.", list.display()))?;
    let survived: BTreeSet<&str> = text.lines().filter_map(|line| line.strip_prefix("survived\t")).collect();
    Ok(drawn.into_iter().filter(|one| survived.contains(one.told(tree).as_str())).collect())
}

/// Killed and all, by crate.
pub(crate) fn shares(fates: &[Fate]) -> BTreeMap<&'static str, (usize, usize)> {
    let mut shares = BTreeMap::new();
    for fate in fates {
        let (killed, all) = shares.entry(fate.drawn.name).or_insert((0, 0));
        *killed += usize::from(fate.ending != Ending::Passed);
        *all += 1;
    }
    shares
}
