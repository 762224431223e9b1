//! The worst chord of a surface, with a bound that no chord anywhere exceeds.
//!
//! Along a line the surface is a chain of straight stretches, so the point furthest below a chord lies on an edge
//! where the surface folds upwards (for humps the surface is turned over). Lines through such an edge are a
//! rectangle of starting points and directions; [`super::pair`] finds the best two ends on one line. A rectangle
//! is bounded by the parts of the facets that its lines may touch ([`super::reckon`]); the chord that attains the
//! bound tells which line to try. Rectangles whose bound is not above the best chord found so far are done; the
//! others are halved.

use super::frame::{Fan, Frame, Side, Stretch};
use super::ground::Ground;
use super::mesh::Mesh;
use super::pair::{Doubt, Ends, best};
use super::patch::Pool;
use super::reckon::{Most, Reckoner};
use std::ops::Range;

type Xy = (f64, f64);

/// Directions that the half turn of an edge starts with.
const SECTORS: u32 = 12;
/// Halvings after which a rectangle is left as it is; its bound then counts.
const DEEPEST: usize = 64;
/// What rounding may keep a bound below what it bounds, mm.
const HAIR: f64 = 1e-9;
/// How often the search asks whether to go on, in rectangles.
const ASK_EVERY: usize = 64;

/// Tells the variance of a sum of heights, mm², given as (point, factor) pairs.
pub type Variance<'a> = dyn Fn(&[(usize, f64)]) -> f64 + 'a;

/// A chord and how far the surface lies below it (above it, where humps were asked for).
#[derive(Clone, Debug, PartialEq)]
pub struct Chord {
    /// Vertical distance at the point, mm.
    pub deviation: f64,
    /// The point, in plan coordinates.
    pub at: Xy,
    /// The two ends.
    pub ends: [Xy; 2],
    /// The deviation as a sum of heights at the readings: (point, factor).
    pub weights: Vec<(usize, f64)>,
}

/// A surface to search: a triangulation, heights at its points, and the floor where it matters.
#[derive(Clone, Debug)]
pub struct Surface<'a> {
    /// The triangulation.
    pub mesh: &'a Mesh,
    /// Heights at its points, mm.
    pub z: Vec<f64>,
    /// The floor, unless it covers the whole hull.
    pub ground: Option<&'a Ground>,
}

impl<'a> Surface<'a> {
    /// A surface over a floor.
    pub fn new(mesh: &'a Mesh, z: Vec<f64>, ground: &'a Ground) -> Self {
        let hull: Vec<Xy> = mesh.hull.iter().map(|&i| mesh.points[i]).collect();
        Self { mesh, z, ground: (!ground.covers(&hull)).then_some(ground) }
    }

    /// How far the highest point lies above the lowest, mm.
    fn relief(&self) -> f64 {
        let highest = self.z.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        self.z.iter().fold(0.0, |most: f64, z| most.max(highest - z))
    }

    /// The surface upside down: its dips are this one's humps.
    #[must_use]
    pub fn turned_over(&self) -> Self {
        Self { z: self.z.iter().map(|z| -z).collect(), ..self.clone() }
    }
}

/// What a search is for.
#[derive(Clone, Copy)]
pub enum Aim<'a> {
    /// The worst chord; the bound is at most 0.02 mm or 0.5 % above it.
    Worst,
    /// Chords that deviate more than this, at most one from every neighbourhood.
    Over(f64),
    /// Whether any chord's deviation plus twice its standard deviation is over this.
    Doubtful {
        /// The tolerance.
        gap: f64,
        /// The variance of a sum of heights.
        variance: &'a Variance<'a>,
        /// The greatest own variance of a height, and the greatest variance of a difference through set-ups.
        worst: (f64, f64),
    },
}

impl std::fmt::Debug for Aim<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Worst => "Worst",
            Self::Over(_) => "Over",
            Self::Doubtful { .. } => "Doubtful",
        })
    }
}

/// What a search found.
#[derive(Clone, Debug)]
pub struct Found {
    /// The worst chord attained; `None` where nothing lies below any chord.
    pub worst: Option<Chord>,
    /// No chord deviates more: mm. For [`Aim::Doubtful`] with twice the standard deviation.
    pub bound: f64,
    /// For [`Aim::Over`] the chords found; for [`Aim::Worst`] those that were the worst for a while.
    pub chords: Vec<Chord>,
    /// Whether it came to its end; if not, the bound still holds.
    pub finished: bool,
    /// Rectangles looked at.
    pub looked_at: usize,
}

