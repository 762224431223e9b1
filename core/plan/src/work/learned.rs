//! What finished jobs say of how fast a crew works, and of how much breaks: totals over totals, and how jobs differ.
//!
//! The rate is the total done over the total hours (the ratio of sums, not the mean of the jobs' own rates): a small job
//! that went badly weighs as much as it was long. Cochran, *Sampling Techniques*, 3rd edition (1977), section 2.11 has
//! both the ratio and the standard error given here (without its finite population correction; from memory).

/// One finished job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// How much came of it: square metres done, or tiles broken.
    pub of: f64,
    /// Over what: hours of one person, or tiles of the plan. More than nothing.
    pub over: f64,
}

/// What several jobs say together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// How many jobs.
    pub jobs: usize,
    /// All that came of them.
    pub of: f64,
    /// Over all of this.
    pub over: f64,
    /// The one over the other.
    pub rate: f64,
    /// The least and the greatest rate of one job.
    pub range: (f64, f64),
    /// The standard error of the rate; nothing from one job.
    pub error: Option<f64>,
}

/// What the samples say together; nothing without any. Samples over nothing are left out.
///
/// ```
/// use drylay_plan::work::learned::{Sample, learned};
/// // 20 m² in 10 h and 40 m² in 16 h: 60 m² in 26 h.
/// let found = learned(&[Sample { of: 20.0, over: 10.0 }, Sample { of: 40.0, over: 16.0 }]).unwrap();
/// assert!((found.rate - 60.0 / 26.0).abs() < 1e-12);
/// assert_eq!(found.range, (2.0, 2.5));
/// ```
pub fn learned(samples: &[Sample]) -> Option<Learned> {
    let good = |s: &&Sample| s.over > 0.0 && s.over.is_finite() && s.of >= 0.0 && s.of.is_finite();
    let all: Vec<Sample> = samples.iter().filter(good).copied().collect();
    let (of, over) = all.iter().fold((0.0, 0.0), |(of, over), s| (of + s.of, over + s.over));
    if all.is_empty() {
        return None;
    }
    let rate = of / over;
    let rates = || all.iter().map(|s| s.of / s.over);
    let range = rates().fold((f64::INFINITY, 0.0_f64), |(least, most), r| (least.min(r), most.max(r)));
    let n = all.len() as f64;
    let squares: f64 = all.iter().map(|s| (s.of - rate * s.over) * (s.of - rate * s.over)).sum();
    let error = (all.len() > 1).then(|| (squares / (n - 1.0) / n).sqrt() / (over / n));
    Some(Learned { jobs: all.len(), of, over, rate, range, error })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratio_and_its_error_by_hand() {
        // y = 20, 40, 33 over x = 10, 16, 14: R = 93/40 = 2.325. Residuals y − R·x are −3.25, 2.8, 0.45, their squares
        // 10.5625 + 7.84 + 0.2025 = 18.605; over n − 1 = 2 and n = 3: 3.100833, its root 1.760918, over x̄ = 13.333333:
        // 0.132069.
        let sample = |of, over| Sample { of, over };
        let found =
            learned(&[sample(20.0, 10.0), sample(40.0, 16.0), sample(33.0, 14.0)]).expect("three jobs");
        assert!((found.rate - 2.325).abs() < 1e-12);
        assert!((found.error.expect("of three") - 0.132_069).abs() < 1e-6, "{found:?}");
        assert_eq!((found.jobs, found.range), (3, (2.0, 2.5)));
    }

    #[test]
    fn one_job_has_no_error_jobs_alike_have_none_and_nothing_says_nothing() {
        let one = Sample { of: 12.0, over: 5.0 };
        assert_eq!(learned(&[one]).and_then(|found| found.error), None);
        let alike = learned(&[one, one, one]).expect("three");
        assert!(alike.error.expect("of three").abs() < 1e-12);
        assert_eq!(learned(&[]), None);
        assert_eq!(learned(&[Sample { of: 3.0, over: 0.0 }]), None, "no hours say nothing of a pace");
    }
}
