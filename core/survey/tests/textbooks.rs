//! Networks, levellings, traverses and areas with published results; the source stands beside each.
//!
//! Coordinates are given as the books print them, east then north or x then y. Angles run clockwise from north, so
//! networks with angles are turned over (northing first).

#![expect(clippy::inconsistent_digit_grouping, reason = "coordinates stand as the books print them")]

use drylay_survey::level::{self, Rise};
use drylay_survey::network::{Datum, Observation, Observed, Solution, adjust};
use drylay_survey::traverse::{area, compass_rule, misclosure};

fn distance(from: usize, to: usize, value: f64, sd: f64) -> Observation {
    Observation { what: Observed::Distance { from, to }, value, sd }
}

fn fixed(flags: &[bool]) -> Datum {
    Datum::Fixed(flags.iter().map(|f| (*f, *f)).collect())
}

fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not within {within} of {want}");
}

fn at(solution: &Solution, point: usize, want: (f64, f64), within: f64) {
    near(solution.at[point].0, want.0, within);
    near(solution.at[point].1, want.1, within);
}

fn sds(solution: &Solution, point: usize) -> (f64, f64) {
    let sd = |k: usize| solution.covariance(k, k).sqrt();
    (sd(2 * point), sd(2 * point + 1))
}

/// C. D. Ghilani, *Adjustment Computations*, example 14.2 (input as printed; result computed independently with a
/// dense solver, as the printed one was not at hand).
#[test]
fn ghilani_14_2_one_point_from_three() {
    let start = [(865.40, 4527.15), (2432.55, 2047.25), (2865.22, 27.15), (6865.0, 3727.0)];
    let obs = [distance(0, 3, 6049.00, 1.0), distance(1, 3, 4736.83, 1.0), distance(2, 3, 5446.49, 1.0)];
    let out = adjust(&start, &obs, &fixed(&[true, true, true, false])).expect("solved");
    at(&out, 3, (6861.3168, 3727.8186), 1e-4);
    for (o, (value, residual)) in
        out.observations.iter().zip([(6048.9626, -0.0374), (4736.9068, 0.0768), (5446.4426, -0.0474)])
    {
        near(o.value, value, 1e-4);
        near(o.residual, residual, 1e-4);
    }
    let s0 = out.variance_factor().expect("checked").sqrt();
    near(s0, 0.0977, 1e-4);
    near(sds(&out, 3).0 * s0, 0.078, 1e-3);
    near(sds(&out, 3).1 * s0, 0.154, 1e-3);
}

/// Ghilani (2010), example 14.5, as transcribed with its result in F. Krumm, *Geodetic Network Adjustment
/// Examples*.
#[test]
fn ghilani_14_5_two_points() {
    let start = [
        (2_410_000.0, 390_000.0),
        (2_411_820.0, 386_881.222),
        (2_415_776.819, 391_043.461),
        (2_416_892.670, 387_603.450),
    ];
    let obs = [
        distance(0, 2, 5870.302, 0.01),
        distance(0, 3, 7297.588, 0.01),
        distance(2, 3, 3616.434, 0.01),
        distance(2, 1, 5742.878, 0.01),
        distance(3, 1, 5123.760, 0.01),
    ];
    let out = adjust(&start, &obs, &fixed(&[true, true, false, false])).expect("solved");
    at(&out, 2, (2_415_776.9044, 391_043.2945), 1e-4);
    at(&out, 3, (2_416_892.6955, 387_603.2551), 1e-4);
    let s0 = out.variance_factor().expect("checked").sqrt();
    near(s0, 13.59, 0.01);
    for (point, sd) in [(2, (0.149, 0.221)), (3, (0.104, 0.271))] {
        near(sds(&out, point).0 * s0, sd.0, 1e-3);
        near(sds(&out, point).1 * s0, sd.1, 1e-3);
    }
    for (o, v) in out.observations.iter().zip([0.0547, -0.0790, 0.0368, -0.0616, 0.0639]) {
        near(o.residual, v, 1e-4);
        // One redundancy: all standardised residuals are equal (Guo 2015).
        near(o.w.expect("checked").abs(), s0, 1e-3);
    }
}