/// Looks for chords that the surface dips below. `go_on` is told the share done and may end the search.
pub fn search(surface: &Surface<'_>, span: f64, aim: Aim<'_>, go_on: &mut dyn FnMut(f64) -> bool) -> Found {
    let mut hunt = Hunt::new(surface, span, aim, go_on);
    let views = hunt.views();
    let mut tops = Vec::new();
    for (v, view) in views.iter().enumerate() {
        for fan in view.fans() {
            if !hunt.goes_on_looking() {
                // No part of a chord is higher than the highest point, and no point lower than the lowest.
                return Found { bound: surface.relief(), ..hunt.found() };
            }
            hunt.pool.clear();
            let mut lists = hunt.lists(view, &fan, None);
            let look = hunt.look(view, &fan, &mut lists);
            tops.push((v, fan, look, hunt.local.take()));
        }
    }
    let mut order: Vec<usize> = (0..tops.len()).collect();
    order.sort_by(|&a, &b| tops[b].2.upper.total_cmp(&tops[a].2.upper).then(a.cmp(&b)));
    for (done, &k) in order.iter().enumerate() {
        let (v, fan, look, seen) = &tops[k];
        hunt.part = done as f64 / order.len() as f64;
        if hunt.stopped || !hunt.goes_on() {
            hunt.bound = hunt.bound.max(look.upper);
            break;
        }
        let view = &views[*v];
        hunt.local = seen.clone();
        // Most need no further look, and what they see need not be found out again.
        let lists = if look.upper <= hunt.enough() {
            Lists::default()
        } else {
            hunt.pool.clear();
            hunt.lists(view, fan, None)
        };
        hunt.explore(view, fan, *look, &lists, 0);
        let worst_here = hunt.local.take();
        hunt.chords.extend(worst_here);
    }
    hunt.found()
}

/// An edge the surface folds upwards at, with what is seen from it.
struct View {
    frame: Frame,
    sides: [Side; 2],
    parts: Vec<(f64, f64)>,
    ends: [usize; 2],
}

impl View {
    fn fans(&self) -> Vec<Fan> {
        let sector = |k: u32| std::f64::consts::PI * f64::from(k) / f64::from(SECTORS);
        let fan = |p: &(f64, f64), k| {
            Fan::new([p.0 * self.frame.length, p.1 * self.frame.length], [sector(k), sector(k + 1)])
        };
        self.parts.iter().flat_map(|p| (0..SECTORS).map(move |k| fan(p, k))).collect()
    }
}

#[derive(Clone, Copy)]
struct Look {
    upper: f64,
    /// What no chord exceeds that ends on a patch that was left out of the fan's lists.
    rest: f64,
    /// Whether the starting points are to be halved, or the directions.
    starts: bool,
}

type Lists = [Range<usize>; 2];

struct Hunt<'a, 'g> {
    surface: &'a Surface<'a>,
    span: f64,
    aim: Aim<'a>,
    go_on: &'g mut dyn FnMut(f64) -> bool,
    /// The share done that `go_on` is told.
    part: f64,
    best: f64,
    worst: Option<Chord>,
    chords: Vec<Chord>,
    bound: f64,
    /// The worst chord of the neighbourhood being searched, for [`Aim::Over`].
    local: Option<Chord>,
    /// What was asked is answered.
    stopped: bool,
    /// `go_on` has ended the search; all bounds from there on count as they are.
    ended: bool,
    looked_at: usize,
    /// How many of them must have been looked at before it is asked again.
    ask_at: usize,
    pool: Pool,
    reckoner: Reckoner,
    line: [Vec<Stretch>; 2],
}

impl<'a, 'g> Hunt<'a, 'g> {
    fn new(surface: &'a Surface<'a>, span: f64, aim: Aim<'a>, go_on: &'g mut dyn FnMut(f64) -> bool) -> Self {
        Self {
            surface,
            span,
            aim,
            go_on,
            part: 0.0,
            best: 0.0,
            worst: None,
            chords: Vec::new(),
            bound: 0.0,
            local: None,
            stopped: false,
            ended: false,
            looked_at: 0,
            ask_at: ASK_EVERY,
            pool: Pool::default(),
            reckoner: Reckoner::default(),
            line: [Vec::new(), Vec::new()],
        }
    }

    fn views(&self) -> Vec<View> {
        let Surface { mesh, z, ground } = self.surface;
        let folds = |e: usize| {
            let frame = Frame::of_fold(mesh, z, e)?;
            let ends = mesh.edges[e].ends;
            let [a, b] = ends.map(|i| mesh.points[i]);
            let parts = ground.map_or_else(|| vec![(0.0, 1.0)], |g| g.parts(a, b));
            let sides = || frame.sides(mesh, z, *ground, self.span);
            (!parts.is_empty()).then(|| View { frame, sides: sides(), parts, ends })
        };
        (0..mesh.edges.len()).filter_map(folds).collect()
    }

