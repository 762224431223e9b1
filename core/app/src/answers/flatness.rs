//! `drylay flatness`: is the floor flat enough, and what to do.

use super::rooms::{ResolvedRoom, keepout_ring, point, resolve};
use super::{Answer, show_mm};
use crate::Problem;
use drylay_document::sheet::{Correction, Level, MOST_READINGS, Room, Sheet, Sides};
use drylay_geometry::{Point, Ring};
use drylay_survey::floor::heights::{self, Rod};
use drylay_survey::floor::{
    Ground, Heights, Job, Judged, Known, Mesh, NoSurface, Surface, Tolerance, Verdict, Worst, correct,
    fnumbers, judge, pattern, published, slope,
};
use serde::Serialize;

/// Standard deviation of a rod reading from a line laser in mm, where the sheet gives none: small line lasers
/// are good to about 1/8 in at 30 ft, a third of that indoors (from memory).
const LASER_SD: f64 = 1.0;
/// Standard deviation of a gap read with a wedge under a straightedge, mm (common practice).
const WEDGE_SD: f64 = 0.5;
/// No levelling rod is longer, mm.
const LONGEST_ROD: f64 = 5000.0;
/// What workmanship needs beyond the readings' uncertainty, mm.
const WORKMANSHIP: f64 = 1.0;

/// The answer: one entry for each room with readings of its floor.
#[derive(Debug, Serialize)]
pub struct FlatnessAnswer {
    /// The rooms.
    pub rooms: Vec<RoomFlatness>,
}

/// How flat a room's floor is. Lengths in mm.
#[derive(Debug, Serialize)]
pub struct RoomFlatness {
    /// Its name.
    pub id: String,
    /// `pass`, `fail` or `unsure`: the worst of the tolerances.
    pub verdict: &'static str,
    /// Each tolerance.
    pub tolerances: Vec<ToleranceAnswer>,
    /// The adjusted heights, the highest at nought.
    pub heights: Vec<HeightAnswer>,
    /// How the floor slopes as a whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<SlopeAnswer>,
    /// The median distance of neighbouring readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spacing: Option<f64>,
    /// Standard deviation of one reading from points read again, where there are some.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub repeatability: Option<f64>,
    /// Where to read it with the rod, while it has not been.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pattern: Option<PatternAnswer>,
    /// The cheapest correction; absent where the floor needs none or it was not found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub correction: Option<CorrectionAnswer>,
    /// F-numbers by line: by the product's own calculation after ASTM E1155.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub f_numbers: Vec<LineAnswer>,
    /// The lines combined.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub f_overall: Option<FNumbers>,
    /// What was odd and did not keep the rest from being computed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
    /// What a person should know, in words.
    pub advice: Vec<String>,
}

/// A tolerance and what the floor does under it.
#[derive(Debug, Serialize)]
pub struct ToleranceAnswer {
    /// Greatest distance of floor and chord.
    pub gap: f64,
    /// Greatest length of the chord.
    pub span: f64,
    /// `both` or `dips`.
    pub sides: &'static str,
    /// Where it is published, for one that the sheet names.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<&'static str>,
    /// `pass`, `fail` or `unsure`.
    pub verdict: &'static str,
    /// No chord deviates more; absent without a surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound: Option<f64>,
    /// The deepest dip.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_dip: Option<ChordAnswer>,
    /// The highest hump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_hump: Option<ChordAnswer>,
}

/// Where to read a floor with the rod.
#[derive(Debug, Serialize)]
pub struct PatternAnswer {
    /// Neighbours stand no further apart.
    pub spacing: f64,
    /// The places in walking order, in plan coordinates.
    pub points: Vec<[f64; 2]>,
}

/// A chord, as a straightedge would lie.
#[derive(Debug, Serialize)]
pub struct ChordAnswer {
    /// Distance of floor and chord.
    pub deviation: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Where.
    pub at: [f64; 2],
    /// The chord's ends.
    pub chord: [[f64; 2]; 2],
}

