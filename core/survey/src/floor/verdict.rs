//! Whether a floor is flat enough: what can be said at two standard deviations.

use super::search::{Aim, Chord, Found, Surface, Variance, search};

/// How flat a floor must be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Greatest distance between floor and chord, mm.
    pub gap: f64,
    /// Greatest length of the chord, mm.
    pub span: f64,
    /// Whether humps count as dips do; a straightedge finds only dips.
    pub humps: bool,
}

/// What can be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// No chord deviates more, twice its standard deviation included.
    Pass,
    /// Neither.
    Unsure,
    /// Some chord deviates more, even less twice its standard deviation.
    Fail,
}

/// A floor against one tolerance.
#[derive(Clone, Debug)]
pub struct Judged {
    /// What can be said.
    pub verdict: Verdict,
    /// No chord deviates more than this, mm.
    pub bound: f64,
    /// The deepest dip.
    pub dip: Worst,
    /// The highest hump, where humps count.
    pub hump: Option<Worst>,
    /// The span is under twice the median distance of readings: they say nothing of so short a chord.
    pub sparse: bool,
    /// Whether every search came to its end.
    pub finished: bool,
}

/// A chord and the standard deviation of its deviation, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// The chord.
    pub chord: Chord,
    /// Its standard deviation.
    pub sd: f64,
}

/// How well heights are known.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The variance of a sum of heights, mm².
    pub variance: &'a Variance<'a>,
    /// The greatest own variance of a height, and the greatest that set-ups add between two points.
    pub worst: (f64, f64),
}

impl std::fmt::Debug for Known<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Known").field("worst", &self.worst).finish_non_exhaustive()
    }
}

/// By how much over the gap a chord must be, mm, to be looked for as surely over where the worst one is not. A
/// corrected floor has whole families of chords exactly at the gap, and to tell on which side of it each lies
/// would have no end; to be surely over, such a chord would have to be known to half a micrometre.
const HAIR: f64 = 0.001;

/// Judges a surface. `go_on` is told the share done and may end the work; then nothing passes.
pub fn judge(
    surface: &Surface<'_>,
    known: Known<'_>,
    asked: Tolerance,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Judged {
    let mut faces = vec![surface.clone()];
    if asked.humps {
        faces.push(surface.turned_over());
    }
    let found: Vec<Found> = faces.iter().map(|f| search(f, asked.span, Aim::Worst, go_on)).collect();
    let bound = found.iter().map(|f| f.bound).fold(0.0, f64::max);
    let sparse = asked.span < 2.0 * surface.mesh.median_edge();
    let mut finished = found.iter().all(|f| f.finished);
    let sd = |c: &Chord| (known.variance)(&c.weights).max(0.0).sqrt();
    let surely = |c: &Chord| c.deviation - 2.0 * sd(c) > asked.gap;
    let mut over = |(face, f): (&Surface<'_>, &Found)| {
        if f.worst.as_ref().is_none_or(|c| c.deviation <= asked.gap) || f.chords.iter().any(surely) {
            return f.chords.iter().any(surely);
        }
        let others = search(face, asked.span, Aim::Over(asked.gap + HAIR), &mut *go_on);
        finished &= others.finished;
        others.chords.iter().any(surely)
    };
    let verdict = if faces.iter().zip(&found).any(&mut over) {
        Verdict::Fail
    } else if sparse || !finished || bound > asked.gap {
        Verdict::Unsure
    } else if bound + 2.0 * (2.0 * known.worst.0 + known.worst.1).sqrt() <= asked.gap {
        Verdict::Pass
    } else {
        let aim = Aim::Doubtful { gap: asked.gap, variance: known.variance, worst: known.worst };
        let clear = |face: &Surface<'_>| {
            let found = search(face, asked.span, aim, &mut *go_on);
            finished &= found.finished;
            found.worst.is_none() && found.finished && found.bound <= asked.gap
        };
        if faces.iter().all(clear) { Verdict::Pass } else { Verdict::Unsure }
    };
    let mut worst = found.into_iter().map(|f| {
        let chord = f.worst.unwrap_or_else(|| level(surface));
        Worst { sd: sd(&chord), chord }
    });
    let dip = worst.next().unwrap_or_else(|| Worst { chord: level(surface), sd: 0.0 });
    Judged { verdict, bound, dip, hump: worst.next(), sparse, finished }
}

