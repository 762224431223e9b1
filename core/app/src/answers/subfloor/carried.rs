//! Joists and sheathing: an aid that defers to an engineer or the code.

use super::Site;
use super::found::{Findings, Standing, Topic, exact_mm, figure, said_by};
use crate::Problem;
use crate::words::say as in_words;
use drylay_document::sheet::{DeflectionRule, FixtureKind, Measure, Structure, Under as SheetUnder};
use drylay_geometry::Length;
use drylay_survey::base::joists::{Joist, Loads, Under, allowed_mm};
use drylay_survey::base::published::{SIZES, TIMBER_SOURCE, TIMBERS};
use serde::Serialize;

/// The joists.
#[derive(Debug, Serialize)]
pub struct StructureAnswer {
    /// Clear span and half a bearing at each end, mm.
    pub design_span: f64,
    /// Modulus of elasticity, psi.
    pub e_psi: f64,
    /// Loads, pounds to the square foot.
    pub live_psf: f64,
    /// What lies there and stays.
    pub dead_psf: f64,
    /// What comes with the new floor.
    pub new_psf: f64,
    /// The product's limits.
    pub limits: Vec<LimitAnswer>,
    /// The greatest stress in bending, psi.
    pub stress_psi: f64,
    /// The bending value, psi.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fb_psi: Option<f64>,
    /// The longest clear span that keeps all limits and the bending value, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest_span: Option<f64>,
}

/// A limit of deflection.
#[derive(Debug, Serialize)]
pub struct LimitAnswer {
    /// `live`, `all` or `point`.
    pub under: &'static str,
    /// The n of L/n that is asked.
    pub ratio: f64,
    /// What is allowed, mm.
    pub allowed: f64,
    /// What the joist gives, mm.
    pub gives: f64,
    /// The n of L/n that this is; absent where nothing bends it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub n: Option<f64>,
    /// The same before the new floor's load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub n_before: Option<f64>,
    /// Whether it is held.
    pub held: bool,
    /// Where the limit stands.
    pub source: String,
}

/// The sheathing.
#[derive(Debug, Serialize)]
pub struct SheathingAnswer {
    /// Whether it keeps what is asked; absent while something is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub held: Option<bool>,
    /// Where that stands.
    pub source: String,
}

fn length(measure: Option<&Measure>) -> Option<Length> {
    measure.map(|m| m.length)
}

/// The joist, or what is not said of it.
fn joist(s: &Structure) -> Result<Joist, Vec<&'static str>> {
    let named = s.size.as_deref().and_then(|size| SIZES.iter().position(|(name, ..)| *name == size));
    let timber = s.species.as_deref().and_then(|id| TIMBERS.iter().find(|t| t.id == id));
    let width = length(s.width.as_ref()).or(named.map(|k| SIZES[k].1));
    let depth = length(s.depth.as_ref()).or(named.map(|k| SIZES[k].2));
    let e_psi = s.e_psi.or(timber.map(|t| t.e_psi));
    // Published bending values hold for the sizes they are printed for.
    let printed = timber.zip(named).filter(|_| s.width.is_none() && s.depth.is_none());
    let fb_psi = s.fb_psi.or(printed.map(|(t, k)| t.fb_psi[k])).filter(|fb| *fb > 0.0);
    let (span, spacing) = (length(s.span.as_ref()), length(s.spacing.as_ref()));
    let mut missing = Vec::new();
    let lengths = [("span", span), ("spacing", spacing), ("width", width), ("depth", depth)];
    missing.extend(lengths.iter().filter(|(_, l)| l.is_none()).map(|(name, _)| *name));
    if e_psi.is_none_or(|e| e <= 0.0) {
        missing.push("e_psi");
    }
    if s.live_psf.is_none() {
        missing.push("live_psf");
    }
    let bearing = length(s.bearing.as_ref()).unwrap_or(Length::ZERO);
    match (span, spacing, width, depth, e_psi) {
        (Some(span), Some(spacing), Some(width), Some(depth), Some(e_psi)) if missing.is_empty() => {
            Ok(Joist { span, bearing, spacing, width, depth, e_psi, fb_psi })
        }
        _ => Err(missing),
    }
}

