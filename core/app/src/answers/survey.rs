//! `drylay survey`: what the readings say of each room.

use super::floors::{FloorAnswer, floors};
use super::goes_round::thing_ring;
use super::rooms::{ResolvedRoom, resolve};
use super::{Answer, advice};
use crate::good_for::{good_for_word, good_for_words, lack_words};
use drylay_document::sheet::{Room, Sheet};
use drylay_geometry::Region;
use drylay_survey::tape::{self, BowedWall, GoodFor, PlacedThing, Verdict};
use serde::Serialize;
use std::collections::BTreeMap;

/// The answer: one entry for each room of the sheet, in its order.
#[derive(Debug, Serialize)]
pub struct SurveyAnswer {
    /// The rooms.
    pub rooms: Vec<RoomSurvey>,
    /// Floors on which passages join rooms.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub floors: Vec<FloorAnswer>,
}

/// What the readings say of a room. Lengths in mm, angles in degrees.
#[derive(Debug, Serialize)]
pub struct RoomSurvey {
    /// Its name.
    pub id: String,
    /// `consistent`, `recheck`, `loose`, `ambiguous`, `unsolvable` or `given`.
    pub verdict: &'static str,
    /// What it may be used for: `setting_out`, `quote` or `nothing`.
    pub good_for: &'static str,
    /// What that means for orders and cuts, in words.
    pub may_order: String,
    /// What it lacks to be good for setting out, in words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub lacks: Vec<String>,
    /// Corners in plan coordinates with their standard deviations.
    pub corners: BTreeMap<String, CornerAt>,
    /// Angles on the floor's side.
    pub angles: BTreeMap<String, AngleAt>,
    /// Floor area.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Its standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_sd_m2: Option<f64>,
    /// Length of all walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub perimeter_mm: Option<f64>,
    /// Its standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub perimeter_sd_mm: Option<f64>,
    /// Readings and square checks beyond what they fix.
    pub redundancy: usize,
    /// Weighted sum of squares over the redundancy; absent where nothing is checked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variance_factor: Option<f64>,
    /// Largest standard deviation of any distance between two corners.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_distance_sd: Option<f64>,
    /// How far (x, y) the walk along the walls as read ends from where it began.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub misclosure: Option<[f64; 2]>,
    /// The readings in the sheet's order.
    pub readings: Vec<ReadingAnswer>,
    /// The square checks in the sheet's order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub squares: Vec<SquareAnswer>,
    /// Ties worth measuring.
    pub next: Vec<Tie>,
    /// Where too little was measured: what would fix the room.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<[String; 2]>,
    /// Where another shape fits as well: that shape and the tie that decides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_shape: Option<OtherShape>,
    /// Walls that strings showed not to be straight.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub strings: Vec<StringAnswer>,
    /// Located things, in the sheet's order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub located: Vec<ThingAnswer>,
    /// What a person should know, in words.
    pub advice: Vec<String>,
}

/// Where a corner is.
#[derive(Debug, Serialize)]
pub struct CornerAt {
    /// x and y.
    pub at: [f64; 2],
    /// Their standard deviations.
    pub sd: [f64; 2],
}

