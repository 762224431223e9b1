//! Edits of what a product asks of what carries it, and of underlayments, from the fields of their forms. Figures of a
//! data sheet are taken only with where they stand.

use super::plan::measure;
use crate::Problem;
use crate::forms::Filled;
use crate::refusal::unknown;
use drylay_document::exchange::underlay;
use drylay_document::sheet::{
    BaseKind, BaseRules, CarryRule, DeflectionRule, Demands, Extra, Measure, MoistureLimits, OverRule,
    SeamKind, SheathingRule, Under, Underlay, UnderlayNeed, UnderlayRule,
};
use drylay_document::{Edit, Held, JobEntry, JobView, Product, Use};
use drylay_geometry::{ItemId, ProductId};

/// The product that is laid in a room.
pub(crate) fn product_of<'a>(job: &'a JobView, room: &ItemId) -> Option<&'a Held<Product>> {
    let area = job.areas.live.iter().find(|area| area.value.rooms.contains(room))?;
    job.products.get(&area.value.product)
}

/// The edit of a product whose rules changed; none where they did not.
pub(super) fn changed(
    held: &Held<Product>,
    change: impl FnOnce(&mut BaseRules) -> Result<(), Problem>,
) -> Result<Vec<Edit<JobEntry>>, Problem> {
    let mut demands = held.value.demands.as_deref().map(Demands::read).unwrap_or_default();
    let mut rules = demands.base.take().unwrap_or_default();
    change(&mut rules)?;
    demands.base = (rules != BaseRules::default()).then_some(rules);
    let after = Product { demands: demands.write(), ..held.value.clone() };
    if after == held.value {
        return Ok(Vec::new());
    }
    Ok(vec![Edit::change(&held.id, held.value.clone(), after)])
}

/// Puts what a form says into a product's rules; `at` names the one of a list that is changed.
pub(super) fn put(f: &Filled<'_>, at: Option<&ItemId>, rules: &mut BaseRules) -> Result<(), Problem> {
    let ask = Ask { f };
    match f.form() {
        "limits" => ask.limits(rules),
        "over_rule" => {
            let what = f.must("what", BaseKind::from_word)?;
            let may = f.yes("may").ok_or_else(|| Problem::new("form.choose", "edit.fields.may"))?;
            let new = |old: Option<&OverRule>| {
                Ok(OverRule {
                    what,
                    may,
                    source: ask.source()?,
                    edition: ask.edition(),
                    extra: kept(old, |o| &o.extra),
                })
            };
            list(&mut rules.over, at, new)
        }
        "deflection_rule" => ask.deflection(rules, at),
        "carry_rule" => {
            let what = f.must("what", SeamKind::from_word)?;
            let within = ask.positive("within")?;
            let new = |old: Option<&CarryRule>| {
                Ok(CarryRule {
                    what,
                    within,
                    source: ask.source()?,
                    edition: ask.edition(),
                    extra: kept(old, |o| &o.extra),
                })
            };
            list(&mut rules.carry, at, new)
        }
        "sheathing_rule" => {
            let (least, most_step, fixing) =
                (ask.positive("least")?, ask.positive("most_step")?, f.text("fixing"));
            rules.sheathing = if least.is_none() && most_step.is_none() && fixing.is_none() {
                None
            } else {
                let extra = kept(rules.sheathing.as_ref(), |o| &o.extra);
                Some(SheathingRule {
                    source: ask.source()?,
                    least,
                    most_step,
                    fixing,
                    edition: ask.edition(),
                    extra,
                })
            };
            Ok(())
        }
        _ => {
            rules.underlay = match f.choice("need", UnderlayNeed::from_word) {
                None if f.is_empty() => None,
                None => return Err(Problem::new("form.choose", "edit.fields.need")),
                Some(need) => Some(UnderlayRule {
                    need,
                    source: ask.source()?,
                    attached: f.yes("attached").unwrap_or(false),
                    most_thickness: ask.positive("most_thickness")?,
                    most_compression: ask.positive("most_compression")?,
                    edition: ask.edition(),
                    extra: kept(rules.underlay.as_ref(), |o| &o.extra),
                }),
            };
            Ok(())
        }
    }
}

/// Takes one out of a list of a product's rules.
pub(super) fn take_out(of: &str, at: &ItemId, rules: &mut BaseRules) -> Result<(), Problem> {
    let gone = match of {
        "over_rule" => remove(&mut rules.over, at),
        "deflection_rule" => remove(&mut rules.deflection, at),
        _ => remove(&mut rules.carry, at),
    };
    gone.ok_or_else(|| unknown("entry.unknown", "edit.id", at.as_str()))
}

