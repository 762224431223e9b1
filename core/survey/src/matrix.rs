//! Small symmetric systems: Cholesky inside its envelope, inverse, rank and null space.
//!
//! Dense storage by rows of the lower triangle. A room's walls fill a narrow band and its ties a few long rows;
//! the factor keeps the leading zeros of every row, so they are skipped (George and Liu, *Computer Solution of
//! Large Sparse Positive Definite Systems*, 1981, chapter 4). Only IEEE basic operations and square roots are
//! used, in an order that depends on nothing but the sizes: the same bits on every machine.

/// A symmetric matrix of which the lower triangle is kept.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Symmetric {
    n: usize,
    rows: Vec<f64>,
}

/// The factor L of a positive definite matrix, L Lᵀ, with the first non-zero column of each row.
#[derive(Clone, Debug)]
pub(crate) struct Factor {
    n: usize,
    rows: Vec<f64>,
    first: Vec<usize>,
}

impl Symmetric {
    pub(crate) fn zero(n: usize) -> Self {
        Self { n, rows: vec![0.0; n * n] }
    }

    /// The entry, whichever way round it is asked for.
    pub(crate) fn at(&self, i: usize, j: usize) -> f64 {
        self.rows[i.max(j) * self.n + i.min(j)]
    }

    /// Adds to an entry and its mirror image.
    pub(crate) fn add(&mut self, i: usize, j: usize, value: f64) {
        self.rows[i.max(j) * self.n + i.min(j)] += value;
    }

    /// Adds `weight` · a aᵀ for a sparse a.
    #[inline(always)]
    pub(crate) fn add_outer(&mut self, a: &[(usize, f64)], weight: f64) {
        for (k, &(i, u)) in a.iter().enumerate() {
            let part = weight * u;
            for &(j, v) in &a[..=k] {
                self.add(i, j, part * v);
            }
        }
    }

    pub(crate) fn mean_diagonal(&self) -> f64 {
        (0..self.n).map(|i| self.rows[i * self.n + i]).sum::<f64>() / self.n.max(1) as f64
    }

    /// The Cholesky factor; `None` where a pivot falls below 1e-13 of its diagonal entry: the matrix is singular
    /// as far as `f64` can tell.
    pub(crate) fn factor(&self) -> Option<Factor> {
        self.factor_damped(0.0)
    }

    /// The factor with the diagonal multiplied by 1 + λ (Levenberg and Marquardt's damping).
    pub(crate) fn factor_damped(&self, lambda: f64) -> Option<Factor> {
        const SINGULAR: f64 = 1e-13;
        let n = self.n;
        let mut rows = self.rows.clone();
        let mut first = vec![0; n];
        for i in 0..n {
            let (above, row) = rows.split_at_mut(i * n);
            let row = &mut row[..=i];
            let start = row[..i].iter().position(|v| *v != 0.0).unwrap_or(i);
            first[i] = start;
            for j in start..i {
                let other = &above[j * n..=j * n + j];
                let from = start.max(first[j]);
                let sum = dot(&row[from..j], &other[from..j]);
                row[j] = (row[j] - sum) / other[j];
            }
            let sum = dot(&row[start..i], &row[start..i]);
            let value = row[i] * (1.0 + lambda) - sum;
            // Written so that a NaN is refused as well.
            if !(value > SINGULAR * row[i] && value.is_finite()) {
                return None;
            }
            row[i] = value.sqrt();
        }
        Some(Factor { n, rows, first })
    }

    /// A basis of the null space, one vector for each lacking rank, orthonormal. Pivots below `relative` times
    /// the largest diagonal entry count as nothing.
    pub(crate) fn null_space(&self, relative: f64) -> Vec<Vec<f64>> {
        let pivoted = Pivoted::of(self, relative);
        let mut basis: Vec<Vec<f64>> = Vec::new();
        for k in pivoted.rank..self.n {
            let mut z = pivoted.null_vector(k);
            for earlier in &basis {
                let along = dot(&z, earlier);
                z.iter_mut().zip(earlier).for_each(|(a, b)| *a -= along * b);
            }
            let norm = dot(&z, &z).sqrt();
            z.iter_mut().for_each(|a| *a /= norm);
            basis.push(z);
        }
        basis
    }
}

