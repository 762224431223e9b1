//! Lengths, areas and times as people read them. Nothing is shown finer than it is known.

use crate::Problem;
use crate::refusal::length_problem;
use crate::wire::{Stamp, Typed, Units};
use crate::words::say;
use drylay_document::{Keepout, KeepoutKind, Stamp as DocumentStamp, TypedLength};
use drylay_geometry::length::BareUnit;
use drylay_geometry::{Length, Notation};

const SQUARE_FEET_IN_M2: f64 = 1.0 / (0.3048 * 0.3048);

impl Units {
    pub(crate) fn of(units: Option<drylay_document::Units>) -> Self {
        match units {
            Some(drylay_document::Units::Imperial) => Self::Imperial,
            Some(drylay_document::Units::Inches) => Self::Inches,
            Some(drylay_document::Units::Metric) | None => Self::Metric,
        }
    }

    pub(crate) fn stored(self) -> drylay_document::Units {
        match self {
            Self::Imperial => drylay_document::Units::Imperial,
            Self::Inches => drylay_document::Units::Inches,
            Self::Metric => drylay_document::Units::Metric,
        }
    }

    /// As a word that is kept with a job's line.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Imperial => "imperial",
            Self::Inches => "inches",
            Self::Metric => "metric",
        }
    }

    /// From that word; metric for any other.
    pub(crate) fn of_word(word: &str) -> Self {
        [Self::Imperial, Self::Inches].into_iter().find(|it| it.word() == word).unwrap_or(Self::Metric)
    }

    /// What a bare number on this keypad is.
    fn bare(self) -> (BareUnit, &'static str) {
        match self {
            Self::Imperial | Self::Inches => (BareUnit::Inches, "\""),
            Self::Metric => (BareUnit::Millimetres, " mm"),
        }
    }

    /// Reads what was typed in a job of these units. The text is kept as typed; a bare number gets its unit, so
    /// that it says the same wherever it is read later.
    pub(crate) fn read(self, text: &str, place: &str) -> Result<TypedLength, Problem> {
        let text = text.trim();
        if let Ok(typed) = TypedLength::parse(text) {
            return Ok(typed);
        }
        let (unit, mark) = self.bare();
        let length = Length::parse_in(text, unit).map_err(|error| length_problem(error, text, place))?;
        Ok(TypedLength::new(format!("{text}{mark}"), length))
    }

    /// As [`Units::read`], for what must be longer than nothing.
    pub(crate) fn read_positive(self, text: &str, place: &str) -> Result<TypedLength, Problem> {
        let typed = self.read(text, place)?;
        if typed.length() > Length::ZERO {
            Ok(typed)
        } else {
            Err(wrong("length.not_positive", &typed, place))
        }
    }

    /// As [`Units::read_positive`], for a distance that was read in a room. A laser meter that types like a keyboard
    /// types metres with three decimals and no unit; nobody reads a tape to a thousandth of a millimetre, so in a
    /// metric job such a figure is metres.
    pub(crate) fn read_reading(self, text: &str, place: &str) -> Result<TypedLength, Problem> {
        self.read_positive(&self.metres(text), place)
    }

    /// The text, with the unit that a laser meter leaves out.
    pub(crate) fn metres(self, text: &str) -> String {
        let text = text.trim();
        if self == Self::Metric && is_metres(text) { format!("{text} m") } else { text.to_owned() }
    }

    /// As [`Units::read`], for what may be nothing; an empty text is no answer.
    pub(crate) fn read_answer(self, text: &str, place: &str) -> Result<Option<TypedLength>, Problem> {
        if text.trim().is_empty() {
            return Ok(None);
        }
        let typed = self.read(text, place)?;
        if typed.length() >= Length::ZERO {
            Ok(Some(typed))
        } else {
            Err(wrong("length.negative", &typed, place))
        }
    }

    /// A length exactly, in these units.
    pub(crate) fn exact(self, length: Length) -> String {
        length.show(match self {
            Self::Imperial => Notation::FeetInches(64),
            Self::Inches => Notation::Inches(64),
            Self::Metric => Notation::Millimetres(1),
        })
    }

    /// A length that was made and not typed.
    pub(crate) fn made(self, length: Length) -> TypedLength {
        let shown = self.exact(length);
        let exact = Length::parse(&shown) == Ok(length);
        let text = if exact { shown } else { length.show(Notation::Millimetres(6)) };
        TypedLength::new(text, length)
    }

    /// A computed length in mm, no finer than its standard deviation allows and no finer than a tape shows.
    pub(crate) fn known(self, mm: f64, sd: f64) -> String {
        let Some(length) = Length::from_mm_f64(mm) else { return "–".to_owned() };
        length.show(match self {
            Self::Imperial => Notation::FeetInches(fraction(sd)),
            Self::Inches => Notation::Inches(fraction(sd)),
            Self::Metric if sd < 0.05 => Notation::Millimetres(1),
            Self::Metric if sd <= 5.0 => Notation::Millimetres(0),
            Self::Metric => Notation::Centimetres(0),
        })
    }

    /// A floor area in m² for a list: to a tenth of a square metre, or to a square foot.
    pub(crate) fn whole_area(self, m2: f64) -> String {
        self.area(m2, if self == Self::Metric { 0.05 } else { 1.0 })
    }

    /// A floor area in m² with its standard deviation.
    pub(crate) fn area(self, m2: f64, sd: f64) -> String {
        let (value, sd, unit) = match self {
            Self::Imperial | Self::Inches => (m2 * SQUARE_FEET_IN_M2, sd * SQUARE_FEET_IN_M2, "sq ft"),
            Self::Metric => (m2, sd, "m²"),
        };
        let decimals = if sd < 0.01 { 2 } else { usize::from(sd < 0.1) };
        format!("{value:.decimals$} {unit}")
    }
}

