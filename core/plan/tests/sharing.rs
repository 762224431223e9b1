//! Sharing against brute force: every way of dealing pieces to tiles is tried, with a test of its own for
//! whether boxes come apart.

use drylay_geometry::{Length, Point, Ring, Shape};
use drylay_plan::{Cut, Piece, Product, sharing::share};
use proptest::prelude::*;

const L: i64 = 12;
const W: i64 = 6;

/// A box on the tile in whole units of 10 mm: u from, to, v from, to.
type Box4 = (i64, i64, i64, i64);

fn product(interlock: bool, kerf: i64) -> Product {
    let units = |n: i64| Length::from_mm(10 * n);
    Product {
        id: "tile".into(),
        length: units(L),
        width: units(W),
        joint: Length::ZERO,
        edge_gap: Length::ZERO,
        kerf: units(kerf),
        interlock,
        offsets: vec![],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: None,
    }
}

fn piece(b: Box4) -> Piece {
    let p = |x: i64, y: i64| Point { x: x * 10_000_000, y: y * 10_000_000 };
    let shape = Shape::simple(Ring::new(vec![p(b.0, b.2), p(b.1, b.2), p(b.1, b.3), p(b.0, b.3)]));
    Piece {
        row: 1,
        place: 1,
        cut: Cut::Shape,
        on_tile: shape.clone(),
        shape,
        length: Length::ZERO,
        width: Length::ZERO,
    }
}

/// Whether boxes come apart by cuts along the axes, `kerf` units wide.
fn apart(boxes: &[Box4], kerf: i64) -> bool {
    if boxes.len() < 2 {
        return true;
    }
    let split = |lo: fn(&Box4) -> i64, hi: fn(&Box4) -> i64| {
        (0..=L).any(|at| {
            let (below, above): (Vec<Box4>, Vec<Box4>) = boxes.iter().partition(|b| hi(b) <= at);
            let clear = above.iter().all(|b| lo(b) >= at + kerf);
            clear && !below.is_empty() && !above.is_empty() && apart(&below, kerf) && apart(&above, kerf)
        })
    };
    split(|b| b.0, |b| b.1) || split(|b| b.2, |b| b.3)
}

fn one_tile(boxes: &[Box4], interlock: bool, kerf: i64) -> bool {
    let turned = |b: Box4| (L - b.1, L - b.0, W - b.3, W - b.2);
    let ways = if interlock { 1 } else { 1_u32 << boxes.len() };
    (0..ways).any(|way| {
        let lying: Vec<Box4> =
            boxes.iter().enumerate().map(|(i, &b)| if way >> i & 1 == 1 { turned(b) } else { b }).collect();
        apart(&lying, kerf)
    })
}

/// Deals the boxes to tiles in every way.
fn fewest(boxes: &[Box4], tiles: &mut Vec<Vec<Box4>>, interlock: bool, kerf: i64) -> usize {
    let Some((&next, rest)) = boxes.split_first() else { return tiles.len() };
    let mut least = usize::MAX;
    for t in 0..tiles.len() {
        tiles[t].push(next);
        if one_tile(&tiles[t], interlock, kerf) {
            least = least.min(fewest(rest, tiles, interlock, kerf));
        }
        tiles[t].pop();
    }
    tiles.push(vec![next]);
    least = least.min(fewest(rest, tiles, interlock, kerf));
    tiles.pop();
    least
}

/// Boxes at an edge or a corner of the tile, as rooms cut them, and some in the middle.
fn boxes() -> impl Strategy<Value = Vec<Box4>> {
    let extent = |most: i64| {
        (0..4_u8, 1..=most, 0..most).prop_map(move |(side, size, from)| match side {
            0 => (0, size),
            1 => (most - size, most),
            2 => (0, most),
            _ => (from, (from + size).min(most)),
        })
    };
    proptest::collection::vec((extent(L), extent(W)).prop_map(|(u, v)| (u.0, u.1, v.0, v.1)), 1..8)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]
    #[test]
    fn no_way_of_dealing_pieces_to_tiles_needs_fewer(boxes in boxes(), interlock in any::<bool>(), kerf in 0_i64..3) {
        let pieces: Vec<Piece> = boxes.iter().map(|&b| piece(b)).collect();
        let shared = share(&pieces, &product(interlock, kerf));
        prop_assert_eq!(shared.least, shared.tiles, "proven");
        prop_assert_eq!(shared.tiles, fewest(&boxes, &mut Vec::new(), interlock, kerf));
        for t in 0..shared.tiles {
            let of: Vec<Box4> = (0..boxes.len()).filter(|&i| shared.tile_of[i] == t).map(|i| boxes[i]).collect();
            prop_assert!(one_tile(&of, interlock, kerf), "{:?} on one tile", of);
        }
    }
}
