//! `drylay plan`: rows, pieces, cuts and tiles of every area.

mod area;
mod asked;
mod cuts;
mod doubt;
mod ground;
mod joints;
mod prefer;
mod rules;
mod seams;
mod seen;
mod setting;
mod wire;

pub use area::{PlannedArea, plan_area, plan_areas};
pub(crate) use area::{WayOut, floor_of_room, plan_room, product_of, rooms_at, ways_out};
pub(crate) use cuts::{Cuts, on_word, tool_word, wall_name};
pub use cuts::{CuttingAnswer, MarkAnswer};
pub use doubt::{ChangeAnswer, DoubtAnswer};
pub use ground::Making;
pub(crate) use ground::cutting_of;
pub use joints::JointAnswer;
pub(crate) use rules::breaches;
pub use rules::{
    InstructionAnswer, LayingAnswer, LipAnswer, PlaceAnswer, RailAnswer, RemedyAnswer, RuleAnswer, StepAnswer,
};
pub use seams::OpenSeam;
pub(crate) use setting::spacers;
pub use setting::{
    AsItLiesAnswer, FromWallAnswer, RowEndsAnswer, SettingOutAnswer, StackAnswer, WidthAnswer,
};
pub use wire::{
    AlongAnswer, BreachAnswer, ChoiceAnswer, PieceAnswer, PlanAnswer, PlanArea, Row as PlanRowAnswer,
};

use super::{Answer, resolve};
use drylay_document::sheet::Sheet;

/// Answers `drylay plan`. `go_on` may end the searches early; what is fixed is planned all the same.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn plan(sheet: &Sheet, go_on: &mut dyn FnMut() -> bool) -> Answer<PlanAnswer> {
    let resolved = resolve(sheet)?;
    let areas = plan_areas(sheet, &resolved, go_on)?;
    Ok(PlanAnswer { areas: areas.iter().map(PlanArea::of).collect() })
}
