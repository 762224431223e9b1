//! The surface as a map: lines of equal height, and the areas between two heights.
//!
//! The surface is flat over each triangle, so a line of equal height is straight there and an area between two
//! heights is a convex polygon. A level that is the height of a reading is taken a hair higher, so that no line runs
//! along an edge.

use super::ground::Ground;
use super::mesh::Mesh;
use drylay_geometry::{Point, Region, Ring};
use std::collections::BTreeMap;

type Xy = (f64, f64);

/// By how much a level is taken higher than it is, mm: no reading has that height.
const HAIR: f64 = 1e-6;

/// A line of equal height.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The height, mm.
    pub level: f64,
    /// Its parts on the floor, each a chain of points.
    pub chains: Vec<Vec<Xy>>,
}

/// The area between two heights.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// From this height on, mm.
    pub low: f64,
    /// Below this height, mm.
    pub high: f64,
    /// The area, where it is floor.
    pub region: Region,
}

/// Lines of equal height of values given at the points; only what lies on the floor.
pub fn contours(mesh: &Mesh, z: &[f64], ground: &Ground, levels: &[f64]) -> Vec<Contour> {
    let line = |&level: &f64| {
        let chains = chains(mesh, z, level + HAIR);
        Contour { level, chains: chains.iter().flat_map(|c| on_floor(c, ground)).collect() }
    };
    levels.iter().map(line).filter(|c| !c.chains.is_empty()).collect()
}

/// The areas between neighbouring levels, which rise.
pub fn bands(mesh: &Mesh, z: &[f64], floor: &Region, levels: &[f64]) -> Vec<Band> {
    let band = |pair: &[f64]| {
        let (low, high) = (pair[0], pair[1]);
        let parts = (0..mesh.triangles.len()).filter_map(|t| between(mesh, z, t, low, high));
        let region = Region::from_rings(&parts.collect::<Vec<_>>()).common(floor);
        Band { low, high, region }
    };
    levels.windows(2).map(band).filter(|b| !b.region.is_empty()).collect()
}

/// The part of a triangle whose height is between two.
fn between(mesh: &Mesh, z: &[f64], triangle: usize, low: f64, high: f64) -> Option<Ring> {
    let corners = mesh.triangles[triangle];
    let all = corners.map(|i| (mesh.points[i], z[i])).to_vec();
    let above = clipped(&all, |z| z - low);
    let part = clipped(&above, |z| high - z);
    let points: Option<Vec<Point>> = part.iter().map(|((x, y), _)| Point::from_mm_rounded(*x, *y)).collect();
    points.filter(|p| p.len() > 2).map(Ring::new).filter(|r| r.doubled_area() != 0)
}

/// What of a convex polygon has depth ≥ 0.
fn clipped(from: &[(Xy, f64)], depth: impl Fn(f64) -> f64) -> Vec<(Xy, f64)> {
    let mut out = Vec::new();
    for (i, a) in from.iter().enumerate() {
        let b = &from[(i + 1) % from.len()];
        let (da, db) = (depth(a.1), depth(b.1));
        if da >= 0.0 {
            out.push(*a);
        }
        if (da >= 0.0) != (db >= 0.0) {
            let t = da / (da - db);
            let mix = |a: f64, b: f64| a + t * (b - a);
            out.push(((mix(a.0.0, b.0.0), mix(a.0.1, b.0.1)), mix(a.1, b.1)));
        }
    }
    out
}

/// The lines of one height over the whole hull: segments of the triangles joined where they meet on an edge.
fn chains(mesh: &Mesh, z: &[f64], level: f64) -> Vec<Vec<Xy>> {
    let mut on_edge: BTreeMap<(usize, usize), Vec<(usize, usize)>> = BTreeMap::new();
    for t in &mesh.triangles {
        let sides = [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])].map(|(a, b)| (a.min(b), a.max(b)));
        let crossed: Vec<_> = sides.into_iter().filter(|&(a, b)| (z[a] < level) != (z[b] < level)).collect();
        if let [a, b] = crossed[..] {
            on_edge.entry(a).or_default().push(b);
            on_edge.entry(b).or_default().push(a);
        }
    }
    let at = |(a, b): (usize, usize)| {
        let share = (level - z[a]) / (z[b] - z[a]);
        let ((ax, ay), (bx, by)) = (mesh.points[a], mesh.points[b]);
        (ax + share * (bx - ax), ay + share * (by - ay))
    };
    let mut chains = Vec::new();
    // Open lines start on the hull; what is left then are closed ones.
    for open in [true, false] {
        while let Some(start) = on_edge.iter().find(|(_, next)| !open || next.len() == 1).map(|(e, _)| *e) {
            let (mut chain, mut here) = (vec![at(start)], start);
            while let Some(next) = on_edge.get_mut(&here).and_then(Vec::pop) {
                if let Some(back) = on_edge.get_mut(&next)
                    && let Some(k) = back.iter().position(|e| *e == here)
                {
                    back.remove(k);
                }
                on_edge.retain(|_, list| !list.is_empty());
                chain.push(at(next));
                here = next;
            }
            on_edge.remove(&start);
            chains.push(chain);
        }
    }
    chains.retain(|c| c.len() > 1);
    chains
}

