//! The shop: its name and rates, and the tiles it keeps for other jobs.
//!
//! The shop's document is made when something is first said of the shop. A job takes the shop's rates and tiles
//! along when it is made or when they are chosen, so that what was agreed does not move when the shop changes.

use super::jobs::said;
use crate::Problem;
use crate::desk::Desk;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views;
use crate::wire::{JobView, Nothing, OfJobItem, ShopEdit, ShopView, Units};
use crate::words::say;
use drylay_document::{self as document, Decimal, DocumentId, Edit, JobEntry, Kind, ShopEntry, ShopFacts};
use drylay_geometry::ItemId;

impl Desk {
    /// The shop's document: the crew's; without one the first by id should there ever be two.
    pub(crate) fn shop_id(&self) -> Result<Option<DocumentId>, Problem> {
        if self.crew_shop.is_some() {
            return Ok(self.crew_shop);
        }
        let first = self.store.labelled(Kind::Shop.word())?.into_iter().next();
        Ok(first.map(|document| DocumentId(document.0)))
    }

    /// The shop as it stands; `None` where nothing was ever said of it.
    pub(crate) fn shop(&mut self) -> Result<Option<document::ShopView>, Problem> {
        let Some(id) = self.shop_id()? else { return Ok(None) };
        let Some(document) = self.document(id, Kind::Shop)? else { return Ok(None) };
        document::ShopView::read(document).map(Some).map_err(|_| Problem::new("document.unreadable", ""))
    }

    /// The shop's rates in per cent: breakage and spare tiles.
    pub(crate) fn shop_rates(&mut self) -> Result<(Option<Decimal>, Option<Decimal>), Problem> {
        let facts = self.shop()?.and_then(|shop| shop.facts.value);
        Ok(facts.map_or((None, None), |facts| (facts.breakage_percent, facts.attic_percent)))
    }
}

/// Changes the shop's document, which is made if need be.
pub(super) fn change(session: &Session, edits: &[Edit<ShopEntry>]) -> Result<(), Problem> {
    let known = session.desk().shop_id()?;
    let id = known.unwrap_or_else(|| DocumentId(session.desk().world.random_id()));
    session.change(id, String::new(), |change| {
        // The crew's may not have come yet: made apart it is the same document.
        if change.desk.document(id, Kind::Shop)?.is_none() {
            change.make(Kind::Shop, id);
        }
        change.apply(id, edits)
    })?;
    session.with_crew(|state, _| {
        state.crew.set_shop(id);
        Ok(())
    })
}

pub(crate) fn view(session: &Session, _ask: Nothing) -> Result<ShopView, Problem> {
    let shop = session.desk().shop()?;
    let facts = shop.as_ref().and_then(|shop| shop.facts.value.as_ref());
    let percent = |rate: Option<&Decimal>| rate.map_or_else(String::new, |rate| rate.as_str().to_owned());
    Ok(ShopView {
        name: facts.and_then(|facts| facts.name.clone()).unwrap_or_default(),
        breakage: percent(facts.and_then(|facts| facts.breakage_percent.as_ref())),
        attic: percent(facts.and_then(|facts| facts.attic_percent.as_ref())),
        products: shop.as_ref().map_or_else(Vec::new, |shop| {
            shop.products.live.iter().map(|held| views::product(Units::Metric, held)).collect()
        }),
    })
}

pub(crate) fn edit(session: &Session, ask: ShopEdit) -> Result<ShopView, Problem> {
    let before = session.desk().shop()?.and_then(|shop| shop.facts.value).unwrap_or_else(nothing_said);
    let rate = |typed: &Option<String>, old: &Option<Decimal>, place: &str| match typed {
        Some(text) => percent(text, place),
        None => Ok(old.clone()),
    };
    let after = ShopFacts {
        name: ask.name.as_deref().map_or_else(|| before.name.clone(), said),
        breakage_percent: rate(&ask.breakage, &before.breakage_percent, "breakage")?,
        attic_percent: rate(&ask.attic, &before.attic_percent, "attic")?,
        ..before.clone()
    };
    change(session, &[Edit::change_single(before, after)])?;
    view(session, Nothing {})
}

fn nothing_said() -> ShopFacts {
    ShopFacts {
        name: None,
        contact: None,
        currency: None,
        tax_percent: None,
        deposit_percent: None,
        breakage_percent: None,
        attic_percent: None,
        handover_words: None,
    }
}

/// A rate as typed, in per cent: from 0 to 100, with a point or a comma, with or without its sign. An empty text
/// is no rate.
pub(crate) fn percent(text: &str, place: &str) -> Result<Option<Decimal>, Problem> {
    let text = text.trim();
    let figure = text.strip_suffix('%').unwrap_or(text).trim_end().replacen(',', ".", 1);
    if figure.is_empty() && text.is_empty() {
        return Ok(None);
    }
    let rate = Decimal::parse(&figure).map(|rate| rate.shifted(0));
    let rate = rate.filter(|rate| (0.0..=100.0).contains(&rate.to_f64()));
    rate.map(Some).ok_or_else(|| Problem::new("shop.percent", place).with("found", text))
}

/// Keeps a job's tile for other jobs. Kept again, it replaces what was kept of it.
pub(crate) fn keep(session: &Session, ask: OfJobItem) -> Result<ShopView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let held = job.view.products.get(&id).ok_or_else(|| unknown("job.unknown_product", "id", &ask.id))?;
    let known = desk.shop()?.and_then(|shop| shop.products.get(&id).map(|held| held.value.clone()));
    drop(desk);
    let edit = match known {
        Some(old) => Edit::change(&id, old, held.value.clone()),
        None => Edit::add(&id, held.value.clone()),
    };
    change(session, &[edit])?;
    view(session, Nothing {})
}

/// Takes a tile that the shop keeps into a job, as it is now.
pub(crate) fn take(session: &Session, ask: OfJobItem) -> Result<JobView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    let kept = desk.shop()?.and_then(|shop| shop.products.get(&id).map(|held| held.value.clone()));
    drop(desk);
    let kept = kept.ok_or_else(|| unknown("shop.unknown_product", "id", &ask.id))?;
    let words = say("what.product", &[("name", &kept.name)]);
    let edit: Edit<JobEntry> = match job.view.products.get(&id) {
        Some(held) => Edit::change(&id, held.value.clone(), kept),
        None => Edit::add(&id, kept),
    };
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
    views::job(&mut session.desk(), &ask.job)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_are_read_as_people_write_them() {
        let read = |text| percent(text, "breakage").map(|rate| rate.map(|rate| rate.as_str().to_owned()));
        for (text, rate) in [("3", "3"), ("3 %", "3"), ("7,5", "7.5"), ("7.50%", "7.5"), ("0", "0")] {
            assert_eq!(read(text), Ok(Some(rate.to_owned())), "{text}");
        }
        assert_eq!(read("  "), Ok(None));
        for wrong in ["%", "three", "-1", "101", "1.2.3", "1,000,0"] {
            let problem = read(wrong).expect_err(wrong);
            assert_eq!((problem.code.as_str(), problem.place.as_str()), ("shop.percent", "breakage"));
        }
    }
}
