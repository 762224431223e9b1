//! What changes in a plan if the rooms are not quite what their readings say.
//!
//! A surveyed room's corners have a covariance. The same choice is laid again in rooms that are one and two
//! standard deviations off, along a few directions: each wall moved inwards and outwards, all corners following
//! as the covariance says they most likely would (the conditional mean, C·g/√(gᵀ·C·g) for the wall's distance g),
//! and the principal components of all corners together. Pieces are told apart by their tile, so that one that
//! appears at the start of a row renames none. What a direction does not show may still happen; what is listed does
//! happen where the room is so far off.

use crate::field::{Field, Passage, Room, moved as shifted};
use crate::lattice::{Along, Choice, FrameField, Lattice, Part};
use crate::place::Placing;
use crate::plan::Rule;
use crate::product::Product;
use crate::rules::Rules;
use drylay_geometry::{Corner, Covariance, Length, Outline, Point, Wall};
use std::collections::BTreeMap;

/// The most directions that are tried: walls by their standard deviations, then shapes.
const MOST_WAYS: usize = 40;
/// Standard deviations under this, in mm, change nothing that could be marked out.
const NOTHING: f64 = 0.01;
/// Principal components that are tried of each room.
const COMPONENTS: usize = 2;

/// What was tried and what it changes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubt {
    /// How many directions were tried, each both ways by one and by two standard deviations.
    pub ways: usize,
    /// The greatest standard deviation among them in mm.
    pub largest_sd: f64,
    /// What changes, each change once with the smallest number of standard deviations, in order of pieces.
    pub changes: Vec<Change>,
}

/// Something that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Row of the piece, from 1.
    pub row: usize,
    /// Its place in the row: in the plan, or for a piece that appears in the plan that it appears in.
    pub place: usize,
    /// What happens to it.
    pub what: What,
    /// At how many standard deviations: 1 or 2.
    pub sds: u8,
    /// What is off.
    pub cause: Cause,
    /// By how much that is off in mm; positive outwards.
    pub by: f64,
}

/// What happens to a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// It is there and was not planned.
    Appears,
    /// It is planned and not there.
    Vanishes,
    /// It breaks a rule that it keeps as planned.
    Breaks {
        /// Which rule.
        rule: Rule,
        /// What it then has.
        value: Length,
        /// What the rule asks.
        limit: Length,
    },
    /// It keeps a rule that it breaks as planned.
    Mends {
        /// Which rule.
        rule: Rule,
    },
}

/// What is off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// A wall, by the index of its room and of the corner it starts from.
    Wall(usize, usize),
    /// All corners of a room together, as they most likely are; the index of the room.
    Shape(usize),
}

/// A direction in which a room may be off: what a standard deviation of it moves each coordinate by, in mm.
struct Way {
    cause: Cause,
    room: usize,
    sd: f64,
    moves: Vec<f64>,
}

/// What changes in the plan of a choice if the rooms are one and two standard deviations off. `None` where no
/// room was surveyed, or the choice cannot be laid.
pub fn doubt(
    rooms: &[Room],
    passages: &[Passage],
    placing: Placing<'_>,
    product: &Product,
    choice: &Choice,
) -> Option<Doubt> {
    let mut ways: Vec<Way> =
        rooms.iter().enumerate().flat_map(|(r, room)| ways_of(r, &room.outline)).collect();
    if ways.is_empty() {
        return None;
    }
    // Walls before shapes, since a wall is what can be measured again; equal ones stay in order.
    let is_shape = |way: &Way| matches!(way.cause, Cause::Shape(_));
    ways.sort_by(|a, b| is_shape(a).cmp(&is_shape(b)).then(b.sd.total_cmp(&a.sd)));
    ways.truncate(MOST_WAYS);
    let planned = laid(rooms, passages, placing, product, choice)?;
    let largest_sd = ways.iter().map(|way| way.sd).fold(0.0, f64::max);
    let mut doubt = Doubt { ways: ways.len(), largest_sd, changes: Vec::new() };
    for sds in [1_u8, 2] {
        for way in &ways {
            for sign in [-1.0, 1.0] {
                let by = sign * f64::from(sds);
                let off =
                    moved(rooms, way, by).and_then(|rooms| laid(&rooms, passages, placing, product, choice));
                for (tile, what, place) in off.map(|off| changes(&planned, &off)).unwrap_or_default() {
                    let found =
                        Change { row: tile.0 + 1, place, what, sds, cause: way.cause, by: by * way.sd };
                    doubt.add(found);
                }
            }
        }
    }
    doubt.changes.sort_by_key(|c| (c.row, c.place, c.what));
    Some(doubt)
}

