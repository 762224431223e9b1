//! Published flatness tolerances to choose from, with their source and edition.

use super::verdict::Tolerance;

/// A published tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Published {
    /// A short name for programs.
    pub id: &'static str,
    /// Where it stands, with the edition as far as known.
    pub source: &'static str,
    /// What is asked, all together.
    pub tolerances: Vec<Tolerance>,
}

const INCH: f64 = 25.4;

/// DIN 18202, table 3, by row: greatest gap in mm at 0.1, 1, 4, 10 and 15 m.
const DIN_SPANS: [f64; 5] = [0.1, 1.0, 4.0, 10.0, 15.0];
const DIN_ROW_3: [f64; 5] = [2.0, 4.0, 10.0, 12.0, 15.0];
const DIN_ROW_4: [f64; 5] = [1.0, 3.0, 9.0, 12.0, 15.0];

/// The gap of DIN 18202 for a span in m: straight between the printed spans, rounded to whole mm; `None` outside
/// 0.1 to 15 m or for another row than 3 and 4.
pub fn din_gap(row: u8, span: f64) -> Option<f64> {
    let gaps = match row {
        3 => DIN_ROW_3,
        4 => DIN_ROW_4,
        _ => return None,
    };
    let k = (0..4).find(|&k| span >= DIN_SPANS[k] && span <= DIN_SPANS[k + 1])?;
    let share = (span - DIN_SPANS[k]) / (DIN_SPANS[k + 1] - DIN_SPANS[k]);
    Some((gaps[k] + share * (gaps[k + 1] - gaps[k])).round())
}

/// What may be chosen.
pub fn all() -> Vec<Published> {
    let both = |gap: f64, span: f64| Tolerance { gap, span, humps: true };
    let dips = |gap: f64, span: f64| Tolerance { gap, span, humps: false };
    let din =
        |row| [1.0, 2.0, 4.0].iter().filter_map(|&m| Some(dips(din_gap(row, m)?, 1000.0 * m))).collect();
    let list = |id, source, tolerances| Published { id, source, tolerances };
    vec![
        list(
            "tile-edges-under-15-in",
            "ANSI A108.02 § 4.2, every tile edge under 15 in",
            vec![both(INCH / 4.0, 120.0 * INCH), both(INCH / 16.0, 12.0 * INCH)],
        ),
        list(
            "tile-edge-15-in-or-more",
            "ANSI A108.02 § 4.2.2, a tile edge of 15 in or more",
            vec![both(INCH / 8.0, 120.0 * INCH), both(INCH / 16.0, 24.0 * INCH)],
        ),
        list("din-18202-row-3", "DIN 18202 table 3, row 3", din(3)),
        list("din-18202-row-4", "DIN 18202 table 3, row 4", din(4)),
        list("bs-8204-sr1", "BS 8204, SR1", vec![dips(3.0, 2000.0)]),
        list("bs-8204-sr2", "BS 8204, SR2", vec![dips(5.0, 2000.0)]),
        list("bs-8204-sr3", "BS 8204, SR3", vec![dips(10.0, 2000.0)]),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The in-between spans as a German trade handbook prints them for DIN 18202, rows 3 and 4.
    #[test]
    fn printed_values_between_the_spans_of_din_18202() {
        let spans = [0.1, 0.6, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 6.0, 8.0, 10.0, 15.0];
        let row3 = [2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 11.0, 12.0, 15.0];
        let row4 = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 15.0];
        for (k, &span) in spans.iter().enumerate() {
            assert_eq!(din_gap(3, span), Some(row3[k]), "{span} m");
            assert_eq!(din_gap(4, span), Some(row4[k]), "{span} m");
        }
        assert_eq!((din_gap(3, 20.0), din_gap(1, 2.0)), (None, None));
    }

    #[test]
    fn every_choice_has_its_own_name_and_a_tolerance() {
        let all = all();
        assert!(all.iter().all(|p| !p.tolerances.is_empty() && !p.source.is_empty()));
        assert!(all.iter().enumerate().all(|(i, p)| all[..i].iter().all(|q| q.id != p.id)));
    }

    /// ANSI A108.02 §§ 4.2 and 4.2.2; DIN 18202 table 3 at 1, 2 and 4 m; BS 8204 under a 2 m straightedge.
    #[test]
    fn what_may_be_chosen_is_what_is_published() {
        const INCH: f64 = 25.4;
        type Expected = (&'static str, bool, &'static [(f64, f64)]);
        let expected: [Expected; 7] = [
            ("tile-edges-under-15-in", true, &[(INCH / 4.0, 120.0 * INCH), (INCH / 16.0, 12.0 * INCH)]),
            ("tile-edge-15-in-or-more", true, &[(INCH / 8.0, 120.0 * INCH), (INCH / 16.0, 24.0 * INCH)]),
            ("din-18202-row-3", false, &[(4.0, 1000.0), (6.0, 2000.0), (10.0, 4000.0)]),
            ("din-18202-row-4", false, &[(3.0, 1000.0), (5.0, 2000.0), (9.0, 4000.0)]),
            ("bs-8204-sr1", false, &[(3.0, 2000.0)]),
            ("bs-8204-sr2", false, &[(5.0, 2000.0)]),
            ("bs-8204-sr3", false, &[(10.0, 2000.0)]),
        ];
        for (found, (id, humps, tolerances)) in all().iter().zip(expected) {
            let asked = tolerances.iter().map(|&(gap, span)| Tolerance { gap, span, humps });
            assert_eq!((found.id, &found.tolerances), (id, &asked.collect::<Vec<_>>()));
        }
        assert_eq!(all().len(), expected.len());
    }
}
