//! Stages with their gates, each worked out from what the documents say, and the cautions of each step.

use crate::Problem;
use crate::answers::{Finding, POUND_KG, Standing, Topic, subfloor};
use crate::commands::floor;
use crate::desk::{SeenJob, SeenRoom};
use crate::laying::{Laying, area_name};
use crate::session::Session;
use crate::show::{iso, stamp};
use crate::views::grout;
use crate::wire::{
    CautionView, ConfirmedView, GateView, HeatingStepView, HeatingView, PassedView, StageView, StagesView,
    Units,
};
use crate::words::say;
use drylay_document::marks::Done;
use drylay_document::sheet::Demands;
use drylay_document::{ContentHash, Decimal, Held, Stage, StageKind, Stamp, Timestamp};
use drylay_geometry::ItemId;
use std::collections::BTreeSet;
use std::sync::Arc;

/// What the client confirms, in the order of the list.
pub(crate) const CONFIRMED: [&str; 3] = ["shade", "layout", "conditions"];
/// The most that one person lifts under the best conditions: the load constant of the lifting equation (NIOSH 94-110).
const LOAD_CONSTANT: f64 = 23.0;
const HOUR_MS: f64 = 3_600_000.0;

/// A gate: what is missing before a stage begins.
struct Gate {
    stage: StageKind,
    id: String,
    words: String,
    hint: String,
    source: String,
    room: String,
    at: &'static str,
}

impl Gate {
    fn new(stage: StageKind, id: impl Into<String>, words: String) -> Self {
        let empty = String::new;
        Self { stage, id: id.into(), words, hint: empty(), source: empty(), room: empty(), at: "" }
    }
    fn room(self, room: &str) -> Self {
        Self { room: room.to_owned(), ..self }
    }
    fn at(self, at: &'static str) -> Self {
        Self { at, ..self }
    }
}

/// The stages of a job, by the clock of this device.
pub(crate) fn view(session: &Session, job: &SeenJob) -> Result<StagesView, Problem> {
    let mut desk = session.desk();
    let now = desk.world.now();
    let mut sheet = desk.sheet_of(job, None).sheet;
    let mut rooms: Vec<(ItemId, String, Arc<SeenRoom>)> = Vec::new();
    for held in job.view.room_list() {
        if let Ok(seen) = desk.room(job, held.value.document) {
            rooms.push((held.id.clone(), held.value.name.clone(), seen));
        }
    }
    drop(desk);
    let laid_in: BTreeSet<&ItemId> = job.view.areas.live.iter().flat_map(|area| &area.value.rooms).collect();
    rooms.retain(|(id, ..)| laid_in.contains(id));
    sheet.job.day.get_or_insert_with(|| iso(now.utc_ms).chars().take(10).collect());
    let mut gates = Vec::new();
    if let Ok(answer) = subfloor(&sheet) {
        for room in &answer.rooms {
            if let Some((id, name, _)) = rooms.iter().find(|(id, ..)| id.as_str() == room.id) {
                gates.extend(of_base(id.as_str(), name, &room.findings));
            }
        }
    }
    for (id, name, seen) in &rooms {
        let unread = of_floor(id.as_str(), name, seen);
        let flat = if unread.is_none() { of_flatness(session, job, id.as_str(), name)? } else { None };
        gates.extend(unread.or(flat));
    }
    gates.extend(of_delivery(job, now));
    gates.extend(of_client(job));
    let conditions = conditions(job);
    gates.extend(conditions.iter().filter_map(|one| of_condition(job, one)));
    gates.extend(of_areas(session, job, now));
    let heated: Vec<&str> = rooms
        .iter()
        .filter(|(.., seen)| seen.view.floor.value.as_ref().is_some_and(|floor| floor.heated == Some(true)))
        .map(|(_, name, _)| name.as_str())
        .collect();
    if !heated.is_empty() && !job.view.heating.live.iter().any(|held| held.value.what == "off") {
        gates.push(Gate::new(
            StageKind::Lay,
            "heating_off",
            say("gate.heating_off", &[("rooms", &heated.join(", "))]),
        ));
    }
    let stage = |kind: &StageKind| stage_view(job, *kind, &gates);
    Ok(StagesView {
        stages: StageKind::ALL.iter().map(stage).collect(),
        confirmed: CONFIRMED.iter().map(|what| confirmed(job, what)).collect(),
        conditions: conditions.iter().map(|one| agreed(job, &one.what, one.told())).collect(),
        heating: (!heated.is_empty()).then(|| heating(job, &heated)),
        degrees: if job.units == Units::Metric { "C" } else { "F" }.to_owned(),
    })
}

