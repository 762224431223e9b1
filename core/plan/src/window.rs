//! Whether a piece may be cut ahead, or its gap must be measured first.
//!
//! A cut edge may lie anywhere in its window: no nearer to the wall than the edge gap, no further from it than the trim
//! hides. It is cut so that it lies the clearance inside the gap, and rounding to the marking-out grid may move it
//! further in by a step. If two standard deviations of where the wall is fit into both sides of the window, the piece is
//! cut ahead; otherwise its gap is measured first.

use crate::cutting::Cutting;
use crate::ground::{Anchor, Ground, WallPart};
use crate::piece::{Cut, Piece};
use crate::product::Product;
use drylay_geometry::{Direction, Length, Point};

/// What is to be done with a piece, by the cut edge that is least sure to fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Why it is measured first; `None` for one that may be cut ahead.
    pub why: Option<Why>,
    /// The wall of that edge.
    pub wall: Option<(usize, usize)>,
    /// Standard deviation in mm of its distance from the wall, where it is known.
    pub sd: Option<f64>,
    /// The gap that must stay.
    pub gap: Length,
    /// What the trim hides, where it is known.
    pub trim: Option<Length>,
    /// Room in mm on the side of the wall, and on the side of the trim.
    pub room: (f64, Option<f64>),
}

/// Why a gap is measured first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// It might come nearer to the wall than the gap: the clearance is less than the doubt.
    GapInDoubt,
    /// It might show beside the trim.
    TrimInDoubt,
    /// Nothing says what the trim there hides.
    NoTrim,
    /// It follows no wall that was measured: a keep-out, a jamb, the end of a reach.
    NoWall,
    /// The wall is in another room than the chalk line, and nothing ties the two.
    OtherRoom,
}

/// How many standard deviations must fit.
pub const SDS: f64 = 2.0;
/// Doubt under this in mm is none: a tenth of what a hand can mark.
pub const SURE: f64 = 0.05;

/// What is needed to judge the pieces of a plan.
#[derive(Debug)]
pub struct Judge<'a> {
    /// The walls.
    pub ground: &'a Ground<'a>,
    /// What the floor is laid from; `None` where no line could be set out.
    pub anchor: Option<&'a Anchor>,
    /// What is laid.
    pub product: &'a Product,
    /// How it is cut.
    pub cutting: &'a Cutting,
    /// What the trim hides at walls, by room and wall.
    pub trims: &'a [(usize, usize, Length)],
    /// The marking-out grid.
    pub grid: Length,
    /// The direction of the rows.
    pub direction: Direction,
}

impl Judge<'_> {
    /// Judges a piece; `None` for a whole tile.
    pub fn judge(&self, piece: &Piece) -> Option<Window> {
        if piece.cut == Cut::Whole {
            return None;
        }
        let shape = piece.shape.rings().zip(piece.on_tile.rings());
        let edges = shape.flat_map(|(page, tile)| page.edges().zip(tile.edges()).collect::<Vec<_>>());
        let cuts = edges.filter(|(_, (a, b))| !self.is_tile_edge(*a, *b));
        let windows =
            cuts.map(|((a, b), _)| self.edge(self.direction.from_frame(a), self.direction.from_frame(b)));
        windows.reduce(|worst, next| if next.order() > worst.order() { next } else { worst })
    }

    fn is_tile_edge(&self, a: Point, b: Point) -> bool {
        let near = |x: i64, edge: i64| (x - edge).abs() <= 1_000;
        let both = |f: fn(Point) -> i64, edge: i64| near(f(a), edge) && near(f(b), edge);
        let (length, width) = (self.product.length.nanometres(), self.product.width.nanometres());
        both(|p| p.x, 0) || both(|p| p.x, length) || both(|p| p.y, 0) || both(|p| p.y, width)
    }

    /// Judges a cut edge by its ends on the plan.
    fn edge(&self, a: Point, b: Point) -> Window {
        let Some(wall) = self.ground.wall_of(a, b) else {
            let (gap, room) = (self.product.edge_gap, (self.cutting.clearance.mm(), None));
            return Window { why: Some(Why::NoWall), wall: None, sd: None, gap, trim: None, room };
        };
        let trim = self.trims.iter().rev().find(|(r, w, _)| (*r, *w) == (wall.room, wall.wall));
        let trim = trim.map(|(_, _, covers)| *covers);
        let sd = [a, b].iter().map(|&p| self.sd(p, &wall)).reduce(|p, q| Some(p?.max(q?))).flatten();
        let clearance = self.cutting.clearance;
        let to_trim = trim.map(|trim| (trim - wall.gap - clearance - self.grid).mm());
        let window = Window {
            why: None,
            wall: Some((wall.room, wall.wall)),
            sd,
            gap: wall.gap,
            trim,
            room: (clearance.mm(), to_trim),
        };
        Window { why: window.doubt(), ..window }
    }

    fn sd(&self, at: Point, wall: &WallPart) -> Option<f64> {
        self.anchor?.sd(self.ground, at, wall)
    }
}

impl Window {
    fn doubt(&self) -> Option<Why> {
        let Some(sd) = self.sd else { return Some(Why::OtherRoom) };
        let doubt = if sd < SURE { 0.0 } else { SDS * sd };
        match self.room {
            (_, None) => Some(Why::NoTrim),
            (to_gap, _) if to_gap < doubt => Some(Why::GapInDoubt),
            (_, Some(to_trim)) if to_trim < doubt => Some(Why::TrimInDoubt),
            _ => None,
        }
    }

    /// The least sure first: what is not known at all, then what leaves the least room.
    fn order(&self) -> (Option<Why>, std::cmp::Reverse<i64>) {
        let doubt = SDS * self.sd.unwrap_or(0.0);
        let left = self.room.1.map_or(self.room.0, |to_trim| self.room.0.min(to_trim)) - doubt;
        (self.why, std::cmp::Reverse(Length::from_mm_f64(left).map_or(0, Length::nanometres)))
    }
}
