//! The field: the floor that is to be covered.
//!
//! Rooms are placed beside each other by their passages, their shapes joined, reaches into openings added,
//! keep-outs taken away, and what is left is drawn in by each edge's gap.
//!
//! Drawing in takes from the floor, along every edge, a band as wide as that edge's gap. Bands meet in mitred
//! corners. So the result is right where a plain parallel offset is not: in alcoves narrower than two gaps, and
//! where a short wall lies between two long ones.

use crate::place::{Placed, Placement, Placing, one_by_one, place};
use drylay_geometry::ring::distance_to_segment;
use drylay_geometry::{Direction, ItemId, Length, Outline, Point, Region, Ring, RoomId, Shape};

/// A room to be laid: its shape and what stands in it, in its own plan coordinates.
#[derive(Clone, Debug)]
pub struct Room {
    /// Its name.
    pub id: RoomId,
    /// Its shape.
    pub outline: Outline,
    /// What the floor goes round.
    pub keepouts: Vec<Keepout>,
    /// Doors and other openings.
    pub openings: Vec<Opening>,
    /// Walls with a gap of their own: the wall that starts at this corner index, and the gap.
    pub gaps: Vec<(usize, Length)>,
    /// Walls that are not straight: the wall that starts at this corner index, and its points between the corners in
    /// walking order.
    pub bows: Vec<(usize, Vec<Point>)>,
}

impl Room {
    /// The room's ring with the points of its bowed walls, each edge with the wall it belongs to.
    pub fn edges(&self) -> Vec<(usize, Point, Point)> {
        let mut edges = Vec::new();
        for (w, (from, to)) in self.outline.ring().edges().enumerate() {
            let bow =
                self.bows.iter().rev().find(|(wall, _)| *wall == w).map_or(&[][..], |(_, points)| points);
            let mut here = from;
            for &next in bow.iter().chain([&to]) {
                edges.push((w, here, next));
                here = next;
            }
        }
        edges
    }

    /// How far a bowed wall comes into the room at most, in nanometres.
    fn comes_in(&self, wall: usize) -> f64 {
        let Some((_, points)) = self.bows.iter().rev().find(|(w, _)| *w == wall) else { return 0.0 };
        let line = self.outline.wall(wall);
        let Some(along) = line.direction() else { return 0.0 };
        let (nx, ny) = along.clockwise().components();
        let inward = |p: &Point| {
            let d = *p - line.from;
            d.x as f64 * nx + d.y as f64 * ny
        };
        points.iter().map(inward).fold(0.0, f64::max)
    }
}

/// What the floor goes round.
#[derive(Clone, Debug)]
pub struct Keepout {
    /// Its name in the room.
    pub id: ItemId,
    /// Its outline, either way round.
    pub ring: Ring,
}

/// An opening in a wall.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Its name in the room.
    pub id: ItemId,
    /// The wall that starts at this corner index.
    pub wall: usize,
    /// From the wall's left corner, seen from inside, to the opening's left end.
    pub start: Length,
    /// Its width.
    pub width: Length,
    /// How far the floor runs into it beyond the wall line.
    pub reach: Length,
}

/// Two openings that are one hole through a wall: indices of room and opening on both sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Passage {
    /// Room and opening on one side.
    pub a: (usize, usize),
    /// Room and opening on the other.
    pub b: (usize, usize),
    /// Thickness of the wall.
    pub depth: Length,
}

/// The floor that is to be covered, in the first room's plan coordinates.
#[derive(Clone, Debug)]
pub struct Field {
    /// Its shape.
    pub region: Region,
    /// The floor up to the walls and to what stands in it, before the gaps.
    pub floor: Region,
    /// The rooms' outlines where they were placed.
    pub rooms: Vec<Placed>,
    /// Where one goes from room to room.
    pub passages: Vec<PassageLine>,
    /// Where the openings lie.
    pub openings: Vec<OpeningPlace>,
    /// What was odd and did not keep the field from being made.
    pub notes: Vec<FieldProblem>,
}

/// Where a passage lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PassageLine {
    /// Index of the passage.
    pub passage: usize,
    /// The middle of the hole through the wall.
    pub middle: Point,
    /// The direction in which one goes through.
    pub through: Direction,
}

/// Where an opening lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OpeningPlace {
    /// Index of the room.
    pub room: usize,
    /// Index of the opening.
    pub opening: usize,
    /// Its left end on the wall line, as seen from inside.
    pub left: Point,
    /// Its right end.
    pub right: Point,
    /// How far the floor runs into it beyond the wall line.
    pub depth: Length,
}

