//! Where rows begin and end, as arcs of the shift: for which shifts an end is shorter than a limit, without
//! cutting anything.
//!
//! As the shift grows by a millimetre, the piece at the beginning of a row grows by one and the piece at its end
//! shrinks by one, until a joint has passed. So the shifts for which an end is too short are an arc of the pitch,
//! and how many ends are too short is counted for all shifts by one sweep.

use crate::product::Product;
use crate::rows::SURE_END;
use drylay_geometry::Length;

/// The ends of all rows of one layout but for its shift.
#[derive(Debug)]
pub(crate) struct Ends {
    length: i64,
    pitch: i64,
    /// Where it is, seen from the place of row 1's first tile for a shift of the whole length, whether the row
    /// begins there, and how long the row is.
    ends: Vec<(i64, bool, i64)>,
}

impl Ends {
    pub(crate) fn new(product: &Product) -> Self {
        let (length, pitch) = (product.length.nanometres(), product.pitch_along().nanometres());
        Self { length, pitch, ends: Vec::new() }
    }

    /// A row begins at `u`, the layout's shift not counted in, and is `run` long.
    pub(crate) fn start(&mut self, u: i64, run: i64) {
        self.ends.push((u, true, run));
    }

    /// A row ends at `u`.
    pub(crate) fn end(&mut self, u: i64, run: i64) {
        self.ends.push((u, false, run));
    }

    /// How many there are.
    pub(crate) fn cost(&self) -> u64 {
        self.ends.len() as u64
    }

    /// For each shift, in order, how many ends are a millimetre or more and shorter than `limit`.
    pub(crate) fn shorter(&self, limit: i64, shifts: &[Length]) -> Vec<usize> {
        let mut change = vec![0_i64; shifts.len() + 1];
        for &(u, begins, run) in &self.ends {
            let below = limit.min(run + 1).min(self.length);
            if below <= SURE_END {
                continue;
            }
            // From the first shift for which it is too short to before the first for which it is not.
            let (from, to) = if begins {
                (u + SURE_END, u + below)
            } else {
                (u + self.length - below + 1, u + self.length - SURE_END + 1)
            };
            let start = from.rem_euclid(self.pitch);
            for start in [start - self.pitch, start] {
                let place = |s: i64| shifts.partition_point(|shift| shift.nanometres() < s);
                change[place(start)] += 1;
                change[place(start + to - from)] -= 1;
            }
        }
        let mut count = 0;
        let running = change[..shifts.len()].iter().map(|c| {
            count += c;
            usize::try_from(count).unwrap_or(0)
        });
        running.collect()
    }
}
