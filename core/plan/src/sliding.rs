//! Sharing tiles among pieces that need not be cut from their own place along the tile.
//!
//! **What may slide.** Across the tile a piece stays where it is: its long edges, or what is left of them, bear the
//! rails of its rows. Along the tile a piece of an interlocking product is held by the end of the tile that it
//! needs: a piece that keeps a part of an end keeps its rail there, and only one that is cut at both ends may come
//! from anywhere along the tile. A product without rails needs no end: every cut piece may slide, and be turned by half a
//! turn. Whoever lets set tile slide accepts that an end cut by hand may face a joint.
//!
//! **On one tile** pieces come apart by straight cuts right across, a kerf wide, as they do at their own places
//! ([`crate::sharing`]): all groups that do there do here. Besides, pieces are pushed to the tile's start one after the
//! other, with cuts along and across between them; where cuts are askew, as near to each other as a kerf allows.
//!
//! **How few tiles** is bin packing. From above: best fit, improved by branching as far as a limit of work goes.
//! From below, whatever way they are cut: along every line of the tile that pieces cross, their lengths on it and a
//! kerf between them fit into the tile's length (the bound L2 of Martello and Toth); where pieces may be turned, along
//! a line and the one opposite together; and pieces that may not slide share no better than by themselves.

use crate::hull::{Hull, comes_apart, fit_one_tile};
use crate::piece::{Cut, Piece, classify};
use crate::product::Product;
use crate::sharing::{Sharing, number, share_cut};
use drylay_geometry::{Length, Point};
use std::collections::BTreeMap;

/// Where a piece is cut from its tile.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moved {
    /// How far it is moved along the tile from its own place, once it is turned.
    pub by: Length,
    /// Whether it is turned by half a turn about the middle of the tile.
    pub turned: bool,
}

impl Moved {
    /// The piece as it lies on the tile that it is cut from, in its own sense: a tile that is turned for it is turned
    /// first.
    pub fn of(self, piece: &Piece, product: &Product) -> Piece {
        let by = if self.turned { -self.by.nanometres() } else { self.by.nanometres() };
        if by == 0 {
            return piece.clone();
        }
        let on_tile = piece.on_tile.map(|p| Point { x: p.x + by, ..p });
        Piece { cut: classify(&on_tile, product.length, product.width), on_tile, ..piece.clone() }
    }
}

/// Who shares a tile when pieces may slide.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slid {
    /// Who shares a tile with whom.
    pub sharing: Sharing,
    /// Where each piece is cut from its tile.
    pub moved: Vec<Moved>,
}

/// How far, in nanometres, an edge may be from a tile's end and still count as on it.
const ON_END: i64 = 1_000;
/// What a kerf may be short of by rounding.
const ROUNDING: i64 = 1_000;
/// The most pieces of one tile for which cuts both along and across are tried, and for which every order is.
const MOST_BOTH_WAYS: usize = 6;
const MOST_ORDERED: usize = 4;
/// The most groups that are looked at while branching.
const MOST_LOOKS: usize = 60_000;

/// Shares tiles among pieces, each of which may slide as far as its rails allow.
pub fn share_sliding(pieces: &[Piece], product: &Product) -> Slid {
    let cut: Vec<usize> = (0..pieces.len()).filter(|&i| pieces[i].cut != Cut::Whole).collect();
    let case = Case::new(cut.iter().map(|&i| &pieces[i]), product);
    let (groups, least) = case.share(product);
    let whole = pieces.len() - cut.len();
    let mut moved = vec![Moved::default(); pieces.len()];
    for group in &groups {
        for (&member, place) in group.iter().zip(case.arrange(group).unwrap_or_default()) {
            moved[cut[member]] = place;
        }
    }
    Slid { sharing: number(pieces.len(), &cut, &groups, whole + least), moved }
}

/// A cut piece.
struct Item {
    /// As it lies and, where that is something else, turned by half a turn.
    lying: Vec<Hull>,
    /// At its own place: as it lies and, where the product allows it, turned.
    own: Vec<Hull>,
    /// Whether it stays at its own place along the tile.
    held: bool,
}

