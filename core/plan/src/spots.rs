//! Places where a short cut is seen and trodden on: doorways, and the line of sight from the entrance.
//!
//! They are a wish of the layer's, not a rule of the product: a plan is worth more the fewer pieces are cut shorter
//! there than was wished, as soon as it breaks as few rules.

use crate::field::{Field, OpeningPlace, moved};
use crate::lattice::{FrameField, LEAST_PIECE};
use crate::piece::Piece;
use crate::product::Product;
use crate::rules::TOLERANCE;
use drylay_geometry::{Axis, Direction, Length, Point, Region, Ring, Shape, cut_band};

/// What a spot is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An opening, between its jambs.
    Doorway,
    /// The floor straight ahead of who stands in an opening.
    SightLine,
}

/// A place where no cut shorter than `least` is wished.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// What it is.
    pub kind: Kind,
    /// Index of the opening in the field's list.
    pub opening: usize,
    /// The place, in the area's plan coordinates.
    pub shape: Shape,
    /// Neither extent of a piece there should be less; a whole tile is always enough.
    pub least: Length,
}

/// A piece that is cut shorter than wished where it is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ShortCut {
    /// Index of the spot.
    pub spot: usize,
    /// Index of the piece.
    pub piece: usize,
    /// What the piece has: the extent that falls short, the lesser of two that do.
    pub value: Length,
    /// What was wished.
    pub limit: Length,
}

/// How far a doorway without depth reaches into the room beyond the gap: enough for a piece there to show.
const BESIDE: Length = Length::from_mm(1);

impl Spot {
    /// The floor between an opening's jambs: from the wall line as deep as the floor runs into it. Where it does not,
    /// the strip along it; `gap` is what is kept from the wall there.
    pub fn doorway(field: &Field, opening: usize, gap: Length, least: Length) -> Option<Self> {
        let place = field.openings.get(opening)?;
        let inward = across(place)?.clockwise();
        let depth = if place.depth > Length::ZERO { -place.depth } else { gap + BESIDE };
        let far = |p: Point| moved(p, inward, depth.nanometres() as f64);
        let ring = Ring::new(vec![place.left, place.right, far(place.right), far(place.left)]);
        Some(Self { kind: Kind::Doorway, opening, shape: Shape::simple(ring), least })
    }

    /// The line of sight from the middle of an opening, square to its wall, as far as the floor goes on: with all
    /// pieces that it crosses or runs along, so a joint and a millimetre wide to either side.
    pub fn sight_line(field: &Field, opening: usize, product: &Product, least: Length) -> Option<Self> {
        let place = field.openings.get(opening)?;
        let ahead = across(place)?.clockwise();
        let middle = Point {
            x: place.left.x + (place.right.x - place.left.x) / 2,
            y: place.left.y + (place.right.y - place.left.y) / 2,
        };
        let frame = FrameField::new(&field.region, ahead);
        let (start, half) = (ahead.to_frame(middle), (product.joint + BESIDE).nanometres());
        let strips =
            frame.region.shapes.iter().flat_map(|s| cut_band(s, Axis::Y, start.y - half, start.y + half));
        let begins =
            |strip: &Shape| strip.outer.bounds().filter(|(_, hi)| hi.x > start.x).map(|(lo, _)| lo.x);
        let nearest = strips.filter(|s| begins(s).is_some()).min_by_key(begins)?;
        let shape = nearest.map(|p| ahead.from_frame(p));
        Some(Self { kind: Kind::SightLine, opening, shape, least })
    }
}

/// The direction of an opening's wall, from its left end to its right.
fn across(place: &OpeningPlace) -> Option<Direction> {
    Direction::of(place.right - place.left)
}

/// Spots in the frame of one direction.
#[derive(Debug)]
pub(crate) struct SpotsIn {
    spots: Vec<SpotIn>,
}

#[derive(Debug)]
struct SpotIn {
    region: Region,
    lo: Point,
    hi: Point,
    /// Extents in nanometres along and across the row below which a piece is too short.
    least: (i64, i64),
    /// What was wished of them.
    limit: (Length, Length),
}

impl SpotsIn {
    pub(crate) fn new(spots: &[Spot], direction: Direction, product: &Product) -> Self {
        let spot = |spot: &Spot| {
            let shape = spot.shape.map(|p| direction.to_frame(p));
            let (lo, hi) = shape.outer.bounds().unwrap_or_default();
            let limit = (spot.least.min(product.length), spot.least.min(product.width));
            let least = (limit.0.nanometres() - TOLERANCE, limit.1.nanometres() - TOLERANCE);
            SpotIn { region: Region { shapes: vec![shape] }, lo, hi, least, limit }
        };
        Self { spots: spots.iter().map(spot).collect() }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.spots.is_empty()
    }

    /// Their bounds, each with its place in the list.
    pub(crate) fn bounds(&self) -> impl Iterator<Item = (usize, Point, Point)> + '_ {
        self.spots.iter().enumerate().map(|(s, spot)| (s, spot.lo, spot.hi))
    }

    /// Whether a piece is shorter than wished and lies in the spot.
    pub(crate) fn is_short(&self, spot: usize, shape: &Shape) -> bool {
        let (Some(spot), Some((lo, hi))) = (self.spots.get(spot), shape.outer.bounds()) else { return false };
        (hi.x - lo.x < spot.least.0 || hi.y - lo.y < spot.least.1) && spot.holds(shape, lo, hi)
    }
}

impl SpotIn {
    /// Whether a part of the shape that counts as a piece lies in it.
    fn holds(&self, shape: &Shape, lo: Point, hi: Point) -> bool {
        if hi.x <= self.lo.x || lo.x >= self.hi.x || hi.y <= self.lo.y || lo.y >= self.hi.y {
            return false;
        }
        let piece = Region { shapes: vec![shape.clone()] };
        self.region.common(&piece).doubled_area() > LEAST_PIECE
    }
}

/// The pieces of a plan that are shorter than wished, by spot and then in order.
pub fn short_cuts(
    spots: &[Spot],
    product: &Product,
    direction: Direction,
    pieces: &[Piece],
) -> Vec<ShortCut> {
    let within = SpotsIn::new(spots, direction, product);
    let of_spot = |(s, spot): (usize, &SpotIn)| {
        let short = pieces.iter().enumerate().filter(|(_, piece)| within.is_short(s, &piece.shape));
        let told = short.map(|(p, piece)| {
            let axes = [(piece.length, spot.limit.0), (piece.width, spot.limit.1)];
            let falls_short =
                |(value, limit): &(Length, Length)| value.nanometres() < limit.nanometres() - TOLERANCE;
            let short = axes.into_iter().filter(falls_short).min();
            let (value, limit) = short.unwrap_or(axes[0]);
            ShortCut { spot: s, piece: p, value, limit }
        });
        told.collect::<Vec<_>>()
    };
    within.spots.iter().enumerate().flat_map(of_spot).collect()
}
