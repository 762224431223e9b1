//! Supplies by their use: strips from rolls, pieces from bars, grout and sealant by volume, the rest by rule.

use super::HABIT_PERCENT;
use super::line::{Amount, Figure, GuessLine, Line, Part};
use super::site::Site;
use crate::Problem;
use crate::answers::{PlannedArea, grid};
use drylay_document::sheet::{Measure, Pack, Per, Supply, SupplyUse};
use drylay_geometry::Length;
use drylay_plan::takeoff::bars::{Bars, cut_to};
use drylay_plan::takeoff::strips::{Roll, Strips, lay};
use drylay_plan::takeoff::{joints, packs, whole, with_percent};
use std::borrow::Borrow;

/// Counts supplies one after the other.
pub(super) struct Counter<'s, 'a, A: Borrow<PlannedArea>> {
    pub(super) site: &'s Site<'a, A>,
    /// Length of seams in mm of each area, as far as strips were counted.
    pub(super) seams: Vec<f64>,
    pub(super) notes: Vec<Problem>,
}

/// The areas a supply goes with, each with its place among all.
type Of<'a> = [(usize, &'a PlannedArea)];

impl<'a, A: Borrow<PlannedArea>> Counter<'_, 'a, A> {
    /// The line of a supply; `None` where none of it is needed, or it cannot be counted, which is noted.
    pub(super) fn line(&mut self, index: usize, supply: &Supply) -> Option<Line> {
        let areas = self.site.areas_of(supply);
        if areas.is_empty() {
            return None;
        }
        let place = format!("supplies[{index}]");
        match supply.used_as {
            SupplyUse::Underlay | SupplyUse::Film => self.strips(supply, &areas, &place),
            SupplyUse::Tape => self.tape(supply, &areas),
            SupplyUse::Grout => self.grout(supply, &areas, &place),
            SupplyUse::Sealant => self.sealant(supply, &areas),
            SupplyUse::Transition => self.transitions(supply, &areas, &place),
            SupplyUse::Trim => self.trim(supply, &areas, &place),
            SupplyUse::Adhesive | SupplyUse::Spacers | SupplyUse::Blade | SupplyUse::Consumable => {
                self.by_rule(supply, &areas)
            }
        }
    }

    fn not_cut(&mut self, supply: &Supply, place: &str, why: impl ToString) {
        let note = Problem::new("takeoff.not_cut", place).with("name", title(supply));
        self.notes.push(note.with("why", why.to_string()));
    }

    fn strips(&mut self, supply: &Supply, areas: &Of<'a>, place: &str) -> Option<Line> {
        let (width, length) = (length_of(&supply.width)?, length_of(&supply.length)?);
        let roll = Roll { width, length, lap: length_of(&supply.lap).unwrap_or(Length::ZERO) };
        let grid = grid(self.site.sheet.units);
        let (mut pieces, mut parts, mut laid) = (Vec::new(), Vec::new(), Vec::<Strips>::new());
        let mut area_m2 = 0.0;
        for (i, area) in areas {
            let strips = match lay(&area.field.floor, &[area.plan.choice.along.direction], roll, grid) {
                Ok(strips) => strips,
                Err(why) => {
                    self.not_cut(supply, place, why);
                    return None;
                }
            };
            let each = strips.rolls.lengths.iter().zip(&strips.rolls.counts);
            pieces.extend(each.flat_map(|(&l, &n)| std::iter::repeat_n(l, n)));
            self.seams[*i] += strips.seam_mm;
            let here = area.field.floor.area_mm2() / 1e6;
            area_m2 += here;
            parts.push(Part::of_area("floor_m2", Amount::Measure(here), &area.id));
            laid.push(strips);
        }
        // What is left of a roll in one area goes on in the next.
        let bars = match cut_to(&pieces, length, Length::ZERO, Length::ZERO, grid) {
            Ok(bars) => bars,
            Err(why) => {
                self.not_cut(supply, place, why);
                return None;
            }
        };
        let from = vec![
            Figure::measure("floor_m2", area_m2),
            Figure::count("strips", pieces.len()),
            Figure::measure("strips_m", bars.cut_mm() / 1000.0),
            Figure::count("seams", laid.iter().map(|s| s.seams).sum()),
            Figure::measure("seams_m", laid.iter().map(|s| s.seam_mm).sum::<f64>() / 1000.0),
            Figure::count("least", bars.plan.bound),
        ];
        let guessed = whole(with_percent(area_m2, HABIT_PERCENT) / (width.mm() * length.mm() / 1e6));
        let line = counted(supply, bars.count(), "roll", from, parts);
        Some(guess(line, supply, Some(area_m2), Amount::Count(guessed)))
    }

    fn tape(&mut self, supply: &Supply, areas: &Of<'a>) -> Option<Line> {
        let metres = areas.iter().map(|(i, _)| self.seams[*i]).sum::<f64>() / 1000.0;
        let roll = length_of(&supply.length)?.mm() / 1000.0;
        let part = |(i, area): &(usize, &PlannedArea)| {
            let seam = self.seams[*i] / 1000.0;
            (seam > 0.0).then(|| Part::of_area("seams_m", Amount::Measure(seam), &area.id))
        };
        let parts = areas.iter().filter_map(part).collect();
        let mut from = vec![Figure::measure("seams_m", metres)];
        let needed = wasted(supply, metres, &mut from);
        from.push(Figure::measure("roll_m", roll));
        (metres > 0.0).then(|| counted(supply, packs(needed, roll), "roll", from, parts))
    }

    fn grout(&mut self, supply: &Supply, areas: &Of<'a>, place: &str) -> Option<Line> {
        let (mut joints_m2, mut litres, mut guessed, mut area_m2) = (0.0, 0.0, 0.0, 0.0);
        let (mut parts, mut deep) = (Vec::new(), None);
        // Tiles that touch have nothing between them but what rounding leaves.
        for (_, area) in areas.iter().filter(|(_, area)| area.product.joint > Length::ZERO) {
            let product = self.site.sheet.product(&area.product.id);
            let depth = length_of(&supply.depth)
                .or_else(|| length_of(&product?.joint_depth))
                .or_else(|| length_of(&product?.thickness));
            let Some(depth) = depth else {
                let note = Problem::new("takeoff.no_depth", place).with("name", title(supply));
                self.notes.push(note.with("product", &area.product.id));
                continue;
            };
            let mm2 = (joints::area_mm2(&area.field, &area.plan) - parted_mm2(area)).max(0.0);
            joints_m2 += mm2 / 1e6;
            litres += joints::litres(mm2, depth);
            let face = (area.product.length, area.product.width);
            area_m2 += area.field.area_m2();
            guessed += area.field.area_m2() * joints::rule_of_thumb(face, area.product.joint, depth);
            parts.push(Part::of_area("joints_m2", Amount::Measure(mm2 / 1e6), &area.id));
            deep.get_or_insert(depth);
        }
        let mut from = vec![
            Figure::measure("joints_m2", joints_m2),
            Figure::measure("depth_mm", deep?.mm()),
            Figure::measure("litres", litres),
        ];
        let needed = wasted(supply, litres, &mut from);
        let line = by_volume(supply, needed, from, parts);
        let guessed = with_percent(guessed, HABIT_PERCENT) * supply.density.unwrap_or(1.0);
        (joints_m2 > 0.0).then(|| guess(line, supply, Some(area_m2), Amount::Measure(guessed)))
    }

    /// The gap along the walls of wet rooms and round what stands in them, and movement joints of tiles that are set.
    fn sealant(&mut self, supply: &Supply, areas: &Of<'a>) -> Option<Line> {
        let depth = length_of(&supply.depth)?.mm();
        let (mut edge_mm, mut joint_mm, mut mm2, mut parts) = (0.0, 0.0, 0.0, Vec::new());
        for (_, area) in areas {
            for wall in self.site.walls(area).iter().filter(|wall| self.site.is_wet(wall.room)) {
                edge_mm += wall.run.length.mm();
                mm2 += wall.run.length.mm() * wall.gap.mm();
                parts.push(Part::of_room(
                    "wall_m",
                    Amount::Measure(wall.run.length.mm() / 1000.0),
                    wall.room,
                ));
            }
            let round = self.site.round_in_wet(area);
            edge_mm += round;
            mm2 += round * area.product.edge_gap.mm();
            if !area.product.interlock {
                let (length, width) = movement(area);
                joint_mm += length;
                mm2 += length * width;
            }
        }
        let mut from = vec![
            Figure::measure("edge_m", edge_mm / 1000.0),
            Figure::measure("movement_m", joint_mm / 1000.0),
            Figure::measure("depth_mm", depth),
            Figure::measure("litres", mm2 * depth / 1e6),
        ];
        let needed = wasted(supply, mm2 * depth / 1e6, &mut from);
        let line = by_volume(supply, needed, from, merged(parts));
        (mm2 > 0.0).then_some(line)
    }

    /// Strips in the openings in which a floor ends, and over movement joints of floating floors.
    fn transitions(&mut self, supply: &Supply, areas: &Of<'a>, place: &str) -> Option<Line> {
        let (mut runs, mut parts) = (Vec::new(), Vec::new());
        let (mut openings, mut joint_count) = (0, 0);
        for (i, area) in areas {
            for end in self.site.ends(*i, area) {
                openings += 1;
                runs.push(end.width);
                parts.push(Part::of_room("opening_m", Amount::Measure(end.width.mm() / 1000.0), end.room));
            }
            let parted = area.movement.iter().filter(|_| area.product.interlock);
            for joint in parted.flat_map(|(_, found)| &found.joints) {
                let length = (joint.line.1 - joint.line.0).norm() / 1e6;
                joint_count += 1;
                runs.extend(Length::from_mm_f64(length));
                parts.push(Part::of_area("movement_m", Amount::Measure(length / 1000.0), &area.id));
            }
        }
        let from = vec![Figure::count("openings", openings), Figure::count("movement_joints", joint_count)];
        self.bars(supply, &runs, from, merged(parts), place)
    }

    fn trim(&mut self, supply: &Supply, areas: &Of<'a>, place: &str) -> Option<Line> {
        let walls: Vec<_> = areas.iter().flat_map(|(_, area)| self.site.walls(area)).collect();
        let runs: Vec<Length> = walls.iter().map(|wall| wall.run.length).collect();
        let part = |wall: &super::site::Wall<'_>| {
            Part::of_room("wall_m", Amount::Measure(wall.run.length.mm() / 1000.0), wall.room)
        };
        let parts = merged(walls.iter().map(part).collect());
        self.bars(supply, &runs, vec![Figure::count("walls", runs.len())], parts, place)
    }

    fn bars(
        &mut self,
        supply: &Supply,
        runs: &[Length],
        mut from: Vec<Figure>,
        parts: Vec<Part>,
        place: &str,
    ) -> Option<Line> {
        let bar = length_of(&supply.length)?;
        let or_none = |l: &Option<Measure>| length_of(l).unwrap_or(Length::ZERO);
        let grid = grid(self.site.sheet.units);
        let cut: Bars = match cut_to(runs, bar, or_none(&supply.kerf), or_none(&supply.extra_length), grid) {
            Ok(cut) => cut,
            Err(why) => {
                self.not_cut(supply, place, why);
                return None;
            }
        };
        let metres = runs.iter().map(|run| run.mm()).sum::<f64>() / 1000.0;
        from.extend([
            Figure::measure("runs_m", metres),
            Figure::count("pieces", cut.counts.iter().sum()),
            Figure::count("joins", cut.joins),
            Figure::count("least", cut.plan.bound),
        ]);
        let guessed = packs(with_percent(metres, HABIT_PERCENT), bar.mm() / 1000.0);
        let line = counted(supply, cut.count(), "bar", from, parts);
        (!runs.is_empty()).then(|| guess(line, supply, None, Amount::Count(guessed)))
    }

    fn by_rule(&mut self, supply: &Supply, areas: &Of<'a>) -> Option<Line> {
        let (rate, per) = (supply.rate?, supply.per?);
        let counted_of = self.site.count(per, areas);
        let mut from = vec![Figure::measure(per_word(per), counted_of), Figure::measure("rate", rate)];
        let needed = wasted(supply, counted_of * rate, &mut from);
        let parts = match per {
            Per::Job => Vec::new(),
            _ => areas
                .iter()
                .map(|(_, area)| {
                    let here = self.site.count_in(per, area);
                    Part::of_area(per_word(per), Amount::Measure(here), &area.id)
                })
                .collect(),
        };
        if needed <= 0.0 {
            return None;
        }
        Some(if supply.used_as == SupplyUse::Adhesive {
            measured(supply, needed, "kg", from, parts)
        } else {
            counted(supply, whole(needed), "piece", from, parts)
        })
    }
}

