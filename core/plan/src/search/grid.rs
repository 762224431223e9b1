//! The choices that there are: directions of walls, and first rows and shifts on the marking-out grid.

use super::Wish;
use crate::field::Field;
use crate::lattice::{Along, FrameField};
use crate::product::Product;
use drylay_geometry::{Direction, Length};

/// First rows and shifts tried for each direction and offset before the best is refined.
const FIRST_ROWS: usize = 14;
const SHIFTS: usize = 14;

/// All directions of the rooms' walls, both ways, each direction once.
pub fn wall_directions(field: &Field) -> Vec<Along> {
    let mut found: Vec<Along> = Vec::new();
    for (r, room) in field.rooms.iter().enumerate() {
        let corners = room.outline.corners();
        for (w, corner) in corners.iter().enumerate() {
            let next = &corners[(w + 1) % corners.len()];
            let Some(direction) = room.outline.wall(w).direction() else { continue };
            for (direction, from, to) in
                [(direction, &corner.id, &next.id), (direction.reversed(), &next.id, &corner.id)]
            {
                if !found.iter().any(|a| same(a.direction, direction)) {
                    found.push(Along { direction, wall: Some((r, from.clone(), to.clone())) });
                }
            }
        }
    }
    found
}

/// Whether two directions differ by less than a micrometre in ten metres.
fn same(a: Direction, b: Direction) -> bool {
    let ((ac, asn), (bc, bs)) = (a.components(), b.components());
    (ac - bc).abs() + (asn - bs).abs() < 1e-7
}

/// All first rows of a wish, in order.
pub(super) fn first_rows(product: &Product, wish: &Wish) -> Vec<Length> {
    wish.first_row.map_or_else(|| on_grid(product.width, wish.grid), |f| vec![f])
}

/// All shifts of a wish, in order.
pub(super) fn shifts(product: &Product, wish: &Wish) -> Vec<Length> {
    wish.shift.map_or_else(|| on_grid(product.length, wish.grid), |s| vec![s])
}

/// All multiples of the grid up to `most`; `most` itself where the grid is wider.
fn on_grid(most: Length, grid: Length) -> Vec<Length> {
    let steps = most.nanometres() / grid.nanometres().max(1);
    if steps < 1 { vec![most] } else { (1..=steps).map(|i| grid * i).collect() }
}

/// First rows worth trying: an even spread over the grid, the widest, and the one that makes the first and the
/// last row equal.
pub(super) fn some_first_rows(field: &FrameField, product: &Product, wish: &Wish) -> Vec<Length> {
    if let Some(fixed) = wish.first_row {
        return vec![fixed];
    }
    let mut rows = spread(product.width, wish.grid, FIRST_ROWS);
    if let Some((lo, hi)) = field.region.bounds() {
        let (run, pitch) = (hi.y - lo.y, product.pitch_across().nanometres());
        // With n whole rows between, first + last = run − n × pitch − joint.
        for whole in [(run / pitch - 1).max(0), run / pitch] {
            let both = run - whole * pitch - product.joint.nanometres();
            let half = Length::from_nanometres(both / 2).round_down_to(wish.grid);
            if half > Length::ZERO && half <= product.width {
                rows.push(half);
            }
        }
    }
    rows.sort_unstable();
    rows.dedup();
    rows
}

/// Shifts worth trying.
pub(super) fn some_shifts(product: &Product, wish: &Wish) -> Vec<Length> {
    wish.shift.map_or_else(|| spread(product.length, wish.grid, SHIFTS), |s| vec![s])
}

/// Some multiples of the grid up to `most`, evenly spread, the greatest among them.
fn spread(most: Length, grid: Length, count: usize) -> Vec<Length> {
    let steps = most.nanometres() / grid.nanometres().max(1);
    if steps < 1 {
        return vec![most];
    }
    let count = i64::try_from(count).unwrap_or(1);
    let mut values: Vec<Length> = (1..=count).map(|i| grid * (steps * i / count).max(1)).collect();
    values.dedup();
    values
}

#[cfg(test)]
mod tests {
    use super::spread;
    use drylay_geometry::Length;

    #[test]
    fn a_sample_of_the_grid_ends_at_its_greatest_and_never_beyond() {
        let mm = Length::from_mm;
        assert_eq!(spread(mm(9), mm(2), 3), [mm(2), mm(4), mm(8)]);
        assert_eq!(spread(mm(2), mm(2), 5), [mm(2)]);
        assert_eq!(spread(mm(1), mm(2), 5), [mm(1)], "a tile narrower than the grid");
    }
}
