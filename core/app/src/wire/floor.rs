//! A room's floor: readings, heights, verdicts, the map, the correction and what was done.

use super::{Rings, RoomProblem, Stamp, Typed, Units, request, wire};
use serde::Deserialize;
use ts_rs::TS;

request! {
    /// Asks for a room's floor.
    pub struct FloorAsk {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
        /// As read after which round of work: 0 as found; left out for the newest.
        #[serde(default)]
        #[ts(optional)]
        pub round: Option<u32>,
    }
}

request! {
    /// Edits a room's floor.
    pub struct FloorEditAsk {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
        /// What is done.
        pub edit: FloorEdit,
    }
}

request! {
    /// Asks how a straightedge lies. Places are mm in plan coordinates.
    pub struct StraightedgeAsk {
        /// The job.
        pub job: String,
        /// The room.
        pub room: String,
        /// Of which round; left out for the newest.
        #[serde(default)]
        #[ts(optional)]
        pub round: Option<u32>,
        /// One end.
        pub from: [f64; 2],
        /// The other.
        pub to: [f64; 2],
    }
}

/// One edit of a floor: in the newest round. Lengths are as typed, places mm in plan coordinates.
#[derive(Clone, Debug, PartialEq, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export)]
pub enum FloorEdit {
    /// The rod was read at a point; what was read there before stands beside it.
    Read {
        /// The point, or the station that is suggested there.
        point: String,
        /// Where it is.
        at: [f64; 2],
        /// The set-up; empty for the first.
        setup: String,
        /// What the rod read.
        text: String,
    },
    /// A rod reading was mistyped or misread: it is kept as replaced.
    Correct {
        /// The reading.
        id: String,
        /// What the rod reads.
        text: String,
    },
    /// A reading no longer counts; it is kept.
    TakeOut {
        /// The reading of rod or straightedge, or the line.
        id: String,
    },
    /// The instrument is set up anew.
    AddSetup {
        /// What people call it; empty for its number.
        name: String,
    },
    /// A gap was read under a straightedge.
    AddStraightedge {
        /// One end.
        from: [f64; 2],
        /// The other.
        to: [f64; 2],
        /// The greatest gap.
        gap: String,
    },
    /// Equally spaced heights along a line: from a level line, or as distances below a string.
    AddLine {
        /// What people call it.
        name: String,
        /// The distance of neighbours.
        spacing: String,
        /// Whether the figures are distances down to the floor, from a string or a level line.
        below: bool,
        /// The figures, in order.
        heights: Vec<String>,
    },
    /// What is asked of the floor and of a correction.
    SetAsked {
        /// Standard deviation of a rod reading; empty for a line laser's.
        sd: String,
        /// Published tolerances by name.
        standards: Vec<String>,
        /// Whether it may be ground.
        grind: bool,
        /// What grinding a litre off costs, where filling one costs 1; empty for the same.
        grind_cost: String,
        /// By how much a correction keeps clear of the tolerances; empty for nothing.
        margin: String,
        /// How many mix at once; empty for one.
        mixers: String,
    },
    /// The floor was worked on: what is read from now on belongs to the next round.
    Worked {
        /// What was used, in words of whoever did it.
        notes: String,
        /// Litres filled; empty if not known.
        litres: String,
        /// Bags used; empty if not known.
        bags: String,
    },
}

wire! {
    /// A room's floor.
    pub struct FloorView {
        /// The room.
        pub room: String,
        /// What people call it.
        pub name: String,
        /// How lengths are typed and shown.
        pub units: Units,
        /// The round that is shown.
        pub round: u32,
        /// Whether it is the newest, which alone is edited.
        pub newest: bool,
        /// All rounds, as found first.
        pub rounds: Vec<FloorRoundView>,
        /// The room's outline in mm, where its shape is known.
        pub outline: Option<Vec<[f64; 2]>>,
        /// What stands on the floor.
        pub keepouts: Vec<Vec<[f64; 2]>>,
        /// Set-ups of the instrument in this round; one where none was named.
        pub setups: Vec<SetupView>,
        /// Points that were read.
        pub points: Vec<FloorPointView>,
        /// Places still to be read, in walking order.
        pub stations: Vec<StationView>,
        /// How many are read and to be read, in words.
        pub read_words: String,
        /// How dense is dense enough, in words.
        pub dense_words: String,
        /// Gaps under a straightedge.
        pub straightedges: Vec<GapView>,
        /// Lines of heights.
        pub lines: Vec<FloorLineView>,
        /// Their F-numbers together, in words; empty without.
        pub f_words: String,
        /// What is asked, and what may be.
        pub asked: FloorAskedView,
        /// The tolerances and how the floor does.
        pub tolerances: Vec<FloorToleranceView>,
        /// Whether there are readings enough for a surface.
        pub surface: bool,
        /// Whether the verdicts are worked out; if not, `floor.judge` does it.
        pub judged: bool,
        /// `pass`, `fail`, `unsure`, or `unread`.
        pub verdict: String,
        /// The verdict in a sentence.
        pub verdict_words: String,
        /// Points that would make it surer if read again.
        pub again: Vec<String>,
        /// The floor as heights.
        pub map: Option<FloorMapView>,
        /// How it slopes as a whole, in words; empty where it is not known.
        pub slope_words: String,
        /// How well one reads, by points read again, in words; empty without.
        pub repeat_words: String,
        /// What is odd.
        pub problems: Vec<RoomProblem>,
        /// The margin that is suggested; absent until judged.
        pub suggested_margin: Option<Typed>,
        /// The correction, once it is worked out.
        pub correction: Option<FloorCorrectionView>,
    }
}

