//! From starting shapes to the shape that fits: right angles stand in only where readings leave a corner free.

use super::flips;
use super::model::{ASSUMED_SQUARE, Model, Shape, is_room};
use super::snoop::snoop;
use super::spread::spread;
use super::start;
use crate::network::{Datum, Gradient, Pace, descend, freedoms, misfit, settle, shape_row};
use crate::stats::{GLOBAL_LEVEL, chi_square_beyond};

/// A shape that fits the readings as well as it can.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    pub(crate) at: Shape,
    /// Weighted sum of squares over readings, checks and assumed right angles.
    pub(crate) sum: f64,
    /// Degrees of freedom of that sum.
    pub(crate) freedom: usize,
    /// Corners whose right angle stands in for readings.
    pub(crate) assumed: Vec<usize>,
    /// In how many ways the shape could move if no right angle were assumed.
    pub(crate) free: usize,
}

/// What came of the attempt to solve a room.
#[derive(Clone, Debug)]
pub(crate) enum Outcome {
    Solved(Box<Fit>),
    /// Not fixed; walls or ties that would fix it, by corner indices.
    Missing(Vec<(usize, usize)>),
    /// Enough was read, but the steps do not come to rest; how far they came.
    Restless(Shape),
}

/// Why a start leads to no fit.
#[derive(Clone, Debug)]
pub(crate) enum Unfit {
    /// Walls or ties are lacking.
    Lacking(Vec<(usize, usize)>),
    /// The steps do not come to rest; how far they came.
    Restless(Shape),
}

impl Unfit {
    /// Of two reasons the one that tells more: what is lacking, then how far the first came.
    fn or(self, other: Self) -> Self {
        match (&self, &other) {
            (Self::Lacking(pairs), _) if !pairs.is_empty() => self,
            (Self::Restless(_), Self::Restless(_)) => self,
            _ => other,
        }
    }
}

impl Fit {
    /// Readings and checks beyond what they fix by themselves.
    pub(crate) fn own_redundancy(&self, observed: usize) -> usize {
        (observed + self.free).saturating_sub(2 * self.at.len() - 3)
    }

    /// Whether the misfit is larger than the readings' own errors explain.
    pub(crate) fn strained(&self) -> bool {
        if self.freedom == 0 {
            self.sum > 1e-3
        } else {
            chi_square_beyond(self.sum, self.freedom) < GLOBAL_LEVEL
        }
    }
}

/// Right angles that would have to be this far off do not describe the room: 10°, twenty times their standard
/// deviation.
const NO_RIGHT_ANGLE: f64 = 20.0 * ASSUMED_SQUARE;

/// Rooms with more corners than this are large.
const LARGE: usize = 24;

/// Finds the shape of the room.
pub(crate) fn solve(model: &mut Model) -> Outcome {
    // n corners have 2n − 3 unknowns, and right angles at all of them give n − 1 of these at most.
    if model.corners > LARGE && model.lines.len() + 2 < model.corners {
        return Outcome::Missing(unread_walls(model));
    }
    let walked = start::walk(model);
    model.correct(&walked);
    let (mut best, good) = match first_fit(model, walked) {
        Ok(found) => found,
        Err(Unfit::Lacking(pairs)) => return Outcome::Missing(pairs),
        Err(Unfit::Restless(at)) => return Outcome::Restless(at),
    };
    if !good && (!is_room(&best.at) || (best.strained() && !slip_explains(model, &best))) {
        best = flips::improve(model, best);
    }
    settle_trim(model, &mut best);
    if too_crooked(model, &best) {
        return Outcome::Missing(lacking(model, &best.at, &[]));
    }
    Outcome::Solved(Box::new(best))
}

