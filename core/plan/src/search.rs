//! Searching for the best choice: which direction, offset, first row and shift.
//!
//! Choices are compared by their worth: fewest breaches (limits raised by the margin), fewest cartons, widest
//! narrowest piece, fewest tiles, fewest cut pieces, then the choice itself. What a choice is worth is always
//! computed from its pieces, never estimated. Which choices are tried is a sample of the marking-out grid that
//! is then refined around the best; the answer is the best of those tried and does not claim to be more.

use crate::field::Field;
use crate::lattice::{Along, Choice, FrameField};
use crate::plan::{Plan, PlanError, breaches, lay, measure};
use crate::product::{Offset, Order, Product};
use crate::sharing::share;
use drylay_geometry::{Direction, Length};

/// What is fixed and what is left to the search.
#[derive(Clone, Debug)]
pub struct Wish {
    /// The direction, or all walls both ways.
    pub along: Option<Along>,
    /// The offset, or all that the product allows.
    pub offset: Option<Offset>,
    /// How the offset goes on.
    pub order: Order,
    /// The first row, or every one on the grid.
    pub first_row: Option<Length>,
    /// The shift, or every one on the grid.
    pub shift: Option<Length>,
    /// By how much limits are raised when choices are compared.
    pub margin: Length,
    /// The marking-out grid: a millimetre or a sixteenth of an inch.
    pub grid: Length,
}

/// What was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The best plan.
    pub best: Plan,
    /// Other plans worth a look, best first, at most one for each direction and offset.
    pub others: Vec<Plan>,
    /// How many choices were tried.
    pub tried: usize,
}

/// A choice's worth; less is better. The last part is the choice itself, so that no two are equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Worth {
    breaches: usize,
    cartons: usize,
    /// Negative, so that wider is less.
    narrowest: i64,
    tiles: usize,
    cut_pieces: usize,
    choice: (usize, Offset, Length, Length),
}

/// First rows and shifts tried for each direction and offset before the best are refined.
const FIRST_ROWS: usize = 14;
const SHIFTS: usize = 14;
/// Of these, so many are refined.
const REFINED: usize = 4;

/// All directions of the rooms' walls, both ways, each direction once.
pub fn wall_directions(field: &Field) -> Vec<Along> {
    let mut found: Vec<Along> = Vec::new();
    for (r, room) in field.rooms.iter().enumerate() {
        let corners = room.outline.corners();
        for (w, corner) in corners.iter().enumerate() {
            let next = &corners[(w + 1) % corners.len()];
            let Some(direction) = room.outline.wall(w).direction() else { continue };
            for (direction, from, to) in
                [(direction, &corner.id, &next.id), (direction.reversed(), &next.id, &corner.id)]
            {
                if !found.iter().any(|a| same(a.direction, direction)) {
                    found.push(Along { direction, wall: Some((r, from.clone(), to.clone())) });
                }
            }
        }
    }
    found
}

/// Whether two directions differ by less than a micrometre in ten metres.
fn same(a: Direction, b: Direction) -> bool {
    let ((ac, asn), (bc, bs)) = (a.components(), b.components());
    (ac - bc).abs() + (asn - bs).abs() < 1e-7
}

/// One direction and offset, the field turned into its frame.
struct Case<'a> {
    index: usize,
    along: &'a Along,
    offset: Offset,
    field: &'a FrameField,
}

/// Searches for the best plan. `go_on` is asked before every choice and may end the search early.
///
/// # Errors
/// Why no choice can be planned.
pub fn search(
    field: &Field,
    product: &Product,
    wish: &Wish,
    mut go_on: impl FnMut(f64) -> bool,
) -> Result<Found, PlanError> {
    let directions = wish.along.clone().map_or_else(|| wall_directions(field), |a| vec![a]);
    let frames: Vec<FrameField> =
        directions.iter().map(|a| FrameField::new(&field.region, a.direction)).collect();
    let offsets = wish.offset.map_or_else(|| product.offsets.clone(), |o| vec![o]);
    if offsets.is_empty() {
        return Err(PlanError::NoOffsets);
    }
    let cases: Vec<Case<'_>> = directions
        .iter()
        .enumerate()
        .flat_map(|(index, along)| {
            let field = &frames[index];
            offsets.iter().map(move |&offset| Case { index, along, offset, field })
        })
        .collect();
    let mut tried = 0;
    let mut best_of_cases: Vec<(Worth, Choice, usize)> = Vec::new();
    for (c, case) in cases.iter().enumerate() {
        let mut keep_going = || go_on(c as f64 / cases.len() as f64) || best_of_cases.is_empty();
        let (found, count) = search_case(case, product, wish, &mut keep_going)?;
        tried += count;
        best_of_cases.extend(found.map(|(worth, choice)| (worth, choice, case.index)));
    }
    best_of_cases.sort_by_key(|a| a.0);
    let mut plans = Vec::new();
    for (_, choice, direction) in best_of_cases.iter().take(6) {
        plans.push(Plan::new(product, choice, &frames[*direction])?);
    }
    let mut plans = plans.into_iter();
    let best = plans.next().ok_or(PlanError::NoField)?;
    Ok(Found { best, others: plans.collect(), tried })
}

