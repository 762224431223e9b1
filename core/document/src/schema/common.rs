//! Entries and groups that shop and job share: products, prices, tolerances.

use crate::entry::entry;
use crate::stored::{Decimal, Money, TypedLength, group, words};

words! {
    /// How lengths are typed, shown and marked out.
    Units {
        /// Millimetres.
        Metric = "metric",
        /// Feet, inches and sixteenths.
        Imperial = "imperial",
        /// Inches and sixteenths, without feet.
        Inches = "inches",
    }
}

words! {
    /// Which deviations from a straight chord a tolerance counts.
    Sides {
        /// Dips and humps.
        Both = "both",
        /// Only dips, as a straightedge finds them.
        Dips = "dips",
    }
}

words! {
    /// What a product is for.
    Use {
        /// The floor itself.
        Floor = "floor",
        /// Underlayment, film, tape.
        Underlay = "underlay",
        /// Levelling compound, patch, primer.
        Compound = "compound",
        /// Grout and sealant.
        Joint = "joint",
        /// Transition strips and trim.
        Trim = "trim",
        /// Adhesive.
        Adhesive = "adhesive",
        /// Blades, spacers and the like.
        Consumable = "consumable",
    }
}

group! {
    /// How flat a floor must be: no chord of `span` deviates by more than `gap`.
    Tolerance {
        /// Greatest distance between floor and chord.
        gap: TypedLength,
        /// Greatest length of the chord.
        span: TypedLength,
        /// What counts.
        sides: Sides,
    }
}

group! {
    /// Something that hangs over the floor at its edge.
    Overhang {
        /// How high above what the floor lies on.
        height: TypedLength,
        /// How far it comes out from the line the floor ends at.
        depth: TypedLength,
    }
}

words! {
    /// A class of cut.
    CutClass {
        /// One cut across.
        Length = "length",
        /// One cut along.
        Rip = "rip",
        /// Both, meeting in a corner.
        Corner = "corner",
        /// Anything else.
        Shape = "shape",
    }
}

words! {
    /// A way of cutting.
    CutWay {
        /// Taped, scored and snapped.
        Snap = "snap",
        /// Cut on a wet saw.
        WetSaw = "wet_saw",
        /// Legs cut on a wet saw, the middle scored and tapped out.
        WetSawAndTap = "wet_saw_and_tap",
    }
}

group! {
    /// Which tool a class of cut takes, and who says so.
    CutTool {
        /// The class of cut.
        cut: CutClass,
        /// The tool.
        tool: CutWay,
        /// A data sheet, the shop.
        source: Option<String>,
    }
}

entry! {
    /// A product with the rules of its data sheet. A job holds its own snapshot, so that what was agreed does not
    /// change with the shop's list.
    Thing Product in products {
        /// What people call it.
        name: String,
        /// What it is for.
        used_as: Use,
        /// Length of the visible face of a tile, along the row; or of a piece of stock.
        length: Option<TypedLength>,
        /// Width of the visible face, across the row.
        width: Option<TypedLength>,
        /// Thickness with its rails.
        thickness: Option<TypedLength>,
        /// Width of the joint between faces.
        joint: Option<TypedLength>,
        /// Depth of the joint that grout fills.
        joint_depth: Option<TypedLength>,
        /// Gap kept along every wall and fixed object.
        edge_gap: Option<TypedLength>,
        /// Width that a cut turns to dust.
        kerf: Option<TypedLength>,
        /// Whether tiles lock together and therefore all lie the same way round.
        interlock: Option<bool>,
        /// Offsets between rows that are allowed, as parts of the length: `1/3`, `0`.
        offsets: Vec<String>,
        /// Narrowest piece across the row.
        min_row_width: Option<TypedLength>,
        /// Shortest piece along the row.
        min_end_length: Option<TypedLength>,
        /// Longest unbroken run before a movement joint.
        max_run: Option<TypedLength>,
        /// How it was made, rules with their source and how its rails engage, as a job sheet writes them.
        demands: Option<String>,
        /// What is cut off beyond the edge gap so that a piece goes in.
        clearance: Option<TypedLength>,
        /// Thinnest neck of a cut piece that does not break.
        min_neck: Option<TypedLength>,
        /// Tools for classes of cut where they are not the trade's.
        tools: Vec<CutTool>,
        /// Flatness asked of the floor under it.
        flatness: Vec<Tolerance>,
        /// Tiles, strips or bags in a pack.
        per_pack: Option<i64>,
        /// What a pack weighs, in kg.
        pack_kg: Option<Decimal>,
        /// What a pack covers or fills, in the unit that its use implies: m² of underlay, litres of compound.
        pack_yield: Option<Decimal>,
        /// Greatest relative humidity of the slab, in per cent.
        max_humidity: Option<Decimal>,
        /// Greatest moisture emission, in lb per 1000 ft² and 24 h.
        max_emission: Option<Decimal>,
        /// Hours before light foot traffic.
        hours_to_walk: Option<Decimal>,
        /// Hours to full cure.
        hours_to_cure: Option<Decimal>,
        /// Hours it must lie in the room before it is laid.
        hours_to_acclimatise: Option<Decimal>,
        /// What else its data sheet asks, in words.
        notes: Option<String>,
    }
}

impl Product {
    /// A product of which nothing is known but its name and what it is for.
    pub fn bare(name: &str, used_as: Use) -> Self {
        Self {
            name: name.to_owned(),
            used_as,
            length: None,
            width: None,
            thickness: None,
            joint: None,
            joint_depth: None,
            edge_gap: None,
            kerf: None,
            interlock: None,
            offsets: Vec::new(),
            min_row_width: None,
            min_end_length: None,
            max_run: None,
            demands: None,
            clearance: None,
            min_neck: None,
            tools: Vec::new(),
            flatness: Vec::new(),
            per_pack: None,
            pack_kg: None,
            pack_yield: None,
            max_humidity: None,
            max_emission: None,
            hours_to_walk: None,
            hours_to_cure: None,
            hours_to_acclimatise: None,
            notes: None,
        }
    }
}

entry! {
    /// A price by the pack, unit or hour. A job holds its own snapshot.
    Thing Price in prices {
        /// What it is for: a product's id, or words for labour, demolition, travel.
        item: String,
        /// The amount, without tax.
        amount: Money,
        /// What one is: `carton`, `m2`, `hour`, `kg`.
        unit: String,
        /// Since when, as year-month-day.
        since: Option<String>,
        /// From whom.
        supplier: Option<String>,
    }
}
