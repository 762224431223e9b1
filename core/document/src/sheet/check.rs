//! What can be wrong between the parts of a sheet: names used twice, names that lead nowhere.

use super::{Along, Area, Motion, Problem, Product, Room, Sheet, Supply, SupplyUse, Turn};
use drylay_geometry::CornerId;
use std::collections::BTreeMap;
use std::fmt::Display;

/// Notes everything that is wrong between the parts of a sheet.
pub(super) fn sheet(sheet: &Sheet, problems: &mut Vec<Problem>) {
    let found = between(sheet);
    // A name that leads to something that could not be read is no mistake of its own.
    let spoilt = |part: &str| problems.iter().any(|p| p.place.starts_with(part));
    let (products, rooms) = (spoilt("products["), spoilt("rooms["));
    problems.extend(found.into_iter().filter(|p| match p.code.as_str() {
        "sheet.unknown_product" => !products,
        "sheet.unknown_room" | "sheet.unknown_opening" | "room.unknown_corner" => !rooms,
        _ => true,
    }));
}

fn between(sheet: &Sheet) -> Vec<Problem> {
    let problems = &mut Vec::new();
    unique("products", "id", sheet.products.iter().map(|p| &p.id), problems);
    for (i, product) in sheet.products.iter().enumerate() {
        engagement(product, &format!("products[{i}]"), problems);
    }
    unique("underlays", "id", sheet.underlays.iter().map(|u| &u.id), problems);
    unique("rooms", "id", sheet.rooms.iter().map(|r| &r.id), problems);
    unique("areas", "id", sheet.areas.iter().map(|a| &a.id), problems);
    for (i, r) in sheet.rooms.iter().enumerate() {
        room(r, &format!("rooms[{i}]"), problems);
    }
    for (i, passage) in sheet.passages.iter().enumerate() {
        for (side, end) in [("a", &passage.a), ("b", &passage.b)] {
            passage_end(sheet, end, &format!("passages[{i}].{side}"), problems);
        }
        if passage.a[0] == passage.b[0] {
            problems.push(
                Problem::new("passage.same_room", format!("passages[{i}]")).with("room", &passage.a[0]),
            );
        }
    }
    unique("supplies", "id", sheet.supplies.iter().map(|s| &s.id), problems);
    for (i, supply) in sheet.supplies.iter().enumerate() {
        bought_by(sheet, supply, &format!("supplies[{i}]"), problems);
    }
    variants(sheet, problems);
    for (i, a) in sheet.areas.iter().enumerate() {
        area(sheet, a, &format!("areas[{i}]"), problems);
    }
    std::mem::take(problems)
}

/// What a supply needs to be counted by its use, and the products it goes with.
fn bought_by(sheet: &Sheet, supply: &Supply, place: &str, problems: &mut Vec<Problem>) {
    use SupplyUse as Use;
    let taken = sheet.product(&supply.id).map(|_| "products");
    let taken = taken.or(sheet.compounds.iter().any(|c| c.id == supply.id).then_some("compounds"));
    if let Some(first) = taken {
        let twice = Problem::new("sheet.same_name", format!("{place}.id")).with("name", &supply.id);
        problems.push(twice.with("first", first));
    }
    for (i, id) in supply.with.iter().enumerate() {
        if sheet.product(id).is_none() {
            let lost = Problem::new("sheet.unknown_product", format!("{place}.with[{i}]"));
            problems.push(lost.with("name", id));
        }
    }
    let mut missing = |field: &str| problems.push(Problem::new("sheet.missing", format!("{place}.{field}")));
    let strips = matches!(supply.used_as, Use::Underlay | Use::Film);
    if strips && supply.width.is_none() {
        missing("width");
    }
    let long = strips || matches!(supply.used_as, Use::Tape | Use::Transition | Use::Trim);
    if long && supply.length.is_none() {
        missing("length");
    }
    if supply.used_as == Use::Sealant && supply.depth.is_none() {
        missing("depth");
    }
    if matches!(supply.used_as, Use::Adhesive | Use::Spacers | Use::Blade | Use::Consumable) {
        if supply.rate.is_none() {
            missing("rate");
        }
        if supply.per.is_none() {
            missing("per");
        }
    }
}

