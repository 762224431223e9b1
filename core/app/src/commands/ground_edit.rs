//! Edits of what carries a floor and of heights, from the fields of their forms.

use super::asks_edit::{self, product_of};
use super::room::withdraw;
use crate::Problem;
use crate::desk::{SeenJob, SeenRoom};
use crate::forms::{ASKED, Filled, Form, UNDERLAY, UNDERLAYMENT};
use crate::refusal::unknown;
use crate::wire::GroundEdit;
use crate::words::say;
use drylay_document::exchange::underlay;
use drylay_document::{
    Area, At, BaseAnswer, BaseKind, BuildUp, Edit, Entry, Feature, FeatureKind, Fixture, FixtureKind,
    FloorFacts, Hazard, HazardAnswer, Held, JobEntry, JobFacts, Known, MoistureMethod, MoistureReading,
    Opening, Product, Records, RoomEntry, StandsOn, StructureAnswer, Things,
};
use drylay_geometry::ItemId;

/// Edits of the job's document or of the room's.
pub(super) enum HouseOrRoom {
    House(Vec<Edit<JobEntry>>),
    Room(Vec<Edit<RoomEntry>>),
}

type Done = Result<(HouseOrRoom, String), Problem>;
/// The edit of the room's document, if anything changes.
type Edited = Result<Option<Edit<RoomEntry>>, Problem>;

/// The edits, and what undo will be called.
pub(super) fn edits(
    job: &SeenJob,
    room: &SeenRoom,
    forms: &'static [Form],
    edit: &GroundEdit,
    (named, new): (&ItemId, &ItemId),
) -> Done {
    match edit {
        GroundEdit::Put { of, id, fields } => {
            let filled = Filled::of(job.units, forms, of, fields)?;
            Putter { job, room, named, filled, id: id.as_deref().map(ItemId::new), new }.put()
        }
        GroundEdit::TakeOut { of, id } => {
            let id = ItemId::new(id);
            let gone = match of.as_str() {
                "over_rule" | "deflection_rule" | "carry_rule" => {
                    let held = product_of(&job.view, named).ok_or_else(|| no_product(of))?;
                    HouseOrRoom::House(asks_edit::changed(held, |rules| asks_edit::take_out(of, &id, rules))?)
                }
                UNDERLAYMENT => {
                    let known = job.view.products.get(&id).and_then(underlay).is_some();
                    if !known {
                        return Err(unknown("entry.unknown", "edit.id", id.as_str()));
                    }
                    HouseOrRoom::House(vec![Edit::Withdraw { table: Product::TABLE, id }])
                }
                _ => HouseOrRoom::Room(vec![take_out(room, of, &id)?]),
            };
            Ok((gone, say("what.ground_taken_out", &[])))
        }
    }
}

fn no_product(of: &str) -> Problem {
    unknown("form.no_product", "edit.of", of)
}

fn take_out(room: &SeenRoom, of: &str, id: &ItemId) -> Result<Edit<RoomEntry>, Problem> {
    let view = &room.view;
    let there = |known: bool, edit: Edit<RoomEntry>| {
        if known { Ok(edit) } else { Err(unknown("entry.unknown", "edit.id", id.as_str())) }
    };
    match of {
        "layer" => there(view.base.get(id).is_some(), withdraw::<BaseAnswer>(id)),
        "test" => there(view.moisture.get(id).is_some(), withdraw::<MoistureReading>(id)),
        "structure" => there(view.structure.get(id).is_some(), withdraw::<StructureAnswer>(id)),
        "seam" => there(view.features.get(id).is_some(), withdraw::<Feature>(id)),
        "hazard" => there(view.hazards.get(id).is_some(), withdraw::<HazardAnswer>(id)),
        "heavy" | "fixture" => there(view.fixtures.get(id).is_some(), withdraw::<Fixture>(id)),
        "work" | "build_up" => {
            let before = view.floor.value.clone().unwrap_or_else(FloorFacts::unsaid);
            let mut after = before.clone();
            let at = place_in_list(id)?;
            let gone = if of == "work" { after.work.len() } else { after.build_up.len() };
            if at >= gone {
                return Err(unknown("entry.unknown", "edit.id", id.as_str()));
            }
            if of == "work" {
                after.work.remove(at);
            } else {
                after.build_up.remove(at);
            }
            Ok(Edit::change_single(before, after))
        }
        _ => Err(unknown("form.unknown", "edit.of", of)),
    }
}

