//! A floor's correction for the screens: what to do in which order, and what is needed for it.

use super::floor::{Viewer, fine, inches};
use super::floor_map;
use super::floor_points::label;
use crate::answers::floor_work::{Filling, primer_litres};
use crate::floors::Mended;
use crate::labels::letter;
use crate::wire::{CautionView, ChangeView, FloorCorrectionView, FloorPointView, NeedView, PatchView, Units};
use crate::words::say;
use drylay_document::BaseKind;
use drylay_document::sheet::Compound;
use drylay_survey::floor::dust;
use drylay_survey::floor::work::{Grind, Patch, Portions, Way, Work};

/// Changes below this are none, mm.
const NOTHING: f64 = 0.005;
const SQUARE_FEET_IN_M2: f64 = 1.0 / (0.3048 * 0.3048);

pub(super) fn correction(
    viewer: &Viewer<'_>,
    mended: &Mended,
    points: &[FloorPointView],
) -> FloorCorrectionView {
    let done = &mended.done;
    let nothing = done.fill.iter().chain(&done.grind).all(|d| *d < NOTHING);
    let work = mended.work.as_ref().filter(|_| !nothing);
    let maker = Maker { viewer, mended };
    let filled = done.fill_litres > 0.0;
    let ground = done.grind_litres > 0.0;
    FloorCorrectionView {
        words: maker.words(nothing),
        nothing,
        changes: maker.changes(points),
        map: floor_map::changes(viewer, &done.fill, &done.grind),
        patches: work.map(|(work, filling)| maker.patches(work, filling)).unwrap_or_default(),
        steps: work.map(|(work, filling)| maker.steps(work, filling)).unwrap_or_default(),
        needs: work.map(|(work, filling)| maker.needs(work, filling)).unwrap_or_default(),
        cautions: if nothing { Vec::new() } else { cautions(filled, ground) },
        no_compound: filled && work.is_none(),
    }
}

struct Maker<'a> {
    viewer: &'a Viewer<'a>,
    mended: &'a Mended,
}

fn litres(n: f64) -> String {
    let text = format!("{n:.1}");
    say("flat.litres", &[("n", &text)])
}

