//! Lengths as integer nanometres, and the trade's ways of writing them.
//!
//! # What is read
//!
//! | written | meaning |
//! |---|---|
//! | `12' 3 1/2"`, `12'-3 1/2"`, `12' 3.5"`, `12 ft 3 1/2 in`, `12' 3 1/2` | feet, then inches |
//! | `12'`, `12.5 ft` | feet |
//! | `147 5/8"`, `147.5"`, `3 5/8 in`, `½"`, `147 5/8` | inches; a fraction without a unit can only be inches |
//! | `48 mm`, `37.5 cm`, `3.745 m`, `37,5 cm` | metric |
//!
//! # What is refused
//!
//! A number without a unit (`147`), a comma that may be a decimal or a thousands mark (`3,745 m`), inches of
//! twelve or more after feet, fractions that no tape has (`1/3"`), figures beyond 10 km. Each refusal says why
//! ([`Reason`]) and where in the text ([`LengthError::at`]).

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// Nanometres in a millimetre.
const MM: i64 = 1_000_000;
/// Nanometres in an inch, exactly (the international inch of 1959).
const INCH: i64 = 25_400_000;

/// A length: an integer number of nanometres, so that 1/64 in (396 875) and 0.1 mm (100 000) are exact.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);
    /// The largest magnitude that can be read: 10 km. Sums and products of such lengths stay far inside `i64`.
    pub const LIMIT: Self = Self(10_000_000 * MM);

    /// A length of so many nanometres.
    pub const fn from_nanometres(nm: i64) -> Self {
        Self(nm)
    }
    /// A length of whole millimetres.
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm * MM)
    }
    /// A length of whole sixty-fourths of an inch.
    pub const fn from_sixty_fourths(n: i64) -> Self {
        Self(n * (INCH / 64))
    }
    /// Rounds millimetres to the nearest nanometre; `None` if not finite or beyond [`Length::LIMIT`].
    pub fn from_mm_f64(mm: f64) -> Option<Self> {
        let nm = (mm * MM as f64).round();
        #[expect(clippy::cast_possible_truncation, reason = "checked against the limit in the same line")]
        (nm.abs() <= Self::LIMIT.0 as f64).then_some(Self(nm as i64))
    }
    /// The length in nanometres.
    pub const fn nanometres(self) -> i64 {
        self.0
    }
    /// The length in millimetres, exact to the last digit of `f64`.
    pub fn mm(self) -> f64 {
        self.0 as f64 / MM as f64
    }
    /// Without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
    /// The nearest multiple of `step`, halves away from zero. `step` must be positive.
    pub fn round_to(self, step: Self) -> Self {
        debug_assert!(step.0 > 0, "a step is positive");
        let half = step.0 / 2;
        let magnitude = (self.0.abs() + half) / step.0 * step.0;
        Self(magnitude * self.0.signum())
    }
    /// The largest multiple of `step` that is not longer. `step` must be positive.
    pub fn round_down_to(self, step: Self) -> Self {
        Self(self.0.div_euclid(step.0) * step.0)
    }
    /// The smallest multiple of `step` that is not shorter. `step` must be positive.
    pub fn round_up_to(self, step: Self) -> Self {
        Self(-(-self.0).div_euclid(step.0) * step.0)
    }

    /// Reads trade notation with a unit; see the [module](self) for what is read and what is refused.
    ///
    /// # Errors
    /// Says why the text is no length and at which byte.
    pub fn parse(text: &str) -> Result<Self, LengthError> {
        Parser { text, at: 0 }.length(None)
    }

    /// Reads trade notation where a keypad or a column heading already says the unit of a bare number.
    ///
    /// # Errors
    /// As [`Length::parse`].
    pub fn parse_in(text: &str, bare: BareUnit) -> Result<Self, LengthError> {
        Parser { text, at: 0 }.length(Some(bare))
    }

    /// Writes the length in a notation, rounded to that notation's finest figure.
    pub fn show(self, notation: Notation) -> String {
        match notation {
            Notation::FeetInches(den) => self.show_feet_inches(den),
            Notation::Inches(den) => self.show_inches(den),
            Notation::Millimetres(decimals) => format!("{} mm", decimal(self.0, MM, decimals)),
            Notation::Centimetres(decimals) => format!("{} cm", decimal(self.0, 10 * MM, decimals)),
            Notation::Metres(decimals) => format!("{} m", decimal(self.0, 1000 * MM, decimals)),
        }
    }

    fn show_feet_inches(self, den: u8) -> String {
        let (parts, inch) = (rounded_parts(self.0, den), i64::from(den.max(1)));
        let (feet, units) = (parts / (12 * inch), parts % (12 * inch));
        let sign = if self.0 < 0 && parts > 0 { "-" } else { "" };
        let inches = inches_text(units, den);
        // `17' 5/8"` is soon heard as 17 5/8", or as 17' 5": behind feet inches are said even where they are none.
        let none = if units < inch && units > 0 { "0 " } else { "" };
        if feet == 0 { format!("{sign}{inches}\"") } else { format!("{sign}{feet}' {none}{inches}\"") }
    }

    fn show_inches(self, den: u8) -> String {
        let parts = rounded_parts(self.0, den);
        let sign = if self.0 < 0 && parts > 0 { "-" } else { "" };
        format!("{sign}{}\"", inches_text(parts, den))
    }
}

