//! A plan: every piece of a field for one choice, who shares a tile, what rules it breaks.

use crate::lattice::{Choice, FrameField, Lattice, Part};
use crate::piece::{Cut, Piece, classify};
use crate::product::Product;
use crate::rules::Rules;
use crate::sharing::{Sharing, share};
use drylay_geometry::{Length, Point};

/// A plan of one field for one choice.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The choice.
    pub choice: Choice,
    /// All pieces in order of row and place; shapes in the lattice's frame.
    pub pieces: Vec<Piece>,
    /// Who shares a tile.
    pub sharing: Sharing,
    /// Exposed widths of the rows from row 1, down to the last that has a piece.
    pub rows: Vec<Length>,
    /// What can be measured of it.
    pub measures: Measures,
    /// Rules that it breaks, in order of pieces.
    pub breaches: Vec<Breach>,
}

/// What can be measured of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measures {
    /// Exposed width of row 1.
    pub first_row: Length,
    /// Exposed width of the last row.
    pub last_row: Length,
    /// Least extent along the row of any piece.
    pub shortest_end: Length,
    /// Least extent, either way, of any piece.
    pub narrowest: Length,
    /// Pieces that are no whole tiles.
    pub cut_pieces: usize,
}

/// A rule of the product that a piece breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Breach {
    /// Which rule.
    pub rule: Rule,
    /// Index of the piece.
    pub piece: usize,
    /// What the piece has.
    pub value: Length,
    /// What the rule asks.
    pub limit: Length,
}

/// The rules judged on each piece's extent on its tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rule {
    /// Narrower across the row than allowed.
    Narrow,
    /// Shorter along the row than allowed.
    Short,
}

/// Why a choice cannot be planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PlanError {
    /// The field is empty.
    NoField,
    /// There would be about so many pieces.
    TooMany(f64),
    /// The product does not allow the offset.
    ForbiddenOffset,
    /// The first row must be more than nothing and at most the tile's width.
    FirstRow,
    /// The shift must be more than nothing and at most the tile's length.
    Shift,
    /// No offset is named by the product, and none was chosen.
    NoOffsets,
}

/// The most pieces of a plan: some 9,000 m² of small tile.
pub const MOST_PIECES: f64 = 100_000.0;

impl Plan {
    /// Plans a field, turned into the choice's frame, for that choice.
    ///
    /// # Errors
    /// What makes the choice impossible; a choice that merely breaks rules is planned and they are listed.
    pub fn new(product: &Product, choice: &Choice, field: &FrameField) -> Result<Self, PlanError> {
        let (pieces, rows) = lay(product, choice, field)?;
        let sharing = share(&pieces, product);
        let measures = measure(&pieces, &rows);
        let breaches = breaches(&pieces, product, Length::ZERO);
        Ok(Self { choice: choice.clone(), pieces, sharing, rows, measures, breaches })
    }

    /// The share of the tiles' faces that is not seen in the floor: offcuts that nothing was cut from.
    pub fn waste(&self, product: &Product) -> f64 {
        let seen: f64 = self.pieces.iter().map(|p| p.shape.area_mm2()).sum();
        let bought = self.sharing.tiles as f64 * product.face_mm2();
        if bought > 0.0 { 1.0 - seen / bought } else { 0.0 }
    }

    /// Cartons for the plan's tiles.
    pub fn cartons(&self, product: &Product) -> Option<usize> {
        product.cartons(self.sharing.tiles)
    }

    /// The piece whose offcut a piece uses: the first of its tile, unless it is that itself.
    pub fn offcut_of(&self, piece: usize) -> Option<usize> {
        let tile = self.sharing.tile_of[piece];
        let first = self.sharing.tile_of.iter().position(|&t| t == tile)?;
        (first != piece).then_some(first)
    }
}

/// Cuts the field into pieces and names the rows' widths.
pub(crate) fn lay(
    product: &Product,
    choice: &Choice,
    field: &FrameField,
) -> Result<(Vec<Piece>, Vec<Length>), PlanError> {
    if !product.offsets.contains(&choice.offset) {
        return Err(PlanError::ForbiddenOffset);
    }
    let within = |value: Length, most: Length| value > Length::ZERO && value <= most;
    if !within(choice.first_row, product.width) {
        return Err(PlanError::FirstRow);
    }
    if !within(choice.shift, product.length) {
        return Err(PlanError::Shift);
    }
    let lattice = Lattice::new(product, choice, field).ok_or(PlanError::NoField)?;
    let estimate = lattice.estimate();
    if estimate > MOST_PIECES {
        return Err(PlanError::TooMany(estimate));
    }
    let pieces = pieces_of(&lattice, product, field);
    let count = pieces.last().map_or(0, |p| p.row);
    Ok((pieces, (0..count).map(|r| lattice.row_width(r)).collect()))
}

/// All pieces of a field, in order of row and place.
pub(crate) fn pieces_of(lattice: &Lattice<'_>, product: &Product, field: &FrameField) -> Vec<Piece> {
    let mut pieces: Vec<Piece> = Vec::new();
    for part in lattice.parts(field) {
        let place = pieces.last().filter(|p| p.row == part.row + 1).map_or(1, |p| p.place + 1);
        pieces.push(piece(part, place, product));
    }
    pieces
}

fn piece(part: Part, place: usize, product: &Product) -> Piece {
    let at = part.tile_at;
    let on_tile = part.shape.map(|p| Point { x: p.x - at.x, y: p.y - at.y });
    let (lo, hi) = on_tile.outer.bounds().unwrap_or_default();
    Piece {
        row: part.row + 1,
        place,
        cut: classify(&on_tile, product.length, product.width),
        shape: part.shape,
        length: Length::from_nanometres(hi.x - lo.x),
        width: Length::from_nanometres(hi.y - lo.y),
        on_tile,
    }
}

pub(crate) fn measure(pieces: &[Piece], rows: &[Length]) -> Measures {
    let least = |f: fn(&Piece) -> Length| pieces.iter().map(f).min().unwrap_or(Length::ZERO);
    Measures {
        first_row: rows.first().copied().unwrap_or(Length::ZERO),
        last_row: rows.last().copied().unwrap_or(Length::ZERO),
        shortest_end: least(|p| p.length),
        narrowest: least(|p| p.length.min(p.width)),
        cut_pieces: pieces.iter().filter(|p| p.cut != Cut::Whole).count(),
    }
}

/// The rules that pieces break, the limits raised by a margin.
pub(crate) fn breaches(pieces: &[Piece], product: &Product, margin: Length) -> Vec<Breach> {
    let rules = Rules::new(product, margin);
    let mut found = Vec::new();
    for (piece, p) in pieces.iter().enumerate() {
        for (rule, value) in [(Rule::Narrow, p.width), (Rule::Short, p.length)] {
            if value.nanometres() < rules.least(rule) {
                found.push(Breach { rule, piece, value, limit: rules.limit(rule) });
            }
        }
    }
    found
}
