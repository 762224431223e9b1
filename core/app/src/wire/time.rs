//! Time and materials against the quote, and what finished jobs say of the crew's own rates.

use super::{Stamp, request, wire};

wire! {
    /// Time and materials of a job.
    pub struct TimeView {
        /// What one may work at, in the order of a job.
        pub tasks: Vec<TaskName>,
        /// The task that the person at this device was at last.
        pub last: String,
        /// Whose device this is.
        pub me: String,
        /// Clocks that run.
        pub running: Vec<RunningView>,
        /// Hours by task beside the quote's.
        pub hours: Vec<HoursView>,
        /// All hours together.
        pub total: Option<HoursView>,
        /// What the quote's figures are of, in words.
        pub basis: String,
        /// What is to be looked at, in words.
        pub notices: Vec<String>,
        /// What was written down, the latest first.
        pub entries: Vec<TimeEntry>,
        /// Materials opened and broken beside the quote's.
        pub materials: Vec<MaterialView>,
    }
}

wire! {
    /// Something one works at.
    pub struct TaskName {
        /// The task, as rates call it.
        pub value: String,
        /// What it is called.
        pub name: String,
        /// In which unit it is measured, where whoever writes hours down says how much was done; else empty.
        pub unit: String,
    }
}

wire! {
    /// A clock that runs.
    pub struct RunningView {
        /// The entry.
        pub id: String,
        /// Whose.
        pub who: String,
        /// At what.
        pub task: String,
        /// Since when: by the clock of the device that started it.
        pub stamp: Stamp,
        /// Why it is asked how long it was, in words; empty where the clock can be believed.
        pub asks: String,
    }
}

wire! {
    /// Hours at a task.
    pub struct HoursView {
        /// The task.
        pub name: String,
        /// Hours that were spent.
        pub spent: String,
        /// Hours of the quote; a dash where it has none.
        pub quoted: String,
        /// What is left or over, in words; empty where the quote has none.
        pub words: String,
        /// Whether it is over the quote.
        pub over: bool,
        /// What of it was something else that the quote has in it, in words; may be empty.
        pub within: String,
    }
}

wire! {
    /// Time that was written down.
    pub struct TimeEntry {
        /// The entry.
        pub id: String,
        /// Who, what, how long, in words.
        pub words: String,
        /// The day.
        pub day: String,
        /// What people said apart, in words; empty where they agree.
        pub differ: String,
        /// What was said apart, to choose from, in hours as they are typed.
        pub choices: Vec<String>,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

wire! {
    /// A material.
    pub struct MaterialView {
        /// The product.
        pub id: String,
        /// What it is called.
        pub name: String,
        /// In words: what one of it is.
        pub unit: String,
        /// Opened or used.
        pub used: String,
        /// Of these broken; empty where it is nothing that breaks.
        pub broken: String,
        /// What the quote has.
        pub quoted: String,
        /// What is left or over, in words.
        pub words: String,
        /// Whether it is over the quote.
        pub over: bool,
        /// Whether what was used of it is typed.
        pub typed: bool,
        /// What was typed of it, to be taken back.
        pub entries: Vec<UsedEntry>,
    }
}

wire! {
    /// What was used, as it was typed.
    pub struct UsedEntry {
        /// The entry.
        pub id: String,
        /// It in words.
        pub words: String,
        /// Who wrote it down, and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Starts a clock for the person at this device, and stops the one that runs for that person.
    pub struct TimeStart {
        /// The job.
        pub job: String,
        /// At what.
        pub task: String,
    }
}

request! {
    /// Stops a clock.
    pub struct TimeStop {
        /// The job.
        pub job: String,
        /// The entry.
        pub id: String,
        /// How long it was, as typed; empty for what the clock says.
        pub hours: String,
    }
}

request! {
    /// Hours that are typed.
    pub struct TimeAdd {
        /// The job.
        pub job: String,
        /// At what.
        pub task: String,
        /// Hours of each: `1.5`, `1:30` or `90 min`.
        pub hours: String,
        /// How many people; empty for one.
        pub people: String,
        /// Who; empty for the person at this device.
        pub who: String,
        /// The day as year-month-day; empty for today.
        pub day: String,
        /// How much was done, in the task's unit; may be empty.
        pub done: String,
    }
}

request! {
    /// Settles how long a stretch of time was that people said different things of.
    pub struct TimeSettle {
        /// The job.
        pub job: String,
        /// The entry.
        pub id: String,
        /// How long it was, as typed.
        pub hours: String,
    }
}

request! {
    /// What was used of something.
    pub struct TimeUsed {
        /// The job.
        pub job: String,
        /// The material.
        pub product: String,
        /// How many.
        pub used: String,
    }
}

wire! {
    /// What finished jobs say of the crew's own rates.
    pub struct LearnedView {
        /// What they say; empty without any.
        pub rates: Vec<LearnedRate>,
        /// Why nothing or not everything can be said, in words; may be empty.
        pub words: String,
    }
}

wire! {
    /// What finished jobs say of one rate.
    pub struct LearnedRate {
        /// The task, or `breakage`.
        pub task: String,
        /// What it is called.
        pub name: String,
        /// What the jobs say, in words.
        pub suggests: String,
        /// The figure that is taken over.
        pub figure: String,
        /// What the shop reckons with now, in words.
        pub now: String,
        /// From how many jobs and how much, in words.
        pub from: String,
        /// How far they differ, in words.
        pub spread: String,
        /// Whether the shop reckons with it already.
        pub same: bool,
        /// Job by job, in words.
        pub jobs: Vec<String>,
    }
}

request! {
    /// Takes a rate over: the figure that was shown, so that nobody takes another one than was seen.
    pub struct LearnedTake {
        /// The task, or `breakage`.
        pub task: String,
        /// The figure.
        pub figure: String,
    }
}
