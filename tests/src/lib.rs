//! Shared helpers of the stories in `tests/tests`, and readers of bytes and text that are given damaged input.

pub mod fuzz;
