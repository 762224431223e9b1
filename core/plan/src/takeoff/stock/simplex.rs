//! The linear programme over cutting patterns: a revised simplex with an explicit inverse, patterns made as needed.
//!
//! It works in `f64` with IEEE basic operations, so it ends the same on every device. Nothing that is claimed rests on
//! its rounding: bounds are made of its prices by integers.

use super::columns::{Need, Pattern, dearest};

/// A reduced cost or a ratio smaller than this is nought.
const TINY: f64 = 1e-9;

/// A column of the programme: a pattern that costs a bar, or too many of one kind, which costs nothing.
#[derive(Clone, Debug, PartialEq)]
enum Column {
    Cut(Pattern),
    Surplus(usize),
}

/// A solution of the programme for a need.
#[derive(Clone, Debug)]
pub(super) struct Relaxed {
    /// Bars, in fractions.
    pub(super) bars: f64,
    /// How often each pattern is cut, in fractions; only those that are.
    pub(super) cuts: Vec<(Pattern, f64)>,
    /// The price of each kind, in bars.
    pub(super) prices: Vec<f64>,
}

/// A basis: a column for each kind that is needed.
struct Basis<'a> {
    need: &'a Need,
    counts: &'a [u32],
    /// Rows: kinds that are needed.
    rows: Vec<usize>,
    columns: Vec<Column>,
    inverse: Vec<Vec<f64>>,
    x: Vec<f64>,
}

/// Solves the programme for `counts`; `pool` gives and takes patterns that were found.
pub(super) fn relax(need: &Need, counts: &[u32], pool: &mut Vec<Pattern>) -> Relaxed {
    let mut basis = Basis::start(need, counts);
    let most = 60 * basis.rows.len() + 200;
    for turn in 0..most {
        if turn % 60 == 59 {
            basis.refactor();
        }
        let prices = basis.prices();
        let Some(column) = basis.entering(&prices, pool) else { break };
        if !basis.enter(column) {
            break;
        }
    }
    basis.refactor();
    basis.relaxed()
}

impl<'a> Basis<'a> {
    /// Each kind from bars of its own.
    fn start(need: &'a Need, counts: &'a [u32]) -> Self {
        let rows: Vec<usize> = (0..need.kinds()).filter(|&k| counts[k] > 0).collect();
        let mut basis = Self { need, counts, rows, columns: Vec::new(), inverse: Vec::new(), x: Vec::new() };
        let n = basis.rows.len();
        for (r, &kind) in basis.rows.iter().enumerate() {
            let most = (need.bar / need.lengths[kind]).min(counts[kind]);
            let mut pattern = vec![0; need.kinds()];
            pattern[kind] = most;
            basis.columns.push(Column::Cut(pattern));
            let mut row = vec![0.0; n];
            row[r] = 1.0 / f64::from(most);
            basis.inverse.push(row);
            basis.x.push(f64::from(counts[kind]) / f64::from(most));
        }
        basis
    }

    fn cost(column: &Column) -> f64 {
        if matches!(column, Column::Cut(_)) { 1.0 } else { 0.0 }
    }

    fn vector(&self, column: &Column) -> Vec<f64> {
        let of = |kind: &usize| match column {
            Column::Cut(pattern) => f64::from(pattern[*kind]),
            Column::Surplus(surplus) if surplus == kind => -1.0,
            Column::Surplus(_) => 0.0,
        };
        self.rows.iter().map(of).collect()
    }

