//! The tool for each class of cut.

use crate::piece::Cut;

/// How a cut is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// Taped, scored and snapped.
    Snap,
    /// Cut on a wet saw.
    WetSaw,
    /// The two legs cut on a wet saw, the middle scored and tapped out.
    WetSawAndTap,
}

/// What a product's data sheet or the shop says of a class of cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolRule {
    /// The class of cut.
    pub cut: Cut,
    /// The tool.
    pub tool: Tool,
    /// Who says so.
    pub source: String,
}

/// What the trade does where a product says nothing else.
pub fn common_practice() -> Vec<ToolRule> {
    let says = |cut, tool| ToolRule { cut, tool, source: "common practice".to_owned() };
    vec![
        says(Cut::Length, Tool::Snap),
        says(Cut::Rip, Tool::Snap),
        says(Cut::Corner, Tool::WetSaw),
        says(Cut::Shape, Tool::WetSawAndTap),
    ]
}

/// The rule for a class of cut: the first of the product's that is for it, else the trade's; none for a whole tile.
pub fn tool_for(rules: &[ToolRule], cut: Cut) -> Option<ToolRule> {
    let of = |rules: &[ToolRule]| rules.iter().find(|rule| rule.cut == cut).cloned();
    if cut == Cut::Whole { None } else { of(rules).or_else(|| of(&common_practice())) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: score and snap straight cuts; wet saw for corner cuts and for the two legs of a notch.
    #[test]
    fn a_products_own_rule_comes_before_the_trades() {
        assert_eq!(tool_for(&[], Cut::Rip).map(|r| r.tool), Some(Tool::Snap));
        assert_eq!(tool_for(&[], Cut::Whole), None);
        let own = ToolRule { cut: Cut::Rip, tool: Tool::WetSaw, source: "data sheet".to_owned() };
        assert_eq!(tool_for(std::slice::from_ref(&own), Cut::Rip), Some(own.clone()));
        assert_eq!(tool_for(&[own], Cut::Corner).map(|r| r.source), Some("common practice".to_owned()));
    }
}
