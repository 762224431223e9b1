//! The correction as work: patches, pours, grinding, bags and primer, where the sheet names compounds.

use super::floor_read::FloorRead;
use drylay_document::sheet::{Compound, FillWay, Measure, Sheet};
use drylay_survey::floor::work::{self, Means, Patch, Portions, Way, Work};
use drylay_survey::floor::{Corrected, Job};
use serde::Serialize;

/// What a floor is filled with.
#[derive(Clone, Debug)]
pub(crate) struct Filling {
    pub(crate) pour: Option<Compound>,
    pub(crate) trowel: Option<Compound>,
}

/// The work.
#[derive(Debug, Serialize)]
pub struct WorkAnswer {
    /// What is filled, largest first.
    pub patches: Vec<PatchAnswer>,
    /// What is ground off, largest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grinding: Vec<GrindAnswer>,
    /// What is mixed, by compound.
    pub compounds: Vec<PortionsAnswer>,
    /// Area to prime.
    pub primed_m2: f64,
    /// Primer for it, where the compound's data give a rate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub primer_litres: Option<f64>,
    /// The greatest deviation left once pours lie level.
    pub worst_after: f64,
}

/// A connected part of the floor that is filled. Lengths in mm.
#[derive(Debug, Serialize)]
pub struct PatchAnswer {
    /// `pour` or `trowel`.
    pub way: &'static str,
    /// The readings in it.
    pub points: Vec<String>,
    /// Its area between readings.
    pub area_m2: f64,
    /// Litres, those along walls beyond the outermost readings among them.
    pub litres: f64,
    /// Thinnest and thickest reading.
    pub thickness: [f64; 2],
    /// The height it lies at, where it is poured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<f64>,
    /// Length of dam that keeps it from running on.
    pub dam: f64,
    /// Length of wall along it: perimeter foam.
    pub foam: f64,
    /// Layers, none thicker than the compound allows.
    pub layers: u32,
    /// Some of it is thinner than the compound allows.
    pub too_thin: bool,
}

/// A connected part of the floor that is ground off.
#[derive(Debug, Serialize)]
pub struct GrindAnswer {
    /// The readings in it.
    pub points: Vec<String>,
    /// Its area between readings.
    pub area_m2: f64,
    /// Litres.
    pub litres: f64,
    /// The deepest in mm.
    pub deepest: f64,
}

/// A compound in portions.
#[derive(Debug, Serialize)]
pub struct PortionsAnswer {
    /// Which.
    pub compound: String,
    /// Litres in all.
    pub litres: f64,
    /// Bags, full ones.
    pub bags: u32,
    /// Litres that can be placed before the first of it sets.
    pub at_once: f64,
    /// Portions of that size.
    pub portions: u32,
}

/// What a sheet's floors are filled with: the first compound for each way; `None` where it names none.
pub(crate) fn filling(sheet: &Sheet) -> Option<Filling> {
    let first = |way| sheet.compounds.iter().find(|c| c.way == way).cloned();
    let found = Filling { pour: first(FillWay::Pour), trowel: first(FillWay::Trowel) };
    (found.pour.is_some() || found.trowel.is_some()).then_some(found)
}

impl Filling {
    /// The compound of a way.
    pub(crate) fn of(&self, way: Way) -> Option<&Compound> {
        match way {
            Way::Pour => self.pour.as_ref(),
            Way::Trowel => self.trowel.as_ref().or(self.pour.as_ref()),
        }
    }

    fn means(&self, mixers: u32) -> Means {
        let trowel = self.trowel.as_ref();
        Means {
            pour: self.pour.as_ref().map(compound),
            trowel: trowel.map(compound),
            trowel_area: trowel.and_then(|c| c.up_to_m2).unwrap_or(0.0),
            mixers,
        }
    }
}

fn compound(c: &Compound) -> work::Compound {
    work::Compound {
        bag_litres: c.bag_litres,
        least: c.least.as_ref().map_or(0.0, Measure::mm),
        most: c.most.mm(),
        pot_life: c.pot_life_minutes,
        mix: c.mix_minutes,
        bags_in_mix: c.bags_in_mix,
    }
}

/// Turns a correction into work; `None` without a surface, or where `go_on` ended it.
pub(crate) fn plan(
    read: &FloorRead,
    job: &Job,
    done: &Corrected,
    filling: &Filling,
    go_on: &mut dyn FnMut() -> bool,
) -> Option<Work> {
    let (mesh, ground) = read.surface.as_ref()?;
    let mixers = read.rates.as_ref().and_then(|c| c.mixers).unwrap_or(1);
    let of = work::Found { mesh, ground, z: &read.z, job, done };
    work::plan(of, &filling.means(mixers), go_on)
}

/// Litres of primer, where a rate is known.
pub(crate) fn primer_litres(work: &Work, filling: &Filling) -> Option<f64> {
    let rate = |p: &Patch| Some(p.area_m2 * filling.of(p.way)?.primer.as_ref()?.litres_per_m2);
    let known: Vec<f64> = work.patches.iter().filter_map(rate).collect();
    (!known.is_empty()).then(|| known.iter().sum())
}

pub(super) fn answer(read: &FloorRead, work: &Work, filling: &Filling) -> WorkAnswer {
    let names = |points: &[usize]| points.iter().map(|&i| read.name(i).to_owned()).collect();
    let patch = |p: &Patch| PatchAnswer {
        way: if p.way == Way::Pour { "pour" } else { "trowel" },
        points: names(&p.points),
        area_m2: p.area_m2,
        litres: p.litres + p.rim_litres,
        thickness: p.thickness,
        level: p.level,
        dam: p.dam_length,
        foam: p.foam_length,
        layers: p.layers,
        too_thin: p.too_thin,
    };
    let grind = |g: &work::Grind| GrindAnswer {
        points: names(&g.points),
        area_m2: g.area_m2,
        litres: g.litres,
        deepest: g.deepest,
    };
    let portions = |(way, portions): (Way, Option<Portions>)| {
        let (portions, compound) = portions.zip(filling.of(way))?;
        let Portions { litres, bags, at_once, portions } = portions;
        Some(PortionsAnswer { compound: compound.id.to_string(), litres, bags, at_once, portions })
    };
    WorkAnswer {
        patches: work.patches.iter().map(patch).collect(),
        grinding: work.grinds.iter().map(grind).collect(),
        compounds: [(Way::Pour, work.pour), (Way::Trowel, work.trowel)]
            .into_iter()
            .filter_map(portions)
            .collect(),
        primed_m2: work.primed_m2,
        primer_litres: primer_litres(work, filling),
        worst_after: work.worst_after,
    }
}
