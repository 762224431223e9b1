//! What a fan of lines sees of the surface on one side of an edge: facets clipped to the fan.
//!
//! Heights are carried along with the corners, so that they stay between those of the facet's own corners however
//! steep a sliver is.

use super::frame::{Fan, Side};
use std::ops::Range;

type Xy = (f64, f64);

/// By how much a fan is taken wider than it is, so that rounding loses nothing of it, in mm.
const HAIR: f64 = 1e-9;

/// A place in the frame of an edge, and the height of the surface there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spot {
    pub(crate) at: Xy,
    pub(crate) z: f64,
}

/// A facet's part in a fan: a convex polygon.
#[derive(Clone, Debug)]
pub(crate) struct Patch {
    /// Index of the facet on its side.
    pub(crate) facet: usize,
    spots: Range<usize>,
}

/// A half-plane: what has n·p + d ≥ 0.
#[derive(Clone, Copy, Debug)]
struct Cut {
    n: Xy,
    d: f64,
}

/// Patches of nested fans, those of the innermost last.
#[derive(Debug, Default)]
pub(crate) struct Pool {
    spots: Vec<Spot>,
    patches: Vec<Patch>,
    depth: Vec<f64>,
    work: [Vec<Spot>; 2],
}

impl Pool {
    pub(crate) fn clear(&mut self) {
        self.truncate((0, 0));
    }

    pub(crate) fn mark(&self) -> (usize, usize) {
        (self.patches.len(), self.spots.len())
    }

    pub(crate) fn truncate(&mut self, mark: (usize, usize)) {
        self.patches.truncate(mark.0);
        self.spots.truncate(mark.1);
    }

    /// Takes the patches out of the innermost fan's two lists whose peak is not above `enough`; gives back the highest of
    /// those peaks.
    pub(crate) fn leave_out(
        &mut self,
        lists: &mut [Range<usize>; 2],
        peaks: [&[f64]; 2],
        enough: f64,
    ) -> f64 {
        let (mut rest, mut kept) = (f64::NEG_INFINITY, lists[0].start);
        for (list, peaks) in lists.iter_mut().zip(peaks) {
            let start = kept;
            for (from, &peak) in list.clone().zip(peaks) {
                if peak > enough {
                    self.patches.swap(kept, from);
                    kept += 1;
                } else {
                    rest = rest.max(peak);
                }
            }
            *list = start..kept;
        }
        self.patches.truncate(kept);
        rest
    }

    pub(crate) fn patches(&self, list: &Range<usize>) -> &[Patch] {
        &self.patches[list.clone()]
    }

    pub(crate) fn spots(&self, patch: &Patch) -> &[Spot] {
        &self.spots[patch.spots.clone()]
    }

    /// What a fan sees of all facets of a side, up to a distance from its middle line's start.
    pub(crate) fn whole(&mut self, side: &Side, fan: &Fan, upto: f64) -> Range<usize> {
        let start = self.patches.len();
        let [left, right, far, near] = cuts(fan, upto);
        let ahead = Cut { n: (0.0, 1.0), d: HAIR };
        for (k, f) in side.facets.iter().enumerate() {
            self.work[0].clear();
            let spot = |i: usize| Spot { at: f.at[i], z: f.z[i] };
            self.work[0].extend([0, 1, 2].map(spot));
            self.keep(k, &[left, right, far, near, ahead]);
        }
        start..self.patches.len()
    }

    /// What a narrower fan sees of the patches of a wider one.
    pub(crate) fn within(&mut self, list: &Range<usize>, fan: &Fan, upto: f64) -> Range<usize> {
        let start = self.patches.len();
        let cuts = cuts(fan, upto);
        for k in list.clone() {
            let Patch { facet, spots } = self.patches[k].clone();
            self.work[0].clear();
            self.work[0].extend_from_slice(&self.spots[spots]);
            self.keep(facet, &cuts);
        }
        start..self.patches.len()
    }

    /// Clips the polygon at work and keeps what is left.
    fn keep(&mut self, facet: usize, cuts: &[Cut]) {
        for cut in cuts {
            let (from, to) = self.work.split_at_mut(1);
            if clip(&from[0], cut, &mut self.depth, &mut to[0]) {
                self.work.swap(0, 1);
            }
            if self.work[0].len() < 3 {
                return;
            }
        }
        let start = self.spots.len();
        self.spots.extend_from_slice(&self.work[0]);
        self.patches.push(Patch { facet, spots: start..self.spots.len() });
    }
}

/// The sides of a fan: right of its last ray from its first start, left of its first ray from its last, the far
/// end, and what lies behind it.
fn cuts(fan: &Fan, upto: f64) -> [Cut; 4] {
    let [u0, u1, u] = fan.u;
    let half = (fan.s[1] - fan.s[0]) / 2.0 * u.0.abs();
    [
        Cut { n: (u1.1, -u1.0), d: HAIR - u1.1 * fan.s[0] },
        Cut { n: (-u0.1, u0.0), d: HAIR + u0.1 * fan.s[1] },
        Cut { n: (-u.0, -u.1), d: HAIR + upto + u.0 * fan.middle() },
        Cut { n: u, d: HAIR + half - u.0 * fan.middle() },
    ]
}

/// Clips a convex polygon (Sutherland and Hodgman 1974); tells whether the result is in `out`, else it is as it was.
fn clip(from: &[Spot], by: &Cut, depth: &mut Vec<f64>, out: &mut Vec<Spot>) -> bool {
    depth.clear();
    depth.extend(from.iter().map(|s| by.n.0 * s.at.0 + by.n.1 * s.at.1 + by.d));
    if depth.iter().all(|d| *d >= 0.0) {
        return false;
    }
    out.clear();
    for i in 0..from.len() {
        let j = if i + 1 == from.len() { 0 } else { i + 1 };
        let (a, b, da, db) = (&from[i], &from[j], depth[i], depth[j]);
        if da >= 0.0 {
            out.push(*a);
        }
        if (da >= 0.0) != (db >= 0.0) {
            let t = da / (da - db);
            let mix = |a: f64, b: f64| a + t * (b - a);
            out.push(Spot { at: (mix(a.at.0, b.at.0), mix(a.at.1, b.at.1)), z: mix(a.z, b.z) });
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::{Patch, Pool, Spot};

    /// Patches without corners, known by their facets.
    fn pool(facets: &[usize]) -> Pool {
        let patches = facets.iter().map(|&facet| Patch { facet, spots: 0..0 }).collect();
        Pool { patches, spots: vec![Spot { at: (0.0, 0.0), z: 0.0 }], ..Pool::default() }
    }

    #[test]
    fn patches_that_nothing_more_is_asked_of_are_left_out_and_the_highest_of_them_is_told() {
        // One of a wider fan, then two lists.
        let mut pool = pool(&[9, 0, 1, 2, 0, 1]);
        let mut lists = [1..4, 4..6];
        let rest = pool.leave_out(&mut lists, [&[3.0, 1.0, 2.5], &[2.0, 4.0]], 2.0);
        assert_eq!(rest, 2.0);
        let seen = lists.clone().map(|list| pool.patches(&list).iter().map(|p| p.facet).collect::<Vec<_>>());
        assert_eq!(seen, [vec![0, 2], vec![1]]);
        assert_eq!((pool.patches.len(), pool.patches[0].facet), (4, 9));
        // With nothing to leave out there is nothing to tell.
        assert_eq!(pool.leave_out(&mut lists, [&[3.0, 2.5], &[4.0]], 2.0), f64::NEG_INFINITY);
        assert_eq!(lists, [1..3, 3..4]);
    }
}