/// What is wrong with a field, by indices of rooms, openings and passages.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldProblem {
    /// Nothing is left.
    Empty,
    /// The keep-out lies outside the floor.
    KeepoutOutside {
        /// Index of the room.
        room: usize,
        /// Index of the keep-out.
        keepout: usize,
    },
    /// The opening does not fit its wall.
    OpeningOutside {
        /// Index of the room.
        room: usize,
        /// Index of the opening.
        opening: usize,
        /// The wall's length.
        wall: Length,
    },
    /// No passage joins the room to the first.
    Unjoined {
        /// Index of the room.
        room: usize,
    },
    /// The passage closes a loop, and going round it its openings miss each other.
    LoopOpen {
        /// Index of the passage.
        passage: usize,
        /// By how much.
        off: Length,
    },
    /// The passage's two sides differ in width.
    WidthDiffers {
        /// Index of the passage.
        passage: usize,
        /// By how much.
        off: Length,
    },
    /// Two rooms overlap once placed.
    Overlap {
        /// Index of one room.
        a: usize,
        /// Index of the other.
        b: usize,
    },
}

impl FieldProblem {
    /// Whether the field can still be made.
    pub fn is_note(&self) -> bool {
        matches!(self, Self::WidthDiffers { .. } | Self::LoopOpen { .. })
    }
}

/// Steps in the joined outline smaller than this, in nanometres, come from rounding corners to a micrometre and
/// are smoothed: they would otherwise give bands of their own. Smoothing moves the edge by less than this.
const ROUNDING_STEP: f64 = 5_000.0;
/// How far, in nanometres, a reach or a passage overlaps the room it belongs to, so that no slit stays between.
const OVERLAP: f64 = 2_000.0;
/// A mitre longer than this many gaps is cut off: it comes from a spike, not from a corner of a room.
const LONGEST_MITRE: f64 = 20.0;
/// Doubled area in square nanometres below which a part of the field is no floor (1 mm²).
const LEAST_DOUBLED_AREA: i128 = 2_000_000_000_000;

/// An edge of something that stands around the floor, and the gap kept from it.
struct Source {
    from: Point,
    to: Point,
    gap: Length,
}

impl Field {
    /// Makes the field of some rooms, the passages between them and the product's gap; the rooms are placed one by
    /// one.
    ///
    /// # Errors
    /// Everything that keeps it from being made.
    pub fn new(rooms: &[Room], passages: &[Passage], edge_gap: Length) -> Result<Self, Vec<FieldProblem>> {
        Self::placed(rooms, passages, edge_gap, &one_by_one)
    }

    /// As [`Field::new`], with the rooms placed as `placing` says.
    ///
    /// # Errors
    /// Everything that keeps it from being made.
    pub fn placed(
        rooms: &[Room],
        passages: &[Passage],
        edge_gap: Length,
        placing: Placing<'_>,
    ) -> Result<Self, Vec<FieldProblem>> {
        let mut problems = opening_problems(rooms);
        if !problems.is_empty() {
            return Err(problems);
        }
        let placement = place(rooms, passages, placing);
        problems.extend(placement.problems.iter().cloned());
        let gap_of = |room: usize, wall: usize| {
            rooms[room].gaps.iter().rev().find(|(w, _)| *w == wall).map_or(edge_gap, |(_, gap)| *gap)
        };
        let mut sources = Vec::new();
        let floor = joined(rooms, passages, &placement, &gap_of, &mut sources);
        if placement.problems.iter().all(FieldProblem::is_note) {
            problems.extend(overlaps(&placement)); // an unjoined room lies at the origin for want of a place
        }
        let keepouts = keepout_rings(rooms, &placement, &floor, edge_gap, &mut sources, &mut problems);
        let bare = smoothed(&floor.minus(&keepouts));
        let region = drawn_in(&bare, &sources, edge_gap);
        if region.is_empty() {
            problems.push(FieldProblem::Empty);
        }
        let (notes, errors): (Vec<_>, Vec<_>) = problems.into_iter().partition(FieldProblem::is_note);
        if !errors.is_empty() {
            return Err(errors);
        }
        let openings = opening_places(rooms, passages, &placement);
        let passages = passage_lines(rooms, passages, &placement);
        Ok(Self { region, floor: bare, rooms: placement.rooms, passages, openings, notes })
    }

    /// Its area in square metres.
    pub fn area_m2(&self) -> f64 {
        self.region.area_mm2() / 1e6
    }
}

