//! Stories told through the one door: people who work apart, stores that have grown.

mod apart;
mod season;
mod stage;
