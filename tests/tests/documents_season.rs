//! A season's room and a season's job: how large they are, and how long they take to open.
//!
//! Sizes are asserted, clocks are only printed (`--nocapture`): the machine that runs this is anybody's.

use std::time::Instant;

use drylay_document::{
    Actor, Author, ContentHash, DeviceId, Document, DocumentId, Edit, JobEntry, JobView, Kind, PieceMark,
    PieceState, RodReading, RoomEntry, RoomView, TapeReading, Timestamp, TypedLength,
};
use drylay_store::{DocumentKey, Op, Store};

fn ana() -> Author {
    Author { device: DeviceId([1; 16]), name: "Ana".into() }
}

fn minute(n: usize) -> Timestamp {
    Timestamp {
        utc_ms: 1_790_000_000_000 + 60_000 * i64::try_from(n).expect("a small number"),
        zone_minutes: -300,
    }
}

/// A random id as the app makes them: 22 characters for 128 bits.
fn random_id(random: &mut fastrand::Rng) -> String {
    std::iter::repeat_with(|| random.alphanumeric()).take(22).collect()
}

fn length(text: &str) -> TypedLength {
    TypedLength::parse(text).expect("a length")
}

fn tape(random: &mut fastrand::Rng) -> TapeReading {
    let corner = |random: &mut fastrand::Rng| char::from(b'A' + random.u8(0..12)).to_string().as_str().into();
    let read =
        length(&format!("{}' {} {}/16\"", random.u8(3..20), random.u8(0..12), 1 + 2 * random.u8(0..8)));
    TapeReading {
        from: corner(random),
        to: corner(random),
        read,
        sd: None,
        tool: None,
        measured_to: None,
        measured_at: None,
        listed: None,
    }
}

fn rod(n: usize, random: &mut fastrand::Rng) -> RodReading {
    let mm = |random: &mut fastrand::Rng, most: u32| length(&format!("{} mm", random.u32(0..most)));
    RodReading {
        point: format!("p{n}").as_str().into(),
        at: drylay_document::At { x: mm(random, 4000), y: mm(random, 6000) },
        rod: mm(random, 1300),
        setup: Some("s1".into()),
        round: None,
        listed: None,
    }
}

/// A room with `n` readings, typed one by one, of which every fifth corrects an earlier one. Its chunks as stored.
fn season(n: usize) -> Vec<Vec<u8>> {
    let mut random = fastrand::Rng::with_seed(7);
    let mut room = Document::create(Kind::Room, DocumentId([7; 16]), Actor([1; 16]));
    let mut chunks = vec![room.take_chunk().expect("the skeleton")];
    let mut last = String::new();
    for k in 0..n {
        let id = random_id(&mut random);
        let edit: Edit<RoomEntry> = match k % 5 {
            0 => Edit::add(id.as_str(), rod(k, &mut random)),
            4 => Edit::correct(id.as_str(), tape(&mut random), last.as_str()),
            _ => Edit::add(id.as_str(), tape(&mut random)),
        };
        last = id;
        room.apply(&edit, &ana(), minute(k)).expect("an edit");
        chunks.push(room.take_chunk().expect("a chunk"));
    }
    chunks
}

#[expect(clippy::print_stdout, reason = "a figure for whoever runs the test with --nocapture")]
fn milliseconds<T>(what: &str, mut work: impl FnMut() -> T) -> T {
    let _warm = work();
    let mut times: Vec<f64> = Vec::new();
    for _ in 0..5 {
        let start = Instant::now();
        let _ = work();
        times.push(start.elapsed().as_secs_f64() * 1000.0);
    }
    times.sort_by(f64::total_cmp);
    println!("{what}: {:.1} ms (median of 5)", times[2]);
    work()
}

#[test]
fn a_season_s_room_opens_with_every_reading_and_its_corrections() {
    let chunks = season(1000);
    let increments: usize = chunks[1..].iter().map(Vec::len).sum();
    let joined = chunks.concat();
    let open = |bytes: &[u8]| {
        let room = Document::load(bytes, Actor([9; 16])).expect("a document");
        let view = RoomView::read(&room).expect("a room");
        (view.tape.live.len() + view.rods.live.len(), view.tape.past.len())
    };
    let snapshot = Document::load(&joined, Actor([8; 16])).expect("a document").snapshot();
    println!("1,000 readings: {} bytes as chunks, {} as a snapshot", joined.len(), snapshot.len());
    println!("one edit: {} bytes on average", increments / 1000);
    let from_chunks = milliseconds("opened from 1,001 chunks", || open(&joined));
    let from_snapshot = milliseconds("opened from a snapshot", || open(&snapshot));
    assert_eq!(from_chunks, (800, 200));
    assert_eq!(from_snapshot, from_chunks);
    assert!(increments / 1000 < 700, "an edit fits in one packet with the headers around it");
    assert!(snapshot.len() < 120_000, "{}", snapshot.len());
}

