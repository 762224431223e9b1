//! The correction as work: what is poured, what is trowelled, what is ground, in which portions.
//!
//! A correction says how much the floor must rise at each reading. What is filled falls apart into connected
//! patches. A trowelled patch follows the floor and takes just what the correction asks. Levelling compound lies
//! level: it fills its patch up to one height, and runs on over the rim wherever the floor beyond lies lower, until a
//! dam stops it. A patch is poured where that leaves the floor within every tolerance (searched again, as the
//! correction was) and the patch is larger than what is trowelled; else it is trowelled.

use super::correction::{Corrected, Job};
use super::ground::Ground;
use super::mesh::Mesh;
use super::search::{Aim, Surface, search};
use super::verdict::Tolerance;

type Xy = (f64, f64);

/// Changes below this are none, mm.
const NOTHING: f64 = 0.005;
/// A pour that is over by less is as good as the correction, mm: nobody reads a floor finer.
const HAIR: f64 = 0.02;
/// Along walls thickness is counted in cells of this side, mm.
const CELL: f64 = 50.0;

/// A compound, as its data sheet has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compound {
    /// Litres that a mixed bag fills.
    pub bag_litres: f64,
    /// Least thickness, mm; nought where it may be drawn out to nothing.
    pub least: f64,
    /// Greatest thickness of one layer, mm.
    pub most: f64,
    /// Minutes for which it can be worked after mixing.
    pub pot_life: f64,
    /// Minutes that mixing, carrying and placing one mix take.
    pub mix: f64,
    /// Bags in a mix.
    pub bags_in_mix: u32,
}

/// What the work is done with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Means {
    /// Levelling compound; `None` where nothing is poured.
    pub pour: Option<Compound>,
    /// Patching compound, trowelled; `None` where there is none.
    pub trowel: Option<Compound>,
    /// Patches up to this area are trowelled, m².
    pub trowel_area: f64,
    /// How many mix at once.
    pub mixers: u32,
}

/// How a patch is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Poured: it lies level.
    Pour,
    /// Trowelled: it follows the floor.
    Trowel,
}

/// A connected part of the floor that is filled.
#[derive(Clone, Debug, PartialEq)]
pub struct Patch {
    /// How.
    pub way: Way,
    /// The readings in it.
    pub points: Vec<usize>,
    /// Its area between readings, m².
    pub area_m2: f64,
    /// Litres between readings.
    pub litres: f64,
    /// Litres along walls, beyond the outermost readings, as thick as at the nearest.
    pub rim_litres: f64,
    /// Thickness at its thinnest and thickest reading, mm.
    pub thickness: [f64; 2],
    /// The height it lies at, where it is poured, mm.
    pub level: Option<f64>,
    /// Where a dam must stop it: edges between a reading within and one beyond that lies lower, as the two places.
    pub dams: Vec<[Xy; 2]>,
    /// Length of those dams, mm.
    pub dam_length: f64,
    /// Length of wall along it, mm: perimeter foam.
    pub foam_length: f64,
    /// Layers, none thicker than the compound allows.
    pub layers: u32,
    /// Some of it is thinner than the compound allows.
    pub too_thin: bool,
    /// Why a patch that is large enough to be poured is not: the deviation that would be left, mm.
    pub poured_would_leave: Option<f64>,
}

/// A connected part of the floor that is ground off.
#[derive(Clone, Debug, PartialEq)]
pub struct Grind {
    /// The readings in it.
    pub points: Vec<usize>,
    /// Its area between readings, m².
    pub area_m2: f64,
    /// Litres of dust and rubble before they are loose.
    pub litres: f64,
    /// The deepest, mm.
    pub deepest: f64,
}

/// Portions of one compound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Portions {
    /// Litres in all.
    pub litres: f64,
    /// Bags, full ones.
    pub bags: u32,
    /// Litres that can be mixed and placed before the first of it sets.
    pub at_once: f64,
    /// Portions of that size.
    pub portions: u32,
}

