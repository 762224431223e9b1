//! Whether a piece has the room that a motion needs, and what can be done where it has not.

use super::contact::tile_of;
use super::{Engagement, Hindrance, Motion, Overhang, Remedy, Side};
use crate::field::Field;
use crate::lattice::LEAST_PIECE;
use crate::plan::Plan;
use crate::product::Product;
use crate::rules::TOLERANCE;
use drylay_geometry::{Length, Point, Region};

/// Where the pieces of a plan have room.
pub(super) struct Access<'a> {
    product: &'a Product,
    engagement: &'a Engagement,
    plan: &'a Plan,
    /// The floor between the walls, in the lattice's frame.
    floor: Region,
    /// What each overhang covers in that frame, and its height.
    overhangs: Vec<(Region, Length)>,
}

/// The part of a piece that an overhang covers.
struct Covered {
    overhang: usize,
    lo: Point,
    hi: Point,
}

impl<'a> Access<'a> {
    pub(super) fn new(
        product: &'a Product,
        engagement: &'a Engagement,
        plan: &'a Plan,
        field: &Field,
        overhangs: &[Overhang],
    ) -> Self {
        let frame = |region: &Region| region.map(|p| plan.choice.along.direction.to_frame(p));
        let cover = |o: &Overhang| (frame(&Region::from_rings(std::slice::from_ref(&o.ring))), o.height);
        let overhangs = overhangs.iter().map(cover).collect();
        Self { product, engagement, plan, floor: frame(&field.floor), overhangs }
    }

    /// The first way in which a piece can be engaged; `None` where there is nothing to engage.
    ///
    /// # Errors
    /// What hinders the usual way, where none is possible.
    pub(super) fn motion(&self, piece: usize, into: &[(usize, Side)]) -> Result<Option<Motion>, Hindrance> {
        let engaged = |side: Side| into.iter().any(|(_, s)| *s == side);
        let long = engaged(self.engagement.long_tongue).then_some(&self.engagement.long);
        let short = engaged(self.engagement.short_tongue).then_some(&self.engagement.short);
        let covered = self.covered(piece);
        let mut usual = None;
        for ways in ways(long, short) {
            let mut hindered = None;
            for (motion, tongue) in ways.iter().flatten() {
                hindered = hindered.or_else(|| self.hindrance(piece, *motion, *tongue, &covered));
            }
            match hindered {
                None => return Ok(ways.iter().flatten().next().map(|(motion, _)| *motion)),
                Some(hindrance) => usual = usual.or(Some(hindrance)),
            }
        }
        usual.map_or(Ok(None), Err)
    }

    fn tongue(&self, long: bool) -> Side {
        if long { self.engagement.long_tongue } else { self.engagement.short_tongue }
    }

    fn covered(&self, piece: usize) -> Vec<Covered> {
        let shape = &self.plan.pieces[piece].shape;
        let Some((lo, hi)) = shape.outer.bounds() else { return Vec::new() };
        let near = |region: &Region| {
            region.bounds().is_some_and(|(a, b)| a.x < hi.x && a.y < hi.y && b.x > lo.x && b.y > lo.y)
        };
        let common = |(overhang, (region, _)): (usize, &(Region, Length))| {
            let both = Region { shapes: vec![shape.clone()] }.common(region);
            let (lo, hi) = both.bounds().filter(|_| both.doubled_area() > LEAST_PIECE)?;
            Some(Covered { overhang, lo, hi })
        };
        self.overhangs.iter().enumerate().filter(|(_, (region, _))| near(region)).filter_map(common).collect()
    }

    /// What hinders a motion whose tongue is at the long side or at the end.
    fn hindrance(&self, piece: usize, motion: Motion, long: bool, covered: &[Covered]) -> Option<Hindrance> {
        let needed = |c: &Covered| match motion {
            Motion::Angle => self.engagement.thickness + self.rise(piece, self.tongue(long), c),
            Motion::Drop => self.engagement.thickness + self.engagement.lift,
            Motion::Slide => self.engagement.thickness,
        };
        let low = covered.iter().find_map(|c| {
            let (value, limit) = (self.overhangs[c.overhang].1, needed(c));
            let enough = value.nanometres() + TOLERANCE >= limit.nanometres();
            (!enough).then_some(Hindrance::Height { overhang: c.overhang, value, limit })
        });
        let travel = self.engagement.travel;
        let close = || {
            let value = self.room_behind(piece, self.tongue(long), travel);
            (value < travel).then_some(Hindrance::Room { value, limit: travel })
        };
        low.or_else(|| if motion == Motion::Slide { close() } else { None })
    }

