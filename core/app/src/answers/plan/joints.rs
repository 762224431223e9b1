//! Movement joints as they are written.

use super::area::PlannedArea;
use super::rules::MovementAnswer;
use super::seams;
use drylay_geometry::Point;
use drylay_plan::movement_joints::{MovementJoint, Reason};
use serde::Serialize;

/// A movement joint.
#[derive(Debug, Serialize)]
pub struct JointAnswer {
    /// Its ends in plan coordinates.
    pub line: [[f64; 2]; 2],
    /// `passage`, `neck` or `run`: why it lies there; `base` for one that a joint or crack of the base asks for and that
    /// no joint of the plan covers.
    pub reason: &'static str,
    /// Whether it lies between two rows; otherwise it goes through tiles.
    pub between_rows: bool,
}

/// The joints of a planned area, and what governs them.
pub(super) fn joints(area: &PlannedArea) -> (Vec<JointAnswer>, Option<MovementAnswer>) {
    let Some((spacing, found)) = &area.movement else { return (seams::asked(area).collect(), None) };
    let movement = MovementAnswer::of(area, spacing, found.longest);
    (found.joints.iter().map(JointAnswer::of).chain(seams::asked(area)).collect(), Some(movement))
}

impl JointAnswer {
    fn of(joint: &MovementJoint) -> Self {
        let mm = |p: Point| <[f64; 2]>::from(p.mm());
        Self {
            line: [mm(joint.line.0), mm(joint.line.1)],
            reason: match joint.reason {
                Reason::Passage(_) => "passage",
                Reason::Neck => "neck",
                Reason::Run => "run",
            },
            between_rows: joint.between_rows,
        }
    }
}
