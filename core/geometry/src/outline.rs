//! The outline of a room: named corners clockwise on the page, checked, with how well each is known.

use crate::ring::RingProblem;
use crate::{CornerId, Direction, Length, Point, Ring};

/// A corner of a room and where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Its name.
    pub id: CornerId,
    /// Its place in plan coordinates: a whole number of micrometres where it was adjusted, as written where given.
    pub at: Point,
}

/// The covariance of all corner coordinates in mm²: a symmetric matrix with the rows x₀, y₀, x₁, y₁, ….
/// All zeros where the outline was given and not measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Covariance {
    corners: usize,
    values: Vec<f64>,
}

impl Covariance {
    /// Of corners known exactly.
    pub fn zero(corners: usize) -> Self {
        Self { corners, values: vec![0.0; 4 * corners * corners] }
    }

    /// From a full matrix by rows; `None` unless it has 2n × 2n finite entries.
    pub fn from_rows(corners: usize, values: Vec<f64>) -> Option<Self> {
        let fits = values.len() == 4 * corners * corners && values.iter().all(|v| v.is_finite());
        fits.then_some(Self { corners, values })
    }

    /// The covariance of two coordinates; coordinate 2i is x and 2i + 1 is y of corner i.
    pub fn of(&self, row: usize, column: usize) -> f64 {
        self.values[row * 2 * self.corners + column]
    }

    /// Standard deviations (x, y) of a corner in mm.
    pub fn sd(&self, corner: usize) -> (f64, f64) {
        let sd = |i: usize| self.of(i, i).max(0.0).sqrt();
        (sd(2 * corner), sd(2 * corner + 1))
    }

    /// The variance in mm² of a linear function of the coordinates, given as (coordinate, factor) pairs.
    pub fn variance(&self, function: &[(usize, f64)]) -> f64 {
        let term = |&(i, a): &(usize, f64)| function.iter().map(|&(j, b)| a * b * self.of(i, j)).sum::<f64>();
        function.iter().map(term).sum::<f64>().max(0.0)
    }
}

/// The wall from one corner to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// Where it begins, seen from inside: its left end.
    pub from: Point,
    /// Its right end.
    pub to: Point,
}

impl Wall {
    /// From left to right as seen from inside.
    pub fn direction(self) -> Option<Direction> {
        Direction::of(self.to - self.from)
    }
    /// Its length, rounded to a nanometre.
    pub fn length(self) -> Length {
        Length::from_mm_f64((self.to - self.from).norm() / 1e6).unwrap_or(Length::LIMIT)
    }
}

/// A room's shape that has been checked: at least three corners with different names, walls that neither cross
/// nor touch, clockwise on the page.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    corners: Vec<Corner>,
    covariance: Covariance,
}

/// What is wrong with a draft of an outline, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Problem {
    /// More corners than [`Outline::MOST_CORNERS`].
    TooMany(usize),
    /// Two corners have one name; their indices.
    SameName(usize, usize),
    /// The ring of corners bounds no area clockwise.
    Ring(RingProblem),
}

impl Outline {
    /// The most corners a room may have.
    pub const MOST_CORNERS: usize = 500;

    /// Checks a draft; corners are known exactly until [`Outline::with_covariance`] says otherwise.
    ///
    /// # Errors
    /// Every problem with its place.
    pub fn new(corners: Vec<Corner>) -> Result<Self, Vec<Problem>> {
        if corners.len() > Self::MOST_CORNERS {
            return Err(vec![Problem::TooMany(corners.len())]);
        }
        let mut problems = Vec::new();
        for (j, later) in corners.iter().enumerate() {
            if let Some(i) = corners[..j].iter().position(|c| c.id == later.id) {
                problems.push(Problem::SameName(i, j));
            }
        }
        let ring = Ring::new(corners.iter().map(|c| c.at).collect());
        problems.extend(ring.problems().into_iter().map(Problem::Ring));
        if !problems.is_empty() {
            return Err(problems);
        }
        let covariance = Covariance::zero(corners.len());
        Ok(Self { corners, covariance })
    }