fn under(rule: &DeflectionRule) -> Under {
    match rule.under {
        SheetUnder::Live => Under::Live,
        SheetUnder::All => Under::All,
        SheetUnder::Point => Under::Point(rule.pounds.unwrap_or(0.0)),
    }
}

pub(super) fn under_words(under: SheetUnder, pounds: Option<f64>) -> String {
    let pounds = figure(pounds.unwrap_or(0.0), 0);
    in_words(&format!("base.under.{}", under.word()), &[("n", &pounds)])
}

/// How the joists do.
pub(super) fn structure(site: &Site<'_>, findings: &mut Findings) -> Option<StructureAnswer> {
    let rules: &[DeflectionRule] = site.rules().map_or(&[], |rules| &rules.deflection);
    let said = site.base.structure.as_ref()?;
    let joist = match joist(said) {
        Ok(joist) => joist,
        // Sheathing alone says nothing of joists and asks nothing.
        Err(_) if said.span.is_none() && rules.is_empty() => return None,
        Err(missing) => {
            let what = |what: &&str| in_words(&format!("base.joist.{what}"), &[]);
            let missing: Vec<String> = missing.iter().map(what).collect();
            let says = Problem::new("base.joists_unsaid", format!("{}.base.structure", site.place));
            findings.note(
                (Topic::Structure, Standing::Unsure),
                "",
                says.with("what", missing.join(", ")),
                None,
            );
            return None;
        }
    };
    let new = said.new_psf.or_else(|| site.rules().and_then(|rules| rules.weight_psf)).unwrap_or(0.0);
    let loads = Loads { live: said.live_psf.unwrap_or(0.0), dead: said.dead_psf.unwrap_or(0.0), new };
    let held_to: Vec<(f64, Under)> = rules.iter().map(|r| (r.ratio, under(r))).collect();
    let limits: Vec<LimitAnswer> = rules.iter().map(|rule| limit(&joist, &loads, rule, findings)).collect();
    let answer = StructureAnswer {
        design_span: joist.design_span().mm(),
        e_psi: joist.e_psi,
        live_psf: loads.live,
        dead_psf: loads.dead,
        new_psf: loads.new,
        limits,
        stress_psi: joist.stress(&loads),
        fb_psi: joist.fb_psi,
        longest_span: joist.longest_span_mm(&held_to, &loads).filter(|mm| *mm > 0.0),
    };
    tell(site, &joist, &answer, findings);
    Some(answer)
}

fn limit(joist: &Joist, loads: &Loads, rule: &DeflectionRule, findings: &mut Findings) -> LimitAnswer {
    let given = joist.gives(under(rule), loads);
    let before = joist.gives(under(rule), &Loads { new: 0.0, ..*loads });
    let allowed = allowed_mm(joist.design_span().mm(), rule.ratio);
    let finite = |n: f64| Some(n).filter(|n| n.is_finite());
    let (held, source) = (given.ratio >= rule.ratio, said_by(&rule.source, rule.edition.as_ref()));
    let n = finite(given.ratio).map_or_else(|| "∞".to_owned(), |n| figure(n.floor(), 0));
    let says = Problem::new(if held { "base.joists_held" } else { "base.joists_over" }, "")
        .with("under", under_words(rule.under, rule.pounds))
        .with("gives", exact_mm(given.deflection_mm, findings.units))
        .with("n", n)
        .with("ratio", figure(rule.ratio, 1))
        .with("allowed", exact_mm(allowed, findings.units));
    findings.note((Topic::Structure, Standing::held(held)), "", says, source.clone());
    LimitAnswer {
        under: rule.under.word(),
        ratio: rule.ratio,
        allowed,
        gives: given.deflection_mm,
        n: finite(given.ratio),
        n_before: finite(before.ratio).filter(|_| loads.new > 0.0 && rule.under == SheetUnder::All),
        held,
        source,
    }
}

