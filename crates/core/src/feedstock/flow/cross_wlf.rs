//! The Cross law with the temperature dependence of Williams, Landel and Ferry.

use super::{FlowModel, GREATEST_LOG, Shift, ZERO_CELSIUS, mobile, plateau};
use crate::scenario::CrossWlfConstants;
use gatefrost_numerics::elementary::Elementary;
use gatefrost_numerics::order::{greater, lesser};

/// η = η₀/(1 + (η₀γ̇/τ*)^(1−n)), η₀ = D₁ exp(−A₁(T−T*)/(A₂+T−T*)), T* = D₂ + D₃p, A₂ = Ã₂ + D₃p.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossWlf {
    /// Flow exponent.
    n: f64,
    /// Stress at the onset of thinning \[Pa\].
    tau_star: f64,
    /// Viscosity at T* \[Pa s\].
    d1: f64,
    /// Reference temperature at zero pressure \[K\].
    d2: f64,
    /// Rise of the reference temperature with pressure \[K/Pa\].
    d3: f64,
    /// First WLF constant.
    a1: f64,
    /// Second WLF constant at zero pressure \[K\].
    a2: f64,
}

impl CrossWlf {
    pub(super) fn resolve(c: &CrossWlfConstants, shift: Shift) -> Self {
        Self {
            n: c.n,
            tau_star: c.tau_star * 1e3 * shift.stress,
            d1: c.d1 * shift.at_rest(),
            d2: c.d2 + ZERO_CELSIUS,
            d3: c.d3 * 1e-6,
            a1: c.a1,
            a2: c.a2,
        }
    }
}

impl FlowModel for CrossWlf {
    fn exponent(&self) -> f64 {
        self.n
    }

    fn feels_pressure(&self) -> bool {
        self.d3 > 0.0
    }

    fn unbounded_viscosity(&self, rate: f64, t: f64, p: f64) -> f64 {
        let eta0 = 1.0 / self.mobility(t, p);
        eta0 / (1.0 + (eta0 * rate / self.tau_star).power(1.0 - self.n))
    }

    fn reference_stress(&self) -> f64 {
        self.tau_star
    }

    /// 1/η₀.
    #[inline]
    fn mobility(&self, t: f64, p: f64) -> f64 {
        // Beyond 1 GPa, far above any machine, the pressure shift grows no further: otherwise the pressure that a
        // stiff melt needs would make it stiffer without bound.
        let shift = self.d3 * lesser(1e9, p);
        let dt = t - self.d2 - shift;
        // Kept 1 K above the pole of the WLF form; nothing flows so cold.
        let below = greater(1.0, self.a2 + shift + dt);
        mobile((self.a1 * dt / below).clamp(-GREATEST_LOG, GREATEST_LOG).exponential() / self.d1)
    }

    /// With L = ln(η₀γ̇/τ*): x = L − ln(1 + e^((1−n)L)).
    fn shape(&self, x: f64) -> (f64, f64) {
        plateau::shape(x, self.n, 1.0 - self.n, 1.0)
    }
}
