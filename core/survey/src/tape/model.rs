//! A checked draft as numbers: indices, millimetres and radians, ready for the least squares.

use super::draft::{Draft, Reading, SquareCheck, Turn};
use super::instrument::Tape;
use super::names::Names;
use crate::network::{Datum, Observation, Observed};
use drylay_geometry::{CornerId, Point, Ring, RingProblem};

/// Places of the corners in mm.
pub(crate) type Shape = Vec<(f64, f64)>;

/// A reading between two corners by index.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) read: f64,
    /// The reading corrected to the floor's edge.
    pub(crate) value: f64,
    pub(crate) sd: f64,
    /// How far the floor's edge lies outside of what was touched.
    pub(crate) outside: f64,
}

/// A square check by index.
#[derive(Clone, Debug)]
pub(crate) struct Check {
    pub(crate) corner: usize,
    pub(crate) sd: f64,
}

/// The checked draft.
#[derive(Clone, Debug)]
pub(crate) struct Model {
    pub(crate) corners: usize,
    /// What was said about the corners' turns.
    pub(crate) turns: Vec<Option<Turn>>,
    pub(crate) lines: Vec<Line>,
    pub(crate) squares: Vec<Check>,
    /// Every line with its corners, the lower first, sorted.
    by_pair: Vec<(usize, usize, usize)>,
}

/// A right angle that only chooses between shapes pulls this weakly, in radians: 8°, so that readings to a
/// hundredth of their length rule over it.
const SOFT: f64 = 8.0 * DEGREE;

/// Standard deviation of a right angle that has to stand in for a reading: 0.5°, an inch in ten feet. Common
/// practice: most corners of houses are within that, few are off by twice as much.
pub(crate) const ASSUMED_SQUARE: f64 = 0.5 * DEGREE;

pub(crate) const DEGREE: f64 = std::f64::consts::PI / 180.0;

impl Model {
    /// The draft must have no problems.
    pub(crate) fn new(draft: &Draft, tape: &Tape) -> Self {
        let names = Names::of(&draft.corners);
        let index = |name: &CornerId| names.place(name).unwrap_or(0);
        let line = |r: &Reading| {
            let read = r.read.mm();
            let sd = r.sd.map_or_else(|| tape.sd_mm(read), |sd| sd.mm());
            let outside = r.measured_to.outside_mm();
            Line { from: index(&r.from), to: index(&r.to), read, value: read, sd, outside }
        };
        let check = |s: &SquareCheck| Check {
            corner: index(&s.corner),
            sd: s.sd_degrees.unwrap_or(SquareCheck::USUAL_SD) * DEGREE,
        };
        let mut turns = vec![None; draft.corners.len()];
        for (name, turn) in &draft.turns {
            turns[index(name)] = Some(*turn);
        }
        let lines: Vec<Line> = draft.readings.iter().map(line).collect();
        let ends = |(k, l): (usize, &Line)| (l.from.min(l.to), l.from.max(l.to), k);
        let mut by_pair: Vec<(usize, usize, usize)> = lines.iter().enumerate().map(ends).collect();
        by_pair.sort_unstable();
        Self {
            corners: draft.corners.len(),
            turns,
            lines,
            squares: draft.squares.iter().map(check).collect(),
            by_pair,
        }
    }

    pub(crate) fn next(&self, i: usize) -> usize {
        if i + 1 == self.corners { 0 } else { i + 1 }
    }

    pub(crate) fn before(&self, i: usize) -> usize {
        if i == 0 { self.corners - 1 } else { i - 1 }
    }

    pub(crate) fn is_wall(&self, i: usize, j: usize) -> bool {
        self.next(i) == j || self.next(j) == i
    }

    /// Whether that distance was read, whichever way round.
    pub(crate) fn is_read(&self, i: usize, j: usize) -> bool {
        !self.between(i, j).is_empty()
    }

    /// All lines between two corners, whichever way round: their corners and their places in the list.
    pub(crate) fn between(&self, i: usize, j: usize) -> &[(usize, usize, usize)] {
        let pair = (i.min(j), i.max(j));
        let from = self.by_pair.partition_point(|&(a, b, _)| (a, b) < pair);
        let rest = &self.by_pair[from..];
        &rest[..rest.iter().take_while(|&&(a, b, _)| (a, b) == pair).count()]
    }

    /// The angle on the floor's side of a corner: clockwise on the page from the next corner to the one before.
    pub(crate) fn angle(&self, corner: usize) -> Observed {
        Observed::Angle { at: corner, from: self.next(corner), to: self.before(corner) }
    }

    /// The corner's angle if it were square.
    pub(crate) fn square_angle(&self, corner: usize) -> f64 {
        if self.turns[corner] == Some(Turn::Out) { 270.0 * DEGREE } else { 90.0 * DEGREE }
    }

    /// The first corner stays at the origin, the second on the x axis.
    pub(crate) fn datum(&self) -> Datum {
        let held = |i: usize| match i {
            0 => (true, true),
            1 => (false, true),
            _ => (false, false),
        };
        Datum::Fixed((0..self.corners).map(held).collect())
    }