/// An underlayment anew, or changed.
pub(super) fn underlayment(
    f: &Filled<'_>,
    job: &JobView,
    id: Option<&ItemId>,
    new: &ItemId,
) -> Result<Vec<Edit<JobEntry>>, Problem> {
    let ask = Ask { f };
    let name = f.text("name").ok_or_else(|| Problem::new("form.name", "edit.fields.name"))?;
    let thickness = f.positive("thickness")?;
    let compression = f.length("compression")?.as_ref().map(measure);
    let source = match (&thickness, &compression) {
        (None, None) => f.text("source").unwrap_or_default(),
        _ => ask.source()?,
    };
    let standing = match id {
        None => None,
        Some(id) => {
            let held = job.products.get(id).filter(|held| underlay(held).is_some());
            Some(held.ok_or_else(|| unknown("entry.unknown", "edit.id", id.as_str()))?)
        }
    };
    let old = standing.and_then(underlay);
    let said = Underlay {
        id: ProductId::new(id.unwrap_or(new).as_str()),
        name: name.clone(),
        thickness: thickness.as_ref().map(measure),
        compression,
        allowed: old.as_ref().map(|old| old.allowed.clone()).unwrap_or_default(),
        source,
        extra: kept(old.as_ref(), |old| &old.extra),
    };
    let base =
        standing.map_or_else(|| Product::named(name.clone(), Use::Underlay), |held| held.value.clone());
    let after = Product { name, thickness, demands: said.write(), ..base };
    Ok(match standing {
        None => vec![Edit::add(new, after)],
        Some(held) if held.value == after => Vec::new(),
        Some(held) => vec![Edit::change(&held.id, held.value.clone(), after)],
    })
}

/// The fields of a newer program that stand already.
fn kept<T>(old: Option<&T>, extra: impl Fn(&T) -> &Extra) -> Extra {
    old.map(|old| extra(old).clone()).unwrap_or_default()
}

fn place_in(at: &ItemId) -> Option<usize> {
    at.as_str().parse().ok()
}

fn list<T>(
    all: &mut Vec<T>,
    at: Option<&ItemId>,
    new: impl FnOnce(Option<&T>) -> Result<T, Problem>,
) -> Result<(), Problem> {
    match at {
        None => all.push(new(None)?),
        Some(at) => {
            let standing = place_in(at).and_then(|n| all.get_mut(n));
            let standing = standing.ok_or_else(|| unknown("entry.unknown", "edit.id", at.as_str()))?;
            *standing = new(Some(standing))?;
        }
    }
    Ok(())
}

fn remove<T>(all: &mut Vec<T>, at: &ItemId) -> Option<()> {
    let n = place_in(at).filter(|n| *n < all.len())?;
    all.remove(n);
    Some(())
}

struct Ask<'a> {
    f: &'a Filled<'a>,
}

impl Ask<'_> {
    fn source(&self) -> Result<String, Problem> {
        self.f.text("source").ok_or_else(|| Problem::new("rule.no_source", "edit.fields.source"))
    }

    fn edition(&self) -> Option<String> {
        self.f.text("edition")
    }

    fn number(&self, name: &str) -> Result<Option<f64>, Problem> {
        Ok(self.f.number(name)?.map(|n| n.to_f64()))
    }

    fn positive(&self, name: &str) -> Result<Option<Measure>, Problem> {
        Ok(self.f.positive(name)?.as_ref().map(measure))
    }

    fn deflection(&self, rules: &mut BaseRules, at: Option<&ItemId>) -> Result<(), Problem> {
        let ratio = self.number("ratio")?.filter(|n| *n > 0.0);
        let ratio = ratio.ok_or_else(|| Problem::new("form.ratio", "edit.fields.ratio"))?;
        let under = self.f.must("under", Under::from_word)?;
        let pounds = if under == Under::Point { self.number("pounds")? } else { None };
        let new = |old: Option<&DeflectionRule>| {
            let (source, edition) = (self.source()?, self.edition());
            Ok(DeflectionRule { ratio, under, pounds, source, edition, extra: kept(old, |o| &o.extra) })
        };
        list(&mut rules.deflection, at, new)
    }

    fn limits(&self, rules: &mut BaseRules) -> Result<(), Problem> {
        rules.floats = self.f.yes("floats");
        rules.weight_psf = self.number("weight_psf")?;
        let limits = MoistureLimits {
            source: String::new(),
            humidity_percent: self.number("humidity_percent")?,
            emission: self.number("emission")?,
            wood_percent: self.number("wood_percent")?,
            wood_difference: self.number("wood_difference")?,
            days: self.number("days")?,
            edition: None,
            extra: kept(rules.moisture.as_ref(), |o| &o.extra),
        };
        let figures = [
            limits.humidity_percent,
            limits.emission,
            limits.wood_percent,
            limits.wood_difference,
            limits.days,
        ];
        rules.moisture = if figures.iter().all(Option::is_none) {
            None
        } else {
            Some(MoistureLimits { source: self.source()?, edition: self.edition(), ..limits })
        };
        Ok(())
    }
}
