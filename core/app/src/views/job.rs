//! One job for the screens.

use crate::Problem;
use crate::desk::{Desk, SeenJob};
use crate::settle;
use crate::show::typed;
use crate::wire::{AreaCard, JobView, PassageView, ProductView, RateView, RoomCard, Typed, Units};
use drylay_document::exchange::Layouts;
use drylay_document::{self as document, Decimal, Held, TypedLength};
use drylay_geometry::Length;

/// The job of that id.
pub(crate) fn view(desk: &mut Desk, id: &str) -> Result<JobView, Problem> {
    let job = desk.job(id)?;
    let rooms = job.view.room_list().into_iter().map(|held| room(desk, &job, held)).collect();
    let (undo, redo) = match desk.ways.get(&job.id) {
        Some(ways) => (ways.undo_words(), ways.redo_words()),
        None => (None, None),
    };
    let (breakage, attic) = rates(desk, &job)?;
    Ok(JobView {
        card: desk.card(job.id)?,
        units: job.units,
        rooms,
        passages: job.view.passages.live.iter().map(passage).collect(),
        areas: job.view.areas.live.iter().map(|held| area(desk, &job, held)).collect(),
        products: laid(&job.view.products.live).map(|held| product(job.units, held)).collect(),
        breakage: breakage.view(),
        attic: attic.view(),
        undo,
        redo,
        disagreements: settle::views(desk, &job)?,
        problems: job.damage.into_iter().collect(),
    })
}

/// A rate in per cent of the plan's tiles, and who gave it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Rate {
    Job(Decimal),
    Shop(Decimal),
    None,
}

impl Rate {
    fn of(job: Option<Decimal>, shop: Option<Decimal>) -> Self {
        job.map(Self::Job).or_else(|| shop.map(Self::Shop)).unwrap_or(Self::None)
    }

    pub(crate) fn percent(&self) -> Option<&Decimal> {
        match self {
            Self::Job(percent) | Self::Shop(percent) => Some(percent),
            Self::None => None,
        }
    }

    /// The share of the plan's tiles.
    pub(crate) fn share(&self) -> f64 {
        self.percent().map_or(0.0, |percent| percent.shifted(-2).to_f64())
    }

    /// `job`, `shop` or `none`.
    pub(crate) fn from(&self) -> &'static str {
        match self {
            Self::Job(_) => "job",
            Self::Shop(_) => "shop",
            Self::None => "none",
        }
    }

    fn view(&self) -> RateView {
        let percent = self.percent().map(|percent| percent.as_str().to_owned());
        RateView { percent, from: self.from().to_owned() }
    }
}

/// What is added for breakage and for later repairs: the job's own rates, else the shop's.
pub(crate) fn rates(desk: &mut Desk, job: &SeenJob) -> Result<(Rate, Rate), Problem> {
    let (breakage, attic) = desk.shop_rates()?;
    let facts = job.view.facts.value.as_ref();
    let own =
        |field: fn(&document::JobFacts) -> &Option<Decimal>| facts.and_then(|facts| field(facts).clone());
    let breakage = Rate::of(own(|facts| &facts.breakage_percent), breakage);
    Ok((breakage, Rate::of(own(|facts| &facts.attic_percent), attic)))
}

/// A room that cannot be read is listed all the same: its readings may still be on another device.
fn room(desk: &mut Desk, job: &SeenJob, held: &Held<document::RoomLink>) -> RoomCard {
    let (id, name) = (held.id.to_string(), held.value.name.clone());
    let Ok(seen) = desk.room(job, held.value.document) else {
        return RoomCard {
            id,
            name,
            verdict: "unsolvable".to_owned(),
            area_m2: None,
            area_text: None,
            outline: None,
            problems: 1,
        };
    };
    let survey = &seen.survey;
    let drawn = if survey.bounds_a_floor() { Some(survey) } else { seen.before.as_ref() };
    RoomCard {
        id,
        name,
        verdict: survey.verdict().to_owned(),
        area_m2: survey.area_m2().map(|(m2, _)| m2),
        area_text: survey.area_m2().map(|(m2, _)| job.units.whole_area(m2)),
        outline: drawn.and_then(|survey| survey.points()),
        problems: u32::try_from(super::room::problems(&seen).len()).unwrap_or(u32::MAX),
    }
}

fn passage(held: &Held<document::Passage>) -> PassageView {
    let passage = &held.value;
    PassageView {
        id: held.id.to_string(),
        a: (passage.room_a.to_string(), passage.opening_a.to_string()),
        b: (passage.room_b.to_string(), passage.opening_b.to_string()),
        depth: typed(&passage.depth),
    }
}

fn area(desk: &mut Desk, job: &SeenJob, held: &Held<document::Area>) -> AreaCard {
    let area = &held.value;
    let accepted = !job.view.choices_for(&held.id).is_empty();
    let count = if accepted { desk.count(job.id, &held.id) } else { None };
    let sheet = desk.area_sheet(&job.id.to_string(), held.id.as_str(), Layouts::Wished);
    AreaCard {
        id: held.id.to_string(),
        name: area.name.clone().unwrap_or_default(),
        rooms: area.rooms.iter().map(ToString::to_string).collect(),
        product: area.product.to_string(),
        accepted,
        tiles: count.as_ref().map(|count| count.tiles),
        cartons: count.and_then(|count| count.cartons),
        problem: sheet.err().map(|problem| problem.message),
    }
}

/// The products that floors are laid in; compounds and the like are none of them.
pub(crate) fn laid(all: &[Held<document::Product>]) -> impl Iterator<Item = &Held<document::Product>> {
    all.iter().filter(|held| held.value.used_as == document::Use::Floor)
}

/// A product; what its data sheet leaves out is nothing in these units.
pub(crate) fn product(units: Units, held: &Held<document::Product>) -> ProductView {
    let product = &held.value;
    let nothing = || Typed { text: units.exact(Length::ZERO), mm: 0.0 };
    let or_nothing = |length: &Option<TypedLength>| length.as_ref().map_or_else(nothing, typed);
    ProductView {
        id: held.id.to_string(),
        name: product.name.clone(),
        length: or_nothing(&product.length),
        width: or_nothing(&product.width),
        thickness: product.thickness.as_ref().map(typed),
        joint: or_nothing(&product.joint),
        edge_gap: or_nothing(&product.edge_gap),
        kerf: product.kerf.as_ref().map(typed),
        min_row_width: product.min_row_width.as_ref().map(typed),
        min_end_length: product.min_end_length.as_ref().map(typed),
        clearance: product.clearance.as_ref().map(typed),
        min_neck: product.min_neck.as_ref().map(typed),
        offsets: product.offsets.clone(),
        interlock: product.interlock.unwrap_or(true),
        max_run: product.max_run.as_ref().map(typed),
        demands: super::demands::view(product.demands.as_deref()),
        carton_tiles: product.per_pack.and_then(|n| u32::try_from(n).ok()),
    }
}
