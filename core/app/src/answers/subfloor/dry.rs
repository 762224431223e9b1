//! Moisture: what each test comes to, whether it counts, and whether the product bears it.

use super::Site;
use super::found::{Finding, Findings, Standing, Topic, exact_mm, figure, said_by};
use crate::Problem;
use crate::words::{percent, say as in_words};
use drylay_document::sheet::{
    BaseKind, Drying, MoistureLimits, MoistureMethod, MoistureTest, Units, WoodOf, days,
};
use drylay_survey::base::moisture::{
    Flaw, Judged, Method, Range, Read, Slab, Test, Verdict, What, difference, judge, read,
};
use drylay_survey::base::published::{HOLE_DEPTH_SOURCE, WayOfReading, way};
use serde::Serialize;

/// The tests of one method.
#[derive(Debug, Serialize)]
pub struct MoistureAnswer {
    /// `in_situ`, `calcium_chloride`, `wood` or `scan`.
    pub method: &'static str,
    /// `pass`, `fail`, `unsure`, `unread` or `unasked`.
    pub verdict: &'static str,
    /// The unit of the figures: `percent`, or `lb_per_1000_ft2_24_h`.
    pub unit: &'static str,
    /// The product's limit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<f64>,
    /// Where that stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_source: Option<String>,
    /// The highest that counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub highest: Option<f64>,
    /// How many count.
    pub valid: u32,
    /// How many are asked.
    pub asked: u32,
    /// How deep a hole must be, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hole_depth: Option<f64>,
    /// The tests.
    pub tests: Vec<TestAnswer>,
}

/// A test.
#[derive(Debug, Serialize)]
pub struct TestAnswer {
    /// Its number among all tests of the room, counted from 1.
    pub number: usize,
    /// By which published way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub way: Option<&'static str>,
    /// Where that stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<&'static str>,
    /// What it comes to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// Whether it counts.
    pub valid: bool,
    /// Why it does not.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub flaws: Vec<FlawAnswer>,
    /// What would have to be said.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unsaid: Vec<&'static str>,
}

/// Why a test does not count.
#[derive(Debug, Serialize)]
pub struct FlawAnswer {
    /// Of what.
    pub what: &'static str,
    /// What was found.
    pub found: f64,
    /// At least so much.
    pub least: f64,
    /// At most so much.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most: Option<f64>,
}

/// How much wood and flooring differ.
#[derive(Debug, Serialize)]
pub struct DifferenceAnswer {
    /// Of the means, per cent.
    pub percent: f64,
    /// The product's limit.
    pub limit: f64,
    /// Whether it is held.
    pub held: bool,
}

const METHODS: [(MoistureMethod, Method); 4] = [
    (MoistureMethod::InSitu, Method::InSitu),
    (MoistureMethod::CalciumChloride, Method::Chloride),
    (MoistureMethod::Wood, Method::Wood),
    (MoistureMethod::Scan, Method::Scan),
];

fn what_word(what: What) -> &'static str {
    match what {
        What::Hours => "hours",
        What::Depth => "depth",
        What::ServiceHours => "service_hours",
        What::CalibratedDays => "calibrated_days",
        What::AgeDays => "age_days",
        What::AirCelsius => "celsius",
        What::AirPercent => "air_percent",
        What::Gain => "gain",
    }
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::Unsure => "unsure",
        Verdict::Unread => "unread",
        Verdict::Unasked => "unasked",
    }
}

fn limit_of(limits: &MoistureLimits, method: Method) -> Option<f64> {
    match method {
        Method::InSitu => limits.humidity_percent,
        Method::Chloride => limits.emission,
        Method::Wood => limits.wood_percent,
        Method::Scan => None,
    }
}

/// All tests of a room, by method, and the difference between wood and flooring.
pub(super) fn moisture(
    site: &Site<'_>,
    findings: &mut Findings,
) -> (Vec<MoistureAnswer>, Option<DifferenceAnswer>) {
    let limits = site.rules().and_then(|rules| rules.moisture.as_ref());
    let answers =
        METHODS.iter().filter_map(|&(word, method)| of_method(site, (word, method), limits, findings));
    let answers = answers.collect();
    (answers, wood_difference(site, limits, findings))
}