/// What a rule counts, as a figure is called.
fn per_word(per: Per) -> &'static str {
    match per {
        Per::Tile => "tiles",
        Per::SquareMetre => "covered_m2",
        Per::WallMetre => "wall_m",
        Per::Cut => "cuts",
        Per::CutMetre => "cut_m",
        Per::Job => "jobs",
    }
}

/// What people call a supply.
pub(super) fn title(supply: &Supply) -> &str {
    if supply.name.is_empty() { supply.id.as_str() } else { &supply.name }
}

fn length_of(measure: &Option<Measure>) -> Option<Length> {
    measure.as_ref().map(|m| m.length)
}

/// Length and width in mm of an area's movement joints.
fn movement(area: &PlannedArea) -> (f64, f64) {
    let Some((spacing, found)) = &area.movement else { return (0.0, 0.0) };
    let length = found.joints.iter().map(|j| (j.line.1 - j.line.0).norm() / 1e6).sum();
    (length, spacing.width.unwrap_or(area.product.joint).mm())
}

/// The area of joints between rows that are movement joints and so not grouted.
fn parted_mm2(area: &PlannedArea) -> f64 {
    let between = area.movement.iter().flat_map(|(_, found)| &found.joints).filter(|j| j.between_rows);
    between.map(|j| (j.line.1 - j.line.0).norm() / 1e6 * area.product.joint.mm()).sum()
}

