//! The numbers to reach, and which figures tell whether they are.

use super::figures::Figures;

/// One line of the table.
#[derive(Debug)]
pub(super) struct Goal {
    /// The measurement that says the figures.
    pub(super) measure: &'static str,
    /// For a person.
    pub(super) what: &'static str,
    /// The name of our figure.
    pub(super) ours: &'static str,
    /// What it stands beside.
    pub(super) reference: Option<Reference>,
    /// What is to be reached.
    pub(super) aim: Aim,
}

/// A figure from outside the project, measured in the same run.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reference {
    /// The name of its figure.
    pub(super) name: &'static str,
    /// Whose it is.
    pub(super) what: &'static str,
}

/// What is to be reached.
#[derive(Clone, Copy, Debug)]
pub(super) enum Aim {
    /// At most so many seconds.
    Within(f64),
    /// At least so many times faster than the reference.
    Faster(f64),
    /// At least that part of the reference's speed.
    Speed(f64),
    /// Fewer bytes than that.
    Bytes(f64),
    /// At most so many times the bytes of the reference.
    Times(f64),
    /// At most so much of something that is counted or reckoned and not timed: the same in every run, so that more of it
    /// is a fault.
    AtMost(f64, &'static str),
}

impl Aim {
    /// The goal as the table writes it.
    pub(super) fn words(self) -> String {
        let within = |s: f64| if s < 1.0 { format!("{} ms", s * 1000.0) } else { format!("{s} s") };
        match self {
            Self::Within(seconds) => format!("under {}", within(seconds)),
            Self::Faster(times) => format!("{times} times faster"),
            Self::Speed(part) => format!("{} % of its speed", part * 100.0),
            Self::Bytes(most) => format!("under {}", bytes(most)),
            Self::Times(times) => format!("{times} times the bytes"),
            Self::AtMost(most, what) => format!("at most {most} {what}"),
        }
    }

    /// Whether it is reached; `None` where the reference it needs is missing.
    pub(super) fn met(self, ours: f64, theirs: Option<f64>) -> Option<bool> {
        match self {
            Self::Within(seconds) => Some(ours < seconds),
            Self::Faster(times) | Self::Speed(times) => Some(theirs? / ours >= times),
            Self::Bytes(most) => Some(ours < most),
            Self::Times(times) => Some(ours / theirs? <= times),
            Self::AtMost(most, _) => Some(ours <= most),
        }
    }

    /// Whether even the reference takes longer, so that this machine is too slow for the goal.
    pub(super) fn is_beyond(self, theirs: Option<f64>) -> bool {
        matches!((self, theirs), (Self::Within(most), Some(theirs)) if theirs >= most)
    }

    /// Whether a miss is a fault, and not a slow machine.
    pub(super) fn is_counted(self) -> bool {
        matches!(self, Self::AtMost(..))
    }

    /// Whether the figures are bytes, and not seconds.
    pub(super) fn is_of_bytes(self) -> bool {
        matches!(self, Self::Bytes(_) | Self::Times(_))
    }
}

/// A number of bytes to three figures, in the unit that suits it.
pub(super) fn bytes(count: f64) -> String {
    match count {
        b if b < 1e3 => format!("{b:.0} bytes"),
        b if b < 1e6 => format!("{} kB", figures(b / 1e3)),
        b => format!("{} MB", figures(b / 1e6)),
    }
}

/// A figure with at least three digits, no more behind the point than that takes.
pub(super) fn figures(value: f64) -> String {
    match value {
        v if v < 10.0 => format!("{v:.2}"),
        v if v < 100.0 => format!("{v:.1}"),
        v => format!("{v:.0}"),
    }
}

impl Goal {
    /// Says which figure of this line nobody gave.
    pub(super) fn missing(&self, seen: &Figures) -> Option<String> {
        let absent = |name: &str| seen.seconds(name).is_none() && seen.told(name).is_none();
        let reference = self.reference.map(|reference| reference.name);
        let name = [Some(self.ours), reference].into_iter().flatten().find(|name| absent(name))?;
        Some(format!("`{}` gave no figure “{name}”, which the line “{}” needs.", self.measure, self.what))
    }

