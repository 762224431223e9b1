//! Heights of a floor from rod readings: least squares over points and set-ups.
//!
//! A rod reads how far a point lies below the level plane of a set-up: reading = plane − height. Points are
//! eliminated first (each belongs to its readings alone), so that what is solved has one unknown for each set-up
//! but the first; the covariance of heights then is σ²/n on the diagonal plus what the set-ups share.

use crate::matrix::Symmetric;

/// A reading of the rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// Index of the point.
    pub point: usize,
    /// Index of the set-up.
    pub setup: usize,
    /// What was read, mm below the set-up's plane.
    pub read: f64,
}

/// Heights and how well they are known.
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// Height of each point in mm, the highest at nought; `None` where no tied set-up read it.
    pub z: Vec<Option<f64>>,
    /// Set-ups that no common point ties to the others, in order.
    pub loose: Vec<usize>,
    /// Adjusted less read for each reading; `None` for those of loose set-ups.
    pub residuals: Vec<Option<f64>>,
    /// Standard deviation of one reading from points read more than once from one set-up, with how many such
    /// readings there are beyond the first; `None` without any.
    pub repeatability: Option<(f64, usize)>,
    /// Readings beyond those that fix the heights.
    pub redundancy: usize,
    own: Vec<f64>,
    shares: Vec<Vec<(usize, f64)>>,
    tie: Vec<f64>,
    setups: usize,
}

impl Heights {
    /// Standard deviation of a point's height in mm, relative to the plane of the first set-up.
    pub fn sd(&self, point: usize) -> f64 {
        self.variance(&[(point, 1.0)]).sqrt()
    }

    /// Variance in mm² of a linear function of heights.
    pub fn variance(&self, function: &[(usize, f64)]) -> f64 {
        let mut merged = function.to_vec();
        merged.sort_by_key(|&(p, _)| p);
        let (mut own, mut k) = (0.0, 0);
        while k < merged.len() {
            let (p, mut c) = merged[k];
            k += 1;
            while k < merged.len() && merged[k].0 == p {
                c += merged[k].1;
                k += 1;
            }
            own += c * c * self.own[p];
        }
        own + self.tied(function)
    }

    fn tied(&self, function: &[(usize, f64)]) -> f64 {
        if self.setups < 2 {
            return 0.0;
        }
        let mut v = vec![0.0; self.setups];
        for &(p, c) in function {
            self.shares[p].iter().for_each(|&(k, w)| v[k] += c * w);
        }
        let row =
            |i: usize| (0..self.setups).map(|j| self.tie[i * self.setups + j] * v[j]).sum::<f64>() * v[i];
        (0..self.setups).map(row).sum::<f64>().max(0.0)
    }

    /// Bounds for the variance of a chord's deviation: the greatest variance of a point's own, and the greatest
    /// variance that set-ups add between any two points.
    pub fn worst_variances(&self) -> (f64, f64) {
        let known: Vec<usize> = (0..self.z.len()).filter(|&p| self.z[p].is_some()).collect();
        let own = known.iter().map(|&p| self.own[p]).fold(0.0, f64::max);
        // Points with equal shares of set-ups differ by nothing; one of each kind is enough.
        let mut kinds: Vec<usize> = Vec::new();
        for &p in &known {
            if self.setups > 1 && !kinds.iter().any(|&q| self.shares[q] == self.shares[p]) {
                kinds.push(p);
            }
        }
        let pairs = kinds.iter().flat_map(|&p| kinds.iter().map(move |&q| [(p, 1.0), (q, -1.0)]));
        (own, pairs.map(|f| self.tied(&f)).fold(0.0, f64::max))
    }
}

