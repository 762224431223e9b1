//! The floor under it: heights, flatness, moisture, base, structure, hazards.

use drylay_geometry::ItemId;

use super::Tolerance;
use crate::entry::entry;
use crate::stored::{At, Decimal, TypedLength, group, words};

entry! {
    /// What is said of a room's floor once.
    Single FloorFacts in floor {
        /// Standard deviation of a rod reading.
        sd: Option<TypedLength>,
        /// Tolerances asked beside the product's.
        tolerances: Vec<Tolerance>,
        /// Published tolerances asked beside the product's, by name.
        standards: Vec<String>,
        /// Whether a correction may grind.
        grind: Option<bool>,
        /// Cost of a litre filled.
        fill_cost: Option<Decimal>,
        /// Cost of a litre ground off.
        grind_cost: Option<Decimal>,
        /// By how much a correction keeps clear of the tolerance.
        margin: Option<TypedLength>,
        /// How many mix compound at once.
        mixers: Option<i64>,
        /// Whether tubing or cables for heating lie in it.
        heated: Option<bool>,
        /// Thickness of the slab.
        slab_thickness: Option<TypedLength>,
        /// Whether the slab dries to both sides.
        dries_both: Option<bool>,
        /// Work planned on the base besides what follows from the rest.
        work: Vec<String>,
        /// What is built up over the base before the floor, from the bottom.
        build_up: Vec<BuildUp>,
    }
}

group! {
    /// Something built up over the base before the floor.
    BuildUp {
        /// What it is.
        name: String,
        /// Its thickness.
        thickness: TypedLength,
    }
}

entry! {
    /// A set-up of the instrument: its height is an unknown of its own.
    Thing Setup in setups {
        /// What people call it.
        name: String,
        /// With which tool.
        tool: Option<ItemId>,
        /// For which round of correction, counted from 0 for the floor as found.
        round: Option<i64>,
    }
}

