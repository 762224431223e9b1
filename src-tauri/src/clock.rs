//! The clock of this device, for what people read. Nothing is merged or ordered by it: clocks on phones are wrong.

use drylay_app::World;
use drylay_app::system::System;
use std::time::Duration;

/// The time since 1970-01-01T00:00:00Z; a clock set before that gives 0.
pub(crate) fn now() -> Duration {
    Duration::from_millis(u64::try_from(System.now().utc_ms).unwrap_or(0))
}

/// A time since 1970 in UTC as RFC 3339 writes it, to the second: `2026-03-01T07:30:00Z`.
pub(crate) fn written(since: Duration) -> String {
    let (days, seconds) = (since.as_secs() / 86_400, since.as_secs() % 86_400);
    let (year, month, day) = date(days);
    let (hour, minute, second) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

/// Year, month and day of a count of days since 1970-01-01 in the Gregorian calendar.
fn date(mut days: u64) -> (u64, u64, u64) {
    let mut year = 1970;
    while days >= days_of_year(year) {
        days -= days_of_year(year);
        year += 1;
    }
    let mut month = 1;
    while days >= days_of_month(year, month) {
        days -= days_of_month(year, month);
        month += 1;
    }
    (year, month, days + 1)
}

fn is_leap(year: u64) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

fn days_of_year(year: u64) -> u64 {
    365 + u64::from(is_leap(year))
}

fn days_of_month(year: u64, month: u64) -> u64 {
    match month {
        2 => 28 + u64::from(is_leap(year)),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Instants that RFC 3339 (section 5.8) and POSIX (the epoch, 2038) name; the leap day by `date -u -d @951782400`.
    #[test]
    fn instants_are_written_as_the_standard_does() {
        let cases = [
            (0, "1970-01-01T00:00:00Z"),
            (482_196_050, "1985-04-12T23:20:50Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (2_147_483_647, "2038-01-19T03:14:07Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
        ];
        for (seconds, expected) in cases {
            assert_eq!(written(Duration::from_secs(seconds)), expected);
        }
    }
}
