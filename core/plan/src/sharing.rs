//! Which pieces are cut from one tile.
//!
//! Pieces of one tile must come apart by straight cuts right across, each a kerf wide: so their convex hulls lie
//! at least a kerf apart. Pieces stay at their own place on the tile; a product without interlock may be turned
//! by half a turn.
//!
//! Two to a tile is a matching, and a matching of the greatest size is found exactly. Where three and more fit,
//! tiles are joined further as long as that helps, and the bound says how far from the least number that may be.

use crate::piece::{Cut, Piece};
use crate::product::Product;
use drylay_geometry::{Length, Point};
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

/// A convex hull on the tile, anticlockwise or clockwise alike, with its bounds.
#[derive(Clone, Debug)]
struct Hull {
    points: Vec<Point>,
    lo: Point,
    hi: Point,
}

impl Hull {
    fn of(points: &[Point]) -> Self {
        let hull = convex_hull(points.to_vec());
        let bound = |f: fn(i64, i64) -> i64, start: i64| {
            hull.iter().fold(Point { x: start, y: start }, |m, p| Point { x: f(m.x, p.x), y: f(m.y, p.y) })
        };
        let (lo, hi) = (bound(i64::min, i64::MAX), bound(i64::max, i64::MIN));
        Self { points: hull, lo, hi }
    }

    fn turned(&self, product: &Product) -> Self {
        let (l, w) = (product.length.nanometres(), product.width.nanometres());
        let turn = |p: Point| Point { x: l - p.x, y: w - p.y };
        let points = self.points.iter().map(|&p| turn(p)).collect();
        Self { points, lo: turn(self.hi), hi: turn(self.lo) }
    }

    /// Whether a straight cut a kerf wide parts the two.
    fn apart(&self, other: &Self, kerf: Length) -> bool {
        let k = kerf.nanometres();
        let gap = |a_hi: i64, b_lo: i64| b_lo - a_hi >= k;
        gap(self.hi.x, other.lo.x)
            || gap(other.hi.x, self.lo.x)
            || gap(self.hi.y, other.lo.y)
            || gap(other.hi.y, self.lo.y)
            || self.apart_askew(other, kerf)
    }

    /// The same for cuts askew: the distance of the hulls, in tenths of a micrometre so that its square fits.
    fn apart_askew(&self, other: &Self, kerf: Length) -> bool {
        if self.points.len() == 4 && other.points.len() == 4 && self.is_box() && other.is_box() {
            // Two boxes that no axis parts are at most a corner's distance apart, less than either axis says.
            return false;
        }
        let scaled = |h: &Self| -> Vec<(i128, i128)> {
            h.points.iter().map(|p| (i128::from(p.x / 100), i128::from(p.y / 100))).collect()
        };
        let (a, b) = (scaled(self), scaled(other));
        if overlap(&a, &b) {
            return false;
        }
        let kerf = i128::from(kerf.nanometres() / 100);
        points_clear_of_edges(&a, &b, kerf) && points_clear_of_edges(&b, &a, kerf)
    }

    fn is_box(&self) -> bool {
        self.points
            .iter()
            .all(|p| (p.x == self.lo.x || p.x == self.hi.x) && (p.y == self.lo.y || p.y == self.hi.y))
    }
}

type Scaled = (i128, i128);

fn cross(o: Scaled, a: Scaled, b: Scaled) -> i128 {
    (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0)
}

/// Whether two convex polygons overlap: no edge of either has the whole other on its outer side.
fn overlap(a: &[Scaled], b: &[Scaled]) -> bool {
    let parted_by = |p: &[Scaled], q: &[Scaled]| {
        (0..p.len()).any(|i| q.iter().all(|&r| cross(p[i], p[(i + 1) % p.len()], r) <= 0))
    };
    !parted_by(a, b) && !parted_by(b, a)
}

/// Whether every point is at least `kerf` from every edge.
fn points_clear_of_edges(points: &[Scaled], polygon: &[Scaled], kerf: i128) -> bool {
    points.iter().all(|&p| {
        (0..polygon.len()).all(|i| {
            let (a, b) = (polygon[i], polygon[(i + 1) % polygon.len()]);
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let len2 = dx * dx + dy * dy;
            let along = (p.0 - a.0) * dx + (p.1 - a.1) * dy;
            if along <= 0 || along >= len2 {
                let end = if along <= 0 { a } else { b };
                let (ex, ey) = (p.0 - end.0, p.1 - end.1);
                ex * ex + ey * ey >= kerf * kerf
            } else {
                let c = cross(a, b, p);
                c * c >= kerf * kerf * len2
            }
        })
    })
}

/// The convex hull (monotone chain), anticlockwise in the mathematical sense, without points on its edges.
fn convex_hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_unstable();
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = chain[..] {
                if (b - a).cross(p - b) > 0 {
                    break;
                }
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut points.iter().copied());
    hull.extend(half(&mut points.iter().rev().copied()));
    hull
}

/// Which way round each piece of a tile lies: only products without interlock have a second way.
#[derive(Clone, Debug)]
struct Group {
    members: Vec<usize>,
    hulls: Vec<Hull>,
}

