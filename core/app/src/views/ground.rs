//! What carries a floor and its heights for the screens: findings, and entries with the fields of their forms.

use super::plan::flat;
use crate::answers::subfloor::Site;
use crate::answers::{Finding, Standing, Topic, heights as heights_answer, subfloor};
use crate::commands::asks_edit::product_of;
use crate::forms::{ASKED, BASE, Form, HEIGHTS, UNDERLAY, UNDERLAYMENT};
use crate::grounds::GroundSheet;
use crate::show::stamp;
use crate::wire::{EntryView, FindingView, GroundView, OptionView, Rings, Stamp};
use crate::words::say;
use drylay_document::exchange::{layers_in_order, tests_in_order, typed};
use drylay_document::sheet::{Demands, Measure, Underlay};
use drylay_document::{At, Decimal, Held, Product, TypedLength};
use drylay_geometry::ItemId;
use std::collections::BTreeMap;

/// What carries a room's floor.
pub(crate) fn base(site: &GroundSheet) -> GroundView {
    let answer = subfloor::of_site(&site.site());
    let mut entries = Entries { site, findings: &answer.findings, all: Vec::new() };
    entries.house();
    entries.layers();
    entries.hazards();
    entries.work();
    entries.slab();
    entries.tests();
    entries.structure();
    entries.seams();
    entries.fixtures(true);
    entries.asked(false);
    let entries = entries.all;
    whole(site, (answer.verdict, &answer.asked, &answer.findings), BASE, entries)
}

/// The heights of a room.
pub(crate) fn heights(site: &GroundSheet) -> GroundView {
    let answer = heights_answer::of_site(&site.site());
    let mut entries = Entries { site, findings: &answer.findings, all: Vec::new() };
    entries.openings();
    entries.underlay();
    entries.underlayments();
    entries.asked(true);
    entries.build_up();
    entries.fixtures(false);
    let entries = entries.all;
    let mut view = whole(site, (answer.verdict, &[], &answer.findings), HEIGHTS, entries);
    let choosable = site.site().area.is_some() && !site.sheet.underlays.is_empty();
    view.forms.retain(|form| form.of != UNDERLAY || choosable);
    let fields = view.forms.iter_mut().filter(|form| form.of == UNDERLAY).flat_map(|form| &mut form.fields);
    fields.for_each(|field| {
        let option = |u: &Underlay| OptionView { value: u.id.to_string(), name: underlay_name(u) };
        field.takes = "choice".to_owned();
        field.options = site.sheet.underlays.iter().map(option).collect();
    });
    view
}

/// What people call an underlayment.
fn underlay_name(underlay: &Underlay) -> String {
    if underlay.name.is_empty() { underlay.id.to_string() } else { underlay.name.clone() }
}

fn whole(
    site: &GroundSheet,
    (verdict, asked, findings): (Standing, &[Finding], &[Finding]),
    forms: &[Form],
    entries: Vec<EntryView>,
) -> GroundView {
    // Where nothing is laid yet, nothing is asked.
    let laid = site.product().is_some();
    let forms = forms.iter().filter(|form| laid || !ASKED.contains(&form.of));
    let outline = site.shape.as_ref().and_then(|shape| shape.outline.as_ref());
    GroundView {
        name: site.room().title().to_owned(),
        units: site.units,
        outline: outline.map(|outline| Rings { outer: flat(&outline.ring()), holes: Vec::new() }),
        verdict: verdict.word().to_owned(),
        verdict_words: say(&format!("ground.verdict.{}", verdict.word()), &[]),
        asked: asked.iter().map(finding).collect(),
        findings: findings.iter().map(finding).collect(),
        forms: forms.map(Form::view).collect(),
        entries,
    }
}

fn finding(finding: &Finding) -> FindingView {
    FindingView {
        topic: finding.topic.word().to_owned(),
        verdict: finding.verdict.word().to_owned(),
        verdict_word: say(&format!("ground.word.{}", finding.verdict.word()), &[]),
        message: finding.says.message.clone(),
        hint: finding.says.hint.clone(),
        source: finding.source.clone().unwrap_or_default(),
    }
}

/// The fields of an entry as they are gathered.
#[derive(Default)]
pub(super) struct Fields(pub(super) BTreeMap<String, String>);

