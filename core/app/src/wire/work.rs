//! The work on a plan that was given out: what is next, rows, cuts, what was noted, what is left in the cartons.

use super::{PieceSize, Rings, Stamp, Typed, Units, request, wire};

wire! {
    /// The work of a job, with one area of it.
    pub struct WorkView {
        /// How lengths are typed.
        pub units: Units,
        /// The areas of the job.
        pub areas: Vec<WorkAreaCard>,
        /// The area that was asked for, or the first; absent where its plan was not given out or is not here.
        pub area: Option<WorkArea>,
        /// Why there is none, in words; empty where there is one.
        pub none_words: String,
    }
}

wire! {
    /// An area on the list.
    pub struct WorkAreaCard {
        /// The area.
        pub id: String,
        /// What it is called: its name, else its rooms.
        pub name: String,
        /// How far it is, in words.
        pub words: String,
    }
}

wire! {
    /// The work on one area.
    pub struct WorkArea {
        /// The area.
        pub id: String,
        /// The plan that is laid by: the hash of its bytes.
        pub plan: String,
        /// Its number, and who gave it out when.
        pub plan_words: String,
        /// Who gave it out, and when.
        pub stamp: Stamp,
        /// What is odd about it, in words.
        pub notices: Vec<String>,
        /// Pieces of the plan.
        pub pieces_all: u32,
        /// Pieces that lie.
        pub pieces_laid: u32,
        /// How far it is, in words.
        pub words: String,
        /// The next piece of the first row that is not whole; absent when all of it lies.
        pub next: Option<String>,
        /// The rows, from the first.
        pub rows: Vec<WorkRow>,
        /// The pieces in the order of the rows.
        pub pieces: Vec<WorkPiece>,
        /// What may be cut before its place is there, as one stands at the saw.
        pub cut_ahead: Vec<CutGroup>,
        /// What is measured before it is cut.
        pub measure_first: Vec<CutGroup>,
        /// What was noted.
        pub problems: Vec<NotedView>,
        /// Lots by rows.
        pub lots: Vec<LotView>,
        /// What is left in the cartons.
        pub stock: StockView,
        /// What each of the crew did on this day.
        pub today: Vec<DayOf>,
    }
}

wire! {
    /// A row.
    pub struct WorkRow {
        /// Its number.
        pub row: u32,
        /// Its exposed width.
        pub width: Typed,
        /// Its pieces.
        pub all: u32,
        /// Those that lie.
        pub laid: u32,
        /// Its first piece that does not lie.
        pub next: Option<String>,
        /// What it still asks for, in words; empty when it lies.
        pub words: String,
        /// Who marked it last, and when.
        pub stamp: Option<Stamp>,
    }
}

wire! {
    /// A piece and how far it is.
    pub struct WorkPiece {
        /// Row and place.
        pub id: String,
        /// Its row.
        pub row: u32,
        /// Its place in the row.
        pub place: u32,
        /// `whole`, `length`, `rip`, `corner` or `shape`.
        pub cut: String,
        /// Its exposed face on the plan.
        pub rings: Rings,
        /// `open`, `cut` or `laid`.
        pub done: String,
        /// Whether something was noted there that is not settled.
        pub noted: bool,
    }
}

wire! {
    /// Cuts of one class with one tool.
    pub struct CutGroup {
        /// The tool and its caution, in words.
        pub tool_words: String,
        /// The cut, in words.
        pub cut_words: String,
        /// How many pieces.
        pub count: u32,
        /// The cuts; those that are marked alike are one.
        pub cuts: Vec<CutLine>,
    }
}

wire! {
    /// Pieces that are marked and cut alike.
    pub struct CutLine {
        /// The pieces.
        pub pieces: Vec<String>,
        /// What is to be marked, in the order of the tile's edges.
        pub figures: Vec<String>,
        /// Length and width of what is cut.
        pub size: PieceSize,
        /// The gap that was measured for it and what it is then cut to, in words; empty where none was.
        pub measured: String,
    }
}