impl Item {
    fn new(piece: &Piece, product: &Product) -> Self {
        let hull = Hull::of(piece.on_tile.outer.points.clone());
        let at_end = |x: i64| x.abs() <= ON_END || (x - product.length.nanometres()).abs() <= ON_END;
        let on_end = |(a, b): (Point, Point)| (a.x - b.x).abs() <= ON_END && at_end(a.x) && at_end(b.x);
        let held = product.interlock && piece.on_tile.outer.edges().any(on_end);
        let turned = Some(hull.turned(product)).filter(|_| !product.interlock);
        // A piece that is the same when it is turned and slid back need not be tried turned.
        let own: Vec<Hull> = std::iter::once(hull.clone()).chain(turned.clone()).collect();
        let other = turned.filter(|turned| turned.slid(hull.lo.x - turned.lo.x).points != hull.points);
        Self { lying: std::iter::once(hull).chain(other).collect(), own, held }
    }

    fn length(&self) -> i64 {
        self.lying[0].hi.x - self.lying[0].lo.x
    }
}

/// The cut pieces of a plan.
struct Case {
    items: Vec<Item>,
    length: i64,
    width: i64,
    kerf: Length,
}

impl Case {
    fn new<'p>(pieces: impl Iterator<Item = &'p Piece>, product: &Product) -> Self {
        let items = pieces.map(|piece| Item::new(piece, product)).collect();
        Self {
            items,
            length: product.length.nanometres(),
            width: product.width.nanometres(),
            kerf: product.kerf,
        }
    }

    /// Pieces by the tile they come from, and a number of tiles that no sharing can beat.
    fn share(&self, product: &Product) -> (Vec<Vec<usize>>, usize) {
        let own = |of: &[usize]| {
            let hulls: Vec<Hull> = of.iter().map(|&i| self.items[i].lying[0].clone()).collect();
            let shared = share_cut(&hulls, product);
            let groups: Vec<Vec<usize>> =
                shared.groups.iter().map(|group| group.iter().map(|&m| of[m]).collect()).collect();
            (groups, shared.least)
        };
        let all: Vec<usize> = (0..self.items.len()).collect();
        let (held, free): (Vec<usize>, Vec<usize>) = all.iter().partition(|&&i| self.items[i].held);
        let (of_held, least_held) = own(&held);
        let least = self.least().max(least_held);
        let mut best = own(&all).0;
        for start in [self.best_fit(of_held, &free), self.best_fit(Vec::new(), &all)] {
            if start.len() < best.len() {
                best = start;
            }
        }
        let mut branch =
            Branch { case: self, order: self.by_size(&all), best, least, looks: 0, seen: BTreeMap::new() };
        branch.place(0, &mut Vec::new());
        let complete = branch.looks < MOST_LOOKS && self.is_plain();
        let best = branch.best;
        let least = if complete { best.len() } else { least.min(best.len()) };
        (best, least)
    }

    /// Whether what is not found here does not exist: pieces that lie beside each other all across the tile, with ends
    /// square to it. Then a tile's pieces are a sum of lengths and nothing else.
    fn is_plain(&self) -> bool {
        self.items.iter().all(|item| {
            let hull = &item.lying[0];
            let corner =
                |p: &Point| (p.x == hull.lo.x || p.x == hull.hi.x) && (p.y == hull.lo.y || p.y == hull.hi.y);
            hull.points.len() == 4
                && hull.points.iter().all(corner)
                && hull.lo.y <= ROUNDING
                && hull.hi.y >= self.width - ROUNDING
        })
    }

    /// The largest first.
    fn by_size(&self, of: &[usize]) -> Vec<usize> {
        let mut order = of.to_vec();
        let area = |i: usize| {
            let hull = &self.items[i].lying[0];
            i128::from(hull.hi.x - hull.lo.x) * i128::from(hull.hi.y - hull.lo.y)
        };
        order.sort_by_key(|&i| (std::cmp::Reverse(area(i)), i));
        order
    }

    /// Puts each piece, the largest first, onto the tile where it leaves the least.
    fn best_fit(&self, mut tiles: Vec<Vec<usize>>, more: &[usize]) -> Vec<Vec<usize>> {
        for item in self.by_size(more) {
            let used = |tile: &[usize]| -> i64 { tile.iter().map(|&i| self.items[i].length()).sum() };
            let mut order: Vec<usize> = (0..tiles.len()).collect();
            order.sort_by_key(|&t| (std::cmp::Reverse(used(&tiles[t])), t));
            let with = |t: usize| tiles[t].iter().copied().chain([item]).collect::<Vec<usize>>();
            match order.into_iter().find(|&t| self.fits(&with(t))) {
                Some(t) => tiles[t].push(item),
                None => tiles.push(vec![item]),
            }
        }
        tiles
    }

    fn fits(&self, group: &[usize]) -> bool {
        group.len() == 1 || (self.may_fit(group) && self.arrange(group).is_some())
    }

    /// Whether the pieces are short enough on every line that they all cross however they are turned.
    fn may_fit(&self, group: &[usize]) -> bool {
        let kerf = (self.kerf.nanometres() - ROUNDING).max(0);
        let mut lines = vec![self.width / 2];
        if self.items.iter().all(|item| item.lying.len() == 1) {
            lines.extend(
                group.iter().map(|&i| (self.items[i].lying[0].lo.y + self.items[i].lying[0].hi.y) / 2),
            );
        }
        lines.into_iter().all(|v| {
            let sum: i64 = group.iter().filter_map(|&i| self.chord(i, v)).map(|c| c + kerf).sum();
            sum <= self.length + kerf
        })
    }

    /// How long a piece is on a line of the tile, as it lies; `None` where it does not reach it.
    fn chord(&self, item: usize, v: i64) -> Option<i64> {
        self.items[item].lying[0].at(v).map(|(from, to)| (to - from).max(0))
    }

    /// Where the pieces of a group lie on one tile, in their order; `None` where no way was found.
    fn arrange(&self, group: &[usize]) -> Option<Vec<Moved>> {
        if let Some(at_own_place) = self.at_own_place(group) {
            return Some(at_own_place);
        }
        let turnings = group.iter().skip(1).map(|&i| self.items[i].lying.len()).product::<usize>();
        // Which way the first lies does not matter: the tile itself can be turned.
        (0..turnings.min(1 << MOST_BOTH_WAYS)).find_map(|mut turning| {
            let mut lying = vec![0];
            for &i in &group[1..] {
                let ways = self.items[i].lying.len();
                lying.push(turning % ways);
                turning /= ways;
            }
            let hulls: Vec<(&Hull, bool)> = group
                .iter()
                .zip(&lying)
                .map(|(&i, &way)| (&self.items[i].lying[way], self.items[i].held))
                .collect();
            let by = Tile { hulls, length: self.length, kerf: self.kerf }.pushed()?;
            let moved = |(way, by): (usize, i64)| Moved { by: Length::from_nanometres(by), turned: way > 0 };
            Some(lying.into_iter().zip(by).map(moved).collect())
        })
    }

    /// Which pieces are turned so that all come apart at their own places: an end that is not cut stays one.
    fn at_own_place(&self, group: &[usize]) -> Option<Vec<Moved>> {
        let hulls: Vec<&[Hull]> = group.iter().map(|&i| &self.items[i].own[..]).collect();
        if !fit_one_tile(&hulls, self.kerf) {
            return None;
        }
        let ways = hulls.iter().skip(1).map(|ways| ways.len()).product::<usize>();
        (0..ways).find_map(|mut turning| {
            let mut turned = vec![false];
            for ways in &hulls[1..] {
                turned.push(turning % ways.len() > 0);
                turning /= ways.len();
            }
            let lying: Vec<&Hull> =
                hulls.iter().zip(&turned).map(|(ways, turned)| &ways[usize::from(*turned)]).collect();
            let place = |turned: &bool| Moved { by: Length::ZERO, turned: *turned };
            comes_apart(&lying, self.kerf).then(|| turned.iter().map(place).collect())
        })
    }

    /// Tiles that no sharing can beat, by the lines that pieces cross.
    fn least(&self) -> usize {
        let mut lines: Vec<i64> = self
            .items
            .iter()
            .flat_map(|i| [i.lying[0].lo.y, i.lying[0].hi.y])
            .map(|v| v.clamp(0, self.width))
            .collect();
        lines.extend([self.width / 4, self.width / 2, self.width - self.width / 4]);
        lines.sort_unstable();
        lines.dedup_by_key(|v| *v / (self.width / 24).max(1));
        let kerf = (self.kerf.nanometres() - ROUNDING).max(0);
        let room = self.length + kerf;
        let on = |i: usize, v: i64| self.chord(i, v).map(|c| c + kerf);
        let all = 0..self.items.len();
        let of_line = |v: i64| {
            let across = self.width - v;
            let least = |i: usize| match self.items[i].lying.len() {
                1 => on(i, v),
                _ => Some(on(i, v)?.min(on(i, across)?)),
            };
            let both: i64 = all.clone().map(|i| on(i, v).unwrap_or(0) + on(i, across).unwrap_or(0)).sum();
            let together = usize::try_from((both + 2 * room - 1) / (2 * room).max(1)).unwrap_or(0);
            least_bins(all.clone().filter_map(least).collect(), room).max(together)
        };
        lines.into_iter().map(of_line).max().unwrap_or(0)
    }
}

