//! The forms in which what carries a floor, heights, and what a quote and an order have beside the plan are said: which
//! fields they have, and how those are read.

use crate::Problem;
use crate::wire::{FieldView, FormView, OptionView, Units};
use crate::words::say;
use drylay_document::sheet::{
    BaseKind, BaseWork, Drying, FixtureKind, HazardKind, HazardKnown, MoistureMethod, NextFloor, Per,
    SeamKind, StandsOn, SupplyUse, Under, UnderlayNeed, WoodOf, days,
};
use drylay_document::{Decimal, TypedLength};
use drylay_survey::base::published::{SIZES, TIMBERS, WAYS};
use std::collections::BTreeMap;

/// What a field takes.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Takes {
    /// A length, which may be nothing.
    Length,
    /// A number.
    Number,
    /// Words.
    Text,
    /// A day.
    Day,
    /// One of these words, named in the catalogue under the given prefix.
    Choice(fn() -> Vec<&'static str>, &'static str),
}

/// A field.
type Field = (&'static str, Takes);

/// A form.
#[derive(Debug)]
pub(crate) struct Form {
    pub(crate) of: &'static str,
    /// Whether there may be more than one.
    pub(crate) many: bool,
    pub(crate) fields: &'static [Field],
}

fn words_of<T: Copy>(all: &'static [T], word: fn(T) -> &'static str) -> Vec<&'static str> {
    all.iter().map(|one| word(*one)).collect()
}

const YES_NO: Takes = Takes::Choice(|| vec!["yes", "no"], "form.answer");
const SOURCE: [Field; 2] = [("source", Takes::Text), ("edition", Takes::Text)];
const AT: [Field; 2] = [("at_x", Takes::Length), ("at_y", Takes::Length)];

/// The forms of what carries a floor.
pub(crate) const BASE: &[Form] = &[
    Form { of: "house", many: false, fields: &[("built", Takes::Number), ("day", Takes::Day)] },
    Form {
        of: "layer",
        many: true,
        fields: &[
            ("what", Takes::Choice(|| words_of(BaseKind::ALL, BaseKind::word), "base.kind")),
            ("thickness", Takes::Length),
            ("fixing", Takes::Text),
            ("sound", YES_NO),
            ("notes", Takes::Text),
        ],
    },
    Form {
        of: "hazard",
        many: true,
        fields: &[
            ("hazard", Takes::Choice(|| words_of(HazardKind::ALL, HazardKind::word), "base.hazard")),
            ("known", Takes::Choice(|| words_of(HazardKnown::ALL, HazardKnown::word), "form.known")),
            ("basis", Takes::Text),
        ],
    },
    Form {
        of: "work",
        many: true,
        fields: &[("work", Takes::Choice(|| words_of(BaseWork::ALL, BaseWork::word), "base.work"))],
    },
    Form {
        of: "slab",
        many: false,
        fields: &[
            ("thickness", Takes::Length),
            ("drying", Takes::Choice(|| words_of(Drying::ALL, Drying::word), "form.drying")),
        ],
    },
    Form {
        of: "test",
        many: true,
        fields: &[
            ("method", Takes::Choice(|| words_of(MoistureMethod::ALL, MoistureMethod::word), "base.method")),
            ("way", Takes::Choice(|| WAYS.iter().map(|way| way.id).collect(), "form.way")),
            AT[0],
            AT[1],
            ("percent", Takes::Number),
            ("start_grams", Takes::Number),
            ("end_grams", Takes::Number),
            ("area_cm2", Takes::Number),
            ("hours", Takes::Number),
            ("depth", Takes::Length),
            ("service_hours", Takes::Number),
            ("celsius", Takes::Number),
            ("air_percent", Takes::Number),
            ("of", Takes::Choice(|| words_of(WoodOf::ALL, WoodOf::word), "form.of")),
            ("day", Takes::Day),
            ("calibrated", Takes::Day),
        ],
    },
    Form {
        of: "structure",
        many: false,
        fields: &[
            ("span", Takes::Length),
            ("bearing", Takes::Length),
            ("spacing", Takes::Length),
            ("size", Takes::Choice(|| SIZES.iter().map(|size| size.0).collect(), "form.size")),
            ("width", Takes::Length),
            ("depth", Takes::Length),
            ("species", Takes::Choice(|| TIMBERS.iter().map(|timber| timber.id).collect(), "form.species")),
            ("e_psi", Takes::Number),
            ("fb_psi", Takes::Number),
            ("live_psf", Takes::Number),
            ("dead_psf", Takes::Number),
            ("new_psf", Takes::Number),
            ("sheathing", Takes::Length),
            ("fixing", Takes::Text),
            ("step", Takes::Length),
            ("notes", Takes::Text),
        ],
    },
    Form {
        of: "seam",
        many: true,
        fields: &[
            ("what", Takes::Choice(|| words_of(SeamKind::ALL, SeamKind::word), "base.seam")),
            ("from_x", Takes::Length),
            ("from_y", Takes::Length),
            ("to_x", Takes::Length),
            ("to_y", Takes::Length),
            ("width", Takes::Length),
            ("step", Takes::Length),
            ("notes", Takes::Text),
        ],
    },
    Form {
        of: "heavy",
        many: true,
        fields: &[
            ("name", Takes::Text),
            AT[0],
            AT[1],
            ("psf", Takes::Number),
            ("stands", Takes::Choice(|| words_of(StandsOn::ALL, StandsOn::word), "form.stands")),
        ],
    },
    Form {
        of: "limits",
        many: false,
        fields: &[
            ("floats", YES_NO),
            ("weight_psf", Takes::Number),
            ("humidity_percent", Takes::Number),
            ("emission", Takes::Number),
            ("wood_percent", Takes::Number),
            ("wood_difference", Takes::Number),
            ("days", Takes::Number),
            SOURCE[0],
            SOURCE[1],
        ],
    },
    Form {
        of: "over_rule",
        many: true,
        fields: &[
            ("what", Takes::Choice(|| words_of(BaseKind::ALL, BaseKind::word), "base.kind")),
            ("may", YES_NO),
            SOURCE[0],
            SOURCE[1],
        ],
    },
    Form {
        of: "deflection_rule",
        many: true,
        fields: &[
            ("under", Takes::Choice(|| words_of(Under::ALL, Under::word), "form.under")),
            ("ratio", Takes::Number),
            ("pounds", Takes::Number),
            SOURCE[0],
            SOURCE[1],
        ],
    },
    Form {
        of: "sheathing_rule",
        many: false,
        fields: &[
            ("least", Takes::Length),
            ("most_step", Takes::Length),
            ("fixing", Takes::Text),
            SOURCE[0],
            SOURCE[1],
        ],
    },
    Form {
        of: "carry_rule",
        many: true,
        fields: &[
            ("what", Takes::Choice(|| words_of(SeamKind::ALL, SeamKind::word), "base.seam")),
            ("within", Takes::Length),
            SOURCE[0],
            SOURCE[1],
        ],
    },
];