/// What the base lacks: hazards before anything is taken up, the rest before the floor goes on it.
fn of_base(id: &str, name: &str, findings: &[Finding]) -> Vec<Gate> {
    let open =
        |finding: &&Finding| matches!(finding.verdict, Standing::Stop | Standing::Fail | Standing::Unsure);
    let mut told: BTreeSet<&'static str> = BTreeSet::new();
    let mut gates = Vec::new();
    for finding in findings.iter().filter(open) {
        let topic = finding.topic.word();
        let hazard = matches!(finding.topic, Topic::Hazard);
        // One line for each thing to look at: what else is found of it stands where it is settled.
        if !hazard && !told.insert(topic) {
            continue;
        }
        let stage = if hazard { StageKind::Demolition } else { StageKind::Underlay };
        let words = say("gate.of_room", &[("room", name), ("what", &finding.says.message)]);
        let mut gate = Gate::new(stage, format!("{topic}/{id}/{}/{}", finding.says.code, finding.of), words);
        gate.hint.clone_from(&finding.says.hint);
        gate.source = finding.source.clone().unwrap_or_default();
        gates.push(gate.room(id).at("base"));
    }
    gates
}

/// A floor that was worked on is read again before anything lies on it.
fn of_floor(id: &str, name: &str, seen: &SeenRoom) -> Option<Gate> {
    let view = &seen.view;
    let read: BTreeSet<i64> = view
        .rods
        .live
        .iter()
        .map(|held| held.value.round.unwrap_or(0))
        .chain(view.straightedges.live.iter().map(|held| held.value.round.unwrap_or(0)))
        .chain(view.lines.live.iter().map(|held| held.value.round.unwrap_or(0)))
        .collect();
    let worked = view.rounds.live.iter().map(|held| held.value.number).max();
    let gate = |code: &str, of: String| {
        Gate::new(StageKind::Underlay, of, say(code, &[("room", name)])).room(id).at("floor")
    };
    match worked {
        Some(round) if !read.contains(&round) => {
            Some(gate("gate.read_again", format!("read_again/{id}/{round}")))
        }
        None if read.is_empty() => Some(gate("gate.unread", format!("unread/{id}"))),
        _ => None,
    }
}

/// Whether a floor that was read is flat enough for what is laid on it.
fn of_flatness(session: &Session, job: &SeenJob, id: &str, name: &str) -> Result<Option<Gate>, Problem> {
    let floor = floor::newest(session, &job.id.to_string(), id)?;
    let (code, verdict) = match floor.verdict.as_str() {
        _ if !floor.judged => ("gate.not_judged", "open"),
        "fail" => ("gate.not_flat", "fail"),
        "unsure" => ("gate.flat_unsure", "unsure"),
        _ => return Ok(None),
    };
    let words = say(code, &[("room", name), ("what", &floor.verdict_words)]);
    let of = format!("flat/{id}/{}/{verdict}", floor.round);
    Ok(Some(Gate::new(StageKind::Underlay, of, words).room(id).at("floor")))
}

/// The tile is there and has lain in the room as long as it asks.
fn of_delivery(job: &SeenJob, now: Timestamp) -> Vec<Gate> {
    let mut gates = Vec::new();
    let products: BTreeSet<&ItemId> = job.view.areas.live.iter().map(|area| &area.value.product).collect();
    for id in products {
        let Some(product) = job.view.products.get(id) else { continue };
        let name = product.value.name.as_str();
        let arrived = job.view.deliveries.live.iter().filter(|held| held.value.product == *id);
        // What came last has lain there the shortest.
        let arrived = arrived.map(|held| held.value.arrived_ms.unwrap_or(held.added.at.utc_ms)).max();
        let Some(arrived) = arrived else {
            let words = say("gate.not_delivered", &[("name", name)]);
            gates.push(Gate::new(StageKind::Acclimatise, format!("delivered/{id}"), words).at("work"));
            continue;
        };
        let asked = product.value.hours_to_acclimatise.as_ref().map(Decimal::to_f64);
        let Some(asked) = asked.filter(|hours| *hours > 0.0) else { continue };
        let hours = (now.utc_ms - arrived) as f64 / HOUR_MS;
        let (asked_text, hours_text) = (format!("{asked:.0}"), format!("{:.0}", hours.max(0.0).floor()));
        let figures = [("name", name), ("asked", asked_text.as_str()), ("hours", hours_text.as_str())];
        let code = if hours < 0.0 { "gate.clock" } else { "gate.acclimatise" };
        if hours < asked {
            gates
                .push(Gate::new(StageKind::Lay, format!("acclimatise/{id}"), say(code, &figures)).at("work"));
        }
    }
    gates
}

/// The client's word that stands for something; the last one where several do.
fn answer<'j>(job: &'j SeenJob, what: &str) -> Option<&'j Held<drylay_document::ClientAnswer>> {
    let of = job.view.client_answers.live.iter().filter(|held| held.value.what == what);
    of.max_by_key(|held| (held.added.at.utc_ms, held.id.clone()))
}

