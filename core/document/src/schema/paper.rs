//! What was agreed: frozen records, variants, change orders, what the client confirmed.

use drylay_geometry::ItemId;

use super::PinKind;
use crate::entry::entry;
use crate::ids::ContentHash;
use crate::stored::{Decimal, Money, Source, group, words};

words! {
    /// What is frozen.
    FrozenKind {
        /// A plan that was given out: pieces of *that* plan are marked as laid.
        Plan = "plan",
        /// A quote that was signed.
        Quote = "quote",
        /// A handover.
        Handover = "handover",
    }
}

entry! {
    /// A frozen record: bytes by content hash, and the state of every document they were made from. The hash is
    /// its identity; the number is only a label, and two records with one number are both shown.
    Record Frozen in frozen {
        /// What it is.
        what: FrozenKind,
        /// The number on the paper.
        number: i64,
        /// The bytes.
        hash: ContentHash,
        /// How many bytes.
        bytes: i64,
        /// What the bytes are: `application/json`, `application/pdf`.
        media: String,
        /// The documents it was made from, each with its heads.
        sources: Vec<Source>,
        /// The area, for a plan of one.
        area: Option<ItemId>,
        /// The signature as it was drawn, as a file.
        signature: Option<ContentHash>,
        /// Who signed.
        signed_by: Option<String>,
    }
}

group! {
    /// A line of a quote that the plan does not yield.
    QuoteLine {
        /// What it is.
        words: String,
        /// How many.
        quantity: Decimal,
        /// Of what.
        unit: String,
        /// Price of one.
        price: Money,
    }
}

entry! {
    /// A variant of the quote: another product, another scope.
    Thing Variant in variants {
        /// What it is called.
        name: String,
        /// The areas in it.
        areas: Vec<ItemId>,
        /// A product laid instead of the areas' own.
        product: Option<ItemId>,
        /// Lines beside what the plan yields.
        lines: Vec<QuoteLine>,
        /// A discount in per cent.
        discount_percent: Option<Decimal>,
        /// Whether it is the one chosen.
        chosen: Option<bool>,
    }
}

entry! {
    /// A change agreed after the quote was signed, before the work.
    Thing ChangeOrder in change_orders {
        /// The signed quote that it changes.
        quote: ContentHash,
        /// What changes.
        words: String,
        /// Its lines.
        lines: Vec<QuoteLine>,
        /// Days added.
        days: Option<i64>,
        /// The frozen record of its signature.
        signed: Option<ContentHash>,
    }
}

entry! {
    /// Something the client confirmed: shade, layout, condition of warranty.
    Record ClientAnswer in client_answers {
        /// What, as a code of the message catalogue.
        what: String,
        /// Whether confirmed.
        confirmed: bool,
        /// By whom.
        by: Option<String>,
        /// The picture of the signature.
        signature: Option<ContentHash>,
    }
}

entry! {
    /// A point of the walk-through with the client.
    Thing WalkItem in walk {
        /// What was seen.
        words: String,
        /// What sort of thing it is about.
        what: Option<PinKind>,
        /// The room.
        room: Option<ItemId>,
        /// Whether it is settled.
        settled: Option<bool>,
        /// Who mends it.
        mender: Option<String>,
        /// Until which day, as year-month-day.
        until: Option<String>,
        /// What it was made from: the name of a gate or the id of a note.
        made_from: Option<String>,
        /// That the room was looked at with the client: then it is no point, and has no words.
        looked: Option<bool>,
    }
}
