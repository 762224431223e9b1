//! Lists: pieces, what to buy, and the lines of the quotes. Figures are those of the answers.

use crate::answers::{Amount, PlanArea, PlannedArea, QuoteAnswer, QuotedLine, TakeoffAnswer};
use drylay_document::sheet::Sheet;
use drylay_papers::List;
use rust_decimal::Decimal;

/// A measure in mm to a hundredth, or another figure to as much.
fn figure(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Every piece of every area.
pub(super) fn pieces<'a>(areas: impl Iterator<Item = (&'a PlannedArea, &'a PlanArea)>) -> List {
    let columns = [
        "area",
        "piece",
        "row",
        "place",
        "cut",
        "tile",
        "from",
        "length_mm",
        "width_mm",
        "tool",
        "when",
        "marks",
    ];
    let mut list = List::new(&columns);
    for (area, wire) in areas {
        let whole = [area.product.length.mm(), area.product.width.mm()];
        for piece in &wire.pieces {
            let cutting = piece.cutting.as_ref();
            let [length, width] = cutting.map_or(whole, |cutting| cutting.size);
            let marks = cutting.iter().flat_map(|cutting| &cutting.marks);
            let marks: Vec<String> =
                marks.map(|m| format!("{} {} {}", m.on, m.from, figure(m.figure))).collect();
            list.rows.push(vec![
                area.id.clone(),
                piece.id.clone(),
                piece.row.to_string(),
                piece.place.to_string(),
                piece.cut.to_owned(),
                piece.tile.to_string(),
                piece.from.clone(),
                figure(length),
                figure(width),
                cutting.and_then(|cutting| cutting.tool).unwrap_or_default().to_owned(),
                cutting.map_or("", |cutting| cutting.when).to_owned(),
                marks.join("; "),
            ]);
        }
    }
    list
}

/// What to buy.
pub(super) fn order(sheet: &Sheet, takeoff: &TakeoffAnswer) -> List {
    let mut list = List::new(&["item", "product", "name", "quantity", "unit", "packs", "pack", "kg"]);
    for line in &takeoff.lines {
        let quantity = match line.quantity {
            Amount::Count(n) => n.to_string(),
            Amount::Measure(x) => x.to_string(),
        };
        list.rows.push(vec![
            line.item.to_owned(),
            line.product.clone(),
            sheet.bought_name(&line.product).to_owned(),
            quantity,
            line.unit.to_owned(),
            line.packs.map_or_else(String::new, |n| n.to_string()),
            line.pack.clone().unwrap_or_default(),
            line.kg.map_or_else(String::new, figure),
        ]);
    }
    list
}

/// The lines of all quotes as the client may see them. How fast the crew works and what an hour of it brings stays with the
/// shop.
pub(super) fn quotes(quotes: &[QuoteAnswer]) -> List {
    let mut list = List::new(&["quote", "kind", "item", "name", "quantity", "unit", "amount"]);
    for quote in quotes {
        let line = |line: &QuotedLine| {
            let amount = line.amount.map_or_else(String::new, |amount: Decimal| format!("{amount:.2}"));
            let id = quote.id.clone().unwrap_or_default();
            let (item, name, unit) = (line.item.clone(), line.name.clone(), line.unit.clone());
            vec![id, line.kind.to_owned(), item, name, line.quantity.to_string(), unit, amount]
        };
        list.rows.extend(quote.lines.iter().map(line));
    }
    list
}
