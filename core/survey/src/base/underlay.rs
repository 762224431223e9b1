//! Underlayment: allowed, required or forbidden by the product, not too soft, never doubled.

use drylay_geometry::Length;

/// What the product says of underlayment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// It must lie on one.
    Required,
    /// It may.
    Allowed,
    /// It must not.
    Forbidden,
}

/// The product's rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Whether.
    pub need: Need,
    /// Whether a pad is fixed to the product's back.
    pub attached: bool,
    /// Greatest thickness.
    pub most_thickness: Option<Length>,
    /// Greatest amount by which it gives under load.
    pub most_compression: Option<Length>,
}

/// An underlayment that is to be laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen {
    /// Its thickness.
    pub thickness: Option<Length>,
    /// By how much it gives under load.
    pub compression: Option<Length>,
    /// Whether its data sheet names products, and not this one.
    pub not_for_this: bool,
}

/// What is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// One is asked and none is chosen.
    Missing,
    /// One is chosen and none is allowed.
    Forbidden,
    /// It would lie on or under another one.
    Doubled,
    /// Its own data sheet names other products.
    NotForThis,
    /// It is too thick: what it is, and what is allowed.
    TooThick(Length, Length),
    /// It gives too much: what it gives, and what is allowed.
    TooSoft(Length, Length),
    /// It is not said how thick it is, or how much it gives.
    Unsaid,
}

/// What is wrong with an underlayment. `lies_already` is whether one stays on the floor.
pub fn faults(rule: Option<&Rule>, chosen: Option<&Chosen>, lies_already: bool) -> Vec<Fault> {
    let attached = rule.is_some_and(|r| r.attached);
    let mut faults = Vec::new();
    let need = rule.map_or(Need::Allowed, |r| r.need);
    match (need, chosen) {
        (Need::Required, None) if !attached && !lies_already => faults.push(Fault::Missing),
        (Need::Forbidden, Some(_)) => faults.push(Fault::Forbidden),
        _ => {}
    }
    let count = [attached, lies_already, chosen.is_some()].into_iter().filter(|one| *one).count();
    if count > 1 {
        faults.push(Fault::Doubled);
    }
    if let (Some(rule), Some(chosen)) = (rule, chosen) {
        if chosen.not_for_this {
            faults.push(Fault::NotForThis);
        }
        let mut hold =
            |found: Option<Length>, most: Option<Length>, fault: fn(Length, Length) -> Fault| match (
                found, most,
            ) {
                (Some(found), Some(most)) if found > most => faults.push(fault(found, most)),
                (None, Some(_)) => faults.push(Fault::Unsaid),
                _ => {}
            };
        hold(chosen.thickness, rule.most_thickness, Fault::TooThick);
        hold(chosen.compression, rule.most_compression, Fault::TooSoft);
    }
    faults.dedup();
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: fn(i64) -> Length = Length::from_mm;

    fn rule(need: Need) -> Rule {
        Rule { need, attached: false, most_thickness: Some(MM(3)), most_compression: Some(MM(1)) }
    }

    fn pad(thickness: i64, compression: i64) -> Chosen {
        Chosen { thickness: Some(MM(thickness)), compression: Some(MM(compression)), not_for_this: false }
    }

    /// Common practice; the product's data sheet decides.
    #[test]
    fn required_allowed_forbidden() {
        assert_eq!(faults(Some(&rule(Need::Required)), None, false), [Fault::Missing]);
        assert_eq!(faults(Some(&rule(Need::Required)), Some(&pad(3, 1)), false), []);
        assert_eq!(faults(Some(&rule(Need::Allowed)), None, false), []);
        assert_eq!(faults(Some(&rule(Need::Forbidden)), Some(&pad(3, 1)), false), [Fault::Forbidden]);
        assert_eq!(faults(None, Some(&pad(9, 9)), false), []);
    }

    #[test]
    fn never_doubled() {
        assert_eq!(faults(Some(&rule(Need::Required)), Some(&pad(3, 1)), true), [Fault::Doubled]);
        let attached = Rule { attached: true, ..rule(Need::Allowed) };
        assert_eq!(faults(Some(&attached), Some(&pad(2, 1)), false), [Fault::Doubled]);
        assert_eq!(faults(Some(&attached), None, false), []);
        assert_eq!(faults(Some(&Rule { need: Need::Required, ..attached }), None, false), []);
    }

    #[test]
    fn too_thick_too_soft_or_unsaid() {
        let thick = faults(Some(&rule(Need::Allowed)), Some(&pad(4, 2)), false);
        assert_eq!(thick, [Fault::TooThick(MM(4), MM(3)), Fault::TooSoft(MM(2), MM(1))]);
        let unsaid = Chosen { thickness: None, compression: None, not_for_this: true };
        let found = faults(Some(&rule(Need::Allowed)), Some(&unsaid), false);
        assert_eq!(found, [Fault::NotForThis, Fault::Unsaid]);
    }
}