/// The forms in which is said what the product that is laid asks.
pub(crate) const ASKED: [&str; 6] =
    ["limits", "over_rule", "deflection_rule", "sheathing_rule", "carry_rule", "underlay_rule"];

/// The form in which an underlayment is described.
pub(crate) const UNDERLAYMENT: &str = "underlayment";

/// The form in which an area's underlayment is chosen; what may be chosen is the job's.
pub(crate) const UNDERLAY: &str = "underlay";

/// The forms of heights.
pub(crate) const HEIGHTS: &[Form] = &[
    Form {
        of: "opening",
        many: false,
        fields: &[
            ("next_floor", Takes::Choice(|| words_of(NextFloor::ALL, NextFloor::word), "form.next_floor")),
            ("next_height", Takes::Length),
            ("next_base", Takes::Length),
            ("door_clearance", Takes::Length),
            ("door_gap", Takes::Length),
            ("rated", YES_NO),
            ("stays", YES_NO),
        ],
    },
    Form { of: UNDERLAY, many: false, fields: &[("underlay", Takes::Text)] },
    Form {
        of: UNDERLAYMENT,
        many: true,
        fields: &[
            ("name", Takes::Text),
            ("thickness", Takes::Length),
            ("compression", Takes::Length),
            SOURCE[0],
        ],
    },
    Form {
        of: "underlay_rule",
        many: false,
        fields: &[
            ("need", Takes::Choice(|| words_of(UnderlayNeed::ALL, UnderlayNeed::word), "form.need")),
            ("attached", YES_NO),
            ("most_thickness", Takes::Length),
            ("most_compression", Takes::Length),
            SOURCE[0],
            SOURCE[1],
        ],
    },
    Form { of: "build_up", many: true, fields: &[("name", Takes::Text), ("thickness", Takes::Length)] },
    Form {
        of: "fixture",
        many: true,
        fields: &[
            ("what", Takes::Choice(standing_kinds, "fixture")),
            ("name", Takes::Text),
            AT[0],
            AT[1],
            ("height", Takes::Length),
            ("least", Takes::Length),
            ("most", Takes::Length),
            ("others", Takes::Length),
            ("differ", Takes::Length),
            ("source", Takes::Text),
        ],
    },
];

