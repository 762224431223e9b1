//! The floor as a map: lines of equal height and the areas between them.

use super::floor::{Viewer, inches};
use super::plan::rings;
use crate::wire::{BandView, ContourView, FloorMapView, Units};
use crate::words::say;
use drylay_geometry::Region;
use drylay_survey::floor::contour::{Band, bands, contours};
use drylay_survey::floor::{Ground, Mesh};

/// The most lines on a map: more cannot be told apart on a phone in the sun.
const MOST: f64 = 7.0;
/// Changes below this are not drawn, mm.
const NOTHING: f64 = 0.1;

/// Steps between lines, in mm.
fn steps(units: Units) -> Vec<f64> {
    match units {
        Units::Metric => vec![0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0],
        Units::Imperial | Units::Inches => {
            [2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0].map(|n| n * 25.4 / 64.0).to_vec()
        }
    }
}

/// The step at which a range has few enough lines.
fn step(units: Units, range: f64) -> f64 {
    let all = steps(units);
    all.iter().copied().find(|s| range / s <= MOST).or(all.last().copied()).unwrap_or(1.0)
}

fn figure(units: Units, mm: f64) -> String {
    match units {
        Units::Metric => {
            let text = format!("{mm:.1}");
            text.trim_end_matches(".0").to_owned()
        }
        Units::Imperial | Units::Inches => inches(mm, 32),
    }
}

fn with_unit(units: Units, mm: f64) -> String {
    let figure = figure(units, mm);
    if units == Units::Metric { format!("{figure} mm") } else { figure }
}

/// The heights of a round.
pub(super) fn heights(viewer: &Viewer<'_>) -> Option<FloorMapView> {
    let read = &viewer.now.read;
    let (mesh, ground) = read.surface.as_ref()?;
    let depth = read.z.iter().fold(0.0, |d, z| f64::max(d, -z));
    let floor = read.floor()?;
    let step = step(viewer.units, depth);
    let many = (depth / step).ceil().max(1.0);
    let levels: Vec<f64> =
        (0_u32..).map(f64::from).take_while(|n| *n <= many).map(|n| (n - many) * step).collect();
    // The highest reading is at nought, and belongs to the highest band.
    let mut edges = levels.clone();
    if let Some(last) = edges.last_mut() {
        *last = step;
    }
    let words = |low: f64, high: f64| {
        let (from, to) = (figure(viewer.units, -high.min(0.0)), with_unit(viewer.units, -low));
        say("flat.band", &[("from", &from), ("to", &to)])
    };
    let band = |b: &Band| view(b, count_of(-b.high.min(0.0) / step), false, words(b.low, b.high));
    Some(FloorMapView {
        step_text: with_unit(viewer.units, step),
        contours: lines(viewer.units, mesh, &read.z, ground, &levels[..levels.len() - 1], -1.0),
        bands: bands(mesh, &read.z, &floor, &edges).iter().map(band).collect(),
    })
}

/// What is put on and taken off at the readings, mm.
pub(super) fn changes(viewer: &Viewer<'_>, fill: &[f64], grind: &[f64]) -> Option<FloorMapView> {
    let read = &viewer.now.read;
    let (mesh, ground) = read.surface.as_ref()?;
    let floor = read.floor()?;
    let most = fill.iter().chain(grind).copied().fold(0.0, f64::max);
    if most < NOTHING {
        return None;
    }
    let step = step(viewer.units, most);
    let mut map =
        FloorMapView { step_text: with_unit(viewer.units, step), contours: Vec::new(), bands: Vec::new() };
    for (values, off) in [(fill, false), (grind, true)] {
        add(&mut map, viewer.units, (mesh, ground, &floor), values, step, off);
    }
    Some(map)
}

fn add(
    map: &mut FloorMapView,
    units: Units,
    (mesh, ground, floor): (&Mesh, &Ground, &Region),
    values: &[f64],
    step: f64,
    off: bool,
) {
    let most = values.iter().copied().fold(0.0, f64::max);
    if most < NOTHING {
        return;
    }
    let many = (most / step).ceil();
    let mut edges: Vec<f64> = (0_u32..).map(f64::from).take_while(|n| *n <= many).map(|n| n * step).collect();
    map.contours.extend(lines(units, mesh, values, ground, &edges[1..edges.len() - 1], 1.0));
    edges[0] = NOTHING;
    if let Some(last) = edges.last_mut() {
        *last += step;
    }
    let code = if off { "flat.band_off" } else { "flat.band_on" };
    let words = |low: f64, high: f64| {
        say(code, &[("from", &figure(units, low)), ("to", &with_unit(units, high.min(many * step)))])
    };
    let floor_of = |low: f64| if low <= NOTHING { 0.0 } else { low };
    let found = bands(mesh, values, floor, &edges);
    map.bands.extend(found.iter().map(|b| {
        let low = floor_of(b.low);
        view(b, count_of(low / step) + 1, off, words(low, b.high))
    }));
}

fn count_of(steps: f64) -> u32 {
    let whole = steps.round().clamp(0.0, 1000.0);
    (0..1000).find(|n| f64::from(*n) >= whole).unwrap_or(1000)
}

fn view(band: &Band, depth: u32, off: bool, words: String) -> BandView {
    BandView { words, depth, off, rings: band.region.shapes.iter().map(rings).collect() }
}

fn lines(
    units: Units,
    mesh: &Mesh,
    values: &[f64],
    ground: &Ground,
    levels: &[f64],
    sign: f64,
) -> Vec<ContourView> {
    let one = |c: &drylay_survey::floor::contour::Contour| ContourView {
        text: figure(units, sign * c.level),
        chains: c.chains.iter().map(|chain| chain.iter().flat_map(|&(x, y)| [x, y]).collect()).collect(),
    };
    contours(mesh, values, ground, levels).iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_map_has_few_lines_at_round_figures() {
        assert_eq!(
            (step(Units::Metric, 3.0), step(Units::Metric, 11.0), step(Units::Metric, 60.0)),
            (0.5, 2.0, 10.0)
        );
        assert!((step(Units::Imperial, 13.0) - 25.4 / 8.0).abs() < 1e-9, "an eighth of an inch");
        assert_eq!(figure(Units::Metric, 2.0), "2");
        assert_eq!(figure(Units::Metric, 0.5), "0.5");
        assert_eq!(with_unit(Units::Imperial, 3.175), "1/8\"");
        assert_eq!((count_of(7.2), count_of(-0.0)), (7, 0));
    }
}
