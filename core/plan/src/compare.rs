//! Two plans of one field side by side: what differs.

use crate::piece::Cut;
use crate::plan::Plan;
use crate::product::Product;
use crate::spots::{Spot, short_cuts};
use drylay_geometry::Length;
use std::cmp::Ordering;

/// All kinds of cuts, in the order in which they are told.
pub const CUTS: [Cut; 5] = [Cut::Whole, Cut::Length, Cut::Rip, Cut::Corner, Cut::Shape];

/// A figure of both plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Both<T> {
    /// Of the one plan.
    pub one: T,
    /// Of the other.
    pub other: T,
}

impl<T: PartialEq> Both<T> {
    /// Whether the two differ.
    pub fn differ(&self) -> bool {
        self.one != self.other
    }
}

/// What is to be compared of two plans.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Comparison {
    /// Rules broken.
    pub breaches: Both<usize>,
    /// Pieces cut shorter than wished where it is seen; `None` where nothing is wished.
    pub short_cuts: Option<Both<usize>>,
    /// Cartons that hold the tiles; `None` where the carton is not known.
    pub cartons: Option<Both<usize>>,
    /// Least extent of any piece.
    pub narrowest: Both<Length>,
    /// Tiles.
    pub tiles: Both<usize>,
    /// Pieces that are no whole tiles.
    pub cut_pieces: Both<usize>,
    /// Width of row 1.
    pub first_row: Both<Length>,
    /// Width of the last row.
    pub last_row: Both<Length>,
    /// Least extent along the row of any piece.
    pub shortest_end: Both<Length>,
    /// Rows.
    pub rows: Both<usize>,
    /// Pieces by the cuts they take, in the order of [`CUTS`].
    pub by_cut: [Both<usize>; 5],
    /// Which is worth more in the order of worth of the job sheet, without a margin: `Less` for the one.
    pub worth: Ordering,
}

/// Compares two plans of one field and one product; `spots`: where no short cut is wished.
pub fn compare(one: &Plan, other: &Plan, product: &Product, spots: &[Spot]) -> Comparison {
    let measured = |f: fn(&Plan) -> Length| Both { one: f(one), other: f(other) };
    let counted = |f: &dyn Fn(&Plan) -> usize| Both { one: f(one), other: f(other) };
    let of_cut = |cut: Cut| counted(&|p| p.pieces.iter().filter(|piece| piece.cut == cut).count());
    Comparison {
        breaches: counted(&|p| p.breaches.len()),
        short_cuts: (!spots.is_empty()).then(|| counted(&|p| short_cuts_of(p, product, spots))),
        cartons: one.cartons(product).zip(other.cartons(product)).map(|(one, other)| Both { one, other }),
        narrowest: measured(|p| p.measures.narrowest),
        tiles: counted(&|p| p.sharing.tiles),
        cut_pieces: counted(&|p| p.measures.cut_pieces),
        first_row: measured(|p| p.measures.first_row),
        last_row: measured(|p| p.measures.last_row),
        shortest_end: measured(|p| p.measures.shortest_end),
        rows: counted(&|p| p.rows.len()),
        by_cut: CUTS.map(of_cut),
        worth: worth(one, product, spots).cmp(&worth(other, product, spots)),
    }
}

/// What a plan is worth, in order: breaches, short cuts where they are seen, cartons, the narrowest piece (negative),
/// tiles, cut pieces.
pub type Worth = (usize, usize, Option<usize>, Length, usize, usize);

/// The order of worth of the job sheet but for the choice itself; less is better.
pub fn worth(plan: &Plan, product: &Product, spots: &[Spot]) -> Worth {
    let m = &plan.measures;
    let short_cuts = short_cuts_of(plan, product, spots);
    (plan.breaches.len(), short_cuts, plan.cartons(product), -m.narrowest, plan.sharing.tiles, m.cut_pieces)
}

fn short_cuts_of(plan: &Plan, product: &Product, spots: &[Spot]) -> usize {
    short_cuts(spots, product, plan.choice.along.direction, &plan.pieces).len()
}
