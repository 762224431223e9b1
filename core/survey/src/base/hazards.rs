//! Hazards that are asked for before work is planned; a licensed person decides.

use super::published::{ASBESTOS_SOURCE, ASBESTOS_TO, LEAD_BEFORE, LEAD_SOURCE, SILICA_SOURCE};

/// Work that can wake a hazard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Work {
    /// Taking up what lies there.
    Remove,
    /// Sanding.
    Sand,
    /// Cutting jambs, doors or trim.
    Undercut,
    /// Grinding.
    Grind,
    /// Chipping.
    Chip,
    /// Drilling.
    Drill,
    /// Driving screws, nails or anchors.
    Fasten,
}

/// A hazard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Asbestos in what is disturbed.
    Asbestos,
    /// Lead in paint.
    Lead,
    /// Silica in what is ground or chipped.
    Silica,
    /// Heating tubing, cables and pipes in the floor.
    Heating,
    /// Post-tensioned tendons in the slab.
    PostTension,
}

impl Hazard {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Asbestos, Self::Lead, Self::Silica, Self::Heating, Self::PostTension];

    /// The work before which it is asked for.
    pub fn before(self) -> &'static [Work] {
        match self {
            Self::Asbestos | Self::Lead => &[Work::Remove, Work::Sand, Work::Undercut],
            Self::Silica => &[Work::Grind, Work::Chip],
            Self::Heating | Self::PostTension => &[Work::Drill, Work::Fasten],
        }
    }

    /// Where it is ruled; `None` for common practice.
    pub fn source(self) -> Option<&'static str> {
        match self {
            Self::Asbestos => Some(ASBESTOS_SOURCE),
            Self::Lead => Some(LEAD_SOURCE),
            Self::Silica => Some(SILICA_SOURCE),
            Self::Heating | Self::PostTension => None,
        }
    }
}

/// What is known of a hazard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Known {
    /// Not there, by test or by record.
    Absent,
    /// There, by test or by record.
    Present,
    /// Taken to be there until tested.
    Suspected,
    /// Nobody knows yet.
    Unknown,
}

/// How a hazard stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// Not there, by a test or record that is named.
    Clear,
    /// It is there: licensed people do that work.
    Present,
    /// Presumed to be there by the year the house was built.
    Presumed,
    /// Suspected until tested.
    Suspected,
    /// It comes with the work itself, whatever is known: guard against it.
    ByTheWork,
}

/// A hazard that must be settled before work.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Which.
    pub hazard: Hazard,
    /// How it stands.
    pub stand: Stand,
    /// The work that waits for it.
    pub work: Vec<Work>,
}

impl Asked {
    /// Whether the work may not begin as things stand.
    pub fn holds_up(&self) -> bool {
        !matches!(self.stand, Stand::Clear | Stand::ByTheWork)
    }
}

/// What is known on a site.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Site {
    /// When the house was built.
    pub built: Option<u32>,
    /// Work that is planned.
    pub work: Vec<Work>,
    /// Answers: hazard, what is known, and whether a test or record is named.
    pub answers: Vec<(Hazard, Known, bool)>,
    /// Whether there is a slab.
    pub slab: bool,
}

/// The hazards that the planned work asks for.
pub fn asked(site: &Site) -> Vec<Asked> {
    let of = |hazard: Hazard| {
        let mut work: Vec<Work> = site.work.iter().copied().filter(|w| hazard.before().contains(w)).collect();
        work.sort_unstable();
        work.dedup();
        let matters = match hazard {
            // Answers of the year bind where nobody tested; a later house has none.
            Hazard::Lead => site.built.is_none_or(|year| year < LEAD_BEFORE) || answered(site, hazard),
            Hazard::PostTension => site.slab || answered(site, hazard),
            _ => true,
        };
        (matters && !work.is_empty()).then(|| Asked { hazard, stand: stand(site, hazard), work })
    };
    Hazard::ALL.into_iter().filter_map(of).collect()
}

fn answered(site: &Site, hazard: Hazard) -> bool {
    site.answers.iter().any(|a| a.0 == hazard)
}

