//! People at several copies who meet again.

use super::*;
use crate::frozen::frozen_id;
use drylay_geometry::ItemId;
use proptest::prelude::*;

#[test]
fn two_devices_that_make_the_same_document_make_the_same_bits() {
    let (mut one, mut other) = (room(1), room(2));
    assert_eq!(one.heads(), other.heads());
    edit(&mut one, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    edit(&mut other, 2, 0, Edit::add("r2", tape("B", "C", "4 m")));
    level(&mut one, &mut other);
    assert_eq!(view(&one).tape.live.len(), 2);
    assert_eq!(view(&one), view(&other));
}

#[test]
fn corrections_made_apart_both_stand_until_a_person_settles_them() {
    let (mut one, mut other) = (room(1), room(2));
    edit(&mut one, 1, 0, Edit::add("r1", tape("A", "B", "12' 3 1/2\"")));
    level(&mut one, &mut other);
    edit(&mut one, 1, 5, Edit::correct("r2", tape("A", "B", "12' 2 1/2\""), "r1"));
    edit(&mut other, 2, 6, Edit::correct("r3", tape("A", "B", "12' 2 3/4\""), "r1"));
    level(&mut one, &mut other);
    assert_eq!(
        view(&one).tape.disagreements,
        [Disagreement { of: "r1".into(), between: vec!["r2".into(), "r3".into()] }]
    );
    let conflict = one.conflicts().remove(0);
    let read = |claim: &Claim| claim.value.field("read").unwrap().plain();
    assert_eq!(conflict.claims.iter().map(read).collect::<Vec<_>>(), ["12' 2 1/2\"", "12' 2 3/4\""]);
    assert_eq!(conflict.claims[1].stamp, Stamp { at: minute(6), by: person(2) });
    let settled = Edit::Correct {
        id: "r4".into(),
        entry: tape("A", "B", "12' 2 1/2\"").into(),
        supersedes: vec!["r2".into(), "r3".into()],
    };
    edit(&mut other, 2, 7, settled);
    level(&mut one, &mut other);
    assert_eq!(one.conflicts(), []);
    assert_eq!(view(&one).tape.live.len(), 1);
}

#[test]
fn one_field_changed_apart_shows_both_values_and_is_settled_by_an_edit() {
    let (mut one, mut other) = (room(1), room(2));
    let door = |width: &str| opening("door", width);
    edit(&mut one, 1, 0, Edit::add("door", door("32\"")));
    level(&mut one, &mut other);
    edit(&mut one, 1, 1, Edit::change("door", door("32\""), door("34\"")));
    edit(&mut other, 2, 2, Edit::change("door", door("32\""), door("36\"")));
    level(&mut one, &mut other);
    let conflicts = one.conflicts();
    assert_eq!(conflicts, other.conflicts());
    let conflict = &conflicts[0];
    assert_eq!((conflict.id.as_str(), conflict.field.as_deref()), ("door", Some("width")));
    let said = |who: Author| conflict.claims.iter().find(|c| c.stamp.by == who).map(|c| c.value.plain());
    assert_eq!((said(person(1)), said(person(2))), (Some("34\"".into()), Some("36\"".into())));
    let value = conflict.claims[0].value.clone();
    let settle = Edit::Settle { table: Opening::TABLE, id: "door".into(), field: "width".into(), value };
    edit(&mut one, 1, 3, settle);
    level(&mut one, &mut other);
    assert_eq!((one.conflicts(), other.conflicts()), (vec![], vec![]));
}

#[test]
fn a_door_taken_out_here_and_changed_there_is_shown_until_somebody_settles_it() {
    for stays in [true, false] {
        let (mut one, mut other) = (room(1), room(2));
        let door = |width: &str| opening("door", width);
        edit(&mut one, 1, 0, Edit::add("door", door("32\"")));
        level(&mut one, &mut other);
        edit(&mut one, 1, 1, Edit::Withdraw { table: Opening::TABLE, id: "door".into() });
        edit(&mut other, 2, 2, Edit::change("door", door("32\""), door("36\"")));
        level(&mut one, &mut other);
        let conflicts = one.conflicts();
        assert_eq!(conflicts, other.conflicts());
        let [conflict] = conflicts.as_slice() else { panic!("{conflicts:?}") };
        assert_eq!((conflict.id.as_str(), &conflict.field), ("door", &None));
        let said: Vec<_> = conflict.claims.iter().map(|c| (&c.value, &c.stamp.by)).collect();
        assert_eq!(said, [(&Value::Flag(true), &person(2)), (&Value::Flag(false), &person(1))]);
        let (table, id) = (Opening::TABLE, ItemId::new("door"));
        edit(
            &mut other,
            2,
            3,
            if stays { Edit::Restore { table, id } } else { Edit::Withdraw { table, id } },
        );
        level(&mut one, &mut other);
        assert_eq!((one.conflicts(), other.conflicts()), (vec![], vec![]));
        let widths: Vec<_> =
            view(&one).openings.live.iter().map(|held| held.value.width.text().to_owned()).collect();
        assert_eq!(widths, if stays { vec!["36\""] } else { vec![] });
    }
}

#[test]
fn a_door_taken_out_by_somebody_who_saw_its_change_is_gone_without_a_question() {
    let (mut one, mut other) = (room(1), room(2));
    let door = |width: &str| opening("door", width);
    edit(&mut one, 1, 0, Edit::add("door", door("32\"")));
    edit(&mut one, 1, 1, Edit::change("door", door("32\""), door("36\"")));
    level(&mut one, &mut other);
    edit(&mut other, 2, 2, Edit::Withdraw { table: Opening::TABLE, id: "door".into() });
    edit(&mut one, 1, 3, Edit::add("r1", tape("A", "B", "3 m")));
    level(&mut one, &mut other);
    assert_eq!((one.conflicts(), other.conflicts()), (vec![], vec![]));
}

#[test]
fn a_reading_taken_out_here_and_corrected_there_is_shown_until_somebody_settles_it() {
    for stays in [true, false] {
        let (mut one, mut other) = (room(1), room(2));
        edit(&mut one, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
        level(&mut one, &mut other);
        edit(&mut one, 1, 1, Edit::Withdraw { table: TapeReading::TABLE, id: "r1".into() });
        edit(&mut other, 2, 2, Edit::correct("r2", tape("A", "B", "3.1 m"), "r1"));
        level(&mut one, &mut other);
        let conflicts = one.conflicts();
        assert_eq!(conflicts, other.conflicts());
        let [conflict] = conflicts.as_slice() else { panic!("{conflicts:?}") };
        let said: Vec<_> = conflict.claims.iter().map(|c| (&c.record, &c.stamp.by)).collect();
        assert_eq!(said, [(&None, &person(1)), (&Some("r2".into()), &person(2))]);
        let settle = if stays {
            Edit::correct("r3", tape("A", "B", "3.1 m"), "r2")
        } else {
            Edit::Withdraw { table: TapeReading::TABLE, id: "r2".into() }
        };
        edit(&mut one, 1, 3, settle);
        level(&mut one, &mut other);
        assert_eq!((one.conflicts(), other.conflicts()), (vec![], vec![]));
        assert_eq!(view(&one).tape.live.len(), usize::from(stays));
    }
}

#[test]
fn the_same_value_said_twice_is_no_conflict() {
    let (mut one, mut other) = (room(1), room(2));
    let door = |width: &str| opening("door", width);
    edit(&mut one, 1, 0, Edit::add("door", door("32\"")));
    level(&mut one, &mut other);
    edit(&mut one, 1, 1, Edit::change("door", door("32\""), door("34\"")));
    edit(&mut other, 2, 2, Edit::change("door", door("32\""), door("34\"")));
    level(&mut one, &mut other);
    assert_eq!(one.conflicts(), []);
}

#[test]
fn undo_is_refused_where_a_concurrent_value_stands_beside_ones_own() {
    let (mut one, mut other, mut stack) = (room(1), room(2), UndoStack::default());
    let door = |width: &str| opening("door", width);
    edit(&mut one, 1, 0, Edit::add("door", door("32\"")));
    level(&mut one, &mut other);
    stack.did(&edit(&mut one, 1, 1, Edit::change("door", door("32\""), door("34\""))));
    edit(&mut other, 2, 2, Edit::change("door", door("32\""), door("36\"")));
    level(&mut one, &mut other);
    assert!(matches!(stack.undo(&mut one, &person(1), minute(3)), Err(EditError::Overtaken { .. })));
}

#[test]
fn two_plans_with_one_number_are_both_listed_and_flagged() {
    let (mut one, mut other) = (job(1), job(2));
    let plan = |bytes: &[u8], number: i64| Frozen {
        what: FrozenKind::Plan,
        number,
        hash: ContentHash::of(bytes),
        bytes: 1,
        media: "application/json".into(),
        sources: vec![Source { document: DocumentId([7; 16]), heads: vec![[1; 32]] }],
        area: None,
        signature: None,
        signed_by: None,
    };
    let issue = |document: &mut Document, who: u8, frozen: Frozen| {
        let edit = Edit::<JobEntry>::add(frozen_id(frozen.hash), frozen);
        document.apply(&edit, &person(who), minute(0)).unwrap();
    };
    issue(&mut one, 1, plan(b"first", 2));
    level(&mut one, &mut other);
    let next = JobView::read(&one).unwrap().next_number(FrozenKind::Plan);
    assert_eq!(next, 3);
    issue(&mut one, 1, plan(b"Ana's", next));
    issue(&mut other, 2, plan(b"Ben's", next));
    level(&mut one, &mut other);
    let records = JobView::read(&one).unwrap().frozen_records();
    let flags: Vec<_> = records.iter().map(|r| (r.held.value.number, r.number_shared)).collect();
    assert_eq!(flags, [(2, false), (3, true), (3, true)]);
    assert_ne!(records[1].held.value.hash, records[2].held.value.hash);
    assert_eq!(records[0].held.value.sources[0].heads, [[1; 32]]);
}

#[test]
fn copies_of_different_documents_do_not_mix() {
    assert!(matches!(sync::bring_level(&mut room(1), &mut job(2)), Err(sync::SyncError::Different(..))));
}

#[test]
fn garbage_messages_are_refused_and_leave_the_document_as_it_was() {
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    let (before, mut session) = (room.heads(), sync::Session::new());
    for message in [&b""[..], b"\x42", b"hello", &[0xff; 64]] {
        assert!(room.sync_receive(&mut session, message).is_err(), "{message:?}");
    }
    assert_eq!(room.heads(), before);
}

/// One step of a story of several copies.
#[derive(Clone, Debug)]
enum Step {
    Add(u8),
    Correct(u8, usize),
    Withdraw(u8, usize),
    Door(u8, u8),
    Corner(u8, usize),
    Meet(u8, u8),
    Card(u8, u8),
    Restart(u8),
    Undo(u8),
}

fn any_step() -> impl Strategy<Value = Step> {
    let copy = 0..3_u8;
    prop_oneof![
        copy.clone().prop_map(Step::Add),
        (copy.clone(), any::<usize>()).prop_map(|(c, n)| Step::Correct(c, n)),
        (copy.clone(), any::<usize>()).prop_map(|(c, n)| Step::Withdraw(c, n)),
        (copy.clone(), any::<u8>()).prop_map(|(c, n)| Step::Door(c, n)),
        (copy.clone(), any::<usize>()).prop_map(|(c, n)| Step::Corner(c, n)),
        (copy.clone(), copy.clone()).prop_map(|(a, b)| Step::Meet(a, b)),
        (copy.clone(), copy.clone()).prop_map(|(a, b)| Step::Card(a, b)),
        copy.clone().prop_map(Step::Restart),
        copy.prop_map(Step::Undo),
    ]
}

struct Crew {
    copies: Vec<Document>,
    stacks: Vec<UndoStack>,
    /// What each copy's store holds.
    chunks: Vec<Vec<u8>>,
    actors: u8,
    added: Vec<String>,
}

impl Crew {
    fn new() -> Self {
        Self {
            copies: (1..4).map(room).collect(),
            stacks: vec![UndoStack::default(); 3],
            chunks: (1..4).map(|n| room(n).snapshot()).collect(),
            actors: 10,
            added: Vec::new(),
        }
    }

    fn edit(&mut self, copy: u8, edit: Edit<RoomEntry>) {
        let at = usize::from(copy);
        if let Ok(applied) = self.copies[at].apply(&edit, &person(copy), minute(self.added.len() as i64)) {
            self.stacks[at].did(&applied);
        }
        self.keep(at);
    }

    fn keep(&mut self, at: usize) {
        let chunk = self.copies[at].take_chunk().unwrap_or_default();
        self.chunks[at].extend(chunk);
    }

    fn pair(&mut self, a: u8, b: u8) -> Option<(&mut Document, &mut Document)> {
        let [a, b] = self.copies.get_disjoint_mut([usize::from(a), usize::from(b)]).ok()?;
        Some((a, b))
    }

    fn new_id(&mut self) -> String {
        let id = format!("r{}", self.added.len());
        self.added.push(id.clone());
        id
    }

    fn step(&mut self, step: &Step) {
        match *step {
            Step::Add(c) => {
                let id = self.new_id();
                self.edit(
                    c,
                    Edit::add(id.as_str(), tape("A", "B", &format!("{} mm", 1000 + self.added.len()))),
                );
            }
            Step::Correct(c, n) => {
                let old = self.pick(n);
                let id = self.new_id();
                self.edit(c, Edit::correct(id.as_str(), tape("A", "B", "3 m"), old.as_str()));
            }
            Step::Withdraw(c, n) => {
                let id = self.pick(n).as_str().into();
                self.edit(c, Edit::Withdraw { table: TapeReading::TABLE, id });
            }
            Step::Door(c, n) => self.door(c, n),
            Step::Corner(c, n) => self.corner(c, n),
            Step::Meet(a, b) => {
                if let Some((a, b)) = self.pair(a, b) {
                    level(a, b);
                }
                self.keep(usize::from(a));
                self.keep(usize::from(b));
            }
            Step::Card(a, b) => {
                if let Some((from, to)) = self.pair(a, b) {
                    let part = handover::Part::whole(from);
                    to.import(&part).unwrap();
                    assert!(!to.import(&part).unwrap().changed);
                }
                self.keep(usize::from(b));
            }
            Step::Restart(c) => {
                self.actors += 1;
                let at = usize::from(c);
                let mut loaded = Document::load(&self.chunks[at], Actor([self.actors; 16])).unwrap();
                assert_eq!(loaded.heads(), self.copies[at].heads(), "nothing stored is lost");
                assert_eq!(loaded.actor(), Some(Actor([self.actors; 16])));
                self.copies[at] = loaded;
                self.stacks[at] = UndoStack::default();
            }
            Step::Undo(c) => {
                let at = usize::from(c);
                let _ = self.stacks[at].undo(&mut self.copies[at], &person(c), minute(0));
                self.keep(at);
            }
        }
    }

    fn pick(&self, n: usize) -> String {
        self.added.get(n % self.added.len().max(1)).cloned().unwrap_or_else(|| "none".into())
    }

    fn door(&mut self, c: u8, n: u8) {
        let seen = view(&self.copies[usize::from(c)]).openings.get(&"door".into()).map(|h| h.value.clone());
        match seen {
            None => self.edit(c, Edit::add("door", opening("door", "32\""))),
            Some(seen) => {
                let after = if n.is_multiple_of(2) {
                    Opening { width: length(&format!("{n} mm")), ..seen.clone() }
                } else {
                    Opening { reach: Some(length(&format!("{n} mm"))), ..seen.clone() }
                };
                self.edit(c, Edit::change("door", seen, after));
            }
        }
    }

    fn corner(&mut self, c: u8, n: usize) {
        let id = self.new_id();
        let now = view(&self.copies[usize::from(c)]);
        let walk: Vec<Place> = now.walk().iter().map(|h| h.value.place.clone()).collect();
        let at = n % (walk.len() + 1);
        let left = at.checked_sub(1).and_then(|i| walk.get(i));
        let place = Place::between(left, walk.get(at), &id);
        self.edit(c, Edit::add(id.as_str(), corner("X", place)));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever three people do in whatever order: when all have met, all see the same, every reading ever added is
    /// there, and what was stored loads to the same.
    #[test]
    fn everybody_sees_the_same_in_the_end(steps in prop::collection::vec(any_step(), 1..60)) {
        let mut crew = Crew::new();
        steps.iter().for_each(|step| crew.step(step));
        for (a, b) in [(0, 1), (1, 2), (0, 2), (0, 1)] {
            crew.step(&Step::Meet(a, b));
        }
        (0..3).for_each(|c| crew.step(&Step::Restart(c)));
        let views: Vec<_> = crew.copies.iter().map(view).collect();
        prop_assert_eq!(&views[0], &views[1]);
        prop_assert_eq!(&views[1], &views[2]);
        prop_assert_eq!(crew.copies[0].conflicts(), crew.copies[2].conflicts());
        prop_assert!(views[0].tape.unreadable.is_empty() && views[0].openings.unreadable.is_empty());
    }
}
