//! Where to mark a tile so that the piece goes in.
//!
//! Every corner of the piece that is no corner of the tile is marked by its distance from the tile's edges that the
//! piece touches. Cuts are first moved into the piece by the clearance; then each figure is rounded so that
//! the cut moves further in, never out: down where the distance is kept, up where it is cut away.

use crate::piece::Piece;
use crate::product::Product;
use drylay_geometry::{Length, Point, Ring, Shape};

/// A figure to mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark {
    /// Where on the tile: along which of its edges, or inside.
    pub on: On,
    /// From which edge it is measured, square to it.
    pub from: From,
    /// What is marked: rounded to the looser side.
    pub figure: Length,
    /// What it would be if nothing were rounded.
    pub exact: Length,
}

/// Where on a tile a mark is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// Along the edge facing row 1.
    RowLow,
    /// Along the edge away from row 1.
    RowHigh,
    /// Along the edge facing the row's start.
    Start,
    /// Along the edge facing its end.
    End,
    /// On the face, where two figures meet.
    Inside,
}

/// The edge that a figure is measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// The edge facing the row's start.
    Start,
    /// The edge facing its end.
    End,
    /// The edge facing row 1.
    Low,
    /// The edge away from row 1.
    High,
}

/// How near to an edge, in nanometres, a point counts as on it.
const ON_EDGE: i64 = 1_000;

/// What to mark for a piece, on a grid of whole millimetres or sixteenths; nothing for a whole tile, or for a
/// piece of which the clearance leaves nothing.
pub fn mark_out(product: &Product, clearance: Length, piece: &Piece, grid: Length) -> Vec<Mark> {
    let tile = Tile::of(product);
    let planned = &piece.on_tile.outer.points;
    let Some((lo, _)) = piece.on_tile.outer.bounds() else { return Vec::new() };
    let Some(points) = tile.eased(planned, clearance) else { return Vec::new() };
    let (from_start, from_low) = (near(lo.x, 0), near(lo.y, 0));
    let mark = |on: On, from: From, nm: i64, kept: bool| {
        let exact = Length::from_nanometres(nm.max(0));
        let figure = if kept { exact.round_down_to(grid) } else { exact.round_up_to(grid) };
        Mark { on, from, figure, exact }
    };
    let length = |on: On, q: Point, kept_below: bool| {
        let (nm, from) = if from_start { (q.x, From::Start) } else { (tile.length - q.x, From::End) };
        mark(on, from, nm, kept_below == from_start)
    };
    let width = |on: On, q: Point, kept_below: bool| {
        let (nm, from) = if from_low { (q.y, From::Low) } else { (tile.width - q.y, From::High) };
        mark(on, from, nm, kept_below == from_low)
    };
    let mut marks = Vec::new();
    for (i, (&was, &q)) in planned.iter().zip(&points).enumerate() {
        let (along_kept_below, across_kept_below) = tile.kept_below(planned, i);
        let at_end = near(was.x, 0) || near(was.x, tile.length);
        let at_side = near(was.y, 0) || near(was.y, tile.width);
        match (at_end, at_side) {
            (true, true) => {}
            (false, true) => {
                marks.push(length(
                    if near(was.y, 0) { On::RowLow } else { On::RowHigh },
                    q,
                    along_kept_below,
                ));
            }
            (true, false) => {
                marks.push(width(if near(was.x, 0) { On::Start } else { On::End }, q, across_kept_below));
            }
            (false, false) => {
                marks.push(length(On::Inside, q, along_kept_below));
                marks.push(width(On::Inside, q, across_kept_below));
            }
        }
    }
    marks
}

/// Length and width of what is cut: the piece's extents, less the clearance where it is cut, rounded down.
pub fn cut_size(product: &Product, clearance: Length, piece: &Piece, grid: Length) -> (Length, Length) {
    let points = Tile::of(product).eased(&piece.on_tile.outer.points, clearance).unwrap_or_default();
    let extent = |of: fn(&Point) -> i64| {
        let (lo, hi) = (points.iter().map(of).min(), points.iter().map(of).max());
        Length::from_nanometres(hi.unwrap_or(0) - lo.unwrap_or(0)).round_down_to(grid)
    };
    (extent(|p| p.x), extent(|p| p.y))
}

/// The piece as it is cut: with every cut moved in by the clearance, before figures are rounded.
pub fn cut_shape(product: &Product, clearance: Length, piece: &Piece) -> Shape {
    let tile = Tile::of(product);
    let eased = |ring: &Ring| Ring { points: tile.eased(&ring.points, clearance).unwrap_or_default() };
    Shape { outer: eased(&piece.on_tile.outer), holes: piece.on_tile.holes.iter().map(eased).collect() }
}

fn near(x: i64, edge: i64) -> bool {
    (x - edge).abs() <= ON_EDGE
}

/// The tile's face in nanometres.
struct Tile {
    length: i64,
    width: i64,
}

/// A line: a point of it and its direction.
type Line = ((f64, f64), (f64, f64));

impl Tile {
    fn of(product: &Product) -> Self {
        Self { length: product.length.nanometres(), width: product.width.nanometres() }
    }

