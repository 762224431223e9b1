//! What a layout should keep to besides the rules: whole rows along pinned walls, the wall to start from, a place
//! to be centred on. Each becomes a few wishes with less left open, and the best of all that is found is taken.

use drylay_document::sheet::{self, Middle};
use drylay_geometry::{CornerId, Length, Point};
use drylay_plan::lattice::Lattice;
use drylay_plan::search::wall_directions;
use drylay_plan::{Along, Choice, Field, FrameField, Product, Wish};

/// By how much a row may miss a wall and still count as whole there: the step of a tape, taken up by the gap.
const WHOLE: i64 = 1_000_000;

/// The wishes that keep to an area's preferences; none where it has none that can be kept. `centre_at`: where what it
/// is centred on lies.
pub(super) fn wishes(
    field: &Field,
    product: &Product,
    layout: &sheet::Layout,
    centre_at: Option<Point>,
    wish: &Wish,
) -> Vec<Wish> {
    let prefer = layout.prefer.as_ref();
    let start = prefer.and_then(|p| p.start.as_ref()).filter(|_| wish.along.is_none());
    let started = match start.and_then(|wall| along(field, wall)) {
        Some(along) => Wish { along: Some(along), ..wish.clone() },
        None => wish.clone(),
    };
    let pinned = pinned(field, product, layout, &started);
    let Some(centre) = prefer.and_then(|p| p.centre.as_ref()).zip(centre_at) else {
        return if start.is_some() && pinned.is_empty() { vec![started] } else { pinned };
    };
    let bases = if pinned.is_empty() { open(field, product, &started) } else { pinned };
    bases.iter().flat_map(|base| centred(field, product, centre, base)).collect()
}

/// A wish for each direction and offset that is left open.
fn open(field: &Field, product: &Product, wish: &Wish) -> Vec<Wish> {
    let directions = wish.along.clone().map_or_else(|| wall_directions(field), |along| vec![along]);
    let offsets = wish.offset.map_or_else(|| product.offsets.clone(), |offset| vec![offset]);
    let of = |along: &Along| {
        let along = along.clone();
        offsets.iter().map(move |&offset| Wish {
            along: Some(along.clone()),
            offset: Some(offset),
            ..wish.clone()
        })
    };
    directions.iter().flat_map(of).collect()
}

/// The direction of a wall, with the floor at greater v.
fn along(field: &Field, wall: &[CornerId; 2]) -> Option<Along> {
    field.rooms.iter().enumerate().find_map(|(r, placed)| {
        let direction = placed.outline.wall(placed.outline.wall_between(&wall[0], &wall[1])?).direction()?;
        Some(Along { direction, wall: Some((r, wall[0].clone(), wall[1].clone())) })
    })
}

/// Wishes whose rows run along a pinned wall, either way, with the first row that puts a tile's edge against it:
/// those that keep the most of all pinned walls.
fn pinned(field: &Field, product: &Product, layout: &sheet::Layout, wish: &Wish) -> Vec<Wish> {
    let pins: Vec<&[CornerId; 2]> =
        layout.edges_at.iter().filter(|pin| pin.whole_row).map(|pin| &pin.wall).collect();
    let mut found: Vec<(usize, Wish)> = Vec::new();
    for pin in &pins {
        let Some(along) = along(field, pin) else { continue };
        let (room, from, to) = along.wall.clone().unwrap_or((0, pin[0].clone(), pin[1].clone()));
        let back = Along { direction: along.direction.reversed(), wall: Some((room, to, from)) };
        for along in [along, back] {
            if wish.along.as_ref().is_some_and(|a| !close(a, &along)) {
                continue;
            }
            let frame = FrameField::new(&field.region, along.direction);
            let Some(first_row) = edge_at(field, pin, &frame).and_then(|e| e.first_row(product, &frame))
            else {
                continue;
            };
            let kept = pins.iter().filter(|pin| keeps(field, product, pin, &frame, first_row)).count();
            found.push((kept, Wish { along: Some(along), first_row: Some(first_row), ..wish.clone() }));
        }
    }
    let most = found.iter().map(|f| f.0).max().unwrap_or(0);
    found.into_iter().filter(|f| f.0 == most).map(|f| f.1).collect()
}

