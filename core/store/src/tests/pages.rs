//! SQLite's own two files, cut at every boundary of a page and of a frame, and in the middle of each.
//!
//! The log (write-ahead log) is a header of 32 bytes and frames of 24 bytes and a page
//! (<https://www.sqlite.org/fileformat2.html>, section 4).

use std::fs;
use std::path::PathBuf;

use super::{Folder, ROOM, append, scratch};
use crate::store::DATABASE;
use crate::{FileHash, Store};

const PAGE: usize = 4096;
const LOG_HEADER: usize = 32;
const FRAME: usize = 24 + PAGE;
const CHUNKS: u8 = 12;

fn chunk(n: u8) -> Vec<u8> {
    vec![n; 1500]
}

/// The two files of a store after each of some edits, before and after the log was taken into the pages.
struct Copies {
    /// The pages before.
    pages: Vec<u8>,
    /// The log then.
    log: Vec<u8>,
    /// The log's length after each edit.
    acknowledged_at: Vec<usize>,
    /// The pages after.
    taken_in: Vec<u8>,
}

fn log_of(folder: &Folder) -> PathBuf {
    folder.database().with_file_name(format!("{DATABASE}-wal"))
}

/// `CHUNKS` edits, of which the first `in_pages` are in the pages and the others in the log.
fn copies(name: &str, in_pages: u8) -> Copies {
    let folder = scratch(name);
    let mut store = folder.store(1);
    let take_in = |store: &Store| {
        let busy: i64 =
            store.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0)).unwrap();
        assert_eq!(busy, 0);
    };
    for n in 0..in_pages {
        append(&mut store, &chunk(n));
    }
    store.put_file(b"a photo", "photo").unwrap();
    take_in(&store);
    let pages = fs::read(folder.database()).unwrap();
    let mut acknowledged_at = Vec::new();
    for n in in_pages..CHUNKS {
        append(&mut store, &chunk(n));
        acknowledged_at.push(fs::read(log_of(&folder)).unwrap().len());
    }
    let log = fs::read(log_of(&folder)).unwrap();
    assert_eq!(fs::read(folder.database()).unwrap(), pages, "nothing was taken in by itself");
    take_in(&store);
    let taken_in = fs::read(folder.database()).unwrap();
    assert_eq!((pages.len() % PAGE, log.len().saturating_sub(LOG_HEADER) % FRAME), (0, 0));
    Copies { pages, log, acknowledged_at, taken_in }
}

/// A store of these two files.
fn put(name: &str, pages: &[u8], log: &[u8]) -> Folder {
    let folder = scratch(name);
    fs::create_dir_all(folder.0.join("store")).unwrap();
    fs::write(folder.database(), pages).unwrap();
    fs::write(log_of(&folder), log).unwrap();
    folder
}

/// Opens it and says how many edits are there; they must be the first ones, whole.
fn edits_in(folder: &Folder) -> usize {
    let store = folder.store(200);
    let found = store.load(ROOM).unwrap();
    assert_eq!(found.damaged, []);
    let expected: Vec<Vec<u8>> = (0..CHUNKS).take(found.chunks.len()).map(chunk).collect();
    assert_eq!(found.chunks, expected, "the edits that are there are the first ones");
    let report = store.check().unwrap();
    assert!(report.pages.is_empty() && report.damaged_rows.is_empty(), "{report:?}");
    found.chunks.len()
}

#[test]
fn a_log_that_is_cut_anywhere_keeps_every_edit_before_the_cut() {
    let copies = copies("log-cut", 5);
    let frames = (copies.log.len() - LOG_HEADER) / FRAME;
    assert!(frames > 10, "{frames} frames");
    let boundaries = (0..=frames).map(|n| LOG_HEADER + n * FRAME);
    let cuts = boundaries.flat_map(|at| [at.saturating_sub(FRAME / 2), at, at + 1]).chain([0, 16]);
    for cut in cuts.filter(|cut| *cut <= copies.log.len()) {
        let folder = put("log-cut-at", &copies.pages, &copies.log[..cut]);
        let sure = 5 + copies.acknowledged_at.iter().filter(|end| **end <= cut).count();
        assert_eq!(edits_in(&folder), sure, "cut at {cut}");
    }
}

#[test]
fn a_torn_frame_ends_the_log_there() {
    let copies = copies("log-torn", 5);
    let frames = (copies.log.len() - LOG_HEADER) / FRAME;
    for frame in 0..frames {
        let mut log = copies.log.clone();
        let at = LOG_HEADER + frame * FRAME;
        log[at + FRAME / 2..at + FRAME].fill(0);
        if log == copies.log {
            continue;
        }
        let folder = put("log-torn-at", &copies.pages, &log);
        let sure = 5 + copies.acknowledged_at.iter().filter(|end| **end <= at).count();
        assert_eq!(edits_in(&folder), sure, "frame {frame}");
    }
}

#[test]
fn pages_that_were_only_partly_taken_in_are_mended_from_the_log() {
    let copies = copies("taking-in", 2);
    let (old, new) = (&copies.pages, &copies.taken_in);
    let pages = new.len() / PAGE;
    let ends = (0..=pages).flat_map(|n| [n * PAGE, n * PAGE + PAGE / 2]);
    for end in ends.filter(|end| *end <= new.len()) {
        // The first pages are new and the others as before; or the other way round, and in the middle of a page.
        let first = [&new[..end], old.get(end..).unwrap_or_default()].concat();
        let mut last = new.clone();
        let kept = end.min(old.len());
        last[..kept].copy_from_slice(&old[..kept]);
        for found in [first, last] {
            let folder = put("taking-in-at", &found, &copies.log);
            assert_eq!(edits_in(&folder), usize::from(CHUNKS), "at {end}");
        }
    }
}

#[test]
fn a_database_that_lost_its_end_never_hands_out_what_nobody_wrote() {
    let whole = copies("pages-cut", CHUNKS);
    let pages = whole.pages.len() / PAGE;
    let (mut refused, mut opened) = (0, 0);
    for cut in (0..pages).flat_map(|n| [n * PAGE, n * PAGE + PAGE / 2]) {
        let folder = put("pages-cut-at", &whole.pages[..cut], &[]);
        let Ok(store) = Store::open(&folder.0.join("store"), [9; 16]) else {
            refused += 1;
            continue;
        };
        opened += 1;
        let Ok(found) = store.load(ROOM) else { continue };
        for bytes in &found.chunks {
            assert!((0..CHUNKS).any(|n| *bytes == chunk(n)), "cut at {cut}");
        }
        let complete = found.chunks.len() == usize::from(CHUNKS);
        let photo = store.read_file(FileHash::of(b"a photo"));
        assert!(photo.is_err() || photo.unwrap() == b"a photo");
        // Nothing at all is an empty store; anything in between is told.
        let told = store.check().map_or(true, |report| !report.is_clean());
        assert!(complete || told || cut == 0, "cut at {cut}: {} edits and no word of it", found.chunks.len());
    }
    assert!(refused + opened == 2 * pages && refused > 0, "{refused} refused, {opened} opened");
}
