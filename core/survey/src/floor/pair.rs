//! The best chord along one line: how far from a point its two ends should be.
//!
//! With heights z(a) and z(b) above the point at distances a and b on its two sides, the chord passes
//! (b·z(a) + a·z(b)) / (a + b) above it. Over a straight stretch of the surface that is monotone in a for fixed
//! b and the other way round, so an end stands at the end of a stretch or both ends are as far apart as allowed;
//! there the expression is a parabola in a.

use super::frame::Stretch;

/// The best chord: how far it passes above the point, and where its ends are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ends {
    pub(crate) gain: f64,
    pub(crate) a: f64,
    pub(crate) b: f64,
    /// Stretches the ends lie on.
    pub(crate) on: [usize; 2],
}

/// How much is added to a chord's gain for its uncertainty: own variance, variance of the point, of set-ups.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Doubt {
    pub(crate) own: f64,
    pub(crate) point: f64,
    pub(crate) tie: f64,
}

impl Doubt {
    /// Twice the standard deviation that a chord has at most, for the ranges of its two distances.
    pub(crate) fn most(&self, a: [f64; 2], b: [f64; 2]) -> f64 {
        let share = |a: f64, b: f64| {
            let (a, b) = (a.max(0.0), b.max(0.0));
            let t = if a + b > 0.0 { a / (a + b) } else { 1.0 };
            t * t + (1.0 - t) * (1.0 - t)
        };
        let ends = share(a[0], b[1]).max(share(a[1], b[0]));
        2.0 * (self.own * (ends + self.point) + self.tie).sqrt()
    }
}

pub(crate) fn best(pa: &[Stretch], pb: &[Stretch], span: f64) -> Ends {
    let mut best = Ends { gain: f64::NEG_INFINITY, a: 0.0, b: 0.0, on: [0, 0] };
    for (i, sa) in pa.iter().enumerate() {
        for (j, sb) in pb.iter().enumerate() {
            if sa.r[0] + sb.r[0] > span {
                continue;
            }
            let found = one(sa, sb, span);
            if found.gain > best.gain {
                best = Ends { on: [i, j], ..found };
            }
        }
    }
    best
}

fn one(sa: &Stretch, sb: &Stretch, span: f64) -> Ends {
    let slope = |s: &Stretch| (s.z[1] - s.z[0]) / (s.r[1] - s.r[0]);
    let (ka, kb) = (slope(sa), slope(sb));
    let za = |a: f64| sa.z[0] + ka * (a - sa.r[0]);
    let zb = |b: f64| sb.z[0] + kb * (b - sb.r[0]);
    let mut best = Ends { gain: f64::NEG_INFINITY, a: 0.0, b: 0.0, on: [0, 0] };
    let mut offer = |a: f64, b: f64| {
        let gain = if a + b > 0.0 { (b * za(a) + a * zb(b)) / (a + b) } else { za(a).max(zb(b)) };
        if gain > best.gain {
            best = Ends { gain, a, b, on: [0, 0] };
        }
    };
    for (a, b) in [(sa.r[1], sb.r[1]), (sa.r[0], sb.r[1]), (sa.r[1], sb.r[0]), (sa.r[0], sb.r[0])] {
        if a + b <= span {
            offer(a, b);
        }
    }
    let (lo, hi) = (sa.r[0].max(span - sb.r[1]), sa.r[1].min(span - sb.r[0]));
    if lo <= hi && sa.r[1] + sb.r[1] > span {
        offer(lo, span - lo);
        offer(hi, span - hi);
        // span·gain = (span − a)(pa + ka·a) + a(pb + kb·(span − a)), a parabola in a.
        let (pa, pb) = (sa.z[0] - ka * sa.r[0], sb.z[0] - kb * sb.r[0]);
        let curve = ka + kb;
        if curve > 0.0 {
            let top = (span * curve + pb - pa) / (2.0 * curve);
            if top > lo && top < hi {
                offer(top, span - top);
            }
        }
    }
    best
}
