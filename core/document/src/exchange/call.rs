//! The first call, both ways. Codes of doors are in no sheet.

use super::from::some_text;
use crate::schema::JobFacts;
use crate::sheet::{Call, Extra, JobInfo};

/// What a sheet says of the first call, as facts of a job; the name and whom it is for are not looked at.
pub(super) fn stored(info: &JobInfo) -> JobFacts {
    let said = info.call.clone().unwrap_or_default();
    let text = |said: Option<String>| said.as_deref().and_then(some_text);
    JobFacts {
        year_built: info.built.map(i64::from),
        access: text(said.access),
        parking: text(said.parking),
        lift: said.lift,
        pets: text(said.pets),
        hours: text(said.hours),
        house_rules: text(said.house_rules),
        sound_rating: text(said.sound_rating),
        permits: text(said.permits),
        existing_damage: text(said.existing_damage),
        delivery: text(said.delivery),
        storage: text(said.storage),
        moving: text(said.moving),
        appliances: text(said.appliances),
        ..JobFacts::unsaid()
    }
}

/// What was said on the first call, as a sheet writes it; `None` where nothing was.
pub(super) fn written(facts: &JobFacts) -> Option<Call> {
    let JobFacts { access, parking, lift, pets, hours, house_rules, sound_rating, permits, .. } =
        facts.clone();
    let JobFacts { existing_damage, delivery, storage, moving, appliances, .. } = facts.clone();
    let call = Call {
        access,
        parking,
        lift,
        pets,
        hours,
        house_rules,
        sound_rating,
        permits,
        existing_damage,
        delivery,
        storage,
        moving,
        appliances,
        extra: Extra::new(),
    };
    (call != Call::default()).then_some(call)
}
