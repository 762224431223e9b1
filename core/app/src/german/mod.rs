//! The catalogue in German: a table for each of the two in English, with the same codes in the same order.

mod messages;
mod words;

pub(crate) use messages::MESSAGES;
pub(crate) use words::WORDS;
