//! Everything that can be wrong with a draft before anything is computed, each with its place.

use super::draft::{Draft, LocatedBy};
use super::names::Names;
use drylay_geometry::{CornerId, Length};

/// The most readings a room may have.
pub const MOST_READINGS: usize = 5000;
/// The most corners a room may have.
pub const MOST_CORNERS: usize = drylay_geometry::Outline::MOST_CORNERS;

/// What is wrong with a draft, and where. Numbers are places in the draft's lists, from 0.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DraftProblem {
    /// Fewer than three corners.
    #[error("a room has at least three corners, this one has {0}")]
    TooFewCorners(usize),
    /// More corners than [`MOST_CORNERS`].
    #[error("a room has at most 500 corners, this one has {0}")]
    TooManyCorners(usize),
    /// More readings than [`MOST_READINGS`].
    #[error("a room has at most 5000 readings, this one has {0}")]
    TooManyReadings(usize),
    /// Two corners have one name.
    #[error("corners {0} and {1} have the same name")]
    SameName(usize, usize),
    /// A corner that the room does not have.
    #[error("{place:?}: the room has no corner {name}")]
    UnknownCorner {
        /// Where it is named.
        place: Place,
        /// The name.
        name: CornerId,
    },
    /// A reading, a string or a distance along a wall from a corner to itself.
    #[error("{0:?}: from a corner to itself")]
    SameCorner(Place),
    /// A length that is zero or negative where only a positive one makes sense.
    #[error("{0:?}: the length must be more than zero")]
    NotPositive(Place),
    /// A length beyond [`Length::LIMIT`].
    #[error("{0:?}: longer than 10 km")]
    TooLong(Place),
    /// A standard deviation that is not finite and positive.
    #[error("{0:?}: the standard deviation must be more than zero")]
    BadSd(Place),
    /// A wall read longer than all other walls together: the room cannot close. Only said when all are read.
    #[error("reading {reading}: wall {wall} is longer than all other walls together")]
    WallTooLong {
        /// The wall, named by the place of the corner it starts from.
        wall: usize,
        /// The reading that says so.
        reading: usize,
    },
    /// A string or a distance along a wall between corners that are not neighbours in walking order.
    #[error("{0:?}: no wall joins these corners")]
    NoWall(Place),
    /// Two things with one name.
    #[error("things {0} and {1} have the same name")]
    SameThing(usize, usize),
}

/// A place in a draft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// An entry of the turns.
    Turn(usize),
    /// A reading.
    Reading(usize),
    /// A square check.
    Square(usize),
    /// A string.
    String(usize),
    /// A located thing.
    Located(usize),
}

/// All problems of a draft, in order of place; none for a draft that can be adjusted.
pub fn check(draft: &Draft) -> Vec<DraftProblem> {
    let mut found = Checker { draft, names: Names::of(&draft.corners), found: Vec::new() };
    found.corners();
    if draft.corners.len() > MOST_CORNERS || draft.readings.len() > MOST_READINGS {
        return found.found; // the rest could take long and would help nobody
    }
    found.readings();
    found.squares();
    found.strings();
    found.located();
    if found.found.is_empty() {
        found.walls();
    }
    found.found
}

struct Checker<'a> {
    draft: &'a Draft,
    names: Names<'a>,
    found: Vec<DraftProblem>,
}

