//! What lies there, hazards before work, joints and cracks, heavy things, underlayment.

use super::Site;
use super::found::{Findings, Standing, Topic, exact, practice, said_by};
use crate::Problem;
use crate::answers::rooms::point;
use crate::words::say as in_words;
use drylay_document::sheet::{
    BaseKind, BaseWork, CarryRule, FixtureKind, HazardKind, HazardKnown, MoistureMethod, OverRule, StandsOn,
    UnderlayNeed,
};
use drylay_geometry::Length;
use drylay_survey::base::hazards::{self, Asked, Hazard, Known, Stand, Work};
use drylay_survey::base::load::{Pinning, Stands, pinning};
use drylay_survey::base::lying::{Fate, Kind, Layer, fates};
use drylay_survey::base::underlay::{Chosen, Fault, Need, Rule, faults};
use serde::Serialize;

/// A layer of what lies there.
#[derive(Debug, Serialize)]
pub struct LayerAnswer {
    /// What it is.
    pub what: &'static str,
    /// `stays`, `comes_up`, `mend_first`, `look` or `ask`.
    pub fate: &'static str,
}

/// A joint or crack.
#[derive(Debug, Serialize)]
pub struct SeamAnswer {
    /// Its name.
    pub id: String,
    /// Whether the product carries it through as a movement joint; absent where it does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carry: Option<bool>,
    /// Where that stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

/// A heavy thing.
#[derive(Debug, Serialize)]
pub struct HeavyAnswer {
    /// Its name.
    pub id: String,
    /// `free`, `pins`, `not_drawn` or `say`.
    pub pinning: &'static str,
}

/// A hazard that must be settled before work.
#[derive(Debug, Serialize)]
pub struct HazardAnswer {
    /// Which.
    pub hazard: &'static str,
    /// `clear`, `present`, `presumed`, `suspected` or `by_the_work`.
    pub stand: &'static str,
    /// The work that waits for it.
    pub work: Vec<&'static str>,
    /// Whether that work may not begin as things stand.
    pub holds_up: bool,
    /// Where it is ruled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<&'static str>,
}

/// The underlayment.
#[derive(Debug, Serialize)]
pub struct UnderlayAnswer {
    /// Which is chosen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// `missing`, `forbidden`, `doubled`, `not_for_this`, `too_thick`, `too_soft` or `unsaid`.
    pub faults: Vec<&'static str>,
}

const KINDS: [(BaseKind, Kind); 10] = [
    (BaseKind::SlabOnGrade, Kind::SlabOnGrade),
    (BaseKind::SuspendedSlab, Kind::SuspendedSlab),
    (BaseKind::Wood, Kind::Wood),
    (BaseKind::Tile, Kind::Tile),
    (BaseKind::FixedVinyl, Kind::FixedVinyl),
    (BaseKind::CushionedVinyl, Kind::CushionedVinyl),
    (BaseKind::Floating, Kind::Floating),
    (BaseKind::Carpet, Kind::Carpet),
    (BaseKind::Underlay, Kind::Underlay),
    (BaseKind::Other, Kind::Other),
];

fn kind(of: BaseKind) -> Kind {
    KINDS.iter().find(|(sheet, _)| *sheet == of).map_or(Kind::Other, |(_, kind)| *kind)
}

fn fate_word(fate: Fate) -> &'static str {
    match fate {
        Fate::Stays => "stays",
        Fate::ComesUp => "comes_up",
        Fate::MendFirst => "mend_first",
        Fate::Look => "look",
        Fate::Ask => "ask",
    }
}

