//! One person at one copy.

use super::*;
use crate::value::Value;

#[test]
fn a_reading_comes_back_as_typed_with_who_and_when() {
    let mut room = room(1);
    edit(&mut room, 1, 5, Edit::add("r1", tape("A", "B", "12'-3 1/2\"")));
    let held = view(&room).tape.live.remove(0);
    assert_eq!(held.value, tape("A", "B", "12'-3 1/2\""));
    assert_eq!(held.value.read.text(), "12'-3 1/2\"");
    assert_eq!(held.added, Stamp { at: minute(5), by: person(1) });
}

#[test]
fn a_correction_keeps_what_it_corrects() {
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "12' 3 1/2\"")));
    edit(&mut room, 2, 9, Edit::correct("r2", tape("A", "B", "12' 2 1/2\""), "r1"));
    let view = view(&room);
    assert_eq!(view.tape.live.iter().map(|h| h.id.as_str()).collect::<Vec<_>>(), ["r2"]);
    let past = &view.tape.past[0];
    assert_eq!((past.held.id.as_str(), past.superseded_by[0].as_str()), ("r1", "r2"));
    assert_eq!(past.held.added.by, person(1));
}

#[test]
fn only_the_fields_that_a_person_changed_are_written() {
    let mut room = room(1);
    let seen = opening("door", "32\"");
    edit(&mut room, 1, 0, Edit::add("door", seen.clone()));
    let wider = Opening { width: length("36\""), ..seen.clone() };
    edit(&mut room, 2, 1, Edit::change("door", seen.clone(), wider));
    // Somebody who still sees the old width says only that it has a reach.
    let reach = Opening { reach: Some(length("2 1/4\"")), ..seen.clone() };
    edit(&mut room, 1, 2, Edit::change("door", seen, reach));
    let held = view(&room).openings.live.remove(0);
    assert_eq!((held.value.width.text(), held.value.reach.as_ref().unwrap().text()), ("36\"", "2 1/4\""));
    assert_eq!((held.stamp("width").by.clone(), held.stamp("reach").by.clone()), (person(2), person(1)));
    assert_eq!(held.stamp("name").at, minute(0));
}

#[test]
fn facts_need_not_be_added_first() {
    let mut room = room(1);
    let none = view(&room).facts.value.unwrap();
    let named = RoomFacts { name: Some("Kitchen".into()), ..none.clone() };
    edit(&mut room, 1, 0, Edit::change_single(none, named.clone()));
    assert_eq!(view(&room).facts.value, Some(named));
}

#[test]
fn what_is_withdrawn_is_kept_and_can_be_restored() {
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("door", opening("door", "32\"")));
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    for (table, id) in [(Opening::TABLE, "door"), (TapeReading::TABLE, "r1")] {
        edit(&mut room, 1, 1, Edit::Withdraw { table, id: id.into() });
    }
    let gone = view(&room);
    assert_eq!((gone.openings.live.len(), gone.openings.withdrawn.len()), (0, 1));
    assert_eq!(
        (gone.tape.live.len(), gone.tape.past[0].withdrawn.clone()),
        (0, Some(Stamp { at: minute(1), by: person(1) }))
    );
    for (table, id) in [(Opening::TABLE, "door"), (TapeReading::TABLE, "r1")] {
        edit(&mut room, 1, 2, Edit::Restore { table, id: id.into() });
    }
    let back = view(&room);
    assert_eq!((back.openings.live.len(), back.tape.live.len()), (1, 1));
}

#[test]
fn refused_edits_change_nothing() {
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    let before = room.heads();
    let _ = room.take_chunk();
    let mut refused = |edits: &[Edit<RoomEntry>]| {
        let error = room.apply_all(edits, &person(1), minute(1)).unwrap_err();
        assert_eq!(room.heads(), before);
        assert_eq!(room.take_chunk(), None);
        error
    };
    let table = "tape";
    let taken = Edit::add("r1", tape("A", "C", "4 m"));
    let good = Edit::add("r2", tape("A", "C", "4 m"));
    assert_eq!(refused(&[good, taken]), EditError::Exists { table, id: "r1".into() });
    assert_eq!(refused(&[Edit::add("a\u{1f}b", tape("A", "B", "3 m"))]), EditError::Id("a\u{1f}b".into()));
    let unknown = Edit::correct("r3", tape("A", "B", "3 m"), "r9");
    assert_eq!(refused(&[unknown]), EditError::Unknown { table, id: "r9".into() });
    let change = Edit::change("r1", tape("A", "B", "3 m"), tape("A", "B", "4 m"));
    assert_eq!(refused(&[change]), EditError::Style { table });
    let long = Opening { name: Some("x".repeat(300_000)), ..opening("door", "1 m") };
    assert!(matches!(refused(&[Edit::add("door", long)]), EditError::TooLarge { .. }));
}

#[test]
fn an_edit_of_another_kind_of_document_is_refused() {
    let refused = job(1).apply(&Edit::<RoomEntry>::add("r1", tape("A", "B", "3 m")), &person(1), minute(0));
    assert_eq!(refused, Err(EditError::Kind(WrongKind { expected: Kind::Room, found: Kind::Job })));
    assert!(JobView::read(&room(1)).is_err());
}

#[test]
fn corners_come_in_walking_order() {
    let mut room = room(1);
    let (a, c) = (Place::nth(0, "a"), Place::nth(1, "c"));
    edit(&mut room, 1, 0, Edit::add("c", corner("C", c.clone())));
    edit(&mut room, 1, 0, Edit::add("a", corner("A", a.clone())));
    edit(&mut room, 1, 1, Edit::add("b", corner("B", Place::between(Some(&a), Some(&c), "b"))));
    edit(&mut room, 1, 2, Edit::add("d", corner("D", Place::between(Some(&c), None, "d"))));
    let view = view(&room);
    assert_eq!(view.walk().iter().map(|h| h.value.name.as_str()).collect::<Vec<_>>(), ["A", "B", "C", "D"]);
}

