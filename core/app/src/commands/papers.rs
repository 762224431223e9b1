//! Papers of a job: which can be made, making them as a task, the size of their sheets, and showing one.

use super::buy::{Reckoned, Waiting, reckon, working_out};
use super::floor::flatness_of;
use super::quote;
use crate::Problem;
use crate::answers::{ChoiceAnswer, FlatnessAnswer, resolve};
use crate::made::Made;
use crate::outlet::Outlet;
use crate::papers::{Basis, PaperFile, PaperKind, ReportPhoto, Setter, Size, Wish, write_all};
use crate::photos::{decode, facts, for_paper};
use crate::refusal::unknown;
use crate::session::Session;
use crate::show::{day, stamp};
use crate::side_by_side::side_by_side;
use crate::task::{self, GoOn};
use crate::views::papers::{self as show, Photos};
use crate::views::photos::pin_view;
use crate::wire::{Done, OfJob, PaperLine, PapersMake, PapersShow, PapersSize, PapersView, TaskView};
use crate::words::say;
use drylay_document::{ContentHash, Held, MarkKind, Photo, PhotoMark};
use drylay_papers::paper::PhotoMark as DrawnMark;
use drylay_store::Op;
use std::path::{Path, PathBuf};

/// How much of a task has gone by when everything is worked out.
const WORKED_OUT: f64 = 0.4;
/// The most letters of a job's name in that of its folder.
const MOST_LETTERS: usize = 60;
/// Digits of a job's id behind its name: two jobs of one name keep apart.
const DIGITS: usize = 6;

/// What can be made: a paper, or the plans as drawings and the lists as tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A paper.
    Paper(PaperKind),
    /// Plans as DXF and SVG, lists as CSV, and the job's sheet.
    Lists,
}

impl Kind {
    fn all() -> impl Iterator<Item = Self> {
        PaperKind::ALL.into_iter().map(Self::Paper).chain([Self::Lists])
    }

    fn word(self) -> &'static str {
        match self {
            Self::Paper(kind) => kind.word(),
            Self::Lists => "lists",
        }
    }

    fn name(self) -> String {
        match self {
            Self::Paper(kind) => say(kind.title(), &[]),
            Self::Lists => say("papers.lists", &[]),
        }
    }

    /// Whether it needs the areas' plans.
    fn needs_plans(self) -> bool {
        !matches!(self, Self::Paper(PaperKind::Flatness | PaperKind::Photos))
    }

    /// Whether amounts stand on it.
    fn has_amounts(self) -> bool {
        matches!(self, Self::Paper(PaperKind::Quote) | Self::Lists)
    }
}

/// A job as far as its papers need it.
struct Job {
    known: Reckoned,
    photos: Vec<Taken>,
    size: Size,
    /// The shop's name; may be empty.
    shop: String,
    /// Prices and rates, to tell whether a quote would be the same.
    books: String,
}

/// A photo of the job with what is drawn upon it.
struct Taken {
    photo: Held<Photo>,
    marks: Vec<PhotoMark>,
    /// Where it is pinned, in words; may be empty.
    pinned: String,
    here: bool,
}

impl Job {
    fn of(session: &Session, id: &str) -> Result<Self, Problem> {
        let known = reckon(session, id)?;
        let mut desk = session.desk();
        let books = format!("{:?}", desk.books()?);
        let shop =
            desk.shop()?.and_then(|shop| shop.facts.value).and_then(|facts| facts.name).unwrap_or_default();
        let kept = desk.store.setting(&size_key(&known.job.id.to_string()))?;
        let size = kept.as_deref().and_then(size_of).or_else(|| size_of(show::usual_size(known.job.units)));
        let mut photos = Vec::new();
        for held in known.job.view.photos.live.iter().filter(|held| held.value.in_report != Some(false)) {
            let marks = known.job.view.photo_marks.live.iter().filter(|mark| mark.value.photo == held.id);
            let marks = marks.map(|mark| mark.value.clone()).collect();
            let pin = held.value.pin.as_ref().map(|pin| pin_view(&mut desk, &known.job, pin).words);
            let here = desk.store.file_path(drylay_store::FileHash(held.value.hash.0))?.is_some();
            photos.push(Taken { photo: held.clone(), marks, pinned: pin.unwrap_or_default(), here });
        }
        photos.sort_by_key(|one| {
            (one.photo.value.taken_ms.unwrap_or(one.photo.added.at.utc_ms), one.photo.id.clone())
        });
        Ok(Self { known, photos, size: size.unwrap_or_default(), shop, books })
    }

