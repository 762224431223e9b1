//! Cutting stock against published instances with known optima, brute force and its own bound.

use drylay_geometry::Length;
use drylay_plan::takeoff::stock::{CutPlan, StockError, cut, cut_steps};
use proptest::prelude::*;
use std::time::Instant;

/// Every piece is cut as often as asked and every bar holds what is cut from it; how many bars.
fn checked(bar: u32, pieces: &[(u32, usize)], plan: &CutPlan) -> usize {
    let mut cut = std::collections::BTreeMap::new();
    for bars in &plan.bars {
        let used: u32 = bars.pieces.iter().map(|&p| pieces[p].0).sum();
        assert!(used <= bar, "{used} of a bar of {bar}");
        for &p in &bars.pieces {
            *cut.entry(pieces[p].0).or_insert(0) += bars.count;
        }
    }
    let mut asked = std::collections::BTreeMap::new();
    for &(length, n) in pieces.iter().filter(|p| p.1 > 0) {
        *asked.entry(length).or_insert(0) += n;
    }
    assert_eq!(cut, asked);
    assert!(plan.bound <= plan.count());
    plan.count()
}

/// Items as lists write them: a length, and how often where it is more than once.
fn items(text: &str) -> Vec<(u32, usize)> {
    let item = |word: &str| {
        let (length, count) = word.split_once('x').unwrap_or((word, "1"));
        (length.parse().expect("a length"), count.parse().expect("a count"))
    };
    text.split_whitespace().map(item).collect()
}

/// The optimum, proven, in the time that was set for it.
fn optimum(name: &str, bar: u32, pieces: &[(u32, usize)], known: usize) {
    let start = Instant::now();
    let plan = cut_steps(bar, pieces).expect(name);
    let took = start.elapsed();
    assert_eq!((checked(bar, pieces, &plan), plan.bound), (known, known), "{name}");
    assert!(took.as_secs_f64() < 2.0, "{name} took {took:?}");
}

/// Chvátal, *Linear Programming* (1983), ch. 13: bars of 100; the LP is 452.25.
#[test]
fn the_textbook_instance() {
    optimum("Chvátal ch. 13", 100, &[(45, 97), (36, 610), (31, 395), (14, 211)], 453);
}

/// The encyclopaedia's example of 13 widths from rolls of 5600 (Wikipedia, *Cutting stock problem*): 73 rolls.
#[test]
fn the_paper_mill() {
    let widths = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    optimum("paper mill", 5600, &widths, 73);
}

/// Falkenauer (1996), u120_00 of the BPPLIB, optimum 48; first fit takes 49.
#[test]
fn falkenauer_uniform() {
    let items = items(
        "98x3 96x2 94 93x2 92 91x2 90 87 86 85x2 84x5 83x2 82x2 81 80x3 79x2 78x4 76 74x2 73x4 72 71 \
         70x3 69x3 67 66 64 62x2 60x2 59 58x3 57x4 55x3 50 49x3 47 46x2 45x2 44x2 43x4 42x5 41x3 39x2 \
         38x3 37 36x3 35 33x3 32x2 30x3 29 28 27x2 26 25x2 24 23x2 20",
    );
    optimum("u120_00", 150, &items, 48);
}

/// Falkenauer (1996), t60_00 of the BPPLIB: triplets that fill 20 bars without any waste; first fit takes 23.
#[test]
fn falkenauer_triplets() {
    let items = items(
        "495 474 473 472 466 450 445 444 439 430 419 414 410 395 372 370 366x3 363 361 357 355 351 \
         350x2 347 320 315 307 303 299 298x2 292 288 287 283 275x2 274 273x2 272x2 271 269x2 268 263 \
         262 261 259 258 255 254 252x3 251",
    );
    optimum("t60_00", 1000, &items, 20);
}

/// Scholl, Klein and Jürgens (1997), instances of the BPPLIB; first fit takes one more of each.
#[test]
fn scholl() {
    let c = items(
        "92 89 87 84 82x2 81 75 73 71 67x2 63 59 57 56 52 49 48 47 46 41 39 38 36 35 34x2 30 29 26 21 \
         20 19 18 15x2 13 11 10x3 9 8x2 7 6x3 3",
    );
    optimum("N1C1W1_C", 100, &c, 20);
    let n = items(
        "99 98 95x3 94x2 91 88 87 86 85 76 74 73 71 68 60 55 54 51 45 42 40 39x2 36 34 33 32x2 31x2 \
         30 29 26x2 23 21x3 19 18x2 16 15 5x2 4 1",
    );
    optimum("N1C1W1_N", 100, &n, 25);
    let h = items(
        "99 98 93x2 91 88 85 82 80 78 76 70 68 67 66 65 61x2 57 56x2 53 52x3 51 48 47 46 44 43x3 41x3 \
         37x2 36x2 35 33x2 32 31 27 26 22x2 21",
    );
    optimum("N1C2W2_H", 120, &h, 23);
}

/// Two 1 m pieces and a kerf do not come out of 2 m; out of 2 m and a kerf they do.
#[test]
fn a_kerf_is_lost_between_pieces_and_not_at_the_end() {
    let (mm, kerf) = (Length::from_mm(1), Length::from_mm(3));
    let pieces = [(Length::from_mm(1000), 2)];
    let bars = |bar| cut(Length::from_mm(bar), kerf, mm, &pieces).expect("a plan").count();
    assert_eq!((bars(2000), bars(2002), bars(2003)), (2, 2, 1));
}

#[test]
fn what_does_not_fit_is_told() {
    assert_eq!(cut_steps(100, &[(20, 1), (101, 2)]), Err(StockError::Piece(1)));
    assert_eq!(cut_steps(100, &[(20, 1), (0, 2)]), Err(StockError::Piece(1)));
    assert_eq!(cut_steps(100, &[(200, 0)]).map(|p| p.count()), Ok(0), "none of it is needed");
    assert_eq!(cut_steps(0, &[]), Err(StockError::Bar));
    assert_eq!(cut_steps(u32::MAX, &[(1, 1)]), Err(StockError::Bar));
    assert_eq!(cut_steps(10, &[(1, usize::MAX), (2, 5)]), Err(StockError::TooMany));
}

/// The fewest bars by trying everything: the next piece goes into every bar that holds it, or a new one.
fn brute(bar: u32, pieces: &mut Vec<u32>, rests: &mut Vec<u32>, best: &mut usize) {
    if rests.len() >= *best {
        return;
    }
    let Some(piece) = pieces.pop() else {
        *best = rests.len();
        return;
    };
    for i in 0..rests.len() {
        if rests[i] >= piece && !rests[..i].contains(&rests[i]) {
            rests[i] -= piece;
            brute(bar, pieces, rests, best);
            rests[i] += piece;
        }
    }
    rests.push(bar - piece);
    brute(bar, pieces, rests, best);
    rests.pop();
    pieces.push(piece);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn small_orders_are_cut_as_brute_force_cuts_them(bar in 20_u32..60, lengths in prop::collection::vec(4_u32..60, 1..10)) {
        let lengths: Vec<u32> = lengths.into_iter().map(|l| l.min(bar)).collect();
        let pieces: Vec<(u32, usize)> = lengths.iter().map(|&l| (l, 1)).collect();
        let plan = cut_steps(bar, &pieces).expect("a plan");
        let mut best = usize::MAX;
        brute(bar, &mut lengths.clone(), &mut Vec::new(), &mut best);
        prop_assert_eq!(checked(bar, &pieces, &plan), best);
    }
}