impl Maker<'_> {
    fn units(&self) -> Units {
        self.viewer.units
    }

    fn words(&self, nothing: bool) -> String {
        let done = &self.mended.done;
        if nothing {
            return say("flat.nothing_to_do", &[]);
        }
        let left = self.mended.work.as_ref().map_or(done.worst_after, |(work, _)| work.worst_after);
        let mut words = Vec::new();
        if done.fill_litres > 0.0 {
            words.push(say("flat.fill", &[("litres", &litres(done.fill_litres))]));
        }
        if done.grind_litres > 0.0 {
            words.push(say("flat.grind", &[("litres", &litres(done.grind_litres))]));
        }
        let margin = fine(self.units(), self.mended.job.margin);
        let code = if self.mended.job.margin > 0.0 { "flat.left_with_margin" } else { "flat.left" };
        words.push(say(code, &[("left", &fine(self.units(), left)), ("margin", &margin)]));
        words.join(" ")
    }

    /// A change is told to half a millimetre or a thirty-second of an inch: nobody trowels finer.
    fn change(&self, mm: f64) -> String {
        match self.units() {
            Units::Metric => format!("{:.1}", mm.abs()),
            Units::Imperial | Units::Inches => inches(mm.abs(), 32).trim_end_matches('"').to_owned(),
        }
    }

    fn changes(&self, points: &[FloorPointView]) -> Vec<ChangeView> {
        let done = &self.mended.done;
        let one = |k: usize| {
            let (fill, grind) = (done.fill[k], done.grind[k]);
            let point = points.iter().find(|p| p.id == self.viewer.now.read.name(k))?;
            let (sign, mm) = if fill > 0.0 { ("+", fill) } else { ("−", grind) };
            (mm > NOTHING).then(|| ChangeView {
                point: point.id.clone(),
                label: point.label.clone(),
                at: point.at,
                text: format!("{sign}{}", self.change(mm)),
            })
        };
        (0..done.fill.len()).filter_map(one).collect()
    }

    fn area(&self, m2: f64) -> String {
        match self.units() {
            Units::Metric => format!("{m2:.1} m²"),
            Units::Imperial | Units::Inches => format!("{:.0} sq ft", (m2 * SQUARE_FEET_IN_M2).max(1.0)),
        }
    }

    fn long(&self, mm: f64) -> String {
        self.units().known(mm, 20.0)
    }

    fn names(&self, points: &[usize]) -> String {
        let name = |&k: &usize| label(self.viewer, self.viewer.now.read.name(k));
        points.iter().map(name).collect::<Vec<_>>().join(", ")
    }

    /// The middle of a part: where its letter stands.
    fn middle(&self, points: &[usize]) -> [f64; 2] {
        let places = self.viewer.now.read.places();
        let n = points.len().max(1) as f64;
        let sum = points.iter().map(|&k| places[k]).fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
        [sum.0 / n, sum.1 / n]
    }

    fn patches(&self, work: &Work, filling: &Filling) -> Vec<PatchView> {
        let filled = work.patches.iter().enumerate().map(|(n, p)| self.patch(n, p, filling));
        let first = work.patches.len();
        let ground = work.grinds.iter().enumerate().map(|(n, g)| self.grind(first + n, g));
        filled.chain(ground).collect()
    }

    fn patch(&self, n: usize, patch: &Patch, filling: &Filling) -> PatchView {
        let [thin, thick] = patch.thickness.map(|mm| fine(self.units(), mm));
        let total = litres(patch.litres + patch.rim_litres);
        let (code, way) = match patch.way {
            Way::Pour => ("flat.patch_poured", "pour"),
            Way::Trowel => ("flat.patch_trowelled", "trowel"),
        };
        let level = patch.level.map_or_else(String::new, |z| fine(self.units(), -z));
        let params = [
            ("area", self.area(patch.area_m2)),
            ("litres", total),
            ("thin", thin),
            ("thick", thick),
            ("level", level),
            ("points", self.names(&patch.points)),
        ];
        let params: Vec<(&str, &str)> = params.iter().map(|(k, v)| (*k, v.as_str())).collect();
        PatchView {
            letter: letter(n),
            way: way.to_owned(),
            words: say(code, &params),
            notes: self.notes(patch, filling.of(patch.way)),
            at: self.middle(&patch.points),
            dams: patch.dams.iter().map(|d| d.map(|(x, y)| [x, y])).collect(),
        }
    }

    fn notes(&self, patch: &Patch, compound: Option<&Compound>) -> Vec<String> {
        let mut notes = Vec::new();
        if patch.layers > 1 {
            let most = compound.map_or_else(String::new, |c| fine(self.units(), c.most.mm()));
            notes.push(say("flat.layers", &[("n", &patch.layers.to_string()), ("most", &most)]));
        }
        if patch.too_thin {
            let least = compound.and_then(|c| c.least.as_ref()).map_or(0.0, |m| m.mm());
            notes.push(say("flat.too_thin", &[("least", &fine(self.units(), least))]));
        }
        if let Some(left) = patch.poured_would_leave {
            notes.push(say("flat.not_poured", &[("left", &fine(self.units(), left))]));
        }
        if patch.dam_length > 0.0 {
            notes.push(say("flat.dam", &[("long", &self.long(patch.dam_length))]));
        }
        if patch.foam_length > 0.0 && patch.way == Way::Pour {
            notes.push(say("flat.foam", &[("long", &self.long(patch.foam_length))]));
        }
        notes
    }

    fn grind(&self, n: usize, grind: &Grind) -> PatchView {
        let params = [
            ("area", self.area(grind.area_m2)),
            ("deep", fine(self.units(), grind.deepest)),
            ("points", self.names(&grind.points)),
        ];
        let params: Vec<(&str, &str)> = params.iter().map(|(k, v)| (*k, v.as_str())).collect();
        PatchView {
            letter: letter(n),
            way: "grind".to_owned(),
            words: say("flat.patch_ground", &params),
            notes: Vec::new(),
            at: self.middle(&grind.points),
            dams: Vec::new(),
        }
    }

    /// The work in order: grind, clean and prime, trowel, dam, pour, wait, read again.
    fn steps(&self, work: &Work, filling: &Filling) -> Vec<String> {
        let has = |way| work.patches.iter().any(|p| p.way == way);
        let mut steps = Vec::new();
        if !work.grinds.is_empty() {
            steps.push(say("flat.step.grind", &[]));
        }
        if !work.patches.is_empty() {
            let hours = work.patches.iter().filter_map(|p| filling.of(p.way)?.primer.as_ref()?.hours);
            let hours = hours.fold(0.0, f64::max);
            let code = if hours > 0.0 { "flat.step.prime_wait" } else { "flat.step.prime" };
            steps.push(say(code, &[("area", &self.area(work.primed_m2)), ("hours", &hours_text(hours))]));
        }
        steps.extend(self.wood(work, filling));
        if has(Way::Trowel) {
            steps.push(say("flat.step.trowel", &[]));
        }
        let dams = work.patches.iter().map(|p| p.dam_length).sum::<f64>();
        if has(Way::Pour) {
            let code = if dams > 0.0 { "flat.step.foam_dam" } else { "flat.step.foam" };
            steps.push(say(code, &[("dams", &self.long(dams))]));
        }
        steps.extend(work.pour.as_ref().and_then(|p| self.pour(p, filling)));
        let compounds = || work.patches.iter().filter_map(|p| filling.of(p.way));
        let walk = compounds().filter_map(|c| c.walk_hours).fold(0.0, f64::max);
        let cover = compounds().filter_map(|c| c.cover_hours).fold(0.0, f64::max);
        if walk > 0.0 || cover > 0.0 {
            steps.push(say("flat.step.wait", &[("walk", &hours_text(walk)), ("cover", &hours_text(cover))]));
        }
        steps.push(say("flat.step.read_again", &[]));
        steps
    }

    /// What is asked over wood, unless the base is known to be something else.
    fn wood(&self, work: &Work, filling: &Filling) -> Option<String> {
        let base = self.viewer.seen.view.base.live.iter().min_by_key(|held| held.value.layer);
        let known = base.map(|held| held.value.what);
        if known.is_some_and(|what| what != BaseKind::Wood) {
            return None;
        }
        let of = |p: &Patch| filling.of(p.way)?.over_wood.as_ref();
        let asked = work.patches.iter().find_map(of)?;
        let least =
            asked.least.as_ref().map(|m| say("flat.at_least", &[("least", &fine(self.units(), m.mm()))]));
        let needs = [Some(asked.needs.clone()).filter(|t| !t.is_empty()), least];
        let needs = needs.into_iter().flatten().collect::<Vec<_>>().join(", ");
        let code = if known.is_some() { "flat.step.over_wood" } else { "flat.step.if_wood" };
        Some(say(code, &[("needs", &needs)]))
    }

    fn pour(&self, pour: &Portions, filling: &Filling) -> Option<String> {
        let compound = filling.pour.as_ref()?;
        let mixers = self.viewer.now.read.rates.as_ref().and_then(|c| c.mixers).unwrap_or(1);
        let (n, mixers) = (pour.portions.to_string(), mixers.to_string());
        let pot = format!("{:.0}", compound.pot_life_minutes);
        let params = [("n", n.as_str()), ("once", &litres(pour.at_once)), ("pot", &pot), ("mixers", &mixers)];
        Some(match pour.portions {
            1 => say("flat.step.pour_once", &params),
            _ => say("flat.step.pour", &params),
        })
    }

    fn needs(&self, work: &Work, filling: &Filling) -> Vec<NeedView> {
        let compound = |(way, portions): (Way, Option<Portions>)| {
            let (portions, compound) = portions.zip(filling.of(way))?;
            let (bags, bag) = (portions.bags.to_string(), litres(compound.bag_litres));
            Some(NeedView {
                name: compound.name.clone(),
                text: say(if portions.bags == 1 { "flat.bag" } else { "flat.bags" }, &[("n", &bags)]),
                from: say("flat.bags_from", &[("litres", &litres(portions.litres)), ("bag", &bag)]),
            })
        };
        let mut needs: Vec<NeedView> =
            [(Way::Pour, work.pour), (Way::Trowel, work.trowel)].into_iter().filter_map(compound).collect();
        if let Some(primer) = primer_litres(work, filling) {
            needs.push(NeedView {
                name: say("flat.primer", &[]),
                text: litres(primer),
                from: say("flat.primer_from", &[("area", &self.area(work.primed_m2))]),
            });
        }
        let sum =
            |of: fn(&Patch) -> f64| work.patches.iter().filter(|p| p.way == Way::Pour).map(of).sum::<f64>();
        let length = |code: &str, mm: f64| {
            (mm > 0.0).then(|| NeedView {
                name: say(code, &[]),
                text: self.long(mm),
                from: say("flat.along_pours", &[]),
            })
        };
        needs.extend(length("flat.perimeter_foam", sum(|p| p.foam_length)));
        needs.extend(length("flat.dams", sum(|p| p.dam_length)));
        needs
    }
}

