//! How many tiles every choice of a direction and an offset takes at least, without laying any of them.
//!
//! Pieces keep their own place on the tile, so pieces that lie over one point of it need a tile each, and so do
//! those that come nearer to it than half a kerf. The places of one point of the tile, over all tiles, are a
//! lattice of points; moving the layout only moves which points of that lattice belong to which place on the
//! tile. So what counts is the greatest number of points of the lattice that can lie in the field at once: the
//! *depth* of the field, which is the same for all shifts but for the strip that joints take.
//!
//! Where tiles may be turned by half a turn, pieces over a point or over the one opposite share two to a tile at most,
//! so half the depths of both together count ([`Depths::turned`]).
//!
//! Depths are taken along lines of the tile that no corner of the field is near. On one line, each stretch of the
//! field holds so many points wherever the lattice lies, and one more while the lattice lies in an arc of the
//! pitch; the deepest place of all arcs is found by a sweep. A piece is counted where it is at least 2 mm long
//! over a height of 1 mm, so that it is more than 1 mm² and does count as a piece.

use crate::lattice::FrameField;
use crate::product::{Offset, Order, Product};
use drylay_geometry::{Length, Point};

/// Height in nanometres over which a piece is looked at.
const HEIGHT: i64 = 1_000_000;
/// Least length in nanometres of a piece that is counted.
const LENGTH: i64 = 2_000_000;
/// What offsets rounded to a nanometre may add up to, with room to spare.
const ROUNDING: i64 = 1_000;
/// The most lines that are looked at.
const MOST_LINES: usize = 400;

/// Depths of a field along some lines of the tile.
#[derive(Debug)]
pub(crate) struct Depths {
    /// Distance from the field's least v, in order, and the greatest depth of the lines up to there, counted with
    /// row 1 as their first.
    first: Vec<(i64, usize)>,
    /// The same from there on, counted with row 2 as their first.
    second: Vec<(i64, usize)>,
    /// Where tiles may be turned, the fewest tiles by the width of row 1, in order.
    turned: Vec<(i64, usize)>,
    joint: i64,
    cost: u64,
}

impl Depths {
    /// The depths of a field in its frame; `first_rows`: the widths of row 1 that are asked for where tiles may be
    /// turned.
    pub(crate) fn new(
        product: &Product,
        field: &FrameField,
        (offset, order): (Offset, Order),
        first_rows: &[Length],
    ) -> Self {
        let joint = product.joint.nanometres();
        let mut made = Self { first: Vec::new(), second: Vec::new(), turned: Vec::new(), joint, cost: 1 };
        let Some((lo, hi)) = field.region.bounds() else { return made };
        let edges: Vec<(Point, Point)> = field
            .region
            .rings()
            .flat_map(|r| r.edges())
            .map(|(a, b)| if a.y <= b.y { (a, b) } else { (b, a) })
            .collect();
        if !product.interlock {
            let opposite = Opposite { product, offset, order, edges: &edges, least: lo.y, greatest: hi.y };
            made.turned = opposite.depths(first_rows, &mut made.cost);
            return made;
        }
        let pitch = product.pitch_across().nanometres();
        for at in lines(&edges, lo.y, pitch) {
            let rows: Vec<Vec<(i64, i64)>> =
                (0..=(hi.y - lo.y - at) / pitch).map(|t| stretches(&edges, lo.y + at + t * pitch)).collect();
            made.cost += (rows.len() * edges.len()) as u64 / 400 + 1;
            let depth = |from: i64| depth(product, offset, order, &rows, from);
            made.first.push((at + HEIGHT, depth(0)));
            made.second.push((
                at,
                if order == Order::Stepped { made.first.last().map_or(0, |f| f.1) } else { depth(1) },
            ));
        }
        for i in 1..made.first.len() {
            made.first[i].1 = made.first[i].1.max(made.first[i - 1].1);
        }
        for i in (1..made.second.len()).rev() {
            made.second[i - 1].1 = made.second[i - 1].1.max(made.second[i].1);
        }
        made
    }

    /// Steps of work that it took.
    pub(crate) fn cost(&self) -> u64 {
        self.cost
    }

    /// Tiles that every one of these first rows takes at least.
    pub(crate) fn least_of_all(&self, first_rows: &[Length]) -> usize {
        first_rows.iter().map(|f| self.least_tiles(f.nanometres())).min().unwrap_or(0)
    }

