//! Setting out, the last tile of a row, and the floor as it lies.

use super::{Typed, request, wire};

wire! {
    /// How an area is set out, and how the rows lie that are laid.
    pub struct SettingOutView {
        /// The row whose far edge the chalk line is.
        pub row: u32,
        /// What the line is, in words.
        pub words: String,
        /// What whoever lays by the plan that was given out must know: that all this is of another one. Empty where it is
        /// of the same, or none was given out.
        pub otherwise_words: String,
        /// The line in mm, in plan coordinates, from the rows' start.
        pub line: [[f64; 2]; 2],
        /// Two marks to snap it through.
        pub marks: Vec<WallMarkView>,
        /// Where a joint of the next row falls on the line.
        pub first_joint: WallMarkView,
        /// What the check diagonal must read.
        pub check: Typed,
        /// From where to where it is measured, in words.
        pub check_words: String,
        /// From where to where it is measured, in mm, in plan coordinates.
        pub check_line: [[f64; 2]; 2],
        /// The corners of the rooms, which the words name walls by.
        pub corners: Vec<CornerLetter>,
        /// The first and the last row at both ends.
        pub rows: Vec<RowEndsView>,
        /// Spacers along the wall.
        pub spacers: Option<SpacersView>,
        /// How well the pitch is known, in words.
        pub pitch_words: String,
        /// What ten tiles of a row measured.
        pub ten_tiles: Option<Typed>,
        /// What ten rows measured.
        pub ten_rows: Option<Typed>,
        /// Rows that can be measured from the line: first and last.
        pub measurable: [u32; 2],
        /// Rows that were measured.
        pub laid: Vec<LaidRowView>,
        /// What they say; absent where none was measured.
        pub as_it_lies: Option<AsItLiesView>,
    }
}

wire! {
    /// A corner as it is named on the drawing.
    pub struct CornerLetter {
        /// Its name.
        pub name: String,
        /// Its place in mm, in plan coordinates.
        pub at: [f64; 2],
        /// The middle of its room's corners: where two rooms meet at a wall, each one's letters stand on its own side.
        pub middle: [f64; 2],
    }
}

wire! {
    /// A place by its distances along a wall and off it.
    pub struct WallMarkView {
        /// The place in mm, in plan coordinates.
        pub at: [f64; 2],
        /// The place of the wall that it is measured from, square to the wall.
        pub foot: [f64; 2],
        /// How far off the wall, square to it.
        pub off: Typed,
        /// How far along the wall from its left corner.
        pub along: Typed,
        /// Off which wall and along from which corner, in words.
        pub words: String,
    }
}

wire! {
    /// A row's width at both ends.
    pub struct RowEndsView {
        /// The row.
        pub row: u32,
        /// At its start.
        pub start: Typed,
        /// At its end.
        pub end: Typed,
        /// How sure the two are, in words.
        pub sure: String,
    }
}

wire! {
    /// Spacers along a wall.
    pub struct SpacersView {
        /// Along which wall and what the row is ripped to, in words.
        pub words: String,
        /// Whether the same spacer goes everywhere.
        pub even: bool,
        /// The stack at each joint.
        pub stacks: Vec<StackView>,
        /// Places between joints where the wall comes nearer than the gap.
        pub tight: Vec<StackView>,
    }
}

wire! {
    /// A stack of spacers.
    pub struct StackView {
        /// How far along the line from its start.
        pub along: Typed,
        /// How high a stack.
        pub gap: Typed,
        /// What is wrong there, in words; empty where nothing is.
        pub words: String,
    }
}

wire! {
    /// A row that was measured.
    pub struct LaidRowView {
        /// The reading.
        pub id: String,
        /// The row.
        pub row: u32,
        /// At its start.
        pub at_start: Typed,
        /// At its end.
        pub at_end: Option<Typed>,
        /// Why it does not count, in words; empty where it does.
        pub words: String,
    }
}

wire! {
    /// What the measured rows say.
    pub struct AsItLiesView {
        /// The last row that was measured; what comes after it is planned around what lies.
        pub laid: u32,
        /// The pitch and its doubt, in words.
        pub pitch_words: String,
        /// The drift and its doubt, in words; empty where one end was not measured.
        pub drift_words: String,
        /// The last row at its start and at its end: as it will come.
        pub last_row: Vec<Typed>,
        /// How that compares with the plan, in words.
        pub last_row_words: String,
        /// What would mend it, in words.
        pub mend_words: String,
    }
}

wire! {
    /// What to cut the last tile of a row to.
    pub struct LastTileView {
        /// Along the edge facing row 1.
        pub low: Typed,
        /// Along the edge away from it.
        pub high: Typed,
        /// What was taken off, in words.
        pub words: String,
        /// What is odd, in words; empty where nothing is.
        pub odd: String,
    }
}

request! {
    /// Asks what to cut the last tile of a row to.
    pub struct LastTileAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The gap from the last face to the wall, along the edge facing row 1.
        pub gap: String,
        /// The same along the edge away from it; empty for the same.
        pub gap_other: String,
    }
}

request! {
    /// Stores where a row lies.
    pub struct RowMeasured {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The row.
        pub row: u32,
        /// The distance of its far edge from the chalk line at its start.
        pub at_start: String,
        /// The same at its end; empty for not measured.
        pub at_end: String,
    }
}

request! {
    /// Stores what ten tiles and ten rows measure together, from outer edge to outer edge; empty for the label's pitch.
    pub struct PitchMeasured {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// Ten tiles of a row.
        pub ten_tiles: String,
        /// Ten rows.
        pub ten_rows: String,
    }
}

request! {
    /// Names a reading of a row.
    pub struct RowReadingOf {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The reading.
        pub id: String,
    }
}