    fn is_edge(&self, a: Point, b: Point) -> bool {
        let both = |f: fn(Point) -> i64, edge: i64| near(f(a), edge) && near(f(b), edge);
        both(|p| p.x, 0) || both(|p| p.x, self.length) || both(|p| p.y, 0) || both(|p| p.y, self.width)
    }

    /// Whether the piece lies on the side of lesser u, and on that of lesser v, of the cuts that meet in a corner.
    /// The ring runs clockwise on the page, so the piece is clockwise of each edge: at (−dv, du).
    fn kept_below(&self, points: &[Point], i: usize) -> (bool, bool) {
        let n = points.len();
        let beside = [(points[(i + n - 1) % n], points[i]), (points[i], points[(i + 1) % n])];
        let cuts = beside.into_iter().filter(|&(a, b)| !self.is_edge(a, b)).map(|(a, b)| b - a);
        let cuts: Vec<_> = cuts.collect();
        let steepest = cuts.iter().max_by_key(|d| d.y.abs()).map_or(0, |d| d.y);
        let flattest = cuts.iter().max_by_key(|d| d.x.abs()).map_or(0, |d| d.x);
        (steepest > 0, flattest < 0)
    }

    /// The corners with every cut moved into the piece by so much; the tile's own edges stay. `None` where nothing, or
    /// not every part, is left.
    fn eased(&self, points: &[Point], by: Length) -> Option<Vec<Point>> {
        let n = points.len();
        if by <= Length::ZERO || n < 3 {
            return Some(points.to_vec());
        }
        let line = |i: usize| -> Line {
            let (a, b) = (points[i % n], points[(i + 1) % n]);
            let d = b - a;
            let move_by = if self.is_edge(a, b) { 0.0 } else { by.nanometres() as f64 / d.norm() };
            let (dx, dy) = (d.x as f64, d.y as f64);
            ((a.x as f64 - dy * move_by, a.y as f64 + dx * move_by), (dx, dy))
        };
        let eased: Vec<Point> =
            (0..n).map(|i| crossing(line(i + n - 1), line(i)).unwrap_or(points[i])).collect();
        // An edge that has turned round was shorter than the clearance takes off.
        let along = |i: usize| (points[(i + 1) % n] - points[i]).dot(eased[(i + 1) % n] - eased[i]) > 0;
        (0..n).all(along).then_some(eased)
    }
}

