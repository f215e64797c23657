//! Critical loading from the resistance to flow: relative viscosity, viscosity at one shear rate or
//! mixing torque follow A(1 − φ/φc)^−m and diverge at φc; m = 2 is customary for powder injection
//! moulding (handbook, with A = 1 for relative viscosity). Fitted in logarithms.

use super::profile::{Linear, scan};
use super::{Estimate, LoadingReading, Resistance};
use serde::{Deserialize, Serialize};

/// What is held.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ResistanceOptions {
    /// Exponent m, if it is held; 2 by default. Free, it takes readings close to φc to tell m from φc.
    pub exponent: Option<f64>,
}

impl Default for ResistanceOptions {
    fn default() -> Self {
        Self { exponent: Some(2.0) }
    }
}

/// Fit of torques or viscosities.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ResistanceFit {
    /// What was measured.
    pub of: Resistance,
    /// Critical loading φc [vol%].
    pub critical: Estimate,
    /// Factor A, in the unit of the readings: the value at loading zero.
    pub factor: Estimate,
    /// Exponent m; without error where it was held.
    pub exponent: Estimate,
    /// Standard deviation of ln of a reading about the fit.
    pub log_scatter: f64,
    /// Readings used.
    pub readings: usize,
    /// Sentences for the user.
    pub remarks: Vec<String>,
}

impl ResistanceFit {
    /// Value of the fitted model at a loading [vol%]; `None` at φc and beyond.
    pub fn at(&self, loading: f64) -> Option<f64> {
        let room = 1.0 - loading / self.critical.value;
        (room > 0.0).then(|| self.factor.value * room.powf(-self.exponent.value))
    }
}

/// Fits φc and A, and m unless it is held.
///
/// # Errors
/// Where the readings are too few, all at one loading, or do not rise.
pub fn fit(
    readings: &[(Resistance, LoadingReading)],
    options: &ResistanceOptions,
) -> Result<ResistanceFit, String> {
    let Some(&(of, _)) = readings.first() else {
        return Err("No torques or viscosities were given.".to_owned());
    };
    let free = 2 + usize::from(options.exponent.is_none());
    if readings.len() < free + 1 {
        return Err(format!(
            "{} readings of {}; at least {} are needed.",
            readings.len(),
            of.label(),
            free + 1
        ));
    }
    if readings.iter().any(|(_, r)| r.value <= 0.0) {
        return Err(format!("Every {} must be above zero.", of.label()));
    }
    let least = readings.iter().map(|(_, r)| 0.01 * r.loading).fold(f64::INFINITY, f64::min);
    let most = readings.iter().map(|(_, r)| 0.01 * r.loading).fold(0.0, f64::max);
    if most - least < 1e-4 {
        return Err("All readings were taken at the same loading; several are needed.".to_owned());
    }
    let count = readings.len();
    let logs: Vec<f64> = readings.iter().map(|(_, r)| r.value.ln()).collect();
    let row = |critical: f64, i: usize| {
        let growth = -(-0.01 * readings[i].1.loading / critical).ln_1p();
        match options.exponent {
            Some(m) => ([1.0, 0.0], logs[i] - m * growth),
            None => ([1.0, growth], logs[i]),
        }
    };
    let model = Linear { free: free - 1, readings: count, above: most, row: &row };
    // Close to the highest reading the model changes fast.
    let (near, far) = (1e-5_f64, (MOST - most).max(0.02));
    let grid: Vec<f64> = (0..400).map(|i| most + near * (far / near).powf(f64::from(i) / 399.0)).collect();
    let found = scan(model, &grid, None).ok_or("The readings are not distinct enough to fit.")?;
    let exponent = match options.exponent {
        Some(value) => Estimate { value, standard_error: None, low: None, high: None },
        None => additive(found.linear[1], found.linear_errors[1], found.t),
    };
    let end = grid[grid.len() - 1];
    if found.critical.value > 0.999 * end || exponent.value <= 0.0 {
        return Err(format!(
            "The {} rises too little with loading to tell where it would diverge. Take readings at higher loadings.",
            of.label()
        ));
    }
    let mut remarks = Vec::new();
    if found.critical.high.is_none() {
        remarks.push(
            "The readings bound the critical loading from below only: take some at higher loadings."
                .to_owned(),
        );
    }
    if options.exponent.is_none() && exponent.standard_error.is_none_or(|e| e > 0.5 * exponent.value) {
        remarks.push("The readings hardly tell the exponent from the critical loading; hold m = 2, or measure closer to it.".to_owned());
    }
    let log = additive(found.linear[0], found.linear_errors[0], found.t);
    let value = log.value.exp();
    let factor = Estimate {
        value,
        standard_error: log.standard_error.map(|e| e * value),
        low: log.low.map(f64::exp),
        high: log.high.map(f64::exp),
    };
    Ok(ResistanceFit {
        of,
        critical: found.critical.in_percent(),
        factor,
        exponent,
        log_scatter: found.scatter,
        readings: count,
        remarks,
    })
}

/// Greatest critical loading considered, as a fraction: no packing of particles is denser.
const MOST: f64 = 0.95;

fn additive(value: f64, error: Option<f64>, t: f64) -> Estimate {
    Estimate {
        value,
        standard_error: error,
        low: error.map(|e| value - t * e),
        high: error.map(|e| value + t * e),
    }
}
