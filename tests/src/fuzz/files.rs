//! Readers of files: hand-over files, backups, pictures, documents, issued plans.

use std::fs;
use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::OnceLock;

use drylay_app::answers::demo;
use drylay_app::outside;
use drylay_document::anonymise::Anonymiser;
use drylay_document::handover::{HandOver, Part};
use drylay_document::rescue::rescue;
use drylay_document::sheet::Sheet;
use drylay_document::{
    Actor, Author, ContentHash, Decimal, DeviceId, Document, DocumentId, Edit, JobView, Kind, Member, Rate,
    RoomView, ShopEntry, ShopFacts, ShopView, Stamp, Timestamp,
};
use drylay_store::{Store, archive};
use image::{DynamicImage, ImageFormat};
use sha2::{Digest, Sha256};

use super::{Scratch, Target};

pub(super) fn targets() -> Vec<Target> {
    [whole_files(), documents_and_parts(), kept_files()].concat()
}

fn whole_files() -> Vec<Target> {
    vec![
        Target {
            name: "hand-over",
            about: "hand-over files",
            seeds: handovers,
            words: &["DRYLAYHO", "job", "room", "shop"],
            mend: Some(|input| blake3_at_the_end(input)),
            memory: 64 << 20,
            runs: 50,
            look: handover,
        },
        Target {
            name: "locked",
            about: "locked hand-over files",
            seeds: locked,
            words: &["DRYLAYLK"],
            mend: Some(|input| little_work(input)),
            memory: 8 << 20,
            runs: 300,
            look: unlocked,
        },
        Target {
            name: "backup",
            about: "backups",
            seeds: backups,
            words: &["DRYLAYBK", "drylay.db", "SQLite format 3\0"],
            mend: Some(|input| blake3_at_the_end(input)),
            memory: 64 << 20,
            runs: 25,
            look: backup,
        },
    ]
}

fn documents_and_parts() -> Vec<Target> {
    vec![
        Target {
            name: "document",
            about: "stored chunks of documents",
            seeds: documents,
            words: &["corners", "tape", "name", "\u{85}oJ\u{83}"],
            mend: Some(chunk_checksum),
            memory: 64 << 20,
            runs: 50,
            look: document,
        },
        Target {
            name: "changes",
            about: "parts of documents and messages of their own protocol",
            seeds: changes,
            words: &[],
            mend: Some(chunk_checksum),
            memory: 64 << 20,
            runs: 30,
            look: change,
        },
        Target {
            name: "rescue",
            about: "damaged chunks, rescued and made anonymous",
            seeds: chunks,
            words: &["corners", "tape", "name", "crew", "\u{85}oJ\u{83}"],
            mend: Some(chunk_checksum),
            memory: 16 << 20,
            runs: 40,
            look: rescued,
        },
    ]
}

fn kept_files() -> Vec<Target> {
    vec![
        Target {
            name: "signature",
            about: "signatures that were drawn",
            seeds: signatures,
            words: &["\"strokes\":[[[1,1],[2,2]]]", "[[1,1],[2,2]],", "1e300", "-2", "90.005", "[],"],
            mend: None,
            memory: 4 << 20,
            runs: 1000,
            look: signature,
        },
        Target {
            name: "picture",
            about: "JPEG, PNG and WebP with their Exif records",
            seeds: pictures,
            words: &[
                "Exif\0\0",
                "JFIF\0",
                "ICC_PROFILE\0",
                "IHDR",
                "IEND",
                "eXIf",
                "EXIF",
                "VP8X",
                "VP8L",
                "+-9:00",
            ],
            mend: Some(|input| png_sums(input)),
            // Decoding may take 800 MiB, turning and copying as much again.
            memory: 3 << 30,
            runs: 120,
            look: picture,
        },
        Target {
            name: "issue",
            about: "issued plans",
            seeds: issues,
            words: &["\"pieces\"", "\"outline\"", "\"on_tile\"", "[[0,0],[1,1]]", "\"drylay_issue\""],
            mend: None,
            memory: 32 << 20,
            runs: 80,
            look: issue,
        },
    ]
}