    /// How high a piece stands under an overhang when it is held at an angle about its tongue.
    fn rise(&self, piece: usize, tongue: Side, covered: &Covered) -> Length {
        let p = &self.plan.pieces[piece];
        let tile = tile_of(p);
        let (length, width) = (self.product.length.nanometres(), self.product.width.nanometres());
        let (lo, hi) = p.shape.outer.bounds().unwrap_or_default();
        // From the tongue's edge: where the piece ends, and where the overhang begins and ends over it.
        let (far, from, to) = match tongue {
            Side::Low => (hi.y - tile.y, covered.lo.y - tile.y, covered.hi.y - tile.y),
            Side::High => {
                let edge = tile.y + width;
                (edge - lo.y, edge - covered.hi.y, edge - covered.lo.y)
            }
            Side::Start => (hi.x - tile.x, covered.lo.x - tile.x, covered.hi.x - tile.x),
            Side::End => {
                let edge = tile.x + length;
                (edge - lo.x, edge - covered.hi.x, edge - covered.lo.x)
            }
        };
        let (cos, sin) = self.engagement.angle.components();
        let (far, from, to) = (far as f64, from.max(0) as f64, to as f64);
        let held = if to >= far - TOLERANCE as f64 {
            (far * sin).min((far * far - from * from).max(0.0).sqrt())
        } else {
            (far * sin).min(to * sin / cos)
        };
        #[expect(clippy::cast_possible_truncation, reason = "a tile is far inside the range of i64")]
        Length::from_nanometres(held.ceil() as i64)
    }

    /// How far a piece can be pulled back from its tongue's joint before it meets a wall, up to `most`.
    fn room_behind(&self, piece: usize, tongue: Side, most: Length) -> Length {
        let shape = &self.plan.pieces[piece].shape;
        let fits = |by: i64| {
            let (dx, dy) = match tongue {
                Side::Low => (0, by),
                Side::High => (0, -by),
                Side::Start => (by, 0),
                Side::End => (-by, 0),
            };
            let moved = Region { shapes: vec![shape.map(|p| Point { x: p.x + dx, y: p.y + dy })] };
            moved.doubled_area() - moved.common(&self.floor).doubled_area() <= LEAST_PIECE
        };
        if fits(most.nanometres()) {
            return most;
        }
        let (mut free, mut not) = (0, most.nanometres());
        while not - free > STEP {
            let by = free + (not - free) / 2;
            if fits(by) { free = by } else { not = by }
        }
        Length::from_nanometres(free)
    }

    /// What can be done about a piece that is hindered.
    pub(super) fn remedy(&self, piece: usize, into: &[(usize, Side)], hindrance: Hindrance) -> Remedy {
        let thick = self.engagement.thickness;
        let flat = self.covered(piece).iter().all(|c| self.overhangs[c.overhang].1 >= thick);
        let long = into.iter().any(|(_, side)| *side == self.engagement.long_tongue);
        let tongue = self.tongue(long);
        let shaved = self.engagement.shaved_travel.filter(|_| flat);
        if shaved.is_some_and(|travel| self.room_behind(piece, tongue, travel) >= travel) {
            let lips = into.iter().filter(|(_, side)| *side == tongue);
            return Remedy::Shave(lips.map(|(other, side)| (*other, side.opposite())).collect());
        }
        match hindrance {
            Hindrance::Height { overhang, limit, .. } => Remedy::Raise(overhang, limit),
            Hindrance::Room { limit, .. } => Remedy::Widen(shaved.unwrap_or(limit)),
        }
    }
}

/// Room is found to within this, in nanometres.
const STEP: i64 = 10_000;

/// A motion, and whether it engages the long side; otherwise the end.
type Way = Option<(Motion, bool)>;

/// The ways to engage the long side and the end together, the usual first.
fn ways(long: Option<&Vec<Motion>>, short: Option<&Vec<Motion>>) -> Vec<[Way; 2]> {
    let each = |list: &Vec<Motion>, is_long: bool| -> Vec<Way> {
        list.iter().map(|motion| Some((*motion, is_long))).collect()
    };
    let long = long.map_or_else(|| vec![None], |list| each(list, true));
    let short = short.map_or_else(|| vec![None], |list| each(list, false));
    let pairs = long.into_iter().flat_map(|l| short.iter().map(move |s| [l, *s]));
    pairs.filter(|[l, s]| go_together(*l, *s)).collect()
}

/// A piece that is angled in at its side may meanwhile be dropped, angled or slid in at its end; one that is dropped
/// or slid comes down or in as a whole.
fn go_together(long: Way, short: Way) -> bool {
    match (long, short) {
        (Some((long, _)), Some((short, _))) => long == Motion::Angle || long == short,
        _ => true,
    }
}
