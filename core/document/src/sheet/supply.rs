//! Supplies: what goes under, between and round the tiles, as their data sheets and price lists have them.

use super::fields::{Item, kind};
use super::{Extra, Measure};
use drylay_geometry::ProductId;
use schemars::JsonSchema;
use serde::Serialize;

/// Something that is bought beside tiles and compounds: every figure is its data sheet's, or the crew's own rule.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Supply {
    /// Its name within the sheet.
    #[schemars(with = "String")]
    #[serde(serialize_with = "super::measure::as_text")]
    pub id: ProductId,
    /// What people call it.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub name: String,
    /// What it is for.
    #[serde(rename = "use")]
    pub used_as: SupplyUse,
    /// The products it goes with; all of them if left out.
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "super::measure::as_texts")]
    #[schemars(default, with = "Vec<String>")]
    pub with: Vec<ProductId>,
    /// Width of a strip of underlayment or film.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<Measure>,
    /// Length of a roll or a bar.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length: Option<Measure>,
    /// By how much strips of film lap.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lap: Option<Measure>,
    /// Width that a cut of a bar turns to dust.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kerf: Option<Measure>,
    /// What each piece of a bar takes more than it is long, for mitres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extra_length: Option<Measure>,
    /// Depth of a joint of sealant, or of grout where it is not the tile's thickness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<Measure>,
    /// For what is counted by a rule: so much of it for each `per`, in the unit of the pack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rate: Option<f64>,
    /// What the rule counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per: Option<Per>,
    /// Kilogrammes of a litre: for what is reckoned by volume and sold by weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub density: Option<f64>,
    /// Share of it that stays in the bucket or is cut off, on top.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waste: Option<f64>,
    /// How it is packed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pack: Option<Pack>,
    /// Where the figures stand.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub source: String,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// What a supply is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SupplyUse {
    /// Strips of underlayment, edge to edge.
    Underlay,
    /// Film with laps.
    Film,
    /// Tape over the seams of underlayment and film.
    Tape,
    /// Grout between tiles.
    Grout,
    /// Sealant in the gap along walls of wet rooms, and in movement joints of tiles that are set.
    Sealant,
    /// Strips where the floor ends in an opening, and over movement joints of floating floors.
    Transition,
    /// Trim along the walls.
    Trim,
    /// Adhesive under tiles that are set.
    Adhesive,
    /// Spacers and wedges.
    Spacers,
    /// Blades and discs.
    Blade,
    /// Anything else that is used up.
    Consumable,
}

/// What a rule counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// Tiles of the plan.
    Tile,
    /// Square metres of floor that is covered.
    SquareMetre,
    /// Metres of wall, openings left out.
    WallMetre,
    /// Pieces that are cut.
    Cut,
    /// Metres that are cut.
    CutMetre,
    /// Jobs: so much whatever the size.
    Job,
}

/// How a supply is packed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Pack {
    /// How much is in a pack, in the unit of its use: kg of what has a density, litres, pieces, bars, rolls. One if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub holds: Option<f64>,
    /// What a pack is called: bag, roll, box.
    #[serde(skip_serializing_if = "String::is_empty")]
    #[schemars(default)]
    pub name: String,
    /// What a pack weighs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kg: Option<f64>,
    /// What a pack costs: a decimal in a text, so that no digit is lost.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

/// The uses as a sheet writes them.
const USES: [(&str, SupplyUse); 11] = [
    ("underlay", SupplyUse::Underlay),
    ("film", SupplyUse::Film),
    ("tape", SupplyUse::Tape),
    ("grout", SupplyUse::Grout),
    ("sealant", SupplyUse::Sealant),
    ("transition", SupplyUse::Transition),
    ("trim", SupplyUse::Trim),
    ("adhesive", SupplyUse::Adhesive),
    ("spacers", SupplyUse::Spacers),
    ("blade", SupplyUse::Blade),
    ("consumable", SupplyUse::Consumable),
];

