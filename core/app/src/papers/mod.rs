//! Papers: what a job gives out as files. Everything on them comes from the answers; nothing is worked out here that
//! no answer has.

mod cuts;
mod drawing;
mod flatness;
mod hand_over;
mod lists;
mod order;
mod photos;
mod quote;
mod setter;
mod setting_out;
mod write;

pub use write::write_all;

pub(crate) use photos::ReportPhoto;
pub(crate) use setter::Setter;

pub use drylay_papers::paper::{Paper, Press, Size};

use crate::Problem;
use crate::answers::{
    Answer, FlatnessAnswer, PlannedArea, QuoteAnswer, ResolvedRoom, Site, TakeoffAnswer, count, flatness,
    floor_works, plan_areas, price_of, resolve,
};
use crate::books::Books;
use drylay_document::sheet::{Room, Sheet};
use drylay_papers::paper::Sign;
use drylay_papers::{dxf, svg};
use std::sync::Arc;

/// A file that is given out.
#[derive(Clone, PartialEq, Eq)]
pub struct PaperFile {
    /// Its name, which is safe in every file system.
    pub name: String,
    /// What its bytes are.
    pub media: &'static str,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl std::fmt::Debug for PaperFile {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} ({}, {} bytes)", self.name, self.media, self.bytes.len())
    }
}

/// How papers are wished.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wish {
    /// The size of the sheets; by the job's units if left out.
    pub size: Option<Size>,
    /// The day that stands on them; none if empty. The same day gives the same bytes.
    pub day: String,
    /// Who gives them out; nobody if empty.
    pub shop: String,
    /// Only files whose names end so: `pdf`, `dxf`; all of them if empty.
    pub only: Vec<String>,
}

/// A kind of paper, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PaperKind {
    /// What it costs, to be signed.
    Quote,
    /// What to buy.
    Order,
    /// Where the chalk line goes.
    SettingOut,
    /// Which pieces are cut how.
    Cuts,
    /// How flat the floors are.
    Flatness,
    /// The photos.
    Photos,
    /// What the client keeps.
    HandOver,
}

impl PaperKind {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Quote,
        Self::Order,
        Self::SettingOut,
        Self::Cuts,
        Self::Flatness,
        Self::Photos,
        Self::HandOver,
    ];

    /// The code of its title among the words.
    pub(crate) fn title(self) -> &'static str {
        match self {
            Self::Quote => "paper.quote",
            Self::Order => "paper.order",
            Self::SettingOut => "paper.set",
            Self::Cuts => "paper.cuts",
            Self::Flatness => "paper.flat",
            Self::Photos => "paper.photos",
            Self::HandOver => "paper.over",
        }
    }

    /// Its name, as that of its file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Quote => "quote",
            Self::Order => "order",
            Self::SettingOut => "setting-out",
            Self::Cuts => "cuts",
            Self::Flatness => "flatness",
            Self::Photos => "photos",
            Self::HandOver => "handover",
        }
    }

    /// The paper; `None` where the job has nothing for it.
    fn paper(self, setter: &Setter<'_>) -> Option<Paper> {
        match self {
            Self::Quote => quote::of(setter),
            Self::Order => order::of(setter),
            Self::SettingOut => setting_out::of(setter),
            Self::Cuts => cuts::of(setter),
            Self::Flatness => flatness::of(setter),
            Self::Photos => photos::of(setter),
            Self::HandOver => hand_over::of(setter),
        }
    }
}

/// What the papers of a job are made from.
pub(crate) struct Basis {
    pub(crate) sheet: Sheet,
    pub(crate) resolved: Vec<ResolvedRoom>,
    pub(crate) areas: Vec<Arc<PlannedArea>>,
    pub(crate) takeoff: TakeoffAnswer,
    /// The job as it stands, then its variants.
    pub(crate) quotes: Vec<QuoteAnswer>,
    pub(crate) flatness: FlatnessAnswer,
    pub(crate) photos: Vec<ReportPhoto>,
    /// Who signed the quote as it stands.
    pub(crate) signed: Option<Sign>,
}

/// Everything that a sheet gives out. `go_on` may end the searches early.
///
/// # Errors
/// Everything that is wrong with the sheet, or a paper that could not be set.
pub fn papers(
    sheet: &Sheet,
    books: &Books,
    (press, wish): (&dyn Press, &Wish),
    go_on: &mut dyn FnMut() -> bool,
) -> Answer<Vec<PaperFile>> {
    let basis = Basis::of(sheet, books, go_on)?;
    let wished = |ending: &str| wish.only.is_empty() || wish.only.iter().any(|only| only == ending);
    let setter = Setter::new(&basis, wish);
    let mut files = setter.drawings_and_lists();
    files.retain(|file| file.name.rsplit('.').next().is_some_and(wished));
    if wished("pdf") {
        for kind in PaperKind::ALL {
            files.extend(setter.print(kind, press).map_err(|problem| vec![problem])?);
        }
    }
    Ok(files)
}

