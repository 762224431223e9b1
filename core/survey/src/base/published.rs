//! Published methods and limits for what carries a floor, each with its source and edition.

use super::joists::Timber;
use super::moisture::{Method, Range, What};
use drylay_geometry::Length;

/// A square foot in m², exactly (NIST Handbook 44, appendix C).
pub const SQUARE_FOOT_M2: f64 = 0.092_903_04;
/// Grams in a pound, exactly (NIST Handbook 44, appendix C).
pub const POUND_GRAMS: f64 = 453.592_37;

/// A published way of reading moisture.
#[derive(Clone, Debug, PartialEq)]
pub struct WayOfReading {
    /// A short name for programs.
    pub id: &'static str,
    /// What it reads.
    pub method: Method,
    /// What a test must keep.
    pub ranges: &'static [Range],
    /// How many tests.
    pub count: Count,
    /// Where it stands.
    pub source: &'static str,
}

/// How many tests an area needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Count {
    /// So many for the first area.
    pub first: u32,
    /// And so many for every further one that is begun.
    pub each: u32,
    /// That area, m².
    pub area_m2: f64,
}

const THOUSAND_SQUARE_FEET: f64 = 1000.0 * SQUARE_FOOT_M2;
const NO_END: f64 = f64::INFINITY;

const fn at_least(what: What, least: f64) -> Range {
    Range { what, least, most: NO_END }
}
const fn between(what: What, least: f64, most: f64) -> Range {
    Range { what, least, most }
}

const SLAB_COUNT: Count = Count { first: 3, each: 1, area_m2: THOUSAND_SQUARE_FEET };

/// The ways of reading moisture that a test may name, the newest of a method first.
pub const WAYS: [WayOfReading; 4] = [
    WayOfReading {
        id: "astm-f2170-2018",
        method: Method::InSitu,
        ranges: &[
            at_least(What::Hours, 24.0),
            at_least(What::ServiceHours, 48.0),
            between(What::CalibratedDays, 0.0, 30.0),
        ],
        count: SLAB_COUNT,
        source: "ASTM F2170 §9, §10, since the 2018 edition",
    },
    WayOfReading {
        id: "astm-f2170-2009",
        method: Method::InSitu,
        ranges: &[
            at_least(What::Hours, 72.0),
            at_least(What::ServiceHours, 48.0),
            between(What::CalibratedDays, 0.0, 30.0),
        ],
        count: SLAB_COUNT,
        source: "ASTM F2170 §9, §10, 2009 text",
    },
    WayOfReading {
        id: "astm-f1869",
        method: Method::Chloride,
        ranges: &[
            between(What::Hours, 60.0, 72.0),
            at_least(What::ServiceHours, 48.0),
            // 65 to 85 °F.
            between(What::AirCelsius, 33.0 / 1.8, 53.0 / 1.8),
            between(What::AirPercent, 40.0, 60.0),
        ],
        count: SLAB_COUNT,
        source: "ASTM F1869",
    },
    WayOfReading {
        id: "wood-meter",
        method: Method::Wood,
        ranges: &[],
        // From memory: 20 readings for every 1000 ft².
        count: Count { first: 20, each: 20, area_m2: THOUSAND_SQUARE_FEET },
        source: "NWFA practice",
    },
];

/// The way of that name, or the newest of the method.
pub fn way(method: Method, id: Option<&str>) -> Option<&'static WayOfReading> {
    WAYS.iter().filter(|w| w.method == method).find(|w| id.is_none_or(|id| w.id == id))
}

/// How deep a hole is for a reading in the slab, as a share of its thickness: drying from the top, and from both sides.
pub const HOLE_DEPTH: (f64, f64) = (0.4, 0.2);
/// Where that stands.
pub const HOLE_DEPTH_SOURCE: &str = "ASTM F2170 §10.2";
/// How far a hole may miss its depth and count, mm: common practice.
pub const HOLE_SLACK: f64 = 3.0;

/// Buildings up to this year are presumed to hold asbestos in resilient flooring and its adhesive.
pub const ASBESTOS_TO: u32 = 1980;
/// Where that stands.
pub const ASBESTOS_SOURCE: &str = "29 CFR 1926.1101(b), (k)";
/// In buildings before this year paint is presumed to hold lead.
pub const LEAD_BEFORE: u32 = 1978;
/// Where that stands.
pub const LEAD_SOURCE: &str = "40 CFR 745.82, 745.83";
/// Where the dust of concrete, mortar and tile is ruled.
pub const SILICA_SOURCE: &str = "29 CFR 1926.1153";

/// What a change of level may be where everybody must get over it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelChange {
    /// So much may stand upright.
    pub upright: Length,
    /// Up to so much, what is above that is bevelled.
    pub bevelled: Length,
    /// Up to so much at a threshold that is there already, bevelled on both sides.
    pub existing_threshold: Length,
    /// A bevel runs so many times its rise.
    pub bevel_run: i64,
    /// A ramp runs so many times its rise.
    pub ramp_run: i64,
    /// In tight sites: up to a rise, so many times it, the steepest first.
    pub tight: [(Length, i64); 2],
}

