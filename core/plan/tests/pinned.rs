//! Floors drawn by chance, from their rooms to every cut: what is planned, and the work it took, stays as it was
//! (`pinned-*.txt`). All of it is made up.

#[path = "../../geometry/tests/pins/mod.rs"]
mod pins;

use drylay_geometry::{Corner, Covariance, Direction, Length, Outline, Point, Ring};
use drylay_plan::asked::{
    Asked, GapRule, JointRule, Made, MovementRule, OffsetRule, RowRule, Source, TileEdges, Warmth,
};
use drylay_plan::compare::{compare, worth};
use drylay_plan::cutting::Cutting;
use drylay_plan::doubt::doubt;
use drylay_plan::ground::Ground;
use drylay_plan::interlock::{Engagement, Motion, Overhang, Side, interlock};
use drylay_plan::laid::{LaidRow, as_it_lies};
use drylay_plan::last_tile::{last_tile, wall_allowance};
use drylay_plan::lattice::Lattice;
use drylay_plan::markout::{cut_shape, cut_size, mark_out};
use drylay_plan::neck::thinnest;
use drylay_plan::place::one_by_one;
use drylay_plan::search::wall_directions;
use drylay_plan::setting_out::setting_out;
use drylay_plan::sliding::share_sliding;
use drylay_plan::spacers::schedule;
use drylay_plan::spots::{Spot, short_cuts};
use drylay_plan::takeoff::bars::cut_to;
use drylay_plan::takeoff::stock::cut_steps;
use drylay_plan::takeoff::strips::{Roll, lay};
use drylay_plan::takeoff::{Rates, TileOrder, guess, joints, walls};
use drylay_plan::window::Judge;
use drylay_plan::work::sections::{Reach, sections};
use drylay_plan::{
    Choice, Cut, Field, FrameField, Keepout, Offset, Opening, Order, Passage, Plan, Product, Room, Wish,
    movement_joints, search,
};
use pins::{Lots, Pins, Xy, shape};

fn mm(mm: f64) -> Length {
    Length::from_mm_f64(mm).expect("near")
}

/// So many mm to a tenth.
fn tenths(lots: &mut Lots, low: f64, high: f64) -> Length {
    mm((lots.between(low, high) * 10.0).round() / 10.0)
}

fn at(p: Xy) -> Point {
    Point::from_mm_rounded(p.0, p.1).expect("near")
}

/// A room with what may be said of one: doubt, a post, walls with gaps of their own or bowed, openings.
fn room(lots: &mut Lots, id: &str) -> Room {
    let (corners, _) = shape(lots);
    let n = corners.len();
    let named =
        corners.iter().enumerate().map(|(i, &p)| Corner { id: format!("{i}").as_str().into(), at: at(p) });
    let mut outline = Outline::new(named.collect()).expect("a room");
    if lots.percent(70) {
        let mut values = vec![0.0; 4 * n * n];
        for _ in 0..3 {
            let way: Vec<f64> = (0..2 * n).map(|_| lots.between(-0.8, 0.8)).collect();
            for i in 0..2 * n {
                (0..2 * n).for_each(|j| values[i * 2 * n + j] += way[i] * way[j]);
            }
        }
        let covariance = Covariance::from_rows(n, values).expect("a full matrix");
        outline = outline.with_covariance(covariance).expect("of these corners");
    }
    let middle = corners.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0 / n as f64, s.1 + p.1 / n as f64));
    let mut keepouts = Vec::new();
    if lots.percent(40) {
        let (x, y) = (lots.between(40.0, 300.0), lots.between(40.0, 300.0));
        let turn = lots.between(-0.2, 0.2);
        let post = [(-x, -y), (x, -y), (x, y), (-x, y)]
            .map(|p| (middle.0 + p.0 - turn * p.1, middle.1 + p.1 + turn * p.0));
        keepouts.push(Keepout { id: "post".into(), ring: Ring::new(post.iter().map(|&p| at(p)).collect()) });
    }
    let long = |wall: usize| outline.wall(wall).length().mm();
    let mut openings = Vec::new();
    let (mut gaps, mut bows) = (Vec::new(), Vec::new());
    for wall in 0..n {
        if long(wall) > 1400.0 && (wall == 1 || lots.percent(20)) {
            openings.push(Opening {
                id: format!("door {wall}").as_str().into(),
                wall,
                start: tenths(lots, 100.0, 400.0),
                width: tenths(lots, 700.0, 900.0),
                reach: if wall == 1 { Length::ZERO } else { tenths(lots, 0.0, 120.0) },
            });
        } else if lots.percent(12) {
            gaps.push((wall, tenths(lots, 4.0, 15.0)));
        } else if lots.percent(12) && long(wall) > 800.0 {
            let (from, to) = (corners[wall], corners[(wall + 1) % n]);
            let (along, off) = (lots.between(0.3, 0.7), lots.between(-8.0, 8.0) / long(wall));
            let step = (to.0 - from.0, to.1 - from.1);
            bows.push((
                wall,
                vec![at((from.0 + along * step.0 - off * step.1, from.1 + along * step.1 + off * step.0))],
            ));
        }
    }
    Room { id: id.into(), outline, keepouts, openings, gaps, bows }
}