/// The finest fraction of an inch that is worth showing: the coarsest whose step is at least the deviation.
fn fraction(sd: f64) -> u8 {
    let inches = sd / 25.4;
    [16, 8, 4, 2].into_iter().find(|den| 1.0 / f64::from(*den) >= inches).unwrap_or(1)
}

/// Digits, a point and three decimals.
fn is_metres(text: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    text.split_once('.').is_some_and(|(whole, part)| digits(whole) && digits(part) && part.len() == 3)
}

fn wrong(code: &str, typed: &TypedLength, place: &str) -> Problem {
    Problem::new(code, place).with("found", typed.text())
}

/// A typed length for the screens.
pub(crate) fn typed(length: &TypedLength) -> Typed {
    let (text, mm) = (length.text(), length.length().mm());
    // A sheet's plain numbers are millimetres; beside what people type that has to be said.
    let text = if text.parse::<f64>().is_ok() { format!("{text} mm") } else { text.to_owned() };
    Typed { text, mm }
}

/// What people call a thing that the floor goes round, or else what it is.
pub(crate) fn thing_name(thing: &Keepout) -> String {
    let kind = thing.what.unwrap_or(KeepoutKind::Other);
    thing.name.clone().unwrap_or_else(|| say(&format!("thing.{}", kind.word()), &[]))
}

/// A stamp for the screens.
pub(crate) fn stamp(stamp: &DocumentStamp) -> Stamp {
    Stamp { by: stamp.by.name.clone(), at: iso(stamp.at.utc_ms), zone_minutes: stamp.at.zone_minutes }
}

/// The day of a time, year-month-day, where it was noted.
pub(crate) fn day(at: drylay_document::Timestamp) -> String {
    iso(at.utc_ms + i64::from(at.zone_minutes) * 60_000).chars().take(10).collect()
}

/// A time in UTC as ISO 8601 writes it, to the second; empty beyond the calendar.
pub(crate) fn iso(utc_ms: i64) -> String {
    let time = chrono::DateTime::from_timestamp_millis(utc_ms);
    time.map(|time| time.to_rfc3339_opts(chrono::SecondsFormat::Secs, true)).unwrap_or_default()
}

