//! Sections of floor that one person can grout and wash before the grout sets, in an order that ends at the way out.
//!
//! The field is divided across the rows at joints, so that grout never ends in the middle of a tile there, and along
//! them into equal parts; each part that hangs together is a section. Where one leaves a section is another one that is
//! not grouted yet: sections are the branches of a tree of shortest ways with its root at the way out, and are done
//! branch by branch, leaves first. So whatever is still to be done hangs together with the way out at every moment.

use crate::lattice::{FrameField, LEAST_PIECE};
use drylay_geometry::ring::distance_to_segment;
use drylay_geometry::{Axis, Length, Point, Region, Shape, cut_band};
use std::collections::BTreeSet;

/// How much is grouted before it is washed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reach {
    /// Most along the rows.
    pub along: Length,
    /// Most across them.
    pub across: Length,
}

impl Reach {
    /// Sections of about 3 ft by 4 ft, for fast-drying ready-mixed flexible grout. Common practice of the trade; a
    /// product's own figure goes before it.
    pub const COMMON: Self =
        Self { along: Length::from_sixty_fourths(48 * 64), across: Length::from_sixty_fourths(36 * 64) };
}

/// A border over which a person steps without leaning on the wet: 450 mm, common practice.
const STEP: i64 = 450_000_000;
/// A narrower border is taken only where there is no other: it counts as a detour of so many nanometres.
const DETOUR: i64 = 100_000_000_000;
/// What is smaller than this, doubled and in square nanometres, joins a neighbour where both fit: 0.05 m².
const SMALL: i128 = 2 * 50_000_000_000_000_000;

/// A section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its outline in the rows' frame.
    pub shape: Shape,
    /// The section over which one leaves it, by its place in the order; `None` for the one at the way out.
    pub leaves_by: Option<usize>,
    /// The sections beside it, by their place in the order.
    pub beside: Vec<usize>,
    /// Whether the border one leaves by is narrow to step over.
    pub narrow: bool,
    /// Whether it belongs to a part of the floor that is not joined to the way out over the floor itself.
    pub apart: bool,
}

/// Divides a field into sections, in the order in which they are grouted. `joints` are lines across the rows at which it
/// may be divided, `way_out` the two ends of the opening by which one leaves, all in the rows' frame.
pub fn sections(field: &FrameField, joints: &[i64], reach: Reach, way_out: (Point, Point)) -> Vec<Section> {
    let parts = merged(divided(&field.region, joints, reach), reach);
    ordered(&parts, way_out)
}

/// The parts of a region in strips and along them.
fn divided(region: &Region, joints: &[i64], reach: Reach) -> Vec<Shape> {
    let Some((least, most)) = region.bounds() else { return Vec::new() };
    let lines = strips(joints, (least.y, most.y), reach.across.nanometres().max(1));
    let bands = lines.windows(2).flat_map(|strip| {
        region.shapes.iter().flat_map(move |shape| cut_band(shape, Axis::Y, strip[0], strip[1]))
    });
    let parts = bands.flat_map(|band| along(&band, reach.along.nanometres().max(1)));
    parts.filter(|part| part.doubled_area() > LEAST_PIECE).collect()
}

/// Lines across the rows, no further apart than `most`: at joints where there are any, else evenly between them.
fn strips(joints: &[i64], (least, end): (i64, i64), most: i64) -> Vec<i64> {
    let mut at: Vec<i64> = joints.iter().copied().filter(|v| *v > least && *v < end).collect();
    at.sort_unstable();
    at.dedup();
    at.push(end);
    let mut lines = vec![least];
    let mut last = least;
    let mut reached = least;
    for v in at {
        if v - last > most && reached > last {
            lines.push(reached);
            last = reached;
        }
        // One row alone may be wider than is washed at once.
        let parts = (v - last).div_euclid(most) + i64::from((v - last).rem_euclid(most) > 0);
        for k in 1..parts {
            lines.push(last + (v - last) / parts * k);
        }
        if parts > 1 {
            last = lines.last().copied().unwrap_or(last);
        }
        reached = v;
    }
    lines.push(end);
    lines
}

