//! The power law with Arrhenius's temperature dependence.

use super::{Arrhenius, FlowModel, GREATEST_LOG, Shift};
use crate::scenario::PowerLawConstants;
use gatefrost_numerics::elementary::Elementary;

/// Reference stress \[Pa\]; the law has none of its own.
const REFERENCE: f64 = 1e3;

/// η = K exp[(E/R)(1/T − 1/T_r)] γ̇^(n−1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerLaw {
    /// Flow exponent.
    n: f64,
    /// Consistency at T_r \[Pa sⁿ\].
    consistency: f64,
    /// Temperature dependence.
    shift: Arrhenius,
}

impl PowerLaw {
    pub(super) fn resolve(c: &PowerLawConstants, shift: Shift) -> Self {
        Self {
            n: c.n,
            consistency: c.consistency * shift.stress * shift.rate.power(c.n),
            shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
        }
    }
}

impl FlowModel for PowerLaw {
    fn exponent(&self) -> f64 {
        self.n
    }

    fn unbounded_viscosity(&self, rate: f64, t: f64, _p: f64) -> f64 {
        self.consistency * self.shift.at(t) * rate.power(self.n - 1.0)
    }

    fn reference_stress(&self) -> f64 {
        REFERENCE
    }

    /// τ_r^(1/n−1)/(K a_T)^(1/n).
    #[inline]
    fn mobility(&self, t: f64, _p: f64) -> f64 {
        let log_k = self.consistency.logarithm() + self.shift.log_at(t);
        let log = (1.0 / self.n - 1.0) * REFERENCE.logarithm() - log_k / self.n;
        log.clamp(-GREATEST_LOG, GREATEST_LOG).exponential()
    }

    /// ln M = (1/n − 1) x.
    fn shape(&self, x: f64) -> (f64, f64) {
        ((1.0 / self.n - 1.0) * x, 1.0 / self.n - 1.0)
    }
}