fn of_client(job: &SeenJob) -> Vec<Gate> {
    let open = CONFIRMED.iter().filter(|what| !answer(job, what).is_some_and(|held| held.value.confirmed));
    open.map(|what| {
        Gate::new(StageKind::Lay, format!("client/{what}"), say(&format!("gate.client_{what}"), &[]))
    })
    .collect()
}

/// A condition of a product, which its warranty hangs on.
pub(crate) struct Condition {
    /// What an answer to it names: the product and the words, so that other words are asked for anew.
    pub(crate) what: String,
    words: String,
    source: String,
}

impl Condition {
    /// It in words, with who says so.
    pub(crate) fn told(&self) -> String {
        format!("{} ({})", self.words, self.source)
    }
}

/// What the products that are laid ask for besides what a plan shows, one by one.
pub(crate) fn conditions(job: &SeenJob) -> Vec<Condition> {
    let laid: BTreeSet<&ItemId> = job.view.areas.live.iter().map(|area| &area.value.product).collect();
    let mut found = Vec::new();
    for id in laid {
        let Some(held) = job.view.products.get(id) else { continue };
        let demands = held.value.demands.as_deref().map(Demands::read).unwrap_or_default();
        for one in demands.rules.iter().flat_map(|rules| &rules.instructions) {
            let hash = ContentHash::of(one.say.as_bytes()).to_string();
            let short: String = hash.chars().take(16).collect();
            let edition = one.edition.as_deref().unwrap_or_default();
            let source = format!("{}: {} {edition}", held.value.name, one.source).trim_end().to_owned();
            found.push(Condition { what: format!("condition/{id}/{short}"), words: one.say.clone(), source });
        }
    }
    found
}

fn of_condition(job: &SeenJob, one: &Condition) -> Option<Gate> {
    if answer(job, &one.what).is_some_and(|held| held.value.confirmed) {
        return None;
    }
    let words = say("gate.condition", &[("what", &one.words)]);
    Some(Gate { source: one.source.clone(), ..Gate::new(StageKind::Handover, one.what.clone(), words) })
}

fn confirmed(job: &SeenJob, what: &str) -> ConfirmedView {
    agreed(job, what, say(&format!("confirmed.{what}"), &[]))
}

fn agreed(job: &SeenJob, what: &str, words: String) -> ConfirmedView {
    let held = answer(job, what);
    ConfirmedView {
        what: what.to_owned(),
        words,
        confirmed: held.is_some_and(|held| held.value.confirmed),
        by: held.and_then(|held| held.value.by.clone()).unwrap_or_default(),
        stamp: held.map(|held| stamp(&held.added)),
    }
}

/// What the areas lack: a plan, pieces that lie, grout that is dry, notes that are settled.
fn of_areas(session: &Session, job: &SeenJob, now: Timestamp) -> Vec<Gate> {
    let mut gates = Vec::new();
    for area in &job.view.areas.live {
        let name = area_name(job, area);
        let gate = |stage, of: &str, code: &str, figures: &[(&str, &str)]| {
            let mut all = vec![("area", name.as_str())];
            all.extend(figures);
            Gate::new(stage, format!("{of}/{}", area.id), say(code, &all))
        };
        let Ok(laying) = session.laying(job, &area.id) else {
            gates.push(gate(StageKind::Lay, "given_out", "gate.not_given_out", &[]).at("plan"));
            continue;
        };
        let open = open_pieces(&laying);
        if open > 0 {
            let count = open.to_string();
            gates.push(gate(StageKind::Grout, "laid", "gate.not_laid", &[("count", &count)]).at("work"));
        }
        let (done, dry) = grout::shares(job, &laying, now);
        if done < 0.99 {
            gates.push(gate(StageKind::Trim, "grouted", "gate.not_grouted", &[]).at("work"));
        } else if dry < 0.99 {
            gates.push(gate(StageKind::Trim, "walk", "gate.not_dry", &[]).at("work"));
        }
    }
    let unsettled = job.view.problems.live.iter().filter(|held| held.value.settled != Some(true)).count();
    if unsettled > 0 {
        let words = say("gate.unsettled", &[("count", &unsettled.to_string())]);
        gates.push(Gate::new(StageKind::Handover, format!("unsettled/{unsettled}"), words).at("work"));
    }
    gates
}

fn open_pieces(laying: &Laying) -> usize {
    laying.plan.plan.pieces.iter().filter(|piece| laying.done(&piece.id) != Done::Laid).count()
}

