//! Walls that strings showed not to be straight: their points between the corners, and what that does to the floor.

use super::draft::{Draft, StringLine, StringOffset};
use super::instrument::Tape;
use super::model::{right_of, span};
use super::room::{BowedWall, Estimate};
use super::things::index;
use crate::network::Solution;
use std::collections::BTreeMap;

/// All walls with strings, in the order of the draft's first string along each.
pub(crate) fn bowed(draft: &Draft, known: &Solution, tape: &Tape) -> Vec<BowedWall> {
    let mut order: Vec<usize> = Vec::new();
    let mut offsets: BTreeMap<usize, Vec<StringOffset>> = BTreeMap::new();
    for string in &draft.strings {
        let wall = starts(draft, string);
        if !offsets.contains_key(&wall) {
            order.push(wall);
        }
        offsets.entry(wall).or_default().extend(&string.offsets);
    }
    order.iter().filter_map(|wall| Some(bow(draft, *wall, offsets.remove(wall)?, known, tape))).collect()
}

fn starts(draft: &Draft, string: &StringLine) -> usize {
    index(draft, &string.from)
}

fn bow(
    draft: &Draft,
    wall: usize,
    mut offsets: Vec<StringOffset>,
    known: &Solution,
    tape: &Tape,
) -> BowedWall {
    let to = (wall + 1) % draft.corners.len();
    let (a, b) = (known.at[wall], known.at[to]);
    let (l, inward) = (span(a, b).max(1e-9), right_of(a, b));
    let (ux, uy) = ((b.0 - a.0) / l, (b.1 - a.1) / l);
    offsets.sort_by_key(|o| o.along);
    let beyond = offsets.iter().filter(|o| o.along.mm() >= l).map(|o| o.along.mm()).collect();
    offsets.retain(|o| o.along.mm() < l);
    let point = |o: &StringOffset| {
        let (s, o) = (o.along.mm(), o.offset.mm());
        (a.0 + s * ux - o * inward.0, a.1 + s * uy - o * inward.1)
    };
    let own = |o: &StringOffset| o.sd.map_or_else(|| tape.sd_mm(o.offset.mm()), |sd| sd.mm());
    // Across the wall a point of the string lies between the corners as far along as it was read.
    let sd = |o: &StringOffset| {
        let part = o.along.mm() / l;
        let end = |c: usize, part: f64| [(2 * c, part * inward.0), (2 * c + 1, part * inward.1)];
        let row = [end(wall, 1.0 - part), end(to, part)].concat();
        (known.between(&row, &row).max(0.0) + own(o) * own(o)).sqrt()
    };
    let most =
        offsets.iter().map(|o| o.offset.mm()).fold(0.0f64, |m, o| if o.abs() > m.abs() { o } else { m });
    BowedWall {
        wall,
        points: offsets.iter().map(point).collect(),
        sd: offsets.iter().map(sd).collect(),
        most,
        beyond,
        area_mm2: area(&offsets, l, &own),
    }
}

/// What the wall adds to the floor beyond its string: trapezia between the offsets, each of which carries half the way
/// to its neighbours.
fn area(offsets: &[StringOffset], l: f64, own: &dyn Fn(&StringOffset) -> f64) -> Estimate {
    let place = |k: usize| match k {
        0 => 0.0,
        k => offsets.get(k - 1).map_or(l, |o| o.along.mm()),
    };
    let (mut value, mut variance) = (0.0, 0.0);
    for (k, o) in offsets.iter().enumerate() {
        let half = (place(k + 2) - place(k)) / 2.0;
        value += half * o.offset.mm();
        variance += half * half * own(o) * own(o);
    }
    Estimate { value, sd: variance.sqrt() }
}
