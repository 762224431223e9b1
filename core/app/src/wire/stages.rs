//! Stages of the work: how far each is, what its gates lack, and the cautions at the step where they matter.

use super::{CautionView, Stamp, request, wire};

wire! {
    /// The stages of a job.
    pub struct StagesView {
        /// In their order; the second can go on beside the others.
        pub stages: Vec<StageView>,
        /// What the client confirmed, or has not yet.
        pub confirmed: Vec<ConfirmedView>,
        /// What the products' warranty hangs on, one by one.
        pub conditions: Vec<ConfirmedView>,
        /// Steps of a heated floor; absent where none is heated.
        pub heating: Option<HeatingView>,
        /// `C` or `F`: how warmth is written.
        pub degrees: String,
    }
}

wire! {
    /// A stage.
    pub struct StageView {
        /// `demolition`, `prep`, `acclimatise`, `underlay`, `lay`, `grout`, `trim` or `handover`.
        pub stage: String,
        /// What it is called.
        pub name: String,
        /// `waits`, `begun` or `finished`.
        pub state: String,
        /// That in words.
        pub words: String,
        /// Who said so last, and when.
        pub stamp: Option<Stamp>,
        /// What is missing before it begins.
        pub gates: Vec<GateView>,
        /// Cautions of this step.
        pub cautions: Vec<CautionView>,
    }
}

wire! {
    /// Something that is missing before a stage begins.
    pub struct GateView {
        /// Give it back to pass it.
        pub id: String,
        /// What is missing, in words.
        pub words: String,
        /// What to do about it; may be empty.
        pub hint: String,
        /// Who asks for it; empty where nobody but good sense does.
        pub source: String,
        /// The room that it is about; empty for the job.
        pub room: String,
        /// Where it is settled: `base`, `floor`, `plan`, `work` or empty.
        pub settled_at: String,
        /// Who passed it all the same, and why.
        pub passed: Option<PassedView>,
    }
}

wire! {
    /// A gate that was passed though something was missing.
    pub struct PassedView {
        /// The entry, to be taken back.
        pub id: String,
        /// The reason.
        pub reason: String,
        /// Who passed it, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// Something that the client confirms.
    pub struct ConfirmedView {
        /// `shade`, `layout`, `conditions`, or the name of a condition.
        pub what: String,
        /// That in words.
        pub words: String,
        /// Whether it is confirmed.
        pub confirmed: bool,
        /// By whom.
        pub by: String,
        /// Who wrote it down, and when.
        pub stamp: Option<Stamp>,
    }
}

wire! {
    /// Steps of a heated floor.
    pub struct HeatingView {
        /// Which rooms are heated, in words.
        pub rooms: String,
        /// What is done in which order, in words, with who says so.
        pub advice: Vec<CautionView>,
        /// What was set and read, the latest first.
        pub steps: Vec<HeatingStepView>,
    }
}

wire! {
    /// A step of a heated floor.
    pub struct HeatingStepView {
        /// The entry, to be taken back.
        pub id: String,
        /// It in words.
        pub words: String,
        /// Who set or read it, and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Begins a stage, finishes it, or opens it again.
    pub struct StageSet {
        /// The job.
        pub job: String,
        /// The stage.
        pub stage: String,
        /// `begin`, `finish` or `open`.
        pub to: String,
    }
}

request! {
    /// Passes a gate though something is missing.
    pub struct GatePassed {
        /// The job.
        pub job: String,
        /// The stage it leads to.
        pub stage: String,
        /// The gate.
        pub gate: String,
        /// Why.
        pub reason: String,
    }
}

request! {
    /// What the client confirmed.
    pub struct ClientConfirmed {
        /// The job.
        pub job: String,
        /// `shade`, `layout`, `conditions`, or the name of a condition.
        pub what: String,
        /// Whether it is confirmed.
        pub confirmed: bool,
        /// By whom; of a condition empty for the person at this device.
        pub by: String,
    }
}

request! {
    /// A step of a heated floor.
    pub struct HeatingLog {
        /// The job.
        pub job: String,
        /// `off`, `ramp` or `limit`.
        pub what: String,
        /// Warmth of floor or water; empty for not read.
        pub warmth: String,
        /// In words; may be empty.
        pub words: String,
    }
}