fn stage_view(job: &SeenJob, kind: StageKind, gates: &[Gate]) -> StageView {
    let of = |held: &&Held<Stage>| held.value.stage == kind && held.value.room.is_none();
    let held: Vec<&Held<Stage>> = job.view.stages.live.iter().filter(of).collect();
    let began = held.iter().filter_map(|held| Some((held.value.began_ms?, held.stamp("began_ms")))).min();
    let finished =
        held.iter().filter_map(|held| Some((held.value.finished_ms?, held.stamp("finished_ms")))).max();
    let (state, said) = match (began, finished) {
        (_, Some((_, stamp))) => ("finished", Some(stamp)),
        (Some((_, stamp)), None) => ("begun", Some(stamp)),
        (None, None) => ("waits", None),
    };
    let last: Option<&Stamp> = said;
    StageView {
        stage: kind.word().to_owned(),
        name: say(&format!("stage.{}", kind.word()), &[]),
        state: state.to_owned(),
        words: say(&format!("stage.is_{state}"), &[]),
        stamp: last.map(stamp),
        gates: gates.iter().filter(|gate| gate.stage == kind).map(|gate| gate_view(job, gate)).collect(),
        cautions: cautions(job, kind),
    }
}

fn gate_view(job: &SeenJob, gate: &Gate) -> GateView {
    let of = job
        .view
        .gates
        .live
        .iter()
        .filter(|held| held.value.stage == gate.stage && held.value.missing == gate.id);
    let passed = of.max_by_key(|held| (held.added.at.utc_ms, held.id.clone()));
    GateView {
        id: gate.id.clone(),
        words: gate.words.clone(),
        hint: gate.hint.clone(),
        source: gate.source.clone(),
        room: gate.room.clone(),
        settled_at: gate.at.to_owned(),
        passed: passed.map(|held| PassedView {
            id: held.id.to_string(),
            reason: held.value.reason.clone(),
            stamp: stamp(&held.added),
        }),
    }
}

/// The cautions of a step, each with where it stands. What is computed is this job's cartons.
fn cautions(job: &SeenJob, kind: StageKind) -> Vec<CautionView> {
    let codes: &[&str] = match kind {
        StageKind::Demolition => &["asbestos", "lead", "silica", "eyes"],
        StageKind::Prep => &["grinding", "noise", "eyes"],
        StageKind::Acclimatise => &["lifting"],
        StageKind::Underlay => &["lifting"],
        StageKind::Lay => &["saw_dust", "electricity", "eyes", "noise", "lifting"],
        StageKind::Grout => &["grout"],
        StageKind::Trim => &["saw_dust", "eyes"],
        StageKind::Handover => &[],
    };
    let caution = |code: &&str| {
        let words = match *code {
            "lifting" => lifting(job)?,
            code => say(&format!("caution.{code}"), &[]),
        };
        Some(CautionView { words, source: say(&format!("caution.{code}_source"), &[]) })
    };
    codes.iter().filter_map(caution).collect()
}

/// What this job's heaviest pack weighs against what one person lifts at best; nothing where no pack's weight is known.
fn lifting(job: &SeenJob) -> Option<String> {
    let kg = |held: &Held<drylay_document::Product>| held.value.pack_kg.as_ref().map(Decimal::to_f64);
    let heaviest = job.view.products.live.iter().filter_map(kg).fold(0.0, f64::max);
    let code = if heaviest > LOAD_CONSTANT { "caution.lifting_two" } else { "caution.lifting" };
    let shown = match job.units {
        Units::Metric => format!("{heaviest:.0} kg"),
        Units::Imperial | Units::Inches => format!("{:.0} lb", heaviest / POUND_KG),
    };
    (heaviest > 0.0).then(|| say(code, &[("weight", &shown)]))
}

fn heating(job: &SeenJob, rooms: &[&str]) -> HeatingView {
    let mut held: Vec<_> = job.view.heating.live.iter().collect();
    held.sort_by_key(|held| (std::cmp::Reverse(held.added.at.utc_ms), held.id.clone()));
    let step = |held: &&Held<drylay_document::HeatingStep>| {
        let celsius = held.value.celsius.as_ref().map(Decimal::to_f64);
        let warmth = celsius.map(|c| grout::warmth_words(c, job.units)).unwrap_or_default();
        let what = say(&format!("heating.{}", held.value.what), &[]);
        let parts = [what, warmth, held.value.words.clone().unwrap_or_default()];
        HeatingStepView {
            id: held.id.to_string(),
            words: parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", "),
            stamp: stamp(&held.added),
        }
    };
    let advice = ["before", "after", "limits"].map(|code| CautionView {
        words: say(&format!("heating.advice_{code}"), &[]),
        source: say("heating.advice_source", &[]),
    });
    HeatingView { rooms: rooms.join(", "), advice: advice.to_vec(), steps: held.iter().map(step).collect() }
}
