//! Rules that are asked besides the product's own least sizes, each with the source of its figure: how wide the first
//! and the last row must be, how far a floor may run unparted, how wide joints must be, how far rows may be offset.
//!
//! No figure is known here. Data sheets, handbooks and standards differ, and change from edition to edition, so each
//! rule comes with its figure and says where that stands. They are judged on a finished plan and have no part in
//! what a plan is worth.

use crate::lattice::Choice;
use crate::plan::Plan;
use crate::product::{Offset, Product};
use crate::rules::TOLERANCE;
use drylay_geometry::Length;

/// Where a figure stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Source {
    /// Which paper, and where in it.
    pub text: String,
    /// Which edition.
    pub edition: Option<String>,
}

/// How a tile's edges came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TileEdges {
    /// Ground to size after firing.
    Rectified,
    /// Sorted by size after firing.
    Calibrated,
}

/// What is known of how tiles were made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// How their edges came about.
    pub edges: Option<TileEdges>,
    /// By how much their faces differ in size.
    pub variation: Option<Length>,
    /// By how much their longest edges are bent.
    pub warpage: Option<Length>,
}

/// The least width of the first and the last row.
#[derive(Clone, Debug, PartialEq)]
pub struct RowRule {
    /// It.
    pub least: Length,
    /// Where it stands.
    pub source: Source,
}

/// How far a floor may run before a movement joint.
#[derive(Clone, Debug, PartialEq)]
pub struct MovementRule {
    /// At most so far.
    pub run: Length,
    /// How wide the joint is at least.
    pub width: Option<Length>,
    /// The same by how far the floor runs: up to the first length, so wide as the second.
    pub widths: Vec<(Length, Length)>,
    /// How much wider it is where the year's warmth ranges far.
    pub warmth: Option<Warmth>,
    /// Where it stands.
    pub source: Source,
}

/// How much wider a movement joint is where the year's warmth ranges far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Warmth {
    /// From this range on, in degrees.
    pub over: f64,
    /// For each so many degrees more, begun ones too; more than nothing.
    pub each: f64,
    /// So much is added.
    pub add: Length,
}

/// How wide the gap along walls and fixed things must be.
#[derive(Clone, Debug, PartialEq)]
pub struct GapRule {
    /// At least so wide.
    pub least: Length,
    /// Where it stands.
    pub source: Source,
}

/// How wide the joint between tiles must be.
#[derive(Clone, Debug, PartialEq)]
pub struct JointRule {
    /// At least so wide.
    pub least: Length,
    /// At least so many times what faces differ in size, where that is known.
    pub variations: Option<f64>,
    /// Whether the edges' warpage comes on top.
    pub plus_warpage: bool,
    /// Only for tiles with a side longer than this.
    pub side_over: Option<Length>,
    /// Only for tiles whose edges came about like this, or of which that is not known.
    pub edges: Option<TileEdges>,
    /// Only where rows are offset.
    pub offset_only: bool,
    /// Where it stands.
    pub source: Source,
}

/// How far rows may be offset.
#[derive(Clone, Debug, PartialEq)]
pub struct OffsetRule {
    /// At most such a part of the tile's length, whichever way.
    pub most: Offset,
    /// Only for tiles longer than this.
    pub side_over: Option<Length>,
    /// Where it stands.
    pub source: Source,
}

/// All rules that are asked of a plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// Of the first and the last row.
    pub rows: Vec<RowRule>,
    /// Of how far the floor runs.
    pub movement: Vec<MovementRule>,
    /// Of the joint between tiles.
    pub joints: Vec<JointRule>,
    /// Of the offset between rows.
    pub offsets: Vec<OffsetRule>,
    /// Of the gap along walls and fixed things.
    pub gaps: Vec<GapRule>,
    /// The narrowest gap that is kept anywhere; the product's own where nothing is said.
    pub narrowest_gap: Option<Length>,
    /// Degrees between the year's coldest and warmest day, where that is known: the widest of all rooms.
    pub yearly_range: Option<f64>,
    /// What is to be done besides, in words, which no plan shows.
    pub instructions: Vec<(String, Source)>,
}

/// What governs the movement joints.
#[derive(Clone, Debug, PartialEq)]
pub struct Spacing {
    /// No run may be longer.
    pub run: Length,
    /// The joints are at least so wide.
    pub width: Option<Length>,
    /// Where that stands; `None` for the product's own figure.
    pub source: Option<Source>,
}

/// A rule as it was found in a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// What was found against what is asked.
    pub found: Found,
    /// Whether it holds.
    pub held: bool,
    /// Where the rule stands.
    pub source: Source,
}

/// What was found of a plan, and what is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found {
    /// The narrower of the first and the last row.
    Rows {
        /// Its width.
        width: Length,
        /// The least.
        least: Length,
        /// How wide both can be if they are made equal, where that helps.
        equal: Option<Length>,
    },
    /// The joint between tiles.
    Joint {
        /// Its width.
        width: Length,
        /// The least.
        least: Length,
    },
    /// The narrowest gap along walls and fixed things.
    Gap {
        /// Its width.
        width: Length,
        /// The least.
        least: Length,
    },
    /// The offset between rows, the shorter way.
    Offset {
        /// It.
        offset: Offset,
        /// The most.
        most: Offset,
    },
}

