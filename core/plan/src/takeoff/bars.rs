//! Pieces of a length cut from stock of a length: trims and strips from bars, underlayment from rolls.

use super::stock::{CutPlan, StockError, cut};
use drylay_geometry::Length;
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Mutex, PoisonError};

/// Stock that is cut into pieces.
#[derive(Clone, Debug, PartialEq)]
pub struct Bars {
    /// The lengths that are cut, longest first, each once.
    pub lengths: Vec<Length>,
    /// How often each is cut.
    pub counts: Vec<usize>,
    /// Which lengths come from which bar, by their place among `lengths`.
    pub plan: CutPlan,
    /// Places where a run that is longer than a bar is joined.
    pub joins: usize,
}

impl Bars {
    /// How many bars it takes.
    pub fn count(&self) -> usize {
        self.plan.count()
    }

    /// Length of all pieces in mm.
    pub fn cut_mm(&self) -> f64 {
        self.lengths.iter().zip(&self.counts).map(|(l, n)| l.mm() * *n as f64).sum()
    }
}

/// Why pieces cannot be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BarsError {
    /// The bar has no length, is no longer than what each piece takes more, or is longer than can be handled.
    #[error("the bar's length cannot be cut from")]
    Bar,
    /// There are more pieces than can be handled.
    #[error("too many pieces")]
    TooMany,
}

/// Cuts runs from bars: the fewest bars that were found, with the bound that tells whether fewer could do. Every piece
/// takes `extra` more than it is long (for mitres); a run longer than a bar is joined from whole bars and a rest.
///
/// # Errors
/// The bar cannot be cut from, or there are too many pieces.
pub fn cut_to(
    runs: &[Length],
    bar: Length,
    kerf: Length,
    extra: Length,
    grid: Length,
) -> Result<Bars, BarsError> {
    let most = bar.round_down_to(grid) - extra;
    if most <= Length::ZERO {
        return Err(BarsError::Bar);
    }
    let mut wanted: BTreeMap<Length, usize> = BTreeMap::new();
    let mut joins = 0;
    for &run in runs.iter().filter(|run| **run > Length::ZERO) {
        let whole = (run.nanometres() - 1).div_euclid(most.nanometres());
        let whole = usize::try_from(whole).map_err(|_| BarsError::TooMany)?;
        let rest = Length::from_nanometres((run.nanometres() - 1).rem_euclid(most.nanometres()) + 1);
        if whole > 0 {
            *wanted.entry(most + extra).or_default() += whole;
            joins += whole;
        }
        *wanted.entry((rest + extra).round_up_to(grid)).or_default() += 1;
    }
    let pieces: Vec<(Length, usize)> = wanted.into_iter().rev().collect();
    let plan =
        remembered(Asked { bar, kerf, grid, pieces: pieces.clone() }).map_err(|error| match error {
            StockError::TooMany => BarsError::TooMany,
            StockError::Bar | StockError::Piece(_) => BarsError::Bar,
        })?;
    let (lengths, counts) = pieces.into_iter().unzip();
    Ok(Bars { lengths, counts, plan, joins })
}

/// How many answers are remembered: the trims of a job and of its variants, and those of the job before.
const REMEMBERED: usize = 32;

/// What is asked of [`cut`]; the answer follows from it alone.
#[derive(PartialEq)]
struct Asked {
    bar: Length,
    kerf: Length,
    grid: Length,
    pieces: Vec<(Length, usize)>,
}

/// As [`cut`], which can take tens of milliseconds, from memory where the same was asked lately: order list, quote,
/// variants and papers of a job all cut the same trim.
fn remembered(asked: Asked) -> Result<CutPlan, StockError> {
    static KNOWN: Mutex<VecDeque<(Asked, Result<CutPlan, StockError>)>> = Mutex::new(VecDeque::new());
    let known = || KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    let found = known().iter().find(|(of, _)| *of == asked).map(|(_, answer)| answer.clone());
    if let Some(answer) = found {
        return answer;
    }
    let answer = cut(asked.bar, asked.kerf, asked.grid, &asked.pieces);
    let mut known = known();
    known.push_back((asked, answer.clone()));
    if known.len() > REMEMBERED {
        known.pop_front();
    }
    answer
}
