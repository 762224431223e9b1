//! The shop: the crew, what it lays, what it charges, and the tools it measures with.

use super::{Price, Product};
use crate::entry::{entry, entry_set};
use crate::stored::{Blob, Decimal, Money, TypedLength, words};

words! {
    /// What a member of the crew does; a courtesy of the screens, not a lock.
    Role {
        /// Leads jobs.
        Lead = "lead",
        /// Works on them.
        Crew = "crew",
        /// Sits at the shop.
        Shop = "shop",
    }
}

words! {
    /// What a measuring tool is.
    ToolKind {
        /// A tape.
        Tape = "tape",
        /// A laser distance meter.
        LaserMeter = "laser_meter",
        /// A levelling laser with a rod.
        LevelLaser = "level_laser",
        /// A straightedge.
        Straightedge = "straightedge",
        /// A moisture meter or kit.
        Moisture = "moisture",
    }
}

entry! {
    /// What is said of the shop once.
    Single ShopFacts in facts {
        /// Its name on papers.
        name: Option<String>,
        /// Its address and how to reach it, as on papers.
        contact: Option<String>,
        /// The currency of all prices: `USD`, `EUR`.
        currency: Option<String>,
        /// Tax added to prices, in per cent.
        tax_percent: Option<Decimal>,
        /// Deposit asked with an order, in per cent.
        deposit_percent: Option<Decimal>,
        /// Breakage reckoned with, in per cent of tiles.
        breakage_percent: Option<Decimal>,
        /// Spare tiles left with the client, in per cent.
        attic_percent: Option<Decimal>,
        /// The caution and care texts added to every handover.
        handover_words: Option<String>,
    }
}

entry! {
    /// A device of the crew, under its device id in hexadecimal digits. Joining and removing are signed records
    /// elsewhere; this is what people call it.
    Thing Member in crew {
        /// The person.
        name: String,
        /// What the device is: `Ana's phone`.
        device: Option<String>,
        /// What the person does.
        role: Option<Role>,
    }
}

entry! {
    /// A signed statement about who belongs to the crew: opaque here, checked where devices meet.
    Record RosterStatement in roster {
        /// The statement with its signature.
        statement: Blob,
    }
}

entry! {
    /// How fast the crew does something; learned from finished jobs, private to the shop.
    Thing Rate in rates {
        /// What: `lay`, `demolish`, `level`, `grout`.
        task: String,
        /// How much one person does in an hour.
        per_hour: Decimal,
        /// In which unit: `m2`, `m`, `piece`.
        unit: String,
        /// What an hour of it costs the client.
        hourly: Option<Money>,
    }
}

entry! {
    /// A measuring tool and how well it reads.
    Thing Tool in tools {
        /// What people call it.
        name: String,
        /// What it is.
        tool: ToolKind,
        /// Standard deviation of a reading at short range.
        sd: Option<TypedLength>,
        /// What is added to that per metre, in mm.
        sd_mm_per_metre: Option<Decimal>,
        /// What the shop knows of it: an end repaired, a constant offset.
        notes: Option<String>,
    }
}

entry_set! {
    /// An entry of a shop's document.
    ShopEntry,
    /// A shop's document as it stands.
    ShopView for Shop;
    /// What is said of the shop once.
    Single ShopFacts in facts;
    /// The crew's devices.
    Thing Member in crew;
    /// Signed statements on who belongs to the crew.
    Record RosterStatement in roster;
    /// Products.
    Thing Product in products;
    /// Prices.
    Thing Price in prices;
    /// Production rates.
    Thing Rate in rates;
    /// Measuring tools.
    Thing Tool in tools;
}