const fn inches_64(n: i64) -> Length {
    Length::from_sixty_fourths(n)
}

/// The limits of 2010 ADA 303.2, 303.3 and 404.2.5; the tight sites as a handbook's accessibility note has them.
pub const LEVEL_CHANGE: LevelChange = LevelChange {
    upright: inches_64(16),
    bevelled: inches_64(32),
    existing_threshold: inches_64(48),
    bevel_run: 2,
    ramp_run: 12,
    tight: [(inches_64(3 * 64), 8), (inches_64(6 * 64), 10)],
};
/// Where these stand.
pub const LEVEL_CHANGE_SOURCE: &str = "2010 ADA 303.2, 303.3, 404.2.5, 405";

/// From flooring to the stem of a T-shaped strip, each side: common practice; a floating floor's own gap governs where
/// it is larger.
pub const STEM_GAP: Length = inches_64(8);
/// Floors whose heights differ by no more are of equal height: common practice.
pub const EQUAL_HEIGHT: Length = inches_64(4);
/// Greatest clearance under a fire-rated door (NFPA 80, from memory).
pub const RATED_DOOR_CLEARANCE: Length = inches_64(48);
/// Where that stands.
pub const RATED_DOOR_SOURCE: &str = "NFPA 80";

/// Species and grades of joists, from the NDS supplement's values for No. 2 as the span tables of the IRC 2015 use
/// them: with the size factor and 1.15 for joists side by side.
pub const TIMBERS: [Timber; 4] = [
    timber("douglas-fir-larch-no2", 1.6e6, [900.0 * 1.3, 900.0 * 1.2, 900.0 * 1.1, 900.0]),
    timber("hem-fir-no2", 1.3e6, [850.0 * 1.3, 850.0 * 1.2, 850.0 * 1.1, 850.0]),
    timber("spruce-pine-fir-no2", 1.4e6, [875.0 * 1.3, 875.0 * 1.2, 875.0 * 1.1, 875.0]),
    timber("southern-pine-no2", 1.4e6, [1000.0, 925.0, 800.0, 750.0]),
];
/// Where these stand.
pub const TIMBER_SOURCE: &str = "NDS supplement, No. 2";

const fn timber(id: &'static str, e_psi: f64, by_size: [f64; 4]) -> Timber {
    let [a, b, c, d] = by_size;
    Timber { id, e_psi, fb_psi: [a * 1.15, b * 1.15, c * 1.15, d * 1.15] }
}

/// Sizes of joists by their name: dressed width and depth.
pub const SIZES: [(&str, Length, Length); 4] = [
    ("2x6", inches_64(96), inches_64(352)),
    ("2x8", inches_64(96), inches_64(464)),
    ("2x10", inches_64(96), inches_64(592)),
    ("2x12", inches_64(96), inches_64(720)),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_choice_has_its_own_name() {
        let ways = WAYS.iter().map(|w| w.id);
        let names: Vec<&str> =
            ways.chain(TIMBERS.iter().map(|t| t.id)).chain(SIZES.iter().map(|s| s.0)).collect();
        assert!(names.iter().enumerate().all(|(i, n)| !names[..i].contains(n)));
        assert_eq!(way(Method::InSitu, None).map(|w| w.id), Some("astm-f2170-2018"));
        assert_eq!(way(Method::InSitu, Some("astm-f1869")), None);
        assert_eq!(way(Method::Scan, None), None);
    }

    /// 29 CFR 1926.1101(k): built no later than 1980; 40 CFR 745.83: built before 1978; as government pages restate them.
    #[test]
    fn years_of_presumption() {
        assert_eq!((ASBESTOS_TO, LEAD_BEFORE), (1980, 1978));
    }

    /// Bending values for repeated members as span tables print them, to 5 psi: AWC, *Span Tables for Joists and Rafters*,
    /// design values for normal duration, 2x6 to 2x12 (from memory). Southern pine's are by size already.
    #[test]
    fn bending_values_are_those_of_the_span_tables() {
        let printed = [
            ("douglas-fir-larch-no2", [1345.0, 1240.0, 1140.0, 1035.0]),
            ("hem-fir-no2", [1270.0, 1175.0, 1075.0, 980.0]),
            ("spruce-pine-fir-no2", [1310.0, 1210.0, 1105.0, 1005.0]),
            ("southern-pine-no2", [1150.0, 1065.0, 920.0, 865.0]),
        ];
        for (id, printed) in printed {
            let timber = TIMBERS.iter().find(|t| t.id == id).expect("a timber of that name");
            for (ours, theirs) in timber.fb_psi.into_iter().zip(printed) {
                assert!((ours - theirs).abs() <= 2.51, "{id}: {ours} for {theirs}");
            }
        }
    }
}
