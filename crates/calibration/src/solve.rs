//! What is minimised for the maximum a posteriori, and the covariance at the minimum. [`crate::search`] finds it.
//!
//! The unknowns z are independent and standard normal before any reading. With the scaled reading y, its prediction m(z), its
//! standard deviation σ and u = (y − m)/σ, what is minimised is
//!
//!   ½ |z|² + Σ (ν + 1)/2 ln(1 + u²/ν) − Σ ln Φ(±m/σ),
//!
//! Student's t with ν = 5 for what is measured, so that a wrong row pulls little (K. L. Lange, R. J. A. Little and J. M. G.
//! Taylor, J. Am. Stat. Assoc. 84 (1989) 881, from memory), and a probit of the margin m for what is seen or not. The
//! covariance is Laplace's: the inverse of the second derivative, in which that of m is left out.

use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::matrix::eliminate;
use gatefrost_numerics::statistics::normal;

/// Degrees of freedom of Student's t.
pub const DEGREES: f64 = 5.0;

/// What is known of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Datum {
    /// Measured: scaled value and standard deviation.
    Measured(f64, f64),
    /// Seen (true) or not, with the spread of the margin.
    Seen(bool, f64),
}

impl Datum {
    /// Its part of what is minimised, for a prediction; its slope by the prediction; and the curvature by it, at least 0.
    pub(crate) fn cost(self, m: f64, robust: bool) -> [f64; 3] {
        match self {
            Self::Measured(y, sigma) => {
                let u = (y - m) / sigma;
                if !robust {
                    return [0.5 * u * u, -u / sigma, 1.0 / (sigma * sigma)];
                }
                let below = DEGREES + u * u;
                let cost = 0.5 * (DEGREES + 1.0) * (u * u / DEGREES).logarithm_1p();
                // What moves a step is the weight, which is never negative; [`Datum::curvature`] is the true one.
                let weight = (DEGREES + 1.0) / below;
                [cost, -weight * u / sigma, weight / (sigma * sigma)]
            }
            Self::Seen(seen, sigma) => {
                // Seen where the margin is negative.
                let sign = if seen { -1.0 } else { 1.0 };
                let x = sign * m / sigma;
                let [share, density] = normal(x);
                // Far out, the ratio of density and share is −x.
                let ratio = if x > -30.0 { density / share } else { -x };
                let cost = if x > -30.0 { -share.logarithm() } else { 0.5 * x * x };
                [cost, -sign * ratio / sigma, (ratio * (ratio + x)).max(0.0) / (sigma * sigma)]
            }
        }
    }

    /// The second derivative of its cost by the prediction, not below 0.
    fn curvature(self, m: f64, robust: bool) -> f64 {
        match self {
            Self::Measured(y, sigma) if robust => {
                let square = ((y - m) / sigma).powi(2);
                let below = DEGREES + square;
                ((DEGREES + 1.0) * (DEGREES - square) / (below * below)).max(0.0) / (sigma * sigma)
            }
            _ => self.cost(m, robust)[2],
        }
    }
}

/// What predicts the readings from the unknowns.
pub trait Model {
    /// Scaled readings at z; coarsely for derivatives.
    fn predict(&self, z: &[f64], coarse: bool) -> Vec<f64>;

    /// Derivatives of the readings by an unknown, where they are the same everywhere and need no difference.
    fn known_slopes(&self, _unknown: usize) -> Option<Vec<f64>> {
        None
    }
}

/// Where the search ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The unknowns.
    pub z: Vec<f64>,
    /// Predicted readings there.
    pub predicted: Vec<f64>,
    /// Derivatives there, or near there: a row for each reading.
    pub slopes: Vec<Vec<f64>>,
    /// What was minimised.
    pub cost: f64,
    /// Whether the last step was small enough.
    pub converged: bool,
}

impl Found {
    /// Covariance of the unknowns.
    pub fn covariance(&self, data: &[Datum], robust: bool) -> Vec<Vec<f64>> {
        let curvature = |(datum, m): (&Datum, &f64)| datum.curvature(*m, robust);
        let weights: Vec<f64> = data.iter().zip(&self.predicted).map(curvature).collect();
        inverse(information(identity(self.z.len()), &self.slopes, &weights))
    }
}

/// The unit matrix: the covariance of the unknowns before any reading.
pub fn identity(count: usize) -> Vec<Vec<f64>> {
    (0..count).map(|i| (0..count).map(|j| f64::from(u8::from(i == j))).collect()).collect()
}

/// P + Σ w g gᵀ over rows g: the information P of the unknowns with that of readings added.
pub fn information(mut known: Vec<Vec<f64>>, slopes: &[Vec<f64>], weights: &[f64]) -> Vec<Vec<f64>> {
    for (row, weight) in slopes.iter().zip(weights) {
        for (line, a) in known.iter_mut().zip(row) {
            line.iter_mut().zip(row).for_each(|(cell, b)| *cell += weight * a * b);
        }
    }
    known
}

/// Inverse of a positive definite matrix.
pub fn inverse(mut a: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let count = a.len();
    a.iter_mut().zip(identity(count)).for_each(|(row, unit)| row.extend(unit));
    eliminate(&mut a);
    a.into_iter().map(|row| row[count..].to_vec()).collect()
}

/// x of a x = b.
pub fn solved(mut a: Vec<Vec<f64>>, b: &[f64]) -> Vec<f64> {
    for (row, b) in a.iter_mut().zip(b) {
        row.push(*b);
    }
    eliminate(&mut a);
    a.iter().map(|row| row[b.len()]).collect()
}
