//! The divergence of the resistance to flow, ln y = ln A − a m ln(1 − φ/φc) + b ln(1 − φ), as a problem that is linear in
//! ln A and m at each critical loading φc. The fit and the search for a peak both solve it. The powers a and b are those
//! with which the viscosity at one shear rate grows in a melt that thins, `Shift::powers`; in a Newtonian one they are 1
//! and 0.

use super::profile::{DENSEST, Linear};
use super::{LoadingReading, Resistance};
use gatefrost_core::feedstock::Shift;
use gatefrost_core::scenario::LoadingScaling;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::search::geometric;
use serde::{Deserialize, Serialize};

/// Usual scatter of ln of a torque or viscosity (from memory).
pub(super) const USUAL_SCATTER: f64 = 0.03;

/// What is known of the exponent, and of how the melt thins.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
#[serde(default, deny_unknown_fields)]
pub struct ResistanceOptions {
    /// Exponent m, 2 unless given. `None` fits it to the readings alone, which takes readings close to φc.
    pub exponent: Option<f64>,
    /// Its standard error; 0 holds the exponent at its value.
    pub exponent_error: f64,
    /// Flow exponent n = d ln τ/d ln γ̇ of the feedstock at the shear rate of the readings, 1 unless given.
    pub flow_exponent: f64,
    /// What a higher relative viscosity means in a melt that thins.
    pub loading_scaling: LoadingScaling,
}

impl Default for ResistanceOptions {
    fn default() -> Self {
        Self {
            exponent: Some(2.0),
            exponent_error: 0.4,
            flow_exponent: 1.0,
            loading_scaling: LoadingScaling::default(),
        }
    }
}

/// What is done with the exponent.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Exponent {
    /// It has this value.
    Held(f64),
    /// It is fitted, known beforehand as this value with this standard error.
    About([f64; 2]),
    /// It is fitted to the readings alone.
    Free,
}

impl ResistanceOptions {
    /// What is done with the exponent.
    pub(super) fn of_exponent(&self) -> Exponent {
        match self.exponent {
            None => Exponent::Free,
            Some(m) if self.exponent_error > 0.0 => Exponent::About([m, self.exponent_error]),
            Some(m) => Exponent::Held(m),
        }
    }
}

/// The readings as a linear problem at a given critical loading. It has a column for ln A, unless A is known, and
/// one for m, unless m is held. `below` is the greatest critical loading that is tried, as a fraction.
pub(super) fn linear<'a>(
    readings: &'a [(Resistance, LoadingReading)],
    options: &ResistanceOptions,
    below: f64,
) -> Linear<'a> {
    let exponent = options.of_exponent();
    let relative = readings.first().is_some_and(|(of, _)| *of == Resistance::RelativeViscosity);
    let [of_viscosity, of_binder] = Shift::powers(options.loading_scaling, options.flow_exponent);
    let log = |(_, r): &(Resistance, LoadingReading)| {
        r.value.logarithm() - of_binder * (-0.01 * r.loading).logarithm_1p()
    };
    let logs: Vec<f64> = readings.iter().map(log).collect();
    let row = move |critical: f64, i: usize| {
        let growth = -of_viscosity * (-0.01 * readings[i].1.loading / critical).logarithm_1p();
        let (column, value) = match exponent {
            Exponent::Held(m) => (0.0, logs[i] - m * growth),
            _ => (growth, logs[i]),
        };
        (if relative { [column, 0.0] } else { [1.0, column] }, value)
    };
    Linear {
        free: usize::from(!relative) + usize::from(!matches!(exponent, Exponent::Held(_))),
        readings: readings.len(),
        above: readings.iter().map(|(_, r)| 0.01 * r.loading).fold(0.0, f64::max),
        below,
        usual_scatter: USUAL_SCATTER,
        known: if let Exponent::About(known) = exponent { Some(known) } else { None },
        row: Box::new(row),
    }
}

/// Critical loadings to try, as fractions, from just above the highest reading `most` up to the bound `below`.
/// They lie closer together near that reading, where the model changes fast.
pub(super) fn grid_above(most: f64, below: f64, count: u32) -> Vec<f64> {
    let (near, far) = (1e-5_f64, if below < DENSEST { below - most } else { (DENSEST - most).max(0.02) });
    geometric(near, far, count).into_iter().map(|room| most + room).collect()
}
