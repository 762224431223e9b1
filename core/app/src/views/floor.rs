//! A room's floor for the screens.

use super::{floor_map, floor_points, floor_work};
use crate::answers::floor_read::{Asked, FloorRead, LASER_SD, suggested_margin};
use crate::answers::overall;
use crate::desk::{SeenJob, SeenRoom};
use crate::floors::{FloorSheet, Mended};
use crate::show::{iso, stamp, typed};
use crate::wire::{
    FloorAskedView, FloorLineView, FloorRoundView, FloorToleranceView, FloorView, GapView, StandardView,
    StraightedgeView, Typed, Units, WorstView,
};
use crate::words::say;
use drylay_document::{self as document, Decimal, FloorFacts, Held, RodReading, TypedLength};
use drylay_geometry::{ItemId, Length, Notation};
use drylay_survey::floor::straightedge::Laid;
use drylay_survey::floor::{Judged, Tolerance, Verdict, Worst, published, slope};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A round of a floor with what is known of it.
pub(crate) struct RoundRead {
    pub(crate) round: i64,
    pub(crate) sheet: FloorSheet,
    pub(crate) read: FloorRead,
    pub(crate) judged: Option<Arc<Vec<Judged>>>,
    pub(crate) mended: Option<Arc<Mended>>,
}

/// A small vertical distance: to a tenth of a millimetre, or to a thirty-second of an inch.
pub(crate) fn fine(units: Units, mm: f64) -> String {
    match units {
        Units::Metric => format!("{mm:.1} mm"),
        Units::Imperial | Units::Inches => inches(mm, 32),
    }
}

/// Inches without feet, to that part.
pub(super) fn inches(mm: f64, part: u8) -> String {
    Length::from_mm_f64(mm).unwrap_or(Length::ZERO).show(Notation::Inches(part))
}

fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    (x * x + y * y).sqrt()
}

pub(super) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// A room's floor as read in one of its rounds.
pub(crate) fn floor(
    job: &SeenJob,
    seen: &SeenRoom,
    room: &str,
    rounds: &[RoundRead],
    round: i64,
) -> FloorView {
    let at = rounds.iter().position(|r| r.round == round).unwrap_or(0);
    let name = job.view.rooms.get(&ItemId::new(room)).map(|held| held.value.name.clone()).unwrap_or_default();
    let drawn = if seen.survey.bounds_a_floor() { Some(&seen.survey) } else { seen.before.as_ref() };
    let viewer = Viewer::new(seen, job.units, &rounds[at], at.checked_sub(1).map(|b| &rounds[b]));
    FloorView {
        newest: at + 1 == rounds.len(),
        rounds: rounds.iter().map(|r| viewer.round(r)).collect(),
        outline: drawn.and_then(|survey| survey.points()),
        keepouts: viewer.keepouts(),
        ..viewer.view(room, name)
    }
}

pub(super) struct Viewer<'a> {
    pub(super) seen: &'a SeenRoom,
    pub(super) units: Units,
    pub(super) now: &'a RoundRead,
    pub(super) before: Option<&'a RoundRead>,
    /// The rod readings of the round, in the order in which they count.
    pub(super) rods: Vec<&'a Held<RodReading>>,
}

impl<'a> Viewer<'a> {
    pub(super) fn new(
        seen: &'a SeenRoom,
        units: Units,
        now: &'a RoundRead,
        before: Option<&'a RoundRead>,
    ) -> Self {
        let all: BTreeMap<&ItemId, &Held<RodReading>> =
            seen.view.rods.live.iter().map(|held| (&held.id, held)).collect();
        let rods = now.sheet.rods.iter().filter_map(|id| all.get(id).copied()).collect();
        Self { seen, units, now, before, rods }
    }
}

