//! The cheapest correction: how much to fill or grind at each reading so that every chord keeps the tolerances.
//!
//! A chord's deviation is a sum of heights, so each chord asks something linear of the changes, and the cost is
//! linear too. There are endlessly many chords: a linear programme is solved with those found so far, the worst
//! chords of the floor it makes are added, and so on until a search finds none that is over.

use super::ground::Ground;
use super::linear::{self, Row};
use super::mesh::Mesh;
use super::search::{Aim, Chord, Surface, search};
use super::verdict::Tolerance;

/// By how much programmes aim inside the limit, as a share of what the floor is over it, and the least and most in
/// mm: the wider, the sooner a search has shown that no chord is over.
const AIM: f64 = 0.003;
const AIMS: [f64; 2] = [0.003, 0.015];
/// The share of what is over that the first searches leave, and by how much it shrinks when they find no more.
const COARSE: f64 = 0.05;
const FINER: f64 = 8.0;
/// Least gap that is aimed at, mm: beneath it nobody can work.
const LEAST: f64 = 0.05;
/// Changes smaller than this are not worth carrying a bucket for, mm.
const SMALL: f64 = 0.3;
/// What leaving small changes out may add to the cost.
const DEARER: f64 = 1.005;
/// Rounds of adding chords after which it is given up.
const ROUNDS: usize = 80;

/// What a correction must hold and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Tolerances, all of which must hold.
    pub tolerances: Vec<Tolerance>,
    /// By how much they are kept clear of, mm.
    pub margin: f64,
    /// Cost of a litre filled.
    pub fill_cost: f64,
    /// Cost of a litre ground off; `None` where grinding is not possible.
    pub grind_cost: Option<f64>,
}

/// A correction.
#[derive(Clone, Debug, PartialEq)]
pub struct Corrected {
    /// Millimetres to fill at each reading.
    pub fill: Vec<f64>,
    /// Millimetres to grind off.
    pub grind: Vec<f64>,
    /// Σ over readings of a third of the adjacent triangles' area × change × cost a litre.
    pub cost: f64,
    /// Litres filled.
    pub fill_litres: f64,
    /// Litres ground off.
    pub grind_litres: f64,
    /// The greatest deviation left under any of the tolerances, mm.
    pub worst_after: f64,
    /// The heights afterwards.
    pub z: Vec<f64>,
}

struct Work<'a> {
    mesh: &'a Mesh,
    ground: &'a Ground,
    z: &'a [f64],
    job: &'a Job,
    litres: Vec<f64>,
    rows: Vec<Row>,
    aim: f64,
    /// Chords this much over are let pass for the time being, mm.
    slack: f64,
    /// Rounds of adding chords so far.
    rounds: i32,
}

