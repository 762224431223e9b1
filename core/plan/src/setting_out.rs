//! Setting out: where the chalk line goes, before the first tile is down.
//!
//! The line runs along the far edge of an early row's faces. Its two ends are marked by their distances from the wall
//! before it, square to that wall, each at a place given by its distance from the wall's left corner; the line's other
//! coordinate, where a tile's joint falls on it, by the distance from the wall at the row's start. A diagonal from the
//! far mark to a corner checks all of it.

use crate::ground::{Anchor, Ground, WallPart};
use crate::lattice::{FrameField, Lattice};
use crate::plan::Plan;
use crate::product::Product;
use drylay_geometry::ring::distance_to_segment;
use drylay_geometry::{Axis, CornerId, Direction, Length, Point, Vector, cut_band};

/// How a plan is set out.
#[derive(Clone, Debug, PartialEq)]
pub struct SettingOut {
    /// The row, from 1, whose far edge the chalk line is.
    pub row: usize,
    /// The chalk line in plan coordinates, from the rows' start.
    pub line: (Point, Point),
    /// Its two marks.
    pub marks: [FromWall; 2],
    /// Where the edge of a tile of the next row falls on the line.
    pub first_joint: FromWall,
    /// What checks the marks.
    pub check: Check,
    /// The first and the last row at both ends.
    pub rows: [RowEnds; 2],
    /// What the floor then hangs on.
    pub anchor: Anchor,
}

/// A place and its distance from a wall, square to the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FromWall {
    /// The place in plan coordinates.
    pub at: Point,
    /// The wall.
    pub wall: WallPart,
    /// How far along the wall, from its left corner as seen from inside.
    pub along: Length,
    /// How far off it.
    pub off: Length,
}

/// A diagonal that checks the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// The corner it is measured to, and its room.
    pub corner: (usize, CornerId),
    /// The mark it is measured from: the index in [`SettingOut::marks`].
    pub mark: usize,
    /// What it must read.
    pub reads: Length,
}

/// A row's exposed width at both ends, with standard deviations in mm where they are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RowEnds {
    /// The row, from 1.
    pub row: usize,
    /// At its start.
    pub start: (Length, Option<f64>),
    /// At its end.
    pub end: (Length, Option<f64>),
}

/// How far from a wall's end a mark is kept, where there is room: out of the corner's plaster. Common practice.
const OUT_OF_CORNER: i64 = 100_000_000;
/// Half the width of the strip that shows where a line lies in the field, in nanometres.
const HAIR: i64 = 1_000;

/// Sets a plan out; `None` where no line of it can be measured off walls.
///
/// `pitch_sd` are standard deviations in mm of the pitch along and across the rows.
pub fn setting_out(
    ground: &Ground<'_>,
    field: &FrameField,
    product: &Product,
    plan: &Plan,
    pitch_sd: (f64, f64),
) -> Option<SettingOut> {
    let sight = Sight { ground, field };
    let lattice = Lattice::new(product, &plan.choice, field)?;
    let lines = (0..plan.rows.len()).filter_map(|row| Some((row, sight.line(lattice.row_faces(row).1)?)));
    let lines: Vec<(usize, (Point, Point))> = lines.collect();
    let longest = lines.iter().map(|(_, (a, b))| b.x - a.x).max()?;
    // The first row whose line is at least half as long as the longest: not the one that only reaches into a door.
    let mut good = lines.iter().filter(|(_, (a, b))| 2 * (b.x - a.x) >= longest);
    good.find_map(|&(row, line)| sight.out(row, line, &lattice, product, plan, pitch_sd))
}

/// What is seen of the walls from the field, in the frame of the rows.
struct Sight<'a> {
    ground: &'a Ground<'a>,
    field: &'a FrameField,
}

