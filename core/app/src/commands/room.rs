//! A room: looking at it, and the edits that a person makes while standing in it.

use super::jobs::said;
use crate::Problem;
use crate::desk::{SeenJob, SeenRoom};
use crate::refusal::unknown;
use crate::session::Session;
use crate::wire::{OfRoom, RoomEdit, RoomEditAsk, RoomView};
use crate::words::say;
use crate::{settle, views};
use drylay_document::{
    At, Corner, Edge, Edit, Entry, Held, JobEntry, Keepout, Opening, Place, RoomEntry, RoomLink, SquareCheck,
    TapeReading, Turn, TypedLength,
};
use drylay_geometry::{ItemId, Outline};

pub(crate) fn view(session: &Session, ask: OfRoom) -> Result<RoomView, Problem> {
    views::room(&mut session.desk(), &ask.job, &ask.room)
}

pub(crate) fn edit(session: &Session, ask: RoomEditAsk) -> Result<RoomView, Problem> {
    let mut desk = session.desk();
    let job = desk.job(&ask.job)?;
    let document = job.room(&ask.room, "room")?;
    let seen = desk.room(&job, document)?;
    let planned = match &ask.edit {
        RoomEdit::Settle { keep } => {
            let edits = settle::room_edits(&mut desk, document, &seen, keep)?;
            Planned { edits, job_edits: Vec::new(), words: say("what.settled", &[]) }
        }
        edit => Editor { job: &job, room: &seen, new_id: desk.new_id() }.plan(edit, &ask.room)?,
    };
    drop(desk);
    session.change(job.id, planned.words, |change| {
        change.apply(document, &planned.edits)?;
        change.apply(job.id, &planned.job_edits)
    })?;
    views::room(&mut session.desk(), &ask.job, &ask.room)
}

/// What an edit comes to in the documents.
struct Planned {
    edits: Vec<Edit<RoomEntry>>,
    job_edits: Vec<Edit<JobEntry>>,
    words: String,
}

/// Turns what a person asked for into edits of the documents as they were seen.
pub(super) struct Editor<'a> {
    pub(super) job: &'a SeenJob,
    pub(super) room: &'a SeenRoom,
    pub(super) new_id: ItemId,
}

