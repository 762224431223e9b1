//! The lattice: where rows and tiles fall for one choice of direction, offset, first row and shift.
//!
//! In the lattice's frame u runs along the rows and v, u turned 90° clockwise on the page, across them. The field
//! is turned into that frame once, rounded to a nanometre; from there on everything is integer.

use crate::product::{Offset, Order, Product};
use crate::rows::plain_stretches;
use drylay_geometry::{Axis, CornerId, Direction, Length, Point, Region, Ring, Shape, cut_band};

/// How a field is laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// The direction of the rows, in the area's plan coordinates.
    pub along: Along,
    /// The offset between rows.
    pub offset: Offset,
    /// How it goes on from row to row.
    pub order: Order,
    /// Width of row 1's faces beyond the field's least v; more than nothing, at most the tile's width.
    pub first_row: Length,
    /// Exposed length of the tile at the field's least u inside row 1's band; more than nothing, at most the
    /// tile's length.
    pub shift: Length,
}

/// The direction of the rows and what it was taken from.
#[derive(Clone, Debug, PartialEq)]
pub struct Along {
    /// The direction.
    pub direction: Direction,
    /// The wall it was taken from, by its corners in that direction, and the index of its room.
    pub wall: Option<(usize, CornerId, CornerId)>,
}

/// The field in the lattice's frame and where the lattice begins.
#[derive(Clone, Debug)]
pub struct Lattice<'a> {
    product: &'a Product,
    choice: &'a Choice,
    /// Lower edge of row 1's faces in v, possibly outside the field.
    row_origin: i64,
    /// Lower edge in u of the tile of row 1 that stands at the field's least u.
    tile_origin: i64,
    bounds: (Point, Point),
}

/// A field turned into the frame of one direction.
#[derive(Clone, Debug)]
pub struct FrameField {
    /// The direction of u.
    pub direction: Direction,
    /// The field in (u, v).
    pub region: Region,
}

impl FrameField {
    /// Turns a field into the frame of a direction.
    pub fn new(region: &Region, direction: Direction) -> Self {
        Self { direction, region: region.map(|p| direction.to_frame(p)) }
    }
}

/// A part of the field that one tile covers: the tile's row and column and the part's shape in the frame.
#[derive(Clone, Debug)]
pub struct Part {
    /// Row from nought.
    pub row: usize,
    /// Column of the lattice in that row; nought is the tile at the least u of row 1 moved with its row.
    pub column: i64,
    /// The tile's corner of least u and v, in the frame.
    pub tile_at: Point,
    /// The shape in the frame.
    pub shape: Shape,
}

/// Doubled area in square nanometres that a part must exceed to be a piece: 1 mm².
pub const LEAST_PIECE: i128 = 2_000_000_000_000;

impl<'a> Lattice<'a> {
    /// Lays the lattice onto a field; `None` for an empty field.
    pub fn new(product: &'a Product, choice: &'a Choice, field: &FrameField) -> Option<Self> {
        let bounds = field.region.bounds()?;
        let least_v = bounds.0.y;
        let top = least_v + choice.first_row.nanometres();
        let least_u = field
            .region
            .shapes
            .iter()
            .flat_map(|s| cut_band(s, Axis::Y, least_v, top))
            .flat_map(|s| s.outer.points)
            .map(|p| p.x)
            .min()?;
        Some(Self {
            product,
            choice,
            row_origin: top - product.width.nanometres(),
            tile_origin: least_u + choice.shift.nanometres() - product.length.nanometres(),
            bounds,
        })
    }

    /// A lattice whose row 1 begins at this v, whatever the choice says of the first row, and a tile of it at this u.
    pub(crate) fn from_origin(
        product: &'a Product,
        choice: &'a Choice,
        field: &FrameField,
        row_origin: i64,
        tile_origin: i64,
    ) -> Option<Self> {
        let bounds = field.region.bounds()?;
        Some(Self { product, choice, row_origin, tile_origin, bounds })
    }

    /// How many rows meet the field's extent in v.
    pub fn row_count(&self) -> usize {
        let pitch = self.product.pitch_across().nanometres();
        let span = self.bounds.1.y - self.row_origin;
        usize::try_from(span.div_euclid(pitch) + i64::from(span.rem_euclid(pitch) > 0)).unwrap_or(0)
    }

    /// Lower and upper edge in v of a row's faces.
    pub fn row_faces(&self, row: usize) -> (i64, i64) {
        let lo = self.row_origin + i64::try_from(row).unwrap_or(0) * self.product.pitch_across().nanometres();
        (lo, lo + self.product.width.nanometres())
    }

    /// The exposed width of a row: its faces within the field's extent in v.
    pub fn row_width(&self, row: usize) -> Length {
        let (lo, hi) = self.row_faces(row);
        Length::from_nanometres((hi.min(self.bounds.1.y) - lo.max(self.bounds.0.y)).max(0))
    }

    /// Lower edge in u of the tile in a column of a row.
    pub fn tile_u(&self, row: usize, column: i64) -> i64 {
        let pitch = self.product.pitch_along();
        let moved = self.choice.offset.of_row(i64::try_from(row).unwrap_or(0), pitch, self.choice.order);
        self.tile_origin + moved + column * pitch.nanometres()
    }

    /// A rough count of pieces, to refuse what would never end.
    pub fn estimate(&self) -> f64 {
        let span = |lo: i64, hi: i64, pitch: Length| (hi - lo) as f64 / pitch.nanometres() as f64 + 2.0;
        span(self.bounds.0.x, self.bounds.1.x, self.product.pitch_along())
            * span(self.bounds.0.y, self.bounds.1.y, self.product.pitch_across())
    }

    /// All parts larger than 1 mm², in order of row, column and place.
    pub fn parts(&self, field: &FrameField) -> Vec<Part> {
        let mut parts = Vec::new();
        for row in 0..self.row_count() {
            let (lo, hi) = self.row_faces(row);
            for shape in &field.region.shapes {
                for strip in cut_band(shape, Axis::Y, lo, hi) {
                    self.strip_parts(row, lo, &strip, &mut parts);
                }
            }
        }
        parts.sort_by(|a, b| {
            (a.row, a.column, &a.shape.outer.points).cmp(&(b.row, b.column, &b.shape.outer.points))
        });
        parts
    }

    fn strip_parts(&self, row: usize, row_lo: i64, strip: &Shape, parts: &mut Vec<Part>) {
        let Some((lo, hi)) = strip.outer.bounds() else { return };
        let pitch = self.product.pitch_along().nanometres();
        let (length, width) = (self.product.length.nanometres(), self.product.width.nanometres());
        let plain = plain_stretches(strip, row_lo, row_lo + width);
        let mut column = (lo.x - self.tile_u(row, 0)).div_euclid(pitch);
        while self.tile_u(row, column) < hi.x {
            let u = self.tile_u(row, column);
            if plain.iter().any(|&(a, b)| a <= u && u + length <= b) {
                let corner = |x, y| Point { x: u + x, y: row_lo + y };
                let face = vec![corner(0, 0), corner(length, 0), corner(length, width), corner(0, width)];
                let shape = Shape::simple(Ring::new(face));
                parts.push(Part { row, column, tile_at: corner(0, 0), shape });
                column += 1;
                continue;
            }
            for shape in cut_band(strip, Axis::X, u, u + length) {
                if shape.doubled_area() > LEAST_PIECE {
                    parts.push(Part { row, column, tile_at: Point { x: u, y: row_lo }, shape });
                }
            }
            column += 1;
        }
    }
}