impl Doubt {
    /// Keeps a change unless it is known already with fewer or as many standard deviations.
    fn add(&mut self, change: Change) {
        let kind = |what: What| match what {
            What::Appears => (0, None),
            What::Vanishes => (1, None),
            What::Breaks { rule, .. } => (2, Some(rule)),
            What::Mends { rule } => (3, Some(rule)),
        };
        let same =
            |c: &Change| (c.row, c.place, kind(c.what)) == (change.row, change.place, kind(change.what));
        if !self.changes.iter().any(same) {
            self.changes.push(change);
        }
    }
}

/// Row, column, and which of the parts of that tile.
type Tile = (usize, i64, usize);

/// A piece as laid: its place in the row and its extents.
#[derive(Clone, Copy)]
struct Laid {
    place: usize,
    length: i64,
    width: i64,
}

struct Pieces {
    rules: Rules,
    by_tile: BTreeMap<Tile, Laid>,
}

/// The pieces of a choice; its direction is taken again from the wall that it was taken from.
fn laid(
    rooms: &[Room],
    passages: &[Passage],
    placing: Placing<'_>,
    product: &Product,
    choice: &Choice,
) -> Option<Pieces> {
    let field = Field::placed(rooms, passages, product.edge_gap, placing).ok()?;
    let along = along(&field, &choice.along)?;
    let frame = FrameField::new(&field.region, along.direction);
    let choice = Choice { along, ..choice.clone() };
    let parts = Lattice::new(product, &choice, &frame)?.parts(&frame);
    let mut by_tile: BTreeMap<Tile, Laid> = BTreeMap::new();
    let mut before: Option<(&Part, Tile, usize)> = None;
    for part in &parts {
        let (lo, hi) = part.shape.outer.bounds()?;
        let (nth, place) = match before {
            Some((b, tile, place)) if b.row == part.row => {
                (if b.column == part.column { tile.2 + 1 } else { 0 }, place + 1)
            }
            _ => (0, 1),
        };
        let tile = (part.row, part.column, nth);
        by_tile.insert(tile, Laid { place, length: hi.x - lo.x, width: hi.y - lo.y });
        before = Some((part, tile, place));
    }
    Some(Pieces { rules: Rules::new(product, Length::ZERO), by_tile })
}

fn along(field: &Field, along: &Along) -> Option<Along> {
    let Some((room, from, to)) = &along.wall else { return Some(along.clone()) };
    let outline = &field.rooms.get(*room)?.outline;
    let direction = match (outline.wall_between(from, to), outline.wall_between(to, from)) {
        (Some(wall), _) => outline.wall(wall).direction()?,
        (None, Some(wall)) => outline.wall(wall).direction()?.reversed(),
        (None, None) => along.direction,
    };
    Some(Along { direction, wall: along.wall.clone() })
}

fn changes(planned: &Pieces, off: &Pieces) -> Vec<(Tile, What, usize)> {
    let mut found = Vec::new();
    for (&tile, was) in &planned.by_tile {
        match off.by_tile.get(&tile) {
            None => found.push((tile, What::Vanishes, was.place)),
            Some(is) => {
                found.extend(rule_changes(planned.rules, was, is).map(|what| (tile, what, was.place)))
            }
        }
    }
    let new = off.by_tile.iter().filter(|(tile, _)| !planned.by_tile.contains_key(tile));
    found.extend(new.map(|(&tile, is)| (tile, What::Appears, is.place)));
    found
}