/// An angle in degrees with its standard deviation.
pub(crate) fn angle(degrees: f64, sd: f64) -> String {
    let decimals = if sd < 0.005 { 2 } else { usize::from(sd < 0.5) };
    format!("{degrees:.decimals$}°")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_gets_the_unit_of_its_keypad() {
        let read = |units: Units, text| units.read(text, "").map(|t| (t.text().to_owned(), t.length().mm()));
        assert_eq!(read(Units::Imperial, "12' 3 1/2\""), Ok(("12' 3 1/2\"".to_owned(), 3746.5)));
        assert_eq!(read(Units::Inches, " 147.5 "), Ok(("147.5\"".to_owned(), 3746.5)));
        assert_eq!(read(Units::Metric, "3746.5"), Ok(("3746.5 mm".to_owned(), 3746.5)));
        assert_eq!(read(Units::Metric, "12' 3 1/2"), Ok(("12' 3 1/2".to_owned(), 3746.5)));
        let problem = Units::Imperial.read("12' 14\"", "edit.text").unwrap_err();
        assert_eq!(
            (problem.code.as_str(), problem.place.as_str()),
            ("length.inches_over_twelve", "edit.text")
        );
        assert_eq!(problem.params["at"], "5");
    }

    #[test]
    fn a_laser_meters_metres_are_metres_and_a_tapes_millimetres_are_millimetres() {
        let read =
            |units: Units, text| units.read_reading(text, "").map(|t| (t.text().to_owned(), t.length().mm()));
        assert_eq!(read(Units::Metric, "12.345"), Ok(("12.345 m".to_owned(), 12_345.0)));
        assert_eq!(read(Units::Metric, " 0.870 "), Ok(("0.870 m".to_owned(), 870.0)));
        for (text, mm) in [("12345", 12_345.0), ("3746.5", 3746.5), ("12.34", 12.34), ("12.345 mm", 12.345)] {
            assert_eq!(read(Units::Metric, text).map(|it| it.1), Ok(mm), "{text}");
        }
        assert_eq!(read(Units::Inches, "147.625").map(|it| it.1), Ok(3749.675), "inches have no such habit");
        assert_eq!(read(Units::Metric, "0.000").map_err(|p| p.code), Err("length.not_positive".to_owned()));
        // Nowhere else: a joint of 3/32 in is 2.381 mm.
        assert_eq!(Units::Metric.read("2.381", "").map(|t| t.length().mm()), Ok(2.381));
    }

    #[test]
    fn nothing_is_shown_finer_than_it_is_known() {
        let shown = |units: Units, sd| units.known(3746.5, sd);
        assert_eq!(shown(Units::Imperial, 1.0), "12' 3 1/2\"");
        assert_eq!(shown(Units::Imperial, 1.7), "12' 3 1/2\"");
        // 3745 mm are 12 ft 3.441 in; the nearest eighth is four eighths.
        assert_eq!(Units::Imperial.known(3745.0, 3.0), "12' 3 1/2\"");
        assert_eq!(Units::Imperial.known(3745.0, 8.0), "12' 3 1/2\"");
        assert_eq!(Units::Imperial.known(3745.0, 100.0), "12' 3\"");
        assert_eq!(shown(Units::Metric, 1.0), "3747 mm");
        assert_eq!(shown(Units::Metric, 20.0), "375 cm");
        assert_eq!(Units::Metric.area(11.2373, 0.02), "11.2 m²");
        // One square foot is 0.09290304 m², exactly (NIST Handbook 44, appendix C).
        assert_eq!(Units::Imperial.area(0.092_903_04 * 120.0, 0.1), "120 sq ft");
    }

    #[test]
    fn a_list_shows_areas_in_the_units_of_the_job() {
        // One square foot is 0.09290304 m², exactly (NIST Handbook 44, appendix C).
        assert_eq!(Units::Imperial.whole_area(0.092_903_04 * 120.4), "120 sq ft");
        assert_eq!(Units::Metric.whole_area(11.2373), "11.2 m²");
        for units in [Units::Imperial, Units::Inches, Units::Metric] {
            assert_eq!(Units::of_word(units.word()), units);
        }
    }

    #[test]
    fn a_plain_number_of_a_sheet_is_shown_with_its_unit() {
        let shown = |text: &str, length| typed(&TypedLength::new(text, length)).text;
        assert_eq!(shown("297", Length::from_mm(297)), "297 mm");
        assert_eq!(shown("8.5", Length::from_nanometres(8_500_000)), "8.5 mm");
        assert_eq!(shown("23 5/8\"", Length::from_nanometres(600_075_000)), "23 5/8\"");
    }

    #[test]
    fn what_is_made_reads_back_exactly() {
        for (units, nm) in [(Units::Imperial, 3_746_500_000), (Units::Metric, 1_500_000), (Units::Inches, 1)]
        {
            let made = units.made(Length::from_nanometres(nm));
            assert_eq!(Length::parse(made.text()).map(Length::nanometres), Ok(nm));
        }
    }

    #[test]
    fn times_are_written_as_iso_8601() {
        assert_eq!(iso(951_782_400_000), "2000-02-29T00:00:00Z");
        assert_eq!(iso(i64::MAX), "");
    }
}
