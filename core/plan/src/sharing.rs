//! Which pieces are cut from one tile.
//!
//! Pieces of one tile must come apart by straight cuts right across, each a kerf wide: so their convex hulls lie
//! at least a kerf apart. Pieces stay at their own place on the tile; a product without interlock may be turned
//! by half a turn, each piece for itself.
//!
//! **Two to a tile** is a matching, and a matching of the greatest size is found exactly (Edmonds). **Three and
//! more**: all groups that come from one tile are listed, and it is branched on which of them to cut, the rest
//! being matched. With ν the size of the greatest matching of the pieces that are left, groups of m pieces save
//! at most ν + Σ (m − 2): a pair taken from each group and the pairs of the rest are a matching too. **From
//! below**, pieces that cover one point of the tile need a tile each.

use crate::hull::{Hull, MOST_TO_A_TILE, fit_one_tile};
use crate::piece::{Cut, Piece};
use crate::product::Product;
use drylay_geometry::Length;
use petgraph::algo::maximum_matching;
use petgraph::graph::{NodeIndex, UnGraph};

/// Who shares a tile with whom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sharing {
    /// The tile of each piece, from nought, numbered in the order of their first pieces.
    pub tile_of: Vec<usize>,
    /// How many tiles there are.
    pub tiles: usize,
    /// A number of tiles that no sharing of these pieces can beat.
    pub least: usize,
}

/// The most groups of three and more that are listed before the search settles for a bound.
const MOST_GROUPS: usize = 3_000;
/// The most branchings tried before it does, and how many pairs of pieces they may look at in all: each takes a
/// matching.
const MOST_BRANCHINGS: usize = 2_000;
const MOST_PAIRS: usize = 4_000_000;

/// Shares tiles among pieces.
pub fn share(pieces: &[Piece], product: &Product) -> Sharing {
    let cut: Vec<usize> = (0..pieces.len()).filter(|&i| pieces[i].cut != Cut::Whole).collect();
    let hulls: Vec<Hull> = cut.iter().map(|&i| Hull::of(pieces[i].on_tile.outer.points.clone())).collect();
    let shared = share_cut(&hulls, product);
    number(pieces.len(), &cut, &shared.groups, pieces.len() - cut.len() + shared.least)
}

/// The tiles of cut pieces, and how few there could be.
pub(crate) struct SharedCut {
    /// Pieces by the tile they come from.
    pub(crate) groups: Vec<Vec<usize>>,
    /// No sharing needs fewer tiles.
    pub(crate) least: usize,
}

/// Shares tiles among the cut pieces alone.
pub(crate) fn share_cut(hulls: &[Hull], product: &Product) -> SharedCut {
    let covered = covered_point(hulls, product);
    let lying: Vec<Vec<Hull>> = hulls
        .iter()
        .map(|h| {
            let turned = (!product.interlock).then(|| h.turned(product));
            std::iter::once(h.clone()).chain(turned).collect()
        })
        .collect();
    let mut case = Sharer::new(lying, product.kerf, covered);
    if case.threes.is_empty() {
        let least = if case.all_listed { case.best.len() } else { covered };
        return SharedCut { groups: case.best, least };
    }
    case.merge();
    let least = case.branch_all();
    SharedCut { groups: case.best, least }
}

/// Pieces that all cover one point, to less than half a kerf, need a tile each; where tiles may be turned, pieces
/// that cover a point or the one opposite share two to a tile at most. The lines tried are those through the
/// edges of pieces and the middle of the tile.
pub(crate) fn covered_point(hulls: &[Hull], product: &Product) -> usize {
    let (l, w) = (product.length.nanometres(), product.width.nanometres());
    let near = near(product.kerf);
    let mut lines: Vec<i64> = hulls.iter().flat_map(|h| [h.lo.y, h.hi.y]).collect();
    lines.extend([w / 4, w / 2, w - w / 4]);
    lines.sort_unstable();
    lines.dedup_by_key(|v| *v / (w / 24).max(1));
    let spans = |v: i64| -> Vec<(i64, i64)> {
        let within = |h: &Hull| {
            let covers = v > h.lo.y - near && v < h.hi.y + near;
            covers.then(|| h.at(v.clamp(h.lo.y, h.hi.y))).flatten()
        };
        hulls.iter().filter_map(within).map(|(a, b)| (a - near, b + near)).collect()
    };
    let turned = |v: i64| spans(w - v).into_iter().map(|(a, b)| (l - b, l - a));
    let most = lines.iter().map(|&v| {
        if product.interlock {
            return deepest(spans(v));
        }
        let both: Vec<(i64, i64)> = spans(v).into_iter().chain(turned(v)).collect();
        deepest(both).div_ceil(2)
    });
    let most = most.max().unwrap_or(0);
    let centre = spans(w / 2).into_iter().filter(|&(a, b)| a < l / 2 && l / 2 < b).count();
    most.max(centre)
}