wire! {
    /// A round: the floor as found, or as read after work on it.
    pub struct FloorRoundView {
        /// Its number.
        pub round: u32,
        /// What it is, in words.
        pub name: String,
        /// Who read it and when, in words; empty where nothing is read yet.
        pub read_words: String,
        /// `pass`, `fail`, `unsure`, or `unread`; empty where it is not worked out.
        pub verdict: String,
        /// The worst deviation under each tolerance with its doubt, in words.
        pub worst_words: Vec<String>,
        /// What was done before it, in words; empty for the floor as found.
        pub work_words: String,
        /// Who said so, and when.
        pub stamp: Option<Stamp>,
    }
}

wire! {
    /// A set-up of the instrument.
    pub struct SetupView {
        /// The set-up; empty for the first where none was named.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// How many readings were taken from it.
        pub readings: u32,
        /// A point of another set-up to read first, so that the two are tied; absent where they are.
        pub tie: Option<String>,
    }
}

wire! {
    /// A point that was read.
    pub struct FloorPointView {
        /// The point.
        pub id: String,
        /// Its number on the map.
        pub label: String,
        /// Where it is.
        pub at: [f64; 2],
        /// Its height in mm, the highest at nought; absent where its set-up is tied to nothing.
        pub z: Option<f64>,
        /// How far below the highest, in short.
        pub text: String,
        /// The same with its doubt, in words.
        pub words: String,
        /// What the rod read there.
        pub readings: Vec<RodView>,
    }
}

wire! {
    /// A rod reading.
    pub struct RodView {
        /// The reading.
        pub id: String,
        /// What was read.
        pub text: String,
        /// The set-up's name.
        pub setup: String,
        /// Who and when.
        pub stamp: Stamp,
        /// What it replaced.
        pub earlier: Vec<String>,
    }
}

wire! {
    /// A place to read.
    pub struct StationView {
        /// What the point will be called.
        pub id: String,
        /// Where it is.
        pub at: [f64; 2],
        /// How to find it: from which walls and how far, in words.
        pub words: String,
    }
}

