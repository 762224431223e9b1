//! Movement joints: rooms whose joints can be counted on paper, and random fields measured line by line.

use drylay_geometry::{Corner, Direction, Length, Outline, Point, Ring};
use drylay_plan::field::{Keepout, Opening, Passage};
use drylay_plan::movement_joints::{MovementJoint, MovementJoints, Reason, movement_joints};
use drylay_plan::{Along, Choice, Field, Offset, Order, Product, Room};
use proptest::prelude::*;

fn mm(value: f64) -> Length {
    Length::from_mm_f64(value).expect("in range")
}
fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}
fn feet(text: &str) -> Length {
    Length::parse(text).expect("a length")
}

fn room(id: &str, corners: &[(f64, f64)]) -> Room {
    let corner =
        |(i, &(x, y)): (usize, &(f64, f64))| Corner { id: format!("C{i}").as_str().into(), at: at(x, y) };
    let outline = Outline::new(corners.iter().enumerate().map(corner).collect()).expect("a room");
    Room { id: id.into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] }
}
fn hole(id: &str, (x, y): (f64, f64), (to_x, to_y): (f64, f64)) -> Keepout {
    Keepout { id: id.into(), ring: Ring::new(vec![at(x, y), at(to_x, y), at(to_x, to_y), at(x, to_y)]) }
}

fn tile() -> Product {
    Product {
        id: "tile".into(),
        length: mm(597.0),
        width: mm(297.0),
        joint: mm(3.0),
        edge_gap: Length::ZERO,
        kerf: mm(2.0),
        interlock: true,
        offsets: vec![Offset { num: 1, den: 3 }],
        min_row_width: mm(50.0),
        min_end_length: mm(50.0),
        max_run: None,
        carton_tiles: None,
    }
}
fn choice(direction: Direction, first_row: f64) -> Choice {
    let along = Along { direction, wall: None };
    let offset = Offset { num: 1, den: 3 };
    Choice { along, offset, order: Order::Stepped, first_row: mm(first_row), shift: mm(300.0) }
}
fn field(rooms: &[Room], passages: &[Passage]) -> Field {
    Field::new(rooms, passages, Length::ZERO).expect("a field")
}
fn parted(field: &Field, first_row: f64, most: Length) -> MovementJoints {
    movement_joints(&tile(), &choice(Direction::RIGHT, first_row), field, most)
}
fn rectangle(length: Length, width: f64) -> Field {
    field(&[room("r", &[(0.0, 0.0), (length.mm(), 0.0), (length.mm(), width), (0.0, width)])], &[])
}

/// ⌈L/S⌉ − 1 joints along a run L at spacing S, by plain counting. The spacings are the tile handbook's EJ171: 25 ft
/// inside (2018), 12 ft where the sun comes in (2018).
#[test]
fn as_many_joints_as_the_spacing_asks() {
    for (run, spacing, joints) in
        [("60 ft", "25 ft", 2), ("25 ft", "25 ft", 0), ("26 ft", "25 ft", 1), ("24 ft", "12 ft", 1)]
    {
        let found = parted(&rectangle(feet(run), 2000.0), 200.0, feet(spacing));
        assert_eq!((found.joints.len(), found.fewest), (joints, true), "{run} at {spacing}");
        let even = feet(run).mm() / (joints as f64 + 1.0);
        assert!((found.longest.mm() - even).abs() < 1.1, "{run}: {} for {even}", found.longest.mm());
    }
}

/// 6 m across the rows, joints at most 3 m apart. Row 1 is 150 wide, so the places between rows lie at 151.5 + 300 n:
/// 2851.5 and 3151.5 leave 3148.5 at one side. A single joint cannot do; two can.
#[test]
fn a_joint_between_rows_may_not_leave_a_longer_run() {
    let hall = rectangle(mm(2000.0), 6000.0);
    let found = parted(&hall, 150.0, mm(3000.0));
    assert_eq!(found.joints.len(), 2);
    assert!(found.joints.iter().all(|j| j.along_rows && j.between_rows));
    assert!(found.longest <= mm(3000.0));
    let odd = found.joints.iter().map(|j| (j.line.0.mm().1 - 151.5).rem_euclid(300.0));
    assert!(odd.into_iter().all(|off| off.abs() < 1e-6));
    // With row 1 as wide as the tile there is a place at 2998.5, and 3001.5 are left beyond it; with 3001.5 allowed
    // one joint does.
    assert_eq!(parted(&hall, 297.0, mm(3001.5)).joints.len(), 1);
    assert_eq!(parted(&hall, 297.0, mm(3001.4)).joints.len(), 2);
}