/// The forms of what a quote has beside what the plan yields.
pub(crate) const QUOTED: &[Form] = &[
    Form {
        of: "task",
        many: true,
        fields: &[
            ("name", Takes::Text),
            ("rate_name", Takes::Text),
            ("quantity", Takes::Number),
            ("unit", Takes::Text),
            ("kg_each", Takes::Number),
        ],
    },
    Form {
        of: "hidden",
        many: true,
        fields: &[
            ("name", Takes::Text),
            ("unit", Takes::Text),
            ("price", Takes::Number),
            ("likely", Takes::Number),
            ("bad", Takes::Number),
            ("reading_settles", YES_NO),
        ],
    },
    Form {
        of: "priced",
        many: true,
        fields: &[
            ("name", Takes::Text),
            ("quantity", Takes::Number),
            ("unit", Takes::Text),
            ("price", Takes::Number),
        ],
    },
    Form {
        of: "variant",
        many: true,
        fields: &[
            ("name", Takes::Text),
            (INSTEAD, Takes::Text),
            ("only_areas", Takes::Text),
            ("discount_percent", Takes::Number),
        ],
    },
];

/// The field in which a variant's product is chosen; what may be chosen is the job's.
pub(crate) const INSTEAD: &str = "instead";

/// The forms of what an order has beside tiles and compounds.
pub(crate) const BOUGHT: &[Form] = &[Form {
    of: "supply",
    many: true,
    fields: &[
        ("use", Takes::Choice(|| words_of(SupplyUse::ALL, SupplyUse::word), "form.use")),
        ("name", Takes::Text),
        ("only_with", Takes::Text),
        ("strip_width", Takes::Length),
        ("roll_length", Takes::Length),
        ("lap", Takes::Length),
        ("kerf", Takes::Length),
        ("extra_length", Takes::Length),
        ("joint_depth", Takes::Length),
        ("rate", Takes::Number),
        ("per", Takes::Choice(|| words_of(Per::ALL, Per::word), "form.per")),
        ("density", Takes::Number),
        ("waste_percent", Takes::Number),
        ("pack_name", Takes::Text),
        ("pack_holds", Takes::Number),
        ("pack_kg", Takes::Number),
        ("pack_price", Takes::Number),
        SOURCE[0],
    ],
}];

/// Things at a height; what is heavy is said with what carries the floor.
fn standing_kinds() -> Vec<&'static str> {
    let all = FixtureKind::ALL.iter().filter(|kind| **kind != FixtureKind::Heavy);
    all.map(|kind| kind.word()).collect()
}

/// The kinds of a form's entries that a field is asked of; none for all.
fn asked_for(of: &str, name: &str) -> &'static [&'static str] {
    match (of, name) {
        ("test", "percent") => &["in_situ", "wood", "scan"],
        ("test", "start_grams" | "end_grams" | "area_cm2") => &["calcium_chloride"],
        ("test", "hours" | "service_hours" | "celsius" | "air_percent") => &["in_situ", "calcium_chloride"],
        ("test", "depth" | "calibrated") => &["in_situ"],
        ("test", "way") => &["in_situ", "calcium_chloride", "wood"],
        ("test", "of") => &["wood"],
        ("deflection_rule", "pounds") => &["point"],
        ("fixture", "others" | "differ") => &["riser_up", "riser_down"],
        ("supply", "strip_width") => &["underlay", "film"],
        ("supply", "roll_length") => &["underlay", "film", "tape", "transition", "trim"],
        ("supply", "lap") => &["film"],
        ("supply", "kerf" | "extra_length") => &["transition", "trim"],
        ("supply", "joint_depth") => &["grout", "sealant"],
        ("supply", "rate" | "per") => &["adhesive", "spacers", "blade", "consumable"],
        ("supply", "density") => &["grout", "sealant", "adhesive"],
        _ => &[],
    }
}

impl Form {
    /// For the screens.
    pub(crate) fn view(&self) -> FormView {
        let title = if self.many { "form.title_many" } else { "form.title" };
        FormView {
            of: self.of.to_owned(),
            title: say(&format!("{title}.{}", self.of), &[]),
            hint: say(&format!("form.hint.{}", self.of), &[]),
            many: self.many,
            fields: self.fields.iter().map(|field| self.field(field)).collect(),
        }
    }