    /// Says what is counted and more than it may be.
    pub(super) fn exceeded(&self, seen: &Figures) -> Option<String> {
        let ours = seen.seconds(self.ours).filter(|_| self.aim.is_counted())?;
        let is_more = self.aim.met(ours, None) == Some(false);
        is_more.then(|| format!("{}: {ours}, and it may be {}.", self.what, self.aim.words()))
    }
}

const fn beside(name: &'static str, what: &'static str) -> Option<Reference> {
    Some(Reference { name, what })
}

/// What the searches took when this was written, and a tenth more.
const RECTANGLES: f64 = 1070.0;
const TRIED: f64 = 6700.0;

/// Every number to reach.
pub(super) const GOALS: &[Goal] = &[
    Goal {
        measure: "window",
        what: "start to the list of 1,000 jobs",
        ours: "window with 1000 jobs",
        reference: beside("window with no job", "the same window, no job"),
        aim: Aim::Within(1.0),
    },
    Goal {
        measure: "hand",
        what: "an edit acknowledged, p95",
        ours: "edit acknowledged, p95",
        reference: beside("bare insert, p95", "one bare SQLite insert"),
        aim: Aim::Within(0.020),
    },
    Goal {
        measure: "hand",
        what: "a room of 1,000 readings opens",
        ours: "season's room opened",
        reference: beside("automerge load of its bytes", "automerge loads its bytes"),
        aim: Aim::Within(0.030),
    },
    Goal {
        measure: "frames",
        what: "panning 1,500 pieces, work of a frame, p95",
        ours: "frame of 1500 pieces, work p95",
        reference: beside("frame of an empty page, work p95", "a page with one layer"),
        aim: Aim::Within(0.008),
    },
    Goal {
        measure: "frames",
        what: "the same, six times the processor time at full speed",
        ours: "frame of 1500 pieces, six times processor p95",
        reference: beside("frame of an empty page, six times processor p95", "a page with one layer"),
        aim: Aim::Within(0.008),
    },
    Goal {
        measure: "season",
        what: "a season's job opens: 8 rooms, 2,000 readings",
        ours: "season's job opened",
        reference: None,
        aim: Aim::Within(0.300),
    },
    Goal {
        measure: "season",
        what: "its documents, with 2,000 marks and 300 photo records",
        ours: "season's job, bytes of all documents",
        reference: None,
        aim: Aim::Bytes(1e6),
    },
    Goal {
        measure: "season",
        what: "1,000 jobs listed",
        ours: "1000 jobs listed",
        reference: None,
        aim: Aim::Within(0.050),
    },
    Goal {
        measure: "crew",
        what: "an edit is at a connected device, median",
        ours: "edit there, median",
        reference: None,
        aim: Aim::Within(0.050),
    },
    Goal {
        measure: "crew",
        what: "what it costs both ways with all headers, median",
        ours: "edit, bytes both ways with all headers, median",
        reference: None,
        aim: Aim::Bytes(700.0),
    },
    Goal {
        measure: "crew",
        what: "21 jobs for the first time, both ways with all headers",
        ours: "first time level, bytes",
        reference: beside("compact documents, bytes", "the compact documents"),
        aim: Aim::Times(1.3),
    },
    Goal {
        measure: "crew",
        what: "24 MB of photos over a link of 50 Mbit/s",
        ours: "photos over 50 Mbit/s",
        reference: beside("plain copy over 50 Mbit/s", "a plain copy by TCP"),
        aim: Aim::Speed(0.9),
    },
    Goal {
        measure: "survey",
        what: "12 corners, 40 readings, everything said of them",
        ours: "room of 12 corners and 40 readings",
        reference: beside("room of 12 corners and 40 readings, scipy", "scipy, fit and statistics"),
        aim: Aim::Within(0.001),
    },
    Goal {
        measure: "survey",
        what: "the same beside scipy",
        ours: "room of 12 corners and 40 readings",
        reference: beside("room of 12 corners and 40 readings, scipy", "scipy, fit and statistics"),
        aim: Aim::Faster(20.0),
    },
    Goal {
        measure: "survey",
        what: "the next tie over all candidates, 12 corners",
        ours: "next tie of 12 corners",
        reference: None,
        aim: Aim::Within(0.002),
    },
    Goal {
        measure: "survey",
        what: "30 rooms with passages, 400 readings, sheet to answer",
        ours: "30 rooms with passages, 400 readings",
        reference: beside("30 rooms, 400 readings, scipy", "scipy, the rooms alone"),
        aim: Aim::Within(0.050),
    },
    Goal {
        measure: "floor",
        what: "verdict with its bound, 42 readings, 4 × 3 m",
        ours: "verdict, 42 readings, 4 x 3 m",
        reference: beside("verdict, 42 readings, 4 x 3 m, numpy", "numpy, a search without a bound"),
        aim: Aim::Within(0.200),
    },
    Goal {
        measure: "floor",
        what: "the same beside numpy",
        ours: "verdict, 42 readings, 4 x 3 m",
        reference: beside("verdict, 42 readings, 4 x 3 m, numpy", "numpy, a search without a bound"),
        aim: Aim::Faster(20.0),
    },
    Goal {
        measure: "floor",
        what: "its bound over the worst chord",
        ours: "bound over the worst chord, 42 readings, 4 x 3 m",
        reference: None,
        aim: Aim::AtMost(1.0, "of 0.02 mm or 0.5 %"),
    },
    Goal {
        measure: "floor",
        what: "rectangles of lines that it looks at",
        ours: "rectangles, 42 readings, 4 x 3 m",
        reference: None,
        aim: Aim::AtMost(RECTANGLES, "rectangles"),
    },
    Goal {
        measure: "floor",
        what: "correction, 42 readings",
        ours: "correction, 42 readings, 4 x 3 m",
        reference: None,
        aim: Aim::Within(1.0),
    },
    Goal {
        measure: "floor",
        what: "the worst chord that it leaves",
        ours: "left by the correction, 42 readings, 4 x 3 m",
        reference: None,
        aim: Aim::AtMost(1.0, "of the tolerance"),
    },
    Goal {
        measure: "floor",
        what: "verdict with its bound, 400 readings, 20 × 15 m",
        ours: "verdict, 400 readings, 20 x 15 m",
        reference: None,
        aim: Aim::Within(5.0),
    },
    Goal {
        measure: "floor",
        what: "correction, 400 readings",
        ours: "correction, 400 readings, 20 x 15 m",
        reference: None,
        aim: Aim::Within(20.0),
    },
    Goal {
        measure: "takeoff",
        what: "what to buy for a planned floor of 30 m²",
        ours: "takeoff of 30 m²",
        reference: None,
        aim: Aim::Within(0.010),
    },
    Goal {
        measure: "papers",
        what: "all papers of the demo job, its plans known",
        ours: "all papers of the demo job",
        reference: None,
        aim: Aim::Within(0.7),
    },
    Goal {
        measure: "papers",
        what: "a report of 60 photos",
        ours: "report of sixty photos",
        reference: None,
        aim: Aim::Within(6.0),
    },
    Goal {
        measure: "papers",
        what: "the same, its size",
        ours: "report of sixty photos, bytes",
        reference: None,
        aim: Aim::Bytes(12e6),
    },
    Goal {
        measure: "search",
        what: "pieces of one choice, L of 30 m²",
        ours: "pieces of one choice",
        reference: beside("pieces of one choice, shapely", "shapely, vectorised"),
        aim: Aim::Faster(20.0),
    },
    Goal {
        measure: "search",
        what: "best plan, L of 30 m²: first answer",
        ours: "search L of 30 m² with an island: first answer",
        reference: None,
        aim: Aim::Within(0.050),
    },
    Goal {
        measure: "search",
        what: "best plan, L of 30 m²: bound within a carton",
        ours: "search L of 30 m² with an island: bound near",
        reference: None,
        aim: Aim::Within(1.0),
    },
    Goal {
        measure: "search",
        what: "best plan, L of 30 m²: proven",
        ours: "search L of 30 m² with an island: proven",
        reference: None,
        aim: Aim::Within(10.0),
    },
    Goal {
        measure: "search",
        what: "best plan, L of 30 m²: choices tried",
        ours: "search L of 30 m² with an island: choices tried",
        reference: None,
        aim: Aim::AtMost(TRIED, "choices"),
    },
    Goal {
        measure: "search",
        what: "the slowest of seven published cutting lists, proven",
        ours: "slowest published cutting list",
        reference: None,
        aim: Aim::Within(2.0),
    },
    Goal {
        measure: "search",
        what: "best plan, six rooms: within a carton",
        ours: "search six rooms, 150 m²: bound near",
        reference: None,
        aim: Aim::Within(20.0),
    },
    Goal {
        measure: "search",
        what: "best plan, hall of 1,000 m²: within 1.5 %",
        ours: "search hall of 1000 m²: bound near",
        reference: None,
        aim: Aim::Within(30.0),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_belongs_to_a_measurement() {
        let known = |goal: &&Goal| super::super::MEASURES.iter().any(|measure| measure.name == goal.measure);
        assert!(GOALS.iter().all(|goal| known(&goal)));
    }

    #[test]
    fn a_ratio_without_its_reference_is_neither_met_nor_missed() {
        assert_eq!(Aim::Faster(20.0).met(1.0, None), None);
        assert_eq!(Aim::Within(2.0).met(1.0, None), Some(true));
        assert_eq!(Aim::Times(1.3).met(1.0, None), None);
    }

    #[test]
    fn bytes_and_parts_of_a_speed_are_met_or_missed() {
        assert_eq!([699.0, 700.0].map(|it| Aim::Bytes(700.0).met(it, None)), [Some(true), Some(false)]);
        assert_eq!([1.3, 1.31].map(|it| Aim::Times(1.3).met(it, Some(1.0))), [Some(true), Some(false)]);
        assert_eq!([1.1, 1.2].map(|it| Aim::Speed(0.9).met(it, Some(1.0))), [Some(true), Some(false)]);
        assert_eq!([700.0, 12_340.0, 1e6].map(bytes), ["700 bytes", "12.3 kB", "1.00 MB"]);
        assert_eq!(Aim::Speed(0.9).words(), "90 % of its speed");
    }

    #[test]
    fn more_than_may_be_counted_is_a_fault_and_a_slow_clock_is_none() {
        let mut seen = Figures::default();
        seen.read("rectangles, 42 readings, 4 x 3 m\t1000000\nverdict, 42 readings, 4 x 3 m\t9\n");
        let said: Vec<String> = GOALS.iter().filter_map(|goal| goal.exceeded(&seen)).collect();
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].contains("1000000"), "{said:?}");
        assert_eq!(Aim::AtMost(1.0, "of it").met(1.0, None), Some(true));
    }

    #[test]
    fn a_figure_that_nobody_gave_is_named() {
        let mut seen = Figures::default();
        seen.read("pieces of one choice\t0.001\n");
        let goal = GOALS.iter().find(|goal| goal.ours == "pieces of one choice");
        let said = goal.and_then(|goal| goal.missing(&seen)).unwrap_or_default();
        assert!(said.contains("pieces of one choice, shapely"), "{said}");
    }
}
