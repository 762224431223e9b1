//! Numbers that were written down once and must come out the same: by them a change that was not meant is noticed.
//!
//! Whether numbers are right is for other tests to say. These say whether they are the same as before, to the last
//! bit, and so does the work they took. That matters beyond the tests: devices of a crew that run different versions
//! must not count differently without anybody having said so.

use std::fmt::{Debug, Write};
use std::path::Path;

/// A small generator, so that cases are the same everywhere (SplitMix: Steele, Lea and Flood 2014).
pub(crate) struct Lots(u64);

impl Lots {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// At least `low` and less than `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// Less than `count`.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % count as u64).expect("small")
    }

    /// True in so many cases of a hundred.
    pub(crate) fn percent(&mut self, chance: u64) -> bool {
        self.next() % 100 < chance
    }
}

/// A place in mm.
pub(crate) type Xy = (f64, f64);

/// Corners of a room in walking order, and those that turn out.
pub(crate) fn shape(lots: &mut Lots) -> (Vec<Xy>, Vec<usize>) {
    let (w, h) = (lots.between(1800.0, 7000.0), lots.between(1500.0, 6000.0));
    let (a, b) = (w * lots.between(0.25, 0.6), h * lots.between(0.25, 0.6));
    let (mut corners, out) = match lots.below(7) {
        0 => (vec![(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)], vec![]),
        1 => (vec![(0.0, 0.0), (w, 0.0), (w, b), (a, b), (a, h), (0.0, h)], vec![3]),
        2 => (
            vec![
                (0.0, 0.0),
                (w, 0.0),
                (w, h),
                (w - a / 2.0, h),
                (w - a / 2.0, b),
                (a / 2.0, b),
                (a / 2.0, h),
                (0.0, h),
            ],
            vec![4, 5],
        ),
        3 => (
            vec![
                (0.0, 0.0),
                (w, 0.0),
                (w, b),
                (w - a / 2.0, b),
                (w - a / 2.0, h),
                (a / 2.0, h),
                (a / 2.0, b),
                (0.0, b),
            ],
            vec![3, 6],
        ),
        4 => (vec![(0.0, 0.0), (w, 0.0), (w, h - b / 2.0), (w - a / 2.0, h), (0.0, h)], vec![]),
        5 => (vec![(0.0, 0.0), (w, a / 3.0), (w - a / 4.0, h), (b / 5.0, h - b / 3.0)], vec![]),
        _ => (
            vec![(0.0, 0.0), (w, 0.0), (w, b), (w + a, b), (w + a, h), (a / 2.0, h), (a / 2.0, b), (0.0, b)],
            vec![2, 6],
        ),
    };
    let off = if lots.percent(30) { 120.0 } else { 12.0 };
    corners.iter_mut().for_each(|p| *p = (p.0 + lots.between(-off, off), p.1 + lots.between(-off, off)));
    (corners, out)
}

/// Lines of a case, a part of its answer and the part's fingerprint.
#[derive(Default)]
pub(crate) struct Pins(String);

impl Pins {
    /// Notes a part of a case's answer: all of it by its fingerprint, and a figure or two for whoever reads the list.
    pub(crate) fn note(&mut self, case: &str, told: &str, all: &impl Debug) {
        let _ = writeln!(self.0, "{case}: {told} {:016x}", fingerprint(&format!("{all:?}")));
    }

    /// Compares with what was written down in a file beside the tests.
    pub(crate) fn hold(&self, crate_folder: &str, file: &str) {
        let path = Path::new(crate_folder).join("tests").join(file);
        if std::env::var_os("DRYLAY_PIN").is_some() {
            std::fs::write(&path, &self.0).expect("the list is written");
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        let (now, before): (Vec<&str>, Vec<&str>) = (self.0.lines().collect(), kept.lines().collect());
        let apart: Vec<String> = (0..now.len().max(before.len()))
            .map(|i| (before.get(i).copied().unwrap_or("nothing"), now.get(i).copied().unwrap_or("nothing")))
            .filter(|(was, is)| was != is)
            .map(|(was, is)| format!("  was {was}\n  is  {is}"))
            .collect();
        assert!(
            apart.is_empty(),
            "{} of {} answers differ from those in {}:\n{}\nIf they are meant to, set DRYLAY_PIN=1, run this test \
             again, and say in CHANGELOG.md which numbers are others now.",
            apart.len(),
            now.len(),
            path.display(),
            apart[..apart.len().min(20)].join("\n")
        );
    }
}

/// FNV-1a, 64 bits (Fowler, Noll and Vo; RFC 9923).
fn fingerprint(text: &str) -> u64 {
    text.bytes()
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}