/// The last 32 bytes become the hash of those before.
pub(super) fn blake3_at_the_end(input: &mut [u8]) {
    if let Some((before, checksum)) = input.split_last_chunk_mut::<32>() {
        *checksum = *blake3::hash(before).as_bytes();
    }
}

fn kept(name: &str) -> Vec<u8> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("kept").join(name);
    fs::read(path).unwrap_or_default()
}

/// The job's document and a room's of the kept hand-over file.
fn made() -> &'static (Vec<u8>, Vec<u8>) {
    static MADE: OnceLock<(Vec<u8>, Vec<u8>)> = OnceLock::new();
    MADE.get_or_init(|| {
        let handed = HandOver::read(&kept("first.handover")).map(|read| read.parts).unwrap_or_default();
        let of = |kind: Kind| {
            let part = handed.iter().find(|part| part.kind == kind);
            part.map(|part| part.bytes.clone()).unwrap_or_default()
        };
        (of(Kind::Job), of(Kind::Room))
    })
}

const ANA: DeviceId = DeviceId([4; 16]);

/// A shop: its facts and a member, and beside them in a chunk of its own a rate.
fn shop() -> Document {
    let by = Author { device: ANA, name: "Ana".into() };
    let at = Timestamp { utc_ms: 1_790_000_000_000, zone_minutes: 60 };
    let mut shop = Document::create(Kind::Shop, DocumentId([9; 16]), Actor([4; 16]));
    let nothing = ShopFacts {
        name: None,
        contact: None,
        currency: None,
        tax_percent: None,
        deposit_percent: None,
        breakage_percent: None,
        attic_percent: None,
        handover_words: None,
    };
    let words = Some("Keep it dry".to_owned());
    let facts = ShopFacts { tax_percent: Decimal::parse("19"), handover_words: words, ..nothing.clone() };
    let member = Member { name: "Ana".into(), device: Some("Ana's phone".into()), role: None };
    let edits = [Edit::<ShopEntry>::change_single(nothing, facts), Edit::add("a", member)];
    shop.apply_all(&edits, &by, at).unwrap_or_else(|error| panic!("{error}"));
    shop
}

/// A change of that shop by itself.
fn shop_rate(shop: &mut Document) -> Vec<u8> {
    let by = Author { device: ANA, name: "Ana".into() };
    let at = Timestamp { utc_ms: 1_790_000_060_000, zone_minutes: 60 };
    shop.take_chunk();
    let hour = Decimal::parse("2.5").unwrap_or_else(|| panic!("a decimal"));
    let rate = Rate { task: "lay".into(), per_hour: hour, unit: "m2".into(), hourly: None };
    shop.apply(&Edit::<ShopEntry>::add("r", rate), &by, at).unwrap_or_else(|error| panic!("{error}"));
    shop.take_chunk().unwrap_or_default()
}

/// The kept one, and one of a shop with a file and a part that begins later.
pub(super) fn handovers() -> Vec<Vec<u8>> {
    let mut shop = shop();
    let (whole, since) = (shop.snapshot(), shop.heads());
    let rate = shop_rate(&mut shop);
    let part = |since, bytes| Part { kind: Kind::Shop, id: DocumentId([9; 16]), since, bytes };
    let at = Timestamp { utc_ms: 0, zone_minutes: -300 };
    let stamp = Stamp { at, by: Author { device: ANA, name: "Ana".into() } };
    let file = b"a file".to_vec();
    let files = vec![(ContentHash::of(&file), file)];
    let small = HandOver { stamp, parts: vec![part(Vec::new(), whole), part(since, rate)], files };
    vec![kept("first.handover"), small.to_bytes()]
}

fn handover(input: &[u8]) -> bool {
    let _ = HandOver::seal(input);
    let Ok(read) = HandOver::read(input) else { return false };
    let again =
        HandOver::read(&read.to_bytes()).unwrap_or_else(|wrong| panic!("{wrong} in what was written"));
    assert_eq!((again.parts.len(), again.files.len()), (read.parts.len(), read.files.len()));
    assert_eq!(again.to_bytes(), read.to_bytes());
    for part in &read.parts {
        look_into(part);
    }
    true
}

