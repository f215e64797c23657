//! Linear least squares with at most [`MOST`] constants, from sums over the readings.
//!
//! JᵀJ, Jᵀr and rᵀr are summed reading by reading, so that the memory does not grow with their number.

use crate::matrix::{MOST, Matrix, Vector, eigen};

/// Sums of a least-squares problem.
#[derive(Debug, Clone, Copy)]
pub struct Sums {
    /// Constants in use.
    pub count: usize,
    /// JᵀJ.
    pub normal: Matrix,
    /// Jᵀr.
    pub gradient: Vector,
    /// rᵀr.
    pub squares: f64,
}

impl Sums {
    /// Nothing summed up yet, of so many constants.
    pub fn new(count: usize) -> Self {
        Self { count, normal: [[0.0; MOST]; MOST], gradient: [0.0; MOST], squares: 0.0 }
    }

    /// Adds a reading: its derivatives and its residual. The upper half of JᵀJ waits for [`Sums::close`].
    pub fn add(&mut self, row: &Vector, residual: f64) {
        for i in 0..self.count {
            for j in 0..=i {
                self.normal[i][j] += row[i] * row[j];
            }
            self.gradient[i] += row[i] * residual;
        }
        self.squares += residual * residual;
    }

    /// The sums once every reading is in.
    pub fn close(mut self) -> Self {
        for i in 0..self.count {
            for j in 0..i {
                self.normal[j][i] = self.normal[i][j];
            }
        }
        self
    }

    /// Whether every sum is a number.
    pub fn is_finite(&self) -> bool {
        let of = |row: &Vector| row.iter().all(|x| x.is_finite());
        self.squares.is_finite() && of(&self.gradient) && self.normal.iter().all(of)
    }

    /// Constants of a linear model whose values took the place of the residuals.
    pub fn solution(&self) -> Option<Vector> {
        solve(&self.normal, &self.gradient, self.count)
    }
}

/// Solves a x = b for a positive definite matrix, scaled to a unit diagonal first; `None` where it is
/// not positive definite.
pub fn solve(a: &Matrix, b: &Vector, count: usize) -> Option<Vector> {
    let scale: Vector = std::array::from_fn(|i| if a[i][i] > 0.0 { a[i][i].sqrt().recip() } else { 0.0 });
    let mut l = [[0.0; MOST]; MOST];
    for i in 0..count {
        for j in 0..=i {
            let before: f64 = (0..j).map(|k| l[i][k] * l[j][k]).sum();
            let left = a[i][j] * scale[i] * scale[j] - before;
            if i == j {
                if left.is_nan() || left <= 1e-14 {
                    return None;
                }
                l[i][i] = left.sqrt();
            } else {
                l[i][j] = left / l[j][j];
            }
        }
    }
    let mut x = [0.0; MOST];
    for i in 0..count {
        let before: f64 = (0..i).map(|k| l[i][k] * x[k]).sum();
        x[i] = (b[i] * scale[i] - before) / l[i][i];
    }
    for i in (0..count).rev() {
        let after: f64 = (i + 1..count).map(|k| l[k][i] * x[k]).sum();
        x[i] = (x[i] - after) / l[i][i];
    }
    for i in 0..count {
        x[i] *= scale[i];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}

/// Covariance s²(JᵀJ)⁻¹, and which parameters the data do not determine.
#[derive(Debug, Clone)]
pub struct Covariance {
    /// Its rows and columns, zero beyond the parameters in use.
    pub matrix: Matrix,
    /// Whether the parameter lies in a direction in which JᵀJ is singular.
    pub undetermined: [bool; MOST],
}

/// Covariance from JᵀJ of `count` parameters and the variance s² of a reading. Derivatives are scaled
/// to length 1 first; directions whose eigenvalue is below 1e-12 of the largest count as singular, are
/// left out of the inverse, and mark the parameters that they mix.
pub fn covariance(normal: &Matrix, count: usize, variance: f64) -> Covariance {
    let scale: [f64; MOST] =
        std::array::from_fn(|i| if normal[i][i] > 0.0 { normal[i][i].sqrt().recip() } else { 0.0 });
    let by_scale = |m: &Matrix| -> Matrix {
        std::array::from_fn(|r| std::array::from_fn(|c| m[r][c] * scale[r] * scale[c]))
    };
    let (values, vectors) = eigen(by_scale(normal), count);
    let greatest = values[..count].iter().copied().fold(0.0, f64::max);
    let mut undetermined = std::array::from_fn(|i| i < count && scale[i] <= 0.0);
    let mut matrix = [[0.0; MOST]; MOST];
    for (value, vector) in values[..count].iter().zip(&vectors) {
        if *value <= 1e-12 * greatest {
            for (mark, part) in undetermined.iter_mut().zip(vector) {
                *mark |= part.abs() > 0.1;
            }
        } else {
            for (row, by_row) in matrix.iter_mut().zip(vector) {
                for (cell, by_column) in row.iter_mut().zip(vector) {
                    *cell += by_row * by_column * variance / value;
                }
            }
        }
    }
    Covariance { matrix: by_scale(&matrix), undetermined }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times(a: &Matrix, x: &Vector) -> Vector {
        std::array::from_fn(|i| a[i].iter().zip(x).map(|(a, x)| a * x).sum())
    }

    /// Sums of rows that are no pattern, over scales as different as those of a fit.
    fn sums(count: usize) -> Sums {
        let mut sums = Sums::new(count);
        for r in 0..40 {
            let row = std::array::from_fn(|c| {
                let size = if c < count { 10_f64.powi(3 * c as i32) } else { 0.0 };
                (1.7 * f64::from(r) * (c as f64 + 1.0)).sin() * size
            });
            sums.add(&row, f64::from(r).cos());
        }
        sums.close()
    }

    #[test]
    fn the_solution_solves() {
        for count in 1..=MOST {
            let sums = sums(count);
            let x = sums.solution().unwrap();
            for (found, wanted) in times(&sums.normal, &x).iter().zip(sums.gradient) {
                assert!((found - wanted).abs() <= 1e-9 * wanted.abs(), "{count}: {found} for {wanted}");
            }
        }
        let mut flat = Sums::new(2);
        flat.add(&[1.0, 2.0, 0.0, 0.0, 0.0], 1.0);
        assert_eq!(flat.close().solution(), None, "one reading does not tell two constants");
    }

    #[test]
    fn two_columns_that_say_the_same_are_undetermined_and_a_third_is_not() {
        let mut sums = Sums::new(3);
        for r in 0..6 {
            let x = 1.0 + f64::from(r);
            sums.add(&[x, 2.0 * x, f64::from(r).sin(), 0.0, 0.0], 0.0);
        }
        let found = covariance(&sums.close().normal, 3, 1.0);
        assert_eq!(found.undetermined[..3], [true, true, false]);
        assert!(found.matrix.iter().flatten().all(|value| value.is_finite()));
    }
}
