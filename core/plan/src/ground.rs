//! The walls around a field, and how well it is known where they are from the laid floor.
//!
//! A floor is laid from a chalk line that is measured off two places of a wall and one of another ([`Anchor`]); so it
//! moves with those walls. How far a cut edge is from the wall it belongs to is then a linear function of the room's
//! corners, and its variance follows from their covariance, with what the tiles' pitch adds.

use crate::field::{Field, Room};
use drylay_geometry::ring::distance_to_segment;
use drylay_geometry::{Direction, Length, Point, Vector};

/// The rooms of an area with their walls where they were placed.
#[derive(Clone, Debug)]
pub struct Ground<'a> {
    rooms: &'a [Room],
    /// Every wall's straight parts.
    pub walls: Vec<WallPart>,
    turns: Vec<Direction>,
}

/// A straight part of a wall, in the area's plan coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallPart {
    /// Index of the room.
    pub room: usize,
    /// The wall, by the corner it starts from.
    pub wall: usize,
    /// Its left end, seen from inside.
    pub from: Point,
    /// Its right end.
    pub to: Point,
    /// The gap kept from it.
    pub gap: Length,
}

impl WallPart {
    /// From left to right.
    pub fn along(&self) -> Option<Direction> {
        Direction::of(self.to - self.from)
    }
}

/// How far, in nanometres, an edge of the field may be from its wall's line drawn in, and still belong to it.
const BESIDE: f64 = 20_000.0;

impl<'a> Ground<'a> {
    /// The walls of a field.
    pub fn new(rooms: &'a [Room], field: &Field, edge_gap: Length) -> Self {
        let mut walls = Vec::new();
        let mut turns = Vec::new();
        for (r, (room, placed)) in rooms.iter().zip(&field.rooms).enumerate() {
            let gap =
                |wall| room.gaps.iter().rev().find(|(w, _)| *w == wall).map_or(edge_gap, |(_, gap)| *gap);
            walls.extend(room.edges().into_iter().map(|(wall, a, b)| WallPart {
                room: r,
                wall,
                from: placed.to_area(a),
                to: placed.to_area(b),
                gap: gap(wall),
            }));
            let (was, is) = (room.outline.wall(0).direction(), placed.outline.wall(0).direction());
            turns.push(was.zip(is).and_then(|(was, is)| turned(was, is)).unwrap_or(Direction::RIGHT));
        }
        Self { rooms, walls, turns }
    }

    /// The rooms.
    pub fn rooms(&self) -> &'a [Room] {
        self.rooms
    }

    /// The wall that an edge of the field is drawn in from, by the edge's two ends; `None` for one that follows
    /// something else, such as a keep-out or a jamb.
    pub fn wall_of(&self, a: Point, b: Point) -> Option<WallPart> {
        let away = |w: &WallPart| {
            let (nx, ny) = w.along()?.clockwise().components();
            let off = |p: Point| {
                let d = p - w.from;
                (d.x as f64 * nx + d.y as f64 * ny - w.gap.nanometres() as f64).abs()
            };
            let middle = Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 };
            let near = distance_to_segment(middle, w.from, w.to) - w.gap.nanometres() as f64;
            Some(off(a).max(off(b)).max(near))
        };
        let near = self.walls.iter().filter_map(|w| Some((away(w)?, w)));
        near.filter(|(off, _)| *off <= BESIDE).min_by(|s, t| s.0.total_cmp(&t.0)).map(|(_, w)| *w)
    }

    /// The movement of a place of a wall towards the room.
    fn inward(&self, wall: &WallPart, at: Point) -> Option<Movement> {
        let outline = &self.rooms[wall.room].outline;
        let n = outline.corners().len();
        let (nx, ny) = wall.along()?.clockwise().components();
        // Where along the whole wall: its corners move, and what lies between them goes along in proportion.
        let mut ends = self.walls.iter().filter(|w| (w.room, w.wall) == (wall.room, wall.wall));
        let (first, last) = (ends.clone().next()?.from, ends.next_back()?.to);
        let whole = last - first;
        let part = ((at - first).dot(whole) as f64 / (whole.norm() * whole.norm())).clamp(0.0, 1.0);
        let mut movement = Movement::of(wall.room);
        movement.add(wall.wall, (nx, ny), 1.0 - part);
        movement.add((wall.wall + 1) % n, (nx, ny), part);
        Some(movement)
    }

    fn variance(&self, movement: &Movement) -> f64 {
        let room = movement.room;
        let (cos, sin) = self.turns[room].components();
        let own = |&(corner, x, y): &(usize, f64, f64)| {
            [(2 * corner, x * cos + y * sin), (2 * corner + 1, y * cos - x * sin)]
        };
        let function: Vec<(usize, f64)> = movement.corners.iter().flat_map(own).collect();
        self.rooms[room].outline.covariance().variance(&function)
    }

    /// Whether all corners of a room are known exactly, or were given so.
    fn is_exact(&self, room: usize) -> bool {
        let outline = &self.rooms[room].outline;
        (0..outline.corners().len()).all(|c| outline.covariance().sd(c) == (0.0, 0.0))
    }
}