fn passage_lines(rooms: &[Room], passages: &[Passage], placement: &Placement) -> Vec<PassageLine> {
    let line = |(i, p): (usize, &Passage)| {
        let near = placement.opening(rooms, p.a.0, p.a.1)?;
        let far = placement.opening(rooms, p.b.0, p.b.1)?;
        let middle = middle(middle(near.left, near.right), middle(far.left, far.right));
        Some(PassageLine { passage: i, middle, through: near.along.clockwise() })
    };
    passages.iter().enumerate().filter_map(line).collect()
}

fn opening_places(rooms: &[Room], passages: &[Passage], placement: &Placement) -> Vec<OpeningPlace> {
    let mut places = Vec::new();
    for (r, room) in rooms.iter().enumerate() {
        for (o, opening) in room.openings.iter().enumerate() {
            let through = passages.iter().find(|p| p.a == (r, o) || p.b == (r, o));
            let depth = through.map_or(opening.reach, |p| p.depth);
            let Some(OpeningLine { left, right, .. }) = placement.opening(rooms, r, o) else { continue };
            places.push(OpeningPlace { room: r, opening: o, left, right, depth });
        }
    }
    places
}

fn middle(a: Point, b: Point) -> Point {
    Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 }
}

fn opening_problems(rooms: &[Room]) -> Vec<FieldProblem> {
    let mut problems = Vec::new();
    for (r, room) in rooms.iter().enumerate() {
        for (o, opening) in room.openings.iter().enumerate() {
            let wall = room.outline.wall(opening.wall).length();
            // A tape cannot tell whether an opening ends at the corner to better than a millimetre.
            if opening.start + opening.width > wall + Length::from_mm(1) {
                problems.push(FieldProblem::OpeningOutside { room: r, opening: o, wall });
            }
        }
    }
    problems
}

/// The floor of all rooms with their passages and reaches, before keep-outs and gaps.
fn joined(
    rooms: &[Room],
    passages: &[Passage],
    placement: &Placement,
    gap_of: &dyn Fn(usize, usize) -> Length,
    sources: &mut Vec<Source>,
) -> Region {
    let mut rings = Vec::new();
    for (r, placed) in placement.rooms.iter().enumerate() {
        let edges = rooms[r].edges().into_iter().map(|(w, a, b)| (w, placed.to_area(a), placed.to_area(b)));
        let mut points = Vec::new();
        for (w, from, to) in edges {
            sources.push(Source { from, to, gap: gap_of(r, w) });
            points.push(from);
        }
        rings.push(Ring::new(points));
    }
    for passage in passages {
        let (Some(a), Some(b)) = (
            placement.opening(rooms, passage.a.0, passage.a.1),
            placement.opening(rooms, passage.b.0, passage.b.1),
        ) else {
            continue;
        };
        let walls = [(passage.a.0, passage.a.1), (passage.b.0, passage.b.1)];
        let gap =
            walls.iter().map(|&(r, o)| gap_of(r, rooms[r].openings[o].wall)).max().unwrap_or(Length::ZERO);
        sources.push(Source { from: a.left, to: b.right, gap });
        sources.push(Source { from: b.left, to: a.right, gap });
        let [into_a, into_b] = walls.map(|(r, o)| rooms[r].comes_in(rooms[r].openings[o].wall));
        let quad = [a.inside(a.left, into_a), a.inside(a.right, into_a), b.inside(b.left, into_b)];
        rings.push(Ring::new(quad.into_iter().chain([b.inside(b.right, into_b)]).collect()));
    }
    for (r, room) in rooms.iter().enumerate() {
        for (o, opening) in room.openings.iter().enumerate() {
            let joined = passages.iter().any(|p| p.a == (r, o) || p.b == (r, o));
            if joined || opening.reach <= Length::ZERO {
                continue;
            }
            let Some(line) = placement.opening(rooms, r, o) else { continue };
            let (far_left, far_right) =
                (line.outside(line.left, opening.reach), line.outside(line.right, opening.reach));
            let gap = gap_of(r, opening.wall);
            for (from, to) in [(line.left, far_left), (far_left, far_right), (far_right, line.right)] {
                sources.push(Source { from, to, gap });
            }
            let into = room.comes_in(opening.wall);
            let (left, right) = (line.inside(line.left, into), line.inside(line.right, into));
            rings.push(Ring::new(vec![left, far_left, far_right, right]));
        }
    }
    Region::from_rings(&rings)
}

/// The line of an opening where its room was placed, from left to right as seen from inside.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OpeningLine {
    pub(crate) left: Point,
    pub(crate) right: Point,
    pub(crate) along: Direction,
}

