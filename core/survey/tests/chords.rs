//! The search for the worst chord beside chords that are drawn at random and improved step by step: none may beat what
//! it says.

use drylay_geometry::{Length, Point, Ring};
use drylay_survey::floor::{Aim, Ground, Mesh, Surface, search};

const SPAN: f64 = 2500.0;
const SD: f64 = 0.8;

/// A small generator of our own, so that a failure is the same everywhere (SplitMix: Steele, Lea and Flood 2014).
struct Lots(u64);

impl Lots {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

fn at(x: f64, y: f64) -> Point {
    let mm = |v: f64| Length::from_mm_f64(v.round()).expect("a length");
    Point::new(mm(x), mm(y))
}

/// A floor of 20 readings, not quite on a grid, each known to [`SD`] by itself.
fn floor(lots: &mut Lots) -> (Mesh, Vec<f64>) {
    let places: Vec<Point> = (0..20)
        .map(|k| (f64::from(k % 5) * 900.0, f64::from(k / 5) * 850.0))
        .map(|(x, y)| at(x + lots.between(-200.0, 200.0), y + lots.between(-200.0, 200.0)))
        .collect();
    let z = places.iter().map(|_| lots.between(-4.0, 4.0)).collect();
    (Mesh::new(&places).expect("a surface"), z)
}

/// A chord: a point, a direction, and how far the ends lie before and behind it.
type Tried = [f64; 5];

/// How far the surface lies below a chord, and that with twice its standard deviation; `None` where it is none.
fn judged(mesh: &Mesh, z: &[f64], &[x, y, turn, before, behind]: &Tried) -> Option<(f64, f64)> {
    if before <= 0.0 || behind <= 0.0 || before + behind > SPAN {
        return None;
    }
    let (dx, dy) = (libm::cos(turn), libm::sin(turn));
    let ends = [(x + dx * before, y + dy * before), (x - dx * behind, y - dy * behind)];
    let shares = [behind / (before + behind), before / (before + behind)];
    let mut factors = vec![0.0; z.len()];
    mesh.weights((x, y))?.into_iter().for_each(|(i, w)| factors[i] -= w);
    for (end, share) in ends.into_iter().zip(shares) {
        mesh.weights(end)?.into_iter().for_each(|(i, w)| factors[i] += share * w);
    }
    let deviation: f64 = factors.iter().zip(z).map(|(f, z)| f * z).sum();
    let variance: f64 = factors.iter().map(|f| f * f * SD * SD).sum();
    Some((deviation, deviation + 2.0 * variance.sqrt()))
}

/// The worst of many chords by one of the two measures, improved in small steps.
fn worst(mesh: &Mesh, z: &[f64], lots: &mut Lots, of: fn((f64, f64)) -> f64) -> f64 {
    let value = |tried: &Tried| judged(mesh, z, tried).map_or(f64::NEG_INFINITY, of);
    let mut found: Vec<(f64, Tried)> = (0..4000)
        .map(|_| {
            let place = [lots.between(-200.0, 3800.0), lots.between(-200.0, 2750.0)];
            let ends = [lots.between(0.0, SPAN / 2.0), lots.between(0.0, SPAN / 2.0)];
            let tried = [place[0], place[1], lots.between(0.0, std::f64::consts::PI), ends[0], ends[1]];
            (value(&tried), tried)
        })
        .collect();
    found.sort_by(|one, other| other.0.total_cmp(&one.0));
    found.truncate(8);
    for (best, tried) in &mut found {
        for step in 0..1500 {
            let size = 200.0 * libm::exp(-f64::from(step) / 250.0);
            let mut near = *tried;
            near.iter_mut()
                .zip([1.0, 1.0, 1e-3, 1.0, 1.0])
                .for_each(|(x, of)| *x += lots.between(-size, size) * of);
            let now = value(&near);
            if now > *best {
                (*best, *tried) = (now, near);
            }
        }
    }
    found.iter().map(|(best, _)| *best).fold(f64::NEG_INFINITY, f64::max)
}

fn room() -> Ring {
    Ring::new(vec![at(-900.0, -900.0), at(5000.0, -900.0), at(5000.0, 4000.0), at(-900.0, 4000.0)])
}

#[test]
fn no_chord_deviates_more_than_the_bound_and_the_worst_is_near_it() {
    let ground = Ground::new(&room(), &[]);
    for seed in 0..30 {
        let lots = &mut Lots(seed);
        let (mesh, z) = floor(lots);
        let surface = Surface::new(&mesh, z.clone(), &ground);
        let found = search(&surface, SPAN, Aim::Worst, &mut |_| true);
        let told = found.worst.expect("a dip").deviation;
        let tried = worst(&mesh, &z, lots, |(deviation, _)| deviation);
        assert!(tried <= found.bound + 1e-9, "{seed}: {tried} is over the bound {}", found.bound);
        assert!(told >= tried - 0.02 - 0.005 * told, "{seed}: {tried} is worse than {told}");
        // As the aim says of itself.
        assert!(found.bound <= told + 0.02 + 0.005 * told, "{seed}: {} is loose over {told}", found.bound);
    }
}

#[test]
fn a_floor_is_clear_of_doubt_only_where_no_chord_says_otherwise() {
    let ground = Ground::new(&room(), &[]);
    let variance = |weights: &[(usize, f64)]| weights.iter().map(|(_, f)| f * f * SD * SD).sum::<f64>();
    for seed in 100..130 {
        let lots = &mut Lots(seed);
        let (mesh, z) = floor(lots);
        let surface = Surface::new(&mesh, z.clone(), &ground);
        let tried = worst(&mesh, &z, lots, |(_, doubtful)| doubtful);
        let is_clear = |gap: f64| {
            let aim = Aim::Doubtful { gap, variance: &variance, worst: (SD * SD, 0.0) };
            let found = search(&surface, SPAN, aim, &mut |_| true);
            found.worst.is_none() && found.finished && found.bound <= gap
        };
        assert!(!is_clear(tried - 0.01), "{seed}: a chord reaches {tried}");
        // Between readings heights are known better than at them; the search takes both for as little known.
        assert!(is_clear(tried * 1.2), "{seed}: none reaches {}", tried * 1.2);
    }
}
