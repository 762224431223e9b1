//! The first call: what is asked before anybody drives there.

use super::Extra;
use super::fields::{Item, kind};
use schemars::JsonSchema;
use serde::Serialize;

/// What was said on the first call. Codes of doors and lock boxes have no field here: they are never exported.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(extend("additionalProperties" = false))]
pub struct Call {
    /// How to get in: stairs, which door, how wide.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub access: Option<String>,
    /// Where to park and unload.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub parking: Option<String>,
    /// Whether there is a lift.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<bool>,
    /// Animals in the house.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pets: Option<String>,
    /// When work may be done.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hours: Option<String>,
    /// Rules of the house.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub house_rules: Option<String>,
    /// Sound rating that the house asks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sound_rating: Option<String>,
    /// Permits needed or given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub permits: Option<String>,
    /// Damage there before work began.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub existing_damage: Option<String>,
    /// How a delivery comes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delivery: Option<String>,
    /// Where it is stored.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub storage: Option<String>,
    /// Who moves furniture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moving: Option<String>,
    /// Which appliances stand there, and who takes them off gas and water: licensed people.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub appliances: Option<String>,
    /// Fields of a newer minor version.
    #[serde(flatten)]
    #[schemars(skip)]
    pub extra: Extra,
}

pub(super) fn call(item: Item<'_>) -> Option<Call> {
    let mut f = item.object()?;
    Some(Call {
        access: f.optional("access", kind::text),
        parking: f.optional("parking", kind::text),
        lift: f.optional("lift", kind::yes_no),
        pets: f.optional("pets", kind::text),
        hours: f.optional("hours", kind::text),
        house_rules: f.optional("house_rules", kind::text),
        sound_rating: f.optional("sound_rating", kind::text),
        permits: f.optional("permits", kind::text),
        existing_damage: f.optional("existing_damage", kind::text),
        delivery: f.optional("delivery", kind::text),
        storage: f.optional("storage", kind::text),
        moving: f.optional("moving", kind::text),
        appliances: f.optional("appliances", kind::text),
        extra: f.rest(),
    })
}