fn undo(stack: &mut UndoStack, room: &mut Document, at: i64) {
    stack.undo(room, &person(1), minute(at)).unwrap().unwrap();
}
fn redo(stack: &mut UndoStack, room: &mut Document, at: i64) {
    stack.redo(room, &person(1), minute(at)).unwrap().unwrap();
}

#[test]
fn undo_and_redo_walk_back_and_forth() {
    let (mut room, mut stack) = (room(1), UndoStack::default());
    let door = |width: &str| opening("door", width);
    let steps = [
        Edit::add("door", door("32\"")),
        Edit::change("door", door("32\""), door("34\"")),
        Edit::change("door", door("34\""), door("36\"")),
        Edit::add("r1", tape("A", "B", "3 m")),
        Edit::correct("r2", tape("A", "B", "4 m"), "r1"),
        Edit::Withdraw { table: Opening::TABLE, id: "door".into() },
    ];
    let shape = |room: &Document| {
        let view = view(room);
        let widths: Vec<String> =
            view.openings.live.iter().map(|h| h.value.width.text().to_owned()).collect();
        let reads: Vec<String> = view.tape.live.iter().map(|h| h.value.read.text().to_owned()).collect();
        (widths, reads)
    };
    let mut shapes = vec![shape(&room)];
    for step in steps {
        stack.did(&edit(&mut room, 1, 0, step));
        shapes.push(shape(&room));
    }
    for round in 0..2 {
        for expected in shapes.iter().rev().skip(1) {
            undo(&mut stack, &mut room, 10 + round);
            assert_eq!(shape(&room), *expected);
        }
        assert!(!stack.can_undo());
        for expected in &shapes[1..] {
            redo(&mut stack, &mut room, 20 + round);
            assert_eq!(shape(&room), *expected);
        }
        assert!(!stack.can_redo());
    }
}

#[test]
fn several_edits_of_one_tap_are_undone_together() {
    let (mut room, mut stack) = (room(1), UndoStack::default());
    let door = |width: &str| opening("door", width);
    let tap = [
        Edit::<RoomEntry>::add("door", door("32\"")),
        Edit::change("door", door("32\""), door("34\"")),
        Edit::add("r", tape("A", "B", "1 m")),
    ];
    stack.did(&room.apply_all(&tap, &person(1), minute(0)).unwrap());
    undo(&mut stack, &mut room, 1);
    assert_eq!((view(&room).openings.live.len(), view(&room).tape.live.len()), (0, 0));
    redo(&mut stack, &mut room, 2);
    assert_eq!(view(&room).openings.live[0].value.width.text(), "34\"");
}

#[test]
fn undo_does_not_take_back_what_somebody_else_did_since() {
    let (mut room, mut stack) = (room(1), UndoStack::default());
    let door = |width: &str| opening("door", width);
    stack.did(&edit(&mut room, 1, 0, Edit::add("door", door("32\""))));
    stack.did(&edit(&mut room, 1, 1, Edit::change("door", door("32\""), door("34\""))));
    edit(&mut room, 2, 2, Edit::change("door", door("34\""), door("36\"")));
    let refused = stack.undo(&mut room, &person(1), minute(3)).unwrap_err();
    let since = Stamp { at: minute(2), by: person(2) };
    assert!(
        matches!(&refused, EditError::Overtaken { field: Some(f), since: s, .. } if f == "width" && *s == since)
    );
    // Nor may the whole door go, with Ben's width on it.
    assert!(matches!(stack.undo(&mut room, &person(1), minute(3)), Err(EditError::Overtaken { .. })));
    assert_eq!(view(&room).openings.live[0].value.width.text(), "36\"");
}

#[test]
fn undo_does_not_withdraw_a_reading_that_somebody_corrected() {
    let (mut room, mut stack) = (room(1), UndoStack::default());
    stack.did(&edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m"))));
    edit(&mut room, 2, 1, Edit::correct("r2", tape("A", "B", "4 m"), "r1"));
    assert!(matches!(stack.undo(&mut room, &person(1), minute(2)), Err(EditError::Overtaken { .. })));
}

#[test]
fn taking_back_a_correction_that_was_corrected_does_not_revive_the_first() {
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    edit(&mut room, 1, 1, Edit::correct("r2", tape("A", "B", "4 m"), "r1"));
    edit(&mut room, 2, 2, Edit::correct("r3", tape("A", "B", "5 m"), "r2"));
    edit(&mut room, 1, 3, Edit::Withdraw { table: TapeReading::TABLE, id: "r2".into() });
    assert_eq!(view(&room).tape.live.iter().map(|h| h.id.as_str()).collect::<Vec<_>>(), ["r3"]);
}

#[test]
fn rings_of_corrections_are_read() {
    // No edit makes one, but a peer could: two readings that each correct the other.
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    edit(&mut room, 1, 1, Edit::correct("r2", tape("A", "B", "4 m"), "r1"));
    let rows = room.rows("tape");
    let mut content = rows[&"r1".into()].get("").unwrap().clone();
    if let Value::Record(fields) = &mut content.value {
        fields.push(("supersedes".into(), Value::List(vec![Value::Id("r2".into())])));
    }
    let object = room.table("tape").unwrap();
    room.put_cell(&object, "r1", &content).unwrap();
    room.commit(0);
    assert_eq!(view(&room).tape.past.len(), 2);
}
