//! Hand-over files, damaged documents, anonymised copies.

use super::*;
use crate::anonymise::Anonymiser;
use crate::handover::{HandOver, HandOverError, ImportError, Part, export};
use crate::rescue::rescue;
use proptest::prelude::*;

fn a_file() -> Vec<u8> {
    let (mut room, mut job) = (room(1), job(1));
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    let photo = b"a photo".to_vec();
    let files = vec![(ContentHash::of(&photo), photo)];
    export(&mut [&mut job, &mut room], files, &person(1), minute(3))
}

#[test]
fn a_hand_over_is_taken_in_twice_harmlessly() {
    let read = HandOver::read(&a_file()).unwrap();
    assert_eq!(read.stamp, Stamp { at: minute(3), by: person(1) });
    assert_eq!(read.parts.iter().map(|p| p.kind).collect::<Vec<_>>(), [Kind::Job, Kind::Room]);
    assert_eq!(read.files[0].1, b"a photo");
    let mut other = room(2);
    edit(&mut other, 2, 1, Edit::add("r2", tape("B", "C", "4 m")));
    let first = other.import(&read.parts[1]).unwrap();
    let heads = other.heads();
    let second = other.import(&read.parts[1]).unwrap();
    assert_eq!((first.changed, second.changed, first.waiting), (true, false, false));
    assert_eq!(other.heads(), heads);
    assert_eq!(view(&other).tape.live.len(), 2);
    // A device that has no such document opens the part as one.
    assert_eq!(view(&read.parts[1].open(Actor([9; 16])).unwrap()).tape.live.len(), 1);
}

#[test]
fn only_what_the_other_lacks_is_enough_where_its_heads_are_known() {
    let (mut one, mut other) = (room(1), room(2));
    edit(&mut one, 1, 0, Edit::add("r1", tape("A", "B", "3 m")));
    level(&mut one, &mut other);
    let known = other.heads();
    edit(&mut one, 1, 1, Edit::add("r2", tape("B", "C", "4 m")));
    let (delta, whole) = (Part::since(&mut one, &known), Part::whole(&mut one));
    assert!(delta.bytes.len() < whole.bytes.len());
    assert_eq!(other.import(&delta).unwrap(), handover::Imported { changed: true, waiting: false });
    assert_eq!(view(&other).tape.live.len(), 2);
    // Somebody who lacks what it builds on is told so, and the whole document then shows everything.
    let mut third = room(3);
    assert_eq!(third.import(&delta).unwrap(), handover::Imported { changed: false, waiting: true });
    assert_eq!(third.import(&whole).unwrap(), handover::Imported { changed: true, waiting: false });
    // Heads that this copy does not know yet: the whole document goes.
    assert_eq!(Part::since(&mut one, &[[9; 32]]).since, Vec::<[u8; 32]>::new());
}

#[test]
fn a_signature_covers_everything_but_itself_and_its_place_stays_readable() {
    let mut file = a_file();
    assert_eq!(HandOver::seal(&file), None, "nobody signed it");
    let unsigned = HandOver::read(&file);
    let mut asked = Vec::new();
    HandOver::sign(&mut file, [7; 32], |message| {
        asked = message.to_vec();
        [8; 64]
    });
    assert_eq!(HandOver::read(&file), unsigned, "it reads as before");
    let seal = HandOver::seal(&file).unwrap();
    assert_eq!((seal.signer, &seal.message, seal.signature), ([7; 32], &asked, [8; 64]));
    let checksum = file.len() - 32;
    for at in (0..42).chain(106..checksum) {
        let mut other = file.clone();
        other[at] ^= 1;
        let other = HandOver::seal(&other).unwrap();
        assert!(other.message != asked, "byte {at} is not covered");
    }
    (0..110).for_each(|cut| assert_eq!(HandOver::seal(&file[..cut]), None, "cut at {cut}"));
}

#[test]
fn a_part_of_another_document_is_refused() {
    let read = HandOver::read(&a_file()).unwrap();
    let refused = room(2).import(&read.parts[0]).unwrap_err();
    assert!(matches!(refused, ImportError::OtherDocument { .. }));
    // Also where the part lies about what it is.
    let lying = Part { kind: Kind::Room, id: DocumentId([7; 16]), ..read.parts[0].clone() };
    assert!(matches!(room(2).import(&lying), Err(ImportError::OtherDocument { .. })));
    assert!(lying.open(Actor([3; 16])).is_err());
}