    /// Tiles that every shift takes at least with this width of row 1.
    pub(crate) fn least_tiles(&self, first_row: i64) -> usize {
        let before = self.first.partition_point(|f| f.0 <= first_row);
        let after = self.second.partition_point(|s| s.0 < first_row + self.joint);
        let in_first = before.checked_sub(1).map_or(0, |i| self.first[i].1);
        let in_second = self.second.get(after).map_or(0, |s| s.1);
        let turned = self.turned.binary_search_by_key(&first_row, |t| t.0).map_or(0, |i| self.turned[i].1);
        in_first.max(in_second).max(turned)
    }
}

/// How many parts the pitch along the row is looked at in, where tiles may be turned.
const PARTS: usize = 96;
/// How many lines of the tile are looked at for a width of row 1 at most, and about how many edges in all.
const MOST_OPPOSITE: usize = 6;
const MOST_EDGES: usize = 6_000_000;

/// Depths of a point of the tile and the one opposite together.
struct Opposite<'a> {
    product: &'a Product,
    offset: Offset,
    order: Order,
    edges: &'a [(Point, Point)],
    least: i64,
    greatest: i64,
}

impl Opposite<'_> {
    /// The fewest tiles by the width of row 1.
    fn depths(&self, first_rows: &[Length], cost: &mut u64) -> Vec<(i64, usize)> {
        let rows = (self.greatest - self.least) / self.product.pitch_across().nanometres() + 2;
        let each = usize::try_from(2 * rows).unwrap_or(1) * self.edges.len() + PARTS * PARTS / 8;
        let lines = (MOST_EDGES / (each * first_rows.len()).max(1)).clamp(1, MOST_OPPOSITE);
        *cost += (first_rows.len() * lines * each) as u64 / 400;
        let mut sorted: Vec<i64> = first_rows.iter().map(|f| f.nanometres()).collect();
        sorted.sort_unstable();
        let width = self.product.width.nanometres();
        let line = |l: usize| {
            width * (2 * i64::try_from(l).unwrap_or(0) + 1) / (4 * i64::try_from(lines).unwrap_or(1))
        };
        let deepest = |f: i64| (0..lines).map(|l| self.depth(f, line(l))).max().unwrap_or(0);
        sorted.into_iter().map(|f| (f, deepest(f))).collect()
    }

    /// The fewest tiles of every shift, by the points of the tile on the line of this v and those opposite. For
    /// every part of the pitch that the tile may start in, the best of the points that are whole parts away from there.
    fn depth(&self, first_row: i64, v: i64) -> usize {
        let (length, width) = (self.product.length.nanometres(), self.product.width.nanometres());
        let origin = self.least + first_row - width;
        let here = self.parts(origin + v);
        let there = self.parts(origin + width - v - HEIGHT);
        let part = self.part();
        let clear = self.reach() + LENGTH;
        let whole = |l: i64| usize::try_from(l / part.max(1)).unwrap_or(0);
        let (from, to) = (whole(clear) + 1, whole(length - clear));
        let at = |parts: &[i64], i: usize| parts[i % PARTS];
        let of_start = |start: usize| {
            let both = |u: usize| {
                // The point opposite lies the tile's length less so many parts from the start: in one of two parts.
                let opposite = start + PARTS + whole(length) - u;
                at(&here, start + u) + at(&there, opposite).min(at(&there, opposite + 1))
            };
            (from..=to).map(both).max().unwrap_or(0)
        };
        let most = (0..PARTS).map(of_start).min().unwrap_or(0);
        usize::try_from((most + 1) / 2).unwrap_or(0)
    }

    /// How wide a part of the pitch is.
    fn part(&self) -> i64 {
        self.product.pitch_along().nanometres() / i64::try_from(PARTS).unwrap_or(1)
    }

    fn reach(&self) -> i64 {
        (self.product.kerf.nanometres() / 2 - ROUNDING).max(0)
    }

    /// For each part of the pitch, how many tiles lie over the line wherever in the part it is that a point of theirs
    /// lies.
    fn parts(&self, line: i64) -> Vec<i64> {
        let along = self.product.pitch_along();
        let (pitch, part) = (along.nanometres(), self.part().max(1));
        // What rounding parts to nanometres adds up to around the pitch.
        let slack = 2 * i64::try_from(PARTS).unwrap_or(0) + 2;
        let (mut always, mut change) = (0, vec![0_i64; PARTS + 1]);
        let (mut row, mut v) = (0, line);
        while v < self.greatest {
            let moved = self.offset.of_row(row, along, self.order);
            for (a, b) in stretches(self.edges, v) {
                let (a, b) = (a - self.reach() - moved, b + self.reach() - moved);
                always += (b - a) / pitch;
                let (start, arc) = (a.rem_euclid(pitch) + slack, (b - a) % pitch - 2 * slack);
                for (from, to) in [(start, start + arc), (start - pitch, start + arc - pitch)] {
                    let last = i64::try_from(PARTS).unwrap_or(0);
                    let (first, end) =
                        ((from + part - 1).div_euclid(part).max(0), to.div_euclid(part).min(last));
                    if let (Ok(first), Ok(end)) = (usize::try_from(first), usize::try_from(end))
                        && first < end
                    {
                        change[first] += 1;
                        change[end] -= 1;
                    }
                }
            }
            row += 1;
            v += self.product.pitch_across().nanometres();
        }
        let mut depth = always;
        change[..PARTS]
            .iter()
            .map(|c| {
                depth += c;
                depth
            })
            .collect()
    }
}