fn product(lots: &mut Lots) -> Product {
    let all = [(0, 1), (1, 3), (1, 2), (2, 3)].map(|(num, den)| Offset { num, den });
    let first = lots.below(4);
    let (length, width) = [(600.0, 300.0), (303.0, 303.0), (1200.0, 190.0), (457.2, 304.8)][lots.below(4)];
    Product {
        id: "tile".into(),
        length: mm(length),
        width: mm(width),
        joint: [Length::ZERO, mm(2.0), mm(3.175)][lots.below(3)],
        edge_gap: tenths(lots, 3.0, 12.0),
        kerf: mm([0.0, 1.6, 2.0][lots.below(3)]),
        interlock: lots.percent(60),
        offsets: all.into_iter().cycle().skip(first).take(2).collect(),
        min_row_width: mm([0.0, 50.0, 80.0][lots.below(3)]),
        min_end_length: mm([0.0, 100.0, 200.0][lots.below(3)]),
        max_run: None,
        carton_tiles: lots.percent(80).then(|| 3 + u32::try_from(lots.below(9)).expect("small")),
    }
}

/// Rooms, what lies in them and how.
struct Floor {
    rooms: Vec<Room>,
    passages: Vec<Passage>,
    product: Product,
    choice: Choice,
    field: Field,
    frame: FrameField,
    plan: Plan,
}

fn floor(lots: &mut Lots) -> Option<Floor> {
    let mut rooms = vec![room(lots, "one")];
    let mut passages = Vec::new();
    if lots.percent(40) {
        let door = |room: &Room| room.openings.iter().position(|o| o.wall == 1);
        let other = room(lots, "two");
        if let (Some(a), Some(b)) = (door(&rooms[0]), door(&other)) {
            passages.push(Passage { a: (0, a), b: (1, b), depth: tenths(lots, 60.0, 150.0) });
            rooms.push(other);
        }
    }
    let product = product(lots);
    let field = Field::new(&rooms, &passages, product.edge_gap).ok()?;
    let ways = wall_directions(&field);
    let grid = mm(1.0);
    let choice = Choice {
        along: ways[lots.below(ways.len())].clone(),
        offset: product.offsets[lots.below(2)],
        order: if lots.percent(60) { Order::Stepped } else { Order::Alternating },
        first_row: mm(lots.between(20.0, product.width.mm())).round_up_to(grid).min(product.width),
        shift: mm(lots.between(20.0, product.length.mm())).round_up_to(grid).min(product.length),
    };
    let frame = FrameField::new(&field.region, choice.along.direction);
    let plan = Plan::new(&product, &choice, &frame).ok()?;
    Some(Floor { rooms, passages, product, choice, field, frame, plan })
}

