//! From a room's document to what its readings say, by way of a job sheet as everything computed goes.

use crate::Problem;
use crate::answers::floor_of_room;
use crate::answers::rooms::{ResolvedRoom, resolve};
use crate::labels::Labels;
use drylay_document::exchange::{Exported, Layouts, RoomIndex, to_sheet};
use drylay_document::sheet::Sheet;
use drylay_document::{JobView, RoomView};
use drylay_geometry::{Corner, ItemId, Length, Outline, Region};
use drylay_survey::tape::{Room, Verdict};

/// A room's readings in the order in which they were adjusted, and what came of it.
#[derive(Debug)]
pub(crate) struct Surveyed {
    /// Corners in walking order.
    pub(crate) corners: Vec<ItemId>,
    /// Readings by their place in the adjustment.
    pub(crate) readings: Vec<ItemId>,
    /// What came of it.
    pub(crate) outcome: Outcome,
    /// The floor that is laid: the outline with openings and without keep-outs, less the gap along every edge.
    pub(crate) floor: Option<Region>,
    /// What is wrong with what stands in the room.
    odd: Vec<Problem>,
}

/// What came of a survey.
#[derive(Debug)]
pub(crate) enum Outcome {
    /// The readings were adjusted, or too few.
    Adjusted(Box<Room>),
    /// The room was given as coordinates.
    Given(Outline),
    /// Something is wrong with what was written down.
    Wrong(Vec<Problem>),
}

impl Outcome {
    fn of(room: ResolvedRoom) -> Self {
        match (room.surveyed, room.outline) {
            (Some(room), _) => Self::Adjusted(Box::new(room)),
            (None, Some(outline)) => Self::Given(outline),
            (None, None) => Self::Wrong(Vec::new()),
        }
    }
}

impl Surveyed {
    /// Surveys the room of that link; its floor keeps this gap from walls and fixed objects.
    pub(crate) fn of(job: &JobView, link: &ItemId, view: &RoomView, labels: &Labels, gap: Length) -> Self {
        let only = |id: &ItemId| (id == link).then_some(view);
        let Exported { mut sheet, mut rooms, .. } = to_sheet(job, only, Layouts::Wished, None);
        let index = rooms.pop().unwrap_or_default();
        // A keep-out that is wrong must not keep the walls from being drawn.
        let keepouts = sheet.rooms.iter_mut().map(|room| std::mem::take(&mut room.keepouts)).next_back();
        let solved = resolve(&sheet).map(|mut resolved| resolved.pop());
        if let (Some(room), Some(keepouts)) = (sheet.rooms.last_mut(), keepouts) {
            room.keepouts = keepouts;
        }
        let told = |found: Vec<Problem>| -> Vec<Problem> {
            found.into_iter().map(|problem| here(problem, &index, view, labels, &sheet)).collect()
        };
        let (outcome, floor, odd) = match solved {
            Err(problems) => (Outcome::Wrong(told(problems)), None, Vec::new()),
            Ok(None) => (Outcome::Wrong(Vec::new()), None, Vec::new()),
            Ok(Some(room)) => {
                let (floor, odd) = match floor_of_room(&sheet, 0, &room, gap) {
                    Ok((floor, odd)) => (Some(floor), odd),
                    Err(odd) => (None, odd),
                };
                (Outcome::of(room), floor, told(odd))
            }
        };
        Self { corners: index.corners, readings: index.tape, outcome, floor, odd }
    }

    /// The adjusted room, if it was adjusted.
    pub(crate) fn room(&self) -> Option<&Room> {
        if let Outcome::Adjusted(room) = &self.outcome { Some(room) } else { None }
    }

    /// What is wrong with what was written down, and with what stands in the room.
    pub(crate) fn problems(&self) -> impl Iterator<Item = &Problem> {
        let wrong = if let Outcome::Wrong(problems) = &self.outcome { problems.as_slice() } else { &[] };
        wrong.iter().chain(&self.odd)
    }

    /// The verdict as a word.
    pub(crate) fn verdict(&self) -> &'static str {
        match &self.outcome {
            Outcome::Given(_) => "given",
            Outcome::Wrong(_) => "recheck",
            Outcome::Adjusted(room) => match room.verdict {
                Verdict::Consistent => "consistent",
                Verdict::Recheck => "recheck",
                Verdict::Loose => "loose",
                Verdict::Ambiguous => "ambiguous",
                Verdict::Unsolvable => "unsolvable",
            },
        }
    }

    /// The checked outline.
    pub(crate) fn outline(&self) -> Option<&Outline> {
        match &self.outcome {
            Outcome::Given(outline) => Some(outline),
            Outcome::Adjusted(room) => room.outline.as_ref(),
            Outcome::Wrong(_) => None,
        }
    }

    /// Whether there is a floor to draw and to plan.
    pub(crate) fn bounds_a_floor(&self) -> bool {
        self.outline().is_some()
    }

    /// The corners' places in mm.
    pub(crate) fn points(&self) -> Option<Vec<[f64; 2]>> {
        let point = |corner: &Corner| {
            let (x, y) = corner.at.mm();
            [x, y]
        };
        self.outline().map(|outline| outline.corners().iter().map(point).collect())
    }

    /// Floor area in m² and its standard deviation.
    pub(crate) fn area_m2(&self) -> Option<(f64, f64)> {
        match &self.outcome {
            Outcome::Given(outline) => Some((Region::from_rings(&[outline.ring()]).area_mm2() / 1e6, 0.0)),
            Outcome::Adjusted(room) => room.area_m2.map(|area| (area.value, area.sd)),
            Outcome::Wrong(_) => None,
        }
    }
}

/// A problem of the sheet, its place said in the room's own letters.
fn here(mut problem: Problem, index: &RoomIndex, view: &RoomView, labels: &Labels, sheet: &Sheet) -> Problem {
    let pair = |id: &ItemId| {
        view.tape.get(id).map_or_else(String::new, |held| labels.pair(&held.value.from, &held.value.to))
    };
    let corner = |id: &ItemId| {
        view.squares.get(id).map_or_else(String::new, |held| labels.of_corner(&held.value.corner))
    };
    let keepout = |rest: &str| {
        let id = &sheet.rooms.first()?.keepouts.get(number(rest)?)?.id;
        view.keepouts.get(id)?.value.name.clone()
    };
    let opening = |rest: &str| {
        let id = &sheet.rooms.first()?.openings.get(number(rest)?)?.id;
        let held = view.openings.get(id)?;
        Some(labels.pair(&held.value.from, &held.value.to))
    };
    let place = problem.place.split_once('.').map_or("", |(_, rest)| rest).to_owned();
    problem.place = match place.split_once('[') {
        Some(("tape", rest)) => nth(rest, &index.tape).map_or(place.clone(), pair),
        Some(("square", rest)) => nth(rest, &index.squares).map_or(place.clone(), corner),
        Some(("corners", rest)) => nth(rest, &index.corners).map_or(place.clone(), |id| labels.of_corner(id)),
        Some(("keepouts", rest)) => named(&mut problem, keepout(rest)),
        Some(("openings", rest)) => named(&mut problem, opening(rest)),
        _ => place,
    };
    problem
}

/// Puts what people call a thing in the place of its id, which they have never seen.
fn named(problem: &mut Problem, name: Option<String>) -> String {
    let name = name.unwrap_or_default();
    *problem = problem.clone().with("id", &name);
    name
}

fn number(text: &str) -> Option<usize> {
    text.split(']').next()?.parse().ok()
}

fn nth<'a>(text: &str, list: &'a [ItemId]) -> Option<&'a ItemId> {
    list.get(number(text)?)
}
