//! Where a fit begins: from the power law that fits best, bent at several places.

use super::Law;
use super::model::{Coordinates, Datum, Model, R};
use gatefrost_core::scenario::CrossWlfConstants;
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
    around(model, 1.0 + slope, log_k, energy, low, high)
}

/// Where to begin, from the power law with consistency `log_k` [ln Pa sⁿ] and energy [kJ/mol] that
/// fits the data in the middle; `low` and `high` bound ln γ̇.
fn around(model: &Model, n: f64, log_k: f64, energy: f64, low: f64, high: f64) -> Vec<Coordinates> {
    let n = n.clamp(0.1, 0.95);
    let energy = energy.clamp(1.0, 250.0);
    let middle = 0.5 * (low + high);
    match model.law {
        Law::PowerLaw => vec![[n, log_k, energy, 0.0, 0.0]],
        Law::HerschelBulkley => [0.03, 0.4, 0.9]
            .map(|share| {
                let yielding = share * model.least_stress;
                let stress = (log_k + n * middle).exp();
                let steeper = (n * (1.0 + share)).min(0.95);
                [
                    steeper,
                    yielding.ln(),
                    (stress - yielding).max(0.1 * stress).ln() - steeper * middle,
                    energy,
                    0.0,
                ]
            })
            .to_vec(),
        Law::CrossWlf | Law::CarreauYasuda => {
            [(low - 1.0, n), (middle, 0.6 * n), (high - 1.0, 0.3 * n)]
                .map(|(turn, slope)| {
                    let rest = log_k + (n - 1.0) * turn + 0.5;
                    if model.law == Law::CarreauYasuda {
                        return [slope.max(0.07), rest, -turn, 0.0, energy / n.max(0.3)];
                    }
                    // The Arrhenius slope at the mean temperature, as A₁.
                    let a2 = CrossWlfConstants::default().a2;
                    let x = model.mean - model.reference;
                    let a1 = 1e3 * energy / R / model.mean.powi(2) * (a2 + x).powi(2) / a2 / n.max(0.3);
                    [slope.max(0.07), rest + turn, rest, a1.clamp(0.5, 190.0), a2.ln()]
                })
                .to_vec()
        }
    }
}
