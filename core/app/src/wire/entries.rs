//! What carries a floor and its heights on the screens: findings, and entries with the fields of their forms.

use super::{Rings, Stamp, Units, request, wire};
use serde::Deserialize;
use std::collections::BTreeMap;
use ts_rs::TS;

wire! {
    /// What carries a room's floor, or its heights: what was found, and what was said and read.
    pub struct GroundView {
        /// The room's name.
        pub name: String,
        /// How lengths are typed.
        pub units: Units,
        /// The room's shape; `null` while it is not known.
        pub outline: Option<Rings>,
        /// `stop`, `fail`, `unsure` or `pass`.
        pub verdict: String,
        /// That in words.
        pub verdict_words: String,
        /// What the product asks, with its source.
        pub asked: Vec<FindingView>,
        /// What was found, most pressing first.
        pub findings: Vec<FindingView>,
        /// The forms in which things are said, in the order of the screen.
        pub forms: Vec<FormView>,
        /// What was said and read.
        pub entries: Vec<EntryView>,
    }
}

wire! {
    /// Something that was found.
    pub struct FindingView {
        /// What it is about.
        pub topic: String,
        /// `stop`, `fail`, `unsure`, `note` or `pass`.
        pub verdict: String,
        /// That in a word.
        pub verdict_word: String,
        /// What was found.
        pub message: String,
        /// What to do; may be empty.
        pub hint: String,
        /// Where the rule stands; empty for what was only seen.
        pub source: String,
    }
}

wire! {
    /// A form.
    pub struct FormView {
        /// What it is of, such as `layer`.
        pub of: String,
        /// Its heading.
        pub title: String,
        /// What to know of it.
        pub hint: String,
        /// Whether there may be more than one; otherwise it is changed in its place.
        pub many: bool,
        /// Its fields.
        pub fields: Vec<FieldView>,
    }
}

wire! {
    /// A field of a form.
    pub struct FieldView {
        /// Its name.
        pub name: String,
        /// What it is called.
        pub label: String,
        /// `length`, `number`, `text`, `day` or `choice`.
        pub takes: String,
        /// What may be chosen; empty for other fields.
        pub options: Vec<OptionView>,
        /// Values of the form's first field for which it is asked; none for all.
        pub asked_for: Vec<String>,
    }
}

wire! {
    /// Something that may be chosen.
    pub struct OptionView {
        /// Its value.
        pub value: String,
        /// What it is called.
        pub name: String,
    }
}

wire! {
    /// Something that was said or read.
    pub struct EntryView {
        /// Which.
        pub id: String,
        /// Of which form.
        pub of: String,
        /// What it is called.
        pub title: String,
        /// `stop`, `fail`, `unsure`, `note`, `pass`, or empty where it is not judged.
        pub verdict: String,
        /// What was found of it.
        pub words: Vec<String>,
        /// Its fields as typed.
        pub fields: BTreeMap<String, String>,
        /// Its places on the plan, mm: none, one, or a line.
        pub places: Vec<[f64; 2]>,
        /// Who said it and when; `null` where it is not said yet.
        pub stamp: Option<Stamp>,
    }
}

request! {
    /// Says, reads or takes out something of what carries a floor, or of heights.
    pub struct GroundEditAsk {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
        /// What is done.
        pub edit: GroundEdit,
    }
}

/// One edit.
#[derive(Clone, Debug, PartialEq, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export)]
pub enum GroundEdit {
    /// Something is said, anew or again.
    Put {
        /// Of which form.
        of: String,
        /// Which; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        id: Option<String>,
        /// Its fields as typed; one that is left out says nothing.
        fields: BTreeMap<String, String>,
    },
    /// It no longer counts.
    TakeOut {
        /// Of which form.
        of: String,
        /// Which.
        id: String,
    },
}
