//! The floor as it lies: pitch and drift of the rows that are laid, the last row forecast, the rest planned again.
//!
//! The distance of a row's far edge from the chalk line is read at both ends. At each end the rows' places are fitted by
//! a straight line over the row's number: an offset of the row on the line itself (taken for a reading of nought) and the
//! pitch, by weighted least squares; their covariance says how sure a forecast is.

use crate::lattice::{Choice, FrameField, Lattice};
use crate::piece::Piece;
use crate::plan::{Plan, breaches, measure, pieces_of};
use crate::product::{Offset, Order, Product};
use crate::setting_out::SettingOut;
use crate::sharing::share;
use drylay_geometry::{Axis, Direction, Length, Point, Region, Side, cut};

/// Where a row lies: its far edge's distance from the chalk line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LaidRow {
    /// The row, from 1.
    pub row: usize,
    /// At its start.
    pub at_start: Length,
    /// At its end, where it was read.
    pub at_end: Option<Length>,
}

/// How the laid rows lie.
#[derive(Clone, Debug, PartialEq)]
pub struct AsItLies {
    /// The last row that was read, from 1.
    pub laid: usize,
    /// The row that the chalk line is the far edge of.
    pub line_row: usize,
    /// The fit at the rows' start.
    pub start: Fit,
    /// At their end; as at the start where nothing was read there.
    pub end: Fit,
    /// Whether the far end was read at all.
    pub both_ends: bool,
    /// The length of the chalk line in mm.
    pub run: f64,
    /// The pitch that was planned, in mm.
    pub planned_pitch: f64,
    /// The last row's exposed width at start and end, if nothing is done.
    pub last_row: [Forecast; 2],
    /// By how much each remaining joint would have to open, at start and end, for the last row to come out as planned.
    pub mend: Option<[f64; 2]>,
}

/// A straight line through the rows' places: mm from the chalk line by rows from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Where the row on the line lies.
    pub offset: f64,
    /// From row to row.
    pub pitch: f64,
    /// Variances of offset and pitch, and their covariance, in mm².
    covariance: (f64, f64, f64),
}

/// What is expected, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// As planned.
    pub planned: f64,
    /// As it will come.
    pub width: f64,
    /// Its standard deviation, with the wall's where that is known.
    pub sd: f64,
}

impl Fit {
    /// The weighted fit of readings (rows from the line, mm, sd) with the line itself as a reading of nought.
    pub fn new(readings: &[(f64, f64, f64)], sd_line: f64) -> Option<Self> {
        let all = || std::iter::once((0.0, 0.0, sd_line)).chain(readings.iter().copied());
        let sum = |f: &dyn Fn(f64, f64) -> f64| all().map(|(n, d, sd)| f(n, d) / (sd * sd)).sum::<f64>();
        let (w, wn, wnn) = (sum(&|_, _| 1.0), sum(&|n, _| n), sum(&|n, _| n * n));
        let (wd, wnd) = (sum(&|_, d| d), sum(&|n, d| n * d));
        let det = w * wnn - wn * wn;
        if det.is_nan() || det <= 0.0 {
            return None;
        }
        let (offset, pitch) = ((wnn * wd - wn * wnd) / det, (w * wnd - wn * wd) / det);
        Some(Self { offset, pitch, covariance: (wnn / det, w / det, -wn / det) })
    }

    /// Where a row lies, so many rows from the line, and its standard deviation.
    pub fn at(&self, rows: f64) -> (f64, f64) {
        let (offset, pitch, both) = self.covariance;
        let variance = offset + rows * rows * pitch + 2.0 * rows * both;
        (self.offset + rows * self.pitch, variance.max(0.0).sqrt())
    }

    /// Standard deviation of the pitch in mm.
    pub fn pitch_sd(&self) -> f64 {
        self.covariance.1.sqrt()
    }
}

