//! How long a search takes, a figure a line (`name<TAB>seconds`): an L of 30 m² with an island, six rooms of 150 m² one
//! after another as one field, and a hall of 1,000 m² with six columns, 600 × 300 tile, every wall a few millimetres
//! out of square; and how long the pieces of one choice take. Run with
//! `cargo run --release -p drylay-plan --example bench_search`. Besides, how long published cutting lists take. With `beside` the pieces are all.

#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

#[path = "../tests/lists/mod.rs"]
mod lists;

use drylay_geometry::{Corner, Length, Outline, Point, Ring};
use drylay_plan::lattice::Lattice;
use drylay_plan::takeoff::stock::cut_steps;
use drylay_plan::{
    Along, Choice, Field, Found, FrameField, Keepout, Offset, Opening, Order, Passage, Product, Room, Wish,
    search,
};
use std::hint::black_box;
use std::time::Instant;

/// As in the programs.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn at(x: i64, y: i64) -> Point {
    Point::new(Length::from_mm(x), Length::from_mm(y))
}

fn room(id: &str, corners: &[(i64, i64)]) -> Room {
    let corner =
        |(i, &(x, y)): (usize, &(i64, i64))| Corner { id: format!("{i}").as_str().into(), at: at(x, y) };
    let outline = Outline::new(corners.iter().enumerate().map(corner).collect()).expect("a room");
    Room { id: id.into(), outline, keepouts: vec![], openings: vec![], gaps: vec![], bows: vec![] }
}

fn one_room() -> Field {
    let mut l = room("l", &[(0, 0), (7004, 9), (6995, 3493), (4003, 3508), (3996, 5706), (-6, 5695)]);
    let island = Ring::new(vec![at(1800, 1500), at(3603, 1507), at(3598, 2406), at(1797, 2401)]);
    l.keepouts.push(Keepout { id: "island".into(), ring: island });
    Field::new(&[l], &[], Length::from_mm(8)).expect("a field")
}

fn six_rooms() -> Field {
    let mut rooms = Vec::new();
    let mut passages = Vec::new();
    for i in 0..6_i64 {
        let (dx, dy) = (i * 2 - 5, 4 - i);
        let mut next = room("room", &[(0, 0), (5000 + dx, dy), (5000 - dy, 5000 + dx), (dx, 5000 + dy)]);
        for (id, wall) in [("left", 3), ("right", 1)] {
            let (start, width) = (Length::from_mm(2000), Length::from_mm(900));
            next.openings.push(Opening { id: id.into(), wall, start, width, reach: Length::ZERO });
        }
        rooms.push(next);
    }
    for i in 1..rooms.len() {
        passages.push(Passage { a: (i - 1, 1), b: (i, 0), depth: Length::from_mm(120) });
    }
    Field::new(&rooms, &passages, Length::from_mm(8)).expect("a field")
}

fn hall() -> Field {
    let mut hall = room("hall", &[(0, 0), (40_006, 11), (39_993, 25_004), (-9, 24_991)]);
    for (i, (x, y)) in
        [(8000, 8300), (20_000, 8290), (32_000, 8310), (8000, 16_600), (20_000, 16_610), (32_000, 16_590)]
            .into_iter()
            .enumerate()
    {
        let ring = Ring::new(vec![at(x, y), at(x + 402, y + 3), at(x + 398, y + 404), at(x - 2, y + 399)]);
        hall.keepouts.push(Keepout { id: format!("column {i}").as_str().into(), ring });
    }
    Field::new(&[hall], &[], Length::from_mm(8)).expect("a field")
}

fn tile() -> Product {
    Product {
        id: "tile".into(),
        length: Length::from_mm(600),
        width: Length::from_mm(300),
        joint: Length::from_mm(3),
        edge_gap: Length::from_mm(8),
        kerf: Length::from_mm(2),
        interlock: true,
        offsets: vec![Offset { num: 1, den: 3 }, Offset { num: 1, den: 2 }],
        min_row_width: Length::from_mm(60),
        min_end_length: Length::from_mm(150),
        max_run: None,
        carton_tiles: Some(7),
    }
}