/// The magnitude in whole `1/den` inches, halves up. A denominator of nought counts as one.
fn rounded_parts(nm: i64, den: u8) -> i64 {
    let den = i64::from(den.max(1));
    let wide = i128::from(nm.abs()) * i128::from(den);
    i64::try_from((wide + i128::from(INCH / 2)) / i128::from(INCH)).unwrap_or(i64::MAX)
}

/// `3 1/2`, `1/2`, `3` or `0` from a count of `1/den` inches, the fraction in lowest terms.
fn inches_text(parts: i64, den: u8) -> String {
    let den = i64::from(den.max(1));
    let (whole, mut num) = (parts / den, parts % den);
    let mut low = den;
    while num % 2 == 0 && low % 2 == 0 && num > 0 {
        num /= 2;
        low /= 2;
    }
    match (whole, num) {
        (w, 0) => format!("{w}"),
        (0, n) => format!("{n}/{low}"),
        (w, n) => format!("{w} {n}/{low}"),
    }
}

/// A count of nanometres in units of `unit` with so many decimals, halves away from zero, trailing zeros cut.
fn decimal(nm: i64, unit: i64, decimals: u8) -> String {
    let scale = 10_i128.pow(u32::from(decimals.min(9)));
    let wide = i128::from(nm.abs()) * scale;
    let rounded = (wide + i128::from(unit) / 2) / i128::from(unit);
    let sign = if nm < 0 && rounded > 0 { "-" } else { "" };
    let (whole, part) = (rounded / scale, rounded % scale);
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let digits = format!("{part:0width$}", width = usize::from(decimals.min(9)));
    format!("{sign}{whole}.{}", digits.trim_end_matches('0'))
}

/// How a length is written. The number is the finest fraction (a power of two up to 64) or the decimals kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notation {
    /// `12' 3 1/2"`; below a foot `3 1/2"`.
    FeetInches(u8),
    /// `147 1/2"`.
    Inches(u8),
    /// `3746.5 mm`.
    Millimetres(u8),
    /// `374.65 cm`.
    Centimetres(u8),
    /// `3.7465 m`.
    Metres(u8),
}

/// The unit a bare number has where the place it was typed in says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BareUnit {
    /// Inches: the inches-only keypad.
    Inches,
    /// Millimetres: the metric keypad.
    Millimetres,
}