/// What rules count, as a sheet writes it.
const COUNTED: [(&str, Per); 6] = [
    ("tile", Per::Tile),
    ("square_metre", Per::SquareMetre),
    ("wall_metre", Per::WallMetre),
    ("cut", Per::Cut),
    ("cut_metre", Per::CutMetre),
    ("job", Per::Job),
];

impl Per {
    /// All of them, as one chooses.
    pub const ALL: &'static [Self] =
        &[Self::Tile, Self::SquareMetre, Self::WallMetre, Self::Cut, Self::CutMetre, Self::Job];

    /// What is counted, as a sheet writes it.
    pub fn word(self) -> &'static str {
        COUNTED.iter().find(|(_, known)| *known == self).map_or("", |(word, _)| word)
    }

    /// The other way; `None` for any other word.
    pub fn from_word(word: &str) -> Option<Self> {
        COUNTED.iter().find(|(known, _)| *known == word).map(|(_, per)| *per)
    }
}

impl SupplyUse {
    /// All of them, as one chooses.
    pub const ALL: &'static [Self] = &[
        Self::Underlay,
        Self::Film,
        Self::Tape,
        Self::Grout,
        Self::Sealant,
        Self::Transition,
        Self::Trim,
        Self::Adhesive,
        Self::Spacers,
        Self::Blade,
        Self::Consumable,
    ];

    /// The use that a sheet writes so; `None` for any other word.
    pub fn from_word(word: &str) -> Option<Self> {
        USES.iter().find(|(known, _)| *known == word).map(|(_, used_as)| *used_as)
    }

    /// The use as a sheet writes it.
    pub fn word(self) -> &'static str {
        USES.iter().find(|(_, known)| *known == self).map_or("", |(word, _)| word)
    }
}

pub(super) fn supply(item: Item<'_>) -> Option<Supply> {
    let mut f = item.object()?;
    let (id, used_as) = (f.required("id", kind::name), f.required("use", |i| i.choice(&USES)));
    let found = Supply {
        id: ProductId::new(id.clone().unwrap_or_default()),
        name: f.optional("name", kind::text).unwrap_or_default(),
        used_as: used_as.unwrap_or(SupplyUse::Consumable),
        with: f.optional("with", |i| i.list(|i| i.name().map(ProductId::new))).unwrap_or_default(),
        width: f.optional("width", kind::positive),
        length: f.optional("length", kind::positive),
        lap: f.optional("lap", kind::not_negative),
        kerf: f.optional("kerf", kind::not_negative),
        extra_length: f.optional("extra_length", kind::not_negative),
        depth: f.optional("depth", kind::positive),
        rate: f.optional("rate", kind::amount),
        per: f.optional("per", per),
        density: f.optional("density", super::compound::above_nought),
        waste: f.optional("waste", super::read::share),
        pack: f.optional("pack", pack),
        source: f.optional("source", kind::text).unwrap_or_default(),
        extra: f.rest(),
    };
    (id.is_some() && used_as.is_some()).then_some(found)
}

fn per(item: Item<'_>) -> Option<Per> {
    item.choice(&COUNTED)
}

fn pack(item: Item<'_>) -> Option<Pack> {
    let mut f = item.object()?;
    Some(Pack {
        holds: f.optional("holds", super::compound::above_nought),
        name: f.optional("name", kind::text).unwrap_or_default(),
        kg: f.optional("kg", kind::amount),
        price: f.optional("price", super::read::money),
        extra: f.rest(),
    })
}

impl Supply {
    /// Reads one from its own text, as a document keeps it; `None` if it is none. What a newer program wrote is kept.
    pub fn read(text: &str) -> Option<Self> {
        super::fields::alone(text, supply)
    }

    /// Writes it as a document keeps it.
    pub fn write(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }

    /// Whether it goes with a product.
    pub fn goes_with(&self, product: &ProductId) -> bool {
        self.with.is_empty() || self.with.contains(product)
    }
}
