//! Searching for the best choice: which direction, offset, first row and shift.
//!
//! Choices are compared by their worth: fewest breaches (limits raised by the margin), fewest cartons, widest
//! narrowest piece, fewest tiles, fewest cut pieces, then the choice itself. What a choice is worth is always
//! computed from its pieces, never estimated.
//!
//! A sample of the grid is tried first and refined, which gives an answer soon. Then every direction and first
//! row is taken, those with the fewest unavoidable breaches first, and in it every offset and shift. A choice is
//! given up as soon as it has more breaches than the best, or when what its cut pieces need at least (those that
//! cover one point of the tile need a tile each) makes it no better. When nothing is left the best is proven;
//! when the search is ended before, [`Bound`] says what could still be found.

use crate::field::Field;
use crate::lattice::{Along, Choice, FrameField, Lattice};
use crate::plan::{MOST_PIECES, Plan, PlanError};
use crate::product::{Offset, Order, Product};
use crate::rows::{Limits, Rows};
use crate::sharing::{covered_point, share_cut};
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
    /// Whether no choice on the grid is better.
    pub proven: bool,
    /// What no choice on the grid can beat.
    pub bound: Bound,
}

/// What no choice better than the best can beat, each figure for itself; those of the best where it is proven.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bound {
    /// At least so many breaches.
    pub breaches: usize,
    /// At least so many tiles.
    pub tiles: usize,
    /// At least so many cartons; `None` where the carton is not known.
    pub cartons: Option<usize>,
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

/// First rows and shifts tried for each direction and offset before the best is refined.
const FIRST_ROWS: usize = 14;
const SHIFTS: usize = 14;

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

/// What stays the same during a search.
struct Hunt<'a> {
    product: &'a Product,
    wish: &'a Wish,
    directions: Vec<Along>,
    frames: Vec<FrameField>,
    offsets: Vec<Offset>,
    shifts: Vec<Length>,
    /// The best of each direction and offset, and of all.
    of_case: Vec<Option<Worth>>,
    best: Option<Worth>,
    /// The least worth that a choice might have whose sharing is not proven.
    doubtful: Option<Worth>,
    /// The fewest tiles that any such choice might have.
    doubtful_tiles: usize,
    tried: usize,
}

/// A direction and a first row, with the breaches that no offset and shift avoids.
type Node = (usize, usize, Length);

/// Searches for the best plan. `go_on` is asked again and again, with the share of the work that is done, and may
/// end the search early; one choice is tried in any case.
///
/// # Errors
/// Why no choice can be planned.
pub fn search(
    field: &Field,
    product: &Product,
    wish: &Wish,
    mut go_on: impl FnMut(f64) -> bool,
) -> Result<Found, PlanError> {
    let mut hunt = Hunt::new(field, product, wish)?;
    hunt.check()?;
    let left = hunt.run(&mut go_on);
    hunt.found(field, left)
}

/// What is left when a search ends: the fewest breaches of any choice not looked at; `None` for nothing left.
type Left = Option<usize>;

impl<'a> Hunt<'a> {
    fn new(field: &Field, product: &'a Product, wish: &'a Wish) -> Result<Self, PlanError> {
        let directions = wish.along.clone().map_or_else(|| wall_directions(field), |a| vec![a]);
        let frames: Vec<FrameField> =
            directions.iter().map(|a| FrameField::new(&field.region, a.direction)).collect();
        let offsets = wish.offset.map_or_else(|| product.offsets.clone(), |o| vec![o]);
        if offsets.is_empty() {
            return Err(PlanError::NoOffsets);
        }
        let shifts = wish.shift.map_or_else(|| on_grid(product.length, wish.grid), |s| vec![s]);
        let of_case = vec![None; directions.len() * offsets.len()];
        Ok(Self {
            product,
            wish,
            directions,
            frames,
            offsets,
            shifts,
            of_case,
            best: None,
            doubtful: None,
            doubtful_tiles: usize::MAX,
            tried: 0,
        })
    }

    /// Whether choices can be planned at all.
    fn check(&self) -> Result<(), PlanError> {
        if self.offsets.iter().any(|o| !self.product.offsets.contains(o)) {
            return Err(PlanError::ForbiddenOffset);
        }
        let within =
            |value: Option<Length>, most: Length| value.is_none_or(|v| v > Length::ZERO && v <= most);
        if !within(self.wish.first_row, self.product.width) {
            return Err(PlanError::FirstRow);
        }
        if !within(self.wish.shift, self.product.length) {
            return Err(PlanError::Shift);
        }
        for (d, frame) in self.frames.iter().enumerate() {
            let choice = self.choice((d, self.offsets[0], self.product.width, self.product.length));
            let lattice = Lattice::new(self.product, &choice, frame).ok_or(PlanError::NoField)?;
            let estimate = lattice.estimate();
            if estimate > MOST_PIECES {
                return Err(PlanError::TooMany(estimate));
            }
        }
        Ok(())
    }

