//! Points and displacements on the page, in whole nanometres, and directions.
//!
//! A point is a place and a [`Vector`] is a way to go: a point plus a vector is a point, two points differ by a
//! vector, and two points cannot be added.

use crate::Length;
use std::ops::{Add, Neg, Sub};

/// A place in plan coordinates: x to the right, y down the page, both in nanometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Point {
    /// Nanometres to the right of the origin.
    pub x: i64,
    /// Nanometres down the page from the origin.
    pub y: i64,
}

/// A displacement in plan coordinates, in nanometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Vector {
    /// Nanometres to the right.
    pub x: i64,
    /// Nanometres down the page.
    pub y: i64,
}

impl Point {
    /// The first corner of the room the coordinates belong to.
    pub const ORIGIN: Self = Self { x: 0, y: 0 };

    /// Makes a point from two lengths.
    pub fn new(x: Length, y: Length) -> Self {
        Self { x: x.nanometres(), y: y.nanometres() }
    }

    /// Makes a point from millimetres, rounded to a micrometre: the one place where the result of a computation
    /// becomes a place that things are counted by. `None` if a coordinate is not finite or beyond 10 km.
    pub fn from_mm_rounded(x: f64, y: f64) -> Option<Self> {
        Some(Self { x: micrometre(x)?, y: micrometre(y)? })
    }

    /// The coordinates in millimetres.
    pub fn mm(self) -> (f64, f64) {
        (self.x as f64 / 1e6, self.y as f64 / 1e6)
    }
}

/// Rounds millimetres to whole micrometres, given in nanometres.
fn micrometre(mm: f64) -> Option<i64> {
    let um = (mm * 1e3).round();
    #[expect(clippy::cast_possible_truncation, reason = "checked against the limit in the same line")]
    (um.abs() <= Length::LIMIT.nanometres() as f64 / 1e3).then(|| um as i64 * 1000)
}

impl Vector {
    /// Makes a displacement from two lengths.
    pub fn new(x: Length, y: Length) -> Self {
        Self { x: x.nanometres(), y: y.nanometres() }
    }

    /// Cross product with another displacement: positive where `other` is clockwise of this one on the page.
    pub fn cross(self, other: Self) -> i128 {
        i128::from(self.x) * i128::from(other.y) - i128::from(self.y) * i128::from(other.x)
    }

    /// Scalar product with another displacement.
    pub fn dot(self, other: Self) -> i128 {
        i128::from(self.x) * i128::from(other.x) + i128::from(self.y) * i128::from(other.y)
    }

    /// Its length in nanometres. A square root is the same on every machine (IEEE 754).
    pub fn norm(self) -> f64 {
        (self.x as f64 * self.x as f64 + self.y as f64 * self.y as f64).sqrt()
    }
}

impl Sub for Point {
    type Output = Vector;
    fn sub(self, other: Self) -> Vector {
        Vector { x: self.x - other.x, y: self.y - other.y }
    }
}
impl Add<Vector> for Point {
    type Output = Self;
    fn add(self, by: Vector) -> Self {
        Self { x: self.x + by.x, y: self.y + by.y }
    }
}
impl Sub<Vector> for Point {
    type Output = Self;
    fn sub(self, by: Vector) -> Self {
        Self { x: self.x - by.x, y: self.y - by.y }
    }
}
impl Neg for Vector {
    type Output = Self;
    fn neg(self) -> Self {
        Self { x: -self.x, y: -self.y }
    }
}

/// A direction on the page: a unit vector. Its error is that of `f64`, about 1e-16, which moves a point 100 m
/// away by a hundred-thousandth of a nanometre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    cos: f64,
    sin: f64,
}

impl Direction {
    /// To the right of the page.
    pub const RIGHT: Self = Self { cos: 1.0, sin: 0.0 };

    /// The direction of a displacement; `None` for the zero displacement.
    pub fn of(v: Vector) -> Option<Self> {
        let norm = v.norm();
        (norm > 0.0).then(|| Self { cos: v.x as f64 / norm, sin: v.y as f64 / norm })
    }

    /// The direction with these components along x and y, scaled to unit length; `None` if there is none.
    pub fn from_components(x: f64, y: f64) -> Option<Self> {
        let norm = (x * x + y * y).sqrt();
        (norm.is_finite() && norm > 0.0).then(|| Self { cos: x / norm, sin: y / norm })
    }