    fn found(self) -> Found {
        Found {
            bound: self.bound.max(self.best),
            worst: self.worst,
            chords: self.chords,
            finished: !self.ended,
            looked_at: self.looked_at,
        }
    }

    /// Asks whether to go on.
    fn goes_on(&mut self) -> bool {
        self.ended = self.ended || !(self.go_on)(self.part);
        !self.ended
    }

    /// Asks now and then.
    fn goes_on_looking(&mut self) -> bool {
        if self.ended || self.looked_at < self.ask_at {
            return !self.ended;
        }
        self.ask_at = self.looked_at + ASK_EVERY;
        self.goes_on()
    }

    /// Up to where a bound needs no further look.
    fn enough(&self) -> f64 {
        match self.aim {
            Aim::Worst => self.best + 0.9 * (0.005 * self.best).max(0.02),
            Aim::Over(limit) => match &self.local {
                Some(chord) => chord.deviation + 0.2 * (chord.deviation - limit) + 0.02,
                None => limit,
            },
            Aim::Doubtful { gap, .. } => gap,
        }
    }

    fn lists(&mut self, view: &View, fan: &Fan, within: Option<&Lists>) -> Lists {
        let fans = [*fan, fan.turned()];
        let half = (fan.s[1] - fan.s[0]) / 2.0 * fan.u[2].0.abs();
        [0, 1].map(|side| {
            let upto = view.sides[side].reach_bound(&fans[side], self.span) + half;
            match within {
                Some(lists) => self.pool.within(&lists[side], &fans[side], upto),
                None => self.pool.whole(&view.sides[side], &fans[side], upto),
            }
        })
    }

    /// Bounds a rectangle of lines and tries the line that is likely to be its best. Patches are left out of the lists
    /// where no chord that ends on them needs a further look, neither here nor in any part of the rectangle.
    fn look(&mut self, view: &View, fan: &Fan, lists: &mut Lists) -> Look {
        self.looked_at += 1;
        let doubt = self.doubt(view, fan);
        let enough = self.enough();
        let most = self.reckoner.most(&self.pool, lists, fan, self.span, enough, doubt.as_ref());
        let upper = most.gain + HAIR;
        let likely = likely(fan, &most);
        if upper > enough {
            self.attempt(view, lists, likely.0, likely.1);
        }
        let peaks = [self.reckoner.peaks(0), self.reckoner.peaks(1)];
        // Less by a hair, so that what is left out never asks for a further look itself.
        let rest = (self.pool.leave_out(lists, peaks, enough - HAIR) + HAIR).min(enough);
        Look { upper, rest, starts: likely.2 }
    }

    fn doubt(&self, view: &View, fan: &Fan) -> Option<Doubt> {
        let Aim::Doubtful { worst: (own, tie), .. } = self.aim else { return None };
        let split = |s: f64| {
            let t = s / view.frame.length;
            t * t + (1.0 - t) * (1.0 - t)
        };
        Some(Doubt { own, point: split(fan.s[0]).max(split(fan.s[1])), tie })
    }

    fn attempt(&mut self, view: &View, lists: &Lists, start: f64, u: Xy) {
        for (side, sign) in [(0, 1.0), (1, -1.0)] {
            let s = sign * start;
            let far = view.sides[side].reach(s, u, self.span);
            let facets = self.pool.patches(&lists[side]).iter().map(|p| p.facet);
            view.sides[side].profile(facets, (s, u), far, &mut self.line[side]);
        }
        let ends = best(&self.line[0], &self.line[1], self.span);
        let floor = match self.aim {
            Aim::Worst => self.best,
            Aim::Over(limit) => self.local.as_ref().map_or(limit, |c| c.deviation),
            Aim::Doubtful { .. } => 0.0,
        };
        if ends.gain <= floor {
            return;
        }
        let chord = self.chord(view, start, u, &ends);
        match self.aim {
            Aim::Worst => {
                self.best = chord.deviation;
                self.chords.push(chord.clone());
                self.worst = Some(chord);
            }
            Aim::Over(_) => {
                if chord.deviation > self.best {
                    self.best = chord.deviation;
                    self.worst = Some(chord.clone());
                }
                self.local = Some(chord);
            }
            Aim::Doubtful { gap, variance, .. } => {
                if chord.deviation + 2.0 * variance(&chord.weights).sqrt() > gap {
                    self.stopped = true;
                    self.worst = Some(chord);
                }
            }
        }
    }