/// Lines across the tile, as distances from the field's least v, that stay clear of corners of the field.
fn lines(edges: &[(Point, Point)], least: i64, pitch: i64) -> Vec<i64> {
    let mut corners: Vec<i64> = edges.iter().map(|(a, _)| (a.y - least).rem_euclid(pitch)).collect();
    corners.extend(edges.iter().map(|(_, b)| (b.y - least).rem_euclid(pitch)));
    corners.extend([0, pitch]);
    corners.sort_unstable();
    corners.dedup();
    let mut lines: Vec<i64> = Vec::new();
    for gap in corners.windows(2) {
        let (from, to) = (gap[0] + 1, gap[1] - HEIGHT - 1);
        if from <= to {
            lines.extend([from, from + (to - from) / 2, to]);
        }
    }
    lines.dedup();
    let every = lines.len().div_ceil(MOST_LINES).max(1);
    lines.into_iter().step_by(every).collect()
}

/// What of the field has no corner between two lines: the stretches of u that lie in it all the way.
fn stretches(edges: &[(Point, Point)], v: i64) -> Vec<(i64, i64)> {
    let to = v + HEIGHT;
    let mut crossing: Vec<(i64, i64, i64)> = Vec::new();
    for &(a, b) in edges {
        if b.y < v || a.y > to {
            continue;
        }
        if a.y >= v || b.y <= to {
            return Vec::new(); // a corner: this row is not counted
        }
        let (x, y) = (at(a, b, v), at(a, b, to));
        crossing.push((x + y, x, y));
    }
    crossing.sort_unstable();
    let inner = |pair: &[(i64, i64, i64)]| match *pair {
        [(_, a, b), (_, c, d)] => (a.max(b) + 1, c.min(d) - 1),
        _ => (0, 0),
    };
    crossing.chunks(2).map(inner).filter(|(a, b)| b - a >= LENGTH).collect()
}

fn at(a: Point, b: Point, v: i64) -> i64 {
    let run = i128::from(b.x - a.x) * i128::from(v - a.y);
    a.x + i64::try_from(run.div_euclid(i128::from(b.y - a.y))).unwrap_or(0)
}

/// The depth that every shift has, with `from` the number of the first of these rows.
fn depth(product: &Product, offset: Offset, order: Order, rows: &[Vec<(i64, i64)>], from: i64) -> usize {
    let along = product.pitch_along();
    let pitch = along.nanometres();
    let reach = (product.kerf.nanometres() / 2 - ROUNDING).max(0);
    let mut always = 0_i64;
    let mut steps: Vec<(i64, i64)> = Vec::new();
    for (t, row) in rows.iter().enumerate() {
        let moved = offset.of_row(from + i64::try_from(t).unwrap_or(0), along, order);
        for &(a, b) in row {
            let (a, b) = (a - reach - moved, b + reach - moved);
            always += (b - a) / pitch;
            let (start, arc) = (a.rem_euclid(pitch), (b - a) % pitch);
            steps.push((start, 1));
            if start + arc < pitch {
                steps.push((start + arc, -1));
            } else {
                always += 1;
                steps.push((start + arc - pitch, -1));
            }
        }
    }
    steps.sort_unstable();
    // Points of the tile nearer than this to its ends are left out, and the joint between tiles.
    let margin = product.joint.nanometres() + 2 * (reach + LENGTH);
    let most = robust(&steps, always, pitch, pitch - margin);
    usize::try_from(most).unwrap_or(0)
}