/// Equal parts along the rows, none longer than `most`.
fn along(band: &Shape, most: i64) -> Vec<Shape> {
    let Some((least, end)) = band.outer.bounds() else { return Vec::new() };
    let long = end.x - least.x;
    let parts = (long.div_euclid(most) + i64::from(long.rem_euclid(most) > 0)).max(1);
    let line = |k: i64| if k == parts { end.x } else { least.x + long / parts * k };
    (0..parts).flat_map(|k| cut_band(band, Axis::X, line(k), line(k + 1))).collect()
}

/// Joins small parts to a neighbour with which they are still within reach.
fn merged(mut parts: Vec<Shape>, reach: Reach) -> Vec<Shape> {
    let mut k = 0;
    while k < parts.len() {
        let small = parts[k].doubled_area() < SMALL;
        let found = small.then(|| best_neighbour(&parts, k, reach)).flatten();
        if let Some((other, joined)) = found {
            parts[other] = joined;
            parts.remove(k);
            // What was joined may be small still: all are looked at again.
            k = 0;
        } else {
            k += 1;
        }
    }
    parts
}

/// The neighbour with the longest border that a part may be joined to, and both as one.
fn best_neighbour(parts: &[Shape], k: usize, reach: Reach) -> Option<(usize, Shape)> {
    let others = (0..parts.len()).filter(|other| *other != k);
    let mut by: Vec<(i64, usize)> = others
        .map(|other| (-border(&parts[k], &parts[other]), other))
        .filter(|(long, _)| *long < 0)
        .collect();
    by.sort_unstable();
    by.into_iter().find_map(|(_, other)| {
        let mut both = Region { shapes: vec![parts[k].clone()] }
            .union(&parts[other].rings().cloned().collect::<Vec<_>>());
        let fits = both.bounds().is_some_and(|(a, b)| {
            b.x - a.x <= reach.along.nanometres() && b.y - a.y <= reach.across.nanometres()
        });
        // A ring of a hole would fill it: parts with holes stay alone.
        let plain = parts[k].holes.is_empty() && parts[other].holes.is_empty();
        (plain && fits && both.shapes.len() == 1).then(|| (other, both.shapes.swap_remove(0)))
    })
}

/// How long the border of two parts is, along the lines they were cut at.
fn border(one: &Shape, other: &Shape) -> i64 {
    let mut sum = 0;
    for (axis, across) in [(Axis::X, Axis::Y), (Axis::Y, Axis::X)] {
        let sides = |shape: &Shape| -> Vec<(i64, i64, i64)> {
            let edges = shape.rings().flat_map(|ring| ring.edges().collect::<Vec<_>>());
            let on_line = edges.filter(|(a, b)| across.of(*a) == across.of(*b));
            on_line
                .map(|(a, b)| (across.of(a), axis.of(a).min(axis.of(b)), axis.of(a).max(axis.of(b))))
                .collect()
        };
        let theirs = sides(other);
        for (line, low, high) in sides(one) {
            let on_it = theirs.iter().filter(|(other, ..)| *other == line);
            sum += on_it.map(|(_, from, to)| (high.min(*to) - low.max(*from)).max(0)).sum::<i64>();
        }
    }
    sum
}

fn middle(shape: &Shape) -> Point {
    let (a, b) = shape.outer.bounds().unwrap_or_default();
    Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 }
}

/// How far a part is from the way out, in nanometres.
fn away(shape: &Shape, (from, to): (Point, Point)) -> i64 {
    let at = Point { x: from.x + (to.x - from.x) / 2, y: from.y + (to.y - from.y) / 2 };
    if shape.outer.contains(at) {
        return 0;
    }
    let far = shape.outer.edges().map(|(a, b)| distance_to_segment(at, a, b)).fold(f64::INFINITY, f64::min);
    whole(far)
}

/// A distance in nanometres as a whole number.
fn whole(nm: f64) -> i64 {
    Length::from_mm_f64(nm / 1e6).map_or(i64::MAX / 4, Length::nanometres)
}