impl Viewer<'_> {
    fn view(&self, room: &str, name: String) -> FloorView {
        let read = &self.now.read;
        let judged = self.now.judged.as_deref().map(Vec::as_slice);
        let tolerances: Vec<FloorToleranceView> =
            read.asked.iter().enumerate().map(|(k, asked)| self.tolerance(k, asked)).collect();
        let verdict = self.verdict(&tolerances);
        let points = floor_points::points(self);
        let stations = floor_points::stations(self);
        FloorView {
            room: room.to_owned(),
            name,
            units: self.units,
            round: u32::try_from(self.now.round).unwrap_or(0),
            newest: true,
            rounds: Vec::new(),
            outline: None,
            keepouts: Vec::new(),
            setups: floor_points::setups(self, &points),
            read_words: floor_points::read_words(&points, &stations),
            dense_words: self.dense_words(),
            straightedges: self.straightedges(),
            lines: self.lines(),
            f_words: overall(&read.lines).map(|f| f_words(f.ff, f.fl)).unwrap_or_default(),
            asked: self.asked(),
            surface: read.surface.is_some(),
            judged: judged.is_some() || read.surface.is_none(),
            verdict_words: say(&format!("flat.verdict.{verdict}"), &[]),
            verdict: verdict.to_owned(),
            again: self.again(&tolerances),
            map: floor_map::heights(self),
            slope_words: self.slope_words(),
            repeat_words: self.repeat_words(),
            problems: floor_points::problems(self, &points),
            suggested_margin: judged.filter(|j| !j.is_empty()).map(|j| self.margin(j)),
            correction: self.now.mended.as_ref().map(|mended| floor_work::correction(self, mended, &points)),
            tolerances,
            points,
            stations,
        }
    }

    /// A tenth of a millimetre or a thirty-second of an inch is as fine as a margin is typed.
    fn margin(&self, judged: &[Judged]) -> Typed {
        let mm = suggested_margin(judged);
        Typed { text: fine(self.units, mm), mm }
    }

    fn judged(&self, k: usize) -> Option<&Judged> {
        self.now.judged.as_ref()?.get(k)
    }

    fn verdict(&self, tolerances: &[FloorToleranceView]) -> &'static str {
        let has = |w: &str| tolerances.iter().any(|t| t.verdict == w);
        let read = self.now.read.surface.is_some() || !self.now.sheet.rods.is_empty();
        let gaps = tolerances.iter().any(|t| !t.gaps.is_empty());
        if !read && !gaps {
            "unread"
        } else if tolerances.is_empty() {
            "unasked"
        } else if has("fail") {
            "fail"
        } else if has("unread") {
            "unread"
        } else if has("unsure") {
            "unsure"
        } else {
            "pass"
        }
    }

    fn tolerance(&self, k: usize, (asked, source): &Asked) -> FloorToleranceView {
        let read = &self.now.read;
        let gaps = read.gaps.get(k).copied().flatten();
        let judged = self.judged(k);
        let verdict = match (judged.map(|j| j.verdict), gaps) {
            (Some(surface), gaps) => verdict_word(surface.max(gaps.unwrap_or(surface))),
            (None, Some(Verdict::Fail)) => "fail",
            (None, Some(_)) if read.surface.is_none() => "unsure",
            (None, _) => "unread",
        };
        let source = source.map_or_else(|| say("flat.source.product", &[]), str::to_owned);
        let worst = judged.map(|j| self.worst(j, asked)).unwrap_or_default();
        FloorToleranceView {
            words: tolerance_words(asked, self.units),
            source,
            verdict: verdict.to_owned(),
            worst,
            bound_words: judged
                .map(|j| say("flat.bound", &[("bound", &fine(self.units, j.bound))]))
                .unwrap_or_default(),
            sparse: judged.is_some_and(|j| j.sparse),
            gaps: gaps.map(|v| verdict_word(v).to_owned()).unwrap_or_default(),
        }
    }

    fn worst(&self, judged: &Judged, asked: &Tolerance) -> Vec<WorstView> {
        let one = |(kind, w): (&str, &Worst)| {
            let line = w.chord.ends.map(|(x, y)| [x, y]);
            let doubt = 2.0 * w.sd;
            WorstView {
                kind: kind.to_owned(),
                text: fine(self.units, w.chord.deviation),
                doubt_text: fine(self.units, doubt),
                at: w.chord.at.into(),
                words: say(
                    &format!("flat.{kind}"),
                    &[
                        ("by", &fine(self.units, w.chord.deviation)),
                        ("doubt", &fine(self.units, doubt)),
                        ("long", &self.units.known(distance(line[0], line[1]), 10.0)),
                        ("at", &self.near(w.chord.at)),
                    ],
                ),
                line,
                over: w.chord.deviation > asked.gap,
            }
        };
        let hump = judged.hump.as_ref().map(|w| ("hump", w));
        let mut all: Vec<(&str, &Worst)> = std::iter::once(("dip", &judged.dip)).chain(hump).collect();
        all.retain(|(_, w)| w.chord.deviation > 0.0);
        all.sort_by(|a, b| b.1.chord.deviation.total_cmp(&a.1.chord.deviation));
        all.into_iter().map(one).collect()
    }

    /// The point that was read nearest to a place.
    pub(super) fn near(&self, at: (f64, f64)) -> String {
        let off = |p: &(f64, f64)| (p.0 - at.0) * (p.0 - at.0) + (p.1 - at.1) * (p.1 - at.1);
        let places = self.now.read.places();
        let nearest = places.iter().enumerate().min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        nearest.map_or_else(String::new, |(k, _)| floor_points::label(self, self.now.read.name(k)))
    }

    /// Points whose heights weigh most in the worst chords that are doubtful.
    fn again(&self, tolerances: &[FloorToleranceView]) -> Vec<String> {
        let mut found: Vec<String> = Vec::new();
        for (k, _) in tolerances.iter().enumerate().filter(|(_, t)| t.verdict == "unsure" && !t.sparse) {
            let Some(judged) = self.judged(k) else { continue };
            let dip = judged.dip.chord.deviation;
            let hump = judged.hump.as_ref().filter(|h| h.chord.deviation > dip);
            let chord = hump.map_or(&judged.dip.chord, |h| &h.chord);
            let mut weights: Vec<(usize, f64)> = chord.weights.clone();
            weights.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()).then(a.0.cmp(&b.0)));
            for (i, _) in weights.into_iter().filter(|w| w.1.abs() > 0.15) {
                let name = self.now.read.name(i).to_owned();
                if !found.contains(&name) && found.len() < 6 {
                    found.push(name);
                }
            }
        }
        found
    }

    fn dense_words(&self) -> String {
        let Some(pattern) = self.now.read.pattern() else { return String::new() };
        let spacing = self.units.known(pattern.spacing, 10.0);
        let spans: Vec<f64> = self.now.read.asked.iter().map(|(t, _)| t.span).collect();
        let short = spans.iter().copied().filter(|s| !pattern.suffices(*s)).fold(f64::INFINITY, f64::min);
        let mut words = say("flat.dense", &[("spacing", &spacing)]);
        if short.is_finite() {
            words.push(' ');
            words.push_str(&say("flat.too_short", &[("span", &self.units.known(short, 1.0))]));
        }
        words
    }

    fn slope_words(&self) -> String {
        let read = &self.now.read;
        let Some((steep, towards)) = slope(&read.places(), &read.z) else { return String::new() };
        let steep = match self.units {
            Units::Metric => format!("{steep:.1} mm/m"),
            Units::Imperial | Units::Inches => format!("{} in 10 ft", inches(steep * 3.048, 16)),
        };
        let towards = format!("{towards:.0}");
        say("flat.slope", &[("steep", &steep), ("towards", &towards)])
    }

    fn repeat_words(&self) -> String {
        let Some((sd, many)) = self.now.read.points.heights.repeatability else { return String::new() };
        let many = many.to_string();
        let code = if sd < 0.05 { "flat.repeat_same" } else { "flat.repeat" };
        say(code, &[("sd", &fine(self.units, sd)), ("n", &many)])
    }

    fn keepouts(&self) -> Vec<Vec<[f64; 2]>> {
        let places = |at: &document::At| [at.x.length().mm(), at.y.length().mm()];
        let all =
            self.seen.view.keepouts.live.iter().map(|held| held.value.outline.iter().map(places).collect());
        all.filter(|ring: &Vec<[f64; 2]>| ring.len() > 2).collect()
    }

    fn straightedges(&self) -> Vec<GapView> {
        let here =
            |held: &&Held<document::StraightedgeReading>| held.value.round.unwrap_or(0) == self.now.round;
        let place = |at: &document::At| [at.x.length().mm(), at.y.length().mm()];
        let one = |held: &Held<document::StraightedgeReading>| {
            let line = [place(&held.value.from), place(&held.value.to)];
            GapView {
                id: held.id.to_string(),
                line,
                length_text: self.units.known(distance(line[0], line[1]), 1.0),
                gap: typed(&held.value.gap),
                stamp: stamp(&held.added),
            }
        };
        self.seen.view.straightedges.live.iter().filter(here).map(one).collect()
    }

    fn lines(&self) -> Vec<FloorLineView> {
        let here = |held: &&Held<document::FlatnessLine>| held.value.round.unwrap_or(0) == self.now.round;
        let one = |held: &Held<document::FlatnessLine>| {
            let line = &held.value;
            let numbers = self.now.read.lines.iter().find(|(id, _)| *id == line.name);
            let many = line.heights.len().to_string();
            FloorLineView {
                id: held.id.to_string(),
                name: line.name.clone(),
                words: say("flat.line_of", &[("n", &many), ("spacing", &typed(&line.spacing).text)]),
                f_words: numbers.map(|(_, n)| f_words(n.ff, n.fl)).unwrap_or_default(),
                stamp: stamp(&held.added),
            }
        };
        self.seen.view.lines.live.iter().filter(here).map(one).collect()
    }

    fn asked(&self) -> FloorAskedView {
        let facts = self.seen.view.floor.value.as_ref();
        let text = |of: fn(&FloorFacts) -> &Option<TypedLength>| {
            facts.and_then(|f| of(f).as_ref()).map(|it| typed(it).text).unwrap_or_default()
        };
        let named = facts.map(|f| f.standards.clone()).unwrap_or_default();
        let standard = |p: published::Published| StandardView {
            on: named.iter().any(|name| name == p.id),
            words: p.tolerances.iter().map(|t| tolerance_words(t, self.units)).collect::<Vec<_>>().join("; "),
            id: p.id.to_owned(),
            source: p.source.to_owned(),
        };
        FloorAskedView {
            sd: text(|f| &f.sd),
            usual_sd: fine(self.units, LASER_SD),
            standards: published::all().into_iter().map(standard).collect(),
            grind: facts.and_then(|f| f.grind).unwrap_or(false),
            grind_cost: facts
                .and_then(|f| f.grind_cost.as_ref())
                .map(|cost: &Decimal| cost.as_str().to_owned())
                .unwrap_or_default(),
            margin: text(|f| &f.margin),
            mixers: facts.and_then(|f| f.mixers).map(|n| n.to_string()).unwrap_or_default(),
        }
    }

    fn round(&self, round: &RoundRead) -> FloorRoundView {
        let viewer = Viewer::new(self.seen, self.units, round, None);
        let tolerances: Vec<FloorToleranceView> =
            round.read.asked.iter().enumerate().map(|(k, asked)| viewer.tolerance(k, asked)).collect();
        let known = round.judged.is_some() || round.read.surface.is_none();
        let verdict = if known { viewer.verdict(&tolerances) } else { "" };
        let worst = |t: &FloorToleranceView| {
            let first = t.worst.first()?;
            Some(say(
                "flat.round_worst",
                &[("asked", &t.words), ("by", &first.text), ("doubt", &first.doubt_text)],
            ))
        };
        let number = round.round.to_string();
        let name =
            if round.round == 0 { say("flat.as_found", &[]) } else { say("flat.after", &[("n", &number)]) };
        let worked = self.seen.view.rounds.live.iter().find(|held| held.value.number == round.round);
        FloorRoundView {
            round: u32::try_from(round.round).unwrap_or(0),
            name,
            read_words: self.read_by(round.round),
            verdict: verdict.to_owned(),
            worst_words: tolerances.iter().filter_map(worst).collect(),
            work_words: worked.map(|held| work_words(&held.value)).unwrap_or_default(),
            stamp: worked.map(|held| stamp(&held.added)),
        }
    }

    /// Who read a round, and on which days.
    fn read_by(&self, round: i64) -> String {
        let rods = &self.seen.view.rods.live;
        let here: Vec<_> = rods.iter().filter(|held| held.value.round.unwrap_or(0) == round).collect();
        let mut who: Vec<&str> = here.iter().map(|held| held.added.by.name.as_str()).collect();
        who.sort_unstable();
        who.dedup();
        let day =
            |ms: Option<i64>| ms.map(iso).and_then(|t| t.get(..10).map(str::to_owned)).unwrap_or_default();
        let times = || here.iter().map(|held| held.added.at.utc_ms);
        let (first, last) = (day(times().min()), day(times().max()));
        let when = if first == last { first } else { format!("{first} – {last}") };
        let many = here.len().to_string();
        match here.is_empty() {
            true => String::new(),
            false => say("flat.read_by", &[("n", &many), ("who", &who.join(", ")), ("when", &when)]),
        }
    }
}