    pub(crate) fn line_observation(line: &Line) -> Observation {
        let what = Observed::Distance { from: line.from, to: line.to };
        Observation { what, value: line.value, sd: line.sd }
    }

    fn square_observation(&self, corner: usize, sd: f64) -> Observation {
        Observation { what: self.angle(corner), value: self.square_angle(corner), sd }
    }

    /// Readings, then square checks, then the right angles assumed.
    pub(crate) fn observations(&self, assumed: &[usize]) -> Vec<Observation> {
        let lines = self.lines.iter().map(Self::line_observation);
        let squares = self.squares.iter().map(|s| self.square_observation(s.corner, s.sd));
        let assumed = assumed.iter().map(|&c| self.square_observation(c, ASSUMED_SQUARE));
        lines.chain(squares).chain(assumed).collect()
    }

    pub(crate) fn is_checked_square(&self, corner: usize) -> bool {
        self.squares.iter().any(|s| s.corner == corner)
    }

    /// A weak pull towards the angles of the walk at all corners that were not checked: right angles, except where
    /// ties tell or right angles do not add up.
    pub(crate) fn soft(&self, angles: &[f64]) -> Vec<Observation> {
        let free = (0..self.corners).filter(|&c| !self.is_checked_square(c));
        free.map(|c| Observation { what: self.angle(c), value: angles[c], sd: SOFT }).collect()
    }

    /// All corners' angles in radians, from 0 to 2π.
    pub(crate) fn angles(&self, at: &[(f64, f64)]) -> Vec<f64> {
        (0..self.corners).map(|c| self.angle(c).linear(at).0).collect()
    }

    /// How many corners turn otherwise than said (or, where nothing was said, than presumed).
    pub(crate) fn wrong_turns(&self, at: &[(f64, f64)]) -> Vec<usize> {
        let out = |c: usize| self.turns[c] == Some(Turn::Out);
        let angles = self.angles(at);
        (0..self.corners).filter(|&c| (angles[c] > std::f64::consts::PI) != out(c)).collect()
    }

    /// Takes trim and plates into account: what was touched is the floor's edge drawn in by their thickness, so a
    /// reading is corrected by the difference that makes between its two corners in this shape.
    pub(crate) fn correct(&mut self, at: &[(f64, f64)]) -> f64 {
        let mut change = 0.0f64;
        for k in 0..self.lines.len() {
            let line = &self.lines[k];
            if line.outside == 0.0 {
                continue;
            }
            let (a, b) =
                (self.drawn_in(at, line.from, line.outside), self.drawn_in(at, line.to, line.outside));
            let value = line.read + span(at[line.from], at[line.to]) - span(a, b);
            change = change.max((value - line.value).abs());
            self.lines[k].value = value;
        }
        change
    }

    /// The meeting point of both walls' lines drawn into the room by a distance.
    fn drawn_in(&self, at: &[(f64, f64)], corner: usize, by: f64) -> (f64, f64) {
        let here = at[corner];
        let (a, b) = (at[self.before(corner)], at[self.next(corner)]);
        let (p, q) = (right_of(a, here), right_of(here, b));
        // A corner that nearly folds back would be drawn in beyond all bounds.
        let scale = by / (1.0 + p.0 * q.0 + p.1 * q.1).max(0.05);
        (here.0 + scale * (p.0 + q.0), here.1 + scale * (p.1 + q.1))
    }
}

/// The unit vector into the room, seen along a wall.
pub(crate) fn right_of(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let d = span(a, b).max(1e-9);
    (-(b.1 - a.1) / d, (b.0 - a.0) / d)
}

pub(crate) fn span(a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    (dx * dx + dy * dy).sqrt()
}

/// The same shape with its first corner at the origin and the first wall along x.
pub(crate) fn in_frame(at: &[(f64, f64)]) -> Shape {
    let (o, d) = (at[0], span(at[0], at[1]));
    let (c, s) = if d > 0.0 { ((at[1].0 - o.0) / d, (at[1].1 - o.1) / d) } else { (1.0, 0.0) };
    let turned = |p: &(f64, f64)| {
        let (x, y) = (p.0 - o.0, p.1 - o.1);
        (x * c + y * s, y * c - x * s)
    };
    let mut out: Shape = at.iter().map(turned).collect();
    out[0] = (0.0, 0.0);
    out[1].1 = 0.0;
    out
}

/// The places rounded to micrometres as a ring; `None` where one is no place.
pub(crate) fn ring(at: &[(f64, f64)]) -> Option<Ring> {
    at.iter().map(|p| Point::from_mm_rounded(p.0, p.1)).collect::<Option<Vec<_>>>().map(Ring::new)
}

/// What keeps the shape from bounding a floor.
pub(crate) fn folds(at: &[(f64, f64)]) -> Vec<RingProblem> {
    ring(at).map_or_else(|| vec![RingProblem::NoArea], |r| r.problems())
}

/// Whether the corners bound a floor clockwise, without crossing or touching.
pub(crate) fn is_room(at: &[(f64, f64)]) -> bool {
    folds(at).is_empty()
}