/// Finds the cheapest correction; `None` where the work was ended by `go_on` or no correction was found. `go_on` is told
/// how far the work is, never less than before.
pub fn correct(
    mesh: &Mesh,
    ground: &Ground,
    z: &[f64],
    job: &Job,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Option<Corrected> {
    let litres = mesh.shares().iter().map(|a| a / 1e6).collect();
    let mut work = Work { mesh, ground, z, job, litres, rows: Vec::new(), aim: 0.0, slack: 0.0, rounds: 0 };
    let none = vec![false; z.len()];
    let over = work.over(go_on);
    (work.aim, work.slack) = ((AIM * over).clamp(AIMS[0], AIMS[1]), COARSE * over);
    let change = work.settle(&none, f64::INFINITY, go_on)?;
    let cost = work.cost(&change);
    for small in [SMALL, 0.02] {
        let still: Vec<bool> = change.iter().map(|d| d.abs() < small).collect();
        if let Some(polished) = work.settle(&still, DEARER * cost, go_on) {
            return work.done(&polished, go_on);
        }
    }
    work.done(&change, go_on)
}

impl Work<'_> {
    /// How far the work is: nobody knows how many rounds it takes, so each takes the same share of what is left.
    fn part(&self) -> f64 {
        1.0 - libm::pow(0.94, f64::from(self.rounds))
    }

    fn limit(&self, asked: &Tolerance) -> f64 {
        (asked.gap - self.job.margin).max(LEAST)
    }

    /// How far the floor is over the limits as it lies, mm.
    fn over(&self, go_on: &mut dyn FnMut(f64) -> bool) -> f64 {
        let none = vec![0.0; self.z.len()];
        let each = |asked| self.worst(asked, &none, go_on) - self.limit(asked);
        self.job.tolerances.iter().map(each).fold(0.0, f64::max)
    }

    /// The greatest deviation under a tolerance.
    fn worst(&self, asked: &Tolerance, change: &[f64], go_on: &mut dyn FnMut(f64) -> bool) -> f64 {
        let part = self.part();
        let worst =
            |(_, s): (f64, Surface<'_>)| search(&s, asked.span, Aim::Worst, &mut |_| go_on(part)).worst;
        let found = self.faces(change, asked).into_iter().filter_map(worst);
        found.map(|c| c.deviation).fold(0.0, f64::max)
    }

    /// Solves and adds chords until none is over; `None` where it cannot be done at most at this cost.
    fn settle(
        &mut self,
        still: &[bool],
        dearest: f64,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Option<Vec<f64>> {
        let mut change = vec![0.0; self.z.len()];
        for round in 0..ROUNDS {
            if round > 0 || !self.rows.is_empty() {
                change = self.solve(still)?;
                if self.cost(&change) > dearest {
                    return None;
                }
            }
            self.rounds += 1;
            if !go_on(self.part()) {
                return None;
            }
            if !self.add_chords(&change, go_on)? {
                if self.slack <= 0.0 {
                    return Some(change);
                }
                self.slack = if self.slack < self.aim { 0.0 } else { self.slack / FINER };
            }
        }
        None
    }

    fn cost(&self, change: &[f64]) -> f64 {
        let grind = self.job.grind_cost.unwrap_or(0.0);
        let each = |(d, l): (&f64, &f64)| l * if *d > 0.0 { d * self.job.fill_cost } else { -d * grind };
        // Nothing at all is nought, and not minus nought.
        change.iter().zip(&self.litres).map(each).sum::<f64>() + 0.0
    }

    fn after(&self, change: &[f64]) -> Vec<f64> {
        self.z.iter().zip(change).map(|(z, d)| z + d).collect()
    }

    fn faces(&self, change: &[f64], asked: &Tolerance) -> Vec<(f64, Surface<'_>)> {
        let surface = Surface::new(self.mesh, self.after(change), self.ground);
        let humps = asked.humps.then(|| (-1.0, surface.turned_over()));
        [(1.0, surface)].into_iter().chain(humps).collect()
    }

    /// Adds what chords over the limit ask; tells whether there were any, `None` if ended.
    fn add_chords(&mut self, change: &[f64], go_on: &mut dyn FnMut(f64) -> bool) -> Option<bool> {
        let (mut found, part) = (Vec::new(), self.part());
        for asked in &self.job.tolerances {
            let limit = self.limit(asked);
            for (sign, surface) in self.faces(change, asked) {
                let over = limit + self.slack - self.aim / 8.0;
                let over = search(&surface, asked.span, Aim::Over(over), &mut |_| go_on(part));
                if !over.finished {
                    return None;
                }
                let row = |c: Chord| {
                    let now: f64 = c.weights.iter().map(|&(i, w)| w * self.z[i]).sum();
                    let weights = merged(&c.weights, sign);
                    (c.deviation - limit, Row { weights, most: limit - self.aim - sign * now })
                };
                found.extend(over.chords.into_iter().map(row));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0));
        found.truncate(4 * self.z.len());
        let any = !found.is_empty();
        self.rows.extend(found.into_iter().map(|(_, row)| row));
        Some(any)
    }

    /// The linear programme with the chords found so far; readings that are still do not change.
    fn solve(&self, still: &[bool]) -> Option<Vec<f64>> {
        let free: Vec<usize> = (0..self.z.len()).filter(|&i| !still[i]).collect();
        let place = |i: usize| free.binary_search(&i).ok();
        let inner = |r: &Row| {
            let weights = r.weights.iter().filter_map(|&(i, w)| Some((place(i)?, w))).collect();
            Row { weights, most: r.most }
        };
        let rows: Vec<Row> = self.rows.iter().map(inner).collect();
        if free.is_empty() {
            return rows.iter().all(|r| r.most >= 0.0).then(|| vec![0.0; self.z.len()]);
        }
        // A hair of cost even where work is free, so that nothing is both filled and ground off.
        let costs = |price: f64| free.iter().map(|&i| self.litres[i] * price.max(1e-6)).collect::<Vec<f64>>();
        let grind = self.job.grind_cost.map(costs);
        let found = linear::solve(&rows, &costs(self.job.fill_cost), grind.as_deref())?;
        let mut change = vec![0.0; self.z.len()];
        // An inner solution stops a hair above nought; no finger feels a thousandth.
        free.iter().zip(found).filter(|(_, d)| d.abs() > 1e-4).for_each(|(&i, d)| change[i] = d);
        Some(change)
    }

    fn done(&self, change: &[f64], go_on: &mut dyn FnMut(f64) -> bool) -> Option<Corrected> {
        let each = |asked| self.worst(asked, change, go_on);
        let worst = self.job.tolerances.iter().map(each).fold(0.0, f64::max);
        let fill: Vec<f64> = change.iter().map(|d| d.max(0.0)).collect();
        let grind: Vec<f64> = change.iter().map(|d| (-d).max(0.0) + 0.0).collect();
        let litres = |v: &[f64]| v.iter().zip(&self.litres).map(|(d, l)| d * l).sum::<f64>() + 0.0;
        Some(Corrected {
            cost: self.cost(change),
            fill_litres: litres(&fill),
            grind_litres: litres(&grind),
            worst_after: worst,
            z: self.after(change),
            fill,
            grind,
        })
    }
}

/// Weights with each point once, times a sign.
fn merged(weights: &[(usize, f64)], sign: f64) -> Vec<(usize, f64)> {
    let mut sorted = weights.to_vec();
    sorted.sort_by_key(|&(i, _)| i);
    let mut out: Vec<(usize, f64)> = Vec::new();
    for (i, w) in sorted {
        match out.last_mut() {
            Some(last) if last.0 == i => last.1 += sign * w,
            _ => out.push((i, sign * w)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::{Length, Point, Ring};

    #[test]
    fn the_cost_is_that_of_the_litres_that_are_filled_and_ground_off() {
        let at = |x: i64, y: i64| Point::new(Length::from_mm(x), Length::from_mm(y));
        let points: Vec<Point> = (0..25).map(|k| at(100 + k % 5 * 600, 100 + k / 5 * 600)).collect();
        // A dip and a hump of 6 mm in an otherwise level floor.
        let mut z = vec![0.0; 25];
        (z[6], z[18]) = (-6.0, 6.0);
        let ring = Ring::new(vec![at(0, 0), at(2600, 0), at(2600, 2600), at(0, 2600)]);
        let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&ring, &[]));
        let tolerances = vec![Tolerance { gap: 3.0, span: 1500.0, humps: true }];
        let job = Job { tolerances, margin: 0.0, fill_cost: 2.5, grind_cost: Some(4.0) };
        let done = correct(&mesh, &ground, &z, &job, &mut |_| true).expect("a correction");
        assert!(done.fill_litres > 0.1 && done.grind_litres > 0.1, "{done:?}");
        let cost = 2.5 * done.fill_litres + 4.0 * done.grind_litres;
        assert!((done.cost - cost).abs() < 1e-9 * cost, "{} for {cost}", done.cost);
    }
}