impl Asked {
    /// What governs the movement joints: the shortest run of all that are asked; of equal ones the product's own. The
    /// joints are as wide as the widest that is asked.
    pub fn spacing(&self, product: &Product) -> Option<Spacing> {
        let own = product.max_run.map(|run| Spacing { run, width: None, source: None });
        let asked = self.movement.iter().map(|rule| Spacing {
            run: rule.run,
            width: None,
            source: Some(rule.source.clone()),
        });
        let shortest = own.into_iter().chain(asked).min_by_key(|s| s.run)?;
        let widths = self.movement.iter().filter_map(|rule| rule.width_at(shortest.run, self.yearly_range));
        Some(Spacing { width: widths.max(), ..shortest })
    }

    /// Judges a plan by every rule that applies to it.
    pub fn judge(&self, product: &Product, made: &Made, plan: &Plan) -> Vec<Judged> {
        let rows = self.rows.iter().map(|rule| rule.judge(product, plan));
        let applies = |rule: &&JointRule| rule.applies(product, made, &plan.choice);
        let joints = self.joints.iter().filter(applies).map(|rule| rule.judge(product, made));
        let long = |rule: &&OffsetRule| rule.side_over.is_none_or(|side| product.length > side);
        let offsets = self.offsets.iter().filter(long).map(|rule| rule.judge(&plan.choice));
        let gap = self.narrowest_gap.unwrap_or(product.edge_gap);
        let gaps = self.gaps.iter().map(|rule| Judged {
            found: Found::Gap { width: gap, least: rule.least },
            held: not_below(gap, rule.least),
            source: rule.source.clone(),
        });
        rows.chain(joints).chain(offsets).chain(gaps).collect()
    }
}

impl MovementRule {
    /// How wide the joint is at least where the floor runs so far and the year's warmth ranges so many degrees.
    fn width_at(&self, run: Length, range: Option<f64>) -> Option<Length> {
        let mut widths = self.widths.clone();
        widths.sort_unstable();
        let by_run = widths.iter().find(|(most, _)| run <= *most).or(widths.last()).map(|(_, width)| *width);
        let width = self.width.max(by_run)?;
        let more =
            self.warmth.zip(range).map_or(0.0, |(w, range)| ((range - w.over) / w.each).ceil().max(0.0));
        #[expect(clippy::cast_possible_truncation, reason = "some steps of a few degrees")]
        let steps = more.min(1000.0) as i64;
        Some(width + self.warmth.map_or(Length::ZERO, |w| w.add * steps))
    }
}

impl RowRule {
    fn judge(&self, product: &Product, plan: &Plan) -> Judged {
        let width = plan.measures.first_row.min(plan.measures.last_row);
        let held = not_below(width, self.least);
        let equal = if held { None } else { equal_rows(product, plan).filter(|w| not_below(*w, self.least)) };
        Judged { found: Found::Rows { width, least: self.least, equal }, held, source: self.source.clone() }
    }
}

/// How wide the first and the last row are once they are equal: half of both, or with a row less in between half of
/// both and a row's pitch, as wide as a tile at most.
pub fn equal_rows(product: &Product, plan: &Plan) -> Option<Length> {
    if plan.rows.len() < 2 {
        return None;
    }
    let both = plan.measures.first_row + plan.measures.last_row;
    let half = |l: Length| Length::from_nanometres(l.nanometres() / 2);
    let (with_all, with_one_less) = (half(both), half(both + product.pitch_across()));
    Some(if with_one_less <= product.width { with_one_less } else { with_all })
}

impl JointRule {
    fn applies(&self, product: &Product, made: &Made, choice: &Choice) -> bool {
        let longest = product.length.max(product.width);
        self.side_over.is_none_or(|side| longest > side)
            && (self.edges.is_none() || made.edges.is_none() || self.edges == made.edges)
            && (!self.offset_only || choice.offset.num > 0)
    }

    fn judge(&self, product: &Product, made: &Made) -> Judged {
        let times = |variation: Length| {
            let nm = variation.nanometres() as f64 * self.variations.unwrap_or(0.0);
            #[expect(clippy::cast_possible_truncation, reason = "a joint is far inside the range of i64")]
            Length::from_nanometres(nm.round() as i64)
        };
        let warpage = if self.plus_warpage { made.warpage.unwrap_or(Length::ZERO) } else { Length::ZERO };
        let least = self.least.max(made.variation.map_or(Length::ZERO, times)) + warpage;
        Judged {
            found: Found::Joint { width: product.joint, least },
            held: not_below(product.joint, least),
            source: self.source.clone(),
        }
    }
}

impl OffsetRule {
    fn judge(&self, choice: &Choice) -> Judged {
        let Offset { num, den } = choice.offset;
        let offset = Offset { num: num.min(den.saturating_sub(num)), den };
        Judged {
            found: Found::Offset { offset, most: self.most },
            held: offset <= self.most,
            source: self.source.clone(),
        }
    }
}

fn not_below(value: Length, least: Length) -> bool {
    value.nanometres() >= least.nanometres() - TOLERANCE
}
