//! Setting out, windows, spacers and the floor as it lies, on rooms that can be worked by hand.

use drylay_geometry::{Corner, Covariance, Direction, Length, Outline, Point};
use drylay_plan::cutting::Cutting;
use drylay_plan::ground::Ground;
use drylay_plan::laid::{LaidRow, as_it_lies};
use drylay_plan::lattice::Lattice;
use drylay_plan::setting_out::{SettingOut, setting_out};
use drylay_plan::spacers::schedule;
use drylay_plan::window::{Judge, Why};
use drylay_plan::{Along, Choice, Cut, Field, FrameField, Offset, Order, Plan, Product, Room};
use proptest::prelude::*;

fn mm(mm: f64) -> Length {
    Length::from_mm_f64(mm).expect("near")
}

fn product(length: f64, width: f64, joint: f64, gap: f64) -> Product {
    Product {
        id: "tile".into(),
        length: mm(length),
        width: mm(width),
        joint: mm(joint),
        edge_gap: mm(gap),
        kerf: mm(2.0),
        interlock: true,
        offsets: vec![Offset { num: 1, den: 3 }, Offset { num: 1, den: 2 }],
        min_row_width: Length::ZERO,
        min_end_length: Length::ZERO,
        max_run: None,
        carton_tiles: None,
    }
}

fn room(points: &[(f64, f64)]) -> Room {
    let names = ["A", "B", "C", "D", "E", "F"];
    let corner = |(&(x, y), id): (&(f64, f64), &&str)| Corner {
        id: (*id).into(),
        at: Point::from_mm_rounded(x, y).expect("near"),
    };
    let outline = Outline::new(points.iter().zip(&names).map(corner).collect()).expect("a room");
    Room { id: "r".into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] }
}

fn choice(first_row: f64, shift: f64) -> Choice {
    Choice {
        along: Along { direction: Direction::RIGHT, wall: None },
        offset: Offset { num: 1, den: 3 },
        order: Order::Stepped,
        first_row: mm(first_row),
        shift: mm(shift),
    }
}

/// A room laid and set out.
struct Floor {
    rooms: Vec<Room>,
    field: Field,
    frame: FrameField,
    product: Product,
    plan: Plan,
}

impl Floor {
    fn new(room: Room, product: Product, choice: &Choice) -> Self {
        let rooms = vec![room];
        let field = Field::new(&rooms, &[], product.edge_gap).expect("a field");
        let frame = FrameField::new(&field.region, choice.along.direction);
        let plan = Plan::new(&product, choice, &frame).expect("a plan");
        Self { rooms, field, frame, product, plan }
    }
    fn ground(&self) -> Ground<'_> {
        Ground::new(&self.rooms, &self.field, self.product.edge_gap)
    }
    fn set(&self) -> SettingOut {
        setting_out(&self.ground(), &self.frame, &self.product, &self.plan, (0.0, 0.0)).expect("a line")
    }
}

/// The centred layout: clear run L, gap g, tile t, joint j, n whole tiles and two equal cuts
/// c = (L − 2g − n·t − (n+1)·j) / 2. L 3000, g 6, t 300, j 3, n 8 gives 280.5 (plain geometry; no published example).
#[test]
fn both_ends_of_the_last_row_are_known_before_the_first_tile_is_down() {
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let set = floor.set();
    assert_eq!((set.rows[0].row, set.rows[1].row), (1, 10));
    for ends in &set.rows {
        assert_eq!((ends.start.0, ends.end.0), (mm(280.5), mm(280.5)));
    }
    // The chalk line is the far edge of row 1: 6 + 280.5 off the wall at both marks.
    assert_eq!((set.row, set.marks[0].off, set.marks[1].off), (1, mm(286.5), mm(286.5)));
    // The second row is moved by a third of 603, so its first edge falls at 6 + 400 + 3 + 201 − 603 = 7.
    assert_eq!(set.first_joint.off, mm(7.0));
    // The check: from the far mark, 106 in from the end, to the other corner of that wall.
    let (x, y): (f64, f64) = (2400.0 - 106.0, 286.5);
    assert!((set.check.reads.mm() - (x * x + y * y).sqrt()).abs() < 1e-5, "{:?}", set.check);
}

