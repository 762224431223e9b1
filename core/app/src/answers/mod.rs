//! What the program answers to a job sheet: pure functions from a sheet to wire values, for the command line, the
//! window and the tests alike.
//!
//! [`rooms::resolve`] finds every room's shape; [`survey()`], [`flatness()`], [`plan()`], [`takeoff()`], [`subfloor()`] and
//! [`heights()`] build on it.

mod advice;
pub mod demo;
mod draft;
mod flatness;
mod floor_advice;
pub(crate) mod floor_read;
pub(crate) mod floor_work;
mod floors;
mod goes_round;
pub(crate) mod heights;
mod price;
pub mod rooms;
pub(crate) mod subfloor;
mod survey;
mod takeoff;

mod plan;

pub use flatness::{ChordAnswer, FlatnessAnswer, HeightAnswer, RoomFlatness, ToleranceAnswer, flatness};
pub(crate) use flatness::{Known as KnownFloor, answer as answer_for_floor, overall};
pub use floor_work::{GrindAnswer, PatchAnswer, PortionsAnswer, WorkAnswer};
pub(crate) use goes_round::thing_ring;
pub use heights::{
    DoorHeights, FixtureHeights, HeightsAnswer, LimitOfStack, OpeningHeights, RoomHeights, StackPart, heights,
};
pub use plan::{
    AlongAnswer, AsItLiesAnswer, BreachAnswer, ChangeAnswer, ChoiceAnswer, CuttingAnswer, DoubtAnswer,
    FromWallAnswer, InstructionAnswer, JointAnswer, LayingAnswer, LipAnswer, Making, MarkAnswer, OpenSeam,
    PieceAnswer, PlaceAnswer, PlanAnswer, PlanArea, PlanRowAnswer, PlannedArea, RailAnswer, RemedyAnswer,
    RowEndsAnswer, RuleAnswer, SettingOutAnswer, StackAnswer, StepAnswer, WidthAnswer, plan, plan_area,
    plan_areas,
};
pub(crate) use plan::{
    Cuts, WayOut, breaches, cutting_of, floor_of_room, on_word, product_of, rooms_at, spacers, tool_word,
    wall_name, ways_out,
};
pub use price::{CasesAnswer, PriceAnswer, QuoteAnswer, QuotedLine, ReadingAnswer, TotalsAnswer, price};
pub(crate) use price::{ROUNDING, changed, is_in, price_of, quote, reminders};
pub use rooms::{ResolvedRoom, resolve};
pub use subfloor::{
    DifferenceAnswer, Finding, FlawAnswer, HazardAnswer, HeavyAnswer, LayerAnswer, LimitAnswer,
    MoistureAnswer, RoomSubfloor, SeamAnswer, SheathingAnswer, Standing, StructureAnswer, SubfloorAnswer,
    TestAnswer, Topic, UnderlayAnswer, subfloor,
};
pub use survey::{SurveyAnswer, survey};
pub use takeoff::{
    Amount, Figure, FloorWeight, Guess, GuessLine, Line, Part, TakeoffAnswer, Weight, count_planned, takeoff,
};
pub(crate) use takeoff::{HABIT_PERCENT, POUND_KG, RoomWork, Site, count, floor_works};

use crate::Problem;
use drylay_document::sheet::Units;
use drylay_geometry::{Length, Notation};

/// The notation in which lengths are written for people, to the marking-out grid.
pub fn notation(units: Units) -> Notation {
    match units {
        Units::Metric => Notation::Millimetres(0),
        Units::Imperial => Notation::FeetInches(16),
        Units::Inches => Notation::Inches(16),
    }
}

/// Millimetres in the job's notation, rounded to the marking-out grid.
pub fn show_mm(mm: f64, units: Units) -> String {
    Length::from_mm_f64(mm).unwrap_or(Length::ZERO).show(notation(units))
}

/// The marking-out grid: whole millimetres or sixteenths of an inch.
pub fn grid(units: Units) -> Length {
    match units {
        Units::Metric => Length::from_mm(1),
        Units::Imperial | Units::Inches => Length::from_sixty_fourths(4),
    }
}

/// What was computed, or everything that is wrong with the sheet.
pub type Answer<T> = Result<T, Vec<Problem>>;
