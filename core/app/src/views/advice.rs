//! What a survey says, in words and in the room's own letters.

use crate::desk::SeenRoom;
use crate::good_for::{good_for_words, lack_words};
use crate::surveyed::{Outcome, Surveyed};
use crate::wire::{NextView, Units};
use crate::words::say;
use drylay_geometry::ItemId;
use drylay_survey::tape::{Advice, GoodFor, NextTie, Room, Slip, Turn};

/// What a survey is good for, what may be ordered from it, and what it lacks to be good for setting out.
pub(crate) fn good_for(survey: &Surveyed, units: Units) -> String {
    let room = match &survey.outcome {
        Outcome::Adjusted(room) => room,
        Outcome::Given(_) => return good_for_words(GoodFor::SettingOut),
        Outcome::Wrong(_) => return good_for_words(GoodFor::Nothing),
    };
    let words = good_for_words(room.good_for);
    let lacks: Vec<String> =
        room.lacks.iter().map(|lack| lack_words(*lack, |sd| units.known(sd, 0.5))).collect();
    if lacks.is_empty() {
        return words;
    }
    format!("{words} {}", say("good_for.lacks", &[("lacks", &lacks.join(", "))]))
}

/// Distances worth measuring next, best first: what is missing, what decides between shapes, what sharpens.
pub(crate) fn next(seen: &SeenRoom, room: &Room, units: Units) -> Vec<NextView> {
    let teller = Teller { seen, room, units };
    let missing = room.missing.iter().map(|&(from, to)| {
        let words = say("next.missing", &[("pair", &teller.pair(from, to))]);
        teller.next(from, to, words)
    });
    let decides =
        room.alternative.iter().filter_map(|other| other.decided_by).map(|(from, to, one, other)| {
            let (one, other) = (units.known(one, 1.0), units.known(other, 1.0));
            let params = [("pair", &*teller.pair(from, to)), ("one", &*one), ("other", &*other)];
            teller.next(from, to, say("next.decides", &params))
        });
    let worth = room.next.iter().map(|tie| teller.next(tie.from, tie.to, teller.worth(tie)));
    missing.chain(decides).chain(worth).collect()
}

/// What a person should know.
pub(crate) fn advice(seen: &SeenRoom, room: &Room, units: Units) -> Vec<String> {
    let teller = Teller { seen, room, units };
    room.advice.iter().map(|advice| teller.words(advice)).collect()
}

struct Teller<'a> {
    seen: &'a SeenRoom,
    room: &'a Room,
    units: Units,
}

