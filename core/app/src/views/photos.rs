//! A job's photos and notes for the screens, and what they are pinned to.

use crate::Problem;
use crate::desk::{Desk, SeenJob};
use crate::photos::{Size, decode, facts, smaller};
use crate::refusal::unknown;
use crate::show::{iso, stamp};
use crate::wire::{NoteView, PhotoList, PhotoMarkView, PhotoView, PinAsk, PinView};
use crate::words::say;
use drylay_document::{Held, Photo, Pin, PinKind};
use drylay_geometry::ItemId;
use drylay_store::FileHash;
use drylay_store::disk::{self, Readers, RealDisk};
use std::path::PathBuf;

/// The folder of smaller copies within the store's: made again when they are missing.
const COPIES: &str = "copies";
/// From this many free bytes downwards a full device is warned of: some two hundred photos.
const LITTLE_SPACE: u64 = 1 << 30;

impl Desk {
    fn copy_path(&self, hash: FileHash, size: Size) -> PathBuf {
        self.store.folder().join(COPIES).join(format!("{hash}-{}.jpg", size.word()))
    }

    /// Keeps a smaller copy. It can be made again, so that it cannot be kept is no mistake.
    pub(crate) fn keep_copy(&self, hash: FileHash, size: Size, bytes: &[u8]) {
        let path = self.copy_path(hash, size);
        let kept = disk::make_folders(&RealDisk, &self.store.folder().join(COPIES));
        let _ = kept.and_then(|()| disk::put_whole(&RealDisk, &path, Readers::Usual, bytes));
    }

    /// What all photos here take, in bytes and in words.
    pub(crate) fn photos_text(&self) -> Result<(f64, String), Problem> {
        let files = self.store.files()?;
        let bytes: i64 = files.iter().filter(|file| file.label == "photo").map(|file| file.bytes).sum();
        Ok((bytes as f64, size_words(bytes as f64)))
    }

    /// A word of warning while there is still room to act; nothing where there is enough, or nobody can say.
    pub(crate) fn space_warning(&self) -> Option<String> {
        let free = self.world.free_bytes(self.store.folder())?;
        (free < LITTLE_SPACE).then(|| say("device.little_space", &[("free", &size_words(free as f64))]))
    }

    /// A picture by its name: `HASH`, `HASH/medium` or `HASH/small`.
    pub(crate) fn picture(&self, name: &str) -> Option<Vec<u8>> {
        let (hash, size) = match name.split_once('/') {
            None => (name, None),
            Some((hash, word)) => (hash, Some(Size::ALL.into_iter().find(|size| size.word() == word)?)),
        };
        let hash = FileHash::parse(hash)?;
        let Some(size) = size else { return self.store.read_file(hash).ok() };
        if let Ok(copy) = std::fs::read(self.copy_path(hash, size)) {
            return Some(copy);
        }
        let original = self.store.read_file(hash).ok()?;
        let copy = smaller(&decode(&original, &facts(&original)).ok()?, size).ok()?;
        self.keep_copy(hash, size, &copy);
        Some(copy)
    }
}

/// A pin as it is stored.
///
/// # Errors
/// Names what is not there.
pub(crate) fn pin(desk: &mut Desk, job: &SeenJob, asked: &PinAsk) -> Result<Pin, Problem> {
    let what = PinKind::ALL.iter().find(|kind| kind.word() == asked.what && **kind != PinKind::Spot);
    let what = *what.ok_or_else(|| unknown("photo.unknown_pin", "pin.what", &asked.what))?;
    let item = asked.item.as_deref().unwrap_or("");
    let none = Pin { what, room: None, item: None, at: None };
    match what {
        PinKind::Job | PinKind::Spot => return Ok(none),
        PinKind::Piece => return Ok(Pin { item: Some(ItemId::new(item)), ..none }),
        _ => {}
    }
    let room = asked.room.as_deref().unwrap_or("");
    let seen = desk.room(job, job.room(room, "pin.room")?)?;
    let corner = |label: &str| -> Result<ItemId, Problem> {
        let place = seen.labels.place(label, "pin.item")?;
        Ok(seen.labels.walk()[place].0.clone())
    };
    let item = match what {
        PinKind::Room => None,
        PinKind::Wall => Some(corner(item)?),
        PinKind::Reading => {
            let (from, to) =
                item.split_once('-').ok_or_else(|| unknown("room.unknown_corner", "pin.item", item))?;
            let (from, to) = (corner(from)?, corner(to)?);
            let same = |held: &&Held<drylay_document::TapeReading>| {
                let ends = (&held.value.from, &held.value.to);
                ends == (&from, &to) || ends == (&to, &from)
            };
            let held = seen.view.tape.live.iter().find(same);
            Some(held.ok_or_else(|| unknown("photo.unknown_reading", "pin.item", item))?.id.clone())
        }
        _ => {
            let id = ItemId::new(item);
            seen.view.openings.get(&id).ok_or_else(|| unknown("entry.unknown", "pin.item", item))?;
            Some(id)
        }
    };
    Ok(Pin { room: Some(ItemId::new(room)), item, ..none })
}

