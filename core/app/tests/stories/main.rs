//! Stories told through the one door: people who work apart, stores that have grown.

mod apart;
mod cable;
mod crew;
mod issues;
mod money;
mod season;
mod stage;
mod time;
mod walk;
mod work;