    fn choice(&self, (direction, offset, first_row, shift): (usize, Offset, Length, Length)) -> Choice {
        let along = self.directions[direction].clone();
        Choice { along, offset, order: self.wish.order, first_row, shift }
    }

    fn limits(&self) -> Limits {
        let raised = |limit: Length| if limit > Length::ZERO { limit + self.wish.margin } else { limit };
        Limits {
            width: raised(self.product.min_row_width).min(self.product.width).nanometres(),
            length: raised(self.product.min_end_length).min(self.product.length).nanometres(),
            most: self.best.map_or(usize::MAX, |b| b.breaches),
        }
    }

    /// Tries a choice if it can still be the best. `narrow`: breaches by narrow pieces that it has at least.
    fn attempt(&mut self, rows: &Rows<'_>, narrow: usize, at: (usize, usize, Length, Length)) {
        self.tried += 1;
        let (direction, offset, first_row, shift) = at;
        let choice = (direction, self.offsets[offset], first_row, shift);
        let case = direction * self.offsets.len() + offset;
        let limits = self.limits();
        let short = rows.least_short(choice.1, self.wish.order, shift, limits.length, limits.most);
        if short.saturating_add(narrow) > limits.most {
            return;
        }
        let Some(tally) = rows.tally(choice.1, self.wish.order, shift, limits) else { return };
        let worth = |tiles: usize| Worth {
            breaches: tally.breaches,
            cartons: self.product.cartons(tiles).unwrap_or(0),
            narrowest: -tally.narrowest,
            tiles,
            cut_pieces: tally.cut.len(),
            choice,
        };
        let no_better = |w: Worth| self.best.is_some_and(|b| w >= b);
        if no_better(worth(tally.whole + tally.cut.len().min(1)))
            || no_better(worth(tally.whole + covered_point(&tally.cut, self.product)))
        {
            return;
        }
        let shared = share_cut(&tally.cut, self.product);
        let least = worth(tally.whole + shared.least);
        let worth = worth(tally.whole + shared.groups.len());
        if least < worth {
            self.doubtful = Some(self.doubtful.map_or(least, |d| d.min(least)));
            self.doubtful_tiles = self.doubtful_tiles.min(least.tiles);
        }
        if self.of_case[case].is_none_or(|b| worth < b) {
            self.of_case[case] = Some(worth);
        }
        if self.best.is_none_or(|b| worth < b) {
            self.best = Some(worth);
        }
    }

    fn run(&mut self, go_on: &mut dyn FnMut(f64) -> bool) -> Left {
        if !self.sample(go_on) {
            return Some(0);
        }
        let Some(nodes) = self.nodes(go_on) else { return Some(0) };
        for (n, &(breaches, direction, first_row)) in nodes.iter().enumerate() {
            if self.best.is_some_and(|b| breaches > b.breaches) {
                return None;
            }
            let Some(rows) = Rows::new(self.product, &self.frames[direction], first_row) else { continue };
            for offset in 0..self.offsets.len() {
                for s in 0..self.shifts.len() {
                    if s % 16 == 0 && !go_on(n as f64 / nodes.len() as f64) {
                        return Some(breaches);
                    }
                    self.attempt(&rows, breaches, (direction, offset, first_row, self.shifts[s]));
                }
            }
        }
        None
    }

    /// Tries a sample and refines the best of it; false if the search is to end.
    fn sample(&mut self, go_on: &mut dyn FnMut(f64) -> bool) -> bool {
        let shifts =
            self.wish.shift.map_or_else(|| spread(self.product.length, self.wish.grid, SHIFTS), |s| vec![s]);
        for direction in 0..self.directions.len() {
            for first_row in first_rows(&self.frames[direction], self.product, self.wish) {
                let Some(rows) = Rows::new(self.product, &self.frames[direction], first_row) else {
                    continue;
                };
                for offset in 0..self.offsets.len() {
                    for &shift in &shifts {
                        if self.best.is_some() && !go_on(0.0) {
                            return false;
                        }
                        self.attempt(&rows, 0, (direction, offset, first_row, shift));
                    }
                }
            }
        }
        self.refine(go_on)
    }