/// Bins of a size that so many things take at least: the bound L2 of Martello and Toth (Knapsack Problems, 1990, ch. 8;
/// from memory).
fn least_bins(mut sizes: Vec<i64>, room: i64) -> usize {
    sizes.retain(|s| *s > 0);
    sizes.sort_unstable();
    let sum = |part: &[i64]| part.iter().sum::<i64>();
    let mut most = 0;
    for small in std::iter::once(0).chain(sizes.iter().copied().filter(|s| 2 * s <= room)) {
        let from = sizes.partition_point(|s| *s < small);
        let half = sizes.partition_point(|s| 2 * s <= room);
        let alone = sizes.partition_point(|s| *s <= room - small).max(half);
        // Those over half a bin need one each; what room these leave takes the middling ones, the rest need more.
        let over_half = &sizes[half..alone];
        let left = i64::try_from(over_half.len()).unwrap_or(0) * room - sum(over_half);
        let more = (sum(&sizes[from.min(half)..half]) - left).max(0);
        let bins = sizes.len() - half + usize::try_from((more + room - 1) / room.max(1)).unwrap_or(0);
        most = most.max(bins);
    }
    most
}

/// Some pieces on one tile, and which of them stay where they are.
struct Tile<'h> {
    hulls: Vec<(&'h Hull, bool)>,
    length: i64,
    kerf: Length,
}