/// Adjusts heights; every reading has the standard deviation `sd` in mm.
pub fn adjust(points: usize, setups: usize, rods: &[Rod], sd: f64) -> Heights {
    let loose = loose(points, setups, rods);
    let tied: Vec<Rod> = rods.iter().copied().filter(|r| !loose.contains(&r.setup)).collect();
    let mut counts: Vec<Vec<(usize, f64)>> = vec![Vec::new(); points];
    for r in &tied {
        match counts[r.point].iter_mut().find(|(k, _)| *k == r.setup) {
            Some((_, n)) => *n += 1.0,
            None => counts[r.point].push((r.setup, 1.0)),
        }
    }
    let total: Vec<f64> = counts.iter().map(|c| c.iter().map(|(_, n)| n).sum()).collect();
    let shares: Vec<Vec<(usize, f64)>> =
        counts.iter().zip(&total).map(|(c, t)| c.iter().map(|&(k, n)| (k, n / t)).collect()).collect();
    let (planes, tie) = planes(setups, &tied, &shares, &total, sd);
    let mean = |p: usize| {
        let sum: f64 = tied.iter().filter(|r| r.point == p).map(|r| planes[r.setup] - r.read).sum();
        (total[p] > 0.0).then(|| sum / total[p])
    };
    let raw: Vec<Option<f64>> = (0..points).map(mean).collect();
    let top = raw.iter().flatten().copied().fold(f64::NEG_INFINITY, f64::max);
    let residual =
        |r: &Rod| (!loose.contains(&r.setup)).then(|| planes[r.setup] - raw[r.point].unwrap_or(0.0) - r.read);
    let known = raw.iter().flatten().count();
    let used = (0..setups).filter(|k| tied.iter().any(|r| r.setup == *k)).count();
    Heights {
        z: raw.iter().map(|z| z.map(|z| z - top)).collect(),
        residuals: rods.iter().map(residual).collect(),
        repeatability: repeatability(rods),
        redundancy: (tied.len() + 1).saturating_sub(known + used),
        own: total.iter().map(|&t| if t > 0.0 { sd * sd / t } else { 0.0 }).collect(),
        loose,
        shares,
        tie,
        setups,
    }
}

/// Heights of the set-ups' planes above the first tied one, and their covariance by rows.
fn planes(
    setups: usize,
    tied: &[Rod],
    shares: &[Vec<(usize, f64)>],
    total: &[f64],
    sd: f64,
) -> (Vec<f64>, Vec<f64>) {
    let used: Vec<usize> = (0..setups).filter(|k| tied.iter().any(|r| r.setup == *k)).collect();
    let place: Vec<Option<usize>> =
        (0..setups).map(|k| used.iter().position(|&u| u == k)?.checked_sub(1)).collect();
    let n = used.len().saturating_sub(1);
    let (mut matrix, mut x) = (Symmetric::zero(n), vec![0.0; n]);
    let mut mean = vec![0.0; shares.len()];
    tied.iter().for_each(|r| mean[r.point] += r.read / total[r.point]);
    for r in tied {
        // plane − (mean plane of the point's readings) = read − (mean read)
        let mut row: Vec<(usize, f64)> =
            shares[r.point].iter().filter_map(|&(k, w)| Some((place[k]?, -w))).collect();
        if let Some(own) = place[r.setup]
            && let Some(entry) = row.iter_mut().find(|(k, _)| *k == own)
        {
            entry.1 += 1.0;
        }
        matrix.add_outer(&row, 1.0);
        row.iter().for_each(|&(k, c)| x[k] += c * (r.read - mean[r.point]));
    }
    let (mut heights, mut tie) = (vec![0.0; setups], vec![0.0; setups * setups]);
    if let Some(factor) = matrix.factor() {
        factor.solve(&mut x);
        let inverse = factor.inverse();
        for (i, p) in place.iter().enumerate().filter_map(|(i, p)| Some((i, (*p)?))) {
            heights[i] = x[p];
            for (j, q) in place.iter().enumerate().filter_map(|(j, q)| Some((j, (*q)?))) {
                tie[i * setups + j] = sd * sd * inverse.at(p, q);
            }
        }
    }
    (heights, tie)
}

