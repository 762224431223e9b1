//! A shape to start large rooms from: corners spread out so that their distances are about the shortest ways
//! between them along the readings.
//!
//! Classical scaling (Torgerson, *Multidimensional scaling: I*, Psychometrika 17, 1952) of the shortest ways through
//! the graph of readings (Shang et al., *Localization from mere connectivity*, 2003): where ties run across a room it
//! needs neither right angles nor triangles. Ways are longer than distances, so it is a start and no more.

use super::model::{Model, Shape, in_frame};
use crate::matrix::dot;
use crate::traverse;

/// Steps of the subspace iteration: enough for a start, far from rounding.
const STEPS: usize = 60;

/// The spread shape, clockwise on the page; `None` where readings leave corners unconnected or all on one line.
/// `first` is any shape that is not on a line, from which the iteration starts.
pub(crate) fn spread(model: &Model, first: &[(f64, f64)]) -> Option<Shape> {
    let n = model.corners;
    let matrix = centred(&ways(model)?, n);
    let mut axes = [column(first, |p| p.0), column(first, |p| p.1)];
    let mut sizes = [0.0; 2];
    for _ in 0..STEPS {
        for k in 0..2 {
            let mut grown: Vec<f64> = (0..n).map(|i| dot(&matrix[i * n..(i + 1) * n], &axes[k])).collect();
            if k == 1 {
                let along = dot(&grown, &axes[0]);
                grown.iter_mut().zip(&axes[0]).for_each(|(g, a)| *g -= along * a);
            }
            sizes[k] = dot(&grown, &grown).sqrt();
            if !(sizes[k].is_finite() && sizes[k] > 1e-9) {
                return None;
            }
            axes[k] = grown.into_iter().map(|g| g / sizes[k]).collect();
        }
    }
    let scale = sizes.map(f64::sqrt);
    let mut at: Shape = (0..n).map(|i| (axes[0][i] * scale[0], axes[1][i] * scale[1])).collect();
    if traverse::area(&at) < 0.0 {
        at.iter_mut().for_each(|p| p.1 = -p.1);
    }
    Some(in_frame(&at))
}

fn column(at: &[(f64, f64)], part: impl Fn(&(f64, f64)) -> f64) -> Vec<f64> {
    let values: Vec<f64> = at.iter().map(part).collect();
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let centred: Vec<f64> = values.iter().map(|v| v - mean).collect();
    let size = dot(&centred, &centred).sqrt().max(1e-9);
    centred.iter().map(|v| v / size).collect()
}

/// Shortest ways between all corners along readings (Floyd and Warshall); `None` if some are not connected.
fn ways(model: &Model) -> Option<Vec<f64>> {
    let n = model.corners;
    let mut way = vec![f64::INFINITY; n * n];
    for i in 0..n {
        way[i * n + i] = 0.0;
    }
    for l in &model.lines {
        for k in [l.from * n + l.to, l.to * n + l.from] {
            way[k] = way[k].min(l.value);
        }
    }
    for k in 0..n {
        let over: Vec<f64> = way[k * n..(k + 1) * n].to_vec();
        for row in way.chunks_exact_mut(n) {
            let to = row[k];
            if to.is_finite() {
                row.iter_mut().zip(&over).for_each(|(w, o)| *w = w.min(to + o));
            }
        }
    }
    way.iter().all(|w| w.is_finite()).then_some(way)
}

/// −½ of the squared ways with every row's and column's mean taken away.
fn centred(way: &[f64], n: usize) -> Vec<f64> {
    let mut out: Vec<f64> = way.iter().map(|w| -0.5 * w * w).collect();
    let rows: Vec<f64> = out.chunks_exact(n).map(|r| r.iter().sum::<f64>() / n as f64).collect();
    let all = rows.iter().sum::<f64>() / n as f64;
    for (row, mean) in out.chunks_exact_mut(n).zip(&rows) {
        row.iter_mut().zip(&rows).for_each(|(v, m)| *v += all - mean - m);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tape::model::span;
    use crate::tape::{Draft, Reading, Tape};
    use drylay_geometry::{CornerId, Length};

    const L: [(f64, f64); 6] =
        [(0.0, 0.0), (6000.0, 0.0), (6000.0, 1500.0), (2500.0, 1500.0), (2500.0, 3200.0), (0.0, 3200.0)];

    /// An L with the readings between these corners.
    fn read(pairs: &[(usize, usize)]) -> Model {
        let corner = |i: usize| CornerId::from(format!("c{i}").as_str());
        let length = |i: usize, j: usize| Length::from_mm_f64(span(L[i], L[j])).expect("a length");
        let reading = |&(i, j): &(usize, usize)| Reading::new(corner(i), corner(j), length(i, j));
        let draft = Draft {
            corners: (0..L.len()).map(corner).collect(),
            readings: pairs.iter().map(reading).collect(),
            ..Draft::default()
        };
        Model::new(&draft, &Tape::steel())
    }

    fn hexagon() -> Shape {
        (0..6).map(|i| libm::sincos(f64::from(i) * std::f64::consts::FRAC_PI_3)).collect()
    }

    /// Where every distance was read, classical scaling gives the places themselves (Torgerson 1952).
    #[test]
    fn distances_between_all_corners_give_their_places() {
        let all: Vec<(usize, usize)> = (0..6).flat_map(|i| (i + 1..6).map(move |j| (i, j))).collect();
        let found = spread(&read(&all), &hexagon()).expect("a shape");
        for (place, at) in found.iter().zip(L) {
            assert!(span(*place, at) < 0.01, "{found:?}");
        }
    }

    #[test]
    fn ways_run_along_readings_and_a_corner_without_any_has_no_place() {
        let walls = [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 0)];
        let way = ways(&read(&walls)).expect("all are connected");
        // Round the room to the opposite corner: 6000 + 1500 + 3500 one way, 3200 + 2500 + 1700 the other.
        assert!((way[3] - 7400.0).abs() < 1e-6 && (way[18] - 7400.0).abs() < 1e-6, "{way:?}");
        assert_eq!(ways(&read(&walls[..4])), None);
        assert_eq!(spread(&read(&walls[..4]), &hexagon()), None);
    }
}
