//! What no chord over a fan's patches exceeds.
//!
//! A chord from A to B crosses the edge's line where their distances from it, a and b, divide it; heights count
//! from a plane through the edge, so the chord passes (b·z(A) + a·z(B)) / (a + b) above it. For a fixed B that is
//! a quotient of linear functions of A, so over a polygon it is greatest at a corner, and the other way round. If
//! A and B may be no further apart than the span (measured along the fan's middle line, which is never more than
//! their distance), a chord may also end on two sides of the polygons, exactly the span apart.
//!
//! Where a fan runs almost along the edge those distances say little. Where they say less, the distances along the
//! middle line are taken instead, with half the fan's width as a doubt on either side; what lies as near as that doubt is
//! looked at apart.

use super::frame::Fan;
use super::pair::Doubt;
use super::patch::Pool;
use std::ops::Range;

type Xy = (f64, f64);

const TINY: f64 = 1e-9;

/// A corner of a patch: its place, how far along the middle line, its distance by which chords are divided, its height.
#[derive(Clone, Copy, Debug)]
struct Corner {
    at: Xy,
    along: f64,
    off: f64,
    z: f64,
}

/// A patch and the extremes of its corners.
#[derive(Clone, Debug)]
struct Seen {
    /// Its place in the list of its side.
    patch: usize,
    corners: Range<usize>,
    along: [f64; 2],
    off: [f64; 2],
    top: f64,
    /// So near that the distances are all doubt.
    near: bool,
}

/// The most a chord of a fan can pass above its edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Most {
    pub(crate) gain: f64,
    /// The ends of such a chord, each in the frame of its side; none where it was not worth a closer look.
    pub(crate) ends: Option<[Xy; 2]>,
}

/// Space for the work, used again and again.
#[derive(Debug, Default)]
pub(crate) struct Reckoner {
    corners: Vec<Corner>,
    seen: [Vec<Seen>; 2],
    /// For each patch of the lists looked at last, what no chord that ends on it exceeds.
    peaks: [Vec<f64>; 2],
}

impl Reckoner {
    /// Bounds the chords of a fan. What does not exceed `enough` is not looked at more closely than that needs.
    pub(crate) fn most(
        &mut self,
        pool: &Pool,
        lists: &[Range<usize>; 2],
        fan: &Fan,
        span: f64,
        enough: f64,
        doubt: Option<&Doubt>,
    ) -> Most {
        let half = (fan.s[1] - fan.s[0]) / 2.0 * fan.u[2].0.abs();
        let steep = [fan.u[0].1, fan.u[1].1];
        let (low, high) = (steep[0].min(steep[1]).max(0.0), steep[0].max(steep[1]));
        let along = (high - low) * span > 4.0 * half * (high + low);
        let shifts: &[f64] = if along { &[1.0, -1.0] } else { &[0.0] };
        let mut most = Most { gain: f64::NEG_INFINITY, ends: None };
        for (peaks, list) in self.peaks.iter_mut().zip(lists) {
            peaks.clear();
            peaks.resize(list.len(), f64::NEG_INFINITY);
        }
        for &shift in shifts {
            self.corners.clear();
            for (side, sign) in [(0, 1.0), (1, -1.0)] {
                self.see(
                    pool,
                    &lists[side],
                    side,
                    (sign * fan.middle(), fan.u[2]),
                    (along, -sign * shift * half),
                );
            }
            self.pairs(span, enough, doubt, &mut most);
        }
        most
    }

    /// For each patch of a side's list, what no chord of the fan looked at last exceeds that ends on it.
    pub(crate) fn peaks(&self, side: usize) -> &[f64] {
        &self.peaks[side]
    }