impl Tile<'_> {
    /// By how much each is moved so that they come apart; `None` where no way was found.
    fn pushed(&self) -> Option<Vec<i64>> {
        let all: Vec<usize> = (0..self.hulls.len()).collect();
        let found = if self.all_beside() { self.in_a_row() } else { self.both_ways(&all, 0).map(|f| f.1) };
        let square = found.filter(|by| self.is_inside(by));
        square.or_else(|| {
            self.askew().filter(|by| {
                let hulls: Vec<Hull> = self.hulls.iter().zip(by).map(|((h, _), by)| h.slid(*by)).collect();
                comes_apart(&hulls.iter().collect::<Vec<_>>(), self.kerf)
            })
        })
    }

    fn is_inside(&self, by: &[i64]) -> bool {
        self.hulls.iter().zip(by).all(|((h, _), by)| h.lo.x + by >= 0 && h.hi.x + by <= self.length)
    }

    /// Whether no two lie above each other, a kerf apart.
    fn all_beside(&self) -> bool {
        let k = self.kerf.nanometres();
        self.hulls.iter().enumerate().all(|(i, (a, _))| {
            self.hulls[i + 1..].iter().all(|(b, _)| b.lo.y - a.hi.y < k && a.lo.y - b.hi.y < k)
        })
    }

    /// One after the other along the tile: what is held at the start first, what is held at the end last.
    fn in_a_row(&self) -> Option<Vec<i64>> {
        let mut order: Vec<usize> = (0..self.hulls.len()).collect();
        let middle = self.length / 2;
        let rank = |&i: &usize| match self.hulls[i] {
            (hull, true) if hull.lo.x + hull.hi.x < 2 * middle => 0,
            (_, true) => 2,
            _ => 1,
        };
        order.sort_by_key(|i| (rank(i), *i));
        let (mut by, mut from) = (vec![0; order.len()], 0);
        for &i in &order {
            let (hull, held) = self.hulls[i];
            by[i] = if held { 0 } else { from - hull.lo.x };
            if hull.lo.x + by[i] < from {
                return None;
            }
            from = hull.hi.x + by[i] + self.kerf.nanometres();
        }
        Some(by)
    }

    /// Pushed to the start from `from` on, with cuts across and along; where the last of them ends, and by how much
    /// each is moved.
    fn both_ways(&self, of: &[usize], from: i64) -> Option<(i64, Vec<i64>)> {
        let mut best: Option<(i64, Vec<i64>)> = None;
        if let &[one] = of {
            let (hull, held) = self.hulls[one];
            let by = if held { 0 } else { from - hull.lo.x };
            let mut all = vec![0; self.hulls.len()];
            all[one] = by;
            return (hull.lo.x + by >= from).then_some((hull.hi.x + by, all));
        }
        if of.len() > MOST_BOTH_WAYS {
            return None;
        }
        let k = self.kerf.nanometres();
        for halving in 1_u32..(1 << of.len()) - 1 {
            let side = |first: bool| -> Vec<usize> {
                of.iter()
                    .enumerate()
                    .filter(|(i, _)| (halving >> i & 1 == 1) == first)
                    .map(|(_, &m)| m)
                    .collect()
            };
            let (one, other) = (side(true), side(false));
            let low = one.iter().map(|&i| self.hulls[i].0.hi.y).max().unwrap_or(0);
            let high = other.iter().map(|&i| self.hulls[i].0.lo.y).min().unwrap_or(0);
            let joined = if high - low >= k {
                let (a, b) = (self.both_ways(&one, from), self.both_ways(&other, from));
                a.zip(b).map(|((a, moved_a), (b, moved_b))| (a.max(b), added(moved_a, &moved_b)))
            } else {
                let first = self.both_ways(&one, from);
                first.and_then(|(end, moved)| {
                    let (last, rest) = self.both_ways(&other, end + k)?;
                    Some((last, added(moved, &rest)))
                })
            };
            if let Some(found) = joined
                && best.as_ref().is_none_or(|b| found.0 < b.0)
            {
                best = Some(found);
            }
        }
        best
    }

    /// One after the other in every order, each as near to those before it as a kerf allows.
    fn askew(&self) -> Option<Vec<i64>> {
        let n = self.hulls.len();
        if n > MOST_ORDERED {
            return None;
        }
        let mut orders: Vec<Vec<usize>> = vec![Vec::new()];
        for _ in 0..n {
            let longer = orders.iter().flat_map(|order| {
                let more = (0..n).filter(|i| !order.contains(i));
                more.map(|i| order.iter().copied().chain([i]).collect::<Vec<usize>>()).collect::<Vec<_>>()
            });
            orders = longer.collect();
        }
        orders.iter().find_map(|order| {
            let mut placed: Vec<Hull> = Vec::new();
            let mut by = vec![0; n];
            for &i in order {
                by[i] = self.nearest(i, &placed)?;
                placed.push(self.hulls[i].0.slid(by[i]));
            }
            Some(by)
        })
    }

    /// By how much a piece is moved so that it lies as near to the tile's start as what is placed before it allows.
    fn nearest(&self, piece: usize, placed: &[Hull]) -> Option<i64> {
        let (hull, held) = self.hulls[piece];
        let clear = |by: i64| {
            let moved = hull.slid(by);
            placed.iter().all(|other| moved.apart(other, self.kerf))
        };
        if held {
            return clear(0).then_some(0);
        }
        let (mut too_near, mut far) = (-hull.lo.x - 1, self.length - hull.hi.x);
        if far <= too_near || !clear(far) {
            return None;
        }
        while far - too_near > 1 {
            let middle = too_near + (far - too_near) / 2;
            *(if clear(middle) { &mut far } else { &mut too_near }) = middle;
        }
        Some(far)
    }
}

