//! The room as adjusted: where its corners are, how well they are known, what was wrong, what to do next.

use super::draft::Turn;
use super::next::NextTie;
use super::slips::Guess;
use crate::network::Observed;
use drylay_geometry::{CornerId, Covariance, ItemId, Outline, RingProblem};

/// A value with its standard deviation, in the unit that is said beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Its standard deviation, from the readings' a-priori standard deviations.
    pub sd: f64,
}

/// What can be said of a room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Solved, checked, and the checks agree.
    Consistent,
    /// Something is off: a suspect, the global test fails, or the shape crosses itself.
    Recheck,
    /// Solved, but nothing checks it or right angles had to be assumed.
    Loose,
    /// Another shape fits as well: see [`Room::alternative`].
    Ambiguous,
    /// Too little was measured: see [`Room::missing`].
    Unsolvable,
}

/// What a survey is good for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GoodFor {
    /// Nothing yet.
    Nothing,
    /// A quote: areas and lengths to order by with breakage on top; no tile is cut by it.
    Quote,
    /// Setting out: cuts and exact orders may follow from it.
    SettingOut,
}

/// What keeps a survey from being good for setting out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lack {
    /// Too little was measured to solve the room.
    Readings,
    /// The readings disagree, or bound no floor.
    Agreement,
    /// A reading that decides between two shapes.
    OneShape,
    /// Something that checks every reading.
    Checks,
    /// Readings to the bare walls: trim may vary in thickness, and boards that are not up yet are presumed.
    BareWalls,
    /// Sharpness: some distance between corners has this standard deviation, in mm.
    Sharpness {
        /// The largest one.
        sd: f64,
    },
}

/// A corner's place in the sheet's frame: first corner at the origin, first wall along x, y down the page.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedCorner {
    /// Its name.
    pub id: CornerId,
    /// x and y in mm.
    pub at: (f64, f64),
    /// Standard deviations of x and y in mm; zero for what the frame holds.
    pub sd: (f64, f64),
    /// The angle on the floor's side, in degrees.
    pub angle: Estimate,
}

/// One reading after the adjustment of all readings. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingResult {
    /// Corners by index.
    pub from: usize,
    /// The other end.
    pub to: usize,
    /// As read.
    pub read: f64,
    /// Corrected to the floor's edge; the same as `read` between bare walls.
    pub corrected: f64,
    /// Standard deviation that was used.
    pub sd: f64,
    /// Adjusted distance between the corners.
    pub adjusted: f64,
    /// Adjusted − corrected.
    pub residual: f64,
    /// The residual over its own standard deviation; `None` where nothing checks the reading.
    pub w: Option<f64>,
    /// Redundancy number, 0 to 1.
    pub redundancy: f64,
    /// The least error that the test would find with 80 %; `None` where nothing checks the reading.
    pub least_detectable: Option<f64>,
    /// Set aside by data snooping.
    pub suspect: bool,
    /// What all other readings (suspects left out) say should have been read; `None` where they say nothing.
    pub others_say: Option<Estimate>,
    /// For suspects and candidates: slips that would explain the error, likeliest first. Guesses.
    pub guesses: Vec<Guess>,
}

/// One square check after the adjustment of all readings. Degrees.
#[derive(Clone, Debug, PartialEq)]
pub struct SquareResult {
    /// The corner by index.
    pub corner: usize,
    /// Adjusted − 90 (− 270 at an outside corner).
    pub residual: f64,
    /// The residual over its own standard deviation; `None` where nothing checks the square.
    pub w: Option<f64>,
    /// Redundancy number, 0 to 1.
    pub redundancy: f64,
    /// Set aside by data snooping.
    pub suspect: bool,
}

/// The test whether all misfits together are explained by the standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlobalTest {
    /// Weighted sum of squared residuals of all observations.
    pub sum: f64,
    /// Degrees of freedom; includes right angles that were assumed.
    pub freedom: usize,
    /// The chance of a larger sum.
    pub chance: f64,
    /// Whether that chance is at least 0.1 %.
    pub passed: bool,
}

/// Another shape that fits as well.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// Its corners in mm, in the same frame.
    pub corners: Vec<(f64, f64)>,
    /// The tie that decides, by corner indices, with its length in mm in the given and in the other shape.
    pub decided_by: Option<(usize, usize, f64, f64)>,
}

/// A thing on the floor, located by distances.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedThing {
    /// Its name.
    pub id: ItemId,
    /// x and y in mm.
    pub at: (f64, f64),
    /// Standard deviations of x and y in mm.
    pub sd: (f64, f64),
    /// How far the two distances are from meeting, in mm; zero where they meet.
    pub gap: f64,
    /// Whether that is within what the two readings may be off.
    pub meets: bool,
    /// The line it was located from: its direction as a unit vector, and the unit vector to the thing's side of it.
    pub axes: ((f64, f64), (f64, f64)),
}

/// A wall that a string showed not to be straight.
#[derive(Clone, Debug, PartialEq)]
pub struct BowedWall {
    /// The wall, named by the corner index it starts from.
    pub wall: usize,
    /// Points of the wall between its corners, in walking order, in mm.
    pub points: Vec<(f64, f64)>,
    /// Standard deviation of each across the wall, in mm.
    pub sd: Vec<f64>,
    /// Greatest distance from the string in mm, outwards positive.
    pub most: f64,
    /// Offsets said to be at or beyond the wall's end, by how far along in mm; they are not among the points.
    pub beyond: Vec<f64>,
    /// What the wall adds to the straight room's floor, in mm²; its standard deviation from the offsets alone.
    pub area_mm2: Estimate,
}

