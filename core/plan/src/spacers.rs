//! Spacers along a wall that is not straight: a stack at each joint, so that the first row runs straight.
//!
//! The first row is ripped along a straight line as near to its wall as the edge gap lets it at every joint. Then the
//! stack at a joint is the wall's distance from that line there. Between joints the wall may still come nearer than the
//! gap, and where it stands back too far the trim no longer hides the floor's edge.

use crate::ground::Ground;
use crate::lattice::{FrameField, Lattice};
use crate::product::Product;
use crate::setting_out::SettingOut;
use drylay_geometry::{Length, Point};

/// What to put where along the wall that the chalk line is measured off.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// The wall, by its room and the corner it starts from.
    pub wall: (usize, usize),
    /// The row, from 1.
    pub row: usize,
    /// What the row's tiles are ripped to, straight.
    pub rip: Length,
    /// The stack at each joint, the row's start first.
    pub stacks: Vec<Stack>,
    /// Places between joints where the wall comes nearer than the gap: scribe the tile there.
    pub tight: Vec<Stack>,
}

/// The distance of the wall from the row's straight edge at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stack {
    /// How far along the chalk line from its start.
    pub along: Length,
    /// The distance.
    pub gap: Length,
    /// Whether the trim no longer hides the edge there; `None` where nothing says what it hides.
    pub shows: Option<bool>,
}

/// A wall's gap in excess of the product's smaller than this is no stack of its own: half a millimetre.
const STRAIGHT: Length = Length::from_nanometres(500_000);

impl Schedule {
    /// Whether the same spacer goes everywhere.
    pub fn is_even(&self) -> bool {
        let least = self.stacks.iter().map(|s| s.gap).min();
        let most = self.stacks.iter().map(|s| s.gap).max();
        self.tight.is_empty() && least.zip(most).is_none_or(|(least, most)| most - least < STRAIGHT)
    }
}

/// The schedule for the row beside the chalk line; `None` where its two marks are measured off different walls.
pub fn schedule(
    ground: &Ground<'_>,
    field: &FrameField,
    lattice: &Lattice<'_>,
    product: &Product,
    set: &SettingOut,
    trim: Option<Length>,
) -> Option<Schedule> {
    let wall = set.marks[0].wall;
    if (wall.room, wall.wall) != (set.marks[1].wall.room, set.marks[1].wall.wall) {
        return None;
    }
    let frame = |p: Point| field.direction.to_frame(p);
    let (from, to) = (frame(set.line.0), frame(set.line.1));
    let parts = ground.walls.iter().filter(|w| (w.room, w.wall) == (wall.room, wall.wall));
    let parts: Vec<(Point, Point)> = parts.map(|w| (frame(w.from), frame(w.to))).collect();
    let at = |u: i64| parts.iter().filter_map(|&(a, b)| level(a, b, u)).max();
    let joints = joints(set.row - 1, lattice, product, from.x, to.x);
    let seen: Vec<(i64, i64)> = joints.iter().filter_map(|&u| Some((u, at(u)?))).collect();
    let nearest = seen.iter().map(|(_, v)| *v).max()?;
    let far = lattice.row_faces(set.row - 1).1;
    let edge = (nearest + wall.gap.nanometres()).max(far - product.width.nanometres());
    let stack = |(u, v): (i64, i64)| {
        let gap = Length::from_nanometres(edge - v);
        Stack { along: Length::from_nanometres(u - from.x), gap, shows: trim.map(|trim| gap > trim) }
    };
    let between = parts.iter().map(|&(a, _)| (a.x, a.y)).filter(|(u, _)| (from.x..=to.x).contains(u));
    let mut tight: Vec<Stack> = between.map(stack).filter(|s| s.gap + STRAIGHT < wall.gap).collect();
    tight.sort_by_key(|s| s.along);
    Some(Schedule {
        wall: (wall.room, wall.wall),
        row: set.row,
        rip: Length::from_nanometres(far - edge),
        stacks: seen.into_iter().map(stack).collect(),
        tight,
    })
}

/// Where the row's tiles meet, and its two ends.
fn joints(row: usize, lattice: &Lattice<'_>, product: &Product, from: i64, to: i64) -> Vec<i64> {
    let pitch = product.pitch_along().nanometres();
    let start = lattice.tile_u(row, 0);
    let first = start + (from - start).div_euclid(pitch) * pitch + pitch;
    let mut at = vec![from];
    let mut next = first;
    while next < to {
        at.push(next);
        next += pitch;
    }
    at.push(to);
    at.dedup();
    at
}

/// A segment's v at a place along the rows, rounded to a nanometre.
fn level(a: Point, b: Point, u: i64) -> Option<i64> {
    let (lo, hi) = (a.x.min(b.x), a.x.max(b.x));
    if !(lo..=hi).contains(&u) || lo == hi {
        return None;
    }
    let wide = i128::from(b.y - a.y) * i128::from(u - a.x);
    i64::try_from(i128::from(a.y) + wide.div_euclid(i128::from(b.x - a.x))).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same spacer goes everywhere where no two places differ by half a millimetre.
    #[test]
    fn from_half_a_millimetre_on_there_are_stacks() {
        let stack = |gap: i64| Stack { along: Length::ZERO, gap: Length::from_nanometres(gap), shows: None };
        let even = |gaps: &[i64]| {
            let stacks = gaps.iter().copied().map(stack).collect();
            Schedule { wall: (0, 0), row: 1, rip: Length::from_mm(280), stacks, tight: Vec::new() }.is_even()
        };
        assert!(even(&[]) && even(&[8_000_000]) && even(&[8_000_000, 8_499_999, 8_100_000]));
        assert!(!even(&[8_499_999, 7_999_999, 8_100_000]));
    }
}