fn added(mut a: Vec<i64>, b: &[i64]) -> Vec<i64> {
    a.iter_mut().zip(b).for_each(|(a, b)| *a += b);
    a
}

/// Branching on the tile that each piece goes onto, the largest first.
struct Branch<'c> {
    case: &'c Case,
    order: Vec<usize>,
    best: Vec<Vec<usize>>,
    least: usize,
    looks: usize,
    /// Whether groups that were looked at fit a tile: the same few come back in every branch.
    seen: BTreeMap<Vec<usize>, bool>,
}

impl Branch<'_> {
    fn place(&mut self, next: usize, tiles: &mut Vec<Vec<usize>>) {
        if tiles.len() >= self.best.len() || self.best.len() <= self.least || self.looks >= MOST_LOOKS {
            return;
        }
        let Some(&item) = self.order.get(next) else {
            self.best.clone_from(tiles);
            return;
        };
        for t in 0..tiles.len() {
            self.looks += 1;
            tiles[t].push(item);
            if self.fits(&tiles[t]) {
                self.place(next + 1, tiles);
            }
            tiles[t].pop();
        }
        if tiles.len() + 1 < self.best.len() {
            tiles.push(vec![item]);
            self.place(next + 1, tiles);
            tiles.pop();
        }
    }

    fn fits(&mut self, group: &[usize]) -> bool {
        if let Some(known) = self.seen.get(group) {
            return *known;
        }
        let fits = self.case.fits(group);
        self.seen.insert(group.to_vec(), fits);
        fits
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::product::Offset;
    use drylay_geometry::{Ring, Shape};
    use proptest::prelude::*;

    fn tile(interlock: bool) -> Product {
        Product {
            id: "tile".into(),
            length: Length::from_mm(600),
            width: Length::from_mm(300),
            joint: Length::from_mm(3),
            edge_gap: Length::ZERO,
            kerf: Length::from_mm(2),
            interlock,
            offsets: vec![Offset { num: 1, den: 2 }],
            min_row_width: Length::ZERO,
            min_end_length: Length::ZERO,
            max_run: None,
            carton_tiles: None,
        }
    }

    fn piece(points: &[(i64, i64)]) -> Piece {
        let at = points.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 });
        let shape = Shape::simple(Ring::new(at.collect()));
        let (row, place, cut) = (1, 1, Cut::Shape);
        let (length, width) = (Length::ZERO, Length::ZERO);
        Piece { row, place, cut, shape: shape.clone(), on_tile: shape, length, width }
    }
    fn strip(from: i64, to: i64) -> Piece {
        piece(&[(from, 0), (to, 0), (to, 300), (from, 300)])
    }
    fn tiles(pieces: &[Piece], interlock: bool) -> (usize, usize) {
        let s = share_sliding(pieces, &tile(interlock)).sharing;
        (s.tiles, s.least)
    }

    #[test]
    fn ends_of_set_tile_slide_and_rails_hold_those_of_interlocking_tile() {
        let starts = [strip(0, 150), strip(0, 150), strip(0, 150), strip(0, 144)];
        // Four lengths and three kerfs: 450 + 144 + 6 = 600.
        assert_eq!(tiles(&starts, false), (1, 1));
        assert_eq!(tiles(&starts, true), (4, 4), "each needs the tile's start");
    }

    #[test]
    fn a_piece_cut_at_both_ends_slides_on_interlocking_tile_too() {
        // At their own places the two in the middle overlap; slid, all four fit: 100 + 200 + 198 + 96 + 6 = 600.
        let pieces = [strip(0, 100), strip(200, 400), strip(201, 399), strip(504, 600)];
        assert_eq!(crate::sharing::share(&pieces, &tile(true)).tiles, 2);
        assert_eq!(tiles(&pieces, true), (1, 1));
        let more = [strip(0, 101), strip(200, 400), strip(201, 399), strip(504, 600)];
        assert_eq!(tiles(&more, true), (2, 2), "a millimetre too much");
    }

    #[test]
    fn what_fits_at_its_own_place_is_not_slid() {
        let s = share_sliding(&[strip(0, 200), strip(0, 250)], &tile(false));
        let turned = s.moved.iter().map(|m| (m.by, m.turned)).collect::<Vec<_>>();
        assert_eq!(
            turned,
            [(Length::ZERO, false), (Length::ZERO, true)],
            "turned, the end that is not cut stays one"
        );
    }

    #[test]
    fn cuts_askew_lie_against_each_other() {
        // Two trapezia of 320 and 280 along the edges of the tile: 600 and a kerf askew fit in no rectangle.
        let lean = |from: i64| piece(&[(from, 0), (from + 310, 0), (from + 280, 300), (from, 300)]);
        let pieces = [lean(0), piece(&[(100, 0), (380, 0), (380, 300), (70, 300)])];
        assert_eq!(tiles(&pieces, false), (1, 1));
    }

    #[test]
    fn a_piece_askew_is_turned_and_slid_and_both_are_told() {
        // Two of 310 and 280 that lean the same way: 622 where one is not turned.
        let lean = |from: i64| piece(&[(from, 0), (from + 310, 0), (from + 280, 300), (from, 300)]);
        let slid = share_sliding(&[lean(0), lean(50)], &tile(false));
        assert_eq!(slid.sharing.tiles, 1);
        let [a, b] = slid.moved[..] else { panic!("{slid:?}") };
        assert!(a.turned != b.turned, "{slid:?}");
        // As they are told to lie: turned about the tile's middle, then moved.
        let edge = |p: &Piece, m: Moved, end: bool| {
            let x = |k: usize| {
                let x = p.on_tile.outer.points[k].x;
                (if m.turned { 600_000_000 - x } else { x }) + m.by.nanometres()
            };
            // Corners 1 and 2 are the end that leans, 0 and 3 the straight one; turned, below is above.
            match (end, m.turned) {
                (true, false) => [x(1), x(2)],
                (true, true) => [x(2), x(1)],
                (false, false) => [x(0), x(3)],
                (false, true) => [x(3), x(0)],
            }
        };
        let (left, right) =
            if a.turned { ((lean(50), b), (lean(0), a)) } else { ((lean(0), a), (lean(50), b)) };
        let (ends, starts) = (edge(&left.0, left.1, true), edge(&right.0, right.1, true));
        assert!((0..2).all(|k| starts[k] - ends[k] >= 2_000_000), "{ends:?}, {starts:?}");
        let (first, last) = (edge(&left.0, left.1, false), edge(&right.0, right.1, false));
        assert!(
            first.iter().all(|x| *x >= 0) && last.iter().all(|x| *x <= 600_000_000),
            "{first:?}, {last:?}"
        );
    }

    #[test]
    fn strips_along_the_tile_lie_above_each_other_and_ends_beside_them() {
        let rip = |from: i64, to: i64| piece(&[(0, from), (600, from), (600, to), (0, to)]);
        let pieces = [rip(0, 100), rip(200, 300)];
        assert_eq!(tiles(&pieces, true), (1, 1));
        // Two of the same edge only where one is turned.
        assert_eq!(tiles(&[rip(0, 100), rip(0, 100)], true), (2, 2));
        assert_eq!(tiles(&[rip(0, 100), rip(0, 100)], false), (1, 1));
    }

    #[test]
    fn branching_finds_what_best_fit_misses() {
        // Best fit puts 290 with 250, then 240, 220 and 90, and 70 is left over; 290, 220, 70 and 250, 240, 90 fit.
        let ends = [290, 250, 240, 220, 90, 70].map(|length| strip(0, length));
        assert_eq!(tiles(&ends, false), (2, 2));
        let middles = [290, 250, 240, 220, 90, 70].map(|length| strip(5, 5 + length));
        assert_eq!(tiles(&middles, true), (2, 2));
    }

    #[test]
    fn what_holds_its_rail_stays_while_the_others_slide() {
        let part =
            |x: [i64; 2], y: [i64; 2]| piece(&[(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])]);
        // An end of a narrow last row, and four that were cut from the same place: 150 + 140 + 120 + 90 and three kerfs.
        let middles = [[100, 250], [120, 260], [130, 250], [140, 230]];
        let pieces: Vec<Piece> =
            std::iter::once(part([400, 600], [0, 100])).chain(middles.map(|x| part(x, [150, 300]))).collect();
        let slid = share_sliding(&pieces, &tile(true));
        assert_eq!(slid.sharing.tiles, 1);
        let by: Vec<Length> = slid.moved.iter().map(|m| m.by).collect();
        assert_eq!(by[0], Length::ZERO, "{by:?}");
        let mut lies: Vec<[i64; 2]> =
            middles.iter().zip(&by[1..]).map(|(x, by)| x.map(|x| x * 1_000_000 + by.nanometres())).collect();
        lies.sort_unstable();
        assert!(lies[0][0] >= 0 && lies[3][1] <= 600_000_000, "{lies:?}");
        assert!(lies.windows(2).all(|pair| pair[1][0] - pair[0][1] >= 2_000_000), "{lies:?}");
    }

    #[test]
    fn the_bound_is_that_of_the_book_where_halves_do_not_pair() {
        // Three of 60, three of 41 in bins of 100: by sums 3.03, so 4, by pairing none fits with a 60.
        assert_eq!(least_bins(vec![60, 60, 60, 41, 41, 41], 100), 5);
        assert_eq!(least_bins(vec![50, 50, 50, 50], 100), 2);
        assert_eq!(least_bins(vec![], 100), 0);
    }

    /// The fewest bins by trying every way.
    fn fewest(sizes: &[i64], room: i64) -> usize {
        fn put(sizes: &[i64], room: i64, bins: &mut Vec<i64>, best: &mut usize) {
            let Some((first, rest)) = sizes.split_first() else {
                *best = bins.len().min(*best);
                return;
            };
            for b in 0..bins.len() {
                if bins[b] + first <= room {
                    bins[b] += first;
                    put(rest, room, bins, best);
                    bins[b] -= first;
                }
            }
            bins.push(*first);
            put(rest, room, bins, best);
            bins.pop();
        }
        let mut best = sizes.len();
        put(sizes, room, &mut Vec::new(), &mut best);
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]
        #[test]
        fn ends_of_set_tile_take_as_few_tiles_as_trying_every_way(
            ends in proptest::collection::vec((20_i64..580, any::<bool>()), 1..8),
        ) {
            let of = |&(length, end): &(i64, bool)| if end { strip(600 - length, 600) } else { strip(0, length) };
            let pieces: Vec<Piece> = ends.iter().map(of).collect();
            let sizes: Vec<i64> = ends.iter().map(|e| e.0 + 2).collect();
            let slid = share_sliding(&pieces, &tile(false));
            prop_assert_eq!(slid.sharing.tiles, fewest(&sizes, 602));
            prop_assert_eq!(slid.sharing.least, slid.sharing.tiles);
            // Every piece lies on its tile, and no two of one tile nearer than a kerf.
            let lies: Vec<(i64, i64)> = pieces.iter().zip(&slid.moved).map(|(p, m)| {
                let (lo, hi) = p.on_tile.outer.bounds().expect("a piece");
                let (lo, hi) = if m.turned { (600_000_000 - hi.x, 600_000_000 - lo.x) } else { (lo.x, hi.x) };
                (lo + m.by.nanometres(), hi + m.by.nanometres())
            }).collect();
            for (i, a) in lies.iter().enumerate() {
                prop_assert!(a.0 >= 0 && a.1 <= 600_000_000);
                for (j, b) in lies.iter().enumerate().skip(i + 1) {
                    let same = slid.sharing.tile_of[i] == slid.sharing.tile_of[j];
                    prop_assert!(!same || b.0 - a.1 >= 2_000_000 || a.0 - b.1 >= 2_000_000);
                }
            }
        }

        #[test]
        fn the_bound_is_never_above_the_fewest(sizes in proptest::collection::vec(1_i64..100, 0..8)) {
            prop_assert!(least_bins(sizes.clone(), 100) <= fewest(&sizes, 100));
        }
    }
}