/// What becomes of what lies there.
pub(super) fn layers(site: &Site<'_>, findings: &mut Findings) -> Vec<LayerAnswer> {
    let over: &[OverRule] = site.rules().map_or(&[], |rules| &rules.over);
    let rule = |of: Kind| over.iter().find(|rule| kind(rule.what) == of);
    let seen: Vec<Layer> =
        site.base.layers.iter().map(|l| Layer { kind: kind(l.what), sound: l.sound }).collect();
    let found = fates(&seen, |of| rule(of).map(|rule| rule.may));
    for (n, (layer, fate)) in (1..).zip(site.base.layers.iter().zip(&found)) {
        let (code, standing) = match fate {
            Fate::Stays => ("base.layer_stays", Standing::Pass),
            Fate::ComesUp => ("base.layer_comes_up", Standing::Fail),
            Fate::MendFirst => ("base.layer_mend_first", Standing::Fail),
            Fate::Look => ("base.layer_look", Standing::Unsure),
            Fate::Ask => ("base.layer_ask", Standing::Unsure),
        };
        let what = in_words(&format!("base.kind.{}", layer.what.word()), &[]);
        let source = rule(kind(layer.what)).map(|rule| said_by(&rule.source, rule.edition.as_ref()));
        let says = Problem::new(code, format!("{}.base.layers[{}]", site.place, n - 1)).with("what", what);
        findings.note((Topic::Layer, standing), n, says, source.or_else(practice));
    }
    if site.base.layers.is_empty() && site.product.is_some() {
        let says = Problem::new("base.nothing_lies", format!("{}.base.layers", site.place));
        findings.note((Topic::Layer, Standing::Unsure), "", says, practice());
    }
    let answer = |(layer, fate): (&drylay_document::sheet::Layer, &Fate)| LayerAnswer {
        what: layer.what.word(),
        fate: fate_word(*fate),
    };
    site.base.layers.iter().zip(&found).map(answer).collect()
}

const WORKS: [(BaseWork, Work); 7] = [
    (BaseWork::Remove, Work::Remove),
    (BaseWork::Sand, Work::Sand),
    (BaseWork::Undercut, Work::Undercut),
    (BaseWork::Grind, Work::Grind),
    (BaseWork::Chip, Work::Chip),
    (BaseWork::Drill, Work::Drill),
    (BaseWork::Fasten, Work::Fasten),
];

/// The work that is planned: what people said, and what follows from the rest.
pub(super) fn work(site: &Site<'_>, layers: &[LayerAnswer], undercuts: bool) -> Vec<Work> {
    let said = site.base.work.iter().filter_map(|w| WORKS.iter().find(|(sheet, _)| sheet == w));
    let mut work: Vec<Work> = said.map(|(_, work)| *work).collect();
    let up: Vec<&str> = layers.iter().filter(|l| l.fate == "comes_up").map(|l| l.what).collect();
    let grinds = site.room.level.as_ref().and_then(|l| l.correction.as_ref()).is_some_and(|c| c.grind);
    let drills = site.base.moisture.iter().any(|t| t.method == MoistureMethod::InSitu);
    let follows = [
        (Work::Remove, !up.is_empty()),
        (Work::Chip, up.contains(&BaseKind::Tile.word())),
        (Work::Grind, grinds),
        (Work::Drill, drills),
        (Work::Undercut, undercuts),
    ];
    work.extend(follows.iter().filter(|(_, follows)| *follows).map(|(work, _)| *work));
    work.sort_unstable();
    work.dedup();
    work
}

const HAZARDS: [(HazardKind, Hazard); 5] = [
    (HazardKind::Asbestos, Hazard::Asbestos),
    (HazardKind::Lead, Hazard::Lead),
    (HazardKind::Silica, Hazard::Silica),
    (HazardKind::Heating, Hazard::Heating),
    (HazardKind::PostTension, Hazard::PostTension),
];

fn known(known: HazardKnown) -> Known {
    match known {
        HazardKnown::Absent => Known::Absent,
        HazardKnown::Present => Known::Present,
        HazardKnown::Suspected => Known::Suspected,
        HazardKnown::Unknown => Known::Unknown,
    }
}

fn stand_word(stand: Stand) -> &'static str {
    match stand {
        Stand::Clear => "clear",
        Stand::Present => "present",
        Stand::Presumed => "presumed",
        Stand::Suspected => "suspected",
        Stand::ByTheWork => "by_the_work",
    }
}