/// What is tested: a slab by holes or dishes, wood by a meter. A method nobody used is asked for only where a limit
/// and the base call for it; one of the two ways of a slab is enough.
fn is_due(site: &Site<'_>, method: Method, limit: Option<f64>) -> bool {
    let lies = |kinds: &[BaseKind]| site.base.layers.iter().any(|l| kinds.contains(&l.what));
    let slab = site.base.slab.is_some() || lies(&[BaseKind::SlabOnGrade, BaseKind::SuspendedSlab]);
    let read = |method: MoistureMethod| site.base.moisture.iter().any(|t| t.method == method);
    limit.is_some()
        && match method {
            Method::InSitu => slab && !read(MoistureMethod::CalciumChloride),
            Method::Chloride => {
                let humidity = site.rules().and_then(|r| r.moisture.as_ref()?.humidity_percent);
                slab && humidity.is_none() && !read(MoistureMethod::InSitu)
            }
            Method::Wood => lies(&[BaseKind::Wood]),
            Method::Scan => false,
        }
}

fn of_method(
    site: &Site<'_>,
    (word, method): (MoistureMethod, Method),
    limits: Option<&MoistureLimits>,
    findings: &mut Findings,
) -> Option<MoistureAnswer> {
    let limit = limits.and_then(|limits| limit_of(limits, method));
    let here: Vec<(usize, &MoistureTest)> = numbered(site, word).filter(|(_, t)| is_of_base(t)).collect();
    if here.is_empty() && !is_due(site, method, limit) {
        return None;
    }
    let reads: Vec<(usize, Option<&WayOfReading>, Read)> = here
        .iter()
        .map(|&(number, test)| {
            let way = way(method, test.way.as_deref());
            (number, way, read(&as_test(site, method, test), way, &slab(site), limits.and_then(|l| l.days)))
        })
        .collect();
    for (number, way, read) in &reads {
        tell_test(*number, *way, read, findings);
        if let (None, Some(named)) = (way, site.base.moisture[number - 1].way.as_ref()) {
            let says =
                Problem::new("base.unknown_way", format!("{}.base.moisture[{}].way", site.place, number - 1));
            findings.note((Topic::Moisture, Standing::Unsure), number, says.with("name", named), None);
        }
    }
    let asked = way(method, None).zip(site.area_m2()).map_or(0, |(way, area)| way.count.of(area));
    // An unknown way proves nothing.
    let proves = |(_, way, read): &(usize, Option<&WayOfReading>, Read)| match way {
        None if method != Method::Scan => Read { unsaid: vec![What::Hours], ..read.clone() },
        _ => read.clone(),
    };
    let only: Vec<Read> = reads.iter().map(proves).collect();
    let judged = judge(&only, limit, asked);
    let source = limits.filter(|_| limit.is_some()).map(|l| said_by(&l.source, l.edition.as_ref()));
    tell_verdict(site, method, &judged, (limit, &source), findings);
    let tests = reads.iter().zip(&only).map(|((number, way, _), read)| test_answer(*number, *way, read));
    Some(MoistureAnswer {
        method: word.word(),
        verdict: verdict_word(judged.verdict),
        unit: if method == Method::Chloride { "lb_per_1000_ft2_24_h" } else { "percent" },
        limit,
        limit_source: source,
        highest: judged.highest,
        valid: judged.valid,
        asked: judged.asked,
        hole_depth: slab(site).hole_depth_mm().filter(|_| method == Method::InSitu),
        tests: tests.collect(),
    })
}

fn numbered<'a>(site: &Site<'a>, method: MoistureMethod) -> impl Iterator<Item = (usize, &'a MoistureTest)> {
    (1..).zip(&site.base.moisture).filter(move |(_, test)| test.method == method)
}

fn is_of_base(test: &MoistureTest) -> bool {
    test.of != Some(WoodOf::Product)
}

fn slab(site: &Site<'_>) -> Slab {
    let slab = site.base.slab.as_ref();
    Slab {
        thickness: slab.and_then(|s| s.thickness.as_ref()).map(|t| t.length),
        both_sides: slab.and_then(|s| s.drying) == Some(Drying::Both),
    }
}

#[expect(clippy::cast_precision_loss, reason = "days of the calendar are few")]
fn as_test(site: &Site<'_>, method: Method, test: &MoistureTest) -> Test {
    let day = |text: &Option<String>| text.as_deref().and_then(days);
    let between = |from: Option<i64>, to: Option<i64>| from.zip(to).map(|(from, to)| (to - from) as f64);
    let (read, checked, used) = (day(&test.day), day(&test.calibrated), day(&site.sheet.job.day));
    Test {
        method,
        percent: test.percent,
        grams: test.grams,
        area_cm2: test.area_cm2,
        hours: test.hours,
        depth: test.depth.as_ref().map(|d| d.length),
        service_hours: test.service_hours,
        calibrated_days: between(checked, read),
        age_days: between(read, used),
        celsius: test.celsius,
        air_percent: test.air_percent,
    }
}

