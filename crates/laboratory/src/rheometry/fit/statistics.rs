//! Standard errors, Student's t and the corrected Akaike criterion.

use gatefrost_core::small::{MOST, Matrix, eigen};
use std::f64::consts::PI;

/// Covariance s²(JᵀJ)⁻¹, and which parameters the data do not determine.
#[derive(Debug, Clone)]
pub(crate) struct Covariance {
    pub matrix: Matrix,
    /// Whether the parameter lies in a direction in which JᵀJ is singular.
    pub undetermined: [bool; MOST],
}

/// Covariance from JᵀJ of `count` parameters and the variance s² of a reading. Derivatives are scaled
/// to length 1 first; directions whose eigenvalue is below 1e-12 of the largest count as singular, are
/// left out of the inverse, and mark the parameters that they mix.
pub(crate) fn covariance(normal: &Matrix, count: usize, variance: f64) -> Covariance {
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

/// AICc = N ln(S/N) + 2k + 2k(k + 1)/(N − k − 1), k counting the variance as well; `None` with too few
/// readings (C. M. Hurvich and C.-L. Tsai, Biometrika 76 (1989) 297, from memory).
pub(crate) fn aicc(squares: f64, readings: usize, parameters: usize) -> Option<f64> {
    let (n, k) = (readings as f64, parameters as f64 + 1.0);
    // Data without scatter would give minus infinity.
    let per_reading = (squares / n).max(1e-24);
    (n - k - 1.0 > 0.0).then(|| n * per_reading.ln() + 2.0 * k + 2.0 * k * (k + 1.0) / (n - k - 1.0))
}

/// Student's t that leaves 2.5 % above it, for whole degrees of freedom.
///
/// Up to 60 degrees the distribution in closed form (Abramowitz and Stegun 26.7.3 and 26.7.4) is solved
/// for, beyond that the expansion about the normal quantile (26.7.5) is good to 1e-7.
pub(crate) fn student_95(degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::INFINITY;
    }
    if degrees > 60 {
        let (x, v) = (1.959_963_984_540_054_f64, degrees as f64);
        let (x3, x5, x7) = (x.powi(3), x.powi(5), x.powi(7));
        return x
            + (x3 + x) / (4.0 * v)
            + (5.0 * x5 + 16.0 * x3 + 3.0 * x) / (96.0 * v * v)
            + (3.0 * x7 + 19.0 * x5 + 17.0 * x3 - 15.0 * x) / (384.0 * v.powi(3));
    }
    let (mut low, mut high) = (1.0, 20.0);
    for _ in 0..60 {
        let middle: f64 = 0.5 * (low + high);
        if inside(middle, degrees) < 0.95 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Probability of |t| below a value.
fn inside(t: f64, degrees: usize) -> f64 {
    let tan = t / (degrees as f64).sqrt();
    let theta = tan.atan();
    let cos = 1.0 / tan.hypot(1.0);
    let sin = tan * cos;
    let odd = degrees % 2 == 1;
    let mut term = if odd { cos } else { 1.0 };
    let mut sum = 0.0;
    let mut k = if odd { 3 } else { 2 };
    while k <= degrees {
        sum += term;
        term *= cos * cos * (k - 1) as f64 / k as f64;
        k += 2;
    }
    if odd { 2.0 / PI * (theta + sin * sum) } else { sin * sum }
}

#[cfg(test)]
mod tests {
    use super::*;
    use gatefrost_core::small::Sums;

    /// Two-sided 95 % points as printed in every table of Student's t.
    #[test]
    fn student_matches_the_tables() {
        for (degrees, t) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (10, 2.228),
            (30, 2.042),
            (60, 2.000),
            (61, 1.9996),
            (120, 1.980),
            (100_000, 1.960),
        ] {
            assert!((student_95(degrees) - t).abs() < 6e-4, "{degrees}: {}", student_95(degrees));
        }
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
