//! Where a fit begins: at the power law that fits best, which each law turns into starts of its own.

use super::laws::Power;
use super::model::{Coordinates, Datum, Model, R};
use gatefrost_numerics::least_squares::Sums;

/// Starts from the power law that fits best, found by linear least squares.
pub(super) fn starts(model: &Model, data: &[Datum], levels: usize) -> Vec<Coordinates> {
    let columns = if levels < 2 { 2 } else { 3 };
    let energy_scale = |t: f64| 1e3 / R * (1.0 / t - 1.0 / model.mean);
    let mut sums = Sums::new(columns);
    for d in data {
        sums.add(&[1.0, d.log_rate, energy_scale(d.t), 0.0, 0.0], d.log_viscosity);
    }
    let (log_k, slope, energy) = match sums.close().solution() {
        Some(x) => (x[0], x[1], if columns == 3 { x[2] } else { 40.0 }),
        None => (data[0].log_viscosity, -0.5, 40.0),
    };
    let low = data.iter().map(|d| d.log_rate).fold(f64::INFINITY, f64::min);
    let high = data.iter().map(|d| d.log_rate).fold(f64::NEG_INFINITY, f64::max);
    let power = Power {
        n: (1.0 + slope).clamp(0.1, 0.95),
        log_k,
        energy: energy.clamp(1.0, 250.0),
        log_rates: [low, high],
    };
    model.law.starts(&power, model)
}
