//! A survey's findings in words.

use crate::messages;
use drylay_geometry::{CornerId, Length, Notation};
use drylay_survey::tape::{Advice, ReadingResult, Room, Slip, Turn};
use std::collections::BTreeMap;

/// The slip as a word of the wire.
pub(crate) fn slip_word(slip: Slip) -> &'static str {
    match slip {
        Slip::BurnedAtOne => "burned_at_one",
        Slip::WholeInch => "whole_inch",
        Slip::WholeFoot => "whole_foot",
        Slip::DigitsSwapped => "digits_swapped",
        Slip::SixForNine => "six_for_nine",
        Slip::EighthsForSixteenths => "eighths_for_sixteenths",
    }
}

/// All advice of a room in words, most pressing first as the survey gives it, then what to measure next.
pub(crate) fn of(room: &Room, corners: &[CornerId], notation: Notation) -> Vec<String> {
    let words = Words { room, corners, notation };
    let mut all: Vec<String> = room.advice.iter().map(|a| words.one(a)).collect();
    for &(a, b) in &room.missing {
        all.push(say("survey.missing", &[("pair", words.pair(a, b))]));
    }
    if let Some((a, b, ..)) = room.alternative.as_ref().and_then(|a| a.decided_by) {
        all.push(say("survey.decides", &[("pair", words.pair(a, b))]));
    }
    if let Some(tie) = room.next.first() {
        let code = if tie.checks.is_empty() { "survey.next" } else { "survey.next_checks" };
        all.push(say(code, &[("pair", words.pair(tie.from, tie.to))]));
    }
    all
}

fn say(code: &str, params: &[(&str, String)]) -> String {
    let params: BTreeMap<String, String> = params.iter().map(|(k, v)| ((*k).to_owned(), v.clone())).collect();
    let (message, hint) = messages::text(code, &params);
    if hint.is_empty() { message } else { format!("{message} {hint}") }
}

struct Words<'a> {
    room: &'a Room,
    corners: &'a [CornerId],
    notation: Notation,
}

impl Words<'_> {
    fn pair(&self, a: usize, b: usize) -> String {
        format!("{}–{}", self.corners[a], self.corners[b])
    }
    fn reading_pair(&self, i: usize) -> String {
        self.room.readings.get(i).map_or_else(String::new, |r| self.pair(r.from, r.to))
    }
    fn readings(&self, list: &[usize]) -> String {
        list.iter().map(|&i| self.reading_pair(i)).collect::<Vec<_>>().join(", ")
    }
    fn length(&self, mm: f64) -> String {
        Length::from_mm_f64(mm).unwrap_or(Length::ZERO).show(self.notation)
    }
    /// A standard deviation, rounded up to what the notation can show.
    fn spread(&self, mm: f64) -> String {
        let step = match self.notation {
            Notation::FeetInches(_) | Notation::Inches(_) => Length::from_sixty_fourths(4),
            _ => Length::from_mm(1),
        };
        Length::from_mm_f64(mm).unwrap_or(Length::ZERO).round_up_to(step).show(self.notation)
    }

    fn one(&self, advice: &Advice) -> String {
        match advice {
            Advice::Suspect { reading } => self.suspect(*reading),
            Advice::SuspectSquare { square } => {
                let corner = self.room.squares.get(*square).map_or(0, |s| s.corner);
                say("survey.suspect_square", &[("corner", self.corners[corner].to_string())])
            }
            Advice::OneOfThese { readings, squares } => {
                let mut list: Vec<String> = readings.iter().map(|&i| self.candidate(i)).collect();
                list.extend(
                    squares
                        .iter()
                        .filter_map(|&s| self.room.squares.get(s))
                        .map(|s| self.corners[s.corner].to_string()),
                );
                let code = if list.len() == 1 { "survey.likely" } else { "survey.one_of" };
                say(code, &[("list", list.join(", "))])
            }
            Advice::LongerThanWayRound { reading, by } => say(
                "survey.longer_than_way_round",
                &[("pair", self.reading_pair(*reading)), ("by", self.length(*by))],
            ),
            Advice::SquareAssumed { corners } => {
                let list: Vec<String> = corners.iter().map(|&c| self.corners[c].to_string()).collect();
                say("survey.square_assumed", &[("corners", list.join(", "))])
            }
            Advice::Unchecked { readings } => say("survey.unchecked", &[("list", self.readings(readings))]),
            Advice::TurnsOtherwise { corner, turns } => {
                let code = if *turns == Turn::Out { "survey.turns_out" } else { "survey.turns_in" };
                say(code, &[("corner", self.corners[*corner].to_string())])
            }
            Advice::Folds { .. } => say("survey.folds", &[]),
            Advice::PlateRead { readings } => say("survey.plate_read", &[("list", self.readings(readings))]),
            Advice::DoesNotMeet { thing } => self.room.things.get(*thing).map_or_else(String::new, |it| {
                say("survey.does_not_meet", &[("name", it.id.to_string()), ("gap", self.length(it.gap))])
            }),
            Advice::BeyondWall { bowed, along } => self.beyond_wall(*bowed, *along),
            Advice::TrimOn { readings } => say("survey.trim_on", &[("list", self.readings(readings))]),
            Advice::DoesNotSettle { readings } if readings.is_empty() => say("survey.restless", &[]),
            Advice::DoesNotSettle { readings } => {
                say("survey.restless_readings", &[("list", self.readings(readings))])
            }
            Advice::HeightsDiffer => say("survey.heights_differ", &[]),
            Advice::EnoughMeasured => say("survey.enough", &[]),
        }
    }

    /// "C–D reads 12' 3 1/2"; the rest say 12' 2 1/2" ± 1/8"", and the likeliest slip as a guess.
    fn suspect(&self, i: usize) -> String {
        let Some(r) = self.room.readings.get(i) else { return String::new() };
        let mut text = match r.others_say {
            Some(e) => say(
                "survey.suspect",
                &[
                    ("pair", self.pair(r.from, r.to)),
                    ("read", self.length(r.read)),
                    ("say", self.length(e.value)),
                    ("sd", self.spread(e.sd)),
                ],
            ),
            None => say(
                "survey.suspect_alone",
                &[("pair", self.pair(r.from, r.to)), ("read", self.length(r.read))],
            ),
        };
        if let Some(guess) = self.guess(r) {
            text.push(' ');
            text.push_str(&guess);
        }
        text
    }

    fn beyond_wall(&self, bowed: usize, along: f64) -> String {
        let Some(wall) = self.room.bowed.get(bowed).map(|b| b.wall) else { return String::new() };
        let params = [
            ("pair", self.pair(wall, (wall + 1) % self.corners.len())),
            ("along", self.length(along)),
            ("corner", self.corners[wall].to_string()),
        ];
        say("survey.beyond_wall", &params)
    }

    fn candidate(&self, i: usize) -> String {
        let Some(r) = self.room.readings.get(i) else { return String::new() };
        let pair = self.pair(r.from, r.to);
        match self.guess(r) {
            Some(guess) => format!("{pair} ({})", guess.trim_end_matches('.')),
            None => pair,
        }
    }

    fn guess(&self, r: &ReadingResult) -> Option<String> {
        let g = r.guesses.first()?;
        Some(say(&format!("slip.{}", slip_word(g.slip)), &[("instead", g.instead.show(self.notation))]))
    }
}
