//! Where a layout should show no short cut, and what it should be centred on, found on the field.

use super::super::rooms::{ResolvedRoom, point};
use crate::Problem;
use drylay_document::sheet;
use drylay_geometry::{ItemId, Length, Point, Ring, RoomId};
use drylay_plan::field::OpeningPlace;
use drylay_plan::spots::Spot;
use drylay_plan::{Field, Product, Room};

/// The rooms of an area where they were placed.
pub(super) struct Placed<'a> {
    pub(super) field: &'a Field,
    pub(super) rooms: &'a [Room],
    /// Index of each room in the sheet.
    pub(super) at: &'a [usize],
    pub(super) resolved: &'a [ResolvedRoom],
}

/// A spot and the opening it belongs to, by room and name.
pub(super) type SpotOf = (RoomId, ItemId);

impl Placed<'_> {
    /// An opening of a room by its index in the field's list.
    fn opening(&self, [room, id]: &[String; 2]) -> Option<usize> {
        let here = |place: &OpeningPlace| {
            let room_of = &self.rooms[place.room];
            room_of.id.as_str() == room && room_of.openings[place.opening].id.as_str() == id
        };
        self.field.openings.iter().position(here)
    }

    /// Where no short cut is wished, with the openings; and what of the wish cannot be found.
    pub(super) fn spots(
        &self,
        layout: &sheet::Layout,
        product: &Product,
        place: &str,
    ) -> (Vec<Spot>, Vec<SpotOf>, Vec<Problem>) {
        let Some(prefer) = &layout.prefer else { return Default::default() };
        let mut spots: Vec<Spot> =
            prefer.doorways.iter().flat_map(|wish| self.doorways(wish, product)).collect();
        let mut notes = Vec::new();
        if let Some(wish) = &prefer.sight_line {
            let line = self.opening(&wish.from);
            let line = line.and_then(|o| Spot::sight_line(self.field, o, product, wish.least.length));
            if line.is_none() {
                let none = Problem::new("layout.no_sight", format!("{place}.layout.prefer.sight_line.from"));
                notes.push(none.with("opening", &wish.from[1]));
            }
            spots.extend(line);
        }
        let of = |spot: &Spot| {
            let place = &self.field.openings[spot.opening];
            let room = &self.rooms[place.room];
            (room.id.clone(), room.openings[place.opening].id.clone())
        };
        let openings = spots.iter().map(of).collect();
        (spots, openings, notes)
    }

    fn doorways(&self, wish: &sheet::Doorways, product: &Product) -> Vec<Spot> {
        let openings: Vec<usize> = match &wish.at[..] {
            [] => (0..self.field.openings.len()).collect(),
            named => named.iter().filter_map(|pair| self.opening(pair)).collect(),
        };
        let spot = |o: usize| {
            let place = &self.field.openings[o];
            let room = &self.rooms[place.room];
            let wall = room.openings[place.opening].wall;
            let gap = room.gaps.iter().rev().find(|(w, _)| *w == wall).map_or(product.edge_gap, |g| g.1);
            Spot::doorway(self.field, o, gap, wish.least.length)
        };
        openings.into_iter().filter_map(spot).collect()
    }

    /// The place that a layout is centred on.
    pub(super) fn centre(&self, centre: &sheet::Centre) -> Option<Point> {
        if let Some(at) = &centre.at {
            return Some(point(at));
        }
        let on = centre.on.as_ref()?;
        if let Some(opening) = self.opening(on) {
            let place = &self.field.openings[opening];
            return Some(middle(place.left, place.right));
        }
        let r = self.rooms.iter().position(|room| room.id.as_str() == on[0])?;
        let (room, placed) = (&self.rooms[r], &self.field.rooms[r]);
        if let Some(keepout) = room.keepouts.iter().find(|k| k.id.as_str() == on[1]) {
            return Some(placed.to_area(centroid(&keepout.ring)?));
        }
        let thing = self.resolved[self.at[r]].things.iter().find(|thing| thing.id.as_str() == on[1])?;
        Some(placed.to_area(Point::from_mm_rounded(thing.at.0, thing.at.1)?))
    }
}

fn middle(a: Point, b: Point) -> Point {
    Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 }
}

/// The middle of an outline's area, rounded to a micrometre.
fn centroid(ring: &Ring) -> Option<Point> {
    let from = *ring.points.first()?;
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for (a, b) in ring.edges() {
        let mm = |p: Point| ((p.x - from.x) as f64 / 1e6, (p.y - from.y) as f64 / 1e6);
        let ((ax, ay), (bx, by)) = (mm(a), mm(b));
        let cross = ax * by - bx * ay;
        area += cross;
        x += (ax + bx) * cross;
        y += (ay + by) * cross;
    }
    let at = |sum: f64, from: i64| sum / (3.0 * area) + Length::from_nanometres(from).mm();
    (area != 0.0).then(|| Point::from_mm_rounded(at(x, from.x), at(y, from.y))).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_an_l_is_that_of_its_area() {
        // 2 × 1 and 1 × 1 below its left half: (1, 0.5) twice and (0.5, 1.5) once.
        let at = |x: i64, y: i64| Point { x: x * 1_000_000, y: y * 1_000_000 };
        let corners = [(7, 5), (9, 5), (9, 6), (8, 6), (8, 7), (7, 7)];
        let ring = Ring::new(corners.iter().map(|&(x, y)| at(x, y)).collect());
        let (x, y) = centroid(&ring).expect("an area").mm();
        assert!((x - (7.0 + 2.5 / 3.0)).abs() < 0.001 && (y - (5.0 + 2.5 / 3.0)).abs() < 0.001, "{x} {y}");
    }
}
