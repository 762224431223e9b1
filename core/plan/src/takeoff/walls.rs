//! Walls as trim and sealant run along them: without the openings in them.

use crate::field::Room;
use drylay_geometry::Length;

/// A stretch of wall between openings, corners or both.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WallRun {
    /// The wall that starts at this corner index.
    pub wall: usize,
    /// Its length; along a bowed wall as it goes.
    pub length: Length,
}

/// The stretches of a room's walls in walking order. An opening takes its width off the wall, whatever lies beyond it.
pub fn runs(room: &Room) -> Vec<WallRun> {
    let mut found = Vec::new();
    for wall in 0..room.outline.corners().len() {
        let length = wall_length(room, wall);
        let mut gaps: Vec<(Length, Length)> = room
            .openings
            .iter()
            .filter(|o| o.wall == wall)
            .map(|o| (o.start.max(Length::ZERO), (o.start + o.width).min(length)))
            .collect();
        gaps.sort_unstable();
        let mut from = Length::ZERO;
        for (start, end) in gaps.into_iter().chain([(length, length)]) {
            if start > from {
                found.push(WallRun { wall, length: start - from });
            }
            from = from.max(end);
        }
    }
    found
}

fn wall_length(room: &Room, wall: usize) -> Length {
    let parts = room.edges().into_iter().filter(|(w, ..)| *w == wall);
    let mm: f64 = parts.map(|(_, a, b)| (b - a).norm() / 1e6).sum();
    Length::from_mm_f64(mm).unwrap_or(Length::ZERO)
}

/// Length in mm round what stands in a room, where the floor meets it.
pub fn round_keepouts(room: &Room) -> f64 {
    room.keepouts.iter().map(|k| k.ring.perimeter_mm()).sum()
}
