//! What typst may look at: one text, the look, pictures by number, and the faces.

use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

/// The look of all papers.
const LOOK: &str = include_str!("paper.typ");

/// The faces: that of the screens in two weights, and one that knows many more scripts and signs.
const FACES: [&[u8]; 3] = [
    include_bytes!("../fonts/sofia-sans/sofia-sans-semi-condensed-regular.ttf"),
    include_bytes!("../fonts/sofia-sans/sofia-sans-semi-condensed-bold.ttf"),
    include_bytes!("../fonts/dejavu/dejavu-sans-condensed.ttf"),
];

struct Shelf {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

static SHELF: LazyLock<Shelf> = LazyLock::new(|| {
    let fonts: Vec<Font> = FACES.into_iter().flat_map(|face| Font::iter(Bytes::new(face))).collect();
    Shelf {
        library: LazyHash::new(Library::builder().build()),
        book: LazyHash::new(FontBook::from_fonts(&fonts)),
        fonts,
    }
});

/// A desk with one paper's text on it.
pub(crate) struct Desk {
    main: Source,
    look: Source,
    pictures: Vec<(FileId, Bytes)>,
}

impl Desk {
    pub(crate) fn of(text: String, pictures: &[Vec<u8>]) -> Self {
        let named = |(i, bytes): (usize, &Vec<u8>)| Some((file(&picture(i))?, Bytes::new(bytes.clone())));
        let source = |name, text| match file(name) {
            Some(id) => Source::new(id, text),
            None => Source::detached(text),
        };
        Self {
            main: source("/main.typ", text),
            look: source("/paper.typ", LOOK.to_owned()),
            pictures: pictures.iter().enumerate().filter_map(named).collect(),
        }
    }
}

/// The name of a picture by its number.
pub(crate) fn picture(number: usize) -> String {
    format!("/picture-{number}")
}

fn file(name: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(name).ok()?).intern())
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &SHELF.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &SHELF.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let known = [&self.main, &self.look].into_iter().find(|source| source.id() == id);
        known.cloned().ok_or_else(|| missing(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let known = self.pictures.iter().find(|(of, _)| *of == id);
        known.map(|(_, bytes)| bytes.clone()).ok_or_else(|| missing(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        SHELF.fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn missing(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_with_slash().into())
}
