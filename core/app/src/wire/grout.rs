//! Grouting: sections in their order, and who may walk where, when.

use super::{Rings, Stamp, request, wire};

wire! {
    /// The grouting of an area.
    pub struct GroutView {
        /// The area.
        pub area: String,
        /// The plan that is laid by.
        pub plan: String,
        /// How much is grouted at once, and who says so, in words.
        pub reach_words: String,
        /// The openings by which one may leave.
        pub ways_out: Vec<WayOutView>,
        /// The one that the order ends at; empty where there is none.
        pub way_out: String,
        /// The sections in the order in which they are grouted.
        pub sections: Vec<SectionView>,
        /// The first section that is not done.
        pub next: Option<u32>,
        /// What is odd, in words: sections that are cut off, floor that is not laid yet, clocks.
        pub notices: Vec<String>,
        /// What waits: who may walk where, when.
        pub waits: Vec<WaitView>,
        /// Where the times come from, in words.
        pub times_words: String,
        /// The product's name, as it was written; empty where none was.
        pub product: String,
        /// Its hours before light foot traffic; empty where it does not say.
        pub walk_hours: String,
        /// Its hours to full cure.
        pub cure_hours: String,
        /// `C` or `F`: how warmth is written.
        pub degrees: String,
        /// In how many milliseconds something is due next; absent where nothing is.
        pub next_in_ms: Option<f64>,
        /// What is due then, in words.
        pub next_words: String,
    }
}

wire! {
    /// An opening by which one may leave.
    pub struct WayOutView {
        /// Give it back to choose it.
        pub id: String,
        /// Its room and wall.
        pub name: String,
    }
}

wire! {
    /// A section.
    pub struct SectionView {
        /// Names it by its place on the floor.
        pub id: String,
        /// Its place in the order, from 1.
        pub n: u32,
        /// Its outline on the plan.
        pub rings: Rings,
        /// `open`, `wet`, `haze`, `walk` or `cured`.
        pub phase: String,
        /// That in words.
        pub words: String,
        /// Its size, in words.
        pub size: String,
        /// Over which section one leaves it, in words; empty for the last.
        pub leave_words: String,
    }
}

wire! {
    /// Sections that were done at one time, and when what is allowed there.
    pub struct WaitView {
        /// The entries, to be taken back.
        pub entries: Vec<String>,
        /// Which sections, in words.
        pub name: String,
        /// `wet`, `haze`, `walk`, `cured` or `backwards`.
        pub phase: String,
        /// What is allowed now, in words.
        pub now: String,
        /// What is allowed from when, in words, in the order of time.
        pub later: Vec<String>,
        /// Who marked it, and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Asks for the grouting of an area.
    pub struct GroutAsk {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The opening by which one leaves; left out for the first.
        #[serde(default)]
        #[ts(optional)]
        pub way_out: Option<String>,
    }
}

request! {
    /// Says that sections were grouted and washed.
    pub struct GroutDone {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The plan that is laid by.
        pub plan: String,
        /// The opening by which one leaves; left out for the first.
        #[serde(default)]
        #[ts(optional)]
        pub way_out: Option<String>,
        /// The sections.
        pub sections: Vec<String>,
        /// How many minutes ago that really was; empty for now.
        pub minutes_ago: String,
        /// How warm the floor is; empty for not read.
        pub warmth: String,
    }
}

request! {
    /// Takes sections back that were marked done.
    pub struct GroutUndone {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// The opening by which one leaves; left out for the first.
        #[serde(default)]
        #[ts(optional)]
        pub way_out: Option<String>,
        /// The entries.
        pub entries: Vec<String>,
    }
}

request! {
    /// What the grout's data sheet says of its times.
    pub struct GroutSays {
        /// The job.
        pub job: String,
        /// The area.
        pub area: String,
        /// What it is called.
        pub product: String,
        /// Hours before light foot traffic; empty where it does not say.
        pub walk_hours: String,
        /// Hours to full cure; empty where it does not say.
        pub cure_hours: String,
    }
}