fn rule_changes(rules: Rules, was: &Laid, is: &Laid) -> impl Iterator<Item = What> {
    let both = [(Rule::Narrow, was.width, is.width), (Rule::Short, was.length, is.length)];
    both.into_iter().filter_map(move |(rule, was, is)| {
        match (was < rules.least(rule), is < rules.least(rule)) {
            (false, true) => {
                Some(What::Breaks { rule, value: Length::from_nanometres(is), limit: rules.limit(rule) })
            }
            (true, false) => Some(What::Mends { rule }),
            _ => None,
        }
    })
}

fn moved(rooms: &[Room], way: &Way, by: f64) -> Option<Vec<Room>> {
    let mut rooms = rooms.to_vec();
    let before = rooms[way.room].outline.clone();
    let corner = |(i, c): (usize, &Corner)| {
        let (x, y) = c.at.mm();
        let at = Point::from_mm_rounded(x + by * way.moves[2 * i], y + by * way.moves[2 * i + 1])?;
        Some(Corner { id: c.id.clone(), at })
    };
    let corners: Option<Vec<Corner>> = before.corners().iter().enumerate().map(corner).collect();
    let after = Outline::new(corners?).ok()?;
    for (wall, points) in &mut rooms[way.room].bows {
        points.iter_mut().for_each(|p| *p = carried(*p, before.wall(*wall), after.wall(*wall)));
    }
    rooms[way.room].outline = after;
    Some(rooms)
}

/// A point beside a wall where it lies once the wall has moved: as far along it from its left end, and as far from it.
fn carried(p: Point, before: Wall, after: Wall) -> Point {
    let (Some(was), Some(is)) = (before.direction(), after.direction()) else { return p };
    let ((ux, uy), d) = (was.components(), p - before.from);
    let (along, across) = (d.x as f64 * ux + d.y as f64 * uy, d.y as f64 * ux - d.x as f64 * uy);
    shifted(shifted(after.from, is, along), is.clockwise(), across)
}

fn ways_of(room: usize, outline: &Outline) -> Vec<Way> {
    let n = outline.corners().len();
    let covariance = outline.covariance();
    let wall = |w: usize| {
        let (along, across) = outline.wall(w).direction()?.components();
        // Outwards is to the left of the way from the wall's left corner to its right one.
        let (x, y) = (across / 2.0, -along / 2.0);
        let next = (w + 1) % n;
        let function = [(2 * w, x), (2 * w + 1, y), (2 * next, x), (2 * next + 1, y)];
        let sd = covariance.variance(&function).sqrt();
        let moves = |row: usize| function.iter().map(|&(c, f)| f * covariance.of(row, c)).sum::<f64>() / sd;
        (sd >= NOTHING).then(|| Way {
            cause: Cause::Wall(room, w),
            room,
            sd,
            moves: (0..2 * n).map(moves).collect(),
        })
    };
    let mut ways: Vec<Way> = (0..n).filter_map(wall).collect();
    let components = components(covariance, n).into_iter().filter(|(sd, _)| *sd >= NOTHING);
    ways.extend(components.map(|(sd, moves)| Way { cause: Cause::Shape(room), room, sd, moves }));
    ways
}