/// What stands in a list is named by its place in it.
fn place_in_list(id: &ItemId) -> Result<usize, Problem> {
    id.as_str().parse().map_err(|_| unknown("entry.unknown", "edit.id", id.as_str()))
}

struct Putter<'a> {
    job: &'a SeenJob,
    room: &'a SeenRoom,
    /// The room's name in the job.
    named: &'a ItemId,
    filled: Filled<'a>,
    id: Option<ItemId>,
    new: &'a ItemId,
}

impl Putter<'_> {
    fn put(&self) -> Done {
        let form = self.filled.form();
        match form {
            "house" => return self.house(),
            UNDERLAY => return self.underlay(),
            UNDERLAYMENT => {
                let edits =
                    asks_edit::underlayment(&self.filled, &self.job.view, self.id.as_ref(), self.new)?;
                return Ok((HouseOrRoom::House(edits), say("form.title.underlayment", &[])));
            }
            of if ASKED.contains(&of) => {
                let held = product_of(&self.job.view, self.named).ok_or_else(|| no_product(of))?;
                let at = self.id.as_ref();
                let put = |rules: &mut _| asks_edit::put(&self.filled, at, rules);
                let edits = asks_edit::changed(held, put)?;
                return Ok((HouseOrRoom::House(edits), say("what.product_asks", &[])));
            }
            _ => {}
        }
        let view = &self.room.view;
        let id = self.id.as_ref();
        let edit = match form {
            "layer" => self.record(&view.base, id, self.layer()?),
            "test" => self.record(&view.moisture, id, self.test()?),
            "hazard" => self.record(&view.hazards, id, self.hazard()?),
            // There is one; a newer answer takes its place.
            "structure" => {
                let standing = view.structure.live.last().map(|held| &held.id);
                self.record(&view.structure, standing, self.structure()?)
            }
            "seam" => self.thing(&view.features, self.seam()?),
            "heavy" | "fixture" => self.thing(&view.fixtures, self.fixture(form == "heavy")?),
            "opening" => self.opening(),
            _ => self.facts(),
        }?;
        let title = say(&format!("form.title.{form}"), &[]);
        Ok((HouseOrRoom::Room(edit.into_iter().collect()), say("what.ground_said", &[("what", &title)])))
    }

    fn lost(&self, id: &ItemId) -> Problem {
        unknown("entry.unknown", "edit.id", id.as_str())
    }

    /// A record anew, or in the place of one that stands.
    fn record<T: Entry>(&self, of: &Records<T>, id: Option<&ItemId>, entry: T) -> Edited
    where
        RoomEntry: From<T>,
    {
        let Some(id) = id else { return Ok(Some(Edit::add(self.new, entry))) };
        let held = of.get(id).ok_or_else(|| self.lost(id))?;
        Ok((held.value != entry).then(|| Edit::correct(self.new, entry, &held.id)))
    }

    /// A thing anew, or changed.
    fn thing<T: Entry>(&self, of: &Things<T>, after: T) -> Edited
    where
        RoomEntry: From<T>,
    {
        let Some(id) = &self.id else { return Ok(Some(Edit::add(self.new, after))) };
        let held: &Held<T> = of.get(id).ok_or_else(|| self.lost(id))?;
        Ok((held.value != after).then(|| Edit::change(id, held.value.clone(), after)))
    }

    /// A place on the plan: both figures, or none.
    fn at(&self, x: &str, y: &str) -> Result<Option<At>, Problem> {
        match (self.filled.signed(x)?, self.filled.signed(y)?) {
            (Some(x), Some(y)) => Ok(Some(At { x, y })),
            (None, None) => Ok(None),
            (one, _) => {
                let missing = if one.is_none() { x } else { y };
                Err(Problem::new("length.empty", format!("edit.fields.{missing}")))
            }
        }
    }

    fn house(&self) -> Done {
        let nothing = || Problem::internal("a job without its facts");
        let before = self.job.view.facts.value.clone().ok_or_else(nothing)?;
        let built = self.filled.number("built")?;
        let year = built.as_ref().map(|year| year.as_str().parse::<u32>().ok().filter(|y| *y > 0));
        if year == Some(None) {
            let found = built.as_ref().map_or("", |year| year.as_str());
            return Err(Problem::new("call.year", "edit.fields.built").with("found", found));
        }
        let after = JobFacts {
            year_built: year.flatten().map(i64::from),
            lay_day: self.filled.day("day")?,
            ..before.clone()
        };
        let edits = if before == after { Vec::new() } else { vec![Edit::change_single(before, after)] };
        Ok((HouseOrRoom::House(edits), say("what.house", &[])))
    }

    /// The underlayment of an area of the room.
    fn underlay(&self) -> Done {
        let id = self.id.as_ref().ok_or_else(|| Problem::new("form.choose", "edit.id"))?;
        let before = self.job.view.areas.get(id).ok_or_else(|| self.lost(id))?.value.clone();
        let chosen = self.filled.text("underlay").map(ItemId::new);
        let there = |id: &ItemId| self.job.view.products.get(id).and_then(underlay).is_some();
        if let Some(other) = chosen.as_ref().filter(|id| !there(id)) {
            return Err(unknown("sheet.unknown_underlay", "edit.fields.underlay", other.as_str()));
        }
        let after = Area { underlay: chosen, ..before.clone() };
        let edits = if before == after { Vec::new() } else { vec![Edit::change(id, before, after)] };
        Ok((HouseOrRoom::House(edits), say("form.title.underlay", &[])))
    }

    fn layer(&self) -> Result<BaseAnswer, Problem> {
        let f = &self.filled;
        let live = &self.room.view.base;
        let standing = self.id.as_ref().and_then(|id| live.get(id)).map(|held| held.value.layer);
        let next = live.live.iter().map(|held| held.value.layer + 1).max().unwrap_or(0);
        Ok(BaseAnswer {
            what: f.must("what", BaseKind::from_word)?,
            layer: standing.unwrap_or(next),
            thickness: f.positive("thickness")?,
            fixing: f.text("fixing"),
            sound: f.yes("sound"),
            notes: f.text("notes"),
        })
    }

    fn test(&self) -> Result<MoistureReading, Problem> {
        let f = &self.filled;
        let method = f.must("method", MoistureMethod::from_word)?;
        let weighed = method == MoistureMethod::CalciumChloride;
        let standing = self.id.as_ref().and_then(|id| self.room.view.moisture.get(id));
        Ok(MoistureReading {
            method,
            at: self.at("at_x", "at_y")?,
            value: f.number(if weighed { "end_grams" } else { "percent" })?,
            start_grams: if weighed { f.number("start_grams")? } else { None },
            area_cm2: f.number("area_cm2")?,
            hours: f.number("hours")?,
            depth: f.positive("depth")?,
            celsius: f.number("celsius")?,
            air_humidity: f.number("air_percent")?,
            of: f.text("of"),
            read_ms: None,
            way: f.text("way"),
            service_hours: f.number("service_hours")?,
            day: f.day("day")?,
            calibrated: f.day("calibrated")?,
            listed: standing.and_then(|held| held.value.listed),
        })
    }

    fn hazard(&self) -> Result<HazardAnswer, Problem> {
        let f = &self.filled;
        let standing = self.id.as_ref().and_then(|id| self.room.view.hazards.get(id));
        Ok(HazardAnswer {
            hazard: f.must("hazard", Hazard::from_word)?,
            known: f.must("known", Known::from_word)?,
            basis: f.text("basis"),
            report: standing.and_then(|held| held.value.report),
        })
    }

    fn structure(&self) -> Result<StructureAnswer, Problem> {
        let f = &self.filled;
        Ok(StructureAnswer {
            span: f.positive("span")?,
            spacing: f.positive("spacing")?,
            width: f.positive("width")?,
            depth: f.positive("depth")?,
            species: f.text("species"),
            sheathing: f.positive("sheathing")?,
            notes: f.text("notes"),
            bearing: f.length("bearing")?,
            size: f.text("size"),
            e_psi: f.number("e_psi")?,
            fb_psi: f.number("fb_psi")?,
            live_psf: f.number("live_psf")?,
            dead_psf: f.number("dead_psf")?,
            new_psf: f.number("new_psf")?,
            fixing: f.text("fixing"),
            step: f.length("step")?,
        })
    }

    fn seam(&self) -> Result<Feature, Problem> {
        let f = &self.filled;
        let end = |x: &str, y: &str| {
            self.at(x, y)?.ok_or_else(|| Problem::new("length.empty", format!("edit.fields.{x}")))
        };
        let (from, to) = (end("from_x", "from_y")?, end("to_x", "to_y")?);
        if from == to {
            return Err(Problem::new("base.short_line", "edit.fields.to_x").with("found", 1));
        }
        // What lies between the ends of a bent line is kept.
        let standing = self.id.as_ref().and_then(|id| self.room.view.features.get(id));
        let mut line = standing.map(|held| held.value.line.clone()).unwrap_or_default();
        if line.len() < 2 {
            line = vec![from, to];
        } else {
            let last = line.len() - 1;
            (line[0], line[last]) = (from, to);
        }
        Ok(Feature {
            what: f.must("what", FeatureKind::from_word)?,
            line,
            width: f.length("width")?,
            step: f.length("step")?,
            notes: f.text("notes"),
        })
    }

    fn fixture(&self, heavy: bool) -> Result<Fixture, Problem> {
        let f = &self.filled;
        let standing = self.id.as_ref().and_then(|id| self.room.view.fixtures.get(id));
        let what = if heavy { FixtureKind::Heavy } else { f.must("what", FixtureKind::from_word)? };
        Ok(Fixture {
            name: f.text("name").unwrap_or_default(),
            what: Some(what),
            at: self.at("at_x", "at_y")?,
            height: f.signed("height")?,
            least: f.signed("least")?,
            most: f.signed("most")?,
            others: f.positive("others")?,
            differ: f.length("differ")?,
            psf: f.number("psf")?,
            stands: f.choice("stands", StandsOn::from_word),
            source: f.text("source"),
            notes: standing.and_then(|held| held.value.notes.clone()),
        })
    }

    fn opening(&self) -> Edited {
        let f = &self.filled;
        let id = self.id.as_ref().ok_or_else(|| Problem::new("form.choose", "edit.id"))?;
        let before = self.room.view.openings.get(id).ok_or_else(|| self.lost(id))?.value.clone();
        let after = Opening {
            next_door: f.signed("next_height")?,
            next_floor: f.text("next_floor"),
            next_base: f.signed("next_base")?,
            rated: f.yes("rated"),
            door_clearance: f.length("door_clearance")?,
            door_gap: f.length("door_gap")?,
            door_stays: f.yes("stays"),
            ..before.clone()
        };
        Ok((before != after).then(|| Edit::change(id, before, after)))
    }

    /// What is said of the floor once: the slab, and lists of work and of what is built up.
    fn facts(&self) -> Edited {
        let f = &self.filled;
        let before = self.room.view.floor.value.clone().unwrap_or_else(FloorFacts::unsaid);
        let mut after = before.clone();
        match f.form() {
            "slab" => {
                after.slab_thickness = f.positive("thickness")?;
                after.dries_both = f.text("drying").map(|word| word == "both");
            }
            "work" => {
                let word = f.text("work").ok_or_else(|| Problem::new("form.choose", "edit.fields.work"))?;
                put(&mut after.work, self.id.as_ref(), word)?;
                after.work.dedup();
            }
            _ => {
                let name = f.text("name").ok_or_else(|| Problem::new("form.name", "edit.fields.name"))?;
                let built = BuildUp { name, thickness: f.need("thickness")? };
                put(&mut after.build_up, self.id.as_ref(), built)?;
            }
        }
        Ok((before != after).then(|| Edit::change_single(before, after)))
    }
}

/// Puts something into a list, anew or in its place.
fn put<T>(list: &mut Vec<T>, id: Option<&ItemId>, value: T) -> Result<(), Problem> {
    let Some(id) = id else {
        list.push(value);
        return Ok(());
    };
    let standing = list.get_mut(place_in_list(id)?);
    *standing.ok_or_else(|| unknown("entry.unknown", "edit.id", id.as_str()))? = value;
    Ok(())
}