/// How far from a piece a point may be, along each axis, so that two pieces that near to it are less than a kerf
/// apart: 0.35 of the kerf along both axes is 0.495 of it in all. A micrometre is left for rounding.
pub(crate) fn near(kerf: Length) -> i64 {
    kerf.nanometres() * 35 / 100 - 1_000
}

/// The greatest number of open intervals that have a point in common.
fn deepest(spans: Vec<(i64, i64)>) -> usize {
    let mut ends: Vec<(i64, i32)> =
        spans.into_iter().filter(|(a, b)| a < b).flat_map(|(a, b)| [(a, 1), (b, -1)]).collect();
    ends.sort_unstable();
    let (mut depth, mut most) = (0, 0);
    for (_, step) in ends {
        depth += step;
        most = most.max(depth);
    }
    usize::try_from(most).unwrap_or(0)
}

/// Pieces, which of them fit each other, and the best sharing so far.
struct Sharer {
    lying: Vec<Vec<Hull>>,
    kerf: Length,
    fits: Vec<Vec<bool>>,
    neighbours: Vec<Vec<usize>>,
    /// Groups of three and more that come from one tile, each in order.
    threes: Vec<Vec<usize>>,
    all_listed: bool,
    groups_of: Vec<Vec<usize>>,
    best: Vec<Vec<usize>>,
    /// What no sharing can beat, from points that pieces cover.
    covered: usize,
    branchings: usize,
    /// The least number of tiles that a branch left undone might have had.
    left_open: usize,
}

impl Sharer {
    fn new(lying: Vec<Vec<Hull>>, kerf: Length, covered: usize) -> Self {
        let n = lying.len();
        let mut fits = vec![vec![false; n]; n];
        let mut neighbours = vec![Vec::new(); n];
        for a in 0..n {
            for b in a + 1..n {
                if lying[b].iter().any(|other| lying[a][0].apart(other, kerf)) {
                    (fits[a][b], fits[b][a]) = (true, true);
                    neighbours[a].push(b);
                    neighbours[b].push(a);
                }
            }
        }
        let mut made = Self {
            lying,
            kerf,
            fits,
            neighbours,
            threes: Vec::new(),
            all_listed: true,
            groups_of: vec![Vec::new(); n],
            best: Vec::new(),
            covered,
            branchings: 0,
            left_open: usize::MAX,
        };
        let all = vec![true; n];
        made.best = made.paired(&all, made.matching(&all));
        if made.best.len() > covered {
            made.list_threes();
        } else {
            made.all_listed = false; // and need not be: nothing beats what is found
        }
        made
    }

    /// A matching of the greatest size among the pieces that are free.
    fn matching(&self, free: &[bool]) -> Vec<(usize, usize)> {
        let n = free.len();
        let mut graph: UnGraph<(), ()> = UnGraph::with_capacity(n, n * 4);
        for _ in 0..n {
            graph.add_node(());
        }
        for a in (0..n).filter(|&a| free[a]) {
            for &b in self.neighbours[a].iter().filter(|&&b| b > a && free[b]) {
                graph.add_edge(NodeIndex::new(a), NodeIndex::new(b), ());
            }
        }
        let mut found: Vec<(usize, usize)> = maximum_matching(&graph)
            .edges()
            .map(|(a, b)| (a.index().min(b.index()), a.index().max(b.index())))
            .collect();
        found.sort_unstable();
        found
    }

    /// Tiles of the free pieces when these are paired and the others are alone.
    fn paired(&self, free: &[bool], pairs: Vec<(usize, usize)>) -> Vec<Vec<usize>> {
        let mut alone = free.to_vec();
        for &(a, b) in &pairs {
            (alone[a], alone[b]) = (false, false);
        }
        let single = (0..free.len()).filter(|&i| alone[i]).map(|i| vec![i]);
        pairs.into_iter().map(|(a, b)| vec![a, b]).chain(single).collect()
    }

    fn one_tile(&self, members: &[usize]) -> bool {
        let hulls: Vec<&[Hull]> = members.iter().map(|&m| &self.lying[m][..]).collect();
        fit_one_tile(&hulls, self.kerf)
    }