/// The areas and products that variants name.
fn variants(sheet: &Sheet, problems: &mut Vec<Problem>) {
    let Some(quote) = &sheet.quote else { return };
    unique("quote.variants", "id", quote.variants.iter().map(|v| &v.id), problems);
    for (i, variant) in quote.variants.iter().enumerate() {
        let place = format!("quote.variants[{i}]");
        for (k, id) in variant.areas.iter().enumerate() {
            if !sheet.areas.iter().any(|a| a.id == *id) {
                let lost = Problem::new("sheet.unknown_area", format!("{place}.areas[{k}]"));
                problems.push(lost.with("name", id));
            }
        }
        if let Some(id) = variant.product.as_ref().filter(|id| sheet.product(id).is_none()) {
            let lost = Problem::new("sheet.unknown_product", format!("{place}.product"));
            problems.push(lost.with("name", id));
        }
    }
    for (i, hidden) in quote.hidden.iter().enumerate().filter(|(_, h)| h.bad < h.likely) {
        let place = format!("quote.hidden[{i}].bad");
        problems.push(Problem::new("quote.bad_below_likely", place).with("likely", hidden.likely));
    }
}

/// What the motions need that engage a product's rails.
fn engagement(product: &Product, place: &str, problems: &mut Vec<Problem>) {
    let Some(e) = &product.engagement else { return };
    let mut missing = |field: &str| problems.push(Problem::new("sheet.missing", format!("{place}.{field}")));
    let by = |motion: Motion| e.long.contains(&motion) || e.short.contains(&motion);
    if product.thickness.is_none() {
        missing("thickness");
    }
    for (ways, field) in [(&e.long, "engagement.long[0]"), (&e.short, "engagement.short[0]")] {
        if ways.is_empty() {
            missing(field);
        }
    }
    if by(Motion::Angle) && e.angle_degrees.is_none() {
        missing("engagement.angle_degrees");
    }
    if by(Motion::Slide) && e.travel.is_none() {
        missing("engagement.travel");
    }
}

fn unique<T: Ord + Display>(
    place: &str,
    field: &str,
    names: impl Iterator<Item = T>,
    problems: &mut Vec<Problem>,
) {
    let mut seen: BTreeMap<T, usize> = BTreeMap::new();
    for (i, name) in names.enumerate() {
        if let Some(&first) = seen.get(&name) {
            let at = if field.is_empty() { format!("{place}[{i}]") } else { format!("{place}[{i}].{field}") };
            problems.push(
                Problem::new("sheet.same_name", at)
                    .with("name", &name)
                    .with("first", format!("{place}[{first}]")),
            );
        } else {
            seen.insert(name, i);
        }
    }
}

fn room(room: &Room, place: &str, problems: &mut Vec<Problem>) {
    let corners = room.corner_ids();
    unique(&format!("{place}.corners"), "", corners.iter(), problems);
    unique(&format!("{place}.keepouts"), "id", room.keepouts.iter().map(|k| &k.id), problems);
    unique(&format!("{place}.located"), "id", room.located.iter().map(|k| &k.id), problems);
    unique(&format!("{place}.openings"), "id", room.openings.iter().map(|o| &o.id), problems);
    if let Some(outline) = &room.outline {
        if !room.corners.is_empty() && room.corners.len() != outline.len() {
            let problem = Problem::new("room.corner_count", format!("{place}.corners"));
            problems.push(problem.with("names", room.corners.len()).with("points", outline.len()));
        }
        if !room.tape.is_empty() {
            problems.push(Problem::new("room.two_shapes", format!("{place}.tape")));
        }
    }
    let named = |corner: &CornerId| corners.contains(corner);
    let mut lost = |corner: &CornerId, at: String| {
        if !named(corner) {
            problems.push(Problem::new("room.unknown_corner", at).with("corner", corner));
        }
    };
    for (i, reading) in room.tape.iter().enumerate() {
        lost(&reading.from, format!("{place}.tape[{i}].from"));
        lost(&reading.to, format!("{place}.tape[{i}].to"));
    }
    for (i, check) in room.square.iter().enumerate() {
        lost(check.corner(), format!("{place}.square[{i}]"));
    }
    for name in room.turns.keys() {
        lost(&CornerId::new(name.clone()), format!("{place}.turns.{name}"));
    }
    unique(&format!("{place}.fixtures"), "id", room.fixtures.iter().map(|f| &f.id), problems);
    if let Some(base) = &room.base {
        unique(&format!("{place}.base.seams"), "id", base.seams.iter().map(|s| &s.id), problems);
        for (i, seam) in base.seams.iter().enumerate().filter(|(_, seam)| seam.line.len() < 2) {
            let at = format!("{place}.base.seams[{i}].line");
            problems.push(Problem::new("base.short_line", at).with("found", seam.line.len()));
        }
    }
    located(room, &corners, place, problems);
    thickness(room, place, problems);
    square_turns(room, place, problems);
    walls(room, &corners, place, problems);
    for (i, keepout) in room.keepouts.iter().enumerate() {
        if keepout.outline.len() < 3 {
            problems.push(Problem::new("ring.too_few", format!("{place}.keepouts[{i}].outline")));
        }
    }
}

