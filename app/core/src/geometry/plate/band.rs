//! A symmetric positive-definite matrix stored by its lower band, its Cholesky factor, and solving with it.
//!
//! What this does not do: pivot, reorder, or work in parallel. The order of every addition is written out
//! (four running sums, then their sum), so the same input gives the same bits on every target that keeps
//! IEEE 754's `+ − × ÷ √`; a general sparse library promises no such thing.

/// Lower band of a symmetric matrix, row by row; after [`Band::factorise`] its Cholesky factor.
#[derive(Clone, Debug)]
pub(super) struct Band {
    n: usize,
    reach: usize,
    rows: Vec<f64>,
}

impl Band {
    /// A matrix of zeros whose row `i` reaches back to column `i - reach`.
    pub(super) fn zeros(n: usize, reach: usize) -> Self {
        Self { n, reach, rows: vec![0.0; n * (reach + 1)] }
    }

    /// Adds to the entry in row `i`, column `j`, where `i - reach <= j <= i`.
    pub(super) fn add(&mut self, i: usize, j: usize, value: f64) {
        self.rows[i * (self.reach + 1) + self.reach + j - i] += value;
    }

    /// The entry on the diagonal of row `i`.
    pub(super) fn diagonal(&self, i: usize) -> f64 {
        self.rows[i * (self.reach + 1) + self.reach]
    }

    /// Row `i` from its first stored column inside the matrix to the diagonal, and that column.
    fn row(&self, i: usize) -> (usize, &[f64]) {
        let width = self.reach + 1;
        let first = i.saturating_sub(self.reach);
        (first, &self.rows[(i + 1) * width - (i + 1 - first)..(i + 1) * width])
    }

    /// Turns the matrix into its lower Cholesky factor L, so that A = L Lᵀ.
    ///
    /// Returns false, with the matrix spoilt, where a pivot is not above 0.
    pub(super) fn factorise(&mut self) -> bool {
        let width = self.reach + 1;
        for i in 0..self.n {
            let first = i.saturating_sub(self.reach);
            let (done, rest) = self.rows.split_at_mut(i * width);
            let row = &mut rest[width - (i + 1 - first)..width];
            for j in first..i {
                let from = first.max(j.saturating_sub(self.reach));
                let other = &done[(j + 1) * width - (j + 1 - from)..(j + 1) * width];
                let sum = dot(&row[from - first..j - first], &other[..j - from]);
                row[j - first] = (row[j - first] - sum) / other[j - from];
            }
            let pivot = row[i - first] - dot(&row[..i - first], &row[..i - first]);
            if !(pivot > 0.0 && pivot.is_finite()) {
                return false;
            }
            row[i - first] = pivot.sqrt();
        }
        true
    }

    /// Solves L Lᵀ x = b in place.
    pub(super) fn solve(&self, x: &mut [f64]) {
        let start = x.iter().position(|value| *value != 0.0).unwrap_or(self.n);
        for i in start..self.n {
            let (first, row) = self.row(i);
            let from = first.max(start);
            let sum = dot(&row[from - first..i - first], &x[from..i]);
            x[i] = (x[i] - sum) / row[i - first];
        }
        for i in (0..self.n).rev() {
            let (first, row) = self.row(i);
            let value = x[i] / row[i - first];
            x[i] = value;
            for (other, entry) in x[first..i].iter_mut().zip(row) {
                *other -= entry * value;
            }
        }
    }
}

/// The sum of products, in four running sums: fixed order, and wide enough for the processor's vector unit.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().min(b.len());
    let (a, b) = (&a[..n], &b[..n]);
    let mut sums = [0.0; 4];
    let mut tail = 0.0;
    let (a4, b4) = (a.chunks_exact(4), b.chunks_exact(4));
    for (x, y) in a4.remainder().iter().zip(b4.remainder()) {
        tail += x * y;
    }
    for (x, y) in a4.zip(b4) {
        sums[0] += x[0] * y[0];
        sums[1] += x[1] * y[1];
        sums[2] += x[2] * y[2];
        sums[3] += x[3] * y[3];
    }
    ((sums[0] + sums[2]) + (sums[1] + sums[3])) + tail
}

/// Solves the small dense system `a x = b` (row by row, n × n) by Gauss with partial pivoting, in place of `b`.
///
/// Returns false where a pivot falls below `least` times the largest entry: the system has no single answer.
pub(super) fn solve_dense(a: &mut [f64], b: &mut [f64], least: f64) -> bool {
    let n = b.len();
    let largest = a.iter().fold(0.0_f64, |most, entry| most.max(entry.abs()));
    for k in 0..n {
        let mut best = k;
        for i in k + 1..n {
            if a[i * n + k].abs() > a[best * n + k].abs() {
                best = i;
            }
        }
        let pivot = a[best * n + k];
        if !(pivot.abs() > least * largest && pivot.is_finite()) {
            return false;
        }
        if best != k {
            for j in 0..n {
                a.swap(k * n + j, best * n + j);
            }
            b.swap(k, best);
        }
        for i in k + 1..n {
            let factor = a[i * n + k] / pivot;
            if factor != 0.0 {
                for j in k..n {
                    a[i * n + j] -= factor * a[k * n + j];
                }
                b[i] -= factor * b[k];
            }
        }
    }
    for k in (0..n).rev() {
        let mut sum = b[k];
        for j in k + 1..n {
            sum -= a[k * n + j] * b[j];
        }
        b[k] = sum / a[k * n + k];
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The pentadiagonal matrix of a clamped beam, whose exact solution for b = A·(1, 2, …) is known.
    #[test]
    fn solves_a_beam_matrix() {
        let n = 23;
        let mut band = Band::zeros(n, 2);
        let entry = |i: usize, j: usize| match i.abs_diff(j) {
            0 => 6.0,
            1 => -4.0,
            2 => 1.0,
            _ => 0.0,
        };
        let mut b = vec![0.0; n];
        for (i, sum) in b.iter_mut().enumerate() {
            for j in 0..n {
                *sum += entry(i, j) * (j + 1) as f64;
                if j <= i && i - j <= 2 {
                    band.add(i, j, entry(i, j));
                }
            }
        }
        assert!(band.factorise());
        band.solve(&mut b);
        for (i, value) in b.iter().enumerate() {
            assert!((value - (i + 1) as f64).abs() < 1e-9, "x[{i}] = {value}");
        }
    }

    #[test]
    fn refuses_what_is_not_positive_definite() {
        let mut band = Band::zeros(2, 1);
        band.add(0, 0, 1.0);
        band.add(1, 0, 2.0);
        band.add(1, 1, 1.0);
        assert!(!band.factorise());
    }

    #[test]
    fn dense_pivots_and_refuses_a_singular_system() {
        let mut a = vec![0.0, 2.0, 1.0, 1.0];
        let mut b = vec![4.0, 3.0];
        assert!(solve_dense(&mut a, &mut b, 1e-12));
        assert_eq!(b, [1.0, 2.0]);
        assert!(!solve_dense(&mut [1.0, 2.0, 2.0, 4.0], &mut [1.0, 2.0], 1e-12));
    }
}
