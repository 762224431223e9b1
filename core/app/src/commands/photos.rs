//! Photos and notes of a job: taken in, pinned, drawn upon, taken out.

use super::jobs::said;
use crate::Problem;
use crate::desk::SeenJob;
use crate::photos::{Facts, Kind, Size, clean, decode, facts, smaller};
use crate::refusal::unknown;
use crate::session::Session;
use crate::views::photos as views;
use crate::wire::{
    Event, NoteSet, OfJob, OfJobItem, PhotoEdit, PhotoList, PhotoMarkAdd, PhotosAdd, PhotosTaken, TaskView,
};
use crate::words::say;
use drylay_document::{ContentHash, Edit, Entry, JobEntry, MarkKind, Note, Photo, PhotoMark, Pin};
use drylay_geometry::ItemId;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

/// The largest file that is taken for a photo, in bytes.
const MOST_BYTES: u64 = 100 << 20;
/// The most points of a mark.
const MOST_POINTS: usize = 1000;

pub(crate) fn list(session: &Session, ask: OfJob) -> Result<PhotoList, Problem> {
    views::list(&mut session.desk(), &ask.job)
}

pub(crate) fn add(session: &Session, ask: PhotosAdd) -> Result<TaskView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let pin = views::pin(&mut desk, &job, &ask.pin)?;
    let task = desk.new_id().to_string();
    drop(desk);
    let cancelled = session.begin(&task);
    let (own, name) = (session.clone(), task.clone());
    std::thread::spawn(move || {
        let taken = take_all(&own, &name, &ask, &pin, &cancelled);
        own.end(&name);
        own.tell(&match serde_json::to_value(taken) {
            Ok(answer) => Event::Finished { task: name, answer },
            Err(error) => Event::Failed { task: name, problem: Problem::internal(&error.to_string()) },
        });
    });
    Ok(TaskView { task })
}

/// One photo after another; those that are in stay in when the rest is cancelled.
fn take_all(
    session: &Session,
    task: &str,
    ask: &PhotosAdd,
    pin: &Pin,
    cancelled: &AtomicBool,
) -> PhotosTaken {
    let mut taken = PhotosTaken { added: 0, known: 0, refused: Vec::new() };
    for (n, path) in ask.paths.iter().enumerate() {
        if cancelled.load(Ordering::Relaxed) {
            break;
        }
        let fraction = n as f64 / ask.paths.len() as f64;
        session.tell(&Event::Progress { task: task.to_owned(), fraction, note: String::new(), best: None });
        // A picture that stops its decoder must not leave the others, and the screens, waiting for ever.
        let done = catch_unwind(AssertUnwindSafe(|| take(session, &ask.job, Path::new(path), pin)));
        match done {
            Ok(Ok(true)) => taken.added += 1,
            Ok(Ok(false)) => taken.known += 1,
            Ok(Err(problem)) => taken.refused.push(problem),
            Err(_) => {
                session.desk().forget_all();
                taken.refused.push(Problem::internal(path));
            }
        }
    }
    taken
}

/// A photo that is ready to be stored.
struct Ready {
    facts: Facts,
    original: Vec<u8>,
    copies: Vec<(Size, Vec<u8>)>,
    width: u32,
    height: u32,
}

/// Takes one photo in; whether it was new to the job.
fn take(session: &Session, job: &str, path: &Path, pin: &Pin) -> Result<bool, Problem> {
    let ready = ready(path)?;
    let mut desk = session.desk();
    let hash = desk.store.put_file(&ready.original, "photo")?;
    for (size, copy) in &ready.copies {
        desk.keep_copy(hash, *size, copy);
    }
    let seen = desk.job(job)?;
    let stored = ContentHash(hash.0);
    if seen
        .view
        .photos
        .live
        .iter()
        .any(|held| held.value.hash == stored && held.value.pin.as_ref() == Some(pin))
    {
        return Ok(false);
    }
    let (id, zone) = (desk.new_id(), desk.world.now().zone_minutes);
    drop(desk);
    let photo = Photo {
        hash: stored,
        bytes: i64::try_from(ready.original.len()).unwrap_or(i64::MAX),
        width: Some(i64::from(ready.width)),
        height: Some(i64::from(ready.height)),
        taken_ms: ready.facts.taken_ms(zone),
        pin: Some(pin.clone()),
        caption: None,
        in_report: None,
    };
    let edit = Edit::<JobEntry>::add(id, photo);
    session.change(seen.id, say("what.photo", &[]), |change| change.apply(seen.id, &[edit]))?;
    Ok(true)
}