impl Fields {
    pub(super) fn text(mut self, name: &str, text: Option<impl ToString>) -> Self {
        self.0.extend(text.map(|text| (name.to_owned(), text.to_string())).filter(|(_, t)| !t.is_empty()));
        self
    }
    pub(super) fn length(self, name: &str, length: &Option<TypedLength>) -> Self {
        self.text(name, length.as_ref().map(|length| crate::show::typed(length).text))
    }
    pub(super) fn measure(self, name: &str, measure: Option<&Measure>) -> Self {
        self.length(name, &measure.map(typed))
    }
    pub(super) fn source(self, source: &str, edition: Option<&String>) -> Self {
        self.text("source", Some(source)).text("edition", edition)
    }
    pub(super) fn number(self, name: &str, number: &Option<Decimal>) -> Self {
        self.text(name, number.as_ref().map(Decimal::as_str))
    }
    pub(super) fn yes(self, name: &str, yes: Option<bool>) -> Self {
        self.text(name, yes.map(|yes| if yes { "yes" } else { "no" }))
    }
    pub(super) fn at(self, (x, y): (&str, &str), at: Option<&At>) -> Self {
        self.length(x, &at.map(|at| at.x.clone())).length(y, &at.map(|at| at.y.clone()))
    }
}

fn mm(at: &At) -> [f64; 2] {
    [at.x.length().mm(), at.y.length().mm()]
}

struct Entries<'a> {
    site: &'a GroundSheet,
    findings: &'a [Finding],
    all: Vec<EntryView>,
}