impl Teller<'_> {
    fn corner(&self, n: usize) -> String {
        self.seen.labels.walk().get(n).map(|(_, label)| label.clone()).unwrap_or_default()
    }

    fn pair(&self, from: usize, to: usize) -> String {
        format!("{}–{}", self.corner(from), self.corner(to))
    }

    fn reading(&self, n: usize) -> String {
        self.room.readings.get(n).map(|it| self.pair(it.from, it.to)).unwrap_or_default()
    }

    fn readings(&self, all: &[usize]) -> String {
        all.iter().map(|n| self.reading(*n)).collect::<Vec<_>>().join(", ")
    }

    /// A reading as it was typed.
    fn typed(&self, n: usize) -> String {
        let id: Option<&ItemId> = self.seen.survey.readings.get(n);
        let held = id.and_then(|id| self.seen.view.tape.get(id));
        held.map(|held| held.value.read.text().to_owned()).unwrap_or_default()
    }

    fn next(&self, from: usize, to: usize, words: String) -> NextView {
        NextView { from: self.corner(from), to: self.corner(to), words }
    }

    fn worth(&self, tie: &NextTie) -> String {
        let pair = self.pair(tie.from, tie.to);
        if !tie.checks.is_empty() {
            return say("next.checks", &[("pair", &pair), ("checks", &self.readings(&tie.checks))]);
        }
        say("next.sharpens", &[("pair", &pair), ("gain", &self.units.known(tie.gain_mm, 0.5))])
    }

    fn words(&self, advice: &Advice) -> String {
        match advice {
            Advice::Suspect { reading } => self.suspect(*reading),
            Advice::SuspectSquare { square } => {
                let corner = self.room.squares.get(*square).map(|it| self.corner(it.corner));
                say("advice.suspect_square", &[("corner", &corner.unwrap_or_default())])
            }
            Advice::OneOfThese { readings, squares } => self.one_of(readings, squares),
            Advice::LongerThanWayRound { reading, by } => {
                let (pair, by) = (self.reading(*reading), self.units.known(*by, 1.0));
                say("advice.too_long_round", &[("pair", &pair), ("by", &by)])
            }
            Advice::SquareAssumed { corners } => {
                let corners = corners.iter().map(|n| self.corner(*n)).collect::<Vec<_>>().join(", ");
                say("advice.square_assumed", &[("corners", &corners)])
            }
            Advice::Unchecked { readings } => say("advice.unchecked", &[("pairs", &self.readings(readings))]),
            Advice::TurnsOtherwise { corner, turns } => {
                let way = say(if *turns == Turn::Out { "turn.out" } else { "turn.in" }, &[]);
                say("advice.turns", &[("corner", &self.corner(*corner)), ("way", &way)])
            }
            Advice::Folds { .. } => say("advice.folds", &[]),
            Advice::PlateRead { readings } => {
                say("advice.plate_read", &[("pairs", &self.readings(readings))])
            }
            Advice::DoesNotMeet { thing } => self.does_not_meet(*thing),
            Advice::BeyondWall { bowed, along } => self.beyond_wall(*bowed, *along),
            Advice::TrimOn { readings } => say("advice.trim_on", &[("pairs", &self.readings(readings))]),
            Advice::DoesNotSettle { readings } if readings.is_empty() => say("advice.restless", &[]),
            Advice::DoesNotSettle { readings } => {
                say("advice.restless_readings", &[("pairs", &self.readings(readings))])
            }
            Advice::HeightsDiffer => say("advice.heights", &[]),
            Advice::EnoughMeasured => say("advice.enough", &[]),
        }
    }

    fn suspect(&self, n: usize) -> String {
        let (pair, read) = (self.reading(n), self.typed(n));
        let says = self.room.readings.get(n).and_then(|it| it.others_say);
        let says = says
            .map(|it| format!("{} ± {}", self.units.known(it.value, it.sd), self.units.known(it.sd, 0.5)));
        let params = [("pair", &*pair), ("read", &*read), ("says", says.as_deref().unwrap_or("–"))];
        [say("advice.suspect", &params), self.guess(n)].join(" ").trim_end().to_owned()
    }

    fn does_not_meet(&self, n: usize) -> String {
        let Some(thing) = self.room.things.get(n) else { return String::new() };
        let held = self.seen.view.keepouts.get(&thing.id);
        let name = held.map(|held| crate::show::thing_name(&held.value)).unwrap_or_default();
        say("advice.does_not_meet", &[("name", &name), ("gap", &self.units.known(thing.gap, 1.0))])
    }

    fn beyond_wall(&self, bowed: usize, along: f64) -> String {
        let Some(wall) = self.room.bowed.get(bowed).map(|b| b.wall) else { return String::new() };
        let pair = self.pair(wall, (wall + 1) % self.room.corners.len().max(1));
        let (corner, along) = (self.corner(wall), self.units.known(along, 0.5));
        say("advice.beyond_wall", &[("pair", &pair), ("along", &along), ("corner", &corner)])
    }

    fn guess(&self, n: usize) -> String {
        let guess = self.room.readings.get(n).and_then(|it| it.guesses.first());
        let Some(guess) = guess else { return String::new() };
        let slip = say(slip(guess.slip), &[]);
        say("advice.slip", &[("slip", &slip), ("instead", &self.units.exact(guess.instead))])
    }

    fn one_of(&self, readings: &[usize], squares: &[usize]) -> String {
        let corner =
            |n: &usize| self.room.squares.get(*n).map(|it| self.corner(it.corner)).unwrap_or_default();
        let which: Vec<String> =
            readings.iter().map(|n| self.reading(*n)).chain(squares.iter().map(corner)).collect();
        let code = if which.len() == 1 { "advice.likely" } else { "advice.one_of" };
        let said = say(code, &[("which", &which.join(", "))]);
        let guess = readings.first().map(|n| self.guess(*n)).unwrap_or_default();
        [said, guess].join(" ").trim_end().to_owned()
    }
}

fn slip(slip: Slip) -> &'static str {
    match slip {
        Slip::BurnedAtOne => "slip.burned_at_one",
        Slip::WholeInch => "slip.whole_inch",
        Slip::WholeFoot => "slip.whole_foot",
        Slip::DigitsSwapped => "slip.digits_swapped",
        Slip::SixForNine => "slip.six_for_nine",
        Slip::EighthsForSixteenths => "slip.eighths_for_sixteenths",
    }
}