wire! {
    /// Something that was noted where it is.
    pub struct NotedView {
        /// The note.
        pub id: String,
        /// `chipped`, `lippage`, `shade`, `carton` or `other`.
        pub what: String,
        /// That in words.
        pub what_words: String,
        /// The piece; absent for the area as a whole.
        pub piece: Option<String>,
        /// What it measures.
        pub measure: Option<Typed>,
        /// What was written.
        pub words: String,
        /// What is allowed and by whom, in words; empty where nothing is.
        pub allowed: String,
        /// Whether it is settled.
        pub settled: bool,
        /// Who noted it, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// A lot and the rows it was laid in.
    pub struct LotView {
        /// The entry.
        pub id: String,
        /// The lot or shade on the packs.
        pub lot: String,
        /// The first row.
        pub first_row: u32,
        /// The last.
        pub last_row: u32,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// Tiles of the product, of all areas that are laid in it.
    pub struct StockView {
        /// `unknown`, `enough`, `no_attic`, `tight` or `short`.
        pub reach: String,
        /// That in words, with what to do.
        pub words: String,
        /// Tiles delivered; nought where nothing was written down.
        pub delivered: u32,
        /// Tiles opened.
        pub used: u32,
        /// Tiles that broke, also those that broke outside the floor.
        pub broken: u32,
        /// Tiles still to be opened.
        pub to_go: u32,
        /// Tiles left.
        pub left: i32,
        /// Where the figures come from, in words.
        pub from: Vec<String>,
        /// Deliveries and broken tiles, each of which can be taken back.
        pub entries: Vec<StockEntry>,
    }
}

wire! {
    /// A delivery, or tiles that broke outside the floor.
    pub struct StockEntry {
        /// The entry.
        pub id: String,
        /// It in words.
        pub words: String,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// What one of the crew did on a day.
    pub struct DayOf {
        /// Who.
        pub by: String,
        /// What, in words.
        pub words: String,
    }
}

wire! {
    /// What a measured gap comes to.
    pub struct GapCut {
        /// Along the edge facing row 1.
        pub low: Typed,
        /// Along the edge away from it.
        pub high: Typed,
        /// What was taken off, and what is odd, in words.
        pub words: String,
    }
}

request! {
    /// Asks for the work of a job.
    pub struct WorkAsk {
        /// The job.
        pub job: String,
        /// The area; left out for the first that was given out.
        #[serde(default)]
        #[ts(optional)]
        pub area: Option<String>,
    }
}

request! {
    /// Marks pieces of a plan in one tap.
    pub struct WorkMark {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The plan that is laid by.
        pub plan: String,
        /// The pieces.
        pub pieces: Vec<String>,
        /// `piece` for these alone, `row` for the whole rows they are in, `up_to` for all rows before the last of them and
        /// its row as far as it.
        pub reach: String,
        /// `cut`, `laid`, `taken_up` or `spoilt`.
        pub state: String,
    }
}

request! {
    /// Names a piece of the plan that is laid by.
    pub struct WorkPieceAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// Row and place.
        pub piece: String,
    }
}

request! {
    /// The gap that was measured for a piece, which is cut to it.
    pub struct WorkGap {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The plan that is laid by.
        pub plan: String,
        /// The piece.
        pub piece: String,
        /// From the last face to the wall, along the edge facing row 1.
        pub gap: String,
        /// The same along the edge away from it; empty for the same.
        pub gap_other: String,
    }
}

request! {
    /// Something noted where it is, new or changed.
    pub struct WorkNoted {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The note that is changed; left out for a new one.
        #[serde(default)]
        #[ts(optional)]
        pub id: Option<String>,
        /// `chipped`, `lippage`, `shade`, `carton` or `other`.
        pub what: String,
        /// The piece; empty for the area as a whole.
        pub piece: String,
        /// What it measures; empty for not measured.
        pub measure: String,
        /// In words; may be empty.
        pub words: String,
        /// Whether it is settled.
        pub settled: bool,
    }
}

request! {
    /// A lot laid over a range of rows.
    pub struct WorkLot {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The lot or shade on the packs.
        pub lot: String,
        /// From this row.
        pub first_row: u32,
        /// To this row.
        pub last_row: u32,
    }
}

request! {
    /// A delivery of the area's tile.
    pub struct WorkDelivery {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// How many packs.
        pub packs: String,
        /// The lot or shade on them; may be empty.
        pub lot: String,
    }
}

request! {
    /// Tiles that broke outside the floor: in the carton, at the saw.
    pub struct WorkBroken {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// How many.
        pub tiles: String,
        /// In words; may be empty.
        pub words: String,
    }
}

request! {
    /// Takes a lot, a delivery, broken tiles or a note back.
    pub struct WorkForget {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The entry.
        pub id: String,
    }
}
