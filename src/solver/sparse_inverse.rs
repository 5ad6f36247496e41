//! Sparse Cholesky of the normal equations and the entries of the inverse on its pattern.

use clarabel::algebra::CscMatrix;
use clarabel::qdldl::{QDLDLFactorisation, QDLDLSettingsBuilder};

/// A factorised symmetric positive definite matrix N = P' L D L' P.
pub(crate) struct SparseFactor {
    /// None for a matrix without rows.
    factors: Option<QDLDLFactorisation<f64>>,
    /// Place of each original index in the elimination order.
    place: Vec<usize>,
}

impl SparseFactor {
    /// Factorises a matrix given by its upper triangle (row <= column, duplicates are summed).
    /// `None` when it is not positive definite in working precision.
    pub(crate) fn new(size: usize, triplets: Triplets) -> Option<Self> {
        if size == 0 {
            return Some(Self { factors: None, place: Vec::new() });
        }
        let settings = QDLDLSettingsBuilder::default().regularize_enable(false).build().ok()?;
        let factors = QDLDLFactorisation::new(&triplets.matrix(size), Some(settings)).ok()?;
        if factors.D.iter().any(|d| !d.is_finite() || *d <= 0.0) {
            return None;
        }
        let mut place = vec![0; size];
        for (at, &original) in factors.perm.iter().enumerate() {
            place[original] = at;
        }
        Some(Self { factors: Some(factors), place })
    }

    /// Solves N x = b in place.
    pub(crate) fn solve(&mut self, b: &mut [f64]) {
        if let Some(factors) = &mut self.factors {
            factors.solve(b);
        }
    }

    pub(crate) fn inverse(&self) -> SparseInverse<'_> {
        let (diagonal, below) = self.factors.as_ref().map(inverse_on_pattern).unwrap_or_default();
        SparseInverse { factor: self, diagonal, below }
    }
}

/// Those entries of a matrix's inverse that lie on the pattern of its factor L (Takahashi, Fagan & Chen
/// 1973; Erisman & Tinney 1975): all variances, and the covariances of everything that shares an
/// observation.
pub(crate) struct SparseInverse<'a> {
    factor: &'a SparseFactor,
    diagonal: Vec<f64>,
    /// Below the diagonal, in the order of L.
    below: Vec<f64>,
}

impl SparseInverse<'_> {
    /// Entry of the inverse, if it lies on the pattern of the factor.
    pub(crate) fn entry(&self, i: usize, k: usize) -> Option<f64> {
        let SparseFactor { factors, place } = self.factor;
        let (i, k) = (place[i], place[k]);
        if i == k {
            return Some(self.diagonal[i]);
        }
        find(&factors.as_ref()?.L, i.max(k), i.min(k)).map(|at| self.below[at])
    }
}

/// Upper triangle of a symmetric matrix, entry by entry.
#[derive(Default)]
pub(crate) struct Triplets(Vec<(usize, usize, f64)>);

impl Triplets {
    /// Adds to the entry (i, k) and, by symmetry, (k, i). Call once for each unordered pair.
    pub(crate) fn add(&mut self, i: usize, k: usize, value: f64) {
        self.0.push((i.max(k), i.min(k), value));
    }

    /// By counting into columns, each of which has few entries to be put in order.
    fn matrix(self, size: usize) -> CscMatrix<f64> {
        let mut ends = vec![0; size];
        self.0.iter().for_each(|(column, ..)| ends[*column] += 1);
        let mut all = 0;
        for end in &mut ends {
            (*end, all) = (all, all + *end);
        }
        let mut entries = vec![(0, 0.0); all];
        for (column, row, value) in self.0 {
            entries[ends[column]] = (row, value);
            ends[column] += 1;
        }
        let (mut columns, mut rows) = (vec![0], Vec::with_capacity(all));
        let mut values: Vec<f64> = Vec::with_capacity(all);
        let mut start = 0;
        for end in ends {
            let column = &mut entries[start..end];
            column.sort_by_key(|(row, _)| *row);
            for &(row, value) in &*column {
                let is_new = rows.len() == columns[columns.len() - 1] || rows.last() != Some(&row);
                match values.last_mut().filter(|_| !is_new) {
                    Some(sum) => *sum += value,
                    None => {
                        rows.push(row);
                        values.push(value);
                    }
                }
            }
            columns.push(rows.len());
            start = end;
        }
        CscMatrix::new(size, size, columns, rows, values)
    }
}