impl Editor<'_> {
    fn plan(&self, edit: &RoomEdit, room: &str) -> Result<Planned, Problem> {
        let (edits, words) = match edit {
            RoomEdit::SetReading { from, to, text } => self.set_reading(from, to, text)?,
            RoomEdit::ClearReading { id } => self.clear_reading(id)?,
            RoomEdit::SetMeasured { to, thickness, height, instrument } => {
                self.set_measured(*to, [thickness, height], *instrument)?
            }
            RoomEdit::SetTouched { id, to, height } => self.set_touched(id, *to, height)?,
            RoomEdit::AddOffset { from, to, along, offset, out } => {
                self.add_offset((from, to), [along, offset], *out)?
            }
            RoomEdit::RemoveOffset { id } => self.remove_offset(id)?,
            RoomEdit::SetLocated { id, .. } => self.set_located(id.as_deref(), edit)?,
            RoomEdit::AddCorner { after } => self.add_corner(after)?,
            RoomEdit::RemoveCorner { corner } => self.remove_corner(corner)?,
            RoomEdit::Turn { corner, out } => self.turn(corner, *out)?,
            RoomEdit::Square { corner, on } => self.square(corner, *on)?,
            RoomEdit::SetKeepout { id, name, x, y, width, depth } => {
                self.set_keepout(id.as_deref(), name, [x, y, width, depth])?
            }
            RoomEdit::RemoveKeepout { id } => self.remove_keepout(id)?,
            RoomEdit::SetOpening { id, from, to, start, width, reach } => {
                self.set_opening(id.as_deref(), (from, to), [start, width, reach])?
            }
            RoomEdit::RemoveOpening { id } => self.remove_opening(id)?,
            RoomEdit::SetEdge { from, to, gap, trim_covers } => {
                self.set_edge((from, to), gap.as_deref(), trim_covers.as_deref())?
            }
            RoomEdit::SetOverhang { of, height, depth } => self.set_overhang(of, [height, depth])?,
            RoomEdit::SetExposure { settings, yearly_range } => self.set_exposure(settings, yearly_range)?,
            RoomEdit::Rename { name } => return self.rename(name, room),
            RoomEdit::Settle { .. } => (Vec::new(), String::new()),
        };
        Ok(Planned { edits, job_edits: Vec::new(), words })
    }

    fn set_reading(&self, from: &str, to: &str, text: &str) -> Result<Edits, Problem> {
        let (from, to) = self.room.labels.two(from, to)?;
        let read = self.job.units.read_reading(text, "edit.text")?;
        let pair = self.room.labels.pair(&from, &to);
        let words = say("what.reading", &[("pair", &pair), ("text", read.text())]);
        let before: Vec<_> = readings_of(self.room, &from, &to).collect();
        if let [only] = before[..]
            && only.value.read == read
        {
            return Ok((Vec::new(), words));
        }
        let supersedes: Vec<ItemId> = before.iter().map(|held| held.id.clone()).collect();
        // What the distance was held to is kept when it is read again.
        let held_to = before.last().map(|held| (held.value.measured_to, held.value.measured_at.clone()));
        let (measured_to, measured_at) = held_to.unwrap_or_default();
        let entry =
            TapeReading { from, to, read, sd: None, tool: None, measured_to, measured_at, listed: None }
                .into();
        let id = self.new_id.clone();
        let edit = match supersedes.is_empty() {
            true => Edit::Add { id, entry },
            false => Edit::Correct { id, entry, supersedes },
        };
        Ok((vec![edit], words))
    }

    fn clear_reading(&self, id: &str) -> Result<Edits, Problem> {
        let held = self.room.view.tape.get(&ItemId::new(id));
        let reading = &held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?.value;
        let pair = self.room.labels.pair(&reading.from, &reading.to);
        Ok((vec![withdraw::<TapeReading>(&ItemId::new(id))], say("what.reading_cleared", &[("pair", &pair)])))
    }

    fn add_corner(&self, after: &str) -> Result<Edits, Problem> {
        let walk = self.room.view.walk();
        if walk.len() >= Outline::MOST_CORNERS {
            let problem = Problem::new("limit.corners", "edit.after");
            return Err(problem.with("found", walk.len() + 1).with("most", Outline::MOST_CORNERS));
        }
        let at = self.room.labels.place(after, "edit.after")?;
        let place = |n: usize| walk.get(n).map(|held| &held.value.place);
        let place = Place::between(place(at), place(at + 1), self.new_id.as_str());
        let name = self.room.labels.free();
        let words = say("what.corner_added", &[("name", &name)]);
        Ok((vec![Edit::add(&self.new_id, Corner { name, place, turn: Turn::In, at: None })], words))
    }

    /// What was read to a corner goes with it; all of it comes back with one undo.
    fn remove_corner(&self, label: &str) -> Result<Edits, Problem> {
        let corner = self.room.labels.corner(label, "edit.corner")?;
        if self.room.labels.walk().len() <= 3 {
            return Err(Problem::new("ring.too_few", "edit.corner"));
        }
        let view = &self.room.view;
        let readings =
            view.tape.live.iter().filter(|held| held.value.from == corner || held.value.to == corner);
        let squares = view.squares.live.iter().filter(|held| held.value.corner == corner);
        let edits = std::iter::once(withdraw::<Corner>(&corner))
            .chain(readings.map(|held| withdraw::<TapeReading>(&held.id)))
            .chain(squares.map(|held| withdraw::<SquareCheck>(&held.id)));
        Ok((edits.collect(), say("what.corner_removed", &[("name", label)])))
    }

    fn turn(&self, label: &str, out: bool) -> Result<Edits, Problem> {
        let corner = self.room.labels.corner(label, "edit.corner")?;
        let held = self.room.view.corners.get(&corner);
        let before = held.ok_or_else(|| unknown("entry.unknown", "edit.corner", label))?.value.clone();
        let after = Corner { turn: if out { Turn::Out } else { Turn::In }, ..before.clone() };
        Ok((vec![Edit::change(&corner, before, after)], say("what.turn", &[("corner", label)])))
    }

    fn square(&self, label: &str, on: bool) -> Result<Edits, Problem> {
        let corner = self.room.labels.corner(label, "edit.corner")?;
        let live = self.room.view.squares.live.iter().filter(|held| held.value.corner == corner);
        let live: Vec<&ItemId> = live.map(|held| &held.id).collect();
        let edits = match (on, live.is_empty()) {
            (true, true) => {
                vec![Edit::add(&self.new_id, SquareCheck { corner, sd_degrees: None, listed: None })]
            }
            (true, false) => Vec::new(),
            (false, _) => live.into_iter().map(withdraw::<SquareCheck>).collect(),
        };
        Ok((edits, say("what.square", &[("corner", label)])))
    }

    fn set_keepout(&self, id: Option<&str>, name: &str, typed: [&str; 4]) -> Result<Edits, Problem> {
        let units = self.job.units;
        let [x, y, width, depth] = typed;
        let (x, y) = (units.read(x, "edit.x")?, units.read(y, "edit.y")?);
        let width = units.read_positive(width, "edit.width")?;
        let depth = units.read_positive(depth, "edit.depth")?;
        let (right, down) = (sum(self, &x, &width), sum(self, &y, &depth));
        let at = |x: &TypedLength, y: &TypedLength| At { x: x.clone(), y: y.clone() };
        let outline = vec![at(&x, &y), at(&right, &y), at(&right, &down), at(&x, &down)];
        let words = say("what.keepout", &[("name", name)]);
        let Some(id) = id else {
            let new = Keepout { name: said(name), outline, ..Keepout::unplaced() };
            return Ok((vec![Edit::add(&self.new_id, new)], words));
        };
        let held = self.room.view.keepouts.get(&ItemId::new(id));
        let before = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?.value.clone();
        let after = Keepout { name: said(name), outline, ..before.clone() };
        Ok((vec![Edit::change(id, before, after)], words))
    }

    fn remove_keepout(&self, id: &str) -> Result<Edits, Problem> {
        let held = self.room.view.keepouts.get(&ItemId::new(id));
        let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
        let name = held.value.name.clone().unwrap_or_default();
        Ok((vec![withdraw::<Keepout>(&held.id)], say("what.keepout_removed", &[("name", &name)])))
    }

    fn set_opening(&self, id: Option<&str>, wall: (&str, &str), typed: [&str; 3]) -> Result<Edits, Problem> {
        let units = self.job.units;
        let (from, to) = self.room.labels.wall(wall.0, wall.1)?;
        let pair = self.room.labels.pair(&from, &to);
        let start = units.read_answer(typed[0], "edit.start")?;
        let start = start.ok_or_else(|| Problem::new("length.empty", "edit.start"))?;
        let width = units.read_positive(typed[1], "edit.width")?;
        let reach = units.read_answer(typed[2], "edit.reach")?;
        let words = say("what.opening", &[("pair", &pair)]);
        let Some(id) = id else {
            let new = Opening {
                name: None,
                from,
                to,
                start,
                width,
                reach,
                next_door: None,
                next_floor: None,
                rated: None,
                door_clearance: None,
                jambs: None,
                next_base: None,
                door_gap: None,
                door_stays: None,
            };
            return Ok((vec![Edit::add(&self.new_id, new)], words));
        };
        let held = self.room.view.openings.get(&ItemId::new(id));
        let before = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?.value.clone();
        let after = Opening { from, to, start, width, reach, ..before.clone() };
        Ok((vec![Edit::change(id, before, after)], words))
    }

    fn remove_opening(&self, id: &str) -> Result<Edits, Problem> {
        let held = self.room.view.openings.get(&ItemId::new(id));
        let held = held.ok_or_else(|| unknown("entry.unknown", "edit.id", id))?;
        let pair = self.room.labels.pair(&held.value.from, &held.value.to);
        Ok((vec![withdraw::<Opening>(&held.id)], say("what.opening_removed", &[("pair", &pair)])))
    }

    /// A wall has one entry, named after it, so that two people who set the same wall's gap apart see that they
    /// disagree.
    fn set_edge(
        &self,
        wall: (&str, &str),
        gap: Option<&str>,
        covers: Option<&str>,
    ) -> Result<Edits, Problem> {
        let units = self.job.units;
        let (from, to) = self.room.labels.wall(wall.0, wall.1)?;
        let gap = units.read_answer(gap.unwrap_or(""), "edit.gap")?;
        let trim_covers = units.read_answer(covers.unwrap_or(""), "edit.trim_covers")?;
        let words = say("what.edge", &[("pair", &self.room.labels.pair(&from, &to))]);
        let edges = &self.room.view.edges;
        let is_this = |held: &&Held<Edge>| held.value.from == from && held.value.to == to;
        let (live, gone) = (edges.live.iter().find(is_this), edges.withdrawn.iter().find(is_this));
        let id = ItemId::new(format!("{from}-{to}"));
        let overhang = live.and_then(|held| held.value.overhang.clone());
        let after = Edge { from: from.clone(), to: to.clone(), gap, trim_covers, overhang };
        let nothing = after.gap.is_none() && after.trim_covers.is_none() && after.overhang.is_none();
        let edits = match (live, gone) {
            (Some(held), _) if nothing => vec![withdraw::<Edge>(&held.id)],
            (Some(held), _) => vec![Edit::change(&held.id, held.value.clone(), after)],
            (None, _) if nothing => Vec::new(),
            (None, Some(held)) => {
                let restore = Edit::Restore { table: Edge::TABLE, id: held.id.clone() };
                vec![restore, Edit::change(&held.id, held.value.clone(), after)]
            }
            (None, None) => vec![Edit::add(&id, after)],
        };
        Ok((edits, words))
    }

    fn rename(&self, name: &str, room: &str) -> Result<Planned, Problem> {
        let name = said(name).ok_or_else(|| Problem::new("sheet.name", "edit.name"))?;
        let words = say("what.room_renamed", &[("name", &name)]);
        let id = ItemId::new(room);
        let link = self.job.view.rooms.get(&id).ok_or_else(|| unknown("job.unknown_room", "room", room))?;
        let after = RoomLink { name, ..link.value.clone() };
        let job_edits = vec![Edit::change(&id, link.value.clone(), after)];
        Ok(Planned { edits: Vec::new(), job_edits, words })
    }
}

/// Edits of the room's document, and what undo will be called.
pub(super) type Edits = (Vec<Edit<RoomEntry>>, String);

/// The standing readings of a distance, whichever way round.
pub(crate) fn readings_of<'a>(
    room: &'a SeenRoom,
    from: &'a ItemId,
    to: &'a ItemId,
) -> impl Iterator<Item = &'a Held<TapeReading>> {
    let joins = move |r: &TapeReading| (&r.from, &r.to) == (from, to) || (&r.from, &r.to) == (to, from);
    room.view.tape.live.iter().filter(move |held| joins(&held.value))
}

pub(super) fn withdraw<T: Entry>(id: &ItemId) -> Edit<RoomEntry> {
    Edit::Withdraw { table: T::TABLE, id: id.clone() }
}

fn sum(editor: &Editor<'_>, a: &TypedLength, b: &TypedLength) -> TypedLength {
    editor.job.units.made(a.length() + b.length())
}
