//! One room for the screens.

use super::{advice, measured};
use crate::Problem;
use crate::commands::room::readings_of;
use crate::desk::{Desk, SeenRoom};
use crate::show::{angle, stamp, thing_name, typed};
use crate::surveyed::Surveyed;
use crate::wire::{
    CornerView, EarlierReading, EdgeView, ExposureView, KeepoutTexts, KeepoutView, OpeningView, OtherReading,
    OverhangView, ReadingView, RoomProblem, RoomView, Typed, Units, WallView,
};
use crate::words::say;
use drylay_document::{self as document, At, Held, TapeReading, Turn};
use drylay_geometry::{ItemId, Length};
use drylay_survey::tape::{Estimate, ReadingResult};
use std::collections::BTreeSet;

/// The room of that id in the job of that id.
pub(crate) fn view(desk: &mut Desk, job: &str, room: &str) -> Result<RoomView, Problem> {
    let job = desk.job(job)?;
    let document = job.room(room, "room")?;
    let seen = desk.room(&job, document)?;
    let name = job.view.rooms.get(&ItemId::new(room)).map(|held| held.value.name.clone()).unwrap_or_default();
    Ok(Viewer::new(&seen, job.units).view(room, name))
}

/// From which |w| on a reading is odd enough for a person to hear what the others say: of twenty clean readings one
/// is (two-sided 5 % of the normal distribution, 1.96).
const ODD: f64 = 1.96;

fn is_odd(result: &ReadingResult) -> bool {
    result.suspect || result.w.is_some_and(|w| w.abs() > ODD)
}

/// Everything wrong in a room.
pub(crate) fn problems(seen: &SeenRoom) -> Vec<Problem> {
    let mut problems: Vec<Problem> = seen.damage.iter().chain(seen.survey.problems()).cloned().collect();
    let labels = &seen.labels;
    let walls = seen.view.openings.live.iter().map(|held| (&held.value.from, &held.value.to));
    let edges = seen.view.edges.live.iter().map(|held| (&held.value.from, &held.value.to));
    for (from, to) in walls.chain(edges).filter(|(from, to)| !labels.are_neighbours(from, to)) {
        let problem = Problem::new("room.not_a_wall", labels.pair(from, to));
        problems.push(problem.with("from", labels.of_corner(from)).with("to", labels.of_corner(to)));
    }
    let there = |id: &ItemId| labels.walk().iter().any(|(corner, _)| corner == id);
    let lost = seen.view.tape.live.iter().filter(|held| !there(&held.value.from) || !there(&held.value.to));
    for held in lost {
        let pair = labels.pair(&held.value.from, &held.value.to);
        problems.push(Problem::new("reading.corner_gone", &pair).with("pair", &pair));
    }
    problems
}

struct Viewer<'a> {
    seen: &'a SeenRoom,
    survey: &'a Surveyed,
    /// What is drawn: this survey, or the last one that bounded a floor.
    drawn: &'a Surveyed,
    units: Units,
    /// Readings that correct one reading apart.
    disputed: BTreeSet<&'a ItemId>,
}

impl<'a> Viewer<'a> {
    fn new(seen: &'a SeenRoom, units: Units) -> Self {
        let survey = seen.survey.as_ref();
        let drawn = if survey.bounds_a_floor() { survey } else { seen.before.as_deref().unwrap_or(survey) };
        let disputed = seen.view.tape.disagreements.iter().flat_map(|d| &d.between).collect();
        Self { seen, survey, drawn, units, disputed }
    }

