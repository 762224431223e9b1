//! The floor under it: heights from rod readings, the surface between them, how flat it is, and the cheapest
//! correction.
//!
//! Heights are up-positive millimetres, places are plan coordinates in millimetres.

pub mod contour;
mod correction;
pub mod dust;
pub mod fnumbers;
mod frame;
mod ground;
pub mod heights;
mod linear;
mod mesh;
mod pair;
mod patch;
mod pattern;
pub mod published;
mod reckon;
mod search;
pub mod straightedge;
mod verdict;
pub mod work;

pub use correction::{Corrected, Job, correct};
pub use ground::Ground;
pub use heights::{Heights, Rod};
pub use mesh::{Edge, Mesh, NoSurface};
pub use pattern::{Pattern, pattern};
pub use search::{Aim, Chord, Found, Surface, Variance, search};
pub use verdict::{Judged, Known, Tolerance, Verdict, Worst, judge, slope};
