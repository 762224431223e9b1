//! Least squares over distances and angles between points of a plane, with fixed points or free.
//!
//! Rooms are solved by it, and so are the textbook networks that check it. Any unit of length will do as long as
//! it is the same for coordinates, distances and their standard deviations (rooms: millimetres). x and y are the
//! axes of plan coordinates, angles run clockwise as seen on the page (from x towards y), in radians. A network
//! in northings and eastings with angles clockwise from north fits by taking x = northing and y = easting.
//!
//! Gauss–Newton steps, Newton's own where those gain little, damped after Levenberg and Marquardt only while a step
//! would make the fit worse, on normal equations; statistics after Baarda (1968): redundancy numbers, standardised residuals.

use crate::matrix::{Symmetric, dot};
use drylay_geometry::Covariance;

/// What was observed. Points are indices into the list of places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Observed {
    /// Distance between two points.
    Distance {
        /// One end.
        from: usize,
        /// The other end.
        to: usize,
    },
    /// Angle at a point, clockwise on the page from one direction to the other, from 0 to 2π.
    Angle {
        /// Where the angle is.
        at: usize,
        /// The point it opens from.
        from: usize,
        /// The point it opens to.
        to: usize,
    },
}

/// An observation: what, how much, and how well.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observation {
    /// What was observed.
    pub what: Observed,
    /// The value: unit of length, or radians.
    pub value: f64,
    /// Its standard deviation in the same unit; positive.
    pub sd: f64,
}

/// What holds the network in place.
#[derive(Clone, Debug, PartialEq)]
pub enum Datum {
    /// Coordinates that stay as they are given: one flag for each point and axis.
    Fixed(Vec<(bool, bool)>),
    /// Nothing: all corrections together neither shift nor turn the network (inner constraints).
    Inner,
}

/// A derivative by coordinates, as (coordinate, factor) pairs: coordinate 2i is x and 2i + 1 is y of point i. A
/// slice of at most six pairs that needs no allocation. What makes and reads them is inlined: copying them took a tenth of
/// an adjustment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gradient {
    terms: [(usize, f64); 6],
    used: usize,
}

impl Gradient {
    #[inline(always)]
    fn new(terms: &[(usize, f64)]) -> Self {
        let mut out = Self { terms: [(0, 0.0); 6], used: terms.len().min(6) };
        out.terms[..out.used].copy_from_slice(&terms[..out.used]);
        out
    }
}

impl std::ops::Deref for Gradient {
    type Target = [(usize, f64)];
    fn deref(&self) -> &Self::Target {
        &self.terms[..self.used]
    }
}

/// Why a network has no solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unsolved {
    /// The observations do not fix all free coordinates.
    #[error("the observations do not fix every point")]
    Undetermined,
    /// The steps did not settle.
    #[error("the adjustment does not settle")]
    Wandering,
}

/// One observation after the adjustment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Adjusted {
    /// Adjusted value.
    pub value: f64,
    /// Adjusted minus observed.
    pub residual: f64,
    /// Standard deviation of the adjusted value, from the a-priori standard deviations.
    pub sd: f64,
    /// Redundancy number, 0 (nothing checks it) to 1.
    pub redundancy: f64,
    /// Residual over its own standard deviation; `None` where nothing checks the observation.
    pub w: Option<f64>,
}

/// An adjusted network.
#[derive(Clone, Debug)]
pub struct Solution {
    /// Adjusted coordinates.
    pub at: Vec<(f64, f64)>,
    /// One entry for each observation, in order.
    pub observations: Vec<Adjusted>,
    /// Number of observations less the number of coordinates they fix.
    pub redundancy: usize,
    /// Weighted sum of squared residuals.
    pub sum: f64,
    covariance: Vec<f64>,
}

