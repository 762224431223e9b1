//! A room's floor as it was read: from the readings of a sheet to heights, a surface, verdicts and a correction.
//!
//! Reading is quick; judging and correcting may take seconds and can be ended. What was read stands alone, so that a
//! task may keep it while the documents go on.

use super::rooms::{ResolvedRoom, keepout_ring, point};
use super::show_mm;
use crate::Problem;
use drylay_document::sheet::{
    Correction, FlatnessLine, Level, MOST_READINGS, Measure, Room, Sheet, Sides, Units,
};
use drylay_geometry::{Outline, Point, Region, Ring};
use drylay_survey::floor::heights::{self, Rod};
use drylay_survey::floor::{
    Corrected, Ground, Heights, Job, Judged, Known, Mesh, NoSurface, Pattern, Surface, Tolerance, Verdict,
    correct, fnumbers, judge, pattern, published,
};

/// Standard deviation of a rod reading from a line laser in mm, where the sheet gives none: small line lasers
/// are good to about 1/8 in at 30 ft, a third of that indoors (from memory).
pub(crate) const LASER_SD: f64 = 1.0;
/// Standard deviation of a gap read with a wedge under a straightedge, mm (common practice).
const WEDGE_SD: f64 = 0.5;
/// No levelling rod is longer, mm.
const LONGEST_ROD: f64 = 5000.0;
/// What workmanship needs beyond the readings' uncertainty, mm.
const WORKMANSHIP: f64 = 1.0;