/// Ghilani (2010), example 16.1, as transcribed with its result in Krumm: a traverse with angles.
#[test]
fn ghilani_16_1_traverse_with_angles() {
    let turned = |(e, n): (f64, f64)| (n, e);
    let start = [(1000.0, 800.0), (1000.0, 1000.0), (1223.0, 1186.5), (1400.0, 1186.5), (1173.20, 1100.0)]
        .map(turned);
    let angle = |from, at, to, degrees: f64| Observation {
        what: Observed::Angle { at, from, to },
        value: degrees.to_radians(),
        sd: (30.0f64 / 3600.0).to_radians(),
    };
    let obs = [
        distance(1, 4, 200.0, 0.05),
        distance(4, 2, 100.0, 0.08),
        angle(0, 1, 4, 240.0),
        angle(1, 4, 2, 150.0),
        angle(4, 2, 3, 240.0 + 1.0 / 60.0),
    ];
    let out = adjust(&start, &obs, &fixed(&[true, true, true, true, false])).expect("solved");
    at(&out, 4, turned((1173.0886, 1099.9872)), 1e-4);
    near(out.variance_factor().expect("checked").sqrt(), 1.819, 1e-3);
    let s0 = out.variance_factor().expect("checked").sqrt();
    let sd = turned(sds(&out, 4));
    near(sd.0 * s0, 0.0419, 1e-4);
    near(sd.1 * s0, 0.0526, 1e-4);
}

const STRANG: [(f64, f64); 4] = [(170.71, 170.71), (170.71, 270.71), (100.0, 100.0), (241.42, 100.0)];

/// G. Strang and K. Borre, *Linear Algebra, Geodesy, and GPS* (1997), example 10.1, transcribed in Krumm.
#[test]
fn strang_and_borre_10_1_one_point_from_three() {
    let obs = [distance(1, 0, 100.01, 0.01), distance(2, 0, 100.02, 0.01), distance(3, 0, 100.03, 0.01)];
    let out = adjust(&STRANG, &obs, &fixed(&[false, true, true, true])).expect("solved");
    at(&out, 0, (170.7029, 170.7234), 1e-4);
    for (o, v) in out.observations.iter().zip([-0.0234, -0.0165, -0.0165]) {
        near(o.residual, v, 1e-4);
        near(o.w.expect("checked").abs(), 3.303, 1e-3);
    }
}

/// The same book, example 12.4: all four points free, held by inner constraints.
#[test]
fn strang_and_borre_12_4_free_network() {
    let obs = [
        distance(1, 0, 100.01, 0.01),
        distance(2, 0, 100.02, 0.01),
        distance(3, 0, 100.03, 0.01),
        distance(1, 2, 184.785, 0.01),
        distance(2, 3, 141.44, 0.01),
        distance(1, 3, 184.805, 0.01),
    ];
    let out = adjust(&STRANG, &obs, &Datum::Inner).expect("solved");
    at(&out, 0, (170.7123, 170.7185), 1e-4);
    at(&out, 1, (170.7032, 270.7213), 1e-4);
    at(&out, 2, (99.9912, 99.9971), 1e-4);
    at(&out, 3, (241.4333, 99.9830), 1e-4);
    assert_eq!(out.redundancy, 1);
}

/// W. Benning, *Statistik in Geodäsie, Geoinformation und Bauwesen*, example 8-2, transcribed in Krumm: a square
/// with both diagonals, the nearest a textbook comes to a room.
#[test]
fn benning_8_2_square_with_diagonals() {
    let start = [(0.0, 1000.0), (1000.0, 1000.0), (0.0, 0.0), (1000.0, 0.0)];
    let obs = [
        distance(0, 2, 1000.02, 0.01),
        distance(0, 3, 1414.20, 0.01),
        distance(1, 2, 1414.24, 0.01),
        distance(1, 3, 999.98, 0.01),
        distance(2, 3, 1000.00, 0.01),
    ];
    let out = adjust(&start, &obs, &fixed(&[true, true, false, false])).expect("solved");
    at(&out, 2, (-0.0096, -0.0226), 1e-4);
    at(&out, 3, (999.9930, 0.0174), 1e-4);
    let s0 = out.variance_factor().expect("checked").sqrt();
    near(s0, 0.688, 1e-3);
    for (o, r) in out.observations.iter().zip([0.143, 0.286, 0.286, 0.143, 0.143]) {
        near(o.redundancy, r, 1e-3);
    }
    near(out.observations.iter().map(|o| o.redundancy).sum(), 1.0, 1e-9);
    for point in [2, 3] {
        let (sx, sy) = sds(&out, point);
        near(sx * s0, 0.0090, 1e-4);
        near(sy * s0, 0.0064, 1e-4);
    }
}

