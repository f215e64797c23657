//! The estimate as a Cross law.

use super::{Flow, TYPICAL};
use crate::recipe::blend::Spread;
use crate::recipe::estimated::{Estimated, by_factor, normal};
use crate::recipe::library::{R, ZERO_CELSIUS};
use gatefrost_core::feedstock::Shift;
use gatefrost_core::scenario::{CrossWlfConstants, FlowLaw};
use gatefrost_numerics::elementary::Elementary;

/// Flow exponent of feedstocks, with its standard error: 0.2 to 0.6 covers most, from memory.
pub const EXPONENT: (f64, f64) = (0.4, 0.1);
/// Stress at the onset of thinning \[kPa\], with the standard error of its logarithm: 15 to 240 kPa
/// covers most, from memory.
pub const ONSET: (f64, f64) = (60.0, 0.693);

/// η = η₀/(1 + (η₀γ̇/τ*)^(1−n)).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cross {
    /// Flow exponent n.
    pub n: f64,
    /// Stress at the onset of thinning τ* \[Pa\].
    pub tau_star: f64,
}

impl Cross {
    /// Typical constants, carried to another loading.
    pub(super) fn typical(shift: Shift) -> Self {
        Self { n: EXPONENT.0, tau_star: ONSET.0 * 1e3 * shift.stress }
    }

    /// Viscosity \[Pa·s\] at `rate` \[1/s\]; `rest` is that at rest.
    pub(super) fn viscosity(&self, rest: f64, rate: f64) -> f64 {
        rest / (1.0 + (rest * rate / self.tau_star).power(1.0 - self.n))
    }

    /// d ln τ/d ln γ̇; at a given rate it is d ln η/d ln η₀ too.
    pub(super) fn slope(&self, rest: f64, rate: f64) -> f64 {
        let x = (rest * rate / self.tau_star).power(1.0 - self.n);
        1.0 - (1.0 - self.n) * x / (1.0 + x)
    }

    /// Standard error of ln η, from that of ln η₀ and those of n and τ*.
    pub(super) fn log_error(&self, rest: f64, rate: f64, of_rest: f64) -> f64 {
        let slope = self.slope(rest, rate);
        let reduced = (rest * rate / self.tau_star).logarithm();
        let thinned = 1.0 - slope;
        let by_exponent = thinned / (1.0 - self.n) * reduced;
        (slope * of_rest).hypot(thinned * ONSET.1).hypot(by_exponent * EXPONENT.1)
    }

    /// The law with the bands of its constants. With A₂ = D₂ = T_r (in kelvin) the WLF form is D₁ exp[A₁T_r(1/T − 1/T_r)],
    /// so that A₁ = E/(R T_r) makes it Arrhenius's.
    pub(super) fn law(&self, flow: &Flow) -> (FlowLaw, Vec<Estimated>) {
        let kelvin = flow.reference + ZERO_CELSIUS;
        let c = CrossWlfConstants {
            n: self.n,
            tau_star: self.tau_star / 1e3,
            d1: flow.eta0,
            d2: flow.reference,
            d3: 0.0,
            a1: flow.energy * 1e3 / (R * kelvin),
            a2: kelvin,
        };
        let a1 = Spread { value: c.a1, error: c.a1 * flow.energy_error / flow.energy };
        let n = Spread { value: c.n, error: EXPONENT.1 };
        let d1_rule = "binder melt viscosity, mixed logarithmically by mass, times the relative viscosity";
        let bands = vec![
            normal("feedstock.flow_law.cross_wlf.n", "", n, TYPICAL),
            by_factor("feedstock.flow_law.cross_wlf.tau_star", "kPa", c.tau_star, ONSET.1, TYPICAL),
            by_factor("feedstock.flow_law.cross_wlf.d1", "Pa·s", c.d1, flow.log_error(), d1_rule),
            normal("feedstock.flow_law.cross_wlf.a1", "", a1, "E/(R T_r), E by mass"),
        ];
        (FlowLaw::CrossWlf(c), bands)
    }
}
