//! What a tape or a laser meter is good for: the standard deviation of a reading that nobody gave one.

use drylay_geometry::Length;

/// An instrument and the hand that holds it.
///
/// The variance of a reading is the sum of three parts:
///
/// 1. the instrument, taken as evenly spread within its tolerance, so tolerance / √3 (ISO/IEC Guide 98-3, 4.3.7);
/// 2. the reading, evenly spread within half a graduation either side, so graduation / (2 √3);
/// 3. placing each of the two ends in a corner: *common practice*, see [`Tape::steel`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tape {
    /// How far off the instrument may be.
    pub tolerance: Tolerance,
    /// The distance between two marks that are read.
    pub graduation: Length,
    /// Standard deviation of placing one end.
    pub placing: Length,
}

/// How far off an instrument may be at a length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// A steel tape by NIST Handbook 44, section 5.52: to 6 ft 1/32 in, to 30 ft 1/16, to 55 ft 1/8, to 80 ft
    /// 3/16, to 100 ft 1/4. Beyond 100 ft (not in the table) the tape is laid twice or more: 1/4 in for each 100
    /// ft begun.
    SteelTape,
    /// A laser meter: so much anywhere, and so many millionths of the length more.
    Laser {
        /// Anywhere.
        constant: Length,
        /// Millionths of the length; not negative.
        millionths: u32,
    },
}

impl Tape {
    /// A steel tape read to 1/16 in. One end is placed to 1/48 in (0.53 mm): common practice, a hook that moves
    /// and a bend in a corner together err by about 1/32 in in one reading of ten.
    pub const fn steel() -> Self {
        Self {
            tolerance: Tolerance::SteelTape,
            graduation: Length::from_sixty_fourths(4),
            placing: Length::from_nanometres(529_167),
        }
    }

    /// A steel tape read to a millimetre, otherwise as [`Tape::steel`].
    pub const fn steel_metric() -> Self {
        Self { graduation: Length::from_mm(1), ..Self::steel() }
    }

    /// A hand laser meter: 1.5 mm and 50 millionths, shows whole millimetres, set against the wall at one end only
    /// (the figures are common practice; the maker's sheet decides).
    pub const fn laser() -> Self {
        Self {
            tolerance: Tolerance::Laser { constant: Length::from_nanometres(1_500_000), millionths: 50 },
            graduation: Length::from_mm(1),
            placing: Length::from_nanometres(300_000),
        }
    }

    /// Standard deviation in mm of a reading of this many mm; at least a micrometre.
    pub fn sd_mm(&self, read_mm: f64) -> f64 {
        let tolerance = self.tolerance.mm(read_mm.abs());
        let (graduation, placing) = (self.graduation.mm() / 2.0, self.placing.mm());
        let variance = (tolerance * tolerance + graduation * graduation) / 3.0 + 2.0 * placing * placing;
        variance.sqrt().max(1e-3)
    }
}

impl Default for Tape {
    fn default() -> Self {
        Self::steel()
    }
}

impl Tolerance {
    /// In mm at a length in mm.
    pub fn mm(self, length_mm: f64) -> f64 {
        const FOOT: f64 = 304.8;
        match self {
            Self::SteelTape => {
                let steps = [(6.0, 1.0), (30.0, 2.0), (55.0, 4.0), (80.0, 6.0), (100.0, 8.0)];
                let feet = length_mm / FOOT;
                let units = steps.iter().find(|(upto, _)| feet <= *upto).map(|(_, units)| *units);
                units.unwrap_or_else(|| 8.0 * (feet / 100.0).ceil()) * 25.4 / 32.0
            }
            Self::Laser { constant, millionths } => constant.mm() + f64::from(millionths) * 1e-6 * length_mm,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Handbook 44, section 5.52, tolerances of steel tapes; 30 ft 1 in belongs to the step "31–55".
    #[test]
    fn steps_of_the_handbook() {
        for (feet, inches) in [
            (6.0, 1.0 / 32.0),
            (7.0, 1.0 / 16.0),
            (30.0, 1.0 / 16.0),
            (31.0, 0.125),
            (56.0, 0.1875),
            (100.0, 0.25),
            // A further quarter of an inch for each hundred feet begun.
            (101.0, 0.5),
            (200.0, 0.5),
            (201.0, 0.75),
        ] {
            assert!((Tolerance::SteelTape.mm(feet * 304.8) - inches * 25.4).abs() < 1e-12, "{feet}");
        }
    }

    #[test]
    fn a_reading_of_twelve_feet_is_good_to_a_twentieth_of_an_inch() {
        // By hand: (1.5875² + 0.79375²)/3 + 2 · 0.529167² = 1.0501 + 0.5600; root 1.2689 mm.
        assert!((Tape::steel().sd_mm(3657.6) - 1.2689).abs() < 1e-4);
        assert!(Tape::laser().sd_mm(3657.6) < 1.2);
    }
}