/// Something a person should know, as data; whoever shows it makes the words. Readings, squares and corners by
/// index.
#[derive(Clone, Debug, PartialEq)]
pub enum Advice {
    /// This reading disagrees with all others.
    Suspect {
        /// The reading.
        reading: usize,
    },
    /// This square check disagrees with all readings.
    SuspectSquare {
        /// The square check.
        square: usize,
    },
    /// One of these is off, the others cannot tell which; those whose error looks like a usual slip come first.
    OneOfThese {
        /// Readings.
        readings: Vec<usize>,
        /// Square checks.
        squares: Vec<usize>,
    },
    /// A reading is longer than the way round by others: one of them is wrong.
    LongerThanWayRound {
        /// The reading.
        reading: usize,
        /// By so much, in mm.
        by: f64,
    },
    /// Right angles stand in for readings at these corners.
    SquareAssumed {
        /// The corners.
        corners: Vec<usize>,
    },
    /// Nothing checks these readings.
    Unchecked {
        /// The readings.
        readings: Vec<usize>,
    },
    /// A corner turns otherwise than was said or presumed.
    TurnsOtherwise {
        /// The corner.
        corner: usize,
        /// How it turns.
        turns: Turn,
    },
    /// The solved shape bounds no floor.
    Folds {
        /// What is wrong, by corner index.
        problems: Vec<RingProblem>,
    },
    /// Read with the trim on; corrected by its thickness.
    TrimOn {
        /// The readings.
        readings: Vec<usize>,
    },
    /// Read to the bottom plate of an open wall; the boards that will go on are taken off.
    PlateRead {
        /// The readings.
        readings: Vec<usize>,
    },
    /// The two distances to a thing do not meet by more than their errors explain.
    DoesNotMeet {
        /// The thing.
        thing: usize,
    },
    /// A string's offset lies at or beyond the end of its wall, and was left out.
    BeyondWall {
        /// The wall, among [`Room::bowed`].
        bowed: usize,
        /// How far along, in mm.
        along: f64,
    },
    /// Readings were taken at different heights: walls out of plumb show as misfits.
    HeightsDiffer,
    /// Enough was read to fix the room, and yet the adjustment does not come to rest: readings too far off, or small
    /// angles that no tie across tells.
    DoesNotSettle {
        /// Readings furthest from the shape that it came to, worst first; none if all fit about.
        readings: Vec<usize>,
    },
    /// Nothing more is worth measuring.
    EnoughMeasured,
}

/// The adjusted room.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// What can be said of it.
    pub verdict: Verdict,
    /// What it is good for.
    pub good_for: GoodFor,
    /// What it lacks to be good for setting out; empty if it is.
    pub lacks: Vec<Lack>,
    /// Corners in walking order, without suspects' influence; empty if unsolvable.
    pub corners: Vec<PlacedCorner>,
    /// Covariance of all coordinates in mm², in the sheet's frame.
    pub covariance: Covariance,
    /// The checked outline, rounded to micrometres; `None` where the shape bounds no floor or is not solved.
    pub outline: Option<Outline>,
    /// Floor area in m², bowed walls included.
    pub area_m2: Option<Estimate>,
    /// Length of all walls in mm.
    pub perimeter_mm: Option<Estimate>,
    /// Readings and square checks beyond what they fix. Assumed right angles do not count.
    pub redundancy: usize,
    /// Weighted sum of squares over its degrees of freedom, all observations; `None` if nothing is checked.
    pub variance_factor: Option<f64>,
    /// The global test of all observations; `None` if nothing is checked.
    pub global_test: Option<GlobalTest>,
    /// One for each reading of the draft, in order. Empty if unsolvable.
    pub readings: Vec<ReadingResult>,
    /// One for each square check of the draft, in order. Empty if unsolvable.
    pub squares: Vec<SquareResult>,
    /// Readings set aside, in the order in which that happened.
    pub suspects: Vec<usize>,
    /// Corners whose right angle stands in for readings.
    pub assumed_square: Vec<usize>,
    /// Largest standard deviation of any corner-to-corner distance, in mm.
    pub largest_sd_mm: Option<f64>,
    /// Ties worth measuring, best first.
    pub next: Vec<NextTie>,
    /// If unsolvable: walls or ties that would fix the room, by corner indices.
    pub missing: Vec<(usize, usize)>,
    /// If ambiguous: the other shape.
    pub alternative: Option<Alternative>,
    /// How far (x, y in mm) the walk along the walls as read ends from where it began, turning by the adjusted
    /// angles (by right angles where those are assumed); `None` if a wall was not read.
    pub misclosure_mm: Option<(f64, f64)>,
    /// Things located by distances, in the draft's order. Empty if unsolvable.
    pub things: Vec<PlacedThing>,
    /// Walls with strings, in the order of the draft's first string along each. Empty if unsolvable.
    pub bowed: Vec<BowedWall>,
    /// What a person should know.
    pub advice: Vec<Advice>,
}

impl Room {
    /// The distance between two corners in mm; `None` if there are no such corners.
    pub fn distance(&self, from: usize, to: usize) -> Option<Estimate> {
        if from.max(to) >= self.corners.len() {
            return None;
        }
        let at: Vec<(f64, f64)> = self.corners.iter().map(|c| c.at).collect();
        let (value, row) = Observed::Distance { from, to }.linear(&at);
        Some(Estimate { value, sd: self.covariance.variance(&row).sqrt() })
    }
}