    fn field(&self, (name, takes): &Field) -> FieldView {
        let (word, options) = match takes {
            Takes::Length => ("length", Vec::new()),
            Takes::Number => ("number", Vec::new()),
            Takes::Text => ("text", Vec::new()),
            Takes::Day => ("day", Vec::new()),
            Takes::Choice(values, prefix) => {
                let option = |value: &'static str| OptionView {
                    value: value.to_owned(),
                    name: say(&format!("{prefix}.{value}"), &[]),
                };
                ("choice", values().into_iter().map(option).collect())
            }
        };
        let label = say(&format!("field.{name}"), &[]);
        let asked_for = asked_for(self.of, name).iter().map(|value| (*value).to_owned()).collect();
        FieldView { name: (*name).to_owned(), label, takes: word.to_owned(), options, asked_for }
    }
}

/// The fields of a form as typed.
#[derive(Debug)]
pub(crate) struct Filled<'a> {
    units: Units,
    form: &'static Form,
    fields: &'a BTreeMap<String, String>,
}

impl<'a> Filled<'a> {
    /// # Errors
    /// A form or a field that is not known, a choice that cannot be made.
    pub(crate) fn of(
        units: Units,
        forms: &'static [Form],
        of: &str,
        fields: &'a BTreeMap<String, String>,
    ) -> Result<Self, Problem> {
        let form = forms.iter().find(|form| form.of == of);
        let form = form.ok_or_else(|| Problem::new("form.unknown", "edit.of").with("name", of))?;
        for (name, text) in fields {
            let field = form.fields.iter().find(|(known, _)| known == name);
            let Some((_, takes)) = field else {
                return Err(Problem::new("form.unknown_field", "edit.fields").with("name", name));
            };
            if let Takes::Choice(values, _) = takes
                && !text.is_empty()
                && !values().contains(&text.as_str())
            {
                return Err(Problem::new("form.unknown_choice", place(name)).with("name", text));
            }
        }
        Ok(Self { units, form, fields })
    }

    /// Which form it is.
    pub(crate) fn form(&self) -> &'static str {
        self.form.of
    }

    fn said(&self, name: &str) -> Option<&'a str> {
        self.fields.get(name).map(|text| text.trim()).filter(|text| !text.is_empty())
    }

    /// Whether nothing at all was said.
    pub(crate) fn is_empty(&self) -> bool {
        self.fields.values().all(|text| text.trim().is_empty())
    }

    /// Words; none for nothing.
    pub(crate) fn text(&self, name: &str) -> Option<String> {
        self.said(name).map(str::to_owned)
    }

    /// What was chosen, by the type that has the words.
    pub(crate) fn choice<T>(&self, name: &str, of: fn(&str) -> Option<T>) -> Option<T> {
        self.said(name).and_then(of)
    }

    /// As [`Filled::choice`], for what must be chosen.
    pub(crate) fn must<T>(&self, name: &str, of: fn(&str) -> Option<T>) -> Result<T, Problem> {
        self.choice(name, of).ok_or_else(|| Problem::new("form.choose", place(name)))
    }

    /// Yes or no.
    pub(crate) fn yes(&self, name: &str) -> Option<bool> {
        self.said(name).map(|text| text == "yes")
    }

    /// A number that is not negative.
    pub(crate) fn number(&self, name: &str) -> Result<Option<Decimal>, Problem> {
        let Some(text) = self.said(name) else { return Ok(None) };
        let number = Decimal::parse(text).filter(|number| number.to_f64() >= 0.0);
        number.map(Some).ok_or_else(|| Problem::new("sheet.amount", place(name)).with("found", text))
    }

    /// A length of any sign.
    pub(crate) fn signed(&self, name: &str) -> Result<Option<TypedLength>, Problem> {
        self.said(name).map(|text| self.units.read(text, &place(name))).transpose()
    }

    /// A length that is not negative.
    pub(crate) fn length(&self, name: &str) -> Result<Option<TypedLength>, Problem> {
        self.units.read_answer(self.said(name).unwrap_or(""), &place(name))
    }

    /// A length that must be there.
    pub(crate) fn need(&self, name: &str) -> Result<TypedLength, Problem> {
        self.length(name)?.ok_or_else(|| Problem::new("length.empty", place(name)))
    }

    /// A length that is more than nothing, where there is one.
    pub(crate) fn positive(&self, name: &str) -> Result<Option<TypedLength>, Problem> {
        self.said(name).map(|text| self.units.read_positive(text, &place(name))).transpose()
    }

    /// A day.
    pub(crate) fn day(&self, name: &str) -> Result<Option<String>, Problem> {
        let Some(text) = self.said(name) else { return Ok(None) };
        let known = days(text).map(|_| text.to_owned());
        known.map(Some).ok_or_else(|| Problem::new("sheet.day", place(name)).with("found", text))
    }
}

/// The place of a field in a refusal.
fn place(name: &str) -> String {
    format!("edit.fields.{name}")
}
