//! To be begun.
