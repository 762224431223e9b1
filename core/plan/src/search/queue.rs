//! What is still to be looked at: directions and first rows, the most promising first.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// A direction and a first row, with what no offset and shift of it can beat. The order is that of looking at them:
/// by breaches and cartons, and among equals spread over all first rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Node {
    /// At least so many breaches.
    pub(super) breaches: usize,
    /// At least so many cartons; nought where the carton is not known.
    pub(super) cartons: usize,
    /// The first row, its bits reversed.
    pub(super) spread: u32,
    /// Index of the direction.
    pub(super) direction: usize,
    /// Index of the first row.
    pub(super) first_row: usize,
    /// At least so many tiles.
    pub(super) tiles: usize,
    /// No wider a narrowest piece.
    pub(super) widest: i64,
    /// Whether its rows were cut and `breaches` counts those that are too narrow.
    pub(super) cut: bool,
}

impl Node {
    pub(super) fn new(
        (direction, first_row): (usize, usize),
        (breaches, widest): (usize, i64),
        (cartons, tiles): (usize, usize),
    ) -> Self {
        let spread = u32::try_from(first_row).unwrap_or(0).reverse_bits();
        Self { breaches, cartons, spread, direction, first_row, tiles, widest, cut: false }
    }
}

/// The nodes that are left.
#[derive(Debug, Default)]
pub(super) struct Queue {
    heap: BinaryHeap<Reverse<Node>>,
    /// How many of the nodes left take at least so many tiles.
    tiles: BTreeMap<usize, usize>,
    all: usize,
    done: usize,
}

impl Queue {
    pub(super) fn add(&mut self, node: Node) {
        self.all += 1;
        *self.tiles.entry(node.tiles).or_default() += 1;
        self.heap.push(Reverse(node));
    }

    /// The most promising; it stays to be reckoned with until it is put back or finished.
    pub(super) fn take(&mut self) -> Option<Node> {
        self.heap.pop().map(|Reverse(node)| node)
    }

    /// Puts a node back with a better bound.
    pub(super) fn put_back(&mut self, node: Node) {
        self.heap.push(Reverse(node));
    }

    /// A node holds nothing better any more.
    pub(super) fn finish(&mut self, node: Node) {
        self.done += 1;
        if let Some(count) = self.tiles.get_mut(&node.tiles) {
            *count -= 1;
            if *count == 0 {
                self.tiles.remove(&node.tiles);
            }
        }
    }

    /// The fewest tiles that any node left might take.
    pub(super) fn least_tiles(&self) -> Option<usize> {
        self.tiles.first_key_value().map(|(tiles, _)| *tiles)
    }

    /// The share of the nodes that is finished.
    pub(super) fn part(&self) -> f64 {
        if self.all == 0 { 0.0 } else { self.done as f64 / self.all as f64 }
    }
}