/// The best fit of those that the starting shapes lead to, and whether it is a room that fits and turns as was said.
fn first_fit(model: &Model, walked: Shape) -> Result<(Fit, bool), Unfit> {
    // Each is made only when the ones before it were not good enough, which the walk nearly always is.
    let triangles = std::iter::once_with(|| start::triangles(model)).flatten();
    let spread = std::iter::once_with(|| if model.corners > LARGE { spread(model, &walked) } else { None });
    let starts = std::iter::once_with(|| walked.clone()).chain(triangles).chain(spread.flatten());
    let (mut best, mut good): (Result<Fit, Unfit>, bool) = (Err(Unfit::Lacking(Vec::new())), false);
    for from in starts {
        match fit(model, &from) {
            Ok(fit) => {
                good = is_room(&fit.at) && !fit.strained() && model.wrong_turns(&fit.at).is_empty();
                best = Ok(flips::better(model, best.ok(), fit));
                if good {
                    break; // nothing to gain from another start
                }
            }
            Err(unfit) => best = best.map_err(|was| was.or(unfit)),
        }
    }
    best.map(|best| (best, good))
}

/// Whether the strain is gone once what data snooping finds is set aside: then the shape is right and a reading is
/// wrong, and no other shape need be tried.
fn slip_explains(model: &Model, fit: &Fit) -> bool {
    snoop(model, fit).is_ok_and(|s| {
        s.alike.is_empty()
            && chi_square_beyond(s.rest.sum, s.rest.redundancy) >= GLOBAL_LEVEL
            && is_room(&s.rest.at)
    })
}

/// Right angles that do not add up and bend far: ties are missing. Where they do add up and still bend, a reading
/// is wrong, and the verdict will say so.
fn too_crooked(model: &Model, fit: &Fit) -> bool {
    let angles = model.angles(&fit.at);
    !adds_up(model, &fit.at, &fit.assumed)
        && fit.assumed.iter().any(|&c| (angles[c] - model.square_angle(c)).abs() > NO_RIGHT_ANGLE)
}

/// Trim corrections depend on the shape and the shape on them; each round leaves about a hundredth of the change.
fn settle_trim(model: &mut Model, best: &mut Fit) {
    for _ in 0..8 {
        if model.correct(&best.at) < 1e-9 {
            return;
        }
        match refit(model, &best.at, &best.assumed, best.free) {
            Some(next) => *best = next,
            None => return,
        }
    }
}

/// Near enough for a shape that is only settled again without the pull towards right angles, in mm.
const NEAR: f64 = 0.01;
/// A large room that after [`TRIED`] steps misfits by more than this many times what errors explain, and gains less
/// than a fifth by a step, hangs folded.
const FAR: f64 = 3.0;
const TRIED: usize = 4;

/// The shape that fits the readings and a weak pull towards right angles.
fn pulled(model: &Model, from: &[(f64, f64)]) -> Option<Shape> {
    let mut soft = model.observations(&[]);
    soft.extend(model.soft(&start::walk_angles(model)));
    let (explained, large) = (FAR * soft.len() as f64, model.corners > LARGE);
    let mut steps = 0;
    let mut judge = |before: f64, after: f64, size: f64| {
        steps += 1;
        if size < NEAR || (large && after < explained && after > 0.999 * before) {
            Pace::Enough
        } else if large && steps > TRIED && after > explained && after > 0.8 * before {
            Pace::GiveUp
        } else {
            Pace::On
        }
    };
    descend(from, &soft, &model.datum(), &mut judge).ok()
}

/// The fit reached from a start; else why there is none.
pub(crate) fn fit(model: &Model, from: &[(f64, f64)]) -> Result<Fit, Unfit> {
    let restless = || Unfit::Restless(from.to_vec());
    let at = pulled(model, from).ok_or_else(restless)?;
    let free = freedoms(&at, &whats(model, &[]), &model.datum());
    let assumed: Vec<usize> = if free.is_empty() {
        Vec::new()
    } else {
        (0..model.corners).filter(|&c| is_free(model, &at, c, &free)).collect()
    };
    if !free.is_empty() && !freedoms(&at, &whats(model, &assumed), &model.datum()).is_empty() {
        let stands_in = if adds_up(model, &at, &assumed) { &assumed[..] } else { &[] };
        return Err(Unfit::Lacking(lacking(model, &at, stands_in)));
    }
    refit(model, &at, &assumed, free.len()).ok_or(Unfit::Restless(at))
}

