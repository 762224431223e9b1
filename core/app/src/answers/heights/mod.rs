//! `drylay heights`: the heights of the whole house. The stack of each floor against the floor next door, doors and
//! jambs to cut, things at a height, and which of them limits the stack, before anything is promised.

mod answer;

pub use answer::{
    DoorHeights, FixtureHeights, HeightsAnswer, LimitOfStack, OpeningHeights, RoomHeights, StackPart,
};

use super::rooms::resolve;
use super::subfloor::{Findings, Site, Standing, Topic, exact};
use super::{Answer, show_mm};
use crate::Problem;
use crate::words::say as in_words;
use drylay_document::sheet::{self, FixtureKind, NextFloor, Opening, Sheet, Units};
use drylay_geometry::Length;
use drylay_survey::base::heights::{
    Beyond, Door, Fixture, Over, Transition, over, stem_gap, tight_ramp, transition,
};
use drylay_survey::base::published::{LEVEL_CHANGE_SOURCE, RATED_DOOR_SOURCE};

/// Answers `drylay heights`.
///
/// # Errors
/// Everything that is wrong with the sheet.
pub fn heights(sheet: &Sheet) -> Answer<HeightsAnswer> {
    let resolved = resolve(sheet)?;
    let rooms = (0..sheet.rooms.len()).map(|at| Site::of(sheet, at, resolved.get(at)));
    let rooms = rooms.filter(|site| site.area.is_some());
    Ok(HeightsAnswer { rooms: rooms.map(|site| of_site(&site)).collect() })
}

/// A part of a stack: its name, and its thickness where known.
type Part = (String, Option<Length>);

/// What a floor is made of, from the bottom, with what of it is known.
fn parts(site: &Site<'_>) -> Vec<Part> {
    let length = |m: &Option<sheet::Measure>| m.as_ref().map(|m| m.length);
    let built = site.base.build_up.iter().map(|b| (b.name.clone(), Some(b.thickness.length)));
    let under = site
        .underlay
        .map(|u| (if u.name.is_empty() { u.id.to_string() } else { u.name.clone() }, length(&u.thickness)));
    let product = site
        .product
        .map(|p| (if p.name.is_empty() { p.id.to_string() } else { p.name.clone() }, length(&p.thickness)));
    built.chain(under).chain(product).collect()
}

/// Height of the finished floor above the base.
pub(crate) fn stack(site: &Site<'_>) -> Option<Length> {
    site.product?;
    parts(site).into_iter().map(|(_, thickness)| thickness).sum()
}

/// Whether jambs, casing or doors are cut: paint and plaster are disturbed then. A floor runs under the jambs of every
/// opening.
pub(crate) fn undercuts(site: &Site<'_>) -> bool {
    site.product.is_some() && !site.room.openings.is_empty()
}

fn as_door(door: &sheet::Door) -> Door {
    Door {
        clearance: door.clearance.length,
        gap: door.gap.as_ref().map_or(Length::ZERO, |g| g.length),
        rated: door.rated,
        stays: door.stays,
    }
}

/// The heights of one room.
pub(crate) fn of_site(site: &Site<'_>) -> RoomHeights {
    let mut findings = Findings::new(site.sheet.units);
    let stack = stack(site);
    let made_of = parts(site);
    tell_stack(&made_of, stack, &mut findings);
    let openings = (0..site.room.openings.len()).map(|at| opening(site, at, stack, &mut findings)).collect();
    let mut limits: Vec<(Topic, String, Length)> = Vec::new();
    for o in &site.room.openings {
        let limit = o.door.as_ref().and_then(|door| as_door(door).limit());
        limits.extend(limit.map(|most| (Topic::Door, o.id.to_string(), most)));
    }
    let mut fixtures = Vec::new();
    for (at, thing) in site.room.fixtures.iter().enumerate().filter(|(_, f)| f.what != FixtureKind::Heavy) {
        let Some(known) = as_fixture(thing) else {
            let says =
                Problem::new("heights.fixture_unsaid", format!("{}.fixtures[{at}].height", site.place));
            findings.note(
                (Topic::Fixture, Standing::Unsure),
                &thing.id,
                says.with("name", name_of(thing)),
                None,
            );
            continue;
        };
        limits.extend(known.limit().map(|most| (Topic::Fixture, thing.id.to_string(), most)));
        fixtures.extend(stack.map(|stack| fixture(thing, &known, stack, &mut findings)));
    }
    let limit = tell_limit(site, limits, stack, &mut findings);
    let (verdict, findings) = findings.sorted();
    RoomHeights {
        id: site.room.id.to_string(),
        verdict,
        stack: stack.map(Length::mm),
        parts: made_of
            .into_iter()
            .map(|(name, thickness)| StackPart { name, thickness: thickness.map(Length::mm) })
            .collect(),
        openings,
        fixtures,
        limit,
        findings,
    }
}