/// Why a text is no length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Reason {
    /// There is nothing to read.
    #[error("nothing is written")]
    Empty,
    /// A number was expected.
    #[error("a number was expected")]
    NumberExpected,
    /// A number stands alone, and could be inches or millimetres.
    #[error("the unit is missing")]
    UnitMissing,
    /// The unit is none of `'`, `"`, ft, in, mm, cm, m.
    #[error("the unit is not known")]
    UnitUnknown,
    /// A comma with three digits behind it may mark decimals or thousands.
    #[error("the comma may mark decimals or thousands")]
    CommaAmbiguous,
    /// More than one decimal mark.
    #[error("more than one decimal mark")]
    SeveralMarks,
    /// Twelve inches or more after feet.
    #[error("twelve inches or more after feet")]
    InchesOverTwelve,
    /// A decimal number of feet followed by inches.
    #[error("inches after a broken number of feet")]
    BrokenFeet,
    /// A fraction that is not in lowest halves to sixty-fourths below one, or follows decimals.
    #[error("not a fraction of a tape")]
    Fraction,
    /// Something follows the length.
    #[error("something follows the length")]
    Trailing,
    /// Beyond 10 km.
    #[error("beyond 10 km")]
    TooLong,
}

/// Why and where a text is no length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{reason} (at character {})", .at + 1)]
pub struct LengthError {
    /// Why.
    pub reason: Reason,
    /// Characters (not bytes) before the place in the text.
    pub at: usize,
}

#[derive(Clone, Copy, PartialEq)]
enum Unit {
    Feet,
    Inches,
    Metric(i64),
}

/// A non-negative number as read: `nm_per_unit × value` is exact for all that a tape can show.
#[derive(Clone, Copy)]
struct Number {
    /// Decimal digits without the mark.
    digits: i128,
    /// 10 to the number of decimals.
    scale: i128,
    /// Fraction that follows, in sixty-fourths.
    sixty_fourths: i128,
    has_fraction: bool,
    has_decimals: bool,
}

impl Number {
    /// The value times `unit` nanometres, rounded to the nearest.
    fn times(self, unit: i64) -> i128 {
        let unit = i128::from(unit);
        (self.digits * unit + self.scale / 2) / self.scale + self.sixty_fourths * unit / 64
    }
}

struct Parser<'a> {
    text: &'a str,
    at: usize,
}