/// Whether the assumed right angles and the other corners' angles add up as a ring's must.
fn adds_up(model: &Model, at: &[(f64, f64)], assumed: &[usize]) -> bool {
    let angles = model.angles(at);
    let angle = |c: usize| if assumed.contains(&c) { model.square_angle(c) } else { angles[c] };
    let sum: f64 = (0..model.corners).map(angle).sum();
    (sum - (model.corners as f64 - 2.0) * std::f64::consts::PI).abs() < NO_RIGHT_ANGLE
}

/// The fit with these right angles assumed, from places near it.
pub(crate) fn refit(model: &Model, from: &[(f64, f64)], assumed: &[usize], free: usize) -> Option<Fit> {
    let observations = model.observations(assumed);
    let at = settle(from, &observations, &model.datum()).ok()?;
    let sum = misfit(&at, &observations);
    let unknowns = 2 * model.corners - 3;
    Some(Fit {
        at,
        sum,
        freedom: observations.len().saturating_sub(unknowns),
        assumed: assumed.to_vec(),
        free,
    })
}

fn whats(model: &Model, assumed: &[usize]) -> Vec<crate::network::Observed> {
    model.observations(assumed).iter().map(|o| o.what).collect()
}

/// Whether the readings leave a corner's angle open: some free motion changes it.
fn is_free(model: &Model, at: &[(f64, f64)], corner: usize, free: &[Vec<f64>]) -> bool {
    !model.is_checked_square(corner) && moved_by(&shape_row(model.angle(corner), at), free) > 1e-3
}

/// How much the free motions change an observation.
fn moved_by(row: &Gradient, free: &[Vec<f64>]) -> f64 {
    let along = |f: &Vec<f64>| row.iter().map(|&(c, v)| v * f[c]).sum::<f64>();
    free.iter().map(|f| along(f) * along(f)).sum::<f64>().sqrt()
}

fn unread_walls(model: &Model) -> Vec<(usize, usize)> {
    (0..model.corners).map(|i| (i, model.next(i))).filter(|&(i, j)| !model.is_read(i, j)).collect()
}

/// Walls, or else ties, that would fix what is still free: each time the one that the free motions change most,
/// unread walls before ties.
fn lacking(model: &Model, at: &[(f64, f64)], assumed: &[usize]) -> Vec<(usize, usize)> {
    let datum: Datum = model.datum();
    let mut what = whats(model, assumed);
    let mut found = Vec::new();
    while found.len() < 2 * model.corners {
        let free = freedoms(at, &what, &datum);
        if free.is_empty() {
            break;
        }
        let mut pairs = Vec::new();
        if found.is_empty() && model.corners > LARGE {
            pairs = unread_walls(model); // one by one would take long, and all of them are to be read anyway
        }
        if pairs.is_empty() {
            pairs.extend(most_moved(model, at, &free));
        }
        if pairs.is_empty() {
            break;
        }
        what.extend(pairs.iter().map(|&(from, to)| crate::network::Observed::Distance { from, to }));
        found.extend(pairs);
    }
    found
}

fn most_moved(model: &Model, at: &[(f64, f64)], free: &[Vec<f64>]) -> Option<(usize, usize)> {
    const MATTERS: f64 = 1e-3;
    let moved = |&(from, to): &(usize, usize)| {
        moved_by(&shape_row(crate::network::Observed::Distance { from, to }, at), free)
    };
    let most = |pairs: &mut dyn Iterator<Item = (usize, usize)>| {
        let mut best: Option<(f64, (usize, usize))> = None;
        for pair in pairs {
            let by = moved(&pair);
            if by > MATTERS && best.is_none_or(|(m, _)| by > m + 1e-9) {
                best = Some((by, pair));
            }
        }
        best.map(|b| b.1)
    };
    let n = model.corners;
    most(&mut unread_walls(model).into_iter()).or_else(|| {
        most(&mut (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j))).filter(|&(i, j)| !model.is_wall(i, j)))
    })
}