/// How rows lie by what was read of them; `None` where nothing was, or of no row beyond the line.
///
/// `sd` is the standard deviation in mm of a reading of so many mm.
pub fn as_it_lies(
    laid: &[LaidRow],
    set: &SettingOut,
    product: &Product,
    rows: usize,
    sd: &dyn Fn(f64) -> f64,
) -> Option<AsItLies> {
    let read = |of: &dyn Fn(&LaidRow) -> Option<Length>| -> Vec<(f64, f64, f64)> {
        let beyond = laid.iter().filter(|l| l.row > set.row);
        let reading = |l: &LaidRow| {
            let mm = of(l)?.mm();
            Some(((l.row - set.row) as f64, mm, sd(mm)))
        };
        beyond.filter_map(reading).collect()
    };
    let start = Fit::new(&read(&|l| Some(l.at_start)), sd(0.0))?;
    let last = laid.iter().map(|l| l.row).filter(|row| *row > set.row).max()?;
    let far = read(&|l| l.at_end);
    let end = if far.is_empty() { start } else { Fit::new(&far, sd(0.0))? };
    let planned_pitch = product.pitch_across().mm();
    let before_last = rows as f64 - 1.0 - set.row as f64;
    let forecast = |fit: &Fit, (planned, wall_sd): (Length, Option<f64>)| {
        let (near, near_sd) = fit.at(before_last);
        let wall = wall_sd.unwrap_or(0.0);
        let width = planned.mm() + before_last * planned_pitch - near;
        Forecast { planned: planned.mm(), width, sd: (near_sd * near_sd + wall * wall).sqrt() }
    };
    let ends = &set.rows[1];
    let last_row = [forecast(&start, ends.start), forecast(&end, ends.end)];
    let left = rows.saturating_sub(last);
    let mend = (left > 0).then(|| last_row.map(|f| (f.width - f.planned) / left as f64));
    let run = (set.line.1 - set.line.0).norm() / 1e6;
    Some(AsItLies {
        laid: last,
        line_row: set.row,
        start,
        end,
        both_ends: !far.is_empty(),
        run,
        planned_pitch,
        last_row,
        mend,
    })
}

impl AsItLies {
    /// The pitch between the two ends in mm and its standard deviation.
    pub fn pitch(&self) -> (f64, f64) {
        if !self.both_ends {
            return (self.start.pitch, self.start.pitch_sd());
        }
        let (s, e) = (self.start.pitch_sd(), self.end.pitch_sd());
        (f64::midpoint(self.start.pitch, self.end.pitch), (s * s + e * e).sqrt() / 2.0)
    }

    /// By how much the last laid row is further from the line at its end than at its start, in mm, and the standard
    /// deviation; `None` where one end was not read.
    pub fn drift(&self) -> Option<(f64, f64)> {
        let rows = (self.laid - self.line_row) as f64;
        let ((s, s_sd), (e, e_sd)) = (self.start.at(rows), self.end.at(rows));
        self.both_ends.then(|| (e - s, (s_sd * s_sd + e_sd * e_sd).sqrt()))
    }

    /// The plan with the rows after the last laid one planned again from where that lies: with its direction and the
    /// pitch as found. The pieces of laid rows stay as they were planned; shapes stay in the plan's frame.
    pub fn rest(&self, product: &Product, plan: &Plan, region: &Region, set: &SettingOut) -> Option<Plan> {
        let was = plan.choice.along.direction;
        let line = self.last_line(was, set)?;
        let direction = if self.both_ends { Direction::of(line.1 - line.0)? } else { was };
        let (pitch, _) = self.pitch();
        let width = Length::from_mm_f64(pitch)? - product.joint;
        let product = Product { width, ..product.clone() };
        let field = FrameField::new(region, direction);
        let start = direction.to_frame(line.0).y + product.joint.nanometres();
        let shapes = field.region.shapes.iter().flat_map(|s| cut(s, Axis::Y, start, Side::Above));
        let field = FrameField { direction, region: Region { shapes: shapes.collect() } };
        let choice = Choice { offset: self.offset(&plan.choice), ..plan.choice.clone() };
        let old = FrameField::new(region, was);
        let before = Lattice::new(&product, &plan.choice, &old)?.tile_u(self.laid, 0);
        let at = was.from_frame(Point { x: before, y: was.to_frame(line.0).y });
        let tile_origin = direction.to_frame(at).x;
        let lattice = Lattice::from_origin(&product, &choice, &field, start, tile_origin)?;
        let fresh = pieces_of(&lattice, &product, &field);
        let turn = |p: Point| was.to_frame(direction.from_frame(p));
        let later =
            fresh.into_iter().map(|p| Piece { row: p.row + self.laid, shape: p.shape.map(turn), ..p });
        let mut pieces: Vec<Piece> = plan.pieces.iter().filter(|p| p.row <= self.laid).cloned().collect();
        pieces.extend(later);
        let count = pieces.last().map_or(0, |p| p.row);
        let mut rows: Vec<Length> = plan.rows.iter().copied().take(self.laid.min(count)).collect();
        rows.extend((rows.len()..count).map(|row| lattice.row_width(row - self.laid)));
        let sharing = share(&pieces, &product);
        let (measures, breaches) = (measure(&pieces, &rows), breaches(&pieces, &product, Length::ZERO));
        Some(Plan { choice: plan.choice.clone(), pieces, sharing, rows, measures, breaches })
    }

