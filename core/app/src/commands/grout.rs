//! Grouting: sections that can be washed in time, marked when they are done, and what the grout says of its times.

use super::jobs::said;
use super::work::laying;
use crate::Problem;
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::grout as views;
use crate::wire::{GroutAsk, GroutDone, GroutSays, GroutUndone, GroutView, Units};
use crate::words::say;
use drylay_document::{At, Decimal, Edit, Entry, JobEntry, Product, Section, Use, WaitKind};
use drylay_geometry::{ItemId, Length};

/// The most minutes that a section may lie back when it is marked: three days.
const MOST_MINUTES: i64 = 3 * 24 * 60;
/// The product of a job whose times its grouting goes by.
pub(crate) const PRODUCT: &str = "grout-as-laid";

pub(crate) fn view(session: &Session, ask: GroutAsk) -> Result<GroutView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    let (now, me) = {
        let desk = session.desk();
        (desk.world.now(), desk.me.device)
    };
    views::view(&job, &laying, ask.way_out.as_deref(), (now, me))
}

pub(crate) fn done(session: &Session, ask: GroutDone) -> Result<GroutView, Problem> {
    let (job, laying) = laying(session, &ask.job, &ask.area)?;
    laying.expect(&ask.plan)?;
    let minutes = match ask.minutes_ago.trim() {
        "" => 0,
        text => text.parse().ok().filter(|n| (0..=MOST_MINUTES).contains(n)).ok_or_else(|| {
            Problem::new("grout.no_minutes", "minutes_ago").with("found", text).with("most", MOST_MINUTES)
        })?,
    };
    let celsius = celsius(&ask.warmth, job.units)?;
    let divided = views::divided(&laying, ask.way_out.as_deref())?;
    let desk = session.desk();
    let done_ms = Some(desk.world.now().utc_ms - minutes * 60_000);
    let product = job.view.products.get(&ItemId::new(PRODUCT)).map(|held| held.id.clone());
    let mut edits: Vec<Edit<JobEntry>> = Vec::new();
    for name in &ask.sections {
        let section = divided.list.iter().find(|one| one.id == *name);
        let section = section.ok_or_else(|| unknown("grout.unknown_section", "sections", name))?;
        let at = |x: Length, y: Length| At { x: job.units.made(x), y: job.units.made(y) };
        let points = &section.shape.outer.points;
        let outline = points.iter().map(|p| at(Length::from_nanometres(p.x), Length::from_nanometres(p.y)));
        let entry = Section {
            what: WaitKind::Grout,
            area: Some(laying.area.clone()),
            outline: outline.collect(),
            product: product.clone(),
            done_ms,
            celsius: celsius.clone(),
        };
        edits.push(Edit::add(desk.new_id(), entry));
    }
    drop(desk);
    let words = say("what.grouted", &[("count", &edits.len().to_string())]);
    session.change(job.id, words, |change| change.apply(job.id, &edits))?;
    view(session, GroutAsk { job: ask.job, area: ask.area, way_out: ask.way_out })
}

/// A warmth as it is read in the job's units, in °C.
pub(super) fn celsius(text: &str, units: Units) -> Result<Option<Decimal>, Problem> {
    let text = text.trim().replacen(',', ".", 1);
    if text.is_empty() {
        return Ok(None);
    }
    let wrong = || Problem::new("grout.no_warmth", "warmth").with("found", &text);
    let read = Decimal::parse(&text).ok_or_else(wrong)?;
    let celsius = if units == Units::Metric { read.to_f64() } else { (read.to_f64() - 32.0) / 1.8 };
    if !(-40.0..=60.0).contains(&celsius) {
        return Err(wrong());
    }
    match units {
        Units::Metric => Ok(Some(read)),
        // A tenth of a degree is finer than any of these thermometers.
        _ => Decimal::from_f64((celsius * 10.0).round() / 10.0).map(Some).ok_or_else(wrong),
    }
}

pub(crate) fn undone(session: &Session, ask: GroutUndone) -> Result<GroutView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let edits: Vec<Edit<JobEntry>> = ask
        .entries
        .iter()
        .map(|id| {
            let held = job.view.sections.get(&ItemId::new(id));
            let id = held.ok_or_else(|| unknown("entry.unknown", "entries", id))?.id.clone();
            Ok(Edit::Withdraw { table: Section::TABLE, id })
        })
        .collect::<Result<_, Problem>>()?;
    session.change(job.id, say("what.ungrouted", &[]), |change| change.apply(job.id, &edits))?;
    view(session, GroutAsk { job: ask.job, area: ask.area, way_out: ask.way_out })
}

/// Keeps what the grout's data sheet says.
pub(crate) fn says(session: &Session, ask: GroutSays) -> Result<GroutView, Problem> {
    let job = session.desk().job(&ask.job)?;
    let name = said(&ask.product).ok_or_else(|| Problem::new("grout.no_product", "product"))?;
    let hours = |text: &str, place: &str| -> Result<Option<Decimal>, Problem> {
        let text = text.trim().replacen(',', ".", 1);
        if text.is_empty() {
            return Ok(None);
        }
        let read = Decimal::parse(&text).filter(|hours| (0.0..=10_000.0).contains(&hours.to_f64()));
        read.map(Some).ok_or_else(|| Problem::new("grout.no_hours", place).with("found", &text))
    };
    let fresh = Product {
        hours_to_walk: hours(&ask.walk_hours, "walk_hours")?,
        hours_to_cure: hours(&ask.cure_hours, "cure_hours")?,
        ..Product::named(name, Use::Joint)
    };
    let id = ItemId::new(PRODUCT);
    let withdrawn = job.view.products.withdrawn.iter().find(|held| held.id == id);
    let edits: Vec<Edit<JobEntry>> = match (job.view.products.get(&id), withdrawn) {
        (Some(held), _) => vec![Edit::change(&id, held.value.clone(), fresh)],
        (None, Some(held)) => vec![
            Edit::Restore { table: Product::TABLE, id: id.clone() },
            Edit::change(&id, held.value.clone(), fresh),
        ],
        (None, None) => vec![Edit::add(&id, fresh)],
    };
    session.change(job.id, say("what.grout_says", &[]), |change| change.apply(job.id, &edits))?;
    view(session, GroutAsk { job: ask.job, area: ask.area, way_out: None })
}