/// An angle with its standard deviation.
#[derive(Debug, Serialize)]
pub struct AngleAt {
    /// The angle.
    pub degrees: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// A reading after the adjustment.
#[derive(Debug, Serialize)]
pub struct ReadingAnswer {
    /// One corner.
    pub from: String,
    /// The other.
    pub to: String,
    /// What was read.
    pub read: f64,
    /// That corrected from what was touched to the floor's edge; absent between bare walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub corrected: Option<f64>,
    /// The standard deviation it was given.
    pub sd: f64,
    /// What it comes out as.
    pub adjusted: f64,
    /// Adjusted less read, or less what that was corrected to.
    pub residual: f64,
    /// The residual over its own standard deviation; absent where nothing checks the reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub w: Option<f64>,
    /// The least error that would be found with 80 %.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub least_detectable: Option<f64>,
    /// Set aside by data snooping.
    pub suspect: bool,
    /// What all other readings say it should be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub others_say: Option<ValueSd>,
    /// Usual slips that would explain the error: guesses.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub guesses: Vec<GuessAnswer>,
}

/// A square check after the adjustment. Degrees.
#[derive(Debug, Serialize)]
pub struct SquareAnswer {
    /// The corner.
    pub corner: String,
    /// Adjusted angle less the square one.
    pub residual: f64,
    /// Over its own standard deviation.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub w: Option<f64>,
    /// Set aside by data snooping.
    pub suspect: bool,
}

/// A value and its standard deviation.
#[derive(Debug, Serialize)]
pub struct ValueSd {
    /// The value.
    pub value: f64,
    /// Its standard deviation.
    pub sd: f64,
}

/// A slip that would explain an error.
#[derive(Debug, Serialize)]
pub struct GuessAnswer {
    /// Which slip.
    pub slip: &'static str,
    /// What would have been read without it.
    pub instead: f64,
}

/// A wall with a string along it.
#[derive(Debug, Serialize)]
pub struct StringAnswer {
    /// The wall.
    pub wall: [String; 2],
    /// Its points between the corners, in plan coordinates.
    pub points: Vec<[f64; 2]>,
    /// Standard deviation of each across the wall.
    pub sd: Vec<f64>,
    /// Its greatest distance from the string, positive away from the room.
    pub most: f64,
}

/// A located thing.
#[derive(Debug, Serialize)]
pub struct ThingAnswer {
    /// Its name.
    pub id: String,
    /// Where it is, in plan coordinates.
    pub at: [f64; 2],
    /// Standard deviations of that.
    pub sd: [f64; 2],
    /// By how much the two distances miss each other; absent where they meet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap: Option<f64>,
    /// What the floor goes round; absent for a point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outline: Option<Vec<[f64; 2]>>,
}

/// A tie worth measuring.
#[derive(Debug, Serialize)]
pub struct Tie {
    /// One corner.
    pub from: String,
    /// The other.
    pub to: String,
    /// By how much the largest standard deviation of any distance between corners falls.
    pub gain: f64,
    /// How many readings it would check that nothing checks now.
    pub checks: usize,
}

/// Another shape that fits as well.
#[derive(Debug, Serialize)]
pub struct OtherShape {
    /// Its corners.
    pub corners: BTreeMap<String, [f64; 2]>,
    /// The tie that decides, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decided_by: Option<[String; 2]>,
}

/// Answers `drylay survey`.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn survey(sheet: &Sheet) -> Answer<SurveyAnswer> {
    let resolved = resolve(sheet)?;
    let rooms = sheet.rooms.iter().zip(&resolved).map(|(room, resolved)| {
        let id = room.id.to_string();
        match (&resolved.surveyed, &resolved.outline) {
            (Some(surveyed), _) => adjusted(id, sheet, room, resolved, surveyed),
            (None, outline) => given(id, room, resolved, outline.as_ref()),
        }
    });
    Ok(SurveyAnswer { rooms: rooms.collect(), floors: floors(sheet, &resolved) })
}

/// The verdict as the word of the format.
pub(crate) fn verdict_word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Consistent => "consistent",
        Verdict::Recheck => "recheck",
        Verdict::Loose => "loose",
        Verdict::Ambiguous => "ambiguous",
        Verdict::Unsolvable => "unsolvable",
    }
}

fn given(
    id: String,
    room: &Room,
    resolved: &ResolvedRoom,
    outline: Option<&drylay_geometry::Outline>,
) -> RoomSurvey {
    let bowed: f64 = resolved.bowed.iter().map(|b| b.area_mm2.value).sum();
    let ring = outline.map(drylay_geometry::Outline::ring);
    let corners = outline.into_iter().flat_map(|o| o.corners()).map(|c| {
        let (x, y) = c.at.mm();
        (c.id.to_string(), CornerAt { at: [x, y], sd: [0.0, 0.0] })
    });
    RoomSurvey {
        id,
        verdict: "given",
        good_for: good_for_word(GoodFor::SettingOut),
        may_order: good_for_words(GoodFor::SettingOut),
        lacks: Vec::new(),
        corners: corners.collect(),
        angles: outline.map(given_angles).unwrap_or_default(),
        area_m2: ring
            .as_ref()
            .map(|r| (Region::from_rings(std::slice::from_ref(r)).area_mm2() + bowed) / 1e6),
        area_sd_m2: None,
        perimeter_mm: ring.as_ref().map(drylay_geometry::Ring::perimeter_mm),
        perimeter_sd_mm: None,
        redundancy: 0,
        variance_factor: None,
        largest_distance_sd: None,
        misclosure: None,
        readings: Vec::new(),
        squares: Vec::new(),
        next: Vec::new(),
        missing: Vec::new(),
        other_shape: None,
        strings: strings(resolved),
        located: located(room, resolved),
        advice: vec![format!("The outline of {} corners is taken as it stands.", resolved.corners.len())],
    }
}

fn given_angles(outline: &drylay_geometry::Outline) -> BTreeMap<String, AngleAt> {
    let n = outline.corners().len();
    let angle = |i: usize| {
        let (before, after) = (outline.wall((i + n - 1) % n).direction()?, outline.wall(i).direction()?);
        // Going clockwise, a right turn at an inside corner leaves less than 180° on the floor's side.
        Some((180.0 - (after.degrees() - before.degrees())).rem_euclid(360.0))
    };
    let named = outline.corners().iter().enumerate();
    named.filter_map(|(i, c)| Some((c.id.to_string(), AngleAt { degrees: angle(i)?, sd: 0.0 }))).collect()
}

