//! Plans and pieces.

use super::{InstructionView, LayingView, MovementView, Rings, RuleView, Typed, request, wire};
use crate::Problem;

wire! {
    /// A plan of an area. With `have` in the request only pieces that are new or changed since that version.
    pub struct PlanView {
        /// The area.
        pub area: String,
        /// Names this state of the plan; give it back as `have`.
        pub version: String,
        /// Nothing changed since `have`; everything else is then empty or as it was.
        pub same: bool,
        /// Whether this choice was accepted.
        pub accepted: bool,
        /// The choice.
        pub choice: ChoiceView,
        /// The lattice's frame.
        pub frame: PlanFrame,
        /// The field.
        pub field: Vec<Rings>,
        /// Its area in m².
        pub field_m2: f64,
        /// Tiles the plan takes.
        pub tiles: u32,
        /// A number of tiles that no sharing of these pieces can beat.
        pub proven_minimum: u32,
        /// Cartons that hold the plan's tiles; not what to buy.
        pub cartons: Option<u32>,
        /// Share of the tiles' faces that is not seen.
        pub waste: f64,
        /// How sure the choice is, in words.
        pub sure: String,
        /// The rows.
        pub rows: Vec<PlanRow>,
        /// The pieces.
        pub pieces: Vec<PieceView>,
        /// Pieces of `have` that are no longer there.
        pub removed: Vec<String>,
        /// Movement joints.
        pub joints: Vec<[[f64; 2]; 2]>,
        /// What governs them and why each lies where it lies.
        pub movement: Option<MovementView>,
        /// What can be measured of it.
        pub measures: PlanMeasures,
        /// Rules it breaks.
        pub breaches: Vec<BreachView>,
        /// Rules that were asked with a source.
        pub rules: Vec<RuleView>,
        /// What is to be done besides.
        pub instructions: Vec<InstructionView>,
        /// How it is laid, where the product says how it engages.
        pub laying: Option<LayingView>,
        /// Other plans worth a look.
        pub alternatives: Vec<AlternativeView>,
        /// What changes if the rooms are not quite what their readings say.
        pub doubts: Vec<DoubtView>,
        /// What was odd.
        pub problems: Vec<Problem>,
    }
}

wire! {
    /// Something that changes in a plan if a room is a little off.
    pub struct DoubtView {
        /// Row and place of the piece.
        pub piece: String,
        /// `appears`, `vanishes`, `breaks` or `mends`.
        pub change: String,
        /// At how many standard deviations: 1 or 2.
        pub sds: u32,
        /// What changes and why, in words.
        pub words: String,
    }
}

wire! {
    /// The lattice's frame.
    pub struct PlanFrame {
        /// Degrees clockwise on the page from x to the direction of the rows.
        pub angle_degrees: f64,
    }
}

wire! {
    /// A row.
    pub struct PlanRow {
        /// Its number.
        pub row: u32,
        /// Its exposed width.
        pub width: Typed,
    }
}

wire! {
    /// A choice of direction, offset, first row and shift.
    pub struct ChoiceView {
        /// Give it back to accept the choice.
        pub token: String,
        /// The wall the rows run along.
        pub along: Option<(String, String)>,
        /// Degrees clockwise on the page from x.
        pub angle_degrees: f64,
        /// The offset between rows.
        pub offset: String,
        /// `stepped` or `alternating`.
        pub order: String,
        /// Width of row 1.
        pub first_row: Typed,
        /// Exposed length of the first tile of row 1.
        pub shift: Typed,
        /// The choice in words.
        pub words: String,
    }
}

wire! {
    /// A piece on the plan.
    pub struct PieceView {
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
        /// The tile it comes from.
        pub tile: u32,
        /// `new`, or the piece whose offcut it uses.
        pub from: String,
        /// Whether it breaks a rule.
        pub breach: bool,
    }
}

wire! {
    /// What can be measured of a plan.
    pub struct PlanMeasures {
        /// Exposed width of row 1.
        pub first_row: Typed,
        /// Exposed width of the last row.
        pub last_row: Typed,
        /// Least extent along the row of any piece.
        pub shortest_end: Typed,
        /// Least extent of any piece.
        pub narrowest: Typed,
        /// Pieces that are cut.
        pub cut_pieces: u32,
    }
}

wire! {
    /// A rule that a piece or the whole plan breaks.
    pub struct BreachView {
        /// `narrow`, `short` or `trapped` of a piece; `rows`, `joint` or `offset` of the plan.
        pub rule: String,
        /// The piece.
        pub piece: Option<String>,
        /// What is wrong, in words.
        pub words: String,
        /// Where the figure stands.
        pub source: String,
        /// What can be done, in words.
        pub remedy: Option<String>,
    }
}

wire! {
    /// Another plan worth a look.
    pub struct AlternativeView {
        /// Its choice.
        pub choice: ChoiceView,
        /// Tiles it takes.
        pub tiles: u32,
        /// Cartons that hold them.
        pub cartons: Option<u32>,
        /// Its narrowest piece.
        pub narrowest: Typed,
        /// How many pieces are cut.
        pub cut_pieces: u32,
        /// How many rules it breaks.
        pub breaches: u32,
        /// What differs, in words.
        pub words: String,
    }
}

