//! Cutting stock against published instances with known optima, brute force and its own bound.

#[path = "lists/mod.rs"]
mod lists;

use drylay_geometry::Length;
use drylay_plan::takeoff::stock::{CutPlan, StockError, cut, cut_steps};
use lists::PUBLISHED;
use proptest::prelude::*;

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

#[test]
fn published_lists_are_cut_from_the_fewest_bars_and_that_is_proven() {
    for list in PUBLISHED {
        let pieces = list.pieces();
        let plan = cut_steps(list.bar, &pieces).expect(list.name);
        assert_eq!(
            (checked(list.bar, &pieces, &plan), plan.bound),
            (list.fewest, list.fewest),
            "{}",
            list.name
        );
    }
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
