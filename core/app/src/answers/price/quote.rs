//! One quote: a site's lines, what they come to, and what may come to light.

use super::lines::{QuotedLine, money, money_if, plain, too_large};
use super::work::{Todo, in_unit, tasks};
use crate::Problem;
use crate::answers::PlannedArea;
use crate::answers::takeoff::{Line, Site, TakeoffAnswer};
use crate::books::{Books, RateRow};
use drylay_document::sheet::{Quote, QuoteLine, Sheet, Task, Variant};
use drylay_plan::doubt::What;
use drylay_plan::price::{self, Cases, Pace, Spread, Terms, TooLarge, Totals, cases, quantity, totals};
use rust_decimal::Decimal;
use serde::Serialize;
use std::borrow::Borrow;

/// A quote.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct QuoteAnswer {
    /// The variant; absent for the job as it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// What the variant is called.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The lines.
    pub lines: Vec<QuotedLine>,
    /// Hours of one person, all together.
    #[serde(serialize_with = "plain")]
    pub hours: Decimal,
    /// What the lines come to.
    pub totals: TotalsAnswer,
    /// What may come to light, a line for each at its likely quantity.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hidden: Vec<QuotedLine>,
    /// The likely and the bad case.
    pub cases: CasesAnswer,
    /// What keeps it from being whole: things without a price, tasks without a rate.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Problem>,
}

/// What lines come to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TotalsAnswer {
    /// All lines.
    #[serde(serialize_with = "money")]
    pub lines: Decimal,
    /// Taken off.
    #[serde(serialize_with = "money")]
    pub discount: Decimal,
    /// What the tax is of.
    #[serde(serialize_with = "money")]
    pub net: Decimal,
    /// The tax.
    #[serde(serialize_with = "money")]
    pub tax: Decimal,
    /// What is paid.
    #[serde(serialize_with = "money")]
    pub total: Decimal,
    /// With the order.
    #[serde(serialize_with = "money")]
    pub deposit: Decimal,
    /// At the end.
    #[serde(serialize_with = "money")]
    pub rest: Decimal,
}

/// The likely and the bad case.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CasesAnswer {
    /// With what likely comes to light.
    pub likely: TotalsAnswer,
    /// With what comes to light if it is bad.
    pub bad: TotalsAnswer,
    /// What reading more would settle.
    pub reading: ReadingAnswer,
}

/// What another half hour of reading would settle of the difference between the bad and the likely case.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ReadingAnswer {
    /// The difference between the two cases.
    #[serde(serialize_with = "money")]
    pub spread: Decimal,
    /// What of it reading would settle.
    #[serde(serialize_with = "money")]
    pub settles: Decimal,
    /// What half an hour of reading costs, where the rates have a task "read".
    #[serde(skip_serializing_if = "Option::is_none", serialize_with = "money_if")]
    pub costs: Option<Decimal>,
}

impl From<Totals> for TotalsAnswer {
    fn from(t: Totals) -> Self {
        let Totals { lines, discount, net, tax, total, deposit, rest } = t;
        Self { lines, discount, net, tax, total, deposit, rest }
    }
}

/// Quotes a site, as a variant if one is given.
pub(crate) fn quote<A: Borrow<PlannedArea>>(
    site: &Site<'_, A>,
    takeoff: &TakeoffAnswer,
    books: &Books,
    variant: Option<&Variant>,
) -> Result<QuoteAnswer, Vec<Problem>> {
    let nothing = Quote::default();
    let said = site.sheet.quote.as_ref().unwrap_or(&nothing);
    let mut maker = Maker { sheet: site.sheet, books, lines: Vec::new(), notes: Vec::new() };
    let made = maker.make(site, takeoff, said, variant);
    made.map_err(too_large)?;
    let Maker { lines, notes, .. } = maker;
    let summed = sums(site, takeoff, said, variant, &lines, books).map_err(too_large)?;
    let hours = price::sum(lines.iter().filter_map(|line| line.hours)).map_err(too_large)?;
    let (totals, hidden, cases) = summed;
    Ok(QuoteAnswer {
        id: variant.map(|v| v.id.to_string()),
        name: variant.map(|v| v.name.clone()),
        lines,
        hours,
        totals,
        hidden,
        cases,
        notes,
    })
}

/// Totals, lines of what may come to light, and the cases.
type Sums = (TotalsAnswer, Vec<QuotedLine>, CasesAnswer);