impl Floor {
    /// What is counted and judged of it.
    fn counted(&self, lots: &mut Lots, case: &str, pins: &mut Pins) {
        let Self { product, field, frame, plan, choice, .. } = self;
        let case = |part: &str| format!("{case}, {part}");
        pins.note(&case("field"), &format!("{:.3} m²", field.area_m2()), field);
        let offcuts: Vec<_> = (0..plan.pieces.len()).map(|p| plan.offcut_of(p)).collect();
        let figures = (plan.waste(product), plan.cartons(product), worth(plan, product, &[]));
        let told = format!("{} tiles, {} cut", plan.sharing.tiles, plan.measures.cut_pieces);
        pins.note(&case("plan"), &told, &(plan, offcuts, figures));
        // A dozen pieces at a time: all of them would take long.
        let cut: Vec<_> = plan.pieces.iter().filter(|p| p.cut != Cut::Whole).cloned().collect();
        for few in cut.chunks(12).take(4) {
            let slid = share_sliding(few, product);
            let moved: Vec<_> = few.iter().zip(&slid.moved).map(|(p, m)| m.of(p, product)).collect();
            pins.note(&case("sliding"), &format!("{} tiles", slid.sharing.tiles), &(&slid, moved));
        }
        let found = doubt(&self.rooms, &self.passages, &one_by_one, product, choice);
        pins.note(&case("doubt"), &format!("{:?}", found.as_ref().map(|d| d.changes.len())), &found);
        let most = mm(lots.between(1500.0, 6000.0));
        let parted = movement_joints(product, choice, field, most);
        pins.note(&case("movement joints"), &format!("{}", parted.joints.len()), &parted);
        let spots: Vec<Spot> = (0..field.openings.len())
            .flat_map(|o| {
                let least = mm(product.width.mm() * 0.8);
                [Spot::doorway(field, o, product.edge_gap, least), Spot::sight_line(field, o, product, least)]
            })
            .flatten()
            .collect();
        let short = short_cuts(&spots, product, choice.along.direction, &plan.pieces);
        pins.note(&case("spots"), &format!("{} short", short.len()), &(spots, short));
        let other = Choice { order: Order::Stepped, shift: product.length, ..choice.clone() };
        let beside = Plan::new(product, &other, frame).map(|other| compare(plan, &other, product, &[]));
        pins.note(&case("beside another"), "", &beside);
    }