impl Group {
    /// The two as one tile, if they come apart. With half-turns the other tile may be turned as a whole.
    fn joined(&self, other: &Self, product: &Product) -> Option<Self> {
        let fits = |hulls: &[Hull]| self.hulls.iter().all(|a| hulls.iter().all(|b| a.apart(b, product.kerf)));
        let hulls = if fits(&other.hulls) {
            other.hulls.clone()
        } else if product.interlock {
            return None;
        } else {
            let turned: Vec<Hull> = other.hulls.iter().map(|h| h.turned(product)).collect();
            fits(&turned).then_some(turned)?
        };
        let all: Vec<Hull> = self.hulls.iter().cloned().chain(hulls).collect();
        comes_apart(&all, product.kerf).then(|| Self {
            members: self.members.iter().chain(&other.members).copied().collect(),
            hulls: all,
        })
    }
}

/// Whether cuts right across, one after another, part all of these. Two always do if they are apart; of more,
/// some cut must leave whole pieces on both sides.
fn comes_apart(hulls: &[Hull], kerf: Length) -> bool {
    if hulls.len() <= 2 {
        return true;
    }
    let k = kerf.nanometres();
    let part = |low: &dyn Fn(&Hull) -> i64, high: &dyn Fn(&Hull) -> i64| {
        hulls.iter().map(high).any(|at| {
            let (below, above): (Vec<&Hull>, Vec<&Hull>) = hulls.iter().partition(|h| high(h) <= at);
            let clear = above.iter().all(|h| low(h) - at >= k);
            let owned = |side: Vec<&Hull>| side.into_iter().cloned().collect::<Vec<_>>();
            clear && !above.is_empty() && comes_apart(&owned(below), kerf) && comes_apart(&owned(above), kerf)
        })
    };
    part(&|h| h.lo.x, &|h| h.hi.x) || part(&|h| h.lo.y, &|h| h.hi.y)
}

/// Shares tiles among pieces.
pub fn share(pieces: &[Piece], product: &Product) -> Sharing {
    let cut: Vec<usize> = (0..pieces.len()).filter(|&i| pieces[i].cut != Cut::Whole).collect();
    let hulls: Vec<Hull> = cut.iter().map(|&i| Hull::of(&pieces[i].on_tile.outer.points)).collect();
    let groups: Vec<Group> =
        hulls.iter().enumerate().map(|(i, h)| Group { members: vec![i], hulls: vec![h.clone()] }).collect();
    let fits = |a: usize, b: usize| groups[a].joined(&groups[b], product).is_some();
    let pairs: Vec<(usize, usize)> = (0..cut.len())
        .flat_map(|a| (a + 1..cut.len()).map(move |b| (a, b)))
        .filter(|&(a, b)| fits(a, b))
        .collect();
    let matched = matching(cut.len(), &pairs);
    let least = pieces.len() - cut.len() + least_tiles(cut.len(), &pairs, matched.len());
    let shared = join_further(groups, &matched, product);
    number(pieces.len(), &cut, &shared, least)
}

/// A matching of the greatest size.
fn matching(count: usize, pairs: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let mut graph: UnGraph<(), ()> = UnGraph::with_capacity(count, pairs.len());
    for _ in 0..count {
        graph.add_node(());
    }
    for &(a, b) in pairs {
        graph.add_edge(NodeIndex::new(a), NodeIndex::new(b), ());
    }
    let mut found: Vec<(usize, usize)> = maximum_matching(&graph)
        .edges()
        .map(|(a, b)| (a.index().min(b.index()), a.index().max(b.index())))
        .collect();
    found.sort_unstable();
    found
}

/// The fewest tiles that so many cut pieces need. Where no three fit one another, a tile holds at most two and
/// the greatest matching is the answer. Otherwise pieces that fit none of each other need a tile each.
fn least_tiles(count: usize, pairs: &[(usize, usize)], matched: usize) -> usize {
    let mut fits = vec![vec![false; count]; count];
    for &(a, b) in pairs {
        (fits[a][b], fits[b][a]) = (true, true);
    }
    let three_fit = pairs.iter().any(|&(a, b)| (b + 1..count).any(|c| fits[a][c] && fits[b][c]));
    if !three_fit {
        return count - matched;
    }
    // Greedy: the piece that fits the fewest others first.
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_key(|&i| (fits[i].iter().filter(|f| **f).count(), i));
    let mut alone: Vec<usize> = Vec::new();
    for i in order {
        if alone.iter().all(|&j| !fits[i][j]) {
            alone.push(i);
        }
    }
    alone.len()
}

/// Joins matched pairs, then whole tiles with each other as long as they fit.
fn join_further(groups: Vec<Group>, matched: &[(usize, usize)], product: &Product) -> Vec<Vec<usize>> {
    let mut partner: Vec<Option<usize>> = vec![None; groups.len()];
    for &(a, b) in matched {
        partner[a] = Some(b);
    }
    let taken: Vec<bool> = (0..groups.len()).map(|i| matched.iter().any(|&(_, b)| b == i)).collect();
    let mut tiles: Vec<Group> = Vec::new();
    for (i, group) in groups.iter().enumerate().filter(|(i, _)| !taken[*i]) {
        let pair = partner[i].and_then(|b| group.joined(&groups[b], product));
        tiles.push(pair.unwrap_or_else(|| group.clone()));
    }
    let mut a = 0;
    while a < tiles.len() {
        let fit = (a + 1..tiles.len()).find_map(|b| Some((b, tiles[a].joined(&tiles[b], product)?)));
        match fit {
            Some((b, joined)) => {
                tiles[a] = joined;
                tiles.remove(b);
            }
            None => a += 1,
        }
    }
    tiles.into_iter().map(|g| g.members).collect()
}

fn number(count: usize, cut: &[usize], shared: &[Vec<usize>], least: usize) -> Sharing {
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
    use drylay_geometry::{Ring, Shape};

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