impl Factor {
    /// Solves L Lᵀ x = b in place.
    pub(crate) fn solve(&self, x: &mut [f64]) {
        let n = self.n;
        for i in 0..n {
            let f = self.first[i];
            x[i] = (x[i] - dot(&self.rows[i * n + f..i * n + i], &x[f..i])) / self.rows[i * n + i];
        }
        self.back(x, 0);
    }

    /// Solves Lᵀ x = b in place for the unknowns from `from` on; those before it are left as they are.
    fn back(&self, x: &mut [f64], from: usize) {
        let n = self.n;
        for i in (from..n).rev() {
            x[i] /= self.rows[i * n + i];
            let (value, f) = (x[i], self.first[i].max(from));
            for (a, l) in x[f..i].iter_mut().zip(&self.rows[i * n + f..i * n + i]) {
                *a -= value * l;
            }
        }
    }

    /// The inverse of the factored matrix: column k is solved for its entries from k on only. Entries of L⁻¹ eₖ
    /// before k are zero, and those of the result are the mirror image of others.
    pub(crate) fn inverse(&self) -> Symmetric {
        let n = self.n;
        let mut out = Symmetric::zero(n);
        let mut x = vec![0.0; n];
        for k in 0..n {
            x[k] = 1.0 / self.rows[k * n + k];
            for i in k + 1..n {
                let f = self.first[i].max(k);
                x[i] = if f < i {
                    -dot(&self.rows[i * n + f..i * n + i], &x[f..i]) / self.rows[i * n + i]
                } else {
                    0.0
                };
            }
            self.back(&mut x, k);
            for (i, v) in x.iter().enumerate().skip(k) {
                out.rows[i * n + k] = *v;
            }
        }
        out
    }
}

/// Cholesky with diagonal pivoting, which finds the rank of a semidefinite matrix (Higham, *Accuracy and
/// Stability of Numerical Algorithms*, 2002, section 10.3). Ties go to the first.
struct Pivoted {
    n: usize,
    rank: usize,
    order: Vec<usize>,
    rows: Vec<f64>,
}

impl Pivoted {
    fn of(m: &Symmetric, relative: f64) -> Self {
        let n = m.n;
        let mut out = Self { n, rank: n, order: (0..n).collect(), rows: vec![0.0; n * n] };
        let mut rest: Vec<f64> = (0..n).map(|i| m.at(i, i)).collect();
        let limit = rest.iter().copied().fold(0.0, f64::max) * relative;
        for k in 0..n {
            let best = (k..n).fold(k, |b, i| if rest[i] > rest[b] { i } else { b });
            if rest[best] <= limit {
                out.rank = k;
                break;
            }
            out.swap(k, best, &mut rest);
            let pivot = rest[k].sqrt();
            out.rows[k * n + k] = pivot;
            for (i, left) in rest.iter_mut().enumerate().skip(k + 1) {
                let sum = dot(&out.rows[i * n..i * n + k], &out.rows[k * n..k * n + k]);
                let l = (m.at(out.order[i], out.order[k]) - sum) / pivot;
                out.rows[i * n + k] = l;
                *left -= l * l;
            }
        }
        out
    }

    fn swap(&mut self, k: usize, best: usize, rest: &mut [f64]) {
        rest.swap(k, best);
        self.order.swap(k, best);
        for c in 0..k {
            self.rows.swap(k * self.n + c, best * self.n + c);
        }
    }

    /// The vector of the null space that has 1 at place k of the pivot order and 0 at the other dropped places.
    fn null_vector(&self, k: usize) -> Vec<f64> {
        let n = self.n;
        let mut y: Vec<f64> = (0..self.rank).map(|c| -self.rows[k * n + c]).collect();
        for i in (0..self.rank).rev() {
            y[i] /= self.rows[i * n + i];
            for c in 0..i {
                y[c] -= self.rows[i * n + c] * y[i];
            }
        }
        let mut z = vec![0.0; n];
        for (i, v) in y.iter().enumerate() {
            z[self.order[i]] = *v;
        }
        z[self.order[k]] = 1.0;
        z
    }
}

