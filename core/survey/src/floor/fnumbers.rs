//! F-numbers of floor flatness (FF) and levelness (FL) from lines of equally spaced heights, after ASTM E1155.
//!
//! Readings a foot apart: q are the second differences, z the differences over ten intervals. The definitions of
//! q and z are the standard's; the formulas FF = 4.57 / (3 s + |mean|) and FL = 12.5 / (3 s + |mean|) in inches,
//! and the rule that combines lines, are given from memory.

/// One line's numbers. `None` where the line is too short: q needs four heights, z twelve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineNumbers {
    /// Flatness.
    pub ff: Option<f64>,
    /// Levelness.
    pub fl: Option<f64>,
    /// Number of q values.
    pub q: usize,
    /// Number of z values.
    pub z: usize,
}

/// The second differences of heights: hᵢ − 2hᵢ₋₁ + hᵢ₋₂ (E1155, 3.2).
pub fn curvatures(heights: &[f64]) -> Vec<f64> {
    heights.windows(3).map(|h| h[2] - 2.0 * h[1] + h[0]).collect()
}

/// The numbers of a line of heights in mm.
pub fn of_line(heights: &[f64]) -> LineNumbers {
    const INCH: f64 = 25.4;
    let q = curvatures(heights);
    let z: Vec<f64> = heights.windows(11).map(|h| h[10] - h[0]).collect();
    let number = |factor: f64, values: &[f64]| {
        let spread = 3.0 * deviation(values)? + mean(values).abs();
        (spread > 0.0).then(|| factor * INCH / spread)
    };
    LineNumbers { ff: number(4.57, &q), fl: number(12.5, &z), q: q.len(), z: z.len() }
}

/// Numbers of several lines as one, each with how many values it is from.
pub fn combined(lines: &[(f64, usize)]) -> Option<f64> {
    // F₁₂ = F₁F₂ √((r₁ + r₂) / (r₂F₁² + r₁F₂²)): means of 1/F², weighted by r.
    let count: usize = lines.iter().map(|l| l.1).sum();
    let sum: f64 = lines.iter().map(|&(f, r)| r as f64 / (f * f)).sum();
    (count > 0).then(|| (count as f64 / sum).sqrt())
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn deviation(values: &[f64]) -> Option<f64> {
    let m = mean(values);
    let sum: f64 = values.iter().map(|v| (v - m) * (v - m)).sum();
    (values.len() > 1).then(|| (sum / (values.len() - 1) as f64).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINES: [&[f64]; 5] = [
        &[
            418.617, 419.938, 421.894, 423.748, 425.221, 424.739, 423.799, 424.307, 425.425, 424.688,
            423.164, 422.758, 420.472, 416.738,
        ],
        &[
            418.592, 421.081, 422.072, 421.513, 420.040, 421.132, 420.675, 421.640, 421.894, 421.538,
            421.183, 421.894, 419.684, 420.040, 417.982,
        ],
        &[
            418.338, 419.659, 419.227, 419.227, 418.668, 418.186, 418.973, 419.379, 420.141, 419.532,
            418.643, 418.719, 416.763, 414.782,
        ],
        &[
            418.617, 418.973, 419.100, 420.878, 419.989, 419.227, 419.684, 420.751, 420.065, 421.259,
            421.386, 418.846, 419.887, 418.363,
        ],
        &[
            418.846, 418.135, 418.998, 419.405, 420.294, 420.370, 421.640, 421.259, 422.910, 423.926,
            424.053, 423.164, 422.732, 422.834, 421.513,
        ],
    ];

    #[test]
    fn a_line_without_any_deviation_has_no_numbers_and_not_endless_ones() {
        let level = of_line(&[5.0; 30]);
        assert_eq!((level.ff, level.fl, level.q, level.z), (None, None, 28, 20));
    }

    /// A government laboratory's concrete test pad, E1155M-96, 5 May 2003: published elevations and published q
    /// to 0.001 mm (lines 0 and 4).
    #[test]
    fn published_curvatures_of_a_test_pad() {
        // Published with the sign of a trough positive.
        let line0 =
            [0.635, -0.102, -0.381, -1.956, -0.457, 1.448, 0.610, -1.854, -0.787, 1.118, -1.880, -1.448];
        let line4 = [
            1.575, -0.457, 0.483, -0.813, 1.194, -1.651, 2.032, -0.635, -0.889, -1.016, 0.457, 0.533, -1.422,
        ];
        for (line, published) in [(LINES[0], &line0[..]), (LINES[4], &line4[..])] {
            let q = curvatures(line);
            assert_eq!(q.len(), published.len());
            assert!(q.iter().zip(published).all(|(a, b)| (a - b).abs() < 0.0015), "{q:?}");
        }
    }

    /// No published F value of these lines was found: these were worked out by hand from the same formulas, and
    /// hold the arithmetic, not the formulas.
    #[test]
    fn numbers_of_the_test_pad_as_worked_by_hand() {
        let (ff, fl) = ([28.84, 20.44, 34.63, 18.50, 32.49], [20.21, 45.98, 39.55, 46.65, 37.22]);
        let lines = LINES.map(of_line);
        for (k, l) in lines.iter().enumerate() {
            assert!(
                (l.ff.expect("long") - ff[k]).abs() < 0.006 && (l.fl.expect("long") - fl[k]).abs() < 0.006
            );
        }
        let all: Vec<(f64, usize)> = lines.iter().filter_map(|l| Some((l.ff?, l.q))).collect();
        assert!((combined(&all).expect("lines") - 24.55).abs() < 0.006);
        assert_eq!(of_line(&LINES[0][..3]).ff, None);
    }
}