/// The parts of a chain that lie on the floor.
fn on_floor(chain: &[Xy], ground: &Ground) -> Vec<Vec<Xy>> {
    let mut parts: Vec<Vec<Xy>> = Vec::new();
    let mut goes_on = false;
    for w in chain.windows(2).filter(|w| w[0] != w[1]) {
        let (a, b) = (w[0], w[1]);
        let at = |t: f64| (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
        let found = ground.parts(a, b);
        goes_on &= !found.is_empty();
        for (from, to) in found {
            match parts.last_mut() {
                Some(last) if goes_on && from <= 0.0 => last.push(at(to)),
                _ => parts.push(vec![at(from), at(to)]),
            }
            goes_on = to >= 1.0;
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_geometry::Length;

    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

    fn grid(height: impl Fn(f64, f64) -> f64) -> (Mesh, Vec<f64>, Ring) {
        let points: Vec<Point> = (0..30).map(|k| at(100 + k % 6 * 600, 100 + k / 6 * 600)).collect();
        let z = points.iter().map(|p| height(p.mm().0, p.mm().1)).collect();
        (
            Mesh::new(&points).expect("a grid"),
            z,
            Ring::new(vec![at(0, 0), at(3200, 0), at(3200, 2600), at(0, 2600)]),
        )
    }

    #[test]
    fn a_tilted_floor_has_straight_lines_of_equal_height_a_step_apart() {
        let (mesh, z, room) = grid(|x, _| -x / 1000.0);
        let found = contours(&mesh, &z, &Ground::new(&room, &[]), &[-3.0, -2.0, -1.0]);
        assert_eq!(found.len(), 3);
        for contour in &found {
            let [chain] = &contour.chains[..] else { panic!("one line: {:?}", contour.chains) };
            assert!(chain.iter().all(|p| (p.0 + 1000.0 * contour.level).abs() < 0.01), "{chain:?}");
            let (low, high) = chain.iter().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.1), b.max(p.1)));
            assert!((low, high) == (100.0, 2500.0));
        }
    }

    #[test]
    fn lines_stop_at_a_keepout_and_go_on_behind_it() {
        let (mesh, z, room) = grid(|x, _| -x / 1000.0);
        let island = Ring::new(vec![at(1500, 1000), at(2500, 1000), at(2500, 1600), at(1500, 1600)]);
        let found = contours(&mesh, &z, &Ground::new(&room, &[island]), &[-2.0]);
        let lengths: Vec<f64> =
            found[0].chains.iter().map(|c| c[c.len() - 1].1 - c[0].1).map(f64::abs).collect();
        assert_eq!(lengths.len(), 2);
        assert!((lengths.iter().sum::<f64>() - 1800.0).abs() < 0.01, "{lengths:?}");
    }

    #[test]
    fn bands_cover_the_hull_once_and_a_bowl_has_a_closed_line() {
        let squared = |x: f64| x * x;
        let bowl = |x: f64, y: f64| (squared(x - 1600.0) + squared(y - 1300.0)) / 1e6 - 4.0;
        let (mesh, z, room) = grid(bowl);
        let floor = Region::from_rings(std::slice::from_ref(&room));
        let levels = [-5.0, -3.0, -2.0, -1.0, 1.0];
        let area: f64 = bands(&mesh, &z, &floor, &levels).iter().map(|b| b.region.area_mm2()).sum();
        assert!((area - 3000.0 * 2400.0).abs() < 10.0, "{area}");
        let lines = contours(&mesh, &z, &Ground::new(&room, &[]), &[-3.0]);
        let [chain] = &lines[0].chains[..] else { panic!("one line") };
        assert_eq!(chain[0], chain[chain.len() - 1], "closed");
    }
}
