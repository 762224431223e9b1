//! Joints and cracks in the base, as lines on the plan: which the floor must carry through, and whether its own
//! movement joints lie over them.

/// A line from one place to another, mm in plan coordinates.
pub type Line = [[f64; 2]; 2];

/// How much of a line lies under movement joints: from 0 for none of it to 1. A joint lies over it where it is no further
/// off than `within` mm.
pub fn covered(line: &[[f64; 2]], joints: &[Line], within: f64) -> f64 {
    let legs = line.windows(2).map(|w| [w[0], w[1]]);
    let (mut long, mut under) = (0.0, 0.0);
    for leg in legs {
        let length = between(leg[0], leg[1]);
        long += length;
        under += length * share(&leg, joints, within);
    }
    if long > 0.0 { under / long } else { 0.0 }
}

fn between(a: [f64; 2], b: [f64; 2]) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    (x * x + y * y).sqrt()
}

/// The share of one leg that lies under joints.
fn share(leg: &Line, joints: &[Line], within: f64) -> f64 {
    let mut parts: Vec<[f64; 2]> = joints.iter().filter_map(|j| over(leg, j, within)).collect();
    parts.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let (mut end, mut sum) = (0.0_f64, 0.0);
    for [from, to] in parts {
        sum += (to - from.max(end)).max(0.0);
        end = end.max(to);
    }
    sum
}

/// From where to where, as shares of the leg, a joint lies over it. Along the joint the distance from the leg is linear,
/// so the stretch where it is small enough is cut out of it at once.
fn over(leg: &Line, joint: &Line, within: f64) -> Option<[f64; 2]> {
    let length = between(leg[0], leg[1]);
    if length <= 0.0 {
        return None;
    }
    let along = [(leg[1][0] - leg[0][0]) / length, (leg[1][1] - leg[0][1]) / length];
    let frame = |p: [f64; 2]| {
        let (x, y) = (p[0] - leg[0][0], p[1] - leg[0][1]);
        [(x * along[0] + y * along[1]) / length, x * along[1] - y * along[0]]
    };
    let (a, b) = (frame(joint[0]), frame(joint[1]));
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let mut keep = |start: f64, step: f64, most: f64| {
        // start + t·step ≤ most for t between from and to.
        if step.abs() < 1e-12 {
            if start > most {
                from = 2.0;
            }
        } else if step > 0.0 {
            to = to.min((most - start) / step);
        } else {
            from = from.max((most - start) / step);
        }
    };
    keep(a[1], b[1] - a[1], within);
    keep(-a[1], a[1] - b[1], within);
    keep(a[0], b[0] - a[0], 1.0);
    keep(-a[0], a[0] - b[0], 0.0);
    let at = |t: f64| a[0] + t * (b[0] - a[0]);
    (from < to).then(|| [at(from).min(at(to)), at(from).max(at(to))])
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEAM: [[f64; 2]; 2] = [[0.0, 1000.0], [4000.0, 1000.0]];

    /// EJ171 and ANSI A108.02 §4.4.1: a joint in the floor over every structural or control joint, as the trade press
    /// restates them; how far off still counts is common practice.
    #[test]
    fn a_joint_over_it_covers_a_seam() {
        let cover = |joints: &[Line]| covered(&SEAM, joints, 3.0);
        assert_eq!(cover(&[]), 0.0);
        assert!((cover(&[[[0.0, 1002.0], [4000.0, 1002.0]]]) - 1.0).abs() < 1e-12);
        assert_eq!(cover(&[[[0.0, 1004.0], [4000.0, 1004.0]]]), 0.0);
        let half = [[4000.0, 999.0], [2000.0, 999.0]];
        assert!((cover(&[half]) - 0.5).abs() < 1e-12);
        assert!((cover(&[half, [[1000.0, 1000.0], [3000.0, 1000.0]]]) - 0.75).abs() < 1e-12);
    }

    #[test]
    fn a_slanting_joint_covers_only_where_it_is_near() {
        // From 10 mm on one side to 10 mm on the other over 4 m: within 3 mm for 3/10 of it.
        let found = covered(&SEAM, &[[[0.0, 990.0], [4000.0, 1010.0]]], 3.0);
        assert!((found - 0.3).abs() < 1e-12, "{found}");
        assert!(covered(&SEAM, &[[[2000.0, 0.0], [2000.0, 4000.0]]], 3.0) < 1e-12);
    }

    #[test]
    fn a_bent_crack_is_taken_leg_by_leg() {
        let crack = [[0.0, 0.0], [1000.0, 0.0], [1000.0, 3000.0]];
        assert!((covered(&crack, &[[[0.0, 0.0], [1000.0, 0.0]]], 1.0) - 0.25).abs() < 1e-3);
        assert_eq!(covered(&[[5.0, 5.0]], &[SEAM], 3.0), 0.0);
    }
}
