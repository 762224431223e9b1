//! Stories of documents: one person, two people apart, old and damaged copies.

mod apart;
mod edits;
mod files;
mod versions;

use crate::*;

pub(super) fn person(n: u8) -> Author {
    let name = ["Ana", "Ben", "Caro"][usize::from(n % 3)];
    Author { device: DeviceId([n; 16]), name: name.into() }
}

/// The `n`th minute of a working day.
pub(super) fn minute(n: i64) -> Timestamp {
    Timestamp { utc_ms: 1_790_000_000_000 + n * 60_000, zone_minutes: -300 }
}

pub(super) fn room(actor: u8) -> Document {
    Document::create(Kind::Room, DocumentId([7; 16]), Actor([actor; 16]))
}

pub(super) fn job(actor: u8) -> Document {
    Document::create(Kind::Job, DocumentId([8; 16]), Actor([actor; 16]))
}

pub(super) fn length(text: &str) -> TypedLength {
    TypedLength::parse(text).unwrap()
}

pub(super) fn tape(from: &str, to: &str, read: &str) -> TapeReading {
    TapeReading {
        from: from.into(),
        to: to.into(),
        read: length(read),
        sd: None,
        tool: None,
        measured_to: None,
        measured_at: None,
        listed: None,
    }
}

pub(super) fn corner(name: &str, place: Place) -> Corner {
    Corner { name: name.into(), place, turn: Turn::In, at: None }
}

pub(super) fn opening(name: &str, width: &str) -> Opening {
    Opening {
        name: Some(name.into()),
        from: "A".into(),
        to: "B".into(),
        start: length("2'"),
        width: length(width),
        reach: None,
        next_door: None,
        next_floor: None,
        rated: None,
        door_clearance: None,
        jambs: None,
        next_base: None,
        door_gap: None,
        door_stays: None,
    }
}

pub(super) fn view(document: &Document) -> RoomView {
    RoomView::read(document).unwrap()
}

pub(super) fn level(one: &mut Document, other: &mut Document) {
    sync::bring_level(one, other).unwrap();
    assert_eq!(one.heads(), other.heads());
}

/// Does an edit of a room at a minute.
pub(super) fn edit(document: &mut Document, who: u8, at: i64, edit: Edit<RoomEntry>) -> Applied {
    document.apply(&edit, &person(who), minute(at)).unwrap()
}