fn test_answer(number: usize, way: Option<&'static WayOfReading>, read: &Read) -> TestAnswer {
    let flaw = |f: &Flaw| FlawAnswer {
        what: what_word(f.asked.what),
        found: f.found,
        least: f.asked.least,
        most: Some(f.asked.most).filter(|most| most.is_finite()),
    };
    TestAnswer {
        number,
        way: way.map(|w| w.id),
        source: way.map(|w| w.source),
        value: read.value,
        valid: read.is_valid(),
        flaws: read.flaws.iter().map(flaw).collect(),
        unsaid: read.unsaid.iter().map(|what| what_word(*what)).collect(),
    }
}

/// A figure of something about a test, with its unit.
fn shown(what: What, value: f64, units: Units) -> String {
    match what {
        What::Depth => exact_mm(value, units),
        What::AirCelsius if units == Units::Metric => format!("{} °C", figure(value, 1)),
        What::AirCelsius => format!("{} °F", figure(value * 1.8 + 32.0, 1)),
        What::AirPercent => percent(&figure(value, 1)),
        What::Gain => format!("{} g", figure(value, 2)),
        _ => figure(value, 1),
    }
}

fn range(asked: &Range, units: Units) -> String {
    let show = |value: f64| shown(asked.what, value, units);
    let (least, most) = (show(asked.least), show(asked.most));
    if asked.most.is_infinite() {
        in_words("base.at_least", &[("least", &least)])
    } else if asked.least == 0.0 {
        in_words("base.at_most", &[("most", &most)])
    } else {
        in_words("base.from_to", &[("least", &least), ("most", &most)])
    }
}

fn tell_test(number: usize, way: Option<&WayOfReading>, read: &Read, findings: &mut Findings) {
    let source = || way.map(|w| w.source.to_owned());
    for flaw in &read.flaws {
        let what = in_words(&format!("base.what.{}", what_word(flaw.asked.what)), &[]);
        let says = Problem::new("base.test_flaw", "")
            .with("n", number)
            .with("what", what)
            .with("found", shown(flaw.asked.what, flaw.found, findings.units))
            .with("asked", range(&flaw.asked, findings.units));
        findings.note((Topic::Moisture, Standing::Unsure), number, says, source());
    }
    if !read.unsaid.is_empty() {
        let what = |what: &What| in_words(&format!("base.what.{}", what_word(*what)), &[]);
        let all: Vec<String> = read.unsaid.iter().map(what).collect();
        let says = Problem::new("base.test_unsaid", "").with("n", number).with("what", all.join(", "));
        findings.note((Topic::Moisture, Standing::Unsure), number, says, source());
    }
    if read.value.is_none() {
        let says = Problem::new("base.test_empty", "").with("n", number);
        findings.note((Topic::Moisture, Standing::Unsure), number, says, None);
    }
}

/// A moisture figure with its unit.
pub(crate) fn amount(method: Method, value: f64) -> String {
    match method {
        Method::Chloride => in_words("base.emission", &[("n", &figure(value, 2))]),
        Method::InSitu => in_words("base.humidity", &[("n", &figure(value, 1))]),
        Method::Wood | Method::Scan => in_words("base.content", &[("n", &figure(value, 1))]),
    }
}

fn method_word(method: Method) -> &'static str {
    METHODS.iter().find(|(_, m)| *m == method).map_or("scan", |(word, _)| word.word())
}

fn tell_verdict(
    site: &Site<'_>,
    method: Method,
    judged: &Judged,
    (limit, source): (Option<f64>, &Option<String>),
    findings: &mut Findings,
) {
    if method == Method::Scan {
        findings.note(
            (Topic::Moisture, Standing::Note),
            "",
            Problem::new("base.scan", ""),
            super::found::practice(),
        );
        return;
    }
    let (code, standing) = match judged.verdict {
        Verdict::Pass => ("base.moisture_pass", Standing::Pass),
        Verdict::Fail => ("base.moisture_fail", Standing::Fail),
        Verdict::Unsure => ("base.moisture_unsure", Standing::Unsure),
        Verdict::Unread => ("base.moisture_unread", Standing::Unsure),
        Verdict::Unasked => ("base.moisture_unasked", Standing::Unsure),
    };
    let show = |value: Option<f64>| value.map_or_else(String::new, |value| amount(method, value));
    let says = Problem::new(code, "")
        .with("method", in_words(&format!("base.method.{}", method_word(method)), &[]))
        .with("highest", show(judged.highest))
        .with("limit", show(limit))
        .with("valid", judged.valid)
        .with("asked", judged.asked);
    findings.note((Topic::Moisture, standing), "", says, source.clone());
    let depth = slab(site).hole_depth_mm().filter(|_| method == Method::InSitu);
    if let (Some(depth), true) = (depth, judged.verdict != Verdict::Pass) {
        let says = Problem::new("base.holes", "")
            .with("n", judged.asked)
            .with("depth", exact_mm(depth, findings.units));
        findings.note((Topic::Moisture, Standing::Note), "", says, HOLE_DEPTH_SOURCE.to_owned());
    }
}