fn hours_text(hours: f64) -> String {
    let text = format!("{hours:.1}");
    text.trim_end_matches(".0").to_owned()
}

/// The usual cautions before a floor is ground or filled. They compute nothing: a licensed person decides.
fn cautions(filled: bool, ground: bool) -> Vec<CautionView> {
    let mut all = Vec::new();
    let mut add = |code: &str, params: &[(&str, &str)], source: &str| {
        all.push(CautionView { words: say(code, params), source: source.to_owned() });
    };
    if ground {
        for rule in dust::rules() {
            let filter = format!("{:.0}", rule.filter_percent);
            let air = rule.cfm_per_inch.map(|cfm| format!("{cfm:.0}")).unwrap_or_default();
            let (hours, factor) = rule.breathing.unwrap_or_default();
            let (hours, factor) = (format!("{hours:.0}"), factor.to_string());
            let params = [("filter", filter.as_str()), ("cfm", &air), ("hours", &hours), ("factor", &factor)];
            let code = match rule.grinder {
                dust::Grinder::Handheld => "flat.caution.hand_grinder",
                dust::Grinder::WalkBehind => "flat.caution.floor_grinder",
            };
            add(code, &params, rule.source);
        }
        add("flat.caution.asbestos", &[], "29 CFR 1926.1101(k); 40 CFR 745.83");
        add("flat.caution.in_the_slab", &[], &say("flat.caution.practice", &[]));
    }
    if filled {
        add("flat.caution.compound", &[], &say("flat.caution.practice", &[]));
    }
    all
}
