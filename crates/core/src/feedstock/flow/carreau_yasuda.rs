//! The Carreau–Yasuda law with Arrhenius's temperature dependence.

use super::{Arrhenius, FlowModel, Shift, mobile, plateau};
use crate::scenario::CarreauYasudaConstants;
use gatefrost_numerics::elementary::Elementary;

/// η = a_T η₀ [1 + (a_T λγ̇)^a]^((n−1)/a).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarreauYasuda {
    /// Viscosity at rest at T_r \[Pa s\].
    eta0: f64,
    /// Stress η₀/λ that scales the shape \[Pa\].
    stress: f64,
    /// Yasuda's exponent.
    a: f64,
    /// Flow exponent.
    n: f64,
    /// Temperature dependence.
    shift: Arrhenius,
}

impl CarreauYasuda {
    pub(super) fn resolve(c: &CarreauYasudaConstants, shift: Shift) -> Self {
        Self {
            eta0: c.eta0 * shift.at_rest(),
            stress: shift.stress * c.eta0 / c.relaxation_time,
            a: c.transition,
            n: c.n,
            shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
        }
    }
}

impl FlowModel for CarreauYasuda {
    fn exponent(&self) -> f64 {
        self.n
    }

    fn unbounded_viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        let rest = 1.0 / self.mobility(t, p);
        rest * (1.0 + (rest * rate / self.stress).power(self.a)).power((self.n - 1.0) / self.a)
    }

    fn reference_stress(&self) -> f64 {
        self.stress
    }

    /// 1/(a_T η₀).
    #[inline]
    fn mobility(&self, t: f64, _p: f64) -> f64 {
        mobile(1.0 / (self.eta0 * self.shift.at(t)))
    }

    /// With L = ln(a_T λγ̇): x = L − ((1−n)/a) ln(1 + e^(aL)).
    fn shape(&self, x: f64) -> (f64, f64) {
        plateau::shape(x, self.n, self.a, (1.0 - self.n) / self.a)
    }
}