#[test]
fn foreign_newer_cut_and_damaged_files_are_told_apart() {
    let file = a_file();
    assert_eq!(HandOver::read(b"PK\x03\x04"), Err(HandOverError::Foreign));
    assert_eq!(HandOver::read(b""), Err(HandOverError::Foreign));
    assert_eq!(HandOver::read(&[&file[..8], &[9, 0], &file[10..]].concat()), Err(HandOverError::Newer(9)));
    for cut in [9, 20, 150, file.len() - 40] {
        assert_eq!(HandOver::read(&file[..cut]), Err(HandOverError::CutOff), "cut at {cut}");
    }
    let mut flipped = file.clone();
    let last = flipped.len() - 50;
    flipped[last] ^= 1;
    assert_eq!(HandOver::read(&flipped), Err(HandOverError::Damaged));
}

proptest! {
    #[test]
    fn any_flipped_bit_of_a_file_is_noticed(at in any::<prop::sample::Index>(), bit in 0..8_u8) {
        let mut file = a_file();
        let at = at.index(file.len());
        file[at] ^= 1 << bit;
        prop_assert!(HandOver::read(&file).is_err());
    }

    #[test]
    fn any_bytes_are_refused_as_a_document(bytes in any::<Vec<u8>>()) {
        prop_assert!(Document::load(&bytes, Actor([1; 16])).is_err());
    }
}

/// A room's chunks: a snapshot of its beginning, then one for each reading.
fn chunks() -> Vec<Vec<u8>> {
    let mut room = room(1);
    let mut chunks = vec![room.snapshot()];
    let _ = room.take_chunk();
    for n in 0..5 {
        edit(&mut room, 1, n, Edit::add(format!("r{n}"), tape("A", "B", "3 m")));
        chunks.push(room.take_chunk().unwrap());
    }
    chunks
}

fn readings(document: &Document) -> Vec<String> {
    view(document).tape.live.iter().map(|h| h.id.to_string()).collect()
}

#[test]
fn intact_chunks_are_rescued_wholly() {
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &chunks(), Actor([5; 16]));
    assert_eq!(readings(&rescued.document), ["r0", "r1", "r2", "r3", "r4"]);
    assert_eq!((rescued.lost.len(), rescued.waiting, rescued.copied), (0, false, false));
}

#[test]
fn without_its_first_chunk_a_document_is_still_whole() {
    let mut chunks = chunks();
    chunks[0] = b"rotten".to_vec();
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &chunks, Actor([5; 16]));
    assert_eq!(readings(&rescued.document).len(), 5);
    assert_eq!(rescued.lost.iter().map(|(n, _)| *n).collect::<Vec<_>>(), [0]);
}

#[test]
fn a_lost_chunk_keeps_later_ones_waiting_until_a_copy_brings_it() {
    let mut whole = Document::load(&chunks().concat(), Actor([6; 16])).unwrap();
    let mut chunks = chunks();
    chunks.remove(3);
    let mut rescued = rescue(Kind::Room, DocumentId([7; 16]), &chunks, Actor([5; 16]));
    assert_eq!(readings(&rescued.document), ["r0", "r1"]);
    assert!(rescued.waiting);
    level(&mut rescued.document, &mut whole);
    assert_eq!(readings(&rescued.document).len(), 5);
}

#[test]
fn a_chunk_of_several_changes_is_read_wholly_or_named_as_lost() {
    let chunks = chunks();
    let several = vec![chunks[0].clone(), chunks[1..].concat()];
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &several, Actor([5; 16]));
    assert_eq!((readings(&rescued.document).len(), rescued.lost.len()), (5, 0));
    let late = vec![chunks[0].clone(), chunks[2..].concat()];
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &late, Actor([5; 16]));
    assert_eq!((readings(&rescued.document).len(), rescued.lost.len(), rescued.waiting), (0, 0, true));
    let mut torn = chunks[1..].concat();
    torn.truncate(torn.len() - 3);
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &[chunks[0].clone(), torn], Actor([5; 16]));
    assert_eq!(rescued.lost.len(), 1);
}

#[test]
fn chunks_of_another_document_are_not_mixed_in() {
    let mut other = Document::create(Kind::Room, DocumentId([9; 16]), Actor([1; 16]));
    edit(&mut other, 1, 0, Edit::add("x", tape("A", "B", "3 m")));
    let rescued = rescue(Kind::Room, DocumentId([7; 16]), &[other.snapshot()], Actor([5; 16]));
    assert_eq!((readings(&rescued.document).len(), rescued.lost.len()), (0, 1));
}

