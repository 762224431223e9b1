//! Interlock: which rail faces which wall, in which order pieces can be engaged, how, and which cannot be.
//!
//! A tile has a tongue on one of its sides along the row and on one of its ends, and a groove on the others. The
//! groove's locking lip lies below, so of two neighbours the one that turns its groove to the joint is laid first and
//! the other's tongue goes in: held at an angle and let down, dropped from above, or slid in flat. So rows begin where
//! the tongues face.
//!
//! What hangs over the floor takes the room that this needs. Held at an angle about its tongue, the far edge of a
//! piece rises by w·sin α, or as high as it is when it comes under the overhang: √(w² − d²) for a piece of which d lies
//! in the open. Only the motion that engages is judged, not how a piece is brought to its place.

mod contact;
mod motion;
mod overhang;

use crate::field::Field;
use crate::plan::Plan;
use crate::product::Product;
use contact::Contacts;
use drylay_geometry::{Direction, Length, Ring};
use motion::Access;

/// A side of a tile as it lies in its row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// The side along the row that faces row 1.
    Low,
    /// The side along the row that faces away from it.
    High,
    /// The end that faces the row's start.
    Start,
    /// The end that faces away from it.
    End,
}

impl Side {
    /// The side across the tile.
    pub fn opposite(self) -> Self {
        match self {
            Self::Low => Self::High,
            Self::High => Self::Low,
            Self::Start => Self::End,
            Self::End => Self::Start,
        }
    }
}

/// How a tongue goes into a groove.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Motion {
    /// Held at an angle and let down.
    Angle,
    /// Straight down.
    Drop,
    /// Flat along the floor.
    Slide,
}

/// How a product's rails engage.
#[derive(Clone, Debug, PartialEq)]
pub struct Engagement {
    /// The side along the row that bears the tongue: [`Side::Low`] or [`Side::High`].
    pub long_tongue: Side,
    /// The end that bears it: [`Side::Start`] or [`Side::End`].
    pub short_tongue: Side,
    /// How the side along the row may be engaged, the usual first.
    pub long: Vec<Motion>,
    /// How the end may be engaged, the usual first.
    pub short: Vec<Motion>,
    /// The angle at which a piece is held, as a direction from flat.
    pub angle: Direction,
    /// Thickness of the tile.
    pub thickness: Length,
    /// How far above its place a piece is held to be dropped.
    pub lift: Length,
    /// How far a piece is pulled back to be slid in.
    pub travel: Length,
    /// The same with the locking lip shaved off; `None` where that is not allowed.
    pub shaved_travel: Option<Length>,
}

/// Something that hangs over the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Overhang {
    /// What it covers, in the area's plan coordinates.
    pub ring: Ring,
    /// How high above what the floor lies on.
    pub height: Length,
}

/// Which rail faces a wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WallRail {
    /// Index of the room.
    pub room: usize,
    /// The wall that starts at this corner index.
    pub wall: usize,
    /// The side of the tiles that faces it.
    pub side: Side,
    /// Whether that side bears the tongue.
    pub tongue: bool,
}

/// A piece in the order of laying.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Index of the piece.
    pub piece: usize,
    /// How it is engaged; `None` where there is nothing to engage, and where it cannot be.
    pub motion: Option<Motion>,
    /// Pieces laid before that it engages, and the side of it that does.
    pub into: Vec<(usize, Side)>,
}

/// A piece that cannot be engaged.
#[derive(Clone, Debug, PartialEq)]
pub struct Trapped {
    /// Index of the piece.
    pub piece: usize,
    /// What hinders the usual motion.
    pub hindrance: Hindrance,
    /// What can be done.
    pub remedy: Remedy,
}

/// What hinders a motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// An overhang, by its index: it is so high, and such a height is needed.
    Height {
        /// Index of the overhang.
        overhang: usize,
        /// Its height.
        value: Length,
        /// What is needed.
        limit: Length,
    },
    /// There is so much room behind the piece, and so much is needed to slide it in.
    Room {
        /// What there is.
        value: Length,
        /// What is needed.
        limit: Length,
    },
}

/// What can be done about a piece that cannot be engaged.
#[derive(Clone, Debug, PartialEq)]
pub enum Remedy {
    /// Shave the locking lip off these pieces at that side, slide the piece in flat and bond the joints.
    Shave(Vec<(usize, Side)>),
    /// Raise the overhang, by its index, to this height.
    Raise(usize, Length),
    /// Leave so much room behind the piece.
    Widen(Length),
}

/// How a plan is laid.
#[derive(Clone, Debug, PartialEq)]
pub struct Interlock {
    /// Which rail faces which wall.
    pub rails: Vec<WallRail>,
    /// Every piece once, in an order in which each can be engaged with those before it.
    pub order: Vec<Step>,
    /// Pieces that cannot be engaged, in that order.
    pub trapped: Vec<Trapped>,
}

/// Works out how a plan is laid.
pub fn interlock(
    product: &Product,
    engagement: &Engagement,
    plan: &Plan,
    field: &Field,
    overhangs: &[Overhang],
) -> Interlock {
    let contacts = Contacts::of(plan, product);
    let access = Access::new(product, engagement, plan, field, overhangs);
    let mut trapped = Vec::new();
    let mut order = Vec::new();
    for piece in order_of(engagement, plan) {
        let into = contacts.before(piece, engagement);
        let motion = match access.motion(piece, &into) {
            Ok(motion) => motion,
            Err(hindrance) => {
                let remedy = access.remedy(piece, &into, hindrance);
                trapped.push(Trapped { piece, hindrance, remedy });
                None
            }
        };
        order.push(Step { piece, motion, into });
    }
    Interlock { rails: rails(engagement, plan, field), order, trapped }
}

/// Rows from the one the tongues face, each row from the end the tongues face.
fn order_of(engagement: &Engagement, plan: &Plan) -> Vec<usize> {
    let mut order: Vec<usize> = (0..plan.pieces.len()).collect();
    let turned = |n: usize, back: bool| if back { usize::MAX - n } else { n };
    order.sort_by_key(|&i| {
        let p = &plan.pieces[i];
        let (last_first, end_first) =
            (engagement.long_tongue == Side::High, engagement.short_tongue == Side::End);
        (turned(p.row, last_first), turned(p.place, end_first))
    });
    order
}

fn rails(engagement: &Engagement, plan: &Plan, field: &Field) -> Vec<WallRail> {
    let (along, across) = (plan.choice.along.direction, plan.choice.along.direction.clockwise());
    let mut rails = Vec::new();
    for (room, placed) in field.rooms.iter().enumerate() {
        for wall in 0..placed.outline.corners().len() {
            let Some(outward) = placed.outline.wall(wall).direction().map(|d| d.clockwise().reversed())
            else {
                continue;
            };
            let part = |d: Direction| {
                let ((a, b), (c, e)) = (outward.components(), d.components());
                a * c + b * e
            };
            let (u, v) = (part(along), part(across));
            let side = match (u.abs() > v.abs(), u > 0.0, v > 0.0) {
                (true, true, _) => Side::End,
                (true, false, _) => Side::Start,
                (false, _, true) => Side::High,
                (false, _, false) => Side::Low,
            };
            let tongue = side == engagement.long_tongue || side == engagement.short_tongue;
            rails.push(WallRail { room, wall, side, tongue });
        }
    }
    rails
}