/// Searches for at most so many seconds and writes when there was a first answer, when the bound was within a
/// carton or so many thousandths of the tiles, and how it ended.
fn time(name: &str, field: &Field, seconds: f64, thousandths: usize) {
    let tile = tile();
    let wish = Wish {
        along: None,
        offset: None,
        order: Order::Stepped,
        first_row: None,
        shift: None,
        margin: Length::ZERO,
        grid: Length::from_mm(1),
        spots: Vec::new(),
    };
    let start = Instant::now();
    let (mut first, mut near) = (None, None);
    let found = search(field, &tile, &wish, |now| {
        let passed = start.elapsed().as_secs_f64();
        if let Some(best) = now.best {
            first.get_or_insert(passed);
            let carton = best.cartons.unwrap_or(0) <= now.bound.cartons.unwrap_or(0) + 1;
            let share = (best.tiles - now.bound.tiles) * 1000 <= thousandths * best.tiles;
            // As long as a plan breaks rules, how few tiles one takes that does not is not known.
            if best.breaches == now.bound.breaches && (carton || share) {
                near.get_or_insert(passed);
            }
        }
        passed < seconds
    });
    let found = found.expect("a plan");
    let (tiles, cartons) = (found.best.sharing.tiles, found.best.cartons(&tile).unwrap_or(0));
    let bound = (found.bound.tiles, found.bound.cartons.unwrap_or(0));
    let is_near = cartons <= bound.1 + 1 || (tiles - bound.0) * 1000 <= thousandths * tiles;
    if is_near && found.best.breaches.len() == found.bound.breaches {
        near.get_or_insert(start.elapsed().as_secs_f64());
    }
    let say = |what: &str, at: Option<f64>| match at {
        Some(at) => println!("search {name}: {what}\t{at:.4}"),
        None => println!("search {name}: {what}\tnot in {seconds} s"),
    };
    say("first answer", first);
    say("bound near", near);
    let ended = start.elapsed().as_secs_f64();
    say("proven", found.proven.then_some(ended));
    if found.proven {
        println!("search {name}: choices tried\t{}", found.tried);
    }
    println!("search {name}: outcome\t{}", outcome(&found, &tile));
}

fn outcome(found: &Found, tile: &Product) -> String {
    format!(
        "{} breaches, {} cartons, {} tiles, narrowest {:.3}; {}; at least {} breaches, {} cartons, {} tiles; {} tried",
        found.best.breaches.len(),
        found.best.cartons(tile).unwrap_or(0),
        found.best.sharing.tiles,
        found.best.measures.narrowest.mm(),
        if found.proven { "proven" } else { "not proven" },
        found.bound.breaches,
        found.bound.cartons.unwrap_or(0),
        found.bound.tiles,
        found.tried,
    )
}

/// Cuts the field of one room into pieces again and again; `tests/oracles/bench_pieces.py` does the same.
fn pieces() {
    let (field, tile) = (one_room(), tile());
    let frame = FrameField::new(&field.region, drylay_geometry::Direction::RIGHT);
    let along = Along { direction: frame.direction, wall: None };
    let choice = |i: i64| Choice {
        along: along.clone(),
        offset: tile.offsets[0],
        order: Order::Stepped,
        first_row: Length::from_mm(20 + i % 280),
        shift: Length::from_mm(30 + 2 * i % 560),
    };
    let choices: Vec<Choice> = (0..100).map(choice).collect();
    let (begun, mut least) = (Instant::now(), vec![f64::INFINITY; choices.len()]);
    let mut count = 0;
    // Of each choice the least counts: what other programs and machines do at the same time only ever adds.
    while count == 0 || begun.elapsed().as_secs_f64() < 2.0 {
        count = 0;
        for (choice, least) in choices.iter().zip(&mut least) {
            let start = Instant::now();
            let lattice = Lattice::new(&tile, choice, &frame).expect("a field");
            count += black_box(lattice.parts(&frame)).len();
            *least = least.min(start.elapsed().as_secs_f64());
        }
    }
    let times = choices.len() as f64;
    println!("pieces of one choice\t{:.7}", least.iter().sum::<f64>() / times);
    println!("pieces of one choice: how many\t{:.1}", count as f64 / times);
}

/// The slowest of the published lists, each cut from the fewest bars and proven so.
fn lists() {
    let time = |list: &lists::List| {
        let (pieces, start) = (list.pieces(), Instant::now());
        let plan = cut_steps(list.bar, &pieces).expect(list.name);
        assert!(plan.is_proven() && plan.count() == list.fewest, "{} is not cut as is known", list.name);
        start.elapsed().as_secs_f64()
    };
    let slowest = lists::PUBLISHED.iter().map(time).fold(0.0, f64::max);
    println!("slowest published cutting list\t{slowest:.6}");
}

fn main() {
    pieces();
    if std::env::args().any(|word| word == "beside") {
        return;
    }
    lists();
    time("L of 30 m² with an island", &one_room(), 10.0, 0);
    time("six rooms, 150 m²", &six_rooms(), 20.0, 0);
    time("hall of 1000 m²", &hall(), 30.0, 15);
}
