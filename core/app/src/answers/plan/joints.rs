//! Movement joints as they are written.

use super::area::PlannedArea;
use drylay_geometry::Point;
use drylay_plan::movement_joints::{MovementJoint, Reason, movement_joints};
use serde::Serialize;

/// A movement joint.
#[derive(Debug, Serialize)]
pub struct JointAnswer {
    /// Its ends in plan coordinates.
    pub line: [[f64; 2]; 2],
    /// `passage`, `neck` or `run`: why it lies there.
    pub reason: &'static str,
    /// Whether it lies between two rows; otherwise it goes through tiles.
    pub between_rows: bool,
}

impl JointAnswer {
    /// The joints of a planned area.
    pub(super) fn of(area: &PlannedArea) -> Vec<Self> {
        let Some(most) = area.product.max_run else { return Vec::new() };
        let found = movement_joints(&area.product, &area.plan.choice, &area.field, most);
        found.joints.iter().map(Self::joint).collect()
    }

    fn joint(joint: &MovementJoint) -> Self {
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