impl OpeningLine {
    /// A point a hair inside the room, beyond what a bowed wall comes in.
    fn inside(&self, p: Point, comes_in: f64) -> Point {
        moved(p, self.along.clockwise(), OVERLAP + comes_in)
    }
    /// A point beyond the wall line.
    pub(crate) fn outside(&self, p: Point, by: Length) -> Point {
        moved(p, self.along.clockwise().reversed(), by.nanometres() as f64)
    }
}

/// A point moved by so many nanometres in a direction.
pub(crate) fn moved(p: Point, direction: Direction, nm: f64) -> Point {
    let (cos, sin) = direction.components();
    #[expect(clippy::cast_possible_truncation, reason = "plan coordinates are far inside the range of i64")]
    let round = |x: f64| x.round() as i64;
    Point { x: p.x + round(nm * cos), y: p.y + round(nm * sin) }
}

fn overlaps(placement: &Placement) -> Vec<FieldProblem> {
    let shapes: Vec<Region> =
        placement.rooms.iter().map(|p| Region { shapes: vec![Shape::simple(p.outline.ring())] }).collect();
    let mut problems = Vec::new();
    for (a, first) in shapes.iter().enumerate() {
        for (b, second) in shapes.iter().enumerate().skip(a + 1) {
            // Walls that touch or cross by rounding and tape error are no overlap; a tenth of a square metre is.
            if first.common(second).area_mm2() > 100_000.0 {
                problems.push(FieldProblem::Overlap { a, b });
            }
        }
    }
    problems
}

fn keepout_rings(
    rooms: &[Room],
    placement: &Placement,
    floor: &Region,
    edge_gap: Length,
    sources: &mut Vec<Source>,
    problems: &mut Vec<FieldProblem>,
) -> Vec<Ring> {
    let mut rings = Vec::new();
    for (r, (room, placed)) in rooms.iter().zip(&placement.rooms).enumerate() {
        for (k, keepout) in room.keepouts.iter().enumerate() {
            let ring = Ring::new(keepout.ring.points.iter().map(|&p| placed.to_area(p)).collect());
            if floor.common(&Region::from_rings(std::slice::from_ref(&ring))).doubled_area()
                < LEAST_DOUBLED_AREA
            {
                problems.push(FieldProblem::KeepoutOutside { room: r, keepout: k });
            }
            sources.extend(ring.edges().map(|(from, to)| Source { from, to, gap: edge_gap }));
            rings.push(ring);
        }
    }
    rings
}

/// Leaves out corners that only rounding has made.
fn smoothed(region: &Region) -> Region {
    let rings: Vec<Vec<Ring>> = region
        .shapes
        .iter()
        .filter(|s| s.doubled_area() >= LEAST_DOUBLED_AREA)
        .map(|s| s.rings().map(smoothed_ring).filter(|r| r.points.len() >= 3).collect())
        .collect();
    let shapes = rings
        .into_iter()
        .filter_map(|mut r: Vec<Ring>| (!r.is_empty()).then(|| Shape { outer: r.remove(0), holes: r }));
    Region { shapes: shapes.collect() }
}

fn smoothed_ring(ring: &Ring) -> Ring {
    let mut points = ring.points.clone();
    let mut i = 0;
    let mut kept_in_a_row = 0;
    while points.len() >= 3 && kept_in_a_row < points.len() {
        let n = points.len();
        let here = i % n;
        let (before, after) = (points[(here + n - 1) % n], points[(here + 1) % n]);
        if distance_to_segment(points[here], before, after) < ROUNDING_STEP {
            points.remove(here);
            i = here + points.len() - 1; // look at the one before again
            kept_in_a_row = 0;
        } else {
            i = here + 1;
            kept_in_a_row += 1;
        }
    }
    Ring::new(points)
}

/// Takes from the floor a band along every edge, as wide as that edge's gap.
fn drawn_in(floor: &Region, sources: &[Source], edge_gap: Length) -> Region {
    let mut bands = Vec::new();
    for ring in floor.rings() {
        let gaps: Vec<f64> =
            ring.edges().map(|(a, b)| gap_along(sources, a, b, edge_gap).nanometres() as f64).collect();
        bands.extend(ring_bands(ring, &gaps));
    }
    let mut field = floor.minus(&bands);
    field.shapes.retain(|s| s.doubled_area() >= LEAST_DOUBLED_AREA);
    field
}

/// The gap of whatever the edge's middle lies on.
fn gap_along(sources: &[Source], a: Point, b: Point, edge_gap: Length) -> Length {
    let middle = middle(a, b);
    let away = |s: &Source| distance_to_segment(middle, s.from, s.to);
    let nearest = sources.iter().min_by(|s, t| away(s).total_cmp(&away(t)));
    nearest.filter(|s| away(s) < 20.0 * ROUNDING_STEP).map_or(edge_gap, |s| s.gap)
}

