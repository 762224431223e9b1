//! The order list: what to buy, to tick off when it is ordered and when it comes.

use super::setter::{Setter, said_or};
use crate::answers::Line;
use crate::views::buy::{amount_words, kg_words, packs_words};
use crate::words::say;
use drylay_papers::paper::{Block, Column, Fact, Paper, Row, Table};

/// The order's paper; `None` where there is nothing to buy.
pub(super) fn of(setter: &Setter<'_>) -> Option<Paper> {
    let takeoff = &setter.basis.takeoff;
    if takeoff.lines.is_empty() {
        return None;
    }
    let weight = &takeoff.weight;
    let fact = |code: &str, value: String| Fact { label: say(code, &[]), value, note: String::new() };
    let mut blocks = Vec::new();
    if weight.packs > 0 {
        blocks.push(Block::Facts(vec![
            fact("buy.weight.packs", weight.packs.to_string()),
            fact("buy.weight.truck", kg_words(setter.units, weight.kg)),
            fact("buy.weight.heaviest", kg_words(setter.units, weight.heaviest_kg)),
        ]));
    }
    blocks.push(table(setter));
    if !weight.unknown.is_empty() {
        let names: Vec<&str> = weight.unknown.iter().map(|id| setter.basis.sheet.bought_name(id)).collect();
        let words = format!("{}: {}", say("buy.weight.unknown", &[]), names.join(", "));
        blocks.push(Block::Small(words));
    }
    let heavy = takeoff.notes.iter().filter(|note| note.code == "takeoff.heavy_pack");
    blocks.extend(heavy.map(|p| Block::Caution { words: p.message.clone(), hint: p.hint.clone() }));
    blocks.push(Block::Heading(say("paper.order.when_it_comes", &[])));
    let codes = ["count", "lot", "damage", "lie"];
    blocks.push(Block::Checks(codes.iter().map(|code| say(&format!("paper.order.{code}"), &[])).collect()));
    Some(setter.paper("paper.order", Vec::new(), blocks))
}

fn table(setter: &Setter<'_>) -> Block {
    let row = |line: &Line| {
        let name = setter.basis.sheet.bought_name(&line.product);
        let name = if name == "primer" { say("buy.primer", &[]) } else { name.to_owned() };
        let what = said_or("paper.use", line.item);
        let amount = amount_words(setter.units, line.quantity, line.unit);
        let packs = line.packs.map(|n| packs_words(n, line.pack.as_deref().unwrap_or_default()));
        let kg = line.kg.map_or_else(String::new, |kg| kg_words(setter.units, kg));
        let packs = packs.unwrap_or_else(|| amount.clone());
        Row::of(vec!["☐".to_owned(), format!("{name}\n{what}"), amount, packs, kg])
    };
    Block::Table(Table {
        columns: vec![
            Column::words(String::new(), 0.0),
            Column::words(say("paper.column.what", &[]), 1.0),
            Column::figures(say("paper.column.needed", &[])),
            Column::figures(say("paper.column.buy", &[])),
            Column::figures(say("paper.column.weight", &[])),
        ],
        rows: setter.basis.takeoff.lines.iter().map(row).collect(),
    })
}