impl Solution {
    /// The adjustment without one of its observations, to first order: the covariance and the places as the update
    /// formula of sequential least squares gives them (Strang and Borre 1997, section 11.7, with the weight taken
    /// away). `observations` are those that were adjusted. `None` where nothing checks the one.
    pub(crate) fn without(&self, observations: &[Observation], one: usize) -> Option<Self> {
        let o = &observations[one];
        let (d, row) = o.misfit(&self.at);
        let n = 2 * self.at.len();
        let column: Vec<f64> =
            (0..n).map(|c| row.iter().map(|&(j, v)| v * self.covariance(c, j)).sum()).collect();
        let variance: f64 = row.iter().map(|&(c, v)| v * column[c]).sum();
        let left = o.sd * o.sd - variance;
        if left <= UNCHECKED * o.sd * o.sd {
            return None;
        }
        let mut out = self.clone();
        for (line, u) in out.covariance.chunks_exact_mut(n).zip(&column) {
            line.iter_mut().zip(&column).for_each(|(c, v)| *c += u * v / left);
        }
        for (i, p) in out.at.iter_mut().enumerate() {
            *p = (p.0 - column[2 * i] * d / left, p.1 - column[2 * i + 1] * d / left);
        }
        let rest: Vec<Observation> =
            observations.iter().enumerate().filter(|(k, _)| *k != one).map(|(_, o)| *o).collect();
        out.observations = rest.iter().map(|o| judge(o, &out)).collect();
        out.sum = misfit(&out.at, &rest);
        out.redundancy -= 1;
        Some(out)
    }
}

/// Redundancy numbers below this are nothing but rounding: no other observation checks this one.
pub(crate) const UNCHECKED: f64 = 1e-7;

impl Solution {
    /// Places that are known exactly.
    pub(crate) fn exact(at: Vec<(f64, f64)>) -> Self {
        let n = 2 * at.len();
        Self { at, observations: Vec::new(), redundancy: 0, sum: 0.0, covariance: vec![0.0; n * n] }
    }

    /// Places of this covariance, by rows.
    pub(crate) fn known(at: Vec<(f64, f64)>, covariance: &Covariance) -> Self {
        let n = 2 * at.len();
        let rows = (0..n * n).map(|k| covariance.of(k / n, k % n)).collect();
        Self { covariance: rows, ..Self::exact(at) }
    }

    /// Weighted sum of squares over redundancy; `None` without redundancy.
    pub fn variance_factor(&self) -> Option<f64> {
        (self.redundancy > 0).then(|| self.sum / self.redundancy as f64)
    }

    /// Covariance of two coordinates, from the a-priori standard deviations; zero for fixed ones.
    pub fn covariance(&self, row: usize, column: usize) -> f64 {
        self.covariance[row * 2 * self.at.len() + column]
    }

    /// Covariances of one coordinate with all.
    pub(crate) fn covariances_of(&self, row: usize) -> &[f64] {
        let n = 2 * self.at.len();
        &self.covariance[row * n..(row + 1) * n]
    }

    /// All of it, by rows.
    pub fn covariance_rows(&self) -> &[f64] {
        &self.covariance
    }

    /// Covariance of two linear functions of the coordinates.
    #[inline]
    pub fn between(&self, a: &[(usize, f64)], b: &[(usize, f64)]) -> f64 {
        let row = |&(i, u): &(usize, f64)| {
            let line = self.covariances_of(i);
            u * b.iter().map(|&(j, v)| v * line[j]).sum::<f64>()
        };
        a.iter().map(row).sum()
    }

    /// Standard deviation of a linear function of the coordinates.
    pub fn sd(&self, a: &[(usize, f64)]) -> f64 {
        self.between(a, a).max(0.0).sqrt()
    }
}