    /// How it is set out, cut and laid.
    fn made(&self, lots: &mut Lots, case: &str, pins: &mut Pins) {
        let Self { product, field, frame, plan, rooms, .. } = self;
        let case = |part: &str| format!("{case}, {part}");
        let ground = Ground::new(rooms, field, product.edge_gap);
        let pitch_sd = (lots.between(0.0, 0.2), lots.between(0.0, 0.2));
        let set = setting_out(&ground, frame, product, plan, pitch_sd);
        pins.note(&case("set out"), &format!("from row {:?}", set.as_ref().map(|s| s.row)), &set);
        let cutting =
            Cutting { clearance: tenths(lots, 0.0, 3.0), min_neck: Some(mm(60.0)), tools: Vec::new() };
        let grid = if lots.percent(50) { mm(1.0) } else { Length::from_sixty_fourths(4) };
        let marks: Vec<_> = plan
            .pieces
            .iter()
            .filter(|p| p.cut != Cut::Whole)
            .map(|p| {
                let marks = mark_out(product, cutting.clearance, p, grid);
                let size = cut_size(product, cutting.clearance, p, grid);
                (marks, size, cut_shape(product, cutting.clearance, p), thinnest(&p.on_tile))
            })
            .collect();
        pins.note(&case("marks"), &format!("{} pieces", marks.len()), &marks);
        let walls = rooms
            .iter()
            .enumerate()
            .flat_map(|(r, room)| (0..room.outline.corners().len()).map(move |w| (r, w)));
        let trims: Vec<_> = walls.filter(|_| lots.percent(80)).collect();
        let trims: Vec<_> = trims.into_iter().map(|(r, w)| (r, w, tenths(lots, 9.0, 22.0))).collect();
        let judge = Judge {
            ground: &ground,
            anchor: set.as_ref().map(|s| &s.anchor),
            product,
            cutting: &cutting,
            trims: &trims,
            grid,
            direction: frame.direction,
        };
        let windows: Vec<_> = plan.pieces.iter().map(|p| judge.judge(p)).collect();
        let ahead = windows.iter().flatten().filter(|w| w.why.is_none()).count();
        pins.note(&case("windows"), &format!("{ahead} cut ahead"), &windows);
        let Some(set) = set else { return };
        let lattice = Lattice::new(product, &plan.choice, frame).expect("it was planned");
        let stacks = schedule(&ground, frame, &lattice, product, &set, trims.first().map(|t| t.2));
        pins.note(&case("spacers"), &format!("{:?}", stacks.as_ref().map(|s| s.stacks.len())), &stacks);
        let pitch = product.pitch_across().mm();
        let creep = lots.between(-0.6, 0.6);
        let laid: Vec<LaidRow> = (set.row + 1..=plan.rows.len().min(set.row + 4))
            .filter(|_| lots.percent(80))
            .collect::<Vec<_>>()
            .into_iter()
            .map(|row| {
                let place = (row - set.row) as f64 * (pitch + creep) + lots.between(-0.5, 0.5);
                let at_end = lots.percent(70).then(|| tenths(lots, place - 1.0, place + 1.0));
                LaidRow { row, at_start: mm(place), at_end }
            })
            .collect();
        let lies = as_it_lies(&laid, &set, product, plan.rows.len(), &|mm| 0.5 + mm / 10_000.0);
        let rest = lies.as_ref().and_then(|l| l.rest(product, plan, &field.region, &set));
        let forecast = lies.as_ref().map(|l| (l.pitch(), l.drift()));
        pins.note(&case("as it lies"), &format!("{} rows read", laid.len()), &(&lies, forecast, rest));
        let gaps = (tenths(lots, 20.0, 700.0), tenths(lots, 20.0, 700.0));
        let last = last_tile(product, wall_allowance(product.edge_gap, cutting.clearance), gaps, grid);
        pins.note(&case("last tile"), "", &last);
    }

    /// In which order it is laid and grouted.
    fn laid(&self, lots: &mut Lots, case: &str, pins: &mut Pins) {
        let Self { product, field, frame, plan, rooms, .. } = self;
        let case = |part: &str| format!("{case}, {part}");
        let motions = [Motion::Angle, Motion::Drop, Motion::Slide];
        let engagement = Engagement {
            long_tongue: if lots.percent(50) { Side::Low } else { Side::High },
            short_tongue: if lots.percent(50) { Side::Start } else { Side::End },
            long: motions[..1 + lots.below(3)].to_vec(),
            short: motions[lots.below(2)..2 + lots.below(2)].to_vec(),
            angle: Direction::from_degrees(lots.between(15.0, 50.0)).expect("finite"),
            thickness: mm(8.0),
            lift: mm(8.0),
            travel: tenths(lots, 4.0, 14.0),
            shaved_travel: lots.percent(50).then(|| mm(3.0)),
        };
        let mut overhangs = Vec::new();
        for (wall, placed) in
            (0..rooms[0].outline.corners().len()).map(|w| (w, field.rooms[0].outline.wall(w)))
        {
            if lots.percent(50) {
                let (depth, height) = (tenths(lots, 20.0, 90.0), tenths(lots, 9.0, 200.0));
                overhangs.extend(Overhang::along(placed.from, placed.to, depth, height));
            }
            if let Some(opening) =
                field.openings.iter().find(|o| o.room == 0 && rooms[0].openings[o.opening].wall == wall)
            {
                overhangs.extend(Overhang::jambs(opening, mm(12.0), tenths(lots, 9.0, 12.0)));
            }
        }
        let order = interlock(product, &engagement, plan, field, &overhangs);
        pins.note(&case("order"), &format!("{} trapped", order.trapped.len()), &order);
        let lattice = Lattice::new(product, &plan.choice, frame).expect("it was planned");
        let rows: Vec<i64> = (1..plan.rows.len()).map(|r| lattice.row_faces(r).0).collect();
        let way_out = field.openings.first().map_or((Point::ORIGIN, Point::ORIGIN), |o| (o.left, o.right));
        let way_out = (frame.direction.to_frame(way_out.0), frame.direction.to_frame(way_out.1));
        let reach = Reach { along: tenths(lots, 900.0, 1500.0), across: tenths(lots, 700.0, 1200.0) };
        let parts = sections(frame, &rows, reach, way_out);
        pins.note(&case("sections"), &format!("{}", parts.len()), &parts);
    }

