//! Searching for the best choice: which direction, offset, first row and shift.
//!
//! Choices are compared by their worth: fewest breaches (limits raised by the margin), fewest short cuts where they
//! are seen (`spots`; nought where none is wished), fewest cartons, widest narrowest piece, fewest tiles, fewest cut
//! pieces, then the choice itself. What a choice is worth is always
//! computed from its pieces, never estimated.
//!
//! One choice is tried at once, so that there is an answer; then a sample of the grid, refined; then every
//! direction and first row, the most promising first, and in it every offset and shift. Bounds, each of which no
//! choice of its kind can beat, say what need not be looked at:
//!
//! - for a direction and an offset, the tiles that the depth of the field asks for (`depth`), before any row is cut;
//! - for a direction and a first row, the breaches by rows narrower than the rule asks, and the widest that the
//!   narrowest piece can be;
//! - for a shift, the ends that are too short, or narrower than the best plan's narrowest piece (`ends`);
//! - for a choice, what its cut pieces need at least, as those that cover one point of the tile need a tile each.
//!
//! When nothing is left the best is proven; when the search is ended before, [`Bound`] says what could still be
//! found. The search tells of itself all along ([`Progress`]) and may be ended at any moment.

mod grid;
mod hunt;
mod queue;

use crate::field::Field;
use crate::lattice::{Along, Choice};
use crate::plan::{Plan, PlanError};
use crate::product::{Offset, Order, Product};
use crate::spots::Spot;
use drylay_geometry::Length;
pub use grid::wall_directions;
use hunt::Hunt;

/// What is fixed and what is left to the search.
#[derive(Clone, Debug)]
pub struct Wish {
    /// The direction, or all walls both ways.
    pub along: Option<Along>,
    /// The offset, or all that the product allows.
    pub offset: Option<Offset>,
    /// How the offset goes on.
    pub order: Order,
    /// The first row, or every one on the grid.
    pub first_row: Option<Length>,
    /// The shift, or every one on the grid.
    pub shift: Option<Length>,
    /// By how much limits are raised when choices are compared.
    pub margin: Length,
    /// The marking-out grid: a millimetre or a sixteenth of an inch.
    pub grid: Length,
    /// Where no short cut is wished.
    pub spots: Vec<Spot>,
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best plan.
    pub best: Plan,
    /// Other plans worth a look, best first, at most one for each direction and offset.
    pub others: Vec<Plan>,
    /// How many choices were tried.
    pub tried: usize,
    /// Whether no choice on the grid is better.
    pub proven: bool,
    /// What no choice on the grid can beat.
    pub bound: Bound,
}

/// What no choice better than the best can beat, each figure for itself; those of the best where it is proven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bound {
    /// At least so many breaches, limits raised by the margin.
    pub breaches: usize,
    /// At least so many tiles.
    pub tiles: usize,
    /// At least so many cartons; `None` where the carton is not known.
    pub cartons: Option<usize>,
}

/// The best choice so far and what it is worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The choice; [`Plan::new`] makes its plan.
    pub choice: Choice,
    /// Its breaches, limits raised by the margin.
    pub breaches: usize,
    /// Pieces that are cut shorter than wished where it is seen.
    pub short_cuts: usize,
    /// Its cartons; `None` where the carton is not known.
    pub cartons: Option<usize>,
    /// Its tiles.
    pub tiles: usize,
    /// The least extent of any of its pieces.
    pub narrowest: Length,
    /// Its pieces that are no whole tiles.
    pub cut_pieces: usize,
}

/// How far a search is.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// The share of the work that is done, 0 to 1; it never falls.
    pub part: f64,
    /// The work done so far, in steps that are the same on every device: about as many microseconds on a desktop
    /// of 2026.
    pub effort: u64,
    /// The best choice so far; `None` only before the first.
    pub best: Option<&'a Standing>,
    /// How often there has been a better one: tells whether `best` is new.
    pub better: usize,
    /// What no better choice can beat.
    pub bound: Bound,
}

/// Searches for the best plan. `go_on` is asked again and again, is told how far the search is, and may end it; one
/// choice is tried in any case.
///
/// # Errors
/// Why no choice can be planned.
pub fn search(
    field: &Field,
    product: &Product,
    wish: &Wish,
    mut go_on: impl FnMut(&Progress<'_>) -> bool,
) -> Result<Found, PlanError> {
    let mut hunt = Hunt::new(field, product, wish)?;
    let complete = hunt.run(&mut go_on);
    hunt.found(complete)
}