/// Benning, example 8-8, transcribed in Krumm.
#[test]
fn benning_8_8_one_point_from_five() {
    let start = [
        (3000.0, 2000.0),
        (1000.0, 2000.0),
        (3000.0, 2100.0),
        (1000.0, 2100.0),
        (2000.0, 1000.0),
        (2000.5, 1999.0),
    ];
    let obs = [(0, 1000.0), (1, 1000.0), (4, 1000.0), (2, 1005.0), (3, 1005.0)]
        .map(|(p, d)| distance(5, p, d, 0.02));
    let out = adjust(&start, &obs, &fixed(&[true, true, true, true, true, false])).expect("solved");
    at(&out, 5, (2000.0, 1999.9976), 1e-4);
}

/// Ghilani (2010), example 12.6, transcribed in Krumm.
#[test]
fn ghilani_12_6_levelling() {
    let rise = |from, to, rise, sd| Rise { from, to, rise, sd };
    let rises = [
        rise(0, 1, 10.509, 0.006),
        rise(1, 2, 5.360, 0.004),
        rise(2, 3, -8.523, 0.005),
        rise(3, 0, -7.348, 0.003),
        rise(1, 3, -3.167, 0.004),
        rise(0, 2, 15.881, 0.012),
    ];
    let out = level::adjust(&[Some(437.596), None, None, None], &rises).expect("solved");
    let s0 = (out.sum / out.redundancy as f64).sqrt();
    near(s0, 0.651, 1e-3);
    for (k, height, sd) in [(1, 448.1087, 0.00230), (2, 453.4685, 0.00264), (3, 444.9436, 0.00176)] {
        near(out.at[k], height, 1e-4);
        near(out.sd[k] * s0, sd, 1e-5);
    }
}

/// W. Niemeier, *Ausgleichungsrechnung* (2008), page 153, transcribed in Krumm; 1 mm for the root of a kilometre.
#[test]
fn niemeier_levelling() {
    let lines = [
        (0, 1, -8.206, 621.118),
        (0, 2, -5.734, 1204.819),
        (1, 2, 2.481, 450.450),
        (1, 3, -4.433, 800.0),
        (2, 3, -6.909, 1000.0),
        (2, 4, -18.872, 1098.901),
        (2, 5, 4.035, 440.529),
        (3, 4, -11.962, 719.424),
        (4, 5, 22.904, 833.333),
    ];
    let rises = lines.map(|(from, to, rise, metres): (usize, usize, f64, f64)| Rise {
        from,
        to,
        rise,
        sd: 0.001 * (metres / 1000.0).sqrt(),
    });
    let out = level::adjust(&[None, None, None, None, None, Some(67.228)], &rises).expect("solved");
    for (k, height) in [68.9235, 60.7153, 63.1938, 56.2838, 44.3226].into_iter().enumerate() {
        near(out.at[k], height, 1e-4);
    }
    let hanging = level::adjust(&[None, None, Some(1.0)], &[Rise { from: 0, to: 1, rise: 1.0, sd: 1.0 }]);
    assert!(hanging.is_err());
}

const HOEPKE: [(&str, f64, f64); 8] = [
    ("20", 3_579_041.416, 5_707_194.412),
    ("75", 3_575_403.277, 5_707_682.612),
    ("86", 3_575_322.061, 5_708_700.952),
    ("87", 3_576_581.778, 5_709_938.106),
    ("1006", 3_578_284.289, 5_708_758.641),
    ("1011", 3_577_052.332, 5_708_103.204),
    ("1059", 3_576_852.894, 5_706_633.642),
    ("1087", 3_576_213.699, 5_709_199.889),
];