/// Opens a part as a document that is not here yet, and takes it into one that is.
fn look_into(part: &Part) {
    if let Ok(document) = part.open(Actor([1; 16])) {
        views(&document);
    }
    let mut here = Document::create(part.kind, part.id, Actor([2; 16]));
    let before = here.snapshot();
    if here.import(part).is_err() {
        assert_eq!(here.snapshot(), before, "a part that was refused left something behind");
    }
    views(&here);
}

fn views(document: &Document) {
    let _ = JobView::read(document);
    let _ = RoomView::read(document);
    let _ = ShopView::read(document);
}

const PASSPHRASE: &str = "eight words or more";

/// A file that was locked with little work, so that unlocking it takes little.
fn locked() -> Vec<Vec<u8>> {
    let locked = [&b"what is locked"[..], b""].map(|bytes| outside::locked_lightly(bytes, PASSPHRASE));
    locked.into_iter().flatten().collect()
}

/// The figures that say how much work the key is are brought down, and the checksum into line.
fn little_work(input: &mut [u8]) {
    for (at, most) in [(10, 512_u32), (14, 2), (18, 2)] {
        if let Some(place) = input.get_mut(at..at + 4) {
            let figure = u32::from_le_bytes([place[0], place[1], place[2], place[3]]);
            place.copy_from_slice(&(figure % (most + 1)).to_le_bytes());
        }
    }
    blake3_at_the_end(input);
}

fn unlocked(input: &[u8]) -> bool {
    let figure = |at: usize| {
        input.get(at..at + 4).map_or(0, |four| u32::from_le_bytes([four[0], four[1], four[2], four[3]]))
    };
    // What asks for much work is refused by its figures alone or takes its time; neither is looked at here.
    if figure(10) > 512 || figure(14) > 2 {
        return false;
    }
    outside::unlocked(input, PASSPHRASE).is_some()
}

/// The kept one, and one of a store with nothing but a file.
fn backups() -> Vec<Vec<u8>> {
    let scratch = Scratch::new("backups");
    let to = scratch.0.join("a.backup");
    let wrong = |error: &dyn std::fmt::Display| -> ! { panic!("{error}") };
    let mut store = Store::open(&scratch.0.join("store"), [201; 16]).unwrap_or_else(|error| wrong(&error));
    store.put_file(b"a file", "picture").unwrap_or_else(|error| wrong(&error));
    store.backup(&to).unwrap_or_else(|error| wrong(&error));
    vec![kept("first.backup"), fs::read(&to).unwrap_or_default()]
}

fn backup(input: &[u8]) -> bool {
    let scratch = Scratch::new("backup");
    let (file, folder) = (scratch.0.join("a.backup"), scratch.0.join("store"));
    if fs::write(&file, input).is_err() {
        return false;
    }
    let taken = archive::restore(&file, &folder).is_ok();
    assert_eq!(taken, folder.exists(), "a backup that was refused left a folder");
    let beside = scratch.0.read_dir().map_or(0, Iterator::count);
    assert_eq!(beside, 1 + usize::from(taken), "something was left beside");
    if !taken {
        return false;
    }
    // The database inside may still be anybody's: it opens or is refused, and what it hands out is intact.
    let Ok(store) = Store::open(&folder, [200; 16]) else { return true };
    let _ = (store.jobs(), store.check());
    for info in store.documents().unwrap_or_default() {
        if let Ok(loaded) = store.load(info.document) {
            let _ = Document::load(&loaded.joined(), Actor([3; 16]));
        }
    }
    true
}

fn documents() -> Vec<Vec<u8>> {
    let (job, room) = made();
    vec![job.clone(), room.clone(), shop().snapshot()]
}