    /// Lists the groups of three and more. Part of a group that comes apart comes apart too, so every group is
    /// reached by adding pieces in order.
    fn list_threes(&mut self) {
        let n = self.lying.len();
        let mut open: Vec<Vec<usize>> = Vec::new();
        for a in 0..n {
            open.extend(self.neighbours[a].iter().filter(|&&b| b > a).map(|&b| vec![a, b]));
        }
        while let Some(group) = open.pop() {
            let last = group[group.len() - 1];
            let more: Vec<usize> = self.neighbours[last]
                .iter()
                .copied()
                .filter(|&c| c > last && group.iter().all(|&m| self.fits[m][c]))
                .collect();
            if group.len() >= MOST_TO_A_TILE {
                // Larger groups are not tried, so that none exists must not be claimed.
                self.all_listed &= more.is_empty();
                continue;
            }
            for c in more {
                let larger: Vec<usize> = group.iter().copied().chain([c]).collect();
                if self.one_tile(&larger) {
                    if self.threes.len() >= MOST_GROUPS {
                        self.all_listed = false;
                        return;
                    }
                    open.push(larger.clone());
                    self.threes.push(larger);
                }
            }
        }
        self.threes.sort_by(|a, b| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
        for (g, group) in self.threes.iter().enumerate() {
            for &m in group {
                self.groups_of[m].push(g);
            }
        }
    }

    /// Joins the tiles found so far with each other as long as they fit: a good start, no more.
    fn merge(&mut self) {
        let mut tiles = self.best.clone();
        let mut a = 0;
        while a < tiles.len() {
            let fit = (a + 1..tiles.len()).find(|&b| {
                let all_fit = tiles[a].iter().all(|&x| tiles[b].iter().all(|&y| self.fits[x][y]));
                all_fit && self.one_tile(&[&tiles[a][..], &tiles[b][..]].concat())
            });
            match fit {
                Some(b) => {
                    let joined = tiles.remove(b);
                    tiles[a].extend(joined);
                }
                None => a += 1,
            }
        }
        self.best = tiles;
    }

    /// Branches on the groups of three and more; the least number of tiles that is then certain.
    fn branch_all(&mut self) -> usize {
        if !self.all_listed {
            return self.covered.min(self.best.len());
        }
        let n = self.lying.len();
        let mut open: Vec<bool> = self.groups_of.iter().map(|g| !g.is_empty()).collect();
        self.branch(&mut vec![true; n], &mut open, &mut Vec::new(), None);
        self.left_open.max(self.covered).min(self.best.len())
    }

    /// `free`: pieces in no chosen group; `open`: pieces that may still be; `known`: the greatest matching of the
    /// free pieces, where the caller has it.
    fn branch(
        &mut self,
        free: &mut Vec<bool>,
        open: &mut Vec<bool>,
        chosen: &mut Vec<usize>,
        known: Option<usize>,
    ) {
        if self.best.len() <= self.covered {
            return;
        }
        let matched = known.unwrap_or_else(|| {
            let pairs = self.matching(free);
            let count = pairs.len();
            let tiles = free.iter().filter(|f| **f).count() - count + chosen.len();
            if tiles < self.best.len() {
                self.best = self.paired(free, pairs);
                self.best.extend(chosen.iter().map(|&g| self.threes[g].clone()));
            }
            count
        });
        let usable = |g: usize| self.threes[g].iter().all(|&m| free[m] && open[m]);
        let mut further = 0.0;
        let mut next: Option<(usize, usize)> = None;
        for m in (0..open.len()).filter(|&m| open[m] && free[m]) {
            let groups: Vec<usize> = self.groups_of[m].iter().copied().filter(|&g| usable(g)).collect();
            let Some(&largest) = groups.first() else { continue };
            let size = self.threes[largest].len() as f64;
            further += (size - 2.0) / size;
            if next.is_none_or(|(count, _)| groups.len() < count) {
                next = Some((groups.len(), m));
            }
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most the pieces' number"
        )]
        let further = (further + 1e-6_f64).floor() as usize;
        let tiles = free.iter().filter(|f| **f).count() - matched + chosen.len();
        let bound = tiles.saturating_sub(further);
        let Some((_, piece)) = next.filter(|_| bound < self.best.len()) else { return };
        let pairs = (free.len() * free.len()).max(1);
        if self.branchings >= MOST_BRANCHINGS.min(MOST_PAIRS / pairs) {
            self.left_open = self.left_open.min(bound);
            return;
        }
        self.branchings += 1;
        let groups: Vec<usize> = self.groups_of[piece].iter().copied().filter(|&g| usable(g)).collect();
        for g in groups {
            for &m in &self.threes[g] {
                free[m] = false;
            }
            chosen.push(g);
            self.branch(free, open, chosen, None);
            chosen.pop();
            for &m in &self.threes[g] {
                free[m] = true;
            }
        }
        open[piece] = false;
        self.branch(free, open, chosen, Some(matched));
        open[piece] = true;
    }
}