/// Scalar product, summed from the front in eight interleaved sums: quick, and one fixed order everywhere.
#[inline]
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (mut p, mut q) = (a.chunks_exact(8), b.chunks_exact(8));
    for (u, v) in (&mut p).zip(&mut q) {
        for k in 0..8 {
            sums[k] += u[k] * v[k];
        }
    }
    let tail: f64 = p.remainder().iter().zip(q.remainder()).map(|(u, v)| u * v).sum();
    ((sums[0] + sums[1]) + (sums[2] + sums[3])) + ((sums[4] + sums[5]) + (sums[6] + sums[7])) + tail
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 4 × 4 Hilbert matrix, whose inverse has whole-number entries (Higham 2002, section 28.1):
    /// first row 16, −120, 240, −140.
    fn hilbert(n: usize) -> Symmetric {
        let mut m = Symmetric::zero(n);
        for i in 0..n {
            for j in 0..=i {
                m.add(i, j, 1.0 / (i + j + 1) as f64);
            }
        }
        m
    }

    #[test]
    fn inverse_of_the_hilbert_matrix() {
        let inverse = hilbert(4).factor().expect("positive definite").inverse();
        for (j, want) in [16.0, -120.0, 240.0, -140.0].into_iter().enumerate() {
            assert!((inverse.at(0, j) - want).abs() < 1e-9, "{} {want}", inverse.at(0, j));
        }
        let mut x = vec![1.0, 0.0, 0.0, 0.0];
        hilbert(4).factor().expect("positive definite").solve(&mut x);
        assert!((x[2] - 240.0).abs() < 1e-9);
    }

    #[test]
    fn leading_zeros_are_skipped_without_changing_the_result() {
        let mut m = Symmetric::zero(6);
        for i in 0..6 {
            m.add(i, i, 4.0);
        }
        m.add(5, 2, 1.0);
        m.add(3, 2, -1.0);
        let inverse = m.factor().expect("positive definite").inverse();
        for i in 0..6 {
            for j in 0..6 {
                let product: f64 = (0..6).map(|k| m.at(i, k) * inverse.at(k, j)).sum();
                assert!((product - f64::from(u8::from(i == j))).abs() < 1e-14);
            }
        }
    }

    #[test]
    fn singular_matrices_have_no_factor_and_a_null_space() {
        let mut m = Symmetric::zero(3);
        m.add_outer(&[(0, 1.0), (1, -1.0)], 1.0);
        m.add_outer(&[(1, 1.0), (2, -1.0)], 2.0);
        assert!(m.factor().is_none());
        let basis = m.null_space(1e-10);
        assert_eq!(basis.len(), 1);
        for v in &basis[0] {
            assert!((v.abs() - (1.0f64 / 3.0).sqrt()).abs() < 1e-12);
        }
    }

    /// Sums of outer products of rows with made-up whole entries, as many as the rank.
    #[test]
    fn a_null_space_of_any_rank_is_orthonormal_and_sent_to_nothing() {
        let n = 6;
        for rank in 1..n {
            let mut m = Symmetric::zero(n);
            for r in 0..rank {
                let entry = |c: usize| ((7 * r * r + 3 * c * c * (r + 1) + 5 * c) % 11) as f64 - 5.0;
                m.add_outer(&(0..n).map(|c| (c, entry(c))).collect::<Vec<_>>(), 1.0);
            }
            let basis = m.null_space(1e-9);
            assert_eq!(basis.len(), n - rank);
            for (k, v) in basis.iter().enumerate() {
                for (l, w) in basis.iter().enumerate() {
                    assert!((dot(v, w) - f64::from(u8::from(k == l))).abs() < 1e-9, "{rank}: {k}, {l}");
                }
                for i in 0..n {
                    let sent: f64 = (0..n).map(|j| m.at(i, j) * v[j]).sum();
                    assert!(sent.abs() < 1e-7, "{rank}: row {i} of vector {k} is {sent}");
                }
            }
        }
    }
}