/// A quantity with its waste, which is noted among the figures.
fn wasted(supply: &Supply, quantity: f64, from: &mut Vec<Figure>) -> f64 {
    let waste = supply.waste.unwrap_or(0.0);
    if waste > 0.0 {
        from.push(Figure::measure("waste", waste));
    }
    quantity * (1.0 + waste)
}

/// Parts of one place added up, in the order in which places come first.
fn merged(parts: Vec<Part>) -> Vec<Part> {
    let mut found: Vec<Part> = Vec::new();
    for part in parts {
        let same = |p: &&mut Part| (p.what, &p.area, &p.room) == (part.what, &part.area, &part.room);
        match found.iter_mut().find(same) {
            Some(known) => known.value = Amount::Measure(known.value.number() + part.value.number()),
            None => found.push(part),
        }
    }
    found
}

/// Litres, or kilogrammes where the supply has a density.
fn by_volume(supply: &Supply, litres: f64, mut from: Vec<Figure>, parts: Vec<Part>) -> Line {
    match supply.density {
        Some(density) => {
            from.push(Figure::measure("density", density));
            measured(supply, litres * density, "kg", from, parts)
        }
        None => measured(supply, litres, "litre", from, parts),
    }
}

fn counted(supply: &Supply, n: usize, unit: &'static str, from: Vec<Figure>, parts: Vec<Part>) -> Line {
    line(supply, Amount::Count(n), unit, from, parts)
}

