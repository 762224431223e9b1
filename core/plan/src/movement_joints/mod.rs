//! Movement joints: where a floor must be parted so that none of its runs is longer than is allowed.
//!
//! A *run* is a stretch of field along the rows or across them, from wall to wall or to a movement joint. Runs that
//! go through a passage and are too long are parted in the passage first. Of the rest the fewest joints part what
//! is too long: one across the rows' direction is straight and goes through the tiles, one along it lies between
//! two rows. Each joint goes from wall to wall of the field, round what stands in it, and no further.
//!
//! Where several places do, the runs are made as equal as the rows allow without longer joints, and a joint goes into a neck near by that
//! is at most half as wide.

mod runs;

use crate::field::Field;
use crate::lattice::{Choice, FrameField, Lattice};
use crate::product::Product;
use crate::rules::TOLERANCE;
use drylay_geometry::{Axis, Length, Point};
use runs::{Cross, Runs, Stretch};

/// A movement joint.
#[derive(Clone, Debug, PartialEq)]
pub struct MovementJoint {
    /// Its ends, in the area's plan coordinates.
    pub line: (Point, Point),
    /// Whether it runs along the rows; otherwise across them.
    pub along_rows: bool,
    /// Whether it lies between two rows; otherwise it goes through tiles.
    pub between_rows: bool,
    /// Why it lies there.
    pub reason: Reason,
}

/// Why a movement joint lies where it lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// In a passage, by its index.
    Passage(usize),
    /// In a neck of the field.
    Neck,
    /// It parts a run as evenly as can be.
    Run,
}

/// The movement joints of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct MovementJoints {
    /// Those across the rows first, then those along them.
    pub joints: Vec<MovementJoint>,
    /// The longest run that is left; longer than what was asked only where a row is wider than that.
    pub longest: Length,
    /// Whether fewer could not do, beside those in passages; otherwise fewer were not found.
    pub fewest: bool,
}

/// How many sets of joints are looked at for one number of joints before it is taken that so few do not do.
const MOST_TRIES: usize = 400;
/// Runs are made equal to within this, in nanometres.
const EVEN: f64 = 1_000_000.0;
/// By how much joints may be longer in sum, walls being out of square, for the runs to be more equal.
const LONGER: f64 = 1.05;

/// The joints that part a field so that no run is longer than `most`.
pub fn movement_joints(product: &Product, choice: &Choice, field: &Field, most: Length) -> MovementJoints {
    let frame = FrameField::new(&field.region, choice.along.direction);
    let mut all = MovementJoints { joints: Vec::new(), longest: Length::ZERO, fewest: true };
    let Some(lattice) = Lattice::new(product, choice, &frame) else { return all };
    for along in [Axis::X, Axis::Y] {
        let between_rows = (along == Axis::Y).then(|| {
            let joint = product.joint.nanometres();
            (0..lattice.row_count()).map(|row| lattice.row_faces(row).1 + joint / 2).collect()
        });
        let least = if between_rows.is_some() { product.pitch_across() } else { Length::from_mm(1) };
        let most = (most.max(least).nanometres() + TOLERANCE) as f64;
        let parting = Parting { runs: Runs::new(&frame.region, along, between_rows), most };
        let parted = parting.part(&passages(field, &frame, along));
        all.longest = all.longest.max(rounded(parting.runs.longest(&parted.crosses())));
        all.fewest &= parted.fewest;
        let line = |c: &Cross| {
            let end = |t: f64| {
                let t = rounded(t).nanometres();
                frame.direction.from_frame(if along == Axis::X {
                    Point { x: c.s, y: t }
                } else {
                    Point { x: t, y: c.s }
                })
            };
            (end(c.t.0), end(c.t.1))
        };
        all.joints.extend(parted.joints.iter().map(|(cross, reason)| MovementJoint {
            line: line(cross),
            along_rows: along == Axis::Y,
            between_rows: along == Axis::Y && parting.runs.place_near(cross.s) == Some(cross.s),
            reason: *reason,
        }));
    }
    all
}

fn rounded(nm: f64) -> Length {
    #[expect(clippy::cast_possible_truncation, reason = "plan coordinates are far inside the range of i64")]
    Length::from_nanometres(nm.round() as i64)
}

/// A passage that runs can go through: its index and its middle, as s and t.
struct Neck {
    passage: usize,
    s: i64,
    t: f64,
}

/// The passages through which runs of this direction go.
fn passages(field: &Field, frame: &FrameField, along: Axis) -> Vec<Neck> {
    let through = |p: &&crate::field::PassageLine| {
        let (across, rows) = (p.through.components(), frame.direction.components());
        let with_rows = (across.0 * rows.0 + across.1 * rows.1).abs();
        (with_rows >= 0.5_f64.sqrt()) == (along == Axis::X)
    };
    let neck = |p: &crate::field::PassageLine| {
        let at = frame.direction.to_frame(p.middle);
        let (s, t) = if along == Axis::X { (at.x, at.y) } else { (at.y, at.x) };
        Neck { passage: p.passage, s, t: t as f64 }
    };
    field.passages.iter().filter(through).map(neck).collect()
}