/// The height of a reading point.
#[derive(Debug, Serialize)]
pub struct HeightAnswer {
    /// The reading's name.
    pub id: String,
    /// Where.
    pub at: [f64; 2],
    /// Its height.
    pub z: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// A slope.
#[derive(Debug, Serialize)]
pub struct SlopeAnswer {
    /// How steep.
    pub mm_per_m: f64,
    /// The direction in which the floor falls, degrees clockwise on the page from x.
    pub towards_degrees: f64,
}

/// A correction.
#[derive(Debug, Serialize)]
pub struct CorrectionAnswer {
    /// Its cost.
    pub cost: f64,
    /// Litres to fill.
    pub fill_litres: f64,
    /// Litres to grind off.
    pub grind_litres: f64,
    /// What to do at each point.
    pub points: Vec<ChangeAnswer>,
    /// The greatest deviation afterwards.
    pub worst_after: f64,
    /// The margin that was kept.
    pub margin: f64,
    /// The margin the readings and workmanship suggest.
    pub suggested_margin: f64,
}

/// What to do at a point.
#[derive(Debug, Serialize)]
pub struct ChangeAnswer {
    /// The reading's name.
    pub id: String,
    /// Millimetres to fill.
    pub fill: f64,
    /// Millimetres to grind off.
    pub grind: f64,
}

/// F-numbers of a line.
#[derive(Debug, Serialize)]
pub struct LineAnswer {
    /// The line.
    pub line: String,
    /// Flatness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ff: Option<f64>,
    /// Levelness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fl: Option<f64>,
}

/// F-numbers.
#[derive(Debug, Serialize)]
pub struct FNumbers {
    /// Flatness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ff: Option<f64>,
    /// Levelness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fl: Option<f64>,
}

/// Answers `drylay flatness`. `go_on` may end the searches early; then nothing passes.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn flatness(sheet: &Sheet, go_on: &mut dyn FnMut() -> bool) -> Answer<FlatnessAnswer> {
    let resolved = resolve(sheet)?;
    let rooms = sheet.rooms.iter().zip(&resolved).enumerate();
    let read = rooms.filter_map(|(i, (room, shape))| {
        let level = room.level.as_ref()?;
        Some(Reader::new(sheet, room, level, shape, format!("rooms[{i}].level")).answer(go_on))
    });
    Ok(FlatnessAnswer { rooms: read.collect() })
}

/// A tolerance and where it is published; `None` for a product's own.
type Asked = (Tolerance, Option<&'static str>);

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

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Unsure => "unsure",
        Verdict::Fail => "fail",
    }
}

fn xy(p: (f64, f64)) -> [f64; 2] {
    [p.0, p.1]
}

fn chord(w: &Worst) -> ChordAnswer {
    let c = &w.chord;
    ChordAnswer { deviation: c.deviation, sd: w.sd, at: xy(c.at), chord: c.ends.map(xy) }
}

/// A room's readings on their way to an answer.
struct Reader<'a> {
    sheet: &'a Sheet,
    room: &'a Room,
    level: &'a Level,
    place: String,
    ring: Option<Ring>,
    notes: Vec<Problem>,
}

/// Points of the floor with their heights.
struct Points {
    names: Vec<(String, usize)>,
    at: Vec<Point>,
    heights: Heights,
}

impl<'a> Reader<'a> {
    fn new(sheet: &'a Sheet, room: &'a Room, level: &'a Level, shape: &ResolvedRoom, place: String) -> Self {
        let ring = shape.outline.as_ref().map(drylay_geometry::Outline::ring);
        Self { sheet, room, level, place, ring, notes: Vec::new() }
    }