#[test]
fn foreign_documents_are_refused() {
    use automerge::transaction::Transactable;
    let mut foreign = automerge::AutoCommit::new();
    foreign.put(automerge::ROOT, "title", "shopping").unwrap();
    assert!(matches!(Document::load(&foreign.save(), Actor([1; 16])), Err(OpenError::Foreign)));
}

#[test]
fn an_anonymised_copy_keeps_shapes_and_no_names() {
    let (mut job, mut other) = (job(1), job(2));
    let none = JobView::read(&job).unwrap().facts.value.unwrap();
    let facts = JobFacts {
        client: Some("Mrs Hollow-Field 12".into()),
        lock_codes: Some(Secret("4711".into())),
        year_built: Some(1962),
        ..none.clone()
    };
    let link = RoomLink { document: DocumentId([7; 16]), name: "Kitchen".into(), place: Place::nth(0, "k") };
    let edits = [Edit::<JobEntry>::change_single(none, facts.clone()), Edit::add("kitchen-of-hollow", link)];
    job.apply_all(&edits, &person(1), minute(0)).unwrap();
    level(&mut job, &mut other);
    let renamed = |client: &str| JobFacts { client: Some(client.into()), ..facts.clone() };
    job.apply(&Edit::<JobEntry>::change_single(facts.clone(), renamed("Mr Sand")), &person(1), minute(1))
        .unwrap();
    other
        .apply(&Edit::<JobEntry>::change_single(facts.clone(), renamed("Mr Stone")), &person(2), minute(2))
        .unwrap();
    level(&mut job, &mut other);
    let mut room = room(1);
    edit(&mut room, 1, 0, Edit::add("r1", tape("A", "B", "12' 3 1/2\"")));

    let mut anonymiser = Anonymiser::new();
    let mut copy = anonymiser.document(&job).unwrap();
    let mut room_copy = anonymiser.document(&room).unwrap();
    let view_of = JobView::read(&copy).unwrap();
    let facts = view_of.facts.value.unwrap();
    assert!(["Xx Xxxx", "Xx Xxxxx"].contains(&facts.client.as_deref().unwrap()), "{:?}", facts.client);
    assert_eq!((facts.lock_codes, facts.year_built), (None, Some(1962)));
    assert_eq!(view_of.rooms.live[0].value.document, room_copy.id(), "the job's link leads to the copy");
    assert_eq!(copy.conflicts().len(), 1);
    assert_eq!(view(&room_copy).tape.live[0].value.read.text(), "12' 3 1/2\"");
    for bytes in [copy.snapshot(), room_copy.snapshot()] {
        let text = String::from_utf8_lossy(&bytes).into_owned();
        for private in ["Hollow", "hollow", "4711", "Sand", "Stone", "Kitchen", "Ben", "Caro"] {
            assert!(!text.contains(private), "{private}");
        }
    }
}

/// A chunk with its checksum made to fit what is in it: the first four bytes of SHA-256 over all that follows it
/// (<https://automerge.org/automerge-binary-format-spec/>, chunks).
fn with_checksum(mut chunk: Vec<u8>) -> Vec<u8> {
    use sha2::Digest;
    let sum = sha2::Sha256::digest(&chunk[8..]);
    chunk[4..8].copy_from_slice(&sum[..4]);
    chunk
}

/// The engine stopped at some of these ("take would cross slab boundary") instead of refusing them.
#[test]
fn a_damaged_chunk_whose_checksum_fits_is_refused_or_read_and_stops_nothing() {
    let mut whole = room(1);
    for n in 0..3 {
        edit(&mut whole, 1, n, Edit::add(&*format!("r{n}"), tape("A", "B", "3 m")));
    }
    let bytes = whole.snapshot();
    assert_eq!(with_checksum(bytes.clone()), bytes, "one chunk, and the checksum is where it should be");
    let mut refused = 0;
    for at in 8..bytes.len() {
        for flip in [0x01, 0xff] {
            let mut damaged = bytes.clone();
            damaged[at] ^= flip;
            let damaged = with_checksum(damaged);
            refused += u32::from(Document::load(&damaged, Actor([9; 16])).is_err());
            let part = Part { kind: Kind::Room, id: whole.id(), since: Vec::new(), bytes: damaged.clone() };
            let mut other = room(2);
            let before = other.heads();
            if other.import(&part).is_err() {
                assert_eq!(other.heads(), before, "byte {at}");
            }
            drop(rescue(Kind::Room, whole.id(), &[damaged], Actor([8; 16])));
        }
    }
    assert!(refused > 100, "{refused} refused");
}