/// A thing is located one way, from corners of the room, and not named as a keep-out is.
fn located(room: &Room, corners: &[CornerId], place: &str, problems: &mut Vec<Problem>) {
    for (i, thing) in room.located.iter().enumerate() {
        let at = format!("{place}.located[{i}]");
        let along = thing.wall.is_some() && thing.along.is_some() && thing.away.is_some();
        let partly = thing.wall.is_some() || thing.along.is_some() || thing.away.is_some();
        if along == thing.distances.is_some() || (thing.distances.is_some() && partly) {
            problems.push(Problem::new("located.how", at.clone()).with("id", &thing.id));
        }
        if thing.diameter.is_some() && thing.size.is_some() {
            problems.push(Problem::new("located.two_sizes", at.clone()).with("id", &thing.id));
        }
        if room.keepouts.iter().any(|k| k.id == thing.id) {
            let twice = Problem::new("sheet.same_name", format!("{at}.id")).with("name", &thing.id);
            problems.push(twice.with("first", format!("{place}.keepouts")));
        }
        for (k, from) in thing.distances.iter().flatten().enumerate() {
            if !corners.contains(&from.corner) {
                let lost = Problem::new("room.unknown_corner", format!("{at}.distances[{k}].corner"));
                problems.push(lost.with("corner", &from.corner));
            }
        }
        if let Some([from, to]) = &thing.wall {
            // A thing may be located from either end of a wall.
            let backwards = [to.clone(), from.clone()];
            let found = not_a_wall(corners, &[from.clone(), to.clone()], format!("{at}.wall"));
            problems.extend(found.filter(|_| not_a_wall(corners, &backwards, String::new()).is_some()));
        }
    }
}

/// What was held to trim or plate is corrected by its thickness, which must be known.
fn thickness(room: &Room, place: &str, problems: &mut Vec<Problem>) {
    use super::Touched;
    let thick = room.measured.as_ref().is_some_and(|m| m.thickness.is_some());
    let usual = room.measured.as_ref().map_or(Touched::Wall, |m| m.to);
    let held = |to: Option<Touched>| to.unwrap_or(usual) != Touched::Wall;
    if !thick && (usual != Touched::Wall || room.tape.iter().any(|r| held(r.measured_to))) {
        problems.push(Problem::new("room.no_thickness", format!("{place}.measured.thickness")));
    }
}

/// A corner checked square may be inside or outside; nothing else to check but that it is asked once.
fn square_turns(room: &Room, place: &str, problems: &mut Vec<Problem>) {
    unique(&format!("{place}.square"), "", room.square.iter().map(super::SquareCheck::corner), problems);
    let outs = room.turns.values().filter(|t| **t == Turn::Out).count();
    if !room.tape.is_empty() && room.corner_count() > 0 && outs + 3 > room.corner_count() {
        let problem = Problem::new("room.too_many_outs", format!("{place}.turns"));
        problems.push(problem.with("outs", outs).with("corners", room.corner_count()));
    }
}

fn walls(room: &Room, corners: &[CornerId], place: &str, problems: &mut Vec<Problem>) {
    let openings =
        room.openings.iter().enumerate().map(|(i, o)| (&o.wall, format!("{place}.openings[{i}].wall")));
    let edges = room.edges.iter().enumerate().map(|(i, e)| (&e.wall, format!("{place}.edges[{i}].wall")));
    let strings =
        room.strings.iter().enumerate().map(|(i, s)| (&s.wall, format!("{place}.strings[{i}].wall")));
    for (wall, at) in openings.chain(edges).chain(strings) {
        problems.extend(not_a_wall(corners, wall, at));
    }
}