fn measured(supply: &Supply, x: f64, unit: &'static str, from: Vec<Figure>, parts: Vec<Part>) -> Line {
    line(supply, Amount::Measure(x), unit, from, parts)
}

fn line(supply: &Supply, quantity: Amount, unit: &'static str, from: Vec<Figure>, parts: Vec<Part>) -> Line {
    let packs = in_packs(supply.pack.as_ref(), quantity);
    let kg = supply.pack.as_ref().and_then(|p| p.kg).zip(packs).map(|(kg, n)| kg * n as f64);
    Line {
        item: supply.used_as.word(),
        product: supply.id.to_string(),
        quantity,
        unit,
        packs,
        pack: supply.pack.as_ref().map(|p| pack_name(p, unit)),
        kg,
        from,
        parts,
        guess: None,
    }
}

/// Packs that hold a quantity; `None` where it is a measure and nothing says what a pack holds.
fn in_packs(pack: Option<&Pack>, quantity: Amount) -> Option<usize> {
    match (pack?.holds, quantity) {
        (Some(holds), _) => Some(packs(quantity.number(), holds)),
        (None, Amount::Count(n)) => Some(n),
        (None, Amount::Measure(_)) => None,
    }
}

fn pack_name(pack: &Pack, unit: &str) -> String {
    if pack.name.is_empty() { unit.to_owned() } else { pack.name.clone() }
}

fn guess(line: Line, supply: &Supply, area_m2: Option<f64>, quantity: Amount) -> Line {
    let packs = in_packs(supply.pack.as_ref(), quantity);
    let guess =
        GuessLine { item: line.item, product: line.product.clone(), area_m2, tiles: None, quantity, packs };
    Line { guess: Some(guess), ..line }
}
