//! Maximum a posteriori by Gauss and Newton, with Levenberg and Marquardt's damping.
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
/// Most steps.
const MOST_STEPS: usize = 25;
/// A step that changes no unknown by more than this share of its standard deviation before the readings is the last.
const SETTLED: f64 = 2e-3;
/// Derivatives are taken anew once an unknown has moved so far.
const MOVED: f64 = 0.08;
/// Derivatives at this distance are those of the place itself.
const OWN: f64 = 0.02;
/// Longest step of an unknown.
const FARTHEST: f64 = 2.0;
/// A step that lowers what is minimised by less than this share is the last.
const SMALL: f64 = 2e-5;
/// Step of a difference, in such standard deviations.
const DIFFERENCE: f64 = 0.1;

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
    fn cost(self, m: f64, robust: bool) -> [f64; 3] {
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
}

/// Called between the steps with the share that is done; returns whether to go on.
pub type Progress<'p> = &'p mut dyn FnMut(f64) -> bool;

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

/// Derivatives of the readings by the unknowns at z: central differences of the coarse model.
pub fn slopes(model: &impl Model, z: &[f64]) -> Vec<Vec<f64>> {
    differences(model, z, |moved| moved(-DIFFERENCE), 2.0 * DIFFERENCE)
}

/// The same on one side, which takes half of the work.
fn rough_slopes(model: &impl Model, z: &[f64]) -> Vec<Vec<f64>> {
    let here = model.predict(z, true);
    differences(model, z, |_| here.clone(), DIFFERENCE)
}

fn differences(
    model: &impl Model,
    z: &[f64],
    below: impl Fn(&dyn Fn(f64) -> Vec<f64>) -> Vec<f64>,
    step: f64,
) -> Vec<Vec<f64>> {
    let column = |k: usize| -> Vec<f64> {
        let at = |by: f64| {
            let mut moved = z.to_vec();
            moved[k] += by;
            model.predict(&moved, true)
        };
        let (up, down) = (at(DIFFERENCE), below(&at));
        up.iter().zip(&down).map(|(u, d)| (u - d) / step).collect()
    };
    let columns: Vec<Vec<f64>> = (0..z.len()).map(column).collect();
    // Without unknowns, each reading still has its row.
    let rows = columns.first().map_or_else(|| model.predict(z, true).len(), Vec::len);
    (0..rows).map(|i| columns.iter().map(|c| c[i]).collect()).collect()
}

fn total(data: &[Datum], z: &[f64], predicted: &[f64], robust: bool) -> f64 {
    let prior: f64 = z.iter().map(|z| 0.5 * z * z).sum();
    let cost: f64 = data.iter().zip(predicted).map(|(d, m)| d.cost(*m, robust)[0]).sum();
    if cost.is_finite() { prior + cost } else { f64::INFINITY }
}

/// Where a search begins: the unknowns with predictions and derivatives there.
#[derive(Debug, Clone, PartialEq)]
pub struct Begin {
    /// The unknowns.
    pub z: Vec<f64>,
    /// Predictions there.
    pub predicted: Vec<f64>,
    /// Derivatives, and where they were taken.
    pub slopes: (Vec<Vec<f64>>, Vec<f64>),
}

impl Begin {
    /// At z.
    pub fn at(model: &impl Model, z: Vec<f64>) -> Self {
        let predicted = model.predict(&z, false);
        let slopes = (rough_slopes(model, &z), z.clone());
        Self { z, predicted, slopes }
    }

    /// Takes the derivatives anew if the unknowns have moved.
    fn renew(&mut self, model: &impl Model, moved: f64) {
        if self.moved() > moved {
            self.slopes = (rough_slopes(model, &self.z), self.z.clone());
        }
    }

    /// How far it is from where the derivatives were taken.
    fn moved(&self) -> f64 {
        self.z.iter().zip(&self.slopes.1).map(|(z, from)| (z - from).abs()).fold(0.0, f64::max)
    }
}

/// Minimises from where `at` is; `None` if it was stopped. Derivatives stay while the unknowns move little.
pub fn minimise(
    model: &impl Model,
    data: &[Datum],
    at: &mut Begin,
    robust: bool,
    progress: Progress<'_>,
) -> Option<Found> {
    let count = at.z.len();
    let mut moved_most = MOVED;
    let mut cost = total(data, &at.z, &at.predicted, robust);
    let (mut damping, mut converged) = (1e-3, false);
    for step in 0..MOST_STEPS {
        if !progress(step as f64 / MOST_STEPS as f64) {
            return None;
        }
        at.renew(model, moved_most);
        let rows = &at.slopes.0;
        let parts: Vec<[f64; 3]> = data.iter().zip(&at.predicted).map(|(d, m)| d.cost(*m, robust)).collect();
        let weights: Vec<f64> = parts.iter().map(|p| p[2]).collect();
        let normal = information(identity(count), rows, &weights);
        let downhill: Vec<f64> = (0..count)
            .map(|k| -at.z[k] - parts.iter().zip(rows).map(|(p, row)| p[1] * row[k]).sum::<f64>())
            .collect();
        let mut moved = false;
        for _ in 0..8 {
            let mut damped = normal.clone();
            (0..count).for_each(|i| damped[i][i] *= 1.0 + damping);
            let by = solved(damped, &downhill);
            // Far steps of a model that is not linear are cut.
            let far = by.iter().fold(0.0_f64, |most, b| most.max(b.abs()));
            if far < SETTLED {
                converged = true;
                break;
            }
            let cut = if far > FARTHEST { FARTHEST / far } else { 1.0 };
            let next: Vec<f64> = at.z.iter().zip(&by).map(|(z, by)| z + cut * by).collect();
            let there = model.predict(&next, false);
            let after = total(data, &next, &there, robust);
            if after <= cost {
                converged = cost - after < SMALL * (1.0 + cost) && damping < 0.1;
                (at.z, at.predicted, cost) = (next, there, after);
                damping = (0.3 * damping).max(1e-9);
                moved = true;
                break;
            }
            if far < 5.0 * SETTLED {
                converged = true;
                break;
            }
            damping = (4.0 * damping).max(1e-2);
        }
        // What seems to be the end with derivatives from elsewhere is looked at with those of its own place.
        if (converged || !moved) && at.moved() > OWN {
            (moved_most, converged) = (OWN, false);
            continue;
        }
        if converged || !moved {
            break;
        }
    }
    let (z, predicted) = (at.z.clone(), at.predicted.clone());
    Some(Found { z, predicted, slopes: at.slopes.0.clone(), cost, converged })
}

/// The result with central differences where it ended.
pub fn finished(model: &impl Model, found: Found) -> Found {
    Found { slopes: slopes(model, &found.z), ..found }
}