impl Sight<'_> {
    fn direction(&self) -> Direction {
        self.field.direction
    }

    /// The longest part of the line of constant v in the field.
    fn line(&self, v: i64) -> Option<(Point, Point)> {
        let strips = self.field.region.shapes.iter().flat_map(|s| cut_band(s, Axis::Y, v - HAIR, v + HAIR));
        let longest = strips.filter_map(|s| s.outer.bounds()).max_by_key(|(lo, hi)| (hi.x - lo.x, -lo.x))?;
        Some((Point { x: longest.0.x, y: v }, Point { x: longest.1.x, y: v }))
    }

    fn out(
        &self,
        row: usize,
        (from, to): (Point, Point),
        lattice: &Lattice<'_>,
        product: &Product,
        plan: &Plan,
        pitch_sd: (f64, f64),
    ) -> Option<SettingOut> {
        let inset = OUT_OF_CORNER.min((to.x - from.x) / 4);
        let steps: Vec<i64> = (0..8).map(|i| inset + i * (to.x - from.x) / 20).collect();
        let back = self.direction().clockwise().reversed();
        let first = steps.iter().find_map(|s| self.off(Point { x: from.x + s, ..from }, back))?;
        let second = steps.iter().find_map(|s| self.off(Point { x: to.x - s, ..to }, back))?;
        let joint = Point { x: self.joint_after(from.x, row, lattice, product), ..from };
        let first_joint = self.off(joint, self.direction().reversed())?;
        let anchor = Anchor {
            line: [(first.at, first.wall), (second.at, second.wall)],
            along: (first_joint.at, first_joint.wall),
            direction: self.direction(),
            pitch_sd,
            pitch: (product.pitch_along(), product.pitch_across()),
        };
        let page = |p: Point| self.direction().from_frame(p);
        let last = plan.rows.len().checked_sub(1)?;
        let rows = [self.ends(0, lattice, &anchor)?, self.ends(last, lattice, &anchor)?];
        let check = self.check(&[first, second])?;
        let line = (page(from), page(to));
        Some(SettingOut { row: row + 1, line, marks: [first, second], first_joint, check, rows, anchor })
    }

    /// Where the first edge of a tile of the next row falls at or after a place.
    fn joint_after(&self, u: i64, row: usize, lattice: &Lattice<'_>, product: &Product) -> i64 {
        let pitch = product.pitch_along().nanometres();
        let start = lattice.tile_u(row + 1, 0);
        start + (u - start + pitch - 1).div_euclid(pitch) * pitch
    }

    /// The wall that is met from a place of the field in a direction, with the distance off it; `None` where it is met
    /// in an opening, or askew.
    fn off(&self, at: Point, way: Direction) -> Option<FromWall> {
        let at = self.direction().from_frame(at);
        let met = self.ground.walls.iter().filter_map(|w| Some((ray(at, way, w.from, w.to)?, w)));
        let (_, wall) = met.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let (nx, ny) = wall.along()?.clockwise().components();
        let (wx, wy) = way.components();
        // Askew by more than 30° a wall is no base for a line: cos 30°.
        if -(nx * wx + ny * wy) < 0.866 {
            return None;
        }
        let d = at - wall.from;
        let off = Length::from_mm_f64((d.x as f64 * nx + d.y as f64 * ny) / 1e6)?;
        let (ax, ay) = wall.along()?.components();
        let corner = self.ground.walls.iter().find(|w| (w.room, w.wall) == (wall.room, wall.wall))?.from;
        let whole = at - corner;
        let along = Length::from_mm_f64((whole.x as f64 * ax + whole.y as f64 * ay) / 1e6)?;
        let room = &self.ground.rooms()[wall.room];
        let in_opening = room
            .openings
            .iter()
            .any(|o| o.wall == wall.wall && o.start <= along && along <= o.start + o.width);
        (along >= Length::ZERO && !in_opening).then_some(FromWall { at, wall: *wall, along, off })
    }

    /// The longest of the four distances from a mark to a corner of the other mark's wall.
    fn check(&self, marks: &[FromWall; 2]) -> Option<Check> {
        let mut found: Vec<(f64, usize, (usize, usize))> = Vec::new();
        for (mark, other) in [(1, 0), (0, 1)] {
            let wall = marks[other].wall;
            let n = self.ground.rooms()[wall.room].outline.corners().len();
            for corner in [wall.wall, (wall.wall + 1) % n] {
                let at = self.corner(wall.room, corner)?;
                found.push(((at - marks[mark].at).norm(), mark, (wall.room, corner)));
            }
        }
        let (reads, mark, (room, corner)) =
            found.into_iter().reduce(|best, next| if next.0 > best.0 { next } else { best })?;
        let id = self.ground.rooms()[room].outline.corners().get(corner)?.id.clone();
        Some(Check { corner: (room, id), mark, reads: Length::from_mm_f64(reads / 1e6)? })
    }

    fn corner(&self, room: usize, corner: usize) -> Option<Point> {
        self.ground.walls.iter().find(|w| (w.room, w.wall) == (room, corner)).map(|w| w.from)
    }

    /// A row's exposed width where its longest part begins and ends.
    fn ends(&self, row: usize, lattice: &Lattice<'_>, anchor: &Anchor) -> Option<RowEnds> {
        let (lo, hi) = lattice.row_faces(row);
        let strips = self.field.region.shapes.iter().flat_map(|s| cut_band(s, Axis::Y, lo, hi));
        let strip = strips
            .filter_map(|s| Some((s.outer.bounds()?, s)))
            .max_by_key(|((lo, hi), _)| (hi.x - lo.x, -lo.x))?;
        let ((from, to), shape) = strip;
        let width = |u: i64| {
            let slices = cut_band(&shape, Axis::X, u - HAIR, u + HAIR);
            let (low, high) =
                slices.iter().filter_map(|s| s.outer.bounds()).max_by_key(|(a, b)| b.y - a.y)?;
            let sd = self.cut_side_sd((low, high), (lo, hi), anchor);
            Some((Length::from_nanometres(high.y - low.y), sd))
        };
        // A millimetre in, so that walls out of square have no say at the very corner.
        let inset = 1_000_000.min((to.x - from.x) / 3);
        Some(RowEnds { row: row + 1, start: width(from.x + inset)?, end: width(to.x - inset)? })
    }

    /// How well the side of a slice that a wall cuts is known; whole where none does.
    fn cut_side_sd(&self, (low, high): (Point, Point), (lo, hi): (i64, i64), anchor: &Anchor) -> Option<f64> {
        let page = |x: i64, y: i64| self.direction().from_frame(Point { x, y });
        let side = |y: i64| {
            let (a, b) = (page(low.x, y), page(high.x, y));
            let near = |w: &&WallPart| {
                let (nx, ny) = w.along().map_or((0.0, 0.0), |d| d.clockwise().components());
                let d = a - w.from;
                let off = d.x as f64 * nx + d.y as f64 * ny - w.gap.nanometres() as f64;
                // Over the slice's width the wall may slope a little.
                off.abs() <= (high.x - low.x) as f64 + 20_000.0
                    && distance_to_segment(a, w.from, w.to) <= w.gap.nanometres() as f64 + 1e6
            };
            let wall = self.ground.walls.iter().find(near)?;
            anchor.sd(self.ground, b, wall)
        };
        match (low.y > lo + HAIR, high.y < hi - HAIR) {
            (false, false) => Some(0.0),
            (true, false) => side(low.y),
            (false, true) => side(high.y),
            (true, true) => Some(side(low.y)?.max(side(high.y)?)),
        }
    }
}

/// How far along a ray a segment is met, in nanometres; only from the side where the floor is.
fn ray(from: Point, way: Direction, a: Point, b: Point) -> Option<f64> {
    let (wx, wy) = way.components();
    let (d, e): (Vector, Vector) = (b - a, a - from);
    let (dx, dy) = (d.x as f64, d.y as f64);
    let cross = wx * dy - wy * dx;
    if cross.abs() < 1e-9 * d.norm() {
        return None;
    }
    let (ex, ey) = (e.x as f64, e.y as f64);
    let (t, s) = ((ex * dy - ey * dx) / cross, (ex * wy - ey * wx) / cross);
    (t >= 0.0 && (0.0..=1.0).contains(&s)).then_some(t)
}
