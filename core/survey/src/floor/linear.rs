//! A linear programme of the correction's shape, by an interior-point method.
//!
//! Find changes d = f − g, with f ≥ 0 filled and g ≥ 0 ground off, that keep A d ≤ b at least cost. Mehrotra's
//! predictor and corrector (SIAM J. Optimization 2, 1992); f, g and the slacks are eliminated, so that each step
//! factors one matrix with a row for each point. Deterministic: an order of operations fixed by the input.

use crate::matrix::Symmetric;

/// A row of A: (variable, factor) pairs, and its b.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub(crate) weights: Vec<(usize, f64)>,
    pub(crate) most: f64,
}

/// Steps after which a programme is held to have no solution.
const STEPS: usize = 80;
/// What is left of cost and constraints when it is solved, relative to one unit; and what is still good enough
/// where rounding keeps it from getting there: less than a correction leaves for it.
const LEFT: f64 = 1e-7;
const GOOD: f64 = 1e-4;

/// A primal or dual quantity that stays positive, and its step.
#[derive(Clone, Default)]
struct Positive {
    v: Vec<f64>,
    step: Vec<f64>,
}

impl Positive {
    fn new(v: Vec<f64>) -> Self {
        Self { step: vec![0.0; v.len()], v }
    }
    fn room(&self) -> f64 {
        let most = |(v, d): (&f64, &f64)| if *d < 0.0 { -v / d } else { f64::INFINITY };
        self.v.iter().zip(&self.step).map(most).fold(f64::INFINITY, f64::min)
    }
    fn go(&mut self, share: f64) {
        self.v.iter_mut().zip(&self.step).for_each(|(v, d)| *v += share * d);
    }
}

/// The state: primal (fill, grind, slack) and the duals of each.
struct State<'a> {
    rows: &'a [Row],
    cost: Vec<Vec<f64>>,
    /// Filled, ground off.
    x: Vec<Positive>,
    /// Their reduced costs.
    w: Vec<Positive>,
    slack: Positive,
    price: Positive,
}

