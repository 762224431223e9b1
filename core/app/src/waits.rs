//! When grouted floor may be touched, walked on and loaded: pure arithmetic of times that people marked.
//!
//! A wait is counted from when the work was really done, by the clock of the device that marked it. A clock that says
//! less than that is not counted by: one of two clocks is wrong, and nobody can say which.

/// Hours before haze is taken off. Common practice of the trade.
const HAZE: f64 = 3.0;
/// Hours before light foot traffic. Common practice of the trade.
const WALK: f64 = 24.0;
/// Hours to full cure. Common practice of the trade.
const CURE: f64 = 72.0;
/// The warmth in °C for which times are given where nothing else is said.
const GIVEN_AT: f64 = 20.0;
/// The coldest in °C that floors are grouted at: 50 °F (older guide specifications for ceramic tile, from memory).
pub(crate) const COLDEST: f64 = 10.0;
/// Milliseconds by which two clocks may differ and the count still be taken: a minute.
const SLACK: i64 = 60_000;

/// What a product says of itself, in hours.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Figures {
    /// Before light foot traffic.
    pub(crate) walk: Option<f64>,
    /// To full cure.
    pub(crate) cure: Option<f64>,
}

/// Hours that are waited.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Hours {
    /// Before haze is taken off.
    pub(crate) haze: f64,
    /// Before light foot traffic.
    pub(crate) walk: f64,
    /// To full cure.
    pub(crate) cure: f64,
    /// By how much the cold lengthens them; 1 where it does not.
    pub(crate) longer: f64,
}

impl Hours {
    /// The product's own hours before the trade's, lengthened by cold.
    ///
    /// Cement gains strength by the sum of warmth over a datum times time (Nurse and Saul; ASTM C1074 with a datum of
    /// 0 °C, from memory), so that a colder floor takes longer in the proportion of the two. Warmth never shortens a
    /// wait. `None` at frost, where nothing sets.
    pub(crate) fn new(product: Figures, celsius: Option<f64>) -> Option<Self> {
        let longer = match celsius {
            Some(cold) if cold <= 0.0 => return None,
            Some(cold) => (GIVEN_AT / cold).max(1.0),
            None => 1.0,
        };
        let hours = |said: Option<f64>, trade: f64| said.unwrap_or(trade) * longer;
        let walk = hours(product.walk, WALK);
        // What may be walked on before the trade's haze time is not scrubbed after it.
        let haze = (HAZE * longer).min(walk);
        Some(Self { haze, walk, cure: hours(product.cure, CURE).max(walk), longer })
    }
}

/// How far a section is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Phase {
    /// Wet: nothing touches it.
    Wet,
    /// Haze may be taken off; nobody walks there.
    Haze,
    /// Light foot traffic.
    Walk,
    /// Cured.
    Cured,
}

/// The moments of a section, in milliseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Moments {
    /// When it was done.
    pub(crate) done: i64,
    /// From when haze may be taken off.
    pub(crate) haze: i64,
    /// From when it may be walked on.
    pub(crate) walk: i64,
    /// From when it may be loaded.
    pub(crate) cure: i64,
}

/// What a clock says of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Now {
    /// The phase, and when the next one begins.
    In(Phase, Option<i64>),
    /// The clock stands before the moment at which the section was done, by so many milliseconds.
    Backwards(i64),
}

impl Moments {
    /// The moments of what was done at `done`.
    pub(crate) fn new(done: i64, hours: Hours) -> Self {
        let after = |h: f64| done.saturating_add(to_ms(h));
        Self { done, haze: after(hours.haze), walk: after(hours.walk), cure: after(hours.cure) }
    }

    /// What a clock says that reads `now`.
    pub(crate) fn at(&self, now: i64) -> Now {
        if now < self.done.saturating_sub(SLACK) {
            return Now::Backwards(self.done - now);
        }
        let phases = [(self.haze, Phase::Wet), (self.walk, Phase::Haze), (self.cure, Phase::Walk)];
        match phases.into_iter().find(|(until, _)| now < *until) {
            Some((until, phase)) => Now::In(phase, Some(until)),
            None => Now::In(Phase::Cured, None),
        }
    }
}

/// Hours as milliseconds, rounded up to a whole minute, so that nobody is let on too soon.
fn to_ms(hours: f64) -> i64 {
    let minutes = (hours * 60.0 - 1e-6).ceil().clamp(0.0, 1e7);
    #[expect(clippy::cast_possible_truncation, reason = "clamped in the line above")]
    let minutes = minutes as i64;
    minutes * 60_000
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600_000;
    const PLAIN: Figures = Figures { walk: None, cure: None };

    #[test]
    fn the_trades_hours_count_where_the_product_says_nothing() {
        // Common practice: haze after 3 h, light foot traffic after 24 h, full cure after 72 h.
        let hours = Hours::new(PLAIN, None).expect("no frost");
        assert_eq!((hours.haze, hours.walk, hours.cure, hours.longer), (3.0, 24.0, 72.0, 1.0));
        let own = Hours::new(Figures { walk: Some(12.0), cure: Some(168.0) }, None).expect("no frost");
        assert_eq!((own.haze, own.walk, own.cure), (3.0, 12.0, 168.0));
        let quick = Hours::new(Figures { walk: Some(2.0), cure: None }, None).expect("no frost");
        assert_eq!((quick.haze, quick.walk), (2.0, 2.0));
    }

    #[test]
    fn cold_lengthens_and_warmth_never_shortens() {
        // Half the warmth over a datum of 0 °C, twice the time.
        let cold = Hours::new(PLAIN, Some(10.0)).expect("no frost");
        assert_eq!((cold.haze, cold.walk, cold.cure, cold.longer), (6.0, 48.0, 144.0, 2.0));
        assert_eq!(Hours::new(PLAIN, Some(35.0)), Hours::new(PLAIN, None));
        assert_eq!(Hours::new(PLAIN, Some(0.0)), None, "nothing sets at frost");
    }

    #[test]
    fn a_count_runs_across_midnight_and_through_every_phase() {
        // 23:30 in the evening.
        let done = 1_790_292_600_000;
        let moments = Moments::new(done, Hours::new(PLAIN, None).expect("no frost"));
        assert_eq!(moments.at(done), Now::In(Phase::Wet, Some(done + 3 * HOUR)));
        assert_eq!(moments.at(done + 3 * HOUR - 1), Now::In(Phase::Wet, Some(done + 3 * HOUR)));
        assert_eq!(moments.at(done + 3 * HOUR), Now::In(Phase::Haze, Some(done + 24 * HOUR)));
        assert_eq!(moments.at(done + 24 * HOUR), Now::In(Phase::Walk, Some(done + 72 * HOUR)));
        assert_eq!(moments.at(done + 72 * HOUR), Now::In(Phase::Cured, None));
    }

    #[test]
    fn time_that_runs_backwards_is_never_counted_by() {
        let done = 1_790_292_600_000;
        let moments = Moments::new(done, Hours::new(PLAIN, None).expect("no frost"));
        assert_eq!(moments.at(done - 2 * HOUR), Now::Backwards(2 * HOUR));
        assert_eq!(
            moments.at(done - 30_000),
            Now::In(Phase::Wet, Some(done + 3 * HOUR)),
            "half a minute is no fault"
        );
    }

    #[test]
    fn nobody_is_let_on_too_soon_by_rounding() {
        let hours = Hours::new(PLAIN, Some(19.0)).expect("no frost");
        let moments = Moments::new(0, hours);
        assert!(moments.walk as f64 >= hours.walk * HOUR as f64 && moments.walk % 60_000 == 0);
    }
}
