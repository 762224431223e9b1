//! What the commands do, by area: plain functions of a session and a request.

pub(crate) mod books;
pub(crate) mod buy;
pub(crate) mod call;
pub(crate) mod crew;
pub(crate) mod demands;
pub(crate) mod device;
pub(crate) mod drafts;
pub(crate) mod floor;
mod floor_edit;
pub(crate) mod ground;
mod ground_edit;
pub(crate) mod handover;
pub(crate) mod history;
pub(crate) mod issues;
pub(crate) mod jobs;
pub(crate) mod measured;
pub(crate) mod overhang;
pub(crate) mod parts;
pub(crate) mod photos;
pub(crate) mod plan;
pub(crate) mod prefer;
pub(crate) mod quote;
pub(crate) mod room;
pub(crate) mod setting;
pub(crate) mod sheets;
pub(crate) mod shop;
pub(crate) mod undo;
