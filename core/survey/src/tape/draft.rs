//! What a person wrote down in a room, unchecked: corners, readings, square checks, offsets.

use drylay_geometry::{CornerId, ItemId, Length};

/// The room as it was walked and read. Any value can be held here; [`super::check()`] says what is wrong with it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    /// Corners in walking order: clockwise on the page, a person inside facing each wall and moving right.
    pub corners: Vec<CornerId>,
    /// How corners turn where it was said. A corner that is not named turns in, and near a straight line either
    /// way is thought possible.
    pub turns: Vec<(CornerId, Turn)>,
    /// All readings that count (superseded ones left out). Neighbouring corners give a wall, any others a tie.
    pub readings: Vec<Reading>,
    /// Corners that were checked square.
    pub squares: Vec<SquareCheck>,
    /// Strings along walls.
    pub strings: Vec<StringLine>,
    /// Things located by distances from corners.
    pub located: Vec<Located>,
}

/// How the wall turns at a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// An inside corner: 90° on the floor's side where it is square.
    In,
    /// An outside corner: 270° on the floor's side where it is square.
    Out,
}

/// A distance read between two corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// One end.
    pub from: CornerId,
    /// The other end.
    pub to: CornerId,
    /// As read.
    pub read: Length,
    /// Standard deviation; by the instrument where not given.
    pub sd: Option<Length>,
    /// What the ends touched.
    pub measured_to: MeasuredTo,
    /// How high above the floor it was read, where that was written down.
    pub height: Option<Length>,
}

impl Reading {
    /// A reading between bare walls, its standard deviation by the instrument.
    pub fn new(from: impl Into<CornerId>, to: impl Into<CornerId>, read: Length) -> Self {
        let (from, to) = (from.into(), to.into());
        Self { from, to, read, sd: None, measured_to: MeasuredTo::BareWall, height: None }
    }

    /// With its own standard deviation.
    #[must_use]
    pub fn with_sd(self, sd: Length) -> Self {
        Self { sd: Some(sd), ..self }
    }
}

/// What the ends of a reading touched. The floor's edge is the bare wall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum MeasuredTo {
    /// The wall itself, down at the floor.
    #[default]
    BareWall,
    /// The face of the base trim, this thick, on all walls that meet at both ends.
    Trim(Length),
    /// The bottom plate of bare framing, before boards this thick go on: the floor will end at the boards.
    Plate(Length),
}

impl MeasuredTo {
    /// How far the floor's edge lies outside of what was touched, in mm; negative where it lies inside.
    pub fn outside_mm(self) -> f64 {
        match self {
            Self::BareWall => 0.0,
            Self::Trim(thick) => thick.mm(),
            Self::Plate(boards) => -boards.mm(),
        }
    }
}

/// A corner checked square, by three-four-five or a square: an observation of 90° (270° at an outside corner).
#[derive(Clone, Debug, PartialEq)]
pub struct SquareCheck {
    /// The corner.
    pub corner: CornerId,
    /// Standard deviation in degrees; [`SquareCheck::USUAL_SD`] where not given.
    pub sd_degrees: Option<f64>,
}

impl SquareCheck {
    /// 0.1°: common practice for three-four-five with a tape, which misses by about 1/16 in over 3 ft.
    pub const USUAL_SD: f64 = 0.1;
}

/// A string from corner to corner along a wall, and how far the wall is from it.
#[derive(Clone, Debug, PartialEq)]
pub struct StringLine {
    /// The corner the wall starts from, in walking order.
    pub from: CornerId,
    /// The next corner.
    pub to: CornerId,
    /// Where the wall was read from the string.
    pub offsets: Vec<StringOffset>,
}

/// A wall's distance from a string at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringOffset {
    /// Along the string from its start.
    pub along: Length,
    /// The wall's distance from the string, positive where the wall bows away from the room and the floor is wider.
    pub offset: Length,
    /// Standard deviation of that; by the instrument where not given.
    pub sd: Option<Length>,
}

/// A thing on the floor or at a wall, located by distances.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    /// Its name.
    pub id: ItemId,
    /// How it was located.
    pub by: LocatedBy,
}

/// How a thing was located.
#[derive(Clone, Debug, PartialEq)]
pub enum LocatedBy {
    /// By distances from two corners. Of the two points that fit, the one on that side of the line from the first
    /// to the second corner, as seen going along it.
    TwoDistances {
        /// First corner and distance.
        first: (CornerId, Length),
        /// Second corner and distance.
        second: (CornerId, Length),
        /// Which side.
        side: LineSide,
    },
    /// Along a wall from its first or its second corner, and away from the wall into the room.
    AlongWall {
        /// The corner it is measured from.
        from: CornerId,
        /// The corner it is measured towards; a neighbour.
        towards: CornerId,
        /// Along the wall.
        along: Length,
        /// Away from the wall into the room.
        away: Length,
    },
}

/// A side of a line as seen going along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineSide {
    /// To the left hand: outside, going along a wall in walking order.
    Left,
    /// To the right hand: into the room, going along a wall in walking order.
    Right,
}
