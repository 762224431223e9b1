//! From the linear programme to whole bars: dive along its patterns, come back where that leads nowhere.

use super::columns::{Need, Pattern, dearest};
use super::simplex::{Relaxed, relax};

/// How many linear programmes are solved in looking for a plan of so many bars.
const MOST_NODES: usize = 600;
/// How many patterns are tried at one place.
const MOST_TURNS: usize = 4;
/// Prices are rounded down to this part of a bar.
const FINE: f64 = 1e9;

/// Patterns that meet the need with as few bars as were found, and how many no plan can do without.
pub(super) fn solve(need: &Need) -> (Vec<Pattern>, usize) {
    if need.kinds() == 0 {
        return (Vec::new(), 0);
    }
    let mut best = shorter(need.first_fit(&need.counts), need.best_fit(&need.counts));
    let mut pool = best.clone();
    let root = relax(need, &need.counts, &mut pool);
    let bound = bound(need, &root.prices);
    for target in bound..best.len() {
        let mut dive = Dive { need, pool: &mut pool, nodes: 0 };
        let mut cut = Vec::new();
        if dive.down(&need.counts, target, &mut cut) {
            best = cut;
            break;
        }
    }
    (best, bound)
}

fn shorter(a: Vec<Pattern>, b: Vec<Pattern>) -> Vec<Pattern> {
    if b.len() < a.len() { b } else { a }
}

/// Bars that no plan can do without: at integer prices no bar holds more than the dearest pattern is worth.
fn bound(need: &Need, prices: &[f64]) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "prices are parts of a bar")]
    let whole: Vec<u64> = prices.iter().map(|p| (p.clamp(0.0, 1.0) * FINE).floor() as u64).collect();
    let by_length = need.lengths.iter().map(|&l| u64::from(l)).collect::<Vec<_>>();
    let of = |prices: &[u64], most: u64| {
        let all: u64 = prices.iter().zip(&need.counts).map(|(p, &n)| p * u64::from(n)).sum();
        if most == 0 { 0 } else { all.div_ceil(most) }
    };
    let by_prices = of(&whole, dearest(need, &need.counts, &whole).1);
    usize::try_from(by_prices.max(of(&by_length, u64::from(need.bar)))).unwrap_or(usize::MAX)
}

struct Dive<'a> {
    need: &'a Need,
    pool: &'a mut Vec<Pattern>,
    nodes: usize,
}

impl Dive<'_> {
    /// Meets `counts` with at most `bars` more bars; adds them to `cut` if it can.
    fn down(&mut self, counts: &[u32], bars: usize, cut: &mut Vec<Pattern>) -> bool {
        if counts.iter().all(|&n| n == 0) {
            return true;
        }
        let quick = shorter(self.need.first_fit(counts), self.need.best_fit(counts));
        if quick.len() <= bars {
            cut.extend(quick);
            return true;
        }
        if self.nodes >= MOST_NODES || !self.room_for(counts, bars) {
            return false;
        }
        self.nodes += 1;
        let relaxed = relax(self.need, counts, self.pool);
        #[expect(clippy::cast_precision_loss, reason = "bars are few")]
        let too_many = relaxed.bars > bars as f64 + 1e-6;
        if too_many {
            return false;
        }
        let (rest, whole) = self.whole_parts(counts, &relaxed);
        if !whole.is_empty() && whole.len() <= bars {
            let mark = cut.len();
            let left = bars - whole.len();
            cut.extend(whole);
            if self.down(&rest, left, cut) {
                return true;
            }
            cut.truncate(mark);
        }
        self.one_by_one(counts, bars, cut, relaxed)
    }

    /// Whether the lengths alone leave room.
    fn room_for(&self, counts: &[u32], bars: usize) -> bool {
        let all: u64 =
            counts.iter().zip(&self.need.lengths).map(|(&n, &l)| u64::from(n) * u64::from(l)).sum();
        all <= bars as u64 * u64::from(self.need.bar)
    }

    /// Patterns that are cut at least once, as often as they are cut in whole bars.
    fn whole_parts(&self, counts: &[u32], relaxed: &Relaxed) -> (Vec<u32>, Vec<Pattern>) {
        let (mut rest, mut whole) = (counts.to_vec(), Vec::new());
        for (pattern, x) in &relaxed.cuts {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most the pieces")]
            let times = (x + 1e-6).floor().max(0.0) as usize;
            for _ in 0..times {
                if pattern.iter().zip(&rest).all(|(n, left)| n <= left) {
                    rest.iter_mut().zip(pattern).for_each(|(left, n)| *left -= n);
                    whole.push(pattern.clone());
                }
            }
        }
        (rest, whole)
    }

    /// Cuts one bar by each of the most promising patterns in turn and goes on from there.
    fn one_by_one(&mut self, counts: &[u32], bars: usize, cut: &mut Vec<Pattern>, relaxed: Relaxed) -> bool {
        if bars == 0 {
            return false;
        }
        let mut cuts = relaxed.cuts;
        let part = |x: f64| x - x.floor();
        let used = |p: &Pattern| self.need.used(p);
        cuts.sort_by(|a, b| {
            part(b.1).total_cmp(&part(a.1)).then(used(&b.0).cmp(&used(&a.0))).then(b.0.cmp(&a.0))
        });
        for (pattern, _) in cuts.into_iter().take(MOST_TURNS) {
            if pattern.iter().zip(counts).any(|(n, left)| n > left) {
                continue;
            }
            let rest: Vec<u32> = counts.iter().zip(&pattern).map(|(left, n)| left - n).collect();
            let mark = cut.len();
            cut.push(pattern);
            if self.down(&rest, bars - 1, cut) {
                return true;
            }
            cut.truncate(mark);
        }
        false
    }
}