fn work_words(round: &document::Round) -> String {
    let mut parts = Vec::new();
    if let Some(litres) = &round.litres {
        parts.push(say("flat.litres", &[("n", litres.as_str())]));
    }
    if let Some(bags) = round.bags {
        parts.push(say("flat.bags", &[("n", &bags.to_string())]));
    }
    parts.extend(round.notes.clone());
    parts.join(" · ")
}

fn f_words(ff: Option<f64>, fl: Option<f64>) -> String {
    let one = |name: &str, f: Option<f64>| f.map(|f| format!("{name} {f:.1}"));
    [one("FF", ff), one("FL", fl)].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Unsure => "unsure",
        Verdict::Fail => "fail",
    }
}

fn tolerance_words(asked: &Tolerance, units: Units) -> String {
    let code = if asked.humps { "flat.asked.both" } else { "flat.asked.dips" };
    let gap = match units {
        Units::Metric => units.known(asked.gap, if asked.gap.fract() == 0.0 { 1.0 } else { 0.01 }),
        Units::Imperial | Units::Inches => inches(asked.gap, 32),
    };
    say(code, &[("gap", &gap), ("span", &units.known(asked.span, 1.0))])
}

/// A straightedge as it lies.
pub(crate) fn straightedge(read: &FloorRead, laid: &Laid, units: Units) -> StraightedgeView {
    let line = laid.ends.map(|(x, y)| [x, y]);
    let height = |along: f64| {
        laid.profile.iter().find(|(r, _)| (r - along).abs() < 1e-6).map_or([along, 0.0], |(r, z)| [*r, *z])
    };
    let long = distance(line[0], line[1]);
    let at = |along: f64| {
        let share = along / long;
        [line[0][0] + share * (line[1][0] - line[0][0]), line[0][1] + share * (line[1][1] - line[0][1])]
    };
    let doubt = 2.0 * read.variance(&laid.gap.weights).max(0.0).sqrt();
    let (gap, doubt) = (fine(units, laid.gap.by), fine(units, doubt));
    let hump = if laid.hump.by >= 0.05 { fine(units, laid.hump.by) } else { String::new() };
    let length_text = units.known(long, 5.0);
    let where_at = units.known(laid.gap.along, 5.0);
    let mut words = match laid.gap.by >= 0.05 {
        true => say(
            "flat.edge_gap",
            &[("long", &length_text), ("gap", &gap), ("doubt", &doubt), ("along", &where_at)],
        ),
        false => say("flat.edge_close", &[("long", &length_text)]),
    };
    if !hump.is_empty() {
        words.push(' ');
        words.push_str(&say("flat.edge_hump", &[("by", &hump)]));
    }
    StraightedgeView {
        line,
        length_text,
        profile: laid.profile.iter().map(|&(r, z)| [r, z]).collect(),
        rests: laid.rests.map(height),
        gap_along: laid.gap.along,
        gap_at: at(laid.gap.along),
        gap_text: gap,
        doubt_text: doubt,
        hump_text: hump,
        words,
    }
}
