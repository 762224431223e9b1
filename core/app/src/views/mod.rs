//! Answers for the screens, made of documents and what was worked out from them.

mod advice;
pub(crate) mod buy;
pub(crate) mod demands;
pub(crate) mod floor;
mod floor_map;
mod floor_points;
mod floor_work;
pub(crate) mod ground;
pub(crate) mod grout;
mod job;
mod laying;
mod measured;
pub(crate) mod money;
pub(crate) mod papers;
pub(crate) mod photos;
pub(crate) mod plan;
pub(crate) mod prefer;
pub(crate) mod quote;
mod room;
pub(crate) mod setting;
pub(crate) mod stages;
pub(crate) mod time;
pub(crate) mod walk;
pub(crate) mod work;

pub(crate) use job::{Rate, product, rates, view as job};
pub(crate) use room::view as room;