/// The work.
#[derive(Clone, Debug, PartialEq)]
pub struct Work {
    /// What is filled, largest first.
    pub patches: Vec<Patch>,
    /// What is ground off, largest first.
    pub grinds: Vec<Grind>,
    /// Levelling compound.
    pub pour: Option<Portions>,
    /// Patching compound.
    pub trowel: Option<Portions>,
    /// Area to prime, m².
    pub primed_m2: f64,
    /// Heights at the readings afterwards, mm.
    pub after: Vec<f64>,
    /// The greatest deviation then under any tolerance, mm.
    pub worst_after: f64,
}

/// What a correction was found for.
#[derive(Clone, Copy, Debug)]
pub struct Found<'a> {
    /// The triangulation of the readings.
    pub mesh: &'a Mesh,
    /// The floor.
    pub ground: &'a Ground,
    /// The heights as read.
    pub z: &'a [f64],
    /// What is asked.
    pub job: &'a Job,
    /// The correction.
    pub done: &'a Corrected,
}

/// Turns a correction into work; `None` where `go_on` ended it.
pub fn plan(of: Found<'_>, means: &Means, go_on: &mut dyn FnMut() -> bool) -> Option<Work> {
    let Found { mesh, ground, z, job, done } = of;
    let site = Site { mesh, ground, z, job, means, neighbours: neighbours(mesh) };
    let mut after = done.z.clone();
    let (mut patches, mut worst_after) = (Vec::new(), done.worst_after);
    for points in site.parts(&done.fill) {
        let (patch, better) = site.patch(points, done, &after, go_on)?;
        if let Some((heights, worst)) = better {
            (after, worst_after) = (heights, worst);
        }
        patches.push(patch);
    }
    let mut grinds: Vec<Grind> =
        site.parts(&done.grind).into_iter().map(|p| site.grind(p, &done.grind)).collect();
    patches.sort_by(|a, b| b.litres.total_cmp(&a.litres).then(a.points.cmp(&b.points)));
    grinds.sort_by(|a, b| b.litres.total_cmp(&a.litres).then(a.points.cmp(&b.points)));
    let sum = |way| patches.iter().filter(|p| p.way == way).map(|p| p.litres + p.rim_litres).sum::<f64>();
    let portions = |compound: Option<Compound>, litres: f64| {
        compound.filter(|_| litres > 0.0).map(|c| portions(&c, litres, means.mixers))
    };
    let (pour, trowel) = (portions(means.pour, sum(Way::Pour)), portions(means.trowel, sum(Way::Trowel)));
    Some(Work {
        pour,
        trowel,
        primed_m2: patches.iter().map(|p| p.area_m2).sum(),
        patches,
        grinds,
        after,
        worst_after,
    })
}

/// Bags and portions: what all mixers together can place before the first mix sets.
fn portions(compound: &Compound, litres: f64, mixers: u32) -> Portions {
    let mix = compound.bag_litres * f64::from(compound.bags_in_mix.max(1));
    let rounds = (compound.pot_life / compound.mix.max(0.1)).floor().max(1.0);
    let at_once = mix * rounds * f64::from(mixers.max(1));
    Portions {
        litres,
        bags: counted(litres / compound.bag_litres),
        at_once,
        portions: counted(litres / at_once),
    }
}

/// The next whole number, not thrown by the last digit of a sum.
fn counted(many: f64) -> u32 {
    let whole = (many - 1e-9).ceil().clamp(0.0, 1e9);
    // Within the bounds of the clamp.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped right above")]
    let whole = whole as u32;
    whole
}

/// All heights once a patch is poured, and the greatest deviation then.
type Poured = (Vec<f64>, f64);

struct Site<'a> {
    mesh: &'a Mesh,
    ground: &'a Ground,
    z: &'a [f64],
    job: &'a Job,
    means: &'a Means,
    neighbours: Vec<Vec<usize>>,
}

