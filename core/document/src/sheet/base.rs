//! What carries a floor: what the product asks of it, and what was seen and read there.

use super::Measure;
use super::fields::{Item, kind};
use super::object::{object, words};
use drylay_geometry::{ItemId, ProductId};

words! {
    /// What a floor goes over.
    BaseKind by base_kind {
        /// A slab on the ground.
        SlabOnGrade = "slab_on_grade",
        /// A slab between storeys.
        SuspendedSlab = "suspended_slab",
        /// Wood sheathing on joists, or a wood floor fixed to it.
        Wood = "wood",
        /// Tile or stone.
        Tile = "tile",
        /// Rigidly fixed vinyl.
        FixedVinyl = "fixed_vinyl",
        /// Cushioned vinyl.
        CushionedVinyl = "cushioned_vinyl",
        /// A floating floor.
        Floating = "floating",
        /// Carpet.
        Carpet = "carpet",
        /// Underlayment.
        Underlay = "underlay",
        /// Something else, in words.
        Other = "other",
    }
}

words! {
    /// Which load a deflection is held under.
    Under by under {
        /// What is walked on it.
        Live = "live",
        /// That and everything that lies there.
        All = "all",
        /// Pounds in one place.
        Point = "point",
    }
}

words! {
    /// What a product says of underlayment.
    UnderlayNeed by underlay_need {
        /// It must lie on one.
        Required = "required",
        /// It may.
        Allowed = "allowed",
        /// It must not.
        Forbidden = "forbidden",
    }
}

words! {
    /// A line in the base.
    SeamKind by seam_kind {
        /// A saw-cut joint.
        SawCut = "saw_cut",
        /// A construction joint.
        Construction = "construction",
        /// An isolation or expansion joint.
        Isolation = "isolation",
        /// A crack.
        Crack = "crack",
    }
}

words! {
    /// How moisture was read.
    MoistureMethod by moisture_method {
        /// Relative humidity in a drilled hole.
        InSitu = "in_situ",
        /// Calcium chloride: emission from weight gained.
        CalciumChloride = "calcium_chloride",
        /// Moisture content of wood.
        Wood = "wood",
        /// A surface scan: compares places, judges nothing.
        Scan = "scan",
    }
}

words! {
    /// What a reading of wood is of.
    WoodOf by wood_of {
        /// The subfloor.
        Subfloor = "subfloor",
        /// The flooring that is to be laid.
        Product = "product",
    }
}

words! {
    /// To which sides a slab dries.
    Drying by drying {
        /// From the top alone.
        Top = "top",
        /// To both sides.
        Both = "both",
    }
}

words! {
    /// A hazard that is asked for before work.
    HazardKind by hazard_kind {
        /// Asbestos in what is disturbed.
        Asbestos = "asbestos",
        /// Lead in paint.
        Lead = "lead",
        /// Silica in what is ground or chipped.
        Silica = "silica",
        /// Heating tubing, cables and pipes in the floor.
        Heating = "heating",
        /// Post-tensioning in the slab.
        PostTension = "post_tension",
    }
}