impl Observed {
    /// Value and derivative at given places. An observation whose points coincide has no derivative there.
    #[inline(always)]
    pub fn linear(self, at: &[(f64, f64)]) -> (f64, Gradient) {
        match self {
            Self::Distance { from, to } => {
                let (d, c, s) = way(at[from], at[to]);
                (d, Gradient::new(&[(2 * from, -c), (2 * from + 1, -s), (2 * to, c), (2 * to + 1, s)]))
            }
            Self::Angle { at: here, from, to } => {
                let (ax, ay, a) = leg(at[here], at[from]);
                let (bx, by, b) = leg(at[here], at[to]);
                let turn = libm::atan2(ax * by - ay * bx, ax * bx + ay * by);
                let value = if turn < 0.0 { turn + 2.0 * std::f64::consts::PI } else { turn };
                let (p, q) = (per_square(ax, ay, a), per_square(bx, by, b));
                let row = [
                    (2 * here, q.1 - p.1),
                    (2 * here + 1, p.0 - q.0),
                    (2 * from, p.1),
                    (2 * from + 1, -p.0),
                    (2 * to, -q.1),
                    (2 * to + 1, q.0),
                ];
                (value, Gradient::new(&row))
            }
        }
    }
}

fn leg(a: (f64, f64), b: (f64, f64)) -> (f64, f64, f64) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    (dx, dy, (dx * dx + dy * dy).sqrt())
}

/// Distance and direction; coinciding points have none.
#[inline(always)]
fn way(a: (f64, f64), b: (f64, f64)) -> (f64, f64, f64) {
    let (dx, dy, d) = leg(a, b);
    if d > 0.0 { (d, dx / d, dy / d) } else { (d, 0.0, 0.0) }
}

fn per_square(x: f64, y: f64, d: f64) -> (f64, f64) {
    if d > 0.0 { (x / (d * d), y / (d * d)) } else { (0.0, 0.0) }
}

impl Observation {
    /// Observed minus computed, angles to within half a turn; and the derivative.
    #[inline(always)]
    pub(crate) fn misfit(&self, at: &[(f64, f64)]) -> (f64, Gradient) {
        let (computed, row) = self.what.linear(at);
        (self.difference(computed), row)
    }

    fn difference(&self, computed: f64) -> f64 {
        let d = self.value - computed;
        if matches!(self.what, Observed::Distance { .. }) {
            return d;
        }
        let turn = 2.0 * std::f64::consts::PI;
        d - turn * (d / turn).round()
    }
}

/// Weighted sum of squared misfits at given places.
pub fn misfit(at: &[(f64, f64)], observations: &[Observation]) -> f64 {
    let one = |o: &Observation| {
        let d = match o.what {
            // The quick way for the common case: no derivative wanted.
            Observed::Distance { from, to } => o.value - leg(at[from], at[to]).2,
            Observed::Angle { .. } => o.misfit(at).0,
        };
        (d / o.sd) * (d / o.sd)
    };
    observations.iter().map(one).sum()
}

/// Normal equations in the unknowns that are free.
struct Unknowns {
    place: Vec<Option<usize>>,
    count: usize,
    inner: bool,
}

impl Unknowns {
    fn new(points: usize, datum: &Datum) -> Self {
        let (mut place, mut count) = (Vec::with_capacity(2 * points), 0);
        for i in 0..points {
            let fixed = match datum {
                Datum::Fixed(flags) => flags.get(i).copied().unwrap_or((false, false)),
                Datum::Inner => (false, false),
            };
            for held in [fixed.0, fixed.1] {
                place.push((!held).then_some(count));
                count += usize::from(!held);
            }
        }
        Self { place, count, inner: *datum == Datum::Inner }
    }

    #[inline(always)]
    fn reduce(&self, row: &Gradient) -> Gradient {
        let mut out = Gradient { terms: row.terms, used: 0 };
        for &(c, v) in row.iter() {
            if let Some(u) = self.place[c] {
                out.terms[out.used] = (u, v);
                out.used += 1;
            }
        }
        out
    }

