//! Shared helpers of the stories in `tests/tests`.
