//! Runs: how far the field goes on along one direction of the lattice before a wall or a movement joint ends it.
//!
//! The field is taken apart into spans between two walls in which both walls are straight. Along a run the
//! coordinate is called s, across the runs t.

use drylay_geometry::{Axis, Point, Region};

/// A part of the field between two straight walls: for t between its ends, the runs from wall to wall.
#[derive(Clone, Copy, Debug)]
struct Span {
    t: (f64, f64),
    /// Where the runs begin, at both ends of t.
    start: (f64, f64),
    /// Where they end.
    end: (f64, f64),
}

/// A straight joint across the runs, from wall to wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cross {
    pub(super) s: i64,
    pub(super) t: (f64, f64),
}

impl Cross {
    pub(super) fn length(&self) -> f64 {
        self.t.1 - self.t.0
    }
    pub(super) fn holds(&self, t: f64) -> bool {
        self.t.0 <= t && t <= self.t.1
    }
}

/// Uncut runs side by side, bounded by straight lines.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    pub(super) t: (f64, f64),
    pub(super) start: (f64, f64),
    pub(super) end: (f64, f64),
}

impl Stretch {
    fn lengths(&self) -> (f64, f64) {
        (self.end.0 - self.start.0, self.end.1 - self.start.1)
    }
    pub(super) fn longest(&self) -> f64 {
        self.lengths().0.max(self.lengths().1)
    }
    /// The part whose runs are longer than `most`; `None` for none.
    fn too_long(&self, most: f64) -> Option<Self> {
        let (a, b) = self.lengths();
        match (a > most, b > most) {
            (false, false) => None,
            (true, true) => Some(*self),
            (one, _) => {
                let part = (most - a) / (b - a);
                let at = |(from, to): (f64, f64)| from + (to - from) * part;
                let from_there = |ends: (f64, f64)| if one { (ends.0, at(ends)) } else { (at(ends), ends.1) };
                Some(Self { t: from_there(self.t), start: from_there(self.start), end: from_there(self.end) })
            }
        }
    }
    /// The runs at a place across.
    pub(super) fn at(&self, t: f64) -> (f64, f64) {
        (between(self.t, self.start, t), between(self.t, self.end, t))
    }
}

/// The value at t of what is straight between the two ends.
fn between(ends: (f64, f64), values: (f64, f64), t: f64) -> f64 {
    if ends.1 > ends.0 {
        values.0 + (values.1 - values.0) * ((t - ends.0) / (ends.1 - ends.0))
    } else {
        values.0
    }
}

/// Spans that touch within this many nanometres are joined.
const TOUCH: f64 = 4.0;

/// Runs side by side over less than this, in nanometres, are none: walls out of square by a nanometre, which rounding
/// makes, leave strips in which no place can be told.
const THIN: f64 = 1_000.0;

/// The runs of a field along one direction.
#[derive(Clone, Debug)]
pub(super) struct Runs {
    spans: Vec<Span>,
    /// Every corner's place along the runs, in order.
    corners: Vec<i64>,
    /// Where a joint may lie, in order; `None` for anywhere.
    places: Option<Vec<i64>>,
}

impl Runs {
    /// The runs of a field in the lattice's frame. `along` is the direction of the runs.
    pub(super) fn new(region: &Region, along: Axis, places: Option<Vec<i64>>) -> Self {
        let st =
            |p: Point| if along == Axis::X { (p.x as f64, p.y as f64) } else { (p.y as f64, p.x as f64) };
        let edges: Vec<_> = region.rings().flat_map(|r| r.edges()).map(|(a, b)| (st(a), st(b))).collect();
        let mut levels: Vec<f64> = edges.iter().map(|(a, _)| a.1).collect();
        levels.sort_by(f64::total_cmp);
        levels.dedup();
        let spans = levels.windows(2).flat_map(|w| spans_between(&edges, (w[0], w[1]))).collect();
        let along_of = |p: &Point| if along == Axis::X { p.x } else { p.y };
        let mut corners: Vec<i64> = region.rings().flat_map(|r| &r.points).map(along_of).collect();
        corners.sort_unstable();
        corners.dedup();
        Self { spans, corners, places }
    }