/// A tree of ways: for each part the part one leaves it by, and how far it is to the root.
struct Ways {
    beside: Vec<Vec<(usize, i64)>>,
    by: Vec<Option<(usize, bool)>>,
    root_of: Vec<usize>,
    far: Vec<i64>,
}

/// The shortest ways from every part to the way out; a part that is not joined to it has a root of its own.
fn ways(parts: &[Shape], way_out: (Point, Point)) -> Ways {
    let n = parts.len();
    let borders: Vec<Vec<(usize, i64)>> = (0..n)
        .map(|k| {
            let beside =
                (0..n).filter(|other| *other != k).map(|other| (other, border(&parts[k], &parts[other])));
            beside.filter(|(_, long)| *long > 0).collect()
        })
        .collect();
    let mut ways =
        Ways { beside: borders, by: vec![None; n], root_of: vec![usize::MAX; n], far: vec![i64::MAX; n] };
    while let Some(root) =
        (0..n).filter(|k| ways.far[*k] == i64::MAX).min_by_key(|k| (away(&parts[*k], way_out), *k))
    {
        ways.far[root] = 0;
        ways.root_of[root] = root;
        let mut open = BTreeSet::from([(0, root)]);
        while let Some((far, k)) = open.pop_first() {
            for (other, long) in ways.beside[k].clone() {
                let (a, b) = (middle(&parts[k]), middle(&parts[other]));
                let detour = if long < STEP { DETOUR } else { 0 };
                let next = far + whole((b - a).norm()) + detour;
                if next < ways.far[other] {
                    open.remove(&(ways.far[other], other));
                    ways.far[other] = next;
                    ways.by[other] = Some((k, long < STEP));
                    ways.root_of[other] = root;
                    open.insert((next, other));
                }
            }
        }
    }
    ways
}

/// The parts in the order in which they are grouted: branch by branch, the far ones first, each root last of its own.
fn ordered(parts: &[Shape], way_out: (Point, Point)) -> Vec<Section> {
    let ways = ways(parts, way_out);
    let n = parts.len();
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); n];
    for k in 0..n {
        if let Some((by, _)) = ways.by[k] {
            children[by].push(k);
        }
    }
    // The deepest way of each branch: its farthest leaf is begun with.
    let mut by_depth: Vec<usize> = (0..n).collect();
    by_depth.sort_by_key(|k| (std::cmp::Reverse(ways.far[*k]), *k));
    let mut deepest = ways.far.clone();
    for &k in &by_depth {
        if let Some((by, _)) = ways.by[k] {
            deepest[by] = deepest[by].max(deepest[k]);
        }
    }
    let mut roots: Vec<usize> = (0..n).filter(|k| ways.root_of[*k] == *k).collect();
    // The root at the way out comes last.
    roots.sort_by_key(|k| (std::cmp::Reverse(away(&parts[*k], way_out)), std::cmp::Reverse(*k)));
    let last = roots.last().copied();
    let mut order = Vec::with_capacity(n);
    for &root in &roots {
        let mut open = vec![(root, false)];
        while let Some((k, seen)) = open.pop() {
            if seen {
                order.push(k);
                continue;
            }
            open.push((k, true));
            let mut below = children[k].clone();
            // What is pushed last is begun with.
            below.sort_by_key(|child| (deepest[*child], *child));
            open.extend(below.into_iter().map(|child| (child, false)));
        }
    }
    let mut place = vec![0; n];
    order.iter().enumerate().for_each(|(at, k)| place[*k] = at);
    let section = |k: usize| Section {
        shape: parts[k].clone(),
        leaves_by: ways.by[k].map(|(by, _)| place[by]),
        beside: ways.beside[k].iter().map(|(other, _)| place[*other]).collect(),
        narrow: ways.by[k].is_some_and(|(_, narrow)| narrow),
        apart: Some(ways.root_of[k]) != last,
    };
    order.iter().map(|k| section(*k)).collect()
}