fn tell_stack(parts: &[Part], stack: Option<Length>, findings: &mut Findings) {
    let names = |with: &dyn Fn(&Part) -> Option<String>| {
        parts.iter().filter_map(with).collect::<Vec<String>>().join(", ")
    };
    let units = findings.units;
    match stack {
        Some(stack) => {
            let of = names(&|(name, t)| Some(format!("{} {name}", exact((*t)?, units))));
            let says = Problem::new("heights.stack", "").with("stack", exact(stack, units)).with("parts", of);
            findings.note((Topic::Stack, Standing::Note), "", says, None);
        }
        None => {
            let of = names(&|(name, t)| t.is_none().then(|| name.clone()));
            let says = Problem::new("heights.no_stack", "").with("parts", of);
            findings.note((Topic::Stack, Standing::Unsure), "", says, None);
        }
    }
}

/// The floor on the other side: what it is, and how high above this room's base.
fn beyond(site: &Site<'_>, opening: &Opening) -> Option<(Beyond, Option<Length>)> {
    let next = opening.next.as_ref();
    let base = next.and_then(|n| n.base.as_ref()).map(|b| b.length);
    if let Some(there) = through(site, opening) {
        let step = base.or_else(|| there.step_back(site, opening)).unwrap_or(Length::ZERO);
        let same = there.area.map(|a| &a.id) == site.area.map(|a| &a.id);
        let height = stack(&there).map(|stack| stack + step);
        if same {
            return Some((Beyond::SameField, height));
        }
        if there.area.is_some() {
            return Some((Beyond::Hard, height));
        }
    }
    let next = next?;
    let kind = match next.floor {
        NextFloor::Hard => Beyond::Hard,
        NextFloor::Carpet => Beyond::Carpet,
        NextFloor::None => Beyond::Nothing,
    };
    Some((kind, next.height.as_ref().map(|h| h.length)))
}

/// The room on the other side of a passage.
fn through<'a>(site: &Site<'a>, opening: &Opening) -> Option<Site<'a>> {
    let (room, _) = other_side(site, opening)?;
    let at = site.sheet.rooms.iter().position(|r| r.id.as_str() == room)?;
    Some(Site::of(site.sheet, at, None))
}

/// Room and opening on the other side of a passage.
fn other_side<'a>(site: &Site<'a>, opening: &Opening) -> Option<(&'a str, &'a str)> {
    let here = |end: &[String; 2]| end[0] == site.room.id.as_str() && end[1] == opening.id.as_str();
    site.sheet.passages.iter().find_map(|p| {
        let end = if here(&p.a) {
            &p.b
        } else if here(&p.b) {
            &p.a
        } else {
            return None;
        };
        Some((end[0].as_str(), end[1].as_str()))
    })
}

impl Site<'_> {
    /// The step between two bases, where only the other side says it.
    fn step_back(&self, from: &Site<'_>, opening: &Opening) -> Option<Length> {
        let (_, there) = other_side(from, opening)?;
        let opening = self.room.openings.iter().find(|o| o.id.as_str() == there)?;
        Some(-opening.next.as_ref()?.base.as_ref()?.length)
    }
}

fn transition_word(transition: Transition) -> &'static str {
    match transition {
        Transition::RunsThrough => "runs_through",
        Transition::TStrip => "t_strip",
        Transition::ButtCarpet => "butt_carpet",
        Transition::RampOrEnd => "ramp_or_end",
        Transition::EndStrip => "end_strip",
    }
}

fn opening(site: &Site<'_>, at: usize, stack: Option<Length>, findings: &mut Findings) -> OpeningHeights {
    let opening = &site.room.openings[at];
    let place = format!("{}.openings[{at}]", site.place);
    let mut answer = OpeningHeights {
        id: opening.id.to_string(),
        transition: None,
        rise: None,
        length: opening.width.length.mm(),
        stem_gap: None,
        over: None,
        run: None,
        tight_run: None,
        jamb_cut: stack.map(Length::mm),
        door: stack.zip(opening.door.as_ref()).map(|(stack, d)| door(opening, d, stack, &place, findings)),
    };
    let meets = Meets { site, opening, place };
    meets.transition(stack, &mut answer, findings);
    if let Some(stack) = stack {
        meets.jambs(stack, findings);
    }
    answer
}

/// An opening where floors meet.
struct Meets<'a> {
    site: &'a Site<'a>,
    opening: &'a Opening,
    place: String,
}

