//! Heights of the whole house: the floor's stack against the floor next door, doors, and things that stand at a height;
//! and which of them limits the stack.
//!
//! All heights are above the base that the new floor lies on, up-positive.

use super::published::{EQUAL_HEIGHT, LEVEL_CHANGE, RATED_DOOR_CLEARANCE, STEM_GAP};
use drylay_geometry::Length;

/// What lies on the other side of an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// The same field runs on.
    SameField,
    /// A hard floor.
    Hard,
    /// Carpet.
    Carpet,
    /// No floor that meets this one: outdoors, a sill.
    Nothing,
}

/// What closes the floor at an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Transition {
    /// Nothing: the floor runs through.
    RunsThrough,
    /// A T-shaped strip.
    TStrip,
    /// Butted against carpet, with an edge profile and a tack strip.
    ButtCarpet,
    /// A ramp or an end strip, because heights differ.
    RampOrEnd,
    /// An end strip.
    EndStrip,
}

/// How a change of level is got over where everybody must.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// It may stand upright.
    Upright,
    /// Bevelled over at least this run; what the upright limit allows may stand.
    Bevel(Length),
    /// Only at a threshold that is there already: bevelled over this run on both sides. A new one needs the ramp.
    OldThreshold(Length, Length),
    /// A ramp of at least this run.
    Ramp(Length),
}

/// What closes the floor where it meets another. `beyond_less_own` is the height of the floor next door less this one's.
pub fn transition(beyond: Beyond, beyond_less_own: Length) -> Transition {
    match beyond {
        Beyond::SameField => Transition::RunsThrough,
        Beyond::Nothing => Transition::EndStrip,
        Beyond::Carpet if beyond_less_own >= -EQUAL_HEIGHT => Transition::ButtCarpet,
        Beyond::Hard if beyond_less_own.abs() <= EQUAL_HEIGHT => Transition::TStrip,
        Beyond::Carpet | Beyond::Hard => Transition::RampOrEnd,
    }
}

/// The gap from the flooring to the stem of a T-shaped strip: common practice, or the floor's own gap where larger.
pub fn stem_gap(edge_gap: Length) -> Length {
    STEM_GAP.max(edge_gap)
}

/// How a change of level is got over.
pub fn over(rise: Length) -> Over {
    let limits = LEVEL_CHANGE;
    let rise = rise.abs();
    if rise <= limits.upright {
        Over::Upright
    } else if rise <= limits.bevelled {
        Over::Bevel((rise - limits.upright) * limits.bevel_run)
    } else if rise <= limits.existing_threshold {
        Over::OldThreshold(rise * limits.bevel_run, rise * limits.ramp_run)
    } else {
        Over::Ramp(rise * limits.ramp_run)
    }
}

/// The shortest ramp that a tight site allows; `None` where its rise is too great for one.
pub fn tight_ramp(rise: Length) -> Option<Length> {
    let rise = rise.abs();
    LEVEL_CHANGE.tight.iter().find(|(most, _)| rise <= *most).map(|(_, run)| rise * *run)
}

/// A door over the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Door {
    /// From the base to its lower edge.
    pub clearance: Length,
    /// What must remain between the finished floor and it.
    pub gap: Length,
    /// Whether it bears a fire rating.
    pub rated: bool,
    /// Whether it may not be cut for another reason.
    pub stays: bool,
}

/// What a door needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DoorNeeds {
    /// What is cut off; nothing where it clears.
    pub cut: Length,
    /// Whether that must be checked first: the door is rated.
    pub check_first: bool,
    /// Whether more would remain under a rated door than it may have.
    pub too_open: bool,
    /// The highest stack that it clears uncut.
    pub clears: Length,
}

impl Door {
    /// What it needs over a stack.
    pub fn over(&self, stack: Length) -> DoorNeeds {
        let cut = (stack + self.gap - self.clearance).max(Length::ZERO);
        let remains = self.clearance + cut - stack;
        DoorNeeds {
            cut,
            check_first: self.rated && cut > Length::ZERO,
            too_open: self.rated && remains > RATED_DOOR_CLEARANCE,
            clears: self.clearance - self.gap,
        }
    }