type Ranked = (Worth, Choice);

fn search_case(
    case: &Case<'_>,
    product: &Product,
    wish: &Wish,
    go_on: &mut dyn FnMut() -> bool,
) -> Result<(Option<Ranked>, usize), PlanError> {
    let rows = first_rows(case.field, product, wish);
    let shifts = wish.shift.map_or_else(|| spread(product.length, wish.grid, SHIFTS), |s| vec![s]);
    let mut tried = 0;
    let mut ranked: Vec<Ranked> = Vec::new();
    'sample: for &first_row in &rows {
        for &shift in &shifts {
            if !go_on() {
                break 'sample;
            }
            tried += 1;
            ranked.extend(rank(case, product, wish, first_row, shift)?);
        }
    }
    ranked.sort_by_key(|r| r.0);
    ranked.truncate(REFINED);
    for candidate in &mut ranked {
        tried += refine(case, product, wish, candidate, go_on)?;
    }
    Ok((ranked.into_iter().min_by_key(|r| r.0), tried))
}

fn rank(
    case: &Case<'_>,
    product: &Product,
    wish: &Wish,
    first_row: Length,
    shift: Length,
) -> Result<Option<Ranked>, PlanError> {
    let choice =
        Choice { along: case.along.clone(), offset: case.offset, order: wish.order, first_row, shift };
    let (pieces, rows) = lay(product, &choice, case.field)?;
    if pieces.is_empty() {
        return Ok(None);
    }
    let measures = measure(&pieces, &rows);
    let tiles = share(&pieces, product).tiles;
    let worth = Worth {
        breaches: breaches(&pieces, product, wish.margin).len(),
        cartons: product.cartons(tiles).unwrap_or(0),
        narrowest: -measures.narrowest.nanometres(),
        tiles,
        cut_pieces: measures.cut_pieces,
        choice: (case.index, case.offset, first_row, shift),
    };
    Ok(Some((worth, choice)))
}

/// Moves a choice by smaller and smaller steps of the grid as long as its worth gets better.
fn refine(
    case: &Case<'_>,
    product: &Product,
    wish: &Wish,
    best: &mut Ranked,
    go_on: &mut dyn FnMut() -> bool,
) -> Result<usize, PlanError> {
    let mut tried = 0;
    let mut step = (product.length.nanometres() / wish.grid.nanometres() / 16).max(1);
    while step >= 1 {
        let from = (best.1.first_row, best.1.shift);
        let by = wish.grid * step;
        let moves = [(by, Length::ZERO), (-by, Length::ZERO), (Length::ZERO, by), (Length::ZERO, -by)];
        for (row, shift) in moves {
            let (row_fixed, shift_fixed) = (wish.first_row.is_some(), wish.shift.is_some());
            if (row_fixed && row != Length::ZERO) || (shift_fixed && shift != Length::ZERO) {
                continue;
            }
            let (row, shift) = (from.0 + row, from.1 + shift);
            let inside =
                row > Length::ZERO && row <= product.width && shift > Length::ZERO && shift <= product.length;
            if !inside || !go_on() {
                continue;
            }
            tried += 1;
            if let Some(other) = rank(case, product, wish, row, shift)?
                && other.0 < best.0
            {
                *best = other;
            }
        }
        if (best.1.first_row, best.1.shift) == from {
            step /= 2;
        }
    }
    Ok(tried)
}

/// First rows worth trying: an even spread over the grid, the widest, and the one that makes the first and the
/// last row equal.
fn first_rows(field: &FrameField, product: &Product, wish: &Wish) -> Vec<Length> {
    if let Some(fixed) = wish.first_row {
        return vec![fixed];
    }
    let mut rows = spread(product.width, wish.grid, FIRST_ROWS);
    if let Some((lo, hi)) = field.region.bounds() {
        let (run, pitch) = (hi.y - lo.y, product.pitch_across().nanometres());
        // With n whole rows between, first + last = run − n × pitch − joint.
        for whole in [(run / pitch - 1).max(0), run / pitch] {
            let both = run - whole * pitch - product.joint.nanometres();
            let half = Length::from_nanometres(both / 2).round_down_to(wish.grid);
            if half > Length::ZERO && half <= product.width {
                rows.push(half);
            }
        }
    }
    rows.sort_unstable();
    rows.dedup();
    rows
}

/// Some multiples of the grid up to `most`, evenly spread, the greatest among them.
fn spread(most: Length, grid: Length, count: usize) -> Vec<Length> {
    let steps = most.nanometres() / grid.nanometres();
    if steps < 1 {
        return vec![most];
    }
    let count = i64::try_from(count).unwrap_or(1);
    let mut values: Vec<Length> = (1..=count).map(|i| grid * (steps * i / count).max(1)).collect();
    values.dedup();
    values
}
