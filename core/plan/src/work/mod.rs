//! The work on a plan that was given out: tiles used and tiles still needed, sections of floor to be grouted.

pub mod sections;
pub mod stock;