/// An automerge chunk is four bytes of magic, four of checksum (the first of SHA-256 over what follows), a kind, a length
/// in LEB128 and as many bytes (<https://automerge.org/automerge-binary-format-spec/>). Brings length and checksum of the
/// first chunk into line with what is there.
fn chunk_checksum(input: &mut Vec<u8>) {
    const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
    let Some(at) = input.windows(4).position(|four| four == MAGIC) else { return };
    let Some(body) = input.get(at + 9..) else { return };
    let digits = body.iter().take(10).take_while(|byte| **byte & 0x80 != 0).count() + 1;
    let Some(content) = body.get(digits..).map(<[u8]>::to_vec) else { return };
    let mut head = vec![input[at + 8]];
    let mut left = content.len();
    while left >= 0x80 {
        head.push(u8::try_from(left & 0x7f).unwrap_or(0) | 0x80);
        left >>= 7;
    }
    head.push(u8::try_from(left).unwrap_or(0));
    let sum = Sha256::new().chain_update(&head).chain_update(&content).finalize();
    input.truncate(at);
    input.extend(MAGIC);
    input.extend(&sum[..4]);
    input.extend(head);
    input.extend(content);
}

fn document(input: &[u8]) -> bool {
    let Ok(mut read) = Document::load(input, Actor([1; 16])) else { return false };
    views(&read);
    let heads = read.heads();
    let again = Document::load(&read.snapshot(), Actor([2; 16]));
    let mut again = again.unwrap_or_else(|wrong| panic!("{wrong} in what was written"));
    assert_eq!(again.heads(), heads);
    true
}

fn changes() -> Vec<Vec<u8>> {
    use drylay_document::sync::Session;
    let (job, _) = made();
    let mut all = vec![job.clone()];
    if let Ok(mut whole) = Document::load(job, Actor([5; 16])) {
        let mut empty = Document::create(whole.kind(), whole.id(), Actor([6; 16]));
        let (mut here, mut there) = (Session::new(), Session::new());
        for _ in 0..4 {
            if let Some(message) = empty.sync_message(&mut there) {
                let _ = whole.sync_receive(&mut here, &message);
                all.push(message);
            }
            if let Some(message) = whole.sync_message(&mut here) {
                let _ = empty.sync_receive(&mut there, &message);
                all.push(message);
            }
        }
    }
    all
}

fn change(input: &[u8]) -> bool {
    use drylay_document::sync::Session;
    let (job, _) = made();
    let Ok(mut here) = Document::load(job, Actor([7; 16])) else { return false };
    let (kind, id) = (here.kind(), here.id());
    let mut fresh = Document::create(kind, id, Actor([8; 16]));
    let mut taken = false;
    for document in [&mut here, &mut fresh] {
        // The crew's side counts a message that stops the engine as trouble: it forgets what is in memory, and what is
        // on the disk stays as it was (`core/app/src/crew`).
        let received = || document.sync_receive(&mut Session::new(), input).is_ok();
        let Ok(received) = catch_unwind(AssertUnwindSafe(received)) else { return false };
        taken |= received;
        views(document);
    }
    let whole = Part { kind, id, since: Vec::new(), bytes: input.to_vec() };
    let later = Part { since: vec![[1; 32]], ..whole.clone() };
    for part in [whole, later] {
        taken |= here.import(&part).is_ok();
        look_into(&part);
    }
    views(&here);
    taken
}

fn chunks() -> Vec<Vec<u8>> {
    let mut shop = shop();
    [documents(), vec![shop_rate(&mut shop)]].concat()
}

/// A chunk beside sound ones, before and behind them, and alone; what is left of the document without names.
fn rescued(input: &[u8]) -> bool {
    let mut sound = shop();
    let chunks = [sound.snapshot(), shop_rate(&mut sound)];
    let all = ShopView::read(&sound).ok();
    let behind = [&chunks[..], &[input.to_vec()]].concat();
    let found = rescue(Kind::Shop, sound.id(), &behind, Actor([1; 16]));
    assert!(found.lost.iter().all(|(place, _)| *place == 2), "a sound chunk was lost: {:?}", found.lost);
    if !found.lost.is_empty() && !found.copied {
        assert_eq!(ShopView::read(&found.document).ok(), all, "what was lost left something behind");
    }
    without_names(&found.document);
    let taken = found.lost.is_empty();
    // What comes first may say that it is what comes later: then that is lost.
    let before = [&[input.to_vec()][..], &chunks].concat();
    without_names(&rescue(Kind::Shop, sound.id(), &before, Actor([1; 16])).document);
    let whole = Document::load(input, Actor([2; 16])).map(|document| (document.kind(), document.id()));
    let (kind, id) = whole.as_ref().map_or((Kind::Job, DocumentId([3; 16])), |known| *known);
    let alone = rescue(kind, id, &[input.to_vec()], Actor([1; 16]));
    assert!(whole.is_err() || alone.lost.is_empty(), "what can be opened can be rescued: {:?}", alone.lost);
    without_names(&alone.document);
    taken || whole.is_ok() || alone.copied
}