entry! {
    /// One rod reading below a level plane: a larger reading is a lower floor.
    Record RodReading in rods {
        /// The point that was read; the same point read from two set-ups ties them.
        point: ItemId,
        /// Where it is, in the room's plan coordinates.
        at: At,
        /// What the rod read.
        rod: TypedLength,
        /// From which set-up; `None` for readings of one plane.
        setup: Option<ItemId>,
        /// In which round of correction, counted from 0 for the floor as found.
        round: Option<i64>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

entry! {
    /// A gap read directly under a straightedge.
    Record StraightedgeReading in straightedges {
        /// One end of the straightedge.
        from: At,
        /// Its other end.
        to: At,
        /// The greatest gap below it.
        gap: TypedLength,
        /// In which round of correction.
        round: Option<i64>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

entry! {
    /// A line of equally spaced heights, up-positive.
    Record FlatnessLine in lines {
        /// What people call it.
        name: String,
        /// Distance between neighbouring heights.
        spacing: TypedLength,
        /// The heights.
        heights: Vec<TypedLength>,
        /// In which round of correction.
        round: Option<i64>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

entry! {
    /// A round of correction: what was done between two readings of the floor.
    Thing Round in rounds {
        /// Which: the floor read afterwards has this number.
        number: i64,
        /// What was used: a product of the job.
        product: Option<ItemId>,
        /// Litres filled.
        litres: Option<Decimal>,
        /// Bags used.
        bags: Option<i64>,
        /// What was done, in words.
        notes: Option<String>,
        /// When it was finished, in ms since 1970 by the clock of whoever wrote it.
        finished_ms: Option<i64>,
    }
}

words! {
    /// How moisture was read.
    MoistureMethod {
        /// Relative humidity in a drilled hole.
        InSitu = "in_situ",
        /// Calcium chloride: emission from weight gained.
        CalciumChloride = "calcium_chloride",
        /// Moisture content of wood by a meter.
        Wood = "wood",
        /// Surface scan, for comparing places only.
        Scan = "scan",
    }
}

entry! {
    /// A moisture reading.
    Record MoistureReading in moisture {
        /// How it was read.
        method: MoistureMethod,
        /// Where.
        at: Option<At>,
        /// What was read: per cent, or for calcium chloride the final weight in grams; `None` while it is still out.
        value: Option<Decimal>,
        /// For calcium chloride the weight in grams at the start.
        start_grams: Option<Decimal>,
        /// The area tested, in cm².
        area_cm2: Option<Decimal>,
        /// Hours of exposure or equilibration.
        hours: Option<Decimal>,
        /// Depth of the hole.
        depth: Option<TypedLength>,
        /// Air temperature in °C.
        celsius: Option<Decimal>,
        /// Relative humidity of the air in per cent.
        air_humidity: Option<Decimal>,
        /// What was read: `subfloor`, `product`, `slab`.
        of: Option<String>,
        /// When, in ms since 1970, if not when it was typed.
        read_ms: Option<i64>,
        /// By which published way.
        way: Option<String>,
        /// Hours for which slab and air were as in use before.
        service_hours: Option<Decimal>,
        /// On which day, as year-month-day.
        day: Option<String>,
        /// On which day the instrument was checked last, as year-month-day.
        calibrated: Option<String>,
        /// Its place in a list it came from.
        listed: Option<i64>,
    }
}

words! {
    /// What a floor goes over.
    BaseKind {
        /// A slab on the ground.
        SlabOnGrade = "slab_on_grade",
        /// A slab between storeys.
        SuspendedSlab = "suspended_slab",
        /// Wood sheathing on joists.
        Wood = "wood",
        /// Tile or stone.
        Tile = "tile",
        /// Rigidly fixed vinyl.
        FixedVinyl = "fixed_vinyl",
        /// Cushioned vinyl: comes up first.
        CushionedVinyl = "cushioned_vinyl",
        /// A floating floor: comes up first.
        Floating = "floating",
        /// Carpet: comes up first.
        Carpet = "carpet",
        /// Underlayment.
        Underlay = "underlay",
        /// Something else, in words.
        Other = "other",
    }
}

entry! {
    /// What lies there, layer by layer from the top.
    Record BaseAnswer in base {
        /// What it is.
        what: BaseKind,
        /// Which layer from the top, counted from 0.
        layer: i64,
        /// Its thickness.
        thickness: Option<TypedLength>,
        /// How it is fixed.
        fixing: Option<String>,
        /// Sound, clean and dry, as seen.
        sound: Option<bool>,
        /// What else was seen.
        notes: Option<String>,
    }
}

entry! {
    /// What carries the floor.
    Record StructureAnswer in structure {
        /// Clear span of the joists.
        span: Option<TypedLength>,
        /// Their spacing, centre to centre.
        spacing: Option<TypedLength>,
        /// Their width.
        width: Option<TypedLength>,
        /// Their depth.
        depth: Option<TypedLength>,
        /// Their species and grade.
        species: Option<String>,
        /// Thickness of the sheathing.
        sheathing: Option<TypedLength>,
        /// What else was seen.
        notes: Option<String>,
        /// Length of each bearing.
        bearing: Option<TypedLength>,
        /// Their size by its name.
        size: Option<String>,
        /// Modulus of elasticity of the grade, psi.
        e_psi: Option<Decimal>,
        /// Bending value of the grade with all its factors, psi.
        fb_psi: Option<Decimal>,
        /// What is walked on it, pounds to the square foot.
        live_psf: Option<Decimal>,
        /// What lies there and stays, pounds to the square foot.
        dead_psf: Option<Decimal>,
        /// What comes with the new floor, pounds to the square foot.
        new_psf: Option<Decimal>,
        /// How the sheathing is fixed.
        fixing: Option<String>,
        /// Greatest step between neighbouring sheets.
        step: Option<TypedLength>,
    }
}

words! {
    /// Hazards that are asked for before work is planned.
    Hazard {
        /// Asbestos in what comes up.
        Asbestos = "asbestos",
        /// Lead in paint.
        Lead = "lead",
        /// Silica in what is ground, cut or chipped.
        Silica = "silica",
        /// Heating tubing or cables in the floor.
        Heating = "heating",
        /// Post-tensioning in the slab.
        PostTension = "post_tension",
    }
}

words! {
    /// What is known of a hazard.
    Known {
        /// Not there, by test or by record.
        Absent = "absent",
        /// There, by test or by record.
        Present = "present",
        /// Taken to be there until tested.
        Suspected = "suspected",
        /// Nobody knows yet.
        Unknown = "unknown",
    }
}

entry! {
    /// An answer about a hazard; a licensed person decides.
    Record HazardAnswer in hazards {
        /// Which.
        hazard: Hazard,
        /// What is known.
        known: Known,
        /// By what: a test, a record, the year built.
        basis: Option<String>,
        /// The report, kept beside the documents.
        report: Option<crate::ids::ContentHash>,
    }
}

words! {
    /// A thing whose height or weight matters to the floor.
    FixtureKind {
        /// A dishwasher or another appliance under a counter.
        Dishwasher = "dishwasher",
        /// A toe-kick.
        ToeKick = "toe_kick",
        /// A toilet flange.
        Flange = "flange",
        /// A floor register.
        Register = "register",
        /// The track of a sliding door.
        SlidingTrack = "sliding_track",
        /// The first riser of a stair that goes up from this floor.
        RiserUp = "riser_up",
        /// The last riser of a stair that comes up to this floor.
        RiserDown = "riser_down",
        /// A heavy thing.
        Heavy = "heavy",
        /// Something else.
        Other = "other",
    }
}

words! {
    /// Where a heavy thing stands.
    StandsOn {
        /// On the base, the floor going round it.
        Base = "base",
        /// On the finished floor.
        Floor = "floor",
    }
}

entry! {
    /// A thing whose height, clearance or weight limits the floor: a dishwasher, a flange, a stair riser, a stove.
    Thing Fixture in fixtures {
        /// What people call it.
        name: String,
        /// What it is.
        what: Option<FixtureKind>,
        /// Where.
        at: Option<At>,
        /// Its clearance or height above the base, up-positive.
        height: Option<TypedLength>,
        /// What must remain above the finished floor.
        least: Option<TypedLength>,
        /// What may remain at most.
        most: Option<TypedLength>,
        /// Of a riser: the height of the others of its flight.
        others: Option<TypedLength>,
        /// By how much it may differ from them.
        differ: Option<TypedLength>,
        /// What it weighs, pounds to the square foot of its footprint.
        psf: Option<Decimal>,
        /// Of a heavy thing: where it stands.
        stands: Option<StandsOn>,
        /// Where the limits stand.
        source: Option<String>,
        /// What else was seen.
        notes: Option<String>,
    }
}

words! {
    /// A line in the base.
    FeatureKind {
        /// A saw-cut joint.
        SawCut = "saw_cut",
        /// A construction joint.
        Construction = "construction",
        /// An isolation or expansion joint: must be carried through the floor.
        Isolation = "isolation",
        /// A crack.
        Crack = "crack",
    }
}

entry! {
    /// A joint or crack in the base.
    Thing Feature in features {
        /// What it is.
        what: FeatureKind,
        /// Its line.
        line: Vec<At>,
        /// Its width.
        width: Option<TypedLength>,
        /// The difference in height across it.
        step: Option<TypedLength>,
        /// What else was seen.
        notes: Option<String>,
    }
}

impl FloorFacts {
    /// Nothing said yet.
    pub const fn unsaid() -> Self {
        Self {
            sd: None,
            tolerances: Vec::new(),
            standards: Vec::new(),
            grind: None,
            fill_cost: None,
            grind_cost: None,
            margin: None,
            mixers: None,
            heated: None,
            slab_thickness: None,
            dries_both: None,
            work: Vec::new(),
            build_up: Vec::new(),
        }
    }
}