    fn view(&self, id: &str, name: String) -> RoomView {
        let room = self.survey.room();
        let outline = self.drawn.points();
        let known = |mm: f64, sd: f64| self.units.known(mm, sd);
        let misclosure = room.and_then(|room| room.misclosure_mm);
        RoomView {
            id: id.to_owned(),
            name,
            units: self.units,
            exposure: self.exposure(),
            corners: self.corners(),
            walls: self.walls(),
            ties: self.ties(),
            openings: self.seen.view.openings.live.iter().map(|held| self.opening(held)).collect(),
            keepouts: self.seen.view.keepouts.live.iter().map(|held| self.keepout(held)).collect(),
            edges: self.edges(),
            measured: measured::measured(&self.seen.view),
            offsets: measured::offsets(self.seen, self.drawn, self.units),
            shape: measured::shape(self.drawn),
            outline_is_old: outline.is_some() && !self.survey.bounds_a_floor(),
            outline,
            field: self
                .survey
                .floor
                .as_ref()
                .map(|floor| floor.shapes.iter().map(super::plan::rings).collect()),
            verdict: self.survey.verdict().to_owned(),
            verdict_words: say(&format!("verdict.{}", self.survey.verdict()), &[]),
            good_for_words: advice::good_for(self.survey, self.units),
            area_text: self.survey.area_m2().map(|(m2, sd)| self.units.area(m2, sd)),
            perimeter_text: room.and_then(|room| room.perimeter_mm).map(|it| known(it.value, it.sd)),
            misclosure_text: misclosure.map(|(x, y)| known((x * x + y * y).sqrt(), 0.5)),
            redundancy: room.map(|room| u32::try_from(room.redundancy).unwrap_or(u32::MAX)),
            next: room.map(|room| advice::next(self.seen, room, self.units)).unwrap_or_default(),
            advice: room.map(|room| advice::advice(self.seen, room, self.units)).unwrap_or_default(),
            problems: problems(self.seen).into_iter().map(told).collect(),
        }
    }

    fn corners(&self) -> Vec<CornerView> {
        let room = self.survey.room();
        let points = self.drawn.points();
        let walk = self.seen.labels.walk();
        let corner = |(n, (id, label)): (usize, &(ItemId, String))| {
            let placed = room.and_then(|room| room.corners.get(n));
            let held = self.seen.view.corners.get(id);
            let out = held.is_some_and(|held| held.value.turn == Turn::Out);
            CornerView {
                id: label.clone(),
                turn: if out { "out" } else { "in" }.to_owned(),
                square: self.seen.view.squares.live.iter().any(|held| held.value.corner == *id),
                at: points.as_ref().and_then(|points| points.get(n).copied()),
                sd: placed.map(|placed| placed.sd.into()),
                angle_text: placed.map(|placed| angle(placed.angle.value, placed.angle.sd)),
            }
        };
        walk.iter().enumerate().map(corner).collect()
    }

    fn walls(&self) -> Vec<WallView> {
        let walk = self.seen.labels.walk();
        let n = walk.len();
        let room = self.survey.room();
        let wall = |i: usize| {
            let (from, to) = (&walk[i], &walk[(i + 1) % n]);
            let adjusted = room.and_then(|room| room.distance(i, (i + 1) % n));
            WallView {
                from: from.1.clone(),
                to: to.1.clone(),
                reading: self.reading_between(&from.0, &to.0, "wall"),
                adjusted_text: adjusted.map(|it| self.units.known(it.value, it.sd)),
            }
        };
        (0..n).map(wall).collect()
    }

    fn ties(&self) -> Vec<ReadingView> {
        let labels = &self.seen.labels;
        let place = |id: &ItemId| labels.walk().iter().position(|(corner, _)| corner == id);
        let ends = |r: &TapeReading| {
            let (a, b) = (place(&r.from)?, place(&r.to)?);
            (!labels.are_neighbours(&r.from, &r.to)).then_some((a.min(b), a.max(b)))
        };
        let pairs: BTreeSet<_> =
            self.seen.view.tape.live.iter().filter_map(|held| ends(&held.value)).collect();
        let walk = labels.walk();
        pairs.into_iter().filter_map(|(a, b)| self.reading_between(&walk[a].0, &walk[b].0, "tie")).collect()
    }