    fn answer(mut self, go_on: &mut dyn FnMut() -> bool) -> RoomFlatness {
        let asked = asked(self.sheet, self.room);
        let tolerances: Vec<Tolerance> = asked.iter().map(|(t, _)| *t).collect();
        let points = self.points();
        let surface = self.surface(&points);
        let known: Vec<usize> = (0..points.at.len()).filter(|&p| points.heights.z[p].is_some()).collect();
        let z: Vec<f64> = known.iter().filter_map(|&p| points.heights.z[p]).collect();
        let at: Vec<(f64, f64)> = known.iter().map(|&p| points.at[p].mm()).collect();
        let judged = surface.as_ref().map(|(mesh, ground)| {
            let surface = Surface::new(mesh, z.clone(), ground);
            let variance = |w: &[(usize, f64)]| {
                points.heights.variance(&w.iter().map(|&(i, c)| (known[i], c)).collect::<Vec<_>>())
            };
            let known = Known { variance: &variance, worst: points.heights.worst_variances() };
            tolerances.iter().map(|&t| judge(&surface, known, t, &mut |_| go_on())).collect::<Vec<_>>()
        });
        let gaps: Vec<Option<Verdict>> = tolerances.iter().map(|t| self.straightedge(t)).collect();
        let answers: Vec<ToleranceAnswer> = asked
            .iter()
            .enumerate()
            .map(|(k, t)| tolerance(t, judged.as_ref().map(|j| &j[k]), gaps[k]))
            .collect();
        let correction = surface.as_ref().and_then(|(mesh, ground)| {
            let sd = judged.iter().flatten().map(worst_sd).fold(0.0, f64::max);
            self.correction(&tolerances, (mesh, ground), &z, (&points, &known), sd, go_on)
        });
        let lines: Vec<_> = self.level.lines.iter().map(|l| (l, self.numbers(l))).collect();
        let verdict = room_verdict(&answers);
        let mut room = RoomFlatness {
            id: self.room.id.to_string(),
            verdict,
            tolerances: answers,
            heights: heights_answer(&points),
            slope: slope(&at, &z)
                .map(|(mm_per_m, towards_degrees)| SlopeAnswer { mm_per_m, towards_degrees }),
            spacing: surface.as_ref().map(|(mesh, _)| mesh.median_edge()),
            repeatability: points.heights.repeatability.map(|(sd, _)| sd),
            pattern: self.pattern(&tolerances),
            correction,
            f_overall: overall(&lines),
            f_numbers: lines
                .iter()
                .map(|(l, n)| LineAnswer { line: l.id.to_string(), ff: n.ff, fl: n.fl })
                .collect(),
            notes: self.notes,
            advice: Vec::new(),
        };
        room.advice = super::floor_advice::of(&room, self.sheet, judged.as_deref().unwrap_or_default());
        room
    }

    fn note(&mut self, code: &str, at: &str) -> Problem {
        Problem::new(code, format!("{}{at}", self.place))
    }

    /// The points read, merged where they stand in one place, with their adjusted heights.
    fn points(&mut self) -> Points {
        let sd = self.level.sd.as_ref().map_or(LASER_SD, drylay_document::sheet::Measure::mm);
        let (mut at, mut names, mut rods) = (Vec::<Point>::new(), Vec::<(String, usize)>::new(), Vec::new());
        let mut setups: Vec<&str> = Vec::new();
        let mut from = Vec::new();
        for (k, r) in self.level.readings.iter().enumerate().take(MOST_READINGS) {
            let p = point(&r.at);
            let place = format!(".readings[{k}]");
            if self.ring.as_ref().is_some_and(|ring| !ring.contains(p)) {
                let note = Problem::new("level.outside", format!("{}{place}.at", self.place));
                self.notes.push(note.with("id", &r.id));
                continue;
            }
            if !(0.0..=LONGEST_ROD).contains(&r.rod.mm()) {
                let note = Problem::new("level.long_rod", format!("{}{place}.rod", self.place));
                self.notes.push(note.with("found", r.rod.text()).with("most", LONGEST_ROD));
                continue;
            }
            let known = names.iter().find(|(n, _)| *n == r.id.as_str()).map(|(_, i)| *i);
            if known.is_some_and(|i| at[i] != p) {
                let note = Problem::new("level.moved", format!("{}{place}.at", self.place));
                self.notes.push(note.with("id", &r.id));
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
            let note = self.note("level.loose_setup", &format!(".readings[{first}].setup"));
            self.notes.push(note.with("setup", setups[loose]));
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
                let note = self.note("level.disagree", &format!(".readings[{}].rod", from[i]));
                let other = format!("{}.readings[{}]", self.place, from[j]);
                self.notes.push(note.with("off", show_mm(off, self.sheet.units)).with("other", other));
            }
        }
    }

    fn surface(&mut self, points: &Points) -> Option<(Mesh, Ground)> {
        let known: Vec<Point> =
            points.at.iter().zip(&points.heights.z).filter(|(_, z)| z.is_some()).map(|(p, _)| *p).collect();
        if self.level.readings.is_empty() {
            return None;
        }
        let Some(ring) = self.ring.clone() else {
            let note = self.note("level.no_shape", "");
            self.notes.push(note);
            return None;
        };
        let keepouts: Vec<Ring> = self.room.keepouts.iter().map(|k| keepout_ring(&k.outline)).collect();
        match Mesh::new(&known) {
            Ok(mesh) => Some((mesh, Ground::new(&ring, &keepouts))),
            Err(NoSurface::TooFar) => {
                let note = self.note("level.too_far", ".readings");
                self.notes.push(note);
                None
            }
            Err(NoSurface::OneLine | NoSurface::SamePlace(..)) => {
                let note = self.note("level.one_line", ".readings");
                self.notes.push(note);
                None
            }
        }
    }