/// What must be settled before the planned work.
pub(super) fn hazards(site: &Site<'_>, work: Vec<Work>, findings: &mut Findings) -> Vec<HazardAnswer> {
    let answers = site.base.hazards.iter().filter_map(|answer| {
        let hazard = HAZARDS.iter().find(|(sheet, _)| *sheet == answer.hazard)?.1;
        Some((hazard, known(answer.known), answer.basis.is_some()))
    });
    let slab = site.base.slab.is_some()
        || site.base.layers.iter().any(|l| matches!(l.what, BaseKind::SlabOnGrade | BaseKind::SuspendedSlab));
    let asked = hazards::asked(&hazards::Site {
        built: site.sheet.job.built,
        work,
        answers: answers.collect(),
        slab,
    });
    asked.iter().map(|asked| hazard(asked, site.sheet.job.built, findings)).collect()
}

fn hazard(asked: &Asked, built: Option<u32>, findings: &mut Findings) -> HazardAnswer {
    let word = HAZARDS.iter().find(|(_, h)| *h == asked.hazard).map_or("", |(sheet, _)| sheet.word());
    let works: Vec<&'static str> = asked
        .work
        .iter()
        .filter_map(|w| WORKS.iter().find(|(_, work)| work == w))
        .map(|(sheet, _)| sheet.word())
        .collect();
    let (code, standing) = match asked.stand {
        Stand::Clear => ("base.hazard_clear".to_owned(), Standing::Pass),
        Stand::Present => ("base.hazard_present".to_owned(), Standing::Stop),
        Stand::ByTheWork => (format!("base.hazard_{word}"), Standing::Note),
        Stand::Presumed | Stand::Suspected => (format!("base.hazard_{word}"), Standing::Stop),
    };
    let why = match (asked.stand, built) {
        (Stand::Presumed, Some(year)) => in_words("base.why.built", &[("year", &year.to_string())]),
        (Stand::Presumed, None) => in_words("base.why.unknown", &[]),
        _ => in_words("base.why.untested", &[]),
    };
    let names: Vec<String> = works.iter().map(|w| in_words(&format!("base.work.{w}"), &[])).collect();
    let says = Problem::new(&code, "")
        .with("what", in_words(&format!("base.hazard.{word}"), &[]))
        .with("work", names.join(", "))
        .with("why", why);
    let source = asked.hazard.source().map(str::to_owned).or_else(practice);
    findings.note((Topic::Hazard, standing), word, says, source);
    HazardAnswer {
        hazard: word,
        stand: stand_word(asked.stand),
        work: works,
        holds_up: asked.holds_up(),
        source: asked.hazard.source(),
    }
}

/// Which joints and cracks the floor must carry through.
pub(super) fn seams(site: &Site<'_>, findings: &mut Findings) -> Vec<SeamAnswer> {
    let carry: &[CarryRule] = site.rules().map_or(&[], |rules| &rules.carry);
    let mut answers = Vec::new();
    for (n, seam) in site.base.seams.iter().enumerate() {
        let rule = carry.iter().find(|rule| rule.what == seam.what);
        let source = rule.map(|rule| said_by(&rule.source, rule.edition.as_ref()));
        let place = format!("{}.base.seams[{n}]", site.place);
        let what = in_words(&format!("base.seam.{}", seam.what.word()), &[]);
        let (code, standing) = match rule {
            Some(_) => ("base.seam_carry", Standing::Note),
            None if carry.is_empty() => ("base.seam_unasked", Standing::Unsure),
            None => ("base.seam_over", Standing::Pass),
        };
        let says = Problem::new(code, place.as_str()).with("what", &what).with("id", &seam.id);
        findings.note((Topic::Seam, standing), &seam.id, says, source.clone());
        if let Some(step) = seam.step.as_ref().filter(|step| step.length > Length::ZERO) {
            let says = Problem::new("base.seam_step", place)
                .with("what", what)
                .with("id", &seam.id)
                .with("step", exact(step.length, findings.units));
            findings.note((Topic::Seam, Standing::Fail), &seam.id, says, practice());
        }
        let carried = (!carry.is_empty()).then_some(rule.is_some());
        answers.push(SeamAnswer { id: seam.id.to_string(), carry: carried, source });
    }
    answers
}