/// The direction that turns one direction into another.
fn turned(was: Direction, is: Direction) -> Option<Direction> {
    let ((c, s), (ic, is_)) = (was.components(), is.components());
    Direction::from_components(c * ic + s * is_, c * is_ - s * ic)
}

/// A linear function of a room's corners: what each corner's movement in x and in y counts.
#[derive(Clone, Debug, PartialEq)]
struct Movement {
    room: usize,
    corners: Vec<(usize, f64, f64)>,
}

impl Movement {
    fn of(room: usize) -> Self {
        Self { room, corners: Vec::new() }
    }
    fn add(&mut self, corner: usize, (x, y): (f64, f64), by: f64) {
        self.corners.push((corner, x * by, y * by));
    }
    fn plus(mut self, other: &Self, by: f64) -> Self {
        self.corners.extend(other.corners.iter().map(|&(c, x, y)| (c, x * by, y * by)));
        self
    }
}

/// What the floor is laid from: the chalk line's two places, each measured off a wall, and the wall that the first
/// tile's place on the line is measured off.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// The places on the line and the walls they are measured off, the row's start first.
    pub line: [(Point, WallPart); 2],
    /// The place on the line and the wall it is measured off along the line.
    pub along: (Point, WallPart),
    /// The direction of the line.
    pub direction: Direction,
    /// Standard deviations in mm of the pitch from tile to tile and from row to row.
    pub pitch_sd: (f64, f64),
    /// The pitch along and across the rows.
    pub pitch: (Length, Length),
}

impl Anchor {
    /// Standard deviation in mm of the distance between the laid floor and a wall, at a place of the field; `None` where
    /// the two are in different rooms that were measured, since nothing ties them.
    pub fn sd(&self, ground: &Ground<'_>, at: Point, wall: &WallPart) -> Option<f64> {
        let pitch = self.pitch_variance(at, wall)?;
        let rooms = [self.line[0].1.room, self.line[1].1.room, self.along.1.room];
        if rooms.iter().any(|&r| r != wall.room) {
            let exact = rooms.iter().chain([&wall.room]).all(|&r| ground.is_exact(r));
            return exact.then(|| pitch.sqrt());
        }
        let (nx, ny) = wall.along()?.clockwise().components();
        let (ux, uy) = self.direction.components();
        let (vx, vy) = self.direction.clockwise().components();
        let (nu, nv) = (nx * ux + ny * uy, nx * vx + ny * vy);
        let across = |(p, w): &(Point, WallPart)| {
            let movement = ground.inward(w, *p)?;
            let (wx, wy) = w.along()?.clockwise().components();
            Some((movement, 1.0 / (wx * vx + wy * vy)))
        };
        let (first, by_first) = across(&self.line[0])?;
        let (second, by_second) = across(&self.line[1])?;
        let (side, by_side) = {
            let (p, w) = &self.along;
            let (wx, wy) = w.along()?.clockwise().components();
            (ground.inward(w, *p)?, 1.0 / (wx * ux + wy * uy))
        };
        let on = |d: Vector, x: f64, y: f64| d.x as f64 * x + d.y as f64 * y;
        let run = on(self.line[1].0 - self.line[0].0, ux, uy);
        let from_line = at - self.line[0].0;
        let (part, beyond) = (on(from_line, ux, uy) / run, on(from_line, vx, vy) / run);
        // The floor moves across by what its two places do, turns by their difference, and along by the side wall.
        let [one, two] = [nv * (1.0 - part) + nu * beyond, nv * part - nu * beyond];
        let movement = ground
            .inward(wall, at)?
            .plus(&first, -one * by_first)
            .plus(&second, -two * by_second)
            .plus(&side, -nu * by_side);
        Some((ground.variance(&movement) + pitch).sqrt())
    }

    /// What the pitch adds: every tile between the line and the place is off by the same.
    fn pitch_variance(&self, at: Point, wall: &WallPart) -> Option<f64> {
        let (nx, ny) = wall.along()?.clockwise().components();
        let (u, v) = (self.direction.components(), self.direction.clockwise().components());
        let d = at - self.along.0;
        let off = |(x, y): (f64, f64), pitch: Length, sd: f64| {
            let tiles = (d.x as f64 * x + d.y as f64 * y) / pitch.nanometres().max(1) as f64;
            tiles * sd * (nx * x + ny * y)
        };
        let (along, across) = (off(u, self.pitch.0, self.pitch_sd.0), off(v, self.pitch.1, self.pitch_sd.1));
        Some(along * along + across * across)
    }
}