/// The greatest principal components, each as its standard deviation and what that moves every coordinate by:
/// by the power method, what is found taken out each time.
fn components(covariance: &Covariance, corners: usize) -> Vec<(f64, Vec<f64>)> {
    let n = 2 * corners;
    let mut found: Vec<(f64, Vec<f64>)> = Vec::new();
    for _ in 0..COMPONENTS {
        let left = |v: &[f64], row: usize| -> f64 {
            let all: f64 = (0..n).map(|c| covariance.of(row, c) * v[c]).sum();
            let taken = |(_, m): &(f64, Vec<f64>)| m[row] * m.iter().zip(v).map(|(a, b)| a * b).sum::<f64>();
            all - found.iter().map(taken).sum::<f64>()
        };
        let mut unit: Vec<f64> = (0..n).map(|i| 1.0 + i as f64 / n as f64).collect();
        let mut variance = 0.0;
        for _ in 0..60 {
            let next: Vec<f64> = (0..n).map(|row| left(&unit, row)).collect();
            variance = next.iter().map(|x| x * x).sum::<f64>().sqrt();
            if variance < NOTHING * NOTHING {
                return found;
            }
            unit = next.iter().map(|x| x / variance).collect();
        }
        // The component's length is of all coordinates together: divided among them it says how far a corner is off.
        let sd = variance.sqrt();
        found.push((sd, unit.iter().map(|x| x * sd).collect()));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::one_by_one;
    use crate::product::{Offset, Order};
    use drylay_geometry::Direction;

    fn tile() -> Product {
        Product {
            id: "tile".into(),
            length: Length::from_mm(600),
            width: Length::from_mm(300),
            joint: Length::from_mm(3),
            edge_gap: Length::ZERO,
            kerf: Length::from_mm(2),
            interlock: true,
            offsets: vec![Offset { num: 1, den: 2 }],
            min_row_width: Length::from_mm(60),
            min_end_length: Length::from_mm(150),
            max_run: None,
            carton_tiles: None,
        }
    }

    /// A room 3 m wide whose far wall is known to a millimetre: rows of 300 and joints of 3 from the first wall on.
    fn changes_of(depth_mm: f64) -> Vec<Change> {
        let p = |x: i64, y: f64| Point::from_mm_rounded(x as f64, y).expect("near");
        let corners = [p(0, 0.0), p(3000, 0.0), p(3000, depth_mm), p(0, depth_mm)];
        let corners = corners.into_iter().zip(["A", "B", "C", "D"]);
        let corners = corners.map(|(at, id)| Corner { id: id.into(), at }).collect();
        // C and D move together by one millimetre in y.
        let mut values = vec![0.0; 64];
        for (row, column) in [(5, 5), (5, 7), (7, 5), (7, 7)] {
            values[row * 8 + column] = 1.0;
        }
        let covariance = Covariance::from_rows(4, values).expect("8 by 8");
        let outline = Outline::new(corners).expect("a room").with_covariance(covariance).expect("of four");
        let room =
            Room { id: "r".into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] };
        let choice = Choice {
            along: Along { direction: Direction::RIGHT, wall: Some((0, "A".into(), "B".into())) },
            offset: Offset { num: 1, den: 2 },
            order: Order::Stepped,
            first_row: Length::from_mm(300),
            shift: Length::from_mm(600),
        };
        doubt(&[room], &[], &one_by_one, &tile(), &choice).expect("surveyed").changes
    }

    #[test]
    fn a_last_row_just_wide_enough_is_too_narrow_one_standard_deviation_off() {
        // Three rows and joints take 909; 60.5 and 61.5 are left.
        let one = changes_of(969.5);
        assert!(!one.is_empty());
        assert!(
            one.iter().all(|c| c.row == 4
                && c.sds == 1
                && matches!(c.what, What::Breaks { rule: Rule::Narrow, .. }))
        );
        let wall = one.iter().find(|c| c.cause == Cause::Wall(0, 2)).expect("the far wall");
        assert!((wall.by + 1.0).abs() < 1e-9, "a millimetre inwards: {wall:?}");
        assert!(changes_of(970.5).iter().all(|c| c.sds == 2));
        assert_eq!(changes_of(975.0), []);
    }

    #[test]
    fn a_row_appears_where_the_last_one_ends_at_the_wall() {
        // Three rows and two joints take 906, the next row begins at 909.
        let appear = changes_of(907.5);
        assert!(!appear.is_empty());
        assert!(appear.iter().all(|c| c.row == 4 && c.sds == 2 && c.what == What::Appears), "{appear:?}");
        let vanish = changes_of(909.5);
        assert!(vanish.iter().any(|c| c.row == 4 && c.sds == 1 && c.what == What::Vanishes));
    }
}