/// Takahashi's recursion from the last column to the first:
/// `Z[i,j] = -sum over k of Z[i,k] L[k,j]`, `Z[j,j] = 1/D[j] - sum over k of Z[k,j] L[k,j]`.
fn inverse_on_pattern(factors: &QDLDLFactorisation<f64>) -> (Vec<f64>, Vec<f64>) {
    let l = &factors.L;
    let size = factors.D.len();
    let mut diagonal = vec![0.0; size];
    let mut below = vec![0.0; l.nzval.len()];
    let mut column = Vec::new();
    for j in (0..size).rev() {
        let span = l.colptr[j]..l.colptr[j + 1];
        let rows = &l.rowval[span.clone()];
        let values = &l.nzval[span.clone()];
        column.clear();
        column.resize(rows.len(), 0.0);
        for (b, &k) in rows.iter().enumerate() {
            column[b] -= diagonal[k] * values[b];
            // Rows below k in this column are rows of column k too: walk both lists together.
            let mut at = l.colptr[k];
            for a in b + 1..rows.len() {
                while l.rowval[at] < rows[a] {
                    at += 1;
                }
                column[a] -= below[at] * values[b];
                column[b] -= below[at] * values[a];
            }
        }
        let on_diagonal: f64 = column.iter().zip(values).map(|(z, v)| z * v).sum();
        diagonal[j] = factors.Dinv[j] - on_diagonal;
        below[span].copy_from_slice(&column);
    }
    (diagonal, below)
}

/// Place of an entry in a column's sorted list.
fn find(l: &CscMatrix<f64>, row: usize, column: usize) -> Option<usize> {
    let span = l.colptr[column]..l.colptr[column + 1];
    let within = l.rowval[span.clone()].binary_search(&row).ok()?;
    Some(span.start + within)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;

    #[test]
    fn entries_agree_with_the_dense_inverse() {
        let size = 7;
        let pairs = [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 6), (6, 0), (2, 5)];
        let mut dense = DMatrix::identity(size, size) * 0.5;
        let mut triplets = Triplets::default();
        for i in 0..size {
            triplets.add(i, i, 0.5);
        }
        for (n, (i, k)) in pairs.into_iter().enumerate() {
            let weight = 1.0 + n as f64;
            for (a, b, w) in [(i, i, weight), (k, k, weight), (i, k, -weight)] {
                triplets.add(a, b, w);
                dense[(a, b)] += w;
                if a != b {
                    dense[(b, a)] += w;
                }
            }
        }
        let factor = SparseFactor::new(size, triplets).unwrap();
        let sparse = factor.inverse();
        let inverse = dense.try_inverse().unwrap();
        for i in 0..size {
            assert!((sparse.entry(i, i).unwrap() - inverse[(i, i)]).abs() < 1e-14);
        }
        for (i, k) in pairs {
            assert!((sparse.entry(i, k).unwrap() - inverse[(i, k)]).abs() < 1e-14, "{i} {k}");
        }
    }

    #[test]
    fn a_singular_matrix_is_refused() {
        let mut triplets = Triplets::default();
        for (i, k, v) in [(0, 0, 1.0), (1, 1, 1.0), (0, 1, -1.0)] {
            triplets.add(i, k, v);
        }
        assert!(SparseFactor::new(2, triplets).is_none());
    }
}
