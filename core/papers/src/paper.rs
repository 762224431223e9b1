//! What stands on a paper, block by block. A press sets it; nothing here says where on the page anything goes.
//!
//! Words are ready to be read. Figures are drawn in mm of the floor, x to the right and y down, and are scaled to the page.

use crate::drawing::Point;

/// A paper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Paper {
    /// What it is: the title of every page.
    pub title: String,
    /// Which job it is of.
    pub job: String,
    /// Who gives it out.
    pub from: String,
    /// What stands in the title block, label and words.
    pub head: Vec<(String, String)>,
    /// What stands at the foot of every page.
    pub foot: String,
    /// Its size.
    pub size: Size,
    /// What stands on it.
    pub blocks: Vec<Block>,
    /// Pictures that blocks refer to, as JPEG or PNG.
    pub pictures: Vec<Vec<u8>>,
}

/// The size of the sheets (ISO 216, and ANSI/ASME Y14.1 for Letter).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// 210 by 297 mm.
    #[default]
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

impl Size {
    /// Width and height in mm.
    pub fn mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

/// A part of a paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph in small letters.
    Small(String),
    /// Figures to read at arm's length.
    Facts(Vec<Fact>),
    /// A table.
    Table(Table),
    /// A drawing.
    Figure(Figure),
    /// A drawing with a page of its own under a heading, lying on its side where that makes it larger.
    Page(String, Figure),
    /// Cards side by side, each with a drawing.
    Cards(Vec<Card>),
    /// What to take care of, with who says so.
    Caution {
        /// The warning.
        words: String,
        /// What to do.
        hint: String,
    },
    /// Lines to tick off.
    Checks(Vec<String>),
    /// Places to sign.
    Sign(Vec<Sign>),
    /// Photos, two beside each other.
    Photos(Vec<Photo>),
    /// The rest begins on a new page.
    Break,
}

/// A figure to read at arm's length.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub label: String,
    /// The figure.
    pub value: String,
    /// What else there is to say.
    pub note: String,
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows, each with a cell for every column.
    pub rows: Vec<Row>,
}

/// A column.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Column {
    /// What stands above it.
    pub title: String,
    /// Whether it holds figures, which stand to the right.
    pub figures: bool,
    /// Its share of the width that is left; as wide as what is in it where that is nought.
    pub share: f64,
}

impl Column {
    /// Words, as wide as they may be.
    pub fn words(title: impl Into<String>, share: f64) -> Self {
        Self { title: title.into(), figures: false, share }
    }

    /// Figures, as wide as they are.
    pub fn figures(title: impl Into<String>) -> Self {
        Self { title: title.into(), figures: true, share: 0.0 }
    }
}

/// A row of a table.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Row {
    /// Its cells; a line break parts what follows in small letters.
    pub cells: Vec<String>,
    /// Whether it is what the rows above come to.
    pub strong: bool,
}

impl Row {
    /// A usual row.
    pub fn of(cells: Vec<String>) -> Self {
        Self { cells, strong: false }
    }
}

/// A drawing of a part of the floor.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figure {
    /// What is drawn, from the back to the front.
    pub items: Vec<Item>,
    /// What stands below it.
    pub words: String,
    /// The greatest height on paper, in mm; as high as there is room for where it has a page of its own.
    pub height: f64,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// An area within rings, by even and odd.
    Area {
        /// The rings.
        rings: Vec<Vec<Point>>,
        /// What it is filled with.
        fill: Tone,
        /// Its outline.
        stroke: Stroke,
    },
    /// A line.
    Line {
        /// From where to where.
        ends: [Point; 2],
        /// How it is drawn.
        stroke: Stroke,
    },
    /// A mark at a place: a small circle with a cross.
    Mark {
        /// Where.
        at: Point,
        /// Its colour.
        tone: Tone,
    },
    /// Words centred on a place.
    Label {
        /// Where.
        at: Point,
        /// The words.
        words: String,
        /// Their size in points, at most.
        size: f64,
        /// The room for them in mm of the floor, where they must fit into something.
        room: Option<[f64; 2]>,
        /// Their colour.
        tone: Tone,
        /// Where the words stand: centred, or beside the place by so many points.
        offset: [f64; 2],
    },
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Its colour.
    pub tone: Tone,
    /// Its width in points; nought for none.
    pub width: f64,
    /// Whether it is dashed.
    pub dashed: bool,
}

impl Stroke {
    /// A plain line.
    pub const fn of(tone: Tone, width: f64) -> Self {
        Self { tone, width, dashed: false }
    }

    /// A dashed line.
    pub const fn dashed(tone: Tone, width: f64) -> Self {
        Self { tone, width, dashed: true }
    }
}

/// The colours of a working drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Nothing.
    Clear,
    /// White.
    Paper,
    /// The lightest fill.
    Tint,
    /// A fill.
    Wash,
    /// Thin lines.
    Line,
    /// Less important ink.
    Soft,
    /// Ink.
    Ink,
    /// The one accent.
    Accent,
}

/// A card with a drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Card {
    /// What it is of, in large letters.
    pub title: String,
    /// What else there is to say of it.
    pub note: String,
    /// The drawing.
    pub figure: Figure,
    /// Figures in large letters, each with what it is.
    pub figures: Vec<(String, String)>,
    /// What to take care of.
    pub care: String,
}

/// A place to sign.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sign {
    /// Who signs.
    pub words: String,
    /// The name, where it is known.
    pub name: String,
    /// The day, where it is known.
    pub day: String,
    /// What was drawn with a finger: strokes of places, x and y from 0 to 1 within a field three times as wide as high.
    pub strokes: Vec<Vec<Point>>,
}

/// A photo.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Photo {
    /// Which of the paper's pictures.
    pub picture: usize,
    /// Its width and height in pixels; where they are nought nothing is drawn upon it.
    pub shape: [f64; 2],
    /// What is drawn upon it.
    pub marks: Vec<PhotoMark>,
    /// What it shows.
    pub words: String,
    /// Where and when.
    pub note: String,
}

/// Something drawn upon a photo.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PhotoMark {
    /// Its places, x and y from 0 to 1 of the photo's width and height.
    pub points: Vec<Point>,
    /// Whether it points to its second place.
    pub arrow: bool,
    /// Its words or figure.
    pub words: String,
}

/// Sets papers. What sets them is heavy, so it is given to whoever needs it.
pub trait Press: Send + Sync + std::fmt::Debug {
    /// A paper as PDF; the same paper gives the same bytes.
    ///
    /// # Errors
    /// In words, why it could not be set. No words on a paper cause that; a picture that is damaged may.
    fn pdf(&self, paper: &Paper) -> Result<Vec<u8>, String>;
}
