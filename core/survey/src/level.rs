//! Heights from differences of height, by least squares: the levelling network.

use crate::matrix::Symmetric;
use crate::network::{Adjusted, UNCHECKED, Unsolved};

/// An observed difference of height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise {
    /// Index of the point it starts from.
    pub from: usize,
    /// Index of the point it goes to.
    pub to: usize,
    /// Height of `to` above `from`, in any unit.
    pub rise: f64,
    /// Standard deviation in the same unit; positive.
    pub sd: f64,
}

/// Adjusted heights.
#[derive(Clone, Debug)]
pub struct Heights {
    /// Height of every point.
    pub at: Vec<f64>,
    /// Standard deviation of every height from the a-priori standard deviations; zero where fixed.
    pub sd: Vec<f64>,
    /// One entry for each difference, in order.
    pub rises: Vec<Adjusted>,
    /// Differences beyond those that fix the heights.
    pub redundancy: usize,
    /// Weighted sum of squared residuals.
    pub sum: f64,
}

/// Adjusts heights; `fixed` holds the height of points that stay and `None` for the others.
///
/// # Errors
/// [`Unsolved::Undetermined`] where a point hangs on no fixed height, or an index names no point.
pub fn adjust(fixed: &[Option<f64>], rises: &[Rise]) -> Result<Heights, Unsolved> {
    if rises.iter().any(|r| r.from.max(r.to) >= fixed.len()) {
        return Err(Unsolved::Undetermined);
    }
    let mut count = 0;
    let mut number = |h: &Option<f64>| {
        h.is_none().then(|| {
            count += 1;
            count - 1
        })
    };
    let place: Vec<Option<usize>> = fixed.iter().map(&mut number).collect();
    let row = |r: &Rise| -> Vec<(usize, f64)> {
        [(r.from, -1.0), (r.to, 1.0)].into_iter().filter_map(|(p, v)| place[p].map(|u| (u, v))).collect()
    };
    let known = |r: &Rise| fixed[r.to].unwrap_or(0.0) - fixed[r.from].unwrap_or(0.0);
    let (mut matrix, mut x) = (Symmetric::zero(count), vec![0.0; count]);
    for r in rises {
        let (row, weight) = (row(r), 1.0 / (r.sd * r.sd));
        matrix.add_outer(&row, weight);
        row.iter().for_each(|&(u, v)| x[u] += v * weight * (r.rise - known(r)));
    }
    let factor = matrix.factor().ok_or(Unsolved::Undetermined)?;
    factor.solve(&mut x);
    let inverse = factor.inverse();
    let judge = |r: &Rise| {
        let row = row(r);
        let value = known(r) + row.iter().map(|&(u, v)| v * x[u]).sum::<f64>();
        let variance: f64 =
            row.iter().map(|&(i, u)| u * row.iter().map(|&(j, v)| v * inverse.at(i, j)).sum::<f64>()).sum();
        let redundancy = (1.0 - variance / (r.sd * r.sd)).clamp(0.0, 1.0);
        let residual = value - r.rise;
        let w = (redundancy > UNCHECKED).then(|| residual / (r.sd * redundancy.sqrt()));
        Adjusted { value, residual, sd: variance.max(0.0).sqrt(), redundancy, w }
    };
    let judged: Vec<Adjusted> = rises.iter().map(judge).collect();
    let sum = judged.iter().zip(rises).map(|(a, r)| (a.residual / r.sd) * (a.residual / r.sd)).sum();
    let height = |(h, p): (&Option<f64>, &Option<usize>)| h.or(p.map(|u| x[u])).unwrap_or(0.0);
    Ok(Heights {
        at: fixed.iter().zip(&place).map(height).collect(),
        sd: place.iter().map(|p| p.map_or(0.0, |u| inverse.at(u, u).max(0.0).sqrt())).collect(),
        rises: judged,
        redundancy: rises.len().saturating_sub(count),
        sum,
    })
}
