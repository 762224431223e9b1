//! Which pieces meet at a joint, and with which sides.

use super::{Engagement, Side};
use crate::piece::Piece;
use crate::plan::Plan;
use crate::product::Product;
use drylay_geometry::Point;

/// Sides that face each other over less than this, in nanometres, do not lock.
const LEAST_CONTACT: i64 = 1_000_000;
/// How far, in nanometres, a point may be from a tile's edge and still count as on it.
const ON_EDGE: i64 = 1_000;

/// What of a piece's outline lies on its tile's own sides, as stretches in the lattice's frame.
struct Sides {
    tile: Point,
    low: Vec<(i64, i64)>,
    high: Vec<(i64, i64)>,
    start: Vec<(i64, i64)>,
    end: Vec<(i64, i64)>,
}

/// The corner of least u and v of a piece's tile, in the lattice's frame.
pub(super) fn tile_of(piece: &Piece) -> Point {
    match (piece.shape.outer.points.first(), piece.on_tile.outer.points.first()) {
        (Some(at), Some(on)) => Point { x: at.x - on.x, y: at.y - on.y },
        _ => Point::ORIGIN,
    }
}

impl Sides {
    fn of(piece: &Piece, product: &Product) -> Self {
        let (length, width) = (product.length.nanometres(), product.width.nanometres());
        let tile = tile_of(piece);
        let mut sides = Self { tile, low: vec![], high: vec![], start: vec![], end: vec![] };
        for (a, b) in piece.on_tile.rings().flat_map(|r| r.edges()) {
            let on = |f: fn(Point) -> i64, edge: i64| {
                (f(a) - edge).abs() <= ON_EDGE && (f(b) - edge).abs() <= ON_EDGE
            };
            let along = (tile.x + a.x.min(b.x), tile.x + a.x.max(b.x));
            let across = (tile.y + a.y.min(b.y), tile.y + a.y.max(b.y));
            if on(|p| p.y, 0) {
                sides.low.push(along);
            } else if on(|p| p.y, width) {
                sides.high.push(along);
            } else if on(|p| p.x, 0) {
                sides.start.push(across);
            } else if on(|p| p.x, length) {
                sides.end.push(across);
            }
        }
        sides
    }
}

fn meet(a: &[(i64, i64)], b: &[(i64, i64)]) -> bool {
    a.iter().any(|p| b.iter().any(|q| p.1.min(q.1) - p.0.max(q.0) > LEAST_CONTACT))
}

/// Which pieces meet.
pub(super) struct Contacts {
    /// For each piece those it meets, and with which of its own sides.
    of: Vec<Vec<(usize, Side)>>,
}

impl Contacts {
    pub(super) fn of(plan: &Plan, product: &Product) -> Self {
        let sides: Vec<Sides> = plan.pieces.iter().map(|p| Sides::of(p, product)).collect();
        let mut of = vec![Vec::new(); sides.len()];
        let mut join = |first: usize, second: usize, side: Side| {
            of[first].push((second, side));
            of[second].push((first, side.opposite()));
        };
        let pitch = product.pitch_along().nanometres();
        let mut before = 0..0;
        let mut from = 0;
        for row in plan.pieces.chunk_by(|a, b| a.row == b.row) {
            let here = from..from + row.len();
            for i in here.clone() {
                let next_to = |k: &usize| (sides[*k].tile.x - sides[i].tile.x - pitch).abs() <= ON_EDGE;
                for k in here.clone().filter(next_to) {
                    if meet(&sides[i].end, &sides[k].start) {
                        join(i, k, Side::End);
                    }
                }
                let follows = |k: &usize| plan.pieces[*k].row + 1 == plan.pieces[i].row;
                for k in before.clone().filter(follows) {
                    if meet(&sides[k].high, &sides[i].low) {
                        join(k, i, Side::High);
                    }
                }
            }
            from = here.end;
            before = here;
        }
        Self { of }
    }

    /// The pieces that must lie before this one, and the sides of it that engage them.
    pub(super) fn before(&self, piece: usize, engagement: &Engagement) -> Vec<(usize, Side)> {
        let tongue = |side: Side| side == engagement.long_tongue || side == engagement.short_tongue;
        let mut before: Vec<(usize, Side)> =
            self.of[piece].iter().copied().filter(|(_, side)| tongue(*side)).collect();
        before.sort_unstable();
        before
    }
}
