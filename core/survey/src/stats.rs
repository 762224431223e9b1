//! The few pieces of statistics that an adjustment needs, with their published sources.

/// A reading is doubted when its standardised residual is larger than this: two-sided level 0.1 % (W. Baarda,
/// *A testing procedure for use in geodetic networks*, Netherlands Geodetic Commission, 1968).
pub const DOUBTED: f64 = 3.29;

/// Non-centrality at which that test finds an error with 80 %: the normal quantiles 3.2905 + 0.8416 (Baarda
/// 1968).
pub const FOUND: f64 = 4.132_148;

/// Level of the global test of the variance factor.
pub const GLOBAL_LEVEL: f64 = 0.001;

/// The chance that a chi-square variable with `freedom` degrees of freedom is larger than `value`; 1 for no
/// degrees of freedom. Incomplete gamma function by its series and by Lentz's continued fraction (Press et al.,
/// *Numerical Recipes*, section 6.2; Abramowitz and Stegun 26.4.4 and 6.5).
pub fn chi_square_beyond(value: f64, freedom: usize) -> f64 {
    if freedom == 0 || value <= 0.0 {
        return 1.0;
    }
    let (a, x) = (freedom as f64 / 2.0, value / 2.0);
    let front = libm::exp(a * libm::log(x) - x - libm::lgamma(a));
    if x < a + 1.0 { 1.0 - front * series(a, x) } else { front * fraction(a, x) }
}

fn series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum, mut k) = (1.0 / a, 1.0 / a, a);
    while term > sum * 1e-16 {
        k += 1.0;
        term *= x / k;
        sum += term;
    }
    sum
}

fn fraction(a: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let mut b = x + 1.0 - a;
    let (mut c, mut d) = (1.0 / TINY, 1.0 / b);
    let mut h = d;
    for i in 1..1000 {
        let an = -f64::from(i) * (f64::from(i) - a);
        b += 2.0;
        d = 1.0 / away_from_zero(an * d + b, TINY);
        c = away_from_zero(b + an / c, TINY);
        h *= d * c;
        if (d * c - 1.0).abs() < 1e-15 {
            break;
        }
    }
    h
}

fn away_from_zero(v: f64, tiny: f64) -> f64 {
    if v.abs() < tiny { tiny } else { v }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upper 0.1 % and 5 % points of the chi-square distribution (Abramowitz and Stegun, table 26.8).
    #[test]
    fn printed_points_of_chi_square() {
        for (freedom, value, beyond) in [
            (1, 10.828, 0.001),
            (2, 13.816, 0.001),
            (3, 16.266, 0.001),
            (10, 29.588, 0.001),
            (30, 59.703, 0.001),
            (1, 3.841, 0.05),
            (5, 11.070, 0.05),
            (100, 124.342, 0.05),
        ] {
            let got = chi_square_beyond(value, freedom);
            assert!((got / beyond - 1.0).abs() < 1e-3, "{freedom} {value}: {got}");
        }
    }

    #[test]
    fn nothing_measured_twice_is_never_surprising() {
        assert_eq!(chi_square_beyond(5.0, 0).to_bits(), 1.0f64.to_bits());
        assert!(chi_square_beyond(1e5, 4) < 1e-300);
    }
}
