//! Edits of what a quote and an order have beside the plan, from the fields of their forms.

use super::buy::view as buy_view;
use super::plan::measure;
use super::quote::{change, view};
use crate::Problem;
use crate::desk::SeenJob;
use crate::forms::{BOUGHT, Filled, INSTEAD, QUOTED};
use crate::laying::area_name;
use crate::refusal::unknown;
use crate::session::Session;
use crate::wire::{BuyView, GroundEdit, MoneyEditAsk, OfJob, QuoteView};
use crate::words::say;
use drylay_document::exchange::{Layouts, supply, supply_entry};
use drylay_document::sheet::{
    Extra, Hidden, Measure, Pack, Per, Quote, QuoteLine, Sheet, Supply, SupplyUse, Task,
};
use drylay_document::{Decimal, Edit, Entry as _, Held, JobEntry, Product, Variant as Kept};
use drylay_geometry::{ItemId, ProductId};

/// The form of a variant.
const VARIANT: &str = "variant";

/// Says, changes or takes out something of a quote.
pub(crate) fn quote_entry(session: &Session, ask: MoneyEditAsk) -> Result<QuoteView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let sheet = desk.sheet(&job, Layouts::Accepted).sheet;
    let new = desk.new_id();
    drop(desk);
    match &ask.edit {
        GroundEdit::Put { of, id, fields } => {
            let f = Filled::of(job.units, QUOTED, of, fields)?;
            let put = Putter { f, job: &job, sheet: &sheet, at: id.as_deref(), new: &new };
            if of == VARIANT {
                let (edits, name) = put.variant()?;
                session.change(job.id, say("what.variant", &[("name", &name)]), |change| {
                    change.apply(job.id, &edits)
                })?;
            } else {
                change(session, &ask.job, |quote| put.put(quote))?;
            }
        }
        GroundEdit::TakeOut { of, id } if of == VARIANT => {
            let held = job.view.variants.get(&ItemId::new(id));
            let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
            let edit: Edit<JobEntry> = Edit::Withdraw { table: Kept::TABLE, id: held.id.clone() };
            let words = say("what.variant_gone", &[("name", &held.value.name)]);
            session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
        }
        GroundEdit::TakeOut { of, id } => change(session, &ask.job, |quote| take_out(quote, of, id))?,
    }
    view(session, OfJob { job: ask.job })
}

fn take_out(quote: &mut Quote, of: &str, id: &str) -> Result<(), Problem> {
    let gone = match of {
        "task" => remove(&mut quote.work, id),
        "hidden" => remove(&mut quote.hidden, id),
        "priced" => remove(&mut quote.lines, id),
        _ => return Err(unknown("form.unknown", "edit.of", of)),
    };
    gone.ok_or_else(|| unknown("entry.unknown", "edit.id", id))
}

fn place_in(id: &str, len: usize) -> Option<usize> {
    id.parse().ok().filter(|n| *n < len)
}

fn remove<T>(all: &mut Vec<T>, id: &str) -> Option<()> {
    place_in(id, all.len()).map(|n| drop(all.remove(n)))
}

/// Puts what `new` makes of what stood there into a list.
fn list<T>(all: &mut Vec<T>, at: Option<&str>, new: impl FnOnce(Option<&T>) -> T) -> Result<(), Problem> {
    let Some(id) = at else {
        all.push(new(None));
        return Ok(());
    };
    let n = place_in(id, all.len()).ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
    all[n] = new(Some(&all[n]));
    Ok(())
}

/// The fields of a newer program that stand already.
fn kept<T>(old: Option<&T>, extra: impl Fn(&T) -> &Extra) -> Extra {
    old.map(|old| extra(old).clone()).unwrap_or_default()
}

struct Putter<'a> {
    f: Filled<'a>,
    job: &'a SeenJob,
    sheet: &'a Sheet,
    at: Option<&'a str>,
    new: &'a ItemId,
}