/// A document made anonymous is one that can be kept and opened, and is made anonymous again.
fn without_names(document: &Document) {
    let copied = |document: &Document| {
        let copy = Anonymiser::new().document(document);
        copy.unwrap_or_else(|error| panic!("{error}"))
    };
    let mut copy = copied(document);
    views(&copy);
    if let Err(wrong) = Document::load(&copy.snapshot(), Actor([5; 16])) {
        panic!("{wrong} in what was made anonymous");
    }
    let names = |document: &Document| {
        ShopView::read(document)
            .ok()
            .map(|view| (view.crew.live.len(), view.rates.live.len(), view.tools.live.len()))
    };
    assert_eq!(names(&copy), names(document), "the same shapes");
    views(&copied(&copy));
}

fn signatures() -> Vec<Vec<u8>> {
    let texts = [
        r#"{"drylay_signature":1,"unit":"mm","width":90.0,"height":45.0,"strokes":[[[1.23,2.0],[30.0,40.5]]]}"#,
        r#"{"drylay_signature":1,"width":10,"height":1000,"strokes":[[[-2,-2],[12,1002],[3,4]],[],[[1,1]]]}"#,
        r#"{"drylay_signature":1,"width":30.5749,"height":62.4449,"strokes":[[[32.5748,64.4448],[0,0]]]}"#,
    ];
    texts.map(|text| text.as_bytes().to_vec()).to_vec()
}

fn signature(input: &[u8]) -> bool {
    let Some((again, on_paper)) = outside::signature(input) else { return false };
    let once = outside::signature(&again).unwrap_or_else(|| panic!("what was written is no signature"));
    assert_eq!(once.0, again, "to a hundredth of a millimetre it stays as it is");
    // A pen may run a little outside its field.
    let beside = |at: &f64| (-0.5..=1.5).contains(at);
    assert!(on_paper.iter().flatten().flatten().all(beside), "outside the paper: {on_paper:?}");
    true
}

/// A small picture of every container, with an Exif record where the container has a place for it.
fn pictures() -> Vec<Vec<u8>> {
    let picture = DynamicImage::ImageRgb8(image::RgbImage::from_fn(24, 16, |x, y| {
        image::Rgb([x, y, x + y].map(|n| u8::try_from(n * 6).unwrap_or(0)))
    }));
    let coded = |format| {
        let mut out = Cursor::new(Vec::new());
        picture.write_to(&mut out, format).map(|()| out.into_inner()).unwrap_or_default()
    };
    let (jpeg, png, webp) = (coded(ImageFormat::Jpeg), coded(ImageFormat::Png), coded(ImageFormat::WebP));
    let mut with_record = jpeg[..2].to_vec();
    let record = exif_record();
    with_record.extend([0xff, 0xe1]);
    with_record.extend(u16::try_from(record.len() + 8).unwrap_or(0).to_be_bytes());
    with_record.extend(b"Exif\0\0");
    with_record.extend(&record);
    with_record.extend(&jpeg[2..]);
    vec![jpeg, png, webp, with_record]
}

/// A TIFF record with the tags Orientation (6), DateTimeOriginal and OffsetTimeOriginal (Exif 2.31, 4.6).
fn exif_record() -> Vec<u8> {
    let mut out = b"MM\0\x2a\0\0\0\x08".to_vec();
    let entry = |out: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        out.extend(tag.to_be_bytes());
        out.extend(kind.to_be_bytes());
        out.extend(count.to_be_bytes());
        out.extend(value);
    };
    out.extend([0, 2]);
    entry(&mut out, 0x0112, 3, 1, [0, 6, 0, 0]);
    entry(&mut out, 0x8769, 4, 1, [0, 0, 0, 38]);
    out.extend([0; 4]);
    out.extend([0, 2]);
    entry(&mut out, 0x9003, 2, 20, [0, 0, 0, 68]);
    entry(&mut out, 0x9011, 2, 7, [0, 0, 0, 88]);
    out.extend([0; 4]);
    out.extend(b"2026:11:25 09:30:00\0+02:00\0");
    out
}

