//! `drylay flatness`: is the floor flat enough, and what to do.

use super::Answer;
use super::floor_read::{Asked, FloorRead, Points, suggested_margin};
use super::floor_work::{self, WorkAnswer};
use super::rooms::resolve;
use crate::Problem;
use crate::floors::Mended;
use drylay_document::sheet::{Room, Sheet};
use drylay_survey::floor::{Corrected, Job, Judged, Verdict, Worst, fnumbers, slope};
use serde::Serialize;
use std::sync::Arc;

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
    /// The correction as work, where the sheet names a compound for the room.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub work: Option<WorkAnswer>,
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
        room.level.as_ref()?;
        let read = FloorRead::of(sheet, room, shape, &format!("rooms[{i}].level"));
        Some(answer((sheet, room, &read), Known::default(), go_on))
    });
    Ok(FlatnessAnswer { rooms: read.collect() })
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

/// What was worked out of a room's floor before.
#[derive(Debug, Default)]
pub(crate) struct Known {
    pub(crate) judged: Option<Arc<Vec<Judged>>>,
    pub(crate) mended: Option<Arc<Mended>>,
}

/// What is to be said of one room; what is not known is worked out.
pub(crate) fn answer(
    (sheet, room, read): (&Sheet, &Room, &FloorRead),
    known: Known,
    go_on: &mut dyn FnMut() -> bool,
) -> RoomFlatness {
    let judged = known.judged.unwrap_or_else(|| Arc::new(read.judge(&mut |_| go_on())));
    let of = |k: usize| read.surface.as_ref().and_then(|_| judged.get(k));
    let answers: Vec<ToleranceAnswer> =
        read.asked.iter().enumerate().map(|(k, t)| tolerance(t, of(k), read.gaps[k])).collect();
    let mut notes = read.notes.clone();
    let mended = match known.mended {
        Some(known) => Some(known),
        None => Mended::of(read, floor_work::filling(sheet), &mut |_| go_on())
            .map(|it| it.map(Arc::new))
            .unwrap_or_else(|problem| {
                notes.push(problem);
                None
            }),
    };
    let correction = mended.map(|mended| {
        let work = mended.work.as_ref().map(|(work, filling)| floor_work::answer(read, work, filling));
        correction_answer(read, (&mended.job, &mended.done), suggested_margin(&judged), work)
    });
    let mut answer = RoomFlatness {
        id: room.id.to_string(),
        verdict: room_verdict(&answers),
        tolerances: answers,
        heights: heights_answer(&read.points),
        slope: slope(&read.places(), &read.z)
            .map(|(mm_per_m, towards_degrees)| SlopeAnswer { mm_per_m, towards_degrees }),
        spacing: read.surface.as_ref().map(|(mesh, _)| mesh.median_edge()),
        repeatability: read.points.heights.repeatability.map(|(sd, _)| sd),
        pattern: pattern(room, read),
        correction,
        f_overall: overall(&read.lines),
        f_numbers: read
            .lines
            .iter()
            .map(|(id, n)| LineAnswer { line: id.clone(), ff: n.ff, fl: n.fl })
            .collect(),
        notes,
        advice: Vec::new(),
    };
    answer.advice = super::floor_advice::of(&answer, sheet, &judged);
    answer
}

/// Where to read, while nothing was read.
fn pattern(room: &Room, read: &FloorRead) -> Option<PatternAnswer> {
    let unread = room.level.as_ref().is_some_and(|level| level.readings.is_empty());
    let found = read.pattern().filter(|_| unread)?;
    let points = found.points.iter().map(|p| xy(p.mm())).collect();
    Some(PatternAnswer { spacing: found.spacing, points })
}

fn correction_answer(
    read: &FloorRead,
    (job, done): (&Job, &Corrected),
    suggested_margin: f64,
    work: Option<WorkAnswer>,
) -> CorrectionAnswer {
    let change = |(id, i): &(String, usize)| {
        let k = read.known.binary_search(i).ok()?;
        Some(ChangeAnswer { id: id.clone(), fill: done.fill[k], grind: done.grind[k] })
    };
    // Two readings in one place are one point to work at.
    let mut seen = Vec::new();
    let first = |n: &&(String, usize)| !seen.contains(&n.1) && (seen.push(n.1), true).1;
    CorrectionAnswer {
        cost: done.cost,
        fill_litres: done.fill_litres,
        grind_litres: done.grind_litres,
        points: read.points.names.iter().filter(first).filter_map(change).collect(),
        worst_after: done.worst_after,
        margin: job.margin,
        suggested_margin,
        work,
    }
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

pub(crate) fn overall(lines: &[(String, fnumbers::LineNumbers)]) -> Option<FNumbers> {
    let ff: Vec<(f64, usize)> = lines.iter().filter_map(|(_, n)| Some((n.ff?, n.q))).collect();
    let fl: Vec<(f64, usize)> = lines.iter().filter_map(|(_, n)| Some((n.fl?, n.z))).collect();
    let (ff, fl) = (fnumbers::combined(&ff), fnumbers::combined(&fl));
    (ff.is_some() || fl.is_some()).then_some(FNumbers { ff, fl })
}

#[cfg(test)]
mod tests {
    use super::*;
    use drylay_document::sheet::STANDARDS;
    use drylay_survey::floor::published;

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