fn not_a_wall(corners: &[CornerId], wall: &[CornerId; 2], at: String) -> Option<Problem> {
    let index = |c: &CornerId| corners.iter().position(|k| k == c);
    for corner in wall {
        if index(corner).is_none() {
            return Some(Problem::new("room.unknown_corner", at).with("corner", corner));
        }
    }
    let (from, to) = (index(&wall[0])?, index(&wall[1])?);
    let n = corners.len();
    if (from + 1) % n == to {
        return None;
    }
    let code = if (to + 1) % n == from { "room.wall_reversed" } else { "room.not_a_wall" };
    Some(Problem::new(code, at).with("from", &wall[0]).with("to", &wall[1]))
}

fn passage_end(sheet: &Sheet, end: &[String; 2], place: &str, problems: &mut Vec<Problem>) {
    let Some(room) = sheet.rooms.iter().find(|r| r.id.as_str() == end[0]) else {
        problems.push(Problem::new("sheet.unknown_room", format!("{place}[0]")).with("name", &end[0]));
        return;
    };
    if !room.openings.iter().any(|o| o.id.as_str() == end[1]) {
        let problem = Problem::new("sheet.unknown_opening", format!("{place}[1]"));
        problems.push(problem.with("name", &end[1]).with("room", &end[0]));
    }
}

fn area(sheet: &Sheet, area: &Area, place: &str, problems: &mut Vec<Problem>) {
    if area.rooms.is_empty() {
        problems.push(Problem::new("area.no_rooms", format!("{place}.rooms")));
    }
    unique(&format!("{place}.rooms"), "", area.rooms.iter(), problems);
    for (i, id) in area.rooms.iter().enumerate() {
        if sheet.room(id).is_none() {
            problems.push(Problem::new("sheet.unknown_room", format!("{place}.rooms[{i}]")).with("name", id));
        }
    }
    let Some(product) = sheet.product(&area.product) else {
        problems.push(
            Problem::new("sheet.unknown_product", format!("{place}.product")).with("name", &area.product),
        );
        return;
    };
    if let Some(underlay) = &area.underlay
        && !sheet.underlays.iter().any(|u| u.id == *underlay)
    {
        let lost = Problem::new("sheet.unknown_underlay", format!("{place}.underlay"));
        problems.push(lost.with("name", underlay));
    }
    super::prefer::check(sheet, area, place, problems);
    let layout = format!("{place}.layout");
    if let Some(offset) = area.layout.offset.fixed()
        && !product.offsets.contains(offset)
    {
        let allowed: Vec<String> = product.offsets.iter().map(ToString::to_string).collect();
        let problem = Problem::new("layout.forbidden_offset", format!("{layout}.offset"));
        problems.push(problem.with("found", offset).with("allowed", allowed.join(", ")));
    }
    for (value, most, name) in [
        (&area.layout.first_row, &product.face.width, "first_row"),
        (&area.layout.shift, &product.face.length, "shift"),
    ] {
        if let Some(value) = value.fixed()
            && value.length > most.length
        {
            let problem = Problem::new(format!("layout.{name}_too_long"), format!("{layout}.{name}"));
            problems.push(problem.with("found", value.text()).with("most", most.text()));
        }
    }
    let mut walls: Vec<([CornerId; 2], String)> = Vec::new();
    if let Some(Along::Wall(wall)) = area.layout.along.fixed() {
        // Rows may run along a wall either way.
        let known = area.rooms.iter().filter_map(|id| sheet.room(id)).map(|(_, r)| r.corner_ids());
        let [from, to] = wall.clone();
        let backwards = [to, from];
        let reversed =
            known.into_iter().any(|corners| not_a_wall(&corners, &backwards, String::new()).is_none());
        walls.push((if reversed { backwards } else { wall.clone() }, format!("{layout}.along")));
    }
    let pinned = area.layout.edges_at.iter().enumerate();
    walls.extend(pinned.map(|(i, e)| (e.wall.clone(), format!("{layout}.edges_at[{i}].wall"))));
    let start = area.layout.prefer.as_ref().and_then(|prefer| prefer.start.clone());
    walls.extend(start.map(|wall| (wall, format!("{layout}.prefer.start"))));
    for (wall, at) in walls {
        let rooms = area.rooms.iter().filter_map(|id| sheet.room(id)).map(|(_, r)| r.corner_ids());
        let found: Vec<Option<Problem>> =
            rooms.map(|corners| not_a_wall(&corners, &wall, at.clone())).collect();
        if !found.is_empty() && found.iter().all(Option::is_some) {
            // The mistake in the first room that knows the corners says most.
            let best = found.iter().flatten().find(|p| p.code != "room.unknown_corner");
            problems.extend(best.or(found.iter().flatten().next()).cloned());
        }
    }
}
