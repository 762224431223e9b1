//! Moisture tests: how many, how deep, what they come to, whether they count, and whether the product bears it.

use super::published::{Count, HOLE_DEPTH, HOLE_SLACK, POUND_GRAMS, SQUARE_FOOT_M2, WayOfReading};
use drylay_geometry::Length;

/// Areas beyond which no more tests are counted: no house is so large.
const MOST_AREAS: u32 = 10_000;

/// How moisture was read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Relative humidity in a drilled hole.
    #[default]
    InSitu,
    /// Calcium chloride: emission from weight gained.
    Chloride,
    /// Moisture content of wood.
    Wood,
    /// A surface scan: compares places, judges nothing.
    Scan,
}

/// Something about a test that a method or a product limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// Hours of equilibration or exposure.
    Hours,
    /// Depth of the hole, mm.
    Depth,
    /// Hours for which slab and air were as in use before.
    ServiceHours,
    /// Days from the last check of the instrument to the reading.
    CalibratedDays,
    /// Days from the reading to the day it is used.
    AgeDays,
    /// Air temperature, °C.
    AirCelsius,
    /// Relative humidity of the air, per cent.
    AirPercent,
    /// Weight gained, g.
    Gain,
}

/// What a test must keep of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Of what.
    pub what: What,
    /// At least so much.
    pub least: f64,
    /// At most so much; infinite for no limit.
    pub most: f64,
}

/// A test as it was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Test {
    /// How.
    pub method: Method,
    /// Per cent: humidity in the hole, or moisture content.
    pub percent: Option<f64>,
    /// Weight before and after, g.
    pub grams: Option<[f64; 2]>,
    /// Area under the dome, cm².
    pub area_cm2: Option<f64>,
    /// Hours of equilibration or exposure.
    pub hours: Option<f64>,
    /// Depth of the hole.
    pub depth: Option<Length>,
    /// Hours for which slab and air were as in use before.
    pub service_hours: Option<f64>,
    /// Days from the last check of the instrument.
    pub calibrated_days: Option<f64>,
    /// Days from the reading to the day it is used.
    pub age_days: Option<f64>,
    /// Air temperature, °C.
    pub celsius: Option<f64>,
    /// Relative humidity of the air, per cent.
    pub air_percent: Option<f64>,
}

/// The slab that is read.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slab {
    /// Its thickness.
    pub thickness: Option<Length>,
    /// Whether it dries to both sides.
    pub both_sides: bool,
}

/// Why a test does not count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flaw {
    /// What was found.
    pub found: f64,
    /// What was asked.
    pub asked: Range,
}

/// A test with what it comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Read {
    /// Per cent, or pounds for 1000 ft² in 24 h; `None` where that cannot be computed.
    pub value: Option<f64>,
    /// Why it does not count.
    pub flaws: Vec<Flaw>,
    /// What would have to be said for it to count.
    pub unsaid: Vec<What>,
}

impl Read {
    /// Whether it counts.
    pub fn is_valid(&self) -> bool {
        self.value.is_some() && self.flaws.is_empty() && self.unsaid.is_empty()
    }
}

impl Count {
    /// How many tests an area in m² needs.
    pub fn of(&self, area_m2: f64) -> u32 {
        // A floor measured a hair over the area is no second one: a square centimetre is left out.
        let ends = |begun: &u32| f64::from(*begun + 1) * self.area_m2 >= area_m2 - 1e-4;
        self.first + self.each * (0..MOST_AREAS).find(ends).unwrap_or(MOST_AREAS)
    }
}

impl Slab {
    /// How deep a hole must be.
    pub fn hole_depth_mm(&self) -> Option<f64> {
        let share = if self.both_sides { HOLE_DEPTH.1 } else { HOLE_DEPTH.0 };
        self.thickness.map(|t| share * t.mm())
    }
}

/// Emission in pounds for 1000 ft² in 24 h, from grams gained on so many cm² in so many hours (ASTM F1869).
pub fn emission(gain_grams: f64, area_cm2: f64, hours: f64) -> f64 {
    let square_feet = area_cm2 / 1e4 / SQUARE_FOOT_M2;
    24.0 * 1000.0 / POUND_GRAMS * gain_grams / (square_feet * hours)
}

