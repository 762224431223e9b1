//! Dust of grinding: what a published table asks of the tool, with its source.

/// How concrete is ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grinder {
    /// A grinder held in the hand, for other uses than mortar removal.
    Handheld,
    /// A walk-behind grinder or milling machine.
    WalkBehind,
}

/// What is asked of a grinder.
#[derive(Clone, Debug, PartialEq)]
pub struct DustRule {
    /// Which.
    pub grinder: Grinder,
    /// Air that the collector moves, cubic feet a minute for each inch of the wheel's diameter; `None` where the
    /// maker's own collector is asked for.
    pub cfm_per_inch: Option<f64>,
    /// Least share of dust that the filter keeps, per cent.
    pub filter_percent: f64,
    /// Hours a day of such work indoors after which breathing protection is asked, with its assigned factor.
    pub breathing: Option<(f64, u32)>,
    /// Where it stands.
    pub source: &'static str,
}

/// The rules, by grinder.
pub fn rules() -> [DustRule; 2] {
    [
        DustRule {
            grinder: Grinder::Handheld,
            cfm_per_inch: Some(25.0),
            filter_percent: 99.0,
            breathing: Some((4.0, 10)),
            source: "29 CFR 1926.1153(c)(1), table 1 (xii)",
        },
        DustRule {
            grinder: Grinder::WalkBehind,
            cfm_per_inch: None,
            filter_percent: 99.0,
            breathing: None,
            source: "29 CFR 1926.1153(c)(1), table 1 (xiii)",
        },
    ]
}

impl DustRule {
    /// Air that the collector must move, cubic feet a minute, for a wheel of that many inches.
    pub fn cfm(&self, wheel_inches: f64) -> Option<f64> {
        self.cfm_per_inch.map(|each| each * wheel_inches)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The pairs that a page quoting 29 CFR 1926.1153 prints for hand grinders: 5 in → 125 cfm, 4.5 in → 112.5 cfm.
    #[test]
    fn printed_air_for_two_wheels() {
        let [hand, behind] = rules();
        assert_eq!((hand.cfm(5.0), hand.cfm(4.5)), (Some(125.0), Some(112.5)));
        assert_eq!(behind.cfm(10.0), None);
        assert_eq!((hand.breathing, behind.breathing), (Some((4.0, 10)), None));
    }
}
