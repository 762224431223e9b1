//! How long a search takes: an L of 30 m² with an island, and six rooms of 150 m² one after another as one field,
//! 600 × 300 tile, every wall a few millimetres out of square. Run with `cargo run --release --example time_search`.

use drylay_geometry::{Corner, Length, Outline, Point, Ring};
use drylay_plan::{Field, Keepout, Offset, Opening, Order, Passage, Product, Room, Wish, search};
use std::time::{Duration, Instant};

fn at(x: i64, y: i64) -> Point {
    Point::new(Length::from_mm(x), Length::from_mm(y))
}

fn room(id: &str, corners: &[(i64, i64)]) -> Room {
    let corner =
        |(i, &(x, y)): (usize, &(i64, i64))| Corner { id: format!("{i}").as_str().into(), at: at(x, y) };
    let outline = Outline::new(corners.iter().enumerate().map(corner).collect()).expect("a room");
    Room { id: id.into(), outline, keepouts: vec![], openings: vec![], gaps: vec![] }
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

fn main() {
    let tile = Product {
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
    };
    let wish = Wish {
        along: None,
        offset: None,
        order: Order::Stepped,
        first_row: None,
        shift: None,
        margin: Length::ZERO,
        grid: Length::from_mm(1),
    };
    for (name, field) in [("L with an island", one_room()), ("six rooms", six_rooms())] {
        eprintln!("{name}: {:.2} m²", field.area_m2());
        for limit in [0.0, 1.0, 10.0, 30.0] {
            let start = Instant::now();
            let mut done = 0.0;
            let go_on = |part: f64| {
                done = part;
                start.elapsed() < Duration::from_secs_f64(limit)
            };
            let found = search(&field, &tile, &wish, go_on).expect("a plan");
            let time = start.elapsed().as_secs_f64();
            eprintln!(
                "  {time:.3} s, {:.0} % looked at: {} tried, {} breaches, {:?} cartons, {} tiles, narrowest {}, \
                 proven {}, at least {:?}",
                100.0 * done,
                found.tried,
                found.best.breaches.len(),
                found.best.cartons(&tile),
                found.best.sharing.tiles,
                found.best.measures.narrowest.mm(),
                found.proven,
                found.bound
            );
        }
    }
}