    fn normals(&self, at: &[(f64, f64)], observations: &[Observation]) -> (Symmetric, Vec<f64>) {
        let mut matrix = Symmetric::zero(self.count);
        let mut right = vec![0.0; self.count];
        for o in observations {
            let weight = 1.0 / (o.sd * o.sd);
            let mut add = |row: &[(usize, f64)], d: f64| {
                matrix.add_outer(row, weight);
                row.iter().for_each(|&(u, v)| right[u] += v * weight * d);
            };
            // What most observations are, of a length that is known while this is compiled.
            if let Observed::Distance { from, to } = o.what
                && let [[Some(a), Some(b)], [Some(p), Some(q)]] = [from, to].map(|i| self.places(i))
            {
                let (d, c, s) = way(at[from], at[to]);
                add(&[(a, -c), (b, -s), (p, c), (q, s)], o.value - d);
                continue;
            }
            let (d, row) = o.misfit(at);
            add(&self.reduce(&row), d);
        }
        (matrix, right)
    }

    /// The unknowns that a point's coordinates are.
    fn places(&self, point: usize) -> [Option<usize>; 2] {
        [self.place[2 * point], self.place[2 * point + 1]]
    }

    /// The part of the second derivative of an observation's square that its residual brings: for a distance
    /// w (d − l)/d (1 − u uᵀ) with u the direction. Angles' own is left out.
    fn add_curvature(&self, at: &[(f64, f64)], o: &Observation, matrix: &mut Symmetric) {
        let Observed::Distance { from, to } = o.what else { return };
        let (dx, dy, d) = leg(at[from], at[to]);
        if d <= 0.0 {
            return;
        }
        let (across, part) = ([-dy / d, dx / d], (d - o.value) / (d * o.sd * o.sd));
        let row = [
            (2 * from, -across[0]),
            (2 * from + 1, -across[1]),
            (2 * to, across[0]),
            (2 * to + 1, across[1]),
        ];
        matrix.add_outer(&self.reduce(&Gradient::new(&row)), part);
    }

    /// Shifts and turn of the whole network as orthonormal vectors; none where coordinates are fixed.
    fn rigid(&self, at: &[(f64, f64)]) -> Vec<Vec<f64>> {
        if !self.inner || at.is_empty() {
            return Vec::new();
        }
        let n = at.len() as f64;
        let (cx, cy) = at.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0 / n, s.1 + p.1 / n));
        let spread = at.iter().map(|p| (p.0 - cx) * (p.0 - cx) + (p.1 - cy) * (p.1 - cy)).sum::<f64>().sqrt();
        let each = |f: &dyn Fn(&(f64, f64)) -> [f64; 2]| at.iter().flat_map(f).collect::<Vec<f64>>();
        let unit = 1.0 / n.sqrt();
        vec![
            each(&|_| [unit, 0.0]),
            each(&|_| [0.0, unit]),
            each(&|p| [-(p.1 - cy) / spread, (p.0 - cx) / spread]),
        ]
    }

    /// The matrix with the freedom of the whole network taken away, and by how much.
    fn held(&self, mut matrix: Symmetric, at: &[(f64, f64)]) -> (Symmetric, Vec<Vec<f64>>, f64) {
        let (rigid, strength) = (self.rigid(at), matrix.mean_diagonal());
        for b in &rigid {
            for i in 0..self.count {
                for j in 0..=i {
                    matrix.add(i, j, strength * b[i] * b[j]);
                }
            }
        }
        (matrix, rigid, strength)
    }

    fn moved(&self, at: &[(f64, f64)], step: &[f64]) -> Vec<(f64, f64)> {
        let by = |c: usize| self.place[c].map_or(0.0, |u| step[u]);
        at.iter().enumerate().map(|(i, p)| (p.0 + by(2 * i), p.1 + by(2 * i + 1))).collect()
    }
}

/// Brings places to the least sum of squares near where they start.
///
/// # Errors
/// [`Unsolved`]: too little observed, or no end in [`MOST_STEPS`] steps.
pub(crate) fn settle(
    start: &[(f64, f64)],
    observations: &[Observation],
    datum: &Datum,
) -> Result<Vec<(f64, f64)>, Unsolved> {
    descend(start, observations, datum, &mut |_, _, _| Pace::On)
}

