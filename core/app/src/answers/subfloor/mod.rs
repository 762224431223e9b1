//! `drylay subfloor`: what carries each floor, and what must be settled before it is laid.

mod carried;
mod dry;
mod found;
mod risks;

pub use carried::{LimitAnswer, SheathingAnswer, StructureAnswer};
pub use dry::{DifferenceAnswer, FlawAnswer, MoistureAnswer, TestAnswer};
pub use found::{Finding, Standing, Topic};
pub use risks::{HazardAnswer, HeavyAnswer, LayerAnswer, SeamAnswer, UnderlayAnswer};

pub(crate) use found::{Findings, exact, practice};

use super::goes_round::goes_round;
use super::rooms::{ResolvedRoom, resolve};
use super::{Answer, heights};
use drylay_document::sheet::{Area, BaseRules, Product, Room, RoomBase, Sheet, Underlay};
use serde::Serialize;
use std::sync::LazyLock;

/// The answer: one entry for each room of which anything is said or asked.
#[derive(Debug, Serialize)]
pub struct SubfloorAnswer {
    /// The rooms.
    pub rooms: Vec<RoomSubfloor>,
}

/// What carries a room's floor.
#[derive(Debug, Serialize)]
pub struct RoomSubfloor {
    /// The room.
    pub id: String,
    /// `stop`: work would wake a hazard that is not settled; `fail`; `unsure`; `pass`.
    pub verdict: Standing,
    /// Moisture, by method.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub moisture: Vec<MoistureAnswer>,
    /// How much wood and flooring differ in moisture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wood_difference: Option<DifferenceAnswer>,
    /// What lies there, from the top.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub layers: Vec<LayerAnswer>,
    /// The sheathing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheathing: Option<SheathingAnswer>,
    /// The joists.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub structure: Option<StructureAnswer>,
    /// Joints and cracks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub seams: Vec<SeamAnswer>,
    /// Heavy things.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub heavy: Vec<HeavyAnswer>,
    /// Hazards that the planned work asks for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<HazardAnswer>,
    /// The underlayment.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub underlay: Option<UnderlayAnswer>,
    /// What the product asks of what carries it, with its source.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub asked: Vec<Finding>,
    /// What was found, most pressing first.
    pub findings: Vec<Finding>,
}

/// What stands for the base of a room of which nothing is said.
static NO_BASE: LazyLock<RoomBase> = LazyLock::new(RoomBase::default);

/// A room with what is laid in it.
pub(crate) struct Site<'a> {
    pub(crate) sheet: &'a Sheet,
    pub(crate) room: &'a Room,
    /// Its shape; `None` where it is looked at from next door only.
    pub(crate) resolved: Option<&'a ResolvedRoom>,
    pub(crate) base: &'a RoomBase,
    pub(crate) area: Option<&'a Area>,
    pub(crate) product: Option<&'a Product>,
    pub(crate) underlay: Option<&'a Underlay>,
    /// Where the room stands in the sheet.
    pub(crate) place: String,
}

impl<'a> Site<'a> {
    pub(crate) fn of(sheet: &'a Sheet, at: usize, resolved: Option<&'a ResolvedRoom>) -> Self {
        let room = &sheet.rooms[at];
        let area = sheet.areas.iter().find(|area| area.rooms.contains(&room.id));
        let underlay = area.and_then(|area| area.underlay.as_ref());
        Self {
            sheet,
            room,
            resolved,
            base: room.base.as_ref().unwrap_or(&NO_BASE),
            area,
            product: area.and_then(|area| sheet.product(&area.product)),
            underlay: underlay.and_then(|id| sheet.underlays.iter().find(|u| u.id == *id)),
            place: format!("rooms[{at}]"),
        }
    }

    pub(crate) fn rules(&self) -> Option<&'a BaseRules> {
        self.product.and_then(|product| product.base.as_ref())
    }

    /// Whether the floor lies loose over its base.
    pub(crate) fn floats(&self) -> bool {
        let said = self.rules().and_then(|rules| rules.floats);
        self.product.is_some_and(|product| said.unwrap_or(product.interlock))
    }

    /// The room's floor area, m².
    pub(crate) fn area_m2(&self) -> Option<f64> {
        self.resolved?.outline.as_ref().map(|outline| outline.ring().area_mm2() / 1e6)
    }

    /// Whether the floor goes round a place.
    pub(crate) fn is_kept_off(&self, at: drylay_geometry::Point) -> bool {
        self.resolved
            .is_some_and(|shape| goes_round(self.room, shape).iter().any(|thing| thing.ring.contains(at)))
    }

    fn is_said(&self) -> bool {
        let asks = self.rules().is_some_and(|rules| *rules != BaseRules::default());
        self.room.base.is_some() || asks || self.underlay.is_some() || !self.room.fixtures.is_empty()
    }
}

/// Answers `drylay subfloor`.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn subfloor(sheet: &Sheet) -> Answer<SubfloorAnswer> {
    let resolved = resolve(sheet)?;
    let sites = (0..sheet.rooms.len()).map(|at| Site::of(sheet, at, resolved.get(at)));
    Ok(SubfloorAnswer { rooms: sites.filter(Site::is_said).map(|site| of_site(&site)).collect() })
}

/// What carries one room's floor.
pub(crate) fn of_site(site: &Site<'_>) -> RoomSubfloor {
    let mut findings = Findings::new(site.sheet.units);
    let layers = risks::layers(site, &mut findings);
    let (moisture, wood_difference) = dry::moisture(site, &mut findings);
    let work = risks::work(site, &layers, heights::undercuts(site));
    let answer = RoomSubfloor {
        id: site.room.id.to_string(),
        verdict: Standing::Pass,
        moisture,
        wood_difference,
        sheathing: carried::sheathing(site, &mut findings),
        structure: carried::structure(site, &mut findings),
        seams: risks::seams(site, &mut findings),
        heavy: risks::heavy(site, &mut findings),
        hazards: risks::hazards(site, work, &mut findings),
        underlay: risks::underlay(site, &layers, &mut findings),
        layers,
        asked: dry::asked(site),
        findings: Vec::new(),
    };
    let (verdict, findings) = findings.sorted();
    RoomSubfloor { verdict, findings, ..answer }
}