    /// The direction `degrees` clockwise on the page from x; multiples of 90° are exact. `None` if not finite.
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        if !degrees.is_finite() {
            return None;
        }
        let turn = degrees.rem_euclid(360.0);
        for (at, cos, sin) in [(0.0, 1.0, 0.0), (90.0, 0.0, 1.0), (180.0, -1.0, 0.0), (270.0, 0.0, -1.0)] {
            if (turn - at).abs() == 0.0 {
                return Some(Self { cos, sin });
            }
        }
        let (sin, cos) = libm::sincos(turn.to_radians());
        Some(Self { cos, sin })
    }

    /// Degrees clockwise on the page from x, from 0 up to but not including 360.
    pub fn degrees(self) -> f64 {
        let d = libm::atan2(self.sin, self.cos).to_degrees();
        if d < 0.0 { if d + 360.0 >= 360.0 { 0.0 } else { d + 360.0 } } else { d }
    }

    /// Turned by 90° clockwise on the page.
    pub fn clockwise(self) -> Self {
        Self { cos: -self.sin, sin: self.cos }
    }

    /// Turned by half a turn.
    pub fn reversed(self) -> Self {
        Self { cos: -self.cos, sin: -self.sin }
    }

    /// The coordinates (u, v) of a point in the frame whose u runs along this direction and whose v is u turned
    /// 90° clockwise, rounded to a nanometre.
    pub fn to_frame(self, p: Point) -> Point {
        let (x, y) = (p.x as f64, p.y as f64);
        Point { x: nearest(x * self.cos + y * self.sin), y: nearest(y * self.cos - x * self.sin) }
    }

    /// The inverse of [`Direction::to_frame`]: the page point of frame coordinates, rounded to a nanometre.
    pub fn from_frame(self, q: Point) -> Point {
        let (u, v) = (q.x as f64, q.y as f64);
        Point { x: nearest(u * self.cos - v * self.sin), y: nearest(u * self.sin + v * self.cos) }
    }

    /// Components along x and y.
    pub fn components(self) -> (f64, f64) {
        (self.cos, self.sin)
    }
}

/// The nearest integer; plan coordinates stay far inside both `f64`'s and `i64`'s exact range.
#[expect(clippy::cast_possible_truncation, reason = "plan coordinates are limited to 1e13 nanometres")]
fn nearest(nm: f64) -> i64 {
    nm.round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clockwise_on_the_page_is_positive() {
        let right = Vector { x: 1, y: 0 };
        let down = Vector { x: 0, y: 1 };
        assert_eq!(right.cross(down), 1);
        assert_eq!(Direction::RIGHT.clockwise(), Direction { cos: 0.0, sin: 1.0 });
    }

    #[test]
    fn frames_are_inverse_to_a_nanometre() {
        let d = Direction::from_degrees(33.7).expect("finite");
        for p in [Point { x: 12_345_678_901, y: -987_654_321 }, Point { x: -5, y: 7 }] {
            let back = d.from_frame(d.to_frame(p));
            assert!((back.x - p.x).abs() <= 1 && (back.y - p.y).abs() <= 1, "{back:?}");
        }
    }

    #[test]
    fn quarter_turns_are_exact() {
        let d = Direction::from_degrees(-90.0).expect("finite");
        assert_eq!(d.to_frame(Point { x: 3, y: 5 }), Point { x: -5, y: 3 });
        assert_eq!(Direction::from_degrees(360.0).expect("finite"), Direction::RIGHT);
        for (degrees, cos, sin) in [(0.0, 1.0, 0.0), (90.0, 0.0, 1.0), (180.0, -1.0, 0.0), (270.0, 0.0, -1.0)]
        {
            assert_eq!(Direction::from_degrees(degrees), Some(Direction { cos, sin }), "{degrees}");
        }
        assert!(Direction::from_degrees(f64::NAN).is_none());
    }

    #[test]
    fn components_are_scaled_to_a_unit_whichever_is_longer() {
        for (x, y) in [(3.0, 4.0), (-4.0, 3.0), (0.003, -0.004)] {
            let (cos, sin) = Direction::from_components(x, y).expect("a direction").components();
            let norm = (x * x + y * y).sqrt();
            assert!((cos - x / norm).abs() < 1e-15 && (sin - y / norm).abs() < 1e-15, "{x} {y}");
        }
        assert_eq!(Direction::from_components(0.0, 0.0), None);
        assert_eq!(Direction::from_components(f64::INFINITY, 1.0), None);
    }

    #[test]
    fn places_that_are_no_places_are_refused() {
        assert_eq!(Point::from_mm_rounded(f64::INFINITY, 0.0), None);
        assert_eq!(Point::from_mm_rounded(1e300, 0.0), None);
        assert_eq!(Point::from_mm_rounded(1.000_4, -0.000_6), Some(Point { x: 1_000_000, y: -1000 }));
    }
}