impl Meets<'_> {
    fn problem(&self, code: &str) -> Problem {
        Problem::new(code, self.place.as_str()).with("id", &self.opening.id)
    }

    fn transition(&self, stack: Option<Length>, answer: &mut OpeningHeights, findings: &mut Findings) {
        let note = |findings: &mut Findings, standing, says, source: Option<String>| {
            findings.note((Topic::Opening, standing), &self.opening.id, says, source);
        };
        let Some((kind, height)) = beyond(self.site, self.opening) else {
            note(findings, Standing::Unsure, self.problem("heights.say_next"), None);
            return;
        };
        let rise = height.zip(stack).map(|(height, stack)| height - stack);
        // Whether heights differ decides nothing where the floor runs through or ends.
        let closes = match (kind, rise) {
            (Beyond::SameField | Beyond::Nothing, _) => Some(transition(kind, Length::ZERO)),
            (_, Some(rise)) => Some(transition(kind, rise)),
            (_, None) => None,
        };
        let Some(closes) = closes else {
            note(findings, Standing::Unsure, self.problem("heights.say_height"), None);
            return;
        };
        let word = transition_word(closes);
        answer.transition = Some(word);
        let units = findings.units;
        let long = show_mm(self.opening.width.length.mm(), units);
        let says = self.problem(&format!("heights.{word}")).with("long", long);
        let gap = self.site.product.and_then(|p| p.edge_gap.as_ref()).map_or(Length::ZERO, |g| g.length);
        let gap = Some(stem_gap(gap)).filter(|_| closes == Transition::TStrip);
        answer.stem_gap = gap.map(Length::mm);
        let says = says.with("gap", gap.map_or_else(String::new, |gap| exact(gap, units)));
        note(findings, Standing::Note, says, super::subfloor::practice());
        let Some(rise) = rise.filter(|_| kind != Beyond::Nothing) else { return };
        answer.rise = Some(rise.mm());
        if closes == Transition::RunsThrough && rise != Length::ZERO {
            let says = self.problem("heights.steps").with("rise", exact(rise.abs(), units));
            note(findings, Standing::Fail, says, None);
        } else if closes != Transition::RunsThrough {
            self.change_of_level(rise, answer, findings);
        }
    }

    /// What everybody must be able to get over.
    fn change_of_level(&self, rise: Length, answer: &mut OpeningHeights, findings: &mut Findings) {
        let units = findings.units;
        let (word, run, standing) = match over(rise) {
            Over::Upright => ("upright", None, Standing::Pass),
            Over::Bevel(run) => ("bevel", Some(run), Standing::Note),
            Over::OldThreshold(run, _) => ("old_threshold", Some(run), Standing::Note),
            Over::Ramp(run) => ("ramp", Some(run), Standing::Note),
        };
        answer.over = Some(word);
        answer.run = run.map(Length::mm);
        let ramp = match over(rise) {
            Over::OldThreshold(_, ramp) | Over::Ramp(ramp) => Some(ramp),
            _ => None,
        };
        let tight = ramp.and_then(|_| tight_ramp(rise));
        answer.tight_run = tight.map(Length::mm);
        let show = |length: Option<Length>| length.map_or_else(String::new, |l| exact(l, units));
        let higher = if rise < Length::ZERO { "heights.here_higher" } else { "heights.there_higher" };
        let says = self
            .problem(&format!("heights.over_{word}"))
            .with("rise", exact(rise.abs(), units))
            .with("which", in_words(higher, &[]))
            .with("run", show(run))
            .with("ramp", show(ramp))
            .with("tight", show(tight));
        findings.note((Topic::Opening, standing), &self.opening.id, says, LEVEL_CHANGE_SOURCE.to_owned());
    }

    fn jambs(&self, stack: Length, findings: &mut Findings) {
        let cut = self.opening.jambs.as_ref().map(|jambs| jambs.height.length);
        let (code, standing) = match cut {
            Some(cut) if cut >= stack => return,
            Some(_) => ("heights.jamb_higher", Standing::Fail),
            None => ("heights.jamb", Standing::Note),
        };
        let says = self
            .problem(code)
            .with("stack", exact(stack, findings.units))
            .with("cut", cut.map_or_else(String::new, |cut| exact(cut, findings.units)));
        findings.note((Topic::Opening, standing), &self.opening.id, says, super::subfloor::practice());
    }
}

