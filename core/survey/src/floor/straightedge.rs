//! A straightedge laid anywhere on the floor: how it rests, and how far the floor lies below it.
//!
//! It rests by its own weight (BS 8204-1:2003, annex C, as quoted by a testing firm): on the two high points on
//! either side of its middle. Gaps count between those two, not under the ends that hang over (CSA A23.1-94, as
//! quoted). A hump is told as the height of the floor above the straight line between the edge's two ends.

use super::ground::Ground;
use super::mesh::Mesh;

type Xy = (f64, f64);

/// Shorter pieces of floor are no place for a straightedge, mm.
const SHORTEST: f64 = 1.0;

/// A distance from the edge's first end and the vertical distance of floor and line there, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Off {
    /// How far along the edge.
    pub along: f64,
    /// How far the floor lies off the line; never negative.
    pub by: f64,
    /// The same as a sum of heights at the readings: (point, factor).
    pub weights: Vec<(usize, f64)>,
}

/// A straightedge as it lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid {
    /// Its ends: what of the line asked for lies on the floor that was read.
    pub ends: [Xy; 2],
    /// The floor under it: distance from the first end and height, mm.
    pub profile: Vec<(f64, f64)>,
    /// Where it touches: distances from the first end, mm.
    pub rests: [f64; 2],
    /// The greatest gap under it between those.
    pub gap: Off,
    /// The greatest height of the floor above the line from end to end.
    pub hump: Off,
}

/// Lays a straightedge; `None` where none of the line lies on the floor that was read.
pub fn lay(mesh: &Mesh, z: &[f64], ground: &Ground, from: Xy, to: Xy) -> Option<Laid> {
    let length = ((to.0 - from.0) * (to.0 - from.0) + (to.1 - from.1) * (to.1 - from.1)).sqrt();
    if length < SHORTEST {
        return None;
    }
    let u = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    let (low, high) = stretch(mesh, ground, from, to, length)?;
    let at = |r: f64| (from.0 + r * u.0, from.1 + r * u.1);
    let mut stops: Vec<f64> =
        crossings(mesh, from, u).into_iter().filter(|r| *r > low && *r < high).collect();
    stops.extend([low, high]);
    stops.sort_by(f64::total_cmp);
    stops.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let weights: Vec<Vec<(usize, f64)>> =
        stops.iter().map(|r| mesh.weights(at(*r))).collect::<Option<_>>()?;
    let height = |w: &Vec<(usize, f64)>| w.iter().map(|&(i, c)| c * z[i]).sum::<f64>();
    let profile: Vec<(f64, f64)> = stops.iter().zip(&weights).map(|(r, w)| (r - low, height(w))).collect();
    let [a, b] = rests(&profile);
    let last = profile.len() - 1;
    Some(Laid {
        ends: [at(low), at(high)],
        rests: [profile[a].0, profile[b].0],
        gap: greatest(&profile, &weights, [a, b], 1.0),
        hump: greatest(&profile, &weights, [0, last], -1.0),
        profile,
    })
}

/// The longest part of the line that lies on the floor and between readings.
fn stretch(mesh: &Mesh, ground: &Ground, from: Xy, to: Xy, length: f64) -> Option<(f64, f64)> {
    let (mut lo, mut hi) = (0.0, length);
    let n = mesh.hull.len();
    for k in 0..n {
        let (a, b) = (mesh.points[mesh.hull[k]], mesh.points[mesh.hull[(k + 1) % n]]);
        let side = |p: Xy| (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0);
        let (start, end) = (side(from), side(to));
        if start < 0.0 && end < 0.0 {
            return None;
        }
        if start < 0.0 {
            lo = f64::max(lo, length * start / (start - end));
        } else if end < 0.0 {
            hi = f64::min(hi, length * start / (start - end));
        }
    }
    // A hair inside the hull, so that every place is in a triangle.
    let (lo, hi) = (lo + 1e-6, hi - 1e-6);
    let parts = ground.parts(from, to).into_iter();
    let parts = parts.map(|(a, b)| (lo.max(a * length), hi.min(b * length)));
    parts.filter(|(a, b)| b - a >= SHORTEST).max_by(|p, q| (p.1 - p.0).total_cmp(&(q.1 - q.0)))
}

/// Where a line crosses the edges of the surface, as distances along it.
fn crossings(mesh: &Mesh, from: Xy, u: Xy) -> Vec<f64> {
    let off = |p: Xy| u.0 * (p.1 - from.1) - u.1 * (p.0 - from.0);
    let along = |p: Xy| u.0 * (p.0 - from.0) + u.1 * (p.1 - from.1);
    let cross = |e: &super::mesh::Edge| {
        let [a, b] = e.ends.map(|i| mesh.points[i]);
        let (oa, ob) = (off(a), off(b));
        ((oa <= 0.0) != (ob <= 0.0)).then(|| along(a) + oa / (oa - ob) * (along(b) - along(a)))
    };
    mesh.edges.iter().filter_map(cross).collect()
}

/// The two points of the profile on which an edge rests: the part of the upper hull above its middle.
fn rests(profile: &[(f64, f64)]) -> [usize; 2] {
    let mut hull: Vec<usize> = Vec::new();
    for k in 0..profile.len() {
        while let [.., a, b] = hull[..] {
            let (p, q, r) = (profile[a], profile[b], profile[k]);
            // Points that it touches between two others stay: on them it rests too.
            if (q.1 - p.1) * (r.0 - p.0) >= (r.1 - p.1) * (q.0 - p.0) - 1e-6 {
                break;
            }
            hull.pop();
        }
        hull.push(k);
    }
    let middle = profile[profile.len() - 1].0 / 2.0;
    let over = hull.windows(2).find(|w| profile[w[1]].0 >= middle);
    over.map_or([0, profile.len() - 1], |w| [w[0], w[1]])
}