impl Basis {
    fn of(sheet: &Sheet, books: &Books, go_on: &mut dyn FnMut() -> bool) -> Answer<Self> {
        let resolved = resolve(sheet)?;
        let (works, _) = floor_works(sheet, &resolved, go_on);
        let areas = plan_areas(sheet, &resolved, go_on)?;
        let quotes = price_of(sheet, &resolved, (&areas, &works), books, go_on)?;
        let flatness = flatness(sheet, go_on)?;
        let takeoff = count(&Site { sheet, areas: &areas, works: &works });
        let areas = areas.into_iter().map(Arc::new).collect();
        let (sheet, photos, signed) = (sheet.clone(), Vec::new(), None);
        Ok(Self { sheet, resolved, areas, takeoff, quotes, flatness, photos, signed })
    }

    /// A room as the sheet has it, and its shape.
    fn room(&self, id: &str) -> Option<(&Room, &ResolvedRoom)> {
        self.sheet.rooms.iter().zip(&self.resolved).find(|(room, _)| room.id.as_str() == id)
    }
}

impl Setter<'_> {
    /// A paper as a file; `None` where the job has nothing for it.
    pub(crate) fn print(&self, kind: PaperKind, press: &dyn Press) -> Result<Option<PaperFile>, Problem> {
        let Some(paper) = kind.paper(self) else { return Ok(None) };
        let failed = |why: String| Problem::new("papers.not_set", kind.word()).with("why", why);
        let bytes = press.pdf(&paper).map_err(failed)?;
        Ok(Some(PaperFile { name: format!("{}.pdf", kind.word()), media: "application/pdf", bytes }))
    }

    /// Plans as DXF and SVG, lists as CSV, and the sheet itself.
    pub(crate) fn drawings_and_lists(&self) -> Vec<PaperFile> {
        let mut files = Vec::new();
        let Basis { sheet, takeoff, quotes, .. } = self.basis;
        for (area, _, plan) in &self.areas {
            let name = format!("plan-{}", safe(&area.id));
            files.push(text(&name, "dxf", "image/vnd.dxf", dxf(plan)));
            files.push(text(&name, "svg", "image/svg+xml", svg(plan)));
        }
        let pieces = lists::pieces(self.areas.iter().map(|(area, wire, _)| (*area, wire)));
        files.push(text("pieces", "csv", "text/csv", pieces.csv()));
        files.push(text("order", "csv", "text/csv", lists::order(sheet, takeoff).csv()));
        files.push(text("quote", "csv", "text/csv", lists::quotes(quotes).csv()));
        files.push(text("sheet", "json", "application/json", sheet.write()));
        let mut names = Vec::new();
        for file in &mut files {
            file.name = once(&names, &file.name);
            names.push(file.name.clone());
        }
        files
    }
}

fn text(name: &str, ending: &str, media: &'static str, text: String) -> PaperFile {
    PaperFile { name: format!("{name}.{ending}"), media, bytes: text.into_bytes() }
}

/// A name that is not among those that are taken, however a file system tells great letters from small ones.
fn once(taken: &[String], name: &str) -> String {
    let is_taken = |name: &str| taken.iter().any(|other| other.eq_ignore_ascii_case(name));
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let numbered = (2..).map(|n| format!("{stem}-{n}.{ending}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    names.find(|name| !is_taken(name)).unwrap_or_default()
}

/// A name as a part of a file's name: Latin letters, digits and hyphens.
fn safe(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' || c == '_' { c } else { '-' };
    let name: String = name.chars().take(60).map(plain).collect();
    let name = name.trim_matches('-');
    if name.is_empty() { "area".to_owned() } else { name.to_owned() }
}

/// The problem that is told where a file cannot be written.
fn unwritable(path: &std::path::Path, why: &std::io::Error) -> Problem {
    Problem::new("papers.unwritable", path.display().to_string()).with("why", why)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_files_name_holds_nothing_but_itself() {
        assert_eq!([safe("../Küche 1"), safe("石"), safe("main")], ["K-che-1", "area", "main"]);
        let taken = ["plan-A.dxf".to_owned(), "plan-a-2.dxf".to_owned()];
        assert_eq!(once(&taken, "plan-a.dxf"), "plan-a-3.dxf");
        assert_eq!(once(&taken, "plan-b.dxf"), "plan-b.dxf");
    }
}
