//! What is laid: sizes and the rules of the data sheet.

use drylay_geometry::{Length, ProductId};

/// A tile or plank and the rules of its data sheet. Every figure is the product's, none is the program's.
#[derive(Clone, Debug, PartialEq)]
pub struct Product {
    /// Its name in the job.
    pub id: ProductId,
    /// Visible face along the row; more than nothing.
    pub length: Length,
    /// Visible face across the row; more than nothing.
    pub width: Length,
    /// Joint between faces.
    pub joint: Length,
    /// Gap kept along every wall and fixed object.
    pub edge_gap: Length,
    /// Width that a cut turns to dust.
    pub kerf: Length,
    /// Whether tiles lock together and so all lie the same way round; others may be turned by half a turn.
    pub interlock: bool,
    /// Offsets between rows that are allowed.
    pub offsets: Vec<Offset>,
    /// Narrowest piece across the row.
    pub min_row_width: Length,
    /// Shortest piece along the row.
    pub min_end_length: Length,
    /// Longest unbroken run before a movement joint.
    pub max_run: Option<Length>,
    /// Tiles in a carton.
    pub carton_tiles: Option<u32>,
}

impl Product {
    /// From one tile's face to the next along the row.
    pub fn pitch_along(&self) -> Length {
        self.length + self.joint
    }
    /// From one row's face to the next.
    pub fn pitch_across(&self) -> Length {
        self.width + self.joint
    }
    /// The face in square millimetres.
    pub fn face_mm2(&self) -> f64 {
        self.length.mm() * self.width.mm()
    }
    /// Cartons that hold so many tiles; `None` where the carton is not known.
    pub fn cartons(&self, tiles: usize) -> Option<usize> {
        self.carton_tiles.map(|n| tiles.div_ceil(n.max(1) as usize))
    }
}

/// An offset between rows: a part of the pitch along the row, in lowest terms and less than one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Offset {
    /// Numerator; nought for the straight grid.
    pub num: u32,
    /// Denominator, positive.
    pub den: u32,
}

impl Offset {
    /// How far row `n` (from nought) is moved, in nanometres, rounded to the nearest.
    pub fn of_row(self, n: i64, pitch: Length, order: Order) -> i64 {
        let steps = match order {
            Order::Stepped => n,
            Order::Alternating => n.rem_euclid(2),
        };
        let den = i128::from(self.den.max(1));
        let wide = i128::from(steps) * i128::from(self.num) * i128::from(pitch.nanometres());
        i64::try_from((2 * wide + den).div_euclid(2 * den)).unwrap_or(0)
    }
}

impl PartialOrd for Offset {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Offset {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (u64::from(self.num) * u64::from(other.den)).cmp(&(u64::from(other.num) * u64::from(self.den)))
    }
}
impl std::fmt::Display for Offset {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.num == 0 { f.write_str("0") } else { write!(f, "{}/{}", self.num, self.den) }
    }
}

/// How the offset goes on from row to row.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Order {
    /// Each row one offset further.
    #[default]
    Stepped,
    /// Every second row moved by one offset.
    Alternating,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_of_a_pitch_are_rounded_once_and_do_not_drift() {
        let pitch = Length::from_nanometres(1000);
        let third = Offset { num: 1, den: 3 };
        let moved: Vec<i64> = (0..7).map(|n| third.of_row(n, pitch, Order::Stepped)).collect();
        assert_eq!(moved, [0, 333, 667, 1000, 1333, 1667, 2000]);
        assert_eq!(third.of_row(5, pitch, Order::Alternating), 333);
        assert!(third < Offset { num: 1, den: 2 });
    }
}