fn sums<A: Borrow<PlannedArea>>(
    site: &Site<'_, A>,
    takeoff: &TakeoffAnswer,
    said: &Quote,
    variant: Option<&Variant>,
    lines: &[QuotedLine],
    books: &Books,
) -> Result<Sums, TooLarge> {
    let percent = |p: Option<f64>| p.and_then(quantity).unwrap_or_default();
    let terms = Terms {
        discount: percent(variant.and_then(|v| v.discount_percent).or(said.discount_percent)),
        tax: percent(said.tax_percent),
        deposit: percent(said.deposit_percent),
    };
    let amounts: Vec<Decimal> = lines.iter().filter_map(|line| line.amount).collect();
    let mut hidden = Vec::new();
    let mut spreads = Vec::new();
    for h in &said.hidden {
        let (Some(likely), Some(bad), Ok(price)) = (quantity(h.likely), quantity(h.bad), h.price.parse())
        else {
            return Err(TooLarge);
        };
        hidden.push(QuotedLine::priced("hidden", (&h.name, &h.name), (likely, &h.unit), Some(price))?);
        spreads.push(Spread { price, likely, bad, reading_settles: h.reading_settles });
    }
    spreads.extend(more_tiles(site, takeoff, lines));
    let Cases { likely, bad, reading } = cases(&amounts, &spreads, terms)?;
    let half_an_hour = Decimal::new(5, 1);
    let costs = books.rate("read").map(|rate| price::amount(half_an_hour, rate.hourly)).transpose()?;
    let reading = ReadingAnswer { spread: reading.spread, settles: reading.settles, costs };
    let cases = CasesAnswer { likely: likely.into(), bad: bad.into(), reading };
    Ok((totals(amounts, terms)?.into(), hidden, cases))
}

/// Cartons more if the rooms are not quite what their readings say: a tile for each piece that then appears.
fn more_tiles<A: Borrow<PlannedArea>>(
    site: &Site<'_, A>,
    takeoff: &TakeoffAnswer,
    lines: &[QuotedLine],
) -> Vec<Spread> {
    let mut found = Vec::new();
    for line in takeoff.lines.iter().filter(|line| line.item == "tile") {
        let of_product =
            site.areas.iter().map(Borrow::borrow).filter(|a| a.product.id.as_str() == line.product);
        let areas: Vec<&PlannedArea> = of_product.collect();
        let appear = |a: &&PlannedArea| {
            let changes = a.doubt.iter().flat_map(|doubt| &doubt.changes);
            changes.filter(|change| change.what == What::Appears).count()
        };
        let more: usize = areas.iter().map(appear).sum();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of tiles")]
        let tiles = line.quantity.number() as usize + more;
        let packs = areas.first().and_then(|a| a.product.cartons(tiles)).zip(line.packs);
        let priced = lines.iter().find(|l| l.kind == "material" && l.item == line.product);
        let price = priced.and_then(|l| l.price);
        if let (Some((with, without)), Some(price)) = (packs, price)
            && with > without
        {
            let bad = Decimal::from(with - without);
            found.push(Spread { price, likely: Decimal::ZERO, bad, reading_settles: true });
        }
    }
    found
}

/// Makes the lines of a quote.
struct Maker<'a> {
    sheet: &'a Sheet,
    books: &'a Books,
    lines: Vec<QuotedLine>,
    notes: Vec<Problem>,
}

