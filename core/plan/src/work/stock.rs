//! Tiles used and tiles still needed, by how far each piece is.
//!
//! A tile is opened when the first piece of it is cut or laid, or when it breaks. Whatever else comes from it is then
//! cut from what is left. A piece that was spoilt takes a new tile of its own, whatever offcut may lie about: that is
//! the careful count.

use std::collections::BTreeMap;

/// A piece of the plan, and how far it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PieceWork {
    /// The tile it comes from by the plan.
    pub tile: usize,
    /// Whether it is cut or laid.
    pub done: bool,
    /// How often a tile was broken or spoilt for it.
    pub spoilt: usize,
}

/// Tiles of a plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tiles {
    /// Opened so far, broken ones among them.
    pub used: usize,
    /// Of these, broken or spoilt.
    pub broken: usize,
    /// Still to be opened, if nothing more breaks.
    pub to_go: usize,
}

/// Counts the tiles of a plan.
///
/// ```
/// use drylay_plan::work::stock::{PieceWork, Tiles, tiles};
/// let piece = |tile, done, spoilt| PieceWork { tile, done, spoilt };
/// // Tile 1 gives two pieces and is opened; one whole tile broke in the hand; tile 3 is still in its carton.
/// let found = tiles([piece(1, true, 0), piece(1, false, 0), piece(2, false, 1), piece(3, false, 0)]);
/// assert_eq!(found, Tiles { used: 2, broken: 1, to_go: 2 });
/// ```
pub fn tiles(pieces: impl IntoIterator<Item = PieceWork>) -> Tiles {
    let mut by_tile: BTreeMap<usize, Vec<PieceWork>> = BTreeMap::new();
    for piece in pieces {
        by_tile.entry(piece.tile).or_default().push(piece);
    }
    by_tile.values().fold(Tiles::default(), |sum, pieces| {
        let broken: usize = pieces.iter().map(|piece| piece.spoilt).sum();
        let opened = broken > 0 || pieces.iter().any(|piece| piece.done);
        let anew = pieces.iter().filter(|piece| !piece.done && piece.spoilt > 0).count();
        // When all of it lies, the tile itself and one more for each that was spoilt are used.
        let (used, to_go) = if opened { (1 + broken - anew, anew) } else { (0, 1) };
        // Two pieces of one tile that broke at once were one tile.
        Tiles { used: sum.used + used, broken: sum.broken + broken.min(used), to_go: sum.to_go + to_go }
    })
}

/// What is left in the cartons, against what is still needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stock {
    /// Tiles left.
    pub left: i64,
    /// Tiles still to be opened by the plans.
    pub to_go: usize,
    /// Tiles that are expected to break on the way, at the rate that is reckoned with, rounded up.
    pub expected: usize,
    /// Tiles to be left with the client.
    pub attic: usize,
}

/// How the stock stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reach {
    /// It does not reach even if nothing more breaks.
    Short,
    /// It reaches only if less breaks than is reckoned with.
    Tight,
    /// It reaches for the floor, not for what is to be left with the client.
    NoAttic,
    /// It reaches.
    Enough,
}

impl Stock {
    /// The stock of so many delivered tiles. `breakage` is a share, such as 0.03.
    pub fn new(delivered: usize, tiles: Tiles, besides: usize, breakage: f64, attic: usize) -> Self {
        let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        let left = count(delivered) - count(tiles.used) - count(besides);
        // No number of tiles comes near what a float cannot hold.
        let expected = (tiles.to_go as f64 * breakage.max(0.0) - 1e-9).ceil().max(0.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
        Self { left, to_go: tiles.to_go, expected: expected as usize, attic }
    }

    /// What is over when the floor lies and nothing more has broken; less than nothing where it does not reach.
    pub fn over(&self) -> i64 {
        self.left - i64::try_from(self.to_go).unwrap_or(i64::MAX)
    }

    /// Tiles that are missing of all that is wanted; nought where it reaches.
    pub fn missing(&self) -> usize {
        let wanted = i64::try_from(self.expected + self.attic).unwrap_or(i64::MAX);
        usize::try_from(wanted - self.over()).unwrap_or(0)
    }

    /// How it stands.
    pub fn reach(&self) -> Reach {
        let over = self.over();
        let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        if over < 0 {
            Reach::Short
        } else if over < count(self.expected) {
            Reach::Tight
        } else if over < count(self.expected + self.attic) {
            Reach::NoAttic
        } else {
            Reach::Enough
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(tile: usize, done: bool, spoilt: usize) -> PieceWork {
        PieceWork { tile, done, spoilt }
    }

    #[test]
    fn used_and_to_go_always_come_to_the_plans_tiles_and_what_was_broken() {
        // Every state of two pieces of one tile, and of a piece with a tile of its own.
        for a in 0..4 {
            for b in 0..4 {
                for c in 0..4 {
                    let one = |n: usize, tile| piece(tile, n % 2 == 1, n / 2);
                    let found = tiles([one(a, 1), one(b, 1), one(c, 2)]);
                    let broken = a / 2 + b / 2 + c / 2;
                    assert_eq!(found.used + found.to_go, 2 + broken, "{a} {b} {c}: {found:?}");
                    let pieces = broken - found.broken;
                    assert!(found.used >= found.broken, "what is broken was opened");
                    assert!(pieces == 0 || (a / 2 > 0 && b / 2 > 0), "{a} {b} {c}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn a_tile_that_breaks_with_two_pieces_in_it_is_one_broken_tile() {
        let both = [piece(1, false, 1), piece(1, false, 1), piece(2, true, 0)];
        // Each of the two may need a tile of its own: that is the careful count.
        assert_eq!(tiles(both), Tiles { used: 2, broken: 1, to_go: 2 });
    }

    #[test]
    fn stock_is_told_while_there_is_time_to_order() {
        let at_work = Tiles { used: 40, broken: 2, to_go: 60 };
        let of = |delivered, attic| Stock::new(delivered, at_work, 1, 0.05, attic);
        // 105 delivered, 40 opened, 1 broken besides: 64 left for 60; 3 of the 60 will break.
        assert_eq!((of(105, 0).left, of(105, 0).expected, of(105, 0).over()), (64, 3, 4));
        assert_eq!(of(105, 0).reach(), Reach::Enough);
        assert_eq!((of(105, 5).reach(), of(105, 5).missing()), (Reach::NoAttic, 4));
        assert_eq!((of(102, 0).reach(), of(102, 0).missing()), (Reach::Tight, 2));
        assert_eq!((of(100, 0).reach(), of(100, 0).missing()), (Reach::Short, 4));
        assert_eq!(of(0, 0).left, -41, "nothing was written down as delivered");
    }
}