    /// The same seen from the other end.
    pub(super) fn mirrored(&self) -> Self {
        let turn = |(a, b): (f64, f64)| (-a, -b);
        let spans = self.spans.iter().map(|s| Span { t: s.t, start: turn(s.end), end: turn(s.start) });
        let back = |list: &Vec<i64>| list.iter().rev().map(|s| -s).collect::<Vec<i64>>();
        Self { spans: spans.collect(), corners: back(&self.corners), places: self.places.as_ref().map(back) }
    }

    /// All uncut runs, in order of t and then of s.
    pub(super) fn stretches(&self, joints: &[Cross]) -> Vec<Stretch> {
        let mut found = Vec::new();
        for span in &self.spans {
            let here = |j: &&Cross| {
                let (lo, hi) = (span.start.0.min(span.start.1), span.end.0.max(span.end.1));
                let s = j.s as f64;
                lo < s && s < hi && j.t.0 < span.t.1 && j.t.1 > span.t.0
            };
            let joints: Vec<&Cross> = joints.iter().filter(here).collect();
            let inside = |t: &f64| span.t.0 < *t && *t < span.t.1;
            let mut levels: Vec<f64> = joints.iter().flat_map(|j| [j.t.0, j.t.1]).filter(inside).collect();
            levels.extend([span.t.0, span.t.1]);
            levels.sort_by(f64::total_cmp);
            for w in levels.windows(2).filter(|w| w[1] - w[0] >= THIN) {
                span.uncut((w[0], w[1]), &joints, &mut found);
            }
        }
        found
    }

    /// The longest uncut run.
    pub(super) fn longest(&self, joints: &[Cross]) -> f64 {
        self.stretches(joints).iter().map(Stretch::longest).fold(0.0, f64::max)
    }

    /// Of the runs longer than `most` the one that begins first: where it begins, at which t, and how long it is.
    pub(super) fn first_too_long(&self, joints: &[Cross], most: f64) -> Option<(f64, f64, f64)> {
        let too_long = self.stretches(joints).into_iter().filter_map(|s| s.too_long(most));
        let begin = too_long.map(|s| {
            // A hair inside, so that the joint through it is on this side of the corner.
            let level = |from: f64, to: f64| from + (to - from) * 1e-6;
            let first = s.start.0 <= s.start.1;
            let t = if first { level(s.t.0, s.t.1) } else { level(s.t.1, s.t.0) };
            (s.start.0.min(s.start.1), t, s.longest())
        });
        begin.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)))
    }

    /// The joint at s through t, from wall to wall; `None` where that is no field.
    pub(super) fn cross(&self, s: i64, t: f64) -> Option<Cross> {
        self.crosses(s).into_iter().find(|c| c.t.0 - TOUCH <= t && t <= c.t.1 + TOUCH)
    }

    /// All joints that are possible at s.
    pub(super) fn crosses(&self, s: i64) -> Vec<Cross> {
        let mut parts: Vec<(f64, f64)> =
            self.spans.iter().filter_map(|span| span.crossed(s as f64)).collect();
        parts.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut joined: Vec<Cross> = Vec::new();
        for t in parts {
            match joined.last_mut() {
                Some(last) if t.0 <= last.t.1 + TOUCH => last.t.1 = last.t.1.max(t.1),
                _ => joined.push(Cross { s, t }),
            }
        }
        joined.retain(|c| c.length() > TOUCH);
        joined
    }

    /// The last place for a joint that is not beyond s.
    pub(super) fn place_until(&self, s: f64) -> Option<i64> {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "plan coordinates are far inside the range of i64"
        )]
        let s = s.floor() as i64;
        match &self.places {
            None => Some(s),
            Some(places) => places.partition_point(|p| *p <= s).checked_sub(1).map(|i| places[i]),
        }
    }

    /// The place for a joint that is nearest to s.
    pub(super) fn place_near(&self, s: i64) -> Option<i64> {
        match &self.places {
            None => Some(s),
            Some(places) => places.iter().copied().min_by_key(|p| ((p - s).abs(), *p)),
        }
    }

    /// The last places before the corners between `from` and `to`: beyond them a joint crosses other runs.
    pub(super) fn places_before_corners(&self, from: f64, to: f64) -> Vec<i64> {
        let corners = self.corners.iter().filter(|c| from < **c as f64 && (**c as f64) <= to);
        let mut places: Vec<i64> = corners.filter_map(|c| self.place_until((c - 1) as f64)).collect();
        places.retain(|p| from < *p as f64);
        places.dedup();
        places
    }

    /// Places at corners and midway between them, `within` from s: where the field may be narrow.
    pub(super) fn places_about(&self, s: i64, within: i64) -> Vec<i64> {
        let near = |c: &i64| (c - s).abs() <= within;
        let midway = self.corners.windows(2).map(|w| w[0] + (w[1] - w[0]) / 2);
        let all = self.corners.iter().flat_map(|c| [c - 1, c + 1]).chain(midway).filter(near);
        let mut places: Vec<i64> = all.filter_map(|s| self.place_near(s)).collect();
        places.sort_unstable();
        places.dedup();
        places
    }
}

