//! From a room's document to what its readings say, by way of a job sheet as everything computed goes.

use crate::Problem;
use crate::answers::rooms::{ResolvedRoom, resolve};
use crate::answers::{floor_of_room, thing_ring};
use crate::labels::Labels;
use crate::show::thing_name;
use drylay_document::exchange::{Exported, Layouts, RoomIndex, to_sheet};
use drylay_document::sheet::{self, Located, Sheet};
use drylay_document::{JobView, RoomView};
use drylay_geometry::{Corner, ItemId, Length, Outline, Region, Ring};
use drylay_survey::tape::{BowedWall, PlacedThing, Room, Verdict};

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
    /// Things located by distances, with what the floor goes round.
    pub(crate) located: Vec<(PlacedThing, Option<Ring>)>,
    /// Walls with strings.
    pub(crate) bowed: Vec<BowedWall>,
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
        let (solved, left_out) = resolve_without_wrong(&mut sheet);
        if let (Some(room), Some(keepouts)) = (sheet.rooms.last_mut(), keepouts) {
            room.keepouts = keepouts;
        }
        let told = |found: Vec<Problem>| -> Vec<Problem> {
            found.into_iter().map(|problem| here(problem, &index, view, labels, &sheet)).collect()
        };
        let (mut located, mut bowed) = (Vec::new(), Vec::new());
        if let Ok(Some(room)) = &solved {
            located = sheet.rooms.last().map(|it| with_rings(it, room)).unwrap_or_default();
            bowed.clone_from(&room.bowed);
        }
        let (outcome, floor, odd) = match solved {
            Err(problems) => (Outcome::Wrong(told(problems)), None, Vec::new()),
            Ok(None) => (Outcome::Wrong(Vec::new()), None, Vec::new()),
            Ok(Some(room)) => {
                let (floor, mut odd) = match floor_of_room(&sheet, 0, &room, gap) {
                    Ok((floor, odd)) => (Some(floor), odd),
                    Err(odd) => (None, odd),
                };
                odd.extend(left_out);
                (Outcome::of(room), floor, told(odd))
            }
        };
        Self { corners: index.corners, readings: index.tape, outcome, floor, located, bowed, odd }
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

fn with_rings(room: &sheet::Room, resolved: &ResolvedRoom) -> Vec<(PlacedThing, Option<Ring>)> {
    let ring = |thing: &PlacedThing| {
        room.located.iter().find(|it| it.id == thing.id).and_then(|it| thing_ring(it, thing))
    };
    resolved.things.iter().map(|thing| (thing.clone(), ring(thing))).collect()
}

/// Finds the shape of the sheet's room; strings and located things that are wrong are left out of it and told, so
/// that the walls are drawn all the same.
fn resolve_without_wrong(sheet: &mut Sheet) -> (Result<Option<ResolvedRoom>, Vec<Problem>>, Vec<Problem>) {
    let last = |sheet: &Sheet| resolve(sheet).map(|mut resolved| resolved.pop());
    let problems = match last(sheet) {
        Ok(room) => return (Ok(room), Vec::new()),
        Err(problems) => problems,
    };
    let (beside, walls): (Vec<Problem>, Vec<Problem>) = problems.into_iter().partition(is_beside_the_walls);
    if !walls.is_empty() || beside.is_empty() {
        return (Err(walls), Vec::new());
    }
    let wrong = |list: &str, k: usize| beside.iter().any(|p| nth_of(&p.place, list) == Some(k));
    if let Some(room) = sheet.rooms.last_mut() {
        // What is left out stays in its place in the list, by which it is told.
        let point = |k: usize, thing: &mut Located| {
            if wrong("located", k) {
                (thing.distances, thing.wall) = (None, None);
            }
        };
        room.located.iter_mut().enumerate().for_each(|(k, thing)| point(k, thing));
        let strings = room.strings.iter_mut().enumerate().filter(|(k, _)| wrong("strings", *k));
        strings.for_each(|(_, string)| string.offsets.clear());
    }
    (last(sheet), beside)
}

fn is_beside_the_walls(problem: &Problem) -> bool {
    nth_of(&problem.place, "located").or(nth_of(&problem.place, "strings")).is_some()
}

/// The place in that list of the room which a problem's place names.
fn nth_of(place: &str, list: &str) -> Option<usize> {
    let (_, rest) = place.split_once('.')?;
    number(rest.strip_prefix(list)?.strip_prefix('[')?)
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
    let located = |rest: &str| {
        let id = &sheet.rooms.first()?.located.get(number(rest)?)?.id;
        Some(thing_name(&view.keepouts.get(id)?.value))
    };
    let strung = |k: usize| {
        let [from, to] = &sheet.rooms.first()?.strings.get(k)?.wall;
        Some(format!("{from}–{to}"))
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
        Some(("located", rest)) => named(&mut problem, located(rest)),
        Some(("strings", rest)) => number(rest).and_then(strung).unwrap_or(place.clone()),
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