    fn id(&self) -> String {
        self.known.job.id.to_string()
    }

    fn photo_count(&self) -> Photos {
        let here = self.photos.iter().filter(|one| one.here).count();
        Photos { here, away: self.photos.len() - here }
    }

    fn can_make(&self, kind: Kind) -> bool {
        show::lacks(kind, &self.known, self.photo_count()).is_empty()
    }

    /// What keeps a paper from being made.
    fn lack(&self, kind: Kind) -> Option<Problem> {
        let lacks = show::lacks(kind, &self.known, self.photo_count());
        let first = lacks.into_iter().next()?;
        Some(Problem::new("papers.lacks", "kinds").with("paper", kind.name()).with("what", first.words))
    }

    /// The hash of all that a paper is made from.
    fn fingerprint(&self, kind: Kind) -> String {
        let mut of = format!("{:?} {}\n{}", self.size, self.shop, self.known.sheet.write());
        if kind.needs_plans() {
            for area in &self.known.areas {
                let choice = ChoiceAnswer::of(area, &area.plan.choice);
                let choice = serde_json::to_string(&choice).unwrap_or_default();
                of += &format!("\n{} {choice}", area.id);
            }
            of += &format!("\n{:?}", self.known.rates);
        }
        if kind.has_amounts() {
            let signed = self.known.job.view.frozen.live.iter().map(|held| held.id.to_string());
            of += &format!("\n{}\n{:?}", self.books, signed.collect::<Vec<_>>());
        }
        if kind == Kind::Paper(PaperKind::Photos) {
            for one in &self.photos {
                of += &format!("\n{:?} {:?} {} {}", one.photo.value, one.marks, one.pinned, one.here);
            }
        }
        ContentHash::of(of.as_bytes()).to_string()
    }

    /// What has to be worked out before papers of these kinds can be made.
    fn waiting(&self, session: &Session, kinds: &[Kind]) -> Vec<Waiting> {
        if !kinds.iter().any(|kind| kind.needs_plans()) {
            return Vec::new();
        }
        let mut waiting = self.known.waiting.clone();
        if kinds.iter().any(|kind| kind.has_amounts()) {
            let others = quote::unplanned(session, &self.id(), &self.known.sheet);
            waiting.extend(others.into_iter().map(|(variant, area)| Waiting::Variant { variant, area }));
        }
        waiting
    }

    /// The folder of its papers: its name as far as file systems bear it, and the first digits of its id.
    fn folder(&self, outlet: &dyn Outlet) -> PathBuf {
        outlet.folder().join(folder_name(&self.known.sheet.job.name, &self.id()))
    }
}

fn folder_name(name: &str, id: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || " -_,".contains(c) { c } else { '-' };
    let name: String = name.chars().map(plain).take(MOST_LETTERS).collect();
    let id: String = id.chars().take(DIGITS).collect();
    match name.trim_matches([' ', '-']) {
        "" => id,
        name => format!("{name} {id}"),
    }
}

fn size_key(job: &str) -> String {
    format!("paper_size.{job}")
}

fn size_of(word: &str) -> Option<Size> {
    [Size::Letter, Size::A4].into_iter().find(|size| size_word(*size) == word)
}

fn size_word(size: Size) -> &'static str {
    match size {
        Size::Letter => "letter",
        Size::A4 => "a4",
    }
}

pub(crate) fn view(session: &Session, ask: OfJob) -> Result<PapersView, Problem> {
    let job = Job::of(session, &ask.job)?;
    let id = job.id();
    let unpriced = match job.known.sheet.areas.is_empty() {
        true => 0,
        false => quote::unpriced(session, &job.known)?,
    };
    let outlet = session.outlet();
    let desk = session.desk();
    let mut papers = Vec::new();
    for kind in Kind::all() {
        let made = desk.made(&id, kind.word())?;
        papers.push(PaperLine {
            kind: kind.word().to_owned(),
            name: kind.name(),
            about: say(&format!("papers.about.{}", kind.word()), &[]),
            lacks: show::lacks(kind, &job.known, job.photo_count()),
            notes: show::notes(kind, &job.known, job.photo_count(), unpriced),
            made: made.map(|made| made.view(&job.fingerprint(kind), &desk.me.name)),
        });
    }
    Ok(PapersView {
        papers,
        size: size_word(job.size).to_owned(),
        waiting: job.known.waiting.iter().map(Waiting::words).collect(),
        folder: outlet.map(|outlet| job.folder(outlet).display().to_string()),
        shows: outlet.is_some_and(Outlet::shows),
    })
}