    /// Moves the best choice by smaller and smaller steps of the grid as long as its worth gets better.
    fn refine(&mut self, go_on: &mut dyn FnMut(f64) -> bool) -> bool {
        let mut step = (self.product.length.nanometres() / self.wish.grid.nanometres() / 16).max(1);
        while step >= 1 {
            let Some(from) = self.best else { return true };
            let (direction, of, first_row, shift) = from.choice;
            let offset = self.offsets.iter().position(|o| *o == of).unwrap_or(0);
            let by = self.wish.grid * step;
            for (row, along) in
                [(by, Length::ZERO), (-by, Length::ZERO), (Length::ZERO, by), (Length::ZERO, -by)]
            {
                let fixed = (self.wish.first_row.is_some() && row != Length::ZERO)
                    || (self.wish.shift.is_some() && along != Length::ZERO);
                let (row, along) = (first_row + row, shift + along);
                let inside = row > Length::ZERO
                    && row <= self.product.width
                    && along > Length::ZERO
                    && along <= self.product.length;
                if fixed || !inside {
                    continue;
                }
                if !go_on(0.0) {
                    return false;
                }
                if let Some(rows) = Rows::new(self.product, &self.frames[direction], row) {
                    self.attempt(&rows, 0, (direction, offset, row, along));
                }
            }
            if self.best == Some(from) {
                step /= 2;
            }
        }
        true
    }

    /// All directions and first rows, those with the fewest unavoidable breaches first.
    fn nodes(&self, go_on: &mut dyn FnMut(f64) -> bool) -> Option<Vec<(usize, usize, Length)>> {
        let fixed = self.wish.first_row;
        let first_rows = fixed.map_or_else(|| on_grid(self.product.width, self.wish.grid), |f| vec![f]);
        let limit = self.limits().width;
        let mut nodes: Vec<Node> = Vec::new();
        for direction in 0..self.directions.len() {
            for &first_row in &first_rows {
                if !go_on(0.0) {
                    return None;
                }
                let rows = Rows::new(self.product, &self.frames[direction], first_row);
                nodes.extend(rows.map(|r| (r.least_breaches(limit), direction, first_row)));
            }
        }
        nodes.sort_unstable();
        Some(nodes)
    }

    fn found(&self, field: &Field, left: Left) -> Result<Found, PlanError> {
        let best = self.best.ok_or(PlanError::NoField)?;
        let mut others: Vec<Worth> = self.of_case.iter().flatten().copied().filter(|w| *w != best).collect();
        others.sort_unstable();
        let plan = |w: &Worth| Plan::new(self.product, &self.choice(w.choice), &self.frames[w.choice.0]);
        let others: Vec<Plan> = others.iter().take(5).map(plan).collect::<Result<_, _>>()?;
        let plan = plan(&best)?;
        // A sharing that is not proven may hide a better worth.
        let proven = left.is_none() && self.doubtful.is_none_or(|d| d >= best);
        let (breaches, tiles) = if proven {
            (best.breaches, plan.sharing.least)
        } else if left.is_none() {
            // All is looked at; only a choice whose sharing is not proven may be better.
            (best.breaches, plan.sharing.least.min(self.doubtful_tiles))
        } else {
            (left.unwrap_or(0).min(best.breaches), self.least_tiles(field).min(best.tiles))
        };
        let bound = Bound { breaches, tiles, cartons: self.product.cartons(tiles) };
        Ok(Found { best: plan, others, tried: self.tried, proven, bound })
    }

    /// Tiles that any choice needs by area alone: joints take no more than they would of the field's extent.
    fn least_tiles(&self, field: &Field) -> usize {
        let product = self.product;
        let joints = self.frames.iter().filter_map(|f| f.region.bounds()).map(|(lo, hi)| {
            let (run, across) = ((hi.x - lo.x) as f64 / 1e6, (hi.y - lo.y) as f64 / 1e6);
            let columns = run / product.pitch_along().mm() + 2.0;
            let rows = across / product.pitch_across().mm() + 2.0;
            // Parts of up to 1 mm² at every tile are no pieces.
            product.joint.mm() * (columns * across + rows * run) + 4.0 * columns * rows
        });
        let seen = field.region.area_mm2() - joints.fold(0.0, f64::max);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an area over a tile")]
        let tiles = (seen.max(0.0) / product.face_mm2() - 1e-6).ceil().max(0.0) as usize;
        tiles
    }
}

/// All multiples of the grid up to `most`; `most` itself where the grid is wider.
fn on_grid(most: Length, grid: Length) -> Vec<Length> {
    let steps = most.nanometres() / grid.nanometres().max(1);
    if steps < 1 { vec![most] } else { (1..=steps).map(|i| grid * i).collect() }
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
