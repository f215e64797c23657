//! The estimate as a law of Herschel and Bulkley: for wax without a polymer, which hardly thins, and whose powder keeps it
//! from flowing at small stresses.

use super::{CUSTOMARY_RATE, Flow, TYPICAL};
use crate::recipe::blend::Spread;
use crate::recipe::estimated::{Estimated, by_factor, normal};
use gatefrost_core::feedstock::Shift;
use gatefrost_core::scenario::{FlowLaw, HerschelBulkleyConstants};
use gatefrost_numerics::elementary::Elementary;

/// Flow exponent of feedstocks of wax alone, with its standard error: 0.7 to 1 covers most, from memory.
const EXPONENT: (f64, f64) = (0.85, 0.07);
/// Yield stress \[kPa\], with the standard error of its logarithm: 10 to 250 Pa covers most, from memory.
const YIELD: (f64, f64) = (0.05, 0.8);

/// τ = τ_y + K γ̇ⁿ with K = η₀ γ̇_c^(1−n): at the rate γ̇_c the branch has the viscosity η₀ of the mixing rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yielding {
    /// Flow exponent n.
    n: f64,
    /// Yield stress τ_y \[Pa\].
    yield_stress: f64,
    /// γ̇_c \[1/s\].
    rate: f64,
}

impl Yielding {
    /// Typical constants, carried to another loading: with stresses s and rates r times those of the measured curve, K
    /// grows as s rⁿ and η₀ as s r.
    pub(super) fn typical(shift: Shift) -> Self {
        Self { n: EXPONENT.0, yield_stress: YIELD.0 * 1e3 * shift.stress, rate: CUSTOMARY_RATE / shift.rate }
    }

    /// Stress of the branch K γ̇ⁿ \[Pa\]; `rest` is η₀.
    fn branch(&self, rest: f64, rate: f64) -> f64 {
        rest * self.rate.power(1.0 - self.n) * rate.power(self.n)
    }

    /// Share of the branch in the stress.
    fn share(&self, rest: f64, rate: f64) -> f64 {
        let branch = self.branch(rest, rate);
        branch / (self.yield_stress + branch)
    }

    /// Viscosity \[Pa·s\] at `rate` \[1/s\].
    pub(super) fn viscosity(&self, rest: f64, rate: f64) -> f64 {
        (self.yield_stress + self.branch(rest, rate)) / rate
    }

    /// d ln τ/d ln γ̇.
    pub(super) fn slope(&self, rest: f64, rate: f64) -> f64 {
        self.n * self.share(rest, rate)
    }

    /// Standard error of ln η, from that of ln η₀ and those of n and τ_y.
    pub(super) fn log_error(&self, rest: f64, rate: f64, of_rest: f64) -> f64 {
        let share = self.share(rest, rate);
        let by_exponent = share * (rate / self.rate).logarithm();
        (share * of_rest).hypot((1.0 - share) * YIELD.1).hypot(by_exponent * EXPONENT.1)
    }

    /// The law with the bands of its constants. The law shifts rates by a_T: K a_Tⁿ has the binder's activation energy if
    /// that of a_T is E/n.
    pub(super) fn law(&self, flow: &Flow) -> (FlowLaw, Vec<Estimated>) {
        let c = HerschelBulkleyConstants {
            yield_stress: self.yield_stress / 1e3,
            consistency: self.branch(flow.eta0, 1.0),
            n: self.n,
            activation_energy: flow.energy / self.n,
            reference_temperature: flow.reference,
            ..HerschelBulkleyConstants::default()
        };
        let n = Spread { value: c.n, error: EXPONENT.1 };
        let energy = Spread { value: c.activation_energy, error: flow.energy_error / self.n };
        let k_rule = "binder melt viscosity, mixed logarithmically by mass, times the relative viscosity; reached at 1000 1/s";
        let bands = vec![
            by_factor(
                "feedstock.flow_law.herschel_bulkley.yield_stress",
                "kPa",
                c.yield_stress,
                YIELD.1,
                TYPICAL,
            ),
            by_factor(
                "feedstock.flow_law.herschel_bulkley.consistency",
                "Pa·sⁿ",
                c.consistency,
                flow.log_error(),
                k_rule,
            ),
            normal("feedstock.flow_law.herschel_bulkley.n", "", n, TYPICAL),
            normal(
                "feedstock.flow_law.herschel_bulkley.activation_energy",
                "kJ/mol",
                energy,
                "E/n, E by mass",
            ),
        ];
        (FlowLaw::HerschelBulkley(c), bands)
    }
}