    fn pattern(&self, tolerances: &[Tolerance]) -> Option<PatternAnswer> {
        let ring = self.ring.as_ref().filter(|_| self.level.readings.is_empty())?;
        let keepouts: Vec<Ring> = self.room.keepouts.iter().map(|k| keepout_ring(&k.outline)).collect();
        let spans: Vec<f64> = tolerances.iter().map(|t| t.span).collect();
        let found = pattern(ring, &keepouts, &spans);
        let points = found.points.iter().map(|p| xy(p.mm())).collect();
        Some(PatternAnswer { spacing: found.spacing, points })
    }

    /// What gaps read under a straightedge say of a tolerance.
    fn straightedge(&mut self, asked: &Tolerance) -> Option<Verdict> {
        let mut verdict = None;
        for (k, edge) in self.level.straightedge.iter().enumerate() {
            let (a, b) = (point(&edge.from).mm(), point(&edge.to).mm());
            let length = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
            if length > asked.span + 1.0 {
                let note = self.note("level.long_straightedge", &format!(".straightedge[{k}]"));
                self.notes.push(note.with("span", show_mm(asked.span, self.sheet.units)));
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

    fn numbers(&mut self, line: &drylay_document::sheet::FlatnessLine) -> fnumbers::LineNumbers {
        let spacing = line.spacing.mm();
        if (spacing - 304.8).abs() > 5.0 {
            let k = self.level.lines.iter().position(|l| l.id == line.id).unwrap_or_default();
            let note = self.note("level.spacing", &format!(".lines[{k}].spacing"));
            self.notes.push(note);
            return fnumbers::LineNumbers { ff: None, fl: None, q: 0, z: 0 };
        }
        fnumbers::of_line(&line.heights.iter().map(drylay_document::sheet::Measure::mm).collect::<Vec<_>>())
    }

    fn correction(
        &mut self,
        tolerances: &[Tolerance],
        (mesh, ground): (&Mesh, &Ground),
        z: &[f64],
        (points, known): (&Points, &[usize]),
        sd: f64,
        go_on: &mut dyn FnMut() -> bool,
    ) -> Option<CorrectionAnswer> {
        let rates = self.level.correction.as_ref();
        let margin = rates.and_then(|c| c.margin.as_ref()).map_or(0.0, drylay_document::sheet::Measure::mm);
        let least = tolerances.iter().map(|t| t.gap).fold(f64::INFINITY, f64::min);
        if tolerances.is_empty() {
            return None;
        }
        if margin >= least {
            let note = self.note("level.margin", ".correction.margin");
            self.notes.push(note.with("gap", show_mm(least, self.sheet.units)));
            return None;
        }
        let job = Job {
            tolerances: tolerances.to_vec(),
            margin,
            fill_cost: rates.and_then(|c| c.fill_cost).unwrap_or(1.0),
            grind_cost: rates.filter(|c| c.grind).map(grind_cost),
        };
        let Some(done) = correct(mesh, ground, z, &job, &mut |_| go_on()) else {
            let note = self.note("level.not_corrected", ".correction");
            self.notes.push(note);
            return None;
        };
        let change = |(id, i): &(String, usize)| {
            let k = known.binary_search(i).ok()?;
            Some(ChangeAnswer { id: id.clone(), fill: done.fill[k], grind: done.grind[k] })
        };
        // Two readings in one place are one point to work at.
        let mut seen = Vec::new();
        let first = |n: &&(String, usize)| !seen.contains(&n.1) && (seen.push(n.1), true).1;
        Some(CorrectionAnswer {
            cost: done.cost,
            fill_litres: done.fill_litres,
            grind_litres: done.grind_litres,
            points: points.names.iter().filter(first).filter_map(change).collect(),
            worst_after: done.worst_after,
            margin,
            suggested_margin: 2.0 * sd + WORKMANSHIP,
        })
    }
}

fn grind_cost(c: &Correction) -> f64 {
    c.grind_cost.unwrap_or(1.0)
}

fn worst_sd(judged: &Judged) -> f64 {
    judged.hump.as_ref().map_or(0.0, |h| h.sd).max(judged.dip.sd)
}

fn tolerance((asked, source): &Asked, judged: Option<&Judged>, gaps: Option<Verdict>) -> ToleranceAnswer {
    let surface = judged.map_or(Verdict::Unsure, |j| j.verdict);
    ToleranceAnswer {
        gap: asked.gap,
        span: asked.span,
        sides: if asked.humps { "both" } else { "dips" },
        source: *source,
        verdict: word(surface.max(gaps.unwrap_or(surface))),
        bound: judged.map(|j| j.bound),
        worst_dip: judged.map(|j| chord(&j.dip)),
        worst_hump: judged.and_then(|j| j.hump.as_ref()).map(chord),
    }
}

fn room_verdict(tolerances: &[ToleranceAnswer]) -> &'static str {
    let has = |w: &str| tolerances.iter().any(|t| t.verdict == w);
    if has("fail") {
        "fail"
    } else if has("unsure") || tolerances.is_empty() {
        "unsure"
    } else {
        "pass"
    }
}

fn heights_answer(points: &Points) -> Vec<HeightAnswer> {
    let one = |(id, i): &(String, usize)| {
        let z = points.heights.z[*i]?;
        Some(HeightAnswer { id: id.clone(), at: xy(points.at[*i].mm()), z, sd: points.heights.sd(*i) })
    };
    points.names.iter().filter_map(one).collect()
}

fn overall(lines: &[(&drylay_document::sheet::FlatnessLine, fnumbers::LineNumbers)]) -> Option<FNumbers> {
    let ff: Vec<(f64, usize)> = lines.iter().filter_map(|(_, n)| Some((n.ff?, n.q))).collect();
    let fl: Vec<(f64, usize)> = lines.iter().filter_map(|(_, n)| Some((n.fl?, n.z))).collect();
    let (ff, fl) = (fnumbers::combined(&ff), fnumbers::combined(&fl));
    (ff.is_some() || fl.is_some()).then_some(FNumbers { ff, fl })
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_document::sheet::STANDARDS;

    fn answer(level: &str) -> RoomFlatness {
        let text = format!(
            r#"{{ "drylay": 1, "products": [ {{ "id": "t", "face": {{ "length": 600, "width": 300 }}, "offsets": ["1/3"] }} ],
                "rooms": [ {{ "id": "r", "outline": [[0,0],[4000,0],[4000,3000],[0,3000]], "level": {level} }} ] }}"#
        );
        let sheet = Sheet::read(&text).expect("a sheet").sheet;
        flatness(&sheet, &mut || true).expect("an answer").rooms.remove(0)
    }

