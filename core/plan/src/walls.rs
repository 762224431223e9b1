//! Edges of the field that run along the rows: how narrow the pieces beside them are for a first row, whatever the
//! offset and the shift, without cutting anything.
//!
//! A tile that lies wholly within such an edge's stretch of u has a piece between the edge and the far side of its
//! row, as wide as the edge is away from there. Only edges with a millimetre of free floor all along them are
//! used, so that the piece is sure to be one.

use crate::lattice::FrameField;
use crate::plan::Rule;
use crate::product::Product;
use crate::rules::Rules;
use drylay_geometry::{Length, Point};

/// What must be free beside an edge, in nanometres.
const FREE: i64 = 1_000_000;
/// The least width in nanometres that a piece is sure to have.
const SURE: i64 = 100_000;

/// An edge along the rows.
#[derive(Debug)]
struct Wall {
    /// Its least and greatest v.
    v: (i64, i64),
    /// Whether the floor is at greater v.
    floor_above: bool,
    /// How many tiles lie wholly along it at least.
    tiles: usize,
}

/// The edges along the rows of one direction.
#[derive(Debug)]
pub(crate) struct Walls {
    walls: Vec<Wall>,
    least_v: i64,
    width: i64,
    pitch: i64,
}

impl Walls {
    pub(crate) fn new(product: &Product, field: &FrameField) -> Self {
        let (length, pitch) = (product.length.nanometres(), product.pitch_along().nanometres());
        let edges: Vec<(Point, Point)> = field.region.rings().flat_map(|r| r.edges()).collect();
        let wall = |&(a, b): &(Point, Point)| {
            let tiles = ((b.x - a.x).abs() - length).div_euclid(pitch);
            // The floor is on the right of an edge as one walks along it, which is greater v where u grows.
            let made = Wall {
                v: (a.y.min(b.y), a.y.max(b.y)),
                floor_above: b.x > a.x,
                tiles: usize::try_from(tiles).ok()?,
            };
            (tiles > 0 && made.is_free((a, b), &edges)).then_some(made)
        };
        Self {
            walls: edges.iter().filter_map(wall).collect(),
            least_v: field.region.bounds().map_or(0, |b| b.0.y),
            width: product.width.nanometres(),
            pitch: product.pitch_across().nanometres(),
        }
    }

    /// Breaches by narrow pieces that every offset and shift has with this first row, and the widest that the
    /// narrowest piece can be.
    pub(crate) fn judge(&self, first_row: Length, rules: Rules) -> (usize, i64) {
        let far_side = self.least_v + first_row.nanometres();
        let (mut above, mut below, mut widest) = (0, 0, i64::MAX);
        for wall in &self.walls {
            let slope = wall.v.1 - wall.v.0;
            let beyond = if wall.floor_above {
                (far_side - wall.v.1).rem_euclid(self.pitch)
            } else {
                (wall.v.0 - (far_side - self.width)).rem_euclid(self.pitch)
            };
            if beyond < SURE || beyond + slope >= self.width {
                continue;
            }
            widest = widest.min(beyond + slope);
            if beyond + slope < rules.least(Rule::Narrow) {
                *(if wall.floor_above { &mut above } else { &mut below }) += wall.tiles;
            }
        }
        // A piece between two walls is seen from both, so that the two must not be added up.
        (above.max(below), widest)
    }
}

impl Wall {
    /// Whether nothing else of the boundary comes near to the side of it where the floor is.
    fn is_free(&self, (a, b): (Point, Point), edges: &[(Point, Point)]) -> bool {
        let (from, to) = (a.x.min(b.x), a.x.max(b.x));
        let (lo, hi) =
            if self.floor_above { (self.v.0, self.v.1 + FREE) } else { (self.v.0 - FREE, self.v.1) };
        edges.iter().filter(|&&e| e != (a, b)).all(|(p, q)| {
            let beside = p.x.min(q.x) >= to || p.x.max(q.x) <= from;
            beside || p.y.min(q.y) > hi || p.y.max(q.y) < lo
        })
    }
}