impl Entries<'_> {
    /// An entry with what was found of it: the topics it may have, and its name among their findings.
    fn put(
        &mut self,
        (of, id): (&str, &str),
        title: String,
        fields: Fields,
        about: (&[Topic], &str),
    ) -> &mut EntryView {
        let here = |f: &&Finding| about.0.contains(&f.topic) && f.of == about.1;
        let found: Vec<&Finding> = self.findings.iter().filter(here).collect();
        let judged = found.iter().map(|f| f.verdict).min();
        self.all.push(EntryView {
            id: id.to_owned(),
            of: of.to_owned(),
            title,
            verdict: judged.map_or("", Standing::word).to_owned(),
            words: found.iter().map(|f| f.says.message.clone()).collect(),
            fields: fields.0,
            places: Vec::new(),
            stamp: None,
        });
        let last = self.all.len() - 1;
        &mut self.all[last]
    }

    fn house(&mut self) {
        let Some(facts) = self.site.job.view.facts.value.clone() else { return };
        let fields = Fields::default().text("built", facts.year_built).text("day", facts.lay_day.as_ref());
        self.put(("house", ""), say("form.title.house", &[]), fields, (&[], ""));
    }

    fn layers(&mut self) {
        let site = self.site;
        for (n, held) in (1..).zip(layers_in_order(&site.seen.view)) {
            let v = &held.value;
            let fields = Fields::default()
                .text("what", Some(v.what.word()))
                .length("thickness", &v.thickness)
                .text("fixing", v.fixing.as_ref())
                .yes("sound", v.sound)
                .text("notes", v.notes.as_ref());
            let title = say(&format!("base.kind.{}", v.what.word()), &[]);
            let entry =
                self.put(("layer", held.id.as_str()), title, fields, (&[Topic::Layer], &n.to_string()));
            entry.stamp = Some(stamp(&held.added));
        }
    }

    fn hazards(&mut self) {
        let site = self.site;
        for held in &site.seen.view.hazards.live {
            let v = &held.value;
            let fields = Fields::default()
                .text("hazard", Some(v.hazard.word()))
                .text("known", Some(v.known.word()))
                .text("basis", v.basis.as_ref());
            let what = say(&format!("base.hazard.{}", v.hazard.word()), &[]);
            let title = format!("{what}: {}", say(&format!("form.known.{}", v.known.word()), &[]));
            let about = (&[Topic::Hazard][..], v.hazard.word());
            self.put(("hazard", held.id.as_str()), title, fields, about).stamp = Some(stamp(&held.added));
        }
    }

    fn work(&mut self) {
        let work = self.site.facts().map(|facts| facts.work.clone()).unwrap_or_default();
        for (n, word) in work.iter().enumerate() {
            let title = say(&format!("base.work.{word}"), &[]);
            let fields = Fields::default().text("work", Some(word));
            self.put(("work", &n.to_string()), title, fields, (&[], ""));
        }
    }

    fn slab(&mut self) {
        let facts = self.site.facts();
        let drying = facts.and_then(|f| f.dries_both).map(|both| if both { "both" } else { "top" });
        let fields = Fields::default()
            .length("thickness", &facts.and_then(|f| f.slab_thickness.clone()))
            .text("drying", drying);
        self.put(("slab", ""), say("form.title.slab", &[]), fields, (&[], ""));
    }

    fn tests(&mut self) {
        let site = self.site;
        for (n, held) in (1..).zip(tests_in_order(&site.seen.view)) {
            let v = &held.value;
            let weighed = v.start_grams.is_some();
            let (percent, end) = if weighed { (&None, &v.value) } else { (&v.value, &None) };
            let fields = Fields::default()
                .text("method", Some(v.method.word()))
                .text("way", v.way.as_ref())
                .at(("at_x", "at_y"), v.at.as_ref())
                .number("percent", percent)
                .number("start_grams", &v.start_grams)
                .number("end_grams", end)
                .number("area_cm2", &v.area_cm2)
                .number("hours", &v.hours)
                .length("depth", &v.depth)
                .number("service_hours", &v.service_hours)
                .number("celsius", &v.celsius)
                .number("air_percent", &v.air_humidity)
                .text("of", v.of.as_ref())
                .text("day", v.day.as_ref())
                .text("calibrated", v.calibrated.as_ref());
            let method = say(&format!("base.method.{}", v.method.word()), &[]);
            let title = say("form.test", &[("n", &n.to_string()), ("method", &method)]);
            let entry =
                self.put(("test", held.id.as_str()), title, fields, (&[Topic::Moisture], &n.to_string()));
            entry.places = v.at.iter().map(mm).collect();
            entry.stamp = Some(stamp(&held.added));
        }
    }

    fn structure(&mut self) {
        let site = self.site;
        let held = site.seen.view.structure.live.last();
        let fields = held.map(|held| &held.value).map_or_else(Fields::default, |v| {
            Fields::default()
                .length("span", &v.span)
                .length("bearing", &v.bearing)
                .length("spacing", &v.spacing)
                .text("size", v.size.as_ref())
                .length("width", &v.width)
                .length("depth", &v.depth)
                .text("species", v.species.as_ref())
                .number("e_psi", &v.e_psi)
                .number("fb_psi", &v.fb_psi)
                .number("live_psf", &v.live_psf)
                .number("dead_psf", &v.dead_psf)
                .number("new_psf", &v.new_psf)
                .length("sheathing", &v.sheathing)
                .text("fixing", v.fixing.as_ref())
                .length("step", &v.step)
                .text("notes", v.notes.as_ref())
        });
        let about = (&[Topic::Structure, Topic::Sheathing][..], "");
        let said: Option<Stamp> = held.map(|held| stamp(&held.added));
        self.put(("structure", ""), say("form.title.structure", &[]), fields, about).stamp = said;
    }

    fn seams(&mut self) {
        let site = self.site;
        for held in &site.seen.view.features.live {
            let v = &held.value;
            let fields = Fields::default()
                .text("what", Some(v.what.word()))
                .at(("from_x", "from_y"), v.line.first())
                .at(("to_x", "to_y"), v.line.last())
                .length("width", &v.width)
                .length("step", &v.step)
                .text("notes", v.notes.as_ref());
            let title = say(&format!("base.seam.{}", v.what.word()), &[]);
            let entry =
                self.put(("seam", held.id.as_str()), title, fields, (&[Topic::Seam], held.id.as_str()));
            entry.places = v.line.iter().map(mm).collect();
            entry.stamp = Some(stamp(&held.added));
        }
    }

    fn fixtures(&mut self, heavy: bool) {
        let site = self.site;
        for held in &site.seen.view.fixtures.live {
            let v = &held.value;
            let word = v.what.map_or("other", |what| what.word());
            if (word == "heavy") != heavy {
                continue;
            }
            let fields = Fields::default()
                .text("what", (!heavy).then_some(word))
                .text("name", Some(&v.name))
                .at(("at_x", "at_y"), v.at.as_ref())
                .length("height", &v.height)
                .length("least", &v.least)
                .length("most", &v.most)
                .length("others", &v.others)
                .length("differ", &v.differ)
                .number("psf", &v.psf)
                .text("stands", v.stands.map(|stands| stands.word()))
                .text("source", v.source.as_ref());
            let kind = say(&format!("fixture.{word}"), &[]);
            let title = if v.name.is_empty() { kind } else { v.name.clone() };
            let of = if heavy { "heavy" } else { "fixture" };
            let about = (&[Topic::Heavy, Topic::Structure, Topic::Fixture][..], held.id.as_str());
            let entry = self.put((of, held.id.as_str()), title, fields, about);
            entry.places = v.at.iter().map(mm).collect();
        }
    }

    fn openings(&mut self) {
        let site = self.site;
        for held in &site.seen.view.openings.live {
            let v = &held.value;
            let fields = Fields::default()
                .text("next_floor", v.next_floor.as_ref())
                .length("next_height", &v.next_door)
                .length("next_base", &v.next_base)
                .length("door_clearance", &v.door_clearance)
                .length("door_gap", &v.door_gap)
                .yes("rated", v.rated)
                .yes("stays", v.door_stays);
            let pair = site.seen.labels.pair(&v.from, &v.to);
            let title = v.name.clone().unwrap_or_else(|| say("form.opening", &[("pair", &pair)]));
            let about = (&[Topic::Opening, Topic::Door][..], held.id.as_str());
            self.put(("opening", held.id.as_str()), title, fields, about);
        }
    }

    fn underlay(&mut self) {
        let site = self.site.site();
        let Some(area) = site.area else { return };
        let fields = Fields::default().text("underlay", area.underlay.as_ref());
        self.put((UNDERLAY, area.id.as_str()), say("form.title.underlay", &[]), fields, (&[], ""));
    }

    /// The underlayments of the job.
    fn underlayments(&mut self) {
        for u in &self.site.sheet.underlays {
            let fields = Fields::default()
                .text("name", Some(underlay_name(u)))
                .measure("thickness", u.thickness.as_ref())
                .measure("compression", u.compression.as_ref())
                .text("source", Some(&u.source));
            self.put((UNDERLAYMENT, u.id.as_str()), underlay_name(u), fields, (&[], ""));
        }
    }

    /// What the product that is laid asks: of underlayment, or of everything else that carries it.
    fn asked(&mut self, of_underlay: bool) {
        let Some(product) = self.site.product() else { return };
        let demands = product.value.demands.as_deref().map(Demands::read).unwrap_or_default();
        let rules = demands.base.unwrap_or_default();
        if of_underlay {
            let fields = rules.underlay.map_or_else(Fields::default, |rule| {
                Fields::default()
                    .text("need", Some(rule.need.word()))
                    .yes("attached", Some(rule.attached))
                    .measure("most_thickness", rule.most_thickness.as_ref())
                    .measure("most_compression", rule.most_compression.as_ref())
                    .source(&rule.source, rule.edition.as_ref())
            });
            self.put(("underlay_rule", ""), say("form.title.underlay_rule", &[]), fields, (&[], ""));
            return;
        }
        let mut limits = Fields::default().yes("floats", rules.floats).text("weight_psf", rules.weight_psf);
        if let Some(m) = &rules.moisture {
            limits = limits
                .text("humidity_percent", m.humidity_percent)
                .text("emission", m.emission)
                .text("wood_percent", m.wood_percent)
                .text("wood_difference", m.wood_difference)
                .text("days", m.days)
                .source(&m.source, m.edition.as_ref());
        }
        self.put(("limits", ""), say("form.title.limits", &[]), limits, (&[], ""));
        for (n, rule) in rules.over.iter().enumerate() {
            let fields = Fields::default()
                .text("what", Some(rule.what.word()))
                .yes("may", Some(rule.may))
                .source(&rule.source, rule.edition.as_ref());
            let title = say(&format!("base.kind.{}", rule.what.word()), &[]);
            self.put(("over_rule", &n.to_string()), title, fields, (&[], ""));
        }
        for (n, rule) in rules.deflection.iter().enumerate() {
            let fields = Fields::default()
                .text("under", Some(rule.under.word()))
                .text("ratio", Some(rule.ratio))
                .text("pounds", rule.pounds)
                .source(&rule.source, rule.edition.as_ref());
            self.put(("deflection_rule", &n.to_string()), format!("L/{}", rule.ratio), fields, (&[], ""));
        }
        let sheathing = rules.sheathing.as_ref().map_or_else(Fields::default, |rule| {
            Fields::default()
                .measure("least", rule.least.as_ref())
                .measure("most_step", rule.most_step.as_ref())
                .text("fixing", rule.fixing.as_ref())
                .source(&rule.source, rule.edition.as_ref())
        });
        self.put(("sheathing_rule", ""), say("form.title.sheathing_rule", &[]), sheathing, (&[], ""));
        for (n, rule) in rules.carry.iter().enumerate() {
            let fields = Fields::default()
                .text("what", Some(rule.what.word()))
                .measure("within", rule.within.as_ref())
                .source(&rule.source, rule.edition.as_ref());
            let title = say(&format!("base.seam.{}", rule.what.word()), &[]);
            self.put(("carry_rule", &n.to_string()), title, fields, (&[], ""));
        }
    }

    fn build_up(&mut self) {
        let built = self.site.facts().map(|facts| facts.build_up.clone()).unwrap_or_default();
        for (n, layer) in built.iter().enumerate() {
            let fields = Fields::default()
                .text("name", Some(&layer.name))
                .length("thickness", &Some(layer.thickness.clone()));
            self.put(("build_up", &n.to_string()), layer.name.clone(), fields, (&[], ""));
        }
    }
}

impl GroundSheet {
    /// The product that is laid in the room.
    fn product(&self) -> Option<&Held<Product>> {
        product_of(&self.job.view, &ItemId::new(self.room().id.as_str()))
    }

    fn site(&self) -> Site<'_> {
        Site::of(&self.sheet, self.at, self.shape.as_ref())
    }
}