/// The pinned walls, by their places in the layout, along which a choice has no whole row.
pub(super) fn missed(
    field: &Field,
    product: &Product,
    layout: &sheet::Layout,
    choice: &Choice,
) -> Vec<usize> {
    let frame = FrameField::new(&field.region, choice.along.direction);
    let pins = layout.edges_at.iter().enumerate().filter(|(_, pin)| pin.whole_row);
    pins.filter(|(_, pin)| !keeps(field, product, &pin.wall, &frame, choice.first_row))
        .map(|(i, _)| i)
        .collect()
}

fn close(a: &Along, b: &Along) -> bool {
    let ((ac, asn), (bc, bs)) = (a.direction.components(), b.direction.components());
    (ac - bc).abs() + (asn - bs).abs() < 1e-6
}

/// The edge of the field along a wall, in a frame.
#[derive(Clone, Copy)]
struct EdgeInFrame {
    /// Least and greatest v.
    v: (i64, i64),
    /// Whether the floor is at greater v.
    floor_above: bool,
}

/// The field's edge along a wall, if that runs along the rows: the nearest one that runs the same way beside it.
fn edge_at(field: &Field, wall: &[CornerId; 2], frame: &FrameField) -> Option<EdgeInFrame> {
    let outline = field
        .rooms
        .iter()
        .find_map(|placed| placed.outline.wall_between(&wall[0], &wall[1]).map(|w| placed.outline.wall(w)))?;
    let turned = |p: Point| frame.direction.to_frame(p);
    let (from, to) = (turned(outline.from), turned(outline.to));
    let along_rows = |a: Point, b: Point| 20 * (b.y - a.y).abs() < (b.x - a.x).abs();
    if !along_rows(from, to) {
        return None;
    }
    let (lo, hi) = (from.x.min(to.x), from.x.max(to.x));
    let beside = |&(a, b): &(Point, Point)| {
        let overlap = a.x.max(b.x).min(hi) - a.x.min(b.x).max(lo);
        along_rows(a, b) && (b.x > a.x) == (to.x > from.x) && 2 * overlap > (b.x - a.x).abs()
    };
    let middle = |a: Point, b: Point| (a.y + b.y) / 2;
    let wall_v = middle(from, to);
    // Of equally near ones the longest.
    let key = |&(a, b): &(Point, Point)| ((middle(a, b) - wall_v).abs(), -(b.x - a.x).abs());
    let (a, b) = frame.region.rings().flat_map(|r| r.edges()).filter(beside).min_by_key(key)?;
    Some(EdgeInFrame { v: (a.y.min(b.y), a.y.max(b.y)), floor_above: b.x > a.x })
}

impl EdgeInFrame {
    /// The width of row 1 that puts the edge of a row against this edge; `None` where a joint would then lie along
    /// the field's least v, so that there is no row 1 of that kind.
    fn first_row(self, product: &Product, frame: &FrameField) -> Option<Length> {
        let least = frame.region.bounds()?.0.y;
        let width = product.width.nanometres();
        let far_side = if self.floor_above { self.v.0 + width } else { self.v.1 };
        row_meeting(far_side, least, product)
    }
}

/// The width of row 1 for which some row ends at this v.
fn row_meeting(far_side: i64, least: i64, product: &Product) -> Option<Length> {
    let first = (far_side - least).rem_euclid(product.pitch_across().nanometres());
    let first = if first == 0 { product.pitch_across().nanometres() } else { first };
    (first <= product.width.nanometres()).then(|| Length::from_nanometres(first))
}