fn stand(site: &Site, hazard: Hazard) -> Stand {
    let known = |wanted: Known| site.answers.iter().any(|a| a.0 == hazard && a.1 == wanted);
    let cleared = site.answers.iter().any(|a| a.0 == hazard && a.1 == Known::Absent && a.2);
    if known(Known::Present) {
        return Stand::Present;
    }
    if hazard == Hazard::Silica {
        return Stand::ByTheWork;
    }
    // Somebody who suspects is not outvoted by somebody who does not.
    if cleared && !known(Known::Suspected) {
        return Stand::Clear;
    }
    match hazard {
        Hazard::Asbestos if site.built.is_none_or(|year| year <= ASBESTOS_TO) => Stand::Presumed,
        Hazard::Lead if site.built.is_none_or(|year| year < LEAD_BEFORE) => Stand::Presumed,
        _ => Stand::Suspected,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn site(built: Option<u32>, work: &[Work]) -> Site {
        Site { built, work: work.to_vec(), slab: true, ..Site::default() }
    }

    fn stands(site: &Site) -> Vec<(Hazard, Stand)> {
        asked(site).into_iter().map(|a| (a.hazard, a.stand)).collect()
    }

    /// 29 CFR 1926.1101(b), (k): flooring in buildings no later than 1980 is presumed to hold asbestos until rebutted;
    /// by common practice it is suspected in later ones until tested. 40 CFR 745.83: lead rules are for buildings before
    /// 1978.
    #[test]
    fn the_year_decides_what_is_presumed() {
        let up = |year| stands(&site(year, &[Work::Remove]));
        assert_eq!(up(Some(1977)), [(Hazard::Asbestos, Stand::Presumed), (Hazard::Lead, Stand::Presumed)]);
        assert_eq!(up(Some(1978)), [(Hazard::Asbestos, Stand::Presumed)]);
        assert_eq!(up(Some(1980)), [(Hazard::Asbestos, Stand::Presumed)]);
        assert_eq!(up(Some(1981)), [(Hazard::Asbestos, Stand::Suspected)]);
        assert_eq!(up(None), [(Hazard::Asbestos, Stand::Presumed), (Hazard::Lead, Stand::Presumed)]);
    }

    #[test]
    fn only_a_named_test_clears_and_a_suspicion_is_not_outvoted() {
        let mut site = site(Some(1962), &[Work::Remove]);
        let asbestos = |site: &Site| stands(site)[0].1;
        site.answers = vec![(Hazard::Asbestos, Known::Absent, false)];
        assert_eq!(asbestos(&site), Stand::Presumed);
        site.answers = vec![(Hazard::Asbestos, Known::Absent, true)];
        assert_eq!(asbestos(&site), Stand::Clear);
        assert!(!asked(&site)[0].holds_up() && asked(&site)[1].holds_up());
        site.answers.push((Hazard::Asbestos, Known::Suspected, false));
        assert_eq!(asbestos(&site), Stand::Presumed);
        site.answers.push((Hazard::Asbestos, Known::Present, false));
        assert_eq!(asbestos(&site), Stand::Present);
    }

    #[test]
    fn what_lies_in_the_slab_is_asked_for_before_drilling_and_dust_before_grinding() {
        let all = [Work::Grind, Work::Chip, Work::Drill, Work::Fasten];
        let site = site(Some(2001), &all);
        let found = asked(&site);
        assert_eq!(found[0].hazard, Hazard::Silica);
        assert_eq!(found[0].stand, Stand::ByTheWork);
        assert_eq!(found[0].work, [Work::Grind, Work::Chip]);
        let in_slab: Vec<_> = found[1..].iter().map(|a| (a.hazard, a.stand)).collect();
        assert_eq!(in_slab, [(Hazard::Heating, Stand::Suspected), (Hazard::PostTension, Stand::Suspected)]);
        let no_slab = Site { slab: false, ..site };
        assert!(asked(&no_slab).iter().all(|a| a.hazard != Hazard::PostTension));
        assert_eq!(asked(&Site { work: vec![], ..no_slab }), []);
    }
}