pub(crate) fn set_size(session: &Session, ask: PapersSize) -> Result<PapersView, Problem> {
    let size = size_of(&ask.size).ok_or_else(|| unknown("papers.unknown_size", "size", &ask.size))?;
    let job = session.desk().job(&ask.job)?.id.to_string();
    session.desk().store.write(&[Op::Set { key: &size_key(&job), value: Some(size_word(size)) }])?;
    view(session, OfJob { job: ask.job })
}

fn outlet(session: &Session) -> Result<&dyn Outlet, Problem> {
    session.outlet().ok_or_else(|| Problem::new("papers.no_press", ""))
}

pub(crate) fn make(session: &Session, ask: PapersMake) -> Result<TaskView, Problem> {
    outlet(session)?;
    let job = Job::of(session, &ask.job)?;
    let named = |word: &String| {
        let kind = Kind::all().find(|kind| kind.word() == word);
        kind.ok_or_else(|| unknown("papers.unknown", "kinds", word))
    };
    let mut kinds = ask.kinds.iter().map(named).collect::<Result<Vec<_>, _>>()?;
    if kinds.is_empty() {
        kinds = Kind::all().filter(|kind| job.can_make(*kind)).collect();
    }
    if kinds.is_empty() {
        return Err(job
            .lack(Kind::Lists)
            .unwrap_or_else(|| Problem::new("papers.nothing", "kinds").with("paper", Kind::Lists.name())));
    }
    if let Some(lack) = kinds.iter().find_map(|kind| job.lack(*kind)) {
        return Err(lack);
    }
    let first = working_out(ask.job.clone(), job.waiting(session, &kinds));
    let id = ask.job.clone();
    let work = move |session: &Session, go_on: GoOn<'_>| {
        first(session, &mut |part| go_on(part * WORKED_OUT))?;
        if go_on(WORKED_OUT) { make_all(session, &id, &kinds, go_on) } else { Ok(()) }
    };
    let answer = move |session: &Session| view(session, OfJob { job: ask.job });
    Ok(task::start(session, "papers.make", work, answer))
}

/// Makes papers, then puts all of them into the job's folder; none is put there if one fails or the task is ended.
fn make_all(session: &Session, id: &str, kinds: &[Kind], go_on: GoOn<'_>) -> Result<(), Problem> {
    let outlet = outlet(session)?;
    let job = Job::of(session, id)?;
    let now = session.desk().world.now();
    let wish = Wish { size: Some(job.size), day: day(now), shop: job.shop.clone(), only: Vec::new() };
    let folder = job.folder(outlet);
    let fingerprints: Vec<String> = kinds.iter().map(|kind| job.fingerprint(*kind)).collect();
    let job_id = job.id();
    let share = (1.0 - WORKED_OUT) / kinds.len() as f64;
    let Some(basis) = basis(session, id, job, kinds, &mut |part| go_on(WORKED_OUT + share * 0.5 * part))?
    else {
        return Ok(());
    };
    let setter = Setter::new(&basis, &wish);
    let print = |kind: &Kind| -> Result<(Kind, Vec<PaperFile>), Problem> {
        let files: Vec<PaperFile> = match kind {
            Kind::Lists => setter.drawings_and_lists(),
            Kind::Paper(paper) => setter.print(*paper, outlet.press())?.into_iter().collect(),
        };
        if files.is_empty() {
            return Err(Problem::new("papers.nothing", "kinds").with("paper", kind.name()));
        }
        Ok((*kind, files))
    };
    let made = side_by_side(kinds, print, &mut |done| go_on(WORKED_OUT + share * done as f64));
    let Some(made) = made else { return Ok(()) };
    let made = made.into_iter().collect::<Result<Vec<_>, _>>()?;
    let all: Vec<PaperFile> = made.iter().flat_map(|(_, files)| files.clone()).collect();
    write_all(&folder, &all)?;
    let mut desk = session.desk();
    for ((kind, files), of) in made.iter().zip(fingerprints) {
        desk.keep_made(&job_id, kind.word(), &Made::new(&folder, files, of, now))?;
    }
    Ok(())
}

