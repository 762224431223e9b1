//! What the data sheet and the shop say of cutting a product.

use crate::tools::ToolRule;
use drylay_geometry::Length;

/// How a product is cut.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cutting {
    /// What is cut off beyond the edge gap, so that the piece goes in.
    pub clearance: Length,
    /// The thinnest neck that survives cutting and laying; nothing is judged where it is not said.
    pub min_neck: Option<Length>,
    /// Tools for classes of cut where they are not the trade's.
    pub tools: Vec<ToolRule>,
}

impl Cutting {
    /// Whether a neck is too weak; `None` where nothing says how thin it may be.
    pub fn is_too_weak(&self, neck: Length) -> Option<bool> {
        self.min_neck.map(|least| neck < least)
    }
}