    /// The highest stack under it, where it may not simply be cut.
    pub fn limit(&self) -> Option<Length> {
        (self.rated || self.stays).then(|| self.clearance - self.gap)
    }
}

/// A thing at a height over the base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fixture {
    /// Its height above the base; of a stair that goes down, the riser's.
    pub height: Length,
    /// Whether it lies below the floor: a stair that goes down.
    pub below: bool,
    /// What must remain at least.
    pub least: Option<Length>,
    /// What may remain at most.
    pub most: Option<Length>,
    /// Of a riser: the others of its flight.
    pub others: Option<Length>,
    /// By how much it may differ from them.
    pub differ: Option<Length>,
}

/// How a thing comes out over a stack.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fitted {
    /// Its height above the finished floor; of a stair that goes down, the riser's.
    pub after: Length,
    /// By how much it is less than it must be.
    pub short: Option<Length>,
    /// By how much it is more than it may be.
    pub over: Option<Length>,
    /// By how much a riser differs too much from the others.
    pub uneven: Option<Length>,
}

impl Fixture {
    /// How it comes out.
    pub fn over(&self, stack: Length) -> Fitted {
        let after = if self.below { self.height + stack } else { self.height - stack };
        let positive = |by: Length| Some(by).filter(|by| *by > Length::ZERO);
        let uneven =
            self.others.zip(self.differ).and_then(|(others, d)| positive((after - others).abs() - d));
        Fitted {
            after,
            short: self.least.and_then(|least| positive(least - after)),
            over: self.most.and_then(|most| positive(after - most)),
            uneven,
        }
    }