    /// The reading that is shown for a distance: the last one added, by id where that is the same moment.
    fn reading_between(&self, from: &ItemId, to: &ItemId, kind: &str) -> Option<ReadingView> {
        let all: Vec<&Held<TapeReading>> = readings_of(self.seen, from, to).collect();
        let held = all.iter().max_by_key(|held| (held.added.at.utc_ms, &held.id))?;
        let others: Vec<&Held<TapeReading>> =
            all.iter().filter(|other| other.id != held.id).copied().collect();
        let (conflict, beside): (Vec<_>, Vec<_>) =
            others.iter().partition(|other| self.is_apart(held, other));
        let result = self.result(&held.id);
        let reading = &held.value;
        Some(ReadingView {
            id: held.id.to_string(),
            from: self.seen.labels.of_corner(&reading.from),
            to: self.seen.labels.of_corner(&reading.to),
            kind: kind.to_owned(),
            text: reading.read.text().to_owned(),
            mm: reading.read.length().mm(),
            stamp: stamp(&held.added),
            residual_text: result.map(|it| self.units.known(it.residual, it.sd / 2.0)),
            w: result.and_then(|it| it.w),
            touched: reading.measured_to.map(measured::touched),
            height: reading.measured_at.as_ref().map(typed),
            corrected_text: result
                .filter(|it| (it.corrected - it.read).abs() > 0.0)
                .map(|it| self.units.known(it.corrected, it.sd / 2.0)),
            suspect: result.is_some_and(|it| it.suspect),
            says: result.filter(|it| is_odd(it)).and_then(|it| it.others_say).map(|it| self.give_or_take(it)),
            earlier: self.earlier(from, to),
            conflict: conflict.into_iter().copied().map(other).collect(),
            others: beside.into_iter().copied().map(other).collect(),
        })
    }

    fn give_or_take(&self, said: Estimate) -> String {
        format!("{} ± {}", self.units.known(said.value, said.sd), self.units.known(said.sd, 0.5))
    }

    /// Whether two readings of one distance were taken apart and differ.
    fn is_apart(&self, one: &Held<TapeReading>, other: &Held<TapeReading>) -> bool {
        let differ = one.value.read.length() != other.value.read.length();
        let both = self.disputed.contains(&one.id) && self.disputed.contains(&other.id);
        differ && (both || one.added.by.device != other.added.by.device)
    }

    fn result(&self, id: &ItemId) -> Option<&ReadingResult> {
        let n = self.survey.readings.iter().position(|other| other == id)?;
        self.survey.room()?.readings.get(n)
    }

    fn earlier(&self, from: &ItemId, to: &ItemId) -> Vec<EarlierReading> {
        let joins = |r: &TapeReading| (&r.from, &r.to) == (from, to) || (&r.from, &r.to) == (to, from);
        let past = self.seen.view.tape.past.iter().map(|past| &past.held).filter(|held| joins(&held.value));
        let mut past: Vec<&Held<TapeReading>> = past.collect();
        past.sort_by(|a, b| (b.added.at.utc_ms, &b.id).cmp(&(a.added.at.utc_ms, &a.id)));
        let earlier = |held: &&Held<TapeReading>| EarlierReading {
            text: held.value.read.text().to_owned(),
            stamp: stamp(&held.added),
        };
        past.iter().map(earlier).collect()
    }

    fn opening(&self, held: &Held<document::Opening>) -> OpeningView {
        let opening = &held.value;
        OpeningView {
            id: held.id.to_string(),
            from: self.seen.labels.of_corner(&opening.from),
            to: self.seen.labels.of_corner(&opening.to),
            start: typed(&opening.start),
            width: typed(&opening.width),
            reach: opening.reach.as_ref().map_or_else(|| self.nothing(), typed),
            jambs: opening.jambs.as_ref().map(overhang),
            line: self.line(opening),
            stamp: latest(held),
        }
    }

