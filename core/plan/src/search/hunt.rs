//! The search itself.

use super::grid::{first_rows, shifts, some_first_rows, some_shifts, wall_directions};
use super::queue::{Node, Queue};
use super::{Bound, Found, Progress, Standing, Wish};
use crate::depth::Depths;
use crate::field::Field;
use crate::lattice::{Along, Choice, FrameField, Lattice};
use crate::plan::{MOST_PIECES, Plan, PlanError, Rule};
use crate::product::{Offset, Product};
use crate::rows::Rows;
use crate::rules::Rules;
use crate::sharing::{covered_point, share_cut};
use crate::spots::SpotsIn;
use crate::walls::Walls;
use drylay_geometry::Length;

/// A choice's worth; less is better. The last part is the choice itself, so that no two are equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    breaches: usize,
    /// Pieces cut shorter than wished where it is seen.
    short_cuts: usize,
    cartons: usize,
    /// Negative, so that wider is less.
    narrowest: i64,
    tiles: usize,
    cut_pieces: usize,
    choice: (usize, Offset, Length, Length),
}

/// A search under way.
pub(super) struct Hunt<'a> {
    product: &'a Product,
    wish: &'a Wish,
    rules: Rules,
    directions: Vec<Along>,
    frames: Vec<FrameField>,
    /// Where no short cut is wished, by direction.
    spots: Vec<SpotsIn>,
    offsets: Vec<Offset>,
    first_rows: Vec<Length>,
    shifts: Vec<Length>,
    /// Depths by direction and offset, once they are known.
    depths: Vec<Depths>,
    /// What any choice takes by area alone.
    by_area: usize,
    /// The fewest tiles of what is not looked at, and its fewest breaches.
    left: (usize, usize),
    queue: Queue,
    /// The best of each direction and offset, and of all.
    of_case: Vec<Option<Worth>>,
    best: Option<Worth>,
    standing: Option<Standing>,
    better: usize,
    /// What choices might be worth whose sharing is not proven, where that is better than the best.
    doubtful: Vec<Worth>,
    /// The fewest tiles of any of them.
    doubtful_tiles: usize,
    tried: usize,
    effort: u64,
    part: f64,
}