/// What a test comes to and whether it counts. `most_days` is how old the product lets it be.
pub fn read(test: &Test, way: Option<&WayOfReading>, slab: &Slab, most_days: Option<f64>) -> Read {
    let mut read = Read { value: value(test), ..Read::default() };
    let mut ranges: Vec<Range> = way.map(|w| w.ranges.to_vec()).unwrap_or_default();
    if test.method == Method::InSitu {
        match slab.hole_depth_mm() {
            Some(depth) => {
                ranges.push(Range { what: What::Depth, least: depth - HOLE_SLACK, most: depth + HOLE_SLACK });
            }
            None => read.unsaid.push(What::Depth),
        }
    }
    if test.grams.is_some() {
        ranges.push(Range { what: What::Gain, least: 0.0, most: f64::INFINITY });
    }
    ranges.extend(most_days.map(|most| Range { what: What::AgeDays, least: 0.0, most }));
    for asked in ranges {
        match of(test, asked.what) {
            Some(found) if found < asked.least || found > asked.most => {
                read.flaws.push(Flaw { found, asked });
            }
            Some(_) => {}
            None => read.unsaid.push(asked.what),
        }
    }
    read
}

fn value(test: &Test) -> Option<f64> {
    match test.method {
        Method::Chloride => {
            let ([before, after], area, hours) = (test.grams?, test.area_cm2?, test.hours?);
            (area > 0.0 && hours > 0.0).then(|| emission(after - before, area, hours))
        }
        _ => test.percent,
    }
}

fn of(test: &Test, what: What) -> Option<f64> {
    match what {
        What::Hours => test.hours,
        What::Depth => test.depth.map(Length::mm),
        What::ServiceHours => test.service_hours,
        What::CalibratedDays => test.calibrated_days,
        What::AgeDays => test.age_days,
        What::AirCelsius => test.celsius,
        What::AirPercent => test.air_percent,
        What::Gain => test.grams.map(|[before, after]| after - before),
    }
}

/// Whether a floor is dry enough.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Enough tests that count, none over the limit.
    Pass,
    /// A test that counts is over the limit.
    Fail,
    /// Too few tests count, or one that does not is over the limit.
    Unsure,
    /// Nothing was read.
    Unread,
    /// The product sets no limit.
    Unasked,
}

/// The tests of one method, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub verdict: Verdict,
    /// The highest that counts.
    pub highest: Option<f64>,
    /// How many count.
    pub valid: u32,
    /// How many are asked.
    pub asked: u32,
}

/// Judges tests of one method against the product's limit.
pub fn judge(reads: &[Read], limit: Option<f64>, asked: u32) -> Judged {
    let valid: Vec<f64> = reads.iter().filter(|r| r.is_valid()).filter_map(|r| r.value).collect();
    let highest = valid.iter().copied().reduce(f64::max);
    let count = u32::try_from(valid.len()).unwrap_or(u32::MAX);
    let verdict = match limit {
        _ if reads.is_empty() => Verdict::Unread,
        None => Verdict::Unasked,
        Some(limit) if highest.is_some_and(|h| h > limit) => Verdict::Fail,
        Some(limit) if count < asked || reads.iter().any(|r| r.value.is_some_and(|v| v > limit)) => {
            Verdict::Unsure
        }
        Some(_) => Verdict::Pass,
    };
    Judged { verdict, highest, valid: count, asked }
}

/// By how much the mean moisture contents of subfloor and flooring differ, in per cent.
pub fn difference(subfloor: &[f64], flooring: &[f64]) -> Option<f64> {
    let mean = |of: &[f64]| (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64);
    Some((mean(subfloor)? - mean(flooring)?).abs())
}

#[cfg(test)]
mod tests {
    use super::super::published::{WAYS, way};
    use super::*;

    fn feet(n: f64) -> f64 {
        n * SQUARE_FOOT_M2
    }