/// What to do after a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Pace {
    /// Another step, unless the places are at rest.
    On,
    /// Near enough.
    Enough,
    /// This leads nowhere.
    GiveUp,
}

/// As [`settle`], but `judge` is asked after each step, with the sums of squares before and after it and its size,
/// whether to go on.
pub(crate) fn descend(
    start: &[(f64, f64)],
    observations: &[Observation],
    datum: &Datum,
    judge: &mut dyn FnMut(f64, f64, f64) -> Pace,
) -> Result<Vec<(f64, f64)>, Unsolved> {
    let unknowns = Unknowns::new(start.len(), datum);
    let mut here = Descent { at: start.to_vec(), sum: misfit(start, observations), lambda: 0.0 };
    let (still, mut slow) = (stillness(start), false);
    for _ in 0..MOST_STEPS {
        let (matrix, right) = unknowns.normals(&here.at, observations);
        let (matrix, _, _) = unknowns.held(matrix, &here.at);
        let plain = if slow { None } else { here.step(&unknowns, observations, &matrix, &right, still) };
        let taken = plain.or_else(|| {
            let bent = here.bent(&unknowns, observations, &matrix, &right, still);
            bent.or_else(|| here.damped(&unknowns, observations, &matrix, &right, still))
        });
        let next = taken.ok_or(Unsolved::Undetermined)?;
        let pace = judge(here.sum, next.sum, next.size);
        slow = next.sum > here.sum / 2.0;
        (here.at, here.sum) = (next.at, next.sum);
        if pace == Pace::Enough || (here.lambda < 1e-3 && (next.size < still || next.gain < REST)) {
            return Ok(here.at);
        }
        if pace == Pace::GiveUp {
            return Err(Unsolved::Wandering);
        }
        here.lambda = if here.lambda > 1e-5 { here.lambda / 10.0 } else { 0.0 };
    }
    Err(Unsolved::Wandering)
}

/// Where an adjustment is on its way down.
struct Descent {
    at: Vec<(f64, f64)>,
    sum: f64,
    /// Levenberg and Marquardt's damping.
    lambda: f64,
}

/// A step that was taken: where it led, its largest part, and by how much the sum of squares was to fall.
struct Step {
    at: Vec<(f64, f64)>,
    sum: f64,
    size: f64,
    gain: f64,
}

impl Descent {
    /// The step that a matrix gives, if it does no harm.
    fn step(
        &self,
        unknowns: &Unknowns,
        observations: &[Observation],
        matrix: &Symmetric,
        right: &[f64],
        still: f64,
    ) -> Option<Step> {
        let mut step = right.to_vec();
        matrix.factor_damped(self.lambda)?.solve(&mut step);
        let at = unknowns.moved(&self.at, &step);
        let sum = misfit(&at, observations);
        let size = step.iter().fold(0.0f64, |m, s| m.max(s.abs()));
        let gain = dot(right, &step);
        // Near the end the sums differ by rounding only: then a step is good that does no harm.
        let near = self.lambda == 0.0 && (size < 1e3 * still || gain < REST);
        (sum <= self.sum + ROUNDING * (1.0 + self.sum) || near).then_some(Step { at, sum, size, gain })
    }

    /// Newton's step, with the curvature of the distances: where soft directions meet large residuals, Gauss and
    /// Newton's step overshoots or gains little. Where the shape lies on a ridge between two hollows, as a corner
    /// near a straight line does, it is damped by no more than lets it go down. `None` where that takes much.
    fn bent(
        &mut self,
        unknowns: &Unknowns,
        observations: &[Observation],
        matrix: &Symmetric,
        right: &[f64],
        still: f64,
    ) -> Option<Step> {
        const DAMPED: [f64; 10] = [0.0, 1e-7, 3e-7, 1e-6, 3e-6, 1e-5, 3e-5, 1e-4, 3e-4, 1e-3];
        let mut bent = matrix.clone();
        for o in observations {
            unknowns.add_curvature(&self.at, o, &mut bent);
        }
        let lambda = self.lambda;
        for by in DAMPED {
            self.lambda = by;
            if let Some(step) = self.step(unknowns, observations, &bent, right, still) {
                self.lambda = if by > 0.0 { RIDGE } else { 0.0 };
                return Some(if by > 0.0 { self.farther(step, observations) } else { step });
            }
        }
        self.lambda = lambda;
        None
    }