/// Where nothing deviates: a chord of no length at the first reading.
fn level(surface: &Surface<'_>) -> Chord {
    let at = surface.mesh.points.first().copied().unwrap_or((0.0, 0.0));
    Chord { deviation: 0.0, at, ends: [at, at], weights: Vec::new() }
}

/// How a floor slopes as a whole: mm per m, and the direction in which it falls, degrees clockwise on the page
/// from x. `None` for fewer than three points or points on one line.
pub fn slope(points: &[(f64, f64)], z: &[f64]) -> Option<(f64, f64)> {
    let n = points.len() as f64;
    let mean = |f: &dyn Fn(usize) -> f64| (0..points.len()).map(f).sum::<f64>() / n;
    let (mx, my, mz) = (mean(&|i| points[i].0), mean(&|i| points[i].1), mean(&|i| z[i]));
    let sum = |f: &dyn Fn(f64, f64, f64) -> f64| mean(&|i| f(points[i].0 - mx, points[i].1 - my, z[i] - mz));
    let (xx, xy, yy) = (sum(&|x, _, _| x * x), sum(&|x, y, _| x * y), sum(&|_, y, _| y * y));
    let (xz, yz) = (sum(&|x, _, z| x * z), sum(&|_, y, z| y * z));
    let twice = xx * yy - xy * xy;
    if points.len() < 3 || twice <= 1e-9 * (xx + yy) * (xx + yy) {
        return None;
    }
    let (gx, gy) = ((xz * yy - yz * xy) / twice, (yz * xx - xz * xy) / twice);
    let steep = (gx * gx + gy * gy).sqrt();
    let falls = libm::atan2(-gy, -gx).to_degrees().rem_euclid(360.0);
    Some((1000.0 * steep, if steep > 0.0 { falls } else { 0.0 }))
}

#[cfg(test)]
mod tests {
    use super::slope;

    const CORNERS: [(f64, f64); 4] = [(0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (0.0, 3000.0)];

    fn of(plane: impl Fn(f64, f64) -> f64) -> Option<(f64, f64)> {
        let z: Vec<f64> = CORNERS.iter().map(|&(x, y)| plane(x, y)).collect();
        slope(&CORNERS, &z)
    }

    #[test]
    fn a_plane_falls_as_steeply_and_where_its_gradient_says() {
        let close = |found: Option<(f64, f64)>, steep: f64, towards: f64| {
            let (s, t) = found.expect("a slope");
            let off = (t - towards + 180.0).rem_euclid(360.0) - 180.0;
            assert!((s - steep).abs() < 1e-9 && off.abs() < 1e-9, "{s} towards {t}");
        };
        close(of(|x, _| 7.0 - 0.002 * x), 2.0, 0.0);
        close(of(|_, y| 7.0 - 0.003 * y), 3.0, 90.0);
        close(of(|x, _| 7.0 + 0.002 * x), 2.0, 180.0);
        // 3 and 4 mm in a metre are 5; it falls where both fall, nearer to y.
        let nearer_y = libm::atan2(4.0, 3.0).to_degrees();
        close(of(|x, y| -0.003 * x - 0.004 * y), 5.0, nearer_y);
        close(of(|_, _| 7.0), 0.0, 0.0);
    }

    #[test]
    fn two_places_or_one_line_have_no_slope() {
        assert_eq!(slope(&CORNERS[..2], &[0.0, 1.0]), None);
        assert_eq!(slope(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)], &[0.0, 1.0, 5.0]), None);
    }
}
