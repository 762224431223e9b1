//! The shape of every room of a sheet: as given, or adjusted from its tape readings.

use super::draft::{draft, draft_problems, instrument};
use crate::Problem;
use drylay_document::sheet::{Measure, Room, Sheet};
use drylay_geometry::{Corner, CornerId, Outline, Point, Problem as ShapeProblem, Ring, RingProblem};
use drylay_survey::tape::{self, BowedWall, PlacedThing};

/// A room of a sheet with what is known of its shape.
#[derive(Clone, Debug)]
pub struct ResolvedRoom {
    /// Names of its corners in walking order.
    pub corners: Vec<CornerId>,
    /// What the adjustment of its readings said; `None` for a given outline.
    pub surveyed: Option<tape::Room>,
    /// Its shape, where there is one.
    pub outline: Option<Outline>,
    /// Things located by distances, in the sheet's order; none where there is no shape.
    pub things: Vec<PlacedThing>,
    /// Walls with strings, each once; none where there is no shape.
    pub bowed: Vec<BowedWall>,
}

/// Finds the shape of every room.
///
/// # Errors
/// Everything that keeps a room from being looked at: a given outline that is no shape, readings that make no
/// sense. A room whose readings are too few is no error: its outline is missing and the survey says why.
pub fn resolve(sheet: &Sheet) -> Result<Vec<ResolvedRoom>, Vec<Problem>> {
    let mut problems = Vec::new();
    let mut resolved = Vec::new();
    for (i, room) in sheet.rooms.iter().enumerate() {
        let place = format!("rooms[{i}]");
        match resolve_room(room, &place) {
            Ok(room) => resolved.push(room),
            Err(found) => problems.extend(found),
        }
        problems.extend(keepout_problems(room, &place));
    }
    if problems.is_empty() { Ok(resolved) } else { Err(problems) }
}

fn resolve_room(room: &Room, place: &str) -> Result<ResolvedRoom, Vec<Problem>> {
    let corners = room.corner_ids();
    let (draft, tape) = (draft(room, &corners), instrument(room));
    let wrong = |found: Vec<tape::DraftProblem>| draft_problems(&found, &draft, place);
    if let Some(points) = &room.outline {
        let outline = given(&corners, points).map_err(|found| shape_problems(&found, &corners, place))?;
        let (things, bowed) = tape::on_outline(&draft, &outline, &tape).map_err(wrong)?;
        return Ok(ResolvedRoom { corners, surveyed: None, outline: Some(outline), things, bowed });
    }
    let surveyed = tape::adjust(&draft, &tape).map_err(wrong)?;
    let (things, bowed) = (surveyed.things.clone(), surveyed.bowed.clone());
    let outline = surveyed.outline.clone();
    Ok(ResolvedRoom { corners, surveyed: Some(surveyed), outline, things, bowed })
}

/// A point of a sheet, exactly as it was written.
pub(crate) fn point(at: &[Measure; 2]) -> Point {
    Point::new(at[0].length, at[1].length)
}

fn given(corners: &[CornerId], points: &[[Measure; 2]]) -> Result<Outline, Vec<ShapeProblem>> {
    Outline::new(
        corners.iter().zip(points).map(|(id, at)| Corner { id: id.clone(), at: point(at) }).collect(),
    )
}

fn shape_problems(found: &[ShapeProblem], corners: &[CornerId], place: &str) -> Vec<Problem> {
    found
        .iter()
        .map(|problem| match problem {
            ShapeProblem::TooMany(n) => Problem::new("limit.corners", format!("{place}.outline"))
                .with("most", Outline::MOST_CORNERS)
                .with("found", n),
            ShapeProblem::SameName(_, j) => {
                Problem::new("room.same_name", format!("{place}.corners[{j}]")).with("corner", &corners[*j])
            }
            ShapeProblem::Ring(ring) => ring_problem(*ring, corners, &format!("{place}.outline")),
        })
        .collect()
}

fn ring_problem(problem: RingProblem, corners: &[CornerId], place: &str) -> Problem {
    let name = |i: usize| {
        corners.get(i % corners.len().max(1)).map_or_else(|| (i + 1).to_string(), ToString::to_string)
    };
    let wall = |i: usize| format!("{}–{}", name(i), name(i + 1));
    match problem {
        RingProblem::TooFew => Problem::new("ring.too_few", place),
        RingProblem::NoLength(i) => {
            Problem::new("ring.no_length", format!("{place}[{i}]")).with("corner", name(i))
        }
        RingProblem::FoldsBack(i) => {
            Problem::new("ring.folds_back", format!("{place}[{i}]")).with("corner", name(i))
        }
        RingProblem::Crosses(i, j) => {
            Problem::new("ring.crosses", format!("{place}[{i}]")).with("a", wall(i)).with("b", wall(j))
        }
        RingProblem::NoArea => Problem::new("ring.no_area", place),
        RingProblem::Anticlockwise => Problem::new("ring.anticlockwise", place),
    }
}

/// The ring of a keep-out; it may be listed either way round.
pub(crate) fn keepout_ring(outline: &[[Measure; 2]]) -> Ring {
    let ring = Ring::new(outline.iter().map(point).collect());
    if ring.doubled_area() < 0 { ring.reversed() } else { ring }
}

fn keepout_problems(room: &Room, place: &str) -> Vec<Problem> {
    let mut problems = Vec::new();
    for (k, keepout) in room.keepouts.iter().enumerate() {
        let at = format!("{place}.keepouts[{k}].outline");
        let names: Vec<CornerId> =
            (1..=keepout.outline.len()).map(|n| CornerId::new(n.to_string())).collect();
        let found = keepout_ring(&keepout.outline).problems();
        problems.extend(found.into_iter().map(|p| ring_problem(p, &names, &at)));
    }
    problems
}
