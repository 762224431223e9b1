//! What hangs over the floor: along a wall, around what stands in the floor, at an opening's jambs.

use super::Overhang;
use crate::field::{OpeningPlace, moved};
use drylay_geometry::{Direction, Length, Point, Ring, Shape};

impl Overhang {
    /// Along a wall that has the floor to its right, from end to end.
    pub fn along(from: Point, to: Point, depth: Length, height: Length) -> Option<Self> {
        let inward = Direction::of(to - from)?.clockwise();
        let off = |p: Point| moved(p, inward, depth.nanometres() as f64);
        Some(Self { ring: Ring::new(vec![from, to, off(to), off(from)]), height })
    }

    /// Around what stands in the floor, corners included.
    pub fn around(ring: &Ring, depth: Length, height: Length) -> Vec<Self> {
        let outline = Shape::simple(ring.clone()).outer;
        let beside = |(a, b): (Point, Point)| {
            let along = Direction::of(b - a)?;
            let by = depth.nanometres() as f64;
            // The inside lies clockwise of each edge, so the floor is on the left.
            Self::along(moved(b, along, by), moved(a, along, -by), depth, height)
        };
        outline.edges().filter_map(beside).collect()
    }

    /// Under the two jambs of an opening, as deep as the floor goes in.
    pub fn jambs(opening: &OpeningPlace, depth: Length, height: Length) -> Vec<Self> {
        let Some(along) = Direction::of(opening.right - opening.left) else { return Vec::new() };
        let outward = along.clockwise().reversed();
        let out = |p: Point| moved(p, outward, opening.depth.nanometres() as f64);
        // Going out along the left jamb the opening is to the right, coming back along the right one too.
        [(opening.left, out(opening.left)), (out(opening.right), opening.right)]
            .into_iter()
            .filter_map(|(from, to)| Self::along(from, to, depth, height))
            .collect()
    }
}