/// Asked whether to go on.
type GoOn<'a> = &'a mut dyn FnMut(&Progress<'_>) -> bool;
/// A direction, an offset, a first row and a shift, the first two by their indices.
type At = (usize, usize, Length, Length);
/// The search was ended.
struct Ended;

impl<'a> Hunt<'a> {
    pub(super) fn new(field: &Field, product: &'a Product, wish: &'a Wish) -> Result<Self, PlanError> {
        let directions = wish.along.clone().map_or_else(|| wall_directions(field), |a| vec![a]);
        let frames: Vec<FrameField> =
            directions.iter().map(|a| FrameField::new(&field.region, a.direction)).collect();
        let offsets = wish.offset.map_or_else(|| product.offsets.clone(), |o| vec![o]);
        let by_area = least_by_area(&frames, product, field.region.area_mm2());
        let hunt = Self {
            product,
            wish,
            rules: Rules::new(product, wish.margin),
            of_case: vec![None; directions.len() * offsets.len()],
            spots: directions.iter().map(|a| SpotsIn::new(&wish.spots, a.direction, product)).collect(),
            directions,
            frames,
            offsets,
            first_rows: first_rows(product, wish),
            shifts: shifts(product, wish),
            depths: Vec::new(),
            by_area,
            left: (by_area, 0),
            queue: Queue::default(),
            best: None,
            standing: None,
            better: 0,
            doubtful: Vec::new(),
            doubtful_tiles: usize::MAX,
            tried: 0,
            effort: 0,
            part: 0.0,
        };
        hunt.check()?;
        Ok(hunt)
    }

    /// Whether choices can be planned at all.
    fn check(&self) -> Result<(), PlanError> {
        if self.offsets.is_empty() {
            return Err(PlanError::NoOffsets);
        }
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

    /// Looks at everything; false if the search was ended before.
    pub(super) fn run(&mut self, go_on: GoOn<'_>) -> bool {
        let first = |hunt: &mut Self, go_on: GoOn<'_>| {
            hunt.first(go_on)?;
            hunt.reckon(go_on)?;
            hunt.sample(go_on)?;
            hunt.refine(go_on)?;
            hunt.fill();
            hunt.look_at_all(go_on)
        };
        first(self, go_on).is_ok()
    }

    fn ask(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        let progress = Progress {
            part: self.part,
            effort: self.effort,
            best: self.standing.as_ref(),
            better: self.better,
            bound: self.bound(false),
        };
        if go_on(&progress) { Ok(()) } else { Err(Ended) }
    }

    fn rows(&mut self, direction: usize, first_row: Length) -> Option<Rows<'a>> {
        let rows = Rows::new(self.product, &self.frames[direction], first_row)?;
        self.effort += rows.cost();
        Some(rows)
    }

    /// Tries one choice of those that a person would try first, whatever it is worth, and asks then.
    fn first(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        for direction in 0..self.directions.len() {
            let first_row = self.first_rows[self.first_rows.len() - 1];
            let shift = self.shifts[self.shifts.len() - 1];
            if let Some(rows) = self.rows(direction, first_row) {
                self.attempt(&rows, 0, (direction, 0, first_row, shift));
            }
            if self.best.is_some() {
                break;
            }
        }
        self.ask(go_on)
    }

    /// Reckons the depth of the field in all directions with all offsets.
    fn reckon(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        for direction in 0..self.directions.len() {
            for o in 0..self.offsets.len() {
                let layout = (self.offsets[o], self.wish.order);
                let depths = Depths::new(self.product, &self.frames[direction], layout, &self.first_rows);
                self.effort += depths.cost();
                self.depths.push(depths);
                self.ask(go_on)?;
            }
        }
        let least = self.depths.iter().map(|d| d.least_of_all(&self.first_rows)).min();
        self.left.0 = least.unwrap_or(0).max(self.by_area);
        Ok(())
    }

    fn case(&self, direction: usize, offset: usize) -> usize {
        direction * self.offsets.len() + offset
    }

    /// The fewest tiles with a direction, an offset and a first row.
    fn least_tiles(&self, direction: usize, offset: usize, first_row: Length) -> usize {
        let depth = self.depths.get(self.case(direction, offset));
        depth.map_or(0, |d| d.least_tiles(first_row.nanometres())).max(self.by_area)
    }

    fn cartons(&self, tiles: usize) -> usize {
        self.product.cartons(tiles).unwrap_or(0)
    }

    /// Whether nothing that has at least so many breaches and takes at least so many tiles, its narrowest piece no
    /// wider than this, can be better than the best.
    fn no_better(&self, breaches: usize, tiles: usize, narrowest: i64) -> bool {
        let least = (breaches, 0, self.cartons(tiles), narrowest.saturating_neg(), tiles);
        self.best.is_some_and(|b| least > (b.breaches, b.short_cuts, b.cartons, b.narrowest, b.tiles))
    }

    /// Tries a choice if it can still be the best. `narrow`: breaches by narrow pieces that it has at least.
    fn attempt(&mut self, rows: &Rows<'_>, narrow: usize, at: At) {
        self.tried += 1;
        let (direction, offset, first_row, shift) = at;
        let choice = (direction, self.offsets[offset], first_row, shift);
        let case = self.case(direction, offset);
        let most = self.best.map_or(usize::MAX, |b| b.breaches);
        if narrow > most {
            return;
        }
        let short_cuts = self.short_cuts(rows, direction, choice.1, shift);
        if self.best.is_some_and(|b| (narrow, short_cuts) > (b.breaches, b.short_cuts)) {
            return;
        }
        let Some(tally) = rows.tally(choice.1, self.wish.order, shift, self.rules, most) else { return };
        self.effort += 5 + 3 * tally.cut.len() as u64;
        let worth = |tiles: usize| Worth {
            breaches: tally.breaches,
            short_cuts,
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
        self.effort += (tally.cut.len() * tally.cut.len()) as u64 / 10;
        let least = worth(tally.whole + shared.least);
        let worth = worth(tally.whole + shared.groups.len());
        if least < worth && self.best.is_none_or(|b| least < b) {
            self.doubtful.push(least);
            self.doubtful_tiles = self.doubtful_tiles.min(least.tiles);
        }
        if self.of_case[case].is_none_or(|b| worth < b) {
            self.of_case[case] = Some(worth);
        }
        if self.best.is_none_or(|b| worth < b) {
            self.best = Some(worth);
            self.doubtful.retain(|d| *d < worth);
            self.doubtful_tiles = self.doubtful.iter().map(|d| d.tiles).min().unwrap_or(usize::MAX);
            self.better += 1;
            self.standing = Some(self.standing(worth));
        }
    }

    /// How many pieces of a choice are cut shorter than wished where it is seen.
    fn short_cuts(&mut self, rows: &Rows<'_>, direction: usize, offset: Offset, shift: Length) -> usize {
        let spots = &self.spots[direction];
        if spots.is_empty() {
            return 0;
        }
        let (count, effort) = rows.short_cuts(offset, self.wish.order, shift, spots);
        self.effort += effort;
        count
    }

    fn standing(&self, worth: Worth) -> Standing {
        Standing {
            choice: self.choice(worth.choice),
            breaches: worth.breaches,
            short_cuts: worth.short_cuts,
            cartons: self.product.cartons(worth.tiles),
            tiles: worth.tiles,
            narrowest: Length::from_nanometres(-worth.narrowest),
            cut_pieces: worth.cut_pieces,
        }
    }

    /// Tries a sample of the grid.
    fn sample(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        let shifts = some_shifts(self.product, self.wish);
        for direction in 0..self.directions.len() {
            for first_row in some_first_rows(&self.frames[direction], self.product, self.wish) {
                self.ask(go_on)?;
                if let Some(rows) = self.rows(direction, first_row) {
                    self.try_shifts(&rows, direction, first_row, &shifts, go_on)?;
                }
            }
        }
        Ok(())
    }

    /// Tries all offsets with these shifts, as far as they may be better.
    fn try_shifts(
        &mut self,
        rows: &Rows<'_>,
        direction: usize,
        first_row: Length,
        shifts: &[Length],
        go_on: GoOn<'_>,
    ) -> Result<(), Ended> {
        let narrow = rows.least_breaches(self.rules);
        let widest = rows.most_narrowest();
        for offset in 0..self.offsets.len() {
            let tiles = self.least_tiles(direction, offset, first_row);
            if self.no_better(narrow, tiles, widest) {
                continue;
            }
            let ends = rows.ends(self.offsets[offset], self.wish.order);
            let short = ends.shorter(self.rules.least(Rule::Short), shifts);
            let narrower = self.best.map(|b| ends.shorter(-b.narrowest, shifts));
            self.effort += 3 + ends.cost() / 8;
            for (s, &shift) in shifts.iter().enumerate() {
                let least = narrow + short[s];
                // Where an end is narrower than the best plan's narrowest piece, this one's narrowest is.
                let thin = self.best.zip(narrower.as_ref()).filter(|(_, n)| n[s] > 0);
                let widest = thin.map_or(widest, |(b, _)| widest.min(-b.narrowest - 1));
                if self.no_better(least, tiles, widest) {
                    continue;
                }
                self.attempt(rows, least, (direction, offset, first_row, shift));
                self.ask(go_on)?;
            }
        }
        Ok(())
    }

    /// Moves the best choice by smaller and smaller steps of the grid as long as its worth gets better.
    fn refine(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        let mut step = (self.product.length.nanometres() / self.wish.grid.nanometres().max(1) / 16).max(1);
        while step >= 1 {
            let Some(from) = self.best else { return Ok(()) };
            let by = self.wish.grid * step;
            let still = Length::ZERO;
            for moved in [(by, still), (-by, still), (still, by), (still, -by)] {
                self.ask(go_on)?;
                self.try_beside(from, moved);
            }
            if self.best == Some(from) {
                step /= 2;
            }
        }
        Ok(())
    }

    /// Tries the choice that lies beside another by a first row and a shift, if there is one.
    fn try_beside(&mut self, from: Worth, moved: (Length, Length)) {
        let (direction, of, first_row, shift) = from.choice;
        let offset = self.offsets.iter().position(|o| *o == of).unwrap_or(0);
        let (first_row, shift) = (first_row + moved.0, shift + moved.1);
        if self.first_rows.binary_search(&first_row).is_err() || self.shifts.binary_search(&shift).is_err() {
            return;
        }
        if let Some(rows) = self.rows(direction, first_row) {
            self.attempt(&rows, 0, (direction, offset, first_row, shift));
        }
    }

    /// Queues all directions and first rows.
    fn fill(&mut self) {
        for direction in 0..self.directions.len() {
            let walls = Walls::new(self.product, &self.frames[direction]);
            for f in 0..self.first_rows.len() {
                let of = |offset| self.least_tiles(direction, offset, self.first_rows[f]);
                let tiles = (0..self.offsets.len()).map(of).min().unwrap_or(0);
                let narrow = walls.judge(self.first_rows[f], self.rules);
                self.queue.add(Node::new((direction, f), narrow, (self.cartons(tiles), tiles)));
            }
        }
    }

    fn look_at_all(&mut self, go_on: GoOn<'_>) -> Result<(), Ended> {
        while let Some(node) = self.queue.take() {
            let left = self.queue.least_tiles().unwrap_or(node.tiles);
            self.left = (left, node.breaches);
            self.part = self.part.max(self.queue.part());
            self.ask(go_on)?;
            if self.no_better(node.breaches, node.tiles, node.widest) {
                self.queue.finish(node);
                continue;
            }
            let first_row = self.first_rows[node.first_row];
            let Some(rows) = self.rows(node.direction, first_row) else {
                self.queue.finish(node);
                continue;
            };
            let breaches = rows.least_breaches(self.rules).max(node.breaches);
            if breaches > node.breaches && !node.cut {
                self.queue.put_back(Node { breaches, cut: true, ..node });
                continue;
            }
            let shifts = std::mem::take(&mut self.shifts);
            let looked = self.try_shifts(&rows, node.direction, first_row, &shifts, go_on);
            self.shifts = shifts;
            looked?;
            self.queue.finish(node);
        }
        Ok(())
    }

    /// What no choice better than the best can beat; `complete`: everything was looked at.
    fn bound(&self, complete: bool) -> Bound {
        let Some(best) = self.best else {
            let cartons = self.product.cartons(self.by_area);
            return Bound { breaches: 0, tiles: self.by_area, cartons };
        };
        let (left_tiles, left_breaches) = if complete { (best.tiles, best.breaches) } else { self.left };
        let tiles = left_tiles.min(best.tiles).min(self.doubtful_tiles);
        let breaches = left_breaches.min(best.breaches);
        Bound { breaches, tiles, cartons: self.product.cartons(tiles) }
    }

    pub(super) fn found(&self, complete: bool) -> Result<Found, PlanError> {
        let best = self.best.ok_or(PlanError::NoField)?;
        let mut others: Vec<Worth> = self.of_case.iter().flatten().copied().filter(|w| *w != best).collect();
        others.sort_unstable();
        let plan = |w: &Worth| Plan::new(self.product, &self.choice(w.choice), &self.frames[w.choice.0]);
        let others: Vec<Plan> = others.iter().take(5).map(plan).collect::<Result<_, _>>()?;
        // A sharing that is not proven may hide a better worth.
        let proven = complete && self.doubtful.is_empty();
        let bound = if proven {
            Bound { breaches: best.breaches, tiles: best.tiles, cartons: self.product.cartons(best.tiles) }
        } else {
            self.bound(complete)
        };
        Ok(Found { best: plan(&best)?, others, tried: self.tried, proven, bound })
    }
}

/// Tiles that any choice needs by area alone: joints take no more than they would of the field's extent.
fn least_by_area(frames: &[FrameField], product: &Product, area_mm2: f64) -> usize {
    let joints = frames.iter().filter_map(|f| f.region.bounds()).map(|(lo, hi)| {
        let (run, across) = ((hi.x - lo.x) as f64 / 1e6, (hi.y - lo.y) as f64 / 1e6);
        let columns = run / product.pitch_along().mm() + 2.0;
        let rows = across / product.pitch_across().mm() + 2.0;
        // Parts of up to 1 mm² at every tile are no pieces.
        product.joint.mm() * (columns * across + rows * run) + 4.0 * columns * rows
    });
    let seen = area_mm2 - joints.fold(0.0, f64::max);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an area over a tile")]
    let tiles = (seen.max(0.0) / product.face_mm2() - 1e-6).ceil().max(0.0) as usize;
    tiles
}
