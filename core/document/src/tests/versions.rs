//! Documents of older and newer programs.

use super::*;
use crate::skeleton::{self, Version};
use automerge::AutoCommit;

const HEATING: &[Table] = &[Table { name: "heating", style: Style::Thing }];

/// The schema as it is, and one version more that adds a table.
fn and_one_more(writable_from: u64) -> &'static [Version] {
    let mut versions = skeleton::versions(Kind::Room).to_vec();
    let number = skeleton::newest(&versions) + 1;
    versions.push(Version { number, writable_from, tables: HEATING });
    versions.leak()
}

fn as_newer(bytes: &[u8], actor: u8, versions: &'static [Version]) -> Document {
    let auto = AutoCommit::load(bytes).unwrap();
    Document::adopt(auto, Kind::Room, DocumentId([7; 16]), Actor([actor; 16]), versions).unwrap()
}

#[test]
fn a_migration_is_the_same_change_on_every_device_and_keeps_what_others_write_meanwhile() {
    let mut old = room(1);
    edit(&mut old, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    let stored = old.snapshot();
    let newer = and_one_more(1);
    let (mut ana, mut ben) = (as_newer(&stored, 11, newer), as_newer(&stored, 12, newer));
    assert_eq!(ana.heads(), ben.heads(), "two devices that migrate apart agree");
    assert!(ana.take_chunk().is_some(), "the migration is there to be stored");
    // A third device still has the old program and goes on writing.
    edit(&mut old, 2, 1, Edit::add("r2", tape("B", "C", "4 m")));
    edit(&mut ana, 1, 1, Edit::add("r3", tape("C", "D", "5 m")));
    level(&mut old, &mut ana);
    level(&mut ana, &mut ben);
    level(&mut old, &mut ben);
    for copy in [&old, &ana, &ben] {
        assert_eq!(view(copy).tape.live.len(), 3);
        assert!(copy.table("heating").is_some());
    }
    assert_eq!(old.standing(), Standing::Writable, "a version that only adds lets older programs write");
    edit(&mut old, 2, 2, Edit::add("r4", tape("D", "A", "6 m")));
    level(&mut old, &mut ben);
    assert_eq!(view(&ben).tape.live.len(), 4);
}

#[test]
fn a_document_made_new_and_one_migrated_have_the_same_tables() {
    let newer = and_one_more(1);
    let mut made = Document::create_as(Kind::Room, DocumentId([7; 16]), Actor([1; 16]), newer);
    let mut migrated = as_newer(&room(2).snapshot(), 3, newer);
    assert_eq!(made.heads(), migrated.heads());
}

#[test]
fn a_document_of_a_newer_program_is_shown_and_not_written() {
    let version = skeleton::newest(skeleton::versions(Kind::Room)) + 1;
    let mut newer =
        Document::create_as(Kind::Room, DocumentId([7; 16]), Actor([1; 16]), and_one_more(version));
    edit(&mut newer, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    let mut opened = Document::load(&newer.snapshot(), Actor([2; 16])).unwrap();
    assert_eq!(opened.standing(), Standing::Newer { version, known: version - 1 });
    assert_eq!(view(&opened).tape.live.len(), 1);
    let refused = opened.apply(&Edit::<RoomEntry>::add("r2", tape("A", "B", "3 m")), &person(1), minute(1));
    assert_eq!(refused, Err(EditError::Newer { version, known: version - 1 }));
}

#[test]
fn an_old_copy_that_meets_a_newer_one_stops_writing() {
    let version = skeleton::newest(skeleton::versions(Kind::Room)) + 1;
    let mut old = room(1);
    let mut newer = as_newer(&room(2).snapshot(), 3, and_one_more(version));
    level(&mut old, &mut newer);
    assert!(matches!(old.standing(), Standing::Newer { .. }));
}

#[test]
fn tables_of_a_kind_have_names_of_their_own() {
    for kind in [Kind::Shop, Kind::Job, Kind::Room] {
        let mut names: Vec<_> = skeleton::tables(kind).map(|t| t.name).collect();
        names.extend([skeleton::ID, skeleton::KIND, skeleton::SCHEMA, skeleton::WRITABLE_FROM]);
        let all = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), all);
    }
}
