//! What was read in a room of a sheet, as the survey takes it, and what is wrong with it at its place in the sheet.

use crate::Problem;
use drylay_document::sheet::{self, Instrument, Room, SquareCheck, Touched, Turn};
use drylay_geometry::{CornerId, Length, Outline};
use drylay_survey::tape::{self, Draft, DraftProblem, LocatedBy, MeasuredTo, Place, Tape};

/// What the room was measured with.
pub(crate) fn instrument(room: &Room) -> Tape {
    match room.instrument.unwrap_or_default() {
        Instrument::Tape => Tape::steel(),
        Instrument::TapeMetric => Tape::steel_metric(),
        Instrument::Laser => Tape::laser(),
    }
}

/// The readings of a room as the survey takes them.
pub(crate) fn draft(room: &Room, corners: &[CornerId]) -> Draft {
    let turn = |t: Turn| match t {
        Turn::In => tape::Turn::In,
        Turn::Out => tape::Turn::Out,
    };
    Draft {
        corners: corners.to_vec(),
        turns: room.turns.iter().map(|(c, t)| (CornerId::new(c.clone()), turn(*t))).collect(),
        readings: room.tape.iter().map(|r| reading(room, r)).collect(),
        squares: room.square.iter().map(square).collect(),
        strings: room.strings.iter().map(string).collect(),
        located: room.located.iter().filter_map(located).collect(),
    }
}

fn reading(room: &Room, r: &sheet::TapeReading) -> tape::Reading {
    let all = room.measured.as_ref();
    let thick = all.and_then(|m| m.thickness.as_ref()).map_or(Length::ZERO, |t| t.length);
    let measured_to = match r.measured_to.or(all.map(|m| m.to)).unwrap_or_default() {
        Touched::Wall => MeasuredTo::BareWall,
        Touched::Trim => MeasuredTo::Trim(thick),
        Touched::Plate => MeasuredTo::Plate(thick),
    };
    let height = r.height.as_ref().or(all.and_then(|m| m.height.as_ref())).map(|h| h.length);
    let sd = r.sd.as_ref().map(|sd| sd.length);
    tape::Reading {
        sd,
        measured_to,
        height,
        ..tape::Reading::new(r.from.clone(), r.to.clone(), r.read.length)
    }
}

fn square(check: &SquareCheck) -> tape::SquareCheck {
    tape::SquareCheck { corner: check.corner().clone(), sd_degrees: check.sd_degrees() }
}

fn string(strung: &sheet::Strung) -> tape::StringLine {
    let offset = |o: &sheet::StringOffset| tape::StringOffset {
        along: o.along.length,
        offset: o.offset.length,
        sd: o.sd.as_ref().map(|sd| sd.length),
    };
    let [from, to] = strung.wall.clone();
    tape::StringLine { from, to, offsets: strung.offsets.iter().map(offset).collect() }
}

/// `None` only for a thing that the sheet's own check refuses.
fn located(thing: &sheet::Located) -> Option<tape::Located> {
    let by = match (&thing.distances, &thing.wall) {
        (Some([first, second]), _) => LocatedBy::TwoDistances {
            first: (first.corner.clone(), first.read.length),
            second: (second.corner.clone(), second.read.length),
            side: match thing.side.unwrap_or_default() {
                sheet::LineSide::Left => tape::LineSide::Left,
                sheet::LineSide::Right => tape::LineSide::Right,
            },
        },
        (None, Some([from, towards])) => LocatedBy::AlongWall {
            from: from.clone(),
            towards: towards.clone(),
            along: thing.along.as_ref()?.length,
            away: thing.away.as_ref()?.length,
        },
        (None, None) => return None,
    };
    Some(tape::Located { id: thing.id.clone(), by })
}

/// What is wrong with a draft, each with its place in the sheet.
pub(crate) fn draft_problems(found: &[DraftProblem], draft: &Draft, place: &str) -> Vec<Problem> {
    let at = |p: Place| match p {
        Place::Turn(i) => format!("{place}.turns.{}", draft.turns[i].0),
        Place::Reading(i) => format!("{place}.tape[{i}]"),
        Place::Square(i) => format!("{place}.square[{i}]"),
        Place::String(i) => format!("{place}.strings[{i}]"),
        Place::Located(i) => format!("{place}.located[{i}]"),
    };
    found
        .iter()
        .map(|problem| match problem {
            DraftProblem::TooFewCorners(_) => Problem::new("ring.too_few", format!("{place}.corners")),
            DraftProblem::TooManyCorners(n) => Problem::new("limit.corners", format!("{place}.corners"))
                .with("most", Outline::MOST_CORNERS)
                .with("found", n),
            DraftProblem::TooManyReadings(n) => Problem::new("limit.readings", format!("{place}.tape"))
                .with("most", sheet::MOST_READINGS)
                .with("found", n),
            DraftProblem::SameName(_, j) => Problem::new("room.same_name", format!("{place}.corners[{j}]"))
                .with("corner", &draft.corners[*j]),
            DraftProblem::UnknownCorner { place, name } => {
                Problem::new("room.unknown_corner", at(*place)).with("corner", name)
            }
            DraftProblem::SameCorner(p) => Problem::new("tape.same_corner", at(*p)),
            DraftProblem::NotPositive(p) => Problem::new("tape.not_positive", at(*p)),
            DraftProblem::TooLong(p) => Problem::new("tape.too_long", at(*p)),
            DraftProblem::BadSd(p) => Problem::new("tape.bad_sd", at(*p)),
            DraftProblem::WallTooLong { wall, reading } => {
                let n = draft.corners.len();
                Problem::new("tape.wall_too_long", format!("{place}.tape[{reading}].read"))
                    .with("from", &draft.corners[*wall])
                    .with("to", &draft.corners[(wall + 1) % n])
            }
            DraftProblem::NoWall(p) => Problem::new("tape.no_wall", at(*p)),
            DraftProblem::SameThing(_, j) => Problem::new("tape.same_thing", format!("{place}.located[{j}]")),
        })
        .collect()
}