fn adjusted(
    id: String,
    sheet: &Sheet,
    in_sheet: &Room,
    resolved: &ResolvedRoom,
    room: &tape::Room,
) -> RoomSurvey {
    let name = |i: usize| resolved.corners[i].to_string();
    RoomSurvey {
        id,
        verdict: verdict_word(room.verdict),
        good_for: good_for_word(room.good_for),
        may_order: good_for_words(room.good_for),
        lacks: room.lacks.iter().map(|l| lack_words(*l, |mm| super::show_mm(mm, sheet.units))).collect(),
        corners: room
            .corners
            .iter()
            .map(|c| (c.id.to_string(), CornerAt { at: [c.at.0, c.at.1], sd: [c.sd.0, c.sd.1] }))
            .collect(),
        angles: room
            .corners
            .iter()
            .map(|c| (c.id.to_string(), AngleAt { degrees: c.angle.value, sd: c.angle.sd }))
            .collect(),
        area_m2: room.area_m2.map(|e| e.value),
        area_sd_m2: room.area_m2.map(|e| e.sd),
        perimeter_mm: room.perimeter_mm.map(|e| e.value),
        perimeter_sd_mm: room.perimeter_mm.map(|e| e.sd),
        redundancy: room.redundancy,
        variance_factor: room.variance_factor,
        largest_distance_sd: room.largest_sd_mm,
        misclosure: room.misclosure_mm.map(|(x, y)| [x, y]),
        readings: room.readings.iter().map(|r| reading(r, &name)).collect(),
        squares: room.squares.iter().map(|s| square(s, &name)).collect(),
        next: room
            .next
            .iter()
            .map(|t| Tie { from: name(t.from), to: name(t.to), gain: t.gain_mm, checks: t.checks.len() })
            .collect(),
        missing: room.missing.iter().map(|&(a, b)| [name(a), name(b)]).collect(),
        other_shape: room.alternative.as_ref().map(|a| other(a, &name)),
        strings: strings(resolved),
        located: located(in_sheet, resolved),
        advice: advice::of(room, &resolved.corners, super::notation(sheet.units)),
    }
}

fn reading(r: &tape::ReadingResult, name: &dyn Fn(usize) -> String) -> ReadingAnswer {
    ReadingAnswer {
        from: name(r.from),
        to: name(r.to),
        read: r.read,
        corrected: (r.corrected != r.read).then_some(r.corrected),
        sd: r.sd,
        adjusted: r.adjusted,
        residual: r.residual,
        w: r.w,
        least_detectable: r.least_detectable,
        suspect: r.suspect,
        others_say: r.others_say.map(|e| ValueSd { value: e.value, sd: e.sd }),
        guesses: r
            .guesses
            .iter()
            .map(|g| GuessAnswer { slip: advice::slip_word(g.slip), instead: g.instead.mm() })
            .collect(),
    }
}

fn square(s: &tape::SquareResult, name: &dyn Fn(usize) -> String) -> SquareAnswer {
    SquareAnswer { corner: name(s.corner), residual: s.residual, w: s.w, suspect: s.suspect }
}

fn strings(resolved: &ResolvedRoom) -> Vec<StringAnswer> {
    let name = |i: usize| resolved.corners[i % resolved.corners.len()].to_string();
    let one = |b: &BowedWall| StringAnswer {
        wall: [name(b.wall), name(b.wall + 1)],
        points: b.points.iter().map(|&(x, y)| [x, y]).collect(),
        sd: b.sd.clone(),
        most: b.most,
    };
    resolved.bowed.iter().map(one).collect()
}

fn located(room: &Room, resolved: &ResolvedRoom) -> Vec<ThingAnswer> {
    let one = |thing: &PlacedThing| {
        let ring = room.located.iter().find(|l| l.id == thing.id).and_then(|l| thing_ring(l, thing));
        let point = |p: &drylay_geometry::Point| {
            let (x, y) = p.mm();
            [x, y]
        };
        ThingAnswer {
            id: thing.id.to_string(),
            at: [thing.at.0, thing.at.1],
            sd: [thing.sd.0, thing.sd.1],
            gap: (!thing.meets).then_some(thing.gap),
            outline: ring.map(|ring| ring.points.iter().map(point).collect()),
        }
    };
    resolved.things.iter().map(one).collect()
}

fn other(a: &tape::Alternative, name: &dyn Fn(usize) -> String) -> OtherShape {
    OtherShape {
        corners: a.corners.iter().enumerate().map(|(i, &(x, y))| (name(i), [x, y])).collect(),
        decided_by: a.decided_by.map(|(from, to, ..)| [name(from), name(to)]),
    }
}
