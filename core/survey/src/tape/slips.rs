//! How people slip: the few ways in which a reading usually comes out wrong, tried on a reading that is doubted.
//!
//! All of it is *common practice*: no published list. What is found is a guess and is said as one.

use drylay_geometry::Length;

/// A usual slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slip {
    /// The tape was held at its 1 in (or 10 cm) mark and the mark not taken off: too long by it.
    BurnedAtOne,
    /// A whole inch too much or too little.
    WholeInch,
    /// A whole foot (or 100 mm on a metric tape) too much or too little.
    WholeFoot,
    /// Two digits changed places.
    DigitsSwapped,
    /// A 6 read for a 9 or the other way round: the figure was upside down.
    SixForNine,
    /// Sixteenths counted as eighths, or the other way round.
    EighthsForSixteenths,
}

/// A slip with the reading it would have spoilt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// Which slip.
    pub slip: Slip,
    /// What would have been read without it.
    pub instead: Length,
    /// How far that is from what the other readings say.
    pub off: Length,
}

const INCH: i64 = 25_400_000;
const SIXTEENTH: i64 = INCH / 16;
const MM: i64 = 1_000_000;

/// The slips that turn what the others say into what was read, nearest first; equals in the order of [`Slip`].
///
/// `should` and `sd` in mm: what the other readings say, and how well. A slip counts if it leaves no more than
/// three standard deviations or a sixteenth of an inch, whichever is more, and explains at least three quarters of
/// an error of at least four standard deviations.
pub fn guesses(read: Length, should_mm: f64, sd_mm: f64) -> Vec<Guess> {
    let close = (3.0 * sd_mm).max(25.4 / 16.0);
    let error = (read.mm() - should_mm).abs();
    if error < 4.0 * sd_mm {
        return Vec::new(); // hardly an error at all
    }
    let mut found: Vec<Guess> = Vec::new();
    for (slip, instead) in usual(read) {
        let off = instead.mm() - should_mm;
        let Some(off_length) = Length::from_mm_f64(off) else { continue };
        if instead > Length::ZERO && off.abs() <= close && off.abs() <= error / 4.0 {
            found.push(Guess { slip, instead, off: off_length.abs() });
        }
    }
    found.sort_by(|a, b| a.off.cmp(&b.off).then(a.slip.cmp(&b.slip)).then(a.instead.cmp(&b.instead)));
    let mut seen = Vec::new();
    found.retain(|g| {
        !seen.contains(&g.slip) && {
            seen.push(g.slip);
            true
        }
    });
    found
}

/// Everything the reading could have been before a usual slip.
fn usual(read: Length) -> Vec<(Slip, Length)> {
    let nm = read.nanometres();
    let imperial = nm % (INCH / 64) == 0;
    let mut out: Vec<(Slip, i64)> = Vec::new();
    if imperial {
        out.push((Slip::BurnedAtOne, nm - INCH));
        out.extend([-2, -1, 1, 2].map(|k| (Slip::WholeInch, nm - k * INCH)));
        out.extend([-2, -1, 1, 2].map(|k| (Slip::WholeFoot, nm - k * 12 * INCH)));
        eighths(nm, &mut out);
        inch_digits(nm, &mut out);
    } else {
        out.push((Slip::BurnedAtOne, nm - 100 * MM));
        out.extend([-1, 1].map(|k| (Slip::WholeFoot, nm - k * 100 * MM)));
        out.extend([-1, 1].map(|k| (Slip::WholeFoot, nm - k * 1000 * MM)));
        digits(nm / MM, |v| v * MM + nm % MM, &mut out);
    }
    out.into_iter().filter(|&(_, v)| v != nm).map(|(slip, v)| (slip, Length::from_nanometres(v))).collect()
}

/// n/8 where n/16 was meant, and back.
fn eighths(nm: i64, out: &mut Vec<(Slip, i64)>) {
    let (whole, part) = (nm.div_euclid(INCH) * INCH, nm.rem_euclid(INCH));
    let sixteenths = part / SIXTEENTH;
    if part % SIXTEENTH != 0 || sixteenths == 0 {
        return;
    }
    if sixteenths % 2 == 0 {
        out.push((Slip::EighthsForSixteenths, whole + sixteenths / 2 * SIXTEENTH));
    }
    if sixteenths < 8 {
        out.push((Slip::EighthsForSixteenths, whole + sixteenths * 2 * SIXTEENTH));
    }
}