/// A U whose legs go on along the rows from a base at their start: 12 m by 6 m, the base 4 m deep, 10 m allowed. A
/// joint in each leg would do; one in the base, between 2 m and 4 m, parts both. Every run across the rows is 6 m.
#[test]
fn one_joint_in_the_base_of_a_u_parts_both_legs() {
    let u = [
        (0.0, 0.0),
        (12000.0, 0.0),
        (12000.0, 2000.0),
        (4000.0, 2000.0),
        (4000.0, 4000.0),
        (12000.0, 4000.0),
        (12000.0, 6000.0),
        (0.0, 6000.0),
    ];
    let found = parted(&field(&[room("r", &u)], &[]), 200.0, mm(10000.0));
    assert_eq!(found.joints.len(), 1, "{found:?}");
    let (from, to) = found.joints[0].line;
    assert!((to.mm().1 - from.mm().1 - 6000.0).abs() < 1e-3);
    assert!((2000.0..4000.0).contains(&from.mm().0));
    // With 7 m allowed the base's joint lies at 4 m at most, and 8 m are left of each leg: one more in each; or one
    // in each at 5 m to 7 m, which are two and do.
    assert_eq!(parted(&field(&[room("r", &u)], &[]), 200.0, mm(7000.0)).joints.len(), 2);
}

/// An H lying along the rows, 12 m by 6 m, its bar from 5.5 m to 6.5 m and 7 m allowed: whoever parts each leg as late
/// as can be, from either end, needs one joint in each; one in the bar leaves 6.5 m at most.
#[test]
fn one_joint_in_the_bar_of_an_h_does_what_four_legs_hide() {
    let h = [
        (0.0, 0.0),
        (12000.0, 0.0),
        (12000.0, 2000.0),
        (6500.0, 2000.0),
        (6500.0, 4000.0),
        (12000.0, 4000.0),
        (12000.0, 6000.0),
        (0.0, 6000.0),
        (0.0, 4000.0),
        (5500.0, 4000.0),
        (5500.0, 2000.0),
        (0.0, 2000.0),
    ];
    let found = parted(&field(&[room("r", &h)], &[]), 200.0, mm(7000.0));
    assert_eq!((found.joints.len(), found.fewest), (1, true), "{found:?}");
    let (from, to) = found.joints[0].line;
    assert!(
        (to.mm().1 - from.mm().1).abs() > 5999.0 && (5500.0..=6500.0).contains(&from.mm().0),
        "{found:?}"
    );
}

/// Only the long leg of an L is parted, and the joint is no longer than the leg is wide.
#[test]
fn a_joint_goes_no_further_than_what_it_parts() {
    let l = [(0.0, 0.0), (9000.0, 0.0), (9000.0, 1500.0), (3000.0, 1500.0), (3000.0, 4000.0), (0.0, 4000.0)];
    let found = parted(&field(&[room("r", &l)], &[]), 200.0, mm(5000.0));
    assert_eq!(found.joints.len(), 1);
    let (from, to) = found.joints[0].line;
    assert!((from.mm().0 - 4500.0).abs() < 1.1 && (to.mm().1 - from.mm().1 - 1500.0).abs() < 1e-3);
}

/// An island in the middle: a joint on each side of it, none through it.
#[test]
fn joints_go_round_what_stands_in_the_field() {
    let mut hall = room("r", &[(0.0, 0.0), (8000.0, 0.0), (8000.0, 3000.0), (0.0, 3000.0)]);
    hall.keepouts.push(hole("island", (3000.0, 1000.0), (5000.0, 2000.0)));
    let found = parted(&field(&[hall], &[]), 200.0, mm(4100.0));
    let lines: Vec<(f64, f64)> = found.joints.iter().map(|j| (j.line.0.mm().1, j.line.1.mm().1)).collect();
    assert_eq!(lines, [(0.0, 1000.0), (2000.0, 3000.0)]);
}

