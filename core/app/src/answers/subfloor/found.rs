//! What was found, each with its source, so that screens, papers and the command line say the same.

use crate::Problem;
use crate::words::say as in_words;
use drylay_document::sheet::Units;
use drylay_geometry::{Length, Notation};
use serde::Serialize;

/// What a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Topic {
    /// Hazards.
    Hazard,
    /// What lies there.
    Layer,
    /// Moisture.
    Moisture,
    /// The sheathing.
    Sheathing,
    /// The joists.
    Structure,
    /// Joints and cracks of the base.
    Seam,
    /// Heavy things.
    Heavy,
    /// The underlayment.
    Underlay,
    /// The floor's height.
    Stack,
    /// An opening.
    Opening,
    /// A door.
    Door,
    /// A thing at a height.
    Fixture,
}

impl Topic {
    /// As a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hazard => "hazard",
            Self::Layer => "layer",
            Self::Moisture => "moisture",
            Self::Sheathing => "sheathing",
            Self::Structure => "structure",
            Self::Seam => "seam",
            Self::Heavy => "heavy",
            Self::Underlay => "underlay",
            Self::Stack => "stack",
            Self::Opening => "opening",
            Self::Door => "door",
            Self::Fixture => "fixture",
        }
    }
}

/// How something stands, the most pressing first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// Work must not begin.
    Stop,
    /// It does not keep what is asked.
    Fail,
    /// It cannot be said yet.
    Unsure,
    /// Something to know or to do.
    Note,
    /// It keeps what is asked.
    Pass,
}

impl Standing {
    /// As a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::Fail => "fail",
            Self::Unsure => "unsure",
            Self::Note => "note",
            Self::Pass => "pass",
        }
    }

    /// Held, or not.
    pub(crate) fn held(held: bool) -> Self {
        if held { Self::Pass } else { Self::Fail }
    }
}

/// Something that was found.
#[derive(Clone, Debug, Serialize)]
pub struct Finding {
    /// What it is about.
    pub topic: Topic,
    /// Which of them: a name, or a number counted from 1; empty for the room.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub of: String,
    /// How it stands.
    pub verdict: Standing,
    /// What was found and what to do.
    #[serde(flatten)]
    pub says: Problem,
    /// Where the rule stands, with its edition; absent for what was only seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// What was found so far.
pub(crate) struct Findings {
    pub(crate) units: Units,
    all: Vec<Finding>,
}

impl Findings {
    pub(crate) fn new(units: Units) -> Self {
        Self { units, all: Vec::new() }
    }

    /// Notes a finding.
    pub(crate) fn note(
        &mut self,
        (topic, verdict): (Topic, Standing),
        of: impl ToString,
        says: Problem,
        source: impl Into<Option<String>>,
    ) {
        self.all.push(Finding { topic, of: of.to_string(), verdict, says, source: source.into() });
    }

    /// How it stands as a whole, and what was found, most pressing first.
    pub(crate) fn sorted(mut self) -> (Standing, Vec<Finding>) {
        self.all.sort_by_key(|finding| finding.verdict);
        let judged = self.all.iter().map(|finding| finding.verdict);
        let worst = judged.filter(|verdict| *verdict != Standing::Note).min();
        (worst.unwrap_or(Standing::Pass), self.all)
    }
}

/// A source with its edition.
pub(crate) fn said_by(source: &str, edition: Option<&String>) -> String {
    match edition {
        Some(edition) => format!("{source}, {edition}"),
        None => source.to_owned(),
    }
}

/// What stands by common practice.
pub(crate) fn practice() -> Option<String> {
    Some(in_words("flat.caution.practice", &[]))
}

/// A length as finely as a rule shows it.
pub(crate) fn exact(length: Length, units: Units) -> String {
    length.show(match units {
        Units::Metric => Notation::Millimetres(1),
        Units::Imperial => Notation::FeetInches(64),
        Units::Inches => Notation::Inches(64),
    })
}

/// Millimetres as finely as a rule shows them.
pub(crate) fn exact_mm(mm: f64, units: Units) -> String {
    let step = if units == Units::Metric { 1e-1 } else { 25.4 / 64.0 };
    exact(Length::from_mm_f64((mm / step).round() * step).unwrap_or(Length::ZERO), units)
}

/// A figure without needless noughts, to so many decimals.
pub(crate) fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
