//! What a quote and an order have beside the plan, as entries of their forms.

use super::ground::Fields;
use crate::desk::SeenJob;
use crate::forms::{BOUGHT, Form, INSTEAD, QUOTED};
use crate::laying::area_name;
use crate::show::stamp;
use crate::wire::{EntryView, FormView, OptionView};
use drylay_document::exchange::supply;
use drylay_document::sheet::{Product, Quote, Sheet};
use drylay_document::{Decimal, Held, JobView, Product as Kept};
use drylay_geometry::ItemId;

/// The forms of a quote; a variant's product is one of the job's.
pub(crate) fn quote_forms(sheet: &Sheet) -> Vec<FormView> {
    let mut forms: Vec<FormView> = QUOTED.iter().map(Form::view).collect();
    let fields = forms.iter_mut().flat_map(|form| &mut form.fields).filter(|field| field.name == INSTEAD);
    fields.for_each(|field| {
        let option = |product: &Product| OptionView {
            value: product.id.to_string(),
            name: sheet.bought_name(product.id.as_str()).to_owned(),
        };
        field.takes = "choice".to_owned();
        field.options = sheet.products.iter().map(option).collect();
    });
    forms
}

/// The forms of what is bought beside tiles.
pub(crate) fn order_forms() -> Vec<FormView> {
    BOUGHT.iter().map(Form::view).collect()
}

/// A number as one types it: of the shortest way to write it, at most nine places after the point.
fn number(x: f64) -> String {
    Decimal::from_f64((x * 1e9).round() / 1e9).map(|x| x.as_str().to_owned()).unwrap_or_default()
}

fn entry(of: &str, id: &str, title: &str, fields: Fields) -> EntryView {
    EntryView {
        id: id.to_owned(),
        of: of.to_owned(),
        title: title.to_owned(),
        verdict: String::new(),
        words: Vec::new(),
        fields: fields.0,
        places: Vec::new(),
        stamp: None,
    }
}

/// What a quote has beside the plan. What stands in a list is named by its place in it.
pub(crate) fn quoted(job: &SeenJob, quote: &Quote) -> Vec<EntryView> {
    let place = |n: usize| n.to_string();
    let mut all = Vec::new();
    for (n, task) in quote.work.iter().enumerate() {
        let name = if task.name.is_empty() { &task.task } else { &task.name };
        let fields = Fields::default()
            .text("name", Some(&task.name))
            .text("rate_name", Some(&task.task))
            .text("quantity", Some(number(task.quantity)))
            .text("unit", Some(&task.unit))
            .text("kg_each", task.kg_each.map(number));
        all.push(entry("task", &place(n), name, fields));
    }
    for (n, hidden) in quote.hidden.iter().enumerate() {
        let fields = Fields::default()
            .text("name", Some(&hidden.name))
            .text("unit", Some(&hidden.unit))
            .text("price", Some(&hidden.price))
            .text("likely", Some(number(hidden.likely)))
            .text("bad", Some(number(hidden.bad)))
            .yes("reading_settles", hidden.reading_settles.then_some(true));
        all.push(entry("hidden", &place(n), &hidden.name, fields));
    }
    for (n, line) in quote.lines.iter().enumerate() {
        let fields = Fields::default()
            .text("name", Some(&line.name))
            .text("quantity", Some(number(line.quantity)))
            .text("unit", Some(&line.unit))
            .text("price", Some(&line.price));
        all.push(entry("priced", &place(n), &line.name, fields));
    }
    for variant in &quote.variants {
        let name_of = |id: &String| match job.view.areas.get(&ItemId::new(id)) {
            Some(area) => area_name(job, area),
            None => id.clone(),
        };
        let areas: Vec<String> = variant.areas.iter().map(name_of).collect();
        let fields = Fields::default()
            .text("name", Some(&variant.name))
            .text(INSTEAD, variant.product.as_ref())
            .text("only_areas", Some(areas.join(", ")))
            .text("discount_percent", variant.discount_percent.map(number));
        all.push(entry("variant", variant.id.as_str(), &variant.name, fields));
    }
    all
}

/// What is bought beside tiles and compounds.
pub(crate) fn ordered(job: &JobView, sheet: &Sheet) -> Vec<EntryView> {
    job.products.live.iter().filter_map(|held| one_supply(held, sheet)).collect()
}

fn one_supply(held: &Held<Kept>, sheet: &Sheet) -> Option<EntryView> {
    let s = supply(held)?;
    let with: Vec<&str> = s.with.iter().map(|id| sheet.bought_name(id.as_str())).collect();
    let pack = s.pack.as_ref();
    let fields = Fields::default()
        .text("use", Some(s.used_as.word()))
        .text("name", Some(&s.name))
        .text("only_with", Some(with.join(", ")))
        .measure("strip_width", s.width.as_ref())
        .measure("roll_length", s.length.as_ref())
        .measure("lap", s.lap.as_ref())
        .measure("kerf", s.kerf.as_ref())
        .measure("extra_length", s.extra_length.as_ref())
        .measure("joint_depth", s.depth.as_ref())
        .text("rate", s.rate.map(number))
        .text("per", s.per.map(|per| per.word()))
        .text("density", s.density.map(number))
        .text("waste_percent", s.waste.map(|share| number(share * 100.0)))
        .text("pack_name", pack.map(|pack| &pack.name))
        .text("pack_holds", pack.and_then(|pack| pack.holds).map(number))
        .text("pack_kg", pack.and_then(|pack| pack.kg).map(number))
        .text("pack_price", pack.and_then(|pack| pack.price.as_ref()))
        .text("source", Some(&s.source));
    let title = if s.name.is_empty() { s.id.as_str() } else { &s.name };
    Some(EntryView { stamp: Some(stamp(&held.added)), ..entry("supply", held.id.as_str(), title, fields) })
}
