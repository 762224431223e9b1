//! Heavy things: what stands upon a floating floor pins it.

/// Where a heavy thing stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// On the base, with the floor going round it.
    OnBase,
    /// On the finished floor.
    OnFloor,
    /// Nobody has said.
    Unsaid,
}

/// How a heavy thing and a floor get on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pinning {
    /// It does no harm.
    Free,
    /// It would pin the floating floor: it goes in first, and the floor round it.
    Pins,
    /// The floor goes round it, but the plan does not show it.
    NotDrawn,
    /// It must be said where it stands.
    Say,
}

/// Whether a heavy thing pins the floor. `drawn` is whether the plan keeps the floor off its place.
pub fn pinning(floats: bool, stands: Stands, drawn: bool) -> Pinning {
    match stands {
        _ if !floats => Pinning::Free,
        Stands::OnFloor => Pinning::Pins,
        Stands::OnBase if drawn => Pinning::Free,
        Stands::OnBase => Pinning::NotDrawn,
        Stands::Unsaid => Pinning::Say,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: a floating floor is never pinned, neither by fixings nor by what is too heavy to move with it.
    #[test]
    fn nothing_heavy_pins_a_floating_floor() {
        assert_eq!(pinning(true, Stands::OnFloor, true), Pinning::Pins);
        assert_eq!(pinning(true, Stands::OnBase, false), Pinning::NotDrawn);
        assert_eq!(pinning(true, Stands::OnBase, true), Pinning::Free);
        assert_eq!(pinning(true, Stands::Unsaid, true), Pinning::Say);
        assert_eq!(pinning(false, Stands::OnFloor, false), Pinning::Free);
    }
}
