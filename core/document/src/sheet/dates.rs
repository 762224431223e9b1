//! Days, as a sheet writes them: year-month-day.

use super::Problem;
use super::fields::Item;

/// A day such as `2026-03-14`.
pub(super) fn day(item: Item<'_>) -> Option<String> {
    let Item { value, place, notes } = item;
    let text = Item { value, place: place.clone(), notes: &mut *notes }.text()?;
    if days(&text).is_none() {
        notes.problems.push(Problem::new("sheet.day", place).with("found", text));
        return None;
    }
    Some(text)
}

/// The number of a day counted from 1970-01-01; `None` if it is no day of the calendar.
pub fn days(text: &str) -> Option<i64> {
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return None };
    let shaped = year.len() == 4 && month.len() == 2 && day.len() == 2;
    let digits = text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    if !shaped || !digits {
        return None;
    }
    let (y, m, d): (i64, i64, i64) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    let leap = (y % 4 == 0 && y % 100 != 0) || y % 400 == 0;
    let long = match m {
        2 => 28 + i64::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=long).contains(&d) {
        return None;
    }
    // Years counted from March, so that the leap day ends one.
    let y = if m <= 2 { y - 1 } else { y };
    let of_year = (153 * ((m + 9) % 12) + 2) / 5 + d - 1;
    let leaps = y.div_euclid(4) - y.div_euclid(100) + y.div_euclid(400);
    Some(365 * y + leaps + of_year - 719_468)
}

#[cfg(test)]
mod tests {
    use super::days;

    /// ISO 8601; the count of days as the proleptic Gregorian calendar has it: 2000-02-29 is day 11 016.
    #[test]
    fn days_of_the_calendar() {
        assert_eq!(days("1970-01-01"), Some(0));
        assert_eq!(days("1970-03-01"), Some(59));
        assert_eq!(days("2000-02-29"), Some(11_016));
        assert_eq!(days("2026-11-29"), Some(20_786));
        for none in
            ["2001-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "26-1-1", "2026/01/01", "", "+026-01-01"]
        {
            assert_eq!(days(none), None, "{none}");
        }
    }
}
