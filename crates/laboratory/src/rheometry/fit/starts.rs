//! The starts of a fit. Each law makes its own from the power law that fits best.

use super::basis::{Coordinates, Datum, R};
use super::laws::Power;
use super::model::Model;
use gatefrost_numerics::least_squares::{Sums, covariance};

/// The power law that fits best, by linear least squares, with any exponent.
pub(super) struct Line {
    /// ln of the consistency at the mean temperature.
    log_k: f64,
    /// d ln η/d ln γ̇ = n − 1, and its standard error.
    pub slope: f64,
    pub slope_error: f64,
    /// Activation energy [kJ/mol]; 40 with one temperature.
    energy: f64,
}

impl Line {
    /// The line through points of so many temperatures; `None` where they do not determine it.
    pub fn through(data: &[Datum], levels: usize) -> Option<Self> {
        let columns = if levels < 2 { 2 } else { 3 };
        let mean = data.iter().map(|d| d.t).sum::<f64>() / data.len() as f64;
        let row = |d: &Datum| [1.0, d.log_rate, 1e3 / R * (1.0 / d.t - 1.0 / mean), 0.0, 0.0];
        let mut sums = Sums::new(columns);
        for d in data {
            sums.add(&row(d), d.log_viscosity);
        }
        let sums = sums.close();
        let x = sums.solution()?;
        let misfit = |d: &Datum| row(d).iter().zip(&x).map(|(a, b)| a * b).sum::<f64>() - d.log_viscosity;
        let squares: f64 = data.iter().map(|d| misfit(d).powi(2)).sum();
        let variance = squares / (data.len().saturating_sub(columns)).max(1) as f64;
        let slope_error = covariance(&sums.normal, columns, variance).matrix[1][1].max(0.0).sqrt();
        let energy = if columns == 3 { x[2] } else { 40.0 };
        Some(Self { log_k: x[0], slope: x[1], slope_error, energy })
    }
}

/// The starts, from the power law that fits best.
pub(super) fn starts(model: &Model, data: &[Datum], levels: usize) -> Vec<Coordinates> {
    let line = Line::through(data, levels).unwrap_or_else(|| Line {
        log_k: data[0].log_viscosity,
        slope: -0.5,
        slope_error: 0.0,
        energy: 40.0,
    });
    let low = data.iter().map(|d| d.log_rate).fold(f64::INFINITY, f64::min);
    let high = data.iter().map(|d| d.log_rate).fold(f64::NEG_INFINITY, f64::max);
    let power = Power {
        n: (1.0 + line.slope).clamp(0.1, 0.95),
        log_k: line.log_k,
        energy: line.energy.clamp(1.0, 250.0),
        log_rates: [low, high],
    };
    model.law.starts(&power, &model.basis)
}
