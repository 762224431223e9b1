//! The last tile of a row, by its measured gap.

use crate::product::Product;
use drylay_geometry::Length;

/// What a piece is kept away from a wall: the edge gap and the clearance that is cut off besides. One figure for the
/// helper at the last tile and for the marks of the cut sheet.
pub fn wall_allowance(edge_gap: Length, clearance: Length) -> Length {
    edge_gap + clearance
}

/// The length to cut the last tile to: the measured gap from the last face to the wall, less the joint, less the
/// wall allowance, rounded down to the marking-out grid so that the piece goes in. `None` where nothing is left.
///
/// Common practice: both allowances are taken off the measured distance; they are the product's.
///
/// ```
/// use drylay_geometry::Length;
/// let inch = |sixteenths: i64| Length::from_sixty_fourths(4 * sixteenths);
/// // 10 1/4 in measured, less 1/8 in joint, less 3/8 in at the wall: 9 3/4 in.
/// let cut = drylay_plan::last_tile::cut_to(inch(164), inch(2), inch(6), inch(1));
/// assert_eq!(cut, Some(inch(156)));
/// ```
pub fn cut_to(gap: Length, joint: Length, wall_allowance: Length, grid: Length) -> Option<Length> {
    let cut = (gap - joint - wall_allowance).round_down_to(grid);
    (cut > Length::ZERO).then_some(cut)
}

/// The last tile of a row by its two measured gaps, along the edge facing row 1 and along the one away from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LastTile {
    /// What to mark along the edge facing row 1.
    pub low: Length,
    /// What to mark along the other.
    pub high: Length,
    /// Whether the tile is longer than the gap asks at both ends, so that it is cut at all.
    pub is_cut: bool,
    /// Whether the gap is more than one tile fills.
    pub too_long: bool,
}

/// What to cut the last tile of a row to; `None` where nothing is left.
pub fn last_tile(
    product: &Product,
    allowance: Length,
    (low, high): (Length, Length),
    grid: Length,
) -> Option<LastTile> {
    let cut = |gap: Length| cut_to(gap, product.joint, allowance, grid);
    let (low, high) = (cut(low)?, cut(high)?);
    let longest = low.max(high);
    let too_long = longest > product.length + grid;
    Some(LastTile { low, high, is_cut: low.min(high) < product.length, too_long })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: measured gap less 1/8 in joint less 3/8 in at the wall.
    #[test]
    fn allowances_are_taken_off_and_the_piece_goes_in() {
        let inch = |sixteenths: i64| Length::from_sixty_fourths(4 * sixteenths);
        let allowance = wall_allowance(inch(4), inch(2));
        assert_eq!(allowance, inch(6));
        // 14 5/8 in and a little more: 14 1/8, never 14 3/16.
        let gap = inch(234) + Length::from_sixty_fourths(3);
        assert_eq!(cut_to(gap, inch(2), allowance, inch(1)), Some(inch(226)));
        assert_eq!(cut_to(inch(8), inch(2), allowance, inch(1)), None);
    }

    /// A tile of 600 with a joint of 3 and 8 at the wall fills a gap of 611; a millimeter more is a step of the marking-out
    /// grid and hides in the joint, two are more than one tile fills.
    #[test]
    fn a_gap_is_too_long_from_a_step_beyond_the_tile() {
        let mm = Length::from_mm;
        let product = Product {
            id: "tile".into(),
            length: mm(600),
            width: mm(300),
            joint: mm(3),
            edge_gap: mm(6),
            kerf: mm(2),
            interlock: true,
            offsets: Vec::new(),
            min_row_width: Length::ZERO,
            min_end_length: Length::ZERO,
            max_run: None,
            carton_tiles: None,
        };
        let of = |low: i64, high: i64| {
            let found = last_tile(&product, mm(8), (mm(low), mm(high)), mm(1)).expect("something is left");
            (found.is_cut, found.too_long)
        };
        assert_eq!(
            [of(611, 611), of(612, 611), of(613, 611)],
            [(false, false), (false, false), (false, true)]
        );
        assert_eq!([of(610, 611), of(400, 613)], [(true, false), (true, true)]);
    }
}
