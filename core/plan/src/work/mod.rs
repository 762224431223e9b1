//! The work on a plan that was given out: tiles used and tiles still needed.

pub mod stock;
