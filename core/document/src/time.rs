//! Time spent, from clocks that people started and stopped apart and hours that they typed.
//!
//! A clock that runs is a record without minutes; stopping it writes a correction with them. Two who stop one clock
//! apart both write: it is one stretch of time, counted once, and what they said differently is told.

use crate::schema::TimeSpent;
use crate::stamp::Stamp;
use crate::view::{Held, Records};
use drylay_geometry::ItemId;
use std::collections::BTreeSet;

/// One stretch of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Spent {
    /// The record that counts; of several that say different things the one with the fewest minutes.
    pub held: Held<TimeSpent>,
    /// All records that stand for it: whoever corrects it corrects these.
    pub ids: Vec<ItemId>,
    /// What people said apart, in minutes; empty where they agree.
    pub differ: Vec<i64>,
}

impl Spent {
    /// Whose time it is.
    pub fn who(&self) -> &str {
        self.held.value.who.as_deref().unwrap_or(&self.held.added.by.name)
    }

    /// Minutes of all people together.
    pub fn minutes(&self) -> i64 {
        self.held.value.minutes.max(0).saturating_mul(self.held.value.people.max(1))
    }

    /// Whether its clock runs.
    pub fn runs(&self) -> bool {
        self.held.value.minutes == 0 && self.held.value.began_ms.is_some()
    }

    /// Who wrote it down, and when.
    pub fn stamp(&self) -> &Stamp {
        &self.held.added
    }

    /// From when to when its clock ran, in ms since 1970; nothing for typed hours.
    pub fn ran(&self) -> Option<(i64, i64)> {
        let began = self.held.value.began_ms.filter(|_| !self.runs())?;
        Some((began, began.saturating_add(self.held.value.minutes.saturating_mul(60_000))))
    }
}

/// Every stretch of time once, by the id of the record that counts.
pub fn spent(records: &Records<TimeSpent>) -> Vec<Spent> {
    let mut told: BTreeSet<&ItemId> = BTreeSet::new();
    let mut found = Vec::new();
    for held in &records.live {
        if told.contains(&held.id) {
            continue;
        }
        let apart = records.disagreements.iter().find(|one| one.between.contains(&held.id));
        let ids = apart.map_or_else(|| vec![held.id.clone()], |one| one.between.clone());
        let all: Vec<&Held<TimeSpent>> = records.live.iter().filter(|one| ids.contains(&one.id)).collect();
        told.extend(all.iter().map(|one| &one.id));
        let least = all.iter().copied().min_by_key(|one| (one.value.minutes, one.id.clone()));
        let said: BTreeSet<i64> = all.iter().map(|one| one.value.minutes).collect();
        let differ = if said.len() > 1 { said.into_iter().collect() } else { Vec::new() };
        found.extend(least.map(|held| Spent { held: held.clone(), ids: ids.clone(), differ }));
    }
    found
}

/// Whose clocks ran twice at once, so that the same hour counts twice.
pub fn doubled(all: &[Spent]) -> Vec<String> {
    let mut names = BTreeSet::new();
    for (k, one) in all.iter().enumerate() {
        let Some((began, ended)) = one.ran() else { continue };
        let others = all[k + 1..].iter().filter(|other| other.who() == one.who());
        if others.filter_map(Spent::ran).any(|(from, to)| from < ended && began < to) {
            names.insert(one.who().to_owned());
        }
    }
    names.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Document;
    use crate::edit::Edit;
    use crate::entry::Kind;
    use crate::ids::{Actor, DocumentId};
    use crate::schema::{JobEntry, JobView};
    use crate::stamp::{Author, DeviceId, Timestamp};
    use crate::sync::bring_level;

    const HOUR: i64 = 3_600_000;

    fn time(minutes: i64, began_ms: Option<i64>) -> TimeSpent {
        TimeSpent { task: "lay".into(), minutes, people: 1, day: None, done: None, who: None, began_ms }
    }
    fn fresh(actor: u8) -> Document {
        Document::create(Kind::Job, DocumentId([7; 16]), Actor([actor; 16]))
    }
    fn apply(document: &mut Document, name: &str, edit: &Edit<JobEntry>) {
        let by = Author { device: DeviceId([1; 16]), name: name.to_owned() };
        document.apply(edit, &by, Timestamp { utc_ms: 0, zone_minutes: 0 }).expect("applied");
    }
    fn of(document: &Document) -> Vec<Spent> {
        spent(&JobView::read(document).expect("a job").time)
    }

    #[test]
    fn a_clock_that_runs_counts_nothing_and_one_that_was_stopped_counts_once() {
        let mut job = fresh(1);
        apply(&mut job, "Ana", &Edit::add("start", time(0, Some(HOUR))));
        let running = of(&job);
        assert!(running.len() == 1 && running[0].runs() && running[0].minutes() == 0);
        apply(&mut job, "Ana", &Edit::correct("stop", time(90, Some(HOUR)), "start"));
        let stopped = of(&job);
        assert_eq!((stopped.len(), stopped[0].minutes(), stopped[0].who()), (1, 90, "Ana"));
        assert_eq!(stopped[0].ran(), Some((HOUR, HOUR + 90 * 60_000)));
    }

    #[test]
    fn one_clock_stopped_by_two_apart_is_one_stretch_and_they_are_told() {
        let mut ana = fresh(1);
        apply(&mut ana, "Ana", &Edit::add("start", time(0, Some(HOUR))));
        let mut ben = fresh(2);
        bring_level(&mut ana, &mut ben).expect("level");
        apply(&mut ana, "Ana", &Edit::correct("a", time(90, Some(HOUR)), "start"));
        apply(&mut ben, "Ben", &Edit::correct("b", time(75, Some(HOUR)), "start"));
        bring_level(&mut ben, &mut ana).expect("level");
        let other = ben;
        let told = of(&ana);
        assert_eq!(told, of(&other), "in whatever order they meet");
        assert_eq!((told.len(), told[0].minutes(), told[0].differ.clone()), (1, 75, vec![75, 90]));
        let settled = Edit::Correct {
            id: ItemId::new("c"),
            entry: time(90, Some(HOUR)).into(),
            supersedes: told[0].ids.clone(),
        };
        apply(&mut ana, "Ana", &settled);
        assert_eq!(
            of(&ana).iter().map(|one| (one.minutes(), one.differ.len())).collect::<Vec<_>>(),
            [(90, 0)]
        );
    }

    #[test]
    fn typed_hours_of_several_people_are_multiplied_and_clocks_at_once_are_named() {
        let mut job = fresh(1);
        apply(&mut job, "Ana", &Edit::add("1", TimeSpent { people: 3, ..time(60, None) }));
        assert_eq!(of(&job)[0].minutes(), 180);
        apply(&mut job, "Ana", &Edit::add("2", time(60, Some(0))));
        apply(&mut job, "Ben", &Edit::add("3", time(60, Some(0))));
        assert_eq!(doubled(&of(&job)), Vec::<String>::new(), "two people at once are two people");
        apply(&mut job, "Ana", &Edit::add("4", time(30, Some(HOUR))));
        assert_eq!(doubled(&of(&job)), Vec::<String>::new(), "one after the other");
        apply(&mut job, "Ana", &Edit::add("5", time(30, Some(HOUR - 60_000))));
        assert_eq!(doubled(&of(&job)), ["Ana"]);
    }
}