/// Reads a file and makes it ready, without holding up anybody else.
fn ready(path: &Path) -> Result<Ready, Problem> {
    let file = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let wrong = |code: &str| Problem::new(code, "paths").with("file", &file);
    let io = |error: std::io::Error| {
        Problem::new("store.io", "paths").with("path", path.display()).with("why", error)
    };
    if std::fs::metadata(path).map_err(io)?.len() > MOST_BYTES {
        return Err(wrong("photo.too_large").with("most", MOST_BYTES >> 20));
    }
    let bytes = std::fs::read(path).map_err(io)?;
    let kind = Kind::of(&bytes).ok_or_else(|| wrong("photo.unknown_kind"))?;
    let facts = facts(&bytes);
    let picture = decode(&bytes, &facts).map_err(|error| wrong("photo.damaged").with("why", error))?;
    let original = clean(kind, &bytes, &facts).ok_or_else(|| wrong("photo.damaged").with("why", ""))?;
    let copies =
        Size::ALL.into_iter().filter_map(|size| Some((size, smaller(&picture, size).ok()?))).collect();
    Ok(Ready { facts, original, copies, width: picture.width(), height: picture.height() })
}

fn photo<'j>(job: &'j SeenJob, id: &str) -> Result<&'j Photo, Problem> {
    let held = job.view.photos.get(&ItemId::new(id));
    held.map(|held| &held.value).ok_or_else(|| unknown("photo.unknown", "photo", id))
}

pub(crate) fn edit(session: &Session, ask: PhotoEdit) -> Result<PhotoList, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let before = photo(&job, &ask.photo)?.clone();
    let pin = ask.pin.as_ref().map(|asked| views::pin(&mut desk, &job, asked)).transpose()?;
    drop(desk);
    let after = Photo {
        caption: ask.caption.as_deref().map_or_else(|| before.caption.clone(), said),
        pin: pin.or_else(|| before.pin.clone()),
        ..before.clone()
    };
    let edit = Edit::<JobEntry>::change(ItemId::new(&ask.photo), before, after);
    done(session, &job, say("what.photo_changed", &[]), edit)
}

pub(crate) fn remove(session: &Session, ask: OfJobItem) -> Result<PhotoList, Problem> {
    let job = session.desk().job(&ask.job)?;
    photo(&job, &ask.id)?;
    let edit = Edit::Withdraw { table: Photo::TABLE, id: ItemId::new(&ask.id) };
    done(session, &job, say("what.photo_removed", &[]), edit)
}

pub(crate) fn draw(session: &Session, ask: PhotoMarkAdd) -> Result<PhotoList, Problem> {
    let job = session.desk().job(&ask.job)?;
    photo(&job, &ask.photo)?;
    let what = MarkKind::ALL.iter().find(|kind| kind.word() == ask.what);
    let what = *what.ok_or_else(|| unknown("photo.unknown_mark", "what", &ask.what))?;
    let least = if what == MarkKind::Words { 1 } else { 2 };
    let inside = |&(x, y): &(i32, i32)| (0..=10_000).contains(&x) && (0..=10_000).contains(&y);
    if ask.points.len() < least || ask.points.len() > MOST_POINTS || !ask.points.iter().all(inside) {
        return Err(Problem::new("photo.mark_points", "points")
            .with("least", least)
            .with("most", MOST_POINTS));
    }
    let mark = PhotoMark {
        photo: ItemId::new(&ask.photo),
        what,
        points: ask.points.iter().map(|&(x, y)| (i64::from(x), i64::from(y))).collect(),
        words: said(&ask.words),
    };
    let edit = Edit::<JobEntry>::add(session.desk().new_id(), mark);
    done(session, &job, say("what.photo_drawn", &[]), edit)
}

pub(crate) fn wipe(session: &Session, ask: OfJobItem) -> Result<PhotoList, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    if job.view.photo_marks.get(&id).is_none() {
        return Err(unknown("photo.unknown_mark", "id", &ask.id));
    }
    done(session, &job, say("what.photo_wiped", &[]), Edit::Withdraw { table: PhotoMark::TABLE, id })
}

pub(crate) fn set_note(session: &Session, ask: NoteSet) -> Result<PhotoList, Problem> {
    let words = said(&ask.words).ok_or_else(|| Problem::new("note.empty", "words"))?;
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let pin = Some(views::pin(&mut desk, &job, &ask.pin)?);
    let fresh = desk.new_id();
    drop(desk);
    let edit: Edit<JobEntry> = match &ask.id {
        None => Edit::add(fresh, Note { words, pin, day: None }),
        Some(id) => {
            let held = job.view.notes.get(&ItemId::new(id));
            let old = held.ok_or_else(|| unknown("note.unknown", "id", id))?.value.clone();
            Edit::change(ItemId::new(id), old.clone(), Note { words, pin, ..old })
        }
    };
    done(session, &job, say("what.note", &[]), edit)
}

pub(crate) fn remove_note(session: &Session, ask: OfJobItem) -> Result<PhotoList, Problem> {
    let job = session.desk().job(&ask.job)?;
    let id = ItemId::new(&ask.id);
    if job.view.notes.get(&id).is_none() {
        return Err(unknown("note.unknown", "id", &ask.id));
    }
    done(session, &job, say("what.note_removed", &[]), Edit::Withdraw { table: Note::TABLE, id })
}

fn done(session: &Session, job: &SeenJob, words: String, edit: Edit<JobEntry>) -> Result<PhotoList, Problem> {
    session.change(job.id, words, |change| change.apply(job.id, &[edit]))?;
    views::list(&mut session.desk(), &job.id.to_string())
}