fn hoepke(last: f64) -> (Vec<(&'static str, &'static str)>, Solution) {
    let lines = [
        ("86", "1006", 2962.832),
        ("86", "87", 1765.657),
        ("86", "1087", 1021.768),
        ("86", "75", 1021.536),
        ("86", "1011", 1830.646),
        ("86", "20", 4012.921),
        ("86", "1059", 2572.516),
        ("1087", "87", 824.863),
        ("1087", "20", 3466.722),
        ("1087", "1059", 2644.789),
        ("1087", "75", 1720.130),
        ("1087", "1006", 2117.134),
        ("1087", "1011", 1380.633),
        ("1006", "75", 3075.373),
        ("1006", "20", 1737.824),
        ("1006", "1059", 2562.134),
        ("1006", "1011", 1395.459),
        ("1006", "87", 2071.154),
        ("1011", "87", 1894.263),
        ("1011", "75", 1701.824),
        ("1011", "1059", 1483.088),
        ("1011", "20", 2186.853),
        ("1059", "20", 2259.167),
        ("1059", "75", last),
        ("1059", "87", 3315.630),
        ("20", "87", 3684.782),
        ("20", "75", 3670.735),
    ];
    let index = |name: &str| HOEPKE.iter().position(|p| p.0 == name).expect("a point of the example");
    let obs: Vec<Observation> =
        lines.iter().map(|&(a, b, d)| distance(index(a), index(b), d, 0.001)).collect();
    let start: Vec<(f64, f64)> = HOEPKE.iter().map(|p| (p.1, p.2)).collect();
    (lines.iter().map(|l| (l.0, l.1)).collect(), adjust(&start, &obs, &Datum::Inner).expect("solved"))
}

/// W. Höpke, *Fehlerlehre und Ausgleichungsrechnung* (1980), example 35.5 "Sattenhausen", transcribed with its
/// coordinates in Krumm: with the corrected distance.
#[test]
fn hoepke_sattenhausen_without_the_blunder() {
    let (_, out) = hoepke(1789.449);
    let published = [
        (3_579_041.4042, 5_707_194.4039),
        (3_575_403.2853, 5_707_682.6565),
        (3_575_322.0203, 5_708_700.9554),
        (3_576_581.7857, 5_709_938.0995),
        (3_578_284.2920, 5_708_758.6275),
        (3_577_052.3287, 5_708_103.2070),
        (3_576_852.9606, 5_706_633.5764),
        (3_576_213.6691, 5_709_199.9319),
    ];
    for (point, want) in published.into_iter().enumerate() {
        at(&out, point, want, 2e-4);
    }
    near(out.variance_factor().expect("checked").sqrt(), 4.954, 1e-3);
}

/// The same with the distance as listed in the book, five centimetres too long: the largest w is its own
/// (residuals and w computed independently with a dense solver).
#[test]
fn hoepke_sattenhausen_names_the_blunder() {
    let (lines, out) = hoepke(1789.499);
    let mut order: Vec<usize> = (0..lines.len()).collect();
    let w = |k: usize| out.observations[k].w.expect("checked");
    order.sort_by(|&a, &b| w(b).abs().total_cmp(&w(a).abs()));
    assert_eq!((lines[order[0]], lines[order[1]]), (("1059", "75"), ("1059", "20")));
    near(w(order[0]), -34.26, 0.005);
    near(w(order[1]), -24.02, 0.005);
    let worst = out.observations[order[0]];
    near(worst.redundancy, 0.4672, 1e-4);
    near(worst.residual, -0.02342, 1e-5);
    near(worst.residual / worst.redundancy, -0.0501, 1e-4);
    near(out.variance_factor().expect("checked").sqrt(), 10.41, 0.01);
}

fn traverse(lines: &[(f64, f64)]) -> (Vec<(f64, f64)>, Vec<f64>) {
    let leg = |&(azimuth, length): &(f64, f64)| {
        let (s, c) = libm::sincos(azimuth.to_radians());
        (length * c, length * s)
    };
    (lines.iter().map(leg).collect(), lines.iter().map(|l| l.1).collect())
}

fn dms(d: f64, m: f64, s: f64) -> f64 {
    d + m / 60.0 + s / 3600.0
}

