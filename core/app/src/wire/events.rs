//! The one stream of events.

use super::BestSoFar;
use crate::Problem;
use serde::Serialize;
use serde_json::Value;
use ts_rs::TS;

/// Something that happened without being asked for.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
#[serde(tag = "kind", rename_all = "lowercase")]
#[ts(export)]
pub enum Event {
    /// A job, or one room of it, is no longer as it was.
    Changed {
        /// The job.
        job: String,
        /// The room, if only one changed.
        room: Option<String>,
    },
    /// Something of the crew is no longer as it was: who belongs to it, how a device stands, who asks to join.
    Crew,
    /// A photo or a paper that a job names came whole from another device.
    Picture {
        /// The hash of its content.
        hash: String,
    },
    /// Something that came from another device could not be kept or read.
    Trouble {
        /// What, in words.
        words: String,
    },
    /// A long task goes on.
    Progress {
        /// The task.
        task: String,
        /// How much of it is done, 0 to 1.
        fraction: f64,
        /// What it is at, in words.
        note: String,
        /// The best choice that a search has found so far.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[ts(optional)]
        best: Option<BestSoFar>,
    },
    /// A long task is finished.
    Finished {
        /// The task.
        task: String,
        /// What the command would have answered.
        #[ts(type = "unknown")]
        answer: Value,
    },
    /// A long task failed, or was cancelled.
    Failed {
        /// The task.
        task: String,
        /// Why.
        problem: Problem,
    },
}
