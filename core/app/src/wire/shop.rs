//! What the crew keeps for all jobs: its rates and its tiles.

use super::{ProductView, request, wire};

wire! {
    /// The shop, as this device has it.
    pub struct ShopView {
        /// Its name on papers.
        pub name: String,
        /// Breakage reckoned with, in per cent of a plan's tiles; empty where nobody gave one.
        pub breakage: String,
        /// Spare tiles left with the client, in per cent of a plan's tiles; empty where nobody gave one.
        pub attic: String,
        /// Tiles kept for other jobs.
        pub products: Vec<ProductView>,
    }
}

request! {
    /// Changes what is said of the shop; what is left out stays, an empty text takes it away.
    pub struct ShopEdit {
        /// Its name on papers.
        #[serde(default)]
        #[ts(optional)]
        pub name: Option<String>,
        /// Breakage in per cent of a plan's tiles, as typed.
        #[serde(default)]
        #[ts(optional)]
        pub breakage: Option<String>,
        /// Spare tiles in per cent of a plan's tiles, as typed.
        #[serde(default)]
        #[ts(optional)]
        pub attic: Option<String>,
    }
}