impl Putter<'_> {
    fn name(&self) -> Result<String, Problem> {
        self.f.text("name").ok_or_else(|| Problem::new("form.name", "edit.fields.name"))
    }

    fn put(&self, quote: &mut Quote) -> Result<(), Problem> {
        let (f, name) = (&self.f, self.name()?);
        match f.form() {
            "task" => {
                let (quantity, unit) = (self.quantity()?, self.unit()?);
                let kg_each = number(f, "kg_each")?;
                // Without a rate of its own it goes by its name.
                let task = f.text("rate_name").unwrap_or_else(|| name.clone());
                let new = |old: Option<&Task>| {
                    let extra = kept(old, |o| &o.extra);
                    Task { task, name, quantity, unit, kg_each, extra }
                };
                list(&mut quote.work, self.at, new)
            }
            "hidden" => {
                let (unit, price) = (self.unit()?, self.price()?);
                let likely = number(f, "likely")?.unwrap_or(0.0);
                let bad = number(f, "bad")?.unwrap_or(likely);
                if bad < likely {
                    return Err(Problem::new("quote.bad_below_likely", "edit.fields.bad")
                        .with("name", &name)
                        .with("bad", bad)
                        .with("likely", likely));
                }
                let reading_settles = f.yes("reading_settles").unwrap_or(false);
                let new = |old: Option<&Hidden>| {
                    let extra = kept(old, |o| &o.extra);
                    Hidden { name, unit, price, likely, bad, reading_settles, extra }
                };
                list(&mut quote.hidden, self.at, new)
            }
            _ => {
                let (quantity, unit, price) = (self.quantity()?, self.unit()?, self.price()?);
                let new = |old: Option<&QuoteLine>| {
                    let extra = kept(old, |o| &o.extra);
                    QuoteLine { name, quantity, unit, price, extra }
                };
                list(&mut quote.lines, self.at, new)
            }
        }
    }

    /// The edits of a variant, and its name. Each is a thing of its own, so that two people may make one apart.
    fn variant(&self) -> Result<(Vec<Edit<JobEntry>>, String), Problem> {
        let (f, name) = (&self.f, self.name()?);
        let product = match f.text(INSTEAD) {
            None => None,
            Some(id) => {
                let known = self.sheet.products.iter().any(|product| product.id.as_str() == id);
                let place = format!("edit.fields.{INSTEAD}");
                let id = known
                    .then_some(id.as_str())
                    .ok_or_else(|| unknown("form.unknown_choice", &place, &id))?;
                Some(ItemId::new(id))
            }
        };
        let areas = self.job.view.areas.live.iter();
        let known: Vec<(&str, String)> =
            areas.map(|area| (area.id.as_str(), area_name(self.job, area))).collect();
        let areas = named(f.text("only_areas"), &known, "edit.fields.only_areas")?;
        let discount_percent = decimal(f, "discount_percent")?;
        if let Some(rate) = discount_percent.as_ref().filter(|rate| rate.to_f64() > 100.0) {
            return Err(
                Problem::new("shop.percent", "edit.fields.discount_percent").with("found", rate.as_str())
            );
        }
        let said = |old: Option<&Kept>| Kept {
            name: name.clone(),
            areas: areas.iter().map(ItemId::new).collect(),
            product,
            lines: old.map(|old| old.lines.clone()).unwrap_or_default(),
            discount_percent,
            chosen: old.and_then(|old| old.chosen),
        };
        let edits = match self.at {
            None => vec![Edit::add(self.new, said(None))],
            Some(id) => {
                let held = self.job.view.variants.get(&ItemId::new(id));
                let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
                let after = said(Some(&held.value));
                if after == held.value {
                    Vec::new()
                } else {
                    vec![Edit::change(&held.id, held.value.clone(), after)]
                }
            }
        };
        Ok((edits, name))
    }

    fn quantity(&self) -> Result<f64, Problem> {
        let found = number(&self.f, "quantity")?;
        found.ok_or_else(|| Problem::new("quote.no_amount", "edit.fields.quantity").with("found", ""))
    }

    fn unit(&self) -> Result<String, Problem> {
        self.f.text("unit").ok_or_else(|| Problem::new("quote.no_words", "edit.fields.unit"))
    }

    fn price(&self) -> Result<String, Problem> {
        let found = money(&self.f, "price")?;
        found.ok_or_else(|| Problem::new("quote.no_amount", "edit.fields.price").with("found", ""))
    }
}