    /// ASTM F2170 §10.1, as a page quoting the standard has it: 3 for the first 1000 ft², at least 1 for each further.
    #[test]
    fn how_many_holes() {
        let count = WAYS[0].count;
        let of = |square_feet: f64| count.of(feet(square_feet));
        assert_eq!([of(0.0), of(120.0), of(1000.0), of(1001.0), of(2000.0), of(2500.0)], [3, 3, 3, 4, 4, 5]);
        assert_eq!(of(1e12), 10_003, "counting has an end");
        // NWFA practice, from memory: 20 readings of wood for every 1000 ft².
        assert_eq!(WAYS[3].count.of(feet(1500.0)), 40);
    }

    /// ASTM F2170 §9 and §10, 2018 edition and 2009 text, as pages quoting and summing up the standard have it, and
    /// ASTM F1869 as instructions written to its 2004 edition have it: 65 to 85 °F are 18.3 to 29.4 °C.
    #[test]
    fn between_what_a_reading_counts() {
        let ranges = |at: usize| {
            let told = WAYS[at].ranges.iter().map(|range| {
                let whole =
                    |end: f64| if end.is_finite() { format!("{end:.1}") } else { "no end".to_owned() };
                format!("{:?} {} {}", range.what, whole(range.least), whole(range.most))
            });
            told.collect::<Vec<_>>()
        };
        let service = "ServiceHours 48.0 no end";
        assert_eq!(ranges(0), ["Hours 24.0 no end", service, "CalibratedDays 0.0 30.0"]);
        assert_eq!(ranges(1), ["Hours 72.0 no end", service, "CalibratedDays 0.0 30.0"]);
        assert_eq!(ranges(2), ["Hours 60.0 72.0", service, "AirCelsius 18.3 29.4", "AirPercent 40.0 60.0"]);
        assert!(WAYS[3].ranges.is_empty());
    }

    /// ASTM F2170 §10.2, as a page quoting the standard has it: 40 % drying from the top, 20 % from both sides.
    #[test]
    fn how_deep_a_hole() {
        let slab = |both_sides| Slab { thickness: Some(Length::parse("4\"").expect("a length")), both_sides };
        assert!((slab(false).hole_depth_mm().expect("a depth") - 1.6 * 25.4).abs() < 1e-9);
        assert!((slab(true).hole_depth_mm().expect("a depth") - 0.8 * 25.4).abs() < 1e-9);
    }

    /// An emission is a weight per area and time; of no time or no area there is none.
    #[test]
    fn a_dome_without_area_or_hours_says_nothing() {
        let dome = |area_cm2: f64, hours: f64| Test {
            method: Method::Chloride,
            grams: Some([100.0, 101.0]),
            area_cm2: Some(area_cm2),
            hours: Some(hours),
            ..Test::default()
        };
        assert!(value(&dome(500.0, 60.0)).is_some_and(|read| read > 0.0));
        assert_eq!([dome(0.0, 60.0), dome(500.0, 0.0), dome(-1.0, -1.0)].map(|test| value(&test)), [None; 3]);
    }

    /// Common practice: a hole counts that misses its depth by no more than 3 mm, too deep or too shallow.
    #[test]
    fn a_hole_may_miss_its_depth_by_three_millimetres() {
        // 40 % of 102 are 40.8.
        let slab = Slab { thickness: Some(Length::from_mm(102)), both_sides: false };
        let counts = |mm: f64| {
            let test = Test { depth: Length::from_mm_f64(mm), ..hole(30.0) };
            read(&test, way(Method::InSitu, None), &slab, None).is_valid()
        };
        assert!(counts(37.9) && counts(43.7) && !counts(37.7) && !counts(43.9));
    }

    /// Instructions written to ASTM F1869-04: 33.0 g to 38.0 g in 72 h under a dome of 0.44874 ft² (factor 117.909) is
    /// 8.19; the constant 52.91 is 24·1000/453.592.
    #[test]
    fn emission_of_the_worked_example() {
        let dome = 0.448_74 * SQUARE_FOOT_M2 * 1e4;
        assert!((emission(5.0, dome, 72.0) - 8.19).abs() < 0.005);
        assert!((emission(1.0, dome, 1.0) - 117.909).abs() < 0.005);
        assert!((emission(1.0, SQUARE_FOOT_M2 * 1e4, 1.0) - 52.91).abs() < 0.005);
    }

