//! What the product's rules ask of a piece's extent on its tile, and when a piece falls short of it.

use crate::plan::Rule;
use crate::product::Product;
use drylay_geometry::Length;

/// By how much, in nanometres, an extent may fall short of a rule without breaking it. Corners of rooms are
/// rounded to a micrometre and turned into the frame of the rows, so that a piece meant to be as wide as the rule
/// asks may come out a nanometre narrower; no saw and no eye comes near a micrometre.
pub(crate) const TOLERANCE: i64 = 1_000;

/// The limits of a product, raised by a margin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rules {
    width: Length,
    length: Length,
}

impl Rules {
    /// The limits, raised by a margin where the product has them, at most what a whole tile has.
    pub(crate) fn new(product: &Product, margin: Length) -> Self {
        let raised = |limit: Length| if limit > Length::ZERO { limit + margin } else { limit };
        Self {
            width: raised(product.min_row_width).min(product.width),
            length: raised(product.min_end_length).min(product.length),
        }
    }

    /// The least extent that is asked.
    pub(crate) fn limit(self, rule: Rule) -> Length {
        if rule == Rule::Narrow { self.width } else { self.length }
    }

    /// Extents in nanometres below this break the rule.
    pub(crate) fn least(self, rule: Rule) -> i64 {
        self.limit(rule).nanometres() - TOLERANCE
    }

    /// How many rules a piece of this extent breaks.
    pub(crate) fn broken(self, length: i64, width: i64) -> usize {
        usize::from(width < self.least(Rule::Narrow)) + usize::from(length < self.least(Rule::Short))
    }
}