/// Two rooms of 4 m and a doorway between them: the run of 8.1 m through the door is parted in the door, not across
/// a room.
#[test]
fn a_run_through_a_doorway_is_parted_in_the_doorway() {
    let opening = |id: &str, wall, start| Opening {
        id: id.into(),
        wall,
        start: mm(start),
        width: mm(900.0),
        reach: mm(0.0),
    };
    let square = [(0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0)];
    let (mut a, mut b) = (room("a", &square), room("b", &square));
    a.openings.push(opening("door", 1, 1000.0));
    b.openings.push(opening("door", 3, 1100.0));
    let rooms = field(&[a.clone(), b.clone()], &[Passage { a: (0, 0), b: (1, 0), depth: mm(100.0) }]);
    let found = parted(&rooms, 200.0, mm(5000.0));
    let [MovementJoint { line, reason: Reason::Passage(0), along_rows: false, .. }] = found.joints[..] else {
        panic!("{found:?}")
    };
    assert!((line.0.mm().0 - 4050.0).abs() < 1e-3 && (line.1.mm().1 - line.0.mm().1 - 900.0).abs() < 0.1);
    assert_eq!(parted(&rooms, 200.0, mm(8200.0)).joints, []);
    // With the rows across the door the joint lies between two rows where the wall holds such a place, and else in
    // the middle of the door, through a row.
    for (first_row, between) in [(120.0, true), (260.0, false)] {
        let down = choice(Direction::RIGHT.clockwise(), first_row);
        let found = movement_joints(&tile(), &down, &rooms, mm(5000.0));
        assert_eq!(found.joints.len(), 1, "{found:?}");
        assert_eq!(found.joints[0].reason, Reason::Passage(0));
        assert!((4000.0..=4100.0).contains(&found.joints[0].line.0.mm().0));
        assert_eq!(found.joints[0].between_rows, between, "{found:?}");
    }
}

/// A room with a neck of 800 in 3,000 between 4.2 m and 4.6 m: the joint goes there, not to the middle at 5 m.
#[test]
fn a_joint_goes_into_a_neck_near_by() {
    let waist = [
        (0.0, 0.0),
        (4200.0, 0.0),
        (4200.0, 1100.0),
        (4600.0, 1100.0),
        (4600.0, 0.0),
        (10000.0, 0.0),
        (10000.0, 3000.0),
        (4600.0, 3000.0),
        (4600.0, 1900.0),
        (4200.0, 1900.0),
        (4200.0, 3000.0),
        (0.0, 3000.0),
    ];
    let found = parted(&field(&[room("r", &waist)], &[]), 200.0, mm(6000.0));
    assert_eq!(found.joints.len(), 1, "{found:?}");
    assert_eq!(found.joints[0].reason, Reason::Neck);
    assert!((4200.0..=4600.0).contains(&found.joints[0].line.0.mm().0));
}

/// Fields whose walls slope by a little in the lattice's frame, as a survey leaves them; the lowest by a nanometre, as
/// rounding does.
#[test]
fn walls_a_little_out_of_square_hide_no_run() {
    let corners = [
        [
            (-25.81, -14.627),
            (-19.968, -8798.553440),
            (-18364.915, -8798.553439),
            (-18345.579, -2868.042),
            (-7895.135, -2878.115),
            (-7898.083, -27.792),
        ],
        [
            (-10.852, -9.505),
            (-39.67, -7378.173314),
            (-14808.129, -7378.173313),
            (-14802.844, -4034.471),
            (-4771.025, -4027.471),
            (-4800.723, 19.129),
        ],
    ];
    for (corners, most) in corners.into_iter().zip([4081.0, 4844.0]) {
        let mut corners = corners.to_vec();
        corners.reverse();
        let found = parted(&field(&[room("r", &corners)], &[]), 200.0, mm(most));
        assert!(found.longest <= mm(most), "{found:?}");
    }
}

/// The longest stretch on a line through the field, by crossing its edges and the joints one by one. The line is
/// given by the coordinate across, in nanometres, in the lattice's frame.
fn longest_on_line(rings: &[Ring], joints: &[(Point, Point)], at: f64, along_rows: bool) -> f64 {
    let st = |p: Point| if along_rows { (p.x as f64, p.y as f64) } else { (p.y as f64, p.x as f64) };
    let mut walls = Vec::new();
    for (a, b) in rings.iter().flat_map(Ring::edges) {
        let ((sa, ta), (sb, tb)) = (st(a), st(b));
        if (ta <= at) != (tb <= at) {
            walls.push(sa + (sb - sa) * (at - ta) / (tb - ta));
        }
    }
    walls.sort_by(f64::total_cmp);
    let mut longest: f64 = 0.0;
    for run in walls.chunks_exact(2) {
        let crossing = joints.iter().map(|(a, b)| (st(*a), st(*b))).filter(|((sa, ta), (sb, tb))| {
            (sa - sb).abs() < 10.0 && ta.min(*tb) <= at + 10.0 && at - 10.0 <= ta.max(*tb)
        });
        let mut stops: Vec<f64> =
            crossing.map(|((s, _), _)| s).filter(|s| run[0] < *s && *s < run[1]).collect();
        stops.extend([run[0], run[1]]);
        stops.sort_by(f64::total_cmp);
        longest = stops.windows(2).map(|w| w[1] - w[0]).fold(longest, f64::max);
    }
    longest
}

