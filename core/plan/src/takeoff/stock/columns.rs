//! What is needed, cutting patterns, and the best pattern at given prices.

/// A cutting pattern: how often each kind is cut from one bar.
pub(super) type Pattern = Vec<u32>;

/// Kinds of piece by falling length, each once, with how many are still needed.
#[derive(Clone, Debug)]
pub(super) struct Need {
    pub(super) bar: u32,
    pub(super) lengths: Vec<u32>,
    pub(super) counts: Vec<u32>,
    /// For each kind, indices of the pieces that were asked for, one for each that is needed.
    asked: Vec<Vec<usize>>,
}

impl Need {
    pub(super) fn of(bar: u32, pieces: &[(u32, usize)]) -> Self {
        let mut sorted: Vec<(u32, usize, usize)> =
            pieces.iter().enumerate().filter(|(_, p)| p.1 > 0).map(|(i, &(l, n))| (l, i, n)).collect();
        sorted.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut need = Self { bar, lengths: Vec::new(), counts: Vec::new(), asked: Vec::new() };
        for (length, index, count) in sorted {
            if need.lengths.last() != Some(&length) {
                need.lengths.push(length);
                need.counts.push(0);
                need.asked.push(Vec::new());
            }
            let n = u32::try_from(count).unwrap_or(u32::MAX);
            need.counts.last_mut().into_iter().for_each(|c| *c += n);
            need.asked.last_mut().into_iter().for_each(|a| a.push(index));
        }
        need
    }

    pub(super) fn kinds(&self) -> usize {
        self.lengths.len()
    }

    /// The pieces of a pattern by what was asked for. Pieces of one length are one kind and stand for each other: the
    /// first that was asked for names them.
    pub(super) fn pieces_of(&self, pattern: &Pattern) -> Vec<usize> {
        let named = pattern.iter().zip(&self.asked);
        named.flat_map(|(&n, asked)| asked.first().into_iter().flat_map(move |&i| repeat(i, n))).collect()
    }

    /// What a bar is used up by.
    pub(super) fn used(&self, pattern: &Pattern) -> u32 {
        pattern.iter().zip(&self.lengths).map(|(n, l)| n * l).sum()
    }

    /// Bars filled first fit, the longest first: patterns that meet the need.
    pub(super) fn first_fit(&self, counts: &[u32]) -> Vec<Pattern> {
        self.greedy(counts, |rests, length| rests.iter().position(|&rest| rest >= length))
    }

    /// Bars filled best fit, the longest first.
    pub(super) fn best_fit(&self, counts: &[u32]) -> Vec<Pattern> {
        self.greedy(counts, |rests, length| {
            let fits = rests.iter().enumerate().filter(|(_, rest)| **rest >= length);
            fits.min_by_key(|(_, rest)| **rest).map(|(i, _)| i)
        })
    }

    fn greedy(&self, counts: &[u32], choose: impl Fn(&[u32], u32) -> Option<usize>) -> Vec<Pattern> {
        let (mut bars, mut rests): (Vec<Pattern>, Vec<u32>) = (Vec::new(), Vec::new());
        for (kind, &length) in self.lengths.iter().enumerate() {
            for _ in 0..counts[kind] {
                let at = choose(&rests, length).unwrap_or_else(|| {
                    bars.push(vec![0; self.kinds()]);
                    rests.push(self.bar);
                    bars.len() - 1
                });
                bars[at][kind] += 1;
                rests[at] -= length;
            }
        }
        bars
    }
}

fn repeat(i: usize, n: u32) -> impl Iterator<Item = usize> {
    (0..n).map(move |_| i)
}

/// Prices of kinds: worth that can be added and compared.
pub(super) trait Worth: Copy + PartialOrd + std::ops::Add<Output = Self> {
    const NOTHING: Self;
}
impl Worth for f64 {
    const NOTHING: Self = 0.0;
}
impl Worth for u64 {
    const NOTHING: Self = 0;
}

/// The pattern worth most at these prices that cuts no kind more often than `counts` says, and its worth: dynamic
/// programming over the bar's steps.
pub(super) fn dearest<W: Worth>(need: &Need, counts: &[u32], prices: &[W]) -> (Pattern, W) {
    let bar = need.bar as usize;
    let mut best = vec![W::NOTHING; bar + 1];
    let mut taken: Vec<(usize, Vec<u16>)> = Vec::new();
    for kind in 0..need.kinds() {
        let length = need.lengths[kind] as usize;
        let most = (counts[kind] as usize).min(bar / length).min(usize::from(u16::MAX));
        let worthless = prices[kind].partial_cmp(&W::NOTHING) != Some(std::cmp::Ordering::Greater);
        if most == 0 || worthless {
            continue;
        }
        taken.push((kind, extend(&mut best, length, most, prices[kind])));
    }
    let mut pattern = vec![0; need.kinds()];
    let mut at = bar;
    for (kind, take) in taken.iter().rev() {
        let n = take[at];
        pattern[*kind] = u32::from(n);
        at -= usize::from(n) * need.lengths[*kind] as usize;
    }
    (pattern, best[bar])
}

/// Adds a kind to the best worth by steps; how many of it are taken at each.
fn extend<W: Worth>(best: &mut [W], length: usize, most: usize, price: W) -> Vec<u16> {
    let mut take = vec![0_u16; best.len()];
    for at in (length..best.len()).rev() {
        let (mut worth, mut sum) = (best[at], W::NOTHING);
        for n in 1..=most.min(at / length) {
            sum = sum + price;
            let with = best[at - n * length] + sum;
            if with > worth {
                worth = with;
                take[at] = u16::try_from(n).unwrap_or(u16::MAX);
            }
        }
        best[at] = worth;
    }
    take
}
