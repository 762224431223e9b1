//! What lies there, layer by layer from the top, and whether the new floor may go over it.

/// What a layer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A slab on the ground.
    SlabOnGrade,
    /// A slab between storeys.
    SuspendedSlab,
    /// Wood sheathing on joists, or a wood floor fixed to it.
    Wood,
    /// Tile or stone.
    Tile,
    /// Rigidly fixed vinyl.
    FixedVinyl,
    /// Cushioned vinyl.
    CushionedVinyl,
    /// A floating floor.
    Floating,
    /// Carpet.
    Carpet,
    /// Underlayment.
    Underlay,
    /// Something else.
    Other,
}

/// A layer as it was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layer {
    /// What it is.
    pub kind: Kind,
    /// Sound, clean and dry; `None` if nobody looked.
    pub sound: Option<bool>,
}

/// What becomes of a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// The new floor goes over it.
    Stays,
    /// It comes up first.
    ComesUp,
    /// It may stay once it is sound, clean and dry.
    MendFirst,
    /// Nobody has looked whether it is sound, clean and dry.
    Look,
    /// Neither the product nor common practice says: ask the maker.
    Ask,
}

/// Whether a floor of the kind may be gone over, by common practice: concrete, tile, wood and rigidly fixed vinyl
/// may if sound, clean and dry; carpet, floating floors and cushioned vinyl may not.
fn usually(kind: Kind) -> Option<bool> {
    match kind {
        Kind::SlabOnGrade | Kind::SuspendedSlab | Kind::Wood | Kind::Tile | Kind::FixedVinyl => Some(true),
        Kind::CushionedVinyl | Kind::Floating | Kind::Carpet | Kind::Underlay => Some(false),
        Kind::Other => None,
    }
}

/// What becomes of each layer, from the top. `may` is what the product's data sheet says of a kind, which decides.
/// Whatever lies upon what comes up comes up with it.
pub fn fates(layers: &[Layer], may: impl Fn(Kind) -> Option<bool>) -> Vec<Fate> {
    let alone = |layer: &Layer| match may(layer.kind).or_else(|| usually(layer.kind)) {
        Some(false) => Fate::ComesUp,
        None => Fate::Ask,
        Some(true) => match layer.sound {
            Some(true) => Fate::Stays,
            Some(false) => Fate::MendFirst,
            None => Fate::Look,
        },
    };
    let mut fates: Vec<Fate> = layers.iter().map(alone).collect();
    if let Some(lowest) = fates.iter().rposition(|f| *f == Fate::ComesUp) {
        fates[..lowest].fill(Fate::ComesUp);
    }
    fates
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(kinds: &[Kind], sound: Option<bool>, may: impl Fn(Kind) -> Option<bool>) -> Vec<Fate> {
        let layers: Vec<Layer> = kinds.iter().map(|&kind| Layer { kind, sound }).collect();
        fates(&layers, may)
    }

    /// Common practice: carpet is no base; concrete, tile, wood and rigidly fixed vinyl can be, if sound, clean and dry;
    /// floating floors and cushioned vinyl come up first unless the product's data sheet says otherwise.
    #[test]
    fn what_comes_up_first() {
        let usual = |kind| of(&[kind], Some(true), |_| None)[0];
        for stays in [Kind::SlabOnGrade, Kind::SuspendedSlab, Kind::Wood, Kind::Tile, Kind::FixedVinyl] {
            assert_eq!(usual(stays), Fate::Stays, "{stays:?}");
        }
        for up in [Kind::Carpet, Kind::Floating, Kind::CushionedVinyl] {
            assert_eq!(usual(up), Fate::ComesUp, "{up:?}");
        }
        assert_eq!(usual(Kind::Other), Fate::Ask);
        let allowed = |kind| (kind == Kind::CushionedVinyl).then_some(true);
        assert_eq!(of(&[Kind::CushionedVinyl], Some(true), allowed), [Fate::Stays]);
        assert_eq!(of(&[Kind::Tile], Some(true), |_| Some(false)), [Fate::ComesUp]);
    }

    #[test]
    fn what_lies_upon_what_comes_up_comes_up_with_it() {
        let layers = [Kind::FixedVinyl, Kind::Floating, Kind::SlabOnGrade];
        assert_eq!(of(&layers, Some(true), |_| None), [Fate::ComesUp, Fate::ComesUp, Fate::Stays]);
    }

    #[test]
    fn nothing_goes_over_what_is_not_sound_or_not_looked_at() {
        assert_eq!(of(&[Kind::Tile], Some(false), |_| None), [Fate::MendFirst]);
        assert_eq!(of(&[Kind::Tile], None, |_| None), [Fate::Look]);
    }
}