impl Checker<'_> {
    fn corners(&mut self) {
        let corners = &self.draft.corners;
        match corners.len() {
            n @ 0..=2 => self.found.push(DraftProblem::TooFewCorners(n)),
            n if n > MOST_CORNERS => self.found.push(DraftProblem::TooManyCorners(n)),
            _ => {}
        }
        if self.draft.readings.len() > MOST_READINGS {
            self.found.push(DraftProblem::TooManyReadings(self.draft.readings.len()));
        }
        for (j, name) in corners.iter().enumerate().take(MOST_CORNERS) {
            if let Some(i) = self.names.place(name).filter(|i| *i < j) {
                self.found.push(DraftProblem::SameName(i, j));
            }
        }
        for (i, (name, _)) in self.draft.turns.iter().enumerate().take(2 * MOST_CORNERS) {
            self.known(Place::Turn(i), name);
        }
    }

    fn known(&mut self, place: Place, name: &CornerId) -> Option<usize> {
        let at = self.names.place(name);
        if at.is_none() {
            self.found.push(DraftProblem::UnknownCorner { place, name: name.clone() });
        }
        at
    }

    fn pair(&mut self, place: Place, a: &CornerId, b: &CornerId) -> Option<(usize, usize)> {
        if a == b {
            self.found.push(DraftProblem::SameCorner(place));
        }
        let (i, j) = (self.known(place, a), self.known(place, b));
        i.zip(j).filter(|_| a != b)
    }

    fn length(&mut self, place: Place, length: Length) {
        if length <= Length::ZERO {
            self.found.push(DraftProblem::NotPositive(place));
        } else if length > Length::LIMIT {
            self.found.push(DraftProblem::TooLong(place));
        }
    }

    fn readings(&mut self) {
        for (i, r) in self.draft.readings.iter().enumerate() {
            let place = Place::Reading(i);
            self.pair(place, &r.from, &r.to);
            self.length(place, r.read);
            if r.sd.is_some_and(|sd| sd <= Length::ZERO || sd > Length::LIMIT) {
                self.found.push(DraftProblem::BadSd(place));
            }
            if r.measured_to.outside_mm().abs() > Length::LIMIT.mm() {
                self.found.push(DraftProblem::TooLong(place));
            }
        }
    }

    fn squares(&mut self) {
        for (i, s) in self.draft.squares.iter().enumerate() {
            self.known(Place::Square(i), &s.corner);
            // A thousandth of a second of arc is finer than anything a tape can see.
            let good = |sd: f64| sd.is_finite() && (1e-7..=180.0).contains(&sd);
            if s.sd_degrees.is_some_and(|sd| !good(sd)) {
                self.found.push(DraftProblem::BadSd(Place::Square(i)));
            }
        }
    }

    fn strings(&mut self) {
        let n = self.draft.corners.len().max(1);
        for (i, s) in self.draft.strings.iter().enumerate() {
            let place = Place::String(i);
            if let Some((a, b)) = self.pair(place, &s.from, &s.to)
                && (a + 1) % n != b
            {
                self.found.push(DraftProblem::NoWall(place));
            }
            for o in &s.offsets {
                self.length(place, o.along);
                if o.offset.nanometres().saturating_abs() > Length::LIMIT.nanometres() {
                    self.found.push(DraftProblem::TooLong(place));
                }
                if o.sd.is_some_and(|sd| sd <= Length::ZERO || sd > Length::LIMIT) {
                    self.found.push(DraftProblem::BadSd(place));
                }
            }
        }
    }

    fn located(&mut self) {
        let n = self.draft.corners.len().max(1);
        for (i, thing) in self.draft.located.iter().enumerate() {
            let place = Place::Located(i);
            if let Some(j) = self.draft.located[..i].iter().position(|t| t.id == thing.id) {
                self.found.push(DraftProblem::SameThing(j, i));
            }
            match &thing.by {
                LocatedBy::TwoDistances { first, second, .. } => {
                    self.pair(place, &first.0, &second.0);
                    self.length(place, first.1);
                    self.length(place, second.1);
                }
                LocatedBy::AlongWall { from, towards, along, away } => {
                    if let Some((a, b)) = self.pair(place, from, towards)
                        && (a + 1) % n != b
                        && (b + 1) % n != a
                    {
                        self.found.push(DraftProblem::NoWall(place));
                    }
                    // From the very corner, or right at the wall, is a place as well.
                    self.length(place, Length::from_nanometres(along.nanometres().saturating_add(1)));
                    self.length(place, Length::from_nanometres(away.nanometres().saturating_add(1)));
                }
            }
        }
    }

    /// The shortest reading of each wall is what it claims at least.
    fn walls(&mut self) {
        let n = self.draft.corners.len();
        let mut least: Vec<Option<(Length, usize)>> = vec![None; n];
        for (k, r) in self.draft.readings.iter().enumerate() {
            let Some((a, b)) = self.names.place(&r.from).zip(self.names.place(&r.to)) else { continue };
            let wall = if (a + 1) % n == b {
                a
            } else if (b + 1) % n == a {
                b
            } else {
                continue;
            };
            if least[wall].is_none_or(|(read, _)| r.read < read) {
                least[wall] = Some((r.read, k));
            }
        }
        let Some(walls) = least.into_iter().collect::<Option<Vec<_>>>() else { return };
        let total: i64 = walls.iter().map(|(read, _)| read.nanometres()).sum();
        for (wall, (read, reading)) in walls.into_iter().enumerate() {
            if read.nanometres() > total - read.nanometres() {
                self.found.push(DraftProblem::WallTooLong { wall, reading });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::draft::{Located, MeasuredTo, Reading, SquareCheck, StringLine, StringOffset, Turn};
    use super::*;

    fn mm(v: i64) -> Length {
        Length::from_mm(v)
    }

    fn room(names: &[&str]) -> Draft {
        Draft { corners: names.iter().map(|n| CornerId::from(*n)).collect(), ..Draft::default() }
    }

    #[test]
    fn of_too_many_readings_only_that_is_told() {
        let mut draft = room(&["A", "B", "C"]);
        draft.readings = vec![Reading::new("A", "X", mm(3)); MOST_READINGS + 1];
        assert_eq!(check(&draft), [DraftProblem::TooManyReadings(MOST_READINGS + 1)]);
    }

    #[test]
    fn every_problem_is_told_with_its_place() {
        let mut draft = room(&["A", "B", "C", "A"]);
        draft.turns = vec![("Q".into(), Turn::Out)];
        draft.readings = vec![
            Reading::new("A", "B", mm(0)),
            Reading::new("B", "B", mm(-3)),
            Reading::new("B", "X", mm(3)).with_sd(Length::ZERO),
        ];
        draft.squares = vec![
            SquareCheck { corner: "Y".into(), sd_degrees: Some(f64::NAN) },
            SquareCheck { corner: "A".into(), sd_degrees: Some(0.0) },
        ];
        assert_eq!(
            check(&draft),
            vec![
                DraftProblem::SameName(0, 3),
                DraftProblem::UnknownCorner { place: Place::Turn(0), name: "Q".into() },
                DraftProblem::NotPositive(Place::Reading(0)),
                DraftProblem::SameCorner(Place::Reading(1)),
                DraftProblem::NotPositive(Place::Reading(1)),
                DraftProblem::UnknownCorner { place: Place::Reading(2), name: "X".into() },
                DraftProblem::BadSd(Place::Reading(2)),
                DraftProblem::UnknownCorner { place: Place::Square(0), name: "Y".into() },
                DraftProblem::BadSd(Place::Square(0)),
                DraftProblem::BadSd(Place::Square(1)),
            ]
        );
    }

    #[test]
    fn limits_are_said() {
        let names: Vec<String> = (0..501).map(|i| format!("C{i}")).collect();
        let draft = room(&names.iter().map(String::as_str).collect::<Vec<_>>());
        assert_eq!(check(&draft), vec![DraftProblem::TooManyCorners(501)]);
        let mut draft = room(&["A", "B", "C"]);
        draft.readings = vec![Reading::new("A", "B", mm(1)); 5001];
        assert_eq!(check(&draft), vec![DraftProblem::TooManyReadings(5001)]);
        assert_eq!(check(&Draft::default()), vec![DraftProblem::TooFewCorners(0)]);
    }

    #[test]
    fn a_length_beyond_all_sense_is_named_wherever_it_stands() {
        let beyond = Length::LIMIT + mm(1);
        let mut draft = room(&["A", "B", "C"]);
        let mut trimmed = Reading::new("B", "C", mm(1000));
        trimmed.measured_to = MeasuredTo::Trim(beyond);
        draft.readings =
            vec![Reading::new("A", "B", beyond), trimmed, Reading::new("C", "A", mm(1000)).with_sd(beyond)];
        assert_eq!(
            check(&draft)[..3],
            [
                DraftProblem::TooLong(Place::Reading(0)),
                DraftProblem::TooLong(Place::Reading(1)),
                DraftProblem::BadSd(Place::Reading(2)),
            ]
        );
    }

    #[test]
    fn the_largest_length_is_one_and_a_place_before_the_corner_is_none() {
        let string = |sd: Length| StringLine {
            from: "A".into(),
            to: "B".into(),
            offsets: vec![StringOffset { along: mm(500), offset: Length::LIMIT, sd: Some(sd) }],
        };
        let thing = |away: Length| Located {
            id: "post".into(),
            by: LocatedBy::AlongWall { from: "B".into(), towards: "A".into(), along: mm(0), away },
        };
        let mut draft = room(&["A", "B", "C"]);
        (draft.strings, draft.located) = (vec![string(Length::LIMIT)], vec![thing(mm(0))]);
        draft.readings = vec![Reading::new("A", "C", Length::LIMIT).with_sd(Length::LIMIT)];
        assert_eq!(check(&draft), []);
        let hair = Length::from_nanometres(1);
        (draft.strings, draft.located) =
            (vec![string(Length::LIMIT + hair)], vec![thing(Length::ZERO - hair)]);
        assert_eq!(
            check(&draft),
            [DraftProblem::BadSd(Place::String(0)), DraftProblem::NotPositive(Place::Located(0))]
        );
        // An uncertainty of nought is none that anybody has.
        let LocatedBy::AlongWall { along, .. } = &mut draft.located[0].by else { unreachable!() };
        (*along, draft.strings[0]) = (Length::ZERO - hair, string(Length::ZERO));
        assert_eq!(
            check(&draft),
            [
                DraftProblem::BadSd(Place::String(0)),
                DraftProblem::NotPositive(Place::Located(0)),
                DraftProblem::NotPositive(Place::Located(0))
            ],
            "before the corner, and behind the wall"
        );
    }

    #[test]
    fn a_wall_longer_than_the_rest_together_is_named() {
        let mut draft = room(&["A", "B", "C"]);
        draft.readings = vec![
            Reading::new("A", "B", mm(1000)),
            Reading::new("C", "B", mm(9000)),
            Reading::new("C", "A", mm(1000)),
        ];
        assert_eq!(check(&draft), vec![DraftProblem::WallTooLong { wall: 1, reading: 1 }]);
        draft.readings.pop();
        assert_eq!(check(&draft), Vec::new());
    }

    #[test]
    fn trim_and_plate_lie_on_different_sides_of_the_edge() {
        assert!((MeasuredTo::Trim(mm(12)).outside_mm() - 12.0).abs() < 1e-12);
        assert!((MeasuredTo::Plate(mm(13)).outside_mm() + 13.0).abs() < 1e-12);
    }
}
