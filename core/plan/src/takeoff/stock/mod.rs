//! Cutting stock in one dimension, exactly: the fewest bars of one length from which all pieces can be cut.
//!
//! The bound comes from the linear programme over cutting patterns (Gilmore and Gomory 1961), solved by generating
//! patterns. Its prices are then rounded down to integers and the best pattern at those prices is found by integer
//! dynamic programming; demand at those prices over that pattern's worth is a bound without any rounding error. A plan
//! is found by diving: patterns of the linear programme are cut one after another, the rest is solved again, and where
//! that leads nowhere the next best pattern is tried. A plan that needs no more bars than the bound is the optimum.
//!
//! Effort is counted in steps, not in time, so that every device finds the same plan.

mod columns;
mod dive;
mod simplex;

use columns::{Need, Pattern};
use drylay_geometry::Length;

/// The longest bar in steps of the marking-out grid: 100 m of millimetres.
pub const MOST_STEPS: u32 = 100_000;

/// The most pieces of one kind of stock.
pub const MOST_PIECES: usize = 20_000;

/// Bars cut into pieces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutPlan {
    /// The bars, those cut the same way together.
    pub bars: Vec<Bars>,
    /// So many bars are needed, whatever the plan.
    pub bound: usize,
}

/// Bars that are cut the same way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bars {
    /// How many.
    pub count: usize,
    /// The pieces cut from each, by their index among the kinds of piece, the longest first.
    pub pieces: Vec<usize>,
}

impl CutPlan {
    /// How many bars it takes.
    pub fn count(&self) -> usize {
        self.bars.iter().map(|b| b.count).sum()
    }

    /// Whether no plan can take fewer.
    pub fn is_proven(&self) -> bool {
        self.count() == self.bound
    }
}

/// Why pieces cannot be cut from bars.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StockError {
    /// A piece is longer than a bar, or has no length.
    #[error("piece {0} does not fit a bar")]
    Piece(usize),
    /// A bar has no length or more than [`MOST_STEPS`].
    #[error("a bar must have 1 to {MOST_STEPS} steps")]
    Bar,
    /// There are more than [`MOST_PIECES`].
    #[error("more than {MOST_PIECES} pieces")]
    TooMany,
}

/// The fewest bars `bar` steps long for `pieces`, each kind a length in steps and how often it is needed.
///
/// # Errors
/// A piece that does not fit, or more than can be handled.
pub fn cut_steps(bar: u32, pieces: &[(u32, usize)]) -> Result<CutPlan, StockError> {
    if bar == 0 || bar > MOST_STEPS {
        return Err(StockError::Bar);
    }
    if let Some(wrong) = pieces.iter().position(|&(length, n)| n > 0 && (length == 0 || length > bar)) {
        return Err(StockError::Piece(wrong));
    }
    if pieces.iter().map(|p| p.1).fold(0_usize, usize::saturating_add) > MOST_PIECES {
        return Err(StockError::TooMany);
    }
    let need = Need::of(bar, pieces);
    let (patterns, bound) = dive::solve(&need);
    Ok(CutPlan { bars: gathered(&need, patterns), bound })
}

/// The fewest bars for pieces with a kerf between them. Pieces are rounded up and the bar down to `grid`, so the plan
/// can be marked out on it.
///
/// # Errors
/// As [`cut_steps`]; piece indices are those of `pieces`.
pub fn cut(
    bar: Length,
    kerf: Length,
    grid: Length,
    pieces: &[(Length, usize)],
) -> Result<CutPlan, StockError> {
    // A piece takes its length and a kerf, the bar's last piece needs none: as if the bar were a kerf longer. Each is
    // brought to the grid by itself, so that a piece as long as the bar fits it whatever the kerf.
    let steps = |l: Length| u32::try_from(l.nanometres() / grid.nanometres().max(1)).ok();
    let kerf = kerf.round_up_to(grid);
    let up = |l: Length| steps(l.round_up_to(grid) + kerf);
    let bar = steps(bar.round_down_to(grid) + kerf).ok_or(StockError::Bar)?;
    let sized: Result<Vec<(u32, usize)>, StockError> = pieces
        .iter()
        .enumerate()
        .map(|(i, &(l, n))| Ok((up(l).filter(|_| l > Length::ZERO).ok_or(StockError::Piece(i))?, n)))
        .collect();
    cut_steps(bar, &sized?)
}

fn gathered(need: &Need, mut patterns: Vec<Pattern>) -> Vec<Bars> {
    patterns.sort_by(|a, b| b.cmp(a));
    let mut bars: Vec<Bars> = Vec::new();
    for pattern in &patterns {
        let pieces = need.pieces_of(pattern);
        match bars.last_mut() {
            Some(last) if last.pieces == pieces => last.count += 1,
            _ => bars.push(Bars { count: 1, pieces }),
        }
    }
    bars
}