/// Where two lines cross, rounded to a nanometre; for lines that run on straight, the second's own point.
fn crossing((p, d): Line, (q, e): Line) -> Option<Point> {
    let cross = d.0 * e.1 - d.1 * e.0;
    let scale = ((d.0 * d.0 + d.1 * d.1) * (e.0 * e.0 + e.1 * e.1)).sqrt();
    let (x, y) = if cross.abs() < 1e-6 * scale {
        q
    } else {
        let t = ((q.0 - p.0) * e.1 - (q.1 - p.1) * e.0) / cross;
        (p.0 + t * d.0, p.1 + t * d.1)
    };
    let nm = |v: f64| Length::from_mm_f64(v / 1e6).map(Length::nanometres);
    Some(Point { x: nm(x)?, y: nm(y)? })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piece::Cut;
    use crate::product::Offset;

    fn slab() -> Product {
        Product {
            id: "slab".into(),
            length: Length::from_mm(600),
            width: Length::from_mm(300),
            joint: Length::ZERO,
            edge_gap: Length::ZERO,
            kerf: Length::ZERO,
            interlock: true,
            offsets: vec![Offset { num: 1, den: 3 }],
            min_row_width: Length::ZERO,
            min_end_length: Length::ZERO,
            max_run: None,
            carton_tiles: None,
        }
    }

    fn piece(points: &[(i64, i64)]) -> Piece {
        let ring = Ring::new(points.iter().map(|&(x, y)| Point { x: x * 100_000, y: y * 100_000 }).collect());
        assert_eq!(ring.problems(), []);
        let (lo, hi) = ring.bounds().expect("points");
        let shape = Shape::simple(ring);
        let (length, width) = (Length::from_nanometres(hi.x - lo.x), Length::from_nanometres(hi.y - lo.y));
        Piece { row: 1, place: 1, cut: Cut::Shape, shape: shape.clone(), on_tile: shape, length, width }
    }

    /// The marks of a piece given in tenths of a millimetre, clockwise: where, from which edge, millimetres.
    fn marked(points: &[(i64, i64)]) -> Vec<(On, From, f64)> {
        let marks = mark_out(&slab(), Length::ZERO, &piece(points), Length::from_mm(1));
        marks.into_iter().map(|m| (m.on, m.from, m.figure.mm())).collect()
    }

    /// Rounding leaves a micrometre at most between a point and the tile's edge that it lies on.
    #[test]
    fn a_point_a_micrometre_off_an_edge_is_on_it() {
        assert!([-1_000, 0, 1_000].into_iter().all(|off| near(600_000_000 + off, 600_000_000)));
        assert!(!near(1_001, 0) && !near(-1_001, 0));
    }

    /// A corner on a cut that runs straight on, as walls of two parts leave it, moves in with the cut.
    #[test]
    fn a_cut_in_two_parts_moves_in_whole() {
        let two_parts = [
            [(0, 0), (4000, 0), (4000, 1500), (4000, 3000), (0, 3000)],
            [(0, 0), (6000, 0), (6000, 2000), (3000, 2000), (0, 2000)],
        ];
        for (points, at) in two_parts.into_iter().zip([Point { x: 398, y: 150 }, Point { x: 300, y: 198 }]) {
            let cut = cut_shape(&slab(), Length::from_mm(2), &piece(&points));
            let at = Point { x: at.x * 1_000_000, y: at.y * 1_000_000 };
            assert!(cut.outer.points.contains(&at), "{:?}", cut.outer.points);
        }
    }

    #[test]
    fn nothing_is_cut_of_a_piece_that_the_clearance_uses_up() {
        let sliver = piece(&[(2000, 0), (2010, 0), (2010, 3000), (2000, 3000)]);
        let size = cut_size(&slab(), Length::from_mm(2), &sliver, Length::from_mm(1));
        assert_eq!(size, (Length::ZERO, Length::ZERO));
        assert_eq!(mark_out(&slab(), Length::from_mm(2), &sliver, Length::from_mm(1)), []);
    }

    #[test]
    fn what_is_kept_is_rounded_down() {
        let left = marked(&[(0, 0), (2004, 0), (2006, 3000), (0, 3000)]);
        assert_eq!(left, [(On::RowLow, From::Start, 200.0), (On::RowHigh, From::Start, 200.0)]);
        let right = marked(&[(3996, 0), (6000, 0), (6000, 3000), (3996, 3000)]);
        assert_eq!(right, [(On::RowLow, From::End, 200.0), (On::RowHigh, From::End, 200.0)]);
        let corner = marked(&[(0, 0), (2004, 0), (2004, 1006), (0, 1006)]);
        assert_eq!(
            corner,
            [
                (On::RowLow, From::Start, 200.0),
                (On::Inside, From::Start, 200.0),
                (On::Inside, From::Low, 100.0),
                (On::Start, From::Low, 100.0)
            ]
        );
    }

    #[test]
    fn what_is_cut_away_is_rounded_up() {
        // A notch of 100.4 × 50.4 at the corner of the start and row 1.
        let notch = marked(&[(1004, 0), (6000, 0), (6000, 3000), (0, 3000), (0, 504), (1004, 504)]);
        assert_eq!(
            notch,
            [
                (On::RowLow, From::Start, 101.0),
                (On::Start, From::Low, 51.0),
                (On::Inside, From::Start, 101.0),
                (On::Inside, From::Low, 51.0)
            ]
        );
        // At the far corner 499.6 along and 249.6 across are kept.
        let far = marked(&[(0, 0), (6000, 0), (6000, 2496), (4996, 2496), (4996, 3000), (0, 3000)]);
        assert_eq!(
            far,
            [
                (On::End, From::Low, 249.0),
                (On::Inside, From::Start, 499.0),
                (On::Inside, From::Low, 249.0),
                (On::RowHigh, From::Start, 499.0)
            ]
        );
        // A notch in the middle of an edge grows on both sides.
        let edge =
            [(0, 0), (2004, 0), (2004, 504), (3004, 504), (3004, 0), (6000, 0), (6000, 3000), (0, 3000)];
        assert_eq!(
            marked(&edge),
            [
                (On::RowLow, From::Start, 200.0),
                (On::Inside, From::Start, 200.0),
                (On::Inside, From::Low, 51.0),
                (On::Inside, From::Start, 301.0),
                (On::Inside, From::Low, 51.0),
                (On::RowLow, From::Start, 301.0),
            ]
        );
    }

    #[test]
    fn cuts_move_in_by_the_clearance_and_the_tiles_edges_stay() {
        let grid = Length::from_nanometres(100_000);
        let rip = piece(&[(0, 0), (6000, 0), (6000, 1000), (0, 1000)]);
        let marks = mark_out(&slab(), Length::from_mm(3), &rip, grid);
        assert!(marks.iter().all(|m| m.from == From::Low && m.exact == Length::from_mm(97)), "{marks:?}");
        assert_eq!(
            cut_size(&slab(), Length::from_mm(3), &rip, grid),
            (Length::from_mm(600), Length::from_mm(97))
        );
        // Of a strip narrower than the clearance nothing is left.
        let sliver = piece(&[(0, 0), (6000, 0), (6000, 20), (0, 20)]);
        assert_eq!(mark_out(&slab(), Length::from_mm(3), &sliver, grid), []);
        // A notch grows by it on both sides.
        let notch = piece(&[(1000, 0), (6000, 0), (6000, 3000), (0, 3000), (0, 500), (1000, 500)]);
        let inside: Vec<f64> = mark_out(&slab(), Length::from_mm(3), &notch, grid)
            .iter()
            .filter(|m| m.on == On::Inside)
            .map(|m| m.figure.mm())
            .collect();
        assert_eq!(inside, [103.0, 53.0]);
    }
}