/// The bands of one ring. The floor lies clockwise of each edge, of holes as of outer rings.
fn ring_bands(ring: &Ring, gaps: &[f64]) -> Vec<Ring> {
    let n = ring.points.len();
    let edges: Vec<(Point, Point, Option<Direction>)> =
        ring.edges().map(|(a, b)| (a, b, Direction::of(b - a))).collect();
    let mut bands = Vec::new();
    for i in 0..n {
        let ((a, b, Some(along)), gap) = (edges[i], gaps[i]) else { continue };
        if gap <= 0.0 {
            continue;
        }
        let (before, after) = ((i + n - 1) % n, (i + 1) % n);
        let start = mitre(edges[before].2, gaps[before], Some(along), gap)
            .map_or(0.0, |m| along_of(along, m).min(0.0));
        let end =
            mitre(Some(along), gap, edges[after].2, gaps[after]).map_or(0.0, |m| along_of(along, m).max(0.0));
        let inner = along.clockwise();
        let far = |p: Point, by: f64| {
            let (ac, asn) = along.components();
            let (ic, isn) = inner.components();
            let unit = Direction::RIGHT;
            moved(moved(p, unit, by * ac + gap * ic), unit.clockwise(), by * asn + gap * isn)
        };
        bands.push(Ring::new(vec![a, b, far(b, end), far(a, start)]));
    }
    bands
}

/// Where the inner borders of two neighbouring bands cross, as a displacement in nanometres from the corner
/// between them; `None` where the edges run on straight or the mitre is out of all proportion.
fn mitre(
    first: Option<Direction>,
    gap_first: f64,
    second: Option<Direction>,
    gap_second: f64,
) -> Option<(f64, f64)> {
    let (n1, n2) = (first?.clockwise().components(), second?.clockwise().components());
    let cross = n1.0 * n2.1 - n1.1 * n2.0;
    if cross.abs() < 1e-9 {
        return None;
    }
    let m = ((gap_first * n2.1 - gap_second * n1.1) / cross, (gap_second * n1.0 - gap_first * n2.0) / cross);
    let limit = LONGEST_MITRE * gap_first.max(gap_second);
    (m.0 * m.0 + m.1 * m.1 <= limit * limit).then_some(m)
}

fn along_of(direction: Direction, m: (f64, f64)) -> f64 {
    let (cos, sin) = direction.components();
    m.0 * cos + m.1 * sin
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bands of gap g whose normals stand ±a from one direction meet g / cos a from the corner, in that direction.
    #[test]
    fn a_mitre_is_as_long_as_its_corner_is_sharp_whichever_way_it_points() {
        let gap = 8e6;
        for way in [0.0, 90.0, 180.0, 270.0, 33.0] {
            let turned = |by: f64| Direction::from_degrees(way + by);
            let normals = |a: f64| (turned(a - 90.0), turned(-a - 90.0));
            let (c, s) = turned(0.0).expect("a direction").components();
            for a in [30.0, 60.0, 86.5] {
                let (one, other) = normals(a);
                let (x, y) = mitre(one, gap, other, gap).expect("in proportion");
                let long = gap / Direction::from_degrees(a).expect("an angle").components().0;
                assert!((x - long * c).abs() + (y - long * s).abs() < 1.0, "{way}° and {a}°: {x}, {y}");
            }
            // 1 / cos 88° is 28.7.
            let (one, other) = normals(88.0);
            assert_eq!(mitre(one, gap, other, gap), None, "{way}°");
        }
    }

    #[test]
    fn corners_that_only_rounding_has_made_are_left_out() {
        let point = |&(x, y): &(i64, i64)| Point { x, y };
        let ring = |points: &[(i64, i64)]| Ring::new(points.iter().map(point).collect());
        let whole = 1_000_000_000;
        let plain = [(0, 0), (whole, 0), (whole, whole), (0, whole)];
        let rough = [(0, 0), (whole / 2, 3), (whole, 0), (whole, whole), (5, whole / 3), (0, whole)];
        assert_eq!(
            smoothed_ring(&ring(&rough[..4])).points.len(),
            3,
            "the second lies on the way to the third"
        );
        let rough = [(0, 0), (whole / 2, 3), (whole, 0), (whole, whole), (0, whole), (5, whole / 3)];
        assert_eq!(smoothed_ring(&ring(&rough)), ring(&plain));
        assert_eq!(smoothed_ring(&ring(&plain)), ring(&plain));
    }
}