    /// A step over a ridge doubled for as long as that goes down.
    fn farther(&self, mut step: Step, observations: &[Observation]) -> Step {
        loop {
            let twice = |(p, q): (&(f64, f64), &(f64, f64))| (2.0 * q.0 - p.0, 2.0 * q.1 - p.1);
            let at: Vec<(f64, f64)> = self.at.iter().zip(&step.at).map(twice).collect();
            let sum = misfit(&at, observations);
            if sum.is_nan() || sum >= step.sum {
                return step;
            }
            step = Step { at, sum, size: 2.0 * step.size, gain: 2.0 * step.gain };
        }
    }

    /// Steps damped more and more until one does no harm.
    fn damped(
        &mut self,
        unknowns: &Unknowns,
        observations: &[Observation],
        matrix: &Symmetric,
        right: &[f64],
        still: f64,
    ) -> Option<Step> {
        while self.lambda < 1e12 {
            if let Some(step) = self.step(unknowns, observations, matrix, right, still) {
                return Some(step);
            }
            self.lambda = if self.lambda > 0.0 { self.lambda * 10.0 } else { 1e-4 };
        }
        None
    }
}

/// A room settles in four to eight steps; a start a long way off, or a fit that a foot too much has bent, in 30.
/// A round hall of 500 corners that turn by less than a degree each needs nearly 400: noise has put some of them on
/// the wrong side. What has not ended then is turning in circles.
const MOST_STEPS: usize = 500;

/// Two sums of squares nearer than this part of themselves are equal as far as `f64` can tell: a residual of a
/// millimetre in a coordinate of 10 m carries about 1e-12.
const ROUNDING: f64 = 1e-11;

/// What stands as damping after a step over a ridge: too much for an end, too little to matter.
const RIDGE: f64 = 1e-2;

/// A step by which the sum of squares would fall by less than this moves nothing by more than 1e-8 of its standard
/// deviation: many soft corners together never come nearer to rest, for rounding.
const REST: f64 = 1e-16;

/// The step at which an adjustment is at rest: a hundred times the rounding of the largest coordinate, at least
/// 1e-9.
fn stillness(at: &[(f64, f64)]) -> f64 {
    let largest = at.iter().fold(0.0f64, |m, p| m.max(p.0.abs()).max(p.1.abs()));
    (largest * 100.0 * f64::EPSILON).max(1e-9)
}

/// Adjusts a network from approximate places.
///
/// # Errors
/// [`Unsolved`].
///
/// ```
/// use drylay_survey::network::{Datum, Observation, Observed, adjust};
/// // A 3-4-5 triangle; the base lies fixed.
/// let start = [(0.0, 0.0), (3.0, 0.0), (0.2, 3.5)];
/// let side = |from, to, value| Observation { what: Observed::Distance { from, to }, value, sd: 0.001 };
/// let fixed = Datum::Fixed(vec![(true, true), (true, true), (false, false)]);
/// let out = adjust(&start, &[side(0, 2, 4.0), side(1, 2, 5.0)], &fixed).unwrap();
/// assert!((out.at[2].0).abs() < 1e-9 && (out.at[2].1 - 4.0).abs() < 1e-9);
/// assert_eq!(out.redundancy, 0);
/// ```
pub fn adjust(
    start: &[(f64, f64)],
    observations: &[Observation],
    datum: &Datum,
) -> Result<Solution, Unsolved> {
    let at = settle(start, observations, datum)?;
    statistics(at, observations, datum)
}