/// The parting of the runs of one direction.
struct Parting {
    runs: Runs,
    most: f64,
}

struct Parted {
    joints: Vec<(Cross, Reason)>,
    fewest: bool,
}

impl Parted {
    fn crosses(&self) -> Vec<Cross> {
        self.joints.iter().map(|(cross, _)| *cross).collect()
    }
}

impl Parting {
    fn part(&self, necks: &[Neck]) -> Parted {
        let joints = self.in_passages(necks);
        let fixed: Vec<Cross> = joints.iter().map(|(cross, _)| *cross).collect();
        let mut parted = Parted { joints, fewest: true };
        if self.runs.longest(&fixed) <= self.most {
            return parted;
        }
        let (found, fewest) = self.fewest(&fixed);
        let mut crosses = self.even(&fixed, found);
        for i in fixed.len()..crosses.len() {
            let neck = self.neck_for(&crosses, i);
            crosses[i] = neck.unwrap_or(crosses[i]);
            parted.joints.push((crosses[i], if neck.is_some() { Reason::Neck } else { Reason::Run }));
        }
        parted.joints[fixed.len()..].sort_by(|(a, _), (b, _)| a.s.cmp(&b.s).then(a.t.0.total_cmp(&b.t.0)));
        parted.fewest = fewest;
        parted
    }

    /// Joints in those passages that a run goes through that is too long, the longest run first, in the passage
    /// nearest to its middle.
    fn in_passages(&self, necks: &[Neck]) -> Vec<(Cross, Reason)> {
        let known: Vec<(Cross, usize)> =
            necks.iter().filter_map(|n| Some((self.passage_cross(n)?, n.passage))).collect();
        let mut joints: Vec<(Cross, Reason)> = Vec::new();
        loop {
            let made: Vec<Cross> = joints.iter().map(|(cross, _)| *cross).collect();
            let too_long = self.runs.stretches(&made).into_iter().filter(|s| s.longest() > self.most);
            let best = too_long
                .flat_map(|s| {
                    known.iter().filter_map(move |(c, p)| Some((s.longest(), off_middle(&s, c)?, *c, *p)))
                })
                .filter(|(_, _, c, _)| !made.contains(c))
                .min_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)).then(a.3.cmp(&b.3)));
            match best {
                Some((_, _, cross, passage)) => joints.push((cross, Reason::Passage(passage))),
                None => return joints,
            }
        }
    }

    /// The joint in a passage: between two rows where such a place is as narrow as the passage, else in its middle.
    fn passage_cross(&self, neck: &Neck) -> Option<Cross> {
        let middle = self.runs.cross(neck.s, neck.t)?;
        let between = self.runs.place_near(neck.s).and_then(|s| self.runs.cross(s, neck.t));
        Some(between.filter(|c| c.length() <= middle.length() * 1.05).unwrap_or(middle))
    }

    /// The fewest joints found beside the fixed ones, and whether it is sure that fewer do not do.
    fn fewest(&self, fixed: &[Cross]) -> (Vec<Cross>, bool) {
        let forth = self.greedy(fixed);
        let mirrored = self.mirrored();
        let turned: Vec<Cross> = fixed.iter().map(turned).collect();
        let back: Vec<Cross> = mirrored.greedy(&turned).iter().map(self::turned).collect();
        let worth = |joints: &[Cross]| {
            let all: Vec<Cross> = fixed.iter().chain(joints).copied().collect();
            (self.runs.longest(&all) > self.most, joints.len())
        };
        let mut best = if worth(&back) < worth(&forth) { back } else { forth };
        let least = (self.runs.longest(fixed) / self.most).ceil() - 1.0;
        let mut sure = true;
        for count in 1..best.len() {
            if (count as f64) < least {
                continue;
            }
            let (found, tried_all) = self.with(fixed, count, self.most);
            if let Some(found) = found {
                best = found;
                break;
            }
            sure &= tried_all;
        }
        (best, sure)
    }

    fn mirrored(&self) -> Self {
        Self { runs: self.runs.mirrored(), most: self.most }
    }

    /// Each run that is too long is parted as late as can be.
    fn greedy(&self, fixed: &[Cross]) -> Vec<Cross> {
        let mut all = fixed.to_vec();
        while let Some((start, t, _)) = self.runs.first_too_long(&all, self.most) {
            let place = self.runs.place_until(latest(start, self.most)).filter(|s| *s as f64 > start);
            match place.and_then(|s| self.runs.cross(s, t)) {
                Some(cross) if !all.contains(&cross) => all.push(cross),
                _ => break,
            }
        }
        all.split_off(fixed.len())
    }

    /// So many joints beside the fixed ones that leave no run longer than `most`; and whether every way was tried.
    fn with(&self, fixed: &[Cross], count: usize, most: f64) -> (Option<Vec<Cross>>, bool) {
        let mut all = fixed.to_vec();
        let mut tries = 0;
        let found = self.extend(&mut all, count, most, &mut tries);
        (found.then(|| all.split_off(fixed.len())), tries < MOST_TRIES)
    }

    fn extend(&self, all: &mut Vec<Cross>, left: usize, most: f64, tries: &mut usize) -> bool {
        *tries += 1;
        let Some((start, t, length)) = self.runs.first_too_long(all, most) else { return true };
        if (length / most).ceil() - 1.0 > left as f64 || *tries >= MOST_TRIES {
            return false;
        }
        let mut places = self.runs.places_before_corners(start, latest(start, most));
        places.extend(self.runs.place_until(latest(start, most)).filter(|s| *s as f64 > start));
        places.sort_unstable();
        places.dedup();
        for s in places.into_iter().rev() {
            let Some(cross) = self.runs.cross(s, t).filter(|c| !all.contains(c)) else { continue };
            all.push(cross);
            if self.extend(all, left - 1, most, tries) {
                return true;
            }
            all.pop();
        }
        false
    }

    /// As many joints as were found, the runs as short as that allows without longer joints; the fixed ones before
    /// them.
    fn even(&self, fixed: &[Cross], found: Vec<Cross>) -> Vec<Cross> {
        let total = |joints: &[Cross]| joints.iter().map(Cross::length).sum::<f64>();
        let most_total = total(&found) * LONGER;
        let (mut shortest, mut longest) = (0.0, self.most);
        let mut best = found;
        while longest - shortest > EVEN {
            let most = shortest + (longest - shortest) / 2.0;
            match self.with(fixed, best.len(), most).0 {
                Some(evener) if evener.len() <= best.len() && total(&evener) <= most_total => {
                    (best, longest) = (evener, most)
                }
                _ => shortest = most,
            }
        }
        fixed.iter().copied().chain(best).collect()
    }

    /// A place near by for one of the joints that is at most half as wide and does as well.
    fn neck_for(&self, all: &[Cross], i: usize) -> Option<Cross> {
        let now = all[i];
        #[expect(clippy::cast_possible_truncation, reason = "a run is far inside the range of i64")]
        let within = self.most as i64;
        let narrow = |c: &Cross| c.length() <= now.length() / 2.0;
        let places = self.runs.places_about(now.s, within);
        let mut necks: Vec<Cross> =
            places.iter().flat_map(|s| self.runs.crosses(*s)).filter(narrow).collect();
        let key = |c: &Cross| (rounded(c.length() / 1e6), (c.s - now.s).abs());
        necks.sort_by(|a, b| key(a).cmp(&key(b)).then(a.t.0.total_cmp(&b.t.0)));
        necks.into_iter().find(|neck| {
            let mut others = all.to_vec();
            others[i] = *neck;
            self.runs.longest(&others) <= self.most
        })
    }
}