wire! {
    /// The best choice that a search has found so far, and what no better one can beat.
    pub struct BestSoFar {
        /// Give it back to accept the choice.
        pub token: String,
        /// Tiles it takes.
        pub tiles: u32,
        /// Cartons that hold them.
        pub cartons: Option<u32>,
        /// Its narrowest piece.
        pub narrowest: Typed,
        /// How many pieces are cut.
        pub cut_pieces: u32,
        /// How many rules it breaks.
        pub breaches: u32,
        /// At least so many tiles are needed.
        pub least_tiles: u32,
        /// At least so many cartons are needed.
        pub least_cartons: Option<u32>,
        /// The same in words.
        pub words: String,
    }
}

wire! {
    /// Two plans of an area side by side.
    pub struct PlanComparison {
        /// The one choice.
        pub one: ChoiceView,
        /// The other.
        pub other: ChoiceView,
        /// Which is worth more: `one`, `other` or `neither`.
        pub better: String,
        /// Their figures, the weightiest first.
        pub lines: Vec<ComparisonLine>,
    }
}

wire! {
    /// A figure of two plans.
    pub struct ComparisonLine {
        /// What it is, in words.
        pub words: String,
        /// Of the one plan, as it is shown.
        pub one: String,
        /// Of the other.
        pub other: String,
        /// Whether the two differ as shown.
        pub differs: bool,
        /// Which is better: `one`, `other` or `neither`.
        pub better: String,
    }
}

wire! {
    /// A piece on its tile, to be marked out and cut.
    pub struct PieceCard {
        /// Row and place.
        pub id: String,
        /// Its row.
        pub row: u32,
        /// Its place in the row.
        pub place: u32,
        /// `whole`, `length`, `rip`, `corner` or `shape`.
        pub cut: String,
        /// The cut in words.
        pub cut_words: String,
        /// Length and width of the tile's face in mm.
        pub tile_face: [f64; 2],
        /// The piece on the tile's face in mm.
        pub on_tile: Rings,
        /// Its extents, rounded down to the marking-out grid so that it goes in.
        pub size: PieceSize,
        /// Where to mark, from the tile's own edges.
        pub marks: Vec<MarkView>,
        /// Which tool, and the caution that goes with it.
        pub tool_words: String,
        /// `whole`, `cut_ahead` or `measure_first`.
        pub when: String,
        /// Whether it may be cut before its place is there, in words; empty for a whole tile.
        pub when_words: String,
        /// Why, in words.
        pub why_words: String,
        /// Its thinnest neck; absent for a whole tile.
        pub neck: Option<Typed>,
        /// Whether the neck is too weak, in words; empty where it is not, or where nothing says.
        pub weak_words: String,
        /// Where its tile comes from, in words.
        pub from_words: String,
        /// Rules it breaks, in words.
        pub breaches: Vec<String>,
        /// The pieces before and after it in its row.
        pub neighbours: Vec<String>,
    }
}

wire! {
    /// Extents of a piece.
    pub struct PieceSize {
        /// Along the row.
        pub length: Typed,
        /// Across the row.
        pub width: Typed,
    }
}

wire! {
    /// A mark on the tile.
    pub struct MarkView {
        /// The edge to measure along: `row_low`, `row_high`, `start`, `end` or `inside`.
        pub edge: String,
        /// Which way: `length` or `width`.
        pub along: String,
        /// The figure in the job's notation, rounded to the looser side.
        pub text: String,
        /// The same in mm.
        pub mm: f64,
        /// From where it is measured, in words.
        pub from_words: String,
    }
}

wire! {
    /// A task that goes on by itself.
    pub struct TaskView {
        /// Its name in events.
        pub task: String,
    }
}

wire! {
    /// A job as a sheet.
    pub struct SheetText {
        /// The sheet.
        pub sheet: String,
        /// What it does not hold.
        pub warnings: Vec<String>,
    }
}

request! {
    /// Brings in a job sheet as a new job.
    pub struct SheetAsk {
        /// The sheet's text.
        pub sheet: String,
    }
}

request! {
    /// Asks for the plan of an area.
    pub struct PlanAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The version that is known already.
        #[serde(default)]
        #[ts(optional)]
        pub have: Option<String>,
    }
}

request! {
    /// Names an area of a job.
    pub struct OfArea {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
    }
}

request! {
    /// Asks for two choices of an area side by side.
    pub struct PlanCompare {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The one choice's token.
        pub one: String,
        /// The other's.
        pub other: String,
    }
}

request! {
    /// Accepts a choice.
    pub struct PlanAccept {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The choice's token.
        pub choice: String,
    }
}

request! {
    /// Plans a choice of which some parts are fixed.
    pub struct PlanFix {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The wall the rows run along, in that direction.
        #[serde(default)]
        #[ts(optional)]
        pub along: Option<(String, String)>,
        /// The offset between rows.
        #[serde(default)]
        #[ts(optional)]
        pub offset: Option<String>,
        /// `stepped` or `alternating`.
        #[serde(default)]
        #[ts(optional)]
        pub order: Option<String>,
        /// Width of row 1.
        #[serde(default)]
        #[ts(optional)]
        pub first_row: Option<String>,
        /// Exposed length of the first tile of row 1.
        #[serde(default)]
        #[ts(optional)]
        pub shift: Option<String>,
    }
}

request! {
    /// Names a piece of an area's plan.
    pub struct PieceAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// Row and place.
        pub piece: String,
    }
}

request! {
    /// Names a task.
    pub struct OfTask {
        /// The task.
        pub task: String,
    }
}