    /// The far edge of the last laid row in plan coordinates, at both ends of the chalk line.
    fn last_line(&self, direction: Direction, set: &SettingOut) -> Option<(Point, Point)> {
        let rows = (self.laid - self.line_row) as f64;
        let place = |line: Point, fit: &Fit| {
            let p = direction.to_frame(line);
            let off = Length::from_mm_f64(fit.at(rows).0)?;
            Some(direction.from_frame(Point { x: p.x, y: p.y + off.nanometres() }))
        };
        Some((place(set.line.0, &self.start)?, place(set.line.1, &self.end)?))
    }

    /// The offset from the last laid row on: an alternating one goes back after an odd number of rows.
    fn offset(&self, choice: &Choice) -> Offset {
        let Offset { num, den } = choice.offset;
        match choice.order {
            Order::Alternating if self.laid % 2 == 1 && num > 0 => Offset { num: den - num, den },
            _ => choice.offset,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: one reading of row 9, eight rows from the line: pitch 2404 / 8, its sd √(1² + 1²) / 8.
    #[test]
    fn one_reading_gives_the_pitch_and_its_doubt() {
        let fit = Fit::new(&[(8.0, 2404.0, 1.0)], 1.0).expect("a fit");
        assert!((fit.pitch - 300.5).abs() < 1e-9 && fit.offset.abs() < 1e-9);
        assert!((fit.pitch_sd() - 2.0_f64.sqrt() / 8.0).abs() < 1e-12);
        let (at, sd) = fit.at(8.0);
        assert!((at - 2404.0).abs() < 1e-9 && (sd - 1.0).abs() < 1e-9);
    }

    /// The textbook's straight line with equal weights: slope Σ(x−x̄)(y−ȳ)/Σ(x−x̄)², its variance σ²/Σ(x−x̄)²
    /// (Draper and Smith, Applied Regression Analysis, 3rd edition, equations 1.2.9 and 1.4.4; from memory).
    #[test]
    fn several_readings_are_fitted_as_the_textbook_fits_them() {
        let readings = [(4.0, 1203.0, 0.8), (6.0, 1802.0, 0.8), (8.0, 2407.0, 0.8)];
        let fit = Fit::new(&readings, 0.8).expect("a fit");
        let (x, y) = ([0.0, 4.0, 6.0, 8.0], [0.0, 1203.0, 1802.0, 2407.0]);
        let mean = |v: &[f64; 4]| v.iter().sum::<f64>() / 4.0;
        let sxx: f64 = x.iter().map(|a| (a - mean(&x)) * (a - mean(&x))).sum();
        let sxy: f64 = x.iter().zip(&y).map(|(a, b)| (a - mean(&x)) * (b - mean(&y))).sum();
        assert!((fit.pitch - sxy / sxx).abs() < 1e-9);
        assert!((fit.pitch_sd() - 0.8 / sxx.sqrt()).abs() < 1e-12);
    }
}
