//! Strips from a roll over a floor: underlayment edge to edge, film with laps.
//!
//! Strips run one way, each as long as the floor is wide there; what is left of a roll goes on with the next strip. Of
//! the directions that are tried and of the places where the first strip may lie without one more being needed, the
//! one is taken with the fewest seams; of these the one with the fewest rolls, and then the shortest seams.

use super::bars::{Bars, BarsError, cut_to};
use crate::lattice::{FrameField, LEAST_PIECE};
use drylay_geometry::{Axis, Direction, Length, Region, cut_band};

/// What is on a roll.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Roll {
    /// Width of the strip.
    pub width: Length,
    /// Length of the roll.
    pub length: Length,
    /// By how much strips lap; nothing where they meet edge to edge.
    pub lap: Length,
}

/// A floor laid with strips.
#[derive(Clone, Debug, PartialEq)]
pub struct Strips {
    /// The direction in which they run, in the area's plan coordinates.
    pub along: Direction,
    /// Strips side by side.
    pub across: usize,
    /// How they are cut from rolls.
    pub rolls: Bars,
    /// Places where two strips meet, along them and at their ends.
    pub seams: usize,
    /// Length of all seams in mm: what tape there is to be.
    pub seam_mm: f64,
}

/// Why a floor cannot be laid with strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StripsError {
    /// There is no floor.
    #[error("there is no floor")]
    NoFloor,
    /// A strip is no wider or no longer than its lap.
    #[error("a strip must be wider and longer than its lap")]
    Roll,
    /// There would be more than [`MOST_ACROSS`] strips side by side.
    #[error("more than {MOST_ACROSS} strips")]
    TooMany,
    /// A strip cannot be cut from the rolls.
    #[error(transparent)]
    Cut(#[from] BarsError),
}

/// The most strips side by side: a hall of 200 m in strips of 100 mm.
pub const MOST_ACROSS: i64 = 2_000;
/// The most places for the first strip that are compared.
const MOST_STARTS: usize = 60;
/// A seam shorter than this, in nanometres, is where two corners touch: a millimetre.
const LEAST_SEAM: i64 = 1_000_000;

/// Lays a floor with strips that run in one of the directions or square to it.
///
/// # Errors
/// The floor or the roll cannot be laid.
pub fn lay(
    floor: &Region,
    directions: &[Direction],
    roll: Roll,
    grid: Length,
) -> Result<Strips, StripsError> {
    if roll.width <= roll.lap || roll.length <= roll.lap || roll.lap < Length::ZERO {
        return Err(StripsError::Roll);
    }
    let mut tries: Vec<Try> = Vec::new();
    for along in directions.iter().flat_map(|&d| [d, d.clockwise()]) {
        tries.extend(tries_along(floor, along, roll)?);
    }
    let fewest = tries.iter().map(|t| t.seams).min().ok_or(StripsError::NoFloor)?;
    let mut best: Option<Strips> = None;
    for one in tries.into_iter().filter(|t| t.seams == fewest) {
        let rolls = cut_to(&one.pieces, roll.length, Length::ZERO, Length::ZERO, grid)?;
        let Try { along, across, seams, seam_mm, .. } = one;
        let made = Strips { along, across, rolls, seams, seam_mm };
        let key = |s: &Strips| (s.rolls.count(), s.seam_mm);
        if best.as_ref().is_none_or(|b| key(&made) < key(b)) {
            best = Some(made);
        }
    }
    best.ok_or(StripsError::NoFloor)
}

/// A way to lay the floor, before rolls are cut.
struct Try {
    along: Direction,
    across: usize,
    pieces: Vec<Length>,
    seams: usize,
    seam_mm: f64,
}

fn tries_along(floor: &Region, along: Direction, roll: Roll) -> Result<Vec<Try>, StripsError> {
    let turned = FrameField::new(floor, along).region;
    let (lo, hi) = turned.bounds().ok_or(StripsError::NoFloor)?;
    let pitch = (roll.width - roll.lap).nanometres();
    let span = (hi.y - lo.y - roll.lap.nanometres()).max(1);
    let across = span.div_euclid(pitch) + i64::from(span.rem_euclid(pitch) > 0);
    if across > MOST_ACROSS {
        return Err(StripsError::TooMany);
    }
    // The first strip may begin before the floor by what the last one would stand over.
    let slack = across * pitch - span;
    let corners =
        turned.rings().flat_map(|ring| &ring.points).map(|p| pitch - (p.y - lo.y).rem_euclid(pitch));
    let mut starts: Vec<i64> = corners.chain([0, slack]).filter(|s| (0..=slack).contains(s)).collect();
    starts.sort_unstable();
    starts.dedup();
    starts.truncate(MOST_STARTS);
    let one = |&start: &i64| one_try(&turned, along, roll, lo.y - start, across);
    Ok(starts.iter().map(one).collect())
}

/// The floor in strips of which the first begins at `from`.
fn one_try(turned: &Region, along: Direction, roll: Roll, from: i64, across: i64) -> Try {
    let pitch = (roll.width - roll.lap).nanometres();
    let mut found = Try { along, across: 0, pieces: Vec::new(), seams: 0, seam_mm: 0.0 };
    for n in 0..across {
        let lo = from + n * pitch;
        let hi = lo + roll.width.nanometres();
        let before = found.pieces.len();
        for part in turned.shapes.iter().flat_map(|shape| cut_band(shape, Axis::Y, lo, hi)) {
            let Some((least, most)) = part.outer.bounds().filter(|_| part.doubled_area() > LEAST_PIECE)
            else {
                continue;
            };
            let joins = found.strip(Length::from_nanometres(most.x - least.x), roll);
            found.seams += joins;
            found.seam_mm += joins as f64 * (most.y - least.y) as f64 / 1e6;
        }
        found.across += usize::from(found.pieces.len() > before);
        if n > 0 {
            let stretches = stretches(turned, lo);
            found.seams += stretches.len();
            found.seam_mm += stretches.iter().map(|(a, b)| (b - a) as f64 / 1e6).sum::<f64>();
        }
    }
    found
}

impl Try {
    /// Adds a strip, in parts where it is longer than a roll; in how many places its parts meet.
    fn strip(&mut self, length: Length, roll: Roll) -> usize {
        let (mut rest, mut joins) = (length, 0);
        while rest > roll.length {
            self.pieces.push(roll.length);
            rest = rest - roll.length + roll.lap;
            joins += 1;
        }
        self.pieces.push(rest);
        joins
    }
}

/// The stretches of a line across the floor at `v` that have floor on both sides.
fn stretches(turned: &Region, v: i64) -> Vec<(i64, i64)> {
    let above = crossings(turned, v, |y| y <= v);
    let below = crossings(turned, v, |y| y < v);
    let both = above.iter().flat_map(|&(a, b)| below.iter().map(move |&(c, d)| (a.max(c), b.min(d))));
    both.filter(|(from, to)| to - from > LEAST_SEAM).collect()
}

/// Where a line at `v` runs through the floor; a corner on it belongs to the side that `low` says.
fn crossings(turned: &Region, v: i64, low: impl Fn(i64) -> bool) -> Vec<(i64, i64)> {
    let mut at: Vec<i64> = Vec::new();
    for (a, b) in turned.rings().flat_map(|ring| ring.edges()) {
        if low(a.y) != low(b.y) {
            let wide = i128::from(b.x - a.x) * i128::from(v - a.y);
            at.extend(i64::try_from(i128::from(a.x) + wide.div_euclid(i128::from(b.y - a.y))));
        }
    }
    at.sort_unstable();
    at.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}