impl Parser<'_> {
    fn rest(&self) -> &str {
        &self.text[self.at..]
    }
    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }
    fn bump(&mut self, c: char) {
        self.at += c.len_utf8();
    }
    fn spaces(&mut self) {
        while let Some(c) = self.peek().filter(|c| c.is_whitespace()) {
            self.bump(c);
        }
    }
    fn fail_at<T>(&self, at: usize, reason: Reason) -> Result<T, LengthError> {
        Err(LengthError { reason, at: self.text[..at].chars().count() })
    }
    fn fail<T>(&self, reason: Reason) -> Result<T, LengthError> {
        self.fail_at(self.at, reason)
    }

    fn length(mut self, bare: Option<BareUnit>) -> Result<Length, LengthError> {
        self.spaces();
        if self.rest().is_empty() {
            return self.fail(Reason::Empty);
        }
        let negative = match self.peek() {
            Some(c @ ('-' | '\u{2212}')) => {
                self.bump(c);
                self.spaces();
                true
            }
            _ => false,
        };
        let magnitude = self.magnitude(bare)?;
        self.spaces();
        if !self.rest().is_empty() {
            return self.fail(Reason::Trailing);
        }
        match i64::try_from(magnitude) {
            Ok(nm) if nm <= Length::LIMIT.0 => Ok(Length(if negative { -nm } else { nm })),
            _ => self.fail_at(0, Reason::TooLong),
        }
    }

    fn magnitude(&mut self, bare: Option<BareUnit>) -> Result<i128, LengthError> {
        let start = self.at;
        let number = self.number()?;
        self.spaces();
        match self.unit()? {
            Some(Unit::Feet) if number.has_fraction => self.fail_at(start, Reason::Fraction),
            Some(Unit::Feet) => self.after_feet(number),
            Some(Unit::Inches) => Ok(number.times(INCH)),
            Some(Unit::Metric(_)) if number.has_fraction => self.fail_at(start, Reason::Fraction),
            Some(Unit::Metric(unit)) => Ok(number.times(unit)),
            None if number.has_fraction => Ok(number.times(INCH)),
            None => match bare {
                Some(BareUnit::Inches) => Ok(number.times(INCH)),
                Some(BareUnit::Millimetres) => Ok(number.times(MM)),
                None => self.fail(Reason::UnitMissing),
            },
        }
    }

    /// The inches after `12'`, if any: with or without their mark, as people write both.
    fn after_feet(&mut self, feet: Number) -> Result<i128, LengthError> {
        self.spaces();
        if let Some(c @ ('-' | '\u{2013}')) = self.peek() {
            self.bump(c);
            self.spaces();
            if self.rest().is_empty() {
                return self.fail(Reason::NumberExpected);
            }
        }
        if self.rest().is_empty() {
            return Ok(feet.times(12 * INCH));
        }
        let start = self.at;
        if self.peek().is_none_or(|c| !starts_number(c)) {
            return self.fail(Reason::Trailing);
        }
        if feet.has_decimals {
            return self.fail(Reason::BrokenFeet);
        }
        let inches = self.number()?;
        self.spaces();
        match self.unit()? {
            Some(Unit::Inches) | None => {}
            Some(_) => return self.fail_at(start, Reason::UnitUnknown),
        }
        let nm = inches.times(INCH);
        if nm >= i128::from(12 * INCH) {
            return self.fail_at(start, Reason::InchesOverTwelve);
        }
        Ok(feet.times(12 * INCH) + nm)
    }

    fn unit(&mut self) -> Result<Option<Unit>, LengthError> {
        // The two-character inch mark '' must be looked for before the foot mark.
        const MARKS: [(&str, Unit); 9] = [
            ("''", Unit::Inches),
            ("\u{2032}\u{2032}", Unit::Inches),
            ("\"", Unit::Inches),
            ("\u{2033}", Unit::Inches),
            ("\u{201d}", Unit::Inches),
            ("\u{201c}", Unit::Inches),
            ("'", Unit::Feet),
            ("\u{2032}", Unit::Feet),
            ("\u{2019}", Unit::Feet),
        ];
        for (mark, unit) in MARKS {
            if self.rest().starts_with(mark) {
                self.at += mark.len();
                return Ok(Some(unit));
            }
        }
        let word: String = self.rest().chars().take_while(|c| c.is_alphabetic()).collect();
        if word.is_empty() {
            return Ok(None);
        }
        let unit = match word.to_lowercase().as_str() {
            "ft" | "feet" | "foot" => Unit::Feet,
            "in" | "inch" | "inches" => Unit::Inches,
            "mm" => Unit::Metric(MM),
            "cm" => Unit::Metric(10 * MM),
            "m" => Unit::Metric(1000 * MM),
            _ => return self.fail(Reason::UnitUnknown),
        };
        self.at += word.len();
        if self.rest().starts_with('.') && !matches!(unit, Unit::Metric(_)) {
            self.at += 1; // `ft.` and `in.`
        }
        Ok(Some(unit))
    }

    /// A number with its fraction: `3`, `3.5`, `3,5`, `3 1/2`, `3-1/2`, `1/2`, `3½`.
    fn number(&mut self) -> Result<Number, LengthError> {
        let start = self.at;
        if let Some(n) = self.glyph() {
            return Ok(Number {
                digits: 0,
                scale: 1,
                sixty_fourths: n,
                has_fraction: true,
                has_decimals: false,
            });
        }
        let mut number = self.decimal()?;
        if !number.has_decimals && self.rest().starts_with('/') {
            self.at = start;
            number = Number { digits: 0, ..number };
            return self.with_fraction(number);
        }
        let before = self.at;
        if let Some(n) = self.glyph() {
            return if number.has_decimals {
                self.fail_at(before, Reason::Fraction)
            } else {
                Ok(Number { sixty_fourths: n, has_fraction: true, ..number })
            };
        }
        self.spaces();
        if let Some(c @ ('-' | '\u{2013}')) = self.peek() {
            self.bump(c);
            self.spaces();
        }
        if let Some(n) = self.glyph() {
            return Ok(Number { sixty_fourths: n, has_fraction: true, ..number });
        }
        if self.looks_like_fraction() {
            return if number.has_decimals {
                self.fail(Reason::Fraction)
            } else {
                self.with_fraction(number)
            };
        }
        self.at = before;
        Ok(number)
    }

    fn looks_like_fraction(&self) -> bool {
        let digits = self.rest().chars().take_while(char::is_ascii_digit).count();
        digits > 0 && self.rest()[digits..].starts_with('/')
    }

    fn with_fraction(&mut self, whole: Number) -> Result<Number, LengthError> {
        let start = self.at;
        let num = self.digits().unwrap_or(0);
        self.bump('/');
        let Some(den) = self.digits() else { return self.fail(Reason::NumberExpected) };
        let on_a_tape = matches!(den, 2 | 4 | 8 | 16 | 32 | 64) && (1..den).contains(&num);
        if !on_a_tape {
            return self.fail_at(start, Reason::Fraction);
        }
        Ok(Number { sixty_fourths: num * (64 / den), has_fraction: true, ..whole })
    }

    /// A typeset fraction such as `½`, in sixty-fourths.
    fn glyph(&mut self) -> Option<i128> {
        let c = self.peek()?;
        let n = match c {
            '\u{bd}' => 32,
            '\u{bc}' => 16,
            '\u{be}' => 48,
            '\u{215b}' => 8,
            '\u{215c}' => 24,
            '\u{215d}' => 40,
            '\u{215e}' => 56,
            _ => return None,
        };
        self.bump(c);
        Some(n)
    }

    fn digits(&mut self) -> Option<i128> {
        let run: String = self.rest().chars().take_while(char::is_ascii_digit).collect();
        self.at += run.len();
        // Beyond 18 digits the value is past the limit anyway; saturating keeps the arithmetic in range.
        if run.is_empty() { None } else { Some(run.parse::<i128>().map_or(SATURATED, |n| n.min(SATURATED))) }
    }

    fn decimal(&mut self) -> Result<Number, LengthError> {
        let start = self.at;
        let whole = self.digits();
        let whole_digits = self.at - start;
        let plain =
            |n| Number { digits: n, scale: 1, sixty_fourths: 0, has_fraction: false, has_decimals: false };
        let mark = match self.peek() {
            Some(c @ ('.' | ',')) => c,
            _ => return whole.map_or_else(|| self.fail(Reason::NumberExpected), |n| Ok(plain(n))),
        };
        let mark_at = self.at;
        self.bump(mark);
        let part_start = self.at;
        let part_digits = self.rest().chars().take_while(char::is_ascii_digit).count();
        if part_digits == 0 {
            return self.fail(Reason::NumberExpected);
        }
        // Nine decimals of a metre are nanometres; finer figures round away.
        let kept = part_digits.min(MAX_DECIMALS);
        let part = self.text[part_start..part_start + kept].parse::<i128>().unwrap_or(0);
        self.at = part_start + part_digits;
        if matches!(self.peek(), Some('.' | ',')) {
            return self.fail(Reason::SeveralMarks);
        }
        let leading_zero_or_none = whole.unwrap_or(0) == 0 && whole_digits <= 1;
        if mark == ',' && part_digits == 3 && !leading_zero_or_none && whole_digits <= 3 {
            return self.fail_at(mark_at, Reason::CommaAmbiguous);
        }
        let scale = 10_i128.pow(u32::try_from(kept).unwrap_or(0));
        let digits = whole.unwrap_or(0).saturating_mul(scale).saturating_add(part);
        Ok(Number { digits, scale, sixty_fourths: 0, has_fraction: false, has_decimals: true })
    }
}