    fn see(
        &mut self,
        pool: &Pool,
        list: &Range<usize>,
        side: usize,
        (s, u): (f64, Xy),
        (run, shift): (bool, f64),
    ) {
        self.seen[side].clear();
        let near = 2.0 * shift.abs() + TINY;
        for (place, patch) in pool.patches(list).iter().enumerate() {
            let start = self.corners.len();
            for p in pool.spots(patch) {
                let r = u.0 * (p.at.0 - s) + u.1 * p.at.1;
                let d = if run { r + shift } else { p.at.1.max(0.0) };
                self.corners.push(Corner { at: p.at, along: r, off: d, z: p.z });
            }
            let whole = Seen::of(place, &self.corners, start..self.corners.len());
            if !run || whole.along[0] >= near {
                self.seen[side].push(whole);
            } else if whole.along[1] <= near {
                self.seen[side].push(Seen { near: true, ..whole });
            } else {
                for (sign, is_near) in [(-1.0, true), (1.0, false)] {
                    let from = self.corners.len();
                    part(&mut self.corners, start..whole.corners.end, |c| sign * (c.along - near));
                    let seen = Seen::of(place, &self.corners, from..self.corners.len());
                    self.seen[side].push(Seen { near: is_near, ..seen });
                }
            }
        }
    }

    fn pairs(&mut self, span: f64, enough: f64, doubt: Option<&Doubt>, most: &mut Most) {
        let [ours, theirs] = &mut self.peaks;
        for p in &self.seen[0] {
            for q in &self.seen[1] {
                if p.along[0] + q.along[0] > span {
                    continue;
                }
                let doubt = doubt.map_or(0.0, |d| d.most(p.off, q.off));
                let rough = rough(p, q) + doubt;
                let mut attained = |gain: f64| {
                    ours[p.patch] = ours[p.patch].max(gain);
                    theirs[q.patch] = theirs[q.patch].max(gain);
                };
                if rough <= enough.max(most.gain) {
                    most.gain = most.gain.max(rough);
                    attained(rough);
                    continue;
                }
                let mut best = Most { gain: f64::NEG_INFINITY, ends: None };
                if p.near && q.near {
                    best.gain = p.top.max(q.top);
                } else {
                    close(&self.corners, p, q, span, &mut best);
                }
                attained(best.gain + doubt);
                if best.gain + doubt > most.gain {
                    *most = Most { gain: best.gain + doubt, ..best };
                }
            }
        }
    }
}

impl Seen {
    fn of(patch: usize, corners: &[Corner], range: Range<usize>) -> Self {
        let none = [f64::INFINITY, f64::NEG_INFINITY];
        let mut seen =
            Self { patch, corners: range.clone(), along: none, off: none, top: none[1], near: false };
        for c in &corners[range] {
            seen.along = [seen.along[0].min(c.along), seen.along[1].max(c.along)];
            seen.off = [seen.off[0].min(c.off), seen.off[1].max(c.off)];
            seen.top = seen.top.max(c.z);
        }
        seen
    }
}

/// Appends the part of a convex polygon where `depth` is not negative.
fn part(corners: &mut Vec<Corner>, of: Range<usize>, depth: impl Fn(&Corner) -> f64) {
    for i in of.clone() {
        let (a, b) = (corners[i], corners[if i + 1 == of.end { of.start } else { i + 1 }]);
        let (da, db) = (depth(&a), depth(&b));
        if da >= 0.0 {
            corners.push(a);
        }
        if (da >= 0.0) != (db >= 0.0) {
            corners.push(between(&a, &b, da / (da - db)));
        }
    }
}

/// The most a chord with its ends on two patches can pass above the edge.
fn close(corners: &[Corner], p: &Seen, q: &Seen, span: f64, best: &mut Most) {
    let (p, q, free) =
        (&corners[p.corners.clone()], &corners[q.corners.clone()], p.along[1] + q.along[1] <= span);
    for a in p {
        for b in q {
            if free || a.along + b.along <= span {
                offer(gain(a, b), a, b, best);
            }
        }
    }
    if free {
        return;
    }
    for (i, a) in p.iter().enumerate() {
        let sa = [a, &p[(i + 1) % p.len()]];
        for (j, b) in q.iter().enumerate() {
            full(sa, [b, &q[(j + 1) % q.len()]], span, best);
        }
    }
}