fn door(
    opening: &Opening,
    said: &sheet::Door,
    stack: Length,
    place: &str,
    findings: &mut Findings,
) -> DoorHeights {
    let needs = as_door(said).over(stack);
    let (code, standing, source) = match needs.cut > Length::ZERO {
        true if said.stays => ("heights.door_stays", Standing::Fail, None),
        true if needs.check_first => {
            ("heights.door_rated", Standing::Stop, Some(RATED_DOOR_SOURCE.to_owned()))
        }
        true => ("heights.door_cut", Standing::Note, super::subfloor::practice()),
        false => ("heights.door_clears", Standing::Pass, None),
    };
    let says = Problem::new(code, format!("{place}.door"))
        .with("id", &opening.id)
        .with("cut", exact(needs.cut, findings.units))
        .with("clears", exact(needs.clears, findings.units));
    findings.note((Topic::Door, standing), &opening.id, says, source);
    if needs.too_open {
        let says = Problem::new("heights.door_too_open", format!("{place}.door")).with("id", &opening.id);
        findings.note((Topic::Door, Standing::Fail), &opening.id, says, RATED_DOOR_SOURCE.to_owned());
    }
    if said.gap.is_none() {
        let says = Problem::new("heights.door_gap", format!("{place}.door.gap")).with("id", &opening.id);
        findings.note((Topic::Door, Standing::Unsure), &opening.id, says, None);
    }
    DoorHeights {
        cut: needs.cut.mm(),
        check_first: needs.check_first,
        too_open: needs.too_open,
        clears: needs.clears.mm(),
    }
}

fn name_of(thing: &sheet::Fixture) -> String {
    thing.name.clone().unwrap_or_else(|| in_words(&format!("fixture.{}", thing.what.word()), &[]))
}

fn as_fixture(thing: &sheet::Fixture) -> Option<Fixture> {
    let length = |m: &Option<sheet::Measure>| m.as_ref().map(|m| m.length);
    Some(Fixture {
        height: length(&thing.height)?,
        below: thing.what == FixtureKind::RiserDown,
        least: length(&thing.least),
        most: length(&thing.most),
        others: length(&thing.others),
        differ: length(&thing.differ),
    })
}

fn fixture(
    thing: &sheet::Fixture,
    known: &Fixture,
    stack: Length,
    findings: &mut Findings,
) -> FixtureHeights {
    let fitted = known.over(stack);
    let units = findings.units;
    let bad = [("short", fitted.short), ("over", fitted.over), ("uneven", fitted.uneven)];
    let source = thing.source.clone();
    for (word, by) in bad {
        let Some(by) = by else { continue };
        let says = after(&format!("heights.fixture_{word}"), thing, fitted.after, units)
            .with("by", exact(by, units));
        findings.note((Topic::Fixture, Standing::Fail), &thing.id, says, source.clone());
    }
    if bad.iter().all(|(_, by)| by.is_none()) {
        let judged = known.limit().is_some() || known.most.is_some();
        let (code, standing) = match judged {
            true => ("heights.fixture_fits", Standing::Pass),
            false => ("heights.fixture_after", Standing::Note),
        };
        let says = after(code, thing, fitted.after, units);
        findings.note((Topic::Fixture, standing), &thing.id, says, source);
    }
    FixtureHeights {
        id: thing.id.to_string(),
        what: thing.what.word(),
        after: fitted.after.mm(),
        short: fitted.short.map(Length::mm),
        over: fitted.over.map(Length::mm),
        uneven: fitted.uneven.map(Length::mm),
    }
}

/// Where a fixture lies by then. What is below the finished floor is said so, without a sign before its figure.
fn after(code: &str, thing: &sheet::Fixture, after: Length, units: Units) -> Problem {
    // A step's rise has a direction of its own.
    let is_below = after < Length::ZERO && code != "heights.fixture_uneven";
    let (code, after) =
        if is_below { (format!("{code}_below"), after.abs()) } else { (code.to_owned(), after) };
    Problem::new(&code, "").with("name", name_of(thing)).with("after", exact(after, units))
}

fn tell_limit(
    site: &Site<'_>,
    mut limits: Vec<(Topic, String, Length)>,
    stack: Option<Length>,
    findings: &mut Findings,
) -> Option<LimitOfStack> {
    // The first of those that bear the same, so that every device names the same one.
    limits.sort_by(|a, b| (a.2, a.0, &a.1).cmp(&(b.2, b.0, &b.1)));
    let (topic, of, most) = limits.into_iter().next()?;
    let stack = stack?;
    let spare = most - stack;
    let thing = site.room.fixtures.iter().find(|f| topic == Topic::Fixture && f.id.as_str() == of);
    let name = thing.map_or_else(|| in_words("heights.door_of", &[("id", &of)]), name_of);
    let (code, standing) = if spare < Length::ZERO {
        ("heights.limit_over", Standing::Fail)
    } else {
        ("heights.limit", Standing::Note)
    };
    let says = Problem::new(code, "")
        .with("name", name)
        .with("most", exact(most, findings.units))
        .with("spare", exact(spare.abs(), findings.units));
    findings.note((Topic::Stack, standing), &of, says, None);
    Some(LimitOfStack { topic, of, most: most.mm(), spare: spare.mm() })
}