    fn line(&self, opening: &document::Opening) -> Option<[[f64; 2]; 2]> {
        let points = self.drawn.points()?;
        let place = |id: &ItemId| self.drawn.corners.iter().position(|corner| corner == id);
        let (a, b) = (*points.get(place(&opening.from)?)?, *points.get(place(&opening.to)?)?);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let long = (dx * dx + dy * dy).sqrt();
        let at = |mm: f64| [a[0] + dx * mm / long, a[1] + dy * mm / long];
        let start = opening.start.length().mm();
        (long > 0.0).then(|| [at(start), at(start + opening.width.length().mm())])
    }

    fn keepout(&self, held: &Held<document::Keepout>) -> KeepoutView {
        let drawn = held.value.outline.iter().map(|at| [at.x.length().mm(), at.y.length().mm()]);
        let located = measured::located(self.seen, self.drawn, held, self.units);
        KeepoutView {
            id: held.id.to_string(),
            name: thing_name(&held.value),
            outline: if located.is_some() { measured::ring(self.drawn, &held.id) } else { drawn.collect() },
            what: measured::thing(held.value.what.unwrap_or(document::KeepoutKind::Other)),
            texts: self.rectangle(&held.value.outline),
            located,
            overhang: held.value.overhang.as_ref().map(overhang),
            stamp: latest(held),
        }
    }

    /// Place and size of an outline that is square to the first wall and begins at its corner nearest the origin.
    fn rectangle(&self, outline: &[At]) -> Option<KeepoutTexts> {
        let [a, b, c, d] = outline else { return None };
        let (x, y) = (|at: &At| at.x.length(), |at: &At| at.y.length());
        let square = y(a) == y(b) && x(b) == x(c) && y(c) == y(d) && x(d) == x(a);
        let (width, depth) = (x(c) - x(a), y(c) - y(a));
        (square && width > Length::ZERO && depth > Length::ZERO).then(|| KeepoutTexts {
            x: typed(&a.x),
            y: typed(&a.y),
            width: typed(&self.units.made(width)),
            depth: typed(&self.units.made(depth)),
        })
    }

    fn edges(&self) -> Vec<EdgeView> {
        let edge = |held: &Held<document::Edge>| EdgeView {
            from: self.seen.labels.of_corner(&held.value.from),
            to: self.seen.labels.of_corner(&held.value.to),
            gap: held.value.gap.as_ref().map(typed),
            trim_covers: held.value.trim_covers.as_ref().map(typed),
            overhang: held.value.overhang.as_ref().map(overhang),
        };
        self.seen.view.edges.live.iter().map(edge).collect()
    }

    fn exposure(&self) -> ExposureView {
        let facts = self.seen.view.facts.value.as_ref();
        let range = facts.and_then(|f| f.yearly_range.as_ref());
        ExposureView {
            settings: facts.iter().flat_map(|f| &f.settings).map(|s| s.word().to_owned()).collect(),
            yearly_range: range.map(|r| r.as_str().to_owned()).unwrap_or_default(),
        }
    }

    fn nothing(&self) -> Typed {
        Typed { text: self.units.exact(Length::ZERO), mm: 0.0 }
    }
}

fn other(held: &Held<TapeReading>) -> OtherReading {
    OtherReading {
        id: held.id.to_string(),
        text: held.value.read.text().to_owned(),
        stamp: stamp(&held.added),
    }
}

fn overhang(it: &document::Overhang) -> OverhangView {
    OverhangView { height: typed(&it.height), depth: typed(&it.depth) }
}

/// Who last changed any field of a thing.
fn latest<T>(held: &Held<T>) -> crate::wire::Stamp {
    let all = held.stamps.values().chain([&held.added]);
    stamp(all.max_by_key(|stamp| stamp.at.utc_ms).unwrap_or(&held.added))
}

fn told(problem: Problem) -> RoomProblem {
    RoomProblem { place: problem.place, message: problem.message, hint: problem.hint }
}
