//! Money as it is printed: roundings, sums, hours and cases, worked by hand.

use drylay_plan::price::{
    Labour, Pace, Spread, Terms, TooLarge, amount, cases, quantity, rounded, sum, totals,
};
use proptest::prelude::*;
use rust_decimal::Decimal;

fn d(text: &str) -> Decimal {
    text.parse().expect("a decimal")
}

#[test]
fn halves_go_away_from_nought() {
    for (exact, known) in [("1.005", "1.01"), ("-1.005", "-1.01"), ("1.0049999", "1.00"), ("2.675", "2.68")] {
        assert_eq!(rounded(d(exact)), d(known), "{exact}");
    }
    // 2.675 and 1.005 are less than they look in binary; as a person wrote them they are halves.
    assert_eq!((quantity(2.675), quantity(1.005)), (Some(d("2.68")), Some(d("1.01"))));
    assert_eq!(quantity(0.1 + 0.2), Some(d("0.3")));
    assert_eq!((quantity(f64::NAN), quantity(f64::INFINITY), quantity(1e300)), (None, None, None));
}

/// 3 × 33.335 is 100.005: a line is rounded once, so three lines of one are 100.02 and one line of three is 100.01.
#[test]
fn a_line_is_rounded_once() {
    assert_eq!(amount(d("3"), d("33.335")), Ok(d("100.01")));
    assert_eq!(sum(vec![amount(d("1"), d("33.335")).expect("money"); 3]), Ok(d("100.02")));
}

#[test]
fn what_is_printed_adds_up() {
    let terms = Terms { discount: d("2.5"), tax: d("8.25"), deposit: d("40") };
    let found = totals([d("1234.56"), d("78.90"), d("0.05")], terms).expect("money");
    assert_eq!(found.lines, d("1313.51"));
    assert_eq!(found.discount, d("32.84"), "32.83775");
    assert_eq!(found.net, d("1280.67"));
    assert_eq!(found.tax, d("105.66"), "105.655275");
    assert_eq!(found.total, d("1386.33"));
    assert_eq!((found.deposit, found.rest), (d("554.53"), d("831.80")), "554.532");
}

#[test]
fn hours_come_from_the_pace_and_cost_what_an_hour_costs() {
    let pace = Pace { per_hour: d("2.4"), hourly: d("62.50") };
    let lay = Labour::of(d("31.27"), pace).expect("labour");
    assert_eq!((lay.hours, lay.amount), (d("13.03"), d("814.38")), "13.029…, 814.375");
    assert_eq!(Labour::of(d("1"), Pace { per_hour: d("0"), ..pace }), Err(TooLarge));
}

/// Hidden boards at 85 each, one likely and four if it is bad; bags at 52, two and nine, which reading would settle.
#[test]
fn reading_settles_its_share_of_the_spread() {
    let spreads = [
        Spread { price: d("85"), likely: d("1"), bad: d("4"), reading_settles: false },
        Spread { price: d("52"), likely: d("2"), bad: d("9"), reading_settles: true },
    ];
    let found = cases(&[d("1000")], &spreads, Terms { tax: d("10"), ..Terms::default() }).expect("money");
    assert_eq!((found.likely.total, found.bad.total), (d("1307.90"), d("1988.80")));
    assert_eq!((found.reading.spread, found.reading.settles), (d("680.90"), d("400.40")));
}

#[test]
fn what_is_too_large_is_told_and_nothing_overflows() {
    let huge = Decimal::MAX;
    assert_eq!(amount(huge, huge), Err(TooLarge));
    assert_eq!(amount(d("1000000000000"), d("1.01")), Err(TooLarge));
    assert_eq!(amount(d("1000000000000"), d("1")), Ok(d("1000000000000")));
    assert_eq!(sum([huge, huge]), Err(TooLarge));
    assert_eq!(totals([d("999999999999")], Terms { tax: d("50"), ..Terms::default() }), Err(TooLarge));
}

proptest! {
    /// Whatever the terms, the parts of a quote add up to the cent.
    #[test]
    fn parts_add_up_to_the_total(
        cents in prop::collection::vec(0_i64..50_000_000, 0..30),
        discount in 0_i64..10_000, tax in 0_i64..3_000, deposit in 0_i64..10_000,
    ) {
        let hundredths = |n: i64| Decimal::new(n, 2);
        let terms = Terms { discount: hundredths(discount), tax: hundredths(tax), deposit: hundredths(deposit) };
        let found = totals(cents.iter().map(|&c| hundredths(c)), terms).expect("money");
        prop_assert_eq!(found.lines, hundredths(cents.iter().sum()));
        prop_assert_eq!(found.lines - found.discount + found.tax, found.total);
        prop_assert_eq!(found.deposit + found.rest, found.total);
        prop_assert!((found.discount * Decimal::ONE_HUNDRED - found.lines * terms.discount).abs() <= Decimal::new(50, 2));
    }
}