fn wood_difference(
    site: &Site<'_>,
    limits: Option<&MoistureLimits>,
    findings: &mut Findings,
) -> Option<DifferenceAnswer> {
    let limits = limits?;
    let limit = limits.wood_difference?;
    let of = |product: bool| {
        let tests = numbered(site, MoistureMethod::Wood).filter(move |(_, t)| is_of_base(t) != product);
        tests.filter_map(|(_, t)| t.percent).collect::<Vec<f64>>()
    };
    let percent = difference(&of(false), &of(true))?;
    let held = percent <= limit;
    let says = Problem::new(if held { "base.difference_held" } else { "base.difference_over" }, "")
        .with("found", figure(percent, 1))
        .with("limit", figure(limit, 1));
    let source = said_by(&limits.source, limits.edition.as_ref());
    findings.note((Topic::Moisture, Standing::held(held)), "", says, source);
    Some(DifferenceAnswer { percent, limit, held })
}

/// What the product asks of what carries it, so that it can be shown where it is used.
pub(super) fn asked(site: &Site<'_>) -> Vec<Finding> {
    let mut all = Findings::new(site.sheet.units);
    let Some(rules) = site.rules() else { return Vec::new() };
    let units = all.units;
    let mut tell = |topic: Topic, says: Problem, source: &str, edition: Option<&String>| {
        all.note((topic, Standing::Note), "", says, said_by(source, edition));
    };
    if let Some(m) = &rules.moisture {
        let edition = m.edition.as_ref();
        for method in [Method::InSitu, Method::Chloride, Method::Wood] {
            if let Some(limit) = limit_of(m, method) {
                let says = Problem::new("base.asked_moisture", "").with("limit", amount(method, limit));
                tell(Topic::Moisture, says, &m.source, edition);
            }
        }
        if let Some(limit) = m.wood_difference {
            let says = Problem::new("base.asked_difference", "").with("limit", figure(limit, 1));
            tell(Topic::Moisture, says, &m.source, edition);
        }
        if let Some(days) = m.days {
            let says = Problem::new("base.asked_days", "").with("days", figure(days, 1));
            tell(Topic::Moisture, says, &m.source, edition);
        }
    }
    for over in &rules.over {
        let code = if over.may { "base.asked_over" } else { "base.asked_not_over" };
        let what = in_words(&format!("base.kind.{}", over.what.word()), &[]);
        tell(Topic::Layer, Problem::new(code, "").with("what", what), &over.source, over.edition.as_ref());
    }
    for d in &rules.deflection {
        let says = Problem::new("base.asked_deflection", "")
            .with("ratio", figure(d.ratio, 1))
            .with("under", super::carried::under_words(d.under, d.pounds));
        tell(Topic::Structure, says, &d.source, d.edition.as_ref());
    }
    if let Some(s) = &rules.sheathing {
        if let Some(least) = &s.least {
            let says =
                Problem::new("base.asked_sheathing", "").with("least", super::exact(least.length, units));
            tell(Topic::Sheathing, says, &s.source, s.edition.as_ref());
        }
        if let Some(fixing) = &s.fixing {
            let says = Problem::new("base.asked_fixing", "").with("fixing", fixing);
            tell(Topic::Sheathing, says, &s.source, s.edition.as_ref());
        }
    }
    if let Some(u) = &rules.underlay {
        let says = Problem::new(&format!("base.asked_underlay_{}", u.need.word()), "");
        tell(Topic::Underlay, says, &u.source, u.edition.as_ref());
    }
    for carry in &rules.carry {
        let what = in_words(&format!("base.seam.{}", carry.what.word()), &[]);
        let says = Problem::new("base.asked_carry", "").with("what", what);
        tell(Topic::Seam, says, &carry.source, carry.edition.as_ref());
    }
    all.sorted().1
}