impl Span {
    /// The part of t in which a run crosses s.
    fn crossed(&self, s: f64) -> Option<(f64, f64)> {
        let lower = not_above(self.t, self.start, s)?;
        let upper = not_above(self.t, (-self.end.0, -self.end.1), -s)?;
        let part = (lower.0.max(upper.0), lower.1.min(upper.1));
        (part.1 > part.0).then_some(part)
    }

    fn uncut(&self, t: (f64, f64), joints: &[&Cross], found: &mut Vec<Stretch>) {
        let middle = t.0 + (t.1 - t.0) / 2.0;
        let (lo, hi) = (between(self.t, self.start, middle), between(self.t, self.end, middle));
        let mut cuts: Vec<f64> = joints.iter().filter(|j| j.holds(middle)).map(|j| j.s as f64).collect();
        cuts.retain(|s| lo < *s && *s < hi);
        cuts.sort_by(f64::total_cmp);
        let ends = |values| (between(self.t, values, t.0), between(self.t, values, t.1));
        let mut start = ends(self.start);
        for s in cuts {
            found.push(Stretch { t, start, end: (s, s) });
            start = (s, s);
        }
        found.push(Stretch { t, start, end: ends(self.end) });
    }
}

/// The part of t in which what is straight between two values is not above a limit.
fn not_above(t: (f64, f64), values: (f64, f64), limit: f64) -> Option<(f64, f64)> {
    let at = t.0 + (t.1 - t.0) * ((limit - values.0) / (values.1 - values.0));
    match (values.0 <= limit, values.1 <= limit) {
        (true, true) => Some(t),
        (true, false) => Some((t.0, at)),
        (false, true) => Some((at, t.1)),
        (false, false) => None,
    }
}

type Edge = ((f64, f64), (f64, f64));

/// The spans between two neighbouring corners' levels.
fn spans_between(edges: &[Edge], t: (f64, f64)) -> Vec<Span> {
    let over = |&&(a, b): &&Edge| a.1.min(b.1) <= t.0 && a.1.max(b.1) >= t.1 && a.1 != b.1;
    let at = |(a, b): &Edge, t: f64| a.0 + (b.0 - a.0) * ((t - a.1) / (b.1 - a.1));
    let mut walls: Vec<(f64, f64)> = edges.iter().filter(over).map(|e| (at(e, t.0), at(e, t.1))).collect();
    walls.sort_by(|a, b| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
    walls.chunks_exact(2).map(|w| Span { t, start: w[0], end: w[1] }).collect()
}