fn neighbours(mesh: &Mesh) -> Vec<Vec<usize>> {
    let mut list = vec![Vec::new(); mesh.points.len()];
    for e in &mesh.edges {
        list[e.ends[0]].push(e.ends[1]);
        list[e.ends[1]].push(e.ends[0]);
    }
    list
}

impl Site<'_> {
    /// Connected parts of the readings that change.
    fn parts(&self, change: &[f64]) -> Vec<Vec<usize>> {
        let mut seen = vec![false; change.len()];
        let mut parts = Vec::new();
        for start in 0..change.len() {
            if seen[start] || change[start] < NOTHING {
                continue;
            }
            let (mut part, mut todo) = (Vec::new(), vec![start]);
            seen[start] = true;
            while let Some(p) = todo.pop() {
                part.push(p);
                for &q in &self.neighbours[p] {
                    if !seen[q] && change[q] >= NOTHING {
                        seen[q] = true;
                        todo.push(q);
                    }
                }
            }
            part.sort_unstable();
            parts.push(part);
        }
        parts
    }

    /// Area in m² and litres of a layer of that thickness at the readings of a part, nought elsewhere.
    fn volume(&self, points: &[usize], thickness: &dyn Fn(usize) -> f64) -> (f64, f64) {
        let within = |i: &usize| points.binary_search(i).is_ok();
        let (mut area, mut litres) = (0.0, 0.0);
        for (t, corners) in self.mesh.triangles.iter().enumerate().filter(|(_, c)| c.iter().any(within)) {
            let mm2 = self.mesh.area(t);
            area += mm2 / 1e6;
            litres += mm2 / 3e6 * corners.iter().filter(|i| within(i)).map(|&i| thickness(i)).sum::<f64>();
        }
        (area, litres)
    }

    /// A patch, and the heights and the worst deviation with it where it is poured; `None` where it was ended.
    fn patch(
        &self,
        points: Vec<usize>,
        done: &Corrected,
        after: &[f64],
        go_on: &mut dyn FnMut() -> bool,
    ) -> Option<(Patch, Option<Poured>)> {
        let (area_m2, litres) = self.volume(&points, &|i| done.fill[i]);
        let large = area_m2 > self.means.trowel_area || self.means.trowel.is_none();
        let mut would_leave = None;
        if let Some(pour) = self.means.pour.filter(|_| large) {
            let (level, heights) = self.levelled(&points, done, after);
            let each = self.job.tolerances.iter().map(|t| self.worst(&heights, t, go_on));
            let found: Vec<f64> = each.collect::<Option<_>>()?;
            let worst = found.iter().copied().fold(0.0, f64::max);
            let holds = |(t, d): (&Tolerance, &f64)| *d <= t.gap - self.job.margin + HAIR;
            if self.job.tolerances.iter().zip(&found).all(holds) {
                return Some((self.poured(points, level, &pour), Some((heights, worst))));
            }
            would_leave = Some(worst);
        }
        let thickness = bounds(points.iter().map(|&i| done.fill[i]));
        let (foam_length, rim_litres) = self.along_walls(&points, &|i| done.fill[i]);
        let most = self.means.trowel.or(self.means.pour).map_or(f64::INFINITY, |c| c.most);
        let least = self.means.trowel.or(self.means.pour).map_or(0.0, |c| c.least);
        let patch = Patch {
            way: Way::Trowel,
            area_m2,
            litres,
            rim_litres,
            thickness,
            level: None,
            dams: Vec::new(),
            dam_length: 0.0,
            foam_length,
            layers: counted(thickness[1] / most).max(1),
            too_thin: thickness[0] < least,
            poured_would_leave: would_leave,
            points,
        };
        Some((patch, None))
    }

    /// The level a patch is poured to, and all heights then: nowhere lower than the correction asks.
    fn levelled(&self, points: &[usize], done: &Corrected, after: &[f64]) -> (f64, Vec<f64>) {
        let level = points.iter().map(|&i| done.z[i]).fold(f64::NEG_INFINITY, f64::max);
        let mut heights = after.to_vec();
        points.iter().for_each(|&i| heights[i] = level);
        (level, heights)
    }

    fn poured(&self, points: Vec<usize>, level: f64, pour: &Compound) -> Patch {
        let depth = |i: usize| level - self.z[i];
        let (area_m2, litres) = self.volume(&points, &depth);
        let (foam_length, rim_litres) = self.along_walls(&points, &depth);
        let within = |i: &usize| points.binary_search(i).is_ok();
        let low = |e: &&super::mesh::Edge| {
            let [a, b] = e.ends;
            let beyond = if within(&a) { b } else { a };
            within(&a) != within(&b) && self.z[beyond] < level - NOTHING
        };
        let at = |i: usize| self.mesh.points[i];
        let dams: Vec<[Xy; 2]> = self.mesh.edges.iter().filter(low).map(|e| e.ends.map(at)).collect();
        let thickness = bounds(points.iter().map(|&i| depth(i)));
        Patch {
            way: Way::Pour,
            area_m2,
            litres,
            rim_litres,
            thickness,
            level: Some(level),
            dam_length: self.dam_length(&points, level),
            dams,
            foam_length,
            layers: counted(thickness[1] / pour.most).max(1),
            too_thin: thickness[0] < pour.least,
            poured_would_leave: None,
            points,
        }
    }

    /// Length of the rim beyond which the floor lies lower: in each triangle that the rim crosses with a lower
    /// reading beyond, the rim runs through the middles of its sides.
    fn dam_length(&self, points: &[usize], level: f64) -> f64 {
        let within = |i: usize| points.binary_search(&i).is_ok();
        let rim = |t: &[usize; 3]| {
            let runs_off = t.iter().any(|&i| !within(i) && self.z[i] < level - NOTHING);
            let alone = (0..3).find(|&k| {
                within(t[k]) != within(t[(k + 1) % 3]) && within(t[k]) != within(t[(k + 2) % 3])
            })?;
            let at = |k: usize| self.mesh.points[t[k % 3]];
            let ((ax, ay), (bx, by)) = (at(alone + 1), at(alone + 2));
            runs_off.then(|| ((bx - ax) * (bx - ax) + (by - ay) * (by - ay)).sqrt() / 2.0)
        };
        self.mesh.triangles.iter().filter_map(rim).sum()
    }

    /// Length of wall whose nearest reading is in the patch, and litres on the floor between it and the outermost
    /// readings, as thick as at the nearest.
    fn along_walls(&self, points: &[usize], thickness: &dyn Fn(usize) -> f64) -> (f64, f64) {
        let mut length = 0.0;
        for ring in self.ground.rings() {
            for (k, &a) in ring.iter().enumerate() {
                let b = ring[(k + 1) % ring.len()];
                let long = ((b.0 - a.0) * (b.0 - a.0) + (b.1 - a.1) * (b.1 - a.1)).sqrt();
                let cells = (long / CELL).ceil().max(1.0);
                let place =
                    |n: f64| (a.0 + (b.0 - a.0) * (n + 0.5) / cells, a.1 + (b.1 - a.1) * (n + 0.5) / cells);
                let near = |n: u32| points.binary_search(&self.nearest(place(f64::from(n)))).is_ok();
                length += (0..counted(cells)).filter(|&n| near(n)).count() as f64 * long / cells;
            }
        }
        let mut litres = 0.0;
        for p in self.rim_cells() {
            let nearest = self.nearest(p);
            if points.binary_search(&nearest).is_ok() {
                litres += CELL * CELL / 1e6 * thickness(nearest);
            }
        }
        (length, litres)
    }

    /// Middles of cells of floor that lie outside the hull of the readings.
    fn rim_cells(&self) -> Vec<Xy> {
        let corners = || self.ground.rings().iter().flatten();
        let (x, y) = (bounds(corners().map(|p| p.0)), bounds(corners().map(|p| p.1)));
        let many = |[low, high]: [f64; 2]| counted((high - low) / CELL);
        let n = self.mesh.hull.len();
        let outside = |p: &Xy| {
            (0..n).any(|k| {
                let (a, b) =
                    (self.mesh.points[self.mesh.hull[k]], self.mesh.points[self.mesh.hull[(k + 1) % n]]);
                (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) < 0.0
            })
        };
        let cell = |i: u32, j: u32| (x[0] + CELL * (f64::from(i) + 0.5), y[0] + CELL * (f64::from(j) + 0.5));
        let all = (0..many(x)).flat_map(|i| (0..many(y)).map(move |j| cell(i, j)));
        all.filter(outside).filter(|p| self.ground.contains(*p)).collect()
    }

    fn nearest(&self, p: Xy) -> usize {
        let off = |q: &Xy| (q.0 - p.0) * (q.0 - p.0) + (q.1 - p.1) * (q.1 - p.1);
        let all = self.mesh.points.iter().enumerate();
        all.min_by(|a, b| off(a.1).total_cmp(&off(b.1))).map_or(0, |(i, _)| i)
    }

    fn grind(&self, points: Vec<usize>, depth: &[f64]) -> Grind {
        let (area_m2, litres) = self.volume(&points, &|i| depth[i]);
        let deepest = points.iter().map(|&i| depth[i]).fold(0.0, f64::max);
        Grind { points, area_m2, litres, deepest }
    }

    fn faces(&self, heights: &[f64], humps: bool) -> Vec<Surface<'_>> {
        let surface = Surface::new(self.mesh, heights.to_vec(), self.ground);
        let over = humps.then(|| surface.turned_over());
        [surface].into_iter().chain(over).collect()
    }

    /// The greatest deviation under a tolerance, to the 0.02 mm or 0.5 % of the search; `None` where it was ended.
    fn worst(&self, heights: &[f64], asked: &Tolerance, go_on: &mut dyn FnMut() -> bool) -> Option<f64> {
        let mut worst: f64 = 0.0;
        for surface in self.faces(heights, asked.humps) {
            let found = search(&surface, asked.span, Aim::Worst, &mut |_| go_on());
            worst = worst.max(found.worst.map_or(0.0, |c| c.deviation));
            if !found.finished {
                return None;
            }
        }
        Some(worst)
    }
}