/// Covariances and tests at places that are at rest.
pub(crate) fn statistics(
    at: Vec<(f64, f64)>,
    observations: &[Observation],
    datum: &Datum,
) -> Result<Solution, Unsolved> {
    let unknowns = Unknowns::new(at.len(), datum);
    let (matrix, _) = unknowns.normals(&at, observations);
    let (matrix, rigid, strength) = unknowns.held(matrix, &at);
    let inverse = matrix.factor().ok_or(Unsolved::Undetermined)?.inverse();
    let mut solution = Solution {
        redundancy: (observations.len() + rigid.len()).saturating_sub(unknowns.count),
        sum: misfit(&at, observations),
        observations: Vec::with_capacity(observations.len()),
        covariance: full_covariance(&unknowns, &inverse, &rigid, strength),
        at,
    };
    for o in observations {
        let adjusted = judge(o, &solution);
        solution.observations.push(adjusted);
    }
    Ok(solution)
}

fn full_covariance(unknowns: &Unknowns, inverse: &Symmetric, rigid: &[Vec<f64>], strength: f64) -> Vec<f64> {
    let n = unknowns.place.len();
    let mut rows = vec![0.0; n * n];
    for (i, u) in unknowns.place.iter().enumerate() {
        for (j, v) in unknowns.place.iter().enumerate() {
            if let (Some(u), Some(v)) = (*u, *v) {
                let whole: f64 = rigid.iter().map(|b| b[u] * b[v] / strength).sum();
                rows[i * n + j] = inverse.at(u, v) - whole;
            }
        }
    }
    rows
}

fn judge(o: &Observation, solution: &Solution) -> Adjusted {
    let (d, row) = o.misfit(&solution.at);
    let variance = solution.between(&row, &row).max(0.0);
    let redundancy = (1.0 - variance / (o.sd * o.sd)).clamp(0.0, 1.0);
    let w = (redundancy > UNCHECKED).then(|| -d / (o.sd * redundancy.sqrt()));
    Adjusted { value: o.value - d, residual: -d, sd: variance.sqrt(), redundancy, w }
}

/// The ways in which places can move without changing any of the observations, as orthonormal vectors over all
/// coordinates (fixed ones zero). Rows are taken without weight, angles times the shorter leg, so that the answer
/// depends on the geometry alone.
pub(crate) fn freedoms(at: &[(f64, f64)], what: &[Observed], datum: &Datum) -> Vec<Vec<f64>> {
    /// A motion that changes every observation by less than about a thousandth of itself is free: tape readings
    /// fix such a direction a thousand times worse than their own error. A long row of corners bends more easily,
    /// its stiffness falling with the fourth power of their number as a beam's with its length: that is soft, not
    /// free, and stays above this for 500 corners.
    const RELATIVE: f64 = 1e-6;
    /// The number of points up to which that is taken as it stands.
    const FEW: f64 = 24.0;
    let longer = (at.len() as f64 / FEW).max(1.0);
    let relative = RELATIVE / (longer * longer * longer * longer);
    let unknowns = Unknowns::new(at.len(), datum);
    let mut matrix = Symmetric::zero(unknowns.count);
    for o in what {
        matrix.add_outer(&unknowns.reduce(&shape_row(*o, at)), 1.0);
    }
    let (matrix, _, _) = unknowns.held(matrix, at);
    let spread = |v: &Vec<f64>| unknowns.place.iter().map(|p| p.map_or(0.0, |u| v[u])).collect();
    matrix.null_space(relative).iter().map(spread).collect()
}

