//! A plan as it is drawn: rooms, what stands in them, pieces with their numbers, joints and the chalk line.

/// A place in mm: x to the right, y down the page.
pub type Point = [f64; 2];

/// The plan of an area.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanDrawing {
    /// What it is called.
    pub title: String,
    /// The rooms.
    pub rooms: Vec<DrawnRoom>,
    /// The floor that is covered: outer rings and holes, by even and odd.
    pub field: Vec<Vec<Point>>,
    /// What the floor goes round, with its name.
    pub keepouts: Vec<(String, Vec<Point>)>,
    /// Openings on their wall lines.
    pub openings: Vec<[Point; 2]>,
    /// The pieces.
    pub pieces: Vec<DrawnPiece>,
    /// Movement joints.
    pub joints: Vec<[Point; 2]>,
    /// The chalk line.
    pub chalk: Option<[Point; 2]>,
}

/// A room's outline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawnRoom {
    /// What it is called.
    pub name: String,
    /// Its walls, clockwise on the page.
    pub ring: Vec<Point>,
}

/// A piece.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnPiece {
    /// Its number: row and place.
    pub id: String,
    /// How it is cut.
    pub cut: Cut,
    /// The number of the tile it is cut from.
    pub tile: usize,
    /// Its outline, then its holes.
    pub rings: Vec<Vec<Point>>,
}

/// How a piece is cut from its tile.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cut {
    /// Not at all.
    Whole,
    /// Once across.
    Length,
    /// Once along.
    Rip,
    /// Both.
    Corner,
    /// Otherwise.
    Shape,
}

impl Cut {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Whole, Self::Length, Self::Rip, Self::Corner, Self::Shape];

    /// As a word of the format.
    pub fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Length => "length",
            Self::Rip => "rip",
            Self::Corner => "corner",
            Self::Shape => "shape",
        }
    }

    /// From that word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|cut| cut.word() == word)
    }
}

impl PlanDrawing {
    /// The least rectangle around all of it: its least and its greatest corner; `None` where nothing is drawn.
    pub fn bounds(&self) -> Option<(Point, Point)> {
        let rings = self.rooms.iter().map(|room| &room.ring).chain(&self.field);
        let rings = rings.chain(self.keepouts.iter().map(|(_, ring)| ring));
        let pieces = self.pieces.iter().flat_map(|piece| &piece.rings);
        let mut points = rings.chain(pieces).flatten().copied().chain(self.chalk.into_iter().flatten());
        let first = points.next()?;
        Some(points.fold((first, first), |(least, most), p| {
            ([least[0].min(p[0]), least[1].min(p[1])], [most[0].max(p[0]), most[1].max(p[1])])
        }))
    }
}

/// A place well inside a shape of rings, by even and odd, for its number: the middle of the widest stretch among a few
/// across it, and the size of the room around it in mm. The middle of nothing is nought.
pub fn inside(rings: &[Vec<Point>]) -> (Point, [f64; 2]) {
    let ys = || rings.iter().flatten().map(|p| p[1]);
    let (top, bottom) = (ys().fold(f64::MAX, f64::min), ys().fold(f64::MIN, f64::max));
    if top >= bottom {
        return ([0.0, 0.0], [0.0, 0.0]);
    }
    // The middle first: it stands best, unless another stretch is clearly wider.
    let places = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9];
    let mut best = ([0.0, 0.0], [0.0, 0.0]);
    for part in places {
        let y = top + (bottom - top) * part;
        let (x, width) = widest(rings, y);
        let free = (bottom - top) * 2.0 * part.min(1.0 - part);
        if width > best.1[0] * 1.2 {
            best = ([x, y], [width, free]);
        }
    }
    best
}

/// The middle and the width of the widest stretch of a shape at a height.
fn widest(rings: &[Vec<Point>], y: f64) -> (f64, f64) {
    let mut crossed = Vec::new();
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a[1] > y) != (b[1] > y) {
                crossed.push(a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]));
            }
        }
    }
    crossed.sort_by(f64::total_cmp);
    let stretches = crossed.chunks_exact(2).map(|two| (f64::midpoint(two[0], two[1]), two[1] - two[0]));
    stretches.fold((0.0, 0.0), |best, one| if one.1 > best.1 { one } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stands_inside_its_piece() {
        let notch = vec![vec![[0., 0.], [100., 0.], [100., 20.], [20., 20.], [20., 90.], [0., 90.]]];
        let (at, room) = inside(&notch);
        assert!(at[0] > 0.0 && at[1] > 0.0 && (at[0] < 20.0 || at[1] < 20.0), "{at:?}");
        assert!(room[0] > 0.0 && room[1] > 0.0);
        let hole = vec![
            vec![[0., 0.], [90., 0.], [90., 60.], [0., 60.]],
            vec![[20., 20.], [20., 40.], [60., 40.], [60., 20.]],
        ];
        let (at, _) = inside(&hole);
        assert!(!(20.0..=60.0).contains(&at[0]) || !(20.0..=40.0).contains(&at[1]), "{at:?}");
        assert_eq!(inside(&[]), ([0.0, 0.0], [0.0, 0.0]));
    }
}