fn bounds(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], v| [a.min(v), b.max(v)])
}

#[cfg(test)]
mod tests {
    use super::super::correct;
    use super::*;
    use drylay_geometry::{Length, Point, Ring};

    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

    /// Invented: 4 L a bag, 3 to 15 mm, 20 minutes of pot life, 6 a mix of one bag.
    const POUR: Compound =
        Compound { bag_litres: 4.0, least: 3.0, most: 15.0, pot_life: 20.0, mix: 6.0, bags_in_mix: 1 };
    const TROWEL: Compound =
        Compound { bag_litres: 3.0, least: 0.0, most: 6.0, pot_life: 15.0, mix: 5.0, bags_in_mix: 1 };
    const MEANS: Means = Means { pour: Some(POUR), trowel: Some(TROWEL), trowel_area: 1.0, mixers: 2 };

    struct Floor {
        mesh: Mesh,
        ground: Ground,
        z: Vec<f64>,
        job: Job,
    }

    /// A floor of 4 × 3 m, read every half metre from wall to wall.
    fn floor(height: impl Fn(f64, f64) -> f64, gap: f64) -> Floor {
        let points: Vec<Point> = (0..63).map(|k| at(k % 9 * 500, k / 9 * 500)).collect();
        let z = points.iter().map(|p| height(p.mm().0, p.mm().1)).collect();
        let room = Ring::new(vec![at(0, 0), at(4000, 0), at(4000, 3000), at(0, 3000)]);
        let tolerances = vec![Tolerance { gap, span: 3048.0, humps: true }];
        let job = Job { tolerances, margin: 0.0, fill_cost: 1.0, grind_cost: None };
        Floor { mesh: Mesh::new(&points).expect("a grid"), ground: Ground::new(&room, &[]), z, job }
    }