/// A bound from extremes alone: the share by which a chord is divided, times the tops.
fn rough(p: &Seen, q: &Seen) -> f64 {
    let (low, high) = (q.off[0] + p.off[1], q.off[1] + p.off[0]);
    if p.off[0] < 0.0 || q.off[0] < 0.0 || low < TINY || high < TINY {
        return p.top.max(q.top);
    }
    let at = |t: f64| t * p.top + (1.0 - t) * q.top;
    at(q.off[0] / low).max(at(q.off[1] / high))
}

fn gain(a: &Corner, b: &Corner) -> f64 {
    let sum = a.off + b.off;
    if sum > TINY { (b.off * a.z + a.off * b.z) / sum } else { a.z.max(b.z) }
}

fn offer(gain: f64, a: &Corner, b: &Corner, best: &mut Most) {
    if gain > best.gain {
        *best = Most { gain, ends: Some([a.at, b.at]) };
    }
}

fn between(a: &Corner, b: &Corner, t: f64) -> Corner {
    let mix = |a: f64, b: f64| a + t * (b - a);
    Corner {
        at: (mix(a.at.0, b.at.0), mix(a.at.1, b.at.1)),
        along: mix(a.along, b.along),
        off: mix(a.off, b.off),
        z: mix(a.z, b.z),
    }
}

/// Chords with their ends on two sides of patches, exactly the span apart.
fn full(sa: [&Corner; 2], sb: [&Corner; 2], span: f64, best: &mut Most) {
    // A chord passes no higher than its higher end.
    if sa.iter().chain(&sb).all(|c| c.z <= best.gain) {
        return;
    }
    let (da, db) = (sa[1].along - sa[0].along, sb[1].along - sb[0].along);
    let range = |x: f64, y: f64| (x.min(y), x.max(y));
    let (a0, a1) = range(sa[0].along, sa[1].along);
    let (b0, b1) = range(span - sb[1].along, span - sb[0].along);
    let (lo, hi) = (a0.max(b0), a1.min(b1));
    if lo > hi || a1 - a0 < TINY || b1 - b0 < TINY {
        return;
    }
    let ends = |r: f64| {
        let share = |x: f64| x.clamp(0.0, 1.0);
        (
            between(sa[0], sa[1], share((r - sa[0].along) / da)),
            between(sb[0], sb[1], share((span - r - sb[0].along) / db)),
        )
    };
    let ((p, q), (v, w)) = (ends(lo), ends(hi));
    offer(gain(&p, &q), &p, &q, best);
    offer(gain(&v, &w), &v, &w, best);
    if let Some(t) = top((&p, &q), (&v, &w)) {
        let (a, b) = (between(&p, &v, t), between(&q, &w, t));
        offer(gain(&a, &b), &a, &b, best);
    }
}

/// Where between two chords, with ends moving evenly, the gain N/D has its top, if inside: N is a parabola, D linear.
fn top((p, q): (&Corner, &Corner), (v, w): (&Corner, &Corner)) -> Option<f64> {
    let (dp, dq, zp, zq) = (v.off - p.off, w.off - q.off, v.z - p.z, w.z - q.z);
    let n = [q.off * p.z + p.off * q.z, q.off * zp + dq * p.z + p.off * zq + dp * q.z, dq * zp + dp * zq];
    let d = [p.off + q.off, dp + dq];
    let (c, b, a) = (n[1] * d[0] - n[0] * d[1], 2.0 * n[2] * d[0], n[2] * d[1]);
    let after = a + b + c;
    if d[0] <= TINY || d[0] + d[1] <= TINY || c <= 0.0 || after >= 0.0 {
        return None;
    }
    let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
    (root > b).then(|| (2.0 * c / (root - b)).clamp(0.0, 1.0))
}