    /// What is bought for it, and the rules it is held against.
    fn bought(&self, lots: &mut Lots, case: &str, pins: &mut Pins) {
        let Self { product, field, plan, rooms, .. } = self;
        let case = |part: &str| format!("{case}, {part}");
        let order = TileOrder::new(
            product,
            plan.sharing.tiles,
            Rates { breakage: 0.03, attic: lots.between(0.0, 0.1) },
        );
        let area = joints::area_mm2(field, plan);
        let guessed = guess(product, field.region.area_mm2(), 10);
        pins.note(
            &case("tiles"),
            &format!("{}", order.tiles()),
            &(order, area, guessed, joints::litres(area, mm(9.0))),
        );
        let runs: Vec<_> = rooms.iter().flat_map(walls::runs).collect();
        let lengths: Vec<Length> = runs.iter().map(|r| r.length).collect();
        let bar = tenths(lots, 1800.0, 3600.0);
        let bars = cut_to(&lengths, bar, mm(3.0), tenths(lots, 0.0, 40.0), mm(1.0));
        let round: f64 = rooms.iter().map(walls::round_keepouts).sum();
        pins.note(
            &case("trim"),
            &format!("{:?} bars", bars.as_ref().map(|b| b.count())),
            &(runs, bars, round),
        );
        let roll = Roll {
            width: tenths(lots, 900.0, 1500.0),
            length: tenths(lots, 5000.0, 20_000.0),
            lap: tenths(lots, 0.0, 60.0),
        };
        let ways: Vec<Direction> = wall_directions(field).into_iter().map(|a| a.direction).collect();
        let strips = lay(&field.floor, &ways, roll, mm(1.0));
        pins.note(&case("strips"), &format!("{:?} seams", strips.as_ref().map(|s| s.seams)), &strips);
        let source = || Source { text: "a sheet".to_owned(), edition: None };
        let asked = Asked {
            rows: vec![RowRule { least: tenths(lots, 40.0, 120.0), source: source() }],
            movement: vec![MovementRule {
                run: tenths(lots, 3000.0, 8000.0),
                width: Some(mm(6.0)),
                widths: vec![(mm(3000.0), mm(8.0)), (mm(4000.0), mm(10.0))],
                warmth: Some(Warmth { over: 55.0, each: 8.0, add: mm(1.5) }),
                source: source(),
            }],
            joints: vec![JointRule {
                least: mm(2.0),
                variations: Some(3.0),
                plus_warpage: lots.percent(50),
                side_over: lots.percent(50).then(|| mm(381.0)),
                edges: lots.percent(50).then_some(TileEdges::Rectified),
                offset_only: lots.percent(50),
                source: source(),
            }],
            offsets: vec![OffsetRule {
                most: Offset { num: 1, den: 3 },
                side_over: Some(mm(381.0)),
                source: source(),
            }],
            gaps: vec![GapRule { least: mm(6.0), source: source() }],
            narrowest_gap: lots.percent(50).then(|| tenths(lots, 4.0, 8.0)),
            yearly_range: lots.percent(50).then(|| lots.between(40.0, 80.0)),
            instructions: Vec::new(),
        };
        let made = Made {
            edges: Some(TileEdges::Rectified),
            variation: lots.percent(60).then(|| tenths(lots, 0.2, 1.2)),
            warpage: lots.percent(60).then(|| tenths(lots, 0.2, 1.0)),
        };
        let judged = asked.judge(product, &made, plan);
        let held = judged.iter().filter(|j| j.held).count();
        pins.note(
            &case("rules"),
            &format!("{held} of {} held", judged.len()),
            &(judged, asked.spacing(product)),
        );
    }
}