/// The derivative of an observation in units of length.
pub(crate) fn shape_row(what: Observed, at: &[(f64, f64)]) -> Gradient {
    let mut row = what.linear(at).1;
    if let Observed::Angle { at: here, from, to } = what {
        let shorter = leg(at[here], at[from]).2.min(leg(at[here], at[to]).2);
        row.terms.iter_mut().for_each(|(_, v)| *v *= shorter);
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACES: [(f64, f64); 5] =
        [(0.0, 0.0), (4000.0, 0.0), (4200.0, 3000.0), (1800.0, 4100.0), (-300.0, 2700.0)];

    /// All distances between five places, each off by a made-up part of a millimetre.
    fn distances() -> Vec<Observation> {
        let pairs = (0..5).flat_map(|from| (from + 1..5).map(move |to| (from, to)));
        let one = |(k, (from, to)): (usize, (usize, usize))| {
            let off = ((k * 7 % 11) as f64 - 5.0) / 10.0;
            let value = leg(PLACES[from], PLACES[to]).2 + off;
            Observation { what: Observed::Distance { from, to }, value, sd: 1.0 + k as f64 / 10.0 }
        };
        pairs.enumerate().map(one).collect()
    }

    fn solved(observations: &[Observation]) -> Solution {
        let free = (false, false);
        let datum = Datum::Fixed(vec![(true, true), (false, true), free, free, free]);
        adjust(&PLACES, observations, &datum).expect("a solution")
    }

    #[test]
    fn a_network_far_from_its_origin_is_at_rest_within_its_rounding() {
        assert_eq!(stillness(&PLACES), 1e-9);
        // A kilometre away the last digit is 1.2e-10 mm.
        assert!((stillness(&[(0.0, 0.0), (-1e6, 3.0)]) - 2.22e-8).abs() < 1e-10);
    }

    /// A point of which nothing is said whether it is held is free.
    #[test]
    fn points_that_a_datum_does_not_name_are_free() {
        let fixed = vec![(true, true), (false, true)];
        let short = adjust(&PLACES, &distances(), &Datum::Fixed(fixed)).expect("a solution");
        assert_eq!((short.at, short.redundancy), (solved(&distances()).at, 3));
    }

    /// Whether anything checks an observation does not hang on the unit of length.
    #[test]
    fn leaving_one_out_is_the_same_in_metres() {
        let metres = |o: &Observation| Observation { value: o.value / 1000.0, sd: o.sd / 1000.0, ..*o };
        let (all, small): (Vec<_>, Vec<_>) = distances().iter().map(|o| (*o, metres(o))).unzip();
        let at = PLACES.map(|p| (p.0 / 1000.0, p.1 / 1000.0));
        let free = (false, false);
        let datum = Datum::Fixed(vec![(true, true), (false, true), free, free, free]);
        let whole = adjust(&at, &small, &datum).expect("a solution");
        for one in 0..all.len() {
            let (large, short) = (solved(&all).without(&all, one), whole.without(&small, one));
            let (large, short) = (large.expect("in millimetres"), short.expect("in metres"));
            assert!((large.sum - short.sum).abs() < 1e-6, "{one}: {} and {}", large.sum, short.sum);
        }
    }

    /// Without one of its observations, by the update formula as by adjusting the others anew.
    #[test]
    fn leaving_one_out_is_adjusting_the_others() {
        let all = distances();
        let whole = solved(&all);
        for one in 0..all.len() {
            let short = whole.without(&all, one).expect("the others check it");
            let rest: Vec<Observation> =
                all.iter().enumerate().filter(|(k, _)| *k != one).map(|(_, o)| *o).collect();
            let anew = solved(&rest);
            for (p, q) in short.at.iter().zip(&anew.at) {
                assert!((p.0 - q.0).abs() < 2e-3 && (p.1 - q.1).abs() < 2e-3, "{one}: {p:?}, {q:?}");
            }
            assert!((short.sum - anew.sum).abs() < 1e-3, "{one}: {} and {}", short.sum, anew.sum);
            assert_eq!(
                (short.redundancy, short.observations.len()),
                (anew.redundancy, anew.observations.len())
            );
            for (k, (a, b)) in short.covariance.iter().zip(&anew.covariance).enumerate() {
                assert!((a - b).abs() < 1e-2 * (1.0 + b.abs()), "{one}, entry {k}: {a} and {b}");
            }
        }
    }
}