/// The greatest depth that every arc of `window` meets. `steps`: where on the circle the depth changes by how
/// much; `always`: the depth where it begins.
fn robust(steps: &[(i64, i64)], always: i64, pitch: i64, window: i64) -> i64 {
    let mut parts: Vec<(i64, i64, i64)> = Vec::new(); // from, to, depth
    let (mut at, mut depth) = (0, always);
    for group in steps.chunk_by(|a, b| a.0 == b.0) {
        if group[0].0 > at {
            parts.push((at, group[0].0, depth));
        }
        at = group[0].0;
        depth += group.iter().map(|s| s.1).sum::<i64>();
    }
    parts.push((at, pitch, depth));
    let mut levels: Vec<i64> = parts.iter().map(|p| p.2).collect();
    levels.sort_unstable();
    levels.dedup();
    let meets_all = |level: i64| {
        let high: Vec<(i64, i64)> = parts.iter().filter(|p| p.2 >= level).map(|p| (p.0, p.1)).collect();
        let (Some(first), Some(last)) = (high.first(), high.last()) else { return false };
        let seam = first.0 + pitch - last.1;
        let widest = high.windows(2).map(|w| w[1].0 - w[0].1).max().unwrap_or(0);
        seam.max(widest) < window
    };
    levels.into_iter().rev().find(|&level| meets_all(level)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::{Field, Keepout, Room};
    use crate::lattice::{Along, Choice};
    use crate::plan::Plan;
    use drylay_geometry::{Corner, Direction, Outline, Ring};
    use proptest::prelude::*;

    fn at((x, y): (i64, i64)) -> Point {
        // Tenths of a millimetre.
        Point { x: x * 100_000, y: y * 100_000 }
    }

    fn frame(moved: &[(i64, i64)]) -> FrameField {
        let corners = [(0, 0), (3100, 0), (3100, 1400), (1700, 1400), (1700, 2300), (0, 2300)];
        let names = ["A", "B", "C", "D", "E", "F"];
        let corners = corners
            .iter()
            .zip(moved)
            .zip(names)
            .map(|((c, m), name)| Corner { id: name.into(), at: at((c.0 + m.0, c.1 + m.1)) });
        let outline = Outline::new(corners.collect()).expect("an L");
        let ring = Ring::new([(700, 500), (1100, 510), (1105, 900), (690, 890)].map(at).to_vec());
        let keepouts = vec![Keepout { id: "island".into(), ring }];
        let room =
            Room { id: "room".into(), outline, keepouts, openings: vec![], gaps: vec![], bows: vec![] };
        let field = Field::new(&[room], &[], Length::from_mm(2)).expect("a field");
        FrameField::new(&field.region, Direction::RIGHT)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]
        #[test]
        fn no_choice_takes_fewer_tiles_than_the_field_is_deep(
            moved in proptest::collection::vec((-60_i64..60, -60_i64..60), 6), kerf in 0_i64..4, joint in 0_i64..3,
            interlock in any::<bool>(), alternating in any::<bool>(), offset in 0..3_u32, first_row in 1_i64..30, shifts in proptest::collection::vec(1_i64..60, 4),
        ) {
            let offset = Offset { num: offset, den: 3 };
            let order = if alternating { Order::Alternating } else { Order::Stepped };
            let tile = Product {
                id: "tile".into(), length: Length::from_mm(60), width: Length::from_mm(30),
                joint: Length::from_mm(joint), edge_gap: Length::from_mm(2), kerf: Length::from_mm(kerf), interlock,
                offsets: vec![offset], min_row_width: Length::ZERO, min_end_length: Length::ZERO, max_run: None,
                carton_tiles: None,
            };
            let frame = frame(&moved);
            let first_row = Length::from_mm(first_row);
            let depths = Depths::new(&tile, &frame, (offset, order), &[first_row]);
            let least = depths.least_tiles(first_row.nanometres());
            let worth_having = if interlock { 9 } else { 8 };
            prop_assert!(least * 60 * 30 * 10 > 47_000 * worth_having, "a bound worth having: {least}");
            for shift in shifts {
                let along = Along { direction: Direction::RIGHT, wall: None };
                let choice = Choice { along, offset, order, first_row, shift: Length::from_mm(shift) };
                let plan = Plan::new(&tile, &choice, &frame).expect("possible");
                prop_assert!(least <= plan.sharing.tiles, "{least} of {}", plan.sharing.tiles);
            }
        }
    }
}