pub(crate) fn pin_view(desk: &mut Desk, job: &SeenJob, pin: &Pin) -> PinView {
    let plain = |item: Option<String>, words: String| PinView {
        what: pin.what.word().to_owned(),
        room: pin.room.as_ref().map(ToString::to_string),
        item,
        words,
    };
    let id = pin.item.as_ref().map(ToString::to_string);
    let link = pin.room.as_ref().and_then(|room| job.view.rooms.get(room));
    let name = link.map_or("", |held| held.value.name.as_str());
    let seen = link.and_then(|held| desk.room(job, held.value.document).ok());
    let (Some(seen), Some(item)) = (seen, pin.item.as_ref()) else {
        return match pin.what {
            PinKind::Piece => {
                let piece = id.as_deref().map_or("", |id| id.rsplit('/').next().unwrap_or(id)).to_owned();
                plain(id, say("pin.piece", &[("piece", &piece)]))
            }
            PinKind::Job => plain(None, say("pin.job", &[])),
            _ => plain(id, name.to_owned()),
        };
    };
    let labels = &seen.labels;
    match pin.what {
        PinKind::Wall => {
            let walk = labels.walk();
            let at = walk.iter().position(|(id, _)| id == item);
            let to = at.map_or("?", |at| walk[(at + 1) % walk.len()].1.as_str());
            let from = labels.of_corner(item);
            let words = say("pin.wall", &[("from", &from), ("to", to), ("room", name)]);
            plain(Some(from), words)
        }
        PinKind::Reading => {
            let past = seen.view.tape.past.iter().map(|past| &past.held);
            let held = seen.view.tape.live.iter().chain(past).find(|held| held.id == *item);
            let ends =
                held.map(|held| (labels.of_corner(&held.value.from), labels.of_corner(&held.value.to)));
            let (from, to) = ends.unwrap_or_else(|| ("?".to_owned(), "?".to_owned()));
            let words = say("pin.reading", &[("from", &from), ("to", &to), ("room", name)]);
            plain(Some(format!("{from}-{to}")), words)
        }
        _ => plain(id, say("pin.opening", &[("room", name)])),
    }
}

/// The job's photos and notes.
pub(crate) fn list(desk: &mut Desk, id: &str) -> Result<PhotoList, Problem> {
    let job = desk.job(id)?;
    let mut photos: Vec<&Held<Photo>> = job.view.photos.live.iter().collect();
    photos.sort_by_key(|held| {
        (std::cmp::Reverse(held.value.taken_ms.unwrap_or(held.added.at.utc_ms)), held.id.clone())
    });
    let photos = photos.into_iter().map(|held| photo(desk, &job, held)).collect::<Result<_, _>>()?;
    let mut notes: Vec<NoteView> = Vec::new();
    let mut held: Vec<_> = job.view.notes.live.iter().collect();
    held.sort_by_key(|held| (std::cmp::Reverse(held.added.at.utc_ms), held.id.clone()));
    for held in held {
        notes.push(NoteView {
            id: held.id.to_string(),
            words: held.value.words.clone(),
            pin: held.value.pin.as_ref().map(|pin| pin_view(desk, &job, pin)),
            stamp: stamp(held.stamp("words")),
        });
    }
    let (stored_bytes, stored_text) = desk.photos_text()?;
    Ok(PhotoList { photos, notes, stored_bytes, stored_text, space_warning: desk.space_warning() })
}

/// A size in decimal units (IEC 80000-13: 1 kB is 1000 bytes).
pub(crate) fn size_words(bytes: f64) -> String {
    if bytes < 1e6 { format!("{:.0} kB", bytes / 1e3) } else { format!("{:.1} MB", bytes / 1e6) }
}

fn photo(desk: &mut Desk, job: &SeenJob, held: &Held<Photo>) -> Result<PhotoView, Problem> {
    let photo = &held.value;
    let pixels = |n: Option<i64>| n.and_then(|n| u32::try_from(n).ok());
    let narrow = |n: i64| i32::try_from(n).unwrap_or(0);
    let marks = job.view.photo_marks.live.iter().filter(|mark| mark.value.photo == held.id);
    Ok(PhotoView {
        id: held.id.to_string(),
        hash: photo.hash.to_string(),
        width: pixels(photo.width),
        height: pixels(photo.height),
        taken: photo.taken_ms.map(iso),
        bytes: photo.bytes as f64,
        caption: photo.caption.clone().unwrap_or_default(),
        pin: photo.pin.as_ref().map(|pin| pin_view(desk, job, pin)),
        here: desk.store.file_path(FileHash(photo.hash.0))?.is_some(),
        marks: marks
            .map(|mark| PhotoMarkView {
                id: mark.id.to_string(),
                what: mark.value.what.word().to_owned(),
                points: mark.value.points.iter().map(|&(x, y)| (narrow(x), narrow(y))).collect(),
                words: mark.value.words.clone().unwrap_or_default(),
            })
            .collect(),
        stamp: stamp(&held.added),
    })
}