/// A number with a comma or a point.
fn decimal(f: &Filled<'_>, name: &str) -> Result<Option<Decimal>, Problem> {
    let Some(text) = f.text(name) else { return Ok(None) };
    let found = Decimal::parse(&text.replacen(',', ".", 1));
    let found = found.filter(|d| d.to_f64() >= 0.0 && d.as_str().len() <= 20);
    let place = format!("edit.fields.{name}");
    found.map(Some).ok_or_else(|| Problem::new("quote.no_amount", &place).with("found", &text))
}

fn number(f: &Filled<'_>, name: &str) -> Result<Option<f64>, Problem> {
    Ok(decimal(f, name)?.map(|found| found.to_f64()))
}

/// A number that is more than nothing.
fn positive(f: &Filled<'_>, name: &str) -> Result<Option<f64>, Problem> {
    match number(f, name)? {
        Some(x) if x <= 0.0 => {
            Err(Problem::new("quote.no_amount", format!("edit.fields.{name}")).with("found", x))
        }
        found => Ok(found),
    }
}

/// An amount of money, digit by digit as it was typed.
fn money(f: &Filled<'_>, name: &str) -> Result<Option<String>, Problem> {
    Ok(decimal(f, name)?.map(|found| found.as_str().to_owned()))
}

/// Things by their names or ids, with commas between them; names may have commas themselves.
fn named(text: Option<String>, known: &[(&str, String)], place: &str) -> Result<Vec<String>, Problem> {
    let text = text.unwrap_or_default();
    let mut rest = text.trim();
    let mut all = Vec::new();
    while !rest.is_empty() {
        // The longest name that ends where the text does, or at a comma.
        let ends = |name: &str| {
            let after = rest.strip_prefix(name).filter(|_| !name.is_empty())?.trim_start();
            let after = if after.is_empty() { after } else { after.strip_prefix(',')?.trim_start() };
            Some((name.len(), after))
        };
        let fits = known.iter().filter_map(|(id, name)| {
            let (long, after) = ends(name).max(ends(id))?;
            Some((long, *id, after))
        });
        let Some((_, id, after)) = fits.max_by_key(|(long, ..)| *long) else {
            let name = rest.split(',').next().unwrap_or(rest).trim();
            let names: Vec<&str> = known.iter().map(|(_, name)| name.as_str()).collect();
            return Err(Problem::new("form.unknown_name", place)
                .with("name", name)
                .with("known", names.join(", ")));
        };
        if !all.iter().any(|known| known == id) {
            all.push(id.to_owned());
        }
        rest = after;
    }
    Ok(all)
}

/// Says, changes or takes out something that is bought beside tiles and compounds.
pub(crate) fn buy_entry(session: &Session, ask: MoneyEditAsk) -> Result<BuyView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let sheet = desk.sheet(&job, Layouts::Accepted).sheet;
    let new = desk.new_id();
    drop(desk);
    let standing = |id: &str| {
        let held = job.view.products.get(&ItemId::new(id)).filter(|held| supply(held).is_some());
        held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))
    };
    let (edits, words) = match &ask.edit {
        GroundEdit::Put { of, id, fields } => {
            let f = Filled::of(job.units, BOUGHT, of, fields)?;
            let held = id.as_deref().map(standing).transpose()?;
            let said = a_supply(&f, &sheet, held, &new)?;
            (put_supply(&said, held), say("what.supply", &[("name", &said.name)]))
        }
        GroundEdit::TakeOut { of, id } => {
            if of != BOUGHT[0].of {
                return Err(unknown("form.unknown", "edit.of", of));
            }
            let held = standing(id)?;
            let words = say("what.supply_gone", &[("name", &held.value.name)]);
            (vec![Edit::Withdraw { table: Product::TABLE, id: held.id.clone() }], words)
        }
    };
    session.change(job.id, words, |change| change.apply(job.id, &edits))?;
    buy_view(session, OfJob { job: ask.job })
}