    impl Floor {
        fn work(&self, means: &Means) -> (Corrected, Work) {
            let done =
                correct(&self.mesh, &self.ground, &self.z, &self.job, &mut |_| true).expect("a correction");
            let work = self.planned(&done, means);
            (done, work)
        }

        fn planned(&self, done: &Corrected, means: &Means) -> Work {
            let Self { mesh, ground, z, job } = self;
            plan(Found { mesh, ground, z, job, done }, means, &mut || true).expect("not ended")
        }

        /// A correction made by hand.
        fn filled(&self, fill: impl Fn(f64, f64) -> f64) -> Corrected {
            let fill: Vec<f64> = self.mesh.points.iter().map(|p| fill(p.0, p.1)).collect();
            let z = self.z.iter().zip(&fill).map(|(z, d)| z + d).collect();
            let none = vec![0.0; fill.len()];
            let fill_litres = fill.iter().zip(self.mesh.shares()).map(|(d, a)| d * a / 1e6).sum();
            Corrected { fill, grind: none, cost: 0.0, fill_litres, grind_litres: 0.0, worst_after: 0.0, z }
        }
    }

    fn basin(x: f64, y: f64) -> f64 {
        let squared = |x: f64| x * x;
        let r = (squared(x - 2000.0) + squared(y - 1500.0)).sqrt();
        -12.0 * (1.0 - r / 1300.0).max(0.0)
    }