/// The greatest distance of the profile below (sign 1) or above (sign −1) the line between two of its points.
fn greatest(profile: &[(f64, f64)], weights: &[Vec<(usize, f64)>], [a, b]: [usize; 2], sign: f64) -> Off {
    let (p, q) = (profile[a], profile[b]);
    let mut best = Off { along: p.0, by: 0.0, weights: Vec::new() };
    for k in a + 1..b {
        let share = (profile[k].0 - p.0) / (q.0 - p.0);
        let by = sign * (p.1 + share * (q.1 - p.1) - profile[k].1);
        if by > best.by {
            let part = |list: &[(usize, f64)], c: f64| {
                list.iter().map(|&(i, w)| (i, sign * c * w)).collect::<Vec<_>>()
            };
            let ends = [part(&weights[a], 1.0 - share), part(&weights[b], share), part(&weights[k], -1.0)];
            best = Off { along: profile[k].0, by, weights: ends.concat() };
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::{Length, Point, Ring};

    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

    fn floor(height: impl Fn(f64, f64) -> f64) -> (Mesh, Vec<f64>, Ground) {
        let points: Vec<Point> = (0..63).map(|k| at(k % 9 * 500, k / 9 * 500)).collect();
        let z = points.iter().map(|p| height(p.mm().0, p.mm().1)).collect();
        let room = Ring::new(vec![at(0, 0), at(4000, 0), at(4000, 3000), at(0, 3000)]);
        (Mesh::new(&points).expect("a grid"), z, Ground::new(&room, &[]))
    }

    #[test]
    fn over_a_trough_it_rests_on_the_two_rims() {
        let (mesh, z, ground) = floor(|x, _| if (1000.0..=2500.0).contains(&x) { -4.0 } else { 0.0 });
        let laid = lay(&mesh, &z, &ground, (300.0, 1250.0), (3300.0, 1250.0)).expect("floor");
        assert!(
            (laid.rests[0] - 200.0).abs() < 1e-3 && (laid.rests[1] - 2700.0).abs() < 1e-3,
            "{:?}",
            laid.rests
        );
        assert!((laid.gap.by - 4.0).abs() < 1e-6 && laid.hump.by < 1e-9);
        let again: f64 = laid.gap.weights.iter().map(|&(i, w)| w * z[i]).sum();
        assert!((again - laid.gap.by).abs() < 1e-9, "the gap is that sum of heights");
    }

    /// A straightedge lies on the two points between which its middle is; on a point right below the middle, and
    /// the one before it.
    #[test]
    fn it_rests_on_either_side_of_its_middle() {
        let over = |heights: [f64; 5]| {
            let profile: Vec<(f64, f64)> = (0..5).map(|k| 250.0 * k as f64).zip(heights).collect();
            rests(&profile)
        };
        assert_eq!(over([0.0, 5.0, 0.0, 0.0, 4.0]), [1, 4]);
        assert_eq!(over([0.0, 0.0, 0.0, 5.0, 0.0]), [0, 3]);
        assert_eq!(over([0.0, 0.0, 5.0, 0.0, 4.0]), [0, 2]);
        assert_eq!(over([0.0, 5.0, 5.1, 5.0, 0.0]), [1, 2]);
        assert_eq!(over([0.0, 3.0, 0.0, 3.0, 0.0]), [1, 3]);
    }

    #[test]
    fn a_gap_under_an_end_that_hangs_over_does_not_count() {
        let (mesh, z, ground) = floor(|x, _| if x >= 3500.0 { -6.0 } else { 0.0 });
        let laid = lay(&mesh, &z, &ground, (500.0, 1000.0), (4000.0, 1000.0)).expect("floor");
        assert!(laid.gap.by < 1e-9, "{:?}", laid.gap);
        assert!(laid.hump.by > 4.0, "the line between its ends runs through the floor");
    }

    #[test]
    fn what_is_not_floor_is_left_out() {
        let (mesh, z, ground) = floor(|_, _| 0.0);
        let laid = lay(&mesh, &z, &ground, (-500.0, 700.0), (2000.0, 700.0)).expect("floor");
        assert!((laid.ends[0].0).abs() < 1e-3 && (laid.ends[1].0 - 2000.0).abs() < 1e-3);
        assert_eq!(lay(&mesh, &z, &ground, (5000.0, 0.0), (6000.0, 0.0)), None);
        assert_eq!(lay(&mesh, &z, &ground, (500.0, 500.0), (500.0, 500.0)), None);
    }

    /// The room goes on where nothing was read: the straightedge ends with the readings, on either side.
    #[test]
    fn what_was_not_read_is_left_out() {
        let (mesh, z, _) = floor(|_, _| 0.0);
        let room = Ring::new(vec![at(-900, -900), at(5000, -900), at(5000, 4000), at(-900, 4000)]);
        let ground = Ground::new(&room, &[]);
        for (from, to, low, high) in [(1000.0, 4800.0, 1000.0, 4000.0), (-700.0, 4700.0, 0.0, 4000.0)] {
            let laid = lay(&mesh, &z, &ground, (from, 700.0), (to, 700.0)).expect("floor");
            let [a, b] = laid.ends;
            assert!((a.0 - low).abs() < 1e-3 && (b.0 - high).abs() < 1e-3, "{:?}", laid.ends);
        }
        assert_eq!(lay(&mesh, &z, &ground, (-700.0, 700.0), (-100.0, 700.0)), None);
    }
}
