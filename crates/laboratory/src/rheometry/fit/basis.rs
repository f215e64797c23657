//! The basis of a fit: coordinates with their bounds, the readings, and quantities of all readings.

use crate::rheometry::FlowPoint;
use gatefrost_core::feedstock::ZERO_CELSIUS;
use gatefrost_numerics::elementary::Elementary;

/// Gas constant \[J/mol K\].
pub(super) const R: f64 = 8.314_462_618;
/// Values of the coordinates of a law; those beyond its count are not used.
pub(super) type Coordinates = gatefrost_numerics::matrix::Vector;

/// How a coordinate is kept in its range. The solver's own variable has no bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Bounds {
    /// Between two bounds, by a logistic function.
    Between(f64, f64),
    /// Free. If it ends outside, it is held at the nearer bound and the others are fitted again.
    Within(f64, f64),
}

impl Bounds {
    /// The value in its range at the solver's number `u`.
    pub fn outward(self, u: f64) -> f64 {
        match self {
            Self::Between(low, high) => low + (high - low) / (1.0 + (-u).exponential()),
            Self::Within(..) => u,
        }
    }

    /// The solver's number at which [`Bounds::outward`] gives the value.
    pub fn inward(self, value: f64) -> f64 {
        match self {
            Self::Between(low, high) => {
                let share = ((value - low) / (high - low)).clamp(1e-3, 1.0 - 1e-3);
                (share / (1.0 - share)).logarithm()
            }
            Self::Within(..) => value,
        }
    }

    /// d outward/du.
    pub fn slope(self, u: f64) -> f64 {
        match self {
            Self::Between(low, high) => {
                let share = 1.0 / (1.0 + (-u).exponential());
                (high - low) * share * (1.0 - share)
            }
            Self::Within(..) => 1.0,
        }
    }

    /// The bound that a value has run into, if any.
    pub fn bound(self, value: f64) -> Option<f64> {
        let (low, high, room) = match self {
            Self::Between(low, high) => (low, high, 1e-4 * (high - low)),
            Self::Within(low, high) => (low, high, 0.0),
        };
        if value < low + room {
            Some(low)
        } else if value > high - room {
            Some(high)
        } else {
            None
        }
    }
}

/// One measured point, prepared.
#[derive(Debug, Clone, Copy)]
pub(super) struct Datum {
    /// ln γ̇.
    pub log_rate: f64,
    /// Temperature \[K\].
    pub t: f64,
    /// ln η.
    pub log_viscosity: f64,
}

impl Datum {
    pub fn of(point: &FlowPoint) -> Self {
        Self {
            log_rate: point.shear_rate.logarithm(),
            t: point.temperature + ZERO_CELSIUS,
            log_viscosity: point.viscosity.logarithm(),
        }
    }
}

/// Quantities that a law takes from the readings and the options. They are not fitted.
#[derive(Debug, Clone, Copy)]
pub(super) struct Basis {
    /// Reference temperature: D₂ of the Cross law, T_r of the others \[K\].
    pub reference: f64,
    /// Mean temperature of the data \[K\].
    pub mean: f64,
    /// Papanastasiou's exponent m of the Herschel–Bulkley law \[s\].
    pub regularisation: f64,
    /// Least stress of the data \[Pa\].
    pub least_stress: f64,
}

impl Basis {
    /// Takes it from the readings. `reference` gives the reference temperature \[K\] from the mean one \[K\].
    pub fn new(data: &[Datum], reference: impl Fn(f64) -> f64) -> Self {
        let mean = data.iter().map(|d| d.t).sum::<f64>() / data.len() as f64;
        let least_rate = data.iter().map(|d| d.log_rate).fold(f64::INFINITY, f64::min).exponential();
        let least_stress =
            data.iter().map(|d| d.log_rate + d.log_viscosity).fold(f64::INFINITY, f64::min).exponential();
        // Sharp enough for the full yield stress at the least rate measured.
        let regularisation = (10.0 / least_rate).clamp(1e-3, 1e6);
        Self { reference: reference(mean), mean, regularisation, least_stress }
    }

    /// Reference temperature \[°C\].
    pub fn reference_in_celsius(&self) -> f64 {
        self.reference - ZERO_CELSIUS
    }

    /// q = (1/R)(1/T − 1/T_r) per kJ/mol, at T \[K\].
    pub fn shift(&self, t: f64) -> f64 {
        1e3 / R * (1.0 / t - 1.0 / self.reference)
    }
}

/// ln(1 + eʸ) and its slope, without overflow.
pub(super) fn softplus(y: f64) -> (f64, f64) {
    let small = (-y.abs()).exponential();
    let slope = if y > 0.0 { 1.0 / (1.0 + small) } else { small / (1.0 + small) };
    (y.max(0.0) + small.logarithm_1p(), slope)
}