/// Set-ups outside the largest group that common points tie together.
fn loose(points: usize, setups: usize, rods: &[Rod]) -> Vec<usize> {
    let mut group: Vec<usize> = (0..setups).collect();
    let mut seen: Vec<Option<usize>> = vec![None; points];
    for r in rods {
        let earlier = *seen[r.point].get_or_insert(r.setup);
        let (a, b) = (group[earlier], group[r.setup]);
        group.iter_mut().filter(|g| **g == a.max(b)).for_each(|g| *g = a.min(b));
    }
    let size = |g: usize| seen.iter().flatten().filter(|k| group[**k] == g).count();
    let main = (0..setups).max_by_key(|&g| (size(g), std::cmp::Reverse(g))).unwrap_or(0);
    (0..setups).filter(|&k| group[k] != main).collect()
}

fn repeatability(rods: &[Rod]) -> Option<(f64, usize)> {
    let (mut sum, mut more) = (0.0, 0);
    for (i, r) in rods.iter().enumerate() {
        let same = |o: &&Rod| o.point == r.point && o.setup == r.setup;
        if rods[..i].iter().any(|o| same(&o)) {
            continue;
        }
        let all: Vec<f64> = rods[i..].iter().filter(same).map(|o| o.read).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        sum += all.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
        more += all.len() - 1;
    }
    (more > 0).then(|| ((sum / more as f64).sqrt(), more))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::level::{self, Rise};

    fn rods() -> Vec<Rod> {
        let list =
            [(0, 0, 1201.3), (1, 0, 1198.9), (2, 0, 1205.2), (2, 1, 1100.1), (1, 1, 1093.2), (3, 1, 1099.0)];
        let more = [(3, 2, 999.4), (0, 2, 1003.1), (4, 2, 1007.7), (4, 2, 1008.1)];
        list.into_iter().chain(more).map(|(point, setup, read)| Rod { point, setup, read }).collect()
    }

    /// Three readings of a point about their mean of 1000 and two of another about 900: 4 + 0 + 4 + 1 + 1 over 2 + 1.
    #[test]
    fn how_well_a_reading_repeats_is_pooled_over_points() {
        let list = [(0, 998.0), (1, 899.0), (0, 1000.0), (0, 1002.0), (1, 901.0), (2, 700.0)];
        let rods = list.map(|(point, read)| Rod { point, setup: 0, read });
        let (sd, more) = repeatability(&rods).expect("some were read again");
        assert!((sd * sd - 10.0 / 3.0).abs() < 1e-12 && more == 3, "{sd} {more}");
        assert_eq!(repeatability(&rods[..2]), None);
    }

    /// The same readings as a levelling net whose points are floor points and instrument planes, solved by the
    /// module that is checked against Ghilani and Niemeier.
    #[test]
    fn heights_are_those_of_the_levelling_net() {
        let (rods, sd) = (rods(), 1.3);
        let got = adjust(5, 3, &rods, sd);
        let rises: Vec<Rise> =
            rods.iter().map(|r| Rise { from: r.point, to: 5 + r.setup, rise: r.read, sd }).collect();
        let fixed = [None, None, None, None, None, Some(0.0), None, None];
        let net = level::adjust(&fixed, &rises).expect("tied");
        assert_eq!(got.redundancy, net.redundancy);
        for p in 0..5 {
            let (a, b) = (got.z[p].expect("read"), got.z[0].expect("read"));
            assert!((a - b - (net.at[p] - net.at[0])).abs() < 1e-9);
            assert!((got.sd(p) - net.sd[p]).abs() < 1e-9, "{p}: {} {}", got.sd(p), net.sd[p]);
        }
        for (r, n) in got.residuals.iter().zip(&net.rises) {
            assert!((r.expect("tied") - n.residual).abs() < 1e-9);
        }
    }

    #[test]
    fn a_setup_that_shares_no_point_is_loose() {
        let mut all = rods();
        all.push(Rod { point: 5, setup: 3, read: 900.0 });
        let got = adjust(6, 4, &all, 1.0);
        assert_eq!((got.loose, got.z[5]), (vec![3], None));
    }

    #[test]
    fn repeats_tell_how_well_a_person_reads() {
        // Standard deviation of two readings 0.4 mm apart: 0.4/√2.
        let (sd, more) = repeatability(&rods()).expect("one repeat");
        assert!((sd - 0.4 / 2f64.sqrt()).abs() < 1e-9 && more == 1);
    }
}
