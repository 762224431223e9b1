//! From a room's document to what its readings say, by way of a job sheet as everything computed goes.

use crate::Problem;
use crate::answers::rooms::resolve;
use crate::labels::Labels;
use drylay_document::exchange::{Exported, Layouts, RoomIndex, to_sheet};
use drylay_document::{JobView, RoomView};
use drylay_geometry::{Corner, ItemId, Outline, Region};
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

impl Surveyed {
    /// Surveys the room of that link.
    pub(crate) fn of(job: &JobView, link: &ItemId, view: &RoomView, labels: &Labels) -> Self {
        let only = |id: &ItemId| (id == link).then_some(view);
        let Exported { mut sheet, mut rooms, .. } = to_sheet(job, only, Layouts::Wished, None);
        // A keep-out that is wrong must not keep the walls from being drawn.
        sheet.rooms.iter_mut().for_each(|room| room.keepouts.clear());
        let index = rooms.pop().unwrap_or_default();
        let outcome = match resolve(&sheet) {
            Err(problems) => {
                Outcome::Wrong(problems.into_iter().map(|p| here(p, &index, view, labels)).collect())
            }
            Ok(mut resolved) => match resolved.pop().map(|room| (room.surveyed, room.outline)) {
                Some((Some(room), _)) => Outcome::Adjusted(Box::new(room)),
                Some((None, Some(outline))) => Outcome::Given(outline),
                _ => Outcome::Wrong(Vec::new()),
            },
        };
        Self { corners: index.corners, readings: index.tape, outcome }
    }

    /// The adjusted room, if it was adjusted.
    pub(crate) fn room(&self) -> Option<&Room> {
        if let Outcome::Adjusted(room) = &self.outcome { Some(room) } else { None }
    }

    /// What is wrong with what was written down.
    pub(crate) fn problems(&self) -> &[Problem] {
        if let Outcome::Wrong(problems) = &self.outcome { problems } else { &[] }
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
fn here(mut problem: Problem, index: &RoomIndex, view: &RoomView, labels: &Labels) -> Problem {
    let pair = |id: &ItemId| {
        view.tape.get(id).map_or_else(String::new, |held| labels.pair(&held.value.from, &held.value.to))
    };
    let corner = |id: &ItemId| {
        view.squares.get(id).map_or_else(String::new, |held| labels.of_corner(&held.value.corner))
    };
    let place = problem.place.split_once('.').map_or("", |(_, rest)| rest).to_owned();
    problem.place = match place.split_once('[') {
        Some(("tape", rest)) => nth(rest, &index.tape).map_or(place.clone(), pair),
        Some(("square", rest)) => nth(rest, &index.squares).map_or(place.clone(), corner),
        Some(("corners", rest)) => nth(rest, &index.corners).map_or(place.clone(), |id| labels.of_corner(id)),
        _ => place,
    };
    problem
}

fn nth<'a>(text: &str, list: &'a [ItemId]) -> Option<&'a ItemId> {
    list.get(text.split(']').next()?.parse::<usize>().ok()?)
}