/// Brings the checksums of a PNG's chunks into line.
fn png_sums(input: &mut [u8]) {
    if !input.starts_with(&[0x89, b'P', b'N', b'G']) {
        return;
    }
    let mut at = 8;
    while let Some(length) = input.get(at..at + 4) {
        let length = u32::from_be_bytes([length[0], length[1], length[2], length[3]]);
        let end = at + 8 + usize::try_from(length).unwrap_or(usize::MAX / 2);
        let Some(sum) = input.get(at + 4..end).map(crc) else { return };
        let Some(place) = input.get_mut(end..end + 4) else { return };
        place.copy_from_slice(&sum.to_be_bytes());
        at = end + 4;
    }
}

/// The checksum of PNG (third edition, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    let step = |sum: u32| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 };
    let byte = |sum: u32, byte: &u8| (0..8).fold(sum ^ u32::from(*byte), |sum, _| step(sum));
    !bytes.iter().fold(u32::MAX, byte)
}

fn picture(input: &[u8]) -> bool {
    let Some(found) = outside::picture(input) else { return false };
    let again = outside::picture(&found.kept).unwrap_or_else(|| panic!("what is kept is no picture"));
    // Only what can be seen is taken in.
    if found.seen {
        assert!(again.seen, "what is kept can no longer be seen");
        assert_eq!(again.facts, found.facts, "which way is up, and when it was taken");
    }
    assert_eq!(again.kept, found.kept, "what is clean stays as it is");
    true
}

/// Issued plans of the demo's first room, as small as they can be: one with a cut that waits for its place, one with a
/// piece round a hole that was turned and slid, on a field of two parts.
fn issues() -> Vec<Vec<u8>> {
    let sheet = Sheet::read(demo::SHEET).map(|read| read.sheet.write()).unwrap_or_default();
    let square = "[[0,0],[600,0],[600,300],[0,300]]";
    let piece = format!(
        r#"{{"id":"1.1","row":1,"place":1,"cut":"length","outline":{square},"holes":[],"on_tile":{square},
        "on_tile_holes":[],"tile":1,"from":"left","cutting":{{"marks":[{{"on":"long","from":"start","figure":600}}],
        "size":[600,300],"neck":300,"when":"cut_ahead","window":{{"wall":["A","B"],"to_gap":3,"to_trim":8}}}}}}"#
    );
    let text = format!(
        r#"{{"drylay_issue":1,"what":"plan","sheet":{sheet},"plan":{{"choice":{{"angle_degrees":0}},
        "field":[{{"outline":{square},"holes":[]}}],"tiles":1,"rows":[{{"row":1,"width":300}}],"pieces":[{piece}]}}}}"#
    );
    let hole = "[[100,100],[200,100],[200,200],[100,200]]";
    let other = "[[900,0],[1500,0],[1500,300],[900,300]]";
    let turned = format!(
        r#"{{"id":"2.1","row":2,"place":1,"cut":"notch","outline":{square},"holes":[{hole}],"on_tile":{square},
        "on_tile_holes":[{hole}],"tile":2,"from":"right","slid":0.5,"turned":true}}"#
    );
    let second = format!(
        r#"{{"drylay_issue":1,"what":"plan","sheet":{sheet},"plan":{{"choice":{{"angle_degrees":33.5}},
        "field":[{{"outline":{square},"holes":[{hole}]}},{{"outline":{other},"holes":[]}}],"tiles":2,
        "rows":[{{"row":1,"width":300}},{{"row":2,"width":120.5}}],"pieces":[{turned},{piece}]}},"subfloor":null}}"#
    );
    vec![text.into_bytes(), second.into_bytes()]
}

fn issue(input: &[u8]) -> bool {
    outside::issued_plan(input).is_some()
}
