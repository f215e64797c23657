//! The Herschel–Bulkley law, regularised after Papanastasiou, with Arrhenius's temperature dependence.

use super::{Arrhenius, FlowModel, Shift};
use crate::scenario::HerschelBulkleyConstants;
use gatefrost_numerics::elementary::Elementary;

/// τ = τ_y(1 − exp(−m g)) + K gⁿ with the shifted rate g = r a_T γ̇ \[1/s\], r the factor of the loading
/// (T. C. Papanastasiou, J. Rheol. 31 (1987) 385, from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HerschelBulkley {
    /// Yield stress τ_y \[Pa\].
    yield_stress: f64,
    /// Consistency at T_r \[Pa sⁿ\].
    consistency: f64,
    /// Flow exponent.
    n: f64,
    /// Regularisation \[s\].
    m: f64,
    /// Factor r of the shear rate by the loading.
    rate: f64,
    /// Temperature dependence.
    shift: Arrhenius,
}

impl HerschelBulkley {
    pub(super) fn resolve(c: &HerschelBulkleyConstants, shift: Shift) -> Self {
        Self {
            yield_stress: c.yield_stress * 1e3 * shift.stress,
            consistency: c.consistency * shift.stress,
            n: c.n,
            m: c.regularisation,
            rate: shift.rate,
            shift: Arrhenius::new(c.activation_energy, c.reference_temperature),
        }
    }

    /// Stress τ \[Pa\] at the shifted rate g, and dτ/dg \[Pa s\].
    fn stress(&self, g: f64) -> (f64, f64) {
        let left = (-self.m * g).exponential();
        let thinning = self.consistency * g.power(self.n);
        let stress = -self.yield_stress * (-self.m * g).exponential_m1() + thinning;
        (stress, self.yield_stress * self.m * left + self.n * thinning / g)
    }
}

impl FlowModel for HerschelBulkley {
    fn exponent(&self) -> f64 {
        self.n
    }

    fn unbounded_viscosity(&self, rate: f64, t: f64, _p: f64) -> f64 {
        let b = self.rate * self.shift.at(t);
        self.stress(b * rate).0 / rate
    }

    fn reference_stress(&self) -> f64 {
        self.yield_stress.max(1e3)
    }

    /// 1/(r a_T τ_r), the fluidity where g = 1 1/s at the reference stress.
    #[inline]
    fn mobility(&self, t: f64, _p: f64) -> f64 {
        1.0 / (self.rate * self.shift.at(t) * self.reference_stress())
    }

    /// x = ln(τ(g)/τ_r) rises with ln g: Newton's method, kept between bounds that it narrows. The upper bound is the
    /// rate that the power term alone would give.
    fn shape(&self, x: f64) -> (f64, f64) {
        let target = x + self.reference_stress().logarithm();
        let (mut low, mut high) =
            (-700.0_f64, ((target - self.consistency.logarithm()) / self.n).max(-690.0));
        let mut log_g = high;
        let mut slope = 1.0;
        for _ in 0..200 {
            let g = log_g.exponential();
            let (stress, rise) = self.stress(g);
            slope = rise * g / stress;
            let excess = stress.logarithm() - target;
            if excess > 0.0 {
                high = log_g
            } else {
                low = log_g
            }
            let newton = log_g - excess / slope;
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let moved = (next - log_g).abs();
            log_g = next;
            if moved <= 1e-14 * (1.0 + log_g.abs()) {
                break;
            }
        }
        (log_g - x, 1.0 / slope - 1.0)
    }

    /// At L = ln g.
    fn shape_at_rate(&self, log_rate: f64) -> Option<[f64; 3]> {
        let g = log_rate.exponential();
        let (stress, rise) = self.stress(g);
        let x = (stress / self.reference_stress()).logarithm();
        Some([x, log_rate, stress / (rise * g)])
    }
}
