//! Times of the floor's searches, and how much they looked at: a line `name<TAB>figure` each.
//! `tests/oracles/bench_floor.py` searches the same smaller floor in numpy; with `beside` that floor's verdict is all.

use drylay_geometry::{Length, Point, Ring};
use drylay_survey::floor::{Aim, Ground, Job, Mesh, Surface, Tolerance, correct, search};
use std::time::Instant;

fn floor(nx: i64, ny: i64, w: i64, h: i64) -> (Vec<Point>, Vec<f64>, Ring) {
    let mut seed = 12345_u32;
    let mut chance = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(seed >> 8) / f64::from(1_u32 << 24)
    };
    let (mut points, mut z) = (Vec::new(), Vec::new());
    for k in 0..nx * ny {
        let (x, y) = (150 + k % nx * (w - 300) / (nx - 1), 150 + k / nx * (h - 300) / (ny - 1));
        points.push(Point::new(Length::from_mm(x), Length::from_mm(y)));
        let wave = libm::sin(x as f64 / 700.0) * libm::cos(y as f64 / 900.0) * 3.0;
        z.push(wave + 2.0 * (chance() - 0.5) + 0.001 * x as f64);
    }
    let corner = |x, y| Point::new(Length::from_mm(x), Length::from_mm(y));
    (points, z, Ring::new(vec![corner(0, 0), corner(w, 0), corner(w, h), corner(0, h)]))
}

#[allow(clippy::print_stdout, reason = "this program's purpose")]
fn main() {
    let beside = std::env::args().any(|word| word == "beside");
    for (name, nx, ny, w, h) in
        [("42 readings, 4 x 3 m", 7, 6, 4000, 3000), ("400 readings, 20 x 15 m", 23, 17, 20_000, 15_000)]
    {
        let (points, z, room) = floor(nx, ny, w, h);
        let start = Instant::now();
        let mesh = Mesh::new(&points).expect("a grid");
        let ground = Ground::new(&room, &[]);
        let surface = Surface::new(&mesh, z.clone(), &ground);
        let dip = search(&surface, 3048.0, Aim::Worst, &mut |_| true);
        let hump = search(&surface.turned_over(), 3048.0, Aim::Worst, &mut |_| true);
        println!("verdict, {name}\t{:.6}", start.elapsed().as_secs_f64());
        println!("rectangles, {name}\t{}", dip.looked_at + hump.looked_at);
        let loose = [&dip, &hump].map(|found| {
            let worst = found.worst.as_ref().map_or(0.0, |c| c.deviation);
            (found.bound - worst) / (0.005 * worst).max(0.02)
        });
        println!("bound over the worst chord, {name}\t{:.6}", loose[0].max(loose[1]));
        for (which, found) in [("dip", dip), ("hump", hump)] {
            let worst = found.worst.map_or(0.0, |c| c.deviation);
            println!("worst {which}, {name}\t{worst:.6}");
            eprintln!("  {which} {worst:.3} bound {:.3} after {} rectangles", found.bound, found.looked_at);
        }
        if beside {
            return;
        }
        let tolerances = vec![Tolerance { gap: 3.0, span: 3048.0, humps: true }];
        let job = Job { tolerances, margin: 0.0, fill_cost: 1.0, grind_cost: Some(4.0) };
        let start = Instant::now();
        let done = correct(&mesh, &ground, &z, &job, &mut |_| true);
        println!("correction, {name}\t{:.6}", start.elapsed().as_secs_f64());
        let gap = job.tolerances[0].gap;
        println!(
            "left by the correction, {name}\t{:.6}",
            done.as_ref().map_or(f64::NAN, |c| c.worst_after / gap)
        );
        let done = done.map_or((f64::NAN, f64::NAN), |c| (c.cost, c.worst_after));
        eprintln!("  cost {:.3}, worst afterwards {:.4}", done.0, done.1);
    }
}