/// Digits of the inches read straight through, and of feet and inches read apart.
fn inch_digits(nm: i64, out: &mut Vec<(Slip, i64)>) {
    let (inches, part) = (nm / INCH, nm % INCH);
    digits(inches, |v| v * INCH + part, out);
    let (feet, rest) = (inches / 12, inches % 12);
    digits(feet, |v| (v * 12 + rest) * INCH + part, out);
    digits(rest, |v| if v < 12 { (feet * 12 + v) * INCH + part } else { nm }, out);
}

/// Neighbouring digits swapped, and each 6 or 9 turned over.
fn digits(number: i64, back: impl Fn(i64) -> i64, out: &mut Vec<(Slip, i64)>) {
    let text = number.to_string().into_bytes();
    let value = |t: &[u8]| t.iter().fold(0i64, |v, d| v * 10 + i64::from(d - b'0'));
    for i in 0..text.len() {
        if i + 1 < text.len() && text[i] != text[i + 1] {
            let mut t = text.clone();
            t.swap(i, i + 1);
            out.push((Slip::DigitsSwapped, back(value(&t))));
        }
        if let b'6' | b'9' = text[i] {
            let mut t = text.clone();
            t[i] = if text[i] == b'6' { b'9' } else { b'6' };
            out.push((Slip::SixForNine, back(value(&t))));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn first(read: &str, should: &str) -> Option<(Slip, Length)> {
        let (read, should) =
            (Length::parse(read).expect("a length"), Length::parse(should).expect("a length"));
        guesses(read, should.mm() + 0.3, 0.5).first().map(|g| (g.slip, g.instead))
    }

    #[test]
    fn usual_slips_are_recognised() {
        let check = |read, should, slip| {
            let length = Length::parse(should).expect("a length");
            assert_eq!(first(read, should), Some((slip, length)), "{read} for {should}");
        };
        check("12' 3 1/2\"", "12' 2 1/2\"", Slip::BurnedAtOne);
        check("12' 3 1/2\"", "12' 4 1/2\"", Slip::WholeInch);
        check("12' 3 1/2\"", "11' 3 1/2\"", Slip::WholeFoot);
        check("147 5/8\"", "174 5/8\"", Slip::DigitsSwapped);
        check("16' 2\"", "19' 2\"", Slip::SixForNine);
        check("10' 3/8\"", "10' 3/16\"", Slip::EighthsForSixteenths);
        check("3745 mm", "3754 mm", Slip::DigitsSwapped);
        check("3765 mm", "3795 mm", Slip::SixForNine);
        // A metric tape is held at 100 mm where its hook is bent.
        check("3845 mm", "3745 mm", Slip::BurnedAtOne);
        check("3745 mm", "3845 mm", Slip::WholeFoot);
        check("3745 mm", "4745 mm", Slip::WholeFoot);
        check("3745 mm", "2745 mm", Slip::WholeFoot);
    }

    /// Half an inch is 8/16: twice as many would be an inch, which no tape says in sixteenths.
    #[test]
    fn sixteenths_are_doubled_within_the_inch() {
        let of = |sixteenths: i64| {
            let mut found = Vec::new();
            eighths(7 * INCH + sixteenths * SIXTEENTH, &mut found);
            found.iter().map(|(_, nm)| (nm - 7 * INCH) / SIXTEENTH).collect::<Vec<_>>()
        };
        assert_eq!(
            [of(0), of(3), of(6), of(7), of(8), of(9), of(10)].map(|found| found),
            [vec![], vec![6], vec![3, 12], vec![14], vec![4], vec![], vec![5]]
        );
    }

    #[test]
    fn no_guess_where_nothing_fits_or_the_others_know_too_little() {
        assert_eq!(first("12' 3 1/2\"", "12' 10 1/4\""), None);
        let read = Length::parse("12' 3 1/2\"").expect("a length");
        assert_eq!(guesses(read, read.mm() - 8.0, 20.0), Vec::new());
    }
}
