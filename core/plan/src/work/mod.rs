//! The work on a plan that was given out: tiles used and still needed, sections to be grouted, what finished jobs teach.

pub mod learned;
pub mod sections;
pub mod stock;
