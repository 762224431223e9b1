//! What carries a floor and what it meets: moisture, what lies there, joists, hazards, underlayment, heights.
//!
//! Each question is one module: what was seen goes in with what the product asks, and a verdict comes out as data.
//! Published methods and limits stand in [`published`] with their source; a product's own figures are passed in. All
//! of it is an aid: where structure or health is concerned an engineer, a licensed person or the local code decides.
//!
//! Heights and thicknesses are [`drylay_geometry::Length`]; loads are pounds to the square foot, stiffness and
//! strength pounds to the square inch, as the published tables of this trade have them.

pub mod hazards;
pub mod heights;
pub mod joists;
pub mod load;
pub mod lying;
pub mod moisture;
pub mod published;
pub mod seams;
pub mod underlay;
