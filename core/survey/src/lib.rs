//! Rooms from tape readings: what was read, what it says, and how well.
//!
//! # Vocabulary
//!
//! A *reading* is a distance between two corners as a person read it; between neighbours it is a *wall*, else a
//! *tie*. A *square check* is a corner found square. The *draft* ([`tape::Draft`]) is all of that, unchecked.
//! The *instrument* ([`tape::Tape`]) says how good a reading is that was given no standard deviation.
//!
//! # From readings to a room
//!
//! 1. [`tape::check()`] lists everything that is wrong with a draft, each with its place.
//! 2. A *starting shape* comes from walking the walls, turning by what ties and checks tell and by right angles
//!    elsewhere, or from putting corners together like triangles. Shapes that fold are turned back.
//! 3. *Weighted least squares* over all readings and checks ([`network`]). Where readings leave a corner free, and
//!    only there, its right angle stands in, and the verdict is `Loose`.
//! 4. *Tests* ([`stats`]): the global test, the standardised residual w of each reading, data snooping, the least
//!    error that would have been found; a suspect's error is compared with the usual [`tape::slips`].
//! 5. *The room* ([`tape::Room`]): corners with covariance, an outline rounded to micrometres once, angles, area,
//!    what is missing or ambiguous, what to measure next ([`tape::next`]), what it is good for.
//! 6. *A floor of rooms* is placed by its passages, with loops as checks ([`house`]). Textbook networks, levellings
//!    and traverses that check the arithmetic go through [`network`], [`level`] and [`traverse`].
//! 7. *What carries the floor* and what it meets, from moisture to the heights of doors, is judged in [`base`].
//!
//! ```
//! use drylay_geometry::Length;
//! use drylay_survey::tape::{Draft, Reading, Tape, Verdict, adjust};
//! let read = |from, to, text| Reading::new(from, to, Length::parse(text).unwrap());
//! let draft = Draft {
//!     corners: ["A", "B", "C", "D"].map(Into::into).to_vec(),
//!     readings: vec![
//!         read("A", "B", "16'"), read("B", "C", "12'"), read("C", "D", "16' 1/16\""), read("D", "A", "12'"),
//!         read("A", "C", "20'"), read("B", "D", "20' 1/16\""),
//!     ],
//!     ..Draft::default()
//! };
//! let room = adjust(&draft, &Tape::steel()).unwrap();
//! assert_eq!(room.verdict, Verdict::Consistent);
//! assert_eq!(room.redundancy, 1);
//! assert!((room.area_m2.unwrap().value - 17.84).abs() < 0.01);
//! ```
//!
//! # Invariants
//!
//! * Inside, lengths are `f64` millimetres and angles radians unless a name says otherwise; what comes in is
//!   [`drylay_geometry::Length`], what is counted by later goes out through
//!   [`drylay_geometry::Point::from_mm_rounded`].
//! * Covariances are given in the sheet's frame: the first corner has none, the second none across the first
//!   wall. Residuals, w, redundancy numbers, distances, angles and area do not depend on that frame, nor on which
//!   corner is called first.
//! * Only IEEE basic operations, square roots and `libm`, in an order fixed by the input: the same bits anywhere.
//! * Nothing here knows documents, layout, files, clocks or words: what a person should be told is data.

pub mod base;
pub mod floor;
pub mod house;
pub mod level;
mod matrix;
pub mod network;
pub mod stats;
pub mod tape;
pub mod traverse;
