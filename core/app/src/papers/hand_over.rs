//! The handover packet: what lies in the house, when it may be walked on, how it is cared for, and how one tile is
//! replaced years later.

use super::setter::{Setter, caution, plan_page};
use crate::words::say;
use drylay_document::sheet::{FillWay, Product, SupplyUse};
use drylay_papers::paper::{Block, Column, Paper, Row, Sign, Table};

/// A line to fill in by hand.
const BLANK: &str = "______________";

/// The handover packet; `None` where nothing is planned.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    if setter.areas.is_empty() {
        return None;
    }
    let floats =
        products(setter).any(|p| p.base.as_ref().and_then(|base| base.floats).unwrap_or(p.interlock));
    let set = products(setter).any(|p| !p.interlock);
    let mut blocks = vec![Block::Heading(say("paper.over.what", &[])), what(setter)];
    blocks.push(Block::Small(say("paper.over.lot", &[])));
    blocks.push(Block::Heading(say("paper.over.wait", &[])));
    blocks.push(Block::Text(say("paper.over.wait_words", &[])));
    blocks.push(waiting(setter, floats, set));
    blocks.push(Block::Heading(say("paper.over.care", &[])));
    let mut care = vec!["dust", "wipe", "water", "feet"];
    if floats {
        care.extend(["heavy", "gap"]);
    }
    if set {
        care.push("seal");
    }
    care.extend(["joints", "air"]);
    let line = |code: &&str| Row::of(vec![say(&format!("paper.care.{code}"), &[])]);
    blocks.push(Block::Table(Table {
        columns: vec![Column::words(say("paper.over.care_source", &[]), 1.0)],
        rows: care.iter().map(line).collect(),
    }));
    blocks.push(Block::Heading(say("paper.over.replace", &[])));
    blocks.push(Block::Text(say("paper.over.replace_words", &[])));
    blocks.push(caution("papers.silica"));
    if setter.basis.sheet.job.built.is_none_or(|year| year <= 1980) {
        blocks.push(caution("papers.old_floor"));
    }
    blocks.push(Block::Heading(say("paper.over.given", &[])));
    blocks.push(Block::Checks(
        ["spare", "leaflet", "swept", "shown"]
            .iter()
            .map(|code| say(&format!("paper.over.{code}"), &[]))
            .collect(),
    ));
    let place = |code: &str| Sign { words: say(code, &[]), ..Sign::default() };
    blocks.push(Block::Sign(vec![place("paper.sign.received"), place("paper.sign.handed_over")]));
    for (_, _, drawn) in &setter.areas {
        blocks.push(plan_page(say("paper.over.plan", &[("rooms", &drawn.title)]), drawn));
    }
    Some(setter.paper("paper.over", Vec::new(), blocks))
}

fn products<'a>(setter: &'a Setter<'_>) -> impl Iterator<Item = &'a Product> {
    setter.areas.iter().filter_map(|(area, _, _)| setter.product(&area.id))
}

/// What lies where: product, joint, and the tiles that are left for repairs.
fn what(setter: &Setter<'_>) -> Block {
    let mut rows = Vec::new();
    for (area, wire, drawn) in &setter.areas {
        let Some(product) = setter.product(&area.id) else { continue };
        let joint = product.joint.as_ref().map_or_else(|| "–".to_owned(), |joint| setter.planned(joint.mm()));
        let gap = product.edge_gap.as_ref().map_or_else(|| "–".to_owned(), |gap| setter.planned(gap.mm()));
        let rows_of = format!("{}\n{}", drawn.title, setter.units.whole_area(wire.field_m2));
        let grout = goes_with(setter, product, SupplyUse::Grout);
        rows.push(Row::of(vec![
            rows_of,
            format!("{}\n{grout}", product.name),
            joint,
            gap,
            spare(setter, product),
            BLANK.to_owned(),
        ]));
    }
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.rooms", &[]), 1.2),
            Column::words(say("paper.column.floor", &[]), 2.0),
            Column::figures(say("paper.column.joint", &[])),
            Column::figures(say("paper.column.gap", &[])),
            Column::figures(say("paper.column.spare", &[])),
            Column::figures(say("paper.column.lot", &[])),
        ],
        rows,
    })
}

/// The supplies of a use that go with a product, by name.
fn goes_with(setter: &Setter<'_>, product: &Product, used: SupplyUse) -> String {
    let all = setter.basis.sheet.supplies.iter().filter(|s| s.used_as == used && s.goes_with(&product.id));
    all.map(|s| s.name.clone()).collect::<Vec<_>>().join(", ")
}

/// The tiles that the order adds for repairs.
fn spare(setter: &Setter<'_>, product: &Product) -> String {
    let line = setter
        .basis
        .takeoff
        .lines
        .iter()
        .find(|line| line.item == "tile" && line.product == product.id.as_str());
    let attic = line.and_then(|line| line.from.iter().find(|figure| figure.what == "attic"));
    attic.map_or_else(|| "–".to_owned(), |figure| format!("{:.0}", figure.value.number()))
}

/// When what may be done, by the data that are known; what is not known is to be filled in from the maker's data.
fn waiting(setter: &Setter<'_>, floats: bool, set: bool) -> Block {
    let mut rows = Vec::new();
    let hours = |h: Option<f64>| {
        h.map_or_else(|| BLANK.to_owned(), |h| say("paper.over.hours", &[("n", &format!("{h:.0}"))]))
    };
    let used: Vec<&str> = setter.basis.takeoff.lines.iter().map(|line| line.product.as_str()).collect();
    for compound in setter.basis.sheet.compounds.iter().filter(|c| used.contains(&c.id.as_str())) {
        let way = if compound.way == FillWay::Pour { "paper.over.poured" } else { "paper.over.trowelled" };
        let name = format!("{}\n{}", compound.name, say(way, &[]));
        rows.push(Row::of(vec![
            name,
            hours(compound.walk_hours),
            hours(compound.cover_hours),
            compound.source.clone(),
        ]));
    }
    let mut blank = |code: &str, uses: SupplyUse| {
        let names: Vec<String> =
            products(setter).map(|p| goes_with(setter, p, uses)).filter(|n| !n.is_empty()).collect();
        let mut names: Vec<&str> = names.iter().map(String::as_str).collect();
        names.dedup();
        let name = format!("{}\n{}", say(code, &[]), names.join(", "));
        rows.push(Row::of(vec![
            name.trim_end().to_owned(),
            BLANK.to_owned(),
            BLANK.to_owned(),
            say("paper.over.data_sheet", &[]),
        ]));
    };
    if set {
        blank("paper.over.after_setting", SupplyUse::Adhesive);
    }
    blank("paper.over.after_grouting", SupplyUse::Grout);
    if set {
        blank("paper.over.after_sealing", SupplyUse::Sealant);
    }
    if floats {
        let at_once = say("paper.over.at_once", &[]);
        rows.push(Row::of(vec![
            say("paper.over.floating", &[]),
            at_once,
            BLANK.to_owned(),
            say("paper.over.data_sheet", &[]),
        ]));
    }
    Block::Table(Table {
        columns: vec![
            Column::words(say("paper.column.after", &[]), 1.4),
            Column::figures(say("paper.column.walk", &[])),
            Column::figures(say("paper.column.load", &[])),
            Column::words(say("paper.column.source", &[]), 1.0),
        ],
        rows,
    })
}
