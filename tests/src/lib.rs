//! Shared helpers of the stories in `tests/tests`: what crosses crates and so belongs to none of them.
//!
//! Beside them lie what earlier programs wrote (`kept`), programs that are measured (`examples`), independent checks in
//! Python (`oracles`), the real app (`e2e`), the core in an ordinary browser (`bridge`), and `cargo xtask`.

pub mod fuzz;