#[test]
fn an_edit_is_acknowledged_after_the_disk_has_it() {
    let folder = std::env::temp_dir().join(format!("drylay-season-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let mut store = Store::open(&folder, [1; 16]).expect("a store");
    let mut room = Document::load(&season(1000).concat(), Actor([2; 16])).expect("a document");
    let mut random = fastrand::Rng::with_seed(3);
    let mut times: Vec<f64> = Vec::new();
    for k in 0..50 {
        let edit = Edit::<RoomEntry>::add(random_id(&mut random), tape(&mut random));
        let start = Instant::now();
        room.apply(&edit, &ana(), minute(k)).expect("an edit");
        let chunk = room.take_chunk().expect("a chunk");
        store.write(&[Op::Append { document: DocumentKey([7; 16]), chunk: &chunk }]).expect("a write");
        times.push(start.elapsed().as_secs_f64() * 1000.0);
    }
    times.sort_by(f64::total_cmp);
    println!("edit acknowledged: median {:.1} ms, worst {:.1} ms", times[25], times[49]);
    assert_eq!(store.load(DocumentKey([7; 16])).expect("rows").chunks.len(), 50);
    drop(store);
    let _ = std::fs::remove_dir_all(&folder);
}

#[test]
fn a_season_s_job_stays_under_a_megabyte() {
    let mut random = fastrand::Rng::with_seed(5);
    let mut job = Document::create(Kind::Job, DocumentId([8; 16]), Actor([1; 16]));
    for k in 0..2000 {
        let mark = PieceMark {
            plan: ContentHash::of(b"the plan"),
            area: "main".into(),
            pieces: vec![format!("{}-{}", k / 20, k % 20)],
            state: PieceState::Laid,
            after: Vec::new(),
        };
        job.apply(&Edit::<JobEntry>::add(random_id(&mut random), mark), &ana(), minute(k)).expect("an edit");
    }
    for k in 0..300_u32 {
        let photo = drylay_document::Photo {
            hash: ContentHash::of(&k.to_le_bytes()),
            bytes: 3_000_000,
            width: Some(4000),
            height: Some(3000),
            taken_ms: Some(1_790_000_000_000),
            pin: None,
            caption: None,
            in_report: None,
        };
        job.apply(&Edit::<JobEntry>::add(random_id(&mut random), photo), &ana(), minute(0)).expect("an edit");
    }
    let snapshot = job.snapshot();
    let rooms: usize = (0..8)
        .map(|_| season(250))
        .map(|chunks| Document::load(&chunks.concat(), Actor([3; 16])).expect("a document").snapshot().len())
        .sum();
    println!("2,000 marks and 300 photos: {} bytes; 8 rooms with 2,000 readings: {rooms}", snapshot.len());
    let marks = milliseconds("the job opened", || {
        JobView::read(&Document::load(&snapshot, Actor([9; 16])).expect("a document"))
            .expect("a job")
            .pieces
            .live
            .len()
    });
    assert_eq!(marks, 2000);
    assert!(snapshot.len() + rooms < 1_000_000);
}

#[test]
fn a_thousand_jobs_are_listed_without_opening_one() {
    let folder = std::env::temp_dir().join(format!("drylay-thousand-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    let mut store = Store::open(&folder, [1; 16]).expect("a store");
    let lines: Vec<_> = (0..1000_u16)
        .map(|n| drylay_store::Summary {
            job: DocumentKey(u128::from(n).to_le_bytes()),
            name: format!("Job {n}"),
            client: "A client".into(),
            site: "A street in a town".into(),
            units: "metric".to_owned(),
            rooms: 3,
            area_m2: Some(31.5),
            tiles: Some(180),
            cartons: Some(26),
            changed_utc_ms: i64::from(n),
            changed_zone_minutes: 0,
            changed_by: "Ana".into(),
            put_away: false,
        })
        .collect();
    store.write(&lines.iter().map(Op::Summarise).collect::<Vec<_>>()).expect("a write");
    let listed = milliseconds("1,000 jobs listed", || store.jobs().expect("the list").len());
    assert_eq!(listed, 1000);
    drop(store);
    let _ = std::fs::remove_dir_all(&folder);
}
