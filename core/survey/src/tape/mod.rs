//! A room from tape readings: adjusted, tested, and told what to measure next.

mod bowed;
pub mod check;
pub mod draft;
mod flips;
pub mod instrument;
mod model;
mod names;
pub mod next;
mod report;
pub mod room;
pub mod slips;
mod snoop;
mod solve;
mod spread;
mod start;
mod things;

pub use check::{DraftProblem, Place, check};
pub use draft::{
    Draft, LineSide, Located, LocatedBy, MeasuredTo, Reading, SquareCheck, StringLine, StringOffset, Turn,
};
pub use instrument::{Tape, Tolerance};
pub use next::{NextTie, next_ties};
pub use room::{
    Advice, Alternative, BowedWall, Estimate, GlobalTest, GoodFor, Lack, PlacedCorner, PlacedThing,
    ReadingResult, Room, SquareResult, Verdict,
};
pub use slips::{Guess, Slip};

pub use things::on_outline;

use model::Model;

/// Solves a room.
///
/// # Errors
/// Every problem of the draft with its place; whatever else a person can write down has a verdict.
pub fn adjust(draft: &Draft, tape: &Tape) -> Result<Room, Vec<DraftProblem>> {
    let problems = check(draft);
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut model = Model::new(draft, tape);
    Ok(match solve::solve(&mut model) {
        solve::Outcome::Missing(pairs) => report::unsolvable(draft, &model, pairs),
        solve::Outcome::Restless(at) => report::restless(draft, &model, &at),
        solve::Outcome::Solved(fit) => match snoop::snoop(&model, &fit) {
            Ok(snooped) => report::solved(draft, &model, &fit, &snooped, tape),
            Err(_) => report::restless(draft, &model, &fit.at),
        },
    })
}