    #[test]
    fn a_sheet_may_name_every_published_tolerance() {
        let all: Vec<&str> = published::all().iter().map(|p| p.id).collect();
        assert_eq!(all, STANDARDS);
    }

    /// BS 8204, SR2: 5 mm under a straightedge of 2 m, and only dips count. The readings are a ridge of 8 mm with
    /// no dip.
    #[test]
    fn a_standard_that_asks_for_dips_lets_a_ridge_pass() {
        let rods: Vec<String> = (0..35)
            .map(|k| {
                let (x, y) = (200 + k % 7 * 600, 200 + k / 7 * 650);
                let rod = 1200 + (x - 2000_i32).abs() / 225;
                format!(r#"{{ "id": "p{k}", "at": [{x}, {y}], "rod": {rod} }}"#)
            })
            .collect();
        let level =
            |name| format!(r#"{{ "sd": 0.2, "standards": ["{name}"], "readings": [{}] }}"#, rods.join(","));
        let room = answer(&level("bs-8204-sr2"));
        assert_eq!((room.verdict, room.tolerances[0].source), ("pass", Some("BS 8204, SR2")));
        assert!((room.tolerances[0].gap, room.tolerances[0].span) == (5.0, 2000.0));
        // The same ridge is a hump of about 4 mm in 10 ft, more than 1/8 in.
        assert_eq!(answer(&level("tile-edge-15-in-or-more")).verdict, "fail");
    }

    #[test]
    fn a_floor_that_is_not_read_yet_is_told_where_to_read() {
        let room = answer(r#"{ "standards": ["din-18202-row-3"] }"#);
        let pattern = room.pattern.expect("places to read");
        assert!(pattern.spacing <= 500.0, "row 3 has a span of 1 m");
        assert!(pattern.points.len() > 40 && room.verdict == "unsure");
    }
}
