//! Pieces: what of each tile is seen, and by which cuts it comes about.

use drylay_geometry::{Length, Point, Shape};

/// A piece: a part of one tile's face that lies in the field.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Its row, from 1.
    pub row: usize,
    /// Its place in the row, from 1, in the direction of u.
    pub place: usize,
    /// What cuts it takes.
    pub cut: Cut,
    /// The exposed face in the lattice's frame.
    pub shape: Shape,
    /// The same in the tile's own frame: u from the edge facing the row's start, v from the edge facing row 1.
    pub on_tile: Shape,
    /// Extent in u on the tile.
    pub length: Length,
    /// Extent in v on the tile.
    pub width: Length,
}

impl Piece {
    /// The name on the plan and on the back of the tile: row and place.
    pub fn name(&self) -> String {
        format!("{}-{}", self.row, self.place)
    }
}

/// What cuts a piece takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cut {
    /// None.
    Whole,
    /// One straight cut across the tile, from one long edge to the other.
    Length,
    /// One straight cut along the tile, from one short edge to the other.
    Rip,
    /// Both: one cut across and one along.
    Corner,
    /// Anything else: notches, mitres, more than two cuts.
    Shape,
}

/// How far, in nanometres, a point may be from a tile's edge and still count as on it. A micrometre is what
/// corners are rounded to; no saw and no eye comes near it.
const ON_EDGE: i64 = 1_000;

/// The four edges of a tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum TileEdge {
    Start,
    End,
    Low,
    High,
}

impl TileEdge {
    fn is_short(self) -> bool {
        matches!(self, Self::Start | Self::End)
    }
    fn holds(self, p: Point, length: i64, width: i64) -> bool {
        let near = |x: i64, edge: i64| (x - edge).abs() <= ON_EDGE;
        match self {
            Self::Start => near(p.x, 0),
            Self::End => near(p.x, length),
            Self::Low => near(p.y, 0),
            Self::High => near(p.y, width),
        }
    }
}

const EDGES: [TileEdge; 4] = [TileEdge::Start, TileEdge::End, TileEdge::Low, TileEdge::High];

/// Whether a side of a piece lies on an edge of the tile.
fn is_edge(a: Point, b: Point, length: i64, width: i64) -> bool {
    EDGES.iter().any(|e| e.holds(a, length, width) && e.holds(b, length, width))
}

/// Length in mm of everything that is cut to make a shape in the tile's own frame.
pub fn cut_mm(on_tile: &Shape, length: Length, width: Length) -> f64 {
    let (l, w) = (length.nanometres(), width.nanometres());
    let cuts = on_tile.rings().flat_map(|ring| ring.edges()).filter(|&(a, b)| !is_edge(a, b, l, w));
    cuts.map(|(a, b)| (b - a).norm() / 1e6).sum()
}

/// What cuts a shape in the tile's own frame takes.
pub fn classify(on_tile: &Shape, length: Length, width: Length) -> Cut {
    let (l, w) = (length.nanometres(), width.nanometres());
    if !on_tile.holes.is_empty() {
        return Cut::Shape;
    }
    let cuts: Vec<(Point, Point)> = on_tile.outer.edges().filter(|&(a, b)| !is_edge(a, b, l, w)).collect();
    let meets = |p: Point, short: bool| EDGES.iter().any(|e| e.is_short() == short && e.holds(p, l, w));
    match cuts[..] {
        [] => Cut::Whole,
        [(a, b)] => {
            let opposite = |one: TileEdge, other: TileEdge| {
                (one.holds(a, l, w) && other.holds(b, l, w)) || (one.holds(b, l, w) && other.holds(a, l, w))
            };
            if opposite(TileEdge::Low, TileEdge::High) {
                Cut::Length
            } else if opposite(TileEdge::Start, TileEdge::End) {
                Cut::Rip
            } else {
                Cut::Shape
            }
        }
        [(a, b), (c, d)] => {
            // The two cuts must meet in a corner of the piece that is no notch.
            let (first, corner, last) = if b == c {
                (a, b, d)
            } else if d == a {
                (c, a, b)
            } else {
                return Cut::Shape;
            };
            let convex = (corner - first).cross(last - corner) > 0;
            let across_and_along =
                (meets(first, false) && meets(last, true)) || (meets(first, true) && meets(last, false));
            if convex && across_and_along { Cut::Corner } else { Cut::Shape }
        }
        _ => Cut::Shape,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::Ring;

    fn class(points: &[(i64, i64)]) -> Cut {
        let ring =
            Ring::new(points.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 }).collect());
        assert_eq!(ring.problems(), []);
        classify(&Shape::simple(ring), Length::from_mm(600), Length::from_mm(300))
    }

    #[test]
    fn cuts_of_a_600_by_300_tile() {
        assert_eq!(class(&[(0, 0), (600, 0), (600, 300), (0, 300)]), Cut::Whole);
        assert_eq!(class(&[(0, 0), (200, 0), (200, 300), (0, 300)]), Cut::Length);
        assert_eq!(class(&[(0, 0), (200, 0), (190, 300), (0, 300)]), Cut::Length, "a wall out of square");
        assert_eq!(class(&[(200, 0), (600, 0), (600, 300), (200, 300)]), Cut::Length);
        assert_eq!(class(&[(0, 0), (600, 0), (600, 100), (0, 100)]), Cut::Rip);
        assert_eq!(class(&[(0, 120), (600, 100), (600, 300), (0, 300)]), Cut::Rip);
        assert_eq!(class(&[(0, 0), (200, 0), (200, 100), (0, 100)]), Cut::Corner);
        assert_eq!(class(&[(200, 100), (600, 100), (600, 300), (200, 300)]), Cut::Corner);
        assert_eq!(
            class(&[(0, 0), (600, 0), (600, 100), (200, 100), (200, 300), (0, 300)]),
            Cut::Shape,
            "a notch"
        );
        assert_eq!(
            class(&[(0, 0), (600, 0), (600, 200), (500, 300), (0, 300)]),
            Cut::Shape,
            "a corner struck off"
        );
        assert_eq!(class(&[(100, 0), (400, 0), (400, 300), (100, 300)]), Cut::Shape, "two cuts across");
        assert_eq!(
            class(&[(0, 0), (600, 0), (0, 300)]),
            Cut::Length,
            "from corner to corner is right across"
        );
    }
}