    /// The same outline with how well its corners are known; `None` if the matrix is for another number.
    pub fn with_covariance(mut self, covariance: Covariance) -> Option<Self> {
        (covariance.corners == self.corners.len()).then(|| {
            self.covariance = covariance;
            self
        })
    }

    /// The corners in order, clockwise on the page.
    pub fn corners(&self) -> &[Corner] {
        &self.corners
    }

    /// How well the corners are known.
    pub fn covariance(&self) -> &Covariance {
        &self.covariance
    }

    /// The corners as a ring.
    pub fn ring(&self) -> Ring {
        Ring::new(self.corners.iter().map(|c| c.at).collect())
    }

    /// The index of the corner of that name.
    pub fn corner(&self, id: &CornerId) -> Option<usize> {
        self.corners.iter().position(|c| c.id == *id)
    }

    /// The wall that starts at a corner.
    pub fn wall(&self, from: usize) -> Wall {
        let n = self.corners.len();
        Wall { from: self.corners[from % n].at, to: self.corners[(from + 1) % n].at }
    }

    /// The index of the wall between two neighbouring corners in walking order.
    pub fn wall_between(&self, from: &CornerId, to: &CornerId) -> Option<usize> {
        let i = self.corner(from)?;
        (self.corners[(i + 1) % self.corners.len()].id == *to).then_some(i)
    }

    /// The same outline with every corner moved by `f`, which must keep lengths and orientation. The covariance
    /// goes along unchanged in its own frame and is therefore dropped here.
    pub fn moved(&self, f: impl Fn(Point) -> Point) -> Self {
        let corners = self.corners.iter().map(|c| Corner { id: c.id.clone(), at: f(c.at) }).collect();
        Self { corners, covariance: Covariance::zero(self.corners.len()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corner(name: &str, x: i64, y: i64) -> Corner {
        Corner { id: name.into(), at: Point { x, y } }
    }

    #[test]
    fn all_problems_of_a_draft_are_told_at_once() {
        let draft = vec![corner("A", 0, 0), corner("B", 4, 4), corner("A", 4, 0), corner("D", 0, 4)];
        assert_eq!(
            Outline::new(draft),
            Err(vec![Problem::SameName(0, 2), Problem::Ring(RingProblem::Crosses(0, 2))])
        );
        let many = (0..501).map(|i| corner(&format!("C{i}"), i, i * i)).collect();
        assert_eq!(Outline::new(many), Err(vec![Problem::TooMany(501)]));
        // Along a parabola, so that no wall meets another.
        let as_many_as_may_be = (0..500).map(|i| corner(&format!("C{i}"), i, i * i - 500 * i)).collect();
        assert!(Outline::new(as_many_as_may_be).is_ok());
    }

    #[test]
    fn walls_are_found_in_walking_order_only() {
        let room =
            Outline::new(vec![corner("A", 0, 0), corner("B", 4, 0), corner("C", 4, 3)]).expect("a room");
        assert_eq!(room.wall_between(&"C".into(), &"A".into()), Some(2));
        assert_eq!(room.wall_between(&"B".into(), &"A".into()), None);
        assert_eq!(room.covariance().sd(1), (0.0, 0.0));
        // 3, 4, 5.
        let lengths = [0, 1, 2].map(|wall| room.wall(wall).length().nanometres());
        assert_eq!((lengths, room.wall(1).from), ([4, 3, 5], room.wall(0).to));
    }

    #[test]
    fn variance_of_a_difference_takes_the_covariance_along() {
        let mut rows = vec![0.0; 16];
        (rows[0], rows[10], rows[2], rows[8]) = (4.0, 9.0, 6.0, 6.0); // x of both corners, fully correlated
        let c = Covariance::from_rows(2, rows).expect("4 by 4");
        assert!((c.variance(&[(0, -1.0), (2, 1.0)]) - 1.0).abs() < 1e-12);
        assert!(Covariance::from_rows(2, vec![f64::NAN; 16]).is_none());
    }
}