impl Maker<'_> {
    fn make<A: Borrow<PlannedArea>>(
        &mut self,
        site: &Site<'_, A>,
        takeoff: &TakeoffAnswer,
        said: &Quote,
        variant: Option<&Variant>,
    ) -> Result<(), TooLarge> {
        for line in &takeoff.lines {
            self.material(line)?;
        }
        for todo in tasks(site, takeoff) {
            self.labour(&todo)?;
        }
        for (i, task) in said.work.iter().enumerate() {
            self.work(i, task)?;
        }
        self.disposal(&said.work)?;
        let own = variant.map_or(&[][..], |v| &v.lines);
        for line in said.lines.iter().chain(own) {
            self.other(line)?;
        }
        Ok(())
    }

    fn unpriced(&mut self, place: &str, name: &str, unit: &str) {
        let note = Problem::new("quote.no_price", place).with("name", name);
        self.notes.push(note.with("unit", unit));
    }

    /// What is bought: by the pack, or by its unit where it has none.
    fn material(&mut self, line: &Line) -> Result<(), TooLarge> {
        let name = self.sheet.bought_name(&line.product).to_owned();
        let unit = line.pack.as_deref().filter(|_| line.packs.is_some()).unwrap_or(line.unit);
        let many = line.packs.map_or_else(|| quantity(line.quantity.number()), |n| quantity(n as f64));
        let many = many.ok_or(TooLarge)?;
        let price = self.books.price(&line.product, unit).or_else(|| own_price(self.sheet, line));
        if price.is_none() {
            self.unpriced("", &name, unit);
        }
        let quoted = QuotedLine::priced("material", (&line.product, &name), (many, unit), price)?;
        self.lines.push(quoted);
        Ok(())
    }

    /// Work that the plan yields. What the crew has no rate for is part of laying, which must have one.
    fn labour(&mut self, todo: &Todo) -> Result<(), TooLarge> {
        let Some(rate) = self.books.rate(todo.task) else {
            if todo.task == "lay" {
                self.notes.push(Problem::new("quote.no_rate", "").with("task", todo.task));
            }
            return Ok(());
        };
        let Some(many) = in_unit(todo.quantity, todo.unit, &rate.unit) else {
            let note = Problem::new("quote.other_unit", "").with("task", todo.task);
            self.notes.push(note.with("unit", &rate.unit).with("wanted", todo.unit));
            return Ok(());
        };
        let many = quantity(many).ok_or(TooLarge)?;
        self.lines.push(QuotedLine::by_hour(
            "labour",
            (todo.task, todo.task),
            (many, &rate.unit),
            pace(rate),
        )?);
        Ok(())
    }

    /// Work that the quote names: by a rate, by the hour, or by a price.
    fn work(&mut self, index: usize, task: &Task) -> Result<(), TooLarge> {
        let title = if task.name.is_empty() { &task.task } else { &task.name };
        let names = (task.task.as_str(), title.as_str());
        let many = quantity(task.quantity).ok_or(TooLarge)?;
        let rate = self.books.rate(&task.task);
        let line = match rate.map(|rate| (rate, in_unit(task.quantity, &task.unit, &rate.unit))) {
            Some((rate, Some(in_unit))) => {
                let many = quantity(in_unit).ok_or(TooLarge)?;
                QuotedLine::by_hour("work", names, (many, &rate.unit), pace(rate))?
            }
            Some((rate, None)) if task.unit == "hour" => QuotedLine::by_hour(
                "work",
                names,
                (many, "hour"),
                Pace { per_hour: Decimal::ONE, ..pace(rate) },
            )?,
            _ => {
                let price = self.books.price(&task.task, &task.unit);
                if price.is_none() {
                    self.unpriced(&format!("quote.work[{index}]"), title, &task.unit);
                }
                QuotedLine::priced("work", names, (many, &task.unit), price)?
            }
        };
        self.lines.push(line);
        Ok(())
    }

    /// What is carted away, by weight.
    fn disposal(&mut self, work: &[Task]) -> Result<(), TooLarge> {
        let kg: f64 = work.iter().map(|task| task.quantity * task.kg_each.unwrap_or(0.0)).sum();
        if kg <= 0.0 {
            return Ok(());
        }
        let many = quantity(kg).ok_or(TooLarge)?;
        let price = self.books.price("disposal", "kg");
        if price.is_none() {
            self.unpriced("", "disposal", "kg");
        }
        self.lines.push(QuotedLine::priced("disposal", ("disposal", "disposal"), (many, "kg"), price)?);
        Ok(())
    }

    fn other(&mut self, line: &QuoteLine) -> Result<(), TooLarge> {
        let (many, price) = (quantity(line.quantity).ok_or(TooLarge)?, line.price.parse().ok());
        let names = (line.name.as_str(), line.name.as_str());
        self.lines.push(QuotedLine::priced("other", names, (many, &line.unit), price)?);
        Ok(())
    }
}

fn pace(rate: &RateRow) -> Pace {
    Pace { per_hour: rate.per_hour, hourly: rate.hourly }
}

/// The price that the sheet itself has for a pack.
fn own_price(sheet: &Sheet, line: &Line) -> Option<Decimal> {
    let id = line.product.as_str();
    line.packs?;
    let tile =
        sheet.products.iter().find(|p| p.id.as_str() == id).and_then(|p| p.carton.as_ref()?.price.as_deref());
    let bag = sheet.compounds.iter().find(|c| c.id.as_str() == id).and_then(|c| c.bag_price.as_deref());
    let supply = sheet.supplies.iter().find(|s| s.id.as_str() == id);
    let pack = supply.and_then(|s| s.pack.as_ref()?.price.as_deref());
    tile.or(bag).or(pack)?.parse().ok()
}