    #[test]
    fn a_deep_basin_is_poured_level_and_the_floor_holds_afterwards() {
        let floor = floor(basin, 3.0);
        let (done, work) = floor.work(&MEANS);
        let [patch] = &work.patches[..] else { panic!("one patch: {:?}", work.patches) };
        assert_eq!(patch.way, Way::Pour);
        let level = patch.level.expect("a level");
        for (i, &z) in work.after.iter().enumerate() {
            assert!(z >= done.z[i] - 1e-9, "nowhere lower than asked");
            assert!(patch.points.contains(&i) == ((z - level).abs() < 1e-9 && done.fill[i] > 0.005));
        }
        assert!(work.worst_after <= 3.0 + 0.02 && patch.litres >= done.fill_litres - 1e-9);
    }

    /// Three litres lie on a square metre 3 mm thick: a part's volume is that of prisms over its triangles.
    #[test]
    fn litres_are_those_of_prisms() {
        let floor = floor(|_, _| 0.0, 3.0);
        let site = Site {
            mesh: &floor.mesh,
            ground: &floor.ground,
            z: &floor.z,
            job: &floor.job,
            means: &MEANS,
            neighbours: neighbours(&floor.mesh),
        };
        let all: Vec<usize> = (0..63).collect();
        let (area, litres) = site.volume(&all, &|_| 3.0);
        assert!((area - 12.0).abs() < 1e-9 && (litres - 36.0).abs() < 1e-9);
        let (foam, rim) = site.along_walls(&all, &|_| 3.0);
        assert!((foam - 14_000.0).abs() < 1e-6 && rim.abs() < 1e-9, "read up to the walls: {foam} {rim}");
    }

    #[test]
    fn what_lies_beyond_the_outermost_readings_is_filled_too() {
        let points: Vec<Point> = (0..35).map(|k| at(200 + k % 7 * 600, 100 + k / 7 * 700)).collect();
        let room = Ring::new(vec![at(0, 0), at(4000, 0), at(4000, 3000), at(0, 3000)]);
        let (mesh, ground) = (Mesh::new(&points).expect("a grid"), Ground::new(&room, &[]));
        let job = Job { tolerances: Vec::new(), margin: 0.0, fill_cost: 1.0, grind_cost: None };
        let z = vec![0.0; 35];
        let site = Site {
            mesh: &mesh,
            ground: &ground,
            z: &z,
            job: &job,
            means: &MEANS,
            neighbours: neighbours(&mesh),
        };
        let all: Vec<usize> = (0..35).collect();
        let inner = site.volume(&all, &|_| 5.0).1;
        let rim = site.along_walls(&all, &|_| 5.0).1;
        assert!((inner + rim - 60.0).abs() < 0.5, "5 mm over 12 m² are 60 litres: {inner} {rim}");
    }

