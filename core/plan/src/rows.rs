//! What a choice is worth, without making its plan: the field is cut into rows once for a first row, and for each
//! offset and shift only the tiles that are not whole are cut out.

use crate::ends::Ends;
use crate::hull::Hull;
use crate::lattice::{FrameField, LEAST_PIECE};
use crate::piece::{Cut, classify};
use crate::plan::Rule;
use crate::product::{Offset, Order, Product};
use crate::rules::Rules;
use crate::spots::SpotsIn;
use drylay_geometry::{Axis, Length, Point, Shape, cut_band};

/// A field cut into rows.
#[derive(Debug)]
pub(crate) struct Rows<'a> {
    product: &'a Product,
    least_u: i64,
    strips: Vec<Strip>,
}

/// A connected part of the field inside one row's faces.
#[derive(Debug)]
struct Strip {
    row: i64,
    row_lo: i64,
    lo: Point,
    hi: Point,
    shape: Shape,
    /// Stretches of u in which the strip is as wide as the row and nothing stands in it.
    plain: Vec<(i64, i64)>,
    /// Whether an end of a millimetre or more, at the least and at the greatest u, holds a piece no longer than it.
    ends: (bool, bool),
}

/// Ends this long or longer are told from what counts as no piece once for each strip.
pub(crate) const SURE_END: i64 = 1_000_000;

/// What can be counted of a choice before tiles are shared.
#[derive(Debug)]
pub(crate) struct Tally {
    pub(crate) breaches: usize,
    pub(crate) narrowest: i64,
    pub(crate) whole: usize,
    /// Hulls of the pieces that are no whole tiles, in the order of the plan's pieces.
    pub(crate) cut: Vec<Hull>,
}

impl<'a> Rows<'a> {
    /// Cuts a field; `None` where the first row is empty.
    pub(crate) fn new(product: &'a Product, field: &FrameField, first_row: Length) -> Option<Self> {
        let (least, greatest) = field.region.bounds()?;
        let (pitch, width) = (product.pitch_across().nanometres(), product.width.nanometres());
        let origin = least.y + first_row.nanometres() - width;
        let mut strips = Vec::new();
        let (mut row, mut row_lo) = (0, origin);
        while row_lo < greatest.y {
            for shape in field.region.shapes.iter().flat_map(|s| cut_band(s, Axis::Y, row_lo, row_lo + width))
            {
                let Some((lo, hi)) = shape.outer.bounds() else { continue };
                let plain = plain_stretches(&shape, row_lo, row_lo + width);
                let ends = sure_ends(&shape, lo.x, hi.x);
                strips.push(Strip { row, row_lo, lo, hi, shape, plain, ends });
            }
            row += 1;
            row_lo += pitch;
        }
        let least_u = strips.iter().filter(|s| s.row == 0).map(|s| s.lo.x).min()?;
        Some(Self { product, least_u, strips })
    }

    /// Steps of work that the cutting took.
    pub(crate) fn cost(&self) -> u64 {
        4 * self.strips.len() as u64
    }

    /// Breaches that every offset and shift has: pieces of strips narrower than the rule asks.
    pub(crate) fn least_breaches(&self, rules: Rules) -> usize {
        let narrow = |s: &&Strip| s.hi.y - s.lo.y < rules.least(Rule::Narrow);
        self.strips.iter().filter(narrow).map(|s| self.pieces_of(s)).sum()
    }

    /// How many pieces a strip gives at least. Those parts of it that count as pieces hold all its area but joints
    /// and parts of up to 1 mm².
    fn pieces_of(&self, s: &Strip) -> usize {
        let (length, joint) = (self.product.length.nanometres(), self.product.joint.nanometres());
        let height = i128::from(s.hi.y - s.lo.y);
        let columns = i128::from((s.hi.x - s.lo.x) / (length + joint) + 2);
        let lost = columns * (2 * i128::from(joint) * height + 2 * LEAST_PIECE);
        let largest = (2 * i128::from(length) * height).max(1);
        let area = (s.shape.doubled_area() - lost).max(0);
        usize::try_from((area + largest - 1) / largest).unwrap_or(0)
    }