words! {
    /// What is known of a hazard.
    HazardKnown by hazard_known {
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

words! {
    /// Work that is planned on a base.
    BaseWork by base_work {
        /// Taking up what lies there.
        Remove = "remove",
        /// Sanding.
        Sand = "sand",
        /// Cutting jambs, doors or trim.
        Undercut = "undercut",
        /// Grinding.
        Grind = "grind",
        /// Chipping.
        Chip = "chip",
        /// Drilling.
        Drill = "drill",
        /// Driving screws, nails or anchors.
        Fasten = "fasten",
    }
}

object! {
    /// What a product asks of what carries it: every figure is its data sheet's, or that of the source it names.
    #[derive(Default)]
    BaseRules by base_rules
    must {}
    may {
        /// Whether it floats: lies loose over its base. An interlocking product does if left out.
        floats: Option<bool> = kind::yes_no;
        /// What it weighs, pounds to the square foot.
        weight_psf: Option<f64> = kind::amount;
        /// How moist the base may be.
        moisture: Option<MoistureLimits> = moisture_limits;
        /// What it may go over, where that is not common practice.
        over: Vec<OverRule> = |i: Item<'_>| i.list(over_rule);
        /// How far joists may give.
        deflection: Vec<DeflectionRule> = |i: Item<'_>| i.list(deflection_rule);
        /// What it says of underlayment.
        underlay: Option<UnderlayRule> = underlay_rule;
        /// What sheathing it asks.
        sheathing: Option<SheathingRule> = sheathing_rule;
        /// Which joints and cracks of the base it must carry through as movement joints.
        carry: Vec<CarryRule> = |i: Item<'_>| i.list(carry_rule);
    }
}

object! {
    /// How moist a base may be.
    MoistureLimits by moisture_limits
    must {
        /// Where the figures stand.
        source: String = kind::name;
    }
    may {
        /// Greatest relative humidity in the slab, per cent.
        humidity_percent: Option<f64> = kind::amount;
        /// Greatest emission, pounds for 1000 ft² in 24 h.
        emission: Option<f64> = kind::amount;
        /// Greatest moisture content of a wood subfloor, per cent.
        wood_percent: Option<f64> = kind::amount;
        /// Greatest difference of moisture content between subfloor and flooring, per cent.
        wood_difference: Option<f64> = kind::amount;
        /// How many days old a reading may be when the floor is laid.
        days: Option<f64> = kind::amount;
        /// Which edition of the source.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// Whether a product may go over something.
    OverRule by over_rule
    must {
        /// Over what.
        what: BaseKind = base_kind;
        /// Whether it may.
        may: bool = kind::yes_no;
        /// Where that stands.
        source: String = kind::name;
    }
    may {
        /// Which edition of that.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// How far joists may give.
    DeflectionRule by deflection_rule
    must {
        /// The span over the deflection: the n of L/n.
        ratio: f64 = super::compound::above_nought;
        /// Under which load.
        under: Under = under;
        /// Where that stands.
        source: String = kind::name;
    }
    may {
        /// Of a load in one place: how many pounds.
        pounds: Option<f64> = kind::amount;
        /// Which edition of the source.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// What a product says of underlayment.
    UnderlayRule by underlay_rule
    must {
        /// Whether it lies on one.
        need: UnderlayNeed = underlay_need;
        /// Where that stands.
        source: String = kind::name;
    }
    may {
        /// Whether a pad is fixed to its back.
        attached: bool = kind::yes_no;
        /// Greatest thickness of one.
        most_thickness: Option<Measure> = kind::positive;
        /// Greatest amount by which one may give under load.
        most_compression: Option<Measure> = kind::positive;
        /// Which edition of the source.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// What sheathing a product asks.
    SheathingRule by sheathing_rule
    must {
        /// Where the figures stand.
        source: String = kind::name;
    }
    may {
        /// Least thickness.
        least: Option<Measure> = kind::positive;
        /// Greatest step between neighbouring sheets.
        most_step: Option<Measure> = kind::positive;
        /// How it is fixed, in words.
        fixing: Option<String> = kind::name;
        /// Which edition of the source.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// Which joints or cracks of the base a product carries through as movement joints.
    CarryRule by carry_rule
    must {
        /// Which.
        what: SeamKind = seam_kind;
        /// Where that stands.
        source: String = kind::name;
    }
    may {
        /// How far off the joint in the floor may lie.
        within: Option<Measure> = kind::positive;
        /// Which edition of the source.
        edition: Option<String> = kind::name;
    }
}

object! {
    /// An underlayment, as its data sheet has it.
    Underlay by underlay
    must {
        /// Its name within the sheet.
        #[schemars(with = "String")]
        #[serde(serialize_with = "super::measure::as_text")]
        id: ProductId = product_name;
    }
    may {
        /// What people call it.
        name: String = kind::text;
        /// Its thickness.
        thickness: Option<Measure> = kind::positive;
        /// By how much it gives under load.
        compression: Option<Measure> = kind::not_negative;
        /// The products that it is made for; none named for any.
        #[schemars(with = "Vec<String>")]
        #[serde(serialize_with = "super::measure::as_texts")]
        allowed: Vec<ProductId> = |i: Item<'_>| i.list(product_name);
        /// Where the figures stand.
        source: String = kind::text;
    }
}

object! {
    /// What carries a room's floor, as it was seen and read.
    #[derive(Default)]
    RoomBase by room_base
    must {}
    may {
        /// What lies there, from the top.
        layers: Vec<Layer> = |i: Item<'_>| i.list(layer);
        /// What is built up over it before the floor: boards, compound, mortar.
        build_up: Vec<BuildUp> = |i: Item<'_>| i.list(build_up);
        /// The slab.
        slab: Option<Slab> = slab;
        /// Moisture tests.
        moisture: Vec<MoistureTest> = |i: Item<'_>| i.list(moisture_test);
        /// What carries it.
        structure: Option<Structure> = structure;
        /// Joints and cracks, as lines on the plan.
        seams: Vec<Seam> = |i: Item<'_>| i.list(seam);
        /// What is known of hazards.
        hazards: Vec<HazardAnswer> = |i: Item<'_>| i.list(hazard_answer);
        /// Work that is planned besides what follows from the rest of the sheet.
        work: Vec<BaseWork> = |i: Item<'_>| i.list(base_work);
    }
}

object! {
    /// A layer of what lies there.
    Layer by layer
    must {
        /// What it is.
        what: BaseKind = base_kind;
    }
    may {
        /// Its thickness.
        thickness: Option<Measure> = kind::positive;
        /// How it is fixed.
        fixing: Option<String> = kind::name;
        /// Whether it is sound, clean and dry.
        sound: Option<bool> = kind::yes_no;
        /// What else was seen.
        notes: Option<String> = kind::name;
    }
}

object! {
    /// Something built up over the base before the floor.
    BuildUp by build_up
    must {
        /// What it is.
        name: String = kind::name;
        /// Its thickness.
        thickness: Measure = kind::not_negative;
    }
    may {}
}

object! {
    /// A slab.
    #[derive(Default)]
    Slab by slab
    must {}
    may {
        /// Its thickness.
        thickness: Option<Measure> = kind::positive;
        /// To which sides it dries; from the top if left out.
        drying: Option<Drying> = drying;
    }
}

object! {
    /// A moisture test.
    MoistureTest by moisture_test
    must {
        /// How.
        method: MoistureMethod = moisture_method;
    }
    may {
        /// By which published way, such as `astm-f2170-2018`; the newest of the method if left out.
        way: Option<String> = kind::name;
        /// Where, in the room's plan coordinates.
        at: Option<[Measure; 2]> = kind::point;
        /// Per cent: humidity in the hole, or moisture content.
        percent: Option<f64> = kind::amount;
        /// Of calcium chloride: weight at the start and at the end, g.
        grams: Option<[f64; 2]> = |i: Item<'_>| i.array(kind::amount);
        /// Of calcium chloride: the area under the dome, cm².
        area_cm2: Option<f64> = kind::amount;
        /// Hours of equilibration or exposure.
        hours: Option<f64> = kind::amount;
        /// Depth of the hole.
        depth: Option<Measure> = kind::positive;
        /// Hours for which slab and air were as in use before.
        service_hours: Option<f64> = kind::amount;
        /// Air temperature, °C.
        celsius: Option<f64> = kind::amount;
        /// Relative humidity of the air, per cent.
        air_percent: Option<f64> = kind::amount;
        /// Of wood: what was read; the subfloor if left out.
        of: Option<WoodOf> = wood_of;
        /// When it was read, as year-month-day.
        day: Option<String> = super::dates::day;
        /// When the instrument was checked last, as year-month-day.
        calibrated: Option<String> = super::dates::day;
    }
}

object! {
    /// What carries a floor on joists.
    #[derive(Default)]
    Structure by structure
    must {}
    may {
        /// Clear span of the joists.
        span: Option<Measure> = kind::positive;
        /// Length of each bearing.
        bearing: Option<Measure> = kind::not_negative;
        /// Spacing, centre to centre.
        spacing: Option<Measure> = kind::positive;
        /// Their size by its name, such as `2x10`.
        size: Option<String> = kind::name;
        /// Their width, where the size has no such name.
        width: Option<Measure> = kind::positive;
        /// Their depth, where the size has no such name.
        depth: Option<Measure> = kind::positive;
        /// Their species and grade, such as `spruce-pine-fir-no2`.
        species: Option<String> = kind::name;
        /// Modulus of elasticity of the grade, psi, where the species is not in the list.
        e_psi: Option<f64> = kind::amount;
        /// Bending value of the grade with all its factors, psi.
        fb_psi: Option<f64> = kind::amount;
        /// What is walked on it, pounds to the square foot.
        live_psf: Option<f64> = kind::amount;
        /// What lies there and stays, pounds to the square foot.
        dead_psf: Option<f64> = kind::amount;
        /// What comes with the new floor; by default what product and build-up weigh.
        new_psf: Option<f64> = kind::amount;
        /// Thickness of the sheathing.
        sheathing: Option<Measure> = kind::positive;
        /// How it is fixed.
        fixing: Option<String> = kind::name;
        /// Greatest step between neighbouring sheets.
        step: Option<Measure> = kind::not_negative;
        /// What else was seen.
        notes: Option<String> = kind::name;
    }
}

object! {
    /// A joint or crack in the base.
    Seam by seam
    must {
        /// Its name within the room.
        #[schemars(with = "String")]
        #[serde(serialize_with = "super::measure::as_text")]
        id: ItemId = item_name;
        /// What it is.
        what: SeamKind = seam_kind;
        /// Its line, in the room's plan coordinates.
        line: Vec<[Measure; 2]> = |i: Item<'_>| i.list(kind::point);
    }
    may {
        /// Its width.
        width: Option<Measure> = kind::not_negative;
        /// The difference in height across it.
        step: Option<Measure> = kind::not_negative;
        /// What else was seen.
        notes: Option<String> = kind::name;
    }
}

object! {
    /// What is known of a hazard; a licensed person decides.
    HazardAnswer by hazard_answer
    must {
        /// Which.
        hazard: HazardKind = hazard_kind;
        /// What is known.
        known: HazardKnown = hazard_known;
    }
    may {
        /// By what: a test, a record.
        basis: Option<String> = kind::name;
    }
}

impl Underlay {
    /// Reads one from its own text, as a document keeps it; `None` if it is none. What a newer program wrote is kept.
    pub fn read(text: &str) -> Option<Self> {
        super::fields::alone(text, underlay)
    }

    /// Writes it as a document keeps it.
    pub fn write(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }
}

fn product_name(item: Item<'_>) -> Option<ProductId> {
    item.name().map(ProductId::new)
}

pub(super) fn item_name(item: Item<'_>) -> Option<ItemId> {
    item.name().map(ItemId::new)
}
