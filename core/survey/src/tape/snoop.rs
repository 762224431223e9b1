//! Data snooping: the reading that disagrees most with all others is set aside, and the rest adjusted again.
//!
//! W. Baarda, *A testing procedure for use in geodetic networks* (1968). A reading can only be named when the
//! others can tell it from the rest. With one redundancy all |w| are equal; with more, some readings may still have
//! equal |w|, because they check nothing but each other. Then nothing is marked and all of them stay candidates.

use super::model::{Line, Model};
use super::solve::Fit;
use crate::network::{Adjusted, Observation, Solution, Unsolved, settle, statistics};
use crate::stats::DOUBTED;

/// Two standardised residuals nearer than this part of themselves cannot be told apart.
const ALIKE: f64 = 1e-4;

/// What snooping found.
#[derive(Debug)]
pub(crate) struct Snooped {
    /// The adjustment of all observations.
    pub(crate) all: Solution,
    /// The adjustment without those set aside.
    pub(crate) rest: Solution,
    /// Observations set aside, in the order in which that happened.
    pub(crate) aside: Vec<usize>,
    /// Observations that are doubted as well, but cannot be told apart.
    pub(crate) alike: Vec<usize>,
}

/// Adjusts and snoops. Only readings and square checks can be set aside, no assumed angles; those check nothing
/// either, so the redundancy that counts is the readings' and checks' own.
pub(crate) fn snoop(model: &Model, fit: &Fit) -> Result<Snooped, Unsolved> {
    let observations = model.observations(&fit.assumed);
    let candidates = observations.len() - fit.assumed.len();
    let own = fit.own_redundancy(candidates);
    let all = statistics(fit.at.clone(), &observations, &model.datum())?;
    let mut out = Snooped { rest: all.clone(), all, aside: Vec::new(), alike: Vec::new() };
    let mut kept: Vec<usize> = (0..observations.len()).collect();
    while let Some(found) = most_doubted(&out.rest, &kept, candidates) {
        let [one] = found[..] else {
            out.alike = found;
            break;
        };
        let without: Vec<usize> = kept.iter().copied().filter(|&k| k != one).collect();
        let more = own >= 2 + out.aside.len();
        let next = if !more {
            None
        } else {
            near(model, &out.rest, &observations, &kept, one)
                .or_else(|| again(model, &out.rest.at, &observations, &without))
        };
        let Some(next) = next else {
            out.alike = found;
            break;
        };
        out.aside.push(one);
        (out.rest, kept) = (next, without);
    }
    if model.corners > EXACT && !out.aside.is_empty() {
        out.rest = again(model, &out.rest.at, &observations, &kept).ok_or(Unsolved::Wandering)?;
    }
    Ok(out)
}

/// In rooms with more corners, each reading set aside moves the shape by a first-order step only, and the rest are
/// adjusted to the end once.
const EXACT: usize = 60;
/// An observation that is checked less than this moves the shape too far for that.
const CHECKED_WELL: f64 = 0.05;

fn near(
    model: &Model,
    rest: &Solution,
    observations: &[Observation],
    kept: &[usize],
    one: usize,
) -> Option<Solution> {
    let place = kept.iter().position(|&k| k == one)?;
    if model.corners <= EXACT || rest.observations[place].redundancy < CHECKED_WELL {
        return None;
    }
    let chosen: Vec<Observation> = kept.iter().map(|&k| observations[k]).collect();
    rest.without(&chosen, place)
}

/// What all other observations say of a reading, corrected to the floor's edge, and how well: its distance as it
/// would come out without it, which follows from its residual and its redundancy number.
pub(crate) fn others_say(line: &Line, adjusted: &Adjusted) -> Option<(f64, f64)> {
    let r = adjusted.redundancy;
    adjusted.w.map(|_| (line.value + adjusted.residual / r, line.sd * ((1.0 - r) / r).sqrt()))
}

fn again(model: &Model, at: &[(f64, f64)], observations: &[Observation], kept: &[usize]) -> Option<Solution> {
    let chosen: Vec<Observation> = kept.iter().map(|&k| observations[k]).collect();
    let at = settle(at, &chosen, &model.datum()).ok()?;
    statistics(at, &chosen, &model.datum()).ok()
}

/// The observations with the largest |w|, if that is doubted: one, or all that are alike.
fn most_doubted(solution: &Solution, kept: &[usize], candidates: usize) -> Option<Vec<usize>> {
    let w = |i: usize| solution.observations[i].w.unwrap_or(0.0).abs();
    let places: Vec<usize> = (0..kept.len()).filter(|&i| kept[i] < candidates).collect();
    let most = places.iter().map(|&i| w(i)).fold(0.0, f64::max);
    if most <= DOUBTED {
        return None;
    }
    Some(places.into_iter().filter(|&i| w(i) >= most * (1.0 - ALIKE)).map(|i| kept[i]).collect())
}