/// The edit that puts a supply in its place, if anything changes.
fn put_supply(said: &Supply, held: Option<&Held<Product>>) -> Vec<Edit<JobEntry>> {
    let after = supply_entry(said);
    match held {
        None => vec![Edit::add(said.id.as_str(), after)],
        Some(held) => {
            let after = Product {
                used_as: after.used_as,
                demands: after.demands,
                pack_kg: after.pack_kg,
                pack_yield: after.pack_yield,
                name: after.name,
                ..held.value.clone()
            };
            if after == held.value {
                Vec::new()
            } else {
                vec![Edit::change(&held.id, held.value.clone(), after)]
            }
        }
    }
}

fn a_supply(
    f: &Filled<'_>,
    sheet: &Sheet,
    held: Option<&Held<Product>>,
    new: &ItemId,
) -> Result<Supply, Problem> {
    let old = held.and_then(supply);
    let used_as = f.must("use", SupplyUse::from_word)?;
    let name = f.text("name").ok_or_else(|| Problem::new("form.name", "edit.fields.name"))?;
    let products = sheet.products.iter().map(|product| product.id.as_str());
    let known: Vec<(&str, String)> = products.map(|id| (id, sheet.bought_name(id).to_owned())).collect();
    let with = named(f.text("only_with"), &known, "edit.fields.only_with")?;
    let long =
        |name: &str| -> Result<Option<Measure>, Problem> { Ok(f.positive(name)?.as_ref().map(measure)) };
    let some = |name: &str| -> Result<Option<Measure>, Problem> { Ok(f.length(name)?.as_ref().map(measure)) };
    let waste = number(f, "waste_percent")?;
    if let Some(rate) = waste.filter(|rate| *rate > 100.0) {
        return Err(Problem::new("shop.percent", "edit.fields.waste_percent").with("found", rate));
    }
    let (rate, per) = (number(f, "rate")?, f.choice("per", Per::from_word));
    if rate.is_some() && per.is_none() {
        return Err(Problem::new("form.choose", "edit.fields.per"));
    }
    let old_pack = old.as_ref().and_then(|old| old.pack.as_ref());
    let pack = Pack {
        holds: positive(f, "pack_holds")?,
        name: f.text("pack_name").unwrap_or_default(),
        kg: number(f, "pack_kg")?,
        price: money(f, "pack_price")?,
        extra: kept(old_pack, |pack| &pack.extra),
    };
    let packed = pack.holds.is_some()
        || !pack.name.is_empty()
        || pack.kg.is_some()
        || pack.price.is_some()
        || pack.extra != Extra::new();
    Ok(Supply {
        id: held.map_or_else(|| ProductId::new(new.as_str()), |held| ProductId::new(held.id.as_str())),
        name,
        used_as,
        with: with.into_iter().map(ProductId::new).collect(),
        width: long("strip_width")?,
        length: long("roll_length")?,
        lap: some("lap")?,
        kerf: some("kerf")?,
        extra_length: some("extra_length")?,
        depth: long("joint_depth")?,
        rate,
        per: rate.and(per),
        density: positive(f, "density")?,
        waste: waste.map(|rate| rate / 100.0),
        pack: packed.then_some(pack),
        source: f.text("source").unwrap_or_default(),
        extra: kept(old.as_ref(), |old| &old.extra),
    })
}