/// Whether the row along a wall is whole, but for the wall's own slope.
fn keeps(
    field: &Field,
    product: &Product,
    wall: &[CornerId; 2],
    frame: &FrameField,
    first_row: Length,
) -> bool {
    let (Some(edge), Some((least, _))) = (edge_at(field, wall, frame), frame.region.bounds()) else {
        return false;
    };
    let pitch = product.pitch_across().nanometres();
    let far_side = least.y + first_row.nanometres();
    let near_side = far_side - product.width.nanometres();
    // How far the row's face reaches beyond the wall's innermost point; in the joint before it, nothing is cut.
    let beyond = if edge.floor_above {
        (edge.v.1 - near_side).rem_euclid(pitch)
    } else {
        (far_side - edge.v.0).rem_euclid(pitch)
    };
    beyond <= edge.v.1 - edge.v.0 + WHOLE || beyond >= pitch - product.joint.nanometres().max(WHOLE)
}

/// Wishes with the middle of a joint or a tile at a place.
fn centred(
    field: &Field,
    product: &Product,
    (centre, at): (&sheet::Centre, Point),
    wish: &Wish,
) -> Vec<Wish> {
    let Some(along) = &wish.along else { return Vec::new() };
    let frame = FrameField::new(&field.region, along.direction);
    let Some((least, _)) = frame.region.bounds() else { return Vec::new() };
    let at = along.direction.to_frame(at);
    let half = |length: Length| length.nanometres() / 2;
    let rows = middles(centre.rows).filter_map(|middle| {
        let far_side =
            if middle == Middle::Joint { at.y - half(product.joint) } else { at.y + half(product.width) };
        row_meeting(far_side, least.y, product)
    });
    let rows: Vec<Length> = wish.first_row.map_or_else(|| rows.collect(), |fixed| vec![fixed]);
    let mut found = Vec::new();
    for first_row in rows {
        let of_row = Wish { first_row: Some(first_row), ..wish.clone() };
        match centre.tiles {
            None => found.push(of_row),
            Some(tiles) => {
                let offsets = wish.offset.map_or_else(|| product.offsets.clone(), |offset| vec![offset]);
                for offset in offsets {
                    let of_offset = Wish { offset: Some(offset), ..of_row.clone() };
                    found.extend(
                        middles(tiles).filter_map(|middle| shifted(product, &frame, at, middle, &of_offset)),
                    );
                }
            }
        }
    }
    found
}

fn middles(middle: Middle) -> impl Iterator<Item = Middle> {
    let both = [Middle::Tile, Middle::Joint];
    both.into_iter().filter(move |&one| middle == Middle::Best || middle == one)
}

/// The wish with the shift for which the middle of a tile or a joint of the place's row lies there.
fn shifted(product: &Product, frame: &FrameField, at: Point, middle: Middle, wish: &Wish) -> Option<Wish> {
    let choice = Choice {
        along: wish.along.clone()?,
        offset: wish.offset?,
        order: wish.order,
        first_row: wish.first_row?,
        shift: product.length,
    };
    let lattice = Lattice::new(product, &choice, frame)?;
    // The row that holds the place, or the one before it where the place lies on a joint.
    let row = (0..lattice.row_count()).rev().find(|&row| lattice.row_faces(row).0 <= at.y)?;
    let half = |length: Length| length.nanometres() / 2;
    let begins =
        if middle == Middle::Joint { at.x + half(product.joint) } else { at.x - half(product.length) };
    // The lattice was laid with the whole length as shift; moving it on by some way adds that to the shift.
    let moved = begins - lattice.tile_u(row, 0);
    let shift = (product.length.nanometres() + moved).rem_euclid(product.pitch_along().nanometres());
    let shift = Length::from_nanometres(shift);
    (shift > Length::ZERO && shift <= product.length).then(|| Wish { shift: Some(shift), ..wish.clone() })
}
