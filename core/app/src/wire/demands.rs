//! What a product asks besides its least sizes: how it was made, rules with their source, how its rails engage.

use super::{request, wire};

wire! {
    /// What a product asks, each figure as it was typed; an empty text is no answer.
    pub struct DemandsView {
        /// `rectified`, `calibrated` or empty.
        pub edges: String,
        /// By how much faces differ in size.
        pub variation: String,
        /// By how much the longest edges are bent.
        pub warpage: String,
        /// Rules with their source.
        pub rules: Vec<RuleText>,
        /// How rails engage; `null` where nothing is said.
        pub engagement: Option<EngagementText>,
    }
}

wire! {
    /// A rule as it was typed.
    pub struct RuleText {
        /// Its place among the rules of its kind.
        pub at: u32,
        /// `rows`, `movement`, `joint`, `offset`, `gap` or `instruction`.
        pub kind: String,
        /// The least width, the longest run or the greatest offset.
        pub figure: String,
        /// Of `movement`: how wide the joint is at least.
        pub width: String,
        /// Of `movement`: the settings in which it holds; none for everywhere.
        pub settings: Vec<String>,
        /// Of `joint`: at least so many times the variation.
        pub variations: String,
        /// Of `joint`: whether warpage comes on top.
        pub plus_warpage: bool,
        /// Of `joint` and `offset`: only for tiles with a side longer than this.
        pub side_over: String,
        /// Of `joint`: only for tiles with such edges; empty for all.
        pub edges: String,
        /// Of `joint`: only where rows are offset.
        pub offset_only: bool,
        /// Of `instruction`: what is to be done.
        pub say: String,
        /// Where it stands.
        pub source: String,
        /// Which edition of that.
        pub edition: String,
    }
}

wire! {
    /// How rails engage, as it was typed.
    pub struct EngagementText {
        /// `low` or `high`: which side along the row bears the tongue.
        pub long_tongue: String,
        /// `start` or `end`: which end bears it.
        pub short_tongue: String,
        /// `angle`, `drop`, `slide`: how the side engages, the usual first.
        pub long: Vec<String>,
        /// The same of the end.
        pub short: Vec<String>,
        /// At how many degrees a piece is held.
        pub angle: String,
        /// How far above its place it is held to be dropped in.
        pub lift: String,
        /// How far it is pulled back to be slid in.
        pub travel: String,
        /// The same once the lip is shaved off; empty where that is not allowed.
        pub shaved_travel: String,
        /// How much of a side's rail may be chipped off.
        pub chips_long: String,
        /// How much of an end's.
        pub chips_short: String,
        /// Where this stands.
        pub source: String,
        /// Which edition of that.
        pub edition: String,
    }
}

request! {
    /// What a product asks, as typed; fields as in the view.
    pub struct DemandsTyped {
        /// `rectified`, `calibrated` or empty.
        pub edges: String,
        /// By how much faces differ in size.
        pub variation: String,
        /// By how much the longest edges are bent.
        pub warpage: String,
        /// All rules that are to stand.
        pub rules: Vec<RuleTyped>,
        /// How rails engage; left out where nothing is said.
        #[serde(default)]
        #[ts(optional)]
        pub engagement: Option<EngagementTyped>,
    }
}

request! {
    /// A rule as typed; fields as in the view.
    pub struct RuleTyped {
        /// The rule of its kind that it was; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub at: Option<u32>,
        /// `rows`, `movement`, `joint`, `offset`, `gap` or `instruction`.
        pub kind: String,
        /// The least width, the longest run or the greatest offset.
        pub figure: String,
        /// Of `movement`: how wide the joint is at least.
        pub width: String,
        /// Of `movement`: the settings in which it holds.
        pub settings: Vec<String>,
        /// Of `joint`: at least so many times the variation.
        pub variations: String,
        /// Of `joint`: whether warpage comes on top.
        pub plus_warpage: bool,
        /// Of `joint` and `offset`: only for tiles with a side longer than this.
        pub side_over: String,
        /// Of `joint`: only for tiles with such edges.
        pub edges: String,
        /// Of `joint`: only where rows are offset.
        pub offset_only: bool,
        /// Of `instruction`: what is to be done.
        pub say: String,
        /// Where it stands.
        pub source: String,
        /// Which edition of that.
        pub edition: String,
    }
}

request! {
    /// How rails engage, as typed; fields as in the view.
    pub struct EngagementTyped {
        /// `low` or `high`.
        pub long_tongue: String,
        /// `start` or `end`.
        pub short_tongue: String,
        /// `angle`, `drop`, `slide`.
        pub long: Vec<String>,
        /// The same of the end.
        pub short: Vec<String>,
        /// Degrees.
        pub angle: String,
        /// How far above its place it is held to be dropped in.
        pub lift: String,
        /// How far it is pulled back to be slid in.
        pub travel: String,
        /// The same once the lip is shaved off.
        pub shaved_travel: String,
        /// How much of a side's rail may be chipped off.
        pub chips_long: String,
        /// How much of an end's.
        pub chips_short: String,
        /// Where this stands.
        pub source: String,
        /// Which edition of that.
        pub edition: String,
    }
}