#[test]
fn a_joint_right_at_the_gap_is_the_first_one() {
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    // 6 + 399 + 3 + 201 − 603 = 6: the second row begins with an edge on the field's own.
    let floor = Floor::new(room.clone(), product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 399.0));
    assert_eq!(floor.set().first_joint.off, mm(6.0));
    // A millimetre less, and the next one is a pitch on.
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 398.0));
    assert_eq!(floor.set().first_joint.off, mm(5.0 + 603.0));
}

#[test]
fn a_last_row_in_a_room_out_of_square_has_two_widths() {
    // The far wall comes in by 12 from left to right over 2400.
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 2988.0), (0.0, 3000.0)]);
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let last = floor.set().rows[1];
    // A millimetre in from the field's ends, 7 and 2393 along: the wall falls by 12 / 2400 a millimetre.
    let gap_along = 6.0 * ((1.0_f64 + 0.005 * 0.005).sqrt());
    let at = |u: f64| 3000.0 - 0.005 * u - gap_along - (6.0 + 280.5 + 3.0 + 8.0 * 303.0);
    assert!((last.start.0.mm() - at(7.0)).abs() < 1e-3, "{last:?}");
    assert!((last.end.0.mm() - at(2393.0)).abs() < 1e-3, "{last:?}");
}

/// A room whose far wall C–D is known to `sd`, both its corners together, and everything else exactly.
fn far_wall_in_doubt(sd: f64) -> Room {
    let mut made = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    let mut values = vec![0.0; 64];
    for (row, column) in [(5, 5), (5, 7), (7, 5), (7, 7)] {
        values[row * 8 + column] = sd * sd;
    }
    let covariance = Covariance::from_rows(4, values).expect("8 by 8");
    made.outline = made.outline.with_covariance(covariance).expect("of four");
    made
}