/// Open surveying library (jerrymahun.com), traverse adjustment, problem 1; printed to 0.001 ft.
#[test]
fn compass_rule_problem_1() {
    let (legs, lengths) = traverse(&[
        (180.0 - 36.0, 379.25),
        (180.0 + dms(75.0, 23.0, 18.0), 408.90),
        (360.0 - dms(14.0, 43.0, 29.0), 298.65),
        (dms(63.0, 59.0, 20.0), 276.55),
    ]);
    near(misclosure(&legs).0, 0.1501, 1e-4);
    near(misclosure(&legs).1, -0.1292, 1e-4);
    let want = [(-306.862, 222.954), (-103.197, -395.637), (288.809, -75.881), (121.250, 248.564)];
    for (got, want) in compass_rule(&legs, &lengths).into_iter().zip(want) {
        near(got.0, want.0, 1e-3);
        near(got.1, want.1, 1e-3);
    }
}

/// Open surveying library, traverse adjustment, problem 2.
#[test]
fn compass_rule_problem_2() {
    let (legs, lengths) = traverse(&[
        (dms(226.0, 54.0, 23.0), 639.15),
        (0.0, 523.69),
        (dms(235.0, 2.0, 29.0), 409.54),
        (dms(79.0, 35.0, 2.0), 815.93),
    ]);
    let want = [(-436.631, -466.761), (523.715, -0.023), (-234.640, -335.663), (147.556, 802.447)];
    let adjusted_lengths = [639.150, 523.715, 409.544, 815.901];
    for ((got, want), length) in compass_rule(&legs, &lengths).into_iter().zip(want).zip(adjusted_lengths) {
        near(got.0, want.0, 1e-3);
        near(got.1, want.1, 1e-3);
        near((got.0 * got.0 + got.1 * got.1).sqrt(), length, 1e-3);
    }
}

/// Teaching notes (scribd.com/document/493615208): compass rule with the corrections printed.
#[test]
fn compass_rule_with_corrections() {
    let (legs, lengths) = traverse(&[(76.0, 80.40), (144.0, 46.30), (241.0, 72.80), (322.0, 68.00)]);
    let closed = compass_rule(&legs, &lengths);
    let want = [(19.3653, 78.1055), (-37.5063, 27.2678), (-35.3716, -63.5874), (53.5126, -41.786)];
    let corrections = [(0.0857, 0.0935), (0.0493, 0.0538), (0.0776, 0.0846), (0.0724, 0.0791)];
    for ((got, leg), (want, correction)) in closed.iter().zip(&legs).zip(want.into_iter().zip(corrections)) {
        near(got.0, want.0, 1e-3);
        near(got.1, want.1, 1e-3);
        near(leg.0 - got.0, correction.0, 1e-3);
        near(got.1 - leg.1, correction.1, 1e-3);
    }
}

/// Areas by coordinates: open surveying library (jerrymahun.com), coordinate geometry chapter H and traverse
/// chapter G; open-exam-prep.com, surveying 8.4.
#[test]
fn areas_by_coordinates() {
    let five = [(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40), (317.89, 942.04), (675.32, 1282.54)];
    near(area(&five).abs(), 140_493.11, 0.01);
    let four = [(500.0, 2000.0), (323.614, 1561.426), (526.996, 1488.321), (719.336, 1686.956)];
    near(area(&four).abs(), 102_935.72, 0.01);
    near(area(&[(0.0, 0.0), (0.0, 300.0), (200.0, 300.0), (200.0, 0.0)]), -60_000.0, 1e-9);
}

/// Two levelings of one height, each known to 2 mm: the mean is known to 2/√2, half of each is checked, and a
/// difference of 3 mm leaves 1.5 on either side (the arithmetic mean, in any textbook).
#[test]
fn two_levelings_of_one_height() {
    let rise = |rise| Rise { from: 0, to: 1, rise, sd: 2.0 };
    let out = level::adjust(&[Some(100.0), None], &[rise(10.0), rise(13.0)]).expect("solved");
    near(out.at[1], 111.5, 1e-12);
    near(out.sd[1], 2.0 / 2.0_f64.sqrt(), 1e-12);
    for (found, residual) in out.rises.iter().zip([1.5, -1.5]) {
        near(found.sd, 2.0 / 2.0_f64.sqrt(), 1e-12);
        near(found.redundancy, 0.5, 1e-12);
        near(found.residual, residual, 1e-12);
        near(found.w.expect("checked"), residual / (2.0 * 0.5_f64.sqrt()), 1e-12);
    }
}