    fn hole(hours: f64) -> Test {
        Test {
            percent: Some(78.0),
            hours: Some(hours),
            depth: Some(Length::from_mm(41)),
            service_hours: Some(48.0),
            calibrated_days: Some(12.0),
            ..Test::default()
        }
    }

    /// ASTM F2170 §9 and §10: 72 h of equilibration by the 2009 text, 24 h since the 2018 edition.
    #[test]
    fn the_edition_says_how_long_a_hole_rests() {
        let slab = Slab { thickness: Some(Length::from_mm(102)), both_sides: false };
        let valid =
            |id: &str, hours| read(&hole(hours), way(Method::InSitu, Some(id)), &slab, None).is_valid();
        assert!(valid("astm-f2170-2018", 24.0) && !valid("astm-f2170-2018", 23.0));
        assert!(valid("astm-f2170-2009", 72.0) && !valid("astm-f2170-2009", 24.0));
    }

    #[test]
    fn a_test_out_of_its_conditions_or_date_does_not_count_and_says_why() {
        let slab = Slab { thickness: Some(Length::from_mm(102)), both_sides: false };
        let flaws = |test: &Test| {
            let read = read(test, way(test.method, None), &slab, Some(30.0));
            (read.flaws.iter().map(|f| f.asked.what).collect::<Vec<_>>(), read.unsaid)
        };
        let good = Test { age_days: Some(3.0), ..hole(30.0) };
        assert_eq!(flaws(&good), (vec![], vec![]));
        let stale = Test { age_days: Some(31.0), calibrated_days: Some(40.0), ..good.clone() };
        assert_eq!(flaws(&stale).0, [What::CalibratedDays, What::AgeDays]);
        let shallow = Test { depth: Some(Length::from_mm(20)), service_hours: None, ..good };
        assert_eq!(flaws(&shallow), (vec![What::Depth], vec![What::ServiceHours]));
        let dish = Test {
            method: Method::Chloride,
            grams: Some([38.0, 33.0]),
            area_cm2: Some(416.9),
            hours: Some(80.0),
            service_hours: Some(48.0),
            celsius: Some(12.0),
            air_percent: Some(70.0),
            age_days: Some(0.0),
            ..Test::default()
        };
        let found = flaws(&dish).0;
        assert_eq!(found, [What::Hours, What::AirCelsius, What::AirPercent, What::Gain]);
        let warm = |fahrenheit: f64| Test { celsius: Some((fahrenheit - 32.0) / 1.8), ..dish.clone() };
        // 65 to 85 °F, as instructions written to ASTM F1869-04 have it.
        assert!(flaws(&warm(64.0)).0.contains(&What::AirCelsius));
        assert!(!flaws(&warm(66.0)).0.contains(&What::AirCelsius));
        assert!(flaws(&warm(86.0)).0.contains(&What::AirCelsius));
    }

    #[test]
    fn too_few_that_count_is_never_a_pass() {
        let at = |value, valid: bool| Read {
            value: Some(value),
            unsaid: if valid { vec![] } else { vec![What::Hours] },
            flaws: vec![],
        };
        let of = |reads: &[Read], limit| judge(reads, limit, 3).verdict;
        let three = [at(70.0, true), at(74.9, true), at(75.0, true)];
        assert_eq!(of(&three, Some(75.0)), Verdict::Pass);
        assert_eq!(of(&three, Some(74.9)), Verdict::Fail);
        assert_eq!(of(&three[..2], Some(75.0)), Verdict::Unsure);
        assert_eq!(of(&three, None), Verdict::Unasked);
        assert_eq!(of(&[], Some(75.0)), Verdict::Unread);
        let doubtful = [three.to_vec(), vec![at(90.0, false)]].concat();
        assert_eq!(of(&doubtful, Some(75.0)), Verdict::Unsure);
    }

    /// NWFA guidelines as a trade checklist has them: 12 % and 4 %; the difference is one of means.
    #[test]
    fn wood_and_its_difference() {
        assert_eq!(difference(&[12.0, 10.0], &[7.0]), Some(4.0));
        assert_eq!(difference(&[12.0], &[]), None);
    }
}