    fn chord(&self, view: &View, s: f64, u: Xy, ends: &Ends) -> Chord {
        let (mesh, frame) = (self.surface.mesh, &view.frame);
        let at = frame.back((s, 0.0));
        let places =
            [frame.back((s + ends.a * u.0, ends.a * u.1)), frame.back((s - ends.b * u.0, -ends.b * u.1))];
        let share = s / frame.length;
        let mut weights = vec![(view.ends[0], share - 1.0), (view.ends[1], -share)];
        for (side, far, other) in [(0, ends.a, ends.b), (1, ends.b, ends.a)] {
            let part = if far + other > 0.0 { other / (far + other) } else { 0.5 };
            let t = self.line[side][ends.on[side]].facet;
            let corners = mesh.triangles[t];
            let [a, b, c] = corners.map(|i| mesh.points[i]);
            let twice = super::ground::cross(a, b, c);
            let p = places[side];
            let w =
                [super::ground::cross(b, c, p), super::ground::cross(c, a, p), super::ground::cross(a, b, p)];
            weights.extend([0, 1, 2].map(|k| (corners[k], part * w[k] / twice)));
        }
        let deviation = weights.iter().map(|&(i, w)| w * self.surface.z[i]).sum();
        Chord { deviation, at, ends: places, weights }
    }

    fn explore(&mut self, view: &View, fan: &Fan, look: Look, lists: &Lists, depth: usize) {
        if look.upper <= self.enough() || depth > DEEPEST {
            self.bound = self.bound.max(look.upper);
            self.stopped |= depth > DEEPEST && matches!(self.aim, Aim::Doubtful { .. });
            return;
        }
        if self.stopped {
            return;
        }
        if !self.goes_on_looking() {
            self.bound = self.bound.max(look.upper);
            return;
        }
        let halves = if look.starts {
            let middle = fan.middle();
            [Fan::new([fan.s[0], middle], fan.theta), Fan::new([middle, fan.s[1]], fan.theta)]
        } else {
            let middle = f64::midpoint(fan.theta[0], fan.theta[1]);
            [Fan::new(fan.s, [fan.theta[0], middle]), Fan::new(fan.s, [middle, fan.theta[1]])]
        };
        let mark = self.pool.mark();
        let mut looks = halves.map(|half| {
            let mut own = self.lists(view, &half, Some(lists));
            let seen = self.look(view, &half, &mut own);
            let upper = seen.upper.max(look.rest).min(look.upper);
            (half, Look { upper, rest: seen.rest.max(look.rest), ..seen }, own)
        });
        if looks[1].1.upper > looks[0].1.upper {
            looks.swap(0, 1);
        }
        for (half, seen, own) in looks {
            self.explore(view, &half, seen, &own, depth + 1);
        }
        self.pool.truncate(mark);
    }
}

/// The line of a fan that comes nearest to the chord that attains its bound: start and direction; and whether
/// halving the fan's starting points narrows it more there than halving its directions.
fn likely(fan: &Fan, most: &Most) -> (f64, Xy, bool) {
    let (middle, [u0, u1, u]) = (fan.middle(), fan.u);
    let half = [(fan.s[1] - fan.s[0]) / 2.0, (fan.theta[1] - fan.theta[0]) / 2.0];
    let Some([a, b]) = most.ends else { return (middle, u, half[0] > half[1] * 500.0) };
    let (x, y) = (a.0 + b.0, a.1 + b.1);
    let length = (x * x + y * y).sqrt();
    // Seen from the middle, an end may lie behind it while the starting points still range far.
    let ahead = |along: f64, y: f64| (u.0 * along + u.1 * y).max(0.0);
    let (near, far) = (ahead(a.0 - middle, a.1), ahead(b.0 + middle, b.1));
    let turn = 2.0 * near * far / (near + far).max(1e-9) * half[1];
    let starts = half[0] * u.1.max(0.1) > turn;
    if y < 1e-9 || length < 1e-9 {
        return (middle, u, starts);
    }
    let start = ((a.0 * b.1 - b.0 * a.1) / y).clamp(fan.s[0], fan.s[1]);
    let v = (x / length, y / length);
    let beyond = |w: Xy| w.0 * v.1 - w.1 * v.0;
    let direction = if beyond(u0) < 0.0 {
        u0
    } else if beyond(u1) > 0.0 {
        u1
    } else {
        v
    };
    (start, direction, starts)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seen from the middle of a long stretch of starting points both ends may lie behind; turning such a fan
    /// finer and finer narrows nothing, its starting points must be halved.
    #[test]
    fn a_long_stretch_of_starts_is_halved_however_far_behind_the_ends_lie() {
        let fan = Fan::new([0.0, 1886.0], [1.505_246_8, 1.505_246_9]);
        let most = Most { gain: 1.9, ends: Some([(0.7, 10.4), (-1229.0, 16.3)]) };
        assert!(likely(&fan, &most).2);
    }
}