/// The last place at which a joint parts runs that begin at `start`. What counts as too long has a tolerance, what is
/// laid out has none.
fn latest(start: f64, most: f64) -> f64 {
    start + most - TOLERANCE as f64
}

fn turned(cross: &Cross) -> Cross {
    Cross { s: -cross.s, t: cross.t }
}

/// How far from the middle of runs a joint parts them; `None` where it does not.
fn off_middle(stretch: &Stretch, cross: &Cross) -> Option<f64> {
    let (from, to) = (stretch.t.0.max(cross.t.0), stretch.t.1.min(cross.t.1));
    let (start, end) = stretch.at(from + (to - from) / 2.0);
    let s = cross.s as f64;
    (to > from && start < s && s < end).then(|| (s - start - (end - start) / 2.0).abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs from 0 to 100 at t = 0 and from 40 to 100 at t = 10, so with their middle at 50 + 2 t; a joint from t = 2 to
    /// t = 14 parts those from 2 to 10, and is as far off as in their middle, at t = 6.
    #[test]
    fn how_far_a_joint_is_off_is_told_in_the_middle_of_what_it_parts() {
        let runs = Stretch { t: (0.0, 10.0), start: (0.0, 40.0), end: (100.0, 100.0) };
        let off = |s: i64, t: (f64, f64)| off_middle(&runs, &Cross { s, t });
        let near = |found: Option<f64>, wanted: f64| found.is_some_and(|off| (off - wanted).abs() < 1e-9);
        assert!(near(off(62, (2.0, 14.0)), 0.0));
        assert!(near(off(70, (2.0, 14.0)), 8.0));
        assert!(near(off(70, (-4.0, 4.0)), 16.0));
        assert_eq!(off(20, (2.0, 14.0)), None, "before they begin");
        assert_eq!(off(70, (10.0, 14.0)), None, "beside them");
    }
}
