//! What to buy, and what it weighs.

use super::{EntryView, FormView, Units, wire};
use crate::Problem;

wire! {
    /// What to buy.
    pub struct BuyView {
        /// A line for each thing.
        pub lines: Vec<BuyLine>,
        /// How sure the lines are, in words.
        pub sure: String,
        /// What it weighs: for the truck, for who carries it, for the floor.
        pub weight: Vec<BuyStep>,
        /// The forms of what is bought beside tiles and compounds.
        pub forms: Vec<FormView>,
        /// What is bought beside tiles and compounds, as it was typed.
        pub entries: Vec<EntryView>,
        /// How lengths are typed.
        pub units: Units,
        /// What is not counted yet because it has to be worked out first, in words.
        pub waiting: Vec<String>,
        /// What was odd, and areas that could not be planned.
        pub problems: Vec<Problem>,
    }
}

wire! {
    /// A line to buy.
    pub struct BuyLine {
        /// What kind of thing.
        pub item: String,
        /// The product.
        pub product: Option<String>,
        /// What people call it.
        pub name: String,
        /// How many; what is a measure, rounded up.
        pub quantity: u32,
        /// How much, in words: `66 tiles`, `12.4 kg`.
        pub amount: String,
        /// In how many packs.
        pub packs: Option<u32>,
        /// The packs in words: `10 cartons`.
        pub pack: Option<String>,
        /// Where the figure comes from.
        pub steps: Vec<BuyStep>,
        /// What area and a percentage would have bought.
        pub guess: Option<String>,
    }
}

wire! {
    /// A step of a figure.
    pub struct BuyStep {
        /// What it is.
        pub words: String,
        /// Its value.
        pub value: String,
        /// Where in the job it comes from, as the end of an address: `plan/…` with an area, `room/…`, `room/…/floor`.
        pub origin: Option<String>,
    }
}