/// The cheapest changes; `fill` and `grind` are costs for each variable, all positive. `None` where there is no
/// solution, as far as can be told.
pub(crate) fn solve(rows: &[Row], fill: &[f64], grind: Option<&[f64]>) -> Option<Vec<f64>> {
    let n = fill.len();
    let scale = fill.iter().sum::<f64>() / n.max(1) as f64;
    let costs = [Some(fill), grind].into_iter().flatten();
    let cost: Vec<Vec<f64>> = costs.map(|c| c.iter().map(|v| v / scale).collect()).collect();
    let ones = || Positive::new(vec![1.0; n]);
    let mut state = State {
        rows,
        x: cost.iter().map(|_| ones()).collect(),
        w: cost.iter().map(|_| ones()).collect(),
        slack: Positive::new(rows.iter().map(|r| r.most.max(1.0)).collect()),
        price: Positive::new(vec![1.0; rows.len()]),
        cost,
    };
    // Rounding spoils the steps beyond the best one, so that one is kept.
    let (mut best, mut kept) = (f64::INFINITY, None);
    for _ in 0..STEPS {
        let spent: f64 = state.x.iter().zip(&state.cost).map(|(x, c)| dot(&x.v, c)).sum();
        let gap = state.gap();
        if !gap.is_finite() {
            break;
        }
        let left = (gap / (1.0 + spent)).max(state.off());
        if left < best {
            (best, kept) = (left, Some(state.changes(n)));
        }
        let spoilt = best < GOOD && left > 100.0 * best;
        if best < LEFT || spoilt || state.advance().is_none() {
            break;
        }
    }
    kept.filter(|_| best < GOOD)
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The sign with which filling and grinding enter the changes.
const SIGNS: [f64; 2] = [1.0, -1.0];

impl State<'_> {
    fn changes(&self, n: usize) -> Vec<f64> {
        (0..n).map(|i| self.x.iter().zip(SIGNS).map(|(x, s)| s * x.v[i]).sum()).collect()
    }

    fn times(&self, d: &[f64]) -> Vec<f64> {
        self.rows.iter().map(|r| r.weights.iter().map(|&(i, w)| w * d[i]).sum()).collect()
    }

    fn transposed(&self, y: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.cost[0].len()];
        for (r, y) in self.rows.iter().zip(y) {
            r.weights.iter().for_each(|&(i, w)| out[i] += w * y);
        }
        out
    }

    /// Sum of all products that end at nought.
    fn gap(&self) -> f64 {
        let sum: f64 = self.x.iter().zip(&self.w).map(|(x, w)| dot(&x.v, &w.v)).sum();
        sum + dot(&self.slack.v, &self.price.v)
    }

    fn primal_off(&self) -> Vec<f64> {
        let ad = self.times(&self.changes(self.cost[0].len()));
        self.rows.iter().zip(ad).zip(&self.slack.v).map(|((r, a), s)| r.most - a - s).collect()
    }

    fn dual_off(&self) -> Vec<Vec<f64>> {
        let at = self.transposed(&self.price.v);
        let one =
            |k: usize| (0..at.len()).map(|i| self.cost[k][i] + SIGNS[k] * at[i] - self.w[k].v[i]).collect();
        (0..self.x.len()).map(one).collect()
    }

    fn off(&self) -> f64 {
        let dual = self.dual_off();
        self.primal_off().iter().chain(dual.iter().flatten()).fold(0.0, |m: f64, v| m.max(v.abs()))
    }

    fn count(&self) -> f64 {
        (self.x.len() * self.cost[0].len() + self.rows.len()) as f64
    }

    /// One step; `None` where the matrix has become singular.
    fn advance(&mut self) -> Option<()> {
        let n = self.cost[0].len();
        let (rp, rd) = (self.primal_off(), self.dual_off());
        let theta: Vec<f64> =
            (0..n).map(|i| self.x.iter().zip(&self.w).map(|(x, w)| x.v[i] / w.v[i]).sum()).collect();
        let mut matrix = Symmetric::zero(n);
        theta.iter().enumerate().for_each(|(i, t)| matrix.add(i, i, 1.0 / t));
        for (r, (s, y)) in self.rows.iter().zip(self.slack.v.iter().zip(&self.price.v)) {
            matrix.add_outer(&r.weights, y / s);
        }
        let factor = matrix.factor()?;
        let target = self.gap() / self.count();
        let mut aim = 0.0;
        for corrected in [false, true] {
            let towards = |v: &Positive, d: &Positive| -> Vec<f64> {
                let second = |i: usize| if corrected { v.step[i] * d.step[i] } else { 0.0 };
                (0..v.v.len()).map(|i| aim - v.v[i] * d.v[i] - second(i)).collect()
            };
            let rx: Vec<Vec<f64>> = self.x.iter().zip(&self.w).map(|(x, w)| towards(x, w)).collect();
            let rs = towards(&self.slack, &self.price);
            self.direction(&factor, &theta, (&rp, &rd), (&rx, &rs));
            if !corrected {
                let (p, d) = self.rooms();
                let after = self.gap_after(p.min(1.0), d.min(1.0)) / self.count();
                let share = after / target;
                aim = target * share * share * share;
            }
        }
        let (p, d) = self.rooms();
        let (p, d) = ((0.995 * p).min(1.0), (0.995 * d).min(1.0));
        self.x.iter_mut().for_each(|x| x.go(p));
        self.slack.go(p);
        self.w.iter_mut().for_each(|w| w.go(d));
        self.price.go(d);
        Some(())
    }

    fn direction(
        &mut self,
        factor: &crate::matrix::Factor,
        theta: &[f64],
        (rp, rd): (&[f64], &[Vec<f64>]),
        (rx, rs): (&[Vec<f64>], &[f64]),
    ) {
        let (n, m) = (theta.len(), rp.len());
        let own = |k: usize, i: usize| (rx[k][i] - self.x[k].v[i] * rd[k][i]) / self.w[k].v[i];
        let e: Vec<f64> = (0..m).map(|j| (rs[j] - self.price.v[j] * rp[j]) / self.slack.v[j]).collect();
        let pull = self.transposed(&e);
        let h = |i: usize| (0..self.x.len()).map(|k| SIGNS[k] * own(k, i)).sum::<f64>();
        let mut d: Vec<f64> = (0..n).map(|i| h(i) / theta[i] - pull[i]).collect();
        factor.solve(&mut d);
        let ad = self.times(&d);
        let price: Vec<f64> = (0..m).map(|j| e[j] + self.price.v[j] / self.slack.v[j] * ad[j]).collect();
        let at = self.transposed(&price);
        for k in 0..self.x.len() {
            for i in 0..n {
                let dw = rd[k][i] + SIGNS[k] * at[i];
                self.w[k].step[i] = dw;
                self.x[k].step[i] = (rx[k][i] - self.x[k].v[i] * dw) / self.w[k].v[i];
            }
        }
        self.slack.step = (0..m).map(|j| rp[j] - ad[j]).collect();
        self.price.step = price;
    }

    fn rooms(&self) -> (f64, f64) {
        let p = self.x.iter().map(Positive::room).fold(self.slack.room(), f64::min);
        (p, self.w.iter().map(Positive::room).fold(self.price.room(), f64::min))
    }

    fn gap_after(&self, p: f64, d: f64) -> f64 {
        let pair = |a: &Positive, b: &Positive| -> f64 {
            (0..a.v.len()).map(|i| (a.v[i] + p * a.step[i]) * (b.v[i] + d * b.step[i])).sum()
        };
        self.x.iter().zip(&self.w).map(|(x, w)| pair(x, w)).sum::<f64>() + pair(&self.slack, &self.price)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: d₀ + d₁ ≥ 2 at costs 1 and 3 is met by d₀ = 2; d₁ ≤ −1 is met by grinding; together
    /// d₀ = 3, d₁ = −1.
    #[test]
    fn a_programme_of_two_variables() {
        let row = |w: &[(usize, f64)], most| Row { weights: w.to_vec(), most };
        let sum = row(&[(0, -1.0), (1, -1.0)], -2.0);
        let near = |got: Option<Vec<f64>>, want: [f64; 2]| {
            let got = got.expect("a solution");
            assert!((got[0] - want[0]).abs() < 1e-6 && (got[1] - want[1]).abs() < 1e-6, "{got:?}");
        };
        near(solve(std::slice::from_ref(&sum), &[1.0, 3.0], None), [2.0, 0.0]);
        let lower = row(&[(1, 1.0)], -1.0);
        near(solve(&[sum, lower.clone()], &[1.0, 3.0], Some(&[4.0, 4.0])), [3.0, -1.0]);
        assert!(solve(&[lower], &[1.0, 3.0], None).is_none());
    }
}
