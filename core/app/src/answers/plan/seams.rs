//! Joints and cracks of the base that the floor must carry through: whether a movement joint lies over them.

use super::area::PlannedArea;
use super::joints::JointAnswer;
use crate::Problem;
use crate::answers::rooms::point;
use crate::words::say as in_words;
use drylay_document::sheet::{CarryRule, Product, Seam, Sheet};
use drylay_plan::movement_joints::MovementJoint;
use drylay_plan::{Field, Room};
use drylay_survey::base::seams::covered;

/// A joint of the floor that is no further off lies over a seam, where the product does not say, mm: common practice.
const WITHIN: f64 = 3.0;
/// A seam of which less is left open counts as carried through: what remains is its end in the gap at the wall.
const NEARLY_ALL: f64 = 0.98;

/// A seam that no movement joint of the plan carries through.
#[derive(Clone, Debug)]
pub struct OpenSeam {
    /// Its line in plan coordinates.
    pub line: Vec<[f64; 2]>,
}

/// The seams of an area's rooms that stay open, and what is told of each.
pub(super) fn open_seams(
    (sheet, product): (&Sheet, &Product),
    (at, rooms): (&[usize], &[Room]),
    field: &Field,
    joints: &[MovementJoint],
) -> (Vec<OpenSeam>, Vec<Problem>) {
    let carry: &[CarryRule] = product.base.as_ref().map_or(&[], |base| &base.carry);
    let mm = |joint: &MovementJoint| [joint.line.0.mm().into(), joint.line.1.mm().into()];
    let joints: Vec<[[f64; 2]; 2]> = joints.iter().map(mm).collect();
    let (mut open, mut notes) = (Vec::new(), Vec::new());
    for (r, &i) in at.iter().enumerate().take(rooms.len()) {
        let seams: &[Seam] = sheet.rooms[i].base.as_ref().map_or(&[], |base| &base.seams);
        for (n, seam) in seams.iter().enumerate() {
            let Some(rule) = carry.iter().find(|rule| rule.what == seam.what) else { continue };
            let place = &field.rooms[r];
            let line: Vec<[f64; 2]> = seam.line.iter().map(|p| place.to_area(point(p)).mm().into()).collect();
            let within = rule.within.as_ref().map_or(WITHIN, |within| within.length.mm());
            if covered(&line, &joints, within) >= NEARLY_ALL {
                continue;
            }
            let says = Problem::new("base.seam_uncovered", format!("rooms[{i}].base.seams[{n}]"))
                .with("what", in_words(&format!("base.seam.{}", seam.what.word()), &[]))
                .with("id", &seam.id)
                .with("room", sheet.rooms[i].title());
            notes.push(says);
            open.push(OpenSeam { line });
        }
    }
    (open, notes)
}

/// The joints that open seams ask for, as the plan draws them: leg by leg, through tiles.
pub(super) fn asked(area: &PlannedArea) -> impl Iterator<Item = JointAnswer> + '_ {
    let legs = area.open_seams.iter().flat_map(|seam| seam.line.windows(2));
    legs.map(|leg| JointAnswer { line: [leg[0], leg[1]], reason: "base", between_rows: false })
}