pub(crate) fn number(count: usize, cut: &[usize], shared: &[Vec<usize>], least: usize) -> Sharing {
    let mut leader: Vec<usize> = (0..count).collect();
    for members in shared {
        let first = members.iter().map(|&m| cut[m]).min().unwrap_or(0);
        for &m in members {
            leader[cut[m]] = first;
        }
    }
    let mut number: Vec<Option<usize>> = vec![None; count];
    let mut tiles = 0;
    let tile_of = leader
        .iter()
        .map(|&l| {
            *number[l].get_or_insert_with(|| {
                tiles += 1;
                tiles - 1
            })
        })
        .collect();
    Sharing { tile_of, tiles, least }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::product::Offset;
    use drylay_geometry::{Point, Ring, Shape};

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
        let shape = Shape::simple(Ring::new(
            points.iter().map(|&(x, y)| Point { x: x * 1_000_000, y: y * 1_000_000 }).collect(),
        ));
        Piece {
            row: 1,
            place: 1,
            cut: Cut::Shape,
            shape: shape.clone(),
            on_tile: shape,
            length: Length::ZERO,
            width: Length::ZERO,
        }
    }
    fn strip(from: i64, to: i64) -> Piece {
        piece(&[(from, 0), (to, 0), (to, 300), (from, 300)])
    }
    fn tiles(pieces: &[Piece], interlock: bool) -> (usize, usize) {
        let s = share(pieces, &tile(interlock));
        (s.tiles, s.least)
    }

    /// Two points as far as that from two pieces, along both axes, must be nearer to each other than a kerf.
    #[test]
    fn points_near_two_pieces_are_less_than_a_kerf_apart() {
        for mm in [0.5, 1.0, 2.4, 3.2, 12.0] {
            let kerf = Length::from_mm_f64(mm).expect("a kerf");
            let apart = 2.0 * std::f64::consts::SQRT_2 * near(kerf) as f64 / kerf.nanometres() as f64;
            assert!(apart < 1.0 && apart > 0.98, "{mm}: {apart}");
        }
    }

    #[test]
    fn a_kerf_is_what_parts_two_ends() {
        assert_eq!(tiles(&[strip(0, 299), strip(301, 600)], true), (1, 1));
        assert_eq!(tiles(&[strip(0, 300), strip(301, 600)], true), (2, 2));
    }

    #[test]
    fn two_left_ends_share_only_where_a_tile_may_be_turned() {
        assert_eq!(tiles(&[strip(0, 200), strip(0, 250)], true), (2, 2));
        assert_eq!(tiles(&[strip(0, 200), strip(0, 250)], false), (1, 1));
    }

    #[test]
    fn greedy_would_take_three_tiles_where_matching_takes_two() {
        // 0–100 fits 110– and 400–; 0–300 fits only 400–.
        let pieces = [strip(0, 100), strip(0, 300), strip(400, 600), strip(110, 600)];
        assert_eq!(tiles(&pieces, true), (2, 2));
    }

    #[test]
    fn three_narrow_pieces_come_from_one_tile() {
        let pieces = [strip(0, 100), strip(200, 300), strip(400, 600)];
        assert_eq!(tiles(&pieces, true), (1, 1));
    }

    #[test]
    fn two_triangles_of_one_tile_come_apart_along_the_slant() {
        let low = piece(&[(0, 0), (590, 0), (0, 295)]);
        let high = piece(&[(600, 300), (600, 5), (10, 300)]);
        assert_eq!(tiles(&[low.clone(), high], true), (1, 1));
        // The two slants x + 2y = 590 and 598 are 8/√5 = 3.6 mm apart, those of 598 and 600 less than 1 mm.
        let nearer = piece(&[(0, 0), (598, 0), (0, 299)]);
        let rest = piece(&[(600, 300), (600, 0), (0, 300)]);
        assert_eq!(tiles(&[low, rest.clone()], true), (1, 1));
        assert_eq!(tiles(&[nearer, rest], true), (2, 2));
    }

    #[test]
    fn a_pinwheel_does_not_come_apart_by_cuts_right_across() {
        let pieces = [
            piece(&[(0, 0), (400, 0), (400, 90), (0, 90)]),
            piece(&[(410, 0), (600, 0), (600, 190), (410, 190)]),
            piece(&[(200, 200), (600, 200), (600, 300), (200, 300)]),
            piece(&[(0, 100), (190, 100), (190, 300), (0, 300)]),
        ];
        let shared = share(&pieces, &tile(true));
        assert!(shared.tiles >= 2, "{shared:?}");
        assert!(shared.least <= shared.tiles);
    }

    #[test]
    fn tiles_are_numbered_by_their_first_pieces() {
        let s = share(&[strip(0, 100), strip(0, 300), strip(400, 600), strip(110, 600)], &tile(true));
        assert_eq!(s.tile_of[0], 0);
        assert_eq!(s.tile_of[1], 1);
    }
}