wire! {
    /// A gap under a straightedge.
    pub struct GapView {
        /// The reading.
        pub id: String,
        /// The edge's ends.
        pub line: [[f64; 2]; 2],
        /// How long it is.
        pub length_text: String,
        /// The gap.
        pub gap: Typed,
        /// Who and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// A line of equally spaced heights.
    pub struct FloorLineView {
        /// The line.
        pub id: String,
        /// What people call it.
        pub name: String,
        /// How many heights and how far apart, in words.
        pub words: String,
        /// Its F-numbers, in words; empty without.
        pub f_words: String,
        /// Who and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// What is asked of a floor and of its correction.
    pub struct FloorAskedView {
        /// Standard deviation of a rod reading; empty for a line laser's.
        pub sd: String,
        /// What is taken where that is empty.
        pub usual_sd: String,
        /// Published tolerances to choose from.
        pub standards: Vec<StandardView>,
        /// Whether it may be ground.
        pub grind: bool,
        /// What grinding a litre off costs, where filling one costs 1.
        pub grind_cost: String,
        /// By how much a correction keeps clear of the tolerances.
        pub margin: String,
        /// How many mix at once.
        pub mixers: String,
    }
}

wire! {
    /// A published tolerance.
    pub struct StandardView {
        /// Its name for programs.
        pub id: String,
        /// Where it stands.
        pub source: String,
        /// What it asks, in words.
        pub words: String,
        /// Whether it is asked of this floor.
        pub on: bool,
    }
}

wire! {
    /// A tolerance and how the floor does.
    pub struct FloorToleranceView {
        /// What is asked, in words.
        pub words: String,
        /// Where it comes from, in words.
        pub source: String,
        /// `pass`, `fail`, `unsure`, or `unread`.
        pub verdict: String,
        /// The deepest dip and the highest hump, worst first.
        pub worst: Vec<WorstView>,
        /// The certified bound, in words; empty where it is not worked out.
        pub bound_words: String,
        /// Whether the readings stand too far apart for it.
        pub sparse: bool,
        /// What gaps read under a straightedge say: `pass`, `fail`, `unsure`; empty without.
        pub gaps: String,
    }
}

wire! {
    /// The worst chord of a kind, as a person would lay the straightedge.
    pub struct WorstView {
        /// `dip` or `hump`.
        pub kind: String,
        /// How far the floor is off the straightedge.
        pub text: String,
        /// Twice its standard deviation.
        pub doubt_text: String,
        /// Where it is furthest off.
        pub at: [f64; 2],
        /// The straightedge.
        pub line: [[f64; 2]; 2],
        /// Where that is, in words.
        pub words: String,
        /// Whether it is more than is asked.
        pub over: bool,
    }
}

wire! {
    /// Values over a floor as lines and areas.
    pub struct FloorMapView {
        /// The step between lines.
        pub step_text: String,
        /// Lines of one value.
        pub contours: Vec<ContourView>,
        /// Areas between values, lowest first.
        pub bands: Vec<BandView>,
    }
}

wire! {
    /// A line of one value.
    pub struct ContourView {
        /// The value.
        pub text: String,
        /// Its parts, each flat: x0, y0, x1, y1, ….
        pub chains: Vec<Vec<f64>>,
    }
}

wire! {
    /// An area between two values.
    pub struct BandView {
        /// From what to what, in words.
        pub words: String,
        /// How far from nothing, counted in steps: 0 for none.
        pub depth: u32,
        /// Whether it is taken off and not put on.
        pub off: bool,
        /// Its shapes.
        pub rings: Vec<Rings>,
    }
}

wire! {
    /// A straightedge as it lies.
    pub struct StraightedgeView {
        /// Its ends: what of it lies on the floor that was read.
        pub line: [[f64; 2]; 2],
        /// How long that is.
        pub length_text: String,
        /// The floor under it: distance from the first end and height, mm.
        pub profile: Vec<[f64; 2]>,
        /// Where it touches: distance from the first end and height, mm.
        pub rests: [[f64; 2]; 2],
        /// Where the gap is greatest: distance from the first end, mm.
        pub gap_along: f64,
        /// The place of that.
        pub gap_at: [f64; 2],
        /// The greatest gap.
        pub gap_text: String,
        /// Twice its standard deviation.
        pub doubt_text: String,
        /// How far the floor stands above the line from end to end; empty where it does not.
        pub hump_text: String,
        /// All of it in words.
        pub words: String,
    }
}

wire! {
    /// A correction.
    pub struct FloorCorrectionView {
        /// What it keeps, in words.
        pub words: String,
        /// Nothing needs doing.
        pub nothing: bool,
        /// What to do at the points, those that change alone.
        pub changes: Vec<ChangeView>,
        /// How much is put on and taken off, as lines and areas.
        pub map: Option<FloorMapView>,
        /// Patches that are filled, largest first.
        pub patches: Vec<PatchView>,
        /// The work in order, each step in a sentence.
        pub steps: Vec<String>,
        /// What is needed: bags, primer, foam, dams.
        pub needs: Vec<NeedView>,
        /// The usual cautions, each with its source.
        pub cautions: Vec<CautionView>,
        /// Whether no compound is known to work it out for.
        pub no_compound: bool,
    }
}

wire! {
    /// What to do at a point.
    pub struct ChangeView {
        /// The point.
        pub point: String,
        /// Its number on the map.
        pub label: String,
        /// Where.
        pub at: [f64; 2],
        /// How much, in short: `+` put on, `−` taken off.
        pub text: String,
    }
}

wire! {
    /// A patch that is filled or ground off.
    pub struct PatchView {
        /// Its letter on the map.
        pub letter: String,
        /// `pour`, `trowel` or `grind`.
        pub way: String,
        /// What it is, in words.
        pub words: String,
        /// What to know of it besides, in words.
        pub notes: Vec<String>,
        /// Where its letter stands.
        pub at: [f64; 2],
        /// Dams around it, each as a line.
        pub dams: Vec<[[f64; 2]; 2]>,
    }
}

wire! {
    /// Something that is needed.
    pub struct NeedView {
        /// What.
        pub name: String,
        /// How much.
        pub text: String,
        /// Where the figure comes from, in words.
        pub from: String,
    }
}

wire! {
    /// A caution.
    pub struct CautionView {
        /// What to mind.
        pub words: String,
        /// Where it stands.
        pub source: String,
    }
}