/// Corners of rooms of many shapes, in decimetres and out of square by up to a decimetre.
fn shapes() -> impl Strategy<Value = Vec<(f64, f64)>> {
    let l = |w: f64, h: f64, x: f64, y: f64| vec![(0.0, 0.0), (w, 0.0), (w, y), (x, y), (x, h), (0.0, h)];
    let u = |w: f64, h: f64, x: f64, y: f64| {
        vec![(0.0, 0.0), (w, 0.0), (w, h), (w - x, h), (w - x, y), (x, y), (x, h), (0.0, h)]
    };
    let t = |w: f64, h: f64, x: f64, y: f64| {
        vec![(x, 0.0), (w - x, 0.0), (w - x, y), (w, y), (w, h), (0.0, h), (0.0, y), (x, y)]
    };
    (0..4, 60..200_i32, 60..200_i32, 10..28_i32, 10..50_i32, prop::collection::vec((-9..9_i32, -9..9_i32), 8))
        .prop_map(move |(kind, w, h, x, y, off)| {
            let (w, h, x, y) = (f64::from(w), f64::from(h), f64::from(x), f64::from(y));
            let corners = match kind {
                0 => vec![(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)],
                1 => l(w, h, x, y),
                2 => u(w, h, x, y),
                _ => t(w, h, x, y),
            };
            let moved = |((x, y), (dx, dy)): ((f64, f64), (i32, i32))| {
                (100.0 * x + 10.0 * f64::from(dx), 100.0 * y + 10.0 * f64::from(dy))
            };
            corners.into_iter().zip(off).map(moved).collect()
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    #[test]
    fn no_line_through_a_parted_field_is_longer_than_allowed(
        corners in shapes(), island in any::<bool>(), most in 2500..9000_i32, first_row in 1..297_i32,
        degrees in prop_oneof![Just(0.0), Just(90.0), -4.0..4.0_f64], lines in prop::collection::vec(0.0..1.0_f64, 40),
    ) {
        let mut hall = room("r", &corners);
        if island {
            hall.keepouts.push(hole("island", (3100.0, 4450.0), (4900.0, 4800.0)));
        }
        // In some shapes the island would stand in the wall.
        let hall = Field::new(&[hall.clone()], &[], Length::ZERO)
            .unwrap_or_else(|_| field(&[Room { keepouts: vec![], ..hall }], &[]));
        let choice = choice(Direction::from_degrees(degrees).expect("finite"), f64::from(first_row));
        let most = mm(f64::from(most));
        let found = movement_joints(&tile(), &choice, &hall, most);
        prop_assert!(found.longest.nanometres() <= most.nanometres() + 1_000);
        let direction = choice.along.direction;
        let rings: Vec<Ring> = hall.region.rings().map(|r| {
            Ring { points: r.points.iter().map(|p| direction.to_frame(*p)).collect() }
        }).collect();
        let turned = |j: &MovementJoint| (direction.to_frame(j.line.0), direction.to_frame(j.line.1));
        let least_v = rings.iter().flat_map(|r| &r.points).map(|p| p.y).min().expect("points");
        for along_rows in [true, false] {
            // Runs along the rows end at joints across them.
            let joints: Vec<(Point, Point)> =
                found.joints.iter().filter(|j| j.along_rows != along_rows).map(turned).collect();
            let across = |p: &Point| if along_rows { p.y as f64 } else { p.x as f64 };
            let levels: Vec<f64> = rings.iter().flat_map(|r| &r.points).map(across).collect();
            let lo = levels.iter().copied().fold(f64::MAX, f64::min);
            let hi = levels.iter().copied().fold(f64::MIN, f64::max);
            let near = levels.iter().flat_map(|t| [t - 50.0, t + 50.0]);
            for at in near.chain(lines.iter().map(|part| lo + (hi - lo) * part)) {
                let longest = longest_on_line(&rings, &joints, at, along_rows);
                prop_assert!(longest <= most.nanometres() as f64 + 1_100.0, "{} mm at {at}", longest / 1e6);
            }
        }
        for joint in &found.joints {
            let (a, b) = turned(joint);
            if joint.along_rows {
                let off = (a.y - least_v - i64::from(first_row) * 1_000_000 - 1_500_000).rem_euclid(300_000_000);
                prop_assert!(off.min(300_000_000 - off) <= 20, "{off}");
            }
            // Each joint lies in the field from end to end and needs to be there.
            let middle = Point { x: a.x + (b.x - a.x) / 2, y: a.y + (b.y - a.y) / 2 };
            prop_assert!(rings[0].contains(middle) || rings.iter().any(|r| r.contains(middle)));
        }
    }
}