    /// The highest stack that it bears.
    pub fn limit(&self) -> Option<Length> {
        let uneven = self.others.zip(self.differ);
        if self.below {
            let most = self.most.map(|most| most - self.height);
            let even = uneven.map(|(others, differ)| others + differ - self.height);
            most.into_iter().chain(even).min()
        } else {
            let least = self.least.map(|least| self.height - least);
            let even = uneven.map(|(others, differ)| self.height - others + differ);
            least.into_iter().chain(even).min()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn l(text: &str) -> Length {
        Length::parse(text).expect("a length")
    }

    /// Common practice: a T strip between hard floors of equal height; butted against carpet of equal or greater height;
    /// a ramp or end strip where heights differ.
    #[test]
    fn which_transition() {
        let of = |beyond, by: &str| transition(beyond, l(by));
        assert_eq!(of(Beyond::Hard, "0 mm"), Transition::TStrip);
        assert_eq!(of(Beyond::Hard, "1/4\""), Transition::RampOrEnd);
        assert_eq!(transition(Beyond::Hard, -l("1/4\"")), Transition::RampOrEnd);
        assert_eq!(of(Beyond::Carpet, "0 mm"), Transition::ButtCarpet);
        assert_eq!(of(Beyond::Carpet, "1/2\""), Transition::ButtCarpet);
        assert_eq!(transition(Beyond::Carpet, -l("1/4\"")), Transition::RampOrEnd);
        assert_eq!(of(Beyond::SameField, "1/4\""), Transition::RunsThrough);
        assert_eq!(of(Beyond::Nothing, "0 mm"), Transition::EndStrip);
    }

    /// Common practice: 1/8 in each side of the stem, or the floating floor's own gap where larger (NALFA article: 1/4 to
    /// 3/8 in at every transition).
    #[test]
    fn gap_at_the_stem() {
        assert_eq!(stem_gap(Length::ZERO), l("1/8\""));
        assert_eq!(stem_gap(l("1/4\"")), l("1/4\""));
    }

    /// 2010 ADA 303.2: up to 1/4 in upright; 303.3: 1/4 to 1/2 in bevelled 1:2, a quarter upright and a quarter bevelled
    /// allowed; above a ramp. 404.2.5: an existing threshold up to 3/4 in if bevelled 1:2 on both sides.
    #[test]
    fn a_change_of_level() {
        assert_eq!(over(l("1/4\"")), Over::Upright);
        assert_eq!(over(l("17/64\"")), Over::Bevel(l("1/32\"")));
        assert_eq!(over(l("1/2\"")), Over::Bevel(l("1/2\"")));
        assert_eq!(over(-l("1/2\"")), Over::Bevel(l("1/2\"")));
        assert_eq!(over(l("3/4\"")), Over::OldThreshold(l("1 1/2\""), l("9\"")));
        assert_eq!(over(l("49/64\"")), Over::Ramp(l("49/64\"") * 12));
    }

    /// Handbook accessibility note: new ramps 1:12; tight sites 1:10 for a rise of up to 6 in, 1:8 up to 3 in.
    #[test]
    fn ramps() {
        assert_eq!(over(l("1\"")), Over::Ramp(l("12\"")));
        assert_eq!(tight_ramp(l("3\"")), Some(l("24\"")));
        assert_eq!(tight_ramp(l("4\"")), Some(l("40\"")));
        assert_eq!(tight_ramp(l("6\"")), Some(l("60\"")));
        assert_eq!(tight_ramp(l("6 1/64\"")), None);
    }

    /// Common practice: doors are cut for the added height. NFPA 80, from memory: at most 3/4 in under a rated door, which
    /// is never cut without checking.
    #[test]
    fn doors_are_cut_and_rated_ones_checked() {
        let door = Door { clearance: l("1/2\""), gap: l("3/8\""), rated: false, stays: false };
        let needs = door.over(l("5/8\""));
        assert_eq!((needs.cut, needs.check_first), (l("1/2\""), false));
        assert_eq!(door.over(l("1/8\"")).cut, Length::ZERO);
        assert_eq!((door.limit(), needs.clears), (None, l("1/8\"")));
        let rated = Door { rated: true, ..door };
        assert!(rated.over(l("5/8\"")).check_first && !rated.over(l("1/8\"")).check_first);
        assert_eq!(rated.limit(), Some(l("1/8\"")));
        let high = Door { clearance: l("1 1/2\""), ..rated };
        assert!(high.over(l("5/8\"")).too_open && !high.over(l("3/4\"")).too_open);
    }

    fn fixture(height: &str) -> Fixture {
        Fixture { height: l(height), below: false, least: None, most: None, others: None, differ: None }
    }

    #[test]
    fn what_stands_at_a_height_limits_the_stack() {
        let counter = Fixture { least: Some(l("34\"")), ..fixture("34 1/2\"") };
        assert_eq!(counter.limit(), Some(l("1/2\"")));
        assert_eq!(counter.over(l("1/2\"")).short, None);
        assert_eq!(counter.over(l("5/8\"")).short, Some(l("1/8\"")));
        let flange = Fixture { least: Some(Length::ZERO), most: Some(l("1/4\"")), ..fixture("3/8\"") };
        assert_eq!(flange.over(l("1/16\"")).over, Some(l("1/16\"")));
        assert_eq!(flange.over(l("5/8\"")).short, Some(l("1/4\"")));
    }

    /// The figures of a stair come from the local code; here 7 3/4 in and 3/8 in (IRC R311.7.5.1, from memory).
    #[test]
    fn risers_stay_even() {
        let up = Fixture { others: Some(l("7 1/2\"")), differ: Some(l("3/8\"")), ..fixture("7 1/2\"") };
        assert_eq!(up.limit(), Some(l("3/8\"")));
        assert_eq!(up.over(l("1/2\"")).uneven, Some(l("1/8\"")));
        let down = Fixture { below: true, most: Some(l("7 3/4\"")), ..up };
        assert_eq!(down.limit(), Some(l("1/4\"")));
        let out = down.over(l("1/2\""));
        assert_eq!((out.after, out.over, out.uneven), (l("8\""), Some(l("1/4\"")), Some(l("1/8\""))));
    }
}
