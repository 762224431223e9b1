//! Rules with their source, movement joints and the order of laying.

use super::wire;

wire! {
    /// What governs the movement joints of a plan, and each of them.
    pub struct MovementView {
        /// How far the floor may run and does, in words.
        pub words: String,
        /// Where the figure stands.
        pub source: String,
        /// The joints.
        pub joints: Vec<MovementJointView>,
    }
}

wire! {
    /// A movement joint.
    pub struct MovementJointView {
        /// Its ends on the plan.
        pub line: [[f64; 2]; 2],
        /// `passage`, `neck` or `run`.
        pub reason: String,
        /// Why it lies there and how, in words.
        pub words: String,
    }
}

wire! {
    /// A rule that was asked with a source.
    pub struct RuleView {
        /// `rows`, `joint`, `gap` or `offset`.
        pub rule: String,
        /// Whether it holds.
        pub held: bool,
        /// What was found and what is asked, in words.
        pub words: String,
        /// Where the figure stands.
        pub source: String,
    }
}

wire! {
    /// Something to be done that no plan shows.
    pub struct InstructionView {
        /// What, in words.
        pub words: String,
        /// Where it stands.
        pub source: String,
    }
}

wire! {
    /// How a plan is laid.
    pub struct LayingView {
        /// Where laying begins, in words.
        pub begins: String,
        /// Which rail faces each wall, in words.
        pub rails: Vec<String>,
        /// Every piece once, in an order in which each can be engaged.
        pub steps: Vec<LayingStep>,
        /// How much of a rail may be chipped off, in words.
        pub chips: Option<String>,
        /// Where it stands how the product engages.
        pub source: String,
    }
}

wire! {
    /// A piece in the order of laying.
    pub struct LayingStep {
        /// Row and place.
        pub piece: String,
        /// Its row.
        pub row: u32,
        /// `placed`, `angled`, `dropped`, `slid` or `trapped`.
        pub how: String,
        /// How it is engaged, in words.
        pub words: String,
    }
}
