//! Eigenvalues of small symmetric matrices, and linear systems.

use crate::elementary::Elementary;

/// Constants of a fit at most.
pub const MOST: usize = 5;

/// One value for each constant; those beyond the count in use are zero.
pub type Vector = [f64; MOST];
/// A symmetric matrix over the constants.
pub type Matrix = [Vector; MOST];

/// Eigenvalues and eigenvectors (`vectors[k]` belongs to `values[k]`) of a symmetric matrix, by
/// Jacobi's rotations.
pub fn eigen(mut a: Matrix, count: usize) -> (Vector, Matrix) {
    let mut vectors: Matrix = std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    // Each sweep squares what is left beside the diagonal.
    for _ in 0..30 {
        let mut turned = false;
        for p in 0..count {
            for q in p + 1..count {
                if a[p][q].abs() <= 1e-17 * (a[p][p] * a[q][q]).abs().sqrt() || !a[p][q].is_finite() {
                    continue;
                }
                turned = true;
                let theta = 0.5 * (a[q][q] - a[p][p]) / a[p][q];
                let t = theta.signum() / (theta.abs() + theta.hypotenuse(1.0));
                let (c, s) = (t.hypotenuse(1.0).recip(), t / t.hypotenuse(1.0));
                for row in a.iter_mut().take(count) {
                    (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
                }
                for k in 0..count {
                    (a[p][k], a[q][k]) = (c * a[p][k] - s * a[q][k], s * a[p][k] + c * a[q][k]);
                    let (x, y) = (vectors[p][k], vectors[q][k]);
                    (vectors[p][k], vectors[q][k]) = (c * x - s * y, s * x + c * y);
                }
            }
        }
        if !turned {
            break;
        }
    }
    (std::array::from_fn(|i| a[i][i]), vectors)
}

/// Lower triangle L with L Lᵀ = a, by Cholesky's method, for a symmetric matrix whose diagonal is about 1 and that may be
/// singular; `None` if it is not positive semidefinite, to 1e-6.
pub fn root(a: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let count = a.len();
    let mut l = vec![vec![0.0; count]; count];
    for j in 0..count {
        for i in j..count {
            let before: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            let left = a[i][j] - before;
            if i == j {
                if left.is_nan() || left < -1e-6 {
                    return None;
                }
                l[j][j] = left.max(0.0).sqrt();
            } else if l[j][j] > 1e-6 {
                l[i][j] = left / l[j][j];
            } else if left.abs() > 1e-3 {
                return None;
            }
        }
    }
    Some(l)
}

/// Solves a x = b for several b by Gauss and Jordan's method with partial pivoting. Each row of `a` holds the square
/// matrix and behind it one column for each b; the solutions replace those columns. A singular matrix gives
/// infinities or NaN.
pub fn eliminate(a: &mut [Vec<f64>]) {
    for k in 0..a.len() {
        let greatest = (k..a.len()).max_by(|&i, &j| a[i][k].abs().total_cmp(&a[j][k].abs())).unwrap_or(k);
        a.swap(k, greatest);
        let mut pivot = std::mem::take(&mut a[k]);
        let scale = pivot[k].recip();
        pivot[k..].iter_mut().for_each(|x| *x *= scale);
        for row in a.iter_mut().filter(|row| !row.is_empty()) {
            let factor = row[k];
            for (x, p) in row[k..].iter_mut().zip(&pivot[k..]) {
                *x -= factor * p;
            }
        }
        a[k] = pivot;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(a: &Matrix, x: &Vector) -> Vector {
        std::array::from_fn(|i| a[i].iter().zip(x).map(|(a, x)| a * x).sum())
    }

    /// Sum of the squares of rows that are no pattern.
    fn squares(count: usize) -> Matrix {
        let row = |r: u32| -> Vector {
            let entry = |c: usize| (1.7 * f64::from(r) * (c as f64 + 1.0)).sin();
            std::array::from_fn(|c| if c < count { entry(c) } else { 0.0 })
        };
        let at = |i: usize, j: usize| (0..40).map(|r| row(r)[i] * row(r)[j]).sum();
        std::array::from_fn(|i| std::array::from_fn(|j| at(i, j)))
    }

    #[test]
    fn eigenvectors_are_stretched_by_their_values_and_stand_upright() {
        for count in 1..=MOST {
            let a = squares(count);
            let (values, vectors) = eigen(a, count);
            for k in 0..count {
                for (found, v) in times(&a, &vectors[k]).iter().zip(vectors[k]) {
                    assert!((found - values[k] * v).abs() < 1e-12 * a[0][0], "{count} {k}");
                }
                for other in 0..count {
                    let dot: f64 = vectors[k].iter().zip(vectors[other]).map(|(a, b)| a * b).sum();
                    assert!((dot - f64::from(u8::from(k == other))).abs() < 1e-13);
                }
            }
        }
    }

    /// L Lᵀ is the matrix again, also where it is singular; what no numbers can be correlated like has none.
    #[test]
    fn a_root_gives_its_matrix_and_an_indefinite_one_has_none() {
        let singular = vec![vec![1.0, 0.6, 0.6], vec![0.6, 1.0, 1.0], vec![0.6, 1.0, 1.0]];
        let l = root(&singular).expect("a root");
        for i in 0..3 {
            for j in 0..3 {
                let product: f64 = (0..3).map(|k| l[i][k] * l[j][k]).sum();
                assert!((product - singular[i][j]).abs() < 1e-12, "{l:?}");
            }
        }
        assert_eq!(root(&[vec![1.0, 0.9, 0.9], vec![0.9, 1.0, -0.9], vec![0.9, -0.9, 1.0]]), None);
        assert_eq!(root(&[vec![1.0, 1.0, 0.0], vec![1.0, 1.0, 0.5], vec![0.0, 0.5, 1.0]]), None);
    }

    #[test]
    fn elimination_solves_for_every_column_and_swaps_rows_for_a_pivot() {
        // 2y + z = 8, x + y + z = 6.5, 3x + z = 6 has x = 1, y = 2.5, z = 3; the second column is twice the first.
        let mut a = vec![
            vec![0.0, 2.0, 1.0, 8.0, 16.0],
            vec![1.0, 1.0, 1.0, 6.5, 13.0],
            vec![3.0, 0.0, 1.0, 6.0, 12.0],
        ];
        eliminate(&mut a);
        for (row, x) in a.iter().zip([1.0, 2.5, 3.0]) {
            assert!((row[3] - x).abs() < 1e-14 && (row[4] - 2.0 * x).abs() < 1e-14, "{a:?}");
        }
    }
}
