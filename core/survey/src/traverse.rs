//! Closed walks: their misclosure, the compass rule, and the area they enclose.

/// How far a walk ends from where it began: the sum of its legs.
pub fn misclosure(legs: &[(f64, f64)]) -> (f64, f64) {
    legs.iter().fold((0.0, 0.0), |s, l| (s.0 + l.0, s.1 + l.1))
}

/// The compass rule (N. Bowditch, 1808): each leg takes a share of the misclosure in proportion to its length.
/// Lengths as measured, in the legs' unit. Legs are returned as they are where all lengths are zero.
pub fn compass_rule(legs: &[(f64, f64)], lengths: &[f64]) -> Vec<(f64, f64)> {
    let gap = misclosure(legs);
    let whole: f64 = lengths.iter().sum();
    let share = |length: f64| if whole > 0.0 { length / whole } else { 0.0 };
    let closed = |(l, &d): (&(f64, f64), &f64)| (l.0 - gap.0 * share(d), l.1 - gap.1 * share(d));
    legs.iter().zip(lengths).map(closed).collect()
}

/// The area enclosed by corners in order, positive where they run clockwise on the page (x right, y down). Corners
/// are shifted to the first one, so that large coordinates cost no digits.
pub fn area(corners: &[(f64, f64)]) -> f64 {
    let Some(&o) = corners.first() else { return 0.0 };
    let next = corners.iter().cycle().skip(1);
    let cross = |(a, b): (&(f64, f64), &(f64, f64))| (a.0 - o.0) * (b.1 - o.1) - (b.0 - o.0) * (a.1 - o.1);
    corners.iter().zip(next).map(cross).sum::<f64>() / 2.0
}