fn tell(site: &Site<'_>, joist: &Joist, answer: &StructureAnswer, findings: &mut Findings) {
    if answer.limits.is_empty() {
        let says = Problem::new("base.joists_unasked", "");
        findings.note((Topic::Structure, Standing::Unsure), "", says, None);
    }
    if let Some(fb) = answer.fb_psi {
        let held = answer.stress_psi <= fb;
        let says = Problem::new(if held { "base.bending_held" } else { "base.bending_over" }, "")
            .with("stress", figure(answer.stress_psi, 0))
            .with("allowed", figure(fb, 0));
        findings.note((Topic::Structure, Standing::held(held)), "", says, TIMBER_SOURCE.to_owned());
    }
    if let Some(longest) = answer.longest_span {
        let says = Problem::new("base.longest_span", "").with(
            "longest",
            super::exact(
                Length::from_mm_f64(longest).unwrap_or(joist.span).round_down_to(inch()),
                findings.units,
            ),
        );
        findings.note((Topic::Structure, Standing::Note), "", says, None);
    }
    for heavy in site.room.fixtures.iter().filter(|f| f.what == FixtureKind::Heavy) {
        let Some(psf) = heavy.psf else { continue };
        let says = Problem::new("base.heavy_load", "")
            .with("name", heavy.name.as_deref().unwrap_or(heavy.id.as_str()))
            .with("psf", figure(psf, 1));
        findings.note((Topic::Structure, Standing::Note), &heavy.id, says, None);
    }
    findings.note((Topic::Structure, Standing::Note), "", Problem::new("base.joists_aid", ""), None);
}

/// Spans are told to the whole inch, downwards.
fn inch() -> Length {
    Length::from_sixty_fourths(64)
}

/// Whether the sheathing is what the product asks.
pub(super) fn sheathing(site: &Site<'_>, findings: &mut Findings) -> Option<SheathingAnswer> {
    let rule = site.rules()?.sheathing.as_ref()?;
    let wood = site.base.structure.is_some()
        || site.base.layers.iter().any(|l| l.what == drylay_document::sheet::BaseKind::Wood);
    if !wood {
        return None;
    }
    let said = site.base.structure.as_ref();
    let source = said_by(&rule.source, rule.edition.as_ref());
    let (thick, step) =
        (said.and_then(|s| length(s.sheathing.as_ref())), said.and_then(|s| length(s.step.as_ref())));
    let units = findings.units;
    let mut held = Some(true);
    let mut hold = |found: Option<Length>, asked: Option<Length>, thin: bool| {
        let Some(asked) = asked else { return };
        let name = if thin { "sheathing" } else { "step" };
        let (standing, code) = match found {
            None => (Standing::Unsure, "base.sheathing_unsaid"),
            Some(found) if thin && found < asked => (Standing::Fail, "base.sheathing_thin"),
            Some(found) if !thin && found > asked => (Standing::Fail, "base.sheathing_step"),
            Some(_) => (Standing::Pass, "base.sheathing_held"),
        };
        held = match standing {
            Standing::Fail => Some(false),
            Standing::Unsure if held == Some(true) => None,
            _ => held,
        };
        let says = Problem::new(code, format!("{}.base.structure.{name}", site.place))
            .with("what", in_words(&format!("base.joist.{name}"), &[]))
            .with("found", found.map_or_else(String::new, |l| super::exact(l, units)))
            .with("asked", super::exact(asked, units));
        findings.note((Topic::Sheathing, standing), "", says, source.clone());
    };
    hold(thick, length(rule.least.as_ref()), true);
    hold(step, length(rule.most_step.as_ref()), false);
    if let Some(fixing) = &rule.fixing {
        let seen = said.and_then(|s| s.fixing.clone());
        let code = if seen.is_some() { "base.fixing_seen" } else { "base.fixing_unsaid" };
        let says = Problem::new(code, "").with("asked", fixing).with("seen", seen.unwrap_or_default());
        findings.note((Topic::Sheathing, Standing::Note), "", says, source.clone());
    }
    Some(SheathingAnswer { held, source })
}