fn whys(sd: f64, clearance: f64, trim: f64) -> Vec<(usize, Option<Why>, f64)> {
    let floor = Floor::new(far_wall_in_doubt(sd), product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let (set, ground) = (floor.set(), floor.ground());
    let cutting = Cutting { clearance: mm(clearance), ..Cutting::default() };
    let trims: Vec<(usize, usize, Length)> = (0..4).map(|wall| (0, wall, mm(trim))).collect();
    let judge = Judge {
        ground: &ground,
        anchor: Some(&set.anchor),
        product: &floor.product,
        cutting: &cutting,
        trims: &trims,
        grid: mm(1.0),
        direction: Direction::RIGHT,
    };
    let rips = floor.plan.pieces.iter().filter(|p| p.cut == Cut::Rip);
    rips.map(|p| judge.judge(p).map(|w| (p.row, w.why, w.sd.expect("one room"))).expect("cut")).collect()
}

#[test]
fn the_window_from_gap_to_trim_takes_two_standard_deviations_on_both_sides() {
    // The line hangs on the near wall: what is cut there is sure whatever the far wall does.
    let fits = whys(1.0, 3.0, 12.0);
    assert!(fits.iter().filter(|(row, ..)| *row == 1).all(|(_, why, sd)| why.is_none() && *sd == 0.0));
    // At the far wall 3 are left to the gap, and 12 − 6 − 3 − 1 = 2 to the trim: just two standard deviations.
    let far: Vec<_> = fits.iter().filter(|(row, ..)| *row == 10).collect();
    assert!(!far.is_empty() && far.iter().all(|(_, why, sd)| why.is_none() && (sd - 1.0).abs() < 1e-9));
    let of_far =
        |sd, clearance, trim| whys(sd, clearance, trim).into_iter().rfind(|w| w.0 == 10).map(|w| w.1);
    assert_eq!(of_far(1.0, 1.5, 20.0), Some(Some(Why::GapInDoubt)));
    assert_eq!(of_far(1.0, 3.0, 11.5), Some(Some(Why::TrimInDoubt)));
    assert_eq!(of_far(0.0, 0.0, 7.0), Some(None));
}

#[test]
fn a_side_wall_is_as_sure_as_its_corners_seen_from_the_other() {
    // Corner C alone moves along x by 2: at mid-height of B–C the wall moves by half of it.
    let mut made = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    let mut values = vec![0.0; 64];
    values[4 * 8 + 4] = 4.0;
    let covariance = Covariance::from_rows(4, values).expect("8 by 8");
    made.outline = made.outline.with_covariance(covariance).expect("of four");
    let floor = Floor::new(made, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let (set, ground) = (floor.set(), floor.ground());
    let wall = ground.walls[1];
    let at = |y: i64| set.anchor.sd(&ground, Point::new(mm(2394.0), Length::from_mm(y)), &wall);
    assert!((at(1500).expect("one room") - 1.0).abs() < 1e-9);
    assert!((at(750).expect("one room") - 0.5).abs() < 1e-9);
}

#[test]
fn where_ten_were_measured_every_tile_from_the_line_adds_its_doubt() {
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let ground = floor.ground();
    let set = setting_out(&ground, &floor.frame, &floor.product, &floor.plan, (0.0, 0.1)).expect("a line");
    // 2994 is (2994 − 286.5) / 303 pitches from the line.
    let sd = set.anchor.sd(&ground, Point::new(mm(1000.0), mm(2994.0)), &ground.walls[2]).expect("one room");
    assert!((sd - 0.1 * (2994.0 - 286.5) / 303.0).abs() < 1e-9);
}

/// Common practice: spacers are doubled up where the wall wanders from the chalk line.
#[test]
fn spacers_are_stacked_where_the_wall_wanders() {
    // The near wall stands back by 5 in its middle.
    let mut made = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    made.bows = vec![(0, vec![Point::new(mm(1200.0), mm(-5.0))])];
    let floor = Floor::new(made, product(600.0, 300.0, 3.0, 6.0), &choice(280.0, 400.0));
    let (set, ground) = (floor.set(), floor.ground());
    let lattice = Lattice::new(&floor.product, &floor.plan.choice, &floor.frame).expect("a lattice");
    let found =
        schedule(&ground, &floor.frame, &lattice, &floor.product, &set, Some(mm(10.0))).expect("one wall");
    assert!(!found.is_even() && found.tight.is_empty());
    let (lo, hi) = (found.stacks[0], found.stacks[found.stacks.len() - 1]);
    assert!(lo.gap.min(hi.gap) >= mm(6.0) && lo.gap.min(hi.gap) < mm(6.1), "{found:?}");
    // At each joint the stack is the gap and what the wall stands back there, 5 / 1200 a millimetre from the end.
    let deep = |along: f64| 5.0 * (1.0 - ((along + 6.0) - 1200.0).abs() / 1200.0);
    for stack in &found.stacks {
        let by = deep(stack.along.mm()) - deep(lo.along.mm());
        assert!((stack.gap.mm() - lo.gap.mm() - by).abs() < 1e-3, "{stack:?}");
        assert_eq!(stack.shows, Some(stack.gap > mm(10.0)));
    }
    assert!(found.stacks.iter().any(|s| s.shows == Some(true)));
    // Where it comes in between two joints instead, the tile is scribed.
    let mut made = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    made.bows = vec![(0, vec![Point::new(mm(700.0), mm(4.0))])];
    let floor = Floor::new(made, product(600.0, 300.0, 3.0, 6.0), &choice(280.0, 400.0));
    let (set, ground) = (floor.set(), floor.ground());
    let lattice = Lattice::new(&floor.product, &floor.plan.choice, &floor.frame).expect("a lattice");
    let found = schedule(&ground, &floor.frame, &lattice, &floor.product, &set, None).expect("one wall");
    assert_eq!(found.tight.len(), 1, "{found:?}");
}

fn laid(row: usize, start: f64, end: f64) -> LaidRow {
    LaidRow { row, at_start: mm(start), at_end: Some(mm(end)) }
}

#[test]
fn a_floor_that_lies_as_planned_is_planned_as_it_was() {
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 2988.0), (0.0, 3000.0)]);
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let set = floor.set();
    let lies = as_it_lies(&[laid(5, 1212.0, 1212.0)], &set, &floor.product, floor.plan.rows.len(), &|_| 1.0)
        .expect("a reading");
    assert!((lies.pitch().0 - 303.0).abs() < 1e-9);
    assert_eq!(lies.drift().map(|d| d.0), Some(0.0));
    let rest = lies.rest(&floor.product, &floor.plan, &floor.field.region, &set).expect("a rest");
    assert_eq!(rest.pieces, floor.plan.pieces);
    assert_eq!(rest.rows, floor.plan.rows);
}

