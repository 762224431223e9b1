//! Quotes: what a job costs, what may come to light, variants, signed quotes and changes to them; prices and rates; the first
//! call.

use super::{BuyStep, EntryView, FormView, GroundEdit, SignatureStrokes, Stamp, Units, request, wire};
use crate::Problem;

wire! {
    /// What a job costs, as far as it is known.
    pub struct QuoteView {
        /// What the client pays, tax included.
        pub total: String,
        /// What is not in it, in words.
        pub lacks: Vec<String>,
        /// How much is bought, in packs.
        pub packs: String,
        /// How long it takes, by the crew's rates.
        pub hours: String,
        /// The lines.
        pub lines: Vec<QuoteLineView>,
        /// From the lines to what is paid, and when.
        pub sums: Vec<BuyStep>,
        /// The likely and the bad case, and what may come to light.
        pub cases: Vec<BuyStep>,
        /// What another half hour of reading would settle, in words.
        pub reading: String,
        /// The job's variants beside it.
        pub variants: Vec<VariantView>,
        /// How amounts are rounded.
        pub rounding: String,
        /// The terms as they are typed.
        pub terms: QuoteTerms,
        /// The forms of what it has beside the plan.
        pub forms: Vec<FormView>,
        /// What it has beside the plan.
        pub entries: Vec<EntryView>,
        /// How lengths are typed.
        pub units: Units,
        /// Quotes that were frozen, the newest first.
        pub signed: Vec<SignedView>,
        /// What the law of many places asks; local law decides.
        pub reminders: Vec<Problem>,
        /// What is not counted yet because it has to be worked out first, in words.
        pub waiting: Vec<String>,
        /// What keeps it from being whole.
        pub problems: Vec<Problem>,
    }
}

wire! {
    /// A line of a quote.
    pub struct QuoteLineView {
        /// `material`, `labour`, `work`, `disposal` or `other`.
        pub kind: String,
        /// What people call it.
        pub name: String,
        /// What it comes to; a dash where nothing says what it costs.
        pub amount: String,
        /// How that came about, in words.
        pub how: String,
        /// Where its quantity comes from.
        pub steps: Vec<BuyStep>,
    }
}

wire! {
    /// A variant beside the job as it stands.
    pub struct VariantView {
        /// The variant.
        pub id: String,
        /// What it is called.
        pub name: String,
        /// What the client would pay; `None` while it is not planned.
        pub total: Option<String>,
        /// How long it would take.
        pub hours: Option<String>,
    }
}

wire! {
    /// The terms of a quote, as they are typed.
    pub struct QuoteTerms {
        /// The currency.
        pub currency: String,
        /// Discount in per cent.
        pub discount: String,
        /// Tax in per cent.
        pub tax: String,
        /// Deposit in per cent.
        pub deposit: String,
        /// `home`, `shop` or nothing.
        pub signed_at: String,
    }
}

wire! {
    /// A quote that was frozen.
    pub struct SignedView {
        /// Its record.
        pub id: String,
        /// The first letters of its hash.
        pub short: String,
        /// The number on it.
        pub number: u32,
        /// Whether another bears the same number.
        pub number_shared: bool,
        /// What it comes to.
        pub total: String,
        /// Who signed.
        pub signed_by: String,
        /// The signature, if one was drawn and is on this device.
        pub signature: Option<SignatureStrokes>,
        /// By whom and when it was frozen.
        pub stamp: Stamp,
        /// Whether the quote as it stands says the same.
        pub same: bool,
        /// Changes to it.
        pub changes: Vec<QuoteChangeView>,
        /// What it comes to with them.
        pub with_changes: String,
    }
}

wire! {
    /// A change agreed after the quote was signed.
    pub struct QuoteChangeView {
        /// The change.
        pub id: String,
        /// What changes.
        pub words: String,
        /// What it adds, tax included.
        pub amount: String,
        /// Days it adds.
        pub days: Option<u32>,
        /// By whom and when.
        pub stamp: Stamp,
    }
}

request! {
    /// Sets the terms of a quote.
    pub struct QuoteSet {
        /// The job.
        pub job: String,
        /// The currency.
        pub currency: String,
        /// Discount in per cent, as typed.
        pub discount: String,
        /// Tax in per cent, as typed.
        pub tax: String,
        /// Deposit in per cent, as typed.
        pub deposit: String,
        /// `home`, `shop` or nothing.
        pub signed_at: String,
    }
}

request! {
    /// Says, changes or takes out something that a quote or an order has beside the plan.
    pub struct MoneyEditAsk {
        /// The job.
        pub job: String,
        /// What is done.
        pub edit: GroundEdit,
    }
}

request! {
    /// Adds a line to a quote, or to a signed one as a change to it.
    pub struct QuoteLineAdd {
        /// The job.
        pub job: String,
        /// The signed quote that it changes; left out for a line of the quote as it stands.
        #[serde(default)]
        #[ts(optional)]
        pub signed: Option<String>,
        /// What it is.
        pub words: String,
        /// How many, as typed.
        pub quantity: String,
        /// Of what.
        pub unit: String,
        /// What one costs, as typed.
        pub price: String,
        /// Days that a change adds, as typed.
        #[serde(default)]
        #[ts(optional)]
        pub days: Option<String>,
    }
}

request! {
    /// Freezes the quote as it stands.
    pub struct QuoteFreeze {
        /// The job.
        pub job: String,
        /// Who signed.
        pub signed_by: String,
        /// The signature, if one was drawn.
        #[serde(default)]
        #[ts(optional)]
        pub signature: Option<SignatureStrokes>,
    }
}

wire! {
    /// Prices and rates as lists.
    pub struct BooksView {
        /// The price list as CSV.
        pub prices: String,
        /// How many prices.
        pub price_count: u32,
        /// The crew's rates as CSV. They stay with the shop.
        pub rates: String,
        /// How many rates.
        pub rate_count: u32,
        /// What was wrong with a list that was read; nothing of it was taken then.
        pub problems: Vec<Problem>,
    }
}

request! {
    /// Reads a list in the place of the one that is kept.
    pub struct BooksRead {
        /// `prices` or `rates`.
        pub what: String,
        /// The list as CSV.
        pub text: String,
    }
}

wire! {
    /// What was said on the first call.
    pub struct CallView {
        /// The year in which the house was built.
        pub built: String,
        /// Whether there is a lift: `yes`, `no` or nothing.
        pub lift: String,
        /// The rest by name, in the order in which one asks.
        pub said: Vec<CallAnswer>,
        /// Codes of doors and lock boxes. They are kept by this device alone.
        pub lock_codes: String,
    }
}

wire! {
    /// An answer on the first call.
    pub struct CallAnswer {
        /// What was asked: `access`, `parking`, …
        pub what: String,
        /// The answer.
        pub words: String,
    }
}

request! {
    /// Writes down an answer of the first call; an empty text takes it away.
    pub struct CallSet {
        /// The job.
        pub job: String,
        /// What was asked: `built`, `lift`, `lock_codes`, or a name of the view's.
        pub what: String,
        /// The answer, as typed.
        pub words: String,
    }
}