/// Whether heavy things pin the floor.
pub(super) fn heavy(site: &Site<'_>, findings: &mut Findings) -> Vec<HeavyAnswer> {
    let mut answers = Vec::new();
    let things = site.room.fixtures.iter().enumerate().filter(|(_, f)| f.what == FixtureKind::Heavy);
    for (n, thing) in things {
        let stands = match thing.stands {
            Some(StandsOn::Base) => Stands::OnBase,
            Some(StandsOn::Floor) => Stands::OnFloor,
            None => Stands::Unsaid,
        };
        let drawn = thing.at.as_ref().is_some_and(|at| site.is_kept_off(point(at)));
        let (code, word, standing) = match pinning(site.floats(), stands, drawn) {
            Pinning::Free => ("base.heavy_free", "free", Standing::Pass),
            Pinning::Pins => ("base.heavy_pins", "pins", Standing::Fail),
            Pinning::NotDrawn => ("base.heavy_not_drawn", "not_drawn", Standing::Unsure),
            Pinning::Say => ("base.heavy_say", "say", Standing::Unsure),
        };
        let says = Problem::new(code, format!("{}.fixtures[{n}]", site.place))
            .with("name", thing.name.as_deref().unwrap_or(thing.id.as_str()));
        findings.note((Topic::Heavy, standing), &thing.id, says, practice());
        answers.push(HeavyAnswer { id: thing.id.to_string(), pinning: word });
    }
    answers
}

fn fault_word(fault: &Fault) -> &'static str {
    match fault {
        Fault::Missing => "missing",
        Fault::Forbidden => "forbidden",
        Fault::Doubled => "doubled",
        Fault::NotForThis => "not_for_this",
        Fault::TooThick(..) => "too_thick",
        Fault::TooSoft(..) => "too_soft",
        Fault::Unsaid => "unsaid",
    }
}

/// Whether the underlayment is what the product asks.
pub(super) fn underlay(
    site: &Site<'_>,
    layers: &[LayerAnswer],
    findings: &mut Findings,
) -> Option<UnderlayAnswer> {
    let (product, asked) = (site.product?, site.rules().and_then(|rules| rules.underlay.as_ref()));
    if asked.is_none() && site.underlay.is_none() {
        return None;
    }
    let length = |m: &Option<drylay_document::sheet::Measure>| m.as_ref().map(|m| m.length);
    let rule = asked.map(|r| Rule {
        need: match r.need {
            UnderlayNeed::Required => Need::Required,
            UnderlayNeed::Allowed => Need::Allowed,
            UnderlayNeed::Forbidden => Need::Forbidden,
        },
        attached: r.attached,
        most_thickness: length(&r.most_thickness),
        most_compression: length(&r.most_compression),
    });
    let chosen = site.underlay.map(|u| Chosen {
        thickness: length(&u.thickness),
        compression: length(&u.compression),
        not_for_this: !u.allowed.is_empty() && !u.allowed.contains(&product.id),
    });
    let stays = |l: &LayerAnswer| l.what == BaseKind::Underlay.word() && l.fate != "comes_up";
    let found = faults(rule.as_ref(), chosen.as_ref(), layers.iter().any(stays));
    let source = asked.map(|r| said_by(&r.source, r.edition.as_ref())).or_else(practice);
    let name = site.underlay.map_or("", |u| if u.name.is_empty() { u.id.as_str() } else { &u.name });
    let units = findings.units;
    for fault in &found {
        let (is, most) = match fault {
            Fault::TooThick(is, most) | Fault::TooSoft(is, most) => (exact(*is, units), exact(*most, units)),
            _ => (String::new(), String::new()),
        };
        let standing = if *fault == Fault::Unsaid { Standing::Unsure } else { Standing::Fail };
        let says = Problem::new(&format!("base.underlay_{}", fault_word(fault)), "")
            .with("name", name)
            .with("found", is)
            .with("most", most);
        findings.note((Topic::Underlay, standing), "", says, source.clone());
    }
    if found.is_empty() {
        let code = if site.underlay.is_some() { "base.underlay_held" } else { "base.underlay_none" };
        let says = Problem::new(code, "").with("name", name);
        findings.note((Topic::Underlay, Standing::Pass), "", says, source);
    }
    let faults = found.iter().map(fault_word).collect();
    Some(UnderlayAnswer { id: site.underlay.map(|u| u.id.to_string()), faults })
}