/// A tolerance and where it is published; `None` for a product's own.
pub(crate) type Asked = (Tolerance, Option<&'static str>);

/// Points of the floor with their heights.
#[derive(Clone, Debug)]
pub(crate) struct Points {
    /// The readings' names, each with its point.
    pub(crate) names: Vec<(String, usize)>,
    pub(crate) at: Vec<Point>,
    pub(crate) heights: Heights,
}

/// A floor that was read.
#[derive(Clone, Debug)]
pub(crate) struct FloorRead {
    pub(crate) asked: Vec<Asked>,
    pub(crate) points: Points,
    /// Points that have a height, and the heights.
    pub(crate) known: Vec<usize>,
    pub(crate) z: Vec<f64>,
    pub(crate) surface: Option<(Mesh, Ground)>,
    /// What gaps under a straightedge say of each tolerance.
    pub(crate) gaps: Vec<Option<Verdict>>,
    /// F-numbers of each line.
    pub(crate) lines: Vec<(String, fnumbers::LineNumbers)>,
    /// What was odd and did not keep the rest from being computed.
    pub(crate) notes: Vec<Problem>,
    pub(crate) rates: Option<Correction>,
    shape: Option<(Ring, Vec<Ring>)>,
    units: Units,
    place: String,
}

/// The tolerances asked of a room: those of the products laid in it, else of all products, and the published ones
/// that are named.
fn asked(sheet: &Sheet, room: &Room) -> Vec<Asked> {
    let laid = |id| sheet.areas.iter().any(|a| a.product == id && a.rooms.contains(&room.id));
    let any = sheet.products.iter().any(|p| laid(p.id.clone()) && !p.flatness.is_empty());
    let products = sheet.products.iter().filter(|p| !any || laid(p.id.clone()));
    let own = products.flat_map(|p| &p.flatness).map(|t| {
        let tolerance = Tolerance { gap: t.gap.mm(), span: t.span.mm(), humps: t.sides == Sides::Both };
        (tolerance, None)
    });
    let names = room.level.iter().flat_map(|level| &level.standards);
    let named = names.flat_map(|name| published::all().into_iter().filter(move |p| p.id == name.as_str()));
    let published = named.flat_map(|p| p.tolerances.into_iter().map(move |t| (t, Some(p.source))));
    let mut found: Vec<Asked> = Vec::new();
    for asked in own.chain(published) {
        if !found.iter().any(|(t, _)| *t == asked.0) {
            found.push(asked);
        }
    }
    found
}

impl FloorRead {
    /// Reads the floor of a room of a sheet; `place` is where its readings stand in it.
    pub(crate) fn of(sheet: &Sheet, room: &Room, resolved: &ResolvedRoom, place: &str) -> Self {
        let nothing = Level::default();
        let level = room.level.as_ref().unwrap_or(&nothing);
        let ring = resolved.outline.as_ref().map(Outline::ring);
        let keepouts = room.keepouts.iter().map(|k| keepout_ring(&k.outline)).collect();
        let shape = ring.map(|ring| (ring, keepouts));
        let mut reader =
            Reader { units: sheet.units, level, place, shape: shape.as_ref(), notes: Vec::new() };
        let asked = asked(sheet, room);
        let points = reader.points();
        let surface = reader.surface(&points);
        let known: Vec<usize> = (0..points.at.len()).filter(|&p| points.heights.z[p].is_some()).collect();
        let z: Vec<f64> = known.iter().filter_map(|&p| points.heights.z[p]).collect();
        let gaps = asked.iter().map(|(t, _)| reader.straightedge(t)).collect();
        let lines = level.lines.iter().map(|l| (l.id.to_string(), reader.numbers(l))).collect();
        let (notes, rates) = (reader.notes, level.correction.clone());
        let (units, place) = (sheet.units, place.to_owned());
        Self { asked, points, known, z, surface, gaps, lines, notes, rates, shape, units, place }
    }

    pub(crate) fn tolerances(&self) -> Vec<Tolerance> {
        self.asked.iter().map(|(t, _)| *t).collect()
    }

    /// Places of the points that have a height, mm.
    pub(crate) fn places(&self) -> Vec<(f64, f64)> {
        self.known.iter().map(|&p| self.points.at[p].mm()).collect()
    }

    /// The variance of a sum of heights of points that have one.
    pub(crate) fn variance(&self, weights: &[(usize, f64)]) -> f64 {
        let all: Vec<(usize, f64)> = weights.iter().map(|&(i, c)| (self.known[i], c)).collect();
        self.points.heights.variance(&all)
    }

    /// The floor's area: the room less its keep-outs.
    pub(crate) fn floor(&self) -> Option<Region> {
        let (ring, keepouts) = self.shape.as_ref()?;
        Some(Region::from_rings(std::slice::from_ref(ring)).minus(keepouts))
    }

    /// Where to read the floor; `None` while the room has no shape.
    pub(crate) fn pattern(&self) -> Option<Pattern> {
        let (ring, keepouts) = self.shape.as_ref()?;
        let spans: Vec<f64> = self.asked.iter().map(|(t, _)| t.span).collect();
        Some(pattern(ring, keepouts, &spans))
    }

    /// Judges every tolerance, or none where there is no surface. `go_on` is told the share done of all.
    pub(crate) fn judge(&self, go_on: &mut dyn FnMut(f64) -> bool) -> Vec<Judged> {
        let Some((mesh, ground)) = &self.surface else { return Vec::new() };
        let surface = Surface::new(mesh, self.z.clone(), ground);
        let variance = |w: &[(usize, f64)]| self.variance(w);
        let known = Known { variance: &variance, worst: self.points.heights.worst_variances() };
        let count = self.asked.len() as f64;
        let one = |(k, (t, _)): (usize, &Asked)| {
            judge(&surface, known, *t, &mut |part| go_on((k as f64 + part) / count))
        };
        self.asked.iter().enumerate().map(one).collect()
    }

    /// What a correction must hold.
    ///
    /// # Errors
    /// The margin leaves nothing of a tolerance.
    pub(crate) fn job(&self) -> Result<Option<Job>, Problem> {
        let rates = self.rates.as_ref();
        let margin = rates.and_then(|c| c.margin.as_ref()).map_or(0.0, Measure::mm);
        let least = self.asked.iter().map(|(t, _)| t.gap).fold(f64::INFINITY, f64::min);
        if self.asked.is_empty() || self.surface.is_none() {
            return Ok(None);
        }
        if margin >= least {
            let problem = Problem::new("level.margin", format!("{}.correction.margin", self.place));
            return Err(problem.with("gap", show_mm(least, self.units)));
        }
        Ok(Some(Job {
            tolerances: self.tolerances(),
            margin,
            fill_cost: rates.and_then(|c| c.fill_cost).unwrap_or(1.0),
            grind_cost: rates.filter(|c| c.grind).map(|c| c.grind_cost.unwrap_or(1.0)),
        }))
    }

    /// The cheapest correction; `None` where there is nothing to correct for.
    ///
    /// # Errors
    /// None was found, or the margin leaves nothing.
    pub(crate) fn correct(
        &self,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<(Job, Corrected)>, Problem> {
        let Some(((mesh, ground), job)) = self.surface.as_ref().zip(self.job()?) else { return Ok(None) };
        match correct(mesh, ground, &self.z, &job, go_on) {
            Some(done) => Ok(Some((job, done))),
            None => Err(Problem::new("level.not_corrected", format!("{}.correction", self.place))),
        }
    }

    /// What a point that has a height is called: the first name given to it.
    pub(crate) fn name(&self, known: usize) -> &str {
        let point = self.known[known];
        self.points.names.iter().find(|(_, i)| *i == point).map_or("", |(name, _)| name)
    }
}

/// The margin that readings and workmanship suggest, mm: twice the worst chord's standard deviation, and a
/// millimetre (common practice).
pub(crate) fn suggested_margin(judged: &[Judged]) -> f64 {
    let worst = |j: &Judged| j.hump.as_ref().map_or(0.0, |h| h.sd).max(j.dip.sd);
    2.0 * judged.iter().map(worst).fold(0.0, f64::max) + WORKMANSHIP
}

/// A room's readings while they are read.
struct Reader<'a> {
    units: Units,
    level: &'a Level,
    place: &'a str,
    shape: Option<&'a (Ring, Vec<Ring>)>,
    notes: Vec<Problem>,
}

impl Reader<'_> {
    fn note(&mut self, code: &str, at: &str, with: impl FnOnce(Problem) -> Problem) {
        self.notes.push(with(Problem::new(code, format!("{}{at}", self.place))));
    }

    /// The points read, merged where they stand in one place, with their adjusted heights.
    fn points(&mut self) -> Points {
        let sd = self.level.sd.as_ref().map_or(LASER_SD, Measure::mm);
        let (mut at, mut names, mut rods) = (Vec::<Point>::new(), Vec::<(String, usize)>::new(), Vec::new());
        let mut setups: Vec<&str> = Vec::new();
        let mut from = Vec::new();
        for (k, r) in self.level.readings.iter().enumerate().take(MOST_READINGS) {
            let p = point(&r.at);
            let place = format!(".readings[{k}]");
            if self.shape.is_some_and(|(ring, _)| !ring.contains(p)) {
                self.note("level.outside", &format!("{place}.at"), |n| n.with("id", &r.id));
                continue;
            }
            if !(0.0..=LONGEST_ROD).contains(&r.rod.mm()) {
                let note = |n: Problem| n.with("found", r.rod.text()).with("most", LONGEST_ROD);
                self.note("level.long_rod", &format!("{place}.rod"), note);
                continue;
            }
            let known = names.iter().find(|(n, _)| *n == r.id.as_str()).map(|(_, i)| *i);
            if known.is_some_and(|i| at[i] != p) {
                self.note("level.moved", &format!("{place}.at"), |n| n.with("id", &r.id));
            }
            let index = known.or_else(|| at.iter().position(|q| *q == p)).unwrap_or_else(|| {
                at.push(p);
                at.len() - 1
            });
            if known.is_none() {
                names.push((r.id.to_string(), index));
            }
            let setup = r.setup.as_deref().unwrap_or_default();
            let number = setups.iter().position(|s| *s == setup).unwrap_or_else(|| {
                setups.push(setup);
                setups.len() - 1
            });
            rods.push(Rod { point: index, setup: number, read: r.rod.mm() });
            from.push(k);
        }
        let heights = heights::adjust(at.len(), setups.len(), &rods, sd);
        for &loose in &heights.loose {
            let first = rods.iter().position(|r| r.setup == loose).map_or(0, |i| from[i]);
            let setup = setups[loose];
            self.note("level.loose_setup", &format!(".readings[{first}].setup"), |n| n.with("setup", setup));
        }
        self.disagreements(&rods, &heights, &from, sd);
        Points { names, at, heights }
    }

    /// Readings of one point that differ by more than chance allows.
    fn disagreements(&mut self, rods: &[Rod], heights: &Heights, from: &[usize], sd: f64) {
        for (i, r) in rods.iter().enumerate() {
            let off = |j: &usize| {
                let both = Some((heights.residuals[i]?, heights.residuals[*j]?));
                both.map(|(a, b)| (a - b).abs()).filter(|d| *d > 3.29 * sd * std::f64::consts::SQRT_2)
            };
            let earlier = (0..i).find(|j| rods[*j].point == r.point && off(j).is_some());
            if let Some((j, off)) = earlier.and_then(|j| Some((j, off(&j)?))) {
                let (off, units) =
                    (show_mm(off, self.units), format!("{}.readings[{}]", self.place, from[j]));
                let note = |n: Problem| n.with("off", off).with("other", units);
                self.note("level.disagree", &format!(".readings[{}].rod", from[i]), note);
            }
        }
    }

    fn surface(&mut self, points: &Points) -> Option<(Mesh, Ground)> {
        let known: Vec<Point> =
            points.at.iter().zip(&points.heights.z).filter(|(_, z)| z.is_some()).map(|(p, _)| *p).collect();
        if self.level.readings.is_empty() {
            return None;
        }
        let Some((ring, keepouts)) = self.shape else {
            self.note("level.no_shape", "", |n| n);
            return None;
        };
        match Mesh::new(&known) {
            Ok(mesh) => Some((mesh, Ground::new(ring, keepouts))),
            Err(NoSurface::TooFar) => {
                self.note("level.too_far", ".readings", |n| n);
                None
            }
            Err(NoSurface::OneLine | NoSurface::SamePlace(..)) => {
                self.note("level.one_line", ".readings", |n| n);
                None
            }
        }
    }

    /// What gaps read under a straightedge say of a tolerance.
    fn straightedge(&mut self, asked: &Tolerance) -> Option<Verdict> {
        let mut verdict = None;
        for (k, edge) in self.level.straightedge.iter().enumerate() {
            let (a, b) = (point(&edge.from).mm(), point(&edge.to).mm());
            let length = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
            if length > asked.span + 1.0 {
                let span = show_mm(asked.span, self.units);
                self.note("level.long_straightedge", &format!(".straightedge[{k}]"), |n| {
                    n.with("span", span)
                });
                continue;
            }
            let gap = edge.gap.mm();
            let one = if gap - 2.0 * WEDGE_SD > asked.gap {
                Verdict::Fail
            } else if gap + 2.0 * WEDGE_SD > asked.gap {
                Verdict::Unsure
            } else {
                Verdict::Pass
            };
            verdict = verdict.max(Some(one));
        }
        verdict
    }

    fn numbers(&mut self, line: &FlatnessLine) -> fnumbers::LineNumbers {
        let spacing = line.spacing.mm();
        if (spacing - 304.8).abs() > 5.0 {
            let k = self.level.lines.iter().position(|l| l.id == line.id).unwrap_or_default();
            self.note("level.spacing", &format!(".lines[{k}].spacing"), |n| n);
            return fnumbers::LineNumbers { ff: None, fl: None, q: 0, z: 0 };
        }
        fnumbers::of_line(&line.heights.iter().map(Measure::mm).collect::<Vec<_>>())
    }
}