    /// The price of each kind; nought for those that are not needed.
    fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.need.kinds()];
        for (c, column) in self.columns.iter().enumerate() {
            if Self::cost(column) > 0.0 {
                for (r, &kind) in self.rows.iter().enumerate() {
                    prices[kind] += self.inverse[c][r];
                }
            }
        }
        prices
    }

    /// A column that makes it cheaper; `None` at the optimum.
    fn entering(&self, prices: &[f64], pool: &mut Vec<Pattern>) -> Option<Column> {
        let below = self.rows.iter().filter(|&&kind| prices[kind] < -TINY);
        if let Some(&kind) = below.min_by(|a, b| prices[**a].total_cmp(&prices[**b])) {
            return Some(Column::Surplus(kind));
        }
        let worth =
            |p: &Pattern| -> f64 { p.iter().zip(prices).map(|(&n, price)| f64::from(n) * price).sum() };
        let proper = |p: &&Pattern| p.iter().zip(self.counts).all(|(n, most)| n <= most);
        let known = pool.iter().filter(proper).map(|p| (worth(p), p)).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((gain, pattern)) = known
            && gain > 1.0 + 1e-6
        {
            return Some(Column::Cut(pattern.clone()));
        }
        let (pattern, gain) = dearest(self.need, self.counts, prices);
        if gain <= 1.0 + TINY {
            return None;
        }
        pool.push(pattern.clone());
        Some(Column::Cut(pattern))
    }

    /// Puts a column in the place of the one that first falls to nought.
    fn enter(&mut self, column: Column) -> bool {
        let vector = self.vector(&column);
        let change: Vec<f64> = self.inverse.iter().map(|row| dot(row, &vector)).collect();
        let mut leaving: Option<(f64, usize)> = None;
        for (c, &d) in change.iter().enumerate() {
            if d > TINY {
                let ratio = self.x[c].max(0.0) / d;
                if leaving.is_none_or(|(least, _)| ratio < least - TINY) {
                    leaving = Some((ratio, c));
                }
            }
        }
        let Some((ratio, out)) = leaving else { return false };
        for (c, d) in change.iter().enumerate() {
            self.x[c] -= ratio * d;
        }
        self.x[out] = ratio;
        let pivot = change[out];
        let row: Vec<f64> = self.inverse[out].iter().map(|v| v / pivot).collect();
        for (c, d) in change.iter().enumerate() {
            if c != out && *d != 0.0 {
                self.inverse[c].iter_mut().zip(&row).for_each(|(v, r)| *v -= d * r);
            }
        }
        self.inverse[out] = row;
        self.columns[out] = column;
        true
    }

    /// Makes the inverse anew, so that rounding does not add up.
    fn refactor(&mut self) {
        let n = self.rows.len();
        let mut left: Vec<Vec<f64>> = vec![vec![0.0; n]; n];
        for (c, column) in self.columns.iter().enumerate() {
            for (r, v) in self.vector(column).into_iter().enumerate() {
                left[r][c] = v;
            }
        }
        let Some(inverse) = inverted(left) else { return };
        self.inverse = inverse;
        let wanted: Vec<f64> = self.rows.iter().map(|&kind| f64::from(self.counts[kind])).collect();
        self.x = self.inverse.iter().map(|row| dot(row, &wanted)).collect();
    }

    fn relaxed(&self) -> Relaxed {
        let mut cuts = Vec::new();
        let mut bars = 0.0;
        for (column, &x) in self.columns.iter().zip(&self.x) {
            if let Column::Cut(pattern) = column
                && x > TINY
            {
                bars += x;
                cuts.push((pattern.clone(), x));
            }
        }
        Relaxed { bars, cuts, prices: self.prices() }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The inverse of a square matrix by elimination with row pivots; `None` where it has none.
fn inverted(mut left: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = left.len();
    let mut right: Vec<Vec<f64>> =
        (0..n).map(|i| (0..n).map(|j| if i == j { 1.0 } else { 0.0 }).collect()).collect();
    for c in 0..n {
        let pivot = (c..n).max_by(|&a, &b| left[a][c].abs().total_cmp(&left[b][c].abs()))?;
        if left[pivot][c].abs() < 1e-12 {
            return None;
        }
        left.swap(c, pivot);
        right.swap(c, pivot);
        let scale = left[c][c];
        left[c].iter_mut().for_each(|v| *v /= scale);
        right[c].iter_mut().for_each(|v| *v /= scale);
        for r in 0..n {
            let factor = left[r][c];
            if r != c && factor != 0.0 {
                let (l, rt) = (left[c].clone(), right[c].clone());
                left[r].iter_mut().zip(&l).for_each(|(v, p)| *v -= factor * p);
                right[r].iter_mut().zip(&rt).for_each(|(v, p)| *v -= factor * p);
            }
        }
    }
    Some(right)
}
