//! When each device of the crew was level with this one last, kept from one run of the program to the next.

use crate::Problem;
use crate::desk::Desk;
use drylay_store::Op;
use drylay_sync::{Crew, PublicKey};
use std::collections::BTreeMap;

/// The setting: keys, and times in ms since 1970 UTC by this device's clock.
const LEVEL: &str = "crew.level";
/// How far a kept time may lag behind while two devices are level, in ms; it is shown in minutes.
const LAG_MS: i64 = 60_000;
/// By how much times differ at least that are not the same, in ms: the two clocks they come from are read in turn.
const APART_MS: i64 = 1_000;

/// The times as they are kept.
#[derive(Debug, Default)]
pub(super) struct Times(BTreeMap<String, i64>);

impl Times {
    /// Those that were kept, told to the crew. A clock that was put back since then makes them just now.
    pub(super) fn of(crew: &mut Crew, desk: &Desk) -> Result<Self, Problem> {
        let text = desk.store.setting(LEVEL)?;
        let kept: BTreeMap<String, i64> =
            text.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default();
        let now = desk.world.now().utc_ms;
        for (key, at) in &kept {
            if let Some(key) = PublicKey::parse(key) {
                crew.was_level(key, u64::try_from(now.saturating_sub(*at)).unwrap_or_default());
            }
        }
        Ok(Self(kept))
    }

    /// Keeps what has changed. If that cannot be stored nothing is lost but a time.
    pub(super) fn keep(&mut self, crew: &Crew, desk: &mut Desk) {
        if !desk.is_writable() {
            return;
        }
        let now = desk.world.now().utc_ms;
        let mut changed = false;
        let mut times = BTreeMap::new();
        for peer in crew.peers() {
            let key = peer.key.to_string();
            let kept = self.0.get(&key).copied();
            let at = peer.level_ago_ms.map(|ago| now.saturating_sub_unsigned(ago));
            let lag = if peer.level { LAG_MS } else { APART_MS };
            let new = at.filter(|at| kept.is_none_or(|kept| at.saturating_sub(kept) >= lag));
            changed |= new.is_some();
            times.extend(new.or(kept).map(|at| (key, at)));
        }
        if changed && let Ok(text) = serde_json::to_string(&times) {
            let _ = desk.store.write(&[Op::Set { key: LEVEL, value: Some(&text) }]);
            self.0 = times;
        }
    }
}