    #[test]
    fn a_small_dip_is_trowelled_and_takes_what_the_correction_asks() {
        let dip = |x: f64, y: f64| if (x, y) == (2000.0, 1500.0) { -5.0 } else { 0.0 };
        let floor = floor(dip, 3.0);
        let done = floor.filled(|x, y| if dip(x, y) < 0.0 { 2.0 } else { 0.0 });
        let means = Means { trowel_area: 2.0, ..MEANS };
        let work = floor.planned(&done, &means);
        let [patch] = &work.patches[..] else { panic!("one patch") };
        assert_eq!((patch.way, patch.layers, patch.points.as_slice()), (Way::Trowel, 1, &[31][..]));
        assert!((patch.litres - done.fill_litres).abs() < 1e-9 && work.pour.is_none());
        assert_eq!(work.trowel.map(|t| t.bags), Some(1));
    }

    #[test]
    fn a_slope_that_is_filled_evenly_is_not_poured_level() {
        // A long trough that falls by 24 mm along its way: level it would be a step.
        let dips = |y: f64| (1000.0..=2000.0).contains(&y);
        let floor = floor(|x, y| -6.0 * x / 1000.0 - if dips(y) { 7.0 } else { 0.0 }, 3.0);
        let done = floor.filled(|_, y| if dips(y) { 5.0 } else { 0.0 });
        let work = floor.planned(&done, &MEANS);
        assert!(work.patches.iter().all(|p| p.way == Way::Trowel));
        assert!(work.patches.iter().any(|p| p.poured_would_leave.is_some_and(|d| d > 3.0)));
        assert_eq!(work.after, done.z);
    }

    #[test]
    fn pot_life_and_mixers_make_the_size_of_a_pour() {
        // Three mixes of one bag in twenty minutes, by two mixers: 24 litres at once.
        let found = portions(&POUR, 50.0, 2);
        assert_eq!((found.at_once, found.portions, found.bags), (24.0, 3, 13));
        assert_eq!(portions(&POUR, 24.0, 2).portions, 1);
        let slow = Compound { mix: 45.0, ..POUR };
        assert_eq!(portions(&slow, 4.0, 1).at_once, 4.0, "one mix is always placed");
        let alone = portions(&Compound { bags_in_mix: 0, ..slow }, 4.0, 0);
        assert_eq!((alone.at_once, alone.portions), (4.0, 1), "somebody mixes, and a bag at least");
    }

    #[test]
    fn a_pour_is_dammed_where_the_floor_beyond_lies_lower() {
        // A basin at the left wall beside a floor that lies 1 mm lower on its far side.
        let low = |x: f64, y: f64| {
            if x < 1000.0 && y < 2200.0 {
                -6.0
            } else if y > 2200.0 {
                -2.0
            } else {
                0.0
            }
        };
        let floor = floor(low, 8.0);
        let done = floor.filled(|x, y| if x < 1000.0 && y < 2200.0 { 5.0 } else { 0.0 });
        let work = floor.planned(&done, &MEANS);
        let [patch] = &work.patches[..] else { panic!("one patch") };
        assert_eq!((patch.way, patch.level), (Way::Pour, Some(-1.0)));
        // Beyond y = 2200 the floor lies at −2, below the pour at −1; towards x = 1000 it lies higher.
        assert!(
            patch.dams.iter().flatten().all(|p| p.1 >= 2000.0) && !patch.dams.is_empty(),
            "{:?}",
            patch.dams
        );
        assert!(patch.dam_length > 400.0 && patch.dam_length < 1500.0, "{}", patch.dam_length);
        // Walls: 2 m of the left one and half a metre of the first, each to the middle between two readings.
        assert!((patch.foam_length - 3000.0).abs() < 60.0, "{}", patch.foam_length);
    }
}