#[test]
fn rows_that_creep_narrow_the_last_one_by_what_the_forecast_says() {
    let room = room(&[(0.0, 0.0), (2400.0, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
    let floor = Floor::new(room, product(600.0, 300.0, 3.0, 6.0), &choice(280.5, 400.0));
    let set = floor.set();
    // Row 5 is four rows from the line and 2 mm too far out: half a millimetre a row.
    let lies = as_it_lies(&[laid(5, 1214.0, 1214.0)], &set, &floor.product, floor.plan.rows.len(), &|_| 1.0)
        .expect("a reading");
    // Each end tells the pitch to √2 / 4, both together to 1 / 4.
    let (pitch, sd) = lies.pitch();
    assert!((pitch - 303.5).abs() < 1e-9 && (sd - 0.25).abs() < 1e-9, "{pitch} ± {sd}");
    // Row 10's near edge is eight rows from the line, so it loses 4 mm.
    for forecast in &lies.last_row {
        assert!((forecast.width - 276.5).abs() < 1e-9 && (forecast.planned - 280.5).abs() < 1e-9);
        // The pitch is known to √2 / 4 and the line to 1: var = 1 + 64·(2/16) − 2·8·(1/4) = 5.
        assert!((forecast.sd - 5.0_f64.sqrt()).abs() < 1e-9, "{forecast:?}");
    }
    // Five joints are left to take the 4 mm back.
    let mend = lies.mend.expect("rows are left");
    assert!(mend.iter().all(|by| (by + 0.8).abs() < 1e-9), "{mend:?}");
    let rest = lies.rest(&floor.product, &floor.plan, &floor.field.region, &set).expect("a rest");
    assert_eq!(rest.rows.len(), 10);
    assert!((rest.rows[9].mm() - 276.5).abs() < 1e-5, "{:?}", rest.rows);
    let fixed = |plan: &Plan| plan.pieces.iter().filter(|p| p.row <= 5).cloned().collect::<Vec<_>>();
    assert_eq!(fixed(&rest), fixed(&floor.plan), "laid rows stay");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// However the rows drift, the floor beyond the last laid one stays covered: pieces and joints hold its area.
    #[test]
    fn what_is_planned_again_covers_the_rest(
        row in 2_usize..9, creep in -4.0..4.0_f64, turn in -8.0..8.0_f64, out in -30.0..30.0_f64, alternating: bool,
    ) {
        let room = room(&[(0.0, 0.0), (2400.0 + out, 0.0), (2400.0, 3000.0), (0.0, 3000.0)]);
        let order = if alternating { Order::Alternating } else { Order::Stepped };
        let choice = Choice { order, ..choice(280.5, 400.0) };
        // Without joints the rest is covered wholly.
        let floor = Floor::new(room, product(600.0, 300.0, 0.0, 6.0), &choice);
        let set = floor.set();
        prop_assume!(row > set.row);
        let at = 300.0 * (row - set.row) as f64 + creep;
        let reading = [laid(row, at, at + turn)];
        let lies = as_it_lies(&reading, &set, &floor.product, floor.plan.rows.len(), &|_| 0.5).expect("a reading");
        let rest = lies.rest(&floor.product, &floor.plan, &floor.field.region, &set).expect("a rest");
        let area: f64 = rest.pieces.iter().filter(|p| p.row > row).map(|p| p.shape.area_mm2()).sum();
        // Below the line from (start, at) to (end, at + turn) on the page, by the trapezium the floor leaves there.
        let line = 286.5 - 3.0 + 3.0 + at;
        let field = floor.field.region.area_mm2();
        let (lo, hi) = floor.field.region.bounds().expect("a field");
        let run = (set.line.1 - set.line.0).norm() / 1e6;
        let slope = turn / run;
        let start = set.line.0.mm().0;
        let above = drylay_geometry::Region::from_rings(&[drylay_geometry::Ring::new(vec![
            Point::from_mm_rounded(lo.mm().0 - 100.0, lo.mm().1 - 100.0).expect("near"),
            Point::from_mm_rounded(hi.mm().0 + 100.0, lo.mm().1 - 100.0).expect("near"),
            Point::from_mm_rounded(hi.mm().0 + 100.0, line + slope * (hi.mm().0 + 100.0 - start)).expect("near"),
            Point::from_mm_rounded(lo.mm().0 - 100.0, line + slope * (lo.mm().0 - 100.0 - start)).expect("near"),
        ])]);
        let laid_area = floor.field.region.common(&above).area_mm2();
        prop_assert!((area - (field - laid_area)).abs() < 20.0, "{area} of {}", field - laid_area);
    }
}
