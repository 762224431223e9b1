//! The numbers of plans for 200 random rooms, from readings of a tape to pieces: a line each. Every processor must write
//! the same. `cargo xtask same-numbers` holds this machine's against those of an emulated 64-bit ARM.

use drylay_app::answers::plan;
use drylay_app::{Problem, read_sheet};
use serde_json::{Value, json};

const ROOMS: u64 = 200;

/// Pseudo-random numbers (L'Ecuyer, *Tables of linear congruential generators*, 1999; multiplier for 2^64).
struct Chance(u64);

impl Chance {
    /// A whole number of at least `from` and less than `to`.
    fn within(&mut self, from: i64, to: i64) -> i64 {
        self.0 = self.0.wrapping_mul(2_862_933_555_777_941_757).wrapping_add(3_037_000_493);
        from + i64::try_from(self.0 >> 33).unwrap_or(0) % (to - from)
    }
}

/// Distances as a tape reads them, to a tenth of a millimetre, each up to 1.5 mm off.
fn read(chance: &mut Chance, a: (i64, i64), b: (i64, i64)) -> String {
    let (dx, dy) = ((a.0 - b.0) as f64, (a.1 - b.1) as f64);
    let tenths = ((dx * dx + dy * dy).sqrt() * 10.0).round() + chance.within(-15, 16) as f64;
    format!("{:.1} mm", tenths / 10.0)
}

/// A room of four corners, or an L, none of it square, some with a post in it, with a fixed or a searched layout.
fn sheet(n: u64) -> Value {
    let mut chance = Chance(n.wrapping_mul(0x9e37_79b9_7f4a_7c15) + 1);
    let (w, h) = (chance.within(1800, 6000), chance.within(1500, 5000));
    let mut off = || chance.within(-25, 26);
    let mut corners = if n.is_multiple_of(3) {
        vec![
            (0, 0),
            (w, off()),
            (w + off(), h / 2),
            (w * 2 / 3, h / 2 + off()),
            (w * 2 / 3 + off(), h),
            (off(), h + off()),
        ]
    } else {
        vec![(0, 0), (w, off()), (w + off(), h + off()), (off(), h + off())]
    };
    corners[0] = (0, 0);
    let name = |i: usize| String::from(char::from(b'A' + u8::try_from(i).unwrap_or(0)));
    let count = corners.len();
    let mut tape = Vec::new();
    for i in 0..count {
        for j in i + 1..count {
            tape.push(
                json!({ "from": name(i), "to": name(j), "read": read(&mut chance, corners[i], corners[j]) }),
            );
        }
    }
    let turns = if count == 6 { json!({ "D": "out" }) } else { json!({}) };
    let layout = if n.is_multiple_of(8) {
        json!({ "along": ["A", "B"], "offset": "best", "first_row": "best", "shift": "best" })
    } else {
        let offset = ["0", "1/3", "1/2"][usize::try_from(n / 3 % 3).unwrap_or(0)];
        json!({ "along": ["A", "B"], "offset": offset,
                "first_row": chance.within(40, 299), "shift": chance.within(0, 599) })
    };
    // A post that is not square to anything, in the part that every shape has.
    let (x, y) = (w / 3 + chance.within(-40, 41), h / 4 + chance.within(-40, 41));
    let post = if n.is_multiple_of(5) {
        json!([{ "id": "post", "outline": [[x, y], [x + 180, y + 7], [x + 172, y + 161], [x - 5, y + 150]] }])
    } else {
        json!([])
    };
    json!({ "drylay": 1,
        "products": [ { "id": "t", "face": { "length": 600, "width": 300 }, "joint": 3, "edge_gap": 8, "kerf": 2,
                        "offsets": ["0", "1/3", "1/2"], "min_row_width": 60, "min_end_length": 150, "carton": { "tiles": 7 } } ],
        "rooms": [ { "id": "r", "corners": (0..count).map(name).collect::<Vec<_>>(), "turns": turns, "tape": tape, "keepouts": post } ],
        "areas": [ { "id": "a", "rooms": ["r"], "product": "t", "layout": layout } ] })
}

#[expect(clippy::print_stdout, reason = "the numbers are what it is for")]
fn main() -> Result<(), Vec<Problem>> {
    for n in 0..ROOMS {
        let sheet = read_sheet(&sheet(n).to_string())?.sheet;
        let answer = serde_json::to_string(&plan(&sheet, &mut || true)?);
        println!("{n} {}", answer.map_err(|error| vec![Problem::new("numbers", error.to_string())])?);
    }
    Ok(())
}