/// What papers of these kinds are made from; `None` where it is ended.
fn basis(
    session: &Session,
    id: &str,
    job: Job,
    kinds: &[Kind],
    go_on: GoOn<'_>,
) -> Result<Option<Basis>, Problem> {
    let first = |mut found: Vec<Problem>| match found.is_empty() {
        true => Problem::internal("papers"),
        false => found.swap_remove(0),
    };
    let known = &job.known;
    let resolved = resolve(&known.sheet).map_err(first)?;
    let (mut quotes, mut signed) = (Vec::new(), None);
    if kinds.iter().any(|kind| kind.has_amounts()) {
        quotes = quote::for_paper(session, id, known)?;
        signed = quotes.first().map(|whole| quote::signed(session, id, known, whole)).transpose()?.flatten();
    }
    let mut read = FlatnessAnswer { rooms: Vec::new() };
    if kinds.contains(&Kind::Paper(PaperKind::Flatness)) {
        let mut going = true;
        for room in known.sheet.rooms.iter().filter(|room| room.level.is_some()) {
            let said = flatness_of(session, (id, room.id.as_str()), &mut || {
                going = going && go_on(0.1);
                going
            })?;
            read.rooms.extend(said);
        }
        if !going {
            return Ok(None);
        }
    }
    let mut photos = Vec::new();
    if kinds.contains(&Kind::Paper(PaperKind::Photos)) {
        let here: Vec<&Taken> = job.photos.iter().filter(|one| one.here).collect();
        let all = here.len() as f64;
        let ready = side_by_side(&here, |one| report_photo(session, one), &mut |done| {
            go_on(0.1 + 0.9 * done as f64 / all)
        });
        let Some(ready) = ready else { return Ok(None) };
        photos.extend(ready.into_iter().flatten());
    }
    let takeoff = known.takeoff().clone();
    let Job { known: Reckoned { sheet, areas, .. }, .. } = job;
    Ok(Some(Basis { sheet, resolved, areas, takeoff, quotes, flatness: read, photos, signed }))
}

/// A photo made ready for paper, from the copy that the screens show; `None` where its bytes are no picture.
fn report_photo(session: &Session, one: &Taken) -> Option<ReportPhoto> {
    let shown = session.photo(&format!("{}/medium", one.photo.value.hash))?;
    let picture = decode(&shown, &facts(&shown)).ok()?;
    let shape = [f64::from(picture.width()), f64::from(picture.height())];
    let picture = for_paper(&picture).ok()?;
    let added = stamp(&one.photo.added);
    let taken = one
        .photo
        .value
        .taken_ms
        .map(|utc_ms| day(drylay_document::Timestamp { utc_ms, ..one.photo.added.at }));
    let said = [one.pinned.clone(), taken.unwrap_or_else(|| day(one.photo.added.at)), added.by];
    let note: Vec<String> = said.into_iter().filter(|words| !words.is_empty()).collect();
    Some(ReportPhoto {
        picture,
        shape,
        marks: one.marks.iter().map(drawn).collect(),
        words: one.photo.value.caption.clone().unwrap_or_default(),
        note: note.join(" · "),
    })
}

/// A mark in shares of the photo's width and height.
fn drawn(mark: &PhotoMark) -> DrawnMark {
    let share = |n: i64| n as f64 / 10_000.0;
    DrawnMark {
        points: mark.points.iter().map(|(x, y)| [share(*x), share(*y)]).collect(),
        arrow: mark.what == MarkKind::Arrow,
        words: mark.words.clone().unwrap_or_default(),
    }
}

/// A file that was made for a job: where it lies, and its bytes.
pub(crate) fn file(session: &Session, job: &str, name: &str) -> Option<(PathBuf, Vec<u8>)> {
    let kinds: Vec<&str> = Kind::all().map(Kind::word).collect();
    session.desk().made_file(job, name, &kinds)
}

pub(crate) fn show(session: &Session, ask: PapersShow) -> Result<Done, Problem> {
    let outlet = outlet(session)?;
    let job = session.desk().job(&ask.job)?.id.to_string();
    let found = file(session, &job, &ask.name);
    let (path, _) = found.ok_or_else(|| unknown("papers.gone", "name", &ask.name))?;
    shown(outlet, &path)?;
    Ok(Done {})
}

fn shown(outlet: &dyn Outlet, path: &Path) -> Result<(), Problem> {
    outlet
        .show(path)
        .map_err(|why| Problem::new("papers.not_shown", path.display().to_string()).with("why", why))
}

#[cfg(test)]
mod tests {
    use super::folder_name;

    #[test]
    fn a_jobs_folder_bears_its_name_as_far_as_file_systems_do() {
        let of = |name: &str| folder_name(name, "0123456789abcdef");
        assert_eq!(of("Weir House, ground floor"), "Weir House, ground floor 012345");
        assert_eq!(of("../Küche: 石 \u{0} ?."), "Küche- 石 012345");
        assert_eq!(of(" /// "), "012345");
        assert!(of(&"石".repeat(400)).len() < 255, "a file system's longest name");
    }
}