/// Decimals that are kept when a number is read; the rest is below a nanometre in any unit.
const MAX_DECIMALS: usize = 12;
/// A whole number past any limit, small enough to be multiplied by a unit and a scale in `i128`.
const SATURATED: i128 = 1_000_000_000_000_000;

fn starts_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '\u{bd}' | '\u{bc}' | '\u{be}' | '\u{215b}'..='\u{215e}')
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", decimal(self.0, MM, 6))
    }
}
impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}
impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}
impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, by: i64) -> Self {
        Self(self.0 * by)
    }
}
impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Checks many spellings of one length, in sixty-fourths of an inch.
    fn reads_as(sixty_fourths: i64, spellings: &[&str]) {
        for text in spellings {
            assert_eq!(Length::parse(text), Ok(Length::from_sixty_fourths(sixty_fourths)), "{text}");
        }
    }

    fn refuses(text: &str, reason: Reason, at: usize) {
        assert_eq!(Length::parse(text), Err(LengthError { reason, at }), "{text}");
    }

    #[test]
    fn feet_and_inches_in_every_hand() {
        reads_as(
            (12 * 12 + 3) * 64 + 32,
            &[
                "12' 3 1/2\"",
                "12'-3 1/2\"",
                "12'3 1/2\"",
                "12' 3-1/2\"",
                "12' - 3 1/2\"",
                "12' 3.5\"",
                "12' 3,5\"",
                "12 ft 3 1/2 in",
                "12ft 3.5in",
                "12 ft. 3 1/2 in.",
                "12' 3½\"",
                "12′ 3½″",
                "12’ 3 ½”",
                "12' 3 1/2",
                "12' 3 1/2''",
                "  12' 3 1/2\"  ",
                "12 feet 3 1/2 inches",
                "147 1/2\"",
                "147.5\"",
                "147 1/2",
            ],
        );
        reads_as(120 * 64, &["10 ft", "10'", "10' 0\"", "120\"", "10.0'"]);
        reads_as(150 * 64, &["12.5'", "12,5 ft"]);
        reads_as(40, &["5/8\"", "5/8", "⅝\"", "0' 5/8\"", "0.625 in", ".625\""]);
        reads_as(-(3 * 64 + 1), &["-3 1/64\"", "\u{2212}3 1/64\""]);
    }

    #[test]
    fn metric() {
        for (text, nm) in [
            ("3.745 m", 3_745_000_000),
            ("37.5 cm", 375_000_000),
            ("37,5 cm", 375_000_000),
            ("48 mm", 48_000_000),
            ("48mm", 48_000_000),
            ("0,375 m", 375_000_000),
            (",375 m", 375_000_000),
            ("12,50 m", 12_500_000_000),
            ("3746,5 mm", 3_746_500_000),
            ("1234,500 mm", 1_234_500_000),
            ("0.1 mm", 100_000),
        ] {
            assert_eq!(Length::parse(text), Ok(Length(nm)), "{text}");
        }
    }

    #[test]
    fn refusals_say_why_and_where() {
        refuses("", Reason::Empty, 0);
        refuses("   ", Reason::Empty, 3);
        refuses("147", Reason::UnitMissing, 3);
        refuses("147.5", Reason::UnitMissing, 5);
        refuses("3,745 m", Reason::CommaAmbiguous, 1);
        refuses("1.234,5 mm", Reason::SeveralMarks, 5);
        refuses("12' 14\"", Reason::InchesOverTwelve, 4);
        refuses("3' 12\"", Reason::InchesOverTwelve, 3);
        refuses("12.5' 3\"", Reason::BrokenFeet, 6);
        refuses("3 1/3\"", Reason::Fraction, 2);
        refuses("3 9/8\"", Reason::Fraction, 2);
        refuses("3.5 1/2\"", Reason::Fraction, 4);
        refuses("1/2 mm", Reason::Fraction, 0);
        refuses("1/0\"", Reason::Fraction, 0);
        refuses("12 yd", Reason::UnitUnknown, 3);
        refuses("abc", Reason::NumberExpected, 0);
        refuses("12' 3\" x", Reason::Trailing, 7);
        refuses("12'-", Reason::NumberExpected, 4);
        refuses("--5 mm", Reason::NumberExpected, 1);
        refuses("1e300 mm", Reason::UnitUnknown, 1);
        refuses("99999999999999999999999999 mm", Reason::TooLong, 0);
        refuses("99999999999999999999999999999999999999999999 ft", Reason::TooLong, 0);
        refuses("3.", Reason::NumberExpected, 2);
        refuses("12' 3 m", Reason::UnitUnknown, 4);
        refuses("½½\"", Reason::Trailing, 1);
    }

    #[test]
    fn a_bare_number_takes_the_keypad_s_unit() {
        assert_eq!(
            Length::parse_in("147.5", BareUnit::Inches),
            Ok(Length::from_sixty_fourths(147 * 64 + 32))
        );
        assert_eq!(Length::parse_in("3746.5", BareUnit::Millimetres), Ok(Length(3_746_500_000)));
        assert_eq!(Length::parse_in("12'", BareUnit::Millimetres), Ok(Length::from_sixty_fourths(144 * 64)));
    }

    #[test]
    fn shows_the_finest_figure_it_is_asked_for() {
        let l = Length::from_mm_f64(3746.6).expect("in range");
        assert_eq!(l.show(Notation::FeetInches(16)), "12' 3 1/2\"");
        assert_eq!(l.show(Notation::Millimetres(0)), "3747 mm");
        assert_eq!(l.show(Notation::Metres(3)), "3.747 m");
        assert_eq!(Length::ZERO.show(Notation::FeetInches(16)), "0\"");
        assert_eq!(Length::from_sixty_fourths(144 * 64 - 1).show(Notation::FeetInches(16)), "12' 0\"");
        let over_feet = Length::from_sixty_fourths(17 * 12 * 64 + 40);
        assert_eq!(over_feet.show(Notation::FeetInches(16)), "17' 0 5/8\"", "not to be heard as 17 5/8");
        assert_eq!(Length::from_sixty_fourths((17 * 12 + 1) * 64).show(Notation::FeetInches(16)), "17' 1\"");
        assert_eq!(
            Length::from_sixty_fourths(13 * 64 + 40).show(Notation::FeetInches(0)),
            "1' 2\"",
            "as of 1"
        );
        assert_eq!(Length::from_sixty_fourths(-(12 * 64 + 4)).show(Notation::FeetInches(16)), "-1' 0 1/16\"");
        assert_eq!(
            Length::from_sixty_fourths(-4).show(Notation::FeetInches(16)),
            "-1/16\"",
            "the least of them"
        );
        assert_eq!(
            Length::from_nanometres(-1).show(Notation::FeetInches(16)),
            "0\"",
            "no sign before nought"
        );
        assert_eq!(Length::from_nanometres(-1).show(Notation::Inches(64)), "0\"");
        assert_eq!(Length::from_sixty_fourths(-40).show(Notation::FeetInches(64)), "-5/8\"");
    }

    #[test]
    fn rounding_has_a_looser_side() {
        let step = Length::from_sixty_fourths(4);
        let l = Length::from_sixty_fourths(7);
        assert_eq!(l.round_down_to(step), Length::from_sixty_fourths(4));
        assert_eq!(l.round_up_to(step), Length::from_sixty_fourths(8));
        assert_eq!(Length::from_sixty_fourths(-7).round_down_to(step), Length::from_sixty_fourths(-8));
        assert_eq!(Length::from_sixty_fourths(6).round_to(step), Length::from_sixty_fourths(8));
        assert_eq!(Length::from_sixty_fourths(-6).round_to(step), Length::from_sixty_fourths(-8));
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back_on_the_inch_lattice(n in -20_000_000_i64..20_000_000) {
            let l = Length::from_sixty_fourths(n);
            for notation in [Notation::FeetInches(64), Notation::Inches(64)] {
                prop_assert_eq!(Length::parse(&l.show(notation)), Ok(l));
            }
        }

        #[test]
        fn what_is_printed_reads_back_on_the_metric_lattice(n in -90_000_000_i64..90_000_000) {
            let l = Length::from_nanometres(n * 100_000);
            for notation in [Notation::Millimetres(1), Notation::Centimetres(2), Notation::Metres(4)] {
                prop_assert_eq!(Length::parse(&l.show(notation)), Ok(l));
            }
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC*") {
            if let Err(e) = Length::parse(&text) {
                prop_assert!(e.at <= text.chars().count());
            }
        }

        #[test]
        fn any_near_miss_is_read_or_refused(text in "[-0-9 .,/'\"½″ftinmc]{0,14}") {
            let _ = Length::parse(&text);
        }
    }
}