    /// The widest that the narrowest piece can be with any offset and shift: a strip's pieces are no wider than it.
    pub(crate) fn most_narrowest(&self) -> i64 {
        self.strips
            .iter()
            .filter(|s| self.pieces_of(s) > 0)
            .map(|s| s.hi.y - s.lo.y)
            .min()
            .unwrap_or(i64::MAX)
    }

    /// Where rows begin and end for one offset, to be judged without cutting anything.
    pub(crate) fn ends(&self, offset: Offset, order: Order) -> Ends {
        let mut ends = Ends::new(self.product);
        for strip in &self.strips {
            let moved = self.least_u + offset.of_row(strip.row, self.product.pitch_along(), order);
            let run = strip.hi.x - strip.lo.x;
            if strip.ends.0 {
                ends.start(strip.lo.x - moved, run);
            }
            if strip.ends.1 {
                ends.end(strip.hi.x - moved, run);
            }
        }
        ends
    }

    /// How many pieces of a choice are cut shorter than wished where it is seen, and the steps of work it took.
    pub(crate) fn short_cuts(
        &self,
        offset: Offset,
        order: Order,
        shift: Length,
        spots: &SpotsIn,
    ) -> (usize, u64) {
        let (length, pitch) = (self.product.length.nanometres(), self.product.pitch_along().nanometres());
        let origin = self.least_u + shift.nanometres() - length;
        let (mut count, mut effort) = (0, 1);
        for (s, lo, hi) in spots.bounds() {
            for strip in self.strips.iter().filter(|strip| strip.lo.y < hi.y && lo.y < strip.hi.y) {
                let first = origin + offset.of_row(strip.row, self.product.pitch_along(), order);
                let mut u = first + (lo.x.max(strip.lo.x) - first).div_euclid(pitch) * pitch;
                while u < hi.x.min(strip.hi.x) {
                    if !strip.plain.iter().any(|&(a, b)| a <= u && u + length <= b) {
                        let pieces = cut_band(&strip.shape, Axis::X, u, u + length);
                        let real = pieces.iter().filter(|piece| piece.doubled_area() > LEAST_PIECE);
                        count += real.filter(|piece| spots.is_short(s, piece)).count();
                        effort += 3;
                    }
                    u += pitch;
                }
            }
        }
        (count, effort)
    }

    /// Counts a choice; `None` for no pieces or more breaches than are worth counting.
    pub(crate) fn tally(
        &self,
        offset: Offset,
        order: Order,
        shift: Length,
        rules: Rules,
        most: usize,
    ) -> Option<Tally> {
        let (length, pitch) = (self.product.length, self.product.pitch_along());
        let origin = self.least_u + shift.nanometres() - length.nanometres();
        let mut tally = Tally { breaches: 0, narrowest: i64::MAX, whole: 0, cut: Vec::new() };
        for strips in self.strips.chunk_by(|a, b| a.row == b.row) {
            let mut cut: Vec<(i64, Shape)> = Vec::new();
            for strip in strips {
                let first = origin + offset.of_row(strip.row, pitch, order);
                let mut column = (strip.lo.x - first).div_euclid(pitch.nanometres());
                while first + column * pitch.nanometres() < strip.hi.x {
                    let u = first + column * pitch.nanometres();
                    if strip.plain.iter().any(|&(a, b)| a <= u && u + length.nanometres() <= b) {
                        tally.count(length.nanometres(), self.product.width.nanometres(), rules);
                        tally.whole += 1;
                    } else {
                        self.cut_out(strip, u, column, &mut cut, &mut tally, rules);
                    }
                    column += 1;
                }
                if tally.breaches > most {
                    return None;
                }
            }
            cut.sort_by(|a, b| (a.0, &a.1.outer.points).cmp(&(b.0, &b.1.outer.points)));
            tally.cut.extend(cut.into_iter().map(|(_, on_tile)| Hull::of(on_tile.outer.points)));
        }
        (tally.narrowest < i64::MAX).then_some(tally)
    }

