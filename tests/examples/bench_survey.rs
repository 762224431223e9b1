//! How long rooms take to be solved from their readings, with everything that is said of them: a room of 12 corners and
//! 40 readings, the next tie over all candidates, and 30 rooms with passages and 400 readings from the sheet to the
//! answer. Writes `name<TAB>seconds`; `tests/oracles/bench_survey.py` gives the same readings to scipy.
#![expect(clippy::print_stdout, reason = "the figures are what it is for")]

use drylay_app::answers::survey;
use drylay_geometry::Length;
use drylay_survey::tape::{Draft, Reading, Tape, Turn, adjust, next_ties};
use serde_json::json;
use std::error::Error;
use std::hint::black_box;
use std::time::{Duration, Instant};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// As in the programs.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// How long each is done again and again, and how often at least.
const FOR: Duration = Duration::from_secs(1);
const TIMES: usize = 5;

/// A hall with a bay and two niches, clockwise on the page, in mm.
const ROOM: [(f64, f64); 12] = [
    (0.0, 0.0),
    (3012.0, 4.0),
    (3009.0, 811.0),
    (5203.0, 806.0),
    (5198.0, -12.0),
    (8004.0, -5.0),
    (8011.0, 4507.0),
    (5607.0, 4498.0),
    (5612.0, 5309.0),
    (2405.0, 5314.0),
    (2398.0, 4512.0),
    (-7.0, 4503.0),
];
/// Its outside corners.
const OUT: [usize; 4] = [2, 3, 7, 10];

/// The readings: all walls, then ties by a fixed rule, 40 in all.
fn pairs() -> Vec<(usize, usize)> {
    let n = ROOM.len();
    let walls = (0..n).map(|i| (i, (i + 1) % n));
    let ties = (2..7).flat_map(|step| (0..n).map(move |i| (i, (i + step) % n)));
    walls.chain(ties.filter(|&(i, j)| (3 * i + j) % 2 == 0 || i < j).take(28)).collect()
}

/// What a tape of 1.2 mm might have read of the k-th distance: to a tenth of a millimetre, off by a fixed rule.
fn read(k: usize, mm: f64) -> f64 {
    let off = 1.2 * ((k * 37 % 17) as f64 - 8.0) / 6.0;
    ((mm + off) * 10.0).round() / 10.0
}

fn span(a: (f64, f64), b: (f64, f64)) -> f64 {
    ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt()
}

fn name(i: usize) -> String {
    char::from(b'A' + u8::try_from(i).unwrap_or(0)).to_string()
}

fn hall() -> Outcome<Draft> {
    let mut readings = Vec::new();
    for (k, (i, j)) in pairs().into_iter().enumerate() {
        let length = Length::from_mm_f64(read(k, span(ROOM[i], ROOM[j]))).ok_or("a length")?;
        let sd = Length::from_mm_f64(1.2).ok_or("a length")?;
        readings.push(Reading::new(name(i).as_str(), name(j).as_str(), length).with_sd(sd));
    }
    let turns = OUT.iter().map(|&c| (name(c).as_str().into(), Turn::Out)).collect();
    let corners = (0..ROOM.len()).map(|c| name(c).as_str().into()).collect();
    Ok(Draft { corners, turns, readings, ..Draft::default() })
}

/// The least that it took, in seconds: what other programs and machines do at the same time only ever adds.
fn least(mut act: impl FnMut()) -> f64 {
    let (begun, mut least, mut times) = (Instant::now(), f64::INFINITY, 0);
    while times < TIMES || begun.elapsed() < FOR {
        let start = Instant::now();
        act();
        least = least.min(start.elapsed().as_secs_f64());
        times += 1;
    }
    least
}

/// An L of 4 × 3 m with doors to its neighbours on all four sides.
const SMALL: [(f64, f64); 6] =
    [(0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (2500.0, 3000.0), (2500.0, 2000.0), (0.0, 2000.0)];
const SMALL_TIES: [(usize, usize); 8] = [(0, 2), (1, 3), (1, 4), (1, 5), (0, 4), (2, 5), (2, 4), (3, 5)];
const ACROSS: usize = 6;
const DOWN: usize = 5;

/// 30 of them in rows, each joined to the next in its row and in its column: 400 readings, 49 passages.
fn house() -> serde_json::Value {
    let mut count = 0;
    let mut rooms = Vec::new();
    for r in 0..ACROSS * DOWN {
        // Ten rooms have one tie more.
        let ties = if r < 10 { 8 } else { 7 };
        let pairs = (0..6).map(|i| (i, (i + 1) % 6)).chain(SMALL_TIES.into_iter().take(ties));
        let tape: Vec<_> = pairs
            .map(|(i, j)| {
                count += 1;
                json!({ "from": name(i), "to": name(j), "read": read(count, span(SMALL[i], SMALL[j])), "sd": 1.2 })
            })
            .collect();
        let door = |id: &str, i: usize, start: f64| json!({ "id": id, "wall": [name(i), name((i + 1) % 6)], "start": start, "width": 900 });
        rooms.push(json!({ "id": format!("r{r}"), "corners": (0..6).map(name).collect::<Vec<_>>(), "tape": tape,
            "turns": { "E": "out" },
            "openings": [door("n", 0, 2800.0), door("e", 1, 500.0), door("s", 2, 300.0), door("w", 5, 600.0)] }));
    }
    let join = |a: usize, from: &str, b: usize, to: &str| json!({ "a": [format!("r{a}"), from], "b": [format!("r{b}"), to], "depth": 100 });
    let mut passages = Vec::new();
    for r in 0..ACROSS * DOWN {
        if r % ACROSS + 1 < ACROSS {
            passages.push(join(r, "e", r + 1, "w"));
        }
        if r + ACROSS < ACROSS * DOWN {
            passages.push(join(r, "s", r + ACROSS, "n"));
        }
    }
    assert_eq!(count, 400, "the readings");
    json!({ "drylay": 1, "rooms": rooms, "passages": passages })
}

fn main() -> Outcome<()> {
    let (draft, tape) = (hall()?, Tape::steel());
    let room = adjust(&draft, &tape).map_err(|found| format!("{found:?}"))?;
    let say = |name: &str, seconds: f64| println!("{name}\t{seconds:.7}");
    say("room of 12 corners and 40 readings", least(|| drop(black_box(adjust(black_box(&draft), &tape)))));
    println!(
        "room of 12 corners and 40 readings: sum of squares\t{:.6}",
        room.global_test.map_or(0.0, |t| t.sum)
    );
    say("next tie of 12 corners", least(|| drop(black_box(next_ties(&draft, black_box(&room), &tape)))));
    let sheet = drylay_app::read_sheet(&house().to_string()).map_err(|found| format!("{found:?}"))?.sheet;
    let answer = survey(&sheet).map_err(|found| format!("{found:?}"))?;
    let good = answer.rooms.iter().filter(|room| room.verdict == "consistent").count();
    say("30 rooms with passages, 400 readings", least(|| drop(black_box(survey(black_box(&sheet))))));
    println!("30 rooms with passages, 400 readings: consistent\t{good}");
    println!(
        "30 rooms with passages, 400 readings: loops\t{}",
        answer.floors.iter().map(|f| f.loops.len()).sum::<usize>()
    );
    Ok(())
}