#[test]
fn floors_from_rooms_to_every_cut() {
    let mut pins = Pins::default();
    for n in 0..60 {
        let lots = &mut Lots::new(n);
        let case = format!("floor {n}");
        let Some(floor) = floor(lots) else {
            pins.note(&case, "no plan", &());
            continue;
        };
        floor.counted(lots, &case, &mut pins);
        floor.made(lots, &case, &mut pins);
        floor.laid(lots, &case, &mut pins);
        floor.bought(lots, &case, &mut pins);
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-floors.txt");
}

#[test]
fn searches_and_the_work_they_take() {
    let mut pins = Pins::default();
    for n in 0..24 {
        let lots = &mut Lots::new(1000 + n);
        let Some(floor) = floor(lots) else { continue };
        let spots: Vec<Spot> = if lots.percent(40) {
            (0..floor.field.openings.len())
                .filter_map(|o| Spot::doorway(&floor.field, o, floor.product.edge_gap, mm(150.0)))
                .collect()
        } else {
            Vec::new()
        };
        let wish = Wish {
            along: lots.percent(40).then(|| floor.choice.along.clone()),
            offset: lots.percent(40).then_some(floor.choice.offset),
            order: floor.choice.order,
            first_row: lots.percent(20).then_some(floor.choice.first_row),
            shift: lots.percent(20).then_some(floor.choice.shift),
            margin: mm(1.0),
            grid: mm(5.0),
            spots,
        };
        let (mut asks, mut effort, mut better) = (0, 0, 0);
        let found = search(&floor.field, &floor.product, &wish, |progress| {
            asks += 1;
            assert!((0.0..=1.0).contains(&progress.part), "search {n}: {} is done", progress.part);
            (effort, better) = (progress.effort, progress.better);
            progress.effort < 300_000
        });
        let told = match &found {
            Ok(found) => {
                format!("{} tried, {}", found.tried, if found.proven { "proven" } else { "not proven" })
            }
            Err(_) => "none".to_owned(),
        };
        pins.note(&format!("search {n}"), &told, &(found, asks, effort, better));
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-searches.txt");
}

#[test]
fn lists_of_bars_to_cut() {
    let mut pins = Pins::default();
    for n in 0..80 {
        let lots = &mut Lots::new(2000 + n);
        let bar = 40 + u32::try_from(lots.below(400)).expect("small");
        let least = 1 + bar as usize / [3, 6, 12][lots.below(3)];
        let piece = |lots: &mut Lots| {
            let length = least + lots.below(bar as usize - least + 1);
            (u32::try_from(length).expect("small"), lots.below(12))
        };
        let pieces: Vec<(u32, usize)> = (0..2 + lots.below(9)).map(|_| piece(lots)).collect();
        let plan = cut_steps(bar, &pieces);
        let told = plan.as_ref().map(|p| (p.count(), p.bound));
        pins.note(&format!("list {n}"), &format!("{told:?}"), &plan);
    }
    pins.hold(env!("CARGO_MANIFEST_DIR"), "pinned-lists.txt");
}