    fn cut_out(
        &self,
        strip: &Strip,
        u: i64,
        column: i64,
        cut: &mut Vec<(i64, Shape)>,
        tally: &mut Tally,
        rules: Rules,
    ) {
        for shape in cut_band(&strip.shape, Axis::X, u, u + self.product.length.nanometres()) {
            let Some((lo, hi)) = shape.outer.bounds().filter(|_| shape.doubled_area() > LEAST_PIECE) else {
                continue;
            };
            tally.count(hi.x - lo.x, hi.y - lo.y, rules);
            let on_tile = shape.map(|p| Point { x: p.x - u, y: p.y - strip.row_lo });
            if classify(&on_tile, self.product.length, self.product.width) == Cut::Whole {
                tally.whole += 1;
            } else {
                cut.push((column, on_tile));
            }
        }
    }
}

impl Tally {
    fn count(&mut self, length: i64, width: i64, rules: Rules) {
        self.breaches += rules.broken(length, width);
        self.narrowest = self.narrowest.min(length).min(width);
    }
}

/// Whether the last millimetre of a strip, at its least and at its greatest u, holds a part that counts as a
/// piece: then every longer end does too.
fn sure_ends(strip: &Shape, lo: i64, hi: i64) -> (bool, bool) {
    let holds = |from: i64, to: i64| {
        cut_band(strip, Axis::X, from, to).iter().any(|s| s.doubled_area() > LEAST_PIECE)
    };
    (holds(lo, lo + SURE_END), holds(hi - SURE_END, hi))
}

/// Between two neighbouring corners the strip is plain if just two edges run there, along the row's two faces.
pub(crate) fn plain_stretches(strip: &Shape, lo: i64, hi: i64) -> Vec<(i64, i64)> {
    let mut at: Vec<i64> = strip.rings().flat_map(|r| r.points.iter().map(|p| p.x)).collect();
    at.sort_unstable();
    at.dedup();
    let plain = |a: i64, b: i64| {
        let over = |&(p, q): &(Point, Point)| p.x.min(q.x) <= a && p.x.max(q.x) >= b;
        let edges: Vec<(Point, Point)> = strip.rings().flat_map(|r| r.edges()).filter(over).collect();
        let along = |v: i64| edges.iter().any(|(p, q)| p.y == v && q.y == v);
        edges.len() == 2 && along(lo) && along(hi)
    };
    at.windows(2).filter(|w| plain(w[0], w[1])).map(|w| (w[0], w[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::{Direction, Region, Ring};

    /// A bound on breaches counts no piece that a joint may swallow: with joints of 10 mm a strip 10 mm long and 20 mm
    /// wide can lie in one altogether, of one 30 mm long something is left wherever the joints are.
    #[test]
    fn what_a_joint_may_swallow_is_no_narrow_piece() {
        let mm = Length::from_mm;
        let tile = Product {
            id: "tile".into(),
            length: mm(600),
            width: mm(300),
            joint: mm(10),
            edge_gap: mm(0),
            kerf: mm(2),
            interlock: false,
            offsets: vec![Offset { num: 0, den: 1 }],
            min_row_width: mm(50),
            min_end_length: mm(50),
            max_run: None,
            carton_tiles: None,
        };
        let breaches = |length: i64| {
            let corners = [(0, 0), (length, 0), (length, 20), (0, 20)];
            let corners = corners.map(|(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 });
            let region = Region::from_rings(&[Ring::new(corners.to_vec())]);
            let field = FrameField::new(&region, Direction::RIGHT);
            let rows = Rows::new(&tile, &field, mm(20)).expect("a row");
            rows.least_breaches(Rules::new(&tile, Length::ZERO))
        };
        assert_eq!((breaches(10), breaches(30)), (0, 1));
    }
}
